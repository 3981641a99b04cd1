/*
 * test_claims.c: sentences of the screen and the handout that once claimed more than the data allow, each by the smallest
 * list that showed it. What may be claimed: Steel & Torrie 1980, chapter 8; McIntosh 1983, Agron. J. 75:153.
 */
#include "support/support.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { ROOM = 20000, HYBRIDS = 4, REPS = 3 };

typedef struct {
  char text[ROOM];
  size_t n;
} list;

static void list_begin(list *l, const char *heading)
{
  l->n = (size_t)snprintf(l->text, ROOM, "location,year,rep,hybrid,%s\n", heading);
}

/* table: hybrids x reps of one place and year; below 0: lost. */
static void list_add(list *l, const char *place, int year, const double *table, int n_hybrid, int n_rep)
{
  for (int i = 0; i < n_hybrid; i++)
    for (int k = 0; k < n_rep; k++)
      if (table[i * n_rep + k] >= 0)
        l->n += (size_t)snprintf(l->text + l->n, ROOM - l->n, "%s,%d,%d,H%c,%.6g\n", place, year, k + 1, 'A' + i,
                                 table[i * n_rep + k]);
}

/* The run's text on one line, single blanks between words; to be freed. */
static char *text_of(const list *l, const cks_settings *settings)
{
  test_text text = {0};
  test_bytes bytes = {l->text, l->n, 0};
  cks_source source = test_source("plots.csv", &bytes);
  cks_target target = {CKS_FORMAT_TEXT, NULL, test_sink(&text)};
  cks_findings *findings = NULL;
  cks_startup();
  assert_int_equal(cks_findings_new(&findings, NULL), CKS_OK);
  assert_int_equal(cks_run(settings, 1, &source, 1, &target, findings, NULL), CKS_OK);
  cks_findings_free(findings);
  char *to = text.text;
  for (char *from = text.text; *from; from++)
    if (*from != ' ' && *from != '\n')
      *to++ = *from;
    else if (to > text.text && to[-1] != ' ')
      *to++ = ' ';
  *to = '\0';
  return text.text;
}

static void expect(const list *l, const cks_settings *settings, const char *said, const char *unsaid)
{
  char *text = text_of(l, settings);
  if (!strstr(text, said)) fail_msg("\"%s\" is not said in: %s", said, text);
  if (unsaid && strstr(text, unsaid)) fail_msg("\"%s\" is said in: %s", unsaid, text);
  free(text);
}

static cks_settings usual(void)
{
  cks_settings settings;
  cks_settings_defaults(&settings);
  return settings;
}

static const double far_apart[] = {90, 92, 91, 80, 81, 83, 70, 71, 69, 60, 63, 61};
static const double alike[] = {70, 80, 75, 78, 71, 74, 73, 79, 70, 72, 75, 81};

static void screen_when_one_place_has_seasons_then_it_says_nothing_of_farms(void **state)
{
  (void)state;
  list l;
  double next[12];
  list_begin(&l, "yield (bu/ac)");
  for (int year = 2024; year < 2027; year++) {
    for (int p = 0; p < 12; p++) next[p] = far_apart[p] + (p * year) % 5;
    list_add(&l, "Creek", year, next, HYBRIDS, REPS);
  }
  cks_settings settings = usual();
  settings.full = true;
  expect(&l, &settings, "others like these at this place, not for other farms", "farms like these, not only");
}

/* Hybrid x environment says what hybrid x location does not: two hybrids change places from year to year, not from place
 * to place. */
static void screen_when_any_interaction_is_found_then_not_no_proof(void **state)
{
  (void)state;
  list l;
  list_begin(&l, "yield (bu/ac)");
  for (int place = 0; place < 3; place++)
    for (int year = 0; year < 3; year++) {
      double table[12];
      for (int i = 0; i < HYBRIDS; i++)
        for (int k = 0; k < REPS; k++)
          table[i * REPS + k] =
              80 + 5 * place + ((i + place * 2 + year) % 4) * 6 + ((i * 7 + k * 5 + place + year) % 3) * 0.4;
      list_add(&l, (const char *const[]){"Creek", "Moor", "Ridge"}[place], 2024 + year, table, HYBRIDS, REPS);
    }
  cks_settings settings = usual();
  expect(&l, &settings, "The order changes from environment", "No proof that hybrids answer differently");
}

