/*
 * read.c: sources to one table: each file, and each sheet of a workbook, is parsed, matched and typed in one pass, its rows stacked on those before.
 *
 * A file that cannot be used adds findings and no rows; the others are read all the same.
 */
#include "columns.h"

#include <stdlib.h>
#include <string.h>

/* What the tables of a read hold. */
typedef struct {
  const char *thing; /* what a row stands for; NULL: a plot */
  bool weather;      /* a row a day */
  bool any_year;     /* days of the year: a date may do without one */
} rows_of;

static cks_status reader_init(cks_reader *reader, const cks_settings *settings, const rows_of *of,
                              cks_findings *findings, cks_error *error)
{
  *reader =
      (cks_reader){.reading = {settings, findings, error, CKS_NONE}, .thing = of->thing, .any_year = of->any_year};
  reader->c = newlocale(LC_ALL_MASK, "C", (locale_t)0);
  cks_table *table = reader->table = calloc(1, sizeof *table);
  if (!reader->c || !table || !(table->arena = cks_arena_new())) return cks_error_nomem(error);
  size_t n_heading = settings->heading.n, n_unit = settings->unit.n, n_trait = settings->trait.n;
  bool *met = cks_arena_take(table->arena, n_heading + n_unit + n_trait + settings->missing.n + settings->sheet.n + 1,
                             sizeof *met);
  if (!met) return cks_error_nomem(error);
  table->option_met = met;
  table->headings_read = true;
  reader->context =
      (cks_heading_context){settings, &reader->vocabulary, met,        met + n_heading, met + n_heading + n_unit,
                            false,    of->thing != NULL,   of->weather};
  reader->missing_met = met + n_heading + n_unit + n_trait;
  reader->sheet_met = reader->missing_met + settings->missing.n;
  return cks_vocabulary_init(&reader->vocabulary, of->weather ? CKS_WORDS_WEATHER : CKS_WORDS_PLOTS, error);
}

static void reader_release(cks_reader *reader)
{
  if (reader->c) freelocale(reader->c);
  cks_vocabulary_release(&reader->vocabulary);
  cks_names_release(&reader->reported);
  free(reader->heading);
  free(reader->judged);
  free(reader->slot);
}

/* --heading must name roles that there are: anything else is a wrong call, not a flaw of the data. */
static cks_status check_roles(const cks_reader *reader)
{
  const cks_setting_list *list = &reader->reading.settings->heading;
  cks_error *error = reader->reading.error;
  cks_role role;
  char given[CKS_SHELL_WORD];
  cks_vocabulary any = {0};
  cks_status status = list->n ? cks_vocabulary_init(&any, CKS_WORDS_ANY, error) : CKS_OK;
  for (size_t i = 0; i < list->n && status == CKS_OK; i++) {
    const char *key = list->pair[i].key, *value = list->pair[i].value;
    if (cks_vocabulary_find(&any, key, strlen(key), &role)) continue;
    if (cks_vocabulary_near(&any, key, strlen(key), &role))
      status = cks_error_set(error, CKS_USAGE, "--heading %s=\"%s\": '%s' is no role; did you mean '%s'?", key, value,
                             key, cks_role_find(role)->key);
    else
      status = cks_error_set(error, CKS_USAGE,
                             "--heading %s=\"%s\": '%s' is no role ('checkstrip help headings' lists them); --trait %s "
                             "takes a numeric column of any name",
                             key, value, key, cks_shell_word(given, value));
  }
  cks_vocabulary_release(&any);
  return status;
}

/* An entry without rows: an error, but for a sheet that nobody named. */
static cks_status say_empty(cks_reader *reader, const cks_rows_from *from)
{
  cks_where where = {reader->reading.file, CKS_NONE, 0, 0};
  const char *kind = from->source ? "file" : "sheet", *thing = reader->thing ? reader->thing : "plot";
  if (from->optional)
    return cks_findings_add(reader->reading.findings, CKS_RULE_SHEET_SKIPPED, where, NULL, NULL, reader->reading.error,
                            "the sheet holds no headings of a table of %ss with rows below them and was not read; "
                            "--sheet names the sheets that are to be read",
                            thing);
  return cks_findings_add(reader->reading.findings, CKS_RULE_EMPTY_TABLE, where, NULL, NULL, reader->reading.error,
                          reader->in_heading
                              ? "the %s is empty, expected a heading line and a row a %s; give another %s"
                              : "the %s has a heading line and no rows, expected a row a %s; give another %s",
                          kind, thing, kind);
}

