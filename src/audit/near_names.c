/*
 * near_names.c: names of hybrids and locations that are one character apart: two, or one that was misspelled in some rows.
 */
#include "audit.h"

#include <stdlib.h>
#include <string.h>

enum {
  MOST_COMPARED = 4000, /* names that are compared with each other */
  SHORTEST_NAME = 4,    /* letters of a name before one character apart means anything */
  SHORTEST_PLACE = 6    /* the same of a location */
};

/* One insertion, deletion or replacement apart. */
static bool one_apart(const char *a, const char *b)
{
  size_t n = strlen(a), m = strlen(b), head = 0, tail = 0;
  if (n > m + 1 || m > n + 1) return false;
  while (a[head] && a[head] == b[head]) head++;
  while (tail < n - head && tail < m - head && a[n - 1 - tail] == b[m - 1 - tail]) tail++;
  return n - head - tail <= 1 && m - head - tail <= 1;
}

/* Plots by hybrid, and the rep of a place where each stands. */
typedef struct {
  uint32_t *first; /* size n_hybrid + 1: plot[first[h]] .. plot[first[h + 1]] are hybrid h's */
  uint32_t *plot;  /* size n_plot */
  uint32_t *slot;  /* size n_plot: which rep of which environment; the environment where no rep is given */
  uint32_t *seen;  /* size n_slot: the last hybrid, plus one, that was found there */
  uint32_t n_slot;
} whereabouts;

static cks_status find_whereabouts(const cks_audit_work *work, const cks_trial *t, whereabouts *w)
{
  w->first = calloc(t->n_hybrid + 2, sizeof *w->first);
  w->plot = malloc((t->n_plot + 1) * sizeof *w->plot);
  w->slot = malloc((t->n_plot + 1) * sizeof *w->slot);
  w->seen = calloc(t->n_plot + 1, sizeof *w->seen);
  if (!w->first || !w->plot || !w->slot || !w->seen) return cks_error_nomem(work->error);
  for (uint32_t i = 0; i < t->n_plot; i++) { /* canonical order: reps are runs */
    bool next =
        i && (t->environment_of[i] != t->environment_of[i - 1] || (t->rep_of && t->rep_of[i] != t->rep_of[i - 1]));
    w->n_slot += next;
    w->slot[i] = w->n_slot;
    w->first[t->hybrid_of[i] + 2]++;
  }
  w->n_slot++;
  for (size_t h = 0; h < t->n_hybrid; h++) w->first[h + 2] += w->first[h + 1];
  for (uint32_t i = 0; i < t->n_plot; i++) w->plot[w->first[t->hybrid_of[i] + 1]++] = i;
  return CKS_OK;
}

static uint32_t plots_of(const whereabouts *w, uint32_t hybrid) { return w->first[hybrid + 1] - w->first[hybrid]; }

static bool share_a_rep(whereabouts *w, uint32_t a, uint32_t b)
{
  bool share = false;
  for (uint32_t k = w->first[a]; k < w->first[a + 1]; k++) w->seen[w->slot[w->plot[k]]] = a + 1;
  for (uint32_t k = w->first[b]; k < w->first[b + 1] && !share; k++) share = w->seen[w->slot[w->plot[k]]] == a + 1;
  return share;
}

/* Two names one character apart that never stand in one rep of a place: perhaps one hybrid, misspelled in some rows. One
 * whose rows are all in error has no plots, and is looked at once they are mended. */