static void handout_when_percent_with_a_lost_plot_then_each_pair_its_own(void **state)
{
  (void)state;
  static const double lodging[] = {2, 4, 3, 30, -1, 41, 5, 6, 4, 12, 11, 16};
  list l;
  list_begin(&l, "lodging (%)");
  list_add(&l, "Creek", 2026, lodging, HYBRIDS, REPS);
  cks_settings settings = usual();
  settings.sheet_for = "Creek";
  expect(&l, &settings, "the best, and 1 not shown to differ from it", "cannot be told apart");
  expect(&l, &settings, "compared on another scale, so no LSD is printed", "more than the LSD apart");
}

static void handout_when_a_hybrid_has_no_value_then_named(void **state)
{
  (void)state;
  list l;
  list_begin(&l, "yield (bu/ac)");
  list_add(&l, "Creek", 2026, far_apart, HYBRIDS, REPS);
  for (int k = 0; k < REPS; k++) l.n += (size_t)snprintf(l.text + l.n, ROOM - l.n, "Creek,2026,%d,HX,\n", k + 1);
  cks_settings settings = usual();
  settings.sheet_for = "Creek";
  expect(&l, &settings, "No yield here: HX.", "CREEK"); /* a place's name stays as it was written */
}

static void handout_when_plots_are_lost_then_the_lsd_is_the_mean_one(void **state)
{
  (void)state;
  double lost[12];
  memcpy(lost, far_apart, sizeof lost);
  lost[4] = -1;
  list l;
  list_begin(&l, "yield (bu/ac)");
  list_add(&l, "Creek", 2026, lost, HYBRIDS, REPS);
  cks_settings settings = usual();
  settings.sheet_for = "Creek";
  expect(&l, &settings, "the LSD printed is the mean one", "more than the LSD apart");
}

static void places_when_two_share_the_first_rank_then_both_are_counted(void **state)
{
  (void)state;
  static const double tied[] = {90, 92, 91, 91, 90, 92, 70, 71, 69, 60, 63, 61};
  list l;
  list_begin(&l, "yield (bu/ac)");
  list_add(&l, "Creek", 2026, tied, HYBRIDS, REPS);
  list_add(&l, "Moor", 2026, far_apart, HYBRIDS, REPS);
  cks_settings settings = usual();
  expect(&l, &settings, "HA and 1 equal", NULL);
}

/* The mean percent of B is lower, its mean angle is not: rank and name follow the scale of the test. */
static void places_when_percent_then_the_best_is_the_first_rank(void **state)
{
  (void)state;
  static const double lodging[] = {0.1, 15, 8, 6, 8, 7.4, 40, 45, 50, 60, 55, 62};
  list l;
  list_begin(&l, "lodging (%)");
  list_add(&l, "Creek", 2026, lodging, HYBRIDS, REPS);
  list_add(&l, "Moor", 2026, lodging, HYBRIDS, REPS);
  cks_settings settings = usual();
  char *text = text_of(&l, &settings);
  const char *row = strstr(text, "Creek ");
  assert_non_null(row);
  const char *hybrid = strstr(row, "H");
  assert_memory_equal(hybrid, "HA", 2);
  free(text);
}

static void handout_when_unprotected_and_f_finds_nothing_then_the_box_says_so(void **state)
{
  (void)state;
  list l;
  list_begin(&l, "yield (bu/ac)");
  list_add(&l, "Creek", 2026, alike, HYBRIDS, REPS);
  cks_settings settings = usual();
  settings.unprotected = true;
  settings.sheet_for = "Creek";
  expect(&l, &settings, "the F test finds no differences", NULL);
  settings.sheet_for = NULL;
  settings.full = true;
  expect(&l, &settings, "LSD and top group stand by request only", NULL);
}

