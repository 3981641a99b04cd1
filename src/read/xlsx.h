/*
 * xlsx.h: a workbook (.xlsx, ECMA-376 / ISO/IEC 29500) as sheets of rows and cells, for the same handlers as a CSV file.
 *
 * Cells come as a person sees them in the sheet: numbers in at most 15 digits, dates as YYYY-MM-DD, percents with their
 * sign, the kept value of a formula. Parts are found by relationships, never by name; nothing outside them is followed.
 */
#ifndef CKS_READ_XLSX_H
#define CKS_READ_XLSX_H

#include "read.h"

typedef struct cks_xlsx cks_xlsx;

/* The first bytes of a file are those of a zip file. */
bool cks_xlsx_is(const unsigned char *head, size_t n);
/* *refused: a finding at reading->file says why, and *out is NULL. CKS_NOMEM, CKS_IO. */
cks_status cks_xlsx_open(const cks_reading *reading, const cks_source *source, cks_xlsx **out, bool *refused);
void cks_xlsx_free(cks_xlsx *xlsx);
size_t cks_xlsx_sheets(const cks_xlsx *xlsx); /* in the order of the workbook; sheets of charts are none */
const char *cks_xlsx_sheet_name(const cks_xlsx *xlsx, size_t sheet);
bool cks_xlsx_sheet_hidden(const cks_xlsx *xlsx, size_t sheet);
/* Rows in order, those without a value left out; a row's line is its number. *refused: a finding says why reading ended
 * early. May be called again for the same sheet. */
cks_status cks_xlsx_read(cks_xlsx *xlsx, size_t sheet, const cks_reading *reading, const cks_row_handler *handler,
                         bool *refused);

#endif
