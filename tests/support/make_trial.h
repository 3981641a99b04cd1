/* make_trial.h: small trials in memory, in canonical order, for tests of the analysis alone. */
#ifndef TESTS_MAKE_TRIAL_H
#define TESTS_MAKE_TRIAL_H

#include <checkstrip/run.h>

typedef struct {
  const char *location;
  int year;
  const char *rep, *block; /* NULL: none */
  const char *hybrid;
  double value; /* NaN: lost */
} made_plot;

extern const char *const made_reps[6];   /* "1" to "6" */
extern const char *const made_names[10]; /* "A" to "J" */
/* A table of n_hybrid x n_rep values as plots at one location; NaN cells are left out. Returns how many plots. */
size_t made_from_table(made_plot *plots, const double *table, size_t n_hybrid, size_t n_rep, const char *const *hybrid);

/* One trait of this role over n plots, as audit would hand it on: names sorted, plots in canonical order, line = 2 +
 * the plot's place in `plots`, file 0. checks: names ended by NULL, or NULL. Fails the test when memory is short. */
cks_trial *made_trial(const made_plot *plots, size_t n, cks_role role, const char *const *checks);

/* Runs cks_analyze() on it with default settings changed by the caller; findings of one file are made too. */
typedef struct {
  cks_trial *trial;
  cks_findings *findings;
  cks_results *results;
  cks_status status;
  cks_error error;
} made_analysis;
made_analysis made_analyze(cks_trial *trial, const cks_settings *settings); /* takes the trial */
void made_analysis_release(made_analysis *made);
/* The row of the hybrid of this name; fails the test when there is none. */
const cks_hybrid_result *made_row(const made_analysis *made, const cks_analysis *analysis, const char *hybrid);
/* The line of this source; fails the test when there is none. */
const cks_anova_line *made_line(const cks_analysis *analysis, const char *source);
/* Fails unless x says of its hybrids, but for those set aside, what y says: figures to 1e-9 (all values are shifted by the
 * first of the file, so last digits move), means to 1e-12. */
void made_assert_same(const made_analysis *a, const cks_analysis *x, const made_analysis *b, const cks_analysis *y);
/* The settings that nothing changes, without the rest of the library. */
cks_settings made_settings(void);

#endif
