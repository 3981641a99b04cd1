/* contest.c: see contest.h. */
#include "contest.h"

#include "critical.h"
#include "letters.h"

#include "../math/left_out.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double AT_THE_LIMIT = 1e-9; /* relative: a difference this close to the critical one is not beyond it */
static const double TIED = 1e-9;         /* relative: means this close are equal */

static int compare_keys(const void *left, const void *right)
{
  const cks_place_in_line *a = left, *b = right;
  if (a->key != b->key) return a->key < b->key ? -1 : 1;
  return a->local < b->local ? -1 : a->local > b->local;
}

static int compare_locals(const void *left, const void *right)
{
  const cks_place_in_line *a = left, *b = right;
  return a->local < b->local ? -1 : a->local > b->local;
}

static bool tied(double a, double b) { return fabs(a - b) <= TIED * fmax(fabs(a), fabs(b)); }

/* The end of the run of equal means that begins at `first`. */
static size_t run_end(const cks_line *c, size_t first)
{
  size_t end = first + 1;
  while (end < c->n && tied(c->line[first].key, c->line[end].key)) end++;
  return end;
}

void cks_line_up(cks_line *c, cks_better better)
{
  for (size_t i = 0; i < c->n; i++) {
    double mean = c->contest->tested[i];
    c->line[i] = (cks_place_in_line){better == CKS_BETTER_LOW ? mean : -mean, (uint32_t)i};
  }
  qsort(c->line, c->n, sizeof *c->line, compare_keys);
  for (size_t i = 0, end; i < c->n; i = end) {
    end = run_end(c, i);
    qsort(c->line + i, end - i, sizeof *c->line, compare_locals);
  }
}

cks_status cks_line_rule(const cks_trait_task *work, bool significant, bool protected_rule, cks_line *c)
{
  cks_comparison comparison = work->task->settings->comparison;
  c->all_pairs_rule = comparison == CKS_COMPARE_TUKEY || comparison == CKS_COMPARE_BONFERRONI;
  c->decides = significant || !protected_rule;
  c->low_is_good = work->values.better == CKS_BETTER_LOW;
  const cks_spread *spread = c->contest->spread;
  cks_status status = cks_critical_pairs(work->task, comparison, c->n, c->contest->df, &c->value);
  c->work = work;
  c->value_low = c->value_high = c->value;
  if (status == CKS_OK && spread->df)
    status = cks_critical_pairs(work->task, comparison, c->n, spread->df_largest, &c->value_low);
  if (status == CKS_OK && spread->df)
    status = cks_critical_pairs(work->task, comparison, c->n, spread->df_smallest, &c->value_high);
  return status;
}

double cks_line_value(const cks_line *c, size_t i, size_t j)
{
  double value = c->value_high, df = cks_spread_df(c->contest->spread, i, j, c->contest->df);
  if (!c->contest->spread->df) return c->value;
  cks_status status = cks_critical_pairs(c->work->task, c->work->task->settings->comparison, c->n, df, &value);
  return status == CKS_OK ? value : c->value_high; /* no memory: the largest one claims least */
}

double cks_line_sed(const cks_line *c, size_t i, size_t j)
{
  return sqrt(c->contest->error_ms * cks_spread_pair(c->contest->spread, i, j));
}

bool cks_line_is_beyond(const cks_line *c, size_t i, size_t j, double difference, double value)
{
  return difference > value * cks_line_sed(c, i, j) * (1 + AT_THE_LIMIT);
}

bool cks_line_differs(const cks_line *c, size_t i, size_t j)
{
  double difference = fabs(c->contest->tested[i] - c->contest->tested[j]);
  bool likely = c->decides && cks_line_is_beyond(c, i, j, difference, c->value_low);
  if (!likely || cks_line_is_beyond(c, i, j, difference, c->value_high)) return likely;
  return cks_line_is_beyond(c, i, j, difference, cks_line_value(c, i, j)); /* between the two: at its own df */
}

