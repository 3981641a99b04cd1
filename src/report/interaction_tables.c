/*
 * interaction_tables.c: see interaction.h. A hybrid is named as the highest of an environment only where that environment
 * by itself found differences; shades stand there alone too.
 */
#include "interaction.h"
#include "shown.h"
#include "words.h"

#include <math.h>

enum { FIGURES = 5, MOST_AXES = 12, MOST_CORRELATED = 60 };

static int digits_of(const cks_trait_result *t) { return t->digits ? t->digits : 1; }

static cks_cell place_cell(cks_draft *draft, const cks_environment_answer *environment)
{
  return cks_cell_text(cks_draft_text(draft, environment->label));
}

/* All numbers of a column in the decimals that the largest in size has. */
static void same_digits(cks_draft *draft, cks_report_table *table, size_t column)
{
  const cks_cell *largest = NULL;
  for (size_t r = 0; r < table->n_row; r++) {
    const cks_cell *cell = &table->cell[r * table->n_column + column];
    if (cell->kind == CKS_CELL_NUMBER && (!largest || fabs(cell->value) > fabs(largest->value))) largest = cell;
  }
  int digits = largest ? largest->digits : 0;
  for (size_t r = 0; r < table->n_row; r++) {
    cks_cell *cell = &table->cell[r * table->n_column + column];
    if (cell->kind == CKS_CELL_NUMBER) *cell = cks_cell_number(draft, cell->value, digits);
  }
}

/* ---- figures of stability --------------------------------------------------------------------------------------- */

enum {
  OF_HYBRID,
  OF_MEAN,
  OF_CELLS,
  OF_SLOPE,
  OF_SE,
  OF_P,
  OF_DEVIATION,
  OF_ECOVALENCE,
  OF_VARIANCE,
  OF_SUPERIORITY,
  STABILITY_COLUMNS
};

static const cks_heading stability_headings[STABILITY_COLUMNS] = {
    {"hybrid", "hybrid", NULL, true},
    {"mean", "mean", NULL, false},
    {"environments", "environments", "envi-\nronments", false},
    {"slope", "slope", NULL, false},
    {"slope_se", "SE of the slope", "SE", false},
    {"slope_p", "p, slope 1", "p,\nslope 1", false},
    {"deviation_ms", "deviation MS", "deviation\nMS", false},
    {"ecovalence", "ecovalence", "eco-\nvalence", false},
    {"stability_variance", "stability variance", "stability\nvariance", false},
    {"superiority", "superiority", "superi-\nority", false},
};

static const char SLOPE_CAPTION[] = "Slope: of the line of a hybrid over the environment means; it is relative to the "
                                    "hybrids of this table. Deviation MS: "
                                    "around that line, the plot error not taken off.";
static const char STABILITY_CAPTION[] = "Ecovalence and stability variance: a hybrid's part in hybrid x environment; a "
                                        "variance below 0 is printed as it is.";
static const char SUPERIORITY_CAPTION[] =
    "Superiority: half the mean square of how far it is from the best of each environment, so small is good.";

static void put_stability(cks_draft *draft, cks_report_table *table, size_t row, const cks_trait_result *t,
                          const cks_stability *s)
{
  cks_cell_put(table, row, OF_HYBRID, cks_cell_hybrid(draft, s->hybrid));
  cks_cell_put(table, row, OF_MEAN, cks_cell_given(draft, s->mean, t->digits));
  cks_cell_put(table, row, OF_CELLS, cks_cell_count(draft, s->cells));
  cks_cell_put(table, row, OF_SLOPE, cks_cell_given(draft, s->slope, 3));
  cks_cell_put(table, row, OF_SE, cks_cell_given(draft, s->slope_se, 3));
  cks_cell_put(table, row, OF_P, cks_cell_p(draft, s->slope_p));
  cks_cell_put(table, row, OF_DEVIATION, cks_cell_figure(draft, s->deviation_ms, FIGURES));
  cks_cell_put(table, row, OF_ECOVALENCE, cks_cell_figure(draft, s->ecovalence, FIGURES));
  cks_cell_put(table, row, OF_VARIANCE, cks_cell_figure(draft, s->stability_variance, FIGURES));
  cks_cell_put(table, row, OF_SUPERIORITY, cks_cell_figure(draft, s->superiority, FIGURES));
}

