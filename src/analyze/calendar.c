/*
 * calendar.c: the stage calendar: for each environment the dates of its hybrids (calendar_row.c), the days on which most of
 * them stand between soft and hard dough, and when grain is dry.
 *
 * A hybrid's mid-bloom is the origin's date and its adjusted mean days there, to a whole day. Where it has none it is
 * expected after as many days as at the hybrid's other environments, from the fewest to the most, if they are two or more.
 * Days from planting and days from emergence are never mixed: the days are all of one origin (cks_trial.count_origin), and a
 * scheme counts from its own. An observed stage
 * stands at the median of the first days that it was noted on in the hybrid's plots, a half day later.
 */
#include "calendar.h"

#include "calendar_row.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { FEWEST_OTHERS = 2 };

/* Days to mid-bloom of a hybrid over the environments where it has bloomed. */
typedef struct {
  uint32_t n;
  double sum, first, last;
} record;

typedef struct {
  cks_stage stage;
  uint32_t hybrid;
  double day;
} note;

typedef struct {
  const cks_task *task;
  cks_calendar *calendar;
  cks_arena *scratch;
  const cks_trait_result *bloom; /* days to mid-bloom; NULL: none */
  size_t n_stage;                /* facts of the trial that are growth stages */
  record *elsewhere;             /* size n_hybrid */
  double *bloomed;               /* size n_hybrid: day of mid-bloom at the environment in work; NaN */
  bool *grows;                   /* size n_hybrid: has a plot there */
  note *noted; /* size n_stage x plots of the largest environment, n_note of it filled: by hybrid, stage, day */
  size_t n_note;
} work;

const cks_stage_date *cks_calendar_stage(const cks_calendar_row *row, cks_stage stage)
{
  return &row->stage[stage - CKS_CALENDAR_FIRST];
}

static cks_stage_interval interval_of(const cks_stage_date *date, cks_stage stage)
{
  return date->from < stage ? cks_stage_days(date->from, stage) : cks_stage_days(stage, date->from);
}

const char *cks_calendar_source(const cks_calendar *calendar, const cks_calendar_row *row, cks_stage stage,
                                const char **then)
{
  const cks_stage_date *date = cks_calendar_stage(row, stage);
  *then = NULL;
  if (date->how == CKS_DATED_HEAT) {
    if (stage == CKS_STAGE_HARVEST_MOISTURE)
      *then = cks_stage_days(CKS_STAGE_BLACK_LAYER, CKS_STAGE_HARVEST_MOISTURE).source;
    return calendar->scheme->source;
  }
  if (date->how != CKS_DATED_DAYS) return NULL;
  cks_stage_interval step = interval_of(date, stage);
  *then = step.then_source;
  return step.source;
}

cks_width cks_calendar_width(const cks_calendar_row *row, cks_stage stage)
{
  const cks_stage_date *date = cks_calendar_stage(row, stage);
  if (date->how == CKS_DATED_HEAT) return stage == CKS_STAGE_MILK ? CKS_WIDTH_ORDER : CKS_WIDTH_FIFTH;
  return date->how == CKS_DATED_DAYS ? interval_of(date, stage).width : CKS_WIDTH_COUNT;
}

/* ---- settings ------------------------------------------------------------------------------------------------------- */

cks_status cks_calendar_check(const cks_task *task)
{
  const char *key = task->settings->scheme, *known = "";
  if (!key || cks_stage_scheme_find(key)) return CKS_OK;
  for (size_t i = 0; cks_stage_scheme_at(i); i++)
    known = cks_arena_format(task->results->arena, "%s%s%s", known, i ? ", " : "", cks_stage_scheme_at(i)->key);
  return cks_error_set(task->error, CKS_USAGE, "--scheme: '%s' is no scheme of heat units; expected one of %s", key,
                       known);
}

/* ---- days of the data ----------------------------------------------------------------------------------------------- */

static double place_date(const cks_environment *e, cks_role role)
{
  return e->place_number ? e->place_number[role] : cks_missing();
}

static double origin_date(const cks_environment *e, cks_stage origin)
{
  return origin == CKS_STAGE_PLANTING ? e->planted : place_date(e, CKS_ROLE_EMERGED);
}

