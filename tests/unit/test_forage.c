/*
 * test_forage.c: plot lists of a forage through the whole run: tons of dry matter and at a moisture, cuts and the season's
 * total, days between cuts, nitrate and prussic acid, and the cautions of every output.
 *
 * 21.7 ton/ac at 65 % are 7.595 of dry matter and 25.3167 at 70 %: arithmetic, 35/100, 35/30. NO3 = 4.42664 NO3-N and
 * KNO3 = 7.21798 NO3-N: molar masses of IUPAC's abridged atomic weights. 700 NO3-N = 3,000 NO3 = 5,000 KNO3, rounded:
 * Oklahoma State (Beck).
 */
#include "support/support.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define DIGITS       1e-12
#define COUNT(array) (sizeof(array) / sizeof *(array))

static test_run run_of(const char *crop, double moisture_pct, const char *csv, const char *places)
{
  cks_settings settings;
  cks_settings_defaults(&settings);
  settings.crop = crop;
  settings.moisture_pct = moisture_pct;
  test_run run = test_run_csv(&settings, csv, places);
  assert_int_equal(run.status, CKS_OK);
  return run;
}

/* The mean of a hybrid in a trait at the first place that has one; NaN: the trait is not there. */
static double mean_of(const test_run *run, const char *trait, const char *hybrid)
{
  json_t *found = test_json_with(json_object_get(run->json, "traits"), "trait", trait);
  if (!found) return NAN;
  json_t *line = test_json_with(test_json(found, "locations.0.hybrids"), "hybrid", hybrid);
  return line ? test_json_number(line, "mean") : NAN;
}

/* ---- tons ------------------------------------------------------------------------------------------------------- */

static void tons_when_the_same_are_written_in_any_way_then_the_same(void **state)
{
  (void)state;
  /* 20 x 5 ft are 100/43560 acres: 21.7 ton/ac are 21.7 x 2000 x 100/43560 lb */
  static const char *const lists[] = {
      "location,rep,hybrid,yield (ton/ac at 65 %)\nA,1,Ash,21.7\n",
      "location,rep,hybrid,forage yield (ton/ac at 65 %)\nA,1,Ash,21.7\n",
      "location,rep,hybrid,yield (lb/ac at 65 %)\nA,1,Ash,43400\n",
      "location,rep,hybrid,yield (ton/ac at 0 %)\nA,1,Ash,7.595\n",
      "location,rep,hybrid,dry matter yield (ton/ac)\nA,1,Ash,7.595\n",
      "location,rep,hybrid,dry matter (lb/ac)\nA,1,Ash,15190\n",
      "location,rep,hybrid,wet yield (ton/ac),moisture\nA,1,Ash,21.7,65\n",
      "location,rep,hybrid,wet yield,moisture\nA,1,Ash,21.7,65\n",
      "location,rep,hybrid,green weight (ton/ac),dry matter\nA,1,Ash,21.7,35\n",
      "location,rep,hybrid,green weight (lb),dry matter,harvest length (ft),harvest width (ft)\n"
      "A,1,Ash,99.63269054178146,35,20,5\n",
      "location,rep,hybrid,plot weight (lb),moisture,harvest length (ft),harvest width (ft)\n"
      "A,1,Ash,99.63269054178146,65,20,5\n",
      "location,rep,hybrid,green weight (kg),moisture,harvest length (ft),harvest width (ft)\n"
      "A,1,Ash,45.19262823232324,65,20,5\n"};
  for (size_t i = 0; i < COUNT(lists); i++) {
    test_run run = run_of("forage-sorghum", NAN, lists[i], NULL);
    assert_close(mean_of(&run, "forage_yield", "Ash"), 21.7, 1e-11);
    assert_close(mean_of(&run, "dry_matter_yield", "Ash"), 7.595, 1e-11);
    assert_true(isnan(mean_of(&run, "yield", "Ash")));
    assert_string_equal(json_string_value(test_json(run.json, "traits.0.trait")), "dry_matter_yield");
    test_run_release(&run);
    run = run_of("forage-sorghum", 70, lists[i], NULL);
    assert_close(mean_of(&run, "forage_yield", "Ash"), 21.7 * 35 / 30, 1e-11); /* 25.3167 */
    assert_close(mean_of(&run, "dry_matter_yield", "Ash"), 7.595, 1e-11);
    test_run_release(&run);
  }
}

