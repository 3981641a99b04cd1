/*
 * workbook.c: a report as an .xlsx workbook: a sheet a section that begins a page, tables as cells with the unrounded
 * value and a format, native charts. Text is always a string: a name `=1+1` stays a name. Two runs give the same bytes.
 *
 * The library wants a path and prints by itself when it cannot write there, so the path is tried first; its own scratch
 * files go to the same folder, which is then known to be there (one that is not it would pass over in silence).
 */
#include "workbook.h"

#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* 2020-01-01: any fixed day makes two runs alike. */
static const time_t CREATED = 1577836800;

static cks_status status_of(lxw_error result)
{
  if (result == LXW_NO_ERROR) return CKS_OK;
  if (result == LXW_ERROR_MEMORY_MALLOC_FAILED) return CKS_NOMEM;
  if (result >= LXW_ERROR_CREATING_XLSX_FILE && result <= LXW_ERROR_ZIP_CLOSE) return CKS_IO;
  if (result == LXW_ERROR_WORKSHEET_INDEX_OUT_OF_RANGE) return CKS_LIMIT;
  return CKS_INTERNAL;
}

void cks_book_check(cks_book *book, lxw_error result)
{
  if (result == LXW_NO_ERROR || book->status != CKS_OK) return;
  cks_status status = status_of(result);
  book->status = cks_error_set(book->error, status, "cannot write the workbook: %s%s", lxw_strerror(result),
                               status == CKS_IO ? " (is the disk full?)" : "");
}

/* Tries the path, so that the library meets no surprise there. */
static cks_status try_path(const char *path, cks_error *error)
{
  FILE *file = fopen(path, "wb");
  if (!file) return cks_error_set(error, CKS_IO, "cannot write '%s': %s", path, strerror(errno));
  if (fclose(file)) return cks_error_set(error, CKS_IO, "cannot write '%s': %s", path, strerror(errno));
  return CKS_OK;
}

static char *folder_of(const char *path)
{
  const char *slash = strrchr(path, '/');
  size_t n = slash == path ? 1 : slash ? (size_t)(slash - path) : 1;
  char *folder = malloc(n + 1);
  if (!folder) return NULL;
  memcpy(folder, slash ? path : ".", n);
  folder[n] = '\0';
  return folder;
}

/* The arrays of the book, as large as they can become. */
static cks_status make_room(cks_book *book)
{
  const cks_report *report = book->report;
  size_t n_part = 1, n_sheet = 0;
  for (size_t s = 0; s < report->n_section; s++) n_part += report->section[s].n_part;
  n_sheet = report->n_section + n_part;
  book->name = calloc(n_sheet, sizeof *book->name);
  book->sheet = calloc(n_sheet, sizeof *book->sheet);
  book->table = calloc(n_part, sizeof *book->table);
  book->chart = calloc(n_part, sizeof *book->chart);
  book->arena = cks_arena_new();
  return book->arena && book->name && book->sheet && book->table && book->chart ? CKS_OK : cks_error_nomem(book->error);
}

static void set_properties(cks_book *book)
{
  const cks_report *report = book->report;
  lxw_doc_properties properties = {.title = (char *)report->title,
                                   .company = (char *)report->organization,
                                   .comments = (char *)report->footer,
                                   .created = CREATED};
  cks_book_check(book, workbook_set_properties(book->workbook, &properties));
}

cks_status cks_write_workbook(const cks_report *report, const char *scratch_path, cks_error *error)
{
  char *folder = NULL;
  cks_book *book = calloc(1, sizeof *book);
  if (!book) return cks_error_nomem(error);
  book->report = report;
  book->error = error;
  book->status = try_path(scratch_path, error);
  if (book->status == CKS_OK) book->status = make_room(book);
  if (book->status == CKS_OK && !(folder = folder_of(scratch_path))) book->status = cks_error_nomem(error);
  if (book->status != CKS_OK) goto done;
  lxw_workbook_options options = {.tmpdir = folder};
  book->workbook = workbook_new_opt(scratch_path, &options);
  if (!book->workbook) {
    book->status = cks_error_nomem(error);
    goto done;
  }
  set_properties(book);
  cks_book_sections(book);
  cks_book_charts(book);
  if (book->status == CKS_OK) book->status = cks_arena_status(book->arena, error);
  if (book->status == CKS_OK) {
    lxw_error result = workbook_close(book->workbook); /* frees it too */
    book->workbook = NULL;
    cks_book_check(book, result);
  }
done:
  if (book->workbook) lxw_workbook_free(book->workbook);
  cks_status status = book->status;
  free(folder);
  cks_arena_free(book->arena);
  free(book->row);
  free(book->chart);
  free(book->table);
  free(book->sheet);
  free(book->name);
  free(book);
  return status;
}
