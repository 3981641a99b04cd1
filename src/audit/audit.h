/*
 * audit.h: what the families of rules share: the table being checked and what has been settled about it so far.
 *
 * The steps run in the order of the declarations below. Each may add findings; a status other than CKS_OK means that
 * memory is short or that nothing further can be said.
 */
#ifndef CKS_AUDIT_H
#define CKS_AUDIT_H

#include <checkstrip/run.h>

enum { CKS_AUDIT_FOLDED = CKS_NAMES_FOLDED, CKS_AUDIT_KEY = 2 * CKS_AUDIT_FOLDED + 1, CKS_AUDIT_IN_LIST = 12 };
#define CKS_AUDIT_SEVERAL (CKS_NONE - 1)

/* A hybrid of the names table; texts are ids of the plot lists' names. */
typedef struct {
  cks_id name, brand, maturity, print;
  size_t row;        /* its first row in the names table */
  bool check, plots; /* plots: some plot that is used is it */
} cks_audit_listed;

typedef struct {
  cks_names text; /* folded names, and names with brands */
  uint32_t *of;   /* size room, text.n filled: a listed hybrid; CKS_AUDIT_SEVERAL */
  size_t room;
} cks_audit_keys;

typedef struct {
  cks_audit_listed *hybrid; /* size n_row of the names table, n filled; NULL: no names table */
  size_t n;
  uint32_t *of_row;    /* size n_row of the names table: a listed hybrid; CKS_NONE */
  cks_audit_keys seen; /* what the plot lists may hold */
} cks_audit_listing;

typedef struct {
  const cks_settings *settings;
  cks_table *table;
  cks_table *places, *names, *weather, *normal; /* NULL: none given */
  cks_audit_listing listing;
  cks_findings *findings;
  cks_error *error;
  cks_arena *arena; /* the trial's */
  const cks_crop *crop;
  uint8_t *left_out; /* size n_row: 1 = left out, 2 = no plot at all (no hybrid and no value) */
  cks_id *reason;    /* size n_row, ids of table->names; NULL when no row is left out */
  /* identity, all dense and in the order for people */
  uint32_t *hybrid_of, *location_of, *trial_of, *rep_of, *cut_of,
      *block_of;    /* size n_row; CKS_NONE where not given; NULL: no such column */
  int32_t *year_of; /* size n_row; 0 not given */
  size_t n_hybrid, n_location, n_trial, n_rep, n_block, n_cut;
  bool unit_wrong;     /* a column cannot be in its unit: a trait's columns stay apart */
  bool several_cuts;   /* the rows are no plots: one plot stands in several */
  cks_hybrid *hybrid;  /* size n_hybrid, texts in the arena */
  uint32_t *listed_as; /* size n_hybrid: hybrid of the names table; CKS_NONE */
  cks_by_group by_group;
  cks_pair pair;
  const char **location, **trial, **rep, **block, **cut; /* texts in the arena */
  double *place_number;                                  /* n_environment x CKS_ROLE_COUNT: what places.c found */
  double yield_basis;                                    /* moisture of the yields, percent, wet basis */
  const char *yield_text;                                /* how they came about */
  double forage_basis;                                   /* of forage yields; NaN: none is asked and none is usual */
  const char *forage_text;                               /* how they came about, of each cut */
  const char *season_text;                               /* the same of the season's total */
} cks_audit_work;

