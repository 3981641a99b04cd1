/*
 * xlsx_merged.c: the merged ranges of a sheet. They stand behind its rows, so the part is looked through first, and
 * parsed only when the word occurs in it.
 */
#include "xlsx_parts.h"

#include <stdlib.h>
#include <string.h>

enum { SHEET = 1, LIST, MERGED };
static const cks_xml_step steps[] = {{0, "worksheet", SHEET}, {SHEET, "mergeCells", LIST}, {LIST, "mergeCell", MERGED}};
static const char word[] = "mergeCell";
enum { WORD = sizeof word - 1 };

typedef struct {
  cks_package *package;
  cks_xlsx_merged *merged;
} merged_run;

bool cks_xlsx_cell_name(const char **text, uint32_t *row, uint32_t *column)
{
  const char *at = *text;
  *row = *column = 0;
  at += *at == '$';
  for (; *at && ((*at >= 'A' && *at <= 'Z') || (*at >= 'a' && *at <= 'z')) && *column < CKS_XLSX_ROWS; at++)
    *column = *column * 26 + (uint32_t)((*at | 0x20) - 'a' + 1);
  at += *at == '$';
  for (; *at >= '0' && *at <= '9' && *row <= CKS_XLSX_ROWS; at++) *row = *row * 10 + (uint32_t)(*at - '0');
  *text = at;
  return *row > 0 && *row <= CKS_XLSX_ROWS && *column > 0 && *column <= CKS_XLSX_ROWS;
}

static bool occurs(cks_package *package, cks_id id)
{
  cks_zip_part part;
  bool found = false;
  char *piece = malloc(CKS_READ_PIECE);
  size_t kept = 0; /* the end of the last piece, where the word may have begun */
  if (!piece) {
    cks_package_fail(package, cks_error_nomem(package->reading->error));
    return false;
  }
  cks_zip_part_open(&part, package, id);
  for (size_t n; !found && (n = cks_zip_part_read(&part, piece + kept, CKS_READ_PIECE - kept)) > 0;) {
    const char *at = piece, *end = piece + kept + n;
    while (!found && (at = memchr(at, word[0], (size_t)(end - at))) && end - at >= WORD)
      found = !memcmp(at++, word, WORD);
    kept = kept + n < WORD ? kept + n : WORD - 1;
    memmove(piece, end - kept, kept);
  }
  cks_zip_part_close(&part);
  free(piece);
  return found;
}

static void on_open(void *to, unsigned state, const char *const *attribute)
{
  merged_run *run = to;
  cks_xlsx_merged *merged = run->merged;
  cks_cell_range range;
  const char *text = state == MERGED ? cks_xml_attribute(attribute, "ref") : NULL;
  if (!text || !cks_xlsx_cell_name(&text, &range.row, &range.column) || *text++ != ':' ||
      !cks_xlsx_cell_name(&text, &range.last_row, &range.last_column))
    return; /* one cell alone, or no range */
  if (range.last_row < range.row || range.last_column < range.column) return;
  if (merged->n == CKS_XLSX_MERGED) {
    cks_package_refuse(run->package, CKS_RULE_TOO_LARGE, 0,
                       "the sheet has more than %d merged ranges; take the merging out and fill the cells",
                       CKS_XLSX_MERGED);
    return;
  }
  if (merged->n == merged->room) {
    size_t room = merged->room ? merged->room * 2 : 64;
    cks_cell_range *grown = realloc(merged->range, room * sizeof *grown);
    if (!grown) {
      cks_package_fail(run->package, cks_error_nomem(run->package->reading->error));
      return;
    }
    merged->range = grown;
    merged->room = room;
  }
  merged->range[merged->n++] = range;
}

static int compare(const void *left, const void *right)
{
  const cks_cell_range *a = left, *b = right;
  if (a->row != b->row) return a->row < b->row ? -1 : 1;
  return a->column < b->column ? -1 : a->column > b->column;
}

void cks_xlsx_read_merged(cks_package *package, cks_id part, cks_xlsx_merged *merged)
{
  merged_run run = {package, merged};
  cks_xml xml = {
      .package = package, .step = steps, .n_step = sizeof steps / sizeof *steps, .to = &run, .begin = on_open};
  if (occurs(package, part) && cks_package_goes_on(package)) cks_xml_read(&xml, part);
  if (merged->n) qsort(merged->range, merged->n, sizeof *merged->range, compare);
}
