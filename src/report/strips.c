/* strips.c: see strips.h. */
#include "strips.h"

#include "words.h"

#include <stdlib.h>

static const char *const kinds[] = {[CKS_STRIPS_NONE] = "",
                                    [CKS_STRIPS_DIFFERENCE] = "difference",
                                    [CKS_STRIPS_RATIO] = "ratio",
                                    [CKS_STRIPS_SHRUNKEN] = "shrunken"};

const char *cks_strips_basis(cks_draft *draft, const cks_trait_result *t)
{
  return t->strips.used
             ? cks_arena_format(draft->arena, "Yields are adjusted by check strips (%s).", kinds[t->strips.by])
             : "";
}

/* "the check Quarter 7", "the checks Quarter 7 and Orrin 66" */
static const char *check_words(cks_draft *draft, const cks_strips *s)
{
  const char **name = cks_arena_take(draft->arena, s->n_check, sizeof *name);
  for (size_t k = 0; name && k < s->n_check; k++) name[k] = cks_words_hybrid(draft, s->check[k]);
  return cks_arena_format(draft->arena, "the check%s %s", s->n_check == 1 ? "" : "s",
                          name ? cks_words_list(draft, s->n_check, name) : "");
}

/* "b 0.62 (SE 0.21, p 0.006)"; "" where none was reckoned. */
static const char *share_words(cks_draft *draft, const cks_strips *s)
{
  if (cks_is_missing(s->b)) return "";
  return cks_arena_format(draft->arena, "b %s (SE %s, %s)", cks_words_number(draft, s->b, 2),
                          cks_words_number(draft, s->se, 2), cks_words_p(draft, s->p));
}

static const char *not_used_words(cks_draft *draft, const cks_strips *s)
{
  const char *share = share_words(draft, s);
  return cks_arena_format(draft->arena,
                          "The strip adjustment asked (%s) is not used, and yields stand unadjusted: %s%s%s.",
                          kinds[s->by], s->why, *share ? ", " : "", share);
}

/* "Strips are adjusted (ratio) by those of the check Quarter 7 beside them at 4 of 5 places; checks are not." */
static const char *who_words(cks_draft *draft, const cks_strips *s)
{
  uint32_t n = s->n_place + s->n_left;
  const char *at = n == 1      ? ""
                   : s->n_left ? cks_arena_format(draft->arena, " at %u of %u places", s->n_place, n)
                               : cks_arena_format(draft->arena, " at all %u places", n);
  return cks_arena_format(draft->arena, "Strips are adjusted (%s) by those of %s beside them%s; checks are not.",
                          kinds[s->by], check_words(draft, s), at);
}

/* Places that are left, and those with little to adjust by. */
static const char *place_words(cks_draft *draft, const cks_strips *s)
{
  const char *text = "",
             *at = s->n_place + s->n_left == 1
                       ? ""
                       : cks_arena_format(draft->arena, " at %s", cks_words_count(draft, s->n_few, "place"));
  if (*s->left) text = cks_arena_format(draft->arena, "Left unadjusted: %s.", cks_draft_text(draft, s->left));
  return s->n_few
             ? cks_draft_sentence(
                   draft, text, cks_arena_format(draft->arena, "Fewer than 4 check strips%s: little to adjust by.", at))
             : text;
}

static const char *taken_words(cks_draft *draft, const cks_strips *s)
{
  if (s->by != CKS_STRIPS_SHRUNKEN) return "";
  return cks_arena_format(draft->arena,
                          "Taken off is the share %s of what the check stands above its mean at the place, found from "
                          "%u entry strips at %u places; 1 error df goes to it.",
                          share_words(draft, s), s->n_strip, s->n_farm);
}

const char *cks_strips_words(cks_draft *draft, const cks_trait_result *t)
{
  const cks_strips *s = &t->strips;
  if (!s->used) return s->by == CKS_STRIPS_NONE ? "" : not_used_words(draft, s);
  const char *text = cks_draft_sentence(draft, who_words(draft, s), taken_words(draft, s));
  text = cks_draft_sentence(draft, text,
                            "This can add more noise than it takes away: it did in 14 of 19 strip trials (Schmitt, "
                            "Openshaw and Davis 1992). Hold the unadjusted means beside it.");
  return cks_draft_sentence(draft, text, place_words(draft, s));
}

const char *cks_strips_short(cks_draft *draft, const cks_trait_result *t)
{
  const cks_strips *s = &t->strips;
  if (!s->used) return cks_strips_words(draft, t);
  const char *text = cks_draft_sentence(draft, who_words(draft, s),
                                        "This can add more noise than it takes away: hold the unadjusted means beside "
                                        "it.");
  return cks_draft_sentence(draft, text, place_words(draft, s));
}

void cks_strips_head(cks_draft *draft, const cks_trait_result *t, bool unadjusted, cks_report_column *heading)
{
  const char *word = unadjusted ? "unadjusted" : "strip-adjusted",
             *stacked = unadjusted ? "unad-\njusted" : "strip-ad-\njusted";
  heading->label = cks_arena_format(draft->arena, "%s, %s", cks_draft_text(draft, t->label), word);
  heading->narrow = cks_arena_format(draft->arena, "%s\n%s", stacked, t->narrow);
}

/* ---- rows in the order of strips ---------------------------------------------------------------------------------- */

typedef struct {
  int32_t number;
  cks_plan_row row;
} numbered;

static int compare_numbered(const void *left, const void *right)
{
  const numbered *a = left, *b = right;
  return (a->number > b->number) - (a->number < b->number);
}

static bool stand_once(const cks_draft *draft, const cks_analysis *a)
{
  for (size_t i = 0; i < a->n_hybrid; i++)
    if (a->hybrid[i].n > 1 && !draft->results->hybrid[a->hybrid[i].hybrid].check) return false;
  return !cks_shown_compares(a) && a->n_group == 0;
}

bool cks_strips_rows(cks_draft *draft, cks_plan *plan)
{
  const cks_analysis *a = plan->main;
  const cks_trial *t = draft->trial;
  if (!t->strip || a->environment == CKS_NONE || !stand_once(draft, a)) return false;
  const cks_environment *e = &t->environment[a->environment];
  numbered *strip = cks_arena_take(draft->arena, e->n, sizeof *strip);
  cks_plan_row *row = cks_arena_take(draft->arena, e->n, sizeof *row);
  size_t n = 0;
  for (uint32_t p = e->first; strip && row && p < e->first + e->n; p++) {
    if (cks_is_missing(t->trait[plan->trait->trait].value[p])) continue;
    if (t->strip[p] == INT32_MIN) return false;
    strip[n++] = (numbered){t->strip[p], {CKS_ROW_HYBRID, t->hybrid_of[p], p}};
  }
  if (!n) return false;
  qsort(strip, n, sizeof *strip, compare_numbered);
  for (size_t i = 0; i < n; i++) {
    if (i && strip[i].number == strip[i - 1].number) return false;
    row[i] = strip[i].row;
  }
  plan->row = row;
  plan->n_row = n;
  return true;
}
