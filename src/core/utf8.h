/* utf8.h: widths and cuts of UTF-8 text: one column a code point, combining marks none (wide East Asian signs count as one). */
#ifndef CKS_CORE_UTF8_H
#define CKS_CORE_UTF8_H

#include <stddef.h>
#include <stdint.h>

/* Columns that text takes; `bytes` of it, or up to its end. */
size_t cks_utf8_width(const char *text, size_t bytes);
/* Bytes of the longest head of text that takes at most `columns` columns. */
size_t cks_utf8_cut(const char *text, size_t columns);
/* The code point that text begins with and its bytes in *n; an ill-formed byte stands for itself. 0 at the end, n 0. */
uint32_t cks_utf8_next(const char *text, size_t *n);
/* Writes a code point up to 0xFFFF, 1 to 3 bytes, which are returned; no end mark. */
size_t cks_utf8_put(char *to, uint32_t point);
/* Takes ill-formed bytes out of text, such as the rest of a sign that was cut. */
void cks_utf8_mend(char *text);

#endif
