/*
 * test_out_of_memory.c: for every n the n-th allocation of a run fails. The run ends with CKS_NOMEM and its sentence,
 * or gives to the byte what it gives without a failure; and nothing of ours is left: no memory, no open file, no
 * half-built result.
 *
 * The program is linked with --wrap (oom_flags in the Makefile), so the calls of our objects come here, and those of
 * libcsv and expat through their hooks. What other shared libraries ask for themselves is not seen and never fails. A piece of an
 * arena counts as an allocation too: arenas take large blocks, so on a small input few pieces would ever be refused.
 */
#include "../../src/math/reml.h"
#include "support/make_plots.h"
#include "support/make_xlsx.h"
#include "support/support.h"

#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

/* ---- an allocator that fails at will ---------------------------------------------------------------------------- */

void *__real_malloc(size_t size);
void *__real_calloc(size_t count, size_t size);
void *__real_realloc(void *memory, size_t size);
char *__real_strdup(const char *text);
void __real_free(void *memory);
void *__real_cks_arena_take(cks_arena *arena, size_t count, size_t size);
void *__wrap_malloc(size_t size);
void *__wrap_calloc(size_t count, size_t size);
void *__wrap_realloc(void *memory, size_t size);
char *__wrap_strdup(const char *text);
void __wrap_free(void *memory);
void *__wrap_cks_arena_take(cks_arena *arena, size_t count, size_t size);

enum { MOST_LIVE = 4096 };
static const size_t NEVER = SIZE_MAX;

static struct {
  bool watching;
  bool all_later;       /* those after fails_at fail too */
  size_t fails_at, met; /* the allocation that fails; allocations met */
  size_t unknown;       /* freed without being live: twice, or not ours */
  size_t n_live;
  void *live[MOST_LIVE];
} heap;

static void watch(size_t fails_at, bool all_later)
{
  heap.watching = true;
  heap.fails_at = fails_at;
  heap.all_later = all_later;
  heap.met = heap.unknown = heap.n_live = 0;
}

static bool fails(void)
{
  if (!heap.watching) return false;
  size_t now = heap.met++;
  return now == heap.fails_at || (now > heap.fails_at && heap.all_later);
}

static void *keep(void *memory)
{
  if (!heap.watching || !memory) return memory;
  if (heap.n_live == MOST_LIVE) abort(); /* the test needs a longer list */
  return heap.live[heap.n_live++] = memory;
}

static void forget(const void *memory)
{
  if (!heap.watching || !memory) return;
  size_t i = heap.n_live;
  while (i > 0 && heap.live[i - 1] != memory) i--;
  if (i > 0)
    heap.live[i - 1] = heap.live[--heap.n_live];
  else
    heap.unknown++;
}

void *__wrap_malloc(size_t size) { return fails() ? NULL : keep(__real_malloc(size)); }
void *__wrap_calloc(size_t count, size_t size) { return fails() ? NULL : keep(__real_calloc(count, size)); }
char *__wrap_strdup(const char *text) { return fails() ? NULL : keep(__real_strdup(text)); }

void *__wrap_realloc(void *memory, size_t size)
{
  if (fails()) return NULL;
  forget(memory);
  return keep(__real_realloc(memory, size));
}

void __wrap_free(void *memory)
{
  forget(memory);
  __real_free(memory);
}

/* The product overflows: the arena refuses it and remembers. */
void *__wrap_cks_arena_take(cks_arena *arena, size_t count, size_t size)
{
  return fails() ? __real_cks_arena_take(arena, SIZE_MAX, 2) : __real_cks_arena_take(arena, count, size);
}

/* ---- the run ---------------------------------------------------------------------------------------------------- */

/* Invented. Quell is spelled in two ways (a warning), its last plot is left out. */
static const char plots_csv[] =
    "location,year,rep,plot,hybrid,check,Plot weight (lb),Moisture (%),Mid-bloom (date),leave_out\n"
    "Alder Flat,2026,1,101,Tamsel 8,yes,21.4,14.1,2026-07-21,\n"
    "Alder Flat,2026,1,102,Orlin 3,,24.9,15.0,2026-07-25,\n"
    "Alder Flat,2026,1,103,Quell 12,,22.6,14.6,2026-07-23,\n"
    "Alder Flat,2026,2,201,Quell-12,,23.5,14.4,2026-07-24,\n"
    "Alder Flat,2026,2,202,Tamsel 8,yes,20.8,14.2,2026-07-20,\n"
    "Alder Flat,2026,2,203,Orlin 3,,25.8,15.3,2026-07-26,\n"
    "Bram Hill,2026,1,101,Orlin 3,,17.0,13.6,2026-07-29,\n"
    "Bram Hill,2026,1,102,Tamsel 8,yes,15.2,12.9,2026-07-25,\n"
    "Bram Hill,2026,1,103,Quell 12,,16.9,13.3,2026-07-28,\n"
    "Bram Hill,2026,2,201,Tamsel 8,yes,14.7,13.1,2026-07-25,\n"
    "Bram Hill,2026,2,202,Quell 12,,15.8,13.2,2026-07-27,\n"
    "Bram Hill,2026,2,203,Orlin 3,,17.9,13.8,2026-07-30,\n"
    "Bram Hill,2026,2,204,Quell 12,,3.1,13.0,2026-07-28,cattle\n";
