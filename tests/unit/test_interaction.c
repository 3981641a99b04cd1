/*
 * test_interaction.c: hybrids by environments: what holds of any table, closed forms on small ones, and tables of which
 * little or nothing can be said. Figures of published trials: tests/reference/test_interaction.c.
 */
#include "../../src/math/distributions.h"
#include "support/make_trial.h"
#include "support/support.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MOST_G = 20, MOST_E = 20, MOST_R = 4, MOST_PLOTS = MOST_G * MOST_E * MOST_R, SEED = 20261420 };
#define LEN(a) (sizeof(a) / sizeof *(a))

/* True cell means; NaN: the hybrid did not grow there. With reps, plots scatter about them. */
typedef struct {
  size_t g, e, r;
  double x[MOST_G][MOST_E];
  double scatter;          /* standard deviation of the plots */
  cks_role role;           /* CKS_ROLE_LOCATION, which is 0: yield */
  int year[MOST_E];        /* 0: 2026 */
  size_t location[MOST_E]; /* of several years: number of the location; all 0: each its own */
  bool single[MOST_E];     /* one plot of each hybrid there */
} grid;

static char hybrid_name[MOST_G][8], location_name[MOST_E][8];

static int begin(void **state)
{
  for (size_t i = 0; i < MOST_G; i++) snprintf(hybrid_name[i], sizeof hybrid_name[i], "H%02u", (unsigned)i + 1);
  for (size_t j = 0; j < MOST_E; j++) snprintf(location_name[j], sizeof location_name[j], "L%02u", (unsigned)j + 1);
  return test_start(state);
}

static size_t plots_of(const grid *t, made_plot *plots)
{
  test_random random = {SEED};
  size_t n = 0;
  bool places = false;
  for (size_t j = 0; j < t->e; j++) places |= t->location[j] != 0;
  for (size_t j = 0; j < t->e; j++)
    for (size_t k = 0; k < (t->single[j] ? 1 : t->r); k++)
      for (size_t i = 0; i < t->g; i++) {
        double over = t->scatter > 0 ? t->scatter * test_normal(&random) : 0;
        plots[n++] = (made_plot){location_name[places ? t->location[j] : j],
                                 t->year[j] ? t->year[j] : 2026,
                                 t->r > 1 ? made_reps[k] : NULL,
                                 NULL,
                                 hybrid_name[i],
                                 t->x[i][j] + over};
      }
  return n;
}

static made_analysis analyze_with(const grid *t, const cks_settings *settings)
{
  made_plot *plots = malloc(MOST_PLOTS * sizeof *plots);
  assert_non_null(plots);
  size_t n = plots_of(t, plots);
  made_analysis made = made_analyze(made_trial(plots, n, t->role ? t->role : CKS_ROLE_YIELD, NULL), settings);
  free(plots);
  if (made.status != CKS_OK) fail_msg("%s", made.error.text);
  return made;
}

static made_analysis analyze(const grid *t)
{
  cks_settings settings = made_settings();
  return analyze_with(t, &settings);
}

static const cks_interaction *of(const made_analysis *made) { return made->results->trait[0].interaction; }

/* By name; NULL when it is not in it. */
static const cks_stability *hybrid_of(const made_analysis *made, size_t i)
{
  const cks_interaction *x = of(made);
  for (size_t k = 0; k < x->n_hybrid; k++)
    if (!strcmp(made->results->hybrid[x->hybrid[k].hybrid].name, hybrid_name[i])) return &x->hybrid[k];
  return NULL;
}

static grid drawn(size_t g, size_t e, size_t r, uint64_t seed)
{
  test_random random = {seed};
  grid t = {.g = g, .e = e, .r = r, .scatter = r > 1 ? 4 : 0};
  double hybrid[MOST_G];
  for (size_t i = 0; i < g; i++) hybrid[i] = 5 * test_normal(&random);
  for (size_t j = 0; j < e; j++) {
    double place = 100 + 15 * test_normal(&random);
    for (size_t i = 0; i < g; i++) t.x[i][j] = place + hybrid[i] + 6 * test_normal(&random);
  }
  return t;
}

/* ---- identities ------------------------------------------------------------------------------------------------- */

static double axes_ss(size_t n, const cks_interaction_axis *axis, double *df, double *share)
{
  double ss = 0;
  *df = *share = 0;
  for (size_t k = 0; k < n; k++) {
    assert_close(axis[k].ss, axis[k].singular_value * axis[k].singular_value, 1e-12);
    ss += axis[k].ss;
    *df += axis[k].df;
    *share += axis[k].share_pct;
  }
  return ss;
}

static void assert_identities(const made_analysis *made)
{
  const cks_interaction *x = of(made);
  double g = (double)x->n_hybrid, e = (double)x->n_environment, slopes = 0, w = 0, variance = 0, mean = 0,
         hybrid_ss = 0, index = 0, squares = 0, unequal = 0, left = 0, df, share;
  for (size_t j = 0; j < x->n_environment; j++) {
    index += x->environment[j].index;
    squares += x->environment[j].index * x->environment[j].index;
  }
  for (size_t i = 0; i < x->n_hybrid; i++) {
    const cks_stability *h = &x->hybrid[i];
    slopes += h->slope;
    w += h->ecovalence;
    variance += h->stability_variance;
    mean += h->mean / g;
    unequal += (h->slope - 1) * (h->slope - 1) * squares;
    left += h->deviation_ms * h->slope_df;
  }
  for (size_t i = 0; i < x->n_hybrid; i++) hybrid_ss += e * (x->hybrid[i].mean - mean) * (x->hybrid[i].mean - mean);
  assert_true(x->complete && !*x->left_out && !*x->why);
  assert_close(x->df, (g - 1) * (e - 1), 0);
  assert_true(fabs(index) < 1e-9);
  assert_close(slopes, g, 1e-9);
  assert_close(w, x->ss, 1e-9);
  assert_close(variance / g, x->ss / x->df, 1e-9);
  assert_close(unequal + left, x->ss, 1e-9);
  assert_close(x->slopes_f, unequal / (g - 1) / (left / ((g - 1) * (e - 2))), 1e-9);
  assert_close(axes_ss(x->n_axis, x->axis, &df, &share), x->ss, 1e-9);
  assert_close(df, x->df, 1e-12);
  assert_close(share, 100, 1e-12);
  assert_close(axes_ss(x->n_site_axis, x->site_axis, &df, &share), x->ss + hybrid_ss, 1e-9);
  assert_close(df, (g - 1) * e, 1e-12);
  assert_close(share, 100, 1e-12);
}

