/*
 * test_by_group.c: --by-group: which groups there are, and what is said within them. The F itself is checked in
 * tests/reference/test_by_group.c, how often something is claimed in tests/property/test_group_rates.c. Invented lists.
 */
#include "support/support.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define PLACE "traits.0.locations.0"

static cks_settings by(const char *column)
{
  cks_settings settings;
  cks_settings_defaults(&settings);
  settings.by_group = column;
  return settings;
}

/* With a names table; the target is JSON. */
static test_run run_named(cks_settings settings, const char *csv, const char *names)
{
  test_bytes bytes[2] = {{csv, strlen(csv), 0}, {names, strlen(names), 0}};
  cks_source plots = test_source("plots.csv", &bytes[0]), table = test_source("names.csv", &bytes[1]);
  test_text json = {0};
  cks_target target = {CKS_FORMAT_JSON, NULL, test_sink(&json)};
  test_run run = {0};
  settings.names = &table;
  cks_startup();
  assert_int_equal(cks_findings_new(&run.findings, NULL), CKS_OK);
  run.status = cks_run(&settings, 1, &plots, 1, &target, run.findings, &run.error);
  run.json = json.text ? json_loads(json.text, 0, NULL) : NULL;
  test_text_release(&json);
  return run;
}

static char *as_text(const cks_settings *settings, const char *csv)
{
  test_bytes bytes = {csv, strlen(csv), 0};
  cks_source plots = test_source("plots.csv", &bytes);
  test_text text = {0};
  cks_target target = {CKS_FORMAT_TEXT, NULL, test_sink(&text)};
  cks_findings *findings = NULL;
  cks_error error;
  cks_startup();
  assert_int_equal(cks_findings_new(&findings, NULL), CKS_OK);
  assert_int_equal(cks_run(settings, 1, &plots, 1, &target, findings, &error), CKS_OK);
  cks_findings_free(findings);
  return text.text;
}

static json_t *hybrid(const test_run *run, const char *name)
{
  json_t *line = test_json_with(test_json(run->json, PLACE ".hybrids"), "hybrid", name);
  if (!line) fail_msg("no hybrid %s", name);
  return line;
}

static json_t *group(const test_run *run, size_t i, const char *name, int n)
{
  json_t *line = json_array_get(test_json(run->json, PLACE ".groups"), i), *given = test_json(line, "by_group");
  if (name ? !json_is_string(given) || strcmp(json_string_value(given), name) != 0 : !json_is_null(given))
    fail_msg("group %zu is '%s', expected '%s'", i, json_string_value(given), name ? name : "none");
  assert_close(test_json_number(line, "hybrids"), n, 0);
  return line;
}

#define H "location,rep,hybrid,check,class,yield (bu/ac)\n"
/* Class 9 (Ash, Bay, Cob) is 30 below class 10 (Dun, Elm, Fox); within each nothing differs. Gum is alone. */
#define BLOCK(rep, a, b, c, d, e, f)                                                                                   \
  "A," rep ",Ash,yes,9," a "\nA," rep ",Bay,,9.0," b "\nA," rep ",Cob,,9," c "\nA," rep ",Dun,,10," d "\nA," rep       \
  ",Elm,,10," e "\nA," rep ",Fox,,10," f "\n"
#define ALIKE                                                                                                          \
  BLOCK("1", "70", "72", "69", "101", "99", "100")                                                                     \
  BLOCK("2", "72", "70", "71", "99", "102", "100") BLOCK("3", "69", "72", "71", "100", "99", "103")

static void f_of_all_when_only_groups_differ_then_nothing_is_said_within_them(void **state)
{
  (void)state;
  cks_settings settings = by("class");
  test_run run = test_run_csv(&settings, H ALIKE, NULL);
  static const char *const names[] = {"Ash", "Bay", "Cob", "Dun", "Elm", "Fox"};
  assert_true(test_json_number(run.json, PLACE ".p") < 1e-6);
  for (size_t i = 0; i < 6; i++) {
    json_t *line = hybrid(&run, names[i]);
    const char *differs = json_string_value(test_json(line, "vs_check.0.differs"));
    assert_true(json_is_null(test_json(line, "rank")) && json_is_true(test_json(line, "top")));
    assert_string_equal(json_string_value(test_json(line, "group")), "a");
    if (i < 3)
      assert_null(differs);
    else
      assert_string_equal(differs, "above"); /* a check of another group: by the F of all */
    assert_true(json_is_null(test_json(line, "vs_check.0.p")) == (i < 3));
  }
  for (size_t i = 0; i < 2; i++) {
    json_t *line = group(&run, i, i ? "10" : "9", 3); /* by size, and 9.0 is 9 */
    assert_true(test_json_number(line, "p") > 0.05 && json_is_null(test_json(line, "lsd")));
    assert_non_null(json_string_value(test_json(line, "lsd_why")));
    assert_close(test_json_number(line, "n_top"), 3, 0);
  }
  test_run_release(&run);
}

