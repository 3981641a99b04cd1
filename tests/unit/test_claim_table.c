/*
 * test_claim_table.c: each sentence about a result stands where its facts hold and nowhere else: the usual trial changed
 * in one thing at a time, and what is then said of it.
 */
#include "../../src/report/claims.h"
#include "support/make_results.h"
#include "support/support.h"

#include <math.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

typedef enum { AT_PLACE, ACROSS } where;

/* What is changed in the trait and its analysis at hand. */
typedef enum {
  NOTHING,
  NOT_FOUND,
  ALONE_AT_TOP,
  UNEQUAL,
  BEST_LAST, /* a row outside the top group stands before one inside */
  BY_TUKEY,
  BY_BONFERRONI,
  BY_DUNNETT,
  BY_BEST,
  UNPROTECTED_NS,
  IS_ARCSINE,
  IS_RATING,
  IS_NO_END,
  IS_LOW,
  IS_MEANS,
  MEANS_AND_ASIDE,
  IS_FIXED,
  TWO_YEARS,
  TWO_YEARS_FEW,
  THREE_YEARS,
  ONE_PLACE_SEASONS,
  SINGLE_PLOTS,
  NO_INTERACTION,
  INTERACTION,
  NOT_TESTED,
  FEW_DF,
  HIGH_CV,
  BY_MIXED,
  OWN_ERRORS_ASKED,
  SAMPLED_ASKED,
  BY_CHECKS, /* a mixed model in which checks alone tie sets together */
  BY_SHRUNKEN,
  BY_BLOCKS,
  STANDS_ONCE,
  RANDOM_ASKED,
  PLACES_LEFT,
  HYBRIDS_ASIDE,
  WITH_LOSS,
  LOW_WITH_LOSS,
  NOT_TOGETHER,
  ORDER_CHANGES,
  ONE_RANKING,
  ONE_OF_PART, /* of an incomplete table */
  CANNOT_TELL
} change;

typedef struct {
  change what;
  where at;
  cks_claim_topic topic;
  const char *says, *not_says; /* not_says: NULL, nothing more is asked */
} claim_case;

