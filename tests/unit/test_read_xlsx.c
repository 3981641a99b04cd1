/*
 * test_read_xlsx.c: what a workbook's cells are handed on as, and that no workbook, however odd, does harm.
 *
 * Workbooks are made by hand as zip files of XML (make_xlsx.h), and by libxlsxwriter. Layout of the parts: ECMA-376
 * part 1 (sections named beside the checks).
 */
#include "../../src/read/xlsx.h"
#include "../support/make_xlsx.h"
#include "../support/support.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>
#include <xlsxwriter.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))
enum { SHOWN = 1 << 14 };

/* ---- a workbook as text ------------------------------------------------------------------------------------------ */

typedef struct {
  char text[SHOWN];
  size_t n, n_cell, n_row;
  bool row_begun;
} shown;

static void put(shown *s, const char *text, size_t n)
{
  size_t room = SHOWN - 1 - s->n;
  n = n < room ? n : room;
  memcpy(s->text + s->n, text, n);
  s->text[s->n += n] = '\0';
}

static void take_cell(void *to, const char *text, size_t n, uint32_t line)
{
  shown *s = to;
  char number[16];
  snprintf(number, sizeof number, "%u:", line);
  s->n_cell++;
  put(s, s->row_begun ? "|" : number, s->row_begun ? 1 : strlen(number));
  put(s, text, n);
  s->row_begun = true;
}

static bool take_row(void *to, uint32_t line)
{
  shown *s = to;
  (void)line;
  s->row_begun = false;
  s->n_row++;
  put(s, ";", 1);
  return true;
}

static bool take_drop(void *to)
{
  put(to, "dropped;", strlen("dropped;"));
  return true;
}

typedef struct {
  shown rows; /* "1:a|b;2:c|d;" of all sheets, each behind its name when there are several or it is hidden */
  cks_findings *findings;
  cks_status status;
} look;

static look look_at(const char *bytes, size_t n, bool decimal_comma)
{
  look l = {.rows = {.text = ""}};
  cks_settings settings;
  cks_settings_defaults(&settings);
  settings.decimal_comma = decimal_comma;
  cks_reading reading = {&settings, NULL, NULL, 0};
  test_bytes from = {bytes, n, 0};
  cks_source source = test_source("a.xlsx", &from);
  cks_row_handler handler = {&l.rows, take_cell, take_row, take_drop, NULL, NULL};
  cks_xlsx *xlsx = NULL;
  bool refused = false;
  assert_int_equal(cks_findings_new(&l.findings, NULL), CKS_OK);
  reading.findings = l.findings;
  assert_int_equal(cks_findings_file(l.findings, "a.xlsx", &reading.file, NULL), CKS_OK);
  l.status = cks_xlsx_open(&reading, &source, &xlsx, &refused);
  assert_int_equal(l.status, CKS_OK);
  assert_true(refused == !xlsx && (!refused || l.findings->n_severity[CKS_ERROR] > 0));
  for (size_t i = 0; xlsx && i < cks_xlsx_sheets(xlsx); i++) {
    const char *name = cks_xlsx_sheet_name(xlsx, i);
    bool hidden = cks_xlsx_sheet_hidden(xlsx, i);
    if (cks_xlsx_sheets(xlsx) > 1 || hidden) {
      put(&l.rows, "[", 1);
      put(&l.rows, name, strlen(name));
      put(&l.rows, hidden ? ", hidden]" : "]", hidden ? strlen(", hidden]") : 1);
    }
    assert_int_equal(cks_findings_sheet(l.findings, "a.xlsx", name, &reading.file, NULL), CKS_OK);
    assert_int_equal(cks_xlsx_read(xlsx, i, &reading, &handler, &refused), CKS_OK);
    assert_true(!refused || l.findings->n_severity[CKS_ERROR] > 0);
  }
  cks_xlsx_free(xlsx);
  return l;
}

static void look_release(look *l) { cks_findings_free(l->findings); }

/* ---- ordinary workbooks ------------------------------------------------------------------------------------------ */

typedef struct {
  const char *what;
  test_book book;
  const char *rows;
  const char *finding; /* the first one: its rule, place and some words parted by '|'; NULL: there is none */
} book_case;

#define DATA(rows)                                                                                                     \
  {                                                                                                                    \
    .sheet = { {"Creek", NULL, "<sheetData>" rows "</sheetData>"} }                                                    \
  }
#define BOOK(rows, more)                                                                                               \
  {                                                                                                                    \
    .sheet = {{"Creek", NULL, "<sheetData>" rows "</sheetData>"}}, more                                                \
  }
#define ONE(cell)  "<row>" cell "</row>"
#define TEXT(text) "<c t=\"inlineStr\"><is><t>" text "</t></is></c>"
#define DATED(before_, cells)                                                                                          \
  {                                                                                                                    \
    .sheet = {{"Creek", NULL, "<sheetData><row>" cells "</row></sheetData>"}},                                         \
    .styles = "<cellXfs><xf/><xf numFmtId=\"14\"/></cellXfs>", .before = before_                                       \
  }
#define FORMAT(code, value)                                                                                            \
  {                                                                                                                    \
    .sheet = {{"Creek", NULL, "<sheetData><row><c s=\"1\"><v>" value "</v></c></row></sheetData>"}},                   \
    .styles = "<numFmts><numFmt numFmtId=\"164\" formatCode=\"" code "\"/></numFmts><cellXfs><xf/>"                    \
              "<xf numFmtId=\"164\"/></cellXfs>"                                                                       \
  }
#define MERGED(rows, ranges)                                                                                           \
  {                                                                                                                    \
    .sheet = { {"Creek", NULL, "<sheetData>" rows "</sheetData><mergeCells>" ranges "</mergeCells>"} }                 \
  }
