/* compare.c: see compare.h. */
#include "compare.h"

#include "critical.h"

#include "../math/distributions.h"
#include "../math/left_out.h"
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
  double value; /* critical value of all pairs, as a multiple of a SED */
  bool low_is_good;
  bool decides;        /* differences count: tested, and where the rule asks for it F lets them */
  bool all_pairs_rule; /* Tukey or Bonferroni: no LSD */
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

static bool is_beyond(const contest_line *c, size_t i, size_t j, double difference, double value)
{
  return difference > value * sed_of(c->contest, i, j) * (1 + AT_THE_LIMIT);
}

static bool differs(const contest_line *c, size_t i, size_t j)
{
  double difference = fabs(c->contest->tested[i] - c->contest->tested[j]);
  return c->decides && is_beyond(c, i, j, difference, c->value);
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
      a->note =
          cks_join(work->task->results->arena, a->note, "pairs differ in precision: each is judged by its own SED");
    return;
  }
  a->sed = sed.mean;
  a->sed_min = sed.smallest;
  a->sed_max = sed.largest;
  a->lsd_df = contest->df;
  if (work->task->settings->comparison != CKS_COMPARE_DUNNETT) a->critical_difference = c->value * sed.mean;
  if (c->all_pairs_rule)
    a->lsd_why = "all pairs are compared at once: the critical difference (MSD) stands for it";
  else if (c->decides)
    a->lsd = c->value * sed.mean;
  else
    a->lsd_why =
        cks_arena_format(work->task->results->arena, "no differences found: F not significant at %g", a->alpha);
  if (!sed.equal)
    a->note =
        cks_join(work->task->results->arena, a->note,
                 c->all_pairs_rule ? "SEDs are unequal: the MSD is that of their mean, each pair is judged by its own"
                                   : "SEDs are unequal: the LSD is t x their mean, each pair is judged by its own");
  for (size_t i = 0; i < c->n; i++)
    a->hybrid[i].se = sqrt(contest->error_ms * contest->spread->own[contest->spread->class_of[i]]);
}

static cks_status set_groups(const cks_trait_task *work, const contest_line *c, cks_analysis *a)
{
  cks_arena *arena = work->task->results->arena;
  if (work->task->settings->comparison == CKS_COMPARE_DUNNETT) {
    a->group_why = "Dunnett's rule compares with checks only";
    return CKS_OK;
  }
  const char **group = calloc(c->n, sizeof *group);
  if (!group) return cks_error_nomem(work->task->error);
  bool runs = !c->decides || a->equal_sed;
  cks_status status = cks_letters_assign(c->n, runs, differ_in_line, c, arena, group, &a->group_why, work->task->error);
  for (size_t i = 0; i < c->n; i++) a->hybrid[c->line[i].local].group = group[i];
  free(group);
  return status;
}

/* Does the comparison in use tell any two apart? */
static bool finds_any(const contest_line *c, const cks_analysis *a)
{
  if (!c->all_pairs_rule) return c->decides;
  bool found = differs(c, c->line[0].local, c->line[c->n - 1].local);
  for (size_t i = 0; i < c->n && !a->equal_sed && !found; i++)
    for (size_t j = 0; j < i && !found; j++) found = differs(c, i, j);
  return found;
}

/* The critical value of hybrid `local` against all others, one-sided (Hsu 1984, Ann. Stat. 12:1136). It is one for all
 * that stand alike, so each is worked out once: kept, size n_class, 0 where it is not known yet. */
static cks_status best_value(const cks_trait_task *work, const contest_line *c, size_t local, double *kept,
                             double *value)
{
  const cks_spread *spread = c->contest->spread;
  double *own = &kept[spread->class_of[local]];
  bool product;
  cks_status status = CKS_OK;
  if (*own == 0) status = cks_critical_against(work->task, spread, local, c->contest->df, false, own, &product);
  *value = *own;
  return status;
}

/* Is some mean further beyond local's than `value` SEDs? With equal SEDs the best one decides. */
static bool is_beaten(const contest_line *c, const cks_analysis *a, size_t local, double value)
{
  double own = c->contest->tested[local], sign = c->low_is_good ? -1 : 1;
  bool beaten = false;
  for (size_t k = 0; k < (a->equal_sed ? 1 : c->n) && !beaten; k++) {
    size_t other = c->line[k].local;
    beaten = other != local && is_beyond(c, other, local, sign * (c->contest->tested[other] - own), value);
  }
  return beaten;
}

/* Ranks where something was found; the top group by the comparison in use, or by comparisons with the best. */
static cks_status set_ranks(const cks_trait_task *work, const contest_line *c, cks_analysis *a)
{
  bool by_best = work->task->settings->top_best;
  double value = 0;
  cks_status status = CKS_OK;
  if (work->values.better == CKS_BETTER_NONE) return CKS_OK;
  double *kept = calloc(c->contest->spread->n_class, sizeof *kept);
  if (!kept) return cks_error_nomem(work->task->error);
  a->top_rule = by_best ? "best" : c->all_pairs_rule ? a->comparison : "lsd";
  for (size_t i = 0, end; i < c->n; i = end) {
    end = run_end(c, i);
    for (size_t j = i; j < end && status == CKS_OK; j++) {
      size_t local = c->line[j].local;
      cks_hybrid_result *row = &a->hybrid[local];
      if (by_best && (j == 0 || !a->equal_sed)) status = best_value(work, c, local, kept, &value);
      bool out = by_best ? is_beaten(c, a, local, value) : differs(c, c->line[0].local, local);
      row->rank = a->found ? (uint32_t)i + 1 : 0;
      row->top = out ? CKS_TOP_OUT : CKS_TOP_IN;
      a->n_top += !out;
    }
  }
  free(kept);
  return status;
}

