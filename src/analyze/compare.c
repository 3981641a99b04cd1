/* compare.c: see compare.h. */
#include "compare.h"

#include "../math/distributions.h"
#include "../math/sums.h"
#include "letters.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double AT_THE_LIMIT = 1e-9; /* relative: a difference this close to the critical one is not beyond it */
static const double TIED = 1e-9;         /* relative: means this close are equal */

typedef struct {
  double key; /* smaller is better (or higher, when no end is good) */
  uint32_t local;
} place_in_line;

typedef struct {
  const cks_contest *contest;
  double t;     /* critical value */
  bool decides; /* differences count: tested, and the F test lets them */
  size_t n;
  place_in_line *line; /* size n: best first */
} contest_line;

static int compare_keys(const void *left, const void *right)
{
  const place_in_line *a = left, *b = right;
  if (a->key != b->key) return a->key < b->key ? -1 : 1;
  return a->local < b->local ? -1 : a->local > b->local;
}

static int compare_locals(const void *left, const void *right)
{
  const place_in_line *a = left, *b = right;
  return a->local < b->local ? -1 : a->local > b->local;
}

static bool tied(double a, double b) { return fabs(a - b) <= TIED * fmax(fabs(a), fabs(b)); }

/* The end of the run of equal means that begins at `first`. */
static size_t run_end(const contest_line *c, size_t first)
{
  size_t end = first + 1;
  while (end < c->n && tied(c->line[first].key, c->line[end].key)) end++;
  return end;
}

/* By mean, equal means by name. */
static void line_up(contest_line *c, cks_better better)
{
  for (size_t i = 0; i < c->n; i++) {
    double mean = c->contest->tested[i];
    c->line[i] = (place_in_line){better == CKS_BETTER_LOW ? mean : -mean, (uint32_t)i};
  }
  qsort(c->line, c->n, sizeof *c->line, compare_keys);
  for (size_t i = 0, end; i < c->n; i = end) {
    end = run_end(c, i);
    qsort(c->line + i, end - i, sizeof *c->line, compare_locals);
  }
}

static double sed_of(const cks_contest *contest, size_t i, size_t j)
{
  return sqrt(contest->error_ms * cks_spread_pair(contest->spread, i, j));
}

static bool differs(const contest_line *c, size_t i, size_t j)
{
  double difference = fabs(c->contest->tested[i] - c->contest->tested[j]);
  return c->decides && difference > c->t * sed_of(c->contest, i, j) * (1 + AT_THE_LIMIT);
}

static bool differ_in_line(const void *context, size_t i, size_t j)
{
  const contest_line *c = context;
  return differs(c, c->line[i].local, c->line[j].local);
}

static void set_sed(const cks_trait_task *work, const contest_line *c, cks_analysis *a)
{
  const cks_contest *contest = c->contest;
  cks_sed sed = cks_spread_sed(contest->spread, contest->error_ms);
  a->equal_sed = sed.equal;
  if (work->values.arcsine) {
    a->lsd_why = "percent, tested as arcsin of the square root: no LSD in percent";
    if (!sed.equal)
      a->note = cks_join(work->task->results->arena, a->note,
                         "pairs differ in precision: letters and top group use each pair's own");
    return;
  }
  a->sed = sed.mean;
  a->sed_min = sed.smallest;
  a->sed_max = sed.largest;
  a->lsd_df = contest->df;
  if (c->decides)
    a->lsd = c->t * sed.mean;
  else
    a->lsd_why =
        cks_arena_format(work->task->results->arena, "no differences found: F not significant at %g", a->alpha);
  if (!sed.equal)
    a->note = cks_join(work->task->results->arena, a->note,
                       "SEDs are unequal: the LSD is t x their mean, "
                       "letters and top group use each pair's own");
  for (size_t i = 0; i < c->n; i++)
    a->hybrid[i].se = sqrt(contest->error_ms * contest->spread->own[contest->spread->class_of[i]]);
}

static cks_status set_groups(const cks_trait_task *work, const contest_line *c, cks_analysis *a)
{
  cks_arena *arena = work->task->results->arena;
  const char **group = calloc(c->n, sizeof *group);
  if (!group) return cks_error_nomem(work->task->error);
  bool runs = !c->decides || a->equal_sed;
  cks_status status = cks_letters_assign(c->n, runs, differ_in_line, c, arena, group, &a->group_why, work->task->error);
  for (size_t i = 0; i < c->n; i++) a->hybrid[c->line[i].local].group = group[i];
  free(group);
  return status;
}

static void set_ranks(const contest_line *c, cks_better better, cks_analysis *a)
{
  if (better == CKS_BETTER_NONE) return;
  for (size_t i = 0, end; i < c->n; i = end) {
    end = run_end(c, i);
    for (size_t j = i; j < end; j++) {
      cks_hybrid_result *row = &a->hybrid[c->line[j].local];
      row->rank = c->decides ? (uint32_t)i + 1 : 0;
      row->top = differs(c, c->line[0].local, c->line[j].local) ? CKS_TOP_OUT : CKS_TOP_IN;
      a->n_top += row->top == CKS_TOP_IN;
    }
  }
}

