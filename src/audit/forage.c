/*
 * forage.c: a forage's yields: green weight or green tons of each cut to tons an acre at the stated moisture and of dry
 * matter, and their sums over the season; what each cut was like; nitrate and prussic acid beside its dry matter.
 *
 * A season's total is the sum of the cuts that its place has; a plot that lacks one has none. Weights go before yields that
 * are given. Out: the table's yield columns; work->forage_basis and the texts; trial->cut and trial->content.
 */
#include "derive.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

static const double DRY_MATTER_SUM = 100;

typedef struct {
  cks_harvest_inputs in;
  cks_input_at green, dry_matter;
  const cks_column *given[2]; /* yield, forage yield: at the moisture that their headings say */
  const cks_column *given_dry;
  const cks_column *there; /* 1 in plots with a row of this cut; NULL: the list has one cut */
  cks_forage_yield *made;  /* size n_plot */
  bool weighed;            /* some plot's yield is made of a weight */
} cut_yields;

static cks_input_at input_of(const cks_audit_work *work, cks_role role, size_t cut, cks_unit to)
{
  const cks_column *column = cks_audit_cut_column(work, role, cut);
  return (cks_input_at){column, role, to};
}

static cut_yields find_inputs(const cks_audit_work *work, size_t cut)
{
#define INPUT(role, unit) input_of(work, CKS_ROLE_##role, cut, CKS_UNIT_##unit)
  cut_yields y = {
      .in = {.weight = INPUT(PLOT_WEIGHT, LB),
             .gross = INPUT(GROSS, LB),
             .tare = INPUT(TARE, LB),
             .length = INPUT(HARVEST_LENGTH, FT),
             .width = INPUT(HARVEST_WIDTH, FT),
             .rows = INPUT(ROWS_HARVESTED, COUNT),
             .spacing = {cks_table_column(work->table, CKS_ROLE_ROW_SPACING), CKS_ROLE_ROW_SPACING, CKS_UNIT_IN},
             .moisture = INPUT(MOISTURE, PERCENT),
             .wet = INPUT(WET_YIELD, TON_AC)},
      .green = INPUT(GREEN_WEIGHT, LB),
      .dry_matter = INPUT(DRY_MATTER, PERCENT)};
#undef INPUT
  if (y.green.column) y.in.weight = y.green; /* what a forage is weighed by goes before a weight of anything */
  y.given[0] = cks_audit_cut_column(work, CKS_ROLE_FORAGE_YIELD, cut);
  y.given[1] = cks_audit_cut_column(work, CKS_ROLE_YIELD, cut);
  y.given_dry = cks_audit_cut_column(work, CKS_ROLE_DRY_MATTER_YIELD, cut);
  y.there = work->n_cut > 1 ? cks_audit_cut_column(work, CKS_ROLE_CUT, cut) : NULL;
  return y;
}

/* ---- one cut ---------------------------------------------------------------------------------------------------- */

typedef struct {
  size_t no_area, no_moisture;
} lacks;

static double given_as(const cks_column *column, size_t plot)
{
  return column ? cks_unit_convert(column->number[plot], column->unit, CKS_UNIT_TON_AC, NULL) : NAN;
}

/* Of what is given and not weighed. */
static cks_forage_yield given_yield(const cks_audit_work *work, const cut_yields *y, size_t plot)
{
  for (size_t i = 0; i < sizeof y->given / sizeof *y->given; i++) {
    const cks_column *column = y->given[i];
    double ton_ac = given_as(column, plot), usual = work->crop->moisture_pct;
    if (isnan(ton_ac)) continue;
    return cks_forage_cut(ton_ac, isnan(column->basis_pct) ? usual : column->basis_pct, work->forage_basis);
  }
  return cks_forage_cut(given_as(y->given_dry, plot), 0, work->forage_basis);
}

