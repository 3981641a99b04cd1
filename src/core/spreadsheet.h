/* spreadsheet.h: texts of cells that stand for a value which a spreadsheet could not give. */
#ifndef CKS_CORE_SPREADSHEET_H
#define CKS_CORE_SPREADSHEET_H

#include <stddef.h>

typedef enum {
  CKS_STAND_IN_NONE,   /* any other text */
  CKS_STAND_IN_ERROR,  /* "#DIV/0!" */
  CKS_STAND_IN_FORMULA /* "=C2*2": the formula in the place of its result */
} cks_stand_in;
cks_stand_in cks_stand_in_of(const char *text, size_t n);

#endif
