/*
 * report.c: results to one cks_report: the only place that decides what is shown, in which digits and words.
 *
 * The sections are rows of one table, in the order in which they appear; --sheet-for takes the handouts alone.
 */
#include "draft.h"
#include "sections.h"
#include "shown.h"
#include "words.h"

#include "../core/utf8.h"

#include <stdlib.h>
#include <string.h>

static const char DISCLAIMER[] =
    "Results of one trial under its own conditions: no promise of performance elsewhere or in another year.";

typedef struct {
  void (*add)(cks_draft *draft);
  bool on_screen;    /* also when only the first screen is wanted */
  bool of_one_sheet; /* also when only one location's handout is wanted */
} section_fact;

/* What a grower gets comes first, what a researcher goes on with last. */
static const section_fact sections[] = {
    {cks_screen_add, true, false},
    {cks_handouts_add, false, true},
    {cks_location_table_add, false, false},
    {cks_forage_add, false, false},
    {cks_next_year_add, false, false},
    {cks_calendar_add, false, false},
    {cks_full_add, false, false},
    {cks_findings_add_section, false, false},
    {cks_methods_add, false, false},
    {cks_variance_add, false, false},
    {cks_interaction_add, false, false},
    {cks_versus_beside_add, false, false},
    {cks_plots_add, false, false},
    {cks_chart_data_add, false, true},
    {NULL, false, false},
};

/* Of a head-to-head alone. */
static const section_fact versus_sections[] = {
    {cks_versus_add, true, false},
    {cks_cautions_add, true, false},
    {cks_versus_figures_add, false, false},
    {cks_forage_add, false, false},
    {cks_findings_add_section, false, false},
    {cks_methods_add, false, false},
    {NULL, false, false},
};

/* Of days to mid-bloom alone. */
static const section_fact maturity_sections[] = {
    {cks_maturity_add, true, false},
    {cks_cautions_add, true, false},
    {cks_maturity_figures_add, false, false},
    {cks_calendar_add, false, false},
    {cks_findings_add_section, false, false},
    {cks_methods_add, false, false},
    {cks_chart_data_add, false, false},
    {NULL, false, false},
};

static const section_fact *const sections_of[] = {
    [CKS_ASK_ALL] = sections, [CKS_ASK_VERSUS] = versus_sections, [CKS_ASK_MATURITY] = maturity_sections};

/* How much a trait tells: 3 compares and has a good end, 2 compares, 1 has means, 0 nothing. */
static int tells(const cks_trait_result *t)
{
  bool any = t->across && t->across->method != CKS_METHOD_NONE, compares = t->across && cks_shown_compares(t->across);
  for (size_t i = 0; i < t->n_location; i++) {
    any = any || t->location[i].method != CKS_METHOD_NONE;
    compares = compares || cks_shown_compares(&t->location[i]);
  }
  return !any ? 0 : !compares ? 1 : t->better == CKS_BETTER_NONE ? 2 : 3;
}

/* Yield leads, of a forage the dry matter of its season; without it the first of the traits that tell most. */
static const cks_trait_result *lead_of(const cks_results *results)
{
  static const cks_role first[] = {CKS_ROLE_YIELD, CKS_ROLE_DRY_MATTER_YIELD};
  const cks_trait_result *lead = NULL;
  for (size_t i = 0; i < sizeof first / sizeof *first; i++) {
    const cks_trait_result *yield = cks_results_trait(results, first[i]);
    if (yield && tells(yield)) return yield;
  }
  for (size_t i = 0; i < results->n_trait; i++)
    if (tells(&results->trait[i]) > (lead ? tells(lead) : 0)) lead = &results->trait[i];
  return lead;
}

static const char *title_of(cks_draft *draft)
{
  if (draft->settings->title && *draft->settings->title) return cks_draft_text(draft, draft->settings->title);
  const char *years = cks_words_years(draft);
  return cks_arena_format(draft->arena, "%s hybrids%s%s", cks_words_capital(draft, draft->trial->crop->label),
                          *years ? ", " : "", years);
}

/* Names of the files, each once and in order, as many as the foot of a page holds. */
static const char *files_text(cks_draft *draft)
{
  enum { ROOM = 36 };
  const cks_trial *trial = draft->trial;
  const char *text = "", *last = "";
  size_t more = 0;
  for (size_t i = 0; i < trial->n_input; i++) {
    const char *name = cks_words_file(draft, trial->input[i].file);
    if (!strcmp(name, last)) continue; /* the sheets of one workbook */
    last = name;
    const char *longer = cks_arena_format(draft->arena, "%s%s%s", text, *text ? ", " : "", name);
    if (more || (*text && cks_utf8_width(longer, SIZE_MAX) > ROOM))
      more++;
    else
      text = longer;
  }
  size_t cut = cks_utf8_cut(text, ROOM);
  if (text[cut]) text = cks_arena_format(draft->arena, "%.*s\xE2\x80\xA6", (int)cut, text);
  return more ? cks_arena_format(draft->arena, "%s and %zu more", text, more) : text;
}

/* Source files and version: what the sheet came from. */
static const char *footer_of(cks_draft *draft)
{
  const char *files = files_text(draft);
  return cks_arena_format(draft->arena, "From %s by checkstrip %s", *files ? files : "a plot list", CKS_VERSION);
}

static void head(cks_draft *draft)
{
  cks_report *report = draft->report;
  report->organization = cks_draft_text(draft, draft->settings->organization);
  report->contact = cks_draft_text(draft, draft->settings->contact);
  report->date = cks_draft_text(draft, draft->settings->date);
  report->paper = draft->settings->paper && !strcmp(draft->settings->paper, "a4") ? "a4" : "letter";
  report->disclaimer = DISCLAIMER;
  report->title = title_of(draft);
  report->footer = footer_of(draft);
  report->findings = draft->findings;
}

cks_status cks_report_new(const cks_settings *settings, const cks_trial *trial, const cks_results *results,
                          const cks_findings *findings, bool screen_only, cks_report **out, cks_error *error)
{
  cks_status status = CKS_OK;
  cks_report *report = calloc(1, sizeof *report);
  *out = NULL;
  if (report) report->arena = cks_arena_new();
  if (!report || !report->arena) {
    status = cks_error_nomem(error);
    goto done;
  }
  cks_draft draft = {.settings = settings,
                     .trial = trial,
                     .results = results,
                     .findings = findings,
                     .lead = lead_of(results),
                     .report = report,
                     .arena = report->arena,
                     .error = error};
  head(&draft);
  bool one_sheet = settings->sheet_for && settings->question == CKS_ASK_ALL;
  for (const section_fact *s = sections_of[settings->question]; s->add; s++)
    if (one_sheet ? s->of_one_sheet : s->on_screen || !screen_only) s->add(&draft);
  cks_calendar_events_add(&draft);
  status = cks_arena_status(report->arena, error);
  if (status == CKS_OK) status = draft.status;
done:
  if (status == CKS_OK)
    *out = report;
  else
    cks_report_free(report);
  return status;
}

void cks_report_free(cks_report *report)
{
  if (!report) return;
  cks_arena_free(report->arena);
  free(report);
}

const cks_report_table *cks_report_find(const cks_report *report, const char *table_key)
{
  for (size_t s = 0; s < report->n_section; s++)
    for (size_t p = 0; p < report->section[s].n_part; p++) {
      const cks_report_table *table = report->section[s].part[p].table;
      if (table && !strcmp(table->key, table_key)) return table;
    }
  return NULL;
}
