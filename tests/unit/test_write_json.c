/* test_write_json.c: JSON (read back by jansson) and CSV (RFC 4180) against the results they were written from. */
#include "support/make_results.h"
#include "support/support.h"

#include <stdlib.h>
#include <string.h>

static json_t *json_of(const made *m)
{
  test_text text = {0};
  cks_sink sink = test_sink(&text);
  json_error_t error;
  assert_int_equal(cks_write_json(m->trial, m->results, m->findings, &sink, NULL), CKS_OK);
  json_t *root = json_loads(text.text, JSON_REJECT_DUPLICATES, &error);
  if (!root) fail_msg("line %d: %s", error.line, error.text);
  test_text_release(&text);
  return root;
}

static void json_when_usual_then_every_figure_of_the_results(void **state)
{
  (void)state;
  made_options o = made_usual();
  made m;
  assert_int_equal(made_new(&m, &o), 0);
  json_t *root = json_of(&m);
  const cks_trait_result *yield = &m.results->trait[0];
  const cks_analysis *across = yield->across;
  assert_string_equal(json_string_value(test_json(root, "program")), "checkstrip");
  assert_close(test_json_number(root, "schema"), 1, 0);
  assert_string_equal(json_string_value(test_json(root, "traits.0.trait")), "yield");
  assert_string_equal(json_string_value(test_json(root, "traits.0.unit")), "bu/ac");
  assert_string_equal(json_string_value(test_json(root, "traits.0.better")), "high");
  assert_close(test_json_number(root, "traits.0.moisture_basis_pct"), 14, 0);
  assert_close(test_json_number(root, "traits.0.across.lsd"), across->lsd, 1e-14);
  assert_close(test_json_number(root, "traits.0.across.p"), across->p, 1e-14);
  assert_close(test_json_number(root, "traits.0.across.hybrids.3.mean"), across->hybrid[3].mean, 1e-14);
  assert_close(test_json_number(root, "traits.0.across.hybrids.3.vs_check.1.difference"),
               across->hybrid[3].vs_check[1].difference, 1e-13);
  assert_close(test_json_number(root, "traits.0.across.hybrids.3.pct_of_check"), across->hybrid[3].vs_check[0].pct,
               1e-14);
  assert_close(test_json_number(root, "traits.0.locations.2.anova.1.ss"), yield->location[2].anova[1].ss, 1e-14);
  assert_string_equal(json_string_value(test_json(root, "traits.0.locations.2.location")), "Cold Draw");
  assert_string_equal(json_string_value(test_json(root, "traits.0.locations.2.method")), "anova");
  assert_string_equal(json_string_value(test_json(root, "traits.0.across.locations_as")), "random");
  assert_true(json_is_true(test_json(root, "traits.0.across.hybrids.0.top")));
  assert_true(json_is_null(test_json(root, "traits.0.across.hybrids.0.shrunken")));
  assert_true(json_is_null(test_json(root, "traits.1.across.hybrids.0.top"))); /* moisture: no good end */
  assert_true(json_is_null(test_json(root, "traits.1.across.hybrids.0.rank")));
  assert_true(json_is_null(test_json(root, "maturity"))); /* made without the analysis */
  assert_null(json_object_get(root, "forage")); /* what is not made is not promised */
  assert_string_equal(json_string_value(test_json(root, "findings.0.rule")), "outlier");
  assert_close(test_json_number(root, "findings.0.line"), 12, 0);
  assert_true(json_is_null(test_json(root, "findings.0.sheet")));
  assert_close(test_json_number(root, "inputs.0.rows"), 336, 0);
  json_decref(root);
  made_free(&m);
}

static void json_when_figures_do_not_exist_then_null_and_why(void **state)
{
  (void)state;
  made_options o = made_usual();
  o.no_differences = true;
  o.missing_values = true;
  made m;
  assert_int_equal(made_new(&m, &o), 0);
  json_t *root = json_of(&m);
  assert_true(json_is_null(test_json(root, "traits.0.across.lsd")));
  assert_string_equal(json_string_value(test_json(root, "traits.0.across.lsd_why")), "F not significant at 0.05");
  assert_true(json_is_null(test_json(root, "traits.0.across.hybrids.0.rank")));
  assert_true(json_is_null(test_json(root, "traits.0.across.hybrids.1.vs_check.0.differs")));
  assert_true(json_is_null(test_json(root, "traits.3.across"))); /* taken at one place */
  assert_true(json_is_null(test_json(root, "traits.4.locations.1.method")));
  assert_string_equal(json_string_value(test_json(root, "traits.4.locations.1.why")),
                      "fewer than two hybrids have a value");
  json_decref(root);
  made_free(&m);
}

static void json_when_names_are_odd_then_exact(void **state)
{
  (void)state;
  made_options o = made_usual();
  o.odd_names = true;
  made m;
  assert_int_equal(made_new(&m, &o), 0);
  json_t *root = json_of(&m);
  json_t *hybrids = test_json(root, "traits.1.locations.0.hybrids");
  static const char *const names[] = {"=1+1", "+SUM(A1)", "-2", "@cmd", "\"quoted\", with comma", "two\nlines"};
  for (size_t i = 0; i < sizeof names / sizeof *names; i++)
    assert_non_null(test_json_with(hybrids, "hybrid", names[i]));
  json_decref(root);
  made_free(&m);
}

