/*
 * across.c: a trait over its environments, when every hybrid stands in each of them with equally many plots.
 *
 * Everything comes from the table of cell means and the residuals of the single places (Gomez & Gomez 1984, chapter 8,
 * combined analysis over sites and seasons). r plots a cell, e environments (l locations x y years), g hybrids.
 *   locations random: hybrid over hybrid x location; locations and years crossed: over MS_HL + MS_HY - MS_HLY with
 *   Satterthwaite's df (Satterthwaite 1946, Biometrics Bull. 2:110), or, when that sum is not above the larger of MS_HL
 *   and MS_HY, over whichever of the two is less sure. Locations fixed, one season: over the pooled plot error; several
 *   years crossed: over hybrid x year (McIntosh 1983, Agron. J. 75:153). Seasons are never fixed.
 * What is not balanced: across_mixed.c, for no plain average over different sets of places is ever ranked; locations fixed
 * with lost plots: across_fixed.c. A place that says nothing of a trait (place.c: apart) does not go in.
 */
#include "across.h"
#include "assumptions.h"

#include "../math/distributions.h"
#include "../math/sums.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* ---- what kind of series this is -------------------------------------------------------------------------------- */

static int compare_ids(const void *left, const void *right)
{
  const uint32_t *a = left, *b = right;
  return *a < *b ? -1 : *a > *b;
}

/* Replaces values (size n) by their numbers among the different ones; returns how many there are. sorted: size n. */
static size_t number_values(uint32_t *values, uint32_t *sorted, size_t n)
{
  memcpy(sorted, values, n * sizeof *sorted);
  qsort(sorted, n, sizeof *sorted, compare_ids);
  size_t m = 0;
  for (size_t i = 0; i < n; i++)
    if (i == 0 || sorted[i] != sorted[m - 1]) sorted[m++] = sorted[i];
  for (size_t i = 0; i < n; i++)
    values[i] = (uint32_t)((const uint32_t *)bsearch(&values[i], sorted, m, sizeof *sorted, compare_ids) - sorted);
  return m;
}

static cks_status find_form(const cks_trait_task *work, cks_balanced_series *s)
{
  const cks_trial *trial = work->task->trial;
  size_t e = work->n_place;
  uint32_t *sorted = cks_arena_take(work->scratch, e, sizeof *sorted);
  bool *taken = NULL;
  s->e = e;
  s->location = cks_arena_take(work->scratch, e, sizeof *s->location);
  s->year = cks_arena_take(work->scratch, e, sizeof *s->year);
  cks_status status = cks_arena_status(work->scratch, work->task->error);
  if (status != CKS_OK) return status;
  uint32_t known = 0; /* a year that is not given is taken as the others', not as another one */
  for (size_t j = 0; j < e; j++) {
    const cks_environment *environment = &trial->environment[work->place[j].environment];
    s->location[j] = environment->location;
    s->year[j] = (uint32_t)environment->year;
    if (environment->year && !known) known = (uint32_t)environment->year;
  }
  for (size_t j = 0; j < e; j++)
    if (!s->year[j]) s->year[j] = known;
  s->l = number_values(s->location, sorted, e);
  s->y = number_values(s->year, sorted, e);
  s->form = s->y == 1 && s->l == e ? BY_LOCATION : BY_ENVIRONMENT;
  if (s->l < 2 || s->y < 2 || s->l * s->y != e) return CKS_OK;
  taken = cks_arena_take(work->scratch, e, sizeof *taken);
  if (!taken) return cks_error_nomem(work->task->error);
  bool crossed = true;
  for (size_t j = 0; j < e; j++) {
    bool *cell = &taken[s->location[j] * s->y + s->year[j]];
    crossed &= !*cell;
    *cell = true;
  }
  if (crossed) s->form = BY_LOCATION_AND_YEAR;
  return CKS_OK;
}

