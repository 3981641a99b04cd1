/*
 * test_designs.c: latin squares, and single plots with repeated checks: when a place is one, figures against a dense
 * solution of the same model done here, and what may not be said of them.
 */
#include "../../src/analyze/least_squares.h"
#include "support/make_trial.h"
#include "support/support.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MOST = 60, MOST_EFFECTS = 40, SEED = 19840227, SETS = 200 };

/* ---- made plots with positions ---------------------------------------------------------------------------------- */

typedef struct {
  size_t n;
  made_plot plot[MOST];
  int32_t row[MOST], column[MOST];
} field;

static void put(field *f, int row, int column, const char *rep, const char *block, const char *hybrid, double value)
{
  f->row[f->n] = row;
  f->column[f->n] = column;
  f->plot[f->n++] = (made_plot){"Here", 2026, rep, block, hybrid, value};
}

/* The analysis of the field, its positions handed on or kept back. */
static made_analysis analyze(const field *f, bool positions, const char *const *checks, const cks_settings *settings)
{
  static int32_t row[MOST], column[MOST];
  cks_settings usual = made_settings();
  cks_trial *trial = made_trial(f->plot, f->n, CKS_ROLE_YIELD, checks);
  for (size_t p = 0; p < f->n; p++) {
    row[p] = f->row[trial->line[p] - 2];
    column[p] = f->column[trial->line[p] - 2];
  }
  if (positions) {
    trial->row = row;
    trial->column = column;
  }
  made_analysis made = made_analyze(trial, settings ? settings : &usual);
  assert_int_equal(made.status, CKS_OK);
  return made;
}

static const cks_analysis *place_of(const made_analysis *made) { return &made->results->trait[0].location[0]; }

typedef enum { NO_REP, REP_IS_ROW, REP_IS_COLUMN, REP_IS_QUARTER } reps;

/* k x k: hybrid (row + column) mod k, or 2 x 2 blocks of a square of 4 each complete; any size of effects. */
static field square_of(size_t k, reps by, uint64_t seed)
{
  static const int quartered[4][4] = {{0, 1, 2, 3}, {2, 3, 0, 1}, {1, 0, 3, 2}, {3, 2, 1, 0}};
  field f = {0};
  test_random random = {seed};
  for (size_t r = 0; r < k; r++)
    for (size_t c = 0; c < k; c++) {
      size_t h = by == REP_IS_QUARTER ? (size_t)quartered[r][c] : (r + c) % k;
      const char *rep = by == NO_REP          ? NULL
                        : by == REP_IS_ROW    ? made_reps[r]
                        : by == REP_IS_COLUMN ? made_reps[c]
                                              : made_reps[2 * (r / 2) + c / 2];
      double value = 80 + 4.0 * (double)h + 3.0 * (double)r - 5.0 * (double)c + test_normal(&random);
      put(&f, (int)r + 11, (int)c * 2 + 1, rep, NULL, made_names[h], value);
    }
  return f;
}

/* ---- dense least squares: effects of blocks, the last hybrid's left out of none -------------------------------- */

typedef struct {
  size_t n, q, g;               /* plots, parameters, hybrids: the first g parameters are hybrid means */
  double x[MOST][MOST_EFFECTS]; /* other factors as effects that sum to 0 */
  double y[MOST], inverse[MOST_EFFECTS][MOST_EFFECTS], beta[MOST_EFFECTS], ss;
  bool solved;
} dense;

static void dense_factor(dense *d, const uint32_t *level, size_t n_level)
{
  for (size_t p = 0; p < d->n; p++)
    for (size_t k = 0; k + 1 < n_level; k++) d->x[p][d->q + k] = level[p] == n_level - 1 ? -1 : level[p] == k;
  d->q += n_level - 1;
}

