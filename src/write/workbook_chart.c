/*
 * workbook_chart.c: native charts from the report's cells. Dots are a line chart without its lines: the names stand
 * along the bottom, the LSD is a bar of fixed length on a point of its own, the check a line. Told apart by shape,
 * fill and dashes in black and gray, never by color.
 */
#include "workbook.h"

#include <stdlib.h>
#include <string.h>

enum { DEFAULT_WIDTH = 480, DEFAULT_HEIGHT = 288, LABEL_SIZE = 9, TURNED = -45, UPRIGHT = -90, MANY_NAMES = 20 };
/* The library takes 0 for no color at all. */
static const lxw_color_t BLACK = LXW_COLOR_BLACK, GRAY = 0x7F7F7F, PALE = 0xD9D9D9;

static const cks_book_table *place_of(const cks_book *book, const cks_range *range)
{
  for (size_t i = 0; i < book->n_table; i++)
    if (range->n && !strcmp(book->table[i].table->key, range->table)) return &book->table[i];
  return NULL;
}

/* The range as the library wants it: a sheet and four corners; false when its table is on no sheet. */
typedef struct {
  const char *sheet;
  lxw_row_t first, last;
  lxw_col_t column;
} corners;

static bool find(const cks_book *book, const cks_range *range, corners *to)
{
  const cks_book_table *at = place_of(book, range);
  if (!at) return false;
  *to = (corners){book->name[at->sheet], at->first_row + range->first, at->first_row + range->first + range->n - 1,
                  (lxw_col_t)(at->first_column + range->column)};
  return true;
}

/* ---- looks of series -------------------------------------------------------------------------------------------- */

static void set_marker(lxw_chart_series *series, uint8_t type, uint8_t size, lxw_color_t fill)
{
  lxw_chart_line edge = {.color = fill, .width = 1};
  lxw_chart_fill inside = {.color = fill};
  chart_series_set_marker_type(series, type);
  if (type == LXW_CHART_MARKER_NONE) return;
  chart_series_set_marker_size(series, size);
  chart_series_set_marker_line(series, &edge);
  chart_series_set_marker_fill(series, &inside);
}

static void set_bar(lxw_chart_series *series, double half)
{
  lxw_chart_line line = {.color = BLACK, .width = 1.5F};
  chart_series_set_error_bars(series->y_error_bars, LXW_CHART_ERROR_BAR_TYPE_FIXED, half);
  chart_series_set_error_bars_line(series->y_error_bars, &line);
}

/* Lines told apart by dashes and by black or gray; plain ones are pale, behind them. */
static void set_line(lxw_chart_series *series, uint8_t style)
{
  static const uint8_t dashes[] = {LXW_CHART_LINE_DASH_SOLID, LXW_CHART_LINE_DASH_ROUND_DOT,
                                   LXW_CHART_LINE_DASH_LONG_DASH, LXW_CHART_LINE_DASH_DASH_DOT};
  enum { N_DASH = sizeof dashes / sizeof *dashes };
  lxw_chart_line line = {.color = PALE, .width = 1};
  if (style == 3) line = (lxw_chart_line){.color = GRAY, .width = 1.5F, .dash_type = LXW_CHART_LINE_DASH_SQUARE_DOT};
  if (style > 3)
    line = (lxw_chart_line){
        .color = (style - 4) / N_DASH % 2 ? GRAY : BLACK, .width = 2, .dash_type = dashes[(style - 4) % N_DASH]};
  chart_series_set_line(series, &line);
  chart_series_set_marker_type(series, LXW_CHART_MARKER_NONE);
}

static void set_style(lxw_chart_series *series, const cks_series *from, cks_chart_kind kind)
{
  if (kind == CKS_LINES) {
    set_line(series, from->style);
    return;
  }
  bool reference = from->style == 3 && from->half_bar <= 0 && kind == CKS_DOTS;
  lxw_chart_line line = {
      .color = GRAY, .width = 1.5F, .dash_type = LXW_CHART_LINE_DASH_DASH, .none = (uint8_t)!reference};
  chart_series_set_line(series, &line);
  if (reference)
    set_marker(series, LXW_CHART_MARKER_NONE, 0, GRAY);
  else if (from->half_bar > 0)
    set_marker(series, LXW_CHART_MARKER_LONG_DASH, 5, BLACK);
  else if (from->style == 1)
    set_marker(series, LXW_CHART_MARKER_CIRCLE, 9, BLACK);
  else if (from->style == 2)
    set_marker(series, LXW_CHART_MARKER_DIAMOND, 9, BLACK);
  else
    set_marker(series, LXW_CHART_MARKER_CIRCLE, 6, GRAY);
  if (from->half_bar > 0) set_bar(series, from->half_bar);
}

/* Names beside points. The library takes a text that begins with `=` for a formula; behind a blank it is a text. */
static void set_names(cks_book *book, lxw_chart_series *series, const cks_series *from)
{
  const cks_book_table *at = place_of(book, &from->names);
  size_t n = from->names.n;
  if (!at) return;
  lxw_chart_data_label *label = calloc(n, sizeof *label);
  lxw_chart_data_label **list = calloc(n + 1, sizeof *list);
  if (label && list) {
    for (size_t i = 0; i < n; i++) {
      const char *name = at->table->cell[(from->names.first + i) * at->table->n_column + from->names.column].text;
      label[i].value = cks_arena_format(book->arena, "%s%s", *name == '=' ? " " : "", name);
      list[i] = &label[i];
    }
    chart_series_set_labels(series);
    chart_series_set_labels_position(series, LXW_CHART_LABEL_POSITION_ABOVE);
    cks_book_check(book, chart_series_set_labels_custom(series, list));
  } else {
    book->status = cks_error_nomem(book->error);
  }
  free(list);
  free(label);
}

