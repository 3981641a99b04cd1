/*
 * methods.c: methods and cautions in plain words, each with its published source, and only those that were used: one
 * table of texts, each with the use that prints it. The uses are collected from the results first.
 */
#include "cells.h"
#include "sections.h"
#include "shown.h"
#include "words.h"

#include <string.h>

typedef enum {
  USE_ALWAYS,
  USE_FIT,
  USE_LOST, /* adjusted for lost plots, or unequal replication */
  USE_PROTECTED,
  USE_UNPROTECTED,
  USE_TOP,
  USE_TOP_AT_ONCE, /* by Tukey or Bonferroni */
  USE_LETTERS,
  USE_RANDOM, /* across, locations random */
  USE_FIXED,
  USE_ASIDE, /* hybrids in too few environments */
  USE_ARCSINE,
  USE_RATING,
  USE_MEANS,
  USE_NOT_ACROSS,
  USE_CHECK,
  USE_CV,
  USE_REPEAT,
  USE_OUTLIER,
  USE_WEIGHTS, /* yield from plot weights */
  USE_FORAGE,  /* yields of a forage */
  USE_SEASON,  /* several cuts */
  USE_ONE_SEASON,
  USE_NO_END, /* a trait without a good end */
  USE_COMPONENTS,
  USE_REML,
  USE_MIXED,  /* a series by REML */
  USE_BLOCKS, /* incomplete blocks of one place */
  USE_KENWARD_ROGER,
  USE_SATTERTHWAITE,
  USE_SHRUNKEN,
  USE_YEARS,
  USE_SEASONS, /* across seasons or trials of one place */
  USE_ADDITIVE,
  USE_NORMAL,
  USE_BARTLETT,
  USE_LEVENE,
  USE_SQUARE,
  USE_CHECK_PLOTS,
  USE_TUKEY,
  USE_BONFERRONI,
  USE_DUNNETT,
  USE_GROUPS,
  USE_BEST, /* top group by comparisons with the best */
  USE_STRIPS_DIFFERENCE,
  USE_STRIPS_RATIO,
  USE_STRIPS_SHRUNKEN,
  USE_INTERVAL,    /* of a difference from a check */
  USE_INTERACTION, /* hybrids by environments */
  USE_VERDICT,     /* with a plot error behind it */
  USE_SLOPES,
  USE_AXES,
  USE_VERSUS,  /* head-to-head */
  USE_CALLS,   /* of days to mid-bloom */
  USE_CLASSES, /* the same */
  USE_USES     /* how many there are */
} use_of;
_Static_assert(USE_USES <= 64, "a use is a bit");

typedef struct {
  use_of use;
  const char *what, *text, *source;
} method;

#define STRIPS_SOURCE "Schmitt, Openshaw and Davis, J. Prod. Agric., 1992, as summarized by Roth, Penn State"