static bool invert(double a[MOST_EFFECTS][MOST_EFFECTS], double out[MOST_EFFECTS][MOST_EFFECTS], size_t n)
{
  for (size_t i = 0; i < n; i++)
    for (size_t j = 0; j < n; j++) out[i][j] = i == j;
  for (size_t k = 0; k < n; k++) {
    size_t pivot = k;
    for (size_t i = k; i < n; i++)
      if (fabs(a[i][k]) > fabs(a[pivot][k])) pivot = i;
    if (fabs(a[pivot][k]) < 1e-9) return false;
    for (size_t j = 0; j < n; j++) {
      double held = a[k][j], other = out[k][j];
      a[k][j] = a[pivot][j], a[pivot][j] = held;
      out[k][j] = out[pivot][j], out[pivot][j] = other;
    }
    double by = a[k][k];
    for (size_t j = 0; j < n; j++) a[k][j] /= by, out[k][j] /= by;
    for (size_t i = 0; i < n; i++) {
      double times = a[i][k];
      for (size_t j = 0; i != k && j < n; j++) a[i][j] -= times * a[k][j], out[i][j] -= times * out[k][j];
    }
  }
  return true;
}

static void dense_solve(dense *d)
{
  static double normal[MOST_EFFECTS][MOST_EFFECTS];
  double right[MOST_EFFECTS] = {0};
  memset(normal, 0, sizeof normal);
  for (size_t p = 0; p < d->n; p++)
    for (size_t i = 0; i < d->q; i++) {
      right[i] += d->x[p][i] * d->y[p];
      for (size_t j = 0; j < d->q; j++) normal[i][j] += d->x[p][i] * d->x[p][j];
    }
  d->solved = invert(normal, d->inverse, d->q);
  for (size_t i = 0; i < d->q && d->solved; i++)
    for (size_t j = 0; j < d->q; j++) d->beta[i] += d->inverse[i][j] * right[j];
  for (size_t p = 0; p < d->n && d->solved; p++) {
    double left = d->y[p];
    for (size_t i = 0; i < d->q; i++) left -= d->x[p][i] * d->beta[i];
    d->ss += left * left;
  }
}

/* value = hybrid + row effect + column effect; factors with n_level 0 are not there. */
static dense dense_fit(size_t n, const double *y, const cks_layout *l, bool hybrids)
{
  static dense d;
  memset(&d, 0, sizeof d);
  d.n = n;
  d.g = d.q = hybrids ? l->n_hybrid : 1;
  for (size_t p = 0; p < n; p++) {
    d.y[p] = y[p];
    d.x[p][hybrids ? l->hybrid[p] : 0] = 1;
  }
  if (l->n_rep > 1) dense_factor(&d, l->rep, l->n_rep);
  if (l->n_column) dense_factor(&d, l->column, l->n_column);
  dense_solve(&d);
  return d;
}

static double pair_variance(const dense *d, size_t i, size_t j)
{
  return d->inverse[i][i] + d->inverse[j][j] - 2 * d->inverse[i][j];
}

static void compare_fit(const cks_layout *l, const double *y, const cks_fit *fit)
{
  dense d = dense_fit(l->n, y, l, true);
  assert_true(d.solved);
  assert_true(fabs(fit->ss_error - d.ss) < 1e-8 * fit->ss_total);
  for (size_t i = 0; i < l->n_hybrid; i++) {
    assert_close(fit->mean[i], d.beta[i], 1e-9);
    assert_close(fit->spread.own[fit->spread.class_of[i]], d.inverse[i][i], 1e-8);
    for (size_t j = 0; j < i; j++) assert_close(cks_spread_pair(&fit->spread, i, j), pair_variance(&d, i, j), 1e-8);
  }
  for (size_t p = 0; p < l->n; p++) {
    double leverage = 0;
    for (size_t i = 0; i < d.q; i++)
      for (size_t j = 0; j < d.q; j++) leverage += d.x[p][i] * d.inverse[i][j] * d.x[p][j];
    assert_close(fit->leverage[p], leverage, 1e-8);
  }
  double full = d.ss, square = dense_fit(l->n, y, l, false).ss;
  assert_true(fabs(fit->ss_hybrid - (square - full)) < 1e-8 * fit->ss_total);
  assert_close(fit->ss_rep + fit->ss_column + fit->ss_hybrid + fit->ss_error, fit->ss_total, 1e-10);
}