#define MERGE_OF(ref) "<mergeCell ref=\"" ref "\"/>"
#define A_BOOK(content_)                                                                                               \
  {                                                                                                                    \
    .sheet = { {"Creek", NULL, content_} }                                                                             \
  }

/* clang-format off: one row a case */
static const book_case cases[] = {
    /* texts: 18.4.8 (si), 18.4.4 (r), 18.4.6 (rPh), 22.9.2.19 (ST_Xstring) */
    {"a shared text, in runs, without its phonetic part",
     {.sheet = {{"Creek", NULL, "<sheetData><row><c t=\"s\"><v>1</v></c><c t=\"s\"><v>0</v></c></row></sheetData>"}},
      .strings = "<si><t>Ash</t></si><si><r><t>Tam</t></r><r><rPr><b/></rPr><t xml:space=\"preserve\">sel 8 "
                 "</t></r><rPh sb=\"0\" eb=\"1\"><t>no</t></rPh></si>"},
     "1:Tamsel 8|Ash;",
     NULL},
    {"inline text, in runs", DATA(ONE("<c t=\"inlineStr\"><is><r><t>Tam</t></r><r><t>sel</t></r></is></c>")),
     "1:Tamsel;", NULL},
    {"blanks, line breaks and escapes", DATA(ONE(TEXT(" &#160;a\nb_x000D_\tc_x0041__x00E9_ _x12_ ") TEXT("  "))),
     "1:a b \tcA\xC3\xA9 _x12_;", NULL},
    {"a text that is not there",
     {.sheet = {{"Creek", NULL, "<sheetData><row><c t=\"s\"><v>7</v></c></row><row><c><v>1</v></c></row></sheetData>"}},
      .strings = "<si><t>Ash</t></si>"},
     "dropped;2:1;",
     "workbook-damaged|Creek!A1|does not hold"},
    /* numbers */
    {"numbers as a person sees them",
     DATA(ONE("<c><v>92.299999999999997</v></c><c><v>14.5</v></c><c><v>-3</v></c><c><v>1E-3</v></"
              "c><c><v>0.1000000000000000055</v></c><c><v>92.50</v></c><c><v>1.5E+2</v></c><c><v>5904</v></c>")),
     "1:92.3|14.5|-3|0.001|0.1|92.50|150|5904;", NULL},
    {"large whole numbers keep their digits",
     DATA(ONE("<c><v>202600000000123</v></c><c><v>1.2345678901234560E15</v></c>")),
     "1:202600000000123|1234567890123456;", NULL},
    {"what is no number is handed on",
     DATA(ONE("<c><v>NAN</v></c><c><v>INF</v></c><c><v>1e999</v></c><c><v>12x</v></c>")), "1:NAN|INF|1e999|12x;", NULL},
    {"truth and errors", DATA(ONE("<c t=\"b\"><v>1</v></c><c t=\"b\"><v>0</v></c><c t=\"e\"><v>#N/A</v></c>")),
     "1:TRUE|FALSE|#N/A;", NULL},
    {"a formula's kept value",
     DATA(ONE("<c><f>1+1</f><v>2</v></c><c t=\"str\"><f>\"a\"&amp;\"b\"</f><v>ab</v></c><c "
              "t=\"str\"><f>\"\"</f><v></v></c><c><v>3</v></c>")),
     "1:2|ab||3;", NULL},
    {"a formula without a value",
     DATA(ONE("<c><f>C2*2</f></c><c><f>D2</f><v></v></c><c><f t=\"shared\" si=\"0\"/></c>")), "1:=C2*2|=D2|=...;",
     NULL},
    {"a 0 that the writer did not compute",
     {.sheet = {{"Creek", NULL, "<sheetData><row><c><f>C2*2</f><v>0</v></c><c><v>0</v></c></row></sheetData>"}},
      .before = "<calcPr calcId=\"1\" fullCalcOnLoad=\"1\"/>"},
     "1:=C2*2|0;",
     NULL},
    /* dates: 18.17.4.1; the days that bound the false leap day; 1904: 18.2.28 */
    {"dates of the 1900 system",
     DATED(NULL, "<c s=\"1\"><v>1</v></c><c s=\"1\"><v>59</v></c><c s=\"1\"><v>60</v></c><c s=\"1\"><v>61</v></c><c "
                 "s=\"1\"><v>46162</v></c><c s=\"1\"><v>46162.75</v></c>"),
     "1:1900-01-01|1900-02-28|1900-02-29|1900-03-01|2026-05-20|2026-05-20;", NULL},
    {"dates of the 1904 system",
     DATED("<workbookPr date1904=\"1\"/>",
           "<c s=\"1\"><v>0</v></c><c s=\"1\"><v>60</v></c><c s=\"1\"><v>44700</v></c>"),
     "1:1904-01-01|1904-03-01|2026-05-20;", NULL},
    {"no date at all",
     DATED(NULL,
           "<c s=\"1\"><v>-5</v></c><c s=\"1\"><v>2958466</v></c><c t=\"d\" s=\"1\"><v>2026-05-20T00:00:00</v></c>"),
     "1:-5|2958466|2026-05-20T00:00:00;", NULL},
    {"a date by its code", FORMAT("[$-409]d\\-mmm\\-yy;@", "46162"), "1:2026-05-20;", NULL},
    {"a month by its code", FORMAT("mmmm", "46162"), "1:2026-05-20;", NULL},
    {"a time by its code", FORMAT("h:mm AM/PM", "0.4375"), "1:10:30;", NULL},
    {"hours by their code", FORMAT("[h]:mm", "1.25"), "1:30:00;", NULL},
    {"y and d in quotes and colors are no date", FORMAT("[Red]0.0_d\\y", "92.3"), "1:92.3;",
     "unit-in-format|Creek!A1|'y'"},
    {"a percent", FORMAT("0.0%", "0.145"), "1:14.5%;", NULL},
    {"a percent sign in quotes", FORMAT("0.0&quot;%&quot;", "14.5"), "1:14.5;", "unit-in-format|Creek!A1|'%'"},
    {"a unit", FORMAT("0.0&quot; bu/ac&quot;", "92.3"), "1:92.3;", "unit-in-format|Creek!A1|in brackets"},
    {"leading zeros", FORMAT("0000", "101"), "1:0101;", NULL},
    {"thousands are not shown", FORMAT("#,##0.00", "5904.5"), "1:5904.5;", NULL},
    {"a power of ten", FORMAT("0.00E+00", "7E45"), "1:7e+45;", NULL},
    {"no style part", DATA(ONE("<c s=\"0\"><v>5</v></c>")), "1:5;", NULL},
    {"a style that is not there", DATA(ONE("<c s=\"9\"><v>5</v></c>")), "dropped;", "workbook-damaged|Creek!A1|style"},
    /* where cells stand: 18.3.1.4 (c), 18.3.1.73 (row) */
    {"gaps",
     DATA("<row r=\"2\"><c r=\"B2\"><v>1</v></c><c r=\"D2\"><v>2</v></c><c r=\"E2\" s=\"0\"/></row><row r=\"9\"><c "
          "r=\"A9\"><v>3</v></c></row>"),
     "2:|1||2;9:3;", NULL},
    {"no names of rows and cells",
     DATA("<row><c><v>1</v></c><c/><c><v>2</v></c></row><row><c r=\"B2\"><v>3</v></c><c><v>4</v></c></row>"),
     "1:1||2;2:|3|4;", NULL},
    {"cells out of order", DATA("<row r=\"1\"><c r=\"C1\"><v>3</v></c><c r=\"A1\"><v>1</v></c></row>"), "1:1||3;",
     NULL},
    {"a cell twice",
     DATA("<row r=\"1\"><c r=\"A1\"><v>1</v></c><c r=\"A1\"><v>2</v></c></row><row r=\"2\"><c><v>5</v></c></row>"),
     "dropped;2:5;", "workbook-damaged|Creek!A1|stands twice"},
    {"a cell of another row", DATA("<row r=\"1\"><c r=\"A2\"><v>1</v></c></row>"), "dropped;",
     "workbook-damaged|Creek!1|'A2'"},
    {"a row twice", DATA("<row r=\"2\"><c r=\"A2\"><v>1</v></c></row><row r=\"2\"><c r=\"A2\"><v>2</v></c></row>"),
     "2:1;", "workbook-damaged|Creek!2|behind row 2"},
    {"rows out of order", DATA("<row r=\"2\"><c><v>1</v></c></row><row r=\"1\"><c><v>2</v></c></row>"), "2:1;",
     "workbook-damaged|Creek!2|'1'"},
    {"formatting alone",
     DATA("<row r=\"1\"><c><v>1</v></c></row><row r=\"2\"><c s=\"0\"/></row><row r=\"1048576\"><c r=\"XFD1048576\" "
          "s=\"0\"/></row>"),
     "1:1;", NULL},
    {"a row beyond the last", DATA("<row r=\"1048577\"><c><v>1</v></c></row>"), "", "workbook-damaged|Creek|1048577"},
    {"a size that lies", A_BOOK("<dimension ref=\"A1:XFD1048576\"/><sheetData><row><c><v>1</v></c></row></sheetData>"),
     "1:1;", NULL},
    {"the last column that is read", DATA("<row><c r=\"FAN1\"><v>1</v></c></row>"), NULL, NULL},
    {"a column beyond", DATA("<row><c r=\"FAO1\"><v>1</v></c></row>"), "", "too-large|Creek!1|column 4097"},
    /* merged ranges: 18.3.1.55 */
    {"merged down",
     MERGED("<row r=\"1\"><c r=\"A1\" t=\"inlineStr\"><is><t>Creek</t></is></c><c r=\"B1\"><v>1</v></c></row><row "
            "r=\"2\"><c r=\"A2\"/><c r=\"B2\"><v>2</v></c></row><row r=\"3\"><c r=\"A3\"/></row><row r=\"4\"><c "
            "r=\"B4\"><v>4</v></c></row>",
            MERGE_OF("A1:A3")),
     "1:Creek|1;2:Creek|2;4:|4;", "merged-cells|Creek!A1|A1:A3"},
    {"merged right", MERGED("<row r=\"1\"><c r=\"B1\"><v>7</v></c><c r=\"E1\"><v>8</v></c></row>", MERGE_OF("B1:D1")),
     "1:|7|7|7|8;", NULL},
    {"merged both ways, with a cell left below",
     MERGED("<row r=\"1\"><c><v>7</v></c></row><row r=\"2\"><c r=\"B2\"><v>9</v></c></row>", MERGE_OF("A1:B2")),
     "1:7|7;2:7|7;", "merged-cells|Creek!A1|A1:B2"},
    {"merged and empty",
     MERGED("<row r=\"1\"><c r=\"C1\"><v>1</v></c></row><row r=\"2\"><c r=\"A2\"><v>5</v></c></row>",
            MERGE_OF("A1:A2")),
     "1:||1;2:5;", NULL},
    {"merged ranges over one another",
     MERGED("<row><c><v>1</v></c><c><v>2</v></c></row>", MERGE_OF("A1:XFD1") MERGE_OF("B1:XFD9")), "",
     "workbook-damaged|Creek!1|over one another"},
    {"no merged range",
     MERGED(ONE("<c><v>1</v></c>"), MERGE_OF("A1") MERGE_OF("B2:A1") MERGE_OF("A1:") MERGE_OF("9:A") MERGE_OF("")),
     "1:1;", NULL},
    /* what is hidden */
    {"hidden rows and columns",
     A_BOOK(
         "<cols><col min=\"2\" max=\"2\" hidden=\"1\"/></cols><sheetData><row><c><v>1</v></c><c><v>2</v></c></row><row "
         "hidden=\"true\"><c><v>3</v></c></row></sheetData>"),
     "1:1|2;2:3;", "hidden-rows|Creek!2|1 row from row 2 on, and 1 column from B on"},
    {"several sheets",
     {.sheet = {{"A", NULL, "<sheetData><row><c><v>1</v></c></row></sheetData>"},
                {"B &amp; C", "state=\"veryHidden\"", "<sheetData/>"}}},
     "[A]1:1;[B & C, hidden]",
     NULL},
    /* other writers */
    {"elements with a prefix",
     {.sheet =
          {{"Creek", NULL,
            "<x:sheetData xmlns:x=\"y\"><x:row x:r=\"7\"><x:c t=\"str\"><x:v>a</x:v></x:c></x:row></x:sheetData>"}}},
     "1:a;",
     NULL},
    {"elements that nobody knows",
     A_BOOK("<sheetData><row><c><v>1</v><extLst><v>2</v></extLst></c></row><v>3</v></"
            "sheetData><extLst><sheetData><row><c><v>9</v></c></row></sheetData></extLst>"),
     "1:1;", NULL},
    {"a document type", A_BOOK("<sheetData/></worksheet><!DOCTYPE x [<!ENTITY a \"b\">]>"), "",
     "workbook-damaged|Creek|"},
    {"XML cut short", A_BOOK("<sheetData><row><c><v>1</v></c></row>"), NULL, "workbook-damaged|Creek|well-formed"},
};
/* clang-format on */

