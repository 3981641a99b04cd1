/*
 * observe.c: rows that are one observation each, and plots that were looked at again, become one row a plot.
 *
 * Two forms. A table with a column of traits and one of values holds one observation a row; its plot is said by plot, row
 * and column, or hybrid (with location, rep, ... where they are given). A table of ordinary trait columns with the date
 * or the observer of each row is taken apart only when a plot (by plot, by row and column, or in a file without these by
 * rep and hybrid) stands in it again with another date or observer; else the two columns stay unknown, as any other.
 *
 * Each trait, day and observer becomes the column that the heading 'lodging 2026-10-03 (JT)' would make: days are traits
 * of their own, observers are averaged by the audit. What a harvest gives once a plot has no day in its name. Values go
 * into the plot's first row and keep the line of their own.
 */
#include "observe.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MOST_LOOKS = 400, MOST_CELLS = 1 << 27, LISTED = 6, KEY_TEXT = 512, SHORT_TEXT = 256 };

/* What says which plot a row is. */
static const cks_role key_roles[] = {CKS_ROLE_LOCATION, CKS_ROLE_YEAR,  CKS_ROLE_TRIAL, CKS_ROLE_REP,
                                     CKS_ROLE_BLOCK,    CKS_ROLE_PLOT,  CKS_ROLE_ROW,   CKS_ROLE_COLUMN,
                                     CKS_ROLE_STRIP,    CKS_ROLE_ENTRY, CKS_ROLE_CODE,  CKS_ROLE_TREATMENT,
                                     CKS_ROLE_BRAND,    CKS_ROLE_CUT,   CKS_ROLE_HYBRID};
enum { N_KEY_ROLE = sizeof key_roles / sizeof *key_roles };

/* ---- headings --------------------------------------------------------------------------------------------------- */

static bool is_look(const cks_heading *h) { return cks_role_find(h->role)->role_class == CKS_CLASS_LOOK; }
static bool has(const bool *known, cks_role role) { return known[role]; }

/* "observation" is a note, but beside a column of values it says what was observed. */
static size_t find_observation(const cks_reader *reader, const cks_heading *h)
{
  for (size_t i = 0; i < reader->n_slot; i++)
    if (h[i].kind == CKS_HEADING_KNOWN && h[i].role == CKS_ROLE_NOTE && !h[i].explicit_role &&
        (cks_word_same(reader->heading[i], "observation") || cks_word_same(reader->heading[i], "observations")))
      return i;
  return SIZE_MAX;
}

void cks_observe_match(cks_reader *reader, cks_heading *h)
{
  bool known[CKS_ROLE_COUNT] = {false}, met[CKS_ROLE_COUNT] = {false}, any = false;
  for (size_t i = 0; i < reader->n_slot; i++) {
    if (h[i].kind != CKS_HEADING_KNOWN) continue;
    known[h[i].role] = true;
    any = any || is_look(&h[i]);
  }
  if (!any) return;
  size_t note = find_observation(reader, h);
  bool number = has(known, CKS_ROLE_PLOT) || (has(known, CKS_ROLE_ROW) && has(known, CKS_ROLE_COLUMN));
  bool named = has(known, CKS_ROLE_HYBRID) || has(known, CKS_ROLE_ENTRY) || has(known, CKS_ROLE_CODE) ||
               has(known, CKS_ROLE_TREATMENT);
  if (has(known, CKS_ROLE_VALUE) && !has(known, CKS_ROLE_TRAIT) && note != SIZE_MAX) {
    h[note].role = CKS_ROLE_TRAIT;
    known[CKS_ROLE_TRAIT] = true;
    snprintf(h[note].key, sizeof h[note].key, "%s", cks_role_find(CKS_ROLE_TRAIT)->key);
  }
  reader->look.in_rep = !number && named && (has(known, CKS_ROLE_REP) || has(known, CKS_ROLE_BLOCK));
  reader->look.bare = !number && named && !reader->look.in_rep;
  reader->look.rows = !reader->thing && (number || named) && has(known, CKS_ROLE_VALUE) && has(known, CKS_ROLE_TRAIT);
  for (size_t i = 0; i < reader->n_slot; i++) {
    if (h[i].kind != CKS_HEADING_KNOWN || !is_look(&h[i])) continue;
    bool of_row = h[i].role == CKS_ROLE_OBSERVED || h[i].role == CKS_ROLE_OBSERVER;
    bool used = reader->look.rows || (!reader->thing && (number || named) && of_row && !met[h[i].role]);
    met[h[i].role] = true;
    if (!used) h[i] = (cks_heading){.kind = CKS_HEADING_UNKNOWN};
  }
}

