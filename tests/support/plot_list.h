/*
 * plot_list.h: plots as the REML engine takes them, from plain CSV (no quotes) or added one by one.
 *
 * An environment is a location in a year, or a rep where reps stand for environments.
 */
#ifndef TESTS_PLOT_LIST_H
#define TESTS_PLOT_LIST_H

#include "../../src/math/reml.h"

typedef enum {
  PLOT_LOCATION,
  PLOT_YEAR,
  PLOT_REP,
  PLOT_BLOCK,
  PLOT_HYBRID,
  PLOT_ENVIRONMENT, /* made here of the location and the year, unless it is given */
  PLOT_COLUMNS
} plot_column;

typedef struct {
  size_t n, room;
  bool reps_are_environments; /* set before plots are added */
  cks_names names[PLOT_COLUMNS];
  uint32_t *column[PLOT_COLUMNS];  /* size n: ids of names; CKS_NONE: not given */
  double *y;                       /* size n */
  uint32_t *location_of, *year_of; /* size of names[PLOT_ENVIRONMENT], from plot_list_data */
} plot_list;                       /* all zero: empty and ready */

void plot_list_release(plot_list *list);
/* word: by column, NULL where there is none. False: out of memory. */
bool plot_list_add(plot_list *list, const char *const word[PLOT_COLUMNS], double y);
/* Columns by heading: location, year, rep, block, hybrid (or variety), yield; others are skipped, and so is a
 * plot without a yield. False: the file cannot be opened, lacks hybrid or yield, has no plots, or memory is short. */
bool plot_list_read(plot_list *list, const char *path);
/* Points into the list. Locations and years are given where there are years. n is 0 when memory is short. */
cks_reml_data plot_list_data(plot_list *list);

#endif