/* Whether the first finding is what the case says. */
static bool has_finding(const cks_findings *findings, const char *expected, char line[512])
{
  char text[512];
  cks_arena *arena = cks_arena_new();
  assert_non_null(arena);
  snprintf(line, 512, "%s", findings->n ? cks_finding_line(findings, &findings->finding[0], arena) : "none");
  cks_arena_free(arena);
  if (!expected) return !findings->n;
  bool has = findings->n > 0;
  snprintf(text, sizeof text, "%s", expected);
  for (char *part = strtok(text, "|"); has && part; part = strtok(NULL, "|")) has = strstr(line, part) != NULL;
  return has;
}

static void books_when_read_then_cells_are_what_a_person_sees(void **state)
{
  (void)state;
  size_t wrong = 0;
  for (size_t i = 0; i < COUNT(cases); i++) {
    size_t n;
    char line[512], *bytes = test_book_bytes(&cases[i].book, &n);
    look l = look_at(bytes, n, false);
    bool right = !cases[i].rows || !strcmp(l.rows.text, cases[i].rows);
    if (!right) print_error("%s: '%s', expected '%s'\n", cases[i].what, l.rows.text, cases[i].rows);
    if (!has_finding(l.findings, cases[i].finding, line)) {
      right = false;
      print_error("%s: %s, expected %s\n", cases[i].what, line, cases[i].finding ? cases[i].finding : "none");
    }
    wrong += !right;
    look_release(&l);
    free(bytes);
  }
  assert_int_equal(wrong, 0);
}

