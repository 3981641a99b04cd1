/*
 * xlsx.c: opens a workbook: what kind of file it is, its relationships, its sheets, and what they share.
 */
#include "xlsx_parts.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* ---- relationships ----------------------------------------------------------------------------------------------- */

typedef struct relationship relationship;
struct relationship {
  relationship *next;
  const char *id, *type; /* type: behind its last '/' */
  cks_id part;           /* CKS_NONE: not in the file */
};

typedef struct {
  cks_xlsx *xlsx;
  cks_id from;
  size_t n;
  relationship *first, **end;
} relationships;

enum { RELATIONSHIPS = 1, RELATIONSHIP };
static const cks_xml_step relationship_steps[] = {{0, "Relationships", RELATIONSHIPS},
                                                  {RELATIONSHIPS, "Relationship", RELATIONSHIP}};

static void on_relationship(void *to, unsigned state, const char *const *attribute)
{
  relationships *list = to;
  cks_xlsx *xlsx = list->xlsx;
  const char *id = cks_xml_attribute(attribute, "Id"), *type = cks_xml_attribute(attribute, "Type");
  const char *target = cks_xml_attribute(attribute, "Target"), *mode = cks_xml_attribute(attribute, "TargetMode");
  if (state != RELATIONSHIP || !id || !type || !target || (mode && strcmp(mode, "Internal") != 0)) return;
  if (list->n++ == CKS_XLSX_RELATIONSHIPS) {
    cks_package_refuse(&xlsx->package, CKS_RULE_TOO_LARGE, 0, "the workbook has more than %d relationships; %s",
                       CKS_XLSX_RELATIONSHIPS, CKS_XLSX_SAVE_AGAIN);
    return;
  }
  relationship *added = cks_arena_take(xlsx->arena, 1, sizeof *added);
  if (!added) return; /* the arena remembers */
  const char *slash = strrchr(type, '/');
  added->id = cks_arena_text(xlsx->arena, id);
  added->type = cks_arena_text(xlsx->arena, slash ? slash + 1 : type);
  added->part = cks_package_find(&xlsx->package, list->from, target);
  *list->end = added;
  list->end = &added->next;
}

/* The relationships of the part `from` (CKS_NONE: of the file), none when it has no such part. */
static relationship *read_relationships(cks_xlsx *xlsx, cks_id from)
{
  char name[2 * CKS_XLSX_NAME];
  const char *base = cks_names_text(&xlsx->package.part, from), *slash = strrchr(base, '/');
  relationships list = {.xlsx = xlsx, .from = from};
  list.end = &list.first;
  snprintf(name, sizeof name, "/%.*s_rels/%s.rels", slash ? (int)(slash + 1 - base) : 0, base,
           slash ? slash + 1 : base);
  cks_id part = cks_package_find(&xlsx->package, CKS_NONE, name);
  cks_xml xml = {.package = &xlsx->package,
                 .step = relationship_steps,
                 .n_step = sizeof relationship_steps / sizeof *relationship_steps,
                 .to = &list,
                 .begin = on_relationship};
  if (part != CKS_NONE) cks_xml_read(&xml, part);
  cks_package_fail(&xlsx->package, cks_arena_status(xlsx->arena, xlsx->package.reading->error));
  return list.first;
}

static const relationship *of_type(const relationship *list, const char *type)
{
  while (list && strcmp(list->type, type) != 0) list = list->next;
  return list;
}

/* ---- the workbook part ------------------------------------------------------------------------------------------- */

enum { WORKBOOK = 1, PROPERTIES, SHEETS, SHEET, CALCULATION };
static const cks_xml_step workbook_steps[] = {{0, "workbook", WORKBOOK},
                                              {WORKBOOK, "workbookPr", PROPERTIES},
                                              {WORKBOOK, "sheets", SHEETS},
                                              {SHEETS, "sheet", SHEET},
                                              {WORKBOOK, "calcPr", CALCULATION}};

typedef struct {
  cks_xlsx *xlsx;
  const relationship *list;
  bool is_workbook;
} workbook_run;

