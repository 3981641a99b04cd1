/*
 * test_years.c: means of the last years: the analysis of the same plots restricted to those years, places and hybrids;
 * and no mean where that is none.
 */
#include "support/make_trial.h"
#include "support/support.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

enum { SEED = 20260714, MOST = 700, N_PLACE = 4, N_HYBRID = 6, N_REP = 3 };

static const char *const places[N_PLACE] = {"Alder", "Bram", "Creek", "Dell"};

/* Years from `first` on at the first n_place places, all hybrids, with effects of all kinds; seed printed. */
static size_t make_years(made_plot *plots, uint64_t seed, size_t n_place, int first, int n_year, double spread)
{
  test_random random = {seed};
  size_t n = 0;
  printf("seed %d\n", (int)seed);
  for (size_t l = 0; l < n_place; l++)
    for (int y = 0; y < n_year; y++) {
      double environment = 8 * test_normal(&random);
      for (size_t i = 0; i < N_HYBRID; i++) {
        double cell = 2 * test_normal(&random);
        for (size_t k = 0; k < N_REP; k++)
          plots[n++] = (made_plot){
              places[l], first + y,     made_reps[k],
              NULL,      made_names[i], 90 + environment + spread * (double)i + cell + 3 * test_normal(&random)};
      }
    }
  return n;
}

typedef bool is_kept(const made_plot *plot);

static size_t keep(made_plot *to, const made_plot *from, size_t n, is_kept *kept)
{
  size_t m = 0;
  for (size_t p = 0; p < n; p++)
    if (kept(&from[p])) to[m++] = from[p];
  return m;
}

static made_analysis analyze(const made_plot *plots, size_t n, cks_role role)
{
  cks_settings settings = made_settings();
  static const char *const checks[] = {"B", NULL};
  made_analysis made = made_analyze(made_trial(plots, n, role, checks), &settings);
  assert_int_equal(made.status, CKS_OK);
  return made;
}

static const cks_span *span_of(const made_analysis *made, size_t k)
{
  assert_true(k < made->results->trait[0].n_span);
  return &made->results->trait[0].span[k];
}

/* ---- the mean is the analysis of those plots -------------------------------------------------------------------- */

/* F is new in 2026, A stood at Bram for two years only, Dell was lost in 2025. */
static bool was_there(const made_plot *p)
{
  return (*p->hybrid != 'F' || p->year == 2026) && (*p->hybrid != 'A' || *p->location != 'B' || p->year > 2024) &&
         (*p->location != 'D' || p->year != 2025);
}
static bool in_last(const made_plot *p) { return p->year == 2026; }
static bool in_two(const made_plot *p) { return p->year >= 2025 && *p->location != 'D' && *p->hybrid != 'F'; }
static bool in_three(const made_plot *p)
{
  return p->year >= 2024 && *p->location != 'D' && *p->hybrid != 'F' && *p->hybrid != 'A';
}

static void span_when_hybrids_and_places_come_and_go_then_the_series_of_the_rest(void **state)
{
  (void)state;
  made_plot all[MOST], plots[MOST], part[MOST];
  static is_kept *const parts[] = {in_last, in_two, in_three};
  static const size_t n_location[] = {4, 3, 3}, n_hybrid[] = {6, 5, 4};
  size_t n = keep(plots, all, make_years(all, SEED, N_PLACE, 2023, 4, 4), was_there);
  made_analysis made = analyze(plots, n, CKS_ROLE_YIELD);
  assert_int_equal(made.results->trait[0].n_span, 3);
  for (size_t k = 0; k < 3; k++) {
    const cks_span *span = span_of(&made, k);
    made_analysis alone = analyze(part, keep(part, plots, n, parts[k]), CKS_ROLE_YIELD);
    made_assert_same(&made, span->analysis, &alone, alone.results->trait[0].across);
    assert_int_equal(span->n_year, k + 1);
    for (size_t y = 0; y <= k; y++) assert_int_equal(span->year[y], 2026 - (int)(k - y));
    assert_int_equal(span->n_location, n_location[k]);
    assert_int_equal(span->analysis->n_location, n_location[k]);
    assert_int_equal(span->analysis->n_hybrid, n_hybrid[k]);
    for (size_t l = 0; l < n_location[k]; l++) assert_string_equal(span->location[l], places[l]);
    assert_string_equal(span->analysis->note, alone.results->trait[0].across->note);
    made_analysis_release(&alone);
  }
  assert_null(cks_analysis_hybrid(span_of(&made, 1)->analysis, 5)); /* F: no line */
  assert_non_null(strstr(span_of(&made, 0)->analysis->note, "this season only"));
  assert_non_null(strstr(span_of(&made, 1)->analysis->note, "two years say little about a third"));
  assert_null(strstr(span_of(&made, 2)->analysis->note, "two years"));
  made_analysis_release(&made);
}

