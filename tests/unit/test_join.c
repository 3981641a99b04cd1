/*
 * test_join.c: plot list, walk notes and harvest file become one table: which plot a row goes to, which location a file
 * without one means, whose line a finding names, and that nothing depends on the order of rows or files.
 */
#include "read_fixture.h"
#include "support/support.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

enum { MOST_FILES = 4 };

/* ---- through the reader ----------------------------------------------------------------------------------------- */

typedef struct {
  test_file file[MOST_FILES];
  size_t plots;     /* that the last file goes to */
  const char *says; /* words of a finding about it */
  cks_rule rule;
} place_case;

#define TWO_PLACES "location,plot,hybrid\nCreek,101,Ash\nCreek,102,Bay\nElm Creek,101,Ash\nElm Creek,203,Bay\n"

/* clang-format off */
static const place_case places[] = {
    {{{"plots.csv", "location,plot,hybrid\nCreek,101,Ash\n"}, {"bram.csv", "plot,yield\n101,90\n"}}, 1, "the list's only location", CKS_RULE_JOINED},
    {{{"plots.csv", TWO_PLACES}, {"in/Creek-harvest.csv", "plot,yield\n101,90\n102,91\n"}}, 2, "location Creek (as the file's name says)", CKS_RULE_JOINED},
    {{{"plots.csv", TWO_PLACES}, {"2026_elm_creek.csv", "plot,yield\n101,90\n203,91\n"}}, 2, "location Elm Creek", CKS_RULE_JOINED},
    {{{"plots.csv", TWO_PLACES}, {"ElmCreek harvest.csv", "plot,yield\n101,90\n"}}, 1, "location Elm Creek", CKS_RULE_JOINED},
    {{{"plots.csv", TWO_PLACES}, {"harvest.csv", "plot,yield\n102,90\n203,91\n"}}, 2, "plot number alone", CKS_RULE_JOINED},
    {{{"plots.csv", TWO_PLACES}, {"harvest.csv", "plot,yield\n101,90\n203,91\n"}}, 0, "add a location column", CKS_RULE_PLACE_UNCLEAR},
    {{{"plots.csv", TWO_PLACES}, {"harvest.csv", "site,plot,yield\nELM-creek,101,90\ncreek,101,91\n"}}, 2, "location and plot", CKS_RULE_JOINED},
    {{{"creek-plots.csv", "plot,hybrid\n101,Ash\n"}, {"bram-plots.csv", "plot,hybrid\n101,Ash\n"}, {"bram-walk.csv", "plot,lodging\n101,5\n"}}, 1, "location bram (", CKS_RULE_JOINED},
    {{{"plots.csv", "location,row,column,hybrid\nA,1,1,Ash\nA,1,2,Bay\n"}, {"h.csv", "row,column,yield\n1,2,90\n"}}, 1, "row and column", CKS_RULE_JOINED},
    {{{"plots.csv", "location,year,plot,hybrid\nA,2025,1,Ash\nA,2026,1,Bay\n"}, {"h.csv", "year,plot,yield\n2026,1,90\n"}}, 1, "and plot", CKS_RULE_JOINED},
    {{{"plots.csv", "location,rep,plot,hybrid\nA,1,1,Ash\nA,2,1,Bay\n"}, {"h.csv", "rep,plot,yield\n2,1,90\n1,1,80\n"}}, 2, "and plot", CKS_RULE_JOINED},
};
/* clang-format on */

static void adding_files_when_read_then_their_location_is_found_as_told(void **state)
{
  (void)state;
  for (size_t i = 0; i < COUNT(places); i++) {
    const place_case *c = &places[i];
    test_bytes bytes[MOST_FILES];
    cks_source source[MOST_FILES];
    cks_settings settings;
    cks_findings *findings = NULL;
    cks_table *table = NULL;
    size_t n = 0;
    for (; n < MOST_FILES && c->file[n].name; n++) {
      bytes[n] = (test_bytes){c->file[n].text, strlen(c->file[n].text), 0};
      source[n] = test_source(c->file[n].name, &bytes[n]);
    }
    cks_settings_defaults(&settings);
    assert_int_equal(cks_findings_new(&findings, NULL), CKS_OK);
    assert_int_equal(cks_read(&settings, n, source, findings, &table, NULL), CKS_OK);
    assert_non_null(table->joined);
    if (table->joined->file[n - 1].plots != c->plots)
      fail_msg("case %zu: %u plots", i, table->joined->file[n - 1].plots);
    const cks_finding *finding = test_finding(findings, c->rule);
    if (!finding || !strstr(finding->text, c->says)) fail_msg("case %zu: '%s'", i, finding ? finding->text : "-");
    cks_table_free(table);
    cks_findings_free(findings);
  }
}

