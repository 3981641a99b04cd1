/*
 * reml_kenward_roger.c: Kenward & Roger 1997, Biometrics 53:983: the covariance of estimated fixed effects adjusted for
 * the components being estimates, and the expected information.
 *
 *   expected information: I_kl = tr(P V_k P V_l) / 2, W = I^-1
 *   adjusted covariance: t'C t + 2 sum_kl W_kl k'V_k P V_l k, k = V^-1Z C t the weights of the plots
 * V_k = Z_k Z_k', so with B = Z_K'P Z_K over the columns of all terms, tr(P V_k P V_l) is the sum of squares of a block of
 * B, and the second sum is made of blocks K_k'B_kl K_l, K = Z_K'k. B = Z_K'V0^-1Z_K - H C H', H = Z_K'V0^-1Z, V0^-1 dense
 * place by place. The error's part follows from P V P = P and k'V P = 0, so one error variance needs no columns; with one
 * an environment its plots are columns. As components enter V linearly there is no second-derivative term.
 */
#include "reml_parts.h"

#include "dense.h"

#include <gsl/gsl_cblas.h>
#include <stdlib.h>
#include <string.h>

/* Columns [first, first + n) of B are of component at[k]. */
typedef struct {
  size_t m, n;      /* components with columns; columns */
  size_t *first;    /* size m + 1 */
  double *b, *h;    /* n x n, n x n_level */
  double *k, *bk;   /* n x q */
  double *inverse;  /* V0^-1 of a place */
  double *root;     /* R^-1E and R^-1E G of a place: 2 x plots x strata */
  size_t *next;     /* size m: columns given out so far */
  uint32_t *column; /* size m x most_plots: of each plot of a place, by component; CKS_NONE: none */
} parts;

static bool is_layer(const cks_reml *r, size_t kind, size_t *layer)
{
  *layer = 0;
  while (*layer < r->n_layer && !(r->layer[*layer].random && r->layer[*layer].kind == kind)) ++*layer;
  return *layer < r->n_layer;
}

/* How many columns component `kind` has in a place. */
static size_t columns_in(const cks_reml *r, size_t kind, size_t place)
{
  const cks_reml_place *p = &r->place[place];
  switch (kind) {
  case CKS_REML_ENVIRONMENT:
    return 1;
  case CKS_REML_REP:
    return p->n_rep;
  case CKS_REML_BLOCK:
    return p->blocks ? p->n_stratum : 0;
  case CKS_REML_CELL:
    return p->n_cell;
  default:
    return kind == cks_reml_error_index(r, place) ? p->n : 0;
  }
}

/* Column of a plot among those of its component in its place. */
static uint32_t column_in(const cks_reml_place *p, size_t kind, uint32_t plot, uint32_t cell)
{
  switch (kind) {
  case CKS_REML_ENVIRONMENT:
    return 0;
  case CKS_REML_REP:
    return p->rep_of[p->stratum[plot]];
  case CKS_REML_BLOCK:
    return p->stratum[plot];
  case CKS_REML_CELL:
    return cell;
  default:
    return plot;
  }
}

static cks_status make_parts(const cks_reml *r, const cks_reml_functions *f, parts *w, cks_arena *arena,
                             cks_error *error)
{
  size_t layer;
  *w = (parts){.m = f->m - (r->model.error_by_environment ? 0 : 1)}; /* one error stands last and has none */
  w->first = cks_arena_take(arena, f->m + 1, sizeof *w->first);
  w->next = cks_arena_take(arena, f->m, sizeof *w->next);
  if (!w->first || !w->next) return cks_error_nomem(error);
  for (size_t k = 0; k < w->m; k++) {
    bool crosses = is_layer(r, f->at[k], &layer);
    size_t n = crosses ? r->layer[layer].n : 0;
    for (size_t j = 0; j < r->n_place && !crosses; j++) n += columns_in(r, f->at[k], j);
    w->next[k] = w->n;
    w->n += n;
    w->first[k + 1] = w->n;
  }
  w->b = cks_arena_take(arena, w->n * w->n, sizeof(double));
  w->h = cks_arena_take(arena, w->n * r->n_level, sizeof(double));
  w->k = cks_arena_take(arena, w->n * f->q, sizeof(double));
  w->bk = cks_arena_take(arena, w->n * f->q, sizeof(double));
  w->inverse = cks_arena_take(arena, r->most_plots * r->most_plots, sizeof(double));
  w->root = cks_arena_take(arena, 2 * r->most_plots * r->most_strata, sizeof(double));
  w->column = cks_arena_take(arena, f->m * r->most_plots, sizeof *w->column);
  return cks_arena_status(arena, error);
}

