/* test_across.c: a series over places: published tables, closed forms, and no mean over unequal sets of places. */
#include "../../src/analyze/across.h"
#include "../../src/math/distributions.h"
#include "support/make_trial.h"
#include "support/support.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { SEED = 19340603, MOST = 200 };

/* Immer, Hayes & Powers 1934, J. Am. Soc. Agron. 26:403: barley, five varieties, six places, two years (totals of three
 * plots), as the data set of that name in R's MASS. */
static const char *const varieties[] = {"M", "S", "V", "T", "P"};
static const struct {
  const char *place;
  int year;
  double yield[5];
} barley[12] = {
    {"C", 1931, {119.8, 121.4, 124, 140.8, 124.8}}, {"C", 1932, {98.9, 61.9, 96.2, 125.5, 75.7}},
    {"D", 1931, {86.9, 77.1, 78.9, 101.8, 96}},     {"D", 1932, {67.7, 66.7, 67.4, 91.8, 94.1}},
    {"GR", 1931, {98.9, 89, 69.1, 89.3, 104.1}},    {"GR", 1932, {66.4, 49.9, 96.7, 61.9, 80.3}},
    {"M", 1931, {82.3, 77.3, 78.4, 131.3, 89.6}},   {"M", 1932, {103.1, 105.1, 116.5, 139.9, 129.6}},
    {"UF", 1931, {81, 105.4, 119.7, 109.7, 98.3}},  {"UF", 1932, {80.7, 82.3, 80.4, 87.2, 84.2}},
    {"W", 1931, {146.6, 142, 150.7, 191.5, 145.7}}, {"W", 1932, {100.4, 115.5, 112.2, 147.7, 108.1}},
};

/* as_places: each place and year is a place of its own in one year. */
static made_analysis analyze_barley(bool as_places, const cks_settings *settings)
{
  static char label[12][24];
  made_plot plots[60];
  for (size_t j = 0; j < 12; j++)
    for (size_t i = 0; i < 5; i++) {
      snprintf(label[j], sizeof label[j], "%s%d", barley[j].place, barley[j].year % 100);
      plots[j * 5 + i] = (made_plot){as_places ? label[j] : barley[j].place,
                                     as_places ? 1931 : barley[j].year,
                                     NULL,
                                     NULL,
                                     varieties[i],
                                     barley[j].yield[i]};
    }
  const char *const checks[] = {"M", NULL};
  made_analysis made = made_analyze(made_trial(plots, 60, CKS_ROLE_YIELD, checks), settings);
  assert_int_equal(made.status, CKS_OK);
  assert_non_null(made.results->trait[0].across);
  return made;
}

/* Figures: R 4.2.2, anova(lm()); the LSD and letters from them. */
static void across_when_barley_in_12_environments_then_the_published_table(void **state)
{
  (void)state;
  cks_settings settings = made_settings();
  made_analysis made = analyze_barley(true, &settings);
  const cks_analysis *a = made.results->trait[0].across;
  assert_close(made_line(a, "location")->ss, 31913.318, 1e-12);
  assert_close(made_line(a, "hybrid")->ss, 5309.97233333334, 1e-12);
  assert_close(made_line(a, "hybrid x location")->ss, 7509.06366666667, 1e-12);
  assert_close(made_line(a, "hybrid x location")->df, 44, 0);
  assert_close(made_line(a, "total")->ss, 44732.354, 1e-12);
  assert_close(a->f, 7.77855911995419, 1e-11);
  assert_close(a->p, 7.8514092151512e-05, 1e-9);
  assert_close(a->sed, 5.33323757016299, 1e-11);
  assert_close(a->lsd, 10.7484340657117, 1e-10);
  assert_true(isnan(a->cv_pct)); /* no plot error: the interaction is none */
  static const char *const letters[] = {"bc", "c", "bc", "a", "b"};
  for (int i = 0; i < 5; i++) assert_string_equal(made_row(&made, a, varieties[i])->group, letters[i]);
  assert_close(made_row(&made, a, "T")->mean, 118.2, 1e-12);
  assert_close(made_row(&made, a, "T")->pct_of_mean, 116.926, 1e-5);
  assert_int_equal(made_row(&made, a, "T")->environments, 12);
  assert_int_equal(made_row(&made, a, "T")->vs_check->differs, CKS_DIFFERS_ABOVE);
  assert_close(made_row(&made, a, "T")->vs_check->difference, 23.8083333333333, 1e-12);
  assert_close(made_row(&made, a, "T")->vs_check->p, 5.52913219746721e-05, 1e-9);
  assert_int_equal(a->n_top, 1);
  assert_string_equal(a->locations_as, "random");
  made_analysis_release(&made);
}

