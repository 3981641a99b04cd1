/*
 * test_reml.c: the REML engine: what must hold of any data, and balanced data against the analysis of variance. Its
 * derivatives are in test_reml_derivatives.c, data that tell too little in test_reml_little.c.
 */
#include "reml_fixture.h"
#include "support/make_plots.h"

#include <math.h>
#include <stdlib.h>

enum { MOST_THETA = 24, MOST_HYBRIDS = 64 };

#define VARIANCES .variance = {2, .5, .6, .7, 1, .4, .3, 1.5}

static const made_design designs[] = {
    {21, 9, 5, 1, 3, 0, .2, .05, 0, VARIANCES},                              /* complete blocks */
    {22, 24, 4, 1, 3, 4, .2, .05, 0, VARIANCES},                             /* incomplete blocks, 18 strata a place */
    {23, 8, 4, 3, 2, 0, .2, .05, 0, VARIANCES},                              /* years */
    {24, 9, 5, 1, 3, 3, .2, .05, 0, .variance = {2, 0, 0, 0, 0, 0, 0, 1.5}}, /* some components come out 0 */
};

enum { N_DESIGN = sizeof designs / sizeof *designs };

/* ---- the top ------------------------------------------------------------------------------------------------------ */

static void estimate_then_score_is_zero_or_the_bound_holds(void **state)
{
  size_t n_bound = 0;
  (void)state;
  for (size_t i = 0; i < N_DESIGN * N_MODEL; i++) {
    made_plots plots = make_plots(&designs[i / N_MODEL]);
    fitted f = fit(&plots.data, &models[i % N_MODEL]);
    double minus2, gradient[MOST_THETA], own = f.fit->theta[CKS_REML_ERROR];
    assert_int_equal(f.fit->outcome, CKS_REML_CONVERGED);
    assert_int_equal(cks_reml_evaluate(f.reml, f.fit->theta, &minus2, gradient, NULL, NULL), CKS_OK);
    assert_close(minus2, f.fit->minus2, 1e-12);
    for (size_t k = 0; k < f.fit->n_theta; k++) {
      double theta = f.fit->theta[k];
      n_bound += f.fit->used[k] && theta == 0;
      assert_true(theta >= 0);
      assert_true(theta > 0 ? fabs(gradient[k]) * theta < 1e-4 : gradient[k] * own > -1e-4);
    }
    release(&f);
    made_plots_release(&plots);
  }
  assert_true(n_bound > 0); /* such a set is among them */
}

/* A design of any kind, its variances often 0. */
static made_design draw(test_random *random)
{
  static const double variances[] = {0, .05, .5, 3};
  made_design d = {.seed = 1000 * test_below(random, 1000),
                   .hybrids = 4 + test_below(random, 10),
                   .locations = 2 + test_below(random, 7),
                   .years = 1 + test_below(random, 2),
                   .reps = 2 + test_below(random, 2),
                   .block_size = test_below(random, 2) * 4,
                   .empty = .25,
                   .lost = .05,
                   .spread = .3};
  for (size_t k = 0; k < CKS_REML_ERROR; k++) d.variance[k] = variances[test_below(random, 4)];
  d.variance[CKS_REML_ERROR] = 1;
  return d;
}

static void check_all_df(const cks_reml_inference *i)
{
  assert_true(i->f >= 0 && i->den_df > 0 && i->df_smallest > 0);
  for (size_t k = 0; k < i->n * i->n; k++)
    assert_true(i->df[k] > 0 && i->df[k] >= (k % (i->n + 1) ? i->df_smallest : 0));
  for (size_t k = 0; k < i->n; k++) assert_true(i->covariance[k * (i->n + 1)] > 0);
}

static void designs_when_drawn_then_all_converge_and_all_figures_are_numbers(void **state)
{
  enum { DRAWN = 60 };
  test_random random = {61};
  (void)state;
  for (size_t i = 0; i < DRAWN * N_MODEL; i++) {
    made_design d = draw(&random);
    made_plots plots = make_plots(&d);
    fitted f = fit(&plots.data, &models[i % N_MODEL]);
    assert_true(f.fit->outcome == CKS_REML_CONVERGED ||
                (f.fit->outcome == CKS_REML_NO_ERROR && models[i % N_MODEL].error_by_environment));
    if (f.fit->outcome == CKS_REML_CONVERGED && models[i % N_MODEL].hybrids_random) {
      cks_reml_prediction p = predict(&f);
      assert_true(p.repeatability >= 0 && p.repeatability < 1);
    } else if (f.fit->outcome == CKS_REML_CONVERGED && f.fit->n_set == 1) {
      cks_reml_inference adjusted = infer(&f, CKS_REML_KENWARD_ROGER), plain = infer(&f, CKS_REML_SATTERTHWAITE);
      check_all_df(&adjusted);
      check_all_df(&plain);
    }
    release(&f);
    made_plots_release(&plots);
  }
}

