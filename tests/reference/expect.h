/*
 * expect.h: figures that the JSON of a run must hold, from a file of rows
 *   run,path,value,digits,from
 *
 * - path: members of the JSON split by '.', elements of an array by index or by a member, as `anova[source=error].ss`
 * - digits: significant digits that must agree (off by half a unit of the last at most); `exact` for text, true, false,
 *   null; `holds` for a text that must hold the value
 * - from: computed, printed (read in the source) or recalled (the printed figure from memory); SOURCE.md tells more
 */
#ifndef CKS_TEST_EXPECT_H
#define CKS_TEST_EXPECT_H

#include "support/support.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { EXPECT_MOST_SHOWN = 40 }; /* differences printed a run */

/* ---- paths ------------------------------------------------------------------------------------------------------ */

/* The value at path; NULL when there is none. */
static inline json_t *expected_find(json_t *root, const char *path)
{
  json_t *at = root;
  char word[64], text[64];
  for (const char *rest = path; *rest && at; rest += *rest == '.') {
    size_t n = strcspn(rest, ".[");
    snprintf(word, sizeof word, "%.*s", (int)n, rest);
    at = json_is_array(at) ? json_array_get(at, strtoul(word, NULL, 10)) : json_object_get(at, word);
    rest += n;
    if (*rest != '[') continue;
    size_t key = strcspn(++rest, "="), end = strcspn(rest, "]");
    assert_true(key < end && rest[end] == ']');
    snprintf(word, sizeof word, "%.*s", (int)key, rest);
    snprintf(text, sizeof text, "%.*s", (int)(end - key - 1), rest + key + 1);
    at = test_json_with(at, word, text);
    rest += end + 1;
  }
  return at;
}

/* ---- values ----------------------------------------------------------------------------------------------------- */

/* Half a unit of the last of so many significant digits; the slack lets a figure on the very edge round either way. */
static inline bool expected_digits(double actual, double expected, int digits)
{
  double place = expected == 0 ? 0 : floor(log10(fabs(expected)));
  return fabs(actual - expected) <= 0.5 * pow(10, place + 1 - digits) * (1 + 1e-6);
}

static inline bool expected_value(const json_t *actual, const char *expected, const char *digits)
{
  if (!strcmp(digits, "holds")) return json_is_string(actual) && strstr(json_string_value(actual), expected);
  if (strcmp(digits, "exact")) {
    int n = atoi(digits);
    assert_in_range(n, 1, 15);
    return json_is_number(actual) && expected_digits(json_number_value(actual), strtod(expected, NULL), n);
  }
  if (!strcmp(expected, "null")) return json_is_null(actual);
  if (!strcmp(expected, "true")) return json_is_true(actual);
  if (!strcmp(expected, "false")) return json_is_false(actual);
  return json_is_string(actual) && !strcmp(json_string_value(actual), expected);
}

/* True when the row's figure agrees; else prints what differs. */
static inline bool expected_row(json_t *root, const char *path, const char *value, const char *digits, const char *from)
{
  const json_t *actual = expected_find(root, path);
  if (actual && expected_value(actual, value, digits)) return true;
  char *text = actual ? json_dumps(actual, JSON_ENCODE_ANY) : NULL;
  print_error("%s is %s, expected %s (digits %s, %s)\n", path, text ? text : "not there", value, digits, from);
  free(text);
  return false;
}

/* ---- rows ------------------------------------------------------------------------------------------------------- */

/* Splits a line of n cells in place; false when it has another number of them. */
static inline bool expected_split(char *line, char **cell, size_t n)
{
  for (size_t i = 0; i < n; i++) {
    cell[i] = line;
    line += strcspn(line, ",\r");
    if (i + 1 < n && *line != ',') return false;
    if (i + 1 == n && *line == ',') return false;
    if (*line) *line++ = '\0';
  }
  return true;
}

/* Fails unless the rows of the file that belong to the run, one at least, agree. */
static inline void expected_agrees(json_t *root, const char *path, const char *run)
{
  enum { RUN, PATH, VALUE, DIGITS, FROM, N_CELL };
  char *cell[N_CELL], *expect = test_read_file(path);
  size_t n_row = 0, n_differ = 0;
  for (char *line = expect, *next; *line; line = next) {
    next = line + strcspn(line, "\n");
    if (*next) *next++ = '\0';
    if (!expected_split(line, cell, N_CELL)) fail_msg("%s: not five cells: %s", path, line);
    if (strcmp(cell[RUN], run)) continue;
    n_row++;
    if (n_differ < EXPECT_MOST_SHOWN && !expected_row(root, cell[PATH], cell[VALUE], cell[DIGITS], cell[FROM]))
      n_differ++;
  }
  free(expect);
  assert_true(n_row > 0);
  assert_int_equal(n_differ, 0);
}

#endif
