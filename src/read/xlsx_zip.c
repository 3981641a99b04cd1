/*
 * xlsx_zip.c: a zip file in memory as named parts, read in pieces and counted as inflated.
 *
 * libzip checks each part's length and check sum. Names are compared without case (OPC, ECMA-376 part 2); a name that
 * stands twice is refused, since programs differ in which of the two they take.
 */
#include "xlsx_parts.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

bool cks_package_goes_on(const cks_package *package) { return package->status == CKS_OK && !package->refused; }

void cks_package_fail(cks_package *package, cks_status status)
{
  if (package->status == CKS_OK) package->status = status;
}

void cks_package_refuse(cks_package *package, cks_rule rule, uint32_t line, const char *format, ...)
{
  if (!cks_package_goes_on(package)) return;
  char text[CKS_XLSX_NAME + 400];
  va_list arguments;
  va_start(arguments, format);
  vsnprintf(text, sizeof text, format, arguments);
  va_end(arguments);
  package->refused = true;
  cks_where where = {package->reading->file, CKS_NONE, line, 0};
  package->status =
      cks_findings_add(package->reading->findings, rule, where, NULL, NULL, package->reading->error, "%s", text);
}

/* ---- the file ---------------------------------------------------------------------------------------------------- */

static void pull(cks_package *package, const cks_source *source)
{
  size_t room = 0;
  for (ptrdiff_t got = 1; got > 0 && package->n <= CKS_XLSX_BYTES;) {
    if (room - package->n < CKS_READ_PIECE) {
      room = room ? room * 2 : (size_t)CKS_READ_PIECE * 2;
      char *grown = realloc(package->bytes, room);
      if (!grown) {
        cks_package_fail(package, cks_error_nomem(package->reading->error));
        return;
      }
      package->bytes = grown;
    }
    got = source->read(source->from, package->bytes + package->n, CKS_READ_PIECE);
    if (got < 0 || got > CKS_READ_PIECE) {
      cks_package_fail(package, cks_error_set(package->reading->error, CKS_IO, "cannot read '%s'", source->name));
      return;
    }
    package->n += (size_t)got;
  }
  if (package->n > CKS_XLSX_BYTES)
    cks_package_refuse(package, CKS_RULE_TOO_LARGE, 0,
                       "the workbook is larger than %d MiB, the most that is read; save the sheet as CSV",
                       CKS_XLSX_BYTES >> 20);
}

static void refuse_zip(cks_package *package, zip_error_t *error)
{
  if (zip_error_code_zip(error) == ZIP_ER_MEMORY)
    cks_package_fail(package, cks_error_nomem(package->reading->error));
  else
    cks_package_refuse(package, CKS_RULE_WORKBOOK_DAMAGED, 0,
                       "the file begins as a workbook but is cut short or damaged (%s); copy it anew, or %s",
                       zip_error_strerror(error), CKS_XLSX_SAVE_AGAIN);
}

static void open_zip(cks_package *package)
{
  zip_error_t error;
  zip_error_init(&error);
  zip_source_t *source = zip_source_buffer_create(package->bytes, package->n, 0, &error);
  if (source) package->zip = zip_open_from_source(source, ZIP_RDONLY, &error);
  if (!package->zip) {
    refuse_zip(package, &error);
    zip_source_free(source);
  }
  zip_error_fini(&error);
}

/* name in lower case, with '/' between folders and none in front; its length, or 0 when it is too long. */
static size_t fold_name(char into[CKS_XLSX_NAME], const char *name)
{
  size_t n = 0;
  while (*name == '/' || *name == '\\') name++;
  for (; *name && n < CKS_XLSX_NAME - 1; name++) {
    char c = *name == '\\' ? '/' : *name;
    into[n++] = c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c;
  }
  into[n] = '\0';
  return *name ? 0 : n;
}

static void list_parts(cks_package *package)
{
  zip_int64_t n = zip_get_num_entries(package->zip, 0);
  if (n > CKS_XLSX_PARTS)
    cks_package_refuse(package, CKS_RULE_TOO_LARGE, 0, "the workbook has %lld parts, expected at most %d; %s",
                       (long long)n, CKS_XLSX_PARTS, CKS_XLSX_SAVE_AGAIN);
  for (zip_int64_t i = 0; i < n && cks_package_goes_on(package); i++) {
    char name[CKS_XLSX_NAME];
    const char *raw = zip_get_name(package->zip, (zip_uint64_t)i, 0);
    size_t length = raw ? fold_name(name, raw) : 0;
    cks_id id = CKS_NONE;
    if (!length) {
      cks_package_refuse(package, CKS_RULE_WORKBOOK_DAMAGED, 0, "a part of the workbook has no usable name; %s",
                         CKS_XLSX_SAVE_AGAIN);
      return;
    }
    cks_package_fail(package, cks_names_add(&package->part, name, length, &id, package->reading->error));
    if (package->status == CKS_OK && id != (cks_id)i)
      cks_package_refuse(package, CKS_RULE_WORKBOOK_DAMAGED, 0, "the workbook holds the part '%.200s' twice; %s", name,
                         CKS_XLSX_SAVE_AGAIN);
  }
}

