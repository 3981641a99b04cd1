/* test_read_headings.c: headings to roles, units, bases and scales; what is unknown, near, doubled, or asked for in
 * vain. */
#include "read_fixture.h"

/* Findings and columns of "hybrid" and this heading; the hybrid column is not shown. */
static void check_heading(const char *heading, const char *findings, const char *column)
{
  char text[600], columns[300];
  int used = snprintf(text, sizeof text, "hybrid;%s\nA;1", heading), depth = 0;
  for (const char *at = heading; *at; at++) { /* as many cells as headings */
    depth += (*at == '(') - (*at == ')');
    if (*at == ';' && !depth) used += snprintf(text + used, sizeof text - (size_t)used, ";1");
  }
  snprintf(text + used, sizeof text - (size_t)used, "\n");
  snprintf(columns, sizeof columns, "hybrid%s%s", *column ? ", " : "", column);
  fixture *f = fixture_new();
  fixture_add(f, text);
  fixture_run(f);
  if (strcmp(fixture_findings(f), findings) != 0) print_message("heading: %s\n", heading);
  assert_string_equal(fixture_findings(f), findings);
  if (strcmp(fixture_columns(f), columns) != 0) print_message("heading: %s\n", heading);
  assert_string_equal(fixture_columns(f), columns);
  fixture_free(f);
}

static void known(const char *heading, const char *column) { check_heading(heading, "", column); }

/* Headings of the issue's own list and common ones: common practice, no source. */
static void heading_when_written_in_any_way_then_known(void **state)
{
  (void)state;
  static const char *const yields[] = {"Yield (bu/ac)", "yield_bu_ac",      "YIELD [bu/ac]", "Yield bu/ac",
                                       "Yield, bu/ac",  "Yield - bu/ac",    "yield (BU/A)",  "Yield (bushels per acre)",
                                       "bu/ac",         "Bushels per acre", "Yield(bu/ac)"};
  for (size_t i = 0; i < sizeof yields / sizeof *yields; i++) known(yields[i], "yield bu/ac! high");
  known("YIELD", "yield bu/ac high");
  known("Yield kg/ha", "yield kg/ha! high");
  known("Grain yield (t/ha)", "yield t/ha! high");
  known("moisture %", "moisture %!");
  known("% moisture", "moisture %!");
  known("Moisture%", "moisture %!");
  known("moisture_pct", "moisture %!");
  known("Moisture", "moisture %");
  known("Test Wt (lb/bu)", "test_weight lb/bu! high");
  known("TEST WEIGHT", "test_weight lb/bu high");
  known("test_weight_kg_hl", "test_weight kg/hL! high");
  known("plant height, in", "plant_height in!");
  known("Plant Height (cm)", "plant_height cm!");
  known("plant.height", "plant_height in");
  known("Days to mid-bloom", "days_to_mid_bloom days!");
  known("50% bloom", "days_to_mid_bloom days");
  known("Plot weight (lb)", "plot_weight lb!");
  known("plot_weight_kg", "plot_weight kg!");
  known("Percent lodging", "lodging %! low");
  known("head exsertion (in)", "head_exsertion in!");
  known("population (1000/ac)", "population 1000/ac!");
  known("Plants per acre", "population /ac!");
  known("planted (m/d/y)", "planted date");
  known("Rep #", "rep");
  known("Row no.", "row");
  known("\xC2\xA0Moisture\xC2\xA0(%)", "moisture %!");
}

