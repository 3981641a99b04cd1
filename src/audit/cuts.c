/*
 * cuts.c: the cuts of a forage: rows that are one plot and one cut become one row a plot.
 *
 * Several cuts are several harvests of one plot: as rows of one list they would pass for reps. What a cut gives (weight,
 * moisture, date, height, ...) becomes a column a cut, "moisture_cut_2", whose cells stand where they were written; what
 * says which plot it is, and what happens once a season, is the plot's own. A plot is its number within a rep, else its
 * hybrid. A column "cut_2" of role CUT holds 1 in each plot that has a row of that cut, filled or not. Lists of one cut,
 * and of none, stay as they are; a crop that is no forage has no cuts to add up.
 *
 * A list may be one row a plot with the cuts side by side, "green weight cut 2 (lb)": its columns are of a cut already.
 */
#include "audit.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

typedef struct {
  uint32_t *row, *room; /* size n_row of the table, n filled: rows that are used, those of a plot together, by cut */
  uint32_t *plot;       /* size n_row: the row that its plot becomes; CKS_NONE: not used */
  size_t n;
} cut_rows;

const char *cks_audit_cut_key(const cks_audit_work *work, size_t cut)
{
  if (work->n_cut < 2) return "";
  const char *name = work->cut[cut];
  bool says = !strncasecmp(name, "cut ", 4) && name[4]; /* "Cut 1" */
  char *key = cks_arena_format(work->arena, "_cut_%s", says ? name + 4 : name), *to = key + sizeof "_cut_" - 1;
  if (strlen(key) < sizeof "_cut_") return "_cut"; /* memory is short */
  for (const char *from = to; *from; from++) {
    bool letter = (*from >= 'a' && *from <= 'z') || (*from >= 'A' && *from <= 'Z') || (unsigned char)*from >= 0x80;
    *to++ = *from >= 'A' && *from <= 'Z'               ? (char)(*from - 'A' + 'a')
            : letter || (*from >= '0' && *from <= '9') ? *from
                                                       : '_';
  }
  return key;
}

cks_column *cks_audit_cut_column(const cks_audit_work *work, cks_role role, size_t cut)
{
  cks_table *table = work->table;
  const char *base = cks_role_find(role)->key, *end = cks_audit_cut_key(work, cut);
  for (size_t i = 0; i < table->n_column && *end; i++) {
    cks_column *column = &table->column[i];
    size_t n = strlen(base);
    if (column->role == role && !strncmp(column->key, base, n) && !strcmp(column->key + n, end)) return column;
  }
  return *end ? NULL : cks_table_column(table, role);
}

/* ---- which rows are one plot ------------------------------------------------------------------------------------ */

static uint32_t at(const uint32_t *of, uint32_t row) { return of ? of[row] : CKS_NONE; }

static cks_id plot_of(const cks_audit_work *work, uint32_t row)
{
  const cks_column *plot = cks_table_column(work->table, CKS_ROLE_PLOT);
  return plot ? plot->name[row] : CKS_NONE;
}

static int by(uint32_t a, uint32_t b) { return a == b ? 0 : a < b ? -1 : 1; }

static int compare_plots(const cks_audit_work *work, uint32_t a, uint32_t b)
{
  int order = by(work->location_of[a], work->location_of[b]);
  if (!order) order = work->year_of[a] - work->year_of[b];
  if (!order) order = by(at(work->trial_of, a), at(work->trial_of, b));
  if (!order) order = by(at(work->rep_of, a), at(work->rep_of, b));
  cks_id plot = plot_of(work, a), other = plot_of(work, b);
  if (!order) order = by(plot, other);
  if (order || plot != CKS_NONE) return order;
  order = by(at(work->block_of, a), at(work->block_of, b));
  return order ? order : by(work->hybrid_of[a], work->hybrid_of[b]);
}

static int compare_rows(const void *context, uint32_t a, uint32_t b)
{
  const cks_audit_work *work = context;
  int order = compare_plots(work, a, b);
  return order ? order : by(work->cut_of[a], work->cut_of[b]);
}

static cks_status check_pair(cks_audit_work *work, uint32_t first, uint32_t row)
{
  const cks_column *column = cks_table_column(work->table, CKS_ROLE_CUT);
  const cks_column *hybrids = cks_table_hybrids(work->table);
  const char *line = cks_audit_line(work, work->table->file[first], work->table->line[first]);
  if (work->hybrid_of[first] != work->hybrid_of[row])
    return cks_audit_say(work, CKS_RULE_CUT_HYBRID, row, hybrids, work->hybrid[work->hybrid_of[row]].full,
                         "the plot of %s holds %s there and %s here; correct one of the names, or the plot number",
                         line, work->hybrid[work->hybrid_of[first]].full, work->hybrid[work->hybrid_of[row]].full);
  if (work->cut_of[first] == work->cut_of[row])
    return cks_audit_say(work, CKS_RULE_CUT_TWICE, row, column, work->cut[work->cut_of[row]],
                         "%s %s of this plot stands in %s too; correct the cut or the plot number (a list without plot "
                         "numbers needs them where a hybrid stands twice in a rep), or leave one row out",
                         column->heading, work->cut[work->cut_of[row]], line);
  return CKS_OK;
}

