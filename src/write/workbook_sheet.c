/*
 * workbook_sheet.c: sections as sheets: their parts one below the other, and the page as it will be printed.
 *
 * A section that begins no new page goes on below the one before it. All tables of a sheet share its columns, set level
 * at their last row label. A section that opens with its own letterhead (a heading with a right half) is a page to hand
 * out: no header, and one page; where it is divided each page is a sheet. Any other sheet lies across only where it would
 * get too small upright; columns of text give way before letters get smaller than SMALLEST_PRINT, and what is wider all
 * the same goes on at the right, on further pages. The scale is set here and reckoned with wide letters, so that every
 * program that prints the sheet breaks it at the same rows.
 */
#include "workbook.h"

#include "../core/utf8.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { PAPER_LETTER = 1, PAPER_A4 = 9, DEEPEST_FREEZE = 9, PIXELS_A_ROW = 20 };
enum { CHART_HEIGHT = 240, SQUARE_HEIGHT = 400 }; /* of a page to hand out; of one that is looked at for its points */
static const double LINE_POINTS = 15, GAP_POINTS = 8, NARROWEST_SHEET = 76, DEFAULT_WIDTH = 8.43, SIDE_MARGIN = 0.5,
                    HEAD_MARGIN = 0.6, FOOT_MARGIN = 0.7;
static const double POINTS_AN_INCH = 72, POINTS_A_PIXEL = 0.75;
/* Of letters that are 11 points high on the screen. */
static const double SMALLEST_PRINT = 6.85 / 11, USUAL_PRINT = 9.4 / 11;
static const double SURE_OF_ROOM = 0.98; /* of a page's height: programs differ a little */
/* In pixels, and in digits: a program without the usual font takes a wider one. */
static const double WIDE_DIGIT = 9.45, PADDING = 0.75;

/* A sheet while its parts are put on it. */
typedef struct {
  cks_book *book;
  const cks_section *section; /* the first on it */
  const cks_part *const *part;
  size_t n_part;
  lxw_worksheet *sheet;
  size_t n_column, n_label, index;
  size_t n_text; /* columns that running text spans: those of the first page */
  double *width; /* size n_column, characters */
  double total;  /* of n_text columns */
  bool landscape, many_wide;
  double scale;       /* in print */
  double page_points; /* height of a printed page, in the sheet's own points */
  lxw_row_t row;      /* next free */
  lxw_row_t held;     /* the first row of the part at hand, or of the heading that it follows */
  bool holds, long_table;
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
  for (size_t i = 0; i < p->n_part; i++) {
    const cks_report_table *table = p->part[i]->table;
    if (table && labels_of(table) > p->n_label) p->n_label = labels_of(table);
  }
  for (size_t i = 0; i < p->n_part; i++) {
    const cks_report_table *table = p->part[i]->table;
    size_t n = table ? p->n_label - labels_of(table) + table->n_column : 0;
    if (n > most) most = n;
  }
  return most;
}

static int pixels_of(double characters) { return (int)(characters * 7 + 5); }

static int total_pixels(const page *p)
{
  int pixels = 0;
  for (size_t c = 0; c < p->n_text; c++) pixels += pixels_of(p->width[c]);
  return pixels;
}

/* Of the paper what the margins leave, in points. */
static double room_across(const page *p, bool landscape)
{
  bool a4 = !strcmp(p->book->report->paper, "a4");
  double inches = landscape ? (a4 ? 11.69 : 11) : (a4 ? 8.27 : 8.5);
  return (inches - 2 * SIDE_MARGIN) * POINTS_AN_INCH;
}

static double room_down(const page *p, bool landscape)
{
  bool a4 = !strcmp(p->book->report->paper, "a4");
  double inches = landscape ? (a4 ? 8.27 : 8.5) : (a4 ? 11.69 : 11);
  return (inches - HEAD_MARGIN - FOOT_MARGIN) * POINTS_AN_INCH;
}

/* How much smaller the first n columns are printed so that they fit across. */
static double shrunk(const page *p, size_t n, bool landscape)
{
  double points = 0;
  for (size_t c = 0; c < n; c++) points += (p->width[c] + PADDING) * WIDE_DIGIT * POINTS_A_PIXEL;
  return points > room_across(p, landscape) ? room_across(p, landscape) / points : 1;
}

