/*
 * agronomy.h: the trade's facts and arithmetic, as tables and pure functions: units, crops, yield at standard moisture.
 * Sources stand beside each fact in src/agronomy.
 */
#ifndef CHECKSTRIP_AGRONOMY_H
#define CHECKSTRIP_AGRONOMY_H

#include <checkstrip/base.h>

/* ---- units ----------------------------------------------------------------------------------------------------- */

typedef enum {
  CKS_DIM_NONE,    /* a number without a unit */
  CKS_DIM_YIELD,   /* mass an area; base kg/ha; a bushel needs its crop */
  CKS_DIM_DENSITY, /* mass a volume; base kg/hL */
  CKS_DIM_LENGTH,  /* base m */
  CKS_DIM_MASS,    /* base kg */
  CKS_DIM_PERCENT,
  CKS_DIM_DAYS,
  CKS_DIM_PER_AREA, /* plants or seeds an area; base 1/ha */
  CKS_DIM_COUNT,
  CKS_DIM_SCORE,
  CKS_DIM_DATE
} cks_dimension;

/* id, text as printed, dimension. Factors and synonyms: src/agronomy/units.c. */
#define CKS_UNITS(X)                                                                                                  \
  X(NONE, "", NONE)                                                                                                   \
  X(BU_AC, "bu/ac", YIELD)                                                                                            \
  X(LB_AC, "lb/ac", YIELD)                                                                                            \
  X(CWT_AC, "cwt/ac", YIELD)                                                                                          \
  X(TON_AC, "ton/ac", YIELD)                                                                                          \
  X(KG_HA, "kg/ha", YIELD)                                                                                            \
  X(T_HA, "t/ha", YIELD)                                                                                              \
  X(LB_BU, "lb/bu", DENSITY)                                                                                          \
  X(KG_HL, "kg/hL", DENSITY)                                                                                          \
  X(IN, "in", LENGTH)                                                                                                 \
  X(FT, "ft", LENGTH)                                                                                                 \
  X(CM, "cm", LENGTH)                                                                                                 \
  X(M, "m", LENGTH)                                                                                                   \
  X(MM, "mm", LENGTH)                                                                                                 \
  X(LB, "lb", MASS)                                                                                                   \
  X(KG, "kg", MASS)                                                                                                   \
  X(OZ, "oz", MASS)                                                                                                   \
  X(G, "g", MASS)                                                                                                     \
  X(PERCENT, "%", PERCENT)                                                                                            \
  X(DAYS, "days", DAYS)                                                                                               \
  X(PER_AC, "/ac", PER_AREA)                                                                                          \
  X(THOUSAND_AC, "1000/ac", PER_AREA)                                                                                 \
  X(PER_HA, "/ha", PER_AREA)                                                                                          \
  X(COUNT, "count", COUNT)                                                                                            \
  X(SCORE, "score", SCORE)                                                                                            \
  X(DATE, "date", DATE)

#define CKS_UNIT_ENUM(id, text, dimension) CKS_UNIT_##id,
typedef enum { CKS_UNITS(CKS_UNIT_ENUM) CKS_UNIT_COUNT_ALL } cks_unit;
#undef CKS_UNIT_ENUM

/* ---- crops ----------------------------------------------------------------------------------------------------- */

typedef struct {
  const char *key;      /* "grain-sorghum" */
  const char *label;    /* "grain sorghum" */
  const char *synonyms; /* "sorghum|milo|..." compared without case, spaces, punctuation */
  double bushel_lb;     /* lb in a bushel */
  double moisture_pct;  /* standard moisture of a reported yield, wet basis */
  double yield_usual_high, yield_high; /* bu/ac: above the first unusual, above the second no plot yields that */
} cks_crop;

CKS_API const cks_crop *cks_crop_find(const char *text); /* NULL: not known */
/* The first crop that a longer text names as a word of its own ("Corn strip trial 2026.xlsx"); NULL: none. */
CKS_API const cks_crop *cks_crop_in(const char *text);
/* "silage": a word of the text that names a forage, of which no crop is known here; NULL when there is none, or the text
 * says grain too. */
CKS_API const char *cks_forage_in(const char *text);
CKS_API const cks_crop *cks_crop_at(size_t i);           /* NULL at the end; 0 is the default, grain sorghum */

CKS_API const char *cks_unit_text(cks_unit unit);
CKS_API cks_dimension cks_unit_dimension(cks_unit unit);
/** True when trial sheets use several units of its dimension, so that one that nobody states is only a guess. */
CKS_API bool cks_unit_has_rivals(cks_unit unit);
/* The unit that text names ("bu/ac", "bu_ac", "bushels per acre", "lbs/A", ...); false when none is. */
CKS_API bool cks_unit_find(const char *text, cks_unit *unit);
/* value in `from` as `to`; crop (for bushels) may be NULL when neither is bu/ac. NaN when they do not convert. */
CKS_API double cks_unit_convert(double value, cks_unit from, cks_unit to, const cks_crop *crop);

/* ---- yield ----------------------------------------------------------------------------------------------------- */

/* A weight (or yield) at moisture_pct restated at to_pct, wet basis: w (100 - m) / (100 - to). NaN when m or to is outside [0, 100). */
CKS_API double cks_at_moisture(double weight, double moisture_pct, double to_pct);
/* Weight lost by drying from moisture_pct to to_pct, as percent of the wet weight (water shrink only). */
CKS_API double cks_shrink_pct(double moisture_pct, double to_pct);
/* Acres of length_ft x width_ft. */
CKS_API double cks_acres(double length_ft, double width_ft);
/* Width in ft of n_rows rows row_spacing_in apart. */
CKS_API double cks_rows_width_ft(double n_rows, double row_spacing_in);
/* bu/ac at the crop's standard moisture (to_pct when it is not NaN) from a plot weight in lb. NaN when any is missing or impossible. */
CKS_API double cks_plot_yield(double weight_lb, double moisture_pct, double acres, const cks_crop *crop, double to_pct);
/* Whole days from one day number to another; NaN when either is missing. */
CKS_API double cks_days_between(double from, double to);

#endif
