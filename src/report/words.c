/* words.c: see words.h. */
#include "words.h"
#include "../core/utf8.h"
#include "shown.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

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
  for (const char *c = copy; *c; c++)
    if ((unsigned char)*c >= 0x80) return copy;
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

const char *cks_words_hybrid(cks_draft *draft, cks_id hybrid)
{
  return cks_draft_text(draft, draft->results->hybrid[hybrid].full);
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
  return cks_arena_format(draft->arena, "%.*s.", (int)(n && text[n - 1] == ',' ? n - 1 : n), text);
}

/* A sentence of another stage: capital first, one full stop at the end. */
static const char *as_sentence(cks_draft *draft, const char *text)
{
  size_t n = strlen(text);
  if (n == 0) return "";
  return cks_arena_format(draft->arena, "%s%s", cks_words_capital(draft, text), text[n - 1] == '.' ? "" : ".");
}

const char *cks_words_aside(cks_draft *draft, const cks_analysis *a)
{
  return *a->aside ? cks_arena_format(draft->arena, "%s; no mean over places, not compared over them.",
                                      cks_words_capital(draft, cks_draft_text(draft, a->aside)))
                   : "";
}

static const char *unprotected_words(cks_draft *draft, const cks_analysis *a)
{
  bool by_f = draft->settings->comparison == CKS_COMPARE_LSD || draft->settings->comparison == CKS_COMPARE_DUNNETT;
  if (!by_f || !cks_shown_compares(a) || a->significant || a->protected_rule) return "";
  return cks_arena_format(draft->arena, "F is not significant (%s): LSD and top group stand by request only.",
                          cks_words_p(draft, a->p));
}

/* What the places, seasons or trials of an analysis stand for. */
static const char *scope_words(const cks_analysis *a)
{
  if (!cks_shown_compares(a) || !*a->locations_as) return "";
  if (!strcmp(a->locations_as, "fixed")) return "Locations fixed: it speaks for these places only, not for others.";
  return a->n_location > 1
             ? "Locations random: it speaks for farms like these, not only for these."
             : "Seasons or trials random: it speaks for others like these at this place, not for other farms.";
}

/* Which differences count, beside the LSD's own rule. */
static const char *rule_words(cks_draft *draft, const cks_analysis *a)
{
  const char *alpha = cks_words_alpha(draft, a->alpha);
  switch (draft->settings->comparison) {
  case CKS_COMPARE_TUKEY:
    return cks_arena_format(
        draft->arena,
        "All pairs are compared at once by Tukey's test: that any two like hybrids are told apart has "
        "a chance of %s at most.",
        alpha);
  case CKS_COMPARE_BONFERRONI:
    return cks_arena_format(
        draft->arena,
        "All pairs are compared at once by Bonferroni's t: that any two like hybrids are told apart "
        "has a chance of %s at most.",
        alpha);
  case CKS_COMPARE_DUNNETT:
    return "Above and below a check stand by Dunnett's test, all hybrids with that check at once.";
  default:
    return "";
  }
}

/* Level, error df and design; the rule; unequal SEDs. */
static const char *comparison_words(cks_draft *draft, const cks_trait_result *trait, const cks_analysis *a)
{
  const char *word = cks_shown_distance_word(draft);
  const char *text =
      cks_arena_format(draft->arena, "%s at alpha %s with %.4g error df", word, cks_words_alpha(draft, a->alpha),
                       cks_is_missing(a->lsd_df) ? a->den_df : a->lsd_df);
  if (cks_is_missing(a->lsd_df) && cks_is_missing(a->den_df))
    text = cks_arena_format(draft->arena, "%s at alpha %s", word, cks_words_alpha(draft, a->alpha));
  if (*a->design) text = cks_arena_format(draft->arena, "%s; %s", text, a->design);
  text = cks_arena_format(draft->arena, "%s.", text);
  if (a->protected_rule) text = cks_draft_sentence(draft, text, "An LSD is given only where F finds differences.");
  text = cks_draft_sentence(draft, text, rule_words(draft, a));
  text = cks_draft_sentence(draft, text, unprotected_words(draft, a));
  if (!cks_is_missing(cks_shown_distance_value(draft, trait, a)) && !a->equal_sed)
    text =
        cks_draft_sentence(draft, text,
                           cks_arena_format(draft->arena,
                                            "Pairs differ in precision: the %s is the mean one; SED from %s to %s, and "
                                            "each pair is judged by its own.",
                                            word, cks_words_number(draft, a->sed_min, trait->digits + 1),
                                            cks_words_number(draft, a->sed_max, trait->digits + 1)));
  return text;
}

const char *cks_words_test(cks_draft *draft, const cks_trait_result *trait, const cks_analysis *a)
{
  const char *text = "";
  if (cks_shown_compares(a)) text = comparison_words(draft, trait, a);
  if (trait->arcsine && cks_shown_compares(a))
    text = cks_draft_sentence(draft, text,
                              "Percentages were tested on another scale, the angle whose sine is the root of the "
                              "proportion, so no LSD in percent is printed.");
  else if (*a->lsd_why && !cks_shown_none_found(a) && cks_is_missing(cks_shown_distance_value(draft, trait, a)))
    text = cks_draft_sentence(draft, text, cks_arena_format(draft->arena, "No LSD: %s.", a->lsd_why));
  text = cks_draft_sentence(draft, text, scope_words(a));
  text = cks_draft_sentence(draft, text, as_sentence(draft, a->why));
  return cks_draft_sentence(draft, text, as_sentence(draft, a->note));
}

