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
  return cks_findings_add(reader->reading.findings, rule, cks_reader_where(reader, witness->line, slot),
                          heading_of(reader, slot), witness->cell, reader->reading.error, "%s", text);
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

static cks_status settle_dates(const cks_reader *reader, size_t at)
{
  const cks_slot *slot = &reader->slot[at];
  const cks_witness *mdy = &slot->witness[CKS_WITNESS_MDY], *dmy = &slot->witness[CKS_WITNESS_DMY];
  const cks_witness *either = &slot->witness[CKS_WITNESS_EITHER];
  cks_date_order order = mdy->line && !dmy->line   ? CKS_DATES_MDY
                         : dmy->line && !mdy->line ? CKS_DATES_DMY
                                                   : CKS_DATES_UNKNOWN;
  char text[CKS_HEADING_LONGEST + 2 * CKS_WITNESS_TEXT + 300];
  if (!mdy->line && !dmy->line && !either->line) return CKS_OK;
  if (either->line) close_order(reader, slot, order);
  if (order != CKS_DATES_UNKNOWN) {
    const cks_witness *found = order == CKS_DATES_MDY ? mdy : dmy;
    snprintf(text, sizeof text, "the dates of %.200s were read as %s, since '%s' can only be that",
             heading_of(reader, at), order == CKS_DATES_MDY ? "month/day" : "day/month", found->cell);
    return say_at(reader, CKS_RULE_DATE_ORDER_TAKEN, at, found, text);
  }
  if (mdy->line) {
    const cks_witness *second = mdy->line > dmy->line ? mdy : dmy, *first = second == mdy ? dmy : mdy;
    snprintf(text, sizeof text,
             "%.200s holds '%s', which is %s, and on line %lu '%s', which is %s; write all dates as 2026-05-20, or "
             "give --dates mdy or --dates dmy",
             heading_of(reader, at), second->cell, second == mdy ? "month/day" : "day/month",
             (unsigned long)first->line, first->cell, first == mdy ? "month/day" : "day/month");
    return say_at(reader, CKS_RULE_DATE_ORDER, at, second, text);
  }
  snprintf(text, sizeof text,
           "%.200s holds '%s', which could be month/day or day/month, and no cell decides; give --dates mdy or "
           "--dates dmy",
           heading_of(reader, at), either->cell);
  return say_at(reader, CKS_RULE_DATE_ORDER, at, either, text);
}

cks_status cks_reader_settle_late(cks_reader *reader, size_t slot) { return settle_dates(reader, slot); }

cks_status cks_reader_settle(cks_reader *reader, size_t from)
{
  cks_status status = CKS_OK;
  for (size_t i = from; i < reader->n_slot && status == CKS_OK; i++) {
    if (reader->slot[i].kind == CKS_SLOT_NUMBER) status = settle_numbers(reader, i);
    if (reader->slot[i].kind == CKS_SLOT_DATE && !reader->slot[i].late) status = settle_dates(reader, i);
  }
  return status;
}