/* ---- what changes nothing ----------------------------------------------------------------------------------------- */

/* What two fits of the same values in two forms must share: b is of values by * y + shift, hybrids and environments renamed. */
static void check_alike(fitted *a, fitted *b, const cks_reml_model *model, double by, double shift,
                        const uint32_t *hybrid, const uint32_t *environment)
{
  const double within = 1e-9;
  size_t g = a->fit->n_hybrid;
  assert_int_equal(a->fit->outcome, CKS_REML_CONVERGED);
  assert_int_equal(b->fit->outcome, CKS_REML_CONVERGED);
  for (size_t k = 0; k < a->fit->n_theta; k++) {
    size_t to =
        model->error_by_environment && k >= CKS_REML_ERROR ? CKS_REML_ERROR + environment[k - CKS_REML_ERROR] : k;
    assert_close(b->fit->theta[to], a->fit->theta[k] * by * by, within);
    assert_int_equal(b->fit->used[to], a->fit->used[k]);
  }
  if (model->hybrids_random) {
    cks_reml_prediction p = predict(a), q = predict(b);
    for (size_t i = 0; i < g; i++) {
      assert_true(fabs(q.effect[hybrid[i]] / by - p.effect[i]) < within);
      assert_close(q.reliability[hybrid[i]], p.reliability[i], within);
    }
    assert_close(q.mean, p.mean * by + shift, within);
    assert_close(q.repeatability, p.repeatability, within);
    return;
  }
  for (int method = CKS_REML_KENWARD_ROGER; method <= CKS_REML_SATTERTHWAITE; method++) {
    cks_reml_inference p = infer(a, (cks_reml_df)method), q = infer(b, (cks_reml_df)method);
    for (size_t i = 0; i < g; i++) {
      assert_close(q.mean[hybrid[i]], p.mean[i] * by + shift, within);
      for (size_t k = 0; k <= i; k++) {
        size_t to = hybrid[i] * g + hybrid[k];
        assert_true(fabs(q.covariance[to] / by / by - p.covariance[i * g + k]) < within);
        assert_close(q.df[to], p.df[i * g + k], 1e-5);
      }
    }
    assert_close(q.f, p.f, within);
    assert_close(q.den_df, p.den_df, 1e-5);
    assert_close(q.df_smallest, p.df_smallest, 1e-5);
    assert_close(q.df_median, p.df_median, 1e-5);
  }
}

static void number(uint32_t *to, size_t n, bool turned)
{
  for (size_t i = 0; i < n; i++) to[i] = (uint32_t)(turned ? (i * 5 + 3) % n : i); /* n and 5: no common divisor */
}

static void check_scaled(double by, double shift)
{
  for (size_t i = 0; i < N_DESIGN * N_MODEL; i++) {
    uint32_t same[MOST_HYBRIDS];
    made_plots plots = make_plots(&designs[i / N_MODEL]), scaled = make_plots(&designs[i / N_MODEL]);
    for (size_t p = 0; p < plots.data.n; p++) scaled.y[p] = plots.y[p] * by + shift;
    fitted a = fit(&plots.data, &models[i % N_MODEL]), b = fit(&scaled.data, &models[i % N_MODEL]);
    number(same, MOST_HYBRIDS, false);
    check_alike(&a, &b, &models[i % N_MODEL], by, shift, same, same);
    if (by == 1) assert_close(a.fit->minus2, b.fit->minus2, 1e-10);
    release(&a);
    release(&b);
    made_plots_release(&plots);
    made_plots_release(&scaled);
  }
}

static void values_when_scaled_then_components_are_by_the_square(void **state)
{
  (void)state;
  check_scaled(100, 0);
  check_scaled(1e-3, 0);
}

static void values_when_a_constant_is_added_then_nothing_else_changes(void **state)
{
  (void)state;
  check_scaled(1, 1e4);
}

/* The same plots backwards, hybrids, environments, reps and blocks numbered otherwise. */
static made_plots shuffled(const made_design *d, const uint32_t *hybrid, const uint32_t *environment)
{
  made_plots from = make_plots(d), to = make_plots(d);
  size_t n = from.data.n;
  for (size_t p = 0; p < n; p++) {
    size_t q = n - 1 - p;
    to.hybrid[q] = hybrid[from.hybrid[p]];
    to.environment[q] = environment[from.environment[p]];
    to.rep[q] = 1000 - from.rep[p];
    to.block[q] = d->block_size ? 3 * from.block[p] + 7 : CKS_NONE;
    to.y[q] = from.y[p];
  }
  for (size_t j = 0; j < from.data.n_environment; j++) {
    to.location[environment[j]] = (uint32_t)d->locations - 1 - from.location[j];
    to.year[environment[j]] = (uint32_t)d->years - 1 - from.year[j];
  }
  made_plots_release(&from);
  return to;
}

