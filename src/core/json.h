/*
 * json.h: JSON written as a stream (RFC 8259), so that no tree of a large result is ever held.
 *
 * The first failure of the sink is kept; every later call does nothing; cks_json_finish() returns it. In an object each
 * value takes its key, in an array key is NULL. Numbers are written to 15 significant digits; a missing one is null.
 */
#ifndef CKS_CORE_JSON_H
#define CKS_CORE_JSON_H

#include "stream.h"

enum { CKS_JSON_DEEPEST = 32 };

typedef struct {
  cks_stream stream;
  int depth;
  int row;                       /* depth of the row that is open; 0: none */
  char close[CKS_JSON_DEEPEST];  /* '}' or ']' that ends each open level */
  bool filled[CKS_JSON_DEEPEST]; /* the level holds a value already */
} cks_json;

void cks_json_begin(cks_json *json, const cks_sink *sink, cks_error *error);
void cks_json_object(cks_json *json, const char *key);
void cks_json_row(cks_json *json, const char *key); /* an object that stands on one line with all it holds */
void cks_json_array(cks_json *json, const char *key);
void cks_json_list(cks_json *json, const char *key); /* an array that stands on one line with all it holds */
void cks_json_end(cks_json *json);                                     /* the innermost object or array */
void cks_json_text(cks_json *json, const char *key, const char *text); /* NULL: null */
const char *cks_json_given(const char *text); /* NULL for "" and NULL: what is not given is null */
void cks_json_number(cks_json *json, const char *key, double value);
void cks_json_integer(cks_json *json, const char *key, int64_t value);
void cks_json_count(cks_json *json, const char *key, uint32_t count); /* 0: null */
void cks_json_bool(cks_json *json, const char *key, bool value);
void cks_json_null(cks_json *json, const char *key);
/* Numbers of a struct by key, in the order of a table. */
typedef struct {
  const char *key;
  size_t at; /* offset of a double */
} cks_json_figure;
void cks_json_figures(cks_json *json, size_t n, const cks_json_figure *figures, const void *from);
cks_status cks_json_finish(cks_json *json); /* closes nothing: CKS_INTERNAL when a level is still open */

#endif