static const char names_csv[] = "seen_as,hybrid,brand,code,maturity,check,seed cost,print\n"
                                "T 8,Tamsel 8,Tamsel,,early,*,190,\n"
                                "Orlin 3,Orlin 3 R,Orlin,,late,,210,Orlin 3 R (new)\n"
                                ",Verrow A,,17,,,,\n";
static const char places_csv[] = "location,planted,harvest_length (ft),rows_harvested,row_spacing (in),note\n"
                                 "Alder Flat,2026-05-18,28,2,30,\"two inches of water, in July\"\n"
                                 "Bram Hill,2026-05-27,25,2,30,\n";

/* Days in F and in C, one twice, one missing; a location without plots; a normal by month and day. */
static const char weather_csv[] = "date,location,high (F),low (F)\n2026-05-18,Alder Flat,80,60\n"
                                  "2026-05-19,Alder Flat,82,60\n2026-05-22,alder-flat,84,61\n2026-05-19,Creek,84,61\n";
static const char daily_csv[] = "date,high (C),low\n2026-05-22,28.9,16.1\n2026-05-23,30,20\n";
static const char normal_csv[] = "month,day,high (F),low (F)\n5,24,80,60\n2,28,60,40\n3,1,62,40\n";

typedef struct {
  test_bytes plots_bytes, places_bytes, names_bytes, weather_bytes[2], normal_bytes;
  cks_source plots, places, names, weather[2], normal;
  cks_settings settings;
} input;

static void input_begin(input *in)
{
  in->plots_bytes = (test_bytes){plots_csv, sizeof plots_csv - 1, 0};
  in->places_bytes = (test_bytes){places_csv, sizeof places_csv - 1, 0};
  in->plots = test_source("plots.csv", &in->plots_bytes);
  in->places = test_source("places.csv", &in->places_bytes);
  cks_settings_defaults(&in->settings);
  in->names_bytes = (test_bytes){names_csv, sizeof names_csv - 1, 0};
  in->names = test_source("names.csv", &in->names_bytes);
  in->settings.places = &in->places;
  in->settings.names = &in->names;
  in->weather_bytes[0] = (test_bytes){weather_csv, sizeof weather_csv - 1, 0};
  in->weather_bytes[1] = (test_bytes){daily_csv, sizeof daily_csv - 1, 0};
  in->normal_bytes = (test_bytes){normal_csv, sizeof normal_csv - 1, 0};
  in->weather[0] = test_source("weather.csv", &in->weather_bytes[0]);
  in->weather[1] = test_source("alder-flat-weather.csv", &in->weather_bytes[1]);
  in->normal = test_source("normal.csv", &in->normal_bytes);
  in->settings.weather = in->weather;
  in->settings.n_weather = 2;
  in->settings.normal = &in->normal;
  in->settings.full = true;
}

static void append_file(test_text *to, const char *path)
{
  char piece[4096];
  cks_sink sink = test_sink(to);
  FILE *file = fopen(path, "rb");
  assert_non_null(file);
  for (size_t n; (n = fread(piece, 1, sizeof piece, file)) > 0;) sink.put(sink.to, piece, n, NULL);
  fclose(file);
}

/* A plot list through a whole run. */
static cks_status run_list(const char *text, const cks_settings *settings, size_t n_target, const cks_target *targets,
                           cks_error *error)
{
  test_bytes bytes = {text, strlen(text), 0};
  cks_source source = test_source("plots.csv", &bytes);
  cks_findings *findings = NULL;
  cks_status status = cks_findings_new(&findings, error);
  if (status == CKS_OK) status = cks_run(settings, 1, &source, n_target, targets, findings, error);
  cks_findings_free(findings);
  return status;
}

/* The whole flow to every format: the bytes of all outputs in *out; the workbook stands in path too. */
static cks_status run_whole(const char *path, test_text *out, cks_error *error)
{
  input in;
  input_begin(&in);
  const cks_target targets[] = {{CKS_FORMAT_JSON, NULL, test_sink(out)},
                                {CKS_FORMAT_CSV, NULL, test_sink(out)},
                                {CKS_FORMAT_TEXT, NULL, test_sink(out)},
                                {CKS_FORMAT_WORKBOOK, path, {0}}};
  cks_findings *findings = NULL;
  cks_status status = cks_findings_new(&findings, error);
  if (status == CKS_OK)
    status = cks_run(&in.settings, 1, &in.plots, sizeof targets / sizeof *targets, targets, findings, error);
  cks_findings_free(findings);
  return status;
}

/* The stages one by one. A stage that failed must hand on NULL, one that did not must not; else CKS_INTERNAL. */
static cks_status run_stages(const char *path, test_text *out, cks_error *error)
{
  (void)path;
  (void)out;
  input in;
  input_begin(&in);
  cks_findings *findings = NULL;
  cks_tables tables = {0};
  cks_trial *trial = NULL;
  cks_results *results = NULL;
  cks_report *report = NULL;
  int n_done = 0;
  cks_status status = cks_findings_new(&findings, error);
  if (status == CKS_OK) n_done++, status = cks_read(&in.settings, 1, &in.plots, findings, &tables.plots, error);
  if (status == CKS_OK)
    n_done++, status = cks_read_side(&in.settings, &in.places, "location", findings, &tables.places, error);
  if (status == CKS_OK)
    n_done++, status = cks_read_side(&in.settings, &in.names, "name", findings, &tables.names, error);
  if (status == CKS_OK)
    n_done++, status = cks_read_weather(&in.settings, 2, in.weather, false, findings, &tables.weather, error);
  if (status == CKS_OK)
    n_done++, status = cks_read_weather(&in.settings, 1, &in.normal, true, findings, &tables.normal, error);
  if (status == CKS_OK && (status = cks_read_check(&in.settings, &tables, findings, error)) != CKS_OK)
    n_done++; /* it makes nothing */
  if (status == CKS_OK) n_done++, status = cks_audit(&in.settings, &tables, findings, &trial, error);
  if (status == CKS_OK) n_done++, status = cks_analyze(&in.settings, trial, findings, &results, error);
  if (status == CKS_OK)
    n_done++, status = cks_report_new(&in.settings, trial, results, findings, false, &report, error);
  n_done += status == CKS_OK;
  int n_made = !!findings + !!tables.plots + !!tables.places + !!tables.names + !!tables.weather + !!tables.normal +
               !!trial + !!results + !!report;
  cks_report_free(report);
  cks_results_free(results);
  cks_trial_free(trial);
  cks_table_free(tables.normal);
  cks_table_free(tables.weather);
  cks_table_free(tables.names);
  cks_table_free(tables.places);
  cks_table_free(tables.plots);
  cks_findings_free(findings);
  return n_made == n_done ? status : CKS_INTERNAL;
}

