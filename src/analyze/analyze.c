/*
 * analyze.c: cks_trial to cks_results: each trait at each of its environments, then across them; and the findings that
 * need a fit. The methods: place.c, least_squares.c, compare.c, across.c.
 */
#include "calendar.h"
#include "critical.h"
#include "strips.h"

#include "../agronomy/words.h"

#include <stdlib.h>
#include <string.h>

void cks_results_free(cks_results *results)
{
  if (!results) return;
  cks_arena_free(results->arena);
  free(results);
}

const cks_trait_result *cks_results_trait(const cks_results *results, cks_role role)
{
  for (size_t i = 0; i < results->n_trait; i++)
    if (results->trait[i].role == role) return &results->trait[i];
  return NULL;
}

const cks_hybrid_result *cks_analysis_hybrid(const cks_analysis *analysis, cks_id hybrid)
{
  if (analysis->row_of)
    return analysis->row_of[hybrid] == CKS_NONE ? NULL : &analysis->hybrid[analysis->row_of[hybrid]];
  for (size_t i = 0; i < analysis->n_hybrid; i++)
    if (analysis->hybrid[i].hybrid == hybrid) return &analysis->hybrid[i];
  return NULL;
}

const cks_group_result *cks_analysis_group(const cks_results *results, const cks_analysis *analysis,
                                           const cks_hybrid_result *line)
{
  uint32_t wanted = results->hybrid[line->hybrid].by_group;
  size_t low = 0, high = analysis->n_group;
  while (low < high) { /* by their numbers */
    size_t middle = low + (high - low) / 2;
    if (analysis->group[middle].by_group < wanted)
      low = middle + 1;
    else
      high = middle;
  }
  bool there = low < analysis->n_group && analysis->group[low].by_group == wanted; /* not: set aside */
  return there ? &analysis->group[low] : NULL;
}

static cks_status copy_groups(const cks_task *task, const cks_by_group *from, cks_by_group *to)
{
  cks_arena *arena = task->results->arena;
  if (!from->heading) return cks_arena_status(arena, task->error);
  const char **name = cks_arena_take(arena, from->n, sizeof *name);
  if (!name) return cks_error_nomem(task->error);
  for (size_t i = 0; i < from->n; i++) name[i] = from->name[i] ? cks_arena_text(arena, from->name[i]) : NULL;
  *to = (cks_by_group){.heading = cks_arena_text(arena, from->heading), .n = from->n, .own = from->own, .name = name};
  return cks_arena_status(arena, task->error);
}

static cks_status copy_hybrids(const cks_task *task)
{
  const cks_trial *trial = task->trial;
  cks_results *results = task->results;
  results->n_hybrid = trial->n_hybrid;
  results->hybrid = cks_arena_take(results->arena, trial->n_hybrid, sizeof *results->hybrid);
  if (!results->hybrid) return cks_error_nomem(task->error);
  for (size_t i = 0; i < trial->n_hybrid; i++) {
    const cks_hybrid *from = &trial->hybrid[i];
    results->hybrid[i] = (cks_hybrid){.name = cks_arena_text(results->arena, from->name),
                                      .brand = cks_arena_text(results->arena, from->brand ? from->brand : ""),
                                      .given = cks_arena_text(results->arena, from->given ? from->given : ""),
                                      .full = cks_arena_text(results->arena, from->full),
                                      .maturity = cks_arena_text(results->arena, from->maturity ? from->maturity : ""),
                                      .check = from->check,
                                      .by_group = from->by_group};
  }
  results->pair = trial->pair;
  cks_status status = copy_groups(task, &trial->by_group, &results->by_group);
  return status == CKS_OK ? copy_groups(task, &trial->by, &results->by) : status;
}

static bool is_named(const cks_task *task, size_t hybrid, const char *text)
{
  const cks_hybrid *h = &task->results->hybrid[hybrid];
  cks_arena *arena = task->results->arena;
  return !strcmp(h->name, text) || cks_words_has(h->name, text) || cks_words_has(h->given, text) ||
         (*h->brand && (cks_words_has(cks_arena_format(arena, "%s %s", h->brand, h->name), text) ||
                        cks_words_has(cks_arena_format(arena, "%s %s", h->brand, h->given), text)));
}

static void add_check(cks_results *results, size_t hybrid)
{
  for (size_t k = 0; k < results->n_check; k++)
    if (results->check[k] == hybrid) return;
  results->check[results->n_check++] = (cks_id)hybrid;
}

/* The checks: first those that --check names, in that order, then the rest by name. */
static cks_status list_checks(const cks_task *task)
{
  cks_results *results = task->results;
  const cks_setting_list *named = &task->settings->check;
  results->check = cks_arena_take(results->arena, results->n_hybrid, sizeof *results->check);
  if (!results->check) return cks_error_nomem(task->error);
  for (size_t k = 0; k < named->n; k++)
    for (size_t i = 0; i < results->n_hybrid; i++)
      if (results->hybrid[i].check && is_named(task, i, named->pair[k].key)) add_check(results, i);
  for (size_t i = 0; i < results->n_hybrid; i++)
    if (results->hybrid[i].check) add_check(results, i);
  return cks_arena_status(results->arena, task->error);
}

