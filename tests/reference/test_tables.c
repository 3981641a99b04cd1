/* test_tables.c: the distributions of src/math/largest.c against computed and printed tables; sources: tables/SOURCE.md. */
#include "support/support.h"

#include "../../src/math/largest.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define FOLDER "tests/reference/tables/"
static const double TO_QUANTILE = 1e-8, TO_PROBABILITY = 1e-9; /* the promise is 1e-6 and 1e-8 */

enum { EACH = 11 }; /* of the computed quantiles one in so many; all with CKS_TEST_LONG set (make test-long) */

typedef struct {
  char what[16], printed[16];
  size_t k;
  double df, alpha;
} entry;

/* The profile of a line, made anew only when what or k changes. */
typedef struct {
  char what[16];
  size_t k;
  cks_profile profile;
} held;

static const cks_profile *profile_of(held *h, const char *what, size_t k)
{
  if (h->k == k && !strcmp(h->what, what)) return &h->profile;
  snprintf(h->what, sizeof h->what, "%s", what);
  h->k = k;
  cks_dunnett_class equal = {k, M_SQRT1_2};
  cks_status status = !strcmp(what, "range")
                          ? cks_profile_range(&h->profile, k, NULL)
                          : cks_profile_dunnett(&h->profile, 1, &equal, !strcmp(what, "dunnett-two"), NULL);
  assert_int_equal(status, CKS_OK);
  return &h->profile;
}

/* The next line of a table of entries; false at the end. */
static bool next_line(const char **at, entry *e)
{
  char df[16];
  *at += strcspn(*at, "\n");
  *at += **at == '\n';
  if (sscanf(*at, "%15[^,],%zu,%15[^,],%lf,%15[^,\n]", e->what, &e->k, df, &e->alpha, e->printed) != 5) return false;
  e->df = strcmp(df, "inf") != 0 ? strtod(df, NULL) : INFINITY;
  return true;
}

static void quantiles_when_computed_elsewhere_then_to_8_digits(void **state)
{
  (void)state;
  char *text = test_read_file(FOLDER "quantiles.csv");
  held h = {.k = 0};
  entry e;
  size_t n = 0, wrong = 0;
  double worst = 0;
  for (const char *at = text; next_line(&at, &e); n++) {
    if (n % EACH && !getenv("CKS_TEST_LONG")) continue;
    const cks_profile *profile = profile_of(&h, e.what, e.k);
    double q = cks_profile_quantile(profile, e.alpha, e.df), expected = strtod(e.printed, NULL);
    double off = fabs(q - expected) / expected, p = cks_profile_upper(profile, expected, e.df);
    worst = fmax(worst, off);
    if (off <= TO_QUANTILE && fabs(p - e.alpha) <= TO_PROBABILITY) continue;
    if (wrong++ < 10)
      print_message("%s k %zu df %g at %g: %.12g, expected %.12g; its p %.12g\n", e.what, e.k, e.df, e.alpha, q,
                    expected, p);
  }
  printf("%zu quantiles, worst relative difference %.1e\n", n, worst);
  assert_true(n > 4000);
  assert_int_equal(wrong, 0);
  free(text);
}

static void tails_when_computed_elsewhere_then_to_9_digits(void **state)
{
  (void)state;
  char *text = test_read_file(FOLDER "tails.csv");
  held h = {.k = 0};
  size_t n = 0, k;
  double df, q, upper, worst = 0;
  for (const char *at = strchr(text, '\n') + 1; sscanf(at, "%zu,%lf,%lf,%lf", &k, &df, &q, &upper) == 4; n++) {
    worst = fmax(worst, fabs(cks_profile_upper(profile_of(&h, "range", k), q, df) - upper));
    at += strcspn(at, "\n");
    at += *at == '\n';
  }
  printf("%zu tails, worst difference %.1e\n", n, worst);
  assert_true(n > 300 && worst < TO_PROBABILITY);
  free(text);
}

static void tables_when_printed_then_within_a_unit_of_the_last_digit(void **state)
{
  (void)state;
  char *text = test_read_file(FOLDER "printed.csv");
  held h = {.k = 0};
  entry e;
  size_t n = 0, exact = 0;
  for (const char *at = text; next_line(&at, &e); n++) {
    const char *point = strchr(e.printed, '.');
    double unit = pow(10, point ? -(double)strlen(point + 1) : 0), printed = strtod(e.printed, NULL);
    double off = fabs(cks_profile_quantile(profile_of(&h, e.what, e.k), e.alpha, e.df) - printed) / unit;
    exact += off <= 0.5 + 1e-9;
    if (off > 1.5)
      fail_msg("%s k %zu df %g at %g: printed %s, off by %.2f units", e.what, e.k, e.df, e.alpha, e.printed, off);
  }
  printf("%zu printed figures, %zu to the last digit\n", n, exact);
  assert_true(n > 400 && exact * 100 > n * 90);
  free(text);
}

/* ---- the whole range, against another quadrature ---------------------------------------------------------------- */

/* The trapezoidal rule in z and in log s, each divided by the sum of its weights: no profile, no panels, no constants.
 * Its error falls off exponentially for functions as smooth as these (Trefethen & Weideman 2014, SIAM Rev. 56:385). */
enum { MOST_Z = 200 };
typedef struct {
  size_t k, n; /* n: points z */
  bool range, two_sided;
  double z[MOST_Z], weight[MOST_Z]; /* weights sum to 1 */
} apart;

static double phi(double z) { return 0.5 * erfc(-z * M_SQRT1_2); }

static void apart_begin(apart *a, const char *what, size_t k)
{
  double sum = 0;
  *a = (apart){.k = k, .range = !strcmp(what, "range"), .two_sided = !strcmp(what, "dunnett-two")};
  for (double z = -8.5; z <= 8.5; z += 0.1, a->n++) {
    a->z[a->n] = z;
    sum += a->weight[a->n] = exp(-z * z / 2);
  }
  for (size_t i = 0; i < a->n; i++) a->weight[i] /= sum;
}

