/*
 * agronomy.h: the trade's facts and arithmetic, as tables and pure functions: units, crops, yield at standard
 * moisture, heat units, growth stages, maturity classes, forage, nitrate and prussic acid. Sources stand beside each
 * fact in src/agronomy, and in the facts themselves where the program prints them. Missing in, missing out; nothing
 * is allocated.
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
  CKS_DIM_CONTENT, /* of a substance in a forage; base ppm */
  CKS_DIM_DAYS,
  CKS_DIM_PER_AREA, /* plants or seeds an area; base 1/ha */
  CKS_DIM_COUNT,
  CKS_DIM_SCORE,
  CKS_DIM_DATE,
  CKS_DIM_TEMPERATURE /* F and C convert with an offset */
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
  X(PPM, "ppm", CONTENT)                                                                                              \
  X(DAYS, "days", DAYS)                                                                                               \
  X(PER_AC, "/ac", PER_AREA)                                                                                          \
  X(THOUSAND_AC, "1000/ac", PER_AREA)                                                                                 \
  X(PER_HA, "/ha", PER_AREA)                                                                                          \
  X(COUNT, "count", COUNT)                                                                                            \
  X(SCORE, "score", SCORE)                                                                                            \
  X(DATE, "date", DATE)                                                                                               \
  X(FAHRENHEIT, "F", TEMPERATURE)                                                                                     \
  X(CELSIUS, "C", TEMPERATURE)

#define CKS_UNIT_ENUM(id, text, dimension) CKS_UNIT_##id,
typedef enum { CKS_UNITS(CKS_UNIT_ENUM) CKS_UNIT_COUNT_ALL } cks_unit;
#undef CKS_UNIT_ENUM

/* ---- crops ----------------------------------------------------------------------------------------------------- */

typedef struct {
  const char *key;      /* "grain-sorghum" */
  const char *label;    /* "grain sorghum" */
  const char *synonyms; /* "sorghum|milo|..." compared without case, spaces, punctuation */
  double bushel_lb;     /* lb in a bushel; NaN: a forage has none */
  double moisture_pct;  /* standard moisture of a reported yield, wet basis; NaN: none is usual */
  double yield_usual_high, yield_high; /* above the first unusual, above the second no plot yields that */
  cks_unit yield_unit;  /* of these two, and of a yield without a unit */
  bool forage;          /* cut green, perhaps several times a season */
  const char *basis_source; /* of a forage's moisture_pct; "" */
} cks_crop;

CKS_API const cks_crop *cks_crop_find(const char *text); /* NULL: not known */
/* The crop whose longest word a longer text holds ("Corn strip trial 2026.xlsx", "Forage sorghum"); NULL: none. */
CKS_API const cks_crop *cks_crop_in(const char *text);
/* "silage": a word of the text that names a forage, whichever crop it is; NULL when there is none, or the text says grain
 * too. */
CKS_API const char *cks_forage_in(const char *text);
CKS_API bool cks_crop_is_sorghum(const cks_crop *crop); /* for grain or forage, sudangrass too: the stages below are its */
CKS_API const cks_crop *cks_crop_at(size_t i);           /* NULL at the end; 0 is the default, grain sorghum */

CKS_API const char *cks_unit_text(cks_unit unit);
CKS_API cks_dimension cks_unit_dimension(cks_unit unit);
/** True when trial sheets use several units of its dimension, so that one that nobody states is only a guess. */
CKS_API bool cks_unit_has_rivals(cks_unit unit);
/* The unit that text names ("bu/ac", "bu_ac", "bushels per acre", "lbs/A", ...); false when none is. Temperatures have a
 * call of their own: beside plots a C or an F is a rep, an entry or a person. */
CKS_API bool cks_unit_find(const char *text, cks_unit *unit);
CKS_API bool cks_unit_find_temperature(const char *text, cks_unit *unit); /* "F", "deg C", "Celsius" */
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

/* ---- facts with a range ---------------------------------------------------------------------------------------- */

/* A single figure stands in usual; a range whose source names no middle has usual NaN. */
typedef struct {
  double low, usual, high;
} cks_figure;

