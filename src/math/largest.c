/* largest.c: see largest.h. */
#include "largest.h"

#include <gsl/gsl_integration.h>
#include <math.h>

enum {
  POINTS = 16,        /* of Gauss-Legendre on each panel of z or s */
  MOST_HALVINGS = 40, /* of the first panel of s, where s^(df-1) has no derivatives */
  MOST_STEPS = 200
};
static const double PI = 3.14159265358979323846;
static const double WIDTH = 0.5;      /* of a panel of u, and of z */
static const double FURTHEST_Z = 8.5; /* phi beyond it is below 1e-16 */
static const double TAIL = 1e-18;     /* H stops where 1 - H is below it */
static const double MOST_SPREAD = 12; /* of s about 1, in its standard deviations */
static const double SMOOTH_DF = 12;   /* from here on s^(df-1) has derivatives enough at 0 */
static const double CLOSE = 1e-13;    /* relative, of a quantile */

static double density(double z) { return exp(-0.5 * z * z) / sqrt(2 * PI); }
static double phi(double z) { return 0.5 * erfc(-z * M_SQRT1_2); }
/* Phi(b) - Phi(a), a <= b, without loss in either tail. */
static double between(double a, double b)
{
  return a > 0 ? 0.5 * (erfc(a * M_SQRT1_2) - erfc(b * M_SQRT1_2)) : phi(b) - phi(a);
}

/* ---- H ---------------------------------------------------------------------------------------------------------- */

typedef struct {
  gsl_integration_glfixed_table *rule;
  size_t k; /* range */
  size_t n_class;
  const cks_dunnett_class *classes;
  bool two_sided;
} shape;
typedef double beyond_of(const shape *s, double u); /* 1 - H(u) */

static double range_beyond(const shape *s, double w)
{
  double k = (double)s->k, sum = 0;
  for (double from = w / 2; from < w / 2 + FURTHEST_Z && from < FURTHEST_Z; from += WIDTH)
    for (size_t i = 0; i < POINTS; i++) {
      double z, weight;
      gsl_integration_glfixed_point(from, from + WIDTH, i, &z, &weight, s->rule);
      sum += weight * density(z) * pow(between(z - w, z), k - 1);
    }
  return 1 - pow(2 * phi(w / 2) - 1, k) - 2 * k * sum;
}

static double product(const shape *s, double z, double u)
{
  double log_product = 0;
  for (size_t i = 0; i < s->n_class; i++) {
    double lambda = s->classes[i].lambda, c = sqrt(1 - lambda * lambda);
    double upper = (lambda * z + u) / c;
    double p = s->two_sided ? between((lambda * z - u) / c, upper) : phi(upper);
    log_product += (double)s->classes[i].n * log(p);
  }
  return exp(log_product);
}

static double dunnett_beyond(const shape *s, double u)
{
  double sum = 0;
  for (double from = -FURTHEST_Z; from < FURTHEST_Z; from += WIDTH)
    for (size_t i = 0; i < POINTS; i++) {
      double z, weight;
      gsl_integration_glfixed_point(from, from + WIDTH, i, &z, &weight, s->rule);
      sum += weight * density(z) * product(s, z, u);
    }
  return 1 - sum;
}

/* ---- the profile ------------------------------------------------------------------------------------------------ */

/* Chebyshev coefficients of the panel from its values at the zeros of the next polynomial. */
static void fit_panel(const shape *s, beyond_of *beyond, double from, double width,
                      double coefficient[CKS_PROFILE_TERMS])
{
  double value[CKS_PROFILE_TERMS];
  enum { N = CKS_PROFILE_TERMS };
  for (int j = 0; j < N; j++) value[j] = beyond(s, from + width * 0.5 * (1 + cos(PI * (j + 0.5) / N)));
  for (int i = 0; i < N; i++) {
    double sum = 0;
    for (int j = 0; j < N; j++) sum += value[j] * cos(PI * i * (j + 0.5) / N);
    coefficient[i] = (i ? 2.0 : 1.0) / N * sum;
  }
}

/* u_end: where 1 - H is below TAIL. */
static cks_status make_profile(cks_profile *profile, shape *s, beyond_of *beyond, double u_end, cks_error *error)
{
  s->rule = gsl_integration_glfixed_table_alloc(POINTS);
  if (!s->rule) return cks_error_nomem(error);
  profile->n_panel = CKS_PROFILE_PANELS;
  profile->width = fmax(u_end, WIDTH) / CKS_PROFILE_PANELS;
  for (size_t p = 0; p < profile->n_panel; p++)
    fit_panel(s, beyond, (double)p * profile->width, profile->width, profile->coefficient[p]);
  gsl_integration_glfixed_table_free(s->rule);
  return CKS_OK;
}

/* The z with Q(z) about TAIL over `pairs`. */
static double far_out(double pairs) { return sqrt(2 * log(pairs / TAIL)); }

cks_status cks_profile_range(cks_profile *profile, size_t k, cks_error *error)
{
  shape s = {.k = k};
  return make_profile(profile, &s, range_beyond, M_SQRT2 * far_out((double)k * (double)k), error);
}

cks_status cks_profile_dunnett(cks_profile *profile, size_t n_class, const cks_dunnett_class *classes, bool two_sided,
                               cks_error *error)
{
  shape s = {.n_class = n_class, .classes = classes, .two_sided = two_sided};
  double n = 0;
  for (size_t i = 0; i < n_class; i++) n += (double)classes[i].n;
  return make_profile(profile, &s, dunnett_beyond, far_out(2 * n), error);
}

