/*
 * across_balanced.c: a trait over its environments, when every hybrid stands in each of them with equally many plots.
 *
 * Everything comes from the table of cell means and the residuals of the single places (Gomez & Gomez 1984, chapter 8,
 * combined analysis over sites and seasons). r plots a cell, e environments (l locations x y years), g hybrids.
 *   locations random: hybrid over hybrid x location; locations and years crossed: over MS_HL + MS_HY - MS_HLY with
 *   Satterthwaite's df (Satterthwaite 1946, Biometrics Bull. 2:110), or, when that sum is not above the larger of MS_HL
 *   and MS_HY, over whichever of the two is less sure. Locations fixed, one season: over the pooled plot error; several
 *   years crossed: over hybrid x year (McIntosh 1983, Agron. J. 75:153). Seasons are never fixed.
 */
#include "across.h"

#include "../math/distributions.h"
#include "../math/sums.h"

#include <math.h>
#include <string.h>

/* ---- tests ------------------------------------------------------------------------------------------------------ */

cks_denominator cks_quasi_denominator(const cks_balanced_table *t)
{
  const cks_balanced_term *hl = &t->by_location, *hy = &t->by_year, *hly = &t->by_environment;
  double ms = hl->ms + hy->ms - hly->ms;
  double parts = hl->ms * hl->ms / hl->df + hy->ms * hy->ms / hy->df + hly->ms * hly->ms / hly->df;
  return (cks_denominator){ms, ms * ms / parts, NULL};
}

/* What F is over, and what SEDs are made of. */
typedef struct {
  cks_denominator test, sed, other; /* other: what F might be over too; ms 0: there was no choice */
} denominators;

static double hybrid_p(const cks_balanced_table *t, cks_denominator d)
{
  return cks_f_p(t->hybrid.ms / d.ms, t->hybrid.df, d.df);
}

static double critical_size(cks_denominator d, double alpha) { return cks_t_critical(alpha, d.df) * sqrt(d.ms); }

/* A sum that is not above the larger of its interactions means that the other is estimated below zero. The larger one by
 * itself has more df, so either may look surer: for F and for the LSD, whichever of the two is less sure is used, unless
 * the sum has less than one df and says nothing. */
static denominators crossed_denominators(const cks_balanced_table *t, double alpha)
{
  const cks_balanced_term *hl = &t->by_location, *hy = &t->by_year;
  cks_denominator sum = cks_quasi_denominator(t), single = {hl->ms, hl->df, "hybrid x location alone"};
  if (hl->ms < hy->ms) single = (cks_denominator){hy->ms, hy->df, "hybrid x year alone"};
  if (sum.ms > single.ms) return (denominators){.test = sum, .sed = sum};
  if (!(sum.ms > 0) || sum.df < 1) return (denominators){.test = single, .sed = single};
  sum.source = "the sum of interactions";
  bool by_sum = hybrid_p(t, sum) >= hybrid_p(t, single);
  return (denominators){by_sum ? sum : single, critical_size(sum, alpha) >= critical_size(single, alpha) ? sum : single,
                        by_sum ? single : sum};
}

/* Says it when an interaction below zero left a choice. */
static void say_crossed(const cks_trait_task *work, const denominators *d, cks_analysis *a)
{
  if (!d->test.source) return;
  cks_arena *arena = work->task->results->arena;
  a->note = cks_join(arena, a->note,
                     cks_arena_format(arena,
                                      "one interaction is estimated below zero, so the less sure base is used: F over "
                                      "%s, LSD over %s",
                                      d->test.source, d->sed.source));
}

static cks_denominator plain_denominator(const cks_balanced_term *term)
{
  return (cks_denominator){term->ms, term->df, NULL};
}

static denominators find_denominators(const cks_balanced_series *s, const cks_balanced_table *t, bool fixed,
                                      double alpha)
{
  bool crossed = s->form == BY_LOCATION_AND_YEAR;
  if (crossed && !fixed) return crossed_denominators(t, alpha);
  cks_denominator one = plain_denominator(crossed ? &t->by_year : fixed ? &t->error : &t->by_location);
  return (denominators){.test = one, .sed = one};
}

static cks_anova_line line_of(const char *source, const cks_balanced_term *t, const cks_balanced_term *over)
{
  cks_anova_line line = {source, t->df, t->ss, t->ms, cks_missing(), cks_missing()};
  if (over && over->df > 0 && over->ms > 0 && t->df > 0) {
    line.f = t->ms / over->ms;
    line.p = cks_f_p(line.f, t->df, over->df);
  }
  return line;
}

