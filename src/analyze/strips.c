/*
 * strips.c: see strips.h. The strips of a farm (an environment) stand in the order of their numbers. c(s) is what the
 * check would have yielded at strip s: on the straight line between its strips on either side, beyond them as the
 * nearest. The mean check is the plain mean of its strips at the farm.
 *   difference  y - c(s) + mean check
 *   ratio       y x mean check / c(s)
 *   shrunken    y - b (c(s) - mean check), b by least squares of y on farm + hybrid + (c(s) - mean check), over the
 *               entry strips of all farms (analysis of covariance: Searle 1971, Linear Models, chapter 8, from memory);
 *               0 unless it is above 0 and significant; 1 error df is taken where it is used
 * Of several checks the first, in the order of the results, that has two strips or more at the farm is held against. What
 * a check yielded is never adjusted. Never the default: it made 14 of 19 strip trials noisier (Schmitt, Openshaw and
 * Davis 1992, J. Prod. Agric., as summarized), for c(s) brings the error of two strips more into each entry.
 */
#include "strips.h"

#include "../math/distributions.h"
#include "../math/sums.h"

#include <math.h>
#include <stdlib.h>

enum {
  FEWEST_CHECKS = 2,  /* a line has two ends */
  FEW_CHECKS = 4,     /* below it the adjustment is warned of: our own rule */
  FEWEST_FARMS = 5,   /* behind b: our own rule */
  FEWEST_STRIPS = 30, /* entry strips behind b: our own rule */
  MOST_NAMED = 4
};

typedef struct {
  int32_t number;
  uint32_t plot;
} strip;

typedef struct {
  size_t n_value;  /* strips with a yield; 0: no place of this trait */
  const char *why; /* why it is left unadjusted; NULL: it is not */
  cks_id check;
  size_t n;        /* strips of the check */
  const strip *at; /* size n, ascending */
  double mean;     /* of the check */
} farm;

typedef struct {
  cks_trait_task *work;
  farm *farm; /* size n_environment */
  double *c;  /* size n_plot: c(s) of the entry strips of farms that are not left; NaN of all others */
  size_t n_entry;
} strips;

/* ---- a farm ----------------------------------------------------------------------------------------------------- */

static int compare_strips(const void *left, const void *right)
{
  const strip *a = left, *b = right;
  return (a->number > b->number) - (a->number < b->number);
}

/* The first check with two of these strips or more: its own come first in at, *n of them; CKS_NONE: there is none. */
static cks_id take_check(const cks_task *task, strip *at, size_t *n)
{
  const cks_results *results = task->results;
  for (size_t k = 0; k < results->n_check; k++) {
    size_t own = 0;
    for (size_t i = 0; i < *n; i++) own += task->trial->hybrid_of[at[i].plot] == results->check[k];
    if (own < FEWEST_CHECKS) continue;
    own = 0;
    for (size_t i = 0; i < *n; i++)
      if (task->trial->hybrid_of[at[i].plot] == results->check[k]) at[own++] = at[i];
    *n = own;
    return results->check[k];
  }
  return CKS_NONE;
}

static cks_status look_at_farm(const cks_trait_task *work, const cks_environment *e, farm *f)
{
  const cks_trial *trial = work->task->trial;
  const double *y = work->values.shown;
  strip *at = cks_arena_take(work->scratch, e->n, sizeof *at);
  size_t n = 0;
  bool twice = false, positive = true;
  if (!at) return cks_error_nomem(work->task->error);
  for (uint32_t p = e->first; p < e->first + e->n; p++) {
    f->n_value += !cks_is_missing(y[p]);
    if (!cks_is_missing(y[p]) && trial->strip[p] != INT32_MIN) at[n++] = (strip){trial->strip[p], p};
  }
  size_t given = n;
  qsort(at, n, sizeof *at, compare_strips);
  for (size_t i = 1; i < n; i++) twice |= at[i].number == at[i - 1].number;
  f->at = at;
  f->check = take_check(work->task, at, &n);
  f->n = n;
  cks_sum sum = {0};
  for (size_t i = 0; i < n; i++) {
    cks_sum_add(&sum, y[at[i].plot]);
    positive &= y[at[i].plot] > 0;
  }
  f->mean = cks_sum_value(&sum) / (double)n;
  if (!given)
    f->why = "no order of strips";
  else if (given < f->n_value)
    f->why = "strips without a number";
  else if (twice)
    f->why = "two strips with one number";
  else if (f->check == CKS_NONE)
    f->why = "fewer than 2 strips of a check";
  else if (work->task->settings->strip_adjustment == CKS_STRIPS_RATIO && !positive)
    f->why = "a check strip without a yield above 0";
  return CKS_OK;
}

