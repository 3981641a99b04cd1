/* test_caution.c: what may not be said: no error to test with, percent, ratings, no good end, outliers named with care.
 */
#include "support/make_trial.h"
#include "support/support.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { SEED = 19340528 };

static void expect_means_only(const double *table, size_t g, size_t r, const char *why)
{
  made_plot plots[40];
  size_t n = made_from_table(plots, table, g, r, made_names);
  cks_settings settings = made_settings();
  made_analysis made = made_analyze(made_trial(plots, n, CKS_ROLE_YIELD, NULL), &settings);
  const cks_analysis *a = &made.results->trait[0].location[0];
  assert_int_equal(a->method, CKS_METHOD_MEANS);
  if (!strstr(a->why, why)) fail_msg("\"%s\" says nothing of \"%s\"", a->why, why);
  assert_true(isnan(a->lsd) && isnan(a->f) && isnan(a->sed));
  assert_int_equal(a->n_top, 0);
  for (size_t i = 0; i < a->n_hybrid; i++) {
    assert_null(a->hybrid[i].group);
    assert_int_equal(a->hybrid[i].rank, 0);
    assert_int_equal(a->hybrid[i].top, CKS_TOP_NOT_ASKED);
    assert_close(a->hybrid[i].mean, a->hybrid[i].raw_mean, 0);
  }
  made_analysis_release(&made);
}

static void analyze_when_there_is_no_error_to_test_with_then_means_only(void **state)
{
  (void)state;
  static const double single[] = {222.2, 175.3, 163.6, 184.6,
                                  172.7}; /* one corn hybrid as five entries: farm magazine */
  static const double no_df[] = {1, 2, NAN, NAN, 3, 5};
  static const double apart[] = {1, 2, NAN, NAN, 3, 5, NAN, NAN, NAN, NAN, 4, 6, NAN, NAN, 7, 9};
  static const double constant[] = {60, 60, 60, 60, 60, 60};
  static const double copied[] = {61, 61, 64, 64, 59, 59};
  static const double mostly_single[] = {1, NAN, NAN, 2, NAN, 3, 5, 6, 4, NAN};
  static const double alone[] = {5, 6, 7};
  expect_means_only(single, 5, 1, "one plot a hybrid");
  expect_means_only(no_df, 2, 3, "degrees of freedom");
  expect_means_only(apart, 4, 4, "share no rep");
  expect_means_only(constant, 3, 2, "one value in every plot");
  expect_means_only(copied, 3, 2, "to the last digit");
  expect_means_only(mostly_single, 5, 2, "have one plot");
  expect_means_only(alone, 1, 3, "one hybrid only");
}

static void analyze_when_hybrids_share_no_rep_then_a_finding(void **state)
{
  (void)state;
  static const double apart[] = {1, 2, NAN, NAN, 3, 5, NAN, NAN, NAN, NAN, 4, 6, NAN, NAN, 7, 9};
  made_plot plots[16];
  size_t n = made_from_table(plots, apart, 4, 4, made_names);
  cks_settings settings = made_settings();
  made_analysis made = made_analyze(made_trial(plots, n, CKS_ROLE_YIELD, NULL), &settings);
  assert_non_null(test_finding(made.findings, CKS_RULE_DISCONNECTED));
  made_analysis_release(&made);
}

static made_analysis analyze_trait(const double *table, size_t g, size_t r, cks_role role, double low, double high,
                                   cks_better better)
{
  made_plot plots[40];
  size_t n = made_from_table(plots, table, g, r, made_names);
  cks_settings settings = made_settings();
  cks_trial *trial = made_trial(plots, n, role, NULL);
  trial->trait[0].scale_low = low;
  trial->trait[0].scale_high = high;
  trial->trait[0].better = better;
  made_analysis made = made_analyze(trial, &settings);
  assert_int_equal(made.status, CKS_OK);
  return made;
}

