/*
 * screen.c: the first screen: the answer, one line on doubt, one on data, one on what next.
 *
 * Three sections: the summary (ranked table and what it may be taken for), the places, and what to type next. At most
 * 96 columns; about 40 rows for 14 hybrids.
 */
#include "cells.h"
#include "groups.h"
#include "sections.h"
#include "standing.h"
#include "words.h"

#include "../core/utf8.h"

#include <string.h>

enum {
  MOST_HYBRIDS = 40, /* beyond it the screen shows the top group and the checks */
  MOST_TOP = 30,     /* ... at most so many of them */
  MOST_PLACES = 15   /* rows of the places block */
};

/* What the screen's table stands on: across where that is possible, else the only place; NULL: neither. */
static const cks_analysis *main_analysis(const cks_draft *draft)
{
  const cks_trait_result *lead = draft->lead;
  if (lead->n_location == 1) return cks_shown_at(lead, lead->location[0].environment);
  return cks_shown_at(lead, CKS_NONE);
}

/* ---- title and basis -------------------------------------------------------------------------------------------- */

static const char *left_out_words(cks_draft *draft)
{
  const cks_trial *trial = draft->trial;
  if (!trial->n_left_out) return cks_arena_format(draft->arena, "%zu plots, none left out", trial->n_plot);
  return cks_arena_format(draft->arena, "%zu of %zu plots left out", trial->n_left_out,
                          trial->n_plot + trial->n_left_out);
}

static const char *title_line(cks_draft *draft)
{
  const char *years = cks_words_years(draft), *reps = draft->lead ? cks_words_reps(draft, draft->lead) : "";
  return cks_arena_format(
      draft->arena, "%s%s%s: %s, %s, %s%s%s", cks_words_capital(draft, draft->trial->crop->label), *years ? ", " : "",
      years, cks_words_hybrids(draft, draft->results->n_hybrid, draft->results->n_check),
      cks_words_count(draft, draft->trial->n_location, "location"), reps, *reps ? ", " : "", left_out_words(draft));
}

static const char *basis_line(cks_draft *draft, const cks_plan *plan)
{
  const char *text = cks_words_basis(draft, draft->lead);
  const cks_trait_result *bloom = cks_results_trait(draft->results, CKS_ROLE_DAYS_TO_MID_BLOOM);
  for (size_t i = 0; plan && bloom && bloom != draft->lead && i < plan->n_column; i++)
    if (plan->column[i].trait == bloom) text = cks_draft_sentence(draft, text, cks_words_basis(draft, bloom));
  if (cks_words_crop_assumed(draft) && draft->lead->unit != CKS_UNIT_BU_AC)
    text = cks_draft_sentence(
        draft, text, cks_arena_format(draft->arena, "No crop is stated; %s is assumed.", draft->trial->crop->label));
  return text;
}

/* ---- rows of a long list ---------------------------------------------------------------------------------------- */

/* Keeps the top group (where there is one; the first MOST_TOP at most, by group an equal share in each) and all checks,
 * and what heads and ends the blocks they stand in; returns how many hybrids are gone. */
