/*
 * outliers.c: plots that lie further from their hybrid and rep than chance would put them: findings, never deletions.
 *
 * The studentized deleted residual t = e / sqrt(MSE without the plot x (1 - h)) is held against
 * t(1 - 0.05 / (2 n), df - 1), a Bonferroni bound over the n plots of the place (Cook & Weisberg 1982, Residuals and
 * Influence in Regression, section 2.2.2, from memory). Plots that alone decide their fitted value (h = 1) are skipped;
 * proportions and ratings too, whose residuals are far from normal. Places of single plots are looked at together, each
 * place as a rep.
 */
#include "designs.h"

#include "../math/distributions.h"

#include <math.h>

static const double OUTLIER_ALPHA = 0.05;

typedef struct {
  double residual, t; /* t missing where there is none */
} distance;

static distance distance_of(const cks_trait_task *work, const cks_place *place, size_t p)
{
  const cks_fit *fit = &place->fit;
  double e = work->values.tested[place->plot[p]] - fit->fitted[p], free = 1 - fit->leverage[p];
  if (cks_fit_is_alone(fit, p)) return (distance){e, cks_missing()};
  double left = fmax(fit->ss_error - e * e / free, 0); /* residual SS without the plot */
  return (distance){e, e / sqrt(left / (fit->df_error - 1) * free)};
}

/* The other plot when p is one of exactly two of its hybrid, else of its rep; p when there is none. */
static size_t twin_of(const cks_place *place, size_t p)
{
  const cks_layout *l = &place->layout;
  const uint32_t *of[2] = {l->hybrid, l->rep};
  for (int k = 0; k < 1 + place->reps_in_model; k++) {
    size_t others = 0, twin = p;
    for (size_t q = 0; q < l->n; q++)
      if (q != p && of[k][q] == of[k][p]) {
        others++;
        twin = q;
      }
    if (others == 1) return twin;
  }
  return p;
}

/* "12.3"; "12.3 (unadjusted 11.8)" of a strip that is adjusted. */
static const char *value_text(const cks_trait_task *work, uint32_t plot)
{
  const cks_values *v = &work->values;
  char shown[CKS_NUMBER_TEXT], plain[CKS_NUMBER_TEXT];
  int digits = work->result->digits + 1;
  cks_print_number(shown, v->shown[plot], digits);
  if (!v->unadjusted || v->unadjusted[plot] == v->shown[plot]) return cks_arena_text(work->scratch, shown);
  return cks_arena_format(work->scratch, "%s (unadjusted %s)", shown,
                          cks_print_number(plain, v->unadjusted[plot], digits));
}

/* "plot 204 of Orrin 61 (rep 2): 12.3". */
static const char *plot_text(const cks_trait_task *work, const cks_place *place, size_t p)
{
  const cks_trial *trial = work->task->trial;
  uint32_t plot = place->plot[p];
  cks_arena *arena = work->scratch;
  const char *value = value_text(work, plot);
  const char *name = trial->plot_of ? cks_names_text(&trial->names, trial->plot_of[plot]) : "";
  const char *rep = trial->rep_of && trial->rep_of[plot] != CKS_NONE
                        ? cks_arena_format(arena, " (rep %s)", trial->rep[trial->rep_of[plot]])
                        : "";
  const char *which = *name ? cks_arena_format(arena, "plot %s", name) : "a plot";
  return cks_arena_format(arena, "%s of %s%s: %s", which, trial->hybrid[trial->hybrid_of[plot]].full, rep, value);
}

/* What besides the hybrid a fitted value is made of. */
static const char *levels_words(const cks_place *place)
{
  if (place->environment == CKS_NONE) return " and place";
  return place->square ? ", row and column" : place->blocks ? " and block" : " and rep";
}

static cks_status report(const cks_trait_task *work, const cks_place *place, size_t p, size_t twin)
{
  const cks_task *task = work->task;
  const cks_trial *trial = task->trial;
  uint32_t plot = place->plot[p];
  cks_where where = cks_trial_where(trial, work->trait, plot);
  if (!cks_findings_wants(task->findings, CKS_RULE_OUTLIER, where.file))
    return cks_findings_add(task->findings, CKS_RULE_OUTLIER, where, work->trait->label, NULL, task->error, "%s", "");
  double fitted = place->fit.fitted[p] + work->values.shift;
  if (work->values.arcsine) fitted = 100 * sin(fitted) * sin(fitted);
  char expected[CKS_NUMBER_TEXT], value[CKS_NUMBER_TEXT];
  cks_print_number(expected, fitted, work->result->digits + 1);
  cks_print_number(value, work->values.shown[plot], work->result->digits + 1);
  const char *label = trial->environment[trial->environment_of[plot]].label, *unit = cks_unit_text(work->result->unit);
  const char *text = plot_text(work, place, p);
  if (twin == p)
    return cks_findings_add(task->findings, CKS_RULE_OUTLIER, where, work->trait->label, value, task->error,
                            "%s at %s, %s %s, where %s is expected from its hybrid%s; look at the paper",
                            work->trait->label, label, text, unit, expected, levels_words(place));
  return cks_findings_add(
      task->findings, CKS_RULE_OUTLIER, where, work->trait->label, value, task->error,
      "%s at %s, %s; %s %s: one of these two is far off, the data cannot say which; look at the paper",
      work->trait->label, label, text, plot_text(work, place, twin), unit);
}

