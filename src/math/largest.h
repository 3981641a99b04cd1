/*
 * largest.h: the distribution of the largest of several differences over one standard deviation: the studentized range
 * (Tukey) and Dunnett's comparisons with one mean, by quadrature.
 *
 * Both have the form P(Q <= q) = integral of H(q s) f(s) ds, where f is the density of s = sqrt(chi^2 / df) and H the
 * distribution when the standard deviation is known. H depends on the number of means alone: it is held as a profile, made
 * once, so that probabilities and quantiles at any df are cheap.
 *   studentized range of k means (Copenhaver & Holland 1988, J. Stat. Comput. Simul. 30:1):
 *     H(w) = (2 Phi(w/2) - 1)^k + 2 k integral from w/2 of phi(z) (Phi(z) - Phi(z - w))^(k-1) dz
 *   Dunnett (1955, J. Am. Stat. Assoc. 50:1096), correlations rho_ij = lambda_i lambda_j:
 *     H(u) = integral of phi(z) prod_i [Phi((lambda_i z + u) / c_i) - Phi((lambda_i z - u) / c_i)] dz, c_i^2 = 1 -
 *     lambda_i^2; one-sided without the second Phi.
 * Time is bounded and grows neither with k nor with df: a profile takes 12 ms (range), 25 ms (one-sided) or 40 ms
 * (two-sided) for each class, a quantile 0.7 ms and 5 at worst (k 2 to 200, df 1 to infinite, alpha .2 to .00001, as
 * measured on one core).
 *
 * 1 - H is kept as piecewise Chebyshev series. Probabilities are good to 1e-10, quantiles to 1e-8 relative.
 */
#ifndef CKS_MATH_LARGEST_H
#define CKS_MATH_LARGEST_H

#include <checkstrip/base.h>

enum { CKS_PROFILE_PANELS = 40, CKS_PROFILE_TERMS = 16 };

typedef struct {
  size_t n_panel;
  double width;                                              /* of a panel, in u */
  double coefficient[CKS_PROFILE_PANELS][CKS_PROFILE_TERMS]; /* Chebyshev, of 1 - H on each panel from u = 0 on */
} cks_profile;

/* n treatments whose estimates correlate with the check's part as lambda: lambda^2 = r / (r + r_0), r plots of the
 * treatment, r_0 of the check; 1/2 when replication is equal. */
typedef struct {
  size_t n;
  double lambda; /* in (0, 1) */
} cks_dunnett_class;

/* k >= 2 means. CKS_NOMEM. */
cks_status cks_profile_range(cks_profile *profile, size_t k, cks_error *error);
/* CKS_NOMEM. */
cks_status cks_profile_dunnett(cks_profile *profile, size_t n_class, const cks_dunnett_class *classes, bool two_sided,
                               cks_error *error);
/* P(Q > q) on df degrees of freedom (infinite: sigma known); q >= 0, df > 0. */
double cks_profile_upper(const cks_profile *profile, double q, double df);
/* q such that P(Q > q) = alpha, 0 < alpha < 1 (Dunnett one-sided: below 1/2); missing when there is none. */
double cks_profile_quantile(const cks_profile *profile, double alpha, double df);

#endif
