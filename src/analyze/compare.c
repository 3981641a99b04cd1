/* compare.c: see compare.h. */
#include "compare.h"

#include "contest.h"
#include "critical.h"

#include "../math/distributions.h"
#include "../math/sums.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static void set_sed(const cks_trait_task *work, const cks_line *c, cks_analysis *a)
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

/* The leader of many is partly lucky: of its lead over the mean only the repeatable part comes again (regression to the
 * mean; Falconer 1981, Introduction to Quantitative Genetics, 2nd ed., ch. 11, from
 * memory). */
static void set_leader_loss(const cks_trait_task *work, const cks_line *c, cks_analysis *a)
{
  if (!a->found || work->values.better == CKS_BETTER_NONE || work->values.arcsine) return;
  double lead = fabs(a->hybrid[c->line[0].local].mean - a->mean);
  a->leader_loss = (1 - a->repeatability) * lead;
}

/* Of all rows as one. */
static cks_status rank_all(const cks_trait_task *work, const cks_line *c, cks_analysis *a)
{
  cks_status status = cks_line_rank(work, c, a->found, a, &a->n_top);
  a->left_out_share = cks_line_left_out(c, a->found, a->top_rule);
  set_leader_loss(work, c, a);
  return status;
}

static double percent(double part, double whole, bool true_zero)
{
  return true_zero && whole > 0 ? 100 * part / whole : cks_missing();
}

/* One hybrid against one check. */
typedef struct {
  size_t i, check;
  double dunnett; /* the critical value against this check; 0: pairs are judged by the comparison in use */
  bool closed;    /* both stand in one group, whose own F lets no pair be tested */
} versus;

cks_vs_check cks_vs_nothing(cks_id check)
{
  double none = cks_missing();
  return (cks_vs_check){check, none, none, none, CKS_DIFFERS_UNKNOWN, none, none};
}

/* 0 lies outside when, and only when, the comparison in use tells the two apart, F not asked; in percent none is true. */
static void set_interval(const cks_trait_task *work, const cks_line *c, const versus *v, cks_vs_check *vs)
{
  double value = v->dunnett > 0 ? v->dunnett : cks_line_value(c, v->i, v->check),
         half = value * cks_line_sed(c, v->i, v->check);
  if (work->values.arcsine) return;
  vs->ci_low = vs->difference - half;
  vs->ci_high = vs->difference + half;
}

static void set_vs_check(const cks_trait_task *work, const cks_line *c, const versus *v, const cks_analysis *a,
                         cks_vs_check *vs)
{
  size_t i = v->i, check = v->check;
  double mean = a->hybrid[i].mean, other = a->hybrid[check].mean;
  vs->pct = percent(mean, other, work->values.true_zero);
  vs->difference = mean - other;
  if (!c->contest->spread || check == i) return;
  double difference = c->contest->tested[i] - c->contest->tested[check];
  bool judged = v->dunnett > 0 || (c->decides && !v->closed);
  bool apart = judged && (v->dunnett > 0 ? cks_line_is_beyond(c, i, check, fabs(difference), v->dunnett)
                                         : cks_line_differs(c, i, check));
  if (judged)
    vs->p =
        cks_t_p(difference / cks_line_sed(c, i, check), cks_spread_df(c->contest->spread, i, check, c->contest->df));
  if (apart) vs->differs = difference > 0 ? CKS_DIFFERS_ABOVE : CKS_DIFFERS_BELOW;
  set_interval(work, c, v, vs);
}

/* Dunnett's value against a check that stands here; Sidak's where its correlations ask for it, and the note says so. */
static cks_status dunnett_value(const cks_trait_task *work, const cks_line *c, size_t check, cks_analysis *a,
                                double *value)
{
  bool product = true;
  *value = 0;
  if (work->task->settings->comparison != CKS_COMPARE_DUNNETT || !c->contest->spread || check == c->n || c->n < 2)
    return CKS_OK;
  cks_status status =
      cks_critical_against(work->task, c->contest->spread, check,
                           cks_spread_least_df(c->contest->spread, check, c->contest->df), true, value, &product);
  if (!product)
    a->note = cks_join(work->task->results->arena, a->note, "unequal precision: Sidak's t stands for Dunnett's value");
  if (cks_is_missing(a->critical_difference) && !work->values.arcsine)
    a->critical_difference = *value * a->sed; /* of the first check */
  return status;
}

