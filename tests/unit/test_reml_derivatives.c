/*
 * test_reml_derivatives.c: -2 log REML, its gradient and the average information of the REML engine against the
 * definitions in dense matrices, plots x plots, and against finite differences.
 *
 *   -2 log REML = log|V| + log|X'V^-1X| + y'Py + (n - p) log 2 pi, P = V^-1 - V^-1X(X'V^-1X)^-1X'V^-1
 *   gradient tr(P V_k) - y'P V_k P y, average information y'P V_k P V_l P y (Gilmour, Thompson & Cullis 1995, Biometrics
 *   51:1440), Hessian 2 x average - tr(P V_k P V_l)
 */
#include "../../src/math/reml_parts.h"
#include "support/make_plots.h"
#include "support/support.h"

#include <gsl/gsl_cblas.h>
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

typedef struct {
  const char *name;
  made_design design;
  cks_reml_model model;
  bool levels; /* environments fixed as levels of the system: cks_reml_with_levels */
} setting;

#define VARIANCES .variance = {2, .5, .6, .7, 1, .4, .3, 1.5}

/* FEW says what is few strata; a chunk of columns ends after CHUNK hybrids, a batch after BATCH strata. */
static const setting settings[] = {
    {"few strata", {1, 9, 4, 1, 3, 0, .2, .05, 0, VARIANCES}, {0}, false},
    {"few strata, random", {2, 9, 4, 1, 3, 0, .2, .05, 0, VARIANCES}, {.hybrids_random = true}, false},
    {"few strata, fixed", {3, 9, 4, 1, 3, 0, .2, .05, 0, VARIANCES}, {.environments_fixed = true}, false},
    {"few strata, levels", {3, 9, 4, 1, 3, 0, .2, .05, 0, VARIANCES}, {.environments_fixed = true}, true},
    {"few strata, errors",
     {4, 9, 4, 1, 3, 0, .2, .05, .5, VARIANCES},
     {.environments_fixed = true, .error_by_environment = true},
     false},
    {"few strata with blocks", {5, 9, 4, 1, 3, 4, .2, .05, 0, VARIANCES}, {.hybrids_random = true}, false},
    {"two batches", {6, 6, 40, 1, 4, 0, .2, .05, 0, VARIANCES}, {0}, false},
    {"no cells", {6, 9, 4, 1, 3, 4, .2, .05, 0, VARIANCES}, {.no_cells = true}, false},
    {"many strata", {7, 40, 3, 1, 4, 7, .2, .05, 0, VARIANCES}, {0}, false},
    {"many strata, random", {8, 40, 3, 1, 4, 7, .2, .05, 0, VARIANCES}, {.hybrids_random = true}, false},
    {"many strata, all random and fixed",
     {9, 40, 3, 1, 4, 7, .2, .05, 0, VARIANCES},
     {.hybrids_random = true, .environments_fixed = true},
     false},
    {"many strata, fixed", {9, 40, 3, 1, 4, 7, .2, .05, 0, VARIANCES}, {.environments_fixed = true}, false},
    {"many strata, levels", {9, 40, 3, 1, 4, 7, .2, .05, 0, VARIANCES}, {.environments_fixed = true}, true},
    {"many strata, errors",
     {10, 40, 3, 1, 4, 7, .2, .05, .5, VARIANCES},
     {.error_by_environment = true, .hybrids_random = true},
     false},
    {"two chunks", {11, 280, 2, 1, 2, 15, .2, .05, 0, VARIANCES}, {.hybrids_random = true}, false},
    {"years", {12, 8, 3, 3, 2, 0, .2, .05, 0, VARIANCES}, {0}, false},
    {"years, random", {13, 8, 3, 3, 2, 0, .2, .05, 0, VARIANCES}, {.hybrids_random = true}, false},
    {"years, fixed", {14, 8, 3, 3, 2, 0, .2, .05, 0, VARIANCES}, {.environments_fixed = true}, false},
    {"years, levels", {14, 8, 3, 3, 2, 0, .2, .05, 0, VARIANCES}, {.environments_fixed = true}, true},
    {"years, errors",
     {15, 8, 3, 3, 2, 0, .2, .05, .5, VARIANCES},
     {.hybrids_random = true, .error_by_environment = true},
     false},
    {"years, many strata", {16, 30, 2, 2, 3, 5, .2, .05, 0, VARIANCES}, {.hybrids_random = true}, false},
};