/* c(s) */
static double check_at(const farm *f, const double *y, int32_t number)
{
  size_t k = 0;
  while (k < f->n && f->at[k].number < number) k++;
  if (k == 0) return y[f->at[0].plot];
  if (k == f->n) return y[f->at[k - 1].plot];
  double from = f->at[k - 1].number, part = (number - from) / (f->at[k].number - from);
  double left = y[f->at[k - 1].plot], right = y[f->at[k].plot];
  return left + part * (right - left);
}

static cks_status hold_against(strips *s)
{
  const cks_trait_task *work = s->work;
  const cks_trial *trial = work->task->trial;
  const double *y = work->values.shown;
  s->farm = cks_arena_take(work->scratch, trial->n_environment, sizeof *s->farm);
  s->c = cks_arena_take(work->scratch, trial->n_plot, sizeof *s->c);
  cks_status status = s->farm && s->c ? CKS_OK : cks_error_nomem(work->task->error);
  for (size_t j = 0; j < trial->n_environment && status == CKS_OK; j++) {
    const cks_environment *e = &trial->environment[j];
    farm *f = &s->farm[j];
    status = look_at_farm(work, e, f);
    for (uint32_t p = e->first; p < e->first + e->n && status == CKS_OK; p++) {
      bool entry = !f->why && !cks_is_missing(y[p]) && !trial->hybrid[trial->hybrid_of[p]].check;
      s->c[p] = entry ? check_at(f, y, trial->strip[p]) : cks_missing();
      s->n_entry += entry;
    }
  }
  return status;
}

/* ---- the share that is taken off -------------------------------------------------------------------------------- */

/* Entries of the farms: y and x = c(s) - mean check, both less farm and hybrid by the same fit. */
typedef struct {
  double xx, xy, yy, df, largest_x;
  bool connected;
} products;

static cks_status fit_entries(const strips *s, size_t n_farm, products *sums)
{
  const cks_trait_task *work = s->work;
  const cks_trial *trial = work->task->trial;
  size_t n = 0;
  uint32_t *hybrid = cks_arena_take(work->scratch, s->n_entry, sizeof *hybrid),
           *rep = cks_arena_take(work->scratch, s->n_entry, sizeof *rep),
           *number = cks_arena_take(work->scratch, trial->n_hybrid, sizeof *number);
  double *x = cks_arena_take(work->scratch, s->n_entry, sizeof *x),
         *y = cks_arena_take(work->scratch, s->n_entry, sizeof *y);
  cks_status status = cks_arena_status(work->scratch, work->task->error);
  if (status != CKS_OK) return status;
  cks_layout layout = {.n = s->n_entry, .n_rep = n_farm, .hybrid = hybrid, .rep = rep};
  uint32_t at = 0; /* the farm's number among those with entries, from 1 */
  cks_id last = CKS_NONE;
  double shift = 0;
  for (size_t p = 0; p < trial->n_plot; p++) {
    uint32_t e = trial->environment_of[p], h = trial->hybrid_of[p];
    if (cks_is_missing(s->c[p])) continue;
    if (n == 0) shift = work->values.shown[p];
    if (e != last) at++;
    last = e;
    if (!number[h]) number[h] = (uint32_t)++layout.n_hybrid;
    hybrid[n] = number[h] - 1;
    rep[n] = at - 1;
    x[n] = s->c[p] - s->farm[e].mean;
    y[n++] = work->values.shown[p] - shift;
  }
  cks_fit of_x, of_y;
  status = cks_fit_two_way(&layout, x, work->scratch, &of_x, work->task->error);
  if (status == CKS_OK) status = cks_fit_two_way(&layout, y, work->scratch, &of_y, work->task->error);
  if (status != CKS_OK) return status;
  *sums = (products){.df = of_y.df_error - 1, .largest_x = of_x.largest, .connected = of_y.connected};
  cks_sum xy = {0};
  for (size_t i = 0; i < n && of_y.connected; i++) cks_sum_add(&xy, (x[i] - of_x.fitted[i]) * (y[i] - of_y.fitted[i]));
  sums->xx = of_x.ss_error;
  sums->xy = cks_sum_value(&xy);
  sums->yy = of_y.ss_error;
  return CKS_OK;
}

