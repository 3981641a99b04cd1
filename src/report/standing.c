/* standing.c: see standing.h. */
#include "standing.h"
#include "../core/utf8.h"
#include "groups.h"
#include "strips.h"

#include <math.h>
#include <string.h>

enum { GAP = 2, WIDEST_LABEL = 36, WIDEST_CHECK = 8 };

typedef enum { FOOT_MEAN, FOOT_DISTANCE, FOOT_DUNNETT, FOOT_CV, N_FEET } foot;

/* ---- cells: line is the hybrid's in the column's analysis, NULL when it has none -------------------------------- */

typedef cks_cell cell_of(cks_draft *draft, const cks_plan_column *column, const cks_hybrid_result *line);
typedef cks_cell foot_of(cks_draft *draft, const cks_plan_column *column, foot which);

static cks_cell rank_cell(cks_draft *draft, const cks_plan_column *column, const cks_hybrid_result *line)
{
  bool ranked = line && line->rank && cks_shown_ranks(column->trait, column->analysis);
  return ranked ? cks_cell_count(draft, line->rank) : cks_cell_none();
}

static cks_cell mean_cell(cks_draft *draft, const cks_plan_column *column, const cks_hybrid_result *line)
{
  if (!column->analysis) return cks_cell_none();
  return cks_cell_mean(draft, line, column->trait->digits);
}

static cks_cell span_cell(cks_draft *draft, const cks_plan_column *column, const cks_hybrid_result *line)
{
  return line ? cks_cell_mean(draft, line, column->trait->digits) : cks_cell_none();
}

static cks_cell unadjusted_cell(cks_draft *draft, const cks_plan_column *column, const cks_hybrid_result *line)
{
  bool shown = line && column->trait->strips.used;
  return shown ? cks_cell_given(draft, line->mean_unadjusted, column->trait->digits) : cks_cell_none();
}

static cks_cell raw_cell(cks_draft *draft, const cks_plan_column *column, const cks_hybrid_result *line)
{
  return line ? cks_cell_given(draft, line->raw_mean, column->trait->digits) : cks_cell_none();
}

static cks_cell top_cell(cks_draft *draft, const cks_plan_column *column, const cks_hybrid_result *line)
{
  return cks_shown_line_top(draft, column->trait, column->analysis, line) ? cks_cell_text("top") : cks_cell_none();
}

static const cks_vs_check *versus(const cks_plan_column *column, const cks_hybrid_result *line)
{
  return line && line->vs_check ? &line->vs_check[column->check] : NULL;
}

static cks_cell pct_check_cell(cks_draft *draft, const cks_plan_column *column, const cks_hybrid_result *line)
{
  const cks_vs_check *vs = versus(column, line);
  return vs ? cks_cell_given(draft, vs->pct, 0) : cks_cell_none();
}

static cks_cell vs_cell(cks_draft *draft, const cks_plan_column *column, const cks_hybrid_result *line)
{
  (void)draft;
  static const char *const words[] = {
      [CKS_DIFFERS_UNKNOWN] = "", [CKS_DIFFERS_ABOVE] = "above", [CKS_DIFFERS_BELOW] = "below"};
  const cks_vs_check *vs = versus(column, line);
  bool compared = vs && cks_shown_compares(column->analysis);
  return compared && *words[vs->differs] ? cks_cell_text(words[vs->differs]) : cks_cell_none();
}

static cks_cell difference_cell(cks_draft *draft, const cks_plan_column *column, const cks_hybrid_result *line)
{
  const cks_vs_check *vs = versus(column, line);
  bool itself = line && line->hybrid == draft->results->check[column->check];
  return vs && !itself ? cks_cell_given(draft, vs->difference, column->trait->digits) : cks_cell_none();
}

/* Never whole numbers only: a low end of 0.4 would say 0. */
static cks_cell end_cell(cks_draft *draft, const cks_plan_column *column, double value)
{
  return cks_cell_given(draft, value, column->trait->digits ? column->trait->digits : 1);
}

static cks_cell ci_low_cell(cks_draft *draft, const cks_plan_column *column, const cks_hybrid_result *line)
{
  const cks_vs_check *vs = versus(column, line);
  return vs ? end_cell(draft, column, vs->ci_low) : cks_cell_none();
}

static cks_cell ci_high_cell(cks_draft *draft, const cks_plan_column *column, const cks_hybrid_result *line)
{
  const cks_vs_check *vs = versus(column, line);
  return vs ? end_cell(draft, column, vs->ci_high) : cks_cell_none();
}

