/*
 * read_fixture.h: runs cks_read() on texts in memory and shows findings and table as short texts that a test compares.
 */
#ifndef READ_FIXTURE_H
#define READ_FIXTURE_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <checkstrip/run.h>
#include <cmocka.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { FIXTURE_FILES = 4, FIXTURE_PAIRS = 8, FIXTURE_TEXT = 1 << 16 };

typedef struct {
  const char *bytes;
  size_t n, at, most; /* most: bytes given a call, 0 = as many as asked for */
  bool fails;
} fixture_text;

typedef struct {
  cks_settings settings;
  cks_setting_pair pairs[4][FIXTURE_PAIRS]; /* heading, unit, missing, trait */
  fixture_text text[FIXTURE_FILES];
  size_t n_text;
  cks_findings *findings;
  cks_table *table;
  cks_error error;
  cks_status status;
  char shown[FIXTURE_TEXT];
} fixture;

static inline fixture *fixture_new(void)
{
  fixture *f = calloc(1, sizeof *f);
  assert_non_null(f);
  f->settings = (cks_settings){.alpha = 0.05, .moisture_pct = NAN, .cv_limit = 20};
  f->settings.heading.pair = f->pairs[0];
  f->settings.unit.pair = f->pairs[1];
  f->settings.missing.pair = f->pairs[2];
  f->settings.trait.pair = f->pairs[3];
  return f;
}

static inline void fixture_free(fixture *f)
{
  cks_table_free(f->table);
  cks_findings_free(f->findings);
  free(f);
}

static inline void fixture_set(cks_setting_list *list, const char *key, const char *value)
{
  assert_true(list->n < FIXTURE_PAIRS);
  list->pair[list->n++] = (cks_setting_pair){key, value};
}

static inline fixture_text *fixture_bytes(fixture *f, const char *bytes, size_t n)
{
  assert_true(f->n_text < FIXTURE_FILES);
  f->text[f->n_text] = (fixture_text){.bytes = bytes, .n = n};
  return &f->text[f->n_text++];
}

static inline void fixture_add(fixture *f, const char *text) { fixture_bytes(f, text, strlen(text)); }

static inline ptrdiff_t fixture_pull(void *from, char *bytes, size_t n)
{
  fixture_text *text = from;
  size_t left = text->n - text->at, part = left < n ? left : n;
  if (text->fails) return -1;
  if (text->most && part > text->most) part = text->most;
  memcpy(bytes, text->bytes + text->at, part);
  text->at += part;
  return (ptrdiff_t)part;
}

/* Reads all texts, named a.csv, b.csv, ... */
static inline void fixture_run(fixture *f)
{
  static const char *const names[FIXTURE_FILES] = {"a.csv", "b.csv", "c.csv", "d.csv"};
  cks_source source[FIXTURE_FILES];
  for (size_t i = 0; i < f->n_text; i++) source[i] = (cks_source){names[i], fixture_pull, &f->text[i]};
  assert_int_equal(cks_findings_new(&f->findings, NULL), CKS_OK);
  f->status = cks_read(&f->settings, f->n_text, source, f->findings, &f->table, &f->error);
  if (f->status == CKS_OK)
    assert_int_equal(cks_read_check(&f->settings, &(cks_tables){.plots = f->table}, f->findings, &f->error), CKS_OK);
  cks_findings_sort(f->findings);
  assert_true((f->status == CKS_OK) == (f->table != NULL));
}

/* Findings as "rule a.csv:line.column 'cell'", one a line; place and cell only where there is one. */
static inline const char *fixture_findings(fixture *f)
{
  size_t used = 0;
  f->shown[0] = '\0';
  for (size_t i = 0; i < f->findings->n; i++) {
    const cks_finding *finding = &f->findings->finding[i];
    char place[64] = "", cell[128] = "", more[32] = "";
    if (finding->where.file != CKS_NONE)
      snprintf(place, sizeof place, " %c:%lu.%lu", (char)('a' + (int)finding->where.file),
               (unsigned long)finding->where.line, (unsigned long)finding->where.column);
    if (*finding->cell) snprintf(cell, sizeof cell, " '%.100s'", finding->cell);
    if (finding->more) snprintf(more, sizeof more, " +%lu", (unsigned long)finding->more);
    used += (size_t)snprintf(f->shown + used, sizeof f->shown - used, "%s%s%s%s%s", used ? "\n" : "",
                             cks_rule_find(finding->rule)->name, place, cell, more);
    assert_true(used < sizeof f->shown);
  }
  return f->shown;
}

