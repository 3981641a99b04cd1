/*
 * json.c: the results as JSON, schema 1: other programs read it, so keys are added and never changed.
 *
 * Streamed: no tree is held. A figure that does not exist is null; beside it "why", "lsd_why" or "group_why" says why.
 * Text stands exactly as in the data.
 */
#include "calendar.h"
#include "forage.h"
#include "interaction.h"
#include "maturity.h"
#include "versus.h"

#include <checkstrip/run.h>

#include <stdio.h>
#include <string.h>

enum { SCHEMA = 1 };

static const char *const better_words[] = {
    [CKS_BETTER_NONE] = "none", [CKS_BETTER_HIGH] = "high", [CKS_BETTER_LOW] = "low"};
static const char *const method_words[] = {
    [CKS_METHOD_NONE] = NULL, [CKS_METHOD_MEANS] = "means", [CKS_METHOD_ANOVA] = "anova", [CKS_METHOD_REML] = "reml"};
static const char *const differs_words[] = {
    [CKS_DIFFERS_UNKNOWN] = NULL, [CKS_DIFFERS_ABOVE] = "above", [CKS_DIFFERS_BELOW] = "below"};

/* What every part of the document is written from. */
typedef struct {
  cks_json *json;
  const cks_trial *trial;
  const cks_results *results;
  const cks_findings *findings;
} job;

static const char *file_name(const job *j, cks_id file)
{
  return file < j->findings->n_file ? j->findings->file[file] : NULL;
}

/* ---- inputs, rows left out, findings ---------------------------------------------------------------------------- */

static void put_inputs(const job *j)
{
  cks_json_array(j->json, "inputs");
  for (size_t i = 0; i < j->trial->n_input; i++) {
    const cks_input *input = &j->trial->input[i];
    cks_json_row(j->json, NULL);
    cks_json_text(j->json, "file", file_name(j, input->file));
    cks_json_integer(j->json, "rows", input->rows);
    cks_json_integer(j->json, "plots", input->plots);
    cks_json_end(j->json);
  }
  cks_json_end(j->json);
}

static void put_left_out(const job *j)
{
  cks_json_array(j->json, "left_out");
  for (size_t i = 0; i < j->trial->n_left_out; i++) {
    const cks_left_out *out = &j->trial->left_out[i];
    cks_json_row(j->json, NULL);
    cks_json_text(j->json, "file", file_name(j, out->file));
    cks_json_count(j->json, "line", out->line);
    cks_json_text(j->json, "reason", cks_json_given(out->reason));
    cks_json_text(j->json, "location", cks_json_given(out->location));
    cks_json_text(j->json, "plot", cks_json_given(out->plot));
    cks_json_text(j->json, "hybrid", cks_json_given(out->hybrid));
    cks_json_end(j->json);
  }
  cks_json_end(j->json);
}

static void put_findings(const job *j)
{
  cks_json_array(j->json, "findings");
  for (size_t i = 0; i < j->findings->n; i++) {
    const cks_finding *f = &j->findings->finding[i];
    char cell[CKS_NUMBER_TEXT];
    cks_json_row(j->json, NULL);
    cks_json_text(j->json, "severity", cks_severity_text(f->severity));
    cks_json_text(j->json, "rule", cks_rule_find(f->rule)->name);
    cks_json_text(j->json, "file", file_name(j, f->where.file));
    cks_json_text(j->json, "sheet",
                  f->where.sheet == CKS_NONE ? NULL : cks_names_text(&j->findings->sheet, f->where.sheet));
    bool named = f->where.sheet != CKS_NONE && f->where.line && f->where.column; /* a text file has lines */
    cks_json_text(j->json, "cell", named ? cks_where_cell(cell, &f->where) : NULL);
    cks_json_count(j->json, "line", f->where.line);
    cks_json_count(j->json, "column", f->where.column);
    cks_json_text(j->json, "heading", cks_json_given(f->heading));
    cks_json_text(j->json, "found", cks_json_given(f->cell));
    cks_json_text(j->json, "text", f->text);
    cks_json_integer(j->json, "more", f->more);
    cks_json_end(j->json);
  }
  cks_json_end(j->json);
}

/* ---- an analysis ------------------------------------------------------------------------------------------------ */

