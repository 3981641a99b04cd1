/* rows.c: rows kept back until it is known what they are, see find.h. */
#include "find.h"

#include <stdlib.h>
#include <string.h>

enum { FIRST_ROOM = 64 };

void cks_rows_release(cks_rows *rows)
{
  free(rows->text);
  free(rows->cell);
  free(rows->copied);
  free(rows->row);
  *rows = (cks_rows){0};
}

/* Room for `more` elements behind the first n of *array. */
static cks_status grow(void *array_at, size_t n, size_t more, size_t *room, size_t size, cks_error *error)
{
  void *array, *grown;
  if (n + more <= *room) return CKS_OK;
  size_t wanted = *room ? *room * 2 : FIRST_ROOM;
  while (wanted < n + more) wanted *= 2;
  memcpy(&array, array_at, sizeof array);
  grown = realloc(array, wanted * size);
  if (!grown) return cks_error_nomem(error);
  memcpy(array_at, &grown, sizeof grown);
  *room = wanted;
  return CKS_OK;
}

cks_status cks_rows_add(cks_rows *rows, const char *text, size_t n, bool copied, cks_error *error)
{
  size_t room = rows->room_cell;
  cks_status status = grow(&rows->text, rows->used, n + 1, &rows->room, 1, error);
  if (status == CKS_OK) status = grow(&rows->copied, rows->n_cell, 1, &room, sizeof *rows->copied, error);
  if (status == CKS_OK) status = grow(&rows->cell, rows->n_cell, 1, &rows->room_cell, sizeof *rows->cell, error);
  if (status != CKS_OK) return status;
  rows->copied[rows->n_cell] = copied;
  rows->cell[rows->n_cell++] = rows->used;
  if (n) memcpy(rows->text + rows->used, text, n);
  rows->used += n;
  rows->text[rows->used++] = '\0';
  return CKS_OK;
}

static size_t open_cell(const cks_rows *rows)
{
  return rows->n_row ? rows->row[rows->n_row - 1].first + rows->row[rows->n_row - 1].n : 0;
}

cks_status cks_rows_end(cks_rows *rows, uint32_t line, cks_error *error)
{
  cks_kept_row row = {.first = open_cell(rows), .line = line};
  row.n = rows->n_cell - row.first;
  for (size_t c = 0; c < row.n; c++) row.filled += rows->text[rows->cell[row.first + c]] != '\0';
  if (!row.filled) {
    cks_rows_forget(rows);
    return CKS_OK;
  }
  cks_status status = grow(&rows->row, rows->n_row, 1, &rows->room_row, sizeof *rows->row, error);
  if (status == CKS_OK) rows->row[rows->n_row++] = row;
  return status;
}

void cks_rows_forget(cks_rows *rows)
{
  rows->n_cell = open_cell(rows);
  rows->used = rows->n_cell ? rows->cell[rows->n_cell - 1] + strlen(rows->text + rows->cell[rows->n_cell - 1]) + 1 : 0;
}

const char *cks_rows_cell(const cks_rows *rows, size_t row, size_t column)
{
  const cks_kept_row *r = &rows->row[row];
  return column < r->n ? rows->text + rows->cell[r->first + column] : "";
}

bool cks_rows_copied(const cks_rows *rows, size_t row, size_t column)
{
  const cks_kept_row *r = &rows->row[row];
  return column < r->n && rows->copied[r->first + column];
}
