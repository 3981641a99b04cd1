/*
 * across_table.c: sums of squares of a balanced series from its cell means: hybrid, location (environment), year, and
 * what they make together; rep, row, column and error are those of the single places, added up.
 */
#include "across.h"

#include "../math/sums.h"

#include <math.h>
#include <string.h>

static cks_balanced_term make_term(double df, double ss)
{
  return (cks_balanced_term){df, ss, df > 0 ? ss / df : cks_missing()};
}

static double mean_over(const cks_balanced_series *s, size_t i, bool any_hybrid, size_t location, size_t year)
{
  cks_sum sum = {0};
  size_t n = 0;
  for (size_t j = 0; j < s->e; j++) {
    if ((location != SIZE_MAX && s->location[j] != location) || (year != SIZE_MAX && s->year[j] != year)) continue;
    for (size_t k = any_hybrid ? 0 : i; k < (any_hybrid ? s->g : i + 1); k++, n++)
      cks_sum_add(&sum, s->cell[j * s->g + k]);
  }
  return cks_sum_value(&sum) / (double)n;
}

/* Hybrid and hybrid x environment on cell means; the environments together. */
static void two_way_terms(const cks_balanced_series *s, const double *hybrid, const double *environment, double grand,
                          cks_balanced_table *t)
{
  cks_sum h = {0}, j_sum = {0}, x = {0};
  for (size_t j = 0; j < s->e; j++) {
    cks_sum_add(&j_sum, (environment[j] - grand) * (environment[j] - grand));
    for (size_t i = 0; i < s->g; i++) {
      double left = s->cell[j * s->g + i] - hybrid[i] - environment[j] + grand;
      cks_sum_add(&x, left * left);
    }
  }
  for (size_t i = 0; i < s->g; i++) cks_sum_add(&h, (hybrid[i] - grand) * (hybrid[i] - grand));
  double g = (double)s->g, e = (double)s->e;
  t->hybrid = make_term(g - 1, s->r * e * cks_sum_value(&h));
  t->location = make_term(e - 1, s->r * g * cks_sum_value(&j_sum));
  t->by_location = make_term((g - 1) * (e - 1), s->r * cks_sum_value(&x));
}

/* Splits environments into location, year and both, and hybrid x environment likewise. */
static cks_status crossed_terms(const cks_trait_task *work, const cks_balanced_series *s, const double *hybrid,
                                const double *environment, double grand, cks_balanced_table *t)
{
  size_t g = s->g, l = s->l, y = s->y, any = SIZE_MAX;
  double *by_location = cks_arena_take(work->scratch, (g + 1) * l, sizeof *by_location);
  double *by_year = cks_arena_take(work->scratch, (g + 1) * y, sizeof *by_year);
  if (!by_location || !by_year) return cks_error_nomem(work->task->error);
  double *of_location = by_location + g * l, *of_year = by_year + g * y;
  cks_sum sl = {0}, sy = {0}, sly = {0}, shl = {0}, shy = {0}, shly = {0};
  for (size_t k = 0; k < l; k++) {
    of_location[k] = mean_over(s, 0, true, k, any);
    cks_sum_add(&sl, pow(of_location[k] - grand, 2));
    for (size_t i = 0; i < g; i++) {
      by_location[i * l + k] = mean_over(s, i, false, k, any);
      cks_sum_add(&shl, pow(by_location[i * l + k] - hybrid[i] - of_location[k] + grand, 2));
    }
  }
  for (size_t k = 0; k < y; k++) {
    of_year[k] = mean_over(s, 0, true, any, k);
    cks_sum_add(&sy, pow(of_year[k] - grand, 2));
    for (size_t i = 0; i < g; i++) {
      by_year[i * y + k] = mean_over(s, i, false, any, k);
      cks_sum_add(&shy, pow(by_year[i * y + k] - hybrid[i] - of_year[k] + grand, 2));
    }
  }
  for (size_t j = 0; j < s->e; j++) {
    double ol = of_location[s->location[j]], oy = of_year[s->year[j]];
    cks_sum_add(&sly, pow(environment[j] - ol - oy + grand, 2));
    for (size_t i = 0; i < g; i++)
      cks_sum_add(&shly, pow(s->cell[j * g + i] - by_location[i * l + s->location[j]] - by_year[i * y + s->year[j]] -
                                 environment[j] + hybrid[i] + ol + oy - grand,
                             2));
  }
  double dg = (double)g, dl = (double)l, dy = (double)y, r = s->r;
  t->location = make_term(dl - 1, r * dg * dy * cks_sum_value(&sl));
  t->year = make_term(dy - 1, r * dg * dl * cks_sum_value(&sy));
  t->location_year = make_term((dl - 1) * (dy - 1), r * dg * cks_sum_value(&sly));
  t->by_location = make_term((dg - 1) * (dl - 1), r * dy * cks_sum_value(&shl));
  t->by_year = make_term((dg - 1) * (dy - 1), r * dl * cks_sum_value(&shy));
  t->by_environment = make_term((dg - 1) * (dl - 1) * (dy - 1), r * cks_sum_value(&shly));
  return CKS_OK;
}

