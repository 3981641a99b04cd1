/*
 * build.c: the rows in canonical order: location, year, trial, rep, block, hybrid; what is alike in all of them is put
 * in order by ties.c, once the traits are made.
 *
 * Whatever order the files and rows came in, sums run in this one. Rows that are left out go to trial->left_out. The
 * table's columns are put into the same order and stay in the table, which then holds plots only.
 */
#include "audit.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { YEAR_ZERO = 1900, YEAR_KEYS = 301 }; /* key 0: no year */

/* ---- order ------------------------------------------------------------------------------------------------------ */

/* Stable counting sort of index[0..n) by key_of(row) in [0, n_key); room and count are workspace. */
typedef struct {
  uint32_t *index, *room;
  size_t n;
} order;

typedef uint32_t (*key_of)(const uint32_t *of, const int32_t *year, uint32_t row, uint32_t n_key);
static uint32_t plain_key(const uint32_t *of, const int32_t *year, uint32_t row, uint32_t n_key)
{
  (void)year;
  return of[row] == CKS_NONE ? n_key - 1 : of[row]; /* not given: last */
}
static uint32_t year_key(const uint32_t *of, const int32_t *year, uint32_t row, uint32_t n_key)
{
  (void)of;
  (void)n_key;
  return year[row] ? (uint32_t)(year[row] - YEAR_ZERO + 1) : 0;
}

static cks_status counting_sort(cks_audit_work *work, order *o, key_of key, const uint32_t *of, size_t n_key)
{
  if (!of && key == plain_key) return CKS_OK;
  uint32_t *count = calloc(n_key + 1, sizeof *count);
  if (!count) return cks_error_nomem(work->error);
  for (size_t i = 0; i < o->n; i++) count[key(of, work->year_of, o->index[i], (uint32_t)n_key) + 1]++;
  for (size_t k = 0; k < n_key; k++) count[k + 1] += count[k];
  for (size_t i = 0; i < o->n; i++) {
    uint32_t row = o->index[i];
    o->room[count[key(of, work->year_of, row, (uint32_t)n_key)]++] = row;
  }
  uint32_t *held = o->index;
  o->index = o->room;
  o->room = held;
  free(count);
  return CKS_OK;
}

static uint32_t at(const uint32_t *of, uint32_t row) { return of ? of[row] : CKS_NONE; }

static bool same_place(const cks_audit_work *work, uint32_t a, uint32_t b)
{
  return work->location_of[a] == work->location_of[b] && work->year_of[a] == work->year_of[b] &&
         at(work->trial_of, a) == at(work->trial_of, b);
}

/* Rows that are used, in canonical order but for ties. */
static cks_status sort_rows(cks_audit_work *work, order *o)
{
  for (uint32_t row = 0; row < work->table->n_row; row++)
    if (!work->left_out[row] && work->hybrid_of[row] != CKS_NONE && work->location_of[row] != CKS_NONE)
      o->index[o->n++] = row;
  cks_status status = counting_sort(work, o, plain_key, work->hybrid_of, work->n_hybrid + 1);
  if (status == CKS_OK) status = counting_sort(work, o, plain_key, work->block_of, work->n_block + 1);
  if (status == CKS_OK) status = counting_sort(work, o, plain_key, work->rep_of, work->n_rep + 1);
  if (status == CKS_OK) status = counting_sort(work, o, plain_key, work->trial_of, work->n_trial + 1);
  if (status == CKS_OK) status = counting_sort(work, o, year_key, NULL, YEAR_KEYS);
  if (status == CKS_OK) status = counting_sort(work, o, plain_key, work->location_of, work->n_location + 1);
  return status;
}

/* ---- gathering -------------------------------------------------------------------------------------------------- */

/* *array (size n_row, elements of `size` bytes) becomes its elements at index, in that order. NULL stays NULL. */
static cks_status gather(cks_audit_work *work, const order *o, void *array, size_t size)
{
  void *old, *fresh;
  memcpy(&old, array, sizeof old);
  if (!old) return CKS_OK;
  fresh = malloc((o->n + 1) * size);
  if (!fresh) return cks_error_nomem(work->error);
  for (size_t i = 0; i < o->n; i++) memcpy((char *)fresh + i * size, (const char *)old + o->index[i] * size, size);
  free(old);
  memcpy(array, &fresh, sizeof fresh);
  return CKS_OK;
}