/* Lines: R 4.2.2. MS_HL + MS_HY - MS_HLY is 155.3923 on 5.0771 df (Satterthwaite), F 8.5429, p .0179. The sum is not
 * above MS_HL (221.65 on 20 df, p .0025), which by itself would look surer: the less sure of the two decides. */
static void across_when_places_and_years_are_crossed_then_every_line(void **state)
{
  (void)state;
  static const struct {
    const char *source;
    double df, ss;
  } lines[] = {{"location", 5, 21220.904},
               {"year", 1, 3798.51266666667},
               {"location x year", 5, 6893.90133333333},
               {"hybrid", 4, 5309.97233333333},
               {"hybrid x location", 20, 4433.01766666667},
               {"hybrid x year", 4, 291.812333333334},
               {"hybrid x environment", 20, 2784.23366666666},
               {"total", 59, 44732.354}};
  cks_settings settings = made_settings();
  made_analysis made = analyze_barley(false, &settings);
  const cks_analysis *a = made.results->trait[0].across;
  for (size_t i = 0; i < sizeof lines / sizeof *lines; i++) {
    assert_close(made_line(a, lines[i].source)->ss, lines[i].ss, 1e-11);
    assert_close(made_line(a, lines[i].source)->df, lines[i].df, 0);
  }
  assert_close(made_line(a, "hybrid x location")->f, 1.59218592883907, 1e-10);
  assert_close(a->f, 8.54285074430442, 1e-10);
  assert_close(a->p, 0.017855142897832, 1e-9);
  assert_close(a->den_df, 5.07712793040402, 1e-10);
  assert_close(a->lsd_df, 5.07712793040402, 1e-10);
  assert_close(a->sed, sqrt(2 * 155.392283333334 / 12), 1e-11);
  assert_int_equal(a->n_year, 2);
  assert_int_equal(a->n_location, 6);
  made_analysis_release(&made);
}

/* The same source: denominator and df of the sum itself. */
static void quasi_denominator_when_barley_then_satterthwaites_df(void **state)
{
  (void)state;
  cks_balanced_table t = {.by_location = {20, 4433.01766666667, 221.650883333333},
                          .by_year = {4, 291.812333333334, 72.9530833333334},
                          .by_environment = {20, 2784.23366666666, 139.211683333333}};
  cks_denominator d = cks_quasi_denominator(&t);
  assert_close(d.ms, 155.392283333334, 1e-12);
  assert_close(d.df, 5.07712793040402, 1e-11);
}

/* Places x years x hybrids x reps with all effects, seed printed. */
static size_t make_series(made_plot *plots, test_random *random, size_t n_place, int n_year, size_t n_hybrid,
                          size_t n_rep)
{
  static const char *const places[] = {"North", "South", "East", "West"};
  size_t n = 0;
  for (size_t l = 0; l < n_place; l++)
    for (int y = 0; y < n_year; y++) {
      double environment = 10 * test_normal(random);
      for (size_t i = 0; i < n_hybrid; i++) {
        double cell = 4 * test_normal(random);
        for (size_t k = 0; k < n_rep; k++)
          plots[n++] = (made_plot){
              places[l],     2024 + y,
              made_reps[k],  NULL,
              made_names[i], 100 + environment + 6 * (double)i + 2 * (double)k + cell + 3 * test_normal(random)};
      }
    }
  return n;
}

static void across_when_balanced_with_reps_then_the_table_closes(void **state)
{
  (void)state;
  made_plot plots[MOST];
  test_random random = {SEED};
  printf("seed %d\n", SEED);
  for (int years = 1; years <= 2; years++) {
    size_t n = make_series(plots, &random, 3, years, 5, 4);
    cks_settings settings = made_settings();
    made_analysis made = made_analyze(made_trial(plots, n, CKS_ROLE_YIELD, NULL), &settings);
    const cks_analysis *a = made.results->trait[0].across;
    double ss = 0, df = 0;
    for (size_t i = 0; i + 1 < a->n_anova; i++) {
      ss += a->anova[i].ss;
      df += a->anova[i].df;
    }
    assert_close(ss, made_line(a, "total")->ss, 1e-10);
    assert_close(df, made_line(a, "total")->df, 0);
    if (years == 1) assert_close(a->f, made_line(a, "hybrid")->ms / made_line(a, "hybrid x location")->ms, 1e-12);
    assert_close(a->sed, sqrt(2 * made_line(a, "hybrid")->ms / a->f / (4.0 * 3 * years)), 1e-12);
    assert_close(a->cv_pct, 100 * sqrt(made_line(a, "error")->ms) / a->plot_mean, 1e-12);
    assert_close(a->error_df, made_line(a, "error")->df, 0);
    made_analysis_release(&made);
  }
}

