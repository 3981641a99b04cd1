/*
 * xlsx_parts.h: what the files of the workbook reader share: zip parts (xlsx_zip.c), XML (xlsx_xml.c), what a number
 * format shows (xlsx_format.c, xlsx_styles.c), shared texts (xlsx_strings.c), merged ranges (xlsx_merged.c).
 */
#ifndef CKS_READ_XLSX_PARTS_H
#define CKS_READ_XLSX_PARTS_H

#include "xlsx.h"

#include <expat.h>
#include <zip.h>

enum {
  CKS_XLSX_BYTES = 64 << 20,       /* of the file */
  CKS_XLSX_PART_BYTES = 512 << 20, /* of one part, inflated */
  CKS_XLSX_RATIO = 300,            /* inflated to packed, once a part is beyond CKS_XLSX_RATIO_FROM */
  CKS_XLSX_RATIO_FROM = 16 << 20,
  CKS_XLSX_PARTS = 10000,
  CKS_XLSX_SHEETS = 1024,
  CKS_XLSX_RELATIONSHIPS = 10000,
  CKS_XLSX_STRINGS = 1 << 23, /* shared texts, and their bytes */
  CKS_XLSX_STRING_BYTES = 256 << 20,
  CKS_XLSX_CELL_BYTES = 1 << 17, /* a cell holds at most 32,767 characters */
  CKS_XLSX_FORMATS = 4096,       /* number formats, and styles of cells */
  CKS_XLSX_STYLES = 1 << 16,
  CKS_XLSX_ROWS = 1048576,
  CKS_XLSX_MERGED = 100000,
  CKS_XLSX_DEPTH = 64,     /* of XML elements */
  CKS_XLSX_NAME = 512,     /* bytes of a part's name */
  CKS_XLSX_TOKEN = 1 << 20 /* bytes of a tag with its attributes */
};
#define CKS_XLSX_INFLATED   (UINT64_C(2) << 30) /* of all parts, counted each time that one is read */
#define CKS_XLSX_HANDED_ON  (UINT64_C(1) << 28) /* cells of a sheet, gaps and merged ones too */
#define CKS_XLSX_TEXT       (UINT64_C(1) << 30) /* bytes of the cells of a sheet */
#define CKS_XLSX_SAVE_AGAIN "open it in a spreadsheet and save it again as .xlsx, or as CSV"

/* ---- xlsx_zip.c: a file of parts --------------------------------------------------------------------------------- */

typedef struct {
  const cks_reading *reading; /* whom to tell: the workbook's while it is opened, then that of the sheet being read */
  cks_status status;
  bool refused; /* a finding says why */
  char *bytes;  /* the file, size n */
  size_t n;
  zip_t *zip;
  cks_names part; /* names in lower case; the id is the index in the zip file */
  uint64_t inflated;
} cks_package;

typedef struct {
  cks_package *package;
  cks_id id;
  zip_file_t *file;
  uint64_t packed, inflated;
} cks_zip_part;

void cks_package_open(cks_package *package, const cks_reading *reading, const cks_source *source);
void cks_package_release(cks_package *package);
bool cks_package_goes_on(const cks_package *package); /* neither refused nor failed */
void cks_package_fail(cks_package *package, cks_status status);
/* One finding at the file, and line when it is not 0; later ones are dropped. */
void cks_package_refuse(cks_package *package, cks_rule rule, uint32_t line, const char *format, ...) CKS_PRINTF(4, 5);
/* The part that target names, seen from the part `from` (CKS_NONE: the root); CKS_NONE: not there. */
cks_id cks_package_find(const cks_package *package, cks_id from, const char *target);
void cks_zip_part_open(cks_zip_part *part, cks_package *package, cks_id id);
size_t cks_zip_part_read(cks_zip_part *part, char *into, size_t n); /* 0: at the end, or the package goes on no more */
void cks_zip_part_close(cks_zip_part *part);

/* ---- xlsx_xml.c: one part of XML --------------------------------------------------------------------------------- */

/* Element `name` within state `in` (0: the root) is `state` (from 1 on); elements without a row are passed over. */
typedef struct {
  uint8_t in;
  const char *name;
  uint8_t state;
} cks_xml_step;

