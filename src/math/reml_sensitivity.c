/*
 * reml_sensitivity.c: d(t'C t) / d theta_k = |Z_k'V^-1Z C t|^2 for linear functions t of the solutions, and the df that
 * follow (Giesbrecht & Burns 1985, Biometrics 41:477).
 *
 * With x = C t at the cells of a place: E'V^-1Zc x = N'Ux, Ux = sum_c w_c z_c x_c, N' = I - A G; Zc'V^-1Zc x = d x - U G Ux.
 * Strata give blocks, their sums reps and the environment; cells give hybrid x environment and, summed over the places,
 * the layers. The error's share is what is left of sum_k theta_k M_k = t'C t.
 */
#include "reml_parts.h"

#include <gsl/gsl_cblas.h>
#include <stdlib.h>
#include <string.h>

/* Rows of one place, q columns each. */
typedef struct {
  double *x, *ux, *gux, *cells; /* n_cell, n_stratum, n_stratum, n_cell rows; ux becomes E'V^-1Zc x */
  double *reps;                 /* n_rep + 1 rows, the last the environment's */
  double *layers;               /* n_level rows: Z'V^-1Z x of the layers */
} rows;

static cks_status make_rows(const cks_reml *r, size_t q, rows *w, cks_arena *arena, cks_error *error)
{
  w->x = cks_arena_take(arena, r->most_cells * q, sizeof(double));
  w->cells = cks_arena_take(arena, r->most_cells * q, sizeof(double));
  w->ux = cks_arena_take(arena, r->most_strata * q, sizeof(double));
  w->gux = cks_arena_take(arena, r->most_strata * q, sizeof(double));
  w->reps = cks_arena_take(arena, (r->most_reps + 1) * q, sizeof(double));
  w->layers = cks_arena_take(arena, r->n_level * q, sizeof(double));
  return cks_arena_status(arena, error);
}

static void add(double *to, size_t n, double weight, const double *x) { cblas_daxpy((int)n, weight, x, 1, to, 1); }

/* x at the cells: the sum over their levels. */
static void gather(const cks_reml *r, const cks_reml_place *p, const cks_reml_functions *f, double *x)
{
  memset(x, 0, p->n_cell * f->q * sizeof *x);
  for (size_t c = 0; c < p->n_cell; c++)
    for (size_t k = 0; k < r->n_layer; k++) add(x + c * f->q, f->q, 1, f->x + p->level[k][c] * f->q);
}

static void fill_rows(const cks_reml *r, const cks_reml_place *p, const cks_reml_functions *f, rows *w)
{
  const cks_reml_absorbed *at = &r->at;
  size_t q = f->q, b = p->n_stratum;
  gather(r, p, f, w->x);
  memset(w->ux, 0, b * q * sizeof *w->ux);
  memset(w->cells, 0, p->n_cell * q * sizeof *w->cells);
  memset(w->reps, 0, (p->n_rep + 1) * q * sizeof *w->reps);
  for (size_t c = 0; c < p->n_cell; c++)
    for (uint32_t i = p->first[c]; i < p->first[c + 1]; i++) add(w->ux + p->stratum[i] * q, q, at->w[c], w->x + c * q);
  cblas_dgemm(CblasRowMajor, CblasNoTrans, CblasNoTrans, (int)b, (int)q, (int)b, 1, at->g, (int)b, w->ux, (int)q, 0,
              w->gux, (int)q);
  cblas_dgemm(CblasRowMajor, CblasNoTrans, CblasNoTrans, (int)b, (int)q, (int)b, -1, at->a, (int)b, w->gux, (int)q, 1,
              w->ux, (int)q);
  for (size_t c = 0; c < p->n_cell; c++) {
    add(w->cells + c * q, q, (p->first[c + 1] - p->first[c]) * at->w[c], w->x + c * q);
    for (uint32_t i = p->first[c]; i < p->first[c + 1]; i++)
      add(w->cells + c * q, q, -at->w[c], w->gux + p->stratum[i] * q);
    for (size_t k = 0; k < r->n_layer; k++) add(w->layers + p->level[k][c] * q, q, 1, w->cells + c * q);
  }
  for (size_t l = 0; l < b; l++) {
    if (p->n_rep) add(w->reps + p->rep_of[l] * q, q, 1, w->ux + l * q);
    add(w->reps + p->n_rep * q, q, 1, w->ux + l * q);
  }
}

/* m += x'x (n x q), or its diagonal alone. */
static void add_square(const cks_reml_functions *f, const double *x, size_t n, double weight, double *m)
{
  size_t q = f->q;
  if (!f->each_only)
    cblas_dsyrk(CblasRowMajor, CblasLower, CblasTrans, (int)q, (int)n, weight, x, (int)q, 1, m, (int)q);
  for (size_t i = 0; i < n && f->each_only; i++)
    for (size_t k = 0; k < q; k++) m[k] += weight * x[i * q + k] * x[i * q + k];
}