/* ---- rows ------------------------------------------------------------------------------------------------------- */

static cks_column *column_of(const cks_observing *o, size_t slot)
{
  if (slot == SIZE_MAX || o->reader->slot[slot].column == CKS_NONE) return NULL;
  return &o->table->column[o->reader->slot[slot].column];
}

static cks_where where_of(const cks_observing *o, uint32_t line, size_t slot)
{
  cks_where where = {o->reader->reading.file, CKS_NONE, line, 0};
  return slot == SIZE_MAX ? where : cks_reader_where(o->reader, line, slot);
}

bool cks_observe_is_key(cks_role role)
{
  bool found = false;
  for (size_t i = 0; i < N_KEY_ROLE; i++) found |= key_roles[i] == role;
  return found;
}

static cks_status fold_name(cks_observing *o, cks_id name, cks_id *folded)
{
  char text[CKS_NAMES_FOLDED];
  cks_status status = CKS_OK;
  *folded = name == CKS_NONE ? CKS_NONE : o->folded[name];
  if (name == CKS_NONE || *folded != CKS_NONE) return CKS_OK;
  size_t n = cks_join_fold_plot(cks_names_text(&o->table->names, name), text), before = o->plain.n;
  status = cks_names_add(&o->plain, text, n, folded, o->reader->reading.error);
  if (status != CKS_OK) return status;
  if (o->plain.n > before) o->spelling[*folded] = name;
  o->folded[name] = *folded;
  return CKS_OK;
}

/* Does the row say which plot it is? */
static bool is_keyed(const cks_observing *o, const cks_column *const *key, size_t row)
{
  bool given[CKS_ROLE_COUNT] = {false};
  for (size_t k = 0; key[k]; k++) given[key[k]->role] |= cks_join_given(key[k], row);
  bool number = given[CKS_ROLE_PLOT] || (given[CKS_ROLE_ROW] && given[CKS_ROLE_COLUMN]);
  bool named = given[CKS_ROLE_HYBRID] || given[CKS_ROLE_ENTRY] || given[CKS_ROLE_CODE] || given[CKS_ROLE_TREATMENT];
  bool in_rep = o->reader->look.in_rep && (given[CKS_ROLE_REP] || given[CKS_ROLE_BLOCK]);
  return number || (named && (o->reader->look.rows || o->reader->look.bare || in_rep));
}

static cks_status key_of(cks_observing *o, const cks_column *const *key, size_t row, char text[KEY_TEXT], size_t *n)
{
  cks_status status = CKS_OK;
  *n = 0;
  for (size_t k = 0; key[k] && status == CKS_OK; k++) {
    cks_id id = CKS_NONE;
    if (key[k]->name) status = fold_name(o, key[k]->name[row], &id);
    int more = key[k]->name ? snprintf(text + *n, KEY_TEXT - *n, "%u ", id)
                            : snprintf(text + *n, KEY_TEXT - *n, "%.17g ", key[k]->number[row]);
    *n += (size_t)more;
  }
  return status;
}

/* o->to: rows that say the same plot. */
static cks_status find_plots(cks_observing *o)
{
  const cks_column *key[N_KEY_ROLE + 1] = {NULL};
  cks_names plots = {0};
  cks_status status = CKS_OK;
  size_t n_key = 0;
  uint32_t *begin = malloc((o->n + 1) * sizeof *begin);
  if (!begin) return cks_error_nomem(o->reader->reading.error);
  for (size_t s = 0; s < o->n_slot && n_key < N_KEY_ROLE; s++) {
    const cks_column *column = column_of(o, s);
    if (column && cks_observe_is_key(column->role)) key[n_key++] = column;
  }
  for (uint32_t r = 0; r < o->n && status == CKS_OK; r++) {
    char text[KEY_TEXT];
    size_t n, before = plots.n;
    cks_id plot;
    o->to[r] = r;
    if (!is_keyed(o, key, o->first + r)) {
      o->n_plot++;
      continue;
    }
    status = key_of(o, key, o->first + r, text, &n);
    if (status == CKS_OK) status = cks_names_add(&plots, text, n, &plot, o->reader->reading.error);
    if (status != CKS_OK) break;
    if (plots.n > before) begin[plot] = r;
    o->to[r] = begin[plot];
  }
  o->n_plot += plots.n;
  cks_names_release(&plots);
  free(begin);
  return status;
}