/* Percent, of moisture or dry matter; an error when they contradict each other. */
static cks_status moisture_of(cks_audit_work *work, const cks_trial *trial, const cut_yields *y, size_t plot,
                              double *pct)
{
  double moisture = cks_input_value(work, trial, &y->in.moisture, plot),
         dry_matter = cks_input_value(work, trial, &y->dry_matter, plot);
  *pct = cks_forage_moisture(moisture, dry_matter);
  if (isnan(moisture) || isnan(dry_matter) || !isnan(*pct)) return CKS_OK;
  return cks_audit_say(
      work, CKS_RULE_DRY_MATTER_DIFFERS, plot, y->dry_matter.column, "",
      "moisture %.4g %% and dry matter %.4g %% add to %.4g, expected %g; correct one of them, or leave "
      "one empty",
      moisture, dry_matter, moisture + dry_matter, DRY_MATTER_SUM);
}

static cks_status make_yield(cks_audit_work *work, const cks_trial *trial, cut_yields *y, size_t plot, lacks *count)
{
  double moisture, weight = cks_harvest_weight(work, trial, &y->in, plot);
  double acres = cks_harvest_acres(work, trial, &y->in, plot), wet = cks_input_value(work, trial, &y->in.wet, plot);
  cks_status status = moisture_of(work, trial, y, plot, &moisture);
  double green = isnan(weight) ? wet : cks_forage_green(weight, acres);
  y->made[plot] = cks_forage_cut(green, moisture, work->forage_basis);
  count->no_area += !isnan(weight) && isnan(acres);
  count->no_moisture += !isnan(green) && isnan(moisture);
  y->weighed = y->weighed || (!isnan(weight) && !isnan(y->made[plot].dry_matter));
  if (isnan(y->made[plot].dry_matter)) y->made[plot] = given_yield(work, y, plot);
  return status;
}

static cks_status report_lacks(cks_audit_work *work, const cks_environment *e, const char *cut, const lacks *count)
{
  cks_status status = CKS_OK;
  if (count->no_area)
    status = cks_audit_say_all(work, CKS_RULE_NO_AREA,
                               "%s%s: %s with a weight and no area; add harvest_length and harvest_width (or "
                               "rows_harvested and row_spacing) to the plot list or to the places table, or give green "
                               "tons in a column such as 'green weight (ton/ac)'",
                               e->label, cut, cks_audit_count(work->arena, count->no_area, "plot"));
  if (count->no_moisture && status == CKS_OK)
    status =
        cks_audit_say_all(work, CKS_RULE_NO_MOISTURE,
                          "%s%s: %s with a green weight and neither moisture nor dry matter; no yield of dry matter "
                          "can be made of it",
                          e->label, cut, cks_audit_count(work->arena, count->no_moisture, "plot"));
  return status;
}

static const char *cut_label(const cks_audit_work *work, size_t cut)
{
  const char *name = work->n_cut ? work->cut[cut] : "";
  bool says = !strncasecmp(name, "cut", 3);
  return !*name ? "" : says ? name : cks_arena_format(work->arena, "cut %s", name);
}

static cks_status make_cut(cks_audit_work *work, const cks_trial *trial, size_t cut, cut_yields *y)
{
  cks_status status = CKS_OK;
  *y = find_inputs(work, cut);
  y->made = malloc((trial->n_plot + 1) * sizeof *y->made);
  if (!y->made) return cks_error_nomem(work->error);
  for (size_t e = 0; e < trial->n_environment && status == CKS_OK; e++) {
    const cks_environment *at = &trial->environment[e];
    lacks count = {0};
    for (size_t i = at->first; i < (size_t)at->first + at->n && status == CKS_OK; i++)
      status = make_yield(work, trial, y, i, &count);
    const char *label = work->n_cut > 1 ? cks_arena_format(work->arena, ", %s", cut_label(work, cut)) : "";
    if (status == CKS_OK) status = report_lacks(work, at, label, &count);
  }
  return status;
}

/* ---- the season ------------------------------------------------------------------------------------------------- */

static bool has_cut(const cks_environment *e, const cut_yields *y)
{
  for (size_t i = e->first; i < (size_t)e->first + e->n; i++)
    if (!y->there || !cks_is_missing(y->there->number[i])) return true;
  return false;
}

