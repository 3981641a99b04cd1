/*
 * groups.c: see groups.h. A group is looked at as an analysis of its own (cks_shown_group), so that nothing is said of it
 * that its own F does not carry.
 */
#include "groups.h"

#include "shown.h"
#include "words.h"

#include <string.h>

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

static const char *highest(const cks_trait_result *trait)
{
  return trait->better == CKS_BETTER_LOW ? "lowest" : "highest";
}

/* Its first row of rank 1; *n: how many share it. */
static const cks_hybrid_result *first_of(const cks_analysis *a, size_t *n)
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

static const char *top_words(cks_draft *draft, const cks_trait_result *trait, const cks_analysis *a)
{
  size_t first = 0;
  while (first < a->n_hybrid && a->hybrid[first].top == CKS_TOP_IN) first++;
  if (a->n_top == 1) {
    for (size_t i = 0; i < a->n_hybrid; i++)
      if (a->hybrid[i].top == CKS_TOP_IN)
        return cks_arena_format(draft->arena, "%s stands alone as the %s", cks_words_hybrid(draft, a->hybrid[i].hybrid),
                                highest(trait));
  }
  if (first == a->n_top && a->equal_sed)
    return a->n_top == a->n_hybrid
               ? cks_arena_format(draft->arena, "none of the %u is told from the %s", a->n_top, highest(trait))
               : cks_arena_format(draft->arena, "the first %u cannot be told apart", a->n_top);
  return cks_arena_format(draft->arena, "%u are not different from the %s", a->n_top, highest(trait));
}

/* Of one group, without its name; its p stands beside it in a line of figures. */
static const char *group_words(cks_draft *draft, const cks_trait_result *trait, const cks_analysis *a, bool with_p)
{
  if (a->n_hybrid < 2) return "one hybrid only, not ranked";
  if (!cks_shown_compares(a)) return "not compared";
  if (!with_p && cks_shown_none_found(a)) return "no differences found";
  if (!with_p && !cks_shown_top(trait, a)) return "some differ";
  if (cks_shown_none_found(a))
    return strcmp(a->comparison, "tukey") && strcmp(a->comparison, "bonferroni")
               ? cks_arena_format(draft->arena, "no differences found (%s)", cks_words_p(draft, a->p))
               : "no differences found";
  if (!cks_shown_top(trait, a)) return cks_arena_format(draft->arena, "some differ (%s)", cks_words_p(draft, a->p));
  const char *words = top_words(draft, trait, a);
  bool by_request = !a->significant && !strcmp(a->comparison, "lsd");
  return by_request ? cks_arena_format(draft->arena, "%s by request, though F finds no differences (%s)", words,
                                       cks_words_p(draft, a->p))
                    : words;
}

const char *cks_groups_answer(cks_draft *draft, const cks_trait_result *trait, const cks_analysis *a)
{
  const char *text = "";
  for (size_t k = 0; k < a->n_group; k++) {
    cks_analysis view = cks_shown_group(a, k);
    text = cks_arena_format(draft->arena, "%s%s%s: %s", text, *text ? "; " : "",
                            cks_groups_name(draft, a->group[k].by_group), group_words(draft, trait, &view, true));
  }
  return *text ? cks_arena_format(draft->arena, "%s.", text) : "";
}

const char *cks_groups_figures(cks_draft *draft, const cks_trait_result *trait, const cks_analysis *a)
{
  const char *text = "";
  for (size_t k = 0; k < a->n_group; k++) {
    cks_analysis view = cks_shown_group(a, k);
    const char *name = cks_groups_label(draft, a->group[k].by_group), *line;
    if (!cks_shown_compares(&view)) {
      line = cks_arena_format(draft->arena, "%s: %s.", name, *view.lsd_why ? view.lsd_why : "not compared");
    } else {
      line = cks_arena_format(draft->arena, "%s: F %s on %.4g and %.4g df, %s; %s", name,
                              cks_words_number(draft, view.f, 2), view.num_df, view.den_df, cks_words_p(draft, view.p),
                              group_words(draft, trait, &view, false));
      double distance = cks_shown_distance_value(draft, trait, &view);
      if (!cks_is_missing(distance) && !cks_shown_none_found(&view))
        line = cks_arena_format(draft->arena, "%s; %s %s", line, cks_shown_distance_word(draft),
                                cks_words_number(draft, distance, trait->digits ? trait->digits : 1));
      line = cks_arena_format(draft->arena, "%s.", line);
    }
    text = cks_draft_line(draft, text, line);
  }
  return text;
}

const char *cks_groups_best(cks_draft *draft, const cks_trait_result *trait, const cks_analysis *a, size_t group)
{
  cks_analysis view = cks_shown_group(a, group);
  size_t n;
  if (view.n_hybrid < 2) return "one only";
  if (!cks_shown_compares(&view)) return "means only";
  if (cks_shown_none_found(&view)) return "not told apart";
  const cks_hybrid_result *best = cks_shown_ranks(trait, &view) ? first_of(&view, &n) : NULL;
  if (!best) return "not ranked";
  const char *name = cks_words_hybrid(draft, best->hybrid);
  return n > 1 ? cks_arena_format(draft->arena, "%s and %zu equal", name, n - 1) : name;
}
