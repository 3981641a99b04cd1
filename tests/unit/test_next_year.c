/*
 * test_next_year.c: the lists for next year: every hybrid that is not a check stands in one of them, by what was found and
 * nothing else. Small invented series, analyzed; what may be said of a hybrid is what the analysis found (Steel & Torrie
 * 1980, chapter 8).
 */
#include "support/make_trial.h"
#include "support/support.h"

#include <math.h>
#include <string.h>

enum { MOST_HYBRIDS = 8, MOST_PLOTS = 400, N_LISTS = 3 };

/* places x years x hybrids A, B, ... x 3 reps about these means; spread: of the plots. */
typedef struct {
  size_t n_place, n_year, n_hybrid;
  double mean[MOST_HYBRIDS], spread;
  cks_role role;
  const char *check[3]; /* ended by NULL */
  const char *few;      /* hybrid that stands at the first place of the first year alone; NULL: none */
  cks_comparison comparison;
  bool top_best;
} series;

typedef struct {
  made_analysis made;
  cks_settings settings;
  cks_report *report;
} shown;

static shown show(const series *s)
{
  static const char *const places[] = {"Creek", "Ferrow", "Gale", "Hollow"}, *const reps[] = {"1", "2", "3"};
  made_plot plot[MOST_PLOTS];
  size_t n = 0;
  test_random random = {11};
  for (size_t y = 0; y < s->n_year; y++)
    for (size_t l = 0; l < s->n_place; l++)
      for (size_t r = 0; r < 3; r++)
        for (size_t h = 0; h < s->n_hybrid; h++) {
          double value = s->mean[h] + s->spread * test_normal(&random);
          bool absent = s->few && !strcmp(s->few, made_names[h]) && (y || l);
          if (absent) continue;
          assert_true(n < MOST_PLOTS);
          plot[n++] = (made_plot){places[l], 2024 + (int)y, reps[r], NULL, made_names[h], value};
        }
  shown out = {.settings = made_settings()};
  out.settings.comparison = s->comparison;
  out.settings.top_best = s->top_best;
  out.made = made_analyze(made_trial(plot, n, s->role, s->check), &out.settings);
  assert_int_equal(out.made.status, CKS_OK);
  assert_int_equal(
      cks_report_new(&out.settings, out.made.trial, out.made.results, out.made.findings, false, &out.report, NULL),
      CKS_OK);
  return out;
}

static void hide(shown *s)
{
  cks_report_free(s->report);
  made_analysis_release(&s->made);
}

static const cks_section *section_of(const shown *s)
{
  for (size_t i = 0; i < s->report->n_section; i++)
    if (!strcmp(s->report->section[i].key, "next-year")) return &s->report->section[i];
  return NULL;
}

static bool says(const shown *s, const char *words)
{
  const cks_section *section = section_of(s);
  for (size_t i = 0; section && i < section->n_part; i++)
    if (section->part[i].text && strstr(section->part[i].text, words)) return true;
  return false;
}

static const cks_report_table *list_of(const shown *s, int which)
{
  static const char *const keys[N_LISTS] = {"next-year-1", "next-year-2", "next-year-3"};
  return cks_report_find(s->report, keys[which - 1]);
}

static const cks_cell *cell(const cks_report_table *table, size_t row, const char *key, size_t nth)
{
  for (size_t c = 0; c < table->n_column; c++)
    if (!strcmp(table->column[c].key, key) && nth-- == 0) return &table->cell[row * table->n_column + c];
  return NULL;
}

/* The list and row of a hybrid, 0 when it stands in none; fails when it stands in more. */
static int find(const shown *s, const char *hybrid, size_t *row)
{
  int found = 0;
  for (int k = 1; k <= N_LISTS; k++) {
    const cks_report_table *table = list_of(s, k);
    for (size_t r = 0; table && r < table->n_row; r++) {
      if (strcmp(cell(table, r, "hybrid", 0)->text, hybrid)) continue;
      if (found) fail_msg("%s stands in lists %d and %d", hybrid, found, k);
      found = k;
      *row = r;
    }
  }
  return found;
}