static const size_t sizes[][3] = {{3, 3, 1}, {5, 12, 1}, {14, 6, 2}, {4, 9, 3}, {20, 3, 1}, {3, 20, 2}, {8, 8, 2}};

static void tables_when_complete_then_the_parts_add_up(void **state)
{
  (void)state;
  print_message("seeds %d and on\n", SEED);
  for (size_t k = 0; k < LEN(sizes); k++) {
    grid t = drawn(sizes[k][0], sizes[k][1], sizes[k][2], SEED + k);
    made_analysis made = analyze(&t);
    assert_identities(&made);
    made_analysis_release(&made);
  }
}

/* F over the plot error, and its components, by the formulas for a balanced series. */
static void table_when_of_equal_reps_then_components_are_differences_of_mean_squares(void **state)
{
  (void)state;
  grid t = drawn(7, 5, 3, SEED);
  made_analysis made = analyze(&t);
  const cks_interaction *x = of(&made);
  const cks_analysis *across = made.results->trait[0].across;
  const cks_anova_line *error = made_line(across, "error"), *hybrid = made_line(across, "hybrid"),
                       *both = made_line(across, "hybrid x location");
  assert_close(x->f, both->ms / error->ms, 1e-9);
  assert_close(x->p, both->p, 1e-9);
  assert_close(x->num_df, both->df, 1e-12);
  assert_close(x->den_df, error->df, 1e-12);
  assert_close(x->cell_variance, error->ms / 3, 1e-9);
  assert_close(x->component, (both->ms - error->ms) / 3, 1e-9);
  assert_close(x->hybrid_component, (hybrid->ms - both->ms) / 15, 1e-9);
  assert_int_equal(x->component_environments, 5);
  assert_true(x->component_upper > x->component && x->excess_upper > x->component - x->hybrid_component / 2);
  for (size_t k = 0; k < x->n_axis; k++) {
    assert_close(x->axis[k].f, x->axis[k].ss / x->axis[k].df / x->cell_variance, 1e-12);
    assert_close(x->axis[k].p, cks_f_p(x->axis[k].f, x->axis[k].df, x->den_df), 1e-12);
  }
  made_analysis_release(&made);
}

/* ---- what changes with what ------------------------------------------------------------------------------------- */

typedef enum { CONSTANT, ENVIRONMENTS, HYBRIDS, SCALE, CHANGES } change;

static grid changed(const grid *from, change how)
{
  test_random random = {SEED + 7};
  grid t = *from;
  double hybrid[MOST_G], place[MOST_E];
  for (size_t i = 0; i < t.g; i++) hybrid[i] = 4 * test_normal(&random);
  for (size_t j = 0; j < t.e; j++) place[j] = 8 * test_normal(&random);
  for (size_t i = 0; i < t.g; i++)
    for (size_t j = 0; j < t.e; j++)
      t.x[i][j] = how == CONSTANT       ? t.x[i][j] + 1000
                  : how == ENVIRONMENTS ? t.x[i][j] + place[j]
                  : how == HYBRIDS      ? t.x[i][j] + hybrid[i]
                                        : 2.5 * t.x[i][j];
  if (how == SCALE) t.scatter *= 2.5;
  return t;
}

static void assert_changed(const made_analysis *a, const made_analysis *b, size_t g, change how)
{
  const cks_interaction *x = of(a), *y = of(b);
  double times = how == SCALE ? 2.5 : 1;
  if (how != HYBRIDS) assert_int_equal(x->verdict, y->verdict);
  if (how != HYBRIDS) assert_int_equal(x->crossovers, y->crossovers);
  assert_close(y->ss, times * times * x->ss, 1e-9);
  assert_close(y->f, x->f, 1e-9);
  assert_close(y->component, times * times * x->component, 1e-9);
  if (how != ENVIRONMENTS) assert_close(y->slopes_f, x->slopes_f, 1e-9);
  if (how != HYBRIDS) assert_close(y->excess_upper, times * times * x->excess_upper, 1e-8);
  for (size_t k = 0; k < x->n_axis; k++) {
    assert_close(y->axis[k].singular_value, times * x->axis[k].singular_value, 1e-9);
    if (how != HYBRIDS) assert_close(y->site_axis[k].singular_value, times * x->site_axis[k].singular_value, 1e-9);
  }
  for (size_t i = 0; i < g; i++) {
    const cks_stability *h = hybrid_of(a, i), *k = hybrid_of(b, i);
    assert_close(k->ecovalence, times * times * h->ecovalence, 1e-9);
    assert_close(k->stability_variance, times * times * h->stability_variance, 1e-8);
    if (how != HYBRIDS) assert_close(k->superiority, times * times * h->superiority, 1e-9);
    if (how != ENVIRONMENTS) assert_close(k->slope, h->slope, 1e-9);
    if (how != ENVIRONMENTS) assert_close(k->deviation_ms, times * times * h->deviation_ms, 1e-9);
    if (how != ENVIRONMENTS) assert_close(k->slope_se, h->slope_se, 1e-9);
    for (size_t s = 0; s < x->n_score; s++) assert_true(fabs(k->score[s] - sqrt(times) * h->score[s]) < 1e-6);
  }
}

