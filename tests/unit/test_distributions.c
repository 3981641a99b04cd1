/* test_distributions.c: t and F against printed tables, identities between them, and sums that keep their digits. */
#include "../../src/math/dense.h"
#include "../../src/math/distributions.h"
#include "../../src/math/sums.h"
#include "support/support.h"

#include <math.h>

/* NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.6.7.2, upper critical values of t, 3 decimals. */
static void t_critical_when_tabled_then_the_printed_value(void **state)
{
  (void)state;
  static const double table[][3] = {{0.05, 1, 12.706}, {0.05, 2, 4.303},  {0.10, 2, 2.920},  {0.05, 10, 2.228},
                                    {0.01, 10, 3.169}, {0.05, 15, 2.131}, {0.20, 30, 1.310}, {0.05, 100, 1.984}};
  for (size_t i = 0; i < sizeof table / sizeof *table; i++)
    assert_true(fabs(cks_t_critical(table[i][0], table[i][1]) - table[i][2]) < 0.0006);
}

/* R 4.2.2, qt(): the t values of the comparisons of published complete-block examples. */
static void t_critical_when_computed_elsewhere_then_equal(void **state)
{
  (void)state;
  assert_close(cks_t_critical(0.05, 15), 2.13144954555978, 1e-12);
  assert_close(cks_t_critical(0.10, 15), 1.75305035569257, 1e-12);
  assert_close(cks_t_critical(0.01, 15), 2.94671288347524, 1e-12);
  assert_close(cks_t_critical(0.05, 54), 2.00487928818806, 1e-12);
  assert_close(cks_t_critical(0.01, 44), 2.69227826569302, 1e-12);
}

static void t_p_when_at_the_critical_value_then_alpha(void **state)
{
  (void)state;
  for (double df = 1; df < 3000; df *= 3)
    for (double alpha = 0.5; alpha > 1e-9; alpha /= 5) {
      double t = cks_t_critical(alpha, df);
      assert_close(cks_t_p(t, df), alpha, 1e-10);
      assert_close(cks_t_p(-t, df), alpha, 1e-10);
      assert_close(cks_f_p(t * t, 1, df), alpha, 1e-9); /* t squared is F on 1 and df */
    }
}

/* R 4.2.2, pf(): F tests of Gomez & Gomez 1984, table 2.6, and Snedecor & Cochran 1967. */
/* The upper 5 % points are those of printed F tables (Snedecor & Cochran 1967, table A 14, part I; from memory). */
static void f_quantile_when_taken_back_then_its_probability(void **state)
{
  (void)state;
  const double dfs[] = {1, 2, 3.5, 12, 60, 400};
  const double ps[] = {0.01, 0.2, 0.5, 0.8, 0.99};
  for (size_t i = 0; i < 36; i++)
    for (size_t k = 0; k < 5; k++)
      assert_close(1 - cks_f_p(cks_f_quantile(ps[k], dfs[i / 6], dfs[i % 6]), dfs[i / 6], dfs[i % 6]), ps[k], 1e-9);
  assert_close(cks_f_quantile(0.95, 3, 10), 3.71, 0.002);
  assert_close(cks_f_quantile(0.95, 4, 44), 2.58, 0.002);
  assert_true(cks_is_missing(cks_f_quantile(0, 3, 10)) && cks_is_missing(cks_f_quantile(0.5, 0, 10)));
}

static void f_p_when_computed_elsewhere_then_equal(void **state)
{
  (void)state;
  assert_close(cks_f_p(2.16777868149537, 5, 15), 0.112809412634841, 1e-10);
  assert_close(cks_f_p(5.86224305563163, 3, 15), 0.00741577831502167, 1e-10);
  assert_close(cks_f_p(20.4779529358007, 3, 12), 5.17806259598242e-05, 1e-10);
  assert_close(cks_f_p(41.44001177983, 8, 54), 2.3489546271628e-20, 1e-9);
}

static void distributions_when_asked_nonsense_then_missing(void **state)
{
  (void)state;
  assert_true(cks_is_missing(cks_t_critical(0, 5)));
  assert_true(cks_is_missing(cks_t_critical(0.05, 0)));
  assert_true(cks_is_missing(cks_t_p(cks_missing(), 5)));
  assert_true(cks_is_missing(cks_f_p(cks_missing(), 2, 5)));
  assert_true(cks_is_missing(cks_f_p(3, 0, 5)));
  assert_close(cks_f_p(INFINITY, 2, 5), 0, 0);
  assert_close(cks_f_p(0, 2, 5), 1, 0);
}

static void sum_when_large_values_cancel_then_the_small_one_stays(void **state)
{
  (void)state;
  const double values[] = {1, 1e100, 1, -1e100}; /* plain addition gives 0; the sum is 2 (Neumaier 1974) */
  assert_close(cks_sum_of(4, values), 2, 0);
}

static void solve_when_a_known_system_then_its_solution(void **state)
{
  (void)state;
  double a[] = {4, 12, -16, 12, 37, -43, -16, -43, 98}, b[] = {4 + 24 - 48, 12 + 74 - 129, -16 - 86 + 294};
  assert_int_equal(cks_dense_solve(3, a, b, NULL), CKS_OK);
  for (int i = 0; i < 3; i++) assert_close(b[i], i + 1, 1e-10);
}

static void invert_when_not_positive_definite_then_a_status(void **state)
{
  (void)state;
  double a[] = {1, 2, 2, 1}, good[] = {2, 1, 1, 2};
  cks_error error = {0};
  assert_int_equal(cks_dense_invert(2, a, &error), CKS_NUMERIC);
  assert_true(*error.text);
  assert_int_equal(cks_dense_invert(2, good, NULL), CKS_OK);
  assert_close(good[0], 2.0 / 3, 1e-14);
  assert_close(good[1], -1.0 / 3, 1e-14);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(t_critical_when_tabled_then_the_printed_value),
      cmocka_unit_test(t_critical_when_computed_elsewhere_then_equal),
      cmocka_unit_test(t_p_when_at_the_critical_value_then_alpha),
      cmocka_unit_test(f_quantile_when_taken_back_then_its_probability),
      cmocka_unit_test(f_p_when_computed_elsewhere_then_equal),
      cmocka_unit_test(distributions_when_asked_nonsense_then_missing),
      cmocka_unit_test(sum_when_large_values_cancel_then_the_small_one_stays),
      cmocka_unit_test(solve_when_a_known_system_then_its_solution),
      cmocka_unit_test(invert_when_not_positive_definite_then_a_status),
  };
  return cmocka_run_group_tests(tests, test_start, NULL);
}
