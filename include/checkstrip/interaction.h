/*
 * interaction.h: how the hybrids of a trait answer to its environments: a line of each over the environment means, figures
 * of stability, axes of the interaction, pairs that change sides, and the verdict whether one ranking serves.
 *
 * X_ij is the adjusted mean of hybrid i in environment j, as shown; of percents that are tested on another scale it is on
 * that scale, and so is every figure made from it. Hybrids set aside and places that stand apart (see cks_analysis) are not
 * in it. A figure that does not exist is NaN.
 */
#ifndef CHECKSTRIP_INTERACTION_H
#define CHECKSTRIP_INTERACTION_H

#include <checkstrip/trial.h>

typedef enum {
  CKS_VERDICT_NONE,        /* nothing to judge: why says so */
  CKS_VERDICT_CANNOT_TELL, /* neither of the two below */
  CKS_VERDICT_ONE_RANKING, /* the upper limit of interaction - hybrids / 2 is below 0 */
  CKS_VERDICT_CHANGES      /* interaction significant, and a pair changes sides */
} cks_verdict;

/* Slope: least squares of X_ij on the environment's index (Finlay & Wilkinson 1963; Eberhart & Russell 1966). */
typedef struct {
  cks_id hybrid;      /* index into cks_results.hybrid */
  uint32_t cells;     /* environments with a value */
  bool in_table;      /* of the complete table: the last three figures and the scores are there */
  double mean;        /* over all environments, as in the analysis across; without one as hybrid + environment adjust it */
  double slope, slope_se, slope_p; /* p: of the t test against 1 on slope_df */
  double slope_low, slope_high;    /* 1 - alpha interval */
  double slope_df;    /* cells - 2 */
  double deviation_ms; /* around the line; the plot error is not taken off */
  double ecovalence;  /* Wricke 1962 */
  double stability_variance; /* Shukla 1972; may be negative */
  double superiority; /* Lin & Binns 1988: mean square distance from the best, halved; NaN when no end is the good one */
  const double *score, *site_score; /* size n_score, n_site_score; NULL when not in the table */
} cks_stability;

typedef struct {
  cks_id environment; /* index into cks_trial.environment */
  const char *label;
  uint32_t hybrids;   /* with a value */
  bool in_table;
  double mean, index; /* mean: of all hybrids, adjusted for those missing; index: that less the mean of all environments */
  cks_id best;        /* hybrid with the best X_ij; CKS_NONE: no end is the good one */
  double best_mean;
  double ahead;       /* of the second best */
  cks_id best_by_axes; /* by the first two axes of the site regression; CKS_NONE: none, or not in the table */
  uint32_t n_top;     /* in the top group of the environment's own analysis; 0: none was found */
  double rank_correlation; /* of its order of hybrids with that of the means of all the others */
  const double *score, *site_score;
} cks_environment_answer;

/* One axis of a singular value decomposition; SS on the basis of X_ij. */
typedef struct {
  double singular_value, ss, share_pct, df, f, p; /* f, p: NaN without a plot error; p is liberal, see methods */
} cks_interaction_axis;

/* A pair that is apart in both senses, each by a t test at alpha / (environments x pairs). */
typedef struct {
  cks_id a, b, above_at, below_at; /* hybrids; environments where a is above, below b */
  double above, below;             /* a - b there, of the means as shown */
} cks_crossover;

typedef struct {
  const char *why;      /* "" or why there is nothing: a sentence */
  const char *left_out; /* "" or which hybrids or environments the complete table lacks */
  const char *basis;    /* of the verdict: a sentence */
  cks_verdict verdict;
  size_t n_hybrid, n_environment;
  cks_stability *hybrid;              /* size n_hybrid, in the order of the analysis across */
  cks_environment_answer *environment; /* size n_environment, in the trial's order */
  bool complete;                      /* no X_ij is missing */
  uint32_t table_hybrids, table_environments; /* of the largest complete part */
  double ss, df, f, num_df, den_df, p; /* hybrid x environment, all X_ij; f NaN without a plot error */
  double cell_variance; /* of an X_ij, by the plot error */
  double component, component_upper; /* variance of the interaction, and its upper 1 - alpha limit */
  double hybrid_component;
  double excess_upper;  /* upper 1 - alpha limit of component - hybrid_component / 2 */
  const char *components_why; /* "" or why they are not worked out: a part of a sentence */
  uint32_t component_environments; /* that they are worked out from */
  double slopes_f, slopes_num_df, slopes_den_df, slopes_p; /* are slopes unequal? */
  double nonadditivity_f, nonadditivity_df, nonadditivity_p; /* Tukey's one degree of freedom, of the complete table */
  size_t n_axis, n_site_axis;   /* 0: nothing but rounding is left to take apart */
  size_t n_score, n_site_score; /* scores of a hybrid or an environment: of the first axes */
  cks_interaction_axis *axis; /* of X_ij less hybrid and environment means */
  cks_interaction_axis *site_axis; /* of X_ij less environment means */
  uint32_t crossovers;  /* pairs that change sides; the surest are listed */
  bool crossovers_tested;
  size_t n_crossover;
  cks_crossover *crossover;
  double *rank_correlation; /* n_environment x n_environment: Spearman's, over the hybrids of both; NaN below 3 */
} cks_interaction;

#endif
