/*
 * workbook_sheet.c: one section as one sheet: its parts one below the other, and the page as it will be printed.
 *
 * All tables of a sheet share its columns, set level at their last row label. A section that opens with its own
 * letterhead (a heading with a right half) is a page to hand out: no header, and one page; where it is divided each
 * page is a sheet.
 */
#include "workbook.h"

#include "../core/utf8.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { PAPER_LETTER = 1, PAPER_A4 = 9, DEEPEST_FREEZE = 9, PIXELS_A_ROW = 20, LARGE_CHART = 420, SHEET_CHART = 240 };
static const double LINE_POINTS = 15, GAP_POINTS = 8, NARROWEST_SHEET = 84, DEFAULT_WIDTH = 8.43, SIDE_MARGIN = 0.5,
                    FOOT_MARGIN = 0.7;

/* A sheet while its parts are put on it. */
typedef struct {
  cks_book *book;
  const cks_section *section;
  lxw_worksheet *sheet;
  size_t n_column, n_label, index;
  double *width; /* size n_column, characters */
  double total;
  lxw_row_t row; /* next free */
  size_t n_table;
  lxw_row_t heading_first, heading_last; /* of the first table */
} page;

static bool is_handout(const cks_section *section)
{
  return section->n_part && section->part[0].kind == CKS_PART_HEADING && strchr(section->part[0].text, '\t') != NULL;
}

static size_t labels_of(const cks_report_table *table)
{
  size_t n = 0;
  while (n < table->n_column && table->column[n].row_label) n++;
  return n;
}

/* ---- columns ---------------------------------------------------------------------------------------------------- */

static size_t count_columns(page *p)
{
  size_t most = 1;
  for (size_t i = 0; i < p->section->n_part; i++) {
    const cks_report_table *table = p->section->part[i].table;
    if (table && labels_of(table) > p->n_label) p->n_label = labels_of(table);
  }
  for (size_t i = 0; i < p->section->n_part; i++) {
    const cks_report_table *table = p->section->part[i].table;
    size_t n = table ? p->n_label - labels_of(table) + table->n_column : 0;
    if (n > most) most = n;
  }
  return most;
}

/* Widths of all columns; more columns of ordinary width where tables are narrow, so that paragraphs have room. */
static bool set_columns(page *p)
{
  enum { EXTRA = 10 };
  size_t n = count_columns(p);
  p->width = calloc(n + EXTRA, sizeof *p->width);
  if (!p->width) {
    p->book->status = cks_error_nomem(p->book->error);
    return false;
  }
  for (size_t i = 0; i < p->section->n_part; i++) {
    const cks_report_table *table = p->section->part[i].table;
    if (table) cks_book_table_widths(table, p->n_label - labels_of(table), p->width);
  }
  for (size_t c = 0; c < n; c++) {
    if (p->width[c] < 2) p->width[c] = 2;
    p->total += p->width[c];
  }
  for (; n < count_columns(p) + EXTRA && p->total < NARROWEST_SHEET; n++) {
    p->width[n] = DEFAULT_WIDTH;
    p->total += DEFAULT_WIDTH;
  }
  p->n_column = n;
  for (size_t c = 0; c < n; c++)
    cks_book_check(p->book, worksheet_set_column(p->sheet, (lxw_col_t)c, (lxw_col_t)c, p->width[c], NULL));
  return p->book->status == CKS_OK;
}

static int pixels_of(double characters) { return (int)(characters * 7 + 5); }

static int total_pixels(const page *p)
{
  int pixels = 0;
  for (size_t c = 0; c < p->n_column; c++) pixels += pixels_of(p->width[c]);
  return pixels;
}

/* ---- parts ------------------------------------------------------------------------------------------------------ */

static lxw_col_t last_column(const page *p) { return (lxw_col_t)(p->n_column - 1); }

static void set_lines(page *p, size_t lines, double points)
{
  cks_book_check(p->book, worksheet_set_row(p->sheet, p->row, fmin(points * (double)lines, 400), NULL));
}

