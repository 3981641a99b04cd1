/*
 * cells.c: what one cell says: a number, a date, a mark for a missing value.
 *
 * Numbers are decimal: sign, digits, one decimal mark, an exponent; thousands marks in groups of three. Up to 18 bytes
 * without exponent whose digits fit 2^53 are exact by one division (integer and power of ten are both exact doubles);
 * the rest goes to strtod in the C locale. "nan", "inf", hexadecimal and what overflows are no numbers.
 * Dates: year first; three numbers with the year last, in both orders; day, month's name and year; where a year is
 * given for them, day and month alone. The years run from
 * 1900 to 2199, a year of two digits is of this century; a time behind the date is passed over.
 */
#include "read.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { QUICK_BYTES = 18, LONGEST_NUMBER = 400, GROUP = 3, FIRST_YEAR = 1900, LAST_YEAR = 2199, CENTURY = 2000 };
static const uint64_t EXACT_INTEGER = UINT64_C(1) << 53;
static const double power_of_ten[QUICK_BYTES + 1] = {1e0,  1e1,  1e2,  1e3,  1e4,  1e5,  1e6,  1e7,  1e8, 1e9,
                                                     1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18};

static bool is_digit(char c) { return c >= '0' && c <= '9'; }
static char lower(char c) { return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c; }

/* ---- numbers ---------------------------------------------------------------------------------------------------- */

/* Sign, digits, one mark: the usual cell. False: not of that form. */
static bool quick_number(const char *text, size_t n, char mark, cks_text_number *kind, double *value)
{
  const char *at = text, *end = text + n;
  bool negative = at < end && *at == '-';
  uint64_t digits = 0;
  if (n > QUICK_BYTES) return false;
  at += negative;
  const char *first = at;
  while (at < end && is_digit(*at)) digits = digits * 10 + (uint64_t)(*at++ - '0');
  size_t whole = (size_t)(at - first), decimals = 0;
  *kind = CKS_TEXT_PLAIN;
  if (at < end && *at == mark) {
    *kind = CKS_TEXT_MARKED;
    const char *point = at++;
    while (at < end && is_digit(*at)) digits = digits * 10 + (uint64_t)(*at++ - '0');
    decimals = (size_t)(at - point) - 1;
  }
  if (at < end || whole + decimals == 0 || digits > EXACT_INTEGER) return false;
  double size = (double)digits;
  if (decimals) size /= power_of_ten[decimals];
  *value = negative ? -size : size;
  return true;
}

/* strtod of digits and '.', whatever locale the host program has set. */
static double to_double(const char *text, locale_t c)
{
  locale_t before = uselocale(c);
  double value = strtod(text, NULL);
  uselocale(before);
  return value;
}

/* The whole grammar. The number is rewritten to `plain` (size LONGEST_NUMBER + 1) without thousands marks. */
static cks_text_number number_form(const char *text, size_t n, char mark, char group, char *plain)
{
  const char *at = text, *end = text + n;
  size_t digits = 0, run = 0, groups = 0;
  bool marked = false;
  if (n > LONGEST_NUMBER) return CKS_TEXT_NO_NUMBER;
  if (at < end && (*at == '-' || *at == '+')) *plain++ = *at++;
  for (; at < end && (is_digit(*at) || *at == group); at++) {
    if (is_digit(*at)) {
      *plain++ = *at;
      digits++;
      run++;
      continue;
    }
    if (groups ? run != GROUP : run < 1 || run > GROUP) return CKS_TEXT_NO_NUMBER;
    groups++;
    run = 0;
  }
  if (groups && run != GROUP) return CKS_TEXT_NO_NUMBER;
  if (at < end && *at == mark) {
    marked = true;
    *plain++ = '.';
    for (at++; at < end && is_digit(*at); digits++) *plain++ = *at++;
  }
  if (!digits) return CKS_TEXT_NO_NUMBER;
  if (at < end && lower(*at) == 'e') {
    *plain++ = *at++;
    if (at < end && (*at == '-' || *at == '+')) *plain++ = *at++;
    if (at == end) return CKS_TEXT_NO_NUMBER;
    while (at < end && is_digit(*at)) *plain++ = *at++;
  }
  *plain = '\0';
  if (at < end) return CKS_TEXT_NO_NUMBER;
  return marked ? CKS_TEXT_MARKED : groups ? CKS_TEXT_GROUPED : CKS_TEXT_PLAIN;
}

