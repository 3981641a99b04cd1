/*
 * xlsx_xml.c: one part of a workbook through expat, in pieces, as states of a table of steps.
 *
 * Elements are matched by path and local name: whatever prefix a writer chose, and whichever of the two families of
 * namespaces (transitional, strict). Depth and the size of a tag are bounded; a document type is refused, so that no
 * entity is ever expanded. Memory comes from malloc as ours does.
 */
#include "xlsx_parts.h"

#include "../core/utf8.h"
#include "trim.h"

#include <stdlib.h>
#include <string.h>

static void *take(size_t size) { return malloc(size); }
static void *take_again(void *memory, size_t size) { return realloc(memory, size); }
static void give_back(void *memory) { free(memory); }
static const XML_Memory_Handling_Suite memory_suite = {take, take_again, give_back};

static const char *local(const char *name)
{
  const char *colon = strchr(name, ':');
  return colon ? colon + 1 : name;
}

const char *cks_xml_attribute(const char *const *attribute, const char *name)
{
  for (; *attribute; attribute += 2)
    if (!strcmp(attribute[0], name)) return attribute[1];
  return NULL;
}

bool cks_xml_true(const char *value)
{
  return value && (!strcmp(value, "1") || !strcmp(value, "true") || !strcmp(value, "on"));
}

bool cks_xml_count(const char *text, uint32_t *value)
{
  uint64_t number = 0;
  const char *at = text;
  for (; *at >= '0' && *at <= '9' && number < UINT32_MAX; at++) number = number * 10 + (uint64_t)(*at - '0');
  *value = (uint32_t)number;
  return at > text && !*at && number < UINT32_MAX;
}

/* ---- callbacks --------------------------------------------------------------------------------------------------- */

static bool is_over(const cks_xml *xml)
{
  return xml->done || xml->doctype || xml->deep || !cks_package_goes_on(xml->package);
}

static void stop_when_over(cks_xml *xml)
{
  if (is_over(xml)) XML_StopParser(xml->parser, XML_FALSE);
}

static void XMLCALL on_open(void *to, const XML_Char *name, const XML_Char **attribute)
{
  cks_xml *xml = to;
  unsigned in = xml->depth ? xml->path[xml->depth - 1] : 0, state = 0;
  xml->silent = 0;
  if (is_over(xml)) return;
  if (xml->depth == CKS_XLSX_DEPTH) {
    xml->deep = true;
    stop_when_over(xml);
    return;
  }
  name = local(name);
  if (in || !xml->depth)
    for (size_t i = 0; i < xml->n_step && !state; i++)
      if (xml->step[i].in == in && !strcmp(xml->step[i].name, name)) state = xml->step[i].state;
  xml->path[xml->depth++] = (uint8_t)state;
  if (!state || !xml->begin) return;
  xml->begin(xml->to, state, (const char *const *)attribute);
  stop_when_over(xml);
}

static void XMLCALL on_close(void *to, const XML_Char *name)
{
  cks_xml *xml = to;
  (void)name;
  xml->silent = 0;
  if (is_over(xml)) return;
  unsigned state = xml->path[--xml->depth];
  if (!state || !xml->end) return;
  xml->end(xml->to, state);
  stop_when_over(xml);
}

static void XMLCALL on_text(void *to, const XML_Char *text, int n)
{
  cks_xml *xml = to;
  xml->silent = 0;
  if (is_over(xml) || !xml->text || !xml->path[xml->depth - 1]) return;
  xml->text(xml->to, xml->path[xml->depth - 1], text, (size_t)n);
  stop_when_over(xml);
}

static void XMLCALL on_doctype(void *to, const XML_Char *name, const XML_Char *system, const XML_Char *public_id,
                               int has)
{
  cks_xml *xml = to;
  (void)name, (void)system, (void)public_id, (void)has;
  xml->doctype = true;
  stop_when_over(xml);
}

/* ---- feeding ----------------------------------------------------------------------------------------------------- */