static void across_when_places_are_fixed_then_over_the_pooled_error(void **state)
{
  (void)state;
  made_plot plots[MOST];
  test_random random = {SEED + 1};
  printf("seed %d\n", SEED + 1);
  size_t n = make_series(plots, &random, 3, 1, 5, 4);
  cks_settings settings = made_settings();
  settings.locations_fixed = true;
  made_analysis made = made_analyze(made_trial(plots, n, CKS_ROLE_YIELD, NULL), &settings);
  const cks_analysis *a = made.results->trait[0].across;
  assert_close(a->f, made_line(a, "hybrid")->ms / made_line(a, "error")->ms, 1e-12);
  assert_close(a->den_df, 3 * 4 * 3, 0);
  assert_string_equal(a->locations_as, "fixed");
  made_analysis_release(&made);
}

/* One place has two of its four reps only: means are plain averages of cells, and with equal precision inside each
 * place F = sum (m_i - m.)^2 / (g - 1) over MSE sum(1 / r_j) / e^2, in closed form. */
static void across_when_fixed_with_unequal_reps_then_the_closed_form(void **state)
{
  (void)state;
  made_plot plots[MOST];
  test_random random = {SEED + 2};
  printf("seed %d\n", SEED + 2);
  size_t n = make_series(plots, &random, 3, 1, 5, 4), kept = 0;
  for (size_t p = 0; p < n; p++)
    if (strcmp(plots[p].location, "South") || plots[p].rep[0] <= '2') plots[kept++] = plots[p];
  cks_settings settings = made_settings();
  settings.locations_fixed = true;
  made_analysis made = made_analyze(made_trial(plots, kept, CKS_ROLE_YIELD, NULL), &settings);
  const cks_trait_result *t = &made.results->trait[0];
  const cks_analysis *a = t->across;
  assert_int_equal(a->method, CKS_METHOD_ANOVA);
  double ss = 0, df = 0, mean[5] = {0}, squares = 0, weight = (1 / 4.0 + 1 / 2.0 + 1 / 4.0) / 9;
  for (size_t j = 0; j < 3; j++) {
    ss += made_line(&t->location[j], "error")->ss;
    df += t->location[j].error_df;
    for (size_t i = 0; i < 5; i++) mean[i] += made_row(&made, &t->location[j], made_names[i])->mean / 3;
  }
  double grand = (mean[0] + mean[1] + mean[2] + mean[3] + mean[4]) / 5;
  for (size_t i = 0; i < 5; i++) {
    squares += (mean[i] - grand) * (mean[i] - grand);
    assert_close(made_row(&made, a, made_names[i])->mean, mean[i], 1e-12);
  }
  assert_close(a->error_ms, ss / df, 1e-12);
  assert_close(a->f, squares / 4 / (ss / df * weight), 1e-10);
  assert_close(a->sed, sqrt(2 * ss / df * weight), 1e-12);
  made_analysis_release(&made);
}

/* With two hybrids F is the square of t, whatever the pattern of lost plots. */
static void across_when_fixed_with_two_hybrids_and_lost_plots_then_f_is_t_squared(void **state)
{
  (void)state;
  made_plot plots[MOST];
  test_random random = {SEED + 3};
  printf("seed %d\n", SEED + 3);
  size_t n = make_series(plots, &random, 4, 1, 2, 4);
  plots[2].value = plots[9].value = plots[17].value = NAN;
  cks_settings settings = made_settings();
  settings.locations_fixed = true;
  made_analysis made = made_analyze(made_trial(plots, n, CKS_ROLE_YIELD, NULL), &settings);
  const cks_analysis *a = made.results->trait[0].across;
  double difference = made_row(&made, a, "A")->mean - made_row(&made, a, "B")->mean;
  assert_int_equal(a->method, CKS_METHOD_ANOVA);
  assert_close(a->f, pow(difference / a->sed, 2), 1e-10);
  made_analysis_release(&made);
}

/* One cell of 15 is empty: a mixed model, with every environment of equal weight in a mean. */
static void across_when_not_balanced_then_a_mixed_model_and_the_reason(void **state)
{
  (void)state;
  made_plot plots[MOST];
  test_random random = {SEED + 4};
  printf("seed %d\n", SEED + 4);
  size_t n = make_series(plots, &random, 3, 1, 5, 4), kept = 0;
  for (size_t p = 0; p < n; p++)
    if (strcmp(plots[p].location, "East") || strcmp(plots[p].hybrid, "C")) plots[kept++] = plots[p];
  cks_settings settings = made_settings();
  made_analysis made = made_analyze(made_trial(plots, kept, CKS_ROLE_YIELD, NULL), &settings);
  const cks_analysis *a = made.results->trait[0].across;
  assert_int_equal(a->method, CKS_METHOD_REML);
  assert_non_null(strstr(a->note, "some hybrids are missing at some places, so means are adjusted by a mixed model"));
  assert_string_equal(a->df_method, "kenward-roger");
  assert_int_equal(strncmp(a->outcome, "converged", 9), 0);
  assert_int_equal(a->n_hybrid, 5);
  for (size_t i = 0; i < 5; i++)
    assert_int_equal(a->hybrid[i].environments, a->hybrid[i].hybrid == made_row(&made, a, "C")->hybrid ? 2 : 3);
  made_analysis_release(&made);
}