/* Why b is not used, b and its test where there is one; NULL: it is. */
static const char *judge_share(const strips *s, const products *sums, cks_strips *out)
{
  if (!sums->connected) return "some entries share no place with the others, so no share is found";
  if (sums->df < 1) return "no degree of freedom is left to judge the share by";
  if (cks_is_rounding(sums->xx, s->n_entry, sums->largest_x))
    return "the check strips do not rise and fall within the places";
  out->b = sums->xy / sums->xx;
  out->df = sums->df;
  out->se = sqrt(fmax(sums->yy - out->b * sums->xy, 0) / sums->df / sums->xx);
  out->p = out->se > 0 ? cks_t_p(out->b / out->se, out->df) : 0;
  if (!(out->b > 0)) return "the entries do not rise and fall with the check strips beside them";
  return out->p <= s->work->task->settings->alpha
             ? NULL
             : "that the entries rise and fall with the check strips beside them is not significant";
}

static cks_status find_share(const strips *s, cks_strips *out)
{
  const cks_trial *trial = s->work->task->trial;
  cks_id last = CKS_NONE;
  for (size_t p = 0; p < trial->n_plot; p++) {
    if (cks_is_missing(s->c[p])) continue;
    out->n_farm += trial->environment_of[p] != last;
    last = trial->environment_of[p];
  }
  out->n_strip = (uint32_t)s->n_entry;
  if (out->n_farm < FEWEST_FARMS || out->n_strip < FEWEST_STRIPS)
    out->why = cks_arena_format(s->work->task->results->arena,
                                "the share is found over %d places and %d entry strips or more, and here are %u and %u",
                                FEWEST_FARMS, FEWEST_STRIPS, out->n_farm, out->n_strip);
  if (out->n_farm > CKS_MOST_REPS)
    out->why =
        cks_arena_format(s->work->task->results->arena, "the share is found over %d places at most", CKS_MOST_REPS);
  if (*out->why) return CKS_OK;
  products sums;
  cks_status status = fit_entries(s, out->n_farm, &sums);
  const char *why = status == CKS_OK ? judge_share(s, &sums, out) : NULL;
  out->why = why ? why : "";
  return status;
}

/* ---- what is said ----------------------------------------------------------------------------------------------- */

static const char *left_words(const strips *s)
{
  const cks_trial *trial = s->work->task->trial;
  const char *text = "";
  size_t n = 0;
  for (size_t j = 0; j < trial->n_environment; j++) {
    const farm *f = &s->farm[j];
    if (!f->n_value || !f->why || n++ >= MOST_NAMED) continue;
    text =
        cks_arena_format(s->work->scratch, "%s%s%s (%s)", text, *text ? ", " : "", trial->environment[j].label, f->why);
  }
  if (n > MOST_NAMED) text = cks_arena_format(s->work->scratch, "%s and %zu more", text, n - MOST_NAMED);
  return cks_arena_text(s->work->task->results->arena, text);
}

static cks_status list_checks(const strips *s, cks_strips *out)
{
  const cks_results *results = s->work->task->results;
  cks_id *check = cks_arena_take(results->arena, results->n_check, sizeof *check);
  if (!check) return cks_error_nomem(s->work->task->error);
  for (size_t k = 0; k < results->n_check; k++) {
    bool held = false;
    for (size_t j = 0; j < s->work->task->trial->n_environment; j++)
      held |= s->farm[j].n_value && !s->farm[j].why && s->farm[j].check == results->check[k];
    if (held) check[out->n_check++] = results->check[k];
  }
  out->check = check;
  return CKS_OK;
}

