/*
 * distributions.c: see distributions.h. The functions are GSL's; they report trouble by what they return, which is
 * looked at here. A quantile is polished by one Newton step on the tail probability.
 */
#include "distributions.h"

#include <checkstrip/base.h>

#include <float.h>
#include <gsl/gsl_cdf.h>
#include <gsl/gsl_randist.h>
#include <math.h>

double cks_t_critical(double alpha, double df)
{
  if (!(alpha > 0 && alpha < 1) || !(df > 0)) return cks_missing();
  double t = gsl_cdf_tdist_Qinv(alpha / 2, df);
  if (!isfinite(t)) return cks_missing();
  double step = (gsl_cdf_tdist_Q(t, df) - alpha / 2) / gsl_ran_tdist_pdf(t, df);
  return isfinite(step) ? t + step : t;
}

double cks_t_p(double t, double df)
{
  if (isnan(t) || !(df > 0)) return cks_missing();
  double p = 2 * gsl_cdf_tdist_Q(fabs(t), df);
  return isfinite(p) ? fmin(p, 1) : cks_missing();
}

double cks_f_p(double f, double df1, double df2)
{
  if (!(f >= 0) || !(df1 > 0) || !(df2 > 0)) return cks_missing();
  if (isinf(f)) return 0;
  double p = gsl_cdf_fdist_Q(f, df1, df2);
  return isfinite(p) ? p : cks_missing();
}

double cks_f_quantile(double p, double df1, double df2)
{
  if (!(p > 0 && p < 1) || !(df1 > 0) || !(df2 > 0)) return cks_missing();
  double f = gsl_cdf_fdist_Pinv(p, df1, df2);
  if (!isfinite(f)) return cks_missing();
  double step = (gsl_cdf_fdist_P(f, df1, df2) - p) / gsl_ran_fdist_pdf(f, df1, df2);
  return isfinite(step) ? f - step : f;
}

double cks_chi_squared_p(double x, double df)
{
  if (!(x >= 0) || !(df > 0)) return cks_missing();
  if (isinf(x)) return 0;
  double p = gsl_cdf_chisq_Q(x, df);
  return isfinite(p) ? p : cks_missing();
}

double cks_chi_squared_quantile(double p, double df)
{
  if (!(p > 0 && p < 1) || !(df > 0)) return cks_missing();
  double x = gsl_cdf_chisq_Pinv(p, df);
  if (!isfinite(x)) return cks_missing();
  double step = (gsl_cdf_chisq_P(x, df) - p) / gsl_ran_chisq_pdf(x, df);
  return isfinite(step) ? x - step : x;
}

double cks_sign_p(unsigned wins, unsigned losses)
{
  unsigned n = wins + losses;
  if (!n) return cks_missing();
  double p = 2 * gsl_cdf_binomial_P(wins < losses ? wins : losses, 0.5, n);
  if (n < DBL_MANT_DIG) p = ldexp(nearbyint(ldexp(p, (int)n - 1)), 1 - (int)n); /* a whole number of 2^(1-n) */
  return isfinite(p) ? fmin(p, 1) : cks_missing();
}
