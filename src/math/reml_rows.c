/* reml_rows.c: sums of rows of a matrix, where most of the time of a large fit goes. */
#include "reml_parts.h"

/* Up to four rows at once, so that `to` is read and written once for them. */
static void add_four(double *restrict to, size_t n, double weight, const double *restrict a, const double *restrict b,
                     const double *restrict c, const double *restrict d)
{
  for (size_t i = 0; i < n; i++) to[i] += weight * ((a[i] + b[i]) + (c[i] + d[i]));
}

static void add_two(double *restrict to, size_t n, double weight, const double *restrict a, const double *restrict b)
{
  for (size_t i = 0; i < n; i++) to[i] += weight * (a[i] + b[i]);
}

static void add_one(double *restrict to, size_t n, double weight, const double *restrict a)
{
  for (size_t i = 0; i < n; i++) to[i] += weight * a[i];
}

void cks_reml_add_rows(double *to, size_t n, double weight, const double *x, size_t ld, const uint32_t *row, size_t k)
{
  for (; k >= 4; k -= 4, row += 4) add_four(to, n, weight, x + row[0] * ld, x + row[1] * ld, x + row[2] * ld, x + row[3] * ld);
  if (k >= 2) {
    add_two(to, n, weight, x + row[0] * ld, x + row[1] * ld);
    row += 2;
    k -= 2;
  }
  if (k) add_one(to, n, weight, x + row[0] * ld);
}

void cks_reml_sum_panel(double *restrict to, const double *panel, const uint32_t *index, const double *weight,
                        const uint32_t *item, size_t k)
{
  double sum[PANEL] = {0};
  for (size_t q = 0; q < k; q++) {
    const double *row = panel + (size_t)index[item[q]] * PANEL;
    double times = weight[item[q]];
    for (size_t i = 0; i < PANEL; i++) sum[i] += times * row[i];
  }
  for (size_t i = 0; i < PANEL; i++) to[i] = sum[i];
}