static cks_status warn_of_few(const strips *s, size_t environment)
{
  const cks_task *task = s->work->task;
  const cks_environment *e = &task->trial->environment[environment];
  const farm *f = &s->farm[environment];
  cks_where where = {task->trial->file[e->first], CKS_NONE, 0, 0};
  return cks_findings_add(
      task->findings, CKS_RULE_FEW_CHECK_STRIPS, where, s->work->trait->label, NULL, task->error,
      "%s at %s is to be adjusted by %zu strips of the check %s: fewer than %d say little of how the "
      "ground changes from strip to strip",
      s->work->trait->label, e->label, f->n, task->results->hybrid[f->check].full, FEW_CHECKS);
}

static cks_status count_farms(const strips *s, cks_strips *out)
{
  const cks_task *task = s->work->task;
  cks_status status = CKS_OK;
  for (size_t j = 0; j < task->trial->n_environment && status == CKS_OK; j++) {
    const farm *f = &s->farm[j];
    if (!f->n_value) continue;
    *(f->why ? &out->n_left : &out->n_place) += 1;
    if (f->why || f->n >= FEW_CHECKS) continue;
    out->n_few++;
    status = warn_of_few(s, j);
  }
  out->left = left_words(s);
  if (status != CKS_OK) return status;
  if (out->by == CKS_STRIPS_SHRUNKEN && out->n_place + out->n_left == 1)
    return cks_error_set(
        task->error, CKS_USAGE,
        "--strip-adjustment shrunken is not offered at one place: what share of the check strips' rise "
        "and fall the entries follow is found over %d places or more; take none, difference or ratio",
        FEWEST_FARMS);
  if (!out->n_place)
    return cks_error_set(task->error, CKS_USAGE,
                         "--strip-adjustment needs places whose strips are numbered in order, with two strips of a "
                         "check or more, and finds none: %s",
                         out->left);
  return list_checks(s, out);
}

static const char *note_of(const strips *s, size_t environment)
{
  const farm *f = &s->farm[environment];
  const cks_results *results = s->work->task->results;
  return cks_arena_format(results->arena, "yields adjusted by %zu strips of the check %s", f->n,
                          results->hybrid[f->check].full);
}

/* ---- the adjustment --------------------------------------------------------------------------------------------- */

static double adjusted(const cks_strips *how, double y, double c, double mean)
{
  if (how->by == CKS_STRIPS_RATIO) return y * mean / c;
  return y - (how->by == CKS_STRIPS_SHRUNKEN ? how->b : 1) * (c - mean);
}

static cks_status replace(const strips *s, const cks_strips *how)
{
  const cks_trial *trial = s->work->task->trial;
  cks_values *v = &s->work->values;
  double *shown = cks_arena_take(s->work->scratch, trial->n_plot, sizeof *shown);
  const char **note = cks_arena_take(s->work->scratch, trial->n_environment, sizeof *note);
  if (!shown || !note) return cks_error_nomem(s->work->task->error);
  for (size_t p = 0; p < trial->n_plot; p++) {
    shown[p] = v->shown[p];
    if (!cks_is_missing(s->c[p]))
      shown[p] = adjusted(how, v->shown[p], s->c[p], s->farm[trial->environment_of[p]].mean);
  }
  for (size_t j = 0; j < trial->n_environment; j++)
    note[j] = s->farm[j].n_value && !s->farm[j].why ? note_of(s, j) : NULL;
  v->unadjusted = v->shown;
  v->shown = shown;
  v->strips_note = note;
  v->strips_df = how->by == CKS_STRIPS_SHRUNKEN ? 1 : 0;
  return CKS_OK;
}

