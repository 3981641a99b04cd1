/*
 * join_match.c: which plot of the list a row of an adding file belongs to.
 *
 * By location (and year and trial, where both give them) and plot; else by location, row and column. A file that gives no
 * location takes the list's only one; else the one whose name's words all stand in the file's or the sheet's name; else,
 * when no plot number of it stands at two locations, its plots are found by number alone. A plot number that restarts in
 * every rep is told apart by the rep.
 */
#include "join.h"

#include "../agronomy/words.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { MOST_WORDS = 60, MOST_ALIKE = 400 }; /* plots of one number at a place that are told apart by trial and rep */

/* ---- names ------------------------------------------------------------------------------------------------------ */

size_t cks_join_fold_plot(const char *text, char into[CKS_NAMES_FOLDED])
{
  size_t used = 0, digits = 0;
  bool in_number = false;
  for (const char *c = text; *c && used < CKS_NAMES_FOLDED - 1; c++) {
    if (*c == ' ') continue;
    bool digit = isdigit((unsigned char)*c), follows = used && isdigit((unsigned char)into[used - 1]);
    bool decimal = used && into[used - 1] == '.';
    in_number = digit && (follows || decimal || in_number);
    if (*c == '0' && !in_number && isdigit((unsigned char)c[1])) continue; /* 007 */
    into[used++] = (char)tolower((unsigned char)*c);
  }
  into[used] = '\0';
  digits = strspn(into, "0123456789");
  if (digits && into[digits] == '.' && digits + 1 + strspn(into + digits + 1, "0") == used) used = digits; /* 101.0 */
  into[used] = '\0';
  return used;
}

static cks_status fold_place(cks_join *join, const char *text, size_t n, uint32_t *id)
{
  char folded[CKS_NAMES_FOLDED];
  cks_names_fold(text, n, folded);
  return cks_names_add(&join->folded, folded, strlen(folded), id, join->error);
}

/* ---- places ----------------------------------------------------------------------------------------------------- */

static cks_status add_place(cks_join *join, uint32_t id, const char *text, bool from_file)
{
  if (id < join->n_place) return CKS_OK;
  if (join->n_place == join->room_place) {
    size_t room = join->room_place ? join->room_place * 2 : 16;
    cks_join_place *grown = realloc(join->place, room * sizeof *grown);
    if (!grown) return cks_error_nomem(join->error);
    join->place = grown;
    join->room_place = room;
  }
  join->place[join->n_place++] = (cks_join_place){cks_arena_text(join->table->arena, text), from_file};
  return CKS_OK;
}

/* Places of the rows of one file; those of a list become places of the list. */
static cks_status places_of(cks_join *join, size_t file)
{
  const cks_names *names = &join->table->names;
  cks_id last = CKS_NONE;
  uint32_t id = CKS_NONE, first = join->first[file], end = join->first[file + 1];
  bool list = join->kind[file] == CKS_FILE_LIST, given = false;
  cks_status status = CKS_OK;
  for (uint32_t row = first; row < end && status == CKS_OK; row++) {
    join->place_of[row] = CKS_NONE;
    if (!cks_join_given(join->location, row)) continue;
    given = true;
    if (join->location->name[row] != last) {
      last = join->location->name[row];
      const char *text = cks_names_text(names, last);
      status = fold_place(join, text, strlen(text), &id);
      if (status == CKS_OK && list) status = add_place(join, id, text, false);
    }
    join->place_of[row] = id;
  }
  if (!list || given || status != CKS_OK) return status;
  size_t n;
  const char *stem = cks_table_place(join->table, join->findings, join->table->file_id[file], &n);
  status = fold_place(join, stem, n, &id);
  if (status == CKS_OK) status = add_place(join, id, cks_arena_format(join->table->arena, "%.*s", (int)n, stem), true);
  for (uint32_t row = first; row < end; row++) join->place_of[row] = id;
  return status;
}

static const char *list_places(const cks_join *join)
{
  enum { MOST = 8 };
  const char *list = "";
  for (size_t i = 0; i < join->n_place && i < MOST; i++)
    list = cks_arena_format(join->table->arena, "%s%s%.60s", list, i ? ", " : "", join->place[i].text);
  return join->n_place > MOST ? cks_arena_format(join->table->arena, "%s, ...", list) : list;
}

cks_status cks_join_places(cks_join *join)
{
  cks_status status = CKS_OK;
  for (int pass = 0; pass < 2; pass++) /* the list's come first, so that their ids are those below n_place */
    for (size_t i = 0; i < join->table->n_file && status == CKS_OK; i++)
      if ((join->kind[i] == CKS_FILE_LIST) == (pass == 0)) status = places_of(join, i);
  join->out->places = list_places(join);
  return status;
}

