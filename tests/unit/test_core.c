/*
 * test_core.c: src/core through its contracts: numbers and dates as text, names, arena, findings, JSON.
 *
 * Day numbers are checked against the formula of POSIX.1-2017, Base Definitions, 4.16 (Seconds Since the Epoch) and
 * against days whose number other standards fix (Modified Julian Day, J2000).
 */
#include "../../src/core/json.h"
#include "../../src/core/utf8.h"
#include "support/support.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))

/* ---- numbers ---------------------------------------------------------------------------------------------------- */

typedef struct {
  double value;
  int digits;
  const char *text;
} number_case;

/* By the contract in base.h: 15 significant digits first, then half away from zero. */
static const number_case number_cases[] = {
    {92.25, 1, "92.3"},
    {-92.25, 1, "-92.3"},
    {2.675, 2, "2.68"},
    {1.005, 2, "1.01"},
    {0.05, 1, "0.1"},
    {0.05, 0, "0"},
    {0.5, 0, "1"},
    {-0.5, 0, "-1"},
    {0.04999, 1, "0.0"},
    {-0.04, 1, "0.0"},
    {-0.05, 1, "-0.1"},
    {999.95, 1, "1000.0"},
    {9.5, 0, "10"},
    {99.4999, 0, "99"},
    {0, 2, "0.00"},
    {-0.0, 1, "0.0"},
    {1e15, 1, "1e+15"},
    {-1e15, 0, "-1e+15"},
    {2.5e20, 1, "2.5e+20"},
    {0.1 + 0.2, 15, "0.300000000000000"},
    {1.0 / 3, 4, "0.3333"},
    {2.0 / 3, 0, "1"},
    {123456.789, 0, "123457"},
    {999999999999999.0, 0, "999999999999999"},
    {1e-300, 3, "0.000"},
    {0.0005, 3, "0.001"},
    {100.05 - 98.4, 1, "1.7"}, /* 1.64999999999999: a difference printed 1.6 on one machine, 1.7 on another */
    {-1.64999999999, 1, "-1.6"},
    {0.00049, 3, "0.000"},
};

static void print_number_when_given_a_value_then_it_prints_as_a_spreadsheet_shows_it(void **state)
{
  (void)state;
  char text[CKS_NUMBER_TEXT];
  for (size_t i = 0; i < COUNT(number_cases); i++)
    assert_string_equal(cks_print_number(text, number_cases[i].value, number_cases[i].digits), number_cases[i].text);
  assert_string_equal(cks_print_number(text, cks_missing(), 1), "");
  assert_true(cks_is_missing(cks_missing()));
  assert_false(cks_is_missing(0));
}

static void print_number_when_read_back_then_it_is_within_half_a_unit_of_the_last_digit(void **state)
{
  (void)state;
  test_random random = {20261};
  char text[CKS_NUMBER_TEXT];
  for (int i = 0; i < 20000; i++) {
    int digits = (int)test_below(&random, 6);
    double value = test_normal(&random) * pow(10, (double)test_below(&random, 9) - 3);
    cks_print_number(text, value, digits);
    const char *point = strchr(text, '.');
    assert_int_equal(point ? (int)strlen(point + 1) : 0, digits);
    if (fabs(atof(text) - value) > 0.5 * pow(10, -digits) * (1 + 1e-9) + 5e-12 * fabs(value))
      fail_msg("%.17g with %d digits prints as %s", value, digits, text);
  }
}

/* ---- dates ------------------------------------------------------------------------------------------------------ */

typedef struct {
  int year, month, day;
  double number;
} day_case;

