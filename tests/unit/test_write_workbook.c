/* test_write_workbook.c: the workbook's parts, unzipped: text stays text, numbers are unrounded with a format, names of
 * sheets are legal, and two runs are alike to the byte. */
#include "support/make_results.h"
#include "support/support.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

typedef struct {
  char folder[64], path[96];
} scratch;

static scratch scratch_new(void)
{
  scratch s = {.folder = "/tmp/checkstrip-test-XXXXXX"};
  assert_non_null(mkdtemp(s.folder));
  snprintf(s.path, sizeof s.path, "%s/a.xlsx", s.folder);
  return s;
}

static void scratch_free(const scratch *s)
{
  unlink(s->path);
  rmdir(s->folder);
}

static void write_workbook(const made_options *o, const char *path)
{
  made m;
  cks_report *report = NULL;
  cks_error error = {0};
  assert_int_equal(made_new(&m, o), 0);
  assert_int_equal(cks_report_new(&m.settings, m.trial, m.results, m.findings, false, &report, NULL), CKS_OK);
  cks_status status = cks_write_workbook(report, path, &error);
  if (status != CKS_OK) fail_msg("%s", error.text);
  cks_report_free(report);
  made_free(&m);
}

/* A member of the archive as text. */
static char *member(const char *path, const char *name)
{
  char command[256], bytes[4096];
  char *text = calloc(1, 1);
  size_t n = 0, got;
  snprintf(command, sizeof command, "unzip -p %s %s", path, name);
  FILE *pipe = popen(command, "r");
  assert_non_null(pipe);
  while ((got = fread(bytes, 1, sizeof bytes, pipe)) > 0) {
    text = realloc(text, n + got + 1);
    assert_non_null(text);
    memcpy(text + n, bytes, got);
    text[n += got] = '\0';
  }
  assert_int_equal(pclose(pipe), 0);
  return text;
}

static size_t times(const char *text, const char *word)
{
  size_t n = 0;
  for (const char *at = text; (at = strstr(at, word)); at += strlen(word)) n++;
  return n;
}

/* Is value, to the digits that a double keeps, behind one of the marks? */
static bool has_number(const char *text, const char *mark, double value)
{
  for (const char *at = text; (at = strstr(at, mark)); at += strlen(mark))
    if (test_close(strtod(at + strlen(mark), NULL), value, 1e-14)) return true;
  return false;
}

static void text_when_it_begins_like_a_formula_then_a_string(void **state)
{
  (void)state;
  made_options o = made_usual();
  scratch s = scratch_new();
  o.odd_names = true;
  write_workbook(&o, s.path);
  char *strings = member(s.path, "xl/sharedStrings.xml"), *sheet = member(s.path, "xl/worksheets/sheet1.xml");
  assert_non_null(strstr(strings, "<t>=1+1</t>"));
  assert_non_null(strstr(strings, "<t>@cmd</t>"));
  assert_null(strstr(sheet, "<f>"));
  free(sheet);
  free(strings);
  scratch_free(&s);
}

static void number_when_written_then_unrounded_with_a_format(void **state)
{
  (void)state;
  made_options o = made_usual();
  scratch s = scratch_new();
  made m;
  write_workbook(&o, s.path);
  assert_int_equal(made_new(&m, &o), 0);
  char *sheet = member(s.path, "xl/worksheets/sheet1.xml"), *styles = member(s.path, "xl/styles.xml");
  for (size_t i = 0; i < 14; i++) assert_true(has_number(sheet, "<v>", m.results->trait[0].across->hybrid[i].mean));
  assert_non_null(strstr(styles, "formatCode=\"0.0\""));
  assert_non_null(strstr(sheet, "<pane")); /* headings stay in sight */
  assert_non_null(strstr(sheet, "paperSize=\"1\""));
  free(styles);
  free(sheet);
  made_free(&m);
  scratch_free(&s);
}

static void missing_when_written_then_never_nan(void **state)
{
  (void)state;
  made_options o = made_usual();
  scratch s = scratch_new();
  o.no_across = o.missing_values = true;
  write_workbook(&o, s.path);
  char *all = member(s.path, "'xl/worksheets/*.xml'");
  assert_null(strstr(all, "NAN"));
  assert_null(strstr(all, "<v>nan"));
  assert_null(strstr(all, "<v>inf"));
  free(all);
  scratch_free(&s);
}

