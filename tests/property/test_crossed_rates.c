/*
 * test_crossed_rates.c: locations crossed with years: how often hybrids that do not differ are found to differ, when
 * hybrid x location, hybrid x year and hybrid x location x year vary or do not. See rates.h.
 *
 * The test over MS_HL + MS_HY - MS_HLY with Satterthwaite's df is approximate, and where an interaction is estimated
 * below zero the less sure of two bases is used. So the rate is not alpha .05: without interactions it is .02 and less,
 * with large ones near .05; with two years and few hybrids it is above, where the two interactions differ in size: .056
 * with 12 hybrids, .068 with 6 at ten places (simulated here; the worst of 960 settings of independent mean squares
 * drawn as chi-squares, which follow from balance, by a program that shares nothing with this one). What is held is that
 * it is not above these by more than three standard errors. A given pair of hybrids by the LSD without the F test is
 * held to alpha.
 * What two simpler denominators would give stands beside it: hybrid over the pooled interaction, and over the three-way
 * one, as if places and seasons were one sample.
 */
#include "property/rates.h"

#include "../../src/math/distributions.h"

enum { MOST_HYBRIDS = 24, MOST_LOCATIONS = 10, MOST_YEARS = 3, REPS = 2 };

typedef struct {
  size_t g, l, y;
  double by_location, by_year, by_both; /* standard deviations; the plot error's is 4 */
  double most;                          /* that F may claim, as a share of the trials */
  size_t few_f, few_pair, few_pooled, few_three_way;
} setting;

/* By decreasing claim: what hybrids are found to differ by. */
typedef enum { SYNTHESIZED, ONE_PAIR, POOLED, THREE_WAY, CLAIMS } claim;

static const char *const location_names[] = {"Alder", "Birch", "Cedar", "Dogwood", "Elm",
                                             "Fir",   "Gorse", "Hazel", "Ivy",     "Juniper"};
static char hybrid_names[MOST_HYBRIDS][8];

static size_t fill(const setting *s, made_plot *plots, test_random *random)
{
  double by_location[MOST_HYBRIDS][MOST_LOCATIONS], by_year[MOST_HYBRIDS][MOST_YEARS];
  size_t n = 0;
  for (size_t i = 0; i < s->g; i++) {
    for (size_t k = 0; k < s->l; k++) by_location[i][k] = s->by_location * test_normal(random);
    for (size_t k = 0; k < s->y; k++) by_year[i][k] = s->by_year * test_normal(random);
  }
  for (size_t k = 0; k < s->l; k++)
    for (size_t m = 0; m < s->y; m++) {
      double place = 100 + 10 * test_normal(random);
      for (size_t i = 0; i < s->g; i++) {
        double cell = place + by_location[i][k] + by_year[i][m] + s->by_both * test_normal(random);
        for (size_t r = 0; r < REPS; r++)
          plots[n++] = (made_plot){
              location_names[k], 2024 + (int)m, made_reps[r], NULL, hybrid_names[i], cell + 4 * test_normal(random)};
      }
    }
  return n;
}

static bool beyond(double ms, const cks_anova_line *hybrid, double df)
{
  return cks_f_p(hybrid->ms / ms, hybrid->df, df) <= 0.05;
}

static void look(const cks_analysis *a, bool tally[CLAIMS])
{
  const cks_anova_line *h = made_line(a, "hybrid"), *hl = made_line(a, "hybrid x location"),
                       *hy = made_line(a, "hybrid x year"), *hly = made_line(a, "hybrid x environment");
  double df = hl->df + hy->df + hly->df, difference = NAN;
  for (size_t i = 0; i < a->n_hybrid; i++)
    if (a->hybrid[i].hybrid < 2) difference = isnan(difference) ? a->hybrid[i].mean : difference - a->hybrid[i].mean;
  tally[SYNTHESIZED] = a->significant;
  tally[ONE_PAIR] = fabs(difference) > a->lsd;
  tally[POOLED] = beyond((hl->ss + hy->ss + hly->ss) / df, h, df);
  tally[THREE_WAY] = beyond(hly->ms, h, hly->df);
}

