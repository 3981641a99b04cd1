/*
 * normality.c: see normality.h.
 *
 * Key: m_i = expected normal order statistics by Blom's formula, Phi^-1((i - 3/8) / (n + 1/4)); a_i the weights of the
 * ordered values, antisymmetric, sum of squares 1; u = 1/sqrt(n). The outer one or two weights are polynomials in u on
 * top of m / |m|, the rest share what is left of the sum of squares. 1 - W is turned into a normal deviate.
 */
#include "normality.h"

#include "sums.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

/* Polynomials of Royston 1995, ascending powers. */
static const double OUTER[] = {0, 0.221157, -0.147981, -2.071190, 4.434685, -2.706056};  /* of u: added for a_n */
static const double SECOND[] = {0, 0.042981, -0.293762, -1.752461, 5.682633, -3.582633}; /* of u: for a_(n-1) */
static const double SMALL_GAMMA[] = {-2.273, 0.459};                                     /* of n, 4 <= n <= 11 */
static const double SMALL_MEAN[] = {0.5440, -0.39978, 0.025054, -0.0006714};
static const double SMALL_LOG_SD[] = {1.3822, -0.77857, 0.062767, -0.0020322};
static const double LARGE_MEAN[] = {-1.5861, -0.31082, -0.083751, 0.0038915}; /* of log n, n >= 12 */
static const double LARGE_LOG_SD[] = {-0.4803, -0.082676, 0.0030302};
enum { MOST_WITH_ONE = 5, MOST_SMALL = 11 }; /* n up to which only a_n is a polynomial; up to which n itself is used */

#define COUNT(array) (sizeof(array) / sizeof *(array))

static double polynomial(size_t n, const double *coefficient, double x)
{
  double value = 0;
  for (size_t i = n; i-- > 0;) value = value * x + coefficient[i];
  return value;
}

/* a: size n / 2, weights of the upper half from the largest value down. n >= 3. */
static void fill_weights(size_t n, double *a)
{
  size_t half = n / 2, fixed = n <= MOST_WITH_ONE ? 1 : 2;
  if (n == 3) {
    a[0] = M_SQRT1_2;
    return;
  }
  cks_sum squares = {0};
  for (size_t i = 0; i < half; i++) {
    a[i] = gsl_cdf_ugaussian_Qinv(((double)i + 1 - 0.375) / ((double)n + 0.25));
    cks_sum_add(&squares, 2 * a[i] * a[i]);
  }
  double all = cks_sum_value(&squares), size = sqrt(all), u = 1 / sqrt((double)n);
  double outer[] = {a[0] / size + polynomial(COUNT(OUTER), OUTER, u),
                    fixed > 1 ? a[1] / size + polynomial(COUNT(SECOND), SECOND, u) : 0};
  double left = all, share = 1;
  for (size_t i = 0; i < fixed; i++) {
    left -= 2 * a[i] * a[i];
    share -= 2 * outer[i] * outer[i];
    a[i] = outer[i];
  }
  for (size_t i = fixed; i < half; i++) a[i] /= sqrt(left / share);
}

/* one_less: 1 - W. */
static double p_of(size_t n, double one_less)
{
  if (n == 3) {
    const double smallest = 0.75; /* W of three values is never below it */
    double p = 6 / M_PI * (asin(sqrt(1 - one_less)) - asin(sqrt(smallest)));
    return fmin(fmax(p, 0), 1);
  }
  double x = (double)n, deviate = log(one_less), mean, sd;
  if (n <= MOST_SMALL) {
    double gamma = polynomial(COUNT(SMALL_GAMMA), SMALL_GAMMA, x);
    if (deviate >= gamma) return 0;
    deviate = -log(gamma - deviate);
    mean = polynomial(COUNT(SMALL_MEAN), SMALL_MEAN, x);
    sd = exp(polynomial(COUNT(SMALL_LOG_SD), SMALL_LOG_SD, x));
  } else {
    mean = polynomial(COUNT(LARGE_MEAN), LARGE_MEAN, log(x));
    sd = exp(polynomial(COUNT(LARGE_LOG_SD), LARGE_LOG_SD, log(x)));
  }
  return gsl_cdf_ugaussian_Q((deviate - mean) / sd);
}

cks_normality cks_shapiro_wilk(size_t n, const double *sorted, double *room)
{
  cks_normality none = {cks_missing(), cks_missing()};
  if (n < CKS_NORMALITY_FEWEST || n > CKS_NORMALITY_MOST) return none;
  double range = sorted[n - 1] - sorted[0]; /* W has no unit, and the sums no overflow */
  if (!(range > 0) || !isfinite(range)) return none;
  cks_sum mean = {0}, squares = {0}, product = {0};
  for (size_t i = 0; i < n; i++) cks_sum_add(&mean, (sorted[i] - sorted[0]) / range / (double)n);
  for (size_t i = 0; i < n; i++) {
    double from_mean = (sorted[i] - sorted[0]) / range - cks_sum_value(&mean);
    cks_sum_add(&squares, from_mean * from_mean);
  }
  fill_weights(n, room);
  for (size_t i = 0; i < n / 2; i++) cks_sum_add(&product, room[i] * ((sorted[n - 1 - i] - sorted[i]) / range));
  /* 1 - W = (SS - b^2) / SS, so that W near 1 keeps its digits */
  double size = sqrt(cks_sum_value(&squares)), b = cks_sum_value(&product);
  double one_less = fmax((size - b) * (size + b) / (size * size), 0);
  return (cks_normality){1 - one_less, p_of(n, one_less)};
}
