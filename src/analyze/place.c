/*
 * place.c: a trait at one environment: its plots, what design they make for this trait, the fit, and whether it is
 * tested.
 *
 * Design and method are settled for each trait at each place: a trait noted in one rep only is one plot a hybrid there.
 */
#include "designs.h"
#include "strips.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* A residual sum of squares as small as this part of the values' own size, squared, is rounding of equal values. */
static const double ROUNDING = 1e-12;

enum { FEWEST_RATINGS = 4 }; /* different ratings below which only medians are given */

typedef enum { REPS_NONE, REPS_GIVEN, REPS_FROM_BLOCKS, REPS_IN_PART, REPS_TOO_MANY } rep_source;

bool cks_is_rounding(double ss_error, size_t n, double largest)
{
  double size = ROUNDING * largest;
  return ss_error <= (double)n * size * size;
}

const char *cks_join(cks_arena *arena, const char *a, const char *b)
{
  return !*a ? b : !*b ? a : cks_arena_format(arena, "%s; %s", a, b);
}

static cks_status gather(cks_trait_task *work, const bool *kept, cks_place *place)
{
  const cks_environment *environment = &work->task->trial->environment[place->environment];
  uint32_t *plot = cks_arena_take(work->scratch, environment->n, sizeof *plot);
  if (!plot) return cks_error_nomem(work->task->error);
  size_t n = 0;
  for (uint32_t p = environment->first; p < environment->first + environment->n; p++)
    if (!cks_is_missing(work->values.tested[p]) && (!kept || kept[work->task->trial->hybrid_of[p]])) plot[n++] = p;
  place->plot = plot;
  place->layout.n = n;
  return CKS_OK;
}

/* Numbers the values of of[plot] that occur 0, 1, ... in their own order; all 0 when of is NULL. to: size n, back: by
 * number. */
static cks_status renumber(cks_trait_task *work, const cks_place *place, const uint32_t *of, size_t n_of, uint32_t **to,
                           uint32_t **back, size_t *n_used)
{
  size_t n = place->layout.n;
  *to = cks_arena_take(work->scratch, n, sizeof **to);
  *back = cks_arena_take(work->scratch, of && n_of < n ? n_of : n, sizeof **back);
  uint32_t *number = of ? calloc(n_of, sizeof *number) : NULL;
  *n_used = of ? 0 : 1;
  if (!*to || !*back || (of && !number)) {
    free(number);
    return cks_error_nomem(work->task->error);
  }
  if (!of) return CKS_OK;
  for (size_t p = 0; p < n; p++) number[of[place->plot[p]]] = 1;
  for (size_t i = 0; i < n_of; i++)
    if (number[i]) {
      (*back)[*n_used] = (uint32_t)i;
      number[i] = (uint32_t)(*n_used)++;
    }
  for (size_t p = 0; p < n; p++) (*to)[p] = number[of[place->plot[p]]];
  free(number);
  return CKS_OK;
}

/* How many plots of the place have one. */
static size_t count_given(const cks_place *place, const uint32_t *of)
{
  size_t given = 0;
  for (size_t p = 0; of && p < place->layout.n; p++) given += of[place->plot[p]] != CKS_NONE;
  return given;
}

static int compare_pairs(const void *left, const void *right)
{
  const uint64_t *a = left, *b = right;
  return *a < *b ? -1 : *a > *b;
}

/* Pairs (first[plot], second[plot]) sorted, to be freed by the caller; NULL: out of memory. */
static uint64_t *sorted_pairs(const cks_place *place, const uint32_t *first, const uint32_t *second)
{
  uint64_t *pairs = malloc(place->layout.n * sizeof *pairs);
  for (size_t p = 0; pairs && p < place->layout.n; p++)
    pairs[p] = (uint64_t)first[place->plot[p]] << 32 | second[place->plot[p]];
  if (pairs) qsort(pairs, place->layout.n, sizeof *pairs, compare_pairs);
  return pairs;
}