static void screen_when_one_plot_a_hybrid_and_place_then_the_interaction_is_the_error(void **state)
{
  (void)state;
  list l;
  list_begin(&l, "yield (bu/ac)");
  for (int place = 0; place < 3; place++) {
    double table[4];
    for (int i = 0; i < HYBRIDS; i++) table[i] = far_apart[i * REPS + place];
    list_add(&l, (const char *const[]){"Creek", "Moor", "Ridge"}[place], 2026, table, HYBRIDS, 1);
  }
  cks_settings settings = usual();
  expect(&l, &settings, "One plot a hybrid at each place", NULL);
}

static void screen_when_the_answer_is_a_rating_then_it_says_so(void **state)
{
  (void)state;
  static const double aphid[] = {2, 3, 2, 8, 7, 9, 5, 4, 6, 3, 4, 4};
  list l;
  list_begin(&l, "aphid (1-9 1 best)");
  list_add(&l, "Creek", 2026, aphid, HYBRIDS, REPS);
  cks_settings settings = usual();
  expect(&l, &settings, "A rating is no measurement", NULL);
}

static void screen_when_the_top_group_stands_then_its_chance_of_leaving_out_is_given(void **state)
{
  (void)state;
  list l;
  list_begin(&l, "yield (bu/ac)");
  list_add(&l, "Creek", 2026, far_apart, HYBRIDS, REPS);
  cks_settings settings = usual();
  expect(&l, &settings, "Of others as good, up to about", NULL);
}

/* Twin strips of a check are no measure of how hybrids vary, and are never pooled to one over fixed places. */
static void screen_when_only_the_check_is_repeated_then_fixed_places_compare_nothing(void **state)
{
  (void)state;
  list l;
  list_begin(&l, "yield (bu/ac)");
  l.n += (size_t)snprintf(l.text + l.n, ROOM - l.n,
                          "A,2026,,V,184\nA,2026,,W,172\nA,2026,,Ck,181\nA,2026,,Ck,181.3\n"
                          "B,2026,,V,188\nB,2026,,W,201\nB,2026,,Ck,199\nB,2026,,Ck,198.8\n");
  cks_settings settings = usual();
  settings.locations_fixed = true;
  expect(&l, &settings, "No ranking across places", "top =");
}

static void screen_when_a_hybrid_is_missing_then_which_analysis_and_why(void **state)
{
  (void)state;
  list l;
  list_begin(&l, "yield (bu/ac)");
  l.n += (size_t)snprintf(l.text + l.n, ROOM - l.n,
                          "A,2026,,V,184\nA,2026,,W,172\nA,2026,,X,181\n"
                          "B,2026,,V,188\nB,2026,,W,201\nC,2026,,V,160\nC,2026,,W,161\nC,2026,,X,168\n");
  cks_settings settings = usual();
  expect(&l, &settings, "Some hybrids are missing at some places, so the means are adjusted by a mixed model (REML)",
         NULL);
}

/* Two lead together: what they may lack is said of both, and nothing is said where it rounds to 0. */
static void screen_when_two_lead_together_then_no_loss_of_one_and_none_of_nothing(void **state)
{
  (void)state;
  static const double sure[] = {90, 92, 91, 91, 90, 92, 70, 71, 69, 60, 63, 61};
  static const double unsure[] = {90, 80, 85, 85, 90, 80, 70, 74, 66, 60, 70, 65};
  list l;
  cks_settings settings = usual();
  list_begin(&l, "yield (bu/ac)");
  list_add(&l, "Creek", 2026, sure, HYBRIDS, REPS);
  expect(&l, &settings, "The first 2 cannot be told apart", "Expect");
  list_begin(&l, "yield (bu/ac)");
  list_add(&l, "Creek", 2026, unsure, HYBRIDS, REPS);
  expect(&l, &settings, "less of each of the 2 highest next time", NULL);
}

static void screen_when_rows_stand_by_name_then_the_leader_is_still_the_first_rank(void **state)
{
  (void)state;
  static const double second_leads[] = {78, 84, 81, 80, 87, 86, 70, 73, 68, 63, 60, 69};
  list l;
  list_begin(&l, "yield (bu/ac)");
  list_add(&l, "Creek", 2026, second_leads, HYBRIDS, REPS);
  cks_settings settings = usual();
  settings.order = CKS_ORDER_NAME;
  expect(&l, &settings, "bu/ac less of HB next time", NULL);
}

