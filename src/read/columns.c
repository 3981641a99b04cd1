/*
 * columns.c: cells to typed values in columns that grow by doubling; rows of all files stacked.
 *
 * A cell is typed and stored the moment it is parsed, in the row that may become the next one: a row without any filled
 * cell, or one that turns out faulty, is written over. A name is compared with the last one of its column before it is
 * looked up. In a date column a day whose order of month and day is open stands as month/day plus CKS_OPEN_ORDER until
 * settle.c decides.
 */
#include "columns.h"

#include "../agronomy/words.h"
#include "../core/spreadsheet.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { FIRST_ROOM = 16 };

cks_where cks_reader_where(const cks_reader *reader, uint32_t line, size_t slot)
{
  return (cks_where){reader->reading.file, CKS_NONE, line,
                     line == reader->heading_line ? reader->slot[slot].at : reader->slot[slot].cell};
}

/* ---- room ------------------------------------------------------------------------------------------------------- */

/* Resizes *array to n elements; false: no memory, *array as before. */
static bool resize(void *array_at, size_t n, size_t size)
{
  void *array, *grown;
  memcpy(&array, array_at, sizeof array);
  if (n > SIZE_MAX / size) return false;
  grown = realloc(array, (n ? n : 1) * size);
  if (grown) memcpy(array_at, &grown, sizeof grown);
  return grown != NULL;
}

static bool resize_column(cks_column *column, size_t n)
{
  bool placed = !column->line || resize(&column->line, n, sizeof *column->line);
  if (placed && column->file) placed = resize(&column->file, n, sizeof *column->file);
  if (!placed) return false;
  return column->kind == CKS_NAME ? resize(&column->name, n, sizeof *column->name)
                                  : resize(&column->number, n, sizeof *column->number);
}

static bool resize_rows(cks_table *table, size_t n)
{
  bool done = resize(&table->line, n, sizeof *table->line) && resize(&table->file, n, sizeof *table->file);
  for (size_t i = 0; i < table->n_column && done; i++) done = resize_column(&table->column[i], n);
  return done;
}

static void refresh_slots(cks_reader *reader)
{
  for (size_t i = 0; i < reader->n_slot; i++) {
    cks_slot *slot = &reader->slot[i];
    if (slot->column == CKS_NONE) continue;
    slot->number = reader->table->column[slot->column].number;
    slot->name = reader->table->column[slot->column].name;
  }
}

/* Room for one more row. */
static cks_status make_room(cks_reader *reader)
{
  cks_table *table = reader->table;
  if (table->n_row < reader->room_row) return CKS_OK;
  if (table->n_row >= UINT32_MAX - 1)
    return cks_error_set(reader->reading.error, CKS_LIMIT, "more than %lu rows", (unsigned long)table->n_row);
  size_t room = reader->room_row ? reader->room_row * 2 : FIRST_ROOM;
  if (!resize_rows(table, room)) return cks_error_nomem(reader->reading.error);
  reader->room_row = room;
  refresh_slots(reader);
  return CKS_OK;
}

void cks_reader_clear(cks_column *column, size_t from, size_t to)
{
  for (size_t row = from; row < to; row++) {
    if (column->kind == CKS_NAME)
      column->name[row] = CKS_NONE;
    else
      column->number[row] = cks_missing();
  }
}

cks_status cks_reader_add_column(cks_reader *reader, const cks_column *column)
{
  cks_table *table = reader->table;
  if (table->n_column == reader->room_column) {
    size_t room = reader->room_column ? reader->room_column * 2 : FIRST_ROOM;
    if (!resize(&table->column, room, sizeof *table->column)) return cks_error_nomem(reader->reading.error);
    reader->room_column = room;
  }
  cks_column *added = &table->column[table->n_column];
  *added = *column;
  added->number = NULL;
  added->name = NULL;
  added->line = NULL;
  added->file = NULL;
  if (!resize_column(added, reader->room_row)) return cks_error_nomem(reader->reading.error);
  table->n_column++;
  cks_reader_clear(added, 0, table->n_row);
  return CKS_OK;
}

