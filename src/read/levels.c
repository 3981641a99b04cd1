/*
 * levels.c: columns a rep, year or place whose headings do not say of which trait.
 *
 * "Hybrid, Rep 1, Rep 2": the numbers are of one trait, and only a line above can say which. Where exactly one trait is
 * named there (over the columns, or once in a title) it is taken; else the table is refused with what to write. A number
 * of an unknown trait is never analyzed, and columns that nobody can tell apart from places are no places.
 */
#include "form.h"

#include "../agronomy/words.h"

#include "../core/utf8.h"

#include <stdio.h>
#include <string.h>

/* Words for how a value came about, which are no places. */
static const char *const manners[] = {
    "adj",      "adjusted",  "raw",    "corrected", "uncorrected", "unadjusted", "hand",    "machine", "combine",
    "wet",      "dry",       "gross",  "net",       "rank",        "relative",   "percent", "pct",     "total",
    "sum",      "first",     "second", "early",     "late",        "before",     "after",   "old",     "new",
    "plot",     "strip",     "sample", "treated",   "untreated",   "check",      "test",    "trial",   "field",
    "measured", "estimated", "note",   "no",        "number",      "id"};

typedef struct {
  cks_level level;
  size_t n, first, second; /* columns of the level; the first two */
  bool bare;               /* "I", "II": a rep only where its heading says so */
} found_level;

/* ---- which columns ---------------------------------------------------------------------------------------------- */

static bool is_roman(const char *text)
{
  static const char *const roman[] = {"I", "II", "III", "IV", "V", "VI", "VII", "VIII"};
  for (size_t i = 0; i < sizeof roman / sizeof *roman; i++)
    if (!strcmp(text, roman[i])) return true;
  return false;
}

static bool is_number(const char *text)
{
  text += *text == '-' || *text == '+';
  size_t n = strspn(text, "0123456789.,"), length = cks_cell_unmarked(text, strlen(text));
  return n > 0 && n == length;
}

/* Do the rows kept hold numbers in the column, and nothing else? */
static bool holds_numbers(const search *s, const cks_form *form, size_t column)
{
  size_t numbers = 0;
  for (size_t r = form->first + form->n_head; r < s->rows->n_row; r++) {
    const char *cell = cks_rows_cell(s->rows, r, column);
    if (is_number(cell))
      numbers++;
    else if (*cell && !cks_cell_is_mark(cell, strlen(cell)))
      return false;
  }
  return numbers > 0;
}

/* May a text be a place's name? Not with a word of the trade, of how a value came about, or a unit in brackets. */
static bool may_be_place(search *s, const char *text)
{
  word words[CKS_SAID_WORDS];
  cks_role role;
  size_t n = cks_form_split(text, words);
  bool letters = false;
  if (!n || strpbrk(text, "([%/=<>") || (cks_words_summary(text) == CKS_SUMMARY_YES)) return false;
  for (const char *c = text; *c; c++) letters |= (*c >= 'A' && *c <= 'Z') || (*c >= 'a' && *c <= 'z') || *c < 0;
  for (size_t i = 0; i < n && letters; i++) {
    char folded[CKS_HEADING_LONGEST + 1];
    cks_word_fold(folded, words[i].at, words[i].n);
    for (size_t m = 0; m < sizeof manners / sizeof *manners; m++) letters &= strcmp(folded, manners[m]) != 0;
    letters &= !cks_vocabulary_find(s->context->vocabulary, words[i].at, words[i].n, &role);
  }
  return letters && !cks_vocabulary_near(s->context->vocabulary, text, strlen(text), &role);
}

static cks_level level_of(search *s, const cks_form *form, const said *column, size_t c)
{
  const char *heading = column[c].heading;
  if (column[c].known || !*heading) return CKS_LEVEL_NONE;
  if (column[c].rep_alone || is_roman(heading)) return CKS_LEVEL_REP;
  if (cks_form_is_year(heading)) return CKS_LEVEL_YEAR;
  return may_be_place(s, heading) && holds_numbers(s, form, c) ? CKS_LEVEL_LOCATION : CKS_LEVEL_NONE;
}

