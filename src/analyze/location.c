/* location.c: the analysis of a trait at one environment: table, F, CV, then the comparisons. */
#include "assumptions.h"
#include "compare.h"
#include "designs.h"

#include "../math/distributions.h"

#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

void cks_analysis_clear(const cks_task *task, cks_analysis *a)
{
  double none = cks_missing();
  *a = (cks_analysis){.environment = CKS_NONE,
                      .label = "",
                      .location = "",
                      .trial = "",
                      .design = "",
                      .why = "",
                      .lsd_why = "",
                      .group_why = "",
                      .note = "",
                      .apart = "",
                      .aside = "",
                      .lack = "",
                      .joined = "",
                      .locations_as = "",
                      .df_method = "",
                      .outcome = "",
                      .environment_effect = "",
                      .comparison = "",
                      .top_rule = "",
                      .critical_difference = none,
                      .reps = none,
                      .mean = none,
                      .plot_mean = none,
                      .cv_pct = none,
                      .error_df = none,
                      .error_ms = none,
                      .f = none,
                      .p = none,
                      .num_df = none,
                      .den_df = none,
                      .sed = none,
                      .sed_min = none,
                      .sed_max = none,
                      .lsd = none,
                      .lsd_df = none,
                      .repeatability = none,
                      .efficiency_pct = none,
                      .loglik = none,
                      .left_out_share = none,
                      .leader_loss = none,
                      .interaction_p = none};
  a->alpha = task->settings->alpha;
  a->protected_rule = !task->settings->unprotected && (task->settings->comparison == CKS_COMPARE_LSD ||
                                                       task->settings->comparison == CKS_COMPARE_DUNNETT);
}

static void name_place(const cks_task *task, const cks_place *place, cks_analysis *a)
{
  const cks_environment *e = &task->trial->environment[place->environment];
  cks_arena *arena = task->results->arena;
  a->environment = place->environment;
  a->label = cks_arena_text(arena, e->label);
  a->location = cks_arena_text(arena, task->trial->location[e->location]);
  a->trial = cks_arena_text(arena, e->trial);
  a->year = e->year;
  a->n_location = a->n_environment = a->n_year = 1;
}

/* Medians for means, hybrid by hybrid. */
static cks_status put_medians(const cks_trait_task *work, const cks_place *place, cks_hybrid_result *rows)
{
  size_t n = place->layout.n;
  double *values = malloc(n * sizeof *values);
  if (!values) return cks_error_nomem(work->task->error);
  for (size_t i = 0; i < place->layout.n_hybrid; i++) {
    size_t m = 0;
    for (size_t p = 0; p < n; p++)
      if (place->layout.hybrid[p] == i) values[m++] = work->values.shown[place->plot[p]];
    gsl_sort(values, 1, m);
    rows[i].mean = gsl_stats_median_from_sorted_data(values, 1, m);
  }
  free(values);
  return CKS_OK;
}

static cks_status fill_rows(const cks_trait_task *work, const cks_place *place, cks_analysis *a)
{
  const cks_fit *fit = &place->fit;
  bool tested = place->method == CKS_METHOD_ANOVA;
  a->hybrid = cks_arena_take(work->task->results->arena, a->n_hybrid, sizeof *a->hybrid);
  if (!a->hybrid) return cks_error_nomem(work->task->error);
  bool equal = true;
  for (size_t i = 0; i < a->n_hybrid; i++) {
    equal &= fit->plots[i] == fit->plots[0];
    a->hybrid[i] = (cks_hybrid_result){.hybrid = place->hybrid_id[i],
                                       .n = fit->plots[i],
                                       .environments = 1,
                                       .years = 1,
                                       .mean = tested ? place->mean[i] : place->plain[i],
                                       .raw_mean = place->plain[i],
                                       .se = cks_missing(),
                                       .shrunken = cks_missing(),
                                       .reliability = cks_missing(),
                                       .pct_of_mean = cks_missing()};
  }
  if (equal) a->reps = fit->plots[0];
  return place->median ? put_medians(work, place, a->hybrid) : CKS_OK;
}

cks_anova_line cks_anova_tested(const char *source, double df, double ss, double error_ms, double error_df)
{
  double ms = ss / df, f = ms / error_ms;
  return (cks_anova_line){source, df, ss, ms, f, cks_f_p(f, df, error_df)};
}

static cks_status fill_table(const cks_trait_task *work, const cks_place *place, cks_analysis *a)
{
  const cks_fit *fit = &place->fit;
  double none = cks_missing(), ms = fit->ss_error / fit->df_error;
  cks_anova_line *line = cks_arena_take(work->task->results->arena, 5, sizeof *line);
  if (!line) return cks_error_nomem(work->task->error);
  size_t n = 0;
  if (place->reps_in_model)
    line[n++] = cks_anova_tested(place->square ? "row" : "rep", fit->df_rep, fit->ss_rep, ms, fit->df_error);
  if (place->square) line[n++] = cks_anova_tested("column", fit->df_column, fit->ss_column, ms, fit->df_error);
  for (size_t i = 0; i < n && !fit->balanced; i++)
    line[i].f = line[i].p = none; /* the SS of reps, rows and columns is not adjusted for hybrids */
  cks_anova_line hybrid = line[n++] = cks_anova_tested("hybrid", fit->df_hybrid, fit->ss_hybrid, ms, fit->df_error);
  line[n++] = (cks_anova_line){"error", fit->df_error, fit->ss_error, ms, none, none};
  line[n++] = (cks_anova_line){"total", fit->df_total, fit->ss_total, none, none, none};
  a->anova = line;
  a->n_anova = n;
  a->error_df = fit->df_error;
  a->error_ms = ms;
  a->f = hybrid.f;
  a->p = hybrid.p;
  a->num_df = fit->df_hybrid;
  a->den_df = fit->df_error;
  a->significant = a->p <= a->alpha;
  if (fit->balanced) a->repeatability = fmax(0, 1 - 1 / a->f);
  if (work->values.true_zero && !work->values.arcsine && a->plot_mean > 0) a->cv_pct = 100 * sqrt(ms) / a->plot_mean;
  return CKS_OK;
}

