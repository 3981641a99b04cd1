/*
 * test_group_rates.c: --by-group where groups differ greatly and the hybrids within a group do not at all: how often
 * something is claimed of them.
 *
 * By theory each group's F is significant in alpha of the trials, and nothing else of the group is claimed more often.
 * The share found over all groups must lie within three standard errors of alpha; groups share one error, so the groups
 * of a trial are counted as if they were one trial: 3 sqrt(alpha (1 - alpha) / trials). 50 trials a setting; with
 * CKS_TEST_LONG set 2,000. Seeds are fixed and printed.
 */
#include "property/made.h"

static const double ALPHA = 0.05;

typedef struct {
  const char *name, *path;
  made_trial shape;
  made_spread spread;
  bool lost;
  uint64_t seed;
} setting;

static const setting settings[] = {
    {"one place",
     "traits.0.locations.0",
     {.kind = MADE_BLOCKS,
      .n_hybrid = 12,
      .n_place = 1,
      .n_year = 1,
      .n_rep = 4,
      .n_trait = 1,
      .n_check = 1,
      .rep = true,
      .n_group = 3,
      .gap = 25},
     {0, 10, 0, 3, 4},
     false,
     20261127},
    {"one place, plots lost",
     "traits.0.locations.0",
     {.kind = MADE_LOST,
      .n_hybrid = 12,
      .n_place = 1,
      .n_year = 1,
      .n_rep = 4,
      .n_trait = 1,
      .n_check = 1,
      .rep = true,
      .n_group = 3,
      .gap = 25},
     {0, 10, 0, 3, 4},
     true,
     20261128},
    {"across random places",
     "traits.0.across",
     {.kind = MADE_SERIES,
      .n_hybrid = 12,
      .n_place = 5,
      .n_year = 1,
      .n_rep = 2,
      .n_trait = 1,
      .n_check = 1,
      .rep = true,
      .n_group = 3,
      .gap = 25},
     {0, 10, 5, 3, 4},
     false,
     20261129},
    {"across fixed places, plots lost",
     "traits.0.across",
     {.kind = MADE_SERIES_LOST,
      .n_hybrid = 12,
      .n_place = 3,
      .n_year = 1,
      .n_rep = 3,
      .n_trait = 1,
      .n_check = 1,
      .rep = true,
      .fixed = true,
      .n_group = 3,
      .gap = 25},
     {0, 10, 0, 3, 4},
     true,
     20261130},
};

typedef struct {
  double groups, significant, claimed, opened; /* opened: a claim in a group whose F finds nothing */
} counts;

/* Is anything said of two hybrids of the group, or of one and a check of its own group? */
static bool claims_in(json_t *analysis, const char *group)
{
  size_t i, j;
  json_t *hybrid, *vs, *hybrids = test_json(analysis, "hybrids");
  bool claim = false;
  json_array_foreach(hybrids, i, hybrid)
  {
    if (strcmp(json_string_value(test_json(hybrid, "by_group")), group) != 0) continue;
    const char *letters = json_string_value(test_json(hybrid, "group"));
    claim = claim || !json_is_null(test_json(hybrid, "rank")) || json_is_false(test_json(hybrid, "top")) ||
            (letters && strcmp(letters, "a") != 0);
    json_array_foreach(test_json(hybrid, "vs_check"), j, vs)
    {
      json_t *check = test_json_with(hybrids, "hybrid", json_string_value(test_json(vs, "check")));
      bool own = check && !strcmp(json_string_value(test_json(check, "by_group")), group);
      claim = claim || (own && !json_is_null(test_json(vs, "differs")));
    }
  }
  return claim;
}

static void count(json_t *analysis, counts *c)
{
  size_t i;
  json_t *group;
  json_array_foreach(test_json(analysis, "groups"), i, group)
  {
    bool significant = test_json_number(group, "p") <= ALPHA,
         claimed = claims_in(analysis, json_string_value(test_json(group, "by_group")));
    c->groups++;
    c->significant += significant;
    c->claimed += claimed;
    c->opened += claimed && !significant;
  }
  assert_true(test_json_number(analysis, "p") < 1e-6); /* the groups do differ: the F of all lets everything in */
}

static void groups_when_their_hybrids_do_not_differ_then_claims_are_alpha(void **state)
{
  (void)state;
  int n_trial = getenv("CKS_TEST_LONG") ? 2000 : 50;
  printf("rate: %-31s %-45s %9s %7s  %s\n", "setting", "claim", "expected", "found", "the expected is");
  double three_se = 3 * sqrt(ALPHA * (1 - ALPHA) / n_trial);
  made_trial *m = malloc(sizeof *m);
  for (size_t s = 0; s < sizeof settings / sizeof *settings; s++) {
    counts c = {0};
    test_random random = {settings[s].seed};
    *m = settings[s].shape;
    for (int i = 0; i < n_trial; i++) {
      made_fill(m, settings[s].spread, &random);
      if (settings[s].lost) made_lose(m, 0.1, false, &random);
      test_run run = made_run(m, MADE_AS_IS);
      count(test_json(run.json, settings[s].path), &c);
      test_run_release(&run);
    }
    double share = c.significant / c.groups;
    printf("rate: %-31s %-45s %9.4f %7.4f  %s\n", settings[s].name, "by group: something within a group", ALPHA,
           c.claimed / c.groups, "by definition");
    if (fabs(share - ALPHA) > three_se) fail_msg("%s: %g of the groups, expected %g", settings[s].name, share, ALPHA);
    assert_true(c.significant > 0 && c.claimed == c.significant && c.opened == 0);
  }
  free(m);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(groups_when_their_hybrids_do_not_differ_then_claims_are_alpha),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
