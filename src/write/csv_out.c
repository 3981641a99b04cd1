/* csv_out.c: see csv_out.h. */
#include "csv_out.h"

#include <checkstrip/base.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

static void put(cks_csv_out *out, const char *bytes, size_t n) { cks_stream_put(&out->stream, bytes, n); }

void cks_csv_text(cks_csv_out *out, const char *text)
{
  if (out->begun) put(out, ",", 1);
  out->begun = true;
  if (!text) return;
  size_t n = strlen(text);
  bool blank_ends = n && (text[0] == ' ' || text[n - 1] == ' ');
  if (!blank_ends && !strpbrk(text, ",\"\r\n")) {
    put(out, text, n);
    return;
  }
  put(out, "\"", 1);
  for (const char *c = text; *c; c++) {
    put(out, c, 1);
    if (*c == '"') put(out, c, 1);
  }
  put(out, "\"", 1);
}

void cks_csv_number(cks_csv_out *out, double value)
{
  char text[CKS_NUMBER_TEXT] = "";
  if (isfinite(value)) snprintf(text, sizeof text, "%.15g", value);
  cks_csv_text(out, text);
}

void cks_csv_row_end(cks_csv_out *out)
{
  put(out, "\n", 1);
  out->begun = false;
}
