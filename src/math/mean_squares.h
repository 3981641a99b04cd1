/*
 * mean_squares.h: how large a combination of expected mean squares may be, say a variance component.
 */
#ifndef CKS_MATH_MEAN_SQUARES_H
#define CKS_MATH_MEAN_SQUARES_H

#include <stddef.h>

typedef struct {
  double weight, ms, df; /* weight of either sign; df > 0 */
} cks_mean_square;

/* Upper 1 - alpha limit of the sum of weight x expected mean square, the mean squares independent and each its expectation x
 * chi-squared / df: the modified large-sample limit (Ting, Burdick, Graybill, Jeyaratnam & Lu 1990, J. Stat. Comput.
 * Simul. 35:135, from memory). For one mean square it is exact. NaN in, NaN out. */
double cks_mean_squares_upper(size_t n, const cks_mean_square *term, double alpha);

#endif
