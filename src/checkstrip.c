/*
 * checkstrip.c: the whole flow: files -> read -> audit -> analyze -> report -> write. Start reading here.
 */
#include <checkstrip.h>

#include <math.h>

void cks_settings_defaults(cks_settings *settings)
{
  *settings = (cks_settings){.alpha = 0.05,
                             .moisture_pct = NAN,
                             .cv_limit = 20,
                             .min_environments = 0.5,
                             .as_of = NAN,
                             .order = CKS_ORDER_DEFAULT,
                             .paper = "letter"};
}

static bool has_meeting(const cks_versus *versus)
{
  bool any = false;
  for (size_t i = 0; i < versus->n_row; i++) any = any || versus->row[i].n > 0;
  return any;
}

/* Of a head-to-head: some pair met. */
static bool has_result(const cks_settings *settings, const cks_results *results)
{
  bool any = false;
  for (size_t i = 0; i < results->n_trait; i++) {
    const cks_trait_result *t = &results->trait[i];
    for (size_t j = 0; j < t->n_location && !settings->versus_only; j++)
      any = any || t->location[j].method != CKS_METHOD_NONE;
    any = any || (settings->versus_only && has_meeting(&t->versus));
  }
  return any;
}

static bool wants(cks_format format, size_t n_target, const cks_target *targets)
{
  bool any = false;
  for (size_t i = 0; i < n_target; i++) any = any || targets[i].format == format;
  return any;
}

static cks_status write_target(const cks_settings *settings, const cks_trial *trial, const cks_results *results,
                               const cks_report *report, const cks_findings *findings, const cks_target *target,
                               cks_error *error)
{
  switch (target->format) {
  case CKS_FORMAT_TEXT:
    return cks_write_text(report, settings->full, &target->sink, error);
  case CKS_FORMAT_WORKBOOK:
    return cks_write_workbook(report, target->scratch_path, error);
  case CKS_FORMAT_JSON:
    return cks_write_json(trial, results, findings, &target->sink, error);
  case CKS_FORMAT_CSV:
    return settings->versus_only ? cks_write_versus_csv(results, &target->sink, error)
                                 : cks_write_csv(results, &target->sink, error);
  case CKS_FORMAT_CALENDAR:
    return cks_write_calendar(report, &target->sink, error);
  case CKS_FORMAT_PLOTS:
  case CKS_FORMAT_BRAPI:
    return cks_write_plots(trial, target->format == CKS_FORMAT_BRAPI, &target->sink, error);
  }
  return cks_error_set(error, CKS_INTERNAL, "a target of no known format");
}

cks_status cks_run(const cks_settings *settings, size_t n_source, const cks_source *sources, size_t n_target,
                   const cks_target *targets, cks_findings *findings, cks_error *error)
{
  cks_tables tables = {0};
  cks_trial *trial = NULL;
  cks_results *results = NULL;
  cks_report *report = NULL;
  if (settings->all_findings) findings->limit = SIZE_MAX;
  cks_status status = cks_read(settings, n_source, sources, findings, &tables.plots, error);
  if (status == CKS_OK && settings->places)
    status = cks_read_side(settings, settings->places, "location", findings, &tables.places, error);
  if (status == CKS_OK && settings->names)
    status = cks_read_side(settings, settings->names, "name", findings, &tables.names, error);
  if (status == CKS_OK) status = cks_read_check(settings, &tables, findings, error);
  if (status == CKS_OK) status = cks_audit(settings, &tables, findings, &trial, error);
  cks_table_free(tables.plots);
  cks_table_free(tables.places);
  cks_table_free(tables.names);
  if (status == CKS_OK) status = cks_analyze(settings, trial, findings, &results, error);
  cks_findings_sort(findings);
  bool text = wants(CKS_FORMAT_TEXT, n_target, targets), workbook = wants(CKS_FORMAT_WORKBOOK, n_target, targets);
  bool calendar = wants(CKS_FORMAT_CALENDAR, n_target, targets);
  if (status == CKS_OK && (text || workbook || calendar))
    status = cks_report_new(settings, trial, results, findings, !workbook && !settings->full, &report, error);
  for (size_t i = 0; i < n_target && status == CKS_OK; i++)
    status = write_target(settings, trial, results, report, findings, &targets[i], error);
  if (status == CKS_OK && !settings->audit_only && !has_result(settings, results))
    status = cks_error_set(error, CKS_MODEL,
                           settings->versus_only ? "no place has values of two such hybrids, in any trait"
                                                 : "no trait gave a result anywhere");
  cks_report_free(report);
  cks_results_free(results);
  cks_trial_free(trial);
  return status;
}

cks_status cks_template(const cks_settings *settings, const cks_target *target, cks_findings *findings,
                        cks_error *error)
{
  cks_tables tables = {0};
  cks_status status = CKS_OK;
  if (!settings->places || !settings->names || !(settings->reps >= 1))
    return cks_error_set(error, CKS_USAGE, "a template needs --places, --names and --reps");
  status = cks_read_side(settings, settings->places, "location", findings, &tables.places, error);
  if (status == CKS_OK) status = cks_read_side(settings, settings->names, "name", findings, &tables.names, error);
  cks_findings_sort(findings);
  if (status == CKS_OK && findings->n_severity[CKS_ERROR])
    status = cks_error_set(error, CKS_DATA, "errors in the places or names table; no template was written");
  if (status == CKS_OK) status = cks_write_template(settings, &tables, target, error);
  cks_table_free(tables.places);
  cks_table_free(tables.names);
  return status;
}