static cks_stage origin_of_days(const cks_trial *trial)
{
  return strcmp(trial->count_origin, "emergence") ? CKS_STAGE_PLANTING : CKS_STAGE_EMERGENCE;
}

double cks_count_origin(const cks_trial *trial, const cks_environment *e)
{
  return origin_date(e, origin_of_days(trial));
}

/* By --as-of. */
static bool is_known_by(const work *w, double day)
{
  return cks_is_missing(w->calendar->as_of) || day <= w->calendar->as_of;
}

/* The day of mid-bloom of a line of an environment; NaN: none, or not known yet. */
static double bloom_day(const work *w, double origin, const cks_hybrid_result *line)
{
  double day = floor(origin + line->mean + 0.5);
  return is_known_by(w, day) ? day : cks_missing();
}

/* Of environments, their weather, and what plots say of themselves. */
static double last_date(const work *w)
{
  const cks_trial *trial = w->task->trial;
  double last = cks_missing();
  for (size_t e = 0; e < trial->n_environment; e++) {
    last = fmax(last, fmax(trial->environment[e].planted, trial->environment[e].harvested)); /* NaN loses */
    for (int role = 0; role < CKS_ROLE_COUNT; role++)
      if (cks_role_find((cks_role)role)->kind == CKS_DATE)
        last = fmax(last, place_date(&trial->environment[e], (cks_role)role));
  }
  for (size_t i = 0; i < trial->n_fact; i++) {
    last = fmax(last, trial->fact[i].day);
    for (size_t p = 0; cks_role_find(trial->fact[i].role)->kind == CKS_DATE && p < trial->n_plot; p++)
      last = fmax(last, trial->fact[i].number[p]);
  }
  for (size_t i = 0; i < trial->weather.n; i++)
    last = fmax(last, trial->weather.place[i].first + (double)trial->weather.place[i].n - 1);
  for (size_t j = 0; w->bloom && j < w->bloom->n_location; j++) {
    const cks_analysis *a = &w->bloom->location[j];
    double origin = cks_count_origin(trial, &trial->environment[a->environment]);
    for (size_t i = 0; i < a->n_hybrid; i++) last = fmax(last, floor(origin + a->hybrid[i].mean + 0.5));
  }
  return last;
}

static void keep_records(work *w)
{
  const cks_trial *trial = w->task->trial;
  for (size_t j = 0; w->bloom && j < w->bloom->n_location; j++) {
    const cks_analysis *a = &w->bloom->location[j];
    double origin = cks_count_origin(trial, &trial->environment[a->environment]);
    for (size_t i = 0; i < a->n_hybrid; i++) {
      const cks_hybrid_result *line = &a->hybrid[i];
      record *r = &w->elsewhere[line->hybrid];
      bool unknown = !cks_is_missing(w->calendar->as_of) && cks_is_missing(bloom_day(w, origin, line));
      if (cks_is_missing(line->mean) || unknown) continue;
      r->first = r->n ? fmin(r->first, line->mean) : line->mean;
      r->last = r->n ? fmax(r->last, line->mean) : line->mean;
      r->sum += line->mean;
      r->n++;
    }
  }
}

/* ---- what is known at one environment --------------------------------------------------------------------------------- */

static int compare_notes(const void *left, const void *right)
{
  const note *a = left, *b = right;
  if (a->hybrid != b->hybrid) return (a->hybrid > b->hybrid) - (a->hybrid < b->hybrid);
  if (a->stage != b->stage) return (a->stage > b->stage) - (a->stage < b->stage);
  return (a->day > b->day) - (a->day < b->day);
}

static bool is_of_one_look(const cks_plot_fact *a, const cks_plot_fact *b)
{
  return a->day == b->day || (cks_is_missing(a->day) && cks_is_missing(b->day));
}

/* The day of a plot's stage: as the date beside it says, else of the look. */
static double noted_on(const cks_trial *trial, const cks_plot_fact *stage, uint32_t plot)
{
  for (size_t i = 0; i < trial->n_fact; i++) {
    const cks_plot_fact *date = &trial->fact[i];
    if (date->role == CKS_ROLE_STAGE_DATE && is_of_one_look(date, stage) && !cks_is_missing(date->number[plot]))
      return floor(date->number[plot]);
  }
  return stage->day;
}