/* Audits up to MOST_FILES files. */
static cks_status audit_files(const char *const *texts, size_t n, cks_error *error)
{
  enum { MOST_FILES = 3 };
  static const char *const names[MOST_FILES] = {"plots.csv", "harvest.csv", "walk.csv"};
  test_bytes bytes[MOST_FILES];
  cks_source source[MOST_FILES];
  cks_settings settings;
  cks_findings *findings = NULL;
  for (size_t i = 0; i < n; i++) {
    bytes[i] = (test_bytes){texts[i], strlen(texts[i]), 0};
    source[i] = test_source(names[i], &bytes[i]);
  }
  cks_settings_defaults(&settings);
  settings.audit_only = true;
  cks_status status = cks_findings_new(&findings, error);
  if (status == CKS_OK) status = cks_run(&settings, n, source, 0, NULL, findings, error);
  cks_findings_free(findings);
  return status;
}

/* A forage in two cuts, one of them lost in a plot, with dates, stages and nitrate, to every format. */
static cks_status run_forage(const char *path, test_text *out, cks_error *error)
{
  static const char text[] =
      "location,rep,cut,cut date,stage,height (in),hybrid,green weight (lb),dry matter,NO3 ppm (as is),note\n"
      "A,1,1,2026-07-13,boot,40,Ash,26.1,17,900,\nA,1,1,2026-07-13,boot,41,Bay,24.2,18,700,\n"
      "A,2,1,2026-07-13,heading,39,Ash,25.4,17,800,\nA,2,1,2026-07-13,boot,42,Bay,23.9,18,,\n"
      "A,1,2,2026-08-14,boot,30,Ash,16.1,19,,\nA,1,2,2026-08-14,boot,31,Bay,14.2,20,,\n"
      "A,2,2,2026-08-14,boot,29,Ash,,,,hogs\nA,2,2,2026-08-14,boot,32,Bay,13.9,20,,\n";
  static const char place_text[] = "location,planted,harvest_length (ft),harvest_width (ft)\nA,2026-05-21,20,5\n";
  test_bytes bytes = {text, sizeof text - 1, 0}, place_bytes = {place_text, sizeof place_text - 1, 0};
  cks_source source = test_source("plots.csv", &bytes), places = test_source("places.csv", &place_bytes);
  const cks_target targets[] = {{CKS_FORMAT_JSON, NULL, test_sink(out)},
                                {CKS_FORMAT_TEXT, NULL, test_sink(out)},
                                {CKS_FORMAT_PLOTS, NULL, test_sink(out)}};
  cks_settings settings;
  cks_findings *findings = NULL;
  (void)path;
  cks_settings_defaults(&settings);
  settings.crop = "sorghum-sudangrass";
  settings.moisture_pct = 65;
  settings.places = &places;
  settings.full = true;
  cks_status status = cks_findings_new(&findings, error);
  if (status == CKS_OK)
    status = cks_run(&settings, 1, &source, sizeof targets / sizeof *targets, targets, findings, error);
  cks_findings_free(findings);
  return status;
}

/* A list, and two files that add to it: a value again for a plot that is left out, a row that belongs to none, a cell
 * that is no number in a row that is left out, a plot without a value, a note on a note. */
static cks_status run_joined(const char *path, test_text *out, cks_error *error)
{
  static const char *const texts[] = {
      "rep,plot,hybrid,note,yield (bu/ac)\n1,1,Ash,tall,\n1,2,Bay,,80\n2,3,Ash,,\n2,4,Bay,,\n",
      "plot,yield (bu/ac),note,leave_out\n1,90,wet,\n2,81,,hail\n3,91,,\n9,70,,border\n",
      "row,plot,test weight (kg/hl),year\n1,1,74,2026\n1,2,7x,2026\n"};
  (void)path;
  (void)out;
  return audit_files(texts, sizeof texts / sizeof *texts, error);
}

/* A list, a walk book of one row an observation (a value again, one that differs at a plot that is left out, a word that is no trait), and a list
 * whose plots were walked twice. */
