/*
 * test_observe.c: plots that stand in several rows, each a look of another day or observer, give what the same looks give
 * as columns; what cannot be one plot is said.
 */
#include "read_fixture.h"
#include "support/support.h"

#define COUNT(array) (sizeof(array) / sizeof *(array))

enum { MOST_FILES = 2 };

#define LIST "rep,plot,hybrid,yield (bu/ac)"
#define TWO_OBSERVERS                                                                                                  \
  LIST ",lodging (%) (JT),lodging (%) "                                                                                \
       "(MB)\n1,101,Ash,90,5,7\n1,102,Bay,80,0,3\n2,201,Ash,92,10,9\n2,202,Bay,81.5,5,6\n"
#define TWO_DAYS                                                                                                       \
  LIST ",lodging (%) 2026-09-20,lodging (%) 2026-10-03\n1,101,Ash,90,5,7\n1,102,Bay,80,0,3\n2,201,Ash,92,10,9\n"       \
       "2,202,Bay,81.5,5,6\n"
#define BOTH                                                                                                           \
  LIST ",lodging (%) 2026-09-20 (JT),lodging (%) 2026-09-20 (MB),lodging (%) 2026-10-03 (JT)\n1,101,Ash,90,5,7,8\n"    \
       "1,102,Bay,80,0,3,4\n2,201,Ash,92,10,9,12\n2,202,Bay,81.5,5,6,6\n"
#define GAPS                                                                                                           \
  LIST ",lodging (%) (JT),lodging (%) (MB)\n1,101,Ash,90,5,\n1,102,Bay,80,,3\n2,201,Ash,92,10,9\n2,202,Bay,81.5,5,6\n"

typedef struct {
  const char *columns;
  test_file rows[MOST_FILES];
} look_case;

/* clang-format off */
static const look_case looks[] = {
    {TWO_OBSERVERS, {{"a.csv", "rep,plot,hybrid,yield (bu/ac),observer,lodging (%)\n1,101,Ash,90,JT,5\n1,101,Ash,90,MB,7\n1,102,Bay,80,JT,0\n1,102,Bay,80,MB,3\n2,201,Ash,92,JT,10\n2,201,Ash,92,MB,9\n2,202,Bay,81.5,JT,5\n2,202,Bay,81.5,MB,6\n"}}},
    {TWO_DAYS, {{"a.csv", "rep,plot,hybrid,yield (bu/ac),date rated,lodging (%)\n1,101,Ash,90,2026-09-20,5\n1,102,Bay,80,2026-09-20,0\n2,201,Ash,92,2026-09-20,10\n2,202,Bay,81.5,2026-09-20,5\n1,101,Ash,,2026-10-03,7\n1,102,Bay,,2026-10-03,3\n2,201,Ash,,2026-10-03,9\n2,202,Bay,,2026-10-03,6\n"}}},
    {BOTH, {{"a.csv", LIST "\n1,101,Ash,90\n1,102,Bay,80\n2,201,Ash,92\n2,202,Bay,81.5\n"},
            {"walk.csv", "plot,date rated,rater,lodging (%)\n101,2026-09-20,JT,5\n101,2026-09-20,MB,7\n101,2026-10-03,JT,8\n102,2026-09-20,JT,0\n102,2026-09-20,MB,3\n102,2026-10-03,JT,4\n201,2026-09-20,JT,10\n201,2026-09-20,MB,9\n201,2026-10-03,JT,12\n202,2026-09-20,JT,5\n202,2026-09-20,MB,6\n202,2026-10-03,JT,6\n"}}},
    {GAPS, {{"a.csv", LIST "\n1,101,Ash,90\n1,102,Bay,80\n2,201,Ash,92\n2,202,Bay,81.5\n"},
            {"walk.csv", "plot,observer,lodging (%)\n101,JT,5\n101,MB,\n102,MB,3\n201,JT,10\n201,MB,9\n202,JT,5\n202,MB,6\n"}}},
};

