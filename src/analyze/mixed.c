/*
 * mixed.c: see mixed.h.
 *
 * Hybrids fixed: adjusted means, each difference with its own SED and df (Kenward & Roger 1997, Biometrics 53:983, up to
 * 10,000 plots and 1,000 an environment; beyond, Satterthwaite's), F of all hybrids, and beside them the same model with
 * hybrids random, for repeatability (Cullis, Smith & Coombes 2006, J. Agric. Biol. Environ. Stat. 11:381, from memory) and
 * shrunken means. Hybrids random: the shrunken means alone, and nothing is compared. Percents are tested on the arcsine
 * scale and shown as the same model's means of the percents.
 */
#include "mixed.h"

#include "compare.h"

#include "../math/distributions.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
  MOST_KENWARD_ROGER = 10000, /* plots */
  MOST_IN_ONE = 1000,         /* plots of an environment, for the same */
  MOST_PAIRS = 600,           /* hybrids of which every difference gets its own df */
  MOST_PREDICTED = 1000,      /* hybrids up to which a fit with hybrids random is made beside the fixed one */
  FEWEST_DF = 1
};

typedef struct {
  const cks_trait_task *work;
  const cks_mixed_plots *plots;
  const cks_mixed_names *names;
  cks_analysis *a;
} job;

/* ---- fits ------------------------------------------------------------------------------------------------------- */

/* What the engine cannot work out is an outcome, not an error of the run: *done false then. */
static cks_status as_outcome(const job *j, cks_status status, const cks_error *own, bool *done)
{
  *done = status == CKS_OK;
  if (status == CKS_OK || status == CKS_NUMERIC) return CKS_OK;
  return cks_error_set(j->work->task->error, status, "%s", own->text);
}

/* values: of the trial's plots, tested or shown. What the engine could not fit stands in its outcome. begin: NULL, or where
 * the climb begins. */
static cks_status estimate(const job *j, const double *values, bool random, const double *begin, cks_arena *arena,
                           cks_reml **reml)
{
  const cks_mixed_plots *p = j->plots;
  cks_error own = {0}, *error = &own;
  bool done;
  double *y = cks_arena_take(arena, p->n, sizeof *y);
  if (!y) return cks_error_nomem(j->work->task->error);
  for (size_t i = 0; i < p->n; i++) y[i] = values[p->plot[i]];
  cks_reml_data data = {p->n,     p->n_hybrid, p->n_environment, p->hybrid, p->environment, p->rep,
                        p->block, y,           p->location,      p->year};
  cks_reml_model model = p->model;
  model.hybrids_random = random;
  cks_status status = cks_reml_new(&data, &model, arena, reml, error);
  if (status == CKS_OK && begin) cks_reml_begin(*reml, begin);
  if (status == CKS_OK) status = cks_reml_estimate(*reml, error);
  return as_outcome(j, status, error, &done);
}

static bool is_good(const cks_reml *reml) { return cks_reml_result(reml)->outcome == CKS_REML_CONVERGED; }

/* An error so small is rounding of values that the model accounts for. */
static bool has_error(const job *j, const cks_reml *reml)
{
  double largest = 0, error = INFINITY;
  const cks_reml_fit *fit = cks_reml_result(reml);
  for (size_t i = 0; i < j->plots->n; i++) largest = fmax(largest, fabs(j->work->values.tested[j->plots->plot[i]]));
  for (size_t k = CKS_REML_ERROR; k < fit->n_theta; k++) error = fmin(error, fit->theta[k]);
  return !cks_is_rounding(error * (double)j->plots->n, j->plots->n, largest);
}

static cks_status choose_df(const job *j, cks_reml_df *method)
{
  const cks_mixed_plots *p = j->plots;
  cks_df_method asked = j->work->task->settings->df;
  size_t most = 0, *count = cks_arena_take(j->work->scratch, p->n_environment, sizeof *count);
  if (!count) return cks_error_nomem(j->work->task->error);
  for (size_t i = 0; i < p->n; i++)
    if (++count[p->environment[i]] > most) most = count[p->environment[i]];
  bool small = p->n <= MOST_KENWARD_ROGER && most <= MOST_IN_ONE;
  *method = p->n_hybrid > MOST_PAIRS                 ? CKS_REML_SAMPLED
            : small && asked != CKS_DF_SATTERTHWAITE ? CKS_REML_KENWARD_ROGER
                                                     : CKS_REML_SATTERTHWAITE;
  return CKS_OK;
}

