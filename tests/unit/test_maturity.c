/*
 * test_maturity.c: the call of days to mid-bloom at its edges, on tables whose slopes and errors are known beforehand, and
 * tables of which no call is made. Figures against another program: tests/reference/test_maturity.c; rates:
 * tests/property/test_maturity_rates.c.
 *
 * X_ij = first + b_i I_j + s_i q_j, where I and q are the linear and the quadratic contrast of equal steps, worked out
 * here; slopes have the mean 1 and the s_i sum to 0. So the environments' index is I, the slope of a hybrid is b_i and its
 * deviations are s_i q_j, but for rounding.
 */
#include "support/make_trial.h"
#include "support/support.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MOST_G = 62, MOST_E = 12 };
#define LEN(a) (sizeof(a) / sizeof *(a))

/* t of 4 df (six environments) at three levels, in any table of it. */
static const double T_05 = 2.7764, T_10 = 2.1318, T_20 = 1.5332, FIRST = 60.1;

typedef struct {
  size_t g, e;
  double spread;        /* days between the earliest and the latest environment mean */
  double slope[MOST_G]; /* 0: 1 */
  double se[MOST_G];    /* of the slope; its sign is that of the deviations */
  bool empty[MOST_G][MOST_E];
  double alpha;            /* 0: .05 */
  double min_environments; /* a share; 0: hybrids in any number of environments stay */
  cks_role role;           /* 0: days to mid-bloom */
  const char *const *checks;
} table;

static char hybrid_name[MOST_G][8], location_name[MOST_E][8];

static int begin(void **state)
{
  for (size_t i = 0; i < MOST_G; i++) snprintf(hybrid_name[i], sizeof hybrid_name[i], "H%02zu", i + 1);
  for (size_t j = 0; j < MOST_E; j++) snprintf(location_name[j], sizeof location_name[j], "L%02zu", j + 1);
  return test_start(state);
}

static made_analysis analyze(const table *t)
{
  double e = (double)t->e, step = t->spread / (e - 1), size = 0, bend = 0, linear[MOST_E], quadratic[MOST_E];
  made_plot *plots = calloc(MOST_G * MOST_E, sizeof *plots);
  size_t n = 0;
  assert_non_null(plots);
  for (size_t j = 0; j < t->e; j++) {
    double at = (double)j - (e - 1) / 2;
    linear[j] = at * step;
    quadratic[j] = at * at - (e * e - 1) / 12;
    size += linear[j] * linear[j];
    bend += quadratic[j] * quadratic[j];
  }
  for (size_t i = 0; i < t->g; i++) {
    double slope = t->slope[i] > 0 ? t->slope[i] : 1, deviation = t->se[i] * sqrt((e - 2) * size / bend);
    for (size_t j = 0; j < t->e; j++)
      if (!t->empty[i][j])
        plots[n++] = (made_plot){
            location_name[j], 2026, NULL, NULL, hybrid_name[i], FIRST + slope * linear[j] + deviation * quadratic[j]};
  }
  cks_settings settings = made_settings();
  settings.min_environments = t->min_environments;
  if (t->alpha > 0) settings.alpha = t->alpha;
  made_analysis made =
      made_analyze(made_trial(plots, n, t->role ? t->role : CKS_ROLE_DAYS_TO_MID_BLOOM, t->checks), &settings);
  free(plots);
  if (made.status != CKS_OK) fail_msg("%s", made.error.text);
  return made;
}

static const cks_maturity *of(const made_analysis *made) { return made->results->trait[0].maturity; }

static const cks_maturity_line *line_of(const made_analysis *made, size_t hybrid)
{
  const cks_maturity *m = of(made);
  for (size_t i = 0; m && i < m->n_hybrid; i++)
    if (!strcmp(made->results->hybrid[m->hybrid[i].hybrid].name, hybrid_name[hybrid])) return &m->hybrid[i];
  fail_msg("no line of '%s'", hybrid_name[hybrid]);
  return NULL;
}

/* Six hybrids at six environments 10 days apart: slopes b, 2 - b and 1; errors of the first and second se, of the others
 * other. */
static table six(double b, double se, double other)
{
  return (table){.g = 6, .e = 6, .spread = 10, .slope = {b, 2 - b}, .se = {se, -se, other, -other, other, -other}};
}

