/* reml_step.c: see reml_step.h. */
#include "reml_step.h"

#include "dense.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { MOST_SWEEPS = 200 };
static const double STILL = 1e-9, RIDGE = 1e-10;

static void descend(size_t n, const bool *open, const double *gradient, const double *hessian, const double *low,
                    double *step)
{
  double moved = INFINITY;
  for (int sweep = 0; sweep < MOST_SWEEPS && moved >= STILL; sweep++) {
    moved = 0;
    for (size_t k = 0; k < n; k++) {
      double own = hessian[k * n + k], slope = gradient[k];
      if (!open[k]) continue;
      for (size_t l = 0; l < n; l++) slope += open[l] ? hessian[k * n + l] * step[l] : 0;
      double to = own > 0 ? fmax(low[k], step[k] - slope / own) : slope > 0 ? low[k] : step[k];
      moved = fmax(moved, fabs(to - step[k]) * sqrt(own));
      step[k] = to;
    }
  }
}

/* The stationary point of what is off its bound, taken when it keeps all bounds. */
static cks_status polish(size_t n, const bool *open, const double *gradient, const double *hessian, const double *low,
                         double *step, cks_error *error)
{
  size_t m = 0, *at = malloc(n * sizeof *at);
  double *a = malloc(n * n * sizeof *a), *x = malloc(n * sizeof *x);
  cks_status status = at && a && x ? CKS_OK : cks_error_nomem(error);
  for (size_t k = 0; k < n && status == CKS_OK; k++)
    if (open[k] && step[k] > low[k]) at[m++] = k;
  for (size_t i = 0; i < m; i++) {
    x[i] = -gradient[at[i]];
    for (size_t k = 0; k < n; k++)
      if (open[k] && !(step[k] > low[k])) x[i] -= hessian[at[i] * n + k] * step[k];
    for (size_t k = 0; k < m; k++) a[i * m + k] = hessian[at[i] * n + at[k]] * (i == k ? 1 + RIDGE : 1);
  }
  bool inside = m > 0 && cks_dense_solve(m, a, x, NULL) == CKS_OK; /* not definite: the descent's step stands */
  for (size_t i = 0; i < m && inside; i++) inside = x[i] >= low[at[i]];
  for (size_t i = 0; i < m && inside; i++) step[at[i]] = x[i];
  free(x);
  free(a);
  free(at);
  return status;
}

cks_status cks_reml_bounded_step(size_t n, const bool *open, const double *gradient, const double *hessian,
                                 const double *low, double *step, cks_error *error)
{
  memset(step, 0, n * sizeof *step);
  descend(n, open, gradient, hessian, low, step);
  return polish(n, open, gradient, hessian, low, step, error);
}
