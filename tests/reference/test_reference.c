/*
 * test_reference.c: the program's figures against published data sets and figures of general statistics libraries.
 *
 * A run is a data file of tests/reference/<set> and settings. Its rows in <set>/expect.csv say what the JSON must hold; see
 * expect.h.
 */
#include "reference/expect.h"

#define FOLDER "tests/reference/"

typedef struct {
  const char *name;   /* set/run; the rows of expect.csv add the level: run05 is the run at alpha .05 */
  const char *hybrid; /* heading of the hybrids' column; NULL: the program knows it */
  const char *trait;  /* NULL: all */
  const char *unit;   /* of yield; NULL: the usual one */
  const char *check;
  bool unprotected, fixed;
  const char *data;
  cks_comparison comparison;
} reference;

/* clang-format off */
static const reference references[] = {
    {"01a_rice/p", "entry", NULL, "kg/ha", "25kg", false, false, "data.csv", CKS_COMPARE_LSD},
    {"01a_rice/u", "entry", NULL, "kg/ha", "25kg", true, false, "data.csv", CKS_COMPARE_LSD},
    {"01b_soybean/p", "entry", "failures", NULL, "Check", false, false, "data.csv", CKS_COMPARE_LSD},
    {"01b_soybean/u", "entry", "failures", NULL, "Check", true, false, "data.csv", CKS_COMPARE_LSD},
    {"01c_flax/p", "entry", "oil", NULL, "Uninoculated", false, false, "data.csv", CKS_COMPARE_LSD},
    {"01c_flax/u", "entry", "oil", NULL, "Uninoculated", true, false, "data.csv", CKS_COMPARE_LSD},
    {"01e_wheat/p", "variety", NULL, NULL, "D", false, false, "data.csv", CKS_COMPARE_LSD},
    {"01e_wheat/u", "variety", NULL, NULL, "D", true, false, "data.csv", CKS_COMPARE_LSD},
    {"02a_rice_one_lost/p", "entry", NULL, "kg/ha", "25kg", false, false, "data.csv", CKS_COMPARE_LSD},
    {"02a_rice_one_lost/u", "entry", NULL, "kg/ha", "25kg", true, false, "data.csv", CKS_COMPARE_LSD},
    {"02b_wheat_three_lost/p", "variety", NULL, NULL, "D", false, false, "data.csv", CKS_COMPARE_LSD},
    {"02b_wheat_three_lost/u", "variety", NULL, NULL, "D", true, false, "data.csv", CKS_COMPARE_LSD},
    {"03a_nine_locations/random", NULL, NULL, "t/ha", "H4", false, false, "data.csv", CKS_COMPARE_LSD},
    {"03a_nine_locations/fixed", NULL, NULL, "t/ha", "H4", false, true, "data.csv", CKS_COMPARE_LSD},
    {"03a_nine_locations/each", NULL, NULL, "t/ha", "H4", true, false, "data.csv", CKS_COMPARE_LSD},
    {"03b_barley/crossed", "variety", NULL, NULL, "M", false, false, "data.csv", CKS_COMPARE_LSD},
    {"03b_barley/five", "variety", NULL, NULL, "M", false, false, "data_five.csv", CKS_COMPARE_LSD},
    {"03b_barley/joined", "variety", NULL, NULL, "M", false, false, "data_joined.csv", CKS_COMPARE_LSD},
    {"03b_barley/average", "variety", NULL, NULL, "M", false, false, "data_average.csv", CKS_COMPARE_LSD},
    {"13a_latin_maize/p", NULL, NULL, "t/ha", "C", false, false, "data.csv", CKS_COMPARE_LSD},
    {"13a_latin_maize/u", NULL, NULL, "t/ha", "C", true, false, "data.csv", CKS_COMPARE_LSD},
    {"01a_rice/t", "entry", NULL, "kg/ha", "25kg", false, false, "data.csv", CKS_COMPARE_TUKEY},
    {"01a_rice/b", "entry", NULL, "kg/ha", "25kg", false, false, "data.csv", CKS_COMPARE_BONFERRONI},
    {"01a_rice/d", "entry", NULL, "kg/ha", "25kg", false, false, "data.csv", CKS_COMPARE_DUNNETT},
    {"01b_soybean/t", "entry", "failures", NULL, "Check", false, false, "data.csv", CKS_COMPARE_TUKEY},
    {"01b_soybean/b", "entry", "failures", NULL, "Check", false, false, "data.csv", CKS_COMPARE_BONFERRONI},
    {"01b_soybean/d", "entry", "failures", NULL, "Check", false, false, "data.csv", CKS_COMPARE_DUNNETT},
    {"01c_flax/t", "entry", "oil", NULL, "Uninoculated", false, false, "data.csv", CKS_COMPARE_TUKEY},
    {"01c_flax/b", "entry", "oil", NULL, "Uninoculated", false, false, "data.csv", CKS_COMPARE_BONFERRONI},
    {"01c_flax/d", "entry", "oil", NULL, "Uninoculated", false, false, "data.csv", CKS_COMPARE_DUNNETT},
    {"01e_wheat/t", "variety", NULL, NULL, "D", false, false, "data.csv", CKS_COMPARE_TUKEY},
    {"01e_wheat/b", "variety", NULL, NULL, "D", false, false, "data.csv", CKS_COMPARE_BONFERRONI},
    {"01e_wheat/d", "variety", NULL, NULL, "D", false, false, "data.csv", CKS_COMPARE_DUNNETT},
    {"02a_rice_one_lost/t", "entry", NULL, "kg/ha", "25kg", false, false, "data.csv", CKS_COMPARE_TUKEY},
    {"02a_rice_one_lost/b", "entry", NULL, "kg/ha", "25kg", false, false, "data.csv", CKS_COMPARE_BONFERRONI},
    {"02a_rice_one_lost/d", "entry", NULL, "kg/ha", "25kg", false, false, "data.csv", CKS_COMPARE_DUNNETT},
    {"02b_wheat_three_lost/t", "variety", NULL, NULL, "D", false, false, "data.csv", CKS_COMPARE_TUKEY},
    {"02b_wheat_three_lost/b", "variety", NULL, NULL, "D", false, false, "data.csv", CKS_COMPARE_BONFERRONI},
    {"02b_wheat_three_lost/d", "variety", NULL, NULL, "D", false, false, "data.csv", CKS_COMPARE_DUNNETT},
    {"13a_latin_maize/t", NULL, NULL, "t/ha", "C", false, false, "data.csv", CKS_COMPARE_TUKEY},
    {"13a_latin_maize/b", NULL, NULL, "t/ha", "C", false, false, "data.csv", CKS_COMPARE_BONFERRONI},
    {"13a_latin_maize/d", NULL, NULL, "t/ha", "C", false, false, "data.csv", CKS_COMPARE_DUNNETT},
    {"15a_fabric/t", "process", "strength", NULL, "standard", false, false, "data.csv", CKS_COMPARE_TUKEY},
    {"15a_fabric/b", "process", "strength", NULL, "standard", false, false, "data.csv", CKS_COMPARE_BONFERRONI},
    {"15a_fabric/d", "process", "strength", NULL, "standard", false, false, "data.csv", CKS_COMPARE_DUNNETT},
    {"15b_blood/d", "group", "count", NULL, "control", false, false, "data.csv", CKS_COMPARE_DUNNETT},
    {"03a_nine_locations/random_t", NULL, NULL, "t/ha", "H4", false, false, "data.csv", CKS_COMPARE_TUKEY},
    {"03a_nine_locations/fixed_t", NULL, NULL, "t/ha", "H4", false, true, "data.csv", CKS_COMPARE_TUKEY},
    {"03b_barley/joined_t", "variety", NULL, NULL, "M", false, false, "data_joined.csv", CKS_COMPARE_TUKEY},
    {"03a_nine_locations/random_b", NULL, NULL, "t/ha", "H4", false, false, "data.csv", CKS_COMPARE_BONFERRONI},
    {"03a_nine_locations/fixed_b", NULL, NULL, "t/ha", "H4", false, true, "data.csv", CKS_COMPARE_BONFERRONI},
    {"03b_barley/joined_b", "variety", NULL, NULL, "M", false, false, "data_joined.csv", CKS_COMPARE_BONFERRONI},
};
/* clang-format on */

