/*
 * identity.c: location, year, trial, rep and block of each row, as dense indexes in the order for people.
 *
 * Spellings of a location that differ in case, spaces or marks are one. A file without a location column takes the
 * file's name, or the sheet's. A year that is not given is that of the planting date, else of another date of the row, else of the
 * planting date in the places table.
 */
#include "audit.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

enum { FIRST_YEAR = 1900, LAST_YEAR = 2199 };

/* ---- a column of names as dense indexes ------------------------------------------------------------------------- */

typedef struct {
  const cks_names *names;
  const cks_id *id;
} by_text;

static int compare_texts(const void *context, uint32_t a, uint32_t b)
{
  const by_text *by = context;
  return cks_names_compare(cks_names_text(by->names, by->id[a]), cks_names_text(by->names, by->id[b]));
}

/* Every name that stands in `of` for the name it is taken as; counts the rows of each. */
typedef struct {
  cks_id *id;      /* distinct names */
  uint32_t *rows;  /* rows of each */
  size_t *first;   /* its first row */
  uint32_t *as;    /* index of the distinct name that stands for it */
  uint32_t *dense; /* sorted index of it */
  uint32_t *at;    /* size names.n: index into id; CKS_NONE */
  size_t n;
} distinct;

static void release(distinct *d)
{
  free(d->id);
  free(d->rows);
  free(d->first);
  free(d->as);
  free(d->dense);
  free(d->at);
}

static cks_status collect(cks_audit_work *work, const uint32_t *of, distinct *d)
{
  const size_t n_names = work->table->names.n;
  size_t room = 0;
  d->at = malloc((n_names + 1) * sizeof *d->at);
  if (!d->at) return cks_error_nomem(work->error);
  memset(d->at, 0xff, (n_names + 1) * sizeof *d->at);
  for (size_t row = 0; row < work->table->n_row; row++) /* count, so that the arrays below are made once */
    if (!work->left_out[row] && of[row] != CKS_NONE && d->at[of[row]] == CKS_NONE) d->at[of[row]] = (uint32_t)room++;
  d->id = malloc((room + 1) * sizeof *d->id);
  d->rows = calloc(room + 1, sizeof *d->rows);
  d->first = calloc(room + 1, sizeof *d->first);
  d->as = malloc((room + 1) * sizeof *d->as);
  d->dense = malloc((room + 1) * sizeof *d->dense);
  if (!d->id || !d->rows || !d->first || !d->as || !d->dense) return cks_error_nomem(work->error);
  for (size_t row = 0; row < work->table->n_row; row++) {
    if (work->left_out[row] || of[row] == CKS_NONE) continue;
    uint32_t i = d->at[of[row]];
    if (!d->rows[i]++) {
      d->id[i] = of[row];
      d->first[i] = row;
      d->as[i] = i;
    }
  }
  d->n = room;
  return CKS_OK;
}

/* Names that are the same when folded are taken as the one that most rows have; a finding for each other. */
static cks_status take_as_one(cks_audit_work *work, distinct *d, const cks_column *column)
{
  cks_status status = CKS_OK;
  const cks_names *names = &work->table->names;
  for (size_t i = 0; i < d->n; i++)
    for (size_t j = 0; j < d->n; j++) {
      uint32_t as = d->as[i];
      bool more = d->rows[j] > d->rows[as] ||
                  (d->rows[j] == d->rows[as] &&
                   cks_names_compare(cks_names_text(names, d->id[j]), cks_names_text(names, d->id[as])) < 0);
      if (more && cks_audit_same(cks_names_text(names, d->id[i]), cks_names_text(names, d->id[j])))
        d->as[i] = (uint32_t)j;
    }
  for (size_t i = 0; i < d->n && status == CKS_OK; i++)
    if (d->as[i] != i && column->role == CKS_ROLE_LOCATION) { /* "1st cut" and "1st Cut" go without saying */
      const char *text = cks_names_text(names, d->id[i]);
      status = cks_audit_say(work, CKS_RULE_ONE_PLACE, d->first[i], column, text,
                             "location '%s' is taken as '%s'; correct the "
                             "spelling if so, else make the names differ in more than case, spaces and marks",
                             text, cks_names_text(names, d->id[d->as[i]]));
    }
  return status;
}

/* of: name ids in, dense indexes out. texts: arena, size *n. fold: see take_as_one. */
static cks_status make_dense(cks_audit_work *work, uint32_t *of, const cks_column *column, bool fold,
                             const char ***texts, size_t *n)
{
  distinct d = {0};
  uint32_t *order = NULL, *room = NULL;
  cks_status status = collect(work, of, &d);
  if (status == CKS_OK && fold) status = take_as_one(work, &d, column);
  if (status != CKS_OK) goto done;
  order = malloc((d.n + 1) * sizeof *order);
  room = malloc((d.n + 1) * sizeof *room);
  *texts = cks_arena_take(work->arena, d.n + 1, sizeof **texts);
  if (!order || !room || !*texts) {
    status = cks_error_nomem(work->error);
    goto done;
  }
  size_t kept = 0;
  for (uint32_t i = 0; i < d.n; i++)
    if (d.as[i] == i) order[kept++] = i;
  cks_audit_sort(order, room, kept, compare_texts, &(by_text){&work->table->names, d.id});
  for (uint32_t i = 0; i < kept; i++) {
    d.dense[order[i]] = i;
    (*texts)[i] = cks_arena_text(work->arena, cks_names_text(&work->table->names, d.id[order[i]]));
  }
  for (size_t row = 0; row < work->table->n_row; row++)
    if (!work->left_out[row] && of[row] != CKS_NONE) of[row] = d.dense[d.as[d.at[of[row]]]];
  *n = kept;
  status = cks_arena_status(work->arena, work->error);
done:
  free(room);
  free(order);
  release(&d);
  return status;
}

