/*
 * test_by_group.c: F within a group of --by-group on published plots, against other routes to it.
 *
 * Complete blocks (01a): sum of squares of k - 1 orthogonal contrasts of the group's totals (Helmert's), over r times
 * their squared length; error by sweeping rows and columns. Plots lost (02a, 01a with some taken out): the
 * difference of two least squares fits, hybrids apart against the group's hybrids as one, by elimination on the
 * normal equations of dummy variables. Balanced series (03a): the same contrasts over hybrid x location. Which hybrid is of
 * which group is ours; the data are the publications' (SOURCE.md of each set).
 */
#include "support/support.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MOST = 400, MOST_LEVELS = 40, MOST_BETA = 60 };

typedef struct {
  char place[16], rep[16], hybrid[16], group[16];
  double y;
} row;

typedef struct {
  row at[MOST];
  size_t n;
} table;

/* Columns (location,) rep, hybrid, yield; hybrids are dealt to `n_group` groups in the order met. Every `lose`-th row goes;
 * 0: none. */
static void read_table(const char *path, int n_group, size_t lose, table *t)
{
  char *text = test_read_file(path), *at = strchr(text, '\n') + 1;
  bool places = !strncmp(text, "location", 8);
  char met[MOST_LEVELS][16];
  int n_met = 0;
  t->n = 0;
  for (size_t line = 1; at && *at; line++) {
    row *r = &t->at[t->n];
    *r = (row){.place = "A"};
    char cells[80]; /* a lost plot's empty cell ends with its line */
    snprintf(cells, sizeof cells, "%.*s", (int)strcspn(at, "\n"), at);
    int got = places ? sscanf(cells, "%15[^,],%15[^,],%15[^,],%lf", r->place, r->rep, r->hybrid, &r->y)
                     : sscanf(cells, "%15[^,],%15[^,],%lf", r->rep, r->hybrid, &r->y);
    at = strchr(at, '\n');
    if (at) at++;
    int h = 0;
    while (h < n_met && strcmp(met[h], r->hybrid)) h++;
    if (h == n_met) snprintf(met[n_met++], sizeof met[0], "%s", r->hybrid);
    snprintf(r->group, sizeof r->group, "%d", h % n_group + 1);
    if (got == (places ? 4 : 3) && !(lose && line % lose == 0)) t->n++;
  }
  free(text);
}

static test_run run_table(const table *t, bool fixed)
{
  test_text csv = {0};
  cks_sink sink = test_sink(&csv);
  cks_setting_pair trait = {"yield", NULL};
  cks_settings settings;
  cks_settings_defaults(&settings);
  settings.by_group = "batch";
  settings.locations_fixed = fixed;
  settings.trait = (cks_setting_list){1, &trait};
  static const char head[] = "location,rep,hybrid,batch,yield (kg/ha)\n";
  sink.put(sink.to, head, sizeof head - 1, NULL);
  for (size_t i = 0; i < t->n; i++) {
    char line[160];
    int n = snprintf(line, sizeof line, "%s,%s,x%s,%s,%.10g\n", t->at[i].place, t->at[i].rep, t->at[i].hybrid,
                     t->at[i].group, t->at[i].y * (t->at[i].y < 100 ? 1000 : 1));
    sink.put(sink.to, line, (size_t)n, NULL);
  }
  test_run run = test_run_csv(&settings, csv.text, NULL);
  if (run.status != CKS_OK) fail_msg("%s", run.error.text);
  test_text_release(&csv);
  return run;
}

/* ---- another route: least squares by elimination ---------------------------------------------------------------- */

/* Number of a text among the texts met. */
static size_t level(char met[][40], size_t *n, const char *text)
{
  size_t i = 0;
  while (i < *n && strcmp(met[i], text)) i++;
  if (i == *n) snprintf(met[(*n)++], 40, "%s", text);
  return i;
}

