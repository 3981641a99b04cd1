/*
 * across_fixed.c: a trait over fixed places with lost plots or unequal reps, no cell of hybrids x places empty.
 *
 * A hybrid's mean is the plain average of its cells' adjusted means; hybrid x place is fixed, so the plot errors of the
 * places, pooled, are the only error. Var(m_i - m_j) = MSE sum over places of the place's own pair variance / e^2.
 * Hybrids are tested by Wald's quadratic form of the g - 1 differences from the last hybrid, over g - 1: exact F on the
 * error df (Searle 1971, Linear Models, chapter 8, weighted squares of means). The interaction itself is not tested
 * here.
 */
#include "across.h"
#include "wald.h"

#include "../math/distributions.h"
#include "../math/sums.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* The plot errors of the places, pooled. */
typedef struct {
  double df, ms;
} pooled;

static bool pool(const cks_trait_task *work, pooled *error)
{
  cks_sum ss = {0};
  double df = 0, largest = 0;
  size_t n = 0;
  for (size_t j = 0; j < work->n_place; j++) {
    const cks_place *place = &work->place[j];
    if (!place->fit.connected) return false;
    if (place->method != CKS_METHOD_ANOVA) continue;
    cks_sum_add(&ss, place->fit.ss_error);
    df += place->fit.df_error;
    n += place->layout.n;
    largest = fmax(largest, place->fit.largest);
  }
  *error = (pooled){df, cks_sum_value(&ss) / df};
  return df >= 1 && !cks_is_rounding(cks_sum_value(&ss), n, largest);
}

static int compare_codes(const void *left, const void *right)
{
  const uint64_t *a = left, *b = right;
  return *a < *b ? -1 : *a > *b;
}

/* class_of (size g) becomes the numbers of the different (class_of, other) pairs; returns how many. code, sorted: size
 * g. */
static size_t refine(uint32_t *class_of, const uint32_t *other, size_t g, uint64_t *code, uint64_t *sorted)
{
  for (size_t i = 0; i < g; i++) sorted[i] = code[i] = (uint64_t)class_of[i] << 32 | other[i];
  qsort(sorted, g, sizeof *sorted, compare_codes);
  size_t m = 0;
  for (size_t i = 0; i < g; i++)
    if (i == 0 || sorted[i] != sorted[m - 1]) sorted[m++] = sorted[i];
  for (size_t i = 0; i < g; i++)
    class_of[i] = (uint32_t)((const uint64_t *)bsearch(&code[i], sorted, m, sizeof *sorted, compare_codes) - sorted);
  return m;
}

/* Hybrids alike at every place are one class over all places. */
static cks_status make_spread(const cks_trait_task *work, size_t g, cks_spread *spread)
{
  uint32_t *class_of = cks_arena_take(work->scratch, g, sizeof *class_of);
  uint64_t *code = cks_arena_take(work->scratch, g, sizeof *code),
           *sorted = cks_arena_take(work->scratch, g, sizeof *sorted);
  cks_status status = cks_arena_status(work->scratch, work->task->error);
  size_t n_class = 1;
  if (status != CKS_OK) return status;
  for (size_t j = 0; j < work->n_place; j++)
    n_class = refine(class_of, work->place[j].fit.spread.class_of, g, code, sorted);
  status = cks_spread_new(spread, g, n_class, work->scratch, work->task->error);
  size_t *first = cks_arena_take(work->scratch, n_class, sizeof *first);
  if (status != CKS_OK || !first) return cks_error_nomem(work->task->error);
  for (size_t i = g; i-- > 0;) {
    spread->class_of[i] = class_of[i];
    spread->class_size[class_of[i]]++;
    first[class_of[i]] = i;
  }
  double e = (double)work->n_place;
  for (size_t j = 0; j < work->n_place; j++) {
    const cks_spread *here = &work->place[j].fit.spread;
    for (size_t a = 0; a < n_class; a++) {
      spread->own[a] += here->own[here->class_of[first[a]]] / (e * e);
      for (size_t b = 0; b < n_class; b++)
        spread->pair[a * n_class + b] += cks_spread_pair(here, first[a], first[b]) / (e * e);
    }
  }
  return CKS_OK;
}

