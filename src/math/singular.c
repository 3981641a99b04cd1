/* singular.c: see singular.h. The work is GSL's (Golub & Reinsch 1970, Numer. Math. 14:403), on the table stood upright. */
#include "singular.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>

#include <math.h>

/* Entries within this part of the largest are taken for as large, so that rounding never chooses the sign. */
static const double AS_LARGE = 1e-9;

static void set_signs(const cks_singular *s, size_t n_row, size_t n_column)
{
  for (size_t k = 0; k < s->n; k++) {
    double largest = 0, deciding = 0;
    for (size_t i = 0; i < n_row; i++) largest = fmax(largest, fabs(s->row[i * s->n + k]));
    for (size_t i = 0; i < n_row && deciding == 0; i++)
      if (fabs(s->row[i * s->n + k]) >= largest * (1 - AS_LARGE)) deciding = s->row[i * s->n + k];
    if (deciding >= 0) continue;
    for (size_t i = 0; i < n_row; i++) s->row[i * s->n + k] = -s->row[i * s->n + k];
    for (size_t j = 0; j < n_column; j++) s->column[j * s->n + k] = -s->column[j * s->n + k];
  }
}

cks_status cks_singular_new(size_t n_row, size_t n_column, const double *a, cks_arena *arena, cks_singular *to,
                            cks_error *error)
{
  bool upright = n_row >= n_column;
  size_t tall = upright ? n_row : n_column, n = upright ? n_column : n_row;
  double largest = 0, *left = cks_arena_take(arena, tall * n, sizeof *left),
         *right = cks_arena_take(arena, n * n, sizeof *right), *square = cks_arena_take(arena, n * n, sizeof *square),
         *room = cks_arena_take(arena, n, sizeof *room);
  *to = (cks_singular){.n = n, .value = cks_arena_take(arena, n, sizeof *to->value)};
  cks_status status = cks_arena_status(arena, error);
  if (status != CKS_OK) return status;
  for (size_t i = 0; i < n_row * n_column; i++) {
    if (!isfinite(a[i])) return cks_error_set(error, CKS_NUMERIC, "a table with an entry that is no number");
    largest = fmax(largest, fabs(a[i]));
  }
  double scale = largest > 0 ? largest : 1;
  for (size_t i = 0; i < n_row; i++)
    for (size_t j = 0; j < n_column; j++) left[upright ? i * n + j : j * n + i] = a[i * n_column + j] / scale;
  gsl_matrix_view u = gsl_matrix_view_array(left, tall, n), v = gsl_matrix_view_array(right, n, n),
                  x = gsl_matrix_view_array(square, n, n);
  gsl_vector_view s = gsl_vector_view_array(to->value, n), w = gsl_vector_view_array(room, n);
  if (gsl_linalg_SV_decomp_mod(&u.matrix, &x.matrix, &v.matrix, &s.vector, &w.vector) != GSL_SUCCESS)
    return cks_error_set(error, CKS_NUMERIC, "a table of %zu x %zu has no singular values", n_row, n_column);
  for (size_t k = 0; k < n; k++) to->value[k] *= scale;
  to->row = upright ? left : right;
  to->column = upright ? right : left;
  set_signs(to, n_row, n_column);
  return CKS_OK;
}
