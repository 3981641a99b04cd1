/*
 * run.h: the whole flow in one call, its settings and its targets; and the stages it is made of.
 */
#ifndef CHECKSTRIP_RUN_H
#define CHECKSTRIP_RUN_H

#include <checkstrip/report.h>
#include <checkstrip/results.h>
#include <checkstrip/table.h>
#include <checkstrip/trial.h>

typedef struct {
  const char *key, *value; /* "mid_bloom", "50 % bloom" */
} cks_setting_pair;

typedef struct {
  size_t n;
  cks_setting_pair *pair;
} cks_setting_list; /* texts are the caller's and outlive the run; one-word lists have value NULL */

typedef enum { CKS_DATES_UNKNOWN, CKS_DATES_MDY, CKS_DATES_DMY } cks_date_order;
typedef enum { CKS_ORDER_MEAN, CKS_ORDER_NAME, CKS_ORDER_DEFAULT } cks_row_order;

/* Which differences count. Only the LSD waits for a significant F. */
typedef enum { CKS_COMPARE_LSD, CKS_COMPARE_TUKEY, CKS_COMPARE_DUNNETT, CKS_COMPARE_BONFERRONI } cks_comparison;

/* Df of mixed models; DEFAULT: Kenward-Roger up to a size. */
typedef enum { CKS_DF_DEFAULT, CKS_DF_KENWARD_ROGER, CKS_DF_SATTERTHWAITE } cks_df_method;

/* What a run is asked for: all of it, or one part alone. */
typedef enum {
  CKS_ASK_ALL,     /* head-to-head stands beside the rest, every hybrid against each check */
  CKS_ASK_VERSUS,  /* head-to-head */
  CKS_ASK_MATURITY /* days to mid-bloom from place to place */
} cks_question;

/* All zero is not a default: begin with cks_settings_defaults(). */
typedef struct {
  /* input */
  const cks_source *places; /* NULL: none */
  const cks_source *names;  /* who the hybrids are; NULL: none */
  size_t n_weather;
  const cks_source *weather; /* size n_weather: daily highs and lows; 0: none */
  const cks_source *normal; /* what a day of the year usually brings; NULL: none */
  const char *crop;         /* NULL: from the data, else grain sorghum */
  cks_setting_list heading; /* role = heading */
  cks_setting_list unit;    /* trait = unit */
  cks_setting_list missing; /* texts that mean missing, besides the usual ones */
  cks_setting_list sheet;   /* sheets of workbooks that are read; none: all that look like plot tables */
  cks_date_order dates;
  double year;              /* of dates that give none; 0: not given */
  bool decimal_comma;
  /* choice */
  cks_setting_list trait;   /* only these, by key or heading; none: all */
  cks_setting_list check;   /* hybrids that are checks besides the marked ones */
  cks_setting_list without, only; /* role = value */
  cks_setting_list maturity_class; /* name = from-to, days to mid-bloom, in order; none: the default of agronomy.h */
  const char *by_group;     /* column that says to which group a hybrid belongs, by role or heading; NULL: one group */
  /* analysis */
  double alpha;             /* 0.05 */
  cks_comparison comparison;
  bool top_best;            /* the top group by comparisons with the best, else by the comparison in use */
  bool unprotected;
  bool locations_fixed;
  bool hybrids_random;      /* mixed models: shrunken means, nothing compared */
  bool environments_random; /* mixed models: the environment's main effect; hybrid x environment always is */
  bool error_by_location;   /* mixed models: one error variance an environment */
  cks_df_method df;
  cks_strip_adjustment strip_adjustment; /* of yield */
  double moisture_pct;      /* NaN: the crop's standard moisture */
  double cv_limit;          /* 20 */
  double min_environments;  /* 0.5: a hybrid in a smaller share of the environments is not ranked over them; 0: all are */
  /* head-to-head */
  cks_question question;    /* what is shown */
  const char *versus_a, *versus_b; /* the pair; NULL: every hybrid against each check */
  const char *by;           /* column that says something of places: each of its values by itself too; NULL: all together */
  /* stage calendar */
  const char *scheme;       /* key of a cks_stage_scheme: heat units in place of days, where there is weather; NULL: days */
  double as_of;             /* day number: what was observed later is not used; NaN: all is */
  /* output */
  cks_setting_list show;    /* trait = unit */
  cks_row_order order;
  bool full;
  const char *title, *organization, *contact, *note, *date, *sheet_for; /* NULL: not given */
  const char *paper;        /* "letter" */
  bool all_findings;
  bool strict;              /* warnings refuse too (outputs are written as usual) */
  bool audit_only;          /* stop after the findings, and the plots where a target asks for them */
  double reps;              /* of a template */
} cks_settings;
CKS_API void cks_settings_defaults(cks_settings *settings);

