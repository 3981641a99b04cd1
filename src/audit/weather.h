/* weather.h: what the steps from weather tables to the weather of the trial's places share. */
#ifndef CKS_AUDIT_WEATHER_H
#define CKS_AUDIT_WEATHER_H

#include "audit.h"

/* One row of a table, its place settled. */
typedef struct {
  uint32_t place; /* index into cks_trial.location; n_location: of all places */
  double day;     /* day number; in a normal the day of a leap year, from 0 */
  double high, low;
  cks_degrees degrees;
  cks_where where;
  const char *file; /* its name */
} cks_audit_day;

typedef struct {
  cks_audit_day *day; /* size n_row of the table, n filled; by place, then day */
  size_t n;
  bool normal; /* days of the year */
} cks_audit_days;

/* weather.c: the rows of a table as days in order; what is wrong with one row, column or file is found here. */
cks_status cks_audit_read_days(cks_audit_work *work, const cks_trial *trial, const cks_table *table,
                               cks_audit_days *days);
/* weather_place.c: days [first, end) of one place as its series, arrays in the arena; n 0: no day has both a high and a
 * low. Days that stand twice, that are missing, or far apart are found here. */
cks_status cks_audit_weather_place(cks_audit_work *work, const cks_trial *trial, const cks_audit_days *days,
                                   size_t first, size_t end, cks_weather_place *place);
/* normal.c: trial->weather.normal for the places that stand in trial->weather, from the normal table or other years; days:
 * those of the weather, for the names of their files. */
cks_status cks_audit_normals(cks_audit_work *work, cks_trial *trial, const cks_audit_days *days);
/* "Creek", or "all places": whose a day is. */
const char *cks_audit_weather_name(const cks_trial *trial, uint32_t place);

#endif