static cks_status near_hybrids(cks_audit_work *work, const cks_trial *t, whereabouts *w)
{
  cks_status status = CKS_OK;
  uint32_t fewest = UINT32_MAX;
  for (uint32_t h = 0; h < t->n_hybrid; h++) fewest = plots_of(w, h) < fewest ? plots_of(w, h) : fewest;
  for (uint32_t a = 0; a < t->n_hybrid; a++) {
    if (strlen(t->hybrid[a].name) < SHORTEST_NAME || plots_of(w, a) + fewest > w->n_slot || !plots_of(w, a)) continue;
    for (uint32_t b = a + 1; b < t->n_hybrid && status == CKS_OK; b++) {
      bool must_share = plots_of(w, a) + plots_of(w, b) > w->n_slot; /* unless one stands twice in a rep */
      if (must_share || !plots_of(w, b) || !one_apart(t->hybrid[a].name, t->hybrid[b].name) || share_a_rep(w, a, b))
        continue;
      if (work->listed_as[a] != CKS_NONE && work->listed_as[b] != CKS_NONE)
        continue; /* two hybrids, by the names table */
      uint32_t fewer = plots_of(w, a) < plots_of(w, b) ? a : b;
      status = cks_audit_say_plot(
          work, t, CKS_RULE_MAYBE_ONE_HYBRID, w->plot[w->first[fewer]],
          cks_arena_format(work->arena,
                           "'%s' (%s) and '%s' (%s) are one character apart and never stand in one rep: one hybrid? "
                           "correct the spelling, or give a --names table with seen_as and hybrid",
                           t->hybrid[a].full, cks_audit_count(work->arena, plots_of(w, a), "plot"), t->hybrid[b].full,
                           cks_audit_count(work->arena, plots_of(w, b), "plot")));
    }
  }
  return status;
}

static cks_status maybe_one_hybrid(cks_audit_work *work, const cks_trial *t)
{
  whereabouts w = {0};
  cks_status status = CKS_OK;
  if (t->n_hybrid > MOST_COMPARED) return CKS_OK;
  status = find_whereabouts(work, t, &w);
  if (status == CKS_OK) status = near_hybrids(work, t, &w);
  free(w.first);
  free(w.plot);
  free(w.slot);
  free(w.seen);
  return status;
}

static bool has_digit(const char *text) { return strpbrk(text, "0123456789") != NULL; }

/* Has the places table a row for it? Two names that it has are two places. */
static bool is_place_listed(const cks_audit_work *work, const char *name)
{
  const cks_table *places = work->places;
  const cks_column *column = places ? cks_table_column(places, CKS_ROLE_LOCATION) : NULL;
  for (size_t row = 0; column && row < places->n_row; row++)
    if (cks_audit_same(cks_names_text(&places->names, column->name[row]), name)) return true;
  return false;
}

/* The first plot at the location of two that has fewer. */
static size_t fewer_plots(const cks_trial *t, size_t a, size_t b)
{
  size_t n[2] = {0}, first[2] = {0};
  for (size_t i = 0; i < t->n_environment; i++)
    for (size_t k = 0; k < 2; k++) {
      const cks_environment *e = &t->environment[i];
      if (e->location != (k ? b : a)) continue;
      if (!n[k]) first[k] = e->first;
      n[k] += e->n;
    }
  return first[n[1] <= n[0]];
}

/* Locations one character apart, but for numbered ones and those told apart by a letter of their own (Elm N, Elm S). */
static cks_status maybe_one_place(cks_audit_work *work, const cks_trial *t)
{
  cks_status status = CKS_OK;
  for (size_t a = 0; a < t->n_location && t->n_location <= MOST_COMPARED; a++)
    for (size_t b = a + 1; b < t->n_location && status == CKS_OK; b++) {
      const char *x = t->location[a], *y = t->location[b], *last = strrchr(x, ' ');
      bool lettered = last && strlen(last) <= 2;
      if (strlen(x) >= SHORTEST_PLACE && !lettered && !has_digit(x) && !has_digit(y) && one_apart(x, y) &&
          !(is_place_listed(work, x) && is_place_listed(work, y)))
        status = cks_audit_say_plot(
            work, t, CKS_RULE_MAYBE_ONE_PLACE, fewer_plots(t, a, b),
            cks_arena_format(
                work->arena,
                "locations '%s' and '%s' are one character apart: one place? correct the spelling, or list "
                "both in a --places table if they are two",
                x, y));
    }
  return status;
}

cks_status cks_audit_near_names(cks_audit_work *work, const cks_trial *trial)
{
  cks_status status = maybe_one_hybrid(work, trial);
  return status == CKS_OK ? maybe_one_place(work, trial) : status;
}
