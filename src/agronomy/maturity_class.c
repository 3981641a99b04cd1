/*
 * maturity_class.c: maturity classes by days to mid-bloom, from a table of cuts that is data.
 *
 * Classes are no law: Texas A&M AgriLife (Schnell, 48 site-years) found companies' early hybrids at a mean of 59 days
 * from planting and late ones at 74; the same hybrid moves with place and date. So the table is printed with every
 * class, the supplier's own label stays beside it, and days at a cut or across one are placed in neither class.
 */
#include "words.h"

#include <checkstrip/agronomy.h>

#include <math.h>

static const cks_maturity_cut oklahoma[] = {{"early", NAN, 60}, {"medium", 60, 70}, {"late", 70, NAN}};
static const cks_maturity_cuts usual = {"days to mid-bloom: early below 60, medium 60 to 70, late above 70",
                                        "Oklahoma State grain sorghum trials 2022",
                                        "not seen to be stated: planting or emergence",
                                        "an entry exactly at 60 or 70 days is placed by earlier years' data",
                                        oklahoma,
                                        sizeof oklahoma / sizeof *oklahoma};

const cks_maturity_cuts *cks_maturity_cuts_default(void) { return &usual; }

const char *cks_cut_fault_text(cks_cut_fault fault)
{
#define FAULT_TEXT(id, text) text,
  static const char *const texts[CKS_CUT_FAULT_COUNT] = {CKS_CUT_FAULTS(FAULT_TEXT)};
#undef FAULT_TEXT
  return (unsigned)fault < CKS_CUT_FAULT_COUNT ? texts[fault] : "";
}

static cks_cut_fault name_fault(const cks_maturity_cut *cut, size_t at)
{
  if (!cut[at].name || !*cut[at].name) return CKS_CUT_NO_NAME;
  for (size_t i = 0; i < at; i++)
    if (cks_words_has(cut[i].name, cut[at].name)) return CKS_CUT_SAME_NAME;
  return CKS_CUT_NONE;
}

static cks_cut_fault limit_fault(const cks_maturity_cut *cut, size_t n, size_t at)
{
  const double from = cut[at].from, to = cut[at].to;
  if ((at > 0 && cks_is_missing(from)) || (at + 1 < n && cks_is_missing(to))) return CKS_CUT_NO_LIMIT;
  if (from >= to) return CKS_CUT_ORDER;
  if (at > 0 && from > cut[at - 1].to) return CKS_CUT_GAP;
  return at > 0 && from < cut[at - 1].to ? CKS_CUT_OVERLAP : CKS_CUT_NONE;
}

cks_cut_fault cks_maturity_cuts_check(const cks_maturity_cut *cut, size_t n, size_t *row)
{
  cks_cut_fault fault = n ? CKS_CUT_NONE : CKS_CUT_EMPTY;
  size_t at = 0;
  for (size_t i = 0; i < n && fault == CKS_CUT_NONE; i++) {
    at = i;
    fault = name_fault(cut, i);
    if (fault == CKS_CUT_NONE) fault = limit_fault(cut, n, i);
  }
  if (fault != CKS_CUT_NONE) *row = at;
  return fault;
}

/* Means of plots carry rounding: a sum that should give 60 may give 60.00000000000001. An open end (NaN) bounds
 * nothing. */
static bool at_or_below(double a, double b) { return !(a > b + 1e-9 * fabs(b)); }

/* Days touch a class when they lie in it or at one of its ends. */
static bool touches(const cks_maturity_cut *cut, double low, double high)
{
  return at_or_below(cut->from, high) && at_or_below(low, cut->to);
}

cks_maturity_place cks_maturity_class(const cks_maturity_cuts *cuts, double low, double high)
{
  cks_maturity_place place = {false, 0, 0};
  if (!(low <= high) || !cuts->n || !at_or_below(cuts->cut[0].from, low) ||
      !at_or_below(high, cuts->cut[cuts->n - 1].to))
    return place;
  for (size_t i = 0; i < cuts->n; i++) {
    if (!touches(&cuts->cut[i], low, high)) continue;
    if (!place.inside) place.first = i;
    place.last = i;
    place.inside = true;
  }
  return place;
}
