/*
 * xlsx_strings.c: the texts that cells share, in one pool: runs joined, phonetic parts left out, trimmed as a cell is.
 */
#include "xlsx_parts.h"

#include <stdlib.h>

enum { TABLE = 1, ITEM, RUN, TEXT };
static const cks_xml_step steps[] = {
    {0, "sst", TABLE}, {TABLE, "si", ITEM}, {ITEM, "t", TEXT}, {ITEM, "r", RUN}, {RUN, "t", TEXT}};

typedef struct {
  cks_package *package;
  cks_xlsx_strings *strings;
} strings_run;

static void refuse(const strings_run *run, const char *what)
{
  cks_package_refuse(run->package, CKS_RULE_TOO_LARGE, 0,
                     "the workbook holds %s than is read; save the sheet as CSV, in parts if need be", what);
}

static void on_open(void *to, unsigned state, const char *const *attribute)
{
  strings_run *run = to;
  cks_xlsx_strings *strings = run->strings;
  (void)attribute;
  if (state != ITEM) return;
  if (strings->n == CKS_XLSX_STRINGS) {
    refuse(run, "more different texts");
    return;
  }
  if (strings->n + 2 > strings->room) {
    size_t room = strings->room ? strings->room * 2 : 256;
    uint32_t *grown = realloc(strings->at, room * sizeof *grown);
    if (!grown) {
      cks_package_fail(run->package, cks_error_nomem(run->package->reading->error));
      return;
    }
    strings->at = grown;
    strings->room = room;
  }
  strings->at[strings->n] = (uint32_t)strings->pool.n;
}

static void on_text(void *to, unsigned state, const char *text, size_t n)
{
  strings_run *run = to;
  cks_xlsx_strings *strings = run->strings;
  if (state != TEXT) return;
  if (strings->pool.n - strings->at[strings->n] + n > CKS_XLSX_CELL_BYTES)
    refuse(run, "a longer text in one cell");
  else if (strings->pool.n + n > CKS_XLSX_STRING_BYTES)
    refuse(run, "more text");
  else if (!cks_bytes_add(&strings->pool, text, n))
    cks_package_fail(run->package, cks_error_nomem(run->package->reading->error));
}

static void on_close(void *to, unsigned state)
{
  strings_run *run = to;
  cks_xlsx_strings *strings = run->strings;
  if (state != ITEM) return;
  size_t begin = strings->at[strings->n], n = strings->pool.n - begin, from = 0;
  if (n) cks_xlsx_tidy(strings->pool.text + begin, &from, &n);
  strings->at[strings->n] = (uint32_t)(begin + from);
  strings->pool.n = begin + from + n;
  strings->at[++strings->n] = (uint32_t)strings->pool.n;
}

void cks_xlsx_read_strings(cks_package *package, cks_id part, cks_xlsx_strings *strings)
{
  strings_run run = {package, strings};
  cks_xml xml = {.package = package,
                 .step = steps,
                 .n_step = sizeof steps / sizeof *steps,
                 .to = &run,
                 .begin = on_open,
                 .end = on_close,
                 .text = on_text};
  cks_xml_read(&xml, part);
}

void cks_xlsx_strings_release(cks_xlsx_strings *strings)
{
  free(strings->at);
  free(strings->pool.text);
  *strings = (cks_xlsx_strings){0};
}