static void describe(const cks_trait_task *work)
{
  const cks_trait *from = work->trait;
  cks_arena *arena = work->task->results->arena;
  *work->result = (cks_trait_result){.trait = (cks_id)(from - work->task->trial->trait),
                                     .role = from->role,
                                     .key = cks_arena_text(arena, from->key),
                                     .label = cks_arena_text(arena, from->label),
                                     .narrow = cks_arena_text(arena, from->narrow),
                                     .basis_pct = from->basis_pct,
                                     .basis_text = cks_arena_text(arena, from->basis_text ? from->basis_text : ""),
                                     .better = from->better,
                                     .measure = from->measure};
}

/* The environments where the trait has a value. */
static cks_status make_places(cks_trait_task *work)
{
  const cks_trial *trial = work->task->trial;
  cks_status status = CKS_OK;
  work->place = cks_arena_take(work->scratch, trial->n_environment, sizeof *work->place);
  if (!work->place) return cks_error_nomem(work->task->error);
  for (size_t e = 0; e < trial->n_environment && status == CKS_OK; e++) {
    cks_place *place = &work->place[work->n_place];
    status = cks_place_new(work, (cks_id)e, NULL, place);
    if (status == CKS_OK && place->layout.n) work->n_place++;
  }
  return status;
}

/* What one place needs on the way lives no longer than its analysis. */
static cks_status analyze_place(const cks_trait_task *work, const cks_place *place, cks_analysis *a)
{
  cks_trait_task own = *work;
  own.scratch = cks_arena_new();
  if (!own.scratch) return cks_error_nomem(work->task->error);
  cks_status status = cks_location_analyze(&own, place, a);
  if (status == CKS_OK) status = cks_outliers_find(&own, place);
  if (status == CKS_OK) status = cks_arena_status(own.scratch, work->task->error);
  cks_arena_free(own.scratch);
  return status;
}

static cks_status analyze_places(cks_trait_task *work)
{
  cks_trait_result *result = work->result;
  cks_arena *arena = work->task->results->arena;
  cks_status status = CKS_OK;
  result->n_location = work->n_place;
  result->location = cks_arena_take(arena, work->n_place, sizeof *result->location);
  if (!result->location) return cks_error_nomem(work->task->error);
  for (size_t j = 0; j < work->n_place && status == CKS_OK; j++)
    status = analyze_place(work, &work->place[j], &result->location[j]);
  if (status == CKS_OK) status = cks_outliers_among(work);
  if (status == CKS_OK && !work->no_strips) status = cks_versus_analyze(work);
  if (status != CKS_OK || work->n_place < 2) return status;
  result->across = cks_arena_take(arena, 1, sizeof *result->across);
  if (!result->across) return cks_error_nomem(work->task->error);
  status = cks_across_analyze(work, result->across);
  if (status == CKS_OK) status = cks_years_analyze(work);
  return status == CKS_OK && !work->no_strips ? cks_interaction_analyze(work) : status;
}

cks_status cks_place_keep_counts(const cks_trait_task *work, cks_arena *kept, cks_place *place)
{
  size_t n = place->layout.n_hybrid;
  uint32_t *id = cks_arena_take(kept, n, sizeof *id), *plots = cks_arena_take(kept, n, sizeof *plots);
  if (!id || !plots) return cks_error_nomem(work->task->error);
  memcpy(id, place->hybrid_id, n * sizeof *id);
  memcpy(plots, place->fit.plots, n * sizeof *plots);
  cks_layout counts = {.n = place->layout.n, .n_hybrid = n};
  cks_fit fit = {.balanced = place->fit.balanced, .df_error = place->fit.df_error, .plots = plots};
  *place = (cks_place){.environment = place->environment,
                       .method = place->method,
                       .check_plots = place->check_plots,
                       .apart = place->apart,
                       .hybrid_id = id,
                       .layout = counts,
                       .fit = fit};
  return CKS_OK;
}

/* The findings of one environment; the figures live no longer than it is worked on. */
static cks_status audit_place(cks_trait_task *work, cks_id environment)
{
  cks_results *results = work->task->results;
  cks_arena *scratch = work->scratch, *arena = results->arena;
  cks_place *place = &work->place[work->n_place];
  work->scratch = results->arena = cks_arena_new();
  cks_status status =
      work->scratch ? cks_place_new(work, environment, NULL, place) : cks_error_nomem(work->task->error);
  if (status == CKS_OK && place->layout.n) {
    work->n_place++;
    status = cks_location_audit(work, place);
    if (status == CKS_OK) status = cks_outliers_find(work, place);
    if (status == CKS_OK) status = cks_place_keep_counts(work, scratch, place);
  }
  cks_arena_free(work->scratch);
  work->scratch = scratch;
  results->arena = arena;
  return status;
}

