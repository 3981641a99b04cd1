/*
 * weather.c: weather tables to days: which column of each file is what, in F or C, and to which of the trial's places a row
 * belongs; then the weather of every environment.
 *
 * A file's rows are of the location that they name; without a location column of the one that the file's name says, or of
 * all places where it says no more than that it holds weather. A name that is no location is never guessed at.
 */
#include "weather.h"

#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* What no weather station has seen: the records are -128.6 F and 134 F (World Meteorological Organization, from memory),
 * the low one where no crop grows. */
static const double COLDEST_F = -100, HOTTEST_F = 135;
/* Highs of which more than half are above this are F: in C no place has such a season. */
static const double ONLY_F = 50;

/* ---- the columns of a file -------------------------------------------------------------------------------------- */

typedef struct {
  cks_id file;
  size_t first, end; /* rows of the table */
  const cks_column *day, *year, *month, *day_of_month, *high, *low, *location;
  cks_degrees high_in, low_in;
  uint32_t place; /* of rows, where there is no location column; CKS_NONE: of none */
} weather_file;

typedef struct {
  cks_audit_work *work;
  const cks_trial *trial;
  const cks_table *table;
  cks_audit_days *days;
  uint32_t *place_of;   /* size names.n of the table: what a name's location is; CKS_NONE: none of the trial's */
  uint8_t *odd;         /* size n_row: a cell of the row is no date or number, and was reported */
  const char **unknown; /* size n_row, n_unknown filled: locations that the trial does not have */
  size_t n_unknown;
  cks_where unknown_at; /* of the first */
} weather_table;

static const cks_column *column_of(const cks_table *table, cks_id file, cks_role role)
{
  for (size_t i = 0; i < table->n_column; i++)
    for (size_t k = 0; k < table->column[i].n_in && table->column[i].role == role; k++)
      if (table->column[i].in[k].file == file) return &table->column[i];
  return NULL;
}

static cks_status say_file(const weather_table *t, cks_rule rule, cks_id file, const char *text)
{
  return cks_findings_add(t->work->findings, rule, (cks_where){file, CKS_NONE, 0, 0}, NULL, NULL, t->work->error, "%s",
                          text);
}

static cks_status find_columns(const weather_table *t, weather_file *f)
{
  const struct {
    const cks_column **to;
    cks_role role;
  } wanted[] = {{&f->day, CKS_ROLE_DAY},          {&f->year, CKS_ROLE_YEAR}, {&f->month, CKS_ROLE_MONTH},
                {&f->high, CKS_ROLE_HIGH},        {&f->low, CKS_ROLE_LOW},   {&f->day_of_month, CKS_ROLE_DAY_OF_MONTH},
                {&f->location, CKS_ROLE_LOCATION}};
  for (size_t i = 0; i < sizeof wanted / sizeof *wanted; i++)
    *wanted[i].to = column_of(t->table, f->file, wanted[i].role);
  bool parts = f->month && f->day_of_month && (f->year || t->days->normal || t->work->settings->year > 0);
  const char *lacks = !f->day && !parts ? "date" : !f->high ? "high" : !f->low ? "low" : NULL;
  if (!lacks) return CKS_OK;
  return say_file(t, CKS_RULE_WEATHER_COLUMN, f->file,
                  cks_arena_format(t->work->arena,
                                   "no column is known as the %s; expected headings such as date, high (F), low (F), "
                                   "%srename it, or give --heading %s=\"...\"",
                                   lacks, *lacks == 'd' ? "or year, month and day; " : "and one row a day; ",
                                   *lacks == 'd' ? "day" : lacks));
}

/* ---- F or C ----------------------------------------------------------------------------------------------------- */

static cks_degrees degrees_of(const cks_column *column)
{
  return column->unit == CKS_UNIT_CELSIUS ? CKS_CELSIUS : CKS_FAHRENHEIT;
}

static cks_where heading_of(const weather_file *f, const cks_column *column)
{
  return (cks_where){f->file, CKS_NONE, column->where.file == f->file ? column->where.line : 0,
                     cks_column_cell(column, f->file)};
}

/* "--unit \"high (C)=F\"": the option that overrules what the column's heading says. */
static const char *overruling(const weather_table *t, const cks_column *column, cks_degrees degrees)
{
  char given[CKS_SHELL_WORD];
  const char *whole = cks_arena_format(t->work->arena, "%.200s=%s", column->unit_stated ? column->heading : column->key,
                                       cks_degrees_text(degrees));
  return cks_arena_format(t->work->arena, "--unit %s", cks_shell_word(given, whole));
}