cks_status cks_strips_adjust(cks_trait_task *work)
{
  cks_strips *out = &work->result->strips;
  cks_strip_adjustment by = work->trait->role == CKS_ROLE_YIELD ? work->task->settings->strip_adjustment : 0;
  *out = (cks_strips){.by = by,
                      .why = "",
                      .left = "",
                      .b = cks_missing(),
                      .se = cks_missing(),
                      .df = cks_missing(),
                      .p = cks_missing()};
  if (by == CKS_STRIPS_NONE || work->no_strips) return CKS_OK;
  strips s = {.work = work};
  cks_status status = hold_against(&s);
  if (status == CKS_OK) status = count_farms(&s, out);
  if (status == CKS_OK && by == CKS_STRIPS_SHRUNKEN) status = find_share(&s, out);
  out->used = status == CKS_OK && !*out->why;
  return out->used ? replace(&s, out) : status;
}

cks_status cks_strips_check(const cks_task *task)
{
  const cks_trial *trial = task->trial;
  bool yield = false;
  if (task->settings->strip_adjustment == CKS_STRIPS_NONE) return CKS_OK;
  for (size_t i = 0; i < trial->n_trait; i++) yield |= trial->trait[i].role == CKS_ROLE_YIELD;
  if (!yield)
    return cks_error_set(task->error, CKS_USAGE, "--strip-adjustment adjusts yields, and none are analyzed here");
  if (!trial->strip)
    return cks_error_set(task->error, CKS_USAGE,
                         "--strip-adjustment needs the order of the strips, and no column gives it; name one with "
                         "--heading strip=HEADING");
  if (!task->results->n_check)
    return cks_error_set(task->error, CKS_USAGE,
                         "--strip-adjustment needs a check: mark it in a check column, or name it with --check");
  return CKS_OK;
}

const char *cks_strips_note(const cks_trait_task *work, cks_id environment)
{
  return work->values.strips_note ? work->values.strips_note[environment] : NULL;
}

/* ---- beside what is not adjusted ---------------------------------------------------------------------------------- */

/* other: the same analysis of the unadjusted values. */
static void put_beside(const cks_strips *how, cks_analysis *a, const cks_analysis *other)
{
  for (size_t i = 0; i < a->n_hybrid; i++) {
    cks_hybrid_result *row = &a->hybrid[i];
    const cks_hybrid_result *plain = how->by == CKS_STRIPS_NONE ? NULL : cks_analysis_hybrid(other, row->hybrid);
    row->mean_unadjusted = plain ? plain->mean : cks_missing();
    if (plain) row->raw_mean = plain->raw_mean;
  }
}

static void say_beside(const cks_trait_task *work, cks_analysis *a)
{
  cks_arena *arena = work->task->results->arena;
  const cks_strips *how = &work->result->strips;
  const char *note = a->environment == CKS_NONE
                         ? cks_arena_format(arena, "yields adjusted by check strips at %u of %u places", how->n_place,
                                            how->n_place + how->n_left)
                         : cks_strips_note(work, a->environment);
  if (!how->used || a->method == CKS_METHOD_NONE || work->result->n_location == 1) return; /* said of the trait */
  a->note = cks_join(arena, a->note, note ? note : "yields not adjusted by check strips");
  if (note && work->values.strips_df > 0 && a->method == CKS_METHOD_ANOVA)
    a->note = cks_join(arena, a->note, "the adjustment takes 1 error df");
}

void cks_strips_beside(const cks_trait_task *work, const cks_trait_result *unadjusted)
{
  cks_trait_result *result = work->result;
  const cks_strips *how = &result->strips;
  for (size_t j = 0; j < result->n_location; j++) {
    put_beside(how, &result->location[j], &unadjusted->location[j]);
    say_beside(work, &result->location[j]);
  }
  if (result->across) {
    put_beside(how, result->across, unadjusted->across);
    say_beside(work, result->across);
  }
  for (size_t k = 0; k < result->n_span; k++) {
    if (result->span[k].analysis->environment != CKS_NONE) continue; /* a location's own */
    cks_analysis *a = (cks_analysis *)result->span[k].analysis;
    put_beside(how, a, unadjusted->span[k].analysis);
    say_beside(work, a);
  }
}