/* A plot's note, unless it has that stage already; then the first day of it. The plot's notes begin at `first`. */
static void add_note(work *w, size_t first, note one)
{
  for (size_t i = first; i < w->n_note; i++)
    if (w->noted[i].stage == one.stage) {
      w->noted[i].day = fmin(w->noted[i].day, one.day);
      return;
    }
  w->noted[w->n_note++] = one;
}

static void take_notes(work *w, const cks_environment *e)
{
  const cks_trial *trial = w->task->trial;
  w->n_note = 0;
  for (uint32_t p = e->first; w->n_stage && p < e->first + e->n; p++) {
    size_t first = w->n_note;
    for (size_t i = 0; i < trial->n_fact; i++) {
      const cks_plot_fact *fact = &trial->fact[i];
      if (fact->role != CKS_ROLE_STAGE || fact->name[p] == CKS_NONE) continue;
      const cks_stage_fact *stage = cks_stage_find(cks_names_text(&trial->names, fact->name[p]));
      double day = noted_on(trial, fact, p);
      if (stage && !cks_is_missing(day) && is_known_by(w, day))
        add_note(w, first, (note){stage->stage, trial->hybrid_of[p], day});
    }
  }
  if (w->n_note) qsort(w->noted, w->n_note, sizeof *w->noted, compare_notes);
}

/* The notes of a hybrid begin at *at, which moves past them. */
static void median_days(const work *w, cks_id hybrid, size_t *at, double seen[CKS_STAGE_COUNT])
{
  while (*at < w->n_note && w->noted[*at].hybrid == hybrid) {
    size_t first = *at, end = first;
    while (end < w->n_note && w->noted[end].hybrid == hybrid && w->noted[end].stage == w->noted[first].stage) end++;
    double middle = (w->noted[(first + end - 1) / 2].day + w->noted[(first + end) / 2].day) / 2;
    seen[w->noted[first].stage] = ceil(middle);
    *at = end;
  }
}

static const cks_analysis *analysis_at(const work *w, cks_id environment)
{
  for (size_t j = 0; w->bloom && j < w->bloom->n_location; j++)
    if (w->bloom->location[j].environment == environment) return &w->bloom->location[j];
  return NULL;
}

static void begin_environment(work *w, cks_id environment, const cks_calendar_place *place)
{
  const cks_trial *trial = w->task->trial;
  const cks_environment *e = &trial->environment[environment];
  const cks_analysis *a = analysis_at(w, environment);
  for (size_t h = 0; h < trial->n_hybrid; h++) {
    w->bloomed[h] = cks_missing();
    w->grows[h] = false;
  }
  for (uint32_t p = e->first; p < e->first + e->n; p++) w->grows[trial->hybrid_of[p]] = true;
  for (size_t i = 0; a && i < a->n_hybrid; i++)
    w->bloomed[a->hybrid[i].hybrid] = bloom_day(w, place->origin, &a->hybrid[i]);
  take_notes(w, e);
}

/* Mid-bloom as expected of the hybrid's days elsewhere. */
static cks_figure expected_bloom(const work *w, const cks_calendar_place *place, cks_id hybrid)
{
  const record *r = &w->elsewhere[hybrid];
  if (r->n < FEWEST_OTHERS || place->lack == CKS_HEAT_NO_ORIGIN)
    return (cks_figure){cks_missing(), cks_missing(), cks_missing()};
  return (cks_figure){place->origin + r->first, place->origin + r->sum / r->n, place->origin + r->last};
}

static cks_heat_lack lack_of(const work *w, const cks_environment *e)
{
  const cks_stage_scheme *scheme = w->calendar->scheme;
  if (!scheme) return CKS_HEAT_USED;
  if (e->weather == CKS_NONE) return CKS_HEAT_NO_WEATHER;
  return cks_is_missing(origin_date(e, scheme->origin)) ? CKS_HEAT_NO_ORIGIN : CKS_HEAT_USED;
}

