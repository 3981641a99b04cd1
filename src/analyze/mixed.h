/*
 * mixed.h: plots handed to the REML engine (math/reml.h), and what comes back put into an analysis: of a series of
 * environments (across_mixed.c), or of one place with incomplete blocks (blocks.c).
 */
#ifndef CKS_ANALYZE_MIXED_H
#define CKS_ANALYZE_MIXED_H

#include "analyze.h"

#include "../math/reml.h"

/* The plots in local numbers, all in the scratch. */
typedef struct {
  size_t n, n_hybrid, n_environment;
  size_t n_ranked;                      /* the first so many hybrids are ranked; the others' means stand behind them */
  const uint32_t *plot;                 /* size n: the trial's plots */
  const uint32_t *hybrid, *environment; /* size n: 0 .. n_hybrid - 1 as the rows of the analysis; 0 .. */
  const uint32_t *rep, *block;          /* size n: CKS_NONE where there is none */
  const uint32_t *location, *year;      /* size n_environment; NULL: no term crosses environments */
  const uint32_t *set_of; /* size n_hybrid: sets that hang together by checks alone, CKS_NONE the checks; NULL: one */
  cks_reml_model model;
} cks_mixed_plots;

/* What the components are called: sources of the schema. */
typedef struct {
  const char *environment, *rep, *block, *cell;
} cks_mixed_names;

/* Fits, and fills the analysis: rows' mean, se, shrunken and reliability, F, components, outcome, df_method, LSD and the
 * comparisons. The rows stand in local order with hybrid, n and environments; note and design are set. *done is false, and
 * why and the outcome say why, when the model gave no figures; then no row has a mean. plain_variance: NULL, or becomes the
 * mean variance of a difference. */
cks_status cks_mixed_analyze(const cks_trait_task *work, const cks_mixed_plots *plots, const cks_mixed_names *names,
                             cks_analysis *analysis, double *plain_variance, bool *done);

#endif
