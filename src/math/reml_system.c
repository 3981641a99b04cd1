/*
 * reml_system.c: the places' shares of S = Z'V^-1Z, Z'V^-1y and y'V^-1y summed, the system solved, and -2 log REML.
 *
 *   S = sum_j [diag(n_c w_c) - U G U'], U the rows w_c z_c';  Z'V^-1y = sum_j w_c (ysum_c - z_c'G t), t = E'R^-1y
 *   y'V^-1y = sum_j [(y'y - sum_c phi_c ysum_c^2) / s - t'G t]
 *   M = D S D + I (random levels), C = D M^-1 D, h = C Z'V^-1y
 *   -2 log REML = sum_j log|V_j| + log|M| + y'V^-1y - h'Z'V^-1y + (N - rank) log 2 pi
 * With one term across environments (hybrids) a place's cells are rows of S; with several, its own system of cells is put
 * into the rows of each term. (Henderson 1984, chapters 5 and 12, from memory.)
 */
#include "reml_parts.h"

#include <gsl/gsl_cblas.h>
#include <gsl/gsl_linalg.h>
#include <math.h>
#include <string.h>

static const double LOG_TWO_PI = 1.8378770664093454836;

static double dot(size_t n, const double *x, const double *y) { return cblas_ddot((int)n, x, 1, y, 1); }

void cks_reml_g_times(const cks_reml_place *p, const cks_reml_absorbed *at, const double *x, double *to)
{
  int b = (int)p->n_stratum;
  cblas_dgemv(CblasRowMajor, CblasNoTrans, b, b, 1, at->g, b, x, 1, 0, to, 1);
}

/* ---- a place's share -------------------------------------------------------------------------------------------- */

/* Columns [low, low + CHUNK) of G U': chunk (n_stratum x CHUNK), of the cells [from, end) that lie in them. index: cells
 * to columns. TILE columns are made side by side and turned together. */
static void fill_chunk(cks_reml *r, const cks_reml_place *p, const uint32_t *index, size_t low, size_t from, size_t end)
{
  size_t b = p->n_stratum;
  memset(r->chunk, 0, b * CHUNK * sizeof *r->chunk);
  for (size_t c = from; c < end; c += TILE) {
    size_t n = end - c < TILE ? end - c : TILE;
    memset(r->tile, 0, n * b * sizeof *r->tile);
    for (size_t k = 0; k < n; k++)
      cks_reml_add_rows(r->tile + k * b, b, r->at.w[c + k], r->at.g, b, p->stratum + p->first[c + k],
                        p->first[c + k + 1] - p->first[c + k]);
    for (size_t l = 0; l < b; l++)
      for (size_t k = 0; k < n; k++) r->chunk[l * CHUNK + index[c + k] - low] = r->tile[k * b + l];
  }
}

/* Lower part of S += diag(n_c w_c) - U G U', rows and columns by index (ascending). */
static void add_share(cks_reml *r, const cks_reml_place *p, const uint32_t *index, double *s, size_t ld)
{
  for (size_t c = 0; c < p->n_cell; c++) s[index[c] * ld + index[c]] += (p->first[c + 1] - p->first[c]) * r->at.w[c];
  for (size_t from = 0, end; from < p->n_cell; from = end) {
    size_t low = index[from];
    for (end = from; end < p->n_cell && index[end] < low + CHUNK;) end++;
    size_t width = index[end - 1] - low + 1;
    fill_chunk(r, p, index, low, from, end);
    for (size_t c = from; c < p->n_cell; c++) {
      size_t n = index[c] - low + 1;
      cks_reml_add_rows(s + index[c] * ld + low, n < width ? n : width, -r->at.w[c], r->chunk, CHUNK,
                        p->stratum + p->first[c], p->first[c + 1] - p->first[c]);
    }
  }
}

static void swap(uint32_t *a, uint32_t *b)
{
  uint32_t keep = *a;
  *a = *b;
  *b = keep;
}

