/*
 * test_calendar.c: the stage calendar at its edges: year end, leap day, the southern season, planting behind the last weather
 * day, observed stages, origins, hybrids without bloom. Days between stages: Vanderlip & Reeves 1972 (mid-bloom to soft dough
 * 10, hard dough 25, black layer 35; boot 10 before), a fifth either way; black layer to 14 %: 16 to 32, usually 23 (Bean
 * 2023). Heat units: K-State eUpdate 661-1. Dates are counted by hand, with the calendar of the year.
 */
#include "support/make_trial.h"
#include "support/support.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static double day(const char *text)
{
  double number;
  if (!cks_day_read(text, &number)) fail_msg("'%s' is no date", text);
  return number;
}

/* ---- from plot lists ---------------------------------------------------------------------------------------------- */

#define HEAD   "location,hybrid,mid-bloom (date),stage,stage date\n"
#define PLACES "location,planted,emerged\n"

static test_run run_as_of(const char *csv, const char *places, const char *as_of)
{
  cks_settings settings;
  cks_settings_defaults(&settings);
  if (as_of) settings.as_of = day(as_of);
  test_run run = test_run_csv(&settings, csv, places);
  if (!run.json) fail_msg("%s", run.error.text);
  return run;
}

static test_run run_of(const char *csv, const char *places) { return run_as_of(csv, places, NULL); }

static json_t *row_of(json_t *json, const char *location, const char *hybrid)
{
  json_t *row;
  size_t i;
  json_array_foreach(test_json(json, "calendar"), i,
                     row) if (!strcmp(json_string_value(test_json(row, "location")), location) &&
                              !strcmp(json_string_value(test_json(row, "hybrid")), hybrid)) return row;
  return NULL;
}

static json_t *stage_of(json_t *json, const char *location, const char *hybrid, const char *stage)
{
  json_t *row = row_of(json, location, hybrid);
  return row ? test_json_with(test_json(row, "stages"), "stage", stage) : NULL;
}

static const char *text_of(json_t *row, const char *key)
{
  const char *text = json_string_value(test_json(row, key));
  return text ? text : "";
}

static void assert_stage(json_t *json, const char *location, const char *hybrid, const char *stage, const char *low,
                         const char *usual, const char *high, const char *how)
{
  json_t *date = stage_of(json, location, hybrid, stage);
  if (!date) fail_msg("%s has no date of %s", hybrid, stage);
  const char *const pair[][2] = {{"low", low}, {"usual", usual}, {"high", high}, {"how", how}};
  for (size_t i = 0; i < sizeof pair / sizeof *pair; i++)
    if (strcmp(text_of(date, pair[i][0]), pair[i][1]) != 0)
      fail_msg("%s of %s: %s is '%s', expected '%s'", stage, hybrid, pair[i][0], text_of(date, pair[i][0]), pair[i][1]);
}

static void stages_when_bloom_is_seen_then_by_published_days(void **state)
{
  (void)state;
  test_run run = run_of(HEAD "A,Ash,2026-07-14,,\n", PLACES "A,2026-05-18,\n");
  assert_stage(run.json, "A", "Ash", "boot", "2026-07-02", "2026-07-04", "2026-07-06", "days");
  assert_stage(run.json, "A", "Ash", "mid-bloom", "2026-07-14", "2026-07-14", "2026-07-14", "observed");
  assert_stage(run.json, "A", "Ash", "milk", "2026-07-14", "", "2026-07-26", "days"); /* before soft dough, no more */
  assert_stage(run.json, "A", "Ash", "soft-dough", "2026-07-22", "2026-07-24", "2026-07-26", "days");
  assert_stage(run.json, "A", "Ash", "hard-dough", "2026-08-03", "2026-08-08", "2026-08-13", "days");
  assert_stage(run.json, "A", "Ash", "black-layer", "2026-08-11", "2026-08-18", "2026-08-25", "days");
  assert_stage(run.json, "A", "Ash", "harvest-moisture", "2026-08-27", "2026-09-10", "2026-09-26", "days");
  assert_null(stage_of(run.json, "A", "Ash", "heading")); /* no source counts to it */
  json_t *field = test_json(row_of(run.json, "A", "Ash"), "field_day");
  assert_string_equal(text_of(field, "from"), "2026-07-24");
  assert_string_equal(text_of(field, "to"), "2026-08-08");
  json_t *hard = stage_of(run.json, "A", "Ash", "hard-dough");
  assert_non_null(strstr(text_of(hard, "source"), "Vanderlip"));
  assert_string_equal(text_of(hard, "width"), "fifth");
  assert_string_equal(text_of(hard, "from"), "mid-bloom");
  assert_non_null(strstr(text_of(stage_of(run.json, "A", "Ash", "harvest-moisture"), "then_source"), "Bean"));
  test_run_release(&run);
}