static cks_status say_missing(cks_audit_work *work, const cks_trial *trial, size_t plot, size_t cut)
{
  const char *hybrid = trial->hybrid[trial->hybrid_of[plot]].full;
  return cks_audit_say(work, CKS_RULE_CUT_MISSING, plot, NULL, NULL,
                       "%s: %s has no dry matter of %s in this plot, so the plot's total of the season is missing and "
                       "not smaller",
                       trial->environment[trial->environment_of[plot]].label, hybrid, cut_label(work, cut));
}

static cks_status make_season(cks_audit_work *work, const cks_trial *trial, const cut_yields *cut, size_t n,
                              cks_forage_yield *season)
{
  cks_status status = CKS_OK;
  cks_forage_yield *part = malloc((n + 1) * sizeof *part);
  if (!part) return cks_error_nomem(work->error);
  for (size_t e = 0; e < trial->n_environment && status == CKS_OK; e++) {
    const cks_environment *at = &trial->environment[e];
    for (size_t i = at->first; i < (size_t)at->first + at->n && status == CKS_OK; i++) {
      size_t n_here = 0;
      for (size_t k = 0; k < n && status == CKS_OK; k++) {
        if (!has_cut(at, &cut[k])) continue;
        part[n_here++] = cut[k].made[i];
        if (isnan(cut[k].made[i].dry_matter)) status = say_missing(work, trial, i, k);
      }
      season[i] = cks_forage_season(part, n_here);
    }
  }
  free(part);
  return status;
}

/* Places whose seasons are sums of other cuts than those of the first. */
static cks_status report_cuts(cks_audit_work *work, const cks_trial *trial, const cut_yields *cut, size_t n)
{
  const char *text = "";
  bool differ = false;
  for (size_t e = 0; e < trial->n_environment; e++) {
    size_t here = 0;
    for (size_t k = 0; k < n; k++) {
      here += has_cut(&trial->environment[e], &cut[k]);
      differ = differ || has_cut(&trial->environment[e], &cut[k]) != has_cut(&trial->environment[0], &cut[k]);
    }
    text = cks_arena_format(work->arena, "%s%s%s %s", text, e ? ", " : "", trial->environment[e].label,
                            cks_audit_count(work->arena, here, "cut"));
  }
  return !differ
             ? CKS_OK
             : cks_audit_say_all(work, CKS_RULE_CUTS_DIFFER,
                                 "the places do not have the same cuts (%s): a season's total is the sum of the cuts "
                                 "of its own place",
                                 text);
}

/* ---- into the table --------------------------------------------------------------------------------------------- */

static double figure_of(const cks_forage_yield *y, cks_role role)
{
  return role == CKS_ROLE_FORAGE_YIELD ? y->at_standard : y->dry_matter;
}

/* NULL: where its plot stands. */
static cks_status put_yields(cks_audit_work *work, cks_role role, const char *key, const cks_forage_yield *made,
                             const cut_yields *from)
{
  cks_column *column;
  cks_status status = cks_derived_column(work, role, key, CKS_UNIT_TON_AC, &column);
  if (status != CKS_OK) return status;
  column->unit = CKS_UNIT_TON_AC;
  column->unit_stated = true;
  for (size_t i = 0; i < work->table->n_row && status == CKS_OK; i++) {
    column->number[i] = figure_of(&made[i], role);
    const cks_column *source = from ? cks_harvest_source(&from->in, i) : NULL;
    if (source && !isnan(column->number[i])) status = cks_derived_place(work, column, source, i);
  }
  return status;
}