static void moisture_when_not_asked_then_the_crops_is_assumed_and_told(void **state)
{
  (void)state;
  static const char list[] = "location,rep,hybrid,wet yield (ton/ac),moisture\nA,1,Ash,21.7,70\n";
  test_run run = run_of("silage sorghum", NAN, list, NULL);
  json_t *trait = test_json_with(json_object_get(run.json, "traits"), "trait", "forage_yield");
  assert_non_null(trait);
  assert_close(test_json_number(trait, "moisture_basis_pct"), 65, DIGITS);
  assert_non_null(test_finding(run.findings, CKS_RULE_BASIS_ASSUMED));
  assert_close(mean_of(&run, "forage_yield", "Ash"), 21.7 * 30 / 35, DIGITS);
  test_run_release(&run);
  run = run_of("forage sorghum", 65, list, NULL);
  assert_null(test_finding(run.findings, CKS_RULE_BASIS_ASSUMED));
  test_run_release(&run);
  run = run_of("sorghum-sudangrass", NAN, list, NULL); /* no basis is usual: dry matter alone */
  assert_true(isnan(mean_of(&run, "forage_yield", "Ash")));
  assert_close(mean_of(&run, "dry_matter_yield", "Ash"), 21.7 * .3, DIGITS);
  test_run_release(&run);
}

/* ---- cuts ------------------------------------------------------------------------------------------------------- */

#define CUT_HEAD "location,rep,plot,cut,cut date,stage,height (in),hybrid,wet yield (ton/ac),moisture\n"
#define CUT_1                                                                                                          \
  "A,1,101,1,2026-07-13,boot,40,Ash,8,80\nA,1,102,1,2026-07-13,boot,42,Bay,10,85\n"                                    \
  "A,2,201,1,2026-07-13,heading,40,Bay,9,80\nA,2,202,1,2026-07-13,boot,38,Ash,7,82\n"
#define CUT_2                                                                                                          \
  "A,1,101,2,2026-08-14,vegetative,30,Ash,5,80\nA,1,102,2,2026-08-14,vegetative,32,Bay,4,85\n"                         \
  "A,2,201,2,2026-08-16,vegetative,31,Bay,6,80\n"
#define ASH_LOST   "A,2,202,2,2026-08-16,,,Ash,,\n"
#define ASH_2      "A,2,202,2,2026-08-16,vegetative,29,Ash,4,75\n"
#define CUT_PLACES "location,planted\nA,2026-05-21\n"

static void season_when_each_cut_is_there_then_the_sum_at_their_own_moistures(void **state)
{
  (void)state;
  test_run run = run_of("sorghum-sudangrass", NAN, CUT_HEAD CUT_1 CUT_2 ASH_2, CUT_PLACES);
  assert_close(mean_of(&run, "dry_matter_yield_cut_1", "Ash"), (8 * .2 + 7 * .18) / 2, DIGITS);
  assert_close(mean_of(&run, "dry_matter_yield_cut_2", "Ash"), (5 * .2 + 4 * .25) / 2, DIGITS);
  assert_close(mean_of(&run, "dry_matter_yield", "Ash"), (8 * .2 + 7 * .18 + 5 * .2 + 4 * .25) / 2, DIGITS);
  assert_close(mean_of(&run, "moisture_cut_2", "Ash"), 77.5, DIGITS);
  assert_close(mean_of(&run, "plant_height_cut_1", "Bay"), 41, DIGITS);
  json_t *season = test_json(run.json, "traits.0");
  assert_string_equal(json_string_value(json_object_get(season, "trait")), "dry_matter_yield");
  assert_string_equal(json_string_value(test_json(season, "locations.0.design")), "complete blocks");
  assert_close(test_json_number(season, "locations.0.plots"), 4, 0); /* cuts are no reps */
  assert_null(test_finding(run.findings, CKS_RULE_CUT_MISSING));
  test_run_release(&run);
}

