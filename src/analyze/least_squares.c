/*
 * least_squares.c: see least_squares.h.
 *
 * Key to the formulas: N counts (hybrid i, rep k); n_i plots of hybrid i; a_i = row i of N / n_i; T_i, B_k totals;
 * S = diag(column sums of N) - N' diag(1/n) N; rho the rep effects, summing to 0, with S rho = B - N' diag(1/n) T.
 * S has rank n_rep - 1 when connected, so G = (S + c 1 1')^-1 is its inverse on everything that sums to 0.
 *   adjusted mean       m_i = T_i / n_i - a_i' rho
 *   variance / error    of m_i - m_j: 1/n_i + 1/n_j + (a_i - a_j)' G (a_i - a_j)
 *                       of m_i: 1/n_i + (a_i - u)' G (a_i - u), u = 1 / n_rep
 *   leverage of (i, k)  1/n_i + (a_i - e_k)' G (a_i - e_k)
 * With columns, rho, N, S, G and u hold the reps (rows) first, then the columns: S is the part of both that hybrids leave
 * over, G = (S + c 1 1' on the reps + d 1 1' on the columns)^-1, u = 1 / n_rep, then 1 / n_column, and e_k has a 1 for
 * the row and one for the column. `Effects` are both together.
 */
#include "least_squares.h"

#include "../math/dense.h"
#include "../math/sets.h"
#include "../math/sums.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double ALONE = 1e-9; /* 1 - leverage below it is rounding of none */

typedef struct {
  const cks_layout *layout;
  size_t n_effect; /* n_rep + n_column */
  uint32_t *count; /* n_hybrid x n_effect: N */
  double *g;       /* n_effect x n_effect: S, then G; NULL with one rep */
  double *rho;     /* size n_effect */
  double *share;   /* n_class x n_effect: a */
  double *g_share; /* n_class x n_effect: G a */
  double *class_n; /* size n_class: plots of a hybrid */
} work;

/* Reps and hybrids as one graph, an edge a plot: is it in one piece? */
static bool is_connected(const cks_layout *layout, uint32_t *parent)
{
  size_t n_node = layout->n_hybrid + layout->n_rep, pieces = n_node;
  for (size_t i = 0; i < n_node; i++) parent[i] = (uint32_t)i;
  for (size_t p = 0; p < layout->n; p++) {
    uint32_t a = layout->hybrid[p], b = (uint32_t)layout->n_hybrid + layout->rep[p];
    pieces -= cks_sets_root(parent, a) != cks_sets_root(parent, b);
    cks_sets_join(parent, a, b);
  }
  return pieces == 1;
}

/* Of the inverse's diagonal x the matrix's own: beyond it rows, columns and hybrids cannot be told apart. What can be
 * told apart stays far below in any square of counts. */
static const double ALIASED = 1e8;

typedef struct {
  const uint32_t *count; /* row of N */
  uint32_t n_effect, hybrid;
} row;

static int compare_rows(const void *left, const void *right)
{
  const row *a = left, *b = right;
  for (uint32_t k = 0; k < a->n_effect; k++)
    if (a->count[k] != b->count[k]) return a->count[k] > b->count[k] ? -1 : 1;
  return a->hybrid < b->hybrid ? -1 : a->hybrid > b->hybrid;
}

static bool same_row(const row *a, const row *b) { return !memcmp(a->count, b->count, a->n_effect * sizeof *a->count); }

/* Hybrids with the same row of N make a class, numbered in the order of the rows. */
static cks_status find_classes(work *w, cks_arena *arena, cks_fit *fit, cks_error *error)
{
  const cks_layout *l = w->layout;
  cks_status status = CKS_OK;
  row *rows = malloc(l->n_hybrid * sizeof *rows);
  if (!rows) return cks_error_nomem(error);
  for (size_t i = 0; i < l->n_hybrid; i++)
    rows[i] = (row){w->count + i * w->n_effect, (uint32_t)w->n_effect, (uint32_t)i};
  if (!fit->balanced) qsort(rows, l->n_hybrid, sizeof *rows, compare_rows);
  size_t n_class = 1;
  for (size_t i = 1; i < l->n_hybrid; i++) n_class += !same_row(&rows[i - 1], &rows[i]);
  status = cks_spread_new(&fit->spread, l->n_hybrid, n_class, arena, error);
  w->share = cks_arena_take(arena, n_class * w->n_effect, sizeof *w->share);
  w->g_share = cks_arena_take(arena, n_class * w->n_effect, sizeof *w->g_share);
  w->class_n = cks_arena_take(arena, n_class, sizeof *w->class_n);
  if (status == CKS_OK) status = cks_arena_status(arena, error);
  if (status != CKS_OK) goto done;
  uint32_t class = 0;
  for (size_t i = 0; i < l->n_hybrid; i++) {
    if (i && !same_row(&rows[i - 1], &rows[i])) class ++;
    fit->spread.class_of[rows[i].hybrid] = class;
    fit->spread.class_size[class]++;
    w->class_n[class] = fit->plots[rows[i].hybrid];
    for (size_t k = 0; k < w->n_effect; k++) w->share[class * w->n_effect + k] = rows[i].count[k] / w->class_n[class];
  }
done:
  free(rows);
  return status;
}

