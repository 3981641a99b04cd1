/*
 * maturity.h: days to mid-bloom over environments: which hybrids hold their days from place to place, and which shift them
 * where the others take longer. A figure that does not exist is NaN.
 */
#ifndef CHECKSTRIP_MATURITY_H
#define CHECKSTRIP_MATURITY_H

#include <checkstrip/trial.h>

/* Of a slope b of a hybrid's days on the environment means, relative to the hybrids of the table. */
typedef enum {
  CKS_CALL_NONE,        /* no call is made: no_call says why */
  CKS_CALL_CANNOT_TELL, /* none of the three below */
  CKS_CALL_HOLDS,       /* slopes differ, its interval lies below 1, and b <= 0.9 */
  CKS_CALL_SHIFTS,      /* slopes differ, its interval lies above 1, and b >= 1.1 */
  CKS_CALL_TYPICAL      /* neither, and its 1 - 2 alpha interval lies within 0.75 to 1.25 */
} cks_maturity_call;

typedef struct {
  cks_id hybrid;
  uint32_t environments;             /* with a value */
  double mean;                       /* over all environments, as shown */
  double mean_low, mean_high;        /* its 1 - alpha interval; NaN where it has no standard error */
  double first, last;                /* the least and the most days of an environment */
  double slope, slope_se, low, high; /* 1 - alpha interval */
  double inner_low, inner_high;      /* 1 - 2 alpha interval */
  cks_maturity_call call;
  bool at_once;        /* holds or shifts, and told from 1 with all hybrids tested at once too */
  const char *no_call; /* "" or why there is none: a part of a sentence */
  uint32_t heat_environments; /* of them with weather from the origin of the count to mid-bloom */
  double heat_mean;           /* heat units to mid-bloom, their mean */
  double heat_cv_pct, days_cv_pct; /* over those environments; NaN of fewer than two */
} cks_maturity_line;

/* Slope of the differences of a pair on the index of the environments where both grew, against 0 by its own deviations. */
typedef struct {
  cks_id a, b;
  uint32_t n;
  double difference, se, t, df, p; /* slope of a less that of b */
} cks_slope_pair;

typedef struct {
  const char *no_call; /* "" or why no hybrid gets a call: a part of a sentence */
  size_t n_hybrid, n_environment;
  double earliest, latest;   /* environment means, days */
  cks_maturity_line *hybrid; /* size n_hybrid, as in cks_interaction */
  const cks_heat_scheme *heat; /* by which heat units are counted; NULL: without weather, or of a crop without one */
  uint32_t n_heat, n_steadier; /* hybrids with both CVs; of them heat units vary less than days */
  size_t n_pair;             /* all pairs, or, of many hybrids, those with a check */
  bool with_checks;          /* the pairs are those with a check */
  cks_slope_pair *pair;
} cks_maturity;

#endif
