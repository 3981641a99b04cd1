/*
 * xlsx_sheet.c: one sheet's part as rows: what each cell shows, and the notes about what the sheet hides.
 *
 * The size that a sheet states is not read at all. A formula counts by its kept value; without one its own text is
 * handed on ("=C2*2"), which no column takes for a value. Formatting alone makes no cell.
 */
#include "xlsx_sheet.h"
#include "../core/utf8.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { SHEET = 1, COLUMNS, COLUMN, ROWS, ROW, CELL, VALUE, FORMULA, INLINE, RUN, TEXT };
static const cks_xml_step steps[] = {{CELL, "v", VALUE},       {ROW, "c", CELL},         {CELL, "f", FORMULA},
                                     {ROWS, "row", ROW},       {CELL, "is", INLINE},     {INLINE, "t", TEXT},
                                     {INLINE, "r", RUN},       {RUN, "t", TEXT},         {0, "worksheet", SHEET},
                                     {SHEET, "cols", COLUMNS}, {COLUMNS, "col", COLUMN}, {SHEET, "sheetData", ROWS}};

enum { LONGEST_FORMULA = 60 };

typedef enum { TYPE_NUMBER, TYPE_SHARED, TYPE_TEXT, TYPE_INLINE, TYPE_BOOLEAN } cell_type;

typedef struct {
  cks_xlsx *xlsx;
  cks_xml xml;
  cks_sheet_rows rows;
  bool is_sheet;
  bool hidden[CKS_READ_COLUMNS + 1], told[CKS_READ_COLUMNS + 1]; /* column c: hidden; its format's words were noted */
  /* the present cell */
  uint32_t column;
  size_t style;
  cell_type type;
  bool formula;
  cks_bytes value;
  char formula_text[LONGEST_FORMULA];
  size_t n_formula;
} sheet_run;

/* ---- elements that begin ----------------------------------------------------------------------------------------- */

static void begin_column(sheet_run *run, const char *const *attribute)
{
  const char *from = cks_xml_attribute(attribute, "min"), *to = cks_xml_attribute(attribute, "max");
  uint32_t first, last;
  if (!cks_xml_true(cks_xml_attribute(attribute, "hidden")) || !from || !to) return;
  if (!cks_xml_count(from, &first) || !cks_xml_count(to, &last)) return;
  for (uint32_t c = first; c <= last && c <= CKS_READ_COLUMNS; c++) run->hidden[c] = true;
}

static void begin_row(sheet_run *run, const char *const *attribute)
{
  const char *named = cks_xml_attribute(attribute, "r");
  uint32_t last = run->rows.row, row = last + 1;
  run->column = 0;
  if (named && !cks_xml_count(named, &row)) row = 0;
  if (row <= last || row > CKS_XLSX_ROWS)
    cks_package_refuse(&run->xlsx->package, CKS_RULE_WORKBOOK_DAMAGED, last,
                       "a row called '%.20s' stands behind row %u in the file; %s", named ? named : "", last,
                       CKS_XLSX_SAVE_AGAIN);
  else
    cks_sheet_row_begin(&run->rows, row, cks_xml_true(cks_xml_attribute(attribute, "hidden")));
}

static cell_type type_of(const char *text)
{
  switch (text[0]) {
  case 's':
    return text[1] ? TYPE_TEXT : TYPE_SHARED;
  case 'i':
    return TYPE_INLINE;
  case 'b':
    return TYPE_BOOLEAN;
  case 'e': /* an error: its name */
  case 'd': /* a date as ISO 8601 */
    return TYPE_TEXT;
  default:
    return TYPE_NUMBER;
  }
}

static void begin_cell(sheet_run *run, const char *const *attribute)
{
  uint32_t row = run->rows.row, column = run->column + 1, style = 0;
  run->type = TYPE_NUMBER;
  run->formula = false;
  run->value.n = run->n_formula = 0;
  for (; *attribute; attribute += 2) {
    const char *value = attribute[1];
    if (attribute[0][1]) continue; /* all that count have one letter */
    if (attribute[0][0] == 'r' && (!cks_xlsx_cell_name(&value, &row, &column) || *value || row != run->rows.row)) {
      char text[80];
      snprintf(text, sizeof text, "a cell called '%.20s' stands in row %u", attribute[1], run->rows.row);
      cks_sheet_row_spoil(&run->rows, 0, text);
      column = run->column + 1;
    } else if (attribute[0][0] == 's' && !cks_xml_count(value, &style)) {
      style = UINT32_MAX;
    } else if (attribute[0][0] == 't') {
      run->type = type_of(value);
    }
  }
  run->column = column;
  run->style = style;
}

static void on_open(void *to, unsigned state, const char *const *attribute)
{
  sheet_run *run = to;
  switch (state) {
  case CELL:
    begin_cell(run, attribute);
    break;
  case ROW:
    begin_row(run, attribute);
    break;
  case FORMULA:
    run->formula = true;
    break;
  case COLUMN:
    begin_column(run, attribute);
    break;
  case SHEET:
    run->is_sheet = true;
    break;
  default:
    break;
  }
}

