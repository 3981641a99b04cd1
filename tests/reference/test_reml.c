/*
 * test_reml.c: the REML engine against figures of other programs: tests/reference/SET/cases.txt, a test a case, and
 * tests/reference/reml/robust.txt, whose lines tests/reference/reml/SOURCE.md explains. Each word that is `-` is not given.
 *
 * The figures tell more digits than are asked here: what differs beyond is rounding and where the climb stops. SEs of
 * general means, and of single predictions and their differences, are not among what the engine gives; reliability and
 * repeatability hold the same prediction error variances.
 */
#include "support/plot_list.h"
#include "support/support.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define FOLDER "tests/reference/"
enum { MOST_WORDS = 16, MOST_CASES = 64, MOST_ITERATIONS = 15 };

/* Relative; a difference of means is measured by its SED where that is larger. */
static const struct {
  double minus2, component, component_se, gradient, mean, se, prediction, df_kr, df_satterthwaite, f, den_df;
  double robust; /* absolute, of -2 log REML */
} within = {1e-10, 1e-6, 1e-5, 1e-6, 1e-7, 1e-6, 1e-6, 1e-6, 1e-5, 1e-6, 1e-6, 1e-6};

static const char *const sets[] = {"reml", "04a_unbalanced_sorghum_sim", "04b_strips_sim",
                                   "05c_lattice_soybean_cochran"};

static const struct {
  const char *word;
  cks_reml_kind kind;
} terms[] = {{"environment", CKS_REML_ENVIRONMENT}, {"rep-in-environment", CKS_REML_REP},
             {"block-in-rep", CKS_REML_BLOCK},      {"hybrid-x-environment", CKS_REML_CELL},
             {"hybrid", CKS_REML_HYBRID},           {"hybrid-x-location", CKS_REML_BY_LOCATION},
             {"hybrid-x-year", CKS_REML_BY_YEAR},   {"error", CKS_REML_ERROR}};

/* ---- a fit and what is said of it -------------------------------------------------------------------------------- */

typedef struct {
  const char *set, *name;
  char path[128];
  plot_list list;
  cks_reml_model model;
  cks_arena *arena;
  cks_reml *reml;
  const cks_reml_fit *fit;
  cks_reml_inference plain, adjusted;
  cks_reml_prediction prediction;
  size_t n_checked, n_wrong;
} run;

static void expect(run *r, const char *what, double actual, const char *expected, double tolerance, double scale)
{
  if (!strcmp(expected, "-")) return;
  double value = strtod(expected, NULL), size = fmax(fabs(value), scale);
  r->n_checked++;
  if (fabs(actual - value) <= tolerance * size) return;
  r->n_wrong++;
  print_error("%s: %s is %.12g, expected %.12g within %g (off by %.2g)\n", r->name, what, actual, value, tolerance,
              fabs(actual - value) / size);
}

static void expect_size(run *r, const char *what, size_t actual, const char *expected)
{
  expect(r, what, (double)actual, expected, 0, 0);
}

static size_t component(const run *r, const char *word)
{
  if (!strncmp(word, "error:", 6))
    return CKS_REML_ERROR + cks_names_find(&r->list.names[PLOT_ENVIRONMENT], word + 6, strlen(word + 6));
  for (size_t k = 0; k < sizeof terms / sizeof *terms; k++)
    if (!strcmp(word, terms[k].word)) return terms[k].kind;
  fail_msg("%s: no term '%s'", r->name, word);
  return 0;
}

static size_t hybrid(const run *r, const char *word)
{
  cks_id id = cks_names_find(&r->list.names[PLOT_HYBRID], word, strlen(word));
  if (id == CKS_NONE) fail_msg("%s: no hybrid '%s'", r->name, word);
  return id;
}

static void estimate(run *r)
{
  cks_error error = {0};
  cks_reml_data data = plot_list_data(&r->list);
  cks_status status = cks_reml_new(&data, &r->model, r->arena, &r->reml, &error);
  if (status == CKS_OK) status = cks_reml_estimate(r->reml, &error);
  if (status != CKS_OK) fail_msg("%s: %s", r->name, error.text);
  r->fit = cks_reml_result(r->reml);
  assert_int_equal(r->fit->outcome, CKS_REML_CONVERGED);
}

