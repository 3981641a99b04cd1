/*
 * derive.c: traits made of other columns: days to mid-bloom of dates; yield of plot weight, area and moisture.
 *
 * A derived value goes before a given one when both stand (the weight is what was measured); a difference is a finding.
 * A forage's yields are made in forage.c. Out: the table gets, or fills, its yield and days_to_mid_bloom columns; work->yield_basis, trial->count_origin.
 */
#include "derive.h"

#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double LONGEST_SEASON = 365;   /* days between two dates of one season's plot */
static const double YIELD_TOLERANCE = 0.01; /* share: a larger difference between given and computed is reported */

/* ---- where a plot's input stands -------------------------------------------------------------------------------- */

static cks_input_at input_of(const cks_audit_work *work, cks_role role, cks_unit to)
{
  return (cks_input_at){cks_table_column(work->table, role), role, to};
}

double cks_input_value(const cks_audit_work *work, const cks_trial *trial, const cks_input_at *in, size_t plot)
{
  double own = in->column ? in->column->number[plot] : NAN;
  cks_unit unit = in->column ? in->column->unit : in->to;
  if (isnan(own)) {
    own = work->place_number[trial->environment_of[plot] * CKS_ROLE_COUNT + in->role];
    unit = cks_role_find(in->role)->unit;
  }
  return cks_role_find(in->role)->kind == CKS_DATE ? own : cks_unit_convert(own, unit, in->to, work->crop);
}

cks_status cks_derived_column(cks_audit_work *work, cks_role role, const char *key, cks_unit unit, cks_column **out)
{
  cks_table *table = work->table;
  *out = NULL;
  for (size_t i = 0; i < table->n_column && !*out; i++)
    if (table->column[i].role == role && (!key || !strcmp(table->column[i].key, key))) *out = &table->column[i];
  if (*out) return CKS_OK;
  cks_column *grown = realloc(table->column, (table->n_column + 1) * sizeof *grown);
  if (!grown) return cks_error_nomem(work->error);
  table->column = grown;
  double *number = malloc((table->n_row + 1) * sizeof *number);
  if (!number) return cks_error_nomem(work->error);
  for (size_t i = 0; i < table->n_row; i++) number[i] = NAN;
  const cks_role_fact *fact = cks_role_find(role);
  grown[table->n_column] = (cks_column){.role = role,
                                        .unit = unit,
                                        .unit_stated = true,
                                        .kind = CKS_NUMBER,
                                        .heading = fact->label,
                                        .key = key ? key : fact->key,
                                        .where = CKS_NOWHERE,
                                        .basis_pct = NAN,
                                        .scale_low = NAN,
                                        .scale_high = NAN,
                                        .better = fact->better,
                                        .number = number};
  *out = &grown[table->n_column++];
  return CKS_OK;
}

cks_status cks_derived_place(const cks_audit_work *work, cks_column *made, const cks_column *from, size_t plot)
{
  if (!from->line && !made->line) return CKS_OK;
  cks_status status = cks_table_place_cells(work->table, made, work->error);
  if (status != CKS_OK) return status;
  cks_where where = cks_table_where(work->table, from, plot);
  made->line[plot] = where.line;
  made->file[plot] = (uint16_t)where.file;
  return CKS_OK;
}

/* ---- days to mid-bloom ------------------------------------------------------------------------------------------ */

