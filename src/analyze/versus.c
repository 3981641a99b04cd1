/*
 * versus.c: head-to-head: of two hybrids the differences of their means at each environment where both have one, how
 * often which was better, and two tests of the differences, each environment counting once.
 *
 * Paired t on n - 1 df (Student 1908, Biometrika 6:1); exact two-sided sign test, ties left out (Snedecor & Cochran 1967,
 * Statistical Methods, 6th ed., ch. 5). Percents that are tested as arcsin(sqrt p): the mean difference is that of the
 * percents, t that of the angles; an SD or an interval in percent would belong to neither, so there is none. The error of
 * the plots is in no test: how the difference changes from environment to environment is.
 */
#include "analyze.h"

#include "../math/distributions.h"
#include "../math/sums.h"

#include <math.h>
#include <string.h>

static const double TIE = 1e-9; /* in the trait's unit: nearer means are equal but for rounding */

/* The means of a trait: n_place x n_hybrid of the trial, NaN where there is none. */
typedef struct {
  const cks_trait_task *work;
  cks_arena *scratch;
  size_t g;
  double *shown, *tested; /* tested: the same as shown unless arcsine */
  cks_versus_place
      *met; /* size n_place: the environments of the pair at hand, met_tested their differences as tested */
  double *met_tested, *difference;
} field;

/* ---- the means -------------------------------------------------------------------------------------------------- */

static void fill_place(field *f, size_t j)
{
  const cks_trait_task *work = f->work;
  const cks_place *place = &work->place[j];
  const cks_analysis *a = &work->result->location[j];
  for (size_t i = 0; i < a->n_hybrid && !place->no_means; i++)
    f->shown[j * f->g + a->hybrid[i].hybrid] = a->hybrid[i].mean;
  if (!work->values.arcsine || place->no_means) return;
  const double *angle = place->method == CKS_METHOD_ANOVA ? place->fit.mean : place->fit.plain;
  for (size_t i = 0; i < place->layout.n_hybrid; i++) f->tested[j * f->g + place->hybrid_id[i]] = angle[i];
}

static cks_status fill_field(field *f)
{
  size_t e = f->work->n_place, n = e * f->g;
  f->shown = cks_arena_take(f->scratch, n, sizeof *f->shown);
  f->tested = f->work->values.arcsine ? cks_arena_take(f->scratch, n, sizeof *f->tested) : f->shown;
  f->met = cks_arena_take(f->scratch, e, sizeof *f->met);
  f->met_tested = cks_arena_take(f->scratch, e, sizeof *f->met_tested);
  f->difference = cks_arena_take(f->scratch, e, sizeof *f->difference);
  cks_status status = cks_arena_status(f->scratch, f->work->task->error);
  if (status != CKS_OK) return status;
  for (size_t k = 0; k < n; k++) f->shown[k] = f->tested[k] = cks_missing();
  for (size_t j = 0; j < e; j++) fill_place(f, j);
  return CKS_OK;
}

/* Puts the environments where both have a mean into f->met; returns how many. */
static size_t meet(field *f, const cks_versus_row *row)
{
  const cks_trial *trial = f->work->task->trial;
  size_t n = 0;
  for (size_t j = 0; j < f->work->n_place; j++) {
    cks_id environment = f->work->place[j].environment;
    const double *shown = f->shown + j * f->g, *tested = f->tested + j * f->g;
    if (row->part != CKS_NONE && trial->environment[environment].by != row->part) continue;
    if (cks_is_missing(shown[row->a]) || cks_is_missing(shown[row->b])) continue;
    f->difference[n] = shown[row->a] - shown[row->b];
    f->met_tested[n] = tested[row->a] - tested[row->b];
    f->met[n] = (cks_versus_place){environment, shown[row->a], shown[row->b], f->difference[n]};
    n++;
  }
  return n;
}

/* ---- the figures of a row --------------------------------------------------------------------------------------- */

/* Environments stand in the order of their locations. */
static uint32_t count_locations(const field *f, size_t n)
{
  const cks_environment *all = f->work->task->trial->environment;
  uint32_t count = 0;
  for (size_t i = 0; i < n; i++)
    count += i == 0 || all[f->met[i].environment].location != all[f->met[i - 1].environment].location;
  return count;
}

static void count_sides(const field *f, size_t n, cks_versus_row *row)
{
  bool low = f->work->values.better == CKS_BETTER_LOW;
  row->counted = true;
  for (size_t i = 0; i < n; i++) {
    double d = low ? -f->difference[i] : f->difference[i];
    row->wins += d > TIE;
    row->losses += d < -TIE;
    row->ties += fabs(d) <= TIE;
  }
}

/* The largest mean in size: what rounding is held against. */
static double size_of(const field *f, size_t n)
{
  double largest = 0;
  for (size_t i = 0; i < n; i++) largest = fmax(largest, fmax(fabs(f->met[i].a), fabs(f->met[i].b)));
  return f->work->values.arcsine ? 1 : largest;
}