/* Some hybrid stands twice in one block. */
static cks_status repeats_in_blocks(cks_trait_task *work, const cks_place *place, bool *repeats)
{
  const cks_trial *trial = work->task->trial;
  uint64_t *pairs = sorted_pairs(place, trial->block_of, trial->hybrid_of);
  if (!pairs) return cks_error_nomem(work->task->error);
  *repeats = false;
  for (size_t p = 1; p < place->layout.n; p++) *repeats |= pairs[p] == pairs[p - 1];
  free(pairs);
  return CKS_OK;
}

/* inside: some rep holds more than one block; shared: some block holds more than one plot. */
static cks_status blocks_inside_reps(cks_trait_task *work, const cks_place *place, bool *inside, bool *shared)
{
  const cks_trial *trial = work->task->trial;
  uint64_t *pairs = sorted_pairs(place, trial->rep_of, trial->block_of);
  if (!pairs) return cks_error_nomem(work->task->error);
  *inside = *shared = false;
  for (size_t p = 1; p < place->layout.n; p++) {
    *inside |= pairs[p] != pairs[p - 1] && pairs[p] >> 32 == pairs[p - 1] >> 32;
    *shared |= pairs[p] == pairs[p - 1];
  }
  free(pairs);
  return CKS_OK;
}

/* What stands for reps and for incomplete blocks here, in whatever design the place then is. */
static cks_status find_strata(cks_trait_task *work, cks_place *place, rep_source *source)
{
  const cks_trial *trial = work->task->trial;
  cks_status status = CKS_OK;
  size_t n = place->layout.n, reps = count_given(place, trial->rep_of), blocks = count_given(place, trial->block_of);
  bool found = false, shared = true;
  *source = reps == n ? REPS_GIVEN : reps ? REPS_IN_PART : REPS_NONE;
  if (*source == REPS_GIVEN) place->rep_of = trial->rep_of;
  if (*source == REPS_GIVEN && blocks == n) {
    status = blocks_inside_reps(work, place, &found, &shared);
    if (found && shared) place->block_of = trial->block_of;
    if (found && !shared && n > place->layout.n_hybrid)
      place->note = "blocks of one plot each say nothing of the ground and are not used";
  } else if (*source == REPS_NONE && blocks == n) {
    status = repeats_in_blocks(work, place, &found);
    if (!found) *source = REPS_FROM_BLOCKS;
    *(found ? &place->block_of : &place->rep_of) = trial->block_of;
  }
  return status;
}

static cks_status lay_out(cks_trait_task *work, cks_place *place, rep_source *source)
{
  const cks_trial *trial = work->task->trial;
  cks_layout *layout = &place->layout;
  uint32_t *rep = NULL, *rep_id = NULL;
  const uint32_t *of = place->rep_of;
  if (layout->n == layout->n_hybrid) of = NULL; /* nothing is repeated: no rep to take out */
  size_t n_of = *source == REPS_GIVEN ? trial->n_rep : trial->n_block;
  cks_status status = renumber(work, place, of, n_of, &rep, &rep_id, &layout->n_rep);
  place->blocks = *source == REPS_GIVEN && place->block_of;
  if (*source == REPS_FROM_BLOCKS) place->note = "blocks stand for reps";
  if (status == CKS_OK && layout->n_rep > CKS_MOST_REPS) {
    *source = REPS_TOO_MANY;
    status = renumber(work, place, NULL, 0, &rep, &rep_id, &layout->n_rep);
  }
  layout->rep = rep;
  place->reps_in_model = layout->n_rep > 1;
  return status;
}

/* values: size n_plot. */
static cks_status fit_values(const cks_trait_task *work, const cks_place *place, const double *values, cks_fit *to)
{
  double *y = malloc(place->layout.n * sizeof *y);
  if (!y) return cks_error_nomem(work->task->error);
  for (size_t p = 0; p < place->layout.n; p++) y[p] = values[place->plot[p]];
  cks_status status = cks_fit_two_way(&place->layout, y, work->scratch, to, work->task->error);
  free(y);
  return status;
}