static void rows_when_joined_then_only_plots_stay_and_cells_keep_their_place(void **state)
{
  (void)state;
  fixture *f = fixture_new();
  fixture_add(f, "plot,yield,note\n102,80,tall\n101,62 a,\n"); /* before the list */
  fixture_add(f, "location,plot,hybrid,note\nA,101,Ash,\nA,102,Bay,wet\n");
  fixture_add(f, "plot,moisture\n0102,14\n");
  fixture_run(f);
  fixture_expect(f, &(fixture_case){.rows = "2:101|~|~|A|Ash|~; 3:102|80|wet; tall|A|Bay|14", .odd = "0.1'62 a'"});
  const cks_column *yield = cks_table_column(f->table, CKS_ROLE_YIELD);
  cks_where at = cks_table_where(f->table, yield, 1), odd = f->table->odd[0].where;
  assert_int_equal(at.file, 0);
  assert_int_equal(at.line, 2);
  assert_int_equal(odd.file, 0);
  assert_int_equal(odd.line, 3);
  assert_int_equal(odd.column, 2);
  assert_null(cks_table_column(f->table, CKS_ROLE_HYBRID)->line);
  fixture_free(f);
}

static void files_when_all_have_hybrids_then_nothing_is_joined(void **state)
{
  (void)state;
  fixture *f = fixture_new();
  fixture_add(f, "location,plot,hybrid,yield\nA,101,Ash,90\n");
  fixture_add(f, "location,plot,hybrid,yield\nB,101,Ash,90\n");
  fixture_run(f);
  assert_null(f->table->joined);
  assert_int_equal(f->table->n_row, 2);
  for (size_t i = 0; i < f->table->n_column; i++) assert_null(f->table->column[i].line);
  fixture_free(f);
}

/* ---- the whole run ---------------------------------------------------------------------------------------------- */

#define ALL                                                                                                            \
  "location,rep,plot,hybrid,moisture (%),yield (bu/ac),lodging (%)\n"                                                  \
  "A,1,101,Ash,14.1,90,5\nA,1,102,Bay,14.2,80,0\nA,2,201,Ash,14.3,92,10\nA,2,202,Bay,14.4,81.5,5\n"                    \
  "B,1,101,Ash,15.1,70,\nB,1,102,Bay,15.2,,5\nB,2,201,Ash,15.3,72,10\nB,2,202,Bay,15.4,61.5,0\n"
#define A_LIST    "location,rep,plot,hybrid\nA,1,101,Ash\nA,1,102,Bay\nA,2,201,Ash\nA,2,202,Bay\n"
#define B_LIST    "location,rep,plot,hybrid\nB,2,202,Bay\nB,2,201,Ash\nB,1,101,Ash\nB,1,102,Bay\n"
#define WALK      "location,plot,lodging (%)\nb,201,10\na,202,5\nA,101,5\nA,102,0\nA,201,10\nB,102,5\nB,202.0,0\n"
#define A_HARVEST "plot,yield (bu/ac),moisture (%)\n202,81.5,14.4\n101,90,14.1\n102,80,14.2\n201,92,14.3\n"
#define B_HARVEST "plot,moisture (%),yield (bu/ac)\n101,15.1,70\n102,15.2,\n201,15.3,72\n202,15.4,61.5\n"

