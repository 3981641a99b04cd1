/*
 * reml_derive.c: gradient of -2 log REML and the average information, from a system that reml_system.c has built.
 *
 *   d(-2 log REML) / d theta_k = tr(P V_k) - |Z_k'Py|^2
 *   of a layer of random levels: Z_k'PZ_k = S_kk - (S C S)_kk, whose trace is (levels - tr (M^-1)_kk) / theta_k; at
 *   variances so small that this would cancel, the first form (from M = D S D + I, our derivation)
 */
#include "reml_parts.h"

#include <gsl/gsl_cblas.h>
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double SMALL = 1e-5; /* of theta_k S_ii: what a difference from 1 is lost below */

/* ---- layers ----------------------------------------------------------------------------------------------------- */

/* S where C has taken its place: summed again into memory of its own. */
static cks_status sum_again(cks_reml *r, const double *theta, double **s, cks_error *error)
{
  cks_reml_sums sums;
  double *kept = r->s;
  *s = malloc(r->n_level * r->ld * sizeof **s);
  if (!*s) return cks_error_nomem(error);
  r->s = *s;
  cks_reml_sum(r, theta, &sums);
  r->s = kept;
  return CKS_OK;
}

/* tr S_kk - (S C S)_kk of the layer; C full. */
static cks_status trace_direct(cks_reml *r, const double *theta, const cks_reml_layer *layer, double *trace,
                               cks_error *error)
{
  size_t m = r->n_level, ld = r->ld;
  double *sc = malloc(m * m * sizeof *sc), *own = NULL, sum = 0;
  cks_status status = sc ? CKS_OK : cks_error_nomem(error);
  if (status == CKS_OK && r->few) status = sum_again(r, theta, &own, error);
  if (status == CKS_OK) {
    const double *s = r->few ? own : r->s;
    cblas_dsymm(CblasRowMajor, CblasLeft, CblasLower, (int)m, (int)m, 1, s, (int)ld, r->c, (int)m, 0, sc, (int)m);
    for (size_t i = layer->first; i < layer->first + layer->n; i++) {
      sum += s[i * ld + i];
      for (size_t k = 0; k < m; k++) sum -= sc[i * m + k] * (k <= i ? s[i * ld + k] : s[k * ld + i]);
    }
  }
  free(own);
  free(sc);
  *trace = sum;
  return status;
}

/* Z'Py = rr - S h. Where S is gone (few strata, so one layer of hybrids): 0 if they are fixed, else h over their variance;
 * at a variance of 0 only the mean is in S h. */
static void fill_zpy(cks_reml *r, const double *theta)
{
  size_t m = r->n_level;
  double variance = theta[CKS_REML_HYBRID];
  memcpy(r->zpy, r->rr, m * sizeof *r->zpy);
  if (!r->few) {
    cblas_dsymv(CblasRowMajor, CblasLower, (int)m, -1, r->s, (int)r->ld, r->h, 1, 1, r->zpy, 1);
    return;
  }
  for (size_t i = r->layer[0].first; i < m; i++) {
    if (!r->layer[0].random) r->zpy[i] = 0;
    if (r->layer[0].random && variance > 0) r->zpy[i] = r->h[i] / variance;
    if (r->layer[0].random && !(variance > 0) && r->mean_level) r->zpy[i] -= r->s_mean[i] * r->h[0];
  }
}

static bool is_small(const cks_reml *r, const cks_reml_layer *layer, double variance)
{
  double largest = 0;
  for (size_t i = layer->first; i < layer->first + layer->n; i++)
    if (r->s_diagonal[i] > largest) largest = r->s_diagonal[i];
  return variance * largest < SMALL;
}

/* Gradients of the random layers; then C = D M^-1 D. C holds M^-1. */
static cks_status derive_layers(cks_reml *r, const double *theta, double *gradient, cks_error *error)
{
  size_t m = r->n_level;
  cks_status status = CKS_OK;
  bool small[LAYERS] = {false};
  for (size_t k = 0; k < r->n_layer; k++) {
    const cks_reml_layer *layer = &r->layer[k];
    double left = (double)layer->n, variance = theta[layer->kind];
    if (!layer->random) continue;
    small[k] = is_small(r, layer, variance);
    for (size_t i = layer->first; i < layer->first + layer->n; i++) left -= r->c[i * m + i];
    if (!small[k]) gradient[layer->kind] += left / variance;
  }
  cks_reml_scale(r, theta);
  for (size_t k = 0; k < r->n_layer && status == CKS_OK; k++) {
    double trace = 0;
    if (!r->layer[k].random) continue;
    if (small[k]) status = trace_direct(r, theta, &r->layer[k], &trace, error);
    gradient[r->layer[k].kind] +=
        trace - cblas_ddot((int)r->layer[k].n, r->zpy + r->layer[k].first, 1, r->zpy + r->layer[k].first, 1);
  }
  return status;
}

/* ---- C as the places want it ------------------------------------------------------------------------------------ */

static double with_mean(const cks_reml *r, size_t i, size_t k)
{
  const double *c = r->c;
  size_t m = r->n_level;
  return c[i * m + k] + (r->mean_level ? c[i * m] + c[k * m] + c[0] : 0);
}

