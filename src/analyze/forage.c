/*
 * forage.c: what each cut of a forage was like at each place, and what it held of nitrate and prussic acid: counts, means
 * and the highest figure. Nothing is tested, and nothing is held against a published window here.
 */
#include "analyze.h"

#include <math.h>
#include <string.h>

enum { STAGES_NAMED = 4 };

typedef struct {
  double sum;
  size_t n;
} tally;

static void count_in(tally *t, double value)
{
  if (cks_is_missing(value)) return;
  t->sum += value;
  t->n++;
}

static double mean_of(const tally *t) { return t->n ? t->sum / (double)t->n : cks_missing(); }

/* The dry-matter yields of the cut; NULL: it has none. */
static const cks_trait *yield_of(const cks_trial *trial, size_t cut)
{
  const char *base = cks_role_find(CKS_ROLE_DRY_MATTER_YIELD)->key;
  for (size_t i = 0; i < trial->n_trait; i++) {
    const cks_trait *t = &trial->trait[i];
    if (t->role == CKS_ROLE_DRY_MATTER_YIELD && !strcmp(t->key + strlen(base), trial->cut[cut].key)) return t;
  }
  return NULL;
}

/* ---- stages ----------------------------------------------------------------------------------------------------- */

typedef struct {
  cks_id name;
  size_t n;
} stage_count;

static size_t count_stages(const cks_trial *trial, const cks_environment *e, const cks_cut *cut, stage_count *stage)
{
  size_t n = 0;
  for (size_t i = e->first; i < (size_t)e->first + e->n; i++) {
    size_t k = 0;
    if (cut->stage[i] == CKS_NONE) continue;
    while (k < n && strcmp(cks_names_text(&trial->names, stage[k].name), cks_names_text(&trial->names, cut->stage[i])))
      k++;
    if (k == n) stage[n++] = (stage_count){cut->stage[i], 0};
    stage[k].n++;
  }
  return n;
}

/* "boot (12 plots), before boot (9)": the most frequent first. */
static const char *stages_of(const cks_task *task, const cks_environment *e, const cks_cut *cut)
{
  cks_arena *arena = task->results->arena;
  stage_count *stage = cks_arena_take(arena, e->n + 1, sizeof *stage);
  const char *text = "";
  if (!stage) return text;
  size_t n = count_stages(task->trial, e, cut, stage);
  for (size_t named = 0; named < n && named < STAGES_NAMED; named++) {
    size_t most = named;
    for (size_t k = named; k < n; k++) {
      int order = cks_names_compare(cks_names_text(&task->trial->names, stage[k].name),
                                    cks_names_text(&task->trial->names, stage[most].name));
      if (stage[k].n > stage[most].n || (stage[k].n == stage[most].n && order < 0)) most = k;
    }
    stage_count held = stage[most];
    stage[most] = stage[named];
    stage[named] = held;
    text = cks_arena_format(arena, "%s%s%s (%zu%s)", text, named ? ", " : "",
                            cks_names_text(&task->trial->names, held.name), held.n,
                            named         ? ""
                            : held.n == 1 ? " plot"
                                          : " plots");
  }
  return n > STAGES_NAMED ? cks_arena_format(arena, "%s, ...", text) : text;
}

/* ---- cuts ------------------------------------------------------------------------------------------------------- */

static double planted_of(const cks_trial *trial, size_t plot)
{
  double own = cks_missing();
  for (size_t i = 0; i < trial->n_fact; i++)
    if (trial->fact[i].role == CKS_ROLE_PLANTED) own = trial->fact[i].number[plot];
  return cks_is_missing(own) ? trial->environment[trial->environment_of[plot]].planted : own;
}

/* The day of the cut before that the plot has; NaN: none. */
static double day_before(const cks_trial *trial, size_t cut, size_t plot)
{
  return cut ? trial->cut[cut - 1].day[plot] : cks_missing();
}