static cks_status fit(cks_trait_task *work, cks_place *place)
{
  const cks_values *v = &work->values;
  size_t g = place->layout.n_hybrid;
  double *mean = cks_arena_take(work->scratch, g, sizeof *mean),
         *plain = cks_arena_take(work->scratch, g, sizeof *plain);
  cks_status status = cks_arena_status(work->scratch, work->task->error);
  if (status == CKS_OK) status = fit_values(work, place, v->tested, &place->fit);
  if (status != CKS_OK) return status;
  bool adjusted = !place->check_plots && cks_strips_note(work, place->environment);
  place->strips_df = adjusted ? fmin(v->strips_df, place->fit.df_error) : 0;
  place->fit.df_error -= place->strips_df;
  cks_fit shown = place->fit;
  double shift = v->arcsine ? 0 : v->shift;
  if (v->arcsine) status = fit_values(work, place, v->shown, &shown);
  if (status != CKS_OK) return status;
  for (size_t i = 0; i < g; i++) {
    mean[i] = shown.mean[i] + shift;
    plain[i] = shown.plain[i] + shift;
    if (v->arcsine) mean[i] = fmin(fmax(mean[i], 0), 100); /* an adjustment may pass the ends */
  }
  place->mean = mean;
  place->plain = plain;
  place->plot_mean = shown.plot_mean + shift;
  return CKS_OK;
}

/* Fits rows and columns where the place is a latin square; place->square stays false where they leave no error, or
 * cannot be told from hybrids: too few plots with a value (say, a trait noted in two rows), which then stand as blocks or
 * as they come. Latin squares so cut down are no surer for it: their hybrids are balanced over what goes unmodeled as far
 * as plots are there. */
static cks_status fit_square(cks_trait_task *work, cks_place *place)
{
  cks_square square;
  cks_layout *l = &place->layout;
  cks_status status = cks_square_find(work, place, &square);
  if (status != CKS_OK || l->n == l->n_hybrid) return status;
  if (*square.note) place->note = square.note;
  if (!square.found) return CKS_OK;
  if (square.n_row > 1 && square.n_column > 1) {
    l->rep = square.row;
    l->n_rep = square.n_row;
    l->column = square.column;
    l->n_column = square.n_column;
    status = fit(work, place);
    place->square = place->reps_in_model = status == CKS_OK && place->fit.connected && place->fit.df_error >= 1;
  }
  if (place->square) return status;
  l->column = NULL;
  l->n_column = 0;
  place->note = "too few plots of a latin square for taking out its rows and columns";
  return status;
}

/* Single plots with repeated checks: by the finest blocks, when checks tie them together and leave df enough; else
 * without, when no two check plots share a block, because then their spread holds all that blocks do. Two check plots of
 * one block are alike, and would make the error too small and too sure. */
static cks_status fit_check_plots(cks_trait_task *work, cks_place *place, rep_source *source)
{
  const cks_trial *trial = work->task->trial;
  cks_layout *l = &place->layout;
  uint32_t *level = NULL, *none = cks_arena_take(work->scratch, l->n, sizeof *none);
  size_t n_level = 0;
  cks_status status = none ? cks_check_plots_blocks(work, place, &level, &n_level) : cks_error_nomem(work->task->error);
  if (status != CKS_OK) return status;
  bool some = count_given(place, trial->rep_of) || count_given(place, trial->block_of);
  bool blocks = n_level > 1 && n_level <= CKS_MOST_REPS;
  if (some && !n_level) *source = REPS_IN_PART;
  l->rep = blocks ? level : none;
  l->n_rep = blocks ? n_level : 1;
  status = fit(work, place);
  if (status == CKS_OK && blocks && cks_check_plots_lack(work, place) &&
      cks_check_plots_apart(work, place, level, n_level)) {
    l->rep = none;
    l->n_rep = 1;
    status = fit(work, place);
  }
  place->reps_in_model = l->n_rep > 1;
  return status;
}