static size_t shorten(cks_draft *draft, cks_plan *plan)
{
  size_t whole = cks_plan_hybrids(plan);
  if (whole <= MOST_HYBRIDS || draft->settings->full) return 0;
  bool by_top = cks_shown_top(plan->trait, plan->main);
  size_t n_block = plan->main->n_group, most = n_block ? MOST_TOP / n_block + 1 : MOST_TOP;
  cks_plan_row *kept = cks_arena_take(draft->arena, plan->n_row, sizeof *kept);
  if (!kept) return 0;
  size_t n = 0, n_head = 0, n_kept = 0, before = 0; /* before: kept when the block began */
  for (size_t i = 0; i < plan->n_row; i++) {
    cks_plan_row row = plan->row[i];
    if (row.kind == CKS_ROW_BLOCK) {
      if (n && kept[n - 1].kind == CKS_ROW_BLOCK) n--; /* nothing of that one is kept */
      n_head = 0;
      before = n_kept;
    }
    const cks_hybrid_result *line = row.kind == CKS_ROW_HYBRID ? cks_analysis_hybrid(plan->main, row.id) : NULL;
    bool head = line && n_head < most && (!by_top || line->top != CKS_TOP_OUT);
    bool keep = line ? head || draft->results->hybrid[row.id].check : row.kind == CKS_ROW_BLOCK || n_kept > before;
    n_head += head;
    n_kept += keep && line;
    if (keep) kept[n++] = row;
  }
  if (n && kept[n - 1].kind == CKS_ROW_BLOCK) n--;
  plan->row = kept;
  plan->n_row = n;
  return whole - n_kept;
}

static const char *shortened_words(cks_draft *draft, const cks_plan *plan, size_t gone)
{
  if (!gone) return "";
  return cks_arena_format(draft->arena, "%s %zu more stand in the full tables (--full).",
                          cks_shown_top(plan->trait, plan->main) ? "Shown: the top group and the checks;"
                                                                 : "Shown: the first of the list and the checks;",
                          gone);
}

/* ---- what the table may be taken for ---------------------------------------------------------------------------- */

static const char *highest(const cks_trait_result *trait)
{
  return trait->better == CKS_BETTER_LOW ? "lowest" : "highest";
}

static bool plan_has(const cks_plan *plan, cks_show show)
{
  for (size_t i = 0; i < plan->n_column; i++)
    if (plan->column[i].show == show) return true;
  return false;
}

static const char *key_words(cks_draft *draft, const cks_plan *plan)
{
  const char *text = "";
  if (plan_has(plan, CKS_SHOW_TOP))
    text = cks_arena_format(draft->arena, "top = not different from the %s%s.", highest(plan->trait),
                            plan->main->n_group ? " of its group" : "");
  if (plan_has(plan, CKS_SHOW_VS_CHECK))
    text = cks_arena_format(draft->arena, "%s%svs = above or below that check; blank = cannot tell.", text,
                            *text ? "  " : "");
  if (plan_has(plan, CKS_SHOW_PCT_CHECK)) text = cks_draft_line(draft, text, cks_standing_check_key(draft, 0));
  return text;
}

/* The top group stands in the first rows; otherwise its size alone is told. */
static const char *top_words(cks_draft *draft, const cks_plan *plan)
{
  const cks_analysis *a = plan->main;
  size_t first = 0;
  while (first < a->n_hybrid && a->hybrid[first].top == CKS_TOP_IN) first++;
  if (a->n_top == 1)
    return cks_arena_format(draft->arena,
                            "One hybrid stands alone as the %s; chance may leave out another as good as it.",
                            highest(plan->trait));
  if (first == a->n_top && a->equal_sed)
    return cks_arena_format(draft->arena,
                            "The first %u cannot be told apart; chance may leave out one as good. Their order is no "
                            "finding.",
                            a->n_top);
  return cks_arena_format(draft->arena,
                          "%u are not different from the %s; chance may leave out one as good. Their order is no "
                          "finding.",
                          a->n_top, highest(plan->trait));
}

/* Each group by its own F. */
static const char *groups_words(cks_draft *draft, const cks_plan *plan)
{
  const char *text =
      cks_arena_format(draft->arena, "Ranked within each group (%s), by its own F over the error of all:",
                       cks_draft_text(draft, draft->results->by_group.heading));
  text = cks_draft_sentence(draft, text, cks_groups_answer(draft, plan->trait, plan->main));
  return cks_shown_top(plan->trait, plan->main)
             ? cks_draft_sentence(draft, text,
                                  "Each group is tested by itself. Chance may leave out one as good; order in a "
                                  "top group is no finding.")
             : text;
}

