/* workbook_table.c: a report's table as cells: headings, groups merged above them, rows, feet. */
#include "workbook.h"

#include "../core/utf8.h"

#include <math.h>
#include <string.h>

enum { MOST_BYTES = 32000, WIDEST_LABEL = 42, WIDEST_TEXT = 42, WIDEST_LAST = 60, DAY_OF_1970 = 25569 };
static const double LINE_POINTS = 15;
/* Fonts differ in width from machine to machine: room to spare, so that nothing is cut and no number shows as ###. */
static const double SPARE = 1.12, MARGIN = 1.1;
static const double BOLD_CAPITALS = 1.2; /* wider than digits */
static const double PROSE = 0.85;        /* letters of running text are narrower than the digits that widths count */

size_t cks_book_lines(const char *text, double characters)
{
  size_t lines = 0;
  for (;;) {
    size_t n = strcspn(text, "\n");
    double width = (double)cks_utf8_width(text, n) * PROSE;
    lines += width > characters ? (size_t)ceil(width / characters) : 1;
    if (!text[n]) return lines;
    text += n + 1;
  }
}

void cks_book_text(cks_book *book, lxw_worksheet *sheet, lxw_row_t row, lxw_col_t column, const char *text,
                   lxw_format *format)
{
  char cut[MOST_BYTES + 1];
  if (book->status != CKS_OK) return;
  if (strlen(text) > MOST_BYTES) {
    size_t n = MOST_BYTES;
    while (n && ((unsigned char)text[n] & 0xC0) == 0x80) n--;
    memcpy(cut, text, n);
    cut[n] = '\0';
    text = cut;
  }
  cks_book_check(book, *text ? worksheet_write_string(sheet, row, column, text, format)
                             : worksheet_write_blank(sheet, row, column, format));
}

void cks_book_span(cks_book *book, lxw_worksheet *sheet, lxw_row_t row, lxw_col_t first, lxw_col_t last,
                   const char *text, lxw_format *format)
{
  if (book->status != CKS_OK) return;
  if (last > first) cks_book_check(book, worksheet_merge_range(sheet, row, first, row, last, "", format));
  cks_book_text(book, sheet, row, first, text,
                format); /* a merged cell's text too is a string, whatever it begins with */
}

/* ---- widths ----------------------------------------------------------------------------------------------------- */

static const char *heading_text(const cks_report_column *column)
{
  return column->narrow ? column->narrow : column->label;
}

static size_t widest_line(const char *text)
{
  size_t widest = 0;
  for (;;) {
    size_t n = strcspn(text, "\n"), width = cks_utf8_width(text, n);
    if (width > widest) widest = width;
    if (!text[n]) return widest;
    text += n + 1;
  }
}

static double natural_width(const cks_report_table *table, size_t column)
{
  const cks_report_column *c = &table->column[column];
  size_t width = widest_line(heading_text(c)), most = c->row_label                   ? WIDEST_LABEL
                                                      : column + 1 < table->n_column ? WIDEST_TEXT
                                                                                     : WIDEST_LAST;
  size_t unit = cks_utf8_width(c->unit, SIZE_MAX);
  if (unit > width) width = unit;
  for (size_t r = 0; r < table->n_row + table->n_foot; r++) {
    size_t own = widest_line(table->cell[r * table->n_column + column].text);
    if (own > width) width = own;
  }
  return (double)(width > most ? most : width) * SPARE + MARGIN;
}

/* The first column behind those that share the heading above column c. */
static size_t group_end(const cks_report_table *table, size_t c)
{
  size_t end = c + 1;
  while (end < table->n_column && !strcmp(table->column[end].group, table->column[c].group)) end++;
  return end;
}

/* Words in a table's last column go on to the right where other tables of the sheet have columns. */
static bool goes_on(const cks_report_table *table, size_t c)
{
  return c + 1 == table->n_column && table->column[c].align < 0 && !table->column[c].row_label;
}

static double width_from(const double *width, size_t first, size_t end)
{
  double sum = 0;
  for (size_t c = first; c < end; c++) sum += width[c];
  return sum;
}

void cks_book_table_last_width(const cks_report_table *table, size_t column, double *width, size_t n)
{
  size_t last = table->n_column - 1;
  if (!goes_on(table, last)) return;
  width[column + last] += fmax(0, natural_width(table, last) - width_from(width, column + last, n));
}

void cks_book_table_widths(const cks_report_table *table, size_t column, double *width)
{
  for (size_t c = 0; c < table->n_column; c++) { /* what goes on has a heading that does not */
    double own = goes_on(table, c) ? (double)widest_line(heading_text(&table->column[c])) * SPARE + MARGIN
                                   : natural_width(table, c);
    width[column + c] = fmax(width[column + c], own);
  }
  for (size_t c = 0, end; c < table->n_column; c = end) {
    double have = 0, need = (double)cks_utf8_width(table->column[c].group, SIZE_MAX) * SPARE * BOLD_CAPITALS + MARGIN;
    end = group_end(table, c);
    for (size_t i = c; i < end; i++) have += width[column + i];
    for (size_t i = c; i < end && have < need && *table->column[c].group; i++)
      width[column + i] += (need - have) / (double)(end - c);
  }
}

