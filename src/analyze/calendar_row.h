/* calendar_row.h: the dates of one hybrid at one environment, from what was observed of it; see calendar_row.c. */
#ifndef CKS_ANALYZE_CALENDAR_ROW_H
#define CKS_ANALYZE_CALENDAR_ROW_H

#include <checkstrip/results.h>

/* What a row is counted from. */
typedef struct {
  const cks_trial *trial;
  const cks_environment *environment;
  const cks_stage_scheme *scheme; /* NULL: days */
  double as_of;                   /* NaN: none; later weather is not used */
  double scheme_origin;           /* day of the scheme's origin; NaN: not given */
  double seen[CKS_STAGE_COUNT];   /* day observed; NaN: none */
  cks_figure elsewhere;           /* day of mid-bloom by the hybrid's days at other environments; NaN: none */
} cks_calendar_known;

/* Fills stage, field_from and field_to of the row; *lack becomes CKS_HEAT_NO_DAYS when heat units were asked for, are
 * there, and do not reach, so that days are used. False: the row has no date. */
bool cks_calendar_row_fill(const cks_calendar_known *known, cks_calendar_row *row, cks_heat_lack *lack);

#endif
