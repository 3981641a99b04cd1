/* test_read_cells.c: cells to numbers, dates, names and missing values; commas; the order of month and day. */
#include "read_fixture.h"

#include <locale.h>

/* One column of cells under a heading; expects rows as "cell|..." without lines, odd texts and findings. */
typedef struct {
  const char *heading, *cells, *expected, *odd, *findings; /* cells parted by '|' */
} column_case;

static void check_column(fixture *f, const column_case *c)
{
  char text[2000];
  size_t used = (size_t)snprintf(text, sizeof text, "hybrid;%s\n", c->heading);
  for (const char *at = c->cells; at; at = strchr(at, '|') ? strchr(at, '|') + 1 : NULL)
    used += (size_t)snprintf(text + used, sizeof text - used, "H;%.*s\n", (int)strcspn(at, "|"), at);
  fixture_add(f, text);
  fixture_run(f);
  char found[2000] = "", odd[2000] = "", cell[200];
  assert_int_equal(f->status, CKS_OK);
  assert_int_equal(f->table->n_column, 2);
  for (size_t row = 0; row < f->table->n_row; row++) {
    fixture_cell(f->table, &f->table->column[1], row, cell, sizeof cell);
    snprintf(found + strlen(found), sizeof found - strlen(found), "%s%s", row ? "|" : "", cell);
  }
  for (size_t i = 0; i < f->table->n_odd; i++) {
    assert_int_equal(f->table->odd[i].column, 1);
    snprintf(odd + strlen(odd), sizeof odd - strlen(odd), "%s%s", i ? "|" : "",
             cks_names_text(&f->table->names, f->table->odd[i].text));
  }
  if (strcmp(found, c->expected) != 0) print_message("cells: %s\n", c->cells);
  assert_string_equal(found, c->expected);
  assert_string_equal(odd, c->odd);
  assert_string_equal(fixture_findings(f), c->findings);
}

static void check(const char *heading, const char *cells, const char *expected, const char *odd, const char *findings)
{
  fixture *f = fixture_new();
  check_column(f, &(column_case){heading, cells, expected, odd, findings});
  fixture_free(f);
}

static void check_comma(const char *cells, const char *expected, const char *odd, const char *findings)
{
  fixture *f = fixture_new();
  f->settings.decimal_comma = true;
  check_column(f, &(column_case){"yield", cells, expected, odd, findings});
  fixture_free(f);
}

static void check_dates(cks_date_order order, const char *cells, const char *expected, const char *odd,
                        const char *findings)
{
  fixture *f = fixture_new();
  f->settings.dates = order;
  check_column(f, &(column_case){"planted", cells, expected, odd, findings});
  fixture_free(f);
}

/* ---- numbers ---------------------------------------------------------------------------------------------------- */

static void number_when_decimal_then_value(void **state)
{
  (void)state;
  check("yield", "1|-2|+3|4.5|.5|5.|0|-0.25|007", "1|-2|3|4.5|0.5|5|0|-0.25|7", "", "");
  check("yield", "1e3|1.5E-2|2e+1|1e308", "1000|0.014999999999999999|20|1e+308", "", "");
}

static void number_when_none_then_odd(void **state)
{
  (void)state;
  check("yield", "nan|inf|-INF|0x1F|1e999|1e|e5|1.2.3|--1|1 2|12a|14.5%|n.a|-|+", "~|~|~|~|~|~|~|~|~|~|~|~|~|~|~",
        "nan|inf|-INF|0x1F|1e999|1e|e5|1.2.3|--1|1 2|12a|14.5%|n.a|+", "");
}

