/*
 * test_claim_rates.c: one place: how often something is claimed of hybrids that do not differ, by every rule; how
 * often a truly tied best hybrid is left out of the top group; and that single plots never claim anything. See
 * rates.h.
 *
 * By definition: a protected LSD claims something when F is significant, so in alpha of the trials; Tukey's rule
 * finds some pair and Dunnett's some hybrid unlike the check in alpha. With lost plots Tukey-Kramer is conservative
 * (Hayter 1984, Ann. Stat. 12:61), and so is Sidak's t, which stands for Dunnett's value where correlations have no
 * product form; Bonferroni always is. Where replication is equal the rest is known by quadrature
 * (src/math/largest.h): Bonferroni finds some pair with P(range > t sqrt(2)); a given hybrid among k tied is left out
 * by the LSD with P(Dunnett one-sided, k - 1 > t), by comparisons with the best with the same at d, which is alpha
 * when all are tied. That rule promises each hybrid its place by itself: that *any* of k tied ones is out has the
 * probability P(range of k > d sqrt(2)), far more than alpha.
 */
#include "property/rates.h"

#include "../../src/math/distributions.h"
#include "../../src/math/largest.h"
#include "../../src/math/left_out.h"

enum {
  MOST_HYBRIDS = 29,
  MOST_REPS = 4,
  MOST_PLOTS = RATE_FEW * MOST_HYBRIDS * MOST_REPS,
  SAME_LOSS = 10,
  PLANTS = 60
};
static const double POOR = 10; /* error standard deviations below the others: never among the best */

typedef enum { COMPLETE, LOST, PERCENT, LOW_PERCENT } data_kind;
typedef struct {
  const char *name;
  data_kind kind;
  size_t g, r;
  bool poor; /* the last hybrid */
} data_shape;

static const data_shape eight = {"8 hybrids, 4 reps", COMPLETE, 8, 4, false},
                        twenty = {"20 hybrids, 3 reps", COMPLETE, 20, 3, false},
                        lost = {"8 hybrids, 4 reps, 15 % lost", LOST, 8, 4, false},
                        percent = {"8 hybrids, 4 reps, 12 % lodged", PERCENT, 8, 4, false},
                        low_percent = {"8 hybrids, 4 reps, 4 % lodged", LOW_PERCENT, 8, 4, false},
                        tied = {"28 tied and 1 poor, 4 reps", COMPLETE, 29, 4, true};

typedef enum { SOME_DIFFER, SOME_PAIR, UNLIKE_CHECK, GIVEN_OUT, ANY_OUT, CLAIMS } claim;
static const char *const claim_words[CLAIMS] = {"ranks are given", "some pair shares no letter",
                                                "some hybrid unlike the check", "a given tied best is left out",
                                                "any tied best is left out"};

/* ---- trials ----------------------------------------------------------------------------------------------------- */

/* A percent of plants lodged: binomial, the plot's own chance about `usual` by a normal on the logit scale. */
static double lodged(double usual, test_random *random)
{
  double chance = 1 / (1 + (1 - usual) / usual * exp(-0.5 * test_normal(random)));
  int down = 0;
  for (int i = 0; i < PLANTS; i++) down += test_uniform(random) < chance;
  return 100.0 * down / PLANTS;
}

static bool is_percent(const data_shape *shape) { return shape->kind == PERCENT || shape->kind == LOW_PERCENT; }

/* RATE_FEW places, each a trial of its own. Which plots are lost is drawn anew every SAME_LOSS places, so that critical
 * values need not be found for each; rep 1 stays, so that no hybrid is lost. */
static size_t fill(const data_shape *shape, made_plot *plots, char (*names)[8], test_random *random)
{
  bool gone[MOST_REPS][MOST_HYBRIDS];
  size_t n = 0;
  for (size_t p = 0; p < RATE_FEW; p++) {
    for (size_t k = 0; k < shape->r && p % SAME_LOSS == 0; k++)
      for (size_t i = 0; i < shape->g; i++) gone[k][i] = shape->kind == LOST && k > 0 && test_uniform(random) < 0.2;
    for (size_t k = 0; k < shape->r; k++) {
      double rep = 3 * test_normal(random);
      for (size_t i = 0; i < shape->g; i++) {
        double value = is_percent(shape) ? lodged(shape->kind == PERCENT ? 0.12 : 0.04, random)
                                         : 100 + rep + 4 * test_normal(random);
        if (shape->poor && i + 1 == shape->g) value -= 4 * POOR;
        if (gone[k][i]) continue;
        plots[n++] = (made_plot){names[MOST_HYBRIDS + p], 2026, made_reps[k], NULL, names[i], value};
      }
    }
  }
  return n;
}

