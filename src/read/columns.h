/*
 * columns.h: the reader as its second half sees it: the table being made, the slots of the present file, its present
 * row.
 */
#ifndef CKS_READ_COLUMNS_H
#define CKS_READ_COLUMNS_H

#include "find.h"
#include "xlsx.h"

enum { CKS_WITNESS_TEXT = 40, CKS_SHEETS_TEXT = 400 };

typedef struct {
  uint32_t line;    /* 0: none yet */
  uint32_t cell_at; /* which cell of the line, from 1; 0: not told */
  char cell[CKS_WITNESS_TEXT];
} cks_witness;

/* The first cell of each kind that bears on a question only the whole column answers. */
typedef enum {
  CKS_WITNESS_OTHER,   /* number: CKS_TEXT_OTHER */
  CKS_WITNESS_GROUPED, /* number: CKS_TEXT_GROUPED */
  CKS_WITNESS_MDY = 0, /* date that can only be month/day */
  CKS_WITNESS_DMY,
  CKS_WITNESS_EITHER,
  CKS_WITNESS_DOTTED, /* read day first by its dots, while month/day is a day too */
  CKS_WITNESS_YEAR,   /* without a year of its own */
  CKS_WITNESSES
} cks_witness_kind;

#define CKS_OPEN_ORDER 0.25 /* on a day number: read as month/day, but day/month is a day too */

typedef enum {
  CKS_SLOT_UNUSED,
  CKS_SLOT_NAMELESS,
  CKS_SLOT_WORDS,
  CKS_SLOT_NUMBER,
  CKS_SLOT_NAME,
  CKS_SLOT_DATE
} cks_slot_kind;

/* One cell position of the file being read. */
typedef struct {
  cks_slot_kind kind;
  bool hybrid;    /* the hybrid's name: a missing mark there is kept in sight */
  bool plot_word; /* says which plot it is: "Mean" there makes the row none */
  bool measured;  /* of one plot, so that a value merged over several is none of each */
  bool key;       /* a row that has it is a plot: the hybrid, else the plot's number */
  bool raw;       /* name: any text is kept as it is, what it means observe.c finds out */
  bool late;      /* date: settled only when observe.c asks for it */
  uint32_t at; /* which cell of the heading line, from 1; several slots share the one of a column of values; 0: none */
  uint32_t cell;  /* which of a row; 0: not the same in every row */
  cks_id column;  /* of the table; CKS_NONE when unused */
  bool marked;    /* number: some cell has a decimal mark */
  double *number; /* the table column's values; set anew when the columns grow */
  cks_id *name;
  cks_id last; /* name: the last one met */
  cks_witness witness[CKS_WITNESSES];
} cks_slot;

/* The slots that say what a row is an observation of; SIZE_MAX: none. */
typedef struct {
  bool rows; /* each row is one observation: trait and value are there */
  size_t trait, value, unit, observed, observer;
  bool in_rep; /* no plot numbers: a hybrid in a rep is a plot */
  bool bare;   /* no plot numbers and no reps: nothing says what a plot is */
} cks_look;

/* A text that stands alone above a table without a location. */
typedef struct cks_lone {
  const char *text;
  cks_id file;
  uint32_t line;
  const struct cks_lone *next;
} cks_lone;

typedef struct {
  cks_reading reading;
  cks_table *table;
  const char *thing; /* what a row of a table beside the plot lists stands for; NULL: a plot */
  bool any_year;     /* its dates are days of the year: one without a year is no guess */
  locale_t c;        /* for strtod */
  cks_vocabulary vocabulary;
  cks_heading_context context;
  bool looked;        /* some file's rows were observations */
  bool *missing_met;  /* size of the settings' list: some cell holds it */
  cks_names reported; /* folded unknown headings that were reported */
  uint8_t *judged;    /* size room_judged, by id of the table's names: see columns.c */
  size_t room_judged;
  size_t room_row, room_odd, room_column;
  bool *sheet_met;              /* size of settings.sheet: some workbook has it */
  char sheets[CKS_SHEETS_TEXT]; /* names of all sheets, for a message; "" when no workbook was read */
  const cks_lone *lone;         /* last first */
  /* of the present file */
  cks_status status;
  bool sheet;                     /* of a workbook, whose rows end with their last filled cell */
  bool in_heading, faulty, ended; /* faulty: a row was dropped and reported; ended: what follows is another table */
  const char **heading;           /* size room_heading, n_slot filled; in the table's arena */
  size_t room_heading;
  cks_slot *slot;          /* size n_slot */
  size_t n_slot, n_needed; /* n_needed: up to the last heading that is not empty */
  bool reps;               /* slots of words are watched although reps are given: they may say the place */
  size_t first_row, part_odd;
  uint32_t heading_line;
  cks_look look;
  const cks_form *form; /* how the file is a table: cells that it appends to each row are always filled */
  /* of the present row */
  uint32_t row_line;
  cks_where passed; /* the last line that was reported as no plot: a wide table makes several rows of it */
  size_t row;       /* of the table, where the cells go */
  size_t n_cell, n_filled, n_extra, first_odd;
  bool copied;                 /* the next cell holds a merged one's value */
  uint32_t from;               /* which cell of its line it is, where that differs from row to row; else 0 */
  cks_id word;                 /* a name that stands in rows of means or totals; CKS_NONE */
  bool plot_word, key_given;   /* such a word says which plot it is; the key is given */
  char text[CKS_WITNESS_TEXT]; /* the first filled cell */
  size_t n_text;
} cks_reader;

