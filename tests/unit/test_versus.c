/*
 * test_versus.c: head-to-head at its edges: pairs that never meet, meet once, tie, or always differ by as much; which places
 * are left out; who is meant by a name; what --by may be; and how many tests are said to have been made. The figures
 * themselves: tests/reference/test_versus.c.
 */
#include "support/support.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#define HEAD "location,hybrid,yield (bu/ac)\n"

static cks_settings asking(const char *a, const char *b)
{
  cks_settings settings;
  cks_settings_defaults(&settings);
  settings.question = CKS_ASK_VERSUS;
  settings.versus_a = a;
  settings.versus_b = b;
  return settings;
}

static test_run meet(const char *a, const char *b, const char *csv)
{
  cks_settings settings = asking(a, b);
  test_run run = test_run_csv(&settings, csv, NULL);
  if (run.status != CKS_OK) fail_msg("%s", run.error.text);
  return run;
}

/* What a run prints, in one line: sentences are wrapped. */
static char *screen_of(const cks_settings *settings, const char *csv)
{
  test_text text = {0};
  test_bytes bytes = {csv, strlen(csv), 0};
  cks_source source = test_source("plots.csv", &bytes);
  cks_target target = {CKS_FORMAT_TEXT, NULL, test_sink(&text)};
  cks_findings *findings = NULL;
  assert_int_equal(cks_findings_new(&findings, NULL), CKS_OK);
  (void)cks_run(settings, 1, &source, 1, &target, findings, NULL);
  cks_findings_free(findings);
  assert_non_null(text.text);
  for (char *c = text.text; *c; c++)
    if (*c == '\n') *c = ' ';
  return text.text;
}

static bool is_null(json_t *row, const char *key) { return json_is_null(test_json(row, key)); }

static const char *text_of(json_t *row, const char *key)
{
  const char *text = json_string_value(test_json(row, key));
  return text ? text : "";
}

static void assert_counts(json_t *row, double wins, double ties, double losses)
{
  assert_close(test_json_number(row, "wins"), wins, 0);
  assert_close(test_json_number(row, "ties"), ties, 0);
  assert_close(test_json_number(row, "losses"), losses, 0);
}

static void assert_no_tests(json_t *row)
{
  static const char *const keys[] = {"t", "df", "p", "ci_low", "ci_high", "sign_p"};
  for (size_t i = 0; i < sizeof keys / sizeof *keys; i++)
    if (!is_null(row, keys[i])) fail_msg("%s is given", keys[i]);
  assert_true(*text_of(row, "why"));
}

/* ---- how often they met ----------------------------------------------------------------------------------------- */

static void pair_when_it_never_meets_then_said_and_no_figure(void **state)
{
  (void)state;
  cks_settings settings = asking("Ash", "Bay");
  test_run run = test_run_csv(&settings, HEAD "A,Ash,90\nA,Cob,80\nB,Bay,70\nB,Cob,85\n", NULL);
  assert_int_equal(run.status, CKS_MODEL);
  json_t *row = test_json(run.json, "versus.0");
  assert_close(test_json_number(row, "n"), 0, 0);
  assert_true(is_null(row, "mean_difference") && is_null(row, "wins") && is_null(row, "sd"));
  assert_no_tests(row);
  assert_close(test_json_number(run.json, "versus_tests"), 0, 0);
  test_run_release(&run);
}

static void pair_when_it_meets_in_another_trait_then_no_error(void **state)
{
  (void)state;
  test_run run = meet("Ash", "Bay",
                      "location,hybrid,yield (bu/ac),plant height (in)\nA,Ash,90,50\nA,Bay,,44\nB,Ash,80,51\n"
                      "B,Bay,,49\nC,Bay,70,\nC,Cob,71,\n");
  assert_close(test_json_number(run.json, "versus.0.n"), 0, 0);
  assert_close(test_json_number(run.json, "versus.1.n"), 2, 0);
  test_run_release(&run);
}

static void pair_when_it_meets_once_then_the_difference_only(void **state)
{
  (void)state;
  test_run run = meet("Ash", "Bay", HEAD "A,Ash,90\nA,Bay,84.5\nB,Bay,70\nB,Cob,85\n");
  json_t *row = test_json(run.json, "versus.0");
  assert_close(test_json_number(row, "n"), 1, 0);
  assert_close(test_json_number(row, "mean_difference"), 5.5, 1e-12);
  assert_true(is_null(row, "wins") && is_null(row, "ties") && is_null(row, "losses"));
  assert_true(is_null(row, "sd") && is_null(row, "se"));
  assert_no_tests(row);
  test_run_release(&run);
}

