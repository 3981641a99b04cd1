/* make_xlsx.h: workbooks made by hand for tests: any parts as a zip file in memory. */
#ifndef CKS_TEST_MAKE_XLSX_H
#define CKS_TEST_MAKE_XLSX_H

#include <stddef.h>

typedef struct {
  const char *name, *text;
} test_part; /* of a zip file; all are deflated */

/* The zip file of the parts in *n bytes; malloc. */
char *test_zip(size_t n_part, const test_part *part, size_t *n);

enum { TEST_SHEETS = 4 };
typedef struct {
  const char *name, *attribute, *content; /* attribute: of the sheet, or NULL; content: of its worksheet element */
} test_sheet;
typedef struct {
  test_sheet sheet[TEST_SHEETS];         /* up to the first without a name */
  const char *styles, *strings, *before; /* contents of styleSheet and sst, what stands before sheets; NULL: none */
} test_book;
char *test_book_bytes(const test_book *book, size_t *n);

/* "<row><c>..": rows of cells from "a|b;c|d": text as inline strings, what looks like a number as one; malloc. */
char *test_sheet_rows(const char *cells);

#endif
