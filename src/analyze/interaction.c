/*
 * interaction.c: hybrids by environments of one trait: cells.c makes the table, slopes.c, stability.c, axes.c and verdict.c
 * what is made of it. The environments and hybrids are those of the analysis across, less hybrids in too few environments.
 */
#include "cells.h"

static void clear(cks_interaction *a)
{
  double none = cks_missing();
  *a = (cks_interaction){.why = "",
                         .left_out = "",
                         .basis = "",
                         .components_why = "",
                         .ss = none,
                         .df = none,
                         .f = none,
                         .num_df = none,
                         .den_df = none,
                         .p = none,
                         .cell_variance = none,
                         .component = none,
                         .component_upper = none,
                         .hybrid_component = none,
                         .excess_upper = none,
                         .slopes_f = none,
                         .slopes_num_df = none,
                         .slopes_den_df = none,
                         .slopes_p = none,
                         .nonadditivity_f = none,
                         .nonadditivity_df = none,
                         .nonadditivity_p = none};
}

static cks_stability blank_hybrid(const cks_cells *c, const cks_analysis *across, size_t i)
{
  double none = cks_missing();
  const cks_hybrid_result *line = cks_analysis_hybrid(across, c->hybrid[i]);
  return (cks_stability){.hybrid = c->hybrid[i],
                         .cells = c->cells[i],
                         .mean = line && !cks_is_missing(line->mean) ? line->mean : c->mean[i],
                         .slope = none,
                         .slope_se = none,
                         .slope_p = none,
                         .slope_low = none,
                         .slope_high = none,
                         .slope_df = none,
                         .deviation_ms = none,
                         .ecovalence = none,
                         .stability_variance = none,
                         .superiority = none};
}

static cks_environment_answer blank_environment(const cks_cells *c, size_t j)
{
  double none = cks_missing();
  const cks_trait_task *work = c->work;
  cks_environment_answer answer = {.environment = work->place[j].environment,
                                   .label = "",
                                   .hybrids = c->grown[j],
                                   .mean = c->grand + c->index[j],
                                   .index = c->index[j],
                                   .best = CKS_NONE,
                                   .best_mean = none,
                                   .ahead = none,
                                   .best_by_axes = CKS_NONE,
                                   .rank_correlation = none};
  for (size_t k = 0; k < work->result->n_location; k++) {
    const cks_analysis *here = &work->result->location[k];
    if (here->environment != answer.environment) continue;
    answer.label = here->label;
    answer.n_top = here->found ? here->n_top : 0;
  }
  return answer;
}

static cks_status begin(const cks_cells *c, const cks_analysis *across, cks_interaction *a)
{
  cks_arena *arena = c->work->task->results->arena;
  a->n_hybrid = c->g;
  a->n_environment = c->e;
  a->hybrid = cks_arena_take(arena, c->g, sizeof *a->hybrid);
  a->environment = cks_arena_take(arena, c->e, sizeof *a->environment);
  if (!a->hybrid || !a->environment) return cks_error_nomem(c->work->task->error);
  for (size_t i = 0; i < c->g; i++) a->hybrid[i] = blank_hybrid(c, across, i);
  for (size_t j = 0; j < c->e; j++) a->environment[j] = blank_environment(c, j);
  for (size_t i = 0; i < c->n_row; i++) a->hybrid[c->row[i]].in_table = true;
  for (size_t j = 0; j < c->n_column; j++) a->environment[c->column[j]].in_table = true;
  a->complete = c->complete;
  a->table_hybrids = (uint32_t)c->n_row;
  a->table_environments = (uint32_t)c->n_column;
  return CKS_OK;
}

/* ---- what the complete part lacks ------------------------------------------------------------------------------- */

enum { MOST_NAMED = 6 };

static const char *named(const cks_cells *c, const char *text, size_t *n, const char *name)
{
  if ((*n)++ >= MOST_NAMED) return text;
  return cks_arena_format(c->work->scratch, "%s%s%s", text, *text ? ", " : "", name);
}

static const char *counted(const cks_cells *c, const char *text, size_t n)
{
  return n > MOST_NAMED ? cks_arena_format(c->work->scratch, "%s and %zu more", text, n - MOST_NAMED) : text;
}

static const char *left_out_words(const cks_cells *c, const cks_interaction *a)
{
  const cks_trial *trial = c->work->task->trial;
  const char *hybrids = "", *environments = "";
  size_t n_hybrid = 0, n_environment = 0;
  cks_arena *arena = c->work->task->results->arena;
  if (c->complete) return "";
  if (!c->n_row) return "no two hybrids grew together in two environments: no complete table";
  for (size_t i = 0; i < c->g; i++)
    if (!a->hybrid[i].in_table) hybrids = named(c, hybrids, &n_hybrid, trial->hybrid[c->hybrid[i]].full);
  for (size_t j = 0; j < c->e; j++)
    if (!a->environment[j].in_table) environments = named(c, environments, &n_environment, a->environment[j].label);
  return cks_arena_format(arena, "the complete table has %zu hybrids and %zu environments; left out: %s%s%s", c->n_row,
                          c->n_column, counted(c, hybrids, n_hybrid), n_hybrid && n_environment ? "; " : "",
                          counted(c, environments, n_environment));
}

cks_status cks_interaction_analyze(const cks_trait_task *work)
{
  cks_trait_task series;
  cks_cells cells;
  const char *why = NULL;
  cks_analysis *across = work->result->across;
  cks_interaction *a = cks_arena_take(work->task->results->arena, 1, sizeof *a);
  if (!a) return cks_error_nomem(work->task->error);
  clear(a);
  cks_status status = cks_series_ranked(work, &series);
  if (status == CKS_OK && work->values.untested) why = work->values.untested;
  if (status == CKS_OK && !why) status = cks_cells_new(&series, across, &cells, &why);
  if (status == CKS_OK && !why) {
    status = begin(&cells, across, a);
    if (status == CKS_OK) status = cks_verdict_fill(&cells, a);
    if (status == CKS_OK) status = cks_slopes_fill(&cells, a);
    if (status == CKS_OK) status = cks_stability_fill(&cells, a);
    if (status == CKS_OK) status = cks_axes_fill(&cells, a);
    if (status == CKS_OK && work->result->role == CKS_ROLE_DAYS_TO_MID_BLOOM) status = cks_maturity_fill(&cells, a);
    if (status == CKS_OK) a->left_out = left_out_words(&cells, a);
    if (cks_is_missing(across->interaction_p)) across->interaction_p = a->p; /* its table has no line for it */
  }
  if (why) a->why = why;
  work->result->interaction = a;
  return status;
}
