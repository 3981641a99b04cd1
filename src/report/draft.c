/* draft.c: see draft.h. Arrays double when their count is a power of two, so no room need be kept beside it. */
#include "draft.h"

#include <string.h>

void *cks_draft_grow(cks_draft *draft, void *array, size_t n, size_t size)
{
  if (n & (n - 1)) return array;
  void *grown = cks_arena_take(draft->arena, n ? n * 2 : 1, size);
  if (grown && n) memcpy(grown, array, n * size);
  return grown;
}

const char *cks_draft_text(cks_draft *draft, const char *text)
{
  if (!text || !*text) return "";
  char *copy = cks_arena_text(draft->arena, text);
  for (char *c = copy; *c; c++)
    if ((unsigned char)*c < ' ' || *c == 0x7F) *c = ' ';
  return copy;
}

cks_section *cks_draft_section(cks_draft *draft, const char *key, const char *title, cks_audience audience)
{
  cks_report *report = draft->report;
  cks_section *sections = cks_draft_grow(draft, report->section, report->n_section, sizeof *sections), *section;
  if (sections) {
    report->section = sections;
    section = &sections[report->n_section++];
  } else {
    section = &draft->spare;
  }
  *section = (cks_section){.key = key, .title = title, .audience = audience};
  return section;
}

static void part_add(cks_draft *draft, cks_section *section, cks_part part)
{
  cks_part *parts = cks_draft_grow(draft, section->part, section->n_part, sizeof *parts);
  if (!parts) return;
  section->part = parts;
  parts[section->n_part++] = part;
}

void cks_draft_say(cks_draft *draft, cks_section *section, cks_part_kind kind, const char *text)
{
  if (*text || kind == CKS_PART_PAGE) part_add(draft, section, (cks_part){.kind = kind, .text = text});
}

void cks_draft_table_add(cks_draft *draft, cks_section *section, const cks_report_table *table)
{
  if (table) part_add(draft, section, (cks_part){.kind = CKS_PART_TABLE, .table = table, .text = ""});
}

void cks_draft_chart_add(cks_draft *draft, cks_section *section, const cks_chart *chart)
{
  if (chart) part_add(draft, section, (cks_part){.kind = CKS_PART_CHART, .chart = chart, .text = ""});
}

cks_report_table *cks_draft_table(cks_draft *draft, const char *key, const char *title, size_t n_column, size_t n_row,
                                  size_t n_foot)
{
  size_t n_cell = n_column * (n_row + n_foot);
  cks_report_table *table = cks_arena_take(draft->arena, 1, sizeof *table);
  cks_report_column *column = cks_arena_take(draft->arena, n_column, sizeof *column);
  cks_cell *cell = cks_arena_take(draft->arena, n_cell, sizeof *cell);
  if (!table || !column || !cell) return NULL;
  for (size_t i = 0; i < n_cell; i++) cell[i] = (cks_cell){.value = cks_missing(), .text = ""};
  for (size_t i = 0; i < n_column; i++)
    column[i] = (cks_report_column){.key = "", .label = "", .unit = "", .group = ""};
  *table = (cks_report_table){.key = key,
                              .title = title,
                              .caption = "",
                              .n_column = n_column,
                              .n_row = n_row,
                              .n_foot = n_foot,
                              .column = column,
                              .cell = cell};
  return table;
}

cks_report_table *cks_draft_headed(cks_draft *draft, const char *key, const char *title, size_t n_column,
                                   const cks_heading *heading, size_t n_row)
{
  cks_report_table *table = cks_draft_table(draft, key, title, n_column, n_row, 0);
  for (size_t c = 0; table && c < n_column; c++)
    table->column[c] = (cks_report_column){.key = heading[c].key,
                                           .label = heading[c].label,
                                           .narrow = heading[c].narrow,
                                           .unit = "",
                                           .group = "",
                                           .align = (int8_t)(heading[c].text ? -1 : 1),
                                           .row_label = c == 0};
  return table;
}

static bool is_blank(const cks_report_table *table, size_t column)
{
  for (size_t r = 0; r < table->n_row + table->n_foot; r++)
    if (*table->cell[r * table->n_column + column].text) return false;
  return true;
}

void cks_draft_drop_blank(cks_report_table *table)
{
  if (!table) return;
  for (size_t c = table->n_column; c-- > 1;) {
    if (!is_blank(table, c)) continue;
    size_t n = table->n_column, kept = 0;
    for (size_t i = 0; i < n * (table->n_row + table->n_foot); i++)
      if (i % n != c) table->cell[kept++] = table->cell[i];
    memmove(table->column + c, table->column + c + 1, (n - c - 1) * sizeof *table->column);
    table->n_column--;
  }
}

static const char *join(cks_draft *draft, const char *text, const char *between, const char *more)
{
  if (!*more) return text;
  return *text ? cks_arena_format(draft->arena, "%s%s%s", text, between, more) : more;
}

const char *cks_draft_line(cks_draft *draft, const char *text, const char *more)
{
  return join(draft, text, "\n", more);
}
const char *cks_draft_sentence(cks_draft *draft, const char *text, const char *more)
{
  return join(draft, text, " ", more);
}

const char *cks_draft_only(cks_draft *draft)
{
  const cks_setting_list *only = &draft->settings->only;
  const char *text = "";
  for (size_t i = 0; i < only->n; i++)
    text = cks_arena_format(draft->arena, "%s%s%s %s", text, i ? ", " : "", cks_draft_text(draft, only->pair[i].key),
                            cks_draft_text(draft, only->pair[i].value));
  return only->n ? cks_arena_format(draft->arena, " (only %s)", text) : "";
}
