/*
 * test_mixed.c: whole runs of unbalanced data, to JSON, against the figures of <folder>/cases.txt (SOURCE.md beside it says
 * where they come from): log-likelihood, components, adjusted means with their SE, F, SEDs' range, p of every difference
 * from the first hybrid (so its SED and its own df), predictions. The engine alone: test_reml.c.
 */
#include "support/support.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct {
  const char *name, *folder, *data, *hybrid, *check; /* data: file of the folder */
  bool environments_random, errors, random, at_place, satterthwaite;
} mixed_case;

static const mixed_case cases[] = {
    {"sorghum-fixed-random", "04a_unbalanced_sorghum_sim", "data.csv", NULL, "CHK1", true, false, false, false, false},
    {"sorghum-fixed-random", "04a_unbalanced_sorghum_sim", "data.csv", NULL, "CHK1", true, false, false, false, true},
    {"sorghum-fixed-fixed", "04a_unbalanced_sorghum_sim", "data.csv", NULL, "CHK1", false, false, false, false, false},
    {"sorghum-errors", "04a_unbalanced_sorghum_sim", "data.csv", NULL, "CHK1", true, true, false, false, false},
    {"sorghum-random-random", "04a_unbalanced_sorghum_sim", "data.csv", NULL, "CHK1", true, false, true, false, false},
    {"strips-random", "04b_strips_sim", "data.csv", NULL, "CHECK", true, false, false, false, false},
    {"strips-fixed", "04b_strips_sim", "data.csv", NULL, "CHECK", false, false, false, false, false},
    {"years-fixed-fixed", "reml", "years.csv", NULL, "H01", false, false, false, false, false},
    {"years-fixed-random", "reml", "years.csv", NULL, "H01", true, false, false, false, false},
    {"nolocation-fixed-fixed", "reml", "years_no_location.csv", NULL, "H01", false, false, false, false, false},
    {"norep-fixed-fixed", "reml", "no_rep.csv", NULL, "H01", false, false, false, false, false},
    {"errors-fixed-fixed", "reml", "errors.csv", NULL, "H01", false, true, false, false, false},
    {"blocks", "reml", "blocks.csv", NULL, "H01", false, false, false, true, false},
    {"lattice", "05c_lattice_soybean_cochran", "data.csv", "variety", "1", false, false, false, true, false},
};

/* What cases.txt calls a component, and the schema. */
static const struct {
  const char *term, *source;
} terms[] = {{"environment", "location"},
             {"environment", "environment"},
             {"rep-in-environment", "rep in location"},
             {"rep-in-environment", "rep in environment"},
             {"hybrid-x-location", "hybrid x location"},
             {"hybrid-x-year", "hybrid x year"},
             {"hybrid-x-environment", "hybrid x environment"},
             {"block-in-rep", "block in rep"},
             {"hybrid-x-environment", "hybrid x location"},
             {"hybrid", "hybrid"},
             {"error", "error"}};

static double component(json_t *variance, const char *term)
{
  for (size_t i = 0; i < sizeof terms / sizeof *terms; i++) {
    json_t *line = strcmp(term, terms[i].term) ? NULL : test_json_with(variance, "source", terms[i].source);
    if (line) return test_json_number(line, "estimate");
  }
  char source[64];
  snprintf(source, sizeof source, "error %s", strchr(term, ':') ? strchr(term, ':') + 1 : "");
  json_t *line = test_json_with(variance, "source", source);
  if (!line) fail_msg("no component '%s'", term);
  return test_json_number(line, "estimate");
}

static void expect(const char *what, double actual, double expected, double relative)
{
  if (!test_close(actual, expected, relative)) fail_msg("%s: %.15g, expected %.15g", what, actual, expected);
}

typedef struct {
  double smallest, largest;
} range;

