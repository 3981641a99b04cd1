/* sheet_names.h: names that a workbook takes for its sheets. */
#ifndef CKS_WRITE_SHEET_NAMES_H
#define CKS_WRITE_SHEET_NAMES_H

#include <stddef.h>

enum { CKS_SHEET_NAME_UNITS = 31, CKS_SHEET_NAME_BYTES = CKS_SHEET_NAME_UNITS * 3 + 1 };

typedef char cks_sheet_name[CKS_SHEET_NAME_BYTES];

/* A legal name made of title, unlike the n names before it: at most 31 UTF-16 units, none of []:*?/\ nor control
 * characters (blanks instead), no straight apostrophe (a curly one instead: formulas quote names with straight ones),
 * no blank at its ends, not empty, not "History"; without regard to case no two are alike (Latin, Greek and Cyrillic
 * letters), by " (2)", " (3)" ... */
void cks_sheet_name_make(const char *title, size_t n, const cks_sheet_name *before, cks_sheet_name into);

#endif
