/* strips.h: strips at farms: what is said of yields that --strip-adjustment holds against check strips, and rows in the
 * order of the strips. */
#ifndef CKS_REPORT_STRIPS_H
#define CKS_REPORT_STRIPS_H

#include "standing.h"

/* "Yields are adjusted by check strips (difference)."; "" where they are not. */
const char *cks_strips_basis(cks_draft *draft, const cks_trait_result *trait);
/* By which check, at how many places, the share taken off, what speaks against it; that an adjustment that was asked is
 * not used, and why. "" when none was asked. */
const char *cks_strips_words(cks_draft *draft, const cks_trait_result *trait);
/* The same in short, for whoever stands in a field. */
const char *cks_strips_short(cks_draft *draft, const cks_trait_result *trait);
/* Heads a column of adjusted means, or of those without the adjustment. */
void cks_strips_head(cks_draft *draft, const cks_trait_result *trait, bool unadjusted, cks_report_column *heading);
/* Of a place where entries stand once and nothing is compared: rows in the order across the field, one a strip with
 * values of its own. True where that was done: each plot has a number that no other has, and there are no groups. */
bool cks_strips_rows(cks_draft *draft, cks_plan *plan);

#endif
