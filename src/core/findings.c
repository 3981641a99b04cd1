/* findings.c: the list of what was noticed: at most `limit` a rule and file are kept, the rest are counted. */
#include <checkstrip/finding.h>

#include "utf8.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define RULE_FACT(id, name, severity, sentence) {name, CKS_##severity, sentence},
static const cks_rule_fact rule_facts[CKS_RULE_COUNT] = {CKS_RULES(RULE_FACT)};
#undef RULE_FACT

static const char *const severity_texts[] = {"error", "warning", "note"};

enum { LONGEST_TEXT = 1024 };

const cks_rule_fact *cks_rule_find(cks_rule rule) { return &rule_facts[rule]; }
const char *cks_severity_text(cks_severity severity) { return severity_texts[severity]; }

cks_status cks_findings_new(cks_findings **out, cks_error *error)
{
  *out = NULL;
  cks_findings *findings = calloc(1, sizeof *findings);
  if (!findings) return cks_error_nomem(error);
  findings->limit = CKS_FINDINGS_KEPT;
  findings->arena = cks_arena_new();
  findings->met = calloc(CKS_RULE_COUNT, sizeof *findings->met);
  if (!findings->arena || !findings->met) {
    cks_findings_free(findings);
    return cks_error_nomem(error);
  }
  *out = findings;
  return CKS_OK;
}

void cks_findings_free(cks_findings *findings)
{
  if (!findings) return;
  cks_names_release(&findings->sheet);
  cks_arena_free(findings->arena);
  free(findings->finding);
  free(findings->file);
  free(findings->file_sheet);
  free(findings->met);
  free(findings);
}

cks_status cks_findings_file(cks_findings *findings, const char *name, cks_id *file, cks_error *error)
{
  size_t n = findings->n_file;
  if (n == UINT16_MAX) return cks_error_set(error, CKS_LIMIT, "more than %d files", UINT16_MAX);
  uint32_t *met = realloc(findings->met, (n + 2) * CKS_RULE_COUNT * sizeof *met);
  if (!met) return cks_error_nomem(error);
  memset(met + (n + 1) * CKS_RULE_COUNT, 0, CKS_RULE_COUNT * sizeof *met);
  findings->met = met;
  if (n == findings->room_file) {
    size_t room = n ? n * 2 : 8;
    const char **names = realloc(findings->file, room * sizeof *names);
    if (!names) return cks_error_nomem(error);
    findings->file = names;
    cks_id *sheets = realloc(findings->file_sheet, room * sizeof *sheets);
    if (!sheets) return cks_error_nomem(error);
    findings->file_sheet = sheets;
    findings->room_file = room;
  }
  findings->file[n] = cks_arena_text(findings->arena, name);
  findings->file_sheet[n] = CKS_NONE;
  findings->n_file = n + 1;
  *file = (cks_id)n;
  return cks_arena_status(findings->arena, error);
}

cks_status cks_findings_sheet(cks_findings *findings, const char *name, const char *sheet, cks_id *file,
                              cks_error *error)
{
  cks_id id;
  cks_status status = cks_names_add(&findings->sheet, sheet, strlen(sheet), &id, error);
  if (status == CKS_OK) status = cks_findings_file(findings, name, file, error);
  if (status == CKS_OK) findings->file_sheet[*file] = id;
  return status;
}

static uint32_t *met_of(const cks_findings *findings, cks_rule rule, cks_id file)
{
  size_t row = file < findings->n_file ? (size_t)file + 1 : 0;
  return &findings->met[row * CKS_RULE_COUNT + (size_t)rule];
}

bool cks_findings_wants(const cks_findings *findings, cks_rule rule, cks_id file)
{
  return *met_of(findings, rule, file) < findings->limit;
}

/* Counts one more on the last kept finding of the rule and file. */
static void count_more(cks_findings *findings, cks_rule rule, cks_id file)
{
  for (size_t i = findings->n; i-- > 0;) {
    cks_finding *finding = &findings->finding[i];
    if (finding->rule == rule && finding->where.file == file) {
      finding->more++;
      break;
    }
  }
}

