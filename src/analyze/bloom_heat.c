/*
 * bloom_heat.c: mid-bloom in heat units beside days: for each hybrid the units from the day that days count from to its mean
 * mid-bloom at each environment, and how much they vary over environments beside the days. A description: nothing is tested.
 */
#include "calendar.h"
#include "cells.h"

#include "../math/sums.h"

#include <math.h>

enum { FEWEST = 2 };

/* Units to a mean of days, which may end within a day: of that day its part. */
static double units_to(const cks_weather_place *place, const cks_heat_scheme *scheme, double from, double days)
{
  double whole = floor(days), part = days - whole;
  double units = cks_heat_between(place, scheme, from, from + whole);
  if (part > 0) units += part * cks_heat_between(place, scheme, from + whole, from + whole + 1);
  return units;
}

/* NaN of fewer than two values, or of a mean of 0. */
static double cv_pct(size_t n, const double *value)
{
  if (n < FEWEST) return cks_missing();
  double mean = cks_sum_of(n, value) / (double)n;
  return mean > 0 ? 100 * sqrt(cks_sum_of_squares(n, value, mean) / ((double)n - 1)) / mean : cks_missing();
}

static void fill_line(const cks_cells *c, size_t i, double *days, double *heat, cks_maturity *m)
{
  const cks_trial *trial = c->work->task->trial;
  cks_maturity_line *line = &m->hybrid[i];
  size_t n = 0;
  for (size_t j = 0; j < c->e; j++) {
    const cks_environment *e = &trial->environment[c->work->place[j].environment];
    double x = c->x[i * c->e + j];
    if (e->weather == CKS_NONE || cks_is_missing(x) || x < 0) continue;
    double units = units_to(&trial->weather.place[e->weather], m->heat, cks_count_origin(trial, e), x);
    if (cks_is_missing(units)) continue;
    days[n] = x;
    heat[n++] = units;
  }
  line->heat_environments = (uint32_t)n;
  if (n) line->heat_mean = cks_sum_of(n, heat) / (double)n;
  line->heat_cv_pct = cv_pct(n, heat);
  line->days_cv_pct = cv_pct(n, days);
  if (cks_is_missing(line->heat_cv_pct) || cks_is_missing(line->days_cv_pct)) return;
  m->n_heat++;
  m->n_steadier += line->heat_cv_pct < line->days_cv_pct;
}

cks_status cks_bloom_heat_fill(const cks_cells *c, cks_maturity *m)
{
  const cks_trial *trial = c->work->task->trial;
  double *days = cks_arena_take(c->work->scratch, c->e, sizeof *days),
         *heat = cks_arena_take(c->work->scratch, c->e, sizeof *heat);
  if (!days || !heat) return cks_error_nomem(c->work->task->error);
  for (size_t i = 0; i < c->g; i++)
    m->hybrid[i].heat_mean = m->hybrid[i].heat_cv_pct = m->hybrid[i].days_cv_pct = cks_missing();
  if (!trial->weather.n || c->work->result->unit != CKS_UNIT_DAYS) return CKS_OK;
  m->heat = cks_heat_scheme_for(trial->crop->key, trial->weather.place[0].degrees);
  for (size_t i = 0; m->heat && i < c->g; i++) fill_line(c, i, days, heat, m);
  return CKS_OK;
}
