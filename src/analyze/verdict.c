/*
 * verdict.c: can one ranking serve the environments? Three answers, by a stated rule.
 *
 *   the order changes      hybrid x environment is significant, and some pair is apart in both senses: above in one
 *                          environment and below in another, each by a t test at alpha / [e g (g - 1) / 2] (Bonferroni)
 *   one ranking serves     the upper 1 - alpha limit of (variance of the interaction - half the variance of hybrids) is
 *                          below 0 (math/mean_squares.h), and that of the interaction alone below half the variance of
 *                          hybrids as estimated
 *   cannot tell            neither; always so where an environment has no plot error of its own
 *
 * Everything is made of the table of adjusted means as they are tested. Hybrid x environment: what hybrid + environment by
 * least squares leave over, over the variance of a mean by the plot error, by unweighted means (Yates 1934, J. Am. Stat.
 * Assoc. 29:51, from memory); exact when all means are as sure. Where they are not, the numerator's df are cut by the
 * evenness of their variances (Box 1954, Ann. Math. Stat. 25:290). Components come from the mean squares of the largest
 * complete part; with several years of hybrid x location, hybrid x year and hybrid x environment, which asks for locations
 * and years crossed: the interaction is then the sum of all three.
 */
#include "cells.h"

#include "../math/distributions.h"
#include "../math/mean_squares.h"
#include "../math/sums.h"

#include <math.h>
#include <stdlib.h>

enum { MOST_LISTED = 100 };
static const double SMALLEST_P = 0.001; /* told of a smaller one */

/* The plot error as it is at each environment. */
typedef struct {
  double *ms, *df;      /* size e: its own, or that of all */
  double *variance;     /* size e: of an adjusted mean there, half that of a difference */
  double mean, df_mean; /* of `variance` over all means; its df */
  const char *lack;     /* NULL, or why there is none: a part of a sentence */
} plot_error;

/* ---- the plot error --------------------------------------------------------------------------------------------- */

static bool has_error(const cks_place *place)
{
  return place->method == CKS_METHOD_ANOVA && !place->check_plots && place->fit.df_error >= 1;
}

/* Half the mean variance of a difference, in units of the error. */
static double half_pair(const cks_spread *s)
{
  cks_sum sum = {0};
  double pairs = 0;
  for (size_t a = 0; a < s->n_class; a++)
    for (size_t b = 0; b <= a; b++) {
      double size = s->class_size[a], count = a == b ? size * (size - 1) / 2 : size * s->class_size[b];
      if (count > 0) cks_sum_add(&sum, count * s->pair[a * s->n_class + b]);
      pairs += count;
    }
  return cks_sum_value(&sum) / pairs / 2;
}

/* Names the first environment that lacks one, or says that all do. */
static const char *lack_of(const cks_cells *c)
{
  const cks_trait_task *work = c->work;
  size_t first = c->e, n = 0, n_single = 0;
  for (size_t j = c->e; j-- > 0;) {
    const cks_place *place = &work->place[j];
    if (has_error(place)) continue;
    n_single += place->check_plots || place->layout.n == place->layout.n_hybrid;
    first = j;
    n++;
  }
  if (!n) return NULL;
  return cks_arena_format(
      work->task->results->arena, "%s at %s", n_single == n ? "one plot of each hybrid" : "no plot error",
      n == c->e ? "each place" : work->task->trial->environment[work->place[first].environment].label);
}

/* One error for all, or by request one for each; then the mean one has the df of a sum (Satterthwaite 1946). */
static void spread_errors(const cks_cells *c, plot_error *error)
{
  const cks_trait_task *work = c->work;
  bool own = work->task->settings->error_by_location;
  double ss = 0, df = -work->values.strips_df, all = 0, squares = 0, n = (double)c->n_cell;
  for (size_t j = 0; j < c->e; j++) {
    ss += work->place[j].fit.ss_error;
    df += work->place[j].fit.df_error + work->place[j].strips_df;
  }
  for (size_t j = 0; j < c->e; j++) {
    const cks_fit *fit = &work->place[j].fit;
    error->ms[j] = own ? fit->ss_error / fit->df_error : ss / df;
    error->df[j] = own ? fit->df_error : df;
    error->variance[j] = error->ms[j] * half_pair(&fit->spread);
    double part = c->grown[j] * error->variance[j] / n;
    all += part;
    squares += part * part / error->df[j];
  }
  error->mean = all;
  error->df_mean = own ? all * all / squares : df;
}

static cks_status find_error(const cks_cells *c, plot_error *error)
{
  cks_arena *scratch = c->work->scratch;
  *error = (plot_error){.ms = cks_arena_take(scratch, c->e, sizeof(double)),
                        .df = cks_arena_take(scratch, c->e, sizeof(double)),
                        .variance = cks_arena_take(scratch, c->e, sizeof(double)),
                        .lack = lack_of(c)};
  if (!error->ms || !error->df || !error->variance) return cks_error_nomem(c->work->task->error);
  if (!error->lack) spread_errors(c, error);
  if (!error->lack && !(error->df_mean >= 1)) error->lack = "too few plots for a plot error";
  return CKS_OK;
}

