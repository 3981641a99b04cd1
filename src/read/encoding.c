/*
 * encoding.c: a source's bytes as UTF-8 text, in pieces; what is no text is refused.
 *
 * A byte sequence that is well-formed UTF-8 is read as UTF-8 wherever it stands; any other byte from 0x80 on is read as
 * Windows-1252, with one note a file. The rule needs no look ahead and holds in every place of a file alike, also in
 * one that was pasted together from two encodings. UTF-16 and UTF-32 are refused by name, as are the usual binary
 * files. Code points of Windows-1252: the mapping table of the Unicode Consortium; the five free bytes are U+FFFD.
 */
#include "read.h"

#include "../core/utf8.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

enum { LONGEST_UTF8 = 3, LOOK_AT = 64 };

static const uint16_t windows_80[32] = {0x20AC, 0xFFFD, 0x201A, 0x0192, 0x201E, 0x2026, 0x2020, 0x2021,
                                        0x02C6, 0x2030, 0x0160, 0x2039, 0x0152, 0xFFFD, 0x017D, 0xFFFD,
                                        0xFFFD, 0x2018, 0x2019, 0x201C, 0x201D, 0x2022, 0x2013, 0x2014,
                                        0x02DC, 0x2122, 0x0161, 0x203A, 0x0153, 0xFFFD, 0x017E, 0x0178};

static const struct {
  const char *bytes;
  size_t n;
  const char *what;
} signatures[] = {
    {"\xD0\xCF\x11\xE0", 4, "an old workbook (.xls) or one with a password"},
    {"%PDF-", 5, "a PDF"},
    {"\x1F\x8B", 2, "a gzip file"},
};

static const struct {
  const char *bytes;
  size_t n;
  const char *name;
} marks[] = {
    {"\xFF\xFE\0\0", 4, "UTF-32"},
    {"\0\0\xFE\xFF", 4, "UTF-32"},
    {"\xFF\xFE", 2, "UTF-16"},
    {"\xFE\xFF", 2, "UTF-16"},
};

cks_status cks_decoder_init(cks_decoder *decoder, const cks_reading *reading, const cks_source *source)
{
  *decoder = (cks_decoder){.reading = reading, .source = source, .raw = malloc(CKS_READ_PIECE)};
  return decoder->raw ? CKS_OK : cks_error_nomem(reading->error);
}

void cks_decoder_release(cks_decoder *decoder)
{
  free(decoder->raw);
  free(decoder->text);
  *decoder = (cks_decoder){0};
}

/* Fills raw behind the held bytes; *n: bytes in it. */
static cks_status pull(cks_decoder *decoder, size_t *n)
{
  size_t used = decoder->held;
  while (used < CKS_READ_PIECE && !decoder->ended) {
    ptrdiff_t got = decoder->source->read(decoder->source->from, (char *)decoder->raw + used, CKS_READ_PIECE - used);
    if (got < 0 || (size_t)got > CKS_READ_PIECE - used)
      return cks_error_set(decoder->reading->error, CKS_IO, "cannot read '%s'", decoder->source->name);
    decoder->ended = got == 0;
    used += (size_t)got;
  }
  *n = used;
  return CKS_OK;
}

static cks_where whole_file(const cks_decoder *decoder) { return (cks_where){decoder->reading->file, CKS_NONE, 0, 0}; }

/* UTF-16 or UTF-32 without a mark: most characters are ASCII, so NUL stands in every other byte or in three of four. */
static const char *wide_name(const unsigned char *raw, size_t n)
{
  size_t zeros[4] = {0}, look = (n < LOOK_AT ? n : LOOK_AT) / 4 * 4, quarter = look / 4;
  for (size_t i = 0; i < look; i++) zeros[i % 4] += raw[i] == 0;
  bool most[4];
  int wide = 0;
  for (int i = 0; i < 4; i++) wide += most[i] = quarter > 0 && zeros[i] * 4 >= quarter * 3;
  if (wide == 3) return "UTF-32";
  return wide == 2 && most[0] == most[2] ? "UTF-16" : NULL;
}