/* strtod of the C library is the yardstick: every text must give its very double. */
static void number_when_any_length_then_as_strtod(void **state)
{
  (void)state;
  static const char *const texts[] = {"0.1",
                                      "92.3",
                                      "123456789012345",
                                      "1234567890.12345",
                                      "0.000000000000001",
                                      "9007199254740993",
                                      "9007199254740992.5",
                                      "123456789012345678901234567890",
                                      "3.14159265358979323846",
                                      "2.2250738585072014e-308",
                                      "4.9e-324",
                                      "1e-400",
                                      "1.7976931348623157e308",
                                      "0.30000000000000004",
                                      "99999999999999999",
                                      "179769313486231570000000000000000000000.5",
                                      "8.5e15",
                                      "5e-1",
                                      "0.00000000000000000000000000000123"};
  for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
    char text[200];
    snprintf(text, sizeof text, "hybrid,yield\nA,%s\n", texts[i]);
    fixture *f = fixture_new();
    fixture_add(f, text);
    fixture_run(f);
    assert_true(f->table->column[1].number[0] == strtod(texts[i], NULL));
    fixture_free(f);
  }
}

/* 20,000 texts of random digits and point, seed 7: the same double as strtod. */
static void number_when_random_then_as_strtod(void **state)
{
  (void)state;
  uint64_t seed = 7;
  size_t n = 20000, used = 0, size = n * 32 + 64;
  char *text = malloc(size);
  double *expected = malloc(n * sizeof *expected);
  assert_non_null(text);
  assert_non_null(expected);
  used += (size_t)snprintf(text, size, "hybrid,yield\n");
  for (size_t i = 0; i < n; i++) {
    seed = seed * 6364136223846793005u + 1442695040888963407u;
    char number[40];
    snprintf(number, sizeof number, "%.*f", (int)(seed >> 60), (double)(seed >> (11 + seed % 40)) / 1e4);
    expected[i] = strtod(number, NULL);
    used += (size_t)snprintf(text + used, size - used, "A,%.20s\n", number);
    if (strlen(number) > 20) number[20] = '\0', expected[i] = strtod(number, NULL);
  }
  fixture *f = fixture_new();
  fixture_add(f, text);
  fixture_run(f);
  assert_int_equal(f->table->n_row, n);
  for (size_t i = 0; i < n; i++) assert_true(f->table->column[1].number[i] == expected[i]);
  fixture_free(f);
  free(expected);
  free(text);
}

static void number_when_very_long_then_odd(void **state)
{
  (void)state;
  char text[700];
  snprintf(text, sizeof text, "hybrid,yield\nA,%0500d\n", 7);
  fixture *f = fixture_new();
  fixture_add(f, text);
  fixture_run(f);
  assert_int_equal(f->table->n_odd, 1);
  fixture_free(f);
}

static void number_when_thread_has_a_locale_then_it_is_put_back(void **state)
{
  (void)state;
  locale_t host = newlocale(LC_ALL_MASK, "C.UTF-8", (locale_t)0);
  assert_true(host != (locale_t)0);
  locale_t before = uselocale(host);
  check("yield", "1.5e1|0.12345678901234567890", "15|0.12345678901234568", "", "");
  assert_true(uselocale(before) == host);
  freelocale(host);
}

static void identity_numbers_when_read_then_numbers(void **state)
{
  (void)state;
  fixture_check(&(fixture_case){"hybrid,year,row,column,strip,rep,plot\nA,2026,1,2,3,1.0,101\nB,x,,,,2,102\n", "",
                                "hybrid, year, row, column, strip, rep, plot",
                                "2:A|2026|1|2|3|1.0|101; 3:B|~|~|~|~|2|102", "1.1'x'"});
}

/* ---- missing ---------------------------------------------------------------------------------------------------- */

static void cell_when_missing_mark_then_missing(void **state)
{
  (void)state;
  check("yield", "1||.|-|NA|na|N/A|n/a", "1|~|~|~|~|~|~|~", "", "");
  check("planted", "2026-05-20||.|-|NA|n/a", "2026-05-20|~|~|~|~|~", "", "");
  check("rep", "1||.|-|NA|n/a", "1|~|~|~|~|~", "", "");
}

