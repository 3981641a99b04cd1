/* say.c: findings at a row, names folded for comparison, lists in words, and a stable sort: shared by the rules. */
#include "audit.h"

#include "../agronomy/words.h"

#include <ctype.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

enum { LONGEST_TEXT = 1024, SMALL_RUN = 12, SHORTEST_NEAR = 4 };

cks_status cks_audit_say(cks_audit_work *work, cks_rule rule, size_t row, const cks_column *column, const char *cell,
                         const char *format, ...)
{
  cks_audit_at at = {row, cks_table_where(work->table, column, row), column ? column->heading : NULL, cell};
  char text[LONGEST_TEXT];
  va_list arguments;
  va_start(arguments, format);
  vsnprintf(text, sizeof text, format, arguments);
  va_end(arguments);
  return cks_audit_say_at(work, rule, &at, "%s", text);
}

cks_status cks_audit_say_at(cks_audit_work *work, cks_rule rule, const cks_audit_at *at, const char *format, ...)
{
  bool flaw = work->left_out && work->left_out[at->row] && cks_rule_find(rule)->severity == CKS_ERROR;
  char text[LONGEST_TEXT];
  va_list arguments;
  va_start(arguments, format);
  vsnprintf(text, sizeof text, format, arguments);
  va_end(arguments);
  return cks_findings_add(work->findings, flaw ? CKS_RULE_LEFT_OUT_FLAW : rule, at->where, at->heading, at->cell,
                          work->error, "%s%s", text, flaw ? " (the row is left out, so nothing depends on it)" : "");
}

cks_status cks_audit_say_plot(cks_audit_work *work, const cks_trial *trial, cks_rule rule, size_t plot,
                              const char *text)
{
  cks_where where = {trial->file[plot], CKS_NONE, trial->line[plot], 0};
  return cks_findings_add(work->findings, rule, where, NULL, NULL, work->error, "%s", text);
}

cks_status cks_audit_say_all(cks_audit_work *work, cks_rule rule, const char *format, ...)
{
  char text[LONGEST_TEXT];
  va_list arguments;
  va_start(arguments, format);
  vsnprintf(text, sizeof text, format, arguments);
  va_end(arguments);
  return cks_findings_add(work->findings, rule, CKS_NOWHERE, NULL, NULL, work->error, "%s", text);
}

const char *cks_audit_line(const cks_audit_work *work, cks_id file, uint32_t line)
{
  const cks_findings *findings = work->findings;
  const char *sheet = cks_names_text(&findings->sheet, findings->file_sheet[file]);
  return *sheet ? cks_arena_format(work->arena, "line %u of sheet '%s' of %s", line, sheet, findings->file[file])
                : cks_arena_format(work->arena, "line %u of %s", line, findings->file[file]);
}

static bool ends_with(const char *text, size_t n, const char *end) /* end in lower case */
{
  size_t m = strlen(end), i = 0;
  while (n > m && i < m && tolower((unsigned char)text[n - m + i]) == end[i]) i++;
  return n > m && i == m;
}

size_t cks_audit_unmarked(const char *text)
{
  static const char *const marks[] = {"*", "(ck)", "(check)", " ck", " check"};
  size_t length = strlen(text);
  for (size_t before = length + 1; length < before;) { /* "Quarter 7 (ck) *" has two */
    before = length;
    for (size_t i = 0; i < sizeof marks / sizeof *marks; i++)
      if (ends_with(text, length, marks[i])) length -= strlen(marks[i]);
    while (length < before && length && text[length - 1] == ' ') length--;
  }
  return length;
}

void cks_audit_fold(const char *text, char into[CKS_AUDIT_FOLDED])
{
  cks_names_fold(text, cks_audit_unmarked(text), into);
}

size_t cks_audit_key(const char *name, const char *brand, char into[CKS_AUDIT_KEY])
{
  cks_audit_fold(name, into);
  size_t n = strlen(into);
  if (!n) n = (size_t)snprintf(into, CKS_AUDIT_FOLDED, "%s", name); /* a name of marks alone */
  if (n >= CKS_AUDIT_FOLDED) n = CKS_AUDIT_FOLDED - 1;
  if (*brand) {
    into[n++] = '\t';
    cks_audit_fold(brand, into + n);
    n += strlen(into + n);
  }
  return n;
}

/* "Tamsel 8" is no slip for "Tamsel 15": what has other digits is another thing. */
static bool same_digits(const char *a, const char *b)
{
  static const char digits[] = "0123456789";
  for (;; a++, b++) {
    a += strcspn(a, digits);
    b += strcspn(b, digits);
    if (*a != *b || !*a) return *a == *b;
  }
}

const char *cks_audit_nearest(cks_arena *arena, const char *text, size_t n, const char *const *among)
{
  char folded[CKS_AUDIT_FOLDED];
  const char **all = cks_arena_take(arena, n + 1, sizeof *all), **of = cks_arena_take(arena, n + 1, sizeof *of);
  size_t n_all = 0;
  cks_audit_fold(text, folded);
  if (!all || !of || strlen(folded) < SHORTEST_NEAR) return NULL;
  for (size_t i = 0; i < n; i++) {
    char other[CKS_AUDIT_FOLDED];
    if (!same_digits(text, among[i])) continue;
    cks_audit_fold(among[i], other);
    of[n_all] = among[i];
    all[n_all++] = cks_arena_text(arena, other);
  }
  const char *found = cks_nearest(folded, all, n_all), *near = NULL;
  for (size_t i = 0; i < n_all && found && !near; i++)
    if (all[i] == found) near = of[i];
  return near;
}

