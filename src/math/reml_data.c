/*
 * reml_data.c: plots sorted by environment and cell, their strata numbered, the terms that the data tell apart chosen,
 * and the levels of the system laid out.
 *
 * A term is left out when its levels are those of another one: reps that are the environments, blocks that are the reps,
 * cells of one plot, hybrids by location when each location stands in one environment.
 */
#include "reml_parts.h"

#include "sets.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ---- small tools ------------------------------------------------------------------------------------------------ */

typedef struct {
  uint64_t key;
  uint32_t at;
} keyed;

static int compare_keyed(const void *left, const void *right)
{
  const keyed *a = left, *b = right;
  return a->key != b->key ? (a->key < b->key ? -1 : 1) : (a->at > b->at) - (a->at < b->at);
}

/* number (size n): keys replaced by 0, 1, ... in ascending order; returns how many there are. item: size n, overwritten. */
static size_t number_keys(keyed *item, size_t n, uint32_t *number)
{
  size_t m = 0;
  for (size_t i = 0; i < n; i++) item[i].at = (uint32_t)i;
  qsort(item, n, sizeof *item, compare_keyed);
  for (size_t i = 0; i < n; i++) {
    if (i && item[i].key != item[i - 1].key) m++;
    number[item[i].at] = (uint32_t)m;
  }
  return n ? m + 1 : 0;
}

/* ---- plots by environment and cell ------------------------------------------------------------------------------ */

/* order (size n): plots by environment, then hybrid, then as they came. */
static cks_status sort_plots(const cks_reml_data *d, uint32_t **order, cks_arena *arena, cks_error *error)
{
  size_t most = d->n_hybrid > d->n_environment ? d->n_hybrid : d->n_environment;
  uint32_t *count = calloc(most + 1, sizeof *count), *by_hybrid = calloc(d->n, sizeof *by_hybrid);
  *order = cks_arena_take(arena, d->n, sizeof **order);
  cks_status status = count && by_hybrid && *order ? CKS_OK : cks_error_nomem(error);
  if (status != CKS_OK) goto done;
  for (size_t p = 0; p < d->n; p++) count[d->hybrid[p] + 1]++;
  for (size_t i = 0; i < d->n_hybrid; i++) count[i + 1] += count[i];
  for (size_t p = 0; p < d->n; p++) by_hybrid[count[d->hybrid[p]]++] = (uint32_t)p;
  memset(count, 0, (most + 1) * sizeof *count);
  for (size_t p = 0; p < d->n; p++) count[d->environment[p] + 1]++;
  for (size_t j = 0; j < d->n_environment; j++) count[j + 1] += count[j];
  for (size_t k = 0; k < d->n; k++) (*order)[count[d->environment[by_hybrid[k]]]++] = by_hybrid[k];
done:
  free(by_hybrid);
  free(count);
  return status;
}

static bool all_given(const uint32_t *of, const uint32_t *plot, size_t n)
{
  bool given = of != NULL;
  for (size_t p = 0; given && p < n; p++) given = of[plot[p]] != CKS_NONE;
  return given;
}

/* Reps and blocks of one place: its strata. plot: its plots in order. */
static cks_status lay_strata(cks_reml *r, cks_reml_place *p, const uint32_t *plot, cks_error *error)
{
  const cks_reml_data *d = &r->data;
  bool reps = all_given(d->rep, plot, p->n), blocks = all_given(d->block, plot, p->n);
  keyed *item = malloc(p->n * sizeof *item);
  uint32_t *rep = calloc(p->n, sizeof *rep), *stratum = cks_arena_take(r->arena, p->n, sizeof *stratum), *rep_of = NULL;
  double *plots = NULL;
  cks_status status = item && rep && stratum ? CKS_OK : cks_error_nomem(error);
  if (status != CKS_OK) goto done;
  for (size_t i = 0; i < p->n; i++) item[i].key = reps ? d->rep[plot[i]] : 0;
  size_t n_rep = number_keys(item, p->n, rep);
  for (size_t i = 0; i < p->n; i++) item[i].key = (uint64_t)rep[i] << 32 | (blocks ? d->block[plot[i]] : 0);
  p->n_stratum = number_keys(item, p->n, stratum);
  rep_of = cks_arena_take(r->arena, p->n_stratum, sizeof *rep_of);
  plots = cks_arena_take(r->arena, p->n_stratum, sizeof *plots);
  if (!rep_of || !plots) {
    status = cks_error_nomem(error);
    goto done;
  }
  for (size_t i = 0; i < p->n; i++) {
    rep_of[stratum[i]] = rep[i];
    plots[stratum[i]]++;
  }
  p->n_rep = reps ? n_rep : 0;
  p->blocks = blocks;
  p->stratum = stratum;
  p->rep_of = rep_of;
  p->plots = plots;
done:
  free(rep);
  free(item);
  return status;
}

