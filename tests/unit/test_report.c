/* test_report.c: what is shown of results and what is not. The trials are invented; what is looked at is that nothing
 * looks surer than the results are, and that each printed figure is its result. */
#include "support/make_results.h"
#include "support/support.h"

#include <math.h>
#include <string.h>

typedef struct {
  made made;
  cks_report *report;
} shown;

static shown show(const made_options *options)
{
  shown s = {0};
  assert_int_equal(made_new(&s.made, options), 0);
  assert_int_equal(
      cks_report_new(&s.made.settings, s.made.trial, s.made.results, s.made.findings, false, &s.report, NULL), CKS_OK);
  return s;
}

static void hide(shown *s)
{
  cks_report_free(s->report);
  made_free(&s->made);
}

static const cks_section *section_of(const cks_report *report, const char *key)
{
  for (size_t i = 0; i < report->n_section; i++)
    if (!strcmp(report->section[i].key, key)) return &report->section[i];
  return NULL;
}

/* Does a paragraph of the section hold the words? */
static bool says(const cks_report *report, const char *key, const char *words)
{
  const cks_section *section = section_of(report, key);
  for (size_t i = 0; section && i < section->n_part; i++)
    if (section->part[i].text && strstr(section->part[i].text, words)) return true;
  return false;
}

/* The column of a key (the first); n_column when there is none. */
static size_t column_of(const cks_report_table *table, const char *key)
{
  size_t c = 0;
  while (c < table->n_column && strcmp(table->column[c].key, key)) c++;
  return c;
}

static bool has_column(const cks_report_table *table, const char *key)
{
  return column_of(table, key) < table->n_column;
}

static const cks_cell *cell(const cks_report_table *table, size_t row, const char *key)
{
  size_t c = column_of(table, key);
  assert_true(c < table->n_column);
  return &table->cell[row * table->n_column + c];
}

/* The foot row whose label begins with text; fails the test when there is none. */
static size_t foot_of(const cks_report_table *table, const char *text)
{
  for (size_t r = table->n_row; r < table->n_row + table->n_foot; r++)
    if (!strncmp(cell(table, r, "hybrid")->text, text, strlen(text))) return r;
  fail_msg("no foot %s", text);
  return 0;
}

/* Nothing of a table may hold a NaN as a number, a NULL text, or a nan in words. */
static void assert_sound(const cks_report *report)
{
  for (size_t s = 0; s < report->n_section; s++)
    for (size_t p = 0; p < report->section[s].n_part; p++) {
      const cks_report_table *t = report->section[s].part[p].table;
      for (size_t i = 0; t && i < t->n_column * (t->n_row + t->n_foot); i++) {
        assert_non_null(t->cell[i].text);
        assert_null(strstr(t->cell[i].text, "nan"));
        if (t->cell[i].kind == CKS_CELL_NUMBER) assert_true(isfinite(t->cell[i].value));
      }
      for (size_t c = 0; t && c < t->n_column; c++)
        assert_true(t->column[c].key && t->column[c].label && t->column[c].unit && t->column[c].group);
    }
}

static void screen_when_differences_then_ranked_as_the_results(void **state)
{
  (void)state;
  made_options o = made_usual();
  shown s = show(&o);
  const cks_report_table *table = cks_report_find(s.report, "summary");
  const cks_analysis *across = s.made.results->trait[0].across;
  assert_non_null(table);
  assert_true(across->significant);
  assert_int_equal(table->n_row, across->n_hybrid);
  for (size_t r = 0; r < table->n_row; r++) {
    char text[CKS_NUMBER_TEXT];
    assert_close(cell(table, r, "yield")->value, across->hybrid[r].mean, 0);
    assert_string_equal(cell(table, r, "yield")->text, cks_print_number(text, across->hybrid[r].mean, 1));
    assert_close(cell(table, r, "rank")->value, (double)(r + 1), 0);
    assert_int_equal(*cell(table, r, "top")->text != '\0', across->hybrid[r].top == CKS_TOP_IN);
  }
  assert_close(cell(table, foot_of(table, "LSD (0.05)"), "yield")->value, across->lsd, 0);
  assert_true(says(s.report, "summary", "14 hybrids (2 checks), 6 locations, 4 reps, 336 plots, none left out"));
  assert_true(says(s.report, "summary", "their order is no finding."));
  assert_true(says(s.report, "summary", "This season only"));
  assert_sound(s.report);
  hide(&s);
}

