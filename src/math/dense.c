/* dense.c: see dense.h. Cholesky decomposition by GSL. */
#include "dense.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>

static cks_status factor(gsl_matrix *a, cks_error *error)
{
  int code = gsl_linalg_cholesky_decomp1(a);
  return code == GSL_SUCCESS
             ? CKS_OK
             : cks_error_set(error, CKS_NUMERIC, "a matrix of %zu rows is not positive definite", a->size1);
}

cks_status cks_dense_invert(size_t n, double *a, cks_error *error)
{
  gsl_matrix_view view = gsl_matrix_view_array(a, n, n);
  cks_status status = factor(&view.matrix, error);
  if (status == CKS_OK && gsl_linalg_cholesky_invert(&view.matrix) != GSL_SUCCESS)
    status = cks_error_set(error, CKS_NUMERIC, "a matrix of %zu rows has no inverse", n);
  return status;
}

cks_status cks_dense_solve(size_t n, double *a, double *b, cks_error *error)
{
  gsl_matrix_view view = gsl_matrix_view_array(a, n, n);
  gsl_vector_view x = gsl_vector_view_array(b, n);
  cks_status status = factor(&view.matrix, error);
  if (status == CKS_OK && gsl_linalg_cholesky_svx(&view.matrix, &x.vector) != GSL_SUCCESS)
    status = cks_error_set(error, CKS_NUMERIC, "a system of %zu equations has no solution", n);
  return status;
}
