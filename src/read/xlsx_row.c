/*
 * xlsx_row.c: one row of a sheet, put in order, filled where cells are merged, and handed on.
 *
 * A merged range holds its value in the first cell alone; a person sees it over the whole range, so it is handed on in
 * every cell of it. Rows without a value of their own are passed over.
 */
#include "xlsx_sheet.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void no_memory(cks_sheet_rows *rows) { cks_package_fail(rows->package, cks_error_nomem(rows->reading->error)); }

void cks_sheet_rows_release(cks_sheet_rows *rows)
{
  cks_arena_free(rows->arena);
  free(rows->cell);
  free(rows->own.text);
  free(rows->merged.range);
  free(rows->span);
}

void cks_sheet_row_begin(cks_sheet_rows *rows, uint32_t row, bool hidden)
{
  rows->row = row;
  rows->hidden = hidden;
  rows->unsorted = rows->faulty = false;
  rows->n_cell = rows->own.n = rows->row_bytes = 0;
}

static void append(cks_sheet_rows *rows, const cks_sheet_cell *cell)
{
  if (rows->n_cell == rows->room_cell) {
    size_t room = rows->room_cell ? rows->room_cell * 2 : 64;
    cks_sheet_cell *grown = realloc(rows->cell, room * sizeof *grown);
    if (!grown) {
      no_memory(rows);
      return;
    }
    rows->cell = grown;
    rows->room_cell = room;
  }
  rows->cell[rows->n_cell++] = *cell;
}

void cks_sheet_row_add(cks_sheet_rows *rows, uint32_t column, const char *text, size_t n)
{
  if (!n) return;
  if (column > CKS_READ_COLUMNS) {
    cks_package_refuse(rows->package, CKS_RULE_TOO_LARGE, rows->row,
                       "a value stands in column %u of the sheet, expected at most %d columns; clear the cells beyond, "
                       "or leave out what is not used",
                       column, CKS_READ_COLUMNS);
    return;
  }
  rows->row_bytes += n;
  if (rows->row_bytes > CKS_READ_LONGEST) {
    cks_package_refuse(rows->package, CKS_RULE_TOO_LARGE, rows->row,
                       "the row holds more than %d KiB of text, the most that is read; shorten its cells",
                       CKS_READ_LONGEST / 1024);
    return;
  }
  if (rows->n_cell && rows->cell[rows->n_cell - 1].column >= column) rows->unsorted = true;
  append(rows, &(cks_sheet_cell){column, (uint32_t)n, text, text ? 0 : rows->own.n - n, false});
}

void cks_sheet_row_spoil(cks_sheet_rows *rows, uint32_t column, const char *text)
{
  rows->faulty = true;
  cks_where where = {rows->reading->file, CKS_NONE, rows->row, column};
  cks_package_fail(rows->package, cks_findings_add(rows->reading->findings, CKS_RULE_WORKBOOK_DAMAGED, where, NULL,
                                                   NULL, rows->reading->error, "%s; %s", text, CKS_XLSX_SAVE_AGAIN));
}

static int by_column(const void *left, const void *right)
{
  const cks_sheet_cell *a = left, *b = right;
  return a->column < b->column ? -1 : a->column > b->column;
}

static void put_in_order(cks_sheet_rows *rows)
{
  qsort(rows->cell, rows->n_cell, sizeof *rows->cell, by_column);
  for (size_t i = 1; i < rows->n_cell && !rows->faulty; i++)
    if (rows->cell[i].column == rows->cell[i - 1].column)
      cks_sheet_row_spoil(rows, rows->cell[i].column, "the cell stands twice in the file");
}

/* ---- merged ranges ----------------------------------------------------------------------------------------------- */

static const char *text_of(const cks_sheet_rows *rows, const cks_sheet_cell *cell)
{
  return cell->text ? cell->text : rows->own.text + cell->at;
}

/* A range begins in this row: its first cell's text, when it has one, is kept for all of it. */
static void begin_span(cks_sheet_rows *rows, cks_cell_range range)
{
  const cks_sheet_cell *cell = rows->n_cell ? bsearch(&(cks_sheet_cell){.column = range.column}, rows->cell,
                                                      rows->n_cell, sizeof *rows->cell, by_column)
                                            : NULL;
  if (!cell) return;
  if (range.last_column > CKS_READ_COLUMNS) range.last_column = CKS_READ_COLUMNS;
  if (rows->n_span == rows->room_span) {
    size_t room = rows->room_span ? rows->room_span * 2 : 16;
    cks_sheet_span *grown = realloc(rows->span, room * sizeof *grown);
    if (!grown) {
      no_memory(rows);
      return;
    }
    rows->span = grown;
    rows->room_span = room;
  }
  const char *text = cell->text;
  if (!text) { /* a row's own texts end with the row */
    char *copy = cks_arena_take(rows->arena, cell->n, 1);
    if (!copy) {
      no_memory(rows);
      return;
    }
    text = memcpy(copy, text_of(rows, cell), cell->n);
  }
  rows->span[rows->n_span++] = (cks_sheet_span){range, text, cell->n, false};
}

