/* test_assumption_words.c: what a run says of its assumptions: at which places, why not, and what unequal errors mean. */
#include "support/support.h"

#include <stdio.h>
#include <string.h>

enum { ROOM = 8192 };

/* Three places of 8 hybrids in 3 reps; errors of `rough` times the size at the last; lost: a plot of the second. */
static void fill(char csv[ROOM], double rough, bool lost)
{
  test_random random = {20270110};
  int n = snprintf(csv, ROOM, "location,rep,hybrid,yield\n");
  for (int place = 0; place < 3; place++)
    for (int rep = 1; rep <= 3; rep++)
      for (int h = 1; h <= 8; h++) {
        double value = 90 + 2 * h + 3 * rep + (place == 2 ? rough : 1) * test_normal(&random);
        if (lost && place == 1 && rep == 2 && h == 5) continue;
        n += snprintf(csv + n, ROOM - (size_t)n, "Place %d,%d,Tamsel %d,%.3f\n", place + 1, rep, h, value);
      }
}

/* Everything as text; to be freed. */
static test_text full_text(const char *csv)
{
  test_bytes bytes = {csv, strlen(csv), 0};
  cks_source source = test_source("plots.csv", &bytes);
  test_text text = {0};
  cks_target target = {CKS_FORMAT_TEXT, NULL, test_sink(&text)};
  cks_findings *findings = NULL;
  cks_settings settings;
  cks_settings_defaults(&settings);
  settings.full = true;
  cks_startup();
  assert_int_equal(cks_findings_new(&findings, NULL), CKS_OK);
  assert_int_equal(cks_run(&settings, 1, &source, 1, &target, findings, NULL), CKS_OK);
  cks_findings_free(findings);
  return text;
}

static bool says(const test_text *text, const char *words) { return strstr(text->text, words) != NULL; }

static void errors_when_alike_then_no_sentence_on_precision(void **state)
{
  (void)state;
  char csv[ROOM];
  fill(csv, 1, false);
  test_text text = full_text(csv);
  assert_true(says(&text, "what the analysis takes for granted"));
  assert_true(says(&text, "Residuals of blocks"));
  assert_false(says(&text, "differ in precision"));
  test_text_release(&text);
}

static void errors_when_unequal_then_said_and_nothing_is_changed(void **state)
{
  (void)state;
  char csv[ROOM];
  fill(csv, 12, false);
  test_text text = full_text(csv);
  assert_true(says(&text, "The places differ in precision"));
  assert_true(says(&text, "one error variance for all of them"));
  assert_true(says(&text, "--error-variance location"));
  test_text_release(&text);
}

/* A plot lost: a mixed model, and the same offer. */
static void errors_when_a_mixed_model_then_the_same_offer(void **state)
{
  (void)state;
  char csv[ROOM];
  fill(csv, 12, true);
  test_text text = full_text(csv);
  assert_true(says(&text, "The places differ in precision"));
  assert_true(says(&text, "--error-variance location"));
  test_text_release(&text);
}

static json_t *assumption(test_run *run, const char *path, const char *test)
{
  json_t *at = test_json_with(test_json(run->json, path), "test", test);
  assert_non_null(at);
  return at;
}

static void tests_when_they_cannot_be_made_then_null_and_why(void **state)
{
  (void)state;
  cks_settings settings;
  cks_settings_defaults(&settings);
  test_run run = test_run_csv(&settings,
                              "location,hybrid,yield\nAlder,A,91\nAlder,A,93\nAlder,B,97\nAlder,B,99.5\n"
                              "Birch,A,88\nBirch,B,90\n",
                              NULL);
  assert_int_equal(run.status, CKS_OK);
  json_t *additive = assumption(&run, "traits.0.locations.0.assumptions", "Tukey one df");
  assert_true(json_is_null(test_json(additive, "p")));
  assert_string_equal(json_string_value(test_json(additive, "why")), "no reps to multiply hybrids with");
  json_t *normal = assumption(&run, "traits.0.locations.0.assumptions", "Shapiro-Wilk");
  assert_true(json_is_null(test_json(normal, "why")));
  json_t *bartlett = assumption(&run, "traits.0.across.assumptions", "Bartlett");
  assert_true(json_is_null(test_json(bartlett, "statistic")));
  assert_string_equal(json_string_value(test_json(bartlett, "why")),
                      "fewer than two places have an error of their own");
  assert_int_equal(json_array_size(test_json(run.json, "traits.0.locations.1.assumptions")), 0); /* means only */
  test_run_release(&run);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(errors_when_alike_then_no_sentence_on_precision),
      cmocka_unit_test(errors_when_unequal_then_said_and_nothing_is_changed),
      cmocka_unit_test(errors_when_a_mixed_model_then_the_same_offer),
      cmocka_unit_test(tests_when_they_cannot_be_made_then_null_and_why),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
