/*
 * handout.c: a page for each location, to be read standing in a field: who and where, the answer in a box, the table
 * of this place beside the means of all places, what it may be taken for, a chart, and where it comes from.
 *
 * At most 24 hybrids a page; a longer list goes on, feet and all, on the next. No letters here.
 */
#include "cells.h"
#include "claims.h"
#include "sections.h"
#include "standing.h"
#include "strips.h"
#include "words.h"

#include "../core/utf8.h"

#include <math.h>
#include <string.h>
#include <strings.h>

enum { ROWS_A_PAGE = 24, FACTS_COLUMNS = 88 };

/* What is known of a place, in the order printed; "%s" is the text as given. */
typedef struct {
  cks_role role;
  const char *words;
} fact;
static const fact facts[] = {
    {CKS_ROLE_COOPERATOR, "Cooperator %s"},
    {CKS_ROLE_PLANTED, "Planted %s"},
    {CKS_ROLE_EMERGED, "Emerged %s"},
    {CKS_ROLE_DAYS_TO_MID_BLOOM, "Mid-bloom %s"},
    {CKS_ROLE_HARVESTED, "Harvested %s"},
    {CKS_ROLE_IRRIGATION, "Water: %s"},
    {CKS_ROLE_SEEDING_RATE, "Seeds %s"},
    {CKS_ROLE_ROW_SPACING, "Rows %s"},
    {CKS_ROLE_PREVIOUS_CROP, "Previous crop %s"},
    {CKS_ROLE_SOIL, "Soil %s"},
    {CKS_ROLE_RAINFALL, "Rain %s"},
    {CKS_ROLE_ROWS_HARVESTED, "Rows harvested %s"},
    {CKS_ROLE_HARVEST_LENGTH, "Harvested length %s"},
    {CKS_ROLE_HARVEST_WIDTH, "Harvested width %s"},
    {CKS_ROLE_LATITUDE, "Latitude %s"},
    {CKS_ROLE_LONGITUDE, "Longitude %s"},
};
enum { N_FACTS = sizeof facts / sizeof *facts };

/* ---- who and where ---------------------------------------------------------------------------------------------- */

static const char *bloom_range(cks_draft *draft, cks_id environment)
{
  const cks_trait_result *bloom = cks_results_trait(draft->results, CKS_ROLE_DAYS_TO_MID_BLOOM);
  const cks_analysis *a = bloom ? cks_shown_at(bloom, environment) : NULL;
  if (!a) return NULL;
  double low = INFINITY, high = -INFINITY;
  for (size_t i = 0; i < a->n_hybrid; i++) {
    low = fmin(low, a->hybrid[i].mean);
    high = fmax(high, a->hybrid[i].mean);
  }
  if (!(low <= high)) return NULL;
  const char *first = cks_words_number(draft, low, 0), *last = cks_words_number(draft, high, 0);
  if (!strcmp(first, last)) return cks_arena_format(draft->arena, "%s days from %s", first, draft->trial->count_origin);
  return cks_arena_format(draft->arena, "%s to %s days from %s", first, last, draft->trial->count_origin);
}

static const char *date_text(cks_draft *draft, double day)
{
  char text[CKS_NUMBER_TEXT];
  return cks_is_missing(day) ? NULL : cks_arena_text(draft->arena, cks_print_date(text, day));
}

static const char *fact_text(cks_draft *draft, const cks_environment *e, cks_id environment, cks_role role)
{
  if (role == CKS_ROLE_DAYS_TO_MID_BLOOM) return bloom_range(draft, environment);
  const char *given = e->place ? e->place[role] : NULL;
  if (given && *given) return cks_draft_text(draft, given);
  if (role == CKS_ROLE_PLANTED) return date_text(draft, e->planted);
  return role == CKS_ROLE_HARVESTED ? date_text(draft, e->harvested) : NULL;
}

