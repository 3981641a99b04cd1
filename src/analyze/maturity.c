/*
 * maturity.c: does a hybrid hold its days to mid-bloom from place to place? The slopes are those of slopes.c, a hybrid's own
 * value left in the environment means; under equal error variances the F test of slopes is exact all the same.
 *
 *   holds        slopes are unequal, the 1 - alpha interval lies below 1, slope <= 0.9
 *   shifts       slopes are unequal, the interval lies above 1, slope >= 1.1
 *   typical      neither, and the 1 - 2 alpha interval lies within 0.75 to 1.25
 *   cannot tell  else
 * Where one hybrid differs, F guards the others no more: of 14 some other one is called in .34 to .56 of trials. So a call is
 * also tested with all hybrids at once: the slope against 1 by the pooled deviations, at alpha over the number of hybrids;
 * then some other one is called in .03 to .06.
 * No call with fewer than six environments (of the hybrid), five hybrids, or three days between the earliest and the latest
 * environment mean. The rule is our own; its rates are in tests/property/test_maturity_rates.c.
 */
#include "cells.h"

#include "../math/distributions.h"
#include "../math/sums.h"

#include <math.h>

enum { FEWEST_ENVIRONMENTS = 6, FEWEST_HYBRIDS = 5, FEWEST_OF_A_PAIR = 3, MOST_IN_PAIRS = 60 };
static const double LEAST_SPREAD = 3, MOST_TO_HOLD = 0.9, LEAST_TO_SHIFT = 1.1, TYPICAL_LOW = 0.75, TYPICAL_HIGH = 1.25;
static const double AT_THE_LIMIT = 1e-9; /* relative: means of days that are three days apart are so but for rounding */

static bool at_most(double a, double b) { return a <= b * (1 + AT_THE_LIMIT); }

/* ---- the call ---------------------------------------------------------------------------------------------------- */

static void find_range(const cks_cells *c, size_t i, cks_maturity_line *line)
{
  for (size_t j = 0; j < c->e; j++) {
    double days = c->x[i * c->e + j];
    line->first = fmin(line->first, days); /* NaN loses */
    line->last = fmax(line->last, days);
  }
}

static void find_interval(const cks_cells *c, cks_maturity_line *line)
{
  const cks_analysis *across = c->work->result->across;
  const cks_hybrid_result *row = cks_analysis_hybrid(across, line->hybrid);
  double half = row ? cks_t_critical(c->work->task->settings->alpha, across->den_df) * row->se : cks_missing();
  line->mean_low = line->mean - half;
  line->mean_high = line->mean + half;
}

static cks_maturity_call call_of(const cks_maturity_line *line, const cks_interaction *x, double alpha)
{
  bool unequal = x->slopes_p <= alpha;
  if (unequal && line->high < 1 && at_most(line->slope, MOST_TO_HOLD)) return CKS_CALL_HOLDS;
  if (unequal && line->low > 1 && at_most(LEAST_TO_SHIFT, line->slope)) return CKS_CALL_SHIFTS;
  if (at_most(TYPICAL_LOW, line->inner_low) && at_most(line->inner_high, TYPICAL_HIGH)) return CKS_CALL_TYPICAL;
  return CKS_CALL_CANNOT_TELL;
}

/* Of hybrid i, by the deviations that the F test of slopes pools: its sum of squares of slopes over F. */
static bool is_told_at_once(const cks_stability *s, const cks_interaction *x, double alpha)
{
  cks_sum unequal = {0};
  size_t n = 0;
  for (size_t i = 0; i < x->n_hybrid; i++) {
    const cks_stability *k = &x->hybrid[i];
    if (cks_is_missing(k->slope_se)) continue;
    n++;
    cks_sum_add(&unequal, (k->slope - 1) * (k->slope - 1) * k->deviation_ms / (k->slope_se * k->slope_se));
  }
  double pooled = cks_sum_value(&unequal) / x->slopes_num_df / x->slopes_f,
         se = s->slope_se * sqrt(pooled / s->deviation_ms);
  return n && fabs(s->slope - 1) > cks_t_critical(alpha / (double)n, x->slopes_den_df) * se;
}

static void fill_line(const cks_cells *c, size_t i, const cks_interaction *x, cks_maturity *m)
{
  const cks_stability *s = &x->hybrid[i];
  double alpha = c->work->task->settings->alpha, inner = cks_t_critical(2 * alpha, s->slope_df) * s->slope_se;
  cks_maturity_line *line = &m->hybrid[i];
  *line = (cks_maturity_line){.hybrid = s->hybrid,
                              .environments = s->cells,
                              .mean = s->mean,
                              .first = cks_missing(),
                              .last = cks_missing(),
                              .slope = s->slope,
                              .slope_se = s->slope_se,
                              .low = s->slope_low,
                              .high = s->slope_high,
                              .inner_low = s->slope - inner,
                              .inner_high = s->slope + inner,
                              .no_call = m->no_call};
  find_range(c, i, line);
  find_interval(c, line);
  if (*line->no_call) return;
  if (line->environments < FEWEST_ENVIRONMENTS)
    line->no_call = "in fewer than six environments";
  else if (cks_is_missing(line->slope_se))
    line->no_call = "no deviations from its line";
  else
    line->call = call_of(line, x, alpha);
  line->at_once = (line->call == CKS_CALL_HOLDS || line->call == CKS_CALL_SHIFTS) && is_told_at_once(s, x, alpha);
}

