/*
 * cells.c: see cells.h.
 *
 * Hybrid + environment by least squares: hybrids are eliminated, which leaves a system as large as there are environments
 * (Searle 1971, Linear Models, chapter 7). The largest complete part is found exactly when one side has no more than
 * MOST_EXACT lines: for each set of them, how many lines of the other side have them all; else the line that lacks the
 * largest part of its cells is taken away until none is missing.
 */
#include "cells.h"

#include "../math/dense.h"
#include "../math/sums.h"

#include <math.h>
#include <stdlib.h>

enum { MOST_EXACT = 16, FEWEST = 3 };

static bool has(const cks_cells *c, size_t i, size_t j) { return !cks_is_missing(c->x[i * c->e + j]); }

/* ---- the means -------------------------------------------------------------------------------------------------- */

static cks_status list_hybrids(const cks_trait_task *work, const cks_analysis *across, cks_cells *c, uint32_t *row_of)
{
  const cks_trial *trial = work->task->trial;
  uint32_t *hybrid = cks_arena_take(work->scratch, trial->n_hybrid, sizeof *hybrid);
  if (!hybrid) return cks_error_nomem(work->task->error);
  for (size_t i = 0; i < trial->n_hybrid; i++) row_of[i] = CKS_NONE;
  for (size_t j = 0; j < work->n_place; j++)
    for (size_t i = 0; i < work->place[j].layout.n_hybrid; i++) row_of[work->place[j].hybrid_id[i]] = 0;
  for (size_t i = 0; i < across->n_hybrid; i++) {
    uint32_t h = across->hybrid[i].hybrid;
    if (row_of[h] == CKS_NONE) continue;
    row_of[h] = (uint32_t)c->g;
    hybrid[c->g++] = h;
  }
  c->hybrid = hybrid;
  return CKS_OK;
}

/* The analysis of an environment; its means of incomplete blocks are better than those of its reps. */
static const cks_analysis *analysis_of(const cks_trait_task *work, const cks_place *place)
{
  const cks_trait_result *r = work->result;
  for (size_t j = 0; j < r->n_location; j++)
    if (r->location[j].environment == place->environment) return &r->location[j];
  return NULL;
}

static double mean_at(const cks_trait_task *work, const cks_place *place, size_t i)
{
  if (work->values.arcsine) return place->fit.mean[i] + work->values.shift;
  const cks_analysis *a = place->blocks ? analysis_of(work, place) : NULL;
  const cks_hybrid_result *line =
      a && a->method == CKS_METHOD_REML ? cks_analysis_hybrid(a, place->hybrid_id[i]) : NULL;
  return line && !cks_is_missing(line->mean) ? line->mean : place->mean[i];
}

static cks_status fill_means(const cks_trait_task *work, const uint32_t *row_of, cks_cells *c)
{
  size_t g = c->g, e = c->e;
  c->x = cks_arena_take(work->scratch, g * e, sizeof *c->x);
  c->local = cks_arena_take(work->scratch, g * e, sizeof *c->local);
  c->cells = cks_arena_take(work->scratch, g, sizeof *c->cells);
  c->grown = cks_arena_take(work->scratch, e, sizeof *c->grown);
  cks_status status = cks_arena_status(work->scratch, work->task->error);
  if (status != CKS_OK) return status;
  for (size_t k = 0; k < g * e; k++) {
    c->x[k] = cks_missing();
    c->local[k] = CKS_NONE;
  }
  for (size_t j = 0; j < e; j++)
    for (uint32_t i = 0; i < work->place[j].layout.n_hybrid; i++) {
      size_t row = row_of[work->place[j].hybrid_id[i]];
      c->x[row * e + j] = mean_at(work, &work->place[j], i);
      c->local[row * e + j] = i;
      c->cells[row]++;
      c->grown[j]++;
      c->n_cell++;
    }
  c->complete = c->n_cell == g * e;
  return CKS_OK;
}

/* ---- hybrid + environment --------------------------------------------------------------------------------------- */

static double row_average(const cks_cells *c, size_t i, const double *of)
{
  cks_sum sum = {0};
  for (size_t j = 0; j < c->e; j++)
    if (has(c, i, j)) cks_sum_add(&sum, of ? of[j] : c->x[i * c->e + j]);
  return cks_sum_value(&sum) / c->cells[i];
}

/* a (e x e) and b (size e): the normal equations without hybrids, lifted by 1 1', for effects that sum to 0. */
static void fill_system(const cks_cells *c, const double *average, double *a, double *b)
{
  size_t e = c->e;
  for (size_t i = 0; i < c->g; i++)
    for (size_t j = 0; j < e; j++) {
      if (!has(c, i, j)) continue;
      b[j] += c->x[i * e + j] - average[i];
      a[j * e + j]++;
      for (size_t k = 0; k < e; k++)
        if (has(c, i, k)) a[j * e + k] -= 1.0 / c->cells[i];
    }
  double lift = (double)c->n_cell / (double)(e * e);
  for (size_t k = 0; k < e * e; k++) a[k] += lift;
}

