/*
 * fuzz_run.c: cks_run() on any bytes: it must end, free everything, keep run.h's promises, repeat itself to the byte.
 *
 * A first byte 0x80 to 0xBF (no text begins so) opens SETTING_BYTES that choose settings; their words are cells of the
 * plot list. A line "+++" cuts off a second plot list, a line "---" the places table, a line "===" behind that the names table, a line
 * "~~~" behind that a weather file, which is the normal too.
 */
#include <checkstrip.h>

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <unistd.h>

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { SETTING_BYTES = 10, TARGETS = 4, SMALL = 2048, WORKBOOK_EVERY = 16 };

typedef struct {
  const char *bytes;
  size_t n;
} span;

typedef struct {
  char *bytes; /* size `room`, n of it filled, ended by NUL once finished */
  size_t n, room;
} capture;

typedef struct {
  span plots[2], places, names, weather;
  size_t n_plots;
  cks_settings settings;
  cks_setting_pair trait, check, without, only, show;
  cks_arena *arena;
} fuzz_job;

typedef struct {
  cks_status status;
  char error[sizeof((cks_error *)0)->text];
  capture out[TARGETS]; /* text, JSON, CSV, workbook */
} outcome;

static void demand(bool kept)
{
  if (!kept) abort();
}

/* Bytes of the UTF-8 character at text; 0 when there is none. */
static size_t character(const char *text)
{
  unsigned char lead = (unsigned char)*text;
  size_t n = lead < 0x80 ? 1 : lead < 0xC2 ? 0 : lead < 0xE0 ? 2 : lead < 0xF0 ? 3 : lead < 0xF5 ? 4 : 0;
  for (size_t i = 1; i < n; i++)
    if (((unsigned char)text[i] & 0xC0) != 0x80) return 0;
  return n;
}

static bool is_utf8(const char *text)
{
  size_t n = 1;
  while (n && *text) text += n = character(text);
  return n > 0;
}

/* ---- files in memory -------------------------------------------------------------------------------------------- */

static ptrdiff_t pull(void *from, char *bytes, size_t n)
{
  span *in = from;
  size_t part = in->n < n ? in->n : n;
  if (part) memcpy(bytes, in->bytes, part);
  in->bytes += part;
  in->n -= part;
  return (ptrdiff_t)part;
}

static cks_status put(void *to, const char *bytes, size_t n, cks_error *error)
{
  capture *out = to;
  (void)error;
  if (out->n + n + 1 > out->room) {
    out->room = 2 * (out->n + n + 1);
    out->bytes = realloc(out->bytes, out->room);
    demand(out->bytes != NULL);
  }
  if (n) memcpy(out->bytes + out->n, bytes, n);
  out->n += n;
  out->bytes[out->n] = '\0';
  return CKS_OK;
}

static void put_file(capture *out, const char *path)
{
  char bytes[4096];
  FILE *file = fopen(path, "rb");
  demand(file != NULL);
  for (size_t n; (n = fread(bytes, 1, sizeof bytes, file)) > 0;) put(out, bytes, n, NULL);
  fclose(file);
}

/* Cuts text before a line that is mark and gives what follows it; nothing when there is no such line. */
static span cut(span *text, const char *mark)
{
  size_t m = strlen(mark);
  for (size_t i = 0; i + m < text->n; i++) {
    bool begins = !i || text->bytes[i - 1] == '\n';
    if (begins && !memcmp(text->bytes + i, mark, m) && text->bytes[i + m] == '\n') {
      span rest = {text->bytes + i + m + 1, text->n - i - m - 1};
      text->n = i;
      return rest;
    }
  }
  return (span){NULL, 0};
}

/* ---- settings --------------------------------------------------------------------------------------------------- */

/* The cell at a 0-based row and column, as the bytes stand; NULL when it is empty, not there or not UTF-8. */
static const char *cell(const fuzz_job *job, size_t row, size_t column)
{
  const char *at = job->plots[0].bytes, *end = at + job->plots[0].n;
  for (; row && at < end; at++) row -= *at == '\n';
  for (; column && at < end && *at != '\n'; at++) column -= strchr(",;\t", *at) && *at;
  const char *begin = at;
  while (at < end && (!*at || !strchr(",;\t\r\n", *at))) at++;
  const char *text = row || column || at == begin ? "" : cks_arena_format(job->arena, "%.*s", (int)(at - begin), begin);
  return *text && is_utf8(text) ? text : NULL;
}

/* A byte names a cell: four bits its column, four its row below the headings. */
static const char *word(const fuzz_job *job, uint8_t byte)
{
  return byte ? cell(job, 1 + byte / 16U, byte % 16U) : NULL;
}

static cks_setting_list list(cks_setting_pair *into, const char *key, const char *value)
{
  *into = (cks_setting_pair){key, value};
  return (cks_setting_list){1, into};
}

