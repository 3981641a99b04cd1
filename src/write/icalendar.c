/*
 * icalendar.c: the report's events as an iCalendar object (RFC 5545): whole days, lines of at most 75 octets that end in
 * CRLF and are folded between characters, text escaped. Nothing in it is of the day it was written on.
 */
#include "../core/stream.h"
#include "../core/utf8.h"

#include <checkstrip/run.h>

#include <string.h>

enum { OCTETS = 75 };

typedef struct {
  cks_stream stream;
  size_t used; /* octets of the line so far */
} out;

/* A character of n octets, on the next line when this one is full. */
static void put_character(out *o, const char *character, size_t n)
{
  if (o->used + n > OCTETS) {
    cks_stream_put(&o->stream, "\r\n ", 3);
    o->used = 1;
  }
  cks_stream_put(&o->stream, character, n);
  o->used += n;
}

static void put(out *o, const char *text)
{
  for (const char *c = text; *c; c++) put_character(o, c, 1);
}

static void end_line(out *o)
{
  cks_stream_put(&o->stream, "\r\n", 2);
  o->used = 0;
}

static void put_line(out *o, const char *name, const char *value)
{
  put(o, name);
  put(o, value);
  end_line(o);
}

/* A value of type TEXT; nothing when it is "". */
static void put_text(out *o, const char *name, const char *text)
{
  if (!*text) return;
  put(o, name);
  for (const char *c = text; *c;) {
    size_t n = 1;
    while (((unsigned char)c[n] & 0xC0) == 0x80) n++; /* the rest of a character of several octets */
    if (*c == '\\' || *c == ';' || *c == ',') put(o, "\\");
    if (*c == '\n')
      put(o, "\\n");
    else
      put_character(o, c, n);
    c += n;
  }
  end_line(o);
}

/* "20260728" */
static const char *date_text(char into[CKS_NUMBER_TEXT], double day)
{
  char *to = into;
  cks_print_date(into, day);
  for (const char *from = into; *from; from++)
    if (*from != '-') *to++ = *from;
  *to = '\0';
  return into;
}

static void put_event(out *o, const cks_report *report, const cks_event *event)
{
  char day[CKS_NUMBER_TEXT];
  put_line(o, "BEGIN:", "VEVENT");
  put_line(o, "UID:", event->uid);
  put(o, "DTSTAMP:");
  put_line(o, date_text(day, report->event_stamp), "T000000Z");
  put_line(o, "DTSTART;VALUE=DATE:", date_text(day, event->from));
  put_line(o, "DTEND;VALUE=DATE:", date_text(day, event->to + 1)); /* the day after */
  put_text(o, "SUMMARY:", event->summary);
  put_text(o, "LOCATION:", event->location);
  put_text(o, "DESCRIPTION:", event->description);
  put_line(o, "TRANSP:", "TRANSPARENT"); /* nobody is busy for it */
  put_line(o, "END:", "VEVENT");
}

cks_status cks_write_calendar(const cks_report *report, const cks_sink *sink, cks_error *error)
{
  out o = {.used = 0};
  if (!report->n_event)
    return cks_error_set(error, CKS_USAGE, "no .ics can be written: %s; leave that output out", report->no_event);
  cks_stream_begin(&o.stream, sink, error);
  put_line(&o, "BEGIN:", "VCALENDAR");
  put_line(&o, "VERSION:", "2.0");
  put_line(&o, "PRODID:", "-//checkstrip//stage calendar//EN");
  put_line(&o, "CALSCALE:", "GREGORIAN");
  for (size_t i = 0; i < report->n_event; i++) put_event(&o, report, &report->event[i]);
  put_line(&o, "END:", "VCALENDAR");
  return cks_stream_end(&o.stream);
}
