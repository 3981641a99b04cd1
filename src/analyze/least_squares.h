/*
 * least_squares.h: rep + hybrid, or row + column + hybrid, additive, by least squares, for any pattern of lost or
 * repeated plots.
 *
 * value = mean + rep + hybrid + error. Hybrids are eliminated, which leaves a system as large as there are reps
 * (Searle 1971, Linear Models, chapter 7, two-way classification without interaction). Sums of squares are sequential:
 * rep unadjusted, hybrid adjusted for rep. Adjusted means give the reps equal weight. With one rep the model is
 * mean + hybrid (completely randomized). With columns the reps are the rows of a square: rows unadjusted, columns
 * adjusted for rows, hybrids for both; rows weigh equally, and columns (the same book, the normal equations of section
 * 7.1 with one more factor).
 */
#ifndef CKS_ANALYZE_LEAST_SQUARES_H
#define CKS_ANALYZE_LEAST_SQUARES_H

#include "spread.h"

typedef struct {
  size_t n, n_hybrid, n_rep;    /* n_rep 1: reps are not in the model */
  const uint32_t *hybrid, *rep; /* size n: 0 .. n_hybrid - 1, 0 .. n_rep - 1, each used at least once */
  size_t n_column;              /* 0: none in the model; else n_rep > 1 and no two plots share rep and column */
  const uint32_t *column;       /* size n: 0 .. n_column - 1, each used at least once */
} cks_layout;

typedef struct {
  bool connected;  /* every hybrid can be compared with every other; else only plain, plots and the layout stand */
  bool balanced;   /* every hybrid equally often in every rep; with columns: in every row and column, no plot lost */
  uint32_t *plots; /* size n_hybrid */
  double *mean, *plain;      /* size n_hybrid: adjusted, arithmetic */
  double *fitted, *leverage; /* size n; leverage: the plot's own weight in its fitted value, up to 1 */
  double plot_mean;
  double ss_rep, ss_column, ss_hybrid, ss_error, ss_total;
  double df_rep, df_column, df_hybrid, df_error, df_total;
  double largest; /* largest |value - plot_mean| */
  cks_spread spread;
} cks_fit;

/* y: size n. The fit lives in the arena. CKS_LIMIT: more than CKS_MOST_REPS reps or columns; CKS_NUMERIC, CKS_NOMEM. */
enum { CKS_MOST_REPS = 1000 };
cks_status cks_fit_two_way(const cks_layout *layout, const double *y, cks_arena *arena, cks_fit *fit, cks_error *error);
/* The plot alone decides its fitted value, but for rounding: its residual says nothing. */
bool cks_fit_is_alone(const cks_fit *fit, size_t plot);

#endif
