/*
 * test_weather.c: daily weather from files to the trial's places, its normals, and heat units over days.
 *
 * Sums are held to the three-day sum that a Wisconsin paper prints (43.0 corn heat units of 90/65, 72/46 and 63/42 F) and to
 * its rows, to a row of Ohio State (87/63), and otherwise to arithmetic written out in the test. Dates and temperatures that
 * are no row of theirs are invented.
 */
#include "support/support.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MOST_FILES = 3, TEXT = 40000 };

typedef struct {
  const char *plots, *normal;
  test_file weather[MOST_FILES];
  const char *unit_high; /* --unit high=... */
} input;

typedef struct {
  cks_findings *findings;
  cks_error error;
  cks_status status;
  cks_trial *trial; /* NULL: errors in the data */
} fixture;

#define H "location,year,rep,hybrid,yield (bu/ac),planted,harvested\n"
#define TWO_PLACES                                                                                                     \
  H "Creek,2026,1,Ash,90,2026-05-10,2026-10-10\nCreek,2026,2,Ash,91,2026-05-10,2026-10-10\n"                           \
    "Elm Fork,2026,1,Ash,80,2026-05-20,2026-10-12\nElm Fork,2026,2,Ash,81,2026-05-20,2026-10-12\n"
#define F "date,high (F),low (F)\n"

/* The files through the reader and the audit, as a run takes them. */
static fixture build(const input *in)
{
  fixture f = {0};
  test_bytes bytes[MOST_FILES + 2] = {{in->plots, strlen(in->plots), 0},
                                      {in->normal, in->normal ? strlen(in->normal) : 0, 0}};
  cks_source plots = test_source("plots.csv", &bytes[0]), normal = test_source("normal.csv", &bytes[1]),
             weather[MOST_FILES];
  cks_setting_pair unit = {"high", in->unit_high};
  cks_settings settings;
  cks_tables tables = {0};
  cks_settings_defaults(&settings);
  if (in->unit_high) settings.unit = (cks_setting_list){1, &unit};
  for (; settings.n_weather < MOST_FILES && in->weather[settings.n_weather].text; settings.n_weather++) {
    const test_file *file = &in->weather[settings.n_weather];
    bytes[settings.n_weather + 2] = (test_bytes){file->text, strlen(file->text), 0};
    weather[settings.n_weather] = test_source(file->name, &bytes[settings.n_weather + 2]);
  }
  settings.weather = weather;
  if (in->normal) settings.normal = &normal;
  cks_startup();
  assert_int_equal(cks_findings_new(&f.findings, NULL), CKS_OK);
  f.status = cks_read(&settings, 1, &plots, f.findings, &tables.plots, &f.error);
  if (f.status == CKS_OK && settings.n_weather)
    f.status = cks_read_weather(&settings, settings.n_weather, weather, false, f.findings, &tables.weather, &f.error);
  if (f.status == CKS_OK && in->normal)
    f.status = cks_read_weather(&settings, 1, &normal, true, f.findings, &tables.normal, &f.error);
  if (f.status == CKS_OK) f.status = cks_audit(&settings, &tables, f.findings, &f.trial, &f.error);
  cks_table_free(tables.plots);
  cks_table_free(tables.weather);
  cks_table_free(tables.normal);
  return f;
}

static void fixture_release(fixture *f)
{
  cks_trial_free(f->trial);
  cks_findings_free(f->findings);
}

static fixture good(const input *in)
{
  fixture f = build(in);
  if (f.status != CKS_OK && f.findings->n) print_error("%s\n", f.findings->finding[0].text);
  assert_int_equal(f.status, CKS_OK);
  assert_non_null(f.trial);
  return f;
}

static double day(int year, int month, int date)
{
  double number = NAN;
  assert_true(cks_day_number(year, month, date, &number));
  return number;
}