static void one_group_when_it_holds_all_then_as_without(void **state)
{
  (void)state;
  cks_settings settings = by("location"), plain = by(NULL);
  test_run a = test_run_csv(&settings, H ALIKE, NULL), b = test_run_csv(&plain, H ALIKE, NULL);
  json_t *line = group(&a, 0, "A", 6);
  assert_close(test_json_number(line, "f"), test_json_number(b.json, PLACE ".f"), 1e-12);
  assert_close(test_json_number(line, "lsd"), test_json_number(b.json, PLACE ".lsd"), 1e-12);
  assert_close(test_json_number(line, "left_out_share"), test_json_number(b.json, PLACE ".left_out_share"), 1e-12);
  assert_int_equal(json_array_size(test_json(b.json, PLACE ".groups")), 0);
  size_t i;
  json_t *x, *y;
  json_array_foreach(test_json(a.json, PLACE ".hybrids"), i, x)
  {
    y = json_array_get(test_json(b.json, PLACE ".hybrids"), i);
    assert_true(json_is_null(test_json(y, "by_group")));
    json_object_del(x, "by_group");
    json_object_del(y, "by_group");
    assert_true(json_equal(x, y));
  }
  test_run_release(&a);
  test_run_release(&b);
}

static void hybrids_when_alone_or_without_a_value_then_not_ranked_and_said(void **state)
{
  (void)state;
  static const char csv[] = H "A,1,Ash,,early,90\nA,1,Bay,,,60\nA,1,Cob,,,75\nA,1,Dun,,Early,80\nA,1,Elm,,late,70\n"
                              "A,2,Ash,,early,91\nA,2,Bay,,,61\nA,2,Cob,,.,77\nA,2,Dun,,early,82\nA,2,Elm,,late,71\n"
                              "A,3,Ash,,early,92\nA,3,Bay,,,61\nA,3,Cob,,,74\nA,3,Dun,,,83\nA,3,Elm,,,72.5\n";
  cks_settings settings = by("class");
  test_run run = test_run_csv(&settings, csv, NULL);
  assert_int_equal(run.status, CKS_OK);
  group(&run, 0, "Early", 2);
  json_t *alone = group(&run, 1, "late", 1);
  group(&run, 2, NULL, 2); /* last, whatever its name would be */
  assert_true(json_is_null(test_json(alone, "f")) && json_is_null(test_json(alone, "n_top")));
  assert_non_null(strstr(json_string_value(test_json(alone, "lsd_why")), "one hybrid only"));
  json_t *elm = hybrid(&run, "Elm");
  assert_true(json_is_null(test_json(elm, "rank")) && json_is_null(test_json(elm, "top")) &&
              json_is_null(test_json(elm, "group")));
  assert_close(test_json_number(hybrid(&run, "Ash"), "rank"), 1, 0);
  assert_close(test_json_number(hybrid(&run, "Dun"), "rank"), 2, 0);
  assert_close(test_json_number(hybrid(&run, "Cob"), "rank"), 1, 0);
  char *text = as_text(&settings, csv);
  assert_non_null(strstr(text, "class: not given\n"));
  assert_non_null(strstr(text, "late: one hybrid only, not ranked"));
  free(text);
  test_run_release(&run);
}