static const char *order_words(cks_draft *draft, const cks_plan *plan)
{
  const cks_trait_result *trait = plan->trait;
  const cks_analysis *a = plan->main;
  if (!cks_shown_compares(a))
    return cks_draft_sentence(draft, "Means only: nothing here is ranked or compared.",
                              cks_words_test(draft, trait, a));
  if (a->n_group) return groups_words(draft, plan);
  if (cks_shown_none_found(a))
    return cks_arena_format(draft->arena,
                            "No differences in %s found: these hybrids cannot be told apart (F test, %s).",
                            trait->label, cks_words_p(draft, a->p));
  if (trait->better == CKS_BETTER_NONE) return "Neither end of this trait is the good one, so nothing is ranked.";
  return cks_shown_top(trait, a) ? top_words(draft, plan) : "";
}

/* Traits whose cells stay blank in a table across, and why: the first part of the reason, the sheets say the rest. */
static const char *blank_words(cks_draft *draft, const cks_plan *plan)
{
  const char *text = "";
  for (size_t i = 0; i < plan->n_column; i++) {
    const cks_plan_column *column = &plan->column[i];
    if (column->show != CKS_SHOW_MEAN || column->analysis) continue;
    const cks_analysis *across = column->trait->across;
    const char *why = across && *across->why ? across->why : "taken at one place only, see its sheet";
    text = cks_draft_sentence(draft, text,
                              cks_arena_format(draft->arena, "%s is blank: %s.",
                                               cks_words_capital(draft, column->trait->label),
                                               cks_words_reason(draft, why)));
  }
  return text;
}

/* Traits whose means stand on fewer environments than the table's: "Means of fewer places: lodging (3)." */
static const char *fewer_words(cks_draft *draft, const cks_plan *plan)
{
  const char *names = "";
  for (size_t i = 0; i < plan->n_column; i++) {
    const cks_plan_column *column = &plan->column[i];
    const cks_analysis *a = column->analysis;
    if (column->show != CKS_SHOW_MEAN || !a || a->n_environment >= plan->main->n_environment) continue;
    names = cks_arena_format(draft->arena, "%s%s%s (%u)", names, *names ? ", " : "", column->trait->label,
                             a->n_environment);
  }
  return *names ? cks_arena_format(draft->arena, "Means of fewer places: %s.", names) : "";
}

static const char *another_scale_words(cks_draft *draft, const cks_plan *plan)
{
  const char *names = "";
  for (size_t i = 0; i < plan->n_column; i++) {
    const cks_plan_column *column = &plan->column[i];
    bool told = column->show == CKS_SHOW_MEAN && column->trait->arcsine && cks_shown_compares(column->analysis) &&
                !cks_shown_none_found(column->analysis);
    if (told) names = cks_arena_format(draft->arena, "%s%s%s", names, *names ? ", " : "", column->trait->label);
  }
  return *names ? cks_arena_format(draft->arena, "No LSD for %s: tested on another scale.", names) : "";
}

/* Columns that nobody should wait for: "Not analyzed: Green weight (kg)." */
static const char *unused_words(cks_draft *draft)
{
  enum { NAMED = 4 };
  const char *names = "";
  size_t n = 0;
  for (size_t i = 0; i < draft->findings->n; i++) {
    const cks_finding *f = &draft->findings->finding[i];
    if (f->rule != CKS_RULE_NOT_ANALYZED || !*f->heading || n++ >= NAMED) continue;
    names = cks_arena_format(draft->arena, "%s%s%s", names, *names ? ", " : "", cks_draft_text(draft, f->heading));
  }
  return *names ? cks_arena_format(draft->arena, "Not analyzed: %s%s.", names, n > NAMED ? ", ..." : "") : "";
}

