/*
 * aside.c: hybrids that a series over places goes without. --min-environments: one that stands in a smaller share of
 * the environments than that is set aside, and so are those that no place joins to the others; the rest is a series of its
 * own, as if their plots were not there.
 *
 * A mean of the few places where such a hybrid stood would be set beside means of other places, so it gets none. Too
 * few hybrids or places left: nobody is set aside, and the series is what it is.
 */
#include "across.h"

#include <string.h>

static const double AT_THE_LIMIT = 1e-9; /* environments: the share of them is not exact in binary */

/* The place from the kept hybrids' plots; of an audit the counts alone, as analyze.c holds them. */
static cks_status make_again(cks_trait_task *series, const bool *kept, cks_place *place)
{
  cks_results *results = series->task->results;
  cks_arena *scratch = series->scratch, *arena = results->arena;
  if (!series->task->settings->audit_only) return cks_place_new(series, place->environment, kept, place);
  series->scratch = results->arena = cks_arena_new();
  cks_status status =
      series->scratch ? cks_place_new(series, place->environment, kept, place) : cks_error_nomem(series->task->error);
  if (status == CKS_OK) status = cks_place_keep_counts(series, scratch, place);
  cks_arena_free(series->scratch);
  series->scratch = scratch;
  results->arena = arena;
  return status;
}

cks_status cks_series_keep(const cks_trait_task *work, const bool *kept, cks_trait_task *series)
{
  cks_status status = CKS_OK;
  *series = *work;
  series->place = cks_arena_take(work->scratch, work->n_place, sizeof *series->place);
  if (!series->place) return cks_error_nomem(work->task->error);
  memcpy(series->place, work->place, work->n_place * sizeof *series->place);
  for (size_t j = 0; j < series->n_place && status == CKS_OK; j++) {
    cks_place *place = &series->place[j];
    size_t n = 0;
    for (size_t i = 0; i < place->layout.n_hybrid; i++) n += kept[place->hybrid_id[i]];
    if (place->apart || n == place->layout.n_hybrid) continue;
    if (n < 2)
      place->apart = "fewer than two of the hybrids compared stand there";
    else
      status = make_again(series, kept, place);
  }
  return status;
}

size_t cks_series_places(const cks_trait_task *work)
{
  size_t n = 0;
  for (size_t j = 0; j < work->n_place; j++) n += !work->place[j].apart;
  return n;
}

/* How many are kept; the others that stand anywhere are counted in aside->n. */
static size_t choose(const cks_trait_task *work, double share, size_t n_place, bool *kept, cks_aside *aside)
{
  double least = share * (double)n_place - AT_THE_LIMIT;
  size_t n_kept = 0;
  for (size_t i = 0; i < work->task->trial->n_hybrid; i++) {
    uint32_t here = aside->counts.environments[i];
    kept[i] = here && here >= least;
    n_kept += kept[i];
    aside->n += here && !kept[i];
  }
  return n_kept;
}

/* Where no place joins some of the kept hybrids to the others, the largest set is kept (of equal ones the first) and the
 * rest cut off. */
static cks_status cut_off(const cks_trait_task *work, bool *kept, cks_aside *aside, size_t *n_kept)
{
  size_t n_hybrid = work->task->trial->n_hybrid, largest = 0;
  bool *skip = cks_arena_take(work->scratch, n_hybrid, sizeof *skip),
       *cut = cks_arena_take(work->scratch, n_hybrid, sizeof *cut);
  uint32_t *set = cks_arena_take(work->scratch, n_hybrid, sizeof *set),
           *size = cks_arena_take(work->scratch, n_hybrid, sizeof *size);
  aside->cut_off = cut;
  if (!skip || !cut || !set || !size) return cks_error_nomem(work->task->error);
  for (size_t i = 0; i < n_hybrid; i++) skip[i] = !kept[i];
  size_t n_set = 0;
  cks_status status = cks_series_sets(work, skip, set, &n_set);
  if (status != CKS_OK || n_set < 2) return status;
  for (size_t i = 0; i < n_hybrid; i++)
    if (set[i] != CKS_NONE) size[set[i]]++;
  for (size_t i = 0; i < n_hybrid; i++)
    if (size[i] > size[largest]) largest = i;
  for (size_t i = 0; i < n_hybrid; i++) {
    cut[i] = kept[i] && set[i] != largest;
    aside->n += cut[i];
    *n_kept -= cut[i];
    kept[i] = kept[i] && !cut[i];
  }
  return CKS_OK;
}