/* ---- what the model is ------------------------------------------------------------------------------------------ */

static const char *name_of(const job *j, size_t k)
{
  switch (k) {
  case CKS_REML_ENVIRONMENT:
    return j->names->environment;
  case CKS_REML_REP:
    return j->names->rep;
  case CKS_REML_BLOCK:
    return j->names->block;
  case CKS_REML_CELL:
    return j->names->cell;
  case CKS_REML_HYBRID:
    return "hybrid";
  case CKS_REML_BY_LOCATION:
    return "hybrid x location";
  case CKS_REML_BY_YEAR:
    return "hybrid x year";
  default:
    break;
  }
  if (!j->plots->model.error_by_environment) return "error";
  const cks_environment *e = &j->work->task->trial->environment[j->work->place[k - CKS_REML_ERROR].environment];
  return cks_arena_format(j->work->task->results->arena, "error %s", e->label);
}

static void say_outcome(const job *j, const cks_reml_fit *fit)
{
  cks_arena *arena = j->work->task->results->arena;
  const char *bound = "";
  if (fit->outcome != CKS_REML_CONVERGED) {
    j->a->outcome = fit->outcome == CKS_REML_NO_ERROR ? "no error left" : "not converged";
    return;
  }
  for (size_t k = 0; k < CKS_REML_ERROR; k++)
    if (fit->used[k] && !(fit->theta[k] > 0))
      bound = cks_arena_format(j->work->scratch, "%s%s%s", bound, *bound ? ", " : "", name_of(j, k));
  j->a->outcome = *bound ? cks_arena_format(arena, "converged; at its bound of 0: %s", bound) : "converged";
}

/* The components; with a second fit that of hybrids before them. */
static cks_status list_components(const job *j, const cks_reml_fit *fit, const double *se, const cks_reml_fit *random,
                                  const double *random_se)
{
  cks_analysis *a = j->a;
  cks_variance *v = cks_arena_take(j->work->task->results->arena, fit->n_theta + 1, sizeof *v);
  if (!v) return cks_error_nomem(j->work->task->error);
  size_t n = 0;
  if (random && random != fit)
    v[n++] = (cks_variance){"hybrid", random->theta[CKS_REML_HYBRID], random_se[CKS_REML_HYBRID]};
  for (size_t k = 0; k < fit->n_theta; k++)
    if (fit->used[k]) v[n++] = (cks_variance){name_of(j, k), fit->theta[k], se[k]};
  a->variance = v;
  a->n_variance = n;
  return CKS_OK;
}

static void fill_error(const job *j, const cks_reml_fit *fit)
{
  cks_analysis *a = j->a;
  const cks_values *v = &j->work->values;
  bool plots = fit->used[CKS_REML_CELL] || a->environment != CKS_NONE; /* else the error holds the interaction */
  if (j->plots->model.error_by_environment) return;
  a->error_ms = fit->theta[CKS_REML_ERROR];
  if (plots && v->true_zero && !v->arcsine && a->plot_mean > 0) a->cv_pct = 100 * sqrt(a->error_ms) / a->plot_mean;
}

/* ---- hybrids ---------------------------------------------------------------------------------------------------- */

static double in_percent(double value) { return fmin(fmax(value, 0), 100); } /* an adjustment may pass the ends */

