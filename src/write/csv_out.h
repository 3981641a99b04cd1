/* csv_out.h: cells and rows of CSV into a sink, quoted as RFC 4180 says. */
#ifndef CKS_WRITE_CSV_OUT_H
#define CKS_WRITE_CSV_OUT_H

#include "../core/stream.h"

typedef struct {
  cks_stream stream;
  bool begun; /* the row holds a cell already */
} cks_csv_out;

void cks_csv_text(cks_csv_out *out, const char *text); /* NULL: an empty cell */
void cks_csv_number(cks_csv_out *out, double value);   /* 15 significant digits; missing: an empty cell */
void cks_csv_row_end(cks_csv_out *out);

#endif