/* Positions, words and forage: common practice, no source. */
static void heading_when_of_a_position_a_word_or_a_forage_then_known(void **state)
{
  (void)state;
  known("Range", "row");
  known("Pass #", "column");
  check_heading("range;pass", "", "row, column");
  check_heading("Range;Row", "", "row, column");
  check_heading("row;rng no", "", "column, row");
  check_heading("range;row;column", "two-columns a:1.3", "row, column");
  known("Panicle length (in)", "head_length in!");
  known("Head Length", "head_length in");
  known("Panicle type", "panicle_type");
  known("head compactness (1-3)", "panicle_type");
  known("Threshability", "threshing");
  known("Growth stage", "stage");
  known("GS", "stage");
  known("Stage date", "stage_date date!");
  known("Date staged (m/d/y)", "stage_date date!");
  known("Green wt (lb)", "green_weight lb!");
  known("Fresh weight, kg", "green_weight kg!");
  known("Dry matter (%)", "dry_matter %!");
  known("% DM", "dry_matter %!");
  known("DM", "dry_matter %");
  known("dry matter (ton/ac)", "dry_matter_yield ton/ac! high");
  known("green weight (tons/acre)", "wet_yield ton/ac! high");
  known("Forage yield (t/ha at 65 %)", "forage_yield t/ha! @65 high");
  known("dry matter yield cut 2 (ton/ac)", "dry_matter_yield_cut_2 ton/ac! high");
  known("moisture 3rd cut (%)", "moisture_cut_3 %!");
  known("Moisture, 3rd cutting", "moisture_cut_3 %");
  known("nitrate NO3-N ppm (dry)", "nitrate_no3_n_dry ppm!");
  known("KNO3, % as is", "nitrate_kno3_as_is_pct %!");
  known("HCN (ppm, dry basis)", "prussic_acid_dry ppm!");
  known("nitrate", "nitrate ppm");
  known("Date cut", "cut_date date!");
  check_heading("moisture cut 0", "heading-unknown a:1.2", "");
  known("Cutting no.", "cut");
  known("Cut", "cut");
}

/* Of the names table: our own words, and common practice, no source. */
static void heading_when_of_the_names_table_then_known(void **state)
{
  (void)state;
  known("Seen as", "seen_as");
  known("alias", "seen_as");
  known("seed_cost ($/bag)", "seed_cost");
  known("Print as", "print");
}

static void heading_when_kept_as_written_and_trait_names_it_then_a_trait(void **state)
{
  (void)state;
  fixture *f = fixture_new();
  fixture_set(&f->settings.trait, "threshing", NULL);
  fixture_set(&f->settings.trait, "Green wt (lb)", NULL);
  fixture_add(f, "hybrid,Threshing,Green wt (lb),panicle type\nA,95,41.5,open\n");
  fixture_run(f);
  fixture_expect(f, &(fixture_case){NULL, "", "hybrid, threshing, green_wt lb!, panicle_type", "2:A|95|41.5|open", ""});
  fixture_free(f);
}

static void heading_when_basis_stated_then_kept(void **state)
{
  (void)state;
  known("yield at 13 %", "yield bu/ac @13 high");
  known("Yield bu/ac @ 14%", "yield bu/ac! @14 high");
  known("Yield (bu/ac, 15.5 % moisture)", "yield bu/ac! @15.5 high");
  known("Yield (bu/ac) at 15.5% moisture", "yield bu/ac! @15.5 high");
  known("yield (kg/ha @ 13%)", "yield kg/ha! @13 high");
  known("yield (14%)", "yield bu/ac @14 high");
  known("yield (bu/ac, 14 % H2O)", "yield bu/ac! @14 high");
}

static void heading_when_rating_then_scale_and_good_end(void **state)
{
  (void)state;
  known("aphid (1-9, 1 best)", "aphid score! 1-9 low");
  known("\"aphid (1-9; 9 best)\"", "aphid score! 1-9 high");
  known("Aphid damage (1 to 9, low best)", "aphid score! 1-9 low");
  known("vigor (1-5, best 5)", "vigor score! 1-5 high");
  known("vigor (1-5, high best)", "vigor score! 1-5 high");
  known("vigor (1 = best)", "vigor score! low");
  known("vigor (9 best)", "vigor score! high");
  known("vigor 1-9", "vigor score! 1-9");
  known("vigor (0\xE2\x80\x93"
        "10)",
        "vigor score! 0-10");
  known("lodging (1-9, 1 best)", "lodging score! 1-9 low");
  known("stand (1-9, 9 best)", "stand score! 1-9 high");
  known("aphid (%)", "aphid %!");
}

static void heading_when_disease_has_a_name_then_key_keeps_it(void **state)
{
  (void)state;
  known("disease", "disease score");
  known("disease rating (1-9, 1 best)", "disease score! 1-9 low");
  known("disease rust", "rust score");
  known("rust disease (1-5, 1 best)", "rust score! 1-5 low");
  known("Downy mildew (%)", "downy_mildew %!");
  known("Zonate_disease", "zonate score");
  check_heading("rust (1-5, 1 best);head smut (1-5, 1 best)", "", "rust score! 1-5 low, head_smut score! 1-5 low");
  check_heading("disease notes", "heading-unknown a:1.2", "");
}

