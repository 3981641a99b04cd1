/*
 * match.c: what each cell position of a file stands for, from its heading line.
 *
 * A column of the table is one role, key, unit and basis. In one file a role and key stand once: a heading that
 * --heading names outranks others, two of equal rank are an error. Files that rate a trait on different scales, or in
 * units that do not convert, are an error: such columns must never become one.
 */
#include "columns.h"

#include "../agronomy/words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { LIST_BYTES = 400 };

static cks_status say(const cks_reader *reader, cks_rule rule, size_t slot, const char *text)
{
  return cks_findings_add(reader->reading.findings, rule, cks_reader_where(reader, reader->heading_line, slot),
                          reader->heading[slot], NULL, reader->reading.error, "%s", text);
}

/* True the first time that this heading is asked about, over all files. */
static cks_status first_time(cks_reader *reader, const char *heading, bool *first)
{
  char folded[CKS_HEADING_LONGEST + 1];
  size_t n = cks_word_fold(folded, heading, strlen(heading)), before = reader->reported.n;
  cks_id id;
  cks_status status = n ? cks_names_add(&reader->reported, folded, n, &id, reader->reading.error)
                        : cks_names_add(&reader->reported, heading, strlen(heading), &id, reader->reading.error);
  *first = reader->reported.n > before;
  return status;
}

cks_status cks_reader_say_unknown(cks_reader *reader, size_t slot, const cks_heading *h)
{
  bool first = false;
  const char *heading = reader->heading[slot];
  cks_status status = first_time(reader, heading, &first);
  cks_rule rule = h->near ? CKS_RULE_HEADING_NEAR : CKS_RULE_HEADING_UNKNOWN;
  if (status != CKS_OK || !first) return status;
  char text[LIST_BYTES + 2 * CKS_HEADING_LONGEST + CKS_SHELL_WORD];
  char given[CKS_SHELL_WORD];
  cks_shell_word(given, heading);
  if (h->near) {
    const cks_role_fact *fact = cks_role_find(h->near_role);
    snprintf(text, sizeof text,
             "'%.200s' is not known and not used; did you mean '%s'? rename it, or give --heading %s=%s", heading,
             fact->label, fact->key, given);
  } else if (cks_words_summary(heading) != CKS_SUMMARY_NO) { /* --trait would take means for plots */
    snprintf(text, sizeof text,
             "'%.200s' speaks of a mean, total or test of other columns and is not used; if it is a value of one plot "
             "give it another name",
             heading);
  } else if (reader->thing) {
    snprintf(text, sizeof text, "'%.200s' is not known and not used; 'checkstrip help headings' lists the roles",
             heading);
  } else {
    snprintf(text, sizeof text, "'%.200s' is not known and not used; --trait %s makes it a trait if it holds numbers",
             heading, given);
  }
  return say(reader, rule, slot, text);
}

/* Of two headings for one thing the one that --heading names; else the first, with an error. */
static cks_status say_two(cks_reader *reader, size_t kept, size_t other, const cks_heading *h)
{
  char text[LIST_BYTES + 4 * CKS_HEADING_LONGEST + CKS_SHELL_WORD];
  const char *first = reader->heading[kept], *second = reader->heading[other];
  if (h[kept].explicit_role && !h[other].explicit_role) {
    bool fresh = false;
    cks_status status = first_time(reader, second, &fresh);
    snprintf(text, sizeof text, "'%.200s' is not used: --heading gives %s to '%.200s'", second, h[kept].key, first);
    return status == CKS_OK && fresh ? say(reader, CKS_RULE_HEADING_UNKNOWN, other, text) : status;
  }
  if (h[kept].role == CKS_ROLE_NOTE) {
    snprintf(text, sizeof text, "'%.200s' is not used: '%.200s' is the note", second, first);
    return say(reader, CKS_RULE_HEADING_UNKNOWN, other, text);
  }
  char given[CKS_SHELL_WORD];
  const char *looks =
      cks_heading_is_observed(h[kept].role)
          ? "; two looks at one trait need the day or the observer in the heading, as 'lodging "
            "2026-10-03', 'stand (JT)', or one row an observation, with columns plot, date, observer, trait and value"
          : "";
  if (cks_word_same(first, second)) /* no option can tell them apart */
    snprintf(text, sizeof text,
             "'%.200s' and '%.200s' (columns %zu and %zu) both stand for %s; rename the one that is not meant%s", first,
             second, kept + 1, other + 1, h[kept].key, looks);
  else
    snprintf(text, sizeof text,
             "'%.200s' and '%.200s' both stand for %s; rename the one that is not meant, or give --heading %s=%s to "
             "take that one and leave the other out%s",
             first, second, h[kept].key, cks_role_find(h[kept].role)->key, cks_shell_word(given, second), looks);
  return say(reader, CKS_RULE_TWO_COLUMNS, other, text);
}

