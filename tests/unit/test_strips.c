/*
 * test_strips.c: --strip-adjustment: c(s) and the three adjustments against figures worked by hand, the share b against
 * GSL's least squares of the whole model and against R's lm; what is left alone, and what is refused. Invented lists.
 */
#include "support/support.h"

#include <gsl/gsl_multifit.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))
#define HEADINGS     "location,strip,hybrid,check,yield (bu/ac)\n"
#define PLACE        "traits.0.locations.0"
#define STRIPS       "traits.0.strip_adjustment"
enum { MOST_TEXT = 16384 };

static cks_settings by(cks_strip_adjustment how)
{
  cks_settings settings;
  cks_settings_defaults(&settings);
  settings.strip_adjustment = how;
  settings.crop = "sorghum";
  return settings;
}

static test_run run_by(cks_strip_adjustment how, const char *csv)
{
  cks_settings settings = by(how);
  test_run run = test_run_csv(&settings, csv, NULL);
  if (run.status != CKS_OK && run.status != CKS_USAGE) fail_msg("status %d: %s", (int)run.status, run.error.text);
  return run;
}

/* The hybrid's member in an analysis; NaN for null. */
static double of(const test_run *run, const char *analysis, const char *name, const char *member)
{
  char path[64];
  snprintf(path, sizeof path, "%s.hybrids", analysis);
  json_t *line = test_json_with(test_json(run->json, path), "hybrid", name);
  if (!line) fail_msg("no hybrid %s", name);
  return test_json_number(line, member);
}

static double number(const test_run *run, const char *path) { return test_json_number(run->json, path); }

static bool is_used(const test_run *run) { return json_is_true(test_json(run->json, STRIPS ".used")); }

static const char *text_at(const test_run *run, const char *path)
{
  const char *text = json_string_value(test_json(run->json, path));
  return text ? text : "";
}

/* ---- c(s) ------------------------------------------------------------------------------------------------------- */

/* Computed by hand from the definition. */
static const char field[] = HEADINGS "Here,1,CK,x,100\nHere,2,A,,108\nHere,3,B,,104\nHere,4,C,,115\nHere,5,CK,x,110\n"
                                     "Here,6,D,,121\nHere,7,E,,112\nHere,8,F,,118\nHere,9,CK,x,104\n";
static const struct {
  const char *hybrid;
  double harvested, difference, ratio;
} worked[] = {{"A", 108, 110.1667, 110.2829}, {"B", 104, 103.6667, 103.6698}, {"C", 115, 112.1667, 111.9690},
              {"D", 121, 117.1667, 116.7250}, {"E", 112, 109.6667, 109.5576}, {"F", 118, 117.1667, 117.0679}};

static void strips_when_adjusted_then_as_worked_by_hand(void **state)
{
  (void)state;
  test_run difference = run_by(CKS_STRIPS_DIFFERENCE, field), ratio = run_by(CKS_STRIPS_RATIO, field);
  for (size_t i = 0; i < COUNT(worked); i++) {
    const char *name = worked[i].hybrid;
    assert_true(fabs(of(&difference, PLACE, name, "mean") - worked[i].difference) < 0.00005);
    assert_true(fabs(of(&ratio, PLACE, name, "mean") - worked[i].ratio) < 0.00005);
    assert_close(of(&difference, PLACE, name, "mean_unadjusted"), worked[i].harvested, 1e-14);
    assert_close(of(&ratio, PLACE, name, "raw_mean"), worked[i].harvested, 1e-14);
  }
  assert_close(of(&difference, PLACE, "CK", "mean"), 314.0 / 3, 1e-14); /* a check's own value stays */
  assert_close(of(&ratio, PLACE, "CK", "mean"), 314.0 / 3, 1e-14);
  assert_string_equal(text_at(&ratio, STRIPS ".kind"), "ratio");
  assert_string_equal(text_at(&ratio, STRIPS ".checks.0"), "CK");
  test_run_release(&difference);
  test_run_release(&ratio);
}