static const struct {
  const char *text;
  double alpha;
} levels[] = {{"10", 0.10}, {"05", 0.05}, {"01", 0.01}};

enum { N_REFERENCE = sizeof references / sizeof *references, N_LEVEL = sizeof levels / sizeof *levels };

/* One test: a run at a level. */
typedef struct {
  const reference *reference;
  double alpha;
  char set[32], run[16], name[64];
} at_level;

/* ---- runs ------------------------------------------------------------------------------------------------------- */

static cks_setting_list list_of(cks_setting_pair *pair) { return (cks_setting_list){pair->key != NULL, pair}; }

static test_run run_of(const reference *r, const char *set, double alpha)
{
  char path[128];
  snprintf(path, sizeof path, FOLDER "%s/%s", set, r->data);
  char *csv = test_read_file(path);
  cks_setting_pair hybrid = {r->hybrid ? "hybrid" : NULL, r->hybrid}, unit = {r->unit ? "yield" : NULL, r->unit};
  cks_setting_pair trait = {r->trait, NULL}, check = {r->check, NULL};
  cks_settings settings;
  cks_settings_defaults(&settings);
  settings.alpha = alpha;
  settings.comparison = r->comparison;
  settings.unprotected = r->unprotected;
  settings.locations_fixed = r->fixed;
  settings.heading = list_of(&hybrid);
  settings.unit = list_of(&unit);
  settings.trait = list_of(&trait);
  settings.check = list_of(&check);
  test_run run = test_run_csv(&settings, csv, NULL);
  free(csv);
  for (size_t i = 0; i < run.findings->n; i++)
    if (run.findings->finding[i].severity == CKS_ERROR) print_error("error: %s\n", run.findings->finding[i].text);
  assert_int_equal(run.status, CKS_OK);
  assert_non_null(run.json);
  return run;
}

static void figures_agree(void **state)
{
  const at_level *test = *state;
  char path[128];
  snprintf(path, sizeof path, FOLDER "%s/expect.csv", test->set);
  test_run run = run_of(test->reference, test->set, test->alpha);
  expected_agrees(run.json, path, test->run);
  test_run_release(&run);
}

int main(void)
{
  at_level test[N_REFERENCE * N_LEVEL];
  struct CMUnitTest tests[N_REFERENCE * N_LEVEL];
  for (size_t i = 0; i < N_REFERENCE * N_LEVEL; i++) {
    const reference *r = &references[i / N_LEVEL];
    const char *level = levels[i % N_LEVEL].text, *run = strchr(r->name, '/') + 1;
    test[i] = (at_level){.reference = r, .alpha = levels[i % N_LEVEL].alpha};
    snprintf(test[i].set, sizeof test[i].set, "%.*s", (int)(run - 1 - r->name), r->name);
    snprintf(test[i].run, sizeof test[i].run, "%s%s", run, level);
    snprintf(test[i].name, sizeof test[i].name, "%s/%s", test[i].set, test[i].run);
    tests[i] = (struct CMUnitTest){test[i].name, figures_agree, NULL, NULL, &test[i]};
  }
  return cmocka_run_group_tests(tests, NULL, NULL);
}
