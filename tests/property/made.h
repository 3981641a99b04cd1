/*
 * made.h: generated trials for the properties: balanced and not, at one place or several, in several years, with
 * checks, brands and lost plots, each fixed by its seed; as plot lists in any order, under other names, on another
 * scale; and their runs.
 */
#ifndef CKS_TEST_MADE_H
#define CKS_TEST_MADE_H

#include "support/support.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef enum {
  MADE_BLOCKS,       /* complete blocks at one place */
  MADE_SERIES,       /* complete blocks at several places */
  MADE_SERIES_FIXED, /* the same, locations fixed */
  MADE_LOST,         /* one place, plots lost */
  MADE_UNEQUAL,      /* one place, no rep, unequal replication */
  MADE_SERIES_LOST,  /* several places, plots lost */
  MADE_SINGLE,       /* one plot a hybrid */
  MADE_ABSENT,       /* several places, hybrids absent at some */
  MADE_YEARS,        /* several places in several years */
  MADE_RANDOMIZED,   /* one place, no rep, equal replication */
  MADE_KINDS
} made_kind;

enum { MADE_MOST_PLOTS = 1000, MADE_MOST_TRAITS = 3, MADE_MOST_FILES = 3 };

typedef struct {
  int place, year, rep, hybrid;
  double value[MADE_MOST_TRAITS]; /* NaN: lost */
} made_plot;

typedef struct {
  made_kind kind;
  uint64_t seed;
  int n_hybrid, n_place, n_year, n_rep, n_trait, n_check; /* the first n_check hybrids are checks */
  bool rep, brand, fixed;                                 /* fixed: locations */
  int n_group;                                            /* --by-group: hybrid h is of group h % n_group; 0: none */
  double gap;                                             /* between the true means of two groups, in order */
  size_t n;
  made_plot plot[MADE_MOST_PLOTS];
} made_trial;

typedef struct {
  double hybrid, place, interaction, rep, error; /* standard deviations */
} made_spread;

typedef enum { MADE_NAMED, MADE_RENAMED, MADE_REVERSED } made_naming;
typedef struct {
  const uint32_t *order; /* size n; NULL: as made */
  made_naming naming;
  double add, times; /* value -> add + times x value */
  int n_file;        /* the rows are dealt to so many files, which are read from the last to the first when turned */
  bool turned;
} made_view;
#define MADE_AS_IS ((made_view){NULL, MADE_NAMED, 0, 1, 1, false})

static const char *const made_heading[MADE_MOST_TRAITS] = {"yield (bu/ac)", "index one", "index two"};
static const char *const made_trait_name[MADE_MOST_TRAITS] = {"yield", "index one", "index two"};

static inline double made_unless(double sd, test_random *random) { return sd > 0 ? sd * test_normal(random) : 0; }

/* Complete: every hybrid in every rep, place and year; values near 100, so that a yield is never unusual. */
static inline void made_fill(made_trial *m, made_spread s, test_random *random)
{
  enum { MOST = 64 };
  double hybrid[MOST][MADE_MOST_TRAITS], cell[MOST][MADE_MOST_TRAITS], place[MADE_MOST_TRAITS], rep[MADE_MOST_TRAITS];
  m->n = 0;
  for (int h = 0; h < m->n_hybrid; h++)
    for (int k = 0; k < m->n_trait; k++)
      hybrid[h][k] = made_unless(s.hybrid, random) + (m->n_group ? m->gap * (h % m->n_group) : 0);
  for (int e = 0; e < m->n_place * m->n_year; e++) {
    for (int k = 0; k < m->n_trait; k++) place[k] = 100 + made_unless(s.place, random);
    for (int h = 0; h < m->n_hybrid; h++)
      for (int k = 0; k < m->n_trait; k++) cell[h][k] = hybrid[h][k] + made_unless(s.interaction, random);
    for (int r = 0; r < m->n_rep; r++) {
      for (int k = 0; k < m->n_trait; k++) rep[k] = made_unless(s.rep, random);
      for (int h = 0; h < m->n_hybrid; h++) {
        made_plot *plot = &m->plot[m->n++];
        *plot = (made_plot){e % m->n_place, e / m->n_place, r, h, {NAN, NAN, NAN}};
        for (int k = 0; k < m->n_trait; k++)
          plot->value[k] = place[k] + rep[k] + cell[h][k] + s.error * test_normal(random);
      }
    }
  }
}

