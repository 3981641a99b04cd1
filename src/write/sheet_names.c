/* sheet_names.c: see sheet_names.h. */
#include "sheet_names.h"
#include "../core/utf8.h"

#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

static const char APOSTROPHE[] = "\xE2\x80\x99"; /* U+2019 */

/* UTF-16 units of a code point: the limit counts those. */
static size_t units_of(uint32_t point) { return point > 0xFFFF ? 2 : 1; }

static uint32_t fold(uint32_t c)
{
  if ((c >= 'A' && c <= 'Z') || (c >= 0xC0 && c <= 0xDE && c != 0xD7)) return c + 0x20; /* ASCII, Latin-1 */
  if ((c >= 0x391 && c <= 0x3A9) || (c >= 0x410 && c <= 0x42F)) return c + 0x20;        /* Greek, Cyrillic */
  if (c >= 0x400 && c <= 0x40F) return c + 0x50;
  if (c >= 0x100 && c <= 0x17F && c != 0x131 && c != 0x138 && c != 0x149 &&
      c != 0x178) { /* pairs of Latin Extended-A */
    bool odd_is_large = (c >= 0x139 && c <= 0x148) || (c >= 0x179 && c <= 0x17E);
    return odd_is_large ? c + (c & 1) : c | 1;
  }
  return c;
}

static bool are_alike(const char *a, const char *b)
{
  for (size_t n_a, n_b;; a += n_a, b += n_b) {
    uint32_t left = fold(cks_utf8_next(a, &n_a)), right = fold(cks_utf8_next(b, &n_b));
    if (n_a == 0 || n_b == 0) return n_a == n_b;
    if (left != right) return false;
  }
}

/* Copies what is legal of text, at most `units`, without blanks at the ends. */
static void copy_legal(const char *text, size_t units, char *into)
{
  size_t at = 0, used = 0;
  for (size_t n; *text; text += n) {
    uint32_t point = cks_utf8_next(text, &n);
    bool blank = point < 0x20 || point == 0x7F || point == ' ' || (point < 0x80 && strchr("[]:*?/\\", (int)point));
    if (blank && (at == 0 || into[at - 1] == ' ')) continue;
    if (used + units_of(point) > units) break;
    const char *from = blank ? " " : point == '\'' ? APOSTROPHE : text;
    size_t bytes = blank ? 1 : point == '\'' ? strlen(APOSTROPHE) : n;
    memcpy(into + at, from, bytes);
    at += bytes;
    used += units_of(point);
  }
  while (at && into[at - 1] == ' ') at--;
  into[at] = '\0';
}

static bool is_free(const char *name, size_t n, const cks_sheet_name *before)
{
  if (are_alike(name, "history")) return false; /* kept by spreadsheets for themselves */
  for (size_t i = 0; i < n; i++)
    if (are_alike(name, before[i])) return false;
  return true;
}

void cks_sheet_name_make(const char *title, size_t n, const cks_sheet_name *before, cks_sheet_name into)
{
  copy_legal(title, CKS_SHEET_NAME_UNITS, into);
  if (!*into) copy_legal("Sheet", CKS_SHEET_NAME_UNITS, into);
  for (size_t copy = 2; !is_free(into, n, before); copy++) {
    char suffix[24];
    int length = snprintf(suffix, sizeof suffix, " (%zu)", copy);
    copy_legal(title, CKS_SHEET_NAME_UNITS - (size_t)length, into);
    if (!*into) copy_legal("Sheet", CKS_SHEET_NAME_UNITS, into);
    memcpy(into + strlen(into), suffix, (size_t)length + 1);
  }
}