static void stages_when_the_season_is_southern_then_over_the_year_end(void **state)
{
  (void)state;
  test_run run = run_of(HEAD "A,Ash,2026-12-20,,\n", PLACES "A,2026-10-20,\n");
  assert_stage(run.json, "A", "Ash", "soft-dough", "2026-12-28", "2026-12-30", "2027-01-01", "days");
  assert_stage(run.json, "A", "Ash", "hard-dough", "2027-01-09", "2027-01-14", "2027-01-19", "days");
  test_run_release(&run);
  run = run_of(HEAD "A,Ash,2027-01-08,,\n", PLACES "A,2026-11-05,\n");
  assert_stage(run.json, "A", "Ash", "boot", "2026-12-27", "2026-12-29", "2026-12-31", "days");
  assert_string_equal(text_of(row_of(run.json, "A", "Ash"), "origin_date"), "2026-11-05");
  test_run_release(&run);
}

static void stages_when_february_has_a_leap_day_then_counted(void **state)
{
  (void)state;
  test_run run = run_of(HEAD "A,Ash,2028-02-20,,\n", PLACES "A,2027-12-15,\n");
  assert_stage(run.json, "A", "Ash", "soft-dough", "2028-02-28", "2028-03-01", "2028-03-03", "days");
  test_run_release(&run);
  run = run_of(HEAD "A,Ash,2027-02-20,,\n", PLACES "A,2026-12-15,\n");
  assert_stage(run.json, "A", "Ash", "soft-dough", "2027-02-28", "2027-03-02", "2027-03-04", "days");
  test_run_release(&run);
}

/* ---- observed stages ------------------------------------------------------------------------------------------------ */

static void stages_when_one_is_observed_then_it_stands_and_later_ones_count_from_it(void **state)
{
  (void)state;
  test_run run = run_of(HEAD "A,Ash,2026-07-14,soft dough,2026-07-28\nA,Ash,2026-07-14,7,2026-07-30\n"
                             "A,Ash,2026-07-14,soft dough,2026-08-02\n",
                        PLACES "A,2026-05-18,\n");
  assert_stage(run.json, "A", "Ash", "soft-dough", "2026-07-30", "2026-07-30", "2026-07-30", "observed"); /* median */
  assert_stage(run.json, "A", "Ash", "hard-dough", "2026-08-11", "2026-08-14", "2026-08-17", "days"); /* 12, 15, 18 */
  assert_string_equal(text_of(stage_of(run.json, "A", "Ash", "hard-dough"), "from"), "soft-dough");
  assert_stage(run.json, "A", "Ash", "boot", "2026-07-02", "2026-07-04", "2026-07-06", "days");
  test_run_release(&run);
}

static void stages_when_two_days_share_the_middle_then_the_later_half_day(void **state)
{
  (void)state;
  test_run run =
      run_of(HEAD "A,Ash,,boot,2026-07-10\nA,Ash,,boot,2026-07-11\nA,Bay,2026-07-14,,\n", PLACES "A,2026-05-18,\n");
  assert_stage(run.json, "A", "Ash", "boot", "2026-07-11", "2026-07-11", "2026-07-11", "observed");
  assert_stage(run.json, "A", "Ash", "mid-bloom", "2026-07-19", "2026-07-21", "2026-07-23", "days");
  test_run_release(&run);
}

/* Soft dough as counted from mid-bloom is July 22 to 26: milk on the 24th cuts it, milk on the 30th contradicts it. */
static void stages_when_an_observed_one_lies_in_a_range_then_cut_or_left_out(void **state)
{
  (void)state;
  test_run run =
      run_of(HEAD "A,Ash,2026-07-14,milk,2026-07-25\nA,Bay,2026-07-14,milk,2026-07-30\n", PLACES "A,2026-05-18,\n");
  assert_stage(run.json, "A", "Ash", "soft-dough", "2026-07-25", "2026-07-25", "2026-07-26", "days");
  assert_null(stage_of(run.json, "A", "Bay", "soft-dough"));
  assert_stage(run.json, "A", "Bay", "hard-dough", "2026-08-03", "2026-08-08", "2026-08-13", "days");
  test_run_release(&run);
}

