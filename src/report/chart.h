/*
 * chart.h: what charts are put together from: axes that end on a step, a small table that only the workbook keeps, series
 * that point at its cells.
 */
#ifndef CKS_REPORT_CHART_H
#define CKS_REPORT_CHART_H

#include "cells.h"

/* The numbers that an axis must hold; begins as {INFINITY, -INFINITY}. */
typedef struct {
  double low, high;
} cks_extent;

void cks_extent_take(cks_extent *span, double value);
/* Steps of 1, 2 or 5 times a power of ten, about six of them, and ends on a step. */
cks_axis cks_axis_over(const char *label, const char *unit, cks_extent span);
const char *cks_axis_trait(cks_draft *draft, const cks_trait_result *trait); /* "yield, bu/ac" */
const char *cks_chart_name(cks_draft *draft, cks_id hybrid);                 /* short enough for a point */
/* Empty cells for a chart's data, which join draft.chart_table; NULL: out of memory. */
cks_report_table *cks_chart_data(cks_draft *draft, const char *key, const char *title, size_t n_column,
                                 const char *const *label, size_t n_row);
cks_range cks_chart_range(const cks_report_table *table, uint32_t column, uint32_t first, uint32_t n);
cks_chart *cks_chart_new(cks_draft *draft, const char *key, cks_chart_kind kind, size_t room); /* room: series */
void cks_chart_series(cks_chart *chart, cks_series series);

#endif
