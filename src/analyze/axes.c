/*
 * axes.c: the complete table (g hybrids x e environments) taken apart into axes, by singular values.
 *
 *   multiplicative interaction: X_ij - X_i. - X_.j + X_.. = sum of s_k u_ik v_jk, df of axis k g + e - 1 - 2 k (Gollob 1968,
 *   Psychometrika 33:73); F over the plot error is liberal, for the first axis is the largest by construction
 *   site regression: X_ij - X_.j, hybrid and interaction together, df of axis k g + e - 2 k by the same count (the axes
 *   share (g - 1) e)
 * Sums of squares are on the basis of X_ij. Scores are u and v times the root of s; of each axis the hybrid's score largest
 * in size is positive.
 */
#include "cells.h"

#include "../math/distributions.h"
#include "../math/singular.h"
#include "../math/sums.h"

#include <math.h>

enum { MOST_SCORES = 10 };

/* X less environment means, and hybrid means too. */
static double *centered(const cks_cells *c, bool hybrids)
{
  size_t g = c->n_row, e = c->n_column;
  double *a = cks_arena_take(c->work->scratch, g * e, sizeof *a);
  for (size_t j = 0; a && j < e; j++) {
    cks_sum sum = {0};
    for (size_t i = 0; i < g; i++) cks_sum_add(&sum, c->x[c->row[i] * c->e + c->column[j]] - c->grand);
    for (size_t i = 0; i < g; i++)
      a[i * e + j] = c->x[c->row[i] * c->e + c->column[j]] - c->grand - cks_sum_value(&sum) / (double)g;
  }
  for (size_t i = 0; a && hybrids && i < g; i++) {
    double mean = cks_sum_of(e, a + i * e) / (double)e;
    for (size_t j = 0; j < e; j++) a[i * e + j] -= mean;
  }
  return a;
}

static double *scores(cks_arena *arena, const cks_singular *s, const double *vectors, size_t n, size_t n_score)
{
  double *score = cks_arena_take(arena, n * n_score, sizeof *score);
  for (size_t i = 0; score && i < n; i++)
    for (size_t k = 0; k < n_score; k++) score[i * n_score + k] = vectors[i * s->n + k] * sqrt(s->value[k]);
  return score;
}

/* What a decomposition gives. */
typedef struct {
  size_t n_axis, n_score;
  cks_interaction_axis *axis;
  double *hybrid, *environment; /* n_row x n_score, n_column x n_score */
} axes;

/* first_df: of the first axis; each next has two less. cell_variance NaN: no F. */
static cks_status decompose(const cks_cells *c, bool hybrids, double cell_variance, double error_df, axes *to)
{
  size_t g = c->n_row, e = c->n_column, most = hybrids && e - 1 < g - 1 ? e - 1 : !hybrids && e < g - 1 ? e : g - 1;
  cks_arena *arena = c->work->task->results->arena;
  cks_singular s;
  double *a = centered(c, hybrids), all = 0, first_df = (double)(g + e) - (hybrids ? 3 : 2);
  cks_status status =
      a ? cks_singular_new(g, e, a, c->work->scratch, &s, c->work->task->error) : cks_error_nomem(c->work->task->error);
  if (status != CKS_OK) return status;
  for (size_t k = 0; k < most; k++) all += s.value[k] * s.value[k];
  *to = (axes){0};
  if (cks_is_rounding(all, g * e, c->largest)) return CKS_OK; /* nothing but rounding to take apart */
  to->n_axis = most;
  to->n_score = most < MOST_SCORES ? most : MOST_SCORES;
  to->axis = cks_arena_take(arena, most, sizeof *to->axis);
  to->hybrid = scores(arena, &s, s.row, g, to->n_score);
  to->environment = scores(arena, &s, s.column, e, to->n_score);
  if (!to->axis || !to->hybrid || !to->environment) return cks_error_nomem(c->work->task->error);
  for (size_t k = 0; k < most; k++) {
    double ss = s.value[k] * s.value[k], df = first_df - 2 * (double)k, f = ss / df / cell_variance;
    to->axis[k] = (cks_interaction_axis){s.value[k], ss, 100 * ss / all, df, f, cks_f_p(f, df, error_df)};
  }
  return CKS_OK;
}

/* The hybrid that the first two axes of the site regression put first in each environment. */
static void predict_best(const cks_cells *c, const axes *site, cks_interaction *a)
{
  double sign = c->work->values.better == CKS_BETTER_LOW ? -1 : 1;
  if (c->work->values.better == CKS_BETTER_NONE || !site->n_axis) return;
  for (size_t j = 0; j < c->n_column; j++) {
    double best = -INFINITY;
    for (size_t i = 0; i < c->n_row; i++) {
      double value = 0;
      for (size_t k = 0; k < 2 && k < site->n_score; k++)
        value += sign * site->hybrid[i * site->n_score + k] * site->environment[j * site->n_score + k];
      if (value <= best) continue;
      best = value;
      a->environment[c->column[j]].best_by_axes = c->hybrid[c->row[i]];
    }
  }
}

cks_status cks_axes_fill(const cks_cells *c, cks_interaction *a)
{
  axes plain, site;
  if (!c->n_row) return CKS_OK;
  cks_status status = decompose(c, true, a->cell_variance, a->den_df, &plain);
  if (status == CKS_OK) status = decompose(c, false, a->cell_variance, a->den_df, &site);
  if (status != CKS_OK) return status;
  a->n_axis = plain.n_axis;
  a->axis = plain.axis;
  a->n_score = plain.n_score;
  a->n_site_axis = site.n_axis;
  a->site_axis = site.axis;
  a->n_site_score = site.n_score;
  for (size_t i = 0; i < c->n_row; i++) {
    a->hybrid[c->row[i]].score = plain.n_axis ? plain.hybrid + i * plain.n_score : NULL;
    a->hybrid[c->row[i]].site_score = site.n_axis ? site.hybrid + i * site.n_score : NULL;
  }
  for (size_t j = 0; j < c->n_column; j++) {
    a->environment[c->column[j]].score = plain.n_axis ? plain.environment + j * plain.n_score : NULL;
    a->environment[c->column[j]].site_score = site.n_axis ? site.environment + j * site.n_score : NULL;
  }
  predict_best(c, &site, a);
  return CKS_OK;
}
