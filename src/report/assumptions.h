/* assumptions.h: tests of assumptions for the page of analyses of variance (variance.c). */
#ifndef CKS_REPORT_ASSUMPTIONS_H
#define CKS_REPORT_ASSUMPTIONS_H

#include "draft.h"

/* A trait's table; nothing where nothing was tested. */
void cks_assumptions_add(cks_draft *draft, cks_section *section, const cks_trait_result *trait);
/* After the tables: what each of the tests used can and cannot say. */
void cks_assumptions_explain(cks_draft *draft, cks_section *section);

#endif