/* The same at fixed places: hybrid x location is fixed, so C has no mean over all of them. */
static void across_when_fixed_and_a_cell_is_empty_then_no_mean_and_the_reason(void **state)
{
  (void)state;
  made_plot plots[MOST];
  test_random random = {SEED + 4};
  size_t n = make_series(plots, &random, 3, 1, 5, 4), kept = 0;
  for (size_t p = 0; p < n; p++)
    if (strcmp(plots[p].location, "East") || strcmp(plots[p].hybrid, "C")) plots[kept++] = plots[p];
  cks_settings settings = made_settings();
  settings.order = CKS_ORDER_MEAN;
  settings.locations_fixed = true;
  for (int audit = 0; audit < 2; audit++) {
    settings.audit_only = audit;
    made_analysis made = made_analyze(made_trial(plots, kept, CKS_ROLE_YIELD, NULL), &settings);
    assert_non_null(
        strstr(test_finding(made.findings, CKS_RULE_NO_MEAN_OVER_PLACES)->text, "without --locations fixed"));
    const cks_analysis *a = audit ? NULL : made.results->trait[0].across;
    for (size_t i = 0; a && i < 5; i++) {
      assert_true(isnan(a->hybrid[i].mean) && isnan(a->hybrid[i].pct_of_mean));
      assert_int_equal(a->hybrid[i].rank, 0);
    }
    made_analysis_release(&made);
  }
}

static void across_when_fixed_without_plot_error_then_means_only(void **state)
{
  (void)state;
  cks_settings settings = made_settings();
  settings.locations_fixed = true;
  made_analysis made = analyze_barley(true, &settings);
  const cks_analysis *a = made.results->trait[0].across;
  assert_int_equal(a->method, CKS_METHOD_MEANS);
  assert_true(isnan(a->lsd) && isnan(a->f));
  assert_close(made_row(&made, a, "T")->mean, 118.2, 1e-12);
  assert_int_equal(made_row(&made, a, "T")->rank, 0);
  made_analysis_release(&made);
}

static void across_when_one_environment_then_none(void **state)
{
  (void)state;
  made_plot plots[MOST];
  test_random random = {SEED + 5};
  size_t n = make_series(plots, &random, 1, 1, 5, 4);
  cks_settings settings = made_settings();
  made_analysis made = made_analyze(made_trial(plots, n, CKS_ROLE_YIELD, NULL), &settings);
  assert_null(made.results->trait[0].across);
  made_analysis_release(&made);
}

/* A season is never fixed: over several years crossed with fixed places hybrids are tested over hybrid x year
 * (McIntosh 1983, Agron. J. 75:153, table 2: locations fixed, years random). */
static void across_when_places_are_fixed_and_years_crossed_then_over_hybrid_by_year(void **state)
{
  (void)state;
  cks_settings settings = made_settings();
  settings.locations_fixed = true;
  made_analysis made = analyze_barley(false, &settings);
  const cks_analysis *a = made.results->trait[0].across;
  assert_close(a->f, made_line(a, "hybrid")->ms / made_line(a, "hybrid x year")->ms, 1e-12);
  assert_close(a->den_df, 4, 0);
  assert_close(a->lsd_df, 4, 0);
  assert_close(a->sed, sqrt(2 * 72.9530833333334 / 12), 1e-11);
  assert_string_equal(a->locations_as, "fixed");
  assert_non_null(strstr(a->note, "two years"));
  made_analysis_release(&made);
}

static void across_when_fixed_and_a_place_lacks_a_year_then_refused(void **state)
{
  (void)state;
  made_plot plots[MOST];
  test_random random = {SEED + 6};
  printf("seed %d\n", SEED + 6);
  size_t n = make_series(plots, &random, 2, 2, 4, 3) - 12;
  cks_settings settings = made_settings();
  settings.locations_fixed = true;
  made_analysis made = made_analyze(made_trial(plots, n, CKS_ROLE_YIELD, NULL), &settings);
  const cks_analysis *a = made.results->trait[0].across;
  assert_int_equal(a->method, CKS_METHOD_NONE);
  assert_non_null(strstr(a->why, "not every location was there in every year"));
  assert_non_null(strstr(a->why, "without --locations fixed"));
  made_analysis_release(&made);
}

