/* test_write_text.c: the report as text: width, wrapping, alignment, what is printed when. Layouts are properties of
 * our own page (96 columns); there is no published figure to compare with. */
#include "support/make_results.h"
#include "support/support.h"

#include "../../src/core/utf8.h"

#include <stdlib.h>
#include <string.h>

enum { PAGE = 96 };

static test_text text_of(const made_options *o, bool full)
{
  made m;
  cks_report *report = NULL;
  test_text text = {0};
  cks_sink sink = test_sink(&text);
  assert_int_equal(made_new(&m, o), 0);
  m.settings.full = full;
  assert_int_equal(cks_report_new(&m.settings, m.trial, m.results, m.findings, false, &report, NULL), CKS_OK);
  assert_int_equal(cks_write_text(report, full, &sink, NULL), CKS_OK);
  cks_report_free(report);
  made_free(&m);
  return text;
}

/* Every line fits, ends without a blank, and holds no control character. */
static size_t assert_lines(const char *text)
{
  size_t lines = 0;
  while (*text) {
    size_t n = strcspn(text, "\n");
    if (cks_utf8_width(text, n) > PAGE) fail_msg("a line of %zu columns: %.*s", cks_utf8_width(text, n), (int)n, text);
    assert_true(n == 0 || text[n - 1] != ' ');
    for (size_t i = 0; i < n; i++) assert_true((unsigned char)text[i] >= ' ');
    text += n + (text[n] == '\n');
    lines++;
  }
  return lines;
}

static void screen_when_usual_then_fits_a_window(void **state)
{
  (void)state;
  made_options o = made_usual();
  test_text text = text_of(&o, false);
  assert_in_range(assert_lines(text.text), 30, 42);
  assert_non_null(strstr(text.text, "rank  hybrid"));
  assert_non_null(strstr(text.text, "--full"));
  assert_null(strstr(text.text, "THIS PLACE"));
  test_text_release(&text);
}

static void text_when_full_then_every_section(void **state)
{
  (void)state;
  made_options o = made_usual();
  test_text text = text_of(&o, true);
  assert_lines(text.text);
  static const char *const wanted[] = {"THIS PLACE",
                                       "Yield: every figure",
                                       "Hybrids by location",
                                       "Yield: analysis of variance",
                                       "What was noticed about the data",
                                       "Methods and cautions"};
  for (size_t i = 0; i < sizeof wanted / sizeof *wanted; i++) assert_non_null(strstr(text.text, wanted[i]));
  assert_null(strstr(text.text, "What the charts are drawn from")); /* for the workbook */
  assert_null(strstr(text.text, "nan"));
  test_text_release(&text);
}

static void text_when_names_are_unlucky_then_fits(void **state)
{
  (void)state;
  made_options o = made_usual();
  o.long_names = true;
  test_text text = text_of(&o, true);
  assert_lines(text.text);
  test_text_release(&text);
  o.long_names = false;
  o.odd_names = true;
  text = text_of(&o, true);
  assert_lines(text.text);
  assert_non_null(strstr(text.text, "two lines")); /* a line break in a name is a blank here */
  test_text_release(&text);
  o.odd_names = false;
  o.utf8_names = true;
  text = text_of(&o, true);
  assert_lines(text.text);
  test_text_release(&text);
}

/* A table by hand: two labels and as many numbers as asked for. */
static cks_report_table wide_table(cks_report_column *column, cks_cell *cell, size_t n)
{
  for (size_t c = 0; c < n; c++) {
    column[c] = (cks_report_column){.key = "c",
                                    .label = c ? "number" : "name",
                                    .unit = c ? "lb" : "",
                                    .group = c > 1 ? "GROUP" : "",
                                    .align = (int8_t)(c ? 1 : -1),
                                    .row_label = c == 0};
    cell[c] = (cks_cell){.value = 1, .text = c ? "1.5" : "\303\211b\303\250ne", .kind = CKS_CELL_NUMBER};
  }
  return (cks_report_table){
      .key = "t", .title = "", .caption = "", .n_column = n, .n_row = 1, .column = column, .cell = cell};
}

static test_text text_of_table(const cks_report_table *table)
{
  cks_part part = {.kind = CKS_PART_TABLE, .table = table, .text = ""};
  cks_section section = {.key = "s", .title = "s", .first_screen = true, .n_part = 1, .part = &part};
  cks_report report = {.n_section = 1, .section = &section};
  test_text text = {0};
  cks_sink sink = test_sink(&text);
  assert_int_equal(cks_write_text(&report, false, &sink, NULL), CKS_OK);
  return text;
}

static void table_when_it_fits_then_aligned_under_its_headings(void **state)
{
  (void)state;
  cks_report_column column[3];
  cks_cell cell[3];
  cks_report_table table = wide_table(column, cell, 3);
  test_text text = text_of_table(&table);
  assert_string_equal(text.text, "               GROUP\n"
                                 "       number  number\n"
                                 "name       lb      lb\n"
                                 "\303\211b\303\250ne     1.5     1.5\n");
  test_text_release(&text);
}

static void table_when_too_wide_then_blocks_repeat_the_labels(void **state)
{
  (void)state;
  enum { N = 30 };
  cks_report_column column[N];
  cks_cell cell[N];
  cks_report_table table = wide_table(column, cell, N);
  test_text text = text_of_table(&table);
  assert_lines(text.text);
  size_t names = 0, numbers = 0;
  for (const char *at = text.text; (at = strstr(at, "b\303\250ne")); at++) names++;
  for (const char *at = text.text; (at = strstr(at, "1.5")); at++) numbers++;
  assert_int_equal(names, 3); /* 5 + 11 x 8 columns a line */
  assert_int_equal(numbers, N - 1);
  test_text_release(&text);
}

static cks_status refuse(void *to, const char *bytes, size_t n, cks_error *error)
{
  (void)to, (void)bytes, (void)n;
  return cks_error_set(error, CKS_IO, "the disk is full");
}

static void writers_when_the_sink_refuses_then_its_status(void **state)
{
  (void)state;
  made_options o = made_usual();
  made m;
  cks_report *report = NULL;
  cks_sink sink = {refuse, NULL};
  cks_error error = {0};
  assert_int_equal(made_new(&m, &o), 0);
  assert_int_equal(cks_report_new(&m.settings, m.trial, m.results, m.findings, false, &report, NULL), CKS_OK);
  assert_int_equal(cks_write_text(report, true, &sink, &error), CKS_IO);
  assert_string_equal(error.text, "the disk is full");
  assert_int_equal(cks_write_json(m.trial, m.results, m.findings, &sink, NULL), CKS_IO);
  assert_int_equal(cks_write_csv(m.results, &sink, NULL), CKS_IO);
  cks_report_free(report);
  made_free(&m);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(screen_when_usual_then_fits_a_window),
      cmocka_unit_test(text_when_full_then_every_section),
      cmocka_unit_test(text_when_names_are_unlucky_then_fits),
      cmocka_unit_test(table_when_it_fits_then_aligned_under_its_headings),
      cmocka_unit_test(table_when_too_wide_then_blocks_repeat_the_labels),
      cmocka_unit_test(writers_when_the_sink_refuses_then_its_status),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
