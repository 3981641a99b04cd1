/*
 * sums.h: sums whose rounding error does not grow with their length (Neumaier, A. 1974, Z. Angew. Math. Mech. 54:39).
 */
#ifndef CKS_MATH_SUMS_H
#define CKS_MATH_SUMS_H

#include <stddef.h>

typedef struct {
  double sum, lost; /* lost: what rounding took away */
} cks_sum;          /* all zero: empty */

void cks_sum_add(cks_sum *sum, double value);
double cks_sum_value(const cks_sum *sum);
double cks_sum_of(size_t n, const double *values);
/* Sum of (values - center)^2. */
double cks_sum_of_squares(size_t n, const double *values, double center);

#endif