/* Columns move when the table grows: the inputs of each cut are looked up once more. */
static cks_status put_both(cks_audit_work *work, const char *key_end, const cks_forage_yield *made, size_t cut,
                           bool sum)
{
  static const cks_role roles[] = {CKS_ROLE_DRY_MATTER_YIELD, CKS_ROLE_FORAGE_YIELD};
  cks_status status = CKS_OK;
  for (size_t r = 0; r < sizeof roles / sizeof *roles && status == CKS_OK; r++) {
    if (roles[r] == CKS_ROLE_FORAGE_YIELD && isnan(work->forage_basis)) continue;
    const char *key = cks_arena_format(work->arena, "%s%s", cks_role_find(roles[r])->key, key_end);
    cks_column *made_here;
    status = cks_derived_column(work, roles[r], key, CKS_UNIT_TON_AC, &made_here);
    cut_yields y = find_inputs(work, cut);
    if (status == CKS_OK) status = put_yields(work, roles[r], key, made, sum ? NULL : &y);
  }
  return status;
}

/* A yield that was given is now one at the stated moisture, beside its dry matter. */
static void drop_given(cks_audit_work *work)
{
  for (size_t i = 0; i < work->table->n_column; i++) {
    cks_column *column = &work->table->column[i];
    if (column->role != CKS_ROLE_YIELD) continue;
    free(column->number);
    column->number = NULL;
  }
}

static cks_status make_yields(cks_audit_work *work, const cks_trial *trial, cut_yields *cut, size_t n)
{
  cks_status status = CKS_OK;
  bool weighed = false, several = work->n_cut > 1;
  cks_forage_yield *season = malloc((trial->n_plot + 1) * sizeof *season);
  if (!season) status = cks_error_nomem(work->error);
  for (size_t k = 0; k < n && status == CKS_OK; k++) {
    status = make_cut(work, trial, k, &cut[k]);
    weighed = weighed || cut[k].weighed;
  }
  if (several && status == CKS_OK) status = make_season(work, trial, cut, n, season);
  if (several && status == CKS_OK) status = report_cuts(work, trial, cut, n);
  work->forage_text = weighed ? "from green weights" : "";
  work->season_text =
      several ? cks_arena_format(work->arena, "sum of the season's cuts%s%s", weighed ? ", " : "", work->forage_text)
              : work->forage_text;
  for (size_t k = 0; k < n && status == CKS_OK; k++)
    status = put_both(work, cks_audit_cut_key(work, k), cut[k].made, k, false);
  if (several && status == CKS_OK) status = put_both(work, "", season, 0, true);
  drop_given(work);
  free(season);
  return status;
}

/* ---- what a cut was like ---------------------------------------------------------------------------------------- */

static cks_status copy_numbers(cks_audit_work *work, const cks_trial *trial, const cks_input_at *in, double **out)
{
  *out = malloc((trial->n_plot + 1) * sizeof **out);
  if (!*out) return cks_error_nomem(work->error);
  for (size_t i = 0; i < trial->n_plot; i++) (*out)[i] = cks_input_value(work, trial, in, i);
  return CKS_OK;
}

static cks_status describe_cut(cks_audit_work *work, cks_trial *trial, size_t k)
{
  cks_cut *cut = &trial->cut[k];
  cut_yields y = find_inputs(work, k);
  cks_input_at day = input_of(work, CKS_ROLE_CUT_DATE, k, CKS_UNIT_DATE),
               height = input_of(work, CKS_ROLE_PLANT_HEIGHT, k, CKS_UNIT_IN);
  const cks_column *stage = cks_audit_cut_column(work, CKS_ROLE_STAGE, k);
  cut->name = work->n_cut ? work->cut[k] : "";
  cut->label = cut_label(work, k);
  cut->key = cks_audit_cut_key(work, k);
  if (!day.column && work->n_cut < 2) day = input_of(work, CKS_ROLE_HARVESTED, k, CKS_UNIT_DATE);
  cks_status status = copy_numbers(work, trial, &day, &cut->day);
  if (status == CKS_OK) status = copy_numbers(work, trial, &height, &cut->height_in);
  if (status == CKS_OK) status = copy_numbers(work, trial, &y.in.moisture, &cut->moisture_pct);
  cut->stage = malloc((trial->n_plot + 1) * sizeof *cut->stage);
  if (!cut->stage) return cks_error_nomem(work->error);
  for (size_t i = 0; i < trial->n_plot && status == CKS_OK; i++) {
    cut->stage[i] = stage && stage->name ? stage->name[i] : CKS_NONE;
    cut->moisture_pct[i] = cks_forage_moisture(cut->moisture_pct[i], cks_input_value(work, trial, &y.dry_matter, i));
  }
  return status;
}