static void stages_when_noted_on_walks_then_the_first_day_of_each(void **state)
{
  (void)state;
  test_run run = run_of("location,plot,hybrid,yield (bu/ac),stage 2026-08-10,stage 2026-08-17 (JT),stage 2026-08-24\n"
                        "A,1,Ash,90,milk,soft dough,soft dough\nA,2,Bay,91,,late milk,hard dough\n",
                        PLACES "A,2026-05-18,\n");
  assert_stage(run.json, "A", "Ash", "milk", "2026-08-10", "2026-08-10", "2026-08-10", "observed");
  assert_stage(run.json, "A", "Ash", "soft-dough", "2026-08-17", "2026-08-17", "2026-08-17", "observed");
  assert_null(stage_of(run.json, "A", "Bay", "milk")); /* "late milk" is no stage */
  assert_stage(run.json, "A", "Bay", "hard-dough", "2026-08-24", "2026-08-24", "2026-08-24", "observed");
  assert_stage(run.json, "A", "Bay", "black-layer", "2026-09-03", "", "2026-09-07", "days"); /* 10 to 14: no middle */
  test_run_release(&run);
}

static void stages_when_as_of_a_day_then_later_ones_are_unknown_and_missing_ones_due(void **state)
{
  (void)state;
  const char *csv = HEAD "A,Ash,2026-07-14,soft dough,2026-07-24\nA,Bay,2026-07-20,,\nB,Bay,2026-07-10,,\n"
                         "C,Bay,2026-07-11,,\n";
  const char *places = PLACES "A,2026-05-18,\nB,2026-05-18,\nC,2026-05-18,\n";
  test_run run = run_as_of(csv, places, "2026-07-18");
  assert_stage(run.json, "A", "Ash", "soft-dough", "2026-07-22", "2026-07-24", "2026-07-26", "days");
  assert_false(json_is_true(test_json(stage_of(run.json, "A", "Ash", "soft-dough"), "expected_by_now")));
  assert_stage(run.json, "A", "Bay", "mid-bloom", "2026-07-10", "2026-07-11", "2026-07-11", "other places");
  assert_true(json_is_true(test_json(stage_of(run.json, "A", "Bay", "mid-bloom"), "expected_by_now")));
  assert_false(json_is_true(test_json(stage_of(run.json, "A", "Ash", "boot"), "expected_by_now"))); /* it has bloomed */
  test_run_release(&run);
  run = run_as_of(csv, places, "2026-07-09");
  assert_null(row_of(run.json, "A", "Ash"));
  assert_null(row_of(run.json, "A", "Bay"));
  test_run_release(&run);
}

/* ---- without bloom ---------------------------------------------------------------------------------------------------- */

static void bloom_when_not_seen_then_by_two_other_places_or_not_at_all(void **state)
{
  (void)state;
  test_run run = run_of(HEAD "A,Ash,,,\nB,Ash,2026-07-20,,\nC,Ash,2026-07-27,,\nA,Bay,,,\nB,Bay,2026-07-20,,\n",
                        PLACES "A,2026-05-30,\nB,2026-05-18,\nC,2026-05-23,\n"); /* 63 and 65 days */
  assert_stage(run.json, "A", "Ash", "mid-bloom", "2026-08-01", "2026-08-02", "2026-08-03", "other places");
  assert_stage(run.json, "A", "Ash", "soft-dough", "2026-08-09", "2026-08-12", "2026-08-15",
               "days"); /* 1+8, 2+10, 3+12 */
  assert_stage(run.json, "A", "Ash", "boot", "2026-07-20", "2026-07-23", "2026-07-26", "days");
  assert_null(row_of(run.json, "A", "Bay"));
  json_t *place = test_json_with(test_json(run.json, "field_days"), "location", "A");
  assert_close(test_json_number(place, "hybrids_without"), 1, 0);
  test_run_release(&run);
}

static void calendar_when_no_bloom_or_no_planting_then_none_and_said(void **state)
{
  (void)state;
  test_run run = run_of("location,hybrid,yield (bu/ac)\nA,Ash,90\n", NULL);
  assert_int_equal(json_array_size(test_json(run.json, "calendar")), 0);
  assert_non_null(strstr(json_string_value(test_json(run.json, "calendar_why")), "neither"));
  test_run_release(&run);
  run = run_of("location,hybrid,days to mid-bloom\nA,Ash,60\nB,Ash,62\n", NULL);
  assert_int_equal(json_array_size(test_json(run.json, "calendar")), 0);
  assert_non_null(strstr(json_string_value(test_json(run.json, "calendar_why")), "no place"));
  test_run_release(&run);
}

/* ---- origins ------------------------------------------------------------------------------------------------------------ */

/* Days from planting are given at all places, so a place with emergence alone has no day to count from. */
static void origins_when_a_place_has_the_other_one_then_no_date_there(void **state)
{
  (void)state;
  test_run run = run_of("location,hybrid,days to mid-bloom\nA,Ash,60\nB,Ash,62\nC,Ash,64\n",
                        PLACES "A,2026-05-18,2026-05-24\nB,,2026-05-24\nC,2026-05-20,\n");
  assert_stage(run.json, "A", "Ash", "mid-bloom", "2026-07-17", "2026-07-17", "2026-07-17", "observed");
  assert_string_equal(text_of(row_of(run.json, "A", "Ash"), "origin"), "planting");
  assert_null(row_of(run.json, "B", "Ash"));
  test_run_release(&run);
}