/* One record of CSV from *at on: its cells, freed by the caller with `free(cell[0])`; returns how many. */
static size_t read_record(const char **at, char **cell, size_t most)
{
  char *to = malloc(strlen(*at) + 1);
  size_t n = 0;
  bool quoted = false;
  assert_non_null(to);
  cell[n++] = to;
  for (; **at && (quoted || **at != '\n'); ++*at) {
    if (**at == '"' && quoted && (*at)[1] == '"')
      *to++ = *++*at == '"' ? '"' : '\0';
    else if (**at == '"')
      quoted = !quoted;
    else if (**at == ',' && !quoted) {
      *to++ = '\0';
      assert_true(n < most);
      cell[n++] = to;
    } else
      *to++ = **at;
  }
  *to = '\0';
  if (**at == '\n') ++*at;
  return n;
}

static void csv_when_read_back_then_the_results(void **state)
{
  (void)state;
  enum { MOST = 40, N = 32, STABLE = 2 };
  made_options o = made_usual();
  o.odd_names = true;
  made m;
  test_text text = {0};
  cks_sink sink = test_sink(&text);
  assert_int_equal(made_new(&m, &o), 0);
  cks_trait_result *yield = &m.results->trait[0];
  cks_stability stable = {yield->across->hybrid[STABLE].hybrid, .slope = 0.875, .superiority = 31.5};
  cks_interaction interaction = {.why = "", .n_hybrid = 1, .hybrid = &stable};
  yield->interaction = &interaction;
  assert_int_equal(cks_write_csv(m.results, &sink, NULL), CKS_OK);
  const char *at = text.text;
  char *cell[MOST];
  assert_int_equal(read_record(&at, cell, MOST), N);
  assert_string_equal(cell[0], "trait");
  assert_string_equal(cell[9], "mean");
  assert_string_equal(cell[17], "check_name");
  assert_string_equal(cell[23], "mean_unadjusted");
  assert_string_equal(cell[24], "shrunken");
  assert_string_equal(cell[25], "reliability");
  assert_string_equal(cell[26], "slope");
  assert_string_equal(cell[31], "superiority");
  free(cell[0]);
  for (size_t i = 0; i < yield->across->n_hybrid; i++) {
    const cks_hybrid_result *line = &yield->across->hybrid[i];
    assert_int_equal(read_record(&at, cell, MOST), N);
    assert_string_equal(cell[1], "all");
    assert_string_equal(cell[5], m.results->hybrid[line->hybrid].name);
    assert_close(strtod(cell[9], NULL), line->mean, 1e-14);
    assert_string_equal(cell[14], line->top == CKS_TOP_IN ? "true" : "false");
    assert_string_equal(cell[26], i == STABLE ? "0.875" : "");
    assert_string_equal(cell[31], i == STABLE ? "31.5" : "");
    free(cell[0]);
  }
  size_t rows = yield->across->n_hybrid;
  for (; *at; rows++) {
    assert_int_equal(read_record(&at, cell, MOST), N);
    free(cell[0]);
  }
  assert_int_equal(rows, 6 * 7 * 14); /* traits x (places and across) x hybrids */
  test_text_release(&text);
  made_free(&m);
}

/* Two rows of a pair, one of a value of --by that has a comma and one not given; the CSV has what the JSON has. */
static void versus_when_read_back_then_the_results(void **state)
{
  (void)state;
  enum { MOST = 40, N = 27 };
  made_options o = made_usual();
  o.odd_names = true;
  made m;
  test_text text = {0};
  cks_sink sink = test_sink(&text);
  assert_int_equal(made_new(&m, &o), 0);
  static const char *names[] = {"clay, wet", NULL};
  static cks_versus_row rows[] = {
      {.a = 4, .b = 5, .part = 0, .n = 3, .n_location = 2, .counted = true, .wins = 2, .losses = 1},
      {.a = 4, .b = 5, .part = 1, .n = 1, .n_location = 1}};
  rows[0].mean_difference = 0.1 + 0.2;
  rows[0].why = rows[1].why = "";
  rows[1].sd = cks_missing();
  m.results->by = (cks_by_group){.heading = "soil", .n = 2, .name = names};
  m.results->trait[0].versus = (cks_versus){2, rows, 1, ""};
  json_t *root = json_of(&m), *row = test_json(root, "versus.0");
  assert_int_equal(cks_write_versus_csv(m.results, &sink, NULL), CKS_OK);
  const char *at = text.text;
  char *head[MOST], *cell[MOST];
  assert_int_equal(read_record(&at, head, MOST), N);
  assert_int_equal(json_object_size(row), N + 1); /* and the environments */
  for (size_t k = 0; k < 2; k++) {
    row = json_array_get(test_json(root, "versus"), k);
    assert_int_equal(read_record(&at, cell, MOST), N);
    for (size_t c = 0; c < N; c++) {
      json_t *value = test_json(row, head[c]);
      if (json_is_null(value)) assert_string_equal(cell[c], "");
      if (json_is_string(value)) assert_string_equal(cell[c], json_string_value(value));
      if (json_is_number(value)) assert_close(strtod(cell[c], NULL), json_number_value(value), 0);
    }
    free(cell[0]);
  }
  free(head[0]);
  assert_int_equal(*at, '\0');
  assert_string_equal(json_string_value(test_json(root, "versus.0.value")), "clay, wet");
  assert_true(json_is_null(test_json(root, "versus.1.value")) && json_is_null(test_json(root, "versus.1.wins")));
  assert_non_null(json_string_value(test_json(root, "versus.0.note")));
  assert_close(test_json_number(root, "versus_tests"), 1, 0);
  json_decref(root);
  test_text_release(&text);
  made_free(&m);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(json_when_usual_then_every_figure_of_the_results),
      cmocka_unit_test(json_when_figures_do_not_exist_then_null_and_why),
      cmocka_unit_test(json_when_names_are_odd_then_exact),
      cmocka_unit_test(csv_when_read_back_then_the_results),
      cmocka_unit_test(versus_when_read_back_then_the_results),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