cks_status cks_reader_place_cells(cks_reader *reader, cks_column *column)
{
  if (column->line) return CKS_OK;
  cks_status status = cks_table_place_cells(reader->table, column, reader->reading.error);
  if (status == CKS_OK && !resize_column(column, reader->room_row)) status = cks_error_nomem(reader->reading.error);
  return status;
}

void cks_reader_fill(cks_reader *reader)
{
  cks_table *table = reader->table;
  for (size_t i = 0; i < table->n_column; i++) {
    bool has = false;
    for (size_t s = 0; s < reader->n_slot && !has; s++) has = reader->slot[s].column == i;
    cks_column *column = &table->column[i];
    if (!has) cks_reader_clear(column, reader->first_row, table->n_row);
    for (size_t row = reader->first_row; column->line && row < table->n_row; row++) {
      column->line[row] = table->line[row];
      column->file[row] = table->file[row];
    }
  }
}

void cks_reader_shrink(cks_reader *reader)
{
  if (resize_rows(reader->table, reader->table->n_row)) reader->room_row = reader->table->n_row;
}

/* ---- values ----------------------------------------------------------------------------------------------------- */

/* As much of text as fits, whole characters; its length. */
static size_t copy_cut(char into[CKS_WITNESS_TEXT], const char *text, size_t n)
{
  if (n >= CKS_WITNESS_TEXT) {
    n = CKS_WITNESS_TEXT - 1;
    while (n && ((unsigned char)text[n] & 0xC0) == 0x80) n--; /* not within a character */
  }
  memcpy(into, text, n);
  into[n] = '\0';
  return n;
}

/* Which cell of its line the present one is. */
static uint32_t cell_at(const cks_reader *reader, const cks_slot *slot)
{
  return reader->from ? reader->from : slot->cell;
}

static void note_witness(const cks_reader *reader, cks_slot *slot, int kind, const char *text, size_t n)
{
  cks_witness *witness = &slot->witness[kind];
  if (witness->line) return;
  witness->line = reader->row_line;
  witness->cell_at = cell_at(reader, slot);
  copy_cut(witness->cell, text, n);
}

/* Remembers a cell that is not what its column holds; kept by row, then column. */
static void keep_odd(cks_reader *reader, const cks_slot *slot, cks_odd_kind kind, const char *text, size_t n)
{
  cks_table *table = reader->table;
  cks_id id;
  if (table->n_odd == reader->room_odd) {
    size_t room = reader->room_odd ? reader->room_odd * 2 : FIRST_ROOM;
    if (!resize(&table->odd, room, sizeof *table->odd)) {
      reader->status = cks_error_nomem(reader->reading.error);
      return;
    }
    reader->room_odd = room;
  }
  reader->status = cks_names_add(&table->names, text, n, &id, reader->reading.error);
  if (reader->status != CKS_OK) return;
  size_t at = table->n_odd++;
  for (; at > reader->first_odd && table->odd[at - 1].column > slot->column; at--) table->odd[at] = table->odd[at - 1];
  cks_where where = {reader->reading.file, CKS_NONE, reader->row_line, cell_at(reader, slot)};
  table->odd[at] = (cks_odd){(uint32_t)reader->row, slot->column, id, kind, where};
}

static bool means_missing(const cks_reader *reader, const char *text, size_t n)
{
  return cks_cell_is_mark(text, n) ||
         cks_cell_is_named_missing(&reader->reading.settings->missing, text, n, reader->missing_met);
}

/* "62*", "14.5 %": the number, and what stands behind it is kept in sight. */
static double take_marked(cks_reader *reader, const cks_slot *slot, const char *text, size_t n)
{
  bool percent = reader->table->column[slot->column].unit == CKS_UNIT_PERCENT;
  size_t length = n;
  cks_odd_kind kind = CKS_ODD_CELL;
  double value = cks_missing();
  if (length > 1 && text[length - 1] == '%' && percent) {
    length--;
    kind = CKS_ODD_PERCENT;
  } else {
    length = cks_cell_unmarked(text, n);
    if (length < n) kind = CKS_ODD_MARKED;
  }
  while (length && text[length - 1] == ' ') length--;
  cks_text_number number = cks_read_number(text, length, reader->reading.settings->decimal_comma, reader->c, &value);
  if (kind != CKS_ODD_CELL && (number == CKS_TEXT_PLAIN || number == CKS_TEXT_MARKED)) {
    keep_odd(reader, slot, kind, text, n);
    return value;
  }
  keep_odd(reader, slot, CKS_ODD_CELL, text, n);
  return cks_missing();
}

