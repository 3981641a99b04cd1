/*
 * distributions.h: probabilities and critical values of t and F. Missing in, or arguments that have no answer: missing
 * out.
 */
#ifndef CKS_MATH_DISTRIBUTIONS_H
#define CKS_MATH_DISTRIBUTIONS_H

/* t such that P(|T| > t) = alpha; alpha in (0, 1), df > 0. */
double cks_t_critical(double alpha, double df);
/* P(|T| > |t|). */
double cks_t_p(double t, double df);
/* P(F' > f) on df1 and df2 degrees of freedom; f may be infinite. */
double cks_f_p(double f, double df1, double df2);

#endif