static void set_t(const field *f, size_t n, cks_versus_row *row)
{
  bool arcsine = f->work->values.arcsine;
  double mean = cks_sum_of(n, f->met_tested) / (double)n, ss = cks_sum_of_squares(n, f->met_tested, mean),
         df = (double)n - 1, se = sqrt(ss / df / (double)n);
  bool same = cks_is_rounding(ss, n, size_of(f, n));
  if (!arcsine) row->sd = same ? 0 : sqrt(ss / df);
  if (!arcsine) row->se = same ? 0 : se;
  row->why = same      ? "all the differences are equal: no spread to test them by"
             : arcsine ? "percent: t and p are of the angle whose sine is the root of the proportion; an SD or an "
                         "interval in percent would not be true"
                       : "";
  if (same) return;
  row->t = mean / se;
  row->df = df;
  row->p = cks_t_p(row->t, df);
  double half = cks_t_critical(f->work->task->settings->alpha, df) * se;
  if (!arcsine) row->low = row->mean_difference - half;
  if (!arcsine) row->high = row->mean_difference + half;
}

static void set_tests(const field *f, size_t n, cks_versus_row *row)
{
  const char *untested = f->work->values.untested;
  if (untested) row->why = untested;
  if (untested) return;
  set_t(f, n, row);
  row->sign_p = cks_sign_p(row->wins, row->losses);
}

static cks_versus_row blank(cks_id a, cks_id b, uint32_t part)
{
  double none = cks_missing();
  return (cks_versus_row){.a = a,
                          .b = b,
                          .part = part,
                          .mean_difference = none,
                          .sd = none,
                          .se = none,
                          .low = none,
                          .high = none,
                          .t = none,
                          .df = none,
                          .p = none,
                          .sign_p = none,
                          .why = ""};
}

static void fill_row(field *f, cks_versus_row *row)
{
  size_t n = meet(f, row);
  row->n = (uint32_t)n;
  row->n_location = count_locations(f, n);
  if (n == 0) row->why = "no place has values of both";
  if (n == 1) row->why = "one environment: its difference and nothing to judge it by";
  if (n > 0) row->mean_difference = cks_sum_of(n, f->difference) / (double)n;
  if (n < 2) return;
  count_sides(f, n, row);
  set_tests(f, n, row);
}

/* ---- the rows --------------------------------------------------------------------------------------------------- */

static bool has_p(const cks_versus_row *row) { return !cks_is_missing(row->p) || !cks_is_missing(row->sign_p); }

/* A pair over all environments, then over those of each value of --by that has some. */
static void add_pair(field *f, cks_id a, cks_id b, cks_versus *to)
{
  size_t n_part = f->work->task->results->by.n;
  cks_versus_row *row = &to->row[to->n_row++], *all = row;
  *row = blank(a, b, CKS_NONE);
  fill_row(f, row);
  row->tested = has_p(row);
  for (uint32_t k = 0; k < n_part; k++) {
    row = &to->row[to->n_row];
    *row = blank(a, b, k);
    fill_row(f, row);
    row->tested = has_p(row) && row->n < all->n;
    to->n_row += row->n > 0;
  }
}

static cks_status list_places(field *f, cks_versus_row *row)
{
  size_t n = meet(f, row);
  row->place = cks_arena_take(f->work->task->results->arena, n, sizeof *row->place);
  if (!row->place) return cks_error_nomem(f->work->task->error);
  memcpy(row->place, f->met, n * sizeof *row->place);
  row->n_place = n;
  return CKS_OK;
}

/* The pairs of a hybrid and the k-th check; two checks meet once. */
static bool is_pair(const cks_results *results, cks_id hybrid, size_t k)
{
  for (size_t i = 0; i <= k; i++)
    if (results->check[i] == hybrid) return false;
  return true;
}

static cks_status add_rows(field *f, cks_versus *to)
{
  const cks_results *results = f->work->task->results;
  const cks_pair *pair = &results->pair;
  size_t n_pair = pair->asked ? 1 : results->n_hybrid * results->n_check;
  to->row = cks_arena_take(results->arena, n_pair * (1 + results->by.n), sizeof *to->row);
  if (!to->row) return cks_error_nomem(f->work->task->error);
  if (pair->asked) add_pair(f, pair->a, pair->b, to);
  for (size_t k = 0; k < results->n_check && !pair->asked; k++)
    for (cks_id h = 0; h < results->n_hybrid; h++)
      if (is_pair(results, h, k)) add_pair(f, h, results->check[k], to);
  for (size_t i = 0; i < to->n_row; i++) to->n_test += to->row[i].tested;
  return pair->asked ? list_places(f, &to->row[0]) : CKS_OK;
}

static const char *why_skipped(const cks_place *place) { return place->no_means; }

cks_status cks_versus_analyze(const cks_trait_task *work)
{
  const cks_task *task = work->task;
  cks_versus *to = &work->result->versus;
  to->skipped = "";
  bool beside =
      task->settings->question != CKS_ASK_VERSUS; /* of one place every analysis holds its checks beside its hybrids */
  if (beside && (work->n_place < 2 || !task->results->n_check)) return CKS_OK;
  field f = {.work = work, .scratch = cks_arena_new(), .g = task->trial->n_hybrid};
  cks_status status = f.scratch ? fill_field(&f) : cks_error_nomem(task->error);
  if (status == CKS_OK) status = add_rows(&f, to);
  const char *skipped = cks_places_named(work, why_skipped);
  if (*skipped) to->skipped = cks_arena_format(task->results->arena, "not set side by side: %s", skipped);
  cks_arena_free(f.scratch);
  return status;
}
