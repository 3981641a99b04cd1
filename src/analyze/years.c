/*
 * years.c: means over the last years, as bulletins print them: the last one, the last two, the last three.
 *
 * A mean of several years stands on the locations that were there in every one of them, and on the hybrids that were in
 * every environment of those; so all its hybrids met the same seasons at the same places. That is a balanced series,
 * analyzed as any other (across.c): locations and years crossed, or, at one location, hybrids over hybrid x year; where
 * plots were lost, by a mixed model. An environment without a year is in none.
 */
#include "across.h"

#include <stdlib.h>

enum { MOST_YEARS = 3 };

static int year_at(const cks_trait_task *work, size_t place)
{
  return work->task->trial->environment[work->place[place].environment].year;
}

static cks_id location_at(const cks_trait_task *work, size_t place)
{
  return work->task->trial->environment[work->place[place].environment].location;
}

static int compare_years(const void *left, const void *right)
{
  const int *a = left, *b = right;
  return (*a > *b) - (*a < *b);
}

/* The different years given, ascending, in *years; returns how many, 0 without memory. */
static size_t list_years(const cks_trait_task *work, int **years)
{
  size_t n = 0, m = 0;
  int *year = cks_arena_take(work->task->results->arena, work->n_place, sizeof *year);
  for (size_t j = 0; year && j < work->n_place; j++)
    if (year_at(work, j)) year[n++] = year_at(work, j);
  if (n) qsort(year, n, sizeof *year, compare_years);
  for (size_t i = 0; i < n; i++)
    if (i == 0 || year[i] != year[m - 1]) year[m++] = year[i];
  *years = year;
  return m;
}

/* The environments of the span that go in: inside.place. The names of their locations stand in the span. */
static cks_status choose_places(const cks_trait_task *work, cks_span *span, cks_trait_task *inside)
{
  const cks_trial *trial = work->task->trial;
  size_t y = span->n_year;
  cks_arena *arena = work->task->results->arena;
  bool *seen = cks_arena_take(work->scratch, trial->n_location * y, sizeof *seen);
  uint32_t *n_seen = cks_arena_take(work->scratch, trial->n_location, sizeof *n_seen);
  const char **names = cks_arena_take(arena, trial->n_location, sizeof *names);
  *inside = *work;
  inside->n_place = 0;
  inside->place = cks_arena_take(work->scratch, work->n_place, sizeof *inside->place);
  if (!seen || !n_seen || !names || !inside->place) return cks_error_nomem(work->task->error);
  for (size_t j = 0; j < work->n_place; j++)
    for (size_t k = 0; k < y && !work->place[j].apart; k++) {
      bool *cell = &seen[location_at(work, j) * y + k];
      if (year_at(work, j) != span->year[k] || *cell) continue;
      *cell = true;
      n_seen[location_at(work, j)]++;
    }
  for (size_t j = 0; j < work->n_place; j++)
    if (!work->place[j].apart && year_at(work, j) >= span->year[0] && n_seen[location_at(work, j)] == y)
      inside->place[inside->n_place++] = work->place[j];
  for (size_t l = 0; l < trial->n_location; l++)
    if (n_seen[l] == y) names[span->n_location++] = cks_arena_text(arena, trial->location[l]);
  span->location = names;
  return CKS_OK;
}

/* kept: size trial.n_hybrid, those in every environment of inside. Returns how many, 0 without memory. */
static size_t choose_hybrids(const cks_trait_task *inside, bool **kept)
{
  size_t n_hybrid = inside->task->trial->n_hybrid, n = 0;
  bool *in_all = cks_arena_take(inside->scratch, n_hybrid, sizeof *in_all);
  uint32_t *count = cks_arena_take(inside->scratch, n_hybrid, sizeof *count);
  *kept = in_all;
  if (!in_all || !count) return 0;
  for (size_t j = 0; j < inside->n_place; j++)
    for (size_t i = 0; i < inside->place[j].layout.n_hybrid; i++) count[inside->place[j].hybrid_id[i]]++;
  for (size_t i = 0; i < n_hybrid; i++) {
    in_all[i] = count[i] == inside->n_place;
    n += in_all[i];
  }
  return n;
}

