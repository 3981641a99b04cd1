/*
 * spreadsheet.c: the errors of a spreadsheet (ECMA-376 part 1, 18.17.3, and those that came later: common practice, no
 * source), and formulas.
 */
#include "spreadsheet.h"

#include <string.h>

static const char *const errors[] = {"#DIV/0!", "#N/A",   "#NAME?",  "#NULL!",    "#NUM!",     "#REF!",
                                     "#VALUE!", "#CALC!", "#SPILL!", "#BLOCKED!", "#UNKNOWN!", "#GETTING_DATA"};

cks_stand_in cks_stand_in_of(const char *text, size_t n)
{
  if (n > 1 && text[0] == '=')
    return text[1] == ' ' || text[1] == '=' || text[1] == '>' ? CKS_STAND_IN_NONE
                                                              : CKS_STAND_IN_FORMULA; /* "=>" is none */
  if (n && text[0] == '#')
    for (size_t i = 0; i < sizeof errors / sizeof *errors; i++)
      if (strlen(errors[i]) == n && !memcmp(errors[i], text, n)) return CKS_STAND_IN_ERROR;
  return CKS_STAND_IN_NONE;
}