/* Dates of a plot must come in the order of the season. */
static cks_status check_dates(cks_audit_work *work, const cks_trial *trial)
{
  static const cks_role season[] = {CKS_ROLE_PLANTED, CKS_ROLE_EMERGED, CKS_ROLE_MID_BLOOM, CKS_ROLE_HARVESTED};
  static const char *const event[] = {"planting", "emergence", "mid-bloom", "harvest"};
  enum { N_DATE = sizeof season / sizeof *season };
  cks_input_at date[N_DATE];
  cks_status status = CKS_OK;
  for (size_t k = 0; k < N_DATE; k++) date[k] = input_of(work, season[k], CKS_UNIT_DATE);
  for (size_t i = 0; i < trial->n_plot && status == CKS_OK; i++) {
    size_t last = N_DATE;
    double before = NAN;
    for (size_t k = 0; k < N_DATE && status == CKS_OK; k++) {
      char day[CKS_NUMBER_TEXT], first[CKS_NUMBER_TEXT];
      double at = cks_input_value(work, trial, &date[k], i);
      if (isnan(at)) continue;
      if (at - before > LONGEST_SEASON)
        status = cks_audit_say(work, CKS_RULE_DATES_FAR, i, date[k].column, cks_print_date(day, at),
                               "%s %s stands %.0f days after %s %s; correct the year of one of them", event[k], day,
                               at - before, event[last], cks_print_date(first, before));
      if (before > at)
        status = cks_audit_say(work, CKS_RULE_DATES_BACKWARD, i, date[k].column, cks_print_date(day, at),
                               "%s %s stands before %s %s; "
                               "correct one of the dates",
                               event[k], day, event[last], cks_print_date(first, before));
      before = at;
      last = k;
    }
  }
  return status;
}

static cks_status fill_days(cks_audit_work *work, const cks_trial *trial, cks_column *days, const cks_column *bloom,
                            cks_role origin)
{
  cks_status status = CKS_OK;
  cks_input_at from = input_of(work, origin, CKS_UNIT_DATE);
  for (size_t i = 0; i < trial->n_plot && status == CKS_OK; i++) {
    double counted = cks_days_between(cks_input_value(work, trial, &from, i), bloom->number[i]),
           given = days->number[i];
    if (cks_is_missing(counted)) continue;
    if (!cks_is_missing(given) && fabs(given - counted) > 0.5)
      status = cks_audit_say(work, CKS_RULE_DAYS_DIFFER, i, days, "", "%s is %g and the dates give %g, which is used",
                             days->heading, given, counted);
    days->number[i] = counted;
    if (status == CKS_OK) status = cks_derived_place(work, days, bloom, i);
  }
  return status;
}

static cks_status report_unplanted(cks_audit_work *work, const cks_trial *trial, const cks_column *bloom,
                                   cks_role origin)
{
  cks_status status = CKS_OK;
  cks_input_at from = input_of(work, origin, CKS_UNIT_DATE);
  for (size_t e = 0; e < trial->n_environment && status == CKS_OK; e++) {
    const cks_environment *at = &trial->environment[e];
    size_t lacking = 0;
    for (size_t i = at->first; i < (size_t)at->first + at->n; i++)
      lacking += !cks_is_missing(bloom->number[i]) && cks_is_missing(cks_input_value(work, trial, &from, i));
    if (lacking)
      status = cks_audit_say_all(work, CKS_RULE_NO_PLANTED,
                                 "%s: %s with a mid-bloom date and no planting date to count from; "
                                 "add 'planted' to the plot list or to the places table",
                                 at->label, cks_audit_count(work->arena, lacking, "plot"));
  }
  return status;
}

static cks_status derive_days(cks_audit_work *work, cks_trial *trial)
{
  const cks_column *bloom = cks_table_column(work->table, CKS_ROLE_MID_BLOOM);
  bool planted = cks_table_column(work->table, CKS_ROLE_PLANTED) != NULL,
       emerged = cks_table_column(work->table, CKS_ROLE_EMERGED) != NULL;
  for (size_t e = 0; e < trial->n_environment; e++) {
    planted = planted || !isnan(work->place_number[e * CKS_ROLE_COUNT + CKS_ROLE_PLANTED]);
    emerged = emerged || !isnan(work->place_number[e * CKS_ROLE_COUNT + CKS_ROLE_EMERGED]);
  }
  cks_role origin = !planted && emerged ? CKS_ROLE_EMERGED : CKS_ROLE_PLANTED;
  trial->count_origin = origin == CKS_ROLE_EMERGED ? "emergence" : "planting";
  cks_status status = bloom || planted || emerged ? check_dates(work, trial) : CKS_OK;
  if (!bloom || status != CKS_OK) return status;
  cks_column *days;
  status = cks_derived_column(work, CKS_ROLE_DAYS_TO_MID_BLOOM, NULL, CKS_UNIT_DAYS, &days);
  if (status == CKS_OK) bloom = cks_table_column(work->table, CKS_ROLE_MID_BLOOM); /* the columns may have moved */
  if (status == CKS_OK) status = report_unplanted(work, trial, bloom, origin);
  return status == CKS_OK ? fill_days(work, trial, days, bloom, origin) : status;
}

