/*
 * stability.c: figures of stability of the complete table (g hybrids x e environments), and the order of hybrids from
 * environment to environment.
 *
 *   ecovalence W_i = sum_j (X_ij - X_i. - X_.j + X_..)^2 (Wricke 1962, Z. Pflanzenzuecht. 47:92)
 *   stability variance [g (g - 1) W_i - sum W] / [(e - 1)(g - 1)(g - 2)] (Shukla 1972, Heredity 29:237), may be negative
 *   superiority sum_j (X_ij - M_j)^2 / (2 e), M_j the best of environment j (Lin & Binns 1988, Can. J. Plant Sci. 68:193)
 *   non-additivity: of the interaction what goes with hybrid effect x environment effect (Tukey 1949, Biometrics 5:232)
 *   rank correlation: Spearman's, equal means sharing the mean of their ranks
 */
#include "cells.h"

#include "../math/distributions.h"
#include "../math/sums.h"

#include <math.h>
#include <stdlib.h>

enum { FEWEST_RANKED = 3 };
static const double SAME = 1e-9;

/* ---- the complete table ----------------------------------------------------------------------------------------- */

typedef struct {
  const cks_cells *c;
  size_t g, e;
  double *hybrid, *environment, grand; /* means of the part */
} part;

static double at(const part *p, size_t i, size_t j) { return p->c->x[p->c->row[i] * p->c->e + p->c->column[j]]; }

static cks_status part_new(const cks_cells *c, part *p)
{
  *p = (part){.c = c,
              .g = c->n_row,
              .e = c->n_column,
              .hybrid = cks_arena_take(c->work->scratch, c->n_row, sizeof(double)),
              .environment = cks_arena_take(c->work->scratch, c->n_column, sizeof(double))};
  if (!p->hybrid || !p->environment) return cks_error_nomem(c->work->task->error);
  for (size_t i = 0; i < p->g; i++) {
    cks_sum sum = {0};
    for (size_t j = 0; j < p->e; j++) cks_sum_add(&sum, at(p, i, j));
    p->hybrid[i] = cks_sum_value(&sum) / (double)p->e;
  }
  for (size_t j = 0; j < p->e; j++) {
    cks_sum sum = {0};
    for (size_t i = 0; i < p->g; i++) cks_sum_add(&sum, at(p, i, j));
    p->environment[j] = cks_sum_value(&sum) / (double)p->g;
  }
  p->grand = cks_sum_of(p->g, p->hybrid) / (double)p->g;
  return CKS_OK;
}

static void fill_ecovalence(const part *p, cks_interaction *a)
{
  double g = (double)p->g, e = (double)p->e;
  cks_sum all = {0};
  for (size_t i = 0; i < p->g; i++) {
    cks_sum sum = {0};
    for (size_t j = 0; j < p->e; j++) {
      double over = at(p, i, j) - p->hybrid[i] - p->environment[j] + p->grand;
      cks_sum_add(&sum, over * over);
    }
    a->hybrid[p->c->row[i]].ecovalence = cks_sum_value(&sum);
    cks_sum_add(&all, cks_sum_value(&sum));
  }
  for (size_t i = 0; i < p->g && p->g > 2; i++) {
    cks_stability *to = &a->hybrid[p->c->row[i]];
    to->stability_variance = (g * (g - 1) * to->ecovalence - cks_sum_value(&all)) / ((e - 1) * (g - 1) * (g - 2));
  }
}

/* Larger is better after it. */
static double good(const cks_cells *c, double x) { return c->work->values.better == CKS_BETTER_LOW ? -x : x; }

static void fill_superiority(const part *p, cks_interaction *a)
{
  if (p->c->work->values.better == CKS_BETTER_NONE) return;
  for (size_t i = 0; i < p->g; i++) a->hybrid[p->c->row[i]].superiority = 0;
  for (size_t j = 0; j < p->e; j++) {
    double best = -INFINITY;
    for (size_t i = 0; i < p->g; i++) best = fmax(best, good(p->c, at(p, i, j)));
    for (size_t i = 0; i < p->g; i++) {
      double below = best - good(p->c, at(p, i, j));
      a->hybrid[p->c->row[i]].superiority += below * below / (2 * (double)p->e);
    }
  }
}

