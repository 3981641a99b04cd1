/* calendar.h: the stage calendar as the document of json.c holds it. */
#ifndef CKS_WRITE_CALENDAR_H
#define CKS_WRITE_CALENDAR_H

#include "../core/json.h"

#include <checkstrip/run.h>

/* The members "calendar", "field_days" and "calendar_why" of the object that is open. */
void cks_json_calendar(cks_json *json, const cks_trial *trial, const cks_results *results);

#endif