/* names.c: the names table. */
cks_status cks_audit_names(cks_audit_work *work);
void cks_audit_names_release(cks_audit_work *work);
/* The listed hybrid that a name beside a brand ("": none) is; CKS_NONE, or CKS_AUDIT_SEVERAL when only a brand can tell. */
uint32_t cks_audit_listed_as(const cks_audit_work *work, const char *name, const char *brand);
/* One note each: n names of the plot lists that are not listed; listed hybrids without plots. */
cks_status cks_audit_report_unlisted(cks_audit_work *work, size_t n, const cks_id *name, const cks_id *brand);
cks_status cks_audit_report_unseen(cks_audit_work *work);
/* leave_out.c: which rows are not used, and why. */
cks_status cks_audit_leave_out(cks_audit_work *work);
/* units.c: the crop; columns of one trait in several units become one; units that cannot be. */
cks_status cks_audit_units(cks_audit_work *work);
/* Its part that looks at each column of work->table by itself. */
cks_status cks_audit_column_units(cks_audit_work *work);
/* What a value of a role can be, in unit; NaN = no limit. */
typedef struct {
  double low, usual_low, usual_high, high;
} cks_audit_limits;
cks_audit_limits cks_audit_limits_in(const cks_audit_work *work, cks_role role, cks_unit unit);
/* unused.c: columns that are known and not used. */
cks_status cks_audit_unused(cks_audit_work *work);
/* ... and growth stages that the stage calendar cannot take up; of the plots in their order. */
cks_status cks_audit_stages(cks_audit_work *work);
/* cells.c: cells that hold something else, zeros, ranges, rows without a hybrid. */
cks_status cks_audit_cells(cks_audit_work *work);
/* observers.c: one column a trait and day, the mean of its observers. */
cks_status cks_audit_observers(cks_audit_work *work);
/* joined.c: what the joining of files found, but for rows that are left out. */
cks_status cks_audit_joined(cks_audit_work *work);
/* hybrids.c, identity.c: who a hybrid is, which are checks; places, years, reps. */
cks_status cks_audit_hybrids(cks_audit_work *work);
cks_status cks_audit_identity(cks_audit_work *work);
/* Is it the text's hybrid: by name, brand and name, or as it is printed? */
bool cks_audit_is_called(const cks_hybrid *hybrid, const char *text);
/* versus.c: the pair of a head-to-head, or that there is a check for one. CKS_USAGE. */
cks_status cks_audit_versus(cks_audit_work *work);
/* groups.c: to which group of --by-group each hybrid belongs. */
cks_status cks_audit_groups(cks_audit_work *work);
/* places.c, derive.c: facts of each place; traits made of dates and weights. On the trial, in canonical order. */
cks_status cks_audit_places(cks_audit_work *work, cks_trial *trial);
/* weather.c: daily weather of each environment's place, with a normal where there is one; after the facts of the places. */
cks_status cks_audit_weather(cks_audit_work *work, cks_trial *trial);
/* cuts.c: rows that are one plot and cut become one row a plot, with a column a cut. */
cks_status cks_audit_cuts(cks_audit_work *work);
/* "_cut_2": what the key of a cut's column ends in; "" for the only one. */
const char *cks_audit_cut_key(const cks_audit_work *work, size_t cut);
/* The column of a role that belongs to a cut; NULL: none. */
cks_column *cks_audit_cut_column(const cks_audit_work *work, cks_role role, size_t cut);
/* forage.c: yields of each cut and of the season; what each cut was like. */
cks_status cks_audit_forage(cks_audit_work *work, cks_trial *trial);
/* groups.c: to which value of the column that --by names each environment belongs; after the facts of the places. */
cks_status cks_audit_by(cks_audit_work *work, cks_trial *trial);
/* Before that, on the rows: their years, where only the places table says when a place was planted. */
cks_status cks_audit_place_years(cks_audit_work *work);
cks_status cks_audit_derive(cks_audit_work *work, cks_trial *trial);
/* Has the plot-list column two different values in the environment? */
bool cks_audit_several(const cks_column *column, const cks_environment *e);
/* build.c: the rows in canonical order but for ties, columns moved. */
cks_status cks_audit_build(cks_audit_work *work, cks_trial *trial);
/* traits.c: trait columns moved into the trial. */
cks_status cks_audit_traits(cks_audit_work *work, cks_trial *trial);
/* ties.c: plots alike in environment, rep, block and hybrid, in canonical order. */
cks_status cks_audit_ties(cks_audit_work *work, cks_trial *trial);
/* near_names.c: hybrids and locations whose names are one character apart. */
cks_status cks_audit_near_names(cks_audit_work *work, const cks_trial *trial);
/* design.c: plots, reps and order of the finished trial. */
cks_status cks_audit_design(cks_audit_work *work, const cks_trial *trial);
/* strip_order.c: strips in one order at every place. */
cks_status cks_audit_strip_order(cks_audit_work *work, const cks_trial *trial);

