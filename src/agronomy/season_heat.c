/*
 * season_heat.c: heat units over the days of a season, from measured weather and, beyond it, from a normal.
 *
 * The sum runs over the days d with from < d <= to: what grew before noon of the day of planting is nobody's, and a stage
 * that is noted on a day has had that day's heat. No day is ever left out of a sum: one that is missing makes it missing.
 */
#include <checkstrip/weather.h>

static const double ROUNDED = 1e-9; /* of the sum: what converting degrees may cost */

size_t cks_leap_year_day(double day)
{
  enum { ANY_LEAP_YEAR = 2000 };
  int year, month, date;
  double start, at;
  cks_day_date(day, &year, &month, &date);
  bool known = cks_day_number(ANY_LEAP_YEAR, 1, 1, &start) && cks_day_number(ANY_LEAP_YEAR, month, date, &at);
  return known ? (size_t)(at - start) : 0;
}

/* Of the i-th day of the place, in the scheme's degrees. */
static double units_at(const cks_weather_place *place, const cks_heat_scheme *scheme, size_t i)
{
  return cks_heat_units(scheme, cks_temperature_convert(place->high[i], place->degrees, scheme->degrees),
                        cks_temperature_convert(place->low[i], place->degrees, scheme->degrees));
}

/* Of a day number; NaN: not measured. */
static double units_of(const cks_weather_place *place, const cks_heat_scheme *scheme, double day)
{
  bool inside = place->n && day >= place->first && day < place->first + (double)place->n;
  return inside ? units_at(place, scheme, (size_t)(day - place->first)) : cks_missing();
}

double cks_heat_between(const cks_weather_place *place, const cks_heat_scheme *scheme, double from, double to)
{
  double sum = 0;
  if (!scheme || !(to >= from) || (to > from && !(from + 1 >= place->first && to < place->first + (double)place->n)))
    return cks_missing();
  for (double day = from + 1; day <= to; day++) sum += units_of(place, scheme, day);
  return sum;
}

cks_heat_reached cks_heat_day_reached(const cks_weather_place *place, const cks_weather_normal *normal,
                                      const cks_heat_scheme *scheme, double from, double units)
{
  const cks_heat_reached never = {cks_missing(), 0};
  cks_heat_reached reached = {from, 0};
  bool stands_in = normal && normal->day.n == CKS_LEAP_YEAR;
  double sum = 0;
  if (!scheme || cks_is_missing(from) || cks_is_missing(units)) return never;
  while (sum < units - ROUNDED * units && reached.day < from + CKS_LEAP_YEAR) {
    reached.day++;
    bool after = place->n && reached.day >= place->first + (double)place->n;
    double heat = after && stands_in ? units_at(&normal->day, scheme, cks_leap_year_day(reached.day))
                                     : units_of(place, scheme, reached.day);
    if (cks_is_missing(heat)) return never;
    reached.by_normal += after;
    sum += heat;
  }
  return sum < units - ROUNDED * units ? never : reached;
}