/* lists: of A, B, ... in turn; 'c' for a check, which stands in none. */
static void expect_lists(const shown *s, const char *lists)
{
  size_t row, n = 0, rows = 0;
  for (; lists[n]; n++) {
    int expected = lists[n] == 'c' ? 0 : lists[n] - '0', found = find(s, made_names[n], &row);
    if (found != expected) fail_msg("%s stands in list %d, expected %d", made_names[n], found, expected);
  }
  for (int k = 1; k <= N_LISTS; k++) rows += list_of(s, k) ? list_of(s, k)->n_row : 0;
  size_t checks = 0;
  for (size_t i = 0; i < n; i++) checks += lists[i] == 'c';
  assert_int_equal(rows, n - checks);
}

static const char *text_at(const shown *s, const char *hybrid, const char *key, size_t nth)
{
  size_t row = 0;
  int list = find(s, hybrid, &row);
  assert_true(list > 0);
  const cks_cell *found = cell(list_of(s, list), row, key, nth);
  if (!found) fail_msg("no column %s", key);
  return found->text;
}

/* Two hybrids at the top, one above the check and below them, the check, one like it and one below. */
static const series usual = {.n_place = 4,
                             .n_year = 1,
                             .n_hybrid = 6,
                             .mean = {110, 110.5, 100, 90, 90.4, 80},
                             .spread = 2,
                             .role = CKS_ROLE_YIELD,
                             .check = {"D"}};

static void lists_when_differences_are_found_then_each_hybrid_in_its_own(void **state)
{
  (void)state;
  shown s = show(&usual);
  expect_lists(&s, "111c32");
  assert_string_equal(text_at(&s, "A", "top", 0), "top");
  assert_string_equal(text_at(&s, "B", "top", 0), "top");
  assert_string_equal(text_at(&s, "C", "top", 0), ""); /* above the check, out of the top group */
  assert_string_equal(text_at(&s, "C", "vs_check", 0), "above");
  assert_string_equal(text_at(&s, "E", "vs_check", 0), "");
  assert_string_equal(text_at(&s, "F", "vs_check", 0), "below");
  assert_string_equal(text_at(&s, "A", "environments", 0), "4");
  assert_string_equal(text_at(&s, "A", "years", 0), "1");
  assert_true(says(&s, "The check is D (mean "));
  assert_true(says(&s, "These lists are no decision: another season may change them."));
  assert_true(says(&s, "of that comparison by itself, not of all at once"));
  assert_string_equal(list_of(&s, 2)->title, "2. Below the check");
  assert_int_equal(list_of(&s, 1)->n_foot, 0); /* a mean of all hybrids is not the list's */
  hide(&s);
}

/* In the order of the ranked table, and each figure as the analysis has it. */
static void lists_when_ranked_then_rows_and_intervals_are_those_of_the_analysis(void **state)
{
  (void)state;
  shown s = show(&usual);
  const cks_analysis *a = s.made.results->trait[0].across;
  const cks_report_table *table = list_of(&s, 1);
  double last = INFINITY;
  for (size_t r = 0; r < table->n_row; r++) {
    const cks_vs_check *vs = made_row(&s.made, a, cell(table, r, "hybrid", 0)->text)->vs_check;
    assert_true(cell(table, r, "yield", 0)->value < last);
    last = cell(table, r, "yield", 0)->value;
    assert_close(cell(table, r, "difference", 0)->value, vs->difference, 0);
    assert_close(cell(table, r, "ci_low", 0)->value, vs->difference - a->lsd, 1e-12);
    assert_close(cell(table, r, "ci_high", 0)->value, vs->difference + a->lsd, 1e-12);
  }
  hide(&s);
}

static void lists_when_nothing_is_found_then_all_in_the_third_by_name(void **state)
{
  (void)state;
  series alike = usual;
  for (size_t h = 0; h < alike.n_hybrid; h++) alike.mean[h] = 90;
  shown s = show(&alike);
  const cks_analysis *a = s.made.results->trait[0].across;
  assert_false(a->significant);
  expect_lists(&s, "333c33");
  static const char *const by_name[] = {"A", "B", "C", "E", "F"};
  for (size_t r = 0; r < 5; r++) assert_string_equal(cell(list_of(&s, 3), r, "hybrid", 0)->text, by_name[r]);
  assert_true(says(&s, "No differences in yield found (F test, p "));
  assert_true(says(&s, "1. In the top group, or above the check: none."));
  assert_null(cell(list_of(&s, 3), 0, "top", 0));
  assert_true(*text_at(&s, "A", "ci_low", 0) != '\0'); /* F or no F */
  hide(&s);
}

