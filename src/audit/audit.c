/*
 * audit.c: cks_table to cks_trial, or findings. The steps in their order; each is a file of this folder.
 *
 * With an error among the findings there is no trial: the findings say what to mend. What is left out, warned of or noted
 * travels on with the results.
 */
#include "audit.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

void cks_trial_free(cks_trial *trial)
{
  if (!trial) return;
  for (size_t i = 0; i < trial->n_trait; i++) {
    free(trial->trait[i].value);
    free(trial->trait[i].line);
    free(trial->trait[i].file);
  }
  free(trial->hybrid_of);
  free(trial->environment_of);
  free(trial->rep_of);
  free(trial->block_of);
  free(trial->row);
  free(trial->column);
  free(trial->strip);
  free(trial->plot_of);
  for (size_t i = 0; i < trial->n_fact; i++) {
    free(trial->fact[i].number);
    free(trial->fact[i].name);
  }
  for (size_t k = 0; k < trial->n_cut; k++) {
    free(trial->cut[k].day);
    free(trial->cut[k].height_in);
    free(trial->cut[k].moisture_pct);
    free(trial->cut[k].stage);
  }
  for (size_t i = 0; i < trial->n_content; i++) {
    free(trial->content[i].value);
    free(trial->content[i].dry_ppm);
  }
  free(trial->line);
  free(trial->file);
  cks_names_release(&trial->names);
  cks_arena_free(trial->arena);
  free(trial);
}

cks_where cks_trial_where(const cks_trial *trial, const cks_trait *trait, size_t plot)
{
  return (cks_where){trait->file ? trait->file[plot] : trial->file[plot], CKS_NONE,
                     trait->line ? trait->line[plot] : trial->line[plot], 0};
}

/* The places table has its own left_out, so that its units are judged by the same rules. */
static cks_status check_places_units(cks_audit_work *work)
{
  if (!work->places) return CKS_OK;
  cks_audit_work places = *work;
  places.table = work->places;
  places.left_out = calloc(work->places->n_row + 1, 1);
  if (!places.left_out) return cks_error_nomem(work->error);
  cks_status status = cks_audit_column_units(&places);
  free(places.left_out);
  return status;
}

static bool has_errors(const cks_audit_work *work) { return work->findings->n_severity[CKS_ERROR] > 0; }

/* What stands in the table itself; the last step needs all rows to have a hybrid and a place. */
static cks_status check_table(cks_audit_work *work)
{
  cks_status status = cks_audit_names(work);
  if (status == CKS_OK) status = cks_audit_leave_out(work);
  if (status == CKS_OK) status = cks_audit_units(work);
  if (status == CKS_OK) status = check_places_units(work);
  if (status == CKS_OK) status = cks_audit_unused(work);
  if (status == CKS_OK) status = cks_audit_cells(work);
  if (status == CKS_OK && !work->unit_wrong) status = cks_audit_observers(work);
  if (status == CKS_OK) status = cks_audit_joined(work);
  if (status == CKS_OK) status = cks_audit_hybrids(work);
  if (status == CKS_OK && work->hybrid_of && work->settings->question == CKS_ASK_VERSUS) status = cks_audit_versus(work);
  if (status == CKS_OK && work->hybrid_of && work->settings->by_group) status = cks_audit_groups(work);
  if (status == CKS_OK && work->hybrid_of) status = cks_audit_identity(work);
  if (status == CKS_OK && work->hybrid_of && work->location_of) status = cks_audit_cuts(work);
  return status;
}

static void take(void *to, void *from)
{
  memcpy(to, from, sizeof(void *));
  memset(from, 0, sizeof(void *));
}

/* Is a column kept plot by plot? A fact of the place is when some environment has no one value of it. */
static bool is_plot_fact(const cks_trial *trial, const cks_column *column)
{
  static const cks_role own[] = {CKS_ROLE_ENTRY, CKS_ROLE_CODE,  CKS_ROLE_TREATMENT,
                                 CKS_ROLE_NOTE,  CKS_ROLE_STAGE, CKS_ROLE_STAGE_DATE};
  for (size_t i = 0; i < sizeof own / sizeof *own; i++)
    if (column->role == own[i]) return true;
  const cks_role_fact *fact = cks_role_find(column->role);
  if (fact->role_class != CKS_CLASS_PLACE || strcmp(column->key, fact->key)) return false; /* or of one cut */
  for (size_t e = 0; e < trial->n_environment; e++)
    if (cks_audit_several(column, &trial->environment[e])) return true;
  return false;
}

/* "stage_2026_09_01": the day behind a role's key; NaN when there is none. */
static double day_of(const cks_column *column)
{
  const char *role = cks_role_find(column->role)->key;
  char text[CKS_NUMBER_TEXT] = "";
  double day = NAN;
  size_t n = strlen(role);
  if (!strncmp(column->key, role, n) && column->key[n] == '_' && strlen(column->key + n + 1) < sizeof text)
    strcpy(text, column->key + n + 1);
  for (char *c = text; *c; c++)
    if (*c == '_') *c = '-';
  return cks_day_read(text, &day) ? day : NAN;
}