static void percent_when_beyond_the_middle_then_arcsine_and_no_lsd(void **state)
{
  (void)state;
  static const double lodging[] = {2, 4, 3, 5, 30, 41, 35, 28, 8, 12, 9, 7};
  made_analysis made = analyze_trait(lodging, 3, 4, CKS_ROLE_LODGING, NAN, NAN, CKS_BETTER_LOW);
  const cks_trait_result *t = &made.results->trait[0];
  const cks_analysis *a = &t->location[0];
  double sum = 0;
  for (int p = 0; p < 12; p++) sum += asin(sqrt(lodging[p] / 100));
  double total = 0;
  for (int p = 0; p < 12; p++) total += pow(asin(sqrt(lodging[p] / 100)) - sum / 12, 2);
  assert_true(t->arcsine);
  assert_close(made_line(a, "total")->ss, total, 1e-12);
  assert_true(isnan(a->lsd) && isnan(a->sed) && isnan(a->cv_pct) && isnan(a->hybrid[0].se));
  assert_true(*a->lsd_why);
  assert_close(made_row(&made, a, "A")->mean, 3.5, 1e-13); /* shown in percent, best first: low is good */
  assert_int_equal(made_row(&made, a, "A")->rank, 1);
  assert_int_equal(made_row(&made, a, "B")->rank, 3);
  assert_string_equal(made_row(&made, a, "A")->group, "a");
  made_analysis_release(&made);
}

static void percent_when_all_in_the_middle_then_as_measured(void **state)
{
  (void)state;
  static const double lodging[] = {32, 34, 33, 60, 61, 65, 48, 42, 49};
  made_analysis made = analyze_trait(lodging, 3, 3, CKS_ROLE_LODGING, NAN, NAN, CKS_BETTER_LOW);
  assert_false(made.results->trait[0].arcsine);
  assert_false(cks_is_missing(made.results->trait[0].location[0].lsd));
  made_analysis_release(&made);
}

static void percent_when_mostly_zero_then_means_only(void **state)
{
  (void)state;
  static const double lodging[] = {0, 0, 0, 0, 0, 5, 0, 20, 10};
  made_analysis made = analyze_trait(lodging, 3, 3, CKS_ROLE_LODGING, NAN, NAN, CKS_BETTER_LOW);
  assert_int_equal(made.results->trait[0].location[0].method, CKS_METHOD_MEANS);
  assert_non_null(strstr(made.results->trait[0].location[0].why, "0 or 100"));
  made_analysis_release(&made);
}

static void rating_when_scale_unknown_then_averaged_never_compared(void **state)
{
  (void)state;
  static const double aphid[] = {2, 3, 2, 8, 7, 9, 5, 4, 6};
  made_analysis made = analyze_trait(aphid, 3, 3, CKS_ROLE_APHID, NAN, NAN, CKS_BETTER_NONE);
  const cks_analysis *a = &made.results->trait[0].location[0];
  assert_int_equal(a->method, CKS_METHOD_MEANS);
  assert_close(made_row(&made, a, "B")->mean, 8, 1e-14);
  assert_int_equal(made_row(&made, a, "A")->rank, 0);
  made_analysis_release(&made);
  made = analyze_trait(aphid, 3, 3, CKS_ROLE_APHID, 1, 9, CKS_BETTER_LOW);
  a = &made.results->trait[0].location[0];
  assert_int_equal(a->method, CKS_METHOD_ANOVA);
  assert_int_equal(made_row(&made, a, "A")->rank, 1);
  assert_true(isnan(made_row(&made, a, "A")->pct_of_mean));
  assert_non_null(strstr(a->note, "caution"));
  made_analysis_release(&made);
}

static void rating_when_few_values_then_medians(void **state)
{
  (void)state;
  static const double vigor[] = {1, 1, 3, 3, 3, 3, 2, 3, 2};
  made_analysis made = analyze_trait(vigor, 3, 3, CKS_ROLE_VIGOR, 1, 5, CKS_BETTER_LOW);
  const cks_analysis *a = &made.results->trait[0].location[0];
  assert_int_equal(a->method, CKS_METHOD_MEANS);
  assert_non_null(strstr(a->why, "medians"));
  assert_close(made_row(&made, a, "A")->mean, 1, 0);
  assert_close(made_row(&made, a, "A")->raw_mean, 5.0 / 3, 1e-14);
  made_analysis_release(&made);
}