static void texts_when_all_pairs_are_compared_at_once_then_nothing_is_said_of_an_lsd(void **state)
{
  (void)state;
  double lost[12];
  memcpy(lost, far_apart, sizeof lost);
  lost[4] = -1;
  for (int i = 0; i < 4; i++) {
    list l;
    list_begin(&l, "yield (bu/ac)");
    list_add(&l, "Creek", 2026, i & 1 ? lost : far_apart, HYBRIDS, REPS);
    cks_settings settings = usual();
    settings.comparison = i & 2 ? CKS_COMPARE_BONFERRONI : CKS_COMPARE_TUKEY;
    expect(&l, &settings, "MSD (0.05)", "LSD");
    settings.sheet_for = "Creek";
    expect(&l, &settings, "MSD (0.05)", "LSD");
    settings.sheet_for = NULL;
    settings.full = true;
    expect(&l, &settings, i & 1 ? "the MSD is that of their mean" : "MSD at alpha 0.05", "the LSD is t x");
  }
}

static void screen_when_the_top_group_is_of_those_that_may_be_best_then_not_of_those_not_different(void **state)
{
  (void)state;
  double lost[12];
  memcpy(lost, alike, sizeof lost);
  for (int p = 6; p < 12; p++) lost[p] -= 20;
  lost[4] = -1;
  list l;
  list_begin(&l, "yield (bu/ac)");
  list_add(&l, "Creek", 2026, lost, HYBRIDS, REPS);
  cks_settings settings = usual();
  settings.top_best = true;
  expect(&l, &settings, "top = may be the best", "not different from the");
  expect(&l, &settings, "Any of the 2 marked may be the best", "no finding");
}

/* Eight hybrids in four reps: F .078, the first hybrid apart from the others. */
static const double check_apart[] = {71.9, 75.8, 74.2, 71.3, 82.7, 86.6, 77.1, 86.8, 78.0, 83.8, 71.3,
                                     80.9, 82.1, 78.1, 87.4, 80.7, 78.6, 84.1, 79.9, 74.5, 88.6, 76.5,
                                     82.5, 85.9, 85.7, 76.1, 84.7, 81.9, 82.1, 80.7, 84.4, 75.0};

/* Dunnett's test asks no F (Dunnett 1955): what it finds is said also where F finds nothing. */
static void texts_when_dunnett_finds_what_f_does_not_then_both_are_said(void **state)
{
  (void)state;
  list l;
  list_begin(&l, "yield (bu/ac)");
  list_add(&l, "Creek", 2026, check_apart, 8, 4);
  cks_settings settings = usual();
  cks_setting_pair check = {"HA", NULL};
  settings.check = (cks_setting_list){1, &check};
  settings.comparison = CKS_COMPARE_DUNNETT;
  expect(&l, &settings, "tells 2 from a check", "cannot be told apart");
  expect(&l, &settings, "above", "rank ");
  settings.sheet_for = "Creek";
  expect(&l, &settings, "nothing is ranked; Dunnett's test", "cannot be told apart");
  settings.sheet_for = NULL;
  settings.full = true;
  expect(&l, &settings, "The p beside a check is that of the single comparison", "cannot be told apart");
  settings.comparison = CKS_COMPARE_LSD;
  expect(&l, &settings, "cannot be told apart", "single comparison");
}

/* Comparisons with the best ask no F either (Hsu 1984): whom they leave out is said, and nothing is ranked. */
static void texts_when_comparisons_with_the_best_find_what_f_does_not_then_both_are_said(void **state)
{
  (void)state;
  list l;
  list_begin(&l, "yield (bu/ac)");
  list_add(&l, "Creek", 2026, check_apart, 8, 4);
  cks_settings settings = usual();
  settings.alpha = 0.06;
  settings.top_best = true;
  expect(&l, &settings, "so nothing is ranked; comparisons with the best", "cannot be told apart");
  expect(&l, &settings, "leave 1 out of the top group", "rank ");
  settings.comparison = CKS_COMPARE_BONFERRONI;
  expect(&l, &settings, "Bonferroni's t of all pairs finds no differences", "cannot be told apart");
  settings.full = true;
  expect(&l, &settings, "by comparisons with the best 7 may be the best", "cannot be told apart");
}

