/*
 * calendar.c: the stage calendar: for each environment the days on which most hybrids stand between soft and hard dough, then
 * a table of hybrids by stages; before them what the dates rest on, and behind them cautions of forage after frost or drought.
 */
#include "calendar_words.h"
#include "cells.h"
#include "sections.h"
#include "words.h"

#include <string.h>

enum { OF_HYBRID, OF_FIELD, OF_STAGES, OF_FROM = OF_STAGES + CKS_CALENDAR_STAGES, COLUMNS };

static const char HOW_TO_READ[] = "Dates are ranges; a day with \"seen\" was observed: the mean or median day of the "
                                  "hybrid's plots. Field days are the usual days "
                                  "from soft to hard dough, while the "
                                  "upper head is coloring.";

static const cks_stage_date *date_of(const cks_calendar_row *row, size_t stage) { return &row->stage[stage]; }
static const char *label_of(size_t stage) { return cks_stage_at((cks_stage)(stage + CKS_CALENDAR_FIRST))->label; }

static const char *place_label(cks_draft *draft, cks_id environment)
{
  return cks_draft_text(draft, draft->trial->environment[environment].label);
}

/* ---- what the dates rest on --------------------------------------------------------------------------------------- */

/* A way to count that some date goes by: stages that share it stand together. */
typedef struct {
  cks_dated how;
  cks_stage from;
  const char *source, *then, *width;
  uint32_t stages; /* bits */
} way;
enum { MOST_WAYS = 64 };

static bool is_same(const char *a, const char *b) { return a == b || (a && b && !strcmp(a, b)); }

static void add_way(way *ways, size_t *n, const way *one)
{
  for (size_t i = 0; i < *n; i++)
    if (ways[i].how == one->how && ways[i].from == one->from && is_same(ways[i].source, one->source) &&
        is_same(ways[i].then, one->then) && is_same(ways[i].width, one->width)) {
      ways[i].stages |= one->stages;
      return;
    }
  if (*n < MOST_WAYS) ways[(*n)++] = *one;
}

static size_t list_ways(const cks_calendar *c, way *ways)
{
  size_t n = 0;
  for (size_t i = 0; i < c->n_row; i++)
    for (size_t s = 0; s < CKS_CALENDAR_STAGES; s++) {
      const cks_stage_date *date = date_of(&c->row[i], s);
      if (date->how != CKS_DATED_DAYS && date->how != CKS_DATED_HEAT) continue;
      cks_stage stage = (cks_stage)(s + CKS_CALENDAR_FIRST);
      way one = {date->how, date->from, NULL, NULL, cks_width_text(cks_calendar_width(&c->row[i], stage)), 1U << s};
      one.source = cks_calendar_source(c, &c->row[i], stage, &one.then);
      add_way(ways, &n, &one);
    }
  return n;
}

/* "Soft dough, hard dough and black layer by days from mid-bloom: SOURCE (WIDTH)." */
static const char *way_words(cks_draft *draft, const way *w)
{
  const char *name[CKS_CALENDAR_STAGES];
  size_t n = 0;
  for (size_t s = 0; s < CKS_CALENDAR_STAGES; s++)
    if (w->stages & 1U << s) name[n++] = label_of(s);
  const char *text =
      cks_arena_format(draft->arena, "%s by %s from %s: %s", cks_words_capital(draft, cks_words_list(draft, n, name)),
                       w->how == CKS_DATED_HEAT ? "heat units" : "days", cks_stage_at(w->from)->label, w->source);
  if (w->then && strcmp(w->then, w->source)) text = cks_arena_format(draft->arena, "%s; then %s", text, w->then);
  return cks_arena_format(draft->arena, "%s (%s).", text, w->width);
}

static const char *scheme_words(cks_draft *draft, const cks_stage_scheme *scheme)
{
  return cks_arena_format(
      draft->arena, "Heat units by one scheme for every hybrid, whatever its maturity: %s (%s, from %s).",
      scheme->label, cks_heat_scheme_find(scheme->heat)->label, cks_stage_at(scheme->origin)->label);
}

