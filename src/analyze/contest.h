/*
 * contest.h: some rows of an analysis lined up from the best mean on, and what may be said of them by the comparison in
 * use: all of them (compare.c), or those of one group (by_group.c).
 */
#ifndef CKS_ANALYZE_CONTEST_H
#define CKS_ANALYZE_CONTEST_H

#include "compare.h"

typedef struct {
  double key; /* smaller is better (or higher, when no end is good) */
  uint32_t local;
} cks_place_in_line;

typedef struct {
  const cks_trait_task *work;
  const cks_contest *contest;   /* of these rows, in the order of member */
  const uint32_t *member;       /* size n: their indexes among the analysis' rows, which stand in local order */
  double value;                 /* critical value of all pairs, as a multiple of a SED */
  double value_low, value_high; /* the same at the largest and smallest df of the pairs; equal where all have one df */
  bool low_is_good;
  bool decides;        /* differences count: tested, and where the rule asks for it F lets them */
  bool all_pairs_rule; /* Tukey or Bonferroni: no LSD */
  bool equal_sed;
  size_t n;
  cks_place_in_line *line; /* size n: best first; line[i].local indexes member */
} cks_line;

/* The rows by mean, equal means by name. line->line: room for n. */
void cks_line_up(cks_line *line, cks_better better);
/* Critical value, rule and whether differences count, from a significant F or none. */
cks_status cks_line_rule(const cks_trait_task *work, bool significant, bool protected_rule, cks_line *line);
bool cks_line_is_beyond(const cks_line *line, size_t i, size_t j, double difference, double value);
bool cks_line_differs(const cks_line *line, size_t i, size_t j);
/* The critical value of one pair, at its own df. */
double cks_line_value(const cks_line *line, size_t i, size_t j);
double cks_line_sed(const cks_line *line, size_t i, size_t j);
/* Does the comparison in use tell any two apart? */
bool cks_line_finds_any(const cks_line *line);
/* Ranks (where something was found), top group and letters of the rows; *n_top: rows in the top group. */
cks_status cks_line_rank(const cks_trait_task *work, const cks_line *line, bool found, cks_analysis *analysis,
                         uint32_t *n_top);
/* Single comparisons leave out more of the hybrids as good as the best the more there are (math/left_out.h): the share of
 * a top group by top_rule; missing where there is none by them. */
double cks_line_left_out(const cks_line *line, bool found, const char *top_rule);

/* ---- by_group.c ------------------------------------------------------------------------------------------------- */

/* The rows by groups, which stay in local order here. */
typedef struct {
  uint32_t *group_of; /* size n_hybrid: index into analysis.group; NULL: not by group */
  uint32_t *order;    /* size n_hybrid: rows as they are to be printed, group by group */
  bool *closed;       /* size n_group: the LSD's F finds nothing within the group */
} cks_by_groups;

/* Fills analysis.group, and of the rows rank, letters and top, each group by itself. */
cks_status cks_by_group_judge(const cks_trait_task *work, const cks_contest *contest, cks_analysis *analysis,
                              cks_by_groups *groups);

#endif
