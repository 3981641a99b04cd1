/*
 * across_lack.c: what keeps a series from being a balanced table, in words; and whether fixed places can be averaged.
 */
#include "across.h"

#include <stdlib.h>

/* Fixed places in one season: their cells may be averaged when none is empty and some place tests hybrids against plots
 * of their own. Twin plots of checks alone say how alike twins are, not how hybrids vary: their pooled error would rank
 * entries that no place may rank. */
bool cks_can_average(const cks_trait_task *work, const cks_balanced_series *s, cks_balance b)
{
  bool tested = false;
  for (size_t j = 0; j < work->n_place; j++)
    tested = tested || (work->place[j].method == CKS_METHOD_ANOVA && !work->place[j].check_plots);
  return b.complete && s->y == 1 && tested;
}

/* The commonest number of plots a hybrid over the places that are balanced in themselves; 0: none is. */
static uint32_t usual_plots(const cks_trait_task *work)
{
  uint32_t usual = 0;
  size_t most = 0;
  for (size_t j = 0; j < work->n_place; j++) {
    size_t same = 0;
    for (size_t k = 0; k < work->n_place && work->place[j].fit.balanced; k++)
      same += work->place[k].fit.balanced && work->place[k].fit.plots[0] == work->place[j].fit.plots[0];
    if (same > most) most = same, usual = work->place[j].fit.plots[0];
  }
  return usual;
}

/* Which places have lost plots or other reps than most: "Creek, Ferrow". */
static const char *uneven_places(const cks_trait_task *work)
{
  enum { MOST_NAMED = 4 };
  const char *text = "";
  size_t n = 0;
  uint32_t usual = usual_plots(work);
  for (size_t j = 0; j < work->n_place; j++) {
    const cks_place *place = &work->place[j];
    if (place->fit.balanced && place->fit.plots[0] == usual) continue;
    if (n++ < MOST_NAMED)
      text = cks_arena_format(work->scratch, "%s%s%s", text, *text ? ", " : "",
                              work->task->trial->environment[place->environment].label);
  }
  return n > MOST_NAMED ? cks_arena_format(work->scratch, "%s and %zu more", text, n - MOST_NAMED) : text;
}

/* No hybrid but checks stands in several plots anywhere. */
static bool only_checks_repeat(const cks_trait_task *work)
{
  bool checks = false;
  for (size_t j = 0; j < work->n_place; j++) {
    const cks_place *place = &work->place[j];
    if (place->fit.df_error >= 1 && !place->check_plots) return false;
    checks |= place->check_plots;
  }
  return checks;
}

const char *cks_across_lack(const cks_trait_task *work, cks_balance b)
{
  const cks_settings *settings = work->task->settings;
  if (b.equal && b.whole && b.told && settings->hybrids_random) return "hybrids are random by request";
  if (b.equal && b.whole && b.told) return "each environment has an error variance of its own by request";
  if (b.equal && b.whole) return "not every location was there in every year";
  if (!b.complete) return "some hybrids are missing at some places";
  if (b.equal) return "reps hold incomplete blocks";
  if (only_checks_repeat(work)) return "entries stand in one plot at each place and only checks in several";
  return cks_arena_format(work->scratch, "%splots were lost or reps are unequal (%s)",
                          b.whole ? "" : "reps hold incomplete blocks, and ", uneven_places(work));
}
