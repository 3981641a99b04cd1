/*
 * analyze.h: what the files of this stage share: the run, a trait made ready, a trait at one place.
 *
 * Hybrids of a place or of an analysis have local numbers 0, 1, ... in the order of the trial, which is by name. All
 * sums go in the canonical order of the plots, so the order of the rows of a file never matters, to the bit.
 */
#ifndef CKS_ANALYZE_ANALYZE_H
#define CKS_ANALYZE_ANALYZE_H

#include "least_squares.h"

#include <checkstrip/run.h>

typedef struct cks_critical_cache cks_critical_cache;

typedef struct {
  const cks_settings *settings;
  const cks_trial *trial;
  cks_findings *findings;
  cks_results *results;
  cks_critical_cache *critical; /* see critical.h */
  cks_error *error;
} cks_task;

typedef struct {
  const double *shown;      /* size n_plot: as printed, after --show; NaN missing */
  double *tested;           /* size n_plot: shown, or arcsin(sqrt(shown / 100)) when arcsine, less shift */
  const double *unadjusted; /* size n_plot: as shown, before --strip-adjustment; NULL: shown are */
  const char **strips_note; /* size n_environment: see cks_strips_note(); NULL: strips are adjusted nowhere */
  double strips_df;         /* error df that the adjustment takes where it is used */
  double shift;             /* the first value: what is left keeps its digits, whatever the size of the values */
  bool arcsine;
  bool true_zero;       /* percent of a mean makes sense */
  cks_better better;    /* CKS_BETTER_NONE for a rating without a scale */
  const char *untested; /* why nothing is tested anywhere: a sentence; NULL: it is */
} cks_values;

typedef struct {
  cks_id environment;
  uint32_t *plot;      /* size layout.n: the trial's plots with a value */
  uint32_t *hybrid_id; /* size layout.n_hybrid: local number to the trial's */
  cks_layout layout;
  cks_fit fit;         /* of the tested values */
  const double *mean;  /* size n_hybrid: adjusted, as shown */
  const double *plain; /* size n_hybrid: arithmetic, as shown */
  double plot_mean;    /* as shown */
  double strips_df;    /* error df that the strip adjustment took of the fit */
  bool reps_in_model;
  bool square;      /* rows and columns in the model: layout.rep are the rows */
  bool check_plots; /* one plot each of all but the checks: the error is the checks' */
  bool blocks;      /* incomplete blocks inside the reps: fit has them not, see blocks.c */
  const uint32_t *rep_of,
      *block_of;        /* size trial.n_plot: what stands for reps and incomplete blocks here; NULL: nothing */
  bool median;          /* a rating with fewer than 4 different values here: medians stand for means */
  const char *no_means; /* why its means cannot be set against one another, a sentence; NULL: they can */
  const char *apart;    /* why the place does not go into a mean over places, a sentence; NULL: it does */
  cks_method method;    /* CKS_METHOD_ANOVA or CKS_METHOD_MEANS */
  const char *design, *why, *note; /* in the arena of the results; "" for none */
} cks_place;

typedef struct {
  const cks_task *task;
  const cks_trait *trait;
  cks_trait_result *result;
  cks_arena *scratch; /* lives as long as the trait is worked on */
  cks_values values;
  bool no_strips; /* no strip adjustment, whatever the settings ask */
  size_t n_place;
  cks_place *place; /* size n_place: environments with a value, in the trial's order */
} cks_trait_task;

/* forage.c: what each cut was like, and what it held of nitrate and prussic acid. */
cks_status cks_forage_describe(const cks_task *task);
/* show.c: unit, digits and values as --show wants them; then the scale of the tests. CKS_USAGE. */
cks_status cks_show_check(const cks_task *task);
cks_status cks_values_new(cks_trait_task *work);
/* place.c: the plots of one environment, their design, their fit, and whether anything can be tested. kept: size
 * trial.n_hybrid, the others' plots are as if they were not there, and nothing is said again; NULL: all. */
cks_status cks_place_new(cks_trait_task *work, cks_id environment, const bool *kept, cks_place *place);
/* Leaves of a place what the balance over places is judged by, in `kept`, which outlives the place's own memory. */
cks_status cks_place_keep_counts(const cks_trait_task *work, cks_arena *kept, cks_place *place);
/* True when an error sum of squares is nothing but rounding of values as large as `largest`. */
bool cks_is_rounding(double ss_error, size_t n, double largest);
/* location.c, across.c */
cks_status cks_location_analyze(const cks_trait_task *work, const cks_place *place, cks_analysis *analysis);
cks_status cks_across_analyze(const cks_trait_task *work, cks_analysis *analysis);
/* maturity_cuts.c: results.cuts. CKS_USAGE. */
cks_status cks_maturity_cuts_take(const cks_task *task);
/* years.c: result.span, from the places and their analyses; nothing when there is one year. */
cks_status cks_years_analyze(const cks_trait_task *work);
/* interaction.c: result.interaction, from the places and the analyses before. */
cks_status cks_interaction_analyze(const cks_trait_task *work);
/* versus.c: result.versus, from the places and their analyses: the pair asked for, else every hybrid against each check. */
cks_status cks_versus_analyze(const cks_trait_task *work);
/* The findings of places and series alone; of the places, the second needs hybrid_id, check_plots, layout.n_hybrid, fit.plots, fit.balanced
 * and fit.df_error. */
cks_status cks_location_audit(const cks_trait_task *work, const cks_place *place);
cks_status cks_across_audit(const cks_trait_task *work);
/* outliers.c: findings on one location's fit. */
cks_status cks_outliers_find(const cks_trait_task *work, const cks_place *place);
/* On the places of single plots together, three or more; of each place environment, apart and the layout's counts. */
cks_status cks_outliers_among(const cks_trait_task *work);

/* across.c: "Creek (one value in every plot)" of the places for which `why` has an answer, the first of them by name; "" for
 * none. Lives as long as work's scratch. */
const char *cks_places_named(const cks_trait_task *work, const char *(*why)(const cks_place *place));
/* a and b with "; " between them, in the arena; either may be "". */
const char *cks_join(cks_arena *arena, const char *a, const char *b);
/* An analysis with every figure missing and every text "". */
void cks_analysis_clear(const cks_task *task, cks_analysis *analysis);

#endif