/* ---- the call --------------------------------------------------------------------------------------------------- */

typedef struct {
  double b, se, other, alpha;
  bool unequal; /* slopes by F */
  cks_maturity_call first, second;
} call_row;

static void call_fits(const call_row *row, size_t number)
{
  table t = six(row->b, row->se, row->other);
  t.alpha = row->alpha;
  made_analysis made = analyze(&t);
  const cks_maturity_line *a = line_of(&made, 0), *b = line_of(&made, 1);
  double wide = row->alpha == 0.05 ? T_05 : T_10, narrow = row->alpha == 0.05 ? T_10 : T_20;
  assert_close(a->slope, row->b, 1e-9);
  assert_close(a->slope_se, row->se, 1e-9);
  assert_close(a->low, row->b - wide * row->se, 1e-4);
  assert_close(a->high, row->b + wide * row->se, 1e-4);
  assert_close(b->inner_low, 2 - row->b - narrow * row->se, 1e-4);
  assert_close(b->inner_high, 2 - row->b + narrow * row->se, 1e-4);
  assert_int_equal(made.results->trait[0].interaction->slopes_p <= row->alpha, row->unequal);
  if (a->call != row->first || b->call != row->second)
    fail_msg("row %zu: calls %d and %d, expected %d and %d", number, a->call, b->call, row->first, row->second);
  for (size_t i = 0; i < 6; i++) assert_string_equal(line_of(&made, i)->no_call, "");
  made_analysis_release(&made);
}

/* The first hybrid's slope is b, the second's 2 - b; t is 2.776 at .05, 2.132 at .10, 1.533 at .20. */
static void call_when_at_an_edge_of_the_rule_then_on_its_side(void **state)
{
  (void)state;
  static const call_row rows[] = {
      /* the estimate: 0.9 and 1.1 */
      {0.5, 0.01, 0.01, 0.05, true, CKS_CALL_HOLDS, CKS_CALL_SHIFTS},
      {0.9, 0.01, 0.01, 0.05, true, CKS_CALL_HOLDS, CKS_CALL_SHIFTS},
      {0.9001, 0.01, 0.01, 0.05, true, CKS_CALL_TYPICAL, CKS_CALL_TYPICAL},
      /* the interval: 2.776 se beside 0.2 */
      {0.8, 0.0719, 0.01, 0.05, true, CKS_CALL_HOLDS, CKS_CALL_SHIFTS},
      {0.8, 0.0722, 0.01, 0.05, true, CKS_CALL_CANNOT_TELL, CKS_CALL_CANNOT_TELL},
      {0.8, 0.0722, 0.01, 0.10, true, CKS_CALL_HOLDS, CKS_CALL_SHIFTS},
      {0.8, 0.0937, 0.01, 0.10, true, CKS_CALL_HOLDS, CKS_CALL_SHIFTS},
      {0.8, 0.0939, 0.01, 0.10, true, CKS_CALL_CANNOT_TELL, CKS_CALL_CANNOT_TELL},
      /* the inner interval: 2.132 se beside 0.25 - 0.05, at .10 1.533 se */
      {0.95, 0.0937, 0.01, 0.05, false, CKS_CALL_TYPICAL, CKS_CALL_TYPICAL},
      {0.95, 0.0939, 0.01, 0.05, false, CKS_CALL_CANNOT_TELL, CKS_CALL_CANNOT_TELL},
      {0.95, 0.0939, 0.01, 0.10, false, CKS_CALL_TYPICAL, CKS_CALL_TYPICAL},
      {0.95, 0.1303, 0.01, 0.10, false, CKS_CALL_TYPICAL, CKS_CALL_TYPICAL},
      {0.95, 0.1306, 0.01, 0.10, false, CKS_CALL_CANNOT_TELL, CKS_CALL_CANNOT_TELL},
      /* slopes of which F says nothing, whatever an interval says: the others lie far off their lines */
      {0.8, 0.01, 0.6, 0.05, false, CKS_CALL_TYPICAL, CKS_CALL_TYPICAL},
      {0.7, 0.01, 0.6, 0.05, false, CKS_CALL_CANNOT_TELL, CKS_CALL_CANNOT_TELL},
      {0.7, 0.01, 0.1, 0.05, true, CKS_CALL_HOLDS, CKS_CALL_SHIFTS},
  };
  for (size_t k = 0; k < LEN(rows); k++) call_fits(&rows[k], k);
}