/* Cells and values of one place. */
static cks_status lay_cells(cks_reml *r, cks_reml_place *p, const uint32_t *plot, cks_error *error)
{
  const cks_reml_data *d = &r->data;
  uint32_t *first = NULL, *hybrid = NULL;
  double *y = cks_arena_take(r->arena, p->n, sizeof *y);
  size_t n_cell = 0;
  for (size_t i = 0; i < p->n; i++) n_cell += i == 0 || d->hybrid[plot[i]] != d->hybrid[plot[i - 1]];
  first = cks_arena_take(r->arena, n_cell + 1, sizeof *first);
  hybrid = cks_arena_take(r->arena, n_cell, sizeof *hybrid);
  if (!y || !first || !hybrid) return cks_error_nomem(error);
  n_cell = 0;
  for (size_t i = 0; i < p->n; i++) {
    if (i == 0 || d->hybrid[plot[i]] != d->hybrid[plot[i - 1]]) {
      first[n_cell] = (uint32_t)i;
      hybrid[n_cell++] = d->hybrid[plot[i]];
    }
    y[i] = d->y[plot[i]] - r->shift;
    p->yy += y[i] * y[i];
  }
  first[n_cell] = (uint32_t)p->n;
  p->n_cell = n_cell;
  p->first = first;
  p->level[0] = hybrid;
  p->y = y;
  return CKS_OK;
}

static cks_status lay_places(cks_reml *r, cks_error *error)
{
  const cks_reml_data *d = &r->data;
  uint32_t *order = NULL;
  cks_status status = sort_plots(d, &order, r->arena, error);
  r->place = cks_arena_take(r->arena, r->n_place, sizeof *r->place);
  if (status != CKS_OK || !r->place) return cks_error_nomem(error);
  for (size_t p = 0; p < d->n; p++) {
    r->place[d->environment[p]].n++;
    r->shift += d->y[p] / (double)d->n;
  }
  const uint32_t *plot = order;
  for (size_t j = 0; j < r->n_place && status == CKS_OK; j++) {
    status = lay_strata(r, &r->place[j], plot, error);
    if (status == CKS_OK) status = lay_cells(r, &r->place[j], plot, error);
    plot += r->place[j].n;
  }
  return status;
}

/* ---- which terms there are -------------------------------------------------------------------------------------- */

/* Cells and strata of every place are the same sets of plots. */
static bool cells_are_strata(const cks_reml *r)
{
  for (size_t j = 0; j < r->n_place; j++) {
    const cks_reml_place *p = &r->place[j];
    if (p->n_cell != p->n_stratum) return false;
    for (size_t c = 0; c < p->n_cell; c++)
      for (size_t i = p->first[c] + 1; i < p->first[c + 1]; i++)
        if (p->stratum[i] != p->stratum[i - 1]) return false;
  }
  return true;
}

/* Where blocks are not in the model after all, the strata are the reps. */
static void strata_to_reps(cks_reml_place *p, bool keep_reps)
{
  size_t n_rep = keep_reps && p->n_rep ? p->n_rep : 1;
  for (size_t i = 0; i < p->n; i++) p->stratum[i] = n_rep > 1 ? p->rep_of[p->stratum[i]] : 0;
  for (size_t l = 0; l < n_rep; l++) {
    p->rep_of[l] = (uint32_t)l;
    p->plots[l] = 0;
  }
  for (size_t i = 0; i < p->n; i++) p->plots[p->stratum[i]]++;
  p->n_stratum = n_rep;
  p->blocks = false;
  if (!keep_reps) p->n_rep = 0;
}