/* Differences 4 and 6: mean 5, SD sqrt 2, SE 1, t 5 on 1 df; the t of 1 df is Cauchy's, so p = 1 - 2 atan(5) / pi. */
static void pair_when_it_meets_twice_then_t_on_one_df(void **state)
{
  (void)state;
  test_run run = meet("Ash", "Bay", HEAD "A,Ash,94\nA,Bay,90\nB,Ash,76\nB,Bay,70\n");
  json_t *row = test_json(run.json, "versus.0");
  assert_close(test_json_number(row, "sd"), sqrt(2), 1e-12);
  assert_close(test_json_number(row, "t"), 5, 1e-12);
  assert_close(test_json_number(row, "df"), 1, 0);
  assert_close(test_json_number(row, "p"), 1 - 2 * atan(5) / acos(-1), 1e-10);
  assert_close(test_json_number(row, "ci_high"), 5 + tan(0.95 * acos(-1) / 2), 1e-9);
  assert_close(test_json_number(row, "sign_p"), 0.5, 1e-14);
  assert_counts(row, 2, 0, 0);
  assert_close(test_json_number(row, "environments.1.difference"), 6, 1e-12);
  assert_close(test_json_number(row, "environments.1.mean_b"), 70, 1e-12);
  test_run_release(&run);
}

/* ---- ties ------------------------------------------------------------------------------------------------------- */

static void pair_when_it_ties_then_the_sign_test_leaves_it_out_and_t_does_not(void **state)
{
  (void)state;
  test_run run = meet("Ash", "Bay",
                      HEAD "A,Ash,94\nA,Bay,90\nB,Ash,76\nB,Bay,76\nC,Ash,62\nC,Bay,60\nD,Ash,50\n"
                           "D,Bay,53\n");
  json_t *row = test_json(run.json, "versus.0");
  assert_counts(row, 2, 1, 1);
  assert_close(test_json_number(row, "n"), 4, 0);
  assert_close(test_json_number(row, "df"), 3, 0);
  assert_close(test_json_number(row, "sign_p"), 1, 1e-14); /* 2 of 3 */
  test_run_release(&run);
}

static void pair_when_it_always_ties_then_neither_test(void **state)
{
  (void)state;
  test_run run = meet("Ash", "Bay", HEAD "A,Ash,94\nA,Bay,94\nB,Ash,76\nB,Bay,76\nA,Cob,60\nB,Cob,61\n");
  json_t *row = test_json(run.json, "versus.0");
  assert_counts(row, 0, 2, 0);
  assert_close(test_json_number(row, "sd"), 0, 0);
  assert_no_tests(row);
  assert_close(test_json_number(run.json, "versus_tests"), 0, 0);
  test_run_release(&run);
}

/* 0.1 more at places of other size: the differences differ by rounding alone. */
static void pair_when_differences_are_equal_then_no_t_and_the_sign_test(void **state)
{
  (void)state;
  test_run run = meet("Ash", "Bay", HEAD "A,Ash,94.1\nA,Bay,94\nB,Ash,76.4\nB,Bay,76.3\nC,Ash,50.2\nC,Bay,50.1\n");
  json_t *row = test_json(run.json, "versus.0");
  assert_close(test_json_number(row, "sd"), 0, 0);
  assert_close(test_json_number(row, "se"), 0, 0);
  assert_true(is_null(row, "t") && is_null(row, "p") && is_null(row, "ci_low") && is_null(row, "ci_high"));
  assert_non_null(strstr(text_of(row, "why"), "equal"));
  assert_close(test_json_number(row, "sign_p"), 0.25, 1e-14);
  assert_close(test_json_number(run.json, "versus_tests"), 1, 0);
  test_run_release(&run);
}

/* ---- the good end ----------------------------------------------------------------------------------------------- */

static void better_when_low_is_good_then_the_lower_wins(void **state)
{
  (void)state;
  test_run run =
      meet("Ash", "Bay",
           "location,hybrid,aphid (1-9 1 best),plant height (in)\nA,Ash,4,50\nA,Bay,5,44\nA,Cob,6,50\nA,Dun,7,51\n"
           "B,Ash,2,40\nB,Bay,5,44\nB,Cob,6,50\nB,Dun,7,51\n");
  size_t i;
  json_t *row;
  json_array_foreach(test_json(run.json, "versus"), i, row)
  {
    bool rating = !strcmp(text_of(row, "trait"), "aphid");
    assert_string_equal(text_of(row, "better"), rating ? "low" : "none");
    if (rating) assert_counts(row, 2, 0, 0);
    if (rating) assert_close(test_json_number(row, "mean_difference"), -2, 1e-12);
    if (!rating) assert_counts(row, 1, 0, 1); /* above, below */
  }
  assert_int_equal(i, 2);
  test_run_release(&run);
}

