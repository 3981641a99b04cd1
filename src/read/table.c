/* table.c: the life of a cks_table, and the column of a role. */
#include <checkstrip/table.h>

#include <stdlib.h>

void cks_table_free(cks_table *table)
{
  if (!table) return;
  for (size_t i = 0; i < table->n_column; i++) {
    free(table->column[i].number);
    free(table->column[i].name);
  }
  free(table->column);
  free(table->line);
  free(table->file);
  free(table->odd);
  free(table->file_row);
  free(table->file_id);
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
