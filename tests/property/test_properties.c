/*
 * test_properties.c: what must hold for any trial: the order of rows and files decides nothing, a change of scale or of
 * names changes nothing else, no claim goes beyond the test behind it. 50 generated trials, each named by its seed.
 *
 * The figures themselves are checked in test_least_squares.c, the rates of false claims in test_rates.c.
 */
#include "property/made.h"

#include <gsl/gsl_cdf.h>

enum { N_SETS = 50 };

/* ---- walking the results ---------------------------------------------------------------------------------------- */

typedef void (*look)(const made_trial *m, json_t *analysis, bool across);

static bool is_null(json_t *object, const char *key)
{
  json_t *value = json_object_get(object, key);
  if (!value) fail_msg("no '%s' in the JSON", key);
  return json_is_null(value);
}

static const char *text_of(json_t *object, const char *key)
{
  const char *text = json_string_value(json_object_get(object, key));
  return text ? text : "";
}

static bool says(json_t *object, const char *key) { return *text_of(object, key) != '\0'; }

/* Every analysis of every trait. */
static void each_analysis(const made_trial *m, json_t *root, look at)
{
  size_t i, j;
  json_t *trait, *place;
  json_t *traits = test_json(root, "traits");
  if (json_array_size(traits) != (size_t)m->n_trait)
    fail_msg("seed %d: %d traits", (int)m->seed, (int)json_array_size(traits));
  json_array_foreach(traits, i, trait)
  {
    json_t *across = test_json(trait, "across");
    json_array_foreach(test_json(trait, "locations"), j, place) at(m, place, false);
    if (m->n_place * m->n_year > 1)
      at(m, across, true);
    else if (!json_is_null(across))
      fail_msg("seed %d: an analysis across one place", (int)m->seed);
    if (!json_is_null(test_json(trait, "last_year"))) at(m, test_json(trait, "last_year"), true);
    json_array_foreach(test_json(trait, "years"), j, place) at(m, place, true);
  }
}

static void each_set(look at)
{
  made_trial *m = malloc(sizeof *m);
  for (uint64_t seed = 0; seed < N_SETS; seed++) {
    made_make(m, seed);
    test_run run = made_run(m, MADE_AS_IS);
    each_analysis(m, run.json, at);
    test_run_release(&run);
  }
  free(m);
}

#define FAIL(m, analysis, across, ...)                                                                                 \
  do {                                                                                                                 \
    print_error("seed %d, kind %d, %s: ", (int)(m)->seed, (int)(m)->kind,                                              \
                (across) ? "across" : text_of(analysis, "location"));                                                  \
    fail_msg(__VA_ARGS__);                                                                                             \
  } while (0)

/* ---- order of rows and files ------------------------------------------------------------------------------------ */

static void shuffle(uint32_t *order, size_t n, test_random *random)
{
  for (uint32_t i = 0; i < n; i++) order[i] = i;
  for (size_t i = n; i > 1; i--) {
    uint32_t j = test_below(random, (uint32_t)i), held = order[i - 1];
    order[i - 1] = order[j];
    order[j] = held;
  }
}

/* Traits and head-to-head. */
static char *figures_text(const test_run *run)
{
  json_t *both = json_pack("[OO]", test_json(run->json, "traits"), test_json(run->json, "versus"));
  char *text = json_dumps(both, JSON_INDENT(1) | JSON_REAL_PRECISION(17));
  json_decref(both);
  return text;
}

static int compare_texts(const void *a, const void *b)
{
  return strcmp(*(const char *const *)a, *(const char *const *)b);
}

/* The findings without their places: rule and text, sorted; texts that point at a line by number leave it out. */
static char *findings_text(const cks_findings *f)
{
  const char **line = malloc((f->n + 1) * sizeof *line);
  test_text all = {0};
  cks_sink sink = test_sink(&all);
  for (size_t i = 0; i < f->n; i++) line[i] = cks_rule_find(f->finding[i].rule)->name;
  for (size_t i = 0; i < f->n; i++)
    if (!strstr(f->finding[i].text, "line ")) line[i] = f->finding[i].text;
  qsort(line, f->n, sizeof *line, compare_texts);
  for (size_t i = 0; i < f->n; i++) {
    sink.put(sink.to, line[i], strlen(line[i]), NULL);
    sink.put(sink.to, "\n", 1, NULL);
  }
  sink.put(sink.to, "", 0, NULL);
  free(line);
  return all.text;
}

