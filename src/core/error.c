/* error.c: the status sentences, and the error object whose first cause wins. */
#include "utf8.h"

#include <checkstrip/base.h>

#include <stdarg.h>
#include <stdio.h>

#define STATUS_TEXT(id, text) text,
static const char *const status_texts[CKS_STATUS_COUNT] = {CKS_STATUSES(STATUS_TEXT)};
#undef STATUS_TEXT

const char *cks_status_text(cks_status status)
{
  return (unsigned)status < CKS_STATUS_COUNT ? status_texts[status] : "an unknown status";
}

cks_status cks_error_set(cks_error *error, cks_status status, const char *format, ...)
{
  if (error && error->status == CKS_OK) {
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(error->text, sizeof error->text, format, arguments);
    va_end(arguments);
    cks_utf8_mend(error->text); /* a text cut short may end inside a character */
    error->status = status;
  }
  return status;
}

cks_status cks_error_nomem(cks_error *error)
{
  return cks_error_set(error, CKS_NOMEM, "%s", cks_status_text(CKS_NOMEM));
}
