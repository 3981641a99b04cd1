/* utf8.c: see utf8.h. Text has been checked when it was read, so an ill-formed byte only has to do no harm. */
#include "utf8.h"

#include <checkstrip/base.h>

#include <string.h>

bool cks_is_utf8(const char *text, size_t n)
{
  const unsigned char *byte = (const unsigned char *)text;
  for (size_t at = 0, length; at < n; at += length) {
    unsigned char first = byte[at], second = at + 1 < n ? byte[at + 1] : 0;
    length = first < 0x80 ? 1 : first < 0xC2 ? 0 : first < 0xE0 ? 2 : first < 0xF0 ? 3 : first < 0xF5 ? 4 : 0;
    if (!length || length > n - at) return false;
    for (size_t i = 1; i < length; i++)
      if ((byte[at + i] & 0xC0) != 0x80) return false;
    if ((first == 0xE0 && second < 0xA0) || (first == 0xED && second > 0x9F) || (first == 0xF0 && second < 0x90) ||
        (first == 0xF4 && second > 0x8F)) /* longer than needed, a surrogate, beyond U+10FFFF: RFC 3629, section 4 */
      return false;
  }
  return true;
}

uint32_t cks_utf8_next(const char *text, size_t *n)
{
  const unsigned char *byte = (const unsigned char *)text;
  uint32_t first = byte[0], point = first;
  size_t length = first < 0xC0 ? 1 : first < 0xE0 ? 2 : first < 0xF0 ? 3 : first < 0xF8 ? 4 : 1;
  if (length > 1) point = first & (0xFFU >> (length + 1));
  for (size_t i = 1; i < length; i++) {
    if ((byte[i] & 0xC0) != 0x80) {
      *n = 1;
      return first;
    }
    point = point << 6 | (byte[i] & 0x3FU);
  }
  *n = first ? length : 0;
  return point;
}

/* Combining marks (U+0300 to U+036F) stand on the letter before them. */
static bool takes_no_column(uint32_t point) { return point >= 0x300 && point <= 0x36F; }

size_t cks_utf8_width(const char *text, size_t bytes)
{
  size_t width = 0;
  for (size_t at = 0, n; at < bytes; at += n) {
    uint32_t point = cks_utf8_next(text + at, &n);
    if (n == 0) break;
    width += !takes_no_column(point);
  }
  return width;
}

size_t cks_utf8_cut(const char *text, size_t columns)
{
  size_t at = 0, width = 0, n;
  for (;; at += n) {
    uint32_t point = cks_utf8_next(text + at, &n);
    if (n == 0) break;
    width += !takes_no_column(point);
    if (width > columns) break;
  }
  return at;
}

size_t cks_utf8_put(char *to, uint32_t point)
{
  if (point < 0x80) {
    to[0] = (char)point;
    return 1;
  }
  if (point < 0x800) {
    to[0] = (char)(0xC0 | point >> 6);
    to[1] = (char)(0x80 | (point & 0x3F));
    return 2;
  }
  to[0] = (char)(0xE0 | point >> 12);
  to[1] = (char)(0x80 | (point >> 6 & 0x3F));
  to[2] = (char)(0x80 | (point & 0x3F));
  return 3;
}

void cks_utf8_mend(char *text)
{
  size_t used = 0, n;
  for (const char *at = text; *at; at += n) {
    uint32_t point = cks_utf8_next(at, &n);
    if (n == 1 && point >= 0x80) continue;
    memmove(text + used, at, n);
    used += n;
  }
  text[used] = '\0';
}