/* Fills rows->plot; an error among the findings when a plot's rows contradict each other. */
static cks_status find_plots(cks_audit_work *work, cut_rows *rows)
{
  cks_status status = CKS_OK;
  for (uint32_t row = 0; row < work->table->n_row; row++) {
    rows->plot[row] = CKS_NONE;
    bool used = !work->left_out[row] && work->hybrid_of[row] != CKS_NONE && work->location_of[row] != CKS_NONE;
    if (used && work->cut_of[row] != CKS_NONE) rows->row[rows->n++] = row;
  }
  cks_audit_sort(rows->row, rows->room, rows->n, compare_rows, work);
  for (size_t i = 0, first = 0; i < rows->n && status == CKS_OK; i++) {
    if (i && compare_plots(work, rows->row[first], rows->row[i]) != 0) first = i;
    rows->plot[rows->row[i]] = rows->row[first];
    if (i > first) status = check_pair(work, rows->row[i - 1], rows->row[i]);
  }
  return status;
}

/* ---- columns a cut ---------------------------------------------------------------------------------------------- */

/* Is it of the cut, not of the plot or the season? */
static bool is_of_cut(const cks_column *column)
{
  static const cks_role harvest[] = {CKS_ROLE_HARVESTED, CKS_ROLE_HARVEST_LENGTH, CKS_ROLE_HARVEST_WIDTH,
                                     CKS_ROLE_ROWS_HARVESTED};
  static const cks_role once[] = {CKS_ROLE_MID_BLOOM, CKS_ROLE_DAYS_TO_MID_BLOOM};
  for (size_t i = 0; i < sizeof harvest / sizeof *harvest; i++)
    if (column->role == harvest[i]) return true;
  for (size_t i = 0; i < sizeof once / sizeof *once; i++)
    if (column->role == once[i]) return false;
  cks_role_class c = cks_role_find(column->role)->role_class;
  return c == CKS_CLASS_TRAIT || c == CKS_CLASS_INPUT || c == CKS_CLASS_KEPT;
}

/* A copy without a value; what it owns is its own. */
static cks_status empty_copy(cks_audit_work *work, const cks_column *from, cks_column *to)
{
  size_t n = work->table->n_row;
  cks_status status = CKS_OK;
  *to = *from;
  to->number = NULL;
  to->name = NULL;
  to->line = NULL;
  to->file = NULL;
  to->in = NULL;
  to->n_in = 0;
  if (from->number) to->number = malloc((n + 1) * sizeof *to->number);
  if (from->name) to->name = malloc((n + 1) * sizeof *to->name);
  if ((from->number && !to->number) || (from->name && !to->name)) return cks_error_nomem(work->error);
  for (size_t row = 0; row < n; row++) {
    if (to->number) to->number[row] = NAN;
    if (to->name) to->name[row] = CKS_NONE;
  }
  for (size_t i = 0; i < from->n_in && status == CKS_OK; i++) status = cks_column_put(to, from->in[i], work->error);
  return status == CKS_OK ? cks_table_place_cells(work->table, to, work->error) : status;
}

/* The cells of one cut, each in its plot's row and standing where it did. */
static cks_status take_cut(cks_audit_work *work, const cut_rows *rows, const cks_column *from, uint32_t cut,
                           cks_column *to)
{
  cks_status status = empty_copy(work, from, to);
  bool date = from->role == CKS_ROLE_HARVESTED;
  if (date) to->role = CKS_ROLE_CUT_DATE; /* each cut has its own day: none of them is the harvest's */
  to->key = cks_arena_format(work->arena, "%s%s", date ? cks_role_find(CKS_ROLE_CUT_DATE)->key : from->key,
                             cks_audit_cut_key(work, cut));
  for (size_t i = 0; i < rows->n && status == CKS_OK; i++) {
    uint32_t row = rows->row[i], plot = rows->plot[row];
    if (work->cut_of[row] != cut) continue;
    if (to->number) to->number[plot] = from->number[row];
    if (to->name) to->name[plot] = from->name[row];
    cks_where where = cks_table_where(work->table, from, row);
    to->line[plot] = where.line;
    to->file[plot] = (uint16_t)where.file;
  }
  return status;
}