typedef struct {
  cks_package *package;
  const cks_xml_step *step;
  size_t n_step;
  void *to;
  void (*begin)(void *to, unsigned state, const char *const *attribute); /* each may be NULL */
  void (*end)(void *to, unsigned state);
  void (*text)(void *to, unsigned state, const char *text, size_t n);
  bool done;         /* set by a callback: the rest is not read */
  XML_Parser parser; /* from here on xlsx_xml.c's own */
  uint8_t path[CKS_XLSX_DEPTH];
  size_t depth, silent;
  bool doctype, deep;
} cks_xml;

void cks_xml_read(cks_xml *xml, cks_id part);
const char *cks_xml_attribute(const char *const *attribute, const char *name); /* NULL: not there */
bool cks_xml_true(const char *value);                                          /* "1", "true", "on" */
bool cks_xml_count(const char *text, uint32_t *value);                         /* decimal digits alone */

/* Bytes that grow. */
typedef struct {
  char *text; /* size room, n filled */
  size_t n, room;
} cks_bytes;
/* False: no memory. */
bool cks_bytes_add(cks_bytes *bytes, const char *text, size_t n);
/* Trims, makes line breaks spaces and takes _xHHHH_ (ST_Xstring) for the character; in place. */
void cks_xlsx_tidy(char *text, size_t *from, size_t *n);

/* ---- xlsx_format.c: what a number format shows ------------------------------------------------------------------- */

typedef enum { CKS_SHOWN_PLAIN, CKS_SHOWN_DATE, CKS_SHOWN_TIME, CKS_SHOWN_PERCENT, CKS_SHOWN_PADDED } cks_shown_kind;
enum { CKS_SHOWN_LITERAL = 40, CKS_SHOWN_TEXT = 64 };
typedef struct {
  uint8_t kind;
  uint8_t width;       /* PADDED: digits */
  const char *literal; /* words beside the number, such as a unit; NULL: none */
} cks_shown;

typedef struct {
  locale_t c;
  bool date_1904;
  char mark; /* decimal mark of the texts handed on */
} cks_number_style;

/* literal: size CKS_SHOWN_LITERAL, "" when there is none. */
cks_shown cks_shown_of_code(const char *code, char *literal);
cks_shown cks_shown_built_in(uint32_t id);
/* The text of the number in into; its length. What is no number is handed on as it is. text ends with NUL. */
size_t cks_shown_number(const cks_number_style *style, const cks_shown *shown, const char *text, size_t n,
                        char into[CKS_SHOWN_TEXT]);

/* ---- xlsx_styles.c, xlsx_strings.c ------------------------------------------------------------------------------- */

typedef struct {
  cks_shown *shown; /* size n: by the style of a cell */
  size_t n;
} cks_xlsx_styles;
void cks_xlsx_read_styles(cks_package *package, cks_id part, cks_arena *arena, cks_xlsx_styles *styles);

typedef struct {
  cks_bytes pool;
  uint32_t *at; /* size room; text i is pool[at[i], at[i + 1]), n of them */
  size_t n, room;
} cks_xlsx_strings;
void cks_xlsx_read_strings(cks_package *package, cks_id part, cks_xlsx_strings *strings);
void cks_xlsx_strings_release(cks_xlsx_strings *strings);

/* ---- xlsx_merged.c ----------------------------------------------------------------------------------------------- */

typedef struct {
  uint32_t row, last_row, column, last_column; /* 1-based */
} cks_cell_range;
typedef struct {
  cks_cell_range *range; /* size room, n filled, by first row, then column */
  size_t n, room;
} cks_xlsx_merged;
void cks_xlsx_read_merged(cks_package *package, cks_id part, cks_xlsx_merged *merged);
/* "D14" at *text, which is moved behind it; a row or column that is not named is 0. False: no such cell. */
bool cks_xlsx_cell_name(const char **text, uint32_t *row, uint32_t *column);

struct cks_xlsx {
  cks_package package;
  cks_arena *arena;
  cks_number_style number;
  bool stale; /* the writer asks for every formula to be computed anew: a kept 0 is no value */
  size_t n_sheet, room_sheet;
  struct cks_xlsx_sheet {
    const char *name;
    bool hidden;
    cks_id part; /* CKS_NONE: not there */
  } * sheet;
  cks_xlsx_styles styles;
  cks_xlsx_strings strings;
};

#endif