/* A cut comes after planting and after the cut before it. */
static cks_status check_days(cks_audit_work *work, const cks_trial *trial)
{
  cks_status status = CKS_OK;
  cks_input_at planted = {cks_table_column(work->table, CKS_ROLE_PLANTED), CKS_ROLE_PLANTED, CKS_UNIT_DATE};
  for (size_t i = 0; i < trial->n_plot; i++) {
    double before = cks_input_value(work, trial, &planted, i);
    const char *event = "planting";
    for (size_t k = 0; k < trial->n_cut && status == CKS_OK; k++) {
      char day[CKS_NUMBER_TEXT], first[CKS_NUMBER_TEXT];
      const char *cut = *trial->cut[k].label ? trial->cut[k].label : "the cut";
      double at = trial->cut[k].day[i];
      if (isnan(at)) continue;
      if (before >= at)
        status = cks_audit_say(work, CKS_RULE_DATES_BACKWARD, i, cks_audit_cut_column(work, CKS_ROLE_CUT_DATE, k),
                               cks_print_date(day, at), "%s %s does not stand after %s %s; correct one of the dates",
                               cut, day, event, cks_print_date(first, before));
      before = at;
      event = cut;
    }
  }
  return status;
}

/* ---- nitrate and prussic acid ----------------------------------------------------------------------------------- */

/* What its heading must say and does not; "" nothing is lacking. */
static const char *lacking(const cks_audit_work *work, const cks_column *column, const cks_content_words *said)
{
  bool nitrate = column->role == CKS_ROLE_NITRATE;
  const char *text = "";
  const struct {
    bool lacks;
    const char *what;
  } part[] = {{nitrate && !said->has_form, "which form it is (NO3-N, NO3 or KNO3)"},
              {!column->unit_stated, "the unit (ppm or %)"},
              {!said->has_basis, "the basis (dry or as is)"}};
  for (size_t i = 0; i < sizeof part / sizeof *part; i++)
    if (part[i].lacks) text = cks_arena_format(work->arena, "%s%s%s", text, *text ? ", nor " : "", part[i].what);
  return text;
}

static cks_status check_content(cks_audit_work *work, const cks_column *column, const cks_content_words *said)
{
  const char *what = lacking(work, column, said);
  if (!*what) return CKS_OK;
  return cks_findings_add(
      work->findings, CKS_RULE_CONTENT_UNCLEAR, column->where, column->heading, NULL, work->error,
      "the heading does not say %s, and figures of different ones are several times apart; write it "
      "as in '%s'",
      what, column->role == CKS_ROLE_NITRATE ? "nitrate NO3-N ppm (dry)" : "prussic acid HCN ppm (as is)");
}

static cks_status take_content(cks_audit_work *work, cks_trial *trial, const cks_column *column, uint32_t cut)
{
  cks_content_words said = cks_content_read(column->heading);
  cks_content *content = &trial->content[trial->n_content];
  *content = (cks_content){.cut = cut,
                           .prussic_acid = column->role == CKS_ROLE_PRUSSIC_ACID,
                           .dry = said.dry,
                           .form = said.form,
                           .unit = column->unit,
                           .heading = cks_arena_text(work->arena, column->heading),
                           .value = malloc((trial->n_plot + 1) * sizeof *content->value),
                           .dry_ppm = malloc((trial->n_plot + 1) * sizeof *content->dry_ppm)};
  trial->n_content++;
  if (!content->value || !content->dry_ppm) return cks_error_nomem(work->error);
  for (size_t i = 0; i < trial->n_plot; i++) {
    double ppm = column->unit == CKS_UNIT_PERCENT ? cks_ppm_of_percent(column->number[i]) : column->number[i];
    if (!content->prussic_acid) ppm = cks_nitrate_convert(ppm, content->form, CKS_NITRATE_N);
    content->value[i] = column->number[i];
    content->dry_ppm[i] = content->dry ? ppm : cks_dry_basis(ppm, DRY_MATTER_SUM - trial->cut[cut].moisture_pct[i]);
  }
  return cks_arena_status(work->arena, work->error);
}