static void assert_same_run(const made_trial *m, const char *what, const test_run *a, const test_run *b, bool findings)
{
  char *x = figures_text(a), *y = figures_text(b);
  if (strcmp(x, y) != 0) {
    size_t at = 0;
    while (x[at] == y[at]) at++;
    size_t from = at > 60 ? at - 60 : 0;
    fail_msg("seed %d, kind %d, %s: the results differ: ...%.90s... and ...%.90s...", (int)m->seed, (int)m->kind, what,
             x + from, y + from);
  }
  free(x);
  free(y);
  if (!findings) return;
  x = findings_text(a->findings);
  y = findings_text(b->findings);
  if (strcmp(x, y) != 0) fail_msg("seed %d, %s: the findings differ:\n%s\n--- and ---\n%s", (int)m->seed, what, x, y);
  free(x);
  free(y);
}

static void order_of_rows_and_files_when_shuffled_then_no_figure_moves(void **state)
{
  (void)state;
  made_trial *m = malloc(sizeof *m);
  uint32_t *order = malloc(MADE_MOST_PLOTS * sizeof *order);
  for (uint64_t seed = 0; seed < N_SETS; seed++) {
    test_random random = {seed + 77};
    made_make(m, seed);
    shuffle(order, m->n, &random);
    test_run as_is = made_run(m, MADE_AS_IS);
    test_run shuffled = made_run(m, (made_view){order, MADE_NAMED, 0, 1, 1, false});
    test_run dealt = made_run(m, (made_view){order, MADE_NAMED, 0, 1, 3, false});
    test_run turned = made_run(m, (made_view){order, MADE_NAMED, 0, 1, 3, true});
    assert_same_run(m, "rows shuffled", &as_is, &shuffled, true);
    assert_same_run(m, "rows in three files", &as_is, &dealt, false);
    assert_same_run(m, "three files turned", &dealt, &turned, true);
    test_run_release(&as_is);
    test_run_release(&shuffled);
    test_run_release(&dealt);
    test_run_release(&turned);
  }
  free(order);
  free(m);
}

/* ---- scale ------------------------------------------------------------------------------------------------------ */

typedef enum { STAYS, MOVES, SCALES, SQUARES, ROOT, FREE } how;
typedef struct {
  const char *key;
  how moves;
} key_rule;

/* How each figure answers to y -> a + b y. ROOT: by the root of b. FREE: a share of the mean. A key that is not here fails the test: say how it
 * moves. */
static const key_rule key_rules[] = {
    {"mean", MOVES},
    {"raw_mean", MOVES},
    {"mean_unadjusted", MOVES},
    {"plot_mean", MOVES},
    {"se", SCALES},
    {"sed", SCALES},
    {"sed_min", SCALES},
    {"sed_max", SCALES},
    {"lsd", SCALES},
    {"lsd_upper", SCALES},
    {"leader_loss", SCALES},
    {"left_out_share", STAYS},
    {"locations", STAYS},
    {"critical_difference", SCALES},
    {"difference", SCALES},
    {"ci_low", SCALES},
    {"ci_high", SCALES},
    {"ss", SQUARES},
    {"ms", SQUARES},
    {"error_ms", SQUARES},
    {"estimate", SQUARES},
    {"f", STAYS},
    {"p", STAYS},
    {"df", STAYS},
    {"num_df", STAYS},
    {"den_df", STAYS},
    {"error_df", STAYS},
    {"lsd_df", STAYS},
    {"alpha", STAYS},
    {"repeatability", STAYS},
    {"reps", STAYS},
    {"plots", STAYS},
    {"n", STAYS},
    {"environments", STAYS},
    {"rank", STAYS},
    {"year", STAYS},
    {"years", STAYS},
    {"efficiency_pct", STAYS},
    {"interaction_p", STAYS},
    {"statistic", STAYS},
    {"cv_pct", FREE},
    {"pct_of_mean", FREE},
    {"pct_of_check", FREE},
    {"pct", FREE},
    {"moisture_basis_pct", STAYS},
    {"reliability", STAYS},
    {"shrunken", MOVES},
    {"cell_variance", SQUARES},
    {"component", SQUARES},
    {"component_upper", SQUARES},
    {"hybrid_component", SQUARES},
    {"excess_upper", SQUARES},
    {"slopes_f", STAYS},
    {"slopes_num_df", STAYS},
    {"slopes_den_df", STAYS},
    {"slopes_p", STAYS},
    {"slope", STAYS},
    {"slope_difference", STAYS},
    {"inner_low", STAYS},
    {"inner_high", STAYS},
    {"slope_se", STAYS},
    {"slope_df", STAYS},
    {"slope_p", STAYS},
    {"slope_low", STAYS},
    {"slope_high", STAYS},
    {"deviation_ms", SQUARES},
    {"ecovalence", SQUARES},
    {"stability_variance", SQUARES},
    {"superiority", SQUARES},
    {"axis", STAYS},
    {"singular_value", SCALES},
    {"share_pct", STAYS},
    {"hybrid_scores", ROOT},
    {"environment_scores", ROOT},
    {"site_hybrid_scores", ROOT},
    {"site_environment_scores", ROOT},
    {"index", SCALES},
    {"ahead", SCALES},
    {"crossover_pairs", STAYS},
    {"rank_correlation", STAYS},
    {"loglik", FREE}, /* by (n - p) log b */
    {"n_top", STAYS},
    {"locations_used", STAYS},
    {"n_hybrid", STAYS},
    {"hybrids_used", STAYS},
    {"digits", STAYS},
    {"hybrids", STAYS},
    {"of_hybrids", STAYS},
    {"hybrids_without", STAYS},
    {"normal_days", STAYS},
    {"wins", STAYS},
    {"ties", STAYS},
    {"losses", STAYS},
    {"mean_difference", SCALES},
    {"sd", SCALES},
    {"t", STAYS},
    {"ci_low", SCALES},
    {"ci_high", SCALES},
    {"sign_p", STAYS},
    {"mean_a", MOVES},
    {"mean_b", MOVES},
    {"versus_tests", STAYS},
};
/* Texts that claim something; the others may quote figures. */
static const char *const claims[] = {"group",    "hybrid",  "brand",     "check", "differs", "source",
                                     "method",   "design",  "df_method", "trait", "unit",    "location",
                                     "by_group", "verdict", "a",         "b",     "by",      "value"};