static void choose_strata(cks_reml *r)
{
  size_t reps = 0, with_reps = 0, blocks = 0, reps_of_blocks = 0, plots_of_reps = 0, plots_of_blocks = 0;
  for (size_t j = 0; j < r->n_place; j++) {
    const cks_reml_place *p = &r->place[j];
    reps += p->n_rep;
    with_reps += p->n_rep > 0;
    plots_of_reps += p->n_rep ? p->n : 0;
    blocks += p->blocks ? p->n_stratum : 0;
    reps_of_blocks += p->blocks ? (p->n_rep ? p->n_rep : 1) : 0;
    plots_of_blocks += p->blocks ? p->n : 0;
  }
  bool cells = r->used[CKS_REML_CELL];
  r->used[CKS_REML_BLOCK] = blocks > reps_of_blocks && blocks < plots_of_blocks && !(cells && cells_are_strata(r));
  r->used[CKS_REML_REP] = reps > with_reps && reps < plots_of_reps;
  for (size_t j = 0; j < r->n_place; j++) {
    cks_reml_place *p = &r->place[j];
    if (!r->used[CKS_REML_BLOCK] || !p->blocks) strata_to_reps(p, r->used[CKS_REML_REP]);
    if (!r->used[CKS_REML_REP]) p->n_rep = 0;
  }
}

/* Cells are neither plots nor environments. */
static bool cells_are_cells(const cks_reml *r)
{
  bool repeats = false, several = false;
  for (size_t j = 0; j < r->n_place; j++) {
    repeats |= r->place[j].n > r->place[j].n_cell;
    several |= r->place[j].n_cell > 1;
  }
  return repeats && several;
}

/* Levels of one crossing term, hybrid by of[environment]: numbered into the places' level[layer]. */
static cks_status number_levels(cks_reml *r, const uint32_t *of, size_t layer, size_t *n_level, cks_error *error)
{
  size_t n_cell = 0, k = 0;
  for (size_t j = 0; j < r->n_place; j++) n_cell += r->place[j].n_cell;
  keyed *item = malloc(n_cell * sizeof *item);
  uint32_t *number = cks_arena_take(r->arena, n_cell, sizeof *number);
  if (!item || !number) {
    free(item);
    return cks_error_nomem(error);
  }
  for (size_t j = 0; j < r->n_place; j++) {
    cks_reml_place *p = &r->place[j];
    p->level[layer] = number + k;
    for (size_t c = 0; c < p->n_cell; c++) item[k++].key = (uint64_t)p->level[0][c] << 32 | of[j];
  }
  *n_level = number_keys(item, n_cell, number);
  free(item);
  return CKS_OK;
}

/* Two layers of n levels each are the same sets of cells. */
static cks_status compare_layers(const cks_reml *r, size_t a, size_t b, size_t n, bool *agree, cks_error *error)
{
  uint32_t *partner = malloc(n * sizeof *partner);
  if (!partner) return cks_error_nomem(error);
  for (size_t i = 0; i < n; i++) partner[i] = CKS_NONE;
  *agree = true;
  for (size_t j = 0; j < r->n_place; j++)
    for (size_t c = 0; c < r->place[j].n_cell; c++) {
      uint32_t *other = &partner[r->place[j].level[a][c]];
      if (*other == CKS_NONE) *other = r->place[j].level[b][c];
      *agree &= *other == r->place[j].level[b][c];
    }
  free(partner);
  return CKS_OK;
}

/* Hybrids, and what crosses environments with them. A term is kept when its levels are neither the hybrids nor the cells,
 * nor those of the term before it. */