/* The level of two or more columns; reps go before years, years before places. */
static found_level find_level(search *s, const cks_form *form, const said *column)
{
  found_level of[CKS_LEVEL_LOCATION + 1] = {{CKS_LEVEL_NONE, 0, 0, 0, false}};
  for (size_t c = 0; c < s->n_column; c++) {
    cks_level level = level_of(s, form, column, c);
    found_level *l = &of[level];
    l->level = level;
    if (l->n == 0) l->first = c;
    if (l->n == 1) l->second = c;
    l->n++;
    l->bare |= level == CKS_LEVEL_REP && !column[c].rep_alone;
  }
  for (size_t k = CKS_LEVEL_REP; k <= CKS_LEVEL_LOCATION; k++)
    if (of[k].n > 1) return of[k];
  return (found_level){.level = CKS_LEVEL_NONE};
}

/* Does the table name its hybrids, and neither traits nor, for columns a place, what tells its plots apart? */
static bool lacks_trait(const search *s, const said *column, cks_level level)
{
  bool hybrid = false;
  for (size_t c = 0; c < s->n_column; c++) {
    cks_role role = column[c].role;
    if (!column[c].known) continue;
    hybrid |= role == CKS_ROLE_HYBRID || role == CKS_ROLE_TREATMENT || role == CKS_ROLE_ENTRY || role == CKS_ROLE_CODE;
    if (cks_form_is_measured(role) && role != CKS_ROLE_NOTE) return false;
    if (level == CKS_LEVEL_LOCATION &&
        (role == CKS_ROLE_PLOT || role == CKS_ROLE_ROW || role == CKS_ROLE_COLUMN || role == CKS_ROLE_LOCATION))
      return false;
  }
  return hybrid;
}

/* ---- the trait above -------------------------------------------------------------------------------------------- */

typedef struct {
  const char *heading; /* NULL: none */
  char key[CKS_HEADING_LONGEST + 1];
  size_t row;
  bool several; /* different traits are named */
} trait_above;

static void meet_trait(search *s, const char *text, size_t row, trait_above *t)
{
  cks_heading h;
  if (!cks_form_ask(s, text, &h) || !cks_form_is_measured(h.role) || h.role == CKS_ROLE_NOTE) return;
  t->several |= t->heading && strcmp(t->key, h.key) != 0;
  if (t->heading) return;
  t->heading = cks_arena_text(s->arena, text);
  t->row = row;
  snprintf(t->key, sizeof t->key, "%s", h.key);
}

/* "Grange: grain yield t/ha": the cell whole, else each of its parts. */
static void meet_traits(search *s, const char *cell, size_t row, trait_above *t)
{
  static const char parting[] = ":;,";
  char part[CKS_HEADING_LONGEST + 1];
  cks_heading h;
  if (!*cell || strlen(cell) > CKS_HEADING_LONGEST) return;
  if (cks_form_ask(s, cell, &h)) {
    meet_trait(s, cell, row, t);
    return;
  }
  while (*cell) {
    size_t n = strcspn(cell, parting), from = strspn(cell, " "), end = n;
    while (end > from && cell[end - 1] == ' ') end--;
    snprintf(part, sizeof part, "%.*s", (int)(end > from ? end - from : 0), cell + from);
    meet_trait(s, part, row, t);
    cell += n + (cell[n] != '\0');
  }
}

/* The trait in the nearest row above that has one over the column; the first column is a title's. */
static trait_above trait_over(search *s, const cks_form *form, size_t column)
{
  trait_above t = {.heading = NULL};
  for (size_t r = form->first; r-- > 0 && !t.heading;)
    if (!*cks_rows_cell(s->rows, r, 0) || s->rows->row[r].filled > 1)
      meet_trait(s, cks_form_group_over(s, r, column), r, &t);
  return t;
}

static trait_above trait_in_title(search *s, const cks_form *form)
{
  trait_above t = {.heading = NULL};
  for (size_t r = 0; r < form->first; r++)
    for (size_t c = 0; c < s->rows->row[r].n; c++) meet_traits(s, cks_rows_cell(s->rows, r, c), r, &t);
  return t;
}

