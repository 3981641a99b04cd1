/*
 * variance.c: for each trait the figures of every fit that stand in no analysis of variance, the analyses of variance,
 * the components and the tests of assumptions, across and place by place. A blank figure does not exist; the lines below
 * the fits say why.
 */
#include "assumptions.h"
#include "cells.h"
#include "sections.h"
#include "shown.h"
#include "words.h"

#include <string.h>

enum { SIGNIFICANT = 6 };

static const char *place_of(cks_draft *draft, const cks_analysis *a)
{
  bool across = a->environment == CKS_NONE && !strcmp(a->label, "all");
  return across ? "all places" : cks_draft_text(draft, a->label);
}

/* The last years; of one environment the year is the place, which stands for itself. */
static size_t first_span(const cks_trait_result *t)
{
  return t->n_span && t->span[0].analysis->environment != CKS_NONE ? 1 : 0;
}

/* Analysis i of a trait: across first (when there is one), then the last years, then the places. */
static size_t n_analyses(const cks_trait_result *t)
{
  return t->n_location + (t->across != NULL) + t->n_span - first_span(t);
}
static const cks_analysis *analysis_at(const cks_trait_result *t, size_t i)
{
  if (t->across && i == 0) return t->across;
  if (t->across) i--;
  size_t n_span = t->n_span - first_span(t);
  return i < n_span ? t->span[i + first_span(t)].analysis : &t->location[i - n_span];
}

/* ---- fits ------------------------------------------------------------------------------------------------------- */

typedef enum { FIT_TEXT, FIT_COUNT, FIT_FIGURE, FIT_MEAN, FIT_ONE } fit_print;

typedef struct {
  const char *key, *label, *narrow;
  fit_print print;
} fit_column;

enum {
  FIT_PLACE,
  FIT_HYBRIDS,
  FIT_PLOTS,
  FIT_MEAN_OF,
  FIT_CV,
  FIT_SED,
  FIT_DISTANCE,
  FIT_REPEAT,
  FIT_EFFICIENCY,
  FIT_COLUMNS
};

static const fit_column fit_columns[FIT_COLUMNS] = {
    {"place", "place", NULL, FIT_TEXT},
    {"hybrids", "hybrids", "hyb-\nrids", FIT_COUNT},
    {"plots", "plots", NULL, FIT_COUNT},
    {"mean", "mean", NULL, FIT_MEAN},
    {"cv", "CV %", NULL, FIT_ONE},
    {"sed", "SED", NULL, FIT_FIGURE},
    {"lsd", "LSD", NULL, FIT_MEAN},
    {"repeatability", "repeatability", "repeat-\nability", FIT_FIGURE},
    {"efficiency", "efficiency of blocks, %", "effici-\nency of\nblocks %", FIT_ONE},
};

static const char *method_text(cks_method method)
{
  static const char *const texts[] = {[CKS_METHOD_NONE] = "none",
                                      [CKS_METHOD_MEANS] = "means",
                                      [CKS_METHOD_ANOVA] = "least squares",
                                      [CKS_METHOD_REML] = "REML"};
  return texts[method];
}

/* Of a mixed model: environments, df, log-likelihood, and how it came out. */
static const char *model_text(cks_draft *draft, const cks_analysis *a)
{
  const char *text = "";
  if (*a->environment_effect) text = cks_arena_format(draft->arena, "environments %s", a->environment_effect);
  if (*a->df_method)
    text = cks_arena_format(draft->arena, "%s%sdf by %s", text, *text ? ", " : "",
                            !strcmp(a->df_method, "satterthwaite") ? "Satterthwaite" : "Kenward and Roger");
  if (!cks_is_missing(a->loglik))
    text = cks_arena_format(draft->arena, "%s%sREML log-likelihood %.3f", text, *text ? ", " : "", a->loglik);
  return *a->outcome ? cks_arena_format(draft->arena, "%s%s%s", text, *text ? "; " : "", a->outcome) : text;
}