static const char *doubt_words(cks_draft *draft, const cks_plan *plan, const char *missed, size_t gone)
{
  const char *text = key_words(draft, plan);
  text = cks_draft_line(draft, text, order_words(draft, plan));
  const char *more = cks_draft_sentence(draft, cks_words_interaction(draft, plan->main), cks_words_season(plan->main));
  more = cks_draft_sentence(draft, more, cks_words_doubts(draft, plan->trait, plan->main));
  more = cks_draft_sentence(draft, more, fewer_words(draft, plan));
  more = cks_draft_sentence(draft, more, another_scale_words(draft, plan));
  more = cks_draft_sentence(draft, more, blank_words(draft, plan));
  more = cks_draft_sentence(draft, more, unused_words(draft));
  text = cks_draft_line(draft, text, more);
  text = cks_draft_line(draft, text, shortened_words(draft, plan, gone));
  if (*missed)
    text = cks_draft_line(draft, text, cks_arena_format(draft->arena, "Not shown for want of room: %s.", missed));
  return text;
}

/* ---- the summary ------------------------------------------------------------------------------------------------ */

static void add_answer(cks_draft *draft, cks_section *section, const cks_analysis *a)
{
  cks_plan plan = cks_plan_of(draft, draft->lead, a, "ck");
  plan.lead_only_cv = true;
  size_t gone = shorten(draft, &plan);
  cks_plan_add_answer(draft, &plan, true, true, "");
  bool places = a->environment == CKS_NONE;
  const size_t room = CKS_PAGE_COLUMNS - (places ? sizeof "  locs" - 1 : 0);
  const char *missed = cks_plan_add_traits(draft, &plan, a->environment, room);
  if (places) cks_plan_add(draft, &plan, CKS_SHOW_PLACES, draft->lead, a, 0, "");
  cks_draft_say(draft, section, CKS_PART_HEADING, cks_draft_line(draft, title_line(draft), basis_line(draft, &plan)));
  cks_draft_table_add(draft, section, cks_plan_table(draft, &plan, "summary", ""));
  cks_draft_say(draft, section, CKS_PART_PARAGRAPH, doubt_words(draft, &plan, missed, gone));
}

/* No trait gave a result: each one's reason, once. */
static const char *nothing_words(cks_draft *draft)
{
  const char *text = "No trait gave a result.";
  for (size_t i = 0; i < draft->results->n_trait; i++) {
    const cks_trait_result *t = &draft->results->trait[i];
    const char *why = t->n_location ? t->location[0].why : "";
    if (*why)
      text = cks_draft_line(draft, text,
                            cks_arena_format(draft->arena, "%s: %s.", cks_words_capital(draft, t->label), why));
  }
  return text;
}

/* A misspelled name is the usual reason why hybrids seem to be missing. */
static const char *alike_words(cks_draft *draft)
{
  enum { NAMED = 3 };
  const char *text = "";
  for (size_t i = 0, n = 0; i < draft->findings->n && n < NAMED; i++) {
    const cks_finding *f = &draft->findings->finding[i];
    if (f->rule != CKS_RULE_MAYBE_ONE_HYBRID) continue;
    text = cks_draft_line(draft, text, cks_arena_format(draft->arena, "%s.", cks_draft_text(draft, f->text)));
    n++;
  }
  return text;
}

static void add_no_answer(cks_draft *draft, cks_section *section)
{
  const char *head = title_line(draft);
  if (draft->lead) head = cks_draft_line(draft, head, basis_line(draft, NULL));
  cks_draft_say(draft, section, CKS_PART_HEADING, head);
  if (!draft->lead) {
    cks_draft_say(draft, section, CKS_PART_CAUTION, nothing_words(draft));
    return;
  }
  const cks_analysis *across = draft->lead->across;
  const char *why = across && *across->why ? across->why : "the places could not be put together";
  cks_draft_say(draft, section, CKS_PART_CAUTION,
                cks_arena_format(draft->arena,
                                 "No ranking across places: %s.\nPlain averages would not compare like with like, so "
                                 "none are shown. Each place "
                                 "stands by itself.",
                                 why));
  if (across && across->n_hybrid) cks_draft_say(draft, section, CKS_PART_CAUTION, alike_words(draft));
}

