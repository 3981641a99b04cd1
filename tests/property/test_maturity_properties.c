/*
 * test_maturity_properties.c: what must not move the maturity call: other names of hybrids or places, the order of rows, days
 * counted from an earlier day. From text to results, 60 generated tables, complete and not, each named by its seed.
 */
#include "support/support.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { N_SETS = 60, MOST_G = 12, MOST_E = 9, MOST_CELLS = MOST_G * MOST_E };

typedef struct {
  uint64_t seed;
  size_t g, e, n;
  uint32_t hybrid[MOST_CELLS], place[MOST_CELLS];
  double days[MOST_CELLS]; /* to a tenth */
} cells;

typedef struct {
  const char *words;
  bool hybrids, places, rows; /* other names, and their order turned; rows shuffled */
  double later;
} view;

typedef struct {
  cks_trial *trial;
  cks_results *results;
  cks_findings *findings;
} outcome;

/* Slopes of 1, but for a hybrid that holds its days and one that shifts them in half of the tables. */
static cells draw(uint64_t seed)
{
  test_random random = {seed * 7919 + 1};
  cells c = {.seed = seed, .g = 4 + test_below(&random, MOST_G - 3), .e = 5 + test_below(&random, MOST_E - 4)};
  double spread = seed % 5 ? 6 : 0.4, empty = seed % 3 ? 0 : 0.1, hybrid[MOST_G], slope[MOST_G];
  for (size_t i = 0; i < c.g; i++) hybrid[i] = 65 + 4 * test_normal(&random), slope[i] = 1;
  if (seed % 2) slope[0] = 0.4, slope[c.g - 1] = 1.6;
  for (size_t j = 0; j < c.e; j++) {
    double later = spread * test_normal(&random);
    for (size_t i = 0; i < c.g; i++) {
      double days = hybrid[i] + slope[i] * later + test_normal(&random);
      if (test_uniform(&random) < empty) continue;
      c.hybrid[c.n] = (uint32_t)i;
      c.place[c.n] = (uint32_t)j;
      c.days[c.n++] = round(10 * days) / 10;
    }
  }
  return c;
}

static void hybrid_name(char into[32], const view *v, size_t hybrid)
{
  snprintf(into, 32, v->hybrids ? "Orchard %zu" : "Tamsel %zu", v->hybrids ? 900 - hybrid : 10 + hybrid);
}

static void write_rows(const cells *c, const view *v, test_text *text)
{
  cks_sink sink = test_sink(text);
  test_random random = {c->seed + 5};
  size_t order[MOST_CELLS];
  char line[96], name[32];
  for (size_t k = 0; k < c->n; k++) order[k] = k;
  for (size_t k = c->n; v->rows && k > 1; k--) {
    size_t other = test_below(&random, (uint32_t)k), at = order[k - 1];
    order[k - 1] = order[other];
    order[other] = at;
  }
  static const char head[] = "location,hybrid,days_to_mid_bloom\n";
  sink.put(sink.to, head, sizeof head - 1, NULL);
  for (size_t k = 0; k < c->n; k++) {
    size_t at = order[k];
    hybrid_name(name, v, c->hybrid[at]);
    int n = snprintf(line, sizeof line, "%s %u,%s,%.1f\n", v->places ? "Ridge" : "Field",
                     v->places ? 90 - c->place[at] : 10 + c->place[at], name, c->days[at] + v->later);
    sink.put(sink.to, line, (size_t)n, NULL);
  }
}

static outcome run(const cells *c, const view *v)
{
  test_text text = {0};
  outcome out = {0};
  cks_error error = {0};
  cks_tables tables = {0};
  cks_settings settings;
  cks_settings_defaults(&settings);
  settings.min_environments = 0;
  write_rows(c, v, &text);
  test_bytes bytes = {text.text, text.n, 0};
  cks_source source = test_source("plots.csv", &bytes);
  assert_int_equal(cks_findings_new(&out.findings, NULL), CKS_OK);
  cks_status status = cks_read(&settings, 1, &source, out.findings, &tables.plots, &error);
  if (status == CKS_OK) status = cks_audit(&settings, &tables, out.findings, &out.trial, &error);
  cks_table_free(tables.plots);
  if (status == CKS_OK) status = cks_analyze(&settings, out.trial, out.findings, &out.results, &error);
  if (status != CKS_OK) fail_msg("seed %d, %s: %s\n%.400s", (int)c->seed, v->words, error.text, text.text);
  test_text_release(&text);
  return out;
}

static void outcome_release(outcome *out)
{
  cks_results_free(out->results);
  cks_trial_free(out->trial);
  cks_findings_free(out->findings);
}

static const cks_maturity *of(const outcome *out)
{
  assert_int_equal(out->results->n_trait, 1);
  assert_non_null(out->results->trait[0].maturity);
  return out->results->trait[0].maturity;
}

static bool is_named(const outcome *out, cks_id hybrid, const view *v, size_t number)
{
  char name[32];
  hybrid_name(name, v, number);
  return !strcmp(out->results->hybrid[hybrid].name, name);
}

