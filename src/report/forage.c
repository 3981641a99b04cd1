/*
 * forage.c: a forage's cuts beside the published windows, nitrate and prussic acid beside the published tables, and the
 * cautions that stand on every sheet of a forage.
 *
 * Facts and published figures stand side by side, each figure with its source; nothing is judged by them here. The
 * standing caution is CKS_FORAGE_CAUTION: whoever feeds the forage asks a laboratory and a veterinarian.
 */
#include "cells.h"
#include "sections.h"
#include "words.h"

#include <math.h>
#include <string.h>

static bool is_forage(const cks_draft *draft) { return draft->trial->crop->forage; }

static const char *place_of(cks_draft *draft, cks_id environment)
{
  return cks_draft_text(draft, draft->trial->environment[environment].label);
}

static const char *cut_of(cks_draft *draft, size_t cut) { return cks_draft_text(draft, draft->trial->cut[cut].label); }

/* "Gale Bottom, cut 2" */
static const char *where_cut(cks_draft *draft, cks_id environment, size_t cut)
{
  const char *label = cut_of(draft, cut);
  return cks_arena_format(draft->arena, "%s%s%s", place_of(draft, environment), *label ? ", " : "", label);
}

/* "5 to 6", "65"; "" when the words say all. */
static const char *figure_words(cks_draft *draft, const cks_figure *f)
{
  if (!cks_is_missing(f->low) && !cks_is_missing(f->high))
    return cks_arena_format(draft->arena, "%g to %g", f->low, f->high);
  return cks_is_missing(f->usual) ? "" : cks_arena_format(draft->arena, "%g", f->usual);
}

static const char *range_words(cks_draft *draft, const cks_nitrate_row *row)
{
  return isinf(row->to) ? cks_arena_format(draft->arena, "%g and above", row->from)
                        : cks_arena_format(draft->arena, "%g to %g", row->from, row->to);
}

/* ---- the cautions ----------------------------------------------------------------------------------------------- */

/* Those of the limits and of the waits after frost, each with its source; the rest stand in the section. */
static const char *prussic_words(cks_draft *draft)
{
  static const char *const keys[] = {"toxic-as-is", "toxic-dry", "wait-frost-texas", "wait-frost-k-state",
                                     "wait-frost-older"};
  const char *text = "";
  for (size_t i = 0; cks_prussic_acid_at(i); i++) {
    const cks_trade_fact *fact = cks_prussic_acid_at(i);
    bool named = false;
    for (size_t k = 0; k < sizeof keys / sizeof *keys; k++) named = named || !strcmp(keys[k], fact->key);
    if (named)
      text = cks_arena_format(draft->arena, "%s%s%s: %s %s (%s%s%s)", text, *text ? "; " : "", fact->what,
                              figure_words(draft, &fact->figure), fact->unit, fact->words, *fact->words ? "; " : "",
                              fact->source);
  }
  return cks_arena_format(draft->arena, "Prussic acid (HCN), as published: %s.", text);
}

/* The first row that says something, and the last, of each table. */
static const char *nitrate_words(cks_draft *draft)
{
  const char *text = "";
  for (size_t i = 0; cks_nitrate_table_at(i); i++) {
    const cks_nitrate_table *table = cks_nitrate_table_at(i);
    const cks_nitrate_row *first = &table->row[1], *last = &table->row[table->n - 1];
    text = cks_arena_format(draft->arena, "%s%s%s: from %g %.*s, from %g %s", text, *text ? "; " : "", table->label,
                            first->from, (int)strcspn(first->words, ";"), first->words, last->from, last->words);
  }
  return cks_arena_format(draft->arena, "Nitrate, ppm NO3-N of dry matter, by published tables that disagree: %s.",
                          text);
}

/* "Gale Bottom, cut 2: nitrate up to 2310 ppm NO3-N (dry), Orrin 327S": the highest of each cut that was tested. */
static const char *found_words(cks_draft *draft, cks_id environment)
{
  const cks_forage *forage = &draft->results->forage;
  const char *text = "";
  for (size_t i = 0; i < forage->n_content;) {
    const cks_content_facts *first = &forage->content[i], *most = first;
    for (; i < forage->n_content && forage->content[i].content == first->content &&
           forage->content[i].environment == first->environment;
         i++)
      if (forage->content[i].highest > most->highest) most = &forage->content[i];
    if (environment != CKS_NONE && environment != first->environment) continue;
    const cks_content *content = &draft->trial->content[most->content];
    const char *form = content->prussic_acid ? "HCN" : cks_nitrate_text(content->form);
    text = cks_draft_sentence(
        draft, text,
        cks_arena_format(
            draft->arena, "Highest %s found, %s: %s %s %s (%s) in %s.",
            content->prussic_acid ? "prussic acid" : "nitrate", where_cut(draft, most->environment, content->cut),
            cks_words_number(draft, most->highest, content->unit == CKS_UNIT_PERCENT ? 3 : 0),
            cks_unit_text(content->unit), form, content->dry ? "dry" : "as is", cks_words_hybrid(draft, most->hybrid)));
  }
  return text;
}

