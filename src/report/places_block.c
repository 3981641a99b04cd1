/*
 * places_block.c: the places on the first screen, a row each: mean, LSD, CV, and the best of it where one may be named.
 * By group the best of each group, where they have room beside each other.
 */
#include "cells.h"
#include "groups.h"
#include "sections.h"
#include "shown.h"
#include "words.h"

#include "../core/utf8.h"

#include <string.h>

enum { MOST_PLACES = 15 };

enum { PLACE_NAME, PLACE_MEAN, PLACE_DISTANCE, PLACE_CV, PLACE_TOP, PLACE_VALUE, PLACE_BEST, PLACE_COLUMNS };

static void place_columns(cks_draft *draft, cks_report_table *table)
{
  const cks_trait_result *lead = draft->lead;
  const char *unit = cks_unit_text(lead->unit), *best = cks_words_highest(lead);
  const cks_report_column columns[PLACE_COLUMNS] = {
      {.key = "location", .label = "location", .align = -1, .row_label = true},
      {.key = "mean", .label = "mean", .align = 1, .unit = unit},
      {.key = "lsd", .label = cks_shown_distance_word(draft), .align = 1},
      {.key = "cv", .label = "CV %", .align = 1},
      {.key = "n_top", .label = "hybrids in top group", .narrow = "in top\ngroup", .align = 1},
      {.key = "value", .label = best, .align = 1, .unit = unit},
      {.key = "highest", .label = "hybrid", .align = -1},
  };
  for (size_t c = 0; c < table->n_column; c++) {
    table->column[c] = columns[c];
    if (!table->column[c].unit) table->column[c].unit = "";
    table->column[c].group = "";
  }
}

/* Where nothing is ranked, does a test that asks no F find something all the same? */
static bool tells_some(const cks_draft *draft, const cks_analysis *a)
{
  return cks_shown_dunnett_finds(draft, a) || cks_shown_top(draft->lead, a);
}

/* Names the best of a place, or says why none is named. */
static void place_best(cks_draft *draft, cks_report_table *table, size_t row, const cks_analysis *a)
{
  const cks_trait_result *lead = draft->lead;
  size_t n_best = 0;
  const cks_hybrid_result *best = cks_shown_first(a, &n_best);
  const char *instead = a->method == CKS_METHOD_NONE ? "no result"
                        : !cks_shown_compares(a)     ? "means only, not compared"
                        : cks_shown_none_found(a)    ? tells_some(draft, a) ? "not ranked" : "cannot be told apart"
                        : !best                      ? "not ranked"
                                                     : NULL;
  if (instead) {
    cks_cell_put(table, row, PLACE_BEST, cks_cell_text(instead));
  } else {
    const char *name = cks_words_hybrid(draft, best->hybrid);
    if (n_best > 1) name = cks_arena_format(draft->arena, "%s and %zu equal", name, n_best - 1);
    cks_cell_put(table, row, PLACE_BEST, cks_cell_text(name));
    cks_cell_put(table, row, PLACE_VALUE, cks_cell_number(draft, best->mean, lead->digits));
  }
  if (cks_shown_compares(a))
    cks_cell_put(table, row, PLACE_TOP, cks_cell_count(draft, cks_shown_top(lead, a) ? a->n_top : a->n_hybrid));
}

static void place_row(cks_draft *draft, cks_report_table *table, size_t row, const cks_analysis *a)
{
  const cks_trait_result *lead = draft->lead;
  bool compares = cks_shown_compares(a);
  cks_cell_put(table, row, PLACE_NAME, cks_cell_text(cks_draft_text(draft, a->label)));
  if (!cks_is_missing(a->mean)) cks_cell_put(table, row, PLACE_MEAN, cks_cell_number(draft, a->mean, lead->digits));
  cks_cell_put(table, row, PLACE_DISTANCE, cks_shown_distance(draft, lead, a));
  if (compares && cks_role_is_yield(lead->role) && !cks_is_missing(a->cv_pct))
    cks_cell_put(table, row, PLACE_CV, cks_cell_number(draft, a->cv_pct, 1));
  if (table->n_column == PLACE_COLUMNS) place_best(draft, table, row, a);
}

