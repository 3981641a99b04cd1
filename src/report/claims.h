/*
 * claims.h: the sentences that say what a result can say and what it cannot: one table of texts, each with the facts of
 * the analysis that print it. No other file words a conclusion about hybrids.
 */
#ifndef CKS_REPORT_CLAIMS_H
#define CKS_REPORT_CLAIMS_H

#include "draft.h"

typedef enum {
  CKS_CLAIM_RULE,      /* which differences count, said once for all tables of a trait */
  CKS_CLAIM_TEST,      /* what stands below one table: level, error df, design, scope, why figures are absent */
  CKS_CLAIM_TABLE,     /* the same, of a table with letters */
  CKS_CLAIM_MARK,      /* first screen: how to read "top" */
  CKS_CLAIM_ORDER,     /* first screen: what the order of the rows is worth */
  CKS_CLAIM_HERE,      /* handout: what this place says */
  CKS_CLAIM_OVER_ALL,  /* handout: what all places say; of the analysis across */
  CKS_CLAIM_ALONE,     /* handout: there is no analysis across; of the place's */
  CKS_CLAIM_KEY,       /* handout: how to read "top" */
  CKS_CLAIM_APART,     /* handout: how two means are told apart */
  CKS_CLAIM_PLACES,    /* whether hybrids answer differently from place to place */
  CKS_CLAIM_SLOPES,    /* whether lines over the environment means differ; of the analysis across */
  CKS_CLAIM_SEASON,    /* what one season, or one place, may be taken for */
  CKS_CLAIM_DOUBT,     /* what makes one doubt it */
  CKS_CLAIM_NEXT_YEAR, /* lists of hybrids: what they are by and what they are not */
  CKS_CLAIM_AGAINST,   /* ... how to read differences from a check in them */
  CKS_CLAIM_GROUP,     /* of a group of --by-group, as cks_shown_group() shows it; without capital and full stop */
  CKS_CLAIM_GROUP_P,   /* ... its p, where that decides */
  CKS_CLAIM_MATURITY,  /* of days to mid-bloom over environments: see cks_claim_maturity() */
  CKS_CLAIM_VERSUS,    /* of a pair of hybrids over the places where both stood: see cks_claim_versus() */
  CKS_CLAIM_TOPICS
} cks_claim_topic;

/* The sentences of the topic that hold for the analysis, in the table's order; "" for none. */
const char *cks_claim(cks_draft *draft, cks_claim_topic topic, const cks_trait_result *trait,
                      const cks_analysis *analysis);
/* What a row of a head-to-head can say. */
/* Who holds the days to mid-bloom and who shifts them, or why nobody is called either. */
const char *cks_claim_maturity(cks_draft *draft, const cks_trait_result *trait);
const char *cks_claim_call(cks_maturity_call call); /* "holds", "cannot tell"; "" for no call */
const char *cks_claim_versus(cks_draft *draft, const cks_trait_result *trait, const cks_versus_row *row);

#endif
