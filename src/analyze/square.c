/*
 * square.c: is a place a latin square? Each hybrid once in each row and once in each column, as many rows as columns as
 * hybrids, three or more (Fisher 1935, The Design of Experiments, chapter 5; of two there is no error left over).
 *
 * It is judged by the plot list of the place, lost plots included, so that a lost plot does not hide it; fewer plots
 * than a row holds may also be missing from the list itself. A list cannot say how the plots were drawn, so:
 * - No reps (or blocks), or one for all plots: plots in random order make a square of 4 about once in 100,000 lists, so
 *   the square was meant.
 * - The reps are the rows, or the columns: a latin square, though complete blocks with a field map make one by chance, of
 *   4 hybrids once in 576, of 3 once in 18. Nothing is claimed too surely then: all arrangements in blocks are equally
 *   likely, hence of those that are latin squares all are, which is how a latin square is drawn; and hybrids stand
 *   balanced over both ways of the field, so neither way gets into a difference of two.
 * - The reps are neither rows nor columns (say, quarters of the field): the list names its blocks, and they are kept; rows
 *   and columns stay in the error, which can only be too large, because no row or column favors a hybrid. The note says
 *   so.
 * Everything else that has rows and columns is a field map: positions, never in a model.
 */
#include "designs.h"

#include <stdlib.h>
#include <string.h>

enum { FEWEST_ROWS = 3 };

static int compare_positions(const void *left, const void *right)
{
  const int32_t *a = left, *b = right;
  return *a < *b ? -1 : *a > *b;
}

/* to (size n): numbers of the different values of at (size n), in their order; returns how many. sorted: size n. */
static size_t number_positions(const int32_t *at, size_t n, int32_t *sorted, uint32_t *to)
{
  size_t m = 0;
  memcpy(sorted, at, n * sizeof *sorted);
  qsort(sorted, n, sizeof *sorted, compare_positions);
  for (size_t i = 0; i < n; i++)
    if (i == 0 || sorted[i] != sorted[m - 1]) sorted[m++] = sorted[i];
  for (size_t i = 0; i < n; i++)
    to[i] = (uint32_t)((const int32_t *)bsearch(&at[i], sorted, m, sizeof *sorted, compare_positions) - sorted);
  return m;
}

static int compare_pairs(const void *left, const void *right)
{
  const uint64_t *a = left, *b = right;
  return *a < *b ? -1 : *a > *b;
}

/* How many different pairs (a[i], b[i]) there are. pair: size n, workspace. */
static size_t count_pairs(const uint32_t *a, const uint32_t *b, size_t n, uint64_t *pair)
{
  size_t m = 0;
  for (size_t i = 0; i < n; i++) pair[i] = (uint64_t)a[i] << 32 | b[i];
  qsort(pair, n, sizeof *pair, compare_pairs);
  for (size_t i = 0; i < n; i++) m += i == 0 || pair[i] != pair[i - 1];
  return m;
}

typedef struct {
  size_t n; /* plots of the list here */
  size_t k; /* rows, columns, hybrids */
  uint32_t *row, *column;
  int32_t *sorted;
  uint64_t *pair;
} listed;

static size_t count_given(const int32_t *at, size_t n)
{
  size_t given = 0;
  for (size_t i = 0; i < n; i++) given += at[i] != INT32_MIN;
  return given;
}

/* Reps or blocks that agree with the square: none, one for all, or the rows or columns under another name. */
static bool agrees(const listed *l, const uint32_t *of)
{
  size_t different = of ? count_pairs(of, of, l->n, l->pair) : 1;
  if (different == 1) return true;
  return different == l->k &&
         (count_pairs(of, l->row, l->n, l->pair) == l->k || count_pairs(of, l->column, l->n, l->pair) == l->k);
}