static void choose(fuzz_job *job, const uint8_t byte[SETTING_BYTES])
{
  static const double alphas[] = {0.05, 0.01, 1e-12, 0.4999}, moistures[] = {0, 13, 1e-9, 99.999};
  static const char *const units[] = {"kg/ha", "bu/ac",  "lb/ac", "kg/hL", "cm",    "%",      "days", "furlong",
                                      "t/ha",  "cwt/ac", "in",    "m",     "lb/bu", "ton/ac", "/ac",  ""};
  cks_settings *s = &job->settings;
  s->unprotected = byte[0] & 1;
  s->locations_fixed = byte[0] & 2;
  s->full = byte[0] & 4;
  s->decimal_comma = byte[0] & 8;
  s->all_findings = byte[0] & 16;
  s->audit_only = byte[0] & 32;
  s->dates = (cks_date_order)(byte[1] % 3);
  s->order = (cks_row_order)(byte[1] / 3 % 3);
  s->alpha = alphas[byte[2] % 4];
  if (byte[2] / 4 % 4) s->moisture_pct = moistures[byte[2] / 4 % 4];
  const char *trait = byte[3] ? cell(job, 0, byte[3] % 16) : NULL, *shown = byte[4] ? cell(job, 0, byte[4] % 16) : NULL;
  const char *check = word(job, byte[5]), *without = word(job, byte[6]), *only = word(job, byte[7]);
  const char *without_role = cell(job, 0, byte[6] % 16), *only_role = cell(job, 0, byte[7] % 16);
  if (trait) s->trait = list(&job->trait, trait, NULL);
  if (shown) { /* the trait without its unit */
    const char *bare = cks_arena_format(job->arena, "%.*s", (int)strcspn(shown, "("), shown);
    s->show = list(&job->show, bare, units[byte[4] / 16]);
  }
  if (check) s->check = list(&job->check, check, NULL);
  if (without && without_role) s->without = list(&job->without, without_role, without);
  if (only && only_role) s->only = list(&job->only, only_role, only);
  s->question = byte[1] / 9 % 2 ? CKS_ASK_VERSUS : CKS_ASK_ALL; /* against checks, or the pair that two bytes name; by a column or not */
  if (s->question == CKS_ASK_VERSUS && byte[8]) s->versus_a = word(job, byte[8]);
  if (s->question == CKS_ASK_VERSUS && byte[9]) s->versus_b = word(job, byte[9]);
  if (s->question == CKS_ASK_VERSUS && byte[4]) s->by = cell(job, 0, byte[4] / 16);
  if (s->question == CKS_ASK_ALL) s->sheet_for = word(job, byte[8]);
  s->title = s->note = s->contact = word(job, byte[9]);
}

/* ---- one run and what it promises ------------------------------------------------------------------------------- */

static void check_findings(const cks_findings *findings)
{
  for (size_t i = 0; i < findings->n; i++) {
    const cks_finding *f = &findings->finding[i], *before = f - 1;
    demand(f->rule < CKS_RULE_COUNT && f->severity == cks_rule_find(f->rule)->severity && *f->text);
    demand(f->where.file == CKS_NONE || f->where.file < findings->n_file);
    if (!i || f->severity > before->severity) continue;
    demand(f->severity == before->severity && f->where.file >= before->where.file);
    if (f->where.file > before->where.file || f->where.line > before->where.line) continue;
    demand(f->where.line == before->where.line && f->where.column >= before->where.column);
  }
}

static void run(const fuzz_job *job, bool workbook, outcome *result)
{
  char path[] = "/tmp/checkstrip-fuzz-XXXXXX";
  span plots[2] = {job->plots[0], job->plots[1]}, places = job->places, names = job->names, weather = job->weather,
       normal = job->weather;
  const cks_source sources[] = {{"elm.csv", pull, &plots[0]}, {"oak.csv", pull, &plots[1]}};
  const cks_source place_source = {"places.csv", pull, &places}, name_source = {"names.csv", pull, &names},
                   weather_source = {"weather.csv", pull, &weather}, normal_source = {"normal.csv", pull, &normal};
  const cks_target targets[TARGETS] = {{CKS_FORMAT_TEXT, NULL, {put, &result->out[0]}},
                                       {CKS_FORMAT_JSON, NULL, {put, &result->out[1]}},
                                       {CKS_FORMAT_CSV, NULL, {put, &result->out[2]}},
                                       {CKS_FORMAT_WORKBOOK, path, {NULL, NULL}}};
  cks_settings settings = job->settings;
  cks_findings *findings = NULL;
  cks_error error = {0};
  int file = workbook ? mkstemp(path) : -1;
  if (file >= 0) close(file);
  if (places.bytes) settings.places = &place_source;
  if (names.bytes) settings.names = &name_source;
  settings.weather = &weather_source;
  settings.n_weather = weather.bytes ? 1 : 0;
  if (normal.bytes) settings.normal = &normal_source;
  demand(cks_findings_new(&findings, NULL) == CKS_OK);
  cks_status status =
      cks_run(&settings, job->n_plots, sources, file >= 0 ? TARGETS : TARGETS - 1, targets, findings, &error);
  demand(status == CKS_OK || status == CKS_DATA || status == CKS_MODEL || status == CKS_LIMIT || status == CKS_USAGE);
  demand(status == CKS_OK || status == CKS_DATA || (error.status == status && *error.text));
  bool written = !settings.audit_only && (status == CKS_OK || status == CKS_MODEL);
  demand((status == CKS_DATA) == (findings->n_severity[CKS_ERROR] > 0) || status == CKS_USAGE || status == CKS_LIMIT);
  for (size_t i = 0; i < TARGETS - 1; i++) demand(status == CKS_LIMIT || written == (result->out[i].n > 0));
  check_findings(findings);
  cks_arena *arena = cks_arena_new();
  for (size_t i = 0; arena && i < findings->n; i++) demand(*cks_finding_line(findings, &findings->finding[i], arena));
  cks_arena_free(arena);
  cks_findings_free(findings);
  if (file >= 0) {
    put_file(&result->out[3], path);
    unlink(path);
  }
  result->status = status;
  memcpy(result->error, error.text, sizeof result->error);
}

