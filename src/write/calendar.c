/*
 * calendar.c: the stage calendar as JSON: a row a hybrid and environment with its stages, then a row an environment with the
 * days on which most of its hybrids stand between soft and hard dough, and when grain is dry. Days are YYYY-MM-DD.
 */
#include "calendar.h"

static const char *const how_words[] = {[CKS_DATED_NOT] = NULL,
                                        [CKS_DATED_OBSERVED] = "observed",
                                        [CKS_DATED_DAYS] = "days",
                                        [CKS_DATED_PLACES] = "other places",
                                        [CKS_DATED_HEAT] = "heat units"};
static const char *const lack_words[] = {[CKS_HEAT_USED] = NULL,
                                         [CKS_HEAT_NO_WEATHER] = "no weather is given for the place",
                                         [CKS_HEAT_NO_ORIGIN] = "no date of the scheme's origin: mid-bloom is not "
                                                                "predicted by it",
                                         [CKS_HEAT_NO_DAYS] = "a day of the weather is missing, or it ends and there "
                                                              "is no normal"};

static const char *const width_words[CKS_WIDTH_COUNT + 1] = {
    [CKS_WIDTH_PUBLISHED] = "published", [CKS_WIDTH_FIFTH] = "fifth", [CKS_WIDTH_ORDER] = "order"};

static void put_day(cks_json *json, const char *key, double day)
{
  char text[CKS_NUMBER_TEXT];
  cks_json_text(json, key, cks_json_given(cks_print_date(text, day)));
}

static void put_place(cks_json *json, const cks_trial *trial, cks_id environment)
{
  const cks_environment *e = &trial->environment[environment];
  cks_json_text(json, "location", cks_json_given(trial->location[e->location]));
  if (e->year)
    cks_json_integer(json, "year", e->year);
  else
    cks_json_null(json, "year");
  cks_json_text(json, "trial", cks_json_given(e->trial));
}

static void put_stage(cks_json *json, const cks_calendar *c, const cks_calendar_row *row, cks_stage stage)
{
  const cks_stage_date *date = cks_calendar_stage(row, stage);
  const char *then, *source = cks_calendar_source(c, row, stage, &then);
  bool counted = date->how == CKS_DATED_DAYS || date->how == CKS_DATED_HEAT;
  if (date->how == CKS_DATED_NOT) return;
  cks_json_row(json, NULL);
  cks_json_text(json, "stage", cks_stage_at(stage)->key);
  put_day(json, "low", date->low);
  put_day(json, "usual", date->usual);
  put_day(json, "high", date->high);
  cks_json_text(json, "how", how_words[date->how]);
  cks_json_text(json, "from", counted ? cks_stage_at(date->from)->key : NULL);
  if (date->how == CKS_DATED_HEAT)
    cks_json_integer(json, "normal_days", date->normal_days);
  else
    cks_json_null(json, "normal_days");
  cks_json_text(json, "source", source);
  cks_json_text(json, "then_source", then);
  cks_json_text(json, "width", width_words[cks_calendar_width(row, stage)]);
  cks_json_bool(json, "expected_by_now", date->due);
  cks_json_end(json);
}

static void put_row(cks_json *json, const cks_trial *trial, const cks_results *results, const cks_calendar_row *row)
{
  const cks_calendar *c = results->calendar;
  cks_json_object(json, NULL);
  put_place(json, trial, row->environment);
  cks_json_text(json, "hybrid", results->hybrid[row->hybrid].name);
  cks_json_text(json, "brand", cks_json_given(results->hybrid[row->hybrid].brand));
  cks_json_text(json, "origin", trial->count_origin);
  put_day(json, "origin_date", c->place[row->environment].origin);
  cks_json_array(json, "stages");
  for (int s = CKS_CALENDAR_FIRST; s < CKS_STAGE_COUNT; s++) put_stage(json, c, row, (cks_stage)s);
  cks_json_end(json);
  cks_json_row(json, "field_day");
  put_day(json, "from", row->field_from);
  put_day(json, "to", row->field_to);
  cks_json_end(json);
  cks_json_end(json);
}

static void put_field_days(cks_json *json, const cks_trial *trial, const cks_calendar_place *place)
{
  cks_json_row(json, NULL);
  put_place(json, trial, place->environment);
  put_day(json, "from", place->field_from);
  put_day(json, "to", place->field_to);
  cks_json_integer(json, "hybrids", place->field_most);
  cks_json_integer(json, "of_hybrids", place->field_of);
  put_day(json, "earliest", place->field_low);
  put_day(json, "latest", place->field_high);
  put_day(json, "harvest_from", place->harvest_from);
  put_day(json, "harvest_to", place->harvest_to);
  put_day(json, "harvest_earliest", place->harvest_low);
  put_day(json, "harvest_latest", place->harvest_high);
  cks_json_integer(json, "hybrids_without", place->n_without);
  cks_json_text(json, "no_heat_units", lack_words[place->lack]);
  cks_json_end(json);
}

void cks_json_calendar(cks_json *json, const cks_trial *trial, const cks_results *results)
{
  const cks_calendar *c = results->calendar;
  cks_json_array(json, "calendar");
  for (size_t i = 0; c && i < c->n_row; i++) put_row(json, trial, results, &c->row[i]);
  cks_json_end(json);
  cks_json_array(json, "field_days");
  for (size_t i = 0; c && c->n_row && i < c->n_place; i++) put_field_days(json, trial, &c->place[i]);
  cks_json_end(json);
  cks_json_text(json, "calendar_why", c ? cks_json_given(c->why) : NULL);
}