static inline size_t fixture_cell(const cks_table *table, const cks_column *column, size_t row, char *to, size_t n)
{
  char date[CKS_NUMBER_TEXT];
  if (column->kind == CKS_NAME)
    return (size_t)snprintf(to, n, "%s",
                            column->name[row] == CKS_NONE ? "~" : cks_names_text(&table->names, column->name[row]));
  if (cks_is_missing(column->number[row])) return (size_t)snprintf(to, n, "~");
  if (column->kind == CKS_DATE) return (size_t)snprintf(to, n, "%s", cks_print_date(date, column->number[row]));
  return (size_t)snprintf(to, n, "%.17g", column->number[row]);
}

/* Rows as "line:cell|cell|...", missing as ~, parted by spaces that are no part of a test's cells ("; "). */
static inline const char *fixture_rows(fixture *f)
{
  size_t used = 0;
  f->shown[0] = '\0';
  for (size_t row = 0; row < f->table->n_row; row++) {
    used += (size_t)snprintf(f->shown + used, sizeof f->shown - used, "%s%lu:", row ? "; " : "",
                             (unsigned long)f->table->line[row]);
    for (size_t i = 0; i < f->table->n_column; i++) {
      if (i) used += (size_t)snprintf(f->shown + used, sizeof f->shown - used, "|");
      used += fixture_cell(f->table, &f->table->column[i], row, f->shown + used, sizeof f->shown - used);
      assert_true(used < sizeof f->shown);
    }
  }
  return f->shown;
}

/* Columns as "key unit[!][ @basis][ low-high][ high|low]", parted by ", "; '!': the unit is stated. */
static inline const char *fixture_columns(fixture *f)
{
  static const char *const ends[] = {"", " high", " low"};
  size_t used = 0;
  f->shown[0] = '\0';
  for (size_t i = 0; i < f->table->n_column; i++) {
    const cks_column *c = &f->table->column[i];
    char basis[48] = "", scale[64] = "";
    if (!isnan(c->basis_pct)) snprintf(basis, sizeof basis, " @%g", c->basis_pct);
    if (!isnan(c->scale_low)) snprintf(scale, sizeof scale, " %g-%g", c->scale_low, c->scale_high);
    used += (size_t)snprintf(f->shown + used, sizeof f->shown - used, "%s%s%s%s%s%s%s%s", i ? ", " : "", c->key,
                             c->unit == CKS_UNIT_NONE ? "" : " ", cks_unit_text(c->unit), c->unit_stated ? "!" : "",
                             basis, scale, ends[c->better]);
    assert_true(used < sizeof f->shown);
  }
  return f->shown;
}

/* Odd cells as "row.column'text'", parted by spaces. */
static inline const char *fixture_odd(fixture *f)
{
  size_t used = 0;
  f->shown[0] = '\0';
  for (size_t i = 0; i < f->table->n_odd; i++) {
    const cks_odd *odd = &f->table->odd[i];
    used += (size_t)snprintf(f->shown + used, sizeof f->shown - used, "%s%lu.%lu'%s'", i ? " " : "",
                             (unsigned long)odd->row, (unsigned long)odd->column,
                             cks_names_text(&f->table->names, odd->text));
    assert_true(used < sizeof f->shown);
  }
  return f->shown;
}

/* One file, all expectations; NULL: not looked at. */
typedef struct {
  const char *text, *findings, *columns, *rows, *odd;
} fixture_case;

static inline void fixture_expect(fixture *f, const fixture_case *expected)
{
  if (f->status != CKS_OK) fail_msg("status %d: %s", (int)f->status, f->error.text);
  if (expected->findings) assert_string_equal(fixture_findings(f), expected->findings);
  if (expected->columns) assert_string_equal(fixture_columns(f), expected->columns);
  if (expected->rows) assert_string_equal(fixture_rows(f), expected->rows);
  if (expected->odd) assert_string_equal(fixture_odd(f), expected->odd);
}

static inline void fixture_check(const fixture_case *expected)
{
  fixture *f = fixture_new();
  fixture_add(f, expected->text);
  fixture_run(f);
  fixture_expect(f, expected);
  fixture_free(f);
}

/* Does some finding of the rule say all of this? */
static inline bool fixture_says(const fixture *f, cks_rule rule, const char *words)
{
  for (size_t i = 0; i < f->findings->n; i++)
    if (f->findings->finding[i].rule == rule && strstr(f->findings->finding[i].text, words)) return true;
  return false;
}

#endif