static cks_cut_facts facts_of(const cks_task *task, size_t environment, size_t k)
{
  const cks_trial *trial = task->trial;
  const cks_environment *e = &trial->environment[environment];
  const cks_cut *cut = &trial->cut[k];
  const cks_trait *yield = yield_of(trial, k);
  tally planted = {0}, before = {0}, height = {0}, moisture = {0};
  cks_cut_facts f = {.environment = (cks_id)environment,
                     .cut = (uint32_t)k,
                     .first_day = cks_missing(),
                     .last_day = cks_missing(),
                     .stage = stages_of(task, e, cut)};
  for (size_t i = e->first; i < (size_t)e->first + e->n; i++) {
    f.plots += yield && !cks_is_missing(yield->value[i]);
    count_in(&height, cut->height_in[i]);
    count_in(&moisture, cut->moisture_pct[i]);
    if (cks_is_missing(cut->day[i])) continue;
    if (!(f.first_day <= cut->day[i])) f.first_day = cut->day[i];
    if (!(f.last_day >= cut->day[i])) f.last_day = cut->day[i];
    count_in(&planted, cks_days_between(planted_of(trial, i), cut->day[i]));
    count_in(&before, cks_days_between(day_before(trial, k, i), cut->day[i]));
  }
  f.after_planting = mean_of(&planted);
  f.after_cut = mean_of(&before);
  f.height_in = mean_of(&height);
  f.moisture_pct = mean_of(&moisture);
  return f;
}

static cks_status describe_cuts(const cks_task *task)
{
  const cks_trial *trial = task->trial;
  cks_forage *forage = &task->results->forage;
  size_t n = trial->n_environment * trial->n_cut;
  forage->cut = cks_arena_take(task->results->arena, n + 1, sizeof *forage->cut);
  if (!forage->cut) return cks_error_nomem(task->error);
  for (size_t e = 0; e < trial->n_environment; e++)
    for (size_t k = 0; k < trial->n_cut; k++) {
      cks_cut_facts f = facts_of(task, e, k);
      bool any = f.plots || !cks_is_missing(f.first_day) || !cks_is_missing(f.height_in) || *f.stage;
      if (any) forage->cut[forage->n_cut++] = f;
    }
  return CKS_OK;
}

/* ---- nitrate and prussic acid ----------------------------------------------------------------------------------- */

static cks_content_facts held_by(const cks_task *task, size_t c, size_t environment, size_t hybrid)
{
  const cks_trial *trial = task->trial;
  const cks_environment *e = &trial->environment[environment];
  const cks_content *content = &trial->content[c];
  tally as_written = {0}, dry = {0};
  cks_content_facts f = {.environment = (cks_id)environment,
                         .hybrid = (cks_id)hybrid,
                         .content = (uint32_t)c,
                         .highest = cks_missing(),
                         .highest_dry = cks_missing()};
  for (size_t i = e->first; i < (size_t)e->first + e->n; i++) {
    if (trial->hybrid_of[i] != hybrid || cks_is_missing(content->value[i])) continue;
    count_in(&as_written, content->value[i]);
    count_in(&dry, content->dry_ppm[i]);
    if (!(f.highest >= content->value[i])) f.highest = content->value[i];
    if (!cks_is_missing(content->dry_ppm[i]) && !(f.highest_dry >= content->dry_ppm[i]))
      f.highest_dry = content->dry_ppm[i];
  }
  f.n = (uint32_t)as_written.n;
  f.mean = mean_of(&as_written);
  f.mean_dry = mean_of(&dry);
  if (dry.n < as_written.n) f.highest_dry = f.mean_dry = cks_missing(); /* the one not known may be the highest */
  return f;
}

static cks_status describe_contents(const cks_task *task)
{
  const cks_trial *trial = task->trial;
  cks_forage *forage = &task->results->forage;
  size_t most = trial->n_content * trial->n_environment * trial->n_hybrid;
  forage->content = cks_arena_take(task->results->arena, most + 1, sizeof *forage->content);
  if (!forage->content) return cks_error_nomem(task->error);
  for (size_t c = 0; c < trial->n_content; c++)
    for (size_t e = 0; e < trial->n_environment; e++)
      for (size_t h = 0; h < trial->n_hybrid; h++) {
        cks_content_facts f = held_by(task, c, e, h);
        if (f.n) forage->content[forage->n_content++] = f;
      }
  return CKS_OK;
}

cks_status cks_forage_describe(const cks_task *task)
{
  if (!task->trial->n_cut) return CKS_OK;
  cks_status status = describe_cuts(task);
  if (status == CKS_OK) status = describe_contents(task);
  return status == CKS_OK ? cks_arena_status(task->results->arena, task->error) : status;
}
