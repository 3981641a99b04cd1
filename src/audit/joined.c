/*
 * joined.c: what the joining of files found, in words: rows that belong to no plot, two values for one plot, plots without
 * a value. A plot or row that is left out makes a note of what would be an error. Rows without a plot are no plots from
 * here on.
 */
#include "audit.h"

#include <stdlib.h>
#include <string.h>

#define WORDS(...) cks_arena_format(work->arena, __VA_ARGS__)

static const char *file_name(const cks_audit_work *work, cks_id file) { return work->findings->file[file]; }

static const char *name_at(const cks_audit_work *work, cks_role role, size_t row)
{
  const cks_column *column = cks_table_column(work->table, role);
  return column ? cks_names_text(&work->table->names, column->name[row]) : "";
}

/* "plot 101", or the position where there is no number. */
static const char *plot_text(cks_audit_work *work, size_t row)
{
  const char *plot = name_at(work, CKS_ROLE_PLOT, row);
  const cks_column *at_row = cks_table_column(work->table, CKS_ROLE_ROW),
                   *at_column = cks_table_column(work->table, CKS_ROLE_COLUMN);
  if (*plot) return WORDS("plot %s", plot);
  return at_row && at_column ? WORDS("row %g, column %g", at_row->number[row], at_column->number[row]) : "a plot";
}

/* " at Creek"; "" when the row gives no location. */
static const char *at_place(cks_audit_work *work, size_t row)
{
  const char *place = name_at(work, CKS_ROLE_LOCATION, row);
  return *place ? WORDS(" at %s", place) : "";
}

/* ---- rows without a plot ---------------------------------------------------------------------------------------- */

/* " or --without plot=407"; "" where the row names no plot, or the option would take other rows of that number too. */
static const char *without_plot(cks_audit_work *work, const cks_stray *s, const uint32_t *n_rows)
{
  const cks_column *plot = cks_table_column(work->table, CKS_ROLE_PLOT);
  char given[CKS_SHELL_WORD];
  if (!plot || plot->name[s->row] == CKS_NONE || n_rows[plot->name[s->row]] > 1) return "";
  return WORDS(" or --without plot=%s", cks_shell_word(given, name_at(work, CKS_ROLE_PLOT, s->row)));
}

/* n_rows: of each name as a plot's. */
static cks_status say_stray(cks_audit_work *work, const cks_stray *s, const uint32_t *n_rows)
{
  const cks_table *table = work->table;
  const char *plot = plot_text(work, s->row), *place = at_place(work, s->row);
  const cks_column *location = cks_table_column(table, CKS_ROLE_LOCATION);
  bool flaw = work->left_out[s->row] || (s->to != CKS_NONE && work->left_out[s->to]);
  cks_audit_at at = {flaw && s->to != CKS_NONE && !work->left_out[s->row] ? s->to : s->row,
                     cks_table_where(table, NULL, s->row), NULL, NULL};
  char given[CKS_SHELL_WORD];
  switch (s->kind) {
  case CKS_STRAY_TOLD:
    return CKS_OK;
  case CKS_STRAY_NO_PLOT:
    return cks_audit_say_at(work, CKS_RULE_PLOT_NOT_IN_LIST, &at,
                            "the row holds values and names no plot; write its plot, or leave the row out with a "
                            "leave_out column");
  case CKS_STRAY_NO_PLACE:
    return cks_audit_say(work, CKS_RULE_MISSING_PLACE, s->row, location, "",
                         "%s is empty here and given in other rows; write it (fill it down where cells were merged)",
                         location->heading);
  case CKS_STRAY_PLACE:
    return cks_audit_say_at(
        work, CKS_RULE_PLOT_NOT_IN_LIST, &at,
        "the list has no plots%s, only at %s; write the location alike in both files, add the plots to the list, or "
        "leave them out with --without location=%s",
        place, work->table->joined->places, cks_shell_word(given, name_at(work, CKS_ROLE_LOCATION, s->row)));
  case CKS_STRAY_PLOT:
    return cks_audit_say_at(work, CKS_RULE_PLOT_NOT_IN_LIST, &at,
                            "%s%s is not in the list; correct it, add it to the list, or leave the row out with a "
                            "leave_out column%s",
                            plot, place, without_plot(work, s, n_rows));
  case CKS_STRAY_SEVERAL:
    return cks_audit_say_at(
        work, CKS_RULE_DUPLICATE_PLOT, &at,
        "%s%s stands twice in the list, in %s and in %s, so this row belongs to "
        "neither; correct the number there, leave one row out with a leave_out column, or tell them "
        "apart by rep, year or trial",
        plot, place, cks_audit_line(work, table->file[s->to], table->line[s->to]),
        cks_audit_line(work, table->file[s->other], table->line[s->other]));
  case CKS_STRAY_TWICE: /* left out, it gave way to the other */
    if (work->left_out[s->row]) return CKS_OK;
    return cks_audit_say_at(work, CKS_RULE_DUPLICATE_PLOT, &at,
                            "%s%s stands here and, with other values, in %s; correct the plot number, or leave "
                            "one row out with a leave_out column",
                            plot, place, cks_audit_line(work, table->file[s->row], s->other));
  }
  return CKS_OK;
}

/* How many rows hold each name as their plot; NULL: no memory. */
static uint32_t *count_plots(const cks_table *table)
{
  const cks_column *plot = cks_table_column(table, CKS_ROLE_PLOT);
  uint32_t *n_rows = calloc(table->names.n + 1, sizeof *n_rows);
  for (size_t row = 0; n_rows && plot && row < table->n_row; row++)
    if (plot->name[row] != CKS_NONE) n_rows[plot->name[row]]++;
  return n_rows;
}