static bool setting_holds(const setting *s, uint64_t seed)
{
  static const char *const claims[CLAIMS] = {"F over the synthesized MS", "a given pair by the LSD without F",
                                             "(F over all hybrid x environment)", "(F over the three-way MS)"};
  size_t all[CLAIMS] = {0}, few[CLAIMS] = {0},
         expected[CLAIMS] = {s->few_f, s->few_pair, s->few_pooled, s->few_three_way};
  made_plot *plots = calloc(MOST_HYBRIDS * MOST_LOCATIONS * MOST_YEARS * REPS, sizeof *plots);
  cks_settings settings = made_settings();
  test_random random = {seed};
  char words[64];
  bool good = true;
  settings.unprotected = true;
  for (size_t i = 0; i < MOST_HYBRIDS; i++) snprintf(hybrid_names[i], sizeof *hybrid_names, "H%02zu", i + 1);
  for (size_t n = 0; n < rate_trials(); n++) {
    bool tally[CLAIMS];
    made_analysis made = made_analyze(made_trial(plots, fill(s, plots, &random), CKS_ROLE_YIELD, NULL), &settings);
    assert_int_equal(made.status, CKS_OK);
    look(made.results->trait[0].across, tally);
    for (size_t k = 0; k < CLAIMS; k++) all[k] += tally[k], few[k] += n < RATE_FEW && tally[k];
    made_analysis_release(&made);
  }
  snprintf(words, sizeof words, "%zux%zu, %zu hybrids, sd %g %g %g", s->l, s->y, s->g, s->by_location, s->by_year,
           s->by_both);
  for (size_t k = 0; k < CLAIMS; k++) {
    bool held = k <= ONE_PAIR;
    double most = k == SYNTHESIZED ? s->most : 0.05;
    const char *source = !held ? "" : most > 0.05 ? "simulated: above alpha" : "alpha, approximate";
    rate r = {words, claims[k], source, most, held ? RATE_AT_MOST : RATE_SHOWN, expected[k]};
    good &= rate_holds(&r, all[k], few[k]);
  }
  free(plots);
  return good;
}

static void crossed_years_when_hybrids_do_not_differ_then_found_in_at_most_alpha_of_trials(void **state)
{
  (void)state;
  static const setting settings[] = {
      {12, 2, 2, 0, 0, 0, 0.05, 0, 2, 2, 1},        {12, 2, 2, 8, 8, 0, 0.05, 3, 2, 39, 50},
      {12, 4, 2, 0, 0, 0, 0.05, 0, 1, 2, 4},        {12, 4, 2, 2, 2, 2, 0.05, 2, 2, 24, 36},
      {12, 4, 2, 8, 8, 4, 0.05, 3, 0, 41, 50},      {12, 4, 2, 0, 8, 0, 0.05, 4, 1, 48, 50},
      {12, 4, 2, 8, 0, 0, 0.05, 3, 4, 28, 50},      {12, 3, 3, 8, 8, 4, 0.05, 2, 2, 38, 50},
      {24, 6, 3, 0, 0, 0, 0.05, 0, 2, 0, 0},        {24, 6, 3, 3, 3, 3, 0.05, 2, 2, 50, 50},
      {24, 6, 3, 8, 8, 4, 0.05, 1, 3, 50, 50},      {12, 4, 2, 6, 14, 0, 0.056, 3, 1, 47, 50},
      {6, 10, 2, 2.8, 2.7, 0, 0.068, 3, 3, 39, 49},
  };
  bool good = true;
  printf("seed 20261350 and on; sd of hybrid x location, x year, x both\n");
  rate_head();
  for (size_t i = 0; i < sizeof settings / sizeof *settings; i++) good &= setting_holds(&settings[i], 20261350 + i);
  assert_true(good);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(crossed_years_when_hybrids_do_not_differ_then_found_in_at_most_alpha_of_trials),
  };
  return cmocka_run_group_tests(tests, test_start, NULL);
}