static void origins_when_only_emergence_is_given_then_counted_from_it(void **state)
{
  (void)state;
  test_run run = run_of(HEAD "A,Ash,2026-07-14,,\nB,Ash,2026-07-20,,\nC,Ash,,,\n",
                        PLACES "A,,2026-05-25\nB,,2026-05-31\nC,,2026-06-01\n"); /* 50 days at both */
  assert_string_equal(text_of(row_of(run.json, "C", "Ash"), "origin"), "emergence");
  assert_stage(run.json, "C", "Ash", "mid-bloom", "2026-07-21", "2026-07-21", "2026-07-21", "other places");
  test_run_release(&run);
}

/* ---- field days ----------------------------------------------------------------------------------------------------------- */

/* Soft to hard dough, 10 to 25 days after bloom: July 21 to Aug 5, 23 to Aug 7, Aug 10 to 25. Two meet from the 23rd. */
static void field_days_when_most_hybrids_meet_then_those_days_and_how_many(void **state)
{
  (void)state;
  test_run run =
      run_of(HEAD "A,Ash,2026-07-11,,\nA,Bay,2026-07-13,,\nA,Cob,2026-07-31,,\nA,Dun,,,\n", PLACES "A,2026-05-18,\n");
  json_t *place = test_json(run.json, "field_days.0");
  assert_string_equal(text_of(place, "from"), "2026-07-23");
  assert_string_equal(text_of(place, "to"), "2026-08-05");
  assert_close(test_json_number(place, "hybrids"), 2, 0);
  assert_close(test_json_number(place, "of_hybrids"), 3, 0);
  assert_close(test_json_number(place, "hybrids_without"), 1, 0);
  assert_string_equal(text_of(place, "earliest"), "2026-07-19"); /* 11 + 8 */
  assert_string_equal(text_of(place, "latest"), "2026-08-30");   /* 31 + 30 */
  test_run_release(&run);
}

/* July 21 to Aug 5, Aug 6 to 21 and Aug 22 to Sep 6 follow on one another: one hybrid on each day, all days. */
static void field_days_when_one_follows_on_another_then_one_stretch(void **state)
{
  (void)state;
  test_run run = run_of(HEAD "A,Ash,2026-07-11,,\nA,Bay,2026-07-27,,\nA,Cob,2026-08-12,,\nA,Dun,2026-10-12,,\n",
                        PLACES "A,2026-05-18,\n");
  json_t *place = test_json(run.json, "field_days.0");
  assert_string_equal(text_of(place, "from"), "2026-07-21");
  assert_string_equal(text_of(place, "to"), "2026-09-06");
  assert_close(test_json_number(place, "hybrids"), 1, 0);
  test_run_release(&run);
}

/* ---- heat units ------------------------------------------------------------------------------------------------------------- */

enum { YEAR_DAYS = 366 };

/* One place, planted on 2026-05-01, of one hybrid with these days to mid-bloom; weather of 90 over 70 F (30 units a day with
 * base 50 and cap 100) from May 1 on n days; a normal of 80 over 60 (20 units) where one is wanted. */
typedef struct {
  cks_trial *trial;
  cks_settings settings;
} heat;

static cks_weather_place even_weather(cks_arena *arena, double first, size_t n, double high)
{
  cks_weather_place place = {"A",
                             CKS_FAHRENHEIT,
                             first,
                             n,
                             cks_arena_take(arena, n, sizeof(double)),
                             cks_arena_take(arena, n, sizeof(double))};
  assert_true(place.high && place.low);
  for (size_t i = 0; i < n; i++) {
    place.high[i] = high;
    place.low[i] = high - 20;
  }
  return place;
}

static heat heat_of(double days, size_t n, bool normal)
{
  const made_plot plot[] = {{"A", 2026, "1", NULL, "Ash", days}, {"A", 2026, "1", NULL, "Bay", 60}};
  heat h = {made_trial(plot, 2, CKS_ROLE_DAYS_TO_MID_BLOOM, NULL), made_settings()};
  cks_weather *w = &h.trial->weather;
  cks_arena *arena = h.trial->arena;
  w->n = 1;
  w->place = cks_arena_take(arena, 1, sizeof *w->place);
  w->normal = cks_arena_take(arena, 1, sizeof *w->normal);
  assert_true(w->place && w->normal);
  w->place[0] = even_weather(arena, day("2026-05-01"), n, 90);
  w->normal[0] = (cks_weather_normal){"the file normal.csv", even_weather(arena, 0, YEAR_DAYS, 80)};
  w->n_normal = normal;
  h.trial->environment[0].weather = 0;
  h.trial->environment[0].planted = day("2026-05-01");
  h.settings.scheme = "k-state-medium-early";
  return h;
}