static bool is_any(const cks_calendar *c, bool (*holds)(const cks_stage_date *date))
{
  bool any = false;
  for (size_t i = 0; i < c->n_row; i++)
    for (size_t s = 0; s < CKS_CALENDAR_STAGES; s++) any |= holds(date_of(&c->row[i], s));
  return any;
}
static bool is_by_places(const cks_stage_date *date) { return date->how == CKS_DATED_PLACES; }
static bool is_due(const cks_stage_date *date) { return date->due; }

static void add_sources(cks_draft *draft, cks_section *section, const cks_calendar *c)
{
  way ways[MOST_WAYS];
  size_t n = list_ways(c, ways);
  const char *text = "";
  if (!cks_is_missing(c->as_of))
    text = cks_arena_format(draft->arena, "As of %s: what was seen or measured later is not used.",
                            cks_words_day(draft, c->as_of, true));
  if (is_any(c, is_due))
    text = cks_draft_sentence(draft, text, "Beside a range, \"look\" says: expected by then and not seen: look.");
  cks_draft_say(draft, section, CKS_PART_PARAGRAPH, cks_draft_sentence(draft, HOW_TO_READ, text));
  text = c->scheme ? scheme_words(draft, c->scheme) : "";
  for (size_t i = 0; i < n; i++) text = cks_draft_line(draft, text, way_words(draft, &ways[i]));
  if (is_any(c, is_by_places))
    text = cks_draft_line(draft, text,
                          cks_arena_format(draft->arena,
                                           "Mid-bloom that was not observed: from the fewest to the most days from %s "
                                           "that the hybrid took at its other places, two or more.",
                                           draft->trial->count_origin));
  cks_draft_say(draft, section, CKS_PART_PARAGRAPH, text);
}

/* ---- a place ---------------------------------------------------------------------------------------------------------- */

static const char *field_words(cks_draft *draft, const cks_calendar_place *place)
{
  if (cks_is_missing(place->field_from)) return "";
  return cks_arena_format(draft->arena,
                          "%s, field days: %s. Then the most hybrids at once, %u of %u, are expected between soft and "
                          "hard dough; the ranges of all run from %s.",
                          place_label(draft, place->environment),
                          cks_words_days(draft, place->field_from, place->field_to, true), place->field_most,
                          place->field_of, cks_words_days(draft, place->field_low, place->field_high, true));
}

static const char *lack_words(cks_draft *draft, const cks_calendar *c, const cks_calendar_place *place)
{
  const char *label = place_label(draft, place->environment);
  switch (place->lack) {
  case CKS_HEAT_NO_WEATHER:
    return cks_arena_format(draft->arena, "%s: no weather is given, so days stand in place of heat units.", label);
  case CKS_HEAT_NO_ORIGIN:
    return cks_arena_format(
        draft->arena,
        "%s: there is no one date of %s, from which the scheme counts, so no mid-bloom is predicted "
        "here.",
        label, cks_stage_at(c->scheme->origin)->label);
  case CKS_HEAT_NO_DAYS:
    return cks_arena_format(
        draft->arena,
        "%s: a day that is needed is missing in the weather, or it ends and there is no normal to go "
        "on with, so days stand in place of heat units where they do not reach.",
        label);
  case CKS_HEAT_USED:
    break;
  }
  return "";
}

static const char *without_words(cks_draft *draft, const cks_calendar_place *place)
{
  if (!place->n_without) return "";
  const char *who = cks_words_count(draft, place->n_without, "hybrid");
  if (cks_is_missing(place->origin))
    return cks_arena_format(draft->arena, "%s: no dates for %s: there is no one date of %s to count from.",
                            place_label(draft, place->environment), who, draft->trial->count_origin);
  return cks_arena_format(draft->arena,
                          "%s: no dates for %s: no mid-bloom there, nor at two other places, and no stage that was "
                          "observed.",
                          place_label(draft, place->environment), who);
}

