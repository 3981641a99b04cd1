/*
 * test_versus.c: head-to-head against a general statistics library: R's t.test and binom.test on the same numbers, and the
 * binomial distribution by hand. The sets: SOURCE.md of 03b_barley, 08a_barley_pairs and 08c_sleep.
 */
#include "../../src/math/distributions.h"
#include "support/support.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define FOLDER "tests/reference/"
enum { MOST_COLUMNS = 32, LONGEST_LINE = 1024, N_BARLEY = 10 };

/* ---- tables of expected figures --------------------------------------------------------------------------------- */

typedef struct {
  char text[LONGEST_LINE];
  size_t n;
  char *cell[MOST_COLUMNS];
} line;

static void split(line *l)
{
  l->text[strcspn(l->text, "\r\n")] = '\0';
  l->n = 0;
  for (char *at = l->text; at && l->n < MOST_COLUMNS; l->n++) {
    l->cell[l->n] = at;
    at = strchr(at, ',');
    if (at) *at++ = '\0';
  }
}

static const char *cell_of(const line *head, const line *row, const char *key)
{
  for (size_t i = 0; i < head->n && i < row->n; i++)
    if (!strcmp(head->cell[i], key)) return row->cell[i];
  fail_msg("no column %s", key);
  return "";
}

static double figure_of(const line *head, const line *row, const char *key) { return atof(cell_of(head, row, key)); }

/* A figure of the JSON row, turned round when the two stand the other way; least: nearer than this is equal. */
static void assert_figure(const line *head, const line *row, json_t *got, const char *key, const char *expected,
                          double sign, double relative)
{
  double value = test_json_number(got, key), wanted = sign * figure_of(head, row, expected);
  if (fabs(value - wanted) <= relative * fmax(fabs(wanted), 1)) return;
  fail_msg("%s of %s and %s is %.15g, expected %.15g", key, cell_of(head, row, "a"), cell_of(head, row, "b"), value,
           wanted);
}

static void assert_row(const line *head, const line *row, json_t *got, double alpha, double relative)
{
  static const char *const alike[] = {"n", "ties", "sd", "se", "df", "p", "sign_p"};
  bool turned = strcmp(cell_of(head, row, "a"), json_string_value(json_object_get(got, "a"))) != 0;
  double sign = turned ? -1 : 1;
  char low[16], high[16];
  snprintf(low, sizeof low, "%s%.0f", turned ? "high" : "low", 100 * (1 - alpha));
  snprintf(high, sizeof high, "%s%.0f", turned ? "low" : "high", 100 * (1 - alpha));
  for (size_t i = 0; i < sizeof alike / sizeof *alike; i++)
    assert_figure(head, row, got, alike[i], alike[i], 1, relative);
  assert_figure(head, row, got, "wins", turned ? "losses" : "wins", 1, 0);
  assert_figure(head, row, got, "losses", turned ? "wins" : "losses", 1, 0);
  assert_figure(head, row, got, "mean_difference", "mean_difference", sign, relative);
  assert_figure(head, row, got, "t", "t", sign, relative);
  assert_figure(head, row, got, "ci_low", low, sign, relative);
  assert_figure(head, row, got, "ci_high", high, sign, relative);
}

/* The row over all environments of these two, either way round. */
static json_t *row_of(json_t *versus, const char *a, const char *b)
{
  size_t i;
  json_t *row;
  json_array_foreach(versus, i, row)
  {
    const char *x = json_string_value(json_object_get(row, "a")), *y = json_string_value(json_object_get(row, "b"));
    bool these = (!strcmp(x, a) && !strcmp(y, b)) || (!strcmp(x, b) && !strcmp(y, a));
    if (these && json_is_null(json_object_get(row, "by"))) return row;
  }
  fail_msg("%s and %s do not meet", a, b);
  return NULL;
}

/* Every row of the table against the run's; returns how many. */
static size_t assert_table(const char *path, json_t *versus, double alpha, double relative)
{
  line head, row;
  size_t n = 0;
  FILE *file = fopen(path, "r");
  assert_non_null(file);
  assert_non_null(fgets(head.text, sizeof head.text, file));
  split(&head);
  for (; fgets(row.text, sizeof row.text, file); n++) {
    split(&row);
    assert_row(&head, &row, row_of(versus, cell_of(&head, &row, "a"), cell_of(&head, &row, "b")), alpha, relative);
  }
  fclose(file);
  return n;
}

static test_run run_file(const cks_settings *settings, const char *path)
{
  char *csv = test_read_file(path);
  test_run run = test_run_csv(settings, csv, NULL);
  free(csv);
  if (run.status != CKS_OK) fail_msg("%s: %s", path, run.error.text);
  return run;
}

static cks_settings asking(const char *a, const char *b, double alpha)
{
  cks_settings settings;
  cks_settings_defaults(&settings);
  settings.question = CKS_ASK_VERSUS;
  settings.versus_a = a;
  settings.versus_b = b;
  settings.alpha = alpha;
  return settings;
}

/* ---- the sets --------------------------------------------------------------------------------------------------- */

static const double levels[] = {0.10, 0.05, 0.01};

