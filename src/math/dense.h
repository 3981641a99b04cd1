/*
 * dense.h: small dense symmetric positive definite systems, row-major, behind status codes.
 *
 * CKS_NUMERIC: the matrix is not positive definite. What a call overwrites is lost then.
 */
#ifndef CKS_MATH_DENSE_H
#define CKS_MATH_DENSE_H

#include <checkstrip/base.h>

/* a (n x n) becomes its inverse. */
cks_status cks_dense_invert(size_t n, double *a, cks_error *error);
/* b (size n) becomes x with a x = b; a (n x n) is overwritten. */
cks_status cks_dense_solve(size_t n, double *a, double *b, cks_error *error);

#endif
