/*
 * blocks.c: incomplete blocks inside the reps of one place (alpha and lattice designs, any other).
 *
 * rep fixed + block in rep random + hybrid: interblock information is recovered by REML (Patterson & Thompson 1971,
 * Biometrika 58:545); every rep counts alike in an adjusted mean. Beside it the intrablock table, blocks fixed, by least
 * squares: rep, block in rep, hybrid adjusted for blocks, error. Efficiency: 100 x mean variance of a difference by complete
 * blocks (rep + hybrid) / that of this analysis (Cochran & Cox 1957, Experimental Designs, 2nd ed., ch. 9 and 10).
 */
#include "designs.h"
#include "mixed.h"

#include "../math/sums.h"

#include <math.h>
#include <stdlib.h>

/* A fit of g hybrids takes some g^3 steps. So many in all are worked out, a matter of half a minute; beyond, the blocks of
 * all places stay in the error. */
static const double MOST_STEPS = 2e11;

static bool is_affordable(const cks_trait_task *work)
{
  double steps = 0;
  for (size_t j = 0; j < work->n_place; j++) {
    double g = (double)work->place[j].layout.n_hybrid;
    steps += work->place[j].blocks ? g * g * g : 0;
  }
  return steps <= MOST_STEPS;
}

/* ---- plots ------------------------------------------------------------------------------------------------------ */

/* The reps are the engine's environments, fixed: what is left in them are blocks. */
static cks_status gather(const cks_trait_task *work, const cks_place *place, cks_mixed_plots *plots)
{
  const cks_layout *l = &place->layout;
  uint32_t *block = cks_arena_take(work->scratch, l->n, sizeof *block),
           *none = cks_arena_take(work->scratch, l->n, sizeof *none);
  if (!block || !none) return cks_error_nomem(work->task->error);
  for (size_t p = 0; p < l->n; p++) {
    block[p] = place->block_of[place->plot[p]];
    none[p] = CKS_NONE;
  }
  *plots = (cks_mixed_plots){.n = l->n,
                             .n_hybrid = l->n_hybrid,
                             .n_ranked = l->n_hybrid,
                             .n_environment = l->n_rep,
                             .plot = place->plot,
                             .hybrid = l->hybrid,
                             .environment = l->rep,
                             .rep = none,
                             .block = block,
                             .model = {.environments_fixed = true, .no_cells = true}};
  return CKS_OK;
}

/* ---- the intrablock table --------------------------------------------------------------------------------------- */

typedef struct {
  uint64_t code;
  uint32_t plot;
} coded;

static int compare_codes(const void *left, const void *right)
{
  const coded *a = left, *b = right;
  return a->code != b->code ? (a->code < b->code ? -1 : 1) : (a->plot > b->plot) - (a->plot < b->plot);
}

/* level (size n): blocks numbered over all reps. */
static cks_status number_blocks(const cks_trait_task *work, const cks_place *place, uint32_t *level, size_t *n_level)
{
  const cks_layout *l = &place->layout;
  coded *code = malloc(l->n * sizeof *code);
  if (!code) return cks_error_nomem(work->task->error);
  for (size_t p = 0; p < l->n; p++)
    code[p] = (coded){(uint64_t)l->rep[p] << 32 | place->block_of[place->plot[p]], (uint32_t)p};
  qsort(code, l->n, sizeof *code, compare_codes);
  *n_level = 0;
  for (size_t i = 0; i < l->n; i++) {
    *n_level += i == 0 || code[i].code != code[i - 1].code;
    level[code[i].plot] = (uint32_t)*n_level - 1;
  }
  free(code);
  return CKS_OK;
}

/* Sum of squares of the reps, hybrids and blocks ignored. */
static double rep_ss(const cks_layout *l, const double *y, double mean, double *sum, double *n)
{
  cks_sum ss = {0};
  for (size_t r = 0; r < l->n_rep; r++) sum[r] = n[r] = 0;
  for (size_t p = 0; p < l->n; p++) {
    sum[l->rep[p]] += y[p] - mean;
    n[l->rep[p]]++;
  }
  for (size_t r = 0; r < l->n_rep; r++) cks_sum_add(&ss, sum[r] * sum[r] / n[r]);
  return cks_sum_value(&ss);
}

/* Blocks fixed, a fit takes some g^2 blocks steps: so many, a matter of a tenth of a second, and no more at one place. */
static const double MOST_INTRABLOCK = 1e8;

