/*
 * test_maturity.c: the call of days to mid-bloom at its edges, on tables whose slopes and errors are known beforehand, and
 * tables of which no call is made. Figures against another program: tests/reference/test_maturity.c; rates:
 * tests/property/test_maturity_rates.c.
 *
 * X_ij = first + b_i I_j + s_i q_j, where I and q are the linear and the quadratic contrast of equal steps (Fisher & Yates
 * 1938, Statistical Tables, table 23; worked out here), slopes have the mean 1 and the s_i sum to 0. So the environments'
 * index is I, the slope of a hybrid is b_i and its deviations are s_i q_j, but for rounding.
 */
#include "support/make_trial.h"
#include "support/support.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MOST_G = 62, MOST_E = 12 };
#define LEN(a) (sizeof(a) / sizeof *(a))

/* q of a table of six environments, where the intervals have 4 df; t by 4 df from any table of it. */
static const double T_05 = 2.7764, T_10 = 2.1318, T_20 = 1.5332, FIRST = 60.1;

typedef struct {
  size_t g, e;
  double spread;        /* days between the earliest and the latest environment mean */
  double slope[MOST_G]; /* 0: 1, or what the mean of 1 leaves the last one */
  double se[MOST_G];    /* of the slope; its sign is that of the deviations */
  bool empty[MOST_G][MOST_E];
  double alpha;  /* 0: .05 */
  cks_role role; /* 0: days to mid-bloom */
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

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(call_when_at_an_edge_of_the_rule_then_on_its_side),
      cmocka_unit_test(call_when_f_is_just_beyond_its_critical_value_then_made),
      cmocka_unit_test(environments_when_fewer_than_six_then_slope_and_interval_only),
      cmocka_unit_test(hybrids_when_fewer_than_five_then_slope_and_interval_only),
      cmocka_unit_test(environment_means_when_less_than_three_days_apart_then_slope_and_interval_only),
      cmocka_unit_test(environment_means_when_three_days_apart_then_a_call),
  };
  return cmocka_run_group_tests(tests, begin, NULL);
}
