/*
 * form.c: which of the first rows are headings, and what a column a rep, year or place stands for.
 *
 * Every run of one to DEEPEST rows is tried as headings: stacked ("Test" over "weight" over "lb/bu"), and with its first
 * row as groups over the columns below ("Creek" over "Yield" and "Moisture"). The run that says most that is known wins,
 * units counted after names; of equals the one of fewer rows, then the first. Columns under groups are taken apart only when each group has
 * the same columns and one of them is a harvest; anything less clear is refused with what was expected.
 */
#include "form.h"

#include "../core/utf8.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum {
  DEEPEST = 3,
  A_NAME = 1000, /* what a known heading weighs against a stated unit */
  ENOUGH = 3,    /* known headings in the first row that make further rows needless */
  FEWEST = 2,    /* known headings without which a row is no heading line */
  MOST_ASKED = 20000,
  MOST_GROUPS = 200
};

typedef struct {
  size_t first, depth;
  bool grouped;
  size_t known, score;
  bool plot, value; /* it names plots; it holds traits, or where plots stood */
} candidate;

static const cks_role harvest_roles[] = {CKS_ROLE_YIELD, CKS_ROLE_WET_YIELD, CKS_ROLE_PLOT_WEIGHT,
                                         CKS_ROLE_GROSS, CKS_ROLE_MOISTURE,  CKS_ROLE_TEST_WEIGHT};
static const struct {
  const char *heading;
  cks_role role;
} levels[] = {[CKS_LEVEL_NONE] = {"", CKS_ROLE_OTHER},
              [CKS_LEVEL_REP] = {"rep", CKS_ROLE_REP},
              [CKS_LEVEL_YEAR] = {"year", CKS_ROLE_YEAR},
              [CKS_LEVEL_LOCATION] = {"location", CKS_ROLE_LOCATION}};

bool cks_form_is_harvest(cks_role role)
{
  for (size_t i = 0; i < sizeof harvest_roles / sizeof *harvest_roles; i++)
    if (harvest_roles[i] == role) return true;
  return false;
}

/* A role whose values are of one plot, so that it may stand in a column a place. */
bool cks_form_is_measured(cks_role role)
{
  cks_role_class c = cks_role_find(role)->role_class;
  return c == CKS_CLASS_TRAIT || c == CKS_CLASS_INPUT || role == CKS_ROLE_NOTE;
}

/* ---- words ------------------------------------------------------------------------------------------------------ */

static bool is_digit(char c) { return c >= '0' && c <= '9'; }
static char lower(char c) { return c >= 'A' && c <= 'Z' ? (char)(c - 'A' + 'a') : c; }

/* Numbers are no headings. */
static bool looks_numeric(const char *text)
{
  text += *text == '-' || *text == '+';
  return *text && strspn(text, "0123456789.,%*/-") == strlen(text);
}

static bool is_unit(const char *text)
{
  char bare[CKS_HEADING_LONGEST + 1];
  size_t n = strlen(text);
  bool brackets = n > 2 && ((text[0] == '(' && text[n - 1] == ')') || (text[0] == '[' && text[n - 1] == ']'));
  cks_unit unit;
  if (n > CKS_HEADING_LONGEST) return false;
  snprintf(bare, sizeof bare, "%.*s", (int)(brackets ? n - 2 : n), text + brackets);
  return cks_unit_find(bare, &unit);
}

/* below under above: a unit goes into brackets. */
static void compose(char into[CKS_SAID_LONGEST], const char *above, const char *below)
{
  bool unit = *above && *below != '(' && *below != '[' && is_unit(below);
  snprintf(into, CKS_SAID_LONGEST, "%.*s%s%.*s%s", CKS_HEADING_LONGEST, above,
           unit               ? " ("
           : *above && *below ? " "
                              : "",
           CKS_HEADING_LONGEST, below, unit ? ")" : "");
  cks_utf8_mend(into); /* a long heading may be cut inside a character */
}

bool cks_form_ask(search *s, const char *text, cks_heading *h)
{
  if (!*text || looks_numeric(text) || strlen(text) > CKS_HEADING_LONGEST || s->asked >= MOST_ASKED) return false;
  s->asked++;
  cks_heading_read(s->context, text, h);
  return h->kind == CKS_HEADING_KNOWN || h->kind == CKS_HEADING_UNIT_BAD;
}

