/* test_least_squares.c: one location: published tables, a dense solution of the same model, and what may not be said.
 */
#include "../../src/analyze/least_squares.h"
#include "../../src/math/dense.h"
#include "support/make_trial.h"
#include "support/support.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { SEED = 19340526, SETS = 200 };

/* Gomez & Gomez 1984, Statistical Procedures for Agricultural Research, table 2.5: rice at six seeding rates, 4 reps.
 */
static const char *const rates[] = {"25kg", "50kg", "75kg", "100kg", "125kg", "150kg"};
static const double rice[] = {5113, 5398, 5307, 4678, 5346, 5952, 4719, 4264, 5272, 5713, 5483, 4749,
                              5164, 4831, 4986, 4410, 4804, 4848, 4432, 4748, 5254, 4542, 4919, 4098};

static made_analysis analyze_rice(bool unprotected, bool lose_one)
{
  double table[24];
  made_plot plots[24];
  memcpy(table, rice, sizeof table);
  if (lose_one) table[3 * 4 + 1] = NAN;
  size_t n = made_from_table(plots, table, 6, 4, rates);
  cks_settings settings = made_settings();
  settings.unprotected = unprotected;
  const char *const checks[] = {"25kg", NULL};
  made_analysis made = made_analyze(made_trial(plots, n, CKS_ROLE_YIELD, checks), &settings);
  assert_int_equal(made.status, CKS_OK);
  return made;
}

/* The sums of squares are the book's (table 2.6), the further digits and the LSD from R 4.2.2. */
static void complete_blocks_when_rice_of_gomez_then_the_published_table(void **state)
{
  (void)state;
  made_analysis made = analyze_rice(true, false);
  const cks_analysis *a = &made.results->trait[0].location[0];
  assert_string_equal(a->design, "complete blocks");
  assert_close(made_line(a, "rep")->ss, 1944360.83333334, 1e-12);
  assert_close(made_line(a, "hybrid")->ss, 1198330.83333333, 1e-12);
  assert_close(made_line(a, "error")->ss, 1658376.16666667, 1e-12);
  assert_close(made_line(a, "total")->ss, 4801067.83333334, 1e-12);
  assert_close(made_line(a, "rep")->ss + made_line(a, "hybrid")->ss + made_line(a, "error")->ss,
               made_line(a, "total")->ss, 1e-13);
  assert_close(a->f, 2.16777868149537, 1e-12);
  assert_close(a->p, 0.112809412634841, 1e-10);
  assert_close(a->cv_pct, 6.70425774561566, 1e-12);
  assert_close(a->sed, 235.115302682653, 1e-12);
  assert_close(a->lsd, 501.13640505709, 1e-11);
  assert_close(a->repeatability, 0.538698295847164, 1e-11);
  static const char *const letters[] = {"ab", "ab", "a", "ab", "b", "b"};
  for (int i = 0; i < 6; i++) assert_string_equal(made_row(&made, a, rates[i])->group, letters[i]);
  assert_int_equal(made_row(&made, a, "75kg")->rank, 1);
  assert_int_equal(made_row(&made, a, "150kg")->rank, 6);
  assert_int_equal(a->n_top, 4);
  const cks_vs_check *vs = made_row(&made, a, "150kg")->vs_check;
  assert_close(vs->difference, -420.75, 1e-12);
  assert_close(vs->p, 0.0937321071414429, 1e-9);
  assert_close(vs->pct, 100 * 4703.25 / 5124, 1e-12);
  assert_int_equal(vs->differs, CKS_DIFFERS_UNKNOWN);
  assert_close(made_row(&made, a, "25kg")->vs_check->pct, 100, 1e-14); /* the check beside itself: no test */
  assert_true(isnan(made_row(&made, a, "25kg")->vs_check->p));
  made_analysis_release(&made);
}