/* Residual sum of squares of rep + hybrid, with `merged`'s hybrids as one; *rank: of the model. */
static double residual_ss(const table *t, const char *merged, size_t *rank)
{
  static double a[MOST_BETA * 4][MOST_BETA * 4 + 1];
  char met[MOST_BETA * 4][40];
  size_t n_met = 0, column[MOST][2];
  double yy = 0;
  memset(a, 0, sizeof a);
  for (size_t i = 0; i < t->n; i++) {
    const row *r = &t->at[i];
    char text[40];
    snprintf(text, sizeof text, "rep %s", r->rep);
    column[i][0] = level(met, &n_met, text);
    bool one = merged && !strcmp(r->group, merged);
    snprintf(text, sizeof text, "hybrid %s", one ? "merged" : r->hybrid);
    column[i][1] = level(met, &n_met, text);
    yy += r->y * r->y;
  }
  for (size_t i = 0; i < t->n; i++)
    for (int k = 0; k < 2; k++) {
      for (int l = 0; l < 2; l++) a[column[i][k]][column[i][l]]++;
      a[column[i][k]][n_met] += t->at[i].y;
    }
  double explained = 0;
  *rank = 0;
  for (size_t p = 0; p < n_met; p++) { /* sweep; what is aliased has no pivot left */
    double pivot = a[p][p];
    if (pivot < 1e-8) continue;
    (*rank)++;
    explained += a[p][n_met] * a[p][n_met] / pivot;
    for (size_t q = p + 1; q < n_met; q++) {
      double f = a[q][p] / pivot;
      for (size_t c = p; c <= n_met; c++) a[q][c] -= f * a[p][c];
    }
  }
  return yy - explained;
}

/* Takes off a constant, so that sums of squares keep their digits. */
static void center(table *t)
{
  double sum = 0;
  for (size_t i = 0; i < t->n; i++) sum += t->at[i].y;
  for (size_t i = 0; i < t->n; i++) t->at[i].y -= sum / (double)t->n;
}

/* ---- contrasts -------------------------------------------------------------------------------------------------- */

/* Sum of squares of the k - 1 Helmert contrasts among the totals (of r plots each) of the group's hybrids; *df = k - 1. */
static double contrast_ss(const table *t, const char *group, double r, double *df)
{
  char met[MOST_LEVELS][40];
  double total[MOST_LEVELS] = {0}, ss = 0;
  size_t n = 0;
  for (size_t i = 0; i < t->n; i++)
    if (!strcmp(t->at[i].group, group)) {
      size_t h = level(met, &n, t->at[i].hybrid);
      total[h] += t->at[i].y;
    }
  for (size_t k = 1; k < n; k++) {
    double value = -(double)k * total[k], length = (double)(k * k);
    for (size_t j = 0; j < k; j++) value += total[j], length += 1;
    ss += value * value / (r * length);
  }
  *df = (double)n - 1;
  return ss;
}

static json_t *group_of(json_t *analysis, const char *name)
{
  json_t *group = test_json_with(test_json(analysis, "groups"), "by_group", name);
  if (!group) fail_msg("no group %s", name);
  return group;
}

static const char *const names[] = {"1", "2"};

static void complete_blocks_when_grouped_then_f_is_that_of_contrasts(void **state)
{
  (void)state;
  table *t = malloc(sizeof *t);
  read_table("tests/reference/01a_rice/data.csv", 2, 0, t);
  test_run run = run_table(t, false);
  json_t *place = test_json(run.json, "traits.0.locations.0");
  center(t);
  size_t rank;
  double ss_error = residual_ss(t, NULL, &rank), df_error = (double)(t->n - rank), df;
  assert_close(df_error, 15, 0); /* (6 - 1)(4 - 1) */
  for (size_t g = 0; g < 2; g++) {
    double ss = contrast_ss(t, names[g], 4, &df);
    assert_close(df, 2, 0);
    assert_close(test_json_number(group_of(place, names[g]), "f"), ss / df / (ss_error / df_error), 1e-9);
    assert_close(test_json_number(group_of(place, names[g]), "num_df"), 2, 0);
    assert_close(test_json_number(group_of(place, names[g]), "den_df"), 15, 0);
    assert_close(test_json_number(group_of(place, names[g]), "sed"), test_json_number(place, "sed"), 1e-12);
  }
  assert_close(test_json_number(place, "error_ms"), 110558.0 + 0.4,
               1e-5); /* 1,658,376 / 15: Gomez & Gomez 1984, table 2.6 */
  test_run_release(&run);
  free(t);
}