static void begin_part(cks_reader *reader, const cks_rows_from *from)
{
  reader->sheet = !from->source;
  free(reader->slot);
  reader->slot = NULL;
  reader->n_slot = reader->n_needed = reader->n_cell = reader->n_filled = reader->n_extra = 0;
  reader->in_heading = true;
  reader->faulty = reader->ended = false;
  reader->word = CKS_NONE;
  reader->first_row = reader->table->n_row;
  reader->first_odd = reader->part_odd = reader->table->n_odd;
  reader->row = reader->table->n_row;
  reader->look = (cks_look){false, SIZE_MAX, SIZE_MAX, SIZE_MAX, SIZE_MAX, SIZE_MAX, false, false};
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

/* Keeps the text that stands alone above a table of hybrids without a location: it may be that. */
static cks_status keep_lone(cks_reader *reader, const cks_form *form)
{
  bool hybrid = false, location = false;
  for (size_t i = 0; i < reader->n_slot && reader->slot; i++) {
    if (reader->slot[i].column == CKS_NONE) continue;
    cks_role role = reader->table->column[reader->slot[i].column].role;
    hybrid |= role == CKS_ROLE_HYBRID || role == CKS_ROLE_TREATMENT || role == CKS_ROLE_ENTRY || role == CKS_ROLE_CODE;
    location |= role == CKS_ROLE_LOCATION;
  }
  cks_lone *lone = hybrid && !location ? cks_arena_take(reader->table->arena, 1, sizeof *lone) : NULL;
  if (!lone) return cks_arena_status(reader->table->arena, reader->reading.error);
  *lone =
      (cks_lone){cks_arena_text(reader->table->arena, form->lone), reader->reading.file, form->lone_line, reader->lone};
  reader->lone = lone;
  return CKS_OK;
}

/* The rows through the finder into the table. */
static cks_status read_rows(cks_reader *reader, const cks_rows_from *from)
{
  cks_heading_context asking = reader->context;
  cks_finder finder;
  bool refused = false;
  asking.asking = true;
  reader->form = &finder.form;
  cks_status status = cks_finder_init(
      &finder, &reader->reading, &asking,
      (cks_row_handler){reader, cks_reader_cell, cks_reader_row, cks_reader_drop, cks_reader_copied, cks_reader_from});
  finder.may_skip = from->optional && !reader->thing;
  cks_row_handler handler = cks_finder_handler(&finder);
  if (status == CKS_OK)
    status = from->source ? cks_csv_read(&reader->reading, from->source, &handler, &refused)
                          : cks_xlsx_read(from->xlsx, from->sheet, &reader->reading, &handler, &refused);
  if (status == CKS_OK && !refused) status = cks_finder_end(&finder);
  if (status == CKS_OK) status = reader->status;
  if (status == CKS_OK && finder.form.lone) status = keep_lone(reader, &finder.form);
  cks_finder_release(&finder);
  reader->faulty = reader->faulty || refused;
  return status;
}

cks_status cks_reader_part(cks_reader *reader, const cks_rows_from *from)
{
  begin_part(reader, from);
  cks_status status = read_rows(reader, from);
  if (reader->in_heading) reader->n_slot = 0; /* there are headings, but not what they stand for */
  bool empty = !reader->faulty && reader->table->n_row == reader->first_row;
  if (status == CKS_OK && empty) status = say_empty(reader, from);
  if (status == CKS_OK) status = cks_reader_settle(reader, 0);
  if (status != CKS_OK || (empty && from->optional)) return status;
  cks_reader_fill(reader);
  status = cks_reader_observe(reader);
  if (status != CKS_OK) return status;
  reader->table->headings_read = reader->table->headings_read && !reader->in_heading;
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

static bool is_same_path(const char *a, const char *b)
{
  while (!strncmp(a, "./", 2)) a += 2;
  while (!strncmp(b, "./", 2)) b += 2;
  return *a && !strcmp(a, b);
}

/* A file that was read already would make each plot two. */
static cks_status say_twice(cks_reader *reader, const cks_source *source)
{
  cks_status status =
      cks_findings_file(reader->reading.findings, source->name, &reader->reading.file, reader->reading.error);
  return status != CKS_OK ? status
                          : cks_findings_add(reader->reading.findings, CKS_RULE_FILE_TWICE,
                                             (cks_where){reader->reading.file, CKS_NONE, 0, 0}, NULL, NULL,
                                             reader->reading.error, "this file is given twice; give it once");
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

static cks_status read_all(const cks_settings *settings, size_t n_source, const cks_source *sources, const rows_of *of,
                           cks_findings *findings, cks_table **out, cks_error *error)
{
  cks_reader reader;
  const char *thing = of->thing;
  *out = NULL;
  cks_status status = reader_init(&reader, settings, of, findings, error);
  if (status == CKS_OK) status = check_roles(&reader);
  for (size_t i = 0; i < n_source && status == CKS_OK; i++) {
    bool twice = false;
    for (size_t j = 0; j < i; j++) twice |= is_same_path(sources[i].name, sources[j].name);
    status = twice ? say_twice(&reader, &sources[i]) : read_source(&reader, &sources[i]);
  }
  if (status == CKS_OK) cks_reader_drop_looks(&reader);
  if (status == CKS_OK && !thing) status = cks_reader_locations_above(&reader);
  if (status == CKS_OK && !thing) status = cks_reader_unmet_sheets(&reader);
  if (status == CKS_OK && !thing) status = cks_reader_join(&reader);
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
  return read_all(settings, n_source, sources, &(rows_of){0}, findings, out, error);
}

cks_status cks_read_side(const cks_settings *settings, const cks_source *source, const char *thing,
                         cks_findings *findings, cks_table **out, cks_error *error)
{
  return read_all(settings, 1, source, &(rows_of){.thing = thing}, findings, out, error);
}

cks_status cks_read_weather(const cks_settings *settings, size_t n_source, const cks_source *sources, bool any_year,
                            cks_findings *findings, cks_table **out, cks_error *error)
{
  enum { A_LEAP_YEAR = 2000 };
  cks_settings with = *settings;
  if (any_year) with.year = A_LEAP_YEAR;
  return read_all(&with, n_source, sources, &(rows_of){.thing = "day", .weather = true, .any_year = any_year}, findings,
                  out, error);
}