static void add_series(cks_book *book, lxw_chart *chart, const cks_chart *from, const cks_series *s)
{
  corners names, x, y;
  bool dots = from->kind == CKS_DOTS;
  if (dots ? !find(book, &s->names, &names) || !find(book, &s->x, &y)
           : !find(book, &s->x, &x) || !find(book, &s->y, &y))
    return;
  const corners *along = dots ? &names : &x;
  lxw_chart_series *series = chart_add_series(chart, NULL, NULL);
  if (!series) {
    book->status = cks_error_nomem(book->error);
    return;
  }
  chart_series_set_categories(series, along->sheet, along->first, along->column, along->last, along->column);
  chart_series_set_values(series, y.sheet, y.first, y.column, y.last, y.column);
  chart_series_set_name(series, s->label);
  set_style(series, s, from->kind);
  if (!dots && s->names.n) set_names(book, series, s);
}

/* ---- axes ------------------------------------------------------------------------------------------------------- */

static void set_axis(lxw_chart_axis *axis, const cks_axis *from)
{
  static const char *const formats[] = {"0", "0.0", "0.00", "0.000"};
  lxw_chart_font font = {.size = LABEL_SIZE}, name = {.size = LABEL_SIZE + 1, .bold = LXW_EXPLICIT_FALSE};
  lxw_chart_line line = {.color = PALE, .width = 0.75F};
  chart_axis_set_min(axis, from->low);
  chart_axis_set_max(axis, from->high);
  chart_axis_set_major_unit(axis, from->step);
  chart_axis_set_num_format(axis, formats[from->digits < 0 ? 0 : from->digits > 3 ? 3 : from->digits]);
  chart_axis_set_num_font(axis, &font);
  chart_axis_set_label_position(axis, LXW_CHART_AXIS_LABEL_POSITION_LOW); /* not along a 0 amid the points */
  chart_axis_set_name(axis, from->label);
  chart_axis_set_name_font(axis, &name);
  chart_axis_major_gridlines_set_visible(axis, LXW_TRUE);
  chart_axis_major_gridlines_set_line(axis, &line);
}

static void set_names_axis(lxw_chart_axis *axis, size_t n)
{
  lxw_chart_font font = {.size = LABEL_SIZE, .rotation = n > MANY_NAMES ? UPRIGHT : TURNED};
  chart_axis_set_num_font(axis, &font);
  chart_axis_set_interval_unit(axis, 1);
  chart_axis_set_label_position(axis, LXW_CHART_AXIS_LABEL_POSITION_LOW);
}

/* The plain ones of LINES have no name in the legend. */
static void shorten_legend(cks_book *book, lxw_chart *chart, const cks_chart *from)
{
  size_t n = 0;
  int16_t *plain = cks_arena_take(book->arena, from->n_series + 1, sizeof *plain);
  if (!plain) return;
  for (size_t i = 0; i < from->n_series; i++)
    if (from->series[i].style == 0) plain[n++] = (int16_t)i;
  plain[n] = -1;
  if (n) chart_legend_delete_series(chart, plain);
}

static void set_frame(lxw_chart *chart, const cks_chart *from)
{
  lxw_chart_font title = {.size = LABEL_SIZE + 2, .bold = LXW_TRUE}, legend = {.size = LABEL_SIZE};
  lxw_chart_line none = {.none = 1};
  chart_title_set_name(chart, from->title);
  chart_title_set_name_font(chart, &title);
  chart_legend_set_position(chart, LXW_CHART_LEGEND_RIGHT);
  chart_legend_set_font(chart, &legend);
  chart_chartarea_set_line(chart, &none);
}

static void put_chart(cks_book *book, const cks_book_chart *at)
{
  const cks_chart *from = at->chart;
  bool dots = from->kind == CKS_DOTS;
  bool lines = from->kind == CKS_LINES;
  lxw_chart *chart = workbook_add_chart(book->workbook, dots    ? LXW_CHART_LINE
                                                        : lines ? LXW_CHART_SCATTER_STRAIGHT
                                                                : LXW_CHART_SCATTER);
  if (!chart) {
    book->status = cks_error_nomem(book->error);
    return;
  }
  for (size_t i = 0; i < from->n_series && book->status == CKS_OK; i++) add_series(book, chart, from, &from->series[i]);
  if (dots) {
    set_names_axis(chart->x_axis, from->n_series ? from->series[0].names.n : 0);
    set_axis(chart->y_axis, &from->x);
  } else {
    set_axis(chart->x_axis, &from->x);
    set_axis(chart->y_axis, &from->y);
  }
  set_frame(chart, from);
  if (lines) shorten_legend(book, chart, from);
  chart_show_hidden_data(chart); /* its cells stand on a hidden sheet */
  lxw_chart_options options = {.x_scale = (double)at->width_px / DEFAULT_WIDTH,
                               .y_scale = (double)at->height_px / DEFAULT_HEIGHT,
                               .description = (char *)from->description};
  cks_book_check(book, worksheet_insert_chart_opt(book->sheet[at->sheet], at->row, 0, chart, &options));
}

void cks_book_charts(cks_book *book)
{
  for (size_t i = 0; i < book->n_chart && book->status == CKS_OK; i++)
    if (book->chart[i].chart->kind <= CKS_LINES) put_chart(book, &book->chart[i]);
}
