/* words.c: see words.h. ASCII only: other bytes are skipped, so that a typeset "kg ha⁻¹" is "kg ha". */
#include "words.h"

#include <string.h>

static bool counts(char c)
{
  return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || (c && strchr("%#\"'", c));
}

static char fold(char c) { return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c; }

/* The next character that counts, folded, and a step beyond it; '\0' at the end of the word. */
static char next(const char **at, char end)
{
  while (**at && **at != end && !counts(**at)) ++*at;
  return **at && **at != end ? fold(*(*at)++) : '\0';
}

bool cks_words_has(const char *list, const char *text)
{
  const char *rest = text;
  const char first = next(&rest, '\0');
  while (first && *list) {
    const char *word = list, *other = rest, *end = strchr(list, '|');
    char a = next(&word, '|'), b = first;
    while (a && a == b) {
      a = next(&word, '|');
      b = next(&other, '\0');
    }
    if (!a && !b) return true;
    list = end ? end + 1 : "";
  }
  return false;
}

bool cks_words_no_check(const char *heading, const char *cell)
{
  if (cks_words_has("entry type", heading)) return !cks_words_has("check|checks|ck|chk|standard|control", cell);
  return cks_words_has(CKS_WORDS_NO "|filler|commercial|experimental", cell);
}
