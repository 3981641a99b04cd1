/*
 * join.h: what the two halves of joining share: join_match.c finds the plot of each row, join.c brings the values there.
 */
#ifndef CKS_READ_JOIN_H
#define CKS_READ_JOIN_H

#include "columns.h"

typedef enum {
  CKS_FILE_LIST, /* its rows are plots */
  CKS_FILE_ADDS, /* its rows add to plots of the lists */
  CKS_FILE_NONE  /* neither: reported */
} cks_file_kind;

/* A place where plots of the list stand. */
typedef struct {
  const char *text; /* as first written */
  bool from_file;   /* the name of a file stands in */
} cks_join_place;

typedef struct {
  cks_table *table;
  cks_findings *findings;
  cks_error *error;
  cks_joined *out;
  cks_file_kind *kind; /* size n_file */
  uint32_t *first;     /* size n_file + 1: rows of each file */
  const cks_column *location, *year, *trial, *rep, *plot, *row, *column, *leave_out; /* NULL: no file has it */
  cks_names folded;                                                                  /* places, then plots, folded */
  cks_join_place *place; /* size n_place: the list's, ids of `folded` */
  size_t n_place, room_place;
  uint32_t *place_of; /* size n_row: id of `folded`; CKS_NONE: not given */
  uint32_t *plot_key; /* size names.n: id of `folded` for a plot's name */
  uint32_t *to;       /* size n_row: plot (a row of a list) that a row of an adding file goes to; CKS_NONE; CKS_AGAIN */
  size_t room_stray, room_second, room_unharvested;
} cks_join;

#define CKS_AGAIN (CKS_NONE - 1) /* a row that repeats another one of its file */

static inline bool cks_join_given(const cks_column *column, size_t row)
{
  return column && (column->name ? column->name[row] != CKS_NONE : !cks_is_missing(column->number[row]));
}
/* The list's places in join->place and place_of of all rows that have one. */
cks_status cks_join_places(cks_join *join);
/* The plot of each row of the adding files in join->to, or a stray; a note for each file. */
cks_status cks_join_match(cks_join *join);
cks_status cks_join_stray(cks_join *join, const cks_stray *stray);
bool cks_join_has_values(const cks_column *column, size_t first, size_t end);
/* Both cells hold a text. *as: what the plot's cell is from now on; CKS_NONE: they differ. */
cks_status cks_join_texts(cks_table *table, const cks_column *column, uint32_t plot, uint32_t row, cks_id *as,
                          cks_error *error);
/* Names without case, spaces and leading zeros; "101.0" is "101". Its length. */
size_t cks_join_fold_plot(const char *text, char into[CKS_NAMES_FOLDED]);

#endif