/* Takes plots away with a probability; rep 0 stays, so that no hybrid is lost from a place. whole: the row goes, not
 * the values. */
static inline void made_lose(made_trial *m, double share, bool whole, test_random *random)
{
  size_t kept = 0, lost = 0;
  for (size_t i = 0; i < m->n; i++) {
    bool lose = m->plot[i].rep > 0 && (test_uniform(random) < share || (i + 1 == m->n && !lost));
    lost += lose;
    if (lose && whole) continue;
    m->plot[kept] = m->plot[i];
    for (int k = 0; lose && k < m->n_trait; k++) m->plot[kept].value[k] = NAN;
    kept++;
  }
  m->n = kept;
}

/* The last hybrid is absent at the last place. */
static inline void made_drop_cell(made_trial *m)
{
  size_t kept = 0;
  for (size_t i = 0; i < m->n; i++)
    if (m->plot[i].hybrid + 1 != m->n_hybrid || m->plot[i].place + 1 != m->n_place) m->plot[kept++] = m->plot[i];
  m->n = kept;
}

static inline bool made_is_series(made_kind kind)
{
  return kind == MADE_SERIES || kind == MADE_SERIES_FIXED || kind == MADE_SERIES_LOST || kind == MADE_ABSENT ||
         kind == MADE_YEARS;
}

static inline void made_make(made_trial *m, uint64_t seed)
{
  test_random random = {seed * 7919 + 1};
  made_kind kind = (made_kind)(seed % MADE_KINDS);
  bool series = made_is_series(kind);
  *m = (made_trial){.kind = kind, .seed = seed};
  m->n_hybrid = 3 + (int)test_below(&random, 10);
  m->n_place = series ? 2 + (int)test_below(&random, 3) : kind == MADE_SINGLE ? 1 + (int)(seed / MADE_KINDS % 2) : 1;
  m->n_year = kind == MADE_YEARS ? 2 + (int)test_below(&random, 2) : 1;
  m->n_rep = kind == MADE_SINGLE ? 1 : 2 + (int)test_below(&random, 3);
  if (kind == MADE_LOST || kind == MADE_UNEQUAL || kind == MADE_SERIES_LOST) m->n_rep = 3 + (int)test_below(&random, 2);
  m->n_trait = 1 + (int)test_below(&random, MADE_MOST_TRAITS);
  m->n_check = (int)test_below(&random, 3);
  m->rep = kind != MADE_UNEQUAL && kind != MADE_RANDOMIZED && kind != MADE_SINGLE;
  m->fixed = kind == MADE_SERIES_FIXED || (kind == MADE_SINGLE && seed / MADE_KINDS == 3);
  m->brand = test_below(&random, 2);
  made_spread s = {seed / MADE_KINDS % 2 ? 8 : 1, 10, 3, 2, 4};
  made_fill(m, s, &random);
  if (kind == MADE_LOST || kind == MADE_SERIES_LOST) made_lose(m, 0.15, test_below(&random, 2), &random);
  if (kind == MADE_UNEQUAL) made_lose(m, 0.3, true, &random);
  if (kind == MADE_ABSENT) made_drop_cell(m);
}

static inline const char *made_name(char into[32], int hybrid, made_naming naming)
{
  if (naming == MADE_NAMED) snprintf(into, 32, "Tamsel %d", hybrid + 1);
  if (naming == MADE_RENAMED) snprintf(into, 32, "Quarter %d W", hybrid + 70);
  if (naming == MADE_REVERSED) snprintf(into, 32, "Orchard %d", 900 - hybrid);
  return into;
}

static inline const char *made_place(int place)
{
  static const char *const names[] = {"Alder", "Birch", "Cedar", "Dogwood", "Elm", "Fir"};
  return names[place];
}

