/*
 * charts.c: ranked dots with an LSD bar and the first check as a line; the leading trait against days to mid-bloom. A
 * chart points at cells of its own small table, which only the workbook keeps.
 */
#include "chart.h"
#include "groups.h"
#include "sections.h"
#include "shown.h"
#include "words.h"

#include <math.h>
#include <string.h>

/* ---- dots ------------------------------------------------------------------------------------------------------- */

enum { DOT_NAME, DOT_ALL, DOT_TOP, DOT_CHECK, DOT_DISTANCE, DOT_COLUMNS };

/* What a dots chart is made from; distance, an LSD or MSD, is missing where none may be shown. */
typedef struct {
  const cks_trait_result *trait;
  const cks_analysis *analysis;
  const cks_hybrid_result *check; /* NULL: no check here */
  size_t n;
  double distance, best;
  bool top;
} dots;

static dots dots_of(const cks_draft *draft, const cks_trait_result *t, const cks_analysis *a, size_t most)
{
  size_t n = a->n_hybrid - a->n_aside;
  dots d = {t, a, NULL, n < most ? n : most, cks_missing(), cks_missing(), cks_shown_top(t, a)};
  if (draft->results->n_check) d.check = cks_analysis_hybrid(a, draft->results->check[0]);
  if (d.check && cks_is_missing(d.check->mean)) d.check = NULL;
  if (!cks_shown_none_found(a)) d.distance = cks_shown_distance_value(draft, t, a);
  d.best = t->better == CKS_BETTER_LOW ? INFINITY : -INFINITY;
  for (size_t i = 0; i < a->n_hybrid; i++)
    d.best = t->better == CKS_BETTER_LOW ? fmin(d.best, a->hybrid[i].mean) : fmax(d.best, a->hybrid[i].mean);
  return d;
}

/* Where the middle of the LSD bar lies: the bar reaches from the best mean as far as its top group may. */
static double bar_middle(const dots *d)
{
  return d->trait->better == CKS_BETTER_LOW ? d->best + d->distance / 2 : d->best - d->distance / 2;
}

static cks_extent fill_dots(cks_draft *draft, cks_report_table *table, const dots *d)
{
  cks_extent s = {INFINITY, -INFINITY};
  bool bar = !cks_is_missing(d->distance);
  size_t first = bar ? 1 : 0;
  int digits = d->trait->digits;
  if (bar) {
    cks_cell_put(table, 0, DOT_NAME, cks_cell_text(cks_shown_distance_word(draft)));
    cks_cell_put(table, 0, DOT_DISTANCE, cks_cell_number(draft, bar_middle(d), digits));
    cks_extent_take(&s, bar_middle(d) - d->distance / 2);
    cks_extent_take(&s, bar_middle(d) + d->distance / 2);
  }
  for (size_t i = 0; i < d->n; i++) {
    const cks_hybrid_result *line = &d->analysis->hybrid[i];
    bool top = d->top && line->top == CKS_TOP_IN;
    cks_cell_put(table, first + i, DOT_NAME, cks_cell_text(cks_chart_name(draft, line->hybrid)));
    cks_cell_put(table, first + i, top ? DOT_TOP : DOT_ALL, cks_cell_number(draft, line->mean, digits));
    cks_extent_take(&s, line->mean);
  }
  for (size_t i = 0; d->check && i < table->n_row; i++)
    cks_cell_put(table, i, DOT_CHECK, cks_cell_number(draft, d->check->mean, digits));
  if (d->check) cks_extent_take(&s, d->check->mean);
  return s;
}

static const char *describe_dots(cks_draft *draft, const dots *d, const char *place)
{
  const char *text =
      cks_arena_format(draft->arena, "A dot for the %s of each of %zu hybrids at %s, in the order of the table.",
                       d->trait->label, d->n, place);
  if (d->top)
    text = cks_draft_sentence(
        draft, text, cks_arena_format(draft->arena, "Filled dots: the top group, %u hybrids.", d->analysis->n_top));
  if (!cks_is_missing(d->distance))
    text = cks_draft_sentence(draft, text,
                              cks_arena_format(draft->arena, "A bar shows the %s, %s.", cks_shown_distance_word(draft),
                                               cks_words_number(draft, d->distance, d->trait->digits)));
  if (d->check)
    text = cks_draft_sentence(
        draft, text,
        cks_arena_format(draft->arena, "A line shows %s.",
                         cks_words_check(draft, cks_words_hybrid(draft, d->check->hybrid), "(check)")));
  return text;
}

