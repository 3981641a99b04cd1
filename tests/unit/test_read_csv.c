/* test_read_csv.c: bytes to rows: encodings, separators, line ends, exact lines, faulty rows, bounds. */
#include "read_fixture.h"

static void check(const char *text, const char *findings, const char *rows)
{
  fixture_check(&(fixture_case){.text = text, .findings = findings, .rows = rows});
}

static void check_bytes(const char *bytes, size_t n, const char *findings, const char *rows)
{
  fixture *f = fixture_new();
  fixture_bytes(f, bytes, n);
  fixture_run(f);
  fixture_expect(f, &(fixture_case){.findings = findings, .rows = rows});
  fixture_free(f);
}
#define CHECK_BYTES(literal, findings, rows) check_bytes(literal, sizeof literal - 1, findings, rows)

/* ---- lines and separators --------------------------------------------------------------------------------------- */

static void rows_when_any_line_end_then_the_same(void **state)
{
  (void)state;
  check("hybrid,yield\nA,1\nB,2\n", "", "2:A|1; 3:B|2");
  check("hybrid,yield\r\nA,1\r\nB,2\r\n", "", "2:A|1; 3:B|2");
  check("hybrid,yield\rA,1\rB,2\r", "", "2:A|1; 3:B|2");
  check("hybrid,yield\nA,1\nB,2", "", "2:A|1; 3:B|2");
  check("hybrid,yield\rA,1\r\nB,2\nC,3", "", "2:A|1; 3:B|2; 4:C|3");
}

static void rows_when_blank_lines_stand_between_then_lines_stay_exact(void **state)
{
  (void)state;
  check("\n\nhybrid,yield\n\nA,1\n  \n,\n\nB,2\n\n\n", "", "5:A|1; 9:B|2");
  check("\r\n\r\nhybrid,yield\r\n\r\nA,1\r\n  \r\n,\r\n\r\nB,2\r\n", "", "5:A|1; 9:B|2");
  check("hybrid,yield\r \nA,1\r \nB,2", "", "3:A|1; 5:B|2");
  check(",,\nhybrid,yield,\nA,1,\n", "", "3:A|1");
}

static void rows_when_quoted_line_breaks_then_first_line_and_one_space(void **state)
{
  (void)state;
  check("hybrid,note,yield\nA,\"x\ny\n\nz\",1\nB,,2\n", "", "2:A|x y  z|1; 6:B|~|2");
  check("hybrid,\"my\nnote\",yield\nA,7,1\n", "heading-unknown a:1.2", "3:A|1");
  check("hybrid,\"yield\n(bu/ac)\"\nA,1\n", "", "3:A|1");
  check("hybrid,note\nA,\"x\r\ny\"\r\nB,\"\"\r\n", "", "2:A|x  y; 4:B|~");
}

static void separator_when_comma_semicolon_tab_then_taken_from_the_heading(void **state)
{
  (void)state;
  check("hybrid;yield;note\nA;1;x, y\n", "", "2:A|1|x, y");
  check("hybrid\tyield\tnote\nA\t1\tx, y\nB\t\tz\n", "", "2:A|1|x, y; 3:B|~|z");
  check("\"my, long, note\";hybrid\n7;A\n", "heading-unknown a:1.1", "2:A");
  check("hybrid\nA\nB\n", "", "2:A; 3:B");
}

static void separator_when_heading_ties_then_rows_decide(void **state)
{
  (void)state;
  check("hybrid;plant height, in\nA;40\nB;41\n", "", "2:A|40; 3:B|41");
  check("hybrid;yield (bu/ac, 14 %, dry, all)\nA;40\n", "unit-unknown a:1.2", "2:A");
  check("hybrid,note; and more\nA,7\nB,8\n", "heading-unknown a:1.2", "2:A; 3:B");
}

static void cells_when_spaces_around_then_trimmed(void **state)
{
  (void)state;
  check(" hybrid , yield \n  A B\t, 1 \n\" C \", 2\n", "", "2:A B|1; 3:C|2");
  check("hybrid,yield\n\xC2\xA0"
        "A\xC2\xA0,\xC2\xA0"
        "5\n",
        "", "2:A|5");
}

static void cells_when_quotes_are_doubled_then_one(void **state)
{
  (void)state;
  check("hybrid,note\n\"A \"\"one\"\"\",\"5\"\" rows\"\n", "", "2:A \"one\"|5\" rows");
}

