/* mean_squares.c: see mean_squares.h. */
#include "mean_squares.h"

#include "distributions.h"

#include <math.h>

/* How far above its estimate a mean square of positive weight may lie, as a part of it; how far below one of negative weight. */
static double above(double alpha, double df) { return df / cks_chi_squared_quantile(alpha, df) - 1; }
static double below(double alpha, double df) { return 1 - df / cks_chi_squared_quantile(1 - alpha, df); }

static double square(double value) { return value * value; }

static double squares(const cks_mean_square *t, double alpha)
{
  double part = t->weight > 0 ? above(alpha, t->df) : below(alpha, t->df);
  return square(part * t->weight * t->ms);
}

/* Of one of positive weight and one of negative weight: with it the limit is exact for their ratio. */
static double product(const cks_mean_square *p, const cks_mean_square *n, double alpha)
{
  double f = cks_f_quantile(alpha, p->df, n->df);
  double part = (square(1 - f) - square(above(alpha, p->df) * f) - square(below(alpha, n->df))) / f;
  return part * p->weight * -n->weight * p->ms * n->ms;
}

/* Of two of negative weight, among `n` of them: with it the limit is exact for two that are pooled by their df. */
static double pooled(const cks_mean_square *a, const cks_mean_square *b, size_t n, double alpha)
{
  double df = a->df + b->df;
  double part =
      square(below(alpha, df) * df) - square(below(alpha, a->df) * a->df) - square(below(alpha, b->df) * b->df);
  return part / (a->df * b->df) * a->weight * b->weight * a->ms * b->ms / ((double)n - 1);
}

double cks_mean_squares_upper(size_t n, const cks_mean_square *term, double alpha)
{
  double estimate = 0, spread = 0;
  size_t n_negative = 0;
  for (size_t i = 0; i < n; i++) n_negative += term[i].weight < 0;
  for (size_t i = 0; i < n; i++) {
    estimate += term[i].weight * term[i].ms;
    spread += squares(&term[i], alpha);
    for (size_t k = 0; k < n; k++) {
      if (term[i].weight > 0 && term[k].weight < 0) spread += product(&term[i], &term[k], alpha);
      if (i < k && term[i].weight < 0 && term[k].weight < 0) spread += pooled(&term[i], &term[k], n_negative, alpha);
    }
  }
  return estimate + sqrt(spread < 0 ? 0 : spread);
}