static cks_cell p_check_cell(cks_draft *draft, const cks_plan_column *column, const cks_hybrid_result *line)
{
  const cks_vs_check *vs = versus(column, line);
  return vs && cks_shown_compares(column->analysis) ? cks_cell_p(draft, vs->p) : cks_cell_none();
}

static cks_cell places_cell(cks_draft *draft, const cks_plan_column *column, const cks_hybrid_result *line)
{
  bool across = line && column->analysis->environment == CKS_NONE;
  return across ? cks_cell_count(draft, line->environments) : cks_cell_none();
}

static cks_cell environments_cell(cks_draft *draft, const cks_plan_column *column, const cks_hybrid_result *line)
{
  (void)column;
  return line ? cks_cell_count(draft, line->environments) : cks_cell_none();
}

static cks_cell years_cell(cks_draft *draft, const cks_plan_column *column, const cks_hybrid_result *line)
{
  (void)column;
  return line ? cks_cell_count(draft, line->years) : cks_cell_none();
}

static cks_cell letters_cell(cks_draft *draft, const cks_plan_column *column, const cks_hybrid_result *line)
{
  bool shown = line && line->group && cks_shown_compares(column->analysis);
  return shown ? cks_cell_text(cks_draft_text(draft, line->group)) : cks_cell_none();
}

static cks_cell se_cell(cks_draft *draft, const cks_plan_column *column, const cks_hybrid_result *line)
{
  bool shown = line && cks_shown_compares(column->analysis);
  return shown ? cks_cell_given(draft, line->se, column->trait->digits + 1) : cks_cell_none();
}

static cks_cell plots_cell(cks_draft *draft, const cks_plan_column *column, const cks_hybrid_result *line)
{
  (void)column;
  return line ? cks_cell_count(draft, line->n) : cks_cell_none();
}

static cks_cell pct_mean_cell(cks_draft *draft, const cks_plan_column *column, const cks_hybrid_result *line)
{
  (void)column;
  return line ? cks_cell_given(draft, line->pct_of_mean, 0) : cks_cell_none();
}

static cks_cell shrunken_cell(cks_draft *draft, const cks_plan_column *column, const cks_hybrid_result *line)
{
  return line && line->shrunken != line->mean ? cks_cell_given(draft, line->shrunken, column->trait->digits)
                                              : cks_cell_none();
}

static cks_cell reliability_cell(cks_draft *draft, const cks_plan_column *column, const cks_hybrid_result *line)
{
  (void)column;
  return line ? cks_cell_given(draft, line->reliability, 2) : cks_cell_none();
}

/* ---- feet ------------------------------------------------------------------------------------------------------- */

static cks_cell mean_foot(cks_draft *draft, const cks_plan_column *column, foot which)
{
  const cks_analysis *a = column->analysis;
  if (!a) return cks_cell_none();
  switch (which) {
  case FOOT_MEAN:
    return cks_cell_given(draft, a->mean, column->trait->digits);
  case FOOT_DISTANCE:
    return a->n_group ? cks_cell_none() : cks_shown_distance(draft, column->trait, a);
  case FOOT_DUNNETT:
    return cks_shown_dunnett(draft, column->trait, a);
  default:
    return cks_cell_given(draft, a->cv_pct, 1);
  }
}

static cks_cell pct_check_foot(cks_draft *draft, const cks_plan_column *column, foot which)
{
  const cks_analysis *a = column->analysis;
  const cks_hybrid_result *check = a ? cks_analysis_hybrid(a, draft->results->check[column->check]) : NULL;
  const cks_vs_check *vs = versus(column, check);
  bool shown = which == FOOT_MEAN && vs && !cks_is_missing(vs->pct);
  return shown ? cks_cell_given(draft, 100 * a->mean / check->mean, 0) : cks_cell_none();
}

static cks_cell no_foot(cks_draft *draft, const cks_plan_column *column, foot which)
{
  (void)draft, (void)column, (void)which;
  return cks_cell_none();
}

/* ---- the kinds of columns --------------------------------------------------------------------------------------- */

typedef struct {
  const char *key, *label, *narrow; /* "%s" in them stands for the check's name */
  const char *below;                /* instead, below a heading that names the check */
  int8_t align, digits;
  bool row_label, of_check;
  cell_of *cell;
  foot_of *foot;
} kind_fact;