static const day_case day_cases[] = {
    {1970, 1, 1, 0},        {1969, 12, 31, -1},
    {1858, 11, 17, -40587}, /* Modified Julian Day 0, IAU; the epoch is MJD 40587 */
    {2000, 1, 1, 10957},    /* J2000.0 is JD 2451545.0 at noon, IAU */
    {2001, 9, 9, 11574},    /* 10^9 seconds: floor(1e9 / 86400) */
    {2038, 1, 19, 24855},   /* 2^31 seconds: floor(2147483648 / 86400) */
    {1900, 1, 1, -25567},   {1900, 2, 28, -25509},
    {1900, 3, 1, -25508}, /* 1900 has no leap day */
    {2000, 2, 28, 11015},   {2000, 2, 29, 11016},
    {2000, 3, 1, 11017}, /* 2000 has one */
    {2023, 12, 31, 19722},  {2024, 1, 1, 19723},
    {2024, 12, 31, 20088},
};
static const day_case no_days[] = {
    {1900, 2, 29, 0}, {2100, 2, 29, 0}, {2026, 2, 29, 0}, {2024, 2, 30, 0}, {2026, 4, 31, 0},
    {2026, 0, 1, 0},  {2026, 13, 1, 0}, {2026, 1, 0, 0},  {2026, 1, 32, 0}, {2026, 6, -1, 0},
};

static void assert_date(double number, int year, int month, int day)
{
  int y, m, d;
  cks_day_date(number, &y, &m, &d);
  if (y != year || m != month || d != day)
    fail_msg("day %g is %04d-%02d-%02d, expected %04d-%02d-%02d", number, y, m, d, year, month, day);
}

static void day_number_when_a_day_is_known_then_it_agrees_both_ways(void **state)
{
  (void)state;
  double number;
  char text[CKS_NUMBER_TEXT];
  for (size_t i = 0; i < COUNT(day_cases); i++) {
    const day_case *c = &day_cases[i];
    assert_true(cks_day_number(c->year, c->month, c->day, &number));
    if (number != c->number) fail_msg("%d-%d-%d is day %g, expected %g", c->year, c->month, c->day, number, c->number);
    assert_date(c->number, c->year, c->month, c->day);
  }
  for (size_t i = 0; i < COUNT(no_days); i++)
    assert_false(cks_day_number(no_days[i].year, no_days[i].month, no_days[i].day, &number));
  assert_string_equal(cks_print_date(text, 11016), "2000-02-29");
  assert_string_equal(cks_print_date(text, cks_missing()), "");
}

/* POSIX.1-2017 4.16, in days; years is years since 1900. */
static double posix_days(int years, int day_of_year)
{
  return day_of_year + (years - 70) * 365 + (years - 69) / 4 - (years - 1) / 100 + (years + 299) / 400;
}

static void day_read_when_not_a_whole_date_then_refused(void **state)
{
  (void)state;
  static const char *const wrong[] = {"",           "2026",       "2026-8-1",    "2026-02-29",
                                      "2026-13-01", "8/1/2026",   "2026-08-01 ", " 2026-08-01",
                                      "20260801",   "2026-08-0x", "2026-00-10"};
  double number;
  assert_true(cks_day_read("2000-02-29", &number));
  assert_close(number, 11016, 0);
  for (size_t i = 0; i < sizeof wrong / sizeof *wrong; i++)
    if (cks_day_read(wrong[i], &number)) fail_msg("'%s' is read as a day", wrong[i]);
}

static void day_number_when_every_day_of_230_years_is_walked_then_none_is_lost(void **state)
{
  (void)state;
  for (int year = 1970; year < 2200; year++) {
    int day_of_year = 0;
    for (int month = 1; month <= 12; month++)
      for (int day = 1; day <= 31; day++) {
        double number;
        if (!cks_day_number(year, month, day, &number)) continue;
        if (number != posix_days(year - 1900, day_of_year++)) fail_msg("%d-%d-%d is day %g", year, month, day, number);
        assert_date(number, year, month, day);
      }
    assert_in_range(day_of_year, 365, 366);
  }
}

static void days_between_when_a_leap_day_lies_between_then_it_counts(void **state)
{
  (void)state;
  double from, to;
  assert_true(cks_day_number(2024, 2, 28, &from));
  assert_true(cks_day_number(2024, 3, 1, &to));
  assert_close(cks_days_between(from, to), 2, 0);
  assert_true(cks_is_missing(cks_days_between(from, cks_missing())));
}

/* ---- names ------------------------------------------------------------------------------------------------------ */