/* ---- a problem --------------------------------------------------------------------------------------------------- */

typedef struct {
  const setting *setting;
  made_plots plots;
  cks_arena *arena;
  cks_reml *reml;
  const bool *used;
  size_t n; /* components */
  double *theta, *gradient, *other, *information;
  size_t n_wrong;
} problem;

static void evaluate(problem *p, const double *theta, double *minus2, double *gradient, double *information)
{
  cks_error error = {0};
  if (cks_reml_evaluate(p->reml, theta, minus2, gradient, information, &error) != CKS_OK) fail_msg("%s", error.text);
}

/* theta: unlike each other, and unlike what the data were drawn with. */
static problem begin(const setting *s)
{
  problem p = {.setting = s, .plots = make_plots(&s->design), .arena = cks_arena_new()};
  cks_error error = {0};
  cks_reml *by_place = NULL;
  assert_true(p.plots.data.n > 0);
  if (cks_reml_new(&p.plots.data, &s->model, p.arena, &by_place, &error) != CKS_OK) fail_msg("%s", error.text);
  p.reml = by_place;
  if (s->levels) assert_int_equal(cks_reml_with_levels(by_place, p.arena, &p.reml, &error), CKS_OK);
  const cks_reml_fit *fit = cks_reml_result(p.reml);
  p.n = fit->n_theta;
  p.used = fit->used;
  p.theta = cks_arena_take(p.arena, p.n, sizeof *p.theta);
  p.gradient = cks_arena_take(p.arena, p.n, sizeof *p.gradient);
  p.other = cks_arena_take(p.arena, p.n, sizeof *p.other);
  p.information = cks_arena_take(p.arena, p.n * p.n, sizeof *p.information);
  for (size_t k = 0; k < p.n; k++)
    if (p.used[k]) p.theta[k] = (k >= CKS_REML_ERROR ? 1.2 : .4) + .13 * (double)(k % 5);
  return p;
}

static void end(problem *p)
{
  cks_arena_free(p->arena);
  made_plots_release(&p->plots);
  assert_int_equal(p->n_wrong, 0);
}

static void expect(problem *p, const char *what, size_t k, double actual, double expected, double within, double scale)
{
  double size = fmax(fabs(expected), scale);
  if (fabs(actual - expected) <= within * size) return;
  p->n_wrong++;
  print_error("%s: %s %zu is %.15g, expected %.15g within %g (off by %.2g)\n", p->setting->name, what, k, actual,
              expected, within, fabs(actual - expected) / size);
}

/* ---- differences ------------------------------------------------------------------------------------------------- */

enum { ROWS = 6 };

/* Derivative by component k: central differences at steps halved again and again, taken to step 0 (Richardson 1911, from
 * memory); at 0 forward ones. */
static double difference(problem *p, size_t k)
{
  double table[ROWS][ROWS], *at = calloc(p->n, sizeof *at), up, down;
  bool central = p->theta[k] > 0;
  assert_non_null(at);
  memcpy(at, p->theta, p->n * sizeof *at);
  for (size_t i = 0; i < ROWS; i++) {
    double by = (central ? .2 * p->theta[k] : 1 / (double)p->plots.data.n) / (double)(1 << i);
    at[k] = p->theta[k] + by;
    evaluate(p, at, &up, NULL, NULL);
    at[k] = p->theta[k] - (central ? by : 0);
    evaluate(p, at, &down, NULL, NULL);
    table[i][0] = (up - down) / (central ? 2 * by : by);
    double ratio = 1;
    for (size_t j = 1; j <= i; j++) {
      ratio *= central ? 4 : 2;
      table[i][j] = table[i][j - 1] + (table[i][j - 1] - table[i - 1][j - 1]) / (ratio - 1);
    }
  }
  free(at);
  return table[ROWS - 1][ROWS - 1];
}

