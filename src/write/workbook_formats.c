/*
 * workbook_formats.c: the looks of cells, each made once. Nothing depends on color: the top group is bold and framed
 * (the word stands in its own column), shades are grays that black text can be read on.
 */
#include "workbook.h"

#include <stdio.h>

typedef struct {
  double size;
  bool bold, wrap, high, indent; /* high: at the top of the row, else its bottom; indent: where aligned left */
  uint8_t top, bottom, frame;    /* border styles, 0 none */
} look_fact;

static const look_fact looks[CKS_LOOKS] = {
    [CKS_LOOK_CELL] = {11, false, false, false, true, 0, 0, 0},
    [CKS_LOOK_LONG] = {11, false, true, true, true, 0, 0, 0},
    [CKS_LOOK_HEADING] = {11, true, true, false, true, 0, LXW_BORDER_MEDIUM, 0},
    [CKS_LOOK_GROUP] = {11, true, false, false, false, 0, LXW_BORDER_THIN, 0},
    [CKS_LOOK_TITLE] = {12, true, false, false, false, 0, 0, 0},
    [CKS_LOOK_FIRST_LINE] = {14, true, true, false, false, 0, 0, 0},
    [CKS_LOOK_LINE] = {11, false, true, true, false, 0, 0, 0},
    [CKS_LOOK_PARAGRAPH] = {11, false, true, true, false, 0, 0, 0},
    [CKS_LOOK_CAUTION] = {12, true, true, true, false, 0, 0, 0},
    [CKS_LOOK_BOX] = {12, true, true, true, true, 0, 0, LXW_BORDER_MEDIUM},
};

enum { SHADES = 4, MARKS = CKS_MARK_TOP | CKS_MARK_FLAG | CKS_MARK_BLOCK };
static const lxw_color_t shades[SHADES + 1] = {0xFFFFFF, 0xEDEDED, 0xDBDBDB, 0xC9C9C9, 0xB7B7B7};

/* What a number shows: its decimals, a date, or nothing (a text). SMALL: below the last decimal it reads "<0.001". */
enum { SHOW_TEXT = 0, SHOW_DATE = 1, SHOW_DECIMALS = 2, SHOW_SMALL = 20 };

/* What tells two formats apart, in one number. */
static uint32_t key_of(cks_look look, int align, int show, int marks, int shade, bool rule)
{
  return (uint32_t)look | (uint32_t)(align + 1) << 4 | (uint32_t)show << 6 | (uint32_t)marks << 12 |
         (uint32_t)shade << 17 | (uint32_t)rule << 20;
}

static void set_number_format(lxw_format *format, int show)
{
  char plain[32] = "0", text[128];
  int digits = show >= SHOW_SMALL ? show - SHOW_SMALL : show - SHOW_DECIMALS;
  if (show == SHOW_TEXT) return;
  if (show == SHOW_DATE) {
    format_set_num_format(format, "yyyy-mm-dd");
    return;
  }
  if (digits > 0) snprintf(plain, sizeof plain, "0.%0*d", digits, 0);
  snprintf(text, sizeof text, "%s", plain);
  if (show >= SHOW_SMALL && digits > 0)
    snprintf(text, sizeof text, "[<0.%0*d]\"<0.%0*d\";%s", digits, 1, digits, 1, plain);
  format_set_num_format(format, text);
}

static int show_of(const cks_cell *cell)
{
  enum { MOST_DIGITS = SHOW_SMALL - SHOW_DECIMALS - 1 };
  int digits = cell->digits < 0 ? 0 : cell->digits > MOST_DIGITS ? MOST_DIGITS : cell->digits;
  if (cell->kind == CKS_CELL_DATE) return SHOW_DATE;
  if (cell->kind != CKS_CELL_NUMBER) return SHOW_TEXT;
  return (cell->text[0] == '<' ? SHOW_SMALL : SHOW_DECIMALS) + digits;
}

static void set_look(lxw_format *format, const look_fact *fact, int align)
{
  format_set_font_size(format, fact->size);
  if (fact->bold) format_set_bold(format);
  if (fact->wrap) format_set_text_wrap(format);
  format_set_align(format, fact->high ? LXW_ALIGN_VERTICAL_TOP : LXW_ALIGN_VERTICAL_BOTTOM);
  format_set_align(format, align < 0 ? LXW_ALIGN_LEFT : align > 0 ? LXW_ALIGN_RIGHT : LXW_ALIGN_CENTER);
  if (fact->indent && align < 0) format_set_indent(format, 1);
  if (fact->frame) format_set_border(format, fact->frame);
  if (fact->top) format_set_top(format, fact->top);
  if (fact->bottom) format_set_bottom(format, fact->bottom);
}

static lxw_format *find_or_make(cks_book *book, cks_look look, int align, int show, int marks, int shade, bool rule)
{
  uint32_t key = key_of(look, align, show, marks, shade, rule);
  for (size_t i = 0; i < book->n_format; i++)
    if (book->format[i].key == key) return book->format[i].format;
  lxw_format *format =
      book->status == CKS_OK && book->n_format < CKS_FORMAT_ROOM ? workbook_add_format(book->workbook) : NULL;
  if (!format) {
    if (book->status == CKS_OK) book->status = cks_error_nomem(book->error);
    return NULL;
  }
  set_look(format, &looks[look], align);
  set_number_format(format, show);
  if (marks & CKS_MARK_TOP) {
    format_set_bold(format);
    format_set_border(format, LXW_BORDER_THIN);
  }
  if (marks & CKS_MARK_BLOCK) format_set_bold(format);
  if (marks & CKS_MARK_FLAG) format_set_italic(format);
  if (shade) format_set_bg_color(format, shades[shade]);
  if (rule) format_set_top(format, LXW_BORDER_MEDIUM);
  book->format[book->n_format++] = (cks_book_format){key, format};
  return format;
}

lxw_format *cks_book_look(cks_book *book, cks_look look, int align)
{
  return find_or_make(book, look, align, SHOW_TEXT, 0, 0, false);
}

lxw_format *cks_book_cell_look(cks_book *book, const cks_cell *cell, cks_look look, int align, bool first_foot)
{
  int shade = cell->shade > 0 ? (int)(cell->shade * SHADES + 0.5F) : 0;
  return find_or_make(book, look, align, show_of(cell), cell->marks & MARKS, shade > SHADES ? SHADES : shade,
                      first_foot);
}