/* clang-format off */
static const claim_case cases[] = {
    {NOTHING, ACROSS, CKS_CLAIM_RULE, "only where F finds differences", "at once"},
    {NOTHING, ACROSS, CKS_CLAIM_RULE, "up to about 20 % are left out of the top group by chance", "with the best"},
    {BY_TUKEY, ACROSS, CKS_CLAIM_RULE, "at once by Tukey's test: that any two like hybrids are told apart has a chance of 0.05 at most", "LSD"},
    {BY_BONFERRONI, ACROSS, CKS_CLAIM_RULE, "at once by Bonferroni's t", "Tukey"},
    {BY_DUNNETT, ACROSS, CKS_CLAIM_RULE, "by Dunnett's test, all hybrids with that check at once", NULL},
    {BY_BEST, ACROSS, CKS_CLAIM_RULE, "by comparisons with the best: that the truly best hybrid is left out has a chance of 0.05", "left out of the top group"},
    {NOTHING, ACROSS, CKS_CLAIM_TEST, "LSD at alpha 0.05 with 65 error df; balanced series.", "MSD"},
    {BY_TUKEY, ACROSS, CKS_CLAIM_TEST, "MSD at alpha 0.05", "LSD"},
    {UNPROTECTED_NS, AT_PLACE, CKS_CLAIM_TEST, "F is not significant (p 0.300): LSD and top group stand by request only.", NULL},
    {UNEQUAL, AT_PLACE, CKS_CLAIM_TEST, "Pairs differ in precision: the LSD is the mean one", NULL},
    {IS_ARCSINE, AT_PLACE, CKS_CLAIM_TEST, "no LSD in percent is printed", "Pairs differ"},
    {NOTHING, ACROSS, CKS_CLAIM_TEST, "Locations random: it speaks for farms like these", "fixed"},
    {IS_FIXED, ACROSS, CKS_CLAIM_TEST, "Locations fixed: it speaks for these places only", "farms like these"},
    {ONE_PLACE_SEASONS, ACROSS, CKS_CLAIM_TEST, "not for other farms", "farms like these"},
    {IS_MEANS, AT_PLACE, CKS_CLAIM_TEST, "One plot a hybrid.", "LSD"},
    {NOT_FOUND, AT_PLACE, CKS_CLAIM_TABLE, "No differences found: these hybrids cannot be told apart, so nothing is ranked.", NULL},
    {NOTHING, ACROSS, CKS_CLAIM_ORDER, "The first 4 cannot be told apart: their order is no finding.", "alone"},
    {NOTHING, ACROSS, CKS_CLAIM_ORDER, "Of others as good, up to about 20 % are left out by chance.", "next time"},
    {ALONE_AT_TOP, ACROSS, CKS_CLAIM_ORDER, "One hybrid stands alone as the highest. Of others as good", "The first"},
    {UNEQUAL, ACROSS, CKS_CLAIM_ORDER, "4 are not different from the highest", "The first"},
    {BEST_LAST, ACROSS, CKS_CLAIM_ORDER, "4 are not different from the highest", "The first"},
    {BY_BEST, ACROSS, CKS_CLAIM_ORDER, "Any of the first 4 may be the best", "told apart"},
    {BY_TUKEY, ACROSS, CKS_CLAIM_ORDER, "The first 4 cannot be told apart", "by chance"},
    {NOT_FOUND, ACROSS, CKS_CLAIM_ORDER, "No differences in yield found: these hybrids cannot be told apart (F test, p", "first"},
    {IS_NO_END, ACROSS, CKS_CLAIM_ORDER, "Neither end of this trait is the good one", "first"},
    {IS_MEANS, AT_PLACE, CKS_CLAIM_ORDER, "Means only: nothing here is ranked or compared. One plot a hybrid.", "top"},
    {MEANS_AND_ASIDE, ACROSS, CKS_CLAIM_ORDER, "Means only", "Set aside"},
    {MEANS_AND_ASIDE, ACROSS, CKS_CLAIM_DOUBT, "Set aside: Ash; no mean", NULL},
    {WITH_LOSS, ACROSS, CKS_CLAIM_ORDER, "Expect at least 2.6 bu/ac less of ", "about 2.6"},
    {LOW_WITH_LOSS, ACROSS, CKS_CLAIM_ORDER, "Expect at least 2.6 bu/ac more of ", "less of"},
    {NOTHING, AT_PLACE, CKS_CLAIM_HERE, "At this place 4 hybrids are in the top group: their yields cannot be told apart.", NULL},
    {ALONE_AT_TOP, AT_PLACE, CKS_CLAIM_HERE, " stands alone at the top: every other hybrid is different from it.", "hybrids are in"},
    {UNEQUAL, AT_PLACE, CKS_CLAIM_HERE, "the best, and 3 not shown to differ from it", "told apart"},
    {BY_BEST, AT_PLACE, CKS_CLAIM_HERE, "any of them may be the best", "told apart"},
    {NOT_FOUND, AT_PLACE, CKS_CLAIM_HERE, "no differences in yield were found: these 14 hybrids cannot be told apart", "top group"},
    {IS_NO_END, AT_PLACE, CKS_CLAIM_HERE, "Neither end of yield is the good one", "top group"},
    {IS_MEANS, AT_PLACE, CKS_CLAIM_HERE, "This place alone cannot rank hybrids: one plot a hybrid.", NULL},
    {UNPROTECTED_NS, AT_PLACE, CKS_CLAIM_HERE, "the F test finds no differences (p 0.300); the rest is shown by request. At this place 4", NULL},
    {NOTHING, ACROSS, CKS_CLAIM_OVER_ALL, "they stand on 6 places, not one.", "only"},
    {IS_FIXED, ACROSS, CKS_CLAIM_OVER_ALL, "not of other farms or years.", "not one"},
    {NOT_FOUND, ACROSS, CKS_CLAIM_OVER_ALL, "Over the 6 places no differences were found", "To choose"},
    {NOT_TOGETHER, AT_PLACE, CKS_CLAIM_ALONE, "The 6 places were not put together: ", "weak evidence"},
    {NOTHING, AT_PLACE, CKS_CLAIM_KEY, "not different from the highest; of others as good, up to about 20 % are left out", NULL},
    {IS_LOW, AT_PLACE, CKS_CLAIM_KEY, "not different from the lowest", "highest"},
    {BY_BEST, AT_PLACE, CKS_CLAIM_KEY, "may be the best, by comparisons with the best.", "not different"},
    {BY_BONFERRONI, AT_PLACE, CKS_CLAIM_KEY, "not different from the highest by Bonferroni's t of all pairs.", "chance"},
    {NOTHING, AT_PLACE, CKS_CLAIM_APART, "more than the LSD apart. NS = no differences found.", NULL},
    {UNEQUAL, AT_PLACE, CKS_CLAIM_APART, "the LSD printed is the mean one", "Two hybrids differ"},
    {IS_ARCSINE, AT_PLACE, CKS_CLAIM_APART, "no LSD is printed", "Two hybrids differ"},
    {IS_MEANS, AT_PLACE, CKS_CLAIM_APART, "", "LSD"},
    {INTERACTION, ACROSS, CKS_CLAIM_PLACES, "Hybrids answer differently from place to place (hybrid x location p 0.010)", "No proof"},
    {NO_INTERACTION, ACROSS, CKS_CLAIM_PLACES, "No proof that hybrids answer differently from place to place (hybrid x location p 0.400).", "Hybrids answer"},
    {NOT_TESTED, ACROSS, CKS_CLAIM_PLACES, "was not tested", "No proof"},
    {ORDER_CHANGES, ACROSS, CKS_CLAIM_PLACES, "The order changes from place to place (hybrid x location p 0.002): ", "best of one"},
    {ORDER_CHANGES, ACROSS, CKS_CLAIM_PLACES, "No one ranking serves these places.", "cannot tell"},
    {ONE_RANKING, ACROSS, CKS_CLAIM_PLACES, "One ranking serves these places: hybrids change between them by less than half", "No proof"},
    {ONE_RANKING, ACROSS, CKS_CLAIM_PLACES, "at the 95 % limit; hybrid x location p 0.002)", "without gaps"},
    {ONE_OF_PART, ACROSS, CKS_CLAIM_PLACES, "limit of the 9 hybrids at 4 of 6 environments without gaps; ", NULL},
    {CANNOT_TELL, ACROSS, CKS_CLAIM_PLACES, "Whether one ranking serves these places: cannot tell from these plots.", "One ranking serves"},
    {NOTHING, ACROSS, CKS_CLAIM_PLACES, "", "ranking"},
    {ORDER_CHANGES, AT_PLACE, CKS_CLAIM_PLACES, "", "order changes"},
    {NOTHING, ACROSS, CKS_CLAIM_SEASON, "This season only", "Two years"},
    {TWO_YEARS, ACROSS, CKS_CLAIM_SEASON, "Two years say little about a third.", "This season"},
    {THREE_YEARS, ACROSS, CKS_CLAIM_SEASON, "", "year"},
    {ONE_PLACE_SEASONS, ACROSS, CKS_CLAIM_SEASON, "One place only: it says nothing of other farms.", "season only"},
    {NOTHING, AT_PLACE, CKS_CLAIM_SEASON, "One place in one year is weak evidence", "This season"},
    {BY_MIXED, ACROSS, CKS_CLAIM_PLACES, "Some hybrids are missing, so the means are adjusted by a mixed model (REML)", "shrunken"},
    {BY_MIXED, ACROSS, CKS_CLAIM_PLACES, "", "by request"},
    {BY_MIXED, ACROSS, CKS_CLAIM_DOUBT, "", "mixed model"},
    {OWN_ERRORS_ASKED, ACROSS, CKS_CLAIM_PLACES, "Each place has an error of its own, by request", "random by request"},
    {SAMPLED_ASKED, ACROSS, CKS_CLAIM_PLACES, "Environments are random by request.", "of its own"},
    {BY_CHECKS, ACROSS, CKS_CLAIM_PLACES, "Sets are compared through checks alone.", "by request"},
    {BY_SHRUNKEN, ACROSS, CKS_CLAIM_PLACES, "Some hybrids are missing: shrunken means by a mixed model", "adjusted"},
    {BY_SHRUNKEN, ACROSS, CKS_CLAIM_ORDER, "Shrunken means, hybrids random by request: nothing here is ranked or compared.", "Means only"},
    {BY_SHRUNKEN, ACROSS, CKS_CLAIM_OVER_ALL, "shrunken means, which are predictions", "To choose"},
    {RANDOM_ASKED, AT_PLACE, CKS_CLAIM_DOUBT, "Hybrids are fixed here", NULL},
    {BY_BLOCKS, AT_PLACE, CKS_CLAIM_DOUBT, "", "fixed here"},
    {STANDS_ONCE, AT_PLACE, CKS_CLAIM_HERE, "One plot of each hybrid here: this place alone cannot rank them.", "4 df"},
    {IS_MEANS, AT_PLACE, CKS_CLAIM_HERE, "This place alone cannot rank hybrids: one plot a hybrid.", "of each"},
    {BY_BLOCKS, AT_PLACE, CKS_CLAIM_DOUBT, "Incomplete blocks: the means are adjusted for them", "missing"},
    {HIGH_CV, AT_PLACE, CKS_CLAIM_DOUBT, "The CV is above 20 %", NULL},
    {PLACES_LEFT, ACROSS, CKS_CLAIM_DOUBT, "Not in the means: Creek.", NULL},
    {HYBRIDS_ASIDE, ACROSS, CKS_CLAIM_DOUBT, "Set aside: Ash; no mean over places, not compared over them.", NULL},
    {UNPROTECTED_NS, AT_PLACE, CKS_CLAIM_DOUBT, "stand by request only", NULL},
    {IS_RATING, AT_PLACE, CKS_CLAIM_DOUBT, "A rating is no measurement", NULL},
    {IS_FIXED, ACROSS, CKS_CLAIM_DOUBT, "Said of these places in this season only, not of other farms or years.", NULL},
    {SINGLE_PLOTS, ACROSS, CKS_CLAIM_DOUBT, "how hybrids change from place to place is the error", NULL},
    {TWO_YEARS_FEW, ACROSS, CKS_CLAIM_DOUBT, "more often than 0.05", NULL},
    {TWO_YEARS, ACROSS, CKS_CLAIM_DOUBT, "", "more often than"},
    {FEW_DF, AT_PLACE, CKS_CLAIM_DOUBT, "Few plots stand behind the error (3 degrees of freedom)", NULL},
    {NOTHING, AT_PLACE, CKS_CLAIM_DOUBT, "", "Few plots"},
    {NOTHING, ACROSS, CKS_CLAIM_DOUBT, "", "places"},
    {NOTHING, ACROSS, CKS_CLAIM_NEXT_YEAR, "These lists are no decision: another season may change them.", "third list"},
    {NOTHING, ACROSS, CKS_CLAIM_NEXT_YEAR, "up to about 20 % are left out of a top group by chance", "One place"},
    {BY_TUKEY, ACROSS, CKS_CLAIM_NEXT_YEAR, "no decision", "by chance"},
    {NOT_FOUND, ACROSS, CKS_CLAIM_NEXT_YEAR, "No differences in yield found (F test, p", "by chance"},
    {NOTHING, AT_PLACE, CKS_CLAIM_NEXT_YEAR, "One place in one season cannot say, so every hybrid stands in the third list.", "left out"},
    {IS_MEANS, ACROSS, CKS_CLAIM_NEXT_YEAR, "Nothing is compared over places, so every hybrid stands in the third list. One plot a hybrid.", "One place"},
    {BY_SHRUNKEN, ACROSS, CKS_CLAIM_NEXT_YEAR, "Shrunken means are predictions and are not compared", "Nothing is compared"},
    {NOTHING, ACROSS, CKS_CLAIM_AGAINST, "the 95 % interval of the difference: of that comparison by itself, not of all at once", "leaves out 0"},
    {NOT_FOUND, ACROSS, CKS_CLAIM_AGAINST, "nothing is above or below a check, even where an interval leaves out 0", "Dunnett"},
    {BY_DUNNETT, ACROSS, CKS_CLAIM_AGAINST, "by Dunnett's test, of all hybrids against that check at once", "by itself"},
    {BY_TUKEY, ACROSS, CKS_CLAIM_AGAINST, "by Tukey's test, of all pairs at once", "by itself"},
    {IS_ARCSINE, ACROSS, CKS_CLAIM_AGAINST, "a difference has no interval in percent", "Low and high"},
    {IS_LOW, ACROSS, CKS_CLAIM_AGAINST, "The low end of yield is the good one", NULL},
    {IS_MEANS, ACROSS, CKS_CLAIM_AGAINST, "", "interval"},
};
/* clang-format on */