static double scale_of(const problem *p, size_t k) { return 1 / (p->theta[k] > .1 ? p->theta[k] : 1); }

/* Eight digits; at 0 six, for forward differences lose two of them. */
static void check_gradient(problem *p)
{
  double minus2, *gradient = p->gradient;
  evaluate(p, p->theta, &minus2, gradient, NULL);
  for (size_t k = 0; k < p->n; k++)
    if (p->used[k])
      expect(p, p->theta[k] > 0 ? "gradient" : "gradient at zero", k, gradient[k], difference(p, k),
             p->theta[k] > 0 ? 1e-8 : 1e-6, scale_of(p, k));
    else
      assert_true(gradient[k] == 0);
}

static void gradient_equals_differences(void **state)
{
  (void)state;
  for (size_t i = 0; i < sizeof settings / sizeof *settings; i++) {
    problem p = begin(&settings[i]);
    check_gradient(&p);
    end(&p);
  }
}

static void gradient_when_a_component_is_zero_then_equals_one_sided_differences(void **state)
{
  (void)state;
  for (size_t i = 0; i < sizeof settings / sizeof *settings; i++)
    for (size_t k = 0; k < CKS_REML_ERROR && settings[i].design.hybrids < CHUNK; k++) {
      problem p = begin(&settings[i]);
      if (p.used[k]) {
        p.theta[k] = 0;
        check_gradient(&p);
      }
      end(&p);
    }
}

/* All components inside and across places 0 at once: plain least squares. */
static void gradient_when_all_components_are_zero_then_equals_one_sided_differences(void **state)
{
  (void)state;
  for (size_t i = 0; i < sizeof settings / sizeof *settings; i++) {
    problem p = begin(&settings[i]);
    memset(p.theta, 0, CKS_REML_ERROR * sizeof *p.theta);
    if (settings[i].design.hybrids < CHUNK) check_gradient(&p);
    end(&p);
  }
}

/* ---- definitions -------------------------------------------------------------------------------------------------- */

typedef struct {
  size_t n, p;
  double *x, *v, *projection, *py; /* n x p, n x n (V^-1 at the end), n x n, n */
  double minus2;
} dense;

/* Which level of component k a plot stands in. */
static uint64_t level_of(const problem *p, size_t k, size_t plot)
{
  const made_plots *m = &p->plots;
  uint64_t environment = m->environment[plot], hybrid = m->hybrid[plot];
  switch (k) {
  case CKS_REML_ENVIRONMENT:
    return environment;
  case CKS_REML_REP:
    return environment << 32 | m->rep[plot];
  case CKS_REML_BLOCK:
    return (environment << 16 | m->rep[plot]) << 32 | m->block[plot];
  case CKS_REML_CELL:
    return environment << 32 | hybrid;
  case CKS_REML_HYBRID:
    return hybrid;
  case CKS_REML_BY_LOCATION:
    return hybrid << 32 | m->location[environment];
  case CKS_REML_BY_YEAR:
    return hybrid << 32 | m->year[environment];
  default:
    return plot;
  }
}

/* An entry of V_k. */
static double share(const problem *p, size_t k, size_t a, size_t b)
{
  bool other_error =
      p->setting->model.error_by_environment && k >= CKS_REML_ERROR && p->plots.environment[a] != k - CKS_REML_ERROR;
  return level_of(p, k, a) == level_of(p, k, b) && !other_error;
}