static void fill_rows(work *w, cks_id environment, cks_calendar_place *place)
{
  const cks_trial *trial = w->task->trial;
  const cks_environment *e = &trial->environment[environment];
  cks_calendar *c = w->calendar;
  size_t at = 0;
  begin_environment(w, environment, place);
  for (cks_id h = 0; h < trial->n_hybrid; h++) {
    if (!w->grows[h]) continue;
    cks_calendar_known known = {.trial = trial,
                                .environment = e,
                                .scheme = c->scheme,
                                .as_of = c->as_of,
                                .scheme_origin = c->scheme ? origin_date(e, c->scheme->origin) : cks_missing(),
                                .elsewhere = expected_bloom(w, place, h)};
    for (int s = 0; s < CKS_STAGE_COUNT; s++) known.seen[s] = cks_missing();
    known.seen[CKS_STAGE_MID_BLOOM] = w->bloomed[h];
    median_days(w, h, &at, known.seen);
    cks_calendar_row *row = &c->row[c->n_row];
    *row = (cks_calendar_row){.environment = environment, .hybrid = h};
    if (!cks_calendar_row_fill(&known, row, &place->lack)) {
      place->n_without++;
      continue;
    }
    if (cks_calendar_stage(row, CKS_STAGE_MID_BLOOM)->how == CKS_DATED_PLACES) row->n_other = w->elsewhere[h].n;
    c->n_row++;
    place->n_row++;
  }
}

/* ---- the place as a whole --------------------------------------------------------------------------------------------- */

static int compare_days(const void *left, const void *right)
{
  double a = *(const double *)left, b = *(const double *)right;
  return (a > b) - (a < b);
}

/* from, to: size n, sorted; the days on which most of the spans meet, of several such stretches the longest, then the first. */
static void meet(const double *from, const double *to, size_t n, cks_calendar_place *place)
{
  size_t begun = 0, ended = 0, most = 0;
  while (begun < n) {
    if (from[begun] > to[ended]) {
      ended++;
      continue;
    }
    size_t now = ++begun - ended;
    double first = from[begun - 1], last = to[ended];
    bool goes_on = now == most && first <= place->field_to + 1; /* the day after: still as many */
    if (goes_on) first = place->field_from;
    if (now > most || (now == most && last - first > place->field_to - place->field_from)) {
      most = now;
      place->field_from = first;
      place->field_to = last;
    }
  }
  place->field_most = (uint32_t)most;
  place->field_of = (uint32_t)n;
}

static void find_field_days(const work *w, cks_calendar_place *place, double *from, double *to)
{
  size_t n = 0;
  for (size_t i = place->first; i < place->first + place->n_row; i++) {
    const cks_calendar_row *row = &w->calendar->row[i];
    if (cks_is_missing(row->field_from)) continue;
    from[n] = row->field_from;
    to[n++] = row->field_to;
    place->field_low = fmin(place->field_low, cks_calendar_stage(row, CKS_STAGE_SOFT_DOUGH)->low); /* NaN loses */
    place->field_high = fmax(place->field_high, cks_calendar_stage(row, CKS_STAGE_HARD_DOUGH)->high);
  }
  if (!n) return;
  qsort(from, n, sizeof *from, compare_days);
  qsort(to, n, sizeof *to, compare_days);
  meet(from, to, n, place);
}

static void find_harvest(const work *w, cks_calendar_place *place)
{
  for (size_t i = place->first; i < place->first + place->n_row; i++) {
    const cks_stage_date *date = cks_calendar_stage(&w->calendar->row[i], CKS_STAGE_HARVEST_MOISTURE);
    if (date->how == CKS_DATED_NOT) continue;
    place->harvest_low = fmin(place->harvest_low, date->low); /* NaN loses */
    place->harvest_high = fmax(place->harvest_high, date->high);
    bool usual = !cks_is_missing(date->usual);
    place->harvest_from = fmin(place->harvest_from, usual ? date->usual : date->low);
    place->harvest_to = fmax(place->harvest_to, usual ? date->usual : date->high);
  }
}

/* ---- the calendar ----------------------------------------------------------------------------------------------------- */