/* x (n x n, rows of ld) in panels: columns [PANEL q, PANEL q + PANEL) of all rows stand together. */
static void pack(const double *x, size_t n, size_t ld, double *panels)
{
  for (size_t low = 0; low < n; low += PANEL)
    for (size_t i = 0; i < n; i++, panels += PANEL) {
      size_t width = n - low < PANEL ? n - low : PANEL;
      memcpy(panels, x + i * ld + low, width * sizeof *panels);
      memset(panels + width, 0, (PANEL - width) * sizeof *panels);
    }
}

/* One layer: C, the mean's part added, in panels where S stood; few strata take C as it is. */
static void pack_levels(cks_reml *r)
{
  size_t m = r->n_level;
  for (size_t i = 0; i < m; i++) r->c_diagonal[i] = with_mean(r, i, i);
  if (r->few) return;
  pack(r->c, m, m, r->s);
  double *to = r->s;
  for (size_t low = 0; low < m && r->mean_level; low += PANEL)
    for (size_t i = 0; i < m; i++, to += PANEL)
      for (size_t k = low; k < m && k < low + PANEL; k++) to[k - low] += r->c[i * m] + r->c[k * m] + r->c[0];
}

/* Several layers: C of the place's cells, the sum over what they are levels of. */
static void pack_cells(cks_reml *r, const cks_reml_place *p)
{
  size_t n = p->n_cell, m = r->n_level;
  for (size_t c = 0; c < n; c++)
    for (size_t d = 0; d < n; d++) {
      double sum = r->mean_level ? r->c[0] : 0;
      for (size_t a = 0; a < r->n_layer; a++) {
        const double *row = r->c + p->level[a][c] * m;
        for (size_t b = 0; b < r->n_layer; b++) sum += row[p->level[b][d]];
        if (r->mean_level) sum += row[0] + r->c[p->level[a][d] * m];
      }
      r->local_c[c * n + d] = sum;
      if (c == d) r->local_diagonal[c] = sum;
    }
  pack(r->local_c, n, n, r->local);
}

/* ---- all together ----------------------------------------------------------------------------------------------- */

static cks_status derive_place(cks_reml *r, const double *theta, size_t j, double *gradient, double *information,
                               cks_error *error)
{
  const cks_reml_place *p = &r->place[j];
  bool one = r->n_layer == 1;
  cks_status status = cks_reml_absorb_again(r, theta, j, error);
  if (status != CKS_OK) return status;
  if (!one) pack_cells(r, p);
  cks_reml_traces t = one ? cks_reml_trace(r, theta, j, r->s, r->n_level, p->level[0], r->c_diagonal)
                          : cks_reml_trace(r, theta, j, r->local, p->n_cell, r->own_index, r->local_diagonal);
  gradient[CKS_REML_ENVIRONMENT] += t.environment;
  gradient[CKS_REML_REP] += t.rep;
  gradient[CKS_REML_BLOCK] += t.block;
  gradient[CKS_REML_CELL] += t.cell;
  gradient[cks_reml_error_index(r, j)] += t.error;
  cks_reml_residual(r, j, gradient, information);
  return CKS_OK;
}

/* information -= F'C F, F the rows of f_levels. */
static void take_levels_off(cks_reml *r, double *information)
{
  int m = (int)r->n_level, n = (int)r->fit.n_theta;
  cblas_dgemm(CblasRowMajor, CblasNoTrans, CblasNoTrans, n, m, m, 1, r->f_levels, m, r->c, m, 0, r->cf_levels, m);
  cblas_dgemm(CblasRowMajor, CblasNoTrans, CblasTrans, n, n, m, -1, r->f_levels, m, r->cf_levels, m, 1, information, n);
}

cks_status cks_reml_derive(cks_reml *r, const double *theta, double *gradient, double *information, cks_error *error)
{
  size_t m = r->n_level, n = r->fit.n_theta;
  gsl_matrix_view c = gsl_matrix_view_array(r->c, m, m);
  gsl_linalg_cholesky_invert(&c.matrix);
  memset(gradient, 0, n * sizeof *gradient);
  if (information) memset(information, 0, n * n * sizeof *information);
  memset(r->f_levels, 0, n * m * sizeof *r->f_levels);
  fill_zpy(r, theta);
  cks_status status = derive_layers(r, theta, gradient, error);
  if (r->n_layer == 1) pack_levels(r);
  for (size_t j = 0; j < r->n_place && status == CKS_OK; j++)
    status = derive_place(r, theta, j, gradient, information, error);
  if (information && status == CKS_OK) take_levels_off(r, information);
  for (size_t k = 0; k < n; k++)
    if (!r->used[k]) gradient[k] = 0;
  return status;
}

cks_status cks_reml_evaluate(cks_reml *r, const double *theta, double *minus2, double *gradient, double *information,
                             cks_error *error)
{
  *minus2 = cks_reml_build(r, theta);
  return gradient && *minus2 < INFINITY ? cks_reml_derive(r, theta, gradient, information, error) : CKS_OK;
}
