/*
 * across.h: what the files across*.c share, and aside.c and years.c with them: a series of environments, its table, and the
 * ways to analyze it.
 */
#ifndef CKS_ANALYZE_ACROSS_H
#define CKS_ANALYZE_ACROSS_H

#include "compare.h"

typedef enum { BY_LOCATION, BY_ENVIRONMENT, BY_LOCATION_AND_YEAR } cks_series_form;

typedef struct {
  size_t g, e, l, y; /* hybrids, environments, locations, years */
  cks_series_form form;
  double r;
  uint32_t *location, *year; /* size e: 0 .. l - 1, 0 .. y - 1 */
  double *cell;              /* e x g: tested cell means */
  const bool
      *unranked;      /* size trial.n_hybrid: by a mixed model, but in too few environments to be ranked; NULL: none */
  bool reps, squares; /* some place has reps in its model; some is a latin square, with rows and columns */
} cks_balanced_series;

typedef struct {
  double df, ss, ms;
} cks_balanced_term;

typedef struct {
  cks_balanced_term location, year, location_year, rep, row, column, hybrid, by_location, by_year, by_environment,
      error, total;
} cks_balanced_table;

typedef struct {
  bool complete; /* no cell of hybrids x environments is empty */
  bool equal;    /* and all hold equally many plots, each place balanced in itself */
  bool whole;    /* no place has incomplete blocks inside its reps */
  bool told;     /* with several years: every location in every year, so that the interactions can be told apart */
} cks_balance;

/* A mean square that hybrids are tested or compared over; source: its name, NULL for the plain one. */
typedef struct {
  double ms, df;
  const char *source;
} cks_denominator;

/* Locations and years crossed: MS_HL + MS_HY - MS_HLY with Satterthwaite's df. */
cks_denominator cks_quasi_denominator(const cks_balanced_table *t);
/* The table of a balanced series: work's places all hold the s->g hybrids, s->r plots each. hybrid: size g, becomes
 * their means as tested, less the shift. Takes s->cell, s->reps and s->squares too. */
cks_status cks_balanced_fill(const cks_trait_task *work, cks_balanced_series *s, double *hybrid, cks_balanced_table *t);
/* Of s->cell alone: what hybrids and environments make, each mean standing for s->r plots. hybrid, environment: size g, e,
 * become their means. */
cks_status cks_balanced_terms(const cks_trait_task *work, const cks_balanced_series *s, double *hybrid,
                              double *environment, cks_balanced_table *table);
/* expected.c: LSDs of other numbers of locations and reps, where the series tells plots from interaction. */
cks_status cks_expected_fill(const cks_trait_task *work, const cks_balanced_series *s, const cks_balanced_table *t,
                             cks_analysis *analysis);
/* Seasons, fixed places, single plots, ratings and percents: what a mean over this series may be taken for. */
void cks_series_notes(const cks_trait_task *work, const cks_balanced_series *s, cks_analysis *analysis);
/* across_balanced.c */
cks_status cks_across_balanced(const cks_trait_task *work, cks_balanced_series *s, bool fixed, cks_analysis *analysis);
/* Locations fixed, one season, plots lost, no cell empty: see across_fixed.c. *done is false, and the analysis as it was, when the
 * errors of the places do not allow it. */
cks_status cks_across_fixed(const cks_trait_task *work, const cks_balanced_series *s, cks_analysis *analysis,
                            bool *done);
/* across_mixed.c: what is not balanced. *done false: the model gave nothing, and a->why says why. */
cks_status cks_across_mixed(const cks_trait_task *work, cks_balanced_series *s, cks_balance b, cks_analysis *analysis,
                            bool *done);
/* set (size trial.n_hybrid): numbers of the sets of hybrids that share places, one with another; those of `skip` (NULL:
 * none) and those that stand nowhere are in none (CKS_NONE). */
cks_status cks_series_sets(const cks_trait_task *work, const bool *skip, uint32_t *set, size_t *n_set);
/* across.c: what each hybrid of the trial has of work's places; size trial.n_hybrid. */
typedef struct {
  uint32_t *plots, *environments, *years;
} cks_series_counts;

/* apart: of the places that stand apart too. */
cks_status cks_series_count(const cks_trait_task *work, bool apart, cks_series_counts *counts);
/* aside.c. Hybrids set aside: in too small a share of the environments to be ranked over them. */
typedef struct {
  size_t n;                 /* how many; 0: the series is as it is */
  const bool *kept;         /* size trial.n_hybrid */
  cks_series_counts counts; /* of each, set aside or not, over the places that go in */
  const bool *cut_off;      /* size trial.n_hybrid: set aside because no place joins them to the others */
} cks_aside;

/* series: work, its places made again from the plots of the kept hybrids (kept: size trial.n_hybrid); a place left with
 * fewer than two of them stands apart. */
cks_status cks_series_keep(const cks_trait_task *work, const bool *kept, cks_trait_task *series);
size_t cks_series_places(const cks_trait_task *work); /* how many do not stand apart */
/* series: work without the hybrids set aside, for standing in less than this share of the environments or sharing no place
 * with the others. */
cks_status cks_set_aside(const cks_trait_task *work, double share, cks_trait_task *series, cks_aside *aside);
/* "set aside: in fewer than half of the environments: A, B" of `few`, and who is cut off in `cut`; modeled: they are in the
 * mixed model, and "not ranked". "" when nobody is. */
const char *cks_aside_words(const cks_trait_task *work, const cks_aside *few, const cks_aside *cut, bool modeled);
/* Rows of those set aside after the others of a finished analysis. */
cks_status cks_aside_list(const cks_trait_task *work, const cks_aside *aside, cks_analysis *analysis);
/* across.c: work's places that do not stand apart; "not in the means: Creek (one value in every plot)" of those that
 * do, or "". */
cks_status cks_series_inside(const cks_trait_task *work, cks_trait_task *inside);
const char *cks_series_apart_words(const cks_trait_task *work);
/* The same without the hybrids in too few environments to be ranked over them. */
cks_status cks_series_ranked(const cks_trait_task *work, cks_trait_task *inside);
/* Numbers of the locations and years of work's places, and whether they are crossed: e, l, y, location, year and form. */
cks_status cks_series_form_find(const cks_trait_task *work, cks_balanced_series *s);
/* Analyzes a series of two places or more, all of which go in; s: zero. One without
 * means gets its why. */
cks_status cks_series_analyze(const cks_trait_task *work, cks_balanced_series *s, cks_analysis *analysis);
/* across_lack.c: fixed places can be averaged; what a series lacks to be a balanced one, as part of a sentence. */
bool cks_can_average(const cks_trait_task *work, const cks_balanced_series *s, cks_balance b);
const char *cks_across_lack(const cks_trait_task *work, cks_balance b);

#endif