/* Does a column hold words that can go on in a second line? */
static bool can_wrap(const page *p, size_t column)
{
  bool any = false;
  for (size_t i = 0; i < p->n_part; i++) {
    const cks_report_table *table = p->part[i]->table;
    size_t first = table ? p->n_label - labels_of(table) : 0;
    if (!table || column < first || column - first >= table->n_column) continue;
    any |= table->column[column - first].align < 0;
  }
  return any;
}

/* Takes from the widest columns of text until the sheet fits across at that scale, as far as that goes. */
static void narrow(page *p, size_t n, bool landscape, double scale)
{
  const double narrowest = scale > SMALLEST_PRINT ? 60 : 18; /* prose; words */
  while (shrunk(p, n, landscape) < scale) {
    size_t widest = n;
    for (size_t c = 0; c < n; c++)
      if (p->width[c] > narrowest && (widest == n || p->width[c] > p->width[widest]) && can_wrap(p, c)) widest = c;
    if (widest == n) return;
    p->width[widest]--;
  }
}

/* Upright or across, the scale in print, and what goes on at the right. */
static void set_format(page *p, size_t n)
{
  const double worth_narrowing = 0.75 * SMALLEST_PRINT;
  bool handout = is_handout(p->section);
  p->n_text = n;
  if (!handout) narrow(p, n, false, USUAL_PRINT);
  if (!handout && shrunk(p, n, false) >= worth_narrowing) narrow(p, n, false, SMALLEST_PRINT);
  p->landscape = !handout && shrunk(p, n, false) < SMALLEST_PRINT;
  if (p->landscape) narrow(p, n, true, SMALLEST_PRINT);
  p->scale = fmin(shrunk(p, n, p->landscape), p->index == 0 ? 1 : USUAL_PRINT);
  p->many_wide = !handout && p->scale < SMALLEST_PRINT;
  if (p->many_wide) {
    p->scale = SMALLEST_PRINT;
    while (p->n_text > 1 && shrunk(p, p->n_text, true) < SMALLEST_PRINT) p->n_text--;
  }
  p->page_points = room_down(p, p->landscape) / p->scale * SURE_OF_ROOM;
}

/* Widths of all columns; more columns of ordinary width where tables are narrow, so that paragraphs have room. */
static bool set_columns(page *p)
{
  enum { EXTRA = 10 };
  const size_t own = count_columns(p);
  size_t n = own;
  p->width = calloc(n + EXTRA, sizeof *p->width);
  if (!p->width) {
    p->book->status = cks_error_nomem(p->book->error);
    return false;
  }
  for (size_t i = 0; i < p->n_part; i++) {
    const cks_report_table *table = p->part[i]->table;
    if (table) cks_book_table_widths(table, p->n_label - labels_of(table), p->width);
  }
  for (size_t i = 0; i < p->n_part; i++) {
    const cks_report_table *table = p->part[i]->table;
    if (table) cks_book_table_last_width(table, p->n_label - labels_of(table), p->width, n);
  }
  for (size_t c = 0; c < n; c++) {
    if (p->width[c] < 2) p->width[c] = 2;
    p->total += p->width[c];
  }
  for (; n < own + EXTRA && p->total < NARROWEST_SHEET; n++) {
    p->width[n] = DEFAULT_WIDTH;
    p->total += DEFAULT_WIDTH;
  }
  p->n_column = n;
  set_format(p, n);
  p->total = 0;
  for (size_t c = 0; c < p->n_text; c++) p->total += p->width[c];
  for (size_t c = 0; c < n; c++)
    cks_book_check(p->book, worksheet_set_column(p->sheet, (lxw_col_t)c, (lxw_col_t)c, p->width[c], NULL));
  return p->book->status == CKS_OK;
}

/* ---- parts ------------------------------------------------------------------------------------------------------ */

/* The last that running text spans. */
static lxw_col_t last_column(const page *p) { return (lxw_col_t)(p->n_text - 1); }