/* Tukey's letters do not tell A from B, comparisons with the best do: "stands alone" would contradict the letters. */
static void texts_when_only_one_may_be_the_best_then_not_that_all_others_differ(void **state)
{
  (void)state;
  static const double close[] = {91, -1, 92, 90, 92, 91, 70, 71, 69, 60, 63, 61};
  list l;
  list_begin(&l, "yield (bu/ac)");
  list_add(&l, "Creek", 2026, close, HYBRIDS, REPS);
  cks_settings settings = usual();
  settings.alpha = 0.20;
  settings.comparison = CKS_COMPARE_TUKEY;
  settings.top_best = true;
  expect(&l, &settings, "Only one hybrid may be the best", "stands alone");
  settings.sheet_for = "Creek";
  expect(&l, &settings, "At this place only one hybrid may be the best", "every other hybrid is different");
}

static void screen_when_the_top_group_is_longer_than_its_room_then_it_says_how_much_is_shown(void **state)
{
  (void)state;
  list l;
  list_begin(&l, "yield (bu/ac)");
  for (int i = 0; i < 60; i++)
    for (int k = 0; k < REPS; k++)
      l.n += (size_t)snprintf(l.text + l.n, ROOM - l.n, "Creek,2026,%d,N%02d,%d\n", k + 1, i,
                              (i < 40 ? 90 : 60) + (i * 7 + k * 5) % 11);
  cks_settings settings = usual();
  expect(&l, &settings, "Shown: 30 of the 40 in the top group", NULL);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(screen_when_one_place_has_seasons_then_it_says_nothing_of_farms),
      cmocka_unit_test(screen_when_any_interaction_is_found_then_not_no_proof),
      cmocka_unit_test(handout_when_percent_with_a_lost_plot_then_each_pair_its_own),
      cmocka_unit_test(handout_when_a_hybrid_has_no_value_then_named),
      cmocka_unit_test(handout_when_plots_are_lost_then_the_lsd_is_the_mean_one),
      cmocka_unit_test(places_when_two_share_the_first_rank_then_both_are_counted),
      cmocka_unit_test(places_when_percent_then_the_best_is_the_first_rank),
      cmocka_unit_test(handout_when_unprotected_and_f_finds_nothing_then_the_box_says_so),
      cmocka_unit_test(screen_when_one_plot_a_hybrid_and_place_then_the_interaction_is_the_error),
      cmocka_unit_test(screen_when_the_answer_is_a_rating_then_it_says_so),
      cmocka_unit_test(screen_when_the_top_group_stands_then_its_chance_of_leaving_out_is_given),
      cmocka_unit_test(screen_when_only_the_check_is_repeated_then_fixed_places_compare_nothing),
      cmocka_unit_test(screen_when_a_hybrid_is_missing_then_which_analysis_and_why),
      cmocka_unit_test(screen_when_two_lead_together_then_no_loss_of_one_and_none_of_nothing),
      cmocka_unit_test(screen_when_rows_stand_by_name_then_the_leader_is_still_the_first_rank),
      cmocka_unit_test(texts_when_all_pairs_are_compared_at_once_then_nothing_is_said_of_an_lsd),
      cmocka_unit_test(screen_when_the_top_group_is_of_those_that_may_be_best_then_not_of_those_not_different),
      cmocka_unit_test(texts_when_dunnett_finds_what_f_does_not_then_both_are_said),
      cmocka_unit_test(texts_when_comparisons_with_the_best_find_what_f_does_not_then_both_are_said),
      cmocka_unit_test(texts_when_only_one_may_be_the_best_then_not_that_all_others_differ),
      cmocka_unit_test(screen_when_the_top_group_is_longer_than_its_room_then_it_says_how_much_is_shown),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
