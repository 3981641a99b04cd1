/*
 * assumptions.c: see assumptions.h. The tests: nonadditivity.h, ../math/normality.h, ../math/equal_variances.h.
 *
 * All look at the residuals on the scale that is tested (the angle, for percents). Normality and Levene take each
 * residual in units of its own standard error, e / sqrt(1 - h), since lost plots make them unequal; in complete blocks
 * that is one factor for all. Plots that alone decide their fitted value have no residual and stay out.
 */
#include "assumptions.h"
#include "nonadditivity.h"

#include "../math/equal_variances.h"
#include "../math/normality.h"

#include <math.h>
#include <stdlib.h>

enum { TESTS = 2 }; /* of a place, and of a series */

static cks_status make_room(const cks_trait_task *work, cks_analysis *a)
{
  a->assumption = cks_arena_take(work->task->results->arena, TESTS, sizeof *a->assumption);
  if (!a->assumption) return cks_error_nomem(work->task->error);
  a->n_assumption = TESTS;
  return CKS_OK;
}

/* Residuals in units of their standard errors; to: size layout.n. Returns how many. */
static size_t scaled_residuals(const cks_trait_task *work, const cks_place *place, double *to)
{
  const cks_fit *fit = &place->fit;
  size_t n = 0;
  for (size_t p = 0; p < place->layout.n; p++)
    if (!cks_fit_is_alone(fit, p))
      to[n++] = (work->values.tested[place->plot[p]] - fit->fitted[p]) / sqrt(1 - fit->leverage[p]);
  return n;
}

/* ---- one place -------------------------------------------------------------------------------------------------- */

/* Why the model of the place is not rep + hybrid on whole reps; NULL: it is. */
static const char *not_two_way(const cks_place *place)
{
  const cks_layout *l = &place->layout;
  if (!place->reps_in_model) return "no reps to multiply hybrids with";
  if (place->check_plots) return "entries stand in one plot each";
  if (place->blocks) return "the error by reps holds the blocks within reps";
  bool additive = place->fit.df_error == (double)l->n - (double)l->n_hybrid - (double)l->n_rep + 1;
  return additive ? NULL : "given for reps and hybrids alone";
}

static cks_status additivity(const cks_trait_task *work, const cks_place *place, cks_assumption *to)
{
  cks_nonadditivity test = {cks_missing(), cks_missing(), cks_missing(), cks_missing(), not_two_way(place)};
  cks_status status = CKS_OK;
  size_t n = place->layout.n;
  if (!test.why) {
    double *y = cks_arena_take(work->scratch, n, sizeof *y);
    if (!y) return cks_error_nomem(work->task->error);
    for (size_t p = 0; p < n; p++) y[p] = work->values.tested[place->plot[p]];
    status = cks_nonadditivity_test(&place->layout, y, &place->fit, work->scratch, &test, work->task->error);
  }
  *to = (cks_assumption){.kind = CKS_ASSUME_ADDITIVE,
                         .what = "additivity",
                         .test = "Tukey one df",
                         .statistic = test.f,
                         .num_df = *test.why ? cks_missing() : 1,
                         .den_df = test.df,
                         .p = test.p,
                         .n = (uint32_t)n,
                         .why = test.why};
  return status;
}

static int compare_numbers(const void *left, const void *right)
{
  const double *a = left, *b = right;
  return *a < *b ? -1 : *a > *b;
}

static cks_status normality(const cks_trait_task *work, const cks_place *place, cks_assumption *to)
{
  double *residual = cks_arena_take(work->scratch, place->layout.n, sizeof *residual),
         *room = cks_arena_take(work->scratch, place->layout.n, sizeof *room);
  if (!residual || !room) return cks_error_nomem(work->task->error);
  size_t n = scaled_residuals(work, place, residual);
  if (n <= CKS_NORMALITY_MOST) qsort(residual, n, sizeof *residual, compare_numbers);
  cks_normality test = cks_shapiro_wilk(n, residual, room);
  *to = (cks_assumption){.kind = CKS_ASSUME_NORMAL,
                         .what = "normality",
                         .test = "Shapiro-Wilk",
                         .statistic = test.w,
                         .num_df = cks_missing(),
                         .den_df = cks_missing(),
                         .p = test.p,
                         .n = (uint32_t)n,
                         .why = !cks_is_missing(test.w)    ? ""
                                : n > CKS_NORMALITY_MOST   ? "more than 5000 plots: its p is known up to 5000"
                                : n < CKS_NORMALITY_FEWEST ? "fewer than 3 residuals"
                                                           : "no residual differs from another"};
  return CKS_OK;
}

cks_status cks_assume_place(const cks_trait_task *work, const cks_place *place, cks_analysis *a)
{
  cks_status status = make_room(work, a);
  if (status == CKS_OK) status = additivity(work, place, &a->assumption[0]);
  return status == CKS_OK ? normality(work, place, &a->assumption[1]) : status;
}

/* ---- across places ---------------------------------------------------------------------------------------------- */

static cks_assumption equal_variances(cks_assumption_kind kind, cks_variance_test test, size_t n, const char *why)
{
  return (cks_assumption){.kind = kind,
                          .what = "equal variances",
                          .test = kind == CKS_ASSUME_LEVENE ? "Levene corrected" : "Bartlett",
                          .statistic = test.statistic,
                          .num_df = test.num_df,
                          .den_df = test.den_df,
                          .p = test.p,
                          .n = (uint32_t)n,
                          .why = cks_is_missing(test.p) ? why : ""};
}

static cks_status assume_across(const cks_trait_task *work, cks_arena *scratch, cks_analysis *a)
{
  size_t e = 0;
  double *ms = cks_arena_take(scratch, work->n_place, sizeof *ms),
         *df = cks_arena_take(scratch, work->n_place, sizeof *df);
  cks_residual_group *group = cks_arena_take(scratch, work->n_place, sizeof *group);
  cks_status status = make_room(work, a);
  if (status != CKS_OK || !ms || !df || !group) return cks_error_nomem(work->task->error);
  for (size_t j = 0; j < work->n_place; j++) {
    const cks_place *place = &work->place[j];
    if (place->method != CKS_METHOD_ANOVA) continue;
    double *residual = cks_arena_take(scratch, place->layout.n, sizeof *residual);
    if (!residual) return cks_error_nomem(work->task->error);
    ms[e] = place->fit.ss_error / place->fit.df_error;
    df[e] = place->fit.df_error;
    group[e] = (cks_residual_group){scaled_residuals(work, place, residual), residual, df[e]};
    e++;
  }
  const char *few = e < 2 ? "fewer than two places have an error of their own" : "the errors do not allow it";
  a->assumption[0] = equal_variances(CKS_ASSUME_BARTLETT, cks_bartlett(e, ms, df), e, few);
  a->assumption[1] = equal_variances(CKS_ASSUME_LEVENE, cks_levene(e, group), e, few);
  return CKS_OK;
}

cks_status cks_assume_across(const cks_trait_task *work, cks_analysis *a)
{
  cks_arena *scratch = cks_arena_new();
  cks_status status = scratch ? assume_across(work, scratch, a) : cks_error_nomem(work->task->error);
  cks_arena_free(scratch);
  return status;
}
