/* groups.h: what is said of the groups of --by-group. */
#ifndef CKS_REPORT_GROUPS_H
#define CKS_REPORT_GROUPS_H

#include "draft.h"

/* "early"; "not given". group: index into results.by_group.name. */
const char *cks_groups_name(cks_draft *draft, uint32_t group);
/* "maturity: early", as a block of rows is headed. */
const char *cks_groups_label(cks_draft *draft, uint32_t group);
/* What may be said within each group, without a full stop: "early: the first 3 cannot be told apart; late: ...". */
const char *cks_groups_answer(cks_draft *draft, const cks_trait_result *trait, const cks_analysis *analysis);
/* The figures behind it, a line a group: F, df, p, LSD. */
const char *cks_groups_figures(cks_draft *draft, const cks_trait_result *trait, const cks_analysis *analysis);
/* The highest hybrid of the group, or why none is named; with "(of 3)" when it is one of a top group of 3, which *several then says. */
const char *cks_groups_best(cks_draft *draft, const cks_trait_result *trait, const cks_analysis *analysis, size_t group,
                            uint32_t *several);

#endif