static void refuse(cks_xml *xml, const char *part)
{
  enum XML_Error code = XML_GetErrorCode(xml->parser);
  if (xml->doctype)
    cks_package_refuse(xml->package, CKS_RULE_WORKBOOK_DAMAGED, 0,
                       "the part '%.200s' of the workbook declares a document type, which no spreadsheet writes; %s",
                       part, CKS_XLSX_SAVE_AGAIN);
  else if (xml->deep)
    cks_package_refuse(xml->package, CKS_RULE_WORKBOOK_DAMAGED, 0,
                       "the part '%.200s' of the workbook is nested deeper than %d elements; %s", part, CKS_XLSX_DEPTH,
                       CKS_XLSX_SAVE_AGAIN);
  else if (code == XML_ERROR_NO_MEMORY)
    cks_package_fail(xml->package, cks_error_nomem(xml->package->reading->error));
  else
    cks_package_refuse(xml->package, CKS_RULE_WORKBOOK_DAMAGED, 0,
                       "the part '%.200s' of the workbook is no well-formed XML (%s); %s", part, XML_ErrorString(code),
                       CKS_XLSX_SAVE_AGAIN);
}

void cks_xml_read(cks_xml *xml, cks_id id)
{
  cks_zip_part part = {0};
  const char *name = cks_names_text(&xml->package->part, id);
  bool ended = false;
  xml->parser = XML_ParserCreate_MM(NULL, &memory_suite, NULL);
  if (!xml->parser) {
    cks_package_fail(xml->package, cks_error_nomem(xml->package->reading->error));
    return;
  }
  XML_SetUserData(xml->parser, xml);
  XML_SetElementHandler(xml->parser, on_open, on_close);
  XML_SetCharacterDataHandler(xml->parser, on_text);
  XML_SetStartDoctypeDeclHandler(xml->parser, on_doctype);
  cks_zip_part_open(&part, xml->package, id);
  while (!ended && !is_over(xml)) {
    char *piece = XML_GetBuffer(xml->parser, CKS_READ_PIECE);
    size_t n = piece ? cks_zip_part_read(&part, piece, CKS_READ_PIECE) : 0;
    ended = n == 0;
    xml->silent += n;
    if (!piece) {
      refuse(xml, name);
    } else if (cks_package_goes_on(xml->package) && XML_ParseBuffer(xml->parser, (int)n, ended) != XML_STATUS_OK) {
      if (!xml->done) refuse(xml, name);
    } else if (xml->silent > CKS_XLSX_TOKEN) {
      cks_package_refuse(xml->package, CKS_RULE_TOO_LARGE, 0,
                         "the part '%.200s' of the workbook holds a tag longer than %d KiB; %s", name,
                         CKS_XLSX_TOKEN >> 10, CKS_XLSX_SAVE_AGAIN);
    }
  }
  cks_zip_part_close(&part);
  XML_ParserFree(xml->parser);
  xml->parser = NULL;
}

/* ---- texts ------------------------------------------------------------------------------------------------------- */

bool cks_bytes_add(cks_bytes *bytes, const char *text, size_t n)
{
  if (bytes->room - bytes->n < n) {
    size_t room = bytes->room ? bytes->room : 1024;
    while (room - bytes->n < n) room *= 2;
    char *grown = realloc(bytes->text, room);
    if (!grown) return false;
    bytes->text = grown;
    bytes->room = room;
  }
  if (n) memcpy(bytes->text + bytes->n, text, n);
  bytes->n += n;
  return true;
}

static int hex(char c)
{
  return c >= '0' && c <= '9'   ? c - '0'
         : c >= 'A' && c <= 'F' ? c - 'A' + 10
         : c >= 'a' && c <= 'f' ? c - 'a' + 10
                                : -1;
}

/* The code point of "_xHHHH_" at text; -1: it is none. */
static int escape(const char *text, size_t n)
{
  int value = 0;
  if (n < 7 || text[0] != '_' || text[1] != 'x' || text[6] != '_') return -1;
  for (size_t i = 2; i < 6; i++) {
    int digit = hex(text[i]);
    if (digit < 0) return -1;
    value = value * 16 + digit;
  }
  return value >= 0xD800 && value <= 0xDFFF ? -1 : value;
}

static size_t put_character(char *to, int point) { return cks_utf8_put(to, point < 0x20 ? ' ' : (uint32_t)point); }

void cks_xlsx_tidy(char *text, size_t *from, size_t *n)
{
  size_t used = 0;
  for (size_t i = 0; i < *n;) {
    int point = text[i] == '_' ? escape(text + i, *n - i) : -1;
    if (point >= 0) {
      used += put_character(text + used, point);
      i += 7;
    } else {
      char c = text[i++];
      text[used++] = c == '\n' || c == '\r' ? ' ' : c;
    }
  }
  const unsigned char *trimmed = (const unsigned char *)text;
  cks_trim(&trimmed, &used);
  *from = used ? (size_t)((const char *)trimmed - text) : 0;
  *n = used;
}