/* Full against reduced fit, group by group. */
static void assert_two_fits(table *t, json_t *analysis, double alike)
{
  size_t rank, reduced;
  center(t);
  double ss = residual_ss(t, NULL, &rank), ms = ss / (double)(t->n - rank);
  for (size_t g = 0; g < 2; g++) {
    double less = residual_ss(t, names[g], &reduced), df = (double)(rank - reduced);
    assert_close(test_json_number(group_of(analysis, names[g]), "num_df"), df, 0);
    assert_close(test_json_number(group_of(analysis, names[g]), "den_df"), (double)(t->n - rank), 0);
    assert_close(test_json_number(group_of(analysis, names[g]), "f"), (less - ss) / df / ms, alike);
  }
}

static void lost_plots_when_grouped_then_f_is_that_of_two_fits(void **state)
{
  (void)state;
  static const struct {
    const char *path;
    size_t lose;
  } sets[] = {{"tests/reference/02a_rice_one_lost/data.csv", 0},
              {"tests/reference/01a_rice/data.csv", 7},
              {"tests/reference/01a_rice/data.csv", 5},
              {"tests/reference/01a_rice/data.csv", 0}};
  table *t = malloc(sizeof *t);
  for (size_t i = 0; i < sizeof sets / sizeof *sets; i++) {
    read_table(sets[i].path, 2, sets[i].lose, t);
    test_run run = run_table(t, false);
    assert_two_fits(t, test_json(run.json, "traits.0.locations.0"), 1e-9);
    test_run_release(&run);
  }
  free(t);
}

static void series_when_grouped_then_f_is_that_of_contrasts_over_the_interaction(void **state)
{
  (void)state;
  table *t = malloc(sizeof *t);
  read_table("tests/reference/03a_nine_locations/data.csv", 2, 0, t);
  for (int fixed = 0; fixed < 2; fixed++) {
    test_run run = run_table(t, fixed);
    json_t *across = test_json(run.json, "traits.0.across");
    json_t *over = test_json_with(test_json(across, "anova"), "source", fixed ? "error" : "hybrid x location");
    for (size_t g = 0; g < 2; g++) {
      double df, plots = test_json_number(test_json(across, "hybrids.0"), "n"),
                 ss = contrast_ss(t, names[g], plots, &df) * 1e6; /* t to kg */
      assert_close(test_json_number(group_of(across, names[g]), "f"), ss / df / test_json_number(over, "ms"), 1e-8);
      assert_close(test_json_number(group_of(across, names[g]), "den_df"), test_json_number(over, "df"), 1e-12);
    }
    test_run_release(&run);
  }
  free(t);
}

/* Locations x years (03b: 6 x 2, single plots): over MS_HL + MS_HY - MS_HLY, 155.3923 on 5.0771 df (expect.csv of the
 * set), or over the larger interaction alone where that is less sure: for all hybrids the sum, for a group perhaps not. */