static const cks_calendar_row *first_row(const made_analysis *made)
{
  if (made->status != CKS_OK) fail_msg("%s", made->error.text);
  assert_true(made->results->calendar->n_row >= 1);
  assert_int_equal(made->results->calendar->row[0].hybrid, 0);
  return &made->results->calendar->row[0];
}

static void assert_dated(const cks_calendar_row *row, cks_stage stage, cks_dated how, const char *low,
                         const char *usual, const char *high)
{
  const cks_stage_date *date = cks_calendar_stage(row, stage);
  char text[CKS_NUMBER_TEXT];
  assert_int_equal(date->how, how);
  assert_string_equal(cks_print_date(text, date->low), low);
  assert_string_equal(cks_print_date(text, date->usual), usual);
  assert_string_equal(cks_print_date(text, date->high), high);
}

/* Mid-bloom to soft dough 306 units, a fifth either way 244.8 to 367.2: 9, 11 and 13 days of 30. To black layer 1116. */
static void heat_when_weather_is_there_then_units_from_the_seen_bloom(void **state)
{
  (void)state;
  heat h = heat_of(60, 200, false);
  made_analysis made = made_analyze(h.trial, &h.settings);
  const cks_calendar_row *row = first_row(&made);
  assert_dated(row, CKS_STAGE_MID_BLOOM, CKS_DATED_OBSERVED, "2026-06-30", "2026-06-30", "2026-06-30");
  assert_dated(row, CKS_STAGE_SOFT_DOUGH, CKS_DATED_HEAT, "2026-07-09", "2026-07-11", "2026-07-13");
  assert_dated(row, CKS_STAGE_BLACK_LAYER, CKS_DATED_HEAT, "2026-07-30", "2026-08-07", "2026-08-14"); /* 30, 38, 45 */
  assert_dated(row, CKS_STAGE_HARVEST_MOISTURE, CKS_DATED_HEAT, "2026-08-15", "2026-08-30", "2026-09-15");
  assert_dated(row, CKS_STAGE_BOOT, CKS_DATED_DAYS, "2026-06-18", "2026-06-20", "2026-06-22"); /* back: by days */
  assert_int_equal(cks_calendar_stage(row, CKS_STAGE_BLACK_LAYER)->normal_days, 0);
  const char *then;
  assert_string_equal(cks_calendar_source(made.results->calendar, row, CKS_STAGE_SOFT_DOUGH, &then),
                      "K-State eUpdate 661-1");
  assert_null(then);
  made_analysis_release(&made);
}

/* Weather of May 1 to July 4, bloom on June 30: 4 days of 30, then the normal's 20 a day. 306 - 120 = 186: 10 days more. */
static void heat_when_the_weather_ends_then_the_normal_and_its_days(void **state)
{
  (void)state;
  heat h = heat_of(60, 65, true);
  made_analysis made = made_analyze(h.trial, &h.settings);
  const cks_calendar_row *row = first_row(&made);
  /* 244.8 - 120 = 124.8: 7 days; 367.2 - 120 = 247.2: 13 days */
  assert_dated(row, CKS_STAGE_SOFT_DOUGH, CKS_DATED_HEAT, "2026-07-11", "2026-07-14", "2026-07-17");
  assert_int_equal(cks_calendar_stage(row, CKS_STAGE_SOFT_DOUGH)->normal_days, 10);
  made_analysis_release(&made);
}

static void heat_when_as_of_a_day_then_later_weather_is_not_used(void **state)
{
  (void)state;
  heat h = heat_of(60, 200, true);
  h.settings.as_of = day("2026-07-04");
  made_analysis made = made_analyze(h.trial, &h.settings);
  assert_dated(first_row(&made), CKS_STAGE_SOFT_DOUGH, CKS_DATED_HEAT, "2026-07-11", "2026-07-14", "2026-07-17");
  made_analysis_release(&made);
}