static const kind_fact kinds[CKS_SHOW_KINDS] = {
    [CKS_SHOW_RANK] = {"rank", "rank", NULL, NULL, 1, 0, true, false, rank_cell, no_foot},
    [CKS_SHOW_HYBRID] = {"hybrid", "hybrid", NULL, NULL, -1, 0, true, false, NULL, NULL},
    [CKS_SHOW_MEAN] = {"mean", "", NULL, NULL, 1, 0, false, false, mean_cell, mean_foot},
    [CKS_SHOW_SPAN] = {"mean", "", NULL, NULL, 1, 0, false, false, span_cell, mean_foot},
    [CKS_SHOW_UNADJUSTED] = {"mean_unadjusted", "", NULL, NULL, 1, 0, false, false, unadjusted_cell, no_foot},
    [CKS_SHOW_TOP] = {"top", "top", NULL, NULL, 0, 0, false, false, top_cell, no_foot},
    [CKS_SHOW_PCT_CHECK] = {"pct_of_check", "%% of %s", "%% of\n%s", "%", 1, 0, false, true, pct_check_cell,
                            pct_check_foot},
    [CKS_SHOW_VS_CHECK] = {"vs_check", "vs %s", "vs\n%s", "found", 0, 0, false, true, vs_cell, no_foot},
    [CKS_SHOW_DIFFERENCE] = {"difference", "minus %s", "minus\n%s", "differ-\nence", 1, 0, false, true, difference_cell,
                             no_foot},
    [CKS_SHOW_CI_LOW] = {"ci_low", "minus %s, low", "minus\n%s,\nlow", "low", 1, 0, false, true, ci_low_cell, no_foot},
    [CKS_SHOW_CI_HIGH] = {"ci_high", "minus %s, high", "minus\n%s,\nhigh", "high", 1, 0, false, true, ci_high_cell,
                          no_foot},
    [CKS_SHOW_P_CHECK] = {"p_check", "p vs %s", "p vs\n%s", "p", 1, 3, false, true, p_check_cell, no_foot},
    [CKS_SHOW_PLACES] = {"places", "locations", "locs", NULL, 1, 0, false, false, places_cell, no_foot},
    [CKS_SHOW_ENVIRONMENTS] = {"environments", "environments", "envi-\nron-\nments", NULL, 1, 0, false, false,
                               environments_cell, no_foot},
    [CKS_SHOW_YEARS] = {"years", "years", NULL, NULL, 1, 0, false, false, years_cell, no_foot},
    [CKS_SHOW_LETTERS] = {"letters", "letters", NULL, NULL, -1, 0, false, false, letters_cell, no_foot},
    [CKS_SHOW_SE] = {"se", "standard error", "stand-\nard\nerror", NULL, 1, 0, false, false, se_cell, no_foot},
    [CKS_SHOW_RAW_MEAN] = {"raw_mean", "plain mean of plots", "plain\nmean", NULL, 1, 0, false, false, raw_cell,
                           no_foot},
    [CKS_SHOW_PLOTS] = {"plots", "plots", NULL, NULL, 1, 0, false, false, plots_cell, no_foot},
    [CKS_SHOW_SHRUNKEN] = {"shrunken", "shrunken mean", "shrun-\nken", NULL, 1, 0, false, false, shrunken_cell,
                           no_foot},
    [CKS_SHOW_RELIABILITY] = {"reliability", "reliability", "reli-\nabil-\nity", NULL, 1, 2, false, false,
                              reliability_cell, no_foot},
    [CKS_SHOW_STRIP] = {"strip", "strip", NULL, NULL, 1, 0, true, false, NULL, no_foot},
    [CKS_SHOW_PCT_MEAN] = {"pct_of_mean", "% of mean", "% of\nmean", NULL, 1, 0, false, false, pct_mean_cell, no_foot},
};

/* The other traits, first those that growers ask for. */
static const cks_role wanted[] = {CKS_ROLE_MOISTURE, CKS_ROLE_TEST_WEIGHT, CKS_ROLE_DAYS_TO_MID_BLOOM,
                                  CKS_ROLE_PLANT_HEIGHT, CKS_ROLE_LODGING};
enum { N_WANTED = sizeof wanted / sizeof *wanted };

const char *cks_standing_check(cks_draft *draft, size_t check)
{
  const char *name = cks_words_short(draft, cks_words_hybrid(draft, draft->results->check[check]), WIDEST_CHECK);
  return name ? name : cks_arena_format(draft->arena, "ck %zu", check + 1);
}

static const char *check_key(cks_draft *draft, size_t check)
{
  const char *name = cks_words_hybrid(draft, draft->results->check[check]), *shown = cks_standing_check(draft, check);
  return strcmp(name, shown) ? cks_arena_format(draft->arena, "%s = %s.", shown, name) : "";
}

