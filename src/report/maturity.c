/*
 * maturity.c: days to mid-bloom from place to place: what each hybrid does with them and how sure that is, on one screen; then
 * the days at each environment, pairs of slopes and the lines.
 */
#include "claims.h"
#include "interaction.h"
#include "sections.h"
#include "shown.h"
#include "words.h"

#include <string.h>

static const char RULE[] = "holds: slopes differ, the interval of its slope lies below 1 and the slope is 0.9 or less: "
                           "where the others need many "
                           "more days it needs few more. shifts: the same above 1, 1.1 or more. typical: neither, and "
                           "a narrower interval lies "
                           "within 0.75 to 1.25. No call is made with fewer than 6 environments, 5 hybrids or 3 days "
                           "between environment means.";

static const cks_trait_result *bloom_of(const cks_draft *draft)
{
  return cks_results_trait(draft->results, CKS_ROLE_DAYS_TO_MID_BLOOM);
}

/* ---- the screen --------------------------------------------------------------------------------------------------- */

enum { OF_HYBRID, OF_MEAN, OF_RANGE, OF_CLASS, OF_WORDS, OF_N, OF_SLOPE, OF_LOW, OF_HIGH, OF_CALL, OF_ONCE, COLUMNS };

static const cks_heading headings[COLUMNS] = {
    {"hybrid", "hybrid", NULL, true},
    {"mean", "mean days", "mean\ndays", false},
    {"range", "range", NULL, false},
    {"class", "class", NULL, true},
    {"maturity", "supplier's words", "supplier's\nwords", true},
    {"environments", "environments", "envi-\nronments", false},
    {"slope", "slope", NULL, false},
    {"slope_low", "from", NULL, false},
    {"slope_high", "to", NULL, false},
    {"call", "call", NULL, true},
    {"at_once", "at once", "at\nonce", true},
};

/* "medium", or, where its mean may lie on either side of a cut, "early or medium". */
static const char *class_text(cks_draft *draft, const cks_maturity_line *line)
{
  const cks_maturity_cuts *cuts = &draft->results->cuts;
  cks_maturity_place place = cks_maturity_class(cuts, line->mean_low, line->mean_high);
  if (!place.inside) return "";
  const char *text = cuts->cut[place.first].name;
  return place.first == place.last
             ? text
             : cks_arena_format(draft->arena, "%s %s %s", text, place.last - place.first > 1 ? "to" : "or",
                                cuts->cut[place.last].name);
}

static const cks_maturity_line *line_of(const cks_trait_result *t, cks_id hybrid)
{
  const cks_maturity *m = t->maturity;
  for (size_t i = 0; m && i < m->n_hybrid; i++)
    if (m->hybrid[i].hybrid == hybrid) return &m->hybrid[i];
  return NULL;
}

static void put_row(cks_draft *draft, cks_report_table *table, size_t row, const cks_trait_result *t,
                    const cks_hybrid_result *mean)
{
  const cks_maturity_line *line = line_of(t, mean->hybrid);
  cks_cell_put(table, row, OF_HYBRID, cks_cell_hybrid(draft, mean->hybrid));
  cks_cell_put(table, row, OF_MEAN, cks_cell_given(draft, mean->mean, 1));
  cks_cell_put(table, row, OF_WORDS,
               cks_cell_text(cks_draft_text(draft, draft->results->hybrid[mean->hybrid].maturity)));
  if (!t->maturity || mean->environments < t->maturity->n_environment)
    cks_cell_put(table, row, OF_N, cks_cell_count(draft, mean->environments));
  if (!line) return;
  if (t->unit == CKS_UNIT_DAYS) cks_cell_put(table, row, OF_CLASS, cks_cell_text(class_text(draft, line)));
  cks_cell_put(table, row, OF_RANGE,
               cks_cell_text(cks_arena_format(draft->arena, "%s to %s", cks_words_number(draft, line->first, 0),
                                              cks_words_number(draft, line->last, 0))));
  cks_cell_put(table, row, OF_SLOPE, cks_cell_given(draft, line->slope, 2));
  cks_cell_put(table, row, OF_LOW, cks_cell_given(draft, line->low, 2));
  cks_cell_put(table, row, OF_HIGH, cks_cell_given(draft, line->high, 2));
  cks_cell_put(table, row, OF_CALL, cks_cell_text(cks_claim_call(line->call)));
  if (line->call == CKS_CALL_HOLDS || line->call == CKS_CALL_SHIFTS)
    cks_cell_put(table, row, OF_ONCE, cks_cell_text(line->at_once ? "yes" : "no"));
}