static const cks_heat_scheme *corn(void) { return cks_heat_scheme_find("corn-50-86-f"); }
static const cks_heat_scheme *sorghum(void) { return cks_heat_scheme_find("sorghum-50-100-f"); }

/* Rows of one high and low a day, from first to last, behind what stands in into. */
static void add_days(char into[TEXT], double first, double last, double high, double low)
{
  size_t used = strlen(into);
  for (double d = first; d <= last; d++) {
    char date[CKS_NUMBER_TEXT];
    used += (size_t)snprintf(into + used, TEXT - used, "%s,%.15g,%.15g\n", cks_print_date(date, d), high, low);
    assert_true(used < TEXT - 1);
  }
}

/* ---- files and places ------------------------------------------------------------------------------------------- */

static void sum_when_three_published_days_then_as_printed(void **state)
{
  (void)state;
  /* corn: 25.5 + 11.0 + 6.5 = 43.0 as the Wisconsin paper prints; sorghum: 27.5 + 11.0 + 6.5 by its cap of 100 */
  fixture f = good(&(input){.plots = TWO_PLACES,
                            .weather = {{"weather.csv", F "2026-05-10,90,65\n2026-05-11,90,65\n2026-05-12,72,46\n"
                                                          "2026-05-13,63,42\n2026-05-14,87,63\n"}}});
  const cks_weather_place *p = &f.trial->weather.place[0];
  assert_int_equal(f.trial->weather.n, 1);
  assert_string_equal(p->location, "");
  assert_int_equal(f.trial->environment[0].weather, 0);
  assert_int_equal(f.trial->environment[1].weather, 0);
  assert_close(cks_heat_between(p, corn(), day(2026, 5, 10), day(2026, 5, 13)), 43.0, 1e-12);
  assert_close(cks_heat_between(p, sorghum(), day(2026, 5, 10), day(2026, 5, 13)), 45.0, 1e-12);
  assert_close(cks_heat_between(p, corn(), day(2026, 5, 13), day(2026, 5, 14)), 24.5, 1e-12); /* Ohio State */
  assert_close(cks_heat_between(p, corn(), day(2026, 5, 10), day(2026, 5, 10)), 0, 0);
  fixture_release(&f);
}

static void places_when_named_by_column_file_or_not_at_all_then_their_own(void **state)
{
  (void)state;
  input in = {.plots = TWO_PLACES,
              .weather = {{"w/elm-fork-weather-2026.csv", F "2026-05-20,80,60\n2026-05-21,80,60\n"},
                          {"weather.csv", F "2026-05-20,70,50\n2026-05-21,70,50\n"}}};
  fixture f = good(&in);
  assert_int_equal(f.trial->weather.n, 2);
  assert_string_equal(f.trial->weather.place[f.trial->environment[0].weather].location, "");
  assert_string_equal(f.trial->weather.place[f.trial->environment[1].weather].location, "Elm Fork");
  assert_close(f.trial->weather.place[f.trial->environment[1].weather].high[0], 80, 0);
  fixture_release(&f);
  in = (input){.plots = TWO_PLACES,
               .weather = {{"county.csv", "Station,Date,Max temp (F),Min temp (F)\nELM FORK,2026-05-20,80,60\n"
                                          "elm-fork,2026-05-21,81,60\nOak,2026-05-20,99,70\n"}}};
  f = good(&in);
  assert_int_equal(f.trial->weather.n, 1);
  assert_int_equal(f.trial->weather.place[0].n, 2);
  assert_int_equal(f.trial->environment[0].weather, CKS_NONE);
  assert_int_equal(f.trial->environment[1].weather, 0);
  assert_non_null(test_finding(f.findings, CKS_RULE_WEATHER_UNKNOWN));
  assert_non_null(test_finding(f.findings, CKS_RULE_NO_WEATHER));
  fixture_release(&f);
}