/* "Weather is measured to Aug 10, 2026; each later day is that of the mean of 2021 to 2025." */
static const char *weather_words(cks_draft *draft, const cks_calendar *c, const cks_calendar_place *place)
{
  const cks_weather *w = &draft->trial->weather;
  uint32_t at = draft->trial->environment[place->environment].weather;
  bool normal = false;
  for (size_t i = place->first; i < place->first + place->n_row; i++)
    for (size_t s = 0; s < CKS_CALENDAR_STAGES; s++) normal |= date_of(&c->row[i], s)->normal_days > 0;
  if (!normal) return "";
  double last = w->place[at].first + (double)w->place[at].n - 1;
  return cks_arena_format(draft->arena, "%s: weather is measured to %s; each later day is that of %s.",
                          place_label(draft, place->environment),
                          cks_words_day(draft, c->as_of < last ? c->as_of : last, true),
                          cks_draft_text(draft, w->normal[at].source));
}

static const char *date_words(cks_draft *draft, const cks_stage_date *date, bool with_year)
{
  if (date->how == CKS_DATED_NOT) return "";
  const char *text = cks_words_days(draft, date->low, date->high, with_year);
  if (date->how == CKS_DATED_OBSERVED) return cks_arena_format(draft->arena, "%s seen", text);
  return date->due ? cks_arena_format(draft->arena, "%s, look", text) : text;
}

/* What the next stage is counted from. */
static const char *from_words(cks_draft *draft, const cks_calendar_row *row)
{
  const cks_stage_date *bloom = cks_calendar_stage(row, CKS_STAGE_MID_BLOOM);
  for (size_t s = CKS_CALENDAR_STAGES; s-- > 0;)
    if (date_of(row, s)->how == CKS_DATED_OBSERVED) return cks_arena_format(draft->arena, "%s, seen", label_of(s));
  if (bloom->how == CKS_DATED_PLACES) return cks_arena_format(draft->arena, "days at %u other places", row->n_other);
  return cks_arena_format(draft->arena, "%s, by heat units", cks_stage_at(bloom->from)->label);
}

static void put_row(cks_draft *draft, cks_report_table *table, size_t at, const cks_calendar_row *row, bool with_year)
{
  cks_cell_put(table, at, OF_HYBRID, cks_cell_hybrid(draft, row->hybrid));
  cks_cell_put(table, at, OF_FIELD, cks_cell_text(cks_words_days(draft, row->field_from, row->field_to, with_year)));
  for (size_t s = 0; s < CKS_CALENDAR_STAGES; s++)
    cks_cell_put(table, at, OF_STAGES + s, cks_cell_text(date_words(draft, date_of(row, s), with_year)));
  cks_cell_put(table, at, OF_FROM, cks_cell_text(from_words(draft, row)));
}

/* One word for all rows stands below the table, not beside each. */
static void take_common(cks_draft *draft, cks_report_table *table)
{
  const char *first = table->cell[OF_FROM].text;
  bool same = true;
  for (size_t i = 0; i < table->n_row; i++) same &= !strcmp(table->cell[i * COLUMNS + OF_FROM].text, first);
  if (!same) return;
  for (size_t i = 0; i < table->n_row; i++) cks_cell_put(table, i, OF_FROM, cks_cell_text(""));
  table->caption = cks_arena_format(draft->arena, "Counted from: %s.", first);
}

