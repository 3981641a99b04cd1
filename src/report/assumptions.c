/*
 * assumptions.c: the tests of what the analysis of variance takes for granted: a table a trait, on the researchers'
 * page; then once, in plain words, what each test can and cannot say. Nothing else in the report turns on them.
 */
#include "assumptions.h"
#include "cells.h"
#include "shown.h"
#include "words.h"

/* Levels of reading; common practice, no source. */
static const double IN_DOUBT = 0.05, CONTRADICTED = 0.01;

enum { TEST_PLACE, TEST_WHAT, TEST_NAME, TEST_STATISTIC, TEST_DF, TEST_ERROR_DF, TEST_P, TEST_SAYS, TEST_COLUMNS };
static const struct {
  const char *key, *label, *narrow;
} columns[TEST_COLUMNS] = {
    {"place", "place", NULL}, {"assumption", "assumption", NULL},
    {"test", "test", NULL},   {"statistic", "statistic", "stat-\nistic"},
    {"df", "df", NULL},       {"error_df", "error df", "error\ndf"},
    {"p", "p", NULL},         {"says", "what it says", NULL},
};

/* What each test can and cannot say, in the order of cks_assumption_kind. */
static const char *const explained[CKS_ASSUMPTION_KINDS] = {
    [CKS_ASSUME_ADDITIVE] =
        "Tukey one df: do hybrids differ by more in the better reps than in the poorer ones, or by less? It sees no "
        "other kind of non-additivity, and one odd plot can set it off: look at plots that stand out first. Where it "
        "contradicts, the differences between hybrids depend on the rep, and the LSD of the place is one for reps "
        "halfway between.",
    [CKS_ASSUME_NORMAL] =
        "Shapiro-Wilk: do the residuals look like draws from a normal distribution? Residuals of blocks are not "
        "independent (those of a hybrid, and those of a rep, add up to zero), so the test finds less than it would in "
        "independent values, and with two reps, where the residuals of a hybrid mirror each other, it cannot see "
        "skewness at all. F and t bear moderate departures well; single plots that stand out do more harm. Ratings and "
        "counts move in steps and cannot be normal to the letter.",
    [CKS_ASSUME_BARTLETT] =
        "Bartlett: have the places one error variance? It takes the errors as normal; where they are not it says the "
        "same, and cannot tell the two apart. With few error df at a place only large differences are seen.",
    [CKS_ASSUME_LEVENE] =
        "Levene corrected: the same question asked of the sizes of the residuals; it minds less whether errors are "
        "normal. The residuals of a place are not independent, so F is brought down to what they are worth. With two "
        "reps and few hybrids it still rejects too readily: of 100 series with one variance some 8 at 8 hybrids and "
        "13 at 4, where 5 are meant.",
};

static size_t n_analyses(const cks_trait_result *t) { return t->n_location + 1; }
/* Across first, then the places; NULL: there is none. */
static const cks_analysis *analysis_at(const cks_trait_result *t, size_t i)
{
  return i == 0 ? t->across : &t->location[i - 1];
}

static const char *reading(const cks_assumption *t)
{
  if (cks_is_missing(t->p)) return t->why;
  return t->p <= CONTRADICTED ? "contradicted" : t->p <= IN_DOUBT ? "in doubt" : "no sign against it";
}

static cks_cell statistic_cell(cks_draft *draft, const cks_assumption *t)
{
  if (cks_is_missing(t->statistic)) return cks_cell_none();
  return cks_cell_number(draft, t->statistic, t->kind == CKS_ASSUME_NORMAL ? 4 : 2); /* W lies between 0 and 1 */
}

static void put_row(cks_draft *draft, cks_report_table *table, size_t row, const char *place, const cks_assumption *t)
{
  cks_cell_put(table, row, TEST_PLACE, cks_cell_text(place));
  cks_cell_put(table, row, TEST_WHAT, cks_cell_text(t->what));
  cks_cell_put(table, row, TEST_NAME, cks_cell_text(t->test));
  cks_cell_put(table, row, TEST_STATISTIC, statistic_cell(draft, t));
  cks_cell_put(table, row, TEST_DF, cks_cell_df(draft, t->num_df));
  cks_cell_put(table, row, TEST_ERROR_DF, cks_cell_df(draft, t->den_df));
  cks_cell_put(table, row, TEST_P, cks_cell_p(draft, t->p));
  cks_cell_put(table, row, TEST_SAYS, cks_cell_text(reading(t)));
}

static const cks_assumption *find(const cks_analysis *a, cks_assumption_kind kind)
{
  for (size_t k = 0; a && k < a->n_assumption; k++)
    if (a->assumption[k].kind == kind) return &a->assumption[k];
  return NULL;
}

