/* nonadditivity.c: see nonadditivity.h. */
#include "nonadditivity.h"

#include "../math/distributions.h"
#include "../math/sums.h"

#include <math.h>

/* Effects as small as this part of the largest deviation are rounding of none; so is a remainder, squared. */
static const double ROUNDING = 1e-12;
/* What freeing leaves of z, at most 1 in size, when hybrids and reps account for all of it. */
static const double NOTHING_LEFT = 1e-10;

/* z (size n): product of the effects, each in parts of the largest; false when there is nothing to multiply. */
static bool fill_products(const cks_layout *l, const cks_fit *fit, double *z)
{
  double grand = cks_sum_of(l->n_hybrid, fit->mean) / (double)l->n_hybrid, hybrid = 0, rep = 0;
  for (size_t p = 0; p < l->n; p++) {
    double mean = fit->mean[l->hybrid[p]];
    hybrid = fmax(hybrid, fabs(mean - grand));
    rep = fmax(rep, fabs(fit->fitted[p] - mean));
  }
  if (!(hybrid > ROUNDING * fit->largest) || !(rep > ROUNDING * fit->largest)) return false;
  for (size_t p = 0; p < l->n; p++) {
    double mean = fit->mean[l->hybrid[p]];
    z[p] = (mean - grand) / hybrid * ((fit->fitted[p] - mean) / rep);
  }
  return true;
}

cks_status cks_nonadditivity_test(const cks_layout *l, const double *y, const cks_fit *fit, cks_arena *scratch,
                                  cks_nonadditivity *test, cks_error *error)
{
  double none = cks_missing();
  *test = (cks_nonadditivity){none, none, none, none, "fewer than 2 error df"};
  if (fit->df_error < 2) return CKS_OK;
  double *z = cks_arena_take(scratch, l->n, sizeof *z);
  if (!z) return cks_error_nomem(error);
  test->why = "hybrids alike or reps alike: no product to look at";
  if (!fill_products(l, fit, z)) return CKS_OK;
  if (!fit->balanced) {
    cks_fit of_z;
    cks_status status = cks_fit_two_way(l, z, scratch, &of_z, error);
    if (status != CKS_OK) return status;
    for (size_t p = 0; p < l->n; p++) z[p] -= of_z.fitted[p];
  }
  cks_sum product = {0}, squares = {0}, remainder = {0};
  for (size_t p = 0; p < l->n; p++) {
    cks_sum_add(&product, z[p] * (y[p] - fit->fitted[p]));
    cks_sum_add(&squares, z[p] * z[p]);
  }
  double zz = cks_sum_value(&squares), n = (double)l->n;
  if (!(zz > n * NOTHING_LEFT * NOTHING_LEFT)) return CKS_OK;
  double slope = cks_sum_value(&product) / zz;
  for (size_t p = 0; p < l->n; p++) {
    double left = y[p] - fit->fitted[p] - slope * z[p];
    cks_sum_add(&remainder, left * left);
  }
  double size = ROUNDING * fit->largest, df = fit->df_error - 1, ms = cks_sum_value(&remainder) / df;
  test->why =
      "the product of hybrids and reps accounts for the whole error: not additive, and nothing is left to test with";
  if (!(ms * df > n * size * size)) return CKS_OK;
  double ss = slope * slope * zz, f = ss / ms;
  *test = (cks_nonadditivity){ss, f, df, cks_f_p(f, 1, df), ""};
  return CKS_OK;
}
