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

/* Of a head-to-head: some pair met; of maturity: days to mid-bloom somewhere. */
static bool has_result(const cks_settings *settings, const cks_results *results)
{
  bool any = false;
  for (size_t i = 0; i < results->n_trait; i++) {
    const cks_trait_result *t = &results->trait[i];
    if (settings->question == CKS_ASK_VERSUS) any = any || has_meeting(&t->versus);
    if (settings->question == CKS_ASK_VERSUS) continue;
    if (settings->question == CKS_ASK_MATURITY && t->role != CKS_ROLE_DAYS_TO_MID_BLOOM) continue;
    for (size_t j = 0; j < t->n_location; j++) any = any || t->location[j].method != CKS_METHOD_NONE;
  }
  return any;
}

static const char NO_BLOOM[] = "no days to mid-bloom anywhere: give mid_bloom and planted (or emerged) dates, or a "
                               "days_to_mid_bloom column";
static const char *const no_result[] = {[CKS_ASK_ALL] = "no trait gave a result anywhere",
                                        [CKS_ASK_VERSUS] = "no place has values of two such hybrids, in any trait",
                                        [CKS_ASK_MATURITY] = NO_BLOOM};

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
    return settings->question == CKS_ASK_VERSUS ? cks_write_versus_csv(results, &target->sink, error)
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
  if (status == CKS_OK && settings->n_weather)
    status =
        cks_read_weather(settings, settings->n_weather, settings->weather, false, findings, &tables.weather, error);
  if (status == CKS_OK && settings->normal)
    status = cks_read_weather(settings, 1, settings->normal, true, findings, &tables.normal, error);
  if (status == CKS_OK) status = cks_read_check(settings, &tables, findings, error);
  if (status == CKS_OK) status = cks_audit(settings, &tables, findings, &trial, error);
  cks_table_free(tables.plots);
  cks_table_free(tables.places);
  cks_table_free(tables.names);
  cks_table_free(tables.weather);
  cks_table_free(tables.normal);
  if (status == CKS_OK) status = cks_analyze(settings, trial, findings, &results, error);
  cks_findings_sort(findings);
  bool text = wants(CKS_FORMAT_TEXT, n_target, targets), workbook = wants(CKS_FORMAT_WORKBOOK, n_target, targets);
  bool calendar = wants(CKS_FORMAT_CALENDAR, n_target, targets);
  if (status == CKS_OK && (text || workbook || calendar))
    status = cks_report_new(settings, trial, results, findings, !workbook && !settings->full, &report, error);
  for (size_t i = 0; i < n_target && status == CKS_OK; i++)
    status = write_target(settings, trial, results, report, findings, &targets[i], error);
  if (status == CKS_OK && !settings->audit_only && !has_result(settings, results))
    status = cks_error_set(error, CKS_MODEL, "%s", no_result[settings->question]);
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
