/* calendar_words.c: see calendar_words.h. */
#include "calendar_words.h"

static int year_of(double day)
{
  int year, month, date;
  cks_day_date(day, &year, &month, &date);
  return year;
}

const char *cks_words_day(cks_draft *draft, double day, bool with_year)
{
  static const char *const months[] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                       "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
  int year, month, date;
  if (cks_is_missing(day)) return "";
  cks_day_date(day, &year, &month, &date);
  return with_year ? cks_arena_format(draft->arena, "%s %d, %d", months[month - 1], date, year)
                   : cks_arena_format(draft->arena, "%s %d", months[month - 1], date);
}

const char *cks_words_days(cks_draft *draft, double from, double to, bool with_year)
{
  if (cks_is_missing(from) || cks_is_missing(to)) return "";
  const char *first = cks_words_day(draft, from, with_year && (from == to || year_of(from) != year_of(to)));
  return from < to ? cks_arena_format(draft->arena, "%s to %s", first, cks_words_day(draft, to, with_year)) : first;
}

bool cks_words_turns_year(const cks_calendar *calendar, const cks_calendar_place *place)
{
  int first = 0;
  bool turns = false;
  for (size_t i = place->first; i < place->first + place->n_row; i++)
    for (size_t s = 0; s < CKS_CALENDAR_STAGES; s++) {
      const cks_stage_date *date = &calendar->row[i].stage[s];
      if (date->how == CKS_DATED_NOT) continue;
      if (!first) first = year_of(date->low);
      turns |= year_of(date->low) != first || year_of(date->high) != first;
    }
  return turns;
}
