/*
 * test_left_out.c: the share of hybrids as good as the best that is left out by chance, against three things that do
 * not share its formula: t itself, Dunnett's one-sided distribution, and generated means.
 */
#include "../../src/math/distributions.h"
#include "../../src/math/largest.h"
#include "../../src/math/left_out.h"
#include "support/support.h"

#include <math.h>

static const double dfs[] = {1, 1.3, 2.5, 5.0771, 18, 84, 1234.5, 1e7, INFINITY};
enum { N_DF = sizeof dfs / sizeof *dfs };

static double t_at(double alpha, double df) { return cks_t_critical(alpha, isinf(df) ? 1e12 : df); }

/* One rival: it is out when |T| > t. */
static void share_when_two_hybrids_then_alpha(void **state)
{
  (void)state;
  static const double alphas[] = {0.2, 0.1, 0.05, 0.01, 1e-4};
  for (size_t i = 0; i < N_DF; i++)
    for (size_t j = 0; j < sizeof alphas / sizeof *alphas; j++)
      assert_close(cks_left_out_share(2, dfs[i], t_at(alphas[j], dfs[i])), alphas[j], 1e-9);
}

/* A given one of g is out when the best of the others is more than t SEDs above it: Dunnett 1955, one-sided. */
static void share_when_many_hybrids_then_dunnetts_upper_tail(void **state)
{
  (void)state;
  static const size_t many[] = {3, 5, 10, 29, 60, 200, 1000};
  double worst = 0;
  for (size_t k = 0; k < sizeof many / sizeof *many; k++) {
    double g = (double)many[k];
    cks_dunnett_class others = {many[k] - 1, M_SQRT1_2};
    cks_profile profile;
    assert_int_equal(cks_profile_dunnett(&profile, 1, &others, false, NULL), CKS_OK);
    for (size_t i = 0; i < N_DF; i++)
      for (double alpha = 0.1; alpha > 0.001; alpha /= 2) {
        double t = t_at(alpha, dfs[i]), given = cks_profile_upper(&profile, t, dfs[i]);
        worst = fmax(worst, fabs(cks_left_out_share(many[k], dfs[i], t) - given * g / (g - 1)));
      }
  }
  printf("worst difference from Dunnett's tail %.1e\n", worst);
  assert_true(worst < 1e-9);
}

/* 20,000 sets of g means and a chi-square on df, seed 20261127; three standard errors of the share out, set by set. */
static void share_when_simulated_then_within_three_standard_errors(void **state)
{
  (void)state;
  enum { SETS = 20000, MOST = 29 };
  static const struct {
    size_t g, df;
  } settings[] = {{3, 6}, {10, 27}, {29, 84}};
  test_random random = {20261127};
  for (size_t k = 0; k < sizeof settings / sizeof *settings; k++) {
    size_t g = settings[k].g, df = settings[k].df;
    double t = cks_t_critical(0.05, (double)df), sum = 0, squares = 0;
    for (size_t n = 0; n < SETS; n++) {
      double mean[MOST], best = -INFINITY, chi = 0;
      for (size_t i = 0; i < g; i++) best = fmax(best, mean[i] = test_normal(&random));
      for (size_t i = 0; i < df; i++) chi += pow(test_normal(&random), 2);
      size_t out = 0;
      for (size_t i = 0; i < g; i++) out += best - mean[i] > t * sqrt(2 * chi / (double)df);
      double share = (double)out / ((double)g - 1);
      sum += share;
      squares += share * share;
    }
    double found = sum / SETS, se = sqrt((squares / SETS - found * found) / SETS);
    double expected = cks_left_out_share(g, (double)df, t);
    printf("g %zu df %zu: share %.4f, simulated %.4f (se %.4f)\n", g, df, expected, found, se);
    assert_true(fabs(found - expected) < 3 * se);
  }
}

static void share_when_more_are_tied_then_larger(void **state)
{
  (void)state;
  for (size_t i = 0; i < N_DF; i++) {
    double before = 0;
    for (size_t g = 2; g < 100000; g += 1 + g / 3) {
      double share = cks_left_out_share(g, dfs[i], t_at(0.05, dfs[i]));
      assert_true(share > before && share < 1);
      before = share;
    }
  }
}

static void share_when_there_is_no_answer_then_missing(void **state)
{
  (void)state;
  assert_true(cks_is_missing(cks_left_out_share(1, 10, 2)));
  assert_true(cks_is_missing(cks_left_out_share(0, 10, 2)));
  assert_true(cks_is_missing(cks_left_out_share(5, 0, 2)));
  assert_true(cks_is_missing(cks_left_out_share(5, NAN, 2)));
  assert_true(cks_is_missing(cks_left_out_share(5, 10, -1)));
  assert_true(cks_is_missing(cks_left_out_share(5, 10, NAN)));
  assert_close(cks_left_out_share(5, 10, 0), 1, 1e-12); /* all but the best */
  assert_close(cks_left_out_share(5, 10, INFINITY), 0, 0);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(share_when_two_hybrids_then_alpha),
      cmocka_unit_test(share_when_many_hybrids_then_dunnetts_upper_tail),
      cmocka_unit_test(share_when_simulated_then_within_three_standard_errors),
      cmocka_unit_test(share_when_more_are_tied_then_larger),
      cmocka_unit_test(share_when_there_is_no_answer_then_missing),
  };
  return cmocka_run_group_tests(tests, test_start, NULL);
}