static void numbers_when_the_comma_is_decimal_then_they_come_with_it(void **state)
{
  (void)state;
  size_t n;
  char *bytes = test_book_bytes(&(test_book)DATA(ONE("<c><v>92.299999999999997</v></c>" TEXT("92.3"))), &n);
  look l = look_at(bytes, n, true);
  assert_string_equal(l.rows.text, "1:92,3|92.3;");
  look_release(&l);
  free(bytes);
}

/* ---- workbooks that would do harm -------------------------------------------------------------------------------- */

#define RELATIONSHIP(id, type, target) "<Relationship Id=\"" id "\" Type=\"x/" type "\" Target=\"" target "\"/>"
#define LINKS(text)                    "<Relationships>" text "</Relationships>"
#define ROOT                                                                                                           \
  {                                                                                                                    \
    "_rels/.rels", LINKS(RELATIONSHIP("w", "officeDocument", "b/main.xml"))                                            \
  }
#define MAIN_PART                                                                                                      \
  {                                                                                                                    \
    "b/main.xml", "<workbook xmlns:r=\"r\"><sheets><sheet name=\"Creek\" r:id=\"s\"/></sheets></workbook>"             \
  }
#define GOOD_SHEET                                                                                                     \
  {                                                                                                                    \
    "b/s.xml", "<worksheet><sheetData><row><c><v>1</v></c></row></sheetData></worksheet>"                              \
  }
#define LINKED(target)                                                                                                 \
  {                                                                                                                    \
    "b/_rels/main.xml.rels", LINKS(RELATIONSHIP("s", "worksheet", target))                                             \
  }
enum { MOST_PARTS = 6 };

typedef struct {
  const char *what;
  test_part part[MOST_PARTS];
  const char *rows, *finding;
} zip_case;