/* The rows of file `file` of the view, as CSV. */
static inline void made_csv(const made_trial *m, const made_view *view, int file, test_text *text)
{
  cks_sink sink = test_sink(text);
  char line[512], name[32];
  int n = snprintf(line, sizeof line, "location,year%s%s%s,hybrid,check", m->rep ? ",rep" : "",
                   m->brand ? ",brand" : "", m->n_group ? ",class" : "");
  for (int k = 0; k < m->n_trait; k++) n += snprintf(line + n, sizeof line - (size_t)n, ",%s", made_heading[k]);
  sink.put(sink.to, line, (size_t)n, NULL);
  for (size_t i = 0; i < m->n; i++) {
    const made_plot *p = &m->plot[view->order ? view->order[i] : i];
    if ((int)(i % (size_t)view->n_file) != file) continue;
    n = snprintf(line, sizeof line, "\n%s,%d", made_place(p->place), 2024 + p->year);
    if (m->rep) n += snprintf(line + n, sizeof line - (size_t)n, ",%d", p->rep + 1);
    if (m->brand) n += snprintf(line + n, sizeof line - (size_t)n, ",Brand %c", 'A' + p->hybrid % 3);
    if (m->n_group) n += snprintf(line + n, sizeof line - (size_t)n, ",class %d", p->hybrid % m->n_group + 1);
    n += snprintf(line + n, sizeof line - (size_t)n, ",%s,%s", made_name(name, p->hybrid, view->naming),
                  p->hybrid < m->n_check ? "yes" : "");
    for (int k = 0; k < m->n_trait; k++)
      n += isnan(p->value[k])
               ? snprintf(line + n, sizeof line - (size_t)n, ",")
               : snprintf(line + n, sizeof line - (size_t)n, ",%.15g", view->add + view->times * p->value[k]);
    sink.put(sink.to, line, (size_t)n, NULL);
  }
  sink.put(sink.to, "\n", 1, NULL);
}

/* The whole flow to JSON. Fails the test when anything but a result comes out. */
static inline test_run made_run(const made_trial *m, made_view view)
{
  static const char *const names[MADE_MOST_FILES] = {"a.csv", "b.csv", "c.csv"};
  test_text text[MADE_MOST_FILES] = {{0}}, json = {0};
  test_bytes bytes[MADE_MOST_FILES];
  cks_source source[MADE_MOST_FILES];
  cks_setting_pair trait[MADE_MOST_TRAITS];
  cks_settings settings;
  cks_settings_defaults(&settings);
  settings.locations_fixed = m->fixed;
  if (m->n_group) settings.by_group = "class";
  for (int k = 0; k < m->n_trait; k++) trait[k] = (cks_setting_pair){made_trait_name[k], NULL};
  settings.trait = (cks_setting_list){(size_t)m->n_trait, trait};
  for (int i = 0; i < view.n_file; i++) {
    int file = view.turned ? view.n_file - 1 - i : i;
    made_csv(m, &view, file, &text[i]);
    bytes[i] = (test_bytes){text[i].text, text[i].n, 0};
    source[i] = test_source(names[file], &bytes[i]);
  }
  test_run run = {0};
  cks_target target = {CKS_FORMAT_JSON, NULL, test_sink(&json)};
  cks_startup();
  assert_int_equal(cks_findings_new(&run.findings, NULL), CKS_OK);
  run.status = cks_run(&settings, (size_t)view.n_file, source, 1, &target, run.findings, &run.error);
  if (run.status != CKS_OK) {
    cks_arena *arena = cks_arena_new();
    for (size_t i = 0; i < run.findings->n; i++)
      print_error("%s\n", cks_finding_line(run.findings, &run.findings->finding[i], arena));
    cks_arena_free(arena);
    fail_msg("seed %d: %s\n%.600s", (int)m->seed, run.error.text, text[0].text);
  }
  run.json = json_loads(json.text, JSON_REJECT_DUPLICATES, NULL);
  if (!run.json) fail_msg("seed %d: not JSON", (int)m->seed);
  test_text_release(&json);
  for (int i = 0; i < view.n_file; i++) test_text_release(&text[i]);
  return run;
}

#endif