static void crossed_when_grouped_then_f_is_over_the_sum_of_interactions(void **state)
{
  (void)state;
  table *t = malloc(sizeof *t);
  test_text csv = {0};
  cks_sink sink = test_sink(&csv);
  static const char head[] = "location,year,hybrid,batch,yield (bu/ac)\n";
  sink.put(sink.to, head, sizeof head - 1, NULL);
  char *text = test_read_file("tests/reference/03b_barley/data.csv"), line[160];
  t->n = 0;
  for (char *at = strchr(text, '\n'); at && at[1]; at = strchr(at + 1, '\n')) {
    char place[16], year[16], name[16];
    double y;
    if (sscanf(at + 1, "%15[^,],%15[^,],%15[^,],%lf", place, year, name, &y) != 4) continue;
    row *r = &t->at[t->n++];
    *r = (row){.y = y};
    snprintf(r->hybrid, sizeof r->hybrid, "%s", name);
    snprintf(r->group, sizeof r->group, "%d", strchr("MSV", *name) ? 1 : 2);
    int n = snprintf(line, sizeof line, "%s,%s,x%s,%s,%.10g\n", place, year, name, r->group, y);
    sink.put(sink.to, line, (size_t)n, NULL);
  }
  cks_settings settings;
  cks_settings_defaults(&settings);
  settings.by_group = "batch";
  test_run run = test_run_csv(&settings, csv.text, NULL);
  if (run.status != CKS_OK) fail_msg("%s", run.error.text);
  json_t *anova = test_json(run.json, "traits.0.across.anova"),
         *larger = test_json_with(anova, "source", "hybrid x location"),
         *year = test_json_with(anova, "source", "hybrid x year");
  if (test_json_number(year, "ms") > test_json_number(larger, "ms")) larger = year;
  assert_true(test_json_number(larger, "ms") > 155.3923); /* so there is a choice, and the less sure one is taken */
  for (size_t g = 0; g < 2; g++) {
    double df, ss = contrast_ss(t, names[g], 12, &df);
    json_t *group = group_of(test_json(run.json, "traits.0.across"), names[g]);
    assert_close(df, g ? 1 : 2, 0);
    double by_sum = gsl_cdf_fdist_Q(ss / df / 155.3923, df, 5.0771), single = ss / df / test_json_number(larger, "ms"),
           single_df = test_json_number(larger, "df"), by_single = gsl_cdf_fdist_Q(single, df, single_df);
    assert_close(test_json_number(group, "p"), fmax(by_sum, by_single), 1e-5);
    assert_close(test_json_number(group, "den_df"), by_sum > by_single ? 5.0771 : single_df, 1e-5);
  }
  test_run_release(&run);
  test_text_release(&csv);
  free(text);
  free(t);
}

/* Two hybrids: F is the square of their difference over its SED, whatever was lost. */
static void fixed_places_when_plots_are_lost_and_two_are_grouped_then_f_is_t_squared(void **state)
{
  (void)state;
  table *t = malloc(sizeof *t);
  read_table("tests/reference/03a_nine_locations/data.csv", 2, 11, t);
  test_run run = run_table(t, true);
  json_t *across = test_json(run.json, "traits.0.across");
  assert_string_equal(json_string_value(test_json(across, "locations_as")), "fixed");
  size_t i, seen = 0;
  json_t *group;
  json_array_foreach(test_json(across, "groups"), i, group)
  {
    if (test_json_number(group, "hybrids") != 2) continue;
    double mean[2] = {0}, sed = test_json_number(group, "sed");
    size_t j, n = 0;
    json_t *hybrid;
    json_array_foreach(test_json(across, "hybrids"), j,
                       hybrid) if (json_equal(json_object_get(hybrid, "by_group"), json_object_get(group, "by_group")))
        mean[n++] = test_json_number(hybrid, "mean");
    assert_close(test_json_number(group, "f"), pow((mean[0] - mean[1]) / sed, 2), 1e-9);
    seen++;
  }
  assert_true(seen > 0);
  test_run_release(&run);
  free(t);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(complete_blocks_when_grouped_then_f_is_that_of_contrasts),
      cmocka_unit_test(lost_plots_when_grouped_then_f_is_that_of_two_fits),
      cmocka_unit_test(series_when_grouped_then_f_is_that_of_contrasts_over_the_interaction),
      cmocka_unit_test(crossed_when_grouped_then_f_is_over_the_sum_of_interactions),
      cmocka_unit_test(fixed_places_when_plots_are_lost_and_two_are_grouped_then_f_is_t_squared),
  };
  return cmocka_run_group_tests(tests, test_start, NULL);
}