typedef struct {
  const made_trial *m;
  double add, times;
} scale;

static how how_of(const char *key)
{
  for (size_t i = 0; i < sizeof key_rules / sizeof *key_rules; i++)
    if (!strcmp(key_rules[i].key, key)) return key_rules[i].moves;
  fail_msg("how does '%s' move with the scale? a row for key_rules", key);
  return FREE;
}

static bool is_claim(const char *key)
{
  for (size_t i = 0; i < sizeof claims / sizeof *claims; i++)
    if (!strcmp(claims[i], key)) return true;
  return false;
}

/* tolerance is relative to the figure, or to the smallest size that means anything on the scale. */
static void compare_number(const scale *s, const char *key, double x, double y, double tolerance)
{
  how moves = how_of(key);
  double b = s->times, expected = moves == MOVES     ? s->add + b * x
                                  : moves == SCALES  ? b * x
                                  : moves == SQUARES ? b * b * x
                                  : moves == ROOT    ? sqrt(b) * x
                                                     : x;
  double least = moves == MOVES || moves == SCALES ? b
                 : moves == SQUARES                ? b * b
                 : moves == ROOT                   ? sqrt(b)
                 : moves == STAYS                  ? 1e-3
                                                   : 0;
  if (moves != FREE && !(fabs(y - expected) <= tolerance * fmax(fabs(expected), least)))
    fail_msg("seed %d, kind %d: %s is %.15g and becomes %.15g, expected %.15g", (int)s->m->seed, (int)s->m->kind, key,
             x, y, expected);
}

static void compare_scaled(const scale *s, const char *key, json_t *x, json_t *y, double tolerance)
{
  const char *member;
  json_t *value;
  size_t i;
  if (json_typeof(x) != json_typeof(y) && !(json_is_number(x) && json_is_number(y)))
    fail_msg("seed %d, kind %d: '%s' changes its type with the scale", (int)s->m->seed, (int)s->m->kind, key);
  if (json_is_number(x)) compare_number(s, key, json_number_value(x), json_number_value(y), tolerance);
  if (json_is_string(x) && is_claim(key) && strcmp(json_string_value(x), json_string_value(y)) != 0)
    fail_msg("seed %d, kind %d: %s '%s' becomes '%s'", (int)s->m->seed, (int)s->m->kind, key, json_string_value(x),
             json_string_value(y));
  if (json_is_array(x)) assert_int_equal(json_array_size(x), json_array_size(y));
  if (!strcmp(text_of(x, "method"), "reml")) tolerance = fmax(tolerance, 1e-6); /* where a climb ends */
  json_array_foreach(x, i, value) compare_scaled(s, key, value, json_array_get(y, i), tolerance);
  json_object_foreach(x, member, value)
  {
    if (!json_object_get(y, member)) fail_msg("'%s' is gone", member);
    bool of_component = !strcmp(member, "se") && json_object_get(x, "estimate"); /* a variance's */
    compare_scaled(s, of_component ? "estimate" : member, value, json_object_get(y, member), tolerance);
  }
}

