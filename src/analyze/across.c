/*
 * across.c: a trait over its environments: what kind of series it is, which hybrids and places go in, and which analysis
 * it gets.
 *
 *   every hybrid in every environment, equally many plots, locations and years crossed: across_balanced.c
 *   --locations fixed, one season, plots lost but no cell empty: across_fixed.c
 *   all else: the mixed model of across_mixed.c, for no plain average over different sets of places is ever ranked
 * A place that says nothing of a trait (place.c: apart) does not go in; hybrids set aside: aside.c.
 */
#include "across.h"
#include "assumptions.h"

#include <stdlib.h>
#include <string.h>

/* ---- what kind of series this is -------------------------------------------------------------------------------- */

static int compare_ids(const void *left, const void *right)
{
  const uint32_t *a = left, *b = right;
  return *a < *b ? -1 : *a > *b;
}

/* Replaces values (size n) by their numbers among the different ones; returns how many there are. sorted: size n. */
static size_t number_values(uint32_t *values, uint32_t *sorted, size_t n)
{
  memcpy(sorted, values, n * sizeof *sorted);
  qsort(sorted, n, sizeof *sorted, compare_ids);
  size_t m = 0;
  for (size_t i = 0; i < n; i++)
    if (i == 0 || sorted[i] != sorted[m - 1]) sorted[m++] = sorted[i];
  for (size_t i = 0; i < n; i++)
    values[i] = (uint32_t)((const uint32_t *)bsearch(&values[i], sorted, m, sizeof *sorted, compare_ids) - sorted);
  return m;
}

/* Of work's places; one that is not given is taken as the others', not as another one. */
static void list_years(const cks_trait_task *work, uint32_t *year)
{
  uint32_t known = 0;
  for (size_t j = 0; j < work->n_place; j++) {
    year[j] = (uint32_t)work->task->trial->environment[work->place[j].environment].year;
    if (!known) known = year[j];
  }
  for (size_t j = 0; j < work->n_place; j++)
    if (!year[j]) year[j] = known;
}

cks_status cks_series_form_find(const cks_trait_task *work, cks_balanced_series *s)
{
  const cks_trial *trial = work->task->trial;
  size_t e = work->n_place;
  uint32_t *sorted = cks_arena_take(work->scratch, e, sizeof *sorted);
  bool *taken = NULL;
  s->e = e;
  s->location = cks_arena_take(work->scratch, e, sizeof *s->location);
  s->year = cks_arena_take(work->scratch, e, sizeof *s->year);
  cks_status status = cks_arena_status(work->scratch, work->task->error);
  if (status != CKS_OK) return status;
  for (size_t j = 0; j < e; j++) s->location[j] = trial->environment[work->place[j].environment].location;
  list_years(work, s->year);
  s->l = number_values(s->location, sorted, e);
  s->y = number_values(s->year, sorted, e);
  s->form = s->y == 1 && s->l == e ? BY_LOCATION : BY_ENVIRONMENT;
  if (s->l < 2 || s->y < 2 || s->l * s->y != e) return CKS_OK;
  taken = cks_arena_take(work->scratch, e, sizeof *taken);
  if (!taken) return cks_error_nomem(work->task->error);
  bool crossed = true;
  for (size_t j = 0; j < e; j++) {
    bool *cell = &taken[s->location[j] * s->y + s->year[j]];
    crossed &= !*cell;
    *cell = true;
  }
  if (crossed) s->form = BY_LOCATION_AND_YEAR;
  return CKS_OK;
}

/* Adds the plots and environments of the places of one year, and for each of their hybrids a year; seen: size n_hybrid,
 * holds no `mark` yet. */
static void count_year(const cks_trait_task *work, const bool *taken, uint32_t mark, uint32_t *seen,
                       cks_series_counts *counts)
{
  for (size_t j = 0; j < work->n_place; j++) {
    const cks_place *place = &work->place[j];
    for (size_t i = 0; i < place->layout.n_hybrid && taken[j]; i++) {
      cks_id h = place->hybrid_id[i];
      counts->plots[h] += place->fit.plots[i];
      counts->environments[h]++;
      counts->years[h] += seen[h] != mark;
      seen[h] = mark;
    }
  }
}