static void table_when_shifted_or_scaled_then_what_should_stay_stays(void **state)
{
  (void)state;
  for (size_t r = 1; r <= 2; r++)
    for (change how = CONSTANT; how < CHANGES; how++) {
      grid t = drawn(6, 7, r, SEED + r), u = changed(&t, how);
      made_analysis a = analyze(&t), b = analyze(&u);
      assert_changed(&a, &b, t.g, how);
      made_analysis_release(&a);
      made_analysis_release(&b);
    }
}

/* ---- incomplete tables ------------------------------------------------------------------------------------------ */

/* Of the fit hybrid + environment, what is left over sums to 0 along each hybrid and each environment; slopes by their
 * formula from four cells on. */
static void assert_fitted(const grid *t, const made_analysis *made)
{
  const cks_interaction *x = of(made);
  double left[MOST_E] = {0}, ss = 0;
  for (size_t i = 0; i < t->g; i++) {
    double n = 0, mean = 0, center = 0, spread = 0, product = 0;
    const cks_stability *h = hybrid_of(made, i);
    for (size_t j = 0; j < t->e; j++) {
      if (isnan(t->x[i][j])) continue;
      n++;
      mean += t->x[i][j];
      center += x->environment[j].index;
    }
    mean /= n;
    center /= n;
    for (size_t j = 0; j < t->e; j++) {
      if (isnan(t->x[i][j])) continue;
      double along = x->environment[j].index - center, over = t->x[i][j] - mean - along;
      left[j] += over;
      ss += over * over;
      spread += along * along;
      product += along * (t->x[i][j] - mean);
    }
    assert_int_equal(h->cells, n);
    assert_close(h->slope, n >= 4 ? product / spread : NAN, 1e-9);
    assert_close(h->slope_df, n >= 4 ? n - 2 : NAN, 0);
    assert_true(isnan(h->slope_se) == (n < 4) && isnan(h->deviation_ms) == (n < 4));
  }
  for (size_t j = 0; j < t->e; j++) assert_true(fabs(left[j]) < 1e-9);
  assert_close(x->ss, ss, 1e-9);
}

static void table_when_incomplete_then_environments_by_least_squares_and_lines_of_four_cells_or_more(void **state)
{
  (void)state;
  grid t = drawn(5, 6, 1, SEED);
  cks_settings settings = made_settings();
  settings.min_environments = 0;
  t.x[1][0] = t.x[1][1] = NAN;             /* four cells */
  t.x[2][1] = t.x[2][4] = t.x[2][5] = NAN; /* three */
  made_analysis made = analyze_with(&t, &settings);
  const cks_interaction *x = of(&made);
  assert_false(x->complete);
  assert_close(x->df, 25 - 5 - 6 + 1, 0);
  assert_fitted(&t, &made);
  assert_int_equal(x->table_hybrids, 3);
  assert_int_equal(x->table_environments, 6);
  assert_string_equal(x->left_out, "the complete table has 3 hybrids and 6 environments; left out: H02, H03");
  for (size_t i = 0; i < t.g; i++) {
    const cks_stability *h = hybrid_of(&made, i);
    bool in = i != 1 && i != 2;
    assert_int_equal(h->in_table, in);
    assert_true(isnan(h->ecovalence) == !in && isnan(h->stability_variance) == !in && isnan(h->superiority) == !in);
    assert_true((h->score != NULL) == in && (h->site_score != NULL) == in);
  }
  made_analysis_release(&made);
}

/* The complete part is judged as if it were all there is. */
static void complete_part_when_others_are_left_out_then_its_figures_are_those_of_it_alone(void **state)
{
  (void)state;
  grid t = drawn(6, 7, 1, SEED + 1), part = t;
  t.x[5][0] = t.x[5][2] = t.x[5][3] = NAN; /* of the last hybrid; 5 x 7 is the largest part */
  part.g = 5;
  made_analysis a = analyze(&t), b = analyze(&part);
  assert_int_equal(of(&a)->table_hybrids, 5);
  assert_identities(&b);
  for (size_t i = 0; i < 5; i++) {
    assert_close(hybrid_of(&a, i)->ecovalence, hybrid_of(&b, i)->ecovalence, 1e-9);
    assert_close(hybrid_of(&a, i)->stability_variance, hybrid_of(&b, i)->stability_variance, 1e-9);
    assert_close(hybrid_of(&a, i)->superiority, hybrid_of(&b, i)->superiority, 1e-9);
  }
  for (size_t k = 0; k < of(&b)->n_axis; k++)
    assert_close(of(&a)->axis[k].singular_value, of(&b)->axis[k].singular_value, 1e-9);
  made_analysis_release(&a);
  made_analysis_release(&b);
}

/* Two hybrids over all ten environments are more cells than four over four, but too few to say anything of stability. */
static void complete_part_when_a_larger_one_has_two_hybrids_then_three_and_more_come_first(void **state)
{
  (void)state;
  grid t = drawn(4, 10, 1, SEED + 5);
  cks_settings settings = made_settings();
  settings.min_environments = 0;
  for (size_t j = 4; j < 10; j++) t.x[2][j] = t.x[3][j] = NAN;
  made_analysis made = analyze_with(&t, &settings);
  assert_int_equal(of(&made)->table_hybrids, 4);
  assert_int_equal(of(&made)->table_environments, 4);
  made_analysis_release(&made);
}