static void set_interaction(cks_analysis *a, double p)
{
  for (size_t i = 0; i < a->n_anova; i++)
    if (!strncmp(a->anova[i].source, "hybrid x", 8)) a->anova[i].p = p;
}

/* The first n rows in the top group, the others out, ranked. */
static void set_top(cks_analysis *a, uint32_t n)
{
  for (uint32_t i = 0; i < a->n_hybrid; i++) {
    a->hybrid[i].top = i < n ? CKS_TOP_IN : CKS_TOP_OUT;
    a->hybrid[i].rank = i + 1;
  }
  a->n_top = n;
}

/* A trial where differences are found, four hybrids in the top group, and nothing to doubt. */
static void make_usual(cks_analysis *a)
{
  a->found = a->significant = a->equal_sed = true;
  a->lsd = 6.3;
  a->lsd_df = a->den_df;
  a->leader_loss = cks_missing();
  a->left_out_share = 0.2;
  a->comparison = a->top_rule = "lsd";
  if (a->environment == CKS_NONE) a->locations_as = "random";
  a->lsd_why = "";
  a->cv_pct = 8;
  set_top(a, 4);
}

static bool is_mixed(change what) { return what >= BY_MIXED && what <= BY_BLOCKS; }

/* By REML: a series, the same in other ways, incomplete blocks at a place. */
static void change_model(change what, cks_analysis *a)
{
  a->method = CKS_METHOD_REML;
  if (what != BY_BLOCKS) a->lack = "some hybrids are missing";
  if (what == BY_SHRUNKEN) a->f = a->p = a->lsd = cks_missing();
  if (what == SAMPLED_ASKED) a->environment_effect = "random";
  if (what == BY_CHECKS) a->joined = "sets are compared through checks alone";
}

