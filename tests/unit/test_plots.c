/*
 * test_plots.c: the plots as understood, written and read again: the same analysis to the bit in our layout, and to
 * rounding as observation units of the open BrAPI specification; and the template, filled in and read.
 */
#include "support/support.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct {
  const char *csv, *places, *names, *trait; /* NULL: none */
} list;

#define FOUR(place, year, a, b, c, d)                                                                                  \
  place "," year ",1,Ash*," a "\n" place "," year ",1,Bay," b "\n" place "," year ",2,Ash*," c "\n" place "," year     \
        ",2,Bay," d "\n"

static const list lists[] = {
    {.csv = "location,year,rep,hybrid,yield (bu/ac)\n" FOUR("A", "2025", "90.1", "80.3", "91.7", "83.0123456789012")
         FOUR("A", "2026", "70", "60.333333333333336", "71", "63") FOUR("B", "2025", "95", "85", "94", "86")
             FOUR("B", "2026", "75", "65", "74", "66")},
    {.csv = "location,trial,block,hybrid,maturity,yield "
            "(t/ha)\nA,dry,1,Ash,early,5.61\nA,dry,1,Bay,late,5.02\nA,dry,2,Ash,"
            "early,5.73\nA,dry,2,Bay,late,5.2\nA,wet,1,Ash,early,6.6\nA,wet,1,Bay,late,6.1\nA,wet,2,Ash,early,6.7\nA,"
            "wet,2,"
            "Bay,late,6.3\n"},
    {.csv = "location,row,column,strip,brand,hybrid,aphid (1-9 1 best),lodging "
            "(%)\nA,1,1,1,East,61,2,5\nA,1,2,2,West,61,8,40\n"
            "A,2,1,3,East,61,3,4\nA,2,2,4,West,61,7,35\nA,3,1,5,East,7,5,11\nA,3,2,6,East,7,4,9\n"},
    {.csv = "rep,hybrid,anthracnose disease (0-5 0 best),standability (1-9 high best),shine\n1,Ash,1,7,4.25\n1,Bay,3,5,"
            "3.5\n2,Ash,2,8,4\n2,Bay,4,4,3.125\n",
     .trait = "shine"},
    {.csv =
         "location,rep,hybrid,wet yield (lb/ac),moisture "
         "(%),emerged,mid-bloom\nA,1,Ash,5100,16.3,2026-06-01,2026-07-30\n"
         "A,1,Bay,4800,15.1,2026-06-01,2026-08-02\nA,2,Ash,5200,16,2026-06-01,2026-07-31\nA,2,Bay,4700,15,2026-06-01,"
         "2026-08-03\n"},
    {.csv = "location,hybrid,yield at 13 % "
            "(kg/ha),note,leave_out\nA,Ash,5604.2,tall,\nA,Ash,5604.2,,\nA,Ash,5711.9,,\nA,Bay,"
            "5003,,\nA,Bay,5105,\"wet, late\",\nA,Bay,5001,,hail\nA,Ash,5000,,\nA,Ash,5000,,\n"},
    {.csv = "location,rep,hybrid,stand (JT),stand (MB),lodging (%) 2026-09-01,lodging (%) "
            "2026-10-03\nA,1,Ash,30,32,1,9\nA,1,"
            "Bay,28,29,2,7\nA,2,Ash,31,,3,8\nA,2,Bay,27,27,1,6\n"},
    {.csv = "location,rep,plot,entry,hybrid,plot weight (kg),moisture "
            "(%)\nA,1,101,1,Ash,8.3,14.2\nA,1,102,2,Bay,7.7,13.9\nA,2,"
            "201,1,Ash,8.9,14.6\nA,2,202,2,Bay,7.1,13.2\nA,2,203,1,Ash,8.8,14.1\n",
     .places =
         "location,harvest_length (m),rows_harvested,row_spacing (cm),planted,soil,cooperator\nA,5.3,2,76,2026-05-20,"
         "\"clay, deep\",O'Hare & Sons\n",
     .names = "seen_as,hybrid,brand,check\nAsh,Ashley,Orrin,\nBay,Bay,Halden,x\n"},
    /* growth stages of several looks, and one with its date */
    {.csv = "location,plot,rep,hybrid,yield (bu/ac),mid-bloom,stage 2026-08-10 (JT),stage 2026-08-10 (MB),stage "
            "2026-08-17\n"
            "A,1,1,Ash,90,2026-07-30,milk,soft dough,\nA,2,1,Bay,80,,,,hard dough\nA,3,2,Ash,91,2026-07-31,,,7\n"
            "A,4,2,Bay,83,,boot,,\n",
     .places = "location,planted,frost,drought\nA,2026-05-20,2026-10-03,2026-08-01\n"},
    {.csv = "location,plot,rep,hybrid,yield (bu/ac),stage,stage date\nA,1,1,Ash,90,boot,2026-07-10\n"
            "A,2,1,Bay,80,,\nA,3,2,Ash,91,boot,2026-07-12\nA,4,2,Bay,83,milk,2026-07-30\n"},
    /* only the places table says in which year each trial was planted: the later one's name comes first */
    {.csv = "location,trial,rep,hybrid,yield (bu/ac)\nA,x,1,Ash,90\nA,x,1,Bay,80\nA,x,2,Ash,91\nA,x,2,Bay,83\n"
            "A,y,1,Ash,94\nA,y,1,Bay,84\nA,y,2,Ash,95\nA,y,2,Bay,82\n",
     .places = "location,trial,planted\nA,x,2027-05-20\nA,y,2026-05-20\n"},
};

