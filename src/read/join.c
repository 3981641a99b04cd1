/*
 * join.c: plot list, walk notes and harvest file become one table.
 *
 * A file that names hybrids is a list: its rows are plots. A file that names none, beside one that does, adds columns to
 * the plots of the lists (join_match.c says to which), never by the order of rows. A value goes where the plot has none;
 * two different ones are kept in sight for the audit, notes and reasons for leaving out are put together. The rows that
 * were joined leave the table; the cells that they brought keep their own file and line.
 */
#include "join.h"

#include "../agronomy/words.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const double SAME = 1e-9; /* relative: one number, written twice */

bool cks_join_has_values(const cks_column *column, size_t first, size_t end)
{
  bool any = false;
  for (size_t row = first; column && row < end && !any; row++) any = cks_join_given(column, row);
  return any;
}

/* ---- what each file is ------------------------------------------------------------------------------------------ */

static bool has_position(const cks_join *join, size_t first, size_t end)
{
  bool any = false;
  for (size_t row = first; row < end && !any; row++)
    any = cks_join_given(join->row, row) && cks_join_given(join->column, row);
  return any;
}

/* Has the file a location and facts of it, as a places table has? */
static bool may_be_places(const cks_join *join, size_t file)
{
  const cks_table *table = join->table;
  bool place = cks_join_has_values(cks_table_column(join->table, CKS_ROLE_LOCATION), join->first[file],
                                   join->first[file + 1]),
       fact = false;
  for (size_t i = 0; i < table->n_column; i++) {
    cks_role_class c = cks_role_find(table->column[i].role)->role_class;
    fact |= (c == CKS_CLASS_PLACE || c == CKS_CLASS_INPUT) &&
            cks_join_has_values(&table->column[i], join->first[file], join->first[file + 1]);
  }
  return place && fact;
}

static cks_status say_no_hybrid(const cks_join *join, size_t file)
{
  const char *places = may_be_places(join, file) ? "; if this is the places table, give it with --places" : "";
  return cks_findings_add(
      join->findings, CKS_RULE_NO_HYBRID, (cks_where){join->table->file_id[file], CKS_NONE, 0, 0}, NULL, NULL,
      join->error,
      "no hybrid is given, as in a list of plots, and no 'plot' (or 'row' and 'column') that says to "
      "which plots of the list the rows add; give the column, or leave the file out%s",
      places);
}

/* *adds: some file adds to others; then there is a list too. */
static cks_status sort_files(cks_join *join, bool *adds)
{
  const cks_table *table = join->table;
  const cks_column *who = cks_table_hybrids(table);
  bool lists = false;
  *adds = false;
  for (size_t i = 0; i < table->n_file; i++) {
    uint32_t first = join->first[i], end = join->first[i + 1] = first + table->file_row[i];
    bool key = cks_join_has_values(join->plot, first, end) || has_position(join, first, end);
    join->kind[i] = first == end || cks_join_has_values(who, first, end) ? CKS_FILE_LIST
                    : key                                                ? CKS_FILE_ADDS
                                                                         : CKS_FILE_NONE;
    lists = lists || (first < end && join->kind[i] == CKS_FILE_LIST);
    *adds = *adds || join->kind[i] != CKS_FILE_LIST;
  }
  *adds = *adds && lists;
  cks_status status = CKS_OK;
  for (size_t i = 0; *adds && i < table->n_file && status == CKS_OK; i++) {
    if (join->kind[i] != CKS_FILE_NONE) continue;
    join->out->file[i].adds = true;
    status = say_no_hybrid(join, i);
    for (uint32_t row = join->first[i]; row < join->first[i + 1] && status == CKS_OK; row++)
      status = cks_join_stray(join, &(cks_stray){CKS_STRAY_TOLD, row, CKS_NONE, CKS_NONE});
  }
  return status;
}

/* ---- values ----------------------------------------------------------------------------------------------------- */

static cks_status keep_second(cks_join *join, uint32_t plot, const cks_column *column, uint32_t row)
{
  cks_joined *out = join->out;
  if (out->n_second == join->room_second) {
    size_t room = join->room_second ? join->room_second * 2 : 16;
    cks_second_value *grown = realloc(out->second, room * sizeof *grown);
    if (!grown) return cks_error_nomem(join->error);
    out->second = grown;
    join->room_second = room;
  }
  cks_where where = cks_table_where(join->table, column, row);
  out->second[out->n_second++] = (cks_second_value){.row = plot,
                                                    .column = (uint32_t)(column - join->table->column),
                                                    .file = where.file,
                                                    .line = where.line,
                                                    .number = column->number ? column->number[row] : cks_missing(),
                                                    .name = column->name ? column->name[row] : CKS_NONE};
  return CKS_OK;
}

