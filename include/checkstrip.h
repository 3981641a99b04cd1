/*
 * checkstrip: from hybrid-trial plot lists to answers fit to hand to a grower.
 *
 * The parts stand in the order of the flow:
 *   files -> read -> cks_table -> audit -> cks_trial -> analyze -> cks_results -> report -> cks_report -> write -> files
 */
#ifndef CHECKSTRIP_H
#define CHECKSTRIP_H

#ifdef __cplusplus
extern "C" {
#endif

#include <checkstrip/base.h>
#include <checkstrip/finding.h>
#include <checkstrip/agronomy.h>
#include <checkstrip/weather.h>
#include <checkstrip/table.h>
#include <checkstrip/trial.h>
#include <checkstrip/interaction.h>
#include <checkstrip/maturity.h>
#include <checkstrip/versus.h>
#include <checkstrip/calendar.h>
#include <checkstrip/results.h>
#include <checkstrip/report.h>
#include <checkstrip/run.h>
#include <checkstrip/file.h>

#ifdef __cplusplus
}
#endif

#endif