/* With one place there is no place to fix: its seasons are a sample. */
static void across_when_fixed_at_one_place_then_its_seasons_are_random(void **state)
{
  (void)state;
  made_plot plots[MOST];
  test_random random = {SEED + 7};
  printf("seed %d\n", SEED + 7);
  size_t n = make_series(plots, &random, 1, 3, 4, 3);
  cks_settings settings = made_settings();
  settings.locations_fixed = true;
  made_analysis made = made_analyze(made_trial(plots, n, CKS_ROLE_YIELD, NULL), &settings);
  const cks_analysis *a = made.results->trait[0].across;
  assert_close(a->f, made_line(a, "hybrid")->ms / made_line(a, "hybrid x environment")->ms, 1e-12);
  assert_string_equal(a->locations_as, "random");
  made_analysis_release(&made);
}

/* Lost plots at fixed places: still one season, and a place of single plots borrows its error. */
static void across_when_fixed_with_single_plots_somewhere_then_it_is_said(void **state)
{
  (void)state;
  made_plot plots[MOST];
  test_random random = {SEED + 8};
  printf("seed %d\n", SEED + 8);
  size_t n = make_series(plots, &random, 3, 1, 5, 4), kept = 0;
  for (size_t p = 0; p < n; p++)
    if (strcmp(plots[p].location, "South") || plots[p].rep[0] == '1') plots[kept++] = plots[p];
  cks_settings settings = made_settings();
  settings.locations_fixed = true;
  made_analysis made = made_analyze(made_trial(plots, kept, CKS_ROLE_YIELD, NULL), &settings);
  const cks_analysis *a = made.results->trait[0].across;
  assert_int_equal(a->method, CKS_METHOD_ANOVA);
  assert_non_null(strstr(a->note, "South 2024 has no plot error of its own"));
  assert_non_null(strstr(a->note, "this season only"));
  assert_close(a->error_df, 24, 0);
  made_analysis_release(&made);
}

/* A place with one value in every plot has no error: its df must not make the others' look surer. */
static void across_when_a_place_says_nothing_then_it_is_not_in_the_means(void **state)
{
  (void)state;
  made_plot plots[MOST];
  test_random random = {SEED + 9};
  printf("seed %d\n", SEED + 9);
  size_t n = make_series(plots, &random, 3, 1, 5, 4);
  for (int fixed = 0; fixed < 2; fixed++) {
    cks_settings settings = made_settings();
    settings.locations_fixed = fixed;
    made_analysis two = made_analyze(made_trial(plots, 2 * n / 3, CKS_ROLE_YIELD, NULL), &settings);
    for (size_t p = 2 * n / 3; p < n; p++) plots[p].value = 80;
    made_analysis three = made_analyze(made_trial(plots, n, CKS_ROLE_YIELD, NULL), &settings);
    const cks_analysis *a = two.results->trait[0].across, *b = three.results->trait[0].across;
    assert_close(b->f, a->f, 1e-12);
    assert_close(b->error_df, a->error_df, 0);
    assert_close(b->hybrid[0].mean, a->hybrid[0].mean, 1e-12);
    assert_int_equal(b->n_environment, 2);
    assert_string_equal(a->apart, "");
    assert_string_equal(b->apart, "not in the means: East 2024 (one value in every plot)");
    made_analysis_release(&two);
    made_analysis_release(&three);
  }
}

static void across_when_one_place_is_left_then_no_mean(void **state)
{
  (void)state;
  made_plot plots[MOST];
  test_random random = {SEED + 10};
  printf("seed %d\n", SEED + 10);
  size_t n = make_series(plots, &random, 2, 1, 5, 4);
  for (size_t p = n / 2; p < n; p++) plots[p].value = 80;
  cks_settings settings = made_settings();
  made_analysis made = made_analyze(made_trial(plots, n, CKS_ROLE_YIELD, NULL), &settings);
  const cks_analysis *a = made.results->trait[0].across;
  assert_int_equal(a->method, CKS_METHOD_NONE);
  assert_non_null(strstr(a->why, "too few places"));
  made_analysis_release(&made);
}

/* The sum of interactions on few df against the larger one on many: F by the larger p, the LSD by the larger t x SED.
 * At .10 they fall apart in the barley of 1934: F over the sum, LSD over hybrid x location (20 df). */
/* ---- what to expect --------------------------------------------------------------------------------------------- */

/* 4 places, 2 reps, 5 hybrids: like hybrids and places, so that the interaction is noise and below zero half of the time. */
static made_analysis analyze_noise(unsigned long seed, const cks_settings *settings)
{
  made_plot plots[40];
  test_random random = {seed};
  static const char *const place[] = {"P", "Q", "R", "S"};
  for (size_t j = 0, n = 0; j < 4; j++)
    for (size_t k = 0; k < 2; k++)
      for (size_t i = 0; i < 5; i++, n++)
        plots[n] = (made_plot){place[j], 2026, made_reps[k], NULL, made_names[i], 100 + 5 * test_normal(&random)};
  made_analysis made = made_analyze(made_trial(plots, 40, CKS_ROLE_YIELD, NULL), settings);
  assert_int_equal(made.status, CKS_OK);
  return made;
}

