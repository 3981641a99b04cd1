/*
 * left_out.h: how many hybrids as good as the best a comparison of each pair by itself leaves out of the top group.
 *
 * g hybrids of one true mean, every difference with the same SED on df degrees of freedom; a hybrid is out when the
 * best observed mean is more than t SEDs above its own. The share is that of the g - 1 others beside the one that
 * came out best, nothing else given (an F test is not waited for: where real differences make F significant, it holds
 * nothing back). With means over their standard error, u = t sqrt(2) s, s = sqrt(chi^2 / df): given that the best is
 * at z, each other is a normal cut off at z and is out with probability Phi(z - u) / Phi(z), so
 *   share = integral over s of f(s) [integral of g phi(z) Phi(z)^(g-1) Phi(z - u) / Phi(z) dz] ds
 * (derived here). Two checks: g = 2 gives P(|T| > t), alpha itself. And one given hybrid of the g, which may be the
 * best one itself, is out with probability share x (g - 1) / g, which is the upper tail at t of Dunnett's one-sided
 * comparisons of g - 1 means with one (Dunnett 1955, J. Am. Stat. Assoc. 50:1096; cks_profile_dunnett()).
 *
 * Which g: as many as are tied for the best; clearly poorer hybrids play no part but in df. How many are tied is not
 * known, and the share grows with g (the best of more is further out): the number of hybrids of the trial gives the
 * upper case, all equal; g = 2, one rival, the lower, alpha. Anything between is true of some trial.
 */
#ifndef CKS_MATH_LEFT_OUT_H
#define CKS_MATH_LEFT_OUT_H

#include <stddef.h>

/* In [0, 1]; t the critical value as a multiple of a SED, t >= 0; df > 0, infinite: sigma known. Good to 1e-9 for g up
 * to 1,000 and 1e-7 up to 100,000, both at df 1; from 5 df on to 1e-13. Some 0.2 ms. Missing when g < 2 or an argument
 * has no answer. */
double cks_left_out_share(size_t g, double df, double t);

#endif
