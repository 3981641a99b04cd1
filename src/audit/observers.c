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

/* Columns that are looks at one trait, by observer: so the order in which they were read changes no sum. */
typedef struct {
  uint32_t *column;
  size_t n;
} looks;

static int compare_observers(const void *context, uint32_t a, uint32_t b)
{
  const cks_column *column = context;
  int order = strcmp(column[a].observer, column[b].observer);
  return order ? order : (int)column[a].unit - (int)column[b].unit;
}

/* The mean of the looks, in the column `to`, in its unit. */
static cks_status average(cks_audit_work *work, cks_column *to, const looks *l)
{
  const cks_table *table = work->table;
  cks_status status = CKS_OK;
  for (size_t row = 0; row < table->n_row && status == CKS_OK; row++) {
    bool own = !cks_is_missing(to->number[row]);
    double sum = 0;
    size_t n = 0;
    for (size_t i = 0; i < l->n; i++) {
      cks_column *from = &table->column[l->column[i]];
      if (cks_is_missing(from->number[row])) continue;
      sum += cks_unit_convert(from->number[row], from->unit, to->unit, work->crop);
      if (!n++ && !own) status = place(work, to, from, row);
      if (from != to) from->number[row] = cks_missing();
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
  uint32_t *index = cks_arena_take(work->arena, table->n_column + 1, sizeof *index),
           *room = cks_arena_take(work->arena, table->n_column + 1, sizeof *room);
  if (!index || !room) return cks_error_nomem(work->error);
  for (size_t i = 0; i < table->n_column && status == CKS_OK; i++) {
    cks_column *to = &table->column[i];
    looks l = {index, 0};
    bool taken = false;
    for (size_t c = 0; c < i && !taken; c++) taken = same_look(&table->column[c], to);
    for (size_t c = i; c < table->n_column && !taken; c++)
      if (same_look(to, &table->column[c])) index[l.n++] = (uint32_t)c;
    if (l.n < 2) continue;
    cks_audit_sort(index, room, l.n, compare_observers, table->column);
    const char *names = observer_of(&table->column[index[0]]);
    for (size_t k = 1; k < l.n; k++)
      names = cks_arena_format(work->arena, "%s, %s", names, observer_of(&table->column[index[k]]));
    status = average(work, to, &l);
    if (status == CKS_OK)
      status =
          cks_findings_add(work->findings, CKS_RULE_OBSERVERS_AVERAGED, to->where, to->heading, NULL, work->error,
                           "%s was looked at by %zu observers (%s); each plot takes their mean", to->key, l.n, names);
  }
  return status;
}
