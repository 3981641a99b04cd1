/* stream.c: see stream.h. */
#include "stream.h"

#include <string.h>

static void flush(cks_stream *stream)
{
  if (stream->status == CKS_OK && stream->used)
    stream->status = stream->sink->put(stream->sink->to, stream->buffer, stream->used, stream->error);
  stream->used = 0;
}

void cks_stream_begin(cks_stream *stream, const cks_sink *sink, cks_error *error)
{
  stream->sink = sink;
  stream->error = error;
  stream->status = CKS_OK;
  stream->used = 0;
}

void cks_stream_put(cks_stream *stream, const char *bytes, size_t n)
{
  while (n > CKS_STREAM_BUFFER - stream->used && stream->status == CKS_OK) {
    size_t part = CKS_STREAM_BUFFER - stream->used;
    memcpy(stream->buffer + stream->used, bytes, part);
    stream->used += part;
    bytes += part;
    n -= part;
    flush(stream);
  }
  if (stream->status != CKS_OK) return;
  memcpy(stream->buffer + stream->used, bytes, n);
  stream->used += n;
}

cks_status cks_stream_end(cks_stream *stream)
{
  flush(stream);
  return stream->status;
}
