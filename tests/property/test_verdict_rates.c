/*
 * test_verdict_rates.c: whether one ranking serves all environments: how often each verdict is given, when hybrids by
 * environments vary by nothing, by a tenth of the variance of hybrids, by half of it (the boundary) or by twice of it.
 * See rates.h.
 *
 * Hybrids, environments and the interaction are drawn anew for each trial. Two things are held, each to be wrong in no more
 * than alpha .05 of the trials: "one ranking" where the interaction is half the variance of hybrids or more, and "the order
 * changes" where there is none. The rest is shown, so that it is seen what both cost. Of 2,000 trials, 14 hybrids:
 *
 *   environments       one ranking serves: 3    6    12       the order changes: 3    6    12
 *   no interaction                       .54  .83   .95                          0    0     0
 *   a tenth of hybrids                   .34  .58   .79                          0    0     0
 *   half, the boundary                  .055 .050  .052                       .002 .013  .020
 *   twice                                  0    0     0                        .38  .76   .98
 *
 * The limit behind "one ranking" is approximate: of 400,000 draws of independent mean squares (chi-squares, in R) at the
 * boundary it was wrong in .049 to .052.
 *
 * Variances: hybrids 16, plots 32 (so 8 of a mean of four plots), environments 100, reps 4.
 */
#include "property/rates.h"

enum { MOST_HYBRIDS = 40, MOST_LOCATIONS = 12, MOST_YEARS = 2, REPS = 4 };
static const double ALPHA = 0.05, ENVIRONMENT = 100, REP = 4, ERROR = 32;

/* Variances; the interaction is that of locations alone, or shared out among locations, years and both. */
typedef struct {
  size_t g, l, y;
  double hybrid, by_location, by_year, by_both;
  double lost, empty; /* share of the plots that are lost, of the cells that are empty */
  double uneven;      /* error variances are 1 + and 1 - this of the usual in every other environment */
  size_t few[3];      /* see rates.h; in the order of the verdicts */
} setting;

static const struct {
  cks_verdict verdict;
  const char *words;
} verdicts[3] = {{CKS_VERDICT_ONE_RANKING, "one ranking serves"},
                 {CKS_VERDICT_CHANGES, "the order changes"},
                 {CKS_VERDICT_CANNOT_TELL, "cannot tell"}};

static const char *const location_names[MOST_LOCATIONS] = {"Alder", "Birch", "Cedar", "Dogwood", "Elm",    "Fir",
                                                           "Gorse", "Hazel", "Ivy",   "Juniper", "Laurel", "Maple"};
static char hybrid_names[MOST_HYBRIDS][8];

static double draw(double variance, test_random *random)
{
  return variance > 0 ? sqrt(variance) * test_normal(random) : 0;
}

static size_t fill(const setting *s, made_plot *plots, test_random *random)
{
  double hybrid[MOST_HYBRIDS], by_location[MOST_HYBRIDS][MOST_LOCATIONS], by_year[MOST_HYBRIDS][MOST_YEARS];
  size_t n = 0;
  for (size_t i = 0; i < s->g; i++) {
    hybrid[i] = draw(s->hybrid, random);
    for (size_t k = 0; k < s->l; k++) by_location[i][k] = draw(s->by_location, random);
    for (size_t m = 0; m < s->y; m++) by_year[i][m] = draw(s->by_year, random);
  }
  for (size_t k = 0; k < s->l; k++)
    for (size_t m = 0; m < s->y; m++) {
      double place = 120 + draw(ENVIRONMENT, random), rep[REPS];
      for (size_t r = 0; r < REPS; r++) rep[r] = draw(REP, random);
      for (size_t i = 0; i < s->g; i++) {
        double cell = place + hybrid[i] + by_location[i][k] + by_year[i][m] + draw(s->by_both, random);
        bool empty = s->empty > 0 && test_uniform(random) < s->empty;
        for (size_t r = 0; r < REPS; r++) {
          bool lost = s->lost > 0 && test_uniform(random) < s->lost;
          double value = cell + rep[r] + draw(ERROR * (1 + (k % 2 ? s->uneven : -s->uneven)), random);
          if (!empty && !lost)
            plots[n++] = (made_plot){location_names[k], 2025 + (int)m, made_reps[r], NULL, hybrid_names[i], value};
        }
      }
    }
  return n;
}

/* What a verdict may be given in error; SHOWN: it would be none. */
static rate rate_of(const setting *s, const char *words, size_t v)
{
  double interaction = s->by_location + s->by_year + s->by_both;
  bool wrong = (verdicts[v].verdict == CKS_VERDICT_ONE_RANKING && interaction >= s->hybrid / 2) ||
               (verdicts[v].verdict == CKS_VERDICT_CHANGES && interaction == 0);
  return (rate){words, verdicts[v].words, wrong ? "alpha" : "", ALPHA, wrong ? RATE_AT_MOST : RATE_SHOWN, s->few[v]};
}