static void scale_when_changed_then_figures_move_with_it_and_claims_stay(void **state)
{
  (void)state;
  made_trial *m = malloc(sizeof *m);
  for (uint64_t seed = 0; seed < N_SETS; seed++) {
    made_make(m, seed);
    test_run as_is = made_run(m, MADE_AS_IS);
    test_run moved = made_run(m, (made_view){NULL, MADE_NAMED, 37.5, 0.625, 1, false});
    const scale s = {m, 37.5, 0.625};
    compare_scaled(&s, "traits", test_json(as_is.json, "traits"), test_json(moved.json, "traits"), 1e-9);
    compare_scaled(&s, "versus", test_json(as_is.json, "versus"), test_json(moved.json, "versus"), 1e-9);
    compare_scaled(&s, "versus_tests", test_json(as_is.json, "versus_tests"), test_json(moved.json, "versus_tests"), 0);
    test_run_release(&as_is);
    test_run_release(&moved);
  }
  free(m);
}

/* ---- names ------------------------------------------------------------------------------------------------------ */

/* Each hybrid's line of b is a's, whatever the lines' order: to 1e-12, as sums may run the other way round. */
static void compare_renamed(const made_trial *m, json_t *a, json_t *b, made_naming naming, bool same_order)
{
  static const char *const figures[] = {"f",    "p",        "sed",    "lsd",          "error_ms",
                                        "mean", "error_df", "cv_pct", "repeatability"};
  static const char *const own[] = {"mean", "raw_mean", "se", "rank", "pct_of_mean", "n"};
  char name[32];
  for (size_t i = 0; i < sizeof figures / sizeof *figures; i++)
    assert_close(test_json_number(b, figures[i]), test_json_number(a, figures[i]), 1e-11);
  for (int h = 0; h < m->n_hybrid; h++) {
    json_t *x = test_json_with(test_json(a, "hybrids"), "hybrid", made_name(name, h, MADE_NAMED));
    json_t *y = test_json_with(test_json(b, "hybrids"), "hybrid", made_name(name, h, naming));
    if (!x != !y) FAIL(m, a, false, "hybrid %d is in one of the two only", h);
    if (!x) continue;
    for (size_t i = 0; i < sizeof own / sizeof *own; i++)
      assert_close(test_json_number(y, own[i]), test_json_number(x, own[i]), 1e-12);
    if (!json_equal(json_object_get(x, "top"), json_object_get(y, "top")))
      FAIL(m, a, false, "the top group changes with the names");
    if (strcmp(text_of(x, "group"), text_of(y, "group")) != 0) FAIL(m, a, false, "the letters change with the names");
    if (same_order && json_number_value(json_object_get(x, "mean")) != json_number_value(json_object_get(y, "mean")))
      FAIL(m, a, false, "a name that sorts alike moves a mean");
  }
}

static void names_when_changed_then_nothing_else_does(void **state)
{
  (void)state;
  made_trial *m = malloc(sizeof *m);
  for (uint64_t seed = 0; seed < N_SETS; seed++)
    for (made_naming naming = MADE_RENAMED; naming <= MADE_REVERSED; naming++) {
      made_make(m, seed);
      test_run a = made_run(m, MADE_AS_IS), b = made_run(m, (made_view){NULL, naming, 0, 1, 1, false});
      size_t i, j;
      json_t *trait, *place;
      json_array_foreach(test_json(a.json, "traits"), i, trait)
      {
        json_t *other = json_array_get(test_json(b.json, "traits"), i);
        json_array_foreach(test_json(trait, "locations"), j, place)
            compare_renamed(m, place, json_array_get(test_json(other, "locations"), j), naming, naming == MADE_RENAMED);
        if (!json_is_null(test_json(trait, "across")))
          compare_renamed(m, test_json(trait, "across"), test_json(other, "across"), naming, naming == MADE_RENAMED);
      }
      test_run_release(&a);
      test_run_release(&b);
    }
  free(m);
}

/* ---- what is claimed -------------------------------------------------------------------------------------------- */

static void assert_no_claim(const made_trial *m, json_t *analysis, bool across, bool top_may_hold)
{
  size_t i, j;
  json_t *hybrid, *vs;
  if (!is_null(analysis, "lsd")) FAIL(m, analysis, across, "an LSD where none is due");
  json_array_foreach(test_json(analysis, "hybrids"), i, hybrid)
  {
    if (!is_null(hybrid, "rank")) FAIL(m, analysis, across, "a rank where none is due");
    if (!top_may_hold && json_is_true(test_json(hybrid, "top")))
      FAIL(m, analysis, across, "a top group where none is due");
    if (top_may_hold && json_is_false(test_json(hybrid, "top")))
      FAIL(m, analysis, across, "a hybrid is out of the top group without an F");
    json_array_foreach(test_json(hybrid, "vs_check"), j, vs) if (!is_null(vs, "differs"))
        FAIL(m, analysis, across, "'%s' than a check where nothing is tested", text_of(vs, "differs"));
  }
}