cks_text_number cks_read_number(const char *text, size_t n, bool decimal_comma, locale_t c, double *value)
{
  char mark = decimal_comma ? ',' : '.', group = decimal_comma ? '.' : ',', plain[LONGEST_NUMBER + 1];
  cks_text_number kind;
  if (quick_number(text, n, mark, &kind, value)) return kind;
  *value = cks_missing();
  kind = number_form(text, n, mark, group, plain);
  if (kind == CKS_TEXT_NO_NUMBER)
    return number_form(text, n, group, mark, plain) == CKS_TEXT_MARKED ? CKS_TEXT_OTHER : CKS_TEXT_NO_NUMBER;
  double number = to_double(plain, c);
  if (!isfinite(number)) return CKS_TEXT_NO_NUMBER;
  *value = number;
  return kind;
}

/* ---- marks for missing values ----------------------------------------------------------------------------------- */

static bool same_letters(const char *text, size_t n, const char *word)
{
  size_t i = 0;
  while (i < n && word[i] && lower(text[i]) == lower(word[i])) i++;
  return i == n && !word[i];
}

bool cks_cell_is_mark(const char *text, size_t n)
{
  static const char *const marks[] = {".", "-", "na", "n/a"};
  for (size_t i = 0; i < sizeof marks / sizeof *marks; i++)
    if (same_letters(text, n, marks[i])) return true;
  return false;
}

/* -99.0 is -99. */
static bool same_number(const char *text, size_t n, const char *word)
{
  double a, b;
  cks_text_number kind;
  return quick_number(text, n, '.', &kind, &a) && quick_number(word, strlen(word), '.', &kind, &b) && a == b;
}

bool cks_cell_is_named_missing(const cks_setting_list *missing, const char *text, size_t n, bool *met)
{
  for (size_t i = 0; i < missing->n; i++)
    if (same_letters(text, n, missing->pair[i].key) || same_number(text, n, missing->pair[i].key)) return met[i] = true;
  return false;
}

/* ---- marks of footnotes, rows that are no plots ----------------------------------------------------------------- */

static const char *const footnote_marks[] = {"*",        "\xE2\x80\xA0", "\xE2\x80\xA1",
                                             "\xC2\xA7", "\xC2\xB6",     "#"}; /* daggers, section, pilcrow */
enum { N_MARKS = sizeof footnote_marks / sizeof *footnote_marks };

size_t cks_cell_unmarked(const char *text, size_t n)
{
  for (bool more = true; more && n;) {
    more = false;
    for (size_t i = 0; i < N_MARKS && !more; i++) {
      size_t length = strlen(footnote_marks[i]);
      more = n >= length && !memcmp(text + n - length, footnote_marks[i], length);
      if (more) n -= length;
    }
  }
  return n;
}

bool cks_cell_is_remark(const char *text, size_t n)
{
  enum { WORDS_OF_A_SENTENCE = 5 };
  static const char *const openings[] = {"note",           "footnote", "source",  "remark",   "lsd",
                                         "means followed", "* ",       "planted", "harvested"};
  size_t spaces = 0;
  for (size_t i = 0; i < n; i++) spaces += text[i] == ' ';
  for (size_t i = 0; i < N_MARKS; i++)
    if (!strncmp(text, footnote_marks[i], strlen(footnote_marks[i]))) return true;
  for (size_t i = 0; i < sizeof openings / sizeof *openings; i++) {
    size_t length = strlen(openings[i]);
    if (n > length && same_letters(text, length, openings[i]) && strchr(" :.s", text[length])) return true;
  }
  bool item = n > 2 && (is_digit(text[0]) || (lower(text[0]) >= 'a' && lower(text[0]) <= 'z')) &&
              (text[1] == ')' || text[2] == ')') && spaces;
  return item || spaces + 1 >= WORDS_OF_A_SENTENCE;
}

/* ---- dates ------------------------------------------------------------------------------------------------------ */

/* A run of at most `most` digits at *at; its value, or -1 when there is none or it is longer. */
static int digits_at(const char **at, const char *end, int most, int *n)
{
  int value = 0;
  for (*n = 0; *at < end && is_digit(**at); ++*n, ++*at) {
    if (*n == most) return -1;
    value = value * 10 + (**at - '0');
  }
  return *n ? value : -1;
}

static void skip_spaces(const char **at, const char *end)
{
  while (*at < end && (**at == ' ' || **at == '\t')) ++*at;
}

/* Nothing more, or a time of day: " 00:00", "T00:00:00.000Z", " 12:00:00 AM". */
static bool only_time_left(const char *at, const char *end)
{
  int n, fields = 0;
  if (at == end) return true;
  if (*at != ' ' && *at != 'T') return false;
  at++;
  for (bool more = true; more; fields++) {
    int value = digits_at(&at, end, 2, &n);
    if (value < 0 || value > (fields ? 59 : 24)) return false;
    more = at < end && *at == ':' && fields < 2;
    at += more;
  }
  if (fields < 2) return false;
  if (at < end && *at == '.')
    for (at++; at < end && is_digit(*at);) at++;
  skip_spaces(&at, end);
  size_t left = (size_t)(end - at);
  return !left || same_letters(at, left, "am") || same_letters(at, left, "pm") || same_letters(at, left, "z");
}