/* Creek's weather says nothing of Oak. */
static void file_when_its_name_is_no_location_then_not_used(void **state)
{
  (void)state;
  fixture f = good(&(input){.plots = TWO_PLACES, .weather = {{"oak-weather.csv", F "2026-05-20,80,60\n"}}});
  assert_int_equal(f.trial->weather.n, 0);
  assert_int_equal(f.trial->environment[0].weather, CKS_NONE);
  assert_non_null(test_finding(f.findings, CKS_RULE_WEATHER_UNCLEAR));
  fixture_release(&f);
}

static void files_when_of_one_place_then_joined_in_any_order(void **state)
{
  (void)state;
  static const test_file may = {"creek-weather.csv", F "2026-05-10,80,60\n2026-05-11,82,61\n"},
                         june = {"creek-weather-2026.csv",
                                 "date,tmax_c,tmin_c\n2026-05-12,30,20\n2026-05-11,27.8,16.1\n"};
  const input orders[] = {{.plots = TWO_PLACES, .weather = {may, june}}, {.plots = TWO_PLACES, .weather = {june, may}}};
  for (size_t i = 0; i < 2; i++) {
    fixture f = good(&orders[i]);
    const cks_weather_place *p = &f.trial->weather.place[0];
    assert_int_equal(f.trial->weather.n, 1);
    assert_int_equal(p->n, 3);
    assert_int_equal(p->degrees, CKS_FAHRENHEIT);
    assert_close(p->high[1], 82, 0); /* 27.8 C is 82 F but for rounding */
    assert_close(p->high[2], 86, 1e-12);
    assert_close(p->low[2], 68, 1e-12);
    assert_non_null(test_finding(f.findings, CKS_RULE_DAY_AGAIN));
    fixture_release(&f);
  }
}

static void files_when_a_day_clashes_then_an_error_with_both_lines(void **state)
{
  (void)state;
  fixture f = build(&(input){.plots = TWO_PLACES,
                             .weather = {{"creek.csv", F "2026-05-10,80,60\n2026-05-11,82,61\n"},
                                         {"creek-weather.csv", F "2026-05-11,84,61\n"}}});
  const cks_finding *found = test_finding(f.findings, CKS_RULE_DAY_TWICE);
  assert_int_equal(f.status, CKS_DATA);
  assert_null(f.trial);
  assert_non_null(found);
  assert_int_equal(found->where.line, 3);
  assert_string_equal(f.findings->file[found->where.file], "creek.csv");
  assert_non_null(strstr(found->text, "line 2 of creek-weather.csv"));
  fixture_release(&f);
}

static void degrees_when_f_or_c_then_the_same_heat_units(void **state)
{
  (void)state;
  static const double high[] = {90, 72, 63, 104, 45}, low[] = {65, 46, 42, 70, 30};
  char in_f[TEXT] = F, in_c[TEXT] = "date,high (C),low (C)\n";
  for (int i = 0; i < 5; i++) {
    double d = day(2026, 5, 11) + i;
    add_days(in_f, d, d, high[i], low[i]);
    add_days(in_c, d, d, (high[i] - 32) / 1.8, (low[i] - 32) / 1.8);
  }
  fixture f = good(&(input){.plots = TWO_PLACES, .weather = {{"weather.csv", in_f}}}),
          c = good(&(input){.plots = TWO_PLACES, .weather = {{"weather.csv", in_c}}});
  assert_int_equal(c.trial->weather.place[0].degrees, CKS_CELSIUS);
  const double from = day(2026, 5, 10), to = day(2026, 5, 15);
  for (size_t i = 0; cks_heat_scheme_at(i); i++)
    assert_close(cks_heat_between(&c.trial->weather.place[0], cks_heat_scheme_at(i), from, to),
                 cks_heat_between(&f.trial->weather.place[0], cks_heat_scheme_at(i), from, to), 1e-12);
  fixture_release(&f);
  fixture_release(&c);
}

