/* support.h: what the test programs share: sources and sinks in memory, runs from text to JSON, comparisons, random numbers. */
#ifndef CKS_TEST_SUPPORT_H
#define CKS_TEST_SUPPORT_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <checkstrip.h>
#include <jansson.h>

/* Group setup of programs that call the analysis without a run. */
int test_start(void **state);

/* ---- memory as files -------------------------------------------------------------------------------------------- */
typedef struct {
  const char *bytes;
  size_t n, at;
} test_bytes;
cks_source test_source(const char *name, test_bytes *bytes); /* reads bytes from its beginning */

typedef struct {
  char *text; /* ended by NUL */
  size_t n, room;
} test_text;
cks_sink test_sink(test_text *into);
void test_text_release(test_text *text);

char *test_read_file(const char *path); /* malloc; fails the test when it cannot be read */

/* ---- runs ------------------------------------------------------------------------------------------------------- */
typedef struct {
  cks_status status;
  cks_error error;
  cks_findings *findings;
  json_t *json; /* NULL when nothing was analyzed */
} test_run;
/* csv (NUL-ended) through cks_run() to JSON; places may be NULL. Name of the source: "plots.csv". */
test_run test_run_csv(const cks_settings *settings, const char *csv, const char *places);
void test_run_release(test_run *run);
/* The traits of the JSON of a run over several files with default settings: what follows the inputs, what was left out and
 * the findings. malloc; fails the test, with the findings, when the run does. */
typedef struct {
  const char *name, *text;
} test_file;
char *test_traits(size_t n, const test_file *files);
/* The first finding of a rule; NULL when there is none. */
const cks_finding *test_finding(const cks_findings *findings, cks_rule rule);

/* ---- JSON by path: "traits.0.across.lsd"; fails the test when the path is not there ----------------------------- */
json_t *test_json(json_t *root, const char *path);
double test_json_number(json_t *root, const char *path); /* NaN for null */
/* The element of an array whose member key is text; NULL when there is none. */
json_t *test_json_with(json_t *array, const char *key, const char *text);

/* ---- comparisons (cmocka compares reals as float) --------------------------------------------------------------- */
bool test_close(double actual, double expected, double relative); /* NaN equals NaN */
#define assert_close(actual, expected, relative)                                                                       \
  test_assert_close((actual), (expected), (relative), #actual, __FILE__, __LINE__)
void test_assert_close(double actual, double expected, double relative, const char *what, const char *file, int line);

/* ---- random numbers for properties: the seed is printed by the test --------------------------------------------- */
typedef struct {
  uint64_t state;
} test_random;
double test_uniform(test_random *random);             /* (0, 1) */
double test_normal(test_random *random);              /* mean 0, variance 1 */
uint32_t test_below(test_random *random, uint32_t n); /* 0 .. n-1 */

#endif