/* 1,440 units to mid-bloom from planting, 1,152 to 1,728: 48, 39 and 58 days of 30. */
static void heat_when_bloom_is_not_seen_then_from_the_origin(void **state)
{
  (void)state;
  heat h = heat_of(NAN, 200, false);
  made_analysis made = made_analyze(h.trial, &h.settings);
  const cks_calendar_row *row = first_row(&made);
  assert_dated(row, CKS_STAGE_MID_BLOOM, CKS_DATED_HEAT, "2026-06-09", "2026-06-18", "2026-06-28");
  assert_int_equal(cks_calendar_stage(row, CKS_STAGE_MID_BLOOM)->from, CKS_STAGE_PLANTING);
  /* boot 1,206: 964.8 to 1,447.2, 33, 41 and 49 days */
  assert_dated(row, CKS_STAGE_BOOT, CKS_DATED_HEAT, "2026-06-03", "2026-06-11", "2026-06-19");
  made_analysis_release(&made);
}

/* The weather ends on May 10; planted on June 1: all 72 days (1,440 of 20) are the normal's, and no more than those. */
static void heat_when_planted_after_the_last_weather_day_then_all_of_the_normal(void **state)
{
  (void)state;
  heat h = heat_of(NAN, 10, true);
  h.trial->environment[0].planted = day("2026-06-01");
  made_analysis made = made_analyze(h.trial, &h.settings);
  const cks_calendar_row *row = first_row(&made);
  assert_dated(row, CKS_STAGE_MID_BLOOM, CKS_DATED_HEAT, "2026-07-29", "2026-08-12", "2026-08-27");
  assert_int_equal(cks_calendar_stage(row, CKS_STAGE_MID_BLOOM)->normal_days, 72);
  made_analysis_release(&made);
  h = heat_of(NAN, 10, false); /* without a normal there is nothing to go by, and no other place either */
  h.trial->environment[0].planted = day("2026-06-01");
  made = made_analyze(h.trial, &h.settings);
  assert_int_equal(made.status, CKS_OK);
  assert_int_equal(made.results->calendar->n_row, 1);
  assert_int_equal(made.results->calendar->row[0].hybrid, 1); /* Bay has bloomed, and goes by days */
  assert_int_equal(made.results->calendar->place[0].lack, CKS_HEAT_NO_DAYS);
  made_analysis_release(&made);
}

/* Bloom on February 25, then the normal, whose February 29 is missing: only a leap year asks for it. 11 days of 30 to soft
 * dough end on March 7 in 2028 as it would be counted, on March 8 in 2027. */
static void heat_when_the_normal_has_a_leap_day_then_in_leap_years_only(void **state)
{
  (void)state;
  static const struct {
    const char *planted, *soft;
    bool missing;
  } years[] = {{"2027-12-27", "2028-03-07", false}, {"2027-12-27", "", true}, {"2026-12-27", "2027-03-08", true}};
  for (size_t k = 0; k < sizeof years / sizeof *years; k++) {
    heat h = heat_of(60, 10, true);
    cks_weather_place *normal = &h.trial->weather.normal[0].day;
    char text[CKS_NUMBER_TEXT];
    for (size_t i = 0; i < YEAR_DAYS; i++) normal->high[i] = normal->low[i] = 80;
    if (years[k].missing) normal->high[59] = cks_missing();
    h.trial->environment[0].planted = h.trial->weather.place[0].first = day(years[k].planted);
    made_analysis made = made_analyze(h.trial, &h.settings);
    const cks_stage_date *soft = cks_calendar_stage(first_row(&made), CKS_STAGE_SOFT_DOUGH);
    bool heated = *years[k].soft != 0;
    assert_int_equal(soft->how, heated ? CKS_DATED_HEAT : CKS_DATED_DAYS);
    assert_int_equal(made.results->calendar->place[0].lack, heated ? CKS_HEAT_USED : CKS_HEAT_NO_DAYS);
    if (heated) assert_string_equal(cks_print_date(text, soft->usual), years[k].soft);
    made_analysis_release(&made);
  }
}

static void heat_when_a_day_is_missing_then_by_days_and_said(void **state)
{
  (void)state;
  heat h = heat_of(60, 200, true);
  h.trial->weather.place[0].high[65] = cks_missing(); /* July 5 */
  made_analysis made = made_analyze(h.trial, &h.settings);
  const cks_calendar_row *row = first_row(&made);
  assert_dated(row, CKS_STAGE_SOFT_DOUGH, CKS_DATED_DAYS, "2026-07-08", "2026-07-10", "2026-07-12");
  assert_dated(row, CKS_STAGE_BLACK_LAYER, CKS_DATED_DAYS, "2026-07-28", "2026-08-04", "2026-08-11");
  assert_int_equal(made.results->calendar->place[0].lack, CKS_HEAT_NO_DAYS);
  made_analysis_release(&made);
}