static void season_when_a_cut_is_missing_then_missing_and_not_smaller(void **state)
{
  (void)state;
  static const char *const lists[] = {CUT_HEAD CUT_1 CUT_2 ASH_LOST, CUT_HEAD CUT_1 CUT_2};
  for (size_t i = 0; i < COUNT(lists); i++) {
    test_run run = run_of("sorghum-sudangrass", 65, lists[i], CUT_PLACES);
    assert_close(mean_of(&run, "dry_matter_yield_cut_1", "Ash"), (8 * .2 + 7 * .18) / 2, DIGITS);
    json_t *line = test_json_with(test_json(run.json, "traits.0.locations.0.hybrids"), "hybrid", "Ash");
    assert_close(test_json_number(line, "n"), 1, 0);
    assert_close(test_json_number(line, "raw_mean"), 8 * .2 + 5 * .2, DIGITS);
    json_t *wet = test_json_with(json_object_get(run.json, "traits"), "trait", "forage_yield");
    line = test_json_with(test_json(wet, "locations.0.hybrids"), "hybrid", "Ash");
    assert_close(test_json_number(line, "raw_mean"), (8 * .2 + 5 * .2) / .35, DIGITS);
    assert_non_null(test_finding(run.findings, CKS_RULE_CUT_MISSING));
    test_run_release(&run);
  }
}

static void season_when_rows_come_in_another_order_then_the_same_to_the_last_bit(void **state)
{
  (void)state;
  char *a = test_traits(1, (test_file[]){{"plots.csv", "crop,location,rep,cut,hybrid,wet yield (ton/ac),moisture\n"
                                                       "sudan,A,1,1,Ash,8.1,80.3\nsudan,A,1,1,Bay,7.3,81\n"
                                                       "sudan,A,1,2,Ash,5.2,79.9\nsudan,A,1,2,Bay,5.9,78.1\n"
                                                       "sudan,A,2,1,Ash,8.2,80.1\nsudan,A,2,1,Bay,7.7,81.4\n"
                                                       "sudan,A,2,2,Ash,5.1,79.2\nsudan,A,2,2,Bay,5.4,78.8\n"}}),
       *b = test_traits(1, (test_file[]){{"plots.csv", "crop,location,rep,cut,hybrid,wet yield (ton/ac),moisture\n"
                                                       "sudan,A,2,2,Bay,5.4,78.8\nsudan,A,1,2,Ash,5.2,79.9\n"
                                                       "sudan,A,2,1,Ash,8.2,80.1\nsudan,A,1,1,Bay,7.3,81\n"
                                                       "sudan,A,1,2,Bay,5.9,78.1\nsudan,A,2,2,Ash,5.1,79.2\n"
                                                       "sudan,A,2,1,Bay,7.7,81.4\nsudan,A,1,1,Ash,8.1,80.3\n"}});
  assert_string_equal(a, b);
  free(a);
  free(b);
}