static bool same_text(const char *a, const char *b)
{
  char x[CKS_NAMES_FOLDED], y[CKS_NAMES_FOLDED];
  cks_names_fold(a, strlen(a), x);
  cks_names_fold(b, strlen(b), y);
  if (!strcmp(x, y)) return true;
  cks_join_fold_plot(a, x);
  cks_join_fold_plot(b, y);
  return !strcmp(x, y);
}

cks_status cks_join_texts(cks_table *table, const cks_column *column, uint32_t plot, uint32_t row, cks_id *as,
                          cks_error *error)
{
  cks_names *names = &table->names;
  const char *old = cks_names_text(names, column->name[plot]), *more = cks_names_text(names, column->name[row]);
  bool marks = column->role == CKS_ROLE_LEAVE_OUT || column->role == CKS_ROLE_CHECK;
  bool old_no = cks_words_has(CKS_WORDS_NO, old), more_no = cks_words_has(CKS_WORDS_NO, more);
  *as = column->name[plot];
  if (same_text(old, more) || (column->role == CKS_ROLE_LEAVE_OUT && more_no)) return CKS_OK;
  if (column->role == CKS_ROLE_LEAVE_OUT && old_no) *as = column->name[row];
  if (marks && old_no != more_no) {
    if (column->role == CKS_ROLE_CHECK) *as = CKS_NONE;
    return CKS_OK;
  }
  if (column->role == CKS_ROLE_CHECK) return CKS_OK; /* two ways to say yes, or no */
  *as = CKS_NONE;
  if (column->role != CKS_ROLE_NOTE && !marks) return CKS_OK;
  const char *text = cks_arena_format(table->arena, "%s; %s", old, more);
  return cks_names_add(names, text, strlen(text), as, error);
}

static cks_status merge_cell(cks_join *join, cks_column *column, uint32_t row, uint32_t plot)
{
  cks_status status = CKS_OK;
  cks_id as = CKS_NONE;
  if (cks_join_given(column, plot)) {
    if (column->number) {
      double a = column->number[plot], b = column->number[row];
      return fabs(a - b) <= SAME * fabs(a) ? CKS_OK : keep_second(join, plot, column, row);
    }
    status = cks_join_texts(join->table, column, plot, row, &as, join->error);
    if (status == CKS_OK && as == CKS_NONE) return keep_second(join, plot, column, row);
    column->name[plot] = as;
    return status;
  }
  status = cks_table_place_cells(join->table, column, join->error);
  if (status == CKS_OK) cks_column_move(column, row, plot);
  return status;
}

static cks_status merge_file(cks_join *join, size_t file)
{
  cks_table *table = join->table;
  cks_status status = CKS_OK;
  for (size_t i = 0; i < table->n_column; i++) {
    cks_column *column = &table->column[i];
    if (column->role == CKS_ROLE_LOCATION) continue; /* the same, or the list gives none: then its file's name stands */
    for (uint32_t row = join->first[file]; row < join->first[file + 1] && status == CKS_OK; row++)
      if (join->to[row] < CKS_AGAIN && cks_join_given(column, row))
        status = merge_cell(join, column, row, join->to[row]);
  }
  return status;
}

/* ---- a year or trial that only an adding file gives ------------------------------------------------------------- */

/* Plots [first, end) of a list that gave none take the one that the joined plots of their place have. */
static cks_status fill_down(cks_join *join, cks_column *column, size_t file)
{
  uint32_t first = join->first[file], end = join->first[file + 1];
  uint32_t *one =
      malloc((join->n_place + 1) * sizeof *one); /* a plot that has it; CKS_NONE none, CKS_AGAIN different */
  if (!one) return cks_error_nomem(join->error);
  memset(one, 0xff, join->n_place * sizeof *one);
  for (uint32_t row = first; row < end; row++) {
    uint32_t place = join->place_of[row];
    if (place == CKS_NONE || !cks_join_given(column, row)) continue;
    uint32_t *seen = &one[place];
    bool same = *seen < CKS_AGAIN && (column->name ? column->name[*seen] == column->name[row]
                                                   : column->number[*seen] == column->number[row]);
    *seen = *seen == CKS_NONE ? row : same ? *seen : CKS_AGAIN;
  }
  for (uint32_t row = first; row < end; row++) {
    uint32_t from = join->place_of[row] == CKS_NONE ? CKS_NONE : one[join->place_of[row]];
    if (from >= CKS_AGAIN || cks_join_given(column, row)) continue;
    if (column->name)
      column->name[row] = column->name[from];
    else
      column->number[row] = column->number[from];
  }
  free(one);
  return CKS_OK;
}