/* Means as shown, where the tests stand on another scale. */
static cks_status show_percents(const job *j, bool random, bool *done)
{
  cks_arena *arena = cks_arena_new();
  cks_reml *reml = NULL;
  cks_error own = {0};
  cks_status status =
      arena ? estimate(j, j->work->values.shown, random, NULL, arena, &reml) : cks_error_nomem(j->work->task->error);
  *done = status == CKS_OK && is_good(reml);
  if (*done && random) {
    cks_reml_prediction p;
    status = as_outcome(j, cks_reml_predict(reml, arena, &p, &own), &own, done);
    for (size_t i = 0; status == CKS_OK && *done && i < p.n; i++)
      j->a->hybrid[i].mean = in_percent(p.mean + p.effect[i]);
  } else if (*done) {
    cks_reml_inference p;
    status = as_outcome(j, cks_reml_infer(reml, CKS_REML_SAMPLED, arena, &p, &own), &own, done);
    for (size_t i = 0; status == CKS_OK && *done && i < p.n; i++) j->a->hybrid[i].mean = in_percent(p.mean[i]);
  }
  cks_arena_free(arena);
  return status;
}

static void show_means(const job *j, const double *mean)
{
  for (size_t i = 0; i < j->plots->n_hybrid; i++) j->a->hybrid[i].mean = mean[i];
}

/* The covariance becomes the variances of differences, in place: every hybrid a class of its own. */
static cks_status make_spread(const job *j, const cks_reml_inference *p, cks_spread *spread)
{
  size_t g = p->n;
  double *v = p->covariance, low = INFINITY, high = 0;
  *spread = (cks_spread){.n = g,
                         .n_class = g,
                         .class_of = cks_arena_take(j->work->scratch, g, sizeof *spread->class_of),
                         .class_size = cks_arena_take(j->work->scratch, g, sizeof *spread->class_size),
                         .own = cks_arena_take(j->work->scratch, g, sizeof *spread->own),
                         .pair = v,
                         .df = p->df};
  cks_status status = cks_arena_status(j->work->scratch, j->work->task->error);
  if (status != CKS_OK) return status;
  for (size_t i = 0; i < g; i++) {
    spread->class_of[i] = (uint32_t)i;
    spread->class_size[i] = 1;
    spread->own[i] = v[i * g + i];
  }
  for (size_t i = 0; i < g; i++)
    for (size_t k = 0; k < g; k++) {
      v[i * g + k] = i == k ? 0 : spread->own[i] + spread->own[k] - 2 * v[i * g + k];
      if (i == k || !p->df) continue;
      low = fmin(low, p->df[i * g + k]);
      high = fmax(high, p->df[i * g + k]);
    }
  spread->df_smallest = low;
  spread->df_largest = high;
  return CKS_OK;
}

static cks_status write_test(const job *j, const cks_reml_inference *p)
{
  cks_analysis *a = j->a;
  a->f = p->f;
  a->num_df = p->num_df;
  a->den_df = p->den_df;
  a->p = cks_f_p(a->f, a->num_df, a->den_df);
  a->significant = a->p <= a->alpha;
  a->anova = cks_arena_take(j->work->task->results->arena, 1, sizeof *a->anova);
  if (!a->anova) return cks_error_nomem(j->work->task->error);
  a->anova[0] = (cks_anova_line){"hybrid", a->num_df, cks_missing(), cks_missing(), a->f, a->p};
  a->n_anova = 1;
  return CKS_OK;
}

/* Hybrids random: shrunken means, reliability and repeatability; the means themselves where they are all that is asked. */
static cks_status predict(const job *j, cks_reml *reml, cks_arena *arena, cks_reml_prediction *p, bool *done)
{
  cks_error own = {0};
  cks_status status = as_outcome(j, cks_reml_predict(reml, arena, p, &own), &own, done);
  if (status != CKS_OK || !*done) return status;
  j->a->repeatability = fmax(0, p->repeatability);
  for (size_t i = 0; i < p->n; i++) {
    j->a->hybrid[i].reliability = p->reliability[i];
    if (!j->work->values.arcsine) j->a->hybrid[i].shrunken = p->mean + p->effect[i] + j->work->values.shift;
  }
  return CKS_OK;
}

