/* forage.h: what a forage's JSON holds besides its traits. */
#ifndef CKS_WRITE_FORAGE_H
#define CKS_WRITE_FORAGE_H

#include "../core/json.h"

#include <checkstrip/run.h>

/* The keys "forage" and "cautions"; nothing of a crop that is no forage. */
void cks_json_forage(cks_json *json, const cks_trial *trial, const cks_results *results);

#endif