/* Dunnett's test asks no F, and its value makes the interval wider than the LSD's. */
static void lists_when_dunnetts_test_then_by_its_intervals(void **state)
{
  (void)state;
  series by_dunnett = usual;
  by_dunnett.comparison = CKS_COMPARE_DUNNETT;
  shown s = show(&by_dunnett);
  const cks_analysis *a = s.made.results->trait[0].across;
  const cks_vs_check *vs = made_row(&s.made, a, "C")->vs_check;
  assert_true(a->critical_difference > a->lsd);
  assert_close(vs->ci_high - vs->difference, a->critical_difference, 1e-12);
  assert_true(says(&s, "interval of the difference by Dunnett's test, of all hybrids against that check at once."));
  assert_false(says(&s, "by itself"));
  expect_lists(&s, "111c32");
  hide(&s);
}

/* Comparisons with the best ask for more than the LSD: A may be the best, though the check, which is, is told from it. */
static void lists_when_in_the_top_group_and_below_the_check_then_the_first_and_it_says_so(void **state)
{
  (void)state;
  series best = usual;
  best.top_best = true;
  best.mean[0] = 108.35; /* between the LSD and the value for the best below B */
  best.check[0] = "B";
  shown s = show(&best);
  assert_string_equal(text_at(&s, "A", "top", 0), "top");
  assert_string_equal(text_at(&s, "A", "vs_check", 0), "below");
  expect_lists(&s, "1c2222");
  assert_true(says(&s, "A hybrid in the top group stands in the first list, though it is below the check."));
  hide(&s);
}

static void lists_when_a_hybrid_is_set_aside_then_it_is_in_the_third(void **state)
{
  (void)state;
  series aside = usual;
  aside.few = "A";
  shown s = show(&aside);
  expect_lists(&s, "311c32");
  assert_string_equal(text_at(&s, "A", "environments", 0), "1");
  assert_string_equal(text_at(&s, "A", "yield", 0), "");
  assert_true(says(&s, "fewer than half of the environments: A"));
  const cks_report_table *third = list_of(&s, 3);
  assert_string_equal(cell(third, third->n_row - 1, "hybrid", 0)->text, "A"); /* after those that are ranked */
  hide(&s);
}

static void lists_when_two_checks_then_by_the_first_and_columns_for_both(void **state)
{
  (void)state;
  series two = usual;
  two.check[0] = "C";
  two.check[1] = "D";
  shown s = show(&two);
  expect_lists(&s, "11cc22");
  assert_string_equal(text_at(&s, "E", "vs_check", 0), "below");
  assert_string_equal(text_at(&s, "E", "vs_check", 1), "");
  assert_true(says(&s, "The lists are by it alone; D (mean "));
  hide(&s);
}

static void lists_when_the_first_check_is_set_aside_then_by_the_next(void **state)
{
  (void)state;
  series two = usual;
  two.check[0] = "C";
  two.check[1] = "D";
  two.few = "C";
  shown s = show(&two);
  expect_lists(&s, "11cc32");
  assert_true(says(&s, "The check is D (mean "));
  hide(&s);
}

static void lists_when_no_check_is_compared_then_by_the_top_group_alone(void **state)
{
  (void)state;
  series none = usual, aside = usual;
  none.check[0] = NULL;
  aside.few = "D";
  shown s = show(&none);
  expect_lists(&s, "112222");
  assert_true(says(&s, "No check is compared here, so the lists are by the top group alone."));
  assert_false(says(&s, "interval"));
  assert_string_equal(list_of(&s, 2)->title, "2. Not in the top group");
  assert_null(cell(list_of(&s, 1), 0, "difference", 0));
  hide(&s);
  s = show(&aside);
  expect_lists(&s, "112c22");
  assert_false(says(&s, "interval"));
  hide(&s);
}

/* What one place finds is not shown: it would be read as what the lists are by. */
static void lists_when_one_place_in_one_season_then_all_in_the_third_and_it_says_so(void **state)
{
  (void)state;
  series one = usual;
  one.n_place = 1;
  shown s = show(&one);
  assert_true(s.made.results->trait[0].location[0].significant);
  expect_lists(&s, "333c33");
  assert_true(says(&s, "One place in one season cannot say, so every hybrid stands in the third list."));
  assert_null(cell(list_of(&s, 3), 0, "top", 0));
  assert_null(cell(list_of(&s, 3), 0, "vs_check", 0));
  assert_string_equal(cell(list_of(&s, 3), 0, "hybrid", 0)->text, "A");
  hide(&s);
}

