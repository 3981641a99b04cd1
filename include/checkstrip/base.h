/*
 * base.h: what every part needs: status, error, arena, names, sources and sinks, numbers as text.
 */
#ifndef CHECKSTRIP_BASE_H
#define CHECKSTRIP_BASE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define CKS_API __attribute__((visibility("default")))
#if defined(__GNUC__)
#define CKS_PRINTF(format_at, first_at) __attribute__((format(printf, format_at, first_at)))
#else
#define CKS_PRINTF(format_at, first_at)
#endif

#define CKS_VERSION "0.1.0"

/* ---- status and error ---------------------------------------------------------------------------------------- */

/* One list: the status and the sentence that stands for it. OK is 0. */
#define CKS_STATUSES(X)                                                                                               \
  X(OK, "done")                                                                                                       \
  X(NOMEM, "out of memory")                                                                                           \
  X(IO, "a file could not be read or written")                                                                        \
  X(SYNTAX, "a file is not laid out as it should be")                                                                 \
  X(DATA, "the data hold errors")                                                                                     \
  X(MODEL, "no trait gave a result")                                                                                  \
  X(NUMERIC, "the arithmetic failed")                                                                                 \
  X(LIMIT, "a limit was passed")                                                                                      \
  X(USAGE, "the call is wrong")                                                                                       \
  X(INTERNAL, "a fault in the program")

#define CKS_STATUS_ENUM(id, text) CKS_##id,
typedef enum { CKS_STATUSES(CKS_STATUS_ENUM) CKS_STATUS_COUNT } cks_status;
#undef CKS_STATUS_ENUM

/* Owned by the caller, may be NULL wherever one is taken. The first cause wins. All zero: no error. */
typedef struct {
  cks_status status;
  char text[512]; /* lower case, cause first, no full stop */
} cks_error;

CKS_API const char *cks_status_text(cks_status status);
/* Fills *error unless it is NULL or holds an earlier cause; returns status, so that `return cks_error_set(...)` works. */
CKS_API cks_status cks_error_set(cks_error *error, cks_status status, const char *format, ...) CKS_PRINTF(3, 4);
CKS_API cks_status cks_error_nomem(cks_error *error); /* CKS_NOMEM with its standing text */

/* ---- arena: memory that is freed all at once ------------------------------------------------------------------- */

typedef struct cks_arena cks_arena;
CKS_API cks_arena *cks_arena_new(void); /* NULL: out of memory */
CKS_API void cks_arena_free(cks_arena *arena);
/* count * size zeroed bytes, aligned for any type; NULL when memory is short or the product overflows. */
CKS_API void *cks_arena_take(cks_arena *arena, size_t count, size_t size);
/* Copies. They never return NULL: when memory is short they return "" and the arena remembers, see cks_arena_status. */
CKS_API char *cks_arena_text(cks_arena *arena, const char *text);
CKS_API char *cks_arena_format(cks_arena *arena, const char *format, ...) CKS_PRINTF(2, 3);
/* CKS_NOMEM once any call on this arena has failed, else CKS_OK: asked once, at the end of a piece of building. */
CKS_API cks_status cks_arena_status(const cks_arena *arena, cks_error *error);

/* ---- names: each text once ------------------------------------------------------------------------------------- */

typedef uint32_t cks_id; /* index into a cks_names or an array that says so */
#define CKS_NONE UINT32_MAX /* not given */

typedef struct {
  char *text;       /* size `size`, `used` of it filled: the texts, each ended by NUL */
  uint32_t *at;     /* size n_at, n of it filled: where text i begins */
  cks_id *slot;     /* size n_slot (a power of two): open addressing, CKS_NONE = free */
  size_t n, n_at, n_slot, used, size;
} cks_names; /* all zero: empty and ready */

CKS_API void cks_names_release(cks_names *names);
/* The id of text (n bytes, no NUL inside), new or old, in *id. CKS_NOMEM, CKS_LIMIT (4 GiB of text). */
CKS_API cks_status cks_names_add(cks_names *names, const char *text, size_t n, cks_id *id, cks_error *error);
CKS_API cks_id cks_names_find(const cks_names *names, const char *text, size_t n); /* CKS_NONE: not there */
CKS_API const char *cks_names_text(const cks_names *names, cks_id id);             /* "" for CKS_NONE */
/* Order for people: no case, digits by their number (Tamsel 8 before Tamsel 15); ties by bytes. <0, 0, >0. */
CKS_API int cks_names_compare(const char *a, const char *b);
enum { CKS_NAMES_FOLDED = 256 };
/* The first n bytes of text in lower case without spaces and punctuation (but + . / & # '): equal for spellings that are
 * one name. Too long a text ends in a hash of the whole. */
CKS_API void cks_names_fold(const char *text, size_t n, char into[CKS_NAMES_FOLDED]);
/* text as one word of a command line, in quotes, for a message that names the command; a long text is cut. */
enum { CKS_SHELL_WORD = 1024 };
CKS_API const char *cks_shell_word(char into[CKS_SHELL_WORD], const char *text);
/* "plots/cold-draw.csv" -> "cold-draw": where it begins, *n its length. */
CKS_API const char *cks_names_stem(const char *path, size_t *n);

/* True when the n bytes of text are well-formed UTF-8. */
CKS_API bool cks_is_utf8(const char *text, size_t n);
/* The word of n words that is closest to text, when close enough to be meant (one slip in three letters); else NULL. */
CKS_API const char *cks_nearest(const char *text, const char *const *words, size_t n);

/* ---- sources and sinks ----------------------------------------------------------------------------------------- */

typedef struct {
  const char *name;                                        /* as findings print it */
  ptrdiff_t (*read)(void *from, char *bytes, size_t n);    /* bytes read, 0 at the end, -1 I/O error */
  void *from;
} cks_source;

typedef struct {
  cks_status (*put)(void *to, const char *bytes, size_t n, cks_error *error);
  void *to;
} cks_sink;

typedef struct {
  cks_id file, sheet;    /* file: index into cks_findings.file; sheet CKS_NONE for CSV */
  uint32_t line, column; /* 1-based, 0 = none */
} cks_where;

/* ---- numbers --------------------------------------------------------------------------------------------------- */

#define CKS_NUMBER_TEXT 48 /* bytes that hold any printed number */

/* Missing is NaN inside; this is the one place that asks. */
CKS_API bool cks_is_missing(double value);
CKS_API double cks_missing(void);
/* value as text with `digits` decimals (0 to 15): taken to 15 significant digits, then half away from zero, as a
 * spreadsheet shows it (92.25 with 1 is 92.3). "-0.0" prints as "0.0". Sizes beyond 1e15 print as %.15g.
 * Missing prints as "". Returns into. */
CKS_API const char *cks_print_number(char into[CKS_NUMBER_TEXT], double value, int digits);
/* Day number (days since 1970-01-01, proleptic Gregorian) and back; false when there is no such day. */
CKS_API bool cks_day_number(int year, int month, int day, double *number);
CKS_API void cks_day_date(double number, int *year, int *month, int *day);
/* The day number of a text that is YYYY-MM-DD and nothing else; false when it is none. */
CKS_API bool cks_day_read(const char *text, double *number);
CKS_API const char *cks_print_date(char into[CKS_NUMBER_TEXT], double number); /* YYYY-MM-DD; "" when missing */

#endif
