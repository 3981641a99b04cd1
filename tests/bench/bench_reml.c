/*
 * bench_reml.c: the REML engine alone, on a plain list (tests/support/plot_list.h says which columns).
 *
 *     bench_reml FILE.csv fixed|random|environments-fixed [WORD...]
 *
 * fixed: hybrids; random: hybrids; environments-fixed: both. Words: `errors` one error variance an environment; then, each
 * timed, what is said of the hybrids: `satterthwaite`, `kr` (Kenward-Roger), `sampled`, `predict`. Prints lines NAME=VALUE.
 */
#include "support/plot_list.h"

#include <checkstrip.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

static const char *const terms[] = {"environment", "rep in environment", "block in rep", "hybrid x environment",
                                    "hybrid",      "hybrid x location",  "hybrid x year"};

static double now(void)
{
  struct timespec t;
  clock_gettime(CLOCK_MONOTONIC, &t);
  return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static bool asked(int argc, char **argv, const char *word)
{
  bool found = false;
  for (int k = 3; k < argc; k++) found |= !strcmp(argv[k], word);
  return found;
}

static void print_fit(const cks_reml_fit *fit, double seconds)
{
  printf("seconds=%.6f\nminus2=%.12g\niterations=%zu\nevaluations=%zu\noutcome=%d\n", seconds, fit->minus2,
         fit->iterations, fit->evaluations, (int)fit->outcome);
  for (size_t k = 0; k < fit->n_theta; k++)
    if (fit->used[k]) printf("variance %s=%.10g\n", k < CKS_REML_ERROR ? terms[k] : "error", fit->theta[k]);
}

/* The hybrids whose names come first, that is 1 and 2 in what is printed: another program sorts its levels. */
static void find_first(const cks_names *names, size_t first[2])
{
  first[0] = first[1] = 0;
  for (size_t i = 0; i < names->n; i++)
    if (strcmp(cks_names_text(names, (cks_id)i), cks_names_text(names, (cks_id)first[0])) < 0) first[0] = i;
  for (size_t i = 0; i < names->n; i++) {
    bool sooner = strcmp(cks_names_text(names, (cks_id)i), cks_names_text(names, (cks_id)first[1])) < 0;
    if (i != first[0] && (first[1] == first[0] || sooner)) first[1] = i;
  }
}

static cks_status infer(cks_reml *reml, cks_reml_df method, const size_t first[2], cks_arena *arena, cks_error *error)
{
  cks_reml_inference i;
  double begin = now();
  cks_status status = cks_reml_infer(reml, method, arena, &i, error);
  if (status != CKS_OK) return status;
  size_t a = first[0], b = first[1];
  double own = i.covariance[a * i.n + a], v = own + i.covariance[b * i.n + b] - 2 * i.covariance[b * i.n + a];
  printf("inference_seconds=%.6f\nmean1=%.10g\nse1=%.10g\nd12=%.10g\nsed12=%.10g\ndf_smallest=%.10g\ndf_median=%.10g\n",
         now() - begin, i.mean[a], sqrt(own), i.mean[a] - i.mean[b], sqrt(v), i.df_smallest, i.df_median);
  if (i.df) printf("df1=%.10g\ndf12=%.10g\n", i.df[a * i.n + a], i.df[a * i.n + b]);
  printf("f=%.10g\nnum_df=%g\nden_df=%.10g\n", i.f, i.num_df, i.den_df);
  return status;
}

static cks_status predict(cks_reml *reml, size_t first, cks_arena *arena, cks_error *error)
{
  cks_reml_prediction p;
  double begin = now();
  cks_status status = cks_reml_predict(reml, arena, &p, error);
  if (status == CKS_OK)
    printf("inference_seconds=%.6f\neffect1=%.10g\nreliability1=%.10g\nmean=%.10g\nrepeatability=%.10g\n",
           now() - begin, p.effect[first], p.reliability[first], p.mean, p.repeatability);
  return status;
}

int main(int argc, char **argv)
{
  plot_list list = {0};
  cks_arena *arena = cks_arena_new();
  cks_reml *reml = NULL;
  cks_error error = {0};
  cks_startup();
  if (argc < 3 || !arena || !plot_list_read(&list, argv[1])) {
    fprintf(stderr,
            "usage: bench_reml FILE.csv fixed|random|environments-fixed [errors] [satterthwaite] [kr] [sampled] "
            "[predict]\n");
    return 2;
  }
  cks_reml_data data = plot_list_data(&list);
  cks_reml_model model = {.hybrids_random = !strcmp(argv[2], "random"),
                          .environments_fixed = !strcmp(argv[2], "environments-fixed"),
                          .error_by_environment = asked(argc, argv, "errors")};
  size_t first[2];
  find_first(&list.names[PLOT_HYBRID], first);
  double begin = now();
  cks_status status = cks_reml_new(&data, &model, arena, &reml, &error);
  if (status == CKS_OK) status = cks_reml_estimate(reml, &error);
  if (status == CKS_OK) print_fit(cks_reml_result(reml), now() - begin);
  bool converged = status == CKS_OK && cks_reml_result(reml)->outcome == CKS_REML_CONVERGED;
  for (int k = 3; k < argc && converged && status == CKS_OK; k++) {
    if (!strcmp(argv[k], "kr")) status = infer(reml, CKS_REML_KENWARD_ROGER, first, arena, &error);
    if (!strcmp(argv[k], "satterthwaite")) status = infer(reml, CKS_REML_SATTERTHWAITE, first, arena, &error);
    if (!strcmp(argv[k], "sampled")) status = infer(reml, CKS_REML_SAMPLED, first, arena, &error);
    if (!strcmp(argv[k], "predict")) status = predict(reml, first[0], arena, &error);
  }
  if (status != CKS_OK) fprintf(stderr, "%s\n", error.text);
  cks_arena_free(arena);
  plot_list_release(&list);
  return status == CKS_OK && converged ? 0 : 1;
}