static const char *mean_words(cks_draft *draft, const cks_trait_result *t)
{
  const cks_maturity *m = t->maturity;
  return cks_arena_format(draft->arena, "%sDays count from %s to mid-bloom (half of the plants in bloom).%s",
                          m ? cks_arena_format(draft->arena, "%s at %s where nothing else is said. ",
                                               cks_words_count(draft, m->n_hybrid, "hybrid"),
                                               cks_words_count(draft, m->n_environment, "environment"))
                            : "",
                          draft->trial->count_origin,
                          t->unit == CKS_UNIT_DAYS ? "" : " They are not shown in days, so no class is given.");
}

static const char *class_words(cks_draft *draft, const cks_report_table *table)
{
  const cks_maturity_cuts *cuts = &draft->results->cuts;
  bool any = false;
  for (size_t c = 0; c < table->n_column; c++) any |= !strcmp(table->column[c].key, "class");
  if (!any) return "";
  return cks_arena_format(
      draft->arena,
      "class: by %s; two where the %.4g %% interval of the mean reaches both. It is of these places and "
      "seasons; the supplier's words stand beside it as they are given.",
      cuts->label, 100 * (1 - draft->results->alpha));
}

enum { HEAT_HYBRID, HEAT_DAYS, HEAT_DAYS_CV, HEAT_UNITS, HEAT_UNITS_CV, HEAT_N, HEAT_COLUMNS };

static const cks_heading heat_headings[HEAT_COLUMNS] = {
    {"hybrid", "hybrid", NULL, true},
    {"days", "mean days", "mean\ndays", false},
    {"days_cv", "CV of days, %", "CV of\ndays %", false},
    {"heat_units", "heat units", "heat\nunits", false},
    {"heat_cv", "CV of heat units, %", "CV of heat\nunits %", false},
    {"environments", "environments", "envi-\nronments", false},
};

/* Beside the days; nothing is tested, so nothing is concluded of a hybrid. */
static cks_report_table *heat(cks_draft *draft, const cks_maturity *m)
{
  if (!m->heat || !m->n_heat) return NULL;
  cks_report_table *table =
      cks_draft_headed(draft, "bloom-heat", "Mid-bloom in heat units", HEAT_COLUMNS, heat_headings, m->n_hybrid);
  if (!table) return NULL;
  for (size_t i = 0; i < m->n_hybrid; i++) {
    const cks_maturity_line *line = &m->hybrid[i];
    cks_cell_put(table, i, HEAT_HYBRID, cks_cell_hybrid(draft, line->hybrid));
    cks_cell_put(table, i, HEAT_DAYS, cks_cell_given(draft, line->mean, 1));
    cks_cell_put(table, i, HEAT_DAYS_CV, cks_cell_given(draft, line->days_cv_pct, 1));
    cks_cell_put(table, i, HEAT_UNITS, cks_cell_given(draft, line->heat_mean, 0));
    cks_cell_put(table, i, HEAT_UNITS_CV, cks_cell_given(draft, line->heat_cv_pct, 1));
    cks_cell_put(table, i, HEAT_N, cks_cell_count(draft, line->heat_environments));
  }
  table->caption = cks_arena_format(
      draft->arena,
      "%s, from %s to mid-bloom, each day after the first; both CVs over the environments with weather. Heat units "
      "vary less "
      "than days of %u of %s. Nothing is tested here, and other schemes give other units: never compare across them.",
      cks_words_capital(draft, m->heat->label), draft->trial->count_origin, m->n_steadier,
      cks_words_count(draft, m->n_heat, "hybrid"));
  return table;
}

/* What stands over all environments, else of the one place. */
static const cks_analysis *main_of(const cks_trait_result *t)
{
  return t->across ? t->across : t->n_location ? &t->location[0] : NULL;
}

