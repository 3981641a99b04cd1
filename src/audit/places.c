/*
 * places.c: what is known of each environment: from the places table, and from plot-list columns that hold one value there.
 *
 * A plot's own value goes before the place's. The year of plots without one is settled before
 * they are sorted. Out: work->year_of; then environment.place, planted, harvested, and work->place_number (n_environment x CKS_ROLE_COUNT, in the role's usual unit; NaN not given) for the derived traits.
 */
#include "audit.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static bool is_place(cks_role role) { return cks_role_find(role)->role_class == CKS_CLASS_PLACE; }

static const char *number_text(cks_audit_work *work, const cks_column *column, double value)
{
  char date[CKS_NUMBER_TEXT];
  if (column->kind == CKS_DATE) return cks_arena_text(work->arena, cks_print_date(date, value));
  const char *unit = cks_unit_text(column->unit);
  if (column->unit == CKS_UNIT_COUNT) unit = "";
  if (column->unit == CKS_UNIT_PER_AC) unit = "an acre";
  if (column->unit == CKS_UNIT_PER_HA) unit = "a hectare";
  return cks_arena_format(work->arena, "%.15g%s%s", value, *unit ? " " : "", unit);
}

typedef enum { VALUES_NONE, VALUES_ONE, VALUES_SEVERAL } values;

/* What a plot-list column holds over an environment; its one value in *number or *name. */
static values values_of(const cks_column *column, const cks_environment *e, double *number, cks_id *name)
{
  bool found = false, several = false;
  for (size_t i = e->first; i < (size_t)e->first + e->n && !several; i++) {
    if (column->number) {
      double value = column->number[i];
      if (cks_is_missing(value)) continue;
      several = found && value != *number;
      *number = value;
    } else {
      if (column->name[i] == CKS_NONE) continue;
      several = found && column->name[i] != *name;
      *name = column->name[i];
    }
    found = true;
  }
  return several ? VALUES_SEVERAL : found ? VALUES_ONE : VALUES_NONE;
}

bool cks_audit_several(const cks_column *column, const cks_environment *e)
{
  double number = NAN;
  cks_id name = CKS_NONE;
  return values_of(column, e, &number, &name) == VALUES_SEVERAL;
}

/* In the role's usual unit, so that both tables can be compared. */
static double usual_number(const cks_audit_work *work, const cks_column *column, double number)
{
  return column->kind == CKS_DATE
             ? number
             : cks_unit_convert(number, column->unit, cks_role_find(column->role)->unit, work->crop);
}

/* What is known of one environment, by role. */
typedef struct {
  const char **text; /* size CKS_ROLE_COUNT; NULL: not given */
  double *number;    /* size CKS_ROLE_COUNT, in the usual unit; NaN: not given */
  bool *several;     /* size CKS_ROLE_COUNT: the plots hold several values */
} place;

static void take(cks_audit_work *work, place *p, const cks_table *table, const cks_column *column, double number,
                 cks_id name)
{
  p->text[column->role] = column->number ? number_text(work, column, number)
                                         : cks_arena_text(work->arena, cks_names_text(&table->names, name));
  if (column->number) p->number[column->role] = usual_number(work, column, number);
}

static void from_plots(cks_audit_work *work, const cks_environment *e, place *p)
{
  for (size_t c = 0; c < work->table->n_column; c++) {
    const cks_column *column = &work->table->column[c];
    double number = NAN;
    cks_id name = CKS_NONE;
    if (!is_place(column->role)) continue;
    values held = values_of(column, e, &number, &name);
    p->several[column->role] = held == VALUES_SEVERAL;
    if (held == VALUES_ONE) take(work, p, work->table, column, number, name);
  }
}

static bool row_matches(const cks_trial *trial, const cks_environment *e, const cks_table *places, size_t row)
{
  const cks_column *location = cks_table_column(places, CKS_ROLE_LOCATION),
                   *year = cks_table_column(places, CKS_ROLE_YEAR), *name = cks_table_column(places, CKS_ROLE_TRIAL);
  if (location->name[row] == CKS_NONE) return false;
  if (!cks_audit_same(cks_names_text(&places->names, location->name[row]), trial->location[e->location])) return false;
  if (year && e->year && !cks_is_missing(year->number[row]) && year->number[row] != e->year) return false;
  return !name || !*e->trial || name->name[row] == CKS_NONE ||
         cks_audit_same(cks_names_text(&places->names, name->name[row]), e->trial);
}

/* What both the places table and the plots say, and say differently, is a finding. */
static cks_status compare_values(cks_audit_work *work, size_t row, const cks_column *column, const place *p)
{
  const cks_table *places = work->places;
  const char *own = p->text[column->role];
  double own_number = p->number[column->role], number = column->number ? column->number[row] : NAN;
  const char *other =
      column->number ? number_text(work, column, number) : cks_names_text(&places->names, column->name[row]);
  bool same = p->several[column->role] ? false
              : column->number ? fabs(own_number - usual_number(work, column, number)) <= 1e-9 * fabs(own_number)
                               : cks_audit_same(own, other);
  cks_where where = cks_table_where(places, column, row);
  if (same) return CKS_OK;
  if (p->several[column->role])
    return cks_findings_add(work->findings, CKS_RULE_VALUES_DIFFER, where, column->heading, other, work->error,
                            "%s is %s here and not one for all plots in the plot list, which is used; leave one of "
                            "them empty",
                            column->key, other);
  return cks_findings_add(work->findings, CKS_RULE_VALUES_DIFFER, where, column->heading, other, work->error,
                          "%s is %s here and %s in the plot list, which is used; correct one of them", column->key,
                          other, own);
}

