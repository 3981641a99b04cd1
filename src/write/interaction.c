/*
 * interaction.c: hybrids by environments of a trait as JSON: the verdict, a row a hybrid, axes and scores, the best of each
 * environment, pairs that change sides.
 */
#include "interaction.h"

#include <stddef.h>

typedef struct {
  cks_json *json;
  const cks_trial *trial;
  const cks_results *results;
} job;

static const char *const verdict_words[] = {[CKS_VERDICT_NONE] = NULL,
                                            [CKS_VERDICT_CANNOT_TELL] = "cannot tell",
                                            [CKS_VERDICT_ONE_RANKING] = "one ranking",
                                            [CKS_VERDICT_CHANGES] = "order changes"};

static const char *name_or_null(const job *j, cks_id hybrid)
{
  return hybrid == CKS_NONE ? NULL : j->results->hybrid[hybrid].name;
}

static void put_stability(const job *j, const cks_stability *s)
{
  cks_json *json = j->json;
  cks_json_row(json, NULL);
  cks_json_text(json, "hybrid", j->results->hybrid[s->hybrid].name);
  cks_json_integer(json, "environments", s->cells);
  cks_json_number(json, "mean", s->mean);
  cks_json_number(json, "slope", s->slope);
  cks_json_number(json, "slope_se", s->slope_se);
  cks_json_number(json, "slope_df", s->slope_df);
  cks_json_number(json, "slope_p", s->slope_p);
  cks_json_number(json, "slope_low", s->slope_low);
  cks_json_number(json, "slope_high", s->slope_high);
  cks_json_number(json, "deviation_ms", s->deviation_ms);
  cks_json_bool(json, "in_table", s->in_table);
  cks_json_number(json, "ecovalence", s->ecovalence);
  cks_json_number(json, "stability_variance", s->stability_variance);
  cks_json_number(json, "superiority", s->superiority);
  cks_json_end(json);
}

static void put_axes(cks_json *json, const char *key, size_t n, const cks_interaction_axis *axis)
{
  cks_json_array(json, key);
  for (size_t k = 0; k < n; k++) {
    cks_json_row(json, NULL);
    cks_json_integer(json, "axis", (int64_t)k + 1);
    cks_json_number(json, "singular_value", axis[k].singular_value);
    cks_json_number(json, "ss", axis[k].ss);
    cks_json_number(json, "share_pct", axis[k].share_pct);
    cks_json_number(json, "df", axis[k].df);
    cks_json_number(json, "f", axis[k].f);
    cks_json_number(json, "p", axis[k].p);
    cks_json_end(json);
  }
  cks_json_end(json);
}

/* A row of scores; null for a line that is not in the complete table. */
static void put_scores(cks_json *json, const double *score, size_t n)
{
  if (!score) {
    cks_json_null(json, NULL);
    return;
  }
  cks_json_list(json, NULL);
  for (size_t k = 0; k < n; k++) cks_json_number(json, NULL, score[k]);
  cks_json_end(json);
}

static void put_all_scores(cks_json *json, const cks_interaction *x)
{
  cks_json_array(json, "hybrid_scores");
  for (size_t i = 0; i < x->n_hybrid; i++) put_scores(json, x->hybrid[i].score, x->n_score);
  cks_json_end(json);
  cks_json_array(json, "environment_scores");
  for (size_t i = 0; i < x->n_environment; i++) put_scores(json, x->environment[i].score, x->n_score);
  cks_json_end(json);
  cks_json_array(json, "site_hybrid_scores");
  for (size_t i = 0; i < x->n_hybrid; i++) put_scores(json, x->hybrid[i].site_score, x->n_site_score);
  cks_json_end(json);
  cks_json_array(json, "site_environment_scores");
  for (size_t i = 0; i < x->n_environment; i++) put_scores(json, x->environment[i].site_score, x->n_site_score);
  cks_json_end(json);
}

static void put_environment_name(const job *j, const char *key, cks_id environment)
{
  const cks_environment *e = &j->trial->environment[environment];
  cks_json_row(j->json, key);
  cks_json_text(j->json, "location", cks_json_given(j->trial->location[e->location]));
  if (e->year)
    cks_json_integer(j->json, "year", e->year);
  else
    cks_json_null(j->json, "year");
  cks_json_text(j->json, "trial", cks_json_given(e->trial));
}