/* Past the closing quote of the JSON string that begins at text. */
static const char *past_string(const char *text)
{
  for (text++; *text != '"';) {
    demand((unsigned char)*text >= 0x20 && character(text) > 0);
    text += *text == '\\' ? 2 : (ptrdiff_t)character(text);
  }
  return text + 1;
}

/* Brackets close in order, strings close, and what stands outside of them is a number or a word of JSON's. */
static void check_json(const char *text)
{
  char open[64];
  size_t depth = 0;
  while (*text) {
    size_t n = strcspn(text, "{}[]:,\" \n");
    if (n) {
      bool negative = *text == '-';
      demand(isdigit((unsigned char)text[negative]) || (n == 4 && !strncmp(text, "null", 4)) ||
             (n == 4 && !strncmp(text, "true", 4)) || (n == 5 && !strncmp(text, "false", 5)));
      text += n;
    } else if (*text == '"') {
      text = past_string(text);
    } else {
      if (*text == '{' || *text == '[') {
        demand(depth < sizeof open);
        open[depth++] = *text == '{' ? '}' : ']';
      }
      if (*text == '}' || *text == ']') demand(depth && open[--depth] == *text);
      text++;
    }
  }
  demand(depth == 0);
}

/* A figure that went wrong prints as nan or inf: neither may stand as a word where the input has none such. */
static bool has_word(const char *text, const char *word, bool whole)
{
  size_t n = strlen(word);
  for (const char *at = text; *at; at++)
    if (!strncasecmp(at, word, n) &&
        (!whole || ((at == text || !isalpha((unsigned char)at[-1])) && !isalpha((unsigned char)at[n]))))
      return true;
  return false;
}

static void check_outputs(const outcome *result, const char *input)
{
  static const char *const bad[] = {"nan", "inf"};
  if (result->out[1].n) check_json(result->out[1].bytes);
  for (size_t i = 0; i < 3; i++) {
    for (size_t j = 0; j < 2 && result->out[i].n; j++)
      demand(has_word(input, bad[j], false) || !has_word(result->out[i].bytes, bad[j], true));
    demand(!result->out[i].n || is_utf8(result->out[i].bytes));
  }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
  fuzz_job job = {.arena = cks_arena_new()};
  outcome first = {0}, second = {0};
  uint32_t hash = 2166136261U; /* FNV-1a: which inputs are written as a workbook too */
  bool chosen = size >= SETTING_BYTES && (data[0] & 0xC0) == 0x80;
  size_t skip = chosen ? SETTING_BYTES : 0;
  char *input = malloc(size + 1);
  demand(job.arena && input);
  for (size_t i = 0; i < size; i++) {
    hash = (hash ^ data[i]) * 16777619U;
    input[i] = data[i] ? (char)data[i] : ' ';
  }
  input[size] = '\0';
  job.plots[0] = (span){(const char *)data + skip, size - skip};
  job.weather = cut(&job.plots[0], "~~~");
  job.names = cut(&job.plots[0], "===");
  job.places = cut(&job.plots[0], "---");
  job.plots[1] = cut(&job.plots[0], "+++");
  job.n_plots = job.plots[1].bytes ? 2 : 1;
  cks_startup();
  cks_settings_defaults(&job.settings);
  job.settings.full = true;
  if (chosen) choose(&job, data);
  bool workbook = size < SMALL && hash % WORKBOOK_EVERY == 0;
  run(&job, workbook, &first);
  run(&job, workbook, &second);
  demand(first.status == second.status && !strcmp(first.error, second.error));
  for (size_t i = 0; i < TARGETS; i++) {
    demand(first.out[i].n == second.out[i].n);
    demand(!first.out[i].n || !memcmp(first.out[i].bytes, second.out[i].bytes, first.out[i].n));
  }
  check_outputs(&first, input);
  for (size_t i = 0; i < TARGETS; i++) {
    free(first.out[i].bytes);
    free(second.out[i].bytes);
  }
  cks_arena_free(job.arena);
  free(input);
  return 0;
}