static double percent(double part, double whole, bool true_zero)
{
  return true_zero && whole > 0 ? 100 * part / whole : cks_missing();
}

static void set_vs_check(const cks_trait_task *work, const contest_line *c, size_t i, size_t check, cks_analysis *a,
                         cks_vs_check *vs)
{
  if (check == c->n) return; /* not here */
  double mean = a->hybrid[i].mean, other = a->hybrid[check].mean;
  vs->pct = percent(mean, other, work->values.true_zero);
  vs->difference = mean - other;
  if (!c->contest->spread || check == i) return;
  double difference = c->contest->tested[i] - c->contest->tested[check];
  if (c->decides) vs->p = cks_t_p(difference / sed_of(c->contest, i, check), c->contest->df);
  if (differs(c, i, check)) vs->differs = difference > 0 ? CKS_DIFFERS_ABOVE : CKS_DIFFERS_BELOW;
}

static cks_status set_checks(const cks_trait_task *work, const contest_line *c, cks_analysis *a)
{
  const cks_results *results = work->task->results;
  size_t n_check = results->n_check;
  cks_vs_check *all = cks_arena_take(results->arena, c->n * n_check, sizeof *all);
  if (!all) return cks_error_nomem(work->task->error);
  for (size_t k = 0; k < n_check; k++) {
    size_t check = 0;
    while (check < c->n && a->hybrid[check].hybrid != results->check[k]) check++;
    for (size_t i = 0; i < c->n; i++) {
      cks_vs_check *vs = &all[i * n_check + k];
      *vs = (cks_vs_check){results->check[k], cks_missing(), cks_missing(), cks_missing(), CKS_DIFFERS_UNKNOWN};
      set_vs_check(work, c, i, check, a, vs);
      a->hybrid[i].vs_check = all + i * n_check;
    }
  }
  return CKS_OK;
}

/* Rows by mean when they are ranked or --order mean asks for it, else as they stand: by name. */
static cks_status put_in_order(const cks_trait_task *work, const contest_line *c, cks_analysis *a)
{
  cks_row_order order = work->task->settings->order;
  bool ranked = c->decides && work->values.better != CKS_BETTER_NONE;
  if (order == CKS_ORDER_NAME || (order != CKS_ORDER_MEAN && !ranked)) return CKS_OK;
  cks_hybrid_result *sorted = malloc(c->n * sizeof *sorted);
  if (!sorted) return cks_error_nomem(work->task->error);
  for (size_t i = 0; i < c->n; i++) sorted[i] = a->hybrid[c->line[i].local];
  memcpy(a->hybrid, sorted, c->n * sizeof *sorted);
  free(sorted);
  return CKS_OK;
}

static cks_status index_rows(const cks_trait_task *work, cks_analysis *a)
{
  const cks_results *results = work->task->results;
  a->row_of = cks_arena_take(results->arena, results->n_hybrid, sizeof *a->row_of);
  if (!a->row_of) return cks_error_nomem(work->task->error);
  for (size_t h = 0; h < results->n_hybrid; h++) a->row_of[h] = CKS_NONE;
  for (size_t i = 0; i < a->n_hybrid; i++) a->row_of[a->hybrid[i].hybrid] = (uint32_t)i;
  return CKS_OK;
}

cks_status cks_compare(const cks_trait_task *work, const cks_contest *contest, cks_analysis *a)
{
  contest_line c = {.contest = contest, .n = a->n_hybrid, .line = malloc(a->n_hybrid * sizeof *c.line)};
  if (!c.line) return cks_error_nomem(work->task->error);
  cks_status status = CKS_OK;
  cks_sum sum = {0};
  for (size_t i = 0; i < c.n; i++) cks_sum_add(&sum, a->hybrid[i].mean);
  a->mean = cks_sum_value(&sum) / (double)c.n;
  for (size_t i = 0; i < c.n; i++)
    a->hybrid[i].pct_of_mean = percent(a->hybrid[i].mean, a->mean, work->values.true_zero);
  line_up(&c, work->values.better);
  if (contest->spread) {
    c.t = cks_t_critical(a->alpha, contest->df);
    c.decides = a->significant || !a->protected_rule;
    set_sed(work, &c, a);
    set_ranks(&c, work->values.better, a);
    status = set_groups(work, &c, a);
  }
  if (status == CKS_OK) status = set_checks(work, &c, a);
  if (status == CKS_OK) status = put_in_order(work, &c, a);
  if (status == CKS_OK) status = index_rows(work, a);
  free(c.line);
  return status;
}
