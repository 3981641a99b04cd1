/*
 * compare.h: from means to what may be said of them: SED, LSD, ranks, letters, top group, percent of mean and of
 * checks.
 */
#ifndef CKS_ANALYZE_COMPARE_H
#define CKS_ANALYZE_COMPARE_H

#include "analyze.h"

typedef struct {
  const double *tested;      /* size n_hybrid, local order: means on the scale that is tested */
  const cks_spread *spread;  /* NULL: nothing is tested, the means stand alone */
  double error_ms, df;       /* of the comparison */
  double test_ms, test_df;   /* what F is over */
  double other_ms, other_df; /* a group's F: over this instead where that is less sure; ms 0: no choice */
} cks_contest;

/* Takes an analysis whose rows stand in local order with hybrid, n, mean and raw_mean, whose alpha, f, p, significant
 * and protected_rule are set; fills the rest of the rows and the figures of the comparison, and puts the rows in print
 * order. Fisher's LSD, protected by the F test unless protected_rule is off. Different: |difference| > t x the pair's
 * own SED. With --by-group ranks, letters, top group and what is found are each group's own, see by_group.c. */
cks_status cks_compare(const cks_trait_task *work, const cks_contest *contest, cks_analysis *analysis);
/* A check with which nothing is compared. */
cks_vs_check cks_vs_nothing(cks_id check);

#endif
