/*
 * test_reml_little.c: the REML engine on data that tell too little about a term, a hybrid or an error: an outcome that says
 * so, and no figure that looks sure.
 */
#include "reml_fixture.h"

#include <string.h>

enum { MOST_PLOTS = 64 };

/* Columns of a small list. */
typedef struct {
  uint32_t hybrid[MOST_PLOTS], environment[MOST_PLOTS], rep[MOST_PLOTS], block[MOST_PLOTS];
  double y[MOST_PLOTS];
  cks_reml_data data;
} small;

static void add(small *s, uint32_t environment, uint32_t rep, uint32_t block, uint32_t hybrid, double y)
{
  size_t i = s->data.n++;
  s->environment[i] = environment;
  s->rep[i] = rep;
  s->block[i] = block;
  s->hybrid[i] = hybrid;
  s->y[i] = y;
  if (hybrid >= s->data.n_hybrid) s->data.n_hybrid = hybrid + 1;
  if (environment >= s->data.n_environment) s->data.n_environment = environment + 1;
}

/* Every hybrid in every rep of every environment; block: CKS_NONE. */
static void add_all(small *s, uint32_t g, uint32_t environments, uint32_t reps, double spread)
{
  test_random random = {41};
  for (uint32_t j = 0; j < environments; j++)
    for (uint32_t r = 0; r < reps; r++)
      for (uint32_t i = 0; i < g; i++) add(s, j, r, CKS_NONE, i, 5 + spread * (i + j + test_normal(&random)));
}

static fitted fit_small(small *s, const cks_reml_model *model)
{
  s->data.hybrid = s->hybrid;
  s->data.environment = s->environment;
  s->data.rep = s->rep;
  s->data.block = s->block;
  s->data.y = s->y;
  return fit(&s->data, model);
}

/* In the first models: an outcome, and no figure that is not one. */
static void check_each(small *s, size_t n_model, cks_reml_outcome outcome, const bool *used)
{
  for (size_t k = 0; k < n_model; k++) {
    fitted f = fit_small(s, &models[k]);
    assert_int_equal(f.fit->outcome, outcome);
    for (size_t c = 0; c < f.fit->n_theta && outcome == CKS_REML_CONVERGED; c++) assert_true(f.fit->theta[c] >= 0);
    if (used) {
      assert_int_equal(f.fit->used[CKS_REML_REP], used[CKS_REML_REP]);
      assert_int_equal(f.fit->used[CKS_REML_BLOCK], used[CKS_REML_BLOCK]);
      assert_int_equal(f.fit->used[CKS_REML_CELL], used[CKS_REML_CELL]);
      assert_int_equal(f.fit->used[CKS_REML_HYBRID], models[k].hybrids_random);
      assert_int_equal(f.fit->used[CKS_REML_ENVIRONMENT], used[CKS_REML_ENVIRONMENT] && !models[k].environments_fixed);
    }
    if (outcome == CKS_REML_CONVERGED && models[k].hybrids_random) predict(&f);
    if (outcome == CKS_REML_CONVERGED && !models[k].hybrids_random && f.fit->n_set == 1)
      for (int method = CKS_REML_KENWARD_ROGER; method <= CKS_REML_SAMPLED; method++) infer(&f, (cks_reml_df)method);
    release(&f);
  }
}

static void hybrids_when_in_two_sets_then_both_are_told(void **state)
{
  (void)state;
  small s = {0};
  test_random random = {42};
  for (uint32_t j = 0; j < 4; j++)
    for (uint32_t r = 0; r < 2; r++)
      for (uint32_t i = 0; i < 3; i++) add(&s, j, r, CKS_NONE, i + (j < 2 ? 0 : 3), test_normal(&random) + j);
  check_each(&s, N_MODEL, CKS_REML_CONVERGED, NULL);
  fitted f = fit_small(&s, &models[2]);
  assert_int_equal(f.fit->n_set, 2);
  for (size_t i = 0; i < 6; i++) assert_int_equal(f.fit->set_of[i], i / 3);
  release(&f);
}

static void error_when_values_are_constant_then_none(void **state)
{
  (void)state;
  small s = {0};
  add_all(&s, 4, 2, 2, 0);
  check_each(&s, N_MODEL, CKS_REML_NO_ERROR, NULL);
}

static void error_when_hybrids_account_for_all_then_none(void **state)
{
  (void)state;
  small s = {0};
  add_all(&s, 5, 1, 1, 1);
  fitted f = fit_small(&s, &models[0]);
  assert_int_equal(f.fit->outcome, CKS_REML_NO_ERROR); /* a plot a hybrid */
  release(&f);
}

static void error_when_there_is_one_plot_then_none(void **state)
{
  (void)state;
  small s = {0};
  add(&s, 0, 0, CKS_NONE, 0, 5);
  check_each(&s, N_MODEL, CKS_REML_NO_ERROR, NULL);
}

/* Reps copied from one another: hybrids and environments, or their cells, account for every plot. */
static void error_when_reps_are_copies_then_none(void **state)
{
  (void)state;
  for (uint32_t crossed = 0; crossed < 2; crossed++) {
    small s = {0};
    for (uint32_t j = 0; j < 3; j++)
      for (uint32_t r = 0; r < 2; r++)
        for (uint32_t i = 0; i < 4; i++) add(&s, j, r, CKS_NONE, i, 5 + 3. * i + j + crossed * (i * j % 5));
    check_each(&s, N_MODEL, CKS_REML_NO_ERROR, NULL);
  }
}