static void columns_when_trailing_ones_are_empty_then_silent(void **state)
{
  (void)state;
  check("hybrid,yield,,\nA,1,,\nB,2\nC,3,,,,\n", "", "2:A|1; 3:B|2; 4:C|3");
}

/* ---- faulty rows ------------------------------------------------------------------------------------------------ */

static void quote_when_stray_then_reported_and_the_rest_is_read(void **state)
{
  (void)state;
  check("hybrid,note\nA,5\" rows\nB,x\nC,6\" row\nD,y\n", "stray-quote a:2.0 '5\" rows'\nstray-quote a:4.0 '6\" row'",
        "3:B|x; 5:D|y");
  check("hybrid,note\nA,\"x\" y\nB,z\n", "stray-quote a:2.0 '\"x\" y'", "3:B|z");
  check("hybrid,note\r\nA,5\" rows\r\nB,x\r\n", "stray-quote a:2.0 '5\" rows'", "3:B|x");
}

static void quote_when_stray_in_the_heading_then_file_is_left(void **state)
{
  (void)state;
  check("hybrid,5\" rows\nA,1\n", "stray-quote a:1.0 '5\" rows'", "");
}

static void quote_when_never_closed_then_line_where_it_opened(void **state)
{
  (void)state;
  check("hybrid,note\nA,x\nB,\"y\nC,z\nD,w\n", "unclosed-quote a:3.0", "2:A|x");
  check("hybrid,note\nA,x\nB,\"y", "unclosed-quote a:3.0", "2:A|x");
  check("hybrid,note,rep\nA,\"x\ny\",\"1\nB,z,2\n", "unclosed-quote a:3.0", "");
  check("hybrid,note\nA,\"x\nB,\"y\"\nC,z\n", "unclosed-quote a:2.0", "4:C|z");
  check("hybrid,\"note\nA,1\n", "unclosed-quote a:1.0", "");
}

static void odd_cells_when_their_row_is_dropped_then_forgotten(void **state)
{
  (void)state;
  fixture_check(&(fixture_case){"hybrid,yield,note\nA,x,5\" rows\nB,y,\n", "stray-quote a:2.0 '5\" rows'", NULL,
                                "3:B|~|~", "0.1'y'"});
}

static void row_when_too_many_cells_then_extra_cells(void **state)
{
  (void)state;
  check("hybrid,yield\nA,1,2\nB,3,\nC,4,,5\n", "extra-cells a:2.0\nextra-cells a:4.0", "2:A|1; 3:B|3; 4:C|4");
}

static void row_when_too_few_cells_then_short_row_and_missing(void **state)
{
  (void)state;
  check("hybrid,yield,note\nA,1,x\nB\nC,2,y\n", "short-row a:3.0", "2:A|1|x; 3:B|~|~; 4:C|2|y");
}

static void file_when_empty_or_heading_only_then_empty_table(void **state)
{
  (void)state;
  check("", "empty-table a:0.0", "");
  check("\n\n  \n", "empty-table a:0.0", "");
  check("hybrid,yield", "empty-table a:0.0", "");
  check("hybrid,yield\n,\n\n", "empty-table a:0.0", "");
  check("\xEF\xBB\xBF", "empty-table a:0.0", "");
}

/* ---- encodings -------------------------------------------------------------------------------------------------- */

static void text_when_utf8_then_kept_without_its_mark(void **state)
{
  (void)state;
  check("\xEF\xBB\xBFhybrid,yield\nMa\xC3\xADz,1\n", "", "2:Ma\xC3\xADz|1");
  check("hybrid,note\nA,\xF0\x9F\x8C\xBE\n", "", "2:A|\xF0\x9F\x8C\xBE");
}

/* Code points: mapping table CP1252.TXT of the Unicode Consortium. */
static void text_when_not_utf8_then_windows1252_and_one_note(void **state)
{
  (void)state;
  check("hybrid,note\nMa\xEDz,x\nB,5\x80 \x96 y\n", "encoding-assumed a:2.0",
        "2:Ma\xC3\xADz|x; 3:B|5\xE2\x82\xAC \xE2\x80\x93 y");
  check("hybrid,note\nA,\x81\n", "encoding-assumed a:2.0", "2:A|\xEF\xBF\xBD");
  check("hybrid,note\nMa\xC3\xADz,x\nMa\xEDz,y\n", "encoding-assumed a:3.0", "2:Ma\xC3\xADz|x; 3:Ma\xC3\xADz|y");
  check("hybrid,note\nA,x\xC3", "encoding-assumed a:2.0", "2:A|x\xC3\x83");
  check("hybrid,note\nA,\xED\xA0\x80\n", "encoding-assumed a:2.0",
        "2:A|\xC3\xAD\xC2\xA0\xE2\x82\xAC");                                            /* a surrogate */
  check("hybrid,note\nA,\xC0\xAF\n", "encoding-assumed a:2.0", "2:A|\xC3\x80\xC2\xAF"); /* overlong */
}