/* What its columns are, those that are there; n_p slopes are tested. */
static const char *stability_caption(cks_draft *draft, const cks_trait_result *t)
{
  const cks_interaction *x = t->interaction;
  size_t n_slope = 0, n_p = 0, n_table = 0, n_superiority = 0;
  for (size_t i = 0; i < x->n_hybrid; i++) {
    n_slope += !cks_is_missing(x->hybrid[i].slope);
    n_p += !cks_is_missing(x->hybrid[i].slope_p);
    n_table += !cks_is_missing(x->hybrid[i].ecovalence);
    n_superiority += !cks_is_missing(x->hybrid[i].superiority);
  }
  double alpha = draft->results->alpha;
  const char *text = n_slope ? SLOPE_CAPTION : "";
  if (n_p)
    text = cks_draft_sentence(
        draft, text,
        cks_arena_format(draft->arena,
                         "p: of the test against 1, each by itself; of %zu hybrids with slope 1 about %s would come "
                         "below %s by chance.",
                         n_p, cks_words_number(draft, alpha * (double)n_p, 1), cks_words_alpha(draft, alpha)));
  if (n_table) text = cks_draft_sentence(draft, text, STABILITY_CAPTION);
  if (n_superiority) text = cks_draft_sentence(draft, text, SUPERIORITY_CAPTION);
  if (t->arcsine)
    text =
        cks_draft_sentence(draft, text, "All but the mean are on the angle whose sine is the root of the proportion.");
  return text;
}

cks_report_table *cks_table_stability(cks_draft *draft, const cks_trait_result *t)
{
  const cks_interaction *x = t->interaction;
  cks_report_table *table = cks_draft_headed(draft, cks_words_key(draft, t, "stability"),
                                             cks_words_title(draft, t, "mean, slope and stability"), STABILITY_COLUMNS,
                                             stability_headings, x->n_hybrid);
  if (!table) return NULL;
  for (size_t i = 0; i < x->n_hybrid; i++) put_stability(draft, table, i, t, &x->hybrid[i]);
  for (size_t c = OF_DEVIATION; c < STABILITY_COLUMNS; c++) same_digits(draft, table, c);
  table->caption = stability_caption(draft, t);
  cks_draft_drop_blank(table);
  return table;
}

/* ---- the best of each environment ------------------------------------------------------------------------------- */

enum { AT_PLACE, AT_MEAN, AT_INDEX, AT_BEST, AT_BEST_MEAN, AT_AHEAD, AT_TOP, AT_AXES, AT_RANKS, ENVIRONMENT_COLUMNS };

static const char ENVIRONMENT_CAPTION[] =
    "Index: the environment's mean less that of all. A hybrid is named only where the environment by itself found "
    "differences, and then it is one of its top group. By two axes: the one with the highest value by the first two "
    "axes "
    "of the site regression, a smoothing that no test stands behind. Ranks: correlation (Spearman) of the order of "
    "hybrids "
    "here with that of their means over all the other environments.";

static void put_environment(cks_draft *draft, cks_report_table *table, size_t row, const cks_trait_result *t,
                            const cks_environment_answer *e)
{
  const cks_analysis *here = cks_shown_at(t, e->environment);
  cks_cell_put(table, row, AT_PLACE, place_cell(draft, e));
  cks_cell_put(table, row, AT_RANKS, cks_cell_given(draft, e->rank_correlation, 2));
  if (!t->arcsine) cks_cell_put(table, row, AT_MEAN, cks_cell_given(draft, e->mean, digits_of(t)));
  if (!t->arcsine) cks_cell_put(table, row, AT_INDEX, cks_cell_given(draft, e->index, digits_of(t)));
  if (e->best == CKS_NONE || !here) return;
  if (!cks_shown_compares(here) || !cks_shown_ranks(t, here)) {
    cks_cell_put(table, row, AT_BEST, cks_cell_text(cks_shown_compares(here) ? "no differences" : "not tested"));
    return;
  }
  cks_cell_put(table, row, AT_BEST, cks_cell_hybrid(draft, e->best));
  if (!t->arcsine) cks_cell_put(table, row, AT_BEST_MEAN, cks_cell_given(draft, e->best_mean, digits_of(t)));
  if (!t->arcsine) cks_cell_put(table, row, AT_AHEAD, cks_cell_given(draft, e->ahead, digits_of(t)));
  if (e->n_top) cks_cell_put(table, row, AT_TOP, cks_cell_count(draft, e->n_top));
  if (e->best_by_axes != CKS_NONE) cks_cell_put(table, row, AT_AXES, cks_cell_hybrid(draft, e->best_by_axes));
}