/* Over all hybrids, whatever their group; two of one group need its own F too, or "above" would stand in a group that
 * cannot be told apart. */
static cks_status set_checks(const cks_trait_task *work, const cks_line *c, const cks_by_groups *g, cks_analysis *a)
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
      *vs = cks_vs_nothing(results->check[k]);
      bool closed = g->group_of && check < c->n && g->group_of[i] == g->group_of[check] && g->closed[g->group_of[i]];
      if (check < c->n) set_vs_check(work, c, &(versus){i, check, dunnett, closed}, a, vs);
      a->hybrid[i].vs_check = all + i * n_check;
    }
  }
  return status;
}

/* Rows by mean when they are ranked or --order mean asks for it, else as they stand: by name. By group: group by group.
 */
static cks_status put_in_order(const cks_trait_task *work, const cks_line *c, const cks_by_groups *g, cks_analysis *a)
{
  cks_row_order order = work->task->settings->order;
  bool ranked = a->found && work->values.better != CKS_BETTER_NONE;
  if (!g->order && (order == CKS_ORDER_NAME || (order != CKS_ORDER_MEAN && !ranked))) return CKS_OK;
  cks_hybrid_result *sorted = malloc(c->n * sizeof *sorted);
  if (!sorted) return cks_error_nomem(work->task->error);
  for (size_t i = 0; i < c->n; i++) sorted[i] = a->hybrid[g->order ? g->order[i] : c->line[i].local];
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

/* All rows as one: SED, LSD and what is found; without groups ranks, letters and top group too (else by_group.c). */
static cks_status judge(const cks_trait_task *work, cks_line *c, cks_analysis *a)
{
  static const char *const names[] = {"lsd", "tukey", "dunnett", "bonferroni"};
  a->comparison = names[work->task->settings->comparison];
  cks_status status = cks_line_rule(work, a->significant, a->protected_rule, c);
  if (status != CKS_OK) return status;
  set_sed(work, c, a);
  c->equal_sed = a->equal_sed;
  a->found = cks_line_finds_any(c);
  return work->task->results->by_group.heading ? CKS_OK : rank_all(work, c, a);
}

cks_status cks_compare(const cks_trait_task *work, const cks_contest *contest, cks_analysis *a)
{
  cks_by_groups groups;
  cks_sum sum = {0};
  cks_status status = CKS_OK;
  cks_line c = {.contest = contest, .n = a->n_hybrid, .line = malloc(a->n_hybrid * sizeof *c.line)};
  uint32_t *member = malloc(a->n_hybrid * sizeof *member);
  if (!c.line || !member) {
    status = cks_error_nomem(work->task->error);
    goto done;
  }
  for (uint32_t i = 0; i < c.n; i++) {
    member[i] = i;
    cks_sum_add(&sum, a->hybrid[i].mean);
  }
  c.member = member;
  a->mean = cks_sum_value(&sum) / (double)c.n;
  for (size_t i = 0; i < c.n; i++)
    a->hybrid[i].pct_of_mean = percent(a->hybrid[i].mean, a->mean, work->values.true_zero);
  cks_line_up(&c, work->values.better);
  if (contest->spread) status = judge(work, &c, a);
  if (status == CKS_OK) status = cks_by_group_judge(work, contest, a, &groups);
  if (status == CKS_OK) status = set_checks(work, &c, &groups, a);
  if (status == CKS_OK) status = put_in_order(work, &c, &groups, a);
  if (status == CKS_OK) status = index_rows(work, a);
done:
  free(member);
  free(c.line);
  return status;
}