/* A scheme from the origin that is not given: from the seen bloom it counts, to bloom it does not. */
static void heat_when_the_origin_is_another_then_no_bloom_is_predicted(void **state)
{
  (void)state;
  static const char *const schemes[] = {"climate-center-medium", "k-state-medium-early"};
  for (int emerged = 0; emerged < 2; emerged++) {
    heat h = heat_of(NAN, 200, true);
    cks_environment *e = &h.trial->environment[0];
    double *number = cks_arena_take(h.trial->arena, CKS_ROLE_COUNT, sizeof *number);
    assert_non_null(number);
    for (int role = 0; role < CKS_ROLE_COUNT; role++) number[role] = cks_missing();
    if (emerged) {
      number[CKS_ROLE_EMERGED] = e->planted;
      e->planted = cks_missing();
      h.trial->count_origin = "emergence";
    }
    e->place_number = number;
    h.settings.scheme = schemes[emerged];
    made_analysis made = made_analyze(h.trial, &h.settings);
    assert_int_equal(made.status, CKS_OK);
    const cks_calendar *c = made.results->calendar;
    assert_int_equal(c->place[0].lack, CKS_HEAT_NO_ORIGIN);
    assert_int_equal(c->n_row, 1);
    assert_int_equal(c->row[0].hybrid, 1);
    assert_int_equal(c->place[0].n_without, 1);
    assert_int_equal(cks_calendar_stage(&c->row[0], CKS_STAGE_SOFT_DOUGH)->how, CKS_DATED_HEAT);
    made_analysis_release(&made);
  }
}

static void heat_when_there_is_no_weather_or_no_such_scheme_then_days_or_refused(void **state)
{
  (void)state;
  heat h = heat_of(60, 200, false);
  h.trial->environment[0].weather = CKS_NONE;
  made_analysis made = made_analyze(h.trial, &h.settings);
  assert_dated(first_row(&made), CKS_STAGE_SOFT_DOUGH, CKS_DATED_DAYS, "2026-07-08", "2026-07-10", "2026-07-12");
  assert_int_equal(made.results->calendar->place[0].lack, CKS_HEAT_NO_WEATHER);
  made_analysis_release(&made);
  h = heat_of(60, 200, false);
  h.settings.scheme = "k-state";
  made = made_analyze(h.trial, &h.settings);
  assert_int_equal(made.status, CKS_USAGE);
  assert_non_null(strstr(made.error.text, "k-state-medium-early"));
  made_analysis_release(&made);
}

/* ---- what is printed ----------------------------------------------------------------------------------------------------------- */

/* In one line: sentences are wrapped. */
static char *printed(heat *h)
{
  test_text text = {0};
  cks_report *report = NULL;
  made_analysis made = made_analyze(h->trial, &h->settings);
  assert_int_equal(made.status, CKS_OK);
  assert_int_equal(cks_report_new(&h->settings, made.trial, made.results, made.findings, false, &report, NULL), CKS_OK);
  cks_sink sink = test_sink(&text);
  assert_int_equal(cks_write_text(report, true, &sink, NULL), CKS_OK);
  cks_report_free(report);
  made_analysis_release(&made);
  for (char *c = text.text; *c; c++)
    if (*c == '\n') *c = ' ';
  return text.text;
}

static void assert_prints(heat h, const char *what, bool there)
{
  char *text = printed(&h);
  if ((strstr(text, what) != NULL) != there) fail_msg("'%s' %s", what, there ? "is not printed" : "is printed");
  free(text);
}

static void print_when_the_weather_falls_short_then_said(void **state)
{
  (void)state;
  heat h = heat_of(60, 65, true);
  assert_prints(h, "weather is measured to Jul 4, 2026; each later day is that of the file normal.csv", true);
  h = heat_of(60, 200, true);
  h.trial->weather.place[0].high[65] = cks_missing();
  assert_prints(h, "days stand in place of heat units", true);
  h = heat_of(NAN, 200, true);
  h.settings.scheme = "climate-center-medium";
  assert_prints(h, "there is no one date of emergence, from which the scheme counts", true);
  h = heat_of(60, 200, true);
  h.settings.as_of = day("2026-08-30");
  assert_prints(h, "expected by then and not seen: look", true);
}

static void print_when_the_year_turns_then_years_beside_the_days(void **state)
{
  (void)state;
  heat h = heat_of(60, 10, false);
  h.settings.scheme = NULL;
  assert_prints(h, "Jul 8 to Jul 12  ", true);
  h = heat_of(60, 10, false);
  h.settings.scheme = NULL;
  h.trial->environment[0].planted = day("2026-10-20");
  assert_prints(h, "Dec 27 to Dec 31, 2026", true);
}