/* The place's system of cells into the rows of all layers, and of the mean. */
static void scatter(cks_reml *r, const cks_reml_place *p, const double *local, size_t ld)
{
  for (size_t a = 0; a < r->n_layer; a++)
    for (size_t b = 0; b <= a; b++)
      for (size_t c = 0; c < p->n_cell; c++)
        for (size_t d = 0; d < p->n_cell; d++) {
          uint32_t row = p->level[a][c], column = p->level[b][d];
          if (a == b && d > c) break;
          double share = d <= c ? local[c * ld + d] : local[d * ld + c];
          bool both = a == b && d < c && row == column; /* cells of one level: (c, d) and (d, c) */
          if (row < column) swap(&row, &column);
          r->s[row * r->ld + column] += both ? 2 * share : share;
        }
}

static void add_place(cks_reml *r, const cks_reml_place *p)
{
  if (r->few) {
    cks_reml_few_share(r, p);
    return;
  }
  if (r->n_layer == 1) {
    add_share(r, p, p->level[0], r->s, r->ld);
    return;
  }
  size_t ld = (p->n_cell + PANEL - 1) / PANEL * PANEL;
  memset(r->local, 0, p->n_cell * ld * sizeof *r->local);
  add_share(r, p, r->own_index, r->local, ld);
  scatter(r, p, r->local, ld);
}

/* Z'V^-1y; returns y'V^-1y. */
static double add_right_side(cks_reml *r, const cks_reml_place *p)
{
  const cks_reml_absorbed *at = &r->at;
  double *t = r->strata, *gt = r->strata + p->n_stratum, yvy = p->yy;
  cks_reml_project(p, at, p->y, r->cell, t);
  cks_reml_g_times(p, at, t, gt);
  for (size_t c = 0; c < p->n_cell; c++) {
    double sum = r->cell[c];
    yvy -= at->phi[c] * sum * sum;
    for (uint32_t i = p->first[c]; i < p->first[c + 1]; i++) sum -= gt[p->stratum[i]];
    for (size_t k = 0; k < r->n_layer; k++) r->rr[p->level[k][c]] += at->w[c] * sum;
    if (r->mean_level) r->rr[0] += at->w[c] * sum;
  }
  return yvy / at->s - dot(p->n_stratum, t, gt);
}

/* ---- the system ------------------------------------------------------------------------------------------------- */

/* The row of the mean: sums of the hybrids' rows, for each plot stands in one of them. */
static void fill_mean_level(cks_reml *r)
{
  size_t first = r->layer[0].first, end = first + r->layer[0].n;
  double *sum = r->c_diagonal, all = 0; /* it is free yet */
  memset(sum, 0, r->n_level * sizeof *sum);
  for (size_t i = first; i < r->n_level; i++) {
    const double *row = r->s + i * r->ld;
    for (size_t k = first; k < i && k < end; k++) sum[i] += row[k];
    for (size_t k = first; k <= i && i < end; k++) sum[k] += row[k];
  }
  for (size_t i = first; i < r->n_level; i++) {
    r->s[i * r->ld] = sum[i];
    all += i < end ? sum[i] : 0;
  }
  r->s[0] = all;
}

static void fill_scale(cks_reml *r, const double *theta)
{
  if (r->mean_level) r->scale[0] = 1;
  for (size_t k = 0; k < r->n_layer; k++)
    for (size_t i = 0; i < r->layer[k].n; i++)
      r->scale[r->layer[k].first + i] = r->layer[k].random ? sqrt(theta[r->layer[k].kind]) : 1;
}

/* The lower part of M into C, which few strata share with S. A dropped level is alone with itself. */
static void fill_m(cks_reml *r)
{
  size_t m = r->n_level;
  for (size_t i = 0; i < m; i++)
    for (size_t k = 0; k <= i; k++) {
      bool out = r->dropped[i] || r->dropped[k];
      r->c[i * m + k] = out ? 0 : r->scale[i] * r->s[i * r->ld + k] * r->scale[k];
    }
  for (size_t k = 0; k < r->n_layer; k++)
    for (size_t i = r->layer[k].first; i < r->layer[k].first + r->layer[k].n; i++)
      if (r->layer[k].random || r->dropped[i]) r->c[i * m + i] += 1;
}

