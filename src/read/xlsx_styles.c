/*
 * xlsx_styles.c: the style of a cell to what its number format shows (styles part: numFmts and cellXfs).
 */
#include "xlsx_parts.h"

#include <stdlib.h>
#include <string.h>

enum { SHEET = 1, FORMATS, FORMAT, STYLES, STYLE };
static const cks_xml_step steps[] = {{0, "styleSheet", SHEET},
                                     {SHEET, "numFmts", FORMATS},
                                     {FORMATS, "numFmt", FORMAT},
                                     {SHEET, "cellXfs", STYLES},
                                     {STYLES, "xf", STYLE}};

typedef struct {
  cks_package *package;
  cks_arena *arena;
  cks_xlsx_styles *styles;
  uint32_t *id;        /* size CKS_XLSX_STYLES: number format of each style */
  uint32_t *format_id; /* size CKS_XLSX_FORMATS */
  cks_shown *format;
  size_t n_format;
} styles_run;

static void take_format(styles_run *run, const char *const *attribute)
{
  const char *id = cks_xml_attribute(attribute, "numFmtId"), *code = cks_xml_attribute(attribute, "formatCode");
  char literal[CKS_SHOWN_LITERAL];
  if (!id || !code || !cks_xml_count(id, &run->format_id[run->n_format])) return;
  cks_shown *shown = &run->format[run->n_format++];
  *shown = cks_shown_of_code(code, literal);
  if (*literal) shown->literal = cks_arena_text(run->arena, literal);
}

static void on_open(void *to, unsigned state, const char *const *attribute)
{
  styles_run *run = to;
  if ((state == FORMAT && run->n_format == CKS_XLSX_FORMATS) || (state == STYLE && run->styles->n == CKS_XLSX_STYLES)) {
    cks_package_refuse(run->package, CKS_RULE_TOO_LARGE, 0,
                       "the workbook has more than %d %s; save the sheet as CSV, or copy it to a new workbook",
                       state == FORMAT ? CKS_XLSX_FORMATS : CKS_XLSX_STYLES,
                       state == FORMAT ? "number formats" : "styles");
    return;
  }
  if (state == FORMAT) take_format(run, attribute);
  if (state == STYLE) {
    const char *id = cks_xml_attribute(attribute, "numFmtId");
    uint32_t *number = &run->id[run->styles->n++];
    if (!id || !cks_xml_count(id, number)) *number = 0;
  }
}

/* A format that the workbook defines goes before the built-in one of its number. */
static void resolve(styles_run *run)
{
  run->styles->shown = cks_arena_take(run->arena, run->styles->n + 1, sizeof *run->styles->shown);
  if (!run->styles->shown) return;
  for (size_t i = 0; i < run->styles->n; i++) {
    size_t f = 0;
    while (f < run->n_format && run->format_id[f] != run->id[i]) f++;
    run->styles->shown[i] = f < run->n_format ? run->format[f] : cks_shown_built_in(run->id[i]);
  }
}

void cks_xlsx_read_styles(cks_package *package, cks_id part, cks_arena *arena, cks_xlsx_styles *styles)
{
  styles_run run = {.package = package, .arena = arena, .styles = styles};
  cks_xml xml = {
      .package = package, .step = steps, .n_step = sizeof steps / sizeof *steps, .to = &run, .begin = on_open};
  run.id = malloc(CKS_XLSX_STYLES * sizeof *run.id);
  run.format_id = malloc(CKS_XLSX_FORMATS * sizeof *run.format_id);
  run.format = malloc(CKS_XLSX_FORMATS * sizeof *run.format);
  if (!run.id || !run.format_id || !run.format)
    cks_package_fail(package, cks_error_nomem(package->reading->error));
  else
    cks_xml_read(&xml, part);
  if (cks_package_goes_on(package)) resolve(&run);
  cks_package_fail(package, cks_arena_status(arena, package->reading->error));
  free(run.format);
  free(run.format_id);
  free(run.id);
}