static void span_when_all_plots_are_of_two_years_then_across_to_the_bit(void **state)
{
  (void)state;
  made_plot plots[MOST];
  made_analysis made = analyze(plots, make_years(plots, SEED + 1, 3, 2025, 2, 4), CKS_ROLE_YIELD);
  const cks_analysis *a = span_of(&made, 1)->analysis, *across = made.results->trait[0].across;
  assert_true(a->f == across->f && a->sed == across->sed && a->lsd == across->lsd && a->lsd_df == across->lsd_df);
  for (size_t i = 0; i < a->n_hybrid; i++) {
    assert_true(a->hybrid[i].mean == across->hybrid[i].mean && a->hybrid[i].rank == across->hybrid[i].rank);
    assert_int_equal(a->hybrid[i].environments, 6);
  }
  assert_close(a->f, made_line(a, "hybrid")->ms / (a->sed * a->sed * 18 / 2), 1e-12);
  made_analysis_release(&made);
}

/* One place: hybrid x year, g - 1 times y - 1 df, and the seasons are a sample. */
static void span_when_one_place_then_over_hybrid_by_year(void **state)
{
  (void)state;
  made_plot plots[MOST];
  made_analysis made = analyze(plots, make_years(plots, SEED + 2, 1, 2024, 3, 6), CKS_ROLE_YIELD);
  for (size_t k = 1; k < 3; k++) {
    const cks_analysis *a = span_of(&made, k)->analysis;
    assert_close(a->f, made_line(a, "hybrid")->ms / made_line(a, "hybrid x environment")->ms, 1e-12);
    assert_close(a->den_df, 5.0 * (double)k, 0);
    assert_string_equal(a->locations_as, "random");
  }
  const cks_span *last = span_of(&made, 0); /* one environment: its own analysis */
  assert_ptr_equal(last->analysis, &made.results->trait[0].location[2]);
  assert_string_equal(last->location[0], "Alder");
  made_analysis_release(&made);
}

/* ---- what may not be said --------------------------------------------------------------------------------------- */

static void span_when_f_is_not_significant_then_no_lsd_and_no_rank(void **state)
{
  (void)state;
  made_plot plots[MOST];
  made_analysis made = analyze(plots, make_years(plots, SEED + 3, 3, 2025, 2, 0), CKS_ROLE_YIELD);
  const cks_analysis *a = span_of(&made, 1)->analysis;
  assert_true(a->p > 0.05);
  assert_true(isnan(a->lsd));
  assert_non_null(strstr(a->lsd_why, "F not significant"));
  for (size_t i = 0; i < a->n_hybrid; i++) assert_int_equal(a->hybrid[i].rank, 0);
  made_analysis_release(&made);
}

static void span_when_a_plot_was_lost_then_a_mixed_model(void **state)
{
  (void)state;
  made_plot plots[MOST];
  size_t n = make_years(plots, SEED + 4, 3, 2024, 3, 4);
  for (size_t p = 0; p < n; p++)
    if (plots[p].year == 2025 && *plots[p].location == 'B' && *plots[p].hybrid == 'C' && *plots[p].rep == '1')
      plots[p].value = NAN;
  made_analysis made = analyze(plots, n, CKS_ROLE_YIELD);
  assert_int_equal(span_of(&made, 0)->analysis->method, CKS_METHOD_ANOVA); /* 2026 lost nothing */
  for (size_t k = 1; k < 3; k++) {
    const cks_analysis *a = span_of(&made, k)->analysis;
    assert_int_equal(a->method, CKS_METHOD_REML);
    assert_non_null(strstr(a->note, "plots were lost or reps are unequal (Bram 2025)"));
    for (size_t i = 0; i < a->n_hybrid; i++) assert_true(a->hybrid[i].mean > 0);
  }
  made_analysis_release(&made);
}

static bool elsewhere_each_year(const made_plot *p) { return (*p->location == 'A') == (p->year == 2025); }
static bool others_each_year(const made_plot *p) { return (*p->hybrid <= 'B') == (p->year == 2025); }

static void span_when_no_place_or_no_pair_of_hybrids_stays_then_the_reason(void **state)
{
  (void)state;
  made_plot all[MOST], plots[MOST];
  size_t n = make_years(all, SEED + 5, 2, 2025, 2, 4);
  made_analysis made = analyze(plots, keep(plots, all, n, elsewhere_each_year), CKS_ROLE_YIELD);
  assert_int_equal(span_of(&made, 1)->analysis->method, CKS_METHOD_NONE);
  assert_string_equal(span_of(&made, 1)->analysis->why, "no location stands in each of these years");
  assert_int_equal(span_of(&made, 1)->n_location, 0);
  made_analysis_release(&made);
  made = analyze(plots, keep(plots, all, n, others_each_year), CKS_ROLE_YIELD);
  assert_string_equal(span_of(&made, 1)->analysis->why, "fewer than two hybrids stand in all of the environments");
  made_analysis_release(&made);
}