static void text_when_utf16_or32_then_named(void **state)
{
  (void)state;
  CHECK_BYTES("\xFF\xFEh\0y\0b\0,\0r\0e\0p\0\n\0A\0,\0001\0", "encoding a:0.0", "");
  CHECK_BYTES("\xFE\xFF\0h\0y\0b\0,\0r\0e\0p\0\n\0A\0,\0001", "encoding a:0.0", "");
  CHECK_BYTES("h\0y\0b\0,\0r\0e\0p\0\n\0A\0,\0001\0", "encoding a:0.0", "");
  CHECK_BYTES("h\0\0\0y\0\0\0b\0\0\0\n\0\0\0A\0\0\0", "encoding a:0.0", "");
  CHECK_BYTES("\xFF\xFE\0\0h\0\0\0y\0\0\0", "encoding a:0.0", "");
}

static void text_when_binary_then_not_text(void **state)
{
  (void)state;
  CHECK_BYTES("PK\003\004\024\0\006\0", "workbook-damaged a:0.0", "");
  CHECK_BYTES("\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1", "not-text a:0.0", "");
  CHECK_BYTES("\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\0\x3B\0\3\0\xFE\xFF\x09\0",
              "not-text a:0.0", "");
  CHECK_BYTES("hybrid,yield\nA,1\nB,\0002\n", "not-text a:3.0", "");
  CHECK_BYTES("hybrid,yield\r\nA,1\r\nB,\x01\r\n", "not-text a:3.0", "");
  CHECK_BYTES("\x1B[31mhybrid\n", "not-text a:1.0", "");
  fixture *f = fixture_new();
  fixture_add(f, "\xD0\xCF\x11\xE0xxxxxxxxxxxx");
  fixture_run(f);
  assert_true(fixture_says(f, CKS_RULE_NOT_TEXT, "save the sheet as CSV"));
  fixture_free(f);
}

/* ---- bounds and pieces ------------------------------------------------------------------------------------------ */

static char *filled(size_t n, char c)
{
  char *text = malloc(n + 1);
  assert_non_null(text);
  memset(text, c, n);
  text[n] = '\0';
  return text;
}

static void line_when_ten_megabytes_then_too_large_and_the_rest_is_read(void **state)
{
  (void)state;
  size_t n = 10u << 20;
  char *text = filled(n + 64, 'x');
  memcpy(text, "hybrid,yield\nA,1\n", 17);
  memcpy(text + n, "\nB,2\n", 6);
  check(text, "too-large a:3.0", "2:A|1; 4:B|2");
  memcpy(text, "hybrid,yield\nA,1\n\"", 18);
  check(text, "too-large a:3.0", "2:A|1; 4:B|2");
  free(text);
}

static void heading_line_when_ten_megabytes_then_too_large(void **state)
{
  (void)state;
  char *text = filled(10u << 20, 'x');
  check(text, "too-large a:1.0", "");
  free(text);
}

static void quote_when_open_over_aMegabyte_of_lines_then_unclosed(void **state)
{
  (void)state;
  size_t n = 2u << 20;
  char *text = filled(n, 'x');
  for (size_t i = 100; i < n; i += 100) text[i] = '\n';
  memcpy(text, "hybrid,note\nA,\"", 15);
  fixture *f = fixture_new();
  fixture_add(f, text);
  fixture_run(f);
  assert_int_equal(f->findings->finding[0].rule, CKS_RULE_UNCLOSED_QUOTE);
  assert_int_equal(f->findings->finding[0].where.line, 2);
  fixture_free(f);
  free(text);
}

static void columns_when_hundred_thousand_then_too_large(void **state)
{
  (void)state;
  char *text = filled(300000, ',');
  for (size_t i = 0; i < 300000; i += 3) text[i] = 'c';
  for (size_t i = 1; i < 300000; i += 3) text[i] = 'd';
  memcpy(text + 299990, "\nA,1\n", 6);
  check(text, "too-large a:1.0", "");
  free(text);
}