const cks_column *cks_audit_column_named(const cks_table *table, const char *named)
{
  for (int pass = 0; pass < 2; pass++) /* another word for one column may be the heading of the next */
    for (size_t i = 0; i < table->n_column; i++) {
      const cks_column *column = &table->column[i];
      if (pass == 0 ? cks_audit_same(column->key, named) || cks_audit_same(column->heading, named)
                    : cks_words_has(cks_role_find(column->role)->synonyms, named))
        return column;
    }
  return NULL;
}

bool cks_audit_changed_by_spreadsheet(const char *name)
{
  static const char *const months[] = {"jan", "feb", "mar", "apr", "may", "jun",
                                       "jul", "aug", "sep", "oct", "nov", "dec"};
  char lower[16];
  size_t n = strlen(name);
  if (n >= sizeof lower) return false;
  for (size_t i = 0; i <= n; i++) lower[i] = (char)tolower((unsigned char)name[i]);
  int a, b, c, end = 0;
  char point, e;
  if (sscanf(lower, "%1d%c%2d%c+%2d%n", &a, &point, &b, &e, &c, &end) == 5 && point == '.' && e == 'e' &&
      lower[end] == '\0')
    return true;
  if (sscanf(lower, "%4d-%2d-%2d%n", &a, &b, &c, &end) == 3 && lower[end] == '\0') return true;
  if (sscanf(lower, "%2d/%2d/%4d%n", &a, &b, &c, &end) == 3 && lower[end] == '\0') return true;
  for (size_t i = 0; i < 12; i++) {
    if (!strncmp(lower, months[i], 3) && sscanf(lower + 3, "-%2d%n", &a, &end) == 1 && lower[3 + end] == '\0')
      return true;
    char *dash = strchr(lower, '-');
    if (dash && sscanf(lower, "%2d-%n", &a, &end) == 1 && lower + end == dash + 1 && !strcmp(dash + 1, months[i]))
      return true;
  }
  return false;
}

const char *cks_audit_full(cks_arena *arena, const char *brand, const char *name)
{
  bool said = !strncmp(name, brand, strlen(brand)); /* also when there is no brand */
  return said ? name : cks_arena_format(arena, "%s %s", brand, name);
}

bool cks_audit_is_full(const char *brand, const char *name, const char *text)
{
  char first[CKS_AUDIT_FOLDED], second[CKS_AUDIT_FOLDED], whole[CKS_AUDIT_FOLDED];
  cks_audit_fold(brand, first);
  cks_audit_fold(name, second);
  cks_audit_fold(text, whole);
  size_t n = strlen(first);
  return n && !strncmp(whole, first, n) && !strcmp(whole + n, second);
}

bool cks_audit_says_no(const char *text)
{
  char folded[CKS_AUDIT_FOLDED];
  cks_audit_fold(text, folded);
  return !strchr(text, '*') && (!*folded || cks_words_has(CKS_WORDS_NO, folded));
}

bool cks_audit_marks_check(const cks_column *column, const char *text)
{
  return !cks_audit_says_no(text) && !cks_words_no_check(column->heading, text);
}

bool cks_audit_named_check(const char *name)
{
  char folded[CKS_AUDIT_FOLDED];
  cks_audit_fold(name, folded);
  return cks_words_has("check|ck|chk|standard|control", folded);
}

bool cks_audit_same(const char *a, const char *b)
{
  char folded_a[CKS_AUDIT_FOLDED], folded_b[CKS_AUDIT_FOLDED];
  cks_audit_fold(a, folded_a);
  cks_audit_fold(b, folded_b);
  return !strcmp(folded_a, folded_b);
}

const char *cks_audit_list(cks_arena *arena, size_t n, const char *const *text)
{
  const char *list = "";
  for (size_t i = 0; i < n && i < CKS_AUDIT_IN_LIST; i++)
    list = cks_arena_format(arena, "%s%s%s", list, i == 0 ? "" : i + 1 == n ? " and " : ", ", text[i]);
  return n > CKS_AUDIT_IN_LIST ? cks_arena_format(arena, "%s and %zu more", list, n - CKS_AUDIT_IN_LIST) : list;
}

const char *cks_audit_count(cks_arena *arena, size_t n, const char *noun)
{
  return cks_arena_format(arena, "%zu %s%s", n, noun, n == 1 ? "" : "s");
}

static void insertion_sort(uint32_t *index, size_t n, cks_audit_order compare, const void *context)
{
  for (size_t i = 1; i < n; i++) {
    uint32_t held = index[i];
    size_t j = i;
    for (; j > 0 && compare(context, index[j - 1], held) > 0; j--) index[j] = index[j - 1];
    index[j] = held;
  }
}

void cks_audit_sort(uint32_t *index, uint32_t *room, size_t n, cks_audit_order compare, const void *context)
{
  if (n <= SMALL_RUN) {
    insertion_sort(index, n, compare, context);
    return;
  }
  size_t half = n / 2;
  cks_audit_sort(index, room, half, compare, context);
  cks_audit_sort(index + half, room, n - half, compare, context);
  if (compare(context, index[half - 1], index[half]) <= 0) return;
  memcpy(room, index, half * sizeof *room);
  for (size_t left = 0, right = half, to = 0; left < half; to++)
    index[to] = right < n && compare(context, room[left], index[right]) > 0 ? index[right++] : room[left++];
}