void cks_package_open(cks_package *package, const cks_reading *reading, const cks_source *source)
{
  *package = (cks_package){.reading = reading};
  pull(package, source);
  if (cks_package_goes_on(package)) open_zip(package);
  if (cks_package_goes_on(package)) list_parts(package);
}

void cks_package_release(cks_package *package)
{
  if (package->zip) zip_discard(package->zip);
  cks_names_release(&package->part);
  free(package->bytes);
}

cks_id cks_package_find(const cks_package *package, cks_id from, const char *target)
{
  char path[2 * CKS_XLSX_NAME], folded[CKS_XLSX_NAME];
  const char *base = cks_names_text(&package->part, from), *slash = strrchr(base, '/');
  size_t n = 0;
  bool absolute = *target == '/' || *target == '\\';
  if (!fold_name(folded, target)) return CKS_NONE;
  if (slash && !absolute) {
    n = (size_t)(slash - base);
    memcpy(path, base, n);
  }
  for (const char *at = folded; *at;) {
    size_t step = strcspn(at, "/");
    if (step == 2 && !strncmp(at, "..", 2)) {
      if (!n) return CKS_NONE; /* above the root */
      while (n > 0 && path[--n] != '/') continue;
    } else if (step && !(step == 1 && *at == '.')) {
      if (n) path[n++] = '/';
      memcpy(path + n, at, step);
      n += step;
    }
    at += step;
    if (*at == '/') at++;
  }
  return n < CKS_XLSX_NAME ? cks_names_find(&package->part, path, n) : CKS_NONE;
}

/* ---- one part ---------------------------------------------------------------------------------------------------- */

static void refuse_part(const cks_zip_part *part, zip_error_t *error)
{
  int code = zip_error_code_zip(error);
  cks_package *package = part->package;
  const char *name = cks_names_text(&package->part, part->id);
  if (code == ZIP_ER_MEMORY)
    cks_package_fail(package, cks_error_nomem(package->reading->error));
  else if (code == ZIP_ER_NOPASSWD || code == ZIP_ER_ENCRNOTSUPP)
    cks_package_refuse(package, CKS_RULE_WORKBOOK_DAMAGED, 0,
                       "the workbook is protected by a password; save it without one");
  else
    cks_package_refuse(package, CKS_RULE_WORKBOOK_DAMAGED, 0,
                       "the part '%.200s' of the workbook is damaged (%s); copy the file anew, or %s", name,
                       zip_error_strerror(error), CKS_XLSX_SAVE_AGAIN);
}

void cks_zip_part_open(cks_zip_part *part, cks_package *package, cks_id id)
{
  zip_stat_t facts;
  *part = (cks_zip_part){.package = package, .id = id};
  if (zip_stat_index(package->zip, id, 0, &facts) == 0 && (facts.valid & ZIP_STAT_COMP_SIZE))
    part->packed = facts.comp_size;
  part->file = zip_fopen_index(package->zip, id, 0);
  if (!part->file) refuse_part(part, zip_get_error(package->zip));
}

size_t cks_zip_part_read(cks_zip_part *part, char *into, size_t n)
{
  cks_package *package = part->package;
  if (!part->file || !cks_package_goes_on(package)) return 0;
  zip_int64_t got = zip_fread(part->file, into, n);
  if (got < 0) {
    refuse_part(part, zip_file_get_error(part->file));
    return 0;
  }
  part->inflated += (uint64_t)got;
  package->inflated += (uint64_t)got;
  bool absurd = part->inflated > CKS_XLSX_RATIO_FROM && part->inflated / CKS_XLSX_RATIO > part->packed;
  if (absurd || part->inflated > CKS_XLSX_PART_BYTES || package->inflated > CKS_XLSX_INFLATED)
    cks_package_refuse(package, CKS_RULE_TOO_LARGE, 0,
                       "the workbook unpacks to more than is read (%llu MiB%s); take out empty formatted rows and "
                       "sheets that are not needed, or save the sheet as CSV",
                       (unsigned long long)(package->inflated >> 20), absurd ? ", from next to nothing" : "");
  return cks_package_goes_on(package) ? (size_t)got : 0;
}

void cks_zip_part_close(cks_zip_part *part)
{
  if (part->file) zip_fclose(part->file);
  part->file = NULL;
}