static void plots_when_in_another_order_then_nothing_changes(void **state)
{
  (void)state;
  for (size_t i = 0; i < N_DESIGN * N_MODEL; i++) {
    const made_design *d = &designs[i / N_MODEL];
    uint32_t hybrid[MOST_HYBRIDS], environment[MOST_HYBRIDS];
    number(hybrid, d->hybrids, true);
    number(environment, d->locations * d->years, d->locations * d->years % 5 != 0);
    made_plots plots = make_plots(d), other = shuffled(d, hybrid, environment);
    fitted a = fit(&plots.data, &models[i % N_MODEL]), b = fit(&other.data, &models[i % N_MODEL]);
    assert_close(a.fit->minus2, b.fit->minus2, 1e-11);
    check_alike(&a, &b, &models[i % N_MODEL], 1, 0, hybrid, environment);
    release(&a);
    release(&b);
    made_plots_release(&plots);
    made_plots_release(&other);
  }
}

/* At the same components, and not where a climb stopped, even the last digits agree. */
static void likelihood_when_plots_are_in_another_order_then_the_same(void **state)
{
  (void)state;
  for (size_t i = 0; i < N_DESIGN * N_MODEL; i++) {
    const made_design *d = &designs[i / N_MODEL];
    uint32_t hybrid[MOST_HYBRIDS], environment[MOST_HYBRIDS];
    number(hybrid, d->hybrids, true);
    number(environment, d->locations * d->years, false);
    made_plots plots = make_plots(d), other = shuffled(d, hybrid, environment);
    fitted a = fit(&plots.data, &models[i % N_MODEL]), b = fit(&other.data, &models[i % N_MODEL]);
    double minus2[2], gradient[2][MOST_THETA];
    assert_int_equal(cks_reml_evaluate(a.reml, a.fit->theta, &minus2[0], gradient[0], NULL, NULL), CKS_OK);
    assert_int_equal(cks_reml_evaluate(b.reml, a.fit->theta, &minus2[1], gradient[1], NULL, NULL), CKS_OK);
    assert_close(minus2[1], minus2[0], 1e-13);
    for (size_t k = 0; k < a.fit->n_theta; k++)
      assert_true(fabs(gradient[1][k] - gradient[0][k]) < 1e-9 * fmax(1, fabs(gradient[0][k])));
    release(&a);
    release(&b);
    made_plots_release(&plots);
    made_plots_release(&other);
  }
}

/* ---- sampled df ---------------------------------------------------------------------------------------------------- */

static void df_when_sampled_then_means_and_f_are_the_same_and_df_are_near(void **state)
{
  static const cks_reml_model fixed[] = {{0}, {.environments_fixed = true}, {.error_by_environment = true}};
  (void)state;
  for (size_t i = 0; i < N_DESIGN * 3; i++) {
    made_plots plots = make_plots(&designs[i / 3]);
    fitted a = fit(&plots.data, &fixed[i % 3]), b = fit(&plots.data, &fixed[i % 3]);
    cks_reml_inference each = infer(&a, CKS_REML_SATTERTHWAITE), some = infer(&b, CKS_REML_SAMPLED);
    size_t g = each.n;
    double smallest = INFINITY, largest = 0;
    for (size_t k = 0; k < g; k++) {
      assert_close(some.mean[k], each.mean[k], 1e-9);
      for (size_t l = 0; l < g; l++) {
        assert_true(fabs(some.covariance[k * g + l] - each.covariance[k * g + l]) < 1e-9);
        if (k != l) smallest = fmin(smallest, each.df[k * g + l]), largest = fmax(largest, each.df[k * g + l]);
      }
    }
    assert_null(some.df);
    assert_close(some.f, each.f, 1e-9);
    assert_true(each.df_smallest == smallest);
    /* by the average information instead of the observed one: near */
    assert_true(some.df_smallest > .7 * smallest && some.df_smallest < 1.3 * largest);
    assert_true(some.df_median > .7 * smallest && some.df_median < 1.3 * largest);
    assert_true(some.df_smallest <= some.df_median && some.den_df == some.df_smallest);
    release(&a);
    release(&b);
    made_plots_release(&plots);
  }
}

/* ---- balanced data ------------------------------------------------------------------------------------------------- */

/* Mean squares of hybrids at places in reps: rep in place, hybrid, place, hybrid x place, error. */
typedef struct {
  double place, rep, hybrid, cell, error;
} squares;

static double square(double x) { return x * x; }

