/*
 * test_assumptions.c: the tests of assumptions against published examples (03d_gear, 11a_insurance, 16_normality; the
 * sources stand there), and the rates at which they reject what is true.
 *
 * Rates: generated plots (GSL's generator, seeds printed) of one error variance; the share rejected at alpha .05 in 2,000
 * series must lie within three standard errors of what it is known to be; see property/rates.h. |residual|s are not
 * normal, so Levene's F is held to a table that is only near, and its rate is alpha only nearly.
 */
#include "property/rates.h"
#include "support/make_trial.h"
#include "support/support.h"

#include "../../src/analyze/analyze.h"
#include "../../src/analyze/nonadditivity.h"
#include "../../src/math/equal_variances.h"
#include "../../src/math/normality.h"

#include <gsl/gsl_randist.h>
#include <gsl/gsl_rng.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define FOLDER "tests/reference/"
enum { MOST = 1000 };

static json_t *expected_of(const char *set)
{
  char path[128];
  json_error_t why;
  snprintf(path, sizeof path, FOLDER "%s/expected.json", set);
  json_t *root = json_load_file(path, 0, &why);
  if (!root) fail_msg("%s: %s", path, why.text);
  return root;
}

/* The values whose first cell is `name`, of a file of two columns; returns how many. */
static size_t values_of(const char *set, const char *name, double *to)
{
  char path[128];
  size_t n = 0, length = strlen(name);
  snprintf(path, sizeof path, FOLDER "%s/data.csv", set);
  char *csv = test_read_file(path);
  for (const char *line = csv; *line; line += strcspn(line, "\n"), line += *line == '\n') {
    if (strncmp(line, name, length) != 0 || line[length] != ',') continue;
    assert_true(n < MOST);
    to[n++] = strtod(line + length + 1, NULL);
  }
  free(csv);
  return n;
}

static int compare(const void *left, const void *right)
{
  const double *a = left, *b = right;
  return *a < *b ? -1 : *a > *b;
}

/* ---- published -------------------------------------------------------------------------------------------------- */

typedef enum { ABOUT_MEAN, ABOUT_MEDIAN, ABOUT_TRIMMED } center;

/* The center of ten ordered values. */
static double center_of(const double *sorted, center about)
{
  double sum = 0, trimmed = 0;
  for (int i = 0; i < 10; i++) sum += sorted[i], trimmed += i > 0 && i < 9 ? sorted[i] : 0;
  return about == ABOUT_MEAN ? sum / 10 : about == ABOUT_MEDIAN ? (sorted[4] + sorted[5]) / 2 : trimmed / 8;
}

static void equal_variances_when_gears_then_as_published(void **state)
{
  (void)state;
  static const char *const names[] = {"mean", "median", "trimmed_mean_10_percent"};
  double value[10][MOST], variance[10], df[10], from[10][10];
  json_t *expected = expected_of("03d_gear");
  for (int j = 0; j < 10; j++) {
    char batch[16];
    snprintf(batch, sizeof batch, "%d", j + 1);
    assert_int_equal(values_of("03d_gear", batch, value[j]), 10);
    qsort(value[j], 10, sizeof value[j][0], compare);
    double mean = center_of(value[j], ABOUT_MEAN);
    variance[j] = 0;
    for (int i = 0; i < 10; i++) variance[j] += (value[j][i] - mean) * (value[j][i] - mean) / 9;
    df[j] = 9;
  }
  cks_variance_test test = cks_bartlett(10, variance, df);
  assert_close(test.statistic, test_json_number(expected, "bartlett.statistic"), 1e-10);
  assert_close(test.num_df, test_json_number(expected, "bartlett.df"), 0);
  assert_close(test.p, test_json_number(expected, "bartlett.p"), 1e-10);
  assert_close(test.statistic, 20.78580, 1e-5); /* as printed, single precision */
  for (int k = 0; k < 3; k++) {
    cks_residual_group group[10];
    for (int j = 0; j < 10; j++) {
      for (int i = 0; i < 10; i++) from[j][i] = value[j][i] - center_of(value[j], (center)k);
      group[j] = (cks_residual_group){10, from[j], 9};
    }
    json_t *at = json_object_get(json_object_get(expected, "levene"), names[k]);
    test = cks_levene(10, group);
    assert_close(test.statistic, test_json_number(at, "F"), 1e-10);
    assert_close(test.num_df, test_json_number(at, "df.0"), 0);
    assert_close(test.den_df, test_json_number(at, "df.1"), 0);
    assert_close(test.p, test_json_number(at, "p"), 1e-10);
    if (k == ABOUT_MEDIAN) assert_close(test.statistic, 1.705910, 1e-5);
  }
  json_decref(expected);
}

