/*
 * test_audit_values.c: what the audit hands on: who a hybrid is, which plots are used, places and years, units and
 * bases, and the values made of other columns, worked by hand.
 *
 * Pound, foot and acre: NIST Handbook 44, appendix C. 56 lb a bushel and 14 % for grain sorghum: Georgia Agr. Exp. Stn.
 * Research Report 697 (2004). Dry matter is kept: w (100 - m) = w' (100 - m').
 */
#include "support/support.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))
#define LIST(...)    ((cks_setting_list){COUNT(((cks_setting_pair[]){__VA_ARGS__})), (cks_setting_pair[]){__VA_ARGS__}})
#define BU_AC_KG_HA  (56 * 0.45359237 / 0.40468564224) /* a bushel an acre of 56 lb, in kg/ha */
enum { MOST_FILES = 3 };
static const double EXACT = 1e-12;

typedef struct {
  cks_trial *trial;
  cks_findings *findings;
} audit;

typedef struct {
  const char *name, *csv;
} file;

/* Reads and audits the files (the last has no name); fails the test unless a trial comes out. places, names may be NULL. */
static audit audited_all(const cks_settings *given, const file *files, const char *places, const char *names)
{
  cks_settings settings;
  cks_settings_defaults(&settings);
  if (given) settings = *given;
  test_bytes bytes[MOST_FILES], place_bytes = {places, places ? strlen(places) : 0, 0},
                                name_bytes = {names, names ? strlen(names) : 0, 0};
  cks_source source[MOST_FILES], place_source = test_source("places.csv", &place_bytes),
                                 name_source = test_source("names.csv", &name_bytes);
  size_t n = 0;
  for (; n < MOST_FILES && files[n].name; n++) {
    bytes[n] = (test_bytes){files[n].csv, strlen(files[n].csv), 0};
    source[n] = test_source(files[n].name, &bytes[n]);
  }
  audit a = {0};
  cks_error error = {0};
  cks_tables t = {0};
  assert_int_equal(cks_findings_new(&a.findings, NULL), CKS_OK);
  assert_int_equal(cks_read(&settings, n, source, a.findings, &t.plots, &error), CKS_OK);
  if (places)
    assert_int_equal(cks_read_side(&settings, &place_source, "location", a.findings, &t.places, &error), CKS_OK);
  if (names) assert_int_equal(cks_read_side(&settings, &name_source, "name", a.findings, &t.names, &error), CKS_OK);
  cks_status status = cks_audit(&settings, &t, a.findings, &a.trial, &error);
  cks_table_free(t.plots);
  cks_table_free(t.places);
  cks_table_free(t.names);
  if (status != CKS_OK) {
    cks_arena *arena = cks_arena_new();
    for (size_t i = 0; i < a.findings->n; i++)
      print_error("%s\n", cks_finding_line(a.findings, &a.findings->finding[i], arena));
    cks_arena_free(arena);
    fail_msg("%s", error.text);
  }
  return a;
}

static audit audited_files(const cks_settings *settings, const file *files, const char *places)
{
  return audited_all(settings, files, places, NULL);
}

static audit named(const char *csv, const char *names)
{
  return audited_all(NULL, (const file[]){{"plots.csv", csv}, {NULL, NULL}}, NULL, names);
}

static audit audited(const cks_settings *settings, const char *csv, const char *places)
{
  return audited_files(settings, (const file[]){{"plots.csv", csv}, {NULL, NULL}}, places);
}

static void release(audit *a)
{
  cks_trial_free(a->trial);
  cks_findings_free(a->findings);
}

static cks_settings defaults(void)
{
  cks_settings settings;
  cks_settings_defaults(&settings);
  return settings;
}

static const cks_trait *trait_of(const audit *a, const char *key)
{
  for (size_t i = 0; i < a->trial->n_trait; i++)
    if (!strcmp(a->trial->trait[i].key, key)) return &a->trial->trait[i];
  fail_msg("no trait %s", key);
  return NULL;
}

/* The one yield of a list of one plot. */
static double only_yield(const cks_settings *settings, const char *csv, const char *places)
{
  audit a = audited(settings, csv, places);
  assert_int_equal(a.trial->n_plot, 1);
  double yield = trait_of(&a, "yield")->value[0];
  release(&a);
  return yield;
}

#define H "location,rep,hybrid,yield (bu/ac)\n"

/* ---- left out --------------------------------------------------------------------------------------------------- */

