/* strips.h: yields of strips held against the check strips on either side: --strip-adjustment. */
#ifndef CKS_ANALYZE_STRIPS_H
#define CKS_ANALYZE_STRIPS_H

#include "analyze.h"

/* CKS_USAGE where the settings ask for an adjustment that these data cannot have: no yield, no order, no check. */
cks_status cks_strips_check(const cks_task *task);
/* Replaces values.shown of yield and fills result.strips; before the scale of the tests is settled. Adds the findings
 * of few check strips. CKS_USAGE where no place has check strips enough, and for shrunken at one farm. */
cks_status cks_strips_adjust(cks_trait_task *work);
/* "yields adjusted by 3 strips of the check Quarter 7", in the arena of the results; NULL: they are not adjusted. */
const char *cks_strips_note(const cks_trait_task *work, cks_id environment);
/* Fills mean_unadjusted of every row of the finished result and makes raw_mean that of the unadjusted plots, from
 * the same analyses of the unadjusted values (the result itself where they are that); notes what was adjusted. */
void cks_strips_beside(const cks_trait_task *work, const cks_trait_result *unadjusted);

#endif