static cks_status note_degrees(const weather_table *t, const weather_file *f, const cks_column *column,
                               const char *since)
{
  return cks_findings_add(t->work->findings, CKS_RULE_UNIT_ASSUMED, heading_of(f, column), column->heading, NULL,
                          t->work->error, "%s has no unit; %s (--unit %s=... names another)", column->heading, since,
                          column->key);
}

static cks_status middle_high(const weather_table *t, const weather_file *f, double *middle)
{
  size_t n = 0;
  double *value = malloc((f->end - f->first + 1) * sizeof *value);
  if (!value) return cks_error_nomem(t->work->error);
  for (size_t row = f->first; row < f->end; row++)
    if (!cks_is_missing(f->high->number[row])) value[n++] = f->high->number[row];
  gsl_sort(value, 1, n);
  *middle = n ? gsl_stats_median_from_sorted_data(value, 1, n) : NAN;
  free(value);
  return CKS_OK;
}

/* Neither heading says F or C: the highs decide, or the user is asked. */
static cks_status degrees_by_values(const weather_table *t, const weather_file *f, double middle)
{
  char since[200];
  const cks_column *high = f->high;
  if (!(middle > ONLY_F))
    return cks_findings_add(
        t->work->findings, CKS_RULE_DEGREES_UNCLEAR, heading_of(f, high), high->heading, NULL, t->work->error,
        "neither %s nor %s says F or C, and the middle high (%.4g) could be either; write 'high (F)' or 'high (C)' in "
        "the heading, or give --unit high=F or --unit high=C",
        high->heading, f->low->heading, middle);
  snprintf(since, sizeof since, "F is assumed, since highs whose middle is %.4g cannot be C", middle);
  cks_status status = note_degrees(t, f, high, since);
  return status == CKS_OK ? note_degrees(t, f, f->low, "F is assumed, as for the highs") : status;
}

/* One error for a column that cannot be in its unit, instead of one for each day. */
static cks_status say_not_c(const weather_table *t, const weather_file *f, double middle)
{
  return cks_findings_add(t->work->findings, CKS_RULE_TEMPERATURE_RANGE, heading_of(f, f->high), f->high->heading, NULL,
                          t->work->error,
                          "the middle of the highs is %.4g, which cannot be C; if they are in F write that in both "
                          "headings, or give %s %s",
                          middle, overruling(t, f->high, CKS_FAHRENHEIT), overruling(t, f->low, CKS_FAHRENHEIT));
}

/* A heading that says nothing follows the other one. */
static cks_status find_degrees(const weather_table *t, weather_file *f)
{
  char since[200];
  double middle = NAN;
  bool high = f->high->unit_stated, low = f->low->unit_stated;
  cks_status status = middle_high(t, f, &middle);
  f->high_in = degrees_of(high || !low ? f->high : f->low);
  f->low_in = degrees_of(low || !high ? f->low : f->high);
  if (status == CKS_OK && !high && !low) return degrees_by_values(t, f, middle);
  if (status == CKS_OK && f->high_in == CKS_CELSIUS && middle > ONLY_F) return say_not_c(t, f, middle);
  if (status != CKS_OK || (high && low)) return status;
  const cks_column *stated = high ? f->high : f->low;
  snprintf(since, sizeof since, "%s is assumed, as '%.80s' says", cks_unit_text(stated->unit), stated->heading);
  return note_degrees(t, f, high ? f->low : f->high, since);
}

/* ---- places ----------------------------------------------------------------------------------------------------- */

const char *cks_audit_weather_name(const cks_trial *trial, uint32_t place)
{
  return place < trial->n_location ? trial->location[place] : "all places";
}

static uint32_t location_named(const cks_trial *trial, const char *name)
{
  for (size_t i = 0; i < trial->n_location; i++)
    if (cks_audit_same(trial->location[i], name)) return (uint32_t)i;
  return CKS_NONE;
}

/* Takes words of weather, and years, off both ends of a folded file name; what is left may be a place. */
static const char *without_weather(char folded[CKS_AUDIT_FOLDED])
{
  static const char *const words[] = {"weather", "temperatures", "temperature", "temps", "daily",  "normals", "normal",
                                      "data",    "station",      "climate",     "all",   "places", "season",  "."};
  char *text = folded;
  for (bool more = true; more;) {
    size_t n = strlen(text);
    more = false;
    for (size_t i = 0; i < sizeof words / sizeof *words && !more; i++) {
      size_t m = strlen(words[i]);
      bool front = !strncmp(text, words[i], m), behind = n >= m && !strcmp(text + n - m, words[i]);
      more = front || behind;
      if (front)
        text += m;
      else if (behind)
        text[n - m] = '\0';
    }
    if (!more && n >= 4 && strspn(text + n - 4, "0123456789") == 4) more = true, text[n - 4] = '\0';
  }
  return text;
}