static void leave_out_when_a_reason_is_given_then_the_row_is_listed_and_not_used(void **state)
{
  (void)state;
  audit a = audited(NULL,
                    "location,rep,plot,hybrid,yield "
                    "(bu/ac),leave_out\nA,1,101,Ash,90,\nA,1,102,Bay,80,hail\nA,2,201,Ash,91,no\nA,2,202,Bay,82,0\n",
                    NULL);
  assert_int_equal(a.trial->n_plot, 3);
  assert_int_equal(a.trial->n_left_out, 1);
  const cks_left_out *out = a.trial->left_out;
  assert_int_equal(out->line, 3);
  assert_string_equal(out->reason, "hail");
  assert_string_equal(out->location, "A");
  assert_string_equal(out->plot, "102");
  assert_string_equal(out->hybrid, "Bay");
  assert_int_equal(a.trial->input[0].rows, 4);
  assert_int_equal(a.trial->input[0].plots, 3);
  release(&a);
}

typedef struct {
  bool only;
  cks_setting_pair pair;
  size_t n_plot;
  const char *reason;
} choice;

static const choice choices[] = {
    {false, {"location", "creek"}, 2, "--without location=creek"},
    {true, {"location", "Creek"}, 2, "--only location=Creek"},
    {false, {"hybrid", "Ash"}, 2, "--without hybrid=Ash"},
    {true, {"year", "2025"}, 3, "--only year=2025"},
    {false, {"planted", "2026-05-21"}, 3, "--without planted=2026-05-21"},
    {true, {"yield", "90"}, 1, "--only yield=90"},
};

static void without_and_only_when_they_name_a_value_then_rows_go_by_it(void **state)
{
  (void)state;
  for (size_t i = 0; i < COUNT(choices); i++) {
    const choice *c = &choices[i];
    cks_settings settings = defaults();
    cks_setting_pair pair = c->pair;
    *(c->only ? &settings.only : &settings.without) = (cks_setting_list){1, &pair};
    audit a = audited(&settings,
                      "location,year,rep,hybrid,planted,yield "
                      "(bu/ac)\nCreek,2025,1,Ash,2025-05-20,90\nCreek,2025,1,Bay,2025-05-20,80\n"
                      "Hill,2026,1,Ash *,2026-05-21,91\nHill,2025,1,Bay,2025-05-20,82\n",
                      NULL);
    assert_int_equal(a.trial->n_plot, c->n_plot);
    assert_int_equal(a.trial->n_left_out, 4 - c->n_plot);
    assert_string_equal(a.trial->left_out[0].reason, c->reason);
    release(&a);
  }
}

/* ---- hybrids ---------------------------------------------------------------------------------------------------- */

static void spellings_when_they_differ_in_case_spaces_hyphens_then_they_are_one_hybrid_by_its_usual_name(void **state)
{
  (void)state;
  audit a = audited(
      NULL, H "A,1,tamsel-8,90\nA,2,Tamsel 8,91\nA,3,Tamsel 8,92\nA,4,TAMSEL8 (ck),93\nA,1,Tamsel 15,80\n", NULL);
  assert_int_equal(a.trial->n_hybrid, 2);
  assert_string_equal(a.trial->hybrid[0].name, "Tamsel 8"); /* before 15 */
  assert_string_equal(a.trial->hybrid[1].name, "Tamsel 15");
  assert_true(a.trial->hybrid[0].check);
  assert_false(a.trial->hybrid[1].check);
  release(&a);
}

static void entry_types_when_read_then_only_check_marks_one(void **state)
{
  (void)state;
  static const char *const other[] = {"TEST", "FILLER", "Commercial", "test", "x", "-"};
  char csv[200];
  for (size_t i = 0; i < COUNT(other); i++) {
    snprintf(csv, sizeof csv,
             "location,rep,hybrid,entryType,yield (bu/ac)\nA,1,Ash,CHECK,90\nA,1,Bay,%s,80\nA,1,Cob,,70\n", other[i]);
    audit a = audited(NULL, csv, NULL);
    assert_true(a.trial->hybrid[0].check);
    assert_false(a.trial->hybrid[1].check || a.trial->hybrid[2].check);
    release(&a);
  }
}

static void left_out_rows_when_they_add_to_other_plots_then_they_are_no_plots(void **state)
{
  (void)state;
  audit a = audited_files(NULL,
                          (const file[]){{"Elk.csv", "rep,plot,hybrid,leave_out\n1,1,Ash,\n1,2,Bay,hail\n"},
                                         {"harvest.csv", "plot,yield (bu/ac),leave_out\n1,90,\n9,12,spilled\n"},
                                         {NULL, NULL}},
                          NULL);
  assert_int_equal(a.trial->n_left_out, 2);
  assert_true(a.trial->left_out[0].is_plot);
  assert_string_equal(a.trial->left_out[0].location, "Elk");
  assert_false(a.trial->left_out[1].is_plot);
  release(&a);
}