static cks_status solve_incomplete(cks_cells *c, const double *average)
{
  const cks_trait_task *work = c->work;
  double *a = cks_arena_take(work->scratch, c->e * c->e, sizeof *a);
  if (!a) return cks_error_nomem(work->task->error);
  fill_system(c, average, a, c->index);
  return cks_dense_solve(c->e, a, c->index, NULL); /* hybrids that no environment joins are an outcome */
}

static void average_columns(cks_cells *c, const double *average)
{
  for (size_t j = 0; j < c->e; j++) {
    cks_sum sum = {0};
    for (size_t i = 0; i < c->g; i++) cks_sum_add(&sum, c->x[i * c->e + j] - average[i]);
    c->index[j] = cks_sum_value(&sum) / (double)c->g;
  }
}

static cks_status fit_additive(cks_cells *c)
{
  const cks_trait_task *work = c->work;
  double *average = cks_arena_take(work->scratch, c->g, sizeof *average);
  c->mean = cks_arena_take(work->scratch, c->g, sizeof *c->mean);
  c->index = cks_arena_take(work->scratch, c->e, sizeof *c->index);
  cks_status status = cks_arena_status(work->scratch, work->task->error);
  if (status != CKS_OK) return status;
  for (size_t i = 0; i < c->g; i++) average[i] = row_average(c, i, NULL);
  if (c->complete)
    average_columns(c, average);
  else
    status = solve_incomplete(c, average);
  if (status != CKS_OK) return status;
  double center = cks_sum_of(c->e, c->index) / (double)c->e;
  for (size_t j = 0; j < c->e; j++) c->index[j] -= center;
  for (size_t i = 0; i < c->g; i++) c->mean[i] = average[i] - row_average(c, i, c->index);
  c->grand = cks_sum_of(c->g, c->mean) / (double)c->g;
  cks_sum left = {0};
  for (size_t i = 0; i < c->g; i++)
    for (size_t j = 0; j < c->e; j++) {
      if (!has(c, i, j)) continue;
      double x = c->x[i * c->e + j], over = x - c->mean[i] - c->index[j];
      cks_sum_add(&left, over * over);
      c->largest = fmax(c->largest, fabs(x - c->grand));
    }
  c->ss_left = cks_sum_value(&left);
  c->df_left = (double)c->n_cell - (double)c->g - (double)c->e + 1;
  return CKS_OK;
}

/* ---- the largest complete part ---------------------------------------------------------------------------------- */

/* A part of so many hybrids and environments; one of few is worth less than any that has enough of both. */
static double worth(size_t hybrids, size_t environments)
{
  if (hybrids < 2 || environments < 2) return 0;
  double area = (double)hybrids * (double)environments;
  return hybrids < FEWEST || environments < FEWEST ? area / (1 + area) : area;
}

/* short_side, long_side: which lines, true for environments. */
typedef struct {
  const cks_cells *c;
  bool by_environment; /* the short side are the environments */
  size_t n_short, n_long;
} sides;

static bool crosses(const sides *s, size_t of_short, size_t of_long)
{
  return s->by_environment ? has(s->c, of_long, of_short) : has(s->c, of_short, of_long);
}

static uint32_t pattern_of(const sides *s, size_t of_long)
{
  uint32_t pattern = 0;
  for (size_t k = 0; k < s->n_short; k++) pattern |= crosses(s, k, of_long) ? UINT32_C(1) << k : 0;
  return pattern;
}

static size_t bits_of(uint32_t set)
{
  size_t n = 0;
  for (; set; set &= set - 1) n++;
  return n;
}

static cks_status choose_exactly(const sides *s, bool *row, bool *column)
{
  size_t n_set = (size_t)1 << s->n_short;
  uint32_t best = 0, *count = cks_arena_take(s->c->work->scratch, n_set, sizeof *count);
  double most = 0;
  if (!count) return cks_error_nomem(s->c->work->task->error);
  for (size_t i = 0; i < s->n_long; i++) count[pattern_of(s, i)]++;
  for (size_t k = 0; k < s->n_short; k++) /* each set gets those of the sets that hold it */
    for (uint32_t set = 0; set < n_set; set++)
      if (!(set >> k & 1)) count[set] += count[set | UINT32_C(1) << k];
  for (uint32_t set = 0; set < n_set; set++) {
    size_t n = bits_of(set);
    double value = s->by_environment ? worth(count[set], n) : worth(n, count[set]);
    if (value > most) {
      most = value;
      best = set;
    }
  }
  bool *of_short = s->by_environment ? column : row, *of_long = s->by_environment ? row : column;
  for (size_t k = 0; k < s->n_short; k++) of_short[k] = most > 0 && best >> k & 1;
  for (size_t i = 0; i < s->n_long; i++) of_long[i] = most > 0 && (pattern_of(s, i) & best) == best;
  return CKS_OK;
}