/* Of the rows of a file without a location column. */
static cks_status place_of_file(const weather_table *t, weather_file *f)
{
  char folded[CKS_AUDIT_FOLDED];
  cks_audit_work *work = t->work;
  size_t n;
  const char *said = cks_table_place(t->table, work->findings, f->file, &n),
             *name = cks_arena_format(work->arena, "%.*s", (int)n, said);
  f->place = location_named(t->trial, name);
  if (f->location || f->place != CKS_NONE) return CKS_OK;
  cks_names_fold(name, strlen(name), folded);
  const char *left = without_weather(folded);
  f->place = *left ? location_named(t->trial, left) : (uint32_t)t->trial->n_location;
  if (f->place == CKS_NONE)
    return say_file(t, CKS_RULE_WEATHER_UNCLEAR, f->file,
                    cks_arena_format(work->arena,
                                     "there is no location column, and the file's name, '%s', is no location of the "
                                     "trial (%s); it is not used: add the column, name the file after the location, or "
                                     "weather.csv if it stands for all",
                                     name, cks_audit_list(work->arena, t->trial->n_location, t->trial->location)));
  if (f->place == t->trial->n_location && t->trial->n_location > 1)
    return say_file(t, CKS_RULE_WEATHER_FOR_ALL, f->file,
                    "the file names no location, so it stands for all places that have no weather of their own");
  return CKS_OK;
}

/* Remembers a location that the trial does not have, once. */
static void keep_unknown(weather_table *t, const char *name, cks_where where)
{
  for (size_t i = 0; i < t->n_unknown; i++)
    if (cks_audit_same(t->unknown[i], name)) return;
  if (!t->n_unknown) t->unknown_at = where;
  t->unknown[t->n_unknown++] = name;
}

/* Asks about each that is close to a location of the trial. */
static void ask_near(weather_table *t)
{
  const cks_trial *trial = t->trial;
  for (size_t i = 0; i < t->n_unknown; i++) {
    const char *near = cks_audit_nearest(t->work->arena, t->unknown[i], trial->n_location, trial->location);
    if (near) t->unknown[i] = cks_arena_format(t->work->arena, "%s (did you mean '%s'?)", t->unknown[i], near);
  }
}

static cks_status say_unknown(weather_table *t)
{
  if (!t->n_unknown) return CKS_OK;
  ask_near(t);
  return cks_findings_add(
      t->work->findings, CKS_RULE_WEATHER_UNKNOWN, t->unknown_at, NULL, NULL, t->work->error,
      "%s has no plots, so its %s is not used: %s", cks_audit_count(t->work->arena, t->n_unknown, "location"),
      t->days->normal ? "normal" : "weather", cks_audit_list(t->work->arena, t->n_unknown, t->unknown));
}

/* ---- rows ------------------------------------------------------------------------------------------------------- */

static bool whole(double value, double low, double high)
{
  return value >= low && value <= high && value == floor(value);
}

/* NaN: the row says none that there is. */
static double day_at(const weather_table *t, const weather_file *f, size_t row)
{
  double day = f->day ? f->day->number[row] : cks_missing();
  if (!f->day) {
    double year = f->year ? f->year->number[row] : t->work->settings->year;
    if (t->days->normal) year = 2000; /* any leap year */
    bool there =
        whole(year, 1, 9999) && whole(f->month->number[row], 1, 12) && whole(f->day_of_month->number[row], 1, 31);
    if (!there || !cks_day_number((int)year, (int)f->month->number[row], (int)f->day_of_month->number[row], &day))
      return cks_missing();
  }
  return t->days->normal && !cks_is_missing(day) ? (double)cks_leap_year_day(day) : day;
}

