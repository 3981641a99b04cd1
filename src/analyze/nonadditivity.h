/*
 * nonadditivity.h: do hybrids and reps add up, or does the good rep help the good hybrids more? Tukey's one degree of
 * freedom for non-additivity (Tukey 1949, Biometrics 5:232).
 *
 * Of the error SS the part that goes with the product of the fitted hybrid and rep effects is split off:
 * z_p = (hybrid effect) x (rep effect), freed of hybrids and reps by the fit of values; SS = (sum z e)^2 / sum z^2, on 1
 * df; F is over the remainder, on one error df less. Given the fitted values z is fixed and the residuals do not depend
 * on it, so F is exact under additive normal errors, also with lost plots and unequal replication (Milliken & Graybill
 * 1970, J. Am. Stat. Assoc. 65:797). In complete blocks z needs no freeing and SS is Tukey's N^2 / (sum A^2 sum B^2).
 */
#ifndef CKS_ANALYZE_NONADDITIVITY_H
#define CKS_ANALYZE_NONADDITIVITY_H

#include "least_squares.h"

typedef struct {
  double ss, f, df, p; /* f on 1 and df; missing when there is no answer */
  const char *why;     /* then: a sentence; else "" */
} cks_nonadditivity;

/* y: size layout->n, the values that `fit` is of; the fit is connected and its model rep + hybrid. */
cks_status cks_nonadditivity_test(const cks_layout *layout, const double *y, const cks_fit *fit, cks_arena *scratch,
                                  cks_nonadditivity *test, cks_error *error);

#endif