static const cks_expected_lsd *expected_at(const cks_analysis *a, uint32_t locations, uint32_t reps)
{
  for (size_t i = 0; i < a->n_expected; i++)
    if (a->expected[i].locations == locations && a->expected[i].reps == reps) return &a->expected[i];
  fail_msg("no figure for %u locations, %u reps", locations, reps);
  return NULL;
}

/* At its own number of places and reps the formula gives the series' own LSD: 2 (s_HE / L + s_E / (L r)) is 2 MS / (L r). */
static void expected_lsd_when_of_the_series_itself_then_its_own(void **state)
{
  (void)state;
  cks_settings settings = made_settings();
  settings.unprotected = true;
  size_t n_above = 0, n_below = 0;
  for (unsigned long seed = 1; seed <= 20; seed++) {
    made_analysis made = analyze_noise(seed, &settings);
    const cks_analysis *a = made.results->trait[0].across;
    const cks_anova_line *by_place = made_line(a, "hybrid x location"), *error = made_line(a, "error");
    const cks_expected_lsd *own = expected_at(a, 4, 2), *few = expected_at(a, 2, 1);
    assert_int_equal(a->n_expected, 44);
    if (by_place->ms > error->ms) {
      n_above++;
      assert_close(own->lsd, a->lsd, 1e-12);
      assert_close(own->lsd_upper, own->lsd, 0);
    } else {
      n_below++;
      double t = cks_t_critical(0.05, 4), plain = t * sqrt(error->ms); /* 2 places, 1 rep, no interaction */
      assert_close(few->lsd, plain, 1e-12);
      /* lsd_upper squared is t^2 (s_HE + s_E): what s_HE must be for F to come out so low in 20 of 100 series. */
      double part = few->lsd_upper * few->lsd_upper / (t * t) - error->ms;
      double p = cks_f_p(by_place->f / (1 + 2 * part / error->ms), by_place->df, error->df);
      if (part > 1e-9)
        assert_close(p, 0.8, 1e-9);
      else
        assert_true(p >= 0.8); /* lower still: even then nothing is left for it */
    }
    made_analysis_release(&made);
  }
  assert_true(n_above > 3 && n_below > 3);
}

/* Of a leader's lead over the mean the part 1 - repeatability is not expected again. Without ranks nobody leads. */
static void leader_when_ranked_then_part_of_its_lead_is_luck(void **state)
{
  (void)state;
  cks_settings settings = made_settings();
  made_analysis made = analyze_barley(true, &settings);
  const cks_analysis *a = made.results->trait[0].across;
  assert_close(a->leader_loss, (118.2 - a->mean) / 7.77855911995419, 1e-10); /* 1 - repeatability is 1 / F */
  made_analysis_release(&made);
  settings.alpha = 1e-9;
  made = analyze_barley(true, &settings);
  assert_true(isnan(made.results->trait[0].across->leader_loss));
  made_analysis_release(&made);
}

static void across_when_crossed_then_f_and_lsd_each_take_the_less_sure_base(void **state)
{
  (void)state;
  cks_settings settings = made_settings();
  settings.alpha = 0.10;
  made_analysis made = analyze_barley(false, &settings);
  const cks_analysis *a = made.results->trait[0].across;
  assert_close(a->den_df, 5.07712793040402, 1e-10);
  assert_close(a->lsd_df, 20, 0);
  assert_close(a->sed, sqrt(2 * 221.650883333333 / 12), 1e-11);
  assert_non_null(strstr(a->note, "F over the sum of interactions, LSD over hybrid x location alone"));
  made_analysis_release(&made);
}

/* ---- hybrids in few of the environments ---------------------------------------------------------------------------- */

/* Four places x five hybrids; D stands in two of them, E at North alone. */
static size_t make_sparse(made_plot *plots, uint64_t seed)
{
  made_plot all[MOST];
  test_random random = {seed};
  printf("seed %d\n", (int)seed);
  size_t n = make_series(all, &random, 4, 1, 5, 4), kept = 0;
  for (size_t p = 0; p < n; p++) {
    bool north = !strcmp(all[p].location, "North"), south = !strcmp(all[p].location, "South");
    if ((all[p].hybrid[0] != 'E' || north) && (all[p].hybrid[0] != 'D' || north || south)) plots[kept++] = all[p];
  }
  return kept;
}