/* ---- yield ------------------------------------------------------------------------------------------------------ */

static cks_harvest_inputs find_inputs(const cks_audit_work *work)
{
  return (cks_harvest_inputs){
      input_of(work, CKS_ROLE_PLOT_WEIGHT, CKS_UNIT_LB),   input_of(work, CKS_ROLE_GROSS, CKS_UNIT_LB),
      input_of(work, CKS_ROLE_TARE, CKS_UNIT_LB),          input_of(work, CKS_ROLE_HARVEST_LENGTH, CKS_UNIT_FT),
      input_of(work, CKS_ROLE_HARVEST_WIDTH, CKS_UNIT_FT), input_of(work, CKS_ROLE_ROWS_HARVESTED, CKS_UNIT_COUNT),
      input_of(work, CKS_ROLE_ROW_SPACING, CKS_UNIT_IN),   input_of(work, CKS_ROLE_MOISTURE, CKS_UNIT_PERCENT),
      input_of(work, CKS_ROLE_WET_YIELD, CKS_UNIT_BU_AC)};
}

double cks_harvest_weight(const cks_audit_work *work, const cks_trial *trial, const cks_harvest_inputs *in, size_t i)
{
  double weight = cks_input_value(work, trial, &in->weight, i);
  double tare = in->tare.column ? cks_input_value(work, trial, &in->tare, i) : 0;
  return isnan(weight) ? cks_input_value(work, trial, &in->gross, i) - tare : weight;
}

double cks_harvest_acres(const cks_audit_work *work, const cks_trial *trial, const cks_harvest_inputs *in, size_t i)
{
  double width = cks_input_value(work, trial, &in->width, i);
  if (isnan(width))
    width =
        cks_rows_width_ft(cks_input_value(work, trial, &in->rows, i), cks_input_value(work, trial, &in->spacing, i));
  return cks_acres(cks_input_value(work, trial, &in->length, i), width);
}

typedef struct {
  size_t no_area, no_moisture, given, converted;
  size_t made; /* of weights */
  size_t kept; /* given, and nothing to make one of */
} yield_count;

const cks_column *cks_harvest_source(const cks_harvest_inputs *in, size_t i)
{
  const cks_input_at *from[] = {&in->weight, &in->gross};
  for (size_t k = 0; k < sizeof from / sizeof *from; k++)
    if (from[k]->column && !cks_is_missing(from[k]->column->number[i])) return from[k]->column;
  return in->wet.column;
}

/* bu/ac at basis from the plot's weight, else from a wet yield; NaN when it cannot be made. */
static double made_yield(const cks_audit_work *work, const cks_trial *trial, const cks_harvest_inputs *in, size_t i,
                         double basis, yield_count *count)
{
  double weight = cks_harvest_weight(work, trial, in, i), moisture = cks_input_value(work, trial, &in->moisture, i);
  double wet = cks_input_value(work, trial, &in->wet, i);
  if (isnan(weight)) {
    count->converted += !isnan(wet) && !isnan(moisture);
    count->no_moisture += !isnan(wet) && isnan(moisture);
    return cks_at_moisture(wet, moisture, basis);
  }
  double acres = cks_harvest_acres(work, trial, in, i);
  count->no_area += cks_is_missing(acres);
  count->no_moisture += cks_is_missing(moisture);
  count->made += !cks_is_missing(acres) && !cks_is_missing(moisture);
  return cks_plot_yield(weight, moisture, acres, work->crop, basis);
}

