/*
 * across_mixed.c: a trait over environments that are not balanced: hybrids missing somewhere, lost plots, other reps,
 * incomplete blocks, strips with a repeated check.
 *
 *   hybrid + environment + rep in environment + block in rep + hybrid x environment + error, several years: + hybrid x
 *   location + hybrid x year
 * Hybrids fixed, the environment's main effect fixed by default: which hybrid stands where is planned in this trade, and a
 * random one would let that leak into the means. Hybrid x environment is random, so the means speak for farms like these.
 * The engine leaves out what the data cannot tell apart; it is named in the note.
 */
#include "across.h"
#include "mixed.h"

#include "../math/sets.h"

#include <stdlib.h>
#include <string.h>

/* ---- plots ------------------------------------------------------------------------------------------------------ */

static size_t count_plots(const cks_trait_task *work)
{
  size_t n = 0;
  for (size_t j = 0; j < work->n_place; j++) n += work->place[j].layout.n;
  return n;
}

static cks_status gather(const cks_trait_task *work, const cks_balanced_series *s, const cks_analysis *a,
                         cks_mixed_plots *plots)
{
  cks_arena *scratch = work->scratch;
  const cks_trial *trial = work->task->trial;
  size_t n = count_plots(work), at = 0;
  uint32_t *local = cks_arena_take(scratch, trial->n_hybrid, sizeof *local);
  uint32_t *plot = cks_arena_take(scratch, n, sizeof *plot), *hybrid = cks_arena_take(scratch, n, sizeof *hybrid),
           *environment = cks_arena_take(scratch, n, sizeof *environment),
           *rep = cks_arena_take(scratch, n, sizeof *rep), *block = cks_arena_take(scratch, n, sizeof *block);
  cks_status status = cks_arena_status(scratch, work->task->error);
  if (status != CKS_OK) return status;
  for (uint32_t i = 0; i < a->n_hybrid; i++) local[a->hybrid[i].hybrid] = i;
  for (size_t j = 0; j < work->n_place; j++) {
    const cks_place *place = &work->place[j];
    for (size_t p = 0; p < place->layout.n; p++, at++) {
      plot[at] = place->plot[p];
      hybrid[at] = local[trial->hybrid_of[plot[at]]];
      environment[at] = (uint32_t)j;
      rep[at] = place->rep_of ? place->rep_of[plot[at]] : CKS_NONE;
      block[at] = place->block_of ? place->block_of[plot[at]] : CKS_NONE;
    }
  }
  const cks_settings *settings = work->task->settings;
  *plots = (cks_mixed_plots){.n = n,
                             .n_hybrid = a->n_hybrid,
                             .n_environment = work->n_place,
                             .plot = plot,
                             .hybrid = hybrid,
                             .environment = environment,
                             .rep = rep,
                             .block = block,
                             .location = s->l > 1 && s->l < s->e ? s->location : NULL,
                             .year = s->y > 1 && s->y < s->e ? s->year : NULL,
                             .model = {.environments_fixed = !settings->environments_random,
                                       .error_by_environment = settings->error_by_location}};
  return CKS_OK;
}

/* ---- sets that hang together by checks alone --------------------------------------------------------------------- */

cks_status cks_series_sets(const cks_trait_task *work, const bool *skip, uint32_t *set, size_t *n_set)
{
  size_t n_hybrid = work->task->trial->n_hybrid, n = 0;
  uint32_t *parent = cks_arena_take(work->scratch, n_hybrid + work->n_place, sizeof *parent);
  bool *there = cks_arena_take(work->scratch, n_hybrid, sizeof *there);
  if (!parent || !there) return cks_error_nomem(work->task->error);
  for (size_t i = 0; i < n_hybrid + work->n_place; i++) parent[i] = (uint32_t)i;
  for (size_t j = 0; j < work->n_place; j++)
    for (size_t i = 0; i < work->place[j].layout.n_hybrid && !work->place[j].apart; i++) {
      uint32_t hybrid = work->place[j].hybrid_id[i];
      if (skip && skip[hybrid]) continue;
      cks_sets_join(parent, hybrid, (uint32_t)(n_hybrid + j));
      there[hybrid] = true;
    }
  for (size_t i = 0; i < n_hybrid; i++) {
    set[i] = CKS_NONE;
    if (!there[i]) continue;
    uint32_t root = cks_sets_root(parent, (uint32_t)i);
    set[i] = root == i ? (uint32_t)n++ : set[root];
  }
  *n_set = n;
  return CKS_OK;
}

