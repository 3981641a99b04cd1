/*
 * weather.h: the daily weather of places, as the trial keeps it: highs and lows of consecutive days; and heat units over
 * them. Heat units are counted by a scheme of agronomy.h; a day that is missing makes the count that needs it missing,
 * never smaller.
 */
#ifndef CHECKSTRIP_WEATHER_H
#define CHECKSTRIP_WEATHER_H

#include <checkstrip/agronomy.h>

enum { CKS_LEAP_YEAR = 366 };

typedef struct {
  const char *
      location; /* as the trial names it; "": the file names none, and the weather is that of all places without their own */
  cks_degrees degrees; /* of high and low, as the heading says; F where files differ */
  double first;        /* day number of the first day that has both a high and a low */
  size_t n;            /* days from the first to the last such day */
  double *high, *low;  /* size n; NaN: missing */
} cks_weather_place;

/* A normal: what a day of the year usually brings. */
typedef struct {
  const char
      *source; /* "the file normal.csv", "the mean of 2021 to 2025 in weather.csv": printed wherever it is used */
  cks_weather_place day; /* n CKS_LEAP_YEAR, by day of a leap year; first 0; n 0: this place has none */
} cks_weather_normal;

typedef struct {
  size_t n;
  cks_weather_place *place; /* size n, by location; only those that the trial has */
  size_t n_normal;          /* 0: none; else one for each place, in its order */
  cks_weather_normal *normal;
} cks_weather;

/* Which day of a leap year a day number is, from 0. Of a year without a February 29 no day is 59. */
CKS_API size_t cks_leap_year_day(double day);
/* Heat units of the days after `from` up to and with `to`: the day of planting does not count, the day of the stage does.
 * 0 when both are one day. NaN: a day between is not measured, a date is missing, or `to` lies before `from`. */
CKS_API double cks_heat_between(const cks_weather_place *place, const cks_heat_scheme *scheme, double from, double to);

typedef struct {
  double day;       /* NaN: not reached within a year, or a day is missing and no normal stands for it */
  size_t by_normal; /* how many of the days counted are by the normal; 0: all are measured */
} cks_heat_reached;
/* The first day on which the heat units after `from` come to units (in the scheme's degrees). A measured day that is
 * missing makes it missing; after the last measured day the normal stands in (NULL or n 0: none). */
CKS_API cks_heat_reached cks_heat_day_reached(const cks_weather_place *place, const cks_weather_normal *normal,
                                              const cks_heat_scheme *scheme, double from, double units);

#endif
