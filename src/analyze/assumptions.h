/*
 * assumptions.h: what an analysis of variance takes for granted, tested: additive effects and normal errors at one
 * place, equal error variances across places. Shown to researchers; nothing is changed or stopped by it.
 */
#ifndef CKS_ANALYZE_ASSUMPTIONS_H
#define CKS_ANALYZE_ASSUMPTIONS_H

#include "analyze.h"

/* A place with an analysis of variance. */
cks_status cks_assume_place(const cks_trait_task *work, const cks_place *place, cks_analysis *analysis);
/* The places of work that are tested by themselves. */
cks_status cks_assume_across(const cks_trait_task *work, cks_analysis *analysis);

#endif