/* Rows of every hybrid that stands anywhere, in the order of names, with plots and environments counted. */
static cks_status list_hybrids(const cks_trait_task *work, cks_analysis *a)
{
  size_t n_hybrid = work->task->trial->n_hybrid;
  uint32_t *plots = calloc(n_hybrid, sizeof *plots), *places = calloc(n_hybrid, sizeof *places);
  cks_status status = plots && places ? CKS_OK : cks_error_nomem(work->task->error);
  if (status != CKS_OK) goto done;
  for (size_t j = 0; j < work->n_place; j++) {
    const cks_place *place = &work->place[j];
    a->plots += (uint32_t)place->layout.n;
    for (size_t i = 0; i < place->layout.n_hybrid; i++) {
      plots[place->hybrid_id[i]] += place->fit.plots[i];
      places[place->hybrid_id[i]]++;
    }
  }
  for (size_t i = 0; i < n_hybrid; i++) a->n_hybrid += places[i] > 0;
  a->hybrid = cks_arena_take(work->task->results->arena, a->n_hybrid, sizeof *a->hybrid);
  if (!a->hybrid) {
    status = cks_error_nomem(work->task->error);
    goto done;
  }
  double none = cks_missing();
  for (size_t i = 0, k = 0; i < n_hybrid; i++)
    if (places[i])
      a->hybrid[k++] = (cks_hybrid_result){.hybrid = (cks_id)i,
                                           .n = plots[i],
                                           .environments = places[i],
                                           .mean = none,
                                           .raw_mean = none,
                                           .se = none,
                                           .shrunken = none,
                                           .reliability = none,
                                           .pct_of_mean = none};
done:
  free(plots);
  free(places);
  return status;
}

static cks_balance look_at_balance(const cks_trait_task *work, const cks_balanced_series *s)
{
  cks_balance b = {true, true, true, s->form != BY_ENVIRONMENT || s->l < 2 || s->y < 2};
  const cks_place *first = &work->place[0];
  for (size_t j = 0; j < work->n_place; j++) {
    const cks_place *place = &work->place[j];
    size_t n = place->layout.n_hybrid;
    b.complete &=
        n == first->layout.n_hybrid && !memcmp(place->hybrid_id, first->hybrid_id, n * sizeof *place->hybrid_id);
    b.whole &= !place->blocks;
    b.equal &= place->fit.balanced && place->fit.plots[0] == first->fit.plots[0];
  }
  b.equal &= b.complete;
  return b;
}

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

void cks_series_notes(const cks_trait_task *work, const cks_balanced_series *s, cks_analysis *a)
{
  cks_arena *arena = work->task->results->arena;
  if (s->y == 1) a->note = cks_join(arena, a->note, "this season only");
  if (s->y == 2) a->note = cks_join(arena, a->note, "two years say little about a third");
  if (!strcmp(a->locations_as, "fixed")) a->note = cks_join(arena, a->note, "these places only");
  if (s->r == 1)
    a->note = cks_join(arena, a->note,
                       "one plot a hybrid at each place: the interaction holds the plot error and is the error");
  if (work->trait->measure == CKS_MEASURE_RATING)
    a->note = cks_join(arena, a->note, "a rating, analyzed as a measured value: take it with caution");
  if (work->values.arcsine)
    a->note = cks_join(arena, a->note, "percent: table, tests and ranks on the scale arcsin of the square root");
}

/* ---- balanced, fixed, or neither -------------------------------------------------------------------------------- */

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

/* --locations fixed is about places: at one place only there are seasons or trials, and they are a sample. */
static bool is_fixed(const cks_trait_task *work, const cks_balanced_series *s)
{
  return work->task->settings->locations_fixed && s->l > 1;
}

/* A mixed model is asked for, whatever the balance. */
static bool is_requested(const cks_trait_task *work, const cks_balanced_series *s)
{
  const cks_settings *settings = work->task->settings;
  return (settings->hybrids_random || settings->error_by_location) && !is_fixed(work, s);
}

static bool is_tabled(const cks_trait_task *work, const cks_balanced_series *s, cks_balance b)
{
  return b.equal && b.whole && b.told && !is_requested(work, s);
}

static bool is_averaged(const cks_trait_task *work, const cks_balanced_series *s, cks_balance b)
{
  return cks_can_average(work, s, b) && is_fixed(work, s);
}