static cks_status merge_all(cks_join *join)
{
  static const cks_role of_place[] = {CKS_ROLE_YEAR, CKS_ROLE_TRIAL};
  enum { N_ROLE = sizeof of_place / sizeof *of_place };
  const cks_table *table = join->table;
  cks_status status = CKS_OK;
  bool *own = calloc(table->n_file * N_ROLE + 1, sizeof *own); /* the list gives it itself */
  if (!own) return cks_error_nomem(join->error);
  for (size_t i = 0; i < table->n_file; i++)
    for (size_t k = 0; k < N_ROLE; k++)
      own[i * N_ROLE + k] =
          cks_join_has_values(cks_table_column(table, of_place[k]), join->first[i], join->first[i + 1]);
  for (size_t i = 0; i < table->n_file && status == CKS_OK; i++)
    if (join->kind[i] == CKS_FILE_ADDS) status = merge_file(join, i);
  for (size_t i = 0; i < table->n_file; i++)
    for (size_t k = 0; k < N_ROLE && status == CKS_OK; k++) {
      cks_column *column = cks_table_column(table, of_place[k]);
      if (join->kind[i] == CKS_FILE_LIST && column && !own[i * N_ROLE + k]) status = fill_down(join, column, i);
    }
  free(own);
  return status;
}

/* ---- plots that were not harvested ------------------------------------------------------------------------------ */

/* The list's plots, by environment (place, year, trial) and row. */
typedef struct {
  uint32_t *of;    /* size n_row: environment; CKS_NONE */
  uint32_t *plot;  /* the plots, environment by environment */
  uint32_t *first; /* size n + 1 */
  bool *covered;   /* size n */
  size_t n;
} environments;

static cks_status find_environments(cks_join *join, environments *e)
{
  const cks_table *table = join->table;
  cks_names names = {0};
  cks_status status = CKS_OK;
  struct key {
    double year;
    cks_id place, trial;
  } last = {0}, key = {0};
  uint32_t id = CKS_NONE;
  memset(e->of, 0xff, table->n_row * sizeof *e->of);
  for (size_t i = 0; i < table->n_file; i++)
    for (uint32_t row = join->first[i]; row < join->first[i + 1] && status == CKS_OK; row++) {
      if (join->kind[i] != CKS_FILE_LIST || join->place_of[row] == CKS_NONE) continue;
      key.year = cks_join_given(join->year, row) ? join->year->number[row] : 0;
      key.place = join->place_of[row];
      key.trial = join->trial ? join->trial->name[row] : CKS_NONE;
      bool again = id != CKS_NONE && key.place == last.place && key.trial == last.trial && key.year == last.year;
      if (!again) {
        char text[80];
        int n = snprintf(text, sizeof text, "%u %u %.17g", key.place, key.trial, key.year);
        status = cks_names_add(&names, text, (size_t)n, &id, join->error);
        last = key;
      }
      e->of[row] = id;
    }
  e->n = names.n;
  cks_names_release(&names);
  e->first = calloc(e->n + 2, sizeof *e->first);
  e->covered = calloc(e->n + 1, sizeof *e->covered);
  if (status == CKS_OK && (!e->first || !e->covered)) status = cks_error_nomem(join->error);
  if (status != CKS_OK) return status;
  for (size_t row = 0; row < table->n_row; row++)
    if (e->of[row] != CKS_NONE) e->first[e->of[row] + 2]++;
  for (size_t k = 2; k <= e->n; k++) e->first[k] += e->first[k - 1];
  for (uint32_t row = 0; row < table->n_row; row++)
    if (e->of[row] != CKS_NONE) e->plot[e->first[e->of[row] + 1]++] = row;
  return CKS_OK;
}

static cks_status keep_unharvested(cks_join *join, uint32_t row, uint32_t group, cks_id file)
{
  cks_joined *out = join->out;
  if (out->n_unharvested == join->room_unharvested) {
    size_t room = join->room_unharvested ? join->room_unharvested * 2 : 16;
    cks_unharvested *grown = realloc(out->unharvested, room * sizeof *grown);
    if (!grown) return cks_error_nomem(join->error);
    out->unharvested = grown;
    join->room_unharvested = room;
  }
  out->unharvested[out->n_unharvested++] = (cks_unharvested){row, group, file};
  return CKS_OK;
}