/* F alone decides: F is 2 S (b - 1)^2 / 5 over the deviations on 20 df, critical 2.7109 (any table of F). */
static void call_when_f_is_just_beyond_its_critical_value_then_made(void **state)
{
  (void)state;
  static const double over[] = {0.999, 1.001};
  for (size_t k = 0; k < 2; k++) {
    /* deviations: 4 S se^2 a hybrid, 2 x 4 S .01^2 and 4 x 4 S other^2; F = .4 (b - 1)^2 20 / (8 .0001 + 16 other^2) */
    double b = 0.7, f = 2.7109 * over[k], other = sqrt((8 * (1 - b) * (1 - b) / f - 0.0008) / 16);
    table t = six(b, 0.01, other);
    made_analysis made = analyze(&t);
    assert_close(made.results->trait[0].interaction->slopes_f, f, 1e-9);
    assert_int_equal(line_of(&made, 0)->call, k ? CKS_CALL_HOLDS : CKS_CALL_CANNOT_TELL);
    assert_int_equal(line_of(&made, 1)->call, k ? CKS_CALL_SHIFTS : CKS_CALL_CANNOT_TELL);
    made_analysis_release(&made);
  }
}

/* ---- none ------------------------------------------------------------------------------------------------------- */

/* The whole table's reason: no hybrid has a call, each has the slope and its interval. */
static void assert_no_call(const table *t, const char *why)
{
  made_analysis made = analyze(t);
  const cks_maturity *m = of(&made);
  assert_string_equal(m->no_call, why);
  assert_int_equal(m->n_hybrid, t->g);
  assert_int_equal(m->n_environment, t->e);
  for (size_t i = 0; i < m->n_hybrid; i++) {
    const cks_maturity_line *line = &m->hybrid[i];
    assert_int_equal(line->call, CKS_CALL_NONE);
    assert_string_equal(line->no_call, why);
    assert_true(line->low < line->slope && line->slope < line->high);
    assert_true(line->low < line->inner_low && line->inner_high < line->high);
  }
  assert_close(line_of(&made, 0)->slope, t->slope[0], 1e-9);
  made_analysis_release(&made);
}

static void environments_when_fewer_than_six_then_slope_and_interval_only(void **state)
{
  (void)state;
  table t = six(0.5, 0.01, 0.01);
  for (t.e = 3; t.e <= 5; t.e++) assert_no_call(&t, "fewer than six environments");
}

static void hybrids_when_fewer_than_five_then_slope_and_interval_only(void **state)
{
  (void)state;
  table t = six(0.5, 0.01, 0.01);
  t.g = 4;
  assert_no_call(&t, "fewer than five hybrids");
  t.g = 5;
  t.se[4] = 0.001;
  made_analysis made = analyze(&t);
  assert_string_equal(of(&made)->no_call, "");
  assert_int_equal(line_of(&made, 0)->call, CKS_CALL_HOLDS);
  made_analysis_release(&made);
}

static void environment_means_when_less_than_three_days_apart_then_slope_and_interval_only(void **state)
{
  (void)state;
  table t = six(0.5, 0.01, 0.01);
  t.spread = 2.999;
  assert_no_call(&t, "fewer than three days between the earliest and the latest environment mean");
}

/* Days to a tenth; means of five hybrids from 60.1 on three days apart, whatever binary fractions make of it. */
static void environment_means_when_three_days_apart_then_a_call(void **state)
{
  (void)state;
  static const int over[5][6] = {{1, -1, 0, 0, 1, -1},
                                 {-1, 1, 0, 0, -1, 1},
                                 {0, 1, -1, 1, 0, -1},
                                 {0, -1, 1, -1, 0, 1}},
                   later[6] = {0, 6, 12, 18, 24, 30};
  for (int first = 501; first < 701; first++) {
    made_plot plots[30];
    cks_settings settings = made_settings();
    for (size_t i = 0; i < 5; i++)
      for (size_t j = 0; j < 6; j++)
        plots[i * 6 + j] = (made_plot){
            location_name[j], 2026, NULL, NULL, hybrid_name[i], (first + 13 * (int)i + later[j] + over[i][j]) / 10.0};
    made_analysis made = made_analyze(made_trial(plots, 30, CKS_ROLE_DAYS_TO_MID_BLOOM, NULL), &settings);
    assert_int_equal(made.status, CKS_OK);
    if (*of(&made)->no_call) fail_msg("days from %d tenths on: %s", first, of(&made)->no_call);
    made_analysis_release(&made);
  }
}

