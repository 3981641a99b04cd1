/*
 * groups.c: see groups.h. A group is looked at as an analysis of its own (cks_shown_group), so that nothing is said of it
 * that its own F does not carry.
 */
#include "groups.h"

#include "claims.h"
#include "shown.h"
#include "words.h"

const char *cks_groups_name(cks_draft *draft, uint32_t group)
{
  const char *name = draft->results->by_group.name[group];
  return name ? cks_draft_text(draft, name) : "not given";
}

const char *cks_groups_label(cks_draft *draft, uint32_t group)
{
  return cks_arena_format(draft->arena, "%s: %s", cks_draft_text(draft, draft->results->by_group.heading),
                          cks_groups_name(draft, group));
}

static const char *one_more(cks_draft *draft, const char *text, const char *name, const cks_trait_result *trait,
                            const cks_analysis *view)
{
  const char *words = cks_draft_sentence(draft, cks_claim(draft, CKS_CLAIM_GROUP, trait, view),
                                         cks_claim(draft, CKS_CLAIM_GROUP_P, trait, view));
  return cks_arena_format(draft->arena, "%s%s%s: %s", text, *text ? "; " : "", name, words);
}

/* Groups of one hybrid come last, all at once. */
const char *cks_groups_answer(cks_draft *draft, const cks_trait_result *trait, const cks_analysis *a)
{
  const char *text = "", **lone = cks_arena_take(draft->arena, a->n_group + 1, sizeof *lone);
  size_t n_lone = 0, last = 0;
  for (size_t k = 0; lone && k < a->n_group; k++) {
    cks_analysis view = cks_shown_group(a, k);
    const char *name = cks_groups_name(draft, a->group[k].by_group);
    if (view.n_hybrid > 1) {
      text = one_more(draft, text, name, trait, &view);
    } else {
      lone[n_lone++] = name;
      last = k;
    }
  }
  if (!n_lone) return text;
  cks_analysis view = cks_shown_group(a, last);
  return one_more(draft, text, cks_words_list(draft, n_lone, lone), trait, &view);
}

const char *cks_groups_figures(cks_draft *draft, const cks_trait_result *trait, const cks_analysis *a)
{
  const char *text = "";
  for (size_t k = 0; k < a->n_group; k++) {
    cks_analysis view = cks_shown_group(a, k);
    const char *line = cks_groups_label(draft, a->group[k].by_group),
               *words = cks_claim(draft, CKS_CLAIM_GROUP, trait, &view);
    double distance = cks_shown_distance_value(draft, trait, &view);
    if (cks_shown_compares(&view) && !cks_is_missing(view.f))
      line = cks_arena_format(draft->arena, "%s: F %s on %.4g and %.4g df, %s; %s", line,
                              cks_words_number(draft, view.f, 2), view.num_df, view.den_df, cks_words_p(draft, view.p),
                              words);
    else
      line = cks_arena_format(draft->arena, "%s: %s", line, *view.lsd_why ? view.lsd_why : words);
    if (cks_shown_compares(&view) && !cks_is_missing(distance) && !cks_shown_none_found(&view))
      line = cks_arena_format(draft->arena, "%s; %s %s", line, cks_shown_distance_word(draft),
                              cks_words_number(draft, distance, trait->digits ? trait->digits : 1));
    text = cks_draft_line(draft, text, cks_arena_format(draft->arena, "%s.", line));
  }
  return text;
}

const char *cks_groups_best(cks_draft *draft, const cks_trait_result *trait, const cks_analysis *a, size_t group,
                            uint32_t *several)
{
  cks_analysis view = cks_shown_group(a, group);
  size_t n;
  if (view.n_hybrid < 2) return "one only";
  if (!cks_shown_compares(&view)) return "means only";
  if (cks_shown_none_found(&view)) return "not told apart";
  const cks_hybrid_result *best = cks_shown_ranks(trait, &view) ? cks_shown_first(&view, &n) : NULL;
  if (!best) return "not ranked";
  const char *name = cks_words_hybrid(draft, best->hybrid);
  if (n > 1) name = cks_arena_format(draft->arena, "%s and %zu equal", name, n - 1);
  if (view.n_top > n) {
    name = cks_arena_format(draft->arena, "%s (of %u)", name, view.n_top);
    *several = view.n_top;
  }
  return name;
}