static cks_status write_table(const cks_trait_task *work, const cks_balanced_series *s, const cks_balanced_table *t,
                              cks_analysis *a)
{
  bool crossed = s->form == BY_LOCATION_AND_YEAR, simple = s->form == BY_LOCATION, plots = s->r > 1;
  const cks_balanced_term *rep = s->reps ? &t->rep : NULL, *error = plots ? &t->error : NULL;
  const cks_balanced_term *within =
      s->squares ? NULL : rep; /* places of squares: no one mean square to test them over */
  cks_anova_line *line = cks_arena_take(work->task->results->arena, 12, sizeof *line);
  if (!line) return cks_error_nomem(work->task->error);
  size_t n = 0;
  line[n++] = line_of(simple || crossed ? "location" : "environment", &t->location, crossed ? NULL : within);
  if (crossed) {
    line[n++] = line_of("year", &t->year, NULL);
    line[n++] = line_of("location x year", &t->location_year, within);
  }
  if (rep) line[n++] = line_of(simple ? "rep in location" : "rep in environment", rep, error);
  if (s->squares) {
    line[n++] = line_of(simple ? "row in location" : "row in environment", &t->row, error);
    line[n++] = line_of(simple ? "column in location" : "column in environment", &t->column, error);
  }
  line[n] = line_of("hybrid", &t->hybrid, NULL);
  line[n].f = a->f;
  line[n++].p = a->p;
  const cks_balanced_term *by_place_over = crossed ? &t->by_environment : error;
  cks_anova_line by_place =
      line_of(simple || crossed ? "hybrid x location" : "hybrid x environment", &t->by_location, by_place_over);
  a->interaction_p = by_place.p;
  line[n++] = by_place;
  if (crossed) {
    line[n++] = line_of("hybrid x year", &t->by_year, &t->by_environment);
    line[n++] = line_of("hybrid x environment", &t->by_environment, error);
  }
  if (plots) line[n++] = line_of("error", &t->error, NULL);
  line[n] = line_of("total", &t->total, NULL);
  line[n++].ms = cks_missing();
  a->anova = line;
  a->n_anova = n;
  return CKS_OK;
}

/* Components by equating mean squares to their expectations; an estimate below zero is left as it comes out. */
static cks_status write_variance(const cks_trait_task *work, const cks_balanced_series *s, const cks_balanced_table *t,
                                 bool fixed, cks_analysis *a)
{
  double r = s->r, g = (double)s->g, e = (double)s->e, l = (double)s->l, y = (double)s->y, none = cks_missing();
  bool plots = r > 1, crossed = s->form == BY_LOCATION_AND_YEAR, simple = s->form == BY_LOCATION;
  double error = plots ? t->error.ms : 0, rep = s->reps ? t->rep.ms : error;
  bool mixed = s->reps && s->squares; /* the MS of locations then holds parts of each: no component of theirs */
  if (s->squares && !mixed) rep = t->row.ms + t->column.ms - error; /* what rows and columns bring into a location */
  cks_variance *v = cks_arena_take(work->task->results->arena, 8, sizeof *v);
  if (!v) return cks_error_nomem(work->task->error);
  size_t n = 0;
  if (!fixed && crossed) {
    double hl = t->by_location.ms, hy = t->by_year.ms, hly = t->by_environment.ms;
    v[n++] = (cks_variance){"hybrid", (t->hybrid.ms - hl - hy + hly) / (r * l * y), none};
    v[n++] = (cks_variance){"hybrid x location", (hl - hly) / (r * y), none};
    v[n++] = (cks_variance){"hybrid x year", (hy - hly) / (r * l), none};
    v[n++] = (cks_variance){"hybrid x environment", (hly - error) / r, none};
  } else if (!fixed) {
    double hl = t->by_location.ms;
    if (!mixed)
      v[n++] = (cks_variance){simple ? "location" : "environment", (t->location.ms - rep - hl + error) / (r * g), none};
    v[n++] = (cks_variance){"hybrid", (t->hybrid.ms - hl) / (r * e), none};
    v[n++] = (cks_variance){simple ? "hybrid x location" : "hybrid x environment", (hl - error) / r, none};
  }
  if (s->reps) v[n++] = (cks_variance){simple ? "rep in location" : "rep in environment", (rep - error) / g, none};
  if (s->squares) {
    v[n++] = (cks_variance){simple ? "row in location" : "row in environment", (t->row.ms - error) / g, none};
    v[n++] = (cks_variance){simple ? "column in location" : "column in environment", (t->column.ms - error) / g, none};
  }
  if (plots) v[n++] = (cks_variance){"error", error, none};
  a->variance = v;
  a->n_variance = n;
  return CKS_OK;
}

