/*
 * years.c: see years.h. Each mean has its own LSD, top group and places; a hybrid that was not at all of those places in
 * all of those years has none, so no two means of a column stand on different seasons.
 */
#include "years.h"

#include "claims.h"
#include "groups.h"
#include "standing.h"
#include "words.h"

static bool has_mean(const cks_span *span) { return span->analysis->method != CKS_METHOD_NONE; }

static const char *span_name(cks_draft *draft, const cks_span *span)
{
  return span->n_year == 1 ? cks_arena_format(draft->arena, "%d", span->year[0])
                           : cks_words_count(draft, span->n_year, "year");
}

static const char *year_list(cks_draft *draft, const cks_span *span)
{
  const char **word = cks_arena_take(draft->arena, span->n_year, sizeof *word);
  for (size_t i = 0; word && i < span->n_year; i++) word[i] = cks_arena_format(draft->arena, "%d", span->year[i]);
  return word ? cks_words_list(draft, span->n_year, word) : "";
}

static const char *place_list(cks_draft *draft, const cks_span *span)
{
  const char **word = cks_arena_take(draft->arena, span->n_location, sizeof *word);
  for (size_t i = 0; word && i < span->n_location; i++) word[i] = cks_draft_text(draft, span->location[i]);
  return word ? cks_words_list(draft, span->n_location, word) : "";
}

/* The last year where it has a mean, else the first span that has one; NULL: none. */
static const cks_analysis *main_of(const cks_trait_result *t)
{
  for (size_t k = 0; k < t->n_span; k++)
    if (has_mean(&t->span[k])) return t->span[k].analysis;
  return NULL;
}

static bool stands(const cks_trait_result *t, cks_id hybrid)
{
  bool there = false;
  for (size_t k = 0; k < t->n_span; k++) there |= cks_analysis_hybrid(t->span[k].analysis, hybrid) != NULL;
  return there;
}

static bool has_distance(const cks_trait_result *t, uint32_t group)
{
  bool any = false;
  for (size_t s = 0; s < t->n_span; s++) {
    const cks_analysis *a = t->span[s].analysis;
    for (size_t k = 0; k < a->n_group; k++)
      any |= a->group[k].by_group == group && a->group[k].n_hybrid > 1 && cks_shown_compares(a);
  }
  return any;
}

/* After the main analysis' own hybrids those that have a mean of other years alone; by group in each block. */
static void add_rows(cks_draft *draft, cks_plan *plan, const cks_trait_result *t)
{
  const cks_results *results = draft->results;
  bool blocks = results->by_group.heading != NULL;
  uint32_t n_block = blocks ? (uint32_t)results->by_group.n : 1;
  cks_plan_row *row = cks_arena_take(draft->arena, results->n_hybrid + 2 * (size_t)n_block, sizeof *row);
  if (!row) return;
  size_t n = 0;
  for (uint32_t b = 0; b < n_block; b++) {
    size_t head = n;
    if (blocks) row[n++] = (cks_plan_row){CKS_ROW_BLOCK, b, CKS_NONE};
    for (size_t i = 0; i < plan->n_row; i++)
      if (plan->row[i].kind == CKS_ROW_HYBRID && (!blocks || results->hybrid[plan->row[i].id].by_group == b))
        row[n++] = plan->row[i];
    for (cks_id h = 0; h < results->n_hybrid; h++)
      if (stands(t, h) && !cks_analysis_hybrid(plan->main, h) && (!blocks || results->hybrid[h].by_group == b))
        row[n++] = (cks_plan_row){CKS_ROW_HYBRID, h, CKS_NONE};
    if (blocks && n == head + 1) n = head;
    if (blocks && n > head && has_distance(t, b)) row[n++] = (cks_plan_row){CKS_ROW_DISTANCE, b, CKS_NONE};
  }
  plan->row = row;
  plan->n_row = n;
}

