/* reml_fixture.h: fits of the REML engine, each in its own arena, and the models that are tried on all data. */
#ifndef TESTS_REML_FIXTURE_H
#define TESTS_REML_FIXTURE_H

#include "../../src/math/reml.h"
#include "support/support.h"

typedef struct {
  cks_arena *arena;
  cks_reml *reml;
  const cks_reml_fit *fit;
} fitted;

static inline fitted fit(const cks_reml_data *data, const cks_reml_model *model)
{
  fitted f = {.arena = cks_arena_new()};
  cks_error error = {0};
  cks_status status = cks_reml_new(data, model, f.arena, &f.reml, &error);
  if (status == CKS_OK) status = cks_reml_estimate(f.reml, &error);
  if (status != CKS_OK) fail_msg("%s", error.text);
  f.fit = cks_reml_result(f.reml);
  return f;
}

static inline void release(fitted *f) { cks_arena_free(f->arena); }

static inline cks_reml_inference infer(fitted *f, cks_reml_df method)
{
  cks_reml_inference i;
  cks_error error = {0};
  if (cks_reml_infer(f->reml, method, f->arena, &i, &error) != CKS_OK) fail_msg("%s", error.text);
  return i;
}

static inline cks_reml_prediction predict(fitted *f)
{
  cks_reml_prediction p;
  cks_error error = {0};
  if (cks_reml_predict(f->reml, f->arena, &p, &error) != CKS_OK) fail_msg("%s", error.text);
  return p;
}

/* The first ONE_ERROR have one error variance. */
static const cks_reml_model models[] = {{0},
                                        {.hybrids_random = true},
                                        {.environments_fixed = true},
                                        {.hybrids_random = true, .environments_fixed = true},
                                        {.error_by_environment = true},
                                        {.hybrids_random = true, .error_by_environment = true}};

enum { N_MODEL = sizeof models / sizeof *models, ONE_ERROR = 4 };

#endif
