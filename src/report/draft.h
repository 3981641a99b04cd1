/*
 * draft.h: a report while it is being built: sections, parts and tables that grow in the report's arena.
 *
 * The arena remembers a failed allocation, so the section files need not ask after each step: a call that got no memory
 * leaves things as they were, and cks_report_new() asks once at its end. Texts must live as long as the report:
 * literals, or from the arena; those of trial, results and findings are copied by cks_draft_text().
 */
#ifndef CKS_REPORT_DRAFT_H
#define CKS_REPORT_DRAFT_H

#include <checkstrip/run.h>

enum { CKS_PAGE_COLUMNS = 96 }; /* what a screen or a portrait page holds in a line */

typedef struct {
  const cks_settings *settings;
  const cks_trial *trial;
  const cks_results *results;
  const cks_findings *findings;
  const cks_trait_result *lead; /* yield, else the trait that tells most; NULL when none has a result */
  cks_report *report;
  cks_arena *arena;
  size_t n_chart_table;
  const cks_report_table **chart_table; /* data of charts, printed by nobody: the last section of the workbook */
  cks_section spare;                    /* stands in when memory is short */
  cks_error *error;
  cks_status status; /* what a section found wrong with the call, CKS_USAGE or CKS_OK */
} cks_draft;

/* array (n items of `size` bytes) with room for one more: itself, or a copy with twice the room; NULL: out of memory.
 */
void *cks_draft_grow(cks_draft *draft, void *array, size_t n, size_t size);
/* A copy in one line: control characters (a line break in a cell, an escape for the terminal) become blanks; NULL: "".
 */
const char *cks_draft_text(cks_draft *draft, const char *text);

/* Begins a section at the end of the report; valid until the next one is begun. */
cks_section *cks_draft_section(cks_draft *draft, const char *key, const char *title, cks_audience audience);
/* Add to a section. A paragraph that is "" is left out, and so is a table that is NULL. */
void cks_draft_say(cks_draft *draft, cks_section *section, cks_part_kind kind, const char *text);
void cks_draft_table_add(cks_draft *draft, cks_section *section, const cks_report_table *table);
void cks_draft_chart_add(cks_draft *draft, cks_section *section, const cks_chart *chart);
/* A table of empty cells; NULL: out of memory. */
cks_report_table *cks_draft_table(cks_draft *draft, const char *key, const char *title, size_t n_column, size_t n_row,
                                  size_t n_foot);

/* The same with its columns headed, texts to the left, numbers to the right; the first column labels the rows. */
typedef struct {
  const char *key, *label, *narrow; /* narrow: NULL, or stacked as in cks_report_column */
  bool text;
} cks_heading;
cks_report_table *cks_draft_headed(cks_draft *draft, const char *key, const char *title, size_t n_column,
                                   const cks_heading *heading, size_t n_row);
/* Takes away the columns without a figure or a text, but for the first. */
void cks_draft_drop_blank(cks_report_table *table);

/* Joins: text, then a line break (or a space) and more; either may be "". */
const char *cks_draft_line(cks_draft *draft, const char *text, const char *more);
const char *cks_draft_sentence(cks_draft *draft, const char *text, const char *more);
/* " (only cut 1)": what --only chose, for what is told of plots left out; "" without that option. */
const char *cks_draft_only(cks_draft *draft);

#endif