/* Method and design, and why figures are absent. */
static const char *why_text(cks_draft *draft, const cks_trait_result *t, const cks_analysis *a)
{
  bool missed = cks_is_missing(cks_shown_distance_value(draft, t, a)) && !t->arcsine;
  const char *text = method_text(a->method), *more[] = {cks_draft_text(draft, a->design), model_text(draft, a), a->why,
                                                        missed ? a->lsd_why : "", a->note};
  for (size_t i = 0; i < sizeof more / sizeof *more; i++)
    if (*more[i]) text = cks_arena_format(draft->arena, "%s%s%s", text, *text ? "; " : "", more[i]);
  return t->arcsine && cks_shown_compares(a)
             ? cks_arena_format(draft->arena, "%s%stested on another scale", text, *text ? "; " : "")
             : text;
}

/* A line for each reason: the analyses of which it holds, and the reason. */
static const char *why_lines(cks_draft *draft, const cks_trait_result *t)
{
  size_t n = n_analyses(t);
  const char *lines = "", **why = cks_arena_take(draft->arena, n ? n : 1, sizeof *why),
             **place = cks_arena_take(draft->arena, n ? n : 1, sizeof *place);
  if (!why || !place) return lines;
  for (size_t i = 0; i < n; i++) why[i] = why_text(draft, t, analysis_at(t, i));
  for (size_t i = 0; i < n; i++) {
    bool said = !*why[i];
    for (size_t before = 0; before < i && !said; before++) said = !strcmp(why[before], why[i]);
    size_t n_place = 0;
    for (size_t k = i; k < n && !said; k++)
      if (!strcmp(why[k], why[i])) place[n_place++] = place_of(draft, analysis_at(t, k));
    if (said) continue;
    lines = cks_draft_line(
        draft, lines,
        cks_arena_format(
            draft->arena, "%s: %s.",
            cks_words_capital(draft, n_place == n && n > 1 ? "everywhere" : cks_words_list(draft, n_place, place)),
            why[i]));
  }
  return lines;
}

static double fit_value(const cks_analysis *a, size_t column)
{
  switch (column) {
  case FIT_HYBRIDS:
    return a->n_hybrid - a->n_aside;
  case FIT_PLOTS:
    return a->plots;
  case FIT_MEAN_OF:
    return a->mean;
  case FIT_CV:
    return a->cv_pct;
  case FIT_SED:
    return a->sed;
  case FIT_EFFICIENCY:
    return a->efficiency_pct;
  default:
    return a->repeatability;
  }
}

static cks_cell fit_cell(cks_draft *draft, const cks_trait_result *t, const cks_analysis *a, size_t column)
{
  fit_print print = fit_columns[column].print;
  if (print == FIT_TEXT) return cks_cell_text(place_of(draft, a));
  if (column == FIT_DISTANCE) /* by group each has its own, see the full tables */
    return a->n_group ? cks_cell_none() : cks_shown_distance(draft, t, a);
  double value = fit_value(a, column);
  if (cks_is_missing(value)) return cks_cell_none();
  switch (print) {
  case FIT_COUNT:
    return cks_cell_number(draft, value, 0);
  case FIT_MEAN:
    return cks_cell_number(draft, value, t->digits ? t->digits : 1);
  case FIT_ONE:
    return cks_cell_number(draft, value, 1);
  default:
    return cks_cell_figure(draft, value, 4);
  }
}

/* Its last column stands only where there are incomplete blocks. */
static size_t fit_columns_of(const cks_trait_result *t)
{
  for (size_t i = 0; i < n_analyses(t); i++)
    if (!cks_is_missing(analysis_at(t, i)->efficiency_pct)) return FIT_COLUMNS;
  return FIT_EFFICIENCY;
}

static cks_report_table *fits(cks_draft *draft, const cks_trait_result *t)
{
  size_t n = n_analyses(t), n_column = fit_columns_of(t);
  cks_report_table *table =
      cks_draft_table(draft, cks_words_key(draft, t, "fits"), cks_words_title(draft, t, "the fits"), n_column, n, 0);
  if (!table) return NULL;
  for (size_t c = 0; c < n_column; c++) {
    const fit_column *f = &fit_columns[c];
    table->column[c] = (cks_report_column){.key = f->key,
                                           .label = c == FIT_DISTANCE ? cks_shown_distance_word(draft) : f->label,
                                           .narrow = f->narrow,
                                           .unit = "",
                                           .group = "",
                                           .align = (int8_t)(f->print == FIT_TEXT ? -1 : 1),
                                           .row_label = c == FIT_PLACE};
    for (size_t i = 0; i < n; i++) cks_cell_put(table, i, c, fit_cell(draft, t, analysis_at(t, i), c));
  }
  table->caption = why_lines(draft, t);
  return table;
}

