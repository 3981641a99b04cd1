/* derive.h: what the files that make traits of other columns share. Values are in canonical order, one a plot. */
#ifndef CKS_AUDIT_DERIVE_H
#define CKS_AUDIT_DERIVE_H

#include "audit.h"

/* Where a plot's input stands. */
typedef struct {
  const cks_column *column; /* the plot list's; NULL: none */
  cks_role role;
  cks_unit to;
} cks_input_at;

/* The plot's own value, else the place's, in unit in->to. */
double cks_input_value(const cks_audit_work *work, const cks_trial *trial, const cks_input_at *in, size_t plot);

/* What a harvest weighed, and of what area. */
typedef struct {
  cks_input_at weight, gross, tare, length, width, rows, spacing, moisture, wet;
} cks_harvest_inputs;

/* lb; NaN when none stands there. */
double cks_harvest_weight(const cks_audit_work *work, const cks_trial *trial, const cks_harvest_inputs *in,
                          size_t plot);
double cks_harvest_acres(const cks_audit_work *work, const cks_trial *trial, const cks_harvest_inputs *in, size_t plot);
/* The column that a plot's yield is made of. */
const cks_column *cks_harvest_source(const cks_harvest_inputs *in, size_t plot);

/* The column of a trait made of others, in unit when it is new; key NULL: the role's. The columns may have moved. */
cks_status cks_derived_column(cks_audit_work *work, cks_role role, const char *key, cks_unit unit, cks_column **out);
/* A value made of another one stands where that one does. */
cks_status cks_derived_place(const cks_audit_work *work, cks_column *made, const cks_column *from, size_t plot);

#endif
