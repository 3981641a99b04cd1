/*
 * versus.h: head-to-head: two hybrids of a trait over the environments where both have a mean.
 *
 * A difference is a's mean less b's, as each environment's own analysis shows them. A figure that does not exist is NaN, and
 * `why` says why.
 */
#ifndef CHECKSTRIP_VERSUS_H
#define CHECKSTRIP_VERSUS_H

#include <checkstrip/trial.h>

/* One environment of a pair. */
typedef struct {
  cks_id environment; /* index into cks_trial.environment */
  double a, b, difference;
} cks_versus_place;

typedef struct {
  cks_id a, b;                 /* indexes into cks_results.hybrid */
  uint32_t part;               /* index into cks_results.by.name; CKS_NONE: all environments */
  uint32_t n, n_location;      /* environments where both have a mean; different locations among them */
  bool counted;                /* n above 1: wins, ties and losses are given */
  uint32_t wins, ties, losses; /* a better, within 1e-9, worse; without a good end a above, a below */
  double mean_difference;
  double sd, se, low,
      high;        /* of the differences; 1 - alpha interval; NaN for percents that are tested on another scale */
  double t, df, p; /* paired t; of such percents on that scale */
  double sign_p;   /* exact, two-sided; ties left out */
  bool tested;     /* by t or signs, on other environments than the row of all of them */
  const char *why; /* "" or why some of them are absent: a sentence */
  size_t n_place;
  cks_versus_place *place; /* size n_place: of a pair that was asked for, all environments; in the trial's order */
} cks_versus_row;

typedef struct {
  size_t n_row;
  cks_versus_row *row; /* by b (the checks in their order), a, part: all environments first */
  uint32_t n_test;     /* rows in which a test was made */
  const char *skipped; /* "" or environments whose means cannot be set side by side, and why */
} cks_versus;

#endif