size_t cks_form_split(const char *text, word words[CKS_SAID_WORDS])
{
  size_t n = 0;
  while (*text && n < CKS_SAID_WORDS) {
    text += strspn(text, " _.#-:");
    size_t length = strcspn(text, " _.#-:");
    if (length) words[n++] = (word){text, length};
    text += length;
  }
  return *text ? 0 : n; /* too many words: no heading of ours */
}

static bool same(word w, const char *text, size_t n)
{
  if (w.n != n) return false;
  for (size_t i = 0; i < n; i++)
    if (lower(w.at[i]) != text[i]) return false;
  return true;
}

/* "rep" of "rep", "rep1", "R2": bytes of the word for a rep that w begins with; 0: none. */
static size_t rep_word(word w)
{
  static const char *const names[] = {"replication", "replicate", "block", "rep", "r"};
  for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
    size_t n = strlen(names[i]);
    if (w.n >= n && same((word){w.at, n}, names[i], n)) return n;
  }
  return 0;
}

/* The number of a rep: digits, or I to V, in *value as digits. */
static bool rep_number(const char *text, size_t n, char value[CKS_SAID_LONGEST])
{
  static const char *const roman[] = {"i", "ii", "iii", "iv", "v"};
  size_t digits = 0;
  while (digits < n && is_digit(text[digits])) digits++;
  if (n && n <= 2 && digits == n) {
    snprintf(value, CKS_SAID_LONGEST, "%.*s", (int)n, text);
    return true;
  }
  for (size_t i = 0; i < sizeof roman / sizeof *roman; i++)
    if (same((word){text, n}, roman[i], strlen(roman[i]))) {
      snprintf(value, CKS_SAID_LONGEST, "%zu", i + 1);
      return true;
    }
  return false;
}

/* words[at..] is a rep ("rep", "1" or "R1"): how many words it takes; 0: it is none. */
static size_t rep_at(const word *words, size_t n, size_t at, char value[CKS_SAID_LONGEST])
{
  size_t head = rep_word(words[at]);
  if (!head) return 0;
  if (words[at].n > head) return rep_number(words[at].at + head, words[at].n - head, value) ? 1 : 0;
  return at + 1 < n && rep_number(words[at + 1].at, words[at + 1].n, value) ? 2 : 0;
}

void cks_form_part(const char *text, char base[CKS_SAID_LONGEST], char beside[CKS_SAID_LONGEST])
{
  size_t n = 0, n_beside = 0;
  int depth = 0;
  for (; *text && n + n_beside < CKS_SAID_LONGEST - 1; text++) {
    bool opens = *text == '(' || *text == '[', closes = depth && (*text == ')' || *text == ']');
    depth += opens;
    if (depth)
      beside[n_beside++] = *text;
    else
      base[n++] = *text;
    depth -= closes;
  }
  base[n] = beside[n_beside] = '\0';
}

/* "Yield rep 1 (bu/ac)", "Yield (bu/ac) rep 1", "R1 yield", "Rep II": takes the rep out. rest: what is left without
 * brackets, "" for nothing; beside: the brackets, or a unit behind the rep. */
static bool take_rep(const char *text, char rest[CKS_SAID_LONGEST], char beside[CKS_SAID_LONGEST],
                     char value[CKS_SAID_LONGEST])
{
  char base[CKS_SAID_LONGEST];
  word words[CKS_SAID_WORDS];
  cks_form_part(text, base, beside);
  size_t n = cks_form_split(base, words);
  for (size_t at = 0; at < n; at++) {
    size_t taken = rep_at(words, n, at, value);
    bool last = at + taken == n;
    if (!taken || (at > 0 && !last && (*beside || !is_unit(words[at + taken].at)))) continue;
    const char *from = at ? base : last ? "" : words[taken].at;
    size_t length = at ? (size_t)(words[at - 1].at + words[at - 1].n - base) : strlen(from);
    while (length && from[length - 1] == ' ') length--;
    snprintf(rest, CKS_SAID_LONGEST, "%.*s", (int)length, from);
    if (at && !last) snprintf(beside, CKS_SAID_LONGEST, "(%.*s)", CKS_HEADING_LONGEST, words[at + taken].at);
    return true;
  }
  return false;
}

bool cks_form_is_year(const char *text)
{
  return strlen(text) == 4 && strspn(text, "0123456789") == 4 && (!strncmp(text, "19", 2) || !strncmp(text, "20", 2));
}