static cks_status run_observed(const char *path, test_text *out, cks_error *error)
{
  static const char list[] = "location,rep,plot,hybrid\nA,1,1,Ash\nA,1,2,Bay\n";
  static const char walk[] =
      "location,plot,date,observer,trait,unit,value\nA,1,9/20/2026,JT,lodging,%,5\nA,1,9/20/2026,MB,lodging,%,7\n"
      "A,2,9/20/2026,JT,lodging,%,6x\nA,2,9/20/2026,MB,lodging,%,8\nA,2,9/20/2026,MB,lodging,%,6\nA,2,,JT,stand,,40\n"
      "A,1,9/20/2026,MB,lodging,%,7\nA,1,,,zzqx,,4\nA,1,,,,,4\nA,1,,,note,,wet\nA,1,,,note,,cold\n"
      "A,2,,,leave out,,hail\n";
  static const char walked_twice[] =
      "location,plot,hybrid,date,lodging,note\nB,1,Ash,2026-09-01,5,dry\nB,1,Ash,2026-10-01,7,wet\n"
      "B,2,Bay,2026-09-01,4,\n";
  static const char *const texts[] = {list, walk, walked_twice};
  (void)path;
  (void)out;
  return audit_files(texts, sizeof texts / sizeof *texts, error);
}

/* A latin square with a lost plot; checks in two blocks with a block too few for an error, and with enough. To JSON. */
static cks_status run_designs(const char *path, test_text *out, cks_error *error)
{
  static const char text[] = "location,block,row,column,hybrid,check,yield (bu/ac)\n"
                             "Alder,,1,1,Ash,y,70\nAlder,,1,2,Bay,y,81\nAlder,,1,3,Cob,y,90\nAlder,,1,4,Dun,,60\n"
                             "Alder,,2,1,Bay,y,82\nAlder,,2,2,Cob,y,\nAlder,,2,3,Dun,,64\nAlder,,2,4,Ash,y,73\n"
                             "Alder,,3,1,Cob,y,88\nAlder,,3,2,Dun,,63\nAlder,,3,3,Ash,y,75\nAlder,,3,4,Bay,y,84\n"
                             "Alder,,4,1,Dun,,66\nAlder,,4,2,Ash,y,72\nAlder,,4,3,Bay,y,79\nAlder,,4,4,Cob,y,93\n"
                             "Bram,1,,,Ash,y,70\nBram,1,,,Dun,,72\nBram,2,,,Ash,y,75\nBram,2,,,Elm,,71\n"
                             "Creek,1,,,Ash,y,70\nCreek,1,,,Bay,y,82\nCreek,1,,,Cob,y,85\nCreek,1,,,Dun,,72\n"
                             "Creek,2,,,Ash,y,73\nCreek,2,,,Bay,y,80\nCreek,2,,,Cob,y,88\nCreek,2,,,Elm,,75\n"
                             "Creek,3,,,Ash,y,71\nCreek,3,,,Bay,y,85\nCreek,3,,,Cob,y,84\nCreek,3,,,Fir,,78\n"
                             "Creek,4,,,Ash,y,77\nCreek,4,,,Bay,y,86\nCreek,4,,,Cob,y,89\n";
  cks_target target = {CKS_FORMAT_JSON, NULL, test_sink(out)};
  cks_settings settings;
  (void)path;
  cks_settings_defaults(&settings);
  return run_list(text, &settings, 1, &target, error);
}

/* Two years at two places: a hybrid in one environment of four, one in one year only; percents on another scale. */
static cks_status run_years(const char *path, test_text *out, cks_error *error)
{
  static const char text[] = "location,year,rep,hybrid,check,yield (bu/ac),lodging (%)\n"
                             "Alder,2025,1,Ash,y,70,8\nAlder,2025,1,Bay,,81,3\nAlder,2025,1,Cob,,90,12\n"
                             "Alder,2025,2,Ash,y,72,7\nAlder,2025,2,Bay,,80,5\nAlder,2025,2,Cob,,93,15\n"
                             "Alder,2026,1,Ash,y,60,9\nAlder,2026,1,Bay,,77,2\nAlder,2026,1,Dun,,79,4\n"
                             "Alder,2026,2,Ash,y,63,6\nAlder,2026,2,Bay,,75,4\nAlder,2026,2,Dun,,82,3\n"
                             "Bram,2025,1,Ash,y,50,20\nBram,2025,1,Bay,,66,11\nBram,2025,2,Ash,y,55,22\n"
                             "Bram,2025,2,Bay,,64,12\nBram,2026,1,Ash,y,90,1\nBram,2026,1,Bay,,99,2\n"
                             "Bram,2026,2,Ash,y,93,3\nBram,2026,2,Bay,,98,1\n";
  test_bytes bytes = {text, sizeof text - 1, 0};
  cks_source source = test_source("plots.csv", &bytes);
  const cks_target targets[] = {{CKS_FORMAT_JSON, NULL, test_sink(out)}, {CKS_FORMAT_TEXT, NULL, test_sink(out)}};
  cks_settings settings;
  cks_findings *findings = NULL;
  (void)path;
  cks_settings_defaults(&settings);
  settings.full = true;
  cks_status status = cks_findings_new(&findings, error);
  if (status == CKS_OK) status = cks_run(&settings, 1, &source, 2, targets, findings, error);
  cks_findings_free(findings);
  if (status != CKS_OK) return status;
  settings.audit_only = true;
  bytes.at = 0;
  status = cks_findings_new(&findings, error);
  if (status == CKS_OK) status = cks_run(&settings, 1, &source, 0, NULL, findings, error);
  cks_findings_free(findings);
  return status;
}

/* Hybrids that change places from year to year at two places, so that pairs are looked at and found, and the variance of the
 * interaction is worked out of a complete part; one hybrid is missing at a place. To JSON and the full text. */