/* ---- hybrid x environment --------------------------------------------------------------------------------------- */

/* 1 when all means are as sure, else less. */
static double evenness(const cks_cells *c, const plot_error *error)
{
  double squares = 0, n = (double)c->n_cell;
  for (size_t j = 0; j < c->e; j++) squares += c->grown[j] * error->variance[j] * error->variance[j];
  return fmin(1, error->mean * error->mean * n / squares);
}

static void test_interaction(const cks_cells *c, const plot_error *error, cks_interaction *a)
{
  a->cell_variance = error->mean;
  a->den_df = error->df_mean;
  if (!(c->df_left >= 1)) return;
  a->num_df = c->df_left * evenness(c, error);
  a->f = a->ss / a->df / error->mean;
  a->p = cks_f_p(a->f, a->num_df, a->den_df);
}

/* ---- pairs that change sides ------------------------------------------------------------------------------------ */

typedef struct {
  const cks_cells *c;
  const plot_error *error;
  double *critical; /* size e: of t at each environment */
  double *least;    /* size e: no smaller difference of any pair counts there */
} sides;

/* The difference of two hybrids' means in parts of what it must be there; 0 where they are not both, or it is less. */
static double apart(const sides *s, size_t i, size_t k, size_t j)
{
  const cks_cells *c = s->c;
  uint32_t a = c->local[i * c->e + j], b = c->local[k * c->e + j];
  if (a == CKS_NONE || b == CKS_NONE) return 0;
  const cks_fit *fit = &c->work->place[j].fit;
  double difference = fit->mean[a] - fit->mean[b];
  if (!(fabs(difference) > s->least[j])) return 0;
  double must = s->critical[j] * sqrt(s->error->ms[j] * cks_spread_pair(&fit->spread, a, b)) * (1 + 1e-9);
  return fabs(difference) > must ? difference / must : 0;
}

/* The surest so far: a heap whose first is the least sure. */
typedef struct {
  size_t n;
  double *sure;
  cks_crossover *pair;
} surest;

static void swap(surest *s, size_t i, size_t k)
{
  double sure = s->sure[i];
  cks_crossover pair = s->pair[i];
  s->sure[i] = s->sure[k];
  s->pair[i] = s->pair[k];
  s->sure[k] = sure;
  s->pair[k] = pair;
}

/* Pairs come in one order, so equally sure ones keep their order of coming: the later is the less sure. */
static void keep(surest *s, double sure, cks_crossover pair)
{
  size_t i = s->n;
  if (s->n == MOST_LISTED && sure <= s->sure[s->n - 1]) return;
  if (s->n < MOST_LISTED)
    s->n++;
  else
    i--;
  s->sure[i] = sure;
  s->pair[i] = pair;
  for (; i > 0 && s->sure[i] > s->sure[i - 1]; i--) swap(s, i, i - 1);
}

static double shown_difference(const cks_cells *c, size_t i, size_t k, size_t j)
{
  const cks_place *place = &c->work->place[j];
  return place->mean[c->local[i * c->e + j]] - place->mean[c->local[k * c->e + j]];
}

static void look_at_pair(const sides *s, size_t i, size_t k, surest *found, cks_interaction *a)
{
  const cks_cells *c = s->c;
  double above = 0, below = 0;
  size_t above_at = 0, below_at = 0;
  for (size_t j = 0; j < c->e; j++) {
    double by = apart(s, i, k, j);
    if (by > above) above = by, above_at = j;
    if (-by > below) below = -by, below_at = j;
  }
  if (!(above > 0 && below > 0)) return;
  a->crossovers++;
  keep(found, fmin(above, below),
       (cks_crossover){c->hybrid[i], c->hybrid[k], c->work->place[above_at].environment,
                       c->work->place[below_at].environment, shown_difference(c, i, k, above_at),
                       shown_difference(c, i, k, below_at)});
}