/* Both sides longer than what is searched through exactly. */
static void complete_part_when_the_table_is_large_then_it_has_no_empty_cell(void **state)
{
  (void)state;
  grid t = drawn(18, 17, 1, SEED + 2);
  for (size_t i = 0; i < 18; i += 3) t.x[i][16] = NAN; /* an environment that lacks six */
  t.x[4][2] = t.x[4][3] = NAN;                         /* a hybrid that lacks two */
  made_analysis made = analyze(&t);
  const cks_interaction *x = of(&made);
  assert_int_equal(x->table_hybrids, 17);
  assert_int_equal(x->table_environments, 16);
  assert_string_equal(x->left_out, "the complete table has 17 hybrids and 16 environments; left out: H05; L17 2026");
  assert_false(x->environment[16].in_table);
  assert_false(hybrid_of(&made, 4)->in_table);
  made_analysis_release(&made);
}

/* Three hybrids, each two of which share one environment of three. */
static void complete_part_when_there_is_none_of_two_by_two_then_nothing_is_made_of_it(void **state)
{
  (void)state;
  grid t = drawn(3, 3, 1, SEED);
  cks_settings settings = made_settings();
  settings.min_environments = 0;
  for (size_t k = 0; k < 3; k++) t.x[k][k] = NAN;
  made_analysis made = analyze_with(&t, &settings);
  const cks_interaction *x = of(&made);
  assert_string_equal(x->why, "");
  assert_string_equal(x->left_out, "no two hybrids grew together in two environments: no complete table");
  assert_int_equal(x->table_hybrids, 0);
  assert_int_equal(x->verdict, CKS_VERDICT_CANNOT_TELL);
  for (size_t i = 0; i < 3; i++)
    assert_true(isnan(hybrid_of(&made, i)->slope) && isnan(hybrid_of(&made, i)->ecovalence));
  assert_int_equal(x->n_axis, 0);
  made_analysis_release(&made);
}

/* Each hybrid at a place of its own: nobody can be set aside, and nothing joins them. */
static void hybrids_when_no_environment_joins_them_then_nothing(void **state)
{
  (void)state;
  grid t = drawn(3, 3, 2, SEED);
  for (size_t i = 0; i < 3; i++)
    for (size_t j = 0; j < 3; j++)
      if (i != j) t.x[i][j] = NAN;
  made_analysis made = analyze(&t);
  const cks_interaction *x = of(&made);
  assert_string_equal(x->why, "no environment joins these hybrids");
  assert_int_equal(x->verdict, CKS_VERDICT_NONE);
  assert_true(isnan(x->ss) && isnan(x->df) && isnan(x->f));
  made_analysis_release(&made);
}

/* Two hybrids a place, one of them at both: hybrid + environment take all four means. */
static void table_when_no_df_are_left_then_nothing_is_tested(void **state)
{
  (void)state;
  grid t = drawn(3, 2, 3, SEED);
  t.x[0][1] = t.x[2][0] = NAN;
  made_analysis made = analyze(&t);
  const cks_interaction *x = of(&made);
  assert_string_equal(x->why, "");
  assert_close(x->df, 0, 0);
  assert_true(isnan(x->f) && isnan(x->p) && isnan(x->component));
  assert_int_equal(x->verdict, CKS_VERDICT_CANNOT_TELL);
  assert_string_equal(x->basis, "no degrees of freedom for hybrid x environment");
  made_analysis_release(&made);
}

/* ---- little to tell --------------------------------------------------------------------------------------------- */

static void environments_when_two_then_no_line_and_no_test_of_slopes(void **state)
{
  (void)state;
  grid t = drawn(5, 2, 3, SEED);
  made_analysis made = analyze(&t);
  const cks_interaction *x = of(&made);
  assert_string_equal(x->why, "");
  assert_true(isnan(x->slopes_f) && isnan(x->slopes_p) && isnan(x->slopes_num_df));
  for (size_t i = 0; i < t.g; i++) {
    const cks_stability *h = hybrid_of(&made, i);
    assert_true(isnan(h->slope) && isnan(h->slope_se) && isnan(h->slope_p) && isnan(h->slope_low));
    assert_true(isnan(h->slope_df) && isnan(h->deviation_ms));
    assert_false(isnan(h->ecovalence) || isnan(h->stability_variance) || isnan(h->superiority));
  }
  assert_int_equal(x->n_axis, 1);
  assert_close(x->axis[0].share_pct, 100, 1e-12);
  assert_close(x->axis[0].ss, x->ss, 1e-9);
  made_analysis_release(&made);
}

static void hybrids_when_two_then_no_stability_variance(void **state)
{
  (void)state;
  grid t = drawn(2, 5, 2, SEED);
  made_analysis made = analyze(&t);
  for (size_t i = 0; i < 2; i++) {
    const cks_stability *h = hybrid_of(&made, i);
    assert_true(isnan(h->stability_variance));
    assert_close(h->ecovalence, of(&made)->ss / 2, 1e-9);
  }
  for (size_t k = 0; k < 25; k++) assert_true(isnan(of(&made)->rank_correlation[k])); /* fewer than three */
  made_analysis_release(&made);
}

static void assert_nothing(const cks_interaction *x)
{
  assert_true(*x->why);
  assert_int_equal(x->verdict, CKS_VERDICT_NONE);
  assert_int_equal(x->n_hybrid, 0);
  assert_int_equal(x->n_environment, 0);
  assert_int_equal(x->n_axis, 0);
  assert_true(isnan(x->ss) && isnan(x->f) && isnan(x->component) && isnan(x->slopes_f) && isnan(x->nonadditivity_f));
}