/* clang-format off: one row a case */
static const zip_case zips[] = {
    {"as it should be", {ROOT, MAIN_PART, LINKED("s.xml"), GOOD_SHEET}, "1:1;", NULL},
    {"a target from the root", {ROOT, MAIN_PART, LINKED("/b/s.xml"), GOOD_SHEET}, "1:1;", NULL},
    {"a target that goes up and down", {ROOT, MAIN_PART, LINKED("../b/./x/../S.XML"), GOOD_SHEET}, "1:1;", NULL},
    {"a target above the root",
     {ROOT, MAIN_PART, LINKED("../../b/s.xml"), GOOD_SHEET},
     "",
     "workbook-damaged|Creek|not in the file"},
    {"a sheet that is not there",
     {ROOT, MAIN_PART, LINKED("t.xml"), GOOD_SHEET},
     "",
     "workbook-damaged|Creek|not in the file"},
    {"a sheet that is the workbook",
     {ROOT, MAIN_PART, LINKED("main.xml"), GOOD_SHEET},
     "",
     "workbook-damaged|Creek|something else"},
    {"no relationships of the workbook", {ROOT, MAIN_PART, GOOD_SHEET}, "", "workbook-damaged|Creek|not in the file"},
    {"a workbook that is its own relationships",
     {{"_rels/.rels", LINKS(RELATIONSHIP("w", "officeDocument", "_rels/.rels"))}, GOOD_SHEET},
     "",
     "not-text|another kind of document"},
    {"a main part that is not there", {ROOT, GOOD_SHEET}, "", "workbook-damaged|main part"},
    {"styles that are not there",
     {ROOT,
      MAIN_PART,
      {"b/_rels/main.xml.rels", LINKS(RELATIONSHIP("s", "worksheet", "s.xml") RELATIONSHIP("t", "styles", "no.xml"))},
      GOOD_SHEET},
     "",
     "workbook-damaged|part of styles"},
    {"a link to another file",
     {ROOT,
      MAIN_PART,
      {"b/_rels/main.xml.rels", "<Relationships><Relationship Id=\"s\" Type=\"x/worksheet\" TargetMode=\"External\" "
                                "Target=\"s.xml\"/></Relationships>"},
      GOOD_SHEET},
     "",
     "workbook-damaged|Creek|not in the file"},
    {"a sheet of a chart alone",
     {ROOT, MAIN_PART, {"b/_rels/main.xml.rels", LINKS(RELATIONSHIP("s", "chartsheet", "s.xml"))}, GOOD_SHEET},
     "",
     "empty-table|no sheet of cells"},
    {"an OpenDocument sheet",
     {{"mimetype", "application/vnd.oasis.opendocument.spreadsheet"}, {"content.xml", "<a/>"}},
     "",
     "not-text|.ods"},
    {"a binary workbook",
     {{"_rels/.rels", LINKS(RELATIONSHIP("w", "officeDocument", "xl/workbook.bin"))}, {"xl/workbook.bin", "x"}},
     "",
     "not-text|.xlsb"},
    {"any zip file", {{"plots.csv", "hybrid,yield"}}, "", "not-text|without a workbook"},
    {"entities that grow",
     {ROOT,
      MAIN_PART,
      LINKED("s.xml"),
      {"b/s.xml", "<!DOCTYPE w [<!ENTITY a \"aaaaaaaaaa\"><!ENTITY b \"&a;&a;&a;&a;&a;&a;&a;&a;\"><!ENTITY c "
                  "\"&b;&b;&b;&b;&b;&b;&b;\">]><worksheet><sheetData><row><c "
                  "t=\"str\"><v>&c;</v></c></row></sheetData></worksheet>"}},
     "",
     "workbook-damaged|Creek|document type"},
    {"an entity from another file",
     {ROOT, {"b/main.xml", "<!DOCTYPE w SYSTEM \"file:///etc/passwd\"><workbook/>"}, LINKED("s.xml")},
     "",
     "workbook-damaged|document type"},
    {"two sheets of one part",
     {ROOT,
      {"b/main.xml", "<workbook xmlns:r=\"r\"><sheets><sheet name=\"A\" r:id=\"s\"/><sheet name=\"B\" "
                     "r:id=\"s\"/></sheets></workbook>"},
      LINKED("s.xml"),
      GOOD_SHEET},
     "[A]1:1;[B]1:1;",
     NULL},
    {"an empty part", {ROOT, MAIN_PART, LINKED("s.xml"), {"b/s.xml", ""}}, "", "workbook-damaged|Creek|well-formed"},
    {"no XML",
     {ROOT, MAIN_PART, LINKED("s.xml"), {"b/s.xml", "hybrid,yield\n"}},
     "",
     "workbook-damaged|Creek|well-formed"},
};
/* clang-format on */

static bool check_look(look *l, const char *what, const char *rows, const char *finding)
{
  char line[512];
  bool right = !rows || !strcmp(l->rows.text, rows);
  if (!right) print_error("%s: '%s', expected '%s'\n", what, l->rows.text, rows);
  if (!has_finding(l->findings, finding, line)) {
    right = false;
    print_error("%s: %s, expected %s\n", what, line, finding ? finding : "none");
  }
  look_release(l);
  return right;
}

static void zips_when_odd_then_a_finding_says_so(void **state)
{
  (void)state;
  size_t wrong = 0;
  for (size_t i = 0; i < COUNT(zips); i++) {
    size_t n, n_part = 0;
    while (n_part < MOST_PARTS && zips[i].part[n_part].name) n_part++;
    char *bytes = test_zip(n_part, zips[i].part, &n);
    look l = look_at(bytes, n, false);
    wrong += !check_look(&l, zips[i].what, zips[i].rows, zips[i].finding);
    free(bytes);
  }
  assert_int_equal(wrong, 0);
}

/* A sheet's part of head, `times` pieces and tail. */
static look look_at_long(const char *head, const char *piece, size_t times, const char *tail)
{
  test_text text = {0};
  cks_sink sink = test_sink(&text);
  sink.put(sink.to, head, strlen(head), NULL);
  for (size_t i = 0; i < times; i++) sink.put(sink.to, piece, strlen(piece), NULL);
  sink.put(sink.to, tail, strlen(tail), NULL);
  test_part part[] = {ROOT, MAIN_PART, LINKED("s.xml"), {"b/s.xml", text.text}};
  size_t n;
  char *bytes = test_zip(COUNT(part), part, &n);
  look l = look_at(bytes, n, false);
  free(bytes);
  test_text_release(&text);
  return l;
}

