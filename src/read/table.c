/* table.c: the life of a cks_table, the column of a role, the place of a cell. */
#include <checkstrip/table.h>

#include <stdlib.h>
#include <string.h>
#include <strings.h>

void cks_column_release(cks_column *column)
{
  free(column->number);
  free(column->name);
  free(column->line);
  free(column->file);
  free(column->in);
}

void cks_table_free(cks_table *table)
{
  if (!table) return;
  for (size_t i = 0; i < table->n_column; i++) cks_column_release(&table->column[i]);
  free(table->column);
  free(table->line);
  free(table->file);
  free(table->odd);
  free(table->file_row);
  free(table->file_id);
  if (table->joined) {
    free(table->joined->stray);
    free(table->joined->second);
    free(table->joined->unharvested);
    free(table->joined->file);
    free(table->joined);
  }
  cks_names_release(&table->names);
  cks_names_release(&table->headings);
  cks_arena_free(table->arena);
  free(table);
}

cks_column *cks_table_column(const cks_table *table, cks_role role)
{
  for (size_t i = 0; i < table->n_column; i++)
    if (table->column[i].role == role) return &table->column[i];
  return NULL;
}

cks_column *cks_table_hybrids(const cks_table *table)
{
  static const cks_role stand_in[] = {CKS_ROLE_HYBRID, CKS_ROLE_TREATMENT, CKS_ROLE_ENTRY, CKS_ROLE_CODE};
  cks_column *column = NULL;
  for (size_t i = 0; i < sizeof stand_in / sizeof *stand_in && !column; i++)
    column = cks_table_column(table, stand_in[i]);
  return column;
}

cks_status cks_table_place_cells(const cks_table *table, cks_column *column, cks_error *error)
{
  if (column->line) return CKS_OK;
  column->line = malloc((table->n_row + 1) * sizeof *column->line);
  column->file = malloc((table->n_row + 1) * sizeof *column->file);
  if (!column->line || !column->file) return cks_error_nomem(error);
  memcpy(column->line, table->line, table->n_row * sizeof *column->line);
  memcpy(column->file, table->file, table->n_row * sizeof *column->file);
  return CKS_OK;
}

void cks_column_move(cks_column *column, size_t from, size_t to)
{
  if (column->number) column->number[to] = column->number[from];
  if (column->name) column->name[to] = column->name[from];
  if (column->line) column->line[to] = column->line[from];
  if (column->file) column->file[to] = column->file[from];
}

/* Where in column->in the file stands, or would. */
static size_t find_in(const cks_column *column, cks_id file)
{
  size_t low = 0, high = column->n_in;
  while (low < high) {
    size_t mid = (low + high) / 2;
    if (column->in[mid].file < file)
      low = mid + 1;
    else
      high = mid;
  }
  return low;
}

uint32_t cks_column_cell(const cks_column *column, cks_id file)
{
  size_t at = find_in(column, file);
  return at < column->n_in && column->in[at].file == file ? column->in[at].column : 0;
}

cks_status cks_column_put(cks_column *column, cks_column_in in, cks_error *error)
{
  size_t at = find_in(column, in.file);
  if (at < column->n_in && column->in[at].file == in.file) {
    if (column->in[at].column != in.column) column->in[at].column = 0;
    return CKS_OK;
  }
  cks_column_in *grown = realloc(column->in, (column->n_in + 1) * sizeof *grown);
  if (!grown) return cks_error_nomem(error);
  column->in = grown;
  memmove(grown + at + 1, grown + at, (column->n_in++ - at) * sizeof *grown);
  grown[at] = in;
  return CKS_OK;
}

cks_where cks_table_where(const cks_table *table, const cks_column *column, size_t row)
{
  bool own = column && column->line;
  cks_id file = own ? column->file[row] : table->file[row];
  return (cks_where){file, CKS_NONE, own ? column->line[row] : table->line[row],
                     column ? cks_column_cell(column, file) : 0};
}

/* ---- what a name says of the place ------------------------------------------------------------------------------- */

static bool is_among(const char *text, size_t n, const char *const *words)
{
  bool found = false;
  for (; *words; words++) found |= strlen(*words) == n && !strncasecmp(text, *words, n);
  return found;
}

/* The file's name without what it says of the file's kind: "hob-ridge-harvest" is at hob-ridge; n bytes of it are left. */
static size_t without_kind(const char *stem, size_t n)
{
  static const char *const kinds[] = {"list",    "plots", "plot",  "plotlist", "trial", "trials", "data", "harvest",
                                      "weights", "walk",  "notes", "map",      "yield", "yields", NULL};
  for (bool more = true; more;) {
    size_t cut = n;
    while (cut && !strchr(" -_", stem[cut - 1])) cut--;
    bool year = n - cut == 4 && strspn(stem + cut, "0123456789") >= 4;
    more = cut > 1 && (year || is_among(stem + cut, n - cut, kinds));
    if (more) n = cut - 1;
  }
  return n;
}

const char *cks_table_place(const cks_table *table, const cks_findings *findings, cks_id file, size_t *n)
{
  const char *sheet = cks_names_text(&findings->sheet, findings->file_sheet[file]);
  size_t sheets = 0;
  for (size_t i = 0; i < table->n_file; i++)
    sheets += findings->file_sheet[table->file_id[i]] != CKS_NONE &&
              !strcmp(findings->file[table->file_id[i]], findings->file[file]);
  static const char *const plain[] = {"sheet1", "sheet 1", "data", "plots", NULL};
  *n = strlen(sheet);
  if (*n && (sheets > 1 || !is_among(sheet, *n, plain))) return sheet;
  const char *stem = cks_names_stem(findings->file[file], n);
  *n = without_kind(stem, *n);
  return stem;
}