/* A pair that changes sides between the first two environments. */
static void change_verdict(change what, cks_trait_result *t)
{
  static cks_crossover pair = {0, 1, 0, 1, 9, -9};
  static cks_interaction judged;
  judged = (cks_interaction){.why = "", .basis = "", .p = 0.002, .crossovers = 1, .n_crossover = 1, .crossover = &pair};
  judged.verdict = what == ORDER_CHANGES                        ? CKS_VERDICT_CHANGES
                   : what == ONE_RANKING || what == ONE_OF_PART ? CKS_VERDICT_ONE_RANKING
                                                                : CKS_VERDICT_CANNOT_TELL;
  judged.n_hybrid = 14;
  judged.n_environment = 6;
  judged.table_hybrids = what == ONE_OF_PART ? 9 : 14;
  judged.component_environments = what == ONE_OF_PART ? 4 : 6;
  if (what >= ORDER_CHANGES) t->interaction = &judged;
}

static void change_trait(change what, cks_trait_result *t)
{
  change_verdict(what, t);
  if (what == IS_ARCSINE) t->arcsine = true;
  if (is_mixed(what)) change_model(what, what == BY_BLOCKS ? &t->location[0] : t->across);
  if (what == IS_RATING) t->measure = CKS_MEASURE_RATING;
  if (what == IS_NO_END) t->better = CKS_BETTER_NONE;
  if (what == IS_LOW || what == LOW_WITH_LOSS) t->better = CKS_BETTER_LOW;
  if (what == NOT_TOGETHER) t->across->why = "means over places need a mixed model";
}