/* Plots stand place by place, rep by rep; the value of hybrid i in rep r of place j is value[(j * reps + r) * g + i]. */
static squares analyze(const double *value, size_t g, size_t places, size_t reps)
{
  double all = 0, n = (double)(g * places * reps);
  double *h = calloc(g, sizeof *h), *p = calloc(places, sizeof *p), *c = calloc(g * places, sizeof *c),
         *r = calloc(places * reps, sizeof *r);
  squares s = {0};
  assert_true(h && p && c && r);
  for (size_t k = 0; k < g * places * reps; k++) {
    size_t i = k % g, rep = k / g, j = rep / reps;
    all += value[k] / n;
    h[i] += value[k] / (double)(places * reps);
    p[j] += value[k] / (double)(g * reps);
    r[rep] += value[k] / (double)g;
    c[j * g + i] += value[k] / (double)reps;
  }
  for (size_t k = 0; k < g * places * reps; k++) {
    size_t i = k % g, rep = k / g, j = rep / reps;
    s.hybrid += square(h[i] - all);
    s.place += square(p[j] - all);
    s.rep += square(r[rep] - p[j]);
    s.cell += square(c[j * g + i] - h[i] - p[j] + all);
    s.error += square(value[k] - r[rep] - c[j * g + i] + p[j]);
  }
  double a = (double)g - 1, b = (double)places - 1, q = (double)places * ((double)reps - 1);
  s.hybrid /= a;
  s.place /= b;
  s.rep /= q;
  s.cell /= a * b;
  s.error /= a * q;
  free(h);
  free(p);
  free(c);
  free(r);
  return s;
}

/* Textbook: expected mean squares of the combined analysis with places random. */
static void components_when_balanced_then_those_of_the_analysis_of_variance(void **state)
{
  enum { G = 10, PLACES = 8, REPS = 4 };
  made_design d = {31, G, PLACES, 1, REPS, 0, 0, 0, 0, .variance = {4, 2, 0, 3, 5, 0, 0, 1}};
  made_plots plots = make_plots(&d);
  double value[G * PLACES * REPS];
  (void)state;
  assert_int_equal(plots.data.n, G * PLACES * REPS);
  for (size_t k = 0; k < plots.data.n; k++)
    value[(plots.environment[k] * REPS + plots.rep[k]) * G + plots.hybrid[k]] = plots.y[k];
  squares s = analyze(value, G, PLACES, REPS);
  double rep = (s.rep - s.error) / G, cell = (s.cell - s.error) / REPS,
         place = (s.place - s.cell - s.rep + s.error) / (G * REPS), hybrid = (s.hybrid - s.cell) / (PLACES * REPS);
  assert_true(rep > 0 && cell > 0 && place > 0 && hybrid > 0);
  for (size_t k = 0; k < N_MODEL; k++) {
    if (models[k].error_by_environment) continue;
    fitted f = fit(&plots.data, &models[k]);
    const double *theta = f.fit->theta;
    assert_close(theta[CKS_REML_ERROR], s.error, 1e-8);
    assert_close(theta[CKS_REML_REP], rep, 1e-7);
    assert_close(theta[CKS_REML_CELL], cell, 1e-7);
    if (!models[k].environments_fixed) assert_close(theta[CKS_REML_ENVIRONMENT], place, 1e-7);
    if (models[k].hybrids_random) {
      cks_reml_prediction p = predict(&f);
      assert_close(theta[CKS_REML_HYBRID], hybrid, 1e-7);
      assert_close(p.repeatability, 1 - s.cell / s.hybrid, 1e-7); /* 1 - 1 / F */
      assert_close(p.reliability[0], p.reliability[G - 1], 1e-9);
    } else {
      cks_reml_inference i = infer(&f, CKS_REML_KENWARD_ROGER);
      assert_close(i.f, s.hybrid / s.cell, 1e-7);
      assert_close(i.den_df, (G - 1) * (PLACES - 1), 1e-7);
      assert_close(i.df_smallest, (G - 1) * (PLACES - 1), 1e-7);
      assert_close(i.df_median, (G - 1) * (PLACES - 1), 1e-7);
    }
    release(&f);
  }
  made_plots_release(&plots);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(estimate_then_score_is_zero_or_the_bound_holds),
      cmocka_unit_test(designs_when_drawn_then_all_converge_and_all_figures_are_numbers),
      cmocka_unit_test(values_when_scaled_then_components_are_by_the_square),
      cmocka_unit_test(values_when_a_constant_is_added_then_nothing_else_changes),
      cmocka_unit_test(plots_when_in_another_order_then_nothing_changes),
      cmocka_unit_test(likelihood_when_plots_are_in_another_order_then_the_same),
      cmocka_unit_test(df_when_sampled_then_means_and_f_are_the_same_and_df_are_near),
      cmocka_unit_test(components_when_balanced_then_those_of_the_analysis_of_variance),
  };
  return cmocka_run_group_tests(tests, test_start, NULL);
}
