/* reml_step.h: the step of a climb under lower bounds. */
#ifndef CKS_MATH_REML_STEP_H
#define CKS_MATH_REML_STEP_H

#include <checkstrip/base.h>

/* step (size n) = the minimum of gradient'd + d'Hd / 2 over d >= low. hessian: n x n, of which only rows and columns with
 * open[k] count. A component of no curvature goes to its bound when that is downhill, else it stays. By coordinate descent with projection, which cannot fail, then one direct solution on
 * what is not at its bound (Lawson & Hanson 1974, Solving Least Squares Problems, chapter 23, from memory). */
cks_status cks_reml_bounded_step(size_t n, const bool *open, const double *gradient, const double *hessian,
                                 const double *low, double *step, cks_error *error);

#endif