static const method methods[] = {
    {USE_FIT, "analysis of variance",
     "At each place every trait is fitted by least squares as rep plus hybrid (hybrid alone where no reps are given); "
     "hybrids are "
     "tested against what is left, the plot error.",
     "R. A. Fisher, The Design of Experiments, 1935; W. G. Cochran and G. M. Cox, Experimental Designs, 2nd ed. 1957, "
     "ch. 4"},
    {USE_SQUARE, "latin square",
     "Each hybrid stands once in each row and once in each column, so rows and columns both come out of the error. "
     "With "
     "plots lost, means are adjusted for both by least squares. Any other rows and columns are positions only.",
     "R. A. Fisher, The Design of Experiments, 1935, ch. 5; W. G. Cochran and G. M. Cox, Experimental Designs, 2nd ed. "
     "1957, ch. 4"},
    {USE_CHECK_PLOTS, "single plots with repeated checks",
     "Entries stand in one plot each, so the error is that of the check plots alone: what is left when checks and "
     "blocks "
     "are taken out, or, without blocks, the spread of each check's plots about their mean. It is taken to hold for "
     "the "
     "entries too, and gives the standard error of a difference, on 6 df or more. Single plots are never ranked.",
     "W. T. Federer, Hawaiian Planters' Record 55:191, 1956"},
    {USE_STRIPS_DIFFERENCE, "strips adjusted by difference",
     "By request the yield of an entry's strip is lowered by what the check would have yielded there, and raised by "
     "the "
     "check's mean at the place. Between two strips of the check a straight line says what it would have yielded, "
     "beyond the last one that strip. Checks stay as they are. The adjustment brings the error of the check strips "
     "into each entry, and made 14 of 19 strip trials noisier.",
     STRIPS_SOURCE},
    {USE_STRIPS_RATIO, "strips adjusted by ratio",
     "By request the yield of an entry's strip is divided by what the check would have yielded there, and multiplied "
     "by "
     "the check's mean at the place. Between two strips of the check a straight line says what it would have yielded, "
     "beyond the last one that strip. Checks stay as they are. The adjustment brings the error of the check strips "
     "into each entry, and made 14 of 19 strip trials noisier.",
     STRIPS_SOURCE},
    {USE_STRIPS_SHRUNKEN, "strips adjusted by a share of the difference",
     "By request a share b of the difference between what the check would have yielded at an entry's strip (on a "
     "straight line between its strips) and its mean at the place is taken off the entry. b is the slope of an "
     "analysis "
     "of covariance with place and hybrid over all entry strips; it is used only where it is above 0 and significant, "
     "and takes one degree of freedom of the error. Checks stay as they are.",
     "S. R. Searle, Linear Models, 1971, ch. 8; " STRIPS_SOURCE},
    {USE_LOST, "lost plots and unequal reps",
     "Hybrids are adjusted for the reps in which they stood, and every rep counts alike in an adjusted mean. Each pair "
     "of hybrids has "
     "its own standard error of a difference (SED); the LSD or MSD printed is the mean one.",
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
    {USE_TUKEY, "Tukey's test of all pairs",
     "The minimum significant difference (MSD) is that of the studentized range: the chance that any two hybrids of "
     "like "
     "worth are told apart, over all pairs together, is the level printed. It needs no F test.",
     "J. W. Tukey, The Problem of Multiple Comparisons, 1953; C. Y. Kramer, Biometrics 12:307, 1956; M. D. Copenhaver "
     "and B. Holland, J. Stat. Comput. Simul. 30:1, 1988"},
    {USE_BONFERRONI, "Bonferroni's t for all pairs",
     "Each pair is tested at the level printed over the number of pairs, so that the chance of telling any two hybrids "
     "of like worth apart is at most that level. It needs no F test, and misses more than Tukey's test does.",
     "O. J. Dunn, J. Am. Stat. Assoc. 56:52, 1961"},
    {USE_DUNNETT, "Dunnett's test against a check",
     "All hybrids are compared with one check at once: the chance that any hybrid like the check is called above or "
     "below it is the level printed. It needs no F test. Where lost plots make the comparisons unlike, Sidak's t "
     "stands for it.",
     "C. W. Dunnett, J. Am. Stat. Assoc. 50:1096, 1955; Z. Sidak, J. Am. Stat. Assoc. 62:626, 1967"},
    {USE_BEST, "top group by comparisons with the best",
     "A hybrid is left out only where the best other mean is further above its own than Dunnett's one-sided value for "
     "all hybrids: that the truly best one is left out has a chance of at most the level printed.",
     "J. C. Hsu, Ann. Stat. 12:1136, 1984"},
    {USE_TOP, "top group",
     "All hybrids not different from the best by the LSD, each comparison by itself. A hybrid truly as good as the "
     "best can be left out by chance, more often so where many are compared. The order within the group is not a "
     "finding.",
     "the usual practice of state trial bulletins, among them Georgia Agr. Exp. Stn. Research Report 697, 2004"},
    {USE_TOP_AT_ONCE, "top group by a test of all pairs",
     "All hybrids that the test does not tell from the best. It is wider than by the LSD: fewer that are as good as "
     "the "
     "best are left out, and more that are not are kept. The order within the group is not a finding.",
     ""},
    {USE_GROUPS, "ranked within groups",
     "All plots are in one analysis, so the error is that of all. Within a group F is that of its own hybrids over "
     "that "
     "error, and rank, letters, top group and LSD follow from it alone: that groups differ says nothing of two hybrids "
     "of one group. Each group is tested at the level printed by itself, so among many groups of like hybrids some "
     "will "
     "seem to differ. Tests of all pairs count the group's own. A check is compared with all hybrids; with those of "
     "its "
     "own group only where that group's F finds differences too.",
     "S. R. Searle, Linear Models, 1971, ch. 3; R. G. D. Steel and J. H. Torrie, Principles and Procedures of "
     "Statistics, 2nd ed. 1980, ch. 8"},
    {USE_LETTERS, "letters", "Two hybrids share a letter when, and only when, they are not different.",
     "H.-P. Piepho, J. Comput. Graph. Stat. 13:456, 2004"},
    {USE_CHECK, "comparison with a check",
     "Percent of check is a ratio of means and no test. Above or below stands only where the difference from that "
     "check passes the "
     "comparison in use; blank means that the data cannot tell. Checks are never averaged.",
     "R. G. D. Steel and J. H. Torrie, Principles and Procedures of Statistics, 2nd ed. 1980, ch. 8"},
    {USE_INTERVAL, "interval of a difference from a check",
     "The difference less and plus the critical value of the comparison in use times the pair's own SED: by the LSD "
     "each interval is of that one comparison, and of many some miss by chance; by Dunnett's, Tukey's or Bonferroni's "
     "value they hold together. It stands whether or not F finds differences. In percent tested on another scale there "
     "is none.",
     "R. G. D. Steel and J. H. Torrie, Principles and Procedures of Statistics, 2nd ed. 1980, ch. 5 and 8"},
    {USE_RANDOM, "across places, locations random",
     "Every hybrid compared stood at every place. The places are taken as a sample of the farms that a grower may "
     "have, so "
     "hybrids are tested "
     "against hybrid x location.",
     "M. S. McIntosh, Agron. J. 75:153, 1983"},
    {USE_ASIDE, "hybrids at few places",
     "A hybrid in a smaller share of the environments than --min-environments asks for (half, if not given) is listed "
     "after the others and not ranked. Of a balanced table it has no mean, and the others are analyzed as if its plots "
     "were "
     "not there. In a mixed model its plots count, and its mean is adjusted to the same places as those of the others. "
     "At "
     "each place it is compared as all hybrids are.",
     "our own rule"},
    {USE_YEARS, "means of the last years",
     "Of the places that were there in each of the years, and the hybrids that stood in all of those trials: so all "
     "means of a column stand on the same seasons and places. Over several places hybrids are tested against hybrid x "
     "location and hybrid x year together, less hybrid x environment; at one place against hybrid x year.",
     "F. E. Satterthwaite, Biometrics Bull. 2:110, 1946; M. S. McIntosh, Agron. J. 75:153, 1983"},
    {USE_SEASONS, "across seasons or trials of one place",
     "The seasons or trials are taken as a sample of those that this place may have, so hybrids are tested against "
     "hybrid x environment. It says nothing of other farms.",
     "M. S. McIntosh, Agron. J. 75:153, 1983"},
    {USE_FIXED, "across places, locations fixed",
     "By request the answer is for these places only: in one season hybrids are tested against the pooled plot error, "
     "over several years against hybrid x year. It says nothing of other farms.",
     "M. S. McIntosh, Agron. J. 75:153, 1983"},
    {USE_MIXED, "across places, not balanced: a mixed model",
     "Hybrids missing at some places, lost plots, unequal reps, or incomplete blocks: hybrid and environment are fixed "
     "(the "
     "environment random by request), hybrid x environment, reps and blocks are random, with several years hybrid x "
     "location "
     "and hybrid x year too. A mean is adjusted as if the hybrid had stood at all places. Terms that the plots cannot "
     "tell "
     "apart are left out.",
     "H. D. Patterson and R. Thompson, Biometrika 58:545, 1971; M. S. McIntosh, Agron. J. 75:153, 1983"},
    {USE_BLOCKS, "incomplete blocks",
     "Reps and hybrids are fixed, blocks inside reps random, so that what blocks say of hybrids is used as well. The "
     "table "
     "beside it is the intrablock one, blocks fixed. Efficiency: 100 x the mean variance of a difference by reps alone "
     "over "
     "that of this analysis.",
     "W. G. Cochran and G. M. Cox, Experimental Designs, 2nd ed. 1957, ch. 9 to 11; H. D. Patterson and R. Thompson, "
     "Biometrika 58:545, 1971"},
    {USE_REML, "components of a mixed model",
     "By residual maximum likelihood (REML), not below 0: a component printed 0 is at its bound, and is taken as not "
     "there. "
     "Standard errors are from the expected information (Kenward and Roger) or the observed one. The component of "
     "hybrids is "
     "that of the same model with hybrids random.",
     "H. D. Patterson and R. Thompson, Biometrika 58:545, 1971; A. R. Gilmour, R. Thompson and B. R. Cullis, "
     "Biometrics "
     "51:1440, 1995"},
    {USE_KENWARD_ROGER, "tests in a mixed model",
     "The covariance of the means is widened for the components being estimates, and each difference, and F, has its "
     "own "
     "degrees of freedom.",
     "M. G. Kenward and J. H. Roger, Biometrics 53:983, 1997"},
    {USE_SATTERTHWAITE, "tests in a mixed model",
     "Each difference has its own degrees of freedom from how well the components are known; so has F. With many "
     "hybrids the "
     "smallest of some differences stands for all.",
     "F. E. Satterthwaite, Biometrics Bull. 2:110, 1946; F. G. Giesbrecht and J. C. Burns, Biometrics 41:477, 1985; A. "
     "H. Fai "
     "and P. L. Cornelius, J. Stat. Comput. Simul. 54:363, 1996"},
    {USE_SHRUNKEN, "shrunken means",
     "With hybrids random every mean is drawn toward the general one, the more the less its plots tell; the "
     "reliability says "
     "how much is known, 1 all and 0 nothing. Repeatability is 1 less the mean variance of a difference of two "
     "predictions over "
     "twice the component of hybrids.",
     "C. R. Henderson, Applications of Linear Models in Animal Breeding, 1984; B. R. Cullis, A. B. Smith and N. E. "
     "Coombes, J. "
     "Agric. Biol. Environ. Stat. 11:381, 2006"},
    {USE_NOT_ACROSS, "nothing across places",
     "These places cannot be put together, for the reason given beside the trait: a plain average would let a hybrid "
     "gain "
     "from having stood at the better places. So no mean over places is shown.",
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
     "the proportion; means are shown in percent, and no LSD or MSD, because none in percent would be true.",
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
    {USE_ADDITIVE, "additivity (Tukey one df)",
     "The part of the error that goes with the product of hybrid and rep effects, on one degree of freedom, against "
     "the "
     "rest of the error. With lost plots the product is first freed of hybrids and reps by the same fit.",
     "J. W. Tukey, Biometrics 5:232, 1949; G. A. Milliken and F. A. Graybill, J. Am. Stat. Assoc. 65:797, 1970"},
    {USE_NORMAL, "normality (Shapiro-Wilk)",
     "Shapiro and Wilk's W of the residuals of a place, each in units of its own standard error; p by Royston's "
     "approximation, for 3 to 5000 plots.",
     "S. S. Shapiro and M. B. Wilk, Biometrika 52:591, 1965; P. Royston, Appl. Stat. 44:547, 1995"},
    {USE_BARTLETT, "equal variances (Bartlett)",
     "The error mean squares of the places, weighted by their degrees of freedom, against their pooled one.",
     "M. S. Bartlett, Proc. R. Soc. Lond. A 160:268, 1937"},
    {USE_LEVENE, "equal variances (Levene corrected)",
     "Analysis of variance of the sizes of the residuals by places. The n residuals of a place with f error df are "
     "taken "
     "as worth f + 1 independent ones: where places are alike F is Levene's times f/(n - 1), and its error df are the "
     "sum "
     "of f.",
     "H. Levene, in I. Olkin et al., Contributions to Probability and Statistics, 1960, p. 278; the correction is our "
     "own"},
    {USE_WEIGHTS, "yield from plot weights",
     "Plot weight restated at standard moisture, wet basis, over the harvested area: weight x (100 - moisture) / (100 "
     "- standard).",
     "common practice"},
    {USE_FORAGE, "forage yields",
     "Green tons an acre of each cut by its own moisture, wet basis: dry matter = green x (100 - moisture) / 100, and "
     "at a stated moisture dry matter x 100 / (100 - stated). Green tons of different moisture do not compare.",
     "common practice"},
    {USE_SEASON, "season's total",
     "The sum of a plot's cuts, each at its own moisture. A plot that lacks a cut that its place has is missing in the "
     "total and stands in the cuts that it has.",
     "common practice"},
    {USE_INTERACTION, "hybrids by environments",
     "Of the table of adjusted means, hybrids by environments: values, hybrid means and environment means by least "
     "squares "
     "where some are missing. Ecovalence, stability variance and superiority, of the complete part of the table, are "
     "figures of its hybrids among each other: another set of hybrids gives others. They say nothing of how much a "
     "hybrid "
     "yields, so each stands beside its mean.",
     "G. Wricke, Z. Pflanzenzuecht. 47:92, 1962; G. K. Shukla, Heredity 29:237, 1972; C. S. Lin and M. R. Binns, Can. "
     "J. "
     "Plant Sci. 68:193, 1988"},
    {USE_SLOPES, "slopes over the environment means",
     "The line of a hybrid's values over the environment means, each hybrid's own value in the means: its slope is "
     "tested "
     "against 1 by its own deviations. Whether slopes differ at all: their sum of squares over the pooled deviations. "
     "With "
     "missing values a line needs four.",
     "K. W. Finlay and G. N. Wilkinson, Aust. J. Agric. Res. 14:742, 1963; S. A. Eberhart and W. A. Russell, Crop Sci. "
     "6:36, 1966"},
    {USE_VERDICT, "whether one ranking serves",
     "The order changes: hybrid x environment is significant, and a pair is above in one environment and below in "
     "another, "
     "each at alpha over the number of environments times pairs. One ranking serves: the upper limit of the variance "
     "of "
     "hybrid x environment less half that of hybrids is below 0. Else, and always with one strip a farm: cannot tell. "
     "Of "
     "2,000 generated trials each (14 hybrids, 4 reps, alpha 0.05; 3, 6 and 12 environments) one ranking was said in "
     "54, 83 "
     "and 95 % where hybrids answer alike, and in 5.5, 5.0 and 5.2 % where hybrid x environment varies half as much as "
     "hybrids, which is wrong; that the order changes in 38, 76 and 98 % where it varies twice as much, in none where "
     "hybrids answer alike.",
     "our own rule; upper limits: N. Ting and others, J. Stat. Comput. Simul. 35:135, 1990"},
    {USE_CALLS, "days to mid-bloom: who holds, who shifts",
     "The slope of a hybrid's days over the environment means, own value left in, with its interval. Holds and shifts "
     "stand "
     "only where the test of unequal slopes is significant, which takes errors as equal. Of 2,000 generated trials of "
     "14 "
     "hybrids at 6, 8 and 12 environments some hybrid was called in 4.8 to 5.3 % where all slopes are equal; one of "
     "slope 0.5 "
     "held in 50, 68 and 89 %, and then some other one was called too in 34, 44 and 56 %: so each call is also tested "
     "with "
     "all hybrids at once, by the pooled deviations at alpha over the number of hybrids, and then some other one is "
     "told in 3.5, 4.4 and 5.5 %, and the one in 48, 66 and 89 %. A pair's slopes are compared "
     "by the "
     "slope of their difference, with its own deviations.",
     "K. W. Finlay and G. N. Wilkinson, Aust. J. Agric. Res. 14:742, 1963; the rule of the calls is our own"},
    {USE_CLASSES, "maturity classes",
     "By a table of days to mid-bloom: early below 60, medium 60 to 70, late above 70. It is of one state's trials: "
     "the class "
     "of a hybrid changes with place and planting date, and suppliers' words follow tables of their own.",
     "Oklahoma State University, grain sorghum performance trials, 2022"},
    {USE_AXES, "axes",
     "Singular values and vectors of the table less hybrid and environment means (the interaction), and less the "
     "environment means alone (site regression), on the basis of means. An axis takes g + e - 1 - 2n degrees of "
     "freedom. "
     "The first axis is the largest by construction, so F and p are liberal. Axes picture a table; a distance between "
     "two "
     "points is no test.",
     "H. F. Gollob, Psychometrika 33:73, 1968; J. Mandel, Technometrics 13:1, 1971"},
    {USE_VERSUS, "head-to-head",
     "Of two hybrids the differences of their adjusted means at each environment where both stood. The paired t test "
     "holds their mean against how they change from one environment to the next, each counting once; the sign test "
     "asks only how often which one was better, ties left out, and is exact. Each pair is tested by itself. Years of "
     "one place are not independent, though the tests take them as if they were.",
     "Student, Biometrika 6:1, 1908; G. W. Snedecor and W. G. Cochran, Statistical Methods, 6th ed. 1967, ch. 4 and 5"},
    {USE_ONE_SEASON, "one season",
     "All data are of one year. Weather makes hybrids change places; what holds this season may not hold the next.",
     ""},
    {USE_ALWAYS, "rounding",
     "Nothing is rounded before the last step; a mean just at the limit of the comparison is inside the top group.",
     ""},
};
enum { N_METHODS = sizeof methods / sizeof *methods };

static uint64_t bit(use_of use) { return (uint64_t)1 << use; }

const char *cks_methods_caution(const cks_trait_result *t)
{
  if (t->measure == CKS_MEASURE_RATING && t->better == CKS_BETTER_NONE)
    return "A rating without a stated good end: averaged, never ranked.";
  if (t->measure == CKS_MEASURE_RATING)
    return "A rating: its steps are taken as equal, so read small differences with care.";
  return t->better == CKS_BETTER_NONE ? "Neither end of this trait is the good one: it is not ranked." : "";
}

static uint64_t uses_of_assumptions(const cks_analysis *a)
{
  static const use_of uses_of[CKS_ASSUMPTION_KINDS] = {[CKS_ASSUME_ADDITIVE] = USE_ADDITIVE,
                                                       [CKS_ASSUME_NORMAL] = USE_NORMAL,
                                                       [CKS_ASSUME_BARTLETT] = USE_BARTLETT,
                                                       [CKS_ASSUME_LEVENE] = USE_LEVENE};
  uint64_t use = 0;
  for (size_t k = 0; k < a->n_assumption; k++)
    if (!cks_is_missing(a->assumption[k].p)) use |= bit(uses_of[a->assumption[k].kind]);
  return use;
}

static use_of rule_of(const cks_draft *draft, const cks_analysis *a)
{
  if (draft->settings->comparison == CKS_COMPARE_TUKEY) return USE_TUKEY;
  if (draft->settings->comparison == CKS_COMPARE_BONFERRONI) return USE_BONFERRONI;
  return a->protected_rule ? USE_PROTECTED : USE_UNPROTECTED;
}

static use_of top_of(const cks_analysis *a)
{
  if (!strcmp(a->top_rule, "best")) return USE_BEST;
  return !strcmp(a->top_rule, "lsd") ? USE_TOP : USE_TOP_AT_ONCE;
}

static uint64_t uses_of_analysis(const cks_draft *draft, const cks_trait_result *t, const cks_analysis *a)
{
  uint64_t use = a->method == CKS_METHOD_MEANS ? bit(USE_MEANS) : 0;
  if (a->method == CKS_METHOD_NONE && a->environment == CKS_NONE) use |= bit(USE_NOT_ACROSS);
  if (a->method == CKS_METHOD_REML) use |= bit(USE_REML) | bit(USE_SHRUNKEN);
  if (a->method == CKS_METHOD_REML) use |= bit(a->environment == CKS_NONE ? USE_MIXED : USE_BLOCKS);
  if (*a->df_method) use |= bit(*a->df_method == 'k' ? USE_KENWARD_ROGER : USE_SATTERTHWAITE);
  use |= uses_of_assumptions(a);
  if (a->method == CKS_METHOD_ANOVA && !strncmp(a->design, "single plots with", 17))
    use |= bit(USE_CHECK_PLOTS) | bit(USE_CV);
  if (!cks_shown_compares(a)) return use;
  if (!strncmp(a->design, "latin", 5)) use |= bit(USE_SQUARE);
  bool table = a->method == CKS_METHOD_ANOVA;
  use |= bit(rule_of(draft, a)) | (table ? bit(USE_FIT) : 0);
  if (draft->settings->comparison == CKS_COMPARE_DUNNETT && draft->results->n_check) use |= bit(USE_DUNNETT);
  if (!a->equal_sed && table) use |= bit(USE_LOST);
  if (cks_shown_top(t, a)) use |= bit(top_of(a));
  for (size_t i = 0; i < a->n_hybrid; i++) use |= a->hybrid[i].group ? bit(USE_LETTERS) : 0;
  if (!strcmp(a->locations_as, "random") && table) use |= a->n_location > 1 ? bit(USE_RANDOM) : bit(USE_SEASONS);
  if (!strcmp(a->locations_as, "fixed")) use |= bit(USE_FIXED);
  if (a->n_aside) use |= bit(USE_ASIDE);
  if (a->n_variance && table) use |= bit(USE_COMPONENTS);
  if (!cks_is_missing(a->repeatability)) use |= bit(USE_REPEAT);
  if (!cks_is_missing(a->cv_pct)) use |= bit(USE_CV);
  return use;
}

static uint64_t uses_of_interaction(const cks_interaction *x)
{
  uint64_t use = bit(USE_INTERACTION) | (cks_is_missing(x->f) ? 0 : bit(USE_VERDICT));
  if (x->n_axis) use |= bit(USE_AXES);
  for (size_t i = 0; i < x->n_hybrid; i++)
    if (!cks_is_missing(x->hybrid[i].slope)) use |= bit(USE_SLOPES);
  return use;
}

static uint64_t uses_of_trait(const cks_draft *draft, const cks_trait_result *t)
{
  static const use_of of_strips[] = {[CKS_STRIPS_DIFFERENCE] = USE_STRIPS_DIFFERENCE,
                                     [CKS_STRIPS_RATIO] = USE_STRIPS_RATIO,
                                     [CKS_STRIPS_SHRUNKEN] = USE_STRIPS_SHRUNKEN};
  uint64_t use = t->strips.used ? bit(of_strips[t->strips.by]) : 0;
  if (t->arcsine) use |= bit(USE_ARCSINE);
  if (t->measure == CKS_MEASURE_RATING) use |= bit(USE_RATING);
  if (t->better == CKS_BETTER_NONE && t->measure != CKS_MEASURE_RATING) use |= bit(USE_NO_END);
  if (t->role == CKS_ROLE_YIELD && strstr(t->basis_text, "weight")) use |= bit(USE_WEIGHTS);
  if (draft->trial->n_cut && cks_role_is_yield(t->role))
    use |= bit(USE_FORAGE) | (draft->trial->n_cut > 1 ? bit(USE_SEASON) : 0);
  for (size_t i = 0; i < t->n_location; i++) use |= uses_of_analysis(draft, t, &t->location[i]);
  for (size_t i = 0; i < t->n_span; i++)
    if (t->span[i].analysis->method != CKS_METHOD_NONE)
      use |= bit(USE_YEARS) | uses_of_analysis(draft, t, t->span[i].analysis);
  cks_question question = draft->settings->question;
  if (t->versus.n_test && question != CKS_ASK_MATURITY) use |= bit(USE_VERSUS);
  if (question == CKS_ASK_VERSUS) return use; /* means over places are not shown */
  if (t->interaction && !*t->interaction->why) use |= uses_of_interaction(t->interaction);
  if (question == CKS_ASK_MATURITY) use &= ~(bit(USE_INTERACTION) | bit(USE_VERDICT) | bit(USE_AXES) | bit(USE_YEARS));
  if (question == CKS_ASK_MATURITY && t->maturity)
    use |= (draft->results->cuts.cut == cks_maturity_cuts_default()->cut ? bit(USE_CLASSES) : 0) |
           (*t->maturity->no_call ? 0 : bit(USE_CALLS));
  return t->across ? use | uses_of_analysis(draft, t, t->across) : use;
}

static bool one_season(const cks_trial *trial)
{
  for (size_t i = 1; i < trial->n_environment; i++)
    if (trial->environment[i].year != trial->environment[0].year) return false;
  return true;
}

/* With maturity alone one trait is. */
static bool is_shown(const cks_draft *draft, const cks_trait_result *t)
{
  return draft->settings->question != CKS_ASK_MATURITY || t->role == CKS_ROLE_DAYS_TO_MID_BLOOM;
}

static uint64_t uses(cks_draft *draft)
{
  uint64_t use = bit(USE_ALWAYS);
  for (size_t i = 0; i < draft->results->n_trait; i++)
    if (is_shown(draft, &draft->results->trait[i])) use |= uses_of_trait(draft, &draft->results->trait[i]);
  if (draft->results->n_check) use |= bit(USE_CHECK);
  if (draft->results->by_group.heading) use |= bit(USE_GROUPS);
  if (draft->settings->question == CKS_ASK_ALL && cks_next_year_has_intervals(draft)) use |= bit(USE_INTERVAL);
  if (one_season(draft->trial)) use |= bit(USE_ONE_SEASON);
  if (cks_words_found(draft, CKS_RULE_OUTLIER)) use |= bit(USE_OUTLIER);
  return use;
}

/* What stands behind the means of a head-to-head and its own figures: nothing else of the analyses is shown. */
static uint64_t behind_versus(void)
{
  static const use_of behind[] = {
      USE_ALWAYS, USE_LOST,   USE_ARCSINE,           USE_RATING,       USE_OUTLIER,         USE_WEIGHTS, USE_ONE_SEASON,
      USE_NO_END, USE_BLOCKS, USE_STRIPS_DIFFERENCE, USE_STRIPS_RATIO, USE_STRIPS_SHRUNKEN, USE_VERSUS};
  uint64_t use = 0;
  for (size_t i = 0; i < sizeof behind / sizeof *behind; i++) use |= bit(behind[i]);
  return use;
}

void cks_methods_add(cks_draft *draft)
{
  uint64_t use = uses(draft) & (draft->settings->question == CKS_ASK_VERSUS ? behind_versus() : UINT64_MAX);
  size_t n = 0, row = 0;
  for (size_t i = 0; i < N_METHODS; i++) n += (bit(methods[i].use) & use) != 0;
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
    if (!(bit(m->use) & use)) continue;
    cks_cell_put(table, row, 0, cks_cell_text(m->what));
    cks_cell_put(table, row++, 1,
                 cks_cell_text(*m->source ? cks_arena_format(draft->arena, "%s [%s]", m->text, m->source) : m->text));
  }
  cks_draft_table_add(draft, section, table);
}
