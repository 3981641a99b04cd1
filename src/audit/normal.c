/*
 * normal.c: what a day of the year usually brings, for the places that have weather: as a file says, else the mean of other
 * years that the weather holds whole.
 *
 * A year counts when every day of it is measured (but February 29) and no planting or harvest of the place falls into it;
 * three such years make a normal, day by day. With fewer, or where the trial's year is not known, there is none: a normal is
 * never made of the season that it is to foretell.
 */
#include "weather.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { FEWEST_YEARS = 3, LEAP_DAY = 59 };

/* ---- other years ------------------------------------------------------------------------------------------------ */

static int year_of(double day)
{
  int year, month, date;
  cks_day_date(day, &year, &month, &date);
  return year;
}

/* May the year be one of the trial's at the place? So is any when an environment does not say its own. */
static bool is_of_trial(const cks_trial *trial, uint32_t place, int year)
{
  bool own = false;
  for (size_t i = 0; i < trial->n_environment; i++) {
    const cks_environment *e = &trial->environment[i];
    if (e->weather != place) continue;
    own |= e->year == year || (!e->year && cks_is_missing(e->planted));
    own |= !cks_is_missing(e->planted) && year_of(e->planted) == year;
    own |= !cks_is_missing(e->harvested) && year_of(e->harvested) == year;
  }
  return own;
}

/* Are all days of the year measured, but for February 29? *first: where January 1 stands. */
static bool is_whole(const cks_weather_place *p, int year, size_t *first)
{
  double start, end;
  if (!cks_day_number(year, 1, 1, &start) || !cks_day_number(year, 12, 31, &end)) return false;
  if (start < p->first || end >= p->first + (double)p->n) return false;
  *first = (size_t)(start - p->first);
  for (size_t i = *first; i <= (size_t)(end - p->first); i++) {
    bool missing = cks_is_missing(p->high[i]) || cks_is_missing(p->low[i]);
    if (missing && cks_leap_year_day(p->first + (double)i) != LEAP_DAY) return false;
  }
  return true;
}

/* Adds the days of a whole year to sums and counts by day of a leap year. */
static void add_year(const cks_weather_place *p, int year, size_t first, cks_weather_place *sum, size_t *count)
{
  for (size_t i = first; i < p->n && year_of(p->first + (double)i) == year; i++) {
    size_t day = cks_leap_year_day(p->first + (double)i);
    if (cks_is_missing(p->high[i]) || cks_is_missing(p->low[i])) continue;
    sum->high[day] += p->high[i];
    sum->low[day] += p->low[i];
    count[day]++;
  }
}

/* "2021 to 2025", or each where some are left out between. */
static const char *years_text(cks_audit_work *work, size_t n, const int *year)
{
  const char *text = "";
  if (year[n - 1] - year[0] + 1 == (int)n) return cks_arena_format(work->arena, "%d to %d", year[0], year[n - 1]);
  for (size_t i = 0; i < n; i++)
    text = cks_arena_format(work->arena, "%s%s%d", text, !i ? "" : i + 1 < n ? ", " : " and ", year[i]);
  return text;
}

/* The file that has the days of a place, when it is one. */
static const char *files_text(const cks_trial *trial, const cks_audit_days *days, const char *location)
{
  const char *file = NULL;
  for (size_t i = 0; i < days->n; i++) {
    const cks_audit_day *day = &days->day[i];
    bool here = day->place < trial->n_location ? !strcmp(trial->location[day->place], location) : !*location;
    if (here && file && strcmp(file, day->file) != 0) return "the weather files";
    if (here) file = day->file;
  }
  return file;
}

static cks_status mean_of_years(cks_audit_work *work, const cks_trial *trial, const cks_audit_days *days,
                                uint32_t place, cks_weather_normal *normal)
{
  const cks_weather_place *p = &trial->weather.place[place];
  int from = year_of(p->first), to = year_of(p->first + (double)p->n - 1);
  cks_weather_place mean = {p->location,
                            p->degrees,
                            0,
                            CKS_LEAP_YEAR,
                            cks_arena_take(work->arena, CKS_LEAP_YEAR, sizeof *mean.high),
                            cks_arena_take(work->arena, CKS_LEAP_YEAR, sizeof *mean.low)};
  size_t count[CKS_LEAP_YEAR] = {0}, n = 0, first = 0;
  int *year = cks_arena_take(work->arena, (size_t)(to - from) + 1, sizeof *year);
  if (!mean.high || !mean.low || !year) return cks_error_nomem(work->error);
  for (int y = from; y <= to; y++) {
    if (is_of_trial(trial, place, y) || !is_whole(p, y, &first)) continue;
    add_year(p, y, first, &mean, count);
    year[n++] = y;
  }
  if (n < FEWEST_YEARS) return CKS_OK;
  for (size_t day = 0; day < CKS_LEAP_YEAR; day++) {
    mean.high[day] = count[day] ? mean.high[day] / (double)count[day] : cks_missing();
    mean.low[day] = count[day] ? mean.low[day] / (double)count[day] : cks_missing();
  }
  if (!count[LEAP_DAY]) {
    mean.high[LEAP_DAY] = (mean.high[LEAP_DAY - 1] + mean.high[LEAP_DAY + 1]) / 2;
    mean.low[LEAP_DAY] = (mean.low[LEAP_DAY - 1] + mean.low[LEAP_DAY + 1]) / 2;
  }
  normal->day = mean;
  normal->source = cks_arena_format(work->arena, "the mean of %s in %s", years_text(work, n, year),
                                    files_text(trial, days, p->location));
  return CKS_OK;
}

