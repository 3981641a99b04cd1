/*
 * xlsx_sheet.h: the sheet being read: its part (xlsx_sheet.c) and the row that is put together (xlsx_row.c).
 */
#ifndef CKS_READ_XLSX_SHEET_H
#define CKS_READ_XLSX_SHEET_H

#include "xlsx_parts.h"

/* A cell with a text. */
typedef struct {
  uint32_t column; /* 1-based */
  uint32_t n;
  const char *text; /* NULL: it stands at `at` of the row's own texts */
  size_t at;
  bool copied; /* from the first cell of a merged range */
} cks_sheet_cell;

/* A merged range that reaches the present row, and the text of its first cell. */
typedef struct {
  cks_cell_range range;
  const char *text;
  uint32_t n;
  bool told; /* it was counted for the note */
} cks_sheet_span;

typedef struct {
  cks_package *package;
  const cks_reading *reading;
  const cks_row_handler *handler;
  cks_arena *arena;                       /* texts of merged ranges */
  uint32_t row;                           /* the present or last one */
  bool hidden, unsorted, faulty, stopped; /* of the row, but for the last: the handler wants no more */
  cks_sheet_cell *cell;                   /* size room_cell, n_cell filled */
  size_t n_cell, room_cell;
  cks_bytes own; /* texts of the row that are not shared */
  size_t row_bytes;
  uint64_t handed_on, text;
  cks_xlsx_merged merged;
  size_t next_merged;
  cks_sheet_span *span; /* size room_span, n_span filled */
  size_t n_span, room_span;
  /* for the notes at the end */
  uint32_t widest, n_hidden, first_hidden, n_down;
  cks_cell_range first_down;
} cks_sheet_rows;

void cks_sheet_row_begin(cks_sheet_rows *rows, uint32_t row, bool hidden);
/* A cell of the row; text NULL: it is the last n bytes of rows->own. No text: no cell. */
void cks_sheet_row_add(cks_sheet_rows *rows, uint32_t column, const char *text, size_t n);
/* The row is faulty: reported, and not handed on. */
void cks_sheet_row_spoil(cks_sheet_rows *rows, uint32_t column, const char *text);
void cks_sheet_row_end(cks_sheet_rows *rows);
void cks_sheet_rows_release(cks_sheet_rows *rows);

#endif