static cks_status report_yield(cks_audit_work *work, const cks_environment *e, const yield_count *count)
{
  cks_status status = CKS_OK;
  if (count->no_area && !count->given)
    status = cks_audit_say_all(work, CKS_RULE_NO_AREA,
                               "%s: %s with a weight and no harvested area; add harvest_length and "
                               "harvest_width (or rows_harvested and row_spacing) to the plot list or to --places",
                               e->label, cks_audit_count(work->arena, count->no_area, "plot"));
  if (count->no_moisture && status == CKS_OK)
    status = cks_audit_say_all(work, CKS_RULE_NO_MOISTURE,
                               "%s: %s with a weight and no moisture, so no yield at standard "
                               "moisture",
                               e->label, cks_audit_count(work->arena, count->no_moisture, "plot"));
  return status;
}

/* A yield that was made of a plot weight is held against the same limits as one that stands in the file. */
static cks_status check_made(cks_audit_work *work, const cks_harvest_inputs *inputs, size_t plot, double weight,
                             double made, cks_unit unit)
{
  const cks_column *from = cks_harvest_source(inputs, plot);
  cks_audit_at at = {plot, cks_table_where(work->table, from, plot), NULL, NULL};
  at.where.column = 0; /* it is about three cells */
  cks_audit_limits l = cks_audit_limits_in(work, CKS_ROLE_YIELD, unit);
  const char *in = cks_unit_text(unit);
  if (weight < 0)
    return cks_audit_say_at(work, CKS_RULE_OUT_OF_RANGE, &at,
                            "the plot's weight is %g lb, which cannot be; correct its cells or leave them empty",
                            weight);
  if (weight == 0)
    return cks_audit_say_at(work, CKS_RULE_ZERO_MEANS_LOST, &at,
                            "the plot's weight is 0 lb: a lost plot? leave its cells empty, "
                            "or give the row a reason in a leave_out column");
  if (made > l.high)
    return cks_audit_say_at(work, CKS_RULE_OUT_OF_RANGE, &at,
                            "the plot's weight, area and moisture make %.1f %s, which cannot be "
                            "(up to %g); correct one of the three",
                            made, in, l.high);
  if (made > l.usual_high)
    return cks_audit_say_at(work, CKS_RULE_UNUSUAL_VALUE, &at,
                            "the plot's weight, area and moisture make %.1f %s; usual is up to "
                            "%g",
                            made, in, l.usual_high);
  return CKS_OK;
}

/* The units that nobody states of what a yield is made of: "(weight taken as lb, length as ft)"; "" none. */
static const char *assumed_inputs(const cks_audit_work *work, const cks_harvest_inputs *in)
{
  const struct {
    const cks_input_at *from;
    const char *word;
  } part[] = {{&in->weight, "weight"}, {&in->gross, "weight"}, {&in->length, "length"}, {&in->width, "width"}};
  const char *text = "";
  for (size_t k = 0; k < sizeof part / sizeof *part; k++) {
    const cks_column *column = part[k].from->column;
    if (!column || column->unit_stated) continue;
    text = cks_arena_format(work->arena, "%s%s%s taken as %s", text, *text ? ", " : "(", part[k].word,
                            cks_unit_text(column->unit));
  }
  return *text ? cks_arena_format(work->arena, "%s)", text) : "";
}

/* A whole trial of tiny yields speaks of a wrong unit, whatever each plot may be. */
static cks_status check_middle(cks_audit_work *work, const cks_trial *trial, const cks_column *yield)
{
  cks_audit_limits l = cks_audit_limits_in(work, CKS_ROLE_YIELD, yield->unit);
  cks_status status = CKS_OK;
  size_t n = 0;
  double *value = malloc((trial->n_plot + 1) * sizeof *value);
  if (!value) return cks_error_nomem(work->error);
  for (size_t i = 0; i < trial->n_plot; i++)
    if (!cks_is_missing(yield->number[i])) value[n++] = yield->number[i];
  gsl_sort(value, 1, n);
  double middle = n ? gsl_stats_median_from_sorted_data(value, 1, n) : NAN;
  if (middle < l.usual_low)
    status = cks_audit_say_all(work, CKS_RULE_UNIT_DOUBTFUL,
                               "the middle yield made of plot weights is %.1f %s, far from usual: look at the units of "
                               "weight, length and width (--unit plot_weight=kg says another)",
                               middle, cks_unit_text(yield->unit));
  free(value);
  return status;
}