/* One error an environment, of one plot a hybrid each: the likelihood has a top where one of them is 0 and all means
 * follow from its environment alone. */
static void error_when_one_environment_is_fitted_exactly_then_none(void **state)
{
  (void)state;
  small s = {0};
  add_all(&s, 5, 4, 1, 1);
  fitted f = fit_small(&s, &models[4]);
  assert_int_equal(f.fit->outcome, CKS_REML_NO_ERROR);
  release(&f);
}

static void blocks_when_they_are_hybrids_then_no_crash(void **state)
{
  static const bool used[CKS_REML_ERROR] = {[CKS_REML_ENVIRONMENT] = true, [CKS_REML_REP] = true};
  (void)state;
  small s = {0};
  add_all(&s, 5, 3, 2, 1);
  for (size_t i = 0; i < s.data.n; i++) s.block[i] = s.hybrid[i];
  bool cells[CKS_REML_ERROR];
  memcpy(cells, used, sizeof cells);
  cells[CKS_REML_CELL] = true; /* a block is a plot: it is left out */
  check_each(&s, N_MODEL, CKS_REML_CONVERGED, cells);
  for (size_t i = 0; i < s.data.n; i++) s.rep[i] = CKS_NONE; /* a block is a cell */
  cells[CKS_REML_REP] = false;
  check_each(&s, N_MODEL, CKS_REML_CONVERGED, cells);
}

static void environment_when_it_has_one_plot_then_no_crash(void **state)
{
  static const bool used[CKS_REML_ERROR] = {true, true, false, true};
  (void)state;
  small s = {0};
  add_all(&s, 4, 3, 2, 1);
  add(&s, 3, 0, CKS_NONE, 1, 7);
  for (size_t k = 0; k < N_MODEL; k++) {
    fitted f = fit_small(&s, &models[k]);
    assert_int_equal(f.fit->outcome, models[k].error_by_environment ? CKS_REML_NO_ERROR : CKS_REML_CONVERGED);
    for (size_t c = 0; c < CKS_REML_HYBRID; c++)
      assert_int_equal(f.fit->used[c], used[c] && !(c == CKS_REML_ENVIRONMENT && models[k].environments_fixed));
    release(&f);
  }
  cks_reml_model all_fixed = {.environments_fixed = true, .error_by_environment = true};
  fitted f = fit_small(&s, &all_fixed); /* nothing at all is told of its error */
  assert_int_equal(f.fit->outcome, CKS_REML_NO_ERROR);
  release(&f);
}

/* One rep, then two in one environment only. */
static void reps_when_they_stand_alone_then_left_out(void **state)
{
  static const bool alone[CKS_REML_ERROR] = {true, false, false, false},
                    one_more[CKS_REML_ERROR] = {true, true, false, true};
  (void)state;
  small s = {0};
  add_all(&s, 5, 4, 1, 1);
  check_each(&s, ONE_ERROR, CKS_REML_CONVERGED, alone);
  for (uint32_t i = 0; i < 5; i++) add(&s, 2, 1, CKS_NONE, i, 5 + i + .3 * (i % 2));
  for (size_t k = 0; k < ONE_ERROR; k++) {
    fitted f = fit_small(&s, &models[k]);
    assert_int_equal(f.fit->outcome, CKS_REML_CONVERGED);
    assert_int_equal(f.fit->used[CKS_REML_REP], one_more[CKS_REML_REP]);
    assert_int_equal(f.fit->used[CKS_REML_CELL], one_more[CKS_REML_CELL]);
    release(&f);
  }
}

static void infer_when_there_are_one_or_two_hybrids_then_no_crash(void **state)
{
  (void)state;
  for (uint32_t g = 1; g <= 3; g++) {
    small s = {0};
    add_all(&s, g, 4, 3, 1);
    check_each(&s, N_MODEL, CKS_REML_CONVERGED, NULL);
  }
}

/* Each location in its own two years: hybrid x location and hybrid x year are one term. */
static void terms_when_locations_are_years_then_one_is_left_out(void **state)
{
  static const uint32_t location[] = {0, 0, 1, 1, 2, 2}, crossed[] = {0, 1, 0, 1, 0, 1};
  (void)state;
  for (int same = 0; same < 2; same++) {
    small s = {0};
    add_all(&s, 4, 6, 2, 1);
    s.data.location = location;
    s.data.year = same ? location : crossed;
    fitted f = fit_small(&s, &models[0]);
    assert_true(f.fit->used[CKS_REML_BY_LOCATION]);
    assert_int_equal(f.fit->used[CKS_REML_BY_YEAR], !same);
    release(&f);
  }
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(hybrids_when_in_two_sets_then_both_are_told),
      cmocka_unit_test(error_when_values_are_constant_then_none),
      cmocka_unit_test(error_when_hybrids_account_for_all_then_none),
      cmocka_unit_test(error_when_there_is_one_plot_then_none),
      cmocka_unit_test(error_when_reps_are_copies_then_none),
      cmocka_unit_test(error_when_one_environment_is_fitted_exactly_then_none),
      cmocka_unit_test(blocks_when_they_are_hybrids_then_no_crash),
      cmocka_unit_test(environment_when_it_has_one_plot_then_no_crash),
      cmocka_unit_test(reps_when_they_stand_alone_then_left_out),
      cmocka_unit_test(terms_when_locations_are_years_then_one_is_left_out),
      cmocka_unit_test(infer_when_there_are_one_or_two_hybrids_then_no_crash),
  };
  return cmocka_run_group_tests(tests, test_start, NULL);
}