/* The ranges that reach this row; false when none does. */
static bool update_spans(cks_sheet_rows *rows)
{
  size_t kept = 0, width = 0;
  for (size_t i = 0; i < rows->n_span; i++)
    if (rows->span[i].range.last_row >= rows->row) rows->span[kept++] = rows->span[i];
  rows->n_span = kept;
  for (; rows->next_merged < rows->merged.n && rows->merged.range[rows->next_merged].row <= rows->row;
       rows->next_merged++)
    if (rows->merged.range[rows->next_merged].row == rows->row) begin_span(rows, rows->merged.range[rows->next_merged]);
  for (size_t i = 0; i < rows->n_span; i++) width += rows->span[i].range.last_column - rows->span[i].range.column + 1;
  if (width > CKS_READ_COLUMNS)
    cks_package_refuse(rows->package, CKS_RULE_WORKBOOK_DAMAGED, rows->row,
                       "merged ranges lie over one another; take the merging out, or %s", CKS_XLSX_SAVE_AGAIN);
  return rows->n_span > 0 && cks_package_goes_on(rows->package);
}

/* The row anew, behind the old one and then in its place: spans go before cells of their own. */
static void fill_spans(cks_sheet_rows *rows)
{
  uint16_t owner[CKS_READ_COLUMNS + 1]; /* span + 1 that covers the column */
  uint32_t last = rows->cell[rows->n_cell - 1].column;
  size_t old = rows->n_cell, own = 0;
  for (size_t i = 0; i < rows->n_span; i++)
    if (rows->span[i].range.last_column > last) last = rows->span[i].range.last_column;
  memset(owner, 0, (last + 1) * sizeof *owner);
  for (size_t i = 0; i < rows->n_span; i++) {
    cks_sheet_span *span = &rows->span[i];
    for (uint32_t c = span->range.column; c <= span->range.last_column; c++) owner[c] = (uint16_t)(i + 1);
    if (rows->row > span->range.row && !span->told) {
      span->told = true;
      if (!rows->n_down++) rows->first_down = span->range;
    }
  }
  for (uint32_t c = 1; c <= last && rows->package->status == CKS_OK; c++) {
    bool has = own < old && rows->cell[own].column == c;
    cks_sheet_cell cell = has ? rows->cell[own++] : (cks_sheet_cell){0};
    if (owner[c]) {
      const cks_sheet_span *span = &rows->span[owner[c] - 1];
      bool copied = rows->row > span->range.row || c > span->range.column;
      cell = (cks_sheet_cell){c, span->n, span->text, 0, copied};
    }
    if (cell.n) append(rows, &cell);
  }
  rows->n_cell -= old;
  memmove(rows->cell, rows->cell + old, rows->n_cell * sizeof *rows->cell);
}

/* ---- handing on -------------------------------------------------------------------------------------------------- */

static void hand_on(cks_sheet_rows *rows)
{
  const cks_row_handler *handler = rows->handler;
  uint32_t column = 1;
  for (size_t i = 0; i < rows->n_cell; i++) {
    const cks_sheet_cell *cell = &rows->cell[i];
    for (; column < cell->column; column++) handler->cell(handler->to, "", 0, rows->row);
    if (cell->copied && handler->copied) handler->copied(handler->to);
    handler->cell(handler->to, text_of(rows, cell), cell->n, rows->row);
    rows->text += cell->n;
    column++;
  }
  rows->handed_on += column - 1;
  if (column - 1 > rows->widest) rows->widest = column - 1;
  if (rows->hidden && !rows->n_hidden++) rows->first_hidden = rows->row;
  rows->stopped = !handler->row(handler->to, rows->row);
  if (rows->handed_on > CKS_XLSX_HANDED_ON || rows->text > CKS_XLSX_TEXT)
    cks_package_refuse(rows->package, CKS_RULE_TOO_LARGE, rows->row,
                       "the sheet holds more cells or text than is read; give it in parts");
}

void cks_sheet_row_end(cks_sheet_rows *rows)
{
  bool valued = rows->n_cell > 0;
  if (rows->unsorted) put_in_order(rows);
  if (!rows->faulty && rows->merged.n && update_spans(rows) && valued) fill_spans(rows);
  if (!cks_package_goes_on(rows->package)) return;
  if (rows->faulty)
    rows->stopped = !rows->handler->drop(rows->handler->to);
  else if (valued)
    hand_on(rows);
}
