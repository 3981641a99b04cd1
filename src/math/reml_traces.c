/*
 * reml_traces.c: tr(P V_k) of the components inside one environment.
 *
 *   CU = C U, K = U'C U, N = I - G A, Y = G K
 *   E'PE = A N - N'K N: its trace is the blocks', e'(E'PE)e the reps' and the environment's, e their strata
 *   hybrid x environment: sum_c (d_c - w_c^2 z_c'G z_c) - [sum_c d_c^2 C_cc - 2 sum_c d_c w_c (CU)_c'G z_c + tr(Y G B)],
 *     d_c = n_c w_c, B = sum_c w_c^2 z_c z_c'
 *   error: tr(P V) = n - (1 if environments fixed) - sum_c d_c C_cc + tr Y, less the others' shares, over s
 * (from P = V^-1 - V^-1 Z C Z'V^-1 and Z'V^-1 = rows w_c (sum over the cell less z_c'G E'R^-1); our derivation.) A and B
 * are sparse, so of the products only Y is a dense one; the others are sums of a few rows a cell.
 */
#include "reml_parts.h"

#include <gsl/gsl_cblas.h>
#include <string.h>

static double dot(size_t n, const double *x, const double *y) { return cblas_ddot((int)n, x, 1, y, 1); }

static void list_by_stratum(cks_reml *r, const cks_reml_place *p)
{
  uint32_t *first = r->stratum_first;
  memset(first, 0, (p->n_stratum + 1) * sizeof *first);
  for (size_t i = 0; i < p->n; i++) first[p->stratum[i] + 1]++;
  for (size_t l = 0; l < p->n_stratum; l++) first[l + 1] += first[l];
  for (size_t c = 0; c < p->n_cell; c++)
    for (uint32_t i = p->first[c]; i < p->first[c + 1]; i++) r->by_stratum[first[p->stratum[i]]++] = (uint32_t)c;
  memmove(first + 1, first, p->n_stratum * sizeof *first);
  first[0] = 0;
}

/* Rows of C U of the place's cells: cu (n_cell x n_stratum), panel by panel. */
static void multiply_cu(cks_reml *r, const cks_reml_place *p, const double *panels, size_t n_row, const uint32_t *index)
{
  size_t b = p->n_stratum;
  list_by_stratum(r, p);
  for (size_t from = 0, end; from < p->n_cell; from = end) {
    size_t panel = index[from] / PANEL;
    for (end = from; end < p->n_cell && index[end] / PANEL == panel;) end++;
    for (size_t l = 0; l < b; l++)
      cks_reml_sum_panel(r->strip + l * PANEL, panels + panel * n_row * PANEL, index, r->at.w,
                         r->by_stratum + r->stratum_first[l], r->stratum_first[l + 1] - r->stratum_first[l]);
    for (size_t c = from; c < end; c++)
      for (size_t l = 0; l < b; l++) r->cu[c * b + l] = r->strip[l * PANEL + index[c] % PANEL];
  }
}

/* What the walk over the cells adds up. */
typedef struct {
  double dc, ddc, s, cross; /* sum d C_cc, d^2 C_cc, d - w^2 z'Gz, 2 d w (CU)'Gz */
} sums;

/* K, A G and B G row by row. */
static sums walk_cells(cks_reml *r, const cks_reml_place *p, const uint32_t *index, const double *diagonal)
{
  const cks_reml_absorbed *at = &r->at;
  size_t b = p->n_stratum;
  double *gz = r->strata;
  sums t = {0};
  memset(r->k, 0, b * b * sizeof *r->k);
  memset(r->b2g, 0, b * b * sizeof *r->b2g);
  for (size_t l = 0; l < b; l++)
    for (size_t k = 0; k < b; k++) r->ag[l * b + k] = p->plots[l] / at->s * at->g[l * b + k];
  for (size_t c = 0; c < p->n_cell; c++) {
    const uint32_t *stratum = p->stratum + p->first[c];
    size_t n = p->first[c + 1] - p->first[c];
    double w = at->w[c], d = (double)n * w, zgz = 0, part = at->phi[c] / at->s;
    const double *cu = r->cu + c * b;
    memset(gz, 0, b * sizeof *gz);
    cks_reml_add_rows(gz, b, 1, at->g, b, stratum, n);
    for (size_t i = 0; i < n; i++) {
      size_t row = stratum[i] * b;
      zgz += gz[stratum[i]];
      cblas_daxpy((int)b, w, cu, 1, r->k + row, 1);
      cblas_daxpy((int)b, -part, gz, 1, r->ag + row, 1);
      cblas_daxpy((int)b, w * w, gz, 1, r->b2g + row, 1);
    }
    t.dc += d * diagonal[index[c]];
    t.ddc += d * d * diagonal[index[c]];
    t.s += d - w * w * zgz;
    t.cross += 2 * d * w * dot(b, cu, gz);
  }
  return t;
}