/* One published figure. Sources that differ stand as rows of their own: they are never merged. */
typedef struct {
  const char *key;    /* "stubble-missouri" */
  const char *crop;   /* "sorghum-sudangrass" */
  const char *what;   /* "stubble to leave" */
  cks_figure figure;   /* all NaN: the words alone */
  const char *unit;   /* "in", "days after planting" */
  const char *words;  /* what the figure means, "" when what says it all */
  const char *source; /* a publication, or "from memory" */
} cks_trade_fact;

/* ---- heat units (growing degree units) ------------------------------------------------------------------------- */

typedef enum { CKS_FAHRENHEIT, CKS_CELSIUS } cks_degrees;

/* A way to count: counts of different schemes are never compared or added. */
typedef struct {
  const char *key;   /* "sorghum-50-100-f" */
  const char *crops; /* crops that are counted by it, split by '|' */
  const char *label; /* "sorghum heat units, base 50 F, capped at 100 F" */
  double base, cap;  /* in `degrees` */
  cks_degrees degrees;
  const char *source;
} cks_heat_scheme;

CKS_API const char *cks_degrees_text(cks_degrees degrees);            /* "F" */
CKS_API const cks_heat_scheme *cks_heat_scheme_at(size_t i);          /* NULL at the end */
CKS_API const cks_heat_scheme *cks_heat_scheme_find(const char *key); /* NULL: not known */
/* The usual scheme of a crop (its key, label or a common name) in F or C; NULL: none is known here. */
CKS_API const cks_heat_scheme *cks_heat_scheme_for(const char *crop, cks_degrees degrees);
/* Heat units of a day: (clip(high) + clip(low)) / 2 - base. NaN when one is missing or high is below low. */
CKS_API double cks_heat_units(const cks_heat_scheme *scheme, double high, double low);
/* A count of heat units, or a difference of temperatures, in other degrees: C = 5/9 F. */
CKS_API double cks_heat_convert(double units, cks_degrees from, cks_degrees to);
/* A temperature in other degrees. */
CKS_API double cks_temperature_convert(double temperature, cks_degrees from, cks_degrees to);

/* ---- growth stages of sorghum ---------------------------------------------------------------------------------- */

/* In the order of the season. Planting, heading, milk and harvest moisture have no number in the scale of 0 to 9. */
typedef enum {
  CKS_STAGE_PLANTING,
  CKS_STAGE_EMERGENCE,
  CKS_STAGE_THREE_LEAF,
  CKS_STAGE_FIVE_LEAF,
  CKS_STAGE_DIFFERENTIATION,
  CKS_STAGE_FLAG_LEAF,
  CKS_STAGE_BOOT,
  CKS_STAGE_HEADING,
  CKS_STAGE_MID_BLOOM,
  CKS_STAGE_MILK,
  CKS_STAGE_SOFT_DOUGH,
  CKS_STAGE_HARD_DOUGH,
  CKS_STAGE_BLACK_LAYER,
  CKS_STAGE_HARVEST_MOISTURE,
  CKS_STAGE_COUNT
} cks_stage;

typedef struct {
  cks_stage stage;
  int number;           /* 0 to 9; -1: none in the scale */
  const char *key;      /* "flag-leaf" */
  const char *label;    /* "flag leaf" */
  const char *mark;     /* how it is told in the field */
  double days;          /* after emergence, a medium hybrid at Manhattan, Kansas; NaN: not in the scale */
  const char *synonyms; /* compared without case, spaces, punctuation */
  const char *source;
} cks_stage_fact;

CKS_API const cks_stage_fact *cks_stage_at(cks_stage stage); /* NULL beyond the last */
/* The stage that people mean by text; NULL: not known, or not one stage alone. */
CKS_API const cks_stage_fact *cks_stage_find(const char *text);

/* Where the width of an interval comes from, the surest first; the text is what the program says of it. */
#define CKS_WIDTHS(X)                                                                                                  \
  X(PUBLISHED, "range as published")                                                                                   \
  X(FIFTH, "one figure is published; a fifth either way is this program's margin")                                     \
  X(ORDER, "no source gives a day: only the stages before and after bound it")

