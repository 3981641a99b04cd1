/*
 * full.c: every figure of each trait: a section a trait, with a table across and one for each place. Letters stand here
 * and nowhere else; so do standard errors, plain means and the differences from each check.
 */
#include "cells.h"
#include "groups.h"
#include "sections.h"
#include "standing.h"
#include "words.h"

#include <string.h>

static bool any_letters(const cks_analysis *a)
{
  for (size_t i = 0; i < a->n_hybrid; i++)
    if (a->hybrid[i].group) return true;
  return false;
}

static cks_plan plan_full(cks_draft *draft, const cks_trait_result *t, const cks_analysis *a)
{
  cks_plan plan = cks_plan_of(draft, t, a, "check");
  bool compares = cks_shown_compares(a);
  if (cks_shown_ranks(t, a)) cks_plan_add(draft, &plan, CKS_SHOW_RANK, t, a, 0, "");
  cks_plan_add(draft, &plan, CKS_SHOW_HYBRID, t, a, 0, "");
  cks_plan_add(draft, &plan, CKS_SHOW_MEAN, t, a, 0, "");
  if (cks_shown_top(t, a)) cks_plan_add(draft, &plan, CKS_SHOW_TOP, t, a, 0, "");
  if (compares && any_letters(a)) cks_plan_add(draft, &plan, CKS_SHOW_LETTERS, t, a, 0, "");
  if (compares || !cks_is_missing(a->sed)) cks_plan_add(draft, &plan, CKS_SHOW_SE, t, a, 0, "");
  cks_plan_add(draft, &plan, CKS_SHOW_RAW_MEAN, t, a, 0, "");
  cks_plan_add(draft, &plan, CKS_SHOW_PLOTS, t, a, 0, "");
  if (a->environment == CKS_NONE) cks_plan_add(draft, &plan, CKS_SHOW_PLACES, t, a, 0, "");
  cks_plan_add(draft, &plan, CKS_SHOW_PCT_MEAN, t, a, 0, "");
  for (size_t k = 0; k < draft->results->n_check; k++) {
    if (!cks_analysis_hybrid(a, draft->results->check[k])) continue;
    cks_plan_add(draft, &plan, CKS_SHOW_PCT_CHECK, t, a, k, "");
    cks_plan_add(draft, &plan, CKS_SHOW_DIFFERENCE, t, a, k, "");
    if (!compares) continue;
    cks_plan_add(draft, &plan, CKS_SHOW_P_CHECK, t, a, k, "");
    if (!cks_shown_none_found(a)) cks_plan_add(draft, &plan, CKS_SHOW_VS_CHECK, t, a, k, "");
  }
  cks_plan_drop_empty(draft, &plan);
  return plan;
}

static const char *caption_of(cks_draft *draft, const cks_trait_result *t, const cks_analysis *a)
{
  const char *text = cks_draft_sentence(draft, cks_words_basis(draft, t), cks_words_test(draft, t, a));
  const char *alpha = cks_words_alpha(draft, a->alpha), *more = "";
  if (a->n_group)
    text = cks_draft_line(draft, text, cks_groups_figures(draft, t, a));
  else if (cks_shown_none_found(a))
    more = "No differences found: these hybrids cannot be told apart, so nothing is ranked.";
  if (cks_shown_top(t, a))
    more = cks_arena_format(
        draft->arena,
        "Each comparison stands by itself at %s: a hybrid truly as good as the best can be left out of the top "
        "group by chance, and more often than that where many hybrids are compared.",
        alpha);
  text = cks_draft_line(draft, text, more);
  if (cks_shown_compares(a))
    text = cks_draft_line(draft, text,
                          any_letters(a)  ? a->n_group ? "Hybrids of one group that share a letter are not different."
                                                       : "Hybrids that share a letter are not different."
                          : *a->group_why ? cks_arena_format(draft->arena, "No letters: %s.", a->group_why)
                                          : "");
  text = cks_draft_line(draft, text, cks_methods_caution(t));
  for (size_t k = 0; k < draft->results->n_check; k++)
    if (cks_analysis_hybrid(a, draft->results->check[k]))
      text = cks_draft_line(draft, text, cks_standing_check_key(draft, k));
  return text;
}

static void add_table(cks_draft *draft, cks_section *section, const cks_trait_result *t, const cks_analysis *a,
                      const char *place)
{
  cks_plan plan = plan_full(draft, t, a);
  const char *key =
      cks_arena_format(draft->arena, "full-%s-%s", t->key,
                       a->environment == CKS_NONE ? "all" : cks_arena_format(draft->arena, "%u", a->environment + 1));
  cks_report_table *table = cks_plan_table(
      draft, &plan, key, cks_arena_format(draft->arena, "%s, %s", cks_words_capital(draft, t->label), place));
  if (!table) return;
  table->caption = caption_of(draft, t, a);
  cks_draft_table_add(draft, section, table);
}

static void add_trait(cks_draft *draft, const cks_trait_result *t)
{
  const char *title = cks_words_capital(draft, t->label);
  cks_section *section =
      cks_draft_section(draft, cks_arena_format(draft->arena, "full-%s", t->key), title, CKS_FOR_ALL);
  section->landscape = true;
  section->new_page = true;
  cks_draft_say(draft, section, CKS_PART_HEADING, cks_arena_format(draft->arena, "%s: every figure", title));
  const cks_analysis *across = cks_shown_at(t, CKS_NONE);
  if (across)
    add_table(draft, section, t, across, "all places");
  else if (t->across)
    cks_draft_say(
        draft, section, CKS_PART_CAUTION,
        cks_arena_format(draft->arena, "Nothing across places: %s.", *t->across->why ? t->across->why : "no result"));
  for (size_t i = 0; i < t->n_location; i++) {
    const cks_analysis *a = &t->location[i];
    if (a->method != CKS_METHOD_NONE)
      add_table(draft, section, t, a, cks_draft_text(draft, a->label));
    else
      cks_draft_say(draft, section, CKS_PART_PARAGRAPH,
                    cks_arena_format(draft->arena, "%s: no result: %s.", a->label, *a->why ? a->why : "no values"));
  }
}

void cks_full_add(cks_draft *draft)
{
  for (size_t i = 0; i < draft->results->n_trait; i++) add_trait(draft, &draft->results->trait[i]);
}