static void check_claims(const made_trial *m, json_t *analysis, bool across)
{
  size_t i;
  json_t *hybrid;
  bool tested = !is_null(analysis, "f");
  bool significant = tested && test_json_number(analysis, "p") <= test_json_number(analysis, "alpha");
  bool single = m->kind == MADE_SINGLE && (!across || m->fixed); /* random places: hybrid x location is the error */
  bool uneven = across && !tested && (m->kind == MADE_SERIES_LOST || m->kind == MADE_ABSENT),
       comparable = !single && !uneven;
  if (!comparable) {
    if (!says(analysis, "why")) FAIL(m, analysis, across, "nothing is compared and no reason is given");
    if (tested) FAIL(m, analysis, across, "an F where none is due");
    assert_no_claim(m, analysis, across, false);
    json_array_foreach(test_json(analysis, "hybrids"), i, hybrid)
    {
      if (uneven && !is_null(hybrid, "mean")) FAIL(m, analysis, across, "a mean over different sets of plots");
      if (!is_null(hybrid, "group")) FAIL(m, analysis, across, "letters where nothing is compared");
    }
    return;
  }
  if (!tested)
    FAIL(m, analysis, across, "no F, method %s, why '%s'", text_of(analysis, "method"), text_of(analysis, "why"));
  assert_close(test_json_number(analysis, "p"),
               gsl_cdf_fdist_Q(test_json_number(analysis, "f"), test_json_number(analysis, "num_df"),
                               test_json_number(analysis, "den_df")),
               1e-8);
  if (significant) return;
  assert_no_claim(m, analysis, across, true);
  json_array_foreach(test_json(analysis, "hybrids"), i, hybrid) if (strcmp(text_of(hybrid, "group"), "a") != 0)
      FAIL(m, analysis, across, "letters '%s' without a significant F", text_of(hybrid, "group"));
}

static void claims_when_nothing_is_tested_or_significant_then_none_is_made(void **state)
{
  (void)state;
  each_set(check_claims);
}

static double figure(json_t *array, size_t i, const char *key)
{
  json_t *value = json_object_get(json_array_get(array, i), key);
  return json_is_number(value) ? json_number_value(value) : NAN;
}

/* Rank follows the mean; equal means share a rank (1, 2, 2, 4); lines stand in print order. */
static void check_ranks(const made_trial *m, json_t *analysis, bool across)
{
  json_t *hybrids = test_json(analysis, "hybrids");
  size_t n = json_array_size(hybrids);
  for (size_t i = 0; i < n; i++) {
    double rank = figure(hybrids, i, "rank"), mean = figure(hybrids, i, "mean"), above = 0;
    if (isnan(rank)) continue;
    for (size_t j = 0; j < n; j++) above += figure(hybrids, j, "mean") > mean * (1 + 1e-9);
    if (rank != above + 1) FAIL(m, analysis, across, "rank %g with %g means above it", rank, above);
    if (i && figure(hybrids, i - 1, "rank") > rank)
      FAIL(m, analysis, across, "the lines are not in the order of ranks");
  }
}

static void ranks_when_given_then_they_follow_the_means(void **state)
{
  (void)state;
  each_set(check_ranks);
}

/* A duplicated hybrid: the same plots under two names must share the rank, and the next one is skipped. */
static void ranks_when_two_means_are_equal_then_they_share_one(void **state)
{
  (void)state;
  cks_settings settings;
  cks_settings_defaults(&settings);
  test_run run = test_run_csv(
      &settings,
      "location,rep,hybrid,yield (bu/ac)\nA,1,Ash,120\nA,1,Bay,100\nA,1,Cob,101\nA,1,Dun,80.5\n"
      "A,2,Ash,121.5\nA,2,Bay,103\nA,2,Cob,102\nA,2,Dun,81\nA,3,Ash,119\nA,3,Bay,101\nA,3,Cob,101\nA,3,Dun,79\n",
      NULL);
  assert_int_equal(run.status, CKS_OK);
  static const double expected[] = {1, 2, 2, 4};
  for (size_t i = 0; i < 4; i++)
    assert_close(figure(test_json(run.json, "traits.0.locations.0.hybrids"), i, "rank"), expected[i], 0);
  test_run_release(&run);
}

/* Letters against the stated rule, where all SEDs are equal: share one if and only if |difference| <= LSD. */
static bool share_letter(const char *a, const char *b)
{
  for (; *a; a++)
    if (strchr(b, *a)) return true;
  return false;
}