cks_status cks_findings_add(cks_findings *findings, cks_rule rule, cks_where where, const char *heading,
                            const char *cell, cks_error *error, const char *format, ...)
{
  cks_severity severity = rule_facts[rule].severity;
  findings->n_severity[severity]++;
  if (where.file >= findings->n_file) where.file = CKS_NONE;
  if (where.file != CKS_NONE && where.sheet == CKS_NONE) where.sheet = findings->file_sheet[where.file];
  uint32_t *met = met_of(findings, rule, where.file);
  if (*met < UINT32_MAX) ++*met;
  if (*met > findings->limit) {
    count_more(findings, rule, where.file);
    return CKS_OK;
  }
  if (findings->n == findings->room) {
    size_t room = findings->room ? findings->room * 2 : 32;
    cks_finding *grown = realloc(findings->finding, room * sizeof *grown);
    if (!grown) return cks_error_nomem(error);
    findings->finding = grown;
    findings->room = room;
  }
  char text[LONGEST_TEXT];
  va_list arguments;
  va_start(arguments, format);
  vsnprintf(text, sizeof text, format, arguments);
  va_end(arguments);
  cks_utf8_mend(text); /* formats cut long names */
  findings->finding[findings->n++] = (cks_finding){
      .rule = rule,
      .severity = severity,
      .where = where,
      .heading = cks_arena_text(findings->arena, heading ? heading : ""),
      .cell = cks_arena_text(findings->arena, cell ? cell : ""),
      .text = cks_arena_text(findings->arena, text),
  };
  return cks_arena_status(findings->arena, error);
}

static int order(uint32_t a, uint32_t b) { return a < b ? -1 : a > b; }

static int compare(const void *left, const void *right)
{
  const cks_finding *a = left, *b = right;
  int by = (int)a->severity - (int)b->severity;
  if (!by) by = order(a->where.file, b->where.file);
  if (!by) by = order(a->where.sheet, b->where.sheet);
  if (!by) by = order(a->where.line, b->where.line);
  if (!by) by = order(a->where.column, b->where.column);
  if (!by) by = (int)a->rule - (int)b->rule;
  return by ? by : strcmp(a->text, b->text);
}

void cks_findings_sort(cks_findings *findings)
{
  if (findings->n) qsort(findings->finding, findings->n, sizeof *findings->finding, compare);
}

const char *cks_where_cell(char into[CKS_NUMBER_TEXT], const cks_where *where)
{
  char letters[8];
  size_t at = sizeof letters;
  letters[--at] = '\0';
  for (uint32_t c = where->column; c; c = (c - 1) / 26) letters[--at] = (char)('A' + (c - 1) % 26);
  snprintf(into, CKS_NUMBER_TEXT, "%s%u", letters + at, where->line);
  return into;
}

const char *cks_finding_line(const cks_findings *findings, const cks_finding *finding, cks_arena *arena)
{
  const cks_where *where = &finding->where;
  const char *file = where->file < findings->n_file ? findings->file[where->file] : "";
  char cell[CKS_NUMBER_TEXT];
  const char *sheet = cks_names_text(&findings->sheet, where->sheet),
             *place = *file ? cks_arena_format(arena, "%s: ", file) : "";
  if (where->sheet != CKS_NONE)
    place = where->line ? cks_arena_format(arena, "%s:%s!%s: ", file, sheet, cks_where_cell(cell, where))
                        : cks_arena_format(arena, "%s:%s: ", file, sheet);
  else if (where->line)
    place = cks_arena_format(arena, "%s:%u: ", file, where->line);
  const char *more = finding->more ? cks_arena_format(arena, " (and %u more)", finding->more) : "";
  return cks_arena_format(arena, "%s%s: %s [%s]%s", place, cks_severity_text(finding->severity), finding->text,
                          rule_facts[finding->rule].name, more);
}