cks_report_table *cks_table_environments(cks_draft *draft, const cks_trait_result *t)
{
  const cks_interaction *x = t->interaction;
  const char *best = cks_words_highest(t);
  const cks_heading headings[ENVIRONMENT_COLUMNS] = {
      {"environment", "environment", NULL, true},
      {"mean", "mean", NULL, false},
      {"index", "index", NULL, false},
      {"highest", best, NULL, true},
      {"highest_mean", "its mean", NULL, false},
      {"ahead", "ahead of the next", "ahead of\nthe next", false},
      {"top_group", "in top group", "in top\ngroup", false},
      {"by_axes", "by two axes", NULL, true},
      {"rank_correlation", "ranks", NULL, false},
  };
  cks_report_table *table =
      cks_draft_headed(draft, cks_words_key(draft, t, "environments"), cks_words_title(draft, t, "environments"),
                       ENVIRONMENT_COLUMNS, headings, x->n_environment);
  if (!table) return NULL;
  for (size_t j = 0; j < x->n_environment; j++) put_environment(draft, table, j, t, &x->environment[j]);
  table->caption = ENVIRONMENT_CAPTION;
  cks_draft_drop_blank(table);
  return table;
}

/* ---- pairs that change sides ------------------------------------------------------------------------------------ */

enum { PAIR_A, PAIR_B, PAIR_ABOVE, PAIR_BY, PAIR_BELOW, PAIR_LESS, PAIR_COLUMNS };

static const cks_heading pair_headings[PAIR_COLUMNS] = {
    {"a", "hybrid", NULL, true},          {"b", "and", NULL, true},
    {"above_at", "above at", NULL, true}, {"above_by", "by", NULL, false},
    {"below_at", "below at", NULL, true}, {"below_by", "by", NULL, false},
};

cks_report_table *cks_table_sides(cks_draft *draft, const cks_trait_result *t)
{
  const cks_interaction *x = t->interaction;
  if (!x->n_crossover) return NULL;
  cks_report_table *table =
      cks_draft_headed(draft, cks_words_key(draft, t, "sides"), cks_words_title(draft, t, "pairs that change sides"),
                       PAIR_COLUMNS, pair_headings, x->n_crossover);
  if (!table) return NULL;
  for (size_t i = 0; i < x->n_crossover; i++) {
    const cks_crossover *pair = &x->crossover[i];
    const cks_environment *place = draft->trial->environment;
    cks_cell_put(table, i, PAIR_A, cks_cell_hybrid(draft, pair->a));
    cks_cell_put(table, i, PAIR_B, cks_cell_hybrid(draft, pair->b));
    cks_cell_put(table, i, PAIR_ABOVE, cks_cell_text(cks_draft_text(draft, place[pair->above_at].label)));
    cks_cell_put(table, i, PAIR_BY, cks_cell_given(draft, pair->above, digits_of(t)));
    cks_cell_put(table, i, PAIR_BELOW, cks_cell_text(cks_draft_text(draft, place[pair->below_at].label)));
    cks_cell_put(table, i, PAIR_LESS, cks_cell_given(draft, -pair->below, digits_of(t)));
  }
  table->caption = "Significant on both sides, each difference tested at alpha over the number of environments times "
                   "pairs.";
  if (x->n_crossover < x->crossovers)
    table->caption =
        cks_arena_format(draft->arena, "%s The surest %zu of %u.", table->caption, x->n_crossover, x->crossovers);
  return table;
}

/* ---- axes ------------------------------------------------------------------------------------------------------- */

enum { AXIS, AXIS_VALUE, AXIS_SS, AXIS_SHARE, AXIS_DF, AXIS_F, AXIS_P, AXIS_COLUMNS };

static const cks_heading axis_headings[AXIS_COLUMNS] = {
    {"axis", "axis", NULL, false}, {"singular_value", "singular value", "singular\nvalue", false},
    {"ss", "SS", NULL, false},     {"share", "share, %", NULL, false},
    {"df", "df", NULL, false},     {"f", "F", NULL, false},
    {"p", "p", NULL, false},
};