cks_status cks_series_count(const cks_trait_task *work, bool apart, cks_series_counts *counts)
{
  size_t n_hybrid = work->task->trial->n_hybrid, e = work->n_place;
  cks_arena *arena = work->scratch;
  counts->plots = cks_arena_take(arena, n_hybrid, sizeof *counts->plots);
  counts->environments = cks_arena_take(arena, n_hybrid, sizeof *counts->environments);
  counts->years = cks_arena_take(arena, n_hybrid, sizeof *counts->years);
  uint32_t *seen = cks_arena_take(arena, n_hybrid, sizeof *seen), *year = cks_arena_take(arena, e, sizeof *year),
           *sorted = cks_arena_take(arena, e, sizeof *sorted);
  bool *taken = cks_arena_take(arena, e, sizeof *taken);
  cks_status status = cks_arena_status(arena, work->task->error);
  if (status != CKS_OK) return status;
  list_years(work, year);
  size_t n_year = number_values(year, sorted, e);
  for (uint32_t y = 0; y < n_year; y++) {
    for (size_t j = 0; j < e; j++) taken[j] = year[j] == y && (apart || !work->place[j].apart);
    count_year(work, taken, y + 1, seen, counts);
  }
  return CKS_OK;
}

/* Rows of every hybrid that stands anywhere, in the order of names, with plots, environments and years counted. */
static cks_status list_hybrids(const cks_trait_task *work, cks_analysis *a)
{
  size_t n_hybrid = work->task->trial->n_hybrid;
  cks_series_counts counts;
  cks_status status = cks_series_count(work, true, &counts);
  if (status != CKS_OK) return status;
  for (size_t j = 0; j < work->n_place; j++) a->plots += (uint32_t)work->place[j].layout.n;
  for (size_t i = 0; i < n_hybrid; i++) a->n_hybrid += counts.environments[i] > 0;
  a->hybrid = cks_arena_take(work->task->results->arena, a->n_hybrid, sizeof *a->hybrid);
  if (!a->hybrid) return cks_error_nomem(work->task->error);
  double none = cks_missing();
  for (size_t i = 0, k = 0; i < n_hybrid; i++)
    if (counts.environments[i])
      a->hybrid[k++] = (cks_hybrid_result){.hybrid = (cks_id)i,
                                           .n = counts.plots[i],
                                           .environments = counts.environments[i],
                                           .years = counts.years[i],
                                           .mean = none,
                                           .raw_mean = none,
                                           .se = none,
                                           .shrunken = none,
                                           .reliability = none,
                                           .pct_of_mean = none};
  return CKS_OK;
}

static cks_balance look_at_balance(const cks_trait_task *work, const cks_balanced_series *s)
{
  cks_balance b = {true, true, true, s->form != BY_ENVIRONMENT || s->l < 2 || s->y < 2};
  const cks_place *first = &work->place[0];
  for (size_t j = 0; j < work->n_place; j++) {
    const cks_place *place = &work->place[j];
    size_t n = place->layout.n_hybrid;
    b.complete &=
        n == first->layout.n_hybrid && !memcmp(place->hybrid_id, first->hybrid_id, n * sizeof *place->hybrid_id);
    b.whole &= !place->blocks;
    b.equal &= place->fit.balanced && place->fit.plots[0] == first->fit.plots[0];
  }
  b.equal &= b.complete;
  return b;
}