const char *cks_words_places(cks_draft *draft, const cks_analysis *across)
{
  return cks_words_count(draft, across->n_environment, across->n_environment == across->n_location ? "place" : "trial");
}

/* The line of an interaction of hybrids with the smallest p; NULL when none was tested. */
static const cks_anova_line *surest_interaction(const cks_analysis *a)
{
  const cks_anova_line *surest = NULL;
  for (size_t i = 0; i < a->n_anova; i++) {
    const cks_anova_line *line = &a->anova[i];
    if (strncmp(line->source, "hybrid x ", 9) || cks_is_missing(line->p)) continue;
    if (!surest || line->p < surest->p) surest = line;
  }
  return surest;
}

/* "No proof" takes all interactions: hybrid x environment may hold what hybrid x location does not. */
const char *cks_words_interaction(cks_draft *draft, const cks_analysis *a)
{
  const cks_anova_line *line = surest_interaction(a);
  if (!line && cks_shown_compares(a) && !strcmp(a->locations_as, "fixed") && a->n_environment > 1)
    return "Whether hybrids answer differently from place to place was not tested (plots lost or reps unequal).";
  if (!line) return "";
  const char *p = cks_words_p(draft, line->p);
  const char *over = !strcmp(line->source, "hybrid x location") ? "place to place"
                     : !strcmp(line->source, "hybrid x year") || (a->n_location == 1 && a->n_year == a->n_environment)
                         ? "year to year"
                         : "environment to environment";
  return line->p <= a->alpha
             ? cks_arena_format(
                   draft->arena,
                   "Hybrids answer differently from %s (%s %s): the best of one need not be the best of another.", over,
                   line->source, p)
             : cks_arena_format(draft->arena, "No proof that hybrids answer differently from %s (%s %s).", over,
                                line->source, p);
}

const char *cks_words_season(const cks_analysis *a)
{
  if (a->n_location == 1 && a->n_environment > 1) return "One place only: it says nothing of other farms.";
  if (a->n_year > 2) return "";
  if (a->n_year == 2) return "Two years say little about a third.";
  return a->n_environment > 1
             ? "This season only: one year; a second year often changes the order."
             : "One place in one year is weak evidence; another place or year often changes the order.";
}

/* The environment of the plot whose value of the trait stands in a line of a file; CKS_NONE when none does. */
static cks_id environment_at(const cks_trial *trial, const cks_trait *trait, const cks_where *where)
{
  for (size_t i = 0; i < trial->n_plot; i++) {
    cks_where at = cks_trial_where(trial, trait, i);
    if (at.file == where->file && at.line == where->line) return trial->environment_of[i];
  }
  return CKS_NONE;
}

static size_t standing_out(const cks_draft *draft, const cks_trait_result *trait, cks_id environment)
{
  size_t n = 0;
  for (size_t i = 0; i < draft->findings->n; i++) {
    const cks_finding *f = &draft->findings->finding[i];
    if (f->rule != CKS_RULE_OUTLIER || strcmp(f->heading, trait->label)) continue;
    n += environment == CKS_NONE ||
         environment_at(draft->trial, &draft->trial->trait[trait->trait], &f->where) == environment;
  }
  return n;
}

const char *cks_words_doubts(cks_draft *draft, const cks_trait_result *trait, const cks_analysis *a)
{
  enum { FEW_DF = 6 }; /* below it the error is known too badly to lean on: common practice, no source */
  const char *text = "";
  size_t n = standing_out(draft, trait, a->environment);
  if (n == 1)
    text = cks_arena_format(
        draft->arena, "1 plot of %s lies far from the others of its hybrid and is still in: look at the field book.",
        trait->label);
  else if (n)
    text = cks_arena_format(
        draft->arena,
        "%zu plots of %s lie far from the others of their hybrids and are still in: look at the field book.", n,
        trait->label);
  if (trait->role == CKS_ROLE_YIELD && a->cv_pct > draft->settings->cv_limit)
    text = cks_draft_sentence(
        draft, text,
        cks_arena_format(draft->arena, "The CV is above %.6g %%: the plots were uneven; take all of it with caution.",
                         draft->settings->cv_limit));
  text = cks_draft_sentence(draft, text, cks_words_aside(draft, a));
  text = cks_draft_sentence(draft, text, as_sentence(draft, a->apart));
  text = cks_draft_sentence(draft, text, unprotected_words(draft, a));
  if (cks_shown_compares(a) && trait->measure == CKS_MEASURE_RATING)
    text = cks_draft_sentence(draft, text, "A rating is no measurement: read small differences with care.");
  if (a->environment == CKS_NONE && !strcmp(a->locations_as, "fixed"))
    text = cks_draft_sentence(draft, text,
                              a->n_year > 1 ? "Said of these places only, not of other farms."
                                            : "Said of these places in this season only, not of other farms or years.");
  if (a->environment == CKS_NONE && cks_shown_compares(a) && a->reps == 1)
    text = cks_draft_sentence(draft, text,
                              "One plot a hybrid at each place: how hybrids change from place to place is the error.");
  if (cks_shown_compares(a) && a->den_df < FEW_DF)
    text = cks_draft_sentence(
        draft, text,
        cks_arena_format(
            draft->arena,
            "Few plots stand behind the error (%.2g degree%s of freedom): weak evidence, whatever it says.", a->den_df,
            a->den_df == 1 ? "" : "s"));
  return text;
}