/* Plots, where the file brought values to others, without a value in each column of measured values that it has: so a
 * harvest in two files does not miss the half that stands in the other one. */
static cks_status unharvested_of(cks_join *join, environments *e, size_t file, uint32_t *group)
{
  const cks_table *table = join->table;
  uint32_t first = join->first[file], end = join->first[file + 1];
  size_t n = 0, *measured = malloc((table->n_column + 1) * sizeof *measured);
  cks_status status = CKS_OK;
  if (!measured) return cks_error_nomem(join->error);
  for (size_t i = 0; i < table->n_column; i++) {
    cks_role_class c = cks_role_find(table->column[i].role)->role_class;
    bool value = c == CKS_CLASS_TRAIT || c == CKS_CLASS_INPUT;
    if (value && cks_join_has_values(&table->column[i], first, end)) measured[n++] = i;
  }
  memset(e->covered, 0, e->n);
  for (uint32_t row = first; n && row < end; row++)
    if (join->to[row] < CKS_AGAIN && e->of[join->to[row]] != CKS_NONE) e->covered[e->of[join->to[row]]] = true;
  for (size_t k = 0; k < e->n; k++) {
    if (!e->covered[k]) continue;
    ++*group;
    for (uint32_t p = e->first[k]; p < e->first[k + 1] && status == CKS_OK; p++) {
      bool has = false;
      for (size_t i = 0; i < n && !has; i++) has = cks_join_given(&table->column[measured[i]], e->plot[p]);
      if (!has) status = keep_unharvested(join, e->plot[p], *group, table->file_id[file]);
    }
  }
  free(measured);
  return status;
}

static cks_status find_unharvested(cks_join *join)
{
  size_t n_row = join->table->n_row;
  uint32_t group = 0;
  environments e = {.of = malloc((n_row + 1) * sizeof *e.of), .plot = malloc((n_row + 1) * sizeof *e.plot)};
  cks_status status = e.of && e.plot ? find_environments(join, &e) : cks_error_nomem(join->error);
  for (size_t i = 0; i < join->table->n_file && status == CKS_OK; i++)
    if (join->kind[i] == CKS_FILE_ADDS) status = unharvested_of(join, &e, i, &group);
  free(e.covered);
  free(e.first);
  free(e.plot);
  free(e.of);
  return status;
}

/* ---- the rows that were joined leave the table ------------------------------------------------------------------ */

void cks_table_move_row(cks_table *table, size_t from, size_t to)
{
  for (size_t i = 0; i < table->n_column; i++) cks_column_move(&table->column[i], from, to);
  table->line[to] = table->line[from];
  table->file[to] = table->file[from];
}

int cks_odd_compare(const void *left, const void *right)
{
  const cks_odd *a = left, *b = right;
  if (a->row != b->row) return a->row < b->row ? -1 : 1;
  if (a->column != b->column) return a->column < b->column ? -1 : 1;
  const cks_where *left_at = &a->where, *right_at = &b->where;
  if (left_at->file != right_at->file) return left_at->file < right_at->file ? -1 : 1;
  return left_at->line < right_at->line ? -1 : left_at->line > right_at->line;
}

/* now: size n_row, where each row that stays stands. */
static void renumber(cks_join *join, const uint32_t *now)
{
  cks_table *table = join->table;
  cks_joined *out = join->out;
  size_t n_odd = 0;
  for (size_t i = 0; i < table->n_odd; i++) {
    cks_odd odd = table->odd[i];
    uint32_t to = join->to[odd.row];
    if (to == CKS_AGAIN) continue;
    odd.row = now[to == CKS_NONE ? odd.row : to];
    table->odd[n_odd++] = odd;
  }
  table->n_odd = n_odd;
  if (n_odd) qsort(table->odd, n_odd, sizeof *table->odd, cks_odd_compare);
  for (size_t i = 0; i < out->n_stray; i++) {
    cks_stray *stray = &out->stray[i];
    stray->row = now[stray->row];
    if (stray->to != CKS_NONE) stray->to = now[stray->to];
    if (stray->kind == CKS_STRAY_SEVERAL) stray->other = now[stray->other];
  }
  for (size_t i = 0; i < out->n_second; i++) out->second[i].row = now[out->second[i].row];
  for (size_t i = 0; i < out->n_unharvested; i++) out->unharvested[i].row = now[out->unharvested[i].row];
}

