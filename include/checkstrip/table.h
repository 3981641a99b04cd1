/*
 * table.h: what the reader understood, column by column, and the roles that columns can have.
 *
 * To add a trait: a row in CKS_ROLES, and its facts (label, unit, digits, good end, ranges, synonyms) in src/agronomy/roles.c.
 */
#ifndef CHECKSTRIP_TABLE_H
#define CHECKSTRIP_TABLE_H

#include <checkstrip/agronomy.h>
#include <checkstrip/base.h>
#include <checkstrip/finding.h>

typedef enum { CKS_NUMBER, CKS_NAME, CKS_DATE } cks_kind;

typedef enum {
  CKS_CLASS_IDENTITY, /* says which plot a row is */
  CKS_CLASS_PLACE,    /* a fact of a location; also allowed in the plot list */
  CKS_CLASS_INPUT,    /* makes a trait (plot weight, dates) */
  CKS_CLASS_TRAIT,    /* is analyzed */
  CKS_CLASS_KEPT,     /* is kept as written; not analyzed unless --trait names it and it holds numbers */
  CKS_CLASS_LOOK,     /* says what a row that is one observation is; the reader takes such rows together, and no column of it is left */
  CKS_CLASS_WEATHER   /* of a row a day; known in weather and normal files alone */
} cks_role_class;

typedef enum { CKS_BETTER_NONE, CKS_BETTER_HIGH, CKS_BETTER_LOW } cks_better;
/* How a trait is measured: proportions are tested as arcsin(sqrt p), ratings with a caution. */
typedef enum { CKS_MEASURE_NUMBER, CKS_MEASURE_PROPORTION, CKS_MEASURE_RATING } cks_measure;

