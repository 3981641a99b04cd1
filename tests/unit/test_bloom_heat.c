/* test_bloom_heat.c: heat units to mid-bloom, on weather whose sums are written out: of days alike a product. */
#include "support/make_trial.h"
#include "support/support.h"

#include <math.h>

enum { PLACES = 6, HYBRIDS = 5, DAYS = 120 };
static const double PLANTED = 20000; /* day number */
static const char *const places[PLACES] = {"Dale", "Fen", "Holt", "Moor", "Ridge", "Weir"};

static double high[PLACES][DAYS], low[PLACES][DAYS];
static cks_weather_place weather[PLACES];

/* Days of a mean: half days are those of two reps a day apart. */
static double days_of(size_t place, size_t hybrid) { return 50 + 4 * (double)place + (double)hybrid + 0.5; }

/* Each day of a place brings `units[place]` heat units: a low at the base, a high above it. */
static made_analysis analyze(const double *units)
{
  static made_plot plots[PLACES * HYBRIDS * 2];
  size_t n = 0;
  for (size_t j = 0; j < PLACES; j++)
    for (size_t i = 0; i < HYBRIDS; i++)
      for (size_t k = 0; k < 2; k++)
        plots[n++] = (made_plot){
            places[j],
            0,
            made_reps[k],
            NULL,
            made_names[i],
            days_of(j, i) + (k ? 1 : -1) * (0.5 + 0.1 * (double)((i + 2 * j) % 3)) + 0.1 * (double)((i * j) % 3)};
  cks_trial *trial = made_trial(plots, n, CKS_ROLE_DAYS_TO_MID_BLOOM, NULL);
  trial->count_origin = "planting";
  for (size_t j = 0; j < PLACES; j++) {
    for (size_t d = 0; d < DAYS; d++) low[j][d] = 50, high[j][d] = 50 + 2 * units[j];
    trial->environment[j].planted = PLANTED;
    weather[j] = (cks_weather_place){places[j], CKS_FAHRENHEIT, PLANTED, DAYS, high[j], low[j]};
    trial->environment[j].weather = (uint32_t)j;
  }
  trial->weather = (cks_weather){.n = PLACES, .place = weather};
  cks_settings settings = made_settings();
  return made_analyze(trial, &settings);
}

static const double alike[PLACES] = {20, 20, 20, 20, 20, 20};

static void heat_when_every_day_is_alike_then_days_times_units(void **state)
{
  (void)state;
  made_analysis made = analyze(alike);
  assert_int_equal(made.status, CKS_OK);
  const cks_maturity *m = made.results->trait[0].maturity;
  assert_non_null(m);
  assert_string_equal(m->heat->key, "sorghum-50-100-f");
  for (size_t i = 0; i < HYBRIDS; i++) {
    const cks_maturity_line *line = &m->hybrid[i];
    assert_int_equal(line->heat_environments, PLACES);
    assert_close(line->heat_mean, 20 * line->mean, 1e-9);
    assert_close(line->heat_cv_pct, line->days_cv_pct, 1e-9);
  }
  assert_int_equal(m->n_heat, HYBRIDS);
  made_analysis_release(&made);
}

/* Where warm places bloom early the units are the same everywhere. */
static void heat_when_it_explains_the_days_then_it_varies_less(void **state)
{
  (void)state;
  double units[PLACES];
  for (size_t j = 0; j < PLACES; j++) units[j] = 1000 / days_of(j, 2);
  made_analysis made = analyze(units);
  const cks_maturity *m = made.results->trait[0].maturity;
  assert_int_equal(m->n_steadier, HYBRIDS);
  for (size_t i = 0; i < HYBRIDS; i++) assert_true(m->hybrid[i].heat_cv_pct < 0.5 * m->hybrid[i].days_cv_pct);
  made_analysis_release(&made);
}

static void heat_when_weather_is_missing_then_its_places_are_not_counted(void **state)
{
  (void)state;
  made_analysis all = analyze(alike);
  cks_settings settings = made_settings();
  cks_results *again = NULL;
  cks_trial *trial = all.trial;
  high[0][3] = NAN;                         /* a day before bloom */
  trial->environment[1].weather = CKS_NONE; /* no file */
  trial->environment[2].planted = NAN;      /* no date */
  weather[3].n = 60;                        /* ends before the last hybrids bloom there */
  assert_int_equal(cks_analyze(&settings, trial, all.findings, &again, NULL), CKS_OK);
  const cks_maturity *m = again->trait[0].maturity;
  assert_int_equal(m->hybrid[0].heat_environments, 2);
  for (size_t i = 0; i < HYBRIDS; i++) {
    assert_close(m->hybrid[i].mean, all.results->trait[0].maturity->hybrid[i].mean, 0);
    assert_true(m->hybrid[i].heat_mean > 20 * m->hybrid[i].mean); /* of the two latest places alone */
  }
  trial->weather.n = 0;
  cks_results_free(again);
  assert_int_equal(cks_analyze(&settings, trial, all.findings, &again, NULL), CKS_OK);
  assert_null(again->trait[0].maturity->heat);
  assert_true(isnan(again->trait[0].maturity->hybrid[0].heat_mean));
  cks_results_free(again);
  made_analysis_release(&all);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(heat_when_every_day_is_alike_then_days_times_units),
      cmocka_unit_test(heat_when_it_explains_the_days_then_it_varies_less),
      cmocka_unit_test(heat_when_weather_is_missing_then_its_places_are_not_counted),
  };
  return cmocka_run_group_tests(tests, test_start, NULL);
}
