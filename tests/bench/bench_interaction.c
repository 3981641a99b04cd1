/*
 * bench_interaction.c: what hybrids by environments take of a run: reads a plot list, analyzes yield, writes JSON to nowhere.
 *
 *     bench_interaction FILE
 *
 * One line: seconds of the run, seconds of cks_interaction_analyze() in it, peak KB before that began and at the end. The
 * program is linked with --wrap (bench_flags in the Makefile), so the call comes here.
 */
#include "../../src/analyze/analyze.h"

#include <checkstrip.h>

#include <stdint.h>
#include <stdio.h>
#include <sys/resource.h>
#include <time.h>

cks_status __real_cks_interaction_analyze(const cks_trait_task *work);
cks_status __wrap_cks_interaction_analyze(const cks_trait_task *work);

static struct {
  double seconds;
  intmax_t peak_before; /* KB */
} interaction;

static double now(void)
{
  struct timespec at;
  clock_gettime(CLOCK_MONOTONIC, &at);
  return (double)at.tv_sec + (double)at.tv_nsec * 1e-9;
}

static intmax_t peak(void)
{
  struct rusage used;
  return getrusage(RUSAGE_SELF, &used) ? 0 : (intmax_t)used.ru_maxrss;
}

cks_status __wrap_cks_interaction_analyze(const cks_trait_task *work)
{
  interaction.peak_before = peak();
  double began = now();
  cks_status status = __real_cks_interaction_analyze(work);
  interaction.seconds += now() - began;
  return status;
}

static cks_status put_nowhere(void *to, const char *bytes, size_t n, cks_error *error)
{
  (void)to;
  (void)bytes;
  (void)n;
  (void)error;
  return CKS_OK;
}

static cks_status run(const char *path, cks_error *error)
{
  cks_source source = {0};
  cks_target target = {CKS_FORMAT_JSON, NULL, {put_nowhere, NULL}};
  cks_setting_pair yield = {"yield", NULL};
  cks_findings *findings = NULL;
  cks_settings settings;
  cks_startup();
  cks_settings_defaults(&settings);
  settings.trait = (cks_setting_list){1, &yield};
  cks_status status = cks_findings_new(&findings, error);
  if (status == CKS_OK) status = cks_file_open(path, &source, error);
  if (status == CKS_OK) status = cks_run(&settings, 1, &source, 1, &target, findings, error);
  cks_file_close(&source);
  cks_findings_free(findings);
  return status;
}

int main(int argc, char **argv)
{
  cks_error error = {0};
  if (argc != 2) {
    fputs("usage: bench_interaction FILE\n", stderr);
    return 2;
  }
  double began = now();
  cks_status status = run(argv[1], &error);
  double seconds = now() - began;
  if (status != CKS_OK) {
    fprintf(stderr, "bench_interaction: %s\n", error.text);
    return 1;
  }
  printf("%.6f %.6f %jd %jd\n", seconds, interaction.seconds, interaction.peak_before, peak());
  return 0;
}