/* x' y of the place's cells: t'(Z'V^-1Z of the place)t, of which its own error takes what the others leave. */
static void add_product(const cks_reml_functions *f, const double *x, const double *y, size_t n, double *m)
{
  size_t q = f->q;
  if (!f->each_only)
    cblas_dgemm(CblasRowMajor, CblasTrans, CblasNoTrans, (int)q, (int)q, (int)n, 1, x, (int)q, y, (int)q, 1, m, (int)q);
  for (size_t i = 0; i < n && f->each_only; i++)
    for (size_t k = 0; k < q; k++) m[k] += x[i * q + k] * y[i * q + k];
}

static size_t matrix_size(const cks_reml_functions *f) { return f->each_only ? f->q : f->q * f->q; }

static double *matrix_of(const cks_reml_functions *f, size_t kind)
{
  size_t k = 0;
  while (k < f->m && f->at[k] != kind) k++;
  return k < f->m ? f->m_k + k * matrix_size(f) : NULL;
}

/* The place's share of every component inside it; with an error of its own that too: s M = x'y - sum theta_k M_k. */
static void add_place(const cks_reml *r, const cks_reml_place *p, size_t place, const double *theta,
                      const cks_reml_functions *f, const rows *w)
{
  const struct {
    cks_reml_kind kind;
    const double *x;
    size_t n;
  } terms[] = {{CKS_REML_ENVIRONMENT, w->reps + p->n_rep * f->q, 1},
               {CKS_REML_REP, w->reps, p->n_rep},
               {CKS_REML_BLOCK, w->ux, p->blocks ? p->n_stratum : 0},
               {CKS_REML_CELL, w->cells, p->n_cell}};
  size_t error_at = cks_reml_error_index(r, place);
  double *own = r->model.error_by_environment ? matrix_of(f, error_at) : NULL;
  if (own) add_product(f, w->x, w->cells, p->n_cell, own);
  for (size_t k = 0; k < sizeof terms / sizeof *terms; k++) {
    double *m = matrix_of(f, terms[k].kind);
    if (!m || !terms[k].n) continue;
    add_square(f, terms[k].x, terms[k].n, 1, m);
    if (own) add_square(f, terms[k].x, terms[k].n, -theta[terms[k].kind], own);
  }
  for (size_t i = 0; own && i < matrix_size(f); i++) own[i] /= theta[error_at];
}

/* One error: s M = t'C t - sum theta_k M_k. Only the lower parts are in use. */
static void fill_error(const cks_reml *r, const double *theta, const cks_reml_functions *f)
{
  double *error = r->model.error_by_environment ? NULL : matrix_of(f, CKS_REML_ERROR);
  size_t n = matrix_size(f);
  for (size_t i = 0; error && i < n; i++) {
    double left = f->covariance[f->each_only ? i * f->q + i : i];
    for (size_t k = 0; k < f->m; k++)
      if (f->at[k] != CKS_REML_ERROR) left -= theta[f->at[k]] * f->m_k[k * n + i];
    error[i] = left / theta[CKS_REML_ERROR];
  }
}

cks_status cks_reml_sensitivity(cks_reml *r, const double *theta, const cks_reml_functions *f, cks_arena *arena,
                                cks_error *error)
{
  rows w = {0};
  cks_status status = make_rows(r, f->q, &w, arena, error);
  if (status != CKS_OK) return status;
  memset(f->m_k, 0, f->m * matrix_size(f) * sizeof *f->m_k);
  for (size_t j = 0; j < r->n_place && status == CKS_OK; j++) {
    status = cks_reml_absorb(r, theta, j, error);
    if (status != CKS_OK) continue;
    fill_rows(r, &r->place[j], f, &w);
    add_place(r, &r->place[j], j, theta, f, &w);
  }
  for (size_t k = 0; k < r->n_layer && status == CKS_OK; k++) {
    double *m = r->layer[k].random ? matrix_of(f, r->layer[k].kind) : NULL;
    if (m) add_square(f, w.layers + r->layer[k].first * f->q, r->layer[k].n, 1, m);
  }
  fill_error(r, theta, f);
  return status;
}

double cks_reml_satterthwaite(size_t m, const double *w, double v, const double *g)
{
  double sum = 0;
  for (size_t k = 0; k < m; k++)
    for (size_t l = 0; l < m; l++) sum += g[k] * w[k * m + l] * g[l];
  return 2 * v * v / sum;
}