/* Beyond the ends the nearest strip of the check; between, by number: 3/8 of the way from strip 4 to strip 12. */
static void strips_when_beyond_the_ends_then_the_nearest_check_stands(void **state)
{
  (void)state;
  test_run run = run_by(CKS_STRIPS_DIFFERENCE, HEADINGS "Here,1,A,,90\nHere,4,CK,x,80\nHere,7,B,,95\n"
                                                        "Here,12,CK,x,96\nHere,30,C,,88\nHere,31,D,,70\n");
  assert_close(of(&run, PLACE, "A", "mean"), 90 - 80 + 88.0, 1e-14);
  assert_close(of(&run, PLACE, "B", "mean"), 95 - (80 + 16 * 3.0 / 8) + 88, 1e-14);
  assert_close(of(&run, PLACE, "C", "mean"), 88 - 96 + 88.0, 1e-14);
  assert_close(of(&run, PLACE, "D", "mean"), 70 - 96 + 88.0, 1e-14);
  test_run_release(&run);
}

/* A lost strip of the check is none; one of an entry takes nothing else with it. */
static void strips_when_lost_then_the_others_stand(void **state)
{
  (void)state;
  test_run run = run_by(CKS_STRIPS_DIFFERENCE, HEADINGS "Here,1,CK,x,80\nHere,2,A,,90\nHere,3,CK,x,\nHere,4,B,,\n"
                                                        "Here,5,CK,x,84\nHere,6,C,,70\n");
  assert_close(of(&run, PLACE, "A", "mean"), 90 - 81 + 82.0, 1e-14);
  assert_close(of(&run, PLACE, "C", "mean"), 70 - 84 + 82.0, 1e-14);
  test_run_release(&run);
}

static void checks_when_several_then_the_first_with_two_strips_is_held_against(void **state)
{
  (void)state;
  static const char two[] = HEADINGS "Here,1,CK,x,80\nHere,2,A,,90\nHere,3,Other,x,100\nHere,4,B,,91\nHere,5,CK,x,84\n"
                                     "Here,6,Other,x,108\nThere,1,Other,x,90\nThere,2,A,,80\nThere,3,CK,x,70\n"
                                     "There,4,Other,x,96\n";
  cks_setting_pair named = {"Other", NULL};
  cks_settings settings = by(CKS_STRIPS_DIFFERENCE);
  test_run first = test_run_csv(&settings, two, NULL);
  settings.check = (cks_setting_list){1, &named};
  test_run other = test_run_csv(&settings, two, NULL);
  assert_close(of(&first, PLACE, "A", "mean"), 90 - 81 + 82.0, 1e-14);
  assert_close(of(&other, PLACE, "A", "mean"), 90 - 100 + 104.0, 1e-14);
  assert_close(of(&first, PLACE, "Other", "mean"), 104, 1e-14);
  assert_close(of(&other, PLACE, "CK", "mean"), 82, 1e-14);
  assert_close(of(&first, "traits.0.locations.1", "A", "mean"), 80 - 92 + 93.0, 1e-14); /* CK stands there once */
  assert_int_equal(json_array_size(test_json(first.json, STRIPS ".checks")), 2);
  assert_int_equal(json_array_size(test_json(other.json, STRIPS ".checks")), 1);
  assert_non_null(strstr(text_at(&first, PLACE ".note"), "2 strips of the check CK"));
  test_run_release(&first);
  test_run_release(&other);
}

static void places_when_without_order_or_checks_then_left_and_named(void **state)
{
  (void)state;
  test_run run = run_by(CKS_STRIPS_RATIO, HEADINGS
                        "Alder,1,CK,x,80\nAlder,2,A,,90\nAlder,3,CK,x,82\nBram,,CK,x,80\nBram,,A,,90\nBram,,CK,x,82\n"
                        "Creek,1,CK,x,80\nCreek,2,A,,90\nDell,1,CK,x,80\nDell,2,A,,90\nDell,2,CK,x,82\n"
                        "Elk,1,CK,x,80\nElk,,A,,90\nElk,3,CK,x,82\n");
  assert_string_equal(text_at(&run, STRIPS ".left"),
                      "Bram (no order of strips), Creek (fewer than 2 strips of a check), Dell (two strips with one "
                      "number), Elk (strips without a number)");
  assert_close(number(&run, STRIPS ".places"), 1, 0);
  assert_close(number(&run, STRIPS ".places_left"), 4, 0);
  for (int j = 1; j < 5; j++) {
    char place[32], note[40];
    snprintf(place, sizeof place, "traits.0.locations.%d", j);
    snprintf(note, sizeof note, "%s.note", place);
    assert_close(of(&run, place, "A", "mean"), 90, 0);
    assert_close(of(&run, place, "A", "mean_unadjusted"), 90, 0);
    assert_non_null(strstr(text_at(&run, note), "yields not adjusted by check strips"));
  }
  assert_close(of(&run, PLACE, "A", "mean"), 90, 1e-14); /* 90 x 81 / 81 */
  size_t n_few = 0;
  for (size_t i = 0; i < run.findings->n; i++) n_few += run.findings->finding[i].rule == CKS_RULE_FEW_CHECK_STRIPS;
  assert_int_equal(n_few, 1); /* though the place is analyzed twice */
  test_run_release(&run);
}