static cks_status run_interaction(const char *path, test_text *out, cks_error *error)
{
  static const char text[] = "location,year,rep,hybrid,yield (bu/ac)\n"
                             "Alder,2025,1,Ash,60\nAlder,2025,1,Bay,75\nAlder,2025,1,Cob,90\nAlder,2025,1,Dun,99\n"
                             "Alder,2025,2,Ash,62\nAlder,2025,2,Bay,74\nAlder,2025,2,Cob,93\nAlder,2025,2,Dun,98\n"
                             "Alder,2026,1,Ash,91\nAlder,2026,1,Bay,76\nAlder,2026,1,Cob,61\nAlder,2026,1,Dun,55\n"
                             "Alder,2026,2,Ash,90\nAlder,2026,2,Bay,78\nAlder,2026,2,Cob,60\nAlder,2026,2,Dun,57\n"
                             "Bram,2025,1,Ash,63\nBram,2025,1,Bay,70\nBram,2025,1,Cob,85\n"
                             "Bram,2025,2,Ash,61\nBram,2025,2,Bay,73\nBram,2025,2,Cob,86\n"
                             "Bram,2026,1,Ash,88\nBram,2026,1,Bay,72\nBram,2026,1,Cob,65\n"
                             "Bram,2026,2,Ash,89\nBram,2026,2,Bay,75\nBram,2026,2,Cob,62\n";
  const cks_target targets[] = {{CKS_FORMAT_JSON, NULL, test_sink(out)}, {CKS_FORMAT_TEXT, NULL, test_sink(out)}};
  cks_settings settings;
  (void)path;
  cks_settings_defaults(&settings);
  settings.full = true;
  return run_list(text, &settings, 2, targets, error);
}

/* Strips at five places: 30 entry strips behind a share; then, with a place that has no order, by difference as text. */
static cks_status run_strips(const char *path, test_text *out, cks_error *error)
{
  static const char text[] =
      "location,strip,hybrid,check,yield (bu/ac)\n"
      "A,1,Ck,y,80\nA,2,Ash,,78\nA,3,Bay,,84\nA,4,Cob,,91\nA,5,Dun,,88\nA,6,Elm,,96\nA,7,Fir,,99\n"
      "A,8,Ck,y,95\nB,1,Ck,y,70\nB,2,Fir,,81\nB,3,Ash,,63\nB,4,Dun,,69\nB,5,Cob,,67\nB,6,Elm,,66\n"
      "B,7,Bay,,58\nB,8,Ck,y,55\nC,1,Ck,y,90\nC,2,Dun,,92\nC,3,Elm,,97\nC,4,Ash,,88\nC,5,Fir,,107\n"
      "C,6,Bay,,97\nC,7,Cob,,104\nC,8,Ck,y,104\nD,1,Ck,y,60\nD,2,Bay,,60\nD,3,Cob,,62\nD,4,Fir,,69\n"
      "D,5,Elm,,62\nD,6,Ash,,50\nD,7,Dun,,53\nD,8,Ck,y,45\nE,1,Ck,y,75\nE,2,Elm,,81\nE,3,Dun,,80\n"
      "E,4,Bay,,79\nE,5,Ash,,77\nE,6,Cob,,85\nE,7,Fir,,91\nE,8,Ck,y,84\n";
  static const char few[] = "location,rep,strip,hybrid,check,yield (bu/ac)\n"
                            "A,1,1,Ck,y,80\nA,1,2,Ash,,78\nA,2,3,Ash,,84\nA,2,4,Ck,y,91\n"
                            "B,1,,Ck,y,80\nB,1,,Ash,,79\nB,2,,Ash,,85\nB,2,,Ck,y,90\n";
  test_bytes bytes[2] = {{text, sizeof text - 1, 0}, {few, sizeof few - 1, 0}};
  const cks_source source[2] = {test_source("plots.csv", &bytes[0]), test_source("plots.csv", &bytes[1])};
  const cks_target target[2] = {{CKS_FORMAT_JSON, NULL, test_sink(out)}, {CKS_FORMAT_TEXT, NULL, test_sink(out)}};
  cks_settings settings;
  cks_status status = CKS_OK;
  (void)path;
  cks_settings_defaults(&settings);
  settings.full = true;
  for (int i = 0; i < 2 && status == CKS_OK; i++) {
    cks_findings *findings = NULL;
    settings.strip_adjustment = i ? CKS_STRIPS_DIFFERENCE : CKS_STRIPS_SHRUNKEN;
    status = cks_findings_new(&findings, error);
    if (status == CKS_OK) status = cks_run(&settings, 1, &source[i], 1, &target[i], findings, error);
    cks_findings_free(findings);
  }
  return status;
}

/* By group: a lost plot, so that F is a Wald form; a group of one, a hybrid without a group, a heading only --by-group
 * knows. To JSON, CSV and the full text. */