static void normality_when_computed_elsewhere_then_to_8_digits(void **state)
{
  (void)state;
  double value[MOST], room[MOST];
  const char *set;
  json_t *expected = expected_of("16_normality"), *at;
  size_t n_set = 0;
  json_object_foreach(json_object_get(expected, "shapiro_wilk"), set, at)
  {
    size_t n = values_of("16_normality", set, value);
    assert_close((double)n, test_json_number(at, "n"), 0);
    qsort(value, n, sizeof *value, compare);
    cks_normality test = cks_shapiro_wilk(n, value, room);
    assert_close(test.w, test_json_number(at, "W"), 1e-8);
    assert_close(test.p, test_json_number(at, "p"), 1e-6);
    n_set++;
  }
  assert_int_equal(n_set, 7);
  json_decref(expected);
}

static void normality_when_it_cannot_be_told_then_missing(void **state)
{
  (void)state;
  double *value = calloc(CKS_NORMALITY_MOST + 1, sizeof *value), *room = calloc(CKS_NORMALITY_MOST, sizeof *room);
  assert_true(value && room);
  assert_true(cks_is_missing(cks_shapiro_wilk(10, value, room).w)); /* all alike */
  for (size_t i = 0; i <= CKS_NORMALITY_MOST; i++) value[i] = (double)i;
  assert_true(cks_is_missing(cks_shapiro_wilk(2, value, room).w));
  assert_true(cks_is_missing(cks_shapiro_wilk(CKS_NORMALITY_MOST + 1, value, room).w));
  assert_true(cks_shapiro_wilk(CKS_NORMALITY_MOST, value, room).p < 1e-6); /* a straight line is not normal */
  value[CKS_NORMALITY_MOST] = 1e300;
  assert_true(cks_shapiro_wilk(6, value + CKS_NORMALITY_MOST - 5, room).p < 1e-3); /* no overflow */
  free(room);
  free(value);
}

/* How many plots cks_outliers_find() names among n values of one hybrid in one rep; *line: of the first. */
static size_t count_outliers(size_t n, const double *value, uint32_t *line)
{
  made_plot *plots = calloc(n, sizeof *plots);
  uint32_t *plot = calloc(n, sizeof *plot), *zero = calloc(n, sizeof *zero);
  assert_true(plots && plot && zero);
  for (size_t i = 0; i < n; i++) plots[i] = (made_plot){.location = "Bench", .hybrid = "Mass", .value = value[i]};
  made_analysis made = {.trial = made_trial(plots, n, CKS_ROLE_YIELD, NULL)};
  for (size_t i = 0; i < n; i++) plot[i] = (uint32_t)i;
  cks_settings settings = made_settings();
  cks_id file;
  assert_int_equal(cks_findings_new(&made.findings, NULL), CKS_OK);
  assert_int_equal(cks_findings_file(made.findings, "plots.csv", &file, NULL), CKS_OK);
  cks_arena *scratch = cks_arena_new();
  cks_trait_result result = {.digits = 1};
  cks_task task = {.settings = &settings, .trial = made.trial, .findings = made.findings, .error = &made.error};
  cks_trait_task work = {.task = &task, .trait = &made.trial->trait[0], .result = &result, .scratch = scratch};
  work.values.tested = made.trial->trait[0].value;
  work.values.shown = work.values.tested;
  cks_place one = {.plot = plot, .method = CKS_METHOD_ANOVA, .layout = {n, 1, 1, zero, zero, 0, NULL}};
  assert_int_equal(cks_fit_two_way(&one.layout, work.values.tested, scratch, &one.fit, NULL), CKS_OK);
  assert_int_equal(cks_outliers_find(&work, &one), CKS_OK);
  size_t found = made.findings->n;
  *line = found ? made.findings->finding[0].where.line : 0;
  cks_arena_free(scratch);
  made_analysis_release(&made);
  free(zero);
  free(plot);
  free(plots);
  return found;
}