static void check_marks_when_they_stand_behind_a_name_then_it_is_a_check_without_them(void **state)
{
  (void)state;
  static const char *const marked[] = {"Ash*", "Ash *", "Ash (ck)", "Ash (CHECK)", "Ash ck", "Ash check", "Ash (ck) *"};
  char csv[200];
  for (size_t i = 0; i < COUNT(marked); i++) {
    snprintf(csv, sizeof csv, H "A,1,%s,90\nA,1,Check Mate,80\nA,1,Back,70\n", marked[i]);
    audit a = audited(NULL, csv, NULL);
    assert_string_equal(a.trial->hybrid[0].name, "Ash");
    assert_true(a.trial->hybrid[0].check);
    assert_false(a.trial->hybrid[1].check || a.trial->hybrid[2].check);
    release(&a);
  }
}

static void checks_when_named_by_column_or_option_then_they_are_checks(void **state)
{
  (void)state;
  audit by_column = audited(
      NULL, "location,rep,hybrid,check,yield (bu/ac)\nA,1,Ash,CK,90\nA,1,Bay,no,80\nA,1,Cob,,70\nA,1,Dun,0,70\n", NULL);
  cks_settings settings = defaults();
  settings.check = LIST({"BAY", NULL}, {"cob", NULL});
  audit by_option = audited(&settings, H "A,1,Ash,90\nA,1,Bay,80\nA,1,Cob,70\n", NULL);
  for (size_t h = 0; h < 4; h++) assert_int_equal(by_column.trial->hybrid[h].check, h == 0);
  for (size_t h = 0; h < 3; h++) assert_int_equal(by_option.trial->hybrid[h].check, h > 0);
  release(&by_column);
  release(&by_option);
}

static void a_name_when_it_stands_under_two_brands_then_it_is_two_hybrids(void **state)
{
  (void)state;
  audit two = audited(
      NULL, "location,rep,brand,hybrid,yield (bu/ac)\nA,1,North,77,90\nA,1,South,77,80\nA,1,South,78,70\n", NULL);
  assert_int_equal(two.trial->n_hybrid, 3);
  assert_string_equal(two.trial->hybrid[0].name, "North 77");
  assert_string_equal(two.trial->hybrid[1].name, "78"); /* of South, by which the order goes */
  assert_string_equal(two.trial->hybrid[2].name, "South 77");
  audit one =
      audited(NULL, "location,rep,brand,hybrid,yield (bu/ac)\nA,1,North,77,90\nA,2,NORTH,77,80\nA,3,,77,70\n", NULL);
  assert_int_equal(one.trial->n_hybrid, 1);
  assert_string_equal(one.trial->hybrid[0].name, "77");
  release(&two);
  release(&one);
}

/* ---- places and years ------------------------------------------------------------------------------------------- */

static void names_table_when_given_then_it_says_who_each_hybrid_is(void **state)
{
  (void)state;
  audit a = named("location,rep,hybrid,maturity,yield (bu/ac)\nA,1,T8,late,90\nA,1,check,,80\nA,1,Zed,mid,70\n"
                  "A,2,tamsel-8,,91\nA,2,check,,82\nA,2,Zed,,71\n",
                  "seen as,hybrid,brand,maturity,check,print\nT8,Tamsel 8,Tamsel,early,,\n"
                  "check,Quarter 7,Quarter,,*,Q 7 (std)\n,Zed,,,no,\n");
  assert_int_equal(a.trial->n_hybrid, 3);
  const cks_hybrid *quarter = &a.trial->hybrid[1], *tamsel = &a.trial->hybrid[2], *zed = &a.trial->hybrid[0];
  assert_string_equal(quarter->name, "Q 7 (std)");
  assert_string_equal(quarter->brand, "Quarter");
  assert_true(quarter->check);
  assert_string_equal(tamsel->name, "Tamsel 8");
  assert_string_equal(tamsel->maturity, "early"); /* the supplier's words, not the plot list's */
  assert_false(tamsel->check);
  assert_string_equal(zed->name, "Zed");
  assert_string_equal(zed->maturity, "mid");
  release(&a);
}

