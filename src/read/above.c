/*
 * above.c: what a line above the headings seems to say and nobody stated: the unit of a column, the moisture of a yield,
 * the location of a table.
 * It is never taken; a warning asks.
 */
#include "columns.h"

#include <stdio.h>
#include <string.h>
#include <strings.h>

enum { LONGEST = 200, MOST_TOKENS = 40, WORDS_OF_A_UNIT = 3, WORDS_OF_A_BASIS = 4, LONGEST_PLACE = 60 };

/* ---- units ------------------------------------------------------------------------------------------------------ */

typedef struct {
  size_t from, n;
  bool number, bracket; /* it begins with a digit; it stands behind a bracket */
} token;

static size_t split_tokens(const char *text, token tokens[MOST_TOKENS])
{
  static const char gaps[] = " \t,;:()[]";
  size_t n = 0, at = 0;
  while (text[at] && n < MOST_TOKENS) {
    size_t gap = strspn(text + at, gaps);
    bool bracket = gap && (text[at + gap - 1] == '(' || text[at + gap - 1] == '[');
    at += gap;
    size_t length = strcspn(text + at, gaps);
    if (length) tokens[n++] = (token){at, length, text[at] >= '0' && text[at] <= '9', bracket};
    at += length;
  }
  return n;
}

static bool is_in(const char *text, const token *t) { return t->n == 2 && !strncmp(text + t->from, "in", 2); }

/* The unit that the text names from the token on; *taken: its words. An amount ("30 in") is no unit of a column, and a
 * letter or "in" is one only in brackets or behind "in". */
static bool unit_at(const char *text, const token *tokens, size_t n, size_t at, cks_unit *unit, size_t *taken)
{
  char name[LONGEST + 1];
  bool behind_in = at > 0 && is_in(text, &tokens[at - 1]);
  if (tokens[at].number || (at > 0 && tokens[at - 1].number)) return false;
  for (size_t words = n - at < WORDS_OF_A_UNIT ? n - at : WORDS_OF_A_UNIT; words > 0; words--) {
    const token *last = &tokens[at + words - 1];
    size_t length = last->from + last->n - tokens[at].from;
    bool plain = words == 1 && (length == 1 || is_in(text, last));
    snprintf(name, sizeof name, "%.*s", (int)length, text + tokens[at].from);
    if ((plain && !tokens[at].bracket && !behind_in) || !cks_unit_find(name, unit) || !cks_unit_has_rivals(*unit))
      continue;
    *taken = words;
    return true;
  }
  return false;
}

static cks_status say_unit(const cks_reading *reading, uint32_t line, const char *text, cks_unit unit,
                           const char *heading, const cks_heading *h)
{
  return cks_findings_add(reading->findings, CKS_RULE_UNIT_ABOVE, (cks_where){reading->file, CKS_NONE, line, 0},
                          heading, text, reading->error,
                          "'%.80s' stands above and names %s, but '%.80s' states no unit and is read in %s; if it is "
                          "in %s, write so in the "
                          "heading, as '%.80s (%s)', or give --unit %s=%s",
                          text, cks_unit_text(unit), heading, cks_unit_text(h->unit), cks_unit_text(unit), heading,
                          cks_unit_text(unit), h->key, cks_unit_text(unit));
}

/* Says of each column of the unit's kind that takes another one. */
static cks_status compare_columns(const cks_form *form, const cks_reading *reading, const cks_heading_context *context,
                                  const char *text, uint32_t line, cks_unit unit)
{
  cks_status status = CKS_OK;
  for (size_t c = 0; c < form->n_column && status == CKS_OK; c++) {
    cks_heading h;
    if (!*form->heading[c]) continue;
    cks_heading_read(context, form->heading[c], &h);
    if (h.kind == CKS_HEADING_KNOWN && !h.unit_stated && h.unit != unit &&
        cks_unit_dimension(h.unit) == cks_unit_dimension(unit))
      status = say_unit(reading, line, text, unit, form->heading[c], &h);
  }
  return status;
}

/* ---- the moisture of a yield ------------------------------------------------------------------------------------ */

/* "@ 15.5 %", "at 65% moisture", "14 % H2O" from the token on; NaN: none. */
static double basis_at(const cks_heading_context *context, const char *text, const token *tokens, size_t n, size_t at)
{
  char heading[LONGEST + sizeof "yield ()"];
  const char *from = text + tokens[at].from;
  bool said = *from == '@' || (tokens[at].n == 2 && !strncasecmp(from, "at", 2));
  cks_heading_context asking = *context; /* no option is met by a heading that stands nowhere */
  asking.asking = true;
  if (!said && !tokens[at].number) return cks_missing();
  for (size_t words = n - at < WORDS_OF_A_BASIS ? n - at : WORDS_OF_A_BASIS; words > 0; words--) {
    const token *last = &tokens[at + words - 1];
    cks_heading h;
    size_t length = last->from + last->n - tokens[at].from;
    bool percent = memchr(from, '%', length) != NULL, moisture = text[last->from] > '9' && words > 1;
    if (said ? !percent && !moisture : !moisture) continue;
    snprintf(heading, sizeof heading, "yield (%.*s)", (int)length, from);
    cks_heading_read(&asking, heading, &h);
    if (h.kind == CKS_HEADING_KNOWN && h.role == CKS_ROLE_YIELD && !cks_is_missing(h.basis_pct)) return h.basis_pct;
  }
  return cks_missing();
}