static void degrees_when_nobody_says_then_the_values_decide_or_it_is_asked(void **state)
{
  (void)state;
  fixture f = good(&(input){.plots = TWO_PLACES, .weather = {{"weather.csv", "day,max,min\n2026-05-11,80,50\n"}}});
  assert_int_equal(f.trial->weather.place[0].degrees, CKS_FAHRENHEIT);
  assert_non_null(test_finding(f.findings, CKS_RULE_UNIT_ASSUMED));
  fixture_release(&f);
  input in = {.plots = TWO_PLACES, .weather = {{"weather.csv", "day,max,min\n2026-05-11,49,20\n"}}};
  f = build(&in);
  assert_int_equal(f.status, CKS_DATA);
  assert_non_null(test_finding(f.findings, CKS_RULE_DEGREES_UNCLEAR));
  fixture_release(&f);
  in.unit_high = "deg C";
  f = good(&in);
  assert_int_equal(f.trial->weather.place[0].degrees, CKS_CELSIUS);
  assert_close(f.trial->weather.place[0].low[0], 20, 0);
  fixture_release(&f);
}

/* Ways to head the columns: common practice, no source. */
static void headings_when_written_in_any_way_then_known(void **state)
{
  (void)state;
  static const char *const heads[] = {"Date,High (F),Low (F)",
                                      "DATE,TMAX_F,TMIN_F",
                                      "day,Max temp (\xC2\xB0"
                                      "F),Min temp (\xC2\xB0"
                                      "F)",
                                      "Observation date,high F,low F",
                                      "date,Maximum temperature (deg F),Minimum temperature (deg F)",
                                      "date,Daily high [Fahrenheit],Daily low [Fahrenheit]"};
  for (size_t i = 0; i < sizeof heads / sizeof *heads; i++) {
    char text[200];
    snprintf(text, sizeof text, "%s\n2026-05-11,48,40\n", heads[i]);
    fixture f = good(&(input){.plots = TWO_PLACES, .weather = {{"weather.csv", text}}});
    assert_int_equal(f.trial->weather.n, 1);
    assert_close(f.trial->weather.place[0].high[0], 48, 0);
    assert_int_equal(f.trial->weather.place[0].degrees, CKS_FAHRENHEIT);
    fixture_release(&f);
  }
}

/* "Date" stays the day of an observation, "High" an unknown word, where plots are listed. */
static void headings_when_in_a_plot_list_then_not_those_of_weather(void **state)
{
  (void)state;
  fixture f =
      good(&(input){.plots = "location,rep,hybrid,yield (bu/ac),high,Max,C\nA,1,Ash,90,1,2,3\nA,1,Bay,80,1,2,3\n"});
  const cks_finding *found = test_finding(f.findings, CKS_RULE_HEADING_UNKNOWN);
  assert_non_null(found);
  assert_string_equal(found->heading, "high");
  assert_int_equal(f.trial->n_trait, 1);
  fixture_release(&f);
}

/* ---- days ------------------------------------------------------------------------------------------------------- */

