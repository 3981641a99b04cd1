/* json.c: see json.h. One value a line where it helps a reader, two spaces a level. */
#include "json.h"

#include <inttypes.h>
#include <math.h>
#include <stdio.h>
#include <string.h>

static void flush(cks_json *json)
{
  if (json->status == CKS_OK && json->used)
    json->status = json->sink->put(json->sink->to, json->buffer, json->used, json->error);
  json->used = 0;
}

static void put(cks_json *json, const char *bytes, size_t n)
{
  while (n && json->status == CKS_OK) {
    size_t room = CKS_JSON_BUFFER - json->used, part = n < room ? n : room;
    memcpy(json->buffer + json->used, bytes, part);
    json->used += part;
    bytes += part;
    n -= part;
    if (json->used == CKS_JSON_BUFFER) flush(json);
  }
}

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

/* Comma, line break, indent and key before the next value. */
static void lead(cks_json *json, const char *key)
{
  if (json->depth) {
    bool *filled = &json->filled[json->depth - 1];
    put_text(json, *filled ? ",\n" : "\n");
    *filled = true;
    for (int i = 0; i < json->depth; i++) put(json, "  ", 2);
  }
  if (key) {
    put_quoted(json, key);
    put(json, ": ", 2);
  }
}

static void open(cks_json *json, const char *key, const char *bracket, char close)
{
  lead(json, key);
  put_text(json, bracket);
  if (json->depth == CKS_JSON_DEEPEST) {
    if (json->status == CKS_OK) json->status = cks_error_set(json->error, CKS_INTERNAL, "JSON nested too deep");
  } else {
    json->close[json->depth] = close;
    json->filled[json->depth++] = false;
  }
}

void cks_json_begin(cks_json *json, const cks_sink *sink, cks_error *error)
{
  json->sink = sink;
  json->error = error;
  json->status = CKS_OK;
  json->depth = 0;
  json->used = 0;
}

void cks_json_object(cks_json *json, const char *key) { open(json, key, "{", '}'); }
void cks_json_array(cks_json *json, const char *key) { open(json, key, "[", ']'); }

void cks_json_end(cks_json *json)
{
  if (json->depth == 0) return;
  json->depth--;
  if (json->filled[json->depth]) {
    put(json, "\n", 1);
    for (int i = 0; i < json->depth; i++) put(json, "  ", 2);
  }
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

void cks_json_number(cks_json *json, const char *key, double value)
{
  char text[CKS_NUMBER_TEXT] = "null";
  if (isfinite(value)) snprintf(text, sizeof text, "%.15g", value);
  lead(json, key);
  put_text(json, text);
}

void cks_json_integer(cks_json *json, const char *key, int64_t value)
{
  char text[CKS_NUMBER_TEXT];
  snprintf(text, sizeof text, "%" PRId64, value);
  lead(json, key);
  put_text(json, text);
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
  flush(json);
  if (json->status == CKS_OK && json->depth)
    json->status = cks_error_set(json->error, CKS_INTERNAL, "JSON left open");
  return json->status;
}
