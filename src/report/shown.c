/* shown.c: see shown.h. */
#include "shown.h"

#include <stddef.h>

bool cks_shown_compares(const cks_analysis *a)
{
  return a && (a->method == CKS_METHOD_ANOVA || a->method == CKS_METHOD_REML) && !cks_is_missing(a->f);
}

bool cks_shown_none_found(const cks_analysis *a)
{
  return cks_shown_compares(a) && !a->found;
}

bool cks_shown_ranks(const cks_trait_result *trait, const cks_analysis *a)
{
  return trait->better != CKS_BETTER_NONE && cks_shown_compares(a) && !cks_shown_none_found(a);
}

bool cks_shown_top(const cks_trait_result *trait, const cks_analysis *a)
{
  return cks_shown_ranks(trait, a) && a->n_top > 0;
}

const cks_analysis *cks_shown_at(const cks_trait_result *trait, cks_id environment)
{
  if (environment == CKS_NONE) return trait->across && trait->across->method != CKS_METHOD_NONE ? trait->across : NULL;
  for (size_t i = 0; i < trait->n_location; i++)
    if (trait->location[i].environment == environment)
      return trait->location[i].method != CKS_METHOD_NONE ? &trait->location[i] : NULL;
  return NULL;
}