static size_t drop_hybrids(made_plot *plots, size_t n, const char *names)
{
  size_t kept = 0;
  for (size_t p = 0; p < n; p++)
    if (!strchr(names, plots[p].hybrid[0])) plots[kept++] = plots[p];
  return kept;
}

static void assert_aside(const made_analysis *made, const cks_analysis *a, size_t i, const char *name, uint32_t plots,
                         uint32_t environments)
{
  const cks_hybrid_result *row = &a->hybrid[i];
  assert_string_equal(made->results->hybrid[row->hybrid].name, name);
  assert_ptr_equal(cks_analysis_hybrid(a, row->hybrid), row);
  assert_true(isnan(row->mean) && isnan(row->raw_mean) && isnan(row->se) && isnan(row->pct_of_mean));
  assert_true(isnan(row->vs_check[0].pct) && isnan(row->vs_check[0].difference) && isnan(row->vs_check[0].p));
  assert_int_equal(row->vs_check[0].differs, CKS_DIFFERS_UNKNOWN);
  assert_int_equal(row->rank, 0);
  assert_null(row->group);
  assert_int_equal(row->top, CKS_TOP_NOT_ASKED);
  assert_int_equal(row->n, plots);
  assert_int_equal(row->environments, environments);
}

static void across_when_hybrids_stand_at_few_places_then_as_without_their_rows(void **state)
{
  (void)state;
  static const char *const checks[] = {"A", "E", NULL};
  for (int unprotected = 0; unprotected < 2; unprotected++) {
    made_plot plots[MOST];
    cks_settings settings = made_settings();
    settings.min_environments = 0.6;
    settings.unprotected = unprotected;
    size_t n = make_sparse(plots, SEED + 11);
    made_analysis made = made_analyze(made_trial(plots, n, CKS_ROLE_YIELD, checks), &settings);
    n = drop_hybrids(plots, n, "DE");
    made_analysis without = made_analyze(made_trial(plots, n, CKS_ROLE_YIELD, checks), &settings);
    const cks_analysis *a = made.results->trait[0].across;
    assert_int_equal(a->n_aside, 2);
    made_assert_same(&made, a, &without, without.results->trait[0].across);
    assert_aside(&made, a, 3, "D", 8, 2);
    assert_aside(&made, a, 4, "E", 4, 1);
    assert_string_equal(a->aside, "set aside: in fewer than 60 % of the environments: D, E");
    assert_non_null(strstr(a->note, a->aside));
    assert_int_equal(made.results->trait[0].location[0].n_aside, 0);
    made_analysis_release(&made);
    made_analysis_release(&without);
  }
}

/* Half of the environments is enough, so D stays in, by a mixed model. */
static void across_when_a_hybrid_stands_at_half_of_the_places_then_it_is_not_set_aside(void **state)
{
  (void)state;
  made_plot plots[MOST];
  cks_settings settings = made_settings();
  size_t n = make_sparse(plots, SEED + 12);
  for (int audit = 0; audit < 2; audit++) {
    settings.audit_only = audit;
    made_analysis made = made_analyze(made_trial(plots, n, CKS_ROLE_YIELD, NULL), &settings);
    assert_null(test_finding(made.findings, CKS_RULE_NO_MEAN_OVER_PLACES));
    if (!audit) {
      const cks_analysis *a = made.results->trait[0].across;
      assert_int_equal(a->method, CKS_METHOD_REML);
      assert_int_equal(a->n_hybrid, 5);
      assert_string_equal(a->aside, "not ranked: in fewer than half of the environments: E");
    }
    made_analysis_release(&made);
  }
  n = drop_hybrids(plots, n, "D");
  settings.audit_only = false;
  made_analysis made = made_analyze(made_trial(plots, n, CKS_ROLE_YIELD, NULL), &settings);
  assert_int_equal(made.results->trait[0].across->method, CKS_METHOD_ANOVA);
  assert_int_equal(made.results->trait[0].across->n_aside, 1);
  made_analysis_release(&made);
}

/* Lost plots of a hybrid that is set aside are nobody's trouble. */
static void across_when_only_those_set_aside_lost_plots_then_balanced(void **state)
{
  (void)state;
  made_plot plots[MOST];
  cks_settings settings = made_settings();
  size_t n = drop_hybrids(plots, make_sparse(plots, SEED + 14), "D");
  for (size_t p = 0; p < n; p++)
    if (plots[p].hybrid[0] == 'E' && plots[p].rep[0] == '2') plots[p].value = NAN;
  made_analysis made = made_analyze(made_trial(plots, n, CKS_ROLE_YIELD, NULL), &settings);
  const cks_analysis *a = made.results->trait[0].across;
  assert_int_equal(a->method, CKS_METHOD_ANOVA);
  assert_int_equal(a->n_aside, 1);
  assert_int_equal(a->hybrid[3].n, 3);
  made_analysis_release(&made);
}

