/*
 * observers.c: a trait that several people looked at on one day is the mean of what they wrote, plot by plot.
 *
 * Their columns have each passed the checks of single cells before; the first takes the mean, the others are emptied.
 */
#include "audit.h"

#include <string.h>

static bool same_look(const cks_column *a, const cks_column *b)
{
  return a->kind == CKS_NUMBER && b->kind == CKS_NUMBER && a->role == b->role && !strcmp(a->key, b->key);
}

/* The cell takes the place of one that went into it. */
static cks_status place(cks_audit_work *work, cks_column *to, const cks_column *from, size_t row)
{
  cks_where where = cks_table_where(work->table, from, row), now = cks_table_where(work->table, to, row);
  if (where.file == now.file && where.line == now.line) return CKS_OK;
  cks_status status = cks_table_place_cells(work->table, to, work->error);
  if (status != CKS_OK) return status;
  to->line[row] = where.line;
  to->file[row] = (uint16_t)where.file;
  return CKS_OK;
}

/* The mean of the columns from `first` on that are looks at its trait, in its unit. */
static cks_status average(cks_audit_work *work, size_t first)
{
  cks_table *table = work->table;
  cks_column *to = &table->column[first];
  cks_status status = CKS_OK;
  for (size_t row = 0; row < table->n_row && status == CKS_OK; row++) {
    double sum = 0;
    size_t n = 0;
    for (size_t c = first; c < table->n_column; c++) {
      cks_column *from = &table->column[c];
      if (!same_look(to, from) || cks_is_missing(from->number[row])) continue;
      sum += cks_unit_convert(from->number[row], from->unit, to->unit, work->crop);
      if (!n++ && c > first) status = place(work, to, from, row);
      if (c > first) from->number[row] = cks_missing();
    }
    to->number[row] = n ? sum / (double)n : cks_missing();
  }
  return status;
}

static const char *observer_of(const cks_column *column)
{
  return *column->observer ? column->observer : "one without letters";
}

cks_status cks_audit_observers(cks_audit_work *work)
{
  cks_table *table = work->table;
  cks_status status = CKS_OK;
  for (size_t i = 0; i < table->n_column && status == CKS_OK; i++) {
    cks_column *to = &table->column[i];
    const char *names = observer_of(to);
    size_t n = 1;
    bool taken = false;
    for (size_t c = 0; c < i && !taken; c++) taken = same_look(&table->column[c], to);
    for (size_t c = i + 1; c < table->n_column && !taken; c++)
      if (same_look(to, &table->column[c])) {
        names = cks_arena_format(work->arena, "%s, %s", names, observer_of(&table->column[c]));
        n++;
      }
    if (n < 2) continue;
    status = average(work, i);
    if (status == CKS_OK)
      status =
          cks_findings_add(work->findings, CKS_RULE_OBSERVERS_AVERAGED, to->where, to->heading, NULL, work->error,
                           "%s was looked at by %zu observers (%s); each plot takes their mean", to->key, n, names);
  }
  return status;
}