const char *cks_plan_check_keys(cks_draft *draft, const cks_plan *plan)
{
  const char *text = "";
  for (size_t k = 0; k < draft->results->n_check; k++) {
    bool used = false;
    for (size_t c = 0; c < plan->n_column; c++)
      used |= kinds[plan->column[c].show].of_check && plan->column[c].check == k;
    if (used) text = cks_draft_sentence(draft, text, check_key(draft, k));
  }
  return text;
}

/* The reason, "" where there is an LSD or none is missed. */
static const char *no_lsd_reason(cks_draft *draft, const cks_plan_column *column)
{
  const cks_analysis *a = column->analysis;
  const cks_trait_result *t = column->trait;
  if (!a || (cks_shown_compares(a) && !cks_shown_finds(a))) return "";
  if (cks_shown_compares(a)) {
    if (t->arcsine) return "tested on another scale";
    if (a->n_group) return ""; /* each has its own row */
    bool shown = !cks_is_missing(cks_shown_distance_value(draft, t, a));
    return shown ? "" : *a->lsd_why ? cks_words_reason(draft, a->lsd_why) : "not reckoned";
  }
  if (t->measure == CKS_MEASURE_RATING && t->better == CKS_BETTER_NONE) return "a rating whose scale is not stated";
  return *a->why ? cks_words_reason(draft, a->why) : "means only";
}

const char *cks_plan_no_lsd(cks_draft *draft, const cks_plan *plan)
{
  const char *text = "";
  if (!cks_shown_compares(plan->main)) return text; /* nothing here has an LSD, and the answer says so */
  for (size_t c = 0; c < plan->n_column; c++) {
    const cks_plan_column *column = &plan->column[c];
    const char *why = column->show == CKS_SHOW_MEAN ? no_lsd_reason(draft, column) : "", *names = "";
    bool said = !*why;
    for (size_t i = 0; i < plan->n_column && !said; i++) {
      const cks_plan_column *other = &plan->column[i];
      if (other->show != CKS_SHOW_MEAN || strcmp(no_lsd_reason(draft, other), why)) continue;
      said = i < c;
      names = cks_arena_format(draft->arena, "%s%s%s", names, *names ? ", " : "", other->trait->label);
    }
    if (!said)
      text = cks_draft_sentence(
          draft, text, cks_arena_format(draft->arena, "No %s for %s: %s.", cks_shown_distance_word(draft), names, why));
  }
  return text;
}

/* text with its one "%s" replaced by name, and "%%" by "%". */
static const char *with_name(cks_draft *draft, const char *text, const char *name)
{
  const char *at = strstr(text, "%s");
  const char *head = cks_arena_format(draft->arena, "%.*s", (int)(at - text), text);
  if (!strncmp(head, "%%", 2)) head++;
  return cks_arena_format(draft->arena, "%s%s%s", head, name, at + 2);
}

static cks_report_column heading_of(cks_draft *draft, const cks_plan_column *column)
{
  const kind_fact *kind = &kinds[column->show];
  cks_report_column heading = {.key = kind->key,
                               .label = kind->label,
                               .narrow = kind->narrow,
                               .unit = "",
                               .group = column->group,
                               .digits = kind->digits,
                               .align = kind->align,
                               .row_label = kind->row_label};
  if (kind->of_check) {
    const char *name = cks_words_hybrid(draft, draft->results->check[column->check]);
    heading.label = with_name(draft, kind->label, name);
    heading.narrow =
        column->below_check ? kind->below : with_name(draft, kind->narrow, cks_standing_check(draft, column->check));
  }
  if (column->show == CKS_SHOW_MEAN || column->show == CKS_SHOW_SPAN) {
    heading.key = cks_draft_text(draft, column->trait->key);
    heading.label = cks_draft_text(draft, column->trait->label);
    heading.narrow = cks_arena_text(draft->arena, column->trait->narrow);
  }
  if (column->show == CKS_SHOW_MEAN || column->show == CKS_SHOW_SPAN || column->show == CKS_SHOW_UNADJUSTED) {
    heading.unit = cks_unit_text(column->trait->unit);
    heading.digits = (int8_t)column->trait->digits;
    if (column->trait->strips.used)
      cks_strips_head(draft, column->trait, column->show == CKS_SHOW_UNADJUSTED, &heading);
  }
  return heading;
}

/* ---- planning --------------------------------------------------------------------------------------------------- */