/* A plot's own column: what its first row lacks another may have. */
static void fill_plot(const cut_rows *rows, cks_column *column)
{
  for (size_t i = 0; i < rows->n; i++) {
    uint32_t row = rows->row[i], plot = rows->plot[row];
    if (column->number && cks_is_missing(column->number[plot])) column->number[plot] = column->number[row];
    if (column->name && column->name[plot] == CKS_NONE) column->name[plot] = column->name[row];
  }
}

/* 1 in the plots that have a row of the cut. */
static cks_status mark_cut(cks_audit_work *work, const cut_rows *rows, const cks_column *from, uint32_t cut,
                           cks_column *to)
{
  cks_column number = *from;
  double none = 0;
  number.number = &none; /* empty_copy makes as many as there are rows, of the kinds that it finds */
  number.name = NULL;
  cks_status status = empty_copy(work, &number, to);
  to->kind = CKS_NUMBER;
  to->key = cks_arena_format(work->arena, "cut%s", cks_audit_cut_key(work, cut));
  for (size_t i = 0; i < rows->n && status == CKS_OK; i++)
    if (work->cut_of[rows->row[i]] == cut) to->number[rows->plot[rows->row[i]]] = 1;
  return status;
}

static cks_status split_columns(cks_audit_work *work, const cut_rows *rows)
{
  cks_table *table = work->table;
  cks_status status = CKS_OK;
  size_t n = 0, old = 0;
  cks_column *column = calloc(table->n_column * work->n_cut + 1, sizeof *column);
  if (!column) return cks_error_nomem(work->error);
  for (; old < table->n_column && status == CKS_OK; old++) {
    cks_column *from = &table->column[old];
    bool cuts = from->role == CKS_ROLE_CUT;
    for (uint32_t k = 0; (cuts || is_of_cut(from)) && k < work->n_cut && status == CKS_OK; k++) {
      cks_column *to = &column[n++];
      status = cuts ? mark_cut(work, rows, from, k, to) : take_cut(work, rows, from, k, to);
    }
    if (cuts || is_of_cut(from)) {
      cks_column_release(from);
    } else {
      fill_plot(rows, from);
      column[n++] = *from;
    }
  }
  for (; old < table->n_column; old++) cks_column_release(&table->column[old]); /* memory was short */
  free(table->column);
  table->column = column;
  table->n_column = n;
  table->n_odd = 0; /* all are told; their columns are gone */
  return status;
}

/* ---- cuts side by side ------------------------------------------------------------------------------------------ */

enum { MOST_SIDE_BY_SIDE = 20 };

/* The cut that a heading names: "moisture_cut_2"; 0: none. */
static int cut_in_key(const cks_column *column)
{
  static const char mark[] = "_cut_";
  const char *end = NULL;
  cks_role_class c = cks_role_find(column->role)->role_class;
  for (const char *at = column->key; (at = strstr(at, mark)) != NULL; at++) end = at + sizeof mark - 1;
  bool values = column->number && (c == CKS_CLASS_TRAIT || c == CKS_CLASS_INPUT || c == CKS_CLASS_KEPT);
  int cut = values && end ? atoi(end) : 0;
  return cut > 0 && cut <= MOST_SIDE_BY_SIDE ? cut : 0;
}

/* 1 in the plots that have a value of the cut. */
static void mark_values(const cks_audit_work *work, int cut, double *number)
{
  const cks_table *table = work->table;
  for (size_t row = 0; row < table->n_row; row++) number[row] = NAN;
  for (size_t i = 0; i < table->n_column; i++)
    for (size_t row = 0; cut_in_key(&table->column[i]) == cut && row < table->n_row; row++)
      if (!cks_is_missing(table->column[i].number[row])) number[row] = 1;
}

static cks_status add_mark(cks_audit_work *work, size_t cut)
{
  cks_table *table = work->table;
  double *number = malloc((table->n_row + 1) * sizeof *number);
  cks_column *grown = number ? realloc(table->column, (table->n_column + 1) * sizeof *grown) : NULL;
  if (grown) table->column = grown;
  if (!grown) {
    free(number);
    return cks_error_nomem(work->error);
  }
  mark_values(work, atoi(work->cut[cut]), number);
  grown[table->n_column++] = (cks_column){.role = CKS_ROLE_CUT,
                                          .kind = CKS_NUMBER,
                                          .heading = "cut",
                                          .key = cks_arena_format(work->arena, "cut%s", cks_audit_cut_key(work, cut)),
                                          .observer = "",
                                          .where = CKS_NOWHERE,
                                          .basis_pct = NAN,
                                          .scale_low = NAN,
                                          .scale_high = NAN,
                                          .number = number};
  return CKS_OK;
}