static bool same_thing(const cks_heading *a, const cks_heading *b)
{
  bool read_a = a->kind == CKS_HEADING_KNOWN || a->kind == CKS_HEADING_UNIT_BAD;
  bool read_b = b->kind == CKS_HEADING_KNOWN || b->kind == CKS_HEADING_UNIT_BAD;
  return read_a && read_b && a->role == b->role && !strcmp(a->key, b->key) && !strcmp(a->observer, b->observer);
}

static bool is_range(const char *heading)
{
  char folded[CKS_HEADING_LONGEST + 1];
  return cks_word_fold(folded, heading, strlen(heading)) &&
         (!strncmp(folded, "range", 5) || !strncmp(folded, "rng", 3));
}

/* A field of ranges has its rows across them: where a range stands beside a row, and nothing is the column, the row is. */
static void part_positions(const cks_reader *reader, cks_heading *h)
{
  size_t range = SIZE_MAX, row = SIZE_MAX;
  for (size_t i = 0; i < reader->n_slot; i++) {
    bool known = h[i].kind == CKS_HEADING_KNOWN && !h[i].explicit_role;
    if (h[i].kind == CKS_HEADING_KNOWN && h[i].role == CKS_ROLE_COLUMN) return;
    if (known && h[i].role == CKS_ROLE_ROW) *(is_range(reader->heading[i]) ? &range : &row) = i;
  }
  if (range == SIZE_MAX || row == SIZE_MAX) return;
  h[row].role = CKS_ROLE_COLUMN;
  snprintf(h[row].key, sizeof h[row].key, "%s", cks_role_find(CKS_ROLE_COLUMN)->key);
}

/* Beside a month a plain "day" is the day of the month. */
static void part_days(const cks_reader *reader, cks_heading *h)
{
  bool month = false;
  for (size_t i = 0; i < reader->n_slot; i++) month |= h[i].kind == CKS_HEADING_KNOWN && h[i].role == CKS_ROLE_MONTH;
  for (size_t i = 0; i < reader->n_slot; i++) {
    bool plain = h[i].kind == CKS_HEADING_KNOWN && h[i].role == CKS_ROLE_DAY && !h[i].explicit_role &&
                 cks_word_same(reader->heading[i], cks_role_find(CKS_ROLE_DAY)->key);
    if (!month || !plain) continue;
    const cks_role_fact *fact = cks_role_find(CKS_ROLE_DAY_OF_MONTH);
    h[i].role = CKS_ROLE_DAY_OF_MONTH;
    h[i].unit = fact->unit;
    snprintf(h[i].key, sizeof h[i].key, "%s", fact->key);
  }
}

/* Makes EMPTY of what another heading of the file outranks. First of each thing: by a table of what is kept. */
static cks_status keep_one_each(cks_reader *reader, cks_heading *h)
{
  cks_status status = CKS_OK;
  size_t n_kept = 0, *kept = malloc((reader->n_slot + 1) * sizeof *kept);
  if (!kept) return cks_error_nomem(reader->reading.error);
  for (size_t i = 0; i < reader->n_slot && status == CKS_OK; i++) {
    if (h[i].kind != CKS_HEADING_KNOWN && h[i].kind != CKS_HEADING_UNIT_BAD) continue;
    size_t at = 0;
    while (at < n_kept && !same_thing(&h[kept[at]], &h[i])) at++;
    if (at == n_kept) {
      kept[n_kept++] = i;
      continue;
    }
    size_t winner = kept[at], loser = i;
    if (h[i].explicit_role && !h[winner].explicit_role) loser = winner, winner = i;
    kept[at] = winner;
    status = say_two(reader, winner, loser, h);
    h[loser].kind = CKS_HEADING_UNKNOWN;
  }
  free(kept);
  return status;
}

static bool same_or_missing(double a, double b) { return isnan(a) || isnan(b) || a == b; }
static bool same_number(double a, double b) { return a == b || (isnan(a) && isnan(b)); }

/* The table's column that the heading goes into; CKS_NONE: none yet. *clash: an earlier file means something else by
 * it. */
