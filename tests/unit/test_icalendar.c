/*
 * test_icalendar.c: the stage calendar as a phone opens it: read by libical, an independent parser of RFC 5545, which checks
 * also what each component must and may have; lines and characters by the text of RFC 5545, section 3.1.
 */
#include "support/support.h"

#include <libical/ical.h>
#include <stdlib.h>
#include <string.h>

#define HEAD   "location,year,hybrid,check,mid-bloom (date)\n"
#define PLACES "location,planted,harvested,county\n"

static const char plots[] = HEAD "A,2026,Ash,yes,2026-07-11\nA,2026,Bay,,2026-07-13\nB,2026,Ash,yes,2026-12-20\n";
static const char places[] = PLACES "A,2026-05-18,2026-09-30,Marl\nB,2026-10-20,,\n";

static const char *crop; /* NULL: grain sorghum */

static cks_status write_calendar(const char *csv, const char *side, const char *date, test_text *text, cks_error *error)
{
  test_bytes list = {csv, strlen(csv), 0}, beside = {side, strlen(side), 0};
  cks_source source = test_source("plots.csv", &list), place = test_source("places.csv", &beside);
  cks_target target = {CKS_FORMAT_CALENDAR, NULL, test_sink(text)};
  cks_findings *findings = NULL;
  cks_settings settings;
  cks_settings_defaults(&settings);
  settings.crop = crop;
  settings.places = &place;
  settings.date = date;
  assert_int_equal(cks_findings_new(&findings, NULL), CKS_OK);
  cks_status status = cks_run(&settings, 1, &source, 1, &target, findings, error);
  cks_findings_free(findings);
  return status;
}

static char *calendar_of(const char *csv, const char *side, const char *date)
{
  test_text text = {0};
  cks_error error = {0};
  if (write_calendar(csv, side, date, &text, &error) != CKS_OK) fail_msg("%s", error.text);
  return text.text;
}

/* Parsed; fails the test when libical finds a fault. */
static icalcomponent *parsed(const char *text)
{
  icalcomponent *calendar = icalparser_parse_string(text);
  assert_non_null(calendar);
  assert_int_equal(icalcomponent_isa(calendar), ICAL_VCALENDAR_COMPONENT);
  assert_int_equal(icalcomponent_count_errors(calendar), 0);
  assert_true(icalrestriction_check(calendar));
  assert_int_equal(icalcomponent_count_errors(calendar), 0); /* the check leaves its faults there */
  return calendar;
}

/* What RFC 5545, 3.6 and 3.6.1 require, once each; libical lets some of it be missing where no method is given. */
static void calendar_when_parsed_then_what_is_required_stands_once(void **state)
{
  (void)state;
  static const icalproperty_kind of_calendar[] = {ICAL_PRODID_PROPERTY, ICAL_VERSION_PROPERTY},
                                 of_event[] = {ICAL_UID_PROPERTY,        ICAL_DTSTAMP_PROPERTY, ICAL_DTSTART_PROPERTY,
                                               ICAL_DTEND_PROPERTY,      ICAL_SUMMARY_PROPERTY, ICAL_LOCATION_PROPERTY,
                                               ICAL_DESCRIPTION_PROPERTY};
  char *text = calendar_of(plots, places, NULL);
  icalcomponent *calendar = parsed(text);
  for (size_t i = 0; i < sizeof of_calendar / sizeof *of_calendar; i++)
    assert_int_equal(icalcomponent_count_properties(calendar, of_calendar[i]), 1);
  assert_int_equal(icalcomponent_count_properties(calendar, ICAL_METHOD_PROPERTY), 0);
  for (icalcomponent *e = icalcomponent_get_first_component(calendar, ICAL_VEVENT_COMPONENT); e;
       e = icalcomponent_get_next_component(calendar, ICAL_VEVENT_COMPONENT))
    for (size_t i = 0; i < sizeof of_event / sizeof *of_event; i++)
      assert_int_equal(icalcomponent_count_properties(e, of_event[i]), 1);
  assert_int_equal(icalcomponent_count_properties(calendar, ICAL_X_PROPERTY), 0);
  icalcomponent_free(calendar);
  free(text);
}

