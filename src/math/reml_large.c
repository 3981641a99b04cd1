/*
 * reml_large.c: what is said of many hybrids: adjusted means and their covariance in place of the system's own, and df of
 * some differences only; and predictions, hybrids random.
 *
 * Environments fixed were taken out place by place, so their solutions come after: a_j = 1'V^-1(y - Z h) / 1'V^-1 1, V
 * without the environment; a hybrid's mean is h_i + mean of a_j, its covariance (e_i - u)'C(e_k - u) + sum_j 1 / (J^2
 * 1'V^-1 1), u = mean of Z'V^-1 1 / 1'V^-1 1 (our derivation). 1'V^-1x = 1't - (A 1)'G t, t = E'R^-1x.
 */
#include "reml_parts.h"

#include "dense.h"

#include <gsl/gsl_cblas.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { SAMPLED = 12 }; /* hybrids of which all differences are worked out: half of them those with the fewest cells */

static double dot(size_t n, const double *x, const double *y) { return cblas_ddot((int)n, x, 1, y, 1); }

/* ---- environments ----------------------------------------------------------------------------------------------- */

/* 1'V^-1x of plots x; gt (size n_stratum) becomes G E'R^-1x, r->cell the cell sums of x. */
static double sum_inverse(cks_reml *r, const cks_reml_place *p, const double *x, double *gt)
{
  double *t = r->strata + 2 * p->n_stratum, sum = 0;
  cks_reml_project(p, &r->at, x, r->cell, t);
  cks_reml_g_times(p, &r->at, t, gt);
  for (size_t l = 0; l < p->n_stratum; l++) sum += t[l];
  return sum - dot(p->n_stratum, r->reps_a + p->n_rep * p->n_stratum, gt);
}

static void add_environment(cks_reml *r, const cks_reml_place *p, cks_reml_environments *out)
{
  double *gt = r->strata, *x = r->f, places = (double)r->n_place;
  for (size_t c = 0; c < p->n_cell; c++)
    for (uint32_t i = p->first[c]; i < p->first[c + 1]; i++) {
      x[i] = p->y[i];
      for (size_t k = 0; k < r->n_layer; k++) x[i] -= r->h[p->level[k][c]];
    }
  double left = sum_inverse(r, p, x, gt);
  for (size_t i = 0; i < p->n; i++) x[i] = 1;
  double all = sum_inverse(r, p, x, gt);
  out->mean += left / all / places;
  out->spread += 1 / all / places / places;
  for (size_t c = 0; c < p->n_cell; c++) {
    double sum = r->cell[c];
    for (uint32_t i = p->first[c]; i < p->first[c + 1]; i++) sum -= gt[p->stratum[i]];
    for (size_t k = 0; k < r->n_layer; k++) out->u[p->level[k][c]] += r->at.w[c] * sum / all / places;
  }
}

cks_status cks_reml_average_environments(cks_reml *r, cks_reml_environments *out, cks_arena *arena, cks_error *error)
{
  bool fixed = r->model.environments_fixed;
  cks_status status = CKS_OK;
  *out = (cks_reml_environments){.u = cks_arena_take(arena, r->n_level, sizeof *out->u)};
  if (!out->u) return cks_error_nomem(error);
  r->model.environments_fixed = false; /* theta holds no variance for it: V without the environment */
  for (size_t j = 0; j < r->n_place && fixed && status == CKS_OK; j++) {
    status = cks_reml_absorb(r, r->theta, j, error);
    if (status == CKS_OK) add_environment(r, &r->place[j], out);
  }
  r->model.environments_fixed = fixed;
  return status;
}

/* ---- means ------------------------------------------------------------------------------------------------------ */