typedef struct {
  char text[CKS_NAMES_FOLDED];
  const char *word[MOST_WORDS];
  size_t n;
} word_list;

/* Runs of letters and digits, in lower case. */
static void split_words(const char *text, size_t n, word_list *to)
{
  bool inside = false;
  to->n = 0;
  if (n >= sizeof to->text) n = sizeof to->text - 1;
  for (size_t i = 0; i < n; i++) {
    unsigned char c = (unsigned char)text[i];
    bool counts = isalnum(c) || c >= 0x80;
    to->text[i] = counts ? (char)tolower(c) : '\0';
    if (counts && !inside && to->n < MOST_WORDS) to->word[to->n++] = to->text + i;
    inside = counts;
  }
  to->text[n] = '\0';
}

static uint64_t bit_of(const word_list *words, const char *word)
{
  for (size_t i = 0; i < words->n; i++)
    if (!strcmp(words->word[i], word)) return UINT64_C(1) << i;
  return 0;
}

/* The words of name that the place's name needs, as bits; 0: some are not there. The name of a list's file may say what
 * it is: creek-plots.csv stands for Creek. */
static uint64_t words_met(const word_list *name, const cks_join_place *place)
{
  static const char list_words[] =
      "plots|plot|list|plotlist|trial|map|plan|field|book|fieldbook|layout|entries|hybrids";
  word_list words;
  char folded[CKS_NAMES_FOLDED];
  uint64_t met = 0;
  cks_names_fold(place->text, strlen(place->text), folded);
  split_words(place->text, strlen(place->text), &words);
  for (size_t i = 0; i < words.n; i++) {
    uint64_t bit = bit_of(name, words.word[i]);
    if (!bit && place->from_file && cks_words_has(list_words, words.word[i])) continue;
    if (!bit) return bit_of(name, folded); /* ElmCreek-harvest.csv */
    met |= bit;
  }
  return met;
}

/* The one place whose words all stand in name; of Creek and Elm Creek the longer; CKS_NONE: none or several. */
static uint32_t place_in_name(const cks_join *join, const char *text, size_t n)
{
  word_list name;
  uint64_t best = 0, all = 0;
  uint32_t found = CKS_NONE;
  split_words(text, n, &name);
  for (uint32_t i = 0; i < join->n_place; i++) {
    uint64_t met = words_met(&name, &join->place[i]);
    if (!met) continue;
    all |= met;
    if (met == best) found = CKS_NONE;
    if (met == best || (met & best) == met) continue; /* another holds all of its words */
    found = (met & best) == best ? i : CKS_NONE;
    best |= met;
  }
  return best == all ? found : CKS_NONE;
}

/* ---- the index of the list's plots ------------------------------------------------------------------------------ */

typedef enum { BY_PLOT, BY_POSITION, BY_NUMBER_ALONE, N_KEY } key_kind;

typedef struct {
  uint32_t *head; /* size n_slot (a power of two): first plot of a key; CKS_NONE free */
  uint32_t *next; /* size n_row: next plot with the same key, by row */
  size_t n_slot;
} plot_index;

typedef struct {
  cks_join *join;
  plot_index index[N_KEY]; /* made when first asked */
  uint32_t *taken;         /* size n_row: row of the present file that a plot went to; CKS_NONE none */
  bool alone;              /* the present file's plots are found by number alone */
} matching;

static bool has_key(const cks_join *join, key_kind kind, uint32_t row)
{
  if (kind == BY_POSITION) return cks_join_given(join->row, row) && cks_join_given(join->column, row);
  return cks_join_given(join->plot, row);
}

static uint64_t mixed(uint64_t h, uint64_t value)
{
  h = (h ^ value) * UINT64_C(0x9E3779B97F4A7C15);
  return h ^ (h >> 29);
}

static uint64_t bits_of(double value)
{
  uint64_t bits;
  value += 0.0; /* -0 is 0 */
  memcpy(&bits, &value, sizeof bits);
  return bits;
}

static uint64_t hash(const cks_join *join, key_kind kind, uint32_t row)
{
  uint64_t h = kind == BY_NUMBER_ALONE ? 1 : mixed(1, join->place_of[row]);
  if (kind == BY_POSITION) return mixed(mixed(h, bits_of(join->row->number[row])), bits_of(join->column->number[row]));
  return mixed(h, join->plot_key[join->plot->name[row]]);
}