/* Among lines (n of them) the one that lacks the largest part of `of` cells; the last of equal ones. */
static size_t worst_of(size_t n, const bool *kept, const uint32_t *lacks, size_t of, double *share)
{
  size_t worst = n;
  for (size_t i = 0; i < n; i++)
    if (kept[i] && lacks[i] && lacks[i] >= *share * (double)of) {
      *share = lacks[i] / (double)of;
      worst = i;
    }
  return worst;
}

static cks_status choose_by_peeling(const cks_cells *c, bool *row, bool *column)
{
  size_t n_row = c->g, n_column = c->e, missing = c->g * c->e - c->n_cell;
  uint32_t *of_row = cks_arena_take(c->work->scratch, c->g, sizeof *of_row),
           *of_column = cks_arena_take(c->work->scratch, c->e, sizeof *of_column);
  if (!of_row || !of_column) return cks_error_nomem(c->work->task->error);
  for (size_t i = 0; i < c->g; i++) row[i] = true, of_row[i] = (uint32_t)(c->e - c->cells[i]);
  for (size_t j = 0; j < c->e; j++) column[j] = true, of_column[j] = (uint32_t)(c->g - c->grown[j]);
  while (missing) {
    double of_hybrid = 0, of_environment = 0;
    size_t i = worst_of(c->g, row, of_row, n_column, &of_hybrid),
           j = worst_of(c->e, column, of_column, n_row, &of_environment);
    if (of_hybrid >= of_environment) {
      row[i] = false;
      n_row--;
      missing -= of_row[i];
      for (size_t k = 0; k < c->e; k++) of_column[k] -= !has(c, i, k);
    } else {
      column[j] = false;
      n_column--;
      missing -= of_column[j];
      for (size_t k = 0; k < c->g; k++) of_row[k] -= !has(c, k, j);
    }
  }
  return CKS_OK;
}

static size_t list(const bool *kept, size_t n, uint32_t *to)
{
  size_t m = 0;
  for (size_t i = 0; i < n; i++)
    if (kept[i]) to[m++] = (uint32_t)i;
  return m;
}

static cks_status find_part(cks_cells *c)
{
  cks_arena *scratch = c->work->scratch;
  bool *row = cks_arena_take(scratch, c->g, sizeof *row), *column = cks_arena_take(scratch, c->e, sizeof *column);
  c->row = cks_arena_take(scratch, c->g, sizeof *c->row);
  c->column = cks_arena_take(scratch, c->e, sizeof *c->column);
  cks_status status = cks_arena_status(scratch, c->work->task->error);
  if (status != CKS_OK) return status;
  const sides by_environment = {c, true, c->e, c->g}, by_hybrid = {c, false, c->g, c->e};
  if (c->complete || (c->e > MOST_EXACT && c->g > MOST_EXACT))
    status = choose_by_peeling(c, row, column);
  else
    status = choose_exactly(c->e <= MOST_EXACT ? &by_environment : &by_hybrid, row, column);
  c->n_row = list(row, c->g, c->row);
  c->n_column = list(column, c->e, c->column);
  if (worth(c->n_row, c->n_column) == 0) c->n_row = c->n_column = 0;
  return status;
}

cks_status cks_cells_new(const cks_trait_task *work, const cks_analysis *across, cks_cells *c, const char **why)
{
  uint32_t *row_of = cks_arena_take(work->scratch, work->task->trial->n_hybrid, sizeof *row_of);
  *c = (cks_cells){.work = work, .e = work->n_place};
  *why = NULL;
  if (!row_of) return cks_error_nomem(work->task->error);
  cks_status status = list_hybrids(work, across, c, row_of);
  if (status != CKS_OK) return status;
  if (c->e < 2) *why = "fewer than two environments say anything of this trait";
  if (c->g < 2) *why = *across->why ? across->why : "fewer than two hybrids: nothing to compare";
  if (*why) return CKS_OK;
  status = fill_means(work, row_of, c);
  if (status == CKS_OK) status = fit_additive(c);
  if (status == CKS_NUMERIC) {
    *why = "no environment joins these hybrids";
    return CKS_OK;
  }
  return status == CKS_OK ? find_part(c) : status;
}