static void barley_when_all_pairs_meet_then_paired_t_and_sign_test_of_r(void **state)
{
  static const char *const names[N_BARLEY] = {"Glabron",  "Manchuria", "No457", "No462",  "No475",
                                              "Peatland", "Svansota",  "Trebi", "Velvet", "WisconsinNo38"};
  cks_setting_pair check[N_BARLEY];
  (void)state;
  for (size_t i = 0; i < N_BARLEY; i++) check[i] = (cks_setting_pair){names[i], NULL};
  for (size_t k = 0; k < sizeof levels / sizeof *levels; k++) {
    cks_settings settings = asking(NULL, NULL, levels[k]);
    settings.check = (cks_setting_list){N_BARLEY, check};
    test_run run = run_file(&settings, FOLDER "08a_barley_pairs/data.csv");
    json_t *versus = test_json(run.json, "versus");
    assert_int_equal(json_array_size(versus), N_BARLEY * (N_BARLEY - 1) / 2);
    assert_close(test_json_number(run.json, "versus_tests"), N_BARLEY * (N_BARLEY - 1) / 2, 0);
    assert_int_equal(assert_table(FOLDER "08a_barley_pairs/expect.csv", versus, levels[k], 1e-10), 45);
    test_run_release(&run);
  }
}

static void sleep_when_one_patient_ties_then_the_sign_test_leaves_him_out(void **state)
{
  (void)state;
  cks_setting_pair trait = {"sleep", NULL};
  for (size_t k = 0; k < sizeof levels / sizeof *levels; k++) {
    cks_settings settings = asking("drug2", "drug1", levels[k]);
    settings.trait = (cks_setting_list){1, &trait};
    test_run run = run_file(&settings, FOLDER "08c_sleep/data.csv");
    json_t *versus = test_json(run.json, "versus");
    assert_int_equal(assert_table(FOLDER "08c_sleep/expect.csv", versus, levels[k], 1e-12), 1);
    assert_close(test_json_number(versus, "0.ties"), 1, 0);
    test_run_release(&run);
  }
}

/* The two years by themselves: R 4.2.2, t.test at .90 on the six differences and binom.test, as in 03b_barley/SOURCE.md. */
static void immer_when_t_meets_p_then_the_figures_of_r_over_all_and_by_year(void **state)
{
  static const struct {
    const char *year;
    double wins, mean_difference, sd, se, t, p, sign_p;
  } years[] = {{"1931", 5, 17.65, 22.829958388047935, 9.320291483281698, 1.893717597959222, 0.116801292207618, 0.21875},
               {"1932", 4, 13.666666666666668, 26.024885526485349, 10.624615025705376, 1.286321116915888,
                0.254670899994493, 0.6875}};
  (void)state;
  cks_settings settings = asking("t", "P", 0.10);
  settings.by = "year";
  test_run run = run_file(&settings, FOLDER "03b_barley/data.csv");
  json_t *versus = test_json(run.json, "versus");
  assert_int_equal(assert_table(FOLDER "03b_barley/versus.csv", versus, 0.10, 1e-12), 1);
  assert_true(fabs(test_json_number(versus, "0.mean_difference") - 15.6583) < 5e-5);
  assert_true(fabs(test_json_number(versus, "0.ci_low") - 3.510) < 5e-4);
  assert_true(fabs(test_json_number(versus, "0.ci_high") - 27.807) < 5e-4);
  assert_close(test_json_number(versus, "0.locations"), 6, 0);
  for (size_t i = 0; i < sizeof years / sizeof *years; i++) {
    json_t *row = test_json_with(versus, "value", years[i].year);
    assert_non_null(row);
    assert_close(test_json_number(row, "n"), 6, 0);
    assert_close(test_json_number(row, "wins"), years[i].wins, 0);
    assert_close(test_json_number(row, "mean_difference"), years[i].mean_difference, 1e-12);
    assert_close(test_json_number(row, "sd"), years[i].sd, 1e-12);
    assert_close(test_json_number(row, "se"), years[i].se, 1e-12);
    assert_close(test_json_number(row, "t"), years[i].t, 1e-12);
    assert_close(test_json_number(row, "p"), years[i].p, 1e-11);
    assert_close(test_json_number(row, "sign_p"), years[i].sign_p, 1e-13);
  }
  test_run_release(&run);
}

/* ---- the sign test ---------------------------------------------------------------------------------------------- */

/* All 2^n orders of n signs counted by hand, up to n = 16; then R 4.2.2, binom.test. */
static void sign_test_when_counted_by_hand_then_the_same(void **state)
{
  enum { MOST = 16 };
  (void)state;
  for (unsigned n = 1; n <= MOST; n++) {
    double orders[MOST + 1] = {1}; /* with k wins: Pascal's triangle */
    for (unsigned i = 1; i <= n; i++)
      for (unsigned k = i; k > 0; k--) orders[k] += orders[k - 1];
    for (unsigned wins = 0; wins <= n; wins++) {
      double as_uneven = 0;
      for (unsigned k = 0; k <= n; k++)
        if (abs((int)(2 * k) - (int)n) >= abs((int)(2 * wins) - (int)n)) as_uneven += orders[k];
      assert_close(cks_sign_p(wins, n - wins), as_uneven / ldexp(1, (int)n), 0);
    }
  }
  assert_close(cks_sign_p(40, 21), 0.020414713799635, 1e-12);
  assert_close(cks_sign_p(0, 60), 1.73472347597681e-18, 1e-12);
  assert_true(cks_is_missing(cks_sign_p(0, 0)));
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(barley_when_all_pairs_meet_then_paired_t_and_sign_test_of_r),
      cmocka_unit_test(sleep_when_one_patient_ties_then_the_sign_test_leaves_him_out),
      cmocka_unit_test(immer_when_t_meets_p_then_the_figures_of_r_over_all_and_by_year),
      cmocka_unit_test(sign_test_when_counted_by_hand_then_the_same),
  };
  return cmocka_run_group_tests(tests, test_start, NULL);
}
