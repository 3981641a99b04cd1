/*
 * workbook_page.c: rows of a sheet, their heights, and the printed pages that they make: what belongs together (a
 * heading and its table, a chart) is not parted where it fits on one page.
 *
 * A spreadsheet knows better than this how wide its letters are, so a sheet is fitted to the width of its pages by the
 * program that prints it. The pages reckoned here are a little lower than real ones: a break of ours then always comes
 * before the one that would come by itself.
 */
#include "workbook.h"

#include <math.h>
#include <stdlib.h>

/* Breaks that the format holds. */
enum { MOST_BREAKS = 1000 };
static const double DEFAULT_POINTS = 15, HIGHEST_POINTS = 400;

/* Rows up to `row` are known; false: no memory. */
static bool rows_up_to(cks_book *book, lxw_row_t row)
{
  if (row >= book->row_room) {
    size_t room = book->row_room ? book->row_room * 2 : 256;
    while (room <= row) room *= 2;
    cks_book_row *rows = realloc(book->row, room * sizeof *rows);
    if (!rows) {
      book->status = cks_error_nomem(book->error);
      return false;
    }
    book->row = rows;
    book->row_room = room;
  }
  while (book->n_row <= row) book->row[book->n_row++] = (cks_book_row){DEFAULT_POINTS, false};
  return true;
}

void cks_book_row_height(cks_book *book, lxw_worksheet *sheet, lxw_row_t row, double points)
{
  if (book->status != CKS_OK || !rows_up_to(book, row)) return;
  book->row[row].points = fmin(points, HIGHEST_POINTS);
  cks_book_check(book, worksheet_set_row(sheet, row, book->row[row].points, NULL));
}

void cks_book_rows_join(cks_book *book, lxw_row_t first, lxw_row_t last)
{
  if (book->status != CKS_OK || last <= first || !rows_up_to(book, last)) return;
  for (lxw_row_t row = first + 1; row <= last; row++) book->row[row].joined = true;
}

double cks_book_rows_points(const cks_book *book, lxw_row_t first, lxw_row_t end)
{
  double points = 0;
  for (lxw_row_t row = first; row < end; row++) points += row < book->n_row ? book->row[row].points : DEFAULT_POINTS;
  return points;
}

/* The first row behind those that stay together with `first`. */
static lxw_row_t end_of_block(const cks_book *book, lxw_row_t first, lxw_row_t end)
{
  lxw_row_t next = first + 1;
  while (next < end && next < book->n_row && book->row[next].joined) next++;
  return next;
}

size_t cks_book_pages(cks_book *book, lxw_worksheet *sheet, lxw_row_t end, double page_points)
{
  lxw_row_t breaks[MOST_BREAKS + 1];
  size_t n = 0;
  double used = 0;
  for (lxw_row_t row = 0, next; row < end && n < MOST_BREAKS; row = next) {
    next = end_of_block(book, row, end);
    double points = cks_book_rows_points(book, row, next);
    if (used > 0 && used + points > page_points) {
      breaks[n++] = row;
      used = 0;
    }
    used += points;
  }
  breaks[n] = 0;
  if (sheet && n && book->status == CKS_OK) cks_book_check(book, worksheet_set_h_pagebreaks(sheet, breaks));
  return n + 1;
}