/* A copy of the column's names, or all CKS_NONE. */
static uint32_t *copy_names(const cks_audit_work *work, const cks_column *column)
{
  size_t n = work->table->n_row;
  uint32_t *of = malloc((n + 1) * sizeof *of);
  if (of && column && n) memcpy(of, column->name, n * sizeof *of);
  if (of && !column) memset(of, 0xff, n * sizeof *of);
  return of;
}

/* ---- locations -------------------------------------------------------------------------------------------------- */

/* The location as the places table spells it, where it knows one of this name. */
static const char *as_listed(const cks_audit_work *work, const char *name)
{
  const cks_column *column = work->places ? cks_table_column(work->places, CKS_ROLE_LOCATION) : NULL;
  for (size_t row = 0; column && row < work->places->n_row; row++) {
    const char *listed = cks_names_text(&work->places->names, column->name[row]);
    if (cks_audit_same(listed, name)) return listed;
  }
  return name;
}

/* Rows [first, first + n) are one file's: where none has a location the file's name stands in; a single gap is an error. */
static cks_status fill_location(cks_audit_work *work, const cks_column *column, size_t first, size_t n)
{
  cks_status status = CKS_OK;
  size_t given = 0;
  for (size_t row = first; row < first + n; row++) given += work->location_of[row] != CKS_NONE;
  if (!given && n) {
    cks_id file = work->table->file[first], id;
    size_t length;
    const char *place = cks_table_place(work->table, work->findings, file, &length),
               *name = as_listed(work, cks_arena_format(work->arena, "%.*s", (int)length, place));
    bool is_sheet = place == cks_names_text(&work->findings->sheet, work->findings->file_sheet[file]);
    status = cks_names_add(&work->table->names, name, strlen(name), &id, work->error);
    for (size_t row = first; row < first + n && status == CKS_OK; row++) work->location_of[row] = id;
    if (status == CKS_OK)
      status = cks_findings_add(work->findings, CKS_RULE_LOCATION_FROM_FILE, (cks_where){file, CKS_NONE, 0, 0}, NULL,
                                NULL, work->error, "no location is given; the %s's name stands in: '%s'",
                                is_sheet ? "sheet" : "file", name);
  }
  for (size_t row = first; given && row < first + n && status == CKS_OK; row++)
    if (work->location_of[row] == CKS_NONE && !work->left_out[row])
      status = cks_audit_say(
          work, CKS_RULE_MISSING_PLACE, row, column, "",
          "%s is empty here and given in other rows; write it (fill it down where cells were merged)", column->heading);
  return status;
}

static cks_status settle_locations(cks_audit_work *work)
{
  const cks_column *column = cks_table_column(work->table, CKS_ROLE_LOCATION);
  work->location_of = copy_names(work, column);
  if (!work->location_of) return cks_error_nomem(work->error);
  cks_status status = CKS_OK;
  size_t first = 0;
  const cks_joined *joined = work->table->joined;
  for (size_t i = 0; i < work->table->n_file && status == CKS_OK; i++) {
    bool adds = joined && joined->file[i].adds; /* what is left of it belongs to no plot */
    if (!adds) status = fill_location(work, column, first, work->table->file_row[i]);
    first += work->table->file_row[i];
  }
  return status == CKS_OK ? make_dense(work, work->location_of, column, true, &work->location, &work->n_location)
                          : status;
}

/* ---- gaps ------------------------------------------------------------------------------------------------------- */

static bool is_given(const cks_audit_work *work, const uint32_t *of, size_t row)
{
  return of ? of[row] != CKS_NONE : work->year_of[row] != 0;
}

/* The row's location, or n_location. */
static size_t slot_of(const cks_audit_work *work, size_t row)
{
  bool has = !work->left_out[row] && work->location_of[row] != CKS_NONE;
  return has ? work->location_of[row] : work->n_location;
}

/* A rep, trial or year (of NULL) that is empty in a row while its file gives it in others at the location is an error; a
 * location of a file without any has none. */