/* No plot numbers: rep and hybrid say the plot. */
static const look_case in_reps[] = {
    {"rep,hybrid,yield (bu/ac),lodging (%) (JT),lodging (%) (MB)\n1,Ash,90,5,7\n1,Bay,80,0,3\n2,Ash,92,10,9\n2,Bay,81.5,5,6\n",
     {{"a.csv", "rep,hybrid,yield (bu/ac),observer,lodging (%)\n1,Ash,90,JT,5\n1,Bay,80,JT,0\n2,Ash,92,JT,10\n2,Bay,81.5,JT,5\n1,Ash,90,MB,7\n1,Bay,80,MB,3\n2,Ash,92,MB,9\n2,Bay,81.5,MB,6\n"}}},
    {"block,entry,yield (bu/ac),lodging (%) 2026-09-20,lodging (%) 2026-10-03\n1,Ash,90,5,7\n1,Bay,80,0,3\n2,Ash,92,10,9\n2,Bay,81.5,5,6\n",
     {{"a.csv", "block,entry,yield (bu/ac),date rated,lodging (%)\n1,Ash,90,2026-09-20,5\n1,Ash,90,2026-10-03,7\n1,Bay,80,2026-09-20,0\n1,Bay,80,2026-10-03,3\n2,Ash,92,2026-09-20,10\n2,Ash,92,2026-10-03,9\n2,Bay,81.5,2026-09-20,5\n2,Bay,81.5,2026-10-03,6\n"}}},
};
/* clang-format on */

static void check_looks(const look_case *c, size_t n)
{
  for (size_t i = 0; i < n; i++, c++) {
    const test_file columns = {"a.csv", c->columns};
    char *expected = test_traits(1, &columns), *found = test_traits(c->rows[1].name ? 2 : 1, c->rows);
    assert_string_equal(found, expected);
    free(found);
    free(expected);
  }
}

static void looks_when_given_as_rows_then_the_results_are_those_of_columns(void **state)
{
  (void)state;
  check_looks(looks, COUNT(looks));
}

static void looks_when_plots_have_no_number_then_a_hybrid_in_a_rep_is_one_plot(void **state)
{
  (void)state;
  check_looks(in_reps, COUNT(in_reps));
}

static bool has_rule(const char *text, cks_rule rule)
{
  fixture *f = fixture_new();
  fixture_add(f, text);
  fixture_run(f);
  bool found = test_finding(f->findings, rule) != NULL;
  fixture_free(f);
  return found;
}

static void harvest_when_its_value_differs_between_looks_then_it_is_an_error(void **state)
{
  (void)state;
  assert_true(has_rule("plot,hybrid,yield,observer,lodging\n1,Ash,90,JT,5\n1,Ash,91,MB,6\n", CKS_RULE_OBSERVED_TWICE));
  assert_true(has_rule("rep,hybrid,yield,observer,lodging\n1,Ash,90,JT,5\n1,Ash,91,MB,6\n", CKS_RULE_OBSERVED_TWICE));
  assert_false(has_rule("rep,hybrid,yield,observer,lodging\n1,Ash,90,JT,5\n1,Ash,90,MB,6\n", CKS_RULE_OBSERVED_TWICE));
}

static void rows_when_rep_or_hybrid_is_empty_then_they_are_not_put_together(void **state)
{
  (void)state;
  fixture *f = fixture_new();
  fixture_add(f, "rep,hybrid,observer,lodging\n1,Ash,JT,5\n1,Ash,MB,7\n,Bay,JT,1\n,Bay,MB,2\n2,,JT,3\n2,,MB,4\n");
  fixture_run(f);
  assert_int_equal(f->table->n_row, 5);
  fixture_free(f);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(looks_when_given_as_rows_then_the_results_are_those_of_columns),
      cmocka_unit_test(looks_when_plots_have_no_number_then_a_hybrid_in_a_rep_is_one_plot),
      cmocka_unit_test(harvest_when_its_value_differs_between_looks_then_it_is_an_error),
      cmocka_unit_test(rows_when_rep_or_hybrid_is_empty_then_they_are_not_put_together),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
