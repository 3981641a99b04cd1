/*
 * spread.h: how well the means of a table are told apart: the variance of each mean and of each difference of two, in
 * units of the error variance, held once for each class of hybrids that stand alike (in the same reps, as often).
 */
#ifndef CKS_ANALYZE_SPREAD_H
#define CKS_ANALYZE_SPREAD_H

#include <checkstrip/base.h>

typedef struct {
  size_t n, n_class;
  uint32_t *class_of;   /* size n */
  uint32_t *class_size; /* size n_class */
  double *own;          /* size n_class: variance of a mean of the class */
  double *pair;         /* n_class x n_class: of a difference; on the diagonal of two of one class */
  const double *df;     /* n_class x n_class: of each difference; NULL: one for all (mixed models have their own) */
  double df_smallest, df_largest; /* with df: of the differences */
} cks_spread;

typedef struct {
  double mean, smallest, largest; /* of the SEDs of all pairs; missing when there is no pair */
  bool equal;                     /* all one, within rounding */
} cks_sed;

/* Room for n_class classes, filled with zeros. */
cks_status cks_spread_new(cks_spread *spread, size_t n, size_t n_class, cks_arena *arena, cks_error *error);
/* Every mean alike: variance `own`, of a difference `pair`. */
cks_status cks_spread_even(cks_spread *spread, size_t n, double own, double pair, cks_arena *arena, cks_error *error);
/* The same of the n hybrids `member` alone; shares own and pair. */
cks_status cks_spread_part(cks_spread *part, const cks_spread *whole, size_t n, const uint32_t *member,
                           cks_arena *arena, cks_error *error);
double cks_spread_pair(const cks_spread *spread, size_t i, size_t j);
/* Df of the difference of means i and j, and the smallest of mean i with any other; all: where one holds for all. */
double cks_spread_df(const cks_spread *spread, size_t i, size_t j, double all);
double cks_spread_least_df(const cks_spread *spread, size_t i, double all);
cks_sed cks_spread_sed(const cks_spread *spread, double error_ms);

#endif