/* Blocks of rows; *n counts them. */
static void list_blocks(const cks_analysis *a, cks_plan_row *row, size_t *n)
{
  for (size_t k = 0; k < a->n_group; k++) {
    const cks_group_result *g = &a->group[k];
    row[(*n)++] = (cks_plan_row){CKS_ROW_BLOCK, g->by_group, CKS_NONE};
    for (size_t i = g->first; i < g->first + g->n_hybrid; i++)
      row[(*n)++] = (cks_plan_row){CKS_ROW_HYBRID, a->hybrid[i].hybrid, CKS_NONE};
    if (g->n_hybrid > 1 && cks_shown_compares(a)) row[(*n)++] = (cks_plan_row){CKS_ROW_DISTANCE, g->by_group, CKS_NONE};
  }
  if (a->n_group && a->n_aside) row[(*n)++] = (cks_plan_row){CKS_ROW_BLOCK, CKS_NONE, CKS_NONE};
}

cks_plan cks_plan_of(cks_draft *draft, const cks_trait_result *trait, const cks_analysis *analysis,
                     const char *check_word)
{
  cks_plan plan = {.main = analysis, .trait = trait, .check_word = check_word};
  size_t n = 0;
  cks_plan_row *row = cks_arena_take(draft->arena, analysis->n_hybrid + 2 * analysis->n_group + 1, sizeof *row);
  if (!row) return plan;
  list_blocks(analysis, row, &n);
  for (size_t i = analysis->n_group ? analysis->n_hybrid - analysis->n_aside : 0; i < analysis->n_hybrid; i++)
    row[n++] = (cks_plan_row){CKS_ROW_HYBRID, analysis->hybrid[i].hybrid, CKS_NONE};
  plan.row = row;
  plan.n_row = n;
  return plan;
}

size_t cks_plan_hybrids(const cks_plan *plan)
{
  size_t n = 0;
  for (size_t i = 0; i < plan->n_row; i++) n += plan->row[i].kind == CKS_ROW_HYBRID;
  return n;
}

void cks_plan_add(cks_draft *draft, cks_plan *plan, cks_show show, const cks_trait_result *trait,
                  const cks_analysis *analysis, size_t check, const char *group)
{
  cks_plan_column *columns = cks_draft_grow(draft, plan->column, plan->n_column, sizeof *columns);
  if (!columns) return;
  plan->column = columns;
  columns[plan->n_column++] = (cks_plan_column){show, trait, analysis, check, group, false};
}

void cks_plan_add_check(cks_draft *draft, cks_plan *plan, size_t check)
{
  static const cks_show shows[] = {CKS_SHOW_PCT_CHECK, CKS_SHOW_DIFFERENCE, CKS_SHOW_P_CHECK, CKS_SHOW_VS_CHECK};
  cks_plan_add_against(draft, plan, check, shows, sizeof shows / sizeof *shows);
}

void cks_plan_add_against(cks_draft *draft, cks_plan *plan, size_t check, const cks_show *shows, size_t n)
{
  const char *group = cks_arena_format(draft->arena, "against %s", cks_standing_check(draft, check));
  size_t from = plan->n_column;
  for (size_t i = 0; i < n; i++) cks_plan_add(draft, plan, shows[i], plan->trait, plan->main, check, group);
  for (; from < plan->n_column; from++) plan->column[from].below_check = true;
}

static const char *distance_label(cks_draft *draft, const cks_plan *plan)
{
  return cks_arena_format(draft->arena, "%s (%s)", cks_shown_distance_word(draft),
                          cks_words_alpha(draft, plan->main->alpha));
}

/* How far two hybrids of a group must be apart, in one column. */
static cks_cell group_distance(cks_draft *draft, const cks_plan_column *column, uint32_t group)
{
  const cks_analysis *a = column->analysis;
  bool mean = column->show == CKS_SHOW_MEAN || column->show == CKS_SHOW_SPAN;
  for (size_t k = 0; a && mean && k < a->n_group; k++) {
    if (a->group[k].by_group != group) continue;
    cks_analysis view = cks_shown_group(a, k);
    return cks_shown_distance(draft, column->trait, &view);
  }
  return cks_cell_none();
}

static cks_cell hybrid_cell(cks_draft *draft, const cks_plan *plan, cks_plan_row row)
{
  if (row.kind == CKS_ROW_BLOCK)
    return cks_cell_text(row.id == CKS_NONE ? "not ranked" : cks_groups_label(draft, row.id));
  if (row.kind == CKS_ROW_DISTANCE) return cks_cell_text(distance_label(draft, plan));
  const char *name = cks_words_hybrid(draft, row.id);
  bool check = draft->results->hybrid[row.id].check;
  return cks_cell_text(check ? cks_words_check(draft, name, plan->check_word) : name);
}