/* Layout and fit, by the first design that the place is. */
static cks_status fit_design(cks_trait_task *work, cks_place *place, rep_source *source)
{
  const cks_trial *trial = work->task->trial;
  cks_layout *layout = &place->layout;
  uint32_t *hybrid = NULL;
  cks_status status =
      renumber(work, place, trial->hybrid_of, trial->n_hybrid, &hybrid, &place->hybrid_id, &layout->n_hybrid);
  layout->hybrid = hybrid;
  if (status == CKS_OK) status = find_strata(work, place, source);
  if (status == CKS_OK) status = fit_square(work, place);
  if (status != CKS_OK || place->square) return status;
  place->check_plots = cks_check_plots_are(work, place);
  if (place->check_plots) return fit_check_plots(work, place, source);
  const char *note = place->note;
  place->note = "";
  status = lay_out(work, place, source);
  if (status == CKS_OK) status = fit(work, place);
  if (status == CKS_OK) place->note = cks_join(work->task->results->arena, note, place->note);
  return status;
}

static const char *design_of(const cks_place *place)
{
  const cks_layout *l = &place->layout;
  if (l->n == l->n_hybrid) return "single plots";
  if (place->square) return place->fit.balanced ? "latin square" : "latin square, plots lost";
  if (place->check_plots)
    return place->reps_in_model ? "single plots with repeated checks, in blocks" : "single plots with repeated checks";
  if (!place->reps_in_model) return "completely randomized";
  if (place->blocks) return "incomplete blocks";
  if (place->fit.balanced) return "complete blocks";
  uint32_t most = 0;
  for (size_t i = 0; i < l->n_hybrid; i++) most = place->fit.plots[i] > most ? place->fit.plots[i] : most;
  return most > l->n_rep ? "complete blocks, unequal replication" : "complete blocks, plots lost";
}

/* A proportion: more than half of the plots at 0 or 100. */
static bool is_extreme(const cks_trait_task *work, const cks_place *place)
{
  size_t extreme = 0;
  for (size_t p = 0; work->trait->measure == CKS_MEASURE_PROPORTION && p < place->layout.n; p++) {
    double value = work->values.shown[place->plot[p]];
    extreme += value <= 0 || value >= 100;
  }
  return 2 * extreme > place->layout.n;
}

/* A rating with fewer than FEWEST_RATINGS different values. */
static bool has_few_ratings(const cks_trait_task *work, const cks_place *place)
{
  double seen[FEWEST_RATINGS] = {0};
  size_t n_seen = 0;
  if (work->trait->measure != CKS_MEASURE_RATING) return false;
  for (size_t p = 0; p < place->layout.n && n_seen < FEWEST_RATINGS; p++) {
    double value = work->values.shown[place->plot[p]];
    size_t k = 0;
    while (k < n_seen && seen[k] != value) k++;
    if (k == n_seen) seen[n_seen++] = value;
  }
  return n_seen < FEWEST_RATINGS;
}

/* The hybrids, or all of them but the checks, stand in one plot each: an error would be that of the others alone. */
static bool entries_are_single(const cks_trait_task *work, const cks_place *place)
{
  size_t g = place->layout.n_hybrid, single = 0, entries = 0, single_entries = 0;
  for (size_t i = 0; i < g; i++) {
    bool one = place->fit.plots[i] == 1, check = work->task->results->hybrid[place->hybrid_id[i]].check;
    single += one;
    entries += !check;
    single_entries += one && !check;
  }
  return 2 * single >= g || (entries && single_entries == entries);
}

static bool is_one_value(const cks_trait_task *work, const cks_place *place)
{
  const cks_fit *f = &place->fit;
  const double *y = work->values.tested;
  bool same = true;
  for (size_t p = 0; p < place->layout.n; p++) same &= y[place->plot[p]] == y[place->plot[0]];
  return same || cks_is_rounding(f->ss_hybrid + f->ss_rep + f->ss_column, place->layout.n, f->largest);
}

