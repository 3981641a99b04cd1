/* unused.c: columns that are known and have no part in the analysis: said, so that nobody waits for them in the results;
 * and growth stages that nobody knows. */
#include "audit.h"

#include <stdlib.h>

static cks_status say(cks_audit_work *work, const cks_column *column, const char *text)
{
  return cks_findings_add(work->findings, CKS_RULE_NOT_ANALYZED, column->where, column->heading, NULL, work->error,
                          "%s", text);
}

/* Its first cell holds a number. */
static bool holds_numbers(const cks_table *table, const cks_column *column)
{
  if (column->kind != CKS_NAME) return column->kind == CKS_NUMBER;
  for (size_t row = 0; row < table->n_row; row++) {
    char *end;
    const char *text = cks_names_text(&table->names, column->name[row]);
    if (!*text) continue;
    (void)strtod(text, &end);
    return !*end;
  }
  return false;
}

/* Kept roles that a forage is told of by. */
static bool is_of_forage(const cks_audit_work *work, cks_role role)
{
  static const cks_role used[] = {CKS_ROLE_GREEN_WEIGHT, CKS_ROLE_CUT_DATE, CKS_ROLE_STAGE, CKS_ROLE_NITRATE,
                                  CKS_ROLE_PRUSSIC_ACID};
  bool found = false;
  for (size_t i = 0; i < sizeof used / sizeof *used; i++) found = found || used[i] == role;
  return found && work->crop->forage;
}

/* Why a column of the plot lists is not used; NULL: it is. */
static const char *in_plots(cks_audit_work *work, const cks_column *column)
{
  const cks_role_fact *fact = cks_role_find(column->role);
  char given[CKS_SHELL_WORD];
  if (column->role == CKS_ROLE_SEEN_AS || column->role == CKS_ROLE_PRINT || column->role == CKS_ROLE_SEED_COST)
    return cks_arena_format(work->arena, "%s is not used in a plot list; it belongs in the names table (--names)",
                            fact->label);
  if (fact->role_class != CKS_CLASS_KEPT || is_of_forage(work, column->role) ||
      column != cks_table_column(work->table, column->role))
    return NULL; /* or told at the first one: a stage has a column a day */
  if (column->role == CKS_ROLE_STAGE || column->role == CKS_ROLE_STAGE_DATE)
    return cks_arena_format(work->arena, "%s goes into the stage calendar and is not analyzed", fact->label);
  bool content = column->role == CKS_ROLE_NITRATE || column->role == CKS_ROLE_PRUSSIC_ACID; /* never averaged alone */
  if (content || !holds_numbers(work->table, column))
    return cks_arena_format(work->arena, "%s is kept as written and not analyzed", fact->label);
  return cks_arena_format(work->arena, "%s is kept as written and not analyzed; --trait %s makes it a trait",
                          fact->label, cks_shell_word(given, column->heading));
}

static const char *in_places(cks_audit_work *work, const cks_column *column)
{
  const cks_role_fact *fact = cks_role_find(column->role);
  bool used = fact->role_class == CKS_CLASS_PLACE || column->role == CKS_ROLE_LOCATION ||
              column->role == CKS_ROLE_YEAR || column->role == CKS_ROLE_TRIAL || column->role == CKS_ROLE_NOTE;
  return used ? NULL
              : cks_arena_format(work->arena, "%s is not used in the places table; it belongs in the plot lists",
                                 fact->label);
}

static const char *in_names(cks_audit_work *work, const cks_column *column)
{
  static const cks_role used[] = {CKS_ROLE_SEEN_AS,   CKS_ROLE_HYBRID,   CKS_ROLE_BRAND,   CKS_ROLE_CODE,
                                  CKS_ROLE_ENTRY,     CKS_ROLE_MATURITY, CKS_ROLE_CHECK,   CKS_ROLE_PRINT,
                                  CKS_ROLE_SEED_COST, CKS_ROLE_NOTE,     CKS_ROLE_BY_GROUP};
  for (size_t i = 0; i < sizeof used / sizeof *used; i++)
    if (column->role == used[i]) return NULL;
  return cks_arena_format(work->arena, "%s is not used in the names table", cks_role_find(column->role)->label);
}

cks_status cks_audit_unused(cks_audit_work *work)
{
  const struct {
    const cks_table *table;
    const char *(*why)(cks_audit_work *work, const cks_column *column);
  } tables[] = {{work->table, in_plots}, {work->places, in_places}, {work->names, in_names}};
  cks_status status = CKS_OK;
  for (size_t t = 0; t < sizeof tables / sizeof *tables; t++)
    for (size_t i = 0; tables[t].table && i < tables[t].table->n_column && status == CKS_OK; i++) {
      const char *why = tables[t].why(work, &tables[t].table->column[i]);
      if (why) status = say(work, &tables[t].table->column[i], why);
    }
  return status == CKS_OK ? cks_arena_status(work->arena, work->error) : status;
}

cks_status cks_audit_stages(cks_audit_work *work)
{
  const cks_table *table = work->table;
  cks_status status = CKS_OK;
  bool looked = cks_crop_is_sorghum(work->crop) && !work->crop->forage; /* of a cut any words will do */
  for (size_t i = 0; i < table->n_column && looked; i++) {
    const cks_column *column = &table->column[i];
    if (column->role != CKS_ROLE_STAGE) continue;
    cks_id last = CKS_NONE; /* found to be a stage: columns of one word are common */
    for (size_t row = 0; row < table->n_row && status == CKS_OK; row++) {
      cks_id name = column->name[row];
      const char *text = cks_names_text(&table->names, name);
      if (name == CKS_NONE || name == last) continue;
      if (cks_stage_find(text))
        last = name;
      else
        status =
            cks_audit_say(work, CKS_RULE_STAGE_UNKNOWN, row, column, text,
                          "'%s' is no growth stage that is known, and the stage calendar does without it; write one "
                          "such as boot, mid-bloom, milk, soft dough, hard dough or black layer",
                          text);
    }
  }
  return status;
}