#define BEGIN "<worksheet><sheetData><row>"
#define END   "</row></sheetData></worksheet>"

static void sheets_when_beyond_measure_then_too_large_in_bounded_memory(void **state)
{
  (void)state;
  enum { MEBIBYTE = 1 << 20 };
  static char spaces[MEBIBYTE + 1];
  memset(spaces, ' ', MEBIBYTE);
  look l = look_at_long(BEGIN, spaces, 64, END);
  assert_true(check_look(&l, "a zip bomb", "", "too-large|Creek|from next to nothing"));
  l = look_at_long(BEGIN, "<c><v>1</v></c>", 5000, END);
  assert_true(check_look(&l, "many columns", "", "too-large|Creek!1|column 4097"));
  l = look_at_long(BEGIN, "<a>", 1000, "");
  assert_true(check_look(&l, "nested", "", "workbook-damaged|Creek|nested"));
  l = look_at_long("<worksheet a=\"", "abcdefgh", 1 << 18, "\"/>");
  assert_true(check_look(&l, "a long tag", "", "too-large|Creek|tag"));
  l = look_at_long(BEGIN "<c t=\"str\"><v>", "abcdefgh", 1 << 15, "</v></c>" END);
  assert_true(check_look(&l, "a long cell", "", "too-large|Creek!1|cell"));
  memset(spaces, 'x', 100000);
  memcpy(spaces + 100000, "</v></c>", 9);
  memcpy(spaces, "<c t=\"str\"><v>", 14);
  l = look_at_long(BEGIN, spaces, 20, END);
  assert_true(check_look(&l, "a long row", "", "too-large|Creek!1|row holds more"));
  l = look_at_long("<worksheet><mergeCells>", MERGE_OF("A1:B1"), 100001, "</mergeCells></worksheet>");
  assert_true(check_look(&l, "many merged ranges", "", "too-large|Creek|merged ranges"));
  l = look_at_long("<worksheet><cols>", "<col min=\"1\" max=\"4294967294\" hidden=\"1\"/>", 1000,
                   "</cols></worksheet>");
  assert_true(check_look(&l, "a million columns declared", "", NULL));
}

static void shared_texts_when_many_refer_to_a_long_one_then_the_row_is_too_large(void **state)
{
  (void)state;
  test_text text = {0}, row = {0};
  cks_sink strings = test_sink(&text), cells = test_sink(&row);
  strings.put(strings.to, "<si><t>", 7, NULL);
  for (size_t i = 0; i < 4096; i++) strings.put(strings.to, "0123456789abcdef", 16, NULL);
  strings.put(strings.to, "</t></si>", 9, NULL);
  cells.put(cells.to, "<sheetData><row>", 16, NULL);
  for (size_t i = 0; i < 20; i++) cells.put(cells.to, "<c t=\"s\"><v>0</v></c>", 21, NULL);
  cells.put(cells.to, "</row></sheetData>", 18, NULL);
  size_t n;
  char *bytes = test_book_bytes(&(test_book){.sheet = {{"Creek", NULL, row.text}}, .strings = text.text}, &n);
  look l = look_at(bytes, n, false);
  assert_true(check_look(&l, "texts", "", "too-large|Creek!1|row holds more"));
  free(bytes);
  test_text_release(&text);
  test_text_release(&row);
}

/* ---- damaged files ----------------------------------------------------------------------------------------------- */

static char *plain_book(size_t *n)
{
  char *rows = test_sheet_rows("location|rep|hybrid|yield (bu/ac);A|1|Ash|90;A|1|Bay|80;A|2|Ash|91;A|2|Bay|83");
  char *bytes = test_book_bytes(&(test_book){.sheet = {{"Creek", NULL, rows}, {"Oak", NULL, rows}}}, n);
  free(rows);
  return bytes;
}

/* Settings all default; the workbook is plots.xlsx. */
static cks_status run_bytes(const char *bytes, size_t n, cks_settings *settings, cks_findings **findings,
                            test_text *json)
{
  cks_error error = {0};
  test_bytes from = {bytes, n, 0};
  cks_source source = test_source("trials/plots.xlsx", &from);
  cks_target target = {CKS_FORMAT_JSON, NULL, test_sink(json)};
  assert_int_equal(cks_findings_new(findings, NULL), CKS_OK);
  return cks_run(settings, 1, &source, 1, &target, *findings, &error);
}

/* Columns in another order on another sheet, and columns a rep: each cell has the address that the spreadsheet shows. A
 * value of a column a rep is told with its row alone: which of the columns it stood in is no longer known. */
static void findings_when_of_a_cell_then_it_is_told_as_its_own_sheet_counts(void **state)
{
  (void)state;
  char *rows[] = {test_sheet_rows("location|rep|hybrid|yield (bu/ac);A|1|Ash|90;A|1|Bay|-5"),
                  test_sheet_rows("yield (bu/ac)|location|rep|hybrid;95|B|1|Ash;-5|B|1|Bay;x|B|2|Bay"),
                  test_sheet_rows("location|hybrid|yield R1 (bu/ac)|yield R2 (bu/ac);C|Ash|90|y;C|Bay|80|-5")};
  static const char *const expected[] = {"Creek!D3", "Oak!A3", "Oak!A4", "Fen!D2", "Fen!3"};
  size_t n, n_error = 0;
  char *bytes = test_book_bytes(
      &(test_book){.sheet = {{"Creek", NULL, rows[0]}, {"Oak", NULL, rows[1]}, {"Fen", NULL, rows[2]}}}, &n);
  cks_findings *findings = NULL;
  test_text json = {0};
  cks_settings settings;
  cks_settings_defaults(&settings);
  assert_int_equal(run_bytes(bytes, n, &settings, &findings, &json), CKS_DATA);
  for (size_t i = 0; i < findings->n; i++) {
    const cks_where *where = &findings->finding[i].where;
    char cell[CKS_NUMBER_TEXT], at[100];
    if (findings->finding[i].severity != CKS_ERROR) continue;
    snprintf(at, sizeof at, "%s!%s", cks_names_text(&findings->sheet, where->sheet), cks_where_cell(cell, where));
    assert_true(n_error < COUNT(expected));
    assert_string_equal(at, expected[n_error++]);
  }
  assert_int_equal(n_error, COUNT(expected));
  cks_findings_free(findings);
  test_text_release(&json);
  free(bytes);
  for (size_t i = 0; i < COUNT(rows); i++) free(rows[i]);
}