/* Adds a multiple of 1 1' to the block [first, end) of G, of about the size of its diagonal. */
static void lift_block(work *w, size_t first, size_t end)
{
  size_t r = w->n_effect, n = end - first;
  double scale = 0;
  for (size_t k = first; k < end; k++) scale += w->g[k * r + k];
  for (size_t k = first; k < end; k++)
    for (size_t m = first; m < end; m++) w->g[k * r + m] += scale / (double)(n * n);
}

/* S without hybrids, with both blocks lifted. */
static void fill_system(work *w, const cks_spread *spread)
{
  const cks_layout *l = w->layout;
  size_t r = w->n_effect;
  for (size_t c = 0; c < spread->n_class; c++) {
    const double *a = w->share + c * r;
    double plots = w->class_n[c] * spread->class_size[c];
    for (size_t k = 0; k < r; k++) {
      w->g[k * r + k] += plots * a[k];
      for (size_t m = 0; m < r; m++) w->g[k * r + m] -= plots * a[k] * a[m];
    }
  }
  for (size_t p = 0; l->n_column && p < l->n; p++) {
    size_t k = l->rep[p], m = l->n_rep + l->column[p];
    w->g[k * r + m]++;
    w->g[m * r + k]++;
  }
  lift_block(w, 0, l->n_rep);
  if (l->n_column) lift_block(w, l->n_rep, r);
}

/* Makes G, then G a of each class. With columns *connected becomes false where they cannot be told apart. */
static cks_status solve_effects(work *w, const cks_spread *spread, bool *connected, cks_error *error)
{
  size_t r = w->n_effect;
  bool columns = w->layout->n_column > 0;
  double largest = 0;
  fill_system(w, spread);
  for (size_t k = 0; k < r; k++) largest = fmax(largest, w->g[k * r + k]);
  cks_status status = cks_dense_invert(r, w->g, columns ? NULL : error);
  if (columns && status == CKS_NUMERIC) {
    *connected = false;
    return CKS_OK;
  }
  if (status != CKS_OK) return status;
  for (size_t k = 0; k < r && columns; k++) *connected &= w->g[k * r + k] * largest < ALIASED;
  for (size_t c = 0; c < spread->n_class; c++)
    for (size_t k = 0; k < r; k++)
      for (size_t m = 0; m < r; m++) w->g_share[c * r + k] += w->g[k * r + m] * w->share[c * r + m];
  return CKS_OK;
}

static void fill_spread(const work *w, cks_spread *spread)
{
  size_t n_rep = w->layout->n_rep, r = w->n_effect, n_class = spread->n_class;
  for (size_t a = 0; a < n_class; a++) {
    double own = 1 / w->class_n[a];
    if (w->g) {
      const double *x = w->share + a * r, *gx = w->g_share + a * r;
      double mean_gx = 0;
      for (size_t k = 0; k < r; k++) mean_gx += gx[k] / (double)r;
      /* (a - u)' G (a - u): G u is one value for all reps and one for all columns, over which a - u sums to 0 */
      for (size_t k = 0; k < r; k++) own += (x[k] - 1 / (double)(k < n_rep ? n_rep : r - n_rep)) * (gx[k] - mean_gx);
    }
    spread->own[a] = own;
    for (size_t b = 0; b <= a; b++) {
      double pair = 1 / w->class_n[a] + 1 / w->class_n[b];
      if (w->g)
        for (size_t k = 0; k < r; k++)
          pair += (w->share[a * r + k] - w->share[b * r + k]) * (w->g_share[a * r + k] - w->g_share[b * r + k]);
      spread->pair[a * n_class + b] = spread->pair[b * n_class + a] = pair;
    }
  }
}