static cks_status run_groups(const char *path, test_text *out, cks_error *error)
{
  static const char text[] = "location,rep,hybrid,check,class,yield (bu/ac)\n"
                             "Alder,1,Ash,y,early,70\nAlder,1,Bay,,early,81\nAlder,1,Cob,,mid-late,90\n"
                             "Alder,1,Dun,,Early,60\nAlder,1,Elm,,,77\nAlder,2,Ash,y,early,72\nAlder,2,Bay,,early,83\n"
                             "Alder,2,Cob,,mid late,91\nAlder,2,Dun,,early,\nAlder,2,Elm,,,79\n"
                             "Alder,3,Ash,y,early,71\nAlder,3,Bay,,early,80\nAlder,3,Cob,,mid late,93\n"
                             "Alder,3,Dun,,early,64\nAlder,3,Elm,,,78\n";
  cks_target target[] = {{CKS_FORMAT_JSON, NULL, test_sink(out)},
                         {CKS_FORMAT_CSV, NULL, test_sink(out)},
                         {CKS_FORMAT_TEXT, NULL, test_sink(out)}};
  cks_settings settings;
  (void)path;
  cks_settings_defaults(&settings);
  settings.by_group = "class";
  settings.full = true;
  return run_list(text, &settings, 3, target, error);
}

/* Head-to-head: a pair by a column of the places table that nobody else knows, in percents; then every hybrid against
 * each check. */
static cks_status run_versus(const char *path, test_text *out, cks_error *error)
{
  static const char text[] = "location,year,hybrid,check,lodging (%)\n"
                             "A,2025,Ash,y,8\nA,2025,Bay,,3\nA,2026,Ash,y,9\nA,2026,Bay,,2\n"
                             "B,2026,Ash,y,20\nB,2026,Bay,,11\nB,2026,Cob,,5\n";
  static const char place_text[] = "location,region\nA,North\nB,South\n";
  test_bytes bytes = {text, sizeof text - 1, 0}, place_bytes = {place_text, sizeof place_text - 1, 0};
  cks_source source = test_source("plots.csv", &bytes), places = test_source("places.csv", &place_bytes);
  const cks_target targets[] = {{CKS_FORMAT_JSON, NULL, test_sink(out)},
                                {CKS_FORMAT_CSV, NULL, test_sink(out)},
                                {CKS_FORMAT_TEXT, NULL, test_sink(out)}};
  cks_settings settings;
  cks_status status = CKS_OK;
  (void)path;
  cks_settings_defaults(&settings);
  settings.places = &places;
  settings.full = true;
  settings.question = CKS_ASK_VERSUS;
  settings.by = "region";
  for (int all = 0; all < 2 && status == CKS_OK; all++) {
    cks_findings *findings = NULL;
    settings.versus_a = all ? NULL : "Bay";
    settings.versus_b = all ? NULL : "Ash";
    bytes.at = place_bytes.at = 0;
    status = cks_findings_new(&findings, error);
    if (status == CKS_OK) status = cks_run(&settings, 1, &source, 3, targets, findings, error);
    cks_findings_free(findings);
  }
  return status;
}

/* Stage calendar: bloom, stages of two looks, a hybrid that has neither, as of a day. To JSON, iCalendar and the full text. */
static cks_status run_calendar(const char *path, test_text *out, cks_error *error)
{
  static const char text[] = "location,plot,hybrid,check,mid-bloom (date),stage 2026-07-20,stage 2026-08-01 (JT)\n"
                             "A,1,Ash,y,2026-07-14,milk,soft dough\nA,2,Bay,,,,boot\nA,3,Cob,,,,\n"
                             "B,1,Bay,,2026-07-20,,\nC,1,Bay,,2026-12-27,,\n";
  static const char place_text[] = "location,planted,county\nA,2026-05-18,Marl\nB,2026-05-18,\nC,2026-10-20,\n";
  test_bytes bytes = {text, sizeof text - 1, 0}, place_bytes = {place_text, sizeof place_text - 1, 0};
  cks_source source = test_source("plots.csv", &bytes), places = test_source("places.csv", &place_bytes);
  const cks_target targets[] = {{CKS_FORMAT_JSON, NULL, test_sink(out)},
                                {CKS_FORMAT_CALENDAR, NULL, test_sink(out)},
                                {CKS_FORMAT_TEXT, NULL, test_sink(out)}};
  cks_settings settings;
  cks_findings *findings = NULL;
  (void)path;
  cks_settings_defaults(&settings);
  settings.places = &places;
  settings.full = true;
  (void)cks_day_read("2027-02-01", &settings.as_of);
  cks_status status = cks_findings_new(&findings, error);
  if (status == CKS_OK) status = cks_run(&settings, 1, &source, 3, targets, findings, error);
  cks_findings_free(findings);
  return status;
}

/* A workbook with shared and own texts, formats, merged cells and a hidden sheet, to CSV. */
static const test_book book = {
    .sheet = {{"Alder Flat", NULL,
               "<sheetData><row><c t=\"s\"><v>0</v></c><c t=\"s\"><v>1</v></c><c t=\"s\"><v>2</v></c>"
               "<c t=\"inlineStr\"><is><t>planted</t></is></c></row>"
               "<row><c><v>1</v></c><c t=\"s\"><v>3</v></c><c s=\"2\"><v>92.299999999999997</v></c>"
               "<c s=\"1\"><v>46162</v></c></row>"
               "<row hidden=\"1\"><c r=\"C3\"><v>88</v></c><c r=\"B3\" t=\"str\"><v>Orlin 3</v></c></row>"
               "<row><c><v>2</v></c><c t=\"s\"><v>3</v></c><c><v>93</v></c></row>"
               "<row><c><v>2</v></c><c t=\"str\"><v>Orlin 3</v></c><c><v>87</v></c></row></sheetData>"
               "<mergeCells><mergeCell ref=\"A2:A3\"/><mergeCell ref=\"D2:D5\"/></mergeCells>"},
              {"Old", "state=\"hidden\"", NULL}},
    .styles = "<numFmts><numFmt numFmtId=\"170\" formatCode=\"0.0&quot; bu&quot;\"/></numFmts>"
              "<cellXfs><xf/><xf numFmtId=\"14\"/><xf numFmtId=\"170\"/></cellXfs>",
    .strings = "<si><t>rep</t></si><si><t>hybrid</t></si><si><r><t>yield </t></r><r><t>(bu/ac)</t></r></si>"
               "<si><t>Tamsel 8</t></si>"};