static void print_when_the_crop_is_corn_then_no_calendar_and_why(void **state)
{
  (void)state;
  heat h = heat_of(60, 10, false);
  h.settings.scheme = NULL;
  h.trial->crop = cks_crop_find("corn");
  assert_prints(h, "No stage calendar: the stages that are known here are those of sorghum.", true);
  h = heat_of(60, 10, false);
  h.settings.scheme = NULL;
  h.trial->crop = cks_crop_find("corn");
  assert_prints(h, "soft dough", false);
}

/* Cautions for forage that met frost or drought; grain, or forage that met neither, has none. */
static void print_when_forage_met_frost_then_cautions_with_sources(void **state)
{
  (void)state;
  const cks_crop *forage = cks_crop_find("forage sorghum");
  static const struct {
    bool forage, frost, drought;
  } cases[] = {{true, true, false}, {true, false, true}, {true, false, false}, {false, true, true}};
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    heat h = heat_of(60, 10, false);
    double *number = cks_arena_take(h.trial->arena, CKS_ROLE_COUNT, sizeof *number);
    assert_non_null(number);
    for (int role = 0; role < CKS_ROLE_COUNT; role++) number[role] = cks_missing();
    if (cases[i].frost) number[CKS_ROLE_FROST] = day("2026-10-03");
    if (cases[i].drought) number[CKS_ROLE_DROUGHT] = day("2026-08-03");
    h.trial->environment[0].place_number = number;
    if (cases[i].forage) h.trial->crop = forage;
    h.settings.scheme = NULL;
    char *text = printed(&h);
    bool caution = cases[i].forage && (cases[i].frost || cases[i].drought);
    assert_int_equal(strstr(text, "no figure or wait below is a promise") != NULL, caution);
    assert_int_equal(strstr(text, "tested by a laboratory") != NULL, cases[i].forage); /* on every sheet of a forage */
    assert_int_equal(strstr(text, "wait after a killing frost") != NULL, cases[i].forage);
    assert_int_equal(strstr(text, "Frost: A 2026 (Oct 3, 2026).") != NULL, cases[i].forage && cases[i].frost);
    assert_int_equal(strstr(text, "Clemson") != NULL, cases[i].forage);
    assert_null(strstr(text, "safe"));
    free(text);
  }
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(stages_when_bloom_is_seen_then_by_published_days),
      cmocka_unit_test(stages_when_the_season_is_southern_then_over_the_year_end),
      cmocka_unit_test(stages_when_february_has_a_leap_day_then_counted),
      cmocka_unit_test(stages_when_one_is_observed_then_it_stands_and_later_ones_count_from_it),
      cmocka_unit_test(stages_when_two_days_share_the_middle_then_the_later_half_day),
      cmocka_unit_test(stages_when_an_observed_one_lies_in_a_range_then_cut_or_left_out),
      cmocka_unit_test(stages_when_noted_on_walks_then_the_first_day_of_each),
      cmocka_unit_test(stages_when_as_of_a_day_then_later_ones_are_unknown_and_missing_ones_due),
      cmocka_unit_test(bloom_when_not_seen_then_by_two_other_places_or_not_at_all),
      cmocka_unit_test(calendar_when_no_bloom_or_no_planting_then_none_and_said),
      cmocka_unit_test(origins_when_a_place_has_the_other_one_then_no_date_there),
      cmocka_unit_test(origins_when_only_emergence_is_given_then_counted_from_it),
      cmocka_unit_test(field_days_when_most_hybrids_meet_then_those_days_and_how_many),
      cmocka_unit_test(field_days_when_one_follows_on_another_then_one_stretch),
      cmocka_unit_test(heat_when_weather_is_there_then_units_from_the_seen_bloom),
      cmocka_unit_test(heat_when_the_weather_ends_then_the_normal_and_its_days),
      cmocka_unit_test(heat_when_as_of_a_day_then_later_weather_is_not_used),
      cmocka_unit_test(heat_when_bloom_is_not_seen_then_from_the_origin),
      cmocka_unit_test(heat_when_planted_after_the_last_weather_day_then_all_of_the_normal),
      cmocka_unit_test(heat_when_the_normal_has_a_leap_day_then_in_leap_years_only),
      cmocka_unit_test(heat_when_a_day_is_missing_then_by_days_and_said),
      cmocka_unit_test(heat_when_the_origin_is_another_then_no_bloom_is_predicted),
      cmocka_unit_test(heat_when_there_is_no_weather_or_no_such_scheme_then_days_or_refused),
      cmocka_unit_test(print_when_the_weather_falls_short_then_said),
      cmocka_unit_test(print_when_the_year_turns_then_years_beside_the_days),
      cmocka_unit_test(print_when_the_crop_is_corn_then_no_calendar_and_why),
      cmocka_unit_test(print_when_forage_met_frost_then_cautions_with_sources),
  };
  return cmocka_run_group_tests(tests, test_start, NULL);
}
