/*
 * fuzz_read_csv.c: cks_read() on any bytes: it must end, free everything, and give a table that keeps its own promises.
 *
 * The first byte chooses settings; the rest is cut at bytes 0xFF into at most three files, so that stacking is met too.
 */
#include <checkstrip/run.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { FILES = 3 };

typedef struct {
  const uint8_t *bytes;
  size_t n;
} input;

static ptrdiff_t pull(void *from, char *bytes, size_t n)
{
  input *in = from;
  size_t part = in->n < n ? in->n : n;
  if (part) memcpy(bytes, in->bytes, part);
  in->bytes += part;
  in->n -= part;
  return (ptrdiff_t)part;
}

static void demand(bool kept)
{
  if (!kept) abort();
}

/* What table.h says about a table. */
static void check_table(const cks_table *table, size_t n_source)
{
  size_t rows = 0;
  demand(table->n_file <= n_source); /* a workbook is an entry a sheet; no small input makes two */
  for (size_t i = 0; i < table->n_file; i++) rows += table->file_row[i];
  demand(rows == table->n_row);
  for (size_t i = 0; i < table->n_column; i++) {
    const cks_column *column = &table->column[i];
    demand((column->kind == CKS_NAME) == (column->name != NULL) &&
           (column->kind != CKS_NAME) == (column->number != NULL));
    for (size_t row = 0; row < table->n_row; row++) {
      if (column->kind == CKS_NAME)
        demand(column->name[row] == CKS_NONE || column->name[row] < table->names.n);
      else
        demand(!isinf(column->number[row]));
      if (column->kind == CKS_DATE && !cks_is_missing(column->number[row]))
        demand(column->number[row] == floor(column->number[row]));
    }
    for (size_t j = 0; j < i; j++) {
      const cks_column *other = &table->column[j];
      bool basis = other->basis_pct == column->basis_pct || (isnan(other->basis_pct) && isnan(column->basis_pct));
      demand(other->role != column->role || strcmp(other->key, column->key) != 0 ||
             strcmp(other->observer, column->observer) != 0 || other->unit != column->unit || !basis);
    }
  }
  for (size_t row = 1; row < table->n_row; row++)
    demand(table->file[row - 1] < table->file[row] ||
           (table->file[row - 1] == table->file[row] &&
            table->line[row - 1] <= table->line[row])); /* a line of a wide table is several plots */
  for (size_t i = 0; i < table->n_odd; i++) {
    const cks_odd *odd = &table->odd[i];
    demand(odd->row < table->n_row && odd->column < table->n_column && odd->text < table->names.n);
    demand(!i || odd[-1].row < odd->row || (odd[-1].row == odd->row && odd[-1].column < odd->column));
  }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
  input in[FILES];
  cks_source source[FILES];
  size_t n = 0;
  cks_setting_pair heading = {"yield", "grain"}, unit = {"moisture", "%"}, trait = {"threshing", NULL},
                   missing = {"-9", NULL};
  cks_settings settings = {.alpha = 0.05, .moisture_pct = NAN};
  unsigned choice = size ? *data++ : 0;
  size -= size > 0;
  settings.decimal_comma = choice & 1;
  settings.dates = choice & 2 ? CKS_DATES_DMY : choice & 4 ? CKS_DATES_MDY : CKS_DATES_UNKNOWN;
  if (choice & 8) settings.heading = (cks_setting_list){1, &heading};
  if (choice & 16) settings.unit = (cks_setting_list){1, &unit};
  if (choice & 32) settings.trait = (cks_setting_list){1, &trait};
  if (choice & 64) settings.missing = (cks_setting_list){1, &missing};
  while (n < FILES) {
    const uint8_t *cut = size && n + 1 < FILES ? memchr(data, 0xFF, size) : NULL;
    size_t part = cut && !(choice & 128) ? (size_t)(cut - data) : size;
    in[n] = (input){data, part};
    source[n] = (cks_source){"input.csv", pull, &in[n]};
    n++;
    if (part == size) break;
    data += part + 1;
    size -= part + 1;
  }
  cks_findings *findings = NULL;
  cks_table *table = NULL;
  if (cks_findings_new(&findings, NULL) != CKS_OK) return 0;
  cks_status status = cks_read(&settings, n, source, findings, &table, NULL);
  demand((status == CKS_OK) == (table != NULL));
  if (table) check_table(table, n);
  cks_table_free(table);
  cks_findings_free(findings);
  return 0;
}