static void table_when_there_is_none_then_a_sentence_and_no_figure(void **state)
{
  (void)state;
  grid one_place = drawn(4, 1, 2, SEED), one_hybrid = drawn(1, 4, 2, SEED), constant = drawn(4, 4, 2, SEED),
       no_scale = drawn(4, 4, 2, SEED);
  made_analysis made = analyze(&one_place);
  assert_null(of(&made));
  made_analysis_release(&made);
  made = analyze(&one_hybrid);
  assert_nothing(of(&made));
  made_analysis_release(&made);
  for (size_t i = 0; i < 4; i++)
    for (size_t j = 0; j < 4; j++) constant.x[i][j] = 90;
  constant.scatter = 0;
  made = analyze(&constant);
  assert_nothing(of(&made));
  made_analysis_release(&made);
  no_scale.role = CKS_ROLE_VIGOR;
  made = analyze(&no_scale);
  assert_nothing(of(&made));
  assert_non_null(strstr(of(&made)->why, "no scale"));
  made_analysis_release(&made);
}

/* Hybrid + environment to the last digit. */
static void table_when_without_interaction_then_slopes_of_one_and_nothing_is_tested(void **state)
{
  (void)state;
  grid t = {.g = 4, .e = 5, .r = 1};
  for (size_t i = 0; i < t.g; i++)
    for (size_t j = 0; j < t.e; j++) t.x[i][j] = 80 + 3.1 * (double)i + 7.3 * (double)(j * j);
  made_analysis made = analyze(&t);
  const cks_interaction *x = of(&made);
  assert_string_equal(x->why, "");
  assert_true(x->ss < 1e-18);
  assert_int_equal(x->n_axis, 0);
  assert_true(isnan(x->slopes_f) && isnan(x->nonadditivity_f) && isnan(x->f));
  assert_int_equal(x->verdict, CKS_VERDICT_CANNOT_TELL);
  for (size_t i = 0; i < t.g; i++) {
    const cks_stability *h = hybrid_of(&made, i);
    assert_close(h->slope, 1, 1e-12);
    assert_true(isnan(h->slope_se) && isnan(h->slope_p) && isnan(h->slope_low) && isnan(h->slope_high));
    assert_null(h->score);
    assert_true(h->ecovalence < 1e-18);
  }
  for (size_t j = 0; j < t.e; j++) assert_close(x->environment[j].rank_correlation, 1, 1e-12);
  made_analysis_release(&made);
}

/* Environments alike to the last digit: no line over them. */
static void environments_when_of_one_mean_then_no_slope(void **state)
{
  (void)state;
  grid t = {.g = 2, .e = 4, .r = 1};
  static const double over[] = {3, -1, 2, -4};
  for (size_t j = 0; j < t.e; j++) t.x[0][j] = 90 + over[j], t.x[1][j] = 90 - over[j];
  made_analysis made = analyze(&t);
  assert_string_equal(of(&made)->why, "");
  for (size_t i = 0; i < t.g; i++) assert_true(isnan(hybrid_of(&made, i)->slope));
  assert_true(isnan(of(&made)->slopes_f) && isnan(of(&made)->nonadditivity_f));
  made_analysis_release(&made);
}

static void hybrid_or_environment_when_without_a_value_then_it_is_not_there(void **state)
{
  (void)state;
  grid t = drawn(5, 5, 2, SEED + 3), less = t;
  for (size_t k = 0; k < 5; k++) t.x[4][k] = t.x[k][4] = NAN;
  less.g = less.e = 4;
  made_analysis made = analyze(&t);
  assert_int_equal(of(&made)->n_hybrid, 4);
  assert_int_equal(of(&made)->n_environment, 4);
  assert_null(hybrid_of(&made, 4));
  assert_identities(&made);
  made_analysis_release(&made);
}

/* ---- which end is the good one ---------------------------------------------------------------------------------- */

static void trait_when_no_end_is_good_then_no_superiority_and_no_winner(void **state)
{
  (void)state;
  grid t = drawn(4, 4, 2, SEED);
  t.role = CKS_ROLE_PLANT_HEIGHT;
  made_analysis made = analyze(&t);
  const cks_interaction *x = of(&made);
  assert_string_equal(x->why, "");
  for (size_t i = 0; i < t.g; i++) {
    assert_true(isnan(hybrid_of(&made, i)->superiority));
    assert_true(!isnan(hybrid_of(&made, i)->ecovalence));
  }
  for (size_t j = 0; j < t.e; j++) {
    assert_int_equal(x->environment[j].best, CKS_NONE);
    assert_int_equal(x->environment[j].best_by_axes, CKS_NONE);
    assert_true(isnan(x->environment[j].best_mean) && isnan(x->environment[j].ahead));
  }
  made_analysis_release(&made);
}

/* Percents in the middle are taken as they are: the least is the best. */
static void trait_when_the_low_end_is_good_then_superiority_is_that_of_the_mirrored(void **state)
{
  (void)state;
  grid low = drawn(4, 5, 2, SEED + 4), high = low;
  for (size_t i = 0; i < low.g; i++)
    for (size_t j = 0; j < low.e; j++) {
      low.x[i][j] = 50 + (low.x[i][j] - 100) / 6;
      high.x[i][j] = 100 - low.x[i][j];
    }
  low.role = CKS_ROLE_LODGING;
  low.scatter = high.scatter = .001; /* plots at their mean, nearly */
  made_analysis a = analyze(&low), b = analyze(&high);
  assert_false(a.results->trait[0].arcsine);
  for (size_t i = 0; i < low.g; i++)
    assert_true(fabs(hybrid_of(&a, i)->superiority - hybrid_of(&b, i)->superiority) < .05);
  for (size_t j = 0; j < low.e; j++) {
    assert_int_equal(of(&a)->environment[j].best, of(&b)->environment[j].best);
    assert_true(fabs(of(&a)->environment[j].ahead - of(&b)->environment[j].ahead) < .05);
    assert_int_equal(of(&a)->environment[j].best_by_axes, of(&b)->environment[j].best_by_axes);
  }
  made_analysis_release(&a);
  made_analysis_release(&b);
}

