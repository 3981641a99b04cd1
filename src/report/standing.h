/*
 * standing.h: tables with a row a hybrid: the ranked table of the screen, the handout's table and the full tables.
 *
 * Such a table is planned as a list of columns, each of a kind; the kinds are rows of one table in standing.c. Feet
 * (mean, LSD, CV %) come by themselves and only where a column has something in them.
 */
#ifndef CKS_REPORT_STANDING_H
#define CKS_REPORT_STANDING_H

#include "cells.h"
#include "shown.h"
#include "words.h"

typedef enum {
  CKS_SHOW_RANK,
  CKS_SHOW_HYBRID,
  CKS_SHOW_MEAN,         /* adjusted mean; the heading is the trait's */
  CKS_SHOW_SPAN,         /* the same, blank where the hybrid is not meant to have one */
  CKS_SHOW_UNADJUSTED,   /* the same without the strip adjustment */
  CKS_SHOW_TOP,          /* "top" */
  CKS_SHOW_PCT_CHECK,    /* percent of a check */
  CKS_SHOW_VS_CHECK,     /* "above", "below" or blank */
  CKS_SHOW_DIFFERENCE,   /* from a check */
  CKS_SHOW_CI_LOW,       /* of that difference: where its interval begins */
  CKS_SHOW_CI_HIGH,      /* ... and ends */
  CKS_SHOW_P_CHECK,      /* of that difference */
  CKS_SHOW_PLACES,       /* locations with a value */
  CKS_SHOW_ENVIRONMENTS, /* the same as what they are where there are several years or trials; of one place 1 */
  CKS_SHOW_YEARS,        /* different ones among them */
  CKS_SHOW_LETTERS,
  CKS_SHOW_SE,
  CKS_SHOW_RAW_MEAN,
  CKS_SHOW_PLOTS,
  CKS_SHOW_PCT_MEAN,
  CKS_SHOW_SHRUNKEN,    /* of a mixed model, hybrids random; blank where it is the mean itself */
  CKS_SHOW_RELIABILITY, /* of the shrunken mean */
  CKS_SHOW_STRIP,       /* number of the row's strip */
  CKS_SHOW_KINDS
} cks_show;

typedef struct {
  cks_show show;
  const cks_trait_result *trait;
  const cks_analysis *analysis; /* NULL: there is none, the cells stay blank */
  size_t check;                 /* index into results.check */
  const char *group;            /* heading above, "" none */
  bool below_check;             /* the heading above names the check */
} cks_plan_column;

/* By group each group is a block: its head, its hybrids, and how far two of them must be apart. Those set aside are the
 * last block. */
typedef enum { CKS_ROW_HYBRID, CKS_ROW_BLOCK, CKS_ROW_DISTANCE } cks_row_kind;

typedef struct {
  cks_row_kind kind;
  uint32_t
      id; /* hybrid; of a block and a distance the group, an index into results.by_group.name, CKS_NONE: set aside */
  cks_id plot; /* the hybrid's plot that the row is, CKS_NONE: all of them */
} cks_plan_row;

typedef struct {
  size_t n_column, n_row;
  cks_plan_column *column;
  const cks_plan_row *row;  /* size n_row: in the order printed */
  const cks_analysis *main; /* what the table is about: its alpha, its top group marks the rows */
  const cks_trait_result *trait;
  const char *check_word; /* stands behind a check's name */
  bool lead_only_cv;      /* CV only for yield, as growers read it */
  bool no_feet;           /* its rows are some of the analysis' hybrids, whose mean is not theirs */
} cks_plan;

/* Rows of the analysis' own hybrids, in its order and blocks; no columns yet. */
cks_plan cks_plan_of(cks_draft *draft, const cks_trait_result *trait, const cks_analysis *analysis,
                     const char *check_word);
void cks_plan_add(cks_draft *draft, cks_plan *plan, cks_show show, const cks_trait_result *trait,
                  const cks_analysis *analysis, size_t check, const char *group);
/* The percent of a check, the difference from it and whether that is one, below a heading that names the check. */
void cks_plan_add_check(cks_draft *draft, cks_plan *plan, size_t check);
/* The same with columns of these kinds; n of them. */
void cks_plan_add_against(cks_draft *draft, cks_plan *plan, size_t check, const cks_show *shows, size_t n);
/* Rank, hybrid, mean, top, percent of the first check and the comparison with it: those that may be shown. */
void cks_plan_add_answer(cks_draft *draft, cks_plan *plan, bool rank, bool vs, const char *group);
/* The moisture of forage yields that stand in the plan beside what leads; "". */
const char *cks_plan_forage_basis(cks_draft *draft, const cks_plan *plan);
/* Means of the other traits in the order that growers ask for, from each one's analysis in environment (CKS_NONE:
 * across), while the table stays within `columns`; those that do not fit are named in the text returned, else "". */
const char *cks_plan_add_traits(cks_draft *draft, cks_plan *plan, cks_id environment, size_t columns);
size_t cks_plan_hybrids(const cks_plan *plan);                 /* rows that are hybrids */
size_t cks_plan_width(cks_draft *draft, const cks_plan *plan); /* columns of text, gaps included */
/* Takes out of plans with the same columns those that in each of them are empty or the same for every hybrid; said[i]
 * then tells of plan i: "Each hybrid: 24 plots, standard error 2.50.", or "". */
void cks_plan_take_common(cks_draft *draft, size_t n_plan, cks_plan *plans, const char **said);
cks_report_table *cks_plan_table(cks_draft *draft, const cks_plan *plan, const char *key, const char *title);

/* The mean's heading of a check in a narrow column: its short name, or "ck 1" where that is too long. */
const char *cks_standing_check(cks_draft *draft, size_t check);
/* Says which checks the plan's headings shorten: "Qrtr 7 = Quarter 7."; "" when none. */
const char *cks_plan_check_keys(cks_draft *draft, const cks_plan *plan);
/* Why traits whose means are shown have no LSD or MSD in a table that has some, "" when all have: "No LSD for lodging: ...". */
const char *cks_plan_no_lsd(cks_draft *draft, const cks_plan *plan);

#endif
