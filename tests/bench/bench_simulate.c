/*
 * bench_simulate.c: writes a multi-location trial drawn from the mixed model to standard output.
 *
 *     bench_simulate HYBRIDS LOCATIONS REPS BLOCK_SIZE > FILE          BLOCK_SIZE 0: complete blocks
 *
 * Columns: location, rep, block, hybrid, yield (without blocks: block is 1). A fifth of the cells are empty, one plot in a
 * hundred is lost, error variances differ by location. Invented figures; the size is the seed, so a set is always the same.
 */
#include "support/make_plots.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>

int main(int argc, char **argv)
{
  if (argc != 5) {
    fprintf(stderr, "usage: bench_simulate HYBRIDS LOCATIONS REPS BLOCK_SIZE\n");
    return 2;
  }
  made_design design = {.hybrids = strtoul(argv[1], NULL, 10),
                        .locations = strtoul(argv[2], NULL, 10),
                        .years = 1,
                        .reps = strtoul(argv[3], NULL, 10),
                        .block_size = strtoul(argv[4], NULL, 10),
                        .empty = .2,
                        .lost = .01,
                        .spread = .4,
                        .variance = {[CKS_REML_ENVIRONMENT] = 4,
                                     [CKS_REML_REP] = .3,
                                     [CKS_REML_BLOCK] = .4,
                                     [CKS_REML_CELL] = .8,
                                     [CKS_REML_HYBRID] = 1,
                                     [CKS_REML_ERROR] = 1.5}};
  design.seed = design.hybrids * design.locations * design.reps + design.block_size;
  if (!design.block_size) design.variance[CKS_REML_BLOCK] = 0;
  made_plots plots = make_plots(&design);
  printf("location,rep,block,hybrid,yield\n");
  for (size_t i = 0; i < plots.data.n; i++)
    printf("LOC%03" PRIu32 ",%" PRIu32 ",%" PRIu32 ",HYB%05" PRIu32 ",%.4f\n", plots.environment[i] + 1,
           plots.rep[i] + 1, plots.block[i] == CKS_NONE ? 1 : plots.block[i] + 1, plots.hybrid[i] + 1, plots.y[i]);
  int code = plots.data.n > 0 && !fflush(stdout) && !ferror(stdout) ? 0 : 1;
  made_plots_release(&plots);
  return code;
}