void cks_series_notes(const cks_trait_task *work, const cks_balanced_series *s, cks_analysis *a)
{
  cks_arena *arena = work->task->results->arena;
  if (s->y == 1) a->note = cks_join(arena, a->note, "this season only");
  if (s->y == 2) a->note = cks_join(arena, a->note, "two years say little about a third");
  if (!strcmp(a->locations_as, "fixed")) a->note = cks_join(arena, a->note, "these places only");
  if (s->r == 1)
    a->note = cks_join(arena, a->note,
                       "one plot a hybrid at each place: the interaction holds the plot error and is the error");
  if (work->trait->measure == CKS_MEASURE_RATING)
    a->note = cks_join(arena, a->note, "a rating, analyzed as a measured value: take it with caution");
  if (work->values.arcsine)
    a->note = cks_join(arena, a->note, "percent: table, tests and ranks on the scale arcsin of the square root");
}

/* ---- which analysis --------------------------------------------------------------------------------------------- */

/* --locations fixed is about places: at one place only there are seasons or trials, and they are a sample. */
static bool is_fixed(const cks_trait_task *work, const cks_balanced_series *s)
{
  return work->task->settings->locations_fixed && s->l > 1;
}

/* A mixed model is asked for, whatever the balance. */
static bool is_requested(const cks_trait_task *work, const cks_balanced_series *s)
{
  const cks_settings *settings = work->task->settings;
  return (settings->hybrids_random || settings->error_by_location) && !is_fixed(work, s);
}

static bool is_tabled(const cks_trait_task *work, const cks_balanced_series *s, cks_balance b)
{
  return b.equal && b.whole && b.told && !is_requested(work, s);
}

static bool is_averaged(const cks_trait_task *work, const cks_balanced_series *s, cks_balance b)
{
  return cks_can_average(work, s, b) && is_fixed(work, s);
}

/* No figure over unequal sets of places: the hybrids are listed, and `why` says what is missing. */
static cks_status list_only(const cks_trait_task *work, const char *design, const char *why, cks_analysis *a)
{
  cks_contest contest = {.tested = cks_arena_take(work->scratch, a->n_hybrid, sizeof(double))};
  if (!contest.tested) return cks_error_nomem(work->task->error);
  a->method = CKS_METHOD_NONE;
  a->design = design;
  a->why = why;
  return cks_compare(work, &contest, a);
}

static cks_status say_no_mean(const cks_trait_task *work, const char *why)
{
  return cks_findings_add(work->task->findings, CKS_RULE_NO_MEAN_OVER_PLACES, CKS_NOWHERE, work->trait->label, NULL,
                          work->task->error, "%s: %s; each place stands by itself", work->trait->label, why);
}

/* Fixed places: hybrid x location is fixed too, so a hybrid that is missing somewhere has no mean over all of them. */
static const char *fixed_words(const cks_trait_task *work, cks_balance b)
{
  return cks_arena_format(work->task->results->arena,
                          "%s: over fixed locations there are no means then; without --locations fixed a mixed model "
                          "adjusts them",
                          cks_across_lack(work, b));
}

/* Why a series that is not balanced is not even given to the mixed model; NULL: it is. */
static cks_status unmodeled(const cks_trait_task *work, const cks_balanced_series *s, cks_balance b,
                            const cks_analysis *a, const char **why)
{
  size_t n_set = 0;
  uint32_t *set = cks_arena_take(work->scratch, work->task->trial->n_hybrid, sizeof *set);
  cks_status status = set ? cks_series_sets(work, NULL, set, &n_set) : cks_error_nomem(work->task->error);
  *why = work->values.untested ? work->values.untested
         : a->n_hybrid < 2     ? "one hybrid only: nothing to compare it with"
         : is_fixed(work, s)   ? fixed_words(work, b)
         : n_set > 1           ? "no place joins these hybrids: they cannot be compared"
                               : NULL;
  return status;
}

static cks_status analyze_unbalanced(const cks_trait_task *work, cks_balanced_series *s, cks_balance b, cks_analysis *a)
{
  bool done = false;
  const char *why = NULL;
  cks_status status = unmodeled(work, s, b, a, &why);
  if (status == CKS_OK && !why) status = cks_across_mixed(work, s, b, a, &done);
  if (status != CKS_OK || done) return status;
  for (size_t i = 0; i < a->n_hybrid; i++) a->hybrid[i].raw_mean = cks_missing(); /* over unequal sets of places */
  return list_only(work, "unbalanced series", why ? why : a->why, a);
}