/* Against the checks, wherever their rows stand: what the others have too, but nothing that claims. */
static cks_status fill_unranked(const job *j, cks_hybrid_result *row)
{
  const cks_results *results = j->work->task->results;
  const cks_analysis *a = j->a;
  bool share = j->work->values.true_zero;
  cks_vs_check *vs = cks_arena_take(results->arena, results->n_check, sizeof *vs);
  if (!vs) return cks_error_nomem(j->work->task->error);
  row->pct_of_mean = share && a->mean > 0 ? 100 * row->mean / a->mean : cks_missing();
  for (size_t k = 0; k < results->n_check; k++) {
    double mean = cks_missing();
    for (size_t i = 0; i < j->plots->n_hybrid; i++)
      if (a->hybrid[i].hybrid == results->check[k]) mean = a->hybrid[i].mean;
    vs[k] = cks_vs_nothing(results->check[k]);
    if (share && mean > 0) vs[k].pct = 100 * row->mean / mean;
    vs[k].difference = row->mean - mean;
  }
  row->vs_check = vs;
  return CKS_OK;
}

/* SED and LSD as the mean of all pairs, those of hybrids not ranked too. */
static void widen_sed(const cks_contest *all, cks_analysis *a)
{
  if (!all->spread || cks_is_missing(a->sed)) return;
  cks_sed sed = cks_spread_sed(all->spread, all->error_ms);
  double times = sed.mean / a->sed;
  a->sed = sed.mean;
  a->sed_min = sed.smallest;
  a->sed_max = sed.largest;
  a->lsd *= times;
  a->critical_difference *= times;
}

/* The comparisons are among the hybrids that are ranked; the rows of the others follow, as they stand. */
static cks_status compare(const job *j, const cks_contest *all)
{
  cks_analysis *a = j->a;
  size_t g = j->plots->n_hybrid, n = j->plots->n_ranked;
  uint32_t *member = cks_arena_take(j->work->scratch, n, sizeof *member);
  cks_contest own = *all;
  cks_spread part;
  cks_status status = member ? CKS_OK : cks_error_nomem(j->work->task->error);
  for (uint32_t i = 0; i < n && status == CKS_OK; i++) member[i] = i;
  if (n < g && all->spread && status == CKS_OK) {
    status = cks_spread_part(&part, all->spread, n, member, j->work->scratch, j->work->task->error);
    own.spread = &part;
  }
  a->n_hybrid = (uint32_t)n;
  if (status == CKS_OK) status = cks_compare(j->work, &own, a);
  a->n_hybrid = (uint32_t)g;
  a->n_aside = (uint32_t)(g - n);
  if (n < g) widen_sed(all, a);
  for (size_t i = n; i < g && status == CKS_OK; i++) {
    if (all->spread && !j->work->values.arcsine)
      a->hybrid[i].se = sqrt(all->error_ms * all->spread->own[all->spread->class_of[i]]);
    a->row_of[a->hybrid[i].hybrid] = (uint32_t)i;
    status = fill_unranked(j, &a->hybrid[i]);
  }
  return status;
}

/* ---- both ways -------------------------------------------------------------------------------------------------- */

static cks_status refuse(const job *j, const cks_reml_fit *fit, const char *why)
{
  say_outcome(j, fit);
  j->a->why = why;
  return CKS_OK;
}

static const char *failed_words(cks_reml_outcome outcome)
{
  return outcome == CKS_REML_NO_ERROR
             ? "hybrids, environments and reps account for every plot, so there is no error to test with"
             : "the mixed model found no best fit (too few plots for its components?), so nothing is given";
}

static cks_status analyze_random(const job *j, cks_arena *arena, bool *done)
{
  cks_analysis *a = j->a;
  cks_reml *reml = NULL;
  cks_reml_prediction p;
  cks_contest contest = {0};
  cks_status status = estimate(j, j->work->values.tested, true, NULL, arena, &reml);
  if (status != CKS_OK) return status;
  const cks_reml_fit *fit = cks_reml_result(reml);
  if (!is_good(reml) || !has_error(j, reml)) return refuse(j, fit, failed_words(fit->outcome));
  status = predict(j, reml, arena, &p, done);
  if (status == CKS_OK && *done && j->work->values.arcsine) status = show_percents(j, true, done);
  if (status != CKS_OK || !*done) return status;
  double *tested = cks_arena_take(j->work->scratch, p.n, sizeof *tested);
  if (!tested) return cks_error_nomem(j->work->task->error);
  for (size_t i = 0; i < p.n; i++) tested[i] = p.mean + p.effect[i] + j->work->values.shift;
  if (!j->work->values.arcsine) show_means(j, tested);
  a->method = CKS_METHOD_REML;
  a->loglik = -fit->minus2 / 2;
  a->lsd_why = "hybrids random: shrunken means are predictions, and are not compared by an LSD";
  say_outcome(j, fit);
  fill_error(j, fit);
  status = list_components(j, fit, p.theta_se, NULL, NULL);
  contest.tested = tested;
  return status == CKS_OK ? compare(j, &contest) : status;
}