static cks_status report_gaps(cks_audit_work *work, const cks_column *column, const uint32_t *of)
{
  cks_status status = CKS_OK;
  size_t first = 0;
  uint8_t *given = malloc(work->n_location + 1); /* at a location; the last: of rows that have none, or are left out */
  if (!given) return cks_error_nomem(work->error);
  for (size_t i = 0; i < work->table->n_file; i++) {
    size_t end = first + work->table->file_row[i];
    bool adds = work->table->joined && work->table->joined->file[i].adds;
    memset(given, 0, work->n_location + 1);
    for (size_t row = first; row < end; row++)
      if (is_given(work, of, row)) given[slot_of(work, row)] = 1;
    for (size_t row = first; !adds && row < end && status == CKS_OK; row++)
      if (!is_given(work, of, row) && !work->left_out[row] && given[slot_of(work, row)])
        status = cks_audit_say(
            work, CKS_RULE_MISSING_PLACE, row, column, "",
            "%s is empty here and given in other rows; write it (fill it down where cells were merged), or "
            "leave the row out with a leave_out column",
            column->heading);
    first = end;
  }
  free(given);
  return status;
}

/* ---- years ------------------------------------------------------------------------------------------------------ */

static int32_t year_of_day(double day)
{
  int year, month, date;
  cks_day_date(day, &year, &month, &date);
  return year;
}

/* A plot without any date (lost, never in bloom) stands in the year of the others of its file and location, if they have
 * one: it must not become an environment of its own. */
static cks_status fill_years(cks_audit_work *work)
{
  const cks_table *table = work->table;
  size_t first = 0;
  int32_t *one = malloc((work->n_location + 1) * sizeof *one); /* the year of a location; 0 none, -1 several */
  if (!one) return cks_error_nomem(work->error);
  for (size_t i = 0; i < table->n_file; i++) {
    size_t end = first + table->file_row[i];
    memset(one, 0, work->n_location * sizeof *one);
    for (size_t row = first; row < end; row++) {
      uint32_t at = work->left_out[row] ? CKS_NONE : work->location_of[row];
      int32_t year = work->year_of[row];
      if (at != CKS_NONE && year) one[at] = !one[at] || one[at] == year ? year : -1;
    }
    for (size_t row = first; row < end; row++) {
      uint32_t at = work->left_out[row] ? CKS_NONE : work->location_of[row];
      if (at != CKS_NONE && !work->year_of[row] && one[at] > 0) work->year_of[row] = one[at];
    }
    first = end;
  }
  free(one);
  return CKS_OK;
}

static cks_status settle_years(cks_audit_work *work)
{
  static const cks_role dates[] = {CKS_ROLE_PLANTED, CKS_ROLE_MID_BLOOM, CKS_ROLE_HARVESTED};
  const cks_column *column = cks_table_column(work->table, CKS_ROLE_YEAR);
  cks_status status = CKS_OK;
  work->year_of = calloc(work->table->n_row + 1, sizeof *work->year_of);
  if (!work->year_of) return cks_error_nomem(work->error);
  for (size_t row = 0; column && row < work->table->n_row && status == CKS_OK; row++) {
    double year = column->number[row];
    if (year >= FIRST_YEAR && year <= LAST_YEAR && year == floor(year))
      work->year_of[row] = (int32_t)year;
    else if (!cks_is_missing(year))
      status = cks_audit_say(work, CKS_RULE_OUT_OF_RANGE, row, column, "",
                             "%s is %g, expected a year such as 2026; correct it", column->heading, year);
  }
  for (size_t i = 0; i < sizeof dates / sizeof *dates; i++) {
    const cks_column *date = cks_table_column(work->table, dates[i]);
    for (size_t row = 0; date && row < work->table->n_row; row++)
      if (!work->year_of[row] && !cks_is_missing(date->number[row]))
        work->year_of[row] = year_of_day(date->number[row]);
  }
  if (column && status == CKS_OK) status = report_gaps(work, column, NULL);
  return status == CKS_OK ? fill_years(work) : status;
}

/* ---- reps and blocks -------------------------------------------------------------------------------------------- */

static cks_status settle_names(cks_audit_work *work, cks_role role, uint32_t **of, const char ***texts, size_t *n)
{
  const cks_column *column = cks_table_column(work->table, role);
  if (!column) return CKS_OK;
  *of = copy_names(work, column);
  if (!*of) return cks_error_nomem(work->error);
  cks_status status = role == CKS_ROLE_BLOCK ? CKS_OK : report_gaps(work, column, *of);
  return status == CKS_OK ? make_dense(work, *of, column, role == CKS_ROLE_CUT, texts, n) : status;
}

cks_status cks_audit_identity(cks_audit_work *work)
{
  cks_status status = settle_locations(work);
  if (status == CKS_OK) status = settle_years(work);
  if (status == CKS_OK) status = settle_names(work, CKS_ROLE_TRIAL, &work->trial_of, &work->trial, &work->n_trial);
  if (status == CKS_OK) status = cks_audit_place_years(work);
  if (status == CKS_OK) status = settle_names(work, CKS_ROLE_REP, &work->rep_of, &work->rep, &work->n_rep);
  if (status == CKS_OK) status = settle_names(work, CKS_ROLE_BLOCK, &work->block_of, &work->block, &work->n_block);
  if (status == CKS_OK) status = settle_names(work, CKS_ROLE_CUT, &work->cut_of, &work->cut, &work->n_cut);
  return status;
}