/* Why nothing can be tested here, as a sentence; NULL: it can. */
static const char *untested(const cks_trait_task *work, const cks_place *place, rep_source source)
{
  const cks_layout *l = &place->layout;
  const cks_fit *f = &place->fit;
  if (place->median) return "fewer than 4 different ratings: medians only, nothing is compared";
  if (work->values.untested) return work->values.untested;
  if (l->n_hybrid < 2) return "one hybrid only: nothing to compare it with";
  if (l->n == l->n_hybrid) return "one plot a hybrid: means only, nothing is compared";
  if (source == REPS_IN_PART && place->check_plots)
    return "some plots have a rep or block and some have none: means only";
  if (source == REPS_IN_PART) return "some plots have a rep and some have none: means only";
  if (source == REPS_TOO_MANY) return "more reps than are worked with (1000): means only";
  if (place->check_plots && cks_strips_note(work, place->environment))
    return "one strip of each entry, adjusted by check strips whose own spread is no error of theirs: means only, "
           "nothing is compared";
  if (place->check_plots && cks_check_plots_lack(work, place)) return cks_check_plots_lack(work, place);
  if (!place->check_plots && entries_are_single(work, place))
    return "half of the hybrids or more, or all but the checks, have one plot: means only, nothing is compared";
  if (is_extreme(work, place)) return "more than half of the plots are at 0 or 100 %: means only";
  if (!f->connected) return "some hybrids share no rep with the others (plots lost, or a wrong rep column): means only";
  if (f->df_error < 1) return "no degrees of freedom are left for the error: means only";
  if (cks_is_rounding(f->ss_error, l->n, f->largest))
    return is_one_value(work, place) ? "one value in every plot: nothing to compare"
           : place->square
               ? "hybrids, rows and columns account for every plot to the last digit, so there is no error to test "
                 "with: means only"
           : place->check_plots
               ? "every plot of a check agrees with its others to the last digit, so there is no error: means only"
               : "hybrids and reps account for every plot to the last digit, so there is no error to "
                 "test with: means only";
  return NULL;
}

/* Why the place says nothing in a mean over places; NULL: it does. Its zeros would water down the error of the others.
 */
static const char *apart(const cks_trait_task *work, const cks_place *place, rep_source source)
{
  const cks_fit *f = &place->fit;
  bool exact = cks_is_rounding(f->ss_error, place->layout.n, f->largest);
  if (place->median) return "fewer than 4 different ratings";
  if (is_extreme(work, place)) return "more than half of the plots at 0 or 100 %";
  if (source == REPS_IN_PART) return "some plots without a rep";
  if (place->layout.n > 1 && exact && is_one_value(work, place)) return "one value in every plot";
  return f->df_error >= 1 && exact ? "no error left over" : NULL;
}

/* Means of different kinds, or of plots that were not adjusted alike. */
static const char *no_means(const cks_trait_task *work, const cks_place *place, rep_source source)
{
  if (place->median) return "medians of fewer than 4 different ratings";
  if (source == REPS_IN_PART) return "some plots without a rep, so not adjusted";
  if (place->blocks && work->task->settings->hybrids_random) return "shrunken means by request";
  return place->fit.connected ? NULL : "some hybrids share no rep with the others";
}

static cks_status say_disconnected(const cks_trait_task *work, const cks_place *place)
{
  const cks_trial *trial = work->task->trial;
  cks_where where = {trial->file[place->plot[0]], CKS_NONE, 0, 0};
  return cks_findings_add(
      work->task->findings, CKS_RULE_DISCONNECTED, where, work->trait->label, NULL, work->task->error,
      "%s at %s: some hybrids share no rep with the others (plots lost, or a wrong rep column?), so means only",
      work->trait->label, trial->environment[place->environment].label);
}

cks_status cks_place_new(cks_trait_task *work, cks_id environment, const bool *kept, cks_place *place)
{
  *place = (cks_place){.environment = environment, .why = "", .note = "", .design = ""};
  rep_source source = REPS_NONE;
  cks_status status = gather(work, kept, place);
  if (status != CKS_OK || !place->layout.n) return status;
  status = fit_design(work, place, &source);
  if (status != CKS_OK) return status;
  place->design = design_of(place);
  place->median = has_few_ratings(work, place);
  place->apart = apart(work, place, source);
  place->no_means = no_means(work, place, source);
  const char *why = untested(work, place, source);
  place->method = why ? CKS_METHOD_MEANS : CKS_METHOD_ANOVA;
  place->why = why ? why : "";
  return place->fit.connected || kept ? CKS_OK : say_disconnected(work, place);
}