static test_bytes book_bytes;

static cks_status run_workbook(const char *path, test_text *out, cks_error *error)
{
  (void)path;
  test_bytes bytes = book_bytes;
  cks_source source = test_source("plots.xlsx", &bytes);
  cks_settings settings;
  cks_settings_defaults(&settings);
  const cks_target target = {CKS_FORMAT_CSV, NULL, test_sink(out)};
  cks_findings *findings = NULL;
  cks_status status = cks_findings_new(&findings, error);
  if (status == CKS_OK) status = cks_run(&settings, 1, &source, 1, &target, findings, error);
  cks_findings_free(findings);
  return status;
}

/* Mixed models on plots made before the watch: means by all three methods, or predictions. The figures in *out. */
static struct {
  made_plots plots;
  cks_reml_model model;
} mixed;

static cks_status put_figure(test_text *out, double value, cks_error *error)
{
  char text[64];
  cks_sink sink = test_sink(out);
  snprintf(text, sizeof text, "%.17g\n", value);
  return sink.put(sink.to, text, strlen(text), error);
}

static cks_status infer_all(cks_reml *reml, cks_arena *arena, test_text *out, cks_error *error)
{
  static const cks_reml_df methods[] = {CKS_REML_KENWARD_ROGER, CKS_REML_SATTERTHWAITE, CKS_REML_SAMPLED};
  cks_status status = CKS_OK;
  for (size_t k = 0; k < 3 && status == CKS_OK; k++) {
    cks_reml_inference i;
    status = cks_reml_infer(reml, methods[k], arena, &i, error);
    if (status == CKS_OK) status = put_figure(out, i.mean[0], error);
    if (status == CKS_OK) status = put_figure(out, i.den_df, error);
  }
  return status;
}

static cks_status run_mixed(const char *path, test_text *out, cks_error *error)
{
  cks_arena *arena = cks_arena_new();
  cks_reml *reml = NULL;
  cks_reml_prediction prediction;
  (void)path;
  cks_status status =
      arena ? cks_reml_new(&mixed.plots.data, &mixed.model, arena, &reml, error) : cks_error_nomem(error);
  if (status == CKS_OK) status = cks_reml_estimate(reml, error);
  if (status == CKS_OK) status = put_figure(out, cks_reml_result(reml)->minus2, error);
  if (status == CKS_OK && !mixed.model.hybrids_random) status = infer_all(reml, arena, out, error);
  if (status == CKS_OK && mixed.model.hybrids_random) {
    status = cks_reml_predict(reml, arena, &prediction, error);
    if (status == CKS_OK) status = put_figure(out, prediction.repeatability, error);
  }
  cks_arena_free(arena);
  return status;
}

/* ---- the tests -------------------------------------------------------------------------------------------------- */

static int lowest_free_file(void)
{
  int file = open("/dev/null", O_RDONLY);
  close(file);
  return file;
}

typedef cks_status run_call(const char *path, test_text *out, cks_error *error);

typedef struct {
  cks_status status;
  cks_error error;
  bool reached, clean; /* the allocation that fails was met; nothing is left */
  test_text out;
} outcome;

static outcome run_failing(run_call *run, const char *path, size_t fails_at, bool all_later)
{
  outcome o = {0};
  int files = lowest_free_file();
  unlink(path);
  watch(fails_at, all_later);
  o.status = run(path, &o.out, &o.error);
  forget(o.out.text); /* the only thing that may live on */
  heap.watching = false;
  o.reached = heap.met > fails_at;
  o.clean = !heap.n_live && !heap.unknown && lowest_free_file() == files;
  if (o.status == CKS_OK && access(path, F_OK) == 0) append_file(&o.out, path);
  return o;
}

static bool is_right(const outcome *o, const outcome *whole)
{
  if (o->status == CKS_OK)
    return o->error.status == CKS_OK && o->out.n == whole->out.n &&
           (!o->out.n || !memcmp(o->out.text, whole->out.text, o->out.n));
  return o->reached && o->status == CKS_NOMEM && o->error.status == CKS_NOMEM &&
         !strcmp(o->error.text, cks_status_text(CKS_NOMEM));
}

/* Runs with the n-th allocation failing, for n = 0, 1, ... until a run meets fewer. */
static void fail_each(run_call *run, bool all_later)
{
  char folder[] = "/tmp/checkstrip-test-XXXXXX", path[sizeof folder + 8];
  assert_non_null(mkdtemp(folder));
  snprintf(path, sizeof path, "%s/a.xlsx", folder);
  cks_startup();
  outcome whole = run_failing(run, path, NEVER, all_later);
  if (whole.status != CKS_OK || !whole.clean) fail_msg("without a failure: %s", whole.error.text);
  size_t n_wrong = 0, n_harmless = 0, n = 0;
  for (bool reached = true; reached; n++) {
    outcome o = run_failing(run, path, n, all_later);
    reached = o.reached;
    n_harmless += reached && o.status == CKS_OK;
    if (!o.clean || !is_right(&o, &whole)) {
      n_wrong++;
      print_error("allocation %zu: %s: '%s'; %zu live, %zu freed twice\n", n, cks_status_text(o.status), o.error.text,
                  heap.n_live, heap.unknown);
    }
    test_text_release(&o.out);
  }
  print_message("%zu allocations, %zu of them may fail and do no harm\n", n - 1, n_harmless);
  test_text_release(&whole.out);
  unlink(path);
  assert_int_equal(rmdir(folder), 0); /* nothing but the workbook was in it */
  assert_int_equal(n_wrong, 0);
  assert_true(n > 100); /* the calls do come here */
}