static void screen_when_no_differences_then_no_rank_and_NS(void **state)
{
  (void)state;
  made_options o = made_usual();
  o.no_differences = true;
  shown s = show(&o);
  const cks_report_table *table = cks_report_find(s.report, "summary");
  assert_false(s.made.results->trait[0].across->significant);
  assert_false(has_column(table, "rank"));
  assert_false(has_column(table, "top"));
  assert_false(has_column(table, "vs_check"));
  assert_string_equal(cell(table, foot_of(table, "LSD"), "yield")->text, "NS");
  assert_true(says(s.report, "summary", "No differences in yield found: these hybrids cannot be told apart"));
  for (size_t i = 0; i < table->n_column * table->n_row; i++) assert_int_equal(table->cell[i].marks & CKS_MARK_TOP, 0);
  const cks_report_table *handout = cks_report_find(s.report, "handout-1");
  assert_false(has_column(handout, "top"));
  assert_true(says(s.report, "handout-1", "no differences in yield were found"));
  hide(&s);
}

static void screen_when_means_only_then_nothing_compared(void **state)
{
  (void)state;
  made_options o = made_usual();
  o.means_only = true;
  o.n_location = 1;
  shown s = show(&o);
  const cks_report_table *table = cks_report_find(s.report, "summary");
  assert_false(has_column(table, "rank"));
  assert_false(has_column(table, "top"));
  assert_false(has_column(table, "vs_check"));
  assert_int_equal(table->n_foot, 1); /* the mean alone */
  assert_true(says(s.report, "summary", "Means only: nothing here is ranked or compared."));
  assert_true(says(s.report, "handout-1", "this place alone cannot rank them"));
  const cks_report_table *full = cks_report_find(s.report, "full-yield-1");
  assert_false(has_column(full, "letters"));
  assert_false(has_column(full, "se"));
  hide(&s);
}

static void screen_when_across_is_not_possible_then_places_alone(void **state)
{
  (void)state;
  made_options o = made_usual();
  o.no_across = true;
  shown s = show(&o);
  assert_null(cks_report_find(s.report, "summary"));
  assert_non_null(cks_report_find(s.report, "places"));
  assert_true(says(s.report, "summary", "needs a mixed model"));
  const cks_report_table *handout = cks_report_find(s.report, "handout-2");
  for (size_t c = 0; c < handout->n_column; c++) assert_null(strstr(handout->column[c].group, "ALL"));
  assert_true(says(s.report, "handout-2", "were not put together"));
  const cks_report_table *by_place = cks_report_find(s.report, "by-location-yield");
  assert_false(has_column(by_place, "all")); /* no mean over unequal sets of places */
  assert_int_equal(by_place->cell[1 * by_place->n_column + 1].kind, CKS_CELL_MISSING);
  assert_sound(s.report);
  hide(&s);
}

static void screen_when_one_location_then_its_table(void **state)
{
  (void)state;
  made_options o = made_usual();
  o.n_location = 1;
  o.n_check = 0;
  shown s = show(&o);
  const cks_report_table *table = cks_report_find(s.report, "summary");
  assert_true(has_column(table, "rank"));
  assert_false(has_column(table, "places"));
  assert_false(has_column(table, "pct_of_check"));
  assert_null(cks_report_find(s.report, "places"));
  assert_true(says(s.report, "summary", "One place in one year is weak evidence"));
  hide(&s);
}

static void screen_when_a_trait_is_not_across_then_blank_and_said(void **state)
{
  (void)state;
  made_options o = made_usual();
  o.missing_values = true;
  shown s = show(&o);
  const cks_report_table *table = cks_report_find(s.report, "summary");
  for (size_t r = 0; r < table->n_row + table->n_foot; r++)
    assert_string_equal(cell(table, r, "days_to_mid_bloom")->text, "");
  assert_true(says(s.report, "summary", "Days to mid-bloom is blank: taken at one place only"));
  hide(&s);
}

static void lsd_when_tested_as_arcsine_then_not_printed(void **state)
{
  (void)state;
  made_options o = made_usual();
  o.arcsine = true;
  shown s = show(&o);
  const cks_report_table *table = cks_report_find(s.report, "summary");
  assert_true(s.made.results->trait[5].across->significant);
  assert_string_equal(cell(table, foot_of(table, "LSD"), "lodging")->text, "");
  assert_true(says(s.report, "summary", "No LSD for lodging: tested on another scale."));
  assert_non_null(strstr(cks_report_find(s.report, "full-lodging-all")->caption, "another scale"));
  hide(&s);
}

static void trait_when_it_has_no_good_end_then_never_ranked(void **state)
{
  (void)state;
  made_options o = made_usual();
  o.no_yield = true; /* days to mid-bloom lead */
  shown s = show(&o);
  const cks_report_table *table = cks_report_find(s.report, "summary");
  assert_false(has_column(table, "rank"));
  assert_false(has_column(table, "top"));
  for (size_t r = 1; r < table->n_row; r++)
    assert_true(cks_names_compare(cell(table, r - 1, "hybrid")->text, cell(table, r, "hybrid")->text) < 0);
  assert_int_equal(column_of(cks_report_find(s.report, "places"), "highest"), 4); /* there is none */
  hide(&s);
}

