/*
 * cells.h: a trait's hybrids x environments: adjusted means, what is missing, and hybrid + environment fitted to them.
 */
#ifndef CKS_ANALYZE_CELLS_H
#define CKS_ANALYZE_CELLS_H

#include "across.h"

typedef struct {
  const cks_trait_task *work; /* its places are the environments; hybrids set aside are not in them */
  size_t g, e;
  const uint32_t *hybrid;  /* size g: the trial's numbers, in the order of the analysis across */
  double *x;               /* g x e: adjusted means; NaN where a hybrid did not grow */
  uint32_t *local;         /* g x e: the hybrid's number at the place; CKS_NONE */
  uint32_t *cells, *grown; /* size g, e: cells with a value */
  size_t n_cell;
  bool complete;
  double *mean;            /* size g: of hybrid + environment by least squares, over all environments alike */
  double *index;           /* size e: the environments' effects, which sum to 0 */
  double grand, largest;   /* mean of `mean`; largest |x - grand| */
  double ss_left, df_left; /* what hybrid + environment leave over */
  size_t n_row, n_column;  /* of the largest complete part; 0: none of two by two */
  uint32_t *row, *column;  /* its hybrids and environments, ascending */
} cks_cells;

/* All of it lives in work's scratch. *why: a sentence when there is nothing to fill, and the cells are not to be used. */
cks_status cks_cells_new(const cks_trait_task *work, const cks_analysis *across, cks_cells *cells, const char **why);

/* ---- what is made of them --------------------------------------------------------------------------------------- */

/* slopes.c */
cks_status cks_slopes_fill(const cks_cells *cells, cks_interaction *interaction);
/* stability.c: ecovalence, stability variance, superiority, non-additivity; the best and the rank correlations. */
cks_status cks_stability_fill(const cks_cells *cells, cks_interaction *interaction);
/* axes.c */
cks_status cks_axes_fill(const cks_cells *cells, cks_interaction *interaction);
/* verdict.c: needs cks_axes_fill() no more than the others. */
cks_status cks_verdict_fill(const cks_cells *cells, cks_interaction *interaction);
/* maturity.c: of days to mid-bloom: result.maturity; needs cks_slopes_fill(). */
cks_status cks_maturity_fill(const cks_cells *cells, const cks_interaction *interaction);
/* bloom_heat.c: the same in heat units, where there is weather. */
cks_status cks_bloom_heat_fill(const cks_cells *cells, cks_maturity *maturity);

#endif