/* Any plots of a square, far beyond what is ever lost: connected where the dense system has a solution, and the same. */
static void fit_when_plots_of_a_square_are_lost_then_as_solved_dense(void **state)
{
  (void)state;
  test_random random = {SEED};
  size_t compared = 0, refused = 0;
  printf("seed %d\n", SEED);
  for (int set = 0; set < SETS; set++) {
    uint32_t k = 3 + (uint32_t)set % 4, hybrid[MOST], row[MOST], column[MOST], seen[3][6] = {{0}}, all = 1;
    double y[MOST], share = test_uniform(&random) * 0.5;
    size_t n = 0;
    for (uint32_t r = 0; r < k; r++)
      for (uint32_t c = 0; c < k; c++) {
        uint32_t h = (r + c) % k;
        if (test_uniform(&random) < share) continue;
        hybrid[n] = h, row[n] = r, column[n] = c;
        seen[0][h] = seen[1][r] = seen[2][c] = 1;
        y[n++] = 50 + 3.0 * h + 5.0 * r - 4.0 * c + test_normal(&random);
      }
    for (uint32_t i = 0; i < k; i++) all &= seen[0][i] & seen[1][i] & seen[2][i];
    if (!all) continue;
    cks_arena *arena = cks_arena_new();
    cks_layout l = {n, k, k, hybrid, row, k, column};
    cks_fit fit;
    assert_int_equal(cks_fit_two_way(&l, y, arena, &fit, NULL), CKS_OK);
    assert_int_equal(fit.connected, dense_fit(n, y, &l, true).solved);
    assert_int_equal(fit.balanced, n == (size_t)k * k);
    if (fit.connected) compare_fit(&l, y, &fit);
    *(fit.connected ? &compared : &refused) += 1;
    cks_arena_free(arena);
  }
  assert_true(compared > SETS / 3);
  assert_true(refused > 3);
}

/* ---- when a place is a latin square ----------------------------------------------------------------------------- */

static void expect_design(const field *f, const char *design, const char *note)
{
  made_analysis made = analyze(f, true, NULL, NULL);
  const cks_analysis *a = place_of(&made);
  assert_string_equal(a->design, design);
  if (note && !strstr(a->note, note)) fail_msg("\"%s\" is not in \"%s\"", note, a->note);
  if (!note) assert_string_equal(a->note, "");
  made_analysis_release(&made);
}

static void square_when_reps_are_none_rows_or_columns_then_latin(void **state)
{
  (void)state;
  for (size_t k = 3; k <= 6; k++)
    for (reps by = NO_REP; by <= REP_IS_COLUMN; by++) {
      field f = square_of(k, by, SEED + k);
      expect_design(&f, "latin square", NULL);
    }
}

static void square_when_reps_are_neither_then_their_blocks_and_it_says_so(void **state)
{
  (void)state;
  field f = square_of(4, REP_IS_QUARTER, SEED);
  expect_design(&f, "complete blocks", "make a latin square, but the reps or blocks are neither");
}

static void square_when_one_rep_for_all_or_blocks_are_rows_then_latin(void **state)
{
  (void)state;
  field f = square_of(4, NO_REP, SEED);
  for (size_t p = 0; p < f.n; p++) f.plot[p].rep = "1";
  expect_design(&f, "latin square", NULL);
  for (size_t p = 0; p < f.n; p++) f.plot[p].block = made_reps[f.row[p] - 11];
  expect_design(&f, "latin square", NULL);
}

static void swap_hybrids(field *f, size_t a, size_t b)
{
  const char *held = f->plot[a].hybrid;
  f->plot[a].hybrid = f->plot[b].hybrid;
  f->plot[b].hybrid = held;
}

/* Within a row every hybrid still stands once, within two columns not. */
static void square_when_two_cells_are_swapped_then_not_latin(void **state)
{
  (void)state;
  field f = square_of(4, NO_REP, SEED);
  swap_hybrids(&f, 5, 6);
  expect_design(&f, "completely randomized", "make no latin square");
  f = square_of(4, REP_IS_ROW, SEED);
  swap_hybrids(&f, 5, 6);
  expect_design(&f, "complete blocks", NULL);
  f = square_of(4, REP_IS_ROW, SEED);
  f.plot[5].hybrid = f.plot[4].hybrid; /* another hybrid sown by mistake: it stands twice in a row */
  expect_design(&f, "complete blocks, unequal replication", "adjusted for reps");
  f = square_of(4, NO_REP, SEED);
  f.row[3] = INT32_MIN; /* a plot without its row */
  expect_design(&f, "completely randomized", "make no latin square");
  f = square_of(4, NO_REP, SEED);
  f.column[3] = 99; /* and one with another's column */
  expect_design(&f, "completely randomized", "make no latin square");
}