void cks_forage_caution(cks_draft *draft, cks_section *section, cks_id environment)
{
  if (!is_forage(draft)) return;
  cks_draft_say(draft, section, CKS_PART_CAUTION,
                cks_draft_sentence(draft, CKS_FORAGE_CAUTION, found_words(draft, environment)));
  cks_draft_say(draft, section, CKS_PART_PARAGRAPH, cks_draft_line(draft, prussic_words(draft), nitrate_words(draft)));
}

void cks_cautions_add(cks_draft *draft)
{
  if (!is_forage(draft)) return;
  cks_section *section = cks_draft_section(draft, "cautions", "Cautions", CKS_FOR_ALL);
  section->first_screen = true;
  cks_forage_caution(draft, section, CKS_NONE);
}

/* ---- cuts ------------------------------------------------------------------------------------------------------- */

static const char *days_words(cks_draft *draft, const cks_cut_facts *f)
{
  char first[CKS_NUMBER_TEXT], last[CKS_NUMBER_TEXT];
  if (cks_is_missing(f->first_day)) return "";
  cks_print_date(first, f->first_day);
  return f->first_day == f->last_day
             ? cks_arena_text(draft->arena, first)
             : cks_arena_format(draft->arena, "%s to %s", first, cks_print_date(last, f->last_day));
}

static cks_report_table *cut_table(cks_draft *draft)
{
  enum { PLACE, CUT, DAY, PLANTED, BEFORE, STAGE, HEIGHT, MOISTURE, PLOTS, COLUMNS };
  static const cks_heading heading[COLUMNS] = {
      {"place", "place", NULL, true},
      {"cut", "cut", NULL, true},
      {"day", "cut on", NULL, true},
      {"after-planting", "days after planting", "days\nafter\nplanting", false},
      {"after-cut", "days after the cut before", "after\nthe cut\nbefore", false},
      {"stage", "stage at the cut", NULL, true},
      {"height", "height, in", "height\nin", false},
      {"moisture", "moisture, %", "mois-\nture\n%", false},
      {"plots", "plots with a yield", "plots", false},
  };
  const cks_forage *forage = &draft->results->forage;
  cks_report_table *table = cks_draft_headed(draft, "cuts", "Cuts", COLUMNS, heading, forage->n_cut);
  if (!table) return NULL;
  for (size_t i = 0; i < forage->n_cut; i++) {
    const cks_cut_facts *f = &forage->cut[i];
    cks_cell_put(table, i, PLACE, cks_cell_text(place_of(draft, f->environment)));
    cks_cell_put(table, i, CUT, cks_cell_text(cut_of(draft, f->cut)));
    cks_cell_put(table, i, DAY, cks_cell_text(days_words(draft, f)));
    cks_cell_put(table, i, PLANTED, cks_cell_given(draft, f->after_planting, 0));
    cks_cell_put(table, i, BEFORE, cks_cell_given(draft, f->after_cut, 0));
    cks_cell_put(table, i, STAGE, cks_cell_text(cks_draft_text(draft, f->stage)));
    cks_cell_put(table, i, HEIGHT, cks_cell_given(draft, f->height_in, 0));
    cks_cell_put(table, i, MOISTURE, cks_cell_given(draft, f->moisture_pct, 1));
    cks_cell_put(table, i, PLOTS, cks_cell_count(draft, f->plots));
  }
  table->caption = "Days, height and moisture are means of the plots; the stage stands as written, with its plots.";
  cks_draft_drop_blank(table);
  return table;
}

/* ---- published figures ------------------------------------------------------------------------------------------ */

typedef const cks_trade_fact *(*fact_at)(size_t i);

/* "height at a cut: 24 to 36 in; quality falls beyond the upper figure" */
static const char *fact_words(cks_draft *draft, const cks_trade_fact *fact)
{
  const char *figure = figure_words(draft, &fact->figure);
  bool figured = *figure != '\0', worded = *fact->words != '\0';
  return cks_arena_format(draft->arena, "%s: %s%s%s%s%s", fact->what, figure, figured && *fact->unit ? " " : "",
                          figured ? fact->unit : "", figured && worded ? "; " : "", fact->words);
}

