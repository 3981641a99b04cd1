/*
 * slopes.c: the line of each hybrid over the environments' index, and whether the slopes differ.
 *
 *   b_i = sum (X_ij - mean_i)(I_j - mean of I over i's cells) / sum (...)^2, SE from its own deviations on cells - 2 df,
 *   t test against 1 (Finlay & Wilkinson 1963, Aust. J. Agric. Res. 14:742; Eberhart & Russell 1966, Crop Sci. 6:36)
 *   F = [sum (b_i - 1)^2 S_i / (g - 1)] / [deviations / (df of the interaction - (g - 1))], S_i as above
 * A hybrid's own values are in the index: under equal error variances F is exact for a complete table all the same.
 */
#include "cells.h"

#include "../math/distributions.h"
#include "../math/sums.h"

#include <math.h>

enum { FEWEST = 3, FEWEST_INCOMPLETE = 4 }; /* cells of a line: of a complete table, of another */

/* Of one hybrid, over its cells. */
typedef struct {
  double spread, slope, left; /* S, b, sum of squared deviations; spread 0: no line */
} line;

static line line_of(const cks_cells *c, size_t i)
{
  cks_sum x = {0}, at = {0}, spread = {0}, product = {0}, left = {0};
  for (size_t j = 0; j < c->e; j++) {
    if (cks_is_missing(c->x[i * c->e + j])) continue;
    cks_sum_add(&x, c->x[i * c->e + j]);
    cks_sum_add(&at, c->index[j]);
  }
  double mean = cks_sum_value(&x) / c->cells[i], center = cks_sum_value(&at) / c->cells[i];
  for (size_t j = 0; j < c->e; j++) {
    if (cks_is_missing(c->x[i * c->e + j])) continue;
    double along = c->index[j] - center;
    cks_sum_add(&spread, along * along);
    cks_sum_add(&product, along * (c->x[i * c->e + j] - mean));
  }
  line l = {.spread = cks_sum_value(&spread)};
  if (cks_is_rounding(l.spread, c->cells[i], c->largest)) return (line){0};
  l.slope = cks_sum_value(&product) / l.spread;
  for (size_t j = 0; j < c->e; j++) {
    if (cks_is_missing(c->x[i * c->e + j])) continue;
    double over = c->x[i * c->e + j] - mean - l.slope * (c->index[j] - center);
    cks_sum_add(&left, over * over);
  }
  l.left = cks_sum_value(&left);
  if (cks_is_rounding(l.left, c->cells[i], c->largest)) l.left = 0;
  return l;
}

static void put_line(const line *l, size_t fewest, double alpha, cks_stability *to)
{
  if (to->cells < fewest || !(l->spread > 0)) return;
  to->slope = l->slope;
  to->slope_df = to->cells - 2;
  to->deviation_ms = l->left / to->slope_df;
  if (!(l->left > 0)) return; /* on its line to the last digit: no error to test with */
  to->slope_se = sqrt(to->deviation_ms / l->spread);
  to->slope_p = cks_t_p((l->slope - 1) / to->slope_se, to->slope_df);
  double half = cks_t_critical(alpha, to->slope_df) * to->slope_se;
  to->slope_low = l->slope - half;
  to->slope_high = l->slope + half;
}

cks_status cks_slopes_fill(const cks_cells *c, cks_interaction *a)
{
  size_t fewest = c->complete ? FEWEST : FEWEST_INCOMPLETE, n = 0;
  cks_sum unequal = {0}, left = {0};
  for (size_t i = 0; i < c->g; i++) {
    line l = line_of(c, i);
    put_line(&l, fewest, c->work->task->settings->alpha, &a->hybrid[i]);
    if (!(l.spread > 0)) continue;
    n++;
    cks_sum_add(&unequal, (l.slope - 1) * (l.slope - 1) * l.spread);
    cks_sum_add(&left, l.left);
  }
  double df = (double)n - 1, rest = c->df_left - df, ms = cks_sum_value(&left) / rest;
  if (c->e < FEWEST || df < 1 || rest < 1 || !(ms > 0)) return CKS_OK;
  a->slopes_f = cks_sum_value(&unequal) / df / ms;
  a->slopes_num_df = df;
  a->slopes_den_df = rest;
  a->slopes_p = cks_f_p(a->slopes_f, df, rest);
  return CKS_OK;
}
