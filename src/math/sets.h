/*
 * sets.h: which items hang together (disjoint sets; Tarjan 1975, J. ACM 22:215). parent: size n, begun with parent[i] = i;
 * the root of a set is its smallest member.
 */
#ifndef CKS_MATH_SETS_H
#define CKS_MATH_SETS_H

#include <stddef.h>
#include <stdint.h>

static inline uint32_t cks_sets_root(uint32_t *parent, uint32_t i)
{
  while (parent[i] != i) i = parent[i] = parent[parent[i]];
  return i;
}

static inline void cks_sets_join(uint32_t *parent, uint32_t i, uint32_t j)
{
  uint32_t a = cks_sets_root(parent, i), b = cks_sets_root(parent, j);
  parent[a < b ? b : a] = a < b ? a : b;
}

#endif
