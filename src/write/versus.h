/* versus.h: head-to-head as the document of json.c holds it. */
#ifndef CKS_WRITE_VERSUS_H
#define CKS_WRITE_VERSUS_H

#include "../core/json.h"

#include <checkstrip/run.h>

/* The members "versus" and "versus_tests" of the object that is open. */
void cks_json_versus(cks_json *json, const cks_trial *trial, const cks_results *results);

#endif
