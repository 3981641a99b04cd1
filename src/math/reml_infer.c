/*
 * reml_infer.c: adjusted means, their covariance, the df of every difference, and F.
 *
 * A mean is a hybrid's solution, plus the mean of the environments' where they are fixed; so it gives every environment
 * equal weight. F of all hybrids by Kenward & Roger 1997 (the scaled F and its df from two moments of the Wald form), or
 * Satterthwaite's by Fai & Cornelius 1996: independent contrasts each with its own df. Those df depend on which contrasts are
 * taken; ours are orthonormal ones.
 */
#include "reml_parts.h"

#include "dense.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_eigen.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

typedef struct {
  cks_reml *reml; /* whose system has the means in it */
  const double *theta;
  size_t g, m;       /* hybrids, components that count */
  size_t *at;        /* size m */
  double *w;         /* m x m: covariance of the components' estimates */
  double *x, *plain; /* n_level x g: C T; g x g: T'C T, T the means as functions of the solutions */
  double *m_k;       /* m times g x g */
} means;

/* ---- the components' information -------------------------------------------------------------------------------- */

cks_status cks_reml_invert_average(cks_reml *r, const size_t *at, size_t m, double *w, cks_error *error)
{
  for (size_t k = 0; k < m; k++)
    for (size_t l = 0; l < m; l++) w[k * m + l] = r->information[at[k] * r->fit.n_theta + at[l]] / 2;
  return cks_dense_invert(m, w, error);
}

/* w (m x m): the inverse of half the Hessian of -2 log REML by central differences of its gradient; where that is not
 * positive definite, of half the average information. */
static cks_status observe(cks_reml *r, const size_t *at, size_t m, double *w, cks_error *error)
{
  size_t n = r->fit.n_theta;
  double f, *up = calloc(n, sizeof *up), *down = calloc(n, sizeof *down), *theta = malloc(n * sizeof *theta);
  cks_status status = up && down && theta ? CKS_OK : cks_error_nomem(error);
  for (size_t k = 0; k < m && status == CKS_OK; k++) {
    double by = 1e-4 * r->theta[at[k]];
    memcpy(theta, r->theta, n * sizeof *theta);
    theta[at[k]] += by;
    status = cks_reml_evaluate(r, theta, &f, up, NULL, error);
    theta[at[k]] -= 2 * by;
    if (status == CKS_OK) status = cks_reml_evaluate(r, theta, &f, down, NULL, error);
    for (size_t l = 0; l < m; l++) w[k * m + l] = (up[at[l]] - down[at[l]]) / (2 * by) / 2;
  }
  for (size_t k = 0; k < m && status == CKS_OK; k++)
    for (size_t l = 0; l < k; l++) w[k * m + l] = w[l * m + k] = (w[k * m + l] + w[l * m + k]) / 2;
  if (status == CKS_OK && cks_dense_invert(m, w, NULL) != CKS_OK) status = cks_reml_invert_average(r, at, m, w, error);
  free(theta);
  free(down);
  free(up);
  return status;
}

cks_status cks_reml_list_se(const cks_reml *r, const size_t *at, size_t m, const double *w, cks_arena *arena,
                            const double **se, cks_error *error)
{
  double *own = cks_arena_take(arena, r->fit.n_theta, sizeof *own);
  if (!own) return cks_error_nomem(error);
  for (size_t k = 0; k < r->fit.n_theta; k++) own[k] = cks_missing();
  for (size_t k = 0; k < m; k++) own[at[k]] = sqrt(w[k * m + k]);
  *se = own;
  return CKS_OK;
}

/* ---- means ------------------------------------------------------------------------------------------------------ */

static const cks_reml_layer *environments(const cks_reml *r)
{
  const cks_reml_layer *last = &r->layer[r->n_layer - 1];
  return r->environment_levels ? last : NULL;
}