static void write_tests(const cks_trait_task *work, const cks_balanced_series *s, const cks_balanced_table *t,
                        cks_denominator d, cks_analysis *a)
{
  bool plots = s->r > 1;
  const cks_balanced_term *error = plots                             ? &t->error
                                   : s->form == BY_LOCATION_AND_YEAR ? &t->by_environment
                                                                     : &t->by_location;
  a->error_df = error->df;
  a->error_ms = error->ms;
  a->f = t->hybrid.ms / d.ms;
  a->num_df = t->hybrid.df;
  a->den_df = d.df;
  a->p = cks_f_p(a->f, a->num_df, a->den_df);
  a->significant = a->p <= a->alpha;
  a->repeatability = fmax(0, 1 - 1 / a->f);
  if (plots && work->values.true_zero && !work->values.arcsine && a->plot_mean > 0)
    a->cv_pct = 100 * sqrt(error->ms) / a->plot_mean;
}

/* ---- the analysis ----------------------------------------------------------------------------------------------- */

static void cell_averages(const cks_trait_task *work, cks_analysis *a)
{
  cks_sum plots = {0};
  for (size_t j = 0; j < work->n_place; j++)
    cks_sum_add(&plots, work->place[j].plot_mean * (double)work->place[j].layout.n);
  a->plot_mean = cks_sum_value(&plots) / a->plots;
  for (size_t i = 0; i < a->n_hybrid; i++) {
    cks_sum mean = {0}, raw = {0};
    for (size_t j = 0; j < work->n_place; j++) {
      cks_sum_add(&mean, work->place[j].mean[i]);
      cks_sum_add(&raw, work->place[j].plain[i] * work->place[j].fit.plots[i]);
    }
    a->hybrid[i].mean = cks_sum_value(&mean) / (double)work->n_place;
    a->hybrid[i].raw_mean = cks_sum_value(&raw) / a->hybrid[i].n;
  }
}

/* Why a balanced series is not tested; NULL: it is. */
static const char *untested(const cks_trait_task *work, const cks_balanced_series *s, const cks_balanced_table *t,
                            cks_denominator d, bool fixed)
{
  size_t n = 0;
  double largest = 0;
  for (size_t j = 0; j < work->n_place; j++) {
    n += work->place[j].layout.n;
    largest = fmax(largest, work->place[j].fit.largest);
  }
  if (work->values.untested) return work->values.untested;
  if (s->g < 2) return "one hybrid only: nothing to compare it with";
  if (fixed && s->r == 1 && s->form != BY_LOCATION_AND_YEAR)
    return "one plot a hybrid at each place leaves no plot error for fixed locations: means only";
  if (!(d.ms > 0) || cks_is_rounding(d.ms * d.df, n, fmax(largest, sqrt(t->total.ss / (double)n))))
    return "the hybrids differ alike at every place, so there is no error to test with: means only";
  return NULL;
}

cks_status cks_across_balanced(const cks_trait_task *work, cks_balanced_series *s, bool fixed, cks_analysis *a)
{
  cks_balanced_table t = {0};
  cks_spread spread;
  s->g = a->n_hybrid;
  s->r = a->reps = work->place[0].fit.plots[0];
  double *tested = cks_arena_take(work->scratch, s->g, sizeof *tested);
  if (!tested) return cks_error_nomem(work->task->error);
  cks_status status = cks_balanced_fill(work, s, tested, &t);
  if (status != CKS_OK) return status;
  for (size_t i = 0; i < s->g; i++) tested[i] += work->values.shift;
  a->design = "balanced series";
  a->locations_as = fixed ? "fixed" : "random";
  cell_averages(work, a);
  denominators d = find_denominators(s, &t, fixed, a->alpha);
  const char *why = untested(work, s, &t, d.test, fixed);
  cks_contest contest = {tested, NULL, d.sed.ms, d.sed.df, d.test.ms, d.test.df, d.other.ms, d.other.df};
  a->method = why ? CKS_METHOD_MEANS : CKS_METHOD_ANOVA;
  if (why) {
    a->why = why;
    return cks_compare(work, &contest, a);
  }
  write_tests(work, s, &t, d.test, a);
  cks_series_notes(work, s, a);
  say_crossed(work, &d, a);
  double plots = s->r * (double)s->e;
  status = cks_spread_even(&spread, s->g, 1 / plots, 2 / plots, work->scratch, work->task->error);
  if (status == CKS_OK) status = write_table(work, s, &t, a);
  if (status == CKS_OK) status = write_variance(work, s, &t, fixed, a);
  if (status == CKS_OK && !fixed) status = cks_expected_fill(work, s, &t, a);
  contest.spread = &spread;
  return status == CKS_OK ? cks_compare(work, &contest, a) : status;
}
