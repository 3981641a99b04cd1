/* interaction.h: the tables of hybrids by environments and their charts, which interaction.c puts into one section. */
#ifndef CKS_REPORT_INTERACTION_H
#define CKS_REPORT_INTERACTION_H

#include "chart.h"

/* Of a trait with an interaction that has no `why`. NULL: nothing to show, or out of memory. */
cks_report_table *cks_table_stability(cks_draft *draft, const cks_trait_result *trait);
cks_report_table *cks_table_environments(cks_draft *draft, const cks_trait_result *trait);
cks_report_table *cks_table_sides(cks_draft *draft, const cks_trait_result *trait); /* pairs that change sides */
/* Axes of the interaction, or of the site regression; the scores on them. */
cks_report_table *cks_table_axes(cks_draft *draft, const cks_trait_result *trait, bool site);
cks_report_table *cks_table_scores(cks_draft *draft, const cks_trait_result *trait, bool site);
cks_report_table *cks_table_differences(cks_draft *draft, const cks_trait_result *trait); /* from environment means */
cks_report_table *cks_table_rank_correlation(cks_draft *draft, const cks_trait_result *trait);

/* Charts for the workbook; the data join draft.chart_table. */
const cks_chart *cks_chart_slopes(cks_draft *draft, const cks_trait_result *trait);
const cks_chart *cks_chart_stability(cks_draft *draft, const cks_trait_result *trait);
const cks_chart *cks_chart_axes(cks_draft *draft, const cks_trait_result *trait, bool site);

#endif