static void put_anova(cks_json *json, const cks_analysis *a)
{
  cks_json_array(json, "anova");
  for (size_t i = 0; i < a->n_anova; i++) {
    const cks_anova_line *line = &a->anova[i];
    cks_json_row(json, NULL);
    cks_json_text(json, "source", line->source);
    cks_json_number(json, "df", line->df);
    cks_json_number(json, "ss", line->ss);
    cks_json_number(json, "ms", line->ms);
    cks_json_number(json, "f", line->f);
    cks_json_number(json, "p", line->p);
    cks_json_end(json);
  }
  cks_json_end(json);
  cks_json_array(json, "variance");
  for (size_t i = 0; i < a->n_variance; i++) {
    cks_json_row(json, NULL);
    cks_json_text(json, "source", a->variance[i].source);
    cks_json_number(json, "estimate", a->variance[i].estimate);
    cks_json_number(json, "se", a->variance[i].se);
    cks_json_end(json);
  }
  cks_json_end(json);
}

static void put_assumptions(cks_json *json, const cks_analysis *a)
{
  cks_json_array(json, "assumptions");
  for (size_t i = 0; i < a->n_assumption; i++) {
    const cks_assumption *t = &a->assumption[i];
    cks_json_row(json, NULL);
    cks_json_text(json, "assumption", t->what);
    cks_json_text(json, "test", t->test);
    cks_json_number(json, "statistic", t->statistic);
    cks_json_number(json, "num_df", t->num_df);
    cks_json_number(json, "den_df", t->den_df);
    cks_json_number(json, "p", t->p);
    cks_json_integer(json, "n", t->n);
    cks_json_text(json, "why", cks_json_given(t->why));
    cks_json_end(json);
  }
  cks_json_end(json);
}

static void put_versus(const job *j, const cks_hybrid_result *line)
{
  cks_json_array(j->json, "vs_check");
  for (size_t k = 0; line->vs_check && k < j->results->n_check; k++) {
    const cks_vs_check *vs = &line->vs_check[k];
    cks_json_row(j->json, NULL);
    cks_json_text(j->json, "check", j->results->hybrid[vs->check].name);
    cks_json_number(j->json, "pct", vs->pct);
    cks_json_number(j->json, "difference", vs->difference);
    cks_json_number(j->json, "p", vs->p);
    cks_json_text(j->json, "differs", differs_words[vs->differs]);
    cks_json_number(j->json, "ci_low", vs->ci_low);
    cks_json_number(j->json, "ci_high", vs->ci_high);
    cks_json_end(j->json);
  }
  cks_json_end(j->json);
}

static const char *group_name(const cks_results *results, uint32_t group)
{
  return results->by_group.heading ? results->by_group.name[group] : NULL;
}

static void put_hybrid(const job *j, const cks_hybrid_result *line, bool across, bool aside)
{
  const cks_hybrid *hybrid = &j->results->hybrid[line->hybrid];
  cks_json *json = j->json;
  bool compared = line->vs_check && j->results->n_check;
  cks_json_row(json, NULL);
  cks_json_text(json, "hybrid", hybrid->name);
  cks_json_text(json, "brand", cks_json_given(hybrid->brand));
  cks_json_bool(json, "check", hybrid->check);
  cks_json_integer(json, "n", line->n);
  cks_json_number(json, "mean", line->mean);
  cks_json_number(json, "raw_mean", line->raw_mean);
  cks_json_number(json, "mean_unadjusted", line->mean_unadjusted);
  cks_json_number(json, "se", line->se);
  cks_json_count(json, "rank", line->rank);
  cks_json_text(json, "group", line->group);
  if (line->top == CKS_TOP_NOT_ASKED)
    cks_json_null(json, "top");
  else
    cks_json_bool(json, "top", line->top == CKS_TOP_IN);
  cks_json_number(json, "pct_of_mean", line->pct_of_mean);
  cks_json_number(json, "pct_of_check", compared ? line->vs_check[0].pct : cks_missing());
  put_versus(j, line);
  cks_json_text(json, "by_group", group_name(j->results, hybrid->by_group));
  if (across) {
    cks_json_integer(json, "environments", line->environments);
    cks_json_integer(json, "years", line->years);
    cks_json_bool(json, "set_aside", aside);
    cks_json_number(json, "shrunken", line->shrunken);
    cks_json_number(json, "reliability", line->reliability);
  }
  cks_json_end(json);
}

/* Figures of an analysis by key, in the order written. */
#define FIGURE(name)                                                                                                   \
  {                                                                                                                    \
#name, offsetof(cks_analysis, name)                                                                                \
  }
static const cks_json_figure figures[] = {
    FIGURE(mean),
    FIGURE(plot_mean),
    FIGURE(cv_pct),
    FIGURE(error_df),
    FIGURE(error_ms),
    FIGURE(f),
    FIGURE(p),
    FIGURE(num_df),
    FIGURE(den_df),
    FIGURE(sed),
    FIGURE(sed_min),
    FIGURE(sed_max),
    FIGURE(lsd),
    FIGURE(lsd_df),
    FIGURE(alpha),
    FIGURE(repeatability),
    FIGURE(efficiency_pct),
    FIGURE(critical_difference),
    FIGURE(leader_loss),
    FIGURE(left_out_share),
};
#undef FIGURE

