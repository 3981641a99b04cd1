/* sums.c: see sums.h. */
#include "sums.h"

double cks_sum_of(size_t n, const double *values)
{
  cks_sum sum = {0};
  for (size_t i = 0; i < n; i++) cks_sum_add(&sum, values[i]);
  return cks_sum_value(&sum);
}

double cks_sum_of_squares(size_t n, const double *values, double center)
{
  cks_sum sum = {0};
  for (size_t i = 0; i < n; i++) cks_sum_add(&sum, (values[i] - center) * (values[i] - center));
  return cks_sum_value(&sum);
}
