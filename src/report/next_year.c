/*
 * next_year.c: three lists from which next year's entries are chosen: what was found of each hybrid over all environments
 * of the leading trait, and no verdict. Every hybrid that is not a check stands in one of them.
 *
 *   1 in the top group, or on the good side of the check: found by the comparison in use
 *   2 on its other side; without a check that is compared: not in the top group
 *   3 all others: not told apart, set aside, or nothing is compared (as at one place, which cannot say)
 *
 * The check is the first that is compared here; the others have columns and decide nothing. A trait without a good end
 * has no lists.
 */
#include "cells.h"
#include "claims.h"
#include "sections.h"
#include "standing.h"
#include "words.h"

#include <string.h>

typedef enum { LIST_GOOD, LIST_BAD, LIST_REST, N_LISTS } list;
typedef enum { BY_HIGH, BY_LOW, BY_TOP_ALONE, N_WAYS } way;

static const char *const titles[N_WAYS][N_LISTS] = {
    [BY_HIGH] = {"1. In the top group, or above the check", "2. Below the check",
                 "3. Not told from the check, or too few places to say"},
    [BY_LOW] = {"1. In the top group, or below the check", "2. Above the check",
                "3. Not told from the check, or too few places to say"},
    [BY_TOP_ALONE] = {"1. In the top group", "2. Not in the top group", "3. Not told apart, or too few places to say"},
};

typedef struct {
  cks_draft *draft;
  const cks_trait_result *trait;
  const cks_analysis *a; /* across, else the one place */
  bool told;             /* hybrids are compared over environments */
  size_t check;          /* the first that is compared, index into results.check; n_check: none */
} subject;

/* ---- what the lists are by --------------------------------------------------------------------------------------- */

static bool check_compared(const subject *s, size_t check)
{
  const cks_hybrid_result *line = cks_analysis_hybrid(s->a, s->draft->results->check[check]);
  return s->told && line && !cks_shown_aside(s->a, line) && !cks_is_missing(line->mean);
}

static bool find_subject(cks_draft *draft, subject *s)
{
  const cks_trait_result *t = draft->lead;
  if (!t || t->better == CKS_BETTER_NONE) return false;
  *s = (subject){.draft = draft, .trait = t, .a = t->across ? t->across : t->location};
  s->told = t->across && cks_shown_compares(s->a);
  while (s->check < draft->results->n_check && !check_compared(s, s->check)) s->check++;
  return true;
}

static bool has_check(const subject *s) { return s->check < s->draft->results->n_check; }

static way way_of(const subject *s)
{
  if (s->told ? !has_check(s) : !s->draft->results->n_check) return BY_TOP_ALONE;
  return s->trait->better == CKS_BETTER_LOW ? BY_LOW : BY_HIGH;
}

bool cks_next_year_has_intervals(cks_draft *draft)
{
  subject s;
  return find_subject(draft, &s) && has_check(&s) && !s.trait->arcsine;
}

static cks_differs found_of(const subject *s, const cks_hybrid_result *line)
{
  return has_check(s) && line->vs_check ? line->vs_check[s->check].differs : CKS_DIFFERS_UNKNOWN;
}

static bool in_top(const subject *s, const cks_hybrid_result *line)
{
  return cks_shown_line_top(s->draft, s->trait, s->a, line);
}

/* A top group is shown, and the line is out of it. */
static bool out_of_top(const subject *s, const cks_hybrid_result *line)
{
  const cks_group_result *group = cks_analysis_group(s->draft->results, s->a, line);
  return line->top == CKS_TOP_OUT && (!group || group->found) && cks_shown_top(s->trait, s->a);
}

static list list_of(const subject *s, const cks_hybrid_result *line)
{
  cks_differs found = found_of(s, line),
              good = s->trait->better == CKS_BETTER_LOW ? CKS_DIFFERS_BELOW : CKS_DIFFERS_ABOVE;
  if (!s->told || cks_shown_aside(s->a, line)) return LIST_REST;
  if (in_top(s, line) || found == good) return LIST_GOOD;
  bool bad = has_check(s) ? found != CKS_DIFFERS_UNKNOWN : out_of_top(s, line);
  return bad ? LIST_BAD : LIST_REST;
}