cks_status cks_set_aside(const cks_trait_task *work, double share, cks_trait_task *series, cks_aside *aside)
{
  size_t n_hybrid = work->task->trial->n_hybrid, n_place = cks_series_places(work);
  bool *kept = cks_arena_take(work->scratch, n_hybrid, sizeof *kept);
  *series = *work;
  *aside = (cks_aside){.kept = kept};
  if (!kept) return cks_error_nomem(work->task->error);
  cks_status status = cks_series_count(work, false, &aside->counts);
  if (status != CKS_OK) return status;
  size_t n_kept = choose(work, share, n_place, kept, aside);
  status = cut_off(work, kept, aside, &n_kept);
  if (status != CKS_OK || !aside->n) return status;
  status = n_kept < 2 ? CKS_OK : cks_series_keep(work, kept, series);
  if (status == CKS_OK && (n_kept < 2 || cks_series_places(series) < 2)) {
    *series = *work;
    aside->n = 0;
  }
  return status;
}

/* "half", "all", "75 %" */
static const char *share_words(const cks_trait_task *work)
{
  double share = work->task->settings->min_environments;
  return share == 0.5 ? "half" : share == 1 ? "all" : cks_arena_format(work->scratch, "%.4g %%", 100 * share);
}

/* Those set aside for one of the two reasons: "A, B and 3 more"; "" when nobody is. */
static const char *list(const cks_trait_task *work, const cks_aside *aside, bool cut_off)
{
  enum { MOST_NAMED = 6 };
  const cks_trial *trial = work->task->trial;
  const char *text = "";
  size_t n = 0;
  for (size_t i = 0; i < trial->n_hybrid && aside->n; i++) {
    if (!aside->counts.environments[i] || aside->kept[i] || aside->cut_off[i] != cut_off || n++ >= MOST_NAMED) continue;
    text = cks_arena_format(work->scratch, "%s%s%s", text, *text ? ", " : "", trial->hybrid[i].full);
  }
  return n > MOST_NAMED ? cks_arena_format(work->scratch, "%s and %zu more", text, n - MOST_NAMED) : text;
}

const char *cks_aside_words(const cks_trait_task *work, const cks_aside *few, const cks_aside *cut, bool modeled)
{
  cks_arena *arena = work->task->results->arena;
  const char *in_few = list(work, few, false), *cut_off = list(work, cut, true);
  if (*in_few)
    in_few = cks_arena_format(arena, "%s: in fewer than %s of the environments: %s",
                              modeled ? "not ranked" : "set aside", share_words(work), in_few);
  if (*cut_off) cut_off = cks_arena_format(arena, "set aside: no place joins them to the others: %s", cut_off);
  return cks_join(arena, in_few, cut_off);
}

/* A row without a figure. */
static cks_hybrid_result blank_row(const cks_aside *aside, size_t hybrid, cks_vs_check *vs)
{
  double none = cks_missing();
  return (cks_hybrid_result){.hybrid = (cks_id)hybrid,
                             .n = aside->counts.plots[hybrid],
                             .environments = aside->counts.environments[hybrid],
                             .years = aside->counts.years[hybrid],
                             .mean = none,
                             .raw_mean = none,
                             .se = none,
                             .shrunken = none,
                             .reliability = none,
                             .pct_of_mean = none,
                             .vs_check = vs};
}

cks_status cks_aside_list(const cks_trait_task *work, const cks_aside *aside, cks_analysis *a)
{
  const cks_results *results = work->task->results;
  size_t n = a->n_hybrid, n_check = results->n_check;
  if (!aside->n) return CKS_OK;
  cks_hybrid_result *rows = cks_arena_take(results->arena, n + aside->n, sizeof *rows);
  cks_vs_check *vs = cks_arena_take(results->arena, n_check, sizeof *vs); /* alike for all of them */
  if (!rows || !vs) return cks_error_nomem(work->task->error);
  for (size_t k = 0; k < n_check; k++) vs[k] = cks_vs_nothing(results->check[k]);
  memcpy(rows, a->hybrid, n * sizeof *rows);
  for (size_t i = 0; i < work->task->trial->n_hybrid; i++) {
    if (!aside->counts.environments[i] || aside->kept[i]) continue;
    a->row_of[i] = (uint32_t)n;
    rows[n++] = blank_row(aside, i, vs);
  }
  a->hybrid = rows;
  a->n_hybrid = (uint32_t)n;
  a->n_aside += (uint32_t)aside->n;
  return CKS_OK;
}