/* On one sample the rule for plots is Grubbs's two-sided test at .05 (Grubbs 1969, Technometrics 11:1): a plot is named
 * just where his p is below, `five` at .0545 by a hair not. */
static void outliers_when_one_sample_then_as_grubbs(void **state)
{
  (void)state;
  double value[MOST];
  const char *set;
  json_t *expected = expected_of("16_normality"), *at;
  size_t n_set = 0;
  json_object_foreach(json_object_get(expected, "grubbs"), set, at)
  {
    uint32_t line;
    size_t n = values_of("16_normality", set, value), suspect = 0;
    bool beyond = test_json_number(at, "p_two_sided") < 0.05;
    assert_close((double)n, test_json_number(at, "n"), 0);
    while (suspect < n && !test_close(value[suspect], test_json_number(at, "suspect"), 1e-7)) suspect++;
    assert_true(suspect < n);
    assert_int_equal(count_outliers(n, value, &line), beyond);
    if (beyond) assert_int_equal(line, suspect + 2);
    n_set++;
  }
  assert_int_equal(n_set, 7);
  json_decref(expected);
}

static void nonadditivity_when_insurance_then_as_published(void **state)
{
  (void)state;
  char *csv = test_read_file(FOLDER "11a_insurance/data.csv");
  cks_settings settings;
  cks_settings_defaults(&settings);
  cks_setting_pair heading[] = {{"hybrid", "city"}, {"rep", "region"}}, trait = {"premium", NULL};
  settings.heading = (cks_setting_list){2, heading};
  settings.trait = (cks_setting_list){1, &trait};
  test_run run = test_run_csv(&settings, csv, NULL);
  free(csv);
  assert_int_equal(run.status, CKS_OK);
  json_t *expected = expected_of("11a_insurance");
  json_t *test = test_json_with(test_json(run.json, "traits.0.locations.0.assumptions"), "test", "Tukey one df");
  assert_non_null(test);
  assert_close(test_json_number(test, "statistic"), test_json_number(expected, "F"), 1e-10);
  assert_close(test_json_number(test, "num_df"), 1, 0);
  assert_close(test_json_number(test, "den_df"), test_json_number(expected, "remainder_df"), 0);
  assert_close(test_json_number(test, "p"), test_json_number(expected, "p"), 1e-10);
  json_decref(expected);
  test_run_release(&run);
}

/* ---- generated -------------------------------------------------------------------------------------------------- */

/* One place of g hybrids and r reps, some plots lost. */
typedef struct {
  cks_layout layout;
  uint32_t hybrid[MOST], rep[MOST];
  double y[MOST], scaled[MOST], plain[MOST];
  cks_fit fit;
  size_t n_scaled;
} place;