/* Single comparisons leave out more of the hybrids as good as the best the more there are (math/left_out.h). */
static void set_left_out(const contest_line *c, cks_analysis *a)
{
  if (a->found && !strcmp(a->top_rule, "lsd")) a->left_out_share = cks_left_out_share(c->n, c->contest->df, c->value);
}

/* The leader of many is partly lucky: of its lead over the mean only the repeatable part comes again (regression to the
 * mean; Falconer 1981, Introduction to Quantitative Genetics, 2nd ed., ch. 11, from
 * memory). */
static void set_leader_loss(const cks_trait_task *work, const contest_line *c, cks_analysis *a)
{
  if (!a->found || work->values.better == CKS_BETTER_NONE || work->values.arcsine) return;
  double lead = fabs(a->hybrid[c->line[0].local].mean - a->mean);
  a->leader_loss = (1 - a->repeatability) * lead;
}

static double percent(double part, double whole, bool true_zero)
{
  return true_zero && whole > 0 ? 100 * part / whole : cks_missing();
}

/* dunnett: the critical value against this check; 0: pairs are judged by the comparison in use. */
static void set_vs_check(const cks_trait_task *work, const contest_line *c, size_t i, size_t check, double dunnett,
                         const cks_analysis *a, cks_vs_check *vs)
{
  double mean = a->hybrid[i].mean, other = a->hybrid[check].mean;
  vs->pct = percent(mean, other, work->values.true_zero);
  vs->difference = mean - other;
  if (!c->contest->spread || check == i) return;
  double difference = c->contest->tested[i] - c->contest->tested[check];
  bool judged = dunnett > 0 || c->decides;
  bool apart = dunnett > 0 ? is_beyond(c, i, check, fabs(difference), dunnett) : differs(c, i, check);
  if (judged) vs->p = cks_t_p(difference / sed_of(c->contest, i, check), c->contest->df);
  if (apart) vs->differs = difference > 0 ? CKS_DIFFERS_ABOVE : CKS_DIFFERS_BELOW;
}

/* Dunnett's value against a check that stands here; Sidak's where its correlations ask for it, and the note says so. */
static cks_status dunnett_value(const cks_trait_task *work, const contest_line *c, size_t check, cks_analysis *a,
                                double *value)
{
  bool product = true;
  *value = 0;
  if (work->task->settings->comparison != CKS_COMPARE_DUNNETT || !c->contest->spread || check == c->n || c->n < 2)
    return CKS_OK;
  cks_status status =
      cks_critical_against(work->task, c->contest->spread, check, c->contest->df, true, value, &product);
  if (!product)
    a->note = cks_join(work->task->results->arena, a->note, "lost plots: Sidak's t stands for Dunnett's value");
  if (cks_is_missing(a->critical_difference) && !work->values.arcsine)
    a->critical_difference = *value * a->sed; /* of the first check */
  return status;
}

static cks_status set_checks(const cks_trait_task *work, const contest_line *c, cks_analysis *a)
{
  const cks_results *results = work->task->results;
  size_t n_check = results->n_check;
  cks_status status = CKS_OK;
  cks_vs_check *all = cks_arena_take(results->arena, c->n * n_check, sizeof *all);
  if (!all) return cks_error_nomem(work->task->error);
  for (size_t k = 0; k < n_check && status == CKS_OK; k++) {
    size_t check = 0;
    double dunnett = 0;
    while (check < c->n && a->hybrid[check].hybrid != results->check[k]) check++;
    status = dunnett_value(work, c, check, a, &dunnett);
    for (size_t i = 0; i < c->n; i++) {
      cks_vs_check *vs = &all[i * n_check + k];
      *vs = (cks_vs_check){results->check[k], cks_missing(), cks_missing(), cks_missing(), CKS_DIFFERS_UNKNOWN};
      if (check < c->n) set_vs_check(work, c, i, check, dunnett, a, vs);
      a->hybrid[i].vs_check = all + i * n_check;
    }
  }
  return status;
}

/* Rows by mean when they are ranked or --order mean asks for it, else as they stand: by name. */
static cks_status put_in_order(const cks_trait_task *work, const contest_line *c, cks_analysis *a)
{
  cks_row_order order = work->task->settings->order;
  bool ranked = a->found && work->values.better != CKS_BETTER_NONE;
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

static cks_status judge(const cks_trait_task *work, contest_line *c, cks_analysis *a)
{
  static const char *const names[] = {"lsd", "tukey", "dunnett", "bonferroni"};
  cks_comparison comparison = work->task->settings->comparison;
  a->comparison = names[comparison];
  c->all_pairs_rule = comparison == CKS_COMPARE_TUKEY || comparison == CKS_COMPARE_BONFERRONI;
  c->decides = a->significant || !a->protected_rule;
  cks_status status = cks_critical_pairs(work->task, comparison, c->n, c->contest->df, &c->value);
  if (status != CKS_OK) return status;
  set_sed(work, c, a);
  a->found = finds_any(c, a);
  status = set_ranks(work, c, a);
  set_left_out(c, a);
  set_leader_loss(work, c, a);
  return status == CKS_OK ? set_groups(work, c, a) : status;
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
  c.low_is_good = work->values.better == CKS_BETTER_LOW;
  line_up(&c, work->values.better);
  if (contest->spread) status = judge(work, &c, a);
  if (status == CKS_OK) status = set_checks(work, &c, a);
  if (status == CKS_OK) status = put_in_order(work, &c, a);
  if (status == CKS_OK) status = index_rows(work, a);
  free(c.line);
  return status;
}