/* Takes what the places table says and the plots do not. */
static cks_status from_row(cks_audit_work *work, size_t row, place *p)
{
  cks_status status = CKS_OK;
  const cks_table *places = work->places;
  for (size_t c = 0; c < places->n_column && status == CKS_OK; c++) {
    const cks_column *column = &places->column[c];
    double number = column->number ? column->number[row] : NAN;
    cks_id name = column->name ? column->name[row] : CKS_NONE;
    bool given = column->number ? !cks_is_missing(number) : name != CKS_NONE;
    if (!given || !(is_place(column->role) || column->role == CKS_ROLE_NOTE)) continue;
    if (p->text[column->role] || p->several[column->role])
      status = compare_values(work, row, column, p);
    else
      take(work, p, places, column, number, name);
    if (p->several[column->role] && column->number) /* for the plots that have none of their own */
      p->number[column->role] = usual_number(work, column, number);
  }
  return status;
}

/* The n texts' nearest, as the end of a sentence: "; did you mean 'Elm'?", else "". */
static const char *did_you_mean(cks_audit_work *work, const char *text, size_t n, const char *const *among)
{
  const char *near = cks_audit_nearest(work->arena, text, n, among);
  return near ? cks_arena_format(work->arena, "; did you mean '%s'?", near) : "";
}

static cks_status say_not_listed(cks_audit_work *work, const cks_trial *trial, const cks_environment *e)
{
  const cks_table *places = work->places;
  const cks_column *location = cks_table_column(places, CKS_ROLE_LOCATION);
  const char *name = trial->location[e->location], **all = cks_arena_take(work->arena, places->n_row + 1, sizeof *all);
  bool other = false;
  if (!all) return cks_error_nomem(work->error);
  for (size_t row = 0; row < places->n_row; row++) {
    all[row] = cks_names_text(&places->names, location->name[row]);
    other = other || cks_audit_same(all[row], name);
  }
  return cks_audit_say_all(
      work, CKS_RULE_PLACE_NOT_LISTED, "'%s' is not in the places table%s, so nothing is known of it%s", e->label,
      other ? " with its year and trial" : "", other ? "" : did_you_mean(work, name, places->n_row, all));
}

/* Two rows that only a year or trial tells apart, while the plots have none, need another cure than two equal rows. */
static cks_status say_twice(cks_audit_work *work, const cks_environment *e, size_t row, size_t before)
{
  const cks_column *year = cks_table_column(work->places, CKS_ROLE_YEAR);
  bool by_year = year && !e->year && !cks_is_missing(year->number[row]) && !cks_is_missing(year->number[before]) &&
                 year->number[row] != year->number[before];
  return cks_findings_add(
      work->findings, CKS_RULE_PLACE_TWICE, (cks_where){work->places->file[row], CKS_NONE, work->places->line[row], 0},
      NULL, NULL, work->error, "'%s' stands in the places table here and in %s; keep one row, or %s", e->label,
      cks_audit_line(work, work->places->file[before], work->places->line[before]),
      by_year ? "add a year column to the plot list, which has none to choose by" : "tell them apart by year or trial");
}

static cks_status from_places(cks_audit_work *work, const cks_trial *trial, const cks_environment *e, place *p,
                              uint8_t *used)
{
  cks_status status = CKS_OK;
  size_t found = 0, first = 0;
  for (size_t row = 0; row < work->places->n_row && status == CKS_OK; row++) {
    if (!row_matches(trial, e, work->places, row)) continue;
    used[row] = 1;
    if (found++) {
      status = say_twice(work, e, row, first);
    } else {
      first = row;
      status = from_row(work, row, p);
    }
  }
  return found || status != CKS_OK ? status : say_not_listed(work, trial, e);
}

/* Why a row of the places table has no plots. */
static const char *unused_row(cks_audit_work *work, const cks_trial *trial, const char *name)
{
  if (!*name) return "the row names no location, so it is not used";
  for (size_t i = 0; i < trial->n_location; i++)
    if (cks_audit_same(trial->location[i], name))
      return cks_arena_format(work->arena, "location '%s' has plots, but none of this year and trial", name);
  return cks_arena_format(work->arena, "location '%s' has no plots%s", name,
                          did_you_mean(work, name, trial->n_location, trial->location));
}