/* C of the hybrids becomes the covariance of their means, in place. */
static cks_status fill_means(cks_reml *r, cks_arena *scratch, cks_arena *arena, cks_reml_inference *out,
                             cks_error *error)
{
  cks_reml_environments e;
  size_t g = out->n, n = r->n_level, first = r->layer[0].first;
  double *mean = cks_arena_take(arena, g, sizeof *mean), *cu = cks_arena_take(scratch, n, sizeof *cu);
  if (!mean || !cu) return cks_error_nomem(error);
  cks_status status = cks_reml_average_environments(r, &e, scratch, error);
  if (status != CKS_OK) return status;
  cblas_dgemv(CblasRowMajor, CblasNoTrans, (int)n, (int)n, 1, r->c, (int)n, e.u, 1, 0, cu, 1);
  double ucu = dot(n, e.u, cu);
  for (size_t i = 0; i < g; i++) {
    mean[i] = r->h[first + i] + e.mean + r->shift;
    for (size_t k = 0; k < g; k++)
      r->c[i * g + k] = r->c[(first + i) * n + first + k] - cu[first + i] - cu[first + k] + ucu + e.spread;
  }
  r->solved = false;
  out->mean = mean;
  out->covariance = r->c;
  return CKS_OK;
}

/* ---- df of some differences ------------------------------------------------------------------------------------- */

static cks_status choose(const cks_reml *r, size_t *chosen, size_t *n, cks_error *error)
{
  size_t g = r->data.n_hybrid;
  double *cells = calloc(g, sizeof *cells);
  size_t *order = malloc(g * sizeof *order);
  cks_status status = cells && order ? CKS_OK : cks_error_nomem(error);
  *n = g < SAMPLED ? g : SAMPLED;
  for (size_t j = 0; j < r->n_place && status == CKS_OK; j++)
    for (size_t c = 0; c < r->place[j].n_cell; c++) cells[r->place[j].level[0][c] - r->layer[0].first]++;
  if (status == CKS_OK) {
    gsl_sort_index(order, cells, 1, g);
    size_t half = *n / 2, steps = *n > half + 1 ? *n - 1 - half : 1;
    for (size_t i = 0; i < *n; i++) chosen[i] = order[i < half ? i : half + (i - half) * (g - 1 - half) / steps];
  }
  free(order);
  free(cells);
  return status;
}

static cks_status sample_df(cks_reml *r, cks_arena *scratch, const size_t *at, size_t m, const double *w,
                            cks_reml_inference *out, cks_error *error)
{
  size_t chosen[SAMPLED], n, q = 0, level = r->n_level, first = r->layer[0].first;
  cks_status status = choose(r, chosen, &n, error);
  size_t most = n * (n - 1) / 2;
  double *x = cks_arena_take(scratch, level * most, sizeof *x), *v = cks_arena_take(scratch, most * most, sizeof *v),
         *m_k = cks_arena_take(scratch, m * most, sizeof *m_k), *df = cks_arena_take(scratch, most, sizeof *df),
         *slope = cks_arena_take(scratch, m, sizeof *slope);
  if (status != CKS_OK || !x || !v || !m_k || !df || !slope) return cks_error_nomem(error);
  for (size_t a = 0; a < n; a++)
    for (size_t b = 0; b < a; b++, q++) {
      size_t i = first + chosen[a], k = first + chosen[b];
      for (size_t l = 0; l < level; l++) x[l * most + q] = r->c[l * level + i] - r->c[l * level + k];
      v[q * most + q] = x[i * most + q] - x[k * most + q];
    }
  cks_reml_functions f = {.q = most, .x = x, .covariance = v, .m = m, .at = at, .each_only = true, .m_k = m_k};
  status = cks_reml_sensitivity(r, r->theta, &f, scratch, error);
  for (q = 0; q < most && status == CKS_OK; q++) {
    for (size_t k = 0; k < m; k++) slope[k] = m_k[k * most + q];
    df[q] = cks_reml_satterthwaite(m, w, v[q * most + q], slope);
  }
  if (status != CKS_OK || !most) return status;
  gsl_sort(df, 1, most);
  out->df_smallest = df[0];
  out->df_median = gsl_stats_median_from_sorted_data(df, 1, most);
  return CKS_OK;
}

/* Wald's form of all hybrids. Of one layer it is h'Sh - (1'Sh)^2 / 1'S1, S h = Z'V^-1y, without a matrix; with
 * environments taken out S1 is 0. */
