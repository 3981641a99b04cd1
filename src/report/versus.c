/*
 * versus.c: head-to-head: what a pair of hybrids, or every hybrid against each check, can be told to differ by, and how
 * many tests stand behind it. How often a hybrid was better never stands without how often it was tried, nor as a percent.
 */
#include "cells.h"
#include "claims.h"
#include "sections.h"
#include "words.h"

/* ---- words ------------------------------------------------------------------------------------------------------ */

/* How many of the rows came below alpha, and how many would by chance. */
static const char *chance_words(cks_draft *draft, size_t n_test, size_t n_below)
{
  double alpha = draft->results->alpha;
  const char *level = cks_words_alpha(draft, alpha);
  if (n_test < 2) return "";
  return cks_arena_format(
      draft->arena,
      "Tests: %zu, each by itself. If no two of these hybrids differed, about %s of them would still "
      "come below %s by chance alone; %zu did, by t.",
      n_test, cks_words_number(draft, alpha * (double)n_test, 1), level, n_below);
}

static void count_tests(const cks_draft *draft, const cks_trait_result *t, size_t *n_test, size_t *n_below)
{
  *n_test += t->versus.n_test;
  for (size_t i = 0; i < t->versus.n_row; i++)
    *n_below += t->versus.row[i].tested && t->versus.row[i].p <= draft->results->alpha;
}

static const char *chance_of_trait(cks_draft *draft, const cks_trait_result *t)
{
  size_t n_test = 0, n_below = 0;
  count_tests(draft, t, &n_test, &n_below);
  return chance_words(draft, n_test, n_below);
}

static const char *chance_of_all(cks_draft *draft)
{
  size_t n_test = 0, n_below = 0;
  for (size_t i = 0; i < draft->results->n_trait; i++) count_tests(draft, &draft->results->trait[i], &n_test, &n_below);
  return chance_words(draft, n_test, n_below);
}

static bool has_seasons(const cks_trait_result *t)
{
  bool any = false;
  for (size_t i = 0; i < t->versus.n_row; i++) any |= t->versus.row[i].n_location < t->versus.row[i].n;
  return any;
}

/* What a row counts: places, as long as none stands in it twice. */
static const char *word_of_trials(const cks_draft *draft)
{
  bool seasons = false;
  for (size_t i = 0; i < draft->results->n_trait; i++) seasons |= has_seasons(&draft->results->trait[i]);
  return seasons ? "trials" : "places";
}

static const char SEASONS[] = "Some of these are years or trials of one place: such are not independent, and the tests "
                              "take them as if they were, so they look surer than they are.";
static const char ANGLE[] = "Percents: t and p are of the angle whose sine is the root of the proportion, so no SE or "
                            "interval in percent is printed.";

static const char *skipped_words(cks_draft *draft, const cks_trait_result *t)
{
  const char *skipped = t->versus.skipped;
  return *skipped ? cks_arena_format(draft->arena, "%s, %s.", cks_words_capital(draft, t->label),
                                     cks_draft_text(draft, skipped))
                  : "";
}

/* Of a rating that is tested all the same. */
static const char *rating_words(cks_draft *draft, const cks_trait_result *t)
{
  if (t->measure != CKS_MEASURE_RATING) return "";
  return cks_arena_format(draft->arena, "%s: %s", cks_words_capital(draft, t->label), cks_methods_caution(t));
}

/* "yield, bu/ac" */
static const char *trait_name(cks_draft *draft, const cks_trait_result *t)
{
  const char *unit = t->unit == CKS_UNIT_SCORE ? "" : cks_unit_text(t->unit);
  return *unit ? cks_arena_format(draft->arena, "%s, %s", t->label, unit) : t->label;
}

static const char *part_name(cks_draft *draft, const cks_versus_row *row)
{
  if (row->part == CKS_NONE) return "all";
  const char *name = draft->results->by.name[row->part];
  return name ? cks_draft_text(draft, name) : "not given";
}

