/*
 * test_many_hybrids.c: as many hybrids as a breeder's first yield trial has: no letters, and the reason; the top group
 * in place under each comparison; and comparisons with the best where replication is unequal.
 */
#include "support/support.h"

#include "../../src/math/distributions.h"
#include "../../src/math/largest.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MANY = 2500, REPS = 4, SEED = 20261130, LINE = 48 };

/* n hybrids at one place, H0001 the check; every `lose`-th plot lost, 0: none. To be freed. */
static char *many_plots(size_t n, size_t lose)
{
  test_random random = {SEED};
  size_t room = LINE * (n * REPS + 1), at = 0;
  char *csv = malloc(room);
  assert_non_null(csv);
  at += (size_t)snprintf(csv, room, "location,rep,hybrid,yield (bu/ac)\n");
  for (size_t i = 0; i < n; i++) {
    double worth = 90 + 8 * test_normal(&random);
    for (size_t k = 0; k < REPS; k++) {
      double y = worth + 2 * (double)k + 8 * test_normal(&random);
      if (lose && (i * REPS + k) % lose == 0) continue;
      at += (size_t)snprintf(csv + at, room - at, "Creek,%zu,H%04zu,%.2f\n", k + 1, i + 1, y);
    }
  }
  return csv;
}

typedef struct {
  cks_comparison comparison;
  bool best;
} rule;

/* How many SEDs below the best a hybrid may lie and be in the top group. */
static double reach_of(const rule *r, size_t n, double df, double alpha)
{
  cks_profile profile;
  double pairs = (double)n * ((double)n - 1) / 2;
  cks_dunnett_class others = {n - 1, M_SQRT1_2};
  if (r->best) {
    assert_int_equal(cks_profile_dunnett(&profile, 1, &others, false, NULL), CKS_OK);
    return cks_profile_quantile(&profile, alpha, df);
  }
  if (r->comparison == CKS_COMPARE_TUKEY) {
    assert_int_equal(cks_profile_range(&profile, n, NULL), CKS_OK);
    return cks_profile_quantile(&profile, alpha, df) * M_SQRT1_2;
  }
  return cks_t_critical(r->comparison == CKS_COMPARE_BONFERRONI ? alpha / pairs : alpha, df);
}

/* Nearer than reach x the smallest SED: in; further than reach x the largest: out; no letters, with a reason. */
static void top_group_in_place(const rule *r, const char *csv, bool equal, const char *why)
{
  cks_settings settings;
  cks_settings_defaults(&settings);
  cks_setting_pair check = {"H0001", NULL};
  settings.check = (cks_setting_list){1, &check};
  settings.comparison = r->comparison;
  settings.top_best = r->best;
  test_run run = test_run_csv(&settings, csv, NULL);
  assert_int_equal(run.status, CKS_OK);
  json_t *a = test_json(run.json, "traits.0.locations.0"), *rows = test_json(a, "hybrids"), *row;
  size_t n = json_array_size(rows), n_top = 0, i;
  double reach = r->best && !equal ? cks_t_critical(2 * -expm1(log1p(-0.05) / ((double)n - 1)), /* Sidak's, one-sided */
                                                    test_json_number(a, "error_df"))
                                   : reach_of(r, n, test_json_number(a, "error_df"), 0.05),
         near = reach * test_json_number(a, "sed_min") * (1 - 1e-6),
         far = reach * test_json_number(a, "sed_max") * (1 + 1e-6), best = test_json_number(rows, "0.mean");
  assert_true(equal == (test_json_number(a, "sed_min") >= test_json_number(a, "sed_max")));
  const char *given = json_string_value(test_json(a, "group_why"));
  assert_string_equal(given ? given : "none",
                      r->comparison == CKS_COMPARE_DUNNETT ? "Dunnett's rule compares with checks only" : why);
  json_array_foreach(rows, i, row)
  {
    bool top = json_is_true(test_json(row, "top"));
    double gap = best - test_json_number(row, "mean");
    assert_true(json_is_null(test_json(row, "group")));
    assert_true(gap >= 0 && (gap > near || top) && (gap < far || !top));
    n_top += top;
  }
  assert_int_equal(n, MANY);
  assert_true(n_top > 1 && n_top < MANY);
  test_run_release(&run);
}