/* ---- figures of a line ------------------------------------------------------------------------------------------ */

/* By hand: q of six environments is 10/3, -2/3, -8/3 and back, sum of squares 112/3; I of 10 days has 70. */
static void range_when_of_some_environments_then_over_these(void **state)
{
  (void)state;
  table t = six(0.5, 0.01, 0.01);
  double deviation = 0.01 * sqrt(4 * 70 / (112 / 3.0));
  made_analysis made = analyze(&t);
  assert_close(line_of(&made, 0)->first, FIRST - 2.5 + deviation * 10 / 3, 1e-12);
  assert_close(line_of(&made, 0)->last, FIRST + 2.5 + deviation * 10 / 3, 1e-12);
  assert_close(of(&made)->earliest, FIRST - 5, 1e-12);
  assert_close(of(&made)->latest, FIRST + 5, 1e-12);
  for (size_t i = 0; i < 6; i++) {
    assert_close(line_of(&made, i)->mean, FIRST, 1e-12);
    assert_int_equal(line_of(&made, i)->environments, 6);
  }
  made_analysis_release(&made);
  t.empty[0][0] = t.empty[0][5] = true;
  made = analyze(&t);
  assert_close(line_of(&made, 0)->first, FIRST - 1.5 - deviation * 2 / 3, 1e-12);
  assert_close(line_of(&made, 0)->last, FIRST + 1.5 - deviation * 2 / 3, 1e-12);
  assert_int_equal(line_of(&made, 0)->environments, 4);
  made_analysis_release(&made);
}

/* Eight environments: a hybrid in three, one in five, one in six. */
static void hybrid_when_in_fewer_than_six_of_more_environments_then_no_call_of_it(void **state)
{
  (void)state;
  static const size_t grew[3] = {3, 5, 6};
  table t = six(0.5, 0.01, 0.01);
  t.g = 9;
  t.e = 8;
  for (size_t k = 0; k < 3; k++)
    for (size_t j = grew[k]; j < t.e; j++) t.empty[6 + k][j] = true;
  for (size_t k = 0; k < 3; k++) t.se[6 + k] = 0.01;
  made_analysis made = analyze(&t);
  const cks_maturity_line *three = line_of(&made, 6), *five = line_of(&made, 7), *enough = line_of(&made, 8);
  assert_string_equal(of(&made)->no_call, "");
  assert_true(isnan(three->slope) && isnan(three->slope_se) && isnan(three->low) && isnan(three->inner_high));
  assert_true(five->low < five->slope && five->slope < five->high);
  assert_string_equal(three->no_call, "in fewer than six environments");
  assert_string_equal(five->no_call, "in fewer than six environments");
  assert_int_equal(three->call, CKS_CALL_NONE);
  assert_int_equal(five->call, CKS_CALL_NONE);
  assert_int_equal(five->environments, 5);
  assert_string_equal(enough->no_call, "");
  assert_int_equal(enough->call, CKS_CALL_TYPICAL);
  assert_int_equal(line_of(&made, 0)->call, CKS_CALL_HOLDS);
  assert_int_equal(line_of(&made, 1)->call, CKS_CALL_SHIFTS);
  made_analysis_release(&made);
  t.min_environments = 0.5; /* three of eight are too few to be ranked */
  made = analyze(&t);
  assert_int_equal(of(&made)->n_hybrid, 8);
  made_analysis_release(&made);
}