static void fill_leverage(const work *w, cks_fit *fit)
{
  const cks_layout *l = w->layout;
  size_t r = w->n_effect;
  for (size_t p = 0; p < l->n; p++) {
    size_t c = fit->spread.class_of[l->hybrid[p]], k = l->rep[p];
    double leverage = 1 / w->class_n[c];
    if (w->g) {
      for (size_t m = 0; m < r; m++) leverage += w->share[c * r + m] * w->g_share[c * r + m];
      leverage += w->g[k * r + k] - 2 * w->g_share[c * r + k];
    }
    if (l->n_column) {
      size_t m = l->n_rep + l->column[p];
      leverage += w->g[m * r + m] + 2 * w->g[k * r + m] - 2 * w->g_share[c * r + m];
    }
    fit->leverage[p] = leverage;
  }
}

static void center(double *effect, size_t n)
{
  double mean = cks_sum_of(n, effect) / (double)n;
  for (size_t k = 0; k < n; k++) effect[k] -= mean;
}

/* Effects from the totals of what the hybrids' plain means leave over. */
static void find_effects(work *w, const double *y, const cks_fit *fit, cks_sum *left)
{
  const cks_layout *l = w->layout;
  size_t r = w->n_effect;
  for (size_t p = 0; p < l->n; p++) {
    double over = y[p] - fit->plain[l->hybrid[p]];
    cks_sum_add(&left[l->rep[p]], over);
    if (l->n_column) cks_sum_add(&left[l->n_rep + l->column[p]], over);
  }
  for (size_t k = 0; k < r; k++)
    for (size_t m = 0; m < r; m++) w->rho[k] += w->g[k * r + m] * cks_sum_value(&left[m]);
  center(w->rho, l->n_rep);
  if (l->n_column) center(w->rho + l->n_rep, l->n_column);
}

/* before: fitted by rows and columns alone; NULL without columns. */
static void sums_of_squares(const cks_layout *l, const double *y, const cks_sum *rep_total, const uint32_t *rep_n,
                            const double *before, cks_fit *fit)
{
  cks_sum rep = {0}, column = {0}, hybrid = {0}, error = {0}, total = {0};
  for (size_t p = 0; p < l->n; p++) {
    double by_rep = l->n_rep > 1 ? cks_sum_value(&rep_total[l->rep[p]]) / rep_n[l->rep[p]] : fit->plot_mean;
    double by_both = before ? before[p] : by_rep, of_column = by_both - by_rep;
    double a = by_rep - fit->plot_mean, b = fit->fitted[p] - by_both, c = y[p] - fit->fitted[p],
           d = y[p] - fit->plot_mean;
    cks_sum_add(&rep, a * a);
    cks_sum_add(&column, of_column * of_column);
    cks_sum_add(&hybrid, b * b);
    cks_sum_add(&error, c * c);
    cks_sum_add(&total, d * d);
    fit->largest = fmax(fit->largest, fabs(d));
  }
  fit->ss_rep = cks_sum_value(&rep);
  fit->ss_column = cks_sum_value(&column);
  fit->ss_hybrid = cks_sum_value(&hybrid);
  fit->ss_error = cks_sum_value(&error);
  fit->ss_total = cks_sum_value(&total);
}

static bool is_balanced(const work *w)
{
  const cks_layout *l = w->layout;
  for (size_t i = 1; i < l->n_hybrid * w->n_effect; i++)
    if (w->count[i] != w->count[0]) return false;
  return !l->n_column || l->n == l->n_rep * l->n_column;
}

static void plain_means(const work *w, const double *y, cks_sum *hybrid, cks_sum *rep, uint32_t *rep_n, cks_fit *fit)
{
  const cks_layout *l = w->layout;
  cks_sum all = {0};
  for (size_t p = 0; p < l->n; p++) {
    cks_sum_add(&hybrid[l->hybrid[p]], y[p]);
    cks_sum_add(&rep[l->rep[p]], y[p]);
    cks_sum_add(&all, y[p]);
    fit->plots[l->hybrid[p]]++;
    rep_n[l->rep[p]]++;
    w->count[l->hybrid[p] * w->n_effect + l->rep[p]]++;
    if (l->n_column) w->count[l->hybrid[p] * w->n_effect + l->n_rep + l->column[p]]++;
  }
  for (size_t i = 0; i < l->n_hybrid; i++) fit->mean[i] = fit->plain[i] = cks_sum_value(&hybrid[i]) / fit->plots[i];
  fit->plot_mean = cks_sum_value(&all) / (double)l->n;
}