static void names_when_10000_are_added_then_each_is_found_under_its_own_id(void **state)
{
  (void)state;
  enum { N = 10000 };
  cks_names names = {0};
  char text[32];
  cks_id id;
  assert_int_equal(cks_names_find(&names, "x", 1), CKS_NONE);
  for (int round = 0; round < 2; round++)
    for (uint32_t i = 0; i < N; i++) {
      int n = snprintf(text, sizeof text, "Hybrid %u", i * 7919u);
      assert_int_equal(cks_names_add(&names, text, (size_t)n, &id, NULL), CKS_OK);
      assert_int_equal(id, i);
    }
  assert_int_equal(names.n, N);
  for (uint32_t i = 0; i < N; i++) {
    int n = snprintf(text, sizeof text, "Hybrid %u", i * 7919u);
    assert_int_equal(cks_names_find(&names, text, (size_t)n), i);
    assert_string_equal(cks_names_text(&names, i), text);
  }
  assert_int_equal(cks_names_find(&names, "Hybrid", 6), CKS_NONE);     /* a beginning is another text */
  assert_int_equal(cks_names_find(&names, "Hybrid 0 and more", 8), 0); /* n bytes count, no more */
  assert_string_equal(cks_names_text(&names, CKS_NONE), "");
  assert_int_equal(cks_names_add(&names, "", 0, &id, NULL), CKS_OK);
  assert_int_equal(id, N);
  cks_names_release(&names);
  assert_int_equal(names.n, 0);
}

static void names_order_when_people_read_it_then_numbers_count_as_numbers(void **state)
{
  (void)state;
  static const char *const in_order[] = {
      "",          "1",           "2",          "10",         "a 1",
      "A 2",       "a 10",        "Tamsel",     "Tamsel 8",   "tamsel 8",
      "Tamsel 15", "Tamsel 15 W", "Tamsel 15A", "Tamsel 115", "Tamsel 10000000000000000000000"};
  for (size_t i = 0; i < COUNT(in_order); i++)
    for (size_t j = 0; j < COUNT(in_order); j++) {
      int by = cks_names_compare(in_order[i], in_order[j]);
      if ((by > 0) - (by < 0) != (i > j) - (i < j))
        fail_msg("'%s' and '%s' compare as %d", in_order[i], in_order[j], by);
    }
}

/* A sort needs it: never a < b < c < a, and equal only to itself. */
static void names_order_when_texts_are_random_then_it_is_an_order(void **state)
{
  (void)state;
  static const char letters[] = "01aA -9b";
  test_random random = {20262};
  char text[3][6];
  for (int i = 0; i < 100000; i++) {
    for (int k = 0; k < 3; k++) {
      size_t n = test_below(&random, 5);
      for (size_t j = 0; j < n; j++) text[k][j] = letters[test_below(&random, sizeof letters - 1)];
      text[k][n] = '\0';
    }
    int ab = cks_names_compare(text[0], text[1]), bc = cks_names_compare(text[1], text[2]),
        ac = cks_names_compare(text[0], text[2]);
    int ba = cks_names_compare(text[1], text[0]);
    bool sound = (ab < 0) == (ba > 0) && (ab == 0) == !strcmp(text[0], text[1]) && !(ab < 0 && bc < 0 && ac >= 0);
    if (!sound) fail_msg("'%s' '%s' '%s': %d %d %d", text[0], text[1], text[2], ab, bc, ac);
  }
}

/* ---- arena ------------------------------------------------------------------------------------------------------ */

static void arena_when_pieces_are_taken_then_they_are_zeroed_aligned_and_apart(void **state)
{
  (void)state;
  static const size_t sizes[] = {1, 0, 7, 16, 4095, 4097, 3 << 20, 1, 33};
  unsigned char *piece[COUNT(sizes)];
  cks_arena *arena = cks_arena_new();
  assert_non_null(arena);
  for (size_t i = 0; i < COUNT(sizes); i++) {
    piece[i] = cks_arena_take(arena, sizes[i], 1);
    assert_non_null(piece[i]);
    assert_int_equal((uintptr_t)piece[i] % _Alignof(max_align_t), 0);
    for (size_t j = 0; j < sizes[i]; j++) assert_int_equal(piece[i][j], 0);
    memset(piece[i], (int)i + 1, sizes[i]);
  }
  for (size_t i = 0; i < COUNT(sizes); i++)
    for (size_t j = 0; j < sizes[i]; j++) assert_int_equal(piece[i][j], i + 1);
  assert_string_equal(cks_arena_text(arena, "Tamsel 8"), "Tamsel 8");
  assert_string_equal(cks_arena_format(arena, "%s %d", "line", 14), "line 14");
  assert_int_equal(cks_arena_status(arena, NULL), CKS_OK);
  cks_arena_free(arena);
}

