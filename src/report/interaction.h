/* interaction.h: what the tables of hybrids by environments and their charts share. */
#ifndef CKS_REPORT_INTERACTION_H
#define CKS_REPORT_INTERACTION_H

#include "chart.h"

/* Charts of a trait's interaction, for the workbook; the data join draft.chart_table. NULL: nothing to draw. */
const cks_chart *cks_chart_slopes(cks_draft *draft, const cks_trait_result *trait);
const cks_chart *cks_chart_stability(cks_draft *draft, const cks_trait_result *trait);
/* First two axes of the interaction, or of the site regression. */
const cks_chart *cks_chart_axes(cks_draft *draft, const cks_trait_result *trait, bool site);

#endif