/* Two hybrids leave no error in a square. */
static void square_when_two_hybrids_then_blocks(void **state)
{
  (void)state;
  field f = square_of(2, REP_IS_ROW, SEED);
  expect_design(&f, "complete blocks", NULL);
}

/* A field map of complete blocks: positions change nothing, to the bit. */
static void positions_when_no_square_then_the_same_to_the_bit(void **state)
{
  (void)state;
  field f = square_of(4, REP_IS_ROW, SEED);
  swap_hybrids(&f, 5, 6);
  f.n -= 3;
  made_analysis with = analyze(&f, true, NULL, NULL), without = analyze(&f, false, NULL, NULL);
  const cks_analysis *a = place_of(&with), *b = place_of(&without);
  assert_string_equal(a->design, b->design);
  assert_string_equal(a->note, b->note);
  assert_int_equal(a->n_anova, b->n_anova);
  for (size_t i = 0; i < a->n_anova; i++) assert_memory_equal(&a->anova[i].df, &b->anova[i].df, 3 * sizeof(double));
  for (size_t i = 0; i < a->n_hybrid; i++) {
    assert_memory_equal(&a->hybrid[i].mean, &b->hybrid[i].mean, sizeof(double));
    assert_memory_equal(&a->hybrid[i].se, &b->hybrid[i].se, sizeof(double));
  }
  assert_memory_equal(&a->sed, &b->sed, sizeof(double));
  made_analysis_release(&with);
  made_analysis_release(&without);
}

/* ---- lost plots of a square ------------------------------------------------------------------------------------- */

/* The formula of one lost plot in a square of t: [t (R + C + T) - 2 G] / [(t - 1)(t - 2)] makes the error SS of the least
 * squares fit (Yates 1933, Empire J. Exp. Agric. 1:129; Cochran & Cox 1957, section 4.37). */
static double filled(const field *f, size_t lost, size_t t)
{
  double r = 0, c = 0, h = 0, all = 0;
  for (size_t p = 0; p < f->n; p++) {
    if (p == lost) continue;
    double y = f->plot[p].value;
    all += y;
    r += f->row[p] == f->row[lost] ? y : 0;
    c += f->column[p] == f->column[lost] ? y : 0;
    h += f->plot[p].hybrid == f->plot[lost].hybrid ? y : 0;
  }
  double dt = (double)t;
  return (dt * (r + c + h) - 2 * all) / ((dt - 1) * (dt - 2));
}

static void square_when_a_plot_is_lost_then_least_squares_of_all_three(void **state)
{
  (void)state;
  for (int gone = 0; gone < 2; gone++) { /* an empty cell; a row of the list that is not there */
    field f = square_of(4, REP_IS_ROW, SEED), full = f;
    size_t lost = 6;
    full.plot[lost].value = filled(&f, lost, 4);
    f.plot[lost].value = NAN;
    for (size_t p = lost; gone && p + 1 < f.n; p++) {
      f.plot[p] = f.plot[p + 1];
      f.row[p] = f.row[p + 1];
      f.column[p] = f.column[p + 1];
    }
    f.n -= (size_t)gone;
    made_analysis made = analyze(&f, true, NULL, NULL), whole = analyze(&full, true, NULL, NULL);
    const cks_analysis *a = place_of(&made), *b = place_of(&whole);
    assert_string_equal(a->design, "latin square, plots lost");
    assert_non_null(strstr(a->note, "adjusted for rows and columns"));
    assert_int_equal(a->error_df, 5);
    assert_close(made_line(a, "error")->ss, made_line(b, "error")->ss, 1e-10);
    for (int i = 0; i < 4; i++)
      assert_close(made_row(&made, a, made_names[i])->mean, made_row(&whole, b, made_names[i])->mean, 1e-12);
    /* of the hybrid with the lost plot and another: MSE [2/t + 1/((t-1)(t-2))], the same sources */
    double ms = made_line(a, "error")->ms;
    assert_close(a->sed_max, sqrt(ms * (0.5 + 1.0 / 6)), 1e-10);
    assert_close(a->sed_min, sqrt(ms * 0.5), 1e-10);
    assert_false(a->equal_sed);
    double sum = 0;
    for (size_t i = 0; i + 1 < a->n_anova; i++) sum += a->anova[i].ss;
    assert_close(sum, made_line(a, "total")->ss, 1e-10);
    assert_true(isnan(made_line(a, "column")->f));
    made_analysis_release(&made);
    made_analysis_release(&whole);
  }
}

