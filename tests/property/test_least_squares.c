/*
 * test_least_squares.c: the figures of generated trials against dense least squares done here by another road: all rep
 * and hybrid columns, normal equations, Gauss-Jordan; and the sums of squares of balanced series from the textbook's
 * means.
 *
 * Agreement to 1e-8 relative; sums of squares of a balanced table add up to the total to 1e-10.
 */
#include "property/made.h"

#include <gsl/gsl_cdf.h>

enum { N_SETS = 50, MOST = 24, MOST_PARAMETERS = 2 * MOST };
static const double AGREE = 1e-8, CLOSED = 1e-10;

/* ---- least squares ---------------------------------------------------------------------------------------------- */

typedef struct {
  int n, n_rep, n_hybrid, hybrid[MOST]; /* hybrid: the made trial's numbers of those present, ascending */
  double grand, total_ss, rep_ss, hybrid_ss, error_ss, error_df, mse;
  double mean[MOST], raw[MOST], plots[MOST], variance[MOST][MOST]; /* variance of a difference of two adjusted means */
} fit;

/* a (n x n) becomes its inverse, b its solution; false when a pivot is nothing. */
static bool gauss_jordan(double a[MOST_PARAMETERS][MOST_PARAMETERS], double *b, int n)
{
  static double whole[MOST_PARAMETERS][2 * MOST_PARAMETERS + 1];
  for (int i = 0; i < n; i++)
    for (int j = 0; j <= 2 * n; j++) whole[i][j] = j < n ? a[i][j] : j < 2 * n ? i == j - n : b[i];
  for (int k = 0; k < n; k++) {
    int pivot = k;
    for (int i = k; i < n; i++)
      if (fabs(whole[i][k]) > fabs(whole[pivot][k])) pivot = i;
    if (fabs(whole[pivot][k]) < 1e-9) return false;
    for (int j = 0; j <= 2 * n; j++) {
      double held = whole[k][j];
      whole[k][j] = whole[pivot][j];
      whole[pivot][j] = held;
    }
    double by = whole[k][k];
    for (int j = 0; j <= 2 * n; j++) whole[k][j] /= by;
    for (int i = 0; i < n; i++) {
      double times = whole[i][k];
      for (int j = 0; i != k && j <= 2 * n; j++) whole[i][j] -= times * whole[k][j];
    }
  }
  for (int i = 0; i < n; i++) {
    for (int j = 0; j < n; j++) a[i][j] = whole[i][n + j];
    b[i] = whole[i][2 * n];
  }
  return true;
}

typedef struct {
  int n, rep[MADE_MOST_PLOTS], hybrid[MADE_MOST_PLOTS]; /* dense */
  double y[MADE_MOST_PLOTS];
} plots;

/* The plots of a place and year with a value in trait k; also counts the hybrids and reps there. */
static void take_plots(const made_trial *m, int place, int year, int k, plots *p, fit *f)
{
  int dense[MOST], reps = 0;
  bool here[MOST] = {false};
  *f = (fit){0};
  p->n = 0;
  for (size_t i = 0; i < m->n; i++)
    if (m->plot[i].place == place && m->plot[i].year == year && !isnan(m->plot[i].value[k]))
      here[m->plot[i].hybrid] = true;
  for (int h = 0; h < m->n_hybrid; h++)
    if (here[h]) {
      dense[h] = f->n_hybrid;
      f->hybrid[f->n_hybrid++] = h;
    }
  for (size_t i = 0; i < m->n; i++) {
    const made_plot *at = &m->plot[i];
    if (at->place != place || at->year != year || isnan(at->value[k])) continue;
    p->rep[p->n] = m->rep ? at->rep : 0;
    p->hybrid[p->n] = dense[at->hybrid];
    p->y[p->n++] = at->value[k];
    reps = reps > at->rep + 1 ? reps : at->rep + 1;
  }
  f->n_rep = m->rep ? reps : 1;
  f->n = p->n;
}