static void arena_when_count_times_size_overflows_then_it_fails_and_remembers(void **state)
{
  (void)state;
  cks_error error = {0};
  cks_arena *arena = cks_arena_new();
  assert_null(cks_arena_take(arena, SIZE_MAX / 2, 4));
  assert_null(cks_arena_take(arena, SIZE_MAX, 1));
  assert_string_equal(cks_arena_text(arena, "still"), "still");
  assert_int_equal(cks_arena_status(arena, &error), CKS_NOMEM);
  assert_int_equal(error.status, CKS_NOMEM);
  cks_arena_free(arena);
  cks_arena_free(NULL);
}

static void error_when_set_twice_then_the_first_cause_wins(void **state)
{
  (void)state;
  cks_error error = {0};
  assert_int_equal(cks_error_set(&error, CKS_IO, "cannot open '%s'", "a.csv"), CKS_IO);
  assert_int_equal(cks_error_nomem(&error), CKS_NOMEM);
  assert_int_equal(error.status, CKS_IO);
  assert_string_equal(error.text, "cannot open 'a.csv'");
  assert_int_equal(cks_error_set(NULL, CKS_DATA, "x"), CKS_DATA);
  for (int i = 0; i < CKS_STATUS_COUNT; i++) assert_true(strlen(cks_status_text((cks_status)i)) > 3);
}

static void error_when_cut_inside_a_character_then_whole_characters_are_left(void **state)
{
  (void)state;
  cks_error error = {0};
  char text[sizeof error.text + 8];
  size_t n = 0;
  while (n + 3 < sizeof text)
    n += (size_t)snprintf(text + n, sizeof text - n, n ? "\xC3\xA9" : "x"); /* x, then e acute */
  cks_error_set(&error, CKS_DATA, "%s", text);
  assert_int_equal(strlen(error.text) % 2, 1);
  assert_int_equal(cks_utf8_width(error.text, SIZE_MAX), 1 + strlen(error.text) / 2);
}

/* ---- findings --------------------------------------------------------------------------------------------------- */

static cks_findings *two_files(void)
{
  cks_findings *findings = NULL;
  cks_id file;
  assert_int_equal(cks_findings_new(&findings, NULL), CKS_OK);
  assert_int_equal(cks_findings_file(findings, "strips.csv", &file, NULL), CKS_OK);
  assert_int_equal(file, 0);
  assert_int_equal(cks_findings_file(findings, "walk.csv", &file, NULL), CKS_OK);
  assert_int_equal(file, 1);
  return findings;
}

static void add(cks_findings *findings, cks_rule rule, cks_id file, uint32_t line, uint32_t column, const char *text)
{
  cks_where where = {file, CKS_NONE, line, column};
  assert_int_equal(cks_findings_add(findings, rule, where, NULL, NULL, NULL, "%s", text), CKS_OK);
}

static void findings_when_a_rule_is_met_25_times_in_a_file_then_20_are_kept_and_5_counted(void **state)
{
  (void)state;
  cks_findings *findings = two_files();
  for (uint32_t i = 0; i < 25; i++) {
    assert_int_equal(cks_findings_wants(findings, CKS_RULE_NOT_A_NUMBER, 0), i < CKS_FINDINGS_KEPT);
    add(findings, CKS_RULE_NOT_A_NUMBER, 0, i + 2, 4, "x");
  }
  assert_int_equal(findings->n, 20);
  assert_int_equal(findings->n_severity[CKS_ERROR], 25);
  assert_int_equal(findings->finding[19].more, 5);
  assert_int_equal(findings->finding[18].more, 0);
  add(findings, CKS_RULE_NOT_A_NUMBER, 1, 2, 4, "another file");
  add(findings, CKS_RULE_NOT_A_DATE, 0, 2, 5, "another rule");
  assert_int_equal(findings->n, 22);
  findings->limit = SIZE_MAX; /* --all-findings */
  add(findings, CKS_RULE_NOT_A_NUMBER, 0, 99, 4, "kept");
  assert_int_equal(findings->n, 23);
  cks_findings_free(findings);
}

