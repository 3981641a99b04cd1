/* critical.c: see critical.h. */
#include "critical.h"

#include "../math/distributions.h"
#include "../math/largest.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { KEPT = 16, MOST_CLASSES = 12 }; /* distributions kept; more classes of replication than that: Sidak */
static const double PRODUCT_FORM = 1e-8;

typedef struct {
  bool range, two_sided;
  size_t k, n_class;
  cks_dunnett_class class[MOST_CLASSES];
} request;

struct cks_critical_cache {
  size_t n, oldest;
  request made[KEPT];
  cks_profile profile[KEPT];
};

cks_critical_cache *cks_critical_cache_new(void) { return calloc(1, sizeof(cks_critical_cache)); }
void cks_critical_cache_free(cks_critical_cache *cache) { free(cache); }

static bool same_request(const request *a, const request *b)
{
  bool same = a->range == b->range && a->two_sided == b->two_sided && a->k == b->k && a->n_class == b->n_class;
  for (size_t i = 0; i < a->n_class && same; i++)
    same = a->class[i].n == b->class[i].n && a->class[i].lambda == b->class[i].lambda;
  return same;
}

static cks_status find_profile(const cks_task *task, const request *wanted, const cks_profile **profile)
{
  cks_critical_cache *cache = task->critical;
  cks_status status = CKS_OK;
  size_t i = 0;
  while (i < cache->n && !same_request(&cache->made[i], wanted)) i++;
  if (i == cache->n) {
    if (cache->n < KEPT) {
      cache->n++;
    } else {
      i = cache->oldest;
      cache->oldest = (cache->oldest + 1) % KEPT;
    }
    cache->made[i] = *wanted;
    status = wanted->range ? cks_profile_range(&cache->profile[i], wanted->k, task->error)
                           : cks_profile_dunnett(&cache->profile[i], wanted->n_class, wanted->class, wanted->two_sided,
                                                 task->error);
    if (status != CKS_OK) cache->n = 0;
  }
  *profile = &cache->profile[i];
  return status;
}

cks_status cks_critical_pairs(const cks_task *task, cks_comparison comparison, size_t g, double df, double *value)
{
  double alpha = task->settings->alpha, pairs = (double)g * ((double)g - 1) / 2;
  const cks_profile *profile = NULL;
  cks_status status = CKS_OK;
  switch (comparison) {
  case CKS_COMPARE_TUKEY:
    status = find_profile(task, &(request){.range = true, .k = g}, &profile);
    if (status == CKS_OK) *value = cks_profile_quantile(profile, alpha, df) / sqrt(2);
    break;
  case CKS_COMPARE_BONFERRONI:
    *value = cks_t_critical(alpha / pairs, df);
    break;
  case CKS_COMPARE_LSD:
  case CKS_COMPARE_DUNNETT:
    *value = cks_t_critical(alpha, df);
    break;
  }
  return status;
}

/* ---- one against all -------------------------------------------------------------------------------------------- */

/* Correlation of m_i - m_one and m_j - m_one; i and j may be of one class. */
static double correlation(const cks_spread *s, size_t i, size_t j, size_t one)
{
  double vi = cks_spread_pair(s, i, one), vj = cks_spread_pair(s, j, one);
  return (vi + vj - cks_spread_pair(s, i, j)) / 2 / sqrt(vi * vj);
}

/* One hybrid of each class, and how many there are besides `one`. */
typedef struct {
  size_t n;
  size_t member[MOST_CLASSES], second[MOST_CLASSES]; /* second: another of the class, or SIZE_MAX */
  cks_dunnett_class class[MOST_CLASSES];
} families;

static bool find_families(const cks_spread *s, size_t one, families *f)
{
  f->n = 0;
  for (size_t i = 0; i < s->n; i++) {
    size_t k = 0;
    if (i == one) continue;
    while (k < f->n && s->class_of[f->member[k]] != s->class_of[i]) k++;
    if (k == f->n) {
      if (f->n == MOST_CLASSES) return false;
      f->member[k] = i;
      f->second[k] = SIZE_MAX;
      f->class[k] = (cks_dunnett_class){0, 0};
      f->n++;
    } else if (f->second[k] == SIZE_MAX) {
      f->second[k] = i;
    }
    f->class[k].n++;
  }
  return true;
}

/* rho_ij = lambda_i lambda_j: from two of one class, from another class whose lambda is known, or from three classes. */
static bool find_lambdas(const cks_spread *s, size_t one, families *f)
{
  for (size_t k = 0; k < f->n; k++)
    if (f->second[k] != SIZE_MAX) f->class[k].lambda = sqrt(fmax(correlation(s, f->member[k], f->second[k], one), 0));
  for (size_t k = 0; k < f->n; k++)
    for (size_t b = 0; b < f->n && !(f->class[k].lambda > 0); b++) {
      size_t c = 0;
      double rho = correlation(s, f->member[k], f->member[b], one);
      while (c < f->n && (c == k || c == b)) c++;
      if (b == k) continue;
      if (f->class[b].lambda > 0)
        f->class[k].lambda = rho / f->class[b].lambda;
      else if (c < f->n)
        f->class[k].lambda = sqrt(fmax(rho * correlation(s, f->member[k], f->member[c], one) /
                                           correlation(s, f->member[b], f->member[c], one),
                                       0));
    }
  if (f->n == 2 && f->class[0].n == 1 && f->class[1].n == 1) /* one correlation: any split of it will do */
    f->class[0].lambda = f->class[1].lambda = sqrt(fmax(correlation(s, f->member[0], f->member[1], one), 0));
  if (f->n == 1 && f->class[0].n == 1) f->class[0].lambda = M_SQRT1_2; /* one comparison: no correlation */
  bool good = true;
  for (size_t a = 0; a < f->n && good; a++) {
    good = f->class[a].lambda > 0 && f->class[a].lambda < 1;
    for (size_t b = 0; b <= a && good; b++) {
      size_t other = a == b ? f->second[a] : f->member[b];
      if (other == SIZE_MAX) continue;
      good = fabs(correlation(s, f->member[a], other, one) - f->class[a].lambda * f->class[b].lambda) <= PRODUCT_FORM;
    }
  }
  return good;
}

cks_status cks_critical_against(const cks_task *task, const cks_spread *spread, size_t one, double df, bool two_sided,
                                double *value, bool *product)
{
  families f;
  const cks_profile *profile = NULL;
  double alpha = task->settings->alpha, n = (double)spread->n - 1;
  *product = find_families(spread, one, &f) && find_lambdas(spread, one, &f);
  if (!*product) {
    double each = -expm1(log1p(-alpha) / n); /* Sidak 1967, J. Am. Stat. Assoc. 62:626 */
    *value = cks_t_critical(two_sided ? each : 2 * each, df);
    return CKS_OK;
  }
  request wanted = {.two_sided = two_sided, .n_class = f.n};
  memcpy(wanted.class, f.class, sizeof wanted.class);
  for (size_t k = f.n; k < MOST_CLASSES; k++) wanted.class[k] = (cks_dunnett_class){0, 0};
  cks_status status = find_profile(task, &wanted, &profile);
  if (status == CKS_OK) *value = cks_profile_quantile(profile, alpha, df);
  return status;
}
