/*
 * expected.c: the LSD to expect of another series in the same season: L locations with r reps,
 *   t(1 - alpha/2, (g - 1)(L - 1)) sqrt(2 (s_HE / L + s_E / (L r))),
 * from the components of hybrid x location within a season and of plots (derived from the expected mean squares: Searle
 * 1971, Linear Models, ch. 9). An interaction estimated at or below zero is taken as 0, and beside it as its upper 80 %
 * limit, from F / F' with F' the lower 20 % point of F on the same df, so that few places do not promise too much.
 */
#include "across.h"

#include "../math/distributions.h"

#include <math.h>

enum { FEWEST = 2, MOST = 12, MOST_REPS = 4 };
static const double LIMIT = 0.80;

/* Hybrid x location within seasons: with several years that of all years and of each are put together. */
static cks_balanced_term within_season(const cks_balanced_series *s, const cks_balanced_table *t)
{
  cks_balanced_term term = t->by_location;
  if (s->form == BY_LOCATION_AND_YEAR) {
    term.df += t->by_environment.df;
    term.ss += t->by_environment.ss;
    term.ms = term.ss / term.df;
  }
  return term;
}

static double expected(double alpha, double g, double l, double r, double by_location, double error)
{
  return cks_t_critical(alpha, (g - 1) * (l - 1)) * sqrt(2 * (by_location / l + error / (l * r)));
}

cks_status cks_expected_fill(const cks_trait_task *work, const cks_balanced_series *s, const cks_balanced_table *t,
                             cks_analysis *a)
{
  cks_balanced_term by_location = within_season(s, t);
  double error = t->error.ms, part = (by_location.ms - error) / s->r, upper = part;
  if (s->form == BY_ENVIRONMENT || s->r < 2 || work->values.arcsine || !(error > 0)) return CKS_OK;
  if (part <= 0) {
    double ratio = by_location.ms / error / cks_f_quantile(1 - LIMIT, by_location.df, t->error.df);
    part = 0;
    upper = fmax(0, error * (ratio - 1) / s->r);
  }
  a->expected =
      cks_arena_take(work->task->results->arena, (size_t)(MOST - FEWEST + 1) * MOST_REPS, sizeof *a->expected);
  if (!a->expected) return cks_error_nomem(work->task->error);
  for (uint32_t l = FEWEST; l <= MOST; l++)
    for (uint32_t r = 1; r <= MOST_REPS; r++)
      a->expected[a->n_expected++] = (cks_expected_lsd){l, r, expected(a->alpha, (double)s->g, l, r, part, error),
                                                        expected(a->alpha, (double)s->g, l, r, upper, error)};
  return CKS_OK;
}