/* 1 - H(u). Range: one of the k means is the largest, at z, and the others lie less than u below it. Dunnett: given the
 * check's part z, each other mean is within z +- u sqrt(2), or below z + u sqrt(2). */
static double apart_beyond(const apart *a, double u)
{
  double h = 0, k = (double)a->k;
  for (size_t i = 0; i < a->n; i++) {
    double z = a->z[i];
    if (a->range)
      h += a->weight[i] * k * pow(phi(z) - phi(z - u), k - 1);
    else
      h += a->weight[i] * pow(phi(z + u * M_SQRT2) - (a->two_sided ? phi(z - u * M_SQRT2) : 0), k);
  }
  return 1 - h;
}

static double apart_upper(const apart *a, double q, double df)
{
  if (isinf(df)) return apart_beyond(a, q);
  double sum = 0, weights = 0, step = fmin(0.3 / sqrt(2 * df), 0.05);
  for (int side = -1; side <= 1; side += 2) /* from the mode of s^df exp(-df s^2 / 2), s = 1, down and then up */
    for (size_t i = side < 0;; i++) {
      double w = side * (double)i * step, weight = exp(df * (w - expm1(2 * w) / 2));
      if (weight < 1e-14) break;
      weights += weight;
      sum += weight * apart_beyond(a, q * exp(w));
    }
  return sum / weights;
}

/* 1e-8 in probability, 1e-6 relative in quantile, for 2 to 200 means and 1 to infinite df. */
static void quantiles_when_2_to_200_means_then_as_another_quadrature_has_them(void **state)
{
  (void)state;
  static const char *const whats[] = {"range", "dunnett-two", "dunnett-one"};
  static const size_t means[] = {2, 29, 101, 200, 3, 7, 14, 60, 150};
  static const double dfs[] = {1, 5.0771, 84, INFINITY, 1.3, 2.5, 12, 27, 1234.5, 1e6};
  static const double alphas[] = {0.05, 0.20, 0.01, 0.10};
  enum { N_MEANS = sizeof means / sizeof *means, N_DF = sizeof dfs / sizeof *dfs };
  bool every = getenv("CKS_TEST_LONG") != NULL;
  double worst = 0, worst_q = 0;
  for (size_t i = 0; i < 3 * N_MEANS; i++) {
    const char *what = whats[i % 3];
    size_t k = means[i / 3] - (i % 3 > 0); /* Dunnett's k leaves out the check */
    if (!every && i / 3 >= 4) break;
    held h = {.k = 0};
    apart other;
    apart_begin(&other, what, k);
    for (size_t j = 0; j < (every ? N_DF : 4); j++)
      for (size_t a = 0; a < (every ? 4 : 2); a++) {
        double q = cks_profile_quantile(profile_of(&h, what, k), alphas[a], dfs[j]), near = q * (1 + 1e-6);
        double p = apart_upper(&other, q, dfs[j]), slope = (p - apart_upper(&other, near, dfs[j])) / 1e-6;
        double off = fmax(fabs(p - alphas[a]), fabs(p - cks_profile_upper(&h.profile, q, dfs[j])));
        worst = fmax(worst, off);
        worst_q = fmax(worst_q, fabs(p - alphas[a]) / slope); /* slope: dP / d log q */
      }
  }
  printf("worst difference %.1e in probability, %.1e of a quantile\n", worst, worst_q);
  assert_true(worst < 1e-8 && worst_q < 1e-6);
}

/* With two means the range is t times the root of 2; Dunnett with one treatment is t (Tukey 1953; Dunnett 1955). */
static void distributions_when_one_difference_then_student_t(void **state)
{
  (void)state;
  held h = {.k = 0}, one = {.k = 0};
  static const double dfs[] = {1, 1.3, 2.5, 5.0771, 17, 84, 1234.5};
  for (size_t i = 0; i < sizeof dfs / sizeof *dfs; i++) {
    double t = cks_profile_quantile(profile_of(&one, "dunnett-two", 1), 0.05, dfs[i]);
    assert_close(cks_profile_quantile(profile_of(&h, "range", 2), 0.05, dfs[i]), t * M_SQRT2, 1e-9);
    assert_close(cks_profile_upper(&one.profile, t, dfs[i]), 0.05, 1e-10);
  }
}

/* Treatments in two classes of one lambda are one class; the larger the check's replication, the nearer to independence. */
static void dunnett_when_classes_are_split_then_the_same(void **state)
{
  (void)state;
  cks_profile whole, parts;
  const cks_dunnett_class all = {9, 0.6}, split[] = {{4, 0.6}, {5, 0.6}};
  assert_int_equal(cks_profile_dunnett(&whole, 1, &all, true, NULL), CKS_OK);
  assert_int_equal(cks_profile_dunnett(&parts, 2, split, true, NULL), CKS_OK);
  assert_close(cks_profile_quantile(&whole, 0.05, 20), cks_profile_quantile(&parts, 0.05, 20), 1e-12);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(quantiles_when_computed_elsewhere_then_to_8_digits),
      cmocka_unit_test(tails_when_computed_elsewhere_then_to_9_digits),
      cmocka_unit_test(tables_when_printed_then_within_a_unit_of_the_last_digit),
      cmocka_unit_test(quantiles_when_2_to_200_means_then_as_another_quadrature_has_them),
      cmocka_unit_test(distributions_when_one_difference_then_student_t),
      cmocka_unit_test(dunnett_when_classes_are_split_then_the_same),
  };
  return cmocka_run_group_tests(tests, test_start, NULL);
}