/* ---- places that stand apart ------------------------------------------------------------------------------------ */

cks_status cks_series_inside(const cks_trait_task *work, cks_trait_task *inside)
{
  *inside = *work;
  inside->n_place = 0;
  inside->place = cks_arena_take(work->scratch, work->n_place, sizeof *inside->place);
  if (!inside->place) return cks_error_nomem(work->task->error);
  for (size_t j = 0; j < work->n_place; j++)
    if (!work->place[j].apart) inside->place[inside->n_place++] = work->place[j];
  return CKS_OK;
}

const char *cks_places_named(const cks_trait_task *work, const char *(*why)(const cks_place *place))
{
  enum { MOST_NAMED = 4 };
  const char *text = "";
  size_t n = 0;
  for (size_t j = 0; j < work->n_place; j++) {
    const cks_place *place = &work->place[j];
    if (!why(place) || n++ >= MOST_NAMED) continue;
    text = cks_arena_format(work->scratch, "%s%s%s (%s)", text, *text ? ", " : "",
                            work->task->trial->environment[place->environment].label, why(place));
  }
  return n > MOST_NAMED ? cks_arena_format(work->scratch, "%s and %zu more", text, n - MOST_NAMED) : text;
}

static const char *why_apart(const cks_place *place) { return place->apart; }

const char *cks_series_apart_words(const cks_trait_task *work)
{
  const char *text = cks_places_named(work, why_apart);
  return *text ? cks_arena_format(work->task->results->arena, "not in the means: %s", text) : "";
}

/* Why there is no mean: what ails the places that stand apart, then who they are. */
static const char *too_few_words(const cks_trait_task *work, const char *apart)
{
  cks_arena *arena = work->task->results->arena;
  const char *reasons = "";
  size_t n_apart = 0, n_reason = 0;
  for (size_t j = 0; j < work->n_place; j++) {
    const char *reason = work->place[j].apart;
    bool said = !reason;
    n_apart += reason != NULL;
    for (size_t i = 0; i < j && !said; i++) said = work->place[i].apart && !strcmp(work->place[i].apart, reason);
    if (said) continue;
    reasons = cks_arena_format(work->scratch, "%s%s%s", reasons, n_reason++ ? " or " : "", reason);
  }
  if (n_reason == 1 && n_apart == work->n_place) return cks_arena_format(arena, "%s at every place", reasons);
  return cks_arena_format(arena, "%s: too few places for a mean over places; %s", reasons, apart);
}

/* ---- the series -------------------------------------------------------------------------------------------------- */

/* What the series is, and rows of its hybrids without a figure. */
static cks_status describe(const cks_trait_task *work, cks_balanced_series *s, cks_analysis *a)
{
  cks_status status = cks_series_form_find(work, s);
  a->n_environment = (uint32_t)s->e;
  a->n_location = (uint32_t)s->l;
  a->n_year = (uint32_t)s->y;
  if (status == CKS_OK) status = list_hybrids(work, a);
  return status == CKS_OK ? cks_assume_across(work, a) : status;
}

cks_status cks_series_analyze(const cks_trait_task *work, cks_balanced_series *s, cks_analysis *a)
{
  bool done = false;
  cks_status status = describe(work, s, a);
  if (status != CKS_OK) return status;
  cks_balance b = look_at_balance(work, s);
  if (is_tabled(work, s, b)) return cks_across_balanced(work, s, is_fixed(work, s), a);
  if (is_averaged(work, s, b)) status = cks_across_fixed(work, s, a, &done);
  if (status != CKS_OK || done) return status;
  return analyze_unbalanced(work, s, b, a);
}