/* ---- the share b ------------------------------------------------------------------------------------------------ */

enum { FARMS = 7, ENTRIES = 8, STRIPS_A_FARM = 12 };

typedef struct {
  char csv[MOST_TEXT];
  size_t n; /* entry strips */
  int farm[FARMS * ENTRIES], hybrid[FARMS * ENTRIES];
  double y[FARMS * ENTRIES], x[FARMS * ENTRIES]; /* x: c(s) - mean check, found here */
} series;

/* Check strips at 1, 5, 9 and 12, entries in an order of their own between them, some missing; the ground rises by
 * `slope` a strip or falls. */
static series make_series(uint64_t seed, int farms, double slope)
{
  static const int check_at[] = {1, 5, 9, 12};
  series s = {.n = 0};
  test_random random = {seed};
  size_t used = (size_t)snprintf(s.csv, sizeof s.csv, HEADINGS);
  for (int f = 0; f < farms; f++) {
    double check[4], mean = 0, rise = slope * (f % 2 ? 1 : -1) * (0.5 + test_uniform(&random));
    int order[ENTRIES], next = 0;
    for (int i = 0; i < ENTRIES; i++) {
      int j = (int)test_below(&random, (uint32_t)i + 1);
      order[i] = order[j];
      order[j] = i;
    }
    for (int k = 0; k < 4; k++) {
      check[k] = 100 + 5 * f + rise * check_at[k] + 2 * test_normal(&random);
      mean += check[k] / 4;
    }
    for (int strip = 1, k = 0; strip <= STRIPS_A_FARM; strip++) {
      if (strip == check_at[k]) {
        used += (size_t)snprintf(s.csv + used, sizeof s.csv - used, "Farm %d,%d,CK,x,%.17g\n", f, strip, check[k++]);
        continue;
      }
      int h = order[next++];
      double part = (double)(strip - check_at[k - 1]) / (check_at[k] - check_at[k - 1]);
      double y = 100 + 5 * f + 3 * h + rise * strip + 2 * test_normal(&random);
      if (test_uniform(&random) < 0.1) continue;
      s.farm[s.n] = f;
      s.hybrid[s.n] = h;
      s.y[s.n] = y;
      s.x[s.n++] = check[k - 1] + part * (check[k] - check[k - 1]) - mean;
      used += (size_t)snprintf(s.csv + used, sizeof s.csv - used, "Farm %d,%d,H%d,,%.17g\n", f, strip, h, y);
    }
  }
  return s;
}

typedef struct {
  double b, se, df;
} share;

/* All parameters at once: an indicator a farm, one a hybrid but the first, and x. */
static share by_gsl(const series *s, int farms)
{
  size_t p = (size_t)farms + ENTRIES;
  gsl_matrix *model = gsl_matrix_calloc(s->n, p), *cov = gsl_matrix_alloc(p, p);
  gsl_vector *y = gsl_vector_alloc(s->n), *effect = gsl_vector_alloc(p);
  gsl_multifit_linear_workspace *room = gsl_multifit_linear_alloc(s->n, p);
  double ss;
  for (size_t i = 0; i < s->n; i++) {
    gsl_matrix_set(model, i, (size_t)s->farm[i], 1);
    if (s->hybrid[i]) gsl_matrix_set(model, i, (size_t)(farms + s->hybrid[i] - 1), 1);
    gsl_matrix_set(model, i, p - 1, s->x[i]);
    gsl_vector_set(y, i, s->y[i]);
  }
  assert_int_equal(gsl_multifit_linear(model, y, effect, cov, &ss, room), 0);
  share found = {gsl_vector_get(effect, p - 1), sqrt(gsl_matrix_get(cov, p - 1, p - 1)), (double)(s->n - p)};
  gsl_multifit_linear_free(room);
  gsl_vector_free(effect);
  gsl_vector_free(y);
  gsl_matrix_free(cov);
  gsl_matrix_free(model);
  return found;
}