/* A location that the list does not have is said once a file. */
static cks_status say_strays(cks_audit_work *work)
{
  const cks_joined *joined = work->table->joined;
  cks_status status = CKS_OK;
  const cks_column *location = cks_table_column(work->table, CKS_ROLE_LOCATION);
  size_t n_names = work->table->names.n;
  uint32_t *n_rows = count_plots(work->table);
  cks_id *said = malloc((n_names + 1) * sizeof *said); /* the last file in which a location was said */
  if (said) memset(said, 0xff, n_names * sizeof *said);
  if (!said || !n_rows) status = cks_error_nomem(work->error);
  for (size_t i = 0; i < joined->n_stray && status == CKS_OK; i++) {
    const cks_stray *s = &joined->stray[i];
    if (s->kind == CKS_STRAY_PLACE && !work->left_out[s->row]) {
      cks_id *last = &said[location->name[s->row]];
      if (*last == work->table->file[s->row]) continue;
      *last = work->table->file[s->row];
    }
    status = say_stray(work, s, n_rows);
  }
  free(said);
  free(n_rows);
  return status;
}

/* ---- two values ------------------------------------------------------------------------------------------------- */

static const char *value_text(cks_audit_work *work, const cks_column *column, double number, cks_id name)
{
  char date[CKS_NUMBER_TEXT];
  if (column->name) return WORDS("'%s'", cks_names_text(&work->table->names, name));
  return column->kind == CKS_DATE ? WORDS("%s", cks_print_date(date, number)) : WORDS("%.10g", number);
}

static cks_status say_second(cks_audit_work *work, const cks_second_value *second)
{
  const cks_table *table = work->table;
  const cks_column *column = &table->column[second->column];
  if (!cks_findings_wants(work->findings, CKS_RULE_TWO_VALUES, second->file) && !work->left_out[second->row]) {
    cks_audit_at counted = {second->row, {second->file, CKS_NONE, second->line, 0}, NULL, NULL};
    return cks_audit_say_at(work, CKS_RULE_TWO_VALUES, &counted, "%s", "");
  }
  cks_where first = cks_table_where(table, column, second->row);
  const char *here = value_text(work, column, second->number, second->name);
  const char *there = value_text(work, column, column->number ? column->number[second->row] : cks_missing(),
                                 column->name ? column->name[second->row] : CKS_NONE);
  cks_where where = {second->file, CKS_NONE, second->line, cks_column_cell(column, second->file)};
  cks_audit_at at = {second->row, where, column->heading, here};
  return cks_audit_say_at(work, CKS_RULE_TWO_VALUES, &at,
                          "%s of %s%s is %s here and %s in %s; correct one of them, or empty one", column->heading,
                          plot_text(work, second->row), at_place(work, second->row), here, there,
                          cks_audit_line(work, first.file, first.line));
}

/* ---- plots without a value -------------------------------------------------------------------------------------- */

static int compare_names(const void *left, const void *right)
{
  const char *a, *b;
  memcpy(&a, left, sizeof a);
  memcpy(&b, right, sizeof b);
  return cks_names_compare(a, b);
}

/* Of one file and environment. */
static cks_status say_unharvested(cks_audit_work *work, const cks_unharvested *plots, size_t n)
{
  const cks_table *table = work->table;
  size_t kept = 0;
  const char **name = cks_arena_take(work->arena, n + 1, sizeof *name);
  if (!name) return cks_error_nomem(work->error);
  for (size_t i = 0; i < n; i++) {
    const char *text = plot_text(work, plots[i].row);
    if (!work->left_out[plots[i].row]) name[kept++] = !strncmp(text, "plot ", 5) ? text + 5 : text;
  }
  if (!kept) return CKS_OK;
  qsort(name, kept, sizeof *name, compare_names);
  const char *place = name_at(work, CKS_ROLE_LOCATION, plots[0].row);
  cks_id list = table->file[plots[0].row], sheet = work->findings->file_sheet[list];
  if (*place)
    place = WORDS("the list at %s", place);
  else if (sheet != CKS_NONE)
    place = WORDS("sheet '%s' of %s", cks_names_text(&work->findings->sheet, sheet), file_name(work, list));
  else
    place = file_name(work, list);
  return cks_findings_add(work->findings, CKS_RULE_PLOT_NOT_HARVESTED, (cks_where){plots[0].file, CKS_NONE, 0, 0}, NULL,
                          NULL, work->error, "%s of %s %s no value in this file: %s",
                          cks_audit_count(work->arena, kept, "plot"), place, kept == 1 ? "has" : "have",
                          cks_audit_list(work->arena, kept, name));
}

cks_status cks_audit_joined(cks_audit_work *work)
{
  const cks_joined *joined = work->table->joined;
  if (!joined) return CKS_OK;
  cks_status status = say_strays(work);
  for (size_t i = 0; i < joined->n_second && status == CKS_OK; i++) status = say_second(work, &joined->second[i]);
  for (size_t i = 0, end; i < joined->n_unharvested && status == CKS_OK; i = end) {
    for (end = i + 1; end < joined->n_unharvested && joined->unharvested[end].group == joined->unharvested[i].group;)
      end++;
    status = say_unharvested(work, joined->unharvested + i, end - i);
  }
  for (size_t i = 0; i < joined->n_stray; i++)
    if (!work->left_out[joined->stray[i].row]) work->left_out[joined->stray[i].row] = 2;
  return status == CKS_OK ? cks_arena_status(work->arena, work->error) : status;
}