/* ---- charts, on a sheet of their own ---------------------------------------------------------------------------- */

static void add_charts(cks_draft *draft, const cks_analysis *a)
{
  const char *place = a->environment == CKS_NONE ? "all places" : cks_draft_text(draft, a->label);
  size_t n_dots = 0;
  const cks_chart *dots[CKS_CHART_DOTS], *bloom;
  n_dots = cks_chart_dots_all(draft, "dots", draft->lead, a, place, MOST_HYBRIDS, dots);
  bloom = cks_chart_against_bloom(draft, a->environment);
  if (!n_dots && !bloom) return;
  cks_section *section = cks_draft_section(draft, "charts", "Charts", CKS_FOR_WORKBOOK);
  section->new_page = true;
  cks_draft_say(draft, section, CKS_PART_HEADING, title_line(draft));
  for (size_t i = 0; i < n_dots; i++) cks_draft_chart_add(draft, section, dots[i]);
  cks_draft_chart_add(draft, section, bloom);
}

/* ---- the places ------------------------------------------------------------------------------------------------- */

enum { PLACE_NAME, PLACE_MEAN, PLACE_DISTANCE, PLACE_CV, PLACE_HIGHEST, PLACE_VALUE, PLACE_TOP, PLACE_COLUMNS };

static void place_columns(cks_draft *draft, cks_report_table *table)
{
  const cks_trait_result *lead = draft->lead;
  const char *unit = cks_unit_text(lead->unit), *best = highest(lead);
  const cks_report_column columns[PLACE_COLUMNS] = {
      {.key = "location", .label = "location", .align = -1, .row_label = true},
      {.key = "mean", .label = "mean", .align = 1, .unit = unit},
      {.key = "lsd", .label = cks_shown_distance_word(draft), .align = 1},
      {.key = "cv", .label = "CV %", .align = 1},
      {.key = "highest", .label = best, .align = -1},
      {.key = "value", .label = cks_draft_text(draft, lead->label), .align = 1},
      {.key = "n_top", .label = "hybrids in top group", .narrow = "in top\ngroup", .align = 1},
  };
  for (size_t c = 0; c < table->n_column; c++) {
    table->column[c] = columns[c];
    if (!table->column[c].unit) table->column[c].unit = "";
    table->column[c].group = "";
  }
}

/* The first of rank 1; *n: how many share it. */
static const cks_hybrid_result *best_of(const cks_analysis *a, size_t *n)
{
  const cks_hybrid_result *best = NULL;
  *n = 0;
  for (size_t i = a->n_hybrid; i-- > 0;)
    if (a->hybrid[i].rank == 1) {
      best = &a->hybrid[i];
      (*n)++;
    }
  return best;
}

/* Names the best of a place, or says why none is named. */
static void place_best(cks_draft *draft, cks_report_table *table, size_t row, const cks_analysis *a)
{
  const cks_trait_result *lead = draft->lead;
  size_t n_best = 0;
  const cks_hybrid_result *best = best_of(a, &n_best);
  const char *instead = a->method == CKS_METHOD_NONE ? "no result"
                        : !cks_shown_compares(a)     ? "means only, not compared"
                        : cks_shown_none_found(a)    ? "cannot be told apart"
                        : !best                      ? "not ranked"
                                                     : NULL;
  if (instead) {
    cks_cell_put(table, row, PLACE_HIGHEST, cks_cell_text(instead));
  } else {
    const char *name = cks_words_hybrid(draft, best->hybrid);
    if (n_best > 1) name = cks_arena_format(draft->arena, "%s and %zu equal", name, n_best - 1);
    cks_cell_put(table, row, PLACE_HIGHEST, cks_cell_text(name));
    cks_cell_put(table, row, PLACE_VALUE, cks_cell_number(draft, best->mean, lead->digits));
  }
  if (cks_shown_compares(a))
    cks_cell_put(table, row, PLACE_TOP, cks_cell_count(draft, cks_shown_none_found(a) ? a->n_hybrid : a->n_top));
}