static void sums(const plots *p, fit *f)
{
  double rep_sum[MOST] = {0}, rep_n[MOST] = {0};
  for (int i = 0; i < p->n; i++) f->grand += p->y[i] / p->n;
  for (int i = 0; i < p->n; i++) {
    double y = p->y[i] - f->grand;
    f->total_ss += y * y;
    rep_sum[p->rep[i]] += y;
    rep_n[p->rep[i]]++;
    f->raw[p->hybrid[i]] += p->y[i];
    f->plots[p->hybrid[i]]++;
  }
  for (int r = 0; r < f->n_rep; r++) f->rep_ss += rep_sum[r] * rep_sum[r] / rep_n[r];
  for (int h = 0; h < f->n_hybrid; h++) f->raw[h] /= f->plots[h];
}

/* y = rep + hybrid, the last hybrid 0; adjusted means weigh the reps alike. */
static void least_squares(const plots *p, fit *f)
{
  static double a[MOST_PARAMETERS][MOST_PARAMETERS];
  double b[MOST_PARAMETERS] = {0}, rep_mean = 0;
  int R = f->n_rep, g = f->n_hybrid, q = R + g - 1;
  memset(a, 0, sizeof a);
  sums(p, f);
  for (int i = 0; i < p->n; i++) {
    int column[2] = {p->rep[i], R + p->hybrid[i]}, n = column[1] < q ? 2 : 1;
    for (int u = 0; u < n; u++) {
      b[column[u]] += p->y[i] - f->grand;
      for (int v = 0; v < n; v++) a[column[u]][column[v]]++;
    }
  }
  assert_true(gauss_jordan(a, b, q));
  for (int i = 0; i < p->n; i++) {
    int h = R + p->hybrid[i];
    double residual = p->y[i] - f->grand - b[p->rep[i]] - (h < q ? b[h] : 0);
    f->error_ss += residual * residual;
  }
  f->hybrid_ss = f->total_ss - f->rep_ss - f->error_ss;
  f->error_df = p->n - q;
  f->mse = f->error_df > 0 ? f->error_ss / f->error_df : NAN;
  for (int r = 0; r < R; r++) rep_mean += b[r] / R;
  for (int i = 0; i < g; i++) {
    f->mean[i] = f->grand + rep_mean + (R + i < q ? b[R + i] : 0);
    for (int j = 0; j < g; j++) {
      double ii = R + i < q ? a[R + i][R + i] : 0, jj = R + j < q ? a[R + j][R + j] : 0,
             ij = R + i < q && R + j < q ? a[R + i][R + j] : 0;
      f->variance[i][j] = f->mse * (ii + jj - 2 * ij);
    }
  }
}

/* ---- comparison ------------------------------------------------------------------------------------------------- */

static json_t *find_place(json_t *trait, const char *place, int year)
{
  size_t i;
  json_t *at;
  json_array_foreach(test_json(trait, "locations"), i,
                     at) if (!strcmp(json_string_value(test_json(at, "location")), place) &&
                             test_json_number(at, "year") == year) return at;
  fail_msg("no analysis of %s in %d", place, year);
  return NULL;
}

static void assert_line(json_t *analysis, const char *source, double df, double ss)
{
  json_t *line = test_json_with(test_json(analysis, "anova"), "source", source);
  if (!line) fail_msg("no line '%s' in the table", source);
  assert_close(test_json_number(line, "df"), df, 0);
  assert_close(test_json_number(line, "ss"), ss, AGREE);
}

static double sed(const fit *f, int i, int j) { return sqrt(f->variance[i][j]); }

static void compare_seds(json_t *analysis, const fit *f)
{
  double sum = 0, least = INFINITY, most = 0,
         t = gsl_cdf_tdist_Pinv(1 - test_json_number(analysis, "alpha") / 2, f->error_df);
  for (int i = 0; i < f->n_hybrid; i++)
    for (int j = 0; j < i; j++) {
      sum += sed(f, i, j);
      least = fmin(least, sed(f, i, j));
      most = fmax(most, sed(f, i, j));
    }
  double mean = 2 * sum / (f->n_hybrid * (f->n_hybrid - 1)), lsd = test_json_number(analysis, "lsd");
  assert_close(test_json_number(analysis, "sed"), mean, AGREE);
  assert_close(test_json_number(analysis, "sed_min"), least, AGREE);
  assert_close(test_json_number(analysis, "sed_max"), most, AGREE);
  if (!isnan(lsd)) assert_close(lsd, t * mean, AGREE);
}