/* ---- headings --------------------------------------------------------------------------------------------------- */

static bool has_groups(const cks_report_table *table)
{
  for (size_t c = 0; c < table->n_column; c++)
    if (*table->column[c].group) return true;
  return false;
}

lxw_row_t cks_book_table_heading_rows(const cks_report_table *table) { return has_groups(table) ? 2 : 1; }

static void put_groups(cks_book *book, lxw_worksheet *sheet, const cks_report_table *table, lxw_row_t row,
                       lxw_col_t column)
{
  for (size_t c = 0, end; c < table->n_column; c = end) {
    const char *group = table->column[c].group;
    end = group_end(table, c);
    if (*group)
      cks_book_span(book, sheet, row, (lxw_col_t)(column + c), (lxw_col_t)(column + end - 1), group,
                    cks_book_look(book, CKS_LOOK_GROUP, 0));
  }
}

/* The characters that a cell's text has room for. */
static double room_of(const cks_report_table *table, size_t c, size_t column, const cks_book_columns *columns)
{
  size_t end = goes_on(table, c) && columns->n > column + c ? columns->n : column + c + 1;
  return width_from(columns->width, column + c, end);
}

static void put_headings(cks_book *book, lxw_worksheet *sheet, const cks_report_table *table, lxw_row_t row,
                         lxw_col_t column, const cks_book_columns *columns)
{
  size_t lines = 1;
  for (size_t c = 0; c < table->n_column && book->status == CKS_OK; c++) {
    const cks_report_column *head = &table->column[c];
    char *text = cks_arena_format(book->arena, "%s%s%s", heading_text(head), *head->unit ? "\n" : "", head->unit);
    size_t own = cks_book_lines(text, head->align < 0 ? room_of(table, c, column, columns) : HUGE_VAL);
    if (own > lines) lines = own;
    cks_book_text(book, sheet, row, (lxw_col_t)(column + c), text, cks_book_look(book, CKS_LOOK_HEADING, head->align));
  }
  cks_book_row_height(book, sheet, row, LINE_POINTS * (double)lines + 2);
}

/* ---- cells ------------------------------------------------------------------------------------------------------ */

static void put_cell(cks_book *book, lxw_worksheet *sheet, lxw_row_t row, lxw_col_t column, const cks_cell *cell,
                     lxw_format *format)
{
  bool date = cell->kind == CKS_CELL_DATE, number = (date || cell->kind == CKS_CELL_NUMBER) && isfinite(cell->value);
  if (!number)
    cks_book_text(book, sheet, row, column, cell->text, format);
  else if (book->status == CKS_OK)
    cks_book_check(book,
                   worksheet_write_number(sheet, row, column, date ? cell->value + DAY_OF_1970 : cell->value, format));
}

/* Lines of a row: as many as its longest text takes. */
static size_t lines_of(const cks_report_table *table, size_t from, size_t column, const cks_book_columns *columns)
{
  size_t lines = 1;
  for (size_t c = 0; c < table->n_column; c++) {
    const cks_cell *cell = &table->cell[from * table->n_column + c];
    size_t own = cell->kind == CKS_CELL_TEXT ? cks_book_lines(cell->text, room_of(table, c, column, columns)) : 1;
    if (own > lines) lines = own;
  }
  return lines;
}

static void put_row(cks_book *book, lxw_worksheet *sheet, const cks_report_table *table, size_t from, lxw_row_t row,
                    lxw_col_t column, const cks_book_columns *columns)
{
  size_t lines = lines_of(table, from, column, columns);
  cks_look look = lines > 1 ? CKS_LOOK_LONG : CKS_LOOK_CELL;
  bool first_foot = from == table->n_row;
  for (size_t c = 0; c < table->n_column && book->status == CKS_OK; c++) {
    const cks_cell *cell = &table->cell[from * table->n_column + c];
    if (!*cell->text && !first_foot) continue; /* an empty cell stays empty */
    lxw_format *format = cks_book_cell_look(book, cell, look, table->column[c].align, first_foot);
    if (goes_on(table, c) && cell->kind == CKS_CELL_TEXT && columns->n > column + c + 1)
      cks_book_span(book, sheet, row, (lxw_col_t)(column + c), (lxw_col_t)(columns->n - 1), cell->text, format);
    else
      put_cell(book, sheet, row, (lxw_col_t)(column + c), cell, format);
  }
  if (lines > 1) cks_book_row_height(book, sheet, row, LINE_POINTS * (double)lines);
}

void cks_book_table_put(cks_book *book, lxw_worksheet *sheet, const cks_report_table *table, lxw_row_t row,
                        lxw_col_t column, const cks_book_columns *columns)
{
  if (has_groups(table)) put_groups(book, sheet, table, row++, column);
  put_headings(book, sheet, table, row++, column, columns);
  for (size_t r = 0; r < table->n_row + table->n_foot && book->status == CKS_OK; r++)
    put_row(book, sheet, table, r, row + (lxw_row_t)r, column, columns);
}