static void heading_when_unit_makes_another_trait_then_that(void **state)
{
  (void)state;
  known("mid bloom (days)", "days_to_mid_bloom days!");
  known("stand (plants/ac)", "population /ac!");
}

static void heading_when_unit_of_another_kind_then_error(void **state)
{
  (void)state;
  check_heading("Yield (lb)", "unit-unknown a:1.2", "");
  check_heading("moisture (lb/bu)", "unit-unknown a:1.2", "");
  check_heading("test weight (in)", "unit-unknown a:1.2", "");
  check_heading("Yield (bushels/hectare)", "unit-unknown a:1.2", "");
  check_heading("moisture (1-9)", "unit-unknown a:1.2", "");
  check_heading("moisture (14 % basis)", "unit-unknown a:1.2", "");
  check_heading("aphid (1-9, 5 best)", "unit-unknown a:1.2", "");
  check_heading("yield (bu/ac, kg/ha)", "unit-unknown a:1.2", "");
  check_heading("yield (13 %, 14 %)", "unit-unknown a:1.2", "");
  check_heading("aphid (1-9, 0-10)", "unit-unknown a:1.2", "");
  check_heading("aphid (1-9, 1 best, 9 best)", "unit-unknown a:1.2", "");
  check_heading("aphid (9 = resistant)", "unit-unknown a:1.2", "");
}

static void heading_when_bracket_says_nothing_to_a_name_then_ignored(void **state)
{
  (void)state;
  check_heading("location (county seat)", "", "location");
  check_heading("row (north to south)", "", "row");
}

static void heading_when_unknown_then_note_and_not_used(void **state)
{
  (void)state;
  check_heading("xyzzy", "heading-unknown a:1.2", "");
  check_heading("lodging 9-15", "heading-unknown a:1.2", "");
  check_heading("other", "heading-unknown a:1.2", "");
  check_heading("(bu/ac)", "heading-unknown a:1.2", "");
  check_heading("?", "heading-unknown a:1.2", "");
}

/* The day is part of the key; what a harvest gives once is not looked at again. */
static void heading_when_it_names_a_look_then_day_and_observer(void **state)
{
  (void)state;
  known("lodging 2026-10-03", "lodging_2026_10_03 % low");
  known("Lodging (%, 2026-10-03)", "lodging_2026_10_03 %! low");
  known("Lodging % 3 Oct 2026", "lodging_2026_10_03 %! low");
  known("Growth stage 2026-10-03", "stage_2026_10_03");
  known("stand (JT)", "stand count");
  known("aphid (1-9, 1 best, JT) 2026-08-20", "aphid_2026_08_20 score! 1-9 low");
  check_heading("yield (JT)", "unit-unknown a:1.2", "");
  check_heading("yield (bu/ac) 2026-10-03", "unit-unknown a:1.2", "");
  check_heading("lodging 10/3/2026", "heading-unknown a:1.2", ""); /* which of the two is the month? */
}

static void heading_when_near_then_did_you_mean(void **state)
{
  (void)state;
  check_heading("Moistrue", "heading-near a:1.2", "");
  check_heading("Moistrue (%)", "heading-near a:1.2", "");
  check_heading("Yeild", "heading-near a:1.2", "");
  check_heading("tset wieght", "heading-near a:1.2", "");
  check_heading("Yqqld", "heading-unknown a:1.2", "");
  check_heading("rpe", "heading-unknown a:1.2", "");
  fixture *f = fixture_new();
  fixture_add(f, "hybrid,Moistrue\nA,14\n");
  fixture_run(f);
  assert_true(fixture_says(f, CKS_RULE_HEADING_NEAR,
                           "did you mean 'moisture'? rename it, or give --heading moisture=\"Moistrue\""));
  fixture_free(f);
}

static void heading_when_unknown_in_several_files_then_noted_once(void **state)
{
  (void)state;
  fixture *f = fixture_new();
  fixture_add(f, "hybrid,Xyzzy,qqq\nA,u,v\n");
  fixture_add(f, "hybrid,x y z z y\nB,1\n");
  fixture_run(f);
  assert_string_equal(fixture_findings(f), "heading-words a:2.2 'u'\nheading-words a:2.3 'v'\n"
                                           "heading-unknown a:1.2\nheading-unknown a:1.3");
  fixture_free(f);
}

