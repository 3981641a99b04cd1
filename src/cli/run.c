/*
 * run.c: opens what a call names, runs it, and makes every output appear or none.
 */
#include "cli.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* What an output's ending asks for; of two that fit the first. */
typedef struct {
  const char *ending;
  cks_format format;
} ending;
static const ending of_results[] = {{".xlsx", CKS_FORMAT_WORKBOOK},
                                    {".json", CKS_FORMAT_JSON},
                                    {".csv", CKS_FORMAT_CSV},
                                    {".ics", CKS_FORMAT_CALENDAR},
                                    {NULL, 0}};
static const ending of_versus[] = {
    {".xlsx", CKS_FORMAT_WORKBOOK}, {".json", CKS_FORMAT_JSON}, {".csv", CKS_FORMAT_CSV}, {NULL, 0}};
static const ending of_plots[] = {{".brapi.csv", CKS_FORMAT_BRAPI}, {".csv", CKS_FORMAT_PLOTS}, {NULL, 0}};
static const ending of_template[] = {{".xlsx", CKS_FORMAT_WORKBOOK}, {".csv", CKS_FORMAT_CSV}, {NULL, 0}};

typedef struct {
  cks_source *source;  /* size call->n_file */
  cks_source *weather; /* size call->weather.n */
  cks_source places, names, normal;
  cks_output **output; /* size call->n_out */
  cks_target *target;  /* size call->n_out, or one for the screen */
  size_t n_target;
  cks_findings *findings;
} run;

static int code_of(cks_status status)
{
  static const int codes[CKS_STATUS_COUNT] = {
      [CKS_OK] = CLI_DONE,      [CKS_NOMEM] = CLI_FAILED,    [CKS_IO] = CLI_FAILED,         [CKS_SYNTAX] = CLI_REFUSED,
      [CKS_DATA] = CLI_REFUSED, [CKS_MODEL] = CLI_NO_RESULT, [CKS_NUMERIC] = CLI_NO_RESULT, [CKS_LIMIT] = CLI_FAILED,
      [CKS_USAGE] = CLI_USAGE,  [CKS_INTERNAL] = CLI_FAILED};
  return codes[status];
}

/* The input that an output would write over; NULL: none. */
static const char *input_at(const cli_call *call, const char *path)
{
  const char *const beside[] = {call->places, call->names, call->normal};
  for (size_t i = 0; i < sizeof beside / sizeof *beside; i++)
    if (beside[i] && cks_file_same(beside[i], path)) return beside[i];
  for (size_t i = 0; i < call->n_file; i++)
    if (cks_file_same(call->file[i], path)) return call->file[i];
  for (size_t i = 0; i < call->weather.n; i++)
    if (cks_file_same(call->weather.path[i], path)) return call->weather.path[i];
  return NULL;
}

/* The format of an output, by its ending. An input that is also an output is refused: nothing is ever lost. */
static int format_of(const cli_call *call, const char *path, const ending *endings, cks_format *format)
{
  size_t n = strlen(path);
  const char *input = input_at(call, path);
  for (size_t i = 0; i < call->n_out; i++)
    if (call->out[i] != path && cks_file_same(call->out[i], path))
      return cli_say("-o %s is given twice", path), CLI_USAGE;
  if (input && !strcmp(input, path)) return cli_say("'%s' is an input; write to another name", path), CLI_USAGE;
  if (input) return cli_say("'%s' is the input '%s'; write to another name", path, input), CLI_USAGE;
  for (const ending *e = endings; e->ending; e++) {
    size_t m = strlen(e->ending);
    if (n > m && !strcmp(path + n - m, e->ending)) {
      *format = e->format;
      return CLI_DONE;
    }
  }
  cli_say("%s%s: the ending chooses the format; expected %s",
          endings == of_results || endings == of_versus ? "-o " : "", path,
          endings == of_results  ? ".xlsx, .json, .csv or .ics"
          : endings == of_versus ? ".xlsx, .json or .csv"
          : endings == of_plots  ? ".csv or .brapi.csv"
                                 : ".xlsx or .csv");
  return CLI_USAGE;
}

