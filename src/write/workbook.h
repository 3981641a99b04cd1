/* workbook.h: what the files of the workbook writer share. The first failure is kept; afterwards nothing is written. */
#ifndef CKS_WRITE_WORKBOOK_H
#define CKS_WRITE_WORKBOOK_H

#include "sheet_names.h"

#include <checkstrip/run.h>

#include <xlsxwriter.h>

/* What a cell is for; the look of each is a row of a table in workbook_formats.c. */
typedef enum {
  CKS_LOOK_CELL,
  CKS_LOOK_LONG,       /* a cell in a row of several lines */
  CKS_LOOK_HEADING,    /* of a column */
  CKS_LOOK_GROUP,      /* above the headings of several columns */
  CKS_LOOK_TITLE,      /* of a table */
  CKS_LOOK_FIRST_LINE, /* of a section */
  CKS_LOOK_LINE,
  CKS_LOOK_PARAGRAPH,
  CKS_LOOK_CAUTION,
  CKS_LOOK_BOX,
  CKS_LOOKS
} cks_look;

enum { CKS_FORMAT_ROOM = 512 };

typedef struct {
  uint32_t key;
  lxw_format *format;
} cks_book_format;

/* A row of the sheet at hand. */
typedef struct {
  double points; /* its height */
  bool joined;   /* printed on the page of the row above */
} cks_book_row;

/* Where a table came to stand: charts point at its cells. */
typedef struct {
  const cks_report_table *table;
  size_t sheet;
  lxw_row_t first_row; /* of its data */
  lxw_col_t first_column;
} cks_book_table;

/* A chart waits until all tables have their places. */
typedef struct {
  const cks_chart *chart;
  size_t sheet;
  lxw_row_t row;
  int width_px, height_px;
} cks_book_chart;

typedef struct {
  const cks_report *report;
  lxw_workbook *workbook;
  cks_arena *arena; /* texts made while writing; the library copies what it keeps */
  cks_status status;
  cks_error *error;
  size_t n_sheet, n_format, n_table, n_chart;
  cks_sheet_name *name;  /* size: sections of the report; n_sheet filled */
  lxw_worksheet **sheet; /* the same */
  cks_book_table *table; /* size: parts of the report; n_table filled */
  cks_book_chart *chart; /* the same */
  size_t n_row, row_room;
  cks_book_row *row; /* rows of the sheet at hand whose height is known; owned */
  cks_book_format format[CKS_FORMAT_ROOM];
} cks_book;

/* Keeps the first failure that the library returns. */
void cks_book_check(cks_book *book, lxw_error result);

/* workbook_formats.c. NULL only when memory is short, and then the status says so. */
lxw_format *cks_book_look(cks_book *book, cks_look look, int align);
/* A table's cell: marks, shade and digits seen to; first_foot: a rule above. */
lxw_format *cks_book_cell_look(cks_book *book, const cks_cell *cell, cks_look look, int align, bool first_foot);

/* workbook_sheet.c: every section on a new sheet, on several where it is divided into pages; one that begins no new
 * page goes on below the section before it. */
void cks_book_sections(cks_book *book);

/* workbook_page.c. Rows: their heights, and which stay together in print. */
void cks_book_row_height(cks_book *book, lxw_worksheet *sheet, lxw_row_t row, double points);
void cks_book_rows_join(cks_book *book, lxw_row_t first, lxw_row_t last);
double cks_book_rows_points(const cks_book *book, lxw_row_t first, lxw_row_t end);
/* The pages of the rows up to `end`: none is higher than page_points and rows that are joined are not parted, where they
 * fit. With a sheet its breaks are set so. */
size_t cks_book_pages(cks_book *book, lxw_worksheet *sheet, lxw_row_t end, double page_points);

/* The columns of a sheet: widths in characters, and how many are printed side by side. */
typedef struct {
  const double *width;
  size_t n;
} cks_book_columns;

/* workbook_table.c. Rows that the table takes, title and caption not counted, and the rows above its data. */
lxw_row_t cks_book_table_heading_rows(const cks_report_table *table);
void cks_book_table_put(cks_book *book, lxw_worksheet *sheet, const cks_report_table *table, lxw_row_t row,
                        lxw_col_t column, const cks_book_columns *columns);
/* Widens width[column...] (in characters) to what the table's columns and the headings above several need. */
void cks_book_table_widths(const cks_report_table *table, size_t column, double *width);
/* Widens what is left for words in the table's last column, which go on to the right as far as width[n - 1]. */
void cks_book_table_last_width(const cks_report_table *table, size_t column, double *width, size_t n);
/* Text as a string, never a formula; cut where a cell holds no more. */
void cks_book_text(cks_book *book, lxw_worksheet *sheet, lxw_row_t row, lxw_col_t column, const char *text,
                   lxw_format *format);
/* One cell over several columns; first == last: no merge. */
void cks_book_span(cks_book *book, lxw_worksheet *sheet, lxw_row_t row, lxw_col_t first, lxw_col_t last,
                   const char *text, lxw_format *format);
/* Lines that text takes in a cell of so many characters. */
size_t cks_book_lines(const char *text, double characters);

/* workbook_chart.c: the charts that wait, on their sheets. */
void cks_book_charts(cks_book *book);

#endif
