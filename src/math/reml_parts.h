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

/* TERMS: kinds of components that one place has. FEW: strata a place up to which reml_few.c is the faster. */
enum { LAYERS = 4, PANEL = 32, CHUNK = 256, TILE = 8, TERMS = 8, FEW = 16, BATCH = 128 };

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
  double s, he;    /* error variance, hybrid x environment */
  double *w, *phi; /* size n_cell */
  double *a, *g;   /* n_stratum x n_stratum */
  double log_det;  /* log|V|; environments fixed: with the environment's share of log|X'V^-1X| */
} cks_reml_absorbed;

struct cks_reml {
  cks_reml_data data;
  cks_reml_model model;
  cks_arena *arena;
  size_t n_place;
  cks_reml_place *place;
  size_t most_plots, most_cells, most_strata, most_reps; /* of a place */
  size_t n_layer;                                        /* 1 to LAYERS; the first is that of hybrids */
  cks_reml_layer layer[LAYERS];
  bool mean_level;         /* level 0 is a mean */
  bool environment_levels; /* environments are fixed as a layer of levels, not taken out place by place */
  size_t n_level, ld;      /* ld: of s */
  bool *dropped;           /* size n_level: fixed levels that the others and the environments account for */
  size_t n_dropped;
  double shift; /* the grand mean */
  bool *used;   /* size n_theta */
  cks_reml_fit fit;
  const double *begin;  /* size n_theta: where the climb begins; NULL: by the data */
  double *theta;        /* size n_theta: the estimates */
  double *information;  /* n_theta x n_theta: at the estimates, as Hessian of -2 log REML */
  double *solved_theta; /* size n_theta: where C and h are of; see `solved` */
  bool solved;
  /* the system at the theta last evaluated */
  double *s; /* n_level x ld, lower part; then C, the mean's part added, in panels. few: the memory of c */
  double *c; /* n_level x n_level */
  double *scale, *rr, *h, *zpy;    /* size n_level: D; Z'V^-1y; h; Z'Py */
  double *s_mean, s_all;           /* size n_level: column 0 of S; 1'S1 of hybrids fixed, one layer */
  double *s_diagonal, *c_diagonal; /* size n_level; the second with the mean's part */
  /* workspace of one place, as large as the largest asks for */
  cks_reml_absorbed at;
  double **kept_g;                 /* size n_place: G of every place, while that is little; NULL: it is not kept */
  uint32_t *own_index;                       /* size most_cells: 0, 1, ... */
  double *w_matrix, *reps_a, *rep_rows;      /* reml_absorb.c; reps_a: rows of A summed by rep, the last by all */
  double *chunk, *tile;                      /* n_stratum x CHUNK, TILE x n_stratum */
  double *cell;                              /* a value a cell */
  double *strata;                            /* 4 values a stratum */
  double *local, *local_c, *local_diagonal;  /* several layers: cells x cells in panels, cells x cells, cells */
  double *ag, *b2g, *k, *y_matrix;           /* n_stratum x n_stratum */
  double *strip, *cu;                        /* n_stratum x PANEL; cells x n_stratum */
  uint32_t *by_stratum, *stratum_first;      /* cells stratum by stratum */
  double *f, *f_sums, *f_strata, *gf_strata; /* TERMS x plots, x cells, x strata, x strata */
  double *f_levels, *cf_levels;              /* n_theta x n_level */
  bool few;                                  /* one layer, and no place with more strata than FEW: reml_few.c */
  double *batch_sums;                        /* size BATCH: 1'U */
  size_t n_batch, batch_end;                 /* columns in use; first place that is not in them */
  double *batch_u, *batch_cu;                /* n_level x BATCH */
  size_t n_root;
  double *root_g; /* n_root x n_stratum: X with G = X'X, of the place absorbed */
};

/* reml_absorb.c */
cks_status cks_reml_absorb(cks_reml *reml, const double *theta, size_t place, cks_error *error);
/* The same where the last call for this place was at the same theta: G is not made again where it was kept. log_det is then
 * not whole. */
cks_status cks_reml_absorb_again(cks_reml *reml, const double *theta, size_t place, cks_error *error);
/* to (size n_stratum) = E'R^-1 x; sums (size n_cell) = cell sums of x (size n). */
void cks_reml_project(const cks_reml_place *p, const cks_reml_absorbed *at, const double *x, double *sums, double *to);
/* to = G x */
void cks_reml_g_times(const cks_reml_place *p, const cks_reml_absorbed *at, const double *x, double *to);

/* reml_system.c: S and rr of all places; false: a place's variances cannot be inverted. */
typedef struct {
  double log_det, yvy; /* sum log|V_j|, y'V^-1y */
} cks_reml_sums;
bool cks_reml_sum(cks_reml *reml, const double *theta, cks_reml_sums *sums);
/* S, rr, the factor of M, h; returns -2 log REML, infinite where theta is out of reach. */
double cks_reml_build(cks_reml *reml, const double *theta);