static void sum_when_a_day_is_missing_then_missing(void **state)
{
  (void)state;
  fixture f = good(&(input){.plots = TWO_PLACES,
                            .weather = {{"weather.csv", F "2026-05-09,,50\n2026-05-10,80,60\n2026-05-11,80,60\n"
                                                          "2026-05-12,80,\n2026-05-14,80,60\n2026-05-15,80,\n"}}});
  const cks_weather_place *p = &f.trial->weather.place[0];
  const cks_finding *found = test_finding(f.findings, CKS_RULE_DAYS_MISSING);
  assert_close(p->first, day(2026, 5, 10), 0);
  assert_int_equal(p->n, 5); /* to May 14: May 15 has no low yet */
  assert_non_null(found);
  assert_non_null(strstr(found->text, "2 days"));
  assert_non_null(strstr(found->text, "the first 2026-05-12"));
  assert_close(cks_heat_between(p, sorghum(), day(2026, 5, 10), day(2026, 5, 11)), 20, 1e-12);
  assert_true(cks_is_missing(cks_heat_between(p, sorghum(), day(2026, 5, 10), day(2026, 5, 12))));
  assert_true(cks_is_missing(cks_heat_between(p, sorghum(), day(2026, 5, 10), day(2026, 5, 14))));
  assert_close(cks_heat_between(p, sorghum(), day(2026, 5, 13), day(2026, 5, 14)), 20, 1e-12);
  assert_true(cks_is_missing(cks_heat_between(p, sorghum(), day(2026, 5, 13), day(2026, 5, 15)))); /* behind the last */
  assert_true(cks_is_missing(cks_heat_between(p, sorghum(), day(2026, 5, 8), day(2026, 5, 11)))); /* before the first */
  assert_close(cks_heat_between(p, sorghum(), day(2026, 5, 9), day(2026, 5, 11)), 40, 1e-12);
  assert_true(cks_is_missing(cks_heat_between(p, sorghum(), day(2026, 5, 11), day(2026, 5, 10))));
  assert_true(cks_is_missing(cks_heat_between(p, sorghum(), NAN, day(2026, 5, 11))));
  assert_true(cks_is_missing(cks_heat_between(p, sorghum(), day(2026, 5, 10), NAN)));
  fixture_release(&f);
}

/* Of 80/60 F a day has 20 sorghum heat units. */
static void day_reached_when_measured_then_the_first_with_the_sum(void **state)
{
  (void)state;
  char text[TEXT] = F;
  add_days(text, day(2026, 5, 10), day(2026, 6, 30), 80, 60);
  fixture f = good(&(input){.plots = TWO_PLACES, .weather = {{"weather.csv", text}}});
  const cks_weather_place *p = &f.trial->weather.place[0];
  const double planted = day(2026, 5, 10);
  cks_heat_reached r = cks_heat_day_reached(p, NULL, sorghum(), planted, 200);
  assert_close(r.day, planted + 10, 0);
  assert_int_equal(r.by_normal, 0);
  assert_close(cks_heat_between(p, sorghum(), planted, r.day), 200, 1e-12);
  assert_close(cks_heat_day_reached(p, NULL, sorghum(), planted, 200.5).day, planted + 11, 0);
  assert_close(cks_heat_day_reached(p, NULL, sorghum(), planted, 0).day, planted, 0);
  assert_true(cks_is_missing(cks_heat_day_reached(p, NULL, sorghum(), planted, 5000).day)); /* beyond the last day */
  assert_true(cks_is_missing(cks_heat_day_reached(p, NULL, sorghum(), planted, NAN).day));
  assert_true(cks_is_missing(cks_heat_day_reached(p, NULL, sorghum(), NAN, 200).day));
  assert_true(cks_is_missing(cks_heat_day_reached(p, NULL, NULL, planted, 200).day));
  fixture_release(&f);
}

/* The same as thirds of a degree: rounding does not cost a day. */
static void day_reached_when_in_c_then_the_same_day(void **state)
{
  (void)state;
  char text[TEXT] = "date,high (C),low (C)\n";
  add_days(text, day(2026, 5, 10), day(2026, 6, 30), (80 - 32) / 1.8, (60 - 32) / 1.8);
  fixture f = good(&(input){.plots = TWO_PLACES, .weather = {{"weather.csv", text}}});
  for (int n = 1; n <= 50; n++)
    assert_close(cks_heat_day_reached(&f.trial->weather.place[0], NULL, sorghum(), day(2026, 5, 10), 20.0 * n).day,
                 day(2026, 5, 10) + n, 0);
  fixture_release(&f);
}