static void draw(place *p, size_t g, size_t r, double lost, double sd, gsl_rng *random, cks_arena *arena)
{
  size_t n = 0;
  for (uint32_t k = 0; k < r; k++)
    for (uint32_t i = 0; i < g; i++) {
      if (k > 0 && lost > 0 && gsl_rng_uniform(random) < lost) continue;
      p->hybrid[n] = i;
      p->rep[n] = k;
      p->y[n++] = 90 + i + 2 * k + sd * gsl_ran_gaussian(random, 1);
    }
  p->layout = (cks_layout){n, g, r, p->hybrid, p->rep, 0, NULL};
  assert_int_equal(cks_fit_two_way(&p->layout, p->y, arena, &p->fit, NULL), CKS_OK);
  assert_true(p->fit.connected);
  p->n_scaled = 0;
  for (size_t i = 0; i < n; i++) {
    p->plain[i] = p->y[i] - p->fit.fitted[i];
    if (!cks_fit_is_alone(&p->fit, i)) p->scaled[p->n_scaled++] = p->plain[i] / sqrt(1 - p->fit.leverage[i]);
  }
}

/* Residual SS of y on reps, hybrids and, when z is not NULL, z: columns taken out one after the other. */
static double residual_ss(const place *p, const double *z, double *left)
{
  enum { COLUMNS = 40 };
  static double column[COLUMNS][MOST];
  size_t n = p->layout.n, n_column = 0;
  for (size_t c = 0; c < p->layout.n_hybrid + p->layout.n_rep + (z != NULL); c++) {
    double *x = column[n_column], size = 0;
    for (size_t i = 0; i < n; i++)
      x[i] = c < p->layout.n_hybrid                     ? p->hybrid[i] == c
             : c < p->layout.n_hybrid + p->layout.n_rep ? p->rep[i] == c - p->layout.n_hybrid
                                                        : z[i];
    for (int twice = 0; twice < 2; twice++)
      for (size_t k = 0; k < n_column; k++) {
        double dot = 0;
        for (size_t i = 0; i < n; i++) dot += x[i] * column[k][i];
        for (size_t i = 0; i < n; i++) x[i] -= dot * column[k][i];
      }
    for (size_t i = 0; i < n; i++) size += x[i] * x[i];
    if (size < 1e-16) continue; /* the last rep follows from the hybrids and the other reps */
    for (size_t i = 0; i < n; i++) x[i] /= sqrt(size);
    n_column++;
  }
  double ss = 0;
  memcpy(left, p->y, n * sizeof *left);
  for (int twice = 0; twice < 2; twice++)
    for (size_t k = 0; k < n_column; k++) {
      double dot = 0;
      for (size_t i = 0; i < n; i++) dot += left[i] * column[k][i];
      for (size_t i = 0; i < n; i++) left[i] -= dot * column[k][i];
    }
  for (size_t i = 0; i < n; i++) ss += left[i] * left[i];
  return ss;
}

/* The square of the fitted values as a covariate in a regression that knows nothing of reps and hybrids. */
static void nonadditivity_when_plots_are_lost_then_the_regression_on_squared_fits(void **state)
{
  (void)state;
  place *p = malloc(sizeof *p);
  double left[MOST], z[MOST];
  gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
  gsl_rng_set(random, 20270103);
  for (int i = 0; i < 20; i++) {
    cks_arena *arena = cks_arena_new();
    draw(p, 5 + (size_t)i, 3, i % 4 ? 0.2 : 0, 2, random, arena);
    cks_nonadditivity test;
    assert_int_equal(cks_nonadditivity_test(&p->layout, p->y, &p->fit, arena, &test, NULL), CKS_OK);
    double without = residual_ss(p, NULL, left);
    for (size_t k = 0; k < p->layout.n; k++) z[k] = (p->y[k] - left[k] - 100) * (p->y[k] - left[k] - 100) / 100;
    double with = residual_ss(p, z, left), df = p->fit.df_error - 1;
    assert_close(test.f, (without - with) / (with / df), 1e-7);
    assert_close(test.df, df, 0);
    cks_arena_free(arena);
  }
  gsl_rng_free(random);
  free(p);
}

typedef struct {
  const char *name;
  size_t e, g, r[2]; /* the first half of the places have r[0] reps, the others r[1] */
  double lost;
  uint64_t seed;
  double corrected, plain; /* the shares that Levene's test rejects with and without the correction */
  const char *source;      /* of both */
} series;

