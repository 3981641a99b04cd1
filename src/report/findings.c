/* findings.c: what was noticed about the data, errors first, and which plots were left out and why. */
#include "cells.h"
#include "sections.h"
#include "words.h"

enum { COLUMN_WHAT, COLUMN_WHERE, COLUMN_RULE, COLUMN_TEXT, COLUMNS };
static const char *const labels[COLUMNS] = {"", "where", "rule", "what was found"};

static const char *where(cks_draft *draft, cks_id file, uint32_t line)
{
  const char *name = cks_words_file(draft, file);
  return line ? cks_arena_format(draft->arena, "%s:%u", name, line) : name;
}

static cks_report_table *found(cks_draft *draft)
{
  const cks_findings *findings = draft->findings;
  cks_report_table *table = findings->n ? cks_draft_table(draft, "findings", "", COLUMNS, findings->n, 0) : NULL;
  for (size_t c = 0; table && c < COLUMNS; c++)
    table->column[c] = (cks_report_column){.key = labels[c], .label = labels[c], .unit = "", .group = "", .align = -1};
  for (size_t i = 0; table && i < findings->n; i++) {
    const cks_finding *f = &findings->finding[i];
    const char *text = cks_draft_text(draft, f->text);
    if (f->more) text = cks_arena_format(draft->arena, "%s (and %u more)", text, f->more);
    cks_cell_put(table, i, COLUMN_WHAT, cks_cell_text(cks_severity_text(f->severity)));
    cks_cell_put(table, i, COLUMN_WHERE, cks_cell_text(where(draft, f->where.file, f->where.line)));
    cks_cell_put(table, i, COLUMN_RULE, cks_cell_text(cks_rule_find(f->rule)->name));
    cks_cell_put(table, i, COLUMN_TEXT, cks_cell_text(text));
  }
  return table;
}

enum { OUT_WHERE, OUT_PLOT, OUT_HYBRID, OUT_REASON, OUT_COLUMNS };
static const char *const out_labels[OUT_COLUMNS] = {"where", "plot", "hybrid", "reason"};

static cks_report_table *left_out(cks_draft *draft)
{
  const cks_trial *trial = draft->trial;
  cks_report_table *table =
      trial->n_left_out ? cks_draft_table(draft, "left-out", "Plots left out", OUT_COLUMNS, trial->n_left_out, 0)
                        : NULL;
  for (size_t c = 0; table && c < OUT_COLUMNS; c++)
    table->column[c] =
        (cks_report_column){.key = out_labels[c], .label = out_labels[c], .unit = "", .group = "", .align = -1};
  for (size_t i = 0; table && i < trial->n_left_out; i++) {
    const cks_left_out *out = &trial->left_out[i];
    cks_cell_put(table, i, OUT_WHERE, cks_cell_text(where(draft, out->file, out->line)));
    const char *place = cks_draft_text(draft, out->location), *plot = cks_draft_text(draft, out->plot);
    cks_cell_put(table, i, OUT_PLOT, cks_cell_text(cks_draft_sentence(draft, place, plot)));
    cks_cell_put(table, i, OUT_HYBRID, cks_cell_text(cks_draft_text(draft, out->hybrid)));
    cks_cell_put(table, i, OUT_REASON, cks_cell_text(cks_draft_text(draft, out->reason)));
  }
  return table;
}

void cks_findings_add_section(cks_draft *draft)
{
  const size_t *n = draft->findings->n_severity;
  cks_section *section = cks_draft_section(draft, "findings", "Findings", CKS_FOR_ALL);
  section->new_page = true;
  cks_draft_say(draft, section, CKS_PART_HEADING, "What was noticed about the data");
  cks_draft_say(draft, section, CKS_PART_PARAGRAPH,
                cks_arena_format(
                    draft->arena,
                    "%s, %s, %s. A finding changes no figure by itself; plots are left out only where the data or an "
                    "option say so.",
                    cks_words_capital(draft, cks_words_count(draft, n[CKS_ERROR], "error")),
                    cks_words_count(draft, n[CKS_WARNING], "warning"), cks_words_count(draft, n[CKS_NOTE], "note")));
  cks_draft_table_add(draft, section, found(draft));
  cks_draft_table_add(draft, section, left_out(draft));
}