/* Hybrids by the sets that are left without the checks, when the checks alone tie several together; NULL: they do not. */
static cks_status find_tied(const cks_trait_task *work, const cks_analysis *a, const uint32_t **set_of)
{
  const cks_results *results = work->task->results;
  bool *checks = cks_arena_take(work->scratch, results->n_hybrid, sizeof *checks);
  uint32_t *set = cks_arena_take(work->scratch, results->n_hybrid, sizeof *set),
           *local = cks_arena_take(work->scratch, a->n_hybrid, sizeof *local);
  *set_of = NULL;
  if (!checks || !set || !local) return cks_error_nomem(work->task->error);
  for (size_t k = 0; k < results->n_check; k++) checks[results->check[k]] = true;
  size_t n_set = 0;
  cks_status status = cks_series_sets(work, checks, set, &n_set);
  if (status != CKS_OK || n_set < 2) return status;
  for (size_t i = 0; i < a->n_hybrid; i++) local[i] = set[a->hybrid[i].hybrid];
  *set_of = local;
  return CKS_OK;
}

/* Rows that are not to be ranked go behind the others; returns how many are. */
static cks_status put_unranked_last(const cks_trait_task *work, const cks_balanced_series *s, cks_analysis *a,
                                    size_t *n_ranked)
{
  size_t n = 0, g = a->n_hybrid;
  cks_hybrid_result *rows = cks_arena_take(work->task->results->arena, g, sizeof *rows);
  if (!rows) return cks_error_nomem(work->task->error);
  for (int last = 0; last < 2; last++) {
    for (size_t i = 0; i < g; i++)
      if ((s->unranked && s->unranked[a->hybrid[i].hybrid]) == last) rows[n++] = a->hybrid[i];
    if (!last) *n_ranked = n;
  }
  a->hybrid = rows;
  return CKS_OK;
}

/* ---- the analysis ----------------------------------------------------------------------------------------------- */

/* Plain means, and whether every hybrid has one plot at each of its places. */
static cks_status fill_plain(const cks_trait_task *work, cks_analysis *a, bool *all_single)
{
  double all = 0;
  bool single = true;
  for (size_t j = 0; j < work->n_place; j++) {
    const cks_place *place = &work->place[j];
    all += place->plot_mean * (double)place->layout.n;
    single &= place->layout.n == place->layout.n_hybrid;
  }
  a->plot_mean = all / a->plots;
  for (size_t i = 0; i < a->n_hybrid; i++) a->hybrid[i].raw_mean = 0;
  uint32_t *local = cks_arena_take(work->scratch, work->task->trial->n_hybrid, sizeof *local);
  if (!local) return cks_error_nomem(work->task->error);
  for (uint32_t i = 0; i < a->n_hybrid; i++) local[a->hybrid[i].hybrid] = i;
  for (size_t j = 0; j < work->n_place; j++)
    for (size_t i = 0; i < work->place[j].layout.n_hybrid; i++) {
      const cks_place *place = &work->place[j];
      cks_hybrid_result *row = &a->hybrid[local[place->hybrid_id[i]]];
      row->raw_mean += place->plain[i] * place->fit.plots[i] / row->n;
    }
  *all_single = single;
  return CKS_OK;
}

static cks_mixed_names names_of(const cks_balanced_series *s)
{
  bool simple = s->form == BY_LOCATION;
  return (cks_mixed_names){simple ? "location" : "environment", simple ? "rep in location" : "rep in environment",
                           "block in rep", simple ? "hybrid x location" : "hybrid x environment"};
}

cks_status cks_across_mixed(const cks_trait_task *work, cks_balanced_series *s, cks_balance b, cks_analysis *a,
                            bool *done)
{
  cks_mixed_plots plots;
  cks_mixed_names names = names_of(s);
  cks_arena *arena = work->task->results->arena;
  *done = false;
  size_t n_ranked = 0;
  cks_status status = put_unranked_last(work, s, a, &n_ranked);
  if (status == CKS_OK) status = gather(work, s, a, &plots);
  plots.n_ranked = n_ranked;
  if (status == CKS_OK) status = find_tied(work, a, &plots.set_of);
  bool single = false;
  if (status == CKS_OK) status = fill_plain(work, a, &single);
  if (status != CKS_OK) return status;
  s->r = single ? 1 : cks_missing();
  a->design = "unbalanced series";
  a->locations_as = "random";
  a->environment_effect = plots.model.environments_fixed ? "fixed" : "random";
  if (single) a->reps = 1;
  a->lack = cks_arena_text(arena, cks_across_lack(work, b));
  a->note =
      cks_join(arena, a->note, cks_arena_format(arena, "%s, so means are adjusted by a mixed model (REML)", a->lack));
  cks_series_notes(work, s, a);
  return cks_mixed_analyze(work, &plots, &names, a, NULL, done);
}