static void change_rule(change what, cks_settings *settings, cks_analysis *a)
{
  if (what == BY_TUKEY) settings->comparison = CKS_COMPARE_TUKEY;
  if (what == BY_BONFERRONI) settings->comparison = CKS_COMPARE_BONFERRONI;
  if (what == BY_DUNNETT) settings->comparison = CKS_COMPARE_DUNNETT;
  if (what == BY_BEST) settings->top_best = true;
  if (what == RANDOM_ASKED) settings->hybrids_random = true;
  if (what == OWN_ERRORS_ASKED) settings->error_by_location = true;
  if (what == BY_TUKEY || what == BY_BONFERRONI) {
    a->protected_rule = false;
    a->lsd = cks_missing();
    a->critical_difference = 9;
    a->comparison = a->top_rule = what == BY_TUKEY ? "tukey" : "bonferroni";
    a->lsd_why = "hybrids are compared by a rule of its own, see the critical difference";
  }
  if (what == UNPROTECTED_NS) {
    a->significant = a->protected_rule = false;
    a->p = 0.3;
  }
}

static void change_figures(change what, cks_analysis *a)
{
  if (what == NOT_FOUND) a->found = a->significant = false;
  if (what == ALONE_AT_TOP) set_top(a, 1);
  if (what == UNEQUAL) a->equal_sed = false;
  if (what == UNEQUAL) a->sed_min = a->sed / 2;
  if (what == BEST_LAST) a->hybrid[1].top = CKS_TOP_OUT, a->hybrid[4].top = CKS_TOP_IN;
  if (what == WITH_LOSS || what == LOW_WITH_LOSS) a->leader_loss = 2.6;
  if (what == FEW_DF) a->den_df = 3;
  if (what == HIGH_CV) a->cv_pct = 21;
  if (what == STANDS_ONCE) a->design = "single plots with repeated checks";
  if (what == IS_MEANS || what == MEANS_AND_ASIDE || what == STANDS_ONCE) {
    a->method = CKS_METHOD_MEANS;
    a->why = what == STANDS_ONCE ? "the check plots leave 4 df" : "one plot a hybrid";
    a->f = a->p = a->lsd = cks_missing();
    a->found = false;
  }
}