static void heading_when_empty_over_values_then_missing(void **state)
{
  (void)state;
  fixture_check(&(fixture_case){"hybrid,,yield\nA,,1\nB,7,2\nC,8,3\n", "heading-missing a:3.2 '7'",
                                "hybrid, yield bu/ac high", "2:A|1; 3:B|2; 4:C|3", ""});
}

/* 4,096 headings made to be cut in as many ways as can be: the work on each is bounded. */
static void heading_when_made_to_be_slow_then_still_read(void **state)
{
  (void)state;
  size_t n = 4096, used = 0, size = n * 64;
  char *text = malloc(size);
  assert_non_null(text);
  for (size_t i = 0; i < n; i++)
    used += (size_t)snprintf(text + used, size - used, "yield m m m m m m m m m m m m m m m m m m m m%c",
                             i + 1 < n ? ',' : '\n');
  snprintf(text + used, size - used, "1\n");
  fixture_check(&(fixture_case){text, "heading-unknown a:1.1\nshort-row a:2.0", "", "2:", ""});
  free(text);
}

static void heading_when_very_long_then_unknown(void **state)
{
  (void)state;
  char text[700];
  snprintf(text, sizeof text, "hybrid,%0500d\nA,1\n", 7);
  fixture_check(&(fixture_case){text, "heading-unknown a:1.2", "hybrid", "2:A", ""});
}

/* ---- two columns, several files --------------------------------------------------------------------------------- */

static void columns_when_two_for_one_trait_then_error(void **state)
{
  (void)state;
  check_heading("Yield;yld (bu/ac)", "two-columns a:1.3", "yield bu/ac high");
  check_heading("yield (bu/ac);yield (kg/ha)", "two-columns a:1.3", "yield bu/ac! high");
  check_heading("hybrid", "two-columns a:1.2", "");
  check_heading("note;comments", "heading-unknown a:1.3", "note");
  check_heading("yield;yield (lb)", "two-columns a:1.3", "yield bu/ac high");
  fixture *f = fixture_new();
  fixture_add(f, "hybrid,Yield,Adj. yield\nA,1,2\n");
  fixture_run(f);
  assert_true(fixture_says(f, CKS_RULE_TWO_COLUMNS, "'Yield' and 'Adj. yield' both stand for yield; rename"));
  assert_true(fixture_says(f, CKS_RULE_TWO_COLUMNS, "--heading yield=\"Adj. yield\""));
  fixture_free(f);
}

static void columns_when_heading_option_chooses_then_the_other_is_left(void **state)
{
  (void)state;
  fixture *f = fixture_new();
  fixture_set(&f->settings.heading, "yield", "adj yield");
  fixture_add(f, "hybrid,Yield,Adj. yield\nA,1,2\n");
  fixture_run(f);
  fixture_expect(f, &(fixture_case){NULL, "heading-unknown a:1.2", "hybrid, yield bu/ac high", "2:A|2", ""});
  fixture_free(f);
}

static void columns_when_units_differ_between_files_then_side_by_side(void **state)
{
  (void)state;
  fixture *f = fixture_new();
  fixture_add(f, "hybrid,yield (bu/ac)\nA,1\n");
  fixture_add(f, "hybrid,yield (kg/ha)\nA,2\n");
  fixture_add(f, "hybrid,yield (bu/ac at 13 %)\nA,3\n");
  fixture_add(f, "hybrid,yield\nA,4\n");
  fixture_run(f);
  fixture_expect(f, &(fixture_case){NULL, "",
                                    "hybrid, yield bu/ac! high, yield kg/ha! high, yield bu/ac! @13 high, "
                                    "yield bu/ac high",
                                    "2:A|1|~|~|~; 2:A|~|2|~|~; 2:A|~|~|3|~; 2:A|~|~|~|4", ""});
  assert_string_equal(f->table->column[1].heading, "yield (bu/ac)");
  assert_int_equal(f->table->column[2].where.file, 1);
  assert_int_equal(f->table->column[2].where.column, 2);
  fixture_free(f);
}