static cks_status choose_layers(cks_reml *r, cks_error *error)
{
  static const cks_reml_kind kinds[] = {CKS_REML_BY_LOCATION, CKS_REML_BY_YEAR};
  const uint32_t *of[] = {r->data.location, r->data.year};
  size_t n_cell = 0;
  for (size_t j = 0; j < r->n_place; j++) n_cell += r->place[j].n_cell;
  r->layer[0] = (cks_reml_layer){CKS_REML_HYBRID, 0, r->data.n_hybrid, r->model.hybrids_random};
  r->n_layer = 1;
  r->used[CKS_REML_HYBRID] = r->model.hybrids_random && r->data.n_hybrid > 1;
  for (size_t k = 0; k < 2; k++) {
    size_t n = 0, at = r->n_layer;
    bool agree = false;
    if (!of[k]) continue;
    cks_status status = number_levels(r, of[k], at, &n, error);
    if (status == CKS_OK && at == 2 && n == r->layer[1].n) status = compare_layers(r, 1, 2, n, &agree, error);
    if (status != CKS_OK) return status;
    if (n == r->data.n_hybrid || n == n_cell || agree) continue;
    r->layer[r->n_layer++] = (cks_reml_layer){kinds[k], 0, n, true};
    r->used[kinds[k]] = true;
  }
  return CKS_OK;
}

/* Environments as a layer: every cell of a place is of one level. */
static cks_status add_environment_layer(cks_reml *r, cks_error *error)
{
  size_t k = r->n_layer;
  if (!r->environment_levels) return CKS_OK;
  for (size_t j = 0; j < r->n_place; j++) {
    cks_reml_place *p = &r->place[j];
    p->level[k] = cks_arena_take(r->arena, p->n_cell, sizeof *p->level[k]);
    if (!p->level[k]) return cks_error_nomem(error);
    for (size_t c = 0; c < p->n_cell; c++) p->level[k][c] = (uint32_t)j;
  }
  r->layer[r->n_layer++] = (cks_reml_layer){CKS_REML_ENVIRONMENT, 0, r->n_place, false};
  return CKS_OK;
}

/* ---- the system's levels ---------------------------------------------------------------------------------------- */

/* Sets of hybrids that hang together by environments. Of each, where the environments are fixed too, one hybrid is
 * accounted for by the others. */
static cks_status find_sets(cks_reml *r, cks_error *error)
{
  size_t g = r->data.n_hybrid, n = 0;
  uint32_t *parent = malloc((g + r->n_place) * sizeof *parent), *set_of = cks_arena_take(r->arena, g, sizeof *set_of);
  if (!parent || !set_of) {
    free(parent);
    return cks_error_nomem(error);
  }
  for (size_t i = 0; i < g + r->n_place; i++) parent[i] = (uint32_t)i;
  for (size_t j = 0; j < r->n_place; j++)
    for (size_t c = 0; c < r->place[j].n_cell; c++) cks_sets_join(parent, r->place[j].level[0][c], (uint32_t)(g + j));
  for (size_t i = 0; i < g; i++) {
    bool first = parent[i] == i;
    set_of[i] = first ? (uint32_t)n++ : set_of[cks_sets_root(parent, (uint32_t)i)];
    r->dropped[r->layer[0].first + i] =
        first && (r->model.environments_fixed || r->environment_levels) && !r->model.hybrids_random;
    r->n_dropped += r->dropped[r->layer[0].first + i];
  }
  r->fit.n_set = n;
  r->fit.set_of = set_of;
  free(parent);
  return CKS_OK;
}

/* Places of the layers in the system, after the mean where it has one; the cells' levels become indexes into it. */
static cks_status lay_levels(cks_reml *r, cks_error *error)
{
  r->mean_level = r->model.hybrids_random && !r->model.environments_fixed && !r->environment_levels;
  r->n_level = r->mean_level;
  for (size_t k = 0; k < r->n_layer; k++) {
    r->layer[k].first = r->n_level;
    r->n_level += r->layer[k].n;
  }
  r->dropped = cks_arena_take(r->arena, r->n_level, sizeof *r->dropped);
  if (!r->dropped) return cks_error_nomem(error);
  cks_status status = find_sets(r, error);
  for (size_t j = 0; j < r->n_place; j++)
    for (size_t k = 0; k < r->n_layer; k++) {
      uint32_t *level = r->place[j].level[k];
      for (size_t c = 0; c < r->place[j].n_cell; c++) level[c] += (uint32_t)r->layer[k].first;
    }
  return status;
}