/* The environments of these years that stand apart, and those without a year: "". */
static cks_status left_out_words(const cks_trait_task *work, const cks_span *span, const char **words)
{
  cks_trait_task those = *work;
  bool without = false;
  *words = "";
  those.n_place = 0;
  those.place = cks_arena_take(work->scratch, work->n_place, sizeof *those.place);
  if (!those.place) return cks_error_nomem(work->task->error);
  for (size_t j = 0; j < work->n_place; j++) {
    without |= !year_at(work, j);
    if (work->place[j].apart && year_at(work, j) >= span->year[0]) those.place[those.n_place++] = work->place[j];
  }
  *words = cks_join(work->task->results->arena, cks_series_apart_words(&those),
                    without ? "places without a year are not in it" : "");
  return CKS_OK;
}

/* Why there is no series to analyze; NULL: there is one. Several trials of one farm are several answers to one season:
 * as environments of their own they would make the years look more than they are. */
static const char *lacks(const cks_span *span, const cks_trait_task *inside, size_t n_kept)
{
  if (!span->n_location)
    return span->n_year > 1 ? "no location stands in each of these years" : "no location says anything in this year";
  if (span->n_year > 1 && inside->n_place != span->n_location * span->n_year)
    return "some location had several trials in one of these years: take one of them, --only trial=NAME";
  return n_kept < 2 ? "fewer than two hybrids stand in all of the environments" : NULL;
}

static cks_status analyze_span(const cks_trait_task *work, cks_span *span, cks_analysis *a)
{
  cks_trait_task inside, series;
  bool *kept = NULL;
  const char *words = "";
  cks_balanced_series s = {0};
  cks_analysis_clear(work->task, a);
  a->label =
      span->n_year == 1 ? "last year" : cks_arena_format(work->task->results->arena, "last %zu years", span->n_year);
  a->design = "series";
  cks_status status = choose_places(work, span, &inside);
  if (status == CKS_OK) status = left_out_words(work, span, &words);
  if (status != CKS_OK) return status;
  a->n_environment = (uint32_t)inside.n_place;
  a->n_location = (uint32_t)span->n_location;
  a->n_year = (uint32_t)span->n_year;
  size_t n_kept = choose_hybrids(&inside, &kept);
  const char *why = lacks(span, &inside, n_kept);
  a->note = a->apart = words;
  a->why = why ? why : "";
  if (!kept || why) return kept ? CKS_OK : cks_error_nomem(work->task->error);
  status = cks_series_keep(&inside, kept, &series);
  if (status == CKS_OK && cks_series_places(&series) < series.n_place) a->why = cks_series_apart_words(&series);
  return status == CKS_OK && !*a->why ? cks_series_analyze(&series, &s, a) : status;
}

/* One environment in the last year: its own analysis is the year's. */
static const cks_analysis *only_place(const cks_trait_task *work, cks_span *span)
{
  size_t n = 0, only = 0;
  for (size_t j = 0; j < work->n_place; j++)
    if (year_at(work, j) == span->year[0]) n++, only = j;
  if (span->n_year > 1 || n != 1) return NULL;
  span->location = &work->result->location[only].location;
  span->n_location = 1;
  return &work->result->location[only];
}

static cks_status fill(cks_trait_task *work, cks_span *span)
{
  cks_arena *scratch = work->scratch;
  span->analysis = only_place(work, span);
  if (span->analysis) return CKS_OK;
  cks_analysis *a = cks_arena_take(work->task->results->arena, 1, sizeof *a);
  span->analysis = a;
  work->scratch = cks_arena_new(); /* the fits of the span live no longer than it is worked on */
  cks_status status = a && work->scratch ? analyze_span(work, span, a) : cks_error_nomem(work->task->error);
  if (status == CKS_OK) status = cks_arena_status(work->scratch, work->task->error);
  cks_arena_free(work->scratch);
  work->scratch = scratch;
  return status;
}

cks_status cks_years_analyze(const cks_trait_task *work)
{
  cks_trait_task own = *work;
  cks_trait_result *result = work->result;
  int *year = NULL;
  size_t n = list_years(work, &year);
  cks_status status = year ? CKS_OK : cks_error_nomem(work->task->error);
  if (status != CKS_OK || n < 2) return status;
  size_t n_span = n < MOST_YEARS ? n : MOST_YEARS;
  result->span = cks_arena_take(work->task->results->arena, n_span, sizeof *result->span);
  if (!result->span) return cks_error_nomem(work->task->error);
  for (size_t k = 0; k < n_span && status == CKS_OK; k++) {
    result->span[k] = (cks_span){.n_year = k + 1, .year = year + n - (k + 1)};
    status = fill(&own, &result->span[k]);
  }
  result->n_span = n_span;
  return status;
}