static const char *axes_caption(cks_draft *draft, const cks_interaction_axis *axis, size_t n, bool site)
{
  const char *text = site ? "Of the values less the environment means, so hybrids and interaction together."
                          : "Of the interaction: the values less hybrid and environment means.";
  if (!cks_is_missing(axis[0].p))
    text = cks_draft_sentence(draft, text,
                              "SS on the basis of means. F and p are liberal, the first axis being the largest by "
                              "construction: a small p proves less than it seems.");
  if (n > MOST_AXES)
    text = cks_draft_sentence(draft, text, cks_arena_format(draft->arena, "The first %d of %zu.", (int)MOST_AXES, n));
  return text;
}

cks_report_table *cks_table_axes(cks_draft *draft, const cks_trait_result *t, bool site)
{
  const cks_interaction *x = t->interaction;
  size_t n = site ? x->n_site_axis : x->n_axis, shown = n < MOST_AXES ? n : MOST_AXES;
  const cks_interaction_axis *axis = site ? x->site_axis : x->axis;
  if (!n) return NULL;
  cks_report_table *table =
      cks_draft_headed(draft, cks_words_key(draft, t, site ? "axes-of-sites" : "axes"),
                       cks_words_title(draft, t, site ? "axes of the site regression" : "axes of the interaction"),
                       AXIS_COLUMNS, axis_headings, shown);
  if (!table) return NULL;
  for (size_t k = 0; k < shown; k++) {
    cks_cell_put(table, k, AXIS, cks_cell_count(draft, k + 1));
    cks_cell_put(table, k, AXIS_VALUE, cks_cell_figure(draft, axis[k].singular_value, FIGURES));
    cks_cell_put(table, k, AXIS_SS, cks_cell_figure(draft, axis[k].ss, FIGURES));
    cks_cell_put(table, k, AXIS_SHARE, cks_cell_number(draft, axis[k].share_pct, 1));
    cks_cell_put(table, k, AXIS_DF, cks_cell_df(draft, axis[k].df));
    cks_cell_put(table, k, AXIS_F, cks_cell_given(draft, axis[k].f, 2));
    cks_cell_put(table, k, AXIS_P, cks_cell_p(draft, axis[k].p));
  }
  same_digits(draft, table, AXIS_VALUE);
  same_digits(draft, table, AXIS_SS);
  table->caption = axes_caption(draft, axis, n, site);
  cks_draft_drop_blank(table);
  return table;
}

/* Headings: first, then n of axes. */
static const cks_heading *score_headings(cks_draft *draft, size_t n)
{
  cks_heading *heading = cks_arena_take(draft->arena, n + 2, sizeof *heading);
  if (!heading) return NULL;
  heading[0] = (cks_heading){"name", "hybrid or environment", NULL, true};
  heading[1] = (cks_heading){"kind", "", NULL, true};
  for (size_t k = 0; k < n; k++) {
    const char *label = cks_arena_format(draft->arena, "axis %zu", k + 1);
    heading[2 + k] = (cks_heading){label, label, NULL, false};
  }
  return heading;
}

static void put_scores(cks_draft *draft, cks_report_table *table, size_t row, cks_cell name, const char *kind, size_t n,
                       const double *score)
{
  cks_cell_put(table, row, 0, name);
  cks_cell_put(table, row, 1, cks_cell_text(kind));
  for (size_t k = 0; k < n; k++) cks_cell_put(table, row, 2 + k, cks_cell_number(draft, score[k], 3));
}

cks_report_table *cks_table_scores(cks_draft *draft, const cks_trait_result *t, bool site)
{
  const cks_interaction *x = t->interaction;
  size_t n = site ? x->n_site_score : x->n_score, row = 0;
  const cks_heading *headings = score_headings(draft, n);
  if (!n || !headings) return NULL;
  cks_report_table *table = cks_draft_headed(
      draft, cks_words_key(draft, t, site ? "scores-of-sites" : "scores"),
      cks_words_title(draft, t,
                      site ? "scores on the axes of the site regression" : "scores on the axes of the interaction"),
      2 + n, headings, x->table_hybrids + x->table_environments);
  if (!table) return NULL;
  for (size_t i = 0; i < x->n_hybrid; i++) {
    const double *score = site ? x->hybrid[i].site_score : x->hybrid[i].score;
    if (score) put_scores(draft, table, row++, cks_cell_hybrid(draft, x->hybrid[i].hybrid), "hybrid", n, score);
  }
  for (size_t j = 0; j < x->n_environment; j++) {
    const double *score = site ? x->environment[j].site_score : x->environment[j].score;
    if (score) put_scores(draft, table, row++, place_cell(draft, &x->environment[j]), "environment", n, score);
  }
  table->caption =
      "Both times the root of the singular value. On each axis the hybrid with the largest score in size has "
      "a positive one.";
  return table;
}