/* K becomes N'K = K - A Y. */
static void take_ay_off(cks_reml *r, const cks_reml_place *p)
{
  const cks_reml_absorbed *at = &r->at;
  size_t b = p->n_stratum;
  double *zy = r->strata;
  for (size_t l = 0; l < b; l++) cblas_daxpy((int)b, -p->plots[l] / at->s, r->y_matrix + l * b, 1, r->k + l * b, 1);
  for (size_t c = 0; c < p->n_cell && at->he > 0; c++) {
    const uint32_t *stratum = p->stratum + p->first[c];
    size_t n = p->first[c + 1] - p->first[c];
    memset(zy, 0, b * sizeof *zy);
    cks_reml_add_rows(zy, b, 1, r->y_matrix, b, stratum, n);
    for (size_t i = 0; i < n; i++) cblas_daxpy((int)b, at->phi[c] / at->s, zy, 1, r->k + stratum[i] * b, 1);
  }
}

static double trace(size_t n, const double *x)
{
  double sum = 0;
  for (size_t i = 0; i < n; i++) sum += x[i * n + i];
  return sum;
}

/* e'(E'PE)e, e the strata of rep q, or all (q = n_rep). K holds N'K. */
static double quadratic(cks_reml *r, const cks_reml_place *p, size_t q)
{
  size_t b = p->n_stratum;
  const double *ae = r->reps_a + q * b;
  double *ne = r->strata, sum = 0;
  cks_reml_g_times(p, &r->at, ae, ne);
  sum -= dot(b, ae, ne);
  for (size_t l = 0; l < b; l++) {
    bool in = q == p->n_rep || p->rep_of[l] == q;
    ne[l] = in - ne[l];
    if (in) sum += ae[l];
  }
  for (size_t l = 0; l < b; l++)
    if (q == p->n_rep || p->rep_of[l] == q) sum -= dot(b, r->k + l * b, ne);
  return sum;
}

cks_reml_traces cks_reml_trace(cks_reml *r, const double *theta, size_t place, const double *panels, size_t n_row,
                               const uint32_t *index, const double *diagonal)
{
  const cks_reml_place *p = &r->place[place];
  const cks_reml_absorbed *at = &r->at;
  size_t b = p->n_stratum;
  cks_reml_traces t = {0};
  if (r->few)
    cks_reml_few_cu(r, theta, place);
  else
    multiply_cu(r, p, panels, n_row, index);
  sums s = walk_cells(r, p, index, diagonal);
  cblas_dgemm(CblasRowMajor, CblasNoTrans, CblasNoTrans, (int)b, (int)b, (int)b, 1, at->g, (int)b, r->k, (int)b, 0,
              r->y_matrix, (int)b);
  double tr_y = trace(b, r->y_matrix);
  t.cell = s.s - (s.ddc - s.cross + dot(b * b, r->y_matrix, r->b2g));
  take_ay_off(r, p);
  if (p->blocks) t.block = trace(b, at->a) - dot(b * b, at->a, r->ag) - trace(b, r->k) + dot(b * b, r->k, r->ag);
  for (size_t q = 0; q < p->n_rep; q++) t.rep += quadratic(r, p, q);
  t.environment = quadratic(r, p, p->n_rep);
  double left = (double)p->n - r->model.environments_fixed - (s.dc - tr_y) - theta[CKS_REML_REP] * t.rep -
                theta[CKS_REML_BLOCK] * t.block - theta[CKS_REML_CELL] * t.cell;
  if (!r->model.environments_fixed) left -= theta[CKS_REML_ENVIRONMENT] * t.environment;
  t.error = left / at->s;
  return t;
}
