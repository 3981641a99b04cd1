/*
 * form.h: what form.c (which rows are headings) and levels.c (columns whose headings name no trait) share.
 */
#ifndef CKS_READ_FORM_H
#define CKS_READ_FORM_H

#include "find.h"

enum { CKS_SAID_LONGEST = 2 * CKS_HEADING_LONGEST + 8, CKS_SAID_WORDS = 12 };

typedef struct {
  const cks_rows *rows;
  const cks_heading_context *context;
  cks_arena *arena;
  cks_error *error;
  size_t n_column, asked;
} search;

/* What one column says. */
typedef struct {
  bool known, unit_stated;
  bool rep_alone; /* "Rep 1" and nothing else; value is the rep */
  cks_role role;
  cks_level level;
  char key[CKS_HEADING_LONGEST + 1], heading[CKS_SAID_LONGEST], value[CKS_SAID_LONGEST];
  char rep_of[CKS_HEADING_LONGEST + 1]; /* "Creek rep 1": "Creek", which is no trait; "" else */
  char beside[CKS_SAID_LONGEST];        /* rep_alone: what stands in brackets behind it, "(t/ha)" */
} said;

typedef struct {
  const char *at;
  size_t n;
} word;

bool cks_form_is_harvest(cks_role role);
/* A role whose values are of one plot, so that it may stand in a column a place. */
bool cks_form_is_measured(cks_role role);
bool cks_form_is_year(const char *text);
/* Is the heading known? */
bool cks_form_ask(search *s, const char *text, cks_heading *h);
/* text without what stands in brackets, which goes to beside. */
void cks_form_part(const char *text, char base[CKS_SAID_LONGEST], char beside[CKS_SAID_LONGEST]);
size_t cks_form_split(const char *text, word words[CKS_SAID_WORDS]);
void cks_form_know(said *out, const cks_heading *h, const char *heading, cks_level level, const char *value);
/* The group over a column: the last one written at it or to its left. */
const char *cks_form_group_over(const search *s, size_t row, size_t column);

/* ---- levels.c --------------------------------------------------------------------------------------------------- */

/* Columns that are reps, years or places and name no trait: the one that stands above them is theirs, or form->clash says
 * what is lacking. form->first and n_head are set. */
cks_status cks_form_levels(search *s, cks_form *form, said *column);
/* Headings that are known in part: form->clash says what is lacking. */
void cks_form_unclear(search *s, cks_form *form, const said *column);

#endif
