/*
 * strip_order.c: farms whose strips stand in one order everywhere. A hybrid then has the same neighbors, and the same
 * end of the field, at every farm; no mean over farms takes that out. In: the trial, in canonical order.
 *
 * Looked at are places all of whose plots have a strip number of their own, and there the hybrids that stand once:
 * a check may stand anywhere between them.
 */
#include "audit.h"

#include <stdlib.h>

enum { FEWEST_IN_ORDER = 5 }; /* hybrids that two farms share: fewer may agree by chance */

static int compare_strips(const void *context, uint32_t a, uint32_t b)
{
  const cks_trial *t = context;
  return (t->strip[a] > t->strip[b]) - (t->strip[a] < t->strip[b]);
}

/* The place's plots by strip number in index; false: they have no order. */
static bool in_order(const cks_trial *t, const cks_environment *e, uint32_t *index, uint32_t *room)
{
  bool given = true;
  for (uint32_t i = 0; i < e->n; i++) {
    index[i] = e->first + i;
    given &= t->strip[e->first + i] != INT32_MIN;
  }
  cks_audit_sort(index, room, e->n, compare_strips, t);
  for (uint32_t i = 1; i < e->n; i++) given &= t->strip[index[i]] != t->strip[index[i - 1]];
  return given;
}

/* size n_hybrid each: plots of each hybrid at the place; where it stands at the first one, from 1 (0: not, or twice) */
typedef struct {
  uint32_t *plots, *at;
} standing;

static void count(const cks_trial *t, const cks_environment *e, standing *s)
{
  for (size_t h = 0; h < t->n_hybrid; h++) s->plots[h] = 0;
  for (uint32_t i = e->first; i < e->first + e->n; i++) s->plots[t->hybrid_of[i]]++;
}

/* The hybrids that both places have once stand in the order of the first. */
static bool agrees(const cks_trial *t, const cks_environment *e, const uint32_t *index, const standing *s)
{
  uint32_t last = 0, shared = 0;
  for (uint32_t i = 0; i < e->n; i++) {
    uint32_t h = t->hybrid_of[index[i]];
    if (s->plots[h] != 1 || !s->at[h]) continue;
    if (s->at[h] < last) return false;
    last = s->at[h];
    shared++;
  }
  return shared >= FEWEST_IN_ORDER;
}

static size_t count_places_in_one_order(const cks_trial *t, standing *s, uint32_t *index, uint32_t *room)
{
  size_t n = 0;
  for (size_t j = 0; j < t->n_environment; j++) {
    const cks_environment *e = &t->environment[j];
    if (!in_order(t, e, index, room)) continue;
    count(t, e, s);
    for (uint32_t i = 0; i < e->n && n == 0; i++)
      if (s->plots[t->hybrid_of[index[i]]] == 1) s->at[t->hybrid_of[index[i]]] = i + 1;
    if (n && !agrees(t, e, index, s)) return 0;
    n++;
  }
  return n;
}

cks_status cks_audit_strip_order(cks_audit_work *work, const cks_trial *trial)
{
  if (!trial->strip) return CKS_OK;
  standing s = {calloc(trial->n_hybrid + 1, sizeof *s.plots), calloc(trial->n_hybrid + 1, sizeof *s.at)};
  uint32_t *index = calloc(trial->n_plot + 1, sizeof *index), *room = calloc(trial->n_plot + 1, sizeof *room);
  cks_status status = s.plots && s.at && index && room ? CKS_OK : cks_error_nomem(work->error);
  size_t n = status == CKS_OK ? count_places_in_one_order(trial, &s, index, room) : 0;
  if (n > 1)
    status = cks_audit_say_all(work, CKS_RULE_SAME_ORDER_EVERYWHERE,
                               "the strips stand in one order at all %zu places with strip numbers: neighbors and the "
                               "ends of fields then look like hybrids, at every place alike",
                               n);
  free(room);
  free(index);
  free(s.at);
  free(s.plots);
  return status;
}