static void check_letters(const made_trial *m, json_t *analysis, bool across)
{
  json_t *hybrids = test_json(analysis, "hybrids");
  double lsd = test_json_number(analysis, "lsd"), sed_min = test_json_number(analysis, "sed_min"),
         sed_max = test_json_number(analysis, "sed_max");
  if (isnan(lsd) || !test_close(sed_min, sed_max, 1e-12)) return;
  double t = gsl_cdf_tdist_Pinv(1 - test_json_number(analysis, "alpha") / 2, test_json_number(analysis, "lsd_df"));
  assert_close(lsd, t * test_json_number(analysis, "sed"), 1e-9);
  double best = -INFINITY;
  for (size_t i = 0; i < json_array_size(hybrids); i++) best = fmax(best, figure(hybrids, i, "mean"));
  for (size_t i = 0; i < json_array_size(hybrids); i++) {
    json_t *a = json_array_get(hybrids, i), *top = json_object_get(a, "top");
    if (json_is_boolean(top) && json_is_true(top) != (best - figure(hybrids, i, "mean") <= lsd * (1 + 1e-9)))
      FAIL(m, analysis, across, "%s is %s the top group: %g below the best, LSD %g", text_of(a, "hybrid"),
           json_is_true(top) ? "in" : "out of", best - figure(hybrids, i, "mean"), lsd);
    for (size_t j = 0; j < i && says(a, "group"); j++) {
      json_t *b = json_array_get(hybrids, j);
      double difference = fabs(figure(hybrids, i, "mean") - figure(hybrids, j, "mean"));
      if (share_letter(text_of(a, "group"), text_of(b, "group")) != (difference <= lsd * (1 + 1e-9)))
        FAIL(m, analysis, across, "%s '%s' and %s '%s' are %g apart, LSD %g", text_of(a, "hybrid"), text_of(a, "group"),
             text_of(b, "hybrid"), text_of(b, "group"), difference, lsd);
    }
  }
}

static void letters_when_seds_are_equal_then_two_hybrids_share_one_if_and_only_if_not_different(void **state)
{
  (void)state;
  each_set(check_letters);
}

/* 100 x mean / check's mean, 100 for the check itself; above and below agree with the difference and the LSD. */
static void check_percent(const made_trial *m, json_t *analysis, bool across)
{
  size_t i, j;
  json_t *hybrid, *vs, *hybrids = test_json(analysis, "hybrids");
  double lsd = test_json_number(analysis, "lsd");
  bool equal = test_close(test_json_number(analysis, "sed_min"), test_json_number(analysis, "sed_max"), 1e-12);
  json_array_foreach(hybrids, i, hybrid)
  {
    double mean = figure(hybrids, i, "mean");
    json_array_foreach(test_json(hybrid, "vs_check"), j, vs)
    {
      json_t *check = test_json_with(hybrids, "hybrid", text_of(vs, "check"));
      bool itself = check == hybrid;
      double pct = test_json_number(vs, "pct"), of = check ? test_json_number(check, "mean") : NAN;
      if (!isnan(pct)) assert_close(pct, itself ? 100 : 100 * mean / of, 1e-12);
      if (itself && !isnan(test_json_number(hybrid, "pct_of_check")) && j == 0)
        assert_close(test_json_number(hybrid, "pct_of_check"), 100, 1e-14);
      if (!itself && !isnan(mean) && !isnan(of)) assert_close(test_json_number(vs, "difference"), mean - of, 1e-9);
      const char *differs = text_of(vs, "differs");
      bool apart = !itself && equal && !isnan(lsd) && fabs(mean - of) > lsd * (1 + 1e-9);
      if (equal && strcmp(differs, !apart ? "" : mean > of ? "above" : "below") != 0)
        FAIL(m, analysis, across, "%s is '%s' the check: %g and %g, LSD %g", text_of(hybrid, "hybrid"), differs, mean,
             of, lsd);
    }
  }
}

static void percent_of_check_when_given_then_it_is_the_ratio_of_means(void **state)
{
  (void)state;
  each_set(check_percent);
}

static size_t n_interval; /* looked at */

/* Around the difference; it leaves out 0 where the two are told apart and, where F finds something, nowhere else. */
static void check_interval(const made_trial *m, json_t *analysis, bool across)
{
  size_t i, j;
  json_t *hybrid, *vs;
  bool tested = !is_null(analysis, "f"), significant = tested && json_is_true(test_json(analysis, "significant"));
  json_array_foreach(test_json(analysis, "hybrids"), i, hybrid) json_array_foreach(test_json(hybrid, "vs_check"), j, vs)
  {
    double low = test_json_number(vs, "ci_low"), high = test_json_number(vs, "ci_high"),
           difference = test_json_number(vs, "difference");
    if (!tested && !isnan(low)) FAIL(m, analysis, across, "an interval where nothing is tested");
    if (isnan(low) != isnan(high)) FAIL(m, analysis, across, "an interval with one end");
    if (isnan(low)) continue;
    assert_close(low + high, 2 * difference, 1e-9);
    bool out = difference - low < fabs(difference) * (1 - 1e-9);
    if (significant ? out != says(vs, "differs") : says(vs, "differs"))
      FAIL(m, analysis, across, "%s is '%s' the check: %g, interval %g to %g", text_of(hybrid, "hybrid"),
           text_of(vs, "differs"), difference, low, high);
    n_interval++;
  }
}