/* A run to its plots in `format` and to JSON; nothing may go wrong. */
static json_t *run_list(const list *l, const char *csv, cks_format format, test_text *plots)
{
  test_text json = {0};
  const char *places = plots ? l->places : NULL, *names = plots ? l->names : NULL;
  test_bytes bytes[3] = {
      {csv, strlen(csv), 0}, {places, places ? strlen(places) : 0, 0}, {names, names ? strlen(names) : 0, 0}};
  cks_source source = test_source("plots.csv", &bytes[0]), place = test_source("places.csv", &bytes[1]),
             name = test_source("names.csv", &bytes[2]);
  cks_setting_pair pair = {l->trait, NULL};
  cks_settings settings;
  cks_settings_defaults(&settings);
  settings.unprotected = true;
  if (l->trait) settings.trait = (cks_setting_list){1, &pair};
  if (places) settings.places = &place;
  if (names) settings.names = &name;
  const cks_target target[] = {{CKS_FORMAT_JSON, NULL, test_sink(&json)},
                               {format, NULL, plots ? test_sink(plots) : (cks_sink){0}}};
  cks_findings *findings = NULL;
  cks_error error = {0};
  cks_startup();
  assert_int_equal(cks_findings_new(&findings, NULL), CKS_OK);
  cks_status status = cks_run(&settings, 1, &source, plots ? 2 : 1, target, findings, &error);
  if (status != CKS_OK) {
    cks_arena *arena = cks_arena_new();
    for (size_t i = 0; i < findings->n; i++)
      print_message("%s\n", cks_finding_line(findings, &findings->finding[i], arena));
    cks_arena_free(arena);
    fail_msg("%s: %s", error.text, csv);
  }
  cks_findings_free(findings);
  json_t *made = json_loads(json.text, 0, NULL);
  assert_non_null(made);
  test_text_release(&json);
  return made;
}

static void plots_when_written_and_read_again_then_the_same_analysis_to_the_bit(void **state)
{
  (void)state;
  for (size_t i = 0; i < sizeof lists / sizeof *lists; i++) {
    test_text plots = {0};
    json_t *first = run_list(&lists[i], lists[i].csv, CKS_FORMAT_PLOTS, &plots);
    json_t *again = run_list(&lists[i], plots.text, CKS_FORMAT_PLOTS, NULL);
    if (!json_equal(test_json(first, "traits"), test_json(again, "traits"))) {
      char *a = json_dumps(test_json(first, "traits"), JSON_INDENT(1)),
           *b = json_dumps(test_json(again, "traits"), JSON_INDENT(1));
      size_t at = 0;
      while (a[at] && a[at] == b[at]) at++;
      at = at > 60 ? at - 60 : 0;
      fail_msg("list %zu differs: ...%.120s... against ...%.120s... after\n%s", i, a + at, b + at, plots.text);
    }
    if (!json_equal(test_json(first, "calendar"), test_json(again, "calendar")))
      fail_msg("list %zu: another calendar after\n%s", i, plots.text);
    assert_int_equal(json_array_size(test_json(first, "left_out")), json_array_size(test_json(again, "left_out")));
    json_decref(first);
    json_decref(again);
    test_text_release(&plots);
  }
}

/* What is written a second time is what was written the first time. */
static void plots_when_written_twice_then_the_same_bytes(void **state)
{
  (void)state;
  for (size_t i = 0; i < sizeof lists / sizeof *lists; i++) {
    test_text plots = {0}, more = {0};
    list plain = {.trait = lists[i].trait};
    json_decref(run_list(&lists[i], lists[i].csv, CKS_FORMAT_PLOTS, &plots));
    json_decref(run_list(&plain, plots.text, CKS_FORMAT_PLOTS, &more));
    assert_string_equal(more.text, plots.text);
    test_text_release(&plots);
    test_text_release(&more);
  }
}

