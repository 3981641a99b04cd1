/*
 * test_interaction_properties.c: what must hold of hybrids by environments in the JSON of any trial: the parts add up, a
 * verdict has what it rests on, hybrids' names and their order decide nothing. 50 generated trials, each named by its seed.
 *
 * Order of rows and scale: test_properties.c, which walks every figure.
 */
#include "property/made.h"

enum { N_SETS = 50 };
#define LEN(a) (sizeof(a) / sizeof *(a))

typedef void (*look)(const made_trial *m, json_t *interaction);

/* Every trait's, where there is one. */
static size_t each_interaction(const made_trial *m, json_t *root, look at)
{
  size_t i, n = 0;
  json_t *trait;
  json_array_foreach(test_json(root, "traits"), i, trait)
  {
    json_t *x = test_json(trait, "interaction");
    if (json_is_null(x) != json_is_null(test_json(trait, "across")))
      fail_msg("seed %d: one without the other", (int)m->seed);
    if (json_is_null(x)) continue;
    at(m, x);
    n++;
  }
  return n;
}

static void each_set(look at)
{
  made_trial *m = malloc(sizeof *m);
  size_t n = 0;
  assert_non_null(m);
  for (uint64_t seed = 0; seed < N_SETS; seed++) {
    made_make(m, seed);
    test_run run = made_run(m, MADE_AS_IS);
    n += each_interaction(m, run.json, at);
    test_run_release(&run);
  }
  free(m);
  assert_true(n > N_SETS / 2);
}

static bool has(json_t *x, const char *key) { return !json_is_null(test_json(x, key)); }

/* Over the elements of an array; NaN where one has none. */
static double sum_of(json_t *x, const char *array, const char *key)
{
  size_t i;
  json_t *element;
  double sum = 0;
  json_array_foreach(test_json(x, array), i, element) sum += test_json_number(element, key);
  return sum;
}

/* ---- the parts add up ------------------------------------------------------------------------------------------- */

static void check_sums(const made_trial *m, json_t *x)
{
  double g = (double)json_array_size(test_json(x, "hybrids")),
         e = (double)json_array_size(test_json(x, "environments"));
  double ss = test_json_number(x, "ss"), df = test_json_number(x, "df");
  if (has(x, "why")) return;
  assert_true(fabs(sum_of(x, "environments", "index")) < 1e-9);
  if (has(x, "left_out")) return;
  assert_close(df, (g - 1) * (e - 1), 0);
  assert_close(sum_of(x, "hybrids", "ecovalence"), ss, 1e-9);
  assert_close(sum_of(x, "axes", "ss"), ss, 1e-9);
  assert_close(sum_of(x, "axes", "df"), df, 1e-12);
  assert_close(sum_of(x, "axes", "share_pct"), 100, 1e-12);
  assert_close(sum_of(x, "site_axes", "df"), (g - 1) * e, 1e-12);
  if (e >= 3) assert_close(sum_of(x, "hybrids", "slope"), g, 1e-9);
  if (g >= 3) assert_close(sum_of(x, "hybrids", "stability_variance") / g, ss / df, 1e-9);
  assert_int_equal(json_array_size(test_json(x, "axes")), fmin(g, e) - 1);
  (void)m;
}

static void figures_when_of_a_complete_table_then_the_parts_add_up(void **state)
{
  (void)state;
  each_set(check_sums);
}

/* ---- what a verdict rests on ------------------------------------------------------------------------------------ */

static void check_verdict(const made_trial *m, json_t *x)
{
  const char *verdict = json_string_value(test_json(x, "verdict"));
  if (!verdict != has(x, "why")) fail_msg("seed %d: a verdict and a why, or neither", (int)m->seed);
  if (!verdict) return;
  if (!has(x, "verdict_basis")) fail_msg("seed %d: a verdict without its basis", (int)m->seed);
  bool changes = !strcmp(verdict, "order changes"), one = !strcmp(verdict, "one ranking"),
       cannot = !strcmp(verdict, "cannot tell"), tested = has(x, "f");
  if (changes + one + cannot != 1) fail_msg("seed %d: verdict '%s'", (int)m->seed, verdict);
  if ((!tested || m->kind == MADE_SINGLE) && !cannot) fail_msg("seed %d: '%s' untested", (int)m->seed, verdict);
  if (has(x, "crossover_pairs") != (tested && test_json_number(x, "p") <= .05))
    fail_msg("seed %d: pairs looked at, or not, against the F", (int)m->seed);
  double pairs = has(x, "crossover_pairs") ? test_json_number(x, "crossover_pairs") : 0;
  if (changes != (pairs > 0)) fail_msg("seed %d: '%s' with %g pairs", (int)m->seed, verdict, pairs);
  if ((double)json_array_size(test_json(x, "crossovers")) != fmin(pairs, 100))
    fail_msg("seed %d: the list of pairs", (int)m->seed);
  if (one && !(test_json_number(x, "excess_upper") < 0 &&
               test_json_number(x, "component_upper") < test_json_number(x, "hybrid_component") / 2))
    fail_msg("seed %d: one ranking without its limit", (int)m->seed);
}