static void interval_when_given_then_it_agrees_with_what_is_found(void **state)
{
  (void)state;
  n_interval = 0;
  each_set(check_interval);
  assert_true(n_interval > 1000);
}

/* ---- groups ----------------------------------------------------------------------------------------------------- */

/* What the hybrids of one group may claim, from its own line of "groups". */
static void check_group(const made_trial *m, json_t *analysis, bool across, json_t *group)
{
  const char *name = text_of(group, "by_group");
  double alpha = test_json_number(analysis, "alpha"), sed = test_json_number(group, "sed"), n = 0, mean = 0, ss = 0,
         lsd = test_json_number(group, "lsd"), best = -INFINITY;
  bool tested = !is_null(group, "f"), found = tested && test_json_number(group, "p") <= alpha;
  size_t i, j;
  json_t *a, *b, *hybrids = test_json(analysis, "hybrids");
  json_array_foreach(hybrids, i, a)
  {
    if (strcmp(text_of(a, "by_group"), name) != 0) continue;
    n++;
    mean += figure(hybrids, i, "mean");
    best = fmax(best, figure(hybrids, i, "mean"));
    bool ranked = found && !is_null(a, "top"); /* no top group: the trait has no good end */
    if (is_null(a, "rank") == ranked) FAIL(m, analysis, across, "%s: a rank against F", name);
    if (!found && (json_is_false(test_json(a, "top")) || (says(a, "group") && strcmp(text_of(a, "group"), "a") != 0)))
      FAIL(m, analysis, across, "%s: a claim without F", name);
  }
  assert_close(test_json_number(group, "hybrids"), n, 0);
  if (isnan(lsd) == found) FAIL(m, analysis, across, "%s: an LSD against F", name);
  if (!tested && !says(group, "lsd_why")) FAIL(m, analysis, across, "%s: not tested and no reason", name);
  bool equal = test_close(test_json_number(analysis, "sed_min"), test_json_number(analysis, "sed_max"), 1e-12);
  if (!tested || !equal) return;
  json_array_foreach(hybrids, i, a) if (!strcmp(text_of(a, "by_group"), name)) ss +=
      pow(figure(hybrids, i, "mean") - mean / n, 2);
  if (m->kind != MADE_YEARS) assert_close(test_json_number(group, "f"), ss / (n - 1) / (sed * sed / 2), 1e-8);
  json_array_foreach(hybrids, i, a) json_array_foreach(hybrids, j, b)
  {
    if (j >= i || !found || strcmp(text_of(a, "by_group"), name) || strcmp(text_of(b, "by_group"), name)) continue;
    bool alike = fabs(figure(hybrids, i, "mean") - figure(hybrids, j, "mean")) <= lsd * (1 + 1e-9);
    if (share_letter(text_of(a, "group"), text_of(b, "group")) != alike)
      FAIL(m, analysis, across, "%s: letters '%s' and '%s'", name, text_of(a, "group"), text_of(b, "group"));
  }
}

static void check_groups(const made_trial *m, json_t *analysis, bool across)
{
  size_t i;
  json_t *group, *groups = test_json(analysis, "groups");
  size_t rows = 0;
  json_array_foreach(groups, i, group) rows += (size_t)test_json_number(group, "hybrids");
  if (rows != json_array_size(test_json(analysis, "hybrids")))
    FAIL(m, analysis, across, "%d rows in groups", (int)rows);
  json_array_foreach(groups, i, group) check_group(m, analysis, across, group);
}

static void groups_when_made_then_order_and_scale_do_not_matter_and_each_claims_by_its_own_f(void **state)
{
  (void)state;
  made_trial *m = malloc(sizeof *m);
  uint32_t *order = malloc(MADE_MOST_PLOTS * sizeof *order);
  for (uint64_t seed = 0; seed < N_SETS; seed++) {
    test_random random = {seed + 78};
    made_make(m, seed);
    m->n_group = 2 + (int)(seed % 2);
    shuffle(order, m->n, &random);
    test_run as_is = made_run(m, MADE_AS_IS), shuffled = made_run(m, (made_view){order, MADE_NAMED, 0, 1, 1, false}),
             moved = made_run(m, (made_view){NULL, MADE_NAMED, 37.5, 0.625, 1, false});
    assert_same_run(m, "rows shuffled, by group", &as_is, &shuffled, true);
    compare_scaled(&(scale){m, 37.5, 0.625}, "traits", test_json(as_is.json, "traits"), test_json(moved.json, "traits"),
                   1e-9);
    each_analysis(m, as_is.json, check_groups);
    test_run_release(&as_is);
    test_run_release(&shuffled);
    test_run_release(&moved);
  }
  free(order);
  free(m);
}

