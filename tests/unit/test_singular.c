/* test_singular.c: singular values against closed forms and figures of another program; what must hold of any table; signs. */
#include "../../src/math/singular.h"
#include "support/support.h"

#include <math.h>
#include <string.h>

#define LEN(a) (sizeof(a) / sizeof *(a))
enum { MOST = 60 };

static cks_singular decompose(size_t n_row, size_t n_column, const double *a, cks_arena *arena)
{
  cks_singular s;
  cks_error error = {0};
  assert_int_equal(cks_singular_new(n_row, n_column, a, arena, &s, &error), CKS_OK);
  assert_int_equal(s.n, n_row < n_column ? n_row : n_column);
  return s;
}

static double dot(const double *x, size_t n, size_t step, size_t k, size_t l)
{
  double sum = 0;
  for (size_t i = 0; i < n; i++) sum += x[i * step + k] * x[i * step + l];
  return sum;
}

/* The table comes back, vectors are of length 1 and at right angles, values descend, each sign is by the rule. */
static void assert_is_decomposition(const cks_singular *s, size_t n_row, size_t n_column, const double *a)
{
  for (size_t i = 0; i < n_row; i++)
    for (size_t j = 0; j < n_column; j++) {
      double sum = 0;
      for (size_t k = 0; k < s->n; k++) sum += s->value[k] * s->row[i * s->n + k] * s->column[j * s->n + k];
      assert_true(fabs(sum - a[i * n_column + j]) <= 1e-12 * s->value[0]);
    }
  for (size_t k = 0; k < s->n; k++) {
    if (k) assert_true(s->value[k] <= s->value[k - 1]);
    if (s->value[k] <= 1e-12 * s->value[0]) continue;
    double largest = 0;
    for (size_t l = 0; l <= k; l++) {
      assert_true(fabs(dot(s->row, n_row, s->n, k, l) - (k == l)) < 1e-12);
      assert_true(fabs(dot(s->column, n_column, s->n, k, l) - (k == l)) < 1e-12);
    }
    for (size_t i = 0; i < n_row; i++)
      if (fabs(s->row[i * s->n + k]) > fabs(largest)) largest = s->row[i * s->n + k];
    assert_true(largest > 0);
  }
}

static void table_when_drawn_then_taken_apart_and_put_together(void **state)
{
  (void)state;
  static const size_t sizes[][2] = {{1, 1}, {1, 7}, {7, 1}, {5, 12}, {12, 5}, {6, 6}, {2, 30}, {30, 2}};
  test_random random = {20261410};
  print_message("seed 20261410\n");
  for (size_t t = 0; t < LEN(sizes); t++) {
    double a[MOST], scale[] = {1, 1e-150, 1e150};
    for (size_t m = 0; m < LEN(scale); m++) {
      size_t n = sizes[t][0] * sizes[t][1];
      cks_arena *arena = cks_arena_new();
      for (size_t i = 0; i < n; i++) a[i] = scale[m] * test_normal(&random);
      cks_singular s = decompose(sizes[t][0], sizes[t][1], a, arena);
      assert_is_decomposition(&s, sizes[t][0], sizes[t][1], a);
      cks_arena_free(arena);
    }
  }
}

/* sqrt((p^2 + q^2 + ...)) of a product of two vectors; the roots of a 2 x 2 by its quadratic. */
static void values_when_known_in_closed_form_then_these(void **state)
{
  (void)state;
  cks_arena *arena = cks_arena_new();
  const double product[] = {3, 6, 9, 4, 8, 12}, two[] = {3, 0, 4, 5}, zero[6] = {0};
  cks_singular s = decompose(2, 3, product, arena);
  assert_close(s.value[0], 5 * sqrt(14), 1e-14);
  assert_true(s.value[1] < 1e-14);
  assert_close(s.row[0], 3 / 5., 1e-14);
  assert_close(s.row[1 * s.n], 4 / 5., 1e-14);
  assert_close(s.column[2 * s.n], 3 / sqrt(14), 1e-14);
  s = decompose(2, 2, two, arena);
  assert_close(s.value[0], sqrt(45), 1e-14);
  assert_close(s.value[1], sqrt(5), 1e-14);
  s = decompose(2, 3, zero, arena);
  assert_true(s.value[0] == 0 && s.value[1] == 0);
  cks_arena_free(arena);
}

