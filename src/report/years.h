/* years.h: means over the last years: a table a trait, and a line that points at it. */
#ifndef CKS_REPORT_YEARS_H
#define CKS_REPORT_YEARS_H

#include "draft.h"

/* The last year beside the last two and three; nothing when the trait has values of one year. */
void cks_years_add(cks_draft *draft, cks_section *section, const cks_trait_result *trait);
/* "Means of the last 2 years (4 places, 6 hybrids) stand in the full tables (--full)."; "" when there are none. */
const char *cks_years_line(cks_draft *draft, const cks_trait_result *trait);

#endif