/* ---- what a column says ----------------------------------------------------------------------------------------- */

void cks_form_know(said *out, const cks_heading *h, const char *heading, cks_level level, const char *value)
{
  out->known = true;
  out->unit_stated = h->unit_stated;
  out->role = h->role;
  out->level = level;
  snprintf(out->key, sizeof out->key, "%s", h->key);
  snprintf(out->heading, sizeof out->heading, "%s", heading);
  snprintf(out->value, sizeof out->value, "%s", value);
}

/* above: "" or the group; below: the column's own heading. */
static void read_column(search *s, const char *above, const char *below, said *out)
{
  cks_heading h, group;
  char rest[CKS_SAID_LONGEST], value[CKS_SAID_LONGEST], beside[CKS_SAID_LONGEST];
  *out = (said){.role = CKS_ROLE_OTHER};
  compose(out->heading, above, below);
  if (cks_form_ask(s, out->heading, &h)) {
    snprintf(value, sizeof value, "%s", out->heading);
    cks_form_know(out, &h, value, CKS_LEVEL_NONE, "");
    return;
  }
  if (take_rep(below, rest, beside, value)) {
    char trait[CKS_SAID_LONGEST];
    const char *of = *rest ? rest : above;
    snprintf(trait, sizeof trait, "%.*s%s%.*s", CKS_HEADING_LONGEST, of, *of && *beside ? " " : "",
             *of ? CKS_HEADING_LONGEST : 0, beside);
    out->rep_alone = !*of;
    if (out->rep_alone) {
      snprintf(out->value, sizeof out->value, "%s", value);
      snprintf(out->beside, sizeof out->beside, "%s", beside);
    }
    if (cks_form_ask(s, trait, &h) && cks_form_is_measured(h.role))
      cks_form_know(out, &h, trait, CKS_LEVEL_REP, value);
    else if (*rest)
      snprintf(out->rep_of, sizeof out->rep_of, "%.*s", CKS_HEADING_LONGEST, rest);
    return;
  }
  if (cks_form_is_year(below) && cks_form_ask(s, above, &h) && cks_form_is_measured(h.role)) {
    cks_form_know(out, &h, above, CKS_LEVEL_YEAR, below);
    return;
  }
  if (!*above || !cks_form_ask(s, below, &h)) return;
  bool named = cks_form_is_measured(h.role) && !cks_form_ask(s, above, &group);
  cks_form_know(out, &h, below,
                !named                    ? CKS_LEVEL_NONE
                : cks_form_is_year(above) ? CKS_LEVEL_YEAR
                                          : CKS_LEVEL_LOCATION,
                named ? above : "");
}

/* The heading that rows [first, first + depth) stack over a column. */
static void stack(const search *s, size_t first, size_t depth, size_t column, char into[CKS_SAID_LONGEST])
{
  char before[CKS_SAID_LONGEST];
  into[0] = '\0';
  for (size_t r = first; r < first + depth; r++) {
    memcpy(before, into, sizeof before);
    compose(into, before, cks_rows_cell(s->rows, r, column));
  }
}

/* The group over a column: the last one written at it or to its left. */
const char *cks_form_group_over(const search *s, size_t row, size_t column)
{
  const char *text = "";
  for (size_t c = column + 1; c-- > 0 && !*text;) text = cks_rows_cell(s->rows, row, c);
  return text;
}

/* *last is what the column before says, or NULL; a title merged over a sheet is asked about once. */
static void read_under(search *s, const candidate *c, size_t column, const said *last, said *out)
{
  char below[CKS_SAID_LONGEST], before[CKS_SAID_LONGEST] = "";
  bool again = last && column > 0;
  stack(s, c->first + c->grouped, c->depth - c->grouped, column, below);
  const char *above =
      c->grouped ? *below ? cks_form_group_over(s, c->first, column) : cks_rows_cell(s->rows, c->first, column) : "";
  if (again) stack(s, c->first + c->grouped, c->depth - c->grouped, column - 1, before);
  again = again && !c->grouped && !strcmp(below, before);
  if (again)
    *out = *last;
  else
    read_column(s, above, below, out);
}

/* ---- the best run of rows --------------------------------------------------------------------------------------- */

