/*
 * reml_absorb.c: one environment at given variances: everything inside it is taken into V_j, whose inverse is held by a
 * matrix as large as the environment has strata.
 *
 *   A = E'R^-1E = (diag(plots of a stratum) - sum_c phi_c z_c z_c') / s
 *   W = I + F H'A H F, H the strata by (block, rep, environment), F the roots of their variances
 *   G = H F W^-1 F H', log|V| = n log s + sum_c log(1 + n_c sHE / s) + log|W|
 * No variance is divided by, so a variance of exactly 0 only gives rows of 0. Environments fixed: F is 1 for the
 * environment and its diagonal of W lacks the 1; V^-1 is then free of the environment's mean and log|W| holds its share
 * of log|X'V^-1X| (block elimination; Searle, Casella & McCulloch 1992, Variance Components, appendix M, from memory).
 */
#include "reml_parts.h"

#include <gsl/gsl_cblas.h>
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <string.h>

size_t cks_reml_error_index(const cks_reml *r, size_t place)
{
  return CKS_REML_ERROR + (r->model.error_by_environment ? place : 0);
}

/* Weights of the cells and A; returns log|R|. */
static double build_a(const cks_reml_place *p, cks_reml_absorbed *at)
{
  size_t b = p->n_stratum;
  double log_det = (double)p->n * log(at->s), last_n = 0, last_log = 0; /* most cells have equally many plots */
  memset(at->a, 0, b * b * sizeof *at->a);
  for (size_t l = 0; l < b; l++) at->a[l * b + l] = p->plots[l] / at->s;
  for (size_t c = 0; c < p->n_cell; c++) {
    uint32_t first = p->first[c], end = p->first[c + 1];
    double n = end - first;
    at->w[c] = 1 / (at->s + n * at->he);
    at->phi[c] = at->he * at->w[c];
    if (!(at->he > 0)) continue;
    if (n != last_n) last_log = log1p(n * at->he / at->s);
    last_n = n;
    log_det += last_log;
    double part = at->phi[c] / at->s;
    for (uint32_t i = first; i < end; i++)
      for (uint32_t k = first; k < end; k++) at->a[p->stratum[i] * b + p->stratum[k]] -= part;
  }
  return log_det;
}

/* Rows of A summed by rep; the last row by all. sums: (n_rep + 1) x n_stratum. */
static void sum_by_rep(const cks_reml_place *p, const double *a, double *sums)
{
  size_t b = p->n_stratum, r = p->n_rep;
  memset(sums, 0, (r + 1) * b * sizeof *sums);
  for (size_t l = 0; l < b; l++) {
    double *rep = r ? sums + p->rep_of[l] * b : NULL, *all = sums + r * b;
    for (size_t k = 0; k < b; k++) {
      all[k] += a[l * b + k];
      if (rep) rep[k] += a[l * b + k];
    }
  }
}

/* Roots of the variances of block, rep and environment, and where their rows stand in W: reps from `reps` on, the
 * environment last. Blocks of variance 0 are not in it. */
typedef struct {
  double block, rep, environment;
  size_t n_block, reps, last, order;
} roots;

static roots find_roots(const cks_reml *r, const cks_reml_place *p, const double *theta)
{
  roots f = {.block = p->blocks ? sqrt(theta[CKS_REML_BLOCK]) : 0,
             .rep = sqrt(theta[CKS_REML_REP]),
             .environment = r->model.environments_fixed ? 1 : sqrt(theta[CKS_REML_ENVIRONMENT])};
  f.n_block = f.block > 0 ? p->n_stratum : 0;
  f.reps = f.n_block;
  f.last = f.reps + p->n_rep;
  f.order = f.last + 1;
  return f;
}

/* The lower part of W. */
static void build_w(const cks_reml *r, const cks_reml_place *p, const roots *f, const double *a, const double *sums,
                    double *w)
{
  size_t b = p->n_stratum, n = f->order;
  const double *all = sums + p->n_rep * b;
  memset(w, 0, n * n * sizeof *w);
  for (size_t i = 0; i < f->n_block; i++)
    for (size_t k = 0; k <= i; k++) w[i * n + k] = f->block * f->block * a[i * b + k];
  for (size_t q = 0; q < p->n_rep; q++) {
    double *row = w + (f->reps + q) * n;
    for (size_t l = 0; l < f->n_block; l++) row[l] = f->block * f->rep * sums[q * b + l];
    for (size_t l = 0; l < b; l++)
      if (p->rep_of[l] <= q) row[f->reps + p->rep_of[l]] += f->rep * f->rep * sums[q * b + l];
  }
  double *row = w + f->last * n;
  for (size_t l = 0; l < b; l++) {
    if (f->n_block) row[l] = f->block * f->environment * all[l];
    if (p->n_rep) row[f->reps + p->rep_of[l]] += f->rep * f->environment * all[l];
    row[f->last] += f->environment * f->environment * all[l];
  }
  for (size_t i = 0; i < f->last; i++) w[i * n + i] += 1;
  if (!r->model.environments_fixed) row[f->last] += 1;
}