/* o->who, and o->day as it stands (its order may be open). */
static cks_status read_looks(cks_observing *o)
{
  const cks_column *observed = column_of(o, o->reader->look.observed),
                   *observer = column_of(o, o->reader->look.observer);
  cks_status status = CKS_OK;
  for (size_t r = 0; r < o->n && status == CKS_OK; r++) {
    cks_id id = CKS_NONE;
    o->day[r] = observed ? observed->number[o->first + r] : cks_missing();
    if (observer) status = fold_name(o, observer->name[o->first + r], &id);
    o->who[r] = id == CKS_NONE ? CKS_NONE : o->spelling[id];
  }
  return status;
}

static bool same_day(double a, double b) { return a == b || (isnan(a) && isnan(b)); }

/* The first row in which a plot stands again, with another day or observer; o->n: none. */
static size_t looked_again(const cks_observing *o)
{
  size_t r = 0;
  while (r < o->n && same_day(o->day[r], o->day[o->to[r]]) && o->who[r] == o->who[o->to[r]]) r++;
  return r;
}

/* Rows of one hybrid that nothing makes one plot, and nothing several: as plots they would pass for reps. */
static cks_status say_unclear(const cks_observing *o, size_t r)
{
  const cks_reader *reader = o->reader;
  size_t slot = column_of(o, reader->look.observer) ? reader->look.observer : reader->look.observed;
  return cks_findings_add(
      reader->reading.findings, CKS_RULE_OBSERVED_OR_PLOT, cks_reader_where(reader, o->table->line[o->first + r], slot),
      reader->heading[slot], NULL, reader->reading.error,
      "the hybrid stands here and in line %lu, and %s differs: neither plot nor rep says whether that is one plot "
      "looked "
      "at again; add a plot or a rep column, or take '%s' out if each row is a plot",
      (unsigned long)o->table->line[o->first + o->to[r]], reader->heading[slot], reader->heading[slot]);
}

/* ---- the words of the traits' column ---------------------------------------------------------------------------- */

static bool is_measured(cks_role role)
{
  cks_role_class c = cks_role_find(role)->role_class;
  return (c != CKS_CLASS_IDENTITY && c != CKS_CLASS_LOOK) || role == CKS_ROLE_NOTE || role == CKS_ROLE_LEAVE_OUT;
}

/* *any: some word is a trait, or close to one. */
static void judge_words(cks_observing *o, bool *any)
{
  const cks_column *trait = column_of(o, o->reader->look.trait), *value = column_of(o, o->reader->look.value);
  *any = false;
  for (size_t r = 0; trait && value && r < o->n; r++) {
    cks_id id = trait->name[o->first + r];
    uint32_t line = o->table->line[o->first + r];
    const char *text = cks_names_text(&o->table->names, id);
    if (id == CKS_NONE || cks_cell_is_mark(text, strlen(text))) {
      if (value->name[o->first + r] != CKS_NONE && !o->no_trait++) o->no_trait_line = line;
      continue;
    }
    cks_trait_word *w = &o->word[id];
    if (w->kind == CKS_WORD_NEW) {
      cks_heading h;
      cks_heading_read(&o->reader->context, text, &h);
      bool known = h.kind == CKS_HEADING_KNOWN || h.kind == CKS_HEADING_UNIT_BAD;
      *w = (cks_trait_word){!known                ? CKS_WORD_UNKNOWN
                            : is_measured(h.role) ? CKS_WORD_TRAIT
                                                  : CKS_WORD_NOT_MEASURED,
                            line, 0};
      *any = *any || w->kind == CKS_WORD_TRAIT || h.near;
    }
    w->rows++;
  }
}

