/* support.c: see support.h. */
#include "support.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

int test_start(void **state)
{
  (void)state;
  cks_startup();
  return 0;
}

static ptrdiff_t read_bytes(void *from, char *bytes, size_t n)
{
  test_bytes *b = from;
  size_t part = b->n - b->at < n ? b->n - b->at : n;
  memcpy(bytes, b->bytes + b->at, part);
  b->at += part;
  return (ptrdiff_t)part;
}

cks_source test_source(const char *name, test_bytes *bytes)
{
  bytes->at = 0;
  return (cks_source){name, read_bytes, bytes};
}

static cks_status put_text(void *to, const char *bytes, size_t n, cks_error *error)
{
  test_text *text = to;
  if (text->room - text->n < n + 1) {
    size_t room = 2 * (text->room + n + 1);
    char *grown = realloc(text->text, room);
    if (!grown) return cks_error_nomem(error);
    text->text = grown;
    text->room = room;
  }
  memcpy(text->text + text->n, bytes, n);
  text->n += n;
  text->text[text->n] = '\0';
  return CKS_OK;
}

cks_sink test_sink(test_text *into) { return (cks_sink){put_text, into}; }

void test_text_release(test_text *text)
{
  free(text->text);
  *text = (test_text){0};
}

char *test_read_file(const char *path)
{
  FILE *file = fopen(path, "rb");
  if (!file) fail_msg("cannot open %s (run the tests from the project's top)", path);
  test_text text = {0};
  char piece[4096];
  for (size_t n; (n = fread(piece, 1, sizeof piece, file)) > 0;) put_text(&text, piece, n, NULL);
  fclose(file);
  if (!text.text) put_text(&text, "", 0, NULL);
  return text.text;
}

test_run test_run_csv(const cks_settings *settings, const char *csv, const char *places)
{
  test_run run = {0};
  test_text json = {0};
  test_bytes plots = {csv, strlen(csv), 0}, place_bytes = {places, places ? strlen(places) : 0, 0};
  cks_source source = test_source("plots.csv", &plots), place_source = test_source("places.csv", &place_bytes);
  cks_settings with = *settings;
  if (places) with.places = &place_source;
  cks_target target = {CKS_FORMAT_JSON, NULL, test_sink(&json)};
  cks_startup();
  assert_int_equal(cks_findings_new(&run.findings, NULL), CKS_OK);
  run.status = cks_run(&with, 1, &source, 1, &target, run.findings, &run.error);
  if (json.n) {
    json_error_t why;
    run.json = json_loads(json.text, 0, &why);
    if (!run.json) fail_msg("not JSON: %s at line %d", why.text, why.line);
  }
  test_text_release(&json);
  return run;
}

void test_run_release(test_run *run)
{
  json_decref(run->json);
  cks_findings_free(run->findings);
  *run = (test_run){0};
}

char *test_traits(size_t n, const test_file *files)
{
  test_text json = {0};
  test_bytes *bytes = calloc(n, sizeof *bytes);
  cks_source *source = calloc(n, sizeof *source);
  cks_target target = {CKS_FORMAT_JSON, NULL, test_sink(&json)};
  cks_settings settings;
  cks_findings *findings = NULL;
  cks_error error = {0};
  assert_true(bytes && source);
  for (size_t i = 0; i < n; i++) {
    bytes[i] = (test_bytes){files[i].text, strlen(files[i].text), 0};
    source[i] = test_source(files[i].name, &bytes[i]);
  }
  cks_startup();
  cks_settings_defaults(&settings);
  assert_int_equal(cks_findings_new(&findings, NULL), CKS_OK);
  cks_status status = cks_run(&settings, n, source, 1, &target, findings, &error);
  if (status != CKS_OK) {
    cks_arena *arena = cks_arena_new();
    for (size_t i = 0; i < findings->n; i++)
      print_error("%s\n", cks_finding_line(findings, &findings->finding[i], arena));
    cks_arena_free(arena);
    fail_msg("%s", error.text);
  }
  cks_findings_free(findings);
  free(source);
  free(bytes);
  const char *traits = strstr(json.text, "\"traits\"");
  assert_non_null(traits);
  memmove(json.text, traits, strlen(traits) + 1);
  return json.text;
}

const cks_finding *test_finding(const cks_findings *findings, cks_rule rule)
{
  for (size_t i = 0; i < findings->n; i++)
    if (findings->finding[i].rule == rule) return &findings->finding[i];
  return NULL;
}

json_t *test_json(json_t *root, const char *path)
{
  json_t *at = root;
  char key[64];
  for (const char *rest = path; *rest && at;) {
    size_t n = strcspn(rest, ".");
    snprintf(key, sizeof key, "%.*s", (int)n, rest);
    at = json_is_array(at) ? json_array_get(at, strtoul(key, NULL, 10)) : json_object_get(at, key);
    rest += n + (rest[n] == '.');
  }
  if (!at) fail_msg("no '%s' in the JSON", path);
  return at;
}

double test_json_number(json_t *root, const char *path)
{
  json_t *at = test_json(root, path);
  if (!json_is_null(at) && !json_is_number(at)) fail_msg("'%s' is no number", path);
  return json_is_null(at) ? NAN : json_number_value(at);
}

json_t *test_json_with(json_t *array, const char *key, const char *text)
{
  size_t i;
  json_t *element;
  json_array_foreach(array, i, element)
  {
    const char *value = json_string_value(json_object_get(element, key));
    if (value && !strcmp(value, text)) return element;
  }
  return NULL;
}

bool test_close(double actual, double expected, double relative)
{
  if (isnan(actual) || isnan(expected)) return isnan(actual) && isnan(expected);
  return fabs(actual - expected) <= relative * fmax(fabs(actual), fabs(expected)) || actual == expected;
}

void test_assert_close(double actual, double expected, double relative, const char *what, const char *file, int line)
{
  if (test_close(actual, expected, relative)) return;
  print_error("%s is %.17g, expected %.17g within %g (relative difference %.3g)\n", what, actual, expected, relative,
              fabs(actual - expected) / fmax(fabs(actual), fabs(expected)));
  _fail(file, line);
}

/* SplitMix64 (Steele, Lea & Flood 2014). */
static uint64_t next(test_random *random)
{
  uint64_t z = random->state += 0x9e3779b97f4a7c15u;
  z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
  z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
  return z ^ (z >> 31);
}

double test_uniform(test_random *random) { return ((double)(next(random) >> 11) + 0.5) / 9007199254740992.0; }

/* Box and Muller 1958; one of the two is used. */
double test_normal(test_random *random)
{
  double radius = sqrt(-2 * log(test_uniform(random)));
  return radius * cos(6.283185307179586 * test_uniform(random));
}

uint32_t test_below(test_random *random, uint32_t n) { return (uint32_t)(test_uniform(random) * n); }
