/*
 * plots.c: the plots as understood: a row a plot in canonical order, our own headings with units, values in the digits that
 * read back exactly, so that the file gives the same analysis to the bit. Two layouts: ours, and the wide observation
 * units of the open BrAPI specification (version 2, observationunits/table; names of the columns from memory).
 *
 * Yields that were made of weights are written as yields with their basis; what a plot was left out for stands in
 * leave_out, with its place, plot and hybrid and without values, which the trial does not keep. A trait that only --trait
 * names must be named again.
 */
#include "csv_out.h"

#include <checkstrip/run.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { TEXT = 160 };

/* What a column holds that is no trait and no fact of a place. */
typedef enum {
  PLOT_LOCATION,
  PLOT_YEAR,
  PLOT_TRIAL,
  PLOT_REP,
  PLOT_BLOCK,
  PLOT_PLOT,
  PLOT_ROW,
  PLOT_COLUMN,
  PLOT_STRIP,
  PLOT_BRAND,
  PLOT_HYBRID,
  PLOT_MATURITY,
  PLOT_BY_GROUP,
  PLOT_CHECK,
  PLOT_CROP,
  PLOT_UNIT_NAME, /* BrAPI: a name of the plot of its own */
  PLOT_FACTS
} plot_fact;

typedef struct {
  plot_fact fact;
  const char *heading; /* NULL: that of the column of --by-group */
  bool always;         /* written even when no plot has one */
} identity;

static const identity ours[] = {
    {PLOT_LOCATION, "location", true}, {PLOT_YEAR, "year", false},     {PLOT_TRIAL, "trial", false},
    {PLOT_REP, "rep", false},          {PLOT_BLOCK, "block", false},   {PLOT_PLOT, "plot", false},
    {PLOT_ROW, "row", false},          {PLOT_COLUMN, "column", false}, {PLOT_STRIP, "strip", false},
    {PLOT_BRAND, "brand", false},      {PLOT_HYBRID, "hybrid", true},  {PLOT_MATURITY, "maturity", false},
    {PLOT_BY_GROUP, NULL, false},      {PLOT_CHECK, "check", false},   {PLOT_CROP, "crop", true},
};
static const identity brapi[] = {
    {PLOT_TRIAL, "studyName", false},
    {PLOT_LOCATION, "locationName", true},
    {PLOT_YEAR, "year", false},
    {PLOT_HYBRID, "germplasmName", true},
    {PLOT_CHECK, "entryType", true},
    {PLOT_UNIT_NAME, "observationUnitName", true},
    {PLOT_REP, "REP", false},
    {PLOT_BLOCK, "BLOCK", false},
    {PLOT_PLOT, "PLOT", false},
    {PLOT_COLUMN, "positionCoordinateX", false},
    {PLOT_ROW, "positionCoordinateY", false},
    {PLOT_CROP, "commonCropName", true},
};

typedef struct {
  const cks_trial *trial;
  bool brapi;
  const identity *identity;
  size_t n_identity;
  bool *shown;      /* size n_identity */
  bool *fact_shown; /* size n_fact of the trial */
  bool *place;      /* size CKS_ROLE_COUNT: facts of places that are written */
  cks_csv_out out;
} job;

/* ---- one cell --------------------------------------------------------------------------------------------------- */

/* The fewest digits that read back as the same number. */
static const char *exact(char text[TEXT], double value)
{
  *text = '\0';
  for (int digits = 15; !cks_is_missing(value) && digits <= 17; digits++) {
    snprintf(text, TEXT, "%.*g", digits, value);
    if (strtod(text, NULL) == value) break;
  }
  return text;
}

static const char *position(char text[TEXT], const int32_t *at, size_t plot)
{
  *text = '\0';
  if (at && at[plot] != INT32_MIN) snprintf(text, TEXT, "%d", (int)at[plot]);
  return text;
}

static const char *named(const char *const *names, const uint32_t *of, size_t plot)
{
  return of && of[plot] != CKS_NONE ? names[of[plot]] : "";
}

/* The cell's text: one that stands in the trial, or made in `room`. */
static const char *identity_text(const job *j, plot_fact fact, size_t plot, char room[TEXT])
{
  const cks_trial *t = j->trial;
  const cks_environment *e = &t->environment[t->environment_of[plot]];
  const cks_hybrid *h = &t->hybrid[t->hybrid_of[plot]];
  *room = '\0';
  switch (fact) {
  case PLOT_LOCATION:
    return t->location[e->location];
  case PLOT_YEAR:
    if (e->year) snprintf(room, TEXT, "%d", e->year);
    return room;
  case PLOT_TRIAL:
    return e->trial;
  case PLOT_REP:
    return named(t->rep, t->rep_of, plot);
  case PLOT_BLOCK:
    return named(t->block, t->block_of, plot);
  case PLOT_PLOT:
    return t->plot_of ? cks_names_text(&t->names, t->plot_of[plot]) : "";
  case PLOT_ROW:
    return position(room, t->row, plot);
  case PLOT_COLUMN:
    return position(room, t->column, plot);
  case PLOT_STRIP:
    return position(room, t->strip, plot);
  case PLOT_BRAND:
    return h->brand;
  case PLOT_HYBRID:
    return j->brapi ? h->full : h->bare;
  case PLOT_MATURITY:
    return h->maturity;
  case PLOT_BY_GROUP:
    return t->by_group.own && t->by_group.name[h->by_group] ? t->by_group.name[h->by_group] : "";
  case PLOT_CHECK:
    return j->brapi ? (h->check ? "CHECK" : "TEST") : h->check ? "yes" : "";
  case PLOT_CROP:
    return t->crop->label;
  case PLOT_UNIT_NAME:
    snprintf(room, TEXT, "%.90s/%zu", e->label, plot - e->first + 1);
    return room;
  case PLOT_FACTS:
    break;
  }
  return "";
}