/* Percents near 0: every figure is of arcsin(sqrt(x / 100)). */
static void trait_when_tested_on_another_scale_then_the_table_is_on_it(void **state)
{
  (void)state;
  static const double percent[3][3] = {{1, 4, 9}, {16, 25, 36}, {4, 1, 49}};
  grid t = {.g = 3, .e = 3, .r = 1, .role = CKS_ROLE_LODGING};
  double x[3][3], row[3] = {0}, column[3] = {0}, grand = 0;
  for (size_t i = 0; i < 3; i++)
    for (size_t j = 0; j < 3; j++) {
      t.x[i][j] = percent[i][j];
      x[i][j] = asin(sqrt(percent[i][j] / 100));
      row[i] += x[i][j] / 3;
      column[j] += x[i][j] / 3;
      grand += x[i][j] / 9;
    }
  made_analysis made = analyze(&t);
  assert_true(made.results->trait[0].arcsine);
  for (size_t i = 0; i < 3; i++) {
    double w = 0;
    for (size_t j = 0; j < 3; j++) w += pow(x[i][j] - row[i] - column[j] + grand, 2);
    assert_close(hybrid_of(&made, i)->ecovalence, w, 1e-9);
  }
  for (size_t j = 0; j < 3; j++) assert_close(of(&made)->environment[j].mean, column[j], 1e-12);
  assert_close(of(&made)->environment[0].best_mean, x[0][0], 1e-12);
  made_analysis_release(&made);
}

/* ---- order ------------------------------------------------------------------------------------------------------ */

/* R 4.2.2: cor(method = "spearman"), which gives equal values the mean of their ranks. */
static void ranks_when_some_are_equal_then_they_share_one(void **state)
{
  (void)state;
  static const double table[6][3] = {{90, 71, 60}, {95, 71, 52},  {95, 80, 52},
                                     {99, 85, 52}, {101, 71, 41}, {104, 88, 44}};
  grid t = {.g = 6, .e = 3, .r = 1};
  for (size_t i = 0; i < 6; i++) memcpy(t.x[i], table[i], sizeof table[i]);
  made_analysis made = analyze(&t);
  const double *r = of(&made)->rank_correlation;
  const cks_environment_answer *e = of(&made)->environment;
  assert_close(r[0], 1, 1e-12);
  assert_close(r[0 * 3 + 1], 0.585239048452012, 1e-12);
  assert_close(r[0 * 3 + 2], -0.893259600268861, 1e-12);
  assert_close(r[1 * 3 + 2], -0.225806451612903, 1e-12);
  assert_close(r[2 * 3 + 1], -0.225806451612903, 1e-12);
  assert_close(e[0].rank_correlation, 0.102941176470588, 1e-12); /* with the mean of the two others */
  assert_close(e[1].rank_correlation, 0.462030827725273, 1e-12);
  assert_close(e[2].rank_correlation, -0.516100229611079, 1e-12);
  made_analysis_release(&made);
}

static void best_when_looked_for_then_named_with_its_lead(void **state)
{
  (void)state;
  grid t = drawn(4, 3, 1, SEED);
  for (size_t i = 0; i < 4; i++) t.x[i][1] = 80 + 2.5 * (double)i;
  t.x[0][2] = t.x[3][2] = 200; /* two at the top: the first by the order of the analysis, and no lead */
  made_analysis made = analyze(&t);
  const cks_environment_answer *e = of(&made)->environment;
  assert_string_equal(made.results->hybrid[e[1].best].name, "H04");
  assert_close(e[1].best_mean, 87.5, 1e-12);
  assert_close(e[1].ahead, 2.5, 1e-9);
  assert_close(e[2].best_mean, 200, 1e-12);
  assert_close(e[2].ahead, 0, 0);
  made_analysis_release(&made);
}

/* ---- pairs that change sides ------------------------------------------------------------------------------------ */

/* Two hybrids at two places, three plots each: 100 +- gap / 2 and the other way round; plots are off by s, -s and 0, so the
 * error mean square is 2 s^2 on 4 df, and a difference of two means counts from t(.05 / 2) sqrt(2 / 3 x 2) s on. */
static made_analysis two_by_two(double gap, double s)
{
  static const double off[3] = {1, -1, 0};
  made_plot plots[12];
  cks_settings settings = made_settings();
  size_t n = 0;
  for (size_t j = 0; j < 2; j++)
    for (size_t k = 0; k < 3; k++)
      for (size_t i = 0; i < 2; i++)
        plots[n++] = (made_plot){location_name[j], 2026,
                                 made_reps[k],     NULL,
                                 hybrid_name[i],   100 + (i == j ? gap : -gap) / 2 + (i ? -s : s) * off[k]};
  return made_analyze(made_trial(plots, n, CKS_ROLE_YIELD, NULL), &settings);
}