static void findings_when_sorted_then_errors_lead_by_file_line_column_rule_and_text(void **state)
{
  (void)state;
  cks_findings *findings = two_files();
  static const char *const in_order[] = {"1", "2", "3", "4", "5", "6", "7", "8", "9"};
  add(findings, CKS_RULE_NO_CHECK, CKS_NONE, 0, 0, "9");
  add(findings, CKS_RULE_UNUSUAL_VALUE, 0, 2, 4, "8");
  add(findings, CKS_RULE_NO_TRAIT, CKS_NONE, 0, 0, "7");
  add(findings, CKS_RULE_NOT_A_DATE, 1, 1, 1, "6");
  add(findings, CKS_RULE_NOT_A_NUMBER, 0, 10, 1, "5");
  add(findings, CKS_RULE_NOT_A_DATE, 0, 9, 3, "4");
  add(findings, CKS_RULE_NOT_A_NUMBER, 0, 9, 3, "3");
  add(findings, CKS_RULE_NOT_A_NUMBER, 0, 9, 3, "2");
  add(findings, CKS_RULE_NOT_A_DATE, 0, 9, 2, "1");
  cks_findings_sort(findings);
  for (size_t i = 0; i < COUNT(in_order); i++) assert_string_equal(findings->finding[i].text, in_order[i]);
  cks_findings_free(findings);
}

static void finding_line_when_printed_then_it_names_file_line_severity_and_rule(void **state)
{
  (void)state;
  cks_findings *findings = two_files();
  cks_arena *arena = cks_arena_new();
  add(findings, CKS_RULE_NOT_A_NUMBER, 0, 14, 4, "yield holds 'n.a', expected a number or an empty cell");
  add(findings, CKS_RULE_LOCATION_FROM_FILE, 1, 0, 0, "no location");
  add(findings, CKS_RULE_NO_CHECK, CKS_NONE, 0, 0, "no check");
  findings->finding[0].more = 3;
  assert_string_equal(
      cks_finding_line(findings, &findings->finding[0], arena),
      "strips.csv:14: error: yield holds 'n.a', expected a number or an empty cell [not-a-number] (and 3 more)");
  assert_string_equal(cks_finding_line(findings, &findings->finding[1], arena),
                      "walk.csv: note: no location [location-from-file]");
  assert_string_equal(cks_finding_line(findings, &findings->finding[2], arena), "note: no check [no-check]");
  cks_arena_free(arena);
  cks_findings_free(findings);
}

static void rules_when_walked_then_each_has_its_own_name_and_a_sentence(void **state)
{
  (void)state;
  for (int i = 0; i < CKS_RULE_COUNT; i++) {
    const cks_rule_fact *fact = cks_rule_find((cks_rule)i);
    assert_int_equal(strspn(fact->name, "abcdefghijklmnopqrstuvwxyz-"), strlen(fact->name));
    assert_int_equal(fact->sentence[strlen(fact->sentence) - 1], '.');
    for (int j = 0; j < i; j++) assert_string_not_equal(fact->name, cks_rule_find((cks_rule)j)->name);
  }
}

/* ---- JSON ------------------------------------------------------------------------------------------------------- */

static cks_json *json_new(const cks_sink *sink, cks_error *error)
{
  cks_json *json = malloc(sizeof *json);
  assert_non_null(json);
  cks_json_begin(json, sink, error);
  return json;
}

