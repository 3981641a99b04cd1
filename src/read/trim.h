/* trim.h: a cell without the blanks around it; inline, since it is called for every cell. */
#ifndef CKS_READ_TRIM_H
#define CKS_READ_TRIM_H

#include <stdbool.h>
#include <stddef.h>

static inline bool cks_is_blank(unsigned char c) { return c == ' ' || c == '\t' || c == '\n' || c == '\r'; }

/* Cuts spaces, tabs, line breaks and U+00A0 (C2 A0) at both ends. */
static inline void cks_trim(const unsigned char **text, size_t *n)
{
  const unsigned char *from = *text, *to = *text + *n;
  for (bool more = true; more && from < to;) {
    size_t width = cks_is_blank(from[0]) ? 1 : to - from > 1 && from[0] == 0xC2 && from[1] == 0xA0 ? 2 : 0;
    from += width;
    more = width > 0;
  }
  for (bool more = true; more && from < to;) {
    size_t width = cks_is_blank(to[-1]) ? 1 : to - from > 1 && to[-2] == 0xC2 && to[-1] == 0xA0 ? 2 : 0;
    to -= width;
    more = width > 0;
  }
  *text = from;
  *n = (size_t)(to - from);
}

#endif
