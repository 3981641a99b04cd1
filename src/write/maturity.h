/* maturity.h: what is known of the season, as keys of the JSON. */
#ifndef CKS_WRITE_MATURITY_H
#define CKS_WRITE_MATURITY_H

#include "../core/json.h"

#include <checkstrip/run.h>

/* "maturity": null and maturity_why where days to mid-bloom stand at fewer than two environments. */
void cks_json_maturity(cks_json *json, const cks_trial *trial, const cks_results *results);

#endif