/* A trait noted in two rows leaves row + column + hybrid no error: two reps, and it is said. */
static void square_when_noted_in_two_rows_then_two_reps_and_it_says_so(void **state)
{
  (void)state;
  field f = square_of(4, REP_IS_ROW, SEED);
  for (size_t p = 8; p < 16; p++) f.plot[p].value = NAN;
  expect_design(&f, "complete blocks", "too few plots of a latin square");
  for (size_t p = 4; p < 8; p++) f.plot[p].value = NAN;
  expect_design(&f, "single plots", NULL);
}

/* ---- several squares -------------------------------------------------------------------------------------------- */

static double sum_of_lines(const cks_analysis *a)
{
  double sum = 0;
  for (size_t i = 0; i + 1 < a->n_anova; i++) sum += a->anova[i].ss;
  return sum;
}

/* Squares at two places, or a square and complete blocks: the table closes, in SS and df. */
static void series_when_places_are_squares_then_the_table_closes(void **state)
{
  (void)state;
  for (int mixed = 0; mixed < 2; mixed++) {
    field f = square_of(4, REP_IS_ROW, SEED), other = square_of(4, REP_IS_ROW, SEED + 1);
    if (mixed) swap_hybrids(&other, 5, 6);
    for (size_t p = 0; p < 16; p++) {
      put(&f, other.row[p], other.column[p], other.plot[p].rep, NULL, other.plot[p].hybrid, other.plot[p].value + 7);
      f.plot[f.n - 1].location = "There";
    }
    made_analysis made = analyze(&f, true, NULL, NULL);
    const cks_analysis *a = made.results->trait[0].across;
    assert_string_equal(a->design, "balanced series");
    assert_close(sum_of_lines(a), made_line(a, "total")->ss, 1e-10);
    double df = 0;
    for (size_t i = 0; i + 1 < a->n_anova; i++) df += a->anova[i].df;
    assert_close(df, 31, 1e-12);
    assert_close(made_line(a, "row in location")->df, mixed ? 3 : 6, 1e-12);
    assert_close(made_line(a, "column in location")->df, mixed ? 3 : 6, 1e-12);
    assert_close(made_line(a, "error")->df, mixed ? 15 : 12, 1e-12);
    if (mixed) assert_close(made_line(a, "rep in location")->df, 3, 1e-12);
    assert_true(isnan(made_line(a, "location")->f));
    made_analysis_release(&made);
  }
}

/* ---- single plots with repeated checks -------------------------------------------------------------------------- */

static const char *const two_checks[] = {"A", "B", NULL};
static const char *const entries[] = {"N1", "N2", "N3", "N4", "N5", "N6", "N7", "N8", "N9"};

/* n_check checks in each of n_block blocks (named when named), an entry or two beside them. */
static field checks_in(size_t n_check, size_t n_block, bool named, uint64_t seed)
{
  field f = {0};
  test_random random = {seed};
  size_t entry = 0;
  for (size_t b = 0; b < n_block; b++) {
    const char *block = named ? made_reps[b] : NULL;
    for (size_t c = 0; c < n_check; c++)
      put(&f, 0, 0, NULL, block, made_names[c], 80 + 5.0 * (double)c + 4.0 * (double)b + test_normal(&random));
    for (size_t k = 0; k < 1 + b % 2 && entry < 9; k++)
      put(&f, 0, 0, NULL, block, entries[entry++], 85 + 4.0 * (double)b + 3 * test_normal(&random));
  }
  return f;
}

