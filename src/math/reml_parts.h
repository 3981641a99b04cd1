/*
 * reml_parts.h: what the files of the REML engine share. Letters as in the equations:
 *
 *   of one environment: s error variance, E plots x strata, z_c counts of cell c over the strata, n_c its plots,
 *   w_c = 1 / (s + n_c sHE), phi_c = sHE w_c, R = s I + sHE Zc Zc' (plots x plots, never formed),
 *   A = E'R^-1E, V^-1 = R^-1 - R^-1 E G E'R^-1; with environments fixed V^-1 is free of the environment's mean.
 *   of all: levels of the system are what crosses environments: hybrids, hybrids by location, by year, and a mean where
 *   hybrids and environments are random. Z plots x levels, S = Z'V^-1Z, D the square roots of the levels' variances (1
 *   where fixed), M = D S D + I (random levels), C = D M^-1 D, h = C Z'V^-1y, P = V^-1 - V^-1 Z C Z'V^-1.
 */
#ifndef CKS_MATH_REML_PARTS_H
#define CKS_MATH_REML_PARTS_H

#include "reml.h"

enum { LAYERS = 3, PANEL = 64, CHUNK = 256, TERMS = 8 }; /* TERMS: kinds of components that one place has */

/* One environment: its plots sorted by cell. Strata are the incomplete blocks, else the reps, else the environment. */
typedef struct {
  size_t n, n_cell, n_stratum, n_rep; /* n_rep 0: reps are not in the model here */
  bool blocks;                        /* the strata are incomplete blocks */
  uint32_t *first;                    /* size n_cell + 1: plots [first[c], first[c + 1]) of cell c */
  uint32_t *level[LAYERS];            /* size n_cell: index into the system's levels; by layer */
  uint32_t *stratum;                  /* size n */
  uint32_t *rep_of;                   /* size n_stratum */
  double *plots;                      /* size n_stratum: how many */
  double *y;                          /* size n: less the grand mean */
  double yy;                          /* y'y */
} cks_reml_place;

/* Levels [first, first + n) of the system. */
typedef struct {
  cks_reml_kind kind;
  size_t first, n;
  bool random;
} cks_reml_layer;

/* What one environment is at a theta: reml_absorb.c. */
typedef struct {
  double s, he;      /* error variance, hybrid x environment */
  double *w, *phi;   /* size n_cell */
  double *a, *g;     /* n_stratum x n_stratum */
  double log_det;    /* log|V|; environments fixed: with the environment's share of log|X'V^-1X| */
} cks_reml_absorbed;

struct cks_reml {
  cks_reml_data data;
  cks_reml_model model;
  cks_arena *arena;
  size_t n_place;
  cks_reml_place *place;
  size_t most_plots, most_cells, most_strata, most_reps; /* of a place */
  size_t n_layer;                /* 1 to LAYERS; the first is that of hybrids */
  cks_reml_layer layer[LAYERS];
  bool mean_level;               /* level 0 is a mean */
  size_t n_level, ld;            /* ld: of s */
  bool *dropped;                 /* size n_level: fixed levels that the others and the environments account for */
  size_t n_dropped;
  double shift;                  /* the grand mean */
  bool *used;                    /* size n_theta */
  cks_reml_fit fit;
  double *theta;                 /* size n_theta */
  double *set_theta;
  /* the system at the theta last evaluated */
  double *s;                     /* n_level x ld, lower part; reml_derive.c: C in panels of PANEL columns, means added */
  double *c;                     /* n_level x n_level */
  double *scale, *rr, *h, *zpy;  /* size n_level: D; Z'V^-1y; h; Z'Py */
  double *s_diagonal, *c_diagonal; /* size n_level; the second with the mean's part */
  /* workspace of one place, as large as the largest asks for */
  cks_reml_absorbed at;
  uint32_t *own_index;           /* size most_cells: 0, 1, ... */
  double *w_matrix, *reps_a, *rep_rows; /* reml_absorb.c; reps_a: rows of A summed by rep, the last by all */
  double *chunk;                 /* n_stratum x CHUNK */
  double *cell;                  /* a value a cell */
  double *strata;                /* 4 values a stratum */
  double *local, *local_c, *local_diagonal; /* several layers: cells x cells in panels, cells x cells, cells */
  double *ag, *b2g, *k, *y_matrix;  /* n_stratum x n_stratum */
  double *strip, *cu;            /* n_stratum x PANEL; cells x n_stratum */
  uint32_t *by_stratum, *stratum_first; /* cells stratum by stratum */
  double *f, *f_sums, *f_strata, *gf_strata; /* TERMS x plots, x cells, x strata, x strata */
  double *f_levels, *cf_levels;  /* n_theta x n_level */
};

/* reml_absorb.c */
cks_status cks_reml_absorb(cks_reml *reml, const double *theta, size_t place, cks_error *error);
/* to (size n_stratum) = E'R^-1 x; sums (size n_cell) = cell sums of x (size n). */
void cks_reml_project(const cks_reml_place *p, const cks_reml_absorbed *at, const double *x, double *sums, double *to);
/* to = G x */
void cks_reml_g_times(const cks_reml_place *p, const cks_reml_absorbed *at, const double *x, double *to);

/* reml_system.c: S, rr, -2 log REML; then C and h. */
cks_status cks_reml_build(cks_reml *reml, const double *theta, double *minus2, cks_error *error);

size_t cks_reml_rank(const cks_reml *reml);
size_t cks_reml_error_index(const cks_reml *reml, size_t place);

/* reml_derive.c: after cks_reml_build at the same theta. information: NULL, or n_theta x n_theta. */
cks_status cks_reml_derive(cks_reml *reml, const double *theta, double *gradient, double *information,
                           cks_error *error);

/* reml_traces.c: tr(P V_k) of the components inside one place, absorbed. */
typedef struct {
  double environment, rep, block, cell, error;
} cks_reml_traces;
/* panels: C of the cells in panels of PANEL columns of n_row rows; index: cells to its rows and columns, ascending;
 * diagonal: of C, by index. */
cks_reml_traces cks_reml_trace(cks_reml *reml, const double *theta, size_t place, const double *panels, size_t n_row,
                               const uint32_t *index, const double *diagonal);
/* reml_residual.c: takes |Z_k'Py|^2 of the place off the gradient; its share of the average information, and of
 * f_levels, when information is not NULL. */
void cks_reml_residual(cks_reml *reml, size_t place, double *gradient, double *information);

/* reml_rows.c: sums of rows, the inner loops of all. to[i] += weight * sum over k rows of x[row * ld + i], i < n */
void cks_reml_add_rows(double *to, size_t n, double weight, const double *x, size_t ld, const uint32_t *row, size_t k);
/* to[i] = sum over k items of weight[item] * panel[index[item] * PANEL + i], i < PANEL */
void cks_reml_sum_panel(double *to, const double *panel, const uint32_t *index, const double *weight,
                        const uint32_t *item, size_t k);

#endif
