/*
 * weather.h: the daily weather of places, as the trial keeps it: highs and lows of consecutive days. Heat units are counted
 * from it by a scheme of agronomy.h; a day that is missing makes the count that needs it missing, never smaller.
 */
#ifndef CHECKSTRIP_WEATHER_H
#define CHECKSTRIP_WEATHER_H

#include <checkstrip/agronomy.h>

typedef struct {
  const char *location; /* as the weather file names it; "": it names none, and the weather is that of all places */
  cks_degrees degrees;  /* of high and low, as the heading says */
  double first;         /* day number of the first day */
  size_t n;             /* days from the first to the last */
  double *high, *low;   /* size n; NaN: missing */
} cks_weather_place;

/* A normal: what a day of the year usually brings. */
typedef struct {
  const char *source;   /* "the file normal.csv", "the mean of 2021 to 2025 in weather.csv": printed wherever it is used */
  cks_weather_place day; /* n 366, by day of a leap year; first 0 */
} cks_weather_normal;

typedef struct {
  size_t n;
  cks_weather_place *place; /* size n, by location */
  size_t n_normal;          /* 0: none; else one for each place, in its order */
  cks_weather_normal *normal;
} cks_weather;

#endif