static cks_status test_hybrids(const cks_reml *r, const cks_reml_inference *p, double form, double *to,
                               cks_error *error)
{
  *to = form;
  return r->n_layer == 1 ? CKS_OK : cks_reml_wald(p->covariance, p->mean, p->n, to, error);
}

static double form_of_one_layer(const cks_reml *r)
{
  double form = dot(r->n_level, r->h, r->rr), sum = 0;
  for (size_t i = 0; i < r->n_level; i++) sum += r->rr[i];
  return form - (r->model.environments_fixed ? 0 : sum * sum / r->s_all);
}

cks_status cks_reml_infer_large(cks_reml *r, cks_arena *scratch, cks_arena *arena, cks_reml_inference *out,
                                cks_error *error)
{
  size_t *at = cks_arena_take(scratch, r->fit.n_theta, sizeof *at);
  if (!at) return cks_error_nomem(error);
  size_t m = cks_reml_list_free(r, at);
  double form = 0, *w = cks_arena_take(scratch, m * m, sizeof *w);
  if (!w) return cks_error_nomem(error);
  cks_status status = cks_reml_invert_average(r, at, m, w, error);
  if (status == CKS_OK) status = cks_reml_solve(r, r->theta, error);
  double of_layer = form_of_one_layer(r);
  if (status == CKS_OK) status = sample_df(r, scratch, at, m, w, out, error);
  if (status == CKS_OK) status = fill_means(r, scratch, arena, out, error);
  if (status == CKS_OK) status = test_hybrids(r, out, of_layer, &form, error);
  if (status == CKS_OK) status = cks_reml_list_se(r, at, m, w, arena, &out->theta_se, error);
  if (status == CKS_OK) out->plain_variance = cks_reml_mean_variance(out->covariance, out->n);
  out->num_df = (double)out->n - 1;
  out->f = form / out->num_df;
  out->den_df = out->df_smallest;
  return status;
}

/* ---- predictions ------------------------------------------------------------------------------------------------ */

cks_status cks_reml_predict(cks_reml *r, cks_arena *arena, cks_reml_prediction *out, cks_error *error)
{
  cks_arena *scratch = cks_arena_new();
  cks_reml_environments e;
  size_t g = r->data.n_hybrid, n = r->n_level, first = r->layer[0].first, m = 0;
  double variance = r->theta[CKS_REML_HYBRID], own = 0, all = 0, *w = NULL;
  double *effect = cks_arena_take(arena, g, sizeof *effect), *reliability = cks_arena_take(arena, g, sizeof(double));
  size_t *at = scratch ? cks_arena_take(scratch, r->fit.n_theta, sizeof *at) : NULL;
  cks_status status = effect && reliability && at ? cks_reml_solve(r, r->theta, error) : cks_error_nomem(error);
  if (status == CKS_OK) status = cks_reml_average_environments(r, &e, scratch, error);
  if (status != CKS_OK) goto done;
  for (size_t i = 0; i < g; i++) {
    const double *row = r->c + (first + i) * n + first;
    for (size_t k = 0; k < g; k++) all += row[k];
    own += row[i];
    effect[i] = r->h[first + i];
    reliability[i] = variance > 0 ? 1 - row[i] / variance : cks_missing();
  }
  double pair = g > 1 ? 2 * (own / (double)g - (all - own) / (double)g / ((double)g - 1)) : cks_missing();
  *out = (cks_reml_prediction){.n = g,
                               .effect = effect,
                               .reliability = reliability,
                               .mean = r->shift + e.mean + (r->mean_level ? r->h[0] : 0),
                               .repeatability = variance > 0 ? 1 - pair / (2 * variance) : 0};
  m = cks_reml_list_free(r, at);
  w = cks_arena_take(scratch, m * m, sizeof *w);
  status = w ? cks_reml_invert_average(r, at, m, w, error) : cks_error_nomem(error);
  if (status == CKS_OK) status = cks_reml_list_se(r, at, m, w, arena, &out->theta_se, error);
done:
  cks_arena_free(scratch);
  return status;
}
