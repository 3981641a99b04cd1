/*
 * test_interaction_section.c: what is shown of hybrids by environments: a hybrid is named and a cell shaded only where its
 * environment found differences, a line is named only where slopes differ, and what does not exist is said, not invented.
 */
#include "support/make_trial.h"
#include "support/support.h"

#include <math.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))
enum { HYBRIDS = 6, REPS = 3, MOST_PLACES = 6 };

static const char *const places[MOST_PLACES] = {"Dale", "Fen", "Holt", "Moor", "Ridge", "Weir"};

typedef struct {
  size_t n_place;
  double slope_step; /* hybrid i answers to the places with slope 1 + (i - 2.5) x step */
  double apart;      /* between neighbors at every place but the first, where all are alike */
  size_t n_rep;
  bool lacks; /* every hybrid stands at three places only */
} field;

typedef struct {
  made_analysis made;
  cks_report *report;
} shown;

/* Noise of plots that no formula of the analysis follows: fixed, small, other at each plot. */
static double noise(size_t place, size_t hybrid, size_t rep)
{
  test_random random = {1 + place * 1009 + hybrid * 101 + rep * 11};
  test_uniform(&random);
  return test_uniform(&random) - 0.5;
}

static shown show(const field *f)
{
  static made_plot plots[MOST_PLACES * HYBRIDS * REPS];
  size_t n = 0;
  for (size_t j = 0; j < f->n_place; j++)
    for (size_t i = 0; i < HYBRIDS; i++)
      for (size_t k = 0; k < f->n_rep; k++) {
        if (f->lacks && (i + j) % MOST_PLACES < 3) continue;
        double along = 10 * ((double)j - 2), slope = 1 + ((double)i - 2.5) * f->slope_step;
        double value = 100 + slope * along + (j ? f->apart * (double)i : 0) + 2 * noise(j, i, k);
        plots[n++] = (made_plot){places[j], 2026, made_reps[k], NULL, made_names[i], value};
      }
  cks_settings settings = made_settings();
  shown s = {made_analyze(made_trial(plots, n, CKS_ROLE_YIELD, NULL), &settings), NULL};
  assert_int_equal(s.made.status, CKS_OK);
  assert_int_equal(cks_report_new(&settings, s.made.trial, s.made.results, s.made.findings, false, &s.report, NULL),
                   CKS_OK);
  return s;
}

static void hide(shown *s)
{
  cks_report_free(s->report);
  made_analysis_release(&s->made);
}

static const cks_report_table *table_of(const shown *s, const char *what)
{
  const cks_report_table *table = cks_report_find(s->report, what);
  if (!table) fail_msg("no table %s", what);
  return table;
}

static bool has_key(const cks_report *report, const char *key, const cks_report_table *other)
{
  bool any = false;
  for (size_t i = 0; i < report->n_section; i++)
    for (size_t p = 0; p < report->section[i].n_part; p++) {
      const cks_report_table *table = report->section[i].part[p].table;
      any |= table && table != other && !strcmp(table->key, key);
    }
  return any;
}

/* Charts find their cells by the key of a table. */
static void report_when_whole_then_each_table_has_a_key_of_its_own(void **state)
{
  (void)state;
  field f = {6, 0.3, 0.5, REPS, false};
  shown s = show(&f);
  for (size_t i = 0; i < s.report->n_section; i++)
    for (size_t p = 0; p < s.report->section[i].n_part; p++) {
      const cks_report_table *table = s.report->section[i].part[p].table;
      if (table && has_key(s.report, table->key, table)) fail_msg("two tables have the key %s", table->key);
    }
  hide(&s);
}

static size_t column_of(const cks_report_table *table, const char *key)
{
  for (size_t c = 0; c < table->n_column; c++)
    if (!strcmp(table->column[c].key, key)) return c;
  return table->n_column;
}

static const cks_cell *cell(const cks_report_table *table, size_t row, const char *key)
{
  size_t c = column_of(table, key);
  if (c == table->n_column) fail_msg("no column %s", key);
  return &table->cell[row * table->n_column + c];
}

