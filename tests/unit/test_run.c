/*
 * test_run.c: whole runs from a plot list to JSON: faults that once were there, each by the smallest list that showed it,
 * and the keys that other programs rely on.
 */
#include "support/support.h"

#include <stdio.h>
#include <string.h>

static test_run run(const char *csv)
{
  cks_settings settings;
  cks_settings_defaults(&settings);
  return test_run_csv(&settings, csv, NULL);
}

#define YEARS "location,year,rep,hybrid,yield (bu/ac)\n"
#define CELL(place, year, ash, bay)                                                                                    \
  place "," year ",1,Ash," ash "\n" place "," year ",1,Bay," bay "\n" place "," year ",2,Ash," ash ".5\n" place        \
        "," year ",2,Bay," bay ".9\n"

/* With a location-year missing there is no table; over hybrid x environment alone equal hybrids were found different in .64
 * of generated series at .05. */
static void across_when_a_place_lacks_a_year_then_a_mixed_model(void **state)
{
  (void)state;
  test_run r = run(YEARS CELL("A", "2025", "90", "80") CELL("A", "2026", "93", "81") CELL("B", "2026", "99", "85"));
  assert_int_equal(r.status, CKS_OK);
  json_t *across = test_json(r.json, "traits.0.across");
  assert_string_equal(json_string_value(test_json(across, "method")), "reml");
  assert_non_null(strstr(json_string_value(test_json(across, "note")), "not every location was there in every year"));
  test_run_release(&r);
}

static void across_when_every_place_has_every_year_then_it_is_tested(void **state)
{
  (void)state;
  test_run r = run(YEARS CELL("A", "2025", "90", "80") CELL("A", "2026", "93", "81") CELL("B", "2025", "97", "82")
                       CELL("B", "2026", "99", "85"));
  assert_string_equal(json_string_value(test_json(r.json, "traits.0.across.method")), "anova");
  assert_false(cks_is_missing(test_json_number(r.json, "traits.0.across.f")));
  test_run_release(&r);
}

/* Observers of one day are averaged plot by plot; days are traits of their own. */
static void looks_when_two_observers_and_two_days_then_a_mean_and_two_traits(void **state)
{
  (void)state;
  test_run r = run("location,rep,hybrid,stand (JT),stand (MB),lodging (%) 2026-09-01,lodging (%) 2026-10-03\n"
                   "A,1,Ash,30,32,1,9\nA,1,Bay,28,29,2,7\nA,2,Ash,31,,3,8\nA,2,Bay,27,27,1,6\n");
  assert_int_equal(r.status, CKS_OK);
  assert_int_equal(json_array_size(test_json(r.json, "traits")), 3);
  assert_string_equal(json_string_value(test_json(r.json, "traits.0.trait")), "stand");
  assert_close(
      test_json_number(test_json_with(test_json(r.json, "traits.0.locations.0.hybrids"), "hybrid", "Ash"), "mean"), 31,
      1e-14);
  assert_string_equal(json_string_value(test_json(r.json, "traits.1.trait")), "lodging_2026_09_01");
  assert_string_equal(json_string_value(test_json(r.json, "traits.2.label")), "lodging 2026-10-03");
  test_run_release(&r);
}

/* Without reps a hybrid may stand any number of times, with any values, in any order of rows. */
static void plots_when_no_rep_and_equal_values_then_no_finding(void **state)
{
  (void)state;
  test_run r = run("location,hybrid,plot,yield (bu/ac)\nA,H1,1,90\nA,H1,2,90\nA,H2,3,95\nA,H2,4,97\n");
  assert_int_equal(r.status, CKS_OK);
  assert_null(test_finding(r.findings, CKS_RULE_DUPLICATE_ROW));
  assert_null(test_finding(r.findings, CKS_RULE_TWICE_IN_REP));
  assert_string_equal(json_string_value(test_json(r.json, "traits.0.locations.0.design")), "completely randomized");
  test_run_release(&r);
}

static const char *text_at(const test_run *r, const char *path) { return json_string_value(test_json(r->json, path)); }

static void design_when_blocks_hold_several_plots_then_incomplete_blocks(void **state)
{
  (void)state;
  test_run r = run("location,rep,block,hybrid,yield (bu/ac)\n"
                   "A,1,1,Ash,90\nA,1,1,Bay,80\nA,1,2,Cob,85\nA,1,2,Dun,88\n"
                   "A,2,3,Ash,91\nA,2,3,Cob,84\nA,2,4,Bay,82\nA,2,4,Dun,81\n"
                   "A,3,5,Ash,94\nA,3,5,Dun,86\nA,3,6,Bay,78\nA,3,6,Cob,83\n");
  assert_string_equal(text_at(&r, "traits.0.locations.0.design"), "incomplete blocks");
  test_run_release(&r);
}

static void design_when_each_block_holds_one_plot_then_it_says_that_they_are_not_used(void **state)
{
  (void)state;
  test_run r = run("location,rep,block,hybrid,yield (bu/ac)\nA,1,1,Ash,90\nA,1,2,Bay,80\nA,2,3,Ash,91\nA,2,4,Bay,85\n");
  assert_string_equal(text_at(&r, "traits.0.locations.0.design"), "complete blocks");
  assert_non_null(strstr(text_at(&r, "traits.0.locations.0.note"), "blocks of one plot each"));
  test_run_release(&r);
}