/* 5 hybrids in 4 reps: 12 error df. q of 3 and of 2 means, .05: Harter 1960, Ann. Math. Stat. 31:1122 (from memory). */
static void tukey_when_by_group_then_it_counts_the_groups_own(void **state)
{
  (void)state;
  static const char csv[] = H "A,1,Ash,,x,90\nA,1,Bay,,x,84\nA,1,Cob,,x,77\nA,1,Dun,,y,80\nA,1,Elm,,y,70\n"
                              "A,2,Ash,,x,91\nA,2,Bay,,x,80\nA,2,Cob,,x,77\nA,2,Dun,,y,82\nA,2,Elm,,y,71\n"
                              "A,3,Ash,,x,95\nA,3,Bay,,x,85\nA,3,Cob,,x,74\nA,3,Dun,,y,87\nA,3,Elm,,y,72\n"
                              "A,4,Ash,,x,92\nA,4,Bay,,x,86\nA,4,Cob,,x,79\nA,4,Dun,,y,83\nA,4,Elm,,y,76\n";
  static const double q[] = {3.77, 3.08};
  cks_settings settings = by("class");
  settings.comparison = CKS_COMPARE_TUKEY;
  test_run run = test_run_csv(&settings, csv, NULL);
  for (size_t i = 0; i < 2; i++) {
    json_t *line = group(&run, i, i ? "y" : "x", i ? 2 : 3);
    assert_close(test_json_number(line, "critical_difference") * sqrt(2) / test_json_number(line, "sed"), q[i], 2e-3);
    assert_true(json_is_null(test_json(line, "lsd")));
  }
  test_run_release(&run);
  settings.comparison = CKS_COMPARE_LSD;
  settings.top_best = true;
  run = test_run_csv(&settings, csv, NULL);
  assert_true(json_is_true(test_json(hybrid(&run, "Dun"), "top")) &&
              json_is_false(test_json(hybrid(&run, "Elm"), "top")));
  test_run_release(&run);
}

static void unprotected_when_by_group_then_an_lsd_stands_in_each(void **state)
{
  (void)state;
  cks_settings settings = by("class");
  settings.unprotected = true;
  test_run run = test_run_csv(&settings, H ALIKE, NULL);
  for (size_t i = 0; i < 2; i++)
    assert_close(test_json_number(group(&run, i, i ? "10" : "9", 3), "lsd"), test_json_number(run.json, PLACE ".lsd"),
                 1e-12);
  char *text = as_text(&settings, H ALIKE);
  assert_non_null(strstr(text, "shown by request, F finds no"));
  free(text);
  test_run_release(&run);
}

/* Of two hybrids the one that is not the best is left out with probability alpha (src/math/left_out.h). */
static void groups_of_two_when_lsd_then_alpha_is_left_out_and_no_leader_of_all(void **state)
{
  (void)state;
  cks_settings settings = by("class");
  test_run run = test_run_csv(&settings,
                              H "A,1,Ash,,a,70\nA,1,Bay,,a,92\nA,1,Cob,,b,69\nA,1,Dun,,b,101\n"
                                "A,2,Ash,,a,72\nA,2,Bay,,a,90\nA,2,Cob,,b,71\nA,2,Dun,,b,99\n",
                              NULL);
  for (size_t i = 0; i < 2; i++)
    assert_close(test_json_number(group(&run, i, i ? "b" : "a", 2), "left_out_share"), 0.05, 1e-9);
  assert_close(test_json_number(run.json, PLACE ".left_out_share"), 0.05, 1e-9);
  assert_true(json_is_null(test_json(run.json, PLACE ".leader_loss")));
  test_run_release(&run);
}

static void single_plots_when_by_group_then_blocks_without_figures(void **state)
{
  (void)state;
  static const char csv[] = H "A,1,Ash,,x,90\nA,1,Bay,,y,84\nA,1,Cob,,x,77\nA,1,Dun,,y,80\n";
  cks_settings settings = by("class");
  test_run run = test_run_csv(&settings, csv, NULL);
  for (size_t i = 0; i < 2; i++) {
    json_t *line = group(&run, i, i ? "y" : "x", 2);
    assert_true(json_is_null(test_json(line, "f")) && json_is_null(test_json(line, "lsd")));
    assert_non_null(json_string_value(test_json(line, "lsd_why")));
  }
  char *text = as_text(&settings, csv);
  assert_non_null(strstr(text, "class: x\nAsh "));
  assert_null(strstr(text, "LSD (0.05)"));
  free(text);
  test_run_release(&run);
}