/* The row is one of a hybrid's several plots at the column's place: it shows its own value. */
static bool is_own(const cks_plan_column *column, cks_plan_row row)
{
  if (row.plot == CKS_NONE || !column->analysis || column->analysis->environment == CKS_NONE) return false;
  const cks_hybrid_result *line = cks_analysis_hybrid(column->analysis, row.id);
  return line && line->n > 1;
}

/* Of such rows; they are checks, which no strip adjustment changes. */
static cks_cell plot_cell(cks_draft *draft, const cks_plan_column *column, cks_plan_row row)
{
  const cks_trait *trait = &draft->trial->trait[column->trait->trait];
  double value = cks_unit_convert(trait->value[row.plot], trait->unit, column->trait->unit, draft->trial->crop);
  return column->show == CKS_SHOW_MEAN || column->show == CKS_SHOW_UNADJUSTED
             ? cks_cell_number(draft, value, column->trait->digits)
             : cks_cell_none();
}

static cks_cell cell_at(cks_draft *draft, const cks_plan *plan, const cks_plan_column *column, size_t at)
{
  cks_plan_row row = plan->row[at];
  if (column->show == CKS_SHOW_HYBRID) return hybrid_cell(draft, plan, row);
  if (row.kind == CKS_ROW_BLOCK) return cks_cell_none();
  if (row.kind == CKS_ROW_DISTANCE) return group_distance(draft, column, row.id);
  if (column->show == CKS_SHOW_STRIP) return cks_cell_number(draft, draft->trial->strip[row.plot], 0);
  if (is_own(column, row)) return plot_cell(draft, column, row);
  return kinds[column->show].cell(draft, column,
                                  column->analysis ? cks_analysis_hybrid(column->analysis, row.id) : NULL);
}

/* What all cells of a column say; NULL where they differ. */
static const char *common_text(cks_draft *draft, const cks_plan *plan, const cks_plan_column *column)
{
  const char *text = NULL;
  for (size_t r = 0; r < plan->n_row; r++) {
    if (plan->row[r].kind != CKS_ROW_HYBRID) continue;
    const char *own = cell_at(draft, plan, column, r).text;
    if (text && strcmp(own, text)) return NULL;
    text = own;
  }
  return text ? text : "";
}

/* It says what the other kind of column would. */
static bool repeats(cks_draft *draft, const cks_plan *plan, const cks_plan_column *column, cks_show show)
{
  cks_plan_column other = *column;
  other.show = show;
  bool same = true;
  for (size_t r = 0; r < plan->n_row && same; r++)
    same = plan->row[r].kind != CKS_ROW_HYBRID ||
           !strcmp(cell_at(draft, plan, &other, r).text, cell_at(draft, plan, column, r).text);
  return same;
}

/* What a column that is left out says, "" when it has to stand; empty: it says nothing. */
static const char *instead_of(cks_draft *draft, const cks_plan *plan, const cks_plan_column *column, bool *empty)
{
  static const struct {
    const char *one, *more;
  } words[CKS_SHOW_KINDS] = {[CKS_SHOW_SE] = {"standard error %s", "standard error %s"},
                             [CKS_SHOW_PLOTS] = {"%s plot", "%s plots"},
                             [CKS_SHOW_PLACES] = {"%s location", "%s locations"}};
  const char *common = common_text(draft, plan, column);
  *empty = (common && !*common) ||
           (column->show == CKS_SHOW_RAW_MEAN &&
            (repeats(draft, plan, column, CKS_SHOW_MEAN) || repeats(draft, plan, column, CKS_SHOW_UNADJUSTED)));
  if (*empty || !common || !words[column->show].one) return "";
  return with_name(draft, strcmp(common, "1") ? words[column->show].more : words[column->show].one, common);
}

void cks_plan_take_common(cks_draft *draft, size_t n_plan, cks_plan *plans, const char **said)
{
  size_t n = 0, n_column = n_plan ? plans[0].n_column : 0;
  for (size_t i = 0; i < n_plan; i++) {
    said[i] = "";
    if (plans[i].n_column < n_column) n_column = plans[i].n_column; /* no memory for more */
  }
  for (size_t c = 0; c < n_column; c++) {
    bool stands = false, empty;
    for (size_t i = 0; i < n_plan && !stands; i++)
      stands = !*instead_of(draft, &plans[i], &plans[i].column[c], &empty) && !empty;
    for (size_t i = 0; i < n_plan; i++) {
      const char *text = stands ? "" : instead_of(draft, &plans[i], &plans[i].column[c], &empty);
      if (*text) said[i] = cks_arena_format(draft->arena, "%s%s%s", said[i], *said[i] ? ", " : "Each hybrid: ", text);
      if (stands) plans[i].column[n] = plans[i].column[c];
    }
    n += stands;
  }
  for (size_t i = 0; i < n_plan; i++) {
    plans[i].n_column = n;
    if (*said[i]) said[i] = cks_arena_format(draft->arena, "%s.", said[i]);
  }
}