/* "2 years: 2025 and 2026, at Creek and Ferrow.", and what its mean may be taken for, or why there is none. */
static const char *span_words(cks_draft *draft, const cks_trait_result *t, const cks_span *span)
{
  const cks_analysis *a = span->analysis;
  const char *text = cks_words_capital(draft, span_name(draft, span));
  if (span->n_year > 1) text = cks_arena_format(draft->arena, "%s, %s", text, year_list(draft, span));
  if (!has_mean(span)) return cks_arena_format(draft->arena, "%s: no mean: %s.", text, *a->why ? a->why : "no result");
  text = cks_arena_format(draft->arena, "%s, at %s:", text, place_list(draft, span));
  text = cks_draft_sentence(draft, text, cks_claim(draft, CKS_CLAIM_TEST, t, a));
  if (a->n_group && cks_shown_compares(a))
    text = cks_draft_sentence(draft, text,
                              cks_arena_format(draft->arena, "Within each group: %s.", cks_groups_answer(draft, t, a)));
  else if (cks_shown_none_found(a))
    text = cks_draft_sentence(draft, text, "No differences found, so nothing is ranked.");
  text = cks_draft_sentence(draft, text, cks_claim(draft, CKS_CLAIM_PLACES, t, a));
  bool noted = a->environment == CKS_NONE && cks_shown_compares(a); /* the note says it */
  return noted ? text : cks_draft_sentence(draft, text, cks_claim(draft, CKS_CLAIM_SEASON, t, a));
}

static const char *caption_of(cks_draft *draft, const cks_trait_result *t)
{
  const char *text = cks_words_basis(draft, t);
  text = cks_draft_sentence(draft, text,
                            "A mean stands where the hybrid was at all of the places named in all of the years; blank: "
                            "it was not. Means of different columns stand on different seasons and perhaps places: "
                            "compare down a column, not along a row.");
  for (size_t k = 0; k < t->n_span; k++) text = cks_draft_line(draft, text, span_words(draft, t, &t->span[k]));
  return text;
}

void cks_years_add(cks_draft *draft, cks_section *section, const cks_trait_result *t)
{
  const cks_analysis *main = main_of(t);
  const char *title = cks_arena_format(draft->arena, "%s, means of the last years", cks_words_capital(draft, t->label));
  if (!t->n_span) return;
  if (!main) {
    cks_draft_say(draft, section, CKS_PART_PARAGRAPH, cks_draft_line(draft, title, caption_of(draft, t)));
    return;
  }
  cks_plan plan = cks_plan_of(draft, t, main, "check");
  add_rows(draft, &plan, t);
  cks_plan_add(draft, &plan, CKS_SHOW_HYBRID, t, main, 0, "");
  for (size_t k = 0; k < t->n_span; k++) {
    const cks_analysis *a = t->span[k].analysis;
    const char *group = span_name(draft, &t->span[k]);
    if (!has_mean(&t->span[k])) continue;
    cks_plan_add(draft, &plan, CKS_SHOW_SPAN, t, a, 0, group);
    if (cks_shown_top(t, a)) cks_plan_add(draft, &plan, CKS_SHOW_TOP, t, a, 0, group);
  }
  cks_report_table *table = cks_plan_table(draft, &plan, cks_arena_format(draft->arena, "years-%s", t->key), title);
  if (!table) return;
  table->caption = caption_of(draft, t);
  cks_draft_table_add(draft, section, table);
}

const char *cks_years_line(cks_draft *draft, const cks_trait_result *t)
{
  const char *text = "";
  for (size_t k = 1; k < t->n_span; k++) {
    const cks_analysis *a = t->span[k].analysis;
    if (!has_mean(&t->span[k])) continue;
    text =
        cks_arena_format(draft->arena, "%s%s%zu years (%s, %s)", text, *text ? " and " : "", t->span[k].n_year,
                         cks_words_count(draft, a->n_location, "place"), cks_words_count(draft, a->n_hybrid, "hybrid"));
  }
  return *text ? cks_arena_format(draft->arena, "Means of the last %s stand in the full tables (--full).", text) : "";
}