/* Where the rows of one entry come from: a file of text, or a sheet of a workbook. */
typedef struct {
  const cks_source *source; /* NULL: the sheet */
  cks_xlsx *xlsx;
  size_t sheet;
  bool optional; /* nobody named the sheet: without rows it is skipped */
} cks_rows_from;
/* read.c. Reads one entry, which reader->reading.file names. */
cks_status cks_reader_part(cks_reader *reader, const cks_rows_from *from);
/* workbook.c. The wanted sheets of a workbook; and the names that no workbook answered. */
cks_status cks_reader_workbook(cks_reader *reader, const cks_source *source);
cks_status cks_reader_unmet_sheets(const cks_reader *reader);
/* above.c. Asks whether a lone text is the location, where the name that would stand in for it says nothing. */
cks_status cks_reader_locations_above(const cks_reader *reader);
cks_where cks_reader_where(const cks_reader *reader, uint32_t line, size_t slot);
/* columns.c. The handlers of cks_csv_read; `to` is the cks_reader. */
void cks_reader_cell(void *to, const char *text, size_t n, uint32_t line);
bool cks_reader_row(void *to, uint32_t line);
bool cks_reader_drop(void *to);
void cks_reader_copied(void *to);
void cks_reader_from(void *to, uint32_t column);
/* Types a cell that is not empty into the slot's column, in row reader->row, as standing on reader->row_line. */
void cks_reader_store(cks_reader *reader, size_t slot, const char *text, size_t n);
/* A slot behind the others, at the position of slot `at`: its heading, and what that says. Its rows of this file are
 * missing. */
cks_status cks_reader_add_slot(cks_reader *reader, const char *heading, const cks_heading *h, size_t at);
/* Gives the column's cells places of their own, with room for rows to come. */
cks_status cks_reader_place_cells(cks_reader *reader, cks_column *column);
void cks_reader_clear(cks_column *column, size_t from, size_t to);
/* A new column with room for all rows, those so far missing. */
cks_status cks_reader_add_column(cks_reader *reader, const cks_column *column);
/* After a file: columns that it lacks are missing in its rows; a cell with a place of its own stands in its row. */
void cks_reader_fill(cks_reader *reader);
void cks_reader_shrink(cks_reader *reader);
/* match.c: the slots from the headings. */
cks_status cks_reader_match(cks_reader *reader, uint32_t line);
cks_status cks_reader_use_slot(cks_reader *reader, size_t slot, const cks_heading *h);
/* Says, once over all files, that nobody knows the heading; h->near: what it may be. */
cks_status cks_reader_say_unknown(cks_reader *reader, size_t slot, const cks_heading *h);
/* observe.c: h: of each slot. Of the headings that say what an observation is, those that the file cannot use become
 * unknown. */
void cks_observe_match(cks_reader *reader, cks_heading *h);
/* After a file: rows that are one observation each, or plots looked at again, become one row a plot. */
cks_status cks_reader_observe(cks_reader *reader);
void cks_reader_drop_looks(cks_reader *reader); /* columns that this emptied */
/* join.c: also used where rows of one file meet. */
void cks_table_move_row(cks_table *table, size_t from, size_t to);
int cks_odd_compare(const void *left, const void *right); /* by row, column, file, line */
/* join.c: after all files, those without hybrids go into the plots of the others. */
cks_status cks_reader_join(cks_reader *reader);
/* settle.c: commas and date order of the file's columns; of slots from `from` on, or of a late one. */
cks_status cks_reader_settle(cks_reader *reader, size_t from);
cks_status cks_reader_settle_late(cks_reader *reader, size_t slot);

#endif