static cks_status find_side_by_side(cks_audit_work *work)
{
  bool there[MOST_SIDE_BY_SIDE + 1] = {false};
  cks_status status = CKS_OK;
  size_t n = 0;
  for (size_t i = 0; i < work->table->n_column; i++) there[cut_in_key(&work->table->column[i])] = true;
  const char **cut = cks_arena_take(work->arena, MOST_SIDE_BY_SIDE, sizeof *cut);
  if (!cut) return cks_error_nomem(work->error);
  for (int k = 1; k <= MOST_SIDE_BY_SIDE; k++)
    if (there[k]) cut[n++] = cks_arena_format(work->arena, "%d", k);
  if (n < 2) return cks_arena_status(work->arena, work->error); /* of one cut alone: a trait by that name */
  work->cut = cut;
  work->n_cut = n;
  for (size_t k = 0; k < n && status == CKS_OK; k++) status = add_mark(work, k);
  return status == CKS_OK ? cks_arena_status(work->arena, work->error) : status;
}

/* ---- the whole -------------------------------------------------------------------------------------------------- */

static cks_status refuse(cks_audit_work *work)
{
  const cks_column *column = cks_table_column(work->table, CKS_ROLE_CUT);
  uint32_t first = CKS_NONE;
  cks_status status = CKS_OK;
  char given[CKS_SHELL_WORD];
  for (uint32_t row = 0; row < work->table->n_row && !work->several_cuts; row++) {
    if (work->left_out[row] || work->cut_of[row] == CKS_NONE) continue;
    if (first == CKS_NONE) first = row;
    if (work->cut_of[row] == work->cut_of[first]) continue;
    const char *cut = work->cut[work->cut_of[row]], *other = work->cut[work->cut_of[first]];
    work->several_cuts = true;
    status =
        cks_audit_say(work, CKS_RULE_SEVERAL_CUTS, row, column, cut,
                      "%s is '%s' here and '%s' in other rows: each cut is a harvest of its own and no rep, and %s "
                      "is no forage whose cuts add up; give --crop forage-sorghum or --crop sorghum-sudangrass if "
                      "it is that, or analyze one cut at a time, with --only cut=%s",
                      column->heading, cut, other, work->crop->label, cks_shell_word(given, other));
  }
  return status;
}

/* Columns of a cut of a crop that is no forage: two yields would pass for two traits. */
static cks_status refuse_side_by_side(cks_audit_work *work)
{
  cks_status status = CKS_OK;
  for (size_t i = 0; i < work->table->n_column && !work->several_cuts && status == CKS_OK; i++) {
    const cks_column *column = &work->table->column[i];
    if (!cut_in_key(column)) continue;
    work->several_cuts = true;
    status = cks_findings_add(work->findings, CKS_RULE_SEVERAL_CUTS, column->where, column->heading, NULL, work->error,
                              "the heading names a cut, and %s is no forage whose cuts add up; give --crop "
                              "forage-sorghum or --crop sorghum-sudangrass if it is that, or take the cut out of the "
                              "headings and give the columns of one cut alone",
                              work->crop->label);
  }
  return status;
}

static cks_status fold(cks_audit_work *work)
{
  size_t n = work->table->n_row + 1, before = work->findings->n_severity[CKS_ERROR];
  cut_rows rows = {malloc(n * sizeof *rows.row), malloc(n * sizeof *rows.room), malloc(n * sizeof *rows.plot), 0};
  cks_status status = rows.row && rows.room && rows.plot ? CKS_OK : cks_error_nomem(work->error);
  if (status == CKS_OK) status = find_plots(work, &rows);
  if (status == CKS_OK && work->findings->n_severity[CKS_ERROR] > before) work->several_cuts = true;
  if (status == CKS_OK && !work->several_cuts) {
    status = split_columns(work, &rows);
    for (size_t i = 0; i < rows.n; i++)
      if (rows.plot[rows.row[i]] != rows.row[i]) work->left_out[rows.row[i]] = 2;
  }
  free(rows.plot);
  free(rows.room);
  free(rows.row);
  return status == CKS_OK ? cks_arena_status(work->arena, work->error) : status;
}

cks_status cks_audit_cuts(cks_audit_work *work)
{
  bool rows = cks_table_column(work->table, CKS_ROLE_CUT) != NULL;
  if (!rows) return work->crop->forage ? find_side_by_side(work) : refuse_side_by_side(work);
  if (work->n_cut < 2) return CKS_OK;
  return work->crop->forage ? fold(work) : refuse(work);
}
