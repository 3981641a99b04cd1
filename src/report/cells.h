/* cells.h: the cells of a report's tables: each value beside its text as printed. */
#ifndef CKS_REPORT_CELLS_H
#define CKS_REPORT_CELLS_H

#include "draft.h"

cks_cell cks_cell_number(cks_draft *draft, double value, int digits); /* a missing value: cks_cell_missing() */
cks_cell cks_cell_given(cks_draft *draft, double value, int digits);  /* the same; blank where there is none */
cks_cell cks_cell_hybrid(cks_draft *draft, cks_id hybrid);            /* brand and name, a check marked as one */
/* Of a hybrid's line in an analysis: a dash where it has no line, blank where it has one that is not to have a mean. */
cks_cell cks_cell_mean(cks_draft *draft, const cks_hybrid_result *line, int digits);
cks_cell cks_cell_count(cks_draft *draft, size_t count);
cks_cell cks_cell_text(const char *text); /* of the arena; "" is an empty cell */
cks_cell cks_cell_missing(void);          /* should have a value and has none: a dash */
cks_cell cks_cell_none(void);             /* none is meant to be here: blank */
/* A figure of a table of analysis: `figures` significant ones, at most 6 decimals; blank when there is none. */
cks_cell cks_cell_figure(cks_draft *draft, double value, int figures);
cks_cell cks_cell_df(cks_draft *draft, double df); /* a whole number where it is one */
cks_cell cks_cell_p(cks_draft *draft, double p);   /* "0.003", "<0.001"; blank when not tested */

/* Nothing happens when table is NULL. */
void cks_cell_put(cks_report_table *table, size_t row, size_t column, cks_cell cell);

#endif