/* Gives the level's columns their traits once each is found to have one; false: one has none. */
static bool take_traits(search *s, cks_form *form, said *column, cks_level level)
{
  trait_above title = trait_in_title(s, form);
  char value[CKS_SAID_LONGEST], heading[CKS_SAID_LONGEST];
  for (size_t pass = 0; pass < 2; pass++)
    for (size_t c = 0; c < s->n_column; c++) {
      cks_heading h;
      if (level_of(s, form, column, c) != level) continue;
      trait_above over = trait_over(s, form, c), *t = over.heading ? &over : &title;
      if (!t->heading || t->several) return false;
      if (!pass) continue;
      snprintf(heading, sizeof heading, "%.*s%s%.*s", CKS_HEADING_LONGEST, t->heading, *column[c].beside ? " " : "",
               CKS_HEADING_LONGEST, column[c].beside);
      cks_utf8_mend(heading);
      snprintf(value, sizeof value, "%s", column[c].rep_alone ? column[c].value : column[c].heading);
      if (!cks_form_ask(s, heading, &h)) return false;
      cks_form_know(&column[c], &h, heading, level, value);
      if (!form->trait_above)
        form->trait_above = cks_arena_format(s->arena, "'%.80s'", t->heading);
      else if (!strstr(form->trait_above, t->heading))
        form->trait_above = cks_arena_format(s->arena, "%s and '%.80s'", form->trait_above, t->heading);
      form->trait_line = s->rows->row[t->row].line;
    }
  return true;
}

/* ---- what is lacking -------------------------------------------------------------------------------------------- */

static const char *lacking(const search *s, const said *column, const found_level *l)
{
  const char *a = column[l->first].heading, *b = column[l->second].heading;
  const char *rep = column[l->first].rep_alone ? column[l->first].value : a, *beside = column[l->first].beside;
  char trait_a[CKS_SHELL_WORD], trait_b[CKS_SHELL_WORD];
  switch (l->level) {
  case CKS_LEVEL_REP:
    return cks_arena_format(s->arena,
                            "'%s' and '%s' are reps, but of what is not said; write 'yield rep %s%s%s' for '%s' (or "
                            "whichever trait it is) and so on, or 'rep %s%s%s' with the trait in a row above, or give "
                            "one row a plot",
                            a, b, rep, *beside ? " " : "", beside, a, rep, *beside ? " " : "", beside);
  case CKS_LEVEL_YEAR:
    return cks_arena_format(s->arena,
                            "'%s' and '%s' are years, but of what is not said; write the trait in the line above "
                            "the years, as 'yield (bu/ac)', or give one row a plot with a year column",
                            a, b);
  default:
    return cks_arena_format(s->arena,
                            "'%s' and '%s' hold numbers, and no heading says of which trait; if they are places, write "
                            "the trait in the line above them, as 'yield (bu/ac)', or give one row a plot with a "
                            "location column; if they are traits, give --trait %s --trait %s",
                            a, b, cks_shell_word(trait_a, a), cks_shell_word(trait_b, b));
  }
}

/* "Creek yield (t/ha)", "Yield Creek": what an unknown heading says whose first or last words name a harvest. */
typedef struct {
  cks_role role;
  char trait[CKS_SAID_LONGEST], rest[CKS_SAID_LONGEST]; /* "yield (t/ha)", "Creek" */
} in_part;

static bool holds_harvest(search *s, const said *column, in_part *p)
{
  word words[CKS_SAID_WORDS];
  char base[CKS_SAID_LONGEST], beside[CKS_SAID_LONGEST], front[CKS_SAID_LONGEST];
  cks_heading h;
  cks_form_part(column->heading, base, beside);
  size_t n = column->known ? 0 : cks_form_split(base, words);
  for (size_t at = 1; at < n; at++) {
    snprintf(front, sizeof front, "%.*s", (int)(words[at - 1].at + words[at - 1].n - base), base);
    bool behind = cks_form_ask(s, words[at].at, &h) && cks_form_is_harvest(h.role);
    if (!behind && !(cks_form_ask(s, front, &h) && cks_form_is_harvest(h.role))) continue;
    size_t end = strlen(words[at].at);
    while (end && words[at].at[end - 1] == ' ') end--;
    snprintf(p->trait, sizeof p->trait, "%.*s%s%.*s", behind ? (int)end : CKS_HEADING_LONGEST,
             behind ? words[at].at : front, *beside ? " " : "", CKS_HEADING_LONGEST, beside);
    snprintf(p->rest, sizeof p->rest, "%.*s", behind ? CKS_HEADING_LONGEST : (int)end, behind ? front : words[at].at);
    p->role = h.role;
    return true;
  }
  return false;
}