typedef enum {
  CKS_FORMAT_TEXT,
  CKS_FORMAT_WORKBOOK,
  CKS_FORMAT_JSON,
  CKS_FORMAT_CSV,
  CKS_FORMAT_CALENDAR, /* the events of the stage calendar, as iCalendar */
  CKS_FORMAT_PLOTS, /* the plots as understood, see cks_write_plots; also of a run with audit_only */
  CKS_FORMAT_BRAPI  /* the same as observation units of BrAPI */
} cks_format;
typedef struct {
  cks_format format;
  const char *scratch_path; /* workbook only: a path beside the final one that the library may write and leave complete */
  cks_sink sink;            /* the others */
} cks_target;

/* Reads, audits, analyzes, writes every target. findings: made by the caller, filled, sorted.
 * CKS_DATA: errors in the data (nothing was analyzed, no target touched) ; CKS_MODEL: no trait gave a result (targets written);
 * CKS_IO, CKS_NOMEM, CKS_LIMIT, CKS_USAGE (a setting that names what is not there), CKS_INTERNAL. */
CKS_API cks_status cks_run(const cks_settings *settings, size_t n_source, const cks_source *sources, size_t n_target,
                           const cks_target *targets, cks_findings *findings, cks_error *error);

/* Writes an empty plot list of settings->places x settings->reps x settings->names into the target (CSV or workbook).
 * CKS_DATA: errors in the two tables; CKS_USAGE: a table is missing or lists nothing; CKS_IO, CKS_NOMEM. */
CKS_API cks_status cks_template(const cks_settings *settings, const cks_target *target, cks_findings *findings,
                                cks_error *error);

/* ---- the stages ------------------------------------------------------------------------------------------------ */

/* Once a process, before anything else: turns aborting handlers off, one thread for the algebra. */
CKS_API void cks_startup(void);
CKS_API const char *cks_math_library(void); /* the dense algebra in use, for --version */

/* One table of all sources stacked. Problems become findings; a file that cannot be read at all is a status. */
CKS_API cks_status cks_read(const cks_settings *settings, size_t n_source, const cks_source *sources,
                            cks_findings *findings, cks_table **out, cks_error *error);
/* A table beside the plot lists, with a row a `thing` ("location", "name"): the same headings and cells; a heading that an
 * option names and it lacks is no error here. */
CKS_API cks_status cks_read_side(const cks_settings *settings, const cks_source *source, const char *thing,
                                 cks_findings *findings, cks_table **out, cks_error *error);
/* Tables with a row a day and place, stacked: day (or month and day_of_month, with a year), high, low, location. any_year:
 * a normal, whose dates may give any year or none. */
CKS_API cks_status cks_read_weather(const cks_settings *settings, size_t n_source, const cks_source *sources,
                                    bool any_year, cks_findings *findings, cks_table **out, cks_error *error);
/* The tables of a run; all but the plots may be NULL. */
typedef struct {
  cks_table *plots, *places, *names, *weather, *normal;
} cks_tables;
/* Findings about the headings, units, traits and missing texts of the settings that stand in none of the tables. */
CKS_API cks_status cks_read_check(const cks_settings *settings, const cks_tables *tables, cks_findings *findings,
                                  cks_error *error);
/* tables->plots is emptied (columns are moved). CKS_DATA when the findings hold an error; then *out is NULL. */
CKS_API cks_status cks_audit(const cks_settings *settings, const cks_tables *tables, cks_findings *findings,
                             cks_trial **out, cks_error *error);
/* Also adds the findings that need a fit; with settings->audit_only nothing else: the results then hold no trait. */
CKS_API cks_status cks_analyze(const cks_settings *settings, const cks_trial *trial, cks_findings *findings,
                               cks_results **out, cks_error *error);
/* screen_only: no more than the first screen, for large results whose tables nobody asked for. */
CKS_API cks_status cks_report_new(const cks_settings *settings, const cks_trial *trial, const cks_results *results,
                                  const cks_findings *findings, bool screen_only, cks_report **out, cks_error *error);
/* full: every section that is for all or for the screen; else the first screen. */
CKS_API cks_status cks_write_text(const cks_report *report, bool full, const cks_sink *sink, cks_error *error);
CKS_API cks_status cks_write_workbook(const cks_report *report, const char *scratch_path, cks_error *error);
CKS_API cks_status cks_write_json(const cks_trial *trial, const cks_results *results, const cks_findings *findings,
                                  const cks_sink *sink, cks_error *error);
/* tables: places and names. */
CKS_API cks_status cks_write_template(const cks_settings *settings, const cks_tables *tables, const cks_target *target,
                                      cks_error *error);
/* The plots as understood, one row each, which read back to the same analysis; or, as_brapi, as observation units of the
 * open BrAPI specification. */
CKS_API cks_status cks_write_plots(const cks_trial *trial, bool as_brapi, const cks_sink *sink, cks_error *error);
CKS_API cks_status cks_write_csv(const cks_results *results, const cks_sink *sink, cks_error *error);
/* The report's events as iCalendar (RFC 5545). CKS_USAGE: it has none. */
CKS_API cks_status cks_write_calendar(const cks_report *report, const cks_sink *sink, cks_error *error);
/* Head-to-head: a row a trait, pair, and value of --by. */
CKS_API cks_status cks_write_versus_csv(const cks_results *results, const cks_sink *sink, cks_error *error);

#endif
