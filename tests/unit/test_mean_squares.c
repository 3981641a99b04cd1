/*
 * test_mean_squares.c: the upper limit of a combination of mean squares, against closed forms of its special cases, another
 * program's quantiles, and the rate at which it fails.
 */
#include "../../src/math/distributions.h"
#include "../../src/math/mean_squares.h"
#include "support/support.h"

#include <math.h>
#include <stdio.h>

#define LEN(a) (sizeof(a) / sizeof *(a))

/* A mean square alone: the limit of a variance by chi-squared (Snedecor & Cochran, Statistical Methods; from memory). */
static void limit_when_one_mean_square_then_that_of_chi_squared(void **state)
{
  (void)state;
  static const double dfs[] = {1, 4, 17.5, 200}, alphas[] = {.01, .05, .1};
  for (size_t i = 0; i < LEN(dfs); i++)
    for (size_t k = 0; k < LEN(alphas); k++) {
      cks_mean_square plus = {2, 7.5, dfs[i]}, minus = {-2, 7.5, dfs[i]};
      double at_least = cks_chi_squared_quantile(alphas[k], dfs[i]),
             at_most = cks_chi_squared_quantile(1 - alphas[k], dfs[i]);
      assert_close(cks_mean_squares_upper(1, &plus, alphas[k]), 15 * dfs[i] / at_least, 1e-12);
      assert_close(cks_mean_squares_upper(1, &minus, alphas[k]), -15 * dfs[i] / at_most, 1e-12);
    }
}

/* MS_1 - MS_2 is judged to be below 0 just where the F test says so. */
static void limit_when_a_difference_then_zero_where_f_is_its_quantile(void **state)
{
  (void)state;
  static const double dfs[][2] = {{4, 44}, {13, 3}, {117, 234}, {1, 1}};
  for (size_t i = 0; i < LEN(dfs); i++) {
    double f = cks_f_quantile(.05, dfs[i][0], dfs[i][1]);
    cks_mean_square at[] = {{1, 3 * f, dfs[i][0]}, {-1, 3, dfs[i][1]}};
    assert_true(fabs(cks_mean_squares_upper(2, at, .05)) < 1e-9);
    at[0].ms *= 1.01;
    assert_true(cks_mean_squares_upper(2, at, .05) > 0);
    at[0].ms *= .98;
    assert_true(cks_mean_squares_upper(2, at, .05) < 0);
  }
}

/* Two mean squares of one expectation, each by its df, are one on the sum of the df. */
static void limit_when_two_are_taken_off_by_their_df_then_that_of_the_pooled_one(void **state)
{
  (void)state;
  cks_mean_square apart[] = {{-4, 2.5, 4}, {-60, 2.5, 60}}, pooled = {-64, 2.5, 64};
  assert_close(cks_mean_squares_upper(2, apart, .05), cks_mean_squares_upper(1, &pooled, .05), 1e-12);
}

static void limit_when_the_order_of_terms_changes_then_the_same(void **state)
{
  (void)state;
  cks_mean_square a[] = {{1.2, 30, 13}, {-.4, 90, 7}, {.3, 11, 39}, {-1, 8, 117}}, b[] = {a[3], a[1], a[2], a[0]};
  assert_close(cks_mean_squares_upper(LEN(a), a, .05), cks_mean_squares_upper(LEN(b), b, .05), 1e-12);
}

/* The formula written out in R 4.2.2 with its qf and qchisq. */
static void limit_when_of_several_terms_then_that_of_another_program(void **state)
{
  (void)state;
  cks_mean_square three[] = {{1 + 1 / 24., 16, 44}, {-1 / 24., 208, 4}, {-1, 8, 180}},
                  four[] = {{1.2, 30, 13}, {-.4, 90, 7}, {.3, 11, 39}, {-1, 8, 117}};
  assert_close(cks_mean_squares_upper(LEN(three), three, .05), 9.6563546459345, 1e-12);
  assert_close(cks_mean_squares_upper(LEN(three), three, .1), 7.42731258137581, 1e-12);
  assert_close(cks_mean_squares_upper(LEN(four), four, .05), 41.8083477654531, 1e-12);
}

static double draw(double expected, size_t df, test_random *random)
{
  double sum = 0;
  for (size_t i = 0; i < df; i++) {
    double z = test_normal(random);
    sum += z * z;
  }
  return expected * sum / (double)df;
}

/* 5 hybrids at 12 environments in 2 reps, the interaction's variance (8) half that of hybrids, 16 of a mean's error: what
 * is 0 is judged to be below it in .05 of the draws. Without the term of the two mean squares of negative weight it was in .056. */
static void limit_when_the_combination_is_zero_then_below_it_in_alpha_of_draws(void **state)
{
  (void)state;
  enum { N = 20000, SEED = 20261401 };
  test_random random = {SEED};
  size_t below = 0;
  for (size_t n = 0; n < N; n++) {
    cks_mean_square at[] = {{1 + 1 / 24., draw(24, 44, &random), 44},
                            {-1 / 24., draw(24 + 12 * 16, 4, &random), 4},
                            {-1, draw(16, 48, &random), 48}};
    below += cks_mean_squares_upper(LEN(at), at, .05) < 0;
  }
  double share = (double)below / N, room = 3 * sqrt(.05 * .95 / N);
  printf("seed %d: below 0 in %.4f of %d draws\n", SEED, share, N);
  assert_true(share > .05 - room && share < .05 + room);
}

static void limit_when_a_figure_is_missing_then_missing(void **state)
{
  (void)state;
  const cks_mean_square one[] = {{NAN, 2, 3}, {1, NAN, 3}, {1, 2, NAN}};
  for (size_t i = 0; i < LEN(one); i++) {
    const cks_mean_square two[] = {{-1, 2, 9}, one[i]};
    assert_true(isnan(cks_mean_squares_upper(1, &one[i], .05)));
    assert_true(isnan(cks_mean_squares_upper(2, two, .05)));
  }
  assert_true(isnan(cks_mean_squares_upper(1, &(cks_mean_square){1, 2, 3}, NAN)));
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(limit_when_one_mean_square_then_that_of_chi_squared),
      cmocka_unit_test(limit_when_a_difference_then_zero_where_f_is_its_quantile),
      cmocka_unit_test(limit_when_two_are_taken_off_by_their_df_then_that_of_the_pooled_one),
      cmocka_unit_test(limit_when_the_order_of_terms_changes_then_the_same),
      cmocka_unit_test(limit_when_of_several_terms_then_that_of_another_program),
      cmocka_unit_test(limit_when_the_combination_is_zero_then_below_it_in_alpha_of_draws),
      cmocka_unit_test(limit_when_a_figure_is_missing_then_missing),
  };
  return cmocka_run_group_tests(tests, test_start, NULL);
}