static void adjust(const work *w, cks_fit *fit)
{
  const cks_layout *l = w->layout;
  for (size_t i = 0; i < l->n_hybrid && w->g; i++) {
    const double *a = w->share + fit->spread.class_of[i] * w->n_effect;
    double shift = 0;
    for (size_t k = 0; k < w->n_effect; k++) shift += a[k] * w->rho[k];
    fit->mean[i] = fit->balanced ? fit->plain[i] : fit->plain[i] - shift;
  }
  for (size_t p = 0; p < l->n; p++) {
    fit->fitted[p] = fit->mean[l->hybrid[p]] + (w->g ? w->rho[l->rep[p]] : 0);
    if (l->n_column) fit->fitted[p] += w->rho[l->n_rep + l->column[p]];
  }
}

static void degrees(const cks_layout *l, cks_fit *fit)
{
  fit->df_total = (double)l->n - 1;
  fit->df_rep = (double)l->n_rep - 1;
  fit->df_column = l->n_column ? (double)l->n_column - 1 : 0;
  fit->df_hybrid = (double)l->n_hybrid - 1;
  fit->df_error = fit->df_total - fit->df_rep - fit->df_column - fit->df_hybrid;
}

/* Rows and columns alone, columns in the hybrids' stead. */
static cks_status fit_square(const cks_layout *l, const double *y, cks_arena *arena, cks_fit *fit, cks_error *error)
{
  cks_layout square = {.n = l->n, .n_hybrid = l->n_column, .n_rep = l->n_rep, .hybrid = l->column, .rep = l->rep};
  return cks_fit_two_way(&square, y, arena, fit, error);
}

bool cks_fit_is_alone(const cks_fit *fit, size_t plot) { return 1 - fit->leverage[plot] < ALONE; }

cks_status cks_fit_two_way(const cks_layout *layout, const double *y, cks_arena *arena, cks_fit *fit, cks_error *error)
{
  const cks_layout *l = layout;
  size_t g = l->n_hybrid, r = l->n_rep + l->n_column;
  if (l->n_rep > CKS_MOST_REPS || l->n_column > CKS_MOST_REPS)
    return cks_error_set(error, CKS_LIMIT, "more than %d reps at one location", CKS_MOST_REPS);
  work w = {.layout = l, .n_effect = r, .count = cks_arena_take(arena, g * r, sizeof *w.count)};
  cks_fit square = {.connected = true};
  *fit = (cks_fit){.plots = cks_arena_take(arena, g, sizeof *fit->plots),
                   .mean = cks_arena_take(arena, g, sizeof *fit->mean),
                   .plain = cks_arena_take(arena, g, sizeof *fit->plain),
                   .fitted = cks_arena_take(arena, l->n, sizeof *fit->fitted),
                   .leverage = cks_arena_take(arena, l->n, sizeof *fit->leverage)};
  cks_sum *hybrid_total = cks_arena_take(arena, g, sizeof *hybrid_total);
  cks_sum *rep_total = cks_arena_take(arena, r, sizeof *rep_total), *left = cks_arena_take(arena, r, sizeof *left);
  uint32_t *rep_n = cks_arena_take(arena, r, sizeof *rep_n), *parent = cks_arena_take(arena, g + r, sizeof *parent);
  w.rho = cks_arena_take(arena, r, sizeof *w.rho);
  if (r > 1) w.g = cks_arena_take(arena, r * r, sizeof *w.g);
  cks_status status = cks_arena_status(arena, error);
  if (status != CKS_OK) return status;

  plain_means(&w, y, hybrid_total, rep_total, rep_n, fit);
  fit->balanced = is_balanced(&w);
  if (l->n_column) status = fit_square(l, y, arena, &square, error);
  if (status != CKS_OK) return status;
  fit->connected = square.connected && (r == 1 || is_connected(l, parent));
  if (!fit->connected) return CKS_OK;
  status = find_classes(&w, arena, fit, error);
  if (status == CKS_OK && w.g) status = solve_effects(&w, &fit->spread, &fit->connected, error);
  if (status != CKS_OK || !fit->connected) return status;
  if (w.g) find_effects(&w, y, fit, left);
  adjust(&w, fit);
  fill_spread(&w, &fit->spread);
  fill_leverage(&w, fit);
  sums_of_squares(l, y, rep_total, rep_n, l->n_column ? square.fitted : NULL, fit);
  degrees(l, fit);
  return CKS_OK;
}