static double take_number(cks_reader *reader, cks_slot *slot, const char *text, size_t n)
{
  const cks_settings *settings = reader->reading.settings;
  double value = cks_missing();
  if (settings->missing.n && cks_cell_is_named_missing(&settings->missing, text, n, reader->missing_met)) return value;
  cks_text_number kind = cks_read_number(text, n, settings->decimal_comma, reader->c, &value);
  if (kind == CKS_TEXT_PLAIN) return value;
  if (kind == CKS_TEXT_MARKED)
    slot->marked = true;
  else if (kind == CKS_TEXT_GROUPED)
    note_witness(reader, slot, CKS_WITNESS_GROUPED, text, n);
  else if (kind == CKS_TEXT_OTHER)
    note_witness(reader, slot, CKS_WITNESS_OTHER, text, n);
  else if (!cks_cell_is_mark(text, n))
    value = take_marked(reader, slot, text, n);
  return value;
}

/* What a cell says of a date; one without a year is of the year that --year gives. */
static cks_text_date date_of(cks_reader *reader, cks_slot *slot, const char *text, size_t n)
{
  cks_text_date date = cks_cell_date(text, n);
  if (!cks_is_missing(date.mdy) || !cks_is_missing(date.dmy)) return date;
  date = cks_cell_day(text, n, (int)reader->reading.settings->year);
  if (!cks_is_missing(date.mdy) || !cks_is_missing(date.dmy)) note_witness(reader, slot, CKS_WITNESS_YEAR, text, n);
  return date;
}

/* "1-Aug-2026*": its bytes without the mark, which is kept in sight; n where there is none, or no date before it. */
static size_t without_mark(cks_reader *reader, const cks_slot *slot, const char *text, size_t n)
{
  size_t length = cks_cell_unmarked(text, n);
  if (length == n) return n;
  while (length && text[length - 1] == ' ') length--;
  cks_text_date date = cks_cell_date(text, length);
  if (cks_is_missing(date.mdy) && cks_is_missing(date.dmy))
    date = cks_cell_day(text, length, (int)reader->reading.settings->year);
  if (cks_is_missing(date.mdy) && cks_is_missing(date.dmy)) return n;
  keep_odd(reader, slot, CKS_ODD_MARKED, text, n);
  return length;
}

/* "Average" where a weather file's day belongs: the row is none. */
static bool is_no_day(cks_reader *reader, const char *text, size_t n)
{
  char cell[CKS_WITNESS_TEXT];
  if (!reader->context.weather || copy_cut(cell, text, n) < n || cks_words_summary(cell) != CKS_SUMMARY_YES)
    return false;
  reader->status = cks_names_add(&reader->table->names, text, n, &reader->word, reader->reading.error);
  reader->plot_word = reader->status == CKS_OK;
  return true;
}

static double take_date(cks_reader *reader, cks_slot *slot, const char *text, size_t n)
{
  cks_date_order order = reader->reading.settings->dates;
  if (means_missing(reader, text, n)) return cks_missing();
  n = without_mark(reader, slot, text, n);
  cks_text_date date = date_of(reader, slot, text, n);
  double value = order == CKS_DATES_MDY ? date.mdy : order == CKS_DATES_DMY ? date.dmy : cks_missing();
  if (order == CKS_DATES_UNKNOWN) {
    bool mdy = !cks_is_missing(date.mdy), dmy = !cks_is_missing(date.dmy);
    value = mdy ? date.mdy : date.dmy;
    if (mdy != dmy) note_witness(reader, slot, mdy ? CKS_WITNESS_MDY : CKS_WITNESS_DMY, text, n);
    if (mdy && dmy && date.dotted && date.mdy != date.dmy) {
      note_witness(reader, slot, CKS_WITNESS_DOTTED, text, n);
      value = date.dmy;
    } else if (mdy && dmy && date.mdy != date.dmy) {
      note_witness(reader, slot, CKS_WITNESS_EITHER, text, n);
      value += CKS_OPEN_ORDER;
    }
  }
  if (cks_is_missing(value) && !is_no_day(reader, text, n)) keep_odd(reader, slot, CKS_ODD_CELL, text, n);
  return value;
}