static cks_status say_word(const cks_observing *o, cks_id id)
{
  const cks_trait_word *w = &o->word[id];
  size_t slot = o->reader->look.trait;
  const char *text = cks_names_text(&o->table->names, id), *rows = w->rows == 1 ? " is" : "s are", *why;
  cks_arena *arena = o->table->arena;
  cks_heading h;
  cks_heading_read(&o->reader->context, text, &h);
  const cks_role_fact *near = cks_role_find(h.near_role);
  if (w->kind == CKS_WORD_NOT_MEASURED)
    why = cks_arena_format(arena, "says which plot a row is, and its %u row%s not used; give it a column of its own",
                           w->rows, rows);
  else if (h.near)
    why = cks_arena_format(arena,
                           "is not known as a trait, and its %u row%s not used; did you mean '%s'? correct it, or give "
                           "--heading %s=\"%.80s\"",
                           w->rows, rows, near->label, near->key, text);
  else
    why = cks_arena_format(arena,
                           "is not known as a trait, and its %u row%s not used; correct it ('checkstrip help headings' "
                           "lists the traits), or --trait \"%.80s\" makes it one",
                           w->rows, rows, text);
  return cks_findings_add(o->reader->reading.findings, CKS_RULE_TRAIT_UNKNOWN, where_of(o, w->line, slot),
                          o->reader->heading[slot], text, o->reader->reading.error, "'%.80s' %s", text, why);
}

static cks_status say_words(const cks_observing *o)
{
  size_t slot = o->reader->look.trait;
  cks_status status = CKS_OK;
  for (cks_id id = 0; id < o->n_name && status == CKS_OK; id++)
    if (o->word[id].kind == CKS_WORD_UNKNOWN || o->word[id].kind == CKS_WORD_NOT_MEASURED) status = say_word(o, id);
  if (status != CKS_OK || !o->no_trait) return status;
  return cks_findings_add(o->reader->reading.findings, CKS_RULE_TRAIT_UNKNOWN, where_of(o, o->no_trait_line, slot),
                          o->reader->heading[slot], NULL, o->reader->reading.error,
                          "%u row%s a value and no trait, and %s not used; write what was observed under '%.80s'",
                          o->no_trait, o->no_trait == 1 ? " holds" : "s hold", o->no_trait == 1 ? "is" : "are",
                          o->reader->heading[slot]);
}

/* ---- a column for each trait, day and observer ------------------------------------------------------------------ */

static cks_status say_at(const cks_observing *o, cks_rule rule, size_t row, size_t slot, const char *text)
{
  return cks_findings_add(o->reader->reading.findings, rule, where_of(o, o->table->line[o->first + row], slot),
                          o->reader->heading[slot], NULL, o->reader->reading.error, "%s", text);
}

/* What the trait of a row says as a heading, with the unit of its row. */
static void read_word(const cks_observing *o, size_t row, const char **heading, cks_heading *h)
{
  const cks_column *trait = column_of(o, o->reader->look.trait), *unit = column_of(o, o->reader->look.unit);
  const char *text = cks_names_text(&o->table->names, trait->name[o->first + row]),
             *of = unit ? cks_names_text(&o->table->names, unit->name[o->first + row]) : "";
  bool none = !*of || cks_cell_is_mark(of, strlen(of));
  *heading = cks_arena_format(o->table->arena, none ? "%s" : "%s (%s)", text, of);
  cks_heading_read(&o->reader->context, *heading, h);
}

/* What a column of the file says as a heading. */
static void read_column(const cks_observing *o, size_t slot, const char **heading, cks_heading *h)
{
  const cks_column *column = column_of(o, slot);
  *heading = o->reader->heading[slot];
  *h = (cks_heading){.kind = CKS_HEADING_KNOWN,
                     .role = column->role,
                     .unit = column->unit,
                     .unit_stated = column->unit_stated,
                     .basis_pct = column->basis_pct,
                     .scale_low = column->scale_low,
                     .scale_high = column->scale_high,
                     .better = column->better};
  snprintf(h->key, sizeof h->key, "%s", column->key);
  snprintf(h->observer, sizeof h->observer, "%s", column->observer);
}

bool cks_observe_is_observed(cks_role role)
{
  return cks_heading_is_observed(role) || cks_role_find(role)->role_class == CKS_CLASS_KEPT;
}