static void cell_when_missing_option_names_it_then_missing(void **state)
{
  (void)state;
  fixture *f = fixture_new();
  fixture_set(&f->settings.missing, "-9", NULL);
  fixture_set(&f->settings.missing, "lost", NULL);
  fixture_add(f, "hybrid,yield,planted,rep\nA,-9,Lost,lost\nB,LOST,-9,-9\nC,-9.0,2026-05-20,9\n");
  fixture_run(f);
  fixture_expect(f, &(fixture_case){NULL, "", NULL, "2:A|~|~|~; 3:B|~|~|~; 4:C|~|2026-05-20|9", ""});
  fixture_free(f);
}

static void hybrid_when_missing_mark_then_odd(void **state)
{
  (void)state;
  fixture *f = fixture_new();
  fixture_set(&f->settings.missing, "none", NULL);
  fixture_add(f, "hybrid,yield\nNA,1\n.,2\n-,3\nn/a,4\nNone,5\n,6\nNAB,7\n");
  fixture_run(f);
  fixture_expect(f, &(fixture_case){NULL, "", NULL, "2:~|1; 3:~|2; 4:~|3; 5:~|4; 6:~|5; 7:~|6; 8:NAB|7",
                                    "0.0'NA' 1.0'.' 2.0'-' 3.0'n/a' 4.0'None'"});
  fixture_free(f);
}

static void odd_when_several_in_a_row_then_by_column(void **state)
{
  (void)state;
  fixture *f = fixture_new();
  fixture_add(f, "hybrid,yield,moisture\nA,x,y\n");
  fixture_add(f, "moisture,yield,hybrid\np,q,NA\nr,1,B\n");
  fixture_run(f);
  fixture_expect(f, &(fixture_case){NULL, "", NULL, NULL, "0.1'x' 0.2'y' 1.0'NA' 1.1'q' 1.2'p' 2.2'r'"});
  fixture_free(f);
}

static void name_when_like_the_last_then_one_id(void **state)
{
  (void)state;
  fixture_check(&(fixture_case){"hybrid,rep\nAB,1\nAB,1\nA,1\nABC,12\nAB,1\n,1\nAB,1\n", "", NULL,
                                "2:AB|1; 3:AB|1; 4:A|1; 5:ABC|12; 6:AB|1; 7:~|1; 8:AB|1", ""});
}

/* ---- commas ----------------------------------------------------------------------------------------------------- */

static void comma_when_thousands_with_a_point_then_number(void **state)
{
  (void)state;
  check("yield", "1,234.5|12,345,678.25|99.5", "1234.5|12345678.25|99.5", "", "");
  check("yield", "5,904|98.5|6,012", "5904|98.5|6012", "", "");
  check("yield", "98.5|-5,904", "98.5|-5904", "", "");
}

static void comma_when_alone_then_one_error_at_the_first(void **state)
{
  (void)state;
  check("yield", "100|92,3|93,5", "100|~|~", "", "comma-in-number a:3.2 '92,3'");
  check("yield", "5,904|6,012", "5904|6012", "", "comma-in-number a:2.2 '5,904'");
  check("yield", "5,904|92,3", "5904|~", "", "comma-in-number a:2.2 '5,904'");
  check("yield", "92.5|5,904|92,3", "92.5|5904|~", "", "comma-in-number a:4.2 '92,3'");
  check("yield", "1.234,5", "~", "", "comma-in-number a:2.2 '1.234,5'");
  check("yield", ",5", "~", "", "comma-in-number a:2.2 ',5'");
  fixture *f = fixture_new();
  fixture_add(f, "hybrid;yield\nA;92,3\n");
  fixture_run(f);
  assert_true(fixture_says(f, CKS_RULE_COMMA_IN_NUMBER, "--decimal-comma"));
  assert_true(fixture_says(f, CKS_RULE_COMMA_IN_NUMBER, "as 1234.5"));
  fixture_free(f);
}