static int open_outputs(const cli_call *call, const ending *endings, run *r, cks_error *error)
{
  int code = CLI_DONE;
  for (size_t i = 0; i < call->n_out && code == CLI_DONE; i++)
    code = format_of(call, call->out[i], endings, &r->target[i].format);
  for (size_t i = 0; i < call->n_out && code == CLI_DONE; i++) {
    code = code_of(cks_output_open(call->out[i], &r->output[i], error));
    if (code == CLI_DONE) {
      r->target[i].scratch_path = cks_output_scratch(r->output[i]);
      r->target[i].sink = cks_output_sink(r->output[i]);
    }
  }
  r->n_target = call->n_out;
  if (!call->n_out && (endings == of_results || endings == of_versus)) {
    r->target[0] = (cks_target){CKS_FORMAT_TEXT, NULL, cks_file_stdout()};
    r->n_target = 1;
  }
  return code;
}

static int open_inputs(const cli_call *call, run *r, cks_error *error)
{
  int code = CLI_DONE;
  for (size_t i = 0; i < call->n_file && code == CLI_DONE; i++)
    code = code_of(cks_file_open(call->file[i], &r->source[i], error));
  if (call->places && code == CLI_DONE) code = code_of(cks_file_open(call->places, &r->places, error));
  if (call->names && code == CLI_DONE) code = code_of(cks_file_open(call->names, &r->names, error));
  for (size_t i = 0; i < call->weather.n && code == CLI_DONE; i++)
    code = code_of(cks_file_open(call->weather.path[i], &r->weather[i], error));
  if (call->normal && code == CLI_DONE) code = code_of(cks_file_open(call->normal, &r->normal, error));
  return code;
}

/* Every output closed and checked before the first is renamed. */
static int commit_outputs(const cli_call *call, run *r, cks_error *error)
{
  int code = CLI_DONE;
  for (size_t i = 0; i < call->n_out && code == CLI_DONE; i++) code = code_of(cks_output_close(r->output[i], error));
  for (size_t i = 0; i < call->n_out && code == CLI_DONE; i++) code = code_of(cks_output_commit(r->output[i], error));
  for (size_t i = 0; i < call->n_out && code == CLI_DONE && !call->quiet; i++)
    fprintf(stderr, "wrote %s\n", call->out[i]);
  return code;
}

/* Findings down to the given severity, a line each. */
static void print_findings(const cks_findings *findings, cks_severity least, FILE *to)
{
  cks_arena *arena = cks_arena_new();
  for (size_t i = 0; arena && i < findings->n; i++)
    if (findings->finding[i].severity <= least)
      fprintf(to, "%s\n", cks_finding_line(findings, &findings->finding[i], arena));
  cks_arena_free(arena);
}

static void print_count(const cks_findings *findings, FILE *to)
{
  const size_t *n = findings->n_severity;
  fprintf(to, "%zu error%s, %zu warning%s, %zu note%s\n", n[CKS_ERROR], n[CKS_ERROR] == 1 ? "" : "s", n[CKS_WARNING],
          n[CKS_WARNING] == 1 ? "" : "s", n[CKS_NOTE], n[CKS_NOTE] == 1 ? "" : "s");
}

static int finish(const cli_call *call, bool audit_only, run *r, int code, cks_error *error)
{
  bool wrote = code == CLI_DONE || code == CLI_NO_RESULT;
  if (wrote) {
    int committed = commit_outputs(call, r, error);
    if (committed != CLI_DONE) code = committed;
  }
  if (audit_only) {
    print_findings(r->findings, CKS_NOTE, stdout);
    if (code != CLI_USAGE) print_count(r->findings, stdout);
  } else if (code == CLI_REFUSED) {
    print_findings(r->findings, CKS_ERROR, stderr);
  } else if (call->n_out && !call->quiet) {
    fputs("data: ", stderr);
    print_count(r->findings, stderr);
  }
  if (code == CLI_DONE && call->settings.strict && r->findings->n_severity[CKS_WARNING]) {
    if (!call->quiet) cli_say("--strict: there are warnings");
    code = CLI_REFUSED;
  }
  if (error->status != CKS_OK && !(audit_only && error->status == CKS_DATA)) cli_say("%s", error->text);
  return code;
}

