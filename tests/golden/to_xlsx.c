/*
 * to_xlsx.c: to_xlsx IN.csv OUT.xlsx: the same table as a workbook, as a spreadsheet would keep it: numbers as numbers,
 * days as serial numbers with a date format, "14.5%" as 0.145 with a percent format, all else as text; one sheet, "Plots".
 */
#include <csv.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <xlsxwriter.h>

typedef struct {
  lxw_worksheet *sheet;
  lxw_format *date, *percent;
  lxw_row_t row;
  lxw_col_t column;
} book;

static void on_cell(void *bytes, size_t n, void *to)
{
  book *b = to;
  char text[4096], *end;
  int year, month, day, used = 0;
  if (n >= sizeof text) exit(2);
  memcpy(text, bytes, n);
  text[n] = '\0';
  double number = strtod(text, &end);
  if (sscanf(text, "%4d-%2d-%2d%n", &year, &month, &day, &used) == 3 && !text[used]) {
    lxw_datetime when = {year, month, day, 0, 0, 0};
    worksheet_write_datetime(b->sheet, b->row, b->column, &when, b->date);
  } else if (n && end != text && !*end && strspn(text, "0123456789.-") == n) {
    worksheet_write_number(b->sheet, b->row, b->column, number, NULL);
  } else if (n && end != text && !strcmp(end, "%")) {
    worksheet_write_number(b->sheet, b->row, b->column, number / 100, b->percent);
  } else if (n) {
    worksheet_write_string(b->sheet, b->row, b->column, text, NULL);
  }
  b->column++;
}

static void on_row(int end, void *to)
{
  book *b = to;
  (void)end;
  b->row++;
  b->column = 0;
}

int main(int argc, char **argv)
{
  char piece[1 << 16];
  struct csv_parser parser;
  FILE *in = argc == 3 ? fopen(argv[1], "rb") : NULL;
  if (!in || csv_init(&parser, CSV_APPEND_NULL) != 0) return 2;
  size_t n = fread(piece, 1, sizeof piece, in); /* cases are small */
  const char *line_end = memchr(piece, '\n', n);
  if (line_end && memchr(piece, ';', (size_t)(line_end - piece))) csv_set_delim(&parser, ';');
  lxw_workbook *workbook = workbook_new(argv[2]);
  book b = {.sheet = workbook_add_worksheet(workbook, "Plots")};
  b.date = workbook_add_format(workbook);
  format_set_num_format(b.date, "m/d/yyyy");
  b.percent = workbook_add_format(workbook);
  format_set_num_format(b.percent, "0.0%");
  csv_parse(&parser, piece, n, on_cell, on_row, &b);
  csv_fini(&parser, on_cell, on_row, &b);
  csv_free(&parser);
  fclose(in);
  return workbook_close(workbook) ? 2 : 0;
}