static void pair_when_just_apart_in_both_senses_then_it_changes_sides(void **state)
{
  (void)state;
  const double s = 2, least = cks_t_critical(.05 / 2, 4) * sqrt(2 * s * s * 2 / 3);
  made_analysis made = two_by_two(least * (1 + 1e-6), s);
  const cks_interaction *x = of(&made);
  assert_int_equal(x->verdict, CKS_VERDICT_CHANGES);
  assert_true(x->crossovers_tested);
  assert_int_equal(x->crossovers, 1);
  assert_int_equal(x->n_crossover, 1);
  assert_string_equal(made.results->hybrid[x->crossover[0].a].name, "H01");
  assert_string_equal(made.results->hybrid[x->crossover[0].b].name, "H02");
  assert_int_equal(x->crossover[0].above_at, 0);
  assert_int_equal(x->crossover[0].below_at, 1);
  assert_close(x->crossover[0].above, least * (1 + 1e-6), 1e-9);
  assert_close(x->crossover[0].below, -least * (1 + 1e-6), 1e-9);
  assert_non_null(strstr(x->basis, "pairs that change sides, each test at 0.025: 1"));
  made_analysis_release(&made);
  made = two_by_two(least * (1 - 1e-6), s);
  x = of(&made);
  assert_true(x->p <= .05 && x->crossovers_tested);
  assert_int_equal(x->crossovers, 0);
  assert_int_equal(x->verdict, CKS_VERDICT_CANNOT_TELL);
  made_analysis_release(&made);
  made = two_by_two(.1, s);
  assert_true(of(&made)->p > .05);
  assert_false(of(&made)->crossovers_tested); /* the interaction is not significant */
  assert_int_equal(of(&made)->verdict, CKS_VERDICT_CANNOT_TELL);
  made_analysis_release(&made);
}

/* Ten hybrids up at one place and down at the other, more apart the farther they stand in the list. */
static void pairs_when_several_change_sides_then_the_surest_come_first(void **state)
{
  (void)state;
  grid t = {.g = 10, .e = 2, .r = 4, .scatter = .5};
  for (size_t i = 0; i < t.g; i++) t.x[i][0] = 90 + 6 * (double)i, t.x[i][1] = 150 - 6 * (double)i;
  made_analysis made = analyze(&t);
  const cks_interaction *x = of(&made);
  assert_int_equal(x->verdict, CKS_VERDICT_CHANGES);
  assert_int_equal(x->crossovers, 45);
  assert_int_equal(x->n_crossover, 45);
  for (size_t k = 1; k < x->n_crossover; k++) {
    const cks_crossover *a = &x->crossover[k - 1], *b = &x->crossover[k];
    assert_true(fmin(fabs(a->above), fabs(a->below)) >= fmin(fabs(b->above), fabs(b->below)) - 1e-9);
    assert_true(b->above > 0 && b->below < 0 && b->above_at != b->below_at);
  }
  made_analysis_release(&made);
  t.g = 20;
  for (size_t i = 0; i < t.g; i++) t.x[i][0] = 90 + 6 * (double)i, t.x[i][1] = 150 - 6 * (double)i;
  made = analyze(&t);
  assert_int_equal(of(&made)->crossovers, 190); /* all are counted, 100 are listed */
  assert_int_equal(of(&made)->n_crossover, 100);
  for (size_t k = 1; k < 100; k++) {
    const cks_crossover *a = &of(&made)->crossover[k - 1], *b = &of(&made)->crossover[k];
    assert_true(fmin(fabs(a->above), fabs(a->below)) >= fmin(fabs(b->above), fabs(b->below)) - 1e-9);
  }
  made_analysis_release(&made);
}

/* ---- the verdict ------------------------------------------------------------------------------------------------ */

static grid without_interaction(size_t r)
{
  grid t = {.g = 10, .e = 6, .r = r, .scatter = 1};
  for (size_t i = 0; i < t.g; i++)
    for (size_t j = 0; j < t.e; j++) t.x[i][j] = 90 + 6 * (double)i + 5 * (double)j;
  return t;
}

static void verdict_when_hybrids_differ_and_nothing_else_then_one_ranking(void **state)
{
  (void)state;
  grid t = without_interaction(3);
  made_analysis made = analyze(&t);
  const cks_interaction *x = of(&made);
  assert_int_equal(x->verdict, CKS_VERDICT_ONE_RANKING);
  assert_true(x->excess_upper < 0 && x->component_upper < x->hybrid_component / 2);
  assert_string_equal(x->components_why, "");
  assert_non_null(strstr(x->basis, "to be below 0 for one ranking"));
  made_analysis_release(&made);
}

/* No plot error, at all places or at one: nothing is tested, however plain the table looks. */
static void verdict_when_a_place_has_one_plot_of_each_then_cannot_tell(void **state)
{
  (void)state;
  grid one = without_interaction(1), some = without_interaction(3), crossing = one;
  some.single[2] = true;
  for (size_t i = 0; i < crossing.g; i++) crossing.x[i][0] = 400 - 30 * (double)i;
  const grid *tables[] = {&one, &some, &crossing};
  static const char *const basis[] = {
      "one plot of each hybrid at each place: whether the order changes was not tested",
      "one plot of each hybrid at L03 2026: whether the order changes was not tested",
      "one plot of each hybrid at each place: whether the order changes was not tested"};
  for (size_t k = 0; k < LEN(tables); k++) {
    made_analysis made = analyze(tables[k]);
    const cks_interaction *x = of(&made);
    assert_int_equal(x->verdict, CKS_VERDICT_CANNOT_TELL);
    assert_string_equal(x->basis, basis[k]);
    assert_true(isnan(x->f) && isnan(x->p) && isnan(x->cell_variance) && isnan(x->component) && isnan(x->excess_upper));
    assert_false(x->crossovers_tested);
    assert_int_equal(x->crossovers, 0);
    for (size_t a = 0; a < x->n_axis; a++) assert_true(isnan(x->axis[a].f) && isnan(x->axis[a].p));
    assert_false(isnan(x->ss) || isnan(x->slopes_f));
    made_analysis_release(&made);
  }
}