/* The facts that are known, as many to a line as fit. */
static const char *fact_lines(cks_draft *draft, const cks_environment *e, cks_id environment)
{
  const char *text = "", *line = "";
  for (size_t i = 0; i < N_FACTS; i++) {
    const char *known = fact_text(draft, e, environment, facts[i].role);
    if (!known) continue;
    const char *at = strstr(facts[i].words, "%s");
    const char *words = cks_arena_format(draft->arena, "%.*s%s", (int)(at - facts[i].words), facts[i].words, known);
    const char *longer = *line ? cks_arena_format(draft->arena, "%s   %s", line, words) : words;
    if (*line && cks_utf8_width(longer, SIZE_MAX) > FACTS_COLUMNS) {
      text = cks_draft_line(draft, text, line);
      line = words;
    } else {
      line = longer;
    }
  }
  return cks_draft_line(draft, text, line);
}

static size_t left_out_here(const cks_draft *draft, const cks_environment *e)
{
  size_t n = 0;
  const cks_left_out *out = draft->trial->left_out;
  for (size_t i = 0; i < draft->trial->n_left_out; i++)
    n += out[i].is_plot && strcmp(out[i].location, draft->trial->location[e->location]) == 0;
  return n;
}

static const char *design_line(cks_draft *draft, const cks_environment *e, const cks_analysis *a)
{
  size_t n = left_out_here(draft, e);
  const char *reps = cks_is_missing(a->reps) || a->reps < 2 ? "" : cks_words_count(draft, (size_t)a->reps, "rep");
  const char *design = cks_draft_text(draft, a->design), *between = !*reps || !*design             ? ""
                                                                    : !strncmp(design, "latin", 5) ? " in a "
                                                                                                   : " in ";
  const char *head = cks_arena_format(draft->arena, "%s%s%s", reps, between, design);
  const char *empty =
      e->n > a->plots ? cks_arena_format(draft->arena, " Plots without a value: %zu.", (size_t)e->n - a->plots) : "";
  return cks_arena_format(draft->arena, "%s%s%s. %s left out: %s%s.%s", cks_words_capital(draft, head),
                          *head ? ", " : "", cks_words_count(draft, a->n_hybrid, "hybrid"),
                          draft->trial->n_cut > 1 ? "Rows" : "Plots",
                          n ? cks_arena_format(draft->arena, "%zu", n) : "none", cks_draft_only(draft), empty);
}

/* Organization and date, title and place; the right half after a tab. */
static const char *letterhead(cks_draft *draft, const cks_environment *e)
{
  const char *organization = cks_draft_text(draft, draft->settings->organization),
             *date = cks_draft_text(draft, draft->settings->date),
             *county = e->place ? cks_draft_text(draft, e->place[CKS_ROLE_COUNTY]) : "",
             *first = *organization || *date ? cks_arena_format(draft->arena, "%s\t%s", organization, date) : "";
  const char *second = cks_arena_format(draft->arena, "%s\t%s%s%s", draft->report->title,
                                        cks_draft_text(draft, e->label), *county ? ", " : "", county);
  return cks_draft_line(draft, first, second);
}

/* ---- the answer ------------------------------------------------------------------------------------------------- */

static const char *answer(cks_draft *draft, const cks_trait_result *trait, const cks_analysis *here)
{
  const cks_analysis *across = cks_shown_at(trait, CKS_NONE);
  bool stands = across && (cks_shown_compares(across) || cks_shown_shrunken(across));
  return cks_draft_line(draft, cks_claim(draft, CKS_CLAIM_HERE, trait, here),
                        stands ? cks_claim(draft, CKS_CLAIM_OVER_ALL, trait, across)
                               : cks_claim(draft, CKS_CLAIM_ALONE, trait, here));
}

static const char *check_words(cks_draft *draft, const cks_analysis *a)
{
  const char *missing = "";
  for (size_t k = 0; k < draft->results->n_check; k++)
    if (!cks_analysis_hybrid(a, draft->results->check[k]))
      missing = cks_draft_sentence(draft, missing,
                                   cks_arena_format(draft->arena, "The check %s has no result here.",
                                                    cks_words_hybrid(draft, draft->results->check[k])));
  return missing;
}

/* ---- what it may be taken for ----------------------------------------------------------------------------------- */

