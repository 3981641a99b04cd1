/*
 * interaction_charts.c: the lines of the hybrids over the environment means, their means against the stability variance,
 * and hybrids and environments on two axes. Points and lines alone: no areas are drawn around them, for no test would.
 */
#include "interaction.h"
#include "words.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { MOST_LINES = 60, MOST_NAMED_LINES = 6, MOST_POINTS = 250, MOST_NAMED_POINTS = 30 };

/* ---- lines ------------------------------------------------------------------------------------------------------ */

enum { LINE_NAME, LINE_AT, LINE_VALUE, LINE_COLUMNS };

static bool has_line(const cks_stability *s) { return !cks_is_missing(s->slope); }

/* Where slopes differ at all the hybrids whose slope is told from 1, those with the smallest p first, as many as can be told apart in a chart. */
static size_t choose_named(const cks_draft *draft, const cks_interaction *x, size_t *named)
{
  size_t n = 0;
  if (!(x->slopes_p <= draft->results->alpha)) return 0;
  for (size_t i = 0; i < x->n_hybrid; i++) {
    if (!(x->hybrid[i].slope_p <= draft->results->alpha)) continue;
    size_t k = n < MOST_NAMED_LINES ? n : MOST_NAMED_LINES;
    for (; k > 0 && x->hybrid[named[k - 1]].slope_p > x->hybrid[i].slope_p; k--)
      if (k < MOST_NAMED_LINES) named[k] = named[k - 1];
    if (k < MOST_NAMED_LINES) named[k] = i;
    n += n < MOST_NAMED_LINES;
  }
  return n;
}

static size_t place_among(size_t n, const size_t *named, size_t i)
{
  size_t k = 0;
  while (k < n && named[k] != i) k++;
  return k;
}

/* Both ends of a line in rows `row` and row + 1. */
static void put_line(cks_draft *draft, cks_report_table *table, size_t row, const char *name, const cks_extent *at,
                     const double *value)
{
  const double ends[2] = {at->low, at->high};
  for (size_t k = 0; k < 2; k++) {
    cks_cell_put(table, row + k, LINE_NAME, cks_cell_text(name));
    cks_cell_put(table, row + k, LINE_AT, cks_cell_number(draft, ends[k], 2));
    cks_cell_put(table, row + k, LINE_VALUE, cks_cell_number(draft, value[k], 2));
  }
}

static cks_series line_series(const cks_report_table *table, size_t row, const char *label, uint8_t style)
{
  return (cks_series){.label = label,
                      .x = cks_chart_range(table, LINE_AT, (uint32_t)row, 2),
                      .y = cks_chart_range(table, LINE_VALUE, (uint32_t)row, 2),
                      .style = style};
}

const cks_chart *cks_chart_slopes(cks_draft *draft, const cks_trait_result *t)
{
  const cks_interaction *x = t->interaction;
  size_t named[MOST_NAMED_LINES], n_named = choose_named(draft, x, named), n = 0, row = 0;
  cks_extent at = {INFINITY, -INFINITY}, values = at;
  for (size_t i = 0; i < x->n_hybrid; i++) n += has_line(&x->hybrid[i]);
  for (size_t j = 0; j < x->n_environment; j++) cks_extent_take(&at, x->environment[j].mean);
  if (n < 2 || n > MOST_LINES || t->arcsine) return NULL;
  static const char *const labels[LINE_COLUMNS] = {"hybrid", "environment mean", "line"};
  const char *key = cks_words_key(draft, t, "chart-slopes"),
             *title = cks_words_title(draft, t, "lines over the environment means");
  cks_report_table *table = cks_chart_data(draft, key, title, LINE_COLUMNS, labels, 2 * (n + 1));
  cks_chart *chart = cks_chart_new(draft, key, CKS_LINES, n + 1);
  if (!table || !chart) return NULL;
  double center = (x->n_environment ? x->environment[0].mean - x->environment[0].index : 0);
  for (int last = 0; last < 2; last++) /* named lines over the others */
    for (size_t i = 0; i < x->n_hybrid; i++) {
      const cks_stability *s = &x->hybrid[i];
      size_t k = place_among(n_named, named, i);
      if (!has_line(s) || (k < n_named) != last) continue;
      double ends[2] = {s->mean + s->slope * (at.low - center), s->mean + s->slope * (at.high - center)};
      put_line(draft, table, row, cks_chart_name(draft, s->hybrid), &at, ends);
      cks_extent_take(&values, ends[0]);
      cks_extent_take(&values, ends[1]);
      const char *label = cks_arena_format(draft->arena, "%s %s", cks_chart_name(draft, s->hybrid),
                                           cks_words_number(draft, s->slope, 2));
      cks_chart_series(chart, line_series(table, row, label, k < n_named ? (uint8_t)(4 + k) : 0));
      row += 2;
    }
  put_line(draft, table, row, "environment mean", &at, (double[2]){at.low, at.high});
  cks_chart_series(chart, line_series(table, row, "slope 1", 3));
  chart->title = title;
  chart->description = cks_arena_format(
      draft->arena, "A line for each of %zu hybrids over the environment means; named with their slopes: %s.", n,
      n_named ? "those told from 1" : "none, for no slope is told from 1");
  chart->x = cks_axis_over("environment mean", "", at);
  chart->y = cks_axis_over(cks_axis_trait(draft, t), "", values);
  return chart;
}

/* ---- points ----------------------------------------------------------------------------------------------------- */

enum { POINT_NAME, POINT_X, POINT_Y, POINT_COLUMNS };

