/*
 * make_results.h: invented trials with their results, made in memory, to show and write without the stages before.
 *
 * Figures hang together: values come from a fixed generator, means and variances are worked out from them as for
 * complete blocks (a place) and a balanced series (across). They are properties to look at, no reference for anything.
 */
#ifndef TESTS_MAKE_RESULTS_H
#define TESTS_MAKE_RESULTS_H

#include <checkstrip/run.h>

typedef struct {
  size_t n_location, n_hybrid, n_check, n_rep;
  bool no_differences; /* hybrids alike: F not significant anywhere */
  bool means_only;     /* one plot a hybrid */
  bool no_across;      /* hybrid 1 missing at location 0: needs a mixed model */
  bool missing_values; /* bloom taken at one place only; height has no result at one */
  bool no_yield;
  bool long_names, odd_names, utf8_names;
  bool arcsine; /* lodging tested on another scale */
  bool unequal; /* pairs differ in precision */
  bool place_facts;
  size_t n_left_out;
} made_options;

typedef struct {
  cks_trial *trial;
  cks_results *results;
  cks_findings *findings;
  cks_settings settings;
  cks_arena *arena;
} made;

/* The usual one: 6 locations, 14 hybrids of which 2 checks, 4 reps. */
made_options made_usual(void);
/* 0 when it worked. */
int made_new(made *out, const made_options *options);
void made_free(made *m);

#endif
