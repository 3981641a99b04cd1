/*
 * plots.c: the plots as used, each with its file and line, and those left out with their reason: what every figure goes
 * back to. A plot that a finding names carries its rule; the findings say more. Beyond MOST_PLOTS the sheet is left out
 * and says so.
 */
#include "cells.h"
#include "sections.h"
#include "words.h"

#include <stdlib.h>
#include <string.h>

enum { MOST_PLOTS = 100000 };

/* The facts of a plot before its traits; a column that no plot fills is left out. */
typedef enum {
  FACT_PLACE,
  FACT_YEAR,
  FACT_TRIAL,
  FACT_REP,
  FACT_BLOCK,
  FACT_PLOT,
  FACT_ROW,
  FACT_COLUMN,
  FACT_STRIP,
  FACT_HYBRID,
  N_FACT
} fact;
static const char *const fact_labels[N_FACT] = {"location", "year", "trial",  "rep",   "block",
                                                "plot",     "row",  "column", "strip", "hybrid"};
enum { TAIL_USED, TAIL_FILE, TAIL_LINE, TAIL_WHY, N_TAIL };
static const char *const tail_labels[N_TAIL] = {"used", "file", "line", "note"};

/* ---- findings by file and line ---------------------------------------------------------------------------------- */

typedef struct {
  cks_id file;
  uint32_t line;
  const char *text;
} mark;

static int compare(const void *left, const void *right)
{
  const mark *a = left, *b = right;
  if (a->file != b->file) return a->file < b->file ? -1 : 1;
  if (a->line != b->line) return a->line < b->line ? -1 : 1;
  return strcmp(a->text, b->text);
}

static mark *marks_of(cks_draft *draft, size_t *n)
{
  const cks_findings *findings = draft->findings;
  mark *marks = cks_arena_take(draft->arena, findings->n, sizeof *marks);
  *n = 0;
  for (size_t i = 0; marks && i < findings->n; i++) {
    const cks_finding *f = &findings->finding[i];
    if (f->where.line && f->rule != CKS_RULE_LEFT_OUT)
      marks[(*n)++] = (mark){f->where.file, f->where.line, cks_rule_find(f->rule)->name};
  }
  if (marks && *n) qsort(marks, *n, sizeof *marks, compare);
  return marks;
}

/* The rules of all findings on a line, each once, "; " between. */
static const char *mark_text(cks_draft *draft, const mark *marks, size_t n, cks_id file, uint32_t line)
{
  const char *text = "";
  size_t low = 0, high = n;
  while (low < high) {
    size_t middle = low + (high - low) / 2;
    bool before = marks[middle].file < file || (marks[middle].file == file && marks[middle].line < line);
    if (before)
      low = middle + 1;
    else
      high = middle;
  }
  for (size_t first = low; low < n && marks[low].file == file && marks[low].line == line; low++)
    if (low == first || strcmp(marks[low].text, marks[low - 1].text))
      text = cks_arena_format(draft->arena, "%s%s%s", text, *text ? "; " : "", marks[low].text);
  return text;
}

/* ---- columns ---------------------------------------------------------------------------------------------------- */

static cks_cell position(cks_draft *draft, const int32_t *at, size_t i)
{
  return at && at[i] != INT32_MIN ? cks_cell_number(draft, at[i], 0) : cks_cell_none();
}

static cks_cell named(const uint32_t *of, size_t i, const char *const *name)
{
  return of && of[i] != CKS_NONE ? cks_cell_text(name[of[i]]) : cks_cell_none();
}

/* Texts are copied once, here, and shared by all plots that print them. */
typedef struct {
  const char **location, **trial, **rep, **block, **hybrid, **file;
} shared_texts;

static const char **copies(cks_draft *draft, size_t n)
{
  return cks_arena_take(draft->arena, n ? n : 1, sizeof(const char *));
}

static bool share(cks_draft *draft, shared_texts *texts)
{
  const cks_trial *t = draft->trial;
  *texts = (shared_texts){copies(draft, t->n_environment), copies(draft, t->n_environment),
                          copies(draft, t->n_rep),         copies(draft, t->n_block),
                          copies(draft, t->n_hybrid),      copies(draft, draft->findings->n_file)};
  if (!texts->location || !texts->trial || !texts->rep || !texts->block || !texts->hybrid || !texts->file) return false;
  for (size_t i = 0; i < t->n_environment; i++) {
    texts->location[i] = cks_draft_text(draft, t->location[t->environment[i].location]);
    texts->trial[i] = cks_draft_text(draft, t->environment[i].trial);
  }
  for (size_t i = 0; i < t->n_rep; i++) texts->rep[i] = cks_draft_text(draft, t->rep[i]);
  for (size_t i = 0; i < t->n_block; i++) texts->block[i] = cks_draft_text(draft, t->block[i]);
  for (size_t i = 0; i < t->n_hybrid; i++) texts->hybrid[i] = cks_words_hybrid(draft, (cks_id)i);
  for (size_t i = 0; i < draft->findings->n_file; i++) texts->file[i] = cks_words_file(draft, (cks_id)i);
  return true;
}