/* Sets joined by checks alone: their hybrids are compared through the checks, which is less exact. */
static void say_sets(const job *j, const cks_spread *spread)
{
  double sum[2] = {0}, n[2] = {0};
  char within[CKS_NUMBER_TEXT], across[CKS_NUMBER_TEXT];
  const uint32_t *set = j->plots->set_of;
  if (!set || j->work->values.arcsine) return;
  for (size_t i = 0; i < spread->n; i++)
    for (size_t k = 0; k < i; k++) {
      if (set[i] == CKS_NONE || set[k] == CKS_NONE) continue;
      bool apart = set[i] != set[k];
      sum[apart] += sqrt(cks_spread_pair(spread, i, k));
      n[apart]++;
    }
  int digits = j->work->result->digits + 1;
  cks_print_number(across, sum[1] / n[1], digits);
  cks_print_number(within, sum[0] / n[0], digits);
  cks_arena *arena = j->work->task->results->arena;
  const char *beside = n[0] > 0 ? cks_arena_format(arena, ", and %s within a set", within) : "";
  j->a->joined = cks_arena_format(arena,
                                  "sets of hybrids that stand at no place together are compared through checks alone: "
                                  "the SED is %s on average between sets%s",
                                  across, beside);
  j->a->note = cks_join(arena, j->a->note, j->a->joined);
}

/* A strip adjustment estimated from the same plots takes df off every test, and widens the error by as much. */
static void take_strips_df(const job *j, cks_reml_inference *p)
{
  double taken = j->work->values.strips_df, left = (double)j->plots->n - (double)p->n - (double)j->plots->n_environment;
  if (!(taken > 0) || !(left > taken)) return;
  for (size_t i = 0; i < p->n * p->n; i++) {
    p->covariance[i] *= left / (left - taken);
    if (p->df) p->df[i] = fmax(p->df[i] - taken, 1);
  }
  p->df_smallest = fmax(p->df_smallest - taken, 1);
  p->df_median = fmax(p->df_median - taken, 1);
  p->den_df = fmax(p->den_df - taken, 1);
  p->f *= (left - taken) / left;
}

static cks_status fill_fixed(const job *j, const cks_reml_fit *fit, const cks_reml_inference *p, cks_reml_df method,
                             double *plain_variance)
{
  cks_analysis *a = j->a;
  cks_spread spread;
  double *tested = cks_arena_take(j->work->scratch, p->n, sizeof *tested);
  cks_status status = tested ? make_spread(j, p, &spread) : cks_error_nomem(j->work->task->error);
  if (status != CKS_OK) return status;
  for (size_t i = 0; i < p->n; i++) tested[i] = p->mean[i] + j->work->values.shift;
  if (!j->work->values.arcsine) show_means(j, tested);
  a->method = CKS_METHOD_REML;
  a->loglik = -fit->minus2 / 2;
  a->df_method = method == CKS_REML_KENWARD_ROGER ? "kenward-roger" : "satterthwaite";
  if (plain_variance) *plain_variance = p->plain_variance;
  say_outcome(j, fit);
  fill_error(j, fit);
  if (method == CKS_REML_SAMPLED)
    a->note = cks_join(j->work->task->results->arena, a->note,
                       "many hybrids: df worked out for some pairs, the smallest is used for all");
  if (p->n > MOST_PREDICTED)
    a->note = cks_join(j->work->task->results->arena, a->note,
                       "repeatability and shrunken means: up to 1,000 hybrids, or by --hybrids random");
  if (j->work->task->settings->df == CKS_DF_KENWARD_ROGER && method != CKS_REML_KENWARD_ROGER)
    a->note = cks_join(j->work->task->results->arena, a->note, "too many plots for the df of Kenward and Roger");
  say_sets(j, &spread);
  status = write_test(j, p);
  double df = method == CKS_REML_SAMPLED ? p->df_smallest : p->df_median;
  cks_contest contest = {
      .tested = tested, .spread = &spread, .error_ms = 1, .df = df, .test_ms = 1, .test_df = p->den_df};
  return status == CKS_OK ? compare(j, &contest) : status;
}