static void files_when_joined_then_the_results_are_those_of_one_file_in_any_order(void **state)
{
  (void)state;
  static const test_file one[] = {{"all.csv", ALL}};
  static const char both[] =
      "location,rep,plot,hybrid\nA,2,202,Bay\nB,1,102,Bay\nA,1,101,Ash\nA,1,102,Bay\nA,2,201,Ash\n"
      "B,1,101,Ash\nB,2,201,Ash\nB,2,202,Bay\n";
  static const test_file order[][MOST_FILES] = {
      {{"plots.csv", both}, {"walk.csv", WALK}, {"harvest A.csv", A_HARVEST}, {"harvest_b.csv", B_HARVEST}},
      {{"harvest_b.csv", B_HARVEST}, {"harvest A.csv", A_HARVEST}, {"walk.csv", WALK}, {"plots.csv", both}},
      {{"harvest A.csv", A_HARVEST}, {"plots.csv", both}, {"harvest_b.csv", B_HARVEST}, {"walk.csv", WALK}},
  };
  char *expected = test_traits(1, one);
  for (size_t i = 0; i < COUNT(order); i++) {
    char *found = test_traits(MOST_FILES, order[i]);
    assert_string_equal(found, expected);
    free(found);
  }
  static const test_file lists_apart[] = {
      {"b.csv", B_LIST},
      {"a.csv", A_LIST},
      {"walk.csv", WALK},
      {"h.csv", "location,plot,yield (bu/ac),moisture (%)\nB,101,70,15.1\nA,202,81.5,14.4\n"
                "A,101,90,14.1\nA,102,80,14.2\nA,201,92,14.3\nB,102,,15.2\nB,201,72,15.3\nB,202,61.5,15.4\n"}};
  char *apart = test_traits(MOST_FILES, lists_apart);
  assert_string_equal(apart, expected);
  free(apart);
  free(expected);
}

/* ---- what is said ----------------------------------------------------------------------------------------------- */

typedef struct {
  test_file file[MOST_FILES];
  cks_rule rule;
  const char *says; /* words of a finding of the rule; NULL: there is none */
} said_case;

#define A_PLOT                                                                                                         \
  {                                                                                                                    \
    "A.csv", "plot,rep,hybrid\n1,1,X\n"                                                                                \
  }
#define B_PLOT                                                                                                         \
  {                                                                                                                    \
    "B.csv", "plot,rep,hybrid\n2,1,X\n"                                                                                \
  }

/* clang-format off */
static const said_case said[] = {
    {{A_PLOT, B_PLOT, {"w.csv", "plot,moisture,note\n1,18,\n2,18,\n,,wagon cleaned\n"}}, CKS_RULE_PLOT_NOT_IN_LIST, "the row holds values and names no plot"},
    {{A_PLOT, B_PLOT, {"w.csv", "plot,moisture\n1,18\n2,18\n,17\n"}}, CKS_RULE_PLOT_NOT_IN_LIST, "the row holds values and names no plot"},
    {{A_PLOT, B_PLOT, {"w.csv", "plot,moisture,note,leave_out\n1,18,,\n2,18,,\n,,wagon cleaned,no plot\n"}}, CKS_RULE_PLOT_NOT_IN_LIST, NULL},
};
/* clang-format on */

static void files_when_joined_then_what_is_wrong_is_said(void **state)
{
  (void)state;
  cks_startup();
  for (size_t i = 0; i < COUNT(said); i++) {
    const said_case *c = &said[i];
    test_bytes bytes[MOST_FILES];
    cks_source source[MOST_FILES];
    cks_settings settings;
    cks_findings *findings = NULL;
    size_t n = 0;
    for (; n < MOST_FILES && c->file[n].name; n++) {
      bytes[n] = (test_bytes){c->file[n].text, strlen(c->file[n].text), 0};
      source[n] = test_source(c->file[n].name, &bytes[n]);
    }
    cks_settings_defaults(&settings);
    assert_int_equal(cks_findings_new(&findings, NULL), CKS_OK);
    cks_status status = cks_run(&settings, n, source, 0, NULL, findings, NULL);
    assert_true(status == CKS_OK || status == CKS_DATA);
    const cks_finding *finding = test_finding(findings, c->rule);
    if (!c->says != !finding || (finding && !strstr(finding->text, c->says)))
      fail_msg("case %zu: '%s'", i, finding ? finding->text : "-");
    cks_findings_free(findings);
  }
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(adding_files_when_read_then_their_location_is_found_as_told),
      cmocka_unit_test(rows_when_joined_then_only_plots_stay_and_cells_keep_their_place),
      cmocka_unit_test(files_when_all_have_hybrids_then_nothing_is_joined),
      cmocka_unit_test(files_when_joined_then_the_results_are_those_of_one_file_in_any_order),
      cmocka_unit_test(files_when_joined_then_what_is_wrong_is_said),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