static void change_places(change what, cks_analysis *a)
{
  if (what == IS_FIXED || what == NOT_TESTED) a->locations_as = "fixed";
  if (what == TWO_YEARS || what == TWO_YEARS_FEW) a->n_year = 2;
  if (what == TWO_YEARS_FEW) a->n_hybrid = 8;
  if (what == THREE_YEARS) a->n_year = 3;
  if (what == ONE_PLACE_SEASONS) a->n_location = 1;
  if (what == SINGLE_PLOTS) a->reps = 1;
  if (what == NO_INTERACTION) set_interaction(a, 0.4);
  if (what == INTERACTION) set_interaction(a, 0.01);
  if (what == NOT_TESTED) set_interaction(a, cks_missing());
  if (what == PLACES_LEFT) a->apart = "not in the means: Creek";
  if (what == HYBRIDS_ASIDE || what == MEANS_AND_ASIDE) a->aside = a->note = "set aside: Ash";
}

static void claims_when_one_thing_changes_then_what_is_said_changes_with_it(void **state)
{
  (void)state;
  for (size_t i = 0; i < COUNT(cases); i++) {
    const claim_case *c = &cases[i];
    made m;
    made_options options = made_usual();
    assert_int_equal(made_new(&m, &options), 0);
    cks_trait_result *t = &m.results->trait[0];
    cks_analysis *a = c->at == ACROSS ? t->across : &t->location[0];
    make_usual(a);
    change_trait(c->what, t);
    change_rule(c->what, &m.settings, a);
    change_figures(c->what, a);
    change_places(c->what, a);
    m.findings->n = 0;
    cks_draft draft = {.settings = &m.settings,
                       .trial = m.trial,
                       .results = m.results,
                       .findings = m.findings,
                       .lead = t,
                       .arena = cks_arena_new()};
    assert_non_null(draft.arena);
    const char *said = cks_claim(&draft, c->topic, t, a);
    if (!strstr(said, c->says)) fail_msg("case %zu: \"%s\" is not said in: \"%s\"", i, c->says, said);
    if (c->not_says && strstr(said, c->not_says)) fail_msg("case %zu: \"%s\" is said in: \"%s\"", i, c->not_says, said);
    assert_null(strchr(said, '{'));
    cks_arena_free(draft.arena);
    made_free(&m);
  }
}

