/* make_xlsx.c: see make_xlsx.h. */
#include "make_xlsx.h"

#include "support.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <zip.h>

#define MAIN          "xmlns=\"http://schemas.openxmlformats.org/spreadsheetml/2006/main\""
#define OFFICE        "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
#define PACKAGE       "http://schemas.openxmlformats.org/package/2006"
#define RELATIONSHIPS "<Relationships xmlns=\"" PACKAGE "/relationships\">"

char *test_zip(size_t n_part, const test_part *part, size_t *n)
{
  zip_error_t error;
  zip_error_init(&error);
  zip_source_t *to = zip_source_buffer_create(NULL, 0, 0, &error);
  assert_non_null(to);
  zip_source_keep(to);
  zip_t *zip = zip_open_from_source(to, ZIP_CREATE | ZIP_TRUNCATE, &error);
  assert_non_null(zip);
  for (size_t i = 0; i < n_part; i++) {
    zip_source_t *from = zip_source_buffer(zip, part[i].text, strlen(part[i].text), 0);
    assert_non_null(from);
    zip_int64_t at = zip_file_add(zip, part[i].name, from, 0);
    assert_true(at >= 0);
    zip_file_set_mtime(zip, (zip_uint64_t)at, 1000000000, 0);
  }
  assert_int_equal(zip_close(zip), 0);
  zip_stat_t facts;
  assert_int_equal(zip_source_open(to), 0);
  assert_int_equal(zip_source_stat(to, &facts), 0);
  char *bytes = malloc(facts.size + 1);
  assert_non_null(bytes);
  assert_int_equal(zip_source_read(to, bytes, facts.size), facts.size);
  zip_source_close(to);
  zip_source_free(to);
  zip_error_fini(&error);
  *n = facts.size;
  return bytes;
}

char *test_book_bytes(const test_book *book, size_t *n)
{
  test_part part[TEST_SHEETS + 8] = {{"[Content_Types].xml", "<Types xmlns=\"" PACKAGE "/content-types\"/>"},
                                     {"_rels/.rels",
                                      RELATIONSHIPS "<Relationship Id=\"w\" Type=\"" OFFICE
                                                    "/officeDocument\" Target=\"/book/main.xml\"/></Relationships>"}};
  char name[TEST_SHEETS][32];
  size_t n_part = 2;
  cks_arena *arena = cks_arena_new();
  assert_non_null(arena);
  char *sheets = cks_arena_text(arena, ""), *links = cks_arena_text(arena, "");
  for (int i = 0; i < TEST_SHEETS && book->sheet[i].name; i++) {
    const test_sheet *sheet = &book->sheet[i];
    snprintf(name[i], sizeof name[i], "book/s/any%d.xml", i);
    part[n_part++] = (test_part){
        name[i], cks_arena_format(arena, "<worksheet " MAIN ">%s</worksheet>", sheet->content ? sheet->content : "")};
    sheets = cks_arena_format(arena, "%s<sheet name=\"%s\" sheetId=\"%d\" r:id=\"s%d\" %s/>", sheets, sheet->name,
                              i + 1, i, sheet->attribute ? sheet->attribute : "");
    links = cks_arena_format(arena, "%s<Relationship Id=\"s%d\" Type=\"" OFFICE "/worksheet\" Target=\"s/any%d.xml\"/>",
                             links, i, i);
  }
  if (book->styles) {
    links = cks_arena_format(
        arena, "%s<Relationship Id=\"st\" Type=\"" OFFICE "/styles\" Target=\"../book/look.xml\"/>", links);
    part[n_part++] =
        (test_part){"book/look.xml", cks_arena_format(arena, "<styleSheet " MAIN ">%s</styleSheet>", book->styles)};
  }
  if (book->strings) {
    links = cks_arena_format(
        arena, "%s<Relationship Id=\"ss\" Type=\"" OFFICE "/sharedStrings\" Target=\"./words.xml\"/>", links);
    part[n_part++] = (test_part){"book/words.xml", cks_arena_format(arena, "<sst " MAIN ">%s</sst>", book->strings)};
  }
  part[n_part++] =
      (test_part){"book/_rels/main.xml.rels", cks_arena_format(arena, RELATIONSHIPS "%s</Relationships>", links)};
  part[n_part++] =
      (test_part){"book/main.xml",
                  cks_arena_format(arena, "<workbook " MAIN " xmlns:r=\"" OFFICE "\">%s<sheets>%s</sheets></workbook>",
                                   book->before ? book->before : "", sheets)};
  char *bytes = test_zip(n_part, part, n);
  cks_arena_free(arena);
  return bytes;
}

char *test_sheet_rows(const char *cells)
{
  test_text text = {0};
  cks_sink sink = test_sink(&text);
  char piece[400];
  const char *begin = "<sheetData><row>", *end = "</row></sheetData>";
  sink.put(sink.to, begin, strlen(begin), NULL);
  for (const char *at = cells; *at;) {
    size_t n = strcspn(at, "|;");
    bool number = n > 0 && strspn(at, "-.0123456789") >= n;
    int length = snprintf(piece, sizeof piece,
                          number ? "<c><v>%.*s</v></c>" : "<c t=\"inlineStr\"><is><t>%.*s</t></is></c>", (int)n, at);
    if (at[n] == ';') length += snprintf(piece + length, sizeof piece - (size_t)length, "</row><row>");
    sink.put(sink.to, piece, (size_t)length, NULL);
    at += n + (at[n] != '\0');
  }
  sink.put(sink.to, end, strlen(end), NULL);
  return text.text;
}