/* A mean, or an indicator a hybrid or environment; of both, no first environment. */
static void fill_x(const problem *p, dense *d)
{
  const cks_reml_data *data = &p->plots.data;
  bool hybrids = !p->setting->model.hybrids_random, environments = p->setting->model.environments_fixed;
  size_t first = hybrids ? data->n_hybrid : 0;
  d->p = first + (environments ? data->n_environment - hybrids : 0);
  d->p += d->p == 0;
  d->x = calloc(d->n * d->p, sizeof *d->x);
  assert_non_null(d->x);
  for (size_t i = 0; i < d->n; i++) {
    size_t environment = data->environment[i];
    if (hybrids) d->x[i * d->p + data->hybrid[i]] = 1;
    if (environments && !(hybrids && !environment)) d->x[i * d->p + first + environment - hybrids] = 1;
    if (!hybrids && !environments) d->x[i] = 1;
  }
}

/* a becomes its inverse; its log-determinant. */
static double invert(double *a, size_t n)
{
  gsl_matrix_view view = gsl_matrix_view_array(a, n, n);
  double log_det = 0;
  assert_int_equal(gsl_linalg_cholesky_decomp1(&view.matrix), 0);
  for (size_t i = 0; i < n; i++) log_det += 2 * log(a[i * n + i]);
  gsl_linalg_cholesky_invert(&view.matrix);
  return log_det;
}

static void multiply(const double *a, bool turned, const double *b, size_t n, size_t m, size_t inner, double by,
                     double with, double *to)
{
  cblas_dgemm(CblasRowMajor, turned ? CblasTrans : CblasNoTrans, CblasNoTrans, (int)n, (int)m, (int)inner, by, a,
              (int)(turned ? n : inner), b, (int)m, with, to, (int)m);
}

static dense define(const problem *p)
{
  dense d = {.n = p->plots.data.n};
  size_t n = d.n;
  fill_x(p, &d);
  d.v = calloc(n * n, sizeof *d.v);
  d.projection = calloc(n * n, sizeof *d.projection);
  d.py = calloc(n, sizeof *d.py);
  double *vx = calloc(n * d.p, sizeof *vx), *c = calloc(d.p * d.p, sizeof *c), *cxv = calloc(n * d.p, sizeof *cxv),
         *turned = calloc(n * d.p, sizeof *turned);
  assert_true(d.v && d.projection && d.py && vx && c && cxv && turned);
  for (size_t k = 0; k < p->n; k++)
    for (size_t i = 0; i < n * n && p->theta[k] > 0; i++) d.v[i] += p->theta[k] * share(p, k, i / n, i % n);
  d.minus2 = invert(d.v, n);
  multiply(d.v, false, d.x, n, d.p, n, 1, 0, vx);
  multiply(d.x, true, vx, d.p, d.p, n, 1, 0, c);
  d.minus2 += invert(c, d.p);
  for (size_t i = 0; i < n * d.p; i++) turned[i % d.p * n + i / d.p] = vx[i];
  multiply(c, false, turned, d.p, n, d.p, 1, 0, cxv);
  memcpy(d.projection, d.v, n * n * sizeof *d.v);
  multiply(vx, false, cxv, n, n, d.p, -1, 1, d.projection);
  multiply(d.projection, false, p->plots.y, n, 1, n, 1, 0, d.py);
  d.minus2 += cblas_ddot((int)n, p->plots.y, 1, d.py, 1) + (double)(n - d.p) * log(2 * 3.14159265358979323846);
  free(turned);
  free(cxv);
  free(c);
  free(vx);
  return d;
}

static void release(dense *d)
{
  free(d->x);
  free(d->v);
  free(d->projection);
  free(d->py);
}

/* to = V_k P y, matrix = V_k P. */
static void share_times(const problem *p, const dense *d, size_t k, double *to, double *matrix)
{
  size_t n = d->n;
  memset(to, 0, n * sizeof *to);
  memset(matrix, 0, n * n * sizeof *matrix);
  for (size_t a = 0; a < n; a++)
    for (size_t b = 0; b < n; b++) {
      if (share(p, k, a, b) == 0) continue;
      to[a] += d->py[b];
      cblas_daxpy((int)n, 1, d->projection + b * n, 1, matrix + a * n, 1);
    }
}

/* tr(a b) */
static double trace_of_product(const double *a, const double *b, size_t n)
{
  double sum = 0;
  for (size_t i = 0; i < n; i++) sum += cblas_ddot((int)n, a + i * n, 1, b + i, (int)n);
  return sum;
}