/* Percents beyond 20 to 80: the difference is of percents, t of the angles, by hand. */
static void percents_when_tested_on_another_scale_then_t_of_it_and_no_interval(void **state)
{
  static const double a[] = {8, 15, 30}, b[] = {5, 3, 22};
  double d[3], mean = 0, ss = 0;
  (void)state;
  test_run run =
      meet("Ash", "Bay", "location,hybrid,lodging (%)\nA,Ash,8\nA,Bay,5\nB,Ash,15\nB,Bay,3\nC,Ash,30\nC,Bay,22\n");
  json_t *row = test_json(run.json, "versus.0");
  for (size_t i = 0; i < 3; i++) mean += d[i] = asin(sqrt(a[i] / 100)) - asin(sqrt(b[i] / 100));
  mean /= 3;
  for (size_t i = 0; i < 3; i++) ss += (d[i] - mean) * (d[i] - mean);
  assert_close(test_json_number(row, "mean_difference"), 23.0 / 3, 1e-12);
  assert_close(test_json_number(row, "t"), mean / sqrt(ss / 2 / 3), 1e-10);
  assert_true(is_null(row, "sd") && is_null(row, "se") && is_null(row, "ci_low") && is_null(row, "ci_high"));
  assert_string_equal(text_of(row, "scale"), "arcsine");
  assert_non_null(strstr(text_of(row, "why"), "angle"));
  assert_counts(row, 0, 0, 3);
  test_run_release(&run);
}

static void ratings_when_their_scale_is_not_stated_then_counted_and_not_tested(void **state)
{
  (void)state;
  test_run run = meet("Ash", "Bay",
                      "location,hybrid,vigor\nA,Ash,4\nA,Bay,5\nA,Cob,6\nA,Dun,7\nB,Ash,2\nB,Bay,5\nB,Cob,6\n"
                      "B,Dun,7\n");
  json_t *row = test_json(run.json, "versus.0");
  assert_counts(row, 0, 0, 2);
  assert_no_tests(row);
  test_run_release(&run);
}

/* ---- places ----------------------------------------------------------------------------------------------------- */

/* At B three different ratings make medians; at C no rep joins Ash and Bay to the others. */
static void places_when_their_means_are_none_then_left_out_and_named(void **state)
{
  static const char csv[] = "location,rep,hybrid,aphid (1-9 1 best)\n"
                            "A,1,Ash,1\nA,1,Bay,4\nA,1,Cob,6\nA,2,Ash,2\nA,2,Bay,5\nA,2,Cob,6\n"
                            "B,1,Ash,2\nB,1,Bay,4\nB,1,Cob,6\nB,2,Ash,2\nB,2,Bay,4\nB,2,Cob,6\n"
                            "C,1,Ash,1\nC,1,Bay,4\nC,2,Cob,6\nC,2,Dun,7\nC,3,Ash,2\nC,3,Bay,5\nC,4,Cob,6\nC,4,Dun,5\n"
                            "D,1,Ash,3\nD,1,Bay,4\nD,1,Cob,6\nD,2,Ash,2\nD,2,Bay,5\nD,2,Cob,7\n";
  (void)state;
  cks_settings settings = asking("Ash", "Bay");
  test_run run = test_run_csv(&settings, csv, NULL);
  assert_int_equal(run.status, CKS_OK);
  json_t *row = test_json(run.json, "versus.0");
  assert_close(test_json_number(row, "n"), 2, 0);
  assert_string_equal(text_of(row, "environments.1.location"), "D");
  test_run_release(&run);
  char *text = screen_of(&settings, csv);
  assert_non_null(strstr(text, "not set side by side: B (medians"));
  assert_non_null(strstr(text, "C (some hybrids share no rep"));
  free(text);
}

static const char seasons_csv[] = "location,year,region,hybrid,check,yield (bu/ac)\n"
                                  "A,2024,North,Ash,,94\nA,2024,North,Bay,x,90\nA,2024,North,Cob,x,80\n"
                                  "A,2025,north,Ash,,76\nA,2025,north,Bay,x,70\nA,2025,north,Cob,x,80\n"
                                  "B,2025,South,Ash,,64\nB,2025,South,Bay,x,60\nB,2025,South,Cob,x,58\n";

