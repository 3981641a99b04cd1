/*
 * reml.h: variance components by residual maximum likelihood (REML) in a mixed model of hybrids over environments, for
 * any pattern of empty cells and lost plots.
 *
 *   y = hybrid + environment + rep in environment + block in rep + hybrid x environment
 *     + hybrid x location + hybrid x year + error
 *
 * Hybrids fixed or random, environments fixed or random, one error variance or one an environment, all else random. Each
 * environment is absorbed by itself, so that one dense system of hybrids (and of hybrids by location and by year, where
 * several years are told apart) is left; the likelihood is climbed with the average information matrix under bounds at
 * zero. Methods: Patterson & Thompson 1971, Biometrika 58:545 (REML); Gilmour, Thompson & Cullis 1995, Biometrics 51:1440
 * (average information); Henderson 1984, Applications of Linear Models in Animal Breeding (absorption, prediction error
 * variance); all from memory, carried out from the equations that stand in the files.
 *
 * Which terms are in the model is found from the data: a term that is not told apart from another is left out, and `used`
 * says so. Time of one evaluation: plots x strata a cell, plus strata^3 for each environment, plus hybrids^3; some five
 * evaluations, whatever the size.
 */
#ifndef CKS_MATH_REML_H
#define CKS_MATH_REML_H

#include <checkstrip/base.h>

/* Variance components in the order of theta. From ERROR on: one, or one an environment. */
typedef enum {
  CKS_REML_ENVIRONMENT,
  CKS_REML_REP,
  CKS_REML_BLOCK,
  CKS_REML_CELL, /* hybrid x environment */
  CKS_REML_HYBRID,
  CKS_REML_BY_LOCATION, /* hybrid x location */
  CKS_REML_BY_YEAR,     /* hybrid x year */
  CKS_REML_ERROR
} cks_reml_kind;

typedef struct {
  size_t n, n_hybrid, n_environment;
  const uint32_t *hybrid, *environment; /* size n: 0 .. n_hybrid - 1, 0 .. n_environment - 1, each used at least once */
  const uint32_t *rep;   /* size n: any numbers, alike within a rep of an environment; CKS_NONE: none. NULL: none */
  const uint32_t *block; /* the same of incomplete blocks inside reps */
  const double *y;       /* size n */
  const uint32_t *location, *year; /* size n_environment, 0 .. ; NULL: no term crosses environments */
} cks_reml_data;

typedef struct {
  bool hybrids_random, environments_fixed;
  bool error_by_environment;
  bool no_cells; /* hybrid x environment is not in the model, whatever the plots could tell */
} cks_reml_model;

typedef enum {
  CKS_REML_CONVERGED,
  CKS_REML_NOT_CONVERGED, /* the likelihood could not be climbed to its top: no figure is to be trusted */
  CKS_REML_NO_ERROR /* the model accounts for every plot, or every plot of an environment that has its own error */
} cks_reml_outcome;

typedef struct cks_reml cks_reml; /* data sorted for the work, and the fit; lives in its arena */

typedef struct {
  cks_reml_outcome outcome;
  size_t n_theta;      /* CKS_REML_ERROR + 1, or + n_environment */
  const double *theta; /* size n_theta; 0 where not used or at the bound */
  const bool *used;    /* size n_theta */
  double minus2;       /* -2 log REML with (n - p) log 2 pi, one indicator a hybrid (and an environment) */
  size_t iterations, evaluations;
  size_t n_hybrid, n_set; /* sets of hybrids that share no environment; 1: all hang together */
  const uint32_t *set_of; /* size n_hybrid */
} cks_reml_fit;

/* The fit lives in the arena, with the memory it works in: some 16 n_hybrid^2 bytes and 12 a plot. CKS_NOMEM, CKS_NUMERIC. */
cks_status cks_reml_new(const cks_reml_data *data, const cks_reml_model *model, cks_arena *arena, cks_reml **out,
                        cks_error *error);
/* Where the climb is to begin, size n_theta; for one that has been near. 0 where not used; the caller's, until it has been. */
void cks_reml_begin(cks_reml *reml, const double *theta);
/* Estimates the components. A poor outcome is no error: it stands in the fit. */
cks_status cks_reml_estimate(cks_reml *reml, cks_error *error);
const cks_reml_fit *cks_reml_result(const cks_reml *reml);

/* -2 log REML at theta; gradient (size n_theta) and information (n_theta x n_theta: the average information, as Hessian
 * of -2 log REML) unless NULL. Infinite where theta is out of reach. */
cks_status cks_reml_evaluate(cks_reml *reml, const double *theta, double *minus2, double *gradient, double *information,
                             cks_error *error);

/* ---- what may be said of the hybrids ----------------------------------------------------------------------------- */

typedef enum {
  CKS_REML_KENWARD_ROGER,
  CKS_REML_SATTERTHWAITE, /* from the observed information */
  CKS_REML_SAMPLED        /* for many hybrids: from the average information, on some pairs only */
} cks_reml_df;

typedef struct {
  size_t n;                      /* hybrids */
  const double *mean;            /* size n: adjusted; environments weigh equally, random terms are 0 */
  double *covariance;            /* n x n, of the means; Kenward-Roger: their adjusted one */
  double plain_variance;         /* mean variance of a difference, not adjusted */
  double *df;                    /* n x n: of each difference, on the diagonal of each mean; NULL: sampled */
  double df_smallest, df_median; /* of the differences; sampled: of those worked out */
  double f, num_df, den_df;      /* of all hybrids; sampled: den_df is df_smallest. Missing when hybrids are random */
  const double *theta_se;        /* size n_theta; missing where not used or at the bound */
} cks_reml_inference;

/* After an estimate that converged, hybrids fixed and all in one set. Kenward & Roger 1997, Biometrics 53:983; Satterthwaite
 * 1946, Biometrics Bull. 2:110, with the gradient of the variance of a difference by Giesbrecht & Burns 1985, Biometrics
 * 41:477; F of several df by Fai & Cornelius 1996, J. Stat. Comput. Simul. 54:363 (from memory). Overwrites the system,
 * not the estimate. */
cks_status cks_reml_infer(cks_reml *reml, cks_reml_df method, cks_arena *arena, cks_reml_inference *out,
                          cks_error *error);

/* Hybrids random: of the predictions. */
typedef struct {
  size_t n;
  const double *effect;      /* size n: shrunken, less the general mean */
  const double *reliability; /* size n: 1 - prediction error variance / variance of hybrids; missing where that is 0 */
  double mean;               /* general; environments weigh equally */
  double repeatability;      /* 1 - mean variance of a difference of two predictions / (2 variance of hybrids) */
  const double *theta_se;    /* size n_theta: from the average information */
} cks_reml_prediction;

cks_status cks_reml_predict(cks_reml *reml, cks_arena *arena, cks_reml_prediction *out, cks_error *error);

#endif