static void expect_nothing_claimed(const made_analysis *made, const cks_analysis *a)
{
  assert_true(isnan(a->lsd));
  assert_true(isnan(a->f));
  assert_int_equal(a->n_top, 0);
  assert_false(a->found);
  assert_string_not_equal(a->why, "");
  for (size_t i = 0; i < a->n_hybrid; i++) {
    const cks_hybrid_result *row = &a->hybrid[i];
    assert_int_equal(row->rank, 0);
    assert_null(row->group);
    assert_int_equal(row->top, CKS_TOP_NOT_ASKED);
    for (size_t k = 0; k < made->results->n_check; k++) {
      assert_int_equal(row->vs_check[k].differs, CKS_DIFFERS_UNKNOWN);
      assert_true(isnan(row->vs_check[k].p));
    }
  }
}

static void expect_means_only(const field *f, const char *const *checks, const char *why)
{
  made_analysis made = analyze(f, false, checks, NULL);
  const cks_analysis *a = place_of(&made);
  assert_int_equal(a->method, CKS_METHOD_MEANS);
  assert_true(isnan(a->sed));
  if (!strstr(a->why, why)) fail_msg("\"%s\" is not in \"%s\"", why, a->why);
  expect_nothing_claimed(&made, a);
  made_analysis_release(&made);
}

/* One check, n plots: n - 1 df. */
static void checks_when_five_df_then_means_only_when_six_then_sed(void **state)
{
  (void)state;
  field f = checks_in(1, 6, false, SEED);
  expect_means_only(&f, two_checks, "leave 5 df for an error where 6 are asked for");
  put(&f, 0, 0, NULL, NULL, "A", 81.5);
  made_analysis made = analyze(&f, false, two_checks, NULL);
  const cks_analysis *a = place_of(&made);
  double mean = 0, ss = 0, plots = 0;
  for (size_t p = 0; p < f.n; p++)
    if (!strcmp(f.plot[p].hybrid, "A")) mean += f.plot[p].value, plots++;
  mean /= plots;
  for (size_t p = 0; p < f.n; p++)
    if (!strcmp(f.plot[p].hybrid, "A")) ss += pow(f.plot[p].value - mean, 2);
  assert_string_equal(a->design, "single plots with repeated checks");
  assert_int_equal(a->method, CKS_METHOD_ANOVA);
  assert_close(a->error_df, 6, 1e-12);
  assert_close(a->error_ms, ss / 6, 1e-10);
  assert_close(a->sed_max, sqrt(2 * ss / 6), 1e-10);
  assert_close(a->sed_min, sqrt(ss / 6 * (1 + 1.0 / 7)), 1e-10);
  assert_close(made_row(&made, a, "N1")->se, sqrt(ss / 6), 1e-10);
  assert_non_null(strstr(a->why, "the 7 check plots alone"));
  assert_non_null(strstr(a->note, "SED of two entries"));
  expect_nothing_claimed(&made, a);
  made_analysis_release(&made);
}

/* Pooled within two checks; a check with one plot brings no df. */
static void checks_when_without_blocks_then_the_pooled_variance_within(void **state)
{
  (void)state;
  field f = checks_in(2, 4, false, SEED);
  static const char *const checks[] = {"A", "B", "N1", NULL};
  for (int single = 0; single < 2; single++) {
    made_analysis made = analyze(&f, false, single ? checks : two_checks, NULL);
    const cks_analysis *a = place_of(&made);
    double ss = 0;
    for (int c = 0; c < 2; c++) {
      double mean = 0;
      for (size_t p = 0; p < f.n; p++) mean += strcmp(f.plot[p].hybrid, made_names[c]) ? 0 : f.plot[p].value / 4;
      for (size_t p = 0; p < f.n; p++)
        ss += strcmp(f.plot[p].hybrid, made_names[c]) ? 0 : pow(f.plot[p].value - mean, 2);
    }
    assert_close(a->error_df, 6, 1e-12);
    assert_close(made_line(a, "error")->ss, ss, 1e-10);
    assert_close(made_line(a, "check")->df, single ? 2 : 1, 1e-12);
    assert_close(sum_of_lines(a), made_line(a, "total")->ss, 1e-10);
    made_analysis_release(&made);
  }
}