/* x = C T and T'C T. */
static cks_status combine(means *a, double *mean, cks_arena *arena, cks_error *error)
{
  const cks_reml *r = a->reml;
  const cks_reml_layer *e = environments(r);
  size_t g = a->g, n = r->n_level, first = r->layer[0].first;
  double over = 0;
  a->x = cks_arena_take(arena, n * g, sizeof *a->x);
  a->plain = cks_arena_take(arena, g * g, sizeof *a->plain);
  if (!a->x || !a->plain) return cks_error_nomem(error);
  for (size_t j = 0; e && j < e->n; j++) over += r->h[e->first + j] / (double)e->n;
  for (size_t i = 0; i < n; i++) {
    double sum = 0;
    for (size_t j = 0; e && j < e->n; j++) sum += r->c[i * n + e->first + j] / (double)e->n;
    for (size_t k = 0; k < g; k++) a->x[i * g + k] = r->c[i * n + first + k] + sum;
  }
  for (size_t k = 0; k < g; k++) {
    mean[k] = r->h[first + k] + over + r->shift;
    double sum = 0;
    for (size_t j = 0; e && j < e->n; j++) sum += a->x[(e->first + j) * g + k] / (double)e->n;
    for (size_t i = 0; i < g; i++) a->plain[i * g + k] = a->x[(first + i) * g + k] + sum;
  }
  return CKS_OK;
}

/* ---- df --------------------------------------------------------------------------------------------------------- */

static double of_pair(const double *v, size_t g, size_t i, size_t k) /* lower part of v; i == k: of one mean */
{
  size_t high = i > k ? i : k, low = i > k ? k : i;
  return i == k ? v[i * g + i] : v[i * g + i] + v[k * g + k] - 2 * v[high * g + low];
}

static cks_status list_df(const means *a, cks_arena *arena, cks_reml_inference *out, cks_error *error)
{
  size_t g = a->g, n = 0;
  double *df = cks_arena_take(arena, g * g, sizeof *df), *all = malloc((g * g / 2 + 1) * sizeof *all),
         *slope = malloc((a->m + 1) * sizeof *slope);
  cks_status status = df && all && slope ? CKS_OK : cks_error_nomem(error);
  for (size_t i = 0; i < g && status == CKS_OK; i++)
    for (size_t k = 0; k <= i; k++) {
      for (size_t c = 0; c < a->m; c++) slope[c] = of_pair(a->m_k + c * g * g, g, i, k);
      df[i * g + k] = df[k * g + i] = cks_reml_satterthwaite(a->m, a->w, of_pair(a->plain, g, i, k), slope);
      if (i != k) all[n++] = df[i * g + k];
    }
  if (n && status == CKS_OK) {
    gsl_sort(all, 1, n);
    out->df_smallest = all[0];
    out->df_median = gsl_stats_median_from_sorted_data(all, 1, n);
  }
  out->df = df;
  free(slope);
  free(all);
  return status;
}

/* ---- F ---------------------------------------------------------------------------------------------------------- */

/* Contrasts with the last hybrid of a symmetric g x g matrix (lower part): L'v L, (g - 1) x (g - 1). */
static void contrast(const double *v, size_t g, double *to)
{
  size_t q = g - 1;
  for (size_t i = 0; i < q; i++)
    for (size_t k = 0; k <= i; k++)
      to[i * q + k] = to[k * q + i] = v[i * g + k] - v[q * g + i] - v[q * g + k] + v[q * g + q];
}

/* Contrasts turned so that their covariance is I: N_k = K^-1 L'M_k L K^-T, L'(T'CT)L = K K'. */
typedef struct {
  size_t q, m;
  double *root, *n; /* q x q, m times q x q */
} turned;