static void run_when_one_allocation_fails_then_nomem_and_nothing_left(void **state)
{
  (void)state;
  fail_each(run_whole, false);
}

static void run_when_all_later_allocations_fail_then_nomem_and_nothing_left(void **state)
{
  (void)state;
  fail_each(run_whole, true);
}

static void stages_when_one_allocation_fails_then_no_half_built_result(void **state)
{
  (void)state;
  fail_each(run_stages, false);
}

static void files_when_joined_and_one_allocation_fails_then_nomem_and_nothing_left(void **state)
{
  (void)state;
  fail_each(run_joined, false);
}

static void forage_when_one_allocation_fails_then_nomem_and_nothing_left(void **state)
{
  (void)state;
  fail_each(run_forage, false);
}

static void observations_when_one_allocation_fails_then_nomem_and_nothing_left(void **state)
{
  (void)state;
  fail_each(run_observed, false);
}

static void designs_when_one_allocation_fails_then_nomem_and_nothing_left(void **state)
{
  (void)state;
  fail_each(run_designs, false);
}

static void years_when_one_allocation_fails_then_nomem_and_nothing_left(void **state)
{
  (void)state;
  fail_each(run_years, false);
}

static void interaction_when_one_allocation_fails_then_nomem_and_nothing_left(void **state)
{
  (void)state;
  fail_each(run_interaction, false);
}

static void groups_when_one_allocation_fails_then_nomem_and_nothing_left(void **state)
{
  (void)state;
  fail_each(run_groups, false);
}

static void strips_when_one_allocation_fails_then_nomem_and_nothing_left(void **state)
{
  (void)state;
  fail_each(run_strips, false);
}

static void calendar_when_one_allocation_fails_then_nomem_and_nothing_left(void **state)
{
  (void)state;
  fail_each(run_calendar, false);
}

static void versus_when_one_allocation_fails_then_nomem_and_nothing_left(void **state)
{
  (void)state;
  fail_each(run_versus, false);
}

static void workbook_when_one_allocation_fails_then_nomem_and_nothing_left(void **state)
{
  (void)state;
  char *bytes = test_book_bytes(&book, &book_bytes.n);
  book_bytes.bytes = bytes;
  fail_each(run_workbook, false);
  free(bytes);
}

static void mixed_models_when_one_allocation_fails_then_nomem_and_nothing_left(void **state)
{
  static const made_design complete = {51, 5, 3, 1, 2, 0, .1, 0, 0, .variance = {2, 0, 0, 1, 1, 0, 0, 1}},
                           incomplete = {52, 18, 2, 1, 4, 4, .1, 0, 0, .variance = {2, 1, 1, 1, 1, 0, 0, 1}},
                           years = {53, 4, 2, 2, 2, 0, 0, 0, 0, .variance = {2, 1, 0, 1, 1, 1, 1, 1}};
  static const struct {
    const made_design *design;
    cks_reml_model model;
  } runs[] = {{&complete, {0}},
              {&complete, {.environments_fixed = true, .error_by_environment = true}},
              {&incomplete, {0}},
              {&incomplete, {.hybrids_random = true}},
              {&years, {.environments_fixed = true}},
              {&years, {.hybrids_random = true}}};
  (void)state;
  for (size_t k = 0; k < sizeof runs / sizeof *runs; k++) {
    mixed.plots = make_plots(runs[k].design);
    mixed.model = runs[k].model;
    fail_each(run_mixed, false);
    made_plots_release(&mixed.plots);
  }
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(run_when_one_allocation_fails_then_nomem_and_nothing_left),
      cmocka_unit_test(run_when_all_later_allocations_fail_then_nomem_and_nothing_left),
      cmocka_unit_test(stages_when_one_allocation_fails_then_no_half_built_result),
      cmocka_unit_test(files_when_joined_and_one_allocation_fails_then_nomem_and_nothing_left),
      cmocka_unit_test(forage_when_one_allocation_fails_then_nomem_and_nothing_left),
      cmocka_unit_test(observations_when_one_allocation_fails_then_nomem_and_nothing_left),
      cmocka_unit_test(designs_when_one_allocation_fails_then_nomem_and_nothing_left),
      cmocka_unit_test(years_when_one_allocation_fails_then_nomem_and_nothing_left),
      cmocka_unit_test(interaction_when_one_allocation_fails_then_nomem_and_nothing_left),
      cmocka_unit_test(groups_when_one_allocation_fails_then_nomem_and_nothing_left),
      cmocka_unit_test(strips_when_one_allocation_fails_then_nomem_and_nothing_left),
      cmocka_unit_test(calendar_when_one_allocation_fails_then_nomem_and_nothing_left),
      cmocka_unit_test(versus_when_one_allocation_fails_then_nomem_and_nothing_left),
      cmocka_unit_test(workbook_when_one_allocation_fails_then_nomem_and_nothing_left),
      cmocka_unit_test(mixed_models_when_one_allocation_fails_then_nomem_and_nothing_left),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