static void names_table_when_it_has_the_column_then_it_says_the_group(void **state)
{
  (void)state;
  static const char plots[] = "location,rep,hybrid,yield (bu/ac)\nA,1,T 8,90\nA,1,Bay,84\nA,1,Cob,77\n"
                              "A,2,T 8,91\nA,2,Bay,85\nA,2,Cob,75\n";
  test_run run =
      run_named(by("maturity"), plots, "seen_as,hybrid,maturity\nT 8,Tamsel 8,late\n,Bay,early\n,Cob,late\n");
  assert_int_equal(run.status, CKS_OK);
  group(&run, 0, "early", 1);
  group(&run, 1, "late", 2);
  test_run_release(&run);
  run = run_named(by("House"), plots, "seen_as,hybrid,house\nT 8,Tamsel 8,K\n,Bay,L\n,Cob,L\n");
  group(&run, 0, "K", 1);
  group(&run, 1, "L", 2);
  test_run_release(&run);
  run = run_named(by("house"),
                  "location,rep,hybrid,house,yield (bu/ac)\nA,1,T 8,K,90\nA,1,Bay,L,84\nA,2,T 8,,91\nA,2,Bay,,85\n",
                  "seen_as,hybrid,house\nT 8,Tamsel 8,K\n,Bay,M\n");
  const cks_finding *finding = test_finding(run.findings, CKS_RULE_GROUP_DIFFERS);
  assert_int_equal(run.status, CKS_DATA);
  assert_int_equal(finding->where.line, 3);
  assert_non_null(strstr(finding->text, "'L' here and 'M' in line 3 of names.csv"));
  test_run_release(&run);
}

static void column_when_nobody_has_it_then_an_error_names_those_there_are(void **state)
{
  (void)state;
  cks_settings settings = by("clas");
  test_run run = test_run_csv(&settings, H ALIKE, NULL);
  const cks_finding *finding = test_finding(run.findings, CKS_RULE_HEADING_NOT_THERE);
  assert_int_equal(run.status, CKS_DATA);
  assert_non_null(strstr(finding->text, "did you mean 'class'? the columns are: location, rep, hybrid, check, class"));
  test_run_release(&run);
}

/* 2 places x 2 reps x 16 hybrids in so many groups, named at length or not. */
static char *two_places(const char *heading, int n_group, const char *name)
{
  test_text text = {0};
  cks_sink sink = test_sink(&text);
  char line[200];
  int n = snprintf(line, sizeof line, "location,rep,hybrid,%s,yield (bu/ac)\n", heading);
  sink.put(sink.to, line, (size_t)n, NULL);
  for (int i = 0; i < 64; i++) {
    n = snprintf(line, sizeof line, "%s,%d,Hybrid %d,%s %d,%d\n", i / 32 ? "A" : "B", i / 16 % 2 + 1, i % 16, name,
                 i % 16 % n_group, 80 + i % 16 * 3 + i * 7 % 3);
    sink.put(sink.to, line, (size_t)n, NULL);
  }
  return text.text;
}

static void places_when_the_best_of_each_group_fit_then_they_stand_there_else_it_is_said(void **state)
{
  (void)state;
  cks_settings settings = by("class");
  char *csv = two_places("class", 2, "c"), *text = as_text(&settings, csv);
  assert_non_null(strstr(text, "highest,"));
  assert_null(strstr(text, "has no room here"));
  free(text);
  free(csv);
  csv = two_places("class", 8, "a long name of a");
  text = as_text(&settings, csv);
  assert_null(strstr(text, "highest,"));
  assert_non_null(strstr(text, "The best of each group at each place has no room here"));
  free(text);
  free(csv);
}

static void heading_when_it_has_brackets_then_the_name_before_them_is_enough(void **state)
{
  (void)state;
  cks_settings settings = by("Class");
  char *csv = two_places("class (of the supplier)", 2, "c");
  test_run run = test_run_csv(&settings, csv, NULL);
  assert_int_equal(run.status, CKS_OK);
  group(&run, 0, "c 0", 8);
  test_run_release(&run);
  free(csv);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(f_of_all_when_only_groups_differ_then_nothing_is_said_within_them),
      cmocka_unit_test(one_group_when_it_holds_all_then_as_without),
      cmocka_unit_test(hybrids_when_alone_or_without_a_value_then_not_ranked_and_said),
      cmocka_unit_test(tukey_when_by_group_then_it_counts_the_groups_own),
      cmocka_unit_test(unprotected_when_by_group_then_an_lsd_stands_in_each),
      cmocka_unit_test(groups_of_two_when_lsd_then_alpha_is_left_out_and_no_leader_of_all),
      cmocka_unit_test(single_plots_when_by_group_then_blocks_without_figures),
      cmocka_unit_test(names_table_when_it_has_the_column_then_it_says_the_group),
      cmocka_unit_test(places_when_the_best_of_each_group_fit_then_they_stand_there_else_it_is_said),
      cmocka_unit_test(heading_when_it_has_brackets_then_the_name_before_them_is_enough),
      cmocka_unit_test(column_when_nobody_has_it_then_an_error_names_those_there_are),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