static void protected_rule_when_f_not_significant_then_nothing_is_ranked(void **state)
{
  (void)state;
  made_analysis made = analyze_rice(false, false);
  const cks_analysis *a = &made.results->trait[0].location[0];
  assert_false(a->significant);
  assert_true(isnan(a->lsd));
  assert_string_equal(a->lsd_why, "no differences found: F not significant at 0.05");
  assert_close(a->sed, 235.115302682653, 1e-12);
  static const char *const by_name[] = {"25kg", "50kg", "75kg", "100kg", "125kg", "150kg"};
  for (size_t i = 0; i < 6; i++) {
    const cks_hybrid_result *row = &a->hybrid[i];
    assert_string_equal(made.results->hybrid[row->hybrid].name, by_name[i]);
    assert_int_equal(row->rank, 0);
    assert_string_equal(row->group, "a");
    assert_int_equal(row->top, CKS_TOP_IN);
    assert_int_equal(row->vs_check->differs, CKS_DIFFERS_UNKNOWN);
  }
  assert_int_equal(a->n_top, 6);
  made_analysis_release(&made);
}

/* The same without the plot of 100 kg in rep 2 (Gomez & Gomez 1984, section 7.1): R 4.2.2, lm and emmeans. */
static void lost_plot_when_rice_of_gomez_then_the_exact_analysis(void **state)
{
  (void)state;
  made_analysis made = analyze_rice(true, true);
  const cks_analysis *a = &made.results->trait[0].location[0];
  assert_string_equal(a->design, "complete blocks, plots lost");
  assert_close(made_line(a, "rep")->ss, 2103135.10434783, 1e-12);
  assert_close(made_line(a, "hybrid")->ss, 1139954.21111111, 1e-11);
  assert_close(made_line(a, "error")->ss, 1540725.98888889, 1e-11);
  assert_close(a->f, 2.07166739195006, 1e-11);
  assert_close(a->p, 0.130058124249846, 1e-10);
  assert_close(made_row(&made, a, "100kg")->mean, 4956.21666666667, 1e-12);
  assert_close(made_row(&made, a, "100kg")->raw_mean, 4853.33333333333, 1e-12);
  assert_close(made_row(&made, a, "100kg")->se, 196.260413028767, 1e-11);
  assert_close(made_row(&made, a, "25kg")->se, 165.870323106038, 1e-11);
  assert_close(a->sed, 242.039106890475, 1e-11);
  assert_close(a->sed_min, 234.576060531767, 1e-11);
  assert_close(a->sed_max, 256.965199607892, 1e-11);
  assert_close(a->lsd, 2.14478668791780 * 242.039106890475, 1e-9); /* t(.05, 14): R 4.2.2, qt */
  assert_true(isnan(a->repeatability));
  assert_close(made_row(&made, a, "125kg")->vs_check->p, 0.097905635578606, 1e-9);
  made_analysis_release(&made);
}

/* Snedecor & Cochran 1967, Statistical Methods: four wheats in five blocks, three plots lost; R 4.2.2, lm and emmeans.
 */
static void lost_plots_when_wheat_of_snedecor_then_the_exact_analysis(void **state)
{
  (void)state;
  static const double wheat[] = {32.3, NAN,  34.3, 35,   36.5, 33.3, 33, 36.3, NAN, 34.5,
                                 30.8, 34.3, 35.3, 32.3, 35.8, NAN,  26, 29.8, 28,  28.8};
  static const double mean[] = {34.3331168831169, 34.2422077922078, 33.7, 27.6603896103896};
  made_plot plots[20];
  size_t n = made_from_table(plots, wheat, 4, 5, made_names);
  cks_settings settings = made_settings();
  made_analysis made = made_analyze(made_trial(plots, n, CKS_ROLE_YIELD, NULL), &settings);
  const cks_analysis *a = &made.results->trait[0].location[0];
  assert_close(made_line(a, "hybrid")->ss, 116.578576839827, 1e-11);
  assert_close(made_line(a, "error")->ss, 12.8022564935065, 1e-11);
  assert_close(a->f, 27.3182880453045, 1e-11);
  assert_close(a->sed, 0.848178011355413, 1e-11);
  assert_close(a->sed_min, 0.815507379106382, 1e-11);
  assert_close(a->sed_max, 0.880848643604444, 1e-11);
  for (int i = 0; i < 4; i++) {
    assert_close(made_row(&made, a, made_names[i])->mean, mean[i], 1e-12);
    assert_string_equal(made_row(&made, a, made_names[i])->group, i < 3 ? "a" : "b");
  }
  made_analysis_release(&made);
}