static cks_id find_column(cks_table *table, const cks_heading *h, const cks_column **clash)
{
  for (size_t i = 0; i < table->n_column; i++) {
    cks_column *column = &table->column[i];
    if (column->role != h->role || strcmp(column->key, h->key) != 0 || strcmp(column->observer, h->observer) != 0)
      continue;
    bool converts = cks_unit_dimension(column->unit) == cks_unit_dimension(h->unit);
    bool one_scale =
        same_or_missing(column->scale_low, h->scale_low) && same_or_missing(column->scale_high, h->scale_high);
    if (!converts || !one_scale || column->better != h->better) {
      *clash = column;
      return CKS_NONE;
    }
    if (column->unit != h->unit || !same_number(column->basis_pct, h->basis_pct)) continue;
    if (column->unit_stated != h->unit_stated && cks_unit_has_rivals(h->unit)) continue; /* judged by its own values */
    column->unit_stated = column->unit_stated || h->unit_stated;
    if (isnan(column->scale_low)) column->scale_low = h->scale_low;
    if (isnan(column->scale_high)) column->scale_high = h->scale_high;
    return (cks_id)i;
  }
  return CKS_NONE;
}

static cks_status say_clash(cks_reader *reader, size_t slot, const cks_column *clash)
{
  char text[LIST_BYTES + 3 * CKS_HEADING_LONGEST];
  snprintf(text, sizeof text,
           "'%.200s' and '%.200s' of an earlier %s differ in unit, scale or good end and cannot be one "
           "trait; write both alike, or give one of them a name of its own",
           reader->heading[slot], clash->heading, reader->look.rows ? "row or file" : "file");
  return say(reader, CKS_RULE_UNIT_UNKNOWN, slot, text);
}

static void note_look(cks_look *look, cks_role role, size_t slot)
{
  if (role == CKS_ROLE_TRAIT) look->trait = slot;
  if (role == CKS_ROLE_VALUE) look->value = slot;
  if (role == CKS_ROLE_UNIT) look->unit = slot;
  if (role == CKS_ROLE_OBSERVED) look->observed = slot;
  if (role == CKS_ROLE_OBSERVER) look->observer = slot;
}

static cks_status use_column(cks_reader *reader, size_t slot, const cks_heading *h)
{
  cks_table *table = reader->table;
  const cks_column *clash = NULL;
  cks_slot *to = &reader->slot[slot];
  const cks_role_fact *fact = cks_role_find(h->role);
  cks_status status = CKS_OK;
  to->column = find_column(table, h, &clash);
  if (clash) return say_clash(reader, slot, clash);
  if (to->column == CKS_NONE) {
    cks_column column = {.role = h->role,
                         .unit = h->unit,
                         .unit_stated = h->unit_stated,
                         .kind = fact->kind,
                         .heading = reader->heading[slot],
                         .key = cks_arena_text(table->arena, h->key),
                         .observer = cks_arena_text(table->arena, h->observer),
                         .where = cks_reader_where(reader, reader->heading_line, slot),
                         .basis_pct = h->basis_pct,
                         .scale_low = h->scale_low,
                         .scale_high = h->scale_high,
                         .better = h->better};
    to->column = (cks_id)table->n_column;
    status = cks_reader_add_column(reader, &column);
  }
  if (status == CKS_OK)
    status = cks_column_put(&table->column[to->column], (cks_column_in){reader->reading.file, to->cell},
                            reader->reading.error);
  to->kind = fact->kind == CKS_NUMBER ? CKS_SLOT_NUMBER : fact->kind == CKS_NAME ? CKS_SLOT_NAME : CKS_SLOT_DATE;
  to->hybrid = h->role == CKS_ROLE_HYBRID;
  to->key = h->role == CKS_ROLE_HYBRID || h->role == CKS_ROLE_TREATMENT || h->role == CKS_ROLE_ENTRY ||
            h->role == CKS_ROLE_CODE || h->role == CKS_ROLE_PLOT;
  to->measured =
      fact->role_class == CKS_CLASS_TRAIT || fact->role_class == CKS_CLASS_INPUT || h->role == CKS_ROLE_VALUE;
  to->raw = h->role == CKS_ROLE_TRAIT || h->role == CKS_ROLE_VALUE || h->role == CKS_ROLE_UNIT;
  to->late = h->role == CKS_ROLE_OBSERVED;
  note_look(&reader->look, h->role, slot);
  to->plot_word = to->key || h->role == CKS_ROLE_REP || h->role == CKS_ROLE_BLOCK;
  return status;
}

static cks_status say_unit_against(cks_reader *reader, size_t slot, const cks_heading *h)
{
  char text[LIST_BYTES + 4 * CKS_HEADING_LONGEST + CKS_SHELL_WORD];
  char whole[CKS_HEADING_LONGEST + CKS_NUMBER_TEXT], given[CKS_SHELL_WORD];
  snprintf(whole, sizeof whole, "%.200s=%s", reader->heading[slot], h->unit_against);
  snprintf(text, sizeof text,
           "the heading says %s, which stands; --unit %s=%s is for columns that state no unit; to overrule the "
           "heading give it whole, as in --unit %s",
           cks_unit_text(h->unit), h->key, h->unit_against, cks_shell_word(given, whole));
  return say(reader, CKS_RULE_UNIT_FROM_HEADING, slot, text);
}