/* Does the name stand in rows of means or totals ("Average", "LSD (0.05)"), or is it the heading once more? Each name is
 * judged once. */
static bool is_no_plot_word(cks_reader *reader, const cks_slot *slot, cks_id id)
{
  if (id >= reader->room_judged) {
    size_t room = reader->table->names.n_at + FIRST_ROOM;
    if (!resize(&reader->judged, room, 1)) {
      reader->status = cks_error_nomem(reader->reading.error);
      return false;
    }
    memset(reader->judged + reader->room_judged, 0, room - reader->room_judged);
    reader->room_judged = room;
  }
  enum { PLOT = 1, NO_PLOT };
  if (!reader->judged[id]) {
    const char *text = cks_names_text(&reader->table->names, id);
    bool heading = slot->plot_word && cks_word_same(text, reader->heading[slot - reader->slot]);
    reader->judged[id] = heading || cks_words_summary(text) == CKS_SUMMARY_YES ? NO_PLOT : PLOT;
  }
  return reader->judged[id] == NO_PLOT;
}

static cks_id take_name(cks_reader *reader, cks_slot *slot, const char *text, size_t n)
{
  cks_names *names = &reader->table->names;
  if (slot->last != CKS_NONE) {
    const char *last = names->text + names->at[slot->last];
    if (!strncmp(last, text, n) && !last[n]) {
      reader->key_given |= slot->key;
      return slot->last;
    }
  }
  if (!slot->raw && means_missing(reader, text, n)) {
    if (slot->hybrid) keep_odd(reader, slot, CKS_ODD_CELL, text, n);
    return CKS_NONE;
  }
  if (!slot->raw && cks_stand_in_of(text, n) != CKS_STAND_IN_NONE) {
    keep_odd(reader, slot, CKS_ODD_CELL, text, n);
    return CKS_NONE;
  }
  cks_id id = CKS_NONE;
  reader->status = cks_names_add(names, text, n, &id, reader->reading.error);
  bool word = reader->status == CKS_OK && !slot->raw && is_no_plot_word(reader, slot, id);
  if (word) reader->word = id;
  reader->plot_word |= word && slot->plot_word;
  reader->key_given |= slot->key && !word;
  slot->last = word ? CKS_NONE : id; /* so that the word is met again in the next row */
  return id;
}

/* A column under an unknown heading, in a file that says neither place nor rep: where it holds words it may be what keeps
 * the plots apart. Its first cell decides. */
static void look_for_words(cks_reader *reader, cks_slot *slot, const char *text, size_t n)
{
  double number;
  const char *heading = reader->heading[slot - reader->slot];
  slot->kind = CKS_SLOT_UNUSED;
  if (cks_cell_is_mark(text, n) || cks_read_number(text, n, true, reader->c, &number) != CKS_TEXT_NO_NUMBER) return;
  char cell[CKS_WITNESS_TEXT];
  note_witness(reader, slot, 0, text, n);
  memcpy(cell, slot->witness[0].cell, sizeof cell);
  char rep[CKS_HEADING_LONGEST + sizeof " or --heading rep=\"\""] = "";
  if (!reader->reps) snprintf(rep, sizeof rep, " or --heading rep=\"%.80s\"", heading);
  reader->status = cks_findings_add(
      reader->reading.findings, CKS_RULE_HEADING_WORDS,
      cks_reader_where(reader, reader->row_line, (size_t)(slot - reader->slot)), heading, cell, reader->reading.error,
      "'%.80s' is not known and holds words ('%s'), and no column says location%s; if it %s give --heading "
      "location=\"%.80s\"%s",
      heading, cell, *rep ? " or rep" : "", *rep ? "is one of them" : "does", heading, rep);
}

