/*
 * file.h: the only part of the library that opens paths: files as sources, and outputs that appear whole or not at all.
 */
#ifndef CHECKSTRIP_FILE_H
#define CHECKSTRIP_FILE_H

#include <checkstrip/base.h>

/* Opens path for reading; source->name is path itself, which must outlive it. CKS_IO with the reason (a folder too). */
CKS_API cks_status cks_file_open(const char *path, cks_source *source, cks_error *error);
CKS_API void cks_file_close(cks_source *source); /* an unopened (all zero) one is fine */
/* Do two paths name one regular file, by whatever spelling or link, or one that would come into being? */
CKS_API bool cks_file_same(const char *a, const char *b);

/* An output: bytes go to a temporary file beside path; close checks them; commit renames it over path (a link's target is
 * followed, a replaced file's mode is kept). A path that is no regular file (a device, a pipe) is written straight. */
typedef struct cks_output cks_output;
CKS_API cks_status cks_output_open(const char *path, cks_output **out, cks_error *error);
CKS_API cks_sink cks_output_sink(cks_output *output);
CKS_API const char *cks_output_scratch(const cks_output *output); /* the temporary name, for writers that want a path */
CKS_API cks_status cks_output_close(cks_output *output, cks_error *error);  /* all bytes on their way, checked */
CKS_API cks_status cks_output_commit(cks_output *output, cks_error *error); /* after close: rename */
CKS_API void cks_output_free(cks_output *output); /* removes the temporary file unless committed; NULL is fine */

/* A sink on standard output; cks_file_flush_stdout() says whether all of it arrived. */
CKS_API cks_sink cks_file_stdout(void);
CKS_API cks_status cks_file_flush_stdout(cks_error *error);

#endif
