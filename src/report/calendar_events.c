/*
 * calendar_events.c: the few days of the stage calendar that belong in a phone: for each environment its field days, and when
 * its grain is expected to be dry. An event stands for usual days; its text gives the ranges, and the days of the checks.
 */
#include "calendar_words.h"
#include "sections.h"
#include "words.h"

static const char NOT_CERTAIN[] = "Expected, not certain.";

static uint64_t hash_of(uint64_t hash, const char *text)
{
  for (const char *c = text; *c; c++) hash = (hash ^ (unsigned char)*c) * 0x100000001B3U; /* FNV-1a */
  return (hash ^ 0x1F) * 0x100000001B3U;
}

/* The same in every run for one location, year, trial and kind: a calendar that is read again is changed, not doubled. */
static const char *uid_of(cks_draft *draft, const cks_calendar_place *place, const char *kind, double from)
{
  const cks_environment *e = &draft->trial->environment[place->environment];
  int year = e->year, month, day;
  if (!year) cks_day_date(cks_is_missing(place->origin) ? from : place->origin, &year, &month, &day);
  uint64_t hash = hash_of(0xCBF29CE484222325U, draft->trial->location[e->location]);
  hash = hash_of(hash_of(hash, e->trial), kind);
  return cks_arena_format(draft->arena, "%s-%d-%08x%08x@checkstrip.invalid", kind, year, (unsigned)(hash >> 32),
                          (unsigned)(hash & 0xFFFFFFFF));
}

static const char *location_of(cks_draft *draft, const cks_environment *e)
{
  const char *name = cks_draft_text(draft, draft->trial->location[e->location]),
             *county = e->place ? cks_draft_text(draft, e->place[CKS_ROLE_COUNTY]) : "";
  return *county ? cks_arena_format(draft->arena, "%s, %s", name, county) : name;
}

/* A line for each check: "Orrin 66: Aug 3 to Aug 18". */
static const char *check_lines(cks_draft *draft, const cks_calendar_place *place, bool harvest)
{
  const cks_calendar *c = draft->results->calendar;
  bool with_year = cks_words_turns_year(c, place);
  const char *text = "";
  for (size_t i = place->first; i < place->first + place->n_row; i++) {
    const cks_calendar_row *row = &c->row[i];
    const cks_stage_date *dry = cks_calendar_stage(row, CKS_STAGE_HARVEST_MOISTURE);
    const char *days = harvest ? cks_words_days(draft, dry->low, dry->high, with_year)
                               : cks_words_days(draft, row->field_from, row->field_to, with_year);
    if (draft->results->hybrid[row->hybrid].check && *days)
      text = cks_draft_line(
          draft, text, cks_arena_format(draft->arena, "%s (check): %s", cks_words_hybrid(draft, row->hybrid), days));
  }
  return text;
}

static void add_event(cks_draft *draft, cks_event event)
{
  cks_report *report = draft->report;
  cks_event *grown = cks_draft_grow(draft, report->event, report->n_event, sizeof *grown);
  if (!grown) return;
  report->event = grown;
  report->event[report->n_event++] = event;
}

/* What is said, the checks' own days, and of a forage what must stand on all that is printed of it. */
static const char *words_of(cks_draft *draft, const cks_calendar_place *place, const char *text, bool harvest)
{
  text = cks_draft_line(draft, text, check_lines(draft, place, harvest));
  return cks_draft_line(draft, text, draft->trial->crop->forage ? CKS_FORAGE_CAUTION : "");
}

static void add_field_days(cks_draft *draft, const cks_calendar_place *place)
{
  const cks_environment *e = &draft->trial->environment[place->environment];
  const char *label = cks_draft_text(draft, e->label);
  if (cks_is_missing(place->field_from)) return;
  const char *text = cks_arena_format(
      draft->arena,
      "%s %u of %s between soft and hard dough, while the upper head is coloring. Ranges of all hybrids: %s.",
      NOT_CERTAIN, place->field_most, cks_words_count(draft, place->field_of, "hybrid"),
      cks_words_days(draft, place->field_low, place->field_high, true));
  add_event(draft, (cks_event){.uid = uid_of(draft, place, "field-days", place->field_from),
                               .from = place->field_from,
                               .to = place->field_to,
                               .summary = cks_arena_format(draft->arena, "Field days: %s", label),
                               .location = location_of(draft, e),
                               .description = words_of(draft, place, text, false)});
}

static void add_harvest(cks_draft *draft, const cks_calendar_place *place)
{
  const cks_environment *e = &draft->trial->environment[place->environment];
  const char *label = cks_draft_text(draft, e->label);
  if (cks_is_missing(place->harvest_from) || draft->trial->crop->forage)
    return; /* the grain of a forage is not dried */
  const char *text = cks_arena_format(draft->arena,
                                      "%s Usual days of the first to the last hybrid; %s. Ranges of all "
                                      "hybrids: %s.",
                                      NOT_CERTAIN, cks_stage_at(CKS_STAGE_HARVEST_MOISTURE)->mark,
                                      cks_words_days(draft, place->harvest_low, place->harvest_high, true));
  if (!(e->harvested > draft->results->calendar->as_of) && !cks_is_missing(e->harvested))
    text = cks_draft_sentence(
        draft, text, cks_arena_format(draft->arena, "Harvested %s.", cks_words_day(draft, e->harvested, true)));
  add_event(draft, (cks_event){.uid = uid_of(draft, place, "harvest-moisture", place->harvest_from),
                               .from = place->harvest_from,
                               .to = place->harvest_to,
                               .summary = cks_arena_format(draft->arena, "Grain near harvest moisture: %s", label),
                               .location = location_of(draft, e),
                               .description = words_of(draft, place, text, true)});
}

void cks_calendar_events_add(cks_draft *draft)
{
  const cks_calendar *c = draft->results->calendar;
  cks_report *report = draft->report;
  report->no_event = "there is no stage calendar";
  if (!c) return;
  if (!draft->settings->date || !cks_day_read(draft->settings->date, &report->event_stamp))
    report->event_stamp = c->last_date;
  for (size_t i = 0; c->n_row && i < c->n_place; i++) {
    add_field_days(draft, &c->place[i]);
    add_harvest(draft, &c->place[i]);
  }
  report->no_event = report->n_event ? "" : *c->why ? c->why : "no soft dough, hard dough or harvest is expected";
}
