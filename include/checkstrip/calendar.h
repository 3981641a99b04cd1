/*
 * calendar.h: the stages of sorghum from boot to harvest moisture, as dates of each hybrid at each environment: observed, or
 * expected as a range, with what it is counted from. All days are whole day numbers; one that does not exist is NaN.
 */
#ifndef CHECKSTRIP_CALENDAR_H
#define CHECKSTRIP_CALENDAR_H

#include <checkstrip/trial.h>

/* Stages of a calendar: from boot on. */
enum { CKS_CALENDAR_FIRST = CKS_STAGE_BOOT, CKS_CALENDAR_STAGES = CKS_STAGE_COUNT - CKS_STAGE_BOOT };

typedef enum {
  CKS_DATED_NOT,      /* no date */
  CKS_DATED_OBSERVED, /* low, usual and high are the day */
  CKS_DATED_DAYS,     /* by published days before or after another stage */
  CKS_DATED_PLACES,   /* mid-bloom, by the hybrid's days at its other environments */
  CKS_DATED_HEAT      /* by heat units of the calendar's scheme; harvest moisture: to black layer, then by days */
} cks_dated;

typedef struct {
  double low, usual, high; /* usual: NaN where no source names a middle */
  cks_dated how;
  cks_stage from;       /* DAYS, HEAT: the stage, or the origin, that it is counted from */
  uint16_t normal_days; /* HEAT: of the days to usual (to high, where there is none), those of the normal */
  bool due;             /* expected by the day of --as-of, and not observed */
} cks_stage_date;

typedef struct {
  cks_id environment, hybrid;                /* of trial and results */
  uint32_t n_other;                          /* environments behind a mid-bloom that is dated by PLACES */
  cks_stage_date stage[CKS_CALENDAR_STAGES]; /* by stage - CKS_CALENDAR_FIRST */
  double field_from, field_to;               /* from soft to hard dough, usual days: the upper head is coloring */
} cks_calendar_row;

/* What keeps heat units from being used at a place. */
typedef enum {
  CKS_HEAT_USED, /* nothing, or no scheme is asked for */
  CKS_HEAT_NO_WEATHER,
  CKS_HEAT_NO_ORIGIN, /* no date of the scheme's origin: mid-bloom is not predicted here */
  CKS_HEAT_NO_DAYS    /* a day is missing, or the weather ends and there is no normal */
} cks_heat_lack;

typedef struct {
  cks_id environment;
  double origin; /* of days to mid-bloom; NaN: not given, or not one for all plots */
  cks_heat_lack lack;
  size_t first, n_row;              /* rows [first, first + n_row) of the calendar */
  uint32_t n_without;               /* hybrids that grow here and have no date */
  double field_from, field_to;      /* the days on which most hybrids stand between soft and hard dough */
  double field_low, field_high;     /* the earliest soft dough and the latest hard dough of all ranges */
  uint32_t field_most, field_of;    /* how many of how many that have both stages */
  double harvest_from, harvest_to;  /* first and last of the hybrids' usual days of harvest moisture, of a
                                      hybrid without one its range */
  double harvest_low, harvest_high; /* the earliest and the latest of their ranges */
} cks_calendar_place;

typedef struct {
  const char *why;                /* "" or why there is no row: a part of a sentence */
  const cks_stage_scheme *scheme; /* NULL: days only */
  double as_of;                   /* later observations are not used; NaN: all are */
  double last_date;               /* the last date in the data, as_of at the latest; NaN: none */
  size_t n_place, n_row;
  cks_calendar_place *place; /* size n_place: every environment, in the trial's order */
  cks_calendar_row *row;     /* size n_row, by environment, then hybrid */
} cks_calendar;

/* Stage of a row. */
CKS_API const cks_stage_date *cks_calendar_stage(const cks_calendar_row *row, cks_stage stage);
/* What the date of a stage rests on: the sources of its days, or of the scheme; *then: the source of a second part, else
 * NULL. NULL: observed, or by the hybrid's own days. */
CKS_API const char *cks_calendar_source(const cks_calendar *calendar, const cks_calendar_row *row, cks_stage stage,
                                        const char **then);
/* Where the width of its range comes from; CKS_WIDTH_COUNT likewise. */
CKS_API cks_width cks_calendar_width(const cks_calendar_row *row, cks_stage stage);

#endif