static void columns_when_just_the_most_then_read(void **state)
{
  (void)state;
  char *text = filled(4096 + 64, ',');
  memcpy(text, "hybrid", 6);
  memcpy(text + 6 + 4095, "\nA\n", 4);
  check(text, "", "2:A");
  free(text);
}

/* The same text in pieces of every small size: lines, quotes, characters and CRLF are cut everywhere. */
static void rows_when_source_gives_few_bytes_then_the_same(void **state)
{
  (void)state;
  static const char text[] = "hybrid,note\r\nMa\xC3\xADz,\"x\r\ny\"\r\n\r\nMa\xEDz,z\r\n";
  for (size_t most = 1; most < sizeof text; most++) {
    fixture *f = fixture_new();
    fixture_bytes(f, text, sizeof text - 1)->most = most;
    fixture_run(f);
    fixture_expect(
        f, &(fixture_case){.findings = "encoding-assumed a:5.0", .rows = "2:Ma\xC3\xADz|x  y; 5:Ma\xC3\xADz|z"});
    fixture_free(f);
  }
}

/* A piece of 64 KB ends within every part of these lines in turn. */
static void rows_when_cut_by_pieces_then_the_same(void **state)
{
  (void)state;
  static const char tail[] = "Ma\xC3\xADz,\"x\r\ny\"\r\n\r\nMa\xEDz,z\r\n";
  size_t piece = 1u << 16, n_tail = sizeof tail - 1;
  for (size_t cut = 0; cut <= n_tail; cut++) {
    char *text = filled(piece + n_tail, 'n');
    memcpy(text, "hybrid,note\r\nA,", 15);
    memcpy(text + piece - cut - 2, "\r\n", 2);
    memcpy(text + piece - cut, tail, n_tail + 1);
    fixture *f = fixture_new();
    fixture_add(f, text);
    fixture_run(f);
    assert_string_equal(fixture_findings(f), "encoding-assumed a:6.0");
    assert_int_equal(f->table->n_row, 3);
    assert_int_equal(f->table->line[1], 3);
    assert_int_equal(f->table->line[2], 6);
    assert_string_equal(cks_names_text(&f->table->names, f->table->column[1].name[1]), "x  y");
    assert_int_equal(f->table->column[0].name[1], f->table->column[0].name[2]);
    fixture_free(f);
    free(text);
  }
}

static void binary_when_piece_begins_with_the_second_half_of_aLine_end_then_line_is_exact(void **state)
{
  (void)state;
  size_t piece = 1u << 16;
  char *text = filled(piece + 16, 'n');
  memcpy(text, "hybrid\r\n", 8);
  memcpy(text + piece - 1, "\r\nA\r\n\x01\n", 8);
  fixture *f = fixture_new();
  fixture_add(f, text);
  fixture_run(f);
  assert_string_equal(fixture_findings(f), "not-text a:4.0");
  fixture_free(f);
  free(text);
}

static void status_when_source_fails_then_io_and_no_table(void **state)
{
  (void)state;
  fixture *f = fixture_new();
  fixture_add(f, "hybrid\nA\n");
  f->text[0].fails = true;
  fixture_run(f);
  assert_int_equal(f->status, CKS_IO);
  assert_non_null(strstr(f->error.text, "a.csv"));
  fixture_free(f);
}

/* ---- several files ---------------------------------------------------------------------------------------------- */

static void files_when_stacked_then_columns_meet_by_role_and_gaps_are_missing(void **state)
{
  (void)state;
  fixture *f = fixture_new();
  fixture_add(f, "hybrid,yield,moisture\nA,1,14\nB,2,15\n");
  fixture_add(f, "moist,variety,rep\n16,C,1\n");
  fixture_add(f, "");
  fixture_add(f, "hybrid,yield\nA,3\n");
  fixture_run(f);
  fixture_expect(f, &(fixture_case){.findings = "empty-table c:0.0",
                                    .columns = "hybrid, yield bu/ac high, moisture %, rep",
                                    .rows = "2:A|1|14|~; 3:B|2|15|~; 2:C|~|16|1; 2:A|3|~|~"});
  assert_int_equal(f->table->n_file, 4);
  const uint32_t rows[] = {2, 1, 0, 1};
  for (size_t i = 0; i < 4; i++) {
    assert_int_equal(f->table->file_row[i], rows[i]);
    assert_int_equal(f->table->file_id[i], i);
  }
  assert_int_equal(f->table->file[2], 1);
  assert_int_equal(f->table->file[3], 3);
  fixture_free(f);
}