static void season_when_it_crosses_the_year_then_one_count(void **state)
{
  (void)state;
  char text[TEXT] = F;
  add_days(text, day(2027, 11, 1), day(2028, 3, 31), 80, 60); /* 2028 has a February 29 */
  fixture f =
      good(&(input){.plots = H "Creek,2028,1,Ash,90,2027-11-05,2028-03-20\nCreek,2028,2,Ash,91,2027-11-05,2028-03-20\n",
                    .weather = {{"weather.csv", text}}});
  const cks_weather_place *p = &f.trial->weather.place[0];
  assert_int_equal(p->n, 30 + 31 + 31 + 29 + 31);
  assert_close(cks_heat_between(p, sorghum(), day(2027, 12, 31), day(2028, 1, 1)), 20, 1e-12);
  assert_close(cks_heat_between(p, sorghum(), day(2028, 2, 27), day(2028, 3, 1)), 60, 1e-12);
  assert_close(cks_heat_day_reached(p, NULL, sorghum(), day(2027, 11, 5), 20 * 117.0).day, day(2028, 3, 1), 0);
  fixture_release(&f);
}

/* ---- normals ---------------------------------------------------------------------------------------------------- */

/* A normal of 365 or 366 days: 70/50 F, 10 sorghum heat units, but March on, 90/70 F and 30. */
static void add_normal(char text[TEXT], int year)
{
  add_days(text, day(year, 1, 1), day(year, 3, 1) - 1, 70, 50);
  add_days(text, day(year, 3, 1), day(year, 12, 31), 90, 70);
}

static void normal_when_the_weather_ends_then_it_stands_in(void **state)
{
  (void)state;
  char text[TEXT] = F, normal[TEXT] = F;
  add_days(text, day(2026, 5, 10), day(2026, 5, 15), 80, 60);
  add_normal(normal, 2024);
  fixture f = good(&(input){.plots = TWO_PLACES, .weather = {{"weather.csv", text}}, .normal = normal});
  const cks_weather *w = &f.trial->weather;
  const double planted = day(2026, 5, 10);
  assert_int_equal(w->n_normal, 1);
  assert_string_equal(w->normal[0].source, "the file normal.csv");
  assert_int_equal(w->normal[0].day.n, CKS_LEAP_YEAR);
  cks_heat_reached r = cks_heat_day_reached(&w->place[0], &w->normal[0], sorghum(), planted, 100);
  assert_close(r.day, planted + 5, 0); /* the last measured day: 5 x 20 */
  assert_int_equal(r.by_normal, 0);
  r = cks_heat_day_reached(&w->place[0], &w->normal[0], sorghum(), planted, 100 + 60);
  assert_close(r.day, planted + 7, 0); /* two more by the normal: 2 x 30 */
  assert_int_equal(r.by_normal, 2);
  r = cks_heat_day_reached(&w->place[0], &w->normal[0], sorghum(), day(2026, 6, 1), 90);
  assert_close(r.day, day(2026, 6, 4), 0); /* planted after the last weather day */
  assert_int_equal(r.by_normal, 3);
  assert_true(cks_is_missing(cks_heat_day_reached(&w->place[0], &w->normal[0], sorghum(), planted, 1e6).day));
  assert_true(cks_is_missing(cks_heat_day_reached(&w->place[0], &w->normal[0], sorghum(), planted - 5, 100).day));
  fixture_release(&f);
}

/* A lost day is not what usually is: within the measured days no normal stands in. */
static void normal_when_a_measured_day_is_lost_then_still_missing(void **state)
{
  (void)state;
  char text[TEXT] = F, normal[TEXT] = F;
  add_days(text, day(2026, 5, 10), day(2026, 5, 12), 80, 60);
  add_days(text, day(2026, 5, 14), day(2026, 5, 15), 80, 60);
  add_normal(normal, 2024);
  fixture f = good(&(input){.plots = TWO_PLACES, .weather = {{"weather.csv", text}}, .normal = normal});
  const cks_weather *w = &f.trial->weather;
  assert_close(cks_heat_day_reached(&w->place[0], &w->normal[0], sorghum(), day(2026, 5, 10), 40).day, day(2026, 5, 12),
               0);
  assert_true(cks_is_missing(cks_heat_day_reached(&w->place[0], &w->normal[0], sorghum(), day(2026, 5, 10), 60).day));
  fixture_release(&f);
}