/* ---- analyses of variance and components ------------------------------------------------------------------------ */

enum { LINE_PLACE, LINE_SOURCE, LINE_DF, LINE_SS, LINE_MS, LINE_F, LINE_P, LINE_COLUMNS };
static const char *const line_labels[LINE_COLUMNS] = {"place", "source", "df", "SS", "MS", "F", "p"};

enum { PART_PLACE, PART_SOURCE, PART_ESTIMATE, PART_SE, PART_COLUMNS };
static const char *const part_labels[PART_COLUMNS] = {"place", "source", "variance", "standard error"};

static cks_report_table *long_table(cks_draft *draft, const cks_trait_result *t, const char *key, const char *what,
                                    size_t n_column, const char *const *label, size_t n_row)
{
  if (n_row == 0) return NULL;
  cks_report_table *table =
      cks_draft_table(draft, cks_words_key(draft, t, key), cks_words_title(draft, t, what), n_column, n_row, 0);
  for (size_t c = 0; table && c < n_column; c++)
    table->column[c] = (cks_report_column){.key = label[c],
                                           .label = label[c],
                                           .unit = "",
                                           .group = "",
                                           .align = (int8_t)(c < 2 ? -1 : 1),
                                           .row_label = c == 0};
  return table;
}

static cks_report_table *anova(cks_draft *draft, const cks_trait_result *t)
{
  size_t n = 0, row = 0;
  for (size_t i = 0; i < n_analyses(t); i++) n += analysis_at(t, i)->n_anova;
  cks_report_table *table = long_table(draft, t, "anova", "analysis of variance", LINE_COLUMNS, line_labels, n);
  for (size_t i = 0; table && i < n_analyses(t); i++) {
    const cks_analysis *a = analysis_at(t, i);
    for (size_t k = 0; k < a->n_anova; k++, row++) {
      const cks_anova_line *line = &a->anova[k];
      cks_cell_put(table, row, LINE_PLACE, cks_cell_text(place_of(draft, a)));
      cks_cell_put(table, row, LINE_SOURCE, cks_cell_text(cks_draft_text(draft, line->source)));
      cks_cell_put(table, row, LINE_DF, cks_cell_df(draft, line->df));
      cks_cell_put(table, row, LINE_SS, cks_cell_figure(draft, line->ss, SIGNIFICANT));
      cks_cell_put(table, row, LINE_MS, cks_cell_figure(draft, line->ms, SIGNIFICANT));
      cks_cell_put(table, row, LINE_F, cks_cell_figure(draft, line->f, 4));
      cks_cell_put(table, row, LINE_P, cks_cell_p(draft, line->p));
    }
  }
  if (table && t->arcsine)
    table->caption = "SS and MS are those of the angle whose sine is the root of the proportion.";
  return table;
}

static cks_report_table *components(cks_draft *draft, const cks_trait_result *t)
{
  size_t n = 0, row = 0;
  bool any_se = false;
  for (size_t i = 0; i < n_analyses(t); i++) {
    const cks_analysis *a = analysis_at(t, i);
    n += a->n_variance;
    for (size_t k = 0; k < a->n_variance; k++) any_se |= !cks_is_missing(a->variance[k].se);
  }
  cks_report_table *table =
      long_table(draft, t, "components", "components of variance", any_se ? PART_COLUMNS : PART_SE, part_labels, n);
  for (size_t i = 0; table && i < n_analyses(t); i++) {
    const cks_analysis *a = analysis_at(t, i);
    for (size_t k = 0; k < a->n_variance; k++, row++) {
      cks_cell_put(table, row, PART_PLACE, cks_cell_text(place_of(draft, a)));
      cks_cell_put(table, row, PART_SOURCE, cks_cell_text(cks_draft_text(draft, a->variance[k].source)));
      bool bound = a->method == CKS_METHOD_REML && !(a->variance[k].estimate > 0);
      cks_cell_put(table, row, PART_ESTIMATE,
                   bound ? cks_cell_text("0, at its bound")
                         : cks_cell_figure(draft, a->variance[k].estimate, SIGNIFICANT));
      if (any_se) cks_cell_put(table, row, PART_SE, cks_cell_figure(draft, a->variance[k].se, 4));
    }
  }
  return table;
}