static bool same_key(const cks_join *join, key_kind kind, uint32_t a, uint32_t b)
{
  if (kind != BY_NUMBER_ALONE && join->place_of[a] != join->place_of[b]) return false;
  if (kind == BY_POSITION)
    return join->row->number[a] == join->row->number[b] && join->column->number[a] == join->column->number[b];
  return join->plot_key[join->plot->name[a]] == join->plot_key[join->plot->name[b]];
}

static uint32_t *slot_of(const matching *m, key_kind kind, uint32_t row)
{
  const plot_index *index = &m->index[kind];
  size_t mask = index->n_slot - 1, i = (size_t)hash(m->join, kind, row) & mask;
  while (index->head[i] != CKS_NONE && !same_key(m->join, kind, index->head[i], row)) i = (i + 1) & mask;
  return &index->head[i];
}

static cks_status make_index(matching *m, key_kind kind)
{
  cks_join *join = m->join;
  plot_index *index = &m->index[kind];
  if (index->head) return CKS_OK;
  for (index->n_slot = 16; index->n_slot < 2 * join->table->n_row;) index->n_slot *= 2;
  index->head = malloc(index->n_slot * sizeof *index->head);
  index->next = malloc((join->table->n_row + 1) * sizeof *index->next);
  if (!index->head || !index->next) return cks_error_nomem(join->error);
  memset(index->head, 0xff, index->n_slot * sizeof *index->head);
  for (size_t i = join->table->n_file; i-- > 0;) {
    if (join->kind[i] != CKS_FILE_LIST) continue;
    for (uint32_t row = join->first[i + 1]; row-- > join->first[i];) { /* from the last, so that chains run by row */
      if (!has_key(join, kind, row) || join->place_of[row] == CKS_NONE) continue;
      uint32_t *slot = slot_of(m, kind, row);
      index->next[row] = *slot;
      *slot = row;
    }
  }
  return CKS_OK;
}

/* ---- one row ---------------------------------------------------------------------------------------------------- */

static bool same_name(const cks_join *join, const cks_column *column, uint32_t a, uint32_t b)
{
  if (!cks_join_given(column, a) || !cks_join_given(column, b) || column->name[a] == column->name[b]) return true;
  const cks_names *names = &join->table->names;
  char x[CKS_NAMES_FOLDED], y[CKS_NAMES_FOLDED];
  cks_join_fold_plot(cks_names_text(names, column->name[a]), x);
  cks_join_fold_plot(cks_names_text(names, column->name[b]), y);
  return !strcmp(x, y);
}

static bool is_marked(const cks_join *join, uint32_t row)
{
  return cks_join_given(join->leave_out, row) &&
         !cks_words_has(CKS_WORDS_NO, cks_names_text(&join->table->names, join->leave_out->name[row]));
}

/* Strict: plots of another year or trial never; stricter, while several are left: none that is left out, one rep. */
static bool fits(const cks_join *join, uint32_t plot, uint32_t row, int strictness)
{
  bool year = cks_join_given(join->year, plot) && cks_join_given(join->year, row);
  if (year && join->year->number[plot] != join->year->number[row]) return false;
  if (!same_name(join, join->trial, plot, row)) return false;
  if (strictness > 0 && !same_name(join, join->rep, plot, row)) return false;
  return strictness < 2 || !is_marked(join, plot);
}

/* The plot of a row among those of its key; CKS_NONE and *several (with two of them in stray) or not. */
static uint32_t choose(const matching *m, key_kind kind, uint32_t row, cks_stray *stray, bool *several)
{
  uint32_t head = *slot_of(m, kind, row);
  *several = false;
  for (int strictness = 0; strictness < 3; strictness++) {
    size_t n = 0, looked = 0;
    uint32_t found[2] = {CKS_NONE, CKS_NONE};
    for (uint32_t plot = head; plot != CKS_NONE && looked < MOST_ALIKE; plot = m->index[kind].next[plot], looked++)
      if (fits(m->join, plot, row, strictness) && n++ < 2) found[n - 1] = plot;
    if (looked == MOST_ALIKE) found[0] = head, found[1] = m->index[kind].next[head], n = 2;
    if (n == 0 && strictness == 2) break; /* all are left out: as before */
    *several = n > 1;
    if (n < 2) return found[0];
    stray->to = found[0];
    stray->other = found[1];
  }
  return CKS_NONE;
}

static bool has_anything(const cks_join *join, uint32_t row)
{
  const cks_table *table = join->table;
  bool any = false;
  for (size_t i = 0; i < table->n_column && !any; i++)
    any = (cks_role_find(table->column[i].role)->role_class != CKS_CLASS_IDENTITY ||
           table->column[i].role == CKS_ROLE_NOTE) &&
          cks_join_given(&table->column[i], row);
  return any;
}