/* A page of the web, or a table that some programs write as one: its first mark is "<", and html or a table follows. */
static bool is_web_page(const unsigned char *raw, size_t n)
{
  static const char *const tags[] = {"<html", "<table", "<!doctype html"};
  enum { WEB_LOOK = 4096 };
  size_t from = n >= 3 && !memcmp(raw, "\xEF\xBB\xBF", 3) ? 3 : 0, end = n < WEB_LOOK ? n : WEB_LOOK;
  while (from < end && strchr(" \t\r\n", raw[from]) && raw[from]) from++;
  if (from == end || raw[from] != '<') return false;
  for (size_t at = from; at < end; at++)
    for (size_t i = 0; i < sizeof tags / sizeof *tags; i++) {
      size_t length = strlen(tags[i]);
      if (at + length <= end && !strncasecmp((const char *)raw + at, tags[i], length)) return true;
    }
  return false;
}

/* Signatures go first: much of what they begin is zeros, as UTF-32 is. */
static cks_status refuse_at_start(cks_decoder *decoder, size_t n)
{
  const cks_reading *reading = decoder->reading;
  for (size_t i = 0; i < sizeof signatures / sizeof *signatures; i++) {
    if (n < signatures[i].n || memcmp(decoder->raw, signatures[i].bytes, signatures[i].n)) continue;
    decoder->refused = true;
    return cks_findings_add(
        reading->findings, CKS_RULE_NOT_TEXT, whole_file(decoder), NULL, NULL, reading->error,
        "the file is %s, expected CSV or .xlsx; save the sheet as CSV (\"CSV UTF-8\") or .xlsx and give that file",
        signatures[i].what);
  }
  if (is_web_page(decoder->raw, n)) {
    decoder->refused = true;
    return cks_findings_add(reading->findings, CKS_RULE_NOT_TEXT, whole_file(decoder), NULL, NULL, reading->error,
                            "the file is a web page (HTML) saved under another name, expected CSV or .xlsx; open it in "
                            "a spreadsheet, save the sheet as CSV (\"CSV UTF-8\") or .xlsx and give that file");
  }
  const char *name = wide_name(decoder->raw, n);
  for (size_t i = sizeof marks / sizeof *marks; i-- > 0;)
    if (n >= marks[i].n && !memcmp(decoder->raw, marks[i].bytes, marks[i].n)) name = marks[i].name;
  decoder->refused = name != NULL;
  if (name)
    return cks_findings_add(reading->findings, CKS_RULE_ENCODING, whole_file(decoder), NULL, NULL, reading->error,
                            "the file is in %s, expected UTF-8; save it again as \"CSV UTF-8\"", name);
  return CKS_OK;
}

static bool is_binary(unsigned char c) { return c < 0x20 && c != '\t' && c != '\n' && c != '\r'; }

/* What the bytes hold at all: bit 0 something from 0x80 on, bit 1 something that no text holds. Eight bytes at once;
 * only where one of them is below 0x20 are they looked at singly. */
static unsigned survey(const unsigned char *raw, size_t n)
{
  const uint64_t ones = UINT64_C(0x0101010101010101), tops = ones * 0x80;
  uint64_t high = 0;
  bool binary = false;
  size_t at = 0;
  for (; at + 8 <= n; at += 8) {
    uint64_t word;
    memcpy(&word, raw + at, 8);
    high |= word & tops;
    if ((word - ones * 0x20) & ~word & tops)
      for (size_t i = 0; i < 8; i++) binary = binary || is_binary(raw[at + i]);
  }
  for (; at < n; at++) {
    high |= raw[at] & 0x80;
    binary = binary || is_binary(raw[at]);
  }
  return (high ? 1U : 0U) | (binary ? 2U : 0U);
}

/* Line ends in raw before `at` as csv.c counts them: LF, CRLF, CR; a LF at the front may end a CR of the last piece. */
static uint32_t lines_before(const cks_decoder *decoder, size_t at)
{
  const unsigned char *raw = decoder->raw;
  uint32_t lines = 0;
  for (size_t i = 0; i < at; i++)
    lines += (raw[i] == '\r' && raw[i + 1] != '\n') || (raw[i] == '\n' && !(i == 0 && decoder->after_cr));
  return lines;
}