/* 2 x 3 plots, one lost, near 0 %: there is no SED in percent, and pairs still differ in precision. */
static void percent_when_plots_are_lost_then_pairs_are_not_taken_as_equal(void **state)
{
  (void)state;
  static const double lost[] = {2, 4, 3, 30, NAN, 41, 8, 12, 9}, whole[] = {2, 4, 3, 30, 35, 41, 8, 12, 9};
  made_analysis made = analyze_trait(lost, 3, 3, CKS_ROLE_LODGING, NAN, NAN, CKS_BETTER_LOW);
  const cks_analysis *a = &made.results->trait[0].location[0];
  assert_int_equal(a->method, CKS_METHOD_ANOVA);
  assert_true(isnan(a->sed) && !a->equal_sed);
  assert_non_null(strstr(a->note, "pairs differ in precision"));
  assert_true(isnan(made_line(a, "rep")->f)); /* its SS is not adjusted for hybrids */
  made_analysis_release(&made);
  made = analyze_trait(whole, 3, 3, CKS_ROLE_LODGING, NAN, NAN, CKS_BETTER_LOW);
  assert_true(made.results->trait[0].location[0].equal_sed);
  made_analysis_release(&made);
}

/* Entries once, checks in every rep: an error would be that of the checks alone, and 4 df are too few for it. */
static void entries_when_single_beside_repeated_checks_then_means_only(void **state)
{
  (void)state;
  static const double table[] = {50, 52, 55, 61, 60, 66, 70, 72, 71, 58, NAN, NAN, NAN, 63, NAN, NAN, NAN, 47};
  const char *const checks[] = {"A", "B", "C", NULL};
  for (int marked = 0; marked < 2; marked++) {
    made_plot plots[18];
    size_t n = made_from_table(plots, table, marked ? 5 : 6, 3, made_names);
    cks_settings settings = made_settings();
    made_analysis made = made_analyze(made_trial(plots, n, CKS_ROLE_YIELD, marked ? checks : NULL), &settings);
    const cks_analysis *a = &made.results->trait[0].location[0];
    assert_int_equal(a->method, CKS_METHOD_MEANS);
    assert_non_null(strstr(a->why, marked ? "the check plots leave 4 df" : "have one plot"));
    made_analysis_release(&made);
  }
}

/* Three different ratings here, three others there: six in all, and medians at both places. */
static void rating_when_few_values_at_each_place_then_medians_at_each(void **state)
{
  (void)state;
  static const double table[] = {1, 1, 2, 2, 3, 3, 2, 3, 1};
  made_plot plots[18];
  size_t n = made_from_table(plots, table, 3, 3, made_names);
  for (size_t p = 0; p < n; p++) {
    plots[n + p] = plots[p];
    plots[n + p].location = "There";
    plots[n + p].value += 4;
  }
  cks_settings settings = made_settings();
  cks_trial *trial = made_trial(plots, 2 * n, CKS_ROLE_APHID, NULL);
  trial->trait[0].scale_low = 1;
  trial->trait[0].scale_high = 9;
  trial->trait[0].better = CKS_BETTER_LOW;
  made_analysis made = made_analyze(trial, &settings);
  const cks_trait_result *t = &made.results->trait[0];
  for (size_t j = 0; j < 2; j++) {
    assert_int_equal(t->location[j].method, CKS_METHOD_MEANS);
    assert_non_null(strstr(t->location[j].why, "medians"));
    assert_true(isnan(t->location[j].mean)); /* a mean of medians is neither */
  }
  assert_int_equal(t->across->method, CKS_METHOD_NONE);
  assert_non_null(strstr(t->across->why, "fewer than 4 different ratings"));
  made_analysis_release(&made);
}