static bool any_pct(const cks_draft *draft, const cks_analysis *a)
{
  for (size_t i = 0; draft->results->n_check && i < a->n_hybrid; i++)
    if (a->hybrid[i].vs_check && !cks_is_missing(a->hybrid[i].vs_check[0].pct)) return true;
  return false;
}

void cks_plan_add_answer(cks_draft *draft, cks_plan *plan, bool rank, bool vs, const char *group)
{
  const cks_trait_result *trait = plan->trait;
  const cks_analysis *a = plan->main;
  bool checks = draft->results->n_check > 0;
  const cks_hybrid_result *check = checks ? cks_analysis_hybrid(a, draft->results->check[0]) : NULL;
  bool check_here = check && !cks_is_missing(check->mean);
  if (rank && cks_shown_ranks(trait, a)) cks_plan_add(draft, plan, CKS_SHOW_RANK, trait, a, 0, "");
  cks_plan_add(draft, plan, CKS_SHOW_HYBRID, trait, a, 0, "");
  cks_plan_add(draft, plan, CKS_SHOW_MEAN, trait, a, 0, group);
  if (trait->strips.used) cks_plan_add(draft, plan, CKS_SHOW_UNADJUSTED, trait, a, 0, group);
  if (cks_shown_top(trait, a)) cks_plan_add(draft, plan, CKS_SHOW_TOP, trait, a, 0, group);
  bool told_apart = (cks_shown_compares(a) && !cks_shown_none_found(a)) || cks_shown_dunnett_finds(draft, a);
  if (checks && told_apart && any_pct(draft, a)) cks_plan_add(draft, plan, CKS_SHOW_PCT_CHECK, trait, a, 0, group);
  if (vs && check_here && told_apart) cks_plan_add(draft, plan, CKS_SHOW_VS_CHECK, trait, a, 0, group);
}

static cks_cell foot_at(cks_draft *draft, const cks_plan *plan, const cks_plan_column *column, foot which)
{
  if (column->show == CKS_SHOW_HYBRID) {
    if (which == FOOT_MEAN) return cks_cell_text("mean");
    if (which == FOOT_CV) return cks_cell_text("CV %");
    if (which == FOOT_DISTANCE) return cks_cell_text(distance_label(draft, plan));
    return cks_cell_text(cks_arena_format(draft->arena, "Dunnett (%s)", cks_words_alpha(draft, plan->main->alpha)));
  }
  if (which == FOOT_CV && plan->lead_only_cv && !cks_role_is_yield(column->trait->role)) return cks_cell_none();
  return kinds[column->show].foot(draft, column, which);
}

static size_t widest(size_t a, size_t b) { return a > b ? a : b; }

static size_t column_width(cks_draft *draft, const cks_plan *plan, const cks_plan_column *column)
{
  cks_report_column heading = heading_of(draft, column);
  size_t width = cks_utf8_width(heading.unit, SIZE_MAX);
  for (const char *line = heading.narrow ? heading.narrow : heading.label; line;) {
    const char *end = strchr(line, '\n');
    width = widest(width, cks_utf8_width(line, end ? (size_t)(end - line) : SIZE_MAX));
    line = end ? end + 1 : NULL;
  }
  for (size_t i = 0; i < plan->n_row; i++)
    width = widest(width, cks_utf8_width(cell_at(draft, plan, column, i).text, SIZE_MAX));
  for (foot f = 0; f < N_FEET; f++)
    width = widest(width, cks_utf8_width(foot_at(draft, plan, column, f).text, SIZE_MAX));
  return kinds[column->show].row_label && width > WIDEST_LABEL ? WIDEST_LABEL : width;
}

size_t cks_plan_width(cks_draft *draft, const cks_plan *plan)
{
  size_t width = 0;
  for (size_t i = 0; i < plan->n_column; i++) width += column_width(draft, plan, &plan->column[i]) + (i ? GAP : 0);
  return width;
}