/* The places that go in, without the hybrids set aside. whole: all places, as those are without them. */
static cks_status begin(const cks_trait_task *work, double share, cks_trait_task *whole, cks_trait_task *inside,
                        cks_aside *aside)
{
  cks_status status = cks_set_aside(work, share, whole, aside);
  return status == CKS_OK ? cks_series_inside(whole, inside) : status;
}

cks_status cks_series_ranked(const cks_trait_task *work, cks_trait_task *inside)
{
  cks_trait_task whole;
  cks_aside aside;
  return begin(work, work->task->settings->min_environments, &whole, inside, &aside);
}

/* Is the series for the mixed model? */
static cks_status look_ahead(const cks_trait_task *inside, bool *modeled)
{
  cks_balanced_series s = {0};
  cks_status status = cks_series_form_find(inside, &s);
  *modeled = false;
  if (status != CKS_OK) return status;
  cks_balance b = look_at_balance(inside, &s);
  *modeled = !is_tabled(inside, &s, b) && !is_averaged(inside, &s, b) && !is_fixed(inside, &s);
  return CKS_OK;
}

/* A mixed model takes those in few environments along: their plots tell of the places, and their means are as those of the
 * others, but not ranked. */
static cks_status take_along(const cks_trait_task *work, cks_trait_task *whole, cks_trait_task *inside,
                             const cks_aside *few, cks_aside *aside, cks_balanced_series *s)
{
  size_t n_hybrid = work->task->trial->n_hybrid;
  bool *unranked = cks_arena_take(work->scratch, n_hybrid, sizeof *unranked);
  if (!unranked) return cks_error_nomem(work->task->error);
  cks_status status = begin(work, 0, whole, inside, aside);
  for (size_t i = 0; i < n_hybrid && status == CKS_OK; i++)
    unranked[i] = few->counts.environments[i] && !few->kept[i] && (!aside->n || aside->kept[i]);
  s->unranked = unranked;
  return status;
}

cks_status cks_across_analyze(const cks_trait_task *work, cks_analysis *a)
{
  cks_trait_task whole, inside;
  cks_aside aside, few;
  cks_balanced_series s = {0};
  bool modeled = false;
  cks_analysis_clear(work->task, a);
  a->label = "all";
  cks_status status = begin(work, work->task->settings->min_environments, &whole, &inside, &aside);
  few = aside;
  if (status == CKS_OK && inside.n_place > 1) status = look_ahead(&inside, &modeled);
  if (status == CKS_OK && modeled && few.n) status = take_along(work, &whole, &inside, &few, &aside, &s);
  if (status != CKS_OK) return status;
  a->apart = cks_series_apart_words(&whole);
  a->aside = cks_aside_words(work, &few, &aside, modeled);
  if (inside.n_place < 2) {
    const char *why = too_few_words(&whole, a->apart);
    a->apart = "";
    status = describe(work, &s, a);
    return status == CKS_OK ? list_only(work, "series", why, a) : status;
  }
  a->note = cks_join(work->task->results->arena, a->aside, a->apart);
  status = cks_series_analyze(&inside, &s, a);
  if (status == CKS_OK && a->method == CKS_METHOD_NONE) status = say_no_mean(&inside, a->why);
  return status == CKS_OK ? cks_aside_list(work, &aside, a) : status;
}

cks_status cks_across_audit(const cks_trait_task *work)
{
  cks_trait_task whole, inside;
  cks_aside aside;
  cks_balanced_series s = {0};
  cks_status status = begin(work, work->task->settings->min_environments, &whole, &inside, &aside);
  if (status != CKS_OK || inside.n_place < 2) return status;
  status = cks_series_form_find(&inside, &s);
  if (status != CKS_OK) return status;
  cks_balance b = look_at_balance(&inside, &s);
  bool means = is_tabled(&inside, &s, b) || is_averaged(&inside, &s, b) || !is_fixed(&inside, &s);
  return means ? CKS_OK : say_no_mean(&inside, fixed_words(&inside, b));
}