static cks_status drop_joined(cks_join *join)
{
  cks_table *table = join->table;
  size_t kept = 0;
  uint32_t *now = malloc((table->n_row + 1) * sizeof *now);
  if (!now) return cks_error_nomem(join->error);
  for (size_t i = 0; i < table->n_file; i++) {
    size_t before = kept;
    for (uint32_t row = join->first[i]; row < join->first[i + 1]; row++) {
      now[row] = (uint32_t)kept;
      if (join->to[row] != CKS_NONE) continue;
      if (kept != row) cks_table_move_row(table, row, kept);
      kept++;
    }
    table->file_row[i] = (uint32_t)(kept - before);
  }
  renumber(join, now);
  table->n_row = kept;
  free(now);
  return CKS_OK;
}

/* ---- all -------------------------------------------------------------------------------------------------------- */

/* The key of each plot name that some row has. */
static cks_status key_plots(cks_join *join)
{
  const cks_table *table = join->table;
  cks_status status = CKS_OK;
  char folded[CKS_NAMES_FOLDED];
  join->plot_key = malloc((table->names.n + 1) * sizeof *join->plot_key);
  if (!join->plot_key) return cks_error_nomem(join->error);
  memset(join->plot_key, 0xff, table->names.n * sizeof *join->plot_key);
  for (size_t row = 0; join->plot && row < table->n_row && status == CKS_OK; row++) {
    cks_id name = join->plot->name[row];
    if (name == CKS_NONE || join->plot_key[name] != CKS_NONE) continue;
    size_t n = cks_join_fold_plot(cks_names_text(&table->names, name), folded);
    status = cks_names_add(&join->folded, folded, n, &join->plot_key[name], join->error);
  }
  return status;
}

static cks_status join_rows(cks_join *join)
{
  size_t n_row = join->table->n_row;
  join->place_of = malloc((n_row + 1) * sizeof *join->place_of);
  join->to = malloc((n_row + 1) * sizeof *join->to);
  if (!join->place_of || !join->to) return cks_error_nomem(join->error);
  memset(join->to, 0xff, n_row * sizeof *join->to);
  cks_status status = cks_join_places(join);
  if (status == CKS_OK) status = key_plots(join);
  if (status == CKS_OK) status = cks_join_match(join);
  if (status == CKS_OK) status = merge_all(join);
  if (status == CKS_OK) status = find_unharvested(join);
  return status == CKS_OK ? drop_joined(join) : status;
}

cks_status cks_reader_join(cks_reader *reader)
{
  cks_table *table = reader->table;
  if (table->n_file < 2 || !table->n_row) return CKS_OK;
  cks_join join = {.table = table,
                   .findings = reader->reading.findings,
                   .error = reader->reading.error,
                   .location = cks_table_column(table, CKS_ROLE_LOCATION),
                   .year = cks_table_column(table, CKS_ROLE_YEAR),
                   .trial = cks_table_column(table, CKS_ROLE_TRIAL),
                   .rep = cks_table_column(table, CKS_ROLE_REP),
                   .plot = cks_table_column(table, CKS_ROLE_PLOT),
                   .row = cks_table_column(table, CKS_ROLE_ROW),
                   .column = cks_table_column(table, CKS_ROLE_COLUMN),
                   .leave_out = cks_table_column(table, CKS_ROLE_LEAVE_OUT)};
  bool adds = false;
  cks_status status = CKS_OK;
  table->joined = join.out = calloc(1, sizeof *join.out);
  if (join.out) join.out->file = calloc(table->n_file, sizeof *join.out->file);
  join.kind = calloc(table->n_file, sizeof *join.kind);
  join.first = calloc(table->n_file + 1, sizeof *join.first);
  if (!join.out || !join.out->file || !join.kind || !join.first) {
    status = cks_error_nomem(join.error);
    goto done;
  }
  status = sort_files(&join, &adds);
  if (status == CKS_OK && adds) status = join_rows(&join);
  if (status == CKS_OK && !adds) {
    free(join.out->file);
    free(join.out);
    table->joined = NULL;
  }
done:
  free(join.to);
  free(join.plot_key);
  free(join.place_of);
  free(join.place);
  cks_names_release(&join.folded);
  free(join.first);
  free(join.kind);
  return status;
}
