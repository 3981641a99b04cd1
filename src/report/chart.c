/* chart.c: see chart.h. */
#include "chart.h"

#include "words.h"

#include "../core/utf8.h"

#include <math.h>

enum { WIDEST_NAME = 18, STEPS = 6 };

void cks_extent_take(cks_extent *s, double value)
{
  if (cks_is_missing(value)) return;
  s->low = fmin(s->low, value);
  s->high = fmax(s->high, value);
}

/* Steps of 1, 2 or 5 times a power of ten, about STEPS of them, and ends on a step. */
cks_axis cks_axis_over(const char *label, const char *unit, cks_extent s)
{
  double width = s.high > s.low ? s.high - s.low : fmax(fabs(s.high), 1) * 0.1;
  double power = pow(10, floor(log10(width / STEPS))), step = power;
  static const double factors[] = {1, 2, 5, 10};
  for (size_t i = 0; i < sizeof factors / sizeof *factors; i++) {
    step = factors[i] * power;
    if (width / step <= STEPS) break;
  }
  double low = floor(s.low / step) * step, high = ceil(s.high / step) * step;
  if (!(high > low)) high = low + step;
  return (cks_axis){label, unit, low, high, step, (int8_t)(step < 1 ? -(int)floor(log10(step)) : 0)};
}

const char *cks_axis_trait(cks_draft *draft, const cks_trait_result *t)
{
  const char *unit = cks_unit_text(t->unit);
  return cks_arena_format(draft->arena, "%s%s%s", t->label, *unit ? ", " : "", unit);
}

const char *cks_chart_name(cks_draft *draft, cks_id hybrid)
{
  const char *name = cks_words_hybrid(draft, hybrid);
  size_t cut = cks_utf8_cut(name, WIDEST_NAME);
  if (!name[cut]) return name;
  return cks_arena_format(draft->arena, "%.*s\xE2\x80\xA6", (int)cks_utf8_cut(name, WIDEST_NAME - 1), name);
}

static void keep_table(cks_draft *draft, const cks_report_table *table)
{
  const cks_report_table **tables = cks_draft_grow(draft, draft->chart_table, draft->n_chart_table, sizeof *tables);
  if (!tables) return;
  draft->chart_table = tables;
  tables[draft->n_chart_table++] = table;
}

cks_report_table *cks_chart_data(cks_draft *draft, const char *key, const char *title, size_t n_column,
                                 const char *const *label, size_t n_row)
{
  cks_report_table *table =
      cks_draft_table(draft, cks_arena_format(draft->arena, "data-%s", key), title, n_column, n_row, 0);
  for (size_t c = 0; table && c < n_column; c++)
    table->column[c] = (cks_report_column){.key = label[c],
                                           .label = label[c],
                                           .unit = "",
                                           .group = "",
                                           .align = (int8_t)(c ? 1 : -1),
                                           .row_label = c == 0};
  if (table) keep_table(draft, table);
  return table;
}

cks_range cks_chart_range(const cks_report_table *table, uint32_t column, uint32_t first, uint32_t n)
{
  return (cks_range){table->key, column, first, n};
}

void cks_chart_series(cks_chart *chart, cks_series series) { chart->series[chart->n_series++] = series; }

cks_chart *cks_chart_new(cks_draft *draft, const char *key, cks_chart_kind kind, size_t room)
{
  cks_chart *chart = cks_arena_take(draft->arena, 1, sizeof *chart);
  cks_series *series = cks_arena_take(draft->arena, room, sizeof *series);
  if (!chart || !series) return NULL;
  *chart = (cks_chart){.key = key, .title = "", .caption = "", .description = "", .kind = kind, .series = series};
  return chart;
}