static void release(const cli_call *call, run *r)
{
  for (size_t i = 0; r->source && i < call->n_file; i++) cks_file_close(&r->source[i]);
  for (size_t i = 0; r->output && i < call->n_out; i++) cks_output_free(r->output[i]);
  cks_file_close(&r->places);
  cks_file_close(&r->names);
  for (size_t i = 0; r->weather && i < call->weather.n; i++) cks_file_close(&r->weather[i]);
  cks_file_close(&r->normal);
  cks_findings_free(r->findings);
  free(r->source);
  free(r->weather);
  free(r->output);
  free(r->target);
}

/* Opens everything; a template needs no file. */
static int open_all(const cli_call *call, const ending *endings, run *r, cks_settings *settings, cks_error *error)
{
  r->source = calloc(call->n_file + 1, sizeof *r->source);
  r->weather = calloc(call->weather.n + 1, sizeof *r->weather);
  r->output = calloc(call->n_out + 1, sizeof *r->output);
  r->target = calloc(call->n_out + 1, sizeof *r->target);
  int code = r->source && r->weather && r->output && r->target ? code_of(cks_findings_new(&r->findings, error))
                                                               : code_of(cks_error_nomem(error));
  if (code == CLI_DONE) code = open_inputs(call, r, error);
  if (code == CLI_DONE) code = open_outputs(call, endings, r, error);
  if (call->places) settings->places = &r->places;
  if (call->names) settings->names = &r->names;
  settings->n_weather = call->weather.n;
  settings->weather = r->weather;
  if (call->normal) settings->normal = &r->normal;
  return code;
}

static int run_call(const cli_call *call)
{
  cks_error error = {0};
  run r = {0};
  if (!call->n_file && call->settings.versus_a)
    return cli_say("name two hybrids and then at least one file; 'checkstrip help versus' shows how"), CLI_USAGE;
  if (!call->n_file) return cli_say("name at least one file; 'checkstrip help' shows how"), CLI_USAGE;
  cks_settings settings = call->settings;
  bool audit_only = settings.audit_only;
  const ending *endings = audit_only ? of_plots : settings.question == CKS_ASK_VERSUS ? of_versus : of_results;
  int code = open_all(call, endings, &r, &settings, &error);
  if (code == CLI_DONE) {
    code = code_of(cks_run(&settings, call->n_file, r.source, r.n_target, r.target, r.findings, &error));
    code = finish(call, audit_only, &r, code, &error);
  } else if (error.status != CKS_OK) {
    cli_say("%s", error.text);
  }
  release(call, &r);
  return code;
}

static int write_template(const cli_call *call)
{
  cks_error error = {0};
  run r = {0};
  if (call->n_file || call->fix) return cli_say("--template reads no FILE and goes without --fix"), CLI_USAGE;
  cks_settings settings = call->settings;
  int code = open_all(call, of_template, &r, &settings, &error);
  if (code == CLI_DONE) {
    code = code_of(cks_template(&settings, r.target, r.findings, &error));
    code = finish(call, true, &r, code, &error);
    if (code == CLI_DONE && !call->quiet)
      cli_say("the plots stand in the order of the names, NOT randomized; number them as your field is laid out");
  } else if (error.status != CKS_OK) {
    cli_say("%s", error.text);
  }
  release(call, &r);
  return code;
}

int cli_summarize(const cli_call *call) { return run_call(call); }

int cli_versus(const cli_call *call)
{
  cli_call with = *call;
  with.settings.question = CKS_ASK_VERSUS;
  return run_call(&with);
}

int cli_maturity(const cli_call *call)
{
  cli_call with = *call;
  with.settings.question = CKS_ASK_MATURITY;
  return run_call(&with);
}

int cli_audit(const cli_call *call)
{
  cli_call with = *call;
  const char *out = call->template_to ? call->template_to : call->fix;
  with.out = &out;
  with.n_out = out ? 1 : 0;
  with.settings.audit_only = true;
  return call->template_to ? write_template(&with) : run_call(&with);
}