static void normal_when_of_366_or_365_days_then_february_29_has_one(void **state)
{
  (void)state;
  char leap[TEXT] = F, plain[TEXT] = F, text[TEXT] = F;
  add_normal(leap, 2024);
  add_normal(plain, 2025);
  add_days(text, day(2028, 2, 26), day(2028, 2, 27), 80, 60);
  static const char plots[] =
      H "Creek,2028,1,Ash,90,2028-02-26,2028-08-20\nCreek,2028,2,Ash,91,2028-02-26,2028-08-20\n";
  fixture f = good(&(input){.plots = plots, .weather = {{"weather.csv", text}}, .normal = leap}),
          g = good(&(input){.plots = plots, .weather = {{"weather.csv", text}}, .normal = plain});
  const cks_weather *a = &f.trial->weather, *b = &g.trial->weather;
  assert_close(a->normal[0].day.high[59], 70, 0);
  assert_close(b->normal[0].day.high[59], 80, 0); /* between 70 and 90 */
  assert_close(a->normal[0].day.high[60], 90, 0); /* March 1 in both */
  assert_close(b->normal[0].day.high[60], 90, 0);
  assert_null(test_finding(g.findings, CKS_RULE_DAYS_MISSING));
  /* after Feb 27: Feb 28 is 10, Feb 29 is 10, March 1 is 30 */
  assert_close(cks_heat_day_reached(&a->place[0], &a->normal[0], sorghum(), day(2028, 2, 27), 50).day, day(2028, 3, 1),
               0);
  assert_close(cks_heat_day_reached(&a->place[0], &a->normal[0], sorghum(), day(2028, 2, 27), 20).day, day(2028, 2, 29),
               0);
  /* of a year without it: Feb 28 is 10, March 1 is 30 */
  cks_weather_place early = a->place[0];
  early.first = day(2027, 2, 26);
  assert_close(cks_heat_day_reached(&early, &a->normal[0], sorghum(), day(2027, 2, 27), 40).day, day(2027, 3, 1), 0);
  fixture_release(&f);
  fixture_release(&g);
}

static void normal_when_it_gives_no_year_then_any(void **state)
{
  (void)state;
  static const char *const normals[] = {"date,high (F),low (F)\nMay 16,90,70\n29-Feb,70,50\n",
                                        "month,day,high (F),low (F)\n5,16,90,70\n2,29,70,50\n"};
  for (size_t i = 0; i < 2; i++) {
    fixture f =
        good(&(input){.plots = TWO_PLACES, .weather = {{"weather.csv", F "2026-05-15,80,60\n"}}, .normal = normals[i]});
    const cks_weather *w = &f.trial->weather;
    assert_int_equal(w->n_normal, 1);
    assert_close(w->normal[0].day.high[cks_leap_year_day(day(2026, 5, 16))], 90, 0);
    assert_close(w->normal[0].day.low[59], 50, 0);
    assert_null(test_finding(f.findings, CKS_RULE_YEAR_TAKEN));
    assert_non_null(test_finding(f.findings, CKS_RULE_DAYS_MISSING)); /* two days are no normal of the rest */
    assert_close(cks_heat_day_reached(&w->place[0], &w->normal[0], sorghum(), day(2026, 5, 14), 50).day,
                 day(2026, 5, 16), 0);
    assert_true(cks_is_missing(cks_heat_day_reached(&w->place[0], &w->normal[0], sorghum(), day(2026, 5, 14), 60).day));
    fixture_release(&f);
  }
}