static void on_text(void *to, unsigned state, const char *text, size_t n)
{
  sheet_run *run = to;
  if (state == FORMULA) {
    size_t part = n < LONGEST_FORMULA - run->n_formula ? n : LONGEST_FORMULA - run->n_formula;
    memcpy(run->formula_text + run->n_formula, text, part);
    run->n_formula += part;
  } else if (state == VALUE || state == TEXT) {
    if (run->value.n + n > CKS_XLSX_CELL_BYTES)
      cks_package_refuse(&run->xlsx->package, CKS_RULE_TOO_LARGE, run->rows.row,
                         "a cell holds more than %d KiB of text, the most that is read; shorten it",
                         CKS_XLSX_CELL_BYTES / 1024);
    else if (!cks_bytes_add(&run->value, text, n))
      cks_package_fail(&run->xlsx->package, cks_error_nomem(run->rows.reading->error));
  }
}

/* ---- cells that end ---------------------------------------------------------------------------------------------- */

static void add_own(sheet_run *run, const char *text, size_t n)
{
  if (!cks_bytes_add(&run->rows.own, text, n))
    cks_package_fail(&run->xlsx->package, cks_error_nomem(run->rows.reading->error));
  else
    cks_sheet_row_add(&run->rows, run->column, NULL, n);
}

static void add_formula(sheet_run *run)
{
  char text[LONGEST_FORMULA + 2] = "=";
  memcpy(text + 1, run->formula_text, run->n_formula);
  text[run->n_formula + 1] = '\0';
  cks_utf8_mend(text);
  for (char *at = text; *at; at++)
    if ((unsigned char)*at < ' ') *at = ' ';
  if (!text[1]) memcpy(text, "=...", sizeof "=..."); /* it is shared with another cell */
  add_own(run, text, strlen(text));
}

static void add_shared(sheet_run *run)
{
  const cks_xlsx_strings *strings = &run->xlsx->strings;
  uint32_t i;
  if (!cks_bytes_add(&run->value, "", 1)) {
    cks_package_fail(&run->xlsx->package, cks_error_nomem(run->rows.reading->error));
  } else if (!cks_xml_count(run->value.text, &i) || i >= strings->n) {
    cks_sheet_row_spoil(&run->rows, run->column, "the cell names a text that the workbook does not hold");
  } else {
    cks_sheet_row_add(&run->rows, run->column, strings->pool.text + strings->at[i],
                      strings->at[i + 1] - strings->at[i]);
  }
}

static void tell_literal(sheet_run *run, const char *literal)
{
  if (run->column > CKS_READ_COLUMNS || run->told[run->column]) return;
  run->told[run->column] = true;
  cks_where where = {run->rows.reading->file, CKS_NONE, run->rows.row, run->column};
  cks_package_fail(&run->xlsx->package,
                   cks_findings_add(run->rows.reading->findings, CKS_RULE_UNIT_IN_FORMAT, where, NULL, NULL,
                                    run->rows.reading->error,
                                    "the number format shows '%s' beside the number, which is not read; if it is a "
                                    "unit, put it in the heading, in brackets",
                                    literal));
}

static void add_number(sheet_run *run)
{
  static const cks_shown plain = {CKS_SHOWN_PLAIN, 0, NULL};
  const cks_xlsx_styles *styles = &run->xlsx->styles;
  const cks_shown *shown = &plain;
  char text[CKS_SHOWN_TEXT];
  if (run->style < styles->n)
    shown = &styles->shown[run->style];
  else if (run->style)
    cks_sheet_row_spoil(&run->rows, run->column, "the cell names a style that the workbook does not hold");
  if (!cks_bytes_add(&run->value, "", 1)) {
    cks_package_fail(&run->xlsx->package, cks_error_nomem(run->rows.reading->error));
    return;
  }
  if (shown->literal) tell_literal(run, shown->literal);
  add_own(run, text, cks_shown_number(&run->xlsx->number, shown, run->value.text, run->value.n - 1, text));
}

static void end_cell(sheet_run *run)
{
  bool empty = !run->value.n, stale = run->xlsx->stale && run->value.n == 1 && run->value.text[0] == '0';
  size_t from = 0, n = run->value.n;
  if (run->formula && run->type != TYPE_TEXT && (empty || stale)) {
    add_formula(run);
    return;
  }
  if (empty) return;
  switch (run->type) {
  case TYPE_NUMBER:
    add_number(run);
    break;
  case TYPE_SHARED:
    add_shared(run);
    break;
  case TYPE_BOOLEAN:
    add_own(run, run->value.text[0] == '1' ? "TRUE" : "FALSE", run->value.text[0] == '1' ? 4 : 5);
    break;
  case TYPE_TEXT:
  case TYPE_INLINE:
    cks_xlsx_tidy(run->value.text, &from, &n);
    add_own(run, run->value.text + from, n);
    break;
  }
}