/* ---- the tables -------------------------------------------------------------------------------------------------- */

/* By name where nothing is compared, for the order of one place says nothing; else as they are ranked. */
static const cks_hybrid_result *line_at(const subject *s, size_t i)
{
  if (s->told) return &s->a->hybrid[i];
  return cks_analysis_hybrid(s->a, (cks_id)i);
}

/* By group each group's hybrids below its head. */
static void add_rows(const subject *s, list which, cks_plan *plan)
{
  size_t n_line = s->told ? s->a->n_hybrid : s->draft->results->n_hybrid, n = 0;
  cks_plan_row *row = cks_arena_take(s->draft->arena, n_line + s->a->n_group + 1, sizeof *row);
  uint32_t head = CKS_NONE - 1; /* of no block */
  for (size_t i = 0; row && i < n_line; i++) {
    const cks_hybrid_result *line = line_at(s, i);
    const cks_hybrid *hybrid = line ? &s->draft->results->hybrid[line->hybrid] : NULL;
    if (!hybrid || hybrid->check || list_of(s, line) != which) continue;
    uint32_t block = cks_shown_aside(s->a, line) ? CKS_NONE : hybrid->by_group;
    if (s->told && s->a->n_group && block != head) row[n++] = (cks_plan_row){CKS_ROW_BLOCK, block, CKS_NONE};
    head = block;
    row[n++] = (cks_plan_row){CKS_ROW_HYBRID, line->hybrid, CKS_NONE};
  }
  plan->row = row;
  plan->n_row = n;
}

static void add_columns(const subject *s, cks_plan *plan)
{
  static const cks_show always[] = {CKS_SHOW_HYBRID, CKS_SHOW_ENVIRONMENTS, CKS_SHOW_YEARS, CKS_SHOW_MEAN},
                        measured[] = {CKS_SHOW_DIFFERENCE, CKS_SHOW_CI_LOW, CKS_SHOW_CI_HIGH, CKS_SHOW_VS_CHECK},
                        in_percent[] = {CKS_SHOW_DIFFERENCE, CKS_SHOW_VS_CHECK};
  for (size_t i = 0; i < sizeof always / sizeof *always; i++)
    cks_plan_add(s->draft, plan, always[i], s->trait, s->a, 0, "");
  if (!s->told) return;
  if (cks_shown_top(s->trait, s->a)) cks_plan_add(s->draft, plan, CKS_SHOW_TOP, s->trait, s->a, 0, "");
  for (size_t k = 0; k < s->draft->results->n_check; k++) {
    if (!check_compared(s, k)) continue;
    if (s->trait->arcsine)
      cks_plan_add_against(s->draft, plan, k, in_percent, sizeof in_percent / sizeof *in_percent);
    else
      cks_plan_add_against(s->draft, plan, k, measured, sizeof measured / sizeof *measured);
  }
}

static void add_list(const subject *s, cks_section *section, list which)
{
  cks_draft *draft = s->draft;
  const char *title = titles[way_of(s)][which];
  cks_plan plan = {.main = s->a, .trait = s->trait, .check_word = "check", .no_feet = true};
  add_rows(s, which, &plan);
  if (!plan.n_row) {
    cks_draft_say(draft, section, CKS_PART_PARAGRAPH, cks_arena_format(draft->arena, "%s: none.", title));
    return;
  }
  add_columns(s, &plan);
  const char *key = cks_arena_format(draft->arena, "next-year-%d", (int)which + 1);
  cks_draft_table_add(draft, section, cks_plan_table(draft, &plan, key, title));
}

/* ---- the words --------------------------------------------------------------------------------------------------- */

static const char *mean_words(const subject *s, size_t check)
{
  const cks_hybrid_result *line = cks_analysis_hybrid(s->a, s->draft->results->check[check]);
  return cks_arena_format(s->draft->arena, "%s (mean %s%s)", cks_words_hybrid(s->draft, line->hybrid),
                          cks_words_number(s->draft, line->mean, s->trait->digits), in_top(s, line) ? ", top" : "");
}

