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
  uint32_t line; /* 0: none yet */
  char cell[CKS_WITNESS_TEXT];
} cks_witness;

/* The first cell of each kind that bears on a question only the whole column answers. */
typedef enum {
  CKS_WITNESS_OTHER,   /* number: CKS_TEXT_OTHER */
  CKS_WITNESS_GROUPED, /* number: CKS_TEXT_GROUPED */
  CKS_WITNESS_MDY = 0, /* date that can only be month/day */
  CKS_WITNESS_DMY,
  CKS_WITNESS_EITHER,
  CKS_WITNESS_DOTTED,     /* read day first by its dots, while month/day is a day too */
  CKS_WITNESS_DOTTED_MDY, /* with dots, and can only be month/day */
  CKS_WITNESS_YEAR,       /* without a year of its own */
  CKS_WITNESSES
} cks_witness_kind;

#define CKS_OPEN_ORDER 0.25 /* on a day number: read as month/day, but day/month is a day too */

typedef enum { CKS_SLOT_UNUSED, CKS_SLOT_NAMELESS, CKS_SLOT_NUMBER, CKS_SLOT_NAME, CKS_SLOT_DATE } cks_slot_kind;

/* One cell position of the file being read. */
typedef struct {
  cks_slot_kind kind;
  bool hybrid;    /* the hybrid's name: a missing mark there is kept in sight */
  bool plot_word; /* says which plot it is: "Mean" there makes the row none */
  bool measured;  /* of one plot, so that a value merged over several is none of each */
  bool key;       /* a row that has it is a plot: the hybrid, else the plot's number */
  cks_id column;  /* of the table; CKS_NONE when unused */
  bool marked;    /* number: some cell has a decimal mark */
  double *number; /* the table column's values; set anew when the columns grow */
  cks_id *name;
  cks_id last; /* name: the last one met */
  cks_witness witness[CKS_WITNESSES];
} cks_slot;

typedef struct {
  cks_reading reading;
  cks_table *table;
  const char *thing; /* what a row of a table beside the plot lists stands for; NULL: a plot */
  locale_t c;        /* for strtod */
  cks_vocabulary vocabulary;
  cks_heading_context context;
  bool *missing_met;  /* size of the settings' list: some cell holds it */
  cks_names reported; /* folded unknown headings that were reported */
  uint8_t *judged;    /* size room_judged, by id of the table's names: see columns.c */
  size_t room_judged;
  size_t room_row, room_odd, room_column;
  bool *sheet_met;              /* size of settings.sheet: some workbook has it */
  char sheets[CKS_SHEETS_TEXT]; /* names of all sheets, for a message; "" when no workbook was read */
  /* of the present file */
  cks_status status;
  bool sheet;                     /* of a workbook, whose rows end with their last filled cell */
  bool in_heading, faulty, ended; /* faulty: a row was dropped and reported; ended: what follows is another table */
  const char **heading;           /* size room_heading, n_slot filled; in the table's arena */
  size_t room_heading;
  cks_slot *slot;          /* size n_slot */
  size_t n_slot, n_needed; /* n_needed: up to the last heading that is not empty */
  size_t first_row;
  uint32_t heading_line;
  const cks_form *form; /* how the file is a table: cells that it appends to each row are always filled */
  /* of the present row */
  uint32_t row_line;
  size_t n_cell, n_filled, n_extra, first_odd;
  bool copied;                 /* the next cell holds a merged one's value */
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
cks_where cks_reader_where(const cks_reader *reader, uint32_t line, size_t slot);
/* columns.c. The handlers of cks_csv_read; `to` is the cks_reader. */
void cks_reader_cell(void *to, const char *text, size_t n, uint32_t line);
bool cks_reader_row(void *to, uint32_t line);
bool cks_reader_drop(void *to);
void cks_reader_copied(void *to);
/* A new column with room for all rows, those so far missing. */
cks_status cks_reader_add_column(cks_reader *reader, const cks_column *column);
/* After a file: columns that it lacks are missing in its rows. */
void cks_reader_fill(cks_reader *reader);
void cks_reader_shrink(cks_reader *reader);
/* match.c: the slots from the headings. */
cks_status cks_reader_match(cks_reader *reader, uint32_t line);
/* join.c: after all files, those without hybrids go into the plots of the others. */
cks_status cks_reader_join(cks_reader *reader);
/* settle.c: commas and date order of the file's columns. */
cks_status cks_reader_settle(cks_reader *reader);

#endif
