/* json.c: see json.h. A value a line, two spaces a level; rows on one line. */
#include "json.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

static void put(cks_json *json, const char *bytes, size_t n) { cks_stream_put(&json->stream, bytes, n); }
static void put_text(cks_json *json, const char *text) { put(json, text, strlen(text)); }

static void put_quoted(cks_json *json, const char *text)
{
  static const char hex[] = "0123456789abcdef";
  put(json, "\"", 1);
  for (const char *rest = text; *rest;) {
    size_t plain = 0;
    while ((unsigned char)rest[plain] >= 0x20 && rest[plain] != '"' && rest[plain] != '\\') plain++;
    put(json, rest, plain);
    rest += plain;
    if (*rest) {
      unsigned char c = (unsigned char)*rest++;
      char escape[6] = {'\\', 'u', '0', '0', hex[c >> 4], hex[c & 15]};
      if (c == '"' || c == '\\')
        escape[1] = (char)c, put(json, escape, 2);
      else
        put(json, escape, 6);
    }
  }
  put(json, "\"", 1);
}

/* A line break and two spaces a level; in a row nothing. */
static void indent(cks_json *json)
{
  static const char spaces[] =
      "\n                                                                "; /* 2 x CKS_JSON_DEEPEST */
  if (!json->row) put(json, spaces, 1 + 2 * (size_t)json->depth);
}

/* Comma, line break, indent and key before the next value. */
static void lead(cks_json *json, const char *key)
{
  if (json->depth) {
    bool *filled = &json->filled[json->depth - 1];
    if (*filled) put(json, ", ", json->row ? 2 : 1);
    *filled = true;
    indent(json);
  }
  if (key) {
    put_quoted(json, key);
    put(json, ": ", 2);
  }
}

static void fault(cks_json *json, const char *what)
{
  if (json->stream.status == CKS_OK) json->stream.status = cks_error_set(json->stream.error, CKS_INTERNAL, "%s", what);
}

static void open(cks_json *json, const char *key, char bracket, char close)
{
  lead(json, key);
  put(json, &bracket, 1);
  if (json->depth == CKS_JSON_DEEPEST) {
    fault(json, "JSON nested too deep");
  } else {
    json->close[json->depth] = close;
    json->filled[json->depth++] = false;
  }
}

void cks_json_begin(cks_json *json, const cks_sink *sink, cks_error *error)
{
  cks_stream_begin(&json->stream, sink, error);
  json->depth = json->row = 0;
}

void cks_json_object(cks_json *json, const char *key) { open(json, key, '{', '}'); }
void cks_json_array(cks_json *json, const char *key) { open(json, key, '[', ']'); }

static void keep_on_one_line(cks_json *json)
{
  if (!json->row) json->row = json->depth;
}

void cks_json_row(cks_json *json, const char *key)
{
  open(json, key, '{', '}');
  keep_on_one_line(json);
}

void cks_json_list(cks_json *json, const char *key)
{
  open(json, key, '[', ']');
  keep_on_one_line(json);
}

void cks_json_end(cks_json *json)
{
  if (json->depth == 0) return;
  json->depth--;
  if (json->filled[json->depth]) indent(json);
  if (json->row > json->depth) json->row = 0;
  put(json, &json->close[json->depth], 1);
}

void cks_json_text(cks_json *json, const char *key, const char *text)
{
  lead(json, key);
  if (text)
    put_quoted(json, text);
  else
    put_text(json, "null");
}

/* Many figures are whole numbers, and printf is slow at them. into: CKS_NUMBER_TEXT bytes. */
static size_t whole_text(char *into, int64_t value)
{
  char digits[CKS_NUMBER_TEXT];
  size_t n = 0, used = 0;
  uint64_t rest = value < 0 ? 0 - (uint64_t)value : (uint64_t)value;
  do digits[n++] = (char)('0' + rest % 10);
  while (rest /= 10);
  if (value < 0) into[used++] = '-';
  while (n) into[used++] = digits[--n];
  return used;
}

/* A value that is a decimal of at most six places, as many means are, in the digits that %.15g would print; 0: it is not.
 * scaled / 1e6 == value says so: the decimal's nearest double is the value, and 15 digits hold it. */
static size_t decimal_text(char *into, double value)
{
  double scaled = fabs(value) >= 1e-4 && fabs(value) < 1e8 ? nearbyint(value * 1e6) : 0;
  if (scaled == 0 || scaled / 1e6 != value) return 0;
  uint64_t whole = (uint64_t)fabs(scaled) / 1000000, part = (uint64_t)fabs(scaled) % 1000000;
  size_t used = 0;
  if (value < 0) into[used++] = '-';
  used += whole_text(into + used, (int64_t)whole);
  into[used++] = '.';
  for (uint64_t place = 100000; part; place /= 10) {
    into[used++] = (char)('0' + part / place);
    part %= place;
  }
  return used;
}

const char *cks_json_given(const char *text) { return text && *text ? text : NULL; }

void cks_json_number(cks_json *json, const char *key, double value)
{
  char text[CKS_NUMBER_TEXT] = "null";
  size_t n = 4;
  if (fabs(value) < 1e15 && value == floor(value))
    n = whole_text(text, (int64_t)value);
  else if (isfinite(value) && (n = decimal_text(text, value)) == 0)
    n = (size_t)snprintf(text, sizeof text, "%.15g", value);
  lead(json, key);
  put(json, text, n);
}

void cks_json_integer(cks_json *json, const char *key, int64_t value)
{
  char text[CKS_NUMBER_TEXT];
  size_t n = whole_text(text, value);
  lead(json, key);
  put(json, text, n);
}

void cks_json_count(cks_json *json, const char *key, uint32_t count)
{
  if (count)
    cks_json_integer(json, key, count);
  else
    cks_json_null(json, key);
}

void cks_json_figures(cks_json *json, size_t n, const cks_json_figure *figures, const void *from)
{
  for (size_t i = 0; i < n; i++) {
    double value;
    memcpy(&value, (const char *)from + figures[i].at, sizeof value);
    cks_json_number(json, figures[i].key, value);
  }
}

void cks_json_bool(cks_json *json, const char *key, bool value)
{
  lead(json, key);
  put_text(json, value ? "true" : "false");
}

void cks_json_null(cks_json *json, const char *key)
{
  lead(json, key);
  put_text(json, "null");
}

cks_status cks_json_finish(cks_json *json)
{
  put(json, "\n", 1);
  if (json->depth) fault(json, "JSON left open");
  return cks_stream_end(&json->stream);
}
