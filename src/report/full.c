/*
 * full.c: every figure of each trait: a section a trait, with a table across and one for each place. Letters stand here
 * and nowhere else; so do standard errors, plain means and the differences from each check.
 */
#include "cells.h"
#include "claims.h"
#include "groups.h"
#include "sections.h"
#include "standing.h"
#include "strips.h"
#include "words.h"
#include "years.h"

#include <string.h>

static cks_plan plan_full(cks_draft *draft, const cks_trait_result *t, const cks_analysis *a)
{
  cks_plan plan = cks_plan_of(draft, t, a, "check");
  static const cks_show shows[] = {CKS_SHOW_RANK,        CKS_SHOW_HYBRID,   CKS_SHOW_MEAN,  CKS_SHOW_UNADJUSTED,
                                   CKS_SHOW_TOP,         CKS_SHOW_LETTERS,  CKS_SHOW_SE,    CKS_SHOW_SHRUNKEN,
                                   CKS_SHOW_RELIABILITY, CKS_SHOW_RAW_MEAN, CKS_SHOW_PLOTS, CKS_SHOW_PLACES,
                                   CKS_SHOW_PCT_MEAN};
  for (size_t i = 0; i < sizeof shows / sizeof *shows; i++) cks_plan_add(draft, &plan, shows[i], t, a, 0, "");
  for (size_t k = 0; k < draft->results->n_check; k++) cks_plan_add_check(draft, &plan, k);
  return plan;
}

/* What holds of all tables of the trait, said once: of the mean over places where it compares, else of the first place
 * that does. */
static const char *notes_of(cks_draft *draft, const cks_trait_result *t)
{
  const char *text = cks_draft_sentence(draft, cks_words_basis(draft, t), cks_methods_caution(t)), *rule = "";
  const cks_analysis *across = cks_shown_at(t, CKS_NONE);
  if (across) rule = cks_claim(draft, CKS_CLAIM_RULE, t, across);
  for (size_t i = 0; i < t->n_location && !*rule; i++) rule = cks_claim(draft, CKS_CLAIM_RULE, t, &t->location[i]);
  return cks_draft_line(draft, cks_draft_sentence(draft, text, rule), cks_strips_words(draft, t));
}

static const char *caption_of(cks_draft *draft, const cks_trait_result *t, const cks_analysis *a, const cks_plan *plan)
{
  const char *text =
      cks_draft_sentence(draft, cks_claim(draft, CKS_CLAIM_TEST, t, a), cks_claim(draft, CKS_CLAIM_TABLE, t, a));
  text = cks_draft_sentence(draft, text, cks_plan_check_keys(draft, plan));
  return cks_draft_line(draft, text, cks_groups_figures(draft, t, a));
}

static void add_table(cks_draft *draft, cks_section *section, const cks_plan *plan, const char *said)
{
  const cks_trait_result *t = plan->trait;
  const cks_analysis *a = plan->main;
  bool across = a->environment == CKS_NONE;
  const char *key = cks_arena_format(draft->arena, "full-%s-%s", t->key,
                                     across ? "all" : cks_arena_format(draft->arena, "%u", a->environment + 1));
  cks_report_table *table = cks_plan_table(draft, plan, key,
                                           cks_arena_format(draft->arena, "%s, %s", cks_words_capital(draft, t->label),
                                                            across ? "all places" : cks_draft_text(draft, a->label)));
  if (!table) return;
  table->caption = cks_draft_sentence(draft, said, caption_of(draft, t, a, plan));
  cks_draft_table_add(draft, section, table);
}

/* The tables of all places have the same columns, so that they can stand one below the other. */
static void add_tables(cks_draft *draft, cks_section *section, const cks_trait_result *t)
{
  size_t n = 0;
  const cks_analysis *across = cks_shown_at(t, CKS_NONE);
  cks_plan *plans = cks_arena_take(draft->arena, t->n_location + 1, sizeof *plans);
  const char **said = cks_arena_take(draft->arena, t->n_location + 1, sizeof *said);
  if (!plans || !said) return;
  if (across) plans[n++] = plan_full(draft, t, across);
  for (size_t i = 0; i < t->n_location; i++)
    if (t->location[i].method != CKS_METHOD_NONE) plans[n++] = plan_full(draft, t, &t->location[i]);
  cks_plan_take_common(draft, n, plans, said);
  for (size_t i = 0; i < n; i++) add_table(draft, section, &plans[i], said[i]);
}

static void add_trait(cks_draft *draft, const cks_trait_result *t)
{
  const char *title = cks_words_capital(draft, t->label);
  cks_section *section =
      cks_draft_section(draft, cks_arena_format(draft->arena, "full-%s", t->key), title, CKS_FOR_ALL);
  section->new_page = true;
  cks_draft_say(draft, section, CKS_PART_HEADING, cks_arena_format(draft->arena, "%s: every figure", title));
  cks_draft_say(draft, section, CKS_PART_PARAGRAPH, notes_of(draft, t));
  if (t->across && !cks_shown_at(t, CKS_NONE))
    cks_draft_say(
        draft, section, CKS_PART_CAUTION,
        cks_arena_format(draft->arena, "Nothing across places: %s.", *t->across->why ? t->across->why : "no result"));
  cks_years_add(draft, section, t);
  for (size_t i = 0; i < t->n_location; i++) {
    const cks_analysis *a = &t->location[i];
    if (a->method == CKS_METHOD_NONE)
      cks_draft_say(draft, section, CKS_PART_PARAGRAPH,
                    cks_arena_format(draft->arena, "%s: no result: %s.", a->label, *a->why ? a->why : "no values"));
  }
  add_tables(draft, section, t);
}

void cks_full_add(cks_draft *draft)
{
  for (size_t i = 0; i < draft->results->n_trait; i++) add_trait(draft, &draft->results->trait[i]);
}