/* Six environments of two years: crossed, and each at a location of its own. */
static void components_when_years_are_not_crossed_with_locations_then_not_worked_out(void **state)
{
  (void)state;
  grid t = without_interaction(3);
  for (size_t j = 0; j < t.e; j++) t.year[j] = 2025 + (int)(j % 2), t.location[j] = j / 2;
  made_analysis made = analyze(&t);
  assert_string_equal(of(&made)->components_why, "");
  assert_int_equal(of(&made)->component_environments, 6);
  assert_int_equal(of(&made)->verdict, CKS_VERDICT_ONE_RANKING);
  made_analysis_release(&made);
  for (size_t j = 0; j < t.e; j++) t.location[j] = j;
  made = analyze(&t);
  const cks_interaction *x = of(&made);
  assert_string_equal(x->components_why, "locations and years are not crossed");
  assert_non_null(strstr(x->basis, "was not worked out: locations and years are not crossed"));
  assert_int_equal(x->component_environments, 0);
  assert_true(isnan(x->component) && isnan(x->component_upper) && isnan(x->hybrid_component) && isnan(x->excess_upper));
  assert_true(!isnan(x->f));
  assert_int_equal(x->verdict, CKS_VERDICT_CANNOT_TELL);
  made_analysis_release(&made);
}

/* Three locations in both years, a fourth in one: the six that are crossed. */
static void components_when_some_are_crossed_then_from_these(void **state)
{
  (void)state;
  grid t = without_interaction(3);
  t.e = 7;
  for (size_t i = 0; i < t.g; i++) t.x[i][6] = 130 + 6 * (double)i;
  for (size_t j = 0; j < 6; j++) t.year[j] = 2025 + (int)(j % 2), t.location[j] = j / 2;
  t.year[6] = 2025;
  t.location[6] = 3;
  made_analysis made = analyze(&t);
  assert_int_equal(of(&made)->component_environments, 6);
  assert_string_equal(of(&made)->components_why, "");
  assert_int_equal(of(&made)->verdict, CKS_VERDICT_ONE_RANKING);
  made_analysis_release(&made);
}

/* Each place with an error of its own: F over their mean, with the df of a sum (Satterthwaite 1946). */
static void error_when_each_place_has_its_own_then_df_are_those_of_the_sum(void **state)
{
  (void)state;
  grid t = drawn(5, 4, 3, SEED);
  cks_settings settings = made_settings();
  settings.error_by_location = true;
  made_analysis made = analyze_with(&t, &settings);
  const cks_interaction *x = of(&made);
  double all = 0, squares = 0, of_squares = 0;
  for (size_t j = 0; j < 4; j++) {
    const cks_analysis *here = &made.results->trait[0].location[j];
    double v = here->error_ms / 3;
    all += v / 4;
    of_squares += v * v / 4;
    squares += v * v / 16 / here->error_df;
  }
  assert_close(x->cell_variance, all, 1e-9);
  assert_close(x->den_df, all * all / squares, 1e-9);
  assert_close(x->num_df, 12 * all * all / of_squares, 1e-9);
  assert_close(x->f, x->ss / 12 / all, 1e-9);
  made_analysis_release(&made);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(tables_when_complete_then_the_parts_add_up),
      cmocka_unit_test(table_when_of_equal_reps_then_components_are_differences_of_mean_squares),
      cmocka_unit_test(table_when_shifted_or_scaled_then_what_should_stay_stays),
      cmocka_unit_test(table_when_incomplete_then_environments_by_least_squares_and_lines_of_four_cells_or_more),
      cmocka_unit_test(complete_part_when_others_are_left_out_then_its_figures_are_those_of_it_alone),
      cmocka_unit_test(complete_part_when_a_larger_one_has_two_hybrids_then_three_and_more_come_first),
      cmocka_unit_test(complete_part_when_the_table_is_large_then_it_has_no_empty_cell),
      cmocka_unit_test(complete_part_when_there_is_none_of_two_by_two_then_nothing_is_made_of_it),
      cmocka_unit_test(hybrids_when_no_environment_joins_them_then_nothing),
      cmocka_unit_test(table_when_no_df_are_left_then_nothing_is_tested),
      cmocka_unit_test(environments_when_two_then_no_line_and_no_test_of_slopes),
      cmocka_unit_test(hybrids_when_two_then_no_stability_variance),
      cmocka_unit_test(table_when_there_is_none_then_a_sentence_and_no_figure),
      cmocka_unit_test(table_when_without_interaction_then_slopes_of_one_and_nothing_is_tested),
      cmocka_unit_test(environments_when_of_one_mean_then_no_slope),
      cmocka_unit_test(hybrid_or_environment_when_without_a_value_then_it_is_not_there),
      cmocka_unit_test(trait_when_no_end_is_good_then_no_superiority_and_no_winner),
      cmocka_unit_test(trait_when_the_low_end_is_good_then_superiority_is_that_of_the_mirrored),
      cmocka_unit_test(trait_when_tested_on_another_scale_then_the_table_is_on_it),
      cmocka_unit_test(ranks_when_some_are_equal_then_they_share_one),
      cmocka_unit_test(best_when_looked_for_then_named_with_its_lead),
      cmocka_unit_test(pair_when_just_apart_in_both_senses_then_it_changes_sides),
      cmocka_unit_test(pairs_when_several_change_sides_then_the_surest_come_first),
      cmocka_unit_test(verdict_when_hybrids_differ_and_nothing_else_then_one_ranking),
      cmocka_unit_test(verdict_when_a_place_has_one_plot_of_each_then_cannot_tell),
      cmocka_unit_test(components_when_years_are_not_crossed_with_locations_then_not_worked_out),
      cmocka_unit_test(components_when_some_are_crossed_then_from_these),
      cmocka_unit_test(error_when_each_place_has_its_own_then_df_are_those_of_the_sum),
  };
  return cmocka_run_group_tests(tests, begin, NULL);
}