static void place_row(cks_draft *draft, cks_report_table *table, size_t row, const cks_analysis *a)
{
  const cks_trait_result *lead = draft->lead;
  bool compares = cks_shown_compares(a);
  cks_cell_put(table, row, PLACE_NAME, cks_cell_text(cks_draft_text(draft, a->label)));
  if (!cks_is_missing(a->mean)) cks_cell_put(table, row, PLACE_MEAN, cks_cell_number(draft, a->mean, lead->digits));
  cks_cell_put(table, row, PLACE_DISTANCE, cks_shown_distance(draft, lead, a));
  if (compares && lead->role == CKS_ROLE_YIELD && !cks_is_missing(a->cv_pct))
    cks_cell_put(table, row, PLACE_CV, cks_cell_number(draft, a->cv_pct, 1));
  if (table->n_column == PLACE_COLUMNS) place_best(draft, table, row, a);
}

/* By group: location, mean, CV, then the winner of each group, which the LSD beside them would not tell apart. */
enum { GROUPED_NAME, GROUPED_MEAN, GROUPED_CV, GROUPED_FIRST };

static void grouped_columns(cks_draft *draft, cks_report_table *table)
{
  const cks_report_column columns[GROUPED_FIRST] = {
      {.key = "location", .label = "location", .align = -1, .row_label = true},
      {.key = "mean", .label = "mean", .align = 1, .unit = cks_unit_text(draft->lead->unit)},
      {.key = "cv", .label = "CV %", .align = 1}};
  for (size_t c = 0; c < table->n_column; c++) {
    const char *name = c < GROUPED_FIRST ? "" : cks_groups_name(draft, (uint32_t)(c - GROUPED_FIRST));
    table->column[c] =
        c < GROUPED_FIRST
            ? columns[c]
            : (cks_report_column){.key = cks_arena_format(draft->arena, "best_%zu", c - GROUPED_FIRST + 1),
                                  .label = cks_arena_format(draft->arena, "%s, %s", highest(draft->lead), name),
                                  .narrow = cks_arena_format(draft->arena, "%s,\n%s", highest(draft->lead), name),
                                  .align = -1};
    if (!table->column[c].unit) table->column[c].unit = "";
    table->column[c].group = "";
  }
}