static void files_when_none_then_an_empty_table(void **state)
{
  (void)state;
  fixture *f = fixture_new();
  fixture_run(f);
  assert_int_equal(f->status, CKS_OK);
  assert_int_equal(f->table->n_row, 0);
  fixture_free(f);
}

static void rows_when_many_then_columns_grow(void **state)
{
  (void)state;
  size_t n_row = 5000, used = 0, size = n_row * 32 + 64;
  char *text = malloc(size);
  assert_non_null(text);
  used += (size_t)snprintf(text, size, "hybrid,yield\n");
  for (size_t i = 0; i < n_row; i++) used += (size_t)snprintf(text + used, size - used, "H%zu,%zu.5\n", i, i);
  fixture *f = fixture_new();
  fixture_add(f, text);
  fixture_run(f);
  assert_int_equal(f->table->n_row, n_row);
  for (size_t i = 0; i < n_row; i++) {
    char name[32];
    snprintf(name, sizeof name, "H%zu", i);
    assert_true(f->table->column[1].number[i] == (double)i + 0.5);
    assert_string_equal(cks_names_text(&f->table->names, f->table->column[0].name[i]), name);
    assert_int_equal(f->table->line[i], i + 2);
  }
  fixture_free(f);
  free(text);
}

static void column_when_asked_for_by_role_then_first_or_null(void **state)
{
  (void)state;
  fixture *f = fixture_new();
  fixture_add(f, "hybrid,yield\nA,1\n");
  fixture_run(f);
  assert_ptr_equal(cks_table_column(f->table, CKS_ROLE_YIELD), &f->table->column[1]);
  assert_null(cks_table_column(f->table, CKS_ROLE_MOISTURE));
  cks_table_free(NULL);
  fixture_free(f);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(rows_when_any_line_end_then_the_same),
      cmocka_unit_test(rows_when_blank_lines_stand_between_then_lines_stay_exact),
      cmocka_unit_test(rows_when_quoted_line_breaks_then_first_line_and_one_space),
      cmocka_unit_test(separator_when_comma_semicolon_tab_then_taken_from_the_heading),
      cmocka_unit_test(separator_when_heading_ties_then_rows_decide),
      cmocka_unit_test(cells_when_spaces_around_then_trimmed),
      cmocka_unit_test(cells_when_quotes_are_doubled_then_one),
      cmocka_unit_test(columns_when_trailing_ones_are_empty_then_silent),
      cmocka_unit_test(quote_when_stray_then_reported_and_the_rest_is_read),
      cmocka_unit_test(quote_when_stray_in_the_heading_then_file_is_left),
      cmocka_unit_test(quote_when_never_closed_then_line_where_it_opened),
      cmocka_unit_test(odd_cells_when_their_row_is_dropped_then_forgotten),
      cmocka_unit_test(row_when_too_many_cells_then_extra_cells),
      cmocka_unit_test(row_when_too_few_cells_then_short_row_and_missing),
      cmocka_unit_test(file_when_empty_or_heading_only_then_empty_table),
      cmocka_unit_test(text_when_utf8_then_kept_without_its_mark),
      cmocka_unit_test(text_when_not_utf8_then_windows1252_and_one_note),
      cmocka_unit_test(text_when_utf16_or32_then_named),
      cmocka_unit_test(text_when_binary_then_not_text),
      cmocka_unit_test(line_when_ten_megabytes_then_too_large_and_the_rest_is_read),
      cmocka_unit_test(heading_line_when_ten_megabytes_then_too_large),
      cmocka_unit_test(quote_when_open_over_aMegabyte_of_lines_then_unclosed),
      cmocka_unit_test(columns_when_hundred_thousand_then_too_large),
      cmocka_unit_test(columns_when_just_the_most_then_read),
      cmocka_unit_test(rows_when_source_gives_few_bytes_then_the_same),
      cmocka_unit_test(rows_when_cut_by_pieces_then_the_same),
      cmocka_unit_test(binary_when_piece_begins_with_the_second_half_of_aLine_end_then_line_is_exact),
      cmocka_unit_test(status_when_source_fails_then_io_and_no_table),
      cmocka_unit_test(files_when_stacked_then_columns_meet_by_role_and_gaps_are_missing),
      cmocka_unit_test(files_when_none_then_an_empty_table),
      cmocka_unit_test(rows_when_many_then_columns_grow),
      cmocka_unit_test(column_when_asked_for_by_role_then_first_or_null),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