static void names_table_when_an_option_names_a_hybrid_then_all_its_names_are_meant(void **state)
{
  (void)state;
  cks_settings settings = defaults();
  settings.without = LIST({"hybrid", "Tamsel 8"});
  audit a = audited_all(&settings,
                        (const file[]){{"plots.csv", "location,rep,hybrid,yield (bu/ac)\nA,1,T8,90\nA,1,Bay,80\n"
                                                     "A,2,tamsel-8,91\nA,2,Bay,82\n"},
                                       {NULL, NULL}},
                        NULL, "seen as,hybrid\nT8,Tamsel 8\n");
  assert_int_equal(a.trial->n_plot, 2);
  assert_int_equal(a.trial->n_left_out, 2);
  assert_string_equal(a.trial->hybrid[0].name, "Bay");
  release(&a);
}

static void names_table_when_plots_hold_codes_then_they_become_hybrids(void **state)
{
  (void)state;
  static const char names[] = "code,entry,hybrid,brand\nB,1,77,North\nC,2,77,South\n";
  audit a = named("location,rep,code,yield (bu/ac)\nA,1,B,90\nA,1,c,80\n", names);
  assert_int_equal(a.trial->n_hybrid, 2);
  assert_string_equal(a.trial->hybrid[0].name, "North 77");
  assert_string_equal(a.trial->hybrid[1].name, "South 77");
  assert_non_null(test_finding(a.findings, CKS_RULE_HYBRID_FROM));
  release(&a);
  a = named("location,rep,entry,yield (bu/ac)\nA,1,2,90\nA,1,1,80\n", names);
  assert_string_equal(a.trial->hybrid[a.trial->hybrid_of[0]].name, "North 77");
  release(&a);
  a = named("location,rep,entry,hybrid,yield (bu/ac)\nA,1,2,1,90\nA,1,1,Zed,80\n", names); /* 1 is a name here */
  assert_string_equal(a.trial->hybrid[0].name, "1");
  release(&a);
}

static void names_table_when_a_name_has_another_brand_then_it_stays_another_hybrid(void **state)
{
  (void)state;
  audit a = named("location,rep,brand,hybrid,yield (bu/ac)\nA,1,North,77,90\nA,1,South,77,80\nA,2,,Nine,85\n",
                  "seen as,hybrid,brand\n77,Seven,North\nNine,Eight,North\n");
  assert_int_equal(a.trial->n_hybrid, 3); /* Eight and Seven of North, 77 of South as written */
  assert_string_equal(a.trial->hybrid[0].name, "Eight");
  assert_string_equal(a.trial->hybrid[1].name, "Seven");
  assert_string_equal(a.trial->hybrid[2].name, "77");
  release(&a);
}

static void location_when_no_column_gives_it_then_it_is_the_files_name(void **state)
{
  (void)state;
  audit a = audited_files(NULL,
                          (const file[]){{"plots/cold-draw.csv", "rep,hybrid,yield (bu/ac)\n1,Ash,90\n"},
                                         {"Elk 2.5.csv", "rep,hybrid,yield (bu/ac)\n1,Ash,91\n"},
                                         {NULL, NULL}},
                          NULL);
  assert_int_equal(a.trial->n_location, 2);
  assert_string_equal(a.trial->location[0], "cold-draw");
  assert_string_equal(a.trial->location[1], "Elk 2.5");
  release(&a);
}

static void places_when_they_give_facts_then_plots_without_their_own_take_them(void **state)
{
  (void)state;
  audit a =
      audited(NULL,
              "location,rep,hybrid,yield "
              "(bu/ac),mid_bloom\nCreek,1,Ash,90,2024-05-01\nCreek,1,Bay,80,2024-05-02\nHill,1,Ash,70,2024-05-03\n",
              "location,county,planted,harvested,row_spacing "
              "(in)\ncreek,Cass,2024-02-20,2024-07-01,30\nHill,Dale,2/21/2024,2024-07-02,38\n");
  const cks_environment *creek = &a.trial->environment[0];
  assert_string_equal(creek->place[CKS_ROLE_COUNTY], "Cass");
  assert_string_equal(creek->place[CKS_ROLE_PLANTED], "2024-02-20");
  assert_string_equal(creek->place[CKS_ROLE_ROW_SPACING], "30 in");
  assert_int_equal(creek->year, 2024);
  assert_close(creek->harvested - creek->planted, 9 + 31 + 30 + 31 + 30 + 1, 0); /* February has 29 days */
  const double *days = trait_of(&a, "days_to_mid_bloom")->value;
  assert_close(days[0], 71, 0); /* 9 + 31 + 30 + 1: 20 February to 1 May of a leap year */
  assert_close(days[1], 72, 0);
  assert_close(days[2], 72, 0);
  assert_string_equal(a.trial->count_origin, "planting");
  release(&a);
}