static void set_lines(page *p, size_t lines, double points)
{
  cks_book_row_height(p->book, p->sheet, p->row, points * (double)lines);
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
  for (size_t c = 0; c + 1 < p->n_text; c++) {
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
    if (tab && p->n_text > 1)
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

/* A table stays whole where a page holds it; else its title, headings and first rows stay together, and so do its last
 * rows and what stands below. */
static void keep_together(page *p, lxw_row_t top, lxw_row_t first, lxw_row_t n)
{
  enum { KEPT = 3 };
  lxw_row_t last = p->row - 1;
  if (cks_book_rows_points(p->book, p->held, p->row) <= p->page_points || n <= 2 * KEPT) {
    cks_book_rows_join(p->book, top, last);
    return;
  }
  p->long_table = true;
  cks_book_rows_join(p->book, top, first + KEPT - 1);
  cks_book_rows_join(p->book, first + n - KEPT, last);
}

static void put_table(page *p, const cks_report_table *table)
{
  cks_book *book = p->book;
  size_t column = p->n_label - labels_of(table);
  lxw_row_t top = p->row, n = (lxw_row_t)(table->n_row + table->n_foot);
  if (*table->title) put_lines(p, table->title, CKS_LOOK_TITLE, 17);
  lxw_row_t heading = p->row, first = heading + cks_book_table_heading_rows(table);
  if (p->n_table++ == 0) {
    p->heading_first = heading;
    p->heading_last = first - 1;
  }
  cks_book_table_put(book, p->sheet, table, heading, (lxw_col_t)column, &(cks_book_columns){p->width, p->n_text});
  book->table[book->n_table++] = (cks_book_table){table, p->index, first, (lxw_col_t)column};
  p->row = first + n;
  if (*table->caption) {
    cks_book_row_height(book, p->sheet, p->row++, GAP_POINTS / 2);
    put_lines(p, table->caption, CKS_LOOK_PARAGRAPH, LINE_POINTS);
  }
  keep_together(p, top, first, n);
}

static void put_chart(page *p, const cks_chart *chart)
{
  bool square = chart->kind != CKS_DOTS && p->index > 0 && !is_handout(p->section);
  int height = square ? SQUARE_HEIGHT : CHART_HEIGHT, width = total_pixels(p) - 4;
  lxw_row_t top = p->row;
  p->book->chart[p->book->n_chart++] = (cks_book_chart){chart, p->index, p->row, width, height};
  p->row += (lxw_row_t)(height / PIXELS_A_ROW + 1);
  cks_book_rows_join(p->book, top, p->row - 1);
}

/* A low row between two parts: a page to hand out has no room to give away. */
static void put_gap(page *p)
{
  cks_book_row_height(p->book, p->sheet, p->row, GAP_POINTS);
  p->row++;
}

/* A heading, and what is said below it, stays with what follows. */
static void hold(page *p, cks_part_kind kind)
{
  if (p->holds)
    cks_book_rows_join(p->book, p->held, p->row);
  else
    p->held = p->row;
  bool holds = kind == CKS_PART_HEADING || kind == CKS_PART_CAUTION || (kind == CKS_PART_PARAGRAPH && p->holds);
  p->holds = holds;
}

static void put_part(page *p, const cks_part *part)
{
  hold(p, part->kind);
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
    return; /* begins another sheet, see put_group */
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
  enum { TITLE = 60, OTHER = 40, FOOT = 80 };
  const char *head = cks_arena_format(p->book->arena, "&L&9 %s&C&9 %s&R&9 %s", header_text(p, report->title, TITLE),
                                      header_text(p, report->date, OTHER), header_text(p, report->organization, OTHER));
  const char *foot =
      cks_arena_format(p->book->arena, "&L&9 %s&R&9 page &P of &N", header_text(p, report->footer, FOOT));
  bool own = is_handout(p->section); /* its letterhead and small print say it */
  if (!own) cks_book_check(p->book, worksheet_set_header(p->sheet, head));
  if (!own) cks_book_check(p->book, worksheet_set_footer(p->sheet, foot));
}

/* Smaller letters, no smaller than SMALLEST_PRINT, where that saves a page. */
static void save_pages(page *p)
{
  const double step = 0.01;
  size_t fewest = cks_book_pages(p->book, NULL, p->row, p->page_points);
  for (double scale = p->scale - step; scale >= SMALLEST_PRINT; scale -= step) {
    double points = room_down(p, p->landscape) / scale * SURE_OF_ROOM;
    size_t n = cks_book_pages(p->book, NULL, p->row, points);
    if (n >= fewest) continue;
    fewest = n;
    p->scale = scale;
    p->page_points = points;
  }
}

/* On one page where that costs little; else broken where it hurts least. */
static void set_pages(page *p)
{
  enum { ONE_PAGE_MORE = 20 }; /* percent of a page that is squeezed in rather than printed on one of its own */
  double points = cks_book_rows_points(p->book, 0, p->row), squeezed = p->page_points * p->scale / points;
  bool one = points <= p->page_points * (100 + ONE_PAGE_MORE) / 100 && squeezed >= SMALLEST_PRINT;
  if (is_handout(p->section) || (one && points > p->page_points && !p->many_wide)) {
    worksheet_fit_to_pages(p->sheet, 1, 1);
    return;
  }
  bool headings_repeat = p->n_table == 1 && p->long_table;
  save_pages(p);
  worksheet_set_print_scale(p->sheet, (uint16_t)(p->scale * 100));
  if (p->many_wide && p->n_label)
    cks_book_check(p->book, worksheet_repeat_columns(p->sheet, 0, (lxw_col_t)(p->n_label - 1)));
  if (headings_repeat)
    cks_book_check(p->book, worksheet_repeat_rows(p->sheet, p->heading_first, p->heading_last));
  else
    cks_book_pages(p->book, p->sheet, p->row, p->page_points);
}

static void set_page(page *p)
{
  bool a4 = !strcmp(p->book->report->paper, "a4"), handout = is_handout(p->section);
  worksheet_set_paper(p->sheet, a4 ? PAPER_A4 : PAPER_LETTER);
  if (p->landscape)
    worksheet_set_landscape(p->sheet);
  else
    worksheet_set_portrait(p->sheet);
  worksheet_set_margins(p->sheet, SIDE_MARGIN, SIDE_MARGIN, handout ? SIDE_MARGIN : HEAD_MARGIN, FOOT_MARGIN);
  worksheet_gridlines(p->sheet, LXW_HIDE_ALL_GRIDLINES);
  set_pages(p);
  set_header(p);
  bool printed = p->section->audience != CKS_FOR_CHARTS; /* else one empty row: some programs print hidden sheets */
  lxw_row_t first = printed ? 0 : p->row, last = printed && p->row ? p->row - 1 : p->row;
  cks_book_check(p->book, worksheet_print_area(p->sheet, first, 0, last, (lxw_col_t)(p->n_column - 1)));
  if (p->n_table && p->heading_last < DEEPEST_FREEZE)
    worksheet_freeze_panes(p->sheet, p->n_table == 1 ? p->heading_last + 1 : 0, (lxw_col_t)p->n_label);
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
  book->n_row = 0;
  return true;
}

/* Does a sheet that began with part[first] end before part[at]? A table longer than a page shares none with other tables:
 * only so its headings can be printed on each page. */
static bool ends_before(const cks_part *const *part, size_t first, size_t at)
{
  enum { LONG_TABLE = 44 }; /* rows, somewhat less than a page */
  if (part[at]->kind == CKS_PART_PAGE) return true;
  if (!part[at]->table) return false;
  bool tables = false, any_long = part[at]->table->n_row > LONG_TABLE;
  for (size_t i = first; i < at; i++) {
    tables |= part[i]->table != NULL;
    any_long |= part[i]->table && part[i]->table->n_row > LONG_TABLE;
  }
  return tables && any_long;
}

/* Parts of sections that share a sheet; each page that they ask for is a sheet of its own. */
static void put_group(cks_book *book, const cks_section *first, const cks_part *const *part, size_t n_part)
{
  for (size_t i = 0, end; i < n_part && book->status == CKS_OK; i = end) {
    end = i + 1;
    if (part[i]->kind == CKS_PART_PAGE) continue;
    while (end < n_part && !ends_before(part, i, end)) end++;
    page p = {.book = book, .section = first, .part = part + i, .n_part = end - i};
    if (open_sheet(&p) && set_columns(&p)) {
      for (size_t k = i; k < end; k++) put_part(&p, part[k]);
      set_page(&p);
      if (first->audience == CKS_FOR_CHARTS) worksheet_hide(p.sheet);
    }
    free(p.width);
  }
}

void cks_book_sections(cks_book *book)
{
  const cks_report *report = book->report;
  size_t room = 0;
  for (size_t s = 0; s < report->n_section; s++) room += report->section[s].n_part;
  const cks_part **part = cks_arena_take(book->arena, room ? room : 1, sizeof *part);
  for (size_t s = 0, next; part && s < report->n_section && book->status == CKS_OK; s = next) {
    size_t n = 0;
    for (next = s; next < report->n_section && (next == s || !report->section[next].new_page); next++) {
      const cks_section *section = &report->section[next];
      for (size_t i = 0; section->audience != CKS_FOR_SCREEN && i < section->n_part; i++) part[n++] = &section->part[i];
    }
    put_group(book, &report->section[s], part, n);
  }
}
