/* words.c: see words.h. */
#include "words.h"
#include "../core/utf8.h"
#include "shown.h"
#include "strips.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

const char *cks_words_count(cks_draft *draft, size_t n, const char *one)
{
  if (n == 0) return cks_arena_format(draft->arena, "no %ss", one);
  return cks_arena_format(draft->arena, "%zu %s%s", n, one, n == 1 ? "" : "s");
}

const char *cks_words_list(cks_draft *draft, size_t n, const char *const *word)
{
  const char *text = n ? word[0] : "";
  for (size_t i = 1; i < n; i++)
    text = cks_arena_format(draft->arena, "%s%s%s", text, i + 1 == n ? " and " : ", ", word[i]);
  return text;
}

static char large(char c) { return c >= 'a' && c <= 'z' ? (char)(c - 'a' + 'A') : c; }

const char *cks_words_capital(cks_draft *draft, const char *text)
{
  char *copy = cks_arena_text(draft->arena, text);
  if (*copy) *copy = large(*copy);
  return copy;
}

const char *cks_words_large(cks_draft *draft, const char *text)
{
  char *copy = cks_arena_text(draft->arena, text);
  for (char *c = copy; *c; c++) *c = large(*c);
  return copy;
}

const char *cks_words_number(cks_draft *draft, double value, int digits)
{
  char text[CKS_NUMBER_TEXT];
  return cks_arena_text(draft->arena, cks_print_number(text, value, digits));
}

const char *cks_words_p(cks_draft *draft, double p)
{
  return p < 0.001 ? "p < 0.001" : cks_arena_format(draft->arena, "p %s", cks_words_number(draft, p, 3));
}

const char *cks_words_alpha(cks_draft *draft, double alpha)
{
  bool two = fabs(alpha * 100 - floor(alpha * 100 + 0.5)) < 1e-9; /* 0.1 is the level 0.10 */
  return cks_arena_format(draft->arena, two ? "%.2f" : "%.6g", alpha);
}

const char *cks_words_title(cks_draft *draft, const cks_trait_result *t, const char *what)
{
  return cks_arena_format(draft->arena, "%s: %s", cks_words_capital(draft, t->label), what);
}

const char *cks_words_key(cks_draft *draft, const cks_trait_result *t, const char *what)
{
  return cks_arena_format(draft->arena, "%s-%s", what, t->key);
}

const char *cks_words_hybrid(cks_draft *draft, cks_id hybrid)
{
  return cks_draft_text(draft, draft->results->hybrid[hybrid].full);
}

const char *cks_words_check(cks_draft *draft, const char *name, const char *word)
{
  static const char CHECK[] = "check";
  const size_t n = sizeof CHECK - 1;
  for (const char *at = name; *at; at++) {
    bool begins = at == name || at[-1] == ' ', ends = strlen(at) >= n && (!at[n] || at[n] == ' ');
    if (begins && ends && !strncasecmp(at, CHECK, n)) return name;
  }
  return cks_arena_format(draft->arena, "%s %s", name, word);
}

static bool is_vowel(char c) { return c != '\0' && strchr("aeiouAEIOU", c) != NULL; }

const char *cks_words_short(cks_draft *draft, const char *name, size_t columns)
{
  if (cks_utf8_width(name, SIZE_MAX) <= columns) return name;
  char *text = cks_arena_text(draft->arena, name), *to = text;
  bool word_begins = true;
  for (const char *from = name; *from && *text; from++) {
    bool vowel = is_vowel(*from), digit = *from >= '0' && *from <= '9';
    bool doubled = !word_begins && !digit && (unsigned char)*from < 0x80 && from[-1] == *from;
    if (word_begins || (!vowel && !doubled)) *to++ = *from;
    word_begins = *from == ' ' || *from == '-';
  }
  *to = '\0';
  return *text && cks_utf8_width(text, SIZE_MAX) <= columns ? text : NULL;
}

bool cks_words_found(const cks_draft *draft, cks_rule rule)
{
  for (size_t i = 0; i < draft->findings->n; i++)
    if (draft->findings->finding[i].rule == rule) return true;
  return false;
}

const char *cks_words_stacked(cks_draft *draft, const char *text)
{
  char *lines = cks_arena_text(draft->arena, text);
  for (char *c = lines; *c; c++)
    if (*c == ' ') *c = '\n';
  return lines;
}

bool cks_words_crop_assumed(const cks_draft *draft)
{
  return cks_words_found(draft, CKS_RULE_CROP_ASSUMED) || cks_words_found(draft, CKS_RULE_CROP_DOUBTFUL);
}

const char *cks_words_reason(cks_draft *draft, const char *why)
{
  return cks_arena_format(draft->arena, "%.*s", (int)strcspn(why, ":"), why);
}

const char *cks_words_file(cks_draft *draft, cks_id file)
{
  const char *name = file < draft->findings->n_file ? draft->findings->file[file] : "", *slash = strrchr(name, '/');
  return cks_draft_text(draft, slash ? slash + 1 : name);
}

