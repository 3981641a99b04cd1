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
  cks_where where = {table->file[row], CKS_NONE, table->line[row], 0};
  if (status == CKS_OK)
    status =
        cks_findings_add(work->findings, CKS_RULE_LEFT_OUT, where, NULL, NULL, work->error, "row left out: %s", reason);
  return status;
}

static cks_status by_column(cks_audit_work *work)
{
  cks_status status = CKS_OK;
  const cks_column *column = cks_table_column(work->table, CKS_ROLE_LEAVE_OUT);
  for (size_t row = 0; column && row < work->table->n_row && status == CKS_OK; row++) {
    const char *reason = cks_names_text(&work->table->names, column->name[row]);
    if (column->name[row] != CKS_NONE && !cks_audit_says_no(reason))
      status = leave(work, row, cks_arena_format(work->arena, "%s", reason));
  }
  return status;
}

/* The column that ROLE names: by key, or by its heading. */
static const cks_column *column_named(const cks_table *table, const char *role)
{
  for (size_t i = 0; i < table->n_column; i++)
    if (cks_audit_same(table->column[i].key, role) || cks_audit_same(table->column[i].heading, role))
      return &table->column[i];
  return NULL;
}

static bool holds(const cks_table *table, const cks_column *column, size_t row, const char *value, double number)
{
  if (column->kind == CKS_NAME) return cks_audit_same(cks_names_text(&table->names, column->name[row]), value);
  return !isnan(number) && column->number[row] == number;
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

/* --without (keep false): rows that hold the value go; --only (keep true): the others go. */
static cks_status by_option(cks_audit_work *work, const cks_setting_list *list, bool keep)
{
  cks_status status = CKS_OK;
  cks_table *table = work->table;
  const char *option = keep ? "--only" : "--without";
  for (size_t i = 0; i < list->n && status == CKS_OK; i++) {
    const char *role = list->pair[i].key, *value = list->pair[i].value;
    const cks_column *column = column_named(table, role);
    if (!column) {
      status = cks_audit_say_all(work, CKS_RULE_HEADING_NOT_THERE,
                                 "%s %s=%s: no file has a column '%s'; see the roles in "
                                 "'checkstrip help summarize'",
                                 option, role, value, role);
      continue;
    }
    bool met = false;
    double number = column->kind == CKS_NAME ? NAN : number_of(column, value);
    const char *reason = cks_arena_format(work->arena, "%s %s=%s", option, role, value);
    for (size_t row = 0; row < table->n_row && status == CKS_OK; row++) {
      bool here = holds(table, column, row, value, number);
      met = met || here;
      if (here != keep) status = leave(work, row, reason);
    }
    if (!met && status == CKS_OK)
      status = cks_audit_say_all(work, CKS_RULE_HEADING_NOT_THERE,
                                 "%s %s=%s: no row holds '%s' in column '%s'; check its "
                                 "spelling",
                                 option, role, value, value, column->heading);
  }
  return status;
}

cks_status cks_audit_leave_out(cks_audit_work *work)
{
  work->left_out = calloc(work->table->n_row + 1, 1);
  if (!work->left_out) return cks_error_nomem(work->error);
  cks_status status = by_column(work);
  if (status == CKS_OK) status = by_option(work, &work->settings->without, false);
  if (status == CKS_OK) status = by_option(work, &work->settings->only, true);
  return status;
}