static void fill_nonadditivity(const part *p, cks_interaction *a)
{
  cks_sum product = {0}, hybrid = {0}, environment = {0}, all = {0};
  for (size_t i = 0; i < p->g; i++)
    for (size_t j = 0; j < p->e; j++) {
      double h = p->hybrid[i] - p->grand, n = p->environment[j] - p->grand, over = at(p, i, j) - p->grand - h - n;
      cks_sum_add(&product, over * h * n);
      cks_sum_add(&all, over * over);
      if (j == 0) cks_sum_add(&hybrid, h * h);
      if (i == 0) cks_sum_add(&environment, n * n);
    }
  double squares = cks_sum_value(&hybrid) * cks_sum_value(&environment), n = (double)(p->g * p->e);
  double df = ((double)p->g - 1) * ((double)p->e - 1) - 1, largest = p->c->largest;
  if (df < 1 || cks_is_rounding(sqrt(squares / n), p->g * p->e, largest)) return;
  double ss = pow(cks_sum_value(&product), 2) / squares, rest = cks_sum_value(&all) - ss;
  if (cks_is_rounding(rest, p->g * p->e, largest)) return;
  a->nonadditivity_f = ss / (rest / df);
  a->nonadditivity_df = df;
  a->nonadditivity_p = cks_f_p(a->nonadditivity_f, 1, df);
}

/* ---- the order in each environment ------------------------------------------------------------------------------ */

static void find_best(const cks_cells *c, size_t j, cks_environment_answer *to)
{
  double best = -INFINITY, second = -INFINITY;
  if (c->work->values.better == CKS_BETTER_NONE) return;
  for (size_t i = 0; i < c->g; i++) {
    double x = c->x[i * c->e + j];
    if (cks_is_missing(x)) continue;
    if (good(c, x) > best) {
      second = best;
      best = good(c, x);
      to->best = c->hybrid[i];
      to->best_mean = x;
    } else {
      second = fmax(second, good(c, x));
    }
  }
  if (isfinite(second)) to->ahead = best - second;
}

typedef struct {
  double value;
  size_t i;
} ranked;

static int compare_values(const void *left, const void *right)
{
  const ranked *a = left, *b = right;
  return (a->value > b->value) - (a->value < b->value);
}

/* Means that differ by rounding alone share a rank. */
static bool same(double a, double b) { return b - a <= SAME * fmax(fabs(a), fabs(b)); }

/* rank[order[k].i]: mean ranks of n values in their order. */
static void give_ranks(size_t n, const ranked *order, double *rank)
{
  for (size_t from = 0, to; from < n; from = to) {
    for (to = from + 1; to < n && same(order[from].value, order[to].value);) to++;
    for (size_t k = from; k < to; k++) rank[order[k].i] = (double)(from + to + 1) / 2;
  }
}

/* Of two rankings of the n of a list; NaN where one of them is all alike, or short. */
static double correlate(size_t n, const ranked *list, const double *a, const double *b)
{
  double center = ((double)n + 1) / 2;
  cks_sum ab = {0}, aa = {0}, bb = {0};
  for (size_t k = 0; k < n; k++) {
    double left = a[list[k].i] - center, right = b[list[k].i] - center;
    cks_sum_add(&ab, left * right);
    cks_sum_add(&aa, left * left);
    cks_sum_add(&bb, right * right);
  }
  double size = sqrt(cks_sum_value(&aa) * cks_sum_value(&bb));
  return n >= FEWEST_RANKED && size > 0 ? cks_sum_value(&ab) / size : cks_missing();
}

/* The hybrids of each environment in their order, sorted once, and room to compare two orders. */
typedef struct {
  ranked *sorted; /* e x g: the first grown[j] of each */
  ranked *list;   /* size g, and so both ranks */
  double *rank_a, *rank_b;
} orders;

