/*
 * claims.c: see claims.h. The facts of an analysis are gathered first; a row prints when all of `when` and none of
 * `unless` hold. Words in braces are filled in from the analysis: the table of fills follows that of the texts.
 */
#include "claims.h"

#include "groups.h"
#include "shown.h"
#include "words.h"

#include <math.h>
#include <string.h>

enum { FEW_HYBRIDS = 8 }; /* with 6 it claims .068 for .05, with 12 .056: tests/property/test_crossed_rates.c */
enum { FEW_DF = 6 };      /* below it the error is known too badly to lean on: common practice, no source */

typedef enum {
  COMPARES,   /* hybrids are compared */
  NONE_FOUND, /* ... and no difference was found */
  TOP,        /* there is a top group: with ranks or, by comparisons with the best, without */
  LONE,       /* ... of one hybrid */
  FIRST,      /* ... in the first rows, and any two of it are not told apart */
  LEADER,     /* what its lead may lack another time is known, and more than a rounded 0 */
  LETTERS,    /* are given */
  ALIKE,      /* all pairs have one SED */
  DISTANCE,   /* an LSD or MSD is shown */
  HAS_DF,     /* of the error it stands on */
  DESIGN,     /* is named */
  PROTECTED,  /* by a significant F */
  BY_REQUEST, /* F is not significant, and the LSD stands all the same */
  AT_ONCE,    /* all pairs by one test: Tukey or Bonferroni */
  CHECKS,     /* are there */
  DUNNETT,    /* checks */
  AGAINST,    /* ... and it tells some hybrid from a check */
  BEST,       /* top group by comparisons with the best */
  ARCSINE,    /* percents on another scale */
  RATING,     /* not a measurement */
  NO_END,     /* neither end of the trait is the good one */
  LOW,        /* the low end is */
  YIELD,      /* the trait */
  ACROSS,     /* several environments together */
  FIXED,      /* these places only */
  RANDOM,     /* places, seasons or trials are a sample */
  ONE_PLACE,  /* all at one location */
  SEVERAL,    /* environments */
  YEARS,      /* two or more */
  TWO_YEARS,  /* no more */
  SMALL,      /* so few hybrids that the synthesized test over two years is liberal */
  SINGLE,     /* one plot a hybrid at each place */
  UNTESTED,   /* fixed places, and whether hybrids answer differently was not tested */
  ANSWER,     /* hybrids answer differently over environments */
  NO_ANSWER,  /* no proof of it */
  STRAY,      /* one plot stands out and is still in */
  STRAYS,     /* several do */
  UNEVEN,     /* the CV is above the limit */
  FEW,        /* error df */
  NO_MEAN,    /* there are several places and no mean over them */
  WHY,        /* figures are absent: a reason */
  NO_LSD,     /* a reason why there is none, other than F */
  NO_LETTERS, /* a reason why there are none */
  NOTE,       /* of the analysis */
  ASIDE,      /* hybrids are, for standing in too few environments */
  LEFT,       /* places that are not in the mean */
  BY_GROUP,   /* rank, letters and top group stand within groups: NONE_FOUND is of all of them */
  ONE_HYBRID, /* no more */
  ALL_TOP,    /* every hybrid is in the top group */
  HAS_P,      /* of F */
  MIXED,      /* fitted by REML */
  SHRUNKEN,   /* ... with hybrids random: predictions, not compared */
  LACK,       /* what a series lacks to be balanced */
  JOINED,     /* sets of hybrids hang together by checks alone */
  OWN_ERRORS, /* each environment has one, by request */
  SAMPLED,    /* environments are taken as random, by request */
  ONCE,       /* one place, entries in single plots, not compared */
  ALL_FIXED,  /* hybrids are asked to be random, and no mixed model is there for it */
  CHANGES,    /* verdict over environments: the order changes */
  ONE_SERVES, /* ... one ranking serves them */
  CANNOT,     /* ... cannot tell */
  SLOPED,     /* lines of hybrids over the environment means differ */
  PARALLEL    /* no proof of it */
} fact;
#define IF(name) ((uint64_t)1 << (name))

/* The same of a row of a head-to-head: bits of a set of their own. */
typedef enum {
  ROW_TESTED, /* there is a p */
  ROW_TOLD,   /* ... at alpha or below */
  ROW_ABOVE,  /* the first hybrid, by the mean difference */
  ROW_LOW,    /* the low end of the trait is the good one */
  ROW_ONE,    /* environment */
  ROW_NEVER,  /* no place has values of both */
  ROW_WHY     /* figures are absent: a reason */
} row_fact;

/* The same of the calls of days to mid-bloom. */
typedef enum {
  CALL_ONCE,    /* one environment only */
  CALL_NONE,    /* no hybrid gets a call: a reason */
  CALL_ALIKE,   /* no proof that slopes differ */
  CALL_HOLDS,   /* some hybrid does */
  CALL_SHIFTS,  /* the same */
  CALL_TYPICAL, /* the same */
  CALL_CHANCE,  /* some hybrid holds or shifts by its own test alone */
  CALL_CANNOT   /* of some hybrid it cannot be told */
} call_fact;

typedef struct {
  cks_claim_topic topic;
  uint64_t when, unless;
  const char *text;
} claim;