#define CKS_WIDTH_ENUM(id, text) CKS_WIDTH_##id,
typedef enum { CKS_WIDTHS(CKS_WIDTH_ENUM) CKS_WIDTH_COUNT } cks_width;
#undef CKS_WIDTH_ENUM

typedef struct {
  cks_figure days;          /* all NaN: no source reaches from the one stage to the other */
  cks_width width;         /* the least sure of its parts */
  const char *source;      /* NULL when days are missing */
  const char *then_source; /* of its second part; NULL: one part */
} cks_stage_interval;

CKS_API const char *cks_width_text(cks_width width);
/* Days from one stage to a later one: planting to emergence, and any two from boot on. Ends of parts are added, which
 * is as wide as the parts allow. */
CKS_API cks_stage_interval cks_stage_days(cks_stage from, cks_stage to);
/* Days that grain takes to dry in the field after black layer, from one moisture to another; 0 when dry already. */
CKS_API cks_figure cks_dry_down_days(double moisture_pct, double to_pct);
/* Bloom of a head, grain moisture by stage, dry-down, heat from flowering to maturity. NULL at the end. */
CKS_API const cks_trade_fact *cks_stage_note_at(size_t i);

/* Heat units to each stage as one source counts them: its own origin, base and cap. */
typedef struct {
  const char *key;               /* "k-state-medium-early" */
  const char *label;             /* "K-State, medium-early hybrids" */
  cks_stage origin;              /* counted from: planting or emergence */
  const char *heat;              /* key of its cks_heat_scheme */
  double units[CKS_STAGE_COUNT]; /* NaN: the source has no such row */
  const char *source;
} cks_stage_scheme;

CKS_API const cks_stage_scheme *cks_stage_scheme_at(size_t i);          /* NULL at the end */
CKS_API const cks_stage_scheme *cks_stage_scheme_find(const char *key); /* NULL: not known */
/* Heat units from the scheme's origin to a stage, in the scheme's degrees; NaN: no row. */
CKS_API double cks_stage_units(const cks_stage_scheme *scheme, cks_stage stage);
/* Heat units left from a stage to black layer. */
CKS_API double cks_stage_units_left(const cks_stage_scheme *scheme, cks_stage stage);

/* ---- maturity classes ------------------------------------------------------------------------------------------ */

typedef struct {
  const char *name;
  double from, to; /* days to mid-bloom; NaN at the first from or the last to: open */
} cks_maturity_cut;

typedef struct {
  const char *label, *source;
  const char *origin;          /* what the days count from, as far as the source says */
  const char *tie;             /* what the source does with an entry exactly at a cut; "" when it says nothing */
  const cks_maturity_cut *cut; /* size n, in order, each from equal to the to before */
  size_t n;
} cks_maturity_cuts;

/* What can be wrong with a row of cuts, and the words for it. */
#define CKS_CUT_FAULTS(X)                                                                                              \
  X(NONE, "no fault")                                                                                                  \
  X(EMPTY, "the table of classes has no row")                                                                          \
  X(NO_NAME, "the class has no name")                                                                                  \
  X(SAME_NAME, "the class has the name of a row above")                                                                \
  X(NO_LIMIT, "a limit is missing: only the first from and the last to may be left open")                              \
  X(ORDER, "from is not below to")                                                                                     \
  X(GAP, "from lies above the to of the row before: days between have no class")                                       \
  X(OVERLAP, "from lies below the to of the row before: days between have two classes")

#define CKS_CUT_FAULT_ENUM(id, text) CKS_CUT_##id,
typedef enum { CKS_CUT_FAULTS(CKS_CUT_FAULT_ENUM) CKS_CUT_FAULT_COUNT } cks_cut_fault;
#undef CKS_CUT_FAULT_ENUM

typedef struct {
  bool inside;        /* false: days are missing, or outside the table; first and last are 0 then */
  size_t first, last; /* rows of the cuts; two rows: not placed by these days alone (exactly at a cut, or across it) */
} cks_maturity_place;