/* crop NULL: of every crop. */
static cks_report_table *fact_table(cks_draft *draft, const char *key, const char *title, fact_at at, const char *crop)
{
  enum { WHAT, SOURCE, COLUMNS };
  static const cks_heading heading[COLUMNS] = {{"what", "as published", NULL, true}, {"source", "source", NULL, true}};
  size_t n = 0, row = 0;
  for (size_t i = 0; at(i); i++) n += !crop || !strcmp(at(i)->crop, crop);
  cks_report_table *table = n ? cks_draft_headed(draft, key, title, COLUMNS, heading, n) : NULL;
  for (size_t i = 0; table && at(i); i++) {
    const cks_trade_fact *fact = at(i);
    if (crop && strcmp(fact->crop, crop)) continue;
    cks_cell_put(table, row, WHAT, cks_cell_text(fact_words(draft, fact)));
    cks_cell_put(table, row++, SOURCE, cks_cell_text(fact->source));
  }
  return table;
}

/* "Clemson, 1000 to 1500: the table limits it to ..." */
static const char *row_words(cks_draft *draft, const cks_nitrate_table *table, const cks_nitrate_row *row)
{
  return cks_arena_format(draft->arena, "%s, %s: %s", table->label, range_words(draft, row), row->words);
}

static cks_report_table *nitrate_tables(cks_draft *draft)
{
  enum { WORDS, SOURCE, COLUMNS };
  static const cks_heading heading[COLUMNS] = {{"row", "ppm NO3-N of dry matter", NULL, true},
                                               {"source", "source", NULL, true}};
  size_t n = 0, row = 0;
  for (size_t i = 0; cks_nitrate_table_at(i); i++) n += cks_nitrate_table_at(i)->n;
  cks_report_table *table = cks_draft_headed(draft, "nitrate-tables", "Nitrate, as published", COLUMNS, heading, n);
  for (size_t i = 0; table && cks_nitrate_table_at(i); i++) {
    const cks_nitrate_table *t = cks_nitrate_table_at(i);
    for (size_t k = 0; k < t->n; k++, row++) {
      cks_cell_put(table, row, WORDS, cks_cell_text(row_words(draft, t, &t->row[k])));
      cks_cell_put(table, row, SOURCE, cks_cell_text(t->source));
    }
  }
  return table;
}

/* ---- what was found --------------------------------------------------------------------------------------------- */

/* Written as what the others are restated as: once is enough. */
static bool is_restated(const cks_content *content)
{
  return content->dry && content->unit == CKS_UNIT_PPM && (content->prussic_acid || content->form == CKS_NITRATE_N);
}

static cks_report_table *content_table(cks_draft *draft)
{
  enum { PLACE, CUT, HYBRID, FORM, PLOTS, HIGHEST, MEAN, HIGHEST_DRY, MEAN_DRY, COLUMNS };
  static const cks_heading heading[COLUMNS] = {
      {"place", "place", NULL, true},
      {"cut", "cut", NULL, true},
      {"hybrid", "hybrid", NULL, true},
      {"form", "form, unit and basis", NULL, true},
      {"plots", "plots", NULL, false},
      {"highest", "highest", NULL, false},
      {"mean", "mean", NULL, false},
      {"highest-dry", "highest, ppm NO3-N or HCN of dry matter", "highest,\nppm of\ndry\nmatter", false},
      {"mean-dry", "mean, ppm NO3-N or HCN of dry matter", "mean,\nppm of\ndry\nmatter", false},
  };
  const cks_forage *forage = &draft->results->forage;
  cks_report_table *table = forage->n_content ? cks_draft_headed(draft, "contents", "Nitrate and prussic acid found",
                                                                 COLUMNS, heading, forage->n_content)
                                              : NULL;
  for (size_t i = 0; table && i < forage->n_content; i++) {
    const cks_content_facts *f = &forage->content[i];
    const cks_content *content = &draft->trial->content[f->content];
    int digits = content->unit == CKS_UNIT_PERCENT ? 3 : 0;
    cks_cell_put(table, i, PLACE, cks_cell_text(place_of(draft, f->environment)));
    cks_cell_put(table, i, CUT, cks_cell_text(cut_of(draft, content->cut)));
    cks_cell_put(table, i, HYBRID, cks_cell_text(cks_words_hybrid(draft, f->hybrid)));
    cks_cell_put(table, i, FORM,
                 cks_cell_text(cks_arena_format(draft->arena, "%s, %s, %s",
                                                content->prussic_acid ? "HCN" : cks_nitrate_text(content->form),
                                                cks_unit_text(content->unit), content->dry ? "dry" : "as is")));
    cks_cell_put(table, i, PLOTS, cks_cell_count(draft, f->n));
    cks_cell_put(table, i, HIGHEST, cks_cell_number(draft, f->highest, digits));
    cks_cell_put(table, i, MEAN, cks_cell_number(draft, f->mean, digits));
    if (is_restated(content)) continue;
    cks_cell_put(table, i, HIGHEST_DRY, cks_cell_number(draft, f->highest_dry, 0));
    cks_cell_put(table, i, MEAN_DRY, cks_cell_number(draft, f->mean_dry, 0));
  }
  cks_draft_drop_blank(table);
  if (table)
    table->caption =
        "As written, then nitrate as NO3-N (and prussic acid as HCN) of dry matter, where it is not that already; a "
        "dash: "
        "the dry matter of some plot is not known. A mean hides the highest, which stands first. Nothing is tested.";
  return table;
}

