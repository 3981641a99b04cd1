/*
 * test_interaction.c: hybrids by environments of published trials, to JSON, against 07_interaction/expect.csv (see expect.h;
 * SOURCE.md beside it says where the figures come from).
 */
#include "reference/expect.h"

#define FOLDER "tests/reference/"

/* Data of another set are read from there. */
typedef struct {
  const char *run, *data, *hybrid; /* hybrid: heading of the hybrids' column; NULL: the program knows it */
} interaction_run;

static const interaction_run runs[] = {
    {"twelve", "03b_barley/data.csv", "variety"},
    {"six", "03b_barley/data_average.csv", "variety"},
    {"incomplete", "07_interaction/data_incomplete.csv", "variety"},
    {"nine", "03a_nine_locations/data.csv", NULL},
    {"sorghum", "04a_unbalanced_sorghum_sim/data.csv", NULL},
};
enum { N_RUN = sizeof runs / sizeof *runs };

static void figures_agree(void **state)
{
  const interaction_run *r = *state;
  char path[128];
  cks_setting_pair heading = {"hybrid", r->hybrid}, unit = {"yield", "t/ha"};
  cks_settings settings;
  cks_settings_defaults(&settings);
  settings.heading = (cks_setting_list){r->hybrid != NULL, &heading};
  settings.unit = (cks_setting_list){1, &unit};
  snprintf(path, sizeof path, FOLDER "%s", r->data);
  char *csv = test_read_file(path);
  test_run run = test_run_csv(&settings, csv, NULL);
  free(csv);
  if (run.status != CKS_OK) fail_msg("%s", run.error.text);
  expected_agrees(run.json, FOLDER "07_interaction/expect.csv", r->run);
  test_run_release(&run);
}

int main(void)
{
  struct CMUnitTest tests[N_RUN];
  for (size_t i = 0; i < N_RUN; i++)
    tests[i] = (struct CMUnitTest){runs[i].run, figures_agree, NULL, NULL, (void *)&runs[i]};
  return cmocka_run_group_tests(tests, NULL, NULL);
}
