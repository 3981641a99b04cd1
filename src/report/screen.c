/*
 * screen.c: the first screen: the answer, one line on doubt, one on data, one on what next.
 *
 * Three sections: the summary (ranked table and what it may be taken for), the places, and what to type next. At most
 * 96 columns; about 40 rows for 14 hybrids.
 */
#include "cells.h"
#include "claims.h"
#include "sections.h"
#include "standing.h"
#include "words.h"

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
  size_t out = 0;
  for (size_t i = 0; i < trial->n_left_out; i++) out += trial->left_out[i].is_plot;
  if (!out) return cks_arena_format(draft->arena, "%zu plots, none left out", trial->n_plot);
  return cks_arena_format(draft->arena, "%zu of %zu plots left out", out, trial->n_plot + out);
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

/* Keeps the top group (where there is one; the first MOST_TOP at most) and all checks; returns how many are gone. */
static size_t shorten(cks_draft *draft, cks_plan *plan)
{
  if (plan->n_row <= MOST_HYBRIDS || draft->settings->full) return 0;
  bool by_top = cks_shown_top(plan->trait, plan->main);
  cks_id *kept = cks_arena_take(draft->arena, plan->n_row, sizeof *kept);
  if (!kept) return 0;
  size_t n = 0, n_head = 0, whole = plan->n_row;
  for (size_t i = 0; i < whole; i++) {
    const cks_hybrid_result *line = &plan->main->hybrid[i];
    bool head = n_head < MOST_TOP && (!by_top || line->top == CKS_TOP_IN);
    n_head += head;
    if (head || draft->results->hybrid[line->hybrid].check) kept[n++] = line->hybrid;
  }
  plan->row = kept;
  plan->n_row = n;
  return whole - n;
}

static const char *shortened_words(cks_draft *draft, const cks_plan *plan, size_t gone)
{
  if (!gone) return "";
  bool top = cks_shown_top(plan->trait, plan->main);
  const char *what = top ? "the top group" : "the first of the list";
  if (top && plan->main->n_top > MOST_TOP)
    what = cks_arena_format(draft->arena, "%d of the %u in the top group", MOST_TOP, plan->main->n_top);
  return cks_arena_format(draft->arena, "Shown: %s and the checks; %zu more stand in the full tables (--full).", what,
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
    text = cks_arena_format(draft->arena, "top = %s", cks_claim(draft, CKS_CLAIM_MARK, plan->trait, plan->main));
  if (plan_has(plan, CKS_SHOW_VS_CHECK))
    text = cks_arena_format(draft->arena, "%s%svs = above or below that check; blank = cannot tell.", text,
                            *text ? "  " : "");
  return cks_draft_line(draft, text, cks_plan_check_keys(draft, plan));
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
  static const cks_claim_topic topics[] = {CKS_CLAIM_ORDER, CKS_CLAIM_PLACES, CKS_CLAIM_SEASON, CKS_CLAIM_DOUBT};
  const char *more = "";
  for (size_t i = 0; i < sizeof topics / sizeof *topics; i++)
    more = cks_draft_sentence(draft, more, cks_claim(draft, topics[i], plan->trait, plan->main));
  more = cks_draft_sentence(draft, more, fewer_words(draft, plan));
  more = cks_draft_sentence(draft, more, cks_plan_no_lsd(draft, plan));
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

/* ---- charts, below the answer ----------------------------------------------------------------------------------- */

static void add_charts(cks_draft *draft, const cks_analysis *a)
{
  const char *place = a->environment == CKS_NONE ? "all places" : cks_draft_text(draft, a->label);
  bool told_apart = cks_shown_compares(a) && !cks_shown_none_found(a); /* else dots would invite ranking */
  const cks_chart *dots = told_apart ? cks_chart_dots(draft, "dots", draft->lead, a, place, MOST_HYBRIDS) : NULL,
                  *bloom = cks_chart_against_bloom(draft, a->environment);
  if (!dots && !bloom) return;
  cks_section *section = cks_draft_section(draft, "charts", "Charts", CKS_FOR_WORKBOOK);
  cks_draft_chart_add(draft, section, dots);
  cks_draft_chart_add(draft, section, bloom);
}

/* ---- the places ------------------------------------------------------------------------------------------------- */

enum { PLACE_NAME, PLACE_MEAN, PLACE_DISTANCE, PLACE_CV, PLACE_TOP, PLACE_VALUE, PLACE_BEST, PLACE_COLUMNS };

static void place_columns(cks_draft *draft, cks_report_table *table)
{
  const cks_trait_result *lead = draft->lead;
  const char *unit = cks_unit_text(lead->unit), *best = highest(lead);
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
  const cks_hybrid_result *best = best_of(a, &n_best);
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
  if (compares && lead->role == CKS_ROLE_YIELD && !cks_is_missing(a->cv_pct))
    cks_cell_put(table, row, PLACE_CV, cks_cell_number(draft, a->cv_pct, 1));
  if (table->n_column == PLACE_COLUMNS) place_best(draft, table, row, a);
}

static void add_places(cks_draft *draft)
{
  const cks_trait_result *lead = draft->lead;
  size_t n = lead->n_location, shown = n > MOST_PLACES && !draft->settings->full ? MOST_PLACES : n;
  cks_section *section = cks_draft_section(draft, "places", "Places", CKS_FOR_ALL);
  section->first_screen = true;
  size_t n_column = lead->better == CKS_BETTER_NONE ? (size_t)PLACE_TOP : (size_t)PLACE_COLUMNS;
  cks_report_table *table = cks_draft_table(draft, "places", "", n_column, shown, 0);
  if (!table) return;
  place_columns(draft, table);
  for (size_t i = 0; i < shown; i++) place_row(draft, table, i, &lead->location[i]);
  cks_draft_table_add(draft, section, table);
  if (shown < n)
    cks_draft_say(draft, section, CKS_PART_PARAGRAPH,
                  cks_arena_format(draft->arena, "and %s in the full tables (--full)",
                                   cks_words_count(draft, n - shown, "more place")));
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
