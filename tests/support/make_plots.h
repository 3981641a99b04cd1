/* make_plots.h: plots drawn from the mixed model itself, cells empty and plots lost at random. */
#ifndef TESTS_MAKE_PLOTS_H
#define TESTS_MAKE_PLOTS_H

#include "../../src/math/reml.h"

typedef struct {
  uint64_t seed;
  size_t hybrids, locations, years, reps, block_size; /* block_size 0: complete blocks, no block is given */
  double empty, lost;                  /* share of the cells, of the plots; every environment and hybrid keeps a plot */
  double spread;                       /* of the logarithm of the environments' error variances */
  double variance[CKS_REML_ERROR + 1]; /* by kind */
} made_design;

typedef struct {
  cks_reml_data data; /* points into what follows; years are given where there are several */
  uint32_t *hybrid, *environment, *rep, *block, *location, *year;
  double *y;
} made_plots;

/* data.n is 0 when memory is short. */
made_plots make_plots(const made_design *design);
void made_plots_release(made_plots *plots);

#endif