/* One line of cases.txt behind the name of the case. */
static bool check_line(const mixed_case *c, json_t *analysis, const char *line, range *sed)
{
  char a[64], b[64];
  double x[5];
  json_t *hybrids = test_json(analysis, "hybrids"), *row;
  bool kr = !c->satterthwaite;
  if (sscanf(line, "minus2 %lf", x) == 1) {
    expect("log-likelihood", test_json_number(analysis, "loglik"), -x[0] / 2, 1e-8);
  } else if (sscanf(line, "component %63s %lf", a, x) == 2) {
    expect(a, component(test_json(analysis, "variance"), a), x[0], 1e-5);
  } else if (sscanf(line, "F %lf %lf %lf", x, x + 1, x + 2) == 3 && kr) {
    expect("F", test_json_number(analysis, "f"), x[0], 1e-6);
    expect("num_df", test_json_number(analysis, "num_df"), x[1], 0);
    expect("den_df", test_json_number(analysis, "den_df"), x[2], 1e-5);
  } else if (c->random && sscanf(line, "mean %63s %lf %*s %lf", a, x, x + 1) == 3) {
    row = test_json_with(hybrids, "hybrid", a);
    expect(a, test_json_number(row, "shrunken"), x[0], 1e-6);
    expect(a, test_json_number(row, "reliability"), x[1], 1e-5);
  } else if (sscanf(line, "mean %63s %lf %lf %lf", a, x, x + 1, x + 2) == 4) {
    row = test_json_with(hybrids, "hybrid", a);
    expect(a, test_json_number(row, "mean"), x[0], 1e-7);
    expect(a, test_json_number(row, "se"), x[kr ? 2 : 1], 1e-6);
  } else if (sscanf(line, "pair %63s %63s %lf %lf %lf %lf %lf", a, b, x, x + 1, x + 2, x + 3, x + 4) == 7) {
    double own = x[kr ? 2 : 1], df = x[kr ? 4 : 3];
    sed->smallest = fmin(sed->smallest, own);
    sed->largest = fmax(sed->largest, own);
    row = strcmp(a, c->check) ? NULL : test_json(test_json_with(hybrids, "hybrid", b), "vs_check.0");
    if (!row) return true;
    expect(b, test_json_number(row, "difference"), -x[0], 1e-6);
    if (json_is_null(test_json(row, "p"))) return true; /* set aside: not compared */
    double low = test_json_number(row, "ci_low"), high = test_json_number(row, "ci_high");
    expect(b, test_json_number(row, "p"), 2 * gsl_cdf_tdist_Q(fabs(x[0]) / own, df), kr ? 1e-5 : 1e-3);
    expect(b, (high - low) / 2, gsl_cdf_tdist_Qinv(0.025, df) * own, kr ? 1e-5 : 1e-3);
    expect(b, (high + low) / 2, -x[0], 1e-6);
  } else {
    return false;
  }
  return true;
}

static void check_case(const mixed_case *c)
{
  char path[256], prefix[64];
  cks_settings settings;
  cks_settings_defaults(&settings);
  cks_setting_pair check = {c->check, NULL}, hybrid = {"hybrid", c->hybrid}, yield = {"yield", NULL};
  settings.check = (cks_setting_list){1, &check};
  settings.trait = (cks_setting_list){1, &yield};
  if (c->hybrid) settings.heading = (cks_setting_list){1, &hybrid};
  settings.environments_random = c->environments_random;
  settings.error_by_location = c->errors;
  settings.hybrids_random = c->random;
  settings.unprotected = true;
  settings.df = c->satterthwaite ? CKS_DF_SATTERTHWAITE : CKS_DF_DEFAULT;
  snprintf(path, sizeof path, "tests/reference/%s/%s", c->folder, c->data);
  char *csv = test_read_file(path);
  snprintf(path, sizeof path, "tests/reference/%s/cases.txt", c->folder);
  char *text = test_read_file(path);
  test_run run = test_run_csv(&settings, csv, NULL);
  assert_int_equal(run.status, CKS_OK);
  json_t *analysis = test_json(run.json, c->at_place ? "traits.0.locations.0" : "traits.0.across");
  range sed = {INFINITY, 0};
  size_t n = 0, k = (size_t)snprintf(prefix, sizeof prefix, "%s ", c->name);
  for (char *line = strtok(text, "\n"); line; line = strtok(NULL, "\n"))
    if (!strncmp(line, prefix, k)) n += check_line(c, analysis, line + k, &sed);
  if (sed.largest > 0) {
    expect("sed_min", test_json_number(analysis, "sed_min"), sed.smallest, 1e-6);
    expect("sed_max", test_json_number(analysis, "sed_max"), sed.largest, 1e-6);
  }
  printf("%s: %zu lines\n", c->name, n);
  assert_true(n > 1);
  test_run_release(&run);
  free(text);
  free(csv);
}

static void runs_when_not_balanced_then_the_figures_of_other_programs(void **state)
{
  (void)state;
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) check_case(&cases[i]);
}

/* Cochran & Cox 1957, p. 406, see SOURCE.md: 174.3 % against complete blocks; the intrablock table. */
static void lattice_when_run_then_efficiency_and_the_intrablock_table(void **state)
{
  (void)state;
  cks_settings settings;
  cks_settings_defaults(&settings);
  cks_setting_pair hybrid = {"hybrid", "variety"};
  settings.heading = (cks_setting_list){1, &hybrid};
  char *csv = test_read_file("tests/reference/05c_lattice_soybean_cochran/data.csv");
  test_run run = test_run_csv(&settings, csv, NULL);
  json_t *a = test_json(run.json, "traits.0.locations.0");
  assert_close(test_json_number(a, "efficiency_pct"), 174.335323163486, 1e-7);
  assert_close(test_json_number(a, "anova.0.ss"), 212.18, 1e-12);
  assert_close(test_json_number(a, "anova.1.ss"), 350, 1e-12);
  assert_close(test_json_number(a, "anova.2.ss"), 711.12, 1e-12);
  assert_close(test_json_number(a, "anova.2.f"), 2.16990113511534, 1e-12);
  assert_close(test_json_number(a, "anova.3.ss"), 218.48, 1e-12);
  assert_close(test_json_number(a, "anova.4.ss"), 1491.78, 1e-12);
  test_run_release(&run);
  free(csv);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(runs_when_not_balanced_then_the_figures_of_other_programs),
      cmocka_unit_test(lattice_when_run_then_efficiency_and_the_intrablock_table),
  };
  return cmocka_run_group_tests(tests, test_start, NULL);
}
