/*
 * by_group.c: --by-group: each group of hybrids by itself, against the error of all.
 *
 * The fit is that of all plots, and so are the error mean square, its df and the SEDs. Within a group F is that of its
 * own hybrids: their Wald form over its df and the mean square that the F of all stands over (exact, and with equal SEDs
 * the plain one: wald.h). The LSD waits for that F alone: an F of all hybrids that is significant because the groups
 * differ opens nothing inside a group. Tukey, Bonferroni and comparisons with the best count the group's hybrids. A group
 * of one is not ranked.
 */
#include "contest.h"
#include "wald.h"

#include "../math/distributions.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* One group: its rows, their means and spread. */
typedef struct {
  uint32_t *member; /* size n: rows in local order, which is by name */
  size_t n;
  double *tested;
  cks_spread spread;
} part;

static cks_status find_groups(const cks_trait_task *work, cks_analysis *a, cks_by_groups *g)
{
  const cks_results *results = work->task->results;
  size_t n_named = results->by_group.n;
  uint32_t *number = calloc(n_named, sizeof *number);
  g->group_of = cks_arena_take(work->scratch, a->n_hybrid, sizeof *g->group_of);
  g->order = cks_arena_take(work->scratch, a->n_hybrid, sizeof *g->order);
  g->closed = cks_arena_take(work->scratch, n_named, sizeof *g->closed);
  a->group = cks_arena_take(results->arena, n_named, sizeof *a->group);
  if (!number || !g->group_of || !g->order || !g->closed || !a->group) {
    free(number);
    return cks_error_nomem(work->task->error);
  }
  double none = cks_missing();
  for (size_t i = 0; i < a->n_hybrid; i++) number[results->hybrid[a->hybrid[i].hybrid].by_group]++;
  for (uint32_t k = 0, first = 0; k < n_named; k++) {
    uint32_t n = number[k];
    number[k] = (uint32_t)a->n_group;
    if (!n) continue;
    a->group[a->n_group++] = (cks_group_result){.by_group = k,
                                                .first = first,
                                                .n_hybrid = n,
                                                .f = none,
                                                .p = none,
                                                .num_df = none,
                                                .den_df = none,
                                                .sed = none,
                                                .lsd = none,
                                                .critical_difference = none,
                                                .left_out_share = none,
                                                .lsd_why = ""};
    first += n;
  }
  for (size_t i = 0; i < a->n_hybrid; i++) g->group_of[i] = number[results->hybrid[a->hybrid[i].hybrid].by_group];
  free(number);
  return CKS_OK;
}

static cks_status take_part(const cks_trait_task *work, const cks_contest *contest, const cks_by_groups *g,
                            uint32_t group, size_t n_row, part *p)
{
  p->tested = cks_arena_take(work->scratch, p->n, sizeof *p->tested);
  p->member = cks_arena_take(work->scratch, p->n, sizeof *p->member);
  if (!p->tested || !p->member) return cks_error_nomem(work->task->error);
  for (size_t i = 0, k = 0; i < n_row; i++)
    if (g->group_of[i] == group) {
      p->tested[k] = contest->tested[i];
      p->member[k++] = (uint32_t)i;
    }
  return contest->spread
             ? cks_spread_part(&p->spread, contest->spread, p->n, p->member, work->scratch, work->task->error)
             : CKS_OK;
}

static void set_f(const part *p, double form, double ms, double df, cks_group_result *group)
{
  double num_df = (double)p->n - 1, f = form / num_df / ms, p_value = cks_f_p(f, num_df, df);
  if (!cks_is_missing(group->p) && group->p >= p_value) return;
  group->f = f;
  group->p = p_value;
  group->num_df = num_df;
  group->den_df = df;
}

/* A mixed model has a df for each pair: a group's F stands on the smallest of its own. */
static double least_df(const cks_spread *spread, double all)
{
  double least = all;
  for (size_t i = 0; i < spread->n && spread->df; i++) least = fmin(least, cks_spread_least_df(spread, i, all));
  return least;
}