/* The protected rule makes no pair's test after an F that finds nothing. */
static void check_when_f_finds_nothing_then_no_p(void **state)
{
  (void)state;
  static const double table[] = {50, 60, 55, 52, 58, 57, 54, 61, 53};
  const char *const checks[] = {"A", NULL};
  made_plot plots[9];
  size_t n = made_from_table(plots, table, 3, 3, made_names);
  cks_settings settings = made_settings();
  for (int unprotected = 0; unprotected < 2; unprotected++) {
    settings.unprotected = unprotected;
    made_analysis made = made_analyze(made_trial(plots, n, CKS_ROLE_YIELD, checks), &settings);
    const cks_analysis *a = &made.results->trait[0].location[0];
    assert_true(a->p > 0.05);
    assert_int_equal(isnan(made_row(&made, a, "B")->vs_check[0].p), !unprotected);
    assert_close(made_row(&made, a, "B")->vs_check[0].difference, 2.0 / 3, 1e-13);
    made_analysis_release(&made);
  }
}

static void no_good_end_when_days_then_letters_but_no_rank(void **state)
{
  (void)state;
  static const double days[] = {58, 59, 58, 66, 65, 66, 62, 61, 63};
  made_analysis made = analyze_trait(days, 3, 3, CKS_ROLE_DAYS_TO_MID_BLOOM, NAN, NAN, CKS_BETTER_NONE);
  const cks_analysis *a = &made.results->trait[0].location[0];
  assert_true(a->significant);
  assert_true(isnan(a->cv_pct)); /* no true zero */
  assert_string_equal(made.results->hybrid[a->hybrid[0].hybrid].name, "A");
  for (size_t i = 0; i < 3; i++) {
    assert_int_equal(a->hybrid[i].rank, 0);
    assert_int_equal(a->hybrid[i].top, CKS_TOP_NOT_ASKED);
  }
  assert_string_equal(made_row(&made, a, "B")->group, "a"); /* the highest mean */
  made_analysis_release(&made);
}

static void blocks_when_no_rep_then_reps_and_when_in_reps_then_said(void **state)
{
  (void)state;
  made_plot plots[12];
  for (size_t p = 0; p < 12; p++)
    plots[p] = (made_plot){
        "Here", 2026, NULL, made_reps[p % 3], made_names[p / 3], 50 + (double)(p * p % 7) + 4 * (double)(p / 3)};
  cks_settings settings = made_settings();
  made_analysis made = made_analyze(made_trial(plots, 12, CKS_ROLE_YIELD, NULL), &settings);
  assert_string_equal(made.results->trait[0].location[0].design, "complete blocks");
  assert_non_null(strstr(made.results->trait[0].location[0].note, "blocks stand for reps"));
  made_analysis_release(&made);
  for (size_t p = 0; p < 12; p++) {
    plots[p].rep = made_reps[p % 3];
    plots[p].block = made_reps[(p / 3) % 2];
  }
  made = made_analyze(made_trial(plots, 12, CKS_ROLE_YIELD, NULL), &settings);
  assert_int_equal(made.results->trait[0].location[0].method, CKS_METHOD_REML);
  assert_non_null(strstr(made.results->trait[0].location[0].note, "incomplete blocks"));
  made_analysis_release(&made);
}

/* One block 25 below the others: its plots are as sound as any. */
static void outlier_when_a_block_is_poor_then_none_of_its_plots(void **state)
{
  (void)state;
  static const char *const block_of[3][8] = {{"1", "1", "1", "1", "2", "2", "2", "2"},
                                             {"1", "2", "1", "2", "1", "2", "1", "2"},
                                             {"1", "1", "2", "2", "2", "2", "1", "1"}};
  made_plot plots[24];
  test_random random = {SEED + 7};
  printf("seed %d\n", SEED + 7);
  for (size_t p = 0; p < 24; p++) {
    size_t rep = p / 8, h = p % 8;
    bool poor = rep == 1 && block_of[rep][h][0] == '2';
    plots[p] =
        (made_plot){"Here",           2026,          made_reps[rep],
                    block_of[rep][h], made_names[h], 90 + 2 * (double)h - (poor ? 25 : 0) + test_normal(&random)};
  }
  cks_settings settings = made_settings();
  made_analysis made = made_analyze(made_trial(plots, 24, CKS_ROLE_YIELD, NULL), &settings);
  assert_null(test_finding(made.findings, CKS_RULE_OUTLIER));
  made_analysis_release(&made);
  plots[5].value += 25;
  made = made_analyze(made_trial(plots, 24, CKS_ROLE_YIELD, NULL), &settings);
  assert_int_equal(test_finding(made.findings, CKS_RULE_OUTLIER)->where.line, 5 + 2);
  made_analysis_release(&made);
}