static cks_status find_sides(const cks_cells *c, const plot_error *error, cks_interaction *a)
{
  const cks_settings *settings = c->work->task->settings;
  sides s = {c, error, cks_arena_take(c->work->scratch, c->e, sizeof(double)),
             cks_arena_take(c->work->scratch, c->e, sizeof(double))};
  surest found = {0, cks_arena_take(c->work->scratch, MOST_LISTED, sizeof(double)),
                  cks_arena_take(c->work->task->results->arena, MOST_LISTED, sizeof(cks_crossover))};
  if (!s.critical || !s.least || !found.sure || !found.pair) return cks_error_nomem(c->work->task->error);
  double g = (double)c->g, tests = (double)c->e * g * (g - 1) / 2;
  for (size_t j = 0; j < c->e; j++) {
    const cks_spread *spread = &c->work->place[j].fit.spread;
    s.critical[j] = cks_t_critical(settings->alpha / tests, error->df[j]);
    s.least[j] = s.critical[j] * cks_spread_sed(spread, error->ms[j]).smallest * (1 - 1e-9);
  }
  for (size_t i = 0; i < c->g; i++)
    for (size_t k = i + 1; k < c->g; k++) look_at_pair(&s, i, k, &found, a);
  a->crossovers_tested = true;
  a->n_crossover = found.n;
  a->crossover = found.pair;
  return CKS_OK;
}

/* ---- how large the interaction is ------------------------------------------------------------------------------- */

/* The environments of the part: locations and years crossed, or one of them alone. *form says which; e 0: neither. */
typedef struct {
  cks_trait_task work;
  cks_balanced_series s;
  uint32_t *column; /* size s.e */
} complete_part;

/* Takes away the locations that do not stand in every year of the part. */
static void take_crossed(complete_part *p)
{
  size_t n = 0;
  for (size_t j = 0; j < p->s.e; j++) {
    size_t years = 0;
    for (size_t k = 0; k < p->s.e; k++) years += p->s.location[k] == p->s.location[j];
    if (years != p->s.y) continue;
    p->work.place[n] = p->work.place[j];
    p->column[n++] = p->column[j];
  }
  p->work.n_place = n;
}

static cks_status find_complete(const cks_cells *c, complete_part *p)
{
  const cks_trait_task *work = c->work;
  *p = (complete_part){.work = *work, .column = cks_arena_take(work->scratch, c->n_column, sizeof(uint32_t))};
  p->work.n_place = c->n_column;
  p->work.place = cks_arena_take(work->scratch, c->n_column, sizeof *p->work.place);
  if (!p->work.place || !p->column) return cks_error_nomem(work->task->error);
  for (size_t j = 0; j < c->n_column; j++) {
    p->column[j] = c->column[j];
    p->work.place[j] = work->place[c->column[j]];
  }
  cks_status status = cks_series_form_find(&p->work, &p->s);
  if (status != CKS_OK || p->s.form == BY_LOCATION_AND_YEAR || p->s.y == 1 || p->s.l == 1) return status;
  take_crossed(p);
  if (p->work.n_place) status = cks_series_form_find(&p->work, &p->s);
  if (!p->work.n_place || p->s.form != BY_LOCATION_AND_YEAR) p->s.e = 0;
  return status;
}

/* Its table of means as tested, and the terms on their basis. */
static cks_status fill_terms(const cks_cells *c, complete_part *p, cks_balanced_table *t)
{
  size_t g = p->s.g = c->n_row;
  double *hybrid = cks_arena_take(c->work->scratch, g, sizeof *hybrid),
         *environment = cks_arena_take(c->work->scratch, p->s.e, sizeof *environment);
  p->s.r = 1;
  p->s.cell = cks_arena_take(c->work->scratch, g * p->s.e, sizeof *p->s.cell);
  if (!hybrid || !environment || !p->s.cell) return cks_error_nomem(c->work->task->error);
  for (size_t j = 0; j < p->s.e; j++)
    for (size_t i = 0; i < g; i++)
      p->s.cell[j * g + i] = p->work.place[j].fit.mean[c->local[c->row[i] * c->e + p->column[j]]];
  return cks_balanced_terms(&p->work, &p->s, hybrid, environment, t);
}

static double variance_of(const complete_part *p, const plot_error *error)
{
  double sum = 0;
  for (size_t j = 0; j < p->s.e; j++) sum += error->variance[p->column[j]];
  return sum / (double)p->s.e;
}

/* Weights of the mean squares in the interaction and in the variance of hybrids, in one order: hybrid, then the parts of
 * the interaction, then the plot error. */
enum { HYBRID, BY_PLACE, BY_YEAR, BY_BOTH, ERROR, N_MS };

static void weigh(const complete_part *p, double *interaction, double *hybrid)
{
  double l = (double)p->s.l, y = (double)p->s.y, e = (double)p->s.e;
  bool crossed = p->s.form == BY_LOCATION_AND_YEAR;
  double plain[N_MS] = {[BY_PLACE] = 1, [ERROR] = -1}, plain_hybrid[N_MS] = {[HYBRID] = 1 / e, [BY_PLACE] = -1 / e};
  double both[N_MS] = {[BY_PLACE] = 1 / y, [BY_YEAR] = 1 / l, [BY_BOTH] = 1 - 1 / y - 1 / l, [ERROR] = -1};
  double both_hybrid[N_MS] = {
      [HYBRID] = 1 / (l * y), [BY_PLACE] = -1 / (l * y), [BY_YEAR] = -1 / (l * y), [BY_BOTH] = 1 / (l * y)};
  for (size_t k = 0; k < N_MS; k++) {
    interaction[k] = crossed ? both[k] : plain[k];
    hybrid[k] = crossed ? both_hybrid[k] : plain_hybrid[k];
  }
}