static bool says(const shown *s, const char *words)
{
  bool any = false;
  for (size_t i = 0; i < s->report->n_section; i++) {
    const cks_section *section = &s->report->section[i];
    for (size_t p = 0; p < section->n_part && !strcmp(section->key, "interaction"); p++)
      any |= strstr(section->part[p].text, words) != NULL;
  }
  return any;
}

static const cks_chart *chart_of(const shown *s, const char *key)
{
  for (size_t i = 0; i < s->report->n_section; i++)
    for (size_t p = 0; p < s->report->section[i].n_part; p++) {
      const cks_chart *chart = s->report->section[i].part[p].chart;
      if (chart && !strcmp(chart->key, key)) return chart;
    }
  return NULL;
}

static size_t named_lines(const cks_chart *chart)
{
  size_t n = 0;
  for (size_t i = 0; i < chart->n_series; i++) n += chart->series[i].style >= 4;
  return n;
}

static void environments_when_no_differences_there_then_no_hybrid_is_named(void **state)
{
  (void)state;
  field f = {6, 0, 3, REPS, false};
  shown s = show(&f);
  const cks_report_table *table = table_of(&s, "environments-yield");
  assert_int_equal(table->n_row, 6);
  assert_string_equal(cell(table, 0, "highest")->text, "no differences");
  assert_int_equal(cell(table, 0, "ahead")->kind, CKS_CELL_EMPTY);
  assert_int_equal(cell(table, 0, "by_axes")->kind, CKS_CELL_EMPTY);
  for (size_t j = 1; j < 6; j++) assert_string_equal(cell(table, j, "highest")->text, "F");
  hide(&s);
}

static void differences_when_shaded_then_only_where_found(void **state)
{
  (void)state;
  field f = {6, 0, 3, REPS, false};
  shown s = show(&f);
  const cks_report_table *table = table_of(&s, "differences-yield");
  const cks_interaction *x = s.made.results->trait[0].interaction;
  assert_true(table->heat);
  for (size_t i = 0; i < HYBRIDS; i++) {
    double sum = 0;
    assert_true(!(cell(table, i, "Dale 2026")->shade > 0));
    for (size_t j = 0; j < 6; j++) sum += table->cell[i * table->n_column + 1 + j].value;
    assert_close(sum / 6, x->hybrid[i].mean - s.made.results->trait[0].across->mean, 1e-9);
  }
  float most = 0;
  for (size_t i = 0; i < table->n_column * table->n_row; i++) most = fmaxf(most, table->cell[i].shade);
  assert_true(most == 1);
  hide(&s);
}

static void slopes_when_alike_then_no_line_is_named(void **state)
{
  (void)state;
  field f = {6, 0, 0, REPS, false};
  shown s = show(&f);
  const cks_chart *chart = chart_of(&s, "chart-slopes-yield");
  assert_non_null(chart);
  assert_int_equal(chart->kind, CKS_LINES);
  assert_int_equal(chart->n_series, HYBRIDS + 1);
  assert_int_equal(named_lines(chart), 0);
  assert_true(says(&s, "No proof that lines over the environment means differ in slope"));
  hide(&s);
}

static void slopes_when_they_differ_then_lines_and_sides_are_named(void **state)
{
  (void)state;
  field f = {6, 0.3, 0.5, REPS, false};
  shown s = show(&f);
  assert_true(named_lines(chart_of(&s, "chart-slopes-yield")) > 1);
  assert_true(says(&s, "differ in slope (F "));
  assert_true(says(&s, "No one ranking serves these places."));
  const cks_report_table *pairs = table_of(&s, "sides-yield");
  assert_int_equal(pairs->n_row, s.made.results->trait[0].interaction->n_crossover);
  for (size_t r = 0; r < pairs->n_row; r++) {
    assert_true(cell(pairs, r, "above_by")->value > 0);
    assert_true(cell(pairs, r, "below_by")->value > 0);
  }
  const cks_chart *axes = chart_of(&s, "chart-axes-yield");
  assert_non_null(axes);
  assert_non_null(strstr(axes->x.label, "% of the interaction)"));
  assert_non_null(strstr(chart_of(&s, "chart-site-axes-yield")->y.label, "% of hybrid and interaction)"));
  hide(&s);
}