/* Block + hybrid by least squares over all plots, dense; the error is check x block. */
static void checks_when_in_every_block_then_block_and_hybrid_by_least_squares(void **state)
{
  (void)state;
  static const char *const checks[] = {"A", "B", "C", NULL};
  field f = checks_in(3, 4, true, SEED);
  made_analysis made = analyze(&f, false, checks, NULL);
  const cks_analysis *a = place_of(&made);
  uint32_t hybrid[MOST], rep[MOST];
  double y[MOST];
  for (size_t p = 0; p < f.n; p++) {
    size_t h = 0;
    while (strcmp(made.results->hybrid[h].name, f.plot[p].hybrid)) h++;
    hybrid[p] = (uint32_t)h;
    rep[p] = (uint32_t)(f.plot[p].block[0] - '1');
    y[p] = f.plot[p].value;
  }
  cks_layout l = {f.n, made.results->n_hybrid, 4, hybrid, rep, 0, NULL};
  dense d = dense_fit(f.n, y, &l, true);
  assert_true(d.solved);
  assert_string_equal(a->design, "single plots with repeated checks, in blocks");
  assert_close(a->error_df, 6, 1e-12); /* (3 - 1)(4 - 1) */
  assert_close(a->error_ms, d.ss / 6, 1e-9);
  double smallest = INFINITY, largest = 0, sum = 0;
  for (size_t i = 0; i < l.n_hybrid; i++) {
    assert_close(made_row(&made, a, made.results->hybrid[i].name)->mean, d.beta[i], 1e-10);
    assert_close(made_row(&made, a, made.results->hybrid[i].name)->se, sqrt(d.ss / 6 * d.inverse[i][i]), 1e-9);
    for (size_t j = 0; j < i; j++) {
      double sed = sqrt(d.ss / 6 * pair_variance(&d, i, j));
      smallest = fmin(smallest, sed), largest = fmax(largest, sed), sum += sed;
    }
  }
  assert_close(a->sed_min, smallest, 1e-9);
  assert_close(a->sed_max, largest, 1e-9);
  assert_close(a->sed, sum / ((double)l.n_hybrid * ((double)l.n_hybrid - 1) / 2), 1e-9);
  assert_close(sum_of_lines(a), made_line(a, "total")->ss, 1e-10);
  assert_close(made_line(a, "total")->df, 11, 1e-12); /* of the check plots */
  expect_nothing_claimed(&made, a);
  made_analysis_release(&made);
}

/* Two checks in four blocks leave 3 df, and their plots share blocks: the 6 df within checks would be too many. */
static void checks_when_few_df_by_blocks_then_not_pooled_instead(void **state)
{
  (void)state;
  field f = checks_in(2, 4, true, SEED);
  expect_means_only(&f, two_checks, "leave 3 df");
}

/* One check once a block leaves block + hybrid no error; its spread from block to block holds all of it. */
static void checks_when_one_a_block_then_its_plain_spread(void **state)
{
  (void)state;
  field f = checks_in(1, 6, true, SEED);
  put(&f, 0, 0, NULL, "7", "A", 90);
  made_analysis made = analyze(&f, false, two_checks, NULL);
  const cks_analysis *a = place_of(&made);
  assert_string_equal(a->design, "single plots with repeated checks");
  assert_close(a->error_df, 6, 1e-12);
  assert_close(made_row(&made, a, "N1")->mean, made_row(&made, a, "N1")->raw_mean, 1e-15);
  made_analysis_release(&made);
}

/* A block without a check that stands elsewhere cannot be joined to the others. */
static void checks_when_a_block_has_none_then_means_only(void **state)
{
  (void)state;
  static const char *const checks[] = {"A", "B", "C", NULL};
  field f = checks_in(3, 4, true, SEED);
  put(&f, 0, 0, NULL, "9", "N8", 88);
  expect_means_only(&f, checks, "no checks that tie all blocks together");
}

static void checks_when_some_plots_have_no_block_then_means_only(void **state)
{
  (void)state;
  static const char *const checks[] = {"A", "B", "C", NULL};
  field f = checks_in(3, 4, true, SEED);
  f.plot[0].block = NULL;
  expect_means_only(&f, checks, "some plots have a rep or block and some have none");
}

static void checks_when_not_marked_or_not_repeated_then_means_only(void **state)
{
  (void)state;
  static const char *const none[] = {NULL};
  field f = checks_in(2, 4, false, SEED);
  expect_means_only(&f, none, "half of the hybrids or more");
  f = checks_in(1, 1, false, SEED);
  expect_means_only(&f, two_checks, "one plot a hybrid");
}