/* id, key (as --heading, --unit, --trait and JSON name it), kind, class */
#define CKS_ROLES(X)                                                                                                  \
  X(LOCATION, "location", NAME, IDENTITY)                                                                             \
  X(YEAR, "year", NUMBER, IDENTITY)                                                                                   \
  X(TRIAL, "trial", NAME, IDENTITY)                                                                                   \
  X(REP, "rep", NAME, IDENTITY)                                                                                       \
  X(BLOCK, "block", NAME, IDENTITY)                                                                                   \
  X(PLOT, "plot", NAME, IDENTITY)                                                                                     \
  X(ROW, "row", NUMBER, IDENTITY)                                                                                     \
  X(COLUMN, "column", NUMBER, IDENTITY)                                                                               \
  X(STRIP, "strip", NUMBER, IDENTITY)                                                                                 \
  X(ENTRY, "entry", NAME, IDENTITY)                                                                                   \
  X(CODE, "code", NAME, IDENTITY)                                                                                     \
  X(TREATMENT, "treatment", NAME, IDENTITY)                                                                           \
  X(BRAND, "brand", NAME, IDENTITY)                                                                                   \
  X(HYBRID, "hybrid", NAME, IDENTITY)                                                                                 \
  X(SEEN_AS, "seen_as", NAME, IDENTITY)                                                                               \
  X(PRINT, "print", NAME, IDENTITY)                                                                                   \
  X(SEED_COST, "seed_cost", NUMBER, IDENTITY)                                                                         \
  X(CHECK, "check", NAME, IDENTITY)                                                                                   \
  X(CUT, "cut", NAME, IDENTITY)                                                                                       \
  X(LEAVE_OUT, "leave_out", NAME, IDENTITY)                                                                           \
  X(CROP, "crop", NAME, IDENTITY)                                                                                     \
  X(MATURITY, "maturity", NAME, IDENTITY)                                                                             \
  X(BY_GROUP, "by_group", NAME, IDENTITY) /* a column that --by-group names and nobody else knows */                  \
  X(NOTE, "note", NAME, IDENTITY)                                                                                     \
  X(BY, "by", NAME, PLACE) /* a column that --by names and nobody else knows */                                       \
  X(OBSERVED, "observed", DATE, LOOK)                                                                                 \
  X(OBSERVER, "observer", NAME, LOOK)                                                                                 \
  X(TRAIT, "trait", NAME, LOOK)                                                                                       \
  X(VALUE, "value", NAME, LOOK)                                                                                       \
  X(UNIT, "unit", NAME, LOOK)                                                                                         \
  X(COOPERATOR, "cooperator", NAME, PLACE)                                                                            \
  X(COUNTY, "county", NAME, PLACE)                                                                                    \
  X(IRRIGATION, "irrigation", NAME, PLACE)                                                                            \
  X(PREVIOUS_CROP, "previous_crop", NAME, PLACE)                                                                      \
  X(SOIL, "soil", NAME, PLACE)                                                                                        \
  X(RAINFALL, "rainfall", NUMBER, PLACE)                                                                              \
  X(SEEDING_RATE, "seeding_rate", NUMBER, PLACE)                                                                      \
  X(ROW_SPACING, "row_spacing", NUMBER, PLACE)                                                                        \
  X(ROWS_HARVESTED, "rows_harvested", NUMBER, PLACE)                                                                  \
  X(HARVEST_LENGTH, "harvest_length", NUMBER, PLACE)                                                                  \
  X(HARVEST_WIDTH, "harvest_width", NUMBER, PLACE)                                                                    \
  X(LATITUDE, "latitude", NUMBER, PLACE)                                                                              \
  X(LONGITUDE, "longitude", NUMBER, PLACE)                                                                            \
  X(PLANTED, "planted", DATE, PLACE)                                                                                  \
  X(EMERGED, "emerged", DATE, PLACE)                                                                                  \
  X(HARVESTED, "harvested", DATE, PLACE)                                                                              \
  X(FROST, "frost", DATE, PLACE)                                                                                      \
  X(DROUGHT, "drought", DATE, PLACE)                                                                                  \
  X(MID_BLOOM, "mid_bloom", DATE, INPUT)                                                                              \
  X(PLOT_WEIGHT, "plot_weight", NUMBER, INPUT)                                                                        \
  X(GROSS, "gross", NUMBER, INPUT)                                                                                    \
  X(TARE, "tare", NUMBER, INPUT)                                                                                      \
  X(WET_YIELD, "wet_yield", NUMBER, INPUT)                                                                            \
  X(GREEN_WEIGHT, "green_weight", NUMBER, KEPT)                                                                       \
  X(CUT_DATE, "cut_date", DATE, KEPT)                                                                                 \
  X(NITRATE, "nitrate", NUMBER, KEPT) /* its heading says form, unit and basis: cks_content_read() */                  \
  X(PRUSSIC_ACID, "prussic_acid", NUMBER, KEPT)                                                                       \
  X(PANICLE_TYPE, "panicle_type", NAME, KEPT)                                                                         \
  X(THRESHING, "threshing", NAME, KEPT)                                                                               \
  X(STAGE, "stage", NAME, KEPT)                                                                                       \
  X(STAGE_DATE, "stage_date", DATE, KEPT)                                                                             \
  X(YIELD, "yield", NUMBER, TRAIT)                                                                                    \
  X(DRY_MATTER_YIELD, "dry_matter_yield", NUMBER, TRAIT)                                                              \
  X(FORAGE_YIELD, "forage_yield", NUMBER, TRAIT)                                                                      \
  X(MOISTURE, "moisture", NUMBER, TRAIT)                                                                              \
  X(TEST_WEIGHT, "test_weight", NUMBER, TRAIT)                                                                        \
  X(DAYS_TO_MID_BLOOM, "days_to_mid_bloom", NUMBER, TRAIT)                                                            \
  X(PLANT_HEIGHT, "plant_height", NUMBER, TRAIT)                                                                      \
  X(HEAD_EXSERTION, "head_exsertion", NUMBER, TRAIT)                                                                  \
  X(HEAD_LENGTH, "head_length", NUMBER, TRAIT)                                                                        \
  X(HEADS, "heads", NUMBER, TRAIT)                                                                                    \
  X(KERNEL_WEIGHT, "kernel_weight", NUMBER, TRAIT)                                                                    \
  X(STAND, "stand", NUMBER, TRAIT)                                                                                    \
  X(POPULATION, "population", NUMBER, TRAIT)                                                                          \
  X(VIGOR, "vigor", NUMBER, TRAIT)                                                                                    \
  X(LODGING, "lodging", NUMBER, TRAIT)                                                                                \
  X(ROOT_LODGING, "root_lodging", NUMBER, TRAIT)                                                                      \
  X(STALK_LODGING, "stalk_lodging", NUMBER, TRAIT)                                                                    \
  X(STANDABILITY, "standability", NUMBER, TRAIT)                                                                      \
  X(STAYGREEN, "staygreen", NUMBER, TRAIT)                                                                            \
  X(WEATHERING, "weathering", NUMBER, TRAIT)                                                                          \
  X(SPROUTING, "sprouting", NUMBER, TRAIT)                                                                            \
  X(APHID, "aphid", NUMBER, TRAIT)                                                                                    \
  X(MIDGE, "midge", NUMBER, TRAIT)                                                                                    \
  X(BIRD_DAMAGE, "bird_damage", NUMBER, TRAIT)                                                                        \
  X(DISEASE, "disease", NUMBER, TRAIT)                                                                                \
  X(DRY_MATTER, "dry_matter", NUMBER, TRAIT)                                                                          \
  X(PROTEIN, "protein", NUMBER, TRAIT)                                                                                \
  X(STARCH, "starch", NUMBER, TRAIT)                                                                                  \
  X(BRIX, "brix", NUMBER, TRAIT)                                                                                      \
  X(DAY, "day", DATE, WEATHER)                                                                                        \
  X(HIGH, "high", NUMBER, WEATHER)                                                                                    \
  X(LOW, "low", NUMBER, WEATHER)                                                                                      \
  X(MONTH, "month", NUMBER, WEATHER)                                                                                  \
  X(DAY_OF_MONTH, "day_of_month", NUMBER, WEATHER)                                                                    \
  X(OTHER, "other", NUMBER, TRAIT) /* a numeric column that --trait names; its key is its heading */