static void json_when_read_back_then_every_value_is_there(void **state)
{
  (void)state;
  static const char strange[] = "tab\t quote\" back\\ bell\a line\n del\x7f caf\xc3\xa9 </x>";
  test_text text = {0};
  cks_error error = {0};
  cks_sink sink = test_sink(&text);
  cks_json *json = json_new(&sink, &error);
  char *long_text = malloc(200001);
  memset(long_text, 'x', 200000), long_text[200000] = '\0'; /* longer than the buffer */
  cks_json_object(json, NULL);
  cks_json_text(json, strange, strange);
  cks_json_text(json, "null_text", NULL);
  cks_json_text(json, "long", long_text);
  cks_json_array(json, "numbers");
  cks_json_number(json, NULL, 0.1);
  cks_json_number(json, NULL, NAN);
  cks_json_number(json, NULL, INFINITY);
  cks_json_number(json, NULL, -1e-300);
  cks_json_integer(json, NULL, INT64_MIN);
  cks_json_end(json);
  cks_json_array(json, "empty"), cks_json_end(json);
  cks_json_object(json, "empty_object"), cks_json_end(json);
  cks_json_bool(json, "yes", true);
  cks_json_null(json, "nothing");
  cks_json_end(json);
  assert_int_equal(cks_json_finish(json), CKS_OK);
  json_t *root = json_loads(text.text, JSON_REJECT_DUPLICATES, NULL);
  assert_non_null(root);
  assert_string_equal(json_string_value(json_object_get(root, strange)), strange);
  assert_string_equal(json_string_value(json_object_get(root, "long")), long_text);
  assert_true(json_is_null(json_object_get(root, "null_text")) && json_is_null(test_json(root, "numbers.1")));
  assert_true(json_is_null(test_json(root, "numbers.2")) && json_is_null(test_json(root, "nothing")));
  assert_close(test_json_number(root, "numbers.0"), 0.1, 0);
  assert_close(test_json_number(root, "numbers.3"), -1e-300, 1e-14);
  assert_true(json_integer_value(test_json(root, "numbers.4")) == INT64_MIN);
  assert_int_equal(json_array_size(test_json(root, "empty")), 0);
  assert_int_equal(json_object_size(test_json(root, "empty_object")), 0);
  assert_true(json_is_true(test_json(root, "yes")));
  json_decref(root);
  free(long_text);
  free(json);
  test_text_release(&text);
}

static cks_status refuse(void *to, const char *bytes, size_t n, cks_error *error)
{
  (void)bytes;
  (void)n;
  ++*(int *)to;
  return cks_error_set(error, CKS_IO, "the disk is full");
}

static void json_when_the_sink_fails_then_finish_returns_it_and_writes_no_more(void **state)
{
  (void)state;
  int calls = 0;
  cks_error error = {0};
  cks_sink sink = {refuse, &calls};
  cks_json *json = json_new(&sink, &error);
  cks_json_array(json, NULL);
  for (int i = 0; i < 40000; i++) cks_json_number(json, NULL, i / 7.0); /* many buffers */
  cks_json_end(json);
  assert_int_equal(cks_json_finish(json), CKS_IO);
  assert_string_equal(error.text, "the disk is full");
  assert_int_equal(calls, 1);
  free(json);
}

static void json_when_a_level_is_left_open_or_too_deep_then_finish_says_so(void **state)
{
  (void)state;
  test_text text = {0};
  cks_sink sink = test_sink(&text);
  cks_json *json = json_new(&sink, NULL);
  cks_json_object(json, NULL);
  assert_int_equal(cks_json_finish(json), CKS_INTERNAL);
  cks_json_begin(json, &sink, NULL);
  for (int i = 0; i < CKS_JSON_DEEPEST; i++) cks_json_array(json, NULL);
  for (int i = 0; i < CKS_JSON_DEEPEST; i++) cks_json_end(json);
  assert_int_equal(cks_json_finish(json), CKS_OK);
  cks_json_begin(json, &sink, NULL);
  for (int i = 0; i <= CKS_JSON_DEEPEST; i++) cks_json_array(json, NULL);
  for (int i = 0; i <= CKS_JSON_DEEPEST; i++) cks_json_end(json);
  assert_int_equal(cks_json_finish(json), CKS_INTERNAL);
  free(json);
  test_text_release(&text);
}

/* RFC 3629, section 4: the well-formed sequences, and what is one byte off from each. */
static void utf8_when_checked_then_only_well_formed_sequences_pass(void **state)
{
  (void)state;
  static const char *const good[] = {"",
                                     "plain",
                                     "\xC2\x80",
                                     "\xDF\xBF",
                                     "\xE0\xA0\x80",
                                     "\xED\x9F\xBF",
                                     "\xEE\x80\x80",
                                     "\xF0\x90\x80\x80",
                                     "\xF4\x8F\xBF\xBF"};
  static const char *const bad[] = {"\x80",
                                    "\xC1\xBF",
                                    "\xC2",
                                    "\xC2\x20",
                                    "\xE0\x9F\xBF",
                                    "\xED\xA0\x80",
                                    "\xE2\x82",
                                    "\xF0\x8F\xBF\xBF",
                                    "\xF4\x90\x80\x80",
                                    "\xF5\x80\x80\x80",
                                    "\xFF",
                                    "Caf\xE9 1"};
  for (size_t i = 0; i < sizeof good / sizeof *good; i++) assert_true(cks_is_utf8(good[i], strlen(good[i])));
  for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) assert_false(cks_is_utf8(bad[i], strlen(bad[i])));
}