static void screen_when_200_hybrids_then_top_group_and_checks(void **state)
{
  (void)state;
  made_options o = made_usual();
  o.n_hybrid = 200;
  o.n_location = 3;
  shown s = show(&o);
  const cks_report_table *table = cks_report_find(s.report, "summary");
  const cks_analysis *across = s.made.results->trait[0].across;
  size_t expected = 0, checks = 0;
  for (size_t i = 0; i < across->n_hybrid; i++) {
    bool check = s.made.results->hybrid[across->hybrid[i].hybrid].check;
    expected += check || (across->hybrid[i].top == CKS_TOP_IN && i < 30);
  }
  for (size_t r = 0; r < table->n_row; r++) checks += (cell(table, r, "hybrid")->marks & CKS_MARK_CHECK) != 0;
  assert_int_equal(table->n_row, expected);
  assert_int_equal(checks, 2);
  assert_true(says(s.report, "summary", "stand in the full tables (--full)"));
  assert_int_equal(cks_report_find(s.report, "full-yield-all")->n_row, 200);
  assert_int_equal(cks_report_find(s.report, "handout-1")->n_row, 23); /* 200 in 9 pages of at most 24 */
  hide(&s);
}

static void letters_when_shown_then_in_full_tables_only(void **state)
{
  (void)state;
  made_options o = made_usual();
  shown s = show(&o);
  assert_true(has_column(cks_report_find(s.report, "full-yield-all"), "letters"));
  assert_false(has_column(cks_report_find(s.report, "summary"), "letters"));
  for (size_t i = 0; i < 6; i++) {
    char key[32];
    snprintf(key, sizeof key, "handout-%zu", i + 1);
    assert_false(has_column(cks_report_find(s.report, key), "letters"));
  }
  hide(&s);
}

static void heat_when_no_differences_then_no_shade(void **state)
{
  (void)state;
  made_options o = made_usual();
  shown s = show(&o);
  const cks_report_table *table = cks_report_find(s.report, "by-location-yield");
  for (size_t l = 0; l < 6; l++) {
    bool shaded = false;
    for (size_t r = 0; r < table->n_row; r++) shaded |= table->cell[r * table->n_column + 2 + l].shade > 0;
    assert_int_equal(shaded, s.made.results->trait[0].location[l].significant);
  }
  hide(&s);
}

static void plots_when_left_out_or_flagged_then_said(void **state)
{
  (void)state;
  made_options o = made_usual();
  o.n_left_out = 11;
  shown s = show(&o);
  const cks_report_table *table = cks_report_find(s.report, "plots");
  assert_int_equal(table->n_row, 336 + 11);
  assert_true(says(s.report, "summary", "11 of 347 plots left out"));
  assert_string_equal(cell(table, 336, "used")->text, "left out");
  assert_string_equal(cell(table, 336, "note")->text, "combine plugged");
  bool flagged = false;
  for (size_t r = 0; r < 336; r++) {
    bool has = *cell(table, r, "note")->text != '\0';
    assert_int_equal(has, (cell(table, r, "note")->marks & CKS_MARK_FLAG) != 0);
    if (has) assert_close(cell(table, r, "line")->value, 12, 0);
    flagged |= has;
  }
  assert_true(flagged);
  assert_true(says(s.report, "handout-1", "Plots left out: 11."));
  assert_true(says(s.report, "handout-2", "Plots left out: none."));
  hide(&s);
}

static void sheet_for_when_known_then_that_handout_alone(void **state)
{
  (void)state;
  made_options o = made_usual();
  made m;
  cks_report *report = NULL;
  cks_error error = {0};
  assert_int_equal(made_new(&m, &o), 0);
  m.settings.sheet_for = "cold draw";
  assert_int_equal(cks_report_new(&m.settings, m.trial, m.results, m.findings, false, &report, &error), CKS_OK);
  assert_non_null(section_of(report, "handout-3"));
  assert_true(section_of(report, "handout-3")->first_screen);
  assert_null(section_of(report, "summary"));
  assert_null(section_of(report, "handout-1"));
  cks_report_free(report);
  m.settings.sheet_for = "Nowhere";
  assert_int_equal(cks_report_new(&m.settings, m.trial, m.results, m.findings, false, &report, &error), CKS_USAGE);
  assert_null(report);
  assert_non_null(strstr(error.text, "Alder Flat, Bram Hill, Cold Draw, Dunning, Elk Section and Ferrow"));
  made_free(&m);
}