/* A value under an empty heading: said once a column, and the column is not used. */
static void say_nameless(cks_reader *reader, cks_slot *slot, const char *text, size_t n)
{
  char cell[CKS_WITNESS_TEXT];
  note_witness(reader, slot, 0, text, n);
  memcpy(cell, slot->witness[0].cell, sizeof cell);
  slot->kind = CKS_SLOT_UNUSED;
  reader->status = cks_findings_add(
      reader->reading.findings, CKS_RULE_HEADING_MISSING,
      cks_reader_where(reader, reader->row_line, (size_t)(slot - reader->slot)), NULL, cell, reader->reading.error,
      "column %zu has no heading but holds '%s'; it is not used", (size_t)(slot - reader->slot) + 1, cell);
}

static void clear_cell(cks_slot *slot, size_t row)
{
  if (slot->kind == CKS_SLOT_NAME)
    slot->name[row] = CKS_NONE;
  else if (slot->kind == CKS_SLOT_NUMBER || slot->kind == CKS_SLOT_DATE)
    slot->number[row] = cks_missing();
}

/* ---- the heading line ------------------------------------------------------------------------------------------- */

/* Room for one more heading. */
static cks_status make_heading_room(cks_reader *reader)
{
  if (reader->n_slot < reader->room_heading) return CKS_OK;
  size_t room = reader->room_heading ? reader->room_heading * 2 : FIRST_ROOM;
  if (!resize(&reader->heading, room, sizeof *reader->heading)) return cks_error_nomem(reader->reading.error);
  reader->room_heading = room;
  return CKS_OK;
}

cks_status cks_reader_add_slot(cks_reader *reader, const char *heading, const cks_heading *h, size_t at)
{
  size_t slot = reader->n_slot;
  cks_status status = make_heading_room(reader);
  if (status == CKS_OK && !resize(&reader->slot, slot + 1, sizeof *reader->slot))
    status = cks_error_nomem(reader->reading.error);
  if (status != CKS_OK) return status;
  reader->heading[slot] = heading;
  reader->slot[slot] =
      (cks_slot){.column = CKS_NONE, .last = CKS_NONE, .at = reader->slot[at].at, .cell = reader->slot[at].cell};
  reader->n_slot++;
  status = cks_reader_use_slot(reader, slot, h);
  if (status != CKS_OK) return status; /* its column may not be there */
  refresh_slots(reader);
  bool first = reader->slot[slot].column != CKS_NONE;
  for (size_t i = 0; i < slot && first; i++) first = reader->slot[i].column != reader->slot[slot].column;
  if (first)
    cks_reader_clear(&reader->table->column[reader->slot[slot].column], reader->first_row, reader->table->n_row);
  return status;
}

static void take_heading(cks_reader *reader, const char *text, size_t n)
{
  if (reader->n_slot == CKS_READ_COLUMNS) {
    reader->n_extra++;
    return;
  }
  reader->status = make_heading_room(reader);
  if (reader->status != CKS_OK) return;
  char *copy = cks_arena_take(reader->table->arena, n + 1, 1);
  if (!copy) {
    reader->status = cks_error_nomem(reader->reading.error);
    return;
  }
  size_t used = 0;
  for (size_t i = 0; i < n; i++) /* one space for several: a heading may be broken over lines */
    if (text[i] != ' ' || !used || copy[used - 1] != ' ') copy[used++] = text[i];
  copy[used] = '\0';
  reader->heading[reader->n_slot++] = copy;
  reader->n_filled += n > 0;
}

static bool end_headings(cks_reader *reader, uint32_t line)
{
  if (reader->n_extra) {
    reader->faulty = true;
    reader->status =
        cks_findings_add(reader->reading.findings, CKS_RULE_TOO_LARGE,
                         (cks_where){reader->reading.file, CKS_NONE, line, 0}, NULL, NULL, reader->reading.error,
                         "the heading line has %zu columns, expected at most %d; leave out what "
                         "is not used",
                         reader->n_slot + reader->n_extra, CKS_READ_COLUMNS);
    return false;
  }
  if (!reader->n_filled) { /* separators alone: the heading is still to come */
    reader->n_slot = 0;
    return true;
  }
  reader->in_heading = false;
  reader->status = cks_reader_match(reader, line);
  if (reader->status == CKS_OK) reader->status = make_room(reader);
  if (reader->status == CKS_OK) refresh_slots(reader);
  return reader->status == CKS_OK;
}