static void cuts_when_named_in_other_spellings_then_one_and_in_order(void **state)
{
  (void)state;
  test_run run = run_of("sorghum-sudangrass", NAN,
                        "location,rep,plot,cut,hybrid,wet yield (ton/ac),moisture,leave_out\n"
                        "A,1,101,Cut 1,Ash,8,80,\nA,1,102,cut 1,Bay,9,80,\nA,1,101,Cut 2,Ash,5,80,\n"
                        "A,1,102,Cut 2,Bay,6,80,\nA,1,101,Cut 10,Ash,2,80,\nA,1,102,CUT 10,Bay,3,80,hail\n",
                        NULL);
  assert_close(mean_of(&run, "dry_matter_yield", "Ash"), 15 * .2, DIGITS);
  assert_close(mean_of(&run, "dry_matter_yield_cut_1", "Bay"), 9 * .2, DIGITS);
  assert_close(mean_of(&run, "dry_matter_yield_cut_10", "Ash"), 2 * .2, DIGITS);
  assert_true(isnan(mean_of(&run, "dry_matter_yield_cut_10", "Bay")));
  assert_true(isnan(mean_of(&run, "dry_matter_yield", "Bay"))); /* a cut that is left out is missing too */
  assert_string_equal(json_string_value(test_json(run.json, "forage.cuts.2.cut")), "Cut 10");
  test_run_release(&run);
}

/* A list of rows and one of columns: the same traits to the last figure. */
static void season_when_the_cuts_stand_side_by_side_then_as_in_rows(void **state)
{
  (void)state;
  static const char wide[] =
      "location,rep,plot,hybrid,wet yield cut 1 (ton/ac),moisture cut 1 (%),height cut 1 (in),wet yield (ton/ac) cut 2,"
      "moisture (%) 2nd cut,height (in; cut 2)\n"
      "A,1,101,Ash,8,80,40,5,80,30\nA,1,102,Bay,10,85,42,4,85,32\n"
      "A,2,201,Bay,9,80,40,6,80,31\nA,2,202,Ash,7,82,38,,,\n";
  test_run rows = run_of("sorghum-sudangrass", 65, CUT_HEAD CUT_1 CUT_2 ASH_LOST, CUT_PLACES),
           columns = run_of("sorghum-sudangrass", 65, wide, CUT_PLACES);
  assert_int_equal(json_array_size(json_object_get(rows.json, "traits")),
                   json_array_size(json_object_get(columns.json, "traits")));
  static const char *const traits[] = {"dry_matter_yield",  "dry_matter_yield_cut_1", "dry_matter_yield_cut_2",
                                       "forage_yield",      "forage_yield_cut_2",     "moisture_cut_1",
                                       "plant_height_cut_2"};
  for (size_t i = 0; i < COUNT(traits); i++) {
    assert_true(!isnan(mean_of(&rows, traits[i], "Bay")));
    assert_true(test_close(mean_of(&columns, traits[i], "Ash"), mean_of(&rows, traits[i], "Ash"), 0));
    assert_true(test_close(mean_of(&columns, traits[i], "Bay"), mean_of(&rows, traits[i], "Bay"), 0));
  }
  assert_non_null(test_finding(columns.findings, CKS_RULE_CUT_MISSING));
  test_run_release(&rows);
  test_run_release(&columns);
}

static void cuts_when_dated_then_days_between_them_and_stages_as_written(void **state)
{
  (void)state;
  test_run run = run_of("sorghum-sudangrass", NAN, CUT_HEAD CUT_1 CUT_2 ASH_2, CUT_PLACES);
  json_t *first = test_json(run.json, "forage.cuts.0"), *second = test_json(run.json, "forage.cuts.1");
  assert_close(test_json_number(first, "days_after_planting"), 53, 0);
  assert_true(isnan(test_json_number(first, "days_after_cut")));
  assert_string_equal(json_string_value(json_object_get(first, "stage")), "boot (3 plots), heading (1)");
  assert_close(test_json_number(first, "height_in"), 40, DIGITS);
  assert_string_equal(json_string_value(json_object_get(second, "first_day")), "2026-08-14");
  assert_string_equal(json_string_value(json_object_get(second, "last_day")), "2026-08-16");
  assert_close(test_json_number(second, "days_after_cut"), 33, DIGITS); /* 32, 32, 34, 34 */
  assert_close(test_json_number(second, "days_after_planting"), 86, DIGITS);
  test_run_release(&run);
}