static cks_cell fact_cell(cks_draft *draft, const shared_texts *texts, fact which, size_t i)
{
  const cks_trial *t = draft->trial;
  uint32_t e = t->environment_of[i];
  switch (which) {
  case FACT_PLACE:
    return cks_cell_text(texts->location[e]);
  case FACT_YEAR:
    return t->environment[e].year ? cks_cell_number(draft, t->environment[e].year, 0) : cks_cell_none();
  case FACT_TRIAL:
    return cks_cell_text(texts->trial[e]);
  case FACT_REP:
    return named(t->rep_of, i, texts->rep);
  case FACT_BLOCK:
    return named(t->block_of, i, texts->block);
  case FACT_PLOT:
    return t->plot_of ? cks_cell_text(cks_draft_text(draft, cks_names_text(&t->names, t->plot_of[i])))
                      : cks_cell_none();
  case FACT_ROW:
    return position(draft, t->row, i);
  case FACT_COLUMN:
    return position(draft, t->column, i);
  case FACT_STRIP:
    return position(draft, t->strip, i);
  default:
    return cks_cell_text(texts->hybrid[t->hybrid_of[i]]);
  }
}

static bool is_filled(const cks_trial *t, fact which)
{
  bool year = false, trial = false;
  for (size_t i = 0; i < t->n_environment; i++) {
    year |= t->environment[i].year != 0;
    trial |= *t->environment[i].trial != '\0';
  }
  const bool filled[N_FACT] = {[FACT_PLACE] = true,
                               [FACT_YEAR] = year,
                               [FACT_TRIAL] = trial,
                               [FACT_REP] = t->rep_of != NULL,
                               [FACT_BLOCK] = t->block_of != NULL,
                               [FACT_PLOT] = t->plot_of != NULL || t->n_left_out > 0,
                               [FACT_ROW] = t->row != NULL,
                               [FACT_COLUMN] = t->column != NULL,
                               [FACT_STRIP] = t->strip != NULL,
                               [FACT_HYBRID] = true};
  return filled[which];
}

/* ---- the table -------------------------------------------------------------------------------------------------- */

typedef struct {
  size_t n_fact;
  fact fact[N_FACT];
  shared_texts texts;
  mark *marks;
  size_t n_mark;
} plot_sheet;

static void add_columns(cks_draft *draft, cks_report_table *table, const plot_sheet *sheet)
{
  size_t c = 0;
  for (size_t i = 0; i < sheet->n_fact; i++, c++) {
    bool number = sheet->fact[i] == FACT_YEAR || sheet->fact[i] == FACT_ROW || sheet->fact[i] == FACT_COLUMN ||
                  sheet->fact[i] == FACT_STRIP;
    table->column[c] = (cks_report_column){.key = fact_labels[sheet->fact[i]],
                                           .label = fact_labels[sheet->fact[i]],
                                           .unit = "",
                                           .group = "",
                                           .align = (int8_t)(number ? 1 : -1)};
  }
  for (size_t i = 0; i < draft->trial->n_trait; i++, c++) {
    const cks_trait *t = &draft->trial->trait[i];
    table->column[c] = (cks_report_column){.key = cks_draft_text(draft, t->key),
                                           .label = cks_draft_text(draft, t->label),
                                           .narrow = cks_arena_text(draft->arena, t->narrow),
                                           .unit = cks_unit_text(t->unit),
                                           .group = "",
                                           .digits = (int8_t)t->digits,
                                           .align = 1};
  }
  for (size_t i = 0; i < N_TAIL; i++, c++)
    table->column[c] = (cks_report_column){.key = tail_labels[i],
                                           .label = tail_labels[i],
                                           .unit = "",
                                           .group = "",
                                           .align = (int8_t)(i == TAIL_LINE ? 1 : -1)};
}

static void add_tail(cks_draft *draft, cks_report_table *table, size_t row, const plot_sheet *sheet, const char *used,
                     const char *why, cks_id file, uint32_t line, uint8_t marks)
{
  size_t c = table->n_column - N_TAIL;
  const char *name = file < draft->findings->n_file ? sheet->texts.file[file] : "";
  const cks_cell tail[N_TAIL] = {cks_cell_text(used), cks_cell_text(name), cks_cell_count(draft, line),
                                 cks_cell_text(why)};
  for (size_t i = 0; i < N_TAIL; i++) {
    cks_cell_put(table, row, c + i, tail[i]);
    table->cell[row * table->n_column + c + i].marks = marks;
  }
}