static const char *basis_words(cks_draft *draft, const cks_trait_result *trait)
{
  if (trait->unit != CKS_UNIT_BU_AC || cks_is_missing(trait->basis_pct)) {
    const char *text = cks_words_basis(draft, trait); /* says nothing of the crop, which the title names */
    return cks_words_crop_assumed(draft) && trait->unit != CKS_UNIT_BU_AC
               ? cks_draft_sentence(
                     draft, text,
                     cks_arena_format(draft->arena, "No crop was stated: %s is assumed.", draft->trial->crop->label))
               : text;
  }
  bool assumed = cks_words_found(draft, CKS_RULE_BASIS_ASSUMED);
  const char *text =
      cks_arena_format(draft->arena, "Yield: %.6g-lb bushels an acre%s%s at %s %% moisture%s%s%s.",
                       draft->trial->crop->bushel_lb, cks_words_crop_assumed(draft) ? " (crop assumed)" : "",
                       draft->trial->trait[trait->trait].unit_assumed ? " (unit assumed)" : "",
                       cks_words_number(draft, trait->basis_pct, 1), assumed ? " (assumed)" : "",
                       *trait->basis_text ? ", " : "", trait->basis_text);
  return cks_draft_sentence(draft, text, cks_strips_basis(draft, trait));
}

/* Hybrids that stood here and have no value: they would vanish from the sheet. Checks are told of by check_words. */
static const char *no_value_words(cks_draft *draft, const cks_trait_result *trait, const cks_analysis *a)
{
  const cks_trial *trial = draft->trial;
  size_t n = 0;
  bool *stood = cks_arena_take(draft->arena, trial->n_hybrid ? trial->n_hybrid : 1, sizeof *stood);
  const char **name = cks_arena_take(draft->arena, trial->n_hybrid ? trial->n_hybrid : 1, sizeof *name);
  if (!stood || !name) return "";
  for (size_t i = 0; i < trial->n_plot; i++)
    if (trial->environment_of[i] == a->environment) stood[trial->hybrid_of[i]] = true;
  for (cks_id h = 0; h < trial->n_hybrid; h++)
    if (stood[h] && !cks_analysis_hybrid(a, h) && !draft->results->hybrid[h].check)
      name[n++] = cks_words_hybrid(draft, h);
  return n ? cks_arena_format(draft->arena, "No %s here: %s.", trait->label, cks_words_list(draft, n, name)) : "";
}

static const char *key_words(cks_draft *draft, const cks_plan *plan)
{
  const cks_trait_result *trait = plan->trait;
  const cks_analysis *a = plan->main, *across = cks_shown_at(trait, CKS_NONE);
  const cks_analysis *with_top = cks_shown_top(trait, a) ? a : across && cks_shown_top(trait, across) ? across : NULL;
  const char *text = cks_draft_sentence(draft, basis_words(draft, trait), cks_plan_forage_basis(draft, plan)),
             *top = "";
  if (with_top)
    top = cks_arena_format(draft->arena, "top%s = %s", with_top == a ? " (bold)" : "",
                           cks_claim(draft, CKS_CLAIM_KEY, trait, with_top));
  text = cks_draft_line(draft, text, cks_draft_sentence(draft, top, cks_plan_check_keys(draft, plan)));
  text = cks_draft_line(draft, text,
                        cks_draft_sentence(draft, cks_claim(draft, CKS_CLAIM_APART, trait, a),
                                           trait->arcsine ? "" : cks_plan_no_lsd(draft, plan)));
  text = cks_draft_line(draft, text, no_value_words(draft, trait, a));
  text = cks_draft_line(draft, text, cks_strips_short(draft, trait));
  text = cks_draft_line(draft, text, cks_claim(draft, CKS_CLAIM_DOUBT, trait, a));
  const char *places = across ? cks_claim(draft, CKS_CLAIM_PLACES, trait, across) : "";
  text = cks_draft_line(
      draft, text,
      *places ? cks_draft_sentence(draft, "All places:",
                                   cks_draft_sentence(draft, places, cks_claim(draft, CKS_CLAIM_SEASON, trait, across)))
              : "");
  text = cks_draft_line(draft, text,
                        "One year at one place is weak evidence. Ask for results from more places and years.");
  if (across) text = cks_draft_line(draft, text, cks_words_aside(draft, across));
  return cks_draft_line(draft, text, check_words(draft, a));
}

