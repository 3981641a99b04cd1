/*
 * methods.c: methods and cautions in plain words, each with its published source, and only those that were used: one
 * table of texts, each with the use that prints it. The uses are collected from the results first.
 */
#include "cells.h"
#include "sections.h"
#include "shown.h"
#include "words.h"

#include <string.h>

enum {
  USE_ALWAYS = 1 << 0,
  USE_FIT = 1 << 1,  /* any analysis of variance */
  USE_LOST = 1 << 2, /* adjusted for lost plots, or unequal replication */
  USE_PROTECTED = 1 << 3,
  USE_UNPROTECTED = 1 << 4,
  USE_TOP = 1 << 5,
  USE_LETTERS = 1 << 6,
  USE_RANDOM = 1 << 7, /* across, locations random */
  USE_FIXED = 1 << 8,
  USE_ARCSINE = 1 << 9,
  USE_RATING = 1 << 10,
  USE_MEANS = 1 << 11,
  USE_NOT_ACROSS = 1 << 12,
  USE_CHECK = 1 << 13,
  USE_CV = 1 << 14,
  USE_REPEAT = 1 << 15,
  USE_OUTLIER = 1 << 16,
  USE_WEIGHTS = 1 << 17, /* yield from plot weights */
  USE_ONE_SEASON = 1 << 18,
  USE_NO_END = 1 << 19, /* a trait without a good end */
  USE_COMPONENTS = 1 << 20,
  USE_REML = 1 << 21,
  USE_SEASONS = 1 << 22 /* across seasons or trials of one place */
};

typedef struct {
  uint32_t use;
  const char *what, *text, *source;
} method;