static void infer(run *r)
{
  cks_error error = {0};
  cks_status status;
  if (r->model.hybrids_random) {
    status = cks_reml_predict(r->reml, r->arena, &r->prediction, &error);
  } else {
    status = cks_reml_infer(r->reml, CKS_REML_SATTERTHWAITE, r->arena, &r->plain, &error);
    if (status == CKS_OK) status = cks_reml_infer(r->reml, CKS_REML_KENWARD_ROGER, r->arena, &r->adjusted, &error);
  }
  if (status != CKS_OK) fail_msg("%s: %s", r->name, error.text);
}

static void release(run *r)
{
  cks_arena_free(r->arena);
  plot_list_release(&r->list);
}

/* ---- lines of cases.txt ------------------------------------------------------------------------------------------ */

static void read_data(run *r, char **word, size_t n)
{
  (void)n;
  snprintf(r->path, sizeof r->path, FOLDER "%s/%s", r->set, word[0]);
}

/* Pairs of words; environment `none` with reps fixed: the reps stand for environments. */
static void read_model(run *r, char **word, size_t n)
{
  const char *environment = "", *rep = "";
  for (size_t k = 0; k + 1 < n; k += 2) {
    const char *key = word[k], *value = word[k + 1];
    if (!strcmp(key, "hybrid")) r->model.hybrids_random = !strcmp(value, "random");
    if (!strcmp(key, "error")) r->model.error_by_environment = !strcmp(value, "environment");
    if (!strcmp(key, "environment")) environment = value;
    if (!strcmp(key, "rep")) rep = value;
    if (!strcmp(key, "cell")) r->model.no_cells = !strcmp(value, "none");
  }
  bool one_place = !strcmp(environment, "none");
  r->model.environments_fixed = strcmp(environment, "random") != 0;
  r->model.no_cells |= one_place;
  r->list.reps_are_environments = one_place && !strcmp(rep, "fixed");
  if (!plot_list_read(&r->list, r->path)) fail_msg("cannot read %s", r->path);
  estimate(r);
  infer(r);
}

static void check_plots(run *r, char **word, size_t n)
{
  (void)n;
  expect_size(r, "plots", r->list.n, word[0]);
}

static void check_minus2(run *r, char **word, size_t n)
{
  (void)n;
  expect(r, "-2 log REML", r->fit->minus2, word[0], within.minus2, 0);
}

static void check_component(run *r, char **word, size_t n)
{
  (void)n;
  expect(r, word[0], r->fit->theta[component(r, word[0])], word[1], within.component, 0);
}

static void check_component_se(run *r, char **word, size_t n)
{
  (void)n;
  size_t k = component(r, word[0]);
  expect(r, "SE of a component, observed", r->plain.theta_se[k], word[1], within.component_se, 0);
  expect(r, "SE of a component, expected", r->adjusted.theta_se[k], word[2], within.component_se, 0);
}

static void check_gradient(run *r, char **word, size_t n)
{
  (void)n;
  double minus2, *gradient = calloc(r->fit->n_theta, sizeof *gradient);
  assert_non_null(gradient);
  assert_int_equal(cks_reml_evaluate(r->reml, r->fit->theta, &minus2, gradient, NULL, NULL), CKS_OK);
  size_t k = component(r, word[0]);
  if (r->fit->used[k]) expect(r, "gradient at zero", gradient[k], word[1], within.gradient, 0);
  free(gradient);
}

static void check_f(run *r, char **word, size_t n)
{
  (void)n;
  expect(r, "F", r->adjusted.f, word[0], within.f, 0);
  expect(r, "df of F", r->adjusted.num_df, word[1], 0, 0);
  expect(r, "denominator df of F", r->adjusted.den_df, word[2], within.den_df, 0);
}

/* The denominator df depend on the contrasts: ours are orthonormal, the last of the three. */
static void check_f_satterthwaite(run *r, char **word, size_t n)
{
  (void)n;
  expect(r, "F, Satterthwaite", r->plain.f, word[0], within.f, 0);
  expect(r, "denominator df of F, Satterthwaite", r->plain.den_df, word[4], within.df_satterthwaite, 0);
}