static void outlier_when_one_plot_is_far_off_then_it_is_named(void **state)
{
  (void)state;
  double table[10 * 4];
  test_random random = {SEED + 2};
  printf("seed %d\n", SEED + 2);
  for (int i = 0; i < 40; i++) table[i] = 90 + 2 * (i / 4) + 3 * (i % 4) + test_normal(&random);
  table[17] += 25;
  made_analysis made = analyze_trait(table, 10, 4, CKS_ROLE_YIELD, NAN, NAN, CKS_BETTER_HIGH);
  const cks_finding *finding = test_finding(made.findings, CKS_RULE_OUTLIER);
  assert_non_null(finding);
  assert_int_equal(finding->where.line, 17 + 2);
  assert_non_null(strstr(finding->text, "E (rep 2)"));
  assert_int_equal(made.findings->n, 1);
  made_analysis_release(&made);
}

static void outlier_when_two_reps_then_both_plots_are_named_once(void **state)
{
  (void)state;
  double table[10 * 2];
  test_random random = {SEED + 3};
  printf("seed %d\n", SEED + 3);
  for (int i = 0; i < 20; i++) table[i] = 90 + 2 * (i / 2) + 3 * (i % 2) + test_normal(&random);
  table[9] += 40;
  made_analysis made = analyze_trait(table, 10, 2, CKS_ROLE_YIELD, NAN, NAN, CKS_BETTER_HIGH);
  const cks_finding *finding = test_finding(made.findings, CKS_RULE_OUTLIER);
  assert_non_null(finding);
  assert_non_null(strstr(finding->text, "E (rep 1)"));
  assert_non_null(strstr(finding->text, "E (rep 2)"));
  assert_non_null(strstr(finding->text, "cannot say which"));
  assert_int_equal(made.findings->n_severity[CKS_WARNING], 1);
  made_analysis_release(&made);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(analyze_when_there_is_no_error_to_test_with_then_means_only),
      cmocka_unit_test(analyze_when_hybrids_share_no_rep_then_a_finding),
      cmocka_unit_test(percent_when_beyond_the_middle_then_arcsine_and_no_lsd),
      cmocka_unit_test(percent_when_all_in_the_middle_then_as_measured),
      cmocka_unit_test(percent_when_mostly_zero_then_means_only),
      cmocka_unit_test(rating_when_scale_unknown_then_averaged_never_compared),
      cmocka_unit_test(rating_when_few_values_then_medians),
      cmocka_unit_test(percent_when_plots_are_lost_then_pairs_are_not_taken_as_equal),
      cmocka_unit_test(entries_when_single_beside_repeated_checks_then_means_only),
      cmocka_unit_test(rating_when_few_values_at_each_place_then_medians_at_each),
      cmocka_unit_test(check_when_f_finds_nothing_then_no_p),
      cmocka_unit_test(no_good_end_when_days_then_letters_but_no_rank),
      cmocka_unit_test(blocks_when_no_rep_then_reps_and_when_in_reps_then_said),
      cmocka_unit_test(outlier_when_a_block_is_poor_then_none_of_its_plots),
      cmocka_unit_test(outlier_when_one_plot_is_far_off_then_it_is_named),
      cmocka_unit_test(outlier_when_two_reps_then_both_plots_are_named_once),
  };
  return cmocka_run_group_tests(tests, test_start, NULL);
}
