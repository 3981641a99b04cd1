/*
 * test_mixed_rates.c: what is not balanced, by a mixed model: how often hybrids that do not differ are found to differ by
 * F, and a given pair by its own SED and df. See rates.h. Kenward-Roger's tests are approximate, and where a component is
 * estimated as 0 it leaves the model, so the rate is not alpha; what is held is that it is not above alpha by more than
 * three standard errors. (2,000 trials of each gave .0305 to .0545.)
 */
#include "property/rates.h"

enum { MOST = 2400, MOST_HYBRIDS = 24, MOST_PLACES = 12 };

typedef struct {
  const char *words;
  size_t g, l, y, r;  /* hybrids, locations, years, reps */
  size_t checks;      /* strips of the first hybrid at a farm; 0: as all */
  size_t block;       /* plots of an incomplete block; 0: none */
  double empty, lost; /* share of cells, of plots */
  double by_place, by_location, by_year, by_block,
      unequal;        /* standard deviations; the plot error's is 4 (unequal: times exp of it) */
  size_t drop_places; /* location-years that are not there */
  bool errors;        /* --error-variance location */
  size_t few_f, few_pair;
} setting;

static const char *const location_names[] = {"Alder", "Birch", "Cedar", "Dogwood", "Elm",     "Fir",
                                             "Gorse", "Hazel", "Ivy",   "Juniper", "Kingcup", "Larch"};
static const char *const block_names[] = {"1", "2", "3", "4", "5", "6", "7", "8"};
static char hybrid_names[MOST_HYBRIDS][8];

static size_t fill(const setting *s, made_plot *plots, test_random *random)
{
  double by_location[MOST_HYBRIDS][MOST_PLACES], by_year[MOST_HYBRIDS][MOST_PLACES];
  size_t n = 0, place_number = 0;
  for (size_t i = 0; i < s->g; i++) {
    for (size_t k = 0; k < s->l; k++) by_location[i][k] = s->by_location * test_normal(random);
    for (size_t k = 0; k < s->y; k++) by_year[i][k] = s->by_year * test_normal(random);
  }
  for (size_t k = 0; k < s->l; k++)
    for (size_t m = 0; m < s->y; m++) {
      double place = 100 + 10 * test_normal(random), blocks[8 * 8], error = 4 * exp(s->unequal * test_normal(random));
      for (size_t b = 0; b < 64; b++) blocks[b] = s->by_block * test_normal(random);
      bool gone = place_number++ < s->drop_places;
      double shift[8];
      for (size_t r = 0; r < s->r; r++) shift[r] = 2 * test_normal(random);
      for (size_t i = 0; i < s->g; i++) {
        double cell = place + by_location[i][k] + by_year[i][m] + s->by_place * test_normal(random);
        bool empty = test_uniform(random) < s->empty && !(s->checks && i == 0);
        for (size_t r = 0; r < (s->checks && i == 0 ? s->checks : s->r); r++) {
          size_t block = s->block ? (i * (r + 1) + r) % s->g / s->block : 0;
          double value = cell + shift[r % s->r] + blocks[(r % 8) * 8 + block % 8] + error * test_normal(random);
          if (gone || empty || test_uniform(random) < s->lost) continue;
          plots[n++] = (made_plot){location_names[k],
                                   2024 + (int)m,
                                   s->r > 1 ? made_reps[r] : NULL,
                                   s->block ? block_names[block % 8] : NULL,
                                   hybrid_names[i],
                                   value};
        }
      }
    }
  return n;
}

/* The second hybrid against the first, by their own SED and df. */
static bool pair_differs(const cks_results *results, const cks_analysis *a)
{
  for (size_t i = 0; i < a->n_hybrid && results->n_check; i++)
    if (a->hybrid[i].hybrid == 1) return a->hybrid[i].vs_check[0].p <= 0.05;
  return false;
}