/* *k: the hybrids in the list here; 0 when its plots are not for a square of as many rows, but for less than a row. */
static cks_status find_size(const cks_trait_task *work, const cks_environment *e, size_t *k)
{
  const cks_trial *trial = work->task->trial;
  bool *seen = calloc(trial->n_hybrid, sizeof *seen);
  if (!seen) return cks_error_nomem(work->task->error);
  *k = 0;
  for (size_t p = e->first; p < (size_t)e->first + e->n; p++) {
    *k += !seen[trial->hybrid_of[p]];
    seen[trial->hybrid_of[p]] = true;
  }
  free(seen);
  if (*k < FEWEST_ROWS || *k > CKS_MOST_REPS || e->n > *k * *k || e->n <= *k * (*k - 1)) *k = 0;
  return CKS_OK;
}

/* As many rows as columns as hybrids, and no two plots in one place. */
static bool is_square_map(const listed *l, const int32_t *row, const int32_t *column)
{
  return count_given(row, l->n) == l->n && count_given(column, l->n) == l->n &&
         number_positions(row, l->n, l->sorted, l->row) == l->k &&
         number_positions(column, l->n, l->sorted, l->column) == l->k &&
         count_pairs(l->row, l->column, l->n, l->pair) == l->n;
}

/* The rows (or columns) of the plots with a value, numbered anew. */
static cks_status take_numbers(const cks_trait_task *work, const cks_place *place, const int32_t *at, uint32_t **to,
                               size_t *n_used)
{
  size_t n = place->layout.n;
  int32_t *here = malloc(n * sizeof *here), *sorted = malloc(n * sizeof *sorted);
  *to = cks_arena_take(work->scratch, n, sizeof **to);
  cks_status status = here && sorted && *to ? CKS_OK : cks_error_nomem(work->task->error);
  if (status == CKS_OK) {
    for (size_t p = 0; p < n; p++) here[p] = at[place->plot[p]];
    *n_used = number_positions(here, n, sorted, *to);
  }
  free(sorted);
  free(here);
  return status;
}

static bool is_one(const listed *l, const uint32_t *of) { return !of || count_pairs(of, of, l->n, l->pair) == 1; }

static void judge(const listed *l, const cks_trial *trial, size_t first, cks_square *square)
{
  const uint32_t *hybrid = trial->hybrid_of + first, *rep = trial->rep_of ? trial->rep_of + first : NULL,
                 *block = trial->block_of ? trial->block_of + first : NULL;
  const int32_t *row = trial->row + first, *column = trial->column + first;
  bool once = is_square_map(l, row, column) && count_pairs(l->row, hybrid, l->n, l->pair) == l->n &&
              count_pairs(l->column, hybrid, l->n, l->pair) == l->n;
  square->found = once && agrees(l, rep) && agrees(l, block);
  if (once && !square->found)
    square->note =
        "rows and columns make a latin square, but the reps or blocks are neither of them and are kept: rows "
        "and columns stay in the error";
  if (!once && count_given(row, l->n) && count_given(column, l->n) && is_one(l, rep) && is_one(l, block))
    square->note = "rows and columns make no latin square (each hybrid once in each), so they are not in the model";
}

cks_status cks_square_find(const cks_trait_task *work, const cks_place *place, cks_square *square)
{
  const cks_trial *trial = work->task->trial;
  const cks_environment *e = &trial->environment[place->environment];
  size_t k = 0;
  *square = (cks_square){.note = ""};
  if (!trial->row || !trial->column) return CKS_OK;
  cks_status status = find_size(work, e, &k);
  if (status != CKS_OK || !k) return status;
  listed l = {.n = e->n,
              .k = k,
              .row = malloc(e->n * sizeof *l.row),
              .column = malloc(e->n * sizeof *l.column),
              .sorted = malloc(e->n * sizeof *l.sorted),
              .pair = malloc(e->n * sizeof *l.pair)};
  if (l.row && l.column && l.sorted && l.pair)
    judge(&l, trial, e->first, square);
  else
    status = cks_error_nomem(work->task->error);
  if (square->found) status = take_numbers(work, place, trial->row, &square->row, &square->n_row);
  if (square->found && status == CKS_OK)
    status = take_numbers(work, place, trial->column, &square->column, &square->n_column);
  free(l.pair);
  free(l.sorted);
  free(l.column);
  free(l.row);
  return status;
}
