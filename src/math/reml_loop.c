/*
 * reml_loop.c: the climb to the top of the likelihood.
 *
 * Steps by the average information under the bounds variance >= 0 (an error variance: a fifth to five times the old one),
 * halved until -2 log REML falls. On little data the average information is a poor Hessian: after SIX steps (or half as
 * many as there are components, each of which costs an evaluation) the observed one takes its place, by forward differences
 * of the exact gradient, where it is positive definite. A component at 0 whose gradient is positive stays there: that is its
 * estimate. An error variance on its way to 0 ends the climb: the model fits some plots exactly, and everything would follow
 * from them with a standard error of 0.
 */
#include "reml_parts.h"
#include "reml_step.h"

#include <gsl/gsl_linalg.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* CHEAP and MOST_OBSERVED: levels and components up to which one more step costs little. */
enum { MOST_STEPS = 100, SIX = 6, MOST_OBSERVED = 16, MOST_HALVINGS = 12, CHEAP = 500 };
static const double VANISHED = 1e-7; /* an error variance beside the variance within environments; df */

/* One point of the climb. */
typedef struct {
  double minus2, *theta, *gradient, *information;
} point;

typedef struct {
  cks_reml *reml;
  size_t n;
  point here, next;
  double *step, *low;
  double *hessian, *copy; /* n x n: the observed one */
  size_t *at;             /* size n: the components above 0 */
  double close;           /* steps smaller than this part of every component end the climb */
  double rounding;        /* and so does a gain below this part of -2 log REML, where a step is dear */
  const double *last;     /* the theta evaluated last */
} climb;

/* ---- where to begin --------------------------------------------------------------------------------------------- */

/* Variance of the places' means and within them. */
static void start(const cks_reml *r, double *theta, double *within)
{
  double ss = 0, between = 0, n = (double)r->data.n, places = (double)r->n_place;
  for (size_t j = 0; j < r->n_place; j++) {
    const cks_reml_place *p = &r->place[j];
    double sum = 0;
    for (size_t i = 0; i < p->n; i++) sum += p->y[i];
    ss += p->yy - sum * sum / (double)p->n;
    between += sum * sum / (double)p->n / (double)p->n;
  }
  *within = n > places ? ss / (n - places) : 0;
  if (r->used[CKS_REML_ENVIRONMENT]) theta[CKS_REML_ENVIRONMENT] = between / (places - 1);
  static const struct {
    cks_reml_kind kind;
    double share;
  } shares[] = {{CKS_REML_REP, .1},    {CKS_REML_BLOCK, .1},       {CKS_REML_CELL, .2},
                {CKS_REML_HYBRID, .2}, {CKS_REML_BY_LOCATION, .1}, {CKS_REML_BY_YEAR, .1}};
  for (size_t k = 0; k < sizeof shares / sizeof *shares; k++)
    if (r->used[shares[k].kind]) theta[shares[k].kind] = shares[k].share * *within;
  for (size_t k = CKS_REML_ERROR; k < r->fit.n_theta; k++) theta[k] = .5 * *within;
}

/* ---- a step ----------------------------------------------------------------------------------------------------- */

static cks_status evaluate(climb *c, point *at, bool information, cks_error *error)
{
  c->reml->fit.evaluations++;
  c->last = at->theta;
  return cks_reml_evaluate(c->reml, at->theta, &at->minus2, at->gradient, information ? at->information : NULL, error);
}

/* Takes the observed Hessian for here.information where it is positive definite. */
static cks_status observe(climb *c, cks_error *error)
{
  size_t n = c->n, m = 0, *at = c->at;
  const bool *used = c->reml->used;
  double *hessian = c->hessian, *copy = c->copy;
  point *here = &c->here, *next = &c->next;
  cks_status status = CKS_OK;
  for (size_t k = 0; k < n; k++)
    if (used[k] && here->theta[k] > 0) at[m++] = k;
  for (size_t a = 0; a < m && status == CKS_OK; a++) {
    double by = 1e-4 * here->theta[at[a]] + 1e-9 * here->theta[CKS_REML_ERROR];
    memcpy(next->theta, here->theta, n * sizeof *next->theta);
    next->theta[at[a]] += by;
    status = evaluate(c, next, false, error);
    if (!(next->minus2 < INFINITY)) return status;
    for (size_t b = 0; b < m; b++) hessian[a * m + b] = (next->gradient[at[b]] - here->gradient[at[b]]) / by;
  }
  if (status != CKS_OK) return status;
  for (size_t a = 0; a < m; a++)
    for (size_t b = 0; b < a; b++)
      hessian[a * m + b] = hessian[b * m + a] = .5 * (hessian[a * m + b] + hessian[b * m + a]);
  memcpy(copy, hessian, m * m * sizeof *copy);
  gsl_matrix_view view = gsl_matrix_view_array(copy, m, m);
  if (gsl_linalg_cholesky_decomp1(&view.matrix)) return CKS_OK;
  for (size_t k = 0; k < n; k++)
    for (size_t l = 0; l < n; l++)
      if (k != l && !(here->theta[k] > 0 && here->theta[l] > 0)) here->information[k * n + l] = 0;
  for (size_t a = 0; a < m; a++)
    for (size_t b = 0; b < m; b++) here->information[at[a] * n + at[b]] = hessian[a * m + b];
  return CKS_OK;
}