static void average_cells(const cks_trait_task *work, cks_analysis *a, double *tested)
{
  double e = (double)work->n_place;
  for (size_t i = 0; i < a->n_hybrid; i++) {
    cks_sum mean = {0}, raw = {0}, of_tests = {0};
    for (size_t j = 0; j < work->n_place; j++) {
      const cks_place *place = &work->place[j];
      cks_sum_add(&mean, place->mean[i]);
      cks_sum_add(&raw, place->plain[i] * place->fit.plots[i]);
      cks_sum_add(&of_tests, place->fit.mean[i]);
    }
    a->hybrid[i].mean = cks_sum_value(&mean) / e;
    a->hybrid[i].raw_mean = cks_sum_value(&raw) / a->hybrid[i].n;
    tested[i] = cks_sum_value(&of_tests) / e;
  }
  cks_sum plots = {0};
  for (size_t j = 0; j < work->n_place; j++)
    cks_sum_add(&plots, work->place[j].plot_mean * (double)work->place[j].layout.n);
  a->plot_mean = cks_sum_value(&plots) / a->plots;
}

/* A place of single plots has no error of its own: it is judged by the others'. */
static const char *borrowed_words(const cks_trait_task *work)
{
  for (size_t j = 0; j < work->n_place; j++)
    if (work->place[j].method != CKS_METHOD_ANOVA)
      return cks_arena_format(work->task->results->arena, "%s has no plot error of its own: that of the others is used",
                              work->task->trial->environment[work->place[j].environment].label);
  return "";
}

/* Entries in single plots are judged by the spread of check plots, there or elsewhere. */
static const char *check_plots_words(const cks_trait_task *work)
{
  for (size_t j = 0; j < work->n_place; j++)
    if (work->place[j].check_plots)
      return cks_arena_format(work->task->results->arena, "the plot error of %s is that of its check plots alone",
                              work->task->trial->environment[work->place[j].environment].label);
  return "";
}

static cks_status write_figures(const cks_trait_task *work, const cks_balanced_series *s, pooled error, double ss,
                                cks_analysis *a)
{
  cks_arena *arena = work->task->results->arena;
  cks_anova_line *line = cks_arena_take(arena, 2, sizeof *line);
  if (!line) return cks_error_nomem(work->task->error);
  a->method = CKS_METHOD_ANOVA;
  a->design = "series at fixed places, plots lost or reps unequal";
  a->locations_as = "fixed";
  cks_series_notes(work, s, a);
  a->num_df = a->n_hybrid - 1.0;
  a->den_df = a->error_df = error.df;
  a->error_ms = error.ms;
  a->f = ss / a->num_df / error.ms;
  a->p = cks_f_p(a->f, a->num_df, a->den_df);
  a->significant = a->p <= a->alpha;
  if (work->values.true_zero && !work->values.arcsine && a->plot_mean > 0)
    a->cv_pct = 100 * sqrt(error.ms) / a->plot_mean;
  line[0] = (cks_anova_line){"hybrid", a->num_df, ss, ss / a->num_df, a->f, a->p};
  line[1] = (cks_anova_line){"error", error.df, error.ms * error.df, error.ms, cks_missing(), cks_missing()};
  a->anova = line;
  a->n_anova = 2;
  a->note = cks_join(arena, a->note, "means are plain averages of the places' adjusted means");
  a->note = cks_join(arena, a->note, borrowed_words(work));
  for (size_t j = 0; j < work->n_place && !strstr(a->note, "blocks"); j++)
    if (work->place[j].blocks) a->note = cks_join(arena, a->note, "incomplete blocks are left in the error");
  a->note = cks_join(arena, a->note, check_plots_words(work));
  return CKS_OK;
}

cks_status cks_across_fixed(const cks_trait_task *work, const cks_balanced_series *s, cks_analysis *a, bool *done)
{
  pooled error;
  cks_spread spread = {0};
  double ss = 0;
  size_t g = a->n_hybrid;
  *done = false;
  if (work->values.untested || g < 2 || g > CKS_MOST_WALD || !pool(work, &error)) return CKS_OK;
  double *tested = cks_arena_take(work->scratch, g, sizeof *tested);
  if (!tested) return cks_error_nomem(work->task->error);
  average_cells(work, a, tested);
  cks_status status = make_spread(work, g, &spread);
  if (status == CKS_OK) status = cks_wald(&spread, tested, &ss, work->task->error);
  if (status == CKS_OK) status = write_figures(work, s, error, ss, a);
  if (status != CKS_OK) return status;
  for (size_t i = 0; i < g; i++) tested[i] += work->values.shift;
  *done = true;
  return cks_compare(work, &(cks_contest){tested, &spread, error.ms, error.df, error.ms, error.df, 0, 0}, a);
}