/* Levene's test, corrected, is not exact: see equal_variances.h. By blocks: 100,000 series by a program that shares
 * nothing with this one, residuals and F as in textbooks, F times f/(n-1). Here: 300,000 series, other seeds. The plain
 * one is what a correction is for; .42 to .48 with two reps by the study of the methods, the more places, the more. */
static const char by_blocks[] = "simulated apart", here[] = "simulated, other seeds";
static const series all_series[] = {
    {"2 reps, 20 hybrids, 7 places", 7, 20, {2, 2}, 0, 20270104, 0.0599, 0.4337, by_blocks},
    {"2 reps, 24 hybrids, 8 places", 8, 24, {2, 2}, 0, 20270105, 0.0590, 0.4654, by_blocks},
    {"2 reps, 8 hybrids, 6 places", 6, 8, {2, 2}, 0, 20270110, 0.0781, 0.4659, by_blocks},
    {"2 reps, 4 hybrids, 6 places", 6, 4, {2, 2}, 0, 20270111, 0.1267, 0.6237, by_blocks},
    {"3 reps, 14 hybrids, 6 places", 6, 14, {3, 3}, 0, 20270112, 0.0459, 0.2137, by_blocks},
    {"4 reps, 20 hybrids, 6 places", 6, 20, {4, 4}, 0, 20270113, 0.0445, 0.1468, by_blocks},
    {"2 and 4 reps", 6, 20, {2, 4}, 0, 20270106, 0.0525, 0.5448, here},
    {"3 reps, plots lost", 6, 14, {3, 3}, 0.12, 20270107, 0.0505, 0.2445, here},
    {"2 and 3 reps, plots lost", 6, 20, {2, 3}, 0.08, 20270108, 0.0544, 0.4756, here},
};
enum { N_SERIES = sizeof all_series / sizeof *all_series, MOST_PLACES = 10 };
static const double ALPHA = 0.05;

/* How many are rejected: of series; of places. */
typedef struct {
  size_t corrected, plain, bartlett, additive, normal, places;
} counts;

static counts count_rejected(const series *s, int n_trial)
{
  counts count = {0};
  place *p = malloc(MOST_PLACES * sizeof *p);
  double room[MOST];
  gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
  gsl_rng_set(random, (unsigned long)s->seed);
  for (int t = 0; t < n_trial; t++) {
    cks_arena *arena = cks_arena_new();
    cks_residual_group group[MOST_PLACES], plain[MOST_PLACES];
    double ms[MOST_PLACES], df[MOST_PLACES];
    for (size_t j = 0; j < s->e; j++, count.places++) {
      draw(&p[j], s->g, s->r[2 * j >= s->e], s->lost, 4, random, arena);
      ms[j] = p[j].fit.ss_error / (df[j] = p[j].fit.df_error);
      group[j] = (cks_residual_group){p[j].n_scaled, p[j].scaled, df[j]};
      plain[j] = (cks_residual_group){p[j].layout.n, p[j].plain, (double)p[j].layout.n - 1};
      cks_nonadditivity test;
      cks_nonadditivity_test(&p[j].layout, p[j].y, &p[j].fit, arena, &test, NULL);
      count.additive += test.p <= ALPHA;
    }
    count.corrected += cks_levene(s->e, group).p <= ALPHA;
    count.plain += cks_levene(s->e, plain).p <= ALPHA;
    count.bartlett += cks_bartlett(s->e, ms, df).p <= ALPHA;
    for (size_t j = 0; j < s->e; j++) {
      qsort(p[j].scaled, p[j].n_scaled, sizeof *p[j].scaled, compare);
      count.normal += cks_shapiro_wilk(p[j].n_scaled, p[j].scaled, room).p <= ALPHA;
    }
    cks_arena_free(arena);
  }
  gsl_rng_free(random);
  free(p);
  return count;
}

