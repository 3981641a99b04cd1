/* equal_variances.c: see equal_variances.h. */
#include "equal_variances.h"

#include "distributions.h"
#include "sums.h"

#include <math.h>

static cks_variance_test no_answer(void)
{
  double none = cks_missing();
  return (cks_variance_test){none, none, none, none};
}

cks_variance_test cks_bartlett(size_t n_group, const double *variance, const double *df)
{
  cks_sum ss = {0}, logs = {0}, inverse = {0};
  double all = 0;
  if (n_group < 2) return no_answer();
  for (size_t j = 0; j < n_group; j++) {
    if (!(variance[j] > 0) || !(df[j] > 0)) return no_answer();
    cks_sum_add(&ss, df[j] * variance[j]);
    cks_sum_add(&inverse, 1 / df[j]);
    all += df[j];
  }
  double pooled = cks_sum_value(&ss) / all, groups = (double)n_group - 1;
  for (size_t j = 0; j < n_group; j++) cks_sum_add(&logs, df[j] * log(variance[j] / pooled));
  double correction = 1 + (cks_sum_value(&inverse) - 1 / all) / (3 * groups);
  double statistic = fmax(-cks_sum_value(&logs), 0) / correction;
  return (cks_variance_test){statistic, groups, cks_missing(), cks_chi_squared_p(statistic, groups)};
}

static double mean_size(const cks_residual_group *g)
{
  cks_sum sum = {0};
  for (size_t p = 0; p < g->n; p++) cks_sum_add(&sum, fabs(g->residual[p]));
  return cks_sum_value(&sum) / (double)g->n;
}

cks_variance_test cks_levene(size_t n_group, const cks_residual_group *group)
{
  cks_sum total = {0}, within = {0}, between = {0};
  double used = 0, df = 0, worth = 0; /* worth: independent |residual|s */
  for (size_t j = 0; j < n_group; j++) {
    const cks_residual_group *g = &group[j];
    if (!(g->df > 0) || !g->n) continue;
    double mean = mean_size(g), m = g->df + 1;
    cks_sum ss = {0};
    for (size_t p = 0; p < g->n; p++) cks_sum_add(&ss, (fabs(g->residual[p]) - mean) * (fabs(g->residual[p]) - mean));
    cks_sum_add(&within, m / (double)g->n * cks_sum_value(&ss));
    cks_sum_add(&total, m * mean);
    used++;
    worth += m;
    df += g->df;
  }
  if (used < 2) return no_answer();
  double grand = cks_sum_value(&total) / worth;
  for (size_t j = 0; j < n_group; j++) {
    const cks_residual_group *g = &group[j];
    if (!(g->df > 0) || !g->n) continue;
    double from = mean_size(g) - grand;
    cks_sum_add(&between, (g->df + 1) * from * from);
  }
  double ms = cks_sum_value(&within) / df;
  if (!(ms > 0)) return no_answer();
  double f = cks_sum_value(&between) / (used - 1) / ms;
  return (cks_variance_test){f, used - 1, df, cks_f_p(f, used - 1, df)};
}
