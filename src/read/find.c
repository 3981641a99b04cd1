/* find.c: see find.h. A table that is one row a plot goes through cell by cell, without being kept. */
#include "find.h"

#include <string.h>

enum {
  ROWS_KEPT = 40,       /* among them the headings must stand */
  BYTES_KEPT = 1 << 20, /* ... or in so much text */
  LISTED = 6            /* rows above the headings whose first words a note quotes */
};
static const char *const level_headings[] = {"", "rep", "year", "location"};

cks_status cks_finder_init(cks_finder *finder, const cks_reading *reading, const cks_heading_context *context,
                           cks_row_handler target)
{
  *finder = (cks_finder){.reading = reading, .context = context, .target = target, .looking = true};
  finder->arena = cks_arena_new();
  return finder->arena ? CKS_OK : cks_error_nomem(reading->error);
}

void cks_finder_release(cks_finder *finder)
{
  cks_rows_release(&finder->rows);
  cks_arena_free(finder->arena);
  finder->arena = NULL;
}

static cks_where at_line(const cks_finder *finder, uint32_t line)
{
  return (cks_where){finder->reading->file, CKS_NONE, line, 0};
}

/* ---- what is said ----------------------------------------------------------------------------------------------- */

/* Rows above the headings, by their first words; what was taken from them. */
static cks_status say_above(cks_finder *finder)
{
  const cks_form *form = &finder->form;
  const char *text = "";
  cks_status status = CKS_OK;
  if (!form->first) return CKS_OK;
  for (size_t r = 0; r < form->first && r < LISTED; r++) {
    size_t c = 0;
    while (!*cks_rows_cell(&finder->rows, r, c)) c++;
    text = cks_arena_format(finder->arena, "%s%s'%.60s'", text, r ? ", " : "", cks_rows_cell(&finder->rows, r, c));
  }
  status =
      cks_findings_add(finder->reading->findings, CKS_RULE_ROWS_ABOVE, at_line(finder, finder->rows.row[0].line), NULL,
                       NULL, finder->reading->error, "the headings stand on line %lu; what is above is no plot: %s%s",
                       (unsigned long)finder->rows.row[form->first].line, text, form->first > LISTED ? ", ..." : "");
  for (size_t k = 0; k < form->n_constant && status == CKS_OK; k++)
    status = cks_findings_add(finder->reading->findings, CKS_RULE_SAID_ABOVE, at_line(finder, finder->rows.row[0].line),
                              form->constant[k].heading, form->constant[k].value, finder->reading->error,
                              "'%.80s: %.80s' above the headings is taken for every row of the table",
                              form->constant[k].heading, form->constant[k].value);
  return status;
}

static cks_status say_heads(cks_finder *finder)
{
  const cks_form *form = &finder->form;
  uint32_t first = finder->rows.row[form->first].line, last = finder->rows.row[form->first + form->n_head - 1].line;
  if (form->n_head < 2) return CKS_OK;
  return cks_findings_add(finder->reading->findings, CKS_RULE_HEADING_ROWS, at_line(finder, first), NULL, NULL,
                          finder->reading->error, "the headings stand on lines %lu to %lu and were put together",
                          (unsigned long)first, (unsigned long)last);
}

static cks_status say_wide(cks_finder *finder)
{
  const cks_form *form = &finder->form;
  cks_where where = at_line(finder, finder->rows.row[form->first].line);
  const char *names = "";
  if (form->clash)
    return cks_findings_add(finder->reading->findings, CKS_RULE_WIDE_TABLE, where, NULL, NULL, finder->reading->error,
                            "%s", form->clash);
  if (!form->level) return CKS_OK;
  for (size_t k = 0; k < form->n_group && k < LISTED; k++)
    names = cks_arena_format(finder->arena, "%s%s%.60s", names, k ? ", " : "", form->group[k]);
  const char *of = !form->trait_above ? ""
                                      : cks_arena_format(finder->arena, " of %s, as line %lu says,", form->trait_above,
                                                         (unsigned long)form->trait_line);
  return cks_findings_add(finder->reading->findings, CKS_RULE_WIDE_TAKEN, where, NULL, NULL, finder->reading->error,
                          "columns a %s (%s%s)%s were taken as rows; if that is not meant, give one row a plot",
                          level_headings[form->level], names, form->n_group > LISTED ? ", ..." : "", of);
}

/* ---- handing on ------------------------------------------------------------------------------------------------- */

static void hand_cell(cks_finder *finder, const char *text, uint32_t line)
{
  finder->target.cell(finder->target.to, text, strlen(text), line);
}

/* The cell of a kept row; SIZE_MAX: an empty one. */
static void hand_kept(cks_finder *finder, size_t row, size_t column)
{
  if (finder->target.copied && column != SIZE_MAX && cks_rows_copied(&finder->rows, row, column))
    finder->target.copied(finder->target.to);
  hand_cell(finder, column == SIZE_MAX ? "" : cks_rows_cell(&finder->rows, row, column), finder->rows.row[row].line);
}

static void hand_constants(cks_finder *finder, uint32_t line, bool headings)
{
  for (size_t k = 0; k < finder->form.n_constant; k++)
    hand_cell(finder, headings ? finder->form.constant[k].heading : finder->form.constant[k].value, line);
}

static bool is_plain(const cks_finder *finder) { return !finder->form.level && !finder->form.n_constant; }