/* For planning: locations down, reps across; a second figure where the interaction may be larger than its estimate. */
static cks_report_table *expected(cks_draft *draft, const cks_trait_result *t)
{
  const cks_analysis *a = cks_shown_at(t, CKS_NONE);
  size_t n = a ? a->n_expected : 0, n_rep = 0, n_row = 0;
  bool upper = false;
  for (size_t i = 0; i < n; i++) {
    n_rep += a->expected[i].locations == a->expected[0].locations;
    upper |= a->expected[i].lsd_upper > a->expected[i].lsd;
  }
  if (!n) return NULL;
  n_row = n / n_rep;
  cks_report_table *table = cks_draft_table(
      draft, cks_words_key(draft, t, "expected"),
      cks_arena_format(draft->arena, "%s: LSD to expect in this season", cks_words_capital(draft, t->label)), 1 + n_rep,
      n_row, 0);
  if (!table) return NULL;
  table->column[0] = (cks_report_column){.key = "locations", .label = "locations", .unit = "", .group = "", .align = 1};
  for (size_t k = 0; k < n_rep; k++) {
    const char *label = cks_words_count(draft, a->expected[k].reps, "rep");
    table->column[1 + k] =
        (cks_report_column){.key = label, .label = label, .unit = cks_unit_text(t->unit), .group = "", .align = 1};
  }
  for (size_t i = 0; i < n; i++) {
    const cks_expected_lsd *e = &a->expected[i];
    cks_cell cell = cks_cell_number(draft, e->lsd, t->digits ? t->digits : 1);
    if (upper)
      cell = cks_cell_text(cks_arena_format(draft->arena, "%s to %s", cell.text,
                                            cks_cell_number(draft, e->lsd_upper, t->digits ? t->digits : 1).text));
    cks_cell_put(table, i / n_rep, 0, cks_cell_count(draft, e->locations));
    cks_cell_put(table, i / n_rep, 1 + i % n_rep, cell);
  }
  table->caption =
      upper ? "What another series of so many places and reps would tell apart, from the components above. Hybrid x "
              "location is estimated at or below zero: the first figure takes it as 0, the second as its upper 80 % "
              "limit."
            : "What another series of so many places and reps would tell apart, from the components above.";
  return table;
}

/* Was anything tested? Where nothing was, there is nothing to look up here. */
static bool is_tested(const cks_trait_result *t)
{
  bool any = false;
  for (size_t i = 0; i < n_analyses(t); i++) any |= analysis_at(t, i)->n_anova || analysis_at(t, i)->n_variance;
  return any;
}

void cks_variance_add(cks_draft *draft)
{
  bool any = false;
  for (size_t i = 0; i < draft->results->n_trait; i++) any |= is_tested(&draft->results->trait[i]);
  if (!any) return;
  cks_section *section = cks_draft_section(draft, "variance", "Analysis of variance", CKS_FOR_ALL);
  section->new_page = true;
  cks_draft_say(draft, section, CKS_PART_HEADING, "Analysis of variance");
  for (size_t i = 0; i < draft->results->n_trait; i++) {
    const cks_trait_result *t = &draft->results->trait[i];
    if (!is_tested(t)) continue;
    cks_draft_table_add(draft, section, fits(draft, t));
    cks_draft_table_add(draft, section, anova(draft, t));
    cks_draft_table_add(draft, section, components(draft, t));
    if (t == draft->lead) cks_draft_table_add(draft, section, expected(draft, t));
    cks_assumptions_add(draft, section, t);
  }
  cks_assumptions_explain(draft, section);
}
