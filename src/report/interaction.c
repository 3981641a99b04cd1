/*
 * interaction.c: hybrids by environments: what is said of each trait, its figures of stability, and of the trait that
 * leads the best of each environment, pairs that change sides, axes and charts. No figure of stability without the mean.
 */
#include "interaction.h"
#include "claims.h"
#include "sections.h"
#include "words.h"

static const char ONE_ENVIRONMENT[] = "One environment: how hybrids answer to places and seasons cannot be seen from "
                                      "it, so there are no slopes, no figures "
                                      "of stability and no axes.";

static const char *ended(cks_draft *draft, const char *words)
{
  return *words ? cks_arena_format(draft->arena, "%s.", cks_words_capital(draft, words)) : "";
}

/* Why no hybrid has a line; "" where one has. */
static const char *no_slope(const cks_interaction *x)
{
  for (size_t i = 0; i < x->n_hybrid; i++)
    if (!cks_is_missing(x->hybrid[i].slope)) return "";
  if (x->n_environment < 3) return "No slopes: a line over the environment means needs three of them.";
  for (size_t i = 0; i < x->n_hybrid; i++)
    if (x->hybrid[i].cells >= 4) return "No slopes: the environment means do not differ.";
  return "No slopes: with values missing a line needs four environments.";
}

/* The verdict, what it stands on, whether slopes differ, and what the complete table lacks. */
static const char *said_of(cks_draft *draft, const cks_trait_result *t)
{
  const cks_interaction *x = t->interaction;
  const char *name = cks_words_capital(draft, t->label);
  if (*x->why) return cks_arena_format(draft->arena, "%s: no figures: %s.", name, cks_words_reason(draft, x->why));
  const char *text = cks_arena_format(draft->arena, "%s: %s", name, cks_claim(draft, CKS_CLAIM_PLACES, t, t->across));
  text = cks_draft_line(draft, text, ended(draft, x->basis));
  text = cks_draft_line(draft, text, cks_claim(draft, CKS_CLAIM_SLOPES, t, t->across));
  text = cks_draft_line(draft, text, no_slope(x));
  if (*x->left_out)
    text =
        cks_draft_line(draft, text,
                       cks_arena_format(draft->arena,
                                        "Ecovalence, stability variance, superiority and axes need a complete table: "
                                        "%s.",
                                        cks_draft_text(draft, x->left_out)));
  return text;
}

static bool is_judged(const cks_trait_result *t) { return t->interaction != NULL; }
static bool has_figures(const cks_trait_result *t) { return is_judged(t) && !*t->interaction->why; }

static void add_lead(cks_draft *draft, cks_section *section, const cks_trait_result *t)
{
  cks_draft_table_add(draft, section, cks_table_environments(draft, t));
  cks_draft_table_add(draft, section, cks_table_sides(draft, t));
  cks_draft_table_add(draft, section, cks_table_axes(draft, t, false));
  cks_draft_table_add(draft, section, cks_table_axes(draft, t, true));
}

/* Below it on the same sheet the charts; on one of its own what is as wide as there are environments. */
static void add_for_workbook(cks_draft *draft, const cks_trait_result *t)
{
  cks_section *section = cks_draft_section(draft, "interaction-charts", "Interaction charts", CKS_FOR_WORKBOOK);
  cks_draft_chart_add(draft, section, cks_chart_slopes(draft, t));
  cks_draft_chart_add(draft, section, cks_chart_stability(draft, t));
  cks_draft_chart_add(draft, section, cks_chart_axes(draft, t, false));
  cks_draft_chart_add(draft, section, cks_chart_axes(draft, t, true));
  section = cks_draft_section(draft, "interaction-figures", "Interaction figures", CKS_FOR_WORKBOOK);
  section->new_page = true;
  cks_draft_say(draft, section, CKS_PART_HEADING, "Hybrids by environments: differences, ranks and scores");
  cks_draft_table_add(draft, section, cks_table_differences(draft, t));
  cks_draft_table_add(draft, section, cks_table_rank_correlation(draft, t));
  cks_draft_table_add(draft, section, cks_table_scores(draft, t, false));
  cks_draft_table_add(draft, section, cks_table_scores(draft, t, true));
}

void cks_interaction_add(cks_draft *draft)
{
  bool any = false;
  const cks_results *results = draft->results;
  for (size_t i = 0; i < results->n_trait; i++) any |= is_judged(&results->trait[i]);
  cks_section *section = cks_draft_section(draft, "interaction", "Interaction", CKS_FOR_ALL);
  section->new_page = any;
  cks_draft_say(draft, section, CKS_PART_HEADING, "Hybrids by environments");
  if (!any) cks_draft_say(draft, section, CKS_PART_PARAGRAPH, ONE_ENVIRONMENT);
  for (size_t i = 0; i < results->n_trait; i++) {
    const cks_trait_result *t = &results->trait[i];
    if (!is_judged(t)) continue;
    cks_draft_say(draft, section, CKS_PART_PARAGRAPH, said_of(draft, t));
    if (!has_figures(t)) continue;
    cks_draft_table_add(draft, section, cks_table_stability(draft, t));
    if (t == draft->lead) add_lead(draft, section, t);
  }
  if (draft->lead && has_figures(draft->lead)) add_for_workbook(draft, draft->lead);
}