/* The event number `at`. */
static icalcomponent *event(icalcomponent *calendar, int at)
{
  icalcomponent *found = icalcomponent_get_first_component(calendar, ICAL_VEVENT_COMPONENT);
  while (found && at--) found = icalcomponent_get_next_component(calendar, ICAL_VEVENT_COMPONENT);
  assert_non_null(found);
  return found;
}

static void assert_days(icalcomponent *e, const char *start, const char *end)
{
  struct icaltimetype from = icalcomponent_get_dtstart(e), to = icalcomponent_get_dtend(e);
  assert_true(from.is_date && to.is_date);
  assert_string_equal(icaltime_as_ical_string(from), start);
  assert_string_equal(icaltime_as_ical_string(to), end);
}

static void calendar_when_parsed_then_two_events_a_place_with_their_days(void **state)
{
  (void)state;
  char *text = calendar_of(plots, places, NULL);
  icalcomponent *calendar = parsed(text);
  assert_int_equal(icalcomponent_count_components(calendar, ICAL_VEVENT_COMPONENT), 4);
  assert_int_equal(icalcomponent_count_components(calendar, ICAL_ANY_COMPONENT), 4);
  /* soft to hard dough of both: July 23 to August 5; the end is the day after */
  assert_days(event(calendar, 0), "20260723", "20260806");
  assert_string_equal(icalcomponent_get_summary(event(calendar, 0)), "Field days: A");
  assert_string_equal(icalcomponent_get_location(event(calendar, 0)), "A, Marl");
  assert_non_null(strstr(icalcomponent_get_description(event(calendar, 0)), "2 of 2 hybrids"));
  assert_non_null(strstr(icalcomponent_get_description(event(calendar, 0)), "\nAsh (check): Jul 21 to Aug 5"));
  /* usual harvest moisture 58 days after bloom: July 11 and 13 */
  assert_days(event(calendar, 1), "20260907", "20260910");
  assert_non_null(strstr(icalcomponent_get_description(event(calendar, 1)), "Harvested Sep 30, 2026."));
  /* over the year's end: 10 to 25 days after December 20 */
  assert_days(event(calendar, 2), "20261230", "20270115");
  assert_string_equal(icalcomponent_get_location(event(calendar, 2)), "B");
  icalcomponent_free(calendar);
  free(text);
}

/* Common practice, no source: silage is cut near soft dough, and no grain of it is dried. */
static void calendar_when_of_a_forage_then_the_caution_and_no_dry_grain(void **state)
{
  (void)state;
  crop = "forage-sorghum";
  char *text = calendar_of(plots, places, NULL);
  crop = NULL;
  icalcomponent *calendar = parsed(text);
  assert_int_equal(icalcomponent_count_components(calendar, ICAL_VEVENT_COMPONENT), 2);
  for (int i = 0; i < 2; i++) {
    assert_non_null(strstr(icalcomponent_get_summary(event(calendar, i)), "Field days: "));
    assert_non_null(strstr(icalcomponent_get_description(event(calendar, i)), CKS_FORAGE_CAUTION));
  }
  icalcomponent_free(calendar);
  free(text);
}

static const char *stamp_of(icalcomponent *calendar)
{
  return icaltime_as_ical_string(icalcomponent_get_dtstamp(event(calendar, 0)));
}

static void stamp_when_a_date_is_given_then_that_else_the_last_of_the_data(void **state)
{
  (void)state;
  static const char *const cases[][2] = {{NULL, "20261220T000000Z"}, /* the last mid-bloom */
                                         {"2027-01-05", "20270105T000000Z"},
                                         {"January 5", "20261220T000000Z"}};
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    char *text = calendar_of(plots, places, cases[i][0]);
    icalcomponent *calendar = parsed(text);
    assert_string_equal(stamp_of(calendar), cases[i][1]);
    icalcomponent_free(calendar);
    free(text);
  }
}

/* The same names in every run, also when the days are others, and no two alike. */
static void uids_when_written_again_then_the_same_and_each_its_own(void **state)
{
  (void)state;
  char *first = calendar_of(plots, places, NULL), *again = calendar_of(plots, places, NULL),
       *moved = calendar_of(HEAD "A,2026,Ash,yes,2026-07-19\nB,2026,Ash,yes,2026-12-28\n", places, NULL);
  assert_string_equal(first, again);
  icalcomponent *a = parsed(first), *b = parsed(moved);
  for (int i = 0; i < 4; i++) {
    const char *uid = icalcomponent_get_uid(event(a, i));
    assert_string_equal(uid, icalcomponent_get_uid(event(b, i)));
    assert_non_null(strstr(uid, "@checkstrip.invalid"));
    for (int j = 0; j < i; j++) assert_string_not_equal(uid, icalcomponent_get_uid(event(a, j)));
  }
  assert_days(event(b, 0), "20260729", "20260814");
  icalcomponent_free(a);
  icalcomponent_free(b);
  free(first);
  free(again);
  free(moved);
}