/* As many in `make test`: they take no time. Residuals make the test of normality cautious, but for the eight of 4 hybrids
 * in 2 reps, each the mirror of another: .060 in 240,000 places of other seeds. */
static void rates_when_the_assumptions_hold_then_as_expected(void **state)
{
  const series *s = *state;
  bool few = s->g * s->r[0] == 8;
  counts found = count_rejected(s, RATE_MANY);
  const struct {
    rate expected;
    size_t count, n;
  } rates[] = {
      {{s->name, "Levene corrected .05", s->source, s->corrected, RATE_IS, 0}, found.corrected, RATE_MANY},
      {{s->name, "(plain Levene .05)", s->source, s->plain, RATE_IS, 0}, found.plain, RATE_MANY},
      {{s->name, "Bartlett .05", "alpha, by definition", ALPHA, RATE_IS, 0}, found.bartlett, RATE_MANY},
      {{s->name, "additivity .05", "alpha, by definition", ALPHA, RATE_IS, 0}, found.additive, found.places},
      {{s->name, "normality .05", few ? "simulated, other seeds" : "alpha, cautious", few ? 0.060 : ALPHA, RATE_AT_MOST,
        0},
       found.normal,
       found.places},
  };
  bool good = true;
  print_message("seed %d\n", (int)s->seed);
  rate_head();
  for (size_t i = 0; i < sizeof rates / sizeof *rates; i++)
    good &= rate_within(&rates[i].expected, rates[i].count, rates[i].n);
  assert_true(good && found.normal > 0);
}

/* Places of one size: the general formula is Levene's F x f / (n - 1). */
static void levene_when_places_are_alike_then_f_over_n_less_1(void **state)
{
  (void)state;
  enum { E = 5, G = 9, R = 3 };
  place *p = malloc(E * sizeof *p);
  cks_arena *arena = cks_arena_new();
  gsl_rng *random = gsl_rng_alloc(gsl_rng_mt19937);
  gsl_rng_set(random, 20270109);
  cks_residual_group group[E], plain[E];
  for (size_t j = 0; j < E; j++) {
    draw(&p[j], G, R, 0, 1 + (double)j, random, arena);
    group[j] = (cks_residual_group){p[j].n_scaled, p[j].scaled, p[j].fit.df_error};
    plain[j] = (cks_residual_group){G * R, p[j].plain, G * R - 1};
  }
  cks_variance_test corrected = cks_levene(E, group), usual = cks_levene(E, plain);
  double f = (G - 1) * (R - 1);
  assert_close(corrected.statistic, usual.statistic * f / (G * R - 1), 1e-12);
  assert_close(corrected.num_df, E - 1, 0);
  assert_close(corrected.den_df, E * f, 0);
  assert_close(usual.den_df, E * (G * R - 1), 0);
  gsl_rng_free(random);
  cks_arena_free(arena);
  free(p);
}

int main(void)
{
  struct CMUnitTest tests[7 + N_SERIES] = {
      cmocka_unit_test(equal_variances_when_gears_then_as_published),
      cmocka_unit_test(normality_when_computed_elsewhere_then_to_8_digits),
      cmocka_unit_test(normality_when_it_cannot_be_told_then_missing),
      cmocka_unit_test(outliers_when_one_sample_then_as_grubbs),
      cmocka_unit_test(nonadditivity_when_insurance_then_as_published),
      cmocka_unit_test(nonadditivity_when_plots_are_lost_then_the_regression_on_squared_fits),
      cmocka_unit_test(levene_when_places_are_alike_then_f_over_n_less_1),
  };
  for (size_t i = 0; i < N_SERIES; i++)
    tests[7 + i] = (struct CMUnitTest){all_series[i].name, rates_when_the_assumptions_hold_then_as_expected, NULL, NULL,
                                       (void *)&all_series[i]};
  return cmocka_run_group_tests(tests, test_start, NULL);
}