/* ---- tables ----------------------------------------------------------------------------------------------------- */

/* Columns of every table. A table takes some of those behind the names; a name that it has no use for is dropped. */
enum {
  OF_LABEL, /* trait, hybrid or value of --by: what the rows differ in */
  OF_CHECK,
  OF_PART,
  OF_N,
  OF_WINS,
  OF_TIES,
  OF_LOSSES,
  OF_DIFFERENCE,
  OF_SD,
  OF_SE,
  OF_T,
  OF_DF,
  OF_P,
  OF_LOW,
  OF_HIGH,
  OF_SIGN,
  COLUMNS
};
#define COLUMN(name) (1u << (name))
static const unsigned ANSWER = COLUMN(OF_N) | COLUMN(OF_WINS) | COLUMN(OF_TIES) | COLUMN(OF_LOSSES) |
                               COLUMN(OF_DIFFERENCE) | COLUMN(OF_SE) | COLUMN(OF_P) | COLUMN(OF_LOW) | COLUMN(OF_HIGH) |
                               COLUMN(OF_SIGN),
                      FIGURES = COLUMN(OF_N) | COLUMN(OF_DIFFERENCE) | COLUMN(OF_SD) | COLUMN(OF_SE) | COLUMN(OF_T) |
                                COLUMN(OF_DF) | COLUMN(OF_P);

/* A table while it is filled: which columns, and whether wins and losses are such. */
typedef struct {
  cks_report_table *table; /* NULL: out of memory, or no row */
  unsigned columns;
} sheet;

static sheet begin_table(cks_draft *draft, const char *key, const char *title, const char *label, bool good_end,
                         size_t n, unsigned columns)
{
  const char *by = draft->results->by.heading,
             *level = cks_arena_format(draft->arena, "%.4g", 100 * (1 - draft->results->alpha));
  const cks_heading headings[COLUMNS] = {
      {"label", label, NULL, true},
      {"against", "against", NULL, true},
      {"value", by ? cks_draft_text(draft, by) : "", NULL, true},
      {"n", word_of_trials(draft), NULL, false},
      {"wins", good_end ? "better" : "above", NULL, false},
      {"ties", "ties", NULL, false},
      {"losses", good_end ? "worse" : "below", NULL, false},
      {"mean_difference", "mean difference", "mean\ndiff.", false},
      {"sd", "SD", NULL, false},
      {"se", "SE", NULL, false},
      {"t", "t", NULL, false},
      {"df", "df", NULL, false},
      {"p", "p, paired t", "p,\nt test", false},
      {"ci_low", cks_arena_format(draft->arena, "%s %% interval from", level),
       cks_arena_format(draft->arena, "%s %%\nfrom", level), false},
      {"ci_high", "to", NULL, false},
      {"sign_p", "p, sign test", "p, sign\ntest", false},
  };
  return (sheet){n ? cks_draft_headed(draft, key, title, COLUMNS, headings, n) : NULL, columns};
}

static int digits_of(const cks_trait_result *t) { return t->digits ? t->digits : 1; }

static void put_figure(cks_draft *draft, const sheet *to, size_t at, size_t column, double value, int digits)
{
  if (!(to->columns & COLUMN(column)) || cks_is_missing(value)) return;
  cks_cell_put(to->table, at, column, cks_cell_number(draft, value, digits));
}

static void put_p(cks_draft *draft, const sheet *to, size_t at, size_t column, double p)
{
  if (to->columns & COLUMN(column)) cks_cell_put(to->table, at, column, cks_cell_p(draft, p));
}