/* V0^-1 = R^-1 - R^-1E G E'R^-1 */
static void fill_inverse(const cks_reml *r, const cks_reml_place *p, parts *w)
{
  const cks_reml_absorbed *at = &r->at;
  size_t n = p->n, b = p->n_stratum;
  double *re = w->root, *reg = w->root + n * b;
  memset(re, 0, n * b * sizeof *re);
  memset(w->inverse, 0, n * n * sizeof *w->inverse);
  for (size_t c = 0; c < p->n_cell; c++)
    for (uint32_t i = p->first[c]; i < p->first[c + 1]; i++) {
      re[i * b + p->stratum[i]] += 1 / at->s;
      w->inverse[i * n + i] += 1 / at->s;
      for (uint32_t k = p->first[c]; k < p->first[c + 1]; k++) {
        re[i * b + p->stratum[k]] -= at->phi[c] / at->s;
        w->inverse[i * n + k] -= at->phi[c] / at->s;
      }
    }
  cblas_dgemm(CblasRowMajor, CblasNoTrans, CblasNoTrans, (int)n, (int)b, (int)b, 1, re, (int)b, at->g, (int)b, 0, reg,
              (int)b);
  cblas_dgemm(CblasRowMajor, CblasNoTrans, CblasTrans, (int)n, (int)n, (int)b, -1, reg, (int)b, re, (int)b, 1,
              w->inverse, (int)n);
}

static void list_columns(const cks_reml *r, size_t place, const cks_reml_functions *f, parts *w)
{
  const cks_reml_place *p = &r->place[place];
  for (size_t k = 0; k < w->m; k++) {
    size_t layer, n = 0;
    bool crosses = is_layer(r, f->at[k], &layer);
    if (!crosses) n = columns_in(r, f->at[k], place);
    for (size_t c = 0; c < p->n_cell; c++)
      for (uint32_t i = p->first[c]; i < p->first[c + 1]; i++)
        w->column[k * r->most_plots + i] = crosses
                                               ? (uint32_t)(w->first[k] + p->level[layer][c] - r->layer[layer].first)
                                           : n ? (uint32_t)w->next[k] + column_in(p, f->at[k], i, (uint32_t)c)
                                               : CKS_NONE;
    w->next[k] += n;
  }
}

/* Z_K'V0^-1Z_K and Z_K'V0^-1Z of one place. */
static void add_place(const cks_reml *r, const cks_reml_place *p, parts *w)
{
  size_t n = p->n, m = r->n_level;
  for (size_t c = 0; c < p->n_cell; c++)
    for (size_t d = 0; d < p->n_cell; d++)
      for (uint32_t i = p->first[c]; i < p->first[c + 1]; i++)
        for (size_t k = 0; k < w->m; k++) {
          uint32_t row = w->column[k * r->most_plots + i];
          if (row == CKS_NONE) continue;
          double sum = 0;
          for (uint32_t q = p->first[d]; q < p->first[d + 1]; q++) {
            double v = w->inverse[i * n + q];
            sum += v;
            for (size_t l = 0; l < w->m; l++) {
              uint32_t column = w->column[l * r->most_plots + q];
              if (column != CKS_NONE) w->b[row * w->n + column] += v;
            }
          }
          for (size_t l = 0; l < r->n_layer; l++) w->h[row * m + p->level[l][d]] += sum;
        }
}

/* B, then K = H x. */
static cks_status fill(cks_reml *r, const double *theta, const cks_reml_functions *f, parts *w, cks_arena *arena,
                       cks_error *error)
{
  int n = (int)w->n, m = (int)r->n_level, q = (int)f->q;
  double *hc = cks_arena_take(arena, w->n * r->n_level, sizeof *hc);
  cks_status status = hc ? CKS_OK : cks_error_nomem(error);
  for (size_t j = 0; j < r->n_place && status == CKS_OK; j++) {
    status = cks_reml_absorb(r, theta, j, error);
    if (status != CKS_OK) continue;
    fill_inverse(r, &r->place[j], w);
    list_columns(r, j, f, w);
    add_place(r, &r->place[j], w);
  }
  if (status != CKS_OK || !n) return status;
  cblas_dgemm(CblasRowMajor, CblasNoTrans, CblasNoTrans, n, m, m, 1, w->h, m, r->c, m, 0, hc, m);
  cblas_dgemm(CblasRowMajor, CblasNoTrans, CblasTrans, n, n, m, -1, hc, m, w->h, m, 1, w->b, n);
  cblas_dgemm(CblasRowMajor, CblasNoTrans, CblasNoTrans, n, q, m, 1, w->h, m, f->x, q, 0, w->k, q);
  return CKS_OK;
}

