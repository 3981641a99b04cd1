/* traits.c: the table's trait columns become the trial's traits, moved, in the order of the roles. */
#include "audit.h"

#include "../agronomy/words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { DATE_LENGTH = sizeof " 2026-10-03" - 1 };

static bool has_values(const cks_column *column, size_t n)
{
  for (size_t i = 0; i < n; i++)
    if (!cks_is_missing(column->number[i])) return true;
  return false;
}

/* --trait, when given, names the only ones. */
static bool wanted(const cks_audit_work *work, const cks_column *column)
{
  const cks_setting_list *list = &work->settings->trait;
  bool named = list->n == 0;
  for (size_t i = 0; i < list->n && !named; i++)
    named = cks_audit_same(list->pair[i].key, column->key) || cks_audit_same(list->pair[i].key, column->heading) ||
            cks_audit_same(list->pair[i].key, cks_role_find(column->role)->label) ||
            cks_words_has(cks_role_find(column->role)->synonyms, list->pair[i].key) ||
            (work->crop->forage && cks_role_is_yield(column->role) && cks_audit_same(list->pair[i].key, "yield"));
  return named;
}

static const char *label_of(cks_audit_work *work, const cks_column *column)
{
  const cks_role_fact *fact = cks_role_find(column->role);
  if (!strcmp(column->key, fact->key)) return fact->label;
  char *label = cks_arena_text(work->arena, column->key); /* an own trait, a named disease: its key in words */
  for (char *c = label; *c; c++)
    if (*c == '_') *c = ' ';
  size_t n = strlen(label);
  int year, month, day, end = 0;
  bool dated = n > DATE_LENGTH && sscanf(label + n - DATE_LENGTH, " %4d %2d %2d%n", &year, &month, &day, &end) == 3 &&
               end == DATE_LENGTH;
  if (dated) label[n - 6] = label[n - 3] = '-'; /* "lodging 2026-10-03" */
  return label;
}

/* A percent rating is a proportion; a proportion that is scored on a scale is a rating. */
static cks_measure measure_of(const cks_column *column)
{
  cks_measure measure = cks_role_find(column->role)->measure;
  if (measure == CKS_MEASURE_RATING && column->unit == CKS_UNIT_PERCENT) measure = CKS_MEASURE_PROPORTION;
  return column->unit == CKS_UNIT_SCORE ? CKS_MEASURE_RATING : measure;
}

/* Moisture and origin of a yield; of others NaN and "". */
static double basis_of(const cks_audit_work *work, const cks_column *column, const char **text)
{
  bool forage = column->role == CKS_ROLE_FORAGE_YIELD || column->role == CKS_ROLE_DRY_MATTER_YIELD;
  bool season = !strcmp(column->key, cks_role_find(column->role)->key);
  *text = column->role == CKS_ROLE_YIELD ? work->yield_text
          : !forage                      ? ""
          : season                       ? work->season_text
                                         : work->forage_text;
  return column->role == CKS_ROLE_YIELD          ? work->yield_basis
         : column->role == CKS_ROLE_FORAGE_YIELD ? (work->crop->forage ? work->forage_basis : column->basis_pct)
                                                 : NAN;
}

/* Stacked for a narrow column: "dry\nmatter\nyield\ncut 1". */
static const char *narrow_of(cks_audit_work *work, const cks_column *column, const char *label)
{
  const cks_role_fact *fact = cks_role_find(column->role);
  if (label == fact->label) return fact->narrow;
  for (size_t k = 0; k < work->n_cut && work->n_cut > 1; k++) {
    const char *key = cks_audit_cut_key(work, k);
    if (strncmp(column->key, fact->key, strlen(fact->key)) || strcmp(column->key + strlen(fact->key), key)) continue;
    return cks_arena_format(work->arena, "%s\n%s", fact->narrow, label + strlen(fact->label) + 1);
  }
  return label;
}

static void take_trait(cks_audit_work *work, cks_trial *trial, cks_column *column)
{
  const cks_role_fact *fact = cks_role_find(column->role);
  const char *label = label_of(work, column), *basis_text;
  double basis_pct = basis_of(work, column, &basis_text);
  trial->trait[trial->n_trait++] = (cks_trait){
      .role = column->role,
      .key = cks_arena_text(work->arena, column->key),
      .label = label,
      .narrow = narrow_of(work, column, label),
      .unit = column->unit,
      .unit_assumed = !column->unit_stated,
      .digits = fact->digits,
      .basis_pct = basis_pct,
      .basis_text = basis_text,
      .better = column->better,
      .measure = measure_of(column),
      .scale_low = column->scale_low,
      .scale_high = column->scale_high,
      .value = column->number,
      .line = column->line,
      .file = column->file,
  };
  column->number = NULL;
  column->line = NULL;
  column->file = NULL;
}

static int compare_columns(const void *context, uint32_t a, uint32_t b)
{
  const cks_column *column = context;
  if (column[a].role != column[b].role) return (int)column[a].role - (int)column[b].role;
  return strcmp(column[a].key, column[b].key);
}

cks_status cks_audit_traits(cks_audit_work *work, cks_trial *trial)
{
  cks_table *table = work->table;
  uint32_t *index = cks_arena_take(work->arena, table->n_column, sizeof *index);
  uint32_t *room = cks_arena_take(work->arena, table->n_column, sizeof *room);
  trial->trait = cks_arena_take(work->arena, table->n_column, sizeof *trial->trait);
  if (!index || !room || !trial->trait) return cks_error_nomem(work->error);
  size_t n = 0;
  for (uint32_t i = 0; i < table->n_column; i++) {
    const cks_column *column = &table->column[i];
    if (cks_role_find(column->role)->role_class == CKS_CLASS_TRAIT && column->number && wanted(work, column) &&
        has_values(column, table->n_row))
      index[n++] = i;
  }
  cks_audit_sort(index, room, n, compare_columns, table->column);
  for (size_t i = 0; i < n; i++) take_trait(work, trial, &table->column[index[i]]);
  if (n || work->findings->n_severity[CKS_ERROR])
    return cks_arena_status(work->arena, work->error); /* or told already */
  return cks_audit_say_all(work, CKS_RULE_NO_TRAIT,
                           "no trait to analyze: expected a column such as yield, moisture, test weight or "
                           "days to mid-bloom with values%s",
                           work->settings->trait.n ? " (and --trait names only others)"
                                                   : "; --trait HEADING takes a numeric column of another name");
}