static void share_when_found_then_that_of_least_squares_of_the_whole_model(void **state)
{
  (void)state;
  size_t n_used = 0;
  for (uint64_t seed = 1; seed <= 20; seed++) {
    series s = make_series(seed, FARMS, seed % 2 ? 1.5 : 0);
    share expected = by_gsl(&s, FARMS);
    test_run run = run_by(CKS_STRIPS_SHRUNKEN, s.csv);
    assert_close(number(&run, STRIPS ".b"), expected.b, 1e-9);
    assert_close(number(&run, STRIPS ".se"), expected.se, 1e-9);
    assert_close(number(&run, STRIPS ".df"), expected.df, 0);
    assert_close(number(&run, STRIPS ".b_places"), FARMS, 0);
    assert_close(number(&run, STRIPS ".b_strips"), (double)s.n, 0);
    assert_true(is_used(&run) == (number(&run, STRIPS ".p") <= 0.05 && expected.b > 0));
    for (size_t i = 0; i < s.n && s.farm[i] == 0; i++) {
      char name[16];
      snprintf(name, sizeof name, "H%d", s.hybrid[i]);
      double b = is_used(&run) ? expected.b : 0;
      assert_close(of(&run, PLACE, name, "mean"), s.y[i] - b * s.x[i], 1e-10);
      assert_close(of(&run, PLACE, name, "mean_unadjusted"), s.y[i], 1e-13);
    }
    n_used += is_used(&run);
    test_run_release(&run);
  }
  assert_true(n_used >= 10 && n_used < 20);
}

/* R 4.2's lm(y ~ location + hybrid + x), x = approx(strip, y, xout, rule = 2) of the check's strips less their mean, over
 * the rows that are no check: 7.29526815093e-01, 7.96963388848e-02, p 9.49288979655e-12 on 44 df. */
static void share_when_found_then_that_of_r(void **state)
{
  (void)state;
  char *csv = test_read_file("tests/golden/cli/strips/six.csv");
  test_run run = run_by(CKS_STRIPS_SHRUNKEN, csv);
  assert_close(number(&run, STRIPS ".b"), 7.29526815093e-01, 1e-11);
  assert_close(number(&run, STRIPS ".se"), 7.96963388848e-02, 1e-11);
  assert_close(number(&run, STRIPS ".p"), 9.49288979655e-12, 1e-8);
  assert_close(number(&run, STRIPS ".df"), 44, 0);
  test_run_release(&run);
  free(csv);
}

static void share_when_not_significant_then_values_stay(void **state)
{
  (void)state;
  series s = make_series(2, FARMS, 0);
  test_run run = run_by(CKS_STRIPS_SHRUNKEN, s.csv), plain = run_by(CKS_STRIPS_NONE, s.csv);
  assert_false(is_used(&run));
  assert_true(*text_at(&run, STRIPS ".why") != '\0');
  json_t *a = test_json(run.json, PLACE ".hybrids"), *b = test_json(plain.json, PLACE ".hybrids");
  for (size_t i = 0; i < json_array_size(a); i++) {
    double mean = test_json_number(json_array_get(b, i), "mean");
    assert_close(test_json_number(json_array_get(a, i), "mean"), mean, 0);
    assert_close(test_json_number(json_array_get(a, i), "mean_unadjusted"), mean, 0);
    assert_true(isnan(test_json_number(json_array_get(b, i), "mean_unadjusted")));
  }
  assert_true(json_is_null(test_json(plain.json, STRIPS)));
  assert_close(number(&run, PLACE ".error_df"), number(&plain, PLACE ".error_df"), 0);
  test_run_release(&run);
  test_run_release(&plain);
}