static double upper(const double *weight, const cks_balanced_term *const *term, double alpha)
{
  cks_mean_square list[N_MS];
  size_t n = 0;
  for (size_t k = 0; k < N_MS; k++)
    if (weight[k] != 0) list[n++] = (cks_mean_square){weight[k], term[k]->ms, term[k]->df};
  return cks_mean_squares_upper(n, list, alpha);
}

static cks_status find_components(const cks_cells *c, const plot_error *error, cks_interaction *a)
{
  complete_part p;
  cks_balanced_table t = {0};
  double interaction[N_MS], hybrid[N_MS], excess[N_MS], alpha = c->work->task->settings->alpha;
  cks_status status = find_complete(c, &p);
  if (status == CKS_OK && p.s.e < 2) a->components_why = "locations and years are not crossed";
  if (status == CKS_OK && p.s.e >= 2) status = fill_terms(c, &p, &t);
  if (status != CKS_OK || p.s.e < 2) return status;
  t.error = (cks_balanced_term){error->df_mean, error->df_mean * variance_of(&p, error), variance_of(&p, error)};
  double even = evenness(c, error);
  t.by_location.df *= even;
  t.by_year.df *= even;
  t.by_environment.df *= even;
  const cks_balanced_term *const term[N_MS] = {[HYBRID] = &t.hybrid,
                                               [BY_PLACE] = &t.by_location,
                                               [BY_YEAR] = &t.by_year,
                                               [BY_BOTH] = &t.by_environment,
                                               [ERROR] = &t.error};
  weigh(&p, interaction, hybrid);
  a->component = a->hybrid_component = 0;
  for (size_t k = 0; k < N_MS; k++) {
    excess[k] = interaction[k] - hybrid[k] / 2;
    if (interaction[k] != 0) a->component += interaction[k] * term[k]->ms;
    if (hybrid[k] != 0) a->hybrid_component += hybrid[k] * term[k]->ms;
  }
  a->component_upper = upper(interaction, term, alpha);
  a->excess_upper = upper(excess, term, alpha);
  a->component_environments = (uint32_t)p.s.e;
  return CKS_OK;
}

/* ---- the verdict ------------------------------------------------------------------------------------------------ */

static const char *basis_of(const cks_cells *c, const plot_error *error, const cks_interaction *a)
{
  cks_arena *arena = c->work->task->results->arena;
  double alpha = c->work->task->settings->alpha;
  if (error->lack) return cks_arena_format(arena, "%s: whether the order changes was not tested", error->lack);
  if (cks_is_missing(a->f)) return "no degrees of freedom for hybrid x environment";
  const char *p = a->p < SMALLEST_P ? "< 0.001" : cks_arena_format(arena, "%.3f", a->p);
  const char *f = cks_arena_format(arena, "hybrid x environment F %.2f, p %s", a->f, p);
  if (a->verdict == CKS_VERDICT_CHANGES)
    return cks_arena_format(arena, "%s; pairs that change sides, each test at %.2g: %u", f,
                            alpha / ((double)c->e * (double)c->g * ((double)c->g - 1) / 2), a->crossovers);
  if (*a->components_why)
    return cks_arena_format(arena, "%s; how large the interaction may be was not worked out: %s", f, a->components_why);
  return cks_arena_format(
      arena,
      "%s; variance of the interaction %.3g, at most %.3g, that of hybrids %.3g; the first less half "
      "the second is at most %.3g, to be below 0 for one ranking",
      f, a->component, a->component_upper, a->hybrid_component, a->excess_upper);
}

cks_status cks_verdict_fill(const cks_cells *c, cks_interaction *a)
{
  plot_error error;
  double alpha = c->work->task->settings->alpha;
  a->ss = c->ss_left;
  a->df = c->df_left;
  a->verdict = CKS_VERDICT_CANNOT_TELL;
  cks_status status = find_error(c, &error);
  if (status == CKS_OK && !error.lack) {
    test_interaction(c, &error, a);
    if (a->p <= alpha) status = find_sides(c, &error, a);
    if (status == CKS_OK && c->n_row) status = find_components(c, &error, a);
  }
  if (status != CKS_OK) return status;
  if (a->crossovers)
    a->verdict = CKS_VERDICT_CHANGES;
  else if (a->excess_upper < 0 && a->component_upper < a->hybrid_component / 2)
    a->verdict = CKS_VERDICT_ONE_RANKING;
  a->basis = basis_of(c, &error, a);
  return CKS_OK;
}