/* r:id, whatever the prefix. */
static const char *relationship_id(const char *const *attribute)
{
  for (; *attribute; attribute += 2) {
    const char *colon = strchr(attribute[0], ':');
    if (colon && !strcmp(colon + 1, "id")) return attribute[1];
  }
  return NULL;
}

static void add_sheet(workbook_run *run, const char *const *attribute)
{
  cks_xlsx *xlsx = run->xlsx;
  const char *name = cks_xml_attribute(attribute, "name"), *id = relationship_id(attribute);
  const char *state = cks_xml_attribute(attribute, "state");
  const relationship *to = run->list;
  while (to && (!id || strcmp(to->id, id) != 0)) to = to->next;
  if (!name || (to && strcmp(to->type, "worksheet") != 0)) return; /* a chart, a dialog or a macro */
  if (xlsx->n_sheet == CKS_XLSX_SHEETS) {
    cks_package_refuse(&xlsx->package, CKS_RULE_TOO_LARGE, 0,
                       "the workbook has more than %d sheets; put those that are needed in a workbook of their own",
                       CKS_XLSX_SHEETS);
    return;
  }
  if (xlsx->n_sheet == xlsx->room_sheet) {
    size_t room = xlsx->room_sheet ? xlsx->room_sheet * 2 : 8;
    struct cks_xlsx_sheet *grown = realloc(xlsx->sheet, room * sizeof *grown);
    if (!grown) {
      cks_package_fail(&xlsx->package, cks_error_nomem(xlsx->package.reading->error));
      return;
    }
    xlsx->sheet = grown;
    xlsx->room_sheet = room;
  }
  xlsx->sheet[xlsx->n_sheet++] = (struct cks_xlsx_sheet){
      cks_arena_text(xlsx->arena, name), state && strcmp(state, "visible") != 0, to ? to->part : CKS_NONE};
}

static void on_workbook(void *to, unsigned state, const char *const *attribute)
{
  workbook_run *run = to;
  if (state == WORKBOOK) run->is_workbook = true;
  if (state == PROPERTIES) run->xlsx->number.date_1904 = cks_xml_true(cks_xml_attribute(attribute, "date1904"));
  if (state == CALCULATION) run->xlsx->stale = cks_xml_true(cks_xml_attribute(attribute, "fullCalcOnLoad"));
  if (state == SHEET) add_sheet(run, attribute);
}

/* ---- what kind of file ------------------------------------------------------------------------------------------- */

static void refuse_other(cks_xlsx *xlsx, const char *what)
{
  cks_package_refuse(
      &xlsx->package, CKS_RULE_NOT_TEXT, 0,
      "this is %s, expected a workbook (.xlsx) or CSV; save the sheet as .xlsx or CSV and give that file", what);
}

/* A zip file without an office document: names what it is. */
static void refuse_kind(cks_xlsx *xlsx)
{
  static const char *const sheet = "application/vnd.oasis.opendocument.spreadsheet";
  char kind[64] = "";
  cks_id id = cks_package_find(&xlsx->package, CKS_NONE, "mimetype");
  cks_zip_part part = {0};
  if (id != CKS_NONE) {
    cks_zip_part_open(&part, &xlsx->package, id);
    cks_zip_part_read(&part, kind, sizeof kind - 1);
    cks_zip_part_close(&part);
  }
  refuse_other(xlsx, !strncmp(kind, sheet, strlen(sheet)) ? "an OpenDocument sheet (.ods)"
                     : *kind                              ? "another kind of document"
                                                          : "a zip file without a workbook in it");
}

static cks_id find_workbook(cks_xlsx *xlsx)
{
  const relationship *main = of_type(read_relationships(xlsx, CKS_NONE), "officeDocument");
  if (!cks_package_goes_on(&xlsx->package)) return CKS_NONE;
  if (!main)
    refuse_kind(xlsx);
  else if (main->part == CKS_NONE)
    cks_package_refuse(&xlsx->package, CKS_RULE_WORKBOOK_DAMAGED, 0,
                       "the workbook's main part is not in the file; copy it anew, or %s", CKS_XLSX_SAVE_AGAIN);
  return main ? main->part : CKS_NONE;
}