/* 1 - H(u) by Clenshaw's recurrence. */
static double beyond_at(const cks_profile *profile, double u)
{
  double place = u / profile->width, b1 = 0, b2 = 0;
  size_t p = (size_t)place;
  if (place >= (double)profile->n_panel) return 0;
  double x = 2 * (place - (double)p) - 1;
  for (int i = CKS_PROFILE_TERMS - 1; i > 0; i--) {
    double b = 2 * x * b1 - b2 + profile->coefficient[p][i];
    b2 = b1;
    b1 = b;
  }
  return x * b1 - b2 + profile->coefficient[p][0];
}

/* ---- mixed over s ----------------------------------------------------------------------------------------------- */

typedef struct {
  const cks_profile *profile;
  double q, df, log_constant;
} mixture;

/* log of 2 (df/2)^(df/2) / Gamma(df/2), taken apart so that large df keep their digits. */
static double log_constant(double df)
{
  double half = df / 2;
  if (half < 100) return log(2) + half * log(half) - lgamma(half);
  double inverse = 1 / half; /* Stirling's series of lgamma: Abramowitz & Stegun 6.1.41 */
  double rest = inverse * (1.0 / 12 - inverse * inverse * (1.0 / 360 - inverse * inverse / 1260));
  return log(2) + half + 0.5 * log(half / (2 * PI)) - rest;
}

/* f(s) (1 - H(q s)). f = exp(log_constant + (df - 1) log s - df s^2 / 2), about s = 1 where df is large. */
static double part(const mixture *m, double s)
{
  double d = s - 1, half = m->df / 2;
  double exponent = half < 100 ? m->log_constant + (m->df - 1) * log(s) - half * s * s
                               : m->log_constant - half + (m->df - 1) * log1p(d) - half * (2 * d + d * d);
  return exp(exponent) * beyond_at(m->profile, m->q * s);
}

static double integrate(const mixture *m, double from, double to, const gsl_integration_glfixed_table *rule)
{
  double sum = 0;
  for (size_t i = 0; i < POINTS; i++) {
    double s, weight;
    gsl_integration_glfixed_point(from, to, i, &s, &weight, rule);
    sum += weight * part(m, s);
  }
  return sum;
}

static double upper(const cks_profile *profile, double q, double df, const gsl_integration_glfixed_table *rule)
{
  if (isinf(df)) return beyond_at(profile, q);
  mixture m = {profile, q, df, log_constant(df)};
  double spread = 1 / sqrt(2 * df), end = profile->width * (double)profile->n_panel / q;
  double low = fmax(0, 1 - MOST_SPREAD * spread), high = fmin(1 + MOST_SPREAD * spread, end), sum = 0;
  if (!(low < high)) return 0;
  size_t n = (size_t)ceil((high - low) / fmin(spread, 1 / q));
  double step = (high - low) / (double)n;
  for (size_t i = 0; i < n; i++) {
    double from = low + (double)i * step, to = from + step;
    if (i == 0 && low == 0 && df < SMOOTH_DF) /* halve toward 0 */
      for (int h = 0; h < MOST_HALVINGS; h++, to = from + (to - from) / 2)
        sum += integrate(&m, from + (to - from) / 2, to, rule);
    else
      sum += integrate(&m, from, to, rule);
  }
  return fmin(fmax(sum, 0), 1);
}

double cks_profile_upper(const cks_profile *profile, double q, double df)
{
  if (!(q >= 0) || !(df > 0)) return cks_missing();
  if (q == 0) return 1;
  gsl_integration_glfixed_table *rule = gsl_integration_glfixed_table_alloc(POINTS);
  if (!rule) return cks_missing();
  double p = upper(profile, q, df, rule);
  gsl_integration_glfixed_table_free(rule);
  return p;
}

/* By doubling, then by the secant of log P over log q kept inside its bracket (Illinois). */
double cks_profile_quantile(const cks_profile *profile, double alpha, double df)
{
  if (!(alpha > 0 && alpha < 1) || !(df > 0)) return cks_missing();
  gsl_integration_glfixed_table *rule = gsl_integration_glfixed_table_alloc(POINTS);
  if (!rule) return cks_missing();
  double low = 1, high = 1, target = log(alpha);
  while (upper(profile, low, df, rule) < alpha && low > 1e-6) low /= 2;
  while (upper(profile, high, df, rule) > alpha && high < 1e12) high *= 2;
  double a = log(low), b = log(high), fa = log(upper(profile, low, df, rule)) - target,
         fb = log(fmax(upper(profile, high, df, rule), 1e-300)) - target;
  for (int i = 0; i < MOST_STEPS && b - a > CLOSE; i++) {
    double x = (a * fb - b * fa) / (fb - fa);
    if (!(x > a && x < b)) x = (a + b) / 2;
    double f = log(fmax(upper(profile, exp(x), df, rule), 1e-300)) - target;
    if (f > 0) {
      if (fa > 0 && x - a < (b - a) / 2) fb /= 2;
      a = x;
      fa = f;
    } else {
      if (b - x < (b - a) / 2) fa /= 2;
      b = x;
      fb = f;
    }
    if (f == 0) a = b = x;
  }
  gsl_integration_glfixed_table_free(rule);
  return exp((a + b) / 2);
}
