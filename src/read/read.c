/*
 * read.c: sources to one table: each file, and each sheet of a workbook, is parsed, matched and typed in one pass, its rows stacked on those before.
 *
 * A file that cannot be used adds findings and no rows; the others are read all the same.
 */
#include "columns.h"

#include <stdlib.h>
#include <string.h>

static cks_status reader_init(cks_reader *reader, const cks_settings *settings, bool places, cks_findings *findings,
                              cks_error *error)
{
  *reader = (cks_reader){.reading = {settings, findings, error, CKS_NONE}, .all_headings = true, .places = places};
  reader->c = newlocale(LC_ALL_MASK, "C", (locale_t)0);
  cks_table *table = reader->table = calloc(1, sizeof *table);
  bool *met = calloc(settings->heading.n + settings->unit.n + settings->trait.n + settings->sheet.n + 1, sizeof *met);
  reader->context = (cks_heading_context){settings, &reader->vocabulary, met, met, met};
  if (!reader->c || !table || !met) return cks_error_nomem(error);
  reader->context.unit_met += settings->heading.n;
  reader->context.trait_met += settings->heading.n + settings->unit.n;
  reader->sheet_met = reader->context.trait_met + settings->trait.n;
  table->arena = cks_arena_new();
  if (!table->arena) return cks_error_nomem(error);
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

/* An entry without rows: an error, but for a sheet that nobody named. */
static cks_status say_empty(cks_reader *reader, const cks_rows_from *from)
{
  cks_where where = {reader->reading.file, CKS_NONE, 0, 0};
  const char *kind = from->source ? "file" : "sheet";
  if (from->optional)
    return cks_findings_add(reader->reading.findings, CKS_RULE_SHEET_SKIPPED, where, NULL, NULL, reader->reading.error,
                            "the sheet holds no heading line with rows below it and was not read");
  return cks_findings_add(reader->reading.findings, CKS_RULE_EMPTY_TABLE, where, NULL, NULL, reader->reading.error,
                          reader->in_heading
                              ? "the %s is empty, expected a heading line and a row a plot; give another %s"
                              : "the %s has a heading line and no rows, expected a row a plot; give another %s",
                          kind, kind);
}

static void begin_part(cks_reader *reader, const cks_rows_from *from)
{
  reader->sheet = !from->source;
  free(reader->slot);
  reader->slot = NULL;
  reader->n_slot = reader->n_needed = reader->n_cell = reader->n_filled = reader->n_extra = 0;
  reader->in_heading = true;
  reader->faulty = false;
  reader->first_row = reader->table->n_row;
  reader->first_odd = reader->table->n_odd;
}

/* The entry's rows are rows of the table. */
static cks_status list_part(cks_reader *reader)
{
  cks_table *table = reader->table;
  uint32_t *rows = realloc(table->file_row, (table->n_file + 1) * sizeof *rows);
  if (rows) table->file_row = rows;
  cks_id *ids = realloc(table->file_id, (table->n_file + 1) * sizeof *ids);
  if (ids) table->file_id = ids;
  if (!rows || !ids) return cks_error_nomem(reader->reading.error);
  ids[table->n_file] = reader->reading.file;
  rows[table->n_file++] = (uint32_t)(table->n_row - reader->first_row);
  return CKS_OK;
}

cks_status cks_reader_part(cks_reader *reader, const cks_rows_from *from)
{
  cks_row_handler handler = {reader, cks_reader_cell, cks_reader_row, cks_reader_drop};
  bool refused = false;
  begin_part(reader, from);
  cks_status status = from->source ? cks_csv_read(&reader->reading, from->source, &handler, &refused)
                                   : cks_xlsx_read(from->xlsx, from->sheet, &reader->reading, &handler, &refused);
  if (status == CKS_OK) status = reader->status;
  reader->faulty = reader->faulty || refused;
  if (reader->in_heading) reader->n_slot = 0; /* there are headings, but not what they stand for */
  bool empty = !reader->faulty && reader->table->n_row == reader->first_row;
  if (status == CKS_OK && empty) status = say_empty(reader, from);
  if (status == CKS_OK) status = cks_reader_settle(reader);
  if (status != CKS_OK || (empty && from->optional)) return status;
  cks_reader_fill(reader);
  reader->all_headings = reader->all_headings && !reader->in_heading;
  return list_part(reader);
}

/* A source whose first bytes were looked at. */
typedef struct {
  const cks_source *source;
  unsigned char head[4];
  size_t n, at;
  bool failed;
} peeked;

static void peek(peeked *p, const cks_source *source)
{
  *p = (peeked){.source = source};
  for (ptrdiff_t got = 1; got > 0 && p->n<sizeof p->head; p->n += got> 0 ? (size_t)got : 0) {
    got = source->read(source->from, (char *)p->head + p->n, sizeof p->head - p->n);
    p->failed = got < 0 || (size_t)got > sizeof p->head - p->n;
    if (p->failed) break;
  }
}

static ptrdiff_t read_peeked(void *from, char *bytes, size_t n)
{
  peeked *p = from;
  size_t part = p->n - p->at < n ? p->n - p->at : n;
  if (p->failed) return -1;
  if (!part) return p->source->read(p->source->from, bytes, n);
  memcpy(bytes, p->head + p->at, part);
  p->at += part;
  return (ptrdiff_t)part;
}

static cks_status read_source(cks_reader *reader, const cks_source *source)
{
  peeked p;
  cks_source whole = {source->name, read_peeked, &p};
  cks_status status =
      cks_findings_file(reader->reading.findings, source->name, &reader->reading.file, reader->reading.error);
  if (status != CKS_OK) return status;
  peek(&p, source);
  if (cks_xlsx_is(p.head, p.n)) return cks_reader_workbook(reader, &whole);
  return cks_reader_part(reader, &(cks_rows_from){.source = &whole});
}

/* places: the places table, where headings, units, traits and sheets of the settings need not be. */
static cks_status read_all(const cks_settings *settings, size_t n_source, const cks_source *sources, bool places,
                           cks_findings *findings, cks_table **out, cks_error *error)
{
  cks_reader reader;
  *out = NULL;
  cks_status status = reader_init(&reader, settings, places, findings, error);
  if (status == CKS_OK) status = check_roles(&reader);
  for (size_t i = 0; i < n_source && status == CKS_OK; i++) status = read_source(&reader, &sources[i]);
  if (status == CKS_OK && !places) status = cks_reader_unmet(&reader);
  if (status == CKS_OK && !places) status = cks_reader_unmet_sheets(&reader);
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
  return read_all(settings, n_source, sources, false, findings, out, error);
}

cks_status cks_read_places(const cks_settings *settings, const cks_source *source, cks_findings *findings,
                           cks_table **out, cks_error *error)
{
  return read_all(settings, 1, source, true, findings, out, error);
}
