/*
 * workbook.c: which sheets of a workbook are read: those that --sheet names, else all that are not hidden; of a places
 * workbook the first one with rows. Each is an entry of its own, as if it were a file.
 */
#include "columns.h"

#include <stdio.h>
#include <string.h>
#include <strings.h>

/* Adds the sheet's name to the list that a message prints; a list that is full ends with "...". */
static void remember(cks_reader *reader, const char *name)
{
  size_t used = strlen(reader->sheets), room = sizeof reader->sheets - used;
  int n = snprintf(reader->sheets + used, room, "%s'%s'", used ? ", " : "", name);
  if (n < 0 || (size_t)n >= room) snprintf(reader->sheets + used, room, "%s", room > 5 ? ", ..." : "");
}

/* Whether --sheet names it; notes that it was met. */
static bool is_named(const cks_reader *reader, const char *name)
{
  const cks_setting_list *list = &reader->reading.settings->sheet;
  bool named = false;
  for (size_t i = 0; i < list->n; i++)
    if (!strcasecmp(list->pair[i].key, name)) named = reader->sheet_met[i] = true;
  return named;
}

static cks_status read_sheet(cks_reader *reader, cks_xlsx *xlsx, size_t sheet, const char *file, bool optional)
{
  cks_status status = cks_findings_sheet(reader->reading.findings, file, cks_xlsx_sheet_name(xlsx, sheet),
                                         &reader->reading.file, reader->reading.error);
  return status == CKS_OK ? cks_reader_part(reader, &(cks_rows_from){NULL, xlsx, sheet, optional}) : status;
}

static cks_status read_sheets(cks_reader *reader, cks_xlsx *xlsx, const char *file, bool *any)
{
  bool all = reader->thing != NULL || !reader->reading.settings->sheet.n;
  cks_id book = reader->reading.file;
  cks_status status = CKS_OK;
  size_t visible = 0;
  for (size_t i = 0; i < cks_xlsx_sheets(xlsx); i++) visible += !cks_xlsx_sheet_hidden(xlsx, i);
  for (size_t i = 0; i < cks_xlsx_sheets(xlsx) && status == CKS_OK && !(*any && reader->thing); i++) {
    const char *name = cks_xlsx_sheet_name(xlsx, i);
    bool hidden = cks_xlsx_sheet_hidden(xlsx, i), named = !reader->thing && is_named(reader, name);
    size_t before = reader->table->n_row;
    char given[CKS_SHELL_WORD];
    remember(reader, name);
    if (named || (all && !hidden)) {
      status = read_sheet(reader, xlsx, i, file, !named && visible > 1); /* a lone sheet is told what it lacks */
      *any = *any || named || reader->faulty || reader->table->n_row > before;
    } else if (all) {
      status = cks_findings_add(reader->reading.findings, CKS_RULE_SHEET_SKIPPED, (cks_where){book, CKS_NONE, 0, 0},
                                NULL, NULL, reader->reading.error,
                                "the sheet '%.100s' is hidden and was not read; give --sheet %s to read it", name,
                                cks_shell_word(given, name));
    }
  }
  return status;
}

static cks_status say_nothing_read(const cks_reader *reader, cks_id book)
{
  cks_where where = {book, CKS_NONE, 0, 0};
  if (reader->reading.settings->sheet.n && !reader->thing)
    return cks_findings_add(reader->reading.findings, CKS_RULE_SHEET_SKIPPED, where, NULL, NULL, reader->reading.error,
                            "no sheet of the workbook is named by --sheet; nothing of it was read");
  return cks_findings_add(reader->reading.findings, CKS_RULE_EMPTY_TABLE, where, NULL, NULL, reader->reading.error,
                          "no sheet of the workbook holds a heading line and a row a plot; give another file");
}

cks_status cks_reader_workbook(cks_reader *reader, const cks_source *source)
{
  cks_xlsx *xlsx = NULL;
  cks_id book = reader->reading.file;
  bool refused = false, any = false;
  cks_status status = cks_xlsx_open(&reader->reading, source, &xlsx, &refused);
  if (refused) reader->table->headings_read = false;
  if (status == CKS_OK && xlsx) {
    status = read_sheets(reader, xlsx, source->name, &any);
    if (status == CKS_OK && !any) status = say_nothing_read(reader, book);
  }
  cks_xlsx_free(xlsx);
  return status;
}

cks_status cks_reader_unmet_sheets(const cks_reader *reader)
{
  const cks_setting_list *list = &reader->reading.settings->sheet;
  cks_status status = CKS_OK;
  for (size_t i = 0; i < list->n && status == CKS_OK && reader->table->headings_read; i++) {
    if (reader->sheet_met[i]) continue;
    const char *found = *reader->sheets ? "the sheets are " : "no file is a workbook; leave --sheet out";
    status = cks_findings_add(reader->reading.findings, CKS_RULE_SHEET_NOT_THERE, CKS_NOWHERE, NULL, NULL,
                              reader->reading.error, "--sheet \"%.100s\" is not there; %s%s%s", list->pair[i].key,
                              found, reader->sheets, *reader->sheets ? ": name one of them" : "");
  }
  return status;
}