static void nearest_when_a_word_has_a_slip_then_it_is_found_and_a_stranger_is_not(void **state)
{
  (void)state;
  static const char *const words[] = {"alpha", "places", "names"};
  assert_string_equal(cks_nearest("alhpa", words, 3), "alpha");
  assert_string_equal(cks_nearest("place", words, 3), "places");
  assert_null(cks_nearest("organization", words, 3));
  assert_null(cks_nearest("alpha", words, 0));
}

static void shell_word_when_a_sign_means_something_then_it_is_quoted_from_the_shell(void **state)
{
  (void)state;
  char word[CKS_SHELL_WORD], text[250];
  assert_string_equal(cks_shell_word(word, "Rep 1"), "\"Rep 1\"");
  assert_string_equal(cks_shell_word(word, "O'Dell"), "\"O'Dell\"");
  assert_string_equal(cks_shell_word(word, "a $b"), "'a $b'");
  assert_string_equal(cks_shell_word(word, "it's \"x\""), "'it'\\''s \"x\"'");
  for (size_t i = 0; i < sizeof text; i++) text[i] = "\xE2\x82\xAC"[i % 3];
  text[sizeof text - 1] = '\0';
  assert_int_equal(strlen(cks_shell_word(word, text)), 198 + 2);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(print_number_when_given_a_value_then_it_prints_as_a_spreadsheet_shows_it),
      cmocka_unit_test(print_number_when_read_back_then_it_is_within_half_a_unit_of_the_last_digit),
      cmocka_unit_test(day_number_when_a_day_is_known_then_it_agrees_both_ways),
      cmocka_unit_test(day_read_when_not_a_whole_date_then_refused),
      cmocka_unit_test(day_number_when_every_day_of_230_years_is_walked_then_none_is_lost),
      cmocka_unit_test(days_between_when_a_leap_day_lies_between_then_it_counts),
      cmocka_unit_test(names_when_10000_are_added_then_each_is_found_under_its_own_id),
      cmocka_unit_test(names_order_when_people_read_it_then_numbers_count_as_numbers),
      cmocka_unit_test(names_order_when_texts_are_random_then_it_is_an_order),
      cmocka_unit_test(utf8_when_checked_then_only_well_formed_sequences_pass),
      cmocka_unit_test(nearest_when_a_word_has_a_slip_then_it_is_found_and_a_stranger_is_not),
      cmocka_unit_test(shell_word_when_a_sign_means_something_then_it_is_quoted_from_the_shell),
      cmocka_unit_test(arena_when_pieces_are_taken_then_they_are_zeroed_aligned_and_apart),
      cmocka_unit_test(arena_when_count_times_size_overflows_then_it_fails_and_remembers),
      cmocka_unit_test(error_when_set_twice_then_the_first_cause_wins),
      cmocka_unit_test(error_when_cut_inside_a_character_then_whole_characters_are_left),
      cmocka_unit_test(findings_when_a_rule_is_met_25_times_in_a_file_then_20_are_kept_and_5_counted),
      cmocka_unit_test(findings_when_sorted_then_errors_lead_by_file_line_column_rule_and_text),
      cmocka_unit_test(finding_line_when_printed_then_it_names_file_line_severity_and_rule),
      cmocka_unit_test(rules_when_walked_then_each_has_its_own_name_and_a_sentence),
      cmocka_unit_test(json_when_read_back_then_every_value_is_there),
      cmocka_unit_test(json_when_the_sink_fails_then_finish_returns_it_and_writes_no_more),
      cmocka_unit_test(json_when_a_level_is_left_open_or_too_deep_then_finish_says_so),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
