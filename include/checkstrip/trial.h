/*
 * trial.h: checked plots in canonical order (environment, rep, block, hybrid, row, column, values, line), ready to analyze.
 */
#ifndef CHECKSTRIP_TRIAL_H
#define CHECKSTRIP_TRIAL_H

#include <checkstrip/table.h>
#include <checkstrip/weather.h>

typedef struct {
  const char *name, *brand; /* brand "" when not given */
  const char *full;         /* as people read it: brand and name, the brand once */
  const char *bare;         /* the name without the brand that stands before it where a name stands under several brands */
  const char *given;        /* the name that stands behind one printed otherwise; with its brand where it stands under several */
  const char *maturity;     /* supplier's words, "" when not given */
  bool check;
  uint32_t by_group;        /* index into by_group.name of trial or results; 0 when --by-group is not given */
} cks_hybrid;

/* The groups that --by-group makes of the hybrids, or --by of the environments. */
typedef struct {
  const char *heading;      /* of the column, as it is printed; NULL: not asked */
  size_t n;
  bool own;                 /* the column has no role but this */
  const char **name;        /* size n: by size when all are numbers, else by name; NULL, last: not given */
} cks_by_group;

/* The two hybrids of a head-to-head. */
typedef struct {
  bool asked;               /* false: every hybrid against each check */
  cks_id a, b;              /* indexes into hybrid of trial or results */
} cks_pair;

typedef struct {
  cks_id location;          /* index into cks_trial.location */
  const char *trial;        /* "" when not given */
  int year;                 /* 0 when not given */
  uint32_t first, n;        /* plots [first, first + n) */
  uint32_t by;              /* index into cks_trial.by.name; 0 when --by is not given */
  const char *label;        /* as printed: the location, with year and trial where a location has several */
  double planted, harvested; /* day numbers; NaN when not given or not one for all plots */
  const char *const *place; /* size CKS_ROLE_COUNT, by role: text as printed of the PLACE facts and NOTE; NULL = not given */
  uint32_t weather;         /* index into cks_trial.weather.place; CKS_NONE: no weather is given for it */
  const double *place_number; /* size CKS_ROLE_COUNT: those that are numbers or dates, in the role's usual unit; NaN otherwise */
} cks_environment;

typedef struct {
  cks_role role;
  const char *key, *label, *narrow;
  cks_unit unit;            /* of the values */
  bool unit_assumed;
  int digits;
  double basis_pct;         /* yield: moisture, wet basis; NaN otherwise */
  const char *basis_text;   /* "" or how the yield came about: "from plot weights", "as given", ... */
  cks_better better;
  cks_measure measure;
  double scale_low, scale_high; /* rating; NaN not stated */
  double *value;            /* size n_plot; NaN missing */
  uint32_t *line;           /* size n_plot: where each value stands, when it came from a file that was joined; NULL: in its plot's line */
  uint16_t *file;           /* the same */
} cks_trait;

/* What a plot's row says besides: note, entry, code, treatment; a place's fact that is not one for all plots of an
 * environment; growth stages and their dates, which the stage calendar takes up. Nothing else is computed from it: kept for
 * whoever writes the plots. */
typedef struct {
  cks_role role;
  double day;               /* of the look that a growth stage was noted at; NaN: its heading names none */
  const char *heading;      /* of such a column, "stage 2026-09-01 (JT)"; NULL: its role says all */
  cks_unit unit;
  double *number;           /* size n_plot, numbers and dates; NaN missing; NULL: it is a name */
  cks_id *name;             /* size n_plot: ids of names; NULL: it is none */
} cks_plot_fact;

/* A cut of a forage, in their order. */
typedef struct {
  const char *name;         /* as the list writes it: "1"; "" when it has no column of cuts */
  const char *label;        /* "cut 1"; "" when the list names none */
  const char *key;          /* "_cut_1": what the keys of its traits end in; "" of the only one */
  double *day;              /* size n_plot: when it was cut; NaN missing */
  double *height_in, *moisture_pct; /* size n_plot; NaN missing */
  cks_id *stage;            /* size n_plot: ids of names; CKS_NONE missing */
} cks_cut;

/* Nitrate or prussic acid of a cut, as a heading has it. */
typedef struct {
  uint32_t cut;             /* index into cks_trial.cut */
  bool prussic_acid;        /* else nitrate */
  bool dry;                 /* of dry matter; else of the plant as it is */
  cks_nitrate form;         /* of nitrate */
  cks_unit unit;            /* ppm or percent */
  const char *heading;
  double *value;            /* size n_plot: as written; NaN missing */
  double *dry_ppm;          /* size n_plot: ppm of dry matter, nitrate as NO3-N; NaN where no dry matter is known */
} cks_content;

typedef struct {
  cks_id file;              /* index into cks_findings.file */
  uint32_t line;
  const char *reason, *location, *plot, *hybrid; /* "" when not given */
  bool is_plot; /* not a row that was to add values to plots of another file */
} cks_left_out;

typedef struct {
  cks_id file;              /* index into cks_findings.file */
  uint32_t rows, plots;     /* rows read; rows used as plots, or plots that a file without hybrids adds columns to */
} cks_input;

typedef struct {
  size_t n_plot, n_hybrid, n_environment, n_location, n_trait, n_rep, n_block, n_fact, n_left_out, n_input, n_cut, n_content;
  const cks_crop *crop;
  const char *count_origin; /* of days to mid-bloom: "planting" or "emergence" */
  cks_hybrid *hybrid;       /* sorted by name (cks_names_compare), never by the order seen */
  cks_by_group by_group, by;
  cks_pair pair;
  cks_environment *environment; /* sorted by location, year, trial */
  const char **location;    /* size n_location, sorted */
  const char **rep, **block; /* sizes n_rep, n_block: names, sorted */
  cks_trait *trait;         /* in the order of CKS_ROLES, OTHER by key */
  uint32_t *hybrid_of, *environment_of; /* size n_plot */
  uint32_t *rep_of, *block_of;          /* size n_plot: index into rep, block; NULL when no plot has one; CKS_NONE in one that has none */
  int32_t *row, *column, *strip;        /* size n_plot; NULL when not given; INT32_MIN in a plot without */
  cks_id *plot_of;          /* size n_plot: ids of names; NULL when not given */
  cks_plot_fact *fact;      /* no two of one role, but for growth stages of several looks */
  cks_cut *cut;             /* size n_cut; 0: no forage */
  cks_content *content;     /* size n_content */
  uint32_t *line;           /* size n_plot */
  uint16_t *file;           /* size n_plot: index into cks_findings.file */
  cks_left_out *left_out;
  cks_input *input;
  cks_weather weather;      /* n 0: none was given */
  cks_names names;
  cks_arena *arena;
} cks_trial;

CKS_API void cks_trial_free(cks_trial *trial);
/* The file and line where a plot's value of a trait stands. */
CKS_API cks_where cks_trial_where(const cks_trial *trial, const cks_trait *trait, size_t plot);

#endif
