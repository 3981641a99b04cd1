/* sections.h: the sections of a report, one file each, in the order of report.c; each adds itself to the draft. */
#ifndef CKS_REPORT_SECTIONS_H
#define CKS_REPORT_SECTIONS_H

#include "draft.h"

void cks_screen_add(cks_draft *draft);              /* the first screen: answer, places, what next */
const char *cks_screen_data_line(cks_draft *draft); /* ... of it: what was noticed in the data */
void cks_places_add(cks_draft *draft);              /* ... its places, from screen.c */
void cks_handouts_add(cks_draft *draft);            /* a page a location; only settings.sheet_for when that is given */
void cks_calendar_add(cks_draft *draft);            /* dates of stages at each environment */
void cks_calendar_events_add(cks_draft *draft); /* ... of them what a phone is told: no section, the report's events */
void cks_full_add(cks_draft *draft);            /* every figure of each trait, letters too */
void cks_location_table_add(cks_draft *draft);  /* hybrids down, locations across */
void cks_next_year_add(cks_draft *draft);       /* lists from which next year's entries are chosen */
void cks_variance_add(cks_draft *draft);        /* analyses of variance and components */
void cks_interaction_add(cks_draft *draft);     /* hybrids by environments: slopes, stability, axes */
void cks_versus_add(cks_draft *draft);          /* head-to-head alone: what its screen shows */
void cks_versus_figures_add(cks_draft *draft);  /* ... and its other figures, and the means at each environment */
void cks_versus_beside_add(cks_draft *draft); /* beside the rest: the leading trait, every hybrid against each check */
void cks_maturity_add(cks_draft *draft);      /* days to mid-bloom from place to place: calls, and what they say */
void cks_maturity_figures_add(cks_draft *draft); /* ... the days at each environment, pairs of slopes, lines */
void cks_forage_add(cks_draft *draft);           /* cuts, published windows, nitrate, prussic acid, cautions */
/* ... of it, for every sheet: the standing caution and the published figures; environment CKS_NONE: of all places; nothing
 * of a crop that is no forage. */
void cks_cautions_add(cks_draft *draft); /* ... as a section of the first screen */
void cks_forage_caution(cks_draft *draft, cks_section *section, cks_id environment);
void cks_findings_add_section(cks_draft *draft);
void cks_methods_add(cks_draft *draft);
void cks_plots_add(cks_draft *draft);      /* plots as used and left out */
void cks_chart_data_add(cks_draft *draft); /* the cells that charts point at; last */

/* location_table.c: the table of one trait. */
void cks_location_table_put(cks_draft *draft, cks_section *section, const cks_trait_result *trait);

/* charts.c. Dots of an analysis in its print order with an LSD bar and the first check as a line, the first `most`
 * rows; NULL when there are fewer than two or memory is short. The chart's data join draft.chart_table. */
const cks_chart *cks_chart_dots(cks_draft *draft, const char *key, const cks_trait_result *trait,
                                const cks_analysis *analysis, const char *place, size_t most);
/* The same, or by group one for each group in which differences were found, each with its own bar; none where there are
 * more than CKS_CHART_DOTS of them. Returns how many. */
enum { CKS_CHART_DOTS = 6 };
size_t cks_chart_dots_all(cks_draft *draft, const char *key, const cks_trait_result *trait,
                          const cks_analysis *analysis, const char *place, size_t most,
                          const cks_chart *chart[CKS_CHART_DOTS]);
/* Leading trait against days to mid-bloom, checks named; environment CKS_NONE: across. NULL when either is missing. */
const cks_chart *cks_chart_against_bloom(cks_draft *draft, cks_id environment);

/* next_year.c: its tables hold intervals of differences from a check. */
bool cks_next_year_has_intervals(cks_draft *draft);

/* methods.c: "" or the trait's caution: rating, arcsine, no good end. */
const char *cks_methods_caution(const cks_trait_result *trait);

#endif