/* The slot of a look, once its heading is known. */
static cks_status add_look_slot(cks_observing *o, cks_one_look *to, size_t row, const char *heading,
                                const cks_heading *h)
{
  cks_reader *reader = o->reader;
  size_t slot = reader->n_slot, at = reader->look.rows ? reader->look.value : to->slot;
  uint32_t line = reader->heading_line;
  if (reader->look.rows) reader->heading_line = to->line; /* the first row that says it is its heading */
  cks_status status = cks_reader_add_slot(reader, heading, h, at);
  reader->heading_line = line;
  to->slot = SIZE_MAX;
  if (status != CKS_OK || reader->slot[slot].column == CKS_NONE) return status;
  size_t other = 0;
  while (reader->slot[other].column != reader->slot[slot].column) other++;
  to->slot = other; /* also that of another spelling */
  if (other == slot || other >= o->n_slot) return CKS_OK;
  to->slot = SIZE_MAX;
  reader->slot[slot].column = CKS_NONE;
  reader->slot[slot].kind = CKS_SLOT_UNUSED;
  return say_at(
      o, CKS_RULE_TWO_COLUMNS, row, at,
      cks_arena_format(o->table->arena,
                       "'%.200s' is given by rows and by the column '%.200s' too; keep one of them, or rename "
                       "the column",
                       heading, reader->heading[other]));
}

/* from: the slot of the file's column; SIZE_MAX: the row's trait. */
static cks_status make_look(cks_observing *o, cks_one_look *to, size_t from, size_t row)
{
  const char *heading, *who = cks_names_text(&o->table->names, o->who[row]);
  cks_heading h;
  *to = (cks_one_look){.slot = from, .line = o->table->line[o->first + row]};
  if (from == SIZE_MAX)
    read_word(o, row, &heading, &h);
  else
    read_column(o, from, &heading, &h);
  if (h.kind == CKS_HEADING_UNIT_BAD) return say_at(o, CKS_RULE_UNIT_UNKNOWN, row, o->reader->look.value, h.why);
  if (h.kind != CKS_HEADING_KNOWN || (from == SIZE_MAX && !is_measured(h.role))) return CKS_OK;
  to->observed = cks_observe_is_observed(h.role);
  to->dated = to->observed && !cks_is_missing(o->day[row]);
  if (h.observer[0]) who = ""; /* the heading says it */
  if (to->observed && (to->dated || *who)) {
    char day[CKS_NUMBER_TEXT];
    cks_print_date(day, o->day[row]);
    cks_heading_observe(&o->reader->context, &h, o->day[row], who);
    heading = cks_arena_format(o->table->arena, "%s%s%s%s%s%s", heading, *day ? " " : "", day, *who ? " (" : "", who,
                               *who ? ")" : "");
  } else if (from != SIZE_MAX) {
    return CKS_OK; /* its own column */
  }
  return add_look_slot(o, to, row, heading, &h);
}

static cks_status say_too_many(cks_observing *o)
{
  o->reader->faulty = true;
  return cks_findings_add(
      o->reader->reading.findings, CKS_RULE_TOO_LARGE, where_of(o, 0, SIZE_MAX), NULL, NULL, o->reader->reading.error,
      "its rows hold more than %zu different traits, dates and observers together; look whether the "
      "right columns are taken for them, or give the file in parts",
      o->key.n - 1);
}

/* The look of a row at the trait of slot `from` (SIZE_MAX: its own trait). NULL in *out: too many, which was said. */
static cks_status find_look(cks_observing *o, size_t from, size_t row, cks_one_look **out)
{
  const cks_look *slots = &o->reader->look;
  const cks_column *trait = column_of(o, slots->trait), *unit = column_of(o, slots->unit);
  char text[KEY_TEXT];
  cks_id id = from == SIZE_MAX ? trait->name[o->first + row] : (cks_id)from,
         of = from == SIZE_MAX && unit ? unit->name[o->first + row] : CKS_NONE;
  int n = snprintf(text, sizeof text, "%u %u %.17g %u", id, of, o->day[row], o->who[row]);
  size_t before = o->key.n;
  cks_status status = cks_names_add(&o->key, text, (size_t)n, &id, o->reader->reading.error);
  *out = NULL;
  if (status != CKS_OK) return status;
  if (o->key.n > before) {
    if (o->key.n > MOST_LOOKS || o->key.n * o->n > MOST_CELLS) return say_too_many(o);
    if (o->key.n > o->room_look) {
      size_t room = o->room_look ? o->room_look * 2 : 16;
      cks_one_look *grown = realloc(o->look, room * sizeof *grown);
      if (!grown) return cks_error_nomem(o->reader->reading.error);
      o->look = grown;
      o->room_look = room;
    }
    o->look[id] = (cks_one_look){.slot = SIZE_MAX};
    cks_one_look made;
    status = make_look(o, &made, from, row);
    o->look[id] = made;
  }
  *out = &o->look[id];
  return status;
}

