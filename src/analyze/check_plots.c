/*
 * check_plots.c: one plot of each entry, several of the checks (augmented designs: Federer 1956, Hawaiian Planters'
 * Record 55:191; from memory).
 *
 * What one plot of an entry is worth, only the check plots can tell. Checks that tie all blocks together: block + hybrid
 * by least squares; an entry's plot fits itself, so what is left over is check x block. No blocks: the pooled variance
 * within checks, on sum(n_c - 1) df. Fewer than FEWEST_DF df: means only.
 *
 * Given: SED of two entries, of an entry and a check, of two checks, and standard errors. Never: F of the entries, LSD,
 * letters, top group, rank, nor above, below and p against a check. That last one could be computed, but every one of
 * many entries would be judged by a single plot that nothing here can check, under no F test of the entries, and the
 * checks' spread has to stand for theirs: one in twenty would be called by chance, and the called ones are what a reader
 * takes away. Who knows what the SED is can still use it.
 */
#include "designs.h"

#include "../math/distributions.h"
#include "../math/sums.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const double FEWEST_DF = 6; /* an error on less is known too badly to lean on: common practice, no source */

static bool is_check(const cks_trait_task *work, const cks_place *place, size_t local)
{
  return work->task->results->hybrid[place->hybrid_id[local]].check;
}

bool cks_check_plots_are(const cks_trait_task *work, const cks_place *place)
{
  const cks_layout *l = &place->layout;
  size_t entries = 0, entry_plots = 0, check_plots = 0;
  for (size_t i = 0; i < l->n_hybrid; i++) entries += !is_check(work, place, i);
  for (size_t p = 0; p < l->n; p++) *(is_check(work, place, l->hybrid[p]) ? &check_plots : &entry_plots) += 1;
  return entries > 0 && entry_plots == entries && check_plots > l->n_hybrid - entries;
}

/* ---- blocks ----------------------------------------------------------------------------------------------------- */

static bool all_have(const cks_place *place, const uint32_t *of)
{
  for (size_t p = 0; of && p < place->layout.n; p++)
    if (of[place->plot[p]] == CKS_NONE) return false;
  return of != NULL;
}

static int compare_codes(const void *left, const void *right)
{
  const uint64_t *a = left, *b = right;
  return *a < *b ? -1 : *a > *b;
}

cks_status cks_check_plots_blocks(const cks_trait_task *work, const cks_place *place, uint32_t **level, size_t *n_level)
{
  const cks_trial *trial = work->task->trial;
  bool rep = all_have(place, trial->rep_of), block = all_have(place, trial->block_of);
  size_t n = place->layout.n, m = 0;
  *n_level = 0;
  *level = cks_arena_take(work->scratch, n, sizeof **level);
  if (!rep && !block) return *level ? CKS_OK : cks_error_nomem(work->task->error);
  uint64_t *code = malloc(n * sizeof *code), *sorted = malloc(n * sizeof *sorted);
  cks_status status = code && sorted && *level ? CKS_OK : cks_error_nomem(work->task->error);
  if (status == CKS_OK) {
    for (size_t p = 0; p < n; p++)
      code[p] =
          (uint64_t)(rep ? trial->rep_of[place->plot[p]] : 0) << 32 | (block ? trial->block_of[place->plot[p]] : 0);
    memcpy(sorted, code, n * sizeof *sorted);
    qsort(sorted, n, sizeof *sorted, compare_codes);
    for (size_t p = 0; p < n; p++)
      if (p == 0 || sorted[p] != sorted[m - 1]) sorted[m++] = sorted[p];
    for (size_t p = 0; p < n; p++)
      (*level)[p] = (uint32_t)((const uint64_t *)bsearch(&code[p], sorted, m, sizeof *sorted, compare_codes) - sorted);
    *n_level = m;
  }
  free(sorted);
  free(code);
  return status;
}

bool cks_check_plots_apart(const cks_trait_task *work, const cks_place *place, const uint32_t *level, size_t n_level)
{
  const cks_layout *l = &place->layout;
  bool *taken = cks_arena_take(work->scratch, n_level, sizeof *taken), apart = taken != NULL;
  for (size_t p = 0; p < l->n && apart; p++) {
    if (place->fit.plots[l->hybrid[p]] < 2) continue;
    apart = !taken[level[p]];
    taken[level[p]] = true;
  }
  return apart;
}

const char *cks_check_plots_lack(const cks_trait_task *work, const cks_place *place)
{
  const cks_fit *f = &place->fit;
  if (!f->connected)
    return "one plot of each entry, and no checks that tie all blocks together: means only, nothing is compared";
  if (f->df_error >= FEWEST_DF) return NULL;
  return cks_arena_format(work->task->results->arena,
                          "one plot of each entry, and the check plots leave %.0f df for an error where %.0f are asked "
                          "for: means only, nothing is compared",
                          f->df_error, FEWEST_DF);
}

/* ---- figures ---------------------------------------------------------------------------------------------------- */

