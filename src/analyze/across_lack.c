/*
 * across_lack.c: why a series has no mean over its places, in words, and the way on: fixed places, or leaving out the one
 * hybrid or place whose gaps are all there are.
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
  if (b.equal) return "not every location was there in every year";
  if (!b.complete) return "some hybrids are missing at some places";
  if (only_checks_repeat(work)) return "entries stand in one plot at each place and only checks in several";
  return cks_arena_format(work->scratch, "plots were lost or reps are unequal (%s)", uneven_places(work));
}

/* All places are balanced in themselves, with equally many plots a hybrid, and every location has every year. */
static bool is_even(const cks_trait_task *work)
{
  bool even = true;
  for (size_t j = 0; j < work->n_place; j++)
    even = even && work->place[j].fit.balanced && work->place[j].fit.plots[0] == work->place[0].fit.plots[0];
  return even;
}

/* Where all gaps are one hybrid's, or lie at one place, the rest is a balanced series: "" when not so. */
static const char *leave_one_out(const cks_trait_task *work, const cks_balanced_series *s)
{
  const cks_trial *trial = work->task->trial;
  size_t n_gap_hybrid = 0, n_gap_place = 0, hybrid = 0, place = 0, g = 0;
  uint32_t *places = calloc(trial->n_hybrid, sizeof *places);
  if (!places || !is_even(work) || s->form == BY_ENVIRONMENT || s->near_aside) goto done;
  for (size_t j = 0; j < work->n_place; j++)
    for (size_t i = 0; i < work->place[j].layout.n_hybrid; i++) places[work->place[j].hybrid_id[i]]++;
  for (size_t i = 0; i < trial->n_hybrid; i++) {
    g += places[i] > 0;
    if (places[i] > 0 && places[i] < work->n_place) n_gap_hybrid++, hybrid = i;
  }
  for (size_t j = 0; j < work->n_place; j++)
    if (work->place[j].layout.n_hybrid < g) n_gap_place++, place = j;
done:
  free(places);
  if (n_gap_hybrid == 1 && g > 2)
    return cks_arena_format(work->task->results->arena,
                            "; the rest can be compared without it: --without hybrid=\"%s\"",
                            trial->hybrid[hybrid].full);
  if (n_gap_place == 1 && work->n_place > 2)
    return cks_arena_format(work->task->results->arena,
                            "; the rest can be compared without that place: --without location=\"%s\"",
                            trial->location[trial->environment[work->place[place].environment].location]);
  return "";
}

/* Places taken as fixed, in one season, ask only that no cell is empty. */
const char *cks_across_way_on(const cks_trait_task *work, const cks_balanced_series *s, cks_balance b)
{
  bool helps = cks_can_average(work, s, b) && s->l > 1 && !work->task->settings->locations_fixed;
  return helps ? "; --locations fixed compares at these places only" : !b.complete ? leave_one_out(work, s) : "";
}