static void places_when_every_detail_is_given_then_each_is_read(void **state)
{
  (void)state;
  static const struct {
    cks_role role;
    const char *text;
  } known[] = {
      {CKS_ROLE_PLANTED, "2026-05-20"}, {CKS_ROLE_EMERGED, "2026-05-27"},  {CKS_ROLE_HARVESTED, "2026-10-01"},
      {CKS_ROLE_ROWS_HARVESTED, "2"},   {CKS_ROLE_ROW_SPACING, "30 in"},   {CKS_ROLE_HARVEST_LENGTH, "17.5 ft"},
      {CKS_ROLE_IRRIGATION, "dryland"}, {CKS_ROLE_PREVIOUS_CROP, "wheat"}, {CKS_ROLE_SOIL, "loam"},
      {CKS_ROLE_RAINFALL, "12.5 in"},   {CKS_ROLE_COUNTY, "Marl"},         {CKS_ROLE_COOPERATOR, "Gate Farm"},
      {CKS_ROLE_LATITUDE, "38.1234"},   {CKS_ROLE_LONGITUDE, "-99.5"},     {CKS_ROLE_SEEDING_RATE, "45000 an acre"},
      {CKS_ROLE_NOTE, "hail in June"}};
  audit a =
      audited(NULL, "location,rep,hybrid,plot weight (lb),moisture (%)\nA,1,Ash,10,14\n",
              "Location,Planted,Emerged,Harvested,Rows harvested,Row spacing (in),Harvest length (ft),Irrigation,"
              "Previous crop,Soil,Rainfall (in),County,Cooperator,Latitude,Longitude,Seeding rate (seeds/ac),Note\n"
              "A,2026-05-20,2026-05-27,2026-10-01,2,30,17.5,dryland,wheat,loam,12.5,Marl,Gate Farm,38.1234,-99.5,"
              "45000,hail in June\n");
  for (size_t i = 0; i < COUNT(known); i++) {
    const char *text = a.trial->environment[0].place[known[i].role];
    assert_string_equal(text ? text : "-", known[i].text);
  }
  /* two rows of 30 in are 5 ft: 10 lb of 87.5 ft2 (43,560 to the acre) in bushels of 56 lb */
  assert_close(trait_of(&a, "yield")->value[0], 10 / 56.0 / (17.5 * 5 / 43560), EXACT);
  release(&a);
}

static void places_when_plots_hold_several_dates_then_no_one_date_is_said(void **state)
{
  (void)state;
  audit a = audited(NULL,
                    "location,rep,hybrid,yield (bu/ac),planted,mid_bloom\nA,1,Ash,90,2026-05-20,2026-07-20\n"
                    "A,1,Bay,80,2026-05-22,2026-07-20\nA,1,Cob,85,,2026-07-20\n",
                    "location,planted\nA,2026-05-21\n");
  const cks_environment *e = &a.trial->environment[0];
  const double *days = trait_of(&a, "days_to_mid_bloom")->value;
  assert_null(e->place[CKS_ROLE_PLANTED]);
  assert_true(cks_is_missing(e->planted));
  assert_close(days[0], 61, 0);
  assert_close(days[1], 59, 0);
  assert_close(days[2], 60, 0); /* the plot without its own date takes the place's */
  release(&a);
}

static void places_when_a_location_has_two_years_then_each_takes_its_own_row(void **state)
{
  (void)state;
  audit a = audited(NULL, "location,year,rep,hybrid,yield (bu/ac)\nA,2026,1,Ash,90\nA,2025,1,Ash,80\nB,2026,1,Ash,70\n",
                    "location,year,county\nA,2025,First\nA,2026,Second\nB,,Third\n");
  assert_int_equal(a.trial->n_environment, 3);
  assert_int_equal(a.trial->n_location, 2);
  static const char *const label[] = {"A 2025", "A 2026", "B"}, *const county[] = {"First", "Second", "Third"};
  for (size_t e = 0; e < 3; e++) {
    assert_string_equal(a.trial->environment[e].label, label[e]);
    assert_string_equal(a.trial->environment[e].place[CKS_ROLE_COUNTY], county[e]);
  }
  release(&a);
}

static void days_when_only_emergence_is_given_then_they_count_from_it(void **state)
{
  (void)state;
  audit a = audited(NULL, "location,rep,hybrid,emerged,mid_bloom\nA,1,Ash,2026-05-28,2026-07-20\n", NULL);
  assert_string_equal(a.trial->count_origin, "emergence");
  assert_close(trait_of(&a, "days_to_mid_bloom")->value[0], 3 + 30 + 20, 0);
  release(&a);
}