static bool setting_holds(const setting *s, uint64_t seed)
{
  size_t all[3] = {0}, few[3] = {0};
  made_plot *plots = calloc(MOST_HYBRIDS * MOST_LOCATIONS * MOST_YEARS * REPS, sizeof *plots);
  cks_settings settings = made_settings();
  test_random random = {seed};
  char words[64];
  bool good = true;
  assert_non_null(plots);
  for (size_t n = 0; n < rate_trials(); n++) {
    made_analysis made = made_analyze(made_trial(plots, fill(s, plots, &random), CKS_ROLE_YIELD, NULL), &settings);
    assert_int_equal(made.status, CKS_OK);
    const cks_interaction *x = made.results->trait[0].interaction;
    assert_non_null(x);
    for (size_t v = 0; v < 3; v++) {
      all[v] += x->verdict == verdicts[v].verdict;
      few[v] += n < RATE_FEW && x->verdict == verdicts[v].verdict;
    }
    made_analysis_release(&made);
  }
  assert_int_equal(all[0] + all[1] + all[2], rate_trials());
  int n = snprintf(words, sizeof words, "%zux%zu, g %zu, H %g, HxE %g", s->l, s->y, s->g, s->hybrid, s->by_location);
  if (s->y > 1) n += snprintf(words + n, sizeof words - (size_t)n, "+%g+%g", s->by_year, s->by_both);
  if (s->lost > 0 || s->empty > 0) n += snprintf(words + n, sizeof words - (size_t)n, " lost");
  if (s->uneven > 0) snprintf(words + n, sizeof words - (size_t)n, " uneven");
  for (size_t v = 0; v < 3; v++) {
    rate r = rate_of(s, words, v);
    good &= rate_holds(&r, all[v], few[v]);
  }
  free(plots);
  return good;
}

static void verdict_when_it_would_be_wrong_then_given_in_at_most_alpha_of_trials(void **state)
{
  (void)state;
  static const setting settings[] = {
      {14, 3, 1, 16, 0, 0, 0, 0, 0, 0, {27, 0, 23}},   {14, 3, 1, 16, 1.6, 0, 0, 0, 0, 0, {17, 0, 33}},
      {14, 3, 1, 16, 8, 0, 0, 0, 0, 0, {1, 0, 49}},    {14, 3, 1, 16, 32, 0, 0, 0, 0, 0, {0, 18, 32}},
      {14, 6, 1, 16, 0, 0, 0, 0, 0, 0, {40, 0, 10}},   {14, 6, 1, 16, 1.6, 0, 0, 0, 0, 0, {25, 0, 25}},
      {14, 6, 1, 16, 8, 0, 0, 0, 0, 0, {4, 0, 46}},    {14, 6, 1, 16, 32, 0, 0, 0, 0, 0, {0, 40, 10}},
      {14, 12, 1, 16, 0, 0, 0, 0, 0, 0, {45, 0, 5}},   {14, 12, 1, 16, 1.6, 0, 0, 0, 0, 0, {39, 0, 11}},
      {14, 12, 1, 16, 8, 0, 0, 0, 0, 0, {1, 2, 47}},   {14, 12, 1, 16, 32, 0, 0, 0, 0, 0, {0, 48, 2}},
      {40, 3, 1, 16, 8, 0, 0, 0, 0, 0, {3, 0, 47}},    {40, 6, 1, 16, 8, 0, 0, 0, 0, 0, {2, 1, 47}},
      {40, 12, 1, 16, 8, 0, 0, 0, 0, 0, {2, 2, 46}},   {14, 6, 1, 0, 0, 0, 0, 0, 0, 0, {3, 0, 47}},
      {14, 6, 1, 16, 8, 0, 0, .1, .05, 0, {2, 1, 47}}, {14, 6, 1, 16, 0, 0, 0, .1, .05, 0, {29, 0, 21}},
      {14, 6, 2, 16, 3, 2, 3, 0, 0, 0, {3, 0, 47}},    {14, 6, 2, 16, 0, 8, 0, 0, 0, 0, {2, 1, 47}},
      {14, 3, 2, 16, 8, 0, 0, 0, 0, 0, {1, 1, 48}},    {5, 12, 1, 16, 8, 0, 0, 0, 0, 0, {2, 2, 46}},
      {14, 6, 1, 16, 8, 0, 0, 0, 0, .8, {4, 0, 46}},   {14, 6, 1, 16, 0, 0, 0, 0, 0, .8, {43, 0, 7}},
  };
  bool good = true;
  printf("seed 20261500 and on\n");
  rate_head();
  for (size_t i = 0; i < MOST_HYBRIDS; i++) snprintf(hybrid_names[i], sizeof *hybrid_names, "H%02zu", i + 1);
  for (size_t i = 0; i < sizeof settings / sizeof *settings; i++) good &= setting_holds(&settings[i], 20261500 + i);
  assert_true(good);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(verdict_when_it_would_be_wrong_then_given_in_at_most_alpha_of_trials),
  };
  return cmocka_run_group_tests(tests, test_start, NULL);
}