/* The Hessian's entry by differences of the gradient. */
static double second_difference(problem *p, size_t k, size_t l)
{
  double minus2, up, by = 1e-3 * p->theta[k], own = p->theta[k];
  p->theta[k] = own + by;
  evaluate(p, p->theta, &minus2, p->other, NULL);
  up = p->other[l];
  p->theta[k] = own - by;
  evaluate(p, p->theta, &minus2, p->other, NULL);
  p->theta[k] = own;
  return (up - p->other[l]) / (2 * by);
}

static void check_definitions(problem *p)
{
  dense d = define(p);
  size_t n = d.n, at[2 * TERMS], m = 0;
  double minus2, *fy = calloc(2 * n, sizeof *fy), *left = calloc(n * n, sizeof *left),
                 *right = calloc(n * n, sizeof *right);
  assert_true(fy && left && right);
  evaluate(p, p->theta, &minus2, p->gradient, p->information);
  expect(p, "-2 log REML", 0, minus2, d.minus2, 1e-11, 0);
  for (size_t k = 0; k < p->n; k++)
    if (p->used[k]) at[m++] = k;
  for (size_t i = 0; i < m; i++) {
    size_t k = at[i];
    share_times(p, &d, k, fy, left);
    double trace = 0;
    for (size_t a = 0; a < n; a++) trace += left[a * n + a];
    expect(p, "gradient", k, p->gradient[k], trace - cblas_ddot((int)n, d.py, 1, fy, 1), 1e-9, scale_of(p, k));
    for (size_t j = 0; j <= i; j++) {
      size_t l = at[j];
      double average = p->information[k * p->n + l], scale = sqrt(scale_of(p, k) * scale_of(p, l));
      share_times(p, &d, l, fy + n, right);
      double *pf = calloc(n, sizeof *pf);
      assert_non_null(pf);
      multiply(d.projection, false, fy + n, n, 1, n, 1, 0, pf);
      expect(p, "average information", k * 100 + l, average, cblas_ddot((int)n, fy, 1, pf, 1), 1e-9, scale);
      expect(p, "average information, turned", k * 100 + l, p->information[l * p->n + k], average, 1e-12, scale);
      free(pf);
      if (n < 100 && p->theta[k] > .1)
        expect(p, "Hessian", k * 100 + l, 2 * average - trace_of_product(left, right, n), second_difference(p, k, l),
               1e-4, scale);
    }
  }
  free(right);
  free(left);
  free(fy);
  release(&d);
}

/* at: what every second component is. */
static void check_all_definitions(double at)
{
  for (size_t i = 0; i < sizeof settings / sizeof *settings; i++) {
    problem p = begin(&settings[i]);
    for (size_t k = 0; k < CKS_REML_ERROR && at < 1; k += 2)
      if (p.used[k]) p.theta[k] = at;
    if (p.plots.data.n < 300) check_definitions(&p);
    end(&p);
  }
}

static void all_equal_their_definitions(void **state)
{
  (void)state;
  check_all_definitions(1);
}

static void all_when_components_are_zero_then_equal_their_definitions(void **state)
{
  (void)state;
  check_all_definitions(0);
}

/* So small that a trace is not taken from a difference to 1. */
static void all_when_components_are_next_to_zero_then_equal_their_definitions(void **state)
{
  (void)state;
  check_all_definitions(1e-7);
  check_all_definitions(1e-5);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(gradient_equals_differences),
      cmocka_unit_test(gradient_when_a_component_is_zero_then_equals_one_sided_differences),
      cmocka_unit_test(gradient_when_all_components_are_zero_then_equals_one_sided_differences),
      cmocka_unit_test(all_equal_their_definitions),
      cmocka_unit_test(all_when_components_are_zero_then_equal_their_definitions),
      cmocka_unit_test(all_when_components_are_next_to_zero_then_equal_their_definitions),
  };
  return cmocka_run_group_tests(tests, test_start, NULL);
}