static cks_status analyze_balanced(const cks_trait_task *work, cks_balanced_series *s, cks_analysis *a)
{
  bool fixed = is_fixed(work, s);
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

/* No figure over unequal sets of places: the hybrids are listed, and `why` says what is missing. */
static cks_status list_only(const cks_trait_task *work, const char *design, const char *why, cks_analysis *a)
{
  cks_contest contest = {.tested = cks_arena_take(work->scratch, a->n_hybrid, sizeof(double))};
  if (!contest.tested) return cks_error_nomem(work->task->error);
  a->method = CKS_METHOD_NONE;
  a->design = design;
  a->why = why;
  return cks_compare(work, &contest, a);
}

static cks_status say_no_mean(const cks_trait_task *work, const char *why)
{
  return cks_findings_add(work->task->findings, CKS_RULE_NO_MEAN_OVER_PLACES, CKS_NOWHERE, work->trait->label, NULL,
                          work->task->error, "%s: %s; each place stands by itself", work->trait->label, why);
}

/* Fixed places: hybrid x location is fixed too, so a hybrid that is missing somewhere has no mean over all of them. */
static const char *fixed_words(const cks_trait_task *work, cks_balance b)
{
  return cks_arena_format(work->task->results->arena,
                          "%s: over fixed locations there are no means then; without --locations fixed a mixed model "
                          "adjusts them",
                          cks_across_lack(work, b));
}

/* Why a series that is not balanced is not even given to the mixed model; NULL: it is. */
static cks_status unmodeled(const cks_trait_task *work, const cks_balanced_series *s, cks_balance b,
                            const cks_analysis *a, const char **why)
{
  size_t n_set = 0;
  uint32_t *set = cks_arena_take(work->scratch, work->task->trial->n_hybrid, sizeof *set);
  cks_status status = set ? cks_series_sets(work, NULL, set, &n_set) : cks_error_nomem(work->task->error);
  *why = work->values.untested ? work->values.untested
         : a->n_hybrid < 2     ? "one hybrid only: nothing to compare it with"
         : is_fixed(work, s)   ? fixed_words(work, b)
         : n_set > 1           ? "no place joins these hybrids: they cannot be compared"
                               : NULL;
  return status;
}

static cks_status analyze_unbalanced(const cks_trait_task *work, cks_balanced_series *s, cks_balance b, cks_analysis *a)
{
  bool done = false;
  const char *why = NULL;
  cks_status status = unmodeled(work, s, b, a, &why);
  if (status == CKS_OK && !why) status = cks_across_mixed(work, s, b, a, &done);
  if (status != CKS_OK || done) return status;
  for (size_t i = 0; i < a->n_hybrid; i++) a->hybrid[i].raw_mean = cks_missing(); /* over unequal sets of places */
  return list_only(work, "unbalanced series", why ? why : a->why, a);
}

/* ---- places that stand apart ------------------------------------------------------------------------------------ */

cks_status cks_series_inside(const cks_trait_task *work, cks_trait_task *inside)
{
  *inside = *work;
  inside->n_place = 0;
  inside->place = cks_arena_take(work->scratch, work->n_place, sizeof *inside->place);
  if (!inside->place) return cks_error_nomem(work->task->error);
  for (size_t j = 0; j < work->n_place; j++)
    if (!work->place[j].apart) inside->place[inside->n_place++] = work->place[j];
  return CKS_OK;
}

const char *cks_series_apart_words(const cks_trait_task *work)
{
  enum { MOST_NAMED = 4 };
  const char *text = "";
  size_t n = 0;
  for (size_t j = 0; j < work->n_place; j++) {
    const cks_place *place = &work->place[j];
    if (!place->apart || n++ >= MOST_NAMED) continue;
    text = cks_arena_format(work->scratch, "%s%s%s (%s)", text, *text ? ", " : "",
                            work->task->trial->environment[place->environment].label, place->apart);
  }
  if (n > MOST_NAMED) text = cks_arena_format(work->scratch, "%s and %zu more", text, n - MOST_NAMED);
  return n ? cks_arena_format(work->task->results->arena, "not in the means: %s", text) : "";
}

/* Why there is no mean: what ails the places that stand apart, then who they are. */
static const char *too_few_words(const cks_trait_task *work, const char *apart)
{
  cks_arena *arena = work->task->results->arena;
  const char *reasons = "";
  size_t n_apart = 0, n_reason = 0;
  for (size_t j = 0; j < work->n_place; j++) {
    const char *reason = work->place[j].apart;
    bool said = !reason;
    n_apart += reason != NULL;
    for (size_t i = 0; i < j && !said; i++) said = work->place[i].apart && !strcmp(work->place[i].apart, reason);
    if (said) continue;
    reasons = cks_arena_format(work->scratch, "%s%s%s", reasons, n_reason++ ? " or " : "", reason);
  }
  if (n_reason == 1 && n_apart == work->n_place) return cks_arena_format(arena, "%s at every place", reasons);
  return cks_arena_format(arena, "%s: too few places for a mean over places; %s", reasons, apart);
}

/* ---- the series -------------------------------------------------------------------------------------------------- */

/* What the series is, and rows of its hybrids without a figure. */
static cks_status describe(const cks_trait_task *work, cks_balanced_series *s, cks_analysis *a)
{
  cks_status status = find_form(work, s);
  a->n_environment = (uint32_t)s->e;
  a->n_location = (uint32_t)s->l;
  a->n_year = (uint32_t)s->y;
  if (status == CKS_OK) status = list_hybrids(work, a);
  return status == CKS_OK ? cks_assume_across(work, a) : status;
}

cks_status cks_series_analyze(const cks_trait_task *work, cks_balanced_series *s, cks_analysis *a)
{
  bool done = false;
  cks_status status = describe(work, s, a);
  if (status != CKS_OK) return status;
  cks_balance b = look_at_balance(work, s);
  if (is_tabled(work, s, b)) return analyze_balanced(work, s, a);
  if (is_averaged(work, s, b)) status = cks_across_fixed(work, s, a, &done);
  if (status != CKS_OK || done) return status;
  return analyze_unbalanced(work, s, b, a);
}

/* The places that go in, without the hybrids set aside. whole: all places, as those are without them. */
static cks_status begin(const cks_trait_task *work, cks_trait_task *whole, cks_trait_task *inside, cks_aside *aside)
{
  cks_status status = cks_set_aside(work, whole, aside);
  return status == CKS_OK ? cks_series_inside(whole, inside) : status;
}

cks_status cks_across_analyze(const cks_trait_task *work, cks_analysis *a)
{
  cks_trait_task whole, inside;
  cks_aside aside;
  cks_analysis_clear(work->task, a);
  a->label = "all";
  cks_status status = begin(work, &whole, &inside, &aside);
  if (status != CKS_OK) return status;
  cks_balanced_series s = {0};
  a->apart = cks_series_apart_words(&whole);
  a->aside = cks_aside_words(work, &aside);
  if (inside.n_place < 2) {
    const char *why = too_few_words(&whole, a->apart);
    a->apart = "";
    status = describe(work, &s, a);
    return status == CKS_OK ? list_only(work, "series", why, a) : status;
  }
  a->note = cks_join(work->task->results->arena, a->aside, a->apart);
  status = cks_series_analyze(&inside, &s, a);
  if (status == CKS_OK && a->method == CKS_METHOD_NONE) status = say_no_mean(&inside, a->why);
  return status == CKS_OK ? cks_aside_list(work, &aside, a) : status;
}

cks_status cks_across_audit(const cks_trait_task *work)
{
  cks_trait_task whole, inside;
  cks_aside aside;
  cks_status status = begin(work, &whole, &inside, &aside);
  if (status != CKS_OK || inside.n_place < 2) return status;
  cks_balanced_series s = {0};
  status = find_form(&inside, &s);
  if (status != CKS_OK) return status;
  cks_balance b = look_at_balance(&inside, &s);
  bool means = is_tabled(&inside, &s, b) || is_averaged(&inside, &s, b) || !is_fixed(&inside, &s);
  return means ? CKS_OK : say_no_mean(&inside, fixed_words(&inside, b));
}