typedef struct {
  cks_report_table *table;
  size_t n;
  cks_extent x, y;
} points;

static void put_point(cks_draft *draft, points *p, const char *name, double x, double y)
{
  cks_cell_put(p->table, p->n, POINT_NAME, cks_cell_text(name));
  cks_cell_put(p->table, p->n, POINT_X, cks_cell_number(draft, x, 2));
  cks_cell_put(p->table, p->n++, POINT_Y, cks_cell_number(draft, y, 2));
  cks_extent_take(&p->x, x);
  cks_extent_take(&p->y, y);
}

/* The points from `first` on; named when they are few enough to read. */
static void add_points(cks_chart *chart, const points *p, size_t first, const char *label, uint8_t style)
{
  uint32_t from = (uint32_t)first, n = (uint32_t)(p->n - first);
  if (!n) return;
  cks_series series = {.label = label,
                       .x = cks_chart_range(p->table, POINT_X, from, n),
                       .y = cks_chart_range(p->table, POINT_Y, from, n),
                       .style = style};
  if (n <= MOST_NAMED_POINTS) series.names = cks_chart_range(p->table, POINT_NAME, from, n);
  cks_chart_series(chart, series);
}

static bool is_check(const cks_draft *draft, const cks_stability *s) { return draft->results->hybrid[s->hybrid].check; }

const cks_chart *cks_chart_stability(cks_draft *draft, const cks_trait_result *t)
{
  const cks_interaction *x = t->interaction;
  static const char *const labels[POINT_COLUMNS] = {"hybrid", "mean", "stability variance"};
  const char *key = cks_words_key(draft, t, "chart-stability"),
             *title = cks_words_title(draft, t, "mean against stability variance");
  size_t n = 0;
  for (size_t i = 0; i < x->n_hybrid; i++) n += !cks_is_missing(x->hybrid[i].stability_variance);
  if (n < 3 || n > MOST_POINTS) return NULL;
  points p = {cks_chart_data(draft, key, title, POINT_COLUMNS, labels, n), 0, {INFINITY, -INFINITY}, {0, 0}};
  cks_chart *chart = cks_chart_new(draft, key, CKS_POINTS, 2);
  if (!p.table || !chart) return NULL;
  for (int checks = 0; checks < 2; checks++) {
    size_t first = p.n;
    for (size_t i = 0; i < x->n_hybrid; i++) {
      const cks_stability *s = &x->hybrid[i];
      if (!cks_is_missing(s->stability_variance) && is_check(draft, s) == checks)
        put_point(draft, &p, cks_chart_name(draft, s->hybrid), s->mean, s->stability_variance);
    }
    add_points(chart, &p, first, checks ? "checks" : "hybrids", checks ? 2 : 0);
  }
  chart->title = title;
  chart->description =
      cks_arena_format(draft->arena, "A point for each of %zu hybrids: its mean along, its stability variance up.", n);
  chart->x = cks_axis_over(cks_axis_trait(draft, t), "", p.x);
  chart->y = cks_axis_over("stability variance", "", p.y);
  return chart;
}

static const char *axis_text(cks_draft *draft, const cks_interaction_axis *axis, size_t k, bool site)
{
  return cks_arena_format(draft->arena, "axis %zu (%s %% of %s)", k, cks_words_number(draft, axis->share_pct, 1),
                          site ? "hybrid and interaction" : "the interaction");
}

const cks_chart *cks_chart_axes(cks_draft *draft, const cks_trait_result *t, bool site)
{
  const cks_interaction *x = t->interaction;
  size_t n_score = site ? x->n_site_score : x->n_score, n = x->table_hybrids + x->table_environments;
  const cks_interaction_axis *axis = site ? x->site_axis : x->axis;
  static const char *const labels[POINT_COLUMNS] = {"hybrid or environment", "axis 1", "axis 2"};
  const char *key = cks_words_key(draft, t, site ? "chart-site-axes" : "chart-axes"),
             *title = cks_words_title(draft, t, site ? "site regression, two axes" : "interaction, two axes");
  if (n_score < 2 || n > MOST_POINTS) return NULL;
  points p = {cks_chart_data(draft, key, title, POINT_COLUMNS, labels, n), 0, {0, 0}, {0, 0}};
  cks_chart *chart = cks_chart_new(draft, key, CKS_POINTS, 2);
  if (!p.table || !chart) return NULL;
  for (size_t i = 0; i < x->n_hybrid; i++) {
    const double *score = site ? x->hybrid[i].site_score : x->hybrid[i].score;
    if (score) put_point(draft, &p, cks_chart_name(draft, x->hybrid[i].hybrid), score[0], score[1]);
  }
  add_points(chart, &p, 0, "hybrids", 0);
  size_t first = p.n;
  for (size_t j = 0; j < x->n_environment; j++) {
    const double *score = site ? x->environment[j].site_score : x->environment[j].score;
    if (score) put_point(draft, &p, cks_draft_text(draft, x->environment[j].label), score[0], score[1]);
  }
  add_points(chart, &p, first, "environments", 2);
  chart->title = title;
  chart->description = cks_arena_format(draft->arena, "A point for each of %u hybrids and %u environments on two axes.",
                                        x->table_hybrids, x->table_environments);
  chart->x = cks_axis_over(axis_text(draft, &axis[0], 1, site), "", p.x);
  chart->y = cks_axis_over(axis_text(draft, &axis[1], 2, site), "", p.y);
  return chart;
}