/* ---- head-to-head ----------------------------------------------------------------------------------------------- */

/* The mean at a place of the trait whose key is given; NaN: none. */
static double mean_at(json_t *root, const char *trait, size_t place, const char *hybrid)
{
  json_t *t = test_json_with(test_json(root, "traits"), "trait", trait);
  json_t *at = json_array_get(test_json(t, "locations"), place),
         *line = test_json_with(test_json(at, "hybrids"), "hybrid", hybrid);
  return line ? test_json_number(line, "mean") : NAN;
}

/* Of each row the mean and the counts again, from the means of the places; the tests agree with one another. */
static void check_pair(const made_trial *m, json_t *root, json_t *row)
{
  double n = 0, sum = 0, above = 0, below = 0;
  const char *a = text_of(row, "a"), *b = text_of(row, "b"), *trait = text_of(row, "trait");
  bool good = strcmp(text_of(row, "better"), "low") != 0;
  json_t *t = test_json_with(test_json(root, "traits"), "trait", trait);
  for (size_t j = 0; j < json_array_size(test_json(t, "locations")); j++) {
    double d = mean_at(root, trait, j, a) - mean_at(root, trait, j, b);
    if (isnan(d)) continue;
    n++;
    sum += d;
    above += d > 1e-9;
    below += d < -1e-9;
  }
  if (test_json_number(row, "n") != n) fail_msg("seed %d: %s and %s met %g times", (int)m->seed, a, b, n);
  if (n > 0) assert_true(fabs(test_json_number(row, "mean_difference") - sum / n) < 1e-9);
  if (is_null(row, "mean_difference") != (n == 0) || is_null(row, "wins") != (n < 2))
    fail_msg("seed %d: figures of %g places", (int)m->seed, n);
  if (n < 2) return;
  assert_close(test_json_number(row, "wins"), good ? above : below, 0);
  assert_close(test_json_number(row, "losses"), good ? below : above, 0);
  assert_close(test_json_number(row, "ties"), n - above - below, 0);
  if (is_null(row, "p")) return;
  bool covers = test_json_number(row, "ci_low") <= 0 && test_json_number(row, "ci_high") >= 0;
  assert_true(covers == (test_json_number(row, "p") >= test_json_number(row, "alpha")));
  assert_close(test_json_number(row, "t"), test_json_number(row, "mean_difference") / test_json_number(row, "se"),
               1e-9);
}

static void pairs_when_against_checks_then_the_means_of_the_places_make_them(void **state)
{
  (void)state;
  size_t n_row = 0, i;
  made_trial *m = malloc(sizeof *m);
  for (uint64_t seed = 0; seed < N_SETS; seed++) {
    json_t *row;
    made_make(m, seed);
    test_run run = made_run(m, MADE_AS_IS);
    json_array_foreach(test_json(run.json, "versus"), i, row) check_pair(m, run.json, row);
    n_row += i;
    test_run_release(&run);
  }
  assert_true(n_row > 100);
  free(m);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(order_of_rows_and_files_when_shuffled_then_no_figure_moves),
      cmocka_unit_test(scale_when_changed_then_figures_move_with_it_and_claims_stay),
      cmocka_unit_test(names_when_changed_then_nothing_else_does),
      cmocka_unit_test(claims_when_nothing_is_tested_or_significant_then_none_is_made),
      cmocka_unit_test(ranks_when_given_then_they_follow_the_means),
      cmocka_unit_test(ranks_when_two_means_are_equal_then_they_share_one),
      cmocka_unit_test(letters_when_seds_are_equal_then_two_hybrids_share_one_if_and_only_if_not_different),
      cmocka_unit_test(percent_of_check_when_given_then_it_is_the_ratio_of_means),
      cmocka_unit_test(interval_when_given_then_it_agrees_with_what_is_found),
      cmocka_unit_test(pairs_when_against_checks_then_the_means_of_the_places_make_them),
      cmocka_unit_test(groups_when_made_then_order_and_scale_do_not_matter_and_each_claims_by_its_own_f),
  };
  print_message("seeds 0 to %d\n", N_SETS - 1);
  return cmocka_run_group_tests(tests, NULL, NULL);
}
