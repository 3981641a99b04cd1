/*
 * find.h: between the parser and the reader: finds the table in the rows of a file or sheet.
 *
 * The first rows are kept back until it is settled which of them are headings (form.c); then headings and rows go on to
 * the reader, a table with a column a rep, year or place as one row a plot.
 */
#ifndef CKS_READ_FIND_H
#define CKS_READ_FIND_H

#include "read.h"

/* Rows kept back. Row r has n cells from cell[first] on; a cell is an offset of its text, ended by NUL. */
typedef struct {
  size_t first, n, filled;
  uint32_t line;
} cks_kept_row;
typedef struct {
  char *text;
  size_t used, room;
  size_t *cell;
  bool *copied; /* size room_cell: see cks_row_handler */
  size_t n_cell, room_cell;
  cks_kept_row *row;
  size_t n_row, room_row;
} cks_rows;
void cks_rows_release(cks_rows *rows);
/* A cell of the row that rows_end will close. */
cks_status cks_rows_add(cks_rows *rows, const char *text, size_t n, bool copied, cks_error *error);
cks_status cks_rows_end(cks_rows *rows, uint32_t line, cks_error *error);
void cks_rows_forget(cks_rows *rows);                                       /* the cells since the last end */
const char *cks_rows_cell(const cks_rows *rows, size_t row, size_t column); /* "" beyond the row's end */
bool cks_rows_copied(const cks_rows *rows, size_t row, size_t column);

/* What tells the columns of a wide table apart. */
typedef enum { CKS_LEVEL_NONE, CKS_LEVEL_REP, CKS_LEVEL_YEAR, CKS_LEVEL_LOCATION } cks_level;

typedef struct {
  const char *heading, *value;
} cks_constant; /* said above the table for all its rows: "Location: Creek" */

/* How the rows kept back are a table. Texts in the arena given. */
typedef struct {
  bool found;           /* some row says what a plot table says */
  size_t first, n_head; /* rows [first, first + n_head) are headings and units */
  size_t n_column;
  const char **heading; /* size n_column; "" for the columns of all groups but the first */
  cks_level level;
  size_t n_group;     /* 0 unless level */
  const char **group; /* size n_group: rep, year or place */
  bool *apart;        /* size n_column: a position whose cells differ by group */
  size_t *source;     /* n_group x n_column: the column whose cell stands at a position; SIZE_MAX: none */
  size_t n_constant;
  cks_constant *constant;
  const char *trait_above; /* NULL, or the traits, in quotes, that rows above gave to columns a rep, year or place */
  uint32_t trait_line;
  const char *lone; /* NULL, or the one text that stands alone in a row above and is no fact, trait or number */
  uint32_t lone_line;
  const char *clash; /* NULL, or why the table cannot be taken apart: a sentence with the way on */
} cks_form;
/* context->asking is set. */
cks_status cks_form_find(const cks_rows *rows, const cks_heading_context *context, cks_arena *arena, cks_form *form,
                         cks_error *error);

/* above.c. A warning where a row above names a unit or moisture and a heading of its kind takes another, since it states
 * none. */
cks_status cks_form_units_above(const cks_rows *rows, const cks_form *form, const cks_reading *reading,
                                const cks_heading_context *context);

typedef struct {
  const cks_reading *reading;
  const cks_heading_context *context;
  cks_row_handler target;
  bool may_skip; /* a sheet among others: without a plot table nothing goes on */
  bool skipped;  /* and so it was */
  cks_status status;
  cks_arena *arena;
  cks_rows rows;
  bool looking, stop, copied; /* copied: the next cell is */
  cks_form form;
  size_t n_cell; /* of the present row, once headings are settled */
} cks_finder;
cks_status cks_finder_init(cks_finder *finder, const cks_reading *reading, const cks_heading_context *context,
                           cks_row_handler target);
/* What parsers are given. */
cks_row_handler cks_finder_handler(cks_finder *finder);
/* After the last row: settles what is still kept back. */
cks_status cks_finder_end(cks_finder *finder);
void cks_finder_release(cks_finder *finder);

#endif