/* The plot of a row, or why it has none in stray->kind. */
static uint32_t plot_of(const matching *m, uint32_t row, cks_stray *stray)
{
  const cks_join *join = m->join;
  bool several = false;
  uint32_t place = join->place_of[row], plot = CKS_NONE;
  bool nowhere = place == CKS_NONE;
  stray->kind = nowhere && m->alone      ? (cks_join_given(join->plot, row) ? CKS_STRAY_PLOT : CKS_STRAY_NO_PLOT)
                : nowhere                ? CKS_STRAY_NO_PLACE
                : place >= join->n_place ? CKS_STRAY_PLACE
                                         : CKS_STRAY_NO_PLOT;
  if (nowhere || stray->kind != CKS_STRAY_NO_PLOT) return CKS_NONE;
  for (key_kind kind = BY_PLOT; kind <= BY_POSITION && plot == CKS_NONE && !several; kind++) {
    if (!m->index[kind].head || !has_key(join, kind, row)) continue;
    stray->kind = CKS_STRAY_PLOT;
    plot = choose(m, kind, row, stray, &several);
    bool other =
        kind == BY_POSITION && plot != CKS_NONE && cks_join_given(join->plot, row) && cks_join_given(join->plot, plot);
    if (other) plot = CKS_NONE; /* the plot that stands there has a number, and it is not this one */
  }
  if (several) stray->kind = CKS_STRAY_SEVERAL;
  return plot;
}

static bool same_rows(const cks_table *table, uint32_t a, uint32_t b)
{
  bool same = true;
  for (size_t i = 0; i < table->n_column && same; i++) {
    const cks_column *c = &table->column[i];
    same = c->name ? c->name[a] == c->name[b]
                   : c->number[a] == c->number[b] || (isnan(c->number[a]) && isnan(c->number[b]));
  }
  return same;
}

cks_status cks_join_stray(cks_join *join, const cks_stray *stray)
{
  cks_joined *out = join->out;
  if (out->n_stray == join->room_stray) {
    size_t room = join->room_stray ? join->room_stray * 2 : 16;
    cks_stray *grown = realloc(out->stray, room * sizeof *grown);
    if (!grown) return cks_error_nomem(join->error);
    out->stray = grown;
    join->room_stray = room;
  }
  out->stray[out->n_stray++] = *stray;
  return CKS_OK;
}

/* Two rows of a file for one plot: the same twice is one; a row that is left out gives way; else the first stays. */
static cks_status settle_twice(matching *m, uint32_t row, uint32_t plot)
{
  cks_join *join = m->join;
  uint32_t before = m->taken[plot], stays = before, goes = row;
  if (same_rows(join->table, before, row)) {
    join->to[row] = CKS_AGAIN;
    return CKS_OK;
  }
  if (is_marked(join, before) && !is_marked(join, row)) stays = row, goes = before;
  m->taken[plot] = stays;
  join->to[stays] = plot;
  join->to[goes] = CKS_NONE;
  return cks_join_stray(join, &(cks_stray){CKS_STRAY_TWICE, goes, plot, join->table->line[stays]});
}

static cks_status match_row(matching *m, uint32_t row, uint32_t first)
{
  cks_join *join = m->join;
  cks_stray stray = {CKS_STRAY_PLOT, row, CKS_NONE, CKS_NONE};
  uint32_t plot = plot_of(m, row, &stray);
  if (plot == CKS_NONE) { /* a row that says nothing is a gap between others */
    if (stray.kind == CKS_STRAY_NO_PLOT && !has_anything(join, row)) stray.kind = CKS_STRAY_TOLD;
    return cks_join_stray(join, &stray);
  }
  join->to[row] = plot;
  if (m->taken[plot] != CKS_NONE && m->taken[plot] >= first) return settle_twice(m, row, plot);
  m->taken[plot] = row;
  return CKS_OK;
}

/* ---- the location of a file that gives none --------------------------------------------------------------------- */

/* Takes each row's place from the list's plot of its number; false when a number stands at two places. */
static bool places_by_number(const matching *m, uint32_t first, uint32_t end)
{
  const cks_join *join = m->join;
  bool clear = true;
  for (uint32_t row = first; row < end && clear; row++) {
    if (!has_key(join, BY_NUMBER_ALONE, row)) continue;
    uint32_t head = *slot_of(m, BY_NUMBER_ALONE, row);
    if (head == CKS_NONE) continue;
    join->place_of[row] = join->place_of[head];
    size_t looked = 0;
    for (uint32_t p = head; p != CKS_NONE && clear && looked < MOST_ALIKE;
         p = m->index[BY_NUMBER_ALONE].next[p], looked++)
      clear = join->place_of[p] == join->place_of[head];
    clear = clear && looked < MOST_ALIKE;
  }
  if (!clear) memset(join->place_of + first, 0xff, (end - first) * sizeof *join->place_of);
  return clear;
}