/* No figure of stability without the mean: in each table that has one. */
static void stability_when_shown_then_beside_the_mean(void **state)
{
  (void)state;
  field f = {6, 0.1, 2, REPS, false};
  shown s = show(&f);
  const cks_report_table *table = table_of(&s, "stability-yield");
  const cks_analysis *across = s.made.results->trait[0].across;
  for (size_t i = 0; i < table->n_row; i++) {
    const cks_stability *line = &s.made.results->trait[0].interaction->hybrid[i];
    assert_close(cell(table, i, "mean")->value, across->hybrid[i].mean, 0);
    assert_close(cell(table, i, "slope")->value, line->slope, 0);
    assert_close(cell(table, i, "stability_variance")->value, line->stability_variance, 0);
    assert_close(cell(table, i, "superiority")->value, line->superiority, 0);
  }
  assert_non_null(strstr(table->caption, "of 6 hybrids with slope 1 about 0.3 would come below 0.05 by chance"));
  hide(&s);
}

static void section_when_two_environments_then_no_slope_and_why(void **state)
{
  (void)state;
  field f = {2, 0, 3, REPS, false};
  shown s = show(&f);
  const cks_report_table *table = table_of(&s, "stability-yield");
  assert_true(says(&s, "No slopes: a line over the environment means needs three of them."));
  assert_int_equal(column_of(table, "slope"), table->n_column);
  assert_null(strstr(table->caption, "Slope"));
  assert_null(chart_of(&s, "chart-slopes-yield"));
  hide(&s);
}

static void section_when_values_are_missing_then_lines_need_four(void **state)
{
  (void)state;
  field f = {6, 0, 3, REPS, true};
  shown s = show(&f);
  assert_true(says(&s, "No slopes: with values missing a line needs four environments."));
  assert_true(says(&s, "need a complete table: "));
  hide(&s);
}

static void section_when_one_environment_then_a_sentence(void **state)
{
  (void)state;
  field f = {1, 0, 3, REPS, false};
  shown s = show(&f);
  assert_true(says(&s, "One environment: how hybrids answer to places and seasons cannot be seen from it"));
  assert_null(cks_report_find(s.report, "stability-yield"));
  assert_null(chart_of(&s, "chart-stability-yield"));
  hide(&s);
}

static void section_when_one_plot_each_then_never_a_verdict(void **state)
{
  (void)state;
  field f = {6, 0.3, 0.5, 1, false};
  shown s = show(&f);
  assert_true(says(&s, "Whether one ranking serves these places: cannot tell from these plots."));
  assert_string_equal(cell(table_of(&s, "environments-yield"), 1, "highest")->text, "not tested");
  assert_false(table_of(&s, "differences-yield")->heat);
  hide(&s);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(report_when_whole_then_each_table_has_a_key_of_its_own),
      cmocka_unit_test(environments_when_no_differences_there_then_no_hybrid_is_named),
      cmocka_unit_test(differences_when_shaded_then_only_where_found),
      cmocka_unit_test(slopes_when_alike_then_no_line_is_named),
      cmocka_unit_test(slopes_when_they_differ_then_lines_and_sides_are_named),
      cmocka_unit_test(stability_when_shown_then_beside_the_mean),
      cmocka_unit_test(section_when_two_environments_then_no_slope_and_why),
      cmocka_unit_test(section_when_values_are_missing_then_lines_need_four),
      cmocka_unit_test(section_when_one_environment_then_a_sentence),
      cmocka_unit_test(section_when_one_plot_each_then_never_a_verdict),
  };
  return cmocka_run_group_tests(tests, test_start, NULL);
}
