/*
 * rates.h: rates of claims over generated trials, each held against what it must be: 50 trials of each setting in
 * `make test`, 2,000 in `make test-long`, from the same seeds (2,000 in both where they take no time). Each prints a
 * line `rate: ...`; test-long ends with the table.
 *
 * A rate passes when it lies within three standard errors of what is expected, sqrt(p (1 - p) / trials), or, where
 * only a bound is known, not above it by more. Of 50 trials that says little, so their count itself is held too: it
 * was written down from a run whose 2,000 passed, and differs as soon as the program decides otherwise in one trial.
 */
#ifndef CKS_TEST_RATES_H
#define CKS_TEST_RATES_H

#include "support/make_trial.h"
#include "support/support.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { RATE_FEW = 50, RATE_MANY = 2000 };
typedef enum { RATE_IS, RATE_AT_MOST, RATE_SHOWN } rate_bound; /* SHOWN: printed beside the others, nothing is held */

typedef struct {
  const char *setting, *claim;
  const char *source; /* of `expected`: "by definition", "quadrature", ... */
  double expected;
  rate_bound bound;
  size_t few; /* the count in the first RATE_FEW trials */
} rate;

static inline bool rate_long(void) { return getenv("CKS_TEST_LONG") != NULL; }
static inline size_t rate_trials(void) { return rate_long() ? RATE_MANY : RATE_FEW; }

static inline void rate_head(void)
{
  printf("rate: %-31s %-45s %9s %7s  %s\n", "setting", "claim", "expected", "found", "the expected is");
}

/* True when the rate, count in n trials, is what it must be. */
static inline bool rate_within(const rate *r, size_t count, size_t n)
{
  double share = (double)count / (double)n, p = r->expected, room = 3 * sqrt(p * (1 - p) / (double)n);
  bool good = r->bound == RATE_SHOWN || (share <= p + room && (r->bound == RATE_AT_MOST || share >= p - room));
  char expected[32] = "";
  if (r->bound != RATE_SHOWN) snprintf(expected, sizeof expected, "%s%.4f", r->bound == RATE_AT_MOST ? "<= " : "", p);
  printf("rate: %-31s %-45s %9s %7.4f  %s%s\n", r->setting, r->claim, expected, share, r->source,
         good ? "" : "  NOT WITHIN 3 SE");
  return good;
}

/* The same of the trials of this run, and their count; few: among the first RATE_FEW. */
static inline bool rate_holds(const rate *r, size_t count, size_t few)
{
  bool good = rate_within(r, count, rate_trials());
  if (few != r->few)
    printf("%s, %s: the count in the first %d is %zu, expected %zu\n", r->setting, r->claim, RATE_FEW, few, r->few);
  return good && few == r->few;
}

#endif