static uint64_t hash(const said *column)
{
  const char *const texts[] = {column->key, column->value};
  uint64_t h = UINT64_C(14695981039346656037) ^ (uint64_t)column->role << 8 ^ (uint64_t)column->level;
  for (size_t i = 0; i < 2; i++)
    for (const char *c = texts[i]; *c; c++) h = (h ^ (unsigned char)*c) * UINT64_C(1099511628211);
  return h;
}

static int compare_hashes(const void *left, const void *right)
{
  const uint64_t *a = left, *b = right;
  return *a < *b ? -1 : *a > *b;
}

/* Counts the different things known under the candidate. */
static cks_status weigh(search *s, candidate *c)
{
  uint64_t *met = malloc((s->n_column + 1) * sizeof *met);
  size_t n = 0;
  bool row = false, column = false;
  said says = {.role = CKS_ROLE_OTHER};
  if (!met) return cks_error_nomem(s->error);
  for (size_t i = 0; i < s->n_column; i++) {
    said now;
    read_under(s, c, i, i ? &says : NULL, &now);
    says = now;
    if (!says.known) continue;
    met[n++] = hash(&says);
    c->score += says.unit_stated;
    row |= says.role == CKS_ROLE_ROW;
    column |= says.role == CKS_ROLE_COLUMN;
    c->plot |= says.role == CKS_ROLE_HYBRID || says.role == CKS_ROLE_TREATMENT || says.role == CKS_ROLE_ENTRY ||
               says.role == CKS_ROLE_CODE || says.role == CKS_ROLE_PLOT;
    c->value |= (cks_form_is_measured(says.role) && says.role != CKS_ROLE_NOTE) || says.role == CKS_ROLE_VALUE ||
                says.role == CKS_ROLE_REP || says.role == CKS_ROLE_PLOT;
  }
  c->plot |= row && column;
  qsort(met, n, sizeof *met, compare_hashes);
  for (size_t i = 0; i < n; i++) c->known += i == 0 || met[i] != met[i - 1];
  c->score += A_NAME * c->known;
  free(met);
  return CKS_OK;
}

/* The run says little, or traits and no plots: the first row that names plots and more is the heading line. */
static cks_status name_line(search *s, candidate *best)
{
  cks_status status = CKS_OK;
  if (best->known < FEWEST) *best = (candidate){.depth = 1};
  for (size_t first = 0; first < s->rows->n_row && status == CKS_OK && !best->plot; first++) {
    candidate c = {.first = first, .depth = 1};
    status = weigh(s, &c);
    if (c.plot && s->rows->row[first].filled > 1) *best = c;
  }
  return status;
}

static cks_status find_best(search *s, candidate *best)
{
  cks_status status = CKS_OK;
  *best = (candidate){.depth = 1};
  for (size_t first = 0; first < s->rows->n_row; first++) {
    if (first && best->known >= ENOUGH && best->plot && best->first + best->depth == 1) break;
    for (size_t depth = 1; depth <= DEEPEST && first + depth <= s->rows->n_row; depth++)
      for (size_t grouped = 0; grouped <= (depth > 1); grouped++) {
        candidate c = {.first = first, .depth = depth, .grouped = grouped};
        status = weigh(s, &c);
        if (status != CKS_OK) return status;
        if (c.score > best->score || (c.score == best->score && c.depth < best->depth)) *best = c;
      }
  }
  return best->known < FEWEST || (!best->plot && !s->context->beside) ? name_line(s, best) : status;
}

/* ---- columns taken apart ---------------------------------------------------------------------------------------- */

typedef struct {
  said *column; /* size n_column */
  size_t *key;  /* size n_column: the first column of the same key; itself when it is the first */
  size_t *in;   /* size n_column: its group; SIZE_MAX none */
} wide;

static bool same_key(const said *a, const said *b) { return a->role == b->role && !strcmp(a->key, b->key); }

/* Numbers the groups in the order met and finds the first column of each key. */
static void gather_groups(const search *s, cks_form *form, wide *w)
{
  form->n_group = 0;
  for (size_t c = 0; c < s->n_column; c++) {
    w->in[c] = SIZE_MAX;
    w->key[c] = c;
    if (w->column[c].level == CKS_LEVEL_NONE) continue;
    for (size_t k = 0; k < form->n_group && w->in[c] == SIZE_MAX; k++)
      if (!strcmp(form->group[k], w->column[c].value)) w->in[c] = k;
    if (w->in[c] == SIZE_MAX) {
      w->in[c] = form->n_group;
      form->group[form->n_group++] = cks_arena_text(s->arena, w->column[c].value);
    }
    for (size_t b = 0; b < c && w->key[c] == c; b++)
      if (w->in[b] != SIZE_MAX && same_key(&w->column[b], &w->column[c])) w->key[c] = b;
  }
}

