/*
 * weather_place.c: the days of one place as a series of highs and lows: what stands twice is one day or an error, and a day
 * without both a high and a low is missing, said once.
 */
#include "weather.h"

#include <math.h>
#include <string.h>

/* Between two ways to write one temperature: C to a tenth and F to a whole degree. */
static const double ROUNDED_F = 0.5;
enum { MOST_DAYS_BETWEEN = 3653, /* ten years: beyond it a date is a slip */ LEAP_DAY = 59 };

typedef struct {
  cks_audit_work *work;
  const cks_trial *trial;
  const cks_audit_days *days;
  size_t first, end;
  cks_weather_place *place;
  size_t n_again;
  const cks_audit_day *again; /* the first of them */
} series;

/* "2026-06-03"; of a normal "06-03". */
static const char *day_text(const series *s, double day, char into[CKS_NUMBER_TEXT])
{
  double start = 0;
  if (!s->days->normal) return cks_print_date(into, day);
  (void)cks_day_number(2000, 1, 1, &start); /* any leap year */
  return cks_print_date(into, start + day) + strlen("2000-");
}

static const char *name_of(const series *s) { return cks_audit_weather_name(s->trial, s->days->day[s->first].place); }

/* Takes one more value of a day, in its own degrees; *differs: there is another one already. */
static void take(double *value, cks_degrees in, double other, cks_degrees other_in, bool *again, bool *differs)
{
  double converted = cks_temperature_convert(other, other_in, in),
         room = in == other_in ? 0
                               : cks_temperature_convert(ROUNDED_F, CKS_FAHRENHEIT, in) -
                                     cks_temperature_convert(0, CKS_FAHRENHEIT, in);
  if (cks_is_missing(other)) return;
  if (cks_is_missing(*value)) {
    *value = converted;
    return;
  }
  *again = true;
  *differs = *differs || fabs(*value - converted) > room + 1e-9;
}

static cks_status say_twice(const series *s, const cks_audit_day *first, const cks_audit_day *second)
{
  char day[CKS_NUMBER_TEXT];
  const char *unit = cks_degrees_text(first->degrees), *unit_here = cks_degrees_text(second->degrees);
  return cks_findings_add(
      s->work->findings, CKS_RULE_DAY_TWICE, second->where, NULL, NULL, s->work->error,
      "%s of %s is %.4g and %.4g %s here and %.4g and %.4g %s in %s; correct one of them, or take its row out%s",
      day_text(s, second->day, day), name_of(s), second->high, second->low, unit_here, first->high, first->low, unit,
      cks_audit_line(s->work, first->where.file, first->where.line),
      s->days->normal ? "; weather of several years belongs to --weather, which takes their mean" : "");
}

/* The rows of one day as one. */
static cks_status one_day(series *s, size_t first, size_t end, double *high, double *low)
{
  cks_status status = CKS_OK;
  const cks_audit_day *day = &s->days->day[first];
  bool again = false;
  *high = day->high;
  *low = day->low;
  for (size_t i = first + 1; i < end && status == CKS_OK; i++) {
    const cks_audit_day *other = &s->days->day[i];
    bool differs = false;
    take(high, day->degrees, other->high, other->degrees, &again, &differs);
    take(low, day->degrees, other->low, other->degrees, &again, &differs);
    if (again && !s->n_again) s->again = other;
    if (differs) status = say_twice(s, day, other);
  }
  s->n_again += again;
  *high = cks_temperature_convert(*high, day->degrees, s->place->degrees);
  *low = cks_temperature_convert(*low, day->degrees, s->place->degrees);
  return status;
}

static cks_status say_again(const series *s)
{
  char day[CKS_NUMBER_TEXT];
  if (!s->n_again) return CKS_OK;
  return cks_findings_add(s->work->findings, CKS_RULE_DAY_AGAIN, s->again->where, NULL, NULL, s->work->error,
                          "%s of %s, the first %s, %s more than once; what is the same counts once",
                          cks_audit_count(s->work->arena, s->n_again, "day"), name_of(s),
                          day_text(s, s->again->day, day), s->n_again == 1 ? "stands" : "stand");
}

/* A date far from all others would make a season of it. */
static cks_status check_gaps(const series *s, bool *gap)
{
  cks_status status = CKS_OK;
  char before[CKS_NUMBER_TEXT], after[CKS_NUMBER_TEXT];
  *gap = false;
  for (size_t i = s->first + 1; i < s->end && status == CKS_OK; i++) {
    const cks_audit_day *a = &s->days->day[i - 1], *b = &s->days->day[i];
    if (b->day - a->day <= MOST_DAYS_BETWEEN) continue;
    *gap = true;
    status = cks_findings_add(s->work->findings, CKS_RULE_DAYS_FAR, b->where, NULL, NULL, s->work->error,
                              "%s of %s stands more than ten years behind the day before it, %s (%s); correct the date "
                              "that is wrong, or give the years between",
                              cks_print_date(after, b->day), name_of(s), cks_print_date(before, a->day),
                              cks_audit_line(s->work, a->where.file, a->where.line));
  }
  return status;
}

