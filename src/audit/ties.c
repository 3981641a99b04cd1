/*
 * ties.c: plots alike in environment, rep, block and hybrid: by position, plot number and the values of the traits; by
 * file and line only when all of these agree, so that neither the order of rows in the files nor the columns that a
 * trait was made of decide anything that is summed. In and out: the trial, all of its arrays.
 */
#include "audit.h"

#include <stdlib.h>
#include <string.h>

static int compare_values(double a, double b)
{
  if (cks_is_missing(a) || cks_is_missing(b)) return cks_is_missing(a) - cks_is_missing(b);
  return a < b ? -1 : a > b;
}

static int compare_positions(const int32_t *at, uint32_t a, uint32_t b)
{
  return !at || at[a] == at[b] ? 0 : at[a] < at[b] ? -1 : 1;
}

static int compare_ties(const void *context, uint32_t a, uint32_t b)
{
  const cks_trial *t = context;
  int by = compare_positions(t->row, a, b);
  if (!by) by = compare_positions(t->column, a, b);
  if (!by) by = compare_positions(t->strip, a, b);
  if (!by && t->plot_of)
    by = cks_names_compare(cks_names_text(&t->names, t->plot_of[a]), cks_names_text(&t->names, t->plot_of[b]));
  for (size_t i = 0; i < t->n_trait && !by; i++) by = compare_values(t->trait[i].value[a], t->trait[i].value[b]);
  if (!by) by = (int)t->file[a] - (int)t->file[b];
  return by ? by : t->line[a] < t->line[b] ? -1 : t->line[a] > t->line[b];
}

static bool is_tied(const cks_trial *t, uint32_t a, uint32_t b)
{
  return t->environment_of[a] == t->environment_of[b] && t->hybrid_of[a] == t->hybrid_of[b] &&
         (!t->rep_of || t->rep_of[a] == t->rep_of[b]) && (!t->block_of || t->block_of[a] == t->block_of[b]);
}

/* A run of tied plots while it is put in order. */
typedef struct {
  uint32_t first, n, *index, *room; /* index: the plots in the order wanted */
  unsigned char *bytes;             /* n elements of any array */
} run;

/* Puts the run's elements (size bytes each) of an array that may be NULL in the order of run->index. */
static void reorder(const run *r, void *array, size_t size)
{
  if (!array) return;
  unsigned char *from = array;
  for (uint32_t i = 0; i < r->n; i++) memcpy(r->bytes + i * size, from + r->index[i] * size, size);
  memcpy(from + r->first * size, r->bytes, r->n * size);
}

static void sort_run(cks_trial *t, run *r)
{
  for (uint32_t i = 0; i < r->n; i++) r->index[i] = r->first + i;
  cks_audit_sort(r->index, r->room, r->n, compare_ties, t);
  reorder(r, t->row, sizeof *t->row);
  reorder(r, t->column, sizeof *t->column);
  reorder(r, t->strip, sizeof *t->strip);
  reorder(r, t->plot_of, sizeof *t->plot_of);
  reorder(r, t->line, sizeof *t->line);
  reorder(r, t->file, sizeof *t->file);
  for (size_t i = 0; i < t->n_trait; i++) {
    reorder(r, t->trait[i].value, sizeof *t->trait[i].value);
    reorder(r, t->trait[i].line, sizeof *t->trait[i].line);
    reorder(r, t->trait[i].file, sizeof *t->trait[i].file);
  }
  for (size_t i = 0; i < t->n_fact; i++) {
    reorder(r, t->fact[i].number, sizeof *t->fact[i].number);
    reorder(r, t->fact[i].name, sizeof *t->fact[i].name);
  }
  for (size_t k = 0; k < t->n_cut; k++) {
    reorder(r, t->cut[k].day, sizeof *t->cut[k].day);
    reorder(r, t->cut[k].height_in, sizeof *t->cut[k].height_in);
    reorder(r, t->cut[k].moisture_pct, sizeof *t->cut[k].moisture_pct);
    reorder(r, t->cut[k].stage, sizeof *t->cut[k].stage);
  }
  for (size_t i = 0; i < t->n_content; i++) {
    reorder(r, t->content[i].value, sizeof *t->content[i].value);
    reorder(r, t->content[i].dry_ppm, sizeof *t->content[i].dry_ppm);
  }
}

/* The first run of tied plots at or after `from`; n = 0: there is none. */
static run next_run(const cks_trial *t, uint32_t from)
{
  run r = {0};
  for (r.first = from; r.first + 1 < t->n_plot && !is_tied(t, r.first, r.first + 1);) r.first++;
  if (r.first + 1 >= t->n_plot) return r;
  for (r.n = 2; r.first + r.n < t->n_plot && is_tied(t, r.first, r.first + r.n);) r.n++;
  return r;
}

cks_status cks_audit_ties(cks_audit_work *work, cks_trial *trial)
{
  uint32_t longest = 0;
  for (run r = next_run(trial, 0); r.n; r = next_run(trial, r.first + r.n))
    if (r.n > longest) longest = r.n;
  if (!longest) return CKS_OK;
  uint32_t *index = malloc(longest * sizeof *index), *room = malloc(longest * sizeof *room);
  unsigned char *bytes = malloc(longest * sizeof(double));
  cks_status status = index && room && bytes ? CKS_OK : cks_error_nomem(work->error);
  for (run r = next_run(trial, 0); r.n && status == CKS_OK; r = next_run(trial, r.first + r.n)) {
    r.index = index;
    r.room = room;
    r.bytes = bytes;
    sort_run(trial, &r);
  }
  free(bytes);
  free(room);
  free(index);
  return status;
}