static void sheets_when_named_by_places_then_one_each(void **state)
{
  (void)state;
  made_options o = made_usual();
  scratch s = scratch_new();
  write_workbook(&o, s.path);
  char *book = member(s.path, "xl/workbook.xml");
  static const char *const names[] = {
      "Summary",  "Alder Flat", "Cold Draw", "Yield",      "Hybrids by location", "Analysis of variance",
      "Findings", "Methods",    "Plots",     "Chart data", "For next year"};
  for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
    char tag[96];
    snprintf(tag, sizeof tag, "<sheet name=\"%s\"", names[i]);
    assert_int_equal(times(book, tag), 1);
  }
  assert_null(strstr(book, "\"Next\"")); /* what to type next is for the screen */
  assert_non_null(strstr(book, "<sheet name=\"Chart data\" sheetId=\"20\" state=\"hidden\""));
  assert_true(times(book, "_xlnm.Print_Area") >= 12);
  free(book);
  scratch_free(&s);
}

static void handout_when_long_then_pages_with_their_own_sheets(void **state)
{
  (void)state;
  made_options o = made_usual();
  scratch s = scratch_new();
  o.n_hybrid = 30;
  write_workbook(&o, s.path);
  char *book = member(s.path, "xl/workbook.xml");
  assert_int_equal(times(book, "<sheet name=\"Cold Draw\""), 1);
  assert_int_equal(times(book, "<sheet name=\"Cold Draw (2)\""), 1);
  free(book);
  scratch_free(&s);
}

/* A sheet of several tables is broken between them; a table longer than a page has a sheet of its own, and its headings
 * on each page. */
static void pages_when_printed_then_tables_stay_whole(void **state)
{
  (void)state;
  made_options o = made_usual();
  scratch s = scratch_new();
  write_workbook(&o, s.path);
  char *all = member(s.path, "'xl/worksheets/*.xml'"), *book = NULL;
  assert_non_null(strstr(all, "<rowBreaks"));
  assert_non_null(strstr(all, "orientation=\"portrait\""));
  free(all);
  o.n_hybrid = 60;
  write_workbook(&o, s.path);
  book = member(s.path, "xl/workbook.xml");
  assert_int_equal(times(book, "<sheet name=\"Hybrids by location (2)\""), 1);
  assert_non_null(strstr(book, "'Hybrids by location'!$"));
  assert_non_null(strstr(book, "_xlnm.Print_Titles"));
  free(book);
  scratch_free(&s);
}

static void charts_when_written_then_a_bar_and_words_for_them(void **state)
{
  (void)state;
  made_options o = made_usual();
  scratch s = scratch_new();
  made m;
  write_workbook(&o, s.path);
  assert_int_equal(made_new(&m, &o), 0);
  char *chart = member(s.path, "xl/charts/chart1.xml"), *drawing = member(s.path, "xl/drawings/drawing1.xml");
  assert_non_null(strstr(chart, "<c:errValType val=\"fixedVal\"/>"));
  assert_true(has_number(chart, "<c:val val=\"", m.results->trait[0].across->lsd / 2));
  assert_non_null(strstr(chart, "'Chart data'!$B$"));
  assert_non_null(strstr(drawing, "descr=\"A dot for the yield"));
  free(drawing);
  free(chart);
  made_free(&m);
  scratch_free(&s);
}

static void workbook_when_written_twice_then_the_same_bytes(void **state)
{
  (void)state;
  made_options o = made_usual();
  scratch a = scratch_new(), b = scratch_new();
  char command[256];
  write_workbook(&o, a.path);
  write_workbook(&o, b.path);
  snprintf(command, sizeof command, "cmp %s %s", a.path, b.path);
  assert_int_equal(system(command), 0);
  scratch_free(&a);
  scratch_free(&b);
}

static void workbook_when_the_folder_is_not_there_then_io(void **state)
{
  (void)state;
  made_options o = made_usual();
  made m;
  cks_report *report = NULL;
  cks_error error = {0};
  assert_int_equal(made_new(&m, &o), 0);
  assert_int_equal(cks_report_new(&m.settings, m.trial, m.results, m.findings, false, &report, NULL), CKS_OK);
  assert_int_equal(cks_write_workbook(report, "/nowhere-at-all/a.xlsx", &error), CKS_IO);
  assert_non_null(strstr(error.text, "/nowhere-at-all/a.xlsx"));
  cks_report_free(report);
  made_free(&m);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(text_when_it_begins_like_a_formula_then_a_string),
      cmocka_unit_test(number_when_written_then_unrounded_with_a_format),
      cmocka_unit_test(missing_when_written_then_never_nan),
      cmocka_unit_test(sheets_when_named_by_places_then_one_each),
      cmocka_unit_test(handout_when_long_then_pages_with_their_own_sheets),
      cmocka_unit_test(pages_when_printed_then_tables_stay_whole),
      cmocka_unit_test(charts_when_written_then_a_bar_and_words_for_them),
      cmocka_unit_test(workbook_when_written_twice_then_the_same_bytes),
      cmocka_unit_test(workbook_when_the_folder_is_not_there_then_io),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
