/* wald.h: are the means of a spread alike? */
#ifndef CKS_ANALYZE_WALD_H
#define CKS_ANALYZE_WALD_H

#include "spread.h"

enum { CKS_MOST_WALD = 2000 }; /* classes of a spread: the system is dense, 32 MB at this size */

/* Wald's quadratic form d' V^-1 d of the n - 1 differences from one mean, in units of the error variance: over (n - 1)
 * and the error mean square an exact F (Searle 1971, Linear Models, section 3.6: the general linear hypothesis). With
 * equal SEDs it is sum (m_i - mean)^2 / (pair / 2). mean: size spread->n. Missing where the spread has more than
 * CKS_MOST_WALD classes, or fewer than two means. CKS_NUMERIC, CKS_NOMEM. */
cks_status cks_wald(const cks_spread *spread, const double *mean, double *form, cks_error *error);

#endif