static void seasons_when_a_place_stands_in_several_then_said_not_to_be_independent(void **state)
{
  (void)state;
  test_run run = meet("Ash", "Bay", seasons_csv);
  json_t *row = test_json(run.json, "versus.0");
  assert_close(test_json_number(row, "n"), 3, 0);
  assert_close(test_json_number(row, "locations"), 2, 0);
  assert_non_null(strstr(text_of(row, "note"), "not independent"));
  test_run_release(&run);
  run = meet("Ash", "Bay", HEAD "A,Ash,94\nA,Bay,90\nB,Ash,76\nB,Bay,70\n");
  assert_true(is_null(test_json(run.json, "versus.0"), "note"));
  test_run_release(&run);
}

/* ---- by a column ------------------------------------------------------------------------------------------------ */

static test_run meet_by(const char *by, const char *csv, const char *places)
{
  cks_settings settings = asking("Ash", "Bay");
  settings.by = by;
  return test_run_csv(&settings, csv, places);
}

static void assert_value(json_t *versus, size_t at, const char *value, double n)
{
  json_t *row = json_array_get(versus, at);
  assert_non_null(row);
  assert_string_equal(text_of(row, "value"), value);
  assert_close(test_json_number(row, "n"), n, 0);
}

static void by_when_location_year_or_a_column_of_its_own_then_each_value_after_all(void **state)
{
  static const struct {
    const char *by, *first, *second;
    double n_first, n_second;
  } cases[] = {{"location", "A", "B", 2, 1}, {"year", "2024", "2025", 1, 2}, {"Region", "North", "South", 2, 1}};
  (void)state;
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    test_run run = meet_by(cases[i].by, seasons_csv, NULL);
    if (run.status != CKS_OK) fail_msg("%s", run.error.text);
    json_t *versus = test_json(run.json, "versus");
    assert_int_equal(json_array_size(versus), 3);
    assert_true(is_null(json_array_get(versus, 0), "by") && is_null(json_array_get(versus, 0), "value"));
    assert_value(versus, 1, cases[i].first, cases[i].n_first);
    assert_value(versus, 2, cases[i].second, cases[i].n_second);
    test_run_release(&run);
  }
}

/* Of the places table, with one place without a value; and the same value everywhere, which is no test of its own. */
static void by_when_the_places_table_says_it_then_places_without_a_value_stand_last(void **state)
{
  static const char plots[] = HEAD "A,Ash,94\nA,Bay,90\nB,Ash,76\nB,Bay,70\nC,Ash,60\nC,Bay,61\n";
  (void)state;
  test_run run = meet_by("irrigation", plots, "location,irrigation\nA,dryland\nB,Dryland\nC,\n");
  assert_int_equal(run.status, CKS_OK);
  json_t *versus = test_json(run.json, "versus");
  assert_int_equal(json_array_size(versus), 3);
  assert_close(test_json_number(versus, "1.n"), 2, 0);
  assert_true(is_null(json_array_get(versus, 2), "value"));
  assert_string_equal(text_of(json_array_get(versus, 2), "by"), "irrigation");
  assert_close(test_json_number(run.json, "versus_tests"), 2, 0);
  test_run_release(&run);
  run = meet_by("water", plots, "location,water\nA,dryland\nB,dryland\nC,dryland\n");
  assert_int_equal(run.status, CKS_OK);
  assert_int_equal(json_array_size(test_json(run.json, "versus")), 2);
  assert_close(test_json_number(run.json, "versus_tests"), 1, 0);
  test_run_release(&run);
}

static void by_when_it_is_no_fact_of_places_then_refused_with_the_way_on(void **state)
{
  static const char csv[] = "location,hybrid,maturity,soil,yield (bu/ac)\nA,Ash,early,clay,94\nA,Bay,late,loam,90\n"
                            "B,Ash,early,clay,76\nB,Bay,late,clay,70\n";
  static const struct {
    const char *by, *says;
  } cases[] = {{"maturity", "says nothing of places"},
               {"hybrid", "says nothing of places"},
               {"soill", "did you mean 'soil'?"},
               {"soil", "not one for all plots of A"}};
  (void)state;
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    test_run run = meet_by(cases[i].by, csv, NULL);
    assert_int_equal(run.status, CKS_USAGE);
    if (!strstr(run.error.text, cases[i].says)) fail_msg("'%s' is not in: %s", cases[i].says, run.error.text);
    test_run_release(&run);
  }
}