static size_t find_source(const search *s, const wide *w, size_t column, size_t group)
{
  for (size_t c = 0; c < s->n_column; c++)
    if (w->in[c] == group && w->key[c] == column) return c;
  return SIZE_MAX;
}

/* Do all groups hold the same columns, a harvest among them? *repeated: some column stands in two. */
static bool is_even(const search *s, const cks_form *form, const wide *w, bool *repeated)
{
  bool harvest = false, even = true;
  *repeated = false;
  for (size_t c = 0; c < s->n_column; c++) {
    if (w->in[c] == SIZE_MAX || w->key[c] != c) continue;
    size_t n = 0;
    for (size_t k = 0; k < form->n_group; k++) n += find_source(s, w, c, k) != SIZE_MAX;
    *repeated |= n > 1;
    even &= n == form->n_group;
    harvest |= cks_form_is_harvest(w->column[c].role);
  }
  return even && (harvest || form->trait_above);
}

static void forget_groups(cks_form *form, wide *w, size_t n_column)
{
  for (size_t c = 0; c < n_column; c++) w->column[c].level = CKS_LEVEL_NONE, w->in[c] = SIZE_MAX;
  form->n_group = 0;
  form->level = CKS_LEVEL_NONE;
}

static const char *unclear_groups(const search *s, const cks_form *form, const wide *w)
{
  for (size_t c = 0; c < s->n_column; c++)
    if (w->in[c] != SIZE_MAX && w->key[c] != c)
      return cks_arena_format(
          s->arena,
          "'%s' stands under '%s' and under '%s', and it is not clear what sets them apart; expected one "
          "row a plot, or the same columns under each place's name (or rep's, or year's), yield or "
          "plot weight among them",
          w->column[c].heading, form->group[w->in[w->key[c]]], form->group[w->in[c]]);
  return "";
}

/* Of two columns for one thing of one group the second would be lost. */
static void find_doubles(const search *s, cks_form *form, const wide *w)
{
  for (size_t c = 0; c < s->n_column && !form->clash; c++)
    for (size_t b = w->key[c]; w->in[c] != SIZE_MAX && b < c && !form->clash; b++)
      if (w->in[b] == w->in[c] && w->key[b] == w->key[c])
        form->clash = cks_arena_format(
            s->arena, "columns %zu and %zu both stand for %s of %s %s; rename the one that is not meant", b + 1, c + 1,
            w->column[c].key, levels[form->level].heading, form->group[w->in[c]]);
}

static cks_status settle_groups(search *s, cks_form *form, wide *w)
{
  bool repeated = false, mixed = false, own = false;
  for (size_t c = 0; c < s->n_column; c++) {
    cks_level level = w->column[c].level;
    mixed |= level && form->level && level != form->level;
    if (level) form->level = level;
  }
  if (!form->level) return CKS_OK;
  form->group = cks_arena_take(s->arena, s->n_column, sizeof *form->group);
  if (!form->group) return cks_error_nomem(s->error);
  gather_groups(s, form, w);
  bool even = is_even(s, form, w, &repeated);
  for (size_t c = 0; c < s->n_column; c++)
    own |= w->in[c] == SIZE_MAX && w->column[c].known && w->column[c].role == levels[form->level].role;
  if (form->level != CKS_LEVEL_REP && !repeated && !mixed) { /* words over columns, as "Harvest" over yield */
    forget_groups(form, w, s->n_column);
  } else if (mixed || (form->level != CKS_LEVEL_REP && !even)) {
    form->clash = unclear_groups(s, form, w);
  } else if (form->n_group > MOST_GROUPS) {
    form->clash =
        cks_arena_format(s->arena, "the headings name %zu %ss over columns, expected at most %d; give one row a plot",
                         form->n_group, levels[form->level].heading, MOST_GROUPS);
  } else if (own) {
    form->clash =
        cks_arena_format(s->arena,
                         "the headings give a %s over columns ('%s') and there is a %s column too; leave one of "
                         "the two out",
                         levels[form->level].heading, form->group[0], levels[form->level].heading);
  }
  if (form->level) find_doubles(s, form, w);
  return CKS_OK;
}

