/* test_sheet_names.c: names of sheets against the rules of the file format (ECMA-376, and the limits that spreadsheets
 * state: 31 characters, none of []:*?/\, no apostrophe at an end, "History" kept, unique without case). */
#include "support/support.h"

#include "../../src/write/sheet_names.h"

#include <string.h>
#include <strings.h>

static void assert_name(const char *title, const char *expected)
{
  cks_sheet_name name;
  cks_sheet_name_make(title, 0, NULL, name);
  assert_string_equal(name, expected);
}

static void name_when_legal_then_kept(void **state)
{
  (void)state;
  assert_name("Cold Draw", "Cold Draw");
  assert_name("\303\211b\303\250ne", "\303\211b\303\250ne");
}

static void name_when_signs_are_forbidden_then_blanks(void **state)
{
  (void)state;
  assert_name("a[b]c:d*e?f/g\\h", "a b c d e f g h");
  assert_name("  : lead and trail ? ", "lead and trail");
  assert_name("tab\there", "tab here");
}

static void name_when_apostrophe_then_curly(void **state)
{
  (void)state;
  assert_name("'O'Neil'", "\342\200\231O\342\200\231Neil\342\200\231");
}

static void name_when_nothing_is_left_then_sheet(void **state)
{
  (void)state;
  assert_name("", "Sheet");
  assert_name("[]:*?/\\", "Sheet");
}

static void name_when_history_then_another(void **state)
{
  (void)state;
  assert_name("HISTORY", "HISTORY (2)");
}

static void name_when_long_then_31_units(void **state)
{
  (void)state;
  assert_name("1234567890123456789012345678901234567890", "1234567890123456789012345678901");
  /* U+1F33E counts as two UTF-16 units: fifteen of them fit, sixteen do not */
  char title[20 * 4 + 1] = "", expected[15 * 4 + 1] = "";
  for (int i = 0; i < 20; i++) strcat(title, "\360\237\214\276");
  for (int i = 0; i < 15; i++) strcat(expected, "\360\237\214\276");
  assert_name(title, expected);
}

static void names_when_alike_without_case_then_numbered(void **state)
{
  (void)state;
  static const char *const titles[] = {"Creek",
                                       "CREEK",
                                       "creek",
                                       "\303\211b",
                                       "\303\251B",
                                       "\320\227",
                                       "\320\267",
                                       "A place whose name is far too long",
                                       "A place whose name is far too long to differ"};
  enum { N = sizeof titles / sizeof *titles };
  cks_sheet_name names[N];
  for (size_t i = 0; i < N; i++) cks_sheet_name_make(titles[i], i, (const cks_sheet_name *)names, names[i]);
  assert_string_equal(names[1], "CREEK (2)");
  assert_string_equal(names[2], "creek (3)");
  assert_string_equal(names[4], "\303\251B (2)");
  assert_string_equal(names[6], "\320\267 (2)");
  assert_string_equal(names[8], "A place whose name is far t (2)");
  for (size_t i = 0; i < N; i++)
    for (size_t k = 0; k < i; k++) assert_int_not_equal(strcasecmp(names[i], names[k]), 0);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(name_when_legal_then_kept),
      cmocka_unit_test(name_when_signs_are_forbidden_then_blanks),
      cmocka_unit_test(name_when_apostrophe_then_curly),
      cmocka_unit_test(name_when_nothing_is_left_then_sheet),
      cmocka_unit_test(name_when_history_then_another),
      cmocka_unit_test(name_when_long_then_31_units),
      cmocka_unit_test(names_when_alike_without_case_then_numbered),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