/* ---- who is meant ----------------------------------------------------------------------------------------------- */

static void names_when_given_then_matched_as_elsewhere_or_refused(void **state)
{
  static const char csv[] = "location,brand,hybrid,yield (bu/ac)\nA,Tamsel,T 8,94\nA,Orrin,O-66,90\nA,Orrin,X 1,80\n"
                            "A,Halden,X 1,81\nB,Tamsel,T 8,76\nB,Orrin,O-66,70\nB,Orrin,X 1,60\nB,Halden,X 1,62\n";
  static const struct {
    const char *a, *b, *error; /* NULL: taken */
  } cases[] = {{"t-8", "o66", NULL},
               {"Tamsel T8", "Orrin O 66", NULL},
               {"T 8", "Halden X 1", NULL},
               {"T 8", "X 1", "is the name of 2 hybrids"},
               {"T 8", "Tamsel t8", "are one hybrid"},
               {"T 8", "Orin O66", "did you mean 'Orrin O-66'?"},
               {"T 8", "Orrin O-67", "did you mean 'Orrin O-66'?"},
               {"Nobody", "T 8", "'Nobody' is not among the hybrids"}};
  (void)state;
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    cks_settings settings = asking(cases[i].a, cases[i].b);
    test_run run = test_run_csv(&settings, csv, NULL);
    assert_int_equal(run.status, cases[i].error ? CKS_USAGE : CKS_OK);
    if (cases[i].error && !strstr(run.error.text, cases[i].error))
      fail_msg("'%s' is not in: %s", cases[i].error, run.error.text);
    test_run_release(&run);
  }
}

static void names_when_the_names_table_has_another_then_that_hybrid(void **state)
{
  static const char names[] = "seen_as,hybrid\nT8,Tamsel 8\n";
  test_bytes bytes = {names, sizeof names - 1, 0};
  cks_source source = test_source("names.csv", &bytes);
  (void)state;
  cks_settings settings = asking("T8", "Bay");
  settings.names = &source;
  test_run run = test_run_csv(&settings, HEAD "A,T8,94\nA,Bay,90\n", NULL);
  assert_int_equal(run.status, CKS_OK);
  assert_string_equal(text_of(test_json(run.json, "versus.0"), "a"), "Tamsel 8");
  test_run_release(&run);
}

/* ---- all pairs -------------------------------------------------------------------------------------------------- */

static void all_pairs_when_two_checks_then_the_checks_meet_once(void **state)
{
  static const char *const pairs[][2] = {{"Ash", "Bay"}, {"Cob", "Bay"}, {"Ash", "Cob"}};
  (void)state;
  test_run run = meet(NULL, NULL, seasons_csv);
  json_t *versus = test_json(run.json, "versus");
  assert_int_equal(json_array_size(versus), 3);
  for (size_t i = 0; i < 3; i++) {
    assert_string_equal(text_of(json_array_get(versus, i), "a"), pairs[i][0]);
    assert_string_equal(text_of(json_array_get(versus, i), "b"), pairs[i][1]);
    assert_int_equal(json_array_size(test_json(json_array_get(versus, i), "environments")), 0);
  }
  assert_close(test_json_number(run.json, "versus_tests"), 3, 0);
  test_run_release(&run);
}

static void all_pairs_when_no_check_then_refused_and_the_option_named(void **state)
{
  (void)state;
  cks_settings settings = asking(NULL, NULL);
  test_run run = test_run_csv(&settings, HEAD "A,Ash,94\nA,Bay,90\n", NULL);
  assert_int_equal(run.status, CKS_USAGE);
  assert_non_null(strstr(run.error.text, "--check HYBRID"));
  test_run_release(&run);
}

/* Beside the rest: of checks, over two places or more. */
static void beside_the_rest_when_one_place_or_no_check_then_none(void **state)
{
  static const struct {
    const char *csv;
    size_t n;
  } cases[] = {{HEAD "A,Ash,94\nA,Bay,90\nB,Ash,76\nB,Bay,70\n", 0},
               {"location,hybrid,check,yield (bu/ac)\nA,Ash,,94\nA,Bay,x,90\n", 0},
               {"location,hybrid,check,yield (bu/ac)\nA,Ash,,94\nA,Bay,x,90\nB,Ash,,76\nB,Bay,x,70\n", 1}};
  cks_settings settings;
  (void)state;
  cks_settings_defaults(&settings);
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    test_run run = test_run_csv(&settings, cases[i].csv, NULL);
    assert_int_equal(run.status, CKS_OK);
    assert_int_equal(json_array_size(test_json(run.json, "versus")), cases[i].n);
    test_run_release(&run);
  }
}

