/* test_letters.c: two share a letter if and only if they are not different (Piepho 2004, J. Comput. Graph. Stat.
 * 13:456). */
#include "../../src/analyze/letters.h"
#include "support/support.h"

#include <stdio.h>
#include <string.h>

enum { MOST = 40, SETS = 300, SEED = 20260521 };

typedef struct {
  size_t n;
  bool differ[MOST][MOST];
} decisions;

static bool look_up(const void *context, size_t i, size_t j) { return ((const decisions *)context)->differ[i][j]; }

static bool share(const char *a, const char *b) { return strpbrk(a, b) != NULL; }

static bool near_enough(const void *context, size_t i, size_t j)
{
  const double *means = context;
  double gap = means[i] - means[j];
  return (gap < 0 ? -gap : gap) > 5;
}

/* Fails the test where letters and decisions part; false when there were no letters. */
static bool check(const decisions *d, bool runs)
{
  cks_arena *arena = cks_arena_new();
  const char *group[MOST], *why = NULL;
  assert_non_null(arena);
  assert_int_equal(cks_letters_assign(d->n, runs, look_up, d, arena, group, &why, NULL), CKS_OK);
  bool given = *why == '\0';
  for (size_t i = 0; i < d->n; i++) {
    assert_true(given == (group[i] != NULL));
    for (size_t j = 0; given && j < i; j++) assert_true(share(group[i], group[j]) == !d->differ[i][j]);
  }
  if (given && d->n) assert_int_equal(group[0][0], 'a');
  cks_arena_free(arena);
  return given;
}

static void letters_when_decisions_are_random_then_share_iff_not_different(void **state)
{
  (void)state;
  test_random random = {SEED};
  size_t given = 0;
  printf("seed %d\n", SEED);
  for (int set = 0; set < SETS; set++) {
    decisions d = {.n = 2 + test_below(&random, 9)};
    double rate = test_uniform(&random);
    for (size_t i = 0; i < d.n; i++)
      for (size_t j = 0; j < i; j++) d.differ[i][j] = d.differ[j][i] = test_uniform(&random) < rate;
    given += check(&d, false);
  }
  assert_true(given > SETS * 9 / 10);
}

/* Means in order and one critical value: the sweep and insert-and-absorb must say the same. */
static void letters_when_one_sed_then_the_sweep_agrees_with_insert_and_absorb(void **state)
{
  (void)state;
  test_random random = {SEED + 1};
  printf("seed %d\n", SEED + 1);
  for (int set = 0; set < SETS; set++) {
    decisions d = {.n = 2 + test_below(&random, MOST - 2)};
    double mean[MOST] = {0};
    for (size_t i = 1; i < d.n; i++) mean[i] = mean[i - 1] - test_uniform(&random);
    double critical = 1 + 5 * test_uniform(&random);
    for (size_t i = 0; i < d.n; i++)
      for (size_t j = 0; j < d.n; j++) d.differ[i][j] = mean[i] - mean[j] > critical || mean[j] - mean[i] > critical;
    cks_arena *arena = cks_arena_new();
    const char *swept[MOST], *absorbed[MOST], *why = NULL;
    assert_int_equal(cks_letters_assign(d.n, true, look_up, &d, arena, swept, &why, NULL), CKS_OK);
    bool given = !*why;
    assert_int_equal(cks_letters_assign(d.n, false, look_up, &d, arena, absorbed, &why, NULL), CKS_OK);
    assert_true(given == !*why);
    for (size_t i = 0; given && i < d.n; i++) assert_string_equal(swept[i], absorbed[i]);
    cks_arena_free(arena);
    check(&d, true);
  }
}

static void letters_when_more_than_26_are_needed_then_none_and_the_reason(void **state)
{
  (void)state;
  decisions d = {.n = 27};
  for (size_t i = 0; i < d.n; i++)
    for (size_t j = 0; j < d.n; j++) d.differ[i][j] = i != j;
  assert_false(check(&d, true));
  assert_false(check(&d, false));
  d.n = 26;
  assert_true(check(&d, true));
  assert_true(check(&d, false));
}

/* Five means with an LSD of 5: 20-18, 18-14-13 and 7.5 alone, worked by hand. */
static void letters_when_a_small_table_then_as_worked_by_hand(void **state)
{
  (void)state;
  const double means[] = {20, 18, 14, 13, 7.5};
  static const char *const expected[] = {"a", "ab", "b", "b", "c"};
  cks_arena *arena = cks_arena_new();
  const char *group[5], *why = NULL;
  assert_int_equal(cks_letters_assign(5, true, near_enough, means, arena, group, &why, NULL), CKS_OK);
  for (int i = 0; i < 5; i++) assert_string_equal(group[i], expected[i]);
  cks_arena_free(arena);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(letters_when_decisions_are_random_then_share_iff_not_different),
      cmocka_unit_test(letters_when_one_sed_then_the_sweep_agrees_with_insert_and_absorb),
      cmocka_unit_test(letters_when_more_than_26_are_needed_then_none_and_the_reason),
      cmocka_unit_test(letters_when_a_small_table_then_as_worked_by_hand),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