/* results.trait in the order wanted: step i of N_WANTED + n_trait; NULL where that step brings nothing new. */
static const cks_trait_result *trait_at_step(const cks_draft *draft, size_t step)
{
  bool cuts = draft->trial->n_cut > 1; /* their yields stand first, as the results have them */
  if (step < N_WANTED) return cuts ? NULL : cks_results_trait(draft->results, wanted[step]);
  const cks_trait_result *trait = &draft->results->trait[step - N_WANTED];
  for (size_t i = 0; i < N_WANTED && !cuts; i++)
    if (trait == cks_results_trait(draft->results, wanted[i]))
      return NULL; /* another day's look is a trait of its own */
  return trait;
}

const char *cks_plan_add_traits(cks_draft *draft, cks_plan *plan, cks_id environment, size_t columns)
{
  const char *missed = "";
  size_t width = cks_plan_width(draft, plan);
  for (size_t step = 0; step < N_WANTED + draft->results->n_trait; step++) {
    const cks_trait_result *trait = trait_at_step(draft, step);
    if (!trait || trait == plan->trait) continue;
    const cks_analysis *analysis = cks_shown_at(trait, environment);
    if (!analysis && environment != CKS_NONE) continue;
    cks_plan_column column = {CKS_SHOW_MEAN, trait, analysis, 0, "", false};
    size_t more = column_width(draft, plan, &column) + GAP;
    if (width + more <= columns) {
      width += more;
      cks_plan_add(draft, plan, CKS_SHOW_MEAN, trait, analysis, 0, "");
    } else {
      missed = cks_arena_format(draft->arena, "%s%s%s", missed, *missed ? ", " : "", trait->label);
    }
  }
  return missed;
}

const char *cks_plan_forage_basis(cks_draft *draft, const cks_plan *plan)
{
  for (size_t i = 0; i < plan->n_column; i++) {
    const cks_plan_column *column = &plan->column[i];
    bool other = column->show == CKS_SHOW_MEAN && column->trait != plan->trait;
    if (other && column->trait->role == CKS_ROLE_FORAGE_YIELD) return cks_words_basis(draft, column->trait);
  }
  return "";
}

/* ---- the table -------------------------------------------------------------------------------------------------- */

static bool foot_has_any(cks_draft *draft, const cks_plan *plan, foot which)
{
  for (size_t c = 0; c < plan->n_column; c++)
    if (plan->column[c].show != CKS_SHOW_HYBRID && *foot_at(draft, plan, &plan->column[c], which).text) return true;
  return false;
}

static uint8_t marks_of(const cks_draft *draft, const cks_plan *plan, size_t at)
{
  cks_plan_row row = plan->row[at];
  if (row.kind != CKS_ROW_HYBRID) return row.kind == CKS_ROW_BLOCK ? CKS_MARK_BLOCK : 0;
  const cks_hybrid_result *line = cks_analysis_hybrid(plan->main, row.id);
  bool top = cks_shown_line_top(draft, plan->trait, plan->main, line);
  return (uint8_t)((top ? CKS_MARK_TOP : 0) | (draft->results->hybrid[row.id].check ? CKS_MARK_CHECK : 0));
}

/* The marks of a row stand on its name and on what the answer is about, not on every trait. */
static bool carries_marks(const cks_plan *plan, const cks_plan_column *column)
{
  return column->show == CKS_SHOW_HYBRID || column->show == CKS_SHOW_RANK ||
         (column->analysis == plan->main && (column->show == CKS_SHOW_MEAN || column->show == CKS_SHOW_TOP));
}

cks_report_table *cks_plan_table(cks_draft *draft, const cks_plan *plan, const char *key, const char *title)
{
  foot feet[N_FEET];
  size_t n_foot = 0;
  for (foot f = 0; f < N_FEET; f++)
    if (!plan->no_feet && foot_has_any(draft, plan, f)) feet[n_foot++] = f;
  cks_report_table *table = cks_draft_table(draft, key, title, plan->n_column, plan->n_row, n_foot);
  if (!table) return NULL;
  for (size_t c = 0; c < plan->n_column; c++) {
    const cks_plan_column *column = &plan->column[c];
    table->column[c] = heading_of(draft, column);
    for (size_t r = 0; r < plan->n_row; r++) {
      cks_cell cell = cell_at(draft, plan, column, r);
      if (carries_marks(plan, column)) cell.marks = marks_of(draft, plan, r);
      cks_cell_put(table, r, c, cell);
    }
    for (size_t f = 0; f < n_foot; f++) cks_cell_put(table, plan->n_row + f, c, foot_at(draft, plan, column, feet[f]));
  }
  return table;
}