static void put_figures(cks_json *json, const cks_analysis *a)
{
  cks_json_number(json, "reps", a->reps);
  cks_json_integer(json, "plots", a->plots);
  cks_json_figures(json, sizeof figures / sizeof *figures, figures, a);
  cks_json_text(json, "comparison", cks_json_given(a->comparison));
  cks_json_text(json, "top_rule", cks_json_given(a->top_rule));
  cks_json_text(json, "lsd_why", cks_json_given(a->lsd_why));
  cks_json_text(json, "group_why", cks_json_given(a->group_why));
  cks_json_text(json, "why", cks_json_given(a->why));
  cks_json_text(json, "note", cks_json_given(a->note));
  cks_json_bool(json, "protected", a->protected_rule);
  if (cks_is_missing(a->f))
    cks_json_null(json, "significant");
  else
    cks_json_bool(json, "significant", a->significant);
}

static void put_expected(cks_json *json, const cks_analysis *a)
{
  cks_json_array(json, "expected_lsd");
  for (size_t i = 0; i < a->n_expected; i++) {
    cks_json_row(json, NULL);
    cks_json_integer(json, "locations", a->expected[i].locations);
    cks_json_integer(json, "reps", a->expected[i].reps);
    cks_json_number(json, "lsd", a->expected[i].lsd);
    cks_json_number(json, "lsd_upper", a->expected[i].lsd_upper);
    cks_json_end(json);
  }
  cks_json_end(json);
}

/* The groups of --by-group; none when it is not given. */
static void put_groups(const job *j, const cks_analysis *a)
{
  cks_json *json = j->json;
  cks_json_array(json, "groups");
  for (size_t i = 0; i < a->n_group; i++) {
    const cks_group_result *g = &a->group[i];
    cks_json_row(json, NULL);
    cks_json_text(json, "by_group", group_name(j->results, g->by_group));
    cks_json_integer(json, "hybrids", g->n_hybrid);
    cks_json_number(json, "f", g->f);
    cks_json_number(json, "p", g->p);
    cks_json_number(json, "num_df", g->num_df);
    cks_json_number(json, "den_df", g->den_df);
    cks_json_number(json, "sed", g->sed);
    cks_json_number(json, "lsd", g->lsd);
    cks_json_text(json, "lsd_why", cks_json_given(g->lsd_why));
    cks_json_number(json, "critical_difference", g->critical_difference);
    cks_json_count(json, "n_top", g->n_top);
    cks_json_number(json, "left_out_share", g->left_out_share);
    cks_json_end(json);
  }
  cks_json_end(json);
}

static void put_across_only(cks_json *json, const cks_analysis *a)
{
  cks_json_text(json, "locations_as", cks_json_given(a->locations_as));
  cks_json_integer(json, "environments", a->n_environment);
  cks_json_number(json, "interaction_p", a->interaction_p);
  cks_json_text(json, "environment_effect", cks_json_given(a->environment_effect));
  put_expected(json, a);
}

/* The members of an analysis, in an object that the caller begins and ends. */
static void put_analysis(const job *j, const cks_analysis *a, bool across)
{
  cks_json *json = j->json;
  cks_json_text(json, "location", across ? NULL : cks_json_given(a->location));
  if (a->year && !across)
    cks_json_integer(json, "year", a->year);
  else
    cks_json_null(json, "year");
  cks_json_text(json, "trial", cks_json_given(a->trial));
  cks_json_text(json, "design", cks_json_given(a->design));
  cks_json_text(json, "method", method_words[a->method]);
  cks_json_text(json, "df_method", cks_json_given(a->df_method));
  cks_json_number(json, "loglik", a->loglik);
  cks_json_text(json, "outcome", cks_json_given(a->outcome));
  if (across) put_across_only(json, a);
  put_figures(json, a);
  put_anova(json, a);
  put_assumptions(json, a);
  put_groups(j, a);
  cks_json_array(json, "hybrids");
  for (size_t i = 0; i < a->n_hybrid; i++) put_hybrid(j, &a->hybrid[i], across, i + a->n_aside >= a->n_hybrid);
  cks_json_end(json);
}