static bool hand_headings(cks_finder *finder)
{
  const cks_form *form = &finder->form;
  uint32_t line = finder->rows.row[form->first + form->n_head - 1].line;
  for (size_t c = 0; c < form->n_column; c++) hand_cell(finder, form->heading[c], line);
  hand_constants(finder, line, true);
  if (form->level) hand_cell(finder, level_headings[form->level], line);
  return finder->target.row(finder->target.to, line);
}

/* One row a plot: the row as it is, the facts said above behind it. */
static bool hand_row(cks_finder *finder, size_t row)
{
  const cks_kept_row *r = &finder->rows.row[row];
  size_t n = finder->form.n_constant && r->n < finder->form.n_column ? finder->form.n_column : r->n;
  for (size_t c = 0; c < n; c++) hand_kept(finder, row, c);
  hand_constants(finder, r->line, false);
  return finder->target.row(finder->target.to, r->line);
}

/* A row of a wide table: one for each group that holds anything. */
static bool hand_groups(cks_finder *finder, size_t row)
{
  const cks_form *form = &finder->form;
  const cks_kept_row *r = &finder->rows.row[row];
  bool go_on = true;
  for (size_t k = 0; k < form->n_group && go_on; k++) {
    const size_t *source = form->source + k * form->n_column;
    bool any = false;
    for (size_t c = 0; c < form->n_column && !any; c++)
      any = form->apart[c] && source[c] != SIZE_MAX && *cks_rows_cell(&finder->rows, row, source[c]);
    if (!any) continue;
    for (size_t c = 0; c < form->n_column; c++) hand_kept(finder, row, source[c]);
    hand_constants(finder, r->line, false);
    hand_cell(finder, form->group[k], r->line);
    go_on = finder->target.row(finder->target.to, r->line);
  }
  return go_on;
}

static bool hand(cks_finder *finder, size_t row)
{
  return finder->form.level ? hand_groups(finder, row) : hand_row(finder, row);
}

/* ---- settling --------------------------------------------------------------------------------------------------- */

/* What was kept back goes on: headings, then rows. */
static void settle(cks_finder *finder)
{
  cks_status status =
      cks_form_find(&finder->rows, finder->context, finder->arena, &finder->form, finder->reading->error);
  finder->looking = false;
  finder->skipped = status == CKS_OK && finder->may_skip && !finder->form.found;
  finder->stop = finder->skipped || !finder->rows.n_row;
  if (status == CKS_OK && !finder->stop) status = say_above(finder);
  if (status == CKS_OK && !finder->stop) status = say_heads(finder);
  if (status == CKS_OK && !finder->stop) status = say_wide(finder);
  if (status == CKS_OK && !finder->stop && !finder->form.clash)
    status = cks_form_units_above(&finder->rows, &finder->form, finder->reading, finder->context);
  finder->status = status;
  if (status != CKS_OK) finder->stop = true;
  if (finder->form.clash && !finder->stop) {
    finder->target.drop(finder->target.to);
    finder->stop = true;
  }
  if (finder->stop) return;
  finder->stop = !hand_headings(finder);
  for (size_t r = finder->form.first + finder->form.n_head; r < finder->rows.n_row && !finder->stop; r++)
    finder->stop = !hand(finder, r);
  finder->rows.n_row = finder->rows.n_cell = finder->rows.used = 0;
}

/* ---- the handler ------------------------------------------------------------------------------------------------ */

static void take_cell(void *to, const char *text, size_t n, uint32_t line)
{
  cks_finder *finder = to;
  if (finder->stop || finder->status != CKS_OK) return;
  if (!finder->looking && is_plain(finder))
    finder->target.cell(finder->target.to, text, n, line);
  else
    finder->status = cks_rows_add(&finder->rows, text, n, finder->copied, finder->reading->error);
  finder->copied = false;
}

static void take_copied(void *to)
{
  cks_finder *finder = to;
  if (!finder->looking && is_plain(finder) && finder->target.copied)
    finder->target.copied(finder->target.to);
  else
    finder->copied = true;
}

static bool take_row(void *to, uint32_t line)
{
  cks_finder *finder = to;
  if (finder->stop || finder->status != CKS_OK) return false;
  if (!finder->looking && is_plain(finder)) return finder->target.row(finder->target.to, line);
  finder->status = cks_rows_end(&finder->rows, line, finder->reading->error);
  if (finder->status != CKS_OK) return false;
  if (finder->looking) {
    if (finder->rows.n_row >= ROWS_KEPT || finder->rows.used >= BYTES_KEPT) settle(finder);
  } else if (finder->rows.n_row) {
    finder->stop = !hand(finder, 0);
    finder->rows.n_row = finder->rows.n_cell = finder->rows.used = 0;
  }
  return !finder->stop && finder->status == CKS_OK;
}

/* A faulty row that may be the heading line ends the file; one below what is kept back is no more than a row. */
static bool take_drop(void *to)
{
  cks_finder *finder = to;
  cks_rows_forget(&finder->rows);
  if (finder->looking && finder->rows.n_row) settle(finder);
  if (finder->status != CKS_OK) return false;
  return finder->target.drop(finder->target.to) && !finder->stop;
}

cks_row_handler cks_finder_handler(cks_finder *finder)
{
  return (cks_row_handler){finder, take_cell, take_row, take_drop, take_copied};
}

cks_status cks_finder_end(cks_finder *finder)
{
  if (finder->looking && finder->status == CKS_OK) settle(finder);
  return finder->status;
}