static void plots_when_read_in_any_order_then_they_stand_in_canonical_order(void **state)
{
  (void)state;
  audit a = audited(NULL, H "Farm 10,1,Ash,1\nFarm 2,2,Ash 10,2\nFarm 2,2,Ash 9,3\nFarm 2,1,Zoe,4\nfarm 2,10,Ash 9,5\n",
                    NULL);
  static const double expected[] = {4, 3, 2, 5, 1};
  for (size_t i = 0; i < COUNT(expected); i++) assert_close(trait_of(&a, "yield")->value[i], expected[i], 0);
  assert_string_equal(a.trial->location[0], "Farm 2");
  release(&a);
}

/* ---- values made of others -------------------------------------------------------------------------------------- */

#define HW "location,rep,hybrid,plot weight (lb),moisture (%),harvest length (ft),harvest width (ft)"

/* 17.5 ft x 5 ft are 87.5 / 43,560 acre; 10 lb of 14 % there: 10 / 56 x 43,560 / 87.5 bu/ac. */
static const double TEN_LB = 10.0 / 56 * 43560 / 87.5;

static void yield_when_made_of_a_plot_weight_then_it_is_the_sum_done_by_hand(void **state)
{
  (void)state;
  assert_close(only_yield(NULL, HW "\nA,1,Ash,10,14.00,17.5,5\n", NULL), TEN_LB, EXACT);
  assert_close(TEN_LB, 88.8979591836735, 1e-14);
  assert_close(only_yield(NULL, HW "\nA,1,Ash,10,18.2,17.5,5\n", NULL), TEN_LB * 81.8 / 86, EXACT);
  assert_close(only_yield(NULL, HW "\nA,1,Ash,10,11,17.5,5\n", NULL), TEN_LB * 89 / 86, EXACT); /* drier is credited */
  assert_close(only_yield(NULL,
                          "location,rep,hybrid,plot weight (lb),moisture (%),harvest length (ft),rows harvested,row "
                          "spacing (in)\nA,1,Ash,10,14,17.5,2,30\n",
                          NULL),
               TEN_LB, EXACT);
  assert_close(only_yield(NULL,
                          "location,rep,hybrid,gross (lb),tare (lb),moisture (%),harvest length (ft),harvest width "
                          "(ft)\nA,1,Ash,210,200,14,17.5,5\n",
                          NULL),
               TEN_LB, EXACT);
  assert_close(only_yield(NULL,
                          "location,rep,hybrid,plot weight (kg),moisture (%),harvest length (m),harvest width "
                          "(m)\nA,1,Ash,4.5359237,14,5.334,1.524\n",
                          NULL),
               TEN_LB, EXACT);
  assert_close(only_yield(NULL, "location,rep,hybrid,plot weight (lb),moisture (%)\nA,1,Ash,10,14\n",
                          "location,harvest_length (ft),harvest_width (in)\nA,17.5,60\n"),
               TEN_LB, EXACT);
}

static void yield_when_the_crop_or_moisture_is_another_then_its_bushel_and_basis_count(void **state)
{
  (void)state;
  cks_settings corn = defaults(), dry = defaults();
  corn.crop = "corn"; /* 56 lb, 15.5 %: Oklahoma State Univ. Extension (2022) */
  dry.moisture_pct = 12.5;
  assert_close(only_yield(&corn, HW "\nA,1,Ash,10,15.5,17.5,5\n", NULL), TEN_LB, EXACT);
  assert_close(only_yield(&dry, HW "\nA,1,Ash,10,14,17.5,5\n", NULL), TEN_LB * 86 / 87.5, EXACT);
}

static void yield_when_a_weight_stands_beside_it_then_the_weight_counts(void **state)
{
  (void)state;
  audit a = audited(NULL, HW ",yield (bu/ac)\nA,1,Ash,10,14,17.5,5,95\nA,1,Bay,,14,17.5,5,80\n", NULL);
  assert_close(trait_of(&a, "yield")->value[0], TEN_LB, EXACT);
  assert_close(trait_of(&a, "yield")->value[1], 80, EXACT);
  assert_string_equal(trait_of(&a, "yield")->basis_text, "from plot weights, else as given");
  assert_non_null(test_finding(a.findings, CKS_RULE_YIELD_DIFFERS));
  release(&a);
  a = audited(NULL, HW ",yield (bu/ac)\nA,1,Ash,10,14,,,95\nA,1,Bay,11,14,,,80\n", NULL); /* no area: none is made */
  assert_close(trait_of(&a, "yield")->value[0], 95, EXACT);
  assert_string_equal(trait_of(&a, "yield")->basis_text, "as given");
  release(&a);
}