static void files_when_cut_anywhere_then_a_finding_and_no_rows(void **state)
{
  (void)state;
  size_t n;
  char *bytes = plain_book(&n);
  for (size_t i = 1; i < 50; i++) {
    size_t cut = n * i / 50 < 4 ? 4 : n * i / 50;
    char *part = malloc(cut); /* of its exact size, so that the sanitizers see what reads beyond */
    assert_non_null(part);
    memcpy(part, bytes, cut);
    look l = look_at(part, cut, false);
    assert_true(check_look(&l, "cut short", "", "workbook-damaged|cut short or damaged|copy it anew"));
    free(part);
  }
  free(bytes);
}

static void files_when_any_byte_is_wrong_then_a_finding_or_the_same_rows(void **state)
{
  (void)state;
  size_t n, n_told = 0;
  char *bytes = plain_book(&n);
  look whole = look_at(bytes, n, false);
  for (size_t i = 4; i < n; i++) {
    bytes[i] = (char)~bytes[i];
    look l = look_at(bytes, n, false);
    n_told += l.findings->n > 0;
    if (!l.findings->n && strcmp(l.rows.text, whole.rows.text) != 0)
      fail_msg("byte %zu: other rows and no finding: '%s'", i, l.rows.text);
    look_release(&l);
    bytes[i] = (char)~bytes[i];
  }
  assert_true(n_told > n / 2);
  look_release(&whole);
  free(bytes);
}

static void parts_when_their_check_sum_is_wrong_then_a_finding(void **state)
{
  (void)state;
  size_t n;
  char *bytes = plain_book(&n);
  for (size_t i = 0; i + 4 < n; i++)
    if (!memcmp(bytes + i, "PK\001\002", 4) && strstr(bytes + i + 46, "any0") == bytes + i + 46 + strlen("book/s/"))
      bytes[i + 16] = (char)~bytes[i + 16];
  look l = look_at(bytes, n, false);
  assert_true(check_look(&l, "check sum", NULL, "workbook-damaged|Creek|any0.xml"));
  free(bytes);
}

static void parts_when_two_have_one_name_then_refused(void **state)
{
  (void)state;
  size_t n;
  char *bytes = plain_book(&n);
  for (size_t i = 0; i + 4 < n; i++)
    if (!memcmp(bytes + i, "any1", 4)) memcpy(bytes + i, "ANY0", 4);
  look l = look_at(bytes, n, false);
  assert_true(check_look(&l, "twice", "", "workbook-damaged|'book/s/any0.xml' twice"));
  free(bytes);
}

/* ---- which sheets ------------------------------------------------------------------------------------------------ */

#define PLOTS(place) "rep|hybrid|yield (bu/ac at 14 %);1|Ash|90;1|Bay|80;2|Ash|" place "1;2|Bay|83"

/* Locations of the trial as "Creek;Oak;", from the JSON of a run. */
static void check_places(test_book book, const char *sheet, const char *expected)
{
  cks_settings settings;
  cks_setting_pair named = {sheet, NULL};
  char *rows[TEST_SHEETS] = {0}, places[200] = "";
  size_t n;
  cks_settings_defaults(&settings);
  if (sheet) settings.sheet = (cks_setting_list){1, &named};
  for (size_t i = 0; i < TEST_SHEETS && book.sheet[i].name; i++)
    if (book.sheet[i].content) book.sheet[i].content = rows[i] = test_sheet_rows(book.sheet[i].content);
  char *bytes = test_book_bytes(&book, &n);
  test_text json = {0};
  cks_findings *findings = NULL;
  cks_status status = run_bytes(bytes, n, &settings, &findings, &json);
  for (size_t i = 0; i < findings->n; i++) /* the note about each place names it in quotes at its end */
    if (findings->finding[i].rule == CKS_RULE_LOCATION_FROM_FILE) {
      strncat(places, strstr(findings->finding[i].text, ": '") + 2, 60);
      strncat(places, ";", 2);
    }
  if (status != CKS_OK)
    snprintf(places, sizeof places, "%s", findings->n ? cks_rule_find(findings->finding[0].rule)->name : "?");
  assert_string_equal(places, expected);
  cks_findings_free(findings);
  test_text_release(&json);
  free(bytes);
  for (size_t i = 0; i < TEST_SHEETS; i++) free(rows[i]);
}

