/*
 * location_table.c: hybrids down, places across, adjusted means in the cells, one table a trait. Shaded in one hue
 * within each place, and only where the place found differences: a shade is a claim too.
 */
#include "cells.h"
#include "claims.h"
#include "groups.h"
#include "sections.h"
#include "shown.h"
#include "words.h"

#include <math.h>

/* Hybrids of one group together, else as they stand. */
static void sort_by_group(const cks_draft *draft, cks_id *row, size_t n)
{
  const cks_hybrid *hybrid = draft->results->hybrid;
  for (size_t i = 1; i < n; i++) { /* a list that is in order already, but where nothing stands across */
    cks_id held = row[i];
    size_t j = i;
    for (; j > 0 && hybrid[row[j - 1]].by_group > hybrid[held].by_group; j--) row[j] = row[j - 1];
    row[j] = held;
  }
}

/* Rows: the print order across, else all hybrids by name. */
static size_t rows_of(cks_draft *draft, const cks_trait_result *t, const cks_analysis *across, const cks_id **out)
{
  size_t most = draft->results->n_hybrid, n = 0;
  cks_id *row = cks_arena_take(draft->arena, most, sizeof *row);
  if (!row) return 0;
  for (size_t i = 0; across && i < across->n_hybrid && n < most; i++) row[n++] = across->hybrid[i].hybrid;
  for (cks_id h = 0; !across && h < most; h++) {
    bool there = false;
    for (size_t i = 0; i < t->n_location; i++) there |= cks_analysis_hybrid(&t->location[i], h) != NULL;
    if (there) row[n++] = h;
  }
  sort_by_group(draft, row, n);
  *out = row;
  return n;
}

/* Darker is better (darker is more, where no end is the good one), among rows [first, end). */
static void shade(cks_report_table *table, size_t column, const cks_trait_result *t, size_t first, size_t end)
{
  double low = INFINITY, high = -INFINITY;
  for (size_t r = first; r < end; r++) {
    double value = table->cell[r * table->n_column + column].value;
    low = fmin(low, value); /* NaN loses */
    high = fmax(high, value);
  }
  for (size_t r = first; high > low && r < end; r++) {
    cks_cell *cell = &table->cell[r * table->n_column + column];
    if (cell->kind != CKS_CELL_NUMBER) continue;
    double share = (cell->value - low) / (high - low);
    cell->shade = (float)(t->better == CKS_BETTER_LOW ? 1 - share : share);
    table->heat = true;
  }
}

/* Where the place found differences; by group within each group that it found some in. */
static void shade_place(const cks_draft *draft, cks_report_table *table, size_t column, const cks_id *row,
                        const cks_trait_result *t, const cks_analysis *a)
{
  if (!cks_shown_compares(a)) return;
  if (!a->n_group && !cks_shown_none_found(a)) shade(table, column, t, 0, table->n_row);
  for (size_t k = 0, first = 0; k < a->n_group; k++) {
    uint32_t group = a->group[k].by_group;
    while (first < table->n_row && draft->results->hybrid[row[first]].by_group < group) first++;
    size_t end = first;
    while (end < table->n_row && draft->results->hybrid[row[end]].by_group == group) end++;
    if (a->group[k].found) shade(table, column, t, first, end);
    first = end;
  }
}

/* Feet: mean, LSD (by group one for each), CV of yield. */
static size_t n_distances(const cks_draft *draft)
{
  return draft->results->by_group.heading ? draft->results->by_group.n : 1;
}

static void put_distances(cks_draft *draft, cks_report_table *table, size_t column, const cks_trait_result *t,
                          const cks_analysis *a)
{
  size_t foot = table->n_row + 1;
  if (!a->n_group) cks_cell_put(table, foot, column, cks_shown_distance(draft, t, a));
  for (size_t k = 0; k < a->n_group; k++) {
    cks_analysis view = cks_shown_group(a, k);
    cks_cell_put(table, foot + a->group[k].by_group, column, cks_shown_distance(draft, t, &view));
  }
}

static void fill_column(cks_draft *draft, cks_report_table *table, size_t column, const cks_id *row,
                        const cks_trait_result *t, const cks_analysis *a)
{
  size_t n = table->n_row;
  table->column[column].align = 1;
  table->column[column].digits = (int8_t)t->digits;
  for (size_t r = 0; r < n; r++) {
    const cks_hybrid_result *line = cks_analysis_hybrid(a, row[r]);
    cks_cell_put(table, r, column, cks_cell_mean(draft, line, t->digits));
  }
  if (!cks_is_missing(a->mean)) cks_cell_put(table, n, column, cks_cell_number(draft, a->mean, t->digits));
  put_distances(draft, table, column, t, a);
  if (cks_role_is_yield(t->role) && !cks_is_missing(a->cv_pct))
    cks_cell_put(table, n + 1 + n_distances(draft), column, cks_cell_number(draft, a->cv_pct, 1));
}