/* key: NULL in an array. */
static void put_span(const job *j, const char *key, const cks_span *span)
{
  cks_json *json = j->json;
  cks_json_object(json, key);
  cks_json_array(json, "years");
  for (size_t i = 0; i < span->n_year; i++) cks_json_integer(json, NULL, span->year[i]);
  cks_json_end(json);
  cks_json_array(json, "locations");
  for (size_t i = 0; i < span->n_location; i++) cks_json_text(json, NULL, span->location[i]);
  cks_json_end(json);
  put_analysis(j, span->analysis, span->analysis->environment == CKS_NONE);
  cks_json_end(json);
}

/* The last year by itself, and the means of the last two and three. */
static void put_spans(const job *j, const cks_trait_result *t)
{
  if (t->n_span)
    put_span(j, "last_year", &t->span[0]);
  else
    cks_json_null(j->json, "last_year");
  cks_json_array(j->json, "years");
  for (size_t i = 1; i < t->n_span; i++) put_span(j, NULL, &t->span[i]);
  cks_json_end(j->json);
}

/* null when none was asked of the trait. */
static void put_strips(const job *j, const cks_strips *s)
{
  static const char *const words[] = {[CKS_STRIPS_NONE] = NULL,
                                      [CKS_STRIPS_DIFFERENCE] = "difference",
                                      [CKS_STRIPS_RATIO] = "ratio",
                                      [CKS_STRIPS_SHRUNKEN] = "shrunken"};
  cks_json *json = j->json;
  if (s->by == CKS_STRIPS_NONE) {
    cks_json_null(json, "strip_adjustment");
    return;
  }
  cks_json_object(json, "strip_adjustment");
  cks_json_text(json, "kind", words[s->by]);
  cks_json_bool(json, "used", s->used);
  cks_json_text(json, "why", cks_json_given(s->why));
  cks_json_array(json, "checks");
  for (size_t k = 0; k < s->n_check; k++) cks_json_text(json, NULL, j->results->hybrid[s->check[k]].name);
  cks_json_end(json);
  cks_json_integer(json, "places", s->n_place);
  cks_json_integer(json, "places_left", s->n_left);
  cks_json_text(json, "left", cks_json_given(s->left));
  cks_json_number(json, "b", s->b);
  cks_json_number(json, "se", s->se);
  cks_json_number(json, "df", s->df);
  cks_json_number(json, "p", s->p);
  cks_json_count(json, "b_places", s->n_farm);
  cks_json_count(json, "b_strips", s->n_strip);
  cks_json_end(json);
}

static void put_trait(const job *j, const cks_trait_result *t)
{
  cks_json *json = j->json;
  cks_json_object(json, NULL);
  cks_json_text(json, "trait", t->key);
  cks_json_text(json, "label", t->label);
  cks_json_text(json, "unit", cks_json_given(cks_unit_text(t->unit)));
  cks_json_number(json, "moisture_basis_pct", t->basis_pct);
  cks_json_text(json, "better", better_words[t->better]);
  cks_json_text(json, "scale", t->arcsine ? "arcsine" : NULL);
  put_strips(j, &t->strips);
  cks_json_array(json, "locations");
  for (size_t i = 0; i < t->n_location; i++) {
    cks_json_object(json, NULL);
    put_analysis(j, &t->location[i], false);
    cks_json_end(json);
  }
  cks_json_end(json);
  if (t->across) {
    cks_json_object(json, "across");
    put_analysis(j, t->across, true);
    cks_json_end(json);
  } else {
    cks_json_null(json, "across");
  }
  put_spans(j, t);
  cks_json_interaction(json, j->trial, j->results, t->interaction);
  cks_json_end(json);
}

cks_status cks_write_json(const cks_trial *trial, const cks_results *results, const cks_findings *findings,
                          const cks_sink *sink, cks_error *error)
{
  cks_json stream, *json = &stream;
  const job j = {json, trial, results, findings};
  cks_json_begin(json, sink, error);
  cks_json_object(json, NULL);
  cks_json_text(json, "program", "checkstrip");
  cks_json_text(json, "version", CKS_VERSION);
  cks_json_integer(json, "schema", SCHEMA);
  cks_json_text(json, "crop", trial->crop ? trial->crop->key : NULL);
  put_inputs(&j);
  put_left_out(&j);
  put_findings(&j);
  cks_json_array(json, "traits");
  for (size_t i = 0; i < results->n_trait; i++) put_trait(&j, &results->trait[i]);
  cks_json_end(json);
  cks_json_versus(json, trial, results);
  cks_json_maturity(json, trial, results);
  cks_json_calendar(json, trial, results);
  cks_json_forage(json, trial, results);
  cks_json_end(json);
  return cks_json_finish(json);
}