static void lists_when_several_years_then_they_are_counted(void **state)
{
  (void)state;
  series years = usual;
  years.n_place = 2;
  years.n_year = 3;
  years.few = "E";
  shown s = show(&years);
  assert_string_equal(text_at(&s, "A", "environments", 0), "6");
  assert_string_equal(text_at(&s, "A", "years", 0), "3");
  assert_string_equal(text_at(&s, "E", "environments", 0), "1");
  assert_string_equal(text_at(&s, "E", "years", 0), "1");
  hide(&s);
}

/* Lodging between 20 and 80 % is tested as it is; beyond, on another scale, and in percent no interval is true. */
static void lists_when_low_is_good_then_below_the_check_is_the_good_side(void **state)
{
  (void)state;
  series low = usual;
  low.role = CKS_ROLE_LODGING;
  for (size_t h = 0; h < low.n_hybrid; h++) low.mean[h] = 150 - usual.mean[h]; /* 40 to 70 % */
  shown s = show(&low);
  assert_false(s.made.results->trait[0].arcsine);
  expect_lists(&s, "111c32");
  assert_string_equal(list_of(&s, 1)->title, "1. In the top group, or below the check");
  assert_string_equal(list_of(&s, 2)->title, "2. Above the check");
  assert_string_equal(text_at(&s, "C", "vs_check", 0), "below");
  assert_true(strchr(text_at(&s, "C", "ci_low", 0), '.') != NULL); /* an end that reads 0 might be 0.4 */
  assert_true(says(&s, "The low end of lodging is the good one"));
  hide(&s);
  for (size_t h = 0; h < low.n_hybrid; h++) low.mean[h] = 115 - usual.mean[h]; /* 5 to 35 % */
  low.spread = 1;
  s = show(&low);
  assert_true(s.made.results->trait[0].arcsine);
  assert_true(says(&s, "so a difference has no interval in percent"));
  assert_null(cell(list_of(&s, 1), 0, "ci_low", 0));
  expect_lists(&s, "111c32");
  hide(&s);
}

static void lists_when_no_end_is_good_then_there_are_none(void **state)
{
  (void)state;
  series height = usual;
  height.role = CKS_ROLE_DAYS_TO_MID_BLOOM;
  shown s = show(&height);
  assert_null(section_of(&s));
  hide(&s);
}

/* Words of a verdict. */
static void texts_when_lists_are_shown_then_no_word_decides(void **state)
{
  (void)state;
  static const char *const words[] = {"drop", "keep", "advance", "recommend", "discard", "select", "safe"};
  static const size_t places[] = {1, 4};
  for (size_t i = 0; i < sizeof places / sizeof *places; i++) {
    series some = usual;
    some.n_place = places[i];
    shown s = show(&some);
    for (size_t w = 0; w < sizeof words / sizeof *words; w++) {
      if (says(&s, words[w])) fail_msg("\"%s\" is said", words[w]);
      for (int k = 1; k <= N_LISTS; k++) assert_true(!list_of(&s, k) || !strstr(list_of(&s, k)->title, words[w]));
    }
    hide(&s);
  }
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(lists_when_differences_are_found_then_each_hybrid_in_its_own),
      cmocka_unit_test(lists_when_ranked_then_rows_and_intervals_are_those_of_the_analysis),
      cmocka_unit_test(lists_when_nothing_is_found_then_all_in_the_third_by_name),
      cmocka_unit_test(lists_when_dunnetts_test_then_by_its_intervals),
      cmocka_unit_test(lists_when_in_the_top_group_and_below_the_check_then_the_first_and_it_says_so),
      cmocka_unit_test(lists_when_a_hybrid_is_set_aside_then_it_is_in_the_third),
      cmocka_unit_test(lists_when_two_checks_then_by_the_first_and_columns_for_both),
      cmocka_unit_test(lists_when_the_first_check_is_set_aside_then_by_the_next),
      cmocka_unit_test(lists_when_no_check_is_compared_then_by_the_top_group_alone),
      cmocka_unit_test(lists_when_one_place_in_one_season_then_all_in_the_third_and_it_says_so),
      cmocka_unit_test(lists_when_several_years_then_they_are_counted),
      cmocka_unit_test(lists_when_low_is_good_then_below_the_check_is_the_good_side),
      cmocka_unit_test(lists_when_no_end_is_good_then_there_are_none),
      cmocka_unit_test(texts_when_lists_are_shown_then_no_word_decides),
  };
  return cmocka_run_group_tests(tests, test_start, NULL);
}