/* The hybrids, by group their groups beside them, and what the feet are; returns the columns taken. */
static size_t fill_labels(cks_draft *draft, cks_report_table *table, const cks_id *row, bool cv)
{
  const cks_by_group *groups = &draft->results->by_group;
  size_t n = table->n_row, c = groups->heading ? 1 : 0;
  const char *distance = cks_arena_format(draft->arena, "%s (%s)", cks_shown_distance_word(draft),
                                          cks_words_alpha(draft, draft->results->alpha));
  table->column[0] =
      (cks_report_column){.key = "hybrid", .label = "hybrid", .unit = "", .group = "", .align = -1, .row_label = true};
  if (c)
    table->column[c] = (cks_report_column){.key = "by_group",
                                           .label = cks_draft_text(draft, groups->heading),
                                           .unit = "",
                                           .group = "",
                                           .align = -1,
                                           .row_label = true};
  for (size_t r = 0; r < n; r++) {
    const cks_hybrid *hybrid = &draft->results->hybrid[row[r]];
    cks_cell_put(table, r, 0, cks_cell_hybrid(draft, row[r]));
    if (c) cks_cell_put(table, r, c, cks_cell_text(cks_groups_name(draft, hybrid->by_group)));
  }
  cks_cell_put(table, n, 0, cks_cell_text("mean"));
  for (size_t k = 0; k < n_distances(draft); k++) {
    cks_cell_put(table, n + 1 + k, 0, cks_cell_text(distance));
    if (c) cks_cell_put(table, n + 1 + k, c, cks_cell_text(cks_groups_name(draft, (uint32_t)k)));
  }
  if (cv) cks_cell_put(table, n + 1 + n_distances(draft), 0, cks_cell_text("CV %"));
  return c + 1;
}

static const char *caption_of(cks_draft *draft, const cks_trait_result *t, const cks_analysis *across, bool heat)
{
  const char *text = cks_words_basis(draft, t);
  if (t->arcsine)
    text = cks_draft_sentence(draft, text,
                              cks_arena_format(draft->arena, "Tested on another scale, so no %s is printed.",
                                               cks_shown_distance_word(draft)));
  if (across)
    text = cks_draft_line(draft, text,
                          cks_draft_sentence(draft, "all places:", cks_claim(draft, CKS_CLAIM_TEST, t, across)));
  if (!across && t->across)
    text = cks_draft_line(
        draft, text,
        cks_arena_format(draft->arena, "No mean over places: %s.", *t->across->why ? t->across->why : "no result"));
  if (heat)
    text = cks_draft_line(draft, text,
                          t->better == CKS_BETTER_LOW ? "Darker: lower within its place."
                                                      : "Darker: higher within its place.");
  if (heat && draft->results->by_group.heading)
    text = cks_draft_sentence(draft, text, "Shaded within each group: shades of one do not compare with another's.");
  return text;
}

void cks_location_table_put(cks_draft *draft, cks_section *section, const cks_trait_result *t)
{
  const cks_analysis *across = cks_shown_at(t, CKS_NONE);
  const cks_id *row = NULL;
  size_t n_label = draft->results->by_group.heading ? 2 : 1;
  size_t n = rows_of(draft, t, across, &row), n_column = n_label + t->n_location + (across != NULL);
  bool cv = cks_role_is_yield(t->role);
  cks_report_table *table =
      cks_draft_table(draft, cks_arena_format(draft->arena, "by-location-%s", t->key),
                      cks_words_capital(draft, t->label), n_column, n, 1 + n_distances(draft) + cv);
  if (!table) return;
  size_t c = fill_labels(draft, table, row, cv);
  if (across) {
    table->column[c] =
        (cks_report_column){.key = "all", .label = "all places", .narrow = "all\nplaces", .unit = "", .group = ""};
    fill_column(draft, table, c++, row, t, across);
  }
  for (size_t i = 0; i < t->n_location; i++, c++) {
    const char *label = cks_draft_text(draft, t->location[i].label);
    table->column[c] = (cks_report_column){
        .key = label, .label = label, .narrow = cks_words_stacked(draft, label), .unit = "", .group = ""};
    fill_column(draft, table, c, row, t, &t->location[i]);
    shade_place(draft, table, c, row, t, &t->location[i]);
  }
  table->caption = caption_of(draft, t, across, table->heat);
  cks_draft_table_add(draft, section, table);
}

void cks_location_table_add(cks_draft *draft)
{
  bool several = false;
  for (size_t i = 0; i < draft->results->n_trait; i++) several |= draft->results->trait[i].n_location > 1;
  if (!several) return;
  cks_section *section = cks_draft_section(draft, "by-location", "Hybrids by location", CKS_FOR_ALL);
  section->new_page = true;
  cks_draft_say(draft, section, CKS_PART_HEADING, "Hybrids by location");
  cks_draft_say(draft, section, CKS_PART_PARAGRAPH,
                cks_arena_format(draft->arena,
                                 "Adjusted means of each place; a dash: the hybrid has no value there. %s at alpha %s "
                                 "within a place; NS: no differences found there. Shaded only where differences were "
                                 "found.",
                                 cks_shown_distance_word(draft), cks_words_alpha(draft, draft->results->alpha)));
  for (size_t i = 0; i < draft->results->n_trait; i++)
    if (draft->results->trait[i].n_location > 1) cks_location_table_put(draft, section, &draft->results->trait[i]);
}
