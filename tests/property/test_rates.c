/*
 * test_rates.c: how often something is claimed of hybrids that do not differ: 1,000 generated trials each, at alpha
 * .05.
 *
 * By theory the share of significant F is .05, at one place and across random places with interaction; the share found
 * must lie within three standard errors of it, 3 sqrt(.05 x .95 / 1000) = .0207. Seeds are fixed and printed.
 */
#include "property/made.h"

enum { N_TRIALS = 1000 };
static const double ALPHA = 0.05, THREE_SE = 0.0207;

typedef struct {
  double significant, out_of_top, unlike_the_rest, ranked;
} rates;

/* What is claimed in one analysis: a significant F, a hybrid out of the top group, letters of more than one kind, a
 * rank. */
static void count_claims(json_t *analysis, rates *r)
{
  size_t i;
  json_t *hybrid;
  bool out = false, unlike = false, ranked = false;
  json_array_foreach(test_json(analysis, "hybrids"), i, hybrid)
  {
    const char *letters = json_string_value(test_json(hybrid, "group"));
    out = out || json_is_false(test_json(hybrid, "top"));
    unlike = unlike || (letters && strcmp(letters, "a") != 0);
    ranked = ranked || !json_is_null(test_json(hybrid, "rank"));
  }
  r->significant += test_json_number(analysis, "p") <= ALPHA;
  r->out_of_top += out;
  r->unlike_the_rest += unlike;
  r->ranked += ranked;
}

static rates rates_of(made_trial shape, made_spread spread, uint64_t seed, const char *path)
{
  rates r = {0};
  made_trial *m = malloc(sizeof *m);
  test_random random = {seed};
  *m = shape;
  for (int i = 0; i < N_TRIALS; i++) {
    made_fill(m, spread, &random);
    test_run run = made_run(m, MADE_AS_IS);
    count_claims(test_json(run.json, path), &r);
    test_run_release(&run);
  }
  free(m);
  print_message("seed %d: of %d trials %g significant, %g with a hybrid out of the top group\n", (int)seed,
                (int)N_TRIALS, r.significant, r.out_of_top);
  return r;
}

/* Protected: nothing else is claimed more often than F is significant. */
static void assert_rates(rates r, double expected)
{
  double share = r.significant / N_TRIALS;
  if (fabs(share - expected) > THREE_SE) fail_msg("F is significant in %g of the trials, expected %g", share, expected);
  assert_true(r.significant > 0);
  assert_true(r.out_of_top <= r.significant && r.unlike_the_rest <= r.significant && r.ranked == r.significant);
}

static void one_location_when_hybrids_do_not_differ_then_f_is_significant_in_5_percent(void **state)
{
  (void)state;
  made_trial shape = {
      .kind = MADE_BLOCKS, .n_hybrid = 8, .n_place = 1, .n_year = 1, .n_rep = 4, .n_trait = 1, .rep = true};
  assert_rates(rates_of(shape, (made_spread){0, 10, 0, 3, 4}, 20261125, "traits.0.locations.0"), ALPHA);
}

static void across_when_hybrids_interact_and_do_not_differ_then_f_is_significant_in_5_percent(void **state)
{
  (void)state;
  made_trial shape = {
      .kind = MADE_SERIES, .n_hybrid = 8, .n_place = 6, .n_year = 1, .n_rep = 2, .n_trait = 1, .rep = true};
  assert_rates(rates_of(shape, (made_spread){0, 10, 5, 3, 4}, 20261126, "traits.0.across"), ALPHA);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(one_location_when_hybrids_do_not_differ_then_f_is_significant_in_5_percent),
      cmocka_unit_test(across_when_hybrids_interact_and_do_not_differ_then_f_is_significant_in_5_percent),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