static cks_status say_unclear(const cks_join *join, size_t file)
{
  bool plots = cks_join_has_values(join->plot, join->first[file], join->first[file + 1]);
  return cks_findings_add(
      join->findings, CKS_RULE_PLACE_UNCLEAR, (cks_where){join->table->file_id[file], CKS_NONE, 0, 0}, NULL, NULL,
      join->error,
      "no hybrid is given, so the rows add to plots of the list, but nothing says at which location (%s)%s; add a "
      "location column, or put the location's name into the file's name",
      join->out->places, plots ? ", and its plot numbers stand at several" : "");
}

/* How the file's plots are found, for the note; NULL: they are not, and that was said. */
static cks_status place_file(matching *m, size_t file, const char **how)
{
  cks_join *join = m->join;
  uint32_t first = join->first[file], end = join->first[file + 1], place = CKS_NONE;
  size_t n;
  m->alone = false;
  const char *stem = cks_table_place(join->table, join->findings, join->table->file_id[file], &n);
  cks_id sheet = join->findings->file_sheet[join->table->file_id[file]];
  *how = "location";
  if (cks_join_has_values(join->location, first, end)) return CKS_OK;
  const char *why = "the list's only location";
  if (join->n_place == 1) {
    place = 0;
  } else if (sheet != CKS_NONE) {
    const char *name = cks_names_text(&join->findings->sheet, sheet);
    place = place_in_name(join, name, strlen(name));
    why = "as the sheet's name says";
  }
  if (place == CKS_NONE) {
    place = place_in_name(join, stem, n);
    why = "as the file's name says";
  }
  if (place != CKS_NONE) {
    *how = cks_arena_format(join->table->arena, "location %s (%s)", join->place[place].text, why);
    for (uint32_t row = first; row < end; row++) join->place_of[row] = place;
    return CKS_OK;
  }
  cks_status status = CKS_OK;
  *how = NULL;
  if (cks_join_has_values(join->plot, first, end)) {
    status = make_index(m, BY_NUMBER_ALONE);
    m->alone = status == CKS_OK && places_by_number(m, first, end);
    if (m->alone) *how = "plot number alone (no number stands at two locations)";
  }
  return status == CKS_OK && !*how ? say_unclear(join, file) : status;
}

static cks_status match_file(matching *m, size_t file)
{
  cks_join *join = m->join;
  uint32_t first = join->first[file], end = join->first[file + 1];
  cks_adding *adding = &join->out->file[file];
  const char *how = NULL;
  cks_status status = place_file(m, file, &how);
  for (uint32_t row = first; row < end && status == CKS_OK; row++)
    status =
        how ? match_row(m, row, first) : cks_join_stray(join, &(cks_stray){CKS_STRAY_TOLD, row, CKS_NONE, CKS_NONE});
  *adding = (cks_adding){true, end - first, 0};
  for (uint32_t row = first; row < end; row++) adding->plots += join->to[row] < CKS_AGAIN;
  if (!how || status != CKS_OK) return status;
  bool plots = cks_join_has_values(join->plot, first, end);
  return cks_findings_add(join->findings, CKS_RULE_JOINED, (cks_where){join->table->file_id[file], CKS_NONE, 0, 0},
                          NULL, NULL, join->error, "its columns were added to %u plot%s of the list, found by %s%s",
                          adding->plots, adding->plots == 1 ? "" : "s", how,
                          m->alone ? ""
                          : plots  ? " and plot"
                                   : ", row and column");
}

cks_status cks_join_match(cks_join *join)
{
  matching m = {.join = join};
  size_t n_row = join->table->n_row;
  cks_status status = CKS_OK;
  m.taken = malloc((n_row + 1) * sizeof *m.taken);
  if (!m.taken) return cks_error_nomem(join->error);
  memset(m.taken, 0xff, n_row * sizeof *m.taken);
  if (join->plot) status = make_index(&m, BY_PLOT);
  if (status == CKS_OK && join->row && join->column) status = make_index(&m, BY_POSITION);
  for (size_t i = 0; i < join->table->n_file && status == CKS_OK; i++)
    if (join->kind[i] == CKS_FILE_ADDS) status = match_file(&m, i);
  for (int kind = 0; kind < N_KEY; kind++) {
    free(m.index[kind].head);
    free(m.index[kind].next);
  }
  free(m.taken);
  return status;
}