/* Names of the columns: BrAPI 2, observationunits/table (from memory). Yields go in kg/ha, so results agree to rounding. */
static void plots_when_written_as_observation_units_then_read_with_the_same_results(void **state)
{
  (void)state;
  const list *l = &lists[7];
  test_text units = {0};
  list plain = {0};
  json_t *first = run_list(l, l->csv, CKS_FORMAT_BRAPI, &units);
  static const char *const words[] = {"locationName", "germplasmName", "entryType", "observationUnitName", "REP",
                                      "PLOT",         "CHECK",         "TEST",      "kg/ha, at 14 %"};
  for (size_t i = 0; i < sizeof words / sizeof *words; i++)
    if (!strstr(units.text, words[i])) fail_msg("no %s in %s", words[i], units.text);
  json_t *again = run_list(&plain, units.text, CKS_FORMAT_BRAPI, NULL);
  json_t *a = test_json(first, "traits.0.locations.0"), *b = test_json(again, "traits.0.locations.0");
  assert_string_equal(json_string_value(test_json(again, "traits.0.unit")), "kg/ha");
  assert_close(test_json_number(a, "f"), test_json_number(b, "f"), 1e-9);
  assert_close(test_json_number(a, "cv_pct"), test_json_number(b, "cv_pct"), 1e-9);
  assert_close(test_json_number(b, "mean") / test_json_number(a, "mean"), 56 * 0.45359237 / 0.40468564224, 1e-9);
  assert_true(json_is_true(test_json(test_json_with(test_json(b, "hybrids"), "hybrid", "Halden Bay"), "check")));
  json_decref(first);
  json_decref(again);
  test_text_release(&units);
}

static cks_status make_template(const char *places, const char *names, double reps, test_text *out, cks_error *error)
{
  test_bytes bytes[2] = {{places, strlen(places), 0}, {names, strlen(names), 0}};
  cks_source place = test_source("places.csv", &bytes[0]), name = test_source("names.csv", &bytes[1]);
  cks_settings settings;
  cks_findings *findings = NULL;
  cks_settings_defaults(&settings);
  settings.places = &place;
  settings.names = &name;
  settings.reps = reps;
  const cks_target target = {CKS_FORMAT_CSV, NULL, test_sink(out)};
  assert_int_equal(cks_findings_new(&findings, NULL), CKS_OK);
  cks_status status = cks_template(&settings, &target, findings, error);
  cks_findings_free(findings);
  return status;
}

static void template_when_filled_in_then_read(void **state)
{
  (void)state;
  test_text text = {0};
  assert_int_equal(
      make_template("location\nCreek\nMoor\n", "seen_as,hybrid,check\nA1,Ash,\nA2,Ash,\n,Bay,x\n", 2, &text, NULL),
      CKS_OK);
  static const char expected[] =
      "location,rep,plot,brand,hybrid,check,leave_out,plot weight (lb),moisture (%),test weight (lb/bu),date of "
      "mid-bloom,plant "
      "height (in),lodging "
      "(%),note\nCreek,1,101,,Ash,,,,,,,,,\nCreek,1,102,,Bay,yes,,,,,,,,\nCreek,2,201,,Ash,,,,,,,,,\n";
  assert_memory_equal(text.text, expected, sizeof expected - 1);
  char filled[4000], *to = filled;
  size_t row = 0;
  for (const char *at = text.text; *at; row++) { /* a moisture into the ninth cell */
    size_t n = strcspn(at, "\n"), comma = 0;
    for (size_t i = 0; i < n; i++) {
      *to++ = at[i];
      comma += at[i] == ',';
      if (row && at[i] == ',' && comma == 8) to += sprintf(to, "%zu", 12 + row % 3);
    }
    *to++ = '\n';
    at += n + (at[n] == '\n');
  }
  *to = '\0';
  list plain = {0};
  json_t *json = run_list(&plain, filled, CKS_FORMAT_PLOTS, NULL);
  assert_int_equal(json_array_size(test_json(json, "traits.0.locations")), 2);
  assert_string_equal(json_string_value(test_json(json, "traits.0.trait")), "moisture");
  json_decref(json);
  test_text_release(&text);
}

static void template_when_something_lacks_then_said(void **state)
{
  (void)state;
  test_text text = {0};
  cks_error error = {0};
  assert_int_equal(make_template("county\nMarl\n", "hybrid\nAsh\n", 2, &text, &error), CKS_USAGE);
  assert_non_null(strstr(error.text, "location"));
  error = (cks_error){0};
  assert_int_equal(make_template("location\nCreek\n", "brand\nOrrin\n", 2, &text, &error), CKS_USAGE);
  error = (cks_error){0};
  assert_int_equal(make_template("location\nCreek\n", "hybrid\nAsh\n", 0, &text, &error), CKS_USAGE);
  assert_non_null(strstr(error.text, "--reps"));
  assert_int_equal(text.n, 0);
  test_text_release(&text);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(plots_when_written_and_read_again_then_the_same_analysis_to_the_bit),
      cmocka_unit_test(plots_when_written_twice_then_the_same_bytes),
      cmocka_unit_test(plots_when_written_as_observation_units_then_read_with_the_same_results),
      cmocka_unit_test(template_when_filled_in_then_read),
      cmocka_unit_test(template_when_something_lacks_then_said),
  };
  return cmocka_run_group_tests(tests, test_start, NULL);
}
