/*
 * fuzz_read_xlsx.c: cks_read() on any workbook: it must end, free everything, and give a table whose rows keep order.
 *
 * The first byte chooses: the rest is the file itself, or one of its parts (sheet, texts, styles, workbook), packed
 * into a zip file here, so that a fuzzer need not learn check sums.
 */
#include <checkstrip/run.h>

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <zip.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

#define LINK(id, type, target) "<Relationship Id=\"" id "\" Type=\"x/" type "\" Target=\"" target "\"/>"
static const struct {
  const char *name, *text;
} parts[] = {{"s.xml",
              "<worksheet><sheetData><row><c t=\"s\"><v>0</v></c><c><v>1</v></c></row><row><c t=\"s\"><v>1</v></c>"
              "<c s=\"1\"><v>92.3</v></c></row></sheetData></worksheet>"},
             {"t.xml", "<sst><si><t>hybrid</t></si><si><t>yield</t></si></sst>"},
             {"f.xml", "<styleSheet><cellXfs><xf/><xf numFmtId=\"14\"/></cellXfs></styleSheet>"},
             {"w.xml", "<workbook xmlns:r=\"r\"><sheets><sheet name=\"A\" r:id=\"s\"/></sheets></workbook>"},
             {"_rels/w.xml.rels", "<Relationships>" LINK("s", "worksheet", "s.xml") LINK("t", "sharedStrings", "t.xml")
                                      LINK("f", "styles", "f.xml") "</Relationships>"},
             {"_rels/.rels", "<Relationships>" LINK("w", "officeDocument", "w.xml") "</Relationships>"}};
enum { PARTS = sizeof parts / sizeof *parts };

typedef struct {
  const char *bytes;
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

/* A zip file of the parts, with data in the place of one; malloc. NULL: no memory. */
static char *pack(size_t which, const uint8_t *data, size_t size, size_t *n)
{
  char *bytes = NULL;
  zip_stat_t facts;
  zip_source_t *to = zip_source_buffer_create(NULL, 0, 0, NULL);
  if (!to) return NULL;
  zip_source_keep(to);
  zip_t *zip = zip_open_from_source(to, ZIP_CREATE | ZIP_TRUNCATE, NULL);
  for (size_t i = 0; zip && i < PARTS; i++) {
    const char *text = i == which ? (const char *)data : parts[i].text;
    zip_source_t *from = zip_source_buffer(zip, text, i == which ? size : strlen(text), 0);
    zip_int64_t at = from ? zip_file_add(zip, parts[i].name, from, 0) : -1;
    if (at >= 0) zip_set_file_compression(zip, (zip_uint64_t)at, ZIP_CM_STORE, 0);
  }
  if (zip && zip_close(zip) == 0 && zip_source_open(to) == 0) {
    if (zip_source_stat(to, &facts) == 0 && (bytes = malloc(facts.size + 1)))
      *n = (size_t)zip_source_read(to, bytes, facts.size);
    zip_source_close(to);
  }
  zip_source_free(to);
  return bytes;
}

static void read_book(const char *bytes, size_t n, const cks_settings *settings)
{
  input in = {bytes, n};
  cks_source source = {"input.xlsx", pull, &in};
  cks_findings *findings = NULL;
  cks_table *table = NULL;
  size_t rows = 0;
  if (cks_findings_new(&findings, NULL) != CKS_OK) return;
  cks_status status = cks_read(settings, 1, &source, findings, &table, NULL);
  demand((status == CKS_OK) == (table != NULL));
  for (size_t i = 0; table && i < table->n_file; i++) rows += table->file_row[i];
  demand(!table || rows == table->n_row);
  for (size_t row = 1; table && row < table->n_row; row++)
    demand(table->file[row - 1] < table->file[row] ||
           table->line[row - 1] <= table->line[row]);  /* a wide row is several */
  if (table && !table->n_row) demand(findings->n > 0); /* nothing is passed over in silence */
  cks_table_free(table);
  cks_findings_free(findings);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
  cks_settings settings = {.alpha = 0.05, .moisture_pct = NAN};
  unsigned choice = size ? *data++ : 0;
  size_t which = choice & 7, n = size - (size > 0);
  settings.decimal_comma = choice & 8;
  if (which >= PARTS) { /* the file itself */
    read_book((const char *)data, n, &settings);
    return 0;
  }
  size_t packed = 0;
  char *bytes = pack(which, data, n, &packed);
  if (bytes) read_book(bytes, packed, &settings);
  free(bytes);
  return 0;
}
