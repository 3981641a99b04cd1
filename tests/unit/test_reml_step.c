/*
 * test_reml_step.c: the bounded step is the minimum of a quadratic over d >= low: its conditions are those of Karush, Kuhn &
 * Tucker (slope 0 off the bounds, not below 0 on them), which are enough, as the quadratic is convex.
 */
#include "../../src/math/dense.h"
#include "../../src/math/reml_step.h"
#include "support/support.h"

#include <math.h>
#include <string.h>

enum { MOST = 12, PROBLEMS = 500 };

typedef struct {
  size_t n;
  bool open[MOST];
  double gradient[MOST], hessian[MOST * MOST], low[MOST], step[MOST];
} problem;

/* Hessian A'A + ridge, of components of unlike size. */
static problem draw(test_random *random, double bound)
{
  problem p = {.n = 1 + test_below(random, MOST)};
  double a[MOST * MOST], size[MOST];
  for (size_t k = 0; k < p.n; k++) {
    p.open[k] = true;
    size[k] = exp(2 * test_normal(random));
    p.low[k] = -bound * test_uniform(random) / size[k];
    p.gradient[k] = test_normal(random) * size[k];
    for (size_t l = 0; l < p.n; l++) a[k * p.n + l] = test_normal(random);
  }
  for (size_t k = 0; k < p.n; k++)
    for (size_t l = 0; l < p.n; l++) {
      double sum = k == l ? .1 : 0;
      for (size_t i = 0; i < p.n; i++) sum += a[i * p.n + k] * a[i * p.n + l];
      p.hessian[k * p.n + l] = sum * size[k] * size[l];
    }
  return p;
}

static double slope(const problem *p, size_t k)
{
  double sum = p->gradient[k];
  for (size_t l = 0; l < p->n; l++) sum += p->open[l] ? p->hessian[k * p->n + l] * p->step[l] : 0;
  return sum;
}

static void find_step(problem *p)
{
  assert_int_equal(cks_reml_bounded_step(p->n, p->open, p->gradient, p->hessian, p->low, p->step, NULL), CKS_OK);
}

static void step_when_no_bound_is_near_then_solves(void **state)
{
  test_random random = {11};
  (void)state;
  for (int i = 0; i < PROBLEMS; i++) {
    problem p = draw(&random, 1);
    double a[MOST * MOST], x[MOST];
    for (size_t k = 0; k < p.n; k++) {
      p.low[k] = -INFINITY;
      x[k] = -p.gradient[k];
    }
    memcpy(a, p.hessian, sizeof a);
    assert_int_equal(cks_dense_solve(p.n, a, x, NULL), CKS_OK);
    find_step(&p);
    for (size_t k = 0; k < p.n; k++)
      assert_true(fabs(p.step[k] - x[k]) < 1e-6 * (fabs(x[k]) + 1 / sqrt(p.hessian[k * p.n + k])));
  }
}

static void step_when_bounds_are_near_then_meets_the_conditions(void **state)
{
  test_random random = {12};
  size_t n_bound = 0, n_free = 0;
  (void)state;
  for (int i = 0; i < PROBLEMS; i++) {
    problem p = draw(&random, .5);
    for (size_t k = 0; k < p.n && i % 3 == 0; k++) p.open[k] = k == 0 || test_below(&random, 4) > 0;
    find_step(&p);
    for (size_t k = 0; k < p.n; k++) {
      double size = sqrt(p.hessian[k * p.n + k]); /* a slope's natural unit */
      assert_true(!p.open[k] ? p.step[k] == 0 : p.step[k] >= p.low[k]);
      if (!p.open[k]) continue;
      bool bound = p.step[k] == p.low[k]; /* exactly: a component at zero is 0 */
      n_bound += bound;
      n_free += !bound;
      assert_true(bound ? slope(&p, k) > -1e-6 * size : fabs(slope(&p, k)) < 1e-6 * size);
    }
  }
  assert_true(n_bound > PROBLEMS && n_free > PROBLEMS); /* both were met */
}

static void step_when_at_the_bound_and_leaving_pays_then_leaves(void **state)
{
  (void)state;
  problem p = {.n = 2, .open = {true, true}, .gradient = {-2, 1}, .hessian = {1, 0, 0, 1}, .low = {0, 0}};
  find_step(&p);
  assert_close(p.step[0], 2, 1e-9);
  assert_true(p.step[1] == 0);
}

/* Two components that cannot be told apart: the step is one of many, and it is finite. */
static void step_when_hessian_is_singular_then_meets_the_conditions(void **state)
{
  (void)state;
  problem p = {.n = 2, .open = {true, true}, .gradient = {-1, -1}, .hessian = {1, 1, 1, 1}, .low = {-1, -1}};
  find_step(&p);
  assert_close(p.step[0] + p.step[1], 1, 1e-6);
}

/* As of an error variance when nothing is left of the values: its average information is 0. */
static void step_when_there_is_no_curvature_then_goes_downhill_to_the_bound(void **state)
{
  (void)state;
  problem p = {.n = 2, .open = {true, true}, .gradient = {3, -1}, .hessian = {0, 0, 0, 2}, .low = {-.8, -1}};
  find_step(&p);
  assert_true(p.step[0] == p.low[0]);
  assert_close(p.step[1], .5, 1e-9);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(step_when_no_bound_is_near_then_solves),
      cmocka_unit_test(step_when_bounds_are_near_then_meets_the_conditions),
      cmocka_unit_test(step_when_at_the_bound_and_leaving_pays_then_leaves),
      cmocka_unit_test(step_when_hessian_is_singular_then_meets_the_conditions),
      cmocka_unit_test(step_when_there_is_no_curvature_then_goes_downhill_to_the_bound),
  };
  return cmocka_run_group_tests(tests, test_start, NULL);
}