static void add_notes(const cks_trait_task *work, const cks_place *place, cks_analysis *a)
{
  cks_arena *arena = work->task->results->arena;
  if (work->trait->measure == CKS_MEASURE_RATING)
    a->note = cks_join(arena, a->note, "a rating, analyzed as a measured value: take it with caution");
  if (work->values.arcsine)
    a->note = cks_join(arena, a->note, "percent: table, tests and ranks on the scale arcsin of the square root");
  if (place->reps_in_model && !place->fit.balanced && !place->check_plots && !place->blocks)
    a->note = cks_join(arena, a->note,
                       place->square ? "means adjusted for rows and columns; column SS adjusted for row, hybrid SS for "
                                       "both"
                                     : "means adjusted for reps; hybrid SS adjusted for rep");
}

/* The CV of yield is looked at; a trial is flagged, never dropped. */
static cks_status look_at_cv(const cks_trait_task *work, const cks_place *place, const cks_analysis *a)
{
  double limit = work->task->settings->cv_limit;
  if (!cks_role_is_yield(work->trait->role) || !(a->cv_pct > limit)) return CKS_OK;
  char cv[CKS_NUMBER_TEXT];
  cks_where where = {work->task->trial->file[place->plot[0]], CKS_NONE, 0, 0};
  return cks_findings_add(work->task->findings, CKS_RULE_HIGH_CV, where, work->trait->label, NULL, work->task->error,
                          "%s at %s has a CV of %s %%, above %g %%: look for what made the plots uneven",
                          work->trait->label, a->label, cks_print_number(cv, a->cv_pct, 1), limit);
}

/* Means as tested, the shift put back. */
static cks_status tested_means(const cks_trait_task *work, const cks_place *place, double **tested)
{
  size_t g = place->layout.n_hybrid;
  bool adjusted = place->method == CKS_METHOD_ANOVA;
  *tested = cks_arena_take(work->scratch, g, sizeof **tested);
  if (!*tested) return cks_error_nomem(work->task->error);
  for (size_t i = 0; i < g; i++)
    (*tested)[i] = (adjusted ? place->fit.mean[i] : place->fit.plain[i]) + work->values.shift;
  return CKS_OK;
}

static void describe(const cks_trait_task *work, const cks_place *place, cks_analysis *a)
{
  cks_analysis_clear(work->task, a);
  name_place(work->task, place, a);
  a->method = place->method;
  a->design = place->design;
  a->why = place->why;
  a->note = place->note;
  a->plots = (uint32_t)place->layout.n;
  a->n_hybrid = (uint32_t)place->layout.n_hybrid;
  a->plot_mean = place->plot_mean;
}

static cks_status fill_figures(const cks_trait_task *work, const cks_place *place, cks_analysis *a)
{
  if (place->method != CKS_METHOD_ANOVA) return CKS_OK;
  return place->check_plots ? cks_check_plots_fill(work, place, a) : fill_table(work, place, a);
}

cks_status cks_location_audit(const cks_trait_task *work, const cks_place *place)
{
  cks_analysis a;
  describe(work, place, &a);
  cks_status status = fill_figures(work, place, &a);
  return status == CKS_OK ? look_at_cv(work, place, &a) : status;
}

/* Incomplete blocks, by a mixed model. */
static cks_status analyze_blocks(const cks_trait_task *work, const cks_place *place, cks_analysis *a, bool *done)
{
  cks_status status = cks_blocks_analyze(work, place, a, done);
  if (status == CKS_OK && *done) status = cks_assume_place(work, place, a);
  return status == CKS_OK && *done ? look_at_cv(work, place, a) : status;
}

cks_status cks_location_analyze(const cks_trait_task *work, const cks_place *place, cks_analysis *a)
{
  double *tested = NULL;
  bool done = false;
  describe(work, place, a);
  cks_status status = fill_rows(work, place, a);
  if (status == CKS_OK) status = tested_means(work, place, &tested);
  if (status == CKS_OK && place->method == CKS_METHOD_ANOVA) add_notes(work, place, a);
  if (status == CKS_OK && place->method == CKS_METHOD_ANOVA && place->blocks)
    status = analyze_blocks(work, place, a, &done);
  if (status != CKS_OK || done) return status;
  if (status == CKS_OK) status = fill_figures(work, place, a);
  if (status == CKS_OK && place->method == CKS_METHOD_ANOVA) status = cks_assume_place(work, place, a);
  if (status != CKS_OK) return status;
  bool compared = place->method == CKS_METHOD_ANOVA && !place->check_plots;
  cks_contest contest = {.tested = tested,
                         .spread = compared ? &place->fit.spread : NULL,
                         .error_ms = a->error_ms,
                         .df = a->error_df,
                         .test_ms = a->error_ms,
                         .test_df = a->error_df};
  status = cks_compare(work, &contest, a);
  if (place->median) a->mean = cks_missing(); /* a mean of medians is neither */
  return status == CKS_OK ? look_at_cv(work, place, a) : status;
}