/* The same, then C full and h; nothing to do where they are of this theta already. */
cks_status cks_reml_solve(cks_reml *reml, const double *theta, cks_error *error);
void cks_reml_scale(cks_reml *reml, const double *theta); /* M^-1 becomes C, the system's own at theta */
size_t cks_reml_rank(const cks_reml *reml);
size_t cks_reml_error_index(const cks_reml *reml, size_t place);

/* reml_derive.c: after cks_reml_build at the same theta. information: NULL, or n_theta x n_theta. */
cks_status cks_reml_derive(cks_reml *reml, const double *theta, double *gradient, double *information,
                           cks_error *error);

/* reml_traces.c: tr(P V_k) of the components inside one place, absorbed. */
typedef struct {
  double environment, rep, block, cell, error;
} cks_reml_traces;
/* panels: C of the cells in panels of PANEL columns of n_row rows (few: not in use); index: cells to its rows and columns, ascending;
 * diagonal: of C, by index. */
cks_reml_traces cks_reml_trace(cks_reml *reml, const double *theta, size_t place, const double *panels, size_t n_row,
                               const uint32_t *index, const double *diagonal);
/* reml_residual.c: takes |Z_k'Py|^2 of the place off the gradient; its share of the average information, and of
 * f_levels, when information is not NULL. */
void cks_reml_residual(cks_reml *reml, size_t place, double *gradient, double *information);

/* reml_few.c. cks_reml_few_share: S of a place, complete after cks_reml_few_flush; cks_reml_few_cu: rows of C U into cu,
 * of places one after another from 0 on. */
void cks_reml_few_share(cks_reml *reml, const cks_reml_place *place);
void cks_reml_few_flush(cks_reml *reml);
void cks_reml_few_cu(cks_reml *reml, const double *theta, size_t place);

/* reml_data.c: the same data and model, environments fixed as levels of the system. */
cks_status cks_reml_with_levels(const cks_reml *reml, cks_arena *arena, cks_reml **out, cks_error *error);

/* Which components count in what is said of the estimates: used and above 0. at: size n_theta; returns how many. */
size_t cks_reml_list_free(const cks_reml *reml, size_t *at);

/* reml_sensitivity.c: how the variances of linear functions of the solutions change with each component. x: n_level x q,
 * columns C t of the functions t'(solutions); covariance: q x q, t'C t; at: size m, components. m_k: m matrices q x q,
 * d(t'C t) / d theta_k; each_only: only the diagonals, m x q. */
typedef struct {
  size_t q;
  const double *x, *covariance;
  size_t m;
  const size_t *at;
  bool each_only;
  double *m_k;
} cks_reml_functions;
cks_status cks_reml_sensitivity(cks_reml *reml, const double *theta, const cks_reml_functions *f, cks_arena *arena,
                                cks_error *error);
/* 2 v^2 / (g'Wg): df of a variance v whose derivatives are g (size m); w: m x m, covariance of the estimates. */
double cks_reml_satterthwaite(size_t m, const double *w, double v, const double *g);

/* reml_infer.c: of what reml_large.c says too. w (m x m): the covariance of the estimates of the components `at`, from
 * half the average information. */
cks_status cks_reml_invert_average(cks_reml *reml, const size_t *at, size_t m, double *w, cks_error *error);
cks_status cks_reml_list_se(const cks_reml *reml, const size_t *at, size_t m, const double *w, cks_arena *arena,
                            const double **se, cks_error *error);
/* Mean variance of a difference, of a full g x g covariance. */
double cks_reml_mean_variance(const double *covariance, size_t g);
cks_status cks_reml_wald(const double *covariance, const double *mean, size_t g, double *form, cks_error *error);

/* reml_large.c: environments fixed and taken out place by place: the mean of their own solutions, and u (size n_level), so
 * that a hybrid's mean is h_i + mean, of covariance (e_i - u)'C(e_k - u) + spread. */
typedef struct {
  double mean, spread, *u;
} cks_reml_environments;
cks_status cks_reml_average_environments(cks_reml *reml, cks_reml_environments *out, cks_arena *arena,
                                         cks_error *error);
cks_status cks_reml_infer_large(cks_reml *reml, cks_arena *scratch, cks_arena *arena, cks_reml_inference *out,
                                cks_error *error);

/* reml_kenward_roger.c: the expected information's inverse w (m x m), and what is added to covariance (q x q). With the
 * system of theta in `reml`. */
cks_status cks_reml_kenward_roger(cks_reml *reml, const double *theta, const cks_reml_functions *f, double *w,
                                  double *added, cks_error *error);

/* reml_rows.c: sums of rows, the inner loops of all. to[i] += weight * sum over k rows of x[row * ld + i], i < n */
void cks_reml_add_rows(double *to, size_t n, double weight, const double *x, size_t ld, const uint32_t *row, size_t k);
/* to[i] = sum over k items of weight[item] * panel[index[item] * PANEL + i], i < PANEL */
void cks_reml_sum_panel(double *to, const double *panel, const uint32_t *index, const double *weight,
                        const uint32_t *item, size_t k);

#endif
