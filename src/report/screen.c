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
#include "strips.h"
#include "words.h"
#include "years.h"

#include <string.h>

enum {
  MOST_HYBRIDS = 40, /* beyond it the screen shows the top group and the checks */
  MOST_TOP = 30      /* ... at most so many of them */
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
  if (out && trial->n_cut > 1) /* a plot stands in several rows, some of which may be left */
    return cks_arena_format(draft->arena, "%zu plots, %s left out%s", trial->n_plot, cks_words_count(draft, out, "row"),
                            cks_draft_only(draft));
  if (!out) return cks_arena_format(draft->arena, "%zu plots, none left out%s", trial->n_plot, cks_draft_only(draft));
  return cks_arena_format(draft->arena, "%zu of %zu plots left out%s", out, trial->n_plot + out, cks_draft_only(draft));
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
  if (plan) text = cks_draft_sentence(draft, text, cks_plan_forage_basis(draft, plan));
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
    bool head = line && n_head < most &&
                (!by_top || line->top == CKS_TOP_IN ||
                 (n_block && line->top == CKS_TOP_NOT_ASKED && !cks_shown_aside(plan->main, line)));
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
  bool top = cks_shown_top(plan->trait, plan->main);
  const char *what = top ? "the top group" : "the first of the list";
  if (top && plan->main->n_top > MOST_TOP)
    what = cks_arena_format(draft->arena, "%d of the %u in the top group", MOST_TOP, plan->main->n_top);
  return cks_arena_format(draft->arena, "Shown: %s and the checks; %zu more stand in the full tables (--full).", what,
                          gone);
}

/* ---- what the table may be taken for ---------------------------------------------------------------------------- */

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
  text = cks_draft_line(draft, text, cks_strips_words(draft, plan->trait));
  text = cks_draft_line(draft, text, cks_years_line(draft, plan->trait));
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
  cks_draft_say(draft, section, CKS_PART_PARAGRAPH, cks_strips_words(draft, draft->lead));
  cks_draft_say(draft, section, CKS_PART_PARAGRAPH, cks_years_line(draft, draft->lead));
  if (across && across->n_hybrid) cks_draft_say(draft, section, CKS_PART_CAUTION, alike_words(draft));
}

/* ---- charts, below the answer ----------------------------------------------------------------------------------- */

static void add_charts(cks_draft *draft, const cks_analysis *a)
{
  const char *place = a->environment == CKS_NONE ? "all places" : cks_draft_text(draft, a->label);
  size_t n_dots = 0;
  const cks_chart *dots[CKS_CHART_DOTS], *bloom;
  if (cks_shown_finds(a)) /* else dots would invite ranking */
    n_dots = cks_chart_dots_all(draft, "dots", draft->lead, a, place, MOST_HYBRIDS, dots);
  bloom = cks_chart_against_bloom(draft, a->environment);
  if (!n_dots && !bloom) return;
  cks_section *section = cks_draft_section(draft, "charts", "Charts", CKS_FOR_WORKBOOK);
  for (size_t i = 0; i < n_dots; i++) cks_draft_chart_add(draft, section, dots[i]);
  cks_draft_chart_add(draft, section, bloom);
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

const char *cks_screen_data_line(cks_draft *draft)
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
  const char *text = cks_screen_data_line(draft);
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
  if (draft->lead && draft->trial->n_environment > 1) cks_places_add(draft);
  cks_cautions_add(draft);
  add_next(draft);
  if (a) add_charts(draft, a);
}