/* One observation a row: the value into the column of its look. */
static cks_status spread_value(cks_observing *o, size_t row)
{
  cks_reader *reader = o->reader;
  const cks_column *trait = column_of(o, reader->look.trait), *value = column_of(o, reader->look.value);
  cks_id name = trait->name[o->first + row], held = value->name[o->first + row];
  cks_one_look *to;
  if (name == CKS_NONE || o->word[name].kind != CKS_WORD_TRAIT || held == CKS_NONE) return CKS_OK;
  cks_status status = find_look(o, SIZE_MAX, row, &to);
  if (status != CKS_OK || !to || to->slot == SIZE_MAX) return status;
  char copy[SHORT_TEXT]; /* names move when one is added */
  const char *text = cks_names_text(&o->table->names, held);
  size_t n = strlen(text);
  text = n < sizeof copy ? memcpy(copy, text, n + 1) : cks_arena_text(o->table->arena, text);
  reader->row = o->first + row;
  reader->row_line = o->table->line[reader->row];
  reader->first_odd = o->table->n_odd;
  cks_reader_store(reader, to->slot, text, n);
  to->rows++;
  return reader->status;
}

/* A cell that was odd in its column is so in that of its look; without one it is not used. */
static cks_status spread_odd(cks_observing *o)
{
  cks_reader *reader = o->reader;
  cks_table *table = o->table;
  size_t kept = reader->part_odd;
  cks_status status = CKS_OK;
  for (size_t i = kept; i < table->n_odd && status == CKS_OK; i++) {
    cks_odd odd = table->odd[i];
    size_t row = odd.row - o->first, from = 0;
    cks_one_look *to = NULL;
    while (from < o->n_slot && reader->slot[from].column != odd.column) from++;
    if (reader->look.rows && from == reader->look.value) {
      cks_id name = column_of(o, reader->look.trait)->name[odd.row];
      if (name == CKS_NONE || o->word[name].kind != CKS_WORD_TRAIT) continue;
      status = find_look(o, SIZE_MAX, row, &to);
    } else if (!reader->look.rows && from < o->n_slot && cks_observe_is_observed(table->column[odd.column].role)) {
      status = find_look(o, from, row, &to);
    } else {
      table->odd[kept++] = odd;
      continue;
    }
    if (status != CKS_OK || !to || to->slot == SIZE_MAX) continue;
    odd.column = reader->slot[to->slot].column;
    table->odd[kept++] = odd;
  }
  if (status == CKS_OK) table->n_odd = kept;
  return status;
}

/* Ordinary columns: each cell into the column of its row's look. */
static cks_status spread_column(cks_observing *o, size_t slot)
{
  cks_reader *reader = o->reader;
  cks_status status = CKS_OK;
  for (size_t r = 0; r < o->n && status == CKS_OK && !reader->faulty; r++) {
    cks_one_look *to = NULL;
    size_t row = o->first + r;
    if (!cks_join_given(column_of(o, slot), row)) continue;
    status = find_look(o, slot, r, &to);
    if (status != CKS_OK || !to) return status;
    to->rows++;
    if (to->slot == slot) continue;
    cks_column *source = column_of(o, slot), *target = column_of(o, to->slot);
    if (target && target->number) target->number[row] = source->number[row];
    if (target && target->name) target->name[row] = source->name[row];
    cks_reader_clear(source, row, row + 1);
  }
  return status;
}

