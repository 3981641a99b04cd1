/*
 * calendar_row.c: the stages of one hybrid at one environment.
 *
 * An observed stage stands as observed. Another is counted forward from the latest observed stage before it from which a
 * source counts, else back from the earliest observed one after it; where nothing is observed, from mid-bloom as predicted
 * by the scheme from its own origin, else by the hybrid's days at other environments. Published days give ranges; heat
 * units are single figures, and take a fifth either way, which is the margin of agronomy.h. Ends of parts are added. Heat
 * units are used for all of a row's stages after what they are counted from, or for none of them.
 *
 * No range passes an observed stage: it is cut there, and one that lies wholly beyond it is no answer and left out.
 */
#include "calendar_row.h"

#include <math.h>

static const double MARGIN = 0.2; /* of heat units: CKS_WIDTH_FIFTH */

static double usual_or_high(const cks_stage_date *date)
{
  return cks_is_missing(date->usual) ? date->high : date->usual;
}

/* ---- heat units --------------------------------------------------------------------------------------------------- */

/* The weather of the place that may be used: what was measured up to the day of --as-of. */
static cks_weather_place measured(const cks_calendar_known *known)
{
  cks_weather_place place = known->trial->weather.place[known->environment->weather];
  double days = known->as_of - place.first + 1;
  if (days < (double)place.n) place.n = days > 0 ? (size_t)days : 0;
  return place;
}

/* The day on which `units` more have come since the end of day `from`. */
static double day_reached(const cks_calendar_known *known, double from, double units)
{
  const cks_weather *w = &known->trial->weather;
  const cks_weather_place place = measured(known);
  const cks_weather_normal *normal = w->n_normal ? &w->normal[known->environment->weather] : NULL;
  return cks_heat_day_reached(&place, normal, cks_heat_scheme_find(known->scheme->heat), from, units).day;
}

/* ---- from one stage to another -------------------------------------------------------------------------------------- */

/* A way to count, and what it begins with. */
typedef struct {
  cks_stage stage;
  cks_figure day;
  bool heat;
} start;

static const cks_stage_date no_date = {NAN, NAN, NAN, CKS_DATED_NOT, 0, 0, false};

/* Of the days from the start to the usual day, those behind the last measured one. */
static uint16_t normal_days(const cks_calendar_known *known, const start *from, const cks_stage_date *date)
{
  const cks_weather_place place = measured(known);
  double begin = cks_is_missing(from->day.usual) ? from->day.low : from->day.usual;
  double n = usual_or_high(date) - fmax(begin, place.first + (double)place.n - 1);
  return n > 0 ? (uint16_t)n : 0;
}

static cks_stage_date by_days(const start *from, cks_stage stage)
{
  bool back = stage < from->stage;
  cks_stage_interval step = back ? cks_stage_days(stage, from->stage) : cks_stage_days(from->stage, stage);
  if (!step.source || cks_is_missing(from->day.low)) return no_date;
  cks_stage_date date = {.how = CKS_DATED_DAYS, .from = from->stage};
  date.low = from->day.low + (back ? -step.days.high : step.days.low);
  date.usual = from->day.usual + (back ? -step.days.usual : step.days.usual);
  date.high = from->day.high + (back ? -step.days.low : step.days.high);
  return date;
}

static cks_stage_date by_heat(const cks_calendar_known *known, const start *from, cks_stage stage)
{
  double units = cks_stage_units(known->scheme, stage) - cks_stage_units(known->scheme, from->stage);
  if (cks_is_missing(units)) return no_date;
  cks_stage_date date = {.how = CKS_DATED_HEAT, .from = from->stage};
  date.low = day_reached(known, from->day.low, units * (1 - MARGIN));
  date.usual = day_reached(known, from->day.usual, units);
  date.high = day_reached(known, from->day.high, units * (1 + MARGIN));
  date.normal_days = normal_days(known, from, &date);
  return date;
}

/* Milk: between mid-bloom and soft dough. */
static cks_stage_date heat_to_milk(const cks_calendar_known *known, const start *from)
{
  if (from->stage > CKS_STAGE_MID_BLOOM) return no_date;
  cks_stage_date dough = by_heat(known, from, CKS_STAGE_SOFT_DOUGH);
  cks_stage_date bloom = from->stage == CKS_STAGE_MID_BLOOM ? (cks_stage_date){.low = from->day.low}
                                                            : by_heat(known, from, CKS_STAGE_MID_BLOOM);
  if (dough.how == CKS_DATED_NOT) return no_date;
  dough.low = bloom.low;
  dough.usual = cks_missing();
  dough.normal_days = normal_days(known, from, &dough);
  return dough;
}

static cks_stage_date heat_to_harvest(const cks_calendar_known *known, const start *from)
{
  if (from->stage >= CKS_STAGE_BLACK_LAYER) return by_days(from, CKS_STAGE_HARVEST_MOISTURE);
  cks_stage_date black = by_heat(known, from, CKS_STAGE_BLACK_LAYER);
  const start then = {CKS_STAGE_BLACK_LAYER, {black.low, black.usual, black.high}, false};
  cks_stage_date date = by_days(&then, CKS_STAGE_HARVEST_MOISTURE);
  date.how = black.how;
  date.from = from->stage;
  date.normal_days = normal_days(known, from, &date);
  return date;
}

static cks_stage_date count(const cks_calendar_known *known, const start *from, cks_stage stage)
{
  if (!from->heat || stage < from->stage) return by_days(from, stage);
  if (stage == CKS_STAGE_MILK) return heat_to_milk(known, from);
  return stage == CKS_STAGE_HARVEST_MOISTURE ? heat_to_harvest(known, from) : by_heat(known, from, stage);
}