static cks_status report_unused(cks_audit_work *work, const cks_trial *trial, const uint8_t *used)
{
  cks_status status = CKS_OK;
  const cks_table *places = work->places;
  const cks_column *location = cks_table_column(places, CKS_ROLE_LOCATION);
  for (size_t row = 0; row < places->n_row && status == CKS_OK; row++)
    if (!used[row])
      status = cks_findings_add(work->findings, CKS_RULE_PLACE_UNKNOWN, cks_table_where(places, location, row),
                                location->heading, NULL, work->error, "%s",
                                unused_row(work, trial, cks_names_text(&places->names, location->name[row])));
  return status;
}

static int year_of_day(double day)
{
  int year, month, date;
  cks_day_date(day, &year, &month, &date);
  return year;
}

/* The year in which the places table has a location and trial ("": none) planted; 0: it does not say. */
static int32_t planted_year(const cks_audit_work *work, const char *location, const char *trial)
{
  const cks_table *places = work->places;
  const cks_column *planted = cks_table_column(places, CKS_ROLE_PLANTED);
  const cks_environment e = {.trial = trial};
  const cks_trial of = {.location = &location};
  for (size_t row = 0; row < places->n_row; row++)
    if (row_matches(&of, &e, places, row))
      return cks_is_missing(planted->number[row]) ? 0 : year_of_day(planted->number[row]);
  return 0;
}

cks_status cks_audit_place_years(cks_audit_work *work)
{
  const cks_table *places = work->places;
  if (!places || !cks_table_column(places, CKS_ROLE_LOCATION) || !cks_table_column(places, CKS_ROLE_PLANTED))
    return CKS_OK;
  size_t n_trial = work->n_trial + 1;                                     /* the last: none given */
  int32_t *known = calloc(work->n_location * n_trial + 1, sizeof *known); /* 0: not looked up; -1: no year */
  if (!known) return cks_error_nomem(work->error);
  for (size_t row = 0; row < work->table->n_row; row++) {
    if (work->left_out[row] || work->year_of[row] || work->location_of[row] == CKS_NONE) continue;
    bool named = work->trial_of && work->trial_of[row] != CKS_NONE;
    size_t trial = named ? work->trial_of[row] : work->n_trial;
    int32_t *year = &known[work->location_of[row] * n_trial + trial];
    if (!*year) *year = planted_year(work, work->location[work->location_of[row]], named ? work->trial[trial] : "");
    if (!*year) *year = -1;
    if (*year > 0) work->year_of[row] = *year;
  }
  free(known);
  return CKS_OK;
}

static bool in_year(double day, int year) { return !cks_is_missing(day) && year_of_day(day) == year; }

/* A season is named by the year of its planting or of its harvest: one of the dates must agree. */
static cks_status check_year(cks_audit_work *work, const cks_environment *e)
{
  char planted[CKS_NUMBER_TEXT], harvested[CKS_NUMBER_TEXT];
  bool dated = !cks_is_missing(e->planted) || !cks_is_missing(e->harvested);
  if (!dated || in_year(e->planted, e->year) || in_year(e->harvested, e->year)) return CKS_OK;
  cks_print_date(planted, e->planted);
  cks_print_date(harvested, e->harvested);
  return cks_audit_say_all(
      work, CKS_RULE_YEAR_DIFFERS, "the year of %s is %d, but it was planted %s%s%s; correct the year or the dates",
      e->label, e->year, *planted ? planted : "at no known date", *harvested ? " and harvested " : "", harvested);
}

cks_status cks_audit_places(cks_audit_work *work, cks_trial *trial)
{
  cks_status status = CKS_OK;
  size_t n_number = trial->n_environment * CKS_ROLE_COUNT;
  uint8_t *used = cks_arena_take(work->arena, work->places ? work->places->n_row + 1 : 1, 1);
  work->place_number = cks_arena_take(work->arena, n_number, sizeof(double));
  if (!used || !work->place_number) return cks_error_nomem(work->error);
  for (size_t i = 0; i < n_number; i++) work->place_number[i] = NAN;
  if (work->places && !cks_table_column(work->places, CKS_ROLE_LOCATION))
    return cks_audit_say_all(work, CKS_RULE_HEADING_NOT_THERE,
                             "the places table has no 'location' column; name it so, or give "
                             "--heading location=\"...\"");
  for (size_t i = 0; i < trial->n_environment && status == CKS_OK; i++) {
    cks_environment *e = &trial->environment[i];
    place p = {cks_arena_take(work->arena, CKS_ROLE_COUNT, sizeof *p.text), work->place_number + i * CKS_ROLE_COUNT,
               cks_arena_take(work->arena, CKS_ROLE_COUNT, sizeof *p.several)};
    if (!p.text || !p.several) return cks_error_nomem(work->error);
    from_plots(work, e, &p);
    if (work->places) status = from_places(work, trial, e, &p, used);
    e->place = p.text;
    e->place_number = p.number;
    e->planted = p.several[CKS_ROLE_PLANTED] ? NAN : p.number[CKS_ROLE_PLANTED];
    e->harvested = p.several[CKS_ROLE_HARVESTED] ? NAN : p.number[CKS_ROLE_HARVESTED];
    if (status == CKS_OK) status = check_year(work, e);
  }
  if (work->places && status == CKS_OK) status = report_unused(work, trial, used);
  return status == CKS_OK ? cks_arena_status(work->arena, work->error) : status;
}