/* Text over the whole width, a row a line of it. */
static void put_lines(page *p, const char *text, cks_look look, double points)
{
  while (*text && p->book->status == CKS_OK) {
    size_t n = strcspn(text, "\n");
    const char *line = cks_arena_format(p->book->arena, "%.*s", (int)n, text);
    cks_book_span(p->book, p->sheet, p->row, 0, last_column(p), line, cks_book_look(p->book, look, -1));
    set_lines(p, cks_book_lines(line, p->total * 11 / (points - 4)), points);
    p->row++;
    text += n + (text[n] == '\n');
  }
}

/* The column where the right half of a divided line begins: past the middle of the sheet. */
static lxw_col_t right_half(const page *p)
{
  double taken = 0;
  for (size_t c = 0; c + 1 < p->n_column; c++) {
    taken += p->width[c];
    if (taken >= p->total * 0.55) return (lxw_col_t)(c + 1);
  }
  return last_column(p);
}

static void put_divided(page *p, const char *line, const char *tab)
{
  lxw_col_t right = right_half(p);
  const char *left_text = cks_arena_format(p->book->arena, "%.*s", (int)(tab - line), line);
  cks_book_span(p->book, p->sheet, p->row, 0, right > 0 ? (lxw_col_t)(right - 1) : 0, left_text,
                cks_book_look(p->book, CKS_LOOK_FIRST_LINE, -1));
  cks_book_span(p->book, p->sheet, p->row, right, last_column(p), tab + 1,
                cks_book_look(p->book, CKS_LOOK_FIRST_LINE, 1));
  size_t left_lines = cks_book_lines(left_text, p->total * 0.55 * 11 / 14),
         right_lines = cks_book_lines(tab + 1, p->total * 0.42 * 11 / 14);
  set_lines(p, left_lines > right_lines ? left_lines : right_lines, 19);
  p->row++;
}

static void put_heading(page *p, const char *text)
{
  for (bool first = true; *text && p->book->status == CKS_OK; first = false) {
    size_t n = strcspn(text, "\n");
    const char *line = cks_arena_format(p->book->arena, "%.*s", (int)n, text), *tab = strchr(line, '\t');
    if (tab && p->n_column > 1)
      put_divided(p, line, tab);
    else
      put_lines(p, line, first ? CKS_LOOK_FIRST_LINE : CKS_LOOK_LINE, first ? 19 : LINE_POINTS);
    text += n + (text[n] == '\n');
  }
}

static void put_box(page *p, const char *text)
{
  cks_book_span(p->book, p->sheet, p->row, 0, last_column(p), text, cks_book_look(p->book, CKS_LOOK_BOX, -1));
  set_lines(p, cks_book_lines(text, p->total * 11 / 12.5), 17);
  p->row++;
}

static void put_table(page *p, const cks_report_table *table)
{
  cks_book *book = p->book;
  size_t column = p->n_label - labels_of(table);
  if (*table->title) put_lines(p, table->title, CKS_LOOK_TITLE, 17);
  lxw_row_t heading = p->row, first = heading + cks_book_table_heading_rows(table);
  if (p->n_table++ == 0) {
    p->heading_first = heading;
    p->heading_last = first - 1;
  }
  cks_book_table_put(book, p->sheet, table, heading, (lxw_col_t)column, p->width);
  book->table[book->n_table++] = (cks_book_table){table, p->index, first, (lxw_col_t)column};
  p->row = first + (lxw_row_t)(table->n_row + table->n_foot);
  if (*table->caption) {
    p->row++;
    put_lines(p, table->caption, CKS_LOOK_PARAGRAPH, LINE_POINTS);
  }
}

static void put_chart(page *p, const cks_chart *chart)
{
  int height = is_handout(p->section) ? SHEET_CHART : LARGE_CHART, width = total_pixels(p) - 4;
  p->book->chart[p->book->n_chart++] = (cks_book_chart){chart, p->index, p->row, width, height};
  p->row += (lxw_row_t)(height / PIXELS_A_ROW + 1);
}

/* A low row between two parts: a page to hand out has no room to give away. */
static void put_gap(page *p)
{
  cks_book_check(p->book, worksheet_set_row(p->sheet, p->row, GAP_POINTS, NULL));
  p->row++;
}