void cks_maturity_add(cks_draft *draft)
{
  const cks_trait_result *t = bloom_of(draft);
  const cks_analysis *a = t ? main_of(t) : NULL;
  cks_section *section = cks_draft_section(draft, "maturity", "Maturity", CKS_FOR_ALL);
  section->first_screen = section->new_page = true;
  cks_draft_say(draft, section, CKS_PART_HEADING,
                cks_arena_format(draft->arena, "%s: days to mid-bloom from place to place", draft->report->title));
  if (!a) {
    cks_draft_say(draft, section, CKS_PART_PARAGRAPH, "No days to mid-bloom in these data.");
    return;
  }
  cks_draft_say(draft, section, CKS_PART_PARAGRAPH, mean_words(draft, t));
  cks_report_table *table = cks_draft_headed(draft, "maturity", "", COLUMNS, headings, a->n_hybrid);
  if (!table) return;
  for (size_t i = 0; i < a->n_hybrid; i++) put_row(draft, table, i, t, &a->hybrid[i]);
  cks_draft_drop_blank(table);
  const char *text = cks_claim_maturity(draft, t);
  if (t->maturity && !*t->maturity->no_call)
    text = cks_draft_line(
        draft, text,
        cks_arena_format(draft->arena,
                         "Slopes are of a hybrid's days over the environment means of these %zu hybrids, "
                         "with their %.4g %% interval. %s at once: whether the slope is told from 1 with all %zu "
                         "tested at once too; where it "
                         "is not, the call may well be chance.",
                         t->maturity->n_hybrid, 100 * (1 - draft->results->alpha), RULE, t->maturity->n_hybrid));
  table->caption = cks_draft_line(draft, text, class_words(draft, table));
  cks_draft_table_add(draft, section, table);
  if (t->maturity) cks_draft_table_add(draft, section, heat(draft, t->maturity));
  cks_draft_say(draft, section, CKS_PART_PARAGRAPH, cks_screen_data_line(draft));
}

/* ---- the figures -------------------------------------------------------------------------------------------------- */

enum { PAIR_A, PAIR_B, PAIR_N, PAIR_DIFFERENCE, PAIR_SE, PAIR_T, PAIR_DF, PAIR_P, PAIR_COLUMNS };

static const cks_heading pair_headings[PAIR_COLUMNS] = {
    {"a", "hybrid", NULL, true},
    {"b", "and", NULL, true},
    {"n", "environments", "envi-\nronments", false},
    {"difference", "slopes, difference", "slopes,\ndifference", false},
    {"se", "SE", NULL, false},
    {"t", "t", NULL, false},
    {"df", "df", NULL, false},
    {"p", "p", NULL, false},
};

static cks_report_table *pairs(cks_draft *draft, const cks_maturity *m)
{
  size_t n_test = 0;
  if (!m->n_pair) return NULL;
  cks_report_table *table =
      cks_draft_headed(draft, "slope-pairs", m->with_checks ? "Slopes against those of the checks" : "Slopes in pairs",
                       PAIR_COLUMNS, pair_headings, m->n_pair);
  if (!table) return NULL;
  for (size_t i = 0; i < m->n_pair; i++) {
    const cks_slope_pair *pair = &m->pair[i];
    cks_cell_put(table, i, PAIR_A, cks_cell_hybrid(draft, pair->a));
    cks_cell_put(table, i, PAIR_B, cks_cell_hybrid(draft, pair->b));
    cks_cell_put(table, i, PAIR_N, cks_cell_count(draft, pair->n));
    cks_cell_put(table, i, PAIR_DIFFERENCE, cks_cell_given(draft, pair->difference, 2));
    cks_cell_put(table, i, PAIR_SE, cks_cell_given(draft, pair->se, 2));
    cks_cell_put(table, i, PAIR_T, cks_cell_given(draft, pair->t, 2));
    cks_cell_put(table, i, PAIR_DF, cks_cell_df(draft, pair->df));
    cks_cell_put(table, i, PAIR_P, cks_cell_p(draft, pair->p));
    n_test += !cks_is_missing(pair->p);
  }
  double alpha = draft->results->alpha;
  table->caption =
      cks_arena_format(draft->arena,
                       "Slope of the difference of the two on the environment means, against 0 by its own deviations. "
                       "Tests: %zu, each by "
                       "itself; of like hybrids about %s would come below %s by chance.",
                       n_test, cks_words_number(draft, alpha * (double)n_test, 1), cks_words_alpha(draft, alpha));
  return table;
}

void cks_maturity_figures_add(cks_draft *draft)
{
  const cks_trait_result *t = bloom_of(draft);
  if (!t || !t->n_location) return;
  cks_section *section = cks_draft_section(draft, "maturity-figures", "Days at each place", CKS_FOR_ALL);
  section->new_page = true;
  cks_draft_say(draft, section, CKS_PART_HEADING, "Days to mid-bloom at each place");
  cks_location_table_put(draft, section, t);
  if (t->maturity && !*t->maturity->no_call) cks_draft_table_add(draft, section, pairs(draft, t->maturity));
  if (!t->interaction || *t->interaction->why) return;
  section = cks_draft_section(draft, "maturity-lines", "Lines", CKS_FOR_WORKBOOK);
  cks_draft_chart_add(draft, section, cks_chart_slopes(draft, t));
}
