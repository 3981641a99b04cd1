/*
 * reml_rows.c: sums of rows of a matrix, where most of the time of a large fit with many strata goes.
 *
 * Vectors of four stand in the code because compilers choose the wrong loop here; on x86-64 each function is made for
 * machines with AVX2 and for those without, and the loader takes one. No sum is rounded differently by that.
 */
#include "reml_parts.h"

#if defined(__x86_64__) && defined(__gnu_linux__)
#define CKS_EACH_WIDTH __attribute__((target_clones("avx2", "default")))
#else
#define CKS_EACH_WIDTH
#endif

typedef double four __attribute__((vector_size(32), aligned(8), may_alias));

/* to += weight x the sum of the rows of x that start at a, b, c, d */
CKS_EACH_WIDTH static void add_four(double *to, size_t n, double weight, const double *a, const double *b,
                                    const double *c, const double *d)
{
  size_t i = 0;
  for (; i + 4 <= n; i += 4)
    *(four *)(to + i) += weight * ((*(const four *)(a + i) + *(const four *)(b + i)) +
                                   (*(const four *)(c + i) + *(const four *)(d + i)));
  for (; i < n; i++) to[i] += weight * ((a[i] + b[i]) + (c[i] + d[i]));
}

CKS_EACH_WIDTH static void add_one(double *to, size_t n, double weight, const double *a)
{
  size_t i = 0;
  for (; i + 4 <= n; i += 4) *(four *)(to + i) += weight * *(const four *)(a + i);
  for (; i < n; i++) to[i] += weight * a[i];
}

void cks_reml_add_rows(double *to, size_t n, double weight, const double *x, size_t ld, const uint32_t *row, size_t k)
{
  for (; k >= 4; k -= 4, row += 4)
    add_four(to, n, weight, x + row[0] * ld, x + row[1] * ld, x + row[2] * ld, x + row[3] * ld);
  for (; k; k--, row++) add_one(to, n, weight, x + *row * ld);
}

/* Eight sums of four, each in a register. */
CKS_EACH_WIDTH static void sum_panel(double *to, const double *panel, const uint32_t *index, const double *weight,
                                     const uint32_t *item, size_t k)
{
  four zero = {0}, s0 = zero, s1 = zero, s2 = zero, s3 = zero, s4 = zero, s5 = zero, s6 = zero, s7 = zero;
  four *sum = (four *)to;
  for (size_t q = 0; q < k; q++) {
    const four *row = (const four *)(panel + (size_t)index[item[q]] * PANEL);
    double times = weight[item[q]];
    s0 += times * row[0];
    s1 += times * row[1];
    s2 += times * row[2];
    s3 += times * row[3];
    s4 += times * row[4];
    s5 += times * row[5];
    s6 += times * row[6];
    s7 += times * row[7];
  }
  sum[0] = s0;
  sum[1] = s1;
  sum[2] = s2;
  sum[3] = s3;
  sum[4] = s4;
  sum[5] = s5;
  sum[6] = s6;
  sum[7] = s7;
}

/* The clones are static: clang 14 gives an extern one a name that no other file finds. */
void cks_reml_sum_panel(double *to, const double *panel, const uint32_t *index, const double *weight,
                        const uint32_t *item, size_t k)
{
  sum_panel(to, panel, index, weight, item, k);
}