/* NIST StRD, SiRstv (resistance of silicon wafers), certified F 1.18046237440255, within SS 0.21663656. */
static void one_way_when_no_rep_then_the_certified_table(void **state)
{
  (void)state;
  static const double silicon[] = {196.3052, 196.1240, 196.1890, 196.2569, 196.3403, 196.3042, 196.3825,
                                   196.1669, 196.3257, 196.0422, 196.1303, 196.2005, 196.2889, 196.0343,
                                   196.1811, 196.2795, 196.1748, 196.1494, 196.1485, 195.9885, 196.2119,
                                   196.1051, 196.1850, 196.0052, 196.2090};
  made_plot plots[25];
  for (size_t p = 0; p < 25; p++) plots[p] = (made_plot){"Lab", 2026, NULL, NULL, made_names[p / 5], silicon[p]};
  cks_settings settings = made_settings();
  made_analysis made = made_analyze(made_trial(plots, 25, CKS_ROLE_OTHER, NULL), &settings);
  const cks_analysis *a = &made.results->trait[0].location[0];
  assert_string_equal(a->design, "completely randomized");
  assert_close(a->f, 1.18046237440255, 1e-12);
  assert_close(made_line(a, "error")->ss, 0.21663656, 1e-12);
  assert_close(made_line(a, "hybrid")->ss, 5.11462616e-02, 1e-12);
  made_analysis_release(&made);
}

/* Plots with the printed means and CV of a published trial: residuals whose rows and columns sum to 0, scaled to the
 * MSE. */
static made_analysis analyze_published(const double *mean, size_t g, double s, double alpha)
{
  static char label[32][24];
  made_plot plots[32 * 4];
  const double by_rep[] = {1, -1, 1, -1};
  double squares = 0;
  for (size_t i = 0; i < g; i++) squares += pow((double)i - ((double)g - 1) / 2, 2) * 4;
  double scale = s * sqrt((double)(g - 1) * 3 / squares);
  for (size_t i = 0; i < g; i++) {
    snprintf(label[i], sizeof label[i], "N%zu", i + 1);
    for (size_t k = 0; k < 4; k++)
      plots[i * 4 + k] = (made_plot){
          "Place", 2004, made_reps[k], NULL, label[i], mean[i] + scale * ((double)i - ((double)g - 1) / 2) * by_rep[k]};
  }
  cks_settings settings = made_settings();
  settings.alpha = alpha;
  made_analysis made = made_analyze(made_trial(plots, g * 4, CKS_ROLE_YIELD, NULL), &settings);
  assert_int_equal(made.status, CKS_OK);
  return made;
}

/* Georgia Agr. Exp. Stn. Research Report 697 (2004), early nonirrigated sorghum, 29 entries: mean 64.4, CV 11.5 %,
 * error df 84, LSD(0.10) 8.7, SE 3.7 printed; 68.5 lies 0.010 inside the unrounded LSD of the best. */
static void top_group_when_georgia_2004_then_thirteen(void **state)
{
  (void)state;
  static const double mean[] = {77.2, 76.5, 75.7, 74.5, 73.8, 73.1, 72.9, 72.0, 70.8, 68.7,
                                68.7, 68.6, 68.5, 67.9, 67.2, 66.5, 65.5, 64.7, 63.6, 63.5,
                                61.8, 61.6, 60.0, 56.0, 53.8, 53.5, 46.4, 46.1, 28.1};
  made_analysis made = analyze_published(mean, 29, 0.115 * 64.4, 0.10);
  const cks_analysis *a = &made.results->trait[0].location[0];
  assert_close(a->error_df, 84, 0);
  assert_true(fabs(a->lsd - 8.710) < 0.0006);
  assert_true(fabs(a->hybrid[0].se - 3.703) < 0.0006);
  assert_int_equal(a->n_top, 13);
  assert_int_equal(made_row(&made, a, "N13")->top, CKS_TOP_IN);
  assert_int_equal(made_row(&made, a, "N14")->top, CKS_TOP_OUT);
  assert_int_equal(made_row(&made, a, "N10")->rank, 10); /* equal means share a rank */
  assert_int_equal(made_row(&made, a, "N11")->rank, 10);
  assert_int_equal(made_row(&made, a, "N12")->rank, 12);
  made_analysis_release(&made);
}