static bool is_whole(const cks_weather_place *p, size_t i)
{
  return !cks_is_missing(p->high[i]) && !cks_is_missing(p->low[i]);
}

/* Off both ends of measured days what is not whole: the last day has no low yet. */
static void trim(cks_weather_place *p)
{
  size_t front = 0;
  while (p->n && !is_whole(p, p->n - 1)) p->n--;
  while (front < p->n && !is_whole(p, front)) front++;
  p->first += (double)front;
  p->n -= front;
  p->high += front;
  p->low += front;
}

/* A normal of 365 days takes for February 29 the mean of the days beside it. */
static void fill_leap_day(cks_weather_place *p)
{
  double *const value[] = {p->high, p->low};
  for (size_t i = 0; i < sizeof value / sizeof *value; i++)
    if (cks_is_missing(value[i][LEAP_DAY])) value[i][LEAP_DAY] = (value[i][LEAP_DAY - 1] + value[i][LEAP_DAY + 1]) / 2;
}

/* The days without both a high and a low, at the row before the first of them. */
static cks_status say_missing(const series *s)
{
  const cks_weather_place *p = s->place;
  char first_text[CKS_NUMBER_TEXT], from[CKS_NUMBER_TEXT], to[CKS_NUMBER_TEXT];
  size_t n = 0, first = 0, at = s->first;
  for (size_t i = 0; i < p->n; i++)
    if (!is_whole(p, i) && !n++) first = i;
  if (!n) return CKS_OK;
  while (at + 1 < s->end && s->days->day[at + 1].day <= p->first + (double)first) at++;
  return cks_findings_add(
      s->work->findings, CKS_RULE_DAYS_MISSING, s->days->day[at].where, NULL, NULL, s->work->error,
      "%s of %s between %s and %s %s no high and low, the first %s; heat units that need %s are missing",
      cks_audit_count(s->work->arena, n, "day"), name_of(s), day_text(s, p->first, from),
      day_text(s, p->first + (double)p->n - 1, to), n == 1 ? "has" : "have",
      day_text(s, p->first + (double)first, first_text), n == 1 ? "it" : "one of them");
}

/* Room for all days, as yet missing. */
static cks_status make_room(const series *s)
{
  cks_weather_place *p = s->place;
  const cks_audit_day *first = &s->days->day[s->first], *last = &s->days->day[s->end - 1];
  bool normal = s->days->normal;
  p->location = first->place < s->trial->n_location ? s->trial->location[first->place] : "";
  p->first = normal ? 0 : first->day;
  p->n = normal ? CKS_LEAP_YEAR : (size_t)(last->day - first->day) + 1;
  p->degrees = CKS_CELSIUS;
  for (size_t i = s->first; i < s->end; i++)
    if (s->days->day[i].degrees == CKS_FAHRENHEIT) p->degrees = CKS_FAHRENHEIT;
  p->high = cks_arena_take(s->work->arena, p->n, sizeof *p->high);
  p->low = cks_arena_take(s->work->arena, p->n, sizeof *p->low);
  if (!p->high || !p->low) return cks_error_nomem(s->work->error);
  for (size_t i = 0; i < p->n; i++) p->high[i] = p->low[i] = cks_missing();
  return CKS_OK;
}

cks_status cks_audit_weather_place(cks_audit_work *work, const cks_trial *trial, const cks_audit_days *days,
                                   size_t first, size_t end, cks_weather_place *place)
{
  series s = {.work = work, .trial = trial, .days = days, .first = first, .end = end, .place = place};
  bool gap;
  *place = (cks_weather_place){.location = ""};
  cks_status status = check_gaps(&s, &gap);
  if (status != CKS_OK || gap) return status;
  status = make_room(&s);
  for (size_t i = first, next; i < end && status == CKS_OK; i = next) {
    for (next = i + 1; next < end && days->day[next].day == days->day[i].day;) next++;
    size_t at = (size_t)(days->day[i].day - place->first);
    status = one_day(&s, i, next, &place->high[at], &place->low[at]);
  }
  if (status == CKS_OK) status = say_again(&s);
  if (status == CKS_OK && days->normal) fill_leap_day(place);
  if (status == CKS_OK && !days->normal) trim(place);
  return status == CKS_OK ? say_missing(&s) : status;
}