/* ---- a file ----------------------------------------------------------------------------------------------------- */

/* The normals that the file has, each of its own place; *all: that of all places, n 0 when there is none. */
static cks_status from_file(cks_audit_work *work, const cks_trial *trial, cks_weather_place *own,
                            cks_weather_place *all)
{
  cks_audit_days days = {.normal = true};
  cks_status status = cks_audit_read_days(work, trial, work->normal, &days);
  for (size_t first = 0, end; first < days.n && status == CKS_OK; first = end) {
    uint32_t of = days.day[first].place;
    for (end = first + 1; end < days.n && days.day[end].place == of;) end++;
    status = cks_audit_weather_place(work, trial, &days, first, end, of < trial->n_location ? &own[of] : all);
  }
  free(days.day);
  return status;
}

/* Gives each place that has weather the normal of its location, else that of all. */
static cks_status take_file(cks_audit_work *work, cks_trial *trial, cks_weather_normal *normal)
{
  cks_weather_place *own = cks_arena_take(work->arena, trial->n_location + 1, sizeof *own), all = {0};
  if (!own) return cks_error_nomem(work->error);
  cks_status status = from_file(work, trial, own, &all);
  const char *source = cks_arena_format(work->arena, "the file %s", work->settings->normal->name);
  for (size_t i = 0; i < trial->weather.n && status == CKS_OK; i++) {
    const cks_weather_place *found = &all;
    for (size_t k = 0; k < trial->n_location; k++)
      if (own[k].n && !strcmp(trial->location[k], trial->weather.place[i].location)) found = &own[k];
    if (found->n) normal[i] = (cks_weather_normal){source, *found};
  }
  return status;
}

/* ---- both ------------------------------------------------------------------------------------------------------- */

static cks_status say_normal(cks_audit_work *work, const cks_weather_place *place, const cks_weather_normal *normal)
{
  char last[CKS_NUMBER_TEXT];
  const char *name = *place->location ? place->location : "all places";
  cks_print_date(last, place->first + (double)place->n - 1);
  if (!normal->day.n)
    return cks_audit_say_all(work, CKS_RULE_NORMAL_TAKEN,
                             "the normal has no day of %s, so nothing stands for days after %s, the last one measured",
                             name, last);
  return cks_audit_say_all(work, CKS_RULE_NORMAL_TAKEN,
                           "where days of %s after %s, the last one measured, are needed, %s stands for them", name,
                           last, normal->source);
}

cks_status cks_audit_normals(cks_audit_work *work, cks_trial *trial, const cks_audit_days *days)
{
  cks_weather *weather = &trial->weather;
  cks_status status = CKS_OK;
  bool any = false;
  if (work->normal && !work->weather)
    status = cks_audit_say_all(work, CKS_RULE_NORMAL_TAKEN,
                               "a normal stands for days after the measured ones; without --weather it is not used");
  if (status != CKS_OK || !work->weather) return status;
  cks_weather_normal *normal = cks_arena_take(work->arena, weather->n + 1, sizeof *normal);
  if (!normal) return cks_error_nomem(work->error);
  for (size_t i = 0; i < weather->n; i++) normal[i].source = "";
  if (work->normal) status = take_file(work, trial, normal);
  for (size_t i = 0; i < weather->n && status == CKS_OK; i++) {
    if (!normal[i].day.n) status = mean_of_years(work, trial, days, (uint32_t)i, &normal[i]);
    any |= normal[i].day.n > 0;
    if (status == CKS_OK && (work->normal || normal[i].day.n))
      status = say_normal(work, &weather->place[i], &normal[i]);
  }
  if (any) weather->normal = normal;
  if (any) weather->n_normal = weather->n;
  return status;
}