/* Says of each yield that states no moisture. */
static cks_status compare_yields(const cks_form *form, const cks_reading *reading, const cks_heading_context *context,
                                 const char *text, uint32_t line, double basis)
{
  cks_status status = CKS_OK;
  for (size_t c = 0; c < form->n_column && status == CKS_OK; c++) {
    const char *heading = form->heading[c];
    cks_heading h;
    if (!*heading) continue;
    cks_heading_read(context, heading, &h);
    if (h.kind == CKS_HEADING_KNOWN && h.role == CKS_ROLE_YIELD && cks_is_missing(h.basis_pct))
      status = cks_findings_add(reading->findings, CKS_RULE_UNIT_ABOVE, (cks_where){reading->file, CKS_NONE, line, 0},
                                heading, text, reading->error,
                                "'%.80s' stands above and names %g %% moisture, but '%.80s' states none and is taken "
                                "at the crop's standard; if it is at %g %%, write so in the heading, as '%.80s (at %g "
                                "%%)'",
                                text, basis, heading, basis, heading, basis);
  }
  return status;
}

/* Of yields, in words or in their unit; not of the level of a test, or the moisture at harvest. */
static bool speaks_of_yields(const char *text, const token *tokens, size_t n)
{
  static const char *const other[] = {"LSD", "level", "signif", "arvested"};
  bool yields = strstr(text, "ield") != NULL;
  cks_unit unit;
  for (size_t at = 0, taken; at < n && !yields; at++)
    yields = unit_at(text, tokens, n, at, &unit, &taken) && cks_unit_dimension(unit) == CKS_DIM_YIELD;
  for (size_t i = 0; i < sizeof other / sizeof *other; i++) yields &= !strstr(text, other[i]);
  return yields;
}

static cks_status basis_above(const cks_form *form, const cks_reading *reading, const cks_heading_context *context,
                              const char *text, uint32_t line)
{
  token tokens[MOST_TOKENS];
  size_t n = strlen(text) <= LONGEST ? split_tokens(text, tokens) : 0;
  if (!speaks_of_yields(text, tokens, n)) return CKS_OK;
  for (size_t at = 0; at < n; at++) {
    double basis = basis_at(context, text, tokens, n, at);
    if (!cks_is_missing(basis)) return compare_yields(form, reading, context, text, line, basis);
  }
  return CKS_OK;
}

/* ---- together ---------------------------------------------------------------------------------------------------- */

cks_status cks_form_units_above(const cks_rows *rows, const cks_form *form, const cks_reading *reading,
                                const cks_heading_context *context)
{
  cks_status status = CKS_OK;
  token tokens[MOST_TOKENS];
  for (size_t r = 0; r < form->first; r++)
    for (size_t c = 0; c < rows->row[r].n; c++) {
      const char *text = cks_rows_cell(rows, r, c);
      size_t n = strlen(text) <= LONGEST ? split_tokens(text, tokens) : 0, taken = 1;
      for (size_t at = 0; at < n && status == CKS_OK; at += taken) {
        cks_unit unit;
        taken = 1;
        if (unit_at(text, tokens, n, at, &unit, &taken))
          status = compare_columns(form, reading, context, text, rows->row[r].line, unit);
      }
      if (status == CKS_OK) status = basis_above(form, reading, context, text, rows->row[r].line);
    }
  return status;
}

/* ---- the location ----------------------------------------------------------------------------------------------- */

/* "Sheet1", "Book 2", "export (3)": what programs and people name a file when they name it nothing. */
static bool says_nothing(const char *name, size_t n)
{
  static const char *const names[] = {"sheet",    "book",     "tabelle",  "mappe",   "feuil",   "feuille",  "classeur",
                                      "hoja",     "libro",    "blad",     "map",     "foglio",  "cartel",   "data",
                                      "export",   "untitled", "unnamed",  "new",     "file",    "download", "plots",
                                      "plotlist", "trial",    "harvest",  "result",  "results", "output",   "table",
                                      "workbook", "list",     "document", "notitle", "test",    "temp",     "yield"};
  char folded[CKS_HEADING_LONGEST + 1];
  size_t length = cks_word_fold(folded, name, n);
  while (length && folded[length - 1] >= '0' && folded[length - 1] <= '9') folded[--length] = '\0';
  bool nothing = !length;
  for (size_t i = 0; i < sizeof names / sizeof *names; i++) nothing |= !strcmp(folded, names[i]);
  return nothing;
}

cks_status cks_reader_locations_above(const cks_reader *reader)
{
  cks_status status = CKS_OK;
  for (const cks_lone *lone = reader->lone; lone && status == CKS_OK; lone = lone->next) {
    size_t n;
    const char *name = cks_table_place(reader->table, reader->reading.findings, lone->file, &n);
    if (!says_nothing(name, n) || strlen(lone->text) > LONGEST_PLACE) continue;
    status = cks_findings_add(
        reader->reading.findings, CKS_RULE_LOCATION_ABOVE, (cks_where){lone->file, CKS_NONE, lone->line, 0}, NULL,
        lone->text, reader->reading.error,
        "no location is given and '%.*s' stands in; is it '%s'? write 'Location: %s' above the table, or give a "
        "location column",
        (int)n, name, lone->text, lone->text);
  }
  return status;
}
