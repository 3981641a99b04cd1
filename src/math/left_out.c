/*
 * left_out.c: see left_out.h. Both integrals by the trapezoidal rule on the whole line, z and log s being its
 * variables: its error falls off exponentially for functions as smooth as these (Trefethen & Weideman 2014, SIAM Rev.
 * 56:385). Each is divided by the sum of its weights, so that no density needs its constant.
 */
#include "left_out.h"

#include <checkstrip/base.h>

#include <math.h>

enum { MOST_Z = 150 };             /* 2 x FURTHEST_Z / STEP_Z and some */
static const double FURTHEST_Z = 9; /* phi beyond it is below 1e-18 */
static const double STEP_Z = 0.125;
static const double STEPS_LOG_S = 4; /* in 1 / sqrt(2 df), the standard deviation of log s where df is large */
static const double NOTHING = 1e-18; /* weights below it, relative to the largest, are left out */

static double phi(double z) { return 0.5 * erfc(-z * M_SQRT1_2); }

/* The best of g means at z[i] with weight[i] (their sum is 1), over Phi(z[i]). */
typedef struct {
  size_t n;
  double z[MOST_Z], weight[MOST_Z];
} best_mean;

static void place_best(size_t g, best_mean *b)
{
  double sum = 0;
  b->n = 0;
  for (double z = -FURTHEST_Z; z <= FURTHEST_Z; z += STEP_Z) {
    double log_phi = z < 0 ? log(phi(z)) : log1p(-phi(-z));
    double weight = exp(((double)g - 1) * log_phi - z * z / 2);
    if (weight < NOTHING) continue;
    b->z[b->n] = z;
    b->weight[b->n++] = weight / exp(log_phi);
    sum += weight;
  }
  for (size_t i = 0; i < b->n; i++) b->weight[i] /= sum;
}

static double share_at(const best_mean *b, double u)
{
  double share = 0;
  for (size_t i = 0; i < b->n; i++) share += b->weight[i] * phi(b->z[i] - u);
  return share;
}

double cks_left_out_share(size_t g, double df, double t)
{
  best_mean best;
  double u = t * M_SQRT2, sum = 0, weights = 0;
  if (g < 2 || !(df > 0) || !(t >= 0)) return cks_missing();
  place_best(g, &best);
  if (isinf(df) || isinf(t)) return share_at(&best, u);
  double step = 1 / (STEPS_LOG_S * sqrt(2 * df));
  for (int side = -1; side <= 1; side += 2) /* from the mode, s = 1, down and then up */
    for (size_t i = side < 0;; i++) {
      double w = side * (double)i * step, weight = exp(df * (w - expm1(2 * w) / 2));
      if (weight < NOTHING) break;
      weights += weight;
      sum += weight * share_at(&best, u * exp(w));
    }
  return fmin(fmax(sum / weights, 0), 1);
}