static void put_part(page *p, const cks_part *part)
{
  switch (part->kind) {
  case CKS_PART_TABLE:
    put_table(p, part->table);
    break;
  case CKS_PART_CHART:
    put_chart(p, part->chart);
    break;
  case CKS_PART_HEADING:
    put_heading(p, part->text);
    break;
  case CKS_PART_PARAGRAPH:
    put_lines(p, part->text, CKS_LOOK_PARAGRAPH, LINE_POINTS);
    break;
  case CKS_PART_CAUTION:
    put_lines(p, part->text, CKS_LOOK_CAUTION, 17);
    break;
  case CKS_PART_BOX:
    put_box(p, part->text);
    break;
  case CKS_PART_PAGE:
    return; /* begins another sheet, see cks_book_section */
  }
  put_gap(p);
}

/* ---- the printed page ------------------------------------------------------------------------------------------- */

/* text for a header: `&` doubled, at most `columns` of it. */
static const char *header_text(const page *p, const char *text, size_t columns)
{
  char *into = cks_arena_take(p->book->arena, strlen(text) * 2 + 1, 1), *to = into;
  if (!into) return "";
  for (const char *c = text, *end = text + cks_utf8_cut(text, columns); c < end; c++) {
    if (*c == '&') *to++ = '&';
    *to++ = *c;
  }
  return into;
}

static void set_header(page *p)
{
  const cks_report *report = p->book->report;
  enum { TITLE = 60, OTHER = 40, FOOT = 60 };
  const char *head = cks_arena_format(p->book->arena, "&L&9 %s&C&9 %s&R&9 %s", header_text(p, report->title, TITLE),
                                      header_text(p, report->date, OTHER), header_text(p, report->organization, OTHER));
  const char *foot =
      cks_arena_format(p->book->arena, "&L&9 %s&R&9 page &P of &N", header_text(p, report->footer, FOOT));
  bool own = is_handout(p->section); /* its letterhead and small print say it */
  if (!own) cks_book_check(p->book, worksheet_set_header(p->sheet, head));
  if (!own) cks_book_check(p->book, worksheet_set_footer(p->sheet, foot));
}

static void set_page(page *p)
{
  bool a4 = !strcmp(p->book->report->paper, "a4"), handout = is_handout(p->section);
  worksheet_set_paper(p->sheet, a4 ? PAPER_A4 : PAPER_LETTER);
  if (p->section->landscape)
    worksheet_set_landscape(p->sheet);
  else
    worksheet_set_portrait(p->sheet);
  worksheet_set_margins(p->sheet, SIDE_MARGIN, SIDE_MARGIN, handout ? SIDE_MARGIN : FOOT_MARGIN, FOOT_MARGIN);
  worksheet_gridlines(p->sheet, LXW_HIDE_ALL_GRIDLINES);
  worksheet_fit_to_pages(p->sheet, 1, handout ? 1 : 0);
  set_header(p);
  if (p->row) cks_book_check(p->book, worksheet_print_area(p->sheet, 0, 0, p->row - 1, last_column(p)));
  if (p->n_table == 1 && !handout)
    cks_book_check(p->book, worksheet_repeat_rows(p->sheet, p->heading_first, p->heading_last));
  if (p->n_table && p->heading_last < DEEPEST_FREEZE)
    worksheet_freeze_panes(p->sheet, p->heading_last + 1, (lxw_col_t)p->n_label);
  cks_book_check(p->book, worksheet_ignore_errors(p->sheet, LXW_IGNORE_NUMBER_STORED_AS_TEXT, "A1:XFD1048576"));
}

/* Begins a sheet for the page; false when that failed. */
static bool open_sheet(page *p)
{
  cks_book *book = p->book;
  char *name = book->name[book->n_sheet];
  cks_sheet_name_make(p->section->title, book->n_sheet, (const cks_sheet_name *)book->name, name);
  p->sheet = workbook_add_worksheet(book->workbook, name);
  if (!p->sheet) {
    book->status = cks_error_set(book->error, CKS_INTERNAL, "sheet '%s' was refused", name);
    return false;
  }
  p->index = book->n_sheet;
  book->sheet[book->n_sheet++] = p->sheet;
  return true;
}

void cks_book_section(cks_book *book, const cks_section *section)
{
  for (size_t i = 0; i < section->n_part && book->status == CKS_OK; i++) {
    page p = {.book = book, .section = section};
    if (open_sheet(&p) && set_columns(&p)) {
      for (; i < section->n_part && section->part[i].kind != CKS_PART_PAGE; i++) put_part(&p, &section->part[i]);
      set_page(&p);
    }
    free(p.width);
  }
}