static cks_status spread(cks_observing *o)
{
  cks_reader *reader = o->reader;
  cks_status status = CKS_OK;
  for (size_t r = 0; reader->look.rows && r < o->n && status == CKS_OK && !reader->faulty; r++)
    status = spread_value(o, r);
  for (size_t s = 0; !reader->look.rows && s < o->n_slot && status == CKS_OK && !reader->faulty; s++)
    if (column_of(o, s) && cks_observe_is_observed(column_of(o, s)->role)) status = spread_column(o, s);
  if (status == CKS_OK && !reader->faulty) status = spread_odd(o);
  reader->row = o->table->n_row;
  return status == CKS_OK ? cks_reader_settle(reader, o->n_slot) : status;
}

/* ---- what is said ----------------------------------------------------------------------------------------------- */

static cks_status say_taken(const cks_observing *o)
{
  const cks_reader *reader = o->reader;
  const char *names = "";
  size_t n = 0;
  for (size_t s = o->n_slot; s < reader->n_slot; s++) {
    size_t first = 0;
    while (reader->slot[first].column != reader->slot[s].column) first++;
    if (reader->slot[s].column == CKS_NONE || first != s) continue;
    if (n++ < LISTED)
      names = cks_arena_format(o->table->arena, "%s%s%.80s", names, *names ? ", " : "", reader->heading[s]);
  }
  return cks_findings_add(reader->reading.findings, CKS_RULE_OBSERVATIONS_TAKEN,
                          where_of(o, reader->heading_line, SIZE_MAX), NULL, NULL, reader->reading.error,
                          "%zu row%s, %s, were put together as %zu plot%s%s%s%s", o->n, o->n == 1 ? "" : "s",
                          reader->look.rows ? "one an observation" : "one a look at a plot", o->n_plot,
                          o->n_plot == 1 ? "" : "s", n ? ": " : "", names, n > LISTED ? ", ..." : "");
}

static cks_status say_undated(const cks_observing *o)
{
  cks_status status = CKS_OK;
  bool dated = false;
  for (size_t i = 0; i < o->key.n; i++) dated |= o->look[i].dated;
  for (size_t i = 0; i < o->key.n && dated && !o->quiet && status == CKS_OK; i++) {
    const cks_one_look *l = &o->look[i];
    if (l->dated || !l->observed || l->slot == SIZE_MAX || !l->rows) continue;
    status = cks_findings_add(
        o->reader->reading.findings, CKS_RULE_OBSERVATION_UNDATED, where_of(o, l->line, o->reader->look.observed),
        o->reader->heading[o->reader->look.observed], NULL, o->reader->reading.error,
        "%u value%s of %.120s stand%s without a date, which others have, and %s taken as a trait of "
        "%s own; give the date",
        l->rows, l->rows == 1 ? "" : "s", o->reader->heading[l->slot], l->rows == 1 ? "s" : "",
        l->rows == 1 ? "is" : "are", l->rows == 1 ? "its" : "their");
  }
  return status;
}

/* ---- the file --------------------------------------------------------------------------------------------------- */

/* "observation", which was taken for the trait, is the note after all. */
static cks_status give_note_back(cks_observing *o, size_t slot, bool *was_note)
{
  cks_reader *reader = o->reader;
  cks_heading h;
  cks_heading_read(&reader->context, reader->heading[slot], &h);
  *was_note = h.kind == CKS_HEADING_KNOWN && h.role == CKS_ROLE_NOTE;
  if (!*was_note) return CKS_OK;
  cks_status status = cks_reader_add_slot(reader, reader->heading[slot], &h, slot);
  const cks_column *from = column_of(o, slot);
  cks_column *to = column_of(o, reader->n_slot - 1);
  if (status == CKS_OK && to) memcpy(to->name + o->first, from->name + o->first, o->n * sizeof *to->name);
  return status;
}

/* The columns of looks have no part in this file after all. */
static cks_status forget(cks_observing *o)
{
  cks_table *table = o->table;
  const cks_look *look = &o->reader->look;
  const size_t slots[] = {look->trait, look->value, look->unit, look->observed, look->observer};
  cks_status status = CKS_OK;
  for (size_t i = 0; i < sizeof slots / sizeof *slots && status == CKS_OK; i++) {
    size_t kept = o->reader->part_odd;
    bool was_note = false;
    if (!column_of(o, slots[i])) continue;
    if (slots[i] == look->trait) status = give_note_back(o, slots[i], &was_note);
    if (status == CKS_OK && !was_note)
      status = cks_reader_say_unknown(o->reader, slots[i], &(cks_heading){.kind = CKS_HEADING_UNKNOWN});
    for (size_t k = kept; k < table->n_odd; k++)
      if (table->odd[k].column != o->reader->slot[slots[i]].column) table->odd[kept++] = table->odd[k];
    table->n_odd = kept;
    cks_reader_clear(column_of(o, slots[i]), o->first, table->n_row);
  }
  return status;
}

