/* spread.c: see spread.h. */
#include "spread.h"

#include "../math/sums.h"

#include <math.h>

static const double SAME_SED = 1e-9; /* relative: what rounding alone can make of equal SEDs, with room */

cks_status cks_spread_new(cks_spread *spread, size_t n, size_t n_class, cks_arena *arena, cks_error *error)
{
  *spread = (cks_spread){
      .n = n,
      .n_class = n_class,
      .class_of = cks_arena_take(arena, n, sizeof *spread->class_of),
      .class_size = cks_arena_take(arena, n_class, sizeof *spread->class_size),
      .own = cks_arena_take(arena, n_class, sizeof *spread->own),
      .pair = n_class <= SIZE_MAX / sizeof(double) / n_class ? cks_arena_take(arena, n_class * n_class, sizeof(double))
                                                             : NULL,
  };
  return spread->pair ? cks_arena_status(arena, error) : cks_error_nomem(error);
}

cks_status cks_spread_even(cks_spread *spread, size_t n, double own, double pair, cks_arena *arena, cks_error *error)
{
  cks_status status = cks_spread_new(spread, n, 1, arena, error);
  if (status != CKS_OK) return status;
  spread->class_size[0] = (uint32_t)n;
  spread->own[0] = own;
  spread->pair[0] = pair;
  return CKS_OK;
}

cks_status cks_spread_part(cks_spread *part, const cks_spread *whole, size_t n, const uint32_t *member,
                           cks_arena *arena, cks_error *error)
{
  *part = *whole;
  part->n = n;
  part->class_of = cks_arena_take(arena, n, sizeof *part->class_of);
  part->class_size = cks_arena_take(arena, whole->n_class, sizeof *part->class_size);
  if (!part->class_of || !part->class_size) return cks_error_nomem(error);
  for (size_t i = 0; i < n; i++) {
    part->class_of[i] = whole->class_of[member[i]];
    part->class_size[part->class_of[i]]++;
  }
  return CKS_OK;
}

double cks_spread_pair(const cks_spread *spread, size_t i, size_t j)
{
  return spread->pair[spread->class_of[i] * spread->n_class + spread->class_of[j]];
}

double cks_spread_df(const cks_spread *spread, size_t i, size_t j, double all)
{
  return spread->df ? spread->df[spread->class_of[i] * spread->n_class + spread->class_of[j]] : all;
}

double cks_spread_least_df(const cks_spread *spread, size_t i, double all)
{
  double least = spread->df ? INFINITY : all;
  for (size_t j = 0; j < spread->n && spread->df; j++)
    if (j != i) least = fmin(least, cks_spread_df(spread, i, j, all));
  return least;
}

cks_sed cks_spread_sed(const cks_spread *spread, double error_ms)
{
  cks_sum sum = {0};
  double pairs = 0, smallest = INFINITY, largest = 0;
  for (size_t a = 0; a < spread->n_class; a++)
    for (size_t b = 0; b <= a; b++) {
      double size = spread->class_size[a];
      double count = a == b ? size * (size - 1) / 2 : size * spread->class_size[b];
      if (count == 0) continue;
      double sed = sqrt(error_ms * spread->pair[a * spread->n_class + b]);
      cks_sum_add(&sum, count * sed);
      pairs += count;
      smallest = fmin(smallest, sed);
      largest = fmax(largest, sed);
    }
  if (pairs == 0) return (cks_sed){cks_missing(), cks_missing(), cks_missing(), true};
  if (largest - smallest <= SAME_SED * largest) return (cks_sed){largest, largest, largest, true};
  return (cks_sed){cks_sum_value(&sum) / pairs, smallest, largest, false};
}