static double sed(const cks_reml_inference *i, size_t a, size_t b)
{
  return sqrt(i->covariance[a * i->n + a] + i->covariance[b * i->n + b] - 2 * i->covariance[b * i->n + a]);
}

static void check_mean(run *r, char **word, size_t n)
{
  (void)n;
  size_t i = hybrid(r, word[0]), at = i * r->plain.n + i;
  if (r->model.hybrids_random) {
    expect(r, "prediction", r->prediction.mean + r->prediction.effect[i], word[1], within.prediction, 0);
    expect(r, "reliability", r->prediction.reliability[i], word[3], within.prediction, 0);
    return;
  }
  expect(r, "mean", r->plain.mean[i], word[1], within.mean, 0);
  expect(r, "mean, Kenward-Roger", r->adjusted.mean[i], word[1], within.mean, 0);
  expect(r, "SE", sqrt(r->plain.covariance[at]), word[2], within.se, 0);
  expect(r, "SE, Kenward-Roger", sqrt(r->adjusted.covariance[at]), word[3], within.se, 0);
  expect(r, "df of a mean, Satterthwaite", r->plain.df[at], word[4], within.df_satterthwaite, 0);
  expect(r, "df of a mean, Kenward-Roger", r->adjusted.df[at], word[5], within.df_kr, 0);
}

static void check_pair(run *r, char **word, size_t n)
{
  (void)n;
  size_t a = hybrid(r, word[0]), b = hybrid(r, word[1]), at = a * r->plain.n + b;
  if (r->model.hybrids_random) {
    expect(r, "difference of predictions", r->prediction.effect[a] - r->prediction.effect[b], word[2],
           within.prediction, strtod(word[3], NULL));
    return;
  }
  double scale = sed(&r->plain, a, b);
  expect(r, "difference", r->plain.mean[a] - r->plain.mean[b], word[2], within.mean, scale);
  expect(r, "SED", scale, word[3], within.se, 0);
  expect(r, "SED, Kenward-Roger", sed(&r->adjusted, a, b), word[4], within.se, 0);
  expect(r, "df of a difference, Satterthwaite", r->plain.df[at], word[5], within.df_satterthwaite, 0);
  expect(r, "df of a difference, Kenward-Roger", r->adjusted.df[at], word[6], within.df_kr, 0);
}

static void check_general_mean(run *r, char **word, size_t n)
{
  (void)n;
  expect(r, "general mean", r->prediction.mean, word[0], within.prediction, 0);
}

static void check_repeatability(run *r, char **word, size_t n)
{
  (void)n;
  expect(r, "repeatability", r->prediction.repeatability, word[0], within.prediction, 0);
}

static const struct {
  const char *key;
  size_t words; /* at least; 0: the line says nothing of the engine */
  void (*act)(run *r, char **word, size_t n);
} lines[] = {{"data", 1, read_data},
             {"model", 2, read_model},
             {"plots", 1, check_plots},
             {"minus2", 1, check_minus2},
             {"component", 2, check_component},
             {"component-se", 3, check_component_se},
             {"gradient-at-zero", 2, check_gradient},
             {"F", 3, check_f},
             {"F-satterthwaite", 5, check_f_satterthwaite},
             {"mean", 4, check_mean},
             {"pair", 4, check_pair},
             {"general-mean", 1, check_general_mean},
             {"repeatability", 1, check_repeatability},
             {"agreement", 0, NULL}};

static void check_line(run *r, char **word, size_t n)
{
  size_t k = 0, n_line = sizeof lines / sizeof *lines;
  while (k < n_line && strcmp(word[0], lines[k].key)) k++;
  if (k == n_line || n - 1 < lines[k].words) fail_msg("%s: a line '%s' of %zu words", r->name, word[0], n);
  if (lines[k].act) lines[k].act(r, word + 1, n - 1);
}

/* Splits a line into words, in place. Returns what follows the line. */
static char *split(char *line, char *word[MOST_WORDS], size_t *n)
{
  char *end = line + strcspn(line, "\n"), *next = *end ? end + 1 : end;
  *end = '\0';
  *n = 0;
  for (char *at = strtok(line, " "); at && *n < MOST_WORDS; at = strtok(NULL, " ")) word[(*n)++] = at;
  return next;
}

typedef struct {
  const char *set;
  char name[64];
} test_case;

