/*
 * sums.h: sums whose rounding error does not grow with their length (Neumaier, A. 1974, Z. Angew. Math. Mech. 54:39).
 */
#ifndef CKS_MATH_SUMS_H
#define CKS_MATH_SUMS_H

#include <stddef.h>

typedef struct {
  double sum, lost; /* lost: what rounding took away */
} cks_sum;          /* all zero: empty */

/* In the header, since every plot of a million goes through it several times. Knuth's two-sum: no branch. */
static inline void cks_sum_add(cks_sum *sum, double value)
{
  double total = sum->sum + value, part = total - sum->sum;
  sum->lost += (sum->sum - (total - part)) + (value - part);
  sum->sum = total;
}
static inline double cks_sum_value(const cks_sum *sum) { return sum->sum + sum->lost; }
double cks_sum_of(size_t n, const double *values);
/* Sum of (values - center)^2. */
double cks_sum_of_squares(size_t n, const double *values, double center);

#endif