/* By group: location, mean, CV, then the winner of each group. */
enum { GROUPED_NAME, GROUPED_MEAN, GROUPED_CV, GROUPED_FIRST };

typedef struct {
  size_t n;
  uint32_t *group;  /* size n: those of two hybrids or more at some place */
  uint32_t several; /* the last top group of several that a name stands for; 0: none */
} winners;

static winners find_winners(cks_draft *draft)
{
  const cks_trait_result *lead = draft->lead;
  winners w = {.group = cks_arena_take(draft->arena, draft->results->by_group.n, sizeof *w.group)};
  for (uint32_t g = 0; w.group && lead->better != CKS_BETTER_NONE && g < draft->results->by_group.n; g++) {
    bool any = false;
    for (size_t i = 0; i < lead->n_location; i++)
      for (size_t k = 0; k < lead->location[i].n_group; k++)
        any |= lead->location[i].group[k].by_group == g && lead->location[i].group[k].n_hybrid > 1;
    if (any) w.group[w.n++] = g;
  }
  return w;
}

static void grouped_columns(cks_draft *draft, cks_report_table *table, const winners *w)
{
  const cks_report_column columns[GROUPED_FIRST] = {
      {.key = "location", .label = "location", .align = -1, .row_label = true},
      {.key = "mean", .label = "mean", .align = 1, .unit = cks_unit_text(draft->lead->unit)},
      {.key = "cv", .label = "CV %", .align = 1}};
  const char *highest = cks_words_highest(draft->lead);
  for (size_t c = 0; c < table->n_column; c++) {
    const char *name = c < GROUPED_FIRST ? "" : cks_groups_name(draft, w->group[c - GROUPED_FIRST]);
    table->column[c] =
        c < GROUPED_FIRST
            ? columns[c]
            : (cks_report_column){.key = cks_arena_format(draft->arena, "best_%zu", c - GROUPED_FIRST + 1),
                                  .label = cks_arena_format(draft->arena, "%s, %s", highest, name),
                                  .narrow = cks_arena_format(draft->arena, "%s,\n%s", highest, name),
                                  .align = -1};
    if (!table->column[c].unit) table->column[c].unit = "";
    table->column[c].group = "";
  }
}

static void grouped_row(cks_draft *draft, cks_report_table *table, size_t row, const cks_analysis *a, winners *w)
{
  const cks_trait_result *lead = draft->lead;
  cks_cell_put(table, row, GROUPED_NAME, cks_cell_text(cks_draft_text(draft, a->label)));
  if (!cks_is_missing(a->mean)) cks_cell_put(table, row, GROUPED_MEAN, cks_cell_number(draft, a->mean, lead->digits));
  if (cks_shown_compares(a) && cks_role_is_yield(lead->role) && !cks_is_missing(a->cv_pct))
    cks_cell_put(table, row, GROUPED_CV, cks_cell_number(draft, a->cv_pct, 1));
  for (size_t k = 0; k < a->n_group; k++)
    for (size_t c = GROUPED_FIRST; c < table->n_column; c++)
      if (w->group[c - GROUPED_FIRST] == a->group[k].by_group)
        cks_cell_put(table, row, c, cks_cell_text(cks_groups_best(draft, lead, a, k, &w->several)));
}

static size_t longest_line(const char *text)
{
  size_t longest = 0;
  for (;; text++) {
    size_t n = strcspn(text, "\n"), width = cks_utf8_width(text, n);
    if (width > longest) longest = width;
    text += n;
    if (!*text) return longest;
  }
}