static void share_when_too_few_stand_behind_it_then_it_says_so(void **state)
{
  (void)state;
  series four = make_series(1, 4, 3);
  test_run run = run_by(CKS_STRIPS_SHRUNKEN, four.csv);
  assert_false(is_used(&run));
  assert_non_null(strstr(text_at(&run, STRIPS ".why"), "over 5 places and 30 entry strips or more"));
  assert_true(isnan(number(&run, STRIPS ".b")));
  assert_close(number(&run, STRIPS ".b_places"), 4, 0);
  test_run_release(&run);
  char csv[MOST_TEXT];
  size_t n = (size_t)snprintf(csv, sizeof csv, HEADINGS);
  for (int f = 0; f < 6; f++) /* 24 entry strips */
    for (int i = 1; i <= 6; i++)
      n += (size_t)snprintf(csv + n, sizeof csv - n, "Farm %d,%d,%s%d,%s,%d\n", f, i, i == 1 || i == 6 ? "CK" : "H",
                            i == 1 || i == 6 ? 0 : i, i == 1 || i == 6 ? "x" : "", 90 + (f * 7 + i * 5) % 13);
  run = run_by(CKS_STRIPS_SHRUNKEN, csv);
  assert_false(is_used(&run));
  assert_non_null(strstr(text_at(&run, STRIPS ".why"), "here are 6 and 24"));
  test_run_release(&run);
}

/* ---- what is analyzed ------------------------------------------------------------------------------------------- */

/* Hybrids and the check twice at each farm, strips numbered through: balanced, so there is a mean over places. */
static void write_balanced(char *csv, size_t room, uint64_t seed)
{
  test_random random = {seed};
  size_t n = (size_t)snprintf(csv, room, "location,year,rep,strip,hybrid,check,yield (bu/ac),moisture (%%)\n");
  for (int f = 0; f < 6; f++)
    for (int rep = 1, strip = 1; rep <= 2; rep++)
      for (int i = 0; i < 6; i++, strip++) {
        int h = (i * (f % 2 ? 5 : 1) + f + rep) % 6;
        n += (size_t)snprintf(csv + n, room - n, "Farm %d,2026,%d,%d,H%d,%s,%.1f,%.1f\n", f, rep, strip, h,
                              h ? "" : "x", 90 + f + 3 * h + (f % 2 ? 2 : -2) * strip + 2 * test_normal(&random),
                              14 + test_normal(&random));
      }
}

static void analyses_when_strips_are_adjusted_then_all_use_them_and_the_plain_stand_beside(void **state)
{
  (void)state;
  char csv[MOST_TEXT];
  write_balanced(csv, sizeof csv, 7);
  test_run plain = run_by(CKS_STRIPS_NONE, csv), difference = run_by(CKS_STRIPS_DIFFERENCE, csv),
           shrunken = run_by(CKS_STRIPS_SHRUNKEN, csv);
  static const char *const analyses[] = {"traits.0.across", PLACE, "traits.0.locations.5"};
  assert_true(is_used(&shrunken));
  for (size_t k = 0; k < COUNT(analyses); k++) {
    char error_df[48];
    snprintf(error_df, sizeof error_df, "%s.error_df", analyses[k]);
    for (int h = 0; h < 6; h++) {
      char name[16];
      snprintf(name, sizeof name, "H%d", h);
      double mean = of(&plain, analyses[k], name, "mean");
      assert_close(of(&difference, analyses[k], name, "mean_unadjusted"), mean, 1e-13);
      assert_close(of(&shrunken, analyses[k], name, "mean_unadjusted"), mean, 1e-13);
      assert_close(of(&shrunken, analyses[k], name, "raw_mean"), of(&plain, analyses[k], name, "raw_mean"), 1e-13);
    }
    assert_close(of(&difference, analyses[k], "H0", "mean"), of(&plain, analyses[k], "H0", "mean"), 1e-13);
    assert_close(number(&difference, error_df), number(&plain, error_df), 0);
    assert_close(number(&shrunken, error_df), number(&plain, error_df) - 1, 0); /* one for b, over all places too */
  }
  assert_close(number(&shrunken, "traits.0.across.den_df"), number(&plain, "traits.0.across.den_df") - 1, 0);
  assert_close(number(&shrunken, PLACE ".den_df"), number(&plain, PLACE ".den_df") - 1, 0);
  assert_true(number(&difference, "traits.0.across.f") != number(&plain, "traits.0.across.f"));
  json_t *a = test_json(plain.json, "traits.1"), *b = test_json(difference.json, "traits.1");
  assert_true(json_equal(a, b)); /* moisture is never adjusted */
  test_run_release(&plain);
  test_run_release(&difference);
  test_run_release(&shrunken);
}

/* The spread of the unadjusted check strips is no error of entries that hold theirs too. */
static void place_when_entries_stand_once_then_no_sed_is_given(void **state)
{
  (void)state;
  char *csv = test_read_file("tests/golden/cli/strips/six.csv");
  test_run run = run_by(CKS_STRIPS_DIFFERENCE, csv);
  assert_string_equal(text_at(&run, PLACE ".method"), "means");
  assert_true(isnan(number(&run, PLACE ".sed")) && isnan(number(&run, PLACE ".error_df")));
  assert_non_null(strstr(text_at(&run, PLACE ".why"), "no error of theirs"));
  test_run_release(&run);
  free(csv);
}