static cks_report_table *table_of(cks_draft *draft, const cks_calendar *c, const cks_calendar_place *place)
{
  cks_heading headings[COLUMNS] = {{"hybrid", "hybrid", NULL, true},
                                   {"field_days", "field days", NULL, true},
                                   [OF_FROM] = {"from", "counted from", NULL, true}};
  for (size_t s = 0; s < CKS_CALENDAR_STAGES; s++)
    headings[OF_STAGES + s] =
        (cks_heading){cks_stage_at((cks_stage)(s + CKS_CALENDAR_FIRST))->key, label_of(s), NULL, true};
  cks_report_table *table =
      place->n_row ? cks_draft_headed(draft, cks_arena_format(draft->arena, "calendar-%u", place->environment + 1),
                                      place_label(draft, place->environment), COLUMNS, headings, place->n_row)
                   : NULL;
  bool with_year = cks_words_turns_year(c, place);
  for (size_t i = 0; table && i < place->n_row; i++) put_row(draft, table, i, &c->row[place->first + i], with_year);
  if (table) take_common(draft, table);
  cks_draft_drop_blank(table);
  return table;
}

static void add_place(cks_draft *draft, cks_section *section, const cks_calendar *c, const cks_calendar_place *place)
{
  const char *text = cks_draft_line(draft, field_words(draft, place), lack_words(draft, c, place));
  text = cks_draft_line(draft, text, weather_words(draft, c, place));
  cks_draft_say(draft, section, CKS_PART_PARAGRAPH, cks_draft_line(draft, text, without_words(draft, place)));
  cks_draft_table_add(draft, section, table_of(draft, c, place));
}

/* ---- forage after frost or drought -------------------------------------------------------------------------------------- */

static const char *told_of(cks_draft *draft, cks_role role)
{
  const char *text = "";
  for (size_t e = 0; e < draft->trial->n_environment; e++) {
    const cks_environment *at = &draft->trial->environment[e];
    double day = at->place_number ? at->place_number[role] : cks_missing();
    if (!cks_is_missing(day))
      text = cks_arena_format(draft->arena, "%s%s%s (%s)", text, *text ? ", " : "", place_label(draft, (cks_id)e),
                              cks_words_day(draft, day, true));
  }
  return *text ? cks_arena_format(draft->arena, "%s: %s.", cks_words_capital(draft, cks_role_find(role)->label), text)
               : "";
}

static void add_cautions(cks_draft *draft, cks_section *section)
{
  const char *frost = told_of(draft, CKS_ROLE_FROST), *drought = told_of(draft, CKS_ROLE_DROUGHT);
  if (!draft->trial->crop->forage || (!*frost && !*drought)) return;
  cks_draft_say(
      draft, section, CKS_PART_CAUTION,
      cks_arena_format(draft->arena,
                       "%s Frost and drought can bring prussic acid, drought nitrate, into sorghum forage; no "
                       "figure or wait below is a promise.",
                       cks_draft_sentence(draft, frost, drought)));
  cks_forage_caution(draft, section, CKS_NONE);
}

/* ---- the section ---------------------------------------------------------------------------------------------------------- */

/* Somebody who has neither bloom nor stages is told nothing, unless he asked. */
static bool is_wanted(const cks_draft *draft)
{
  const cks_trial *trial = draft->trial;
  bool any = draft->settings->scheme || !cks_is_missing(draft->settings->as_of);
  for (size_t i = 0; i < trial->n_fact; i++) any |= trial->fact[i].role == CKS_ROLE_STAGE;
  return any || cks_results_trait(draft->results, CKS_ROLE_DAYS_TO_MID_BLOOM);
}

void cks_calendar_add(cks_draft *draft)
{
  const cks_calendar *c = draft->results->calendar;
  if (!c || !is_wanted(draft)) return;
  cks_section *section = cks_draft_section(draft, "calendar", "Stage calendar", CKS_FOR_ALL);
  section->new_page = true;
  cks_draft_say(draft, section, CKS_PART_HEADING, "Stage calendar: dates expected and seen");
  if (*c->why)
    cks_draft_say(draft, section, CKS_PART_PARAGRAPH, cks_arena_format(draft->arena, "No stage calendar: %s.", c->why));
  if (c->n_row) add_sources(draft, section, c);
  for (size_t i = 0; c->n_row && i < c->n_place; i++) add_place(draft, section, c, &c->place[i]);
  add_cautions(draft, section);
}