static cks_status refuse_binary(cks_decoder *decoder, uint32_t line, size_t n)
{
  const cks_reading *reading = decoder->reading;
  size_t at = 0;
  while (at < n && !is_binary(decoder->raw[at])) at++;
  cks_where where = whole_file(decoder);
  where.line = line + lines_before(decoder, at);
  decoder->refused = true;
  return cks_findings_add(
      reading->findings, CKS_RULE_NOT_TEXT, where, NULL, NULL, reading->error,
      "byte 0x%02X stands here, which no text file holds; save the sheet as CSV (\"CSV UTF-8\") and "
      "give that file",
      decoder->raw[at]);
}

/* Bytes of the well-formed UTF-8 sequence at raw (n > 0 bytes follow); 0: ill-formed; -1: cut off by the end. */
static int sequence(const unsigned char *raw, size_t n)
{
  unsigned char c = raw[0];
  int length = c < 0xC2 ? 0 : c < 0xE0 ? 2 : c < 0xF0 ? 3 : c < 0xF5 ? 4 : 0;
  for (int i = 1; i < length; i++) {
    if ((size_t)i >= n) return -1;
    unsigned char low = 0x80, high = 0xBF;
    if (i == 1 && c == 0xE0) low = 0xA0;  /* overlong */
    if (i == 1 && c == 0xED) high = 0x9F; /* surrogates */
    if (i == 1 && c == 0xF0) low = 0x90;  /* overlong */
    if (i == 1 && c == 0xF4) high = 0x8F; /* beyond U+10FFFF */
    if (raw[i] < low || raw[i] > high) return 0;
  }
  return length;
}

static cks_status note_foreign(cks_decoder *decoder, uint32_t line, size_t at)
{
  const cks_reading *reading = decoder->reading;
  cks_where where = whole_file(decoder);
  where.line = line + lines_before(decoder, at);
  decoder->foreign = true;
  return cks_findings_add(reading->findings, CKS_RULE_ENCODING_ASSUMED, where, NULL, NULL, reading->error,
                          "byte 0x%02X is not UTF-8; such bytes were read as Windows-1252", decoder->raw[at]);
}

/* raw[0, n) transcribed to text; *n becomes the bytes used (the rest, fewer than four, awaits more). */
static cks_status transcribe(cks_decoder *decoder, uint32_t line, size_t *n, size_t *written)
{
  const unsigned char *raw = decoder->raw;
  cks_status status = CKS_OK;
  size_t at = 0, to = 0;
  if (!decoder->text) decoder->text = malloc((size_t)CKS_READ_PIECE * LONGEST_UTF8);
  if (!decoder->text) return cks_error_nomem(decoder->reading->error);
  while (at < *n && status == CKS_OK) {
    int length = raw[at] < 0x80 ? 1 : sequence(raw + at, *n - at);
    if (length < 0 && !decoder->ended) break;
    if (length > 0) {
      memcpy(decoder->text + to, raw + at, (size_t)length);
      to += (size_t)length;
      at += (size_t)length;
      continue;
    }
    if (!decoder->foreign) status = note_foreign(decoder, line, at);
    uint32_t point = raw[at] < 0xA0 ? windows_80[raw[at] - 0x80] : raw[at];
    to += cks_utf8_put(decoder->text + to, point);
    at++;
  }
  *n = at;
  *written = to;
  return status;
}

cks_status cks_decoder_next(cks_decoder *decoder, uint32_t line, const char **text, size_t *n)
{
  size_t have = 0, skip = 0;
  *n = 0;
  if (decoder->refused) return CKS_OK;
  if (decoder->passed && decoder->held) /* what the last piece left over */
    memmove(decoder->raw, decoder->raw + decoder->passed, decoder->held);
  cks_status status = pull(decoder, &have);
  decoder->held = 0;
  if (status == CKS_OK && !decoder->passed) {
    status = refuse_at_start(decoder, have);
    skip = have >= 3 && !memcmp(decoder->raw, "\xEF\xBB\xBF", 3) ? 3 : 0;
  }
  if (status != CKS_OK || decoder->refused || !have) return status;
  unsigned found = survey(decoder->raw, have);
  if (found & 2) return refuse_binary(decoder, line, have);
  decoder->passed = have;
  *text = (const char *)decoder->raw;
  *n = have;
  if (found & 1) {
    size_t used = have;
    status = transcribe(decoder, line, &used, n);
    decoder->held = have - used;
    decoder->passed = used;
    *text = decoder->text;
  }
  decoder->after_cr = decoder->raw[decoder->passed - 1] == '\r';
  *text += skip;
  *n -= skip;
  return status;
}