static void clash(const char *first, const char *second, bool expected)
{
  char a[100], b[100];
  snprintf(a, sizeof a, "hybrid;%s\nA;1\n", first);
  snprintf(b, sizeof b, "hybrid;%s\nB;1\n", second);
  fixture *f = fixture_new();
  fixture_add(f, a);
  fixture_add(f, b);
  fixture_run(f);
  assert_string_equal(fixture_findings(f), expected ? "unit-unknown b:1.2" : "");
  fixture_free(f);
}

static void columns_when_scales_differ_between_files_then_error(void **state)
{
  (void)state;
  clash("aphid (1-9, 1 best)", "aphid (0-10, 0 best)", true);
  clash("aphid (1-9, 1 best)", "aphid (1-9, 9 best)", true);
  clash("aphid (1-9, 1 best)", "aphid", true); /* which end is best is not said: never guessed */
  clash("lodging (%)", "lodging (1-9, 1 best)", true);
  clash("aphid (1-9, 1 best)", "sugarcane aphid (1 to 9, low best)", false);
  clash("aphid (1-9)", "aphid", false);
}

/* ---- options ---------------------------------------------------------------------------------------------------- */

static void option_heading_when_given_then_compared_without_case_and_marks(void **state)
{
  (void)state;
  fixture *f = fixture_new();
  fixture_set(&f->settings.heading, "mid_bloom", "50 % bloom date!");
  fixture_set(&f->settings.heading, "Yield", "GRAIN, FINAL (kg/ha)");
  fixture_set(&f->settings.heading, "moisture", "water in grain");
  fixture_add(f, "hybrid,50% Bloom-Date,Grain final (kg/ha),Water in grain (lab)\nA,2026-07-20,5000,14\n");
  fixture_run(f);
  fixture_expect(f, &(fixture_case){NULL, "", "hybrid, mid_bloom date, yield kg/ha! high, moisture %",
                                    "2:A|2026-07-20|5000|14", ""});
  fixture_free(f);
}

static void option_when_no_file_has_its_heading_then_error_lists_them(void **state)
{
  (void)state;
  fixture *f = fixture_new();
  fixture_set(&f->settings.heading, "yield", "gone");
  fixture_set(&f->settings.unit, "moisture", "%");
  fixture_set(&f->settings.trait, "nowhere", NULL);
  fixture_set(&f->settings.trait, "yield", NULL); /* may still be made of plot weights */
  fixture_add(f, "hybrid,Plot weight\nA,1\n");
  fixture_run(f);
  assert_string_equal(fixture_findings(f), "heading-not-there\nheading-not-there\nheading-not-there");
  assert_true(
      fixture_says(f, CKS_RULE_HEADING_NOT_THERE, "'gone', which no file has; the headings are: hybrid, Plot weight"));
  fixture_free(f);
}

static void option_when_a_file_cannot_be_read_then_no_error_about_it(void **state)
{
  (void)state;
  fixture *f = fixture_new();
  fixture_set(&f->settings.heading, "yield", "gone");
  fixture_add(f, "hybrid,rep\nA,1\n");
  fixture_add(f, "PK\003\004");
  fixture_run(f);
  assert_string_equal(fixture_findings(f), "workbook-damaged b:0.0");
  fixture_free(f);
}

static void option_heading_when_no_role_then_usage(void **state)
{
  (void)state;
  fixture *f = fixture_new();
  fixture_set(&f->settings.heading, "yeeld", "x");
  fixture_add(f, "hybrid\nA\n");
  fixture_run(f);
  assert_int_equal(f->status, CKS_USAGE);
  assert_non_null(strstr(f->error.text, "'yeeld' is no role"));
  fixture_free(f);
}

static void option_unit_when_given_then_for_headings_without_one_or_named_whole(void **state)
{
  (void)state;
  fixture *f = fixture_new();
  fixture_set(&f->settings.unit, "yield", "lb/ac");
  fixture_set(&f->settings.unit, "TW (lb/bu)", "kg/hl");
  fixture_set(&f->settings.unit, "moisture", "%");
  fixture_set(&f->settings.unit, "wet yield", "kg/ha");
  fixture_set(&f->settings.unit, "Height", "cm");
  fixture_add(f, "hybrid,Yield (adjusted),TW (lb/bu),height,wet yield (bu/ac),moisture %\nA,1,2,3,4,5\n");
  fixture_run(f);
  fixture_expect(f, &(fixture_case){NULL, "unit-from-heading a:1.5",
                                    "hybrid, yield lb/ac! high, test_weight kg/hL! high, plant_height cm!, "
                                    "wet_yield bu/ac! high, moisture %!",
                                    NULL, ""});
  fixture_free(f);
}