static void comma_when_no_number_in_any_reading_then_odd(void **state)
{
  (void)state;
  check("yield", "1,2,3|1,23,456|,|1,|12,345,67|1234,567,890", "~|~|~|~|~|~", "1,2,3|1,23,456|,|12,345,67|1234,567,890",
        "comma-in-number a:5.2 '1,'");
}

static void comma_when_decimal_comma_option_then_decimal_mark(void **state)
{
  (void)state;
  check_comma("92,3|1.234,5|7|1e2|-0,5", "92.299999999999997|1234.5|7|100|-0.5", "", "");
  check_comma("5.904|92,5", "5904|92.5", "", "");
  check_comma("5.904", "5904", "", "comma-in-number a:2.2 '5.904'");
  check_comma("92,5|92.3", "92.5|~", "", "comma-in-number a:3.2 '92.3'");
}

static void comma_when_in_two_files_then_each_for_itself(void **state)
{
  (void)state;
  fixture *f = fixture_new();
  fixture_add(f, "hybrid;yield\nA;5,904\nB;1.5\n");
  fixture_add(f, "hybrid;yield\nA;5,904\n");
  fixture_run(f);
  assert_string_equal(fixture_findings(f), "comma-in-number b:2.2 '5,904'");
  fixture_free(f);
}

/* ---- dates ------------------------------------------------------------------------------------------------------ */

static void date_when_year_first_or_month_named_then_read(void **state)
{
  (void)state;
  check("planted", "2026-05-20|2026/5/2|2026-05-20 00:00:00|2026-05-20T00:00:00|2026-05-20T00:00:00.000Z|2024-02-29",
        "2026-05-20|2026-05-02|2026-05-20|2026-05-20|2026-05-20|2024-02-29", "", "");
  check("planted", "May 20, 2026|20 May 2026|20-May-26|20-MAY-2026|Sept. 3, 2026|september 3 2026|1 Jun 26",
        "2026-05-20|2026-05-20|2026-05-20|2026-05-20|2026-09-03|2026-09-03|2026-06-01", "", "");
}

static void date_when_none_then_odd(void **state)
{
  (void)state;
  check("planted",
        "46162|2026|May|20 May|2026-02-30|2026-13-01|13/13/2026|2/30/2026|5/20|5-20/2026|20260520|May 32, "
        "2026|0206-05-20|2026-05-20x|Mayo 20, 2026|late May|2026-05-20 25:00",
        "~|~|~|~|~|~|~|~|~|~|~|~|~|~|~|~|~",
        "46162|2026|May|20 May|2026-02-30|2026-13-01|13/13/2026|2/30/2026|5/20|5-20/2026|20260520|May 32, "
        "2026|0206-05-20|2026-05-20x|Mayo 20, 2026|late May|2026-05-20 25:00",
        "");
}

static void date_order_when_a_cell_decides_then_taken_with_a_note(void **state)
{
  (void)state;
  check("planted", "5/6/2026|5/20/2026|6/7/26 0:00", "2026-05-06|2026-05-20|2026-06-07", "",
        "date-order-taken a:3.2 '5/20/2026'");
  check("planted", "5/6/2026|20/5/2026|7.6.2026", "2026-06-05|2026-05-20|2026-06-07", "",
        "date-order-taken a:3.2 '20/5/2026'");
  check("planted", "2026-05-06|5/6/2026|20-5-2026", "2026-05-06|2026-06-05|2026-05-20", "",
        "date-order-taken a:4.2 '20-5-2026'");
  check("planted", "3.10.2026", "2026-10-03", "", "date-order-taken a:2.2 '3.10.2026'");
}

static void date_order_when_it_does_not_matter_then_silent(void **state)
{
  (void)state;
  check("planted", "5/5/2026|6/6/26", "2026-05-05|2026-06-06", "", "");
}