/* One temperature against what its unit can hold. */
static cks_status check_range(const weather_table *t, const cks_column *column, cks_degrees degrees, size_t row)
{
  char cell[CKS_NUMBER_TEXT];
  double value = column->number[row], in_f = cks_temperature_convert(value, degrees, CKS_FAHRENHEIT);
  cks_degrees other = degrees == CKS_CELSIUS ? CKS_FAHRENHEIT : CKS_CELSIUS;
  double if_other = cks_temperature_convert(value, other, CKS_FAHRENHEIT);
  if (cks_is_missing(value) || (in_f >= COLDEST_F && in_f <= HOTTEST_F)) return CKS_OK;
  snprintf(cell, sizeof cell, "%.15g", value);
  bool swapped = if_other >= COLDEST_F && if_other <= HOTTEST_F;
  const char *cure =
      swapped
          ? cks_arena_format(t->work->arena,
                             "is the column in %s? then write that in the heading, or give %s; else correct the cell",
                             cks_degrees_text(other), overruling(t, column, other))
          : cks_arena_format(t->work->arena, "correct it, or give --missing %s if that stands for a missing value",
                             cell);
  return cks_findings_add(t->work->findings, CKS_RULE_TEMPERATURE_RANGE, cks_table_where(t->table, column, row),
                          column->heading, cell, t->work->error, "%s is %s %s, which cannot be: %s", column->heading,
                          cell, cks_degrees_text(degrees), cure);
}

/* The row's own faults; *used: it is a day of a place of the trial. */
static cks_status check_row(weather_table *t, const weather_file *f, size_t row, const cks_audit_day *day, bool *used)
{
  cks_audit_work *work = t->work;
  bool given = !cks_is_missing(day->high) || !cks_is_missing(day->low);
  *used = false;
  if (f->location && f->location->name[row] == CKS_NONE && given)
    return cks_findings_add(work->findings, CKS_RULE_MISSING_PLACE, day->where, f->location->heading, NULL, work->error,
                            "the row has no location, though the column is there; write it, or take the row out");
  if (day->place == CKS_NONE) {
    if (f->location && given) keep_unknown(t, cks_names_text(&t->table->names, f->location->name[row]), day->where);
    return CKS_OK;
  }
  if (cks_is_missing(day->day) && given && !t->odd[row])
    return cks_findings_add(work->findings, CKS_RULE_NOT_A_DATE, day->where, NULL, NULL, work->error,
                            "the row holds temperatures and no day that there is; write a date such as 2026-05-20, or "
                            "take the row out");
  size_t errors = work->findings->n_severity[CKS_ERROR];
  cks_status status = check_range(t, f->high, f->high_in, row);
  if (status == CKS_OK) status = check_range(t, f->low, f->low_in, row);
  *used = !cks_is_missing(day->day);
  bool possible = work->findings->n_severity[CKS_ERROR] == errors;
  if (status != CKS_OK || !possible || !(day->high < day->low)) return status;
  return cks_findings_add(
      work->findings, CKS_RULE_HIGH_BELOW_LOW, cks_table_where(t->table, f->high, row), f->high->heading, NULL,
      work->error, "the high (%.4g %s) is below the low (%.4g %s); correct the one that is wrong, or empty it",
      f->high->number[row], cks_degrees_text(f->high_in), f->low->number[row], cks_degrees_text(f->low_in));
}

/* A file of no place of the trial is not looked into any further. */
static cks_status read_file(weather_table *t, weather_file *f)
{
  const size_t *errors = &t->work->findings->n_severity[CKS_ERROR], before = *errors;
  cks_status status = find_columns(t, f);
  if (status == CKS_OK && *errors == before) status = place_of_file(t, f);
  bool ready = *errors == before && (f->location || f->place != CKS_NONE), used;
  if (status == CKS_OK && ready) status = find_degrees(t, f);
  ready = ready && *errors == before;
  for (size_t row = f->first; row < f->end && status == CKS_OK && ready; row++) {
    cks_id name = f->location ? f->location->name[row] : CKS_NONE;
    cks_audit_day day = {.place = !f->location       ? f->place
                                  : name == CKS_NONE ? CKS_NONE
                                                     : t->place_of[name],
                         .day = day_at(t, f, row),
                         .high = f->high->number[row],
                         .low = cks_temperature_convert(f->low->number[row], f->low_in, f->high_in),
                         .degrees = f->high_in,
                         .where = {t->table->file[row], CKS_NONE, t->table->line[row], 0},
                         .file = t->work->findings->file[t->table->file[row]]};
    status = check_row(t, f, row, &day, &used);
    if (used) t->days->day[t->days->n++] = day;
  }
  return status;
}

/* By place and day; of one day F before C, so that what is taken does not hang on the order of the files. */
static int compare_days(const void *left, const void *right)
{
  const cks_audit_day *a = left, *b = right;
  if (a->place != b->place) return a->place < b->place ? -1 : 1;
  if (a->day != b->day) return a->day < b->day ? -1 : 1;
  if (a->degrees != b->degrees) return a->degrees < b->degrees ? -1 : 1;
  int files = strcmp(a->file, b->file);
  return files ? files : (a->where.line > b->where.line) - (a->where.line < b->where.line);
}