/* Who stands in a row of a published table, by its highest figure: "Gale Bottom, cut 2: A, B". */
static const char *who_in(cks_draft *draft, const cks_nitrate_table *table, const cks_nitrate_row *row)
{
  const cks_forage *forage = &draft->results->forage;
  const char *text = "";
  const cks_content_facts *last = NULL;
  for (size_t i = 0; i < forage->n_content; i++) {
    const cks_content_facts *f = &forage->content[i];
    const cks_content *content = &draft->trial->content[f->content];
    if (content->prussic_acid || cks_nitrate_row_of(table, f->highest_dry) != row) continue;
    const char *name = cks_words_hybrid(draft, f->hybrid);
    text = last && last->environment == f->environment && last->content == f->content
               ? cks_arena_format(draft->arena, "%s, %s", text, name)
               : cks_arena_format(draft->arena, "%s%s%s: %s", text, last ? "; " : "",
                                  where_cut(draft, f->environment, content->cut), name);
    last = f;
  }
  return text;
}

static cks_report_table *beside_table(cks_draft *draft)
{
  enum { WORDS, WHO, COLUMNS };
  static const cks_heading heading[COLUMNS] = {{"row", "ppm NO3-N of dry matter", NULL, true},
                                               {"who", "whose highest figure lies there", NULL, true}};
  size_t n = 0, row = 0;
  for (size_t i = 0; cks_nitrate_table_at(i); i++)
    for (size_t k = 0; k < cks_nitrate_table_at(i)->n; k++)
      n += *who_in(draft, cks_nitrate_table_at(i), &cks_nitrate_table_at(i)->row[k]) != '\0';
  cks_report_table *table =
      n ? cks_draft_headed(draft, "nitrate-beside", "Nitrate: the highest figures beside each published table", COLUMNS,
                           heading, n)
        : NULL;
  for (size_t i = 0; table && cks_nitrate_table_at(i); i++) {
    const cks_nitrate_table *t = cks_nitrate_table_at(i);
    for (size_t k = 0; k < t->n; k++) {
      const char *who = who_in(draft, t, &t->row[k]);
      if (!*who || row >= n) continue;
      cks_cell_put(table, row, WORDS, cks_cell_text(row_words(draft, t, &t->row[k])));
      cks_cell_put(table, row++, WHO, cks_cell_text(who));
    }
  }
  return table;
}

/* ---- the section ------------------------------------------------------------------------------------------------ */

void cks_forage_add(cks_draft *draft)
{
  if (!is_forage(draft)) return;
  const char *crop = draft->trial->crop->key;
  cks_section *section = cks_draft_section(draft, "forage", "Forage", CKS_FOR_ALL);
  section->new_page = true;
  cks_draft_say(draft, section, CKS_PART_HEADING, "Forage: cuts, published windows, nitrate and prussic acid");
  cks_draft_say(draft, section, CKS_PART_CAUTION, CKS_FORAGE_CAUTION);
  cks_draft_table_add(draft, section, cut_table(draft));
  cks_draft_say(
      draft, section, CKS_PART_PARAGRAPH,
      "Beside the cuts, when and how high to cut as it is published. Sources differ and stand side by side; none "
      "is chosen, and no cut is judged by them. Of what is lost by waiting only what a source says is printed.");
  cks_draft_table_add(draft, section, fact_table(draft, "windows", "Published windows", cks_forage_window_at, crop));
  cks_draft_table_add(draft, section, content_table(draft));
  cks_draft_table_add(draft, section, beside_table(draft));
  cks_draft_table_add(draft, section, nitrate_tables(draft));
  cks_draft_table_add(draft, section,
                      fact_table(draft, "prussic-acid", "Prussic acid, as published", cks_prussic_acid_at, NULL));
}