static void wet_yield_when_moisture_is_given_then_it_is_restated(void **state)
{
  (void)state;
  assert_close(only_yield(NULL, "location,rep,hybrid,wet yield (bu/ac),moisture (%)\nA,1,Ash,100,18,\n", NULL),
               100.0 * 82 / 86, EXACT);
  audit a = audited(NULL, "location,rep,hybrid,wet yield (lb/ac),moisture (%)\nA,1,Ash,5600,18,\n", NULL);
  assert_close(trait_of(&a, "yield")->value[0], 100.0 * 82 / 86, EXACT);
  assert_string_equal(trait_of(&a, "yield")->basis_text, "from wet yields");
  release(&a);
}

static void basis_when_stated_in_the_heading_then_moisture_restates_it(void **state)
{
  (void)state;
  cks_settings to_14 = defaults();
  to_14.moisture_pct = 14;
  static const char at_13[] = "location,rep,hybrid,\"yield at 13 % (bu/ac)\"\nA,1,Ash,100\n";
  assert_close(only_yield(NULL, at_13, NULL), 100, EXACT);
  assert_close(only_yield(&to_14, at_13, NULL), 100.0 * 87 / 86, EXACT);
  audit a = audited(NULL, at_13, NULL), b = audited(&to_14, at_13, NULL);
  assert_close(trait_of(&a, "yield")->basis_pct, 13, 0);
  assert_close(trait_of(&b, "yield")->basis_pct, 14, 0);
  release(&a);
  release(&b);
}

/* ---- units ------------------------------------------------------------------------------------------------------ */

static void units_when_files_differ_then_all_are_converted_to_the_first(void **state)
{
  (void)state;
  audit a = audited_files(NULL,
                          (const file[]){{"a.csv", H "A,1,Ash,90\n"},
                                         {"b.csv", "location,rep,hybrid,yield (kg/ha)\nB,1,Ash,5600\n"},
                                         {"c.csv", "location,rep,hybrid,\"yield at 13 % (bu/ac)\"\nC,1,Ash,100\n"}},
                          NULL);
  const cks_trait *yield = trait_of(&a, "yield");
  assert_int_equal(a.trial->n_trait, 1);
  assert_int_equal(yield->unit, CKS_UNIT_BU_AC);
  assert_close(yield->value[0], 90, EXACT);
  assert_close(yield->value[1], 5600 / BU_AC_KG_HA, EXACT);
  assert_close(yield->value[2], 100.0 * 87 / 86, EXACT);
  assert_close(BU_AC_KG_HA, 62.77, 1e-4); /* the factor that extension tables print for a 56 lb bushel, from memory */
  release(&a);
}

static void unit_when_stated_then_it_is_believed_however_unlikely(void **state)
{
  (void)state;
  cks_settings by_option = defaults();
  by_option.unit = LIST({"yield", "bu/ac"});
  audit a = audited(NULL, H "A,1,Ash,5904\nA,1,Bay,5800\n", NULL),
        b = audited(&by_option, "location,rep,hybrid,yield\nA,1,Ash,5904\nA,1,Bay,5800\n", NULL);
  assert_close(trait_of(&a, "yield")->value[0], 5904, 0);
  assert_close(trait_of(&b, "yield")->value[1], 5800, 0);
  assert_int_equal(trait_of(&b, "yield")->unit, CKS_UNIT_BU_AC);
  assert_false(trait_of(&b, "yield")->unit_assumed);
  assert_int_equal(a.findings->n_severity[CKS_ERROR], 0);
  release(&a);
  release(&b);
}

static void unit_when_the_values_cannot_be_in_the_assumed_one_then_the_right_one_is_suggested(void **state)
{
  (void)state;
  cks_settings settings = defaults();
  test_run run = test_run_csv(
      &settings, "location,rep,hybrid,yield,test weight\nA,1,Ash,5904,76\nA,1,Bay,5900,77\nA,1,Cob,5800,75.5\n", NULL);
  assert_int_equal(run.status, CKS_DATA);
  assert_int_equal(run.findings->n_severity[CKS_ERROR], 2);
  assert_non_null(strstr(run.findings->finding[0].text, "lb/ac or kg/ha?"));
  assert_non_null(strstr(run.findings->finding[0].text, "--unit yield=lb/ac"));
  assert_non_null(strstr(run.findings->finding[1].text, "kg/hL?"));
  test_run_release(&run);
}

