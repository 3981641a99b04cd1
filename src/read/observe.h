/*
 * observe.h: what the two halves of observing share: observe.c finds the plot, trait, day and observer of each row and
 * gives its values a column, observe_fold.c brings them into the plot's first row.
 */
#ifndef CKS_READ_OBSERVE_H
#define CKS_READ_OBSERVE_H

#include "join.h"

typedef struct {
  size_t slot; /* SIZE_MAX: not used, which was said */
  bool dated, observed;
  uint32_t line, rows; /* of its values: the first one's line, and how many */
} cks_one_look;

typedef enum { CKS_WORD_NEW, CKS_WORD_TRAIT, CKS_WORD_UNKNOWN, CKS_WORD_NOT_MEASURED } cks_word_kind;
typedef struct {
  cks_word_kind kind;
  uint32_t line, rows;
} cks_trait_word;

typedef struct {
  cks_reader *reader;
  cks_table *table;
  size_t first, n, n_slot; /* rows of the file; slots that its headings made */
  uint32_t *to;            /* size n: the plot's first row, counted from `first` */
  size_t n_plot;
  size_t n_name;      /* names when this began */
  cks_id *folded;     /* size n_name: name without case, spaces and leading zeros; CKS_NONE: not asked yet */
  cks_names plain;    /* the texts of `folded` */
  cks_id *spelling;   /* size n_name: by id of `plain`, the name that was met first */
  double *day;        /* size n */
  cks_id *who;        /* size n: a name; CKS_NONE */
  cks_names key;      /* of each look */
  cks_one_look *look; /* size key.n */
  size_t room_look;
  cks_trait_word *word;             /* size n_name: of the traits' column */
  uint32_t no_trait, no_trait_line; /* rows with a value and no trait */
  bool quiet;                       /* the days are not known: nothing is said of values that meet */
} cks_observing;

/* Does a role say which plot a row is? Is it looked at again on another day or by another person? */
bool cks_observe_is_key(cks_role role);
bool cks_observe_is_observed(cks_role role);
/* Rows of one plot become one; what they say twice is reported. */
cks_status cks_observe_fold(const cks_observing *o);

#endif