static bool fits_line(const cks_report_table *table)
{
  enum { GAP = 2 };
  size_t whole = 0;
  for (size_t c = 0; c < table->n_column; c++) {
    const cks_report_column *column = &table->column[c];
    size_t width = longest_line(column->narrow ? column->narrow : column->label);
    for (size_t r = 0; r < table->n_row; r++) {
      size_t own = cks_utf8_width(table->cell[r * table->n_column + c].text, SIZE_MAX);
      if (own > width) width = own;
    }
    whole += width + (c ? GAP : 0);
  }
  return whole <= CKS_PAGE_COLUMNS;
}

static cks_report_table *grouped_table(cks_draft *draft, winners *w, size_t n_row)
{
  cks_report_table *table = cks_draft_table(draft, "places", "", GROUPED_FIRST + w->n, n_row, 0);
  if (!table) return NULL;
  grouped_columns(draft, table, w);
  for (size_t i = 0; i < n_row; i++) grouped_row(draft, table, i, &draft->lead->location[i], w);
  return table;
}

/* With the best of each group where they fit beside each other, else without them, and *words says so. */
static const cks_report_table *places_by_group(cks_draft *draft, size_t n_row, const char **words)
{
  winners w = find_winners(draft), none = {0};
  cks_report_table *table = w.n <= CKS_PAGE_COLUMNS ? grouped_table(draft, &w, n_row) : NULL;
  if (table && (!w.n || fits_line(table))) {
    if (w.several)
      *words =
          cks_arena_format(draft->arena, "(of %u) = one of %u in the top group: which of them is best is not known.",
                           w.several, w.several);
    return table;
  }
  *words =
      cks_arena_format(draft->arena, "The best of each group at each place has no room here; see the full tables%s.",
                       draft->settings->full ? "" : " (--full)");
  return grouped_table(draft, &none, n_row);
}

static const cks_report_table *all_places(cks_draft *draft, size_t n_row)
{
  size_t n_column = draft->lead->better == CKS_BETTER_NONE ? (size_t)PLACE_TOP : (size_t)PLACE_COLUMNS;
  cks_report_table *table = cks_draft_table(draft, "places", "", n_column, n_row, 0);
  if (!table) return NULL;
  place_columns(draft, table);
  for (size_t i = 0; i < n_row; i++) place_row(draft, table, i, &draft->lead->location[i]);
  return table;
}

/* "No yield at Dell."; "" where every place has some. */
static const char *empty_words(cks_draft *draft)
{
  const cks_trial *trial = draft->trial;
  const cks_trait_result *lead = draft->lead;
  size_t n = 0;
  const char **name = cks_arena_take(draft->arena, trial->n_environment, sizeof *name);
  for (cks_id e = 0; name && e < trial->n_environment; e++) {
    bool there = false;
    for (size_t i = 0; i < lead->n_location; i++) there |= lead->location[i].environment == e;
    if (!there) name[n++] = cks_draft_text(draft, trial->environment[e].label);
  }
  return n ? cks_arena_format(draft->arena, "No %s at %s.", lead->label, cks_words_list(draft, n, name)) : "";
}

void cks_places_add(cks_draft *draft)
{
  size_t n = draft->lead->n_location, shown = n > MOST_PLACES && !draft->settings->full ? MOST_PLACES : n;
  cks_section *section = cks_draft_section(draft, "places", "Places", CKS_FOR_ALL);
  section->first_screen = true;
  const char *words = "", *text = "";
  bool grouped = draft->results->by_group.heading != NULL;
  cks_draft_table_add(draft, section, grouped ? places_by_group(draft, shown, &words) : all_places(draft, shown));
  if (shown < n)
    text = cks_arena_format(draft->arena, "and %s in the full tables (--full)",
                            cks_words_count(draft, n - shown, "more place"));
  text = cks_draft_line(draft, text, words);
  cks_draft_say(draft, section, CKS_PART_PARAGRAPH, cks_draft_line(draft, text, empty_words(draft)));
}
