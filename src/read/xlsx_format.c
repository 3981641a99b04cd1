/*
 * xlsx_format.c: what a number format makes of a number: a date, a time of day, a percent, or the number itself.
 *
 * Formats by number and the signs of a format code: ECMA-376 part 1, 18.8.30 and 18.8.31. Only the first section of a
 * code counts. Serial days: 1 is 1900-01-01 and 60 the 29 February 1900 that never was, or 0 is 1904-01-01.
 */
#include "../core/utf8.h"
#include "xlsx_parts.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { PLAIN_DIGITS = 15, MINUTES = 24 * 60, LAST_SERIAL = 2958465 /* 9999-12-31 */ };

static bool is_digit(char c) { return c >= '0' && c <= '9'; }
static char lower(char c) { return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c; }

/* ---- format codes ------------------------------------------------------------------------------------------------ */

typedef struct {
  bool day, month, clock, percent, other; /* signs met */
  size_t zeros;
  char *literal; /* size CKS_SHOWN_LITERAL */
  size_t n;
} code_signs;

static void add_literal(code_signs *signs, const char *text, size_t n)
{
  while (n-- > 0 && signs->n < CKS_SHOWN_LITERAL - 1) signs->literal[signs->n++] = *text++;
}

/* [Red], [$USD-409], [>100] or [h], which counts hours; at stands behind '['. */
static const char *bracket(code_signs *signs, const char *at)
{
  size_t n = strcspn(at, "]");
  bool clock = n > 0;
  for (size_t i = 0; i < n; i++) clock = clock && strchr("hms", lower(at[i]));
  signs->clock = signs->clock || clock;
  if (*at == '$') add_literal(signs, at + 1, strcspn(at + 1, "-]"));
  return at + n + (at[n] == ']');
}

/* One sign of the code at `at`; returns what follows. */
static const char *take_sign(code_signs *signs, const char *at)
{
  char c = lower(*at++);
  size_t n;
  switch (c) {
  case '"':
    n = strcspn(at, "\"");
    add_literal(signs, at, n);
    return at + n + (at[n] == '"');
  case '[':
    return bracket(signs, at);
  case '\\':
    add_literal(signs, at, 1);
    return at + (*at != '\0');
  case '_':
  case '*':
    return at + (*at != '\0');
  case 'y':
  case 'd':
    signs->day = true;
    break;
  case 'm':
    signs->month = true;
    break;
  case 'h':
  case 's':
    signs->clock = true;
    break;
  case '%':
    signs->percent = true;
    break;
  case '0':
    signs->zeros++;
    break;
  default:
    signs->other = true;
  }
  return at;
}

/* Words are worth a note when they hold a letter or a percent sign. */
static bool says_something(const char *literal)
{
  bool says = false;
  for (; *literal; literal++)
    says = says || *literal == '%' || (lower(*literal) >= 'a' && lower(*literal) <= 'z') ||
           (unsigned char)*literal >= 0x80;
  return says;
}

cks_shown cks_shown_of_code(const char *code, char *literal)
{
  code_signs signs = {.literal = literal};
  cks_shown shown = {CKS_SHOWN_PLAIN, 0, NULL};
  memset(literal, 0, CKS_SHOWN_LITERAL);
  if (strncmp(code, "General", strlen("General"))) /* its letters are none of a code; words may follow it */
    while (*code && *code != ';') code = take_sign(&signs, code);
  else
    for (code += strlen("General"); *code && *code != ';';) code = take_sign(&signs, code);
  if (signs.day || (signs.month && !signs.clock))
    shown.kind = CKS_SHOWN_DATE;
  else if (signs.clock)
    shown.kind = CKS_SHOWN_TIME;
  else if (signs.percent)
    shown.kind = CKS_SHOWN_PERCENT;
  else if (signs.zeros > 1 && !signs.other && signs.zeros <= PLAIN_DIGITS)
    shown = (cks_shown){CKS_SHOWN_PADDED, (uint8_t)signs.zeros, NULL};
  if (shown.kind == CKS_SHOWN_DATE || shown.kind == CKS_SHOWN_TIME || !says_something(literal)) *literal = '\0';
  cks_utf8_mend(literal); /* it may be cut short */
  return shown;
}