static const method methods[] = {
    {USE_FIT, "analysis of variance",
     "At each place every trait is fitted by least squares as rep plus hybrid (hybrid alone where no reps are given); "
     "hybrids are "
     "tested against what is left, the plot error.",
     "R. A. Fisher, The Design of Experiments, 1935; W. G. Cochran and G. M. Cox, Experimental Designs, 2nd ed. 1957, "
     "ch. 4"},
    {USE_LOST, "lost plots and unequal reps",
     "Hybrids are adjusted for the reps in which they stood, and every rep counts alike in an adjusted mean. Each pair "
     "of hybrids has "
     "its own standard error of a difference (SED); the LSD printed is the mean one.",
     "S. R. Searle, Linear Models, 1971, ch. 7"},
    {USE_PROTECTED, "LSD",
     "The least significant difference: two means further apart differ at the level printed. It is given only where "
     "the F test finds "
     "that hybrids differ at all; elsewhere it reads NS, nothing is ranked and all hybrids are in the top group.",
     "R. A. Fisher, The Design of Experiments, 1935; R. G. D. Steel and J. H. Torrie, Principles and Procedures of "
     "Statistics, 2nd "
     "ed. 1980, ch. 8"},
    {USE_UNPROTECTED, "LSD without the F test",
     "By request the LSD is given whether or not the F test finds differences. With many hybrids some will then seem "
     "to differ by "
     "chance.",
     "R. G. D. Steel and J. H. Torrie, Principles and Procedures of Statistics, 2nd ed. 1980, ch. 8"},
    {USE_TOP, "top group",
     "All hybrids not different from the best by the LSD, each comparison by itself. A hybrid truly as good as the "
     "best can be left "
     "out by chance, more often so where many are compared. The order within the group is not a finding.",
     "the usual practice of state trial bulletins, among them Georgia Agr. Exp. Stn. Research Report 697, 2004"},
    {USE_LETTERS, "letters", "Two hybrids share a letter when, and only when, they are not different.",
     "H.-P. Piepho, J. Comput. Graph. Stat. 13:456, 2004"},
    {USE_CHECK, "comparison with a check",
     "Percent of check is a ratio of means and no test. Above or below stands only where the difference from that "
     "check passes the LSD "
     "rule; blank means that the data cannot tell. Checks are never averaged.",
     "R. G. D. Steel and J. H. Torrie, Principles and Procedures of Statistics, 2nd ed. 1980, ch. 8"},
    {USE_RANDOM, "across places, locations random",
     "Every hybrid stood at every place. The places are taken as a sample of the farms that a grower may have, so "
     "hybrids are tested "
     "against hybrid x location.",
     "M. S. McIntosh, Agron. J. 75:153, 1983"},
    {USE_SEASONS, "across seasons or trials of one place",
     "The seasons or trials are taken as a sample of those that this place may have, so hybrids are tested against "
     "hybrid x environment. It says nothing of other farms.",
     "M. S. McIntosh, Agron. J. 75:153, 1983"},
    {USE_FIXED, "across places, locations fixed",
     "By request the answer is for these places only: in one season hybrids are tested against the pooled plot error, "
     "over several years against hybrid x year. It says nothing of other farms.",
     "M. S. McIntosh, Agron. J. 75:153, 1983"},
    {USE_REML, "mixed model", "Fitted by residual maximum likelihood.",
     "H. D. Patterson and R. Thompson, Biometrika 58:545, 1971"},
    {USE_NOT_ACROSS, "nothing across places",
     "Where hybrids are missing at some places, or plots were lost, places cannot be put together by simple averages: "
     "a hybrid would "
     "gain from having stood at the better places. So no mean over places is shown.",
     "F. Yates and W. G. Cochran, J. Agric. Sci. 28:556, 1938"},
    {USE_COMPONENTS, "components of variance",
     "From the expected mean squares. A component estimated below zero is no proof that it is zero.",
     "S. R. Searle, Linear Models, 1971, ch. 9"},
    {USE_REPEAT, "repeatability",
     "The share of the variation among means that would be found again: 1 - 1/F, not below 0. Of one place it is meant "
     "within that "
     "place and season.",
     "D. S. Falconer, Introduction to Quantitative Genetics, 2nd ed. 1981, ch. 8"},
    {USE_CV, "CV %",
     "100 x the root of the error mean square over the mean of the plots. It measures the noise of a trial, chiefly in "
     "yield; it flags "
     "and never drops a place.",
     "G. W. Snedecor and W. G. Cochran, Statistical Methods, 6th ed. 1967, ch. 2"},
    {USE_ARCSINE, "percentages",
     "Counts out of a whole vary least near 0 and 100 %. Where plots lie there the test is made on the angle whose "
     "sine is the root of "
     "the proportion; means are shown in percent, and no LSD, because none in percent would be true.",
     "M. S. Bartlett, Biometrics 3:39, 1947"},
    {USE_RATING, "ratings",
     "A rating is a judgment on a scale of steps, analyzed as if the steps were equal. One without a stated good end "
     "is averaged and "
     "never ranked.",
     "G. W. Snedecor and W. G. Cochran, Statistical Methods, 6th ed. 1967, ch. 11"},
    {USE_NO_END, "traits without a good end",
     "Days to mid-bloom, moisture, height and the like are neither better high nor low for everybody: they are never "
     "ranked.",
     ""},
    {USE_MEANS, "means only",
     "One plot a hybrid, or no error to judge by: means are shown in order of name, nothing is compared and nothing "
     "ranked.",
     ""},
    {USE_OUTLIER, "plots that stand out",
     "A plot is named when its studentized deleted residual passes the Bonferroni limit at 0.05 for all plots of the "
     "place. It is never "
     "dropped; look at the paper.",
     "R. D. Cook and S. Weisberg, Residuals and Influence in Regression, 1982, ch. 2"},
    {USE_WEIGHTS, "yield from plot weights",
     "Plot weight restated at standard moisture, wet basis, over the harvested area: weight x (100 - moisture) / (100 "
     "- standard).",
     "common practice"},
    {USE_ONE_SEASON, "one season",
     "All data are of one year. Weather makes hybrids change places; what holds this season may not hold the next.",
     ""},
    {USE_ALWAYS, "rounding",
     "Nothing is rounded before the last step; a mean just at the limit of the LSD is inside the top group.", ""},
};
enum { N_METHODS = sizeof methods / sizeof *methods };

const char *cks_methods_caution(const cks_trait_result *t)
{
  if (t->measure == CKS_MEASURE_RATING && t->better == CKS_BETTER_NONE)
    return "A rating without a stated good end: averaged, never ranked.";
  if (t->measure == CKS_MEASURE_RATING)
    return "A rating: its steps are taken as equal, so read small differences with care.";
  return t->better == CKS_BETTER_NONE ? "Neither end of this trait is the good one: it is not ranked." : "";
}