static cks_status turn(const means *a, turned *t, cks_error *error)
{
  size_t q = a->g - 1;
  *t = (turned){q, a->m, malloc(q * q * sizeof(double)), malloc(a->m * q * q * sizeof(double))};
  if (!t->root || !t->n) return cks_error_nomem(error);
  contrast(a->plain, a->g, t->root);
  gsl_matrix_view root = gsl_matrix_view_array(t->root, q, q);
  if (gsl_linalg_cholesky_decomp1(&root.matrix))
    return cks_error_set(error, CKS_NUMERIC, "some hybrids cannot be told apart from others");
  for (size_t k = 0; k < a->m; k++) {
    contrast(a->m_k + k * a->g * a->g, a->g, t->n + k * q * q);
    gsl_matrix_view n = gsl_matrix_view_array(t->n + k * q * q, q, q);
    gsl_blas_dtrsm(CblasLeft, CblasLower, CblasNoTrans, CblasNonUnit, 1, &root.matrix, &n.matrix);
    gsl_blas_dtrsm(CblasRight, CblasLower, CblasTrans, CblasNonUnit, 1, &root.matrix, &n.matrix);
  }
  return CKS_OK;
}

/* d'(L'V L)^-1 d of the contrasts of the means. */
cks_status cks_reml_wald(const double *covariance, const double *mean, size_t g, double *form, cks_error *error)
{
  size_t q = g - 1;
  *form = 0;
  if (g < 2) return CKS_OK;
  double *v = malloc(q * q * sizeof *v), *x = malloc(q * sizeof *x);
  cks_status status = v && x ? CKS_OK : cks_error_nomem(error);
  if (status == CKS_OK) {
    contrast(covariance, g, v);
    for (size_t i = 0; i < q; i++) x[i] = mean[i] - mean[q];
    status = cks_dense_solve(q, v, x, error);
  }
  for (size_t i = 0; i < q && status == CKS_OK; i++) *form += x[i] * (mean[i] - mean[q]);
  free(x);
  free(v);
  return status;
}

static double trace(const double *n, size_t q)
{
  double sum = 0;
  for (size_t i = 0; i < q; i++) sum += n[i * q + i];
  return sum;
}

/* Kenward & Roger's scale and denominator df; false: the moments have no solution. */
static bool kenward_roger_df(const turned *t, const double *w, double *scale, double *df)
{
  double q = (double)t->q, a1 = 0, a2 = 0;
  size_t n = t->q * t->q;
  for (size_t k = 0; k < t->m; k++)
    for (size_t l = 0; l < t->m; l++) {
      double both = 0;
      for (size_t i = 0; i < n; i++) both += t->n[k * n + i] * t->n[l * n + i];
      a1 += w[k * t->m + l] * trace(t->n + k * n, t->q) * trace(t->n + l * n, t->q);
      a2 += w[k * t->m + l] * both;
    }
  double b = (a1 + 6 * a2) / (2 * q), c = ((q + 1) * a1 - (q + 4) * a2) / ((q + 2) * a2);
  double under = 3 * q + 2 * (1 - c), c1 = c / under, c2 = (q - c) / under, c3 = (q + 2 - c) / under;
  double mean = 1 / (1 - a2 / q);
  double variance = 2 / q * (1 + c1 * b) / ((1 - c2 * b) * (1 - c2 * b) * (1 - c3 * b));
  double rho = variance / (2 * mean * mean);
  *df = 4 + (q + 2) / (q * rho - 1);
  *scale = *df / (mean * (*df - 2));
  return a2 > 0 && a2 < q && q * rho > 1 && *df > 2 && *scale > 0;
}

/* The contrasts whose estimates are independent: the columns of p but the first, eigenvectors of the covariance of the
 * means about their mean, and their variances (size g). In whatever order the hybrids stand they are the same. */