/* The place's own note, then --note on a line of its own. */
static const char *notes(cks_draft *draft, const cks_environment *e)
{
  const char *own = e->place ? cks_draft_text(draft, e->place[CKS_ROLE_NOTE]) : "";
  const char *text = *own ? cks_arena_format(draft->arena, "Notes for this place: %s", own) : "";
  return cks_draft_line(draft, text, cks_draft_text(draft, draft->settings->note));
}

static const char *small_print(cks_draft *draft)
{
  const cks_report *report = draft->report;
  const char *text =
      cks_draft_line(draft, report->disclaimer,
                     *report->contact ? cks_arena_format(draft->arena, "Contact: %s", report->contact) : "");
  return cks_draft_line(draft, text, report->footer);
}

/* ---- the table and the page ------------------------------------------------------------------------------------- */

static cks_plan plan_page(cks_draft *draft, const cks_analysis *a, cks_id environment)
{
  const cks_trait_result *trait = draft->lead;
  const cks_analysis *across = cks_shown_at(trait, CKS_NONE);
  const char *here = "THIS PLACE";
  cks_plan plan = cks_plan_of(draft, trait, a, "check");
  plan.lead_only_cv = true;
  if (cks_strips_rows(draft, &plan)) cks_plan_add(draft, &plan, CKS_SHOW_STRIP, trait, a, 0, "");
  cks_plan_add_answer(draft, &plan, false, false, here);
  cks_plan all = plan; /* what the other places will take, to leave it free */
  const char *group = "";
  if (across && (cks_shown_compares(across) || cks_shown_shrunken(across))) {
    const char *places = cks_words_large(draft, cks_words_places(draft, across)); /* "2 PLACES"; "" without memory */
    group = across->n_environment == 2 ? cks_arena_format(draft->arena, "BOTH%s", places + strcspn(places, " "))
                                       : cks_arena_format(draft->arena, "ALL %s", places);
    all.column = NULL;
    all.n_column = 0;
    cks_plan_add(draft, &all, CKS_SHOW_MEAN, trait, across, 0, group);
    if (cks_shown_top(trait, across)) cks_plan_add(draft, &all, CKS_SHOW_TOP, trait, across, 0, group);
  } else {
    all.n_column = 0;
  }
  size_t taken =
      all.n_column ? cks_plan_width(draft, &all) + 6 : 0; /* 6: gap, and a group heading wider than its columns */
  (void)cks_plan_add_traits(draft, &plan, environment, CKS_PAGE_COLUMNS - taken);
  for (size_t i = 0; i < plan.n_column; i++)
    if (plan.column[i].show != CKS_SHOW_HYBRID && plan.column[i].show != CKS_SHOW_STRIP) plan.column[i].group = here;
  for (size_t i = 0; i < all.n_column; i++) cks_plan_add(draft, &plan, all.column[i].show, trait, across, 0, group);
  return plan;
}

/* The rows of one page, from *next on, `most` of them at most: a block goes on under its head, and no head ends a page. */
static cks_plan page_of(cks_draft *draft, const cks_plan *plan, size_t most, size_t *next)
{
  cks_plan part = *plan;
  cks_plan_row *row = cks_arena_take(draft->arena, most + 1, sizeof *row);
  size_t n = 0, from = *next, head = from;
  if (!row) {
    *next = plan->n_row;
    part.n_row = 0;
    return part;
  }
  while (head > 0 && plan->row[head].kind != CKS_ROW_BLOCK) head--;
  if (head < from && plan->row[head].kind == CKS_ROW_BLOCK) row[n++] = plan->row[head];
  size_t end = from + most < plan->n_row ? from + most : plan->n_row;
  if (end < plan->n_row && plan->row[end].kind == CKS_ROW_DISTANCE && end > from + 1) end--; /* not alone overleaf */
  while (end < plan->n_row && end > from + 1 && plan->row[end - 1].kind == CKS_ROW_BLOCK) end--;
  while (from < end) row[n++] = plan->row[from++];
  *next = end;
  part.row = row;
  part.n_row = n;
  return part;
}