static const char *measure_words(const subject *s)
{
  cks_draft *draft = s->draft;
  const char **other = cks_arena_take(draft->arena, draft->results->n_check + 1, sizeof *other);
  size_t n = 0;
  if (!s->told || !other) return "";
  if (!has_check(s)) return "No check is compared here, so the lists are by the top group alone.";
  const char *text = cks_arena_format(draft->arena, "The check is %s.", mean_words(s, s->check));
  for (size_t k = s->check + 1; k < draft->results->n_check; k++)
    if (check_compared(s, k)) other[n++] = mean_words(s, k);
  if (!n) return text;
  return cks_draft_sentence(draft, text,
                            cks_arena_format(draft->arena, "The lists are by it alone; %s %s columns too.",
                                             cks_words_list(draft, n, other), n == 1 ? "has" : "have"));
}

/* Unequal precision, or another comparison for the check, can leave a hybrid in the top group on the check's other side. */
static const char *both_words(const subject *s)
{
  for (size_t i = 0; s->told && i < s->a->n_hybrid; i++) {
    const cks_hybrid_result *line = &s->a->hybrid[i];
    bool low = s->trait->better == CKS_BETTER_LOW;
    if (!s->draft->results->hybrid[line->hybrid].check && in_top(s, line) &&
        found_of(s, line) == (low ? CKS_DIFFERS_ABOVE : CKS_DIFFERS_BELOW))
      return cks_arena_format(s->draft->arena,
                              "A hybrid in the top group stands in the first list, though it is %s the "
                              "check.",
                              low ? "above" : "below");
  }
  return "";
}

static const char *keys_words(const subject *s)
{
  cks_draft *draft = s->draft;
  cks_plan plan = {.main = s->a, .trait = s->trait};
  add_columns(s, &plan);
  const char *text = "";
  if (s->told && cks_shown_top(s->trait, s->a))
    text = cks_arena_format(draft->arena, "top = %s", cks_claim(draft, CKS_CLAIM_MARK, s->trait, s->a));
  if (has_check(s)) text = cks_draft_sentence(draft, text, "found: above or below that check; blank = cannot tell.");
  return cks_draft_sentence(draft, text, cks_plan_check_keys(draft, &plan));
}

void cks_next_year_add(cks_draft *draft)
{
  subject s;
  if (!find_subject(draft, &s)) return;
  cks_section *section = cks_draft_section(draft, "next-year", "For next year", CKS_FOR_ALL);
  section->new_page = true;
  cks_draft_say(draft, section, CKS_PART_HEADING,
                cks_arena_format(draft->arena, "For next year: lists by %s", s.trait->label));
  cks_draft_say(draft, section, CKS_PART_PARAGRAPH,
                cks_draft_sentence(draft, cks_words_basis(draft, s.trait), measure_words(&s)));
  const char *text = cks_draft_sentence(draft, cks_claim(draft, CKS_CLAIM_NEXT_YEAR, s.trait, s.a), both_words(&s));
  if (has_check(&s)) text = cks_draft_sentence(draft, text, cks_claim(draft, CKS_CLAIM_AGAINST, s.trait, s.a));
  cks_draft_say(draft, section, CKS_PART_PARAGRAPH, text);
  cks_draft_say(draft, section, CKS_PART_PARAGRAPH, keys_words(&s));
  static const cks_claim_topic cautions[] = {CKS_CLAIM_PLACES, CKS_CLAIM_SEASON, CKS_CLAIM_DOUBT};
  const char *caution = "";
  for (size_t i = 0; i < sizeof cautions / sizeof *cautions; i++)
    caution = cks_draft_sentence(draft, caution, cks_claim(draft, cautions[i], s.trait, s.a));
  cks_draft_say(draft, section, CKS_PART_CAUTION, caution);
  for (list which = LIST_GOOD; which < N_LISTS; which++) add_list(&s, section, which);
}