/* Nothing to test with: of any hybrid, of one. */
static void deviations_when_all_are_zero_then_no_call(void **state)
{
  (void)state;
  table t = six(0.5, 0, 0);
  made_analysis made = analyze(&t);
  assert_string_equal(of(&made)->no_call, "whether slopes differ was not tested");
  for (size_t i = 0; i < 6; i++) {
    const cks_maturity_line *line = line_of(&made, i);
    assert_int_equal(line->call, CKS_CALL_NONE);
    assert_string_equal(line->no_call, "whether slopes differ was not tested");
    assert_true(isnan(line->slope_se) && isnan(line->low) && isnan(line->high) && isnan(line->inner_low));
  }
  assert_close(line_of(&made, 0)->slope, 0.5, 1e-9);
  made_analysis_release(&made);
  t = six(0.5, 0, 0.01);
  made = analyze(&t);
  assert_string_equal(of(&made)->no_call, "");
  assert_string_equal(line_of(&made, 0)->no_call, "no deviations from its line");
  assert_int_equal(line_of(&made, 0)->call, CKS_CALL_NONE);
  assert_int_equal(line_of(&made, 2)->call, CKS_CALL_TYPICAL);
  made_analysis_release(&made);
}

/* ---- pairs ------------------------------------------------------------------------------------------------------ */

/* As a less b; fails the test when they are no pair, or one the other way round. */
static const cks_slope_pair *pair_of(const made_analysis *made, size_t a, size_t b)
{
  const cks_maturity *m = of(made);
  for (size_t k = 0; k < m->n_pair; k++)
    if (!strcmp(made->results->hybrid[m->pair[k].a].name, hybrid_name[a]) &&
        !strcmp(made->results->hybrid[m->pair[k].b].name, hybrid_name[b]))
      return &m->pair[k];
  fail_msg("no pair '%s' and '%s'", hybrid_name[a], hybrid_name[b]);
  return NULL;
}

static bool has_no_test(const cks_slope_pair *p) { return isnan(p->se) && isnan(p->t) && isnan(p->df) && isnan(p->p); }

/* p of t 2.7764 on 4 df is .05 (any table of t). */
static void pair_when_tested_then_by_deviations_of_its_own_differences(void **state)
{
  (void)state;
  table t = six(0.8, 0.2 / T_05, 0.01);
  made_analysis made = analyze(&t);
  const cks_slope_pair *p = pair_of(&made, 0, 1), *alike = pair_of(&made, 2, 4);
  assert_false(of(&made)->with_checks);
  assert_int_equal(of(&made)->n_pair, 15);
  assert_int_equal(p->n, 6);
  assert_close(p->difference, -0.4, 1e-9);
  assert_close(p->se, 2 * 0.2 / T_05, 1e-9);
  assert_close(p->t, -T_05, 1e-9);
  assert_close(p->df, 4, 0);
  assert_close(p->p, 0.05, 1e-4);
  assert_true(fabs(alike->difference) < 1e-9 && has_no_test(alike)); /* the same days at each: nothing to test with */
  made_analysis_release(&made);
}

static void pair_when_few_environments_saw_both_then_from_three_on(void **state)
{
  (void)state;
  table t = six(0.5, 0.01, 0.01);
  t.empty[0][0] = t.empty[0][1] = t.empty[1][4] = t.empty[2][5] = t.empty[2][4] = t.empty[1][5] = true;
  t.empty[3][0] = t.empty[3][5] = t.empty[3][4] = true;
  made_analysis made = analyze(&t);
  const cks_slope_pair *two = pair_of(&made, 0, 1), *one_less = pair_of(&made, 1, 3);
  assert_int_equal(two->n, 2);
  assert_true(isnan(two->difference) && has_no_test(two));
  assert_int_equal(one_less->n, 3);
  assert_close(one_less->df, 1, 0);
  assert_true(one_less->se > 0 && one_less->p > 0 && one_less->p < 1);
  made_analysis_release(&made);
}

