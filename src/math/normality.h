/*
 * normality.h: Shapiro and Wilk's W and its p (Shapiro & Wilk 1965, Biometrika 52:591), by Royston's approximation
 * (Royston 1995, Appl. Stat. 44:547, AS R94), written from its formulas.
 *
 * W is the squared correlation, so to speak, of the ordered values with what ordered values of a normal distribution are
 * expected to be: 1 is perfect, small speaks against normal. The values are taken as independent; residuals are not.
 */
#ifndef CKS_MATH_NORMALITY_H
#define CKS_MATH_NORMALITY_H

#include <checkstrip/base.h>

enum { CKS_NORMALITY_FEWEST = 3, CKS_NORMALITY_MOST = 5000 }; /* the approximation holds for so many values */

typedef struct {
  double w, p; /* missing when the values are all alike, or fewer or more than the approximation holds for */
} cks_normality;

/* sorted: size n, ascending. room: size n, overwritten. */
cks_normality cks_shapiro_wilk(size_t n, const double *sorted, double *room);

#endif