/* A place that says nothing in one year is not in the mean of the two, by name. */
static void span_when_a_place_says_nothing_in_a_year_then_it_is_left_out_by_name(void **state)
{
  (void)state;
  made_plot plots[MOST];
  size_t n = make_years(plots, SEED + 6, 3, 2025, 2, 4);
  for (size_t p = 0; p < n; p++)
    if (plots[p].year == 2025 && *plots[p].location == 'A') plots[p].value = 70;
  made_analysis made = analyze(plots, n, CKS_ROLE_YIELD);
  const cks_span *span = span_of(&made, 1);
  assert_int_equal(span->n_location, 2);
  assert_string_equal(span->location[0], "Bram");
  assert_non_null(strstr(span->analysis->note, "not in the means: Alder 2025 (one value in every plot)"));
  assert_int_equal(span_of(&made, 0)->n_location, 3);
  made_analysis_release(&made);
}

static void span_when_one_year_or_none_is_given_then_none(void **state)
{
  (void)state;
  made_plot plots[MOST];
  size_t n = make_years(plots, SEED + 7, 3, 2026, 1, 4);
  made_analysis made = analyze(plots, n, CKS_ROLE_YIELD);
  assert_int_equal(made.results->trait[0].n_span, 0);
  made_analysis_release(&made);
  for (size_t p = 0; p < n; p++)
    if (*plots[p].location == 'C') plots[p].year = 0;
  made = analyze(plots, n, CKS_ROLE_YIELD);
  assert_int_equal(made.results->trait[0].n_span, 0);
  made_analysis_release(&made);
}

static void span_when_percents_are_extreme_then_no_lsd_in_percent(void **state)
{
  (void)state;
  made_plot plots[MOST];
  size_t n = make_years(plots, SEED + 8, 3, 2025, 2, 4);
  for (size_t p = 0; p < n; p++) plots[p].value = fmin(fmax(plots[p].value - 75, 1), 99);
  made_analysis made = analyze(plots, n, CKS_ROLE_LODGING);
  const cks_analysis *a = span_of(&made, 1)->analysis;
  assert_true(made.results->trait[0].arcsine && isnan(a->lsd) && isnan(a->sed));
  assert_non_null(strstr(a->lsd_why, "no LSD in percent"));
  made_analysis_release(&made);
}

/* Two trials on one farm in each year are four environments of two seasons: no test of them as four seasons. */
static void span_when_a_place_had_two_trials_a_year_then_no_mean(void **state)
{
  (void)state;
  char csv[4096] = "location,year,trial,rep,hybrid,yield (bu/ac)\n";
  test_random random = {SEED + 9};
  printf("seed %d\n", SEED + 9);
  size_t n = strlen(csv);
  for (int i = 0; i < 4 * 2 * 3; i++)
    n += (size_t)snprintf(csv + n, sizeof csv - n, "Alder,%d,%s,%d,%s,%.2f\n", 2025 + i % 2, i / 2 % 2 ? "dry" : "wet",
                          i / 4 % 2 + 1, made_names[i / 8], 80 + 5 * (i / 8) + 3 * test_normal(&random));
  cks_settings settings;
  cks_settings_defaults(&settings);
  test_run run = test_run_csv(&settings, csv, NULL);
  assert_non_null(run.json);
  json_t *two = test_json(run.json, "traits.0.years.0");
  assert_true(json_is_null(test_json(two, "f")));
  assert_non_null(strstr(json_string_value(test_json(two, "why")), "several trials"));
  assert_int_equal(json_array_size(test_json(two, "hybrids")), 0);
  test_run_release(&run);
}

/* ---- JSON ------------------------------------------------------------------------------------------------------- */

static void json_when_one_year_then_an_empty_array(void **state)
{
  (void)state;
  static const char csv[] = "location,year,rep,hybrid,yield (bu/ac)\nA,2026,1,Ash,80\nA,2026,1,Bay,90\n"
                            "A,2026,2,Ash,83\nA,2026,2,Bay,91\n";
  cks_settings settings;
  cks_settings_defaults(&settings);
  test_run run = test_run_csv(&settings, csv, NULL);
  assert_int_equal(json_array_size(test_json(run.json, "traits.0.years")), 0);
  assert_true(json_is_null(test_json(run.json, "traits.0.last_year")));
  test_run_release(&run);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(span_when_hybrids_and_places_come_and_go_then_the_series_of_the_rest),
      cmocka_unit_test(span_when_all_plots_are_of_two_years_then_across_to_the_bit),
      cmocka_unit_test(span_when_one_place_then_over_hybrid_by_year),
      cmocka_unit_test(span_when_f_is_not_significant_then_no_lsd_and_no_rank),
      cmocka_unit_test(span_when_a_plot_was_lost_then_a_mixed_model),
      cmocka_unit_test(span_when_no_place_or_no_pair_of_hybrids_stays_then_the_reason),
      cmocka_unit_test(span_when_a_place_says_nothing_in_a_year_then_it_is_left_out_by_name),
      cmocka_unit_test(span_when_one_year_or_none_is_given_then_none),
      cmocka_unit_test(span_when_percents_are_extreme_then_no_lsd_in_percent),
      cmocka_unit_test(span_when_a_place_had_two_trials_a_year_then_no_mean),
      cmocka_unit_test(json_when_one_year_then_an_empty_array),
  };
  return cmocka_run_group_tests(tests, test_start, NULL);
}