cks_status cks_audit_read_days(cks_audit_work *work, const cks_trial *trial, const cks_table *table,
                               cks_audit_days *days)
{
  weather_table t = {.work = work, .trial = trial, .table = table, .days = days};
  cks_status status = CKS_OK;
  t.place_of = malloc((table->names.n + 1) * sizeof *t.place_of);
  t.odd = calloc(table->n_row + 1, 1);
  t.unknown = malloc((table->n_row + 1) * sizeof *t.unknown);
  days->day = malloc((table->n_row + 1) * sizeof *days->day);
  if (!t.place_of || !t.odd || !t.unknown || !days->day) status = cks_error_nomem(work->error);
  for (cks_id id = 0; status == CKS_OK && id < table->names.n; id++)
    t.place_of[id] = location_named(trial, cks_names_text(&table->names, id));
  for (size_t i = 0; status == CKS_OK && i < table->n_odd; i++) t.odd[table->odd[i].row] = 1;
  size_t row = 0;
  for (size_t i = 0; i < table->n_file && status == CKS_OK; i++) {
    weather_file f = {.file = table->file_id[i], .first = row, .end = row + table->file_row[i]};
    row = f.end;
    if (f.first < f.end) status = read_file(&t, &f); /* else the reader said so */
  }
  if (status == CKS_OK) status = say_unknown(&t);
  if (status == CKS_OK) qsort(days->day, days->n, sizeof *days->day, compare_days);
  free(t.place_of);
  free(t.odd);
  free(t.unknown);
  return status == CKS_OK ? cks_arena_status(work->arena, work->error) : status;
}

/* ---- the trial's weather ---------------------------------------------------------------------------------------- */

/* The weather of a location: its own, else that of all places; CKS_NONE: neither. */
static uint32_t weather_of(const cks_trial *trial, cks_id location)
{
  uint32_t found = CKS_NONE;
  for (size_t i = 0; i < trial->weather.n; i++) {
    const char *name = trial->weather.place[i].location;
    if (!strcmp(name, trial->location[location])) return (uint32_t)i;
    if (!*name) found = (uint32_t)i;
  }
  return found;
}

static cks_status say_without(cks_audit_work *work, const cks_trial *trial)
{
  size_t n = 0;
  const char **name = cks_arena_take(work->arena, trial->n_location + 1, sizeof *name);
  if (!name) return cks_error_nomem(work->error);
  for (size_t i = 0; i < trial->n_location; i++)
    if (weather_of(trial, (cks_id)i) == CKS_NONE) name[n++] = trial->location[i];
  if (!n) return CKS_OK;
  return cks_audit_say_all(work, CKS_RULE_NO_WEATHER, "the weather files have no day with a high and a low of %s",
                           cks_audit_list(work->arena, n, name));
}

/* The series of each place; that of all places comes first, as its name "" sorts. */
static cks_status make_places(cks_audit_work *work, cks_trial *trial, const cks_audit_days *days)
{
  cks_weather *weather = &trial->weather;
  cks_status status = CKS_OK;
  weather->place = cks_arena_take(work->arena, trial->n_location + 1, sizeof *weather->place);
  if (!weather->place) return cks_error_nomem(work->error);
  for (size_t first = 0, end; first < days->n && status == CKS_OK; first = end) {
    for (end = first + 1; end < days->n && days->day[end].place == days->day[first].place;) end++;
    cks_weather_place place;
    status = cks_audit_weather_place(work, trial, days, first, end, &place);
    if (status != CKS_OK || !place.n) continue;
    bool all = !*place.location;
    if (all) memmove(weather->place + 1, weather->place, weather->n * sizeof *weather->place);
    weather->place[all ? 0 : weather->n] = place;
    weather->n++;
  }
  return status;
}

cks_status cks_audit_weather(cks_audit_work *work, cks_trial *trial)
{
  cks_audit_days days = {0};
  cks_status status = CKS_OK;
  if (work->weather) {
    status = cks_audit_read_days(work, trial, work->weather, &days);
    if (status == CKS_OK) status = make_places(work, trial, &days);
    if (status == CKS_OK) status = say_without(work, trial);
  }
  for (size_t e = 0; e < trial->n_environment; e++)
    trial->environment[e].weather = weather_of(trial, trial->environment[e].location);
  if (status == CKS_OK) status = cks_audit_normals(work, trial, &days);
  free(days.day);
  return status == CKS_OK ? cks_arena_status(work->arena, work->error) : status;
}
