/*
 * test_published.c: trial tables as bulletins and a textbook print them, and one table that must not be ranked.
 *
 * A bulletin prints means, CV, error df and LSD, not plots. Plots with just these means and this error mean square are
 * made by adding to the means, rep by rep, residuals whose rows and columns sum to zero, scaled to the error sum of
 * squares. Printed figures are rounded, and the CV behind an LSD was rounded too: each check says how far off it may
 * be.
 */
#include "support/support.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MOST_ENTRIES = 29, N_REP = 4, SEED = 697 };
#define ALPHA 0.10 /* both bulletins: Fisher's protected LSD at 10 % */
#define LINE  64   /* bytes of one row of a plot list */

typedef struct {
  size_t n;
  double mean[MOST_ENTRIES]; /* as printed, best first */
  double trial_mean, cv_pct; /* as printed */
  double error_df;
  double lsd, lsd_off; /* from mean and CV unrounded; how far the printed one may be from it */
  double printed_lsd, se, printed_se;
  size_t n_top;
} bulletin;

/* Early planted, nonirrigated grain sorghum at Tifton, Georgia, 2004; Georgia Agricultural Experiment Stations,
 * Research Report 697 (December 2004). Entry 13 (68.5) is 8.7 below the best: inside the LSD of 8.710, outside a
 * strict 8.7. */
static const bulletin georgia_2004 = {.n = 29,
                                      .mean = {77.2, 76.5, 75.7, 74.5, 73.8, 73.1, 72.9, 72.0, 70.8, 68.7,
                                               68.7, 68.6, 68.5, 67.9, 67.2, 66.5, 65.5, 64.7, 63.6, 63.5,
                                               61.8, 61.6, 60.0, 56.0, 53.8, 53.5, 46.4, 46.1, 28.1},
                                      .trial_mean = 64.4,
                                      .cv_pct = 11.5,
                                      .error_df = 84,
                                      .lsd = 8.710,
                                      .printed_lsd = 8.7,
                                      .lsd_off = 0.05,
                                      .se = 3.703,
                                      .printed_se = 3.7,
                                      .n_top = 13};

/* Early planted grain sorghum at Tifton, Georgia, 2012; Georgia Agricultural Experiment Stations, Annual Publication
 * 103-4. The printed LSD comes from an unrounded CV: 9.85 to 9.95 % give 13.89 to 14.03. */
static const bulletin georgia_2012 = {.n = 7,
                                      .mean = {139.3, 122.0, 118.2, 112.1, 109.1, 105.8, 98.7},
                                      .trial_mean = 115.0,
                                      .cv_pct = 9.9,
                                      .error_df = 18,
                                      .lsd = 13.960,
                                      .printed_lsd = 13.9,
                                      .lsd_off = 0.1,
                                      .se = 5.6925,
                                      .printed_se = 5.7,
                                      .n_top = 1};

/* residual: size n x N_REP. Random, rows and columns centered, sum of squares ss. */
static void make_residuals(double *residual, size_t n, double ss)
{
  test_random random = {SEED};
  double column[N_REP] = {0}, sum = 0;
  for (size_t i = 0; i < n; i++) {
    double row = 0;
    for (size_t k = 0; k < N_REP; k++) row += residual[i * N_REP + k] = test_normal(&random);
    for (size_t k = 0; k < N_REP; k++) {
      residual[i * N_REP + k] -= row / N_REP;
      column[k] += residual[i * N_REP + k];
    }
  }
  for (size_t i = 0; i < n * N_REP; i++) {
    residual[i] -= column[i % N_REP] / (double)n;
    sum += residual[i] * residual[i];
  }
  for (size_t i = 0; i < n * N_REP; i++) residual[i] *= sqrt(ss / sum);
}

/* The plot list, yields in bu/ac with all digits; to be freed. Entries are named 01, 02, ... from the best down. */
static char *make_plots(const bulletin *b)
{
  double residual[MOST_ENTRIES * N_REP], s = b->cv_pct / 100 * b->trial_mean;
  make_residuals(residual, b->n, b->error_df * s * s);
  size_t room = LINE * (b->n * N_REP + 1), n = 0;
  char *csv = malloc(room);
  assert_non_null(csv);
  n += (size_t)snprintf(csv, room, "location,rep,hybrid,yield (bu/ac)\n");
  for (size_t i = 0; i < b->n * N_REP; i++)
    n += (size_t)snprintf(csv + n, room - n, "Tifton,%zu,Entry %02zu,%.15g\n", i % N_REP + 1, i / N_REP + 1,
                          b->mean[i / N_REP] + residual[i]);
  return csv;
}

static void bulletin_agrees(const bulletin *b)
{
  cks_settings settings;
  cks_settings_defaults(&settings);
  settings.alpha = ALPHA;
  char *csv = make_plots(b);
  test_run run = test_run_csv(&settings, csv, NULL);
  free(csv);
  assert_int_equal(run.status, CKS_OK);
  json_t *location = test_json(run.json, "traits.0.locations.0"), *hybrids = test_json(location, "hybrids");
  assert_close(test_json_number(location, "error_df"), b->error_df, 0);
  double lsd = test_json_number(location, "lsd"), se = test_json_number(hybrids, "0.se");
  assert_true(fabs(lsd - b->lsd) < 0.0005);
  assert_true(fabs(lsd - b->printed_lsd) <= b->lsd_off);
  assert_true(fabs(se - b->se) < 0.0005);
  assert_true(fabs(se - b->printed_se) < 0.05);
  assert_true(fabs(test_json_number(location, "mean") - b->trial_mean) < 0.05);
  assert_true(fabs(test_json_number(location, "cv_pct") - b->cv_pct) < 0.05);
  assert_int_equal(json_array_size(hybrids), b->n);
  for (size_t i = 0; i < b->n; i++) { /* rows stand by rank; equal means share one */
    json_t *row = json_array_get(hybrids, i);
    assert_close(test_json_number(row, "mean"), b->mean[i], 1e-12);
    size_t rank = i;
    while (rank && b->mean[rank - 1] <= b->mean[i]) rank--;
    assert_close(test_json_number(row, "rank"), (double)rank + 1, 0);
    assert_true(json_is_boolean(test_json(row, "top")));
    assert_int_equal(json_is_true(test_json(row, "top")), i < b->n_top);
  }
  test_run_release(&run);
}