/* What was found in the lines where the plot and its values stand. */
static const char *why_of(cks_draft *draft, const plot_sheet *sheet, size_t plot)
{
  const cks_trial *t = draft->trial;
  const char *why = mark_text(draft, sheet->marks, sheet->n_mark, t->file[plot], t->line[plot]);
  for (size_t k = 0; k < t->n_trait; k++) {
    cks_where at = cks_trial_where(t, &t->trait[k], plot);
    bool seen = at.file == t->file[plot] && at.line == t->line[plot];
    for (size_t before = 0; before < k && !seen; before++) {
      cks_where last = cks_trial_where(t, &t->trait[before], plot);
      seen = last.file == at.file && last.line == at.line;
    }
    const char *more = seen ? "" : mark_text(draft, sheet->marks, sheet->n_mark, at.file, at.line);
    why = *more ? cks_arena_format(draft->arena, "%s%s%s", why, *why ? "; " : "", more) : why;
  }
  return why;
}

static void add_plot(cks_draft *draft, cks_report_table *table, size_t i, const plot_sheet *sheet)
{
  const cks_trial *t = draft->trial;
  size_t c = 0;
  for (; c < sheet->n_fact; c++) cks_cell_put(table, i, c, fact_cell(draft, &sheet->texts, sheet->fact[c], i));
  for (size_t k = 0; k < t->n_trait; k++, c++)
    cks_cell_put(table, i, c, cks_cell_number(draft, t->trait[k].value[i], t->trait[k].digits + 1));
  const char *why = why_of(draft, sheet, i);
  add_tail(draft, table, i, sheet, "yes", why, t->file[i], t->line[i], *why ? CKS_MARK_FLAG : 0);
}

static void add_left_out(cks_draft *draft, cks_report_table *table, size_t i, const plot_sheet *sheet)
{
  const cks_left_out *out = &draft->trial->left_out[i];
  size_t row = draft->trial->n_plot + i;
  for (size_t c = 0; c < sheet->n_fact; c++) {
    const char *text = sheet->fact[c] == FACT_PLACE    ? out->location
                       : sheet->fact[c] == FACT_PLOT   ? out->plot
                       : sheet->fact[c] == FACT_HYBRID ? out->hybrid
                                                       : "";
    cks_cell_put(table, row, c, cks_cell_text(cks_draft_text(draft, text)));
  }
  add_tail(draft, table, row, sheet, "left out", cks_draft_text(draft, out->reason), out->file, out->line,
           CKS_MARK_FLAG);
}

static cks_report_table *all_plots(cks_draft *draft)
{
  const cks_trial *t = draft->trial;
  plot_sheet sheet = {0};
  for (fact which = 0; which < N_FACT; which++)
    if (is_filled(t, which)) sheet.fact[sheet.n_fact++] = which;
  sheet.marks = marks_of(draft, &sheet.n_mark);
  if (!sheet.marks || !share(draft, &sheet.texts)) return NULL;
  cks_report_table *table =
      cks_draft_table(draft, "plots", "", sheet.n_fact + t->n_trait + N_TAIL, t->n_plot + t->n_left_out, 0);
  if (!table) return NULL;
  add_columns(draft, table, &sheet);
  for (size_t i = 0; i < t->n_plot; i++) add_plot(draft, table, i, &sheet);
  for (size_t i = 0; i < t->n_left_out; i++) add_left_out(draft, table, i, &sheet);
  return table;
}

void cks_plots_add(cks_draft *draft)
{
  size_t n = draft->trial->n_plot + draft->trial->n_left_out;
  cks_section *section = cks_draft_section(draft, "plots", "Plots", CKS_FOR_WORKBOOK);
  section->new_page = true;
  if (n > MOST_PLOTS) {
    cks_draft_say(draft, section, CKS_PART_PARAGRAPH,
                  cks_arena_format(draft->arena, "The list of %zu plots is left out: a sheet here holds %d at most.", n,
                                   (int)MOST_PLOTS));
    return;
  }
  const cks_trait_result *yield = cks_results_trait(draft->results, CKS_ROLE_YIELD);
  if (yield && yield->strips.used)
    cks_draft_say(draft, section, CKS_PART_PARAGRAPH, "Yields of strips stand here without the strip adjustment.");
  cks_draft_table_add(draft, section, all_plots(draft));
}