#define CKS_ROLE_ENUM(id, key, kind, class) CKS_ROLE_##id,
typedef enum { CKS_ROLES(CKS_ROLE_ENUM) CKS_ROLE_COUNT } cks_role;
#undef CKS_ROLE_ENUM

typedef struct {
  const char *key;
  cks_kind kind;
  cks_role_class role_class;
  const char *label;    /* whole words: "test weight" */
  const char *narrow;   /* the same stacked for a narrow column, lines split by '\n': "test\nweight" */
  cks_unit unit;        /* the usual one */
  int8_t digits;        /* decimals of a printed mean */
  cks_better better;
  cks_measure measure;
  double low, usual_low, usual_high, high; /* in the usual unit: outside low..high cannot be, outside usual unusual; NaN = no limit */
  const char *synonyms; /* "moist|grain moisture|..." compared without case, spaces, punctuation */
} cks_role_fact;
CKS_API const cks_role_fact *cks_role_find(cks_role role);
CKS_API bool cks_role_is_yield(cks_role role); /* what a harvest weighs an acre, of grain or forage */
CKS_API bool cks_role_is_asked(cks_role role); /* no heading has it by itself: an option names its column */

typedef struct {
  cks_id file;
  uint32_t column; /* counted from 1; 0: not the same in every row, or not told */
} cks_column_in; /* where a file has a column */

typedef struct {
  cks_role role;
  cks_unit unit;
  bool unit_stated;        /* in the heading or by --unit; else assumed */
  cks_kind kind;
  const char *heading;     /* as it stands in the first file that has it; in the table's arena */
  const char *key;         /* the role's key; for OTHER and named diseases a key made of the heading; with the day of an
                              observation behind it: "lodging_2026_10_03" */
  const char *observer;    /* "JT" of "stand (JT)", or of an observer column; "" none */
  cks_where where;         /* of the heading */
  double basis_pct;        /* yield: moisture basis stated in the heading ("yield at 13 %"); NaN = not stated */
  double scale_low, scale_high; /* rating: from the heading "(1-9, 1 best)"; NaN = not stated */
  cks_better better;       /* the role's, unless the heading says which end is best */
  double *number;          /* size n_row, NUMBER or DATE (day number); NaN missing; NULL when kind is NAME */
  cks_id *name;            /* size n_row, NAME: ids of the table's names; CKS_NONE missing; NULL otherwise */
  uint32_t *line;          /* size n_row: where each cell stands, when rows or files were joined in this column; NULL: in its row */
  uint16_t *file;          /* the same */
  size_t n_in;
  cks_column_in *in;       /* size n_in, by file: the files that have the column, and where */
} cks_column;

typedef enum {
  CKS_ODD_CELL,   /* something else than the column's kind; its value is missing */
  CKS_ODD_MARKED, /* a number with a footnote's mark behind it: the value is the number */
  CKS_ODD_PERCENT, /* a number with a percent sign in a column of percent, likewise */
  CKS_ODD_MERGED /* the value of a cell merged over several plots: none of each; missing */
} cks_odd_kind;

typedef struct {
  uint32_t row, column; /* 0-based */
  cks_id text;          /* as it stood in the file */
  cks_odd_kind kind;
  cks_where where; /* where it stood; joined files bring cells of other lines into a row */
} cks_odd;