/* The same with hybrids random, from where the fixed fit ended and what its means vary by. */
static cks_status estimate_beside(const job *j, const cks_reml_fit *fit, const cks_reml_inference *p, cks_arena *arena,
                                  cks_reml **random)
{
  double mean = 0, ss = 0, g = (double)p->n, *theta = cks_arena_take(arena, fit->n_theta, sizeof *theta);
  if (!theta) return cks_error_nomem(j->work->task->error);
  for (size_t i = 0; i < p->n; i++) mean += p->mean[i] / g;
  for (size_t i = 0; i < p->n; i++) ss += (p->mean[i] - mean) * (p->mean[i] - mean);
  memcpy(theta, fit->theta, fit->n_theta * sizeof *theta);
  theta[CKS_REML_HYBRID] = fmax(ss / (g - 1) - p->plain_variance / 2, 0.05 * p->plain_variance);
  return estimate(j, j->work->values.tested, true, theta, arena, random);
}

static cks_status analyze_fixed(const job *j, cks_arena *arena, double *plain_variance, bool *done)
{
  cks_reml *reml = NULL, *random = NULL;
  cks_reml_inference p;
  cks_reml_prediction q = {0};
  cks_reml_df method = CKS_REML_SAMPLED;
  cks_error own = {0};
  bool known = false;
  cks_status status = choose_df(j, &method);
  if (status == CKS_OK) status = estimate(j, j->work->values.tested, false, NULL, arena, &reml);
  if (status != CKS_OK) return status;
  const cks_reml_fit *fit = cks_reml_result(reml), *other = NULL;
  if (!is_good(reml) || !has_error(j, reml)) return refuse(j, fit, failed_words(fit->outcome));
  status = as_outcome(j, cks_reml_infer(reml, method, arena, &p, &own), &own, &known);
  if (status == CKS_OK && !(known && p.den_df >= FEWEST_DF && p.f < INFINITY))
    return refuse(j, fit, "too few plots to know the components by: no error to test with");
  if (status == CKS_OK && p.n <= MOST_PREDICTED) status = estimate_beside(j, fit, &p, arena, &random);
  if (status == CKS_OK && random && is_good(random)) {
    other = cks_reml_result(random);
    status = predict(j, random, arena, &q, &known);
    if (!known) other = NULL;
  }
  if (status == CKS_OK) take_strips_df(j, &p);
  *done = true;
  if (status == CKS_OK && j->work->values.arcsine) status = show_percents(j, false, done);
  if (status == CKS_OK && *done) status = list_components(j, fit, p.theta_se, other, q.theta_se);
  return status == CKS_OK && *done ? fill_fixed(j, fit, &p, method, plain_variance) : status;
}

cks_status cks_mixed_analyze(const cks_trait_task *work, const cks_mixed_plots *plots, const cks_mixed_names *names,
                             cks_analysis *a, double *plain_variance, bool *done)
{
  job j = {work, plots, names, a};
  cks_arena *arena = cks_arena_new();
  *done = false;
  if (!arena) return cks_error_nomem(work->task->error);
  cks_status status = work->task->settings->hybrids_random ? analyze_random(&j, arena, done)
                                                           : analyze_fixed(&j, arena, plain_variance, done);
  if (status == CKS_OK && !*done && !*a->why) a->why = failed_words(CKS_REML_NOT_CONVERGED);
  cks_arena_free(arena);
  return status;
}
