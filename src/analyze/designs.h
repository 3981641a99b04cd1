/*
 * designs.h: two designs that place.c asks after before it takes a place as blocks: the latin square, and single plots
 * with repeated checks.
 */
#ifndef CKS_ANALYZE_DESIGNS_H
#define CKS_ANALYZE_DESIGNS_H

#include "analyze.h"

/* ---- latin square ----------------------------------------------------------------------------------------------- */

typedef struct {
  bool found;             /* the plot list of the place is a latin square, or one short of a few plots */
  const char *note;       /* "" or why what looks like one is none */
  uint32_t *row, *column; /* size layout.n, of the plots with a value: 0 .. n_row - 1, ...; NULL when not found */
  size_t n_row, n_column;
} cks_square;

cks_status cks_square_find(const cks_trait_task *work, const cks_place *place, cks_square *square);

/* ---- single plots with repeated checks -------------------------------------------------------------------------- */

/* True when every hybrid that is no check has one plot here and some check has several. place: layout.hybrid and
 * n_hybrid, hybrid_id. */
bool cks_check_plots_are(const cks_trait_task *work, const cks_place *place);
/* The finest blocks that all plots have (block within rep, block, or rep), numbered: size layout.n. *n_level 0: none. */
cks_status cks_check_plots_blocks(const cks_trait_task *work, const cks_place *place, uint32_t **level,
                                  size_t *n_level);
/* No two plots of the repeated checks stand in one block. */
bool cks_check_plots_apart(const cks_trait_task *work, const cks_place *place, const uint32_t *level, size_t n_level);
/* Why these checks give no error for a SED, a sentence; NULL: they do. */
const char *cks_check_plots_lack(const cks_trait_task *work, const cks_place *place);
/* Their table (rep, check, error, total: of the check plots alone), CV, SED and standard errors, in an analysis whose
 * rows stand in local order. Nothing else: see check_plots.c. */
cks_status cks_check_plots_fill(const cks_trait_task *work, const cks_place *place, cks_analysis *analysis);

/* ---- incomplete blocks ------------------------------------------------------------------------------------------ */

/* The place with its blocks for reps, all fixed: the intrablock fit; good: it leaves an error, ties all hybrids together, and is
 * not too large to be worked out. */
cks_status cks_blocks_fit(const cks_trait_task *work, const cks_place *place, cks_place *blocks, bool *good);
/* Of a tested place with blocks: everything that cks_mixed_analyze fills, efficiency and the intrablock table. *done false:
 * the model found no fit, and the analysis is to be that of the reps. */
cks_status cks_blocks_analyze(const cks_trait_task *work, const cks_place *place, cks_analysis *analysis, bool *done);

/* location.c: a line of a table, tested over its error. */
cks_anova_line cks_anova_tested(const char *source, double df, double ss, double error_ms, double error_df);

#endif