/* ---- of a pair -------------------------------------------------------------------------------------------------- */

typedef struct {
  cks_versus_row row;
  cks_better better;
  const char *says, *not_says;
} row_case;

static void claims_when_two_hybrids_meet_then_told_apart_by_p_alone(void **state)
{
  const row_case of_rows[] = {
      {{.n = 6, .n_location = 6, .mean_difference = 4.26, .t = 3, .p = 0.03, .why = ""},
       CKS_BETTER_HIGH,
       " by 4.3 bu/ac over 6 places (p 0.030).",
       "below"},
      {{.n = 6, .n_location = 4, .mean_difference = -4.26, .t = -3, .p = 0.05, .why = ""},
       CKS_BETTER_HIGH,
       " by 4.3 bu/ac over 6 trials (p 0.050).",
       "above"},
      {{.n = 6, .n_location = 6, .mean_difference = -4.26, .t = -3, .p = 0.03, .why = ""},
       CKS_BETTER_LOW,
       "The low end is the good one.",
       "above"},
      {{.n = 6, .n_location = 6, .mean_difference = 4.26, .t = 2, .p = 0.051, .why = ""},
       CKS_BETTER_HIGH,
       " cannot be told apart over 6 places (p 0.051).",
       "above"},
      {{.n = 6, .n_location = 6, .mean_difference = 0.1, .t = -3, .p = 0.03, .why = "percent"},
       CKS_BETTER_LOW,
       " cannot be told apart over 6 places",
       "Not tested"}, /* t of the angles says otherwise than the percents */
      {{.n = 1, .n_location = 1, .mean_difference = -4.26, .t = NAN, .p = NAN, .why = "one"},
       CKS_BETTER_HIGH,
       " met once: a difference of -4.3 bu/ac, and nothing to judge it by.",
       "Not tested"},
      {{.n = 0, .mean_difference = NAN, .t = NAN, .p = NAN, .why = "never"},
       CKS_BETTER_HIGH,
       " have values at no place together.",
       "Not tested"},
      {{.n = 3, .n_location = 3, .mean_difference = 2, .t = NAN, .p = NAN, .why = "all alike"},
       CKS_BETTER_HIGH,
       "Not tested: all alike.",
       "told apart"},
  };
  made m;
  made_options options = made_usual();
  (void)state;
  assert_int_equal(made_new(&m, &options), 0);
  cks_trait_result *t = &m.results->trait[0];
  for (size_t i = 0; i < COUNT(of_rows); i++) {
    const row_case *c = &of_rows[i];
    cks_versus_row row = c->row;
    row.a = 0;
    row.b = 1;
    t->better = c->better;
    cks_draft draft = {.settings = &m.settings,
                       .trial = m.trial,
                       .results = m.results,
                       .findings = m.findings,
                       .lead = t,
                       .arena = cks_arena_new()};
    const char *said = cks_claim_versus(&draft, t, &row);
    if (!strstr(said, c->says)) fail_msg("case %zu: \"%s\" is not said in: \"%s\"", i, c->says, said);
    if (strstr(said, c->not_says)) fail_msg("case %zu: \"%s\" is said in: \"%s\"", i, c->not_says, said);
    assert_null(strchr(said, '{'));
    cks_arena_free(draft.arena);
  }
  made_free(&m);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(claims_when_one_thing_changes_then_what_is_said_changes_with_it),
      cmocka_unit_test(claims_when_two_hybrids_meet_then_told_apart_by_p_alone),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