/* Where each position's cell stands in each group; headings of all but the first column of a key are emptied. */
static cks_status take_apart(const search *s, cks_form *form, const wide *w)
{
  if (!form->level || form->clash) return CKS_OK;
  form->source = cks_arena_take(s->arena, form->n_group * s->n_column, sizeof *form->source);
  form->apart = cks_arena_take(s->arena, s->n_column, sizeof *form->apart);
  if (!form->source || !form->apart) return cks_error_nomem(s->error);
  for (size_t c = 0; c < s->n_column; c++) {
    bool common = w->in[c] == SIZE_MAX;
    form->apart[c] = !common && w->key[c] == c;
    if (!common && !form->apart[c]) form->heading[c] = "";
    for (size_t k = 0; k < form->n_group; k++)
      form->source[k * s->n_column + c] = common ? c : form->apart[c] ? find_source(s, w, c, k) : SIZE_MAX;
  }
  return CKS_OK;
}

/* ---- columns that are not clear --------------------------------------------------------------------------------- */

/* Hybrids in two columns with an empty one between: two tables. */
static void find_beside(const search *s, cks_form *form, const wide *w)
{
  size_t first = SIZE_MAX;
  bool gap = false;
  for (size_t c = 0; c < s->n_column && !form->clash; c++) {
    bool hybrid = w->column[c].known && w->column[c].role == CKS_ROLE_HYBRID;
    gap |= !*form->heading[c];
    if (hybrid && first != SIZE_MAX && gap)
      form->clash =
          cks_arena_format(s->arena,
                           "two tables stand side by side ('%s' in columns %zu and %zu); put the second below the "
                           "first, or into a file or sheet of its own",
                           form->heading[c], first + 1, c + 1);
    if (hybrid) first = c, gap = false;
  }
}

/* ---- what stands above ------------------------------------------------------------------------------------------ */

/* Facts that may be said once for a whole table. */
static bool may_stand_above(cks_role role)
{
  return role == CKS_ROLE_LOCATION || role == CKS_ROLE_YEAR || role == CKS_ROLE_TRIAL || role == CKS_ROLE_CROP ||
         cks_role_find(role)->role_class == CKS_CLASS_PLACE;
}

static void take_constant(search *s, cks_form *form, const wide *w, const char *heading, const char *value)
{
  cks_heading h;
  if (!*value || !cks_form_ask(s, heading, &h) || !may_stand_above(h.role)) return;
  for (size_t c = 0; c < s->n_column; c++)
    if (w->column[c].known && w->column[c].role == h.role) return; /* the table says it itself */
  for (size_t k = 0; k < form->n_constant; k++)
    if (cks_word_same(form->constant[k].heading, heading)) return;
  if (form->level && levels[form->level].role == h.role) return;
  cks_constant *grown = cks_arena_take(s->arena, form->n_constant + 1, sizeof *grown);
  if (!grown) return;
  if (form->n_constant) memcpy(grown, form->constant, form->n_constant * sizeof *grown);
  grown[form->n_constant++] = (cks_constant){cks_arena_text(s->arena, heading), cks_arena_text(s->arena, value)};
  form->constant = grown;
}

/* Does row r hold nothing but facts, each a name and its value beside it: "Planted", 5/21, "Harvested", 10/14? */
static bool is_pairs(search *s, size_t r)
{
  size_t n = 0;
  cks_heading name, value;
  for (size_t c = 0; c < s->rows->row[r].n; c++) {
    const char *cell = cks_rows_cell(s->rows, r, c);
    if (!*cell) continue;
    if (n++ % 2 == 0 ? !cks_form_ask(s, cell, &name) || !may_stand_above(name.role)
                     : cks_form_ask(s, cell, &value) && may_stand_above(value.role) && value.role != name.role)
      return false; /* "Planted", "Harvested": names alone */
  }
  return n % 2 == 0;
}

/* Is the cell's place in its row that of a name, when names and values stand in turn? */
static bool is_first_of_pair(const search *s, size_t r, size_t at)
{
  size_t n = 0;
  for (size_t c = 0; c < at; c++) n += *cks_rows_cell(s->rows, r, c) != '\0';
  return n % 2 == 0;
}

