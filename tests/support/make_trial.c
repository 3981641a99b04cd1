/* make_trial.c: see make_trial.h. */
#include "make_trial.h"

#include "support.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

const char *const made_reps[6] = {"1", "2", "3", "4", "5", "6"};
const char *const made_names[10] = {"A", "B", "C", "D", "E", "F", "G", "H", "I", "J"};

size_t made_from_table(made_plot *plots, const double *table, size_t n_hybrid, size_t n_rep, const char *const *hybrid)
{
  size_t n = 0;
  for (size_t i = 0; i < n_hybrid; i++)
    for (size_t k = 0; k < n_rep; k++)
      if (!cks_is_missing(table[i * n_rep + k]))
        plots[n++] = (made_plot){"Here", 2026, made_reps[k], NULL, hybrid[i], table[i * n_rep + k]};
  return n;
}

typedef struct {
  const made_plot *plot;
  uint32_t line;
} made_row_of;

static int text_order(const char *a, const char *b) { return cks_names_compare(a ? a : "", b ? b : ""); }

static int canonical(const void *left, const void *right)
{
  const made_plot *a = ((const made_row_of *)left)->plot, *b = ((const made_row_of *)right)->plot;
  uint32_t la = ((const made_row_of *)left)->line, lb = ((const made_row_of *)right)->line;
  int by = text_order(a->location, b->location);
  if (!by) by = (a->year > b->year) - (a->year < b->year);
  if (!by) by = text_order(a->rep, b->rep);
  if (!by) by = text_order(a->block, b->block);
  if (!by) by = text_order(a->hybrid, b->hybrid);
  if (!by) by = isnan(a->value) - isnan(b->value);
  if (!by && !isnan(a->value)) by = (a->value > b->value) - (a->value < b->value);
  return by ? by : (la > lb) - (la < lb);
}

static int compare_texts(const void *a, const void *b)
{
  return cks_names_compare(*(const char *const *)a, *(const char *const *)b);
}

typedef const char *(*text_of)(const made_plot *);
static const char *location_of(const made_plot *p) { return p->location; }
static const char *rep_of(const made_plot *p) { return p->rep; }
static const char *block_of(const made_plot *p) { return p->block; }
static const char *hybrid_of(const made_plot *p) { return p->hybrid; }

/* The different texts, sorted, in the arena; *ids becomes each row's number (CKS_NONE for NULL), NULL when none has
 * one. */
static const char **number(cks_arena *arena, const made_row_of *rows, size_t n, text_of of, uint32_t **ids,
                           size_t *n_text)
{
  const char **texts = cks_arena_take(arena, n, sizeof *texts);
  uint32_t *id = cks_arena_take(arena, n, sizeof *id);
  size_t m = 0;
  assert_true(texts && id);
  for (size_t i = 0; i < n; i++)
    if (of(rows[i].plot)) texts[m++] = of(rows[i].plot);
  qsort(texts, m, sizeof *texts, compare_texts);
  *n_text = 0;
  for (size_t i = 0; i < m; i++)
    if (i == 0 || strcmp(texts[i], texts[*n_text - 1])) texts[(*n_text)++] = texts[i];
  for (size_t i = 0; i < n; i++) {
    const char *text = of(rows[i].plot);
    id[i] = text ? (uint32_t)((const char **)bsearch(&text, texts, *n_text, sizeof *texts, compare_texts) - texts)
                 : CKS_NONE;
  }
  *ids = m ? id : NULL;
  for (size_t i = 0; i < *n_text; i++) texts[i] = cks_arena_text(arena, texts[i]);
  return texts;
}

static void make_environments(cks_trial *trial, const made_row_of *rows, const uint32_t *location)
{
  cks_arena *arena = trial->arena;
  trial->environment = cks_arena_take(arena, trial->n_plot, sizeof *trial->environment);
  trial->environment_of = cks_arena_take(arena, trial->n_plot, sizeof *trial->environment_of);
  assert_true(trial->environment && trial->environment_of);
  for (size_t p = 0; p < trial->n_plot; p++) {
    int year = rows[p].plot->year;
    cks_environment *e = trial->n_environment ? &trial->environment[trial->n_environment - 1] : NULL;
    if (!e || e->location != location[p] || e->year != year) {
      e = &trial->environment[trial->n_environment++];
      *e = (cks_environment){.weather = CKS_NONE,
                             .location = location[p],
                             .trial = "",
                             .year = year,
                             .first = (uint32_t)p,
                             .planted = NAN,
                             .harvested = NAN};
      e->label = cks_arena_format(arena, "%s %d", trial->location[location[p]], year);
      e->place = cks_arena_take(arena, CKS_ROLE_COUNT, sizeof *e->place);
    }
    e->n++;
    trial->environment_of[p] = (uint32_t)trial->n_environment - 1;
  }
}

static void make_trait(cks_trial *trial, const made_row_of *rows, cks_role role)
{
  const cks_role_fact *fact = cks_role_find(role);
  cks_trait *trait = cks_arena_take(trial->arena, 1, sizeof *trait);
  assert_non_null(trait);
  *trait = (cks_trait){.role = role,
                       .key = fact->key,
                       .label = fact->label,
                       .narrow = fact->narrow,
                       .unit = fact->unit,
                       .digits = fact->digits,
                       .basis_pct = NAN,
                       .basis_text = "",
                       .better = fact->better,
                       .measure = fact->measure,
                       .scale_low = NAN,
                       .scale_high = NAN,
                       .value = cks_arena_take(trial->arena, trial->n_plot, sizeof(double))};
  assert_non_null(trait->value);
  for (size_t p = 0; p < trial->n_plot; p++) trait->value[p] = rows[p].plot->value;
  trial->trait = trait;
  trial->n_trait = 1;
}