static void read_workbook(cks_xlsx *xlsx, cks_id part)
{
  const relationship *list = read_relationships(xlsx, part);
  workbook_run run = {xlsx, list, false};
  cks_xml xml = {.package = &xlsx->package,
                 .step = workbook_steps,
                 .n_step = sizeof workbook_steps / sizeof *workbook_steps,
                 .to = &run,
                 .begin = on_workbook};
  const char *name = cks_names_text(&xlsx->package.part, part), *point = strrchr(name, '.');
  if (!cks_package_goes_on(&xlsx->package)) return;
  if (point && !strcmp(point, ".bin")) {
    refuse_other(xlsx, "a binary workbook (.xlsb)");
    return;
  }
  cks_xml_read(&xml, part);
  if (cks_package_goes_on(&xlsx->package) && !run.is_workbook) refuse_other(xlsx, "another kind of document");
  if (cks_package_goes_on(&xlsx->package) && !xlsx->n_sheet)
    cks_package_refuse(&xlsx->package, CKS_RULE_EMPTY_TABLE, 0,
                       "the workbook has no sheet of cells; give another file");
  const relationship *styles = of_type(list, "styles"), *strings = of_type(list, "sharedStrings");
  if ((styles && styles->part == CKS_NONE) || (strings && strings->part == CKS_NONE))
    cks_package_refuse(&xlsx->package, CKS_RULE_WORKBOOK_DAMAGED, 0,
                       "the workbook's part of %s is not in the file; copy it anew, or %s",
                       styles && styles->part == CKS_NONE ? "styles" : "texts", CKS_XLSX_SAVE_AGAIN);
  if (cks_package_goes_on(&xlsx->package) && styles)
    cks_xlsx_read_styles(&xlsx->package, styles->part, xlsx->arena, &xlsx->styles);
  if (cks_package_goes_on(&xlsx->package) && strings)
    cks_xlsx_read_strings(&xlsx->package, strings->part, &xlsx->strings);
}

/* ---- the calls --------------------------------------------------------------------------------------------------- */

bool cks_xlsx_is(const unsigned char *head, size_t n)
{
  return n >= 4 && head[0] == 'P' && head[1] == 'K' &&
         ((head[2] == 3 && head[3] == 4) || (head[2] == 5 && head[3] == 6));
}

cks_status cks_xlsx_open(const cks_reading *reading, const cks_source *source, cks_xlsx **out, bool *refused)
{
  *out = NULL;
  *refused = false;
  cks_xlsx *xlsx = calloc(1, sizeof *xlsx);
  if (!xlsx) return cks_error_nomem(reading->error);
  xlsx->arena = cks_arena_new();
  xlsx->number =
      (cks_number_style){newlocale(LC_ALL_MASK, "C", (locale_t)0), false, reading->settings->decimal_comma ? ',' : '.'};
  cks_status status = xlsx->arena && xlsx->number.c ? CKS_OK : cks_error_nomem(reading->error);
  if (status == CKS_OK) {
    cks_package_open(&xlsx->package, reading, source);
    cks_id part = cks_package_goes_on(&xlsx->package) ? find_workbook(xlsx) : CKS_NONE;
    if (cks_package_goes_on(&xlsx->package)) read_workbook(xlsx, part);
    cks_package_fail(&xlsx->package, cks_arena_status(xlsx->arena, reading->error));
    status = xlsx->package.status;
    *refused = xlsx->package.refused;
  }
  if (status == CKS_OK && !*refused)
    *out = xlsx;
  else
    cks_xlsx_free(xlsx);
  return status;
}

void cks_xlsx_free(cks_xlsx *xlsx)
{
  if (!xlsx) return;
  cks_xlsx_strings_release(&xlsx->strings);
  cks_package_release(&xlsx->package);
  if (xlsx->number.c) freelocale(xlsx->number.c);
  cks_arena_free(xlsx->arena);
  free(xlsx->sheet);
  free(xlsx);
}

size_t cks_xlsx_sheets(const cks_xlsx *xlsx) { return xlsx->n_sheet; }
const char *cks_xlsx_sheet_name(const cks_xlsx *xlsx, size_t sheet) { return xlsx->sheet[sheet].name; }
bool cks_xlsx_sheet_hidden(const cks_xlsx *xlsx, size_t sheet) { return xlsx->sheet[sheet].hidden; }