static const claim claims[] = {
    /* which differences count */
    {CKS_CLAIM_RULE, IF(COMPARES) | IF(PROTECTED), IF(BY_GROUP), "An LSD is given only where F finds differences."},
    {CKS_CLAIM_RULE, IF(COMPARES) | IF(PROTECTED) | IF(BY_GROUP), 0,
     "An LSD is given only within a group whose own F finds differences; groups are not compared with each other."},
    {CKS_CLAIM_RULE, IF(COMPARES) | IF(BY_GROUP), IF(AT_ONCE),
     "Rank, letters and top group stand within each group, by its own F over the error of all."},
    {CKS_CLAIM_RULE, IF(COMPARES) | IF(BY_GROUP) | IF(CHECKS), 0,
     "Comparisons with a check are over all hybrids, whatever their group."},
    {CKS_CLAIM_RULE, IF(COMPARES) | IF(DUNNETT), 0,
     "Above and below a check stand by Dunnett's test, all hybrids with that check at once."},
    {CKS_CLAIM_RULE, IF(COMPARES) | IF(AT_ONCE), IF(BY_GROUP),
     "All pairs are compared at once by {test}: that any two like hybrids are told apart has a chance of {alpha} at "
     "most."},
    {CKS_CLAIM_RULE, IF(COMPARES) | IF(AT_ONCE) | IF(BY_GROUP), 0,
     "All pairs of a group are compared at once by {test}: that any two like hybrids of it are told apart has a chance "
     "of {alpha} at most in each group, so more in all of them; groups are not compared with each other."},
    {CKS_CLAIM_RULE, IF(COMPARES) | IF(DUNNETT), 0, "The p beside a check is that of the single comparison."},
    {CKS_CLAIM_RULE, IF(COMPARES) | IF(AT_ONCE) | IF(CHECKS), 0,
     "The p beside a check is that of the single comparison."},
    {CKS_CLAIM_RULE, IF(LETTERS), IF(BY_GROUP), "Hybrids that share a letter are not different."},
    {CKS_CLAIM_RULE, IF(LETTERS) | IF(BY_GROUP), 0, "Hybrids of one group that share a letter are not different."},
    {CKS_CLAIM_RULE, IF(TOP), IF(BEST) | IF(AT_ONCE) | IF(BY_GROUP),
     "Each comparison stands by itself at {alpha}: of hybrids truly as good as the best, up to about {share} % are "
     "left "
     "out of the top group by chance."},
    {CKS_CLAIM_RULE, IF(TOP) | IF(BY_GROUP), IF(BEST) | IF(AT_ONCE),
     "Each group, and each comparison in it, stands by itself at {alpha}: of hybrids truly as good as the best of "
     "their "
     "group, up to about {share} % are left out of its top group by chance."},
    {CKS_CLAIM_RULE, IF(TOP) | IF(BEST), IF(BY_GROUP),
     "The top group is by comparisons with the best: that the truly best hybrid is left out has a chance of {alpha} at "
     "most."},
    {CKS_CLAIM_RULE, IF(TOP) | IF(BEST) | IF(BY_GROUP), 0,
     "A top group is by comparisons with the best of its group: that the truly best hybrid of a group is left out has "
     "a chance of {alpha} at most in each group."},

    /* below one table */
    {CKS_CLAIM_TEST, IF(COMPARES) | IF(HAS_DF) | IF(DESIGN), 0,
     "{distance} at alpha {alpha} with {df} error df; {design}"},
    {CKS_CLAIM_TEST, IF(COMPARES) | IF(HAS_DF), IF(DESIGN), "{distance} at alpha {alpha} with {df} error df"},
    {CKS_CLAIM_TEST, IF(COMPARES) | IF(DESIGN), IF(HAS_DF), "{distance} at alpha {alpha}; {design}"},
    {CKS_CLAIM_TEST, IF(COMPARES), IF(HAS_DF) | IF(DESIGN), "{distance} at alpha {alpha}"},
    {CKS_CLAIM_TEST, IF(BY_REQUEST), IF(BY_GROUP),
     "F is not significant ({p}): LSD and top group stand by request only."},
    {CKS_CLAIM_TEST, IF(COMPARES) | IF(DISTANCE), IF(ALIKE),
     "Pairs differ in precision: the {distance} is the mean one; SED from {sed_min} to {sed_max}, and each pair is "
     "judged "
     "by its own."},
    {CKS_CLAIM_TEST, IF(COMPARES) | IF(ARCSINE), 0,
     "Percentages were tested on another scale, the angle whose sine is the root of the proportion, so no "
     "{distance} in percent is printed."},
    {CKS_CLAIM_TEST, IF(NO_LSD), IF(NONE_FOUND) | IF(DISTANCE) | IF(ARCSINE) | IF(BY_GROUP), "No {distance}: {no_lsd}"},
    {CKS_CLAIM_TEST, IF(COMPARES) | IF(FIXED), 0, "Locations fixed: it speaks for these places only, not for others."},
    {CKS_CLAIM_TEST, IF(COMPARES) | IF(RANDOM), IF(ONE_PLACE),
     "Locations random: it speaks for farms like these, not only for these."},
    {CKS_CLAIM_TEST, IF(COMPARES) | IF(RANDOM) | IF(ONE_PLACE), 0,
     "Seasons or trials random: it speaks for others like these at this place, not for other farms."},
    {CKS_CLAIM_TEST, IF(WHY), 0, "{why}"},
    {CKS_CLAIM_TEST, IF(NOTE), 0, "{note}"},
    {CKS_CLAIM_TABLE, IF(NONE_FOUND), IF(AGAINST) | IF(TOP) | IF(BY_GROUP),
     "No differences found: these hybrids cannot be told apart, so nothing is ranked."},
    {CKS_CLAIM_TABLE, IF(NONE_FOUND) | IF(AGAINST), IF(BY_GROUP),
     "The F test finds no differences, so nothing is ranked; Dunnett's test, which asks no F, tells {n_apart} from a "
     "check."},
    {CKS_CLAIM_TABLE, IF(NONE_FOUND) | IF(TOP), IF(BY_GROUP),
     "Nothing is ranked; comparisons with the best, which ask no other test, leave {n_out} out of the top group."},
    {CKS_CLAIM_TABLE, IF(COMPARES) | IF(NO_LETTERS), IF(LETTERS), "No letters: {no_letters}"},

    /* first screen */
    {CKS_CLAIM_MARK, IF(TOP), IF(BEST), "not different from the {best}."},
    {CKS_CLAIM_MARK, IF(TOP) | IF(BEST), IF(BY_GROUP), "may be the best, by comparisons with the best."},
    {CKS_CLAIM_MARK, IF(TOP) | IF(BEST) | IF(BY_GROUP), 0,
     "may be the best of its group, by comparisons with the best."},
    {CKS_CLAIM_ORDER, 0, IF(COMPARES) | IF(SHRUNKEN), "Means only: nothing here is ranked or compared."},
    {CKS_CLAIM_ORDER, IF(SHRUNKEN), 0,
     "Shrunken means, hybrids random by request: nothing here is ranked or compared."},
    {CKS_CLAIM_ORDER, IF(WHY), IF(COMPARES), "{why}"},
    {CKS_CLAIM_ORDER, IF(NOTE), IF(COMPARES) | IF(ASIDE) | IF(LEFT) | IF(MIXED), "{note}"}, /* said among the doubts */
    {CKS_CLAIM_ORDER, IF(NONE_FOUND), IF(AT_ONCE) | IF(AGAINST) | IF(TOP) | IF(BY_GROUP),
     "No differences in {trait} found: these hybrids cannot be told apart (F test, {p})."},
    {CKS_CLAIM_ORDER, IF(NONE_FOUND) | IF(AGAINST), IF(BY_GROUP),
     "The F test finds no differences in {trait} ({p}), so nothing is ranked; Dunnett's test, which asks no F, tells "
     "{n_apart} from a check."},
    {CKS_CLAIM_ORDER, IF(NONE_FOUND) | IF(TOP), IF(AT_ONCE) | IF(AGAINST) | IF(BY_GROUP),
     "The F test finds no differences in {trait} ({p}), so nothing is ranked; comparisons with the best, which ask no "
     "F, leave {n_out} out of the top group."},
    {CKS_CLAIM_ORDER, IF(NONE_FOUND) | IF(TOP) | IF(AT_ONCE), IF(BY_GROUP),
     "{test} of all pairs finds no differences in {trait}, so nothing is ranked; comparisons with the best leave "
     "{n_out} out of the top group."},
    {CKS_CLAIM_ORDER, IF(NONE_FOUND) | IF(AT_ONCE), IF(TOP) | IF(BY_GROUP),
     "No differences in {trait} found: these hybrids cannot be told apart ({test} of all pairs)."},
    {CKS_CLAIM_ORDER, IF(COMPARES) | IF(NO_END), IF(NONE_FOUND),
     "Neither end of this trait is the good one, so nothing is ranked."},
    {CKS_CLAIM_ORDER, IF(TOP) | IF(LONE), IF(BEST) | IF(BY_GROUP), "One hybrid stands alone as the {best}."},
    {CKS_CLAIM_ORDER, IF(TOP) | IF(LONE) | IF(BEST), IF(BY_GROUP), "Only one hybrid may be the best."},
    {CKS_CLAIM_ORDER, IF(TOP) | IF(FIRST), IF(LONE) | IF(BEST) | IF(BY_GROUP),
     "The first {n_top} cannot be told apart: their order is no finding."},
    {CKS_CLAIM_ORDER, IF(TOP) | IF(FIRST) | IF(BEST), IF(LONE) | IF(BY_GROUP),
     "Any of the first {n_top} may be the best: their order does not say which."},
    {CKS_CLAIM_ORDER, IF(TOP) | IF(BEST), IF(LONE) | IF(FIRST) | IF(BY_GROUP),
     "Any of the {n_top} marked may be the best: their order does not say which."},
    {CKS_CLAIM_ORDER, IF(TOP), IF(LONE) | IF(FIRST) | IF(BEST) | IF(BY_GROUP),
     "{n_top} are not different from the {best}: their order is no finding."},
    {CKS_CLAIM_ORDER, IF(COMPARES) | IF(BY_GROUP), IF(AT_ONCE),
     "Each group ({group_heading}) stands by itself, by its own F over the error of all: {groups}."},
    {CKS_CLAIM_ORDER, IF(COMPARES) | IF(BY_GROUP) | IF(AT_ONCE), 0,
     "Each group ({group_heading}) stands by itself, by {test} of its own pairs over the error of all: {groups}."},
    {CKS_CLAIM_ORDER, IF(COMPARES) | IF(BY_GROUP) | IF(AT_ONCE) | IF(CHECKS), 0,
     "Comparisons with a check are among all hybrids at once and find less than those within a group."},
    {CKS_CLAIM_ORDER, IF(TOP) | IF(BY_GROUP), 0, "Order within a top group is no finding."},
    {CKS_CLAIM_ORDER, IF(TOP), IF(BEST) | IF(AT_ONCE),
     "Of others as good, up to about {share} % are left out by chance."},
    {CKS_CLAIM_ORDER, IF(LEADER), IF(LOW) | IF(YEARS), "Expect at least {loss} {unit} less of {leader} next time."},
    {CKS_CLAIM_ORDER, IF(LEADER) | IF(LOW), IF(YEARS), "Expect at least {loss} {unit} more of {leader} next time."},
    {CKS_CLAIM_ORDER, IF(LEADER) | IF(YEARS), IF(LOW), "Expect about {loss} {unit} less of {leader} next time."},
    {CKS_CLAIM_ORDER, IF(LEADER) | IF(LOW) | IF(YEARS), 0, "Expect about {loss} {unit} more of {leader} next time."},

    /* handout */
    {CKS_CLAIM_HERE, IF(ONCE), 0, "One plot of each hybrid here: this place alone cannot rank them."},
    {CKS_CLAIM_HERE, IF(WHY), IF(COMPARES) | IF(ONCE), "This place alone cannot rank hybrids: {why}"},
    {CKS_CLAIM_HERE, 0, IF(COMPARES) | IF(WHY) | IF(ONCE), "This place alone cannot rank hybrids: means only."},
    {CKS_CLAIM_HERE, IF(COMPARES) | IF(BY_GROUP), 0, "At this place, within each group ({group_heading}): {groups}."},
    {CKS_CLAIM_HERE, IF(NONE_FOUND) | IF(AGAINST), IF(BY_GROUP),
     "At this place the F test finds no differences in {trait}, so nothing is ranked; Dunnett's test tells {n_apart} "
     "from a check."},
    {CKS_CLAIM_HERE, IF(NONE_FOUND) | IF(TOP), IF(BY_GROUP),
     "At this place nothing is ranked in {trait}; by comparisons with the best {n_top} may be the best, {n_out} may "
     "not."},
    {CKS_CLAIM_HERE, IF(NONE_FOUND), IF(AGAINST) | IF(TOP) | IF(BY_GROUP),
     "At this place no differences in {trait} were found: these {n} hybrids cannot be told apart."},
    {CKS_CLAIM_HERE, IF(COMPARES) | IF(NO_END), IF(NONE_FOUND),
     "Neither end of {trait} is the good one, so nothing is ranked here."},
    {CKS_CLAIM_HERE, IF(TOP) | IF(BY_REQUEST), IF(BY_GROUP),
     "At this place the F test finds no differences ({p}); the rest is shown by request."},
    {CKS_CLAIM_HERE, IF(TOP) | IF(ALIKE) | IF(YIELD), IF(LONE) | IF(BEST) | IF(BY_GROUP),
     "At this place {n_top} hybrids are in the top group: their yields cannot be told apart."},
    {CKS_CLAIM_HERE, IF(TOP) | IF(ALIKE), IF(LONE) | IF(BEST) | IF(YIELD) | IF(BY_GROUP),
     "At this place {n_top} hybrids are in the top group: they cannot be told apart."},
    {CKS_CLAIM_HERE, IF(TOP) | IF(BEST), IF(LONE) | IF(NONE_FOUND) | IF(BY_GROUP),
     "At this place {n_top} hybrids are in the top group: any of them may be the best."},
    {CKS_CLAIM_HERE, IF(TOP), IF(LONE) | IF(ALIKE) | IF(BEST) | IF(BY_GROUP),
     "At this place {n_top} hybrids are in the top group: the best, and {n_beside} not shown to differ from it."},
    {CKS_CLAIM_HERE, IF(TOP) | IF(LONE) | IF(BEST), IF(NONE_FOUND) | IF(BY_GROUP),
     "At this place only one hybrid may be the best, by comparisons with the best."},
    {CKS_CLAIM_HERE, IF(TOP) | IF(LONE), IF(BEST) | IF(BY_GROUP),
     "At this place {first} stands alone at the top: every other hybrid is different from it."},
    {CKS_CLAIM_OVER_ALL, IF(NONE_FOUND) | IF(BY_GROUP), 0,
     "Over the {places} no differences were found within any group: they tell no two hybrids of a group apart."},
    {CKS_CLAIM_OVER_ALL, IF(NONE_FOUND) | IF(AGAINST), IF(BY_GROUP),
     "Over the {places} the F test finds no differences; Dunnett's test tells {n_apart} from a check."},
    {CKS_CLAIM_OVER_ALL, IF(NONE_FOUND) | IF(TOP), IF(BY_GROUP),
     "Over the {places} nothing is ranked; comparisons with the best leave {n_out} out of the top group."},
    {CKS_CLAIM_OVER_ALL, IF(NONE_FOUND), IF(AGAINST) | IF(TOP) | IF(BY_GROUP),
     "Over the {places} no differences were found: they tell no two hybrids apart."},
    {CKS_CLAIM_OVER_ALL, IF(COMPARES) | IF(FIXED), IF(NONE_FOUND) | IF(YEARS),
     "To choose, look at the right-hand columns as well: they stand on {places}, but speak of these places only, not "
     "of "
     "other farms or years."},
    {CKS_CLAIM_OVER_ALL, IF(COMPARES) | IF(FIXED) | IF(YEARS), IF(NONE_FOUND),
     "To choose, look at the right-hand columns as well: they stand on {places}, but speak of these places only, not "
     "of "
     "other farms."},
    {CKS_CLAIM_OVER_ALL, IF(COMPARES), IF(FIXED) | IF(NONE_FOUND),
     "To choose, look at the right-hand columns as well: they stand on {places}, not one."},
    {CKS_CLAIM_OVER_ALL, IF(SHRUNKEN), 0,
     "The right-hand column stands on {places}: shrunken means, which are predictions, and nothing in it is compared."},
    {CKS_CLAIM_ALONE, IF(NO_MEAN), 0, "The {n_places} places were not put together: {why_not_across}"},
    {CKS_CLAIM_ALONE, 0, IF(NO_MEAN), "One place in one year is weak evidence: look for more before choosing."},
    {CKS_CLAIM_KEY, IF(TOP), IF(BEST) | IF(AT_ONCE),
     "not different from the {best}; of others as good, up to about {share} % are left out by chance."},
    {CKS_CLAIM_KEY, IF(TOP) | IF(AT_ONCE), IF(BEST) | IF(BY_GROUP),
     "not different from the {best} by {test} of all pairs."},
    {CKS_CLAIM_KEY, IF(TOP) | IF(AT_ONCE) | IF(BY_GROUP), IF(BEST),
     "not different from the {best} by {test} of all its pairs."},
    {CKS_CLAIM_KEY, IF(TOP) | IF(BEST), IF(BY_GROUP), "may be the best, by comparisons with the best."},
    {CKS_CLAIM_KEY, IF(TOP) | IF(BEST) | IF(BY_GROUP), 0,
     "may be the best of its group, by comparisons with the best."},
    {CKS_CLAIM_APART, IF(COMPARES) | IF(ARCSINE), 0,
     "Percentages are compared on another scale, so no {distance} is printed."},
    {CKS_CLAIM_APART, IF(COMPARES), IF(ARCSINE) | IF(ALIKE),
     "Pairs differ in precision: the {distance} printed is the mean one, each pair is judged by its own."},
    {CKS_CLAIM_APART, IF(COMPARES) | IF(ALIKE) | IF(BY_GROUP), IF(ARCSINE),
     "Two hybrids of one group differ only if they are more than its {distance} apart."},
    {CKS_CLAIM_APART, IF(COMPARES) | IF(ALIKE), IF(ARCSINE) | IF(BY_GROUP),
     "Two hybrids differ only if they are more than the {distance} apart."},
    {CKS_CLAIM_APART, IF(COMPARES) | IF(ALIKE) | IF(PROTECTED), IF(ARCSINE), "NS = no differences found."},

    /* over places and seasons */
    {CKS_CLAIM_PLACES, IF(UNTESTED), 0, "Whether hybrids answer differently from place to place was not tested."},
    {CKS_CLAIM_PLACES, IF(CHANGES), 0,
     "The order changes from {over} ({pooled}): {sides}. No one {ranking} serves {served}."},
    {CKS_CLAIM_PLACES, IF(ONE_SERVES), 0,
     "One {ranking} serves {served}: hybrids change between them by less than half of how they differ (as variances, "
     "at "
     "the {level} % limit{part}; {pooled})."},
    {CKS_CLAIM_PLACES, IF(ANSWER), IF(CHANGES) | IF(ONE_SERVES),
     "Hybrids answer differently from {over} ({interaction}): the best of one need not be the best of another."},
    {CKS_CLAIM_PLACES, IF(NO_ANSWER), IF(CHANGES) | IF(ONE_SERVES),
     "No proof that hybrids answer differently from {over} ({interaction})."},
    {CKS_CLAIM_PLACES, IF(CANNOT), 0, "Whether one {ranking} serves {served}: cannot tell from these plots."},
    {CKS_CLAIM_SLOPES, IF(SLOPED), 0,
     "Lines over the environment means differ in slope ({slopes}): some hybrids change more than others "
     "from one environment to another."},
    {CKS_CLAIM_SLOPES, IF(PARALLEL), 0, "No proof that lines over the environment means differ in slope ({slopes})."},
    {CKS_CLAIM_PLACES, IF(MIXED) | IF(LACK), IF(SHRUNKEN),
     "{lack}, so the means are adjusted by a mixed model (REML): each as if it stood at all of the places."},
    {CKS_CLAIM_PLACES, IF(MIXED) | IF(LACK) | IF(SHRUNKEN), 0,
     "{lack}: shrunken means by a mixed model (REML), each drawn to the mean the more the less its plots tell."},
    {CKS_CLAIM_PLACES, IF(COMPARES) | IF(JOINED), 0, "{joined}"},
    {CKS_CLAIM_PLACES, IF(MIXED) | IF(LACK) | IF(OWN_ERRORS), 0,
     "Each place has an error of its own, by request: places with a small one count for more."},
    {CKS_CLAIM_PLACES, IF(MIXED) | IF(LACK) | IF(SAMPLED), 0, "Environments are random by request."},
    {CKS_CLAIM_SEASON, IF(ONE_PLACE) | IF(SEVERAL), 0, "One place only: it says nothing of other farms."},
    {CKS_CLAIM_SEASON, IF(TWO_YEARS), IF(ONE_PLACE), "Two years say little about a third."},
    {CKS_CLAIM_SEASON, IF(SEVERAL), IF(ONE_PLACE) | IF(YEARS),
     "This season only: one year; a second year often changes the order."},
    {CKS_CLAIM_SEASON, 0, IF(SEVERAL) | IF(YEARS),
     "One place in one year is weak evidence; another place or year often changes the order."},

    /* doubts */
    {CKS_CLAIM_DOUBT, IF(STRAY), 0,
     "1 plot of {trait} lies far from the others of its hybrid and is still in: look at the field book."},
    {CKS_CLAIM_DOUBT, IF(STRAYS), 0,
     "{strays} plots of {trait} lie far from the others of their hybrids and are still in: look at the field book."},
    {CKS_CLAIM_DOUBT, IF(MIXED), IF(LACK),
     "Incomplete blocks: the means are adjusted for them by a mixed model (REML)."},
    {CKS_CLAIM_DOUBT, IF(COMPARES) | IF(ALL_FIXED), 0,
     "Hybrids are fixed here: random ones, as asked, are for means over places and for incomplete blocks."},
    {CKS_CLAIM_DOUBT, IF(UNEVEN), 0,
     "The CV is above {cv_limit} %: the plots were uneven; take all of it with caution."},
    {CKS_CLAIM_DOUBT, IF(ASIDE), IF(MIXED), "{aside}; no mean over places, not compared over them."},
    {CKS_CLAIM_DOUBT, IF(ASIDE) | IF(MIXED), 0, "{aside}."},
    {CKS_CLAIM_DOUBT, IF(LEFT), 0, "{left}"},
    {CKS_CLAIM_DOUBT, IF(BY_REQUEST), IF(BY_GROUP),
     "F is not significant ({p}): LSD and top group stand by request only."},
    {CKS_CLAIM_DOUBT, IF(COMPARES) | IF(RATING), 0, "A rating is no measurement: read small differences with care."},
    {CKS_CLAIM_DOUBT, IF(ACROSS) | IF(FIXED), IF(YEARS),
     "Said of these places in this season only, not of other farms or years."},
    {CKS_CLAIM_DOUBT, IF(ACROSS) | IF(FIXED) | IF(YEARS), 0, "Said of these places only, not of other farms."},
    {CKS_CLAIM_DOUBT, IF(ACROSS) | IF(COMPARES) | IF(SINGLE), 0,
     "One plot a hybrid at each place: how hybrids change from place to place is the error."},
    {CKS_CLAIM_DOUBT, IF(COMPARES) | IF(RANDOM) | IF(TWO_YEARS) | IF(SMALL), IF(ONE_PLACE) | IF(MIXED),
     "With two years and so few hybrids F is a little too ready: like hybrids differ by it more often than {alpha}."},
    {CKS_CLAIM_DOUBT, IF(FEW), 0, "Few plots stand behind the error ({few_df}): weak evidence, whatever it says."},

    /* lists for next year */
    {CKS_CLAIM_NEXT_YEAR, 0, 0, "These lists are no decision: another season may change them."},
    {CKS_CLAIM_NEXT_YEAR, 0, IF(ACROSS),
     "One place in one season cannot say, so every hybrid stands in the third list."},
    {CKS_CLAIM_NEXT_YEAR, IF(ACROSS), IF(COMPARES) | IF(SHRUNKEN),
     "Nothing is compared over places, so every hybrid stands in the third list."},
    {CKS_CLAIM_NEXT_YEAR, IF(ACROSS) | IF(WHY), IF(COMPARES) | IF(SHRUNKEN), "{why}"},
    {CKS_CLAIM_NEXT_YEAR, IF(ACROSS) | IF(SHRUNKEN), 0,
     "Shrunken means are predictions and are not compared, so every hybrid stands in the third list."},
    {CKS_CLAIM_NEXT_YEAR, IF(ACROSS) | IF(NONE_FOUND), IF(AT_ONCE) | IF(AGAINST) | IF(TOP) | IF(BY_GROUP),
     "No differences in {trait} found (F test, {p}), so every hybrid stands in the third list."},
    {CKS_CLAIM_NEXT_YEAR, IF(ACROSS) | IF(NONE_FOUND) | IF(AT_ONCE), IF(TOP) | IF(BY_GROUP),
     "No differences in {trait} found ({test} of all pairs), so every hybrid stands in the third list."},
    {CKS_CLAIM_NEXT_YEAR, IF(ACROSS) | IF(NONE_FOUND) | IF(AGAINST), IF(BY_GROUP),
     "The F test finds no differences in {trait} ({p}); the lists are by Dunnett's test, which asks no F."},
    {CKS_CLAIM_NEXT_YEAR, IF(ACROSS) | IF(NONE_FOUND) | IF(TOP), IF(BY_GROUP),
     "Nothing is ranked; the top group is by comparisons with the best, which ask no other test."},
    {CKS_CLAIM_NEXT_YEAR, IF(ACROSS) | IF(TOP), IF(BEST) | IF(AT_ONCE),
     "Of others as good as the best, up to about {share} % are left out of a top group by chance."},
    {CKS_CLAIM_NEXT_YEAR, IF(ACROSS) | IF(COMPARES) | IF(BY_GROUP), 0,
     "A top group is that of one group ({group_heading}), by itself."},
    {CKS_CLAIM_AGAINST, IF(ACROSS) | IF(COMPARES) | IF(BY_GROUP) | IF(CHECKS), 0,
     "A check is compared with all hybrids, whatever their group."},
    {CKS_CLAIM_AGAINST, IF(ACROSS) | IF(COMPARES) | IF(CHECKS), IF(ARCSINE) | IF(AT_ONCE) | IF(DUNNETT),
     "Low and high are the {level} % interval of the difference: of that comparison by itself, not of all at once, so "
     "among many some miss by chance."},
    {CKS_CLAIM_AGAINST, IF(ACROSS) | IF(COMPARES) | IF(CHECKS) | IF(DUNNETT), IF(ARCSINE),
     "Low and high are the {level} % interval of the difference by Dunnett's test, of all hybrids against that "
     "check at once."},
    {CKS_CLAIM_AGAINST, IF(ACROSS) | IF(COMPARES) | IF(CHECKS) | IF(AT_ONCE), IF(ARCSINE),
     "Low and high are the {level} % interval of the difference by {test}, of all pairs at once."},
    {CKS_CLAIM_AGAINST, IF(ACROSS) | IF(COMPARES) | IF(CHECKS) | IF(ARCSINE), 0,
     "Percentages were tested on another scale, so a difference has no interval in percent."},
    {CKS_CLAIM_AGAINST, IF(ACROSS) | IF(COMPARES) | IF(CHECKS) | IF(PROTECTED) | IF(NONE_FOUND),
     IF(ARCSINE) | IF(DUNNETT) | IF(BY_GROUP),
     "Without differences by F nothing is above or below a check, even where an interval leaves out 0."},
    {CKS_CLAIM_AGAINST, IF(ACROSS) | IF(COMPARES) | IF(CHECKS) | IF(PROTECTED) | IF(BY_GROUP),
     IF(ARCSINE) | IF(DUNNETT),
     "Above or below stands only where F over all hybrids finds differences, and against a check of the same "
     "group only where that group's own does too, even where an interval leaves out 0."},
    {CKS_CLAIM_AGAINST, IF(ACROSS) | IF(COMPARES) | IF(LOW), 0,
     "The low end of {trait} is the good one, so below the check is its good side."},

    /* one group, seen as an analysis of its own */
    {CKS_CLAIM_GROUP, IF(ONE_HYBRID), 0, "one hybrid only, not ranked"},
    {CKS_CLAIM_GROUP, 0, IF(ONE_HYBRID) | IF(COMPARES), "not compared"},
    {CKS_CLAIM_GROUP, IF(NONE_FOUND), 0, "no differences found"},
    {CKS_CLAIM_GROUP, IF(COMPARES), IF(NONE_FOUND) | IF(TOP), "some differ"},
    {CKS_CLAIM_GROUP, IF(TOP) | IF(LONE), 0, "{first} stands alone as the {best}"},
    {CKS_CLAIM_GROUP, IF(TOP) | IF(ALL_TOP), IF(LONE) | IF(BEST), "none of the {n} is told from the {best}"},
    {CKS_CLAIM_GROUP, IF(TOP) | IF(FIRST), IF(LONE) | IF(BEST) | IF(ALL_TOP), "the first {n_top} cannot be told apart"},
    {CKS_CLAIM_GROUP, IF(TOP), IF(LONE) | IF(BEST) | IF(ALL_TOP) | IF(FIRST),
     "{n_top} are not different from the {best}"},
    {CKS_CLAIM_GROUP, IF(TOP) | IF(BEST) | IF(ALL_TOP), IF(LONE), "any of the {n} may be the best"},
    {CKS_CLAIM_GROUP, IF(TOP) | IF(BEST) | IF(FIRST), IF(LONE) | IF(ALL_TOP),
     "any of the first {n_top} may be the best"},
    {CKS_CLAIM_GROUP, IF(TOP) | IF(BEST), IF(LONE) | IF(ALL_TOP) | IF(FIRST), "any of {n_top} may be the best"},
    {CKS_CLAIM_GROUP, IF(BY_REQUEST), 0, "- shown by request, F finds no differences"},
    {CKS_CLAIM_GROUP_P, IF(NONE_FOUND) | IF(HAS_P), IF(AT_ONCE), "({p})"},
    {CKS_CLAIM_GROUP_P, IF(COMPARES) | IF(HAS_P), IF(NONE_FOUND) | IF(TOP) | IF(AT_ONCE) | IF(BY_REQUEST), "({p})"},
    {CKS_CLAIM_GROUP_P, IF(BY_REQUEST) | IF(HAS_P), 0, "({p})"},

    /* two hybrids over the places where both stood */
    /* of days to mid-bloom over environments */
    {CKS_CLAIM_MATURITY, IF(CALL_ONCE), 0,
     "One environment: whether a hybrid holds its days or shifts them cannot be seen from it."},
    {CKS_CLAIM_MATURITY, IF(CALL_NONE), 0, "No hybrid is called: {no_call}."},
    {CKS_CLAIM_MATURITY, IF(CALL_ALIKE), 0,
     "No proof that hybrids differ in how their days follow the places ({slopes}), so none is said to hold or to "
     "shift."},
    {CKS_CLAIM_MATURITY, IF(CALL_HOLDS), 0, "Days hold more than the others' do: {holds}."},
    {CKS_CLAIM_MATURITY, IF(CALL_SHIFTS), 0, "Days shift more than the others' do: {shifts}."},
    {CKS_CLAIM_MATURITY, IF(CALL_CHANCE), 0,
     "By its own test alone, not with all tested at once, and so perhaps by chance: {chance}."},
    {CKS_CLAIM_MATURITY, IF(CALL_TYPICAL), 0, "They follow the others': {typical}."},
    {CKS_CLAIM_MATURITY, IF(CALL_CANNOT), 0, "Of {cannot} it cannot be told."},
    {CKS_CLAIM_VERSUS, IF(ROW_TOLD) | IF(ROW_ABOVE), 0, "{row_a} is above {row_b} by {ahead} over {met} ({row_p})"},
    {CKS_CLAIM_VERSUS, IF(ROW_TOLD), IF(ROW_ABOVE), "{row_a} is below {row_b} by {ahead} over {met} ({row_p})"},
    {CKS_CLAIM_VERSUS, IF(ROW_TOLD) | IF(ROW_LOW), 0, "The low end is the good one."},
    {CKS_CLAIM_VERSUS, IF(ROW_TESTED), IF(ROW_TOLD), "{row_a} and {row_b} cannot be told apart over {met} ({row_p})"},
    {CKS_CLAIM_VERSUS, IF(ROW_NEVER), 0, "{row_a} and {row_b} have values at no place together"},
    {CKS_CLAIM_VERSUS, IF(ROW_ONE), 0,
     "{row_a} and {row_b} met once: a difference of {ahead}, and nothing to judge it by"},
    {CKS_CLAIM_VERSUS, IF(ROW_WHY), IF(ROW_TESTED) | IF(ROW_ONE) | IF(ROW_NEVER), "Not tested: {row_why}"},
};
enum { N_CLAIMS = sizeof claims / sizeof *claims };
_Static_assert(PARALLEL < 64, "a fact is a bit");

