/*
 * settle.c: what only a whole column of a file decides: what a comma means, and which of day and month stands first.
 */
#include "columns.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static const char *heading_of(const cks_reader *reader, size_t slot) { return reader->heading[slot]; }

static cks_status say_at(const cks_reader *reader, cks_rule rule, size_t slot, const cks_witness *witness,
                         const char *text)
{
  cks_where where = {reader->reading.file, CKS_NONE, witness->line, witness->cell_at};
  return cks_findings_add(reader->reading.findings, rule, where, heading_of(reader, slot), witness->cell,
                          reader->reading.error, "%s", text);
}

/* A thousands mark stands in groups of three, with a decimal mark somewhere in the column; all else is asked about. */
static cks_status settle_numbers(const cks_reader *reader, size_t at)
{
  const cks_slot *slot = &reader->slot[at];
  const cks_witness *other = &slot->witness[CKS_WITNESS_OTHER], *grouped = &slot->witness[CKS_WITNESS_GROUPED];
  const cks_witness *first = other->line ? other : NULL;
  if (grouped->line && !slot->marked && (!first || grouped->line < first->line)) first = grouped;
  if (!first) return CKS_OK;
  char text[CKS_HEADING_LONGEST + CKS_WITNESS_TEXT + 300];
  if (reader->reading.settings->decimal_comma)
    snprintf(text, sizeof text,
             "%.200s holds '%s': with --decimal-comma a point is a thousands mark, in groups of three, where a "
             "comma stands in the column; write 1234,5, or leave --decimal-comma out",
             heading_of(reader, at), first->cell);
  else
    snprintf(text, sizeof text,
             "%.200s holds '%s', where the comma could be a decimal or a thousands mark; give --decimal-comma if "
             "it is a decimal mark, else write numbers without commas, as 1234.5",
             heading_of(reader, at), first->cell);
  return say_at(reader, CKS_RULE_COMMA_IN_NUMBER, at, first, text);
}

/* Takes the open days of the column as day/month (else month/day), or makes them missing when no order was found. */
static void close_order(const cks_reader *reader, const cks_slot *slot, cks_date_order order)
{
  for (size_t row = reader->first_row; row < reader->table->n_row; row++) {
    double value = slot->number[row], whole = floor(value);
    if (!(value > whole)) continue;
    int year, month, day;
    cks_day_date(whole, &year, &month, &day);
    if (order == CKS_DATES_UNKNOWN)
      slot->number[row] = cks_missing();
    else if (order == CKS_DATES_MDY || !cks_day_number(year, day, month, &slot->number[row]))
      slot->number[row] = whole;
  }
}

static cks_date_order order_of(const cks_slot *slot)
{
  bool mdy = slot->witness[CKS_WITNESS_MDY].line, dmy = slot->witness[CKS_WITNESS_DMY].line;
  return mdy && !dmy ? CKS_DATES_MDY : dmy && !mdy ? CKS_DATES_DMY : CKS_DATES_UNKNOWN;
}

/* A column of the file that shows the order of days in a file where none shows another; reader->n_slot: none. */
static size_t guide_of(const cks_reader *reader)
{
  size_t guide = reader->n_slot;
  for (size_t i = 0; i < reader->n_slot; i++) {
    const cks_slot *slot = &reader->slot[i];
    bool mdy = slot->witness[CKS_WITNESS_MDY].line, dmy = slot->witness[CKS_WITNESS_DMY].line;
    if (slot->kind != CKS_SLOT_DATE || (!mdy && !dmy)) continue;
    if (mdy && dmy) return reader->n_slot;
    if (guide == reader->n_slot) guide = i;
    if (order_of(slot) != order_of(&reader->slot[guide])) return reader->n_slot;
  }
  return guide;
}

static const char *order_word(cks_date_order order) { return order == CKS_DATES_MDY ? "month/day" : "day/month"; }

/* A column that does not show its order follows the others of its file. */
static cks_status follow(const cks_reader *reader, size_t at, size_t guide)
{
  cks_date_order order = order_of(&reader->slot[guide]);
  const cks_witness *found = &reader->slot[guide].witness[order == CKS_DATES_MDY ? CKS_WITNESS_MDY : CKS_WITNESS_DMY];
  char text[2 * CKS_HEADING_LONGEST + CKS_WITNESS_TEXT + 300];
  close_order(reader, &reader->slot[at], order);
  snprintf(text, sizeof text, "the dates of %.200s were read as %s, as '%s' of %.200s can only be",
           heading_of(reader, at), order_word(order), found->cell, heading_of(reader, guide));
  return say_at(reader, CKS_RULE_DATE_ORDER_TAKEN, at, &reader->slot[at].witness[CKS_WITNESS_EITHER], text);
}

/* A date of the file that can only be month/day; NULL: none. */
static const cks_witness *month_first(const cks_reader *reader)
{
  for (size_t i = 0; i < reader->n_slot; i++)
    if (reader->slot[i].kind == CKS_SLOT_DATE && reader->slot[i].witness[CKS_WITNESS_MDY].line)
      return &reader->slot[i].witness[CKS_WITNESS_MDY];
  return NULL;
}