cks_status cks_blocks_fit(const cks_trait_task *work, const cks_place *place, cks_place *blocks, bool *good)
{
  size_t n = place->layout.n;
  double g = (double)place->layout.n_hybrid;
  uint32_t *level = cks_arena_take(work->scratch, n, sizeof *level);
  double *y = cks_arena_take(work->scratch, n, sizeof *y);
  *blocks = *place;
  *good = false;
  if (!level || !y) return cks_error_nomem(work->task->error);
  cks_status status = number_blocks(work, place, level, &blocks->layout.n_rep);
  if (status != CKS_OK || blocks->layout.n_rep > CKS_MOST_REPS) return status;
  if (g * g * (double)blocks->layout.n_rep > MOST_INTRABLOCK) return status;
  blocks->layout.rep = level;
  for (size_t p = 0; p < n; p++) y[p] = work->values.tested[place->plot[p]];
  status = cks_fit_two_way(&blocks->layout, y, work->scratch, &blocks->fit, work->task->error);
  *good = status == CKS_OK && blocks->fit.connected && blocks->fit.df_error >= 1;
  return status;
}

/* None where blocks leave no error, or tie hybrids together no more. */
static cks_status fill_table(const cks_trait_task *work, const cks_place *place, cks_analysis *a)
{
  const cks_layout *l = &place->layout;
  cks_place blocks;
  bool good = false;
  double none = cks_missing(), *y = cks_arena_take(work->scratch, l->n, sizeof *y),
         *sum = cks_arena_take(work->scratch, 2 * l->n_rep, sizeof *sum);
  cks_anova_line *line = cks_arena_take(work->task->results->arena, 5, sizeof *line);
  if (!y || !sum || !line) return cks_error_nomem(work->task->error);
  cks_status status = cks_blocks_fit(work, place, &blocks, &good);
  a->n_anova = 0;
  if (status != CKS_OK || !good) return status;
  const cks_fit *fit = &blocks.fit;
  for (size_t p = 0; p < l->n; p++) y[p] = work->values.tested[place->plot[p]];
  double reps = rep_ss(l, y, fit->plot_mean, sum, sum + l->n_rep), df = (double)l->n_rep - 1;
  double ms = fit->ss_error / fit->df_error, inside = fit->df_rep - df;
  line[0] = (cks_anova_line){"rep", df, reps, reps / df, none, none};
  line[1] = (cks_anova_line){"block in rep", inside, fit->ss_rep - reps, (fit->ss_rep - reps) / inside, none, none};
  line[2] = cks_anova_tested("hybrid", fit->df_hybrid, fit->ss_hybrid, ms, fit->df_error);
  line[3] = (cks_anova_line){"error", fit->df_error, fit->ss_error, ms, none, none};
  line[4] = (cks_anova_line){"total", fit->df_total, fit->ss_total, none, none, none};
  a->anova = line;
  a->n_anova = 5;
  return CKS_OK;
}

/* ---- the analysis ----------------------------------------------------------------------------------------------- */

/* Mean variance of a difference by reps alone. */
static double complete_variance(const cks_place *place)
{
  const cks_spread *s = &place->fit.spread;
  cks_sum sum = {0};
  double pairs = 0, ms = place->fit.ss_error / place->fit.df_error;
  for (size_t a = 0; a < s->n_class; a++)
    for (size_t b = 0; b <= a; b++) {
      double size = s->class_size[a], count = a == b ? size * (size - 1) / 2 : size * s->class_size[b];
      cks_sum_add(&sum, count > 0 ? count * s->pair[a * s->n_class + b] : 0);
      pairs += count;
    }
  return cks_sum_value(&sum) / pairs * ms;
}

cks_status cks_blocks_analyze(const cks_trait_task *work, const cks_place *place, cks_analysis *a, bool *done)
{
  static const cks_mixed_names names = {"rep", "rep", "block in rep", "hybrid x rep"};
  cks_mixed_plots plots;
  cks_arena *arena = work->task->results->arena;
  double variance = cks_missing();
  const char *note = a->note;
  *done = false;
  if (!is_affordable(work)) {
    a->note = cks_join(arena, note,
                       "blocks left in the error: too many hybrids at too many places for a mixed model of each");
    return CKS_OK;
  }
  cks_status status = gather(work, place, &plots);
  a->note = cks_join(arena, a->note,
                     "incomplete blocks: means adjusted by a mixed model (REML), interblock information recovered");
  if (status == CKS_OK) status = cks_mixed_analyze(work, &plots, &names, a, &variance, done);
  if (status != CKS_OK) return status;
  if (!*done) {
    a->why = "";
    a->note = cks_join(arena, note, "blocks left in the error: the mixed model that takes them out found no best fit");
    return CKS_OK;
  }
  a->efficiency_pct = 100 * complete_variance(place) / variance;
  status = fill_table(work, place, a);
  if (a->n_anova)
    a->note = cks_join(arena, a->note, "the table is the intrablock one, F and means are those of the mixed model");
  return status;
}