CKS_API const cks_maturity_cuts *cks_maturity_cuts_default(void);
/* The first fault and, in *row, its row; NONE leaves *row. */
CKS_API cks_cut_fault cks_maturity_cuts_check(const cks_maturity_cut *cut, size_t n, size_t *row);
CKS_API const char *cks_cut_fault_text(cks_cut_fault fault);
/* The classes that days from low to high touch; a single figure is given twice. */
CKS_API cks_maturity_place cks_maturity_class(const cks_maturity_cuts *cuts, double low, double high);

/* ---- forage ---------------------------------------------------------------------------------------------------- */

typedef struct {
  double at_standard;   /* ton/ac at the stated moisture */
  double dry_matter;    /* ton/ac */
  double dry_matter_lb; /* lb/ac */
} cks_forage_yield;

/* Green tons an acre from a plot weight. */
CKS_API double cks_forage_green(double weight_lb, double acres);
/* Moisture percent from moisture or dry matter, the other missing. Of both, the sum must be 100 within half a point. */
CKS_API double cks_forage_moisture(double moisture_pct, double dry_matter_pct);
/* One cut of green_ton_ac at moisture_pct; the basis (standard_pct) is the caller's: none is universal. */
CKS_API cks_forage_yield cks_forage_cut(double green_ton_ac, double moisture_pct, double standard_pct);
/* The season's total of n cuts: missing when there is none or one is missing, never smaller. */
CKS_API cks_forage_yield cks_forage_season(const cks_forage_yield *cut, size_t n);
/* Published moisture bases of reports, harvest windows, stubble. NULL at the end. */
CKS_API const cks_trade_fact *cks_forage_basis_at(size_t i);
CKS_API const cks_trade_fact *cks_forage_window_at(size_t i);

/* ---- nitrate and prussic acid ---------------------------------------------------------------------------------- */

/* Stands below every figure of nitrate or prussic acid. */
#define CKS_FORAGE_CAUTION                                                                                             \
  "Have the forage tested by a laboratory and ask your veterinarian or extension office before it is fed or grazed; "  \
  "local rules come first."

typedef enum { CKS_NITRATE_N, CKS_NITRATE_NO3, CKS_NITRATE_KNO3, CKS_NITRATE_COUNT } cks_nitrate;

/* What a heading says of a content: "nitrate NO3-N ppm (dry)", "HCN ppm as is". */
typedef struct {
  bool found;        /* every word of it is one of nitrate or of prussic acid */
  bool prussic_acid; /* else nitrate */
  bool has_form, has_unit, has_basis, dry;
  cks_nitrate form;
  cks_unit unit;     /* ppm or percent */
} cks_content_words;
CKS_API cks_content_words cks_content_read(const char *heading);

CKS_API const char *cks_nitrate_text(cks_nitrate form); /* "NO3-N" */
/* The form that text names; false when none is, or it may be either ("nitrate"). */
CKS_API bool cks_nitrate_find(const char *text, cks_nitrate *form);
CKS_API double cks_nitrate_convert(double value, cks_nitrate from, cks_nitrate to);
CKS_API double cks_ppm_of_percent(double percent);
/* A content of the forage as it is, restated of its dry matter. NaN when dry_matter_pct is outside (0, 100]. */
CKS_API double cks_dry_basis(double as_is, double dry_matter_pct);

typedef struct {
  double from, to; /* ppm NO3-N, dry basis: from <= value < to, so a value at a limit stands in the higher row */
  const char *words;
} cks_nitrate_row;

typedef struct {
  const char *key, *label, *source;
  const cks_nitrate_row *row; /* size n */
  size_t n;
} cks_nitrate_table;

CKS_API const cks_nitrate_table *cks_nitrate_table_at(size_t i); /* NULL at the end */
/* The row of ppm NO3-N of dry matter; NULL when it is missing or below 0. */
CKS_API const cks_nitrate_row *cks_nitrate_row_of(const cks_nitrate_table *table, double ppm_n_dry);
CKS_API const cks_trade_fact *cks_prussic_acid_at(size_t i); /* NULL at the end */

#endif