static cks_status audit_places(cks_trait_task *work)
{
  const cks_trial *trial = work->task->trial;
  cks_status status = CKS_OK;
  work->place = cks_arena_take(work->scratch, trial->n_environment, sizeof *work->place);
  if (!work->place) return cks_error_nomem(work->task->error);
  for (size_t e = 0; e < trial->n_environment && status == CKS_OK; e++) status = audit_place(work, (cks_id)e);
  if (status == CKS_OK) status = cks_outliers_among(work);
  return status == CKS_OK && work->n_place > 1 ? cks_across_audit(work) : status;
}

static cks_status work_on(cks_trait_task *work)
{
  bool audit = work->task->settings->audit_only;
  describe(work);
  cks_status status = cks_values_new(work);
  if (status == CKS_OK) status = audit ? audit_places(work) : make_places(work);
  return status == CKS_OK && !audit ? analyze_places(work) : status;
}

/* The same analyses of the unadjusted values stand beside those of adjusted strips. They find nothing twice, and live
 * no longer than it takes. */
static cks_status work_beside(const cks_trait_task *work)
{
  cks_results results = *work->task->results;
  cks_trait_result result = {0};
  cks_task task = *work->task;
  cks_trait_task plain = {
      .task = &task, .trait = work->trait, .result = &result, .scratch = cks_arena_new(), .no_strips = true};
  cks_findings *findings = NULL;
  results.arena = cks_arena_new();
  task.results = &results;
  cks_status status = cks_findings_new(&findings, task.error);
  if (status == CKS_OK && !(results.arena && plain.scratch)) status = cks_error_nomem(task.error);
  if (status == CKS_OK) {
    findings->limit = 0;
    task.findings = findings;
    status = work_on(&plain);
  }
  if (status == CKS_OK) status = cks_arena_status(results.arena, task.error);
  if (status == CKS_OK) cks_strips_beside(work, &result);
  cks_findings_free(findings);
  cks_arena_free(results.arena);
  cks_arena_free(plain.scratch);
  return status;
}

static cks_status analyze_trait(const cks_task *task, size_t trait, cks_trait_result *result)
{
  cks_trait_task work = {
      .task = task, .trait = &task->trial->trait[trait], .result = result, .scratch = cks_arena_new()};
  if (!work.scratch) return cks_error_nomem(task->error);
  cks_status status = work_on(&work);
  if (status == CKS_OK && !task->settings->audit_only && work.values.unadjusted)
    status = work_beside(&work);
  else if (status == CKS_OK)
    cks_strips_beside(&work, result);
  if (status == CKS_OK) status = cks_arena_status(work.scratch, task->error);
  cks_arena_free(work.scratch);
  return status;
}

/* Yield first, the others in the trial's order. */
static size_t trait_in_place(const cks_trial *trial, size_t place)
{
  size_t yield = 0;
  while (yield < trial->n_trait && trial->trait[yield].role != CKS_ROLE_YIELD) yield++;
  if (yield == trial->n_trait) return place;
  return place == 0 ? yield : place <= yield ? place - 1 : place;
}

cks_status cks_analyze(const cks_settings *settings, const cks_trial *trial, cks_findings *findings, cks_results **out,
                       cks_error *error)
{
  *out = NULL;
  cks_results *results = calloc(1, sizeof *results);
  if (!results) return cks_error_nomem(error);
  cks_task task = {settings, trial, findings, results, cks_critical_cache_new(), error};
  results->alpha = settings->alpha;
  results->arena = cks_arena_new();
  cks_status status = results->arena && task.critical ? copy_hybrids(&task) : cks_error_nomem(error);
  if (status == CKS_OK) status = list_checks(&task);
  if (status == CKS_OK) status = cks_forage_describe(&task);
  if (status == CKS_OK) status = cks_show_check(&task);
  if (status == CKS_OK) status = cks_maturity_cuts_take(&task);
  if (status == CKS_OK) status = cks_strips_check(&task);
  if (status == CKS_OK) status = cks_calendar_check(&task);
  if (status != CKS_OK) goto done;
  results->trait = cks_arena_take(results->arena, trial->n_trait, sizeof *results->trait);
  results->n_trait = settings->audit_only ? 0 : trial->n_trait;
  for (size_t t = 0; results->trait && t < trial->n_trait && status == CKS_OK; t++)
    status = analyze_trait(&task, trait_in_place(trial, t), &results->trait[t]);
  if (status == CKS_OK && results->trait && !settings->audit_only) status = cks_calendar_analyze(&task);
  if (status == CKS_OK) status = cks_arena_status(results->arena, error);
done:
  cks_critical_cache_free(task.critical);
  if (status == CKS_OK)
    *out = results;
  else
    cks_results_free(results);
  return status;
}