/* What joining found. Whether it matters the audit says, which knows the rows that are left out. */
typedef enum {
  CKS_STRAY_TOLD,     /* its whole file was reported */
  CKS_STRAY_NO_PLOT,  /* it holds values and names no plot */
  CKS_STRAY_NO_PLACE, /* its location is empty, in a file that gives it in other rows */
  CKS_STRAY_PLACE,    /* the list does not know its location */
  CKS_STRAY_PLOT,     /* the list does not know its plot */
  CKS_STRAY_SEVERAL,  /* the list has its plot more than once: in rows `to` and `other` */
  CKS_STRAY_TWICE     /* its file gives the plot of row `to` again, otherwise, in line `other` */
} cks_stray_kind;

typedef struct {
  cks_stray_kind kind;
  uint32_t row, to, other; /* CKS_NONE: none */
} cks_stray; /* a row of an adding file that belongs to no plot; it stays in the table, without a hybrid */

typedef struct {
  uint32_t row, column; /* the plot's cell, which holds another value */
  cks_id file;          /* where this one stands */
  uint32_t line;
  double number;
  cks_id name;
} cks_second_value;

typedef struct {
  uint32_t row;   /* a plot that has no value in any column of measured values of `file` */
  uint32_t group; /* counts files and, within, locations, years and trials */
  cks_id file;
} cks_unharvested;

typedef struct {
  bool adds;            /* the file has no hybrids and adds columns to the plots of others */
  uint32_t rows, plots; /* adds: rows read, plots that they went to */
} cks_adding;

typedef struct {
  size_t n_stray, n_second, n_unharvested;
  cks_stray *stray;
  cks_second_value *second;
  cks_unharvested *unharvested; /* by group, then row */
  cks_adding *file;             /* size n_file of the table */
  const char *places;           /* locations of the lists, in words */
} cks_joined;

typedef struct {
  size_t n_row, n_column, n_odd;
  cks_column *column; /* size n_column; no two with the same role, key, observer, unit and basis */
  uint32_t *line;     /* size n_row: line where the row begins */
  uint16_t *file;     /* size n_row: index into cks_findings.file */
  cks_odd *odd;       /* size n_odd, by row then column within a file */
  size_t n_file;
  uint32_t *file_row; /* size n_file (in the order read): rows of each, but for those that were joined to others */
  cks_id *file_id;    /* size n_file: index into cks_findings.file */
  cks_joined *joined; /* NULL: no file adds columns to others */
  cks_names names;
  cks_names headings;  /* all headings, as written */
  bool headings_read;  /* of every file */
  bool *option_met;    /* one for each of --heading, --unit, --trait, --missing in turn: some heading or cell is meant */
  cks_arena *arena;
} cks_table;

CKS_API void cks_table_free(cks_table *table);
/* The column of this role; the first when several units of it stand side by side; NULL when there is none. */
CKS_API cks_column *cks_table_column(const cks_table *table, cks_role role);
/* The column that says which hybrid stands in a plot: hybrid, else treatment, entry or code; NULL when there is none. */
CKS_API cks_column *cks_table_hybrids(const cks_table *table);
/* Which cell of a line of the file holds the column's value, counted from 1; 0: not known. */
CKS_API uint32_t cks_column_cell(const cks_column *column, cks_id file);
/* Says so of a file; two cells are none: 0. Error: no memory. */
CKS_API cks_status cks_column_put(cks_column *column, cks_column_in in, cks_error *error);
CKS_API void cks_column_release(cks_column *column); /* what it owns */
CKS_API void cks_column_move(cks_column *column, size_t from, size_t to); /* the cell of a row, with its place, to another */
/* Where a cell stands; column NULL: its row. */
CKS_API cks_where cks_table_where(const cks_table *table, const cks_column *column, size_t row);
/* Gives each cell of the column a file and line of its own, its row's as yet. */
CKS_API cks_status cks_table_place_cells(const cks_table *table, cks_column *column, cks_error *error);
/* What the name of an entry of the findings says of its place, *n bytes: the sheet's name, else the file's without folders, ending and words for
 * its kind behind it (list, harvest, 2026). A sheet that is the only one read of its file and plainly named (Sheet1, Data,
 * Plots) says nothing: the file does. */
CKS_API const char *cks_table_place(const cks_table *table, const cks_findings *findings, cks_id file, size_t *n);

#endif