static bool share_letter(const char *a, const char *b) { return strpbrk(a, b) != NULL; }

/* The claims of one place; fails the test when a claim stands without the one that it rests on. */
static void look(const made_analysis *made, const data_shape *shape, const cks_analysis *a, bool tally[CLAIMS])
{
  size_t n_tied = shape->g - shape->poor;
  memset(tally, 0, CLAIMS * sizeof *tally);
  assert_int_equal(a->method, CKS_METHOD_ANOVA);
  tally[SOME_DIFFER] = a->found;
  for (size_t i = 0; i < a->n_hybrid; i++) {
    const cks_hybrid_result *row = &a->hybrid[i];
    bool out = row->top == CKS_TOP_OUT && row->hybrid < n_tied;
    assert_true((row->rank > 0) == a->found);
    tally[ANY_OUT] |= out;
    tally[GIVEN_OUT] |= out && row->hybrid == 0;
    for (size_t k = 0; k < made->results->n_check; k++)
      tally[UNLIKE_CHECK] |= row->vs_check[k].differs != CKS_DIFFERS_UNKNOWN;
    for (size_t j = 0; j < i && row->group; j++) tally[SOME_PAIR] |= !share_letter(row->group, a->hybrid[j].group);
  }
  assert_true(a->found || !tally[SOME_PAIR]);
  if (a->protected_rule) assert_true(a->found == a->significant);
  if (!a->protected_rule) assert_true(a->found == tally[SOME_PAIR]);
  if (strcmp(a->top_rule, "best") != 0) assert_true(a->found || !tally[ANY_OUT]);
}

typedef struct {
  size_t all[CLAIMS], few[CLAIMS];
} counts;

static counts count_claims(const data_shape *shape, const cks_settings *settings, uint64_t seed)
{
  static const char *const checks[] = {"H01", NULL};
  counts c = {{0}, {0}};
  test_random random = {seed};
  char(*names)[8] = calloc(MOST_HYBRIDS + RATE_FEW, sizeof *names);
  made_plot *plots = calloc(MOST_PLOTS, sizeof *plots);
  for (size_t i = 0; i < MOST_HYBRIDS; i++) snprintf(names[i], sizeof *names, "H%02zu", i + 1);
  for (size_t p = 0; p < RATE_FEW; p++) snprintf(names[MOST_HYBRIDS + p], sizeof *names, "P%03zu", p + 1);
  for (size_t done = 0; done < rate_trials(); done += RATE_FEW) {
    size_t n = fill(shape, plots, names, &random);
    bool check = settings->comparison == CKS_COMPARE_DUNNETT;
    cks_role role = is_percent(shape) ? CKS_ROLE_LODGING : CKS_ROLE_YIELD;
    made_analysis made = made_analyze(made_trial(plots, n, role, check ? checks : NULL), settings);
    assert_int_equal(made.status, CKS_OK);
    const cks_trait_result *trait = &made.results->trait[0];
    assert_int_equal(trait->n_location, RATE_FEW);
    assert_true(trait->arcsine == is_percent(shape));
    for (size_t j = 0; j < RATE_FEW; j++) {
      bool tally[CLAIMS];
      look(&made, shape, &trait->location[j], tally);
      for (size_t k = 0; k < CLAIMS; k++) c.all[k] += tally[k];
    }
    if (done == 0) memcpy(c.few, c.all, sizeof c.few);
    made_analysis_release(&made);
  }
  free(plots);
  free(names);
  return c;
}

/* ---- what is expected ------------------------------------------------------------------------------------------- */

static double range_tail(size_t k, double value, double df)
{
  cks_profile profile;
  assert_int_equal(cks_profile_range(&profile, k, NULL), CKS_OK);
  return cks_profile_upper(&profile, value * M_SQRT2, df);
}

/* The largest of k differences from one mean, one-sided: its tail at `value`, or its value at alpha. */
static double against_tail(size_t k, double value, double df)
{
  cks_profile profile;
  assert_int_equal(cks_profile_dunnett(&profile, 1, &(cks_dunnett_class){k, M_SQRT1_2}, false, NULL), CKS_OK);
  return cks_profile_upper(&profile, value, df);
}

static double against_value(size_t k, double alpha, double df)
{
  cks_profile profile;
  assert_int_equal(cks_profile_dunnett(&profile, 1, &(cks_dunnett_class){k, M_SQRT1_2}, false, NULL), CKS_OK);
  return cks_profile_quantile(&profile, alpha, df);
}

