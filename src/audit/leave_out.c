/*
 * leave_out.c: rows that are not used, in the open: the leave_out column, --without and --only.
 *
 * Out: work->left_out and, when a row is left out, work->reason; a note for each such row. An option whose value no row
 * holds is an error, so that a misspelled --without never passes in silence.
 */
#include "audit.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static cks_status leave(cks_audit_work *work, size_t row, const char *reason)
{
  cks_table *table = work->table;
  if (work->left_out[row]) return CKS_OK;
  if (!work->reason) {
    work->reason = malloc(table->n_row * sizeof *work->reason);
    if (!work->reason) return cks_error_nomem(work->error);
    memset(work->reason, 0xff, table->n_row * sizeof *work->reason);
  }
  work->left_out[row] = 1;
  cks_status status = cks_names_add(&table->names, reason, strlen(reason), &work->reason[row], work->error);
  return status;
}

static cks_status by_column(cks_audit_work *work)
{
  cks_status status = CKS_OK;
  const cks_column *column = cks_table_column(work->table, CKS_ROLE_LEAVE_OUT);
  for (size_t row = 0; column && row < work->table->n_row && status == CKS_OK; row++) {
    const char *reason = cks_names_text(&work->table->names, column->name[row]);
    if (column->name[row] != CKS_NONE && !cks_audit_says_no(reason))
      status = leave(work, row, cks_arena_text(work->arena, reason));
    if (status == CKS_OK && work->left_out[row])
      status = cks_audit_say(work, CKS_RULE_LEFT_OUT, row, column, "", "row left out: %s",
                             cks_names_text(&work->table->names, work->reason[row]));
  }
  return status;
}

static double number_of(const cks_column *column, const char *value)
{
  char *end;
  int year, month, day;
  double number = strtod(value, &end);
  if (column->kind == CKS_DATE && sscanf(value, "%d-%d-%d", &year, &month, &day) == 3)
    return cks_day_number(year, month, day, &number) ? number : NAN;
  return *value && !*end ? number : NAN;
}

static bool holds(const cks_table *table, const cks_column *column, size_t row, const char *value)
{
  if (column->kind == CKS_NAME) return cks_audit_same(cks_names_text(&table->names, column->name[row]), value);
  return column->number[row] == number_of(column, value); /* NaN: false */
}

/* "Ostrand 213" for 213 of Ostrand, as it is printed. */
static bool is_full_name(const cks_audit_work *work, const cks_column *column, size_t row, const char *value)
{
  const cks_names *names = &work->table->names;
  const cks_column *brand = cks_table_column(work->table, CKS_ROLE_BRAND);
  return column->role == CKS_ROLE_HYBRID && brand && column->name[row] != CKS_NONE && brand->name[row] != CKS_NONE &&
         cks_audit_is_full(cks_names_text(names, brand->name[row]), cks_names_text(names, column->name[row]), value);
}

/* A hybrid is also called what the names table says that it is. */
static bool is_listed_as(const cks_audit_work *work, const cks_column *column, size_t row, const char *value)
{
  const cks_names *names = &work->table->names;
  const cks_column *brand = cks_table_column(work->table, CKS_ROLE_BRAND);
  if (!work->listing.hybrid || column->role != CKS_ROLE_HYBRID || column->name[row] == CKS_NONE) return false;
  uint32_t listed = cks_audit_listed_as(work, cks_names_text(names, column->name[row]),
                                        brand ? cks_names_text(names, brand->name[row]) : "");
  if (listed >= work->listing.n) return false;
  const cks_audit_listed *h = &work->listing.hybrid[listed];
  const char *name = cks_names_text(names, h->name), *print = cks_names_text(names, h->print),
             *owner = cks_names_text(names, h->brand);
  return cks_audit_same(name, value) || cks_audit_is_full(owner, name, value) ||
         (*print && (cks_audit_same(print, value) || cks_audit_is_full(owner, print, value)));
}