static bool differ_in_line(const void *context, size_t i, size_t j)
{
  const cks_line *c = context;
  return cks_line_differs(c, c->line[i].local, c->line[j].local);
}

bool cks_line_finds_any(const cks_line *c)
{
  if (!c->all_pairs_rule) return c->decides;
  bool found = cks_line_differs(c, c->line[0].local, c->line[c->n - 1].local);
  for (size_t i = 0; i < c->n && !c->equal_sed && !found; i++)
    for (size_t j = 0; j < i && !found; j++) found = cks_line_differs(c, i, j);
  return found;
}

static cks_status set_letters(const cks_trait_task *work, const cks_line *c, cks_analysis *a)
{
  cks_arena *arena = work->task->results->arena;
  if (work->task->settings->comparison == CKS_COMPARE_DUNNETT) {
    a->group_why = "Dunnett's rule compares with checks only";
    return CKS_OK;
  }
  const char **group = calloc(c->n, sizeof *group), *why;
  if (!group) return cks_error_nomem(work->task->error);
  bool runs = !c->decides || c->equal_sed;
  cks_status status = cks_letters_assign(c->n, runs, differ_in_line, c, arena, group, &why, work->task->error);
  for (size_t i = 0; i < c->n; i++) a->hybrid[c->member[c->line[i].local]].group = group[i];
  if (*why) a->group_why = why;
  free(group);
  return status;
}

/* The critical value of hybrid `local` against all others, one-sided (Hsu 1984, Ann. Stat. 12:1136). It is one for all
 * that stand alike, so each is worked out once: kept, size n_class, 0 where it is not known yet. */
static cks_status best_value(const cks_trait_task *work, const cks_line *c, size_t local, double *kept, double *value)
{
  const cks_spread *spread = c->contest->spread;
  double *own = &kept[spread->class_of[local]];
  bool product;
  cks_status status = CKS_OK;
  if (*own == 0)
    status = cks_critical_against(work->task, spread, local, cks_spread_least_df(spread, local, c->contest->df), false,
                                  own, &product);
  *value = *own;
  return status;
}

/* Is some mean further beyond local's than `value` SEDs? With equal SEDs the best one decides. */
static bool is_beaten(const cks_line *c, size_t local, double value)
{
  double own = c->contest->tested[local], sign = c->low_is_good ? -1 : 1;
  bool beaten = false;
  for (size_t k = 0; k < (c->equal_sed ? 1 : c->n) && !beaten; k++) {
    size_t other = c->line[k].local;
    beaten = other != local && cks_line_is_beyond(c, other, local, sign * (c->contest->tested[other] - own), value);
  }
  return beaten;
}

/* Ranks where something was found; the top group by the comparison in use, or by comparisons with the best. */
static cks_status set_ranks(const cks_trait_task *work, const cks_line *c, bool found, cks_analysis *a, uint32_t *n_top)
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
      cks_hybrid_result *row = &a->hybrid[c->member[local]];
      if (by_best && (j == 0 || !c->equal_sed)) status = best_value(work, c, local, kept, &value);
      bool out = by_best ? is_beaten(c, local, value) : cks_line_differs(c, c->line[0].local, local);
      row->rank = found ? (uint32_t)i + 1 : 0;
      row->top = out ? CKS_TOP_OUT : CKS_TOP_IN;
      *n_top += !out;
    }
  }
  free(kept);
  return status;
}

cks_status cks_line_rank(const cks_trait_task *work, const cks_line *c, bool found, cks_analysis *a, uint32_t *n_top)
{
  *n_top = 0;
  cks_status status = set_ranks(work, c, found, a, n_top);
  return status == CKS_OK ? set_letters(work, c, a) : status;
}

double cks_line_left_out(const cks_line *c, bool found, const char *top_rule)
{
  return found && !strcmp(top_rule, "lsd") ? cks_left_out_share(c->n, c->contest->df, c->value) : cks_missing();
}