/* Fills yield (in its own unit, at work->yield_basis) from weights; reports what differs from a given yield. */
static cks_status fill_yield(cks_audit_work *work, const cks_trial *trial, cks_column *yield,
                             const cks_harvest_inputs *in)
{
  cks_status status = CKS_OK;
  yield_count all = {0};
  for (size_t e = 0; e < trial->n_environment && status == CKS_OK; e++) {
    const cks_environment *at = &trial->environment[e];
    yield_count count = {0};
    for (size_t i = at->first; i < (size_t)at->first + at->n && status == CKS_OK; i++) {
      double given = yield->number[i];
      double made = cks_unit_convert(made_yield(work, trial, in, i, work->yield_basis, &count), CKS_UNIT_BU_AC,
                                     yield->unit, work->crop);
      count.given += !cks_is_missing(given);
      count.kept += !cks_is_missing(given) && isnan(made);
      status = check_made(work, in, i, cks_harvest_weight(work, trial, in, i), made, yield->unit);
      if (status != CKS_OK) break;
      if (!isnan(given) && fabs(made - given) > YIELD_TOLERANCE * fabs(made))
        status = cks_audit_say(work, CKS_RULE_YIELD_DIFFERS, i, yield, "",
                               "%s is %.1f and the plot weight gives %.1f, which is used", yield->heading, given, made);
      if (isnan(made) || status != CKS_OK) continue;
      yield->number[i] = made;
      const cks_column *from = cks_harvest_source(in, i);
      if (from) status = cks_derived_place(work, yield, from, i);
    }
    all.made += count.made;
    all.converted += count.converted;
    all.kept += count.kept;
    if (status == CKS_OK) status = report_yield(work, at, &count);
  }
  if (all.made && status == CKS_OK) status = check_middle(work, trial, yield);
  const char *assumed = assumed_inputs(work, in), *rest = all.kept ? ", else as given" : "";
  work->yield_text = "as given";
  if (all.made)
    work->yield_text = cks_arena_format(work->arena, "from plot weights%s%s%s", *assumed ? " " : "", assumed, rest);
  else if (all.converted)
    work->yield_text = cks_arena_format(work->arena, "from wet yields%s", rest);
  return status;
}

static cks_status derive_yield(cks_audit_work *work, const cks_trial *trial)
{
  cks_column *yield = cks_table_column(work->table, CKS_ROLE_YIELD);
  double asked = work->settings->moisture_pct,
         given = yield && !isnan(yield->basis_pct) ? yield->basis_pct : work->crop->moisture_pct;
  bool make = cks_table_column(work->table, CKS_ROLE_PLOT_WEIGHT) || cks_table_column(work->table, CKS_ROLE_GROSS) ||
              cks_table_column(work->table, CKS_ROLE_WET_YIELD);
  work->yield_basis = !isnan(asked) ? asked : given;
  work->yield_text = "as given";
  for (size_t i = 0; yield && given != work->yield_basis && i < trial->n_plot; i++)
    yield->number[i] = cks_at_moisture(yield->number[i], given, work->yield_basis);
  if (!make) return CKS_OK;
  cks_status status = cks_derived_column(work, CKS_ROLE_YIELD, NULL, CKS_UNIT_BU_AC, &yield);
  cks_harvest_inputs in = find_inputs(work);
  return status == CKS_OK ? fill_yield(work, trial, yield, &in) : status;
}

cks_status cks_audit_derive(cks_audit_work *work, cks_trial *trial)
{
  cks_status status = derive_days(work, trial);
  return status == CKS_OK && !work->crop->forage ? derive_yield(work, trial) : status;
}