const cks_chart *cks_chart_dots(cks_draft *draft, const char *key, const cks_trait_result *t, const cks_analysis *a,
                                const char *place, size_t most)
{
  dots d = dots_of(draft, t, a, most);
  if (d.n < 2) return NULL;
  bool bar = !cks_is_missing(d.distance);
  const char *const labels[DOT_COLUMNS] = {"hybrid", d.top ? "not in the top group" : cks_draft_text(draft, t->label),
                                           "top group", d.check ? cks_words_hybrid(draft, d.check->hybrid) : "check",
                                           cks_shown_distance_word(draft)};
  uint32_t n = (uint32_t)(d.n + bar), n_compared = a->n_hybrid - a->n_aside;
  cks_report_table *table =
      cks_chart_data(draft, key, cks_arena_format(draft->arena, "%s, %s", cks_words_capital(draft, t->label), place),
                     DOT_COLUMNS, labels, n);
  cks_chart *chart = cks_chart_new(draft, key, CKS_DOTS, DOT_COLUMNS);
  if (!table || !chart) return NULL;
  cks_extent s = fill_dots(draft, table, &d);
  cks_range names = cks_chart_range(table, DOT_NAME, 0, n);
  const char *part = d.n < n_compared ? cks_arena_format(draft->arena, " (first %zu of %u)", d.n, n_compared) : "";
  chart->title =
      cks_arena_format(draft->arena, "%s, %s%s", cks_words_capital(draft, cks_axis_trait(draft, t)), place, part);
  chart->description = describe_dots(draft, &d, place);
  chart->x = cks_axis_over(cks_axis_trait(draft, t), "", s);
  if (d.top)
    cks_chart_series(
        chart,
        (cks_series){.label = labels[DOT_TOP], .x = cks_chart_range(table, DOT_TOP, 0, n), .names = names, .style = 1});
  if (!d.top || a->n_top < n_compared)
    cks_chart_series(
        chart, (cks_series){.label = labels[DOT_ALL], .x = cks_chart_range(table, DOT_ALL, 0, n), .names = names});
  if (d.check)
    cks_chart_series(chart, (cks_series){.label = cks_words_check(draft, labels[DOT_CHECK], "(check)"),
                                         .x = cks_chart_range(table, DOT_CHECK, 0, n),
                                         .names = names,
                                         .style = 3});
  if (bar)
    cks_chart_series(
        chart, (cks_series){.label = cks_arena_format(draft->arena, "%s %s", cks_shown_distance_word(draft),
                                                      cks_words_number(draft, d.distance, t->digits ? t->digits : 1)),
                            .x = cks_chart_range(table, DOT_DISTANCE, 0, n),
                            .names = names,
                            .half_bar = d.distance / 2,
                            .style = 3});
  return chart;
}

size_t cks_chart_dots_all(cks_draft *draft, const char *key, const cks_trait_result *t, const cks_analysis *a,
                          const char *place, size_t most, const cks_chart *chart[CKS_CHART_DOTS])
{
  size_t n = 0, n_found = 0;
  if (!a->n_group) {
    chart[0] = cks_chart_dots(draft, key, t, a, place, most);
    return chart[0] ? 1 : 0;
  }
  for (size_t k = 0; k < a->n_group; k++) n_found += a->group[k].found;
  for (size_t k = 0; k < a->n_group && n_found <= CKS_CHART_DOTS; k++) {
    if (!a->group[k].found) continue; /* dots without a bar would invite ranking */
    cks_analysis view = cks_shown_group(a, k), *kept = cks_arena_take(draft->arena, 1, sizeof *kept);
    if (!kept) return n;
    *kept = view;
    const char *where = cks_arena_format(draft->arena, "%s, %s", place, cks_groups_label(draft, a->group[k].by_group));
    chart[n] = cks_chart_dots(draft, cks_arena_format(draft->arena, "%s-group-%zu", key, k + 1), t, kept, where, most);
    n += chart[n] != NULL;
  }
  return n;
}

/* ---- against days to mid-bloom ---------------------------------------------------------------------------------- */