/* The plan's rows in pages of at most ROWS_A_PAGE, as even as they go. */
static void add_pages(cks_draft *draft, cks_section *section, const cks_plan *plan, const char *key, const char *head)
{
  size_t n_page = (plan->n_row + ROWS_A_PAGE - 1) / ROWS_A_PAGE,
         rows = n_page ? (plan->n_row + n_page - 1) / n_page : 0, whole = cks_plan_hybrids(plan), told = 0;
  for (size_t next = 0, page = 0; next < plan->n_row; page++) {
    cks_plan part = page_of(draft, plan, rows, &next);
    size_t here = cks_plan_hybrids(&part);
    const char *what = part.n_row && part.row[0].plot != CKS_NONE ? "Strips" : "Hybrids",
               *title = n_page > 1
                            ? cks_arena_format(draft->arena, "%s %zu to %zu of %zu", what, told + 1, told + here, whole)
                            : "";
    told += here;
    if (page) {
      cks_draft_say(draft, section, CKS_PART_PAGE, "");
      cks_draft_say(draft, section, CKS_PART_HEADING, head);
    }
    cks_draft_table_add(
        draft, section,
        cks_plan_table(draft, &part, page ? cks_arena_format(draft->arena, "%s-%zu", key, page + 1) : key, title));
  }
}

static void add_handout(cks_draft *draft, cks_id environment, const cks_analysis *a)
{
  const cks_environment *e = &draft->trial->environment[environment];
  const char *label = cks_draft_text(draft, e->label),
             *key = cks_arena_format(draft->arena, "handout-%u", environment + 1);
  cks_section *section = cks_draft_section(draft, key, label, CKS_FOR_ALL);
  section->new_page = true;
  section->first_screen = draft->settings->sheet_for != NULL;
  const char *head = letterhead(draft, e);
  cks_draft_say(draft, section, CKS_PART_HEADING, head);
  cks_draft_say(draft, section, CKS_PART_PARAGRAPH,
                cks_draft_line(draft, fact_lines(draft, e, environment), design_line(draft, e, a)));
  cks_draft_say(draft, section, CKS_PART_BOX, answer(draft, draft->lead, a));
  cks_plan plan = plan_page(draft, a, environment);
  add_pages(draft, section, &plan, key, head);
  cks_forage_caution(draft, section, environment);
  cks_draft_say(draft, section, CKS_PART_PARAGRAPH, key_words(draft, &plan));
  if (cks_shown_finds(a)) { /* dots without a bar would invite ranking */
    const cks_chart *dots[CKS_CHART_DOTS];
    size_t n = cks_chart_dots_all(draft, cks_arena_format(draft->arena, "dots-%u", environment + 1), draft->lead, a,
                                  label, ROWS_A_PAGE * 2, dots);
    for (size_t i = 0; i < n; i++) cks_draft_chart_add(draft, section, dots[i]);
  }
  cks_draft_say(draft, section, CKS_PART_PARAGRAPH, notes(draft, e));
  cks_draft_say(draft, section, CKS_PART_PARAGRAPH, small_print(draft));
}

static bool is_wanted(const cks_draft *draft, const cks_environment *e)
{
  const char *only = draft->settings->sheet_for;
  return !only || !strcasecmp(only, e->label) || !strcasecmp(only, draft->trial->location[e->location]);
}

static void refuse(cks_draft *draft)
{
  const cks_trial *trial = draft->trial;
  bool there = false;
  for (size_t i = 0; i < trial->n_environment; i++) there |= is_wanted(draft, &trial->environment[i]);
  const char *places = cks_words_list(draft, trial->n_location, trial->location);
  draft->status = cks_arena_status(draft->arena, draft->error); /* a list cut short tells nobody anything */
  if (draft->status != CKS_OK) return;
  if (there)
    draft->status = cks_error_set(draft->error, CKS_USAGE, "no sheet for '%s': no trait has a result there",
                                  draft->settings->sheet_for);
  else
    draft->status = cks_error_set(draft->error, CKS_USAGE, "no location '%s' for --sheet-for: there %s %s",
                                  draft->settings->sheet_for, trial->n_location == 1 ? "is only" : "are", places);
}

void cks_handouts_add(cks_draft *draft)
{
  size_t n = 0;
  for (cks_id i = 0; draft->lead && i < draft->trial->n_environment; i++) {
    const cks_analysis *a = cks_shown_at(draft->lead, i);
    if (!a || !is_wanted(draft, &draft->trial->environment[i])) continue;
    add_handout(draft, i, a);
    n++;
  }
  if (n == 0 && draft->settings->sheet_for) refuse(draft);
}