/* tr(P V_k P V_l) of two components with columns; tr(P V_k) where l is left out. */
static double trace_two(const parts *w, size_t k, size_t l)
{
  double sum = 0;
  for (size_t i = w->first[k]; i < w->first[k + 1]; i++)
    for (size_t c = w->first[l]; c < w->first[l + 1]; c++) sum += w->b[i * w->n + c] * w->b[i * w->n + c];
  return sum;
}

static double trace_one(const parts *w, size_t k)
{
  double sum = 0;
  for (size_t i = w->first[k]; i < w->first[k + 1]; i++) sum += w->b[i * w->n + i];
  return sum;
}

/* w_matrix (m x m) becomes the inverse of the expected information. One error, last: by P V P = P. */
static cks_status invert_information(const cks_reml *r, const double *theta, const cks_reml_functions *f,
                                     const parts *w, double *information, cks_error *error)
{
  size_t m = f->m, e = w->m;
  double s = theta[CKS_REML_ERROR];
  for (size_t k = 0; k < w->m; k++)
    for (size_t l = 0; l < w->m; l++) information[k * m + l] = trace_two(w, k, l);
  if (e < m) {
    double own = (double)r->data.n - (double)cks_reml_rank(r);
    for (size_t k = 0; k < e; k++) {
      double left = trace_one(w, k);
      own -= 2 * theta[f->at[k]] * left;
      for (size_t l = 0; l < e; l++) {
        left -= theta[f->at[l]] * information[k * m + l];
        own += theta[f->at[k]] * theta[f->at[l]] * information[k * m + l];
      }
      information[k * m + e] = information[e * m + k] = left / s;
    }
    information[e * m + e] = own / s / s;
  }
  for (size_t i = 0; i < m * m; i++) information[i] /= 2;
  return cks_dense_invert(m, information, error);
}

/* What W_kl weighs k'V_k P V_l k by when the error's parts are put into the others': k'V P = 0. */
static double weight_of(const cks_reml_functions *f, const parts *p, const double *theta, const double *w, size_t k,
                        size_t l)
{
  size_t m = f->m, e = p->m;
  double weight = w[k * m + l];
  if (e == m) return weight;
  double a = theta[f->at[k]] / theta[CKS_REML_ERROR], b = theta[f->at[l]] / theta[CKS_REML_ERROR];
  return weight - a * w[e * m + l] - b * w[k * m + e] + a * b * w[e * m + e];
}

/* added = 2 sum_kl weight_kl K_k'B_kl K_l */
static void add_up(const double *theta, const cks_reml_functions *f, const double *w_matrix, parts *w, double *added)
{
  int n = (int)w->n, q = (int)f->q;
  memset(added, 0, f->q * f->q * sizeof *added);
  for (size_t l = 0; l < w->m; l++) {
    size_t first = w->first[l], columns = w->first[l + 1] - first;
    if (!columns) continue;
    cblas_dgemm(CblasRowMajor, CblasNoTrans, CblasNoTrans, n, q, (int)columns, 1, w->b + first, n, w->k + first * f->q,
                q, 0, w->bk, q);
    for (size_t k = 0; k < w->m; k++)
      cblas_dscal((int)((w->first[k + 1] - w->first[k]) * f->q), weight_of(f, w, theta, w_matrix, k, l),
                  w->bk + w->first[k] * f->q, 1);
    cblas_dgemm(CblasRowMajor, CblasTrans, CblasNoTrans, q, q, n, 2, w->k, q, w->bk, q, 1, added, q);
  }
}

cks_status cks_reml_kenward_roger(cks_reml *r, const double *theta, const cks_reml_functions *f, double *w,
                                  double *added, cks_error *error)
{
  parts p = {0};
  cks_arena *arena = cks_arena_new();
  cks_status status = arena ? make_parts(r, f, &p, arena, error) : cks_error_nomem(error);
  if (status == CKS_OK) status = fill(r, theta, f, &p, arena, error);
  if (status == CKS_OK) status = invert_information(r, theta, f, &p, w, error);
  if (status == CKS_OK) add_up(theta, f, w, &p, added);
  cks_arena_free(arena);
  return status;
}