/* At two places every entry has two plots, but none repeated at a place: no error but the checks', so no ranking either,
 * also of fixed places; beside complete blocks that have one, fixed places may be averaged. */
static void series_when_only_checks_repeat_then_refused_in_words(void **state)
{
  (void)state;
  static const char *const all[] = {"A", "B", "N1", "N2", "N3", "N4", "N5", "N6"};
  for (int blocks = 0; blocks < 2; blocks++) {
    field f = checks_in(2, 4, false, SEED), other = f;
    for (size_t p = 0; p < (blocks ? 16 : other.n); p++) {
      const char *hybrid = blocks ? all[p / 2] : other.plot[p].hybrid;
      put(&f, 0, 0, blocks ? made_reps[p % 2] : NULL, NULL, hybrid, 84 + (double)(p * p % 7));
      f.plot[f.n - 1].location = "There";
    }
    cks_settings settings = made_settings();
    settings.locations_fixed = true;
    made_analysis made = analyze(&f, false, two_checks, &settings);
    const cks_analysis *a = made.results->trait[0].across;
    if (blocks) {
      assert_int_equal(a->method, CKS_METHOD_ANOVA);
      assert_non_null(strstr(a->note, "is that of its check plots alone"));
    } else {
      assert_int_equal(a->method, CKS_METHOD_NONE);
      assert_non_null(strstr(a->why, "only checks in several"));
      assert_non_null(strstr(a->why, "without --locations fixed"));
    }
    made_analysis_release(&made);
  }
}

/* Protection and other comparisons have nothing to say either. */
static void checks_when_unprotected_tukey_or_best_then_still_nothing_claimed(void **state)
{
  (void)state;
  field f = checks_in(2, 4, false, SEED);
  for (cks_comparison comparison = CKS_COMPARE_LSD; comparison <= CKS_COMPARE_BONFERRONI; comparison++) {
    cks_settings settings = made_settings();
    settings.unprotected = settings.top_best = true;
    settings.comparison = comparison;
    made_analysis made = analyze(&f, false, two_checks, &settings);
    assert_int_equal(place_of(&made)->method, CKS_METHOD_ANOVA);
    expect_nothing_claimed(&made, place_of(&made));
    made_analysis_release(&made);
  }
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(fit_when_plots_of_a_square_are_lost_then_as_solved_dense),
      cmocka_unit_test(square_when_reps_are_none_rows_or_columns_then_latin),
      cmocka_unit_test(square_when_reps_are_neither_then_their_blocks_and_it_says_so),
      cmocka_unit_test(square_when_one_rep_for_all_or_blocks_are_rows_then_latin),
      cmocka_unit_test(square_when_two_cells_are_swapped_then_not_latin),
      cmocka_unit_test(square_when_two_hybrids_then_blocks),
      cmocka_unit_test(positions_when_no_square_then_the_same_to_the_bit),
      cmocka_unit_test(square_when_a_plot_is_lost_then_least_squares_of_all_three),
      cmocka_unit_test(square_when_noted_in_two_rows_then_two_reps_and_it_says_so),
      cmocka_unit_test(series_when_places_are_squares_then_the_table_closes),
      cmocka_unit_test(checks_when_five_df_then_means_only_when_six_then_sed),
      cmocka_unit_test(checks_when_without_blocks_then_the_pooled_variance_within),
      cmocka_unit_test(checks_when_in_every_block_then_block_and_hybrid_by_least_squares),
      cmocka_unit_test(checks_when_few_df_by_blocks_then_not_pooled_instead),
      cmocka_unit_test(checks_when_one_a_block_then_its_plain_spread),
      cmocka_unit_test(checks_when_a_block_has_none_then_means_only),
      cmocka_unit_test(checks_when_some_plots_have_no_block_then_means_only),
      cmocka_unit_test(checks_when_not_marked_or_not_repeated_then_means_only),
      cmocka_unit_test(series_when_only_checks_repeat_then_refused_in_words),
      cmocka_unit_test(checks_when_unprotected_tukey_or_best_then_still_nothing_claimed),
  };
  return cmocka_run_group_tests(tests, test_start, NULL);
}
