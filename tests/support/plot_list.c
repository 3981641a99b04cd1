/* plot_list.c: see plot_list.h. */
#include "plot_list.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MOST_HEADINGS = 32, LONGEST_NAME = 128, LONGEST_LINE = 1024 };

void plot_list_release(plot_list *list)
{
  for (size_t k = 0; k < PLOT_COLUMNS; k++) {
    cks_names_release(&list->names[k]);
    free(list->column[k]);
  }
  free(list->y);
  free(list->location_of);
  free(list->year_of);
  *list = (plot_list){0};
}

static bool grow(plot_list *list)
{
  if (list->n < list->room) return true;
  size_t room = list->room ? 2 * list->room : 256;
  bool grown = true;
  for (size_t k = 0; k < PLOT_COLUMNS; k++) {
    uint32_t *column = realloc(list->column[k], room * sizeof *column);
    if (column) list->column[k] = column;
    grown &= column != NULL;
  }
  double *y = realloc(list->y, room * sizeof *y);
  if (y) list->y = y;
  if (grown && y) list->room = room;
  return grown && y;
}

bool plot_list_add(plot_list *list, const char *const word[PLOT_COLUMNS], double y)
{
  char place[2 * LONGEST_NAME];
  const char *own[PLOT_COLUMNS];
  bool added = grow(list);
  memcpy(own, word, sizeof own);
  snprintf(place, sizeof place, "%s%s%s", own[PLOT_LOCATION] ? own[PLOT_LOCATION] : "", own[PLOT_YEAR] ? " " : "",
           own[PLOT_YEAR] ? own[PLOT_YEAR] : "");
  if (!own[PLOT_ENVIRONMENT]) own[PLOT_ENVIRONMENT] = list->reps_are_environments ? own[PLOT_REP] : place;
  if (list->reps_are_environments) own[PLOT_REP] = NULL;
  for (size_t k = 0; k < PLOT_COLUMNS && added; k++) {
    list->column[k][list->n] = CKS_NONE;
    if (own[k])
      added = cks_names_add(&list->names[k], own[k], strlen(own[k]), &list->column[k][list->n], NULL) == CKS_OK;
  }
  if (added) list->y[list->n++] = y;
  return added;
}

/* Splits a line at its commas, in place; returns how many cells there are. */
static size_t split(char *line, char *cell[MOST_HEADINGS])
{
  size_t n = 0;
  line[strcspn(line, "\r\n")] = '\0';
  for (char *next = line; next && n < MOST_HEADINGS; n++) {
    cell[n] = next;
    next = strchr(next, ',');
    if (next) *next++ = '\0';
  }
  return n;
}

static plot_column find_column(const char *heading)
{
  static const struct {
    const char *heading;
    plot_column column;
  } known[] = {
      {"location", PLOT_LOCATION}, {"environment", PLOT_ENVIRONMENT}, {"year", PLOT_YEAR},     {"rep", PLOT_REP},
      {"block", PLOT_BLOCK},       {"hybrid", PLOT_HYBRID},           {"variety", PLOT_HYBRID}};
  for (size_t k = 0; k < sizeof known / sizeof *known; k++)
    if (!strcmp(heading, known[k].heading)) return known[k].column;
  return PLOT_COLUMNS;
}

bool plot_list_read(plot_list *list, const char *path)
{
  char line[LONGEST_LINE], *cell[MOST_HEADINGS];
  plot_column column[MOST_HEADINGS];
  size_t yield = MOST_HEADINGS, n = 0;
  FILE *file = fopen(path, "r");
  bool read = file && fgets(line, sizeof line, file);
  if (read) n = split(line, cell);
  for (size_t k = 0; k < n; k++) {
    column[k] = find_column(cell[k]);
    if (!strcmp(cell[k], "yield")) yield = k;
  }
  read = read && yield < n;
  while (read && fgets(line, sizeof line, file)) {
    const char *word[PLOT_COLUMNS] = {NULL};
    read = split(line, cell) == n;
    for (size_t k = 0; k < n && read; k++)
      if (column[k] < PLOT_COLUMNS) word[column[k]] = cell[k];
    if (read && *cell[yield]) read = word[PLOT_HYBRID] && plot_list_add(list, word, strtod(cell[yield], NULL));
  }
  if (file) fclose(file);
  return read && list->n > 0;
}

cks_reml_data plot_list_data(plot_list *list)
{
  const cks_names *names = list->names;
  size_t n_environment = names[PLOT_ENVIRONMENT].n;
  bool years = names[PLOT_YEAR].n > 0;
  free(list->location_of);
  free(list->year_of);
  list->location_of = calloc(n_environment, sizeof *list->location_of);
  list->year_of = calloc(n_environment, sizeof *list->year_of);
  if (!list->location_of || !list->year_of) return (cks_reml_data){0};
  for (size_t p = 0; p < list->n && years; p++) {
    list->location_of[list->column[PLOT_ENVIRONMENT][p]] = list->column[PLOT_LOCATION][p];
    list->year_of[list->column[PLOT_ENVIRONMENT][p]] = list->column[PLOT_YEAR][p];
  }
  return (cks_reml_data){.n = list->n,
                         .n_hybrid = names[PLOT_HYBRID].n,
                         .n_environment = n_environment,
                         .hybrid = list->column[PLOT_HYBRID],
                         .environment = list->column[PLOT_ENVIRONMENT],
                         .rep = list->column[PLOT_REP],
                         .block = list->column[PLOT_BLOCK],
                         .y = list->y,
                         .location = years ? list->location_of : NULL,
                         .year = years ? list->year_of : NULL};
}