static void top_group_when_2500_hybrids_then_in_place_and_no_letters(void **state)
{
  static const rule rules[] = {{CKS_COMPARE_LSD, false},        {CKS_COMPARE_TUKEY, false},
                               {CKS_COMPARE_BONFERRONI, false}, {CKS_COMPARE_DUNNETT, false},
                               {CKS_COMPARE_LSD, true},         {CKS_COMPARE_TUKEY, true}};
  const size_t *lose = *state;
  char *csv = many_plots(MANY, *lose);
  for (size_t i = 0; i < sizeof rules / sizeof *rules; i++)
    top_group_in_place(&rules[i], csv, !*lose,
                       *lose ? "letters are given up to 200 hybrids when SEDs are unequal"
                             : "more than 26 letters would be needed");
  free(csv);
}

/* ---- comparisons with the best, unequal replication, not in blocks ----------------------------------------------- */

enum { FEW = 24, FEWEST = 2, KINDS = 4 }; /* hybrid i has FEWEST + i % KINDS plots */

static size_t plots_of(size_t i) { return FEWEST + i % KINDS; }

/* d of one of these many plots against all others: loadings sqrt(r_i / (r_i + r_0)) (Dunnett 1955). */
static double best_value(size_t r_0, double df)
{
  cks_dunnett_class class[KINDS];
  cks_profile profile;
  for (size_t k = 0; k < KINDS; k++) {
    double r = (double)(FEWEST + k);
    class[k] = (cks_dunnett_class){FEW / KINDS - (FEWEST + k == r_0), sqrt(r / (r + (double)r_0))};
  }
  assert_int_equal(cks_profile_dunnett(&profile, KINDS, class, false, NULL), CKS_OK);
  return cks_profile_quantile(&profile, 0.05, df);
}

/* Hsu 1984, Ann. Stat. 12:1136: out if and only if some other mean is more than d SEDs above, d its own. */
static void best_when_replication_is_unequal_then_each_by_its_own_value(void **state)
{
  (void)state;
  test_random random = {SEED + 1};
  char csv[LINE * FEW * (FEWEST + KINDS)];
  size_t at = (size_t)snprintf(csv, sizeof csv, "location,hybrid,yield (bu/ac)\n"), n_out = 0;
  for (size_t i = 0; i < FEW; i++) {
    double worth = 90 + 5 * test_normal(&random);
    for (size_t k = 0; k < plots_of(i); k++)
      at += (size_t)snprintf(csv + at, sizeof csv - at, "Creek,H%02zu,%.2f\n", i, worth + 4 * test_normal(&random));
  }
  cks_settings settings;
  cks_settings_defaults(&settings);
  settings.top_best = true;
  test_run run = test_run_csv(&settings, csv, NULL);
  assert_int_equal(run.status, CKS_OK);
  json_t *a = test_json(run.json, "traits.0.locations.0"), *rows = test_json(a, "hybrids");
  double ms = test_json_number(a, "error_ms"), df = test_json_number(a, "error_df"), mean[FEW], d[KINDS];
  for (size_t k = 0; k < KINDS; k++) d[k] = best_value(FEWEST + k, df);
  bool out[FEW] = {false};
  for (size_t i = 0; i < FEW; i++) {
    char name[8];
    snprintf(name, sizeof name, "H%02zu", i);
    json_t *row = test_json_with(rows, "hybrid", name);
    mean[i] = test_json_number(row, "mean");
    out[i] = !json_is_true(test_json(row, "top"));
    assert_close(test_json_number(row, "n"), (double)plots_of(i), 0);
  }
  for (size_t i = 0; i < FEW; i++) {
    bool beaten = false;
    for (size_t j = 0; j < FEW; j++)
      beaten |= mean[j] - mean[i] > d[i % KINDS] * sqrt(ms * (1 / (double)plots_of(i) + 1 / (double)plots_of(j)));
    assert_int_equal(out[i], beaten);
    n_out += beaten;
  }
  assert_true(n_out > 0 && n_out < FEW - 1);
  test_run_release(&run);
}

int main(void)
{
  static size_t whole = 0, lost = 23;
  const struct CMUnitTest tests[] = {
      {"top_group_when_2500_hybrids_then_in_place_and_no_letters",
       top_group_when_2500_hybrids_then_in_place_and_no_letters, NULL, NULL, &whole},
      {"top_group_when_2500_hybrids_and_plots_are_lost_then_in_place_and_no_letters",
       top_group_when_2500_hybrids_then_in_place_and_no_letters, NULL, NULL, &lost},
      cmocka_unit_test(best_when_replication_is_unequal_then_each_by_its_own_value),
  };
  return cmocka_run_group_tests(tests, test_start, NULL);
}
