/*
 * bench_reml.c: the REML engine alone, on a plain list: bench_reml FILE.csv fixed|random|environments-fixed [errors]
 * [check]
 *
 * Columns environment (or location), rep, block, hybrid, value, in any order, by heading. Prints "minus2=", "iterations=",
 * "seconds=" and a line a variance. errors: one error variance an environment. check: every entry of the gradient at the
 * start beside finite differences.
 */
#include "math/reml.h"

#include <checkstrip.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

typedef struct {
  cks_names environment, rep, block, hybrid, location, year;
  uint32_t *column[6]; /* environment, rep, block, hybrid, location, year */
  double *y;
  size_t n, size;
} list;

enum { ENVIRONMENT, REP, BLOCK, HYBRID, COLUMNS };

static double now(void)
{
  struct timespec t;
  clock_gettime(CLOCK_MONOTONIC, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static bool grow(list *l)
{
  if (l->n < l->size) return true;
  l->size = l->size ? 2 * l->size : 1024;
  bool grown = true;
  for (size_t k = 0; k < COLUMNS; k++) {
    uint32_t *more = realloc(l->column[k], l->size * sizeof *more);
    if (more) l->column[k] = more;
    grown &= more != NULL;
  }
  double *y = realloc(l->y, l->size * sizeof *y);
  if (y) l->y = y;
  return grown && y;
}

static int find_column(const char *heading)
{
  static const char *const names[] = {"environment", "rep", "block", "hybrid"};
  for (int k = 0; k < COLUMNS; k++)
    if (!strcmp(heading, names[k])) return k;
  return !strcmp(heading, "location") ? ENVIRONMENT : COLUMNS;
}

static bool read_list(const char *path, list *l)
{
  char line[512];
  int role[16], n_role = 0;
  cks_names *names[] = {&l->environment, &l->rep, &l->block, &l->hybrid};
  FILE *file = fopen(path, "r");
  if (!file || !fgets(line, sizeof line, file)) return false;
  for (char *word = strtok(line, ",\r\n"); word && n_role < 16; word = strtok(NULL, ",\r\n"))
    role[n_role++] = find_column(word);
  while (fgets(line, sizeof line, file) && grow(l)) {
    int k = 0;
    for (size_t c = 0; c < COLUMNS; c++) l->column[c][l->n] = CKS_NONE;
    for (char *word = strtok(line, ",\r\n"); word && k < n_role; word = strtok(NULL, ",\r\n"), k++) {
      if (role[k] == COLUMNS)
        l->y[l->n] = strtod(word, NULL);
      else if (cks_names_add(names[role[k]], word, strlen(word), &l->column[role[k]][l->n], NULL) != CKS_OK)
        return false;
    }
    l->n++;
  }
  fclose(file);
  return l->n > 0;
}

static void print_check(cks_reml *reml, const double *theta, size_t n, const bool *used)
{
  double f, up, down, *at = calloc(n, sizeof *at), *gradient = calloc(n, sizeof *gradient);
  cks_reml_evaluate(reml, theta, &f, gradient, NULL, NULL);
  for (size_t k = 0; k < n; k++) {
    if (!used[k]) continue;
    memcpy(at, theta, n * sizeof *at);
    double by = 1e-5 * (theta[k] > 0 ? theta[k] : 1e-3);
    at[k] = theta[k] + by;
    cks_reml_evaluate(reml, at, &up, NULL, NULL, NULL);
    at[k] = theta[k] - by;
    cks_reml_evaluate(reml, at, &down, NULL, NULL, NULL);
    printf("gradient %zu %.10g difference %.10g\n", k, gradient[k], (up - down) / 2 / by);
  }
}

int main(int argc, char **argv)
{
  static const char *const words[] = {"environment",       "rep in environment", "block in rep",
                                      "hybrid x environment", "hybrid",          "hybrid x location",
                                      "hybrid x year"};
  list l = {0};
  cks_error error = {0};
  bool errors = false, check = false;
  for (int k = 3; k < argc; k++) {
    errors |= !strcmp(argv[k], "errors");
    check |= !strcmp(argv[k], "check");
  }
  cks_startup();
  if (argc < 3 || !read_list(argv[1], &l)) return 2;
  cks_reml_data data = {.n = l.n,
                        .n_hybrid = l.hybrid.n,
                        .n_environment = l.environment.n,
                        .hybrid = l.column[HYBRID],
                        .environment = l.column[ENVIRONMENT],
                        .rep = l.column[REP],
                        .block = l.column[BLOCK],
                        .y = l.y};
  cks_reml_model model = {.hybrids_random = !strcmp(argv[2], "random"),
                          .environments_fixed = !strcmp(argv[2], "environments-fixed"),
                          .error_by_environment = errors};
  cks_arena *arena = cks_arena_new();
  cks_reml *reml = NULL;
  double begin = now();
  cks_status status = cks_reml_new(&data, &model, arena, &reml, &error);
  if (status == CKS_OK) status = cks_reml_estimate(reml, &error);
  if (status != CKS_OK) {
    fprintf(stderr, "%s\n", error.text);
    return 1;
  }
  const cks_reml_fit *fit = cks_reml_result(reml);
  printf("seconds=%.6f\nminus2=%.10g\niterations=%zu\nevaluations=%zu\noutcome=%d\n", now() - begin, fit->minus2,
         fit->iterations, fit->evaluations, (int)fit->outcome);
  for (size_t k = 0; k < fit->n_theta; k++)
    if (fit->used[k])
      printf("variance %s=%.10g\n", k < CKS_REML_ERROR ? words[k] : "error", fit->theta[k]);
  for (int k = 3; k < argc; k++) {
    bool kr = !strcmp(argv[k], "kr"), sampled = !strcmp(argv[k], "sampled");
    cks_reml_inference i;
    cks_reml_prediction q;
    begin = now();
    if (!strcmp(argv[k], "predict") && cks_reml_predict(reml, arena, &q, &error) == CKS_OK)
      printf("seconds=%.6f\neffect1=%.10g\nreliability1=%.10g\nmean=%.10g\nrepeatability=%.10g\n", now() - begin, q.effect[0],
             q.reliability[0], q.mean, q.repeatability);
    if (!kr && !sampled && strcmp(argv[k], "satterthwaite")) continue;
    status = cks_reml_infer(reml, kr ? CKS_REML_KENWARD_ROGER : sampled ? CKS_REML_SAMPLED : CKS_REML_SATTERTHWAITE, arena, &i, &error);
    if (status != CKS_OK) fprintf(stderr, "%s\n", error.text);
    if (sampled) {
      printf("seconds=%.6f\nmean1=%.10g\nse1=%.10g\ndf_median=%.10g\ndf_smallest=%.10g\nf=%.10g\n", now() - begin, i.mean[0],
             sqrt(i.covariance[0]), i.df_median, i.df_smallest, i.f);
      continue;
    }
    double v = i.covariance[0] + i.covariance[i.n + 1] - 2 * i.covariance[i.n];
    printf("seconds=%.6f\nmean1=%.10g\nse1=%.10g\ndf1=%.10g\nd12=%.10g\nsed12=%.10g\ndf12=%.10g\nf=%.10g\nnum_df=%g\nden_df=%.10g\n",
           now() - begin, i.mean[0], sqrt(i.covariance[0]), i.df[0], i.mean[0] - i.mean[1], sqrt(v), i.df[1], i.f, i.num_df,
           i.den_df);
  }
  if (check) {
    double *theta = calloc(fit->n_theta, sizeof *theta), scale = fit->theta[CKS_REML_ERROR];
    for (size_t k = 0; k < fit->n_theta; k++)
      theta[k] = fit->used[k] ? scale * (.3 + .11 * (double)(k % 5)) : 0;
    print_check(reml, theta, fit->n_theta, fit->used);
  }
  int code = fit->outcome != CKS_REML_CONVERGED;
  cks_arena_free(arena);
  return code;
}