static void put_row(cks_draft *draft, const sheet *to, size_t at, const cks_trait_result *t, const cks_versus_row *row)
{
  int digits = digits_of(t);
  double none = cks_missing();
  put_figure(draft, to, at, OF_N, row->n, 0);
  put_figure(draft, to, at, OF_WINS, row->counted ? row->wins : none, 0);
  put_figure(draft, to, at, OF_TIES, row->counted ? row->ties : none, 0);
  put_figure(draft, to, at, OF_LOSSES, row->counted ? row->losses : none, 0);
  put_figure(draft, to, at, OF_DIFFERENCE, row->mean_difference, digits);
  put_figure(draft, to, at, OF_SD, row->sd, digits + 1);
  put_figure(draft, to, at, OF_SE, row->se, digits + 1);
  put_figure(draft, to, at, OF_T, row->t, 2);
  put_figure(draft, to, at, OF_DF, row->df, 0);
  put_p(draft, to, at, OF_P, row->p);
  put_figure(draft, to, at, OF_LOW, row->low, digits);
  put_figure(draft, to, at, OF_HIGH, row->high, digits);
  put_p(draft, to, at, OF_SIGN, row->sign_p);
}

/* The rows of one trait: of a pair its values of --by, else hybrids, and what they are held against. */
static cks_report_table *table_of_trait(cks_draft *draft, const cks_trait_result *t, unsigned columns)
{
  const cks_results *results = draft->results;
  bool pair = results->pair.asked;
  const char *label = pair ? cks_draft_text(draft, results->by.heading) : "hybrid",
             *key = cks_words_key(draft, t, columns == ANSWER ? "versus" : "versus-figures");
  sheet to = begin_table(draft, key, cks_words_capital(draft, trait_name(draft, t)), label,
                         t->better != CKS_BETTER_NONE, t->versus.n_row, columns);
  for (size_t i = 0; i < t->versus.n_row; i++) {
    const cks_versus_row *row = &t->versus.row[i];
    cks_cell part = cks_cell_text(part_name(draft, row));
    cks_cell_put(to.table, i, OF_LABEL, pair ? part : cks_cell_hybrid(draft, row->a));
    if (!pair && results->n_check > 1) cks_cell_put(to.table, i, OF_CHECK, cks_cell_hybrid(draft, row->b));
    if (!pair && results->by.heading) cks_cell_put(to.table, i, OF_PART, part);
    put_row(draft, &to, i, t, row);
  }
  cks_draft_drop_blank(to.table);
  return to.table;
}

static bool has_end(const cks_trait_result *t) { return t->better != CKS_BETTER_NONE; }

/* A row a trait, of those with a good end or of those without. */
static cks_report_table *table_of_traits(cks_draft *draft, bool good_end)
{
  const cks_results *results = draft->results;
  size_t n = 0, at = 0;
  for (size_t i = 0; i < results->n_trait; i++) n += has_end(&results->trait[i]) == good_end;
  sheet to = begin_table(draft, good_end ? "versus" : "versus-no-end", "", good_end ? "trait" : "no good end", good_end,
                         n, ANSWER);
  for (size_t i = 0; i < results->n_trait; i++) {
    const cks_trait_result *t = &results->trait[i];
    if (has_end(t) != good_end) continue;
    cks_cell_put(to.table, at, OF_LABEL, cks_cell_text(trait_name(draft, t)));
    put_row(draft, &to, at++, t, &t->versus.row[0]);
  }
  cks_draft_drop_blank(to.table);
  return to.table;
}

/* The same of all traits, with the figures that the answer leaves out. */
static cks_report_table *table_of_figures(cks_draft *draft)
{
  const cks_results *results = draft->results;
  sheet to = begin_table(draft, "versus-figures", "Figures of the t test", "trait", true, results->n_trait, FIGURES);
  for (size_t i = 0; i < results->n_trait; i++) {
    const cks_trait_result *t = &results->trait[i];
    cks_cell_put(to.table, i, OF_LABEL, cks_cell_text(trait_name(draft, t)));
    put_row(draft, &to, i, t, &t->versus.row[0]);
  }
  cks_draft_drop_blank(to.table);
  return to.table;
}