const char *cks_words_years(cks_draft *draft)
{
  int first = 0, last = 0;
  for (size_t i = 0; i < draft->trial->n_environment; i++) {
    int year = draft->trial->environment[i].year;
    if (!year) continue;
    if (!first || year < first) first = year;
    if (year > last) last = year;
  }
  if (!first) return "";
  return first == last ? cks_arena_format(draft->arena, "%d", first)
                       : cks_arena_format(draft->arena, "%d to %d", first, last);
}

const char *cks_words_reps(cks_draft *draft, const cks_trait_result *trait)
{
  double fewest = INFINITY, most = 0;
  size_t n_single = 0;
  for (size_t i = 0; i < trait->n_location; i++)
    n_single += !strncmp(trait->location[i].design, "single plots with repeated checks", 33);
  if (n_single && n_single == trait->n_location) return "checks repeated";
  for (size_t i = 0; i < trait->n_location; i++) {
    double reps = trait->location[i].reps;
    if (cks_is_missing(reps)) return "reps not equal";
    if (reps < fewest) fewest = reps;
    if (reps > most) most = reps;
  }
  if (!(fewest >= 1) || trait->n_location == 0) return "";
  return fewest < most ? cks_arena_format(draft->arena, "%.0f to %.0f reps", fewest, most)
                       : cks_words_count(draft, (size_t)most, "rep");
}

const char *cks_words_hybrids(cks_draft *draft, size_t n, size_t n_check)
{
  const char *hybrids = cks_words_count(draft, n, "hybrid");
  return n_check ? cks_arena_format(draft->arena, "%s (%s)", hybrids, cks_words_count(draft, n_check, "check"))
                 : hybrids;
}

const char *cks_words_basis(cks_draft *draft, const cks_trait_result *trait)
{
  const cks_trait *source = &draft->trial->trait[trait->trait];
  const char *unit = cks_unit_text(trait->unit), *text = cks_words_capital(draft, trait->label);
  if (trait->role == CKS_ROLE_DAYS_TO_MID_BLOOM)
    return cks_arena_format(draft->arena, "Mid-bloom in days from %s.", draft->trial->count_origin);
  if (trait->unit == CKS_UNIT_SCORE) unit = "";
  if (trait->unit == CKS_UNIT_IN) unit = "inches";
  if (*unit) text = cks_arena_format(draft->arena, "%s in %s", text, unit);
  if (trait->unit == CKS_UNIT_BU_AC)
    text = cks_arena_format(draft->arena, "%s (%.6g lb%s)", text, draft->trial->crop->bushel_lb,
                            cks_words_crop_assumed(draft) ? ", crop assumed" : "");
  if (source->unit_assumed && *unit) text = cks_arena_format(draft->arena, "%s, unit assumed,", text);
  if (!cks_is_missing(trait->basis_pct))
    text = cks_arena_format(draft->arena, "%s at %s %% moisture%s", text, cks_words_number(draft, trait->basis_pct, 1),
                            cks_words_found(draft, CKS_RULE_BASIS_ASSUMED) ? " (assumed)" : "");
  if (*trait->basis_text) text = cks_arena_format(draft->arena, "%s, %s", text, trait->basis_text);
  if (!cks_is_missing(source->scale_low) && trait->measure == CKS_MEASURE_RATING)
    text = cks_arena_format(draft->arena, "%s, rated from %.6g to %.6g", text, source->scale_low, source->scale_high);
  else if (trait->measure == CKS_MEASURE_RATING)
    text = cks_arena_format(draft->arena, "%s, a rating whose scale is not stated", text);
  size_t n = strlen(text);
  text = cks_arena_format(draft->arena, "%.*s.", (int)(n && text[n - 1] == ',' ? n - 1 : n), text);
  return cks_draft_sentence(draft, text, cks_strips_basis(draft, trait));
}

const char *cks_words_aside(cks_draft *draft, const cks_analysis *a)
{
  const char *about = a->method == CKS_METHOD_REML ? "" : "; no mean over places, not compared over them";
  return *a->aside
             ? cks_arena_format(draft->arena, "%s%s.", cks_words_capital(draft, cks_draft_text(draft, a->aside)), about)
             : "";
}

const char *cks_words_places(cks_draft *draft, const cks_analysis *across)
{
  return cks_words_count(draft, across->n_environment, across->n_environment == across->n_location ? "place" : "trial");
}

const char *cks_words_highest(const cks_trait_result *trait)
{
  return trait->better == CKS_BETTER_LOW ? "lowest" : "highest";
}

const char *cks_words_best(cks_draft *draft, const cks_trait_result *trait, const cks_analysis *a)
{
  return cks_arena_format(draft->arena, "%s%s%s", cks_words_highest(trait), *a->aside ? " of those ranked" : "",
                          !a->n_group ? ""
                          : *a->aside ? " in its group"
                                      : " of its group");
}
