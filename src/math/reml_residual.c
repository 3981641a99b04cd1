/*
 * reml_residual.c: what is left of the values of one environment, Py, and the average information.
 *
 *   e = y - Z h, v = G E'R^-1e, a = E'Py = E'R^-1e - A v, cells p_c = w_c (esum_c - z_c'v),
 *   Py = (e - v of the stratum - phi_c (esum_c - z_c'v)) / s
 *   f_k = V_k Py; information_kl = f_k'P f_l = f_k'V^-1f_l - (Z'V^-1f_k)'C (Z'V^-1f_l)
 * (Gilmour, Thompson & Cullis 1995, Biometrics 51:1440.) No matrix of plots is formed.
 */
#include "reml_parts.h"

#include <gsl/gsl_cblas.h>
#include <string.h>

static double dot(size_t n, const double *x, const double *y) { return cblas_ddot((int)n, x, 1, y, 1); }

static double square(double x) { return x * x; }

static double effect_of(const cks_reml *r, const cks_reml_place *p, size_t cell)
{
  double sum = r->mean_level ? r->h[0] : 0;
  for (size_t k = 0; k < r->n_layer; k++) sum += r->h[p->level[k][cell]];
  return sum;
}

/* Py into the last row of f; cells p_c into r->cell; strata a into r->strata. */
static void fill_py(cks_reml *r, const cks_reml_place *p, double *py)
{
  const cks_reml_absorbed *at = &r->at;
  size_t b = p->n_stratum;
  double *a = r->strata, *v = r->strata + b;
  for (size_t c = 0; c < p->n_cell; c++) {
    double effect = effect_of(r, p, c);
    for (uint32_t i = p->first[c]; i < p->first[c + 1]; i++) py[i] = p->y[i] - effect;
  }
  cks_reml_project(p, at, py, r->cell, a);
  cks_reml_g_times(p, at, a, v);
  cblas_dgemv(CblasRowMajor, CblasNoTrans, (int)b, (int)b, -1, at->a, (int)b, v, 1, 1, a, 1);
  for (size_t c = 0; c < p->n_cell; c++) {
    double left = r->cell[c];
    for (uint32_t i = p->first[c]; i < p->first[c + 1]; i++) left -= v[p->stratum[i]];
    for (uint32_t i = p->first[c]; i < p->first[c + 1]; i++)
      py[i] = (py[i] - v[p->stratum[i]] - at->phi[c] * left) / at->s;
    r->cell[c] = at->w[c] * left;
  }
}

/* Rows of f: V_k Py of the place's terms; kind[row] their places in theta, the error last. Returns how many, and takes
 * |Z_k'Py|^2 off the gradient. */
static size_t fill_terms(cks_reml *r, size_t place, double *gradient, size_t *kind)
{
  const cks_reml_place *p = &r->place[place];
  size_t n = p->n, n_term = 0;
  double *a = r->strata, *reps = r->strata + p->n_stratum, all = 0; /* reps: no more than there are strata */
  double *row[TERMS];
  for (size_t k = 0; k < TERMS; k++) row[k] = r->f + k * n;
  double *py = row[TERMS - 1];
  fill_py(r, p, py);
  memset(reps, 0, (p->n_rep + 1) * sizeof *reps);
  for (size_t l = 0; l < p->n_stratum; l++) {
    reps[p->rep_of[l]] += a[l];
    all += a[l];
  }
  if (r->used[CKS_REML_ENVIRONMENT]) {
    gradient[CKS_REML_ENVIRONMENT] -= square(all);
    for (size_t i = 0; i < n; i++) row[n_term][i] = all;
    kind[n_term++] = CKS_REML_ENVIRONMENT;
  }
  if (r->used[CKS_REML_REP] && p->n_rep) {
    for (size_t q = 0; q < p->n_rep; q++) gradient[CKS_REML_REP] -= square(reps[q]);
    for (size_t i = 0; i < n; i++) row[n_term][i] = reps[p->rep_of[p->stratum[i]]];
    kind[n_term++] = CKS_REML_REP;
  }
  if (r->used[CKS_REML_BLOCK] && p->blocks) {
    for (size_t l = 0; l < p->n_stratum; l++) gradient[CKS_REML_BLOCK] -= square(a[l]);
    for (size_t i = 0; i < n; i++) row[n_term][i] = a[p->stratum[i]];
    kind[n_term++] = CKS_REML_BLOCK;
  }
  if (r->used[CKS_REML_CELL]) {
    for (size_t c = 0; c < p->n_cell; c++) {
      gradient[CKS_REML_CELL] -= square(r->cell[c]);
      for (uint32_t i = p->first[c]; i < p->first[c + 1]; i++) row[n_term][i] = r->cell[c];
    }
    kind[n_term++] = CKS_REML_CELL;
  }
  for (size_t k = 0; k < r->n_layer; k++) {
    if (!r->layer[k].random) continue;
    for (size_t c = 0; c < p->n_cell; c++)
      for (uint32_t i = p->first[c]; i < p->first[c + 1]; i++) row[n_term][i] = r->zpy[p->level[k][c]];
    kind[n_term++] = r->layer[k].kind;
  }
  if (row[n_term] != py) memcpy(row[n_term], py, n * sizeof *py);
  kind[n_term] = cks_reml_error_index(r, place);
  gradient[kind[n_term]] -= dot(n, row[n_term], row[n_term]);
  return n_term + 1;
}

/* Z'V^-1f of one row, its cells' values given, added to f_levels. */
static void add_to_levels(cks_reml *r, const cks_reml_place *p, size_t kind, const double *sums, const double *gf)
{
  double *to = r->f_levels + kind * r->n_level;
  for (size_t c = 0; c < p->n_cell; c++) {
    double sum = sums[c];
    for (uint32_t i = p->first[c]; i < p->first[c + 1]; i++) sum -= gf[p->stratum[i]];
    for (size_t k = 0; k < r->n_layer; k++) to[p->level[k][c]] += r->at.w[c] * sum;
    if (r->mean_level) to[0] += r->at.w[c] * sum;
  }
}

void cks_reml_residual(cks_reml *r, size_t place, double *gradient, double *information)
{
  const cks_reml_place *p = &r->place[place];
  const cks_reml_absorbed *at = &r->at;
  size_t kind[TERMS], b = p->n_stratum, n = p->n, n_cell = p->n_cell;
  size_t n_term = fill_terms(r, place, gradient, kind);
  for (size_t k = 0; k < n_term && information; k++) {
    cks_reml_project(p, at, r->f + k * n, r->f_sums + k * n_cell, r->f_strata + k * b);
    cks_reml_g_times(p, at, r->f_strata + k * b, r->gf_strata + k * b);
    add_to_levels(r, p, kind[k], r->f_sums + k * n_cell, r->gf_strata + k * b);
  }
  for (size_t k = 0; k < n_term && information; k++)
    for (size_t l = 0; l <= k; l++) {
      const double *a = r->f_sums + k * n_cell, *c = r->f_sums + l * n_cell;
      double sum = dot(n, r->f + k * n, r->f + l * n), within = 0;
      for (size_t i = 0; i < n_cell; i++) within += at->phi[i] * a[i] * c[i];
      sum = (sum - within) / at->s - dot(b, r->f_strata + k * b, r->gf_strata + l * b);
      information[kind[k] * r->fit.n_theta + kind[l]] += sum;
      if (k != l) information[kind[l] * r->fit.n_theta + kind[k]] += sum;
    }
}