static int full_year(int year, int n)
{
  return n == 2 ? CENTURY + year : n == 4 && year >= FIRST_YEAR && year <= LAST_YEAR ? year : -1;
}

static double day_number(int year, int month, int day)
{
  double number;
  return year > 0 && cks_day_number(year, month, day, &number) ? number : cks_missing();
}

static bool is_date_mark(char c) { return c == '-' || c == '/' || c == '.'; }

/* Year, month, day, or two numbers and the year. */
static cks_text_date date_of_numbers(const char *at, const char *end)
{
  cks_text_date date = {cks_missing(), cks_missing(), false};
  int n[3], part[3];
  char mark = '\0';
  for (int i = 0; i < 3; i++) {
    part[i] = digits_at(&at, end, 4, &n[i]);
    if (part[i] < 0) return date;
    if (i == 2) break;
    if (at == end || !is_date_mark(*at) || (i && *at != mark)) return date;
    mark = *at++;
  }
  if (!only_time_left(at, end) || n[1] > 2) return date;
  if (n[0] == 4 && n[2] <= 2) {
    date.mdy = date.dmy = day_number(full_year(part[0], 4), part[1], part[2]);
  } else if (n[0] <= 2) {
    int year = full_year(part[2], n[2]);
    date.mdy = day_number(year, part[0], part[1]);
    date.dmy = day_number(year, part[1], part[0]);
    date.dotted = mark == '.';
  }
  return date;
}

/* The month that the letters at *at name, whole or by their first three (also "sept"); 0: none. */
static int month_at(const char **at, const char *end)
{
  static const char *const months[] = {"january", "february", "march",     "april",   "may",      "june",
                                       "july",    "august",   "september", "october", "november", "december"};
  const char *from = *at;
  while (*at < end && lower(**at) >= 'a' && lower(**at) <= 'z') ++*at;
  size_t n = (size_t)(*at - from);
  for (int i = 0; i < 12; i++)
    if (same_letters(from, n, months[i]) ||
        (n == 3 && same_letters(from, 3, (char[]){months[i][0], months[i][1], months[i][2], '\0'})))
      return i + 1;
  return same_letters(from, n, "sept") ? 9 : 0;
}

/* Steps over the marks between the parts of a date with a month's name. */
static bool skip_between(const char **at, const char *end)
{
  const char *from = *at;
  while (*at < end && strchr(" -/.,", **at)) ++*at;
  return *at > from;
}

/* "5/20", "20.5.": two numbers. */
static cks_text_date day_of_numbers(const char *at, const char *end, int year)
{
  cks_text_date date = {cks_missing(), cks_missing(), false};
  int n;
  int first = digits_at(&at, end, 2, &n);
  if (first < 0 || at == end || !is_date_mark(*at)) return date;
  char mark = *at++;
  int second = digits_at(&at, end, 2, &n);
  date.dotted = mark == '.';
  if (second < 0 || (date.dotted && (at == end || *at++ != '.')) || at < end) return date;
  date.mdy = day_number(year, first, second);
  date.dmy = day_number(year, second, first);
  return date;
}

/* "May 20, 2026", "20 May 2026", "20-May-26"; with a year for it also "20 May". */
static cks_text_date date_with_name(const char *at, const char *end, int given)
{
  cks_text_date date = {cks_missing(), cks_missing(), false};
  int n_day = 0, n_year = 0, month = month_at(&at, end);
  if (month) skip_between(&at, end);
  int day = digits_at(&at, end, 2, &n_day);
  if (day < 0) return date;
  if (!month) {
    skip_between(&at, end);
    month = month_at(&at, end);
  }
  if (!month) return date;
  if (given && at == end) date.mdy = date.dmy = day_number(given, month, day);
  if (!skip_between(&at, end)) return date;
  int year = digits_at(&at, end, 4, &n_year);
  if (year < 0 || !only_time_left(at, end)) return date;
  date.mdy = date.dmy = day_number(full_year(year, n_year), month, day);
  return date;
}

cks_text_date cks_cell_date(const char *text, size_t n)
{
  cks_text_date date = date_of_numbers(text, text + n);
  return isnan(date.mdy) && isnan(date.dmy) ? date_with_name(text, text + n, 0) : date;
}

cks_text_date cks_cell_day(const char *text, size_t n, int year)
{
  cks_text_date date = {cks_missing(), cks_missing(), false};
  if (!year) return date;
  date = day_of_numbers(text, text + n, year);
  return isnan(date.mdy) && isnan(date.dmy) ? date_with_name(text, text + n, year) : date;
}