static const char *why_none(const work *w)
{
  if (!cks_crop_is_sorghum(w->task->trial->crop)) return "the stages that are known here are those of sorghum";
  if (!w->bloom && !w->n_stage) return "there are neither days to mid-bloom nor stages with their dates";
  return "";
}

static size_t most_rows(const work *w, size_t *largest)
{
  const cks_trial *trial = w->task->trial;
  size_t n = 0;
  *largest = 0;
  for (size_t e = 0; e < trial->n_environment; e++) {
    size_t plots = trial->environment[e].n;
    n += plots < trial->n_hybrid ? plots : trial->n_hybrid;
    *largest = plots > *largest ? plots : *largest;
  }
  return n;
}

static cks_status fill(work *w)
{
  const cks_trial *trial = w->task->trial;
  cks_calendar *c = w->calendar;
  cks_arena *arena = w->task->results->arena, *scratch = w->scratch;
  size_t largest, n = most_rows(w, &largest), n_hybrid = trial->n_hybrid;
  w->elsewhere = cks_arena_take(scratch, n_hybrid, sizeof *w->elsewhere);
  w->bloomed = cks_arena_take(scratch, n_hybrid, sizeof *w->bloomed);
  w->grows = cks_arena_take(scratch, n_hybrid, sizeof *w->grows);
  if (w->n_stage) w->noted = cks_arena_take(scratch, largest * w->n_stage, sizeof *w->noted);
  double *from = cks_arena_take(scratch, n_hybrid, sizeof *from), *to = cks_arena_take(scratch, n_hybrid, sizeof *to);
  c->place = cks_arena_take(arena, trial->n_environment, sizeof *c->place);
  c->row = cks_arena_take(arena, n, sizeof *c->row);
  cks_status status = cks_arena_status(scratch, w->task->error);
  if (status == CKS_OK) status = cks_arena_status(arena, w->task->error);
  if (status != CKS_OK) return status;
  keep_records(w);
  for (c->n_place = 0; c->n_place < trial->n_environment; c->n_place++) {
    const cks_environment *e = &trial->environment[c->n_place];
    cks_calendar_place *place = &c->place[c->n_place];
    *place = (cks_calendar_place){.environment = (cks_id)c->n_place,
                                  .origin = cks_count_origin(trial, e),
                                  .lack = lack_of(w, e),
                                  .first = c->n_row,
                                  .field_from = NAN,
                                  .field_to = NAN,
                                  .field_low = NAN,
                                  .field_high = NAN,
                                  .harvest_from = NAN,
                                  .harvest_to = NAN,
                                  .harvest_low = NAN,
                                  .harvest_high = NAN};
    fill_rows(w, (cks_id)c->n_place, place);
    find_field_days(w, place, from, to);
    find_harvest(w, place);
  }
  return CKS_OK;
}

cks_status cks_calendar_analyze(const cks_task *task)
{
  cks_status status = CKS_OK;
  work w = {
      .task = task, .scratch = cks_arena_new(), .bloom = cks_results_trait(task->results, CKS_ROLE_DAYS_TO_MID_BLOOM)};
  for (size_t i = 0; i < task->trial->n_fact; i++) w.n_stage += task->trial->fact[i].role == CKS_ROLE_STAGE;
  w.calendar = cks_arena_take(task->results->arena, 1, sizeof *w.calendar);
  if (!w.calendar || !w.scratch) {
    status = cks_error_nomem(task->error);
    goto done;
  }
  *w.calendar = (cks_calendar){.as_of = task->settings->as_of};
  if (task->settings->scheme) w.calendar->scheme = cks_stage_scheme_find(task->settings->scheme);
  w.calendar->last_date = fmin(last_date(&w), w.calendar->as_of); /* NaN loses */
  w.calendar->why = why_none(&w);
  if (!*w.calendar->why) status = fill(&w);
  if (status == CKS_OK && !*w.calendar->why && !w.calendar->n_row)
    w.calendar->why = "no place has a date that days are counted from, or a stage with its date";
  task->results->calendar = w.calendar;
done:
  cks_arena_free(w.scratch);
  return status;
}