static uint32_t uses_of_analysis(const cks_trait_result *t, const cks_analysis *a)
{
  uint32_t use = a->method == CKS_METHOD_MEANS ? USE_MEANS : 0;
  if (a->method == CKS_METHOD_NONE && a->environment == CKS_NONE) use |= USE_NOT_ACROSS;
  if (a->method == CKS_METHOD_REML) use |= USE_REML;
  if (!cks_shown_compares(a)) return use;
  use |= USE_FIT | (a->protected_rule ? USE_PROTECTED : USE_UNPROTECTED);
  if (!a->equal_sed) use |= USE_LOST;
  if (cks_shown_top(t, a)) use |= USE_TOP;
  for (size_t i = 0; i < a->n_hybrid; i++) use |= a->hybrid[i].group ? USE_LETTERS : 0;
  if (!strcmp(a->locations_as, "random")) use |= a->n_location > 1 ? USE_RANDOM : USE_SEASONS;
  if (!strcmp(a->locations_as, "fixed")) use |= USE_FIXED;
  if (a->n_variance) use |= USE_COMPONENTS;
  if (!cks_is_missing(a->repeatability)) use |= USE_REPEAT;
  if (!cks_is_missing(a->cv_pct)) use |= USE_CV;
  return use;
}

static uint32_t uses_of_trait(const cks_trait_result *t)
{
  uint32_t use = 0;
  if (t->arcsine) use |= USE_ARCSINE;
  if (t->measure == CKS_MEASURE_RATING) use |= USE_RATING;
  if (t->better == CKS_BETTER_NONE && t->measure != CKS_MEASURE_RATING) use |= USE_NO_END;
  if (t->role == CKS_ROLE_YIELD && strstr(t->basis_text, "weight")) use |= USE_WEIGHTS;
  for (size_t i = 0; i < t->n_location; i++) use |= uses_of_analysis(t, &t->location[i]);
  return t->across ? use | uses_of_analysis(t, t->across) : use;
}

static bool one_season(const cks_trial *trial)
{
  for (size_t i = 1; i < trial->n_environment; i++)
    if (trial->environment[i].year != trial->environment[0].year) return false;
  return true;
}

static uint32_t uses(const cks_draft *draft)
{
  uint32_t use = USE_ALWAYS;
  for (size_t i = 0; i < draft->results->n_trait; i++) use |= uses_of_trait(&draft->results->trait[i]);
  if (draft->results->n_check) use |= USE_CHECK;
  if (one_season(draft->trial)) use |= USE_ONE_SEASON;
  if (cks_words_found(draft, CKS_RULE_OUTLIER)) use |= USE_OUTLIER;
  return use;
}

void cks_methods_add(cks_draft *draft)
{
  uint32_t use = uses(draft);
  size_t n = 0, row = 0;
  for (size_t i = 0; i < N_METHODS; i++) n += (methods[i].use & use) != 0;
  cks_section *section = cks_draft_section(draft, "methods", "Methods", CKS_FOR_ALL);
  section->new_page = true;
  cks_draft_say(draft, section, CKS_PART_HEADING, "Methods and cautions: only those that were used");
  cks_report_table *table = cks_draft_table(draft, "methods", "", 2, n, 0);
  if (!table) return;
  table->column[0] =
      (cks_report_column){.key = "method", .label = "method", .unit = "", .group = "", .align = -1, .row_label = true};
  table->column[1] = (cks_report_column){
      .key = "text", .label = "what was done, and the source", .unit = "", .group = "", .align = -1};
  for (size_t i = 0; i < N_METHODS; i++) {
    const method *m = &methods[i];
    if (!(m->use & use)) continue;
    cks_cell_put(table, row, 0, cks_cell_text(m->what));
    cks_cell_put(table, row++, 1,
                 cks_cell_text(*m->source ? cks_arena_format(draft->arena, "%s [%s]", m->text, m->source) : m->text));
  }
  cks_draft_table_add(draft, section, table);
}