/* ---- what they are said of --------------------------------------------------------------------------------------- */

typedef struct {
  cks_draft *draft;
  const cks_trait_result *trait;
  const cks_analysis *a;
  const cks_anova_line *interaction; /* the surest; NULL: none tested */
  size_t strays;
  const cks_versus_row *row; /* of a head-to-head, which has no analysis */
} subject;

/* The line of an interaction of hybrids with the smallest p: hybrid x environment may hold what hybrid x location does
 * not. NULL when none was tested. */
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

/* Of a series whose table has no such line: that of the means of all environments. Its own analysis only. */
static const cks_anova_line *line_of_means(cks_draft *draft, const cks_trait_result *t, const cks_analysis *a)
{
  const cks_interaction *x = a == t->across ? t->interaction : NULL;
  cks_anova_line *line = x && !cks_is_missing(x->p) ? cks_arena_take(draft->arena, 1, sizeof *line) : NULL;
  if (line)
    *line = (cks_anova_line){a->n_environment == a->n_location ? "hybrid x location" : "hybrid x environment",
                             x->num_df,
                             x->ss,
                             x->ss / x->df,
                             x->f,
                             x->p};
  return line;
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

/* Plots that stand out at the analysis' places. */
static size_t count_strays(const cks_draft *draft, const cks_trait_result *trait, cks_id environment)
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

static bool has_letters(const cks_analysis *a)
{
  for (size_t i = 0; i < a->n_hybrid; i++)
    if (a->hybrid[i].group) return true;
  return false;
}

/* Rows of the top group before the first that is not in it. */
static size_t first_rows(const cks_analysis *a)
{
  size_t n = 0;
  while (n < a->n_hybrid && a->hybrid[n].top == CKS_TOP_IN) n++;
  return n;
}

/* Hybrids that differ from some check. */
static size_t count_apart(const subject *s)
{
  size_t n = 0;
  for (size_t i = 0; i < s->a->n_hybrid; i++) {
    bool apart = false;
    for (size_t k = 0; s->a->hybrid[i].vs_check && k < s->draft->results->n_check; k++)
      apart |= s->a->hybrid[i].vs_check[k].differs != CKS_DIFFERS_UNKNOWN;
    n += apart;
  }
  return n;
}

/* Decimals of what a leader may lack: never whole numbers only. */
static int loss_digits(const subject *s) { return s->trait->digits ? s->trait->digits : 1; }

/* The error df behind an LSD, else behind F. */
static double df_of(const cks_analysis *a) { return cks_is_missing(a->lsd_df) ? a->den_df : a->lsd_df; }

/* Hybrids that are, which those set aside are not. */
static size_t compared(const cks_analysis *a) { return a->n_hybrid - a->n_aside; }

static uint64_t bit(unsigned name, bool holds) { return holds ? IF(name) : 0; }

static uint64_t facts_of_comparison(const subject *s)
{
  const cks_analysis *a = s->a;
  cks_comparison by = s->draft->settings->comparison;
  bool compares = cks_shown_compares(a), top = cks_shown_top(s->trait, a),
       at_once = by == CKS_COMPARE_TUKEY || by == CKS_COMPARE_BONFERRONI;
  double distance = cks_shown_distance_value(s->draft, s->trait, a);
  return bit(COMPARES, compares) | bit(NONE_FOUND, compares && !cks_shown_finds(a)) | bit(TOP, top) |
         bit(LONE, top && a->n_top == 1) | bit(ALL_TOP, top && a->n_top == compared(a)) |
         bit(BY_GROUP, a->n_group > 0) | bit(ONE_HYBRID, a->n_hybrid == 1) | bit(HAS_P, !cks_is_missing(a->p)) |
         bit(FIRST, top && first_rows(a) == a->n_top && a->equal_sed) |
         bit(LEADER, top && a->leader_loss >= 0.5 * pow(10, -loss_digits(s))) |
         bit(LETTERS, compares && has_letters(a)) | bit(ALIKE, a->equal_sed) |
         bit(DISTANCE, !cks_is_missing(distance)) | bit(HAS_DF, !cks_is_missing(df_of(a))) | bit(DESIGN, *a->design) |
         bit(PROTECTED, compares && a->protected_rule) |
         bit(BY_REQUEST, compares && !at_once && !a->significant && !a->protected_rule) | bit(AT_ONCE, at_once) |
         bit(CHECKS, s->draft->results->n_check) |
         bit(DUNNETT, by == CKS_COMPARE_DUNNETT && s->draft->results->n_check) |
         bit(AGAINST, cks_shown_dunnett_finds(s->draft, a)) | bit(BEST, s->draft->settings->top_best) |
         bit(FEW, compares && a->den_df < FEW_DF);
}

/* Of the trait's own analysis across: not of some years, nor of a group. */
static const cks_interaction *judged(const subject *s)
{
  bool own = s->trait->interaction && s->a == s->trait->across && s->a->n_environment > 1;
  return own && s->trait->interaction->verdict != CKS_VERDICT_NONE ? s->trait->interaction : NULL;
}

static uint64_t facts_of_verdict(const subject *s)
{
  const cks_interaction *x = judged(s);
  return bit(CHANGES, x && x->verdict == CKS_VERDICT_CHANGES) |
         bit(ONE_SERVES, x && x->verdict == CKS_VERDICT_ONE_RANKING) |
         bit(CANNOT, x && x->verdict == CKS_VERDICT_CANNOT_TELL) |
         bit(SLOPED, x && x->slopes_p <= s->draft->results->alpha) |
         bit(PARALLEL, x && x->slopes_p > s->draft->results->alpha);
}

static uint64_t facts_of_places(const subject *s)
{
  const cks_analysis *a = s->a;
  bool across = a->environment == CKS_NONE, fixed = !strcmp(a->locations_as, "fixed"),
       answer = s->interaction && s->interaction->p <= a->alpha;
  return bit(ACROSS, across) | bit(FIXED, fixed) | bit(RANDOM, *a->locations_as && !fixed) |
         bit(ONE_PLACE, a->n_location == 1) | bit(SEVERAL, a->n_environment > 1) | bit(YEARS, a->n_year > 1) |
         bit(TWO_YEARS, a->n_year == 2) | bit(SMALL, compared(a) <= FEW_HYBRIDS) | bit(SINGLE, a->reps == 1) |
         bit(UNTESTED, !s->interaction && cks_shown_compares(a) && fixed && a->n_environment > 1) |
         facts_of_verdict(s) | bit(ANSWER, answer) | bit(NO_ANSWER, s->interaction && !answer) |
         bit(NO_MEAN, s->trait->n_location > 1 && s->trait->across) | bit(LEFT, *a->apart) | bit(ASIDE, *a->aside);
}

static uint64_t facts_of(const subject *s)
{
  const cks_analysis *a = s->a;
  const cks_trait_result *t = s->trait;
  return facts_of_comparison(s) | facts_of_places(s) | bit(ARCSINE, t->arcsine) |
         bit(RATING, t->measure == CKS_MEASURE_RATING) | bit(NO_END, t->better == CKS_BETTER_NONE) |
         bit(LOW, t->better == CKS_BETTER_LOW) | bit(YIELD, t->role == CKS_ROLE_YIELD) | bit(STRAY, s->strays == 1) |
         bit(STRAYS, s->strays > 1) |
         bit(UNEVEN, t->role == CKS_ROLE_YIELD && a->cv_pct > s->draft->settings->cv_limit) | bit(WHY, *a->why) |
         bit(MIXED, a->method == CKS_METHOD_REML) | bit(SHRUNKEN, cks_shown_shrunken(a)) | bit(LACK, *a->lack) |
         bit(JOINED, *a->joined) | bit(ALL_FIXED, s->draft->settings->hybrids_random && a->method == CKS_METHOD_ANOVA) |
         bit(OWN_ERRORS, s->draft->settings->error_by_location && !strstr(a->lack, "of its own")) |
         bit(SAMPLED, !strcmp(a->environment_effect, "random")) |
         bit(ONCE, a->environment != CKS_NONE && !strncmp(a->design, "single plots", 12) && !cks_shown_compares(a)) |
         bit(NO_LSD, *a->lsd_why) | bit(NO_LETTERS, *a->group_why) | bit(NOTE, *a->note);
}

/* ---- filling in -------------------------------------------------------------------------------------------------- */

static const char *share_text(const subject *s)
{
  return cks_arena_format(s->draft->arena, "%.0f", fmax(1, 100 * s->a->left_out_share));
}

static const char *over_text(const subject *s)
{
  const cks_analysis *a = s->a;
  if (!s->interaction || !strcmp(s->interaction->source, "hybrid x location")) return "place to place";
  return !strcmp(s->interaction->source, "hybrid x year") || (a->n_location == 1 && a->n_year == a->n_environment)
             ? "year to year"
             : "environment to environment";
}

static const char *interaction_text(const subject *s)
{
  if (!s->interaction) return "";
  return cks_arena_format(s->draft->arena, "%s %s", s->interaction->source, cks_words_p(s->draft, s->interaction->p));
}

static const char *pooled_text(const subject *s)
{
  const cks_interaction *x = judged(s);
  if (!x) return "";
  return cks_arena_format(s->draft->arena, "hybrid x %s %s",
                          s->a->n_environment == s->a->n_location ? "location" : "environment",
                          cks_words_p(s->draft, x->p));
}

static const char *slopes_text(const subject *s)
{
  const cks_interaction *x = judged(s);
  if (!x) return "";
  return cks_arena_format(s->draft->arena, "F %s on %.4g and %.4g df, %s", cks_words_number(s->draft, x->slopes_f, 2),
                          x->slopes_num_df, x->slopes_den_df, cks_words_p(s->draft, x->slopes_p));
}

/* What one ranking would serve. */
static const char *served_text(const subject *s)
{
  const cks_analysis *a = s->a;
  if (a->n_location > 1) return a->n_year > 1 ? "these places and seasons" : "these places";
  return a->n_year > 1 ? "these seasons" : "these trials";
}

/* Which part of an incomplete table the variances are of; "" for all of it. */
static const char *part_text(const subject *s)
{
  const cks_interaction *x = judged(s);
  if (!x || (x->table_hybrids >= x->n_hybrid && x->component_environments >= x->n_environment)) return "";
  return cks_arena_format(s->draft->arena, " of the %u hybrids at %u of %zu environments without gaps",
                          x->table_hybrids, x->component_environments, x->n_environment);
}

/* Where neither end is the good one nothing is ranked, and hybrids still have an order. */
static const char *ranking_text(const subject *s) { return s->trait->better == CKS_BETTER_NONE ? "order" : "ranking"; }

static const char *level_text(const subject *s)
{
  return cks_arena_format(s->draft->arena, "%.4g", 100 * (1 - s->a->alpha));
}

static const char *environment_text(const subject *s, cks_id environment)
{
  return cks_draft_text(s->draft, s->draft->trial->environment[environment].label);
}

/* The surest pair, and how many there are. */
static const char *sides_text(const subject *s)
{
  const cks_interaction *x = judged(s);
  if (!x || !x->n_crossover) return "";
  const cks_crossover *pair = &x->crossover[0];
  const char *first = cks_arena_format(s->draft->arena, "%s is above %s at %s and below it at %s",
                                       cks_words_hybrid(s->draft, pair->a), cks_words_hybrid(s->draft, pair->b),
                                       environment_text(s, pair->above_at), environment_text(s, pair->below_at));
  return x->crossovers == 1 ? first
                            : cks_arena_format(s->draft->arena, "%u pairs change sides; %s", x->crossovers, first);
}

/* Those set aside may be better: they are not compared. */
static const char *best_text(const subject *s) { return cks_words_best(s->draft, s->trait, s->a); }

/* The hybrid of rank 1, wherever its row stands, or all that share the rank. */
static const char *first_text(const subject *s)
{
  size_t n = 0;
  const cks_hybrid_result *first = cks_shown_first(s->a, &n);
  if (n > 1) return cks_arena_format(s->draft->arena, "each of the %zu %s", n, best_text(s));
  return first ? cks_words_hybrid(s->draft, first->hybrid) : "";
}

static const char *few_text(const subject *s)
{
  return cks_arena_format(s->draft->arena, "%.2g degree%s of freedom", s->a->den_df, s->a->den_df == 1 ? "" : "s");
}

static const char *test_text(const subject *s)
{
  return s->draft->settings->comparison == CKS_COMPARE_TUKEY ? "Tukey's test" : "Bonferroni's t";
}

static const char *p_text(const subject *s) { return cks_words_p(s->draft, s->a->p); }
static const char *alpha_text(const subject *s) { return cks_words_alpha(s->draft, s->a->alpha); }
static const char *distance_text(const subject *s) { return cks_shown_distance_word(s->draft); }
static const char *df_text(const subject *s) { return cks_arena_format(s->draft->arena, "%.4g", df_of(s->a)); }
static const char *design_text(const subject *s) { return s->a->design; }
static const char *number_text(const subject *s, double value, int more)
{
  return cks_words_number(s->draft, value, s->trait->digits + more);
}
static const char *sed_min_text(const subject *s) { return number_text(s, s->a->sed_min, 1); }
static const char *sed_max_text(const subject *s) { return number_text(s, s->a->sed_max, 1); }
static const char *loss_text(const subject *s) { return cks_words_number(s->draft, s->a->leader_loss, loss_digits(s)); }
static const char *unit_text(const subject *s) { return cks_unit_text(s->trait->unit); }
static const char *trait_text(const subject *s) { return s->trait->label; }
static const char *groups_text(const subject *s) { return cks_groups_answer(s->draft, s->trait, s->a); }
static const char *group_heading_text(const subject *s)
{
  return cks_draft_text(s->draft, s->draft->results->by_group.heading);
}

static const char *aside_text(const subject *s) { return cks_draft_text(s->draft, s->a->aside); }
static const char *count_text(const subject *s, size_t n) { return cks_arena_format(s->draft->arena, "%zu", n); }
static const char *n_text(const subject *s) { return count_text(s, compared(s->a)); }
static const char *n_top_text(const subject *s) { return count_text(s, s->a->n_top); }
static const char *n_apart_text(const subject *s) { return count_text(s, count_apart(s)); }
static const char *n_beside_text(const subject *s) { return count_text(s, s->a->n_top - 1); }
static const char *n_out_text(const subject *s) { return count_text(s, compared(s->a) - s->a->n_top); }
static const char *n_places_text(const subject *s) { return count_text(s, s->trait->n_location); }
static const char *strays_text(const subject *s) { return count_text(s, s->strays); }
static const char *places_text(const subject *s) { return cks_words_places(s->draft, s->a); }
static const char *cv_limit_text(const subject *s)
{
  return cks_arena_format(s->draft->arena, "%.6g", s->draft->settings->cv_limit);
}
static const char *why_text(const subject *s) { return s->a->why; }
static const char *no_lsd_text(const subject *s) { return s->a->lsd_why; }
static const char *no_letters_text(const subject *s) { return s->a->group_why; }
static const char *note_text(const subject *s) { return s->a->note; }
static const char *lack_text(const subject *s) { return s->a->lack; }
static const char *joined_text(const subject *s) { return s->a->joined; }
static const char *left_text(const subject *s) { return s->a->apart; }
static const char *why_not_across_text(const subject *s)
{
  const cks_analysis *across = s->trait->across;
  return across && *across->why ? cks_words_reason(s->draft, across->why) : "means only";
}

static const char *no_call_text(const subject *s) { return s->trait->maturity->no_call; }

/* The hybrids of a call; of those that hold or shift the ones told at once, or the others. */
static const char *called(const subject *s, cks_maturity_call call, bool at_once)
{
  const cks_maturity *m = s->trait->maturity;
  const char **name = cks_arena_take(s->draft->arena, m->n_hybrid, sizeof *name);
  size_t n = 0;
  for (size_t i = 0; name && i < m->n_hybrid; i++)
    if (m->hybrid[i].call == call && m->hybrid[i].at_once == at_once)
      name[n++] = cks_words_hybrid(s->draft, m->hybrid[i].hybrid);
  return name ? cks_words_list(s->draft, n, name) : "";
}

static const char *holds_text(const subject *s) { return called(s, CKS_CALL_HOLDS, true); }
static const char *shifts_text(const subject *s) { return called(s, CKS_CALL_SHIFTS, true); }
static const char *typical_text(const subject *s) { return called(s, CKS_CALL_TYPICAL, false); }

/* "Marl 5 (holds); Orrin 66 and Verrow A (shifts)" */
static const char *chance_text(const subject *s)
{
  const char *holds = called(s, CKS_CALL_HOLDS, false), *shifts = called(s, CKS_CALL_SHIFTS, false);
  return cks_arena_format(s->draft->arena, "%s%s%s%s%s", holds, *holds ? " (holds)" : "", *holds && *shifts ? "; " : "",
                          shifts, *shifts ? " (shifts)" : "");
}

/* Many are counted: it is no finding. */
static const char *cannot_text(const subject *s)
{
  enum { MOST_NAMED = 6 };
  const cks_maturity *m = s->trait->maturity;
  size_t n = 0;
  for (size_t i = 0; i < m->n_hybrid; i++) n += m->hybrid[i].call == CKS_CALL_CANNOT_TELL;
  return n > MOST_NAMED ? cks_arena_format(s->draft->arena, "%zu of the %zu hybrids", n, m->n_hybrid)
                        : called(s, CKS_CALL_CANNOT_TELL, false);
}

static const char *row_a_text(const subject *s) { return cks_words_hybrid(s->draft, s->row->a); }
static const char *row_b_text(const subject *s) { return cks_words_hybrid(s->draft, s->row->b); }
static const char *row_p_text(const subject *s) { return cks_words_p(s->draft, s->row->p); }
static const char *row_why_text(const subject *s) { return s->row->why; }

/* With its unit, and its sign where the sentence does not say which way. */
static const char *ahead_text(const subject *s)
{
  double ahead = s->row->n == 1 ? s->row->mean_difference : fabs(s->row->mean_difference);
  const char *unit = s->trait->unit == CKS_UNIT_SCORE ? "" : unit_text(s);
  return cks_arena_format(s->draft->arena, "%s%s%s", cks_words_number(s->draft, ahead, loss_digits(s)),
                          *unit ? " " : "", unit);
}

static const char *met_text(const subject *s)
{
  return cks_words_count(s->draft, s->row->n, s->row->n == s->row->n_location ? "place" : "trial");
}

static const struct {
  const char *word;
  const char *(*text)(const subject *);
} fills[] = {
    {"ahead", ahead_text},
    {"met", met_text},
    {"no_call", no_call_text},
    {"holds", holds_text},
    {"shifts", shifts_text},
    {"chance", chance_text},
    {"typical", typical_text},
    {"cannot", cannot_text},
    {"row_a", row_a_text},
    {"row_b", row_b_text},
    {"row_p", row_p_text},
    {"row_why", row_why_text},
    {"alpha", alpha_text},
    {"aside", aside_text},
    {"best", best_text},
    {"cv_limit", cv_limit_text},
    {"design", design_text},
    {"df", df_text},
    {"distance", distance_text},
    {"few_df", few_text},
    {"first", first_text},
    {"group_heading", group_heading_text},
    {"groups", groups_text},
    {"interaction", interaction_text},
    {"joined", joined_text},
    {"lack", lack_text},
    {"level", level_text},
    {"pooled", pooled_text},
    {"served", served_text},
    {"sides", sides_text},
    {"slopes", slopes_text},
    {"ranking", ranking_text},
    {"part", part_text},
    {"leader", first_text},
    {"left", left_text},
    {"loss", loss_text},
    {"n", n_text},
    {"n_apart", n_apart_text},
    {"n_beside", n_beside_text},
    {"n_out", n_out_text},
    {"n_places", n_places_text},
    {"n_top", n_top_text},
    {"no_letters", no_letters_text},
    {"no_lsd", no_lsd_text},
    {"note", note_text},
    {"over", over_text},
    {"p", p_text},
    {"places", places_text},
    {"sed_max", sed_max_text},
    {"sed_min", sed_min_text},
    {"share", share_text},
    {"strays", strays_text},
    {"test", test_text},
    {"trait", trait_text},
    {"unit", unit_text},
    {"why", why_text},
    {"why_not_across", why_not_across_text},
};
enum { N_FILLS = sizeof fills / sizeof *fills };

static const char *fill_of(const subject *s, const char *word, size_t n)
{
  for (size_t i = 0; i < N_FILLS; i++)
    if (strlen(fills[i].word) == n && !strncmp(fills[i].word, word, n)) return fills[i].text(s);
  return "";
}

static const char *filled(const subject *s, const char *text)
{
  const char *done = "";
  for (const char *open; (open = strchr(text, '{')) != NULL;) {
    const char *close = strchr(open, '}');
    done = cks_arena_format(s->draft->arena, "%s%.*s%s", done, (int)(open - text), text,
                            fill_of(s, open + 1, (size_t)(close - open - 1)));
    text = close + 1;
  }
  return cks_arena_format(s->draft->arena, "%s%s", done, text);
}

/* Capital first, one full stop at the end; what goes on behind a heading of its own keeps its small letter. */
static const char *as_sentence(cks_draft *draft, cks_claim_topic topic, const char *text)
{
  size_t n = strlen(text);
  if (topic == CKS_CLAIM_GROUP || topic == CKS_CLAIM_GROUP_P) return text;
  const char *begun = topic == CKS_CLAIM_KEY || topic == CKS_CLAIM_MARK ? text : cks_words_capital(draft, text);
  return cks_arena_format(draft->arena, "%s%s", begun, n && text[n - 1] == '.' ? "" : ".");
}

static const char *sentences(const subject *s, cks_claim_topic topic, uint64_t facts)
{
  const char *text = "";
  for (size_t i = 0; i < N_CLAIMS; i++) {
    const claim *c = &claims[i];
    if (c->topic == topic && (facts & c->when) == c->when && !(facts & c->unless))
      text = cks_draft_sentence(s->draft, text, as_sentence(s->draft, topic, filled(s, c->text)));
  }
  return text;
}

const char *cks_claim(cks_draft *draft, cks_claim_topic topic, const cks_trait_result *trait, const cks_analysis *a)
{
  subject s = {
      draft, trait, a, surest_interaction(a), topic == CKS_CLAIM_DOUBT ? count_strays(draft, trait, a->environment) : 0,
      NULL};
  if (!s.interaction) s.interaction = line_of_means(draft, trait, a);
  return sentences(&s, topic, facts_of(&s));
}

/* Tested on another scale, the mean difference may lie on the other side of 0 than t: that tells nobody apart. */
const char *cks_claim_call(cks_maturity_call call)
{
  static const char *const words[] = {[CKS_CALL_NONE] = "",
                                      [CKS_CALL_CANNOT_TELL] = "cannot tell",
                                      [CKS_CALL_HOLDS] = "holds",
                                      [CKS_CALL_SHIFTS] = "shifts",
                                      [CKS_CALL_TYPICAL] = "typical"};
  return words[call];
}

const char *cks_claim_maturity(cks_draft *draft, const cks_trait_result *trait)
{
  const cks_maturity *m = trait->maturity;
  const subject s = {draft, trait, trait->across, NULL, 0, NULL};
  size_t n[CKS_CALL_TYPICAL + 1] = {0}, chance = 0;
  for (size_t i = 0; m && i < m->n_hybrid; i++) {
    cks_maturity_call call = m->hybrid[i].call;
    bool by_chance = (call == CKS_CALL_HOLDS || call == CKS_CALL_SHIFTS) && !m->hybrid[i].at_once;
    n[call] += !by_chance;
    chance += by_chance;
  }
  bool none = m && *m->no_call, alike = m && !none && trait->interaction->slopes_p > draft->results->alpha;
  return sentences(&s, CKS_CLAIM_MATURITY,
                   bit(CALL_ONCE, !m) | bit(CALL_NONE, none) | bit(CALL_ALIKE, alike) |
                       bit(CALL_HOLDS, n[CKS_CALL_HOLDS]) | bit(CALL_SHIFTS, n[CKS_CALL_SHIFTS]) |
                       bit(CALL_CHANCE, chance) | bit(CALL_TYPICAL, n[CKS_CALL_TYPICAL]) |
                       bit(CALL_CANNOT, n[CKS_CALL_CANNOT_TELL]));
}

const char *cks_claim_versus(cks_draft *draft, const cks_trait_result *trait, const cks_versus_row *row)
{
  const subject s = {draft, trait, NULL, NULL, 0, row};
  bool told = row->p <= draft->results->alpha && row->t * row->mean_difference > 0;
  return sentences(&s, CKS_CLAIM_VERSUS,
                   bit(ROW_TESTED, !cks_is_missing(row->p)) | bit(ROW_TOLD, told) |
                       bit(ROW_ABOVE, row->mean_difference > 0) | bit(ROW_LOW, trait->better == CKS_BETTER_LOW) |
                       bit(ROW_ONE, row->n == 1) | bit(ROW_NEVER, row->n == 0) | bit(ROW_WHY, *row->why));
}