/* Which cut a column of several belongs to. */
static uint32_t cut_of_key(const cks_audit_work *work, const char *key)
{
  for (uint32_t k = 0; k < work->n_cut && work->n_cut > 1; k++) {
    const char *end = cks_audit_cut_key(work, k);
    size_t n = strlen(key), m = strlen(end);
    if (n > m && !strcmp(key + n - m, end)) return k;
  }
  return 0;
}

static cks_status take_contents(cks_audit_work *work, cks_trial *trial)
{
  const cks_table *table = work->table;
  cks_status status = CKS_OK;
  trial->content = cks_arena_take(work->arena, table->n_column + 1, sizeof *trial->content);
  if (!trial->content) return cks_error_nomem(work->error);
  for (size_t i = 0; i < table->n_column && status == CKS_OK; i++) {
    const cks_column *column = &table->column[i];
    if (column->role != CKS_ROLE_NITRATE && column->role != CKS_ROLE_PRUSSIC_ACID) continue;
    cks_content_words said = cks_content_read(column->heading);
    uint32_t cut = cut_of_key(work, column->key);
    if (cut == 0) status = check_content(work, column, &said); /* each cut's column has the same heading */
    if (status == CKS_OK) status = take_content(work, trial, column, cut);
  }
  return status;
}

/* ---- the whole -------------------------------------------------------------------------------------------------- */

/* --moisture, else the basis of the list's own yields, else the crop's, which is then assumed. */
static cks_status settle_basis(cks_audit_work *work)
{
  static const cks_role given[] = {CKS_ROLE_FORAGE_YIELD, CKS_ROLE_YIELD};
  work->forage_basis = work->settings->moisture_pct;
  for (size_t i = 0; i < sizeof given / sizeof *given && isnan(work->forage_basis); i++) {
    const cks_column *column = cks_table_column(work->table, given[i]);
    if (column && column->basis_pct > 0)
      work->forage_basis = column->basis_pct; /* 0: dry matter, which stands beside */
  }
  if (!isnan(work->forage_basis) || isnan(work->crop->moisture_pct)) return CKS_OK;
  work->forage_basis = work->crop->moisture_pct;
  bool told = false;
  for (size_t i = 0; i < work->findings->n; i++)
    told = told || work->findings->finding[i].rule == CKS_RULE_BASIS_ASSUMED;
  return told ? CKS_OK
              : cks_audit_say_all(work, CKS_RULE_BASIS_ASSUMED,
                                  "no moisture is asked for; forage yields are shown at %g %%, %s; --moisture names "
                                  "another; yields of dry matter stand beside them",
                                  work->forage_basis, work->crop->basis_source);
}

cks_status cks_audit_forage(cks_audit_work *work, cks_trial *trial)
{
  size_t n = work->n_cut > 1 ? work->n_cut : 1;
  cut_yields *cut = calloc(n, sizeof *cut);
  if (!cut) return cks_error_nomem(work->error);
  cks_status status = settle_basis(work);
  if (status == CKS_OK) status = make_yields(work, trial, cut, n);
  trial->cut = cks_arena_take(work->arena, n, sizeof *trial->cut);
  if (!trial->cut && status == CKS_OK) status = cks_error_nomem(work->error);
  for (size_t k = 0; k < n && status == CKS_OK; k++) {
    trial->cut[k] = (cks_cut){.name = ""};
    trial->n_cut = k + 1;
    status = describe_cut(work, trial, k);
  }
  if (status == CKS_OK) status = check_days(work, trial);
  if (status == CKS_OK) status = take_contents(work, trial);
  for (size_t k = 0; k < n; k++) free(cut[k].made);
  free(cut);
  return status == CKS_OK ? cks_arena_status(work->arena, work->error) : status;
}