static bool setting_holds(const setting *s, uint64_t seed)
{
  static const char *const checks[] = {"H01", NULL};
  size_t all[2] = {0}, few[2] = {0}, tested = 0;
  made_plot *plots = calloc(MOST, sizeof *plots);
  cks_settings settings = made_settings();
  test_random random = {seed};
  bool good = true;
  settings.unprotected = true;
  settings.error_by_location = s->errors;
  for (size_t i = 0; i < MOST_HYBRIDS; i++) snprintf(hybrid_names[i], sizeof *hybrid_names, "H%02zu", i + 1);
  for (size_t n = 0; n < rate_trials(); n++) {
    made_analysis made = made_analyze(made_trial(plots, fill(s, plots, &random), CKS_ROLE_YIELD, checks), &settings);
    assert_int_equal(made.status, CKS_OK);
    const cks_trait_result *t = &made.results->trait[0];
    const cks_analysis *a = t->across ? t->across : &t->location[0];
    bool found = a->significant, pair = pair_differs(made.results, a);
    tested += a->method == CKS_METHOD_REML;
    all[0] += found;
    all[1] += pair;
    few[0] += n < RATE_FEW && found;
    few[1] += n < RATE_FEW && pair;
    made_analysis_release(&made);
  }
  rate f = {s->words, "F by Kenward-Roger", "alpha, approximate", 0.05, RATE_AT_MOST, s->few_f};
  rate p = {s->words, "a given pair, without F", "alpha, approximate", 0.05, RATE_AT_MOST, s->few_pair};
  good = rate_holds(&f, all[0], few[0]) && good;
  good = rate_holds(&p, all[1], few[1]) && good;
  if (tested < rate_trials() * 9 / 10) printf("%s: only %zu by a mixed model\n", s->words, tested);
  free(plots);
  return good && tested >= rate_trials() * 9 / 10;
}

static void mixed_when_hybrids_do_not_differ_then_found_in_at_most_alpha_of_trials(void **state)
{
  (void)state;
  /* clang-format off */
  static const setting settings[] = {
      {.words = "strips, 9 farms, check twice", .g = 9, .l = 9, .y = 1, .r = 1, .checks = 2, .empty = .25, .by_place = 4, .few_f = 3, .few_pair = 1},
      {.words = "strips, 9 farms, no hxe", .g = 9, .l = 9, .y = 1, .r = 1, .checks = 2, .empty = .25, .few_f = 2, .few_pair = 3},
      {.words = "strips, 9 farms, check once", .g = 9, .l = 9, .y = 1, .r = 1, .empty = .25, .by_place = 4, .few_f = 4, .few_pair = 3},
      {.words = "6 places x 3 reps, gaps", .g = 12, .l = 6, .y = 1, .r = 3, .empty = .2, .lost = .05, .by_place = 3, .few_f = 1, .few_pair = 3},
      {.words = "6 places x 3 reps, no hxe", .g = 12, .l = 6, .y = 1, .r = 3, .empty = .2, .lost = .05, .few_f = 3, .few_pair = 3},
      {.words = "3 places x 2 reps, gaps", .g = 8, .l = 3, .y = 1, .r = 2, .empty = .15, .lost = .05, .by_place = 4, .few_f = 3, .few_pair = 3},
      {.words = "3 places x 2 reps, small hxe", .g = 8, .l = 3, .y = 1, .r = 2, .empty = .15, .lost = .05, .by_place = 1.5, .few_f = 2, .few_pair = 0},
      {.words = "4 places, own errors", .g = 12, .l = 4, .y = 1, .r = 3, .empty = .1, .by_place = 3, .unequal = .7, .errors = true, .few_f = 2, .few_pair = 4},
      {.words = "blocks of 4, 3 reps", .g = 12, .l = 1, .y = 1, .r = 3, .block = 4, .by_block = 4, .few_f = 3, .few_pair = 2},
      {.words = "blocks of 4, no block effect", .g = 12, .l = 1, .y = 1, .r = 3, .block = 4, .few_f = 3, .few_pair = 2},
      {.words = "3 x 3 years, 2 not there", .g = 12, .l = 3, .y = 3, .r = 2, .by_place = 2, .by_location = 3, .by_year = 3, .drop_places = 2, .few_f = 0, .few_pair = 2},
      {.words = "4 x 2 years, 1 not there", .g = 12, .l = 4, .y = 2, .r = 2, .by_place = 2, .by_location = 4, .by_year = 8, .drop_places = 1, .few_f = 3, .few_pair = 4},
      {.words = "4 x 2 years, hxy alone", .g = 12, .l = 4, .y = 2, .r = 2, .by_year = 4, .drop_places = 1, .few_f = 3, .few_pair = 5},
      {.words = "3 x 2 years, 1 not there", .g = 6, .l = 3, .y = 2, .r = 2, .by_place = 2, .by_location = 4, .by_year = 4, .drop_places = 1, .few_f = 1, .few_pair = 3},
      {.words = "4 x 2 years, gaps, no hxy", .g = 12, .l = 4, .y = 2, .r = 2, .empty = .1, .by_place = 2, .by_location = 4, .few_f = 1, .few_pair = 3},
  };
  /* clang-format on */
  bool good = true;
  rate_head();
  for (size_t i = 0; i < sizeof settings / sizeof *settings; i++) good &= setting_holds(&settings[i], 20261500 + i);
  assert_true(good);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(mixed_when_hybrids_do_not_differ_then_found_in_at_most_alpha_of_trials),
  };
  cks_startup();
  return cmocka_run_group_tests(tests, NULL, NULL);
}