typedef enum { AT_ALPHA, AT_MOST_ALPHA, BY_QUADRATURE, ALPHA_IF_NORMAL } expectation;
typedef struct {
  const data_shape *shape;
  cks_comparison comparison;
  bool best;
  double alpha;
  claim claim;
  expectation expected;
  size_t few;
} rate_row;

static double by_quadrature(const rate_row *r)
{
  size_t g = r->shape->g, k = g - r->shape->poor;
  double df = ((double)g - 1) * ((double)r->shape->r - 1), pairs = (double)g * ((double)g - 1) / 2;
  double d = against_value(g - 1, r->alpha, df), t = cks_t_critical(r->alpha, df);
  if (r->comparison == CKS_COMPARE_BONFERRONI) return range_tail(g, cks_t_critical(r->alpha / pairs, df), df);
  if (r->claim == ANY_OUT) return range_tail(k, r->best ? d : t, df);
  if (r->best) return against_tail(k - 1, d, df);
  return cks_left_out_share(k, df, t) * ((double)k - 1) / (double)k;
}

static bool row_holds(const rate_row *r, uint64_t seed)
{
  static const char *const rules[] = {"lsd", "tukey", "dunnett", "bonferroni"};
  static const char *const sources[] = {"alpha, by definition", "alpha, conservative", "quadrature",
                                        "alpha if errors were normal"};
  char words[64];
  cks_settings settings = made_settings();
  settings.alpha = r->alpha;
  settings.comparison = r->comparison;
  settings.top_best = r->best;
  counts c = count_claims(r->shape, &settings, seed);
  snprintf(words, sizeof words, "%s %.2f: %s", r->best ? "best" : rules[r->comparison], r->alpha,
           claim_words[r->claim]);
  rate held = {r->shape->name,
               words,
               sources[r->expected],
               r->expected == BY_QUADRATURE ? by_quadrature(r) : r->alpha,
               r->expected == AT_MOST_ALPHA ? RATE_AT_MOST : RATE_IS,
               r->few};
  return rate_holds(&held, c.all[r->claim], c.few[r->claim]);
}

static void hold_all(const rate_row *rows, size_t n, uint64_t seed)
{
  bool good = true;
  print_message("seeds from %d on\n", (int)seed);
  rate_head();
  for (size_t i = 0; i < n; i++) good &= row_holds(&rows[i], seed + i);
  assert_true(good);
}

/* ---- tests ------------------------------------------------------------------------------------------------------ */

static void rules_when_hybrids_do_not_differ_then_claims_in_alpha_of_trials(void **state)
{
  (void)state;
  static const rate_row rows[] = {
      {&eight, CKS_COMPARE_LSD, false, 0.05, SOME_DIFFER, AT_ALPHA, 3},
      {&eight, CKS_COMPARE_LSD, false, 0.10, SOME_DIFFER, AT_ALPHA, 6},
      {&twenty, CKS_COMPARE_LSD, false, 0.05, SOME_DIFFER, AT_ALPHA, 2},
      {&eight, CKS_COMPARE_TUKEY, false, 0.05, SOME_PAIR, AT_ALPHA, 0},
      {&eight, CKS_COMPARE_TUKEY, false, 0.10, SOME_PAIR, AT_ALPHA, 2},
      {&twenty, CKS_COMPARE_TUKEY, false, 0.05, SOME_PAIR, AT_ALPHA, 3},
      {&eight, CKS_COMPARE_DUNNETT, false, 0.05, UNLIKE_CHECK, AT_ALPHA, 2},
      {&eight, CKS_COMPARE_DUNNETT, false, 0.10, UNLIKE_CHECK, AT_ALPHA, 3},
      {&twenty, CKS_COMPARE_DUNNETT, false, 0.05, UNLIKE_CHECK, AT_ALPHA, 3},
      {&eight, CKS_COMPARE_BONFERRONI, false, 0.05, SOME_PAIR, AT_MOST_ALPHA, 1},
      {&twenty, CKS_COMPARE_BONFERRONI, false, 0.10, SOME_PAIR, BY_QUADRATURE, 2},
      {&eight, CKS_COMPARE_LSD, true, 0.05, GIVEN_OUT, AT_ALPHA, 1},
      {&twenty, CKS_COMPARE_LSD, true, 0.10, GIVEN_OUT, AT_ALPHA, 4},
      {&eight, CKS_COMPARE_LSD, true, 0.05, ANY_OUT, BY_QUADRATURE, 18},
  };
  hold_all(rows, sizeof rows / sizeof *rows, 20261200);
}

