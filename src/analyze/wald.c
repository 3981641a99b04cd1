/*
 * wald.c: see wald.h.
 *
 * Only differences of means matter, so any covariance that gives their variances will do: C_ij = - pair(i, j) / 2, and 0
 * on the diagonal. Within a class a of n_a means that stand alike, deviations from the class mean are independent of all
 * else, with variance pair(a, a) / 2 each; the class means have C_ab = - pair(a, b) / 2 and C_aa = pair(a, a) / 2 x
 * (1 / n_a - 1). So the form falls into a plain sum within classes and a small system among them.
 */
#include "wald.h"

#include "../math/dense.h"
#include "../math/sums.h"

#include <stdlib.h>

typedef struct {
  size_t n;
  uint32_t *used;      /* size n: classes with a mean in them */
  double *size, *mean; /* size n_class */
} classes;

static cks_status find_classes(const cks_spread *s, const double *mean, classes *c, cks_error *error)
{
  cks_sum *sum = calloc(s->n_class, sizeof *sum);
  c->used = malloc(s->n_class * sizeof *c->used);
  c->size = calloc(s->n_class, sizeof *c->size);
  c->mean = calloc(s->n_class, sizeof *c->mean);
  cks_status status = sum && c->used && c->size && c->mean ? CKS_OK : cks_error_nomem(error);
  for (size_t i = 0; i < s->n && status == CKS_OK; i++) {
    cks_sum_add(&sum[s->class_of[i]], mean[i]);
    c->size[s->class_of[i]]++;
  }
  for (size_t a = 0; a < s->n_class && status == CKS_OK; a++) {
    if (!(c->size[a] > 0)) continue;
    c->used[c->n++] = (uint32_t)a;
    c->mean[a] = cks_sum_value(&sum[a]) / c->size[a];
  }
  free(sum);
  return status;
}

static double within(const cks_spread *s, const double *mean, const classes *c)
{
  cks_sum sum = {0};
  for (size_t i = 0; i < s->n; i++) {
    size_t a = s->class_of[i];
    double left = mean[i] - c->mean[a];
    if (c->size[a] > 1) cks_sum_add(&sum, left * left / (s->pair[a * s->n_class + a] / 2));
  }
  return cks_sum_value(&sum);
}

/* Covariance of the means of two used classes, but for what is common to all. */
static double covariance(const cks_spread *s, const classes *c, size_t k, size_t l)
{
  double pair = s->pair[c->used[k] * s->n_class + c->used[l]];
  return k == l ? pair / 2 * (1 / c->size[c->used[k]] - 1) : -pair / 2;
}

static cks_status between(const cks_spread *s, const classes *c, double *form, cks_error *error)
{
  size_t m = c->n - 1, last = m;
  *form = 0;
  if (m == 0) return CKS_OK;
  double *v = malloc(m * m * sizeof *v), *x = malloc(m * sizeof *x);
  cks_status status = v && x ? CKS_OK : cks_error_nomem(error);
  if (status != CKS_OK) goto done;
  double own = covariance(s, c, last, last);
  for (size_t k = 0; k < m; k++) {
    x[k] = c->mean[c->used[k]] - c->mean[c->used[last]];
    for (size_t l = 0; l < m; l++)
      v[k * m + l] = covariance(s, c, k, l) - covariance(s, c, k, last) - covariance(s, c, l, last) + own;
  }
  status = cks_dense_solve(m, v, x, error);
  cks_sum sum = {0};
  for (size_t k = 0; k < m; k++) cks_sum_add(&sum, x[k] * (c->mean[c->used[k]] - c->mean[c->used[last]]));
  *form = cks_sum_value(&sum);
done:
  free(x);
  free(v);
  return status;
}

cks_status cks_wald(const cks_spread *spread, const double *mean, double *form, cks_error *error)
{
  classes c = {0};
  *form = cks_missing();
  if (spread->n < 2) return CKS_OK;
  cks_status status = find_classes(spread, mean, &c, error);
  if (status == CKS_OK && c.n <= CKS_MOST_WALD) {
    double among;
    status = between(spread, &c, &among, error);
    if (status == CKS_OK) *form = within(spread, mean, &c) + among;
  }
  free(c.mean);
  free(c.size);
  free(c.used);
  return status;
}
