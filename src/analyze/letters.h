/*
 * letters.h: letters for means: two share one if and only if they are not different.
 */
#ifndef CKS_ANALYZE_LETTERS_H
#define CKS_ANALYZE_LETTERS_H

#include <checkstrip/base.h>

enum { CKS_MOST_LETTERS = 26, CKS_MOST_ABSORBED = 200 };

typedef bool (*cks_differ)(const void *context, size_t i, size_t j);

/* group[i] (size n, best mean first) becomes its letters, in the arena; 'a' belongs to the best.
 * runs: whoever differs from i among the later ones differs from all before i too (one SED for all): one sweep.
 * Otherwise insert-and-absorb (Piepho, H. P. 2004, J. Comput. Graph. Stat. 13:456), up to CKS_MOST_ABSORBED means.
 * When there are no letters every group is NULL and *why says why; else *why is "". */
cks_status cks_letters_assign(size_t n, bool runs, cks_differ differ, const void *context, cks_arena *arena,
                              const char **group, const char **why, cks_error *error);

#endif