/* Names with what must be escaped, and with characters of two, three and four octets around the fold. */
static void text_when_names_are_odd_then_read_back_as_they_are(void **state)
{
  (void)state;
  static const char name[] = "Cold; Draw, \\n \xC3\xA9t\xC3\xA9 \xE2\x82\xAC\xE2\x82\xAC\xE2\x82\xAC\xE2\x82\xAC "
                             "\xF0\x9F\x8C\xBE\xF0\x9F\x8C\xBE\xF0\x9F\x8C\xBE\xF0\x9F\x8C\xBE\xF0\x9F\x8C\xBE north "
                             "of the creek, beyond the second gate";
  test_text list = {0}, side = {0};
  const char *const list_parts[] = {"location,hybrid,check,mid-bloom (date)\n\"", name, "\",Ash,yes,2026-07-11\n"};
  const char *const side_parts[] = {"location,planted\n\"", name, "\",2026-05-18\n"};
  cks_sink to_list = test_sink(&list), to_side = test_sink(&side);
  for (size_t i = 0; i < 3; i++) {
    assert_int_equal(to_list.put(to_list.to, list_parts[i], strlen(list_parts[i]), NULL), CKS_OK);
    assert_int_equal(to_side.put(to_side.to, side_parts[i], strlen(side_parts[i]), NULL), CKS_OK);
  }
  char *text = calendar_of(list.text, side.text, NULL);
  icalcomponent *calendar = parsed(text);
  assert_string_equal(icalcomponent_get_location(event(calendar, 0)), name);
  icalcomponent_free(calendar);
  size_t folds = 0;
  for (char *line = text; *line;) { /* RFC 5545, 3.1: CRLF, at most 75 octets before it */
    char *end = strstr(line, "\r\n");
    assert_non_null(end);
    assert_true(end - line <= 75);
    assert_null(memchr(line, '\n', (size_t)(end - line)));
    assert_true(cks_is_utf8(line, (size_t)(end - line)));
    folds += *line == ' ';
    line = end + 2;
  }
  assert_true(folds > 4);
  free(text);
  test_text_release(&list);
  test_text_release(&side);
}

static void calendar_when_there_is_nothing_to_tell_then_refused_and_why(void **state)
{
  (void)state;
  static const struct {
    const char *csv, *why;
  } cases[] = {{"location,hybrid,yield (bu/ac)\nA,Ash,90\n", "neither days to mid-bloom nor stages"},
               {"location,crop,hybrid,mid-bloom (date)\nA,corn,Ash,2026-07-11\n", "those of sorghum"},
               {"location,hybrid,days to mid-bloom\nC,Ash,60\n", "no place has a date"}};
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    test_text text = {0};
    cks_error error = {0};
    assert_int_equal(write_calendar(cases[i].csv, places, NULL, &text, &error), CKS_USAGE);
    if (!strstr(error.text, cases[i].why)) fail_msg("'%s' lacks '%s'", error.text, cases[i].why);
    assert_int_equal(text.n, 0);
    test_text_release(&text);
  }
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(calendar_when_parsed_then_what_is_required_stands_once),
      cmocka_unit_test(calendar_when_parsed_then_two_events_a_place_with_their_days),
      cmocka_unit_test(calendar_when_of_a_forage_then_the_caution_and_no_dry_grain),
      cmocka_unit_test(stamp_when_a_date_is_given_then_that_else_the_last_of_the_data),
      cmocka_unit_test(uids_when_written_again_then_the_same_and_each_its_own),
      cmocka_unit_test(text_when_names_are_odd_then_read_back_as_they_are),
      cmocka_unit_test(calendar_when_there_is_nothing_to_tell_then_refused_and_why),
  };
  return cmocka_run_group_tests(tests, test_start, NULL);
}