/* Two sets of hybrids that share no place: the larger set is ranked, the places of the other are not in it. */
static void across_when_a_place_is_left_with_one_hybrid_then_it_is_not_in_the_means(void **state)
{
  (void)state;
  made_plot plots[MOST], kept[MOST];
  test_random random = {SEED + 15};
  printf("seed %d\n", SEED + 15);
  size_t n = make_series(plots, &random, 4, 1, 5, 4), m = 0;
  for (size_t p = 0; p < n; p++)
    if ((strcmp(plots[p].location, "West") == 0) == (plots[p].hybrid[0] >= 'D')) kept[m++] = plots[p];
  cks_settings settings = made_settings();
  made_analysis made = made_analyze(made_trial(kept, m, CKS_ROLE_YIELD, NULL), &settings);
  const cks_analysis *a = made.results->trait[0].across;
  assert_int_equal(a->method, CKS_METHOD_ANOVA);
  assert_int_equal(a->n_environment, 3);
  assert_int_equal(a->n_aside, 2);
  assert_string_equal(a->apart, "not in the means: West 2024 (fewer than two of the hybrids compared stand there)");
  made_analysis_release(&made);
}

/* Nobody stands often enough: all are listed, and what is missing is said as ever. */
static void across_when_all_would_be_set_aside_then_nobody_is(void **state)
{
  (void)state;
  made_plot plots[MOST], kept[MOST];
  test_random random = {SEED + 16};
  printf("seed %d\n", SEED + 16);
  size_t n = make_series(plots, &random, 4, 1, 8, 4), m = 0;
  for (size_t p = 0; p < n; p++) /* two hybrids a place, each at one place */
    if ((plots[p].hybrid[0] - 'A') / 2 == (int)strcspn("NSEW", (char[]){plots[p].location[0], 0})) kept[m++] = plots[p];
  cks_settings settings = made_settings();
  made_analysis made = made_analyze(made_trial(kept, m, CKS_ROLE_YIELD, NULL), &settings);
  const cks_analysis *a = made.results->trait[0].across;
  assert_int_equal(a->method, CKS_METHOD_NONE);
  assert_int_equal(a->n_aside, 0);
  assert_int_equal(a->n_hybrid, 8);
  assert_non_null(strstr(a->why, "no place joins these hybrids"));
  made_analysis_release(&made);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(across_when_barley_in_12_environments_then_the_published_table),
      cmocka_unit_test(across_when_places_and_years_are_crossed_then_every_line),
      cmocka_unit_test(quasi_denominator_when_barley_then_satterthwaites_df),
      cmocka_unit_test(across_when_balanced_with_reps_then_the_table_closes),
      cmocka_unit_test(across_when_places_are_fixed_then_over_the_pooled_error),
      cmocka_unit_test(across_when_fixed_with_unequal_reps_then_the_closed_form),
      cmocka_unit_test(across_when_fixed_with_two_hybrids_and_lost_plots_then_f_is_t_squared),
      cmocka_unit_test(across_when_not_balanced_then_a_mixed_model_and_the_reason),
      cmocka_unit_test(across_when_fixed_and_a_cell_is_empty_then_no_mean_and_the_reason),
      cmocka_unit_test(across_when_fixed_without_plot_error_then_means_only),
      cmocka_unit_test(across_when_one_environment_then_none),
      cmocka_unit_test(across_when_places_are_fixed_and_years_crossed_then_over_hybrid_by_year),
      cmocka_unit_test(across_when_fixed_and_a_place_lacks_a_year_then_refused),
      cmocka_unit_test(across_when_fixed_at_one_place_then_its_seasons_are_random),
      cmocka_unit_test(across_when_fixed_with_single_plots_somewhere_then_it_is_said),
      cmocka_unit_test(across_when_a_place_says_nothing_then_it_is_not_in_the_means),
      cmocka_unit_test(across_when_one_place_is_left_then_no_mean),
      cmocka_unit_test(expected_lsd_when_of_the_series_itself_then_its_own),
      cmocka_unit_test(leader_when_ranked_then_part_of_its_lead_is_luck),
      cmocka_unit_test(across_when_crossed_then_f_and_lsd_each_take_the_less_sure_base),
      cmocka_unit_test(across_when_hybrids_stand_at_few_places_then_as_without_their_rows),
      cmocka_unit_test(across_when_a_hybrid_stands_at_half_of_the_places_then_it_is_not_set_aside),
      cmocka_unit_test(across_when_only_those_set_aside_lost_plots_then_balanced),
      cmocka_unit_test(across_when_a_place_is_left_with_one_hybrid_then_it_is_not_in_the_means),
      cmocka_unit_test(across_when_all_would_be_set_aside_then_nobody_is),
  };
  return cmocka_run_group_tests(tests, test_start, NULL);
}