/* Of all hybrids. */
static const char *no_call_of(const cks_cells *c, const cks_interaction *x, const cks_maturity *m)
{
  if (c->e < FEWEST_ENVIRONMENTS) return "fewer than six environments";
  if (c->g < FEWEST_HYBRIDS) return "fewer than five hybrids";
  if (!at_most(LEAST_SPREAD, m->latest - m->earliest))
    return "fewer than three days between the earliest and the latest environment mean";
  return cks_is_missing(x->slopes_p) ? "whether slopes differ was not tested" : "";
}

/* ---- pairs ------------------------------------------------------------------------------------------------------- */

static cks_slope_pair pair_of(const cks_cells *c, size_t a, size_t b)
{
  cks_slope_pair pair = {c->hybrid[a],  c->hybrid[b], 0, cks_missing(), cks_missing(), cks_missing(),
                         cks_missing(), cks_missing()};
  cks_sum at = {0}, d = {0}, spread = {0}, product = {0}, left = {0};
  const double *xa = c->x + a * c->e, *xb = c->x + b * c->e;
  for (size_t j = 0; j < c->e; j++) {
    if (cks_is_missing(xa[j]) || cks_is_missing(xb[j])) continue;
    pair.n++;
    cks_sum_add(&at, c->index[j]);
    cks_sum_add(&d, xa[j] - xb[j]);
  }
  if (pair.n < FEWEST_OF_A_PAIR) return pair;
  double center = cks_sum_value(&at) / pair.n, mean = cks_sum_value(&d) / pair.n;
  for (size_t j = 0; j < c->e; j++) {
    if (cks_is_missing(xa[j]) || cks_is_missing(xb[j])) continue;
    cks_sum_add(&spread, (c->index[j] - center) * (c->index[j] - center));
    cks_sum_add(&product, (c->index[j] - center) * (xa[j] - xb[j] - mean));
  }
  double size = cks_sum_value(&spread);
  if (cks_is_rounding(size, pair.n, c->largest)) return pair;
  pair.difference = cks_sum_value(&product) / size;
  for (size_t j = 0; j < c->e; j++) {
    if (cks_is_missing(xa[j]) || cks_is_missing(xb[j])) continue;
    double over = xa[j] - xb[j] - mean - pair.difference * (c->index[j] - center);
    cks_sum_add(&left, over * over);
  }
  double ss = cks_sum_value(&left);
  if (cks_is_rounding(ss, pair.n, c->largest)) return pair;
  pair.df = pair.n - 2;
  pair.se = sqrt(ss / pair.df / size);
  pair.t = pair.difference / pair.se;
  pair.p = cks_t_p(pair.t, pair.df);
  return pair;
}

static cks_status fill_pairs(const cks_cells *c, cks_maturity *m)
{
  const cks_results *results = c->work->task->results;
  m->with_checks = c->g > MOST_IN_PAIRS;
  for (int put = 0; put < 2; put++) {
    size_t n = 0;
    for (size_t a = 0; a < c->g; a++)
      for (size_t b = a + 1; b < c->g; b++) {
        bool check = results->hybrid[c->hybrid[a]].check || results->hybrid[c->hybrid[b]].check;
        if (m->with_checks && !check) continue;
        if (put) m->pair[n] = pair_of(c, a, b);
        n++;
      }
    if (!put) m->pair = cks_arena_take(results->arena, n, sizeof *m->pair);
    if (!m->pair) return cks_error_nomem(c->work->task->error);
    m->n_pair = n;
  }
  return CKS_OK;
}

cks_status cks_maturity_fill(const cks_cells *c, const cks_interaction *x)
{
  cks_results *results = c->work->task->results;
  cks_maturity *m = cks_arena_take(results->arena, 1, sizeof *m);
  if (!m) return cks_error_nomem(c->work->task->error);
  *m =
      (cks_maturity){.no_call = "", .n_hybrid = c->g, .n_environment = c->e, .earliest = INFINITY, .latest = -INFINITY};
  m->hybrid = cks_arena_take(results->arena, c->g, sizeof *m->hybrid);
  if (!m->hybrid) return cks_error_nomem(c->work->task->error);
  for (size_t j = 0; j < c->e; j++) {
    m->earliest = fmin(m->earliest, c->grand + c->index[j]);
    m->latest = fmax(m->latest, c->grand + c->index[j]);
  }
  m->no_call = no_call_of(c, x, m);
  for (size_t i = 0; i < c->g; i++) fill_line(c, i, x, m);
  c->work->result->maturity = m;
  cks_status status = fill_pairs(c, m);
  return status == CKS_OK ? cks_bloom_heat_fill(c, m) : status;
}