static cks_status gather_table(cks_audit_work *work, const order *o)
{
  cks_table *table = work->table;
  cks_status status = CKS_OK;
  for (size_t i = 0; i < table->n_column && status == CKS_OK; i++) {
    status = gather(work, o, &table->column[i].number, sizeof(double));
    if (status == CKS_OK) status = gather(work, o, &table->column[i].name, sizeof(cks_id));
    if (status == CKS_OK) status = gather(work, o, &table->column[i].line, sizeof(uint32_t));
    if (status == CKS_OK) status = gather(work, o, &table->column[i].file, sizeof(uint16_t));
  }
  if (status == CKS_OK) status = gather(work, o, &table->line, sizeof *table->line);
  if (status == CKS_OK) status = gather(work, o, &table->file, sizeof *table->file);
  if (status == CKS_OK) status = gather(work, o, &work->hybrid_of, sizeof(uint32_t));
  if (status == CKS_OK) status = gather(work, o, &work->location_of, sizeof(uint32_t));
  if (status == CKS_OK) status = gather(work, o, &work->year_of, sizeof(int32_t));
  if (status == CKS_OK) status = gather(work, o, &work->trial_of, sizeof(uint32_t));
  if (status == CKS_OK) status = gather(work, o, &work->rep_of, sizeof(uint32_t));
  if (status == CKS_OK) status = gather(work, o, &work->block_of, sizeof(uint32_t));
  if (status == CKS_OK) table->n_row = o->n;
  return status;
}

/* ---- what the trial takes --------------------------------------------------------------------------------------- */

static const char *text_at(cks_audit_work *work, cks_role role, size_t row)
{
  const cks_column *column = cks_table_column(work->table, role);
  return column ? cks_arena_text(work->arena, cks_names_text(&work->table->names, column->name[row])) : "";
}

/* Of a row that is left out, as the plots that are used spell it; its location_of is the name still. */
static const char *location_out(cks_audit_work *work, size_t row)
{
  if (work->location_of[row] == CKS_NONE) return "";
  const char *name = cks_names_text(&work->table->names, work->location_of[row]);
  for (size_t i = 0; i < work->n_location; i++)
    if (cks_audit_same(work->location[i], name)) return work->location[i];
  return cks_arena_text(work->arena, name);
}

static cks_status list_left_out(cks_audit_work *work, cks_trial *trial)
{
  const cks_table *table = work->table;
  size_t n = 0;
  for (size_t row = 0; row < table->n_row; row++) n += work->left_out[row] == 1;
  trial->left_out = cks_arena_take(work->arena, n, sizeof *trial->left_out);
  if (!trial->left_out) return cks_error_nomem(work->error);
  for (size_t row = 0, file = 0, end = table->n_file ? table->file_row[0] : 0; row < table->n_row; row++) {
    while (row >= end) end += table->file_row[++file];
    if (work->left_out[row] == 1)
      trial->left_out[trial->n_left_out++] = (cks_left_out){
          .file = table->file[row],
          .line = table->line[row],
          .reason = cks_arena_text(work->arena, cks_names_text(&table->names, work->reason[row])),
          .location = location_out(work, row),
          .plot = text_at(work, CKS_ROLE_PLOT, row),
          .hybrid = text_at(work, CKS_ROLE_HYBRID, row),
          .is_plot = !table->joined || !table->joined->file[file].adds,
      };
  }
  return cks_arena_status(work->arena, work->error);
}

static cks_status list_inputs(cks_audit_work *work, cks_trial *trial)
{
  const cks_table *table = work->table;
  trial->n_input = table->n_file;
  trial->input = cks_arena_take(work->arena, table->n_file, sizeof *trial->input);
  if (!trial->input) return cks_error_nomem(work->error);
  size_t row = 0;
  for (size_t i = 0; i < table->n_file; i++) {
    trial->input[i] = (cks_input){table->file_id[i], table->file_row[i], 0};
    for (size_t end = row + table->file_row[i]; row < end; row++) trial->input[i].plots += !work->left_out[row];
    const cks_adding *file = table->joined ? &table->joined->file[i] : NULL;
    if (file && file->adds) trial->input[i] = (cks_input){table->file_id[i], file->rows, file->plots};
  }
  return CKS_OK;
}

static const char *trial_name(const cks_audit_work *work, size_t plot)
{
  return work->trial_of && work->trial_of[plot] != CKS_NONE ? work->trial[work->trial_of[plot]] : "";
}