static const cks_maturity_line *line_of(const outcome *out, const view *v, size_t number)
{
  const cks_maturity *m = of(out);
  for (size_t i = 0; i < m->n_hybrid; i++)
    if (is_named(out, m->hybrid[i].hybrid, v, number)) return &m->hybrid[i];
  return NULL;
}

/* Of the two, either way round; *sign -1: as b less a. */
static const cks_slope_pair *pair_of(const outcome *out, const view *v, size_t a, size_t b, double *sign)
{
  const cks_maturity *m = of(out);
  for (size_t k = 0; k < m->n_pair; k++) {
    *sign = is_named(out, m->pair[k].a, v, a) ? 1 : -1;
    if (is_named(out, m->pair[k].a, v, *sign > 0 ? a : b) && is_named(out, m->pair[k].b, v, *sign > 0 ? b : a))
      return &m->pair[k];
  }
  return NULL;
}

static const view as_is = {"as it is", false, false, false, 0};
static const view views[] = {{"other hybrids", true, false, false, 0},
                             {"other places", false, true, false, 0},
                             {"rows shuffled", false, false, true, 0},
                             {"seven days more", false, false, false, 7},
                             {"all of it", true, true, true, 2.5}};

/* Days have a tenth: sums lose the last digits only. */
static void assert_same_line(const cks_maturity_line *a, const cks_maturity_line *b, double later)
{
  const double figures[][2] = {{a->slope, b->slope},       {a->slope_se, b->slope_se},   {a->low, b->low},
                               {a->high, b->high},         {a->inner_low, b->inner_low}, {a->inner_high, b->inner_high},
                               {a->mean + later, b->mean}, {a->first + later, b->first}, {a->last + later, b->last}};
  for (size_t k = 0; k < sizeof figures / sizeof *figures; k++) assert_close(figures[k][1], figures[k][0], 1e-8);
  assert_int_equal(b->call, a->call);
  assert_int_equal(b->environments, a->environments);
  assert_string_equal(b->no_call, a->no_call);
}

static void assert_same_pairs(const cells *c, const outcome *a, const outcome *b, const view *v)
{
  for (size_t i = 0; i < c->g; i++)
    for (size_t k = i + 1; k < c->g; k++) {
      double one, other;
      const cks_slope_pair *p = pair_of(a, &as_is, i, k, &one), *q = pair_of(b, v, i, k, &other);
      assert_int_equal(!p, !q);
      if (!p) continue;
      assert_int_equal(q->n, p->n);
      assert_true(isnan(p->difference) == isnan(q->difference));
      assert_true(isnan(p->difference) || fabs(one * p->difference - other * q->difference) < 1e-8);
      assert_close(q->se, p->se, 1e-8);
      assert_close(q->p, p->p, 1e-6);
    }
}

static void calls_when_names_order_or_origin_change_then_the_same(void **state)
{
  (void)state;
  size_t seen[CKS_CALL_TYPICAL + 1] = {0};
  for (uint64_t seed = 0; seed < N_SETS; seed++) {
    cells c = draw(seed);
    outcome a = run(&c, &as_is);
    for (size_t k = 0; k < sizeof views / sizeof *views; k++) {
      outcome b = run(&c, &views[k]);
      assert_string_equal(of(&b)->no_call, of(&a)->no_call);
      for (size_t i = 0; i < c.g; i++) {
        const cks_maturity_line *line = line_of(&a, &as_is, i), *same = line_of(&b, &views[k], i);
        assert_true(line && same);
        assert_same_line(line, same, views[k].later);
        seen[line->call]++;
      }
      assert_same_pairs(&c, &a, &b, &views[k]);
      outcome_release(&b);
    }
    outcome_release(&a);
  }
  for (size_t k = 0; k <= CKS_CALL_TYPICAL; k++) assert_true(seen[k] > 0);
}

/* Of a complete table the line of the differences is the difference of the lines. */
static void pairs_when_of_a_complete_table_then_differences_of_slopes(void **state)
{
  (void)state;
  for (uint64_t seed = 1; seed < N_SETS; seed += 3) {
    cells c = draw(seed);
    outcome a = run(&c, &as_is);
    assert_int_equal(c.n, c.g * c.e);
    assert_int_equal(of(&a)->n_pair, c.g * (c.g - 1) / 2);
    for (size_t i = 0; i < c.g; i++)
      for (size_t k = i + 1; k < c.g; k++) {
        double sign;
        const cks_slope_pair *p = pair_of(&a, &as_is, i, k, &sign);
        double expected = line_of(&a, &as_is, i)->slope - line_of(&a, &as_is, k)->slope;
        assert_true(fabs(sign * p->difference - expected) < 1e-9);
        assert_close(p->t, p->difference / p->se, 1e-12);
        assert_close(p->df, (double)c.e - 2, 0);
      }
    outcome_release(&a);
  }
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(calls_when_names_order_or_origin_change_then_the_same),
      cmocka_unit_test(pairs_when_of_a_complete_table_then_differences_of_slopes),
  };
  print_message("seeds 0 to %d\n", N_SETS - 1);
  return cmocka_run_group_tests(tests, test_start, NULL);
}