/* G from W^-1. A stratum's own row is split into what is of its rep and the environment alone, which is one for all
 * strata of the rep, and the rest. rows: (n_rep or 1) x (n_stratum + n_rep + 1) doubles. */
static void build_g(const cks_reml_place *p, const roots *f, const double *w, double *rows, double *g)
{
  size_t b = p->n_stratum, n = f->order, n_rep = p->n_rep ? p->n_rep : 1, width = f->order;
  const double *environment = w + f->last * n;
  for (size_t q = 0; q < n_rep; q++) { /* rows of W^-1 by rep and environment */
    const double *rep = p->n_rep ? w + (f->reps + q) * n : environment;
    for (size_t k = 0; k < n; k++)
      rows[q * width + k] = (p->n_rep ? f->rep * rep[k] : 0) + f->environment * environment[k];
  }
  for (size_t l = 0; l < b; l++) {
    const double *above = rows + (p->n_rep ? p->rep_of[l] : 0) * width, *own = w + l * n;
    double *to = g + l * b;
    for (size_t k = 0; k < b; k++) {
      size_t rep = f->reps + p->rep_of[k];
      double sum = f->environment * above[f->last];
      if (p->n_rep) sum += f->rep * above[rep];
      if (f->n_block) {
        sum += f->block * (above[k] + f->block * own[k] + f->environment * own[f->last]);
        if (p->n_rep) sum += f->block * f->rep * own[rep];
      }
      to[k] = sum;
    }
  }
}

/* X = L^-1 F H' (order x n_stratum), W = L L', so that G = X'X. */
static void build_root(const cks_reml_place *p, const roots *f, const double *l, double *x)
{
  size_t b = p->n_stratum;
  memset(x, 0, f->order * b * sizeof *x);
  for (size_t k = 0; k < b; k++) {
    if (f->n_block) x[k * b + k] = f->block;
    if (p->n_rep) x[(f->reps + p->rep_of[k]) * b + k] = f->rep;
    x[f->last * b + k] = f->environment;
  }
  cblas_dtrsm(CblasRowMajor, CblasLeft, CblasLower, CblasNoTrans, CblasNonUnit, (int)f->order, (int)b, 1, l,
              (int)f->order, x, (int)b);
}

static void begin(cks_reml *r, const double *theta, size_t place)
{
  cks_reml_absorbed *at = &r->at;
  at->s = theta[cks_reml_error_index(r, place)];
  at->he = theta[CKS_REML_CELL];
  at->log_det = build_a(&r->place[place], at);
  if (r->kept_g) at->g = r->kept_g[place];
  sum_by_rep(&r->place[place], at->a, r->reps_a);
}

cks_status cks_reml_absorb_again(cks_reml *r, const double *theta, size_t place, cks_error *error)
{
  if (!r->kept_g) return cks_reml_absorb(r, theta, place, error);
  begin(r, theta, place);
  return CKS_OK;
}

cks_status cks_reml_absorb(cks_reml *r, const double *theta, size_t place, cks_error *error)
{
  const cks_reml_place *p = &r->place[place];
  cks_reml_absorbed *at = &r->at;
  begin(r, theta, place);
  roots f = find_roots(r, p, theta);
  build_w(r, p, &f, at->a, r->reps_a, r->w_matrix);
  gsl_matrix_view w = gsl_matrix_view_array(r->w_matrix, f.order, f.order);
  if (gsl_linalg_cholesky_decomp1(&w.matrix))
    return cks_error_set(error, CKS_NUMERIC, "the variances of an environment cannot be inverted");
  for (size_t i = 0; i < f.order; i++) at->log_det += 2 * log(r->w_matrix[i * f.order + i]);
  if (r->few) build_root(p, &f, r->w_matrix, r->root_g);
  r->n_root = f.order;
  gsl_linalg_cholesky_invert(&w.matrix);
  build_g(p, &f, r->w_matrix, r->rep_rows, at->g);
  return CKS_OK;
}

void cks_reml_project(const cks_reml_place *p, const cks_reml_absorbed *at, const double *x, double *sums, double *to)
{
  memset(to, 0, p->n_stratum * sizeof *to);
  for (size_t c = 0; c < p->n_cell; c++) {
    double sum = 0;
    for (uint32_t i = p->first[c]; i < p->first[c + 1]; i++) sum += x[i];
    for (uint32_t i = p->first[c]; i < p->first[c + 1]; i++) to[p->stratum[i]] += x[i] - at->phi[c] * sum;
    sums[c] = sum;
  }
  for (size_t l = 0; l < p->n_stratum; l++) to[l] /= at->s;
}