enum { POINT_NAME, POINT_DAYS, POINT_VALUE, POINT_COLUMNS };

/* Hybrids with both values, the others first, then the checks; returns how many, and of them the checks. */
static size_t fill_points(cks_draft *draft, cks_report_table *table, const cks_analysis *a, const cks_analysis *bloom,
                          cks_extent *days, cks_extent *values, size_t *n_check)
{
  size_t n = 0;
  *n_check = 0;
  for (int checks = 0; checks < 2; checks++) {
    for (size_t i = 0; i < a->n_hybrid; i++) {
      const cks_hybrid_result *line = &a->hybrid[i], *at = cks_analysis_hybrid(bloom, line->hybrid);
      if (!at || cks_is_missing(at->mean) || cks_is_missing(line->mean)) continue;
      if (draft->results->hybrid[line->hybrid].check != (checks == 1)) continue;
      cks_cell_put(table, n, POINT_NAME, cks_cell_text(cks_chart_name(draft, line->hybrid)));
      cks_cell_put(table, n, POINT_DAYS, cks_cell_number(draft, at->mean, 1));
      cks_cell_put(table, n++, POINT_VALUE, cks_cell_number(draft, line->mean, draft->lead->digits));
      cks_extent_take(days, at->mean);
      cks_extent_take(values, line->mean);
      *n_check += (size_t)checks;
    }
  }
  return n;
}

const cks_chart *cks_chart_against_bloom(cks_draft *draft, cks_id environment)
{
  const cks_trait_result *bloom = cks_results_trait(draft->results, CKS_ROLE_DAYS_TO_MID_BLOOM);
  const cks_analysis *a = cks_shown_at(draft->lead, environment),
                     *days = bloom ? cks_shown_at(bloom, environment) : NULL;
  if (!a || !days || bloom == draft->lead) return NULL;
  const char *const labels[POINT_COLUMNS] = {"hybrid", "days to mid-bloom", cks_draft_text(draft, draft->lead->label)};
  const char *title =
      cks_arena_format(draft->arena, "%s against days to mid-bloom", cks_words_capital(draft, draft->lead->label));
  cks_report_table *table = cks_chart_data(draft, "bloom", title, POINT_COLUMNS, labels, a->n_hybrid);
  cks_chart *chart = cks_chart_new(draft, "bloom", CKS_POINTS, 2);
  if (!table || !chart) return NULL;
  cks_extent x = {INFINITY, -INFINITY}, y = x;
  size_t n_check, n = fill_points(draft, table, a, days, &x, &y, &n_check);
  if (n < 2) return NULL;
  uint32_t n_other = (uint32_t)(n - n_check);
  chart->title = title;
  chart->description = cks_arena_format(
      draft->arena, "A point for each of %zu hybrids: days to mid-bloom along, %s up; checks are named.", n,
      draft->lead->label);
  chart->x =
      cks_axis_over(cks_arena_format(draft->arena, "days to mid-bloom from %s", draft->trial->count_origin), "", x);
  chart->y = cks_axis_over(cks_axis_trait(draft, draft->lead), "", y);
  if (n_other)
    cks_chart_series(chart, (cks_series){.label = "hybrids",
                                         .x = cks_chart_range(table, POINT_DAYS, 0, n_other),
                                         .y = cks_chart_range(table, POINT_VALUE, 0, n_other)});
  if (n_check)
    cks_chart_series(chart, (cks_series){.label = "checks",
                                         .x = cks_chart_range(table, POINT_DAYS, n_other, (uint32_t)n_check),
                                         .y = cks_chart_range(table, POINT_VALUE, n_other, (uint32_t)n_check),
                                         .names = cks_chart_range(table, POINT_NAME, n_other, (uint32_t)n_check),
                                         .style = 2});
  return chart;
}

void cks_chart_data_add(cks_draft *draft)
{
  if (!draft->n_chart_table) return;
  cks_section *section = cks_draft_section(draft, "chart-data", "Chart data", CKS_FOR_CHARTS);
  section->new_page = true;
  cks_draft_say(draft, section, CKS_PART_HEADING, "What the charts are drawn from");
  for (size_t i = 0; i < draft->n_chart_table; i++) cks_draft_table_add(draft, section, draft->chart_table[i]);
}