static cks_status take(cks_observing *o)
{
  cks_reader *reader = o->reader;
  const cks_findings *findings = reader->reading.findings;
  size_t errors = findings->n_severity[CKS_ERROR];
  cks_status status = CKS_OK;
  if (column_of(o, reader->look.observed)) {
    status = cks_reader_settle_late(reader, reader->look.observed);
    for (size_t i = reader->part_odd; i < o->table->n_odd; i++)
      o->quiet |= o->table->odd[i].column == reader->slot[reader->look.observed].column;
    if (status == CKS_OK) status = read_looks(o);
  }
  o->quiet |= findings->n_severity[CKS_ERROR] > errors;
  reader->looked = true;
  if (status == CKS_OK && reader->look.rows) status = say_words(o);
  if (status == CKS_OK) status = spread(o);
  if (status == CKS_OK) status = say_undated(o);
  if (status == CKS_OK) status = cks_observe_fold(o);
  return status == CKS_OK ? say_taken(o) : status;
}

static cks_status begin(cks_observing *o)
{
  o->n_name = o->table->names.n;
  o->to = malloc((o->n + 1) * sizeof *o->to);
  o->day = malloc((o->n + 1) * sizeof *o->day);
  o->who = malloc((o->n + 1) * sizeof *o->who);
  o->folded = malloc((o->n_name + 1) * sizeof *o->folded);
  o->spelling = malloc((o->n_name + 1) * sizeof *o->spelling);
  o->word = calloc(o->n_name + 1, sizeof *o->word);
  if (!o->to || !o->day || !o->who || !o->folded || !o->spelling || !o->word)
    return cks_error_nomem(o->reader->reading.error);
  memset(o->folded, 0xff, o->n_name * sizeof *o->folded);
  cks_status status = find_plots(o);
  return status == CKS_OK ? read_looks(o) : status;
}

cks_status cks_reader_observe(cks_reader *reader)
{
  const cks_look *look = &reader->look;
  cks_observing o = {.reader = reader,
                     .table = reader->table,
                     .first = reader->first_row,
                     .n = reader->table->n_row - reader->first_row,
                     .n_slot = reader->n_slot};
  bool any = column_of(&o, look->observed) || column_of(&o, look->observer) ||
             (column_of(&o, look->trait) && column_of(&o, look->value));
  if (!any || !o.n) return CKS_OK;
  cks_status status = begin(&o);
  bool taken = false;
  size_t again = o.n;
  if (status == CKS_OK && look->rows)
    judge_words(&o, &taken);
  else if (status == CKS_OK)
    taken = (again = looked_again(&o)) < o.n && !look->bare;
  if (status == CKS_OK && !look->rows && look->bare && again < o.n) status = say_unclear(&o, again);
  if (status == CKS_OK) status = taken ? take(&o) : forget(&o);
  free(o.to);
  free(o.day);
  free(o.who);
  free(o.folded);
  free(o.spelling);
  free(o.word);
  free(o.look);
  cks_names_release(&o.plain);
  cks_names_release(&o.key);
  return status;
}

void cks_reader_drop_looks(cks_reader *reader)
{
  cks_table *table = reader->table;
  size_t kept = 0;
  for (size_t i = 0; i < table->n_column; i++) {
    cks_column *column = &table->column[i];
    bool look = cks_role_find(column->role)->role_class == CKS_CLASS_LOOK;
    bool goes = (look || (reader->looked && cks_observe_is_observed(column->role))) &&
                !cks_join_has_values(column, 0, table->n_row);
    for (size_t k = 0; k < table->n_odd && goes; k++) goes = table->odd[k].column != kept;
    if (goes) {
      cks_column_release(column);
      for (size_t k = 0; k < table->n_odd; k++) table->odd[k].column -= table->odd[k].column > kept;
    } else {
      table->column[kept++] = *column;
    }
  }
  table->n_column = kept;
}
