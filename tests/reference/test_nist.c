/*
 * test_nist.c: the one-way analyses of variance of the National Institute of Standards and Technology's Statistical
 * Reference Datasets: eleven sets, certified to 15 digits, arithmetic from easy to very hard.
 *
 * The measure is NIST's own: the log relative error, -log10(|x - c| / |c|), about the number of correct digits. Reading
 * the data as double loses digits before any arithmetic: `attainable` is the log relative error of exact rational
 * arithmetic on the doubles. A figure must come within SPARE of it, or to ENOUGH digits, whichever is less.
 */
#include "support/support.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define SPARE  0.5 /* digits lost to rounding in double */
#define ENOUGH 12.0

enum { SS_BETWEEN, MS_BETWEEN, SS_WITHIN, MS_WITHIN, F, N_FIGURE };
static const char *const paths[N_FIGURE][2] = {
    {"hybrid", "ss"}, {"hybrid", "ms"}, {"error", "ss"}, {"error", "ms"}, {"hybrid", "f"}};

typedef struct {
  const char *name;
  const char *base; /* whole part of every value; NULL: the values stand in nist_one_way/NAME.csv */
  int n;            /* values a treatment */
  double df_between, df_within;
  double certified[N_FIGURE], attainable[N_FIGURE];
} nist_set;

/* clang-format off */
static const nist_set sets[] = {
    {"SiRstv", NULL, 5, 4, 20,
     {5.11462616000000e-02, 1.27865654000000e-02, 2.16636560000000e-01, 1.08318280000000e-02, 1.18046237440255e+00},
     {14.03, 14.03, 13.12, 13.12, 13.06}},
    {"AtmWtAg", NULL, 24, 1, 46,
     {3.63834187500000e-09, 3.63834187500000e-09, 1.04951729166667e-08, 2.28155932971014e-10, 1.59467335677930e+01},
     {10.27, 10.27, 10.90, 10.90, 10.18}},
    {"SmLs01", "1", 21, 8, 180, {1.68, 0.21, 1.8, 0.01, 21}, {15, 15, 15, 15, 14.99}},
    {"SmLs02", "1", 201, 8, 1800, {16.08, 2.01, 18, 0.01, 201}, {15, 15, 15, 15, 14.95}},
    {"SmLs03", "1", 2001, 8, 18000, {160.08, 20.01, 180, 0.01, 2001}, {15, 15, 15, 15, 14.94}},
    {"SmLs04", "1000000", 21, 8, 180, {1.68, 0.21, 1.8, 0.01, 21}, {10.05, 10.05, 10.29, 10.29, 10.43}},
    {"SmLs05", "1000000", 201, 8, 1800, {16.08, 2.01, 18, 0.01, 201}, {9.94, 9.94, 10.29, 10.29, 10.21}},
    {"SmLs06", "1000000", 2001, 8, 18000, {160.08, 20.01, 180, 0.01, 2001}, {9.94, 9.94, 10.29, 10.29, 10.19}},
    {"SmLs07", "1000000000000", 21, 8, 180, {1.68, 0.21, 1.8, 0.01, 21}, {4.03, 4.03, 4.26, 4.26, 4.41}},
    {"SmLs08", "1000000000000", 201, 8, 1800, {16.08, 2.01, 18, 0.01, 201}, {3.92, 3.92, 4.26, 4.26, 4.19}},
    {"SmLs09", "1000000000000", 2001, 8, 18000, {160.08, 20.01, 180, 0.01, 2001}, {3.91, 3.91, 4.26, 4.26, 4.17}},
};
/* clang-format on */
enum { N_SET = sizeof sets / sizeof *sets };

static double log_relative_error(double actual, double certified)
{
  double relative = fabs(actual - certified) / fabs(certified);
  return relative > 0 ? -log10(relative) : 15;
}

/* The sets SmLs by their rule: nine treatments; the first value of each is its mean, .4 in treatment 1, .3 in the even
 * ones, .5 in the other odd ones; then 0.1 less and 0.1 more in turn. */
static char *made(const nist_set *set)
{
  enum { N_TREATMENT = 9, LINE = 48 };
  size_t room = LINE * (size_t)(N_TREATMENT * set->n + 1), n = 0;
  char *csv = malloc(room);
  assert_non_null(csv);
  n += (size_t)snprintf(csv, room, "treatment,plot,response\n");
  for (int treatment = 1, plot = 1; treatment <= N_TREATMENT; treatment++) {
    int mean = treatment == 1 ? 4 : treatment % 2 ? 5 : 3;
    for (int i = 0; i < set->n; i++, plot++) {
      int tenth = i == 0 ? mean : i % 2 ? mean - 1 : mean + 1;
      n += (size_t)snprintf(csv + n, room - n, "%d,%d,%s.%d\n", treatment, plot, set->base, tenth);
    }
  }
  return csv;
}

static void certified_figures_hold(void **state)
{
  const nist_set *set = *state;
  char path[128];
  snprintf(path, sizeof path, "tests/reference/nist_one_way/%s.csv", set->name);
  char *csv = set->base ? made(set) : test_read_file(path);
  cks_settings settings;
  cks_settings_defaults(&settings);
  cks_setting_pair hybrid = {"hybrid", "treatment"}, trait = {"response", NULL};
  settings.heading = (cks_setting_list){1, &hybrid};
  settings.trait = (cks_setting_list){1, &trait};
  test_run run = test_run_csv(&settings, csv, NULL);
  free(csv);
  for (size_t i = 0; i < run.findings->n; i++)
    if (run.findings->finding[i].severity == CKS_ERROR) print_error("error: %s\n", run.findings->finding[i].text);
  assert_int_equal(run.status, CKS_OK);
  json_t *anova = test_json(run.json, "traits.0.locations.0.anova");
  json_t *between = test_json_with(anova, "source", "hybrid"), *within = test_json_with(anova, "source", "error");
  assert_non_null(between);
  assert_non_null(within);
  assert_close(test_json_number(between, "df"), set->df_between, 0);
  assert_close(test_json_number(within, "df"), set->df_within, 0);
  size_t n_short = 0;
  for (size_t i = 0; i < N_FIGURE; i++) {
    double actual = test_json_number(test_json_with(anova, "source", paths[i][0]), paths[i][1]);
    double digits = log_relative_error(actual, set->certified[i]), must = fmin(set->attainable[i] - SPARE, ENOUGH);
    if (digits >= must) continue;
    n_short++;
    print_error("%s: %s of %s is %.15g, certified %.15g: %.2f digits, %.2f expected\n", set->name, paths[i][1],
                paths[i][0], actual, set->certified[i], digits, must);
  }
  test_run_release(&run);
  assert_int_equal(n_short, 0);
}

int main(void)
{
  struct CMUnitTest tests[N_SET];
  for (size_t i = 0; i < N_SET; i++)
    tests[i] = (struct CMUnitTest){sets[i].name, certified_figures_hold, NULL, NULL, (void *)&sets[i]};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