/* Marks the rows that hold the value; false when none does. */
static bool mark_rows(const cks_audit_work *work, const cks_column *column, const char *value, uint8_t *marks)
{
  bool met = false;
  for (size_t row = 0; row < work->table->n_row; row++) {
    if (!holds(work->table, column, row, value) && !is_full_name(work, column, row, value) &&
        !is_listed_as(work, column, row, value))
      continue;
    marks[row] = 1;
    met = true;
  }
  return met;
}

/* Leaves out the rows whose mark is `out`; one note that counts them. */
static cks_status leave_marked(cks_audit_work *work, const uint8_t *marks, uint8_t out, const char *reason)
{
  cks_status status = CKS_OK;
  size_t left = 0;
  for (size_t row = 0; row < work->table->n_row && status == CKS_OK; row++) {
    if (marks[row] != out || work->left_out[row]) continue;
    status = leave(work, row, reason);
    left++;
  }
  if (left && status == CKS_OK)
    status = cks_audit_say_all(work, CKS_RULE_LEFT_OUT, "%s left out: %s", cks_audit_count(work->arena, left, "row"),
                               reason);
  return status;
}

/* One of the option's values: the column it is about in *column; its rows marked. */
static cks_status mark_value(cks_audit_work *work, const char *option, const cks_setting_pair *pair, uint8_t *marks,
                             const cks_column **column)
{
  *column = cks_audit_column_named(work->table, pair->key);
  if (!*column)
    return cks_audit_say_all(work, CKS_RULE_HEADING_NOT_THERE,
                             "%s %s=%s: no file has a column '%s'; 'checkstrip help headings' lists the roles", option,
                             pair->key, pair->value, pair->key);
  return mark_rows(work, *column, pair->value, marks)
             ? CKS_OK
             : cks_audit_say_all(work, CKS_RULE_HEADING_NOT_THERE,
                                 "%s %s=%s: no row holds '%s' in column '%s'; check its spelling", option, pair->key,
                                 pair->value, pair->value, (*column)->heading);
}

static cks_status without(cks_audit_work *work, uint8_t *marks)
{
  cks_status status = CKS_OK;
  const cks_setting_list *list = &work->settings->without;
  for (size_t i = 0; i < list->n && status == CKS_OK; i++) {
    const cks_column *column;
    memset(marks, 0, work->table->n_row);
    status = mark_value(work, "--without", &list->pair[i], marks, &column);
    if (status == CKS_OK)
      status = leave_marked(work, marks, 1,
                            cks_arena_format(work->arena, "--without %s=%s", list->pair[i].key, list->pair[i].value));
  }
  return status;
}

/* Several --only of one column keep the rows of any of them; of several columns, the rows that satisfy each. */
static cks_status only(cks_audit_work *work, uint8_t *marks)
{
  cks_status status = CKS_OK;
  const cks_setting_list *list = &work->settings->only;
  for (size_t i = 0; i < list->n && status == CKS_OK; i++) {
    const cks_column *column, *other;
    const char *reason = "";
    bool before = false;
    memset(marks, 0, work->table->n_row);
    status = mark_value(work, "--only", &list->pair[i], marks, &column);
    for (size_t j = 0; j < list->n && column && status == CKS_OK; j++) {
      if (cks_audit_column_named(work->table, list->pair[j].key) != column) continue;
      before = before || j < i; /* dealt with at the first of them */
      reason = cks_arena_format(work->arena, "%s%s--only %s=%s", reason, *reason ? " " : "", list->pair[j].key,
                                list->pair[j].value);
      if (j > i) status = mark_value(work, "--only", &list->pair[j], marks, &other);
    }
    if (column && !before && status == CKS_OK) status = leave_marked(work, marks, 0, reason);
  }
  return status;
}

cks_status cks_audit_leave_out(cks_audit_work *work)
{
  work->left_out = calloc(work->table->n_row + 1, 1);
  uint8_t *marks = calloc(work->table->n_row + 1, 1);
  cks_status status = work->left_out && marks ? by_column(work) : cks_error_nomem(work->error);
  if (status == CKS_OK) status = without(work, marks);
  if (status == CKS_OK) status = only(work, marks);
  free(marks);
  return status;
}
