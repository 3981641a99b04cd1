/*
 * stream.h: bytes gathered on their way to a sink. The first failure is kept in status; nothing is put after it.
 */
#ifndef CKS_CORE_STREAM_H
#define CKS_CORE_STREAM_H

#include <checkstrip/base.h>

enum { CKS_STREAM_BUFFER = 1 << 15 };

typedef struct {
  const cks_sink *sink;
  cks_error *error;
  cks_status status;
  size_t used;
  char buffer[CKS_STREAM_BUFFER];
} cks_stream;

void cks_stream_begin(cks_stream *stream, const cks_sink *sink, cks_error *error);
void cks_stream_put(cks_stream *stream, const char *bytes, size_t n);
cks_status cks_stream_end(cks_stream *stream); /* what is gathered goes; the status */

#endif