/* Names alike in their first 255 bytes are still two hybrids, and the end of a long one is no check's mark. */
static void names_when_longer_than_the_folded_text_then_kept_apart(void **state)
{
  (void)state;
  enum { LONG = 300 };
  char name[LONG + 1], csv[4 * LONG + 200];
  memset(name, 'x', LONG);
  name[LONG] = '\0';
  snprintf(csv, sizeof csv, "location,rep,hybrid,yield (bu/ac)\nA,1,%s1,90\nA,1,%s2,80\nA,2,%s1,91\n", name, name,
           name);
  test_run r = run(csv);
  assert_int_equal(json_array_size(test_json(r.json, "traits.0.locations.0.hybrids")), 2);
  assert_true(json_is_false(test_json(r.json, "traits.0.locations.0.hybrids.0.check")));
  test_run_release(&r);
}

/* The keys of schema 1: other programs read them, so they are added to and never changed. */
static void json_when_written_then_every_key_of_the_schema(void **state)
{
  (void)state;
  static const char *const paths[] = {"program",
                                      "version",
                                      "schema",
                                      "inputs.0.file",
                                      "inputs.0.rows",
                                      "inputs.0.plots",
                                      "left_out",
                                      "findings.0.severity",
                                      "findings.0.rule",
                                      "findings.0.file",
                                      "findings.0.sheet",
                                      "findings.0.cell",
                                      "findings.0.line",
                                      "findings.0.heading",
                                      "findings.0.text",
                                      "traits.0.trait",
                                      "traits.0.label",
                                      "traits.0.unit",
                                      "traits.0.moisture_basis_pct",
                                      "traits.0.better",
                                      "traits.0.strip_adjustment"};
  static const char *const analysis[] = {"design",
                                         "method",
                                         "df_method",
                                         "reps",
                                         "plots",
                                         "mean",
                                         "cv_pct",
                                         "error_df",
                                         "error_ms",
                                         "f",
                                         "p",
                                         "num_df",
                                         "den_df",
                                         "sed",
                                         "sed_min",
                                         "sed_max",
                                         "lsd",
                                         "lsd_df",
                                         "alpha",
                                         "repeatability",
                                         "protected",
                                         "efficiency_pct",
                                         "anova.0.source",
                                         "anova.0.df",
                                         "anova.0.ss",
                                         "anova.0.ms",
                                         "anova.0.f",
                                         "anova.0.p",
                                         "variance",
                                         "hybrids.0.hybrid",
                                         "hybrids.0.brand",
                                         "hybrids.0.check",
                                         "hybrids.0.n",
                                         "hybrids.0.mean",
                                         "hybrids.0.raw_mean",
                                         "hybrids.0.mean_unadjusted",
                                         "hybrids.0.se",
                                         "hybrids.0.rank",
                                         "hybrids.0.group",
                                         "hybrids.0.top",
                                         "hybrids.0.pct_of_mean",
                                         "hybrids.0.pct_of_check",
                                         "hybrids.0.vs_check.0.check",
                                         "hybrids.0.vs_check.0.pct",
                                         "hybrids.0.vs_check.0.difference",
                                         "hybrids.0.vs_check.0.p",
                                         "hybrids.0.vs_check.0.differs",
                                         "hybrids.0.vs_check.0.ci_low",
                                         "hybrids.0.vs_check.0.ci_high"};
  static const char *const across[] = {"locations_as",
                                       "environments",
                                       "loglik",
                                       "outcome",
                                       "hybrids.0.environments",
                                       "hybrids.0.years",
                                       "hybrids.0.shrunken",
                                       "hybrids.0.reliability",
                                       "variance.0.source",
                                       "variance.0.estimate",
                                       "variance.0.se"};
  test_run r = run("location,rep,hybrid,yield (bu/ac)\nA,1,Ash*,90\nA,1,Bay,80\nA,2,Ash*,91\nA,2,Bay,83\nB,1,Ash*,95\n"
                   "B,1,Bay,81\nB,2,Ash*,96\nB,2,Bay,85\n");
  assert_int_equal(r.status, CKS_OK);
  for (size_t i = 0; i < sizeof paths / sizeof *paths; i++) test_json(r.json, paths[i]);
  for (size_t i = 0; i < sizeof analysis / sizeof *analysis; i++) {
    test_json(test_json(r.json, "traits.0.locations.1"), analysis[i]);
    test_json(test_json(r.json, "traits.0.across"), analysis[i]);
  }
  for (size_t i = 0; i < sizeof across / sizeof *across; i++)
    test_json(test_json(r.json, "traits.0.across"), across[i]);
  test_json(r.json, "traits.0.locations.0.location");
  test_json(r.json, "traits.0.locations.0.year");
  test_json(r.json, "traits.0.locations.0.trial");
  test_run_release(&r);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(across_when_a_place_lacks_a_year_then_a_mixed_model),
      cmocka_unit_test(across_when_every_place_has_every_year_then_it_is_tested),
      cmocka_unit_test(looks_when_two_observers_and_two_days_then_a_mean_and_two_traits),
      cmocka_unit_test(plots_when_no_rep_and_equal_values_then_no_finding),
      cmocka_unit_test(design_when_blocks_hold_several_plots_then_incomplete_blocks),
      cmocka_unit_test(design_when_each_block_holds_one_plot_then_it_says_that_they_are_not_used),
      cmocka_unit_test(names_when_longer_than_the_folded_text_then_kept_apart),
      cmocka_unit_test(json_when_written_then_every_key_of_the_schema),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
