/* make_plots.c: see make_plots.h. */
#include "make_plots.h"

#include "support.h"

#include <math.h>
#include <stdlib.h>

/* Effects of one term, drawn when they are first asked for: NaN until then. */
typedef struct {
  double *effect;
  size_t n;
  double sd;
} term;

typedef struct {
  const made_design *design;
  test_random random;
  term term[CKS_REML_ERROR];
  made_plots plots;
} maker;

static double effect(maker *m, cks_reml_kind kind, size_t level)
{
  term *t = &m->term[kind];
  if (isnan(t->effect[level])) t->effect[level] = t->sd * test_normal(&m->random);
  return t->effect[level];
}

static bool begin(maker *m)
{
  const made_design *d = m->design;
  size_t places = d->locations * d->years, blocks = d->block_size ? (d->hybrids - 1) / d->block_size + 1 : 1,
         most = places * d->reps * d->hybrids;
  const size_t levels[CKS_REML_ERROR] = {[CKS_REML_ENVIRONMENT] = places,
                                         [CKS_REML_REP] = places * d->reps,
                                         [CKS_REML_BLOCK] = places * d->reps * blocks,
                                         [CKS_REML_CELL] = places * d->hybrids,
                                         [CKS_REML_HYBRID] = d->hybrids,
                                         [CKS_REML_BY_LOCATION] = d->locations * d->hybrids,
                                         [CKS_REML_BY_YEAR] = d->years * d->hybrids};
  uint32_t **ids[] = {&m->plots.hybrid, &m->plots.environment, &m->plots.rep, &m->plots.block};
  bool made = true;
  for (size_t k = 0; k < CKS_REML_ERROR; k++) {
    m->term[k] = (term){malloc(levels[k] * sizeof(double)), levels[k], sqrt(d->variance[k])};
    made &= m->term[k].effect != NULL;
    for (size_t i = 0; i < levels[k] && made; i++) m->term[k].effect[i] = NAN;
  }
  for (size_t k = 0; k < sizeof ids / sizeof *ids; k++) {
    *ids[k] = calloc(most, sizeof **ids[k]);
    made &= *ids[k] != NULL;
  }
  m->plots.y = calloc(most, sizeof *m->plots.y);
  m->plots.location = calloc(places, sizeof *m->plots.location);
  m->plots.year = calloc(places, sizeof *m->plots.year);
  return made && m->plots.y && m->plots.location && m->plots.year;
}

/* The hybrids of a rep in an order drawn anew: blocks are cut from it. */
static void shuffle(maker *m, uint32_t *order, size_t n)
{
  for (size_t i = n; i > 1; i--) {
    uint32_t k = test_below(&m->random, (uint32_t)i), keep = order[k];
    order[k] = order[i - 1];
    order[i - 1] = keep;
  }
}

static void add_plot(maker *m, size_t place, size_t rep, size_t at, uint32_t hybrid, double error_sd)
{
  const made_design *d = m->design;
  made_plots *p = &m->plots;
  size_t location = place % d->locations, year = place / d->locations, i = p->data.n++,
         blocks = m->term[CKS_REML_BLOCK].n / (m->term[CKS_REML_REP].n), block = d->block_size ? at / d->block_size : 0;
  p->hybrid[i] = hybrid;
  p->environment[i] = (uint32_t)place;
  p->rep[i] = (uint32_t)rep;
  p->block[i] = d->block_size ? (uint32_t)block : CKS_NONE;
  p->y[i] = 9 + effect(m, CKS_REML_ENVIRONMENT, place) + effect(m, CKS_REML_REP, place * d->reps + rep) +
            effect(m, CKS_REML_BLOCK, (place * d->reps + rep) * blocks + block) +
            effect(m, CKS_REML_CELL, place * d->hybrids + hybrid) + effect(m, CKS_REML_HYBRID, hybrid) +
            effect(m, CKS_REML_BY_LOCATION, location * d->hybrids + hybrid) +
            effect(m, CKS_REML_BY_YEAR, year * d->hybrids + hybrid) + error_sd * test_normal(&m->random);
}

/* Hybrid i is always grown in place i modulo the places, its first plot never lost; so is hybrid 0 everywhere. */
static void fill_place(maker *m, size_t place, uint32_t *order)
{
  const made_design *d = m->design;
  size_t n = 0, places = d->locations * d->years;
  double sd = sqrt(d->variance[CKS_REML_ERROR] * exp(d->spread * test_normal(&m->random)));
  for (uint32_t i = 0; i < d->hybrids; i++)
    if (test_uniform(&m->random) >= d->empty || i == 0 || i % places == place) order[n++] = i;
  for (size_t rep = 0; rep < d->reps; rep++) {
    shuffle(m, order, n);
    for (size_t at = 0; at < n; at++)
      if (test_uniform(&m->random) >= d->lost || rep == 0) add_plot(m, place, rep, at, order[at], sd);
  }
  m->plots.location[place] = (uint32_t)(place % d->locations);
  m->plots.year[place] = (uint32_t)(place / d->locations);
}

made_plots make_plots(const made_design *d)
{
  maker m = {.design = d, .random = {d->seed}};
  uint32_t *order = calloc(d->hybrids, sizeof *order);
  size_t places = d->locations * d->years;
  if (begin(&m) && order)
    for (size_t place = 0; place < places; place++) fill_place(&m, place, order);
  made_plots *p = &m.plots;
  bool several = d->years > 1;
  p->data = (cks_reml_data){.n = p->data.n,
                            .n_hybrid = d->hybrids,
                            .n_environment = places,
                            .hybrid = p->hybrid,
                            .environment = p->environment,
                            .rep = p->rep,
                            .block = p->block,
                            .y = p->y,
                            .location = several ? p->location : NULL,
                            .year = several ? p->year : NULL};
  for (size_t k = 0; k < CKS_REML_ERROR; k++) free(m.term[k].effect);
  free(order);
  return m.plots;
}

void made_plots_release(made_plots *p)
{
  free(p->hybrid);
  free(p->environment);
  free(p->rep);
  free(p->block);
  free(p->location);
  free(p->year);
  free(p->y);
  *p = (made_plots){0};
}