static void ratings_when_the_heading_says_which_end_is_good_then_it_is_taken(void **state)
{
  (void)state;
  audit a = audited(
      NULL, "location,rep,hybrid,\"aphid (1-9, 1 best)\",\"vigor (1-9, 9 best)\",staygreen\nA,1,Ash,3,7,4\n", NULL);
  assert_int_equal(trait_of(&a, "aphid")->better, CKS_BETTER_LOW);
  assert_int_equal(trait_of(&a, "vigor")->better, CKS_BETTER_HIGH);
  assert_int_equal(trait_of(&a, "staygreen")->better, CKS_BETTER_NONE);
  assert_close(trait_of(&a, "aphid")->scale_high, 9, 0);
  assert_true(cks_is_missing(trait_of(&a, "staygreen")->scale_high));
  release(&a);
}

static void traits_when_named_by_option_then_only_they_are_taken_and_own_ones_too(void **state)
{
  (void)state;
  cks_settings settings = defaults();
  settings.trait = LIST({"moisture", NULL}, {"Oil %", NULL});
  audit a = audited(&settings, "location,rep,hybrid,yield (bu/ac),moisture (%),oil %\nA,1,Ash,90,14,3.5\n", NULL);
  assert_int_equal(a.trial->n_trait, 2);
  assert_string_equal(a.trial->trait[0].key, "moisture");
  assert_int_equal(a.trial->trait[1].role, CKS_ROLE_OTHER);
  assert_close(a.trial->trait[1].value[0], 3.5, 0);
  release(&a);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(leave_out_when_a_reason_is_given_then_the_row_is_listed_and_not_used),
      cmocka_unit_test(without_and_only_when_they_name_a_value_then_rows_go_by_it),
      cmocka_unit_test(spellings_when_they_differ_in_case_spaces_hyphens_then_they_are_one_hybrid_by_its_usual_name),
      cmocka_unit_test(entry_types_when_read_then_only_check_marks_one),
      cmocka_unit_test(left_out_rows_when_they_add_to_other_plots_then_they_are_no_plots),
      cmocka_unit_test(check_marks_when_they_stand_behind_a_name_then_it_is_a_check_without_them),
      cmocka_unit_test(checks_when_named_by_column_or_option_then_they_are_checks),
      cmocka_unit_test(a_name_when_it_stands_under_two_brands_then_it_is_two_hybrids),
      cmocka_unit_test(names_table_when_given_then_it_says_who_each_hybrid_is),
      cmocka_unit_test(names_table_when_an_option_names_a_hybrid_then_all_its_names_are_meant),
      cmocka_unit_test(names_table_when_plots_hold_codes_then_they_become_hybrids),
      cmocka_unit_test(names_table_when_a_name_has_another_brand_then_it_stays_another_hybrid),
      cmocka_unit_test(location_when_no_column_gives_it_then_it_is_the_files_name),
      cmocka_unit_test(places_when_they_give_facts_then_plots_without_their_own_take_them),
      cmocka_unit_test(places_when_every_detail_is_given_then_each_is_read),
      cmocka_unit_test(places_when_plots_hold_several_dates_then_no_one_date_is_said),
      cmocka_unit_test(places_when_a_location_has_two_years_then_each_takes_its_own_row),
      cmocka_unit_test(days_when_only_emergence_is_given_then_they_count_from_it),
      cmocka_unit_test(plots_when_read_in_any_order_then_they_stand_in_canonical_order),
      cmocka_unit_test(yield_when_made_of_a_plot_weight_then_it_is_the_sum_done_by_hand),
      cmocka_unit_test(yield_when_the_crop_or_moisture_is_another_then_its_bushel_and_basis_count),
      cmocka_unit_test(yield_when_a_weight_stands_beside_it_then_the_weight_counts),
      cmocka_unit_test(wet_yield_when_moisture_is_given_then_it_is_restated),
      cmocka_unit_test(basis_when_stated_in_the_heading_then_moisture_restates_it),
      cmocka_unit_test(units_when_files_differ_then_all_are_converted_to_the_first),
      cmocka_unit_test(unit_when_stated_then_it_is_believed_however_unlikely),
      cmocka_unit_test(unit_when_the_values_cannot_be_in_the_assumed_one_then_the_right_one_is_suggested),
      cmocka_unit_test(ratings_when_the_heading_says_which_end_is_good_then_it_is_taken),
      cmocka_unit_test(traits_when_named_by_option_then_only_they_are_taken_and_own_ones_too),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
