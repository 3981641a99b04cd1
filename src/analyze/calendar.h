/* calendar.h: results.calendar, from the analyses of days to mid-bloom and what the plots say; see calendar.c. */
#ifndef CKS_ANALYZE_CALENDAR_H
#define CKS_ANALYZE_CALENDAR_H

#include "analyze.h"

cks_status cks_calendar_check(const cks_task *task); /* CKS_USAGE: settings.scheme is not known */
/* The date that days to mid-bloom count from at an environment; NaN: not given there. */
double cks_count_origin(const cks_trial *trial, const cks_environment *environment);
cks_status cks_calendar_analyze(const cks_task *task);

#endif
