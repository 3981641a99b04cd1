/* observe_fold.c: see observe.h. A value goes where the plot's first row has none, and keeps its line; two are compared. */
#include "observe.h"

#include "../agronomy/words.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double SAME = 1e-9; /* relative: one number, written twice */

static const char *number_text(const cks_observing *o, const cks_column *column, size_t row)
{
  char day[CKS_NUMBER_TEXT];
  if (column->name) return cks_names_text(&o->table->names, column->name[row]);
  if (column->kind == CKS_DATE) return cks_arena_text(o->table->arena, cks_print_date(day, column->number[row]));
  return cks_arena_format(o->table->arena, "%.15g", column->number[row]);
}

/* "plot 101", "row 3, column 4", "Ash, rep 2". */
static const char *plot_text(const cks_observing *o, size_t row)
{
  static const cks_role by_name[] = {CKS_ROLE_HYBRID, CKS_ROLE_ENTRY, CKS_ROLE_CODE, CKS_ROLE_TREATMENT};
  const cks_table *table = o->table;
  const cks_column *plot = cks_table_column(table, CKS_ROLE_PLOT), *rep = cks_table_column(table, CKS_ROLE_REP),
                   *x = cks_table_column(table, CKS_ROLE_ROW), *y = cks_table_column(table, CKS_ROLE_COLUMN);
  if (cks_join_given(plot, row))
    return cks_arena_format(table->arena, "plot %.80s", cks_names_text(&table->names, plot->name[row]));
  if (cks_join_given(x, row) && cks_join_given(y, row))
    return cks_arena_format(table->arena, "row %.15g, column %.15g", x->number[row], y->number[row]);
  for (size_t i = 0; i < sizeof by_name / sizeof *by_name; i++) {
    const cks_column *c = cks_table_column(table, by_name[i]);
    if (!cks_join_given(c, row)) continue;
    bool in_rep = cks_join_given(rep, row);
    return cks_arena_format(table->arena, "%.80s%s%.80s", cks_names_text(&table->names, c->name[row]),
                            in_rep ? ", rep " : "", in_rep ? cks_names_text(&table->names, rep->name[row]) : "");
  }
  return "the plot";
}

static bool is_left_out(const cks_observing *o, size_t row)
{
  const cks_column *column = cks_table_column(o->table, CKS_ROLE_LEAVE_OUT);
  return cks_join_given(column, row) &&
         !cks_words_has(CKS_WORDS_NO, cks_names_text(&o->table->names, column->name[row]));
}

static cks_status say_met(const cks_observing *o, const cks_column *column, size_t row, size_t plot, bool same)
{
  cks_findings *findings = o->reader->reading.findings;
  cks_rule rule = same ? CKS_RULE_OBSERVED_AGAIN : CKS_RULE_OBSERVED_TWICE;
  uint32_t line = cks_table_where(o->table, column, plot).line;
  cks_where where = {o->reader->reading.file, CKS_NONE, o->table->line[row],
                     cks_column_cell(column, o->reader->reading.file)};
  bool told = !o->reader->look.rows && !cks_observe_is_observed(column->role);
  if (o->quiet || is_left_out(o, plot) || (same && told)) return CKS_OK;
  bool wanted = cks_findings_wants(findings, rule, o->reader->reading.file); /* else counted, not worded */
  const char *name = wanted ? plot_text(o, plot) : "", *now = wanted ? number_text(o, column, row) : "",
             *before = wanted ? number_text(o, column, plot) : "";
  if (same)
    return cks_findings_add(findings, rule, where, column->heading, now, o->reader->reading.error,
                            "%.120s of %s is %.80s here and on line %lu; it counts once", column->heading, name, now,
                            (unsigned long)line);
  return cks_findings_add(
      findings, rule, where, column->heading, now, o->reader->reading.error,
      "%.120s of %s is %.80s here and %.80s on line %lu; %s", column->heading, name, now, before, (unsigned long)line,
      cks_observe_is_observed(column->role)
          ? "correct one of them, or tell the two looks apart by columns 'date' and 'observer'"
          : "it is measured once a plot: keep the right one, or give the rows of another plot its number (or rep)");
}

/* Both rows hold a value: the plot's stays. */
static cks_status meet(const cks_observing *o, cks_column *column, size_t row, size_t plot)
{
  if (column->number) {
    double a = column->number[plot], b = column->number[row];
    return say_met(o, column, row, plot, fabs(a - b) <= SAME * fabs(a));
  }
  cks_id as;
  cks_status status = cks_join_texts(o->table, column, (uint32_t)plot, (uint32_t)row, &as, o->reader->reading.error);
  bool same = as != CKS_NONE;
  if (same) column->name[plot] = as;
  if (status != CKS_OK || (same && column->role == CKS_ROLE_NOTE)) return status;
  return say_met(o, column, row, plot, same);
}

static cks_status fold_column(const cks_observing *o, cks_column *column)
{
  cks_status status = CKS_OK;
  for (size_t r = 0; r < o->n && status == CKS_OK; r++) {
    size_t row = o->first + r, plot = o->first + o->to[r];
    if (row == plot || !cks_join_given(column, row)) continue;
    if (cks_join_given(column, plot)) {
      status = meet(o, column, row, plot);
      continue;
    }
    status = cks_reader_place_cells(o->reader, column);
    if (status == CKS_OK) cks_column_move(column, row, plot);
  }
  return status;
}

/* The rows whose cells went to others leave; odd cells go with them. */
static cks_status drop_rows(const cks_observing *o)
{
  cks_table *table = o->table;
  size_t kept = o->first, odd = o->reader->part_odd;
  uint32_t *now = malloc((o->n + 1) * sizeof *now);
  if (!now) return cks_error_nomem(o->reader->reading.error);
  for (size_t r = 0; r < o->n; r++) {
    now[r] = (uint32_t)kept;
    if (o->to[r] != r) continue;
    if (kept != o->first + r) cks_table_move_row(table, o->first + r, kept);
    kept++;
  }
  for (size_t i = odd; i < table->n_odd; i++) table->odd[i].row = now[o->to[table->odd[i].row - o->first]];
  if (table->n_odd > odd) qsort(table->odd + odd, table->n_odd - odd, sizeof *table->odd, cks_odd_compare);
  table->n_row = kept;
  free(now);
  return CKS_OK;
}

cks_status cks_observe_fold(const cks_observing *o)
{
  cks_table *table = o->table;
  cks_column *leave_out = cks_table_column(table, CKS_ROLE_LEAVE_OUT);
  cks_status status = leave_out ? fold_column(o, leave_out) : CKS_OK; /* first: of such plots nothing is said */
  for (size_t i = 0; i < table->n_column && status == CKS_OK; i++) {
    cks_column *column = &table->column[i];
    bool look = cks_role_find(column->role)->role_class == CKS_CLASS_LOOK;
    if (look) cks_reader_clear(column, o->first, table->n_row);
    if (!look && column != leave_out && !cks_observe_is_key(column->role)) status = fold_column(o, column);
  }
  return status == CKS_OK ? drop_rows(o) : status;
}