/* ---- memory to work in ------------------------------------------------------------------------------------------ */

enum {
  MOST_KEPT = 2 << 20
}; /* numbers of all G that are kept from the first pass over the places to the second: 16 MB */

static size_t larger(size_t a, size_t b) { return a > b ? a : b; }

static bool keep_g(const cks_reml *r)
{
  double size = 0;
  for (size_t j = 0; j < r->n_place; j++) size += (double)r->place[j].n_stratum * (double)r->place[j].n_stratum;
  return size <= MOST_KEPT;
}

static cks_status take_workspace(cks_reml *r, cks_error *error)
{
  cks_arena *arena = r->arena;
  for (size_t j = 0; j < r->n_place; j++) {
    r->most_plots = larger(r->most_plots, r->place[j].n);
    r->most_cells = larger(r->most_cells, r->place[j].n_cell);
    r->most_strata = larger(r->most_strata, r->place[j].n_stratum);
    r->most_reps = larger(r->most_reps, r->place[j].n_rep);
  }
  size_t m = r->n_level, b = r->most_strata, cells = r->most_cells, order = b + r->most_reps + 1;
  r->few = r->n_layer == 1 && b <= FEW;
  r->ld = r->few ? m : (m + PANEL - 1) / PANEL * PANEL;
  r->c = cks_arena_take(arena, m * m, sizeof(double));
  double **of_level[] = {&r->scale, &r->rr, &r->h, &r->zpy, &r->s_diagonal, &r->c_diagonal, &r->s_mean};
  double **of_cell[] = {&r->at.w, &r->at.phi, &r->cell, &r->local_diagonal};
  double **square[] = {&r->at.a, &r->at.g, &r->ag, &r->b2g, &r->k, &r->y_matrix};
  for (size_t k = 0; k < sizeof of_level / sizeof *of_level; k++)
    *of_level[k] = cks_arena_take(arena, m, sizeof(double));
  for (size_t k = 0; k < sizeof of_cell / sizeof *of_cell; k++)
    *of_cell[k] = cks_arena_take(arena, cells, sizeof(double));
  if (keep_g(r)) r->kept_g = cks_arena_take(arena, r->n_place, sizeof *r->kept_g);
  for (size_t j = 0; r->kept_g && j < r->n_place; j++)
    r->kept_g[j] = cks_arena_take(arena, r->place[j].n_stratum * r->place[j].n_stratum, sizeof(double));
  for (size_t k = 0; k < sizeof square / sizeof *square; k++) *square[k] = cks_arena_take(arena, b * b, sizeof(double));
  r->w_matrix = cks_arena_take(arena, order * order, sizeof(double));
  r->reps_a = cks_arena_take(arena, (r->most_reps + 1) * b, sizeof(double));
  r->rep_rows = cks_arena_take(arena, (r->most_reps + 1) * order, sizeof(double));
  r->chunk = cks_arena_take(arena, b * CHUNK, sizeof(double));
  r->tile = cks_arena_take(arena, b * TILE, sizeof(double));
  r->strata = cks_arena_take(arena, b * 4, sizeof(double));
  r->strip = cks_arena_take(arena, b * PANEL, sizeof(double));
  r->cu = cks_arena_take(arena, cells * b, sizeof(double));
  r->by_stratum = cks_arena_take(arena, r->most_plots, sizeof *r->by_stratum);
  r->stratum_first = cks_arena_take(arena, b + 1, sizeof *r->stratum_first);
  r->own_index = cks_arena_take(arena, cells, sizeof *r->own_index);
  r->f = cks_arena_take(arena, TERMS * r->most_plots, sizeof(double));
  r->f_sums = cks_arena_take(arena, TERMS * cells, sizeof(double));
  r->f_strata = cks_arena_take(arena, TERMS * b, sizeof(double));
  r->gf_strata = cks_arena_take(arena, TERMS * b, sizeof(double));
  r->f_levels = cks_arena_take(arena, r->fit.n_theta * m, sizeof(double));
  r->cf_levels = cks_arena_take(arena, r->fit.n_theta * m, sizeof(double));
  for (size_t c = 0; r->own_index && c < cells; c++) r->own_index[c] = (uint32_t)c;
  r->s = r->few ? r->c : cks_arena_take(arena, m * r->ld, sizeof(double));
  if (r->few) {
    r->batch_sums = cks_arena_take(arena, BATCH, sizeof(double));
    r->batch_u = cks_arena_take(arena, m * BATCH, sizeof(double));
    r->batch_cu = cks_arena_take(arena, m * BATCH, sizeof(double));
    r->root_g = cks_arena_take(arena, order * b, sizeof(double));
  }
  if (r->n_layer > 1) {
    r->local = cks_arena_take(arena, cells * ((cells + PANEL - 1) / PANEL * PANEL), sizeof(double));
    r->local_c = cks_arena_take(arena, cells * cells, sizeof(double));
  }
  return cks_arena_status(arena, error);
}