static void verdict_when_given_then_it_has_what_it_rests_on(void **state)
{
  (void)state;
  each_set(check_verdict);
}

/* ---- names ------------------------------------------------------------------------------------------------------ */

static void compare_numbers(json_t *x, json_t *y, const char *const *key, size_t n)
{
  for (size_t k = 0; k < n; k++) assert_close(test_json_number(y, key[k]), test_json_number(x, key[k]), 1e-8);
}

static void compare_renamed(const made_trial *m, json_t *x, json_t *y, made_naming naming)
{
  static const char *const all[] = {"ss",
                                    "df",
                                    "f",
                                    "num_df",
                                    "den_df",
                                    "p",
                                    "component",
                                    "slopes_f",
                                    "hybrid_component",
                                    "excess_upper",
                                    "slopes_p",
                                    "nonadditivity.f",
                                    "component_upper",
                                    "cell_variance",
                                    "crossover_pairs"};
  static const char *const own[] = {"environments", "mean",         "slope",      "slope_se",           "slope_p",
                                    "slope_low",    "deviation_ms", "ecovalence", "stability_variance", "superiority"};
  static const char *const of_axis[] = {"singular_value", "share_pct", "df", "f", "p"};
  char name[32];
  size_t k;
  json_t *axis;
  assert_true(json_equal(test_json(x, "verdict"), test_json(y, "verdict")));
  compare_numbers(x, y, all, LEN(all));
  for (int h = 0; h < m->n_hybrid; h++) {
    json_t *a = test_json_with(test_json(x, "hybrids"), "hybrid", made_name(name, h, MADE_NAMED));
    json_t *b = test_json_with(test_json(y, "hybrids"), "hybrid", made_name(name, h, naming));
    if (!a != !b) fail_msg("seed %d: hybrid %d is in one of the two only", (int)m->seed, h);
    if (!a) continue;
    compare_numbers(a, b, own, LEN(own));
    assert_true(json_equal(test_json(a, "in_table"), test_json(b, "in_table")));
  }
  json_array_foreach(test_json(x, "axes"), k, axis)
      compare_numbers(axis, json_array_get(test_json(y, "axes"), k), of_axis, LEN(of_axis));
  json_array_foreach(test_json(x, "environments"), k, axis) assert_close(
      test_json_number(json_array_get(test_json(y, "environments"), k), "mean"), test_json_number(axis, "mean"), 1e-9);
}

static void names_when_changed_then_no_figure_moves(void **state)
{
  (void)state;
  made_trial *m = malloc(sizeof *m);
  assert_non_null(m);
  for (uint64_t seed = 0; seed < N_SETS; seed++)
    for (made_naming naming = MADE_RENAMED; naming <= MADE_REVERSED; naming++) {
      size_t i;
      json_t *trait;
      made_make(m, seed);
      test_run a = made_run(m, MADE_AS_IS), b = made_run(m, (made_view){NULL, naming, 0, 1, 1, false});
      json_array_foreach(test_json(a.json, "traits"), i, trait)
      {
        json_t *x = test_json(trait, "interaction"),
               *y = test_json(json_array_get(test_json(b.json, "traits"), i), "interaction");
        if (json_is_null(x) || has(x, "why")) continue;
        compare_renamed(m, x, y, naming);
      }
      test_run_release(&a);
      test_run_release(&b);
    }
  free(m);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(figures_when_of_a_complete_table_then_the_parts_add_up),
      cmocka_unit_test(verdict_when_given_then_it_has_what_it_rests_on),
      cmocka_unit_test(names_when_changed_then_no_figure_moves),
  };
  print_message("seeds 0 to %d\n", N_SETS - 1);
  return cmocka_run_group_tests(tests, NULL, NULL);
}
