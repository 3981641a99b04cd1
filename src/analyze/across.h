/*
 * across.h: what across.c, across_table.c and across_fixed.c share: a series of environments and its table.
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
  bool reps;                 /* some place has reps in its model */
} cks_balanced_series;

typedef struct {
  double df, ss, ms;
} cks_balanced_term;

typedef struct {
  cks_balanced_term location, year, location_year, rep, hybrid, by_location, by_year, by_environment, error, total;
} cks_balanced_table;

typedef struct {
  bool complete; /* no cell of hybrids x environments is empty */
  bool equal;    /* and all hold equally many plots, each place balanced in itself */
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
 * their means as tested, less the shift. Takes s->cell and s->reps too. */
cks_status cks_balanced_fill(const cks_trait_task *work, cks_balanced_series *s, double *hybrid, cks_balanced_table *t);
/* Seasons, fixed places, single plots, ratings and percents: what a mean over this series may be taken for. */
void cks_series_notes(const cks_trait_task *work, const cks_balanced_series *s, cks_analysis *analysis);
/* Locations fixed, one season, plots lost, no cell empty: see across_fixed.c. *done is false, and the analysis as it was, when the
 * errors of the places do not allow it. */
cks_status cks_across_fixed(const cks_trait_task *work, const cks_balanced_series *s, cks_analysis *analysis,
                            bool *done);
/* across_lack.c: fixed places can be averaged; what a series lacks, and the way on, as parts of a sentence. */
bool cks_can_average(const cks_trait_task *work, const cks_balanced_series *s, cks_balance b);
const char *cks_across_lack(const cks_trait_task *work, cks_balance b);
const char *cks_across_way_on(const cks_trait_task *work, const cks_balanced_series *s, cks_balance b);

#endif