/* Sixty hybrids: each with each; one more: each with the checks. */
static void pairs_when_of_more_than_sixty_hybrids_then_those_with_a_check(void **state)
{
  (void)state;
  const char *const checks[] = {hybrid_name[4], hybrid_name[31], NULL}, *const none[] = {NULL};
  table t = {.g = 60, .e = 6, .spread = 10, .slope = {0.5, 1.5}, .checks = checks};
  for (size_t i = 0; i < MOST_G; i++) t.se[i] = i % 2 ? -0.01 : 0.01;
  made_analysis made = analyze(&t);
  assert_false(of(&made)->with_checks);
  assert_int_equal(of(&made)->n_pair, 60 * 59 / 2);
  made_analysis_release(&made);
  t.g = 61;
  made = analyze(&t);
  assert_true(of(&made)->with_checks);
  assert_int_equal(of(&made)->n_pair, 2 * 59 + 1);
  assert_close(pair_of(&made, 0, 4)->difference, -0.5, 1e-2);
  assert_close(pair_of(&made, 4, 31)->df, 4, 0);
  made_analysis_release(&made);
  t.checks = none;
  made = analyze(&t);
  assert_true(of(&made)->with_checks);
  assert_int_equal(of(&made)->n_pair, 0);
  made_analysis_release(&made);
}

/* ---- tables that have none -------------------------------------------------------------------------------------- */

static void assert_nothing(const table *t)
{
  made_analysis made = analyze(t);
  assert_int_equal(made.results->n_trait, 1);
  assert_null(of(&made));
  made_analysis_release(&made);
}

static void maturity_when_of_another_trait_or_one_environment_or_hybrid_then_not_there(void **state)
{
  (void)state;
  static const cks_role others[] = {CKS_ROLE_YIELD, CKS_ROLE_PLANT_HEIGHT, CKS_ROLE_TEST_WEIGHT};
  table t = six(0.5, 0.01, 0.01);
  for (size_t k = 0; k < LEN(others); k++) {
    t.role = others[k];
    assert_nothing(&t);
  }
  t.role = CKS_ROLE_DAYS_TO_MID_BLOOM;
  t.g = 1;
  assert_nothing(&t);
  t.g = 6;
  for (size_t i = 0; i < t.g; i++)
    for (size_t j = 1; j < t.e; j++) t.empty[i][j] = true;
  assert_nothing(&t);
}

static void environments_when_two_then_neither_lines_nor_tests(void **state)
{
  (void)state;
  table t = six(0.5, 0.01, 0.01);
  for (size_t i = 0; i < t.g; i++)
    for (size_t j = 1; j < 5; j++) t.empty[i][j] = true;
  made_analysis made = analyze(&t);
  assert_string_equal(of(&made)->no_call, "fewer than six environments");
  assert_close(of(&made)->latest - of(&made)->earliest, 10, 1e-9);
  for (size_t i = 0; i < 6; i++) {
    const cks_maturity_line *line = line_of(&made, i);
    assert_true(isnan(line->slope) && isnan(line->low) && isnan(line->inner_low) && line->last > line->first);
    assert_int_equal(line->call, CKS_CALL_NONE);
  }
  for (size_t k = 0; k < of(&made)->n_pair; k++) assert_true(has_no_test(&of(&made)->pair[k]));
  made_analysis_release(&made);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(call_when_at_an_edge_of_the_rule_then_on_its_side),
      cmocka_unit_test(call_when_f_is_just_beyond_its_critical_value_then_made),
      cmocka_unit_test(environments_when_fewer_than_six_then_slope_and_interval_only),
      cmocka_unit_test(hybrids_when_fewer_than_five_then_slope_and_interval_only),
      cmocka_unit_test(environment_means_when_less_than_three_days_apart_then_slope_and_interval_only),
      cmocka_unit_test(environment_means_when_three_days_apart_then_a_call),
      cmocka_unit_test(range_when_of_some_environments_then_over_these),
      cmocka_unit_test(hybrid_when_in_fewer_than_six_of_more_environments_then_no_call_of_it),
      cmocka_unit_test(deviations_when_all_are_zero_then_no_call),
      cmocka_unit_test(pair_when_tested_then_by_deviations_of_its_own_differences),
      cmocka_unit_test(pair_when_few_environments_saw_both_then_from_three_on),
      cmocka_unit_test(pairs_when_of_more_than_sixty_hybrids_then_those_with_a_check),
      cmocka_unit_test(maturity_when_of_another_trait_or_one_environment_or_hybrid_then_not_there),
      cmocka_unit_test(environments_when_two_then_neither_lines_nor_tests),
  };
  return cmocka_run_group_tests(tests, begin, NULL);
}