/* Both hybrids of the pair at each environment. */
static cks_report_table *table_of_places(cks_draft *draft, const cks_trait_result *t)
{
  const cks_versus_row *row = &t->versus.row[0];
  const cks_heading headings[] = {{"environment", "place", NULL, true},
                                  {"mean_a", cks_words_hybrid(draft, row->a), NULL, false},
                                  {"mean_b", cks_words_hybrid(draft, row->b), NULL, false},
                                  {"difference", "difference", NULL, false}};
  int digits = digits_of(t);
  cks_report_table *table = row->n_place ? cks_draft_headed(draft, cks_words_key(draft, t, "versus-places"),
                                                            cks_words_capital(draft, trait_name(draft, t)),
                                                            sizeof headings / sizeof *headings, headings, row->n_place)
                                         : NULL;
  for (size_t i = 0; i < row->n_place; i++) {
    const cks_versus_place *place = &row->place[i];
    const char *label = draft->trial->environment[place->environment].label;
    cks_cell_put(table, i, 0, cks_cell_text(cks_draft_text(draft, label)));
    cks_cell_put(table, i, 1, cks_cell_number(draft, place->a, digits));
    cks_cell_put(table, i, 2, cks_cell_number(draft, place->b, digits));
    cks_cell_put(table, i, 3, cks_cell_number(draft, place->difference, digits));
  }
  return table;
}

/* ---- sections --------------------------------------------------------------------------------------------------- */

static const char *title_line(cks_draft *draft)
{
  const cks_results *results = draft->results;
  const char *years = cks_words_years(draft), *who = "every hybrid against each check";
  if (results->pair.asked)
    who = cks_arena_format(draft->arena, "%s against %s", cks_words_hybrid(draft, results->pair.a),
                           cks_words_hybrid(draft, results->pair.b));
  return cks_arena_format(draft->arena, "%s%s%s: %s, head to head", cks_words_capital(draft, draft->trial->crop->label),
                          *years ? ", " : "", years, who);
}

static const char *basis_line(cks_draft *draft)
{
  const cks_results *results = draft->results;
  bool pair = results->pair.asked;
  const char *first = pair ? cks_words_hybrid(draft, results->pair.a) : "hybrid",
             *second = pair                    ? cks_words_hybrid(draft, results->pair.b)
                       : results->n_check == 1 ? cks_words_hybrid(draft, results->check[0])
                                               : "check";
  const char *text = cks_arena_format(
      draft->arena, "Differences are %s less %s, of the adjusted means of each trial in which both stood.", first,
      second);
  return draft->lead ? cks_draft_sentence(draft, text, cks_words_basis(draft, draft->lead)) : text;
}

static void add_said(cks_draft *draft, cks_section *section)
{
  const cks_results *results = draft->results;
  const char *said = "", *more = "";
  bool seasons = false, angle = false;
  for (size_t i = 0; i < results->n_trait; i++) {
    const cks_trait_result *t = &results->trait[i];
    const char *claim = cks_claim_versus(draft, t, &t->versus.row[0]);
    said = cks_draft_line(draft, said,
                          cks_arena_format(draft->arena, "%s: %s", cks_words_capital(draft, t->label), claim));
    more = cks_draft_sentence(draft, more, rating_words(draft, t));
    more = cks_draft_sentence(draft, more, skipped_words(draft, t));
    seasons |= has_seasons(t);
    angle |= t->arcsine && t->versus.n_test;
  }
  cks_draft_say(draft, section, CKS_PART_PARAGRAPH, said);
  const char *doubts = cks_draft_sentence(draft, chance_of_all(draft), seasons ? SEASONS : "");
  doubts = cks_draft_sentence(draft, doubts, angle ? ANGLE : "");
  cks_draft_say(draft, section, CKS_PART_PARAGRAPH, cks_draft_sentence(draft, doubts, more));
}