/* ---- the row -------------------------------------------------------------------------------------------------------- */

static cks_stage_date *date_at(cks_calendar_row *row, cks_stage stage)
{
  return &row->stage[stage - CKS_CALENDAR_FIRST];
}

static start seen_at(const cks_calendar_known *known, cks_stage stage, bool heat)
{
  double day = known->seen[stage];
  return (start){stage, {day, day, day}, heat};
}

/* Forward from the latest observed stage that is counted from, back from the earliest. */
static cks_stage_date from_seen(const cks_calendar_known *known, cks_stage stage, bool heat)
{
  cks_stage_date date = no_date;
  for (int s = (int)stage - 1; s >= CKS_CALENDAR_FIRST && date.how == CKS_DATED_NOT; s--) {
    start from = seen_at(known, (cks_stage)s, heat);
    if (!cks_is_missing(from.day.low)) date = count(known, &from, stage);
  }
  for (int s = (int)stage + 1; s < CKS_STAGE_COUNT && date.how == CKS_DATED_NOT; s++) {
    start from = seen_at(known, (cks_stage)s, heat);
    if (!cks_is_missing(from.day.low)) date = count(known, &from, stage);
  }
  return date;
}

/* From a mid-bloom that was not observed. */
static cks_stage_date from_predicted(const cks_calendar_known *known, cks_stage stage, bool heat)
{
  start from = {CKS_STAGE_MID_BLOOM, known->elsewhere, heat};
  double origin = known->scheme_origin;
  if (heat && !cks_is_missing(origin)) {
    from = (start){known->scheme->origin, {origin, origin, origin}, true};
    return count(known, &from, stage);
  }
  if (cks_is_missing(from.day.low)) return no_date;
  if (stage != CKS_STAGE_MID_BLOOM) return count(known, &from, stage);
  return (cks_stage_date){from.day.low, from.day.usual, from.day.high, CKS_DATED_PLACES, CKS_STAGE_MID_BLOOM, 0, false};
}

static bool is_any_seen(const cks_calendar_known *known)
{
  bool any = false;
  for (int s = CKS_CALENDAR_FIRST; s < CKS_STAGE_COUNT; s++) any |= !cks_is_missing(known->seen[s]);
  return any;
}

/* False: heat units do not reach. */
static bool fill_stages(const cks_calendar_known *known, bool heat, cks_calendar_row *row)
{
  bool reached = true, any_seen = is_any_seen(known);
  for (int s = CKS_CALENDAR_FIRST; s < CKS_STAGE_COUNT; s++) {
    cks_stage stage = (cks_stage)s;
    cks_stage_date date;
    double day = known->seen[s];
    if (!cks_is_missing(day))
      date = (cks_stage_date){day, day, day, CKS_DATED_OBSERVED, stage, 0, false};
    else
      date = any_seen ? from_seen(known, stage, heat) : from_predicted(known, stage, heat);
    reached &= date.how != CKS_DATED_HEAT || (!cks_is_missing(date.low) && !cks_is_missing(date.high));
    *date_at(row, stage) = date;
  }
  return reached;
}

/* Between the observed stages before and after it. */
static void cut(const cks_calendar_known *known, cks_stage stage, cks_stage_date *date)
{
  double after = cks_missing(), before = cks_missing();
  for (int s = CKS_CALENDAR_FIRST; s < CKS_STAGE_COUNT; s++) {
    if (s < (int)stage) after = fmax(after, known->seen[s]); /* NaN loses */
    if (s > (int)stage) before = fmin(before, known->seen[s]);
  }
  date->low = fmax(date->low, after);
  date->high = fmin(date->high, before);
  if (date->low > date->high)
    *date = no_date;
  else if (!cks_is_missing(date->usual))
    date->usual = fmin(fmax(date->usual, date->low), date->high);
}

static void finish(const cks_calendar_known *known, cks_stage stage, cks_stage_date *date)
{
  if (date->how == CKS_DATED_NOT || date->how == CKS_DATED_OBSERVED) return;
  date->low = floor(date->low); /* a day that may be part of the range is in it */
  date->high = ceil(date->high);
  date->usual = floor(date->usual + 0.5);
  cut(known, stage, date);
  bool passed = false;
  for (int s = (int)stage + 1; s < CKS_STAGE_COUNT; s++) passed |= !cks_is_missing(known->seen[s]);
  date->due = !passed && usual_or_high(date) <= known->as_of;
}

bool cks_calendar_row_fill(const cks_calendar_known *known, cks_calendar_row *row, cks_heat_lack *lack)
{
  bool heat = known->scheme && known->environment->weather != CKS_NONE, any = false;
  if (heat && !fill_stages(known, true, row)) {
    if (*lack == CKS_HEAT_USED) *lack = CKS_HEAT_NO_DAYS; /* what was said before holds on */
    heat = false;
  }
  if (!heat) fill_stages(known, false, row);
  for (int s = CKS_CALENDAR_FIRST; s < CKS_STAGE_COUNT; s++) {
    finish(known, (cks_stage)s, date_at(row, (cks_stage)s));
    any |= date_at(row, (cks_stage)s)->how != CKS_DATED_NOT;
  }
  const cks_stage_date *soft = date_at(row, CKS_STAGE_SOFT_DOUGH), *hard = date_at(row, CKS_STAGE_HARD_DOUGH);
  bool field = soft->usual <= hard->usual;
  row->field_from = field ? soft->usual : cks_missing();
  row->field_to = field ? hard->usual : cks_missing();
  return any;
}