/* h = D M^-1 D rr, with the factor of M in C; log|M| in *log_det. False: M is not positive definite. */
static bool solve(cks_reml *r, double *log_det)
{
  size_t m = r->n_level;
  gsl_matrix_view c = gsl_matrix_view_array(r->c, m, m);
  gsl_vector_view h = gsl_vector_view_array(r->h, m);
  if (gsl_linalg_cholesky_decomp1(&c.matrix)) return false;
  *log_det = 0;
  for (size_t i = 0; i < m; i++) {
    *log_det += 2 * log(r->c[i * m + i]);
    r->h[i] = r->dropped[i] ? 0 : r->scale[i] * r->rr[i];
  }
  gsl_linalg_cholesky_svx(&c.matrix, &h.vector);
  for (size_t i = 0; i < m; i++) r->h[i] *= r->scale[i];
  return true;
}

size_t cks_reml_rank(const cks_reml *r)
{
  size_t hybrids = r->model.hybrids_random ? r->mean_level : r->layer[0].n - r->n_dropped;
  return hybrids + (r->model.environments_fixed || r->environment_levels ? r->n_place : 0);
}

bool cks_reml_sum(cks_reml *r, const double *theta, cks_reml_sums *sums)
{
  bool reached = true;
  *sums = (cks_reml_sums){0};
  memset(r->s, 0, r->n_level * r->ld * sizeof *r->s);
  memset(r->rr, 0, r->n_level * sizeof *r->rr);
  for (size_t j = 0; j < r->n_place && reached; j++) {
    reached = cks_reml_absorb(r, theta, j, NULL) == CKS_OK;
    if (!reached) continue;
    sums->log_det += r->at.log_det;
    sums->yvy += add_right_side(r, &r->place[j]);
    add_place(r, &r->place[j]);
  }
  if (r->few) cks_reml_few_flush(r);
  if (reached && r->mean_level) fill_mean_level(r);
  return reached;
}

/* 1'S1 over the hybrids, of one layer. */
static double sum_all(const cks_reml *r)
{
  double sum = 0;
  for (size_t i = 0; i < r->n_level && r->n_layer == 1; i++) {
    const double *row = r->s + i * r->ld;
    for (size_t k = 0; k < i; k++) sum += 2 * row[k];
    sum += row[i];
  }
  return sum;
}

double cks_reml_build(cks_reml *r, const double *theta)
{
  double log_m = 0;
  cks_reml_sums sums;
  r->solved = false;
  if (!cks_reml_sum(r, theta, &sums)) return INFINITY;
  for (size_t i = 0; i < r->n_level; i++) {
    r->s_diagonal[i] = r->s[i * r->ld + i];
    r->s_mean[i] = r->s[i * r->ld];
  }
  r->s_all = r->model.hybrids_random ? 0 : sum_all(r);
  fill_scale(r, theta);
  fill_m(r);
  if (!solve(r, &log_m)) return INFINITY;
  return sums.log_det + log_m + sums.yvy - dot(r->n_level, r->h, r->rr) +
         ((double)r->data.n - (double)cks_reml_rank(r)) * LOG_TWO_PI;
}

void cks_reml_scale(cks_reml *r, const double *theta)
{
  size_t m = r->n_level;
  for (size_t i = 0; i < m; i++)
    for (size_t k = 0; k < m; k++) r->c[i * m + k] *= r->dropped[i] || r->dropped[k] ? 0 : r->scale[i] * r->scale[k];
  memcpy(r->solved_theta, theta, r->fit.n_theta * sizeof *theta);
  r->solved = true;
}

cks_status cks_reml_solve(cks_reml *r, const double *theta, cks_error *error)
{
  size_t m = r->n_level;
  if (r->solved && !memcmp(r->solved_theta, theta, r->fit.n_theta * sizeof *theta)) return CKS_OK;
  if (!(cks_reml_build(r, theta) < INFINITY))
    return cks_error_set(error, CKS_NUMERIC, "the hybrids cannot be told apart from the rest");
  gsl_matrix_view c = gsl_matrix_view_array(r->c, m, m);
  gsl_linalg_cholesky_invert(&c.matrix);
  cks_reml_scale(r, theta);
  return CKS_OK;
}