static cks_status find_independent(const means *a, double *centered, double *p, double *variance, cks_error *error)
{
  size_t g = a->g;
  double *row = variance, all = 0; /* variance is free yet: means of the rows */
  for (size_t i = 0; i < g; i++) {
    row[i] = 0;
    for (size_t k = 0; k < g; k++) row[i] += a->plain[i * g + k] / (double)g;
    all += row[i] / (double)g;
  }
  for (size_t i = 0; i < g; i++)
    for (size_t k = 0; k < g; k++) centered[i * g + k] = a->plain[i * g + k] - row[i] - row[k] + all;
  gsl_matrix_view v = gsl_matrix_view_array(centered, g, g), vectors = gsl_matrix_view_array(p, g, g);
  gsl_vector_view values = gsl_vector_view_array(variance, g);
  gsl_eigen_symmv_workspace *work = gsl_eigen_symmv_alloc(g);
  if (!work) return cks_error_nomem(error);
  int code = gsl_eigen_symmv(&v.matrix, &values.vector, &vectors.matrix, work);
  gsl_eigen_symmv_free(work);
  gsl_eigen_symmv_sort(&values.vector, &vectors.matrix, GSL_EIGEN_SORT_VAL_ASC);
  return code == GSL_SUCCESS ? CKS_OK : cks_error_set(error, CKS_NUMERIC, "contrasts of the hybrids cannot be made");
}

/* Fai & Cornelius: E = sum of the means of the contrasts' F; the df are those of an F with that mean. df: size q. */
static double pool(const double *df, size_t q)
{
  double sum = 0, smallest = df[0], largest = df[0];
  for (size_t i = 0; i < q; i++) {
    smallest = fmin(smallest, df[i]);
    largest = fmax(largest, df[i]);
    if (df[i] > 2) sum += df[i] / (df[i] - 2);
  }
  if (largest - smallest < 1e-8 * largest) return largest;
  return sum > (double)q ? 2 * sum / (sum - (double)q) : smallest;
}

static cks_status pooled_df(const means *a, double *df, cks_error *error)
{
  size_t g = a->g;
  int n = (int)g;
  double *p = malloc(g * g * sizeof *p), *mp = malloc(g * g * sizeof *mp), *variance = malloc(g * sizeof *variance),
         *slope = malloc(a->m * g * sizeof *slope);
  cks_status status = p && mp && variance && slope ? CKS_OK : cks_error_nomem(error);
  if (status == CKS_OK) status = find_independent(a, mp, p, variance, error);
  for (size_t k = 0; k < a->m && status == CKS_OK; k++) {
    cblas_dsymm(CblasRowMajor, CblasLeft, CblasLower, n, n, 1, a->m_k + k * g * g, n, p, n, 0, mp, n);
    for (size_t i = 1; i < g; i++) slope[i * a->m + k] = cblas_ddot(n, p + i, n, mp + i, n);
  }
  for (size_t i = 1; i < g && status == CKS_OK; i++)
    variance[i] = cks_reml_satterthwaite(a->m, a->w, variance[i], slope + i * a->m);
  if (status == CKS_OK) *df = pool(variance + 1, g - 1);
  free(slope);
  free(variance);
  free(mp);
  free(p);
  return status;
}

static cks_status test(const means *a, bool kenward_roger, cks_reml_inference *out, cks_error *error)
{
  turned t = {0};
  double form = 0, scale = 1;
  bool scaled = false;
  out->f = out->num_df = out->den_df = cks_missing();
  if (a->g < 2) return CKS_OK;
  cks_status status = cks_reml_wald(out->covariance, out->mean, a->g, &form, error);
  if (status == CKS_OK && kenward_roger) {
    status = turn(a, &t, error);
    scaled = status == CKS_OK && kenward_roger_df(&t, a->w, &scale, &out->den_df);
    free(t.root);
    free(t.n);
  }
  if (status == CKS_OK && !scaled) {
    scale = 1;
    status = pooled_df(a, &out->den_df, error);
  }
  if (status == CKS_OK) {
    out->num_df = (double)a->g - 1;
    out->f = scale * form / out->num_df;
  }
  return status;
}