cks_status cks_reader_use_slot(cks_reader *reader, size_t slot, const cks_heading *h)
{
  cks_status status = CKS_OK;
  switch (h->kind) {
  case CKS_HEADING_EMPTY:
    reader->slot[slot].kind = CKS_SLOT_NAMELESS;
    return CKS_OK;
  case CKS_HEADING_KNOWN:
    status = h->unit_against ? say_unit_against(reader, slot, h) : CKS_OK;
    return status == CKS_OK ? use_column(reader, slot, h) : status;
  case CKS_HEADING_UNIT_BAD:
    return say(reader, CKS_RULE_UNIT_UNKNOWN, slot, h->why);
  case CKS_HEADING_UNKNOWN:
    break;
  }
  return CKS_OK;
}

static bool has_role(const cks_reader *reader, const cks_heading *h, cks_role role)
{
  bool has = false;
  for (size_t i = 0; i < reader->n_slot; i++) has = has || (h[i].kind == CKS_HEADING_KNOWN && h[i].role == role);
  return has;
}

/* A near word is no guess where its role has a column, or the heading speaks of means or shares of something. */
static void judge_near(const cks_reader *reader, cks_heading *h)
{
  for (size_t i = 0; i < reader->n_slot; i++)
    if (h[i].near && (has_role(reader, h, h[i].near_role) || cks_words_summary(reader->heading[i]) != CKS_SUMMARY_NO ||
                      (h[i].near_role == CKS_ROLE_CHECK && strchr(reader->heading[i], '%'))))
      h[i].near = false;
}

/* Nothing says where or in which rep a plot stood: words under unknown headings are looked at. Where reps are given, those
 * under a heading that may mean a place, which is no synonym of location since it often stands beside one. */
static void watch_words(cks_reader *reader, const cks_heading *h)
{
  static const char places[] = "field|field name|field id|ranch|where|land|area|property|land owner|section";
  if (has_role(reader, h, CKS_ROLE_LOCATION) || has_role(reader, h, CKS_ROLE_PLOT)) return;
  reader->reps = has_role(reader, h, CKS_ROLE_REP) || has_role(reader, h, CKS_ROLE_BLOCK);
  for (size_t i = 0; i < reader->n_slot && !reader->thing; i++)
    if (h[i].kind == CKS_HEADING_UNKNOWN && !h[i].near && reader->slot[i].kind == CKS_SLOT_UNUSED &&
        (!reader->reps || cks_words_has(places, reader->heading[i])))
      reader->slot[i].kind = CKS_SLOT_WORDS;
}

/* Where the file holds the slot's heading and cells: not where it stood above the table, nor, in a wide one, in one cell. */
static void set_cells(cks_reader *reader, size_t slot)
{
  const cks_form *form = reader->form;
  uint32_t at = slot < form->n_column ? (uint32_t)slot + 1 : 0;
  reader->slot[slot].at = at;
  reader->slot[slot].cell = at && form->level && form->apart[slot] ? 0 : at;
}

cks_status cks_reader_match(cks_reader *reader, uint32_t line)
{
  size_t n = reader->n_slot;
  cks_id id;
  cks_status status = CKS_OK;
  cks_heading *h = calloc(n + 1, sizeof *h);
  reader->slot = calloc(n + 1, sizeof *reader->slot);
  if (!h || !reader->slot) {
    free(h);
    return cks_error_nomem(reader->reading.error);
  }
  reader->heading_line = line;
  for (size_t i = 0; i < n && status == CKS_OK; i++) {
    reader->slot[i] = (cks_slot){.kind = CKS_SLOT_UNUSED, .column = CKS_NONE, .last = CKS_NONE};
    set_cells(reader, i);
    cks_heading_read(&reader->context, reader->heading[i], &h[i]);
    if (h[i].kind == CKS_HEADING_EMPTY) continue;
    reader->n_needed = i + 1;
    status = cks_names_add(&reader->table->headings, reader->heading[i], strlen(reader->heading[i]), &id,
                           reader->reading.error);
  }
  cks_observe_match(reader, h);
  judge_near(reader, h);
  for (size_t i = 0; i < n && status == CKS_OK; i++)
    if (h[i].kind == CKS_HEADING_UNKNOWN) status = cks_reader_say_unknown(reader, i, &h[i]);
  part_positions(reader, h);
  part_days(reader, h);
  if (status == CKS_OK) status = keep_one_each(reader, h);
  for (size_t i = 0; i < n && status == CKS_OK; i++) status = cks_reader_use_slot(reader, i, &h[i]);
  if (status == CKS_OK) watch_words(reader, h);
  free(h);
  return status;
}
