/*
 * critical.h: the critical values of the comparisons, as multiples of a pair's SED.
 */
#ifndef CKS_ANALYZE_CRITICAL_H
#define CKS_ANALYZE_CRITICAL_H

#include "analyze.h"

/* Distributions already made in this run: places of one series ask for the same ones. */
cks_critical_cache *cks_critical_cache_new(void); /* NULL: out of memory */
void cks_critical_cache_free(cks_critical_cache *cache);

/* All pairs of g means: t, Tukey's q / sqrt(2) (Tukey-Kramer where SEDs differ: Kramer 1956, Biometrics 12:307) or
 * Bonferroni's t over g(g-1)/2 pairs. */
cks_status cks_critical_pairs(const cks_task *task, cks_comparison comparison, size_t g, double df, double *value);
/* Every mean of the spread against `one`: Dunnett's value; where the correlations are not of product form within 1e-8,
 * Sidak's t over g - 1 comparisons, and *product is false. */
cks_status cks_critical_against(const cks_task *task, const cks_spread *spread, size_t one, double df, bool two_sided,
                                double *value, bool *product);

#endif