static void sheets_when_read_then_their_names_stand_in_for_the_location(void **state)
{
  (void)state;
  cks_startup();
  check_places((test_book){.sheet = {{"Creek", NULL, PLOTS("9")}, {"Oak", NULL, PLOTS("8")}}}, NULL, "'Creek';'Oak';");
  check_places((test_book){.sheet = {{"Creek", NULL, PLOTS("9")}, {"Oak", NULL, PLOTS("8")}}}, "OAK", "'Oak';");
  check_places((test_book){.sheet = {{"Creek", NULL, PLOTS("9")}, {"Oak", "state=\"hidden\"", PLOTS("8")}}}, NULL,
               "'Creek';");
  check_places((test_book){.sheet = {{"Creek", NULL, PLOTS("9")}, {"Oak", "state=\"hidden\"", PLOTS("8")}}}, "Oak",
               "'Oak';");
  check_places((test_book){.sheet = {{"Sheet1", NULL, PLOTS("9")}}}, NULL, "'plots';");
  check_places((test_book){.sheet = {{"Sheet1", NULL, PLOTS("9")}, {"Sheet2", NULL, NULL}}}, NULL, "'plots';");
  check_places((test_book){.sheet = {{"Sheet1", NULL, PLOTS("9")}, {"Sheet2", NULL, PLOTS("8")}}}, NULL,
               "'Sheet1';'Sheet2';");
  check_places((test_book){.sheet = {{"Sheet1", NULL, NULL}}}, NULL, "empty-table");
  check_places((test_book){.sheet = {{"Sheet1", NULL, NULL}, {"B", NULL, PLOTS("9")}}}, "Sheet1", "empty-table");
  check_places((test_book){.sheet = {{"Creek", NULL, PLOTS("9")}}}, "Crek", "sheet-not-there");
}

/* ---- the same table as CSV and as a workbook of libxlsxwriter ----------------------------------------------------- */

static char *write_book(const char *csv, const char *path, size_t *n)
{
  lxw_workbook *book = workbook_new(path);
  lxw_worksheet *sheet = workbook_add_worksheet(book, "Plots");
  lxw_format *date = workbook_add_format(book);
  format_set_num_format(date, "m/d/yy");
  lxw_row_t row = 0;
  lxw_col_t column = 0;
  for (const char *at = csv; *at;) {
    char text[100], *end;
    size_t length = strcspn(at, ",\n");
    int year, month, day;
    snprintf(text, sizeof text, "%.*s", (int)length, at);
    double value = strtod(text, &end);
    if (sscanf(text, "%d-%d-%d", &year, &month, &day) == 3)
      worksheet_write_datetime(sheet, row, column, &(lxw_datetime){year, month, day, 0, 0, 0}, date);
    else if (length && !*end)
      worksheet_write_number(sheet, row, column, value, NULL);
    else if (length)
      worksheet_write_string(sheet, row, column, text, NULL);
    column++;
    if (at[length] == '\n') row++, column = 0;
    at += length + (at[length] != '\0');
  }
  assert_int_equal(workbook_close(book), LXW_NO_ERROR);
  FILE *file = fopen(path, "rb");
  assert_non_null(file);
  char *bytes = malloc(1 << 16);
  assert_non_null(bytes);
  *n = fread(bytes, 1, 1 << 16, file);
  fclose(file);
  unlink(path);
  return bytes;
}

static void tables_when_given_as_csv_and_as_workbook_then_one_trial(void **state)
{
  (void)state;
  static const char csv[] =
      "location,rep,hybrid,yield (bu/ac at 14 %),moisture (%),planted,mid_bloom,note\n"
      "Creek,1,Ash,92.3,14.1,2026-05-20,2026-07-21,\nCreek,1,Bay,80.25,13.9,2026-05-20,2026-07-25,wet\n"
      "Creek,2,Ash,91,14.4,2026-05-20,2026-07-20,\nCreek,2,Bay,83.1,,2026-05-20,2026-07-24,\n";
  char folder[] = "/tmp/checkstrip-test-XXXXXX", path[64];
  assert_non_null(mkdtemp(folder));
  snprintf(path, sizeof path, "%s/a.xlsx", folder);
  size_t n;
  char *bytes = write_book(csv, path, &n);
  cks_settings settings;
  cks_settings_defaults(&settings);
  test_text json[2] = {{0}};
  cks_findings *findings[2];
  cks_startup();
  assert_int_equal(run_bytes(csv, sizeof csv - 1, &settings, &findings[0], &json[0]), CKS_OK);
  assert_int_equal(run_bytes(bytes, n, &settings, &findings[1], &json[1]), CKS_OK);
  char *sheet;
  while ((sheet = strstr(json[1].text, "\"sheet\": \"Plots\""))) /* all that differs: the findings name the sheet */
  {
    memcpy(sheet, "\"sheet\": null", 13);
    memmove(sheet + 13, sheet + 16, strlen(sheet + 16) + 1);
  }
  if (strcmp(json[0].text, json[1].text) != 0) {
    size_t at = 0;
    while (json[0].text[at] == json[1].text[at]) at++;
    fail_msg("CSV '%.80s', workbook '%.80s'", json[0].text + at, json[1].text + at);
  }
  for (int i = 0; i < 2; i++) {
    cks_findings_free(findings[i]);
    test_text_release(&json[i]);
  }
  free(bytes);
  rmdir(folder);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(books_when_read_then_cells_are_what_a_person_sees),
      cmocka_unit_test(numbers_when_the_comma_is_decimal_then_they_come_with_it),
      cmocka_unit_test(zips_when_odd_then_a_finding_says_so),
      cmocka_unit_test(sheets_when_beyond_measure_then_too_large_in_bounded_memory),
      cmocka_unit_test(shared_texts_when_many_refer_to_a_long_one_then_the_row_is_too_large),
      cmocka_unit_test(findings_when_of_a_cell_then_it_is_told_as_its_own_sheet_counts),
      cmocka_unit_test(files_when_cut_anywhere_then_a_finding_and_no_rows),
      cmocka_unit_test(files_when_any_byte_is_wrong_then_a_finding_or_the_same_rows),
      cmocka_unit_test(parts_when_their_check_sum_is_wrong_then_a_finding),
      cmocka_unit_test(parts_when_two_have_one_name_then_refused),
      cmocka_unit_test(sheets_when_read_then_their_names_stand_in_for_the_location),
      cmocka_unit_test(tables_when_given_as_csv_and_as_workbook_then_one_trial),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