cks_trial *made_trial(const made_plot *plots, size_t n, cks_role role, const char *const *checks)
{
  cks_trial *trial = calloc(1, sizeof *trial);
  made_row_of *rows = calloc(n, sizeof *rows);
  assert_true(trial && rows);
  cks_arena *arena = trial->arena = cks_arena_new();
  assert_non_null(arena);
  for (size_t p = 0; p < n; p++) rows[p] = (made_row_of){&plots[p], (uint32_t)p + 2};
  qsort(rows, n, sizeof *rows, canonical);
  trial->n_plot = n;
  trial->crop = cks_crop_at(0);
  trial->count_origin = "planting";
  uint32_t *location = NULL;
  trial->location = number(arena, rows, n, location_of, &location, &trial->n_location);
  trial->rep = number(arena, rows, n, rep_of, &trial->rep_of, &trial->n_rep);
  trial->block = number(arena, rows, n, block_of, &trial->block_of, &trial->n_block);
  const char **names = number(arena, rows, n, hybrid_of, &trial->hybrid_of, &trial->n_hybrid);
  trial->hybrid = cks_arena_take(arena, trial->n_hybrid, sizeof *trial->hybrid);
  trial->line = cks_arena_take(arena, n, sizeof *trial->line);
  trial->file = cks_arena_take(arena, n, sizeof *trial->file);
  assert_true(trial->hybrid && trial->line && trial->file);
  for (size_t i = 0; i < trial->n_hybrid; i++) {
    trial->hybrid[i] = (cks_hybrid){.name = names[i], .full = names[i], .brand = "", .maturity = ""};
    for (const char *const *check = checks; check && *check; check++)
      trial->hybrid[i].check |= !strcmp(*check, names[i]);
  }
  for (size_t p = 0; p < n; p++) trial->line[p] = rows[p].line;
  make_environments(trial, rows, location);
  make_trait(trial, rows, role);
  free(rows);
  return trial;
}

cks_settings made_settings(void)
{
  return (cks_settings){.alpha = 0.05,
                        .moisture_pct = NAN,
                        .cv_limit = 20,
                        .min_environments = 0.5,
                        .as_of = NAN,
                        .order = CKS_ORDER_DEFAULT,
                        .paper = "letter"};
}

made_analysis made_analyze(cks_trial *trial, const cks_settings *settings)
{
  made_analysis made = {.trial = trial};
  cks_id file;
  assert_int_equal(cks_findings_new(&made.findings, NULL), CKS_OK);
  assert_int_equal(cks_findings_file(made.findings, "plots.csv", &file, NULL), CKS_OK);
  made.status = cks_analyze(settings, trial, made.findings, &made.results, &made.error);
  return made;
}

void made_analysis_release(made_analysis *made)
{
  cks_results_free(made->results);
  cks_findings_free(made->findings);
  cks_arena_free(made->trial->arena);
  free(made->trial);
}

const cks_hybrid_result *made_row(const made_analysis *made, const cks_analysis *analysis, const char *hybrid)
{
  for (size_t i = 0; i < analysis->n_hybrid; i++)
    if (!strcmp(made->results->hybrid[analysis->hybrid[i].hybrid].name, hybrid)) return &analysis->hybrid[i];
  fail_msg("no row of '%s'", hybrid);
  return NULL;
}

void made_assert_same(const made_analysis *a, const cks_analysis *x, const made_analysis *b, const cks_analysis *y)
{
  assert_int_equal(x->method, y->method);
  assert_string_equal(x->design, y->design);
  assert_int_equal(x->n_environment, y->n_environment);
  assert_int_equal(x->plots, y->plots);
  assert_int_equal(x->n_top, y->n_top);
  assert_int_equal(x->n_hybrid - x->n_aside, y->n_hybrid);
  const double figures[][2] = {{x->f, y->f},       {x->p, y->p},           {x->sed, y->sed},
                               {x->lsd, y->lsd},   {x->lsd_df, y->lsd_df}, {x->error_ms, y->error_ms},
                               {x->mean, y->mean}, {x->cv_pct, y->cv_pct}, {x->den_df, y->den_df}};
  for (size_t k = 0; k < sizeof figures / sizeof *figures; k++) assert_close(figures[k][0], figures[k][1], 1e-9);
  for (size_t i = 0; i < y->n_hybrid; i++) {
    const cks_hybrid_result *own = &x->hybrid[i], *other = &y->hybrid[i];
    assert_string_equal(a->results->hybrid[own->hybrid].name, b->results->hybrid[other->hybrid].name);
    assert_close(own->mean, other->mean, 1e-12);
    assert_close(own->pct_of_mean, other->pct_of_mean, 1e-12);
    assert_int_equal(own->rank, other->rank);
    assert_int_equal(own->top, other->top);
    assert_string_equal(own->group ? own->group : "", other->group ? other->group : "");
  }
}

const cks_anova_line *made_line(const cks_analysis *analysis, const char *source)
{
  for (size_t i = 0; i < analysis->n_anova; i++)
    if (!strcmp(analysis->anova[i].source, source)) return &analysis->anova[i];
  fail_msg("no line '%s'", source);
  return NULL;
}