static void on_close(void *to, unsigned state)
{
  sheet_run *run = to;
  if (state == CELL) end_cell(run);
  if (state == ROW) cks_sheet_row_end(&run->rows);
  if (run->rows.stopped) run->xml.done = true;
}

/* ---- the notes of a sheet ---------------------------------------------------------------------------------------- */

static void tell_hidden(sheet_run *run)
{
  const cks_sheet_rows *rows = &run->rows;
  char columns[96] = "", lines[96] = "", name[CKS_NUMBER_TEXT];
  cks_where where = {rows->reading->file, CKS_NONE, rows->n_hidden ? rows->first_hidden : 0, 0};
  uint32_t n_column = 0, first = 0;
  for (uint32_t c = rows->widest; c > 0; c--)
    if (run->hidden[c]) n_column++, first = c;
  if (!n_column && !rows->n_hidden) return;
  cks_where_cell(name, &(cks_where){CKS_NONE, CKS_NONE, 0, first});
  name[strlen(name) - 1] = '\0'; /* the 0 behind the letters */
  if (n_column) snprintf(columns, sizeof columns, "%u column%s from %s on", n_column, n_column == 1 ? "" : "s", name);
  if (rows->n_hidden)
    snprintf(lines, sizeof lines, "%u row%s from row %u on%s", rows->n_hidden, rows->n_hidden == 1 ? "" : "s",
             rows->first_hidden, n_column ? ", and " : "");
  cks_package_fail(
      &run->xlsx->package,
      cks_findings_add(rows->reading->findings, CKS_RULE_HIDDEN_ROWS, where, NULL, NULL, rows->reading->error,
                       "%s%s are hidden, by a filter or by hand; they were read like all others", lines, columns));
}

static void tell_merged(sheet_run *run)
{
  const cks_sheet_rows *rows = &run->rows;
  if (!rows->n_down) return;
  char from[CKS_NUMBER_TEXT], to[CKS_NUMBER_TEXT];
  cks_where where = {rows->reading->file, CKS_NONE, rows->first_down.row, rows->first_down.column};
  cks_where last = {CKS_NONE, CKS_NONE, rows->first_down.last_row, rows->first_down.last_column};
  cks_package_fail(
      &run->xlsx->package,
      cks_findings_add(rows->reading->findings, CKS_RULE_MERGED_CELLS, where, NULL, NULL, rows->reading->error,
                       "%u range%s merged over several rows, the first %s:%s; the value stands in each of its cells",
                       rows->n_down, rows->n_down == 1 ? " is" : "s are", cks_where_cell(from, &where),
                       cks_where_cell(to, &last)));
}

/* ---- the call ---------------------------------------------------------------------------------------------------- */

static void read_part(sheet_run *run, cks_id part)
{
  cks_package *package = &run->xlsx->package;
  if (part == CKS_NONE) {
    cks_package_refuse(package, CKS_RULE_WORKBOOK_DAMAGED, 0,
                       "the sheet's part is not in the file; copy it anew, or %s", CKS_XLSX_SAVE_AGAIN);
    return;
  }
  cks_xlsx_read_merged(package, part, &run->rows.merged);
  if (cks_package_goes_on(package)) cks_xml_read(&run->xml, part);
  if (cks_package_goes_on(package) && !run->is_sheet && !run->rows.stopped)
    cks_package_refuse(package, CKS_RULE_WORKBOOK_DAMAGED, 0, "the sheet's part holds something else than cells; %s",
                       CKS_XLSX_SAVE_AGAIN);
  if (cks_package_goes_on(package)) tell_hidden(run);
  if (cks_package_goes_on(package)) tell_merged(run);
}

cks_status cks_xlsx_read(cks_xlsx *xlsx, size_t sheet, const cks_reading *reading, const cks_row_handler *handler,
                         bool *refused)
{
  cks_package *package = &xlsx->package;
  sheet_run *run = calloc(1, sizeof *run);
  *refused = false;
  if (!run) return cks_error_nomem(reading->error);
  run->xlsx = xlsx;
  run->rows = (cks_sheet_rows){.package = package, .reading = reading, .handler = handler, .arena = cks_arena_new()};
  run->xml = (cks_xml){.package = package,
                       .step = steps,
                       .n_step = sizeof steps / sizeof *steps,
                       .to = run,
                       .begin = on_open,
                       .end = on_close,
                       .text = on_text};
  package->reading = reading;
  package->refused = false; /* another sheet's trouble is not this one's */
  package->status = run->rows.arena ? CKS_OK : cks_error_nomem(reading->error);
  if (package->status == CKS_OK) read_part(run, xlsx->sheet[sheet].part);
  *refused = package->refused;
  cks_sheet_rows_release(&run->rows);
  free(run->value.text);
  free(run);
  return package->status;
}
