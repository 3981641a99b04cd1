/*
 * distributions.h: probabilities and critical values of t, F and chi-squared. Missing in, or arguments that have no answer: missing
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
/* f such that P(F' < f) = p. */
double cks_f_quantile(double p, double df1, double df2);
/* P(X > x), X chi-squared on df degrees of freedom. */
double cks_chi_squared_p(double x, double df);
/* Exact two-sided sign test: P of a split at least as uneven as wins and losses, each as likely. Missing when both are 0. */
double cks_sign_p(unsigned wins, unsigned losses);
/* x such that P(X < x) = p. */
double cks_chi_squared_quantile(double p, double df);

#endif