/* ---- environments across ---------------------------------------------------------------------------------------- */

/* Headings: first, then the environments. */
static const cks_heading *place_headings(cks_draft *draft, const cks_interaction *x, const char *first)
{
  cks_heading *heading = cks_arena_take(draft->arena, x->n_environment + 1, sizeof *heading);
  if (!heading) return NULL;
  heading[0] = (cks_heading){first, first, NULL, true};
  for (size_t j = 0; j < x->n_environment; j++) {
    const char *label = cks_draft_text(draft, x->environment[j].label);
    heading[1 + j] = (cks_heading){label, label, cks_words_stacked(draft, label), false};
  }
  return heading;
}

/* From the lowest to the highest difference of all environments that found differences: one scale for the table. */
static void shade(cks_report_table *table, const cks_trait_result *t)
{
  const cks_interaction *x = t->interaction;
  cks_extent span = {INFINITY, -INFINITY};
  for (int put = 0; put < 2; put++)
    for (size_t j = 0; j < x->n_environment; j++) {
      const cks_analysis *here = cks_shown_at(t, x->environment[j].environment);
      if (!here || !cks_shown_finds(here)) continue;
      for (size_t r = 0; r < table->n_row; r++) {
        cks_cell *cell = &table->cell[r * table->n_column + 1 + j];
        if (cell->kind != CKS_CELL_NUMBER) continue;
        if (!put) cks_extent_take(&span, cell->value);
        if (!put || !(span.high > span.low)) continue;
        double share = (cell->value - span.low) / (span.high - span.low);
        cell->shade = (float)(t->better == CKS_BETTER_LOW ? 1 - share : share);
        table->heat = true;
      }
    }
}

cks_report_table *cks_table_differences(cks_draft *draft, const cks_trait_result *t)
{
  const cks_interaction *x = t->interaction;
  const cks_heading *headings = place_headings(draft, x, "hybrid");
  if (t->arcsine || !headings) return NULL; /* means and environment means are on two scales */
  cks_report_table *table = cks_draft_headed(draft, cks_words_key(draft, t, "differences"),
                                             cks_words_title(draft, t, "differences from the environment means"),
                                             1 + x->n_environment, headings, x->n_hybrid);
  if (!table) return NULL;
  for (size_t i = 0; i < x->n_hybrid; i++) cks_cell_put(table, i, 0, cks_cell_hybrid(draft, x->hybrid[i].hybrid));
  for (size_t j = 0; j < x->n_environment; j++) {
    const cks_analysis *here = cks_shown_at(t, x->environment[j].environment);
    for (size_t i = 0; here && i < x->n_hybrid; i++) {
      const cks_hybrid_result *line = cks_analysis_hybrid(here, x->hybrid[i].hybrid);
      double value = line ? line->mean - x->environment[j].mean : cks_missing();
      cks_cell_put(table, i, 1 + j, cks_cell_number(draft, value, digits_of(t)));
    }
  }
  shade(table, t);
  table->caption = cks_draft_sentence(draft, cks_words_basis(draft, t), "A dash: the hybrid has no value there.");
  if (table->heat)
    table->caption = cks_draft_sentence(
        draft, table->caption,
        t->better == CKS_BETTER_LOW ? "Darker: lower; shaded only where an environment by itself found differences."
                                    : "Darker: higher; shaded only where an environment by itself found differences.");
  return table;
}

cks_report_table *cks_table_rank_correlation(cks_draft *draft, const cks_trait_result *t)
{
  const cks_interaction *x = t->interaction;
  size_t n = x->n_environment;
  const cks_heading *headings = place_headings(draft, x, "environment");
  if (n > MOST_CORRELATED || !x->rank_correlation || !headings) return NULL;
  cks_report_table *table =
      cks_draft_headed(draft, cks_words_key(draft, t, "ranks"),
                       cks_words_title(draft, t, "rank correlation between environments"), 1 + n, headings, n);
  if (!table) return NULL;
  for (size_t j = 0; j < n; j++) {
    cks_cell_put(table, j, 0, place_cell(draft, &x->environment[j]));
    for (size_t k = 0; k < n; k++)
      cks_cell_put(table, j, 1 + k, cks_cell_given(draft, x->rank_correlation[j * n + k], 2));
  }
  table->caption = "Spearman's, over the hybrids with a value in both; blank below three of them.";
  return table;
}