/* Georgia AP103-4 (2012), 7 entries: CV 9.9, df 18, LSD(0.10) 13.9 printed (13.960 unrounded), SE 5.7, top group 1. */
static void top_group_when_georgia_2012_then_one(void **state)
{
  (void)state;
  static const double mean[] = {139.3, 122.0, 118.2, 112.1, 109.1, 105.8, 98.7};
  made_analysis made = analyze_published(mean, 7, 0.099 * 115.0, 0.10);
  const cks_analysis *a = &made.results->trait[0].location[0];
  assert_close(a->error_df, 18, 0);
  assert_true(fabs(a->lsd - 13.960) < 0.006);
  assert_int_equal(a->n_top, 1);
  made_analysis_release(&made);
}

/* ---- the same model, solved dense ------------------------------------------------------------------------------- */

enum { G = 6, R = 4, MOST = 40, P = G + R - 1 };

/* The row of the design matrix: a mean for each hybrid, rep effects that sum to 0. */
static void design_row(double x[P], uint32_t hybrid, uint32_t rep)
{
  memset(x, 0, P * sizeof *x);
  x[hybrid] = 1;
  for (size_t k = 0; k < R - 1; k++) x[G + k] = rep == R - 1 ? -1 : rep == k;
}

static double form(const double *inverse, const double *x)
{
  double sum = 0;
  for (size_t i = 0; i < P; i++)
    for (size_t j = 0; j < P; j++) sum += x[i] * inverse[i * P + j] * x[j];
  return sum;
}

static void compare_with_dense(const cks_layout *l, const double *y, const cks_fit *fit)
{
  double normal[P * P] = {0}, right[P] = {0}, beta[P] = {0}, x[P], ss = 0;
  for (size_t p = 0; p < l->n; p++) {
    design_row(x, l->hybrid[p], l->rep[p]);
    for (size_t i = 0; i < P; i++) {
      right[i] += x[i] * y[p];
      for (size_t j = 0; j < P; j++) normal[i * P + j] += x[i] * x[j];
    }
  }
  assert_int_equal(cks_dense_invert(P, normal, NULL), CKS_OK);
  for (size_t i = 0; i < P; i++)
    for (size_t j = 0; j < P; j++) beta[i] += normal[i * P + j] * right[j];
  for (size_t p = 0; p < l->n; p++) {
    double fitted = 0;
    design_row(x, l->hybrid[p], l->rep[p]);
    for (size_t i = 0; i < P; i++) fitted += x[i] * beta[i];
    ss += (y[p] - fitted) * (y[p] - fitted);
    assert_close(fit->fitted[p], fitted, 1e-9);
    assert_close(fit->leverage[p], form(normal, x), 1e-9);
  }
  assert_true(fabs(fit->ss_error - ss) < 1e-8 * fit->ss_total);
  for (size_t i = 0; i < G; i++) {
    assert_close(fit->mean[i], beta[i], 1e-9);
    memset(x, 0, sizeof x);
    x[i] = 1;
    assert_close(fit->spread.own[fit->spread.class_of[i]], form(normal, x), 1e-9);
    for (size_t j = 0; j < i; j++) {
      x[j] = -1;
      assert_close(cks_spread_pair(&fit->spread, i, j), form(normal, x), 1e-9);
      x[j] = 0;
    }
  }
}

static void fit_when_plots_are_lost_or_repeated_at_random_then_as_solved_dense(void **state)
{
  (void)state;
  test_random random = {SEED};
  size_t compared = 0;
  printf("seed %d\n", SEED);
  for (int set = 0; set < SETS; set++) {
    uint32_t hybrid[MOST], rep[MOST], in_rep[R] = {0}, of_hybrid[G] = {0};
    double y[MOST];
    size_t n = 0;
    for (uint32_t i = 0; i < G; i++)
      for (uint32_t k = 0; k < R; k++)
        for (int copy = 0; copy < 1 + (i == 0 && k == 1); copy++) {
          if (test_uniform(&random) < 0.3) continue;
          hybrid[n] = i, rep[n] = k, in_rep[k]++, of_hybrid[i]++;
          y[n++] = 100 + 3 * i + 5 * k + test_normal(&random);
        }
    bool all = true;
    for (int i = 0; i < G; i++) all &= of_hybrid[i] > 0;
    for (int k = 0; k < R; k++) all &= in_rep[k] > 0;
    if (!all) continue;
    cks_arena *arena = cks_arena_new();
    cks_layout layout = {n, G, R, hybrid, rep, 0, NULL};
    cks_fit fit;
    assert_int_equal(cks_fit_two_way(&layout, y, arena, &fit, NULL), CKS_OK);
    if (fit.connected) {
      compare_with_dense(&layout, y, &fit);
      assert_close(fit.ss_rep + fit.ss_hybrid + fit.ss_error, fit.ss_total, 1e-10);
      compared++;
    }
    cks_arena_free(arena);
  }
  assert_true(compared > SETS / 2);
}

