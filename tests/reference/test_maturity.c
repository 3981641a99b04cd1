/*
 * test_maturity.c: days to mid-bloom of 12_midbloom_regression against R's lm: the lines and equal slopes as the JSON has
 * them, the calls and the pairs as the results have them (see expect.h; SOURCE.md beside the figures says where they are from).
 */
#include "reference/expect.h"
#include "support/make_trial.h"

#define FOLDER "tests/reference/12_midbloom_regression/"
enum { MOST_PLOTS = 100 };

static void slopes_when_of_days_then_those_of_lm(void **state)
{
  (void)state;
  cks_settings settings;
  cks_settings_defaults(&settings);
  char *csv = test_read_file(FOLDER "data.csv");
  test_run run = test_run_csv(&settings, csv, NULL);
  free(csv);
  if (run.status != CKS_OK) fail_msg("%s", run.error.text);
  expected_agrees(run.json, FOLDER "expect.csv", "slopes");
  test_run_release(&run);
}

/* ---- calls and pairs -------------------------------------------------------------------------------------------- */

/* Rows of data.csv, whose text stays as long as the plots do. */
static size_t read_plots(char *csv, made_plot *plots)
{
  enum { HYBRID, LOCATION, YEAR, DAYS, N_CELL };
  char *cell[N_CELL], *line = csv + strcspn(csv, "\n") + 1;
  size_t n = 0;
  for (char *next; *line; line = next) {
    next = line + strcspn(line, "\n");
    if (*next) *next++ = '\0';
    assert_true(n < MOST_PLOTS && expected_split(line, cell, N_CELL));
    plots[n++] = (made_plot){cell[LOCATION], atoi(cell[YEAR]), NULL, NULL, cell[HYBRID], strtod(cell[DAYS], NULL)};
  }
  return n;
}

static json_t *hybrid_json(const made_analysis *made, const cks_maturity_line *line)
{
  static const char *const calls[] = {"none", "cannot tell", "holds", "shifts", "typical"};
  return json_pack("{s:s, s:i, s:f, s:f, s:f, s:f, s:f, s:f, s:f, s:f, s:s}", "hybrid",
                   made->results->hybrid[line->hybrid].name, "environments", (int)line->environments, "first",
                   line->first, "last", line->last, "slope", line->slope, "slope_se", line->slope_se, "low", line->low,
                   "high", line->high, "inner_low", line->inner_low, "inner_high", line->inner_high, "call",
                   calls[line->call]);
}

static json_t *pair_json(const made_analysis *made, const cks_slope_pair *pair)
{
  char name[64];
  snprintf(name, sizeof name, "%s less %s", made->results->hybrid[pair->a].name, made->results->hybrid[pair->b].name);
  return json_pack("{s:s, s:i, s:f, s:f, s:f, s:f, s:f}", "pair", name, "n", (int)pair->n, "difference",
                   pair->difference, "se", pair->se, "t", pair->t, "df", pair->df, "p", pair->p);
}

/* What is looked at, for the paths of expect.csv. */
static json_t *maturity_json(const made_analysis *made)
{
  const cks_maturity *m = made->results->trait[0].maturity;
  const cks_interaction *x = made->results->trait[0].interaction;
  assert_true(m && x);
  json_t *hybrids = json_array(), *pairs = json_array();
  for (size_t i = 0; i < m->n_hybrid; i++) json_array_append_new(hybrids, hybrid_json(made, &m->hybrid[i]));
  for (size_t k = 0; k < m->n_pair; k++) json_array_append_new(pairs, pair_json(made, &m->pair[k]));
  json_t *root =
      json_pack("{s:s, s:f, s:f, s:f, s:f, s:o, s:o}", "no_call", m->no_call, "slopes_f", x->slopes_f, "slopes_p",
                x->slopes_p, "earliest", m->earliest, "latest", m->latest, "hybrids", hybrids, "pairs", pairs);
  assert_non_null(root);
  return root;
}

static void maturity_agrees(const char *data, double alpha, const char *run)
{
  made_plot plots[MOST_PLOTS];
  cks_settings settings = made_settings();
  settings.alpha = alpha;
  char *csv = test_read_file(data);
  size_t n = read_plots(csv, plots);
  made_analysis made = made_analyze(made_trial(plots, n, CKS_ROLE_DAYS_TO_MID_BLOOM, NULL), &settings);
  if (made.status != CKS_OK) fail_msg("%s", made.error.text);
  json_t *json = maturity_json(&made);
  expected_agrees(json, FOLDER "expect.csv", run);
  json_decref(json);
  made_analysis_release(&made);
  free(csv);
}

static void calls_when_at_a_level_then_by_the_intervals_of_lm(void **state)
{
  (void)state;
  maturity_agrees(FOLDER "data.csv", 0.05, "maturity 0.05");
  maturity_agrees(FOLDER "data.csv", 0.10, "maturity 0.10");
}

static void pairs_when_all_meet_then_the_line_of_their_differences_by_lm(void **state)
{
  (void)state;
  maturity_agrees(FOLDER "data.csv", 0.05, "pairs");
}

static void figures_when_cells_are_empty_then_those_of_the_index_by_lm(void **state)
{
  (void)state;
  maturity_agrees(FOLDER "data_incomplete.csv", 0.05, "incomplete");
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(slopes_when_of_days_then_those_of_lm),
      cmocka_unit_test(calls_when_at_a_level_then_by_the_intervals_of_lm),
      cmocka_unit_test(pairs_when_all_meet_then_the_line_of_their_differences_by_lm),
      cmocka_unit_test(figures_when_cells_are_empty_then_those_of_the_index_by_lm),
  };
  return cmocka_run_group_tests(tests, test_start, NULL);
}