/* ---- all together ----------------------------------------------------------------------------------------------- */

/* The system that has the means in it, solved. */
static cks_status begin(cks_reml *r, cks_arena *arena, means *a, cks_error *error)
{
  cks_status status = CKS_OK;
  a->reml = r;
  a->theta = r->theta;
  a->g = r->data.n_hybrid;
  a->at = cks_arena_take(arena, r->fit.n_theta, sizeof *a->at);
  if (!a->at) return cks_error_nomem(error);
  a->m = cks_reml_list_free(r, a->at);
  a->w = cks_arena_take(arena, a->m * a->m, sizeof *a->w);
  if (!a->w) return cks_error_nomem(error);
  if (r->model.environments_fixed) status = cks_reml_with_levels(r, arena, &a->reml, error);
  return status;
}

static cks_status infer_each(cks_reml *r, bool kenward_roger, cks_arena *scratch, cks_arena *arena,
                             cks_reml_inference *out, cks_error *error)
{
  means a;
  double *mean = cks_arena_take(arena, out->n, sizeof *mean), *added = NULL;
  size_t size = out->n * out->n;
  out->mean = mean;
  out->covariance = cks_arena_take(arena, size, sizeof *out->covariance);
  cks_status status = mean && out->covariance ? begin(r, scratch, &a, error) : cks_error_nomem(error);
  if (status == CKS_OK && !kenward_roger) status = observe(r, a.at, a.m, a.w, error);
  if (status == CKS_OK) status = cks_reml_solve(a.reml, a.theta, error);
  if (status == CKS_OK) status = combine(&a, mean, scratch, error);
  if (status != CKS_OK) return status;
  a.m_k = cks_arena_take(scratch, a.m * size, sizeof *a.m_k);
  added = cks_arena_take(scratch, size, sizeof *added);
  if (!a.m_k || !added) return cks_error_nomem(error);
  cks_reml_functions f = {.q = a.g, .x = a.x, .covariance = a.plain, .m = a.m, .at = a.at, .m_k = a.m_k};
  status = cks_reml_sensitivity(a.reml, a.theta, &f, scratch, error);
  if (status == CKS_OK && kenward_roger) status = cks_reml_kenward_roger(a.reml, a.theta, &f, a.w, added, error);
  for (size_t i = 0; i < size; i++) out->covariance[i] = a.plain[i] + added[i];
  out->plain_variance = cks_reml_mean_variance(a.plain, out->n);
  if (status == CKS_OK) status = list_df(&a, arena, out, error);
  if (status == CKS_OK) status = test(&a, kenward_roger, out, error);
  if (status == CKS_OK) status = cks_reml_list_se(r, a.at, a.m, a.w, arena, &out->theta_se, error);
  return status;
}

double cks_reml_mean_variance(const double *v, size_t g)
{
  double own = 0, all = 0, n = (double)g;
  for (size_t i = 0; i < g; i++) {
    for (size_t k = 0; k < g; k++) all += v[i * g + k];
    own += v[i * g + i];
  }
  return g > 1 ? 2 * (own / n - (all - own) / n / (n - 1)) : cks_missing();
}

cks_status cks_reml_infer(cks_reml *r, cks_reml_df method, cks_arena *arena, cks_reml_inference *out, cks_error *error)
{
  cks_arena *scratch = cks_arena_new();
  double none = cks_missing();
  *out = (cks_reml_inference){
      .n = r->data.n_hybrid, .df_smallest = none, .df_median = none, .f = none, .num_df = none, .den_df = none};
  cks_status status = scratch ? CKS_OK : cks_error_nomem(error);
  if (status == CKS_OK)
    status = method == CKS_REML_SAMPLED ? cks_reml_infer_large(r, scratch, arena, out, error)
                                        : infer_each(r, method == CKS_REML_KENWARD_ROGER, scratch, arena, out, error);
  cks_arena_free(scratch);
  return status;
}