/* ---- shared by the families (say.c) ----------------------------------------------------------------------------- */

/* Adds a finding at a row of the table; for a row that is left out the note left-out-flaw instead. column may be NULL. */
cks_status cks_audit_say(cks_audit_work *work, cks_rule rule, size_t row, const cks_column *column, const char *cell,
                         const char *format, ...) CKS_PRINTF(6, 7);
/* The same where the place is not that of the row's cell: `where`, with heading and cell as printed (NULL: none). */
typedef struct {
  size_t row; /* whose being left out decides */
  cks_where where;
  const char *heading, *cell;
} cks_audit_at;
cks_status cks_audit_say_at(cks_audit_work *work, cks_rule rule, const cks_audit_at *at, const char *format, ...)
    CKS_PRINTF(4, 5);
/* "line 9 of strips.csv", "line 9 of sheet 'Creek' of trials.xlsx" in the arena: another line that a text speaks of. */
const char *cks_audit_line(const cks_audit_work *work, cks_id file, uint32_t line);
/* The same words with no place in a file. */
/* At the row of a plot of the finished trial. */
cks_status cks_audit_say_plot(cks_audit_work *work, const cks_trial *trial, cks_rule rule, size_t plot,
                              const char *text);
cks_status cks_audit_say_all(cks_audit_work *work, cks_rule rule, const char *format, ...) CKS_PRINTF(3, 4);
/* Length of text without the marks of a check at its end: `*`, `(ck)`, `(check)`, ` ck`, ` check`. */
size_t cks_audit_unmarked(const char *text);
/* Lower case without spaces, punctuation and a check's mark; too long a text ends in a hash of the whole. */
void cks_audit_fold(const char *text, char into[CKS_AUDIT_FOLDED]);
/* Key of a name and a brand ("": none), folded; its length. */
size_t cks_audit_key(const char *name, const char *brand, char into[CKS_AUDIT_KEY]);
/* The one of n texts that is closest to text when both are folded, close enough to be meant; NULL: none. */
const char *cks_audit_nearest(cks_arena *arena, const char *text, size_t n, const char *const *among);
/* The column that a text names: by key, by its heading, or by another word for the role; NULL: none. */
const cks_column *cks_audit_column_named(const cks_table *table, const char *named);
/* `Jun-12`, `12-Jun`, `7.00E+45`, `2026-06-12`, `6/12/2026`: what a spreadsheet makes of a name. */
bool cks_audit_changed_by_spreadsheet(const char *name);
/* "", 0, no, false, keep, test: a cell that says no in a column of marks. */
bool cks_audit_says_no(const char *text);
/* Does a cell, not empty, of a column of checks mark its hybrid as one? */
bool cks_audit_marks_check(const cks_column *column, const char *text);
/* A name that says no more than that it is the check: check, ck, standard, control. */
bool cks_audit_named_check(const char *name);
/* Equal when folded. */
bool cks_audit_same(const char *a, const char *b);
/* The texts as a list "A, B, C and 4 more" in the arena. */
const char *cks_audit_list(cks_arena *arena, size_t n, const char *const *text);
/* Brand and name as people read them, the brand once. */
const char *cks_audit_full(cks_arena *arena, const char *brand, const char *name);
/* Is text the brand (not "") and the name, but for case, spaces and marks? */
bool cks_audit_is_full(const char *brand, const char *name, const char *text);
/* "1 plot", "3 plots" in the arena. */
const char *cks_audit_count(cks_arena *arena, size_t n, const char *noun);
/* Stable merge sort of n indices by less-than-or-equal of compare(context, a, b) <= 0; room has n places. */
typedef int (*cks_audit_order)(const void *context, uint32_t a, uint32_t b);
void cks_audit_sort(uint32_t *index, uint32_t *room, size_t n, cks_audit_order compare, const void *context);

#endif
