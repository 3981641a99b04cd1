/*
 * read.c: sources to one table: each file is parsed, matched and typed in one pass, its rows stacked on those before.
 *
 * A file that cannot be used adds findings and no rows; the others are read all the same.
 */
#include "columns.h"

#include <stdlib.h>
#include <string.h>

static cks_status reader_init(cks_reader *reader, const cks_settings *settings, size_t n_source, cks_findings *findings,
                              cks_error *error)
{
  *reader = (cks_reader){.reading = {settings, findings, error, CKS_NONE}, .all_headings = true};
  reader->c = newlocale(LC_ALL_MASK, "C", (locale_t)0);
  cks_table *table = reader->table = calloc(1, sizeof *table);
  bool *met = calloc(settings->heading.n + settings->unit.n + settings->trait.n + 1, sizeof *met);
  reader->context = (cks_heading_context){settings, &reader->vocabulary, met, met, met};
  if (!reader->c || !table || !met) return cks_error_nomem(error);
  reader->context.unit_met += settings->heading.n;
  reader->context.trait_met += settings->heading.n + settings->unit.n;
  table->arena = cks_arena_new();
  table->file_row = calloc(n_source + 1, sizeof *table->file_row);
  table->file_id = calloc(n_source + 1, sizeof *table->file_id);
  if (!table->arena || !table->file_row || !table->file_id) return cks_error_nomem(error);
  return cks_vocabulary_init(&reader->vocabulary, error);
}

static void reader_release(cks_reader *reader)
{
  if (reader->c) freelocale(reader->c);
  cks_vocabulary_release(&reader->vocabulary);
  cks_names_release(&reader->reported);
  cks_names_release(&reader->met);
  free(reader->context.heading_met);
  free(reader->heading);
  free(reader->slot);
}

/* --heading must name roles that there are: anything else is a wrong call, not a flaw of the data. */
static cks_status check_roles(const cks_reader *reader)
{
  const cks_setting_list *list = &reader->reading.settings->heading;
  cks_role role;
  for (size_t i = 0; i < list->n; i++)
    if (!cks_vocabulary_find(&reader->vocabulary, list->pair[i].key, strlen(list->pair[i].key), &role))
      return cks_error_set(reader->reading.error, CKS_USAGE,
                           "--heading %s=\"%s\": '%s' is no role, expected one such as yield, "
                           "hybrid or location",
                           list->pair[i].key, list->pair[i].value, list->pair[i].key);
  return CKS_OK;
}

static cks_status say_empty(cks_reader *reader)
{
  cks_where where = {reader->reading.file, CKS_NONE, 0, 0};
  if (reader->faulty || reader->table->n_row > reader->first_row) return CKS_OK;
  return cks_findings_add(reader->reading.findings, CKS_RULE_EMPTY_TABLE, where, NULL, NULL, reader->reading.error,
                          reader->in_heading
                              ? "the file is empty, expected a heading line and a row a plot; give another file"
                              : "the file has a heading line and no rows, expected a row a plot; give another file");
}

static cks_status read_source(cks_reader *reader, const cks_source *source)
{
  cks_table *table = reader->table;
  cks_row_handler handler = {reader, cks_reader_cell, cks_reader_row, cks_reader_drop};
  bool refused = false;
  cks_status status =
      cks_findings_file(reader->reading.findings, source->name, &reader->reading.file, reader->reading.error);
  if (status != CKS_OK) return status;
  free(reader->slot);
  reader->slot = NULL;
  reader->n_slot = reader->n_needed = reader->n_cell = reader->n_filled = reader->n_extra = 0;
  reader->in_heading = true;
  reader->faulty = false;
  reader->first_row = table->n_row;
  reader->first_odd = table->n_odd;
  status = cks_csv_read(&reader->reading, source, &handler, &refused);
  if (status == CKS_OK) status = reader->status;
  reader->faulty = reader->faulty || refused;
  if (reader->in_heading) reader->n_slot = 0; /* there are headings, but not what they stand for */
  if (status == CKS_OK) status = say_empty(reader);
  if (status == CKS_OK) status = cks_reader_settle(reader);
  if (status != CKS_OK) return status;
  cks_reader_fill(reader);
  reader->all_headings = reader->all_headings && !reader->in_heading;
  table->file_id[table->n_file] = reader->reading.file;
  table->file_row[table->n_file++] = (uint32_t)(table->n_row - reader->first_row);
  return CKS_OK;
}

/* plots: headings, units and traits of the settings that no file has are errors, and files are joined. */
static cks_status read_all(const cks_settings *settings, size_t n_source, const cks_source *sources, bool plots,
                           cks_findings *findings, cks_table **out, cks_error *error)
{
  cks_reader reader;
  *out = NULL;
  cks_status status = reader_init(&reader, settings, n_source, findings, error);
  if (status == CKS_OK) status = check_roles(&reader);
  for (size_t i = 0; i < n_source && status == CKS_OK; i++) status = read_source(&reader, &sources[i]);
  if (status == CKS_OK && plots) status = cks_reader_unmet(&reader);
  if (status == CKS_OK && plots) status = cks_reader_join(&reader);
  if (status == CKS_OK) status = cks_arena_status(reader.table->arena, error);
  if (status == CKS_OK) {
    cks_reader_shrink(&reader);
    *out = reader.table;
  } else {
    cks_table_free(reader.table);
  }
  reader_release(&reader);
  return status;
}

cks_status cks_read(const cks_settings *settings, size_t n_source, const cks_source *sources, cks_findings *findings,
                    cks_table **out, cks_error *error)
{
  return read_all(settings, n_source, sources, true, findings, out, error);
}

cks_status cks_read_places(const cks_settings *settings, const cks_source *source, cks_findings *findings,
                           cks_table **out, cks_error *error)
{
  return read_all(settings, 1, source, false, findings, out, error);
}