/* "Creek", with year and trial where the location has several. */
static const char *label_of(cks_audit_work *work, const cks_trial *trial, size_t e)
{
  const cks_environment *all = trial->environment;
  bool years = false, trials = false;
  for (size_t i = 0; i < trial->n_environment; i++) {
    bool here = all[i].location == all[e].location;
    years = years || (here && all[i].year != all[e].year);
    trials = trials || (here && all[i].year == all[e].year && strcmp(all[i].trial, all[e].trial));
  }
  const char *place = trial->location[all[e].location];
  const char *year = years && all[e].year ? cks_arena_format(work->arena, " %d", all[e].year) : "";
  return cks_arena_format(work->arena, "%s%s%s%s", place, year, trials && *all[e].trial ? " " : "",
                          trials ? all[e].trial : "");
}

static cks_status make_environments(cks_audit_work *work, cks_trial *trial)
{
  size_t n = work->table->n_row, count = 0;
  for (uint32_t i = 0; i < n; i++) count += i == 0 || !same_place(work, i - 1, i);
  trial->environment = cks_arena_take(work->arena, count, sizeof *trial->environment);
  trial->environment_of = malloc((n + 1) * sizeof *trial->environment_of);
  if (!trial->environment || !trial->environment_of) return cks_error_nomem(work->error);
  for (uint32_t i = 0; i < n; i++) {
    if (i == 0 || !same_place(work, i - 1, i))
      trial->environment[trial->n_environment++] = (cks_environment){.weather = CKS_NONE,
                                                                     .location = work->location_of[i],
                                                                     .trial = trial_name(work, i),
                                                                     .year = work->year_of[i],
                                                                     .first = i,
                                                                     .planted = NAN,
                                                                     .harvested = NAN};
    trial->environment[trial->n_environment - 1].n++;
    trial->environment_of[i] = (uint32_t)(trial->n_environment - 1);
  }
  return CKS_OK;
}

/* A column of whole numbers; positions that are none are left out of the trial's arrays. */
static cks_status whole_numbers(cks_audit_work *work, cks_role role, int32_t **out)
{
  const cks_column *column = cks_table_column(work->table, role);
  if (!column) return CKS_OK;
  *out = malloc((work->table->n_row + 1) * sizeof **out);
  if (!*out) return cks_error_nomem(work->error);
  for (size_t i = 0; i < work->table->n_row; i++) {
    double value = column->number[i];
    (*out)[i] = fabs(value) < 1e9 && value == floor(value) ? (int32_t)value : INT32_MIN;
  }
  return CKS_OK;
}

static void move(void *to, void *from)
{
  memcpy(to, from, sizeof(void *));
  memset(from, 0, sizeof(void *));
}

cks_status cks_audit_build(cks_audit_work *work, cks_trial *trial)
{
  size_t n = work->table->n_row;
  order o = {malloc((n + 1) * sizeof *o.index), malloc((n + 1) * sizeof *o.room), 0};
  cks_status status = o.index && o.room ? CKS_OK : cks_error_nomem(work->error);
  if (status == CKS_OK) status = list_inputs(work, trial);
  if (status == CKS_OK) status = list_left_out(work, trial);
  if (status == CKS_OK) status = sort_rows(work, &o);
  if (status == CKS_OK) status = gather_table(work, &o);
  free(o.index);
  free(o.room);
  free(work->left_out);
  work->left_out = NULL; /* from here on the table holds plots only */
  trial->location = work->location;
  trial->n_location = work->n_location;
  if (status == CKS_OK) status = make_environments(work, trial);
  for (size_t e = 0; e < trial->n_environment && status == CKS_OK; e++)
    trial->environment[e].label = label_of(work, trial, e);
  if (status == CKS_OK) status = whole_numbers(work, CKS_ROLE_ROW, &trial->row);
  if (status == CKS_OK) status = whole_numbers(work, CKS_ROLE_COLUMN, &trial->column);
  if (status == CKS_OK) status = whole_numbers(work, CKS_ROLE_STRIP, &trial->strip);
  if (status != CKS_OK) return status;
  trial->n_plot = work->table->n_row;
  trial->crop = work->crop;
  trial->hybrid = work->hybrid;
  trial->n_hybrid = work->n_hybrid;
  trial->by_group = work->by_group;
  trial->pair = work->pair;
  trial->rep = work->rep;
  trial->n_rep = work->n_rep;
  trial->block = work->block;
  trial->n_block = work->n_block;
  move(&trial->hybrid_of, &work->hybrid_of);
  move(&trial->rep_of, &work->rep_of);
  move(&trial->block_of, &work->block_of);
  return cks_arena_status(work->arena, work->error);
}