/* ---- cells ------------------------------------------------------------------------------------------------------ */

static void store(cks_reader *reader, cks_slot *slot, const char *text, size_t n)
{
  size_t row = reader->row;
  switch (slot->kind) {
  case CKS_SLOT_NUMBER:
    slot->number[row] = take_number(reader, slot, text, n);
    break;
  case CKS_SLOT_NAME:
    slot->name[row] = take_name(reader, slot, text, n);
    break;
  case CKS_SLOT_DATE:
    slot->number[row] = take_date(reader, slot, text, n);
    break;
  case CKS_SLOT_NAMELESS:
    say_nameless(reader, slot, text, n);
    break;
  case CKS_SLOT_WORDS:
    look_for_words(reader, slot, text, n);
    break;
  case CKS_SLOT_UNUSED:
    break;
  }
}

void cks_reader_store(cks_reader *reader, size_t slot, const char *text, size_t n)
{
  store(reader, &reader->slot[slot], text, n);
}

/* ---- handlers --------------------------------------------------------------------------------------------------- */

void cks_reader_copied(void *to)
{
  cks_reader *reader = to;
  reader->copied = true;
}

void cks_reader_from(void *to, uint32_t column)
{
  cks_reader *reader = to;
  reader->from = column;
}

void cks_reader_cell(void *to, const char *text, size_t n, uint32_t line)
{
  cks_reader *reader = to;
  if (reader->status != CKS_OK) return;
  bool copied = reader->copied;
  reader->copied = false;
  if (reader->in_heading) {
    take_heading(reader, text, n);
    return;
  }
  size_t at = reader->n_cell++, row = reader->table->n_row;
  if (at >= reader->n_slot) {
    reader->n_extra += n > 0;
    return;
  }
  cks_slot *slot = &reader->slot[at];
  reader->row_line = line;
  if (n == 0) {
    clear_cell(slot, row);
    return;
  }
  if (!reader->n_filled++) reader->n_text = copy_cut(reader->text, text, n);
  if (copied && slot->measured) {
    clear_cell(slot, row);
    keep_odd(reader, slot, CKS_ODD_MERGED, text, n);
  } else {
    store(reader, slot, text, n);
  }
  reader->from = 0;
}

static void begin_row(cks_reader *reader)
{
  reader->n_cell = reader->n_filled = reader->n_extra = 0;
  reader->first_odd = reader->table->n_odd;
  reader->row = reader->table->n_row;
  reader->word = CKS_NONE;
  reader->plot_word = reader->key_given = false;
}

/* Does the present row hold nothing but the headings once more? */
static bool repeats_headings(const cks_reader *reader)
{
  const cks_table *table = reader->table;
  size_t row = table->n_row;
  bool same = true;
  for (size_t i = 0; i < reader->n_slot && i < reader->n_cell && same; i++) {
    const cks_slot *slot = &reader->slot[i];
    cks_id text = CKS_NONE;
    if (slot->column == CKS_NONE) continue;
    if (slot->kind == CKS_SLOT_NAME) text = slot->name[row];
    for (size_t odd = reader->first_odd; odd < table->n_odd; odd++)
      if (table->odd[odd].column == slot->column) text = table->odd[odd].text;
    if (text != CKS_NONE) same = cks_word_same(cks_names_text(&table->names, text), reader->heading[i]);
  }
  return same;
}

static cks_status say_second_table(cks_reader *reader, cks_where where)
{
  reader->faulty = reader->ended = true;
  return cks_findings_add(
      reader->reading.findings, CKS_RULE_SECOND_TABLE, where, NULL, NULL, reader->reading.error,
      "headings that are not those above stand here, and a second table below them; put it into a file "
      "or sheet of its own");
}