/* The check plots alone, checks numbered anew; their fit has the error of all. */
static cks_status fit_checks(const cks_trait_task *work, const cks_place *place, cks_fit *fit, size_t *n_plot)
{
  const cks_layout *l = &place->layout;
  uint32_t *hybrid = cks_arena_take(work->scratch, l->n, sizeof *hybrid),
           *rep = cks_arena_take(work->scratch, l->n, sizeof *rep),
           *number = cks_arena_take(work->scratch, l->n_hybrid, sizeof *number);
  double *y = cks_arena_take(work->scratch, l->n, sizeof *y);
  cks_status status = cks_arena_status(work->scratch, work->task->error);
  if (status != CKS_OK) return status;
  cks_layout checks = {.n_rep = l->n_rep, .hybrid = hybrid, .rep = rep};
  for (size_t i = 0; i < l->n_hybrid; i++)
    if (is_check(work, place, i)) number[i] = (uint32_t)checks.n_hybrid++;
  for (size_t p = 0; p < l->n; p++) {
    if (!is_check(work, place, l->hybrid[p])) continue;
    hybrid[checks.n] = number[l->hybrid[p]];
    rep[checks.n] = l->rep[p];
    y[checks.n++] = work->values.tested[place->plot[p]];
  }
  *n_plot = checks.n;
  return cks_fit_two_way(&checks, y, work->scratch, fit, work->task->error);
}

static cks_status fill_table(const cks_trait_task *work, const cks_fit *checks, cks_analysis *a)
{
  double none = cks_missing(), ms = checks->ss_error / checks->df_error;
  cks_anova_line *line = cks_arena_take(work->task->results->arena, 4, sizeof *line);
  if (!line) return cks_error_nomem(work->task->error);
  size_t n = 0;
  if (checks->df_rep > 0)
    line[n++] = (cks_anova_line){"rep", checks->df_rep, checks->ss_rep, checks->ss_rep / checks->df_rep, none, none};
  if (checks->df_hybrid > 0) {
    double of_checks = checks->ss_hybrid / checks->df_hybrid, f = of_checks / ms;
    line[n++] = (cks_anova_line){
        "check", checks->df_hybrid, checks->ss_hybrid, of_checks, f, cks_f_p(f, checks->df_hybrid, checks->df_error)};
  }
  line[n++] = (cks_anova_line){"error", checks->df_error, checks->ss_error, ms, none, none};
  line[n++] = (cks_anova_line){"total", checks->df_total, checks->ss_total, none, none, none};
  a->anova = line;
  a->n_anova = n;
  a->error_df = checks->df_error;
  a->error_ms = ms;
  if (work->values.true_zero && !work->values.arcsine && a->plot_mean > 0) a->cv_pct = 100 * sqrt(ms) / a->plot_mean;
  return CKS_OK;
}

/* Mean SED of the pairs of an entry with an entry, or with a check; missing when there is none. */
static double mean_sed(const cks_trait_task *work, const cks_place *place, double ms, bool with_check)
{
  const cks_spread *s = &place->fit.spread;
  double *entries = cks_arena_take(work->scratch, s->n_class, sizeof *entries),
         *checks = cks_arena_take(work->scratch, s->n_class, sizeof *checks), pairs = 0;
  cks_sum sum = {0};
  if (!entries || !checks) return cks_missing();
  for (size_t i = 0; i < s->n; i++) (is_check(work, place, i) ? checks : entries)[s->class_of[i]]++;
  for (size_t a = 0; a < s->n_class; a++)
    for (size_t b = 0; b < s->n_class; b++) {
      double n = with_check ? entries[a] * checks[b] : entries[a] * (entries[b] - (a == b));
      if (!(n > 0)) continue;
      cks_sum_add(&sum, n * sqrt(ms * s->pair[a * s->n_class + b]));
      pairs += n;
    }
  return pairs > 0 ? cks_sum_value(&sum) / pairs : cks_missing();
}

static const char *sed_words(const cks_trait_task *work, const cks_place *place, double ms)
{
  cks_arena *arena = work->task->results->arena;
  char entries[CKS_NUMBER_TEXT], check[CKS_NUMBER_TEXT];
  int digits = work->result->digits + 1;
  double two = mean_sed(work, place, ms, false);
  cks_print_number(check, mean_sed(work, place, ms, true), digits);
  if (cks_is_missing(two)) return cks_arena_format(arena, "SED of the entry and a check %s", check);
  return cks_arena_format(arena, "SED of two entries %s, of an entry and a check %s%s",
                          cks_print_number(entries, two, digits), check,
                          place->fit.spread.n_class > 2 ? " (means over the pairs)" : "");
}

cks_status cks_check_plots_fill(const cks_trait_task *work, const cks_place *place, cks_analysis *a)
{
  cks_arena *arena = work->task->results->arena;
  const cks_spread *spread = &place->fit.spread;
  cks_fit checks;
  size_t n_plot = 0;
  cks_status status = fit_checks(work, place, &checks, &n_plot);
  if (status == CKS_OK) status = fill_table(work, &checks, a);
  if (status != CKS_OK) return status;
  a->why =
      cks_arena_format(arena,
                       "each entry stands in one plot, so nothing is ranked; the error, on %.0f df, is that of the "
                       "%zu check plots alone, taken to hold for the entries too",
                       a->error_df, n_plot);
  a->lsd_why = a->group_why = "entries in single plots are not ranked";
  a->note =
      cks_join(arena, a->note,
               place->reps_in_model ? "the table is that of the check plots (rep: the blocks); means adjusted for "
                                      "blocks by the checks"
                                    : "the table is that of the check plots");
  if (work->values.arcsine) return CKS_OK; /* no SED in percent would be true */
  cks_sed sed = cks_spread_sed(spread, a->error_ms);
  a->sed = sed.mean;
  a->sed_min = sed.smallest;
  a->sed_max = sed.largest;
  for (size_t i = 0; i < a->n_hybrid && a->hybrid; i++)
    a->hybrid[i].se = sqrt(a->error_ms * spread->own[spread->class_of[i]]);
  a->note = cks_join(arena, a->note, sed_words(work, place, a->error_ms));
  return CKS_OK;
}
