/* shown.c: see shown.h. */
#include "shown.h"

#include "cells.h"

#include <stddef.h>
#include <string.h>

bool cks_shown_compares(const cks_analysis *a)
{
  return a && (a->method == CKS_METHOD_ANOVA || a->method == CKS_METHOD_REML) && !cks_is_missing(a->f);
}

bool cks_shown_shrunken(const cks_analysis *a) { return a->method == CKS_METHOD_REML && cks_is_missing(a->f); }

bool cks_shown_none_found(const cks_analysis *a) { return cks_shown_compares(a) && !a->found; }

bool cks_shown_finds(const cks_analysis *a)
{
  bool found = a && !a->n_group && a->found;
  for (size_t i = 0; a && i < a->n_group; i++) found = found || a->group[i].found;
  return found && cks_shown_compares(a);
}

bool cks_shown_ranks(const cks_trait_result *trait, const cks_analysis *a)
{
  return trait->better != CKS_BETTER_NONE && cks_shown_finds(a);
}

bool cks_shown_aside(const cks_analysis *a, const cks_hybrid_result *line)
{
  return (size_t)(line - a->hybrid) + a->n_aside >= a->n_hybrid;
}

bool cks_shown_line_top(const cks_draft *draft, const cks_trait_result *trait, const cks_analysis *a,
                        const cks_hybrid_result *line)
{
  const cks_group_result *group = line ? cks_analysis_group(draft->results, a, line) : NULL;
  return line && line->top == CKS_TOP_IN && (!group || group->found) && cks_shown_top(trait, a);
}

cks_analysis cks_shown_group(const cks_analysis *a, size_t k)
{
  const cks_group_result *g = &a->group[k];
  cks_analysis view = *a;
  view.hybrid = a->hybrid + g->first;
  view.n_hybrid = g->n_hybrid;
  view.row_of = NULL;
  view.n_group = 0;
  view.n_aside = 0;
  view.f = g->f;
  view.p = g->p;
  view.num_df = g->num_df;
  view.den_df = g->den_df;
  view.sed = view.sed_min = view.sed_max = g->sed;
  view.lsd = g->lsd;
  view.lsd_why = g->lsd_why;
  view.critical_difference = g->critical_difference;
  view.equal_sed = g->equal_sed;
  view.significant = g->significant;
  view.found = g->found;
  view.n_top = g->n_top;
  view.left_out_share = g->left_out_share;
  view.leader_loss = cks_missing();
  if (!g->found) view.top_rule = ""; /* comparisons with the best too wait for what is found here */
  if (g->n_hybrid < 2) view.why = g->lsd_why;
  return view;
}

const cks_hybrid_result *cks_shown_first(const cks_analysis *a, size_t *n)
{
  const cks_hybrid_result *first = NULL;
  *n = 0;
  for (size_t i = a->n_hybrid; i-- > 0;)
    if (a->hybrid[i].rank == 1) {
      first = &a->hybrid[i];
      (*n)++;
    }
  return first;
}

bool cks_shown_top(const cks_trait_result *trait, const cks_analysis *a)
{
  bool asks_no_f =
      cks_shown_none_found(a) && !a->n_group && a->n_top < a->n_hybrid - a->n_aside && !strcmp(a->top_rule, "best");
  return (cks_shown_ranks(trait, a) || asks_no_f) && a->n_top > 0;
}

static bool at_once(const cks_draft *draft)
{
  return draft->settings->comparison == CKS_COMPARE_TUKEY || draft->settings->comparison == CKS_COMPARE_BONFERRONI;
}

const char *cks_shown_distance_word(const cks_draft *draft) { return at_once(draft) ? "MSD" : "LSD"; }

static double shown_value(const cks_trait_result *trait, const cks_analysis *a, double value)
{
  return cks_shown_compares(a) && !trait->arcsine ? value : cks_missing();
}

static cks_cell distance_cell(cks_draft *draft, const cks_trait_result *trait, double value)
{
  return cks_cell_given(draft, value, trait->digits ? trait->digits : 1);
}

double cks_shown_distance_value(const cks_draft *draft, const cks_trait_result *trait, const cks_analysis *a)
{
  return shown_value(trait, a, at_once(draft) ? a->critical_difference : a->lsd);
}

cks_cell cks_shown_distance(cks_draft *draft, const cks_trait_result *trait, const cks_analysis *a)
{
  if (!at_once(draft) && cks_shown_none_found(a)) return cks_cell_text("NS");
  return distance_cell(draft, trait, cks_shown_distance_value(draft, trait, a));
}

static bool is_dunnett(const cks_draft *draft) { return draft->settings->comparison == CKS_COMPARE_DUNNETT; }

bool cks_shown_dunnett_finds(const cks_draft *draft, const cks_analysis *a)
{
  bool finds = false;
  if (!is_dunnett(draft) || !cks_shown_compares(a)) return false;
  for (size_t i = 0; i < a->n_hybrid && !finds; i++)
    for (size_t k = 0; k < draft->results->n_check && !finds; k++)
      finds = a->hybrid[i].vs_check && a->hybrid[i].vs_check[k].differs != CKS_DIFFERS_UNKNOWN;
  return finds;
}

cks_cell cks_shown_dunnett(cks_draft *draft, const cks_trait_result *trait, const cks_analysis *a)
{
  return is_dunnett(draft) ? distance_cell(draft, trait, shown_value(trait, a, a->critical_difference))
                           : cks_cell_none();
}

const cks_analysis *cks_shown_at(const cks_trait_result *trait, cks_id environment)
{
  if (environment == CKS_NONE) return trait->across && trait->across->method != CKS_METHOD_NONE ? trait->across : NULL;
  for (size_t i = 0; i < trait->n_location; i++)
    if (trait->location[i].environment == environment)
      return trait->location[i].method != CKS_METHOD_NONE ? &trait->location[i] : NULL;
  return NULL;
}