/* R 4.2.2, svd() of the Hilbert matrix of order 6, the example on the help page of svd with another order. */
static void values_of_a_hilbert_matrix_then_those_of_another_program(void **state)
{
  (void)state;
  static const double expected[] = {1.61889985892434,     0.242360870575209,    0.0163215213198758,
                                    0.000615748354182645, 1.25707571226325e-05, 1.08279948444627e-07};
  enum { N = LEN(expected) };
  double a[N * N];
  cks_arena *arena = cks_arena_new();
  for (size_t i = 0; i < N; i++)
    for (size_t j = 0; j < N; j++) a[i * N + j] = 1 / (double)(i + j + 1);
  cks_singular s = decompose(N, N, a, arena);
  for (size_t k = 0; k < N; k++) assert_true(fabs(s.value[k] - expected[k]) < 1e-14);
  cks_arena_free(arena);
}

/* Two entries that are as large but for rounding: the first decides, whichever way rounding went. */
static void signs_when_two_entries_are_as_large_then_the_first_is_positive(void **state)
{
  (void)state;
  static const double by[] = {0, 1e-13, -1e-13};
  for (size_t t = 0; t < LEN(by); t++)
    for (int sign = -1; sign <= 1; sign += 2) {
      cks_arena *arena = cks_arena_new();
      const double a[] = {sign * 2., sign * 1., sign * -2 * (1 + by[t]), sign * -(1 + by[t]), 0, 0};
      cks_singular s = decompose(3, 2, a, arena);
      assert_close(s.row[0], sqrt(.5), 1e-10);
      assert_close(s.row[1 * s.n], -sqrt(.5), 1e-10);
      assert_close(s.column[0], sign * 2 / sqrt(5), 1e-10);
      cks_arena_free(arena);
    }
}

static void table_when_turned_then_values_are_the_same_and_vectors_change_places(void **state)
{
  (void)state;
  enum { G = 5, E = 8 };
  double a[G * E], turned[E * G];
  test_random random = {20261411};
  cks_arena *arena = cks_arena_new();
  for (size_t i = 0; i < G; i++)
    for (size_t j = 0; j < E; j++) turned[j * G + i] = a[i * E + j] = test_normal(&random);
  cks_singular s = decompose(G, E, a, arena), t = decompose(E, G, turned, arena);
  for (size_t k = 0; k < G; k++) {
    assert_close(s.value[k], t.value[k], 1e-12);
    for (size_t i = 0; i < G; i++) assert_close(fabs(s.row[i * s.n + k]), fabs(t.column[i * t.n + k]), 1e-9);
  }
  cks_arena_free(arena);
}

static void table_when_an_entry_is_no_number_then_refused(void **state)
{
  (void)state;
  static const double wrong[] = {NAN, INFINITY, -INFINITY};
  for (size_t i = 0; i < LEN(wrong); i++) {
    cks_singular s;
    cks_error error = {0};
    cks_arena *arena = cks_arena_new();
    const double a[] = {1, 2, wrong[i], 4};
    assert_int_equal(cks_singular_new(2, 2, a, arena, &s, &error), CKS_NUMERIC);
    assert_non_null(strstr(error.text, "no number"));
    cks_arena_free(arena);
  }
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(table_when_drawn_then_taken_apart_and_put_together),
      cmocka_unit_test(values_when_known_in_closed_form_then_these),
      cmocka_unit_test(values_of_a_hilbert_matrix_then_those_of_another_program),
      cmocka_unit_test(signs_when_two_entries_are_as_large_then_the_first_is_positive),
      cmocka_unit_test(table_when_turned_then_values_are_the_same_and_vectors_change_places),
      cmocka_unit_test(table_when_an_entry_is_no_number_then_refused),
  };
  return cmocka_run_group_tests(tests, test_start, NULL);
}
