/* interaction.h: hybrids by environments as the document of json.c holds them. */
#ifndef CKS_WRITE_INTERACTION_H
#define CKS_WRITE_INTERACTION_H

#include "../core/json.h"

#include <checkstrip/run.h>

/* The member "interaction" of a trait; null for one of one environment, which interaction_why says. */
void cks_json_interaction(cks_json *json, const cks_trial *trial, const cks_results *results,
                          const cks_interaction *interaction);

#endif
