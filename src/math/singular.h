/*
 * singular.h: the singular value decomposition of a table.
 */
#ifndef CKS_MATH_SINGULAR_H
#define CKS_MATH_SINGULAR_H

#include <checkstrip/base.h>

/* a (n_row x n_column, row-major, finite) = sum over k < n of value[k] x row[i * n + k] x column[j * n + k], n the smaller
 * of n_row and n_column; value descending, rows and columns of length 1 over i and over j. Signs by rule: of each row
 * vector the entry largest in size (of equal ones the first) is positive. CKS_NUMERIC, CKS_NOMEM. */
typedef struct {
  size_t n;
  double *value, *row, *column; /* in the arena */
} cks_singular;
cks_status cks_singular_new(size_t n_row, size_t n_column, const double *a, cks_arena *arena, cks_singular *to,
                            cks_error *error);

#endif