/* What unequal error variances mean for the figures across places; "" when nothing speaks for them. */
static const char *unequal_words(cks_draft *draft, const cks_trait_result *t)
{
  const cks_assumption *bartlett = find(t->across, CKS_ASSUME_BARTLETT), *levene = find(t->across, CKS_ASSUME_LEVENE);
  if (!bartlett || !(bartlett->p < CONTRADICTED)) return "";
  const char *second = "";
  if (levene && !cks_is_missing(levene->p))
    second =
        cks_arena_format(draft->arena, " Levene's test, which minds that less, %s (%s).",
                         levene->p <= IN_DOUBT ? "says the same" : "does not see it", cks_words_p(draft, levene->p));
  const cks_analysis *across = cks_shown_at(t, CKS_NONE);
  bool own = draft->settings->error_by_location && across && across->method == CKS_METHOD_REML;
  const char *means =
      own      ? "In the mean over places each has an error variance of its own, so that they are weighed by their "
                 "precision."
      : across ? "The mean over places takes one error variance for all of them, the rough and the precise alike, and "
                 "nothing was changed: --error-variance location weighs them by their precision."
               : "There is no mean over places here; each place is judged by its own error.";
  return cks_arena_format(
      draft->arena,
      "The places differ in precision (Bartlett's test of their error MS, %s), or the errors are not "
      "normal: this test cannot tell which.%s %s",
      cks_words_p(draft, bartlett->p), second, means);
}

void cks_assumptions_add(cks_draft *draft, cks_section *section, const cks_trait_result *t)
{
  size_t n = 0, row = 0;
  for (size_t i = 0; i < n_analyses(t); i++) n += analysis_at(t, i) ? analysis_at(t, i)->n_assumption : 0;
  if (n == 0) return;
  cks_report_table *table = cks_draft_table(
      draft, cks_arena_format(draft->arena, "assumptions-%s", t->key),
      cks_arena_format(draft->arena, "%s: what the analysis takes for granted", cks_words_capital(draft, t->label)),
      TEST_COLUMNS, n, 0);
  if (!table) return;
  for (size_t c = 0; c < TEST_COLUMNS; c++) {
    bool text = c <= TEST_NAME || c == TEST_SAYS;
    table->column[c] = (cks_report_column){.key = columns[c].key,
                                           .label = columns[c].label,
                                           .narrow = columns[c].narrow,
                                           .unit = "",
                                           .group = "",
                                           .align = (int8_t)(text ? -1 : 1),
                                           .row_label = c <= TEST_WHAT};
  }
  for (size_t i = 0; i < n_analyses(t); i++) {
    const cks_analysis *a = analysis_at(t, i);
    for (size_t k = 0; a && k < a->n_assumption; k++)
      put_row(draft, table, row++, i == 0 ? "all places" : cks_draft_text(draft, a->label), &a->assumption[k]);
  }
  table->caption =
      cks_draft_line(draft, t->arcsine ? "Tested on the angle whose sine is the root of the proportion." : "",
                     unequal_words(draft, t));
  cks_draft_table_add(draft, section, table);
}

void cks_assumptions_explain(cks_draft *draft, cks_section *section)
{
  size_t n[CKS_ASSUMPTION_KINDS] = {0}, all = 0;
  for (size_t r = 0; r < draft->results->n_trait; r++) {
    const cks_trait_result *t = &draft->results->trait[r];
    for (size_t i = 0; i < n_analyses(t); i++)
      for (size_t kind = 0; kind < CKS_ASSUMPTION_KINDS; kind++) {
        const cks_assumption *test = find(analysis_at(t, i), (cks_assumption_kind)kind);
        n[kind] += test && !cks_is_missing(test->p);
      }
  }
  for (size_t kind = 0; kind < CKS_ASSUMPTION_KINDS; kind++) all += n[kind];
  if (all == 0) return;
  cks_draft_say(draft, section, CKS_PART_PARAGRAPH,
                cks_arena_format(
                    draft->arena,
                    "What the tests of assumptions can and cannot say. They stop nothing and change nothing. \"No sign "
                    "against it\" is no proof: with few plots only coarse faults are seen, with many also such as do "
                    "no harm. Where all holds, one test in twenty is in doubt by chance; %s here.",
                    all == 1 ? "one was made" : cks_arena_format(draft->arena, "%zu were made", all)));
  for (size_t kind = 0; kind < CKS_ASSUMPTION_KINDS; kind++)
    if (n[kind]) cks_draft_say(draft, section, CKS_PART_PARAGRAPH, explained[kind]);
}