static bool share_letter(const char *a, const char *b)
{
  for (; *a; a++)
    if (strchr(b, *a)) return true;
  return false;
}

static json_t *line_of(json_t *analysis, int hybrid)
{
  char name[32];
  json_t *line = test_json_with(test_json(analysis, "hybrids"), "hybrid", made_name(name, hybrid, MADE_NAMED));
  if (!line) fail_msg("%s is not in the analysis", name);
  return line;
}

/* Letters and top group by each pair's own SED, where F is significant. */
static void compare_decisions(json_t *analysis, const fit *f)
{
  double t = gsl_cdf_tdist_Pinv(1 - test_json_number(analysis, "alpha") / 2, f->error_df);
  int best = 0;
  for (int i = 1; i < f->n_hybrid; i++)
    if (f->mean[i] > f->mean[best]) best = i;
  for (int i = 0; i < f->n_hybrid; i++) {
    json_t *a = line_of(analysis, f->hybrid[i]), *top = test_json(a, "top");
    const char *letters = json_string_value(test_json(a, "group"));
    if (json_is_boolean(top))
      assert_int_equal(json_is_true(top), i == best || f->mean[best] - f->mean[i] <= t * sed(f, best, i) * (1 + 1e-9));
    for (int j = 0; j < i && letters; j++) {
      const char *others = json_string_value(test_json(line_of(analysis, f->hybrid[j]), "group"));
      bool same = fabs(f->mean[i] - f->mean[j]) <= t * sed(f, i, j) * (1 + 1e-9);
      if (share_letter(letters, others) != same)
        fail_msg("%d '%s' and %d '%s' are %g apart, t x SED is %g", i, letters, j, others, f->mean[i] - f->mean[j],
                 t * sed(f, i, j));
    }
  }
}

static void compare_fit(json_t *analysis, const made_trial *m, const fit *f)
{
  double hybrid_df = f->n_hybrid - 1, F = f->hybrid_ss / hybrid_df / f->mse, mean = 0;
  assert_int_equal(json_array_size(test_json(analysis, "hybrids")), f->n_hybrid);
  if (m->rep) assert_line(analysis, "rep", f->n_rep - 1, f->rep_ss);
  assert_line(analysis, "hybrid", hybrid_df, f->hybrid_ss);
  assert_line(analysis, "error", f->error_df, f->error_ss);
  assert_line(analysis, "total", f->n - 1, f->total_ss);
  assert_close(test_json_number(analysis, "error_df"), f->error_df, 0);
  assert_close(test_json_number(analysis, "error_ms"), f->mse, AGREE);
  assert_close(test_json_number(analysis, "f"), F, AGREE);
  assert_close(test_json_number(analysis, "cv_pct"), 100 * sqrt(f->mse) / f->grand, AGREE);
  for (int i = 0; i < f->n_hybrid; i++) {
    json_t *line = line_of(analysis, f->hybrid[i]);
    assert_close(test_json_number(line, "mean"), f->mean[i], AGREE);
    assert_close(test_json_number(line, "raw_mean"), f->raw[i], AGREE);
    assert_close(test_json_number(line, "n"), f->plots[i], 0);
    mean += f->mean[i] / f->n_hybrid;
  }
  assert_close(test_json_number(analysis, "mean"), mean, AGREE);
  for (int i = 0; i < f->n_hybrid; i++)
    assert_close(test_json_number(line_of(analysis, f->hybrid[i]), "pct_of_mean"), 100 * f->mean[i] / mean, AGREE);
  compare_seds(analysis, f);
  if (test_json_number(analysis, "p") <= test_json_number(analysis, "alpha")) compare_decisions(analysis, f);
}

static void one_location_when_fitted_then_it_agrees_with_dense_least_squares(void **state)
{
  (void)state;
  made_trial *m = malloc(sizeof *m);
  plots *p = malloc(sizeof *p);
  fit *f = malloc(sizeof *f);
  for (uint64_t seed = 0; seed < N_SETS; seed++) {
    made_make(m, seed);
    if (m->kind == MADE_SINGLE) continue;
    test_run run = made_run(m, MADE_AS_IS);
    print_message("seed %d, kind %d\n", (int)seed, (int)m->kind);
    for (int k = 0; k < m->n_trait; k++)
      for (int e = 0; e < m->n_place * m->n_year; e++) {
        take_plots(m, e % m->n_place, e / m->n_place, k, p, f);
        least_squares(p, f);
        json_t *trait = json_array_get(test_json(run.json, "traits"), (size_t)k);
        compare_fit(find_place(trait, made_place(e % m->n_place), 2024 + e / m->n_place), m, f);
      }
    test_run_release(&run);
  }
  free(f);
  free(p);
  free(m);
}