/* "Yield 2025", "Yield 2026": a harvest in two years or more. */
static void take_years(search *s, said *column)
{
  in_part part;
  cks_heading h;
  size_t n[CKS_ROLE_COUNT] = {0};
  bool any = false;
  for (size_t pass = 0; pass < 2; pass++)
    for (size_t c = 0; c < s->n_column && (!pass || any); c++) {
      if (!holds_harvest(s, &column[c], &part) || !cks_form_is_year(part.rest)) continue;
      any |= ++n[part.role] > 1;
      if (pass && cks_form_ask(s, part.trait, &h)) cks_form_know(&column[c], &h, part.trait, CKS_LEVEL_YEAR, part.rest);
    }
}

/* "Creek rep 1", "Creek rep 2", "Moor rep 1": reps of what is no trait. */
static void find_reps_of(const search *s, cks_form *form, const said *column)
{
  size_t first = SIZE_MAX;
  for (size_t c = 0; c < s->n_column && !form->clash; c++) {
    if (column[c].known || !*column[c].rep_of) continue;
    if (first == SIZE_MAX)
      first = c;
    else
      form->clash =
          cks_arena_format(s->arena,
                           "'%s' and '%s' are reps, but '%s' is no trait that is known; write the trait before "
                           "the rep, as 'yield rep 1', or give one row a plot, with a rep column and, where "
                           "'%s' is a place, a location column",
                           column[first].heading, column[c].heading, column[c].rep_of, column[c].rep_of);
  }
}

cks_status cks_form_levels(search *s, cks_form *form, said *column)
{
  if (!s->context->beside) take_years(s, column);
  found_level l = find_level(s, form, column);
  if (!s->context->beside && lacks_trait(s, column, CKS_LEVEL_REP)) find_reps_of(s, form, column);
  if (form->clash || !l.level || s->context->beside || !lacks_trait(s, column, l.level)) return CKS_OK;
  if (!l.bare && take_traits(s, form, column, l.level)) return CKS_OK;
  form->clash = lacking(s, column, &l);
  return cks_arena_status(s->arena, s->error);
}

/* ---- headings that are known in part ---------------------------------------------------------------------------- */

void cks_form_unclear(search *s, cks_form *form, const said *column)
{
  size_t first[CKS_ROLE_COUNT], rep = SIZE_MAX;
  in_part part;
  bool known[CKS_ROLE_COUNT] = {false};
  for (size_t r = 0; r < CKS_ROLE_COUNT; r++) first[r] = SIZE_MAX;
  for (size_t c = 0; c < s->n_column; c++)
    if (column[c].known) known[column[c].role] = true;
  for (size_t c = 0; c < s->n_column && !form->clash; c++) {
    const char *heading = column[c].heading;
    if (!column[c].known && column[c].rep_alone && rep == SIZE_MAX) {
      rep = c;
    } else if (!column[c].known && column[c].rep_alone) {
      form->clash = lacking(s, column, &(found_level){CKS_LEVEL_REP, 2, rep, c, false});
    } else if (holds_harvest(s, &column[c], &part) && !known[part.role]) {
      if (first[part.role] == SIZE_MAX)
        first[part.role] = c;
      else
        form->clash =
            cks_arena_format(s->arena,
                             "'%s' and '%s' seem to be one trait at several places or times; expected one row a "
                             "plot with a location column, or the places' names in a row above the headings ('%s' "
                             "over '%s')",
                             column[first[part.role]].heading, heading, part.rest, part.trait);
    }
  }
}