static void grouped_row(cks_draft *draft, cks_report_table *table, size_t row, const cks_analysis *a)
{
  const cks_trait_result *lead = draft->lead;
  cks_cell_put(table, row, GROUPED_NAME, cks_cell_text(cks_draft_text(draft, a->label)));
  if (!cks_is_missing(a->mean)) cks_cell_put(table, row, GROUPED_MEAN, cks_cell_number(draft, a->mean, lead->digits));
  if (cks_shown_compares(a) && lead->role == CKS_ROLE_YIELD && !cks_is_missing(a->cv_pct))
    cks_cell_put(table, row, GROUPED_CV, cks_cell_number(draft, a->cv_pct, 1));
  for (size_t k = 0; k < a->n_group; k++) {
    size_t column = GROUPED_FIRST + a->group[k].by_group;
    if (column < table->n_column) cks_cell_put(table, row, column, cks_cell_text(cks_groups_best(draft, lead, a, k)));
  }
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

static cks_report_table *grouped_table(cks_draft *draft, size_t n_winner, size_t n_row)
{
  cks_report_table *table = cks_draft_table(draft, "places", "", GROUPED_FIRST + n_winner, n_row, 0);
  if (!table) return NULL;
  grouped_columns(draft, table);
  for (size_t i = 0; i < n_row; i++) grouped_row(draft, table, i, &draft->lead->location[i]);
  return table;
}

/* With the best of each group where they fit beside each other, else without them, and *words says so. */
static const cks_report_table *places_by_group(cks_draft *draft, size_t n_row, const char **words)
{
  size_t n = draft->lead->better == CKS_BETTER_NONE ? 0 : draft->results->by_group.n;
  cks_report_table *table = n <= CKS_PAGE_COLUMNS ? grouped_table(draft, n, n_row) : NULL;
  if (!n || (table && fits_line(table))) return table;
  *words =
      cks_arena_format(draft->arena, "The best of each group at each place has no room here; see the full tables%s.",
                       draft->settings->full ? "" : " (--full)");
  return grouped_table(draft, 0, n_row);
}

static const cks_report_table *all_places(cks_draft *draft, size_t n_row)
{
  size_t n_column = draft->lead->better == CKS_BETTER_NONE ? (size_t)PLACE_HIGHEST : (size_t)PLACE_COLUMNS;
  cks_report_table *table = cks_draft_table(draft, "places", "", n_column, n_row, 0);
  if (!table) return NULL;
  place_columns(draft, table);
  for (size_t i = 0; i < n_row; i++) place_row(draft, table, i, &draft->lead->location[i]);
  return table;
}

static void add_places(cks_draft *draft)
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
  cks_draft_say(draft, section, CKS_PART_PARAGRAPH, cks_draft_line(draft, text, words));
}

/* ---- what next -------------------------------------------------------------------------------------------------- */

static const char *quoted(cks_draft *draft, const char *text)
{
  char word[CKS_SHELL_WORD];
  return strpbrk(text, " '\"()&;$`\\!*?<>|#") ? cks_arena_text(draft->arena, cks_shell_word(word, text)) : text;
}

/* A name for the workbook: that of the only file with another ending, else our own. */
static const char *workbook_name(cks_draft *draft)
{
  const cks_trial *trial = draft->trial;
  const char *base = trial->n_input == 1 ? cks_words_file(draft, trial->input[0].file) : "", *dot = strrchr(base, '.');
  int n = (int)(dot && dot > base ? (size_t)(dot - base) : strlen(base));
  return quoted(draft, n ? cks_arena_format(draft->arena, "%.*s.xlsx", n, base) : "trial.xlsx");
}

static const char *data_line(cks_draft *draft)
{
  const size_t *n = draft->findings->n_severity;
  return cks_arena_format(
      draft->arena, "data: %s, %s, %s (checkstrip audit lists them).%s", cks_words_count(draft, n[CKS_ERROR], "error"),
      cks_words_count(draft, n[CKS_WARNING], "warning"), cks_words_count(draft, n[CKS_NOTE], "note"),
      draft->settings->full ? "" : "   All tables: --full");
}

static void add_next(cks_draft *draft)
{
  cks_section *section = cks_draft_section(draft, "next", "Next", CKS_FOR_SCREEN);
  section->first_screen = true;
  const char *text = data_line(draft);
  char place[CKS_SHELL_WORD];
  if (draft->lead)
    text = cks_draft_line(
        draft, text,
        cks_arena_format(draft->arena, "to hand out: -o %s   one place: --sheet-for %s", workbook_name(draft),
                         cks_shell_word(place, draft->lead->location[draft->lead->n_location / 2].label)));
  cks_draft_say(draft, section, CKS_PART_PARAGRAPH, text);
}

void cks_screen_add(cks_draft *draft)
{
  cks_section *section = cks_draft_section(draft, "summary", "Summary", CKS_FOR_ALL);
  section->first_screen = true;
  const cks_analysis *a = draft->lead ? main_analysis(draft) : NULL;
  if (a)
    add_answer(draft, section, a);
  else
    add_no_answer(draft, section);
  if (draft->lead && draft->lead->n_location > 1) add_places(draft);
  add_next(draft);
  if (a) add_charts(draft, a);
}