/* ---- balanced series -------------------------------------------------------------------------------------------- */

/* Sum over the plots of squared deviations between the means of two groupings is what every textbook's table is made
 * of: SS of a grouping = sum of n (mean - grand mean)^2. group of a plot: bits choose place, year, rep, hybrid. */
enum { BY_PLACE = 1, BY_YEAR = 2, BY_REP = 4, BY_HYBRID = 8, GROUPS = 8 * 4 * 8 * MOST };

static double between_ss(const made_trial *m, int k, int by)
{
  static double sum[GROUPS], count[GROUPS];
  double grand = 0, ss = 0;
  memset(sum, 0, sizeof sum);
  memset(count, 0, sizeof count);
  for (size_t i = 0; i < m->n; i++) grand += m->plot[i].value[k] / (double)m->n;
  for (size_t i = 0; i < m->n; i++) {
    const made_plot *p = &m->plot[i];
    int group =
        (by & BY_PLACE ? p->place : 0) +
        8 * ((by & BY_YEAR ? p->year : 0) + 4 * ((by & BY_REP ? p->rep : 0) + 8 * (by & BY_HYBRID ? p->hybrid : 0)));
    sum[group] += p->value[k] - grand;
    count[group]++;
  }
  for (int g = 0; g < GROUPS; g++)
    if (count[g] > 0) ss += sum[g] * sum[g] / count[g];
  return ss;
}

static void assert_closes(json_t *analysis)
{
  size_t i;
  json_t *line;
  double sum = 0, df = 0;
  json_t *total = test_json_with(test_json(analysis, "anova"), "source", "total");
  assert_non_null(total);
  json_array_foreach(test_json(analysis, "anova"), i, line) if (line != total) sum += test_json_number(line, "ss"),
      df += test_json_number(line, "df");
  assert_close(sum, test_json_number(total, "ss"), CLOSED);
  assert_close(df, test_json_number(total, "df"), 0);
}

static void compare_series(const made_trial *m, json_t *across, int k)
{
  int g = m->n_hybrid, e = m->n_place, r = m->n_rep;
  double place = between_ss(m, k, BY_PLACE), rep = between_ss(m, k, BY_PLACE | BY_REP) - place,
         hybrid = between_ss(m, k, BY_HYBRID);
  double hl = between_ss(m, k, BY_PLACE | BY_HYBRID) - place - hybrid,
         total = between_ss(m, k, BY_PLACE | BY_REP | BY_HYBRID);
  double error = total - place - rep - hybrid - hl, hl_df = (g - 1) * (e - 1), error_df = (g - 1) * (r - 1) * e;
  bool fixed = m->fixed;
  double tester = fixed ? error / error_df : hl / hl_df, tester_df = fixed ? error_df : hl_df;
  assert_line(across, "location", e - 1, place);
  assert_line(across, "rep in location", e * (r - 1), rep);
  assert_line(across, "hybrid", g - 1, hybrid);
  assert_line(across, "hybrid x location", hl_df, hl);
  assert_line(across, "error", error_df, error);
  assert_line(across, "total", g * e * r - 1, total);
  assert_close(test_json_number(across, "f"), hybrid / (g - 1) / tester, AGREE);
  assert_close(test_json_number(across, "den_df"), tester_df, 0);
  assert_close(test_json_number(across, "sed"), sqrt(2 * tester / (e * r)), AGREE);
  assert_string_equal(json_string_value(test_json(across, "locations_as")), fixed ? "fixed" : "random");
  json_t *hl_line = test_json_with(test_json(across, "anova"), "source", "hybrid x location");
  assert_close(test_json_number(hl_line, "f"), hl / hl_df / (error / error_df), AGREE);
}

/* Hybrid over MS_HL + MS_HY - MS_HLY with Satterthwaite's df; where that is not above the larger of the two, whichever of
 * them and the sum is less sure (the sum needs one df). */