/* Rep, row and column in location and error are those of the single places, added up; the total is about the grand
 * mean. */
static void within_terms(const cks_trait_task *work, const double *environment, double grand, cks_balanced_table *t)
{
  cks_sum rep = {0}, row = {0}, column = {0}, error = {0}, total = {0};
  double df_rep = 0, df_row = 0, df_column = 0, df_error = 0, n = 0;
  for (size_t j = 0; j < work->n_place; j++) {
    const cks_fit *fit = &work->place[j].fit;
    bool square = work->place[j].square;
    cks_sum_add(square ? &row : &rep, fit->ss_rep);
    cks_sum_add(&column, fit->ss_column);
    cks_sum_add(&error, fit->ss_error);
    cks_sum_add(&total, fit->ss_total + (double)work->place[j].layout.n * pow(environment[j] - grand, 2));
    *(square ? &df_row : &df_rep) += fit->df_rep;
    df_column += fit->df_column;
    df_error += fit->df_error + work->place[j].strips_df;
    n += (double)work->place[j].layout.n;
  }
  t->rep = make_term(df_rep, cks_sum_value(&rep));
  t->row = make_term(df_row, cks_sum_value(&row));
  t->column = make_term(df_column, cks_sum_value(&column));
  t->error = make_term(df_error, cks_sum_value(&error));
  t->total = make_term(n - 1, cks_sum_value(&total));
}

/* The strip adjustment was found from what hybrid and environment leave over, once for all places. */
static void take_strips_df(const cks_trait_task *work, cks_balanced_table *t)
{
  cks_balanced_term *const left_over[] = {&t->by_location, &t->by_year, &t->by_environment, &t->error};
  for (size_t i = 0; i < sizeof left_over / sizeof *left_over; i++)
    if (left_over[i]->df > 0) *left_over[i] = make_term(left_over[i]->df - work->values.strips_df, left_over[i]->ss);
}

cks_status cks_balanced_terms(const cks_trait_task *work, const cks_balanced_series *s, double *hybrid,
                              double *environment, cks_balanced_table *t)
{
  for (size_t j = 0; j < s->e; j++) environment[j] = cks_sum_of(s->g, s->cell + j * s->g) / (double)s->g;
  for (size_t i = 0; i < s->g; i++) hybrid[i] = mean_over(s, i, false, SIZE_MAX, SIZE_MAX);
  double grand = cks_sum_of(s->e, environment) / (double)s->e;
  two_way_terms(s, hybrid, environment, grand, t);
  return s->form == BY_LOCATION_AND_YEAR ? crossed_terms(work, s, hybrid, environment, grand, t) : CKS_OK;
}

cks_status cks_balanced_fill(const cks_trait_task *work, cks_balanced_series *s, double *hybrid, cks_balanced_table *t)
{
  double *environment = cks_arena_take(work->scratch, s->e, sizeof *environment);
  s->cell = cks_arena_take(work->scratch, s->e * s->g, sizeof *s->cell);
  cks_status status = environment && s->cell ? CKS_OK : cks_error_nomem(work->task->error);
  if (status != CKS_OK) return status;
  for (size_t j = 0; j < s->e; j++) {
    memcpy(s->cell + j * s->g, work->place[j].fit.mean, s->g * sizeof *s->cell);
    s->squares |= work->place[j].square;
    s->reps |= work->place[j].reps_in_model && !work->place[j].square;
  }
  status = cks_balanced_terms(work, s, hybrid, environment, t);
  within_terms(work, environment, cks_sum_of(s->e, environment) / (double)s->e, t);
  if (work->values.strips_df > 0) take_strips_df(work, t);
  return status;
}