static cks_plot_fact fact_of(const cks_audit_work *work, const cks_column *column)
{
  cks_plot_fact fact = {.role = column->role,
                        .day = day_of(column),
                        .unit = column->unit,
                        .number = column->number,
                        .name = column->name};
  if (!isnan(fact.day)) fact.heading = cks_arena_text(work->arena, column->heading);
  return fact;
}

/* Moves from the table what the trial keeps. */
static cks_status take_columns(cks_audit_work *work, cks_trial *trial)
{
  cks_table *table = work->table;
  cks_column *plot = cks_table_column(table, CKS_ROLE_PLOT);
  trial->fact = cks_arena_take(work->arena, table->n_column + 1, sizeof *trial->fact);
  if (!trial->fact) return cks_error_nomem(work->error);
  for (size_t i = 0; i < table->n_column; i++) {
    cks_column *column = &table->column[i];
    if (!is_plot_fact(trial, column)) continue;
    trial->fact[trial->n_fact++] = fact_of(work, column);
    column->number = NULL;
    column->name = NULL;
  }
  if (plot) take(&trial->plot_of, &plot->name);
  take(&trial->line, &table->line);
  take(&trial->file, &table->file);
  trial->names = table->names;
  table->names = (cks_names){0};
  return CKS_OK;
}

/* What stands in the plots, once they are in order. Goes on past errors, so that one run reports all. */
static cks_status check_plots(cks_audit_work *work, cks_trial *trial)
{
  cks_status status = cks_audit_build(work, trial);
  if (status != CKS_OK || !trial->n_plot) return status;
  status = cks_audit_places(work, trial);
  if (status == CKS_OK && work->settings->by) status = cks_audit_by(work, trial);
  if (status == CKS_OK && (work->weather || work->normal)) status = cks_audit_weather(work, trial);
  if (status == CKS_OK) status = cks_audit_derive(work, trial);
  if (status == CKS_OK && work->crop->forage) status = cks_audit_forage(work, trial);
  if (status == CKS_OK) status = cks_audit_traits(work, trial);
  if (status == CKS_OK) status = cks_audit_stages(work);
  if (status == CKS_OK) status = take_columns(work, trial);
  if (status == CKS_OK) status = cks_audit_ties(work, trial);
  if (status == CKS_OK) status = cks_audit_design(work, trial);
  return status == CKS_OK ? cks_audit_strip_order(work, trial) : status;
}

static void release(cks_audit_work *work)
{
  cks_audit_names_release(work);
  free(work->left_out);
  free(work->reason);
  free(work->hybrid_of);
  free(work->location_of);
  free(work->trial_of);
  free(work->rep_of);
  free(work->block_of);
  free(work->cut_of);
  free(work->year_of);
}

cks_status cks_audit(const cks_settings *settings, const cks_tables *tables, cks_findings *findings, cks_trial **out,
                     cks_error *error)
{
  *out = NULL;
  cks_status status = CKS_OK;
  cks_trial *trial = calloc(1, sizeof *trial);
  if (!trial || !(trial->arena = cks_arena_new())) {
    free(trial);
    return cks_error_nomem(error);
  }
  cks_audit_work work = {.settings = settings,
                         .table = tables->plots,
                         .places = tables->places,
                         .names = tables->names,
                         .weather = tables->weather,
                         .normal = tables->normal,
                         .findings = findings,
                         .error = error,
                         .arena = trial->arena,
                         .yield_basis = NAN,
                         .yield_text = "",
                         .forage_basis = NAN,
                         .forage_text = "",
                         .season_text = ""};
  trial->count_origin = "planting";
  if (work.table->n_row) status = check_table(&work);
  bool ready = status == CKS_OK && work.hybrid_of && work.location_of && !work.several_cuts;
  if (ready) status = check_plots(&work, trial);
  release(&work);
  if (status == CKS_OK && (!ready || !trial->n_plot) && !has_errors(&work))
    status = cks_findings_add(findings, CKS_RULE_EMPTY_TABLE, CKS_NOWHERE, NULL, NULL, error,
                              "no plot is left to analyze; check the files "
                              "and what --without, --only and leave_out leave");
  if (status == CKS_OK && has_errors(&work))
    status = cks_error_set(error, CKS_DATA, "%zu error%s in the data; nothing was analyzed",
                           findings->n_severity[CKS_ERROR], findings->n_severity[CKS_ERROR] == 1 ? "" : "s");
  if (status == CKS_OK)
    *out = trial;
  else
    cks_trial_free(trial);
  return status;
}