static void date_order_when_undecided_or_contradicting_then_error(void **state)
{
  (void)state;
  check("planted", "2026-05-06|5/6/2026|6/7/2026", "2026-05-06|~|~", "", "date-order a:3.2 '5/6/2026'");
  check("planted", "5/20/2026|5/6/2026|20/5/2026", "2026-05-20|~|2026-05-20", "", "date-order a:4.2 '20/5/2026'");
  check("planted", "5/20/2026|7.6.2026", "2026-05-20|2026-06-07", "",
        "date-order a:3.2 '7.6.2026'\ndate-order-taken a:2.2 '5/20/2026'");
  check("planted", "20/5/2026|5/20/2026", "2026-05-20|2026-05-20", "", "date-order a:3.2 '5/20/2026'");
  fixture *f = fixture_new();
  fixture_add(f, "hybrid,planted\nA,5/6/2026\n");
  fixture_run(f);
  assert_true(fixture_says(f, CKS_RULE_DATE_ORDER, "--dates mdy or --dates dmy"));
  fixture_free(f);
}

static void date_order_when_option_given_then_no_question(void **state)
{
  (void)state;
  check_dates(CKS_DATES_MDY, "5/6/2026|20/5/2026|2026-05-06", "2026-05-06|~|2026-05-06", "20/5/2026", "");
  check_dates(CKS_DATES_DMY, "5/6/2026|5/20/2026|2026-05-06", "2026-06-05|~|2026-05-06", "5/20/2026", "");
}

static void date_order_when_columns_and_files_differ_then_each_for_itself(void **state)
{
  (void)state;
  fixture *f = fixture_new();
  fixture_add(f, "hybrid,planted,harvested\nA,5/6/2026,9/10/2026\nB,5/20/2026,25/10/2026\n");
  fixture_add(f, "hybrid,planted\nA,5/6/2026\nB,20/5/2026\n");
  fixture_run(f);
  fixture_expect(
      f, &(fixture_case){
             NULL,
             "date-order-taken a:3.2 '5/20/2026'\ndate-order-taken a:3.3 '25/10/2026'\ndate-order-taken b:3.2 "
             "'20/5/2026'",
             NULL, "2:A|2026-05-06|2026-10-09; 3:B|2026-05-20|2026-10-25; 2:A|2026-06-05|~; 3:B|2026-05-20|~", ""});
  fixture_free(f);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(number_when_decimal_then_value),
      cmocka_unit_test(number_when_none_then_odd),
      cmocka_unit_test(number_when_any_length_then_as_strtod),
      cmocka_unit_test(number_when_random_then_as_strtod),
      cmocka_unit_test(number_when_very_long_then_odd),
      cmocka_unit_test(number_when_thread_has_a_locale_then_it_is_put_back),
      cmocka_unit_test(identity_numbers_when_read_then_numbers),
      cmocka_unit_test(cell_when_missing_mark_then_missing),
      cmocka_unit_test(cell_when_missing_option_names_it_then_missing),
      cmocka_unit_test(hybrid_when_missing_mark_then_odd),
      cmocka_unit_test(odd_when_several_in_a_row_then_by_column),
      cmocka_unit_test(name_when_like_the_last_then_one_id),
      cmocka_unit_test(comma_when_thousands_with_a_point_then_number),
      cmocka_unit_test(comma_when_alone_then_one_error_at_the_first),
      cmocka_unit_test(comma_when_no_number_in_any_reading_then_odd),
      cmocka_unit_test(comma_when_decimal_comma_option_then_decimal_mark),
      cmocka_unit_test(comma_when_in_two_files_then_each_for_itself),
      cmocka_unit_test(date_when_year_first_or_month_named_then_read),
      cmocka_unit_test(date_when_none_then_odd),
      cmocka_unit_test(date_order_when_a_cell_decides_then_taken_with_a_note),
      cmocka_unit_test(date_order_when_it_does_not_matter_then_silent),
      cmocka_unit_test(date_order_when_undecided_or_contradicting_then_error),
      cmocka_unit_test(date_order_when_option_given_then_no_question),
      cmocka_unit_test(date_order_when_columns_and_files_differ_then_each_for_itself),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
