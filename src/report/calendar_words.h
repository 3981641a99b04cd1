/* calendar_words.h: days and dates of the stage calendar as people read them. */
#ifndef CKS_REPORT_CALENDAR_WORDS_H
#define CKS_REPORT_CALENDAR_WORDS_H

#include "draft.h"

const char *cks_words_day(cks_draft *draft, double day, bool with_year); /* "Jul 28", "Jul 28, 2026"; "" when missing */
/* "Jul 28 to Aug 3", "Jul 28 to Aug 3, 2026", "Dec 28, 2026 to Jan 2, 2027", one day alone; "" when one is missing. */
const char *cks_words_days(cks_draft *draft, double from, double to, bool with_year);
/* True when a date of the place falls into another year than its first, so that each must be told. */
bool cks_words_turns_year(const cks_calendar *calendar, const cks_calendar_place *place);

#endif