static void rules_when_plots_are_lost_then_claims_in_alpha_of_trials_or_fewer(void **state)
{
  (void)state;
  static const rate_row rows[] = {
      {&lost, CKS_COMPARE_LSD, false, 0.05, SOME_DIFFER, AT_ALPHA, 3},
      {&lost, CKS_COMPARE_LSD, false, 0.10, SOME_DIFFER, AT_ALPHA, 6},
      {&lost, CKS_COMPARE_TUKEY, false, 0.05, SOME_PAIR, AT_MOST_ALPHA, 3},
      {&lost, CKS_COMPARE_DUNNETT, false, 0.05, UNLIKE_CHECK, AT_MOST_ALPHA, 2},
      {&lost, CKS_COMPARE_BONFERRONI, false, 0.05, SOME_PAIR, AT_MOST_ALPHA, 3},
      {&lost, CKS_COMPARE_LSD, true, 0.05, GIVEN_OUT, AT_MOST_ALPHA, 1},
  };
  hold_all(rows, sizeof rows / sizeof *rows, 20261230);
}

/* The arcsine makes variances alike, not normal ones: that the rates hold is a finding of this simulation. */
static void rules_when_percents_do_not_differ_then_claims_in_alpha_of_trials(void **state)
{
  (void)state;
  static const rate_row rows[] = {
      {&percent, CKS_COMPARE_LSD, false, 0.05, SOME_DIFFER, ALPHA_IF_NORMAL, 1},
      {&percent, CKS_COMPARE_LSD, false, 0.10, SOME_DIFFER, ALPHA_IF_NORMAL, 6},
      {&percent, CKS_COMPARE_TUKEY, false, 0.05, SOME_PAIR, ALPHA_IF_NORMAL, 2},
      {&percent, CKS_COMPARE_DUNNETT, false, 0.05, UNLIKE_CHECK, ALPHA_IF_NORMAL, 4},
      {&percent, CKS_COMPARE_BONFERRONI, false, 0.05, SOME_PAIR, AT_MOST_ALPHA, 1},
      {&percent, CKS_COMPARE_LSD, true, 0.05, GIVEN_OUT, ALPHA_IF_NORMAL, 3},
      {&low_percent, CKS_COMPARE_LSD, false, 0.05, SOME_DIFFER, ALPHA_IF_NORMAL, 2},
      {&low_percent, CKS_COMPARE_TUKEY, false, 0.05, SOME_PAIR, ALPHA_IF_NORMAL, 3},
      {&low_percent, CKS_COMPARE_LSD, true, 0.05, GIVEN_OUT, ALPHA_IF_NORMAL, 2},
  };
  hold_all(rows, sizeof rows / sizeof *rows, 20261250);
}

static void top_group_when_many_are_tied_then_leaves_out_what_quadrature_says(void **state)
{
  (void)state;
  static const rate_row rows[] = {
      {&tied, CKS_COMPARE_LSD, false, 0.05, GIVEN_OUT, BY_QUADRATURE, 17},
      {&tied, CKS_COMPARE_LSD, true, 0.05, GIVEN_OUT, BY_QUADRATURE, 5},
      {&tied, CKS_COMPARE_LSD, true, 0.05, ANY_OUT, BY_QUADRATURE, 24},
  };
  hold_all(rows, sizeof rows / sizeof *rows, 20261270);
}

/* ---- single plots ----------------------------------------------------------------------------------------------- */

/* Entries in one plot each, differing or not, at one place mostly; some hybrids stand in several plots, with blocks or
 * without. Those are marked as checks, or are not and then no more than half of all. */
enum { MOST_SINGLE = 60, MOST_CHECKS = 20, MOST_TIMES = 6, MOST_PLACES = 3 };
typedef struct {
  size_t n_plot, n_place, n_repeated;
  uint32_t times;
  bool marked;
} single_list;

static single_list fill_single(made_plot *plots, char (*names)[8], test_random *random)
{
  single_list list = {.times = 1, .marked = test_below(random, 3) > 0};
  if (test_below(random, 3)) {
    list.n_repeated = 1 + test_below(random, MOST_CHECKS);
    list.times += test_below(random, MOST_TIMES);
  }
  size_t least = list.marked ? 1 : 1 + list.n_repeated, g = list.n_repeated + least + test_below(random, MOST_CHECKS);
  bool reps = test_below(random, 2), blocks = list.times > 1 && test_below(random, 2);
  double spread = 20 * test_uniform(random);
  list.n_place = test_below(random, 4) ? 1 : MOST_PLACES;
  for (size_t p = 0; p < list.n_place; p++)
    for (size_t i = 0; i < g; i++)
      for (size_t k = 0; k < (i < list.n_repeated ? list.times : 1); k++) {
        const char *at = made_reps[i < list.n_repeated ? k : test_below(random, list.times)];
        plots[list.n_plot++] = (made_plot){
            names[MOST_SINGLE + p], 2026,     reps && !blocks ? at : NULL,
            blocks ? at : NULL,     names[i], 100 + (double)i * spread / (double)g + 4 * test_normal(random)};
      }
  return list;
}