static void option_unit_when_unknown_or_of_another_kind_then_error(void **state)
{
  (void)state;
  fixture *f = fixture_new();
  fixture_set(&f->settings.unit, "yield", "furlongs");
  fixture_set(&f->settings.unit, "moisture", "kg");
  fixture_add(f, "hybrid,yield,moisture\nA,1,2\n");
  fixture_run(f);
  assert_string_equal(fixture_findings(f), "unit-unknown a:1.3\nunit-unknown");
  assert_true(fixture_says(f, CKS_RULE_UNIT_UNKNOWN, "--unit yield=furlongs"));
  assert_true(fixture_says(f, CKS_RULE_UNIT_UNKNOWN, "kg is no unit of moisture"));
  fixture_free(f);
}

static void option_trait_when_it_names_an_unknown_column_then_a_trait(void **state)
{
  (void)state;
  fixture *f = fixture_new();
  fixture_set(&f->settings.trait, "Threshing score", NULL);
  fixture_set(&f->settings.trait, "gloss cover", NULL);
  fixture_set(&f->settings.trait, "yield", NULL);
  fixture_set(&f->settings.unit, "gloss cover", "cm");
  fixture_add(f, "hybrid,Threshing-Score (1-9; 9 best),Gloss cover,Yield,qqq\nA,1,2,3,4\n");
  fixture_run(f);
  fixture_expect(f, &(fixture_case){NULL, "heading-unknown a:1.5",
                                    "hybrid, threshing_score score! 1-9 high, gloss_cover cm!, yield bu/ac high",
                                    "2:A|1|2|3", ""});
  assert_int_equal(f->table->column[1].role, CKS_ROLE_OTHER);
  fixture_free(f);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(heading_when_written_in_any_way_then_known),
      cmocka_unit_test(heading_when_of_a_position_a_word_or_a_forage_then_known),
      cmocka_unit_test(heading_when_of_the_names_table_then_known),
      cmocka_unit_test(heading_when_kept_as_written_and_trait_names_it_then_a_trait),
      cmocka_unit_test(heading_when_basis_stated_then_kept),
      cmocka_unit_test(heading_when_rating_then_scale_and_good_end),
      cmocka_unit_test(heading_when_disease_has_a_name_then_key_keeps_it),
      cmocka_unit_test(heading_when_unit_makes_another_trait_then_that),
      cmocka_unit_test(heading_when_unit_of_another_kind_then_error),
      cmocka_unit_test(heading_when_bracket_says_nothing_to_a_name_then_ignored),
      cmocka_unit_test(heading_when_unknown_then_note_and_not_used),
      cmocka_unit_test(heading_when_it_names_a_look_then_day_and_observer),
      cmocka_unit_test(heading_when_near_then_did_you_mean),
      cmocka_unit_test(heading_when_unknown_in_several_files_then_noted_once),
      cmocka_unit_test(heading_when_empty_over_values_then_missing),
      cmocka_unit_test(heading_when_made_to_be_slow_then_still_read),
      cmocka_unit_test(heading_when_very_long_then_unknown),
      cmocka_unit_test(columns_when_two_for_one_trait_then_error),
      cmocka_unit_test(columns_when_heading_option_chooses_then_the_other_is_left),
      cmocka_unit_test(columns_when_units_differ_between_files_then_side_by_side),
      cmocka_unit_test(columns_when_scales_differ_between_files_then_error),
      cmocka_unit_test(option_heading_when_given_then_compared_without_case_and_marks),
      cmocka_unit_test(option_when_no_file_has_its_heading_then_error_lists_them),
      cmocka_unit_test(option_when_a_file_cannot_be_read_then_no_error_about_it),
      cmocka_unit_test(option_heading_when_no_role_then_usage),
      cmocka_unit_test(option_unit_when_given_then_for_headings_without_one_or_named_whole),
      cmocka_unit_test(option_unit_when_unknown_or_of_another_kind_then_error),
      cmocka_unit_test(option_trait_when_it_names_an_unknown_column_then_a_trait),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