static void compare_years(const made_trial *m, json_t *across, int k)
{
  int g = m->n_hybrid, L = m->n_place, Y = m->n_year;
  double h = between_ss(m, k, BY_HYBRID), l = between_ss(m, k, BY_PLACE), y = between_ss(m, k, BY_YEAR),
         ly = between_ss(m, k, BY_PLACE | BY_YEAR);
  double hl = between_ss(m, k, BY_HYBRID | BY_PLACE) - h - l, hy = between_ss(m, k, BY_HYBRID | BY_YEAR) - h - y;
  double hly = between_ss(m, k, BY_HYBRID | BY_PLACE | BY_YEAR) - ly - h - hl - hy;
  double d[3] = {(g - 1) * (L - 1), (g - 1) * (Y - 1), (g - 1) * (L - 1) * (Y - 1)},
         ms[3] = {hl / d[0], hy / d[1], hly / d[2]};
  double tester = ms[0] + ms[1] - ms[2],
         df = tester * tester / (ms[0] * ms[0] / d[0] + ms[1] * ms[1] / d[1] + ms[2] * ms[2] / d[2]);
  int larger = ms[1] > ms[0];
  double sed_ms = tester, alpha = test_json_number(across, "alpha");
  if (tester <= ms[larger]) {
    bool sum = tester > 0 && df >= 1;
    double sum_t = sum ? gsl_cdf_tdist_Qinv(alpha / 2, df) : 0, single_t = gsl_cdf_tdist_Qinv(alpha / 2, d[larger]);
    if (!sum || sum_t * sqrt(tester) < single_t * sqrt(ms[larger])) sed_ms = ms[larger];
    if (!sum ||
        gsl_cdf_fdist_Q(h / (g - 1) / tester, g - 1, df) < gsl_cdf_fdist_Q(h / (g - 1) / ms[larger], g - 1, d[larger]))
      tester = ms[larger], df = d[larger];
  }
  assert_line(across, "hybrid x location", d[0], hl);
  assert_line(across, "hybrid x year", d[1], hy);
  assert_line(across, "hybrid x environment", d[2], hly);
  assert_close(test_json_number(across, "f"), h / (g - 1) / tester, AGREE);
  assert_close(test_json_number(across, "den_df"), df, AGREE);
  assert_close(test_json_number(across, "sed"), sqrt(2 * sed_ms / (L * Y * m->n_rep)), AGREE);
}

static void balanced_series_when_analyzed_then_the_table_is_the_textbooks(void **state)
{
  (void)state;
  made_trial *m = malloc(sizeof *m);
  for (uint64_t seed = 0; seed < N_SETS; seed++) {
    made_make(m, seed);
    if (m->kind != MADE_SERIES && m->kind != MADE_SERIES_FIXED && m->kind != MADE_YEARS) continue;
    print_message("seed %d, kind %d\n", (int)seed, (int)m->kind);
    test_run run = made_run(m, MADE_AS_IS);
    for (int k = 0; k < m->n_trait; k++) {
      json_t *across = test_json(json_array_get(test_json(run.json, "traits"), (size_t)k), "across");
      assert_closes(across);
      if (m->kind == MADE_YEARS)
        compare_years(m, across, k);
      else
        compare_series(m, across, k);
    }
    test_run_release(&run);
  }
  free(m);
}

static void sums_of_squares_when_added_then_they_close_on_the_total(void **state)
{
  (void)state;
  made_trial *m = malloc(sizeof *m);
  for (uint64_t seed = 0; seed < N_SETS; seed++) {
    size_t i, j;
    json_t *trait, *place;
    made_make(m, seed);
    if (m->kind == MADE_SINGLE) continue;
    test_run run = made_run(m, MADE_AS_IS);
    json_array_foreach(test_json(run.json, "traits"), i, trait)
        json_array_foreach(test_json(trait, "locations"), j, place) assert_closes(place);
    test_run_release(&run);
  }
  free(m);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(one_location_when_fitted_then_it_agrees_with_dense_least_squares),
      cmocka_unit_test(balanced_series_when_analyzed_then_the_table_is_the_textbooks),
      cmocka_unit_test(sums_of_squares_when_added_then_they_close_on_the_total),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