static cks_status test_group(const cks_trait_task *work, const cks_contest *contest, const part *p,
                             const cks_analysis *a, cks_group_result *group)
{
  double form;
  cks_status status = cks_wald(&p->spread, p->tested, &form, work->task->error);
  if (status != CKS_OK || cks_is_missing(form)) return status;
  set_f(p, form, contest->test_ms, least_df(&p->spread, contest->test_df), group);
  if (contest->other_ms > 0) set_f(p, form, contest->other_ms, contest->other_df, group);
  group->significant = group->p <= a->alpha;
  return CKS_OK;
}

static void set_lsd(const cks_trait_task *work, const cks_line *c, const cks_analysis *a, cks_group_result *group)
{
  cks_sed sed = cks_spread_sed(c->contest->spread, c->contest->error_ms);
  group->equal_sed = sed.equal;
  if (work->values.arcsine) {
    group->lsd_why = a->lsd_why;
    return;
  }
  group->sed = sed.mean;
  if (work->task->settings->comparison != CKS_COMPARE_DUNNETT) group->critical_difference = c->value * sed.mean;
  if (c->all_pairs_rule)
    group->lsd_why = a->lsd_why;
  else if (c->decides)
    group->lsd = c->value * sed.mean;
  else if (cks_is_missing(group->f))
    group->lsd_why = "too many hybrids of unequal replication for an F within this group";
  else
    group->lsd_why = cks_arena_format(work->task->results->arena,
                                      "no differences found within this group: F not significant at %g", a->alpha);
}

static cks_status judge_part(const cks_trait_task *work, const part *p, cks_line *c, cks_analysis *a,
                             cks_group_result *group, bool *closed)
{
  cks_status status = test_group(work, c->contest, p, a, group);
  if (status == CKS_OK) status = cks_line_rule(work, group->significant, a->protected_rule, c);
  if (status != CKS_OK) return status;
  set_lsd(work, c, a, group);
  c->equal_sed = group->equal_sed;
  group->found = cks_line_finds_any(c);
  *closed = !c->decides;
  status = cks_line_rank(work, c, group->found, a, &group->n_top);
  group->left_out_share = cks_line_left_out(c, group->found, a->top_rule);
  return status;
}

/* Where the group's rows go: by mean when they are ranked or --order mean asks for it, else by name. */
static void put_in_order(const cks_trait_task *work, const cks_line *c, const cks_group_result *group, uint32_t *order)
{
  cks_row_order wanted = work->task->settings->order;
  bool ranked = group->found && work->values.better != CKS_BETTER_NONE;
  bool by_mean = wanted == CKS_ORDER_MEAN || (wanted != CKS_ORDER_NAME && ranked);
  for (size_t i = 0; i < c->n; i++) order[group->first + i] = c->member[by_mean ? c->line[i].local : i];
}

static cks_status judge_group(const cks_trait_task *work, const cks_contest *contest, cks_analysis *a, uint32_t index,
                              cks_by_groups *g)
{
  cks_group_result *group = &a->group[index];
  part p = {.n = group->n_hybrid};
  cks_status status = take_part(work, contest, g, index, a->n_hybrid, &p);
  cks_place_in_line *line = cks_arena_take(work->scratch, p.n, sizeof *line);
  if (status != CKS_OK || !line) return status != CKS_OK ? status : cks_error_nomem(work->task->error);
  cks_contest own = *contest;
  own.tested = p.tested;
  own.spread = contest->spread ? &p.spread : NULL;
  cks_line c = {.contest = &own, .member = p.member, .n = p.n, .line = line};
  cks_line_up(&c, work->values.better);
  if (!contest->spread)
    group->lsd_why = *a->why ? a->why : "nothing is compared here";
  else if (p.n < 2)
    group->lsd_why = "one hybrid only in this group: nothing to rank it with";
  else
    status = judge_part(work, &p, &c, a, group, &g->closed[index]);
  put_in_order(work, &c, group, g->order);
  return status;
}

cks_status cks_by_group_judge(const cks_trait_task *work, const cks_contest *contest, cks_analysis *a, cks_by_groups *g)
{
  *g = (cks_by_groups){0};
  if (!work->task->results->by_group.heading) return CKS_OK;
  cks_status status = find_groups(work, a, g);
  for (uint32_t k = 0; k < a->n_group && status == CKS_OK; k++) {
    status = judge_group(work, contest, a, k, g);
    a->n_top += a->group[k].n_top;
    a->left_out_share = fmax(a->left_out_share, a->group[k].left_out_share); /* NaN loses */
  }
  return status;
}