static cks_status make(cks_reml *r, cks_error *error)
{
  r->n_place = r->data.n_environment;
  r->model.error_by_environment &= r->n_place > 1;
  r->fit.n_theta = CKS_REML_ERROR + (r->model.error_by_environment ? r->n_place : 1);
  r->fit.n_hybrid = r->data.n_hybrid;
  r->fit.outcome = CKS_REML_NOT_CONVERGED;
  r->used = cks_arena_take(r->arena, r->fit.n_theta, sizeof *r->used);
  r->theta = cks_arena_take(r->arena, r->fit.n_theta, sizeof *r->theta);
  r->solved_theta = cks_arena_take(r->arena, r->fit.n_theta, sizeof *r->solved_theta);
  if (!r->used || !r->theta || !r->solved_theta) return cks_error_nomem(error);
  cks_status status = lay_places(r, error);
  if (status != CKS_OK) return status;
  r->used[CKS_REML_ENVIRONMENT] = !r->model.environments_fixed && !r->environment_levels;
  r->used[CKS_REML_CELL] = !r->model.no_cells && r->n_place > 1 && cells_are_cells(r);
  for (size_t k = CKS_REML_ERROR; k < r->fit.n_theta; k++) r->used[k] = true;
  choose_strata(r);
  status = choose_layers(r, error);
  if (status == CKS_OK) status = add_environment_layer(r, error);
  if (status == CKS_OK) status = lay_levels(r, error);
  if (status == CKS_OK) status = take_workspace(r, error);
  r->fit.theta = r->theta;
  r->fit.used = r->used;
  return status;
}

cks_status cks_reml_new(const cks_reml_data *data, const cks_reml_model *model, cks_arena *arena, cks_reml **out,
                        cks_error *error)
{
  cks_reml *r = *out = cks_arena_take(arena, 1, sizeof *r);
  if (!r) return cks_error_nomem(error);
  *r = (cks_reml){.data = *data, .model = *model, .arena = arena};
  r->model.environments_fixed |= data->n_environment == 1; /* the environment is the mean */
  return make(r, error);
}

cks_status cks_reml_with_levels(const cks_reml *reml, cks_arena *arena, cks_reml **out, cks_error *error)
{
  cks_reml *r = *out = cks_arena_take(arena, 1, sizeof *r);
  if (!r) return cks_error_nomem(error);
  *r = (cks_reml){.data = reml->data, .model = reml->model, .arena = arena, .environment_levels = true};
  r->model.environments_fixed = false;
  return make(r, error);
}

const cks_reml_fit *cks_reml_result(const cks_reml *reml) { return &reml->fit; }

size_t cks_reml_list_free(const cks_reml *r, size_t *at)
{
  size_t m = 0;
  for (size_t k = 0; k < r->fit.n_theta; k++)
    if (r->used[k] && r->theta[k] > 0) at[m++] = k;
  return m;
}