/* What the step promises, and its size beside the components. */
static void measure(const climb *c, double *promise, double *size)
{
  *promise = *size = 0;
  for (size_t k = 0; k < c->n; k++) {
    *promise -= c->here.gradient[k] * c->step[k];
    if (c->reml->used[k])
      *size = fmax(*size, fabs(c->step[k]) / (c->here.theta[k] + 1e-3 * c->here.theta[CKS_REML_ERROR]));
  }
}

/* Halves the step until -2 log REML falls; *moved false: it does not. */
static cks_status walk(climb *c, double promise, bool *moved, cks_error *error)
{
  double share = 1;
  cks_status status = CKS_OK;
  *moved = false;
  for (size_t k = CKS_REML_ERROR; k < c->n; k++) c->step[k] = fmin(c->step[k], 4 * c->here.theta[k]);
  for (int halving = 0; halving < MOST_HALVINGS && !*moved && status == CKS_OK; halving++) {
    for (size_t k = 0; k < c->n; k++) c->next.theta[k] = fmax(c->here.theta[k] + share * c->step[k], 0);
    status = evaluate(c, &c->next, true, error);
    double rounding = !halving && promise < 1e-6 ? 1e-10 * fabs(c->here.minus2) : 0;
    *moved = c->next.minus2 <= c->here.minus2 - 1e-4 * share * promise || c->next.minus2 <= c->here.minus2 + rounding;
    share *= halving ? .3 : .5;
  }
  return status;
}

/* An error variance is on its way to 0, or the values tell nothing of it: its information in units of itself is some
 * degrees of freedom else. */
static bool no_error_left(const climb *c, double within)
{
  bool none = false;
  for (size_t k = CKS_REML_ERROR; k < c->n; k++) {
    double theta = c->here.theta[k], information = c->here.information[k * c->n + k] * theta * theta;
    none |= theta < VANISHED * within || information < VANISHED;
  }
  return none;
}

static cks_status run(climb *c, double within, cks_error *error)
{
  cks_reml_fit *fit = &c->reml->fit;
  cks_status status = evaluate(c, &c->here, true, error);
  bool done = !(c->here.minus2 < INFINITY);
  fit->outcome = CKS_REML_NOT_CONVERGED;
  while (!done && status == CKS_OK && fit->iterations < MOST_STEPS) {
    double promise, size;
    bool moved = false;
    memcpy(c->reml->information, c->here.information, c->n * c->n * sizeof *c->here.information);
    if (fit->iterations >= SIX && fit->iterations >= c->n / 2) status = observe(c, error);
    for (size_t k = 0; k < c->n; k++) c->low[k] = (k >= CKS_REML_ERROR ? -.8 : -1) * c->here.theta[k];
    if (status == CKS_OK)
      status =
          cks_reml_bounded_step(c->n, c->reml->used, c->here.gradient, c->here.information, c->low, c->step, error);
    measure(c, &promise, &size);
    done = promise < 1e-10 + c->rounding * fabs(c->here.minus2) && size < c->close;
    if (done) fit->outcome = no_error_left(c, within) ? CKS_REML_NO_ERROR : CKS_REML_CONVERGED;
    if (done || status != CKS_OK) continue;
    status = walk(c, promise, &moved, error);
    if (moved) {
      point keep = c->here;
      c->here = c->next;
      c->next = keep;
      fit->iterations++;
    }
    done = !moved || no_error_left(c, within);
    if (!moved && promise < 1e-6 * (1 + fabs(c->here.minus2) * 1e-6))
      fit->outcome = CKS_REML_CONVERGED; /* rounding is all that is left */
    if (no_error_left(c, within)) fit->outcome = CKS_REML_NO_ERROR;
  }
  return status;
}

static bool make(climb *c, cks_arena *arena)
{
  size_t n = c->n;
  double **vector[] = {&c->here.theta, &c->here.gradient, &c->next.theta, &c->next.gradient, &c->step, &c->low};
  bool made = true;
  for (size_t k = 0; k < sizeof vector / sizeof *vector; k++) {
    *vector[k] = cks_arena_take(arena, n, sizeof(double));
    made &= *vector[k] != NULL;
  }
  double **square[] = {&c->here.information, &c->next.information, &c->hessian, &c->copy, &c->reml->information};
  for (size_t k = 0; k < sizeof square / sizeof *square; k++) {
    *square[k] = cks_arena_take(arena, n * n, sizeof(double));
    made &= *square[k] != NULL;
  }
  c->at = cks_arena_take(arena, n, sizeof *c->at);
  return made && c->at;
}

void cks_reml_begin(cks_reml *r, const double *theta) { r->begin = theta; }

cks_status cks_reml_estimate(cks_reml *r, cks_error *error)
{
  bool cheap = r->n_level <= CHEAP && r->fit.n_theta <= MOST_OBSERVED;
  climb c = {.reml = r, .n = r->fit.n_theta, .close = cheap ? 1e-7 : 1e-5, .rounding = cheap ? 0 : 1e-13};
  double within = 0;
  if (!make(&c, r->arena)) return cks_error_nomem(error);
  start(r, c.here.theta, &within);
  for (size_t k = 0; k < c.n && r->begin; k++) c.here.theta[k] = r->used[k] ? r->begin[k] : 0;
  r->fit.outcome = CKS_REML_NO_ERROR;
  if (!(within > 0) || r->data.n <= cks_reml_rank(r)) return CKS_OK;
  cks_status status = run(&c, within, error);
  memcpy(r->theta, c.here.theta, c.n * sizeof *r->theta);
  r->fit.minus2 = c.here.minus2;
  if (status == CKS_OK && c.last != c.here.theta) /* the system once more, as it is at the top */
    status = evaluate(&c, &c.here, false, error);
  return status;
}