static void assert_nothing_claimed(const made_analysis *made, const cks_analysis *a)
{
  assert_true(!a->found && !a->significant && a->n_top == 0 && (*a->why || *a->group_why));
  assert_true(cks_is_missing(a->lsd) && cks_is_missing(a->f) && cks_is_missing(a->p));
  assert_true(cks_is_missing(a->critical_difference) && cks_is_missing(a->repeatability));
  for (size_t i = 0; i < a->n_hybrid; i++) {
    const cks_hybrid_result *row = &a->hybrid[i];
    assert_true(!row->group && row->rank == 0 && row->top == CKS_TOP_NOT_ASKED);
    for (size_t k = 0; row->vs_check && k < made->results->n_check; k++)
      assert_true(row->vs_check[k].differs == CKS_DIFFERS_UNKNOWN && cks_is_missing(row->vs_check[k].p));
  }
}

/* A place claims nothing; figures of error stand where the plots of marked checks give one on 6 df or more. True then. */
static bool look_at_single(const made_analysis *made, const single_list *list, const cks_analysis *a)
{
  bool by_checks = a->method == CKS_METHOD_ANOVA;
  assert_nothing_claimed(made, a);
  assert_true(*a->why && (by_checks || a->method == CKS_METHOD_MEANS));
  if (by_checks) assert_true(list->marked && list->times > 1 && a->error_df >= 6);
  assert_true(cks_is_missing(a->sed) != by_checks && cks_is_missing(a->cv_pct) != by_checks);
  for (size_t i = 0; i < a->n_hybrid; i++) assert_true(cks_is_missing(a->hybrid[i].se) != by_checks);
  return by_checks;
}

static void single_plots_when_drawn_at_random_then_nothing_is_claimed(void **state)
{
  (void)state;
  enum { SETTINGS = 500 };
  static char names[MOST_SINGLE + MOST_PLACES][8];
  static made_plot plots[MOST_PLACES * MOST_SINGLE * MOST_TIMES];
  test_random random = {20261280};
  size_t places = 0, by_checks = 0, series = 0;
  for (size_t i = 0; i < MOST_SINGLE; i++) snprintf(names[i], sizeof *names, "H%02zu", i + 1);
  for (size_t p = 0; p < MOST_PLACES; p++) snprintf(names[MOST_SINGLE + p], sizeof *names, "P%zu", p + 1);
  for (size_t n = 0; n < rate_trials() / RATE_FEW * SETTINGS; n++) {
    cks_settings settings = made_settings();
    const char *checks[MOST_CHECKS + 1] = {NULL};
    settings.comparison = (cks_comparison)test_below(&random, 4);
    settings.top_best = test_below(&random, 2);
    settings.unprotected = test_below(&random, 2);
    settings.locations_fixed = test_below(&random, 2);
    settings.alpha = 0.01 + 0.3 * test_uniform(&random);
    single_list list = fill_single(plots, names, &random);
    for (size_t i = 0; i < list.n_repeated && list.marked; i++) checks[i] = names[i];
    made_analysis made = made_analyze(made_trial(plots, list.n_plot, CKS_ROLE_YIELD, checks), &settings);
    assert_int_equal(made.status, CKS_OK);
    const cks_trait_result *trait = &made.results->trait[0];
    for (size_t j = 0; j < trait->n_location; j++, places++)
      by_checks += look_at_single(&made, &list, &trait->location[j]);
    series += list.n_place > 1 && list.times > 1;
    made_analysis_release(&made);
  }
  printf("rate: single plots at %zu places, an error of check plots at %zu, nothing claimed; %zu series of these are farms of strips\n",
         places, by_checks, series);
  assert_true(by_checks > 0 && series > 0);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(rules_when_hybrids_do_not_differ_then_claims_in_alpha_of_trials),
      cmocka_unit_test(rules_when_plots_are_lost_then_claims_in_alpha_of_trials_or_fewer),
      cmocka_unit_test(rules_when_percents_do_not_differ_then_claims_in_alpha_of_trials),
      cmocka_unit_test(top_group_when_many_are_tied_then_leaves_out_what_quadrature_says),
      cmocka_unit_test(single_plots_when_drawn_at_random_then_nothing_is_claimed),
  };
  return cmocka_run_group_tests(tests, test_start, NULL);
}