static void figures_agree(void **state)
{
  const test_case *which = *state;
  run r = {.set = which->set, .name = which->name, .arena = cks_arena_new()};
  char path[128], *word[MOST_WORDS];
  size_t n;
  snprintf(path, sizeof path, FOLDER "%s/cases.txt", which->set);
  char *text = test_read_file(path);
  for (char *line = text; *line;) {
    line = split(line, word, &n);
    if (n > 1 && !strcmp(word[0], which->name)) check_line(&r, word + 1, n - 1);
  }
  print_message("%zu figures, %zu iterations\n", r.n_checked, r.fit->iterations);
  release(&r);
  free(text);
  assert_true(r.n_checked > 0);
  assert_int_equal(r.n_wrong, 0);
}

/* ---- robust.txt --------------------------------------------------------------------------------------------------- */

static void add_plot(plot_list *list, char **word, bool blocks)
{
  const char *cell[PLOT_COLUMNS] = {
      [PLOT_LOCATION] = word[0], [PLOT_REP] = word[1], [PLOT_BLOCK] = blocks ? word[2] : NULL, [PLOT_HYBRID] = word[3]};
  assert_true(plot_list_add(list, cell, strtod(word[4], NULL)));
}

static void fit_again(run *r, char **word)
{
  cks_arena_free(r->arena);
  r->arena = cks_arena_new();
  r->model = (cks_reml_model){.hybrids_random = !strcmp(word[1], "random"),
                              .environments_fixed = !strcmp(word[1], "environments-fixed")};
  estimate(r);
  r->n_checked++;
  if (fabs(r->fit->minus2 - strtod(word[2], NULL)) <= within.robust && r->fit->iterations <= MOST_ITERATIONS) return;
  r->n_wrong++;
  print_error("%s %s: %.10f after %zu iterations, expected %s\n", r->name, word[1], r->fit->minus2, r->fit->iterations,
              word[2]);
}

static void awkward_sets_agree(void **state)
{
  run r = {0};
  char name[32], *word[MOST_WORDS], *text = test_read_file(FOLDER "reml/robust.txt");
  bool blocks = false;
  size_t n;
  (void)state;
  for (char *line = text; *line;) {
    line = split(line, word, &n);
    if (n == 4 && !strcmp(word[0], "set")) {
      plot_list_release(&r.list);
      snprintf(name, sizeof name, "%s", word[1]);
      r.name = name;
      blocks = !strcmp(word[3], "1");
    } else if (n == 3 && !strcmp(word[0], "fit")) {
      fit_again(&r, word);
    } else if (n == 3) {
      size_t k = component(&r, word[1]);
      expect(&r, word[1], r.fit->theta[k], word[2], within.component, 0);
    } else if (n == 5) {
      add_plot(&r.list, word, blocks);
    }
  }
  release(&r);
  free(text);
  assert_true(r.n_checked >= 40);
  assert_int_equal(r.n_wrong, 0);
}

/* The names of the cases of a set, as they come. */
static size_t list_cases(const char *set, test_case *cases, size_t n)
{
  char path[128], *word[MOST_WORDS];
  size_t words;
  snprintf(path, sizeof path, FOLDER "%s/cases.txt", set);
  char *text = test_read_file(path);
  for (char *line = text; *line;) {
    line = split(line, word, &words);
    if (words < 2 || strcmp(word[1], "data")) continue;
    assert_true(n < MOST_CASES);
    cases[n] = (test_case){.set = set};
    snprintf(cases[n++].name, sizeof cases->name, "%s", word[0]);
  }
  free(text);
  return n;
}

int main(void)
{
  test_case cases[MOST_CASES];
  struct CMUnitTest tests[MOST_CASES + 1];
  size_t n = 0;
  for (size_t k = 0; k < sizeof sets / sizeof *sets; k++) n = list_cases(sets[k], cases, n);
  for (size_t k = 0; k < n; k++) tests[k] = (struct CMUnitTest){cases[k].name, figures_agree, NULL, NULL, &cases[k]};
  tests[n] = (struct CMUnitTest)cmocka_unit_test(awkward_sets_agree);
  return _cmocka_run_group_tests("reml", tests, n + 1, test_start, NULL);
}
