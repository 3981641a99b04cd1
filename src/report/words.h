/* words.h: the sentences and names that several sections share. All texts live in the report's arena or for ever. */
#ifndef CKS_REPORT_WORDS_H
#define CKS_REPORT_WORDS_H

#include "draft.h"

const char *cks_words_count(cks_draft *draft, size_t n, const char *one);        /* "1 plot", "336 plots", "no plots" */
const char *cks_words_list(cks_draft *draft, size_t n, const char *const *word); /* "a, b and c" */
const char *cks_words_capital(cks_draft *draft, const char *text);               /* a first letter a to z made large */
const char *cks_words_large(cks_draft *draft, const char *text);                 /* all letters a to z: our own words */
const char *cks_words_p(cks_draft *draft, double p);                             /* "p 0.003", "p < 0.001" */
const char *cks_words_number(cks_draft *draft, double value, int digits);
const char *cks_words_alpha(cks_draft *draft, double alpha); /* "0.05" */

/* Of a trait's table or chart: "Yield: the fits"; "fits-yield". */
const char *cks_words_title(cks_draft *draft, const cks_trait_result *trait, const char *what);
const char *cks_words_key(cks_draft *draft, const cks_trait_result *trait, const char *what);
const char *cks_words_hybrid(cks_draft *draft, cks_id hybrid); /* brand and name */
/* A check's name with the word that marks it, "Quarter 7 check"; a name that says check itself stays alone. */
const char *cks_words_check(cks_draft *draft, const char *name, const char *word);
/* The name for a narrow heading: itself when it fits in `columns`; else with each word's vowels after its first letter
 * left out and doubled letters once ("Quarter 7": "Qrtr 7"); NULL when that is too long too. */
const char *cks_words_short(cks_draft *draft, const char *name, size_t columns);

const char *cks_words_stacked(cks_draft *draft, const char *text); /* a line break for each blank: a narrow heading */

bool cks_words_crop_assumed(const cks_draft *draft);             /* no crop was stated */
const char *cks_words_reason(cks_draft *draft, const char *why); /* of a `why` its first part, without the way on */
const char *cks_words_file(cks_draft *draft, cks_id file); /* an input's name without its folders; "" for CKS_NONE */
const char *cks_words_years(cks_draft *draft);             /* "2026", "2024 to 2026", "" */
/* "4 reps", "3 to 4 reps"; "" when unknown. */
const char *cks_words_reps(cks_draft *draft, const cks_trait_result *trait);
const char *cks_words_hybrids(cks_draft *draft, size_t n, size_t n_check); /* "14 hybrids (2 checks)" */
/* "Yield in bu/ac (56 lb) at 14.0 % moisture, from plot weights.": unit, basis, and what of them was assumed. */
const char *cks_words_basis(cks_draft *draft, const cks_trait_result *trait);
/* What an analysis over several environments stands on: "6 places"; "9 trials" where there are several years or trials. */
const char *cks_words_places(cks_draft *draft, const cks_analysis *across);
/* Which hybrids stand in too few environments to be ranked over them, and that they have no mean for it; "". */
const char *cks_words_aside(cks_draft *draft, const cks_analysis *across);
const char *
cks_words_highest(const cks_trait_result *trait); /* "highest"; "lowest" where the low end is the good one */
/* The same as what it is the highest of: "highest of those ranked in its group", where some are set aside, by group. */
const char *cks_words_best(cks_draft *draft, const cks_trait_result *trait, const cks_analysis *analysis);
bool cks_words_found(const cks_draft *draft, cks_rule rule); /* a finding of this rule is there */

#endif