static void analyze_when_rows_change_places_then_the_same_to_the_bit(void **state)
{
  (void)state;
  test_random random = {SEED + 1};
  made_plot plots[24];
  printf("seed %d\n", SEED + 1);
  size_t n = made_from_table(plots, rice, 6, 4, rates);
  for (size_t p = 0; p < n; p++) plots[p].value += test_uniform(&random);
  plots[5].value = NAN;
  cks_settings settings = made_settings();
  made_analysis first = made_analyze(made_trial(plots, n, CKS_ROLE_YIELD, NULL), &settings);
  for (int turn = 0; turn < 20; turn++) {
    for (uint32_t p = (uint32_t)n - 1; p > 0; p--) {
      uint32_t q = test_below(&random, p + 1);
      made_plot kept = plots[p];
      plots[p] = plots[q];
      plots[q] = kept;
    }
    made_analysis again = made_analyze(made_trial(plots, n, CKS_ROLE_YIELD, NULL), &settings);
    const cks_analysis *a = &first.results->trait[0].location[0], *b = &again.results->trait[0].location[0];
    assert_memory_equal(&a->f, &b->f, sizeof a->f);
    assert_memory_equal(&a->sed, &b->sed, sizeof a->sed);
    for (size_t i = 0; i < a->n_hybrid; i++)
      assert_memory_equal(&a->hybrid[i].mean, &b->hybrid[i].mean, sizeof(double));
    made_analysis_release(&again);
  }
  made_analysis_release(&first);
}

static void show_when_another_unit_then_converted_and_when_impossible_then_usage(void **state)
{
  (void)state;
  cks_setting_pair pair = {"yield", "kg/ha"};
  cks_settings settings = made_settings();
  settings.show = (cks_setting_list){1, &pair};
  made_plot plots[24];
  size_t n = made_from_table(plots, rice, 6, 4, rates);
  made_analysis made = made_analyze(made_trial(plots, n, CKS_ROLE_YIELD, NULL), &settings);
  assert_int_equal(made.status, CKS_OK);
  assert_int_equal(made.results->trait[0].unit, CKS_UNIT_KG_HA);
  assert_int_equal(made.results->trait[0].digits, 0);
  assert_close(made.results->trait[0].location[0].mean, 4959.58333333333 * 62.767665, 1e-7);
  assert_close(made.results->trait[0].location[0].f, 2.16777868149537, 1e-10);
  made_analysis_release(&made);
  pair.value = "days";
  made = made_analyze(made_trial(plots, n, CKS_ROLE_YIELD, NULL), &settings);
  assert_int_equal(made.status, CKS_USAGE);
  assert_null(made.results);
  made_analysis_release(&made);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(complete_blocks_when_rice_of_gomez_then_the_published_table),
      cmocka_unit_test(protected_rule_when_f_not_significant_then_nothing_is_ranked),
      cmocka_unit_test(lost_plot_when_rice_of_gomez_then_the_exact_analysis),
      cmocka_unit_test(lost_plots_when_wheat_of_snedecor_then_the_exact_analysis),
      cmocka_unit_test(one_way_when_no_rep_then_the_certified_table),
      cmocka_unit_test(top_group_when_georgia_2004_then_thirteen),
      cmocka_unit_test(top_group_when_georgia_2012_then_one),
      cmocka_unit_test(fit_when_plots_are_lost_or_repeated_at_random_then_as_solved_dense),
      cmocka_unit_test(analyze_when_rows_change_places_then_the_same_to_the_bit),
      cmocka_unit_test(show_when_another_unit_then_converted_and_when_impossible_then_usage),
  };
  return cmocka_run_group_tests(tests, test_start, NULL);
}