/* Two words or more and no number, where a plot's number belongs: no plot that the row could be of. */
static bool is_words_for_plot(const cks_reader *reader)
{
  const char *text = reader->text;
  bool plot = false;
  for (size_t i = 0; i < reader->n_slot && i < reader->n_cell; i++) {
    const cks_slot *slot = &reader->slot[i];
    plot |= slot->kind == CKS_SLOT_NAME && reader->table->column[slot->column].role == CKS_ROLE_PLOT &&
            slot->name[reader->table->n_row] != CKS_NONE;
  }
  return plot && strchr(text, ' ') && !strpbrk(text, "0123456789");
}

/* A row of means or totals, the headings once more, or a remark below the table. It is reported. */
static bool is_no_plot(cks_reader *reader, uint32_t line)
{
  cks_where where = {reader->reading.file, CKS_NONE, line, 0};
  const char *text = cks_names_text(&reader->table->names, reader->word);
  bool word = reader->plot_word || (reader->word != CKS_NONE && !reader->key_given);
  size_t appended = reader->form->n_constant + (reader->form->level != CKS_LEVEL_NONE);
  bool remark = !word && reader->n_filled == 1 + appended && !reader->n_extra &&
                (cks_cell_is_remark(reader->text, reader->n_text) || is_words_for_plot(reader));
  bool summary = word && cks_words_summary(text) == CKS_SUMMARY_YES;
  if ((word || remark) && reader->passed.file == where.file && reader->passed.line == where.line) return true;
  if (word || remark) reader->passed = where;
  if (word && !summary && !repeats_headings(reader)) {
    reader->status = say_second_table(reader, where);
  } else if (word) {
    reader->status =
        cks_findings_add(reader->reading.findings, CKS_RULE_NOT_A_PLOT, where, NULL, text, reader->reading.error,
                         summary ? "'%.80s' heads a row of means, totals or tests, no plot; it is passed over"
                                 : "the headings stand here once more ('%.80s' ...) and are passed over",
                         text);
  } else if (remark) {
    reader->status =
        cks_findings_add(reader->reading.findings, CKS_RULE_NOT_A_PLOT, where, NULL, reader->text,
                         reader->reading.error, "a remark is no plot and is passed over: '%s'", reader->text);
  }
  return word || remark;
}

static void say_width(cks_reader *reader, uint32_t line)
{
  cks_where where = {reader->reading.file, CKS_NONE, line, 0};
  if (reader->n_extra)
    reader->status = cks_findings_add(
        reader->reading.findings, CKS_RULE_EXTRA_CELLS, where, NULL, NULL, reader->reading.error,
        "the row has %zu cells, the heading line names %zu columns; give the rest a heading, or %s", reader->n_cell,
        reader->n_slot, reader->sheet ? "clear it" : "put a cell that holds the separator in quotes");
  else if (reader->n_cell < reader->n_needed && !reader->sheet)
    reader->status =
        cks_findings_add(reader->reading.findings, CKS_RULE_SHORT_ROW, where, NULL, NULL, reader->reading.error,
                         "the row has %zu cells, the heading line names %zu columns; the rest is missing",
                         reader->n_cell, reader->n_needed);
}

bool cks_reader_row(void *to, uint32_t line)
{
  cks_reader *reader = to;
  cks_table *table = reader->table;
  if (reader->status != CKS_OK) return false;
  if (reader->in_heading) {
    bool go_on = end_headings(reader, line);
    begin_row(reader);
    return go_on;
  }
  if (reader->n_filled + reader->n_extra && is_no_plot(reader, line)) {
    table->n_odd = reader->first_odd;
  } else if (reader->n_filled + reader->n_extra) {
    say_width(reader, line);
    for (size_t i = reader->n_cell; i < reader->n_slot; i++) clear_cell(&reader->slot[i], table->n_row);
    table->line[table->n_row] = line;
    table->file[table->n_row] = (uint16_t)reader->reading.file;
    table->n_row++;
    if (reader->status == CKS_OK) reader->status = make_room(reader);
  }
  begin_row(reader);
  return reader->status == CKS_OK && !reader->ended;
}

bool cks_reader_drop(void *to)
{
  cks_reader *reader = to;
  reader->faulty = true;
  reader->table->n_odd = reader->first_odd;
  begin_row(reader);
  return reader->status == CKS_OK && !reader->in_heading;
}
