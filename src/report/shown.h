/*
 * shown.h: what may be shown of an analysis. A rank, a top group or an LSD stands only where the data carry it; every
 * section asks here, so that none can look surer than another.
 */
#ifndef CKS_REPORT_SHOWN_H
#define CKS_REPORT_SHOWN_H

#include "draft.h"

/* An analysis that compares hybrids (not means only, not impossible). */
bool cks_shown_compares(const cks_analysis *analysis);
/* By a mixed model with hybrids random: predictions, which are not compared. */
bool cks_shown_shrunken(const cks_analysis *analysis);
/* It looked for differences and found none: nothing is ranked, and the LSD of the protected rule is "NS". */
bool cks_shown_none_found(const cks_analysis *analysis);
/* Ranks may be printed: the trait has a good end and differences were found (or the rule was switched off). */
bool cks_shown_ranks(const cks_trait_result *trait, const cks_analysis *analysis);
/* There is a top group to mark: with ranks, or, by comparisons with the best, which ask no F, without them. */
bool cks_shown_top(const cks_trait_result *trait, const cks_analysis *analysis);
/* Some differences were found: over all hybrids, or by group within some group. */
bool cks_shown_finds(const cks_analysis *analysis);
/* The line, one of the analysis' own, is set aside: in too few environments to be compared. */
bool cks_shown_aside(const cks_analysis *analysis, const cks_hybrid_result *line);
/* The line is in a top group that may be printed. */
bool cks_shown_line_top(const cks_draft *draft, const cks_trait_result *trait, const cks_analysis *analysis,
                        const cks_hybrid_result *line);
/* One group as if it were an analysis of its own: its rows, F, LSD and what was found. Of a group of one nothing is
 * compared, and why says so. */
cks_analysis cks_shown_group(const cks_analysis *analysis, size_t group);
/* Its first row of rank 1, NULL: none; *n: how many share it. */
const cks_hybrid_result *cks_shown_first(const cks_analysis *analysis, size_t *n);
/* "LSD", or "MSD" (minimum significant difference) where all pairs are compared at once. */
const char *cks_shown_distance_word(const cks_draft *draft);
/* How far two hybrids must be apart; missing where no such distance is shown. */
double cks_shown_distance_value(const cks_draft *draft, const cks_trait_result *trait, const cks_analysis *analysis);
/* The same in `digits` decimals; "NS" where the protected rule found nothing; digits 0 gets one, for an LSD of whole numbers would say 1 for 0.6. */
cks_cell cks_shown_distance(cks_draft *draft, const cks_trait_result *trait, const cks_analysis *analysis);
/* Dunnett's test, which asks no F, tells some hybrid from a check, whether or not F finds anything. */
bool cks_shown_dunnett_finds(const cks_draft *draft, const cks_analysis *analysis);
/* Dunnett's for the first check, as a figure of its own; empty where another comparison is in use. */
cks_cell cks_shown_dunnett(cks_draft *draft, const cks_trait_result *trait, const cks_analysis *analysis);
/* The trait's analysis in an environment, or across for CKS_NONE; NULL: none, or one without any result. */
const cks_analysis *cks_shown_at(const cks_trait_result *trait, cks_id environment);

#endif