static const char *fact_text(const cks_trial *t, const cks_plot_fact *fact, size_t plot, char room[TEXT])
{
  if (fact->name) return cks_names_text(&t->names, fact->name[plot]);
  if (cks_role_find(fact->role)->kind == CKS_DATE) return cks_print_date(room, fact->number[plot]);
  return exact(room, fact->number[plot]);
}

static const char *place_text(const cks_environment *e, cks_role role, char room[TEXT])
{
  cks_kind kind = cks_role_find(role)->kind;
  *room = '\0';
  if (kind == CKS_NAME) return e->place[role] ? e->place[role] : "";
  return kind == CKS_DATE ? cks_print_date(room, e->place_number[role]) : exact(room, e->place_number[role]);
}

/* ---- headings --------------------------------------------------------------------------------------------------- */

static const char *with_unit(char text[TEXT], const char *name, cks_unit unit)
{
  const char *word = cks_unit_text(unit);
  snprintf(text, TEXT, *word ? "%s (%s)" : "%s", name, word);
  return text;
}

/* The trait's unit in this layout; BrAPI: grain yield in kg/ha. */
static cks_unit unit_of(const job *j, const cks_trait *trait)
{
  bool yield = cks_unit_dimension(trait->unit) == CKS_DIM_YIELD;
  return j->brapi && yield ? CKS_UNIT_KG_HA : trait->unit;
}

/* "aphid (1-9, 1 best)", "yield (bu/ac, at 14 %)", "lodging 2026-10-03 (%)", "anthracnose disease (%)". */
static const char *trait_heading(const job *j, const cks_trait *trait, char text[TEXT])
{
  const cks_role_fact *fact = cks_role_find(trait->role);
  const char *unit = cks_unit_text(unit_of(j, trait));
  bool scaled = !cks_is_missing(trait->scale_low),
       disease = trait->role == CKS_ROLE_DISEASE && strcmp(trait->key, fact->key) != 0;
  bool says_end = trait->better != fact->better || (scaled && trait->better != CKS_BETTER_NONE);
  bool score = trait->unit == CKS_UNIT_SCORE;
  size_t n = (size_t)snprintf(text, TEXT, "%.90s%s", trait->label, disease ? " disease" : "");
  const char *between = " (";
#define ADD(...)                                                                                                       \
  do {                                                                                                                 \
    n += (size_t)snprintf(text + n, TEXT - n, "%s", between);                                                          \
    n += (size_t)snprintf(text + n, TEXT - n, __VA_ARGS__);                                                            \
    between = ", ";                                                                                                    \
  } while (0)
  if (*unit && !score) ADD("%s", unit);
  if (!cks_is_missing(trait->basis_pct)) ADD("at %.6g %%", trait->basis_pct);
  if (scaled) ADD("%.6g-%.6g", trait->scale_low, trait->scale_high);
  if (says_end && scaled)
    ADD("%.6g best", trait->better == CKS_BETTER_LOW ? trait->scale_low : trait->scale_high);
  else if (says_end && trait->better != CKS_BETTER_NONE)
    ADD("%s best", trait->better == CKS_BETTER_LOW ? "low" : "high");
#undef ADD
  if (*between == ',') snprintf(text + n, TEXT - n, ")");
  return text;
}

static void put_headings(job *j)
{
  const cks_trial *t = j->trial;
  char text[TEXT];
  for (size_t i = 0; i < j->n_identity; i++)
    if (j->shown[i]) cks_csv_text(&j->out, j->identity[i].heading ? j->identity[i].heading : t->by_group.heading);
  for (size_t i = 0; i < t->n_fact; i++)
    if (j->fact_shown[i])
      cks_csv_text(&j->out, t->fact[i].heading ? t->fact[i].heading
                                               : with_unit(text, cks_role_find(t->fact[i].role)->key, t->fact[i].unit));
  for (int role = 0; role < CKS_ROLE_COUNT; role++)
    if (j->place[role]) {
      const cks_role_fact *fact = cks_role_find((cks_role)role);
      cks_csv_text(&j->out, with_unit(text, fact->key, fact->kind == CKS_NUMBER ? fact->unit : CKS_UNIT_NONE));
    }
  for (size_t i = 0; i < t->n_trait; i++) cks_csv_text(&j->out, trait_heading(j, &t->trait[i], text));
  if (t->n_left_out && !j->brapi) cks_csv_text(&j->out, "leave_out");
  cks_csv_row_end(&j->out);
}