/* Years before: 70/50, 80/60 and 90/70 F; the trial's own year, hotter, and one that lacks a day are not in the mean. */
static char *history(int n_before, bool whole)
{
  char *text = calloc(1, 3 * TEXT), *year = calloc(1, TEXT);
  assert_true(text && year);
  strcpy(text, F);
  for (int i = 0; i < n_before; i++) {
    *year = '\0';
    add_days(year, day(2023 + i, 1, 1), day(2023 + i, 12, 31) - (whole ? 0 : 1), 70 + 10 * i, 50 + 10 * i);
    strcat(text, year);
  }
  *year = '\0';
  add_days(year, day(2026, 1, 1), day(2026, 6, 30), 100, 80);
  strcat(text, year);
  free(year);
  return text;
}

static void normal_when_three_other_years_are_whole_then_their_mean(void **state)
{
  (void)state;
  char *three = history(3, true), *two = history(2, true), *short_of_a_day = history(3, false);
  fixture f = good(&(input){.plots = TWO_PLACES, .weather = {{"creek-weather.csv", three}}});
  const cks_weather *w = &f.trial->weather;
  assert_int_equal(w->n_normal, 1);
  assert_string_equal(w->normal[0].source, "the mean of 2023 to 2025 in creek-weather.csv");
  assert_close(w->normal[0].day.high[0], 80, 1e-12);
  assert_close(w->normal[0].day.low[200], 60, 1e-12);
  assert_close(w->normal[0].day.high[59], 80, 1e-12); /* 2024 alone has the day: its own 80 */
  cks_heat_reached r = cks_heat_day_reached(&w->place[0], &w->normal[0], sorghum(), day(2026, 6, 29), 40 + 40);
  assert_close(r.day, day(2026, 7, 2), 0); /* June 30 measured: (100 + 80) / 2 - 50; then 20 a day */
  assert_int_equal(r.by_normal, 2);
  fixture_release(&f);
  f = good(&(input){.plots = TWO_PLACES, .weather = {{"creek-weather.csv", two}}});
  assert_int_equal(f.trial->weather.n_normal, 0);
  fixture_release(&f);
  f = good(&(input){.plots = TWO_PLACES, .weather = {{"creek-weather.csv", short_of_a_day}}});
  assert_int_equal(f.trial->weather.n_normal, 0);
  fixture_release(&f);
  f = good(&(input){.plots = "location,rep,hybrid,yield (bu/ac)\nCreek,1,Ash,90\nCreek,2,Ash,91\n",
                    .weather = {{"creek-weather.csv", three}}}); /* which year the trial is of nobody knows */
  assert_int_equal(f.trial->weather.n_normal, 0);
  fixture_release(&f);
  free(three);
  free(two);
  free(short_of_a_day);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(sum_when_three_published_days_then_as_printed),
      cmocka_unit_test(places_when_named_by_column_file_or_not_at_all_then_their_own),
      cmocka_unit_test(file_when_its_name_is_no_location_then_not_used),
      cmocka_unit_test(files_when_of_one_place_then_joined_in_any_order),
      cmocka_unit_test(files_when_a_day_clashes_then_an_error_with_both_lines),
      cmocka_unit_test(degrees_when_f_or_c_then_the_same_heat_units),
      cmocka_unit_test(degrees_when_nobody_says_then_the_values_decide_or_it_is_asked),
      cmocka_unit_test(headings_when_written_in_any_way_then_known),
      cmocka_unit_test(headings_when_in_a_plot_list_then_not_those_of_weather),
      cmocka_unit_test(sum_when_a_day_is_missing_then_missing),
      cmocka_unit_test(day_reached_when_measured_then_the_first_with_the_sum),
      cmocka_unit_test(day_reached_when_in_c_then_the_same_day),
      cmocka_unit_test(season_when_it_crosses_the_year_then_one_count),
      cmocka_unit_test(normal_when_the_weather_ends_then_it_stands_in),
      cmocka_unit_test(normal_when_a_measured_day_is_lost_then_still_missing),
      cmocka_unit_test(normal_when_of_366_or_365_days_then_february_29_has_one),
      cmocka_unit_test(normal_when_it_gives_no_year_then_any),
      cmocka_unit_test(normal_when_three_other_years_are_whole_then_their_mean),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