/* ---- what is shown ---------------------------------------------------------------------------------------------- */

static void screen_when_shown_then_it_says_what_the_figures_are_worth(void **state)
{
  static const struct {
    const char *a, *b, *csv, *says, *not_says;
  } cases[] = {
      {NULL, NULL, seasons_csv, "Tests: 3, each by itself. If no two of these hybrids differed, about 0.2 of them",
       NULL},
      {NULL, NULL, seasons_csv, "such are not independent", "% of"},
      {"Ash", "Bay", seasons_csv, "Yield: Ash is above Bay by 4.7 bu/ac over 3 trials (p ", "cannot be told apart"},
      {"Bay", "Ash", seasons_csv, "Yield: Bay is below Ash by 4.7 bu/ac over 3 trials (p ", "Tests:"},
      {"Bay", "Cob", seasons_csv, "Yield: Bay and Cob cannot be told apart over 3 trials (p ", "is above"},
      {"Ash", "Bay", HEAD "A,Ash,90\nA,Bay,84.5\n", "Ash and Bay met once: a difference of 5.5 bu/ac", "told apart"},
      {"Bay", "Ash", HEAD "A,Ash,90\nA,Bay,84.5\n", "a difference of -5.5 bu/ac, and nothing to judge it by", "below"},
      {"Ash", "Bay", HEAD "A,Ash,90\nB,Bay,84.5\n", "Ash and Bay have values at no place together.", "told apart"},
      {"Ash", "Bay", HEAD "A,Ash,9\nA,Bay,8\nB,Ash,7\nB,Bay,6\n", "Not tested: all the differences are equal", "told"},
  };
  (void)state;
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    cks_settings settings = asking(cases[i].a, cases[i].b);
    char *text = screen_of(&settings, cases[i].csv);
    if (!strstr(text, cases[i].says)) fail_msg("case %zu: '%s' is not in: %s", i, cases[i].says, text);
    if (cases[i].not_says && strstr(text, cases[i].not_says)) fail_msg("case %zu: '%s'", i, cases[i].not_says);
    free(text);
  }
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(pair_when_it_never_meets_then_said_and_no_figure),
      cmocka_unit_test(pair_when_it_meets_in_another_trait_then_no_error),
      cmocka_unit_test(pair_when_it_meets_once_then_the_difference_only),
      cmocka_unit_test(pair_when_it_meets_twice_then_t_on_one_df),
      cmocka_unit_test(pair_when_it_ties_then_the_sign_test_leaves_it_out_and_t_does_not),
      cmocka_unit_test(pair_when_it_always_ties_then_neither_test),
      cmocka_unit_test(pair_when_differences_are_equal_then_no_t_and_the_sign_test),
      cmocka_unit_test(better_when_low_is_good_then_the_lower_wins),
      cmocka_unit_test(percents_when_tested_on_another_scale_then_t_of_it_and_no_interval),
      cmocka_unit_test(ratings_when_their_scale_is_not_stated_then_counted_and_not_tested),
      cmocka_unit_test(places_when_their_means_are_none_then_left_out_and_named),
      cmocka_unit_test(seasons_when_a_place_stands_in_several_then_said_not_to_be_independent),
      cmocka_unit_test(by_when_location_year_or_a_column_of_its_own_then_each_value_after_all),
      cmocka_unit_test(by_when_the_places_table_says_it_then_places_without_a_value_stand_last),
      cmocka_unit_test(by_when_it_is_no_fact_of_places_then_refused_with_the_way_on),
      cmocka_unit_test(names_when_given_then_matched_as_elsewhere_or_refused),
      cmocka_unit_test(names_when_the_names_table_has_another_then_that_hybrid),
      cmocka_unit_test(all_pairs_when_two_checks_then_the_checks_meet_once),
      cmocka_unit_test(all_pairs_when_no_check_then_refused_and_the_option_named),
      cmocka_unit_test(beside_the_rest_when_one_place_or_no_check_then_none),
      cmocka_unit_test(screen_when_shown_then_it_says_what_the_figures_are_worth),
  };
  return cmocka_run_group_tests(tests, test_start, NULL);
}