static void add_pair(cks_draft *draft, cks_section *section)
{
  const cks_results *results = draft->results;
  bool parts = results->by.heading != NULL;
  if (!parts) cks_draft_table_add(draft, section, table_of_traits(draft, true));
  if (!parts) cks_draft_table_add(draft, section, table_of_traits(draft, false));
  for (size_t i = 0; i < results->n_trait && parts; i++)
    cks_draft_table_add(draft, section, table_of_trait(draft, &results->trait[i], ANSWER));
  add_said(draft, section);
}

/* Every hybrid against each check in one trait, and what its figures are worth. */
static void add_trait(cks_draft *draft, cks_section *section, const cks_trait_result *t)
{
  cks_report_table *table = table_of_trait(draft, t, ANSWER);
  if (!table) return;
  const char *text = cks_draft_sentence(draft, chance_of_trait(draft, t), has_seasons(t) ? SEASONS : "");
  text = cks_draft_sentence(draft, text, t->arcsine && t->versus.n_test ? ANGLE : "");
  text = cks_draft_sentence(draft, text, cks_methods_caution(t));
  table->caption = cks_draft_sentence(draft, text, skipped_words(draft, t));
  cks_draft_table_add(draft, section, table);
}

static void add_next(cks_draft *draft)
{
  const cks_results *results = draft->results;
  cks_section *section = cks_draft_section(draft, "next", "Next", CKS_FOR_SCREEN);
  section->first_screen = true;
  const char *text = cks_screen_data_line(draft);
  if (!results->pair.asked && results->n_trait > 1 && !draft->settings->full)
    text = cks_draft_line(draft, text,
                          cks_arena_format(draft->arena, "%s: --full, or one of them: --trait NAME",
                                           cks_words_count(draft, results->n_trait - 1, "more trait")));
  cks_draft_say(draft, section, CKS_PART_PARAGRAPH, text);
}

void cks_versus_add(cks_draft *draft)
{
  cks_section *section = cks_draft_section(draft, "versus", "Head to head", CKS_FOR_ALL);
  section->first_screen = true;
  cks_draft_say(draft, section, CKS_PART_HEADING, cks_draft_line(draft, title_line(draft), basis_line(draft)));
  if (draft->results->pair.asked)
    add_pair(draft, section);
  else if (draft->lead)
    add_trait(draft, section, draft->lead);
  add_next(draft);
}

void cks_versus_figures_add(cks_draft *draft)
{
  const cks_results *results = draft->results;
  bool pair = results->pair.asked, parts = results->by.heading != NULL;
  cks_section *section = cks_draft_section(draft, "versus-figures", "Head to head figures", CKS_FOR_ALL);
  section->new_page = true;
  cks_draft_say(draft, section, CKS_PART_HEADING,
                pair ? "Head to head: figures, and both at each place" : "Head to head: other traits and figures");
  if (!pair && results->n_trait > 1)
    cks_draft_say(draft, section, CKS_PART_PARAGRAPH,
                  cks_draft_sentence(draft, "All traits together.", chance_of_all(draft)));
  for (size_t i = 0; i < results->n_trait && !pair; i++)
    if (&results->trait[i] != draft->lead) add_trait(draft, section, &results->trait[i]);
  if (pair && !parts) cks_draft_table_add(draft, section, table_of_figures(draft));
  for (size_t i = 0; i < results->n_trait && (!pair || parts); i++)
    cks_draft_table_add(draft, section, table_of_trait(draft, &results->trait[i], FIGURES));
  for (size_t i = 0; i < results->n_trait && pair; i++)
    cks_draft_table_add(draft, section, table_of_places(draft, &results->trait[i]));
}

void cks_versus_beside_add(cks_draft *draft)
{
  if (!draft->lead || !draft->lead->versus.n_row) return;
  cks_section *section = cks_draft_section(draft, "versus", "Head to head", CKS_FOR_ALL);
  section->new_page = true;
  cks_draft_say(draft, section, CKS_PART_HEADING,
                cks_draft_line(draft, "Head to head: every hybrid against each check", basis_line(draft)));
  add_trait(draft, section, draft->lead);
}