/* ---- nitrate and prussic acid ----------------------------------------------------------------------------------- */

static void nitrate_when_in_any_form_unit_and_basis_then_the_same_of_dry_matter(void **state)
{
  (void)state;
  static const struct {
    const char *heading, *value;
    double dry; /* ppm NO3-N */
  } cases[] = {{"nitrate NO3-N ppm (dry)", "700", 700},
               {"NO3-N, % (dry matter)", "0.07", 700},
               {"nitrate nitrogen mg/kg, dry basis", "700", 700},
               {"nitrate NO3 ppm dry", "3098.648", 700},
               {"KNO3 % dry", "0.5052586", 700},
               {"nitrate as KNO3 (ppm dry)", "5000", 692.715},
               {"nitrate NO3 ppm dry", "3000", 677.715},
               {"NO3-N ppm as is", "140", 700}, /* 20 % dry matter */
               {"NO3 ppm (as fed)", "619.7296", 700}};
  for (size_t i = 0; i < COUNT(cases); i++) {
    char csv[400];
    snprintf(csv, sizeof csv,
             "location,rep,hybrid,wet yield (ton/ac),moisture,\"%s\"\nA,1,Ash,6,80,%s\nA,2,Ash,6,80,0.001\n",
             cases[i].heading, cases[i].value);
    test_run run = run_of("sorghum-sudangrass", NAN, csv, NULL);
    json_t *found = test_json(run.json, "forage.contents.0");
    assert_close(test_json_number(found, "highest"), atof(cases[i].value), DIGITS);
    assert_close(test_json_number(found, "highest_no3_n_dry_ppm"), cases[i].dry, 1e-5);
    assert_close(test_json_number(found, "plots"), 2, 0);
    assert_true(test_json_number(found, "mean") < test_json_number(found, "highest"));
    assert_int_equal(json_array_size(json_object_get(found, "published")), 3);
    test_run_release(&run);
  }
}

static void nitrate_when_dry_matter_is_not_known_then_not_converted(void **state)
{
  (void)state;
  test_run run = run_of("sorghum-sudangrass", NAN,
                        "location,rep,hybrid,wet yield (ton/ac),moisture,NO3-N ppm as is,HCN ppm (as is)\n"
                        "A,1,Ash,6,80,140,50\nA,2,Ash,6,,100,100\n",
                        NULL);
  json_t *nitrate = test_json(run.json, "forage.contents.0"), *acid = test_json(run.json, "forage.contents.1");
  assert_close(test_json_number(nitrate, "highest"), 140, DIGITS);
  assert_true(isnan(test_json_number(nitrate, "highest_no3_n_dry_ppm"))); /* the other plot's may be higher */
  assert_int_equal(json_array_size(json_object_get(nitrate, "published")), 0);
  assert_close(test_json_number(acid, "highest"), 100, DIGITS);
  assert_string_equal(json_string_value(json_object_get(acid, "content")), "prussic acid");
  assert_null(json_object_get(acid, "published"));
  test_run_release(&run);
}

static void headings_when_of_something_else_then_no_content(void **state)
{
  (void)state;
  static const char *const no[] = {"soil nitrate", "nitrogen", "dry matter", "acid", "nitrate and HCN", "yield", ""};
  for (size_t i = 0; i < COUNT(no); i++) assert_false(cks_content_read(no[i]).found);
  assert_true(cks_content_read("KNO3").found);
}

/* ---- every output ----------------------------------------------------------------------------------------------- */

/* Without case; a word may be broken over lines nowhere. */
static bool has_word(const char *text, const char *word)
{
  size_t n = strlen(word);
  for (const char *at = text; *at; at++) {
    size_t k = 0;
    while (k < n && (at[k] | 32) == word[k]) k++;
    if (k == n) return true;
  }
  return false;
}