/* Dots put the day first, unless some date of the file puts the month there; a column that says so itself is done. */
static cks_status settle_dots(const cks_reader *reader, size_t at)
{
  const cks_slot *slot = &reader->slot[at];
  const cks_witness *dotted = &slot->witness[CKS_WITNESS_DOTTED], *against = month_first(reader);
  char text[CKS_HEADING_LONGEST + 2 * CKS_WITNESS_TEXT + 300];
  if (!dotted->line || (slot->witness[CKS_WITNESS_DMY].line && !against)) return CKS_OK;
  if (against)
    snprintf(text, sizeof text,
             "%.200s holds '%s', which would be day/month by its dots, but '%s' of the file can only be month/day; "
             "give --dates mdy, or write all dates as 2026-05-20",
             heading_of(reader, at), dotted->cell, against->cell);
  else
    snprintf(text, sizeof text,
             "the dates of %.200s with dots, as '%s', were read as day/month; --dates mdy reads them as month/day",
             heading_of(reader, at), dotted->cell);
  return say_at(reader, against ? CKS_RULE_DATE_ORDER : CKS_RULE_DATE_ORDER_TAKEN, at, dotted, text);
}

/* Says what dates without a year were taken for. */
static cks_status settle_year(const cks_reader *reader, size_t at)
{
  const cks_witness *year = &reader->slot[at].witness[CKS_WITNESS_YEAR];
  char text[CKS_HEADING_LONGEST + CKS_WITNESS_TEXT + 300];
  if (!year->line || reader->any_year) return CKS_OK;
  snprintf(text, sizeof text, "the dates of %.200s that give no year, as '%s', were read as of %.0f, as --year says",
           heading_of(reader, at), year->cell, reader->reading.settings->year);
  return say_at(reader, CKS_RULE_YEAR_TAKEN, at, year, text);
}

static cks_status settle_order(const cks_reader *reader, size_t at, size_t guide)
{
  const cks_slot *slot = &reader->slot[at];
  const cks_witness *mdy = &slot->witness[CKS_WITNESS_MDY], *dmy = &slot->witness[CKS_WITNESS_DMY];
  const cks_witness *either = &slot->witness[CKS_WITNESS_EITHER];
  cks_date_order order = order_of(slot);
  if (either->line && !mdy->line && !dmy->line && guide < reader->n_slot) return follow(reader, at, guide);
  char text[CKS_HEADING_LONGEST + 2 * CKS_WITNESS_TEXT + 300];
  if (!mdy->line && !dmy->line && !either->line) return CKS_OK;
  if (either->line) close_order(reader, slot, order);
  if (order != CKS_DATES_UNKNOWN) {
    const cks_witness *found = order == CKS_DATES_MDY ? mdy : dmy;
    snprintf(text, sizeof text, "the dates of %.200s were read as %s, since '%s' can only be that",
             heading_of(reader, at), order_word(order), found->cell);
    return say_at(reader, CKS_RULE_DATE_ORDER_TAKEN, at, found, text);
  }
  if (mdy->line) {
    char cell[CKS_NUMBER_TEXT], where[CKS_NUMBER_TEXT + 16];
    const cks_witness *second = mdy->line > dmy->line ? mdy : dmy, *first = second == mdy ? dmy : mdy;
    cks_where first_at = cks_reader_where(reader, first->line, at);
    if (reader->sheet)
      snprintf(where, sizeof where, "in cell %s", cks_where_cell(cell, &first_at));
    else
      snprintf(where, sizeof where, "on line %lu", (unsigned long)first->line);
    snprintf(text, sizeof text,
             "%.200s holds '%s', which is %s, and %s '%s', which is %s; write all dates as 2026-05-20, or "
             "give --dates mdy or --dates dmy",
             heading_of(reader, at), second->cell, second == mdy ? "month/day" : "day/month", where, first->cell,
             first == mdy ? "month/day" : "day/month");
    return say_at(reader, CKS_RULE_DATE_ORDER, at, second, text);
  }
  snprintf(text, sizeof text,
           "%.200s holds '%s', which could be month/day or day/month, and no cell decides; give --dates mdy or "
           "--dates dmy",
           heading_of(reader, at), either->cell);
  return say_at(reader, CKS_RULE_DATE_ORDER, at, either, text);
}

static cks_status settle_dates(const cks_reader *reader, size_t at, size_t guide)
{
  cks_status status = settle_order(reader, at, guide);
  if (status == CKS_OK) status = settle_dots(reader, at);
  return status == CKS_OK ? settle_year(reader, at) : status;
}

cks_status cks_reader_settle_late(cks_reader *reader, size_t slot)
{
  return settle_dates(reader, slot, guide_of(reader));
}

cks_status cks_reader_settle(cks_reader *reader, size_t from)
{
  cks_status status = CKS_OK;
  size_t guide = guide_of(reader);
  for (size_t i = from; i < reader->n_slot && status == CKS_OK; i++) {
    if (reader->slot[i].kind == CKS_SLOT_NUMBER) status = settle_numbers(reader, i);
    if (reader->slot[i].kind == CKS_SLOT_DATE && !reader->slot[i].late) status = settle_dates(reader, i, guide);
  }
  return status;
}