static cks_status look_at_plots(const cks_trait_task *work, const cks_place *place)
{
  size_t n = place->layout.n;
  double limit = cks_t_critical(OUTLIER_ALPHA / (double)n, place->fit.df_error - 1);
  cks_status status = CKS_OK;
  for (size_t p = 0; p < n && status == CKS_OK; p++) {
    if (!(fabs(distance_of(work, place, p).t) > limit)) continue;
    size_t twin = twin_of(place, p);
    bool told = twin < p && fabs(distance_of(work, place, twin).t) > limit; /* with its twin, before */
    if (!told) status = report(work, place, p, twin);
  }
  return status;
}

/* Incomplete blocks are taken out first: a sound plot of a poor block stands out among its rep. */
cks_status cks_outliers_find(const cks_trait_task *work, const cks_place *place)
{
  cks_place blocks;
  bool good = true;
  cks_status status = CKS_OK;
  if (work->trait->measure != CKS_MEASURE_NUMBER || place->method != CKS_METHOD_ANOVA) return CKS_OK;
  if (place->blocks) status = cks_blocks_fit(work, place, &blocks, &good);
  if (status == CKS_OK && place->blocks && good) place = &blocks;
  return status == CKS_OK && good && place->fit.df_error >= 2 ? look_at_plots(work, place) : status;
}

static bool is_single(const cks_place *place) { return place->layout.n == place->layout.n_hybrid && !place->apart; }

/* The plots of the places of single plots: hybrids numbered as in the trial, places as reps. */
static cks_status gather(const cks_trait_task *work, size_t n, cks_place *all)
{
  const cks_trial *trial = work->task->trial;
  uint32_t *plot = cks_arena_take(work->scratch, n, sizeof *plot),
           *hybrid = cks_arena_take(work->scratch, n, sizeof *hybrid),
           *rep = cks_arena_take(work->scratch, n, sizeof *rep);
  uint32_t *number = cks_arena_take(work->scratch, trial->n_hybrid, sizeof *number);
  cks_status status = cks_arena_status(work->scratch, work->task->error);
  size_t at = 0, places = 0, g = 0;
  if (status != CKS_OK) return status;
  for (size_t j = 0; j < work->n_place; j++) {
    const cks_environment *e = &trial->environment[work->place[j].environment];
    if (!is_single(&work->place[j])) continue;
    for (uint32_t p = e->first; p < e->first + e->n; p++) {
      if (cks_is_missing(work->values.tested[p])) continue;
      if (!number[trial->hybrid_of[p]]) number[trial->hybrid_of[p]] = (uint32_t)++g;
      plot[at] = p;
      hybrid[at] = number[trial->hybrid_of[p]] - 1;
      rep[at++] = (uint32_t)places;
    }
    places++;
  }
  *all = (cks_place){.environment = CKS_NONE,
                     .plot = plot,
                     .method = CKS_METHOD_ANOVA,
                     .reps_in_model = true,
                     .layout = {.n = at, .n_hybrid = g, .n_rep = places, .hybrid = hybrid, .rep = rep}};
  return CKS_OK;
}

cks_status cks_outliers_among(const cks_trait_task *work)
{
  enum { FEWEST_PLACES = 3 };
  size_t n = 0, places = 0;
  cks_place all;
  for (size_t j = 0; j < work->n_place; j++)
    if (is_single(&work->place[j])) {
      n += work->place[j].layout.n;
      places++;
    }
  if (places < FEWEST_PLACES || places > CKS_MOST_REPS || work->trait->measure != CKS_MEASURE_NUMBER) return CKS_OK;
  cks_status status = gather(work, n, &all);
  if (status != CKS_OK) return status;
  double *y = cks_arena_take(work->scratch, n, sizeof *y);
  if (!y) return cks_error_nomem(work->task->error);
  for (size_t p = 0; p < n; p++) y[p] = work->values.tested[all.plot[p]];
  status = cks_fit_two_way(&all.layout, y, work->scratch, &all.fit, work->task->error);
  bool usable = status == CKS_OK && all.fit.connected && all.fit.df_error >= 2 &&
                !cks_is_rounding(all.fit.ss_error, n, all.fit.largest);
  return usable ? cks_outliers_find(work, &all) : status;
}