cks_shown cks_shown_built_in(uint32_t id)
{
  bool date = (id >= 14 && id <= 17) || id == 22 || (id >= 27 && id <= 36) || (id >= 50 && id <= 58);
  bool clock = (id >= 18 && id <= 21) || (id >= 45 && id <= 47);
  cks_shown shown = {CKS_SHOWN_PLAIN, 0, NULL};
  shown.kind = date                  ? CKS_SHOWN_DATE
               : clock               ? CKS_SHOWN_TIME
               : id == 9 || id == 10 ? CKS_SHOWN_PERCENT
                                     : CKS_SHOWN_PLAIN;
  return shown;
}

/* ---- numbers ----------------------------------------------------------------------------------------------------- */

/* A sign and at most 15 digits with one point: as a person would write it already. */
static bool is_plain(const char *text, size_t n)
{
  size_t digits = 0, points = 0, i = n > 0 && text[0] == '-';
  if (i == n || (text[i] == '0' && i + 1 < n && text[i + 1] != '.')) return false;
  for (; i < n; i++) {
    if (is_digit(text[i]))
      digits++;
    else if (text[i] == '.' && digits)
      points++;
    else
      return false;
  }
  return digits <= PLAIN_DIGITS && points <= 1 && text[n - 1] != '.';
}

/* At most 15 significant digits, as every spreadsheet shows it. */
static size_t print_shortest(char into[CKS_SHOWN_TEXT], double value)
{
  if (value == 0) value = 0; /* no "-0" */
  int n = fabs(value) >= 1e15 && fabs(value) <= 9007199254740992.0 && value == floor(value)
              ? snprintf(into, CKS_SHOWN_TEXT, "%.0f", value)
              : snprintf(into, CKS_SHOWN_TEXT, "%.15g", value);
  return (size_t)n;
}

static size_t print_date(const cks_number_style *style, char into[CKS_SHOWN_TEXT], double serial)
{
  double day = floor(serial), first, number;
  if (!style->date_1904 && day == 60) return (size_t)snprintf(into, CKS_SHOWN_TEXT, "1900-02-29");
  if (style->date_1904)
    cks_day_number(1904, 1, 1, &first);
  else
    cks_day_number(1899, 12, day < 60 ? 31 : 30, &first);
  number = first + day;
  cks_print_date(into, number);
  return strlen(into);
}

static size_t print_time(char into[CKS_SHOWN_TEXT], double serial)
{
  double minutes = floor(serial * MINUTES + 0.5), hours = floor(minutes / 60);
  return (size_t)snprintf(into, CKS_SHOWN_TEXT, "%02.0f:%02.0f", hours, minutes - hours * 60);
}

static size_t print_value(const cks_number_style *style, const cks_shown *shown, double value,
                          char into[CKS_SHOWN_TEXT])
{
  size_t n;
  bool serial = value >= 0 && value < (double)LAST_SERIAL + 1;
  if (shown->kind == CKS_SHOWN_DATE && serial) return print_date(style, into, value);
  if (shown->kind == CKS_SHOWN_TIME && serial) return print_time(into, value);
  if (shown->kind == CKS_SHOWN_PADDED && value >= 0 && value < 1e15 && value == floor(value))
    return (size_t)snprintf(into, CKS_SHOWN_TEXT, "%0*.0f", shown->width, value);
  n = print_shortest(into, shown->kind == CKS_SHOWN_PERCENT ? value * 100 : value);
  if (shown->kind == CKS_SHOWN_PERCENT) into[n++] = '%';
  return n;
}

size_t cks_shown_number(const cks_number_style *style, const cks_shown *shown, const char *text, size_t n,
                        char into[CKS_SHOWN_TEXT])
{
  if (n < CKS_SHOWN_TEXT && shown->kind == CKS_SHOWN_PLAIN && is_plain(text, n)) {
    memcpy(into, text, n);
  } else {
    locale_t before = uselocale(style->c);
    char *end;
    double value = strtod(text, &end);
    if (end == text + n && isfinite(value)) {
      n = print_value(style, shown, value, into);
    } else {
      n = n < CKS_SHOWN_TEXT ? n : CKS_SHOWN_TEXT - 1;
      memcpy(into, text, n);
    }
    uselocale(before);
  }
  char *point = style->mark != '.' ? memchr(into, '.', n) : NULL;
  if (point) *point = style->mark;
  return n;
}