static cks_status orders_new(const cks_cells *c, orders *o)
{
  cks_arena *scratch = c->work->scratch;
  *o = (orders){cks_arena_take(scratch, c->e * c->g, sizeof *o->sorted), cks_arena_take(scratch, c->g, sizeof *o->list),
                cks_arena_take(scratch, c->g, sizeof *o->rank_a), cks_arena_take(scratch, c->g, sizeof *o->rank_b)};
  if (!o->sorted || !o->list || !o->rank_a || !o->rank_b) return cks_error_nomem(c->work->task->error);
  for (size_t j = 0; j < c->e; j++) {
    size_t n = 0;
    for (size_t i = 0; i < c->g; i++)
      if (!cks_is_missing(c->x[i * c->e + j])) o->sorted[j * c->g + n++] = (ranked){c->x[i * c->e + j], i};
    qsort(o->sorted + j * c->g, n, sizeof *o->sorted, compare_values);
  }
  return CKS_OK;
}

/* Ranks in environment j of the hybrids that grew in k too; how many, and they are left in o->list. */
static size_t rank_shared(const cks_cells *c, const orders *o, size_t j, size_t k, double *rank)
{
  size_t n = 0;
  for (size_t m = 0; m < c->grown[j]; m++) {
    ranked at = o->sorted[j * c->g + m];
    if (!cks_is_missing(c->x[at.i * c->e + k])) o->list[n++] = at;
  }
  give_ranks(n, o->list, rank);
  return n;
}

static double between(const cks_cells *c, const orders *o, size_t j, size_t k)
{
  rank_shared(c, o, j, k, o->rank_a);
  size_t n = rank_shared(c, o, k, j, o->rank_b);
  return correlate(n, o->list, o->rank_a, o->rank_b);
}

/* Mean of a hybrid in all environments but j, freed of the environments; NaN: it grew in no other. */
static double mean_elsewhere(const cks_cells *c, size_t i, size_t j)
{
  cks_sum sum = {0};
  for (size_t k = 0; k < c->e; k++)
    if (k != j && !cks_is_missing(c->x[i * c->e + k])) cks_sum_add(&sum, c->x[i * c->e + k] - c->index[k]);
  return c->cells[i] > 1 ? cks_sum_value(&sum) / (c->cells[i] - 1) : cks_missing();
}

/* An environment's order with that of the hybrids' means in all others. */
static double with_others(const cks_cells *c, const orders *o, size_t j)
{
  size_t n = 0;
  for (size_t m = 0; m < c->grown[j]; m++) {
    ranked at = o->sorted[j * c->g + m];
    if (c->cells[at.i] > 1) o->list[n++] = at;
  }
  give_ranks(n, o->list, o->rank_a);
  for (size_t m = 0; m < n; m++) o->list[m].value = mean_elsewhere(c, o->list[m].i, j);
  qsort(o->list, n, sizeof *o->list, compare_values);
  give_ranks(n, o->list, o->rank_b);
  return correlate(n, o->list, o->rank_a, o->rank_b);
}

static cks_status fill_orders(const cks_cells *c, cks_interaction *a)
{
  orders o;
  cks_status status = orders_new(c, &o);
  a->rank_correlation = cks_arena_take(c->work->task->results->arena, c->e * c->e, sizeof *a->rank_correlation);
  if (status != CKS_OK || !a->rank_correlation) return cks_error_nomem(c->work->task->error);
  for (size_t j = 0; j < c->e; j++) {
    find_best(c, j, &a->environment[j]);
    a->environment[j].rank_correlation = with_others(c, &o, j);
    for (size_t k = 0; k <= j; k++)
      a->rank_correlation[j * c->e + k] = a->rank_correlation[k * c->e + j] = between(c, &o, j, k);
  }
  return CKS_OK;
}

cks_status cks_stability_fill(const cks_cells *c, cks_interaction *a)
{
  part p;
  cks_status status = c->n_row ? part_new(c, &p) : CKS_OK;
  if (status == CKS_OK && c->n_row) {
    fill_ecovalence(&p, a);
    fill_superiority(&p, a);
    fill_nonadditivity(&p, a);
  }
  return status == CKS_OK ? fill_orders(c, a) : status;
}