static void methods_when_not_used_then_not_named(void **state)
{
  (void)state;
  made_options o = made_usual();
  shown s = show(&o);
  const cks_report_table *table = cks_report_find(s.report, "methods");
  bool random = false;
  for (size_t r = 0; r < table->n_row; r++) {
    random |= !strcmp(cell(table, r, "method")->text, "across places, locations random");
    assert_string_not_equal(cell(table, r, "method")->text, "across places, locations fixed");
    assert_string_not_equal(cell(table, r, "method")->text, "percentages");
  }
  assert_true(random);
  hide(&s);
}

static void charts_when_made_then_point_at_cells_that_are_there(void **state)
{
  (void)state;
  made_options o = made_usual();
  shown s = show(&o);
  size_t n = 0;
  for (size_t i = 0; i < s.report->n_section; i++)
    for (size_t p = 0; p < s.report->section[i].n_part; p++) {
      const cks_chart *chart = s.report->section[i].part[p].chart;
      if (!chart) continue;
      n++;
      assert_true(*chart->description != '\0');
      assert_true(chart->x.high > chart->x.low && chart->x.step > 0);
      for (size_t k = 0; k < chart->n_series; k++) {
        const cks_range *range = &chart->series[k].x;
        const cks_report_table *table = cks_report_find(s.report, range->table);
        assert_non_null(table);
        assert_true(range->column < table->n_column && range->first + range->n <= table->n_row);
      }
    }
  size_t told_apart = 0; /* dots without an LSD bar would invite ranking */
  const cks_trait_result *yield = cks_results_trait(s.made.results, CKS_ROLE_YIELD);
  for (size_t i = 0; i < yield->n_location; i++) told_apart += yield->location[i].significant;
  assert_true(told_apart > 0 && told_apart < yield->n_location);
  assert_int_equal(n, 2 + told_apart); /* all places: dots and points; dots on the handouts */
  hide(&s);
}

static void report_when_cases_are_unlucky_then_sound(void **state)
{
  (void)state;
  made_options cases[6];
  for (size_t i = 0; i < 6; i++) cases[i] = made_usual();
  cases[0].odd_names = cases[0].utf8_names = true;
  cases[1].long_names = true;
  cases[2].n_hybrid = 2, cases[2].n_location = 2;
  cases[3].n_check = 0, cases[3].no_across = true, cases[3].missing_values = true;
  cases[4].unequal = true, cases[4].place_facts = false;
  cases[5].means_only = true, cases[5].no_yield = true;
  for (size_t i = 0; i < 6; i++) {
    shown s = show(&cases[i]);
    assert_sound(s.report);
    hide(&s);
  }
}

static void report_when_no_trait_has_a_result_then_says_so(void **state)
{
  (void)state;
  made_options o = made_usual();
  made m;
  cks_report *report = NULL;
  assert_int_equal(made_new(&m, &o), 0);
  for (size_t t = 0; t < m.results->n_trait; t++) {
    m.results->trait[t].across = NULL;
    for (size_t l = 0; l < m.results->trait[t].n_location; l++) {
      m.results->trait[t].location[l].method = CKS_METHOD_NONE;
      m.results->trait[t].location[l].why = "no values";
    }
  }
  assert_int_equal(cks_report_new(&m.settings, m.trial, m.results, m.findings, false, &report, NULL), CKS_OK);
  assert_true(says(report, "summary", "No trait gave a result."));
  cks_report_free(report);
  made_free(&m);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(screen_when_differences_then_ranked_as_the_results),
      cmocka_unit_test(screen_when_no_differences_then_no_rank_and_NS),
      cmocka_unit_test(screen_when_means_only_then_nothing_compared),
      cmocka_unit_test(screen_when_across_is_not_possible_then_places_alone),
      cmocka_unit_test(screen_when_one_location_then_its_table),
      cmocka_unit_test(screen_when_a_trait_is_not_across_then_blank_and_said),
      cmocka_unit_test(lsd_when_tested_as_arcsine_then_not_printed),
      cmocka_unit_test(trait_when_it_has_no_good_end_then_never_ranked),
      cmocka_unit_test(screen_when_200_hybrids_then_top_group_and_checks),
      cmocka_unit_test(letters_when_shown_then_in_full_tables_only),
      cmocka_unit_test(heat_when_no_differences_then_no_shade),
      cmocka_unit_test(plots_when_left_out_or_flagged_then_said),
      cmocka_unit_test(sheet_for_when_known_then_that_handout_alone),
      cmocka_unit_test(methods_when_not_used_then_not_named),
      cmocka_unit_test(charts_when_made_then_point_at_cells_that_are_there),
      cmocka_unit_test(report_when_cases_are_unlucky_then_sound),
      cmocka_unit_test(report_when_no_trait_has_a_result_then_says_so),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