static void put_environments(const job *j, const cks_interaction *x)
{
  cks_json_array(j->json, "environments");
  for (size_t i = 0; i < x->n_environment; i++) {
    const cks_environment_answer *e = &x->environment[i];
    put_environment_name(j, NULL, e->environment);
    cks_json_integer(j->json, "hybrids", e->hybrids);
    cks_json_number(j->json, "mean", e->mean);
    cks_json_number(j->json, "index", e->index);
    cks_json_bool(j->json, "in_table", e->in_table);
    cks_json_end(j->json);
  }
  cks_json_end(j->json);
  cks_json_array(j->json, "winners");
  for (size_t i = 0; i < x->n_environment; i++) {
    const cks_environment_answer *e = &x->environment[i];
    if (e->best == CKS_NONE) continue;
    put_environment_name(j, NULL, e->environment);
    cks_json_text(j->json, "hybrid", name_or_null(j, e->best));
    cks_json_number(j->json, "mean", e->best_mean);
    cks_json_number(j->json, "ahead", e->ahead);
    cks_json_count(j->json, "n_top", e->n_top);
    cks_json_text(j->json, "by_axes", name_or_null(j, e->best_by_axes));
    cks_json_end(j->json);
  }
  cks_json_end(j->json);
}

static void put_crossovers(const job *j, const cks_interaction *x)
{
  cks_json *json = j->json;
  if (x->crossovers_tested)
    cks_json_integer(json, "crossover_pairs", x->crossovers);
  else
    cks_json_null(json, "crossover_pairs");
  cks_json_array(json, "crossovers");
  for (size_t i = 0; i < x->n_crossover; i++) {
    const cks_crossover *pair = &x->crossover[i];
    cks_json_row(json, NULL);
    cks_json_text(json, "a", j->results->hybrid[pair->a].name);
    cks_json_text(json, "b", j->results->hybrid[pair->b].name);
    put_environment_name(j, "above_at", pair->above_at);
    cks_json_number(json, "difference", pair->above);
    cks_json_end(json);
    put_environment_name(j, "below_at", pair->below_at);
    cks_json_number(json, "difference", pair->below);
    cks_json_end(json);
    cks_json_end(json);
  }
  cks_json_end(json);
}

static void put_rank_correlation(cks_json *json, const cks_interaction *x)
{
  size_t e = x->n_environment;
  cks_json_array(json, "rank_correlation");
  for (size_t i = 0; i < e; i++) put_scores(json, x->rank_correlation + i * e, e);
  cks_json_end(json);
}

/* Figures of an interaction by key, in the order written. */
static const cks_json_figure figures[] = {
    {"ss", offsetof(cks_interaction, ss)},
    {"df", offsetof(cks_interaction, df)},
    {"f", offsetof(cks_interaction, f)},
    {"num_df", offsetof(cks_interaction, num_df)},
    {"den_df", offsetof(cks_interaction, den_df)},
    {"p", offsetof(cks_interaction, p)},
    {"cell_variance", offsetof(cks_interaction, cell_variance)},
    {"component", offsetof(cks_interaction, component)},
    {"component_upper", offsetof(cks_interaction, component_upper)},
    {"hybrid_component", offsetof(cks_interaction, hybrid_component)},
    {"excess_upper", offsetof(cks_interaction, excess_upper)},
    {"slopes_f", offsetof(cks_interaction, slopes_f)},
    {"slopes_num_df", offsetof(cks_interaction, slopes_num_df)},
    {"slopes_den_df", offsetof(cks_interaction, slopes_den_df)},
    {"slopes_p", offsetof(cks_interaction, slopes_p)},
};

static void put_figures(cks_json *json, const cks_interaction *x)
{
  cks_json_figures(json, sizeof figures / sizeof *figures, figures, x);
  cks_json_object(json, "nonadditivity");
  cks_json_number(json, "f", x->nonadditivity_f);
  cks_json_number(json, "df", x->nonadditivity_df);
  cks_json_number(json, "p", x->nonadditivity_p);
  cks_json_end(json);
}

void cks_json_interaction(cks_json *json, const cks_trial *trial, const cks_results *results, const cks_interaction *x)
{
  const job whole = {json, trial, results}, *j = &whole;
  if (!x) {
    cks_json_null(json, "interaction");
    cks_json_text(json, "interaction_why", "one environment: how hybrids answer to environments cannot be seen");
    return;
  }
  cks_json_object(json, "interaction");
  cks_json_text(json, "verdict", verdict_words[x->verdict]);
  cks_json_text(json, "verdict_basis", cks_json_given(x->basis));
  cks_json_text(json, "why", cks_json_given(x->why));
  cks_json_text(json, "left_out", cks_json_given(x->left_out));
  put_figures(json, x);
  cks_json_array(json, "hybrids");
  for (size_t i = 0; i < x->n_hybrid; i++) put_stability(j, &x->hybrid[i]);
  cks_json_end(json);
  put_axes(json, "axes", x->n_axis, x->axis);
  put_axes(json, "site_axes", x->n_site_axis, x->site_axis);
  put_all_scores(json, x);
  put_environments(j, x);
  put_crossovers(j, x);
  put_rank_correlation(json, x);
  cks_json_end(json);
}