static void georgia_2004_printed_table_is_met(void **state)
{
  (void)state;
  bulletin_agrees(&georgia_2004);
}

static void georgia_2012_printed_table_is_met(void **state)
{
  (void)state;
  bulletin_agrees(&georgia_2012);
}

/* Rice at six seeding rates in four complete blocks: Gomez, K. A. & Gomez, A. A. 1984, Statistical Procedures for
 * Agricultural Research, 2nd ed., table 2.5 (yields) and 2.6 (analysis): whole numbers, F 2.17 "ns", CV 6.7 %. Total
 * and mean squares from memory. */
static void rice_seeding_rates_printed_table_is_met(void **state)
{
  (void)state;
  static const struct {
    const char *source;
    double df, ss, ms; /* NAN: none */
  } printed[] = {{"rep", 3, 1944361, 648120},
                 {"hybrid", 5, 1198331, 239666},
                 {"error", 15, 1658376, 110558},
                 {"total", 23, 4801068, NAN}};
  cks_settings settings;
  cks_settings_defaults(&settings);
  cks_setting_pair hybrid = {"hybrid", "entry"}, unit = {"yield", "kg/ha"};
  settings.heading = (cks_setting_list){1, &hybrid};
  settings.unit = (cks_setting_list){1, &unit};
  char *csv = test_read_file("tests/reference/01a_rice/data.csv");
  test_run run = test_run_csv(&settings, csv, NULL);
  free(csv);
  assert_int_equal(run.status, CKS_OK);
  json_t *location = test_json(run.json, "traits.0.locations.0");
  for (size_t i = 0; i < sizeof printed / sizeof *printed; i++) {
    json_t *line = test_json_with(test_json(location, "anova"), "source", printed[i].source);
    assert_non_null(line);
    assert_close(test_json_number(line, "df"), printed[i].df, 0);
    assert_close(round(test_json_number(line, "ss")), printed[i].ss, 0);
    assert_close(round(test_json_number(line, "ms")), printed[i].ms, 0);
  }
  assert_close(round(100 * test_json_number(location, "f")), 217, 0);
  assert_close(round(10 * test_json_number(location, "cv_pct")), 67, 0);
  assert_true(json_is_null(test_json(location, "lsd")));            /* F is not significant: no LSD, */
  assert_true(json_is_null(test_json(location, "hybrids.0.rank"))); /* and no first place */
  test_run_release(&run);
}

/* One corn hybrid sown as five "entries" on one farm, yields in bu/ac (Farm Progress, on strip trials that deceive):
 * the strips run from 163.6 to 222.2 with nothing to find. A table that ranks single strips is wrong. */
static void one_hybrid_under_five_names_is_not_ranked(void **state)
{
  (void)state;
  static const char csv[] = "location,hybrid,yield (bu/ac)\n"
                            "North farm,Entry 1,222.2\nNorth farm,Entry 2,175.3\nNorth farm,Entry 3,163.6\n"
                            "North farm,Entry 4,184.6\nNorth farm,Entry 5,172.7\n";
  static const double yield[] = {222.2, 175.3, 163.6, 184.6, 172.7};
  static const char *const absent[] = {"lsd", "sed", "f", "p", "cv_pct", "error_df", "error_ms", "repeatability"};
  static const char *const absent_row[] = {"rank", "group", "top", "se"};
  cks_settings settings;
  cks_settings_defaults(&settings);
  settings.crop = "corn";
  settings.unprotected = true; /* nor when asked for comparisons at any price */
  test_run run = test_run_csv(&settings, csv, NULL);
  assert_non_null(run.json);
  json_t *location = test_json(run.json, "traits.0.locations.0"), *hybrids = test_json(location, "hybrids");
  assert_string_equal(json_string_value(test_json(location, "method")), "means");
  assert_true(json_is_string(test_json(location, "why")));
  for (size_t i = 0; i < sizeof absent / sizeof *absent; i++) assert_true(json_is_null(test_json(location, absent[i])));
  assert_int_equal(json_array_size(hybrids), 5);
  for (size_t i = 0; i < 5; i++) {
    json_t *row = json_array_get(hybrids, i); /* by name: no order of merit */
    assert_close(test_json_number(row, "mean"), yield[i], 1e-14);
    for (size_t k = 0; k < sizeof absent_row / sizeof *absent_row; k++)
      assert_true(json_is_null(test_json(row, absent_row[k])));
  }
  test_run_release(&run);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(georgia_2004_printed_table_is_met),
      cmocka_unit_test(georgia_2012_printed_table_is_met),
      cmocka_unit_test(rice_seeding_rates_printed_table_is_met),
      cmocka_unit_test(one_hybrid_under_five_names_is_not_ranked),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