/* ---- rows ------------------------------------------------------------------------------------------------------- */

static void put_plot(job *j, size_t plot)
{
  const cks_trial *t = j->trial;
  const cks_environment *e = &t->environment[t->environment_of[plot]];
  char room[TEXT];
  for (size_t i = 0; i < j->n_identity; i++)
    if (j->shown[i]) cks_csv_text(&j->out, identity_text(j, j->identity[i].fact, plot, room));
  for (size_t i = 0; i < t->n_fact; i++)
    if (j->fact_shown[i]) cks_csv_text(&j->out, fact_text(t, &t->fact[i], plot, room));
  for (int role = 0; role < CKS_ROLE_COUNT; role++)
    if (j->place[role]) cks_csv_text(&j->out, place_text(e, (cks_role)role, room));
  for (size_t i = 0; i < t->n_trait; i++) {
    const cks_trait *trait = &t->trait[i];
    cks_unit unit = unit_of(j, trait);
    double value = trait->value[plot];
    cks_csv_text(&j->out,
                 exact(room, unit == trait->unit ? value : cks_unit_convert(value, trait->unit, unit, t->crop)));
  }
  if (t->n_left_out && !j->brapi) cks_csv_text(&j->out, "");
  cks_csv_row_end(&j->out);
}

static void put_left_out(job *j, const cks_left_out *left)
{
  const cks_trial *t = j->trial;
  size_t more = t->n_trait;
  for (size_t i = 0; i < j->n_identity; i++) {
    plot_fact fact = j->identity[i].fact;
    if (!j->shown[i]) continue;
    cks_csv_text(&j->out, fact == PLOT_LOCATION ? left->location
                          : fact == PLOT_PLOT   ? left->plot
                          : fact == PLOT_HYBRID ? left->hybrid
                                                : "");
  }
  for (size_t i = 0; i < t->n_fact; i++) more += j->fact_shown[i];
  for (int role = 0; role < CKS_ROLE_COUNT; role++) more += j->place[role];
  for (size_t i = 0; i < more; i++) cks_csv_text(&j->out, "");
  cks_csv_text(&j->out, left->reason);
  cks_csv_row_end(&j->out);
}

/* ---- which columns ---------------------------------------------------------------------------------------------- */

static bool is_fact(const cks_trial *t, int role)
{
  bool found = false;
  for (size_t i = 0; i < t->n_fact; i++) found |= (int)t->fact[i].role == role;
  return found;
}

static void choose_columns(job *j)
{
  const cks_trial *t = j->trial;
  char room[TEXT];
  for (size_t i = 0; i < j->n_identity; i++) {
    j->shown[i] = j->identity[i].always;
    for (size_t p = 0; p < t->n_plot && !j->shown[i]; p++)
      j->shown[i] = *identity_text(j, j->identity[i].fact, p, room) != '\0';
  }
  for (size_t i = 0; i < t->n_fact && !j->brapi; i++)
    for (size_t p = 0; p < t->n_plot && !j->fact_shown[i]; p++)
      j->fact_shown[i] = *fact_text(t, &t->fact[i], p, room) != '\0';
  for (int role = 0; role < CKS_ROLE_COUNT && !j->brapi; role++) {
    bool own = cks_role_find((cks_role)role)->role_class == CKS_CLASS_PLACE && !is_fact(t, role);
    for (size_t e = 0; own && e < t->n_environment; e++) j->place[role] |= t->environment[e].place[role] != NULL;
  }
}

cks_status cks_write_plots(const cks_trial *trial, bool as_brapi, const cks_sink *sink, cks_error *error)
{
  bool shown[PLOT_FACTS] = {false}, place[CKS_ROLE_COUNT] = {false};
  job *j = calloc(1, sizeof *j); /* its stream holds a large buffer */
  bool *fact_shown = calloc(trial->n_fact + 1, sizeof *fact_shown);
  cks_status status = j && fact_shown ? CKS_OK : cks_error_nomem(error);
  if (status != CKS_OK) goto done;
  j->trial = trial;
  j->brapi = as_brapi;
  j->identity = as_brapi ? brapi : ours;
  j->n_identity = as_brapi ? sizeof brapi / sizeof *brapi : sizeof ours / sizeof *ours;
  j->shown = shown;
  j->fact_shown = fact_shown;
  j->place = place;
  choose_columns(j);
  cks_stream_begin(&j->out.stream, sink, error);
  put_headings(j);
  for (size_t p = 0; p < trial->n_plot; p++) put_plot(j, p);
  for (size_t i = 0; i < trial->n_left_out && !as_brapi; i++) put_left_out(j, &trial->left_out[i]);
  status = cks_stream_end(&j->out.stream);
done:
  free(fact_shown);
  free(j);
  return status;
}