/* Text with its line breaks as blanks, so that a sentence is found wherever it was wrapped. */
static test_text output_of(cks_format format, const char *sheet_for, bool full)
{
  static const char csv[] = "location,rep,hybrid,wet yield (ton/ac),moisture,NO3-N ppm (dry)\n"
                            "A,1,Ash,6,80,120\nA,1,Bay,7,81,5200\nA,2,Ash,6.2,80,100\nA,2,Bay,7.1,80,4100\n";
  test_bytes bytes = {csv, sizeof csv - 1, 0};
  test_text text = {0};
  cks_source source = test_source("plots.csv", &bytes);
  cks_target target = {.format = format, .sink = test_sink(&text)};
  cks_settings settings;
  cks_settings_defaults(&settings);
  settings.crop = "sorghum-sudangrass";
  settings.sheet_for = sheet_for;
  settings.full = full;
  cks_findings *findings;
  cks_error error;
  assert_int_equal(cks_findings_new(&findings, NULL), CKS_OK);
  assert_int_equal(cks_run(&settings, 1, &source, 1, &target, findings, &error), CKS_OK);
  cks_findings_free(findings);
  for (char *c = text.text; *c; c++)
    if (*c == '\n') *c = ' ';
  return text;
}

static void outputs_when_of_a_forage_then_each_bears_the_cautions_and_none_says_safe(void **state)
{
  (void)state;
  const struct {
    cks_format format;
    const char *sheet_for;
    bool full;
    const char *says[4];
  } outputs[] = {
      {CKS_FORMAT_TEXT, NULL, false, {"Prussic acid (HCN)", "5200 ppm NO3-N (dry) in Bay", "Clemson: from 1000"}},
      {CKS_FORMAT_TEXT, "A", false, {"Prussic acid (HCN)", "5200 ppm NO3-N (dry) in Bay", "Clemson: from 1000"}},
      {CKS_FORMAT_TEXT, NULL, true, {"Published windows", "the table calls it toxic", "height at a cut: 24 to 36 in"}},
      {CKS_FORMAT_JSON, NULL, false, {"\"cautions\"", "the table calls it toxic: not to be fed", "Clemson"}},
  };
  for (size_t i = 0; i < COUNT(outputs); i++) {
    test_text text = output_of(outputs[i].format, outputs[i].sheet_for, outputs[i].full);
    if (!strstr(text.text, CKS_FORAGE_CAUTION)) fail_msg("output %zu: no caution", i);
    for (size_t k = 0; outputs[i].says[k]; k++)
      if (!strstr(text.text, outputs[i].says[k])) fail_msg("output %zu does not say '%s'", i, outputs[i].says[k]);
    assert_false(has_word(text.text, "safe"));
    test_text_release(&text);
  }
  assert_true(has_word("un Safely", "safe"));
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(tons_when_the_same_are_written_in_any_way_then_the_same),
      cmocka_unit_test(moisture_when_not_asked_then_the_crops_is_assumed_and_told),
      cmocka_unit_test(season_when_each_cut_is_there_then_the_sum_at_their_own_moistures),
      cmocka_unit_test(season_when_a_cut_is_missing_then_missing_and_not_smaller),
      cmocka_unit_test(season_when_rows_come_in_another_order_then_the_same_to_the_last_bit),
      cmocka_unit_test(cuts_when_named_in_other_spellings_then_one_and_in_order),
      cmocka_unit_test(season_when_the_cuts_stand_side_by_side_then_as_in_rows),
      cmocka_unit_test(cuts_when_dated_then_days_between_them_and_stages_as_written),
      cmocka_unit_test(nitrate_when_in_any_form_unit_and_basis_then_the_same_of_dry_matter),
      cmocka_unit_test(nitrate_when_dry_matter_is_not_known_then_not_converted),
      cmocka_unit_test(headings_when_of_something_else_then_no_content),
      cmocka_unit_test(outputs_when_of_a_forage_then_each_bears_the_cautions_and_none_says_safe),
  };
  return cmocka_run_group_tests(tests, test_start, NULL);
}