/* "Location: Creek" in one cell, or "Location:" (or "Location" in a row of pairs) and its value in the next. */
static void take_above(search *s, cks_form *form, const wide *w)
{
  for (size_t r = 0; r < form->first; r++) {
    bool pairs = is_pairs(s, r);
    for (size_t c = 0; c < s->rows->row[r].n; c++) {
      const char *cell = cks_rows_cell(s->rows, r, c), *colon = strchr(cell, ':');
      size_t n = colon ? (size_t)(colon - cell) : strlen(cell), next = c + 1;
      while (next < s->rows->row[r].n && !*cks_rows_cell(s->rows, r, next)) next++;
      const char *value = colon && colon[1] ? colon + 1 + strspn(colon + 1, " ") : cks_rows_cell(s->rows, r, next);
      if (!n || n > CKS_HEADING_LONGEST || (!colon && (!pairs || !is_first_of_pair(s, r, c)))) continue;
      take_constant(s, form, w, cks_arena_format(s->arena, "%.*s", (int)n, cell), value);
    }
  }
}

/* The one row above that holds a single text, if there is one such row. */
static void find_lone(search *s, cks_form *form)
{
  size_t n = 0;
  cks_heading h;
  for (size_t r = 0; r < form->first; r++) {
    size_t c = 0;
    if (s->rows->row[r].filled != 1) continue;
    while (!*cks_rows_cell(s->rows, r, c)) c++;
    const char *cell = cks_rows_cell(s->rows, r, c);
    form->lone = n++ || strchr(cell, ':') || looks_numeric(cell) || cks_form_ask(s, cell, &h)
                     ? NULL
                     : cks_arena_text(s->arena, cell);
    form->lone_line = s->rows->row[r].line;
  }
}

/* ---- together --------------------------------------------------------------------------------------------------- */

static cks_status describe(search *s, const candidate *best, cks_form *form)
{
  wide w = {cks_arena_take(s->arena, s->n_column, sizeof *w.column),
            cks_arena_take(s->arena, s->n_column, sizeof *w.key), cks_arena_take(s->arena, s->n_column, sizeof *w.in)};
  form->heading = cks_arena_take(s->arena, s->n_column, sizeof *form->heading);
  if (!w.column || !w.key || !w.in || !form->heading) return cks_error_nomem(s->error);
  for (size_t c = 0; c < s->n_column; c++) read_under(s, best, c, NULL, &w.column[c]);
  form->first = best->first;
  form->n_head = best->depth;
  form->n_column = s->n_column;
  form->found = best->plot && best->value;
  cks_status status = best->score ? cks_form_levels(s, form, w.column) : CKS_OK;
  if (status != CKS_OK) return status;
  for (size_t c = 0; c < s->n_column; c++) {
    bool as_written = best->depth == 1 && w.column[c].level == CKS_LEVEL_NONE;
    form->heading[c] =
        cks_arena_text(s->arena, as_written ? cks_rows_cell(s->rows, best->first, c) : w.column[c].heading);
    w.in[c] = SIZE_MAX;
  }
  if (!best->score) return CKS_OK;
  if (!form->clash) status = settle_groups(s, form, &w);
  if (status == CKS_OK) find_beside(s, form, &w);
  if (status == CKS_OK) cks_form_unclear(s, form, w.column);
  if (status == CKS_OK) take_above(s, form, &w);
  if (status == CKS_OK) find_lone(s, form);
  form->found |= form->clash != NULL; /* to be told, not passed over */
  return status == CKS_OK ? take_apart(s, form, &w) : status;
}

cks_status cks_form_find(const cks_rows *rows, const cks_heading_context *context, cks_arena *arena, cks_form *form,
                         cks_error *error)
{
  search s = {.rows = rows, .context = context, .arena = arena, .error = error};
  candidate best;
  *form = (cks_form){0};
  if (!rows->n_row) return CKS_OK;
  for (size_t r = 0; r < rows->n_row; r++)
    if (rows->row[r].n > s.n_column) s.n_column = rows->row[r].n;
  cks_status status = find_best(&s, &best);
  if (status == CKS_OK) {
    s.n_column = 0; /* the headings' own width: rows above and below may be wider */
    for (size_t r = best.first; r < best.first + best.depth; r++)
      if (rows->row[r].n > s.n_column) s.n_column = rows->row[r].n;
    status = describe(&s, &best, form);
  }
  return status == CKS_OK ? cks_arena_status(arena, error) : status;
}