static int compare_lines(const void *a, const void *b) { return strcmp(*(char *const *)b, *(char *const *)a); }

static void rows_when_in_another_order_then_nothing_changes(void **state)
{
  (void)state;
  series s = make_series(3, FARMS, 2);
  char shuffled[MOST_TEXT], copy[MOST_TEXT], *line[FARMS * STRIPS_A_FARM];
  size_t n = 0, used;
  memcpy(copy, s.csv, sizeof copy);
  char *rest = strchr(copy, '\n') + 1;
  for (char *at = strtok(rest, "\n"); at; at = strtok(NULL, "\n")) line[n++] = at;
  qsort(line, n, sizeof *line, compare_lines);
  used = (size_t)snprintf(shuffled, sizeof shuffled, HEADINGS);
  for (size_t i = 0; i < n; i++) used += (size_t)snprintf(shuffled + used, sizeof shuffled - used, "%s\n", line[i]);
  test_run a = run_by(CKS_STRIPS_SHRUNKEN, s.csv), b = run_by(CKS_STRIPS_SHRUNKEN, shuffled);
  assert_true(json_equal(test_json(a.json, "traits"), test_json(b.json, "traits")));
  test_run_release(&a);
  test_run_release(&b);
}

/* ---- refused ---------------------------------------------------------------------------------------------------- */

static void data_when_they_allow_no_adjustment_then_the_call_is_refused_with_the_way_on(void **state)
{
  (void)state;
  static const struct {
    cks_strip_adjustment how;
    const char *csv, *words;
  } cases[] = {{CKS_STRIPS_SHRUNKEN, field, "shrunken is not offered at one place"},
               {CKS_STRIPS_RATIO, "location,hybrid,check,yield (bu/ac)\nA,CK,x,90\nA,Bay,,80\nA,CK,x,85\n",
                "--heading strip=HEADING"},
               {CKS_STRIPS_RATIO, HEADINGS "A,1,CK,,90\nA,2,Bay,,80\nA,3,CK,,85\n", "name it with --check"},
               {CKS_STRIPS_DIFFERENCE,
                "location,strip,hybrid,check,moisture (%)\nA,1,CK,x,14\nA,2,Bay,,15\nA,3,CK,x,13\n", "adjusts yields"},
               {CKS_STRIPS_DIFFERENCE, HEADINGS "A,1,CK,x,90\nA,2,Bay,,80\nB,1,CK,x,90\nB,2,Bay,,80\n",
                "A (fewer than 2 strips of a check), B (fewer than 2 strips of a check)"}};
  for (size_t i = 0; i < COUNT(cases); i++) {
    test_run run = run_by(cases[i].how, cases[i].csv);
    assert_int_equal(run.status, CKS_USAGE);
    if (!strstr(run.error.text, cases[i].words)) fail_msg("'%s' lacks '%s'", run.error.text, cases[i].words);
    test_run_release(&run);
  }
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(strips_when_adjusted_then_as_worked_by_hand),
      cmocka_unit_test(strips_when_beyond_the_ends_then_the_nearest_check_stands),
      cmocka_unit_test(strips_when_lost_then_the_others_stand),
      cmocka_unit_test(checks_when_several_then_the_first_with_two_strips_is_held_against),
      cmocka_unit_test(places_when_without_order_or_checks_then_left_and_named),
      cmocka_unit_test(share_when_found_then_that_of_least_squares_of_the_whole_model),
      cmocka_unit_test(share_when_found_then_that_of_r),
      cmocka_unit_test(share_when_not_significant_then_values_stay),
      cmocka_unit_test(share_when_too_few_stand_behind_it_then_it_says_so),
      cmocka_unit_test(analyses_when_strips_are_adjusted_then_all_use_them_and_the_plain_stand_beside),
      cmocka_unit_test(place_when_entries_stand_once_then_no_sed_is_given),
      cmocka_unit_test(rows_when_in_another_order_then_nothing_changes),
      cmocka_unit_test(data_when_they_allow_no_adjustment_then_the_call_is_refused_with_the_way_on),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
