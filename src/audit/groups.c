/*
 * groups.c: --by-group: to which group each hybrid belongs, by a column of the plot lists, of the names table, or both;
 * --by: the same of environments, by a column that says something of them, of the plot lists or the places table.
 *
 * Values that differ in case, or in what stands between words (a space, '-' or '_'), are one group, and so are numbers of
 * one size; any other sign counts, for E, E+ and E- are three maturities. A hybrid has one value or none: two different
 * ones are an error. Out: by_group, and by_group of each hybrid; by of the trial and of each environment.
 */
#include "audit.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

typedef struct {
  cks_audit_work *work;
  cks_audit_work names; /* the same with the names table, so that findings point into it */
  const cks_column *in_plots, *in_names;
  const char **text; /* size n_hybrid: as written; NULL: not given */
  cks_where *where;  /* size n_hybrid: of text */
} grouping;

/* ---- one value -------------------------------------------------------------------------------------------------- */

static bool is_number(const char *text, double *value)
{
  char *end;
  *value = strtod(text, &end);
  return *text && !*end && isfinite(*value);
}

static bool parts_words(char c) { return c == ' ' || c == '-' || c == '_'; }

/* What two spellings of one group have in common. */
static const char *key_of(cks_arena *arena, const char *text)
{
  double value;
  if (is_number(text, &value)) return cks_arena_format(arena, "%.15g", value == 0 ? 0 : value);
  char *key = cks_arena_text(arena, text), *to = key;
  for (const char *from = key; *from; from++) {
    unsigned char next = (unsigned char)from[1 + strspn(from + 1, " -_")];
    bool between = parts_words(*from) && to > key && (isalnum(next) || next >= 0x80);
    if (!between)
      *to++ = (char)tolower((unsigned char)*from);
    else if (to[-1] != ' ')
      *to++ = ' ';
  }
  if (*key) *to = '\0';
  return key;
}

/* The cell as text; NULL: empty. */
static const char *text_at(cks_arena *arena, const cks_table *table, const cks_column *column, size_t row)
{
  char day[CKS_NUMBER_TEXT];
  if (column->name) return column->name[row] == CKS_NONE ? NULL : cks_names_text(&table->names, column->name[row]);
  if (cks_is_missing(column->number[row])) return NULL;
  return column->kind == CKS_DATE ? cks_arena_text(arena, cks_print_date(day, column->number[row]))
                                  : cks_arena_format(arena, "%.15g", column->number[row]);
}

static const char *place_text(const grouping *g, const cks_where *where)
{
  return cks_arena_format(g->work->arena, "line %u of %s", where->line,
                          where->file < g->work->findings->n_file ? g->work->findings->file[where->file] : "the list");
}

/* work: of the table where the row stands. */
static cks_status take_value(grouping *g, cks_audit_work *work, const cks_column *column, size_t row, uint32_t hybrid)
{
  cks_arena *arena = g->work->arena;
  const char *text = text_at(arena, work->table, column, row), *before = g->text[hybrid];
  cks_where where = cks_table_where(work->table, column, row);
  if (!text || (before && !strcmp(before, text))) return CKS_OK;
  if (before && strcmp(key_of(arena, before), key_of(arena, text)) != 0)
    return cks_audit_say(
        work, CKS_RULE_GROUP_DIFFERS, row, column, text,
        "%s of %s is '%s' here and '%s' in %s; a hybrid belongs to one group (--by-group): correct one "
        "of them, or name a column that is one for each hybrid",
        column->heading, g->work->hybrid[hybrid].full, text, before, place_text(g, &g->where[hybrid]));
  if (before && cks_names_compare(before, text) < 0) return CKS_OK; /* of two spellings always the same one stands */
  if (!before) g->where[hybrid] = where;
  g->text[hybrid] = cks_arena_text(arena, text);
  return CKS_OK;
}

/* ---- all values ------------------------------------------------------------------------------------------------- */

static cks_status take_listed(grouping *g)
{
  cks_audit_work *work = g->work;
  cks_status status = CKS_OK;
  size_t n = work->listing.n;
  uint32_t *hybrid = malloc((n + 1) * sizeof *hybrid); /* of a listed one: the plots' */
  if (!hybrid) return cks_error_nomem(work->error);
  memset(hybrid, 0xff, (n + 1) * sizeof *hybrid);
  for (uint32_t h = 0; h < work->n_hybrid; h++)
    if (work->listed_as[h] != CKS_NONE) hybrid[work->listed_as[h]] = h;
  for (size_t row = 0; row < work->names->n_row && status == CKS_OK; row++) {
    uint32_t listed = work->listing.of_row[row], h = listed == CKS_NONE ? CKS_NONE : hybrid[listed];
    if (h != CKS_NONE) status = take_value(g, &g->names, g->in_names, row, h);
  }
  free(hybrid);
  return status;
}

static cks_status take_planted(grouping *g)
{
  cks_audit_work *work = g->work;
  cks_status status = CKS_OK;
  for (size_t row = 0; row < work->table->n_row && status == CKS_OK; row++)
    if (!work->left_out[row] && work->hybrid_of[row] != CKS_NONE)
      status = take_value(g, work, g->in_plots, row, work->hybrid_of[row]);
  return status;
}

/* ---- groups ----------------------------------------------------------------------------------------------------- */

typedef struct {
  const char **name;
  bool numbers;
} spellings;

static int compare_groups(const void *context, uint32_t a, uint32_t b)
{
  const spellings *s = context;
  double x, y;
  if (s->numbers && is_number(s->name[a], &x) && is_number(s->name[b], &y) && x != y) return x < y ? -1 : 1;
  return cks_names_compare(s->name[a], s->name[b]);
}

/* Groups numbered as they are met: of text i in of[i]; their spellings in name (size n). Returns how many in *n_group. */
static cks_status number_groups(const cks_audit_work *work, size_t n, const char *const *text, uint32_t *of,
                                const char **name, size_t *n_group)
{
  cks_names keys = {0};
  cks_status status = CKS_OK;
  for (size_t i = 0; i < n && status == CKS_OK; i++) {
    if (!text[i]) continue;
    const char *key = key_of(work->arena, text[i]);
    status = cks_names_add(&keys, key, strlen(key), &of[i], work->error);
    if (status != CKS_OK) break;
    const char **held = &name[of[i]];
    if (!*held || cks_names_compare(text[i], *held) < 0) *held = text[i];
  }
  *n_group = keys.n;
  cks_names_release(&keys);
  return status;
}

/* Groups of n texts (NULL: not given): of[i] becomes the number of text i's; those not given are the last one. */
static cks_status make_groups(const cks_audit_work *work, size_t n, const char *const *text, uint32_t *of,
                              cks_by_group *groups)
{
  size_t n_group = 0;
  uint32_t *order = malloc((n + 1) * sizeof *order), *room = malloc((n + 1) * sizeof *room);
  const char **name = cks_arena_take(work->arena, n + 1, sizeof *name),
             **sorted = cks_arena_take(work->arena, n + 1, sizeof *sorted);
  cks_status status = order && room && name && sorted ? CKS_OK : cks_error_nomem(work->error);
  if (status != CKS_OK) goto done;
  memset(of, 0xff, n * sizeof *of);
  status = number_groups(work, n, text, of, name, &n_group);
  if (status != CKS_OK) goto done;
  spellings s = {name, true};
  double value;
  for (uint32_t i = 0; i < n_group; i++) {
    order[i] = i;
    s.numbers = s.numbers && is_number(name[i], &value);
  }
  cks_audit_sort(order, room, n_group, compare_groups, &s);
  for (uint32_t i = 0; i < n_group; i++) {
    sorted[i] = name[order[i]];
    room[order[i]] = i;
  }
  bool gaps = false;
  for (size_t i = 0; i < n; i++) {
    gaps = gaps || of[i] == CKS_NONE;
    of[i] = of[i] == CKS_NONE ? (uint32_t)n_group : room[of[i]];
  }
  groups->n = n_group + gaps;
  groups->name = sorted;
done:
  free(room);
  free(order);
  return status;
}

static cks_status group_hybrids(grouping *g)
{
  cks_audit_work *work = g->work;
  const cks_column *column = g->in_names ? g->in_names : g->in_plots;
  uint32_t *of = malloc((work->n_hybrid + 1) * sizeof *of);
  if (!of) return cks_error_nomem(work->error);
  work->by_group =
      (cks_by_group){.heading = cks_arena_text(work->arena, column->heading), .own = column->role == CKS_ROLE_BY_GROUP};
  cks_status status = make_groups(work, work->n_hybrid, g->text, of, &work->by_group);
  for (size_t h = 0; h < work->n_hybrid && status == CKS_OK; h++) work->hybrid[h].by_group = of[h];
  free(of);
  return status;
}

/* "did you mean 'maturity'? the columns are: ..." of the plot lists, then of those that only the table beside them has. */
static const char *columns_text(const cks_audit_work *work, const cks_table *beside, const char *named)
{
  const cks_names *lists[] = {&work->table->headings, beside ? &beside->headings : NULL};
  size_t n = 0, most = lists[0]->n + (lists[1] ? lists[1]->n : 0);
  const char **heading = cks_arena_take(work->arena, most + 1, sizeof *heading);
  if (!heading) return "";
  for (size_t k = 0; k < 2; k++)
    for (cks_id id = 0; lists[k] && id < lists[k]->n; id++) {
      const char *text = cks_names_text(lists[k], id);
      bool told = k == 1 && cks_names_find(lists[0], text, strlen(text)) != CKS_NONE;
      if (!told) heading[n++] = text;
    }
  const char *near = cks_audit_nearest(work->arena, named, n, heading);
  return cks_arena_format(work->arena, "%s%s%sthe columns are: %s", near ? "did you mean '" : "", near ? near : "",
                          near ? "'? " : "", cks_audit_list(work->arena, n, heading));
}

static cks_status say_not_there(cks_audit_work *work)
{
  const char *named = work->settings->by_group, *columns = columns_text(work, work->names, named);
  return cks_audit_say_all(work, CKS_RULE_HEADING_NOT_THERE,
                           "--by-group names '%.80s', a column that neither plot lists nor names table have; %s", named,
                           columns);
}

/* The column that --by-group names; the reader knows it by its heading without what stands in brackets, too. */
static const cks_column *find_column(const cks_table *table, const char *named)
{
  const cks_column *own = cks_table_column(table, CKS_ROLE_BY_GROUP);
  return own ? own : cks_audit_column_named(table, named);
}

cks_status cks_audit_groups(cks_audit_work *work)
{
  const char *named = work->settings->by_group;
  grouping g = {.work = work,
                .names = *work,
                .in_plots = find_column(work->table, named),
                .in_names = work->listing.of_row ? find_column(work->names, named) : NULL,
                .text = cks_arena_take(work->arena, work->n_hybrid + 1, sizeof *g.text),
                .where = cks_arena_take(work->arena, work->n_hybrid + 1, sizeof *g.where)};
  if (!g.text || !g.where) return cks_error_nomem(work->error);
  if (!g.in_plots && !g.in_names) return say_not_there(work);
  g.names.table = work->names;
  g.names.left_out = NULL;
  cks_status status = g.in_names ? take_listed(&g) : CKS_OK;
  if (status == CKS_OK && g.in_plots) status = take_planted(&g);
  if (status == CKS_OK) status = group_hybrids(&g);
  return status == CKS_OK ? cks_arena_status(work->arena, work->error) : status;
}

/* ---- environments ----------------------------------------------------------------------------------------------- */

/* What --by names: the role of a column, and its heading. */
typedef struct {
  cks_role role;
  const char *heading;
} place_column;

static bool names_role(cks_role role, const char *named)
{
  const cks_role_fact *fact = cks_role_find(role);
  return cks_audit_same(fact->key, named) || cks_audit_same(fact->label, named);
}

/* False: nothing has that name. A location may come from a file's name and a year from dates, without a column. */
static bool find_place_column(const cks_audit_work *work, place_column *found)
{
  static const cks_role without[] = {CKS_ROLE_LOCATION, CKS_ROLE_YEAR, CKS_ROLE_TRIAL};
  const char *named = work->settings->by;
  const cks_table *tables[] = {work->table, work->places};
  for (size_t k = 0; k < 2; k++) {
    const cks_column *column = tables[k] ? cks_table_column(tables[k], CKS_ROLE_BY) : NULL;
    if (!column && tables[k]) column = cks_audit_column_named(tables[k], named);
    if (column) *found = (place_column){column->role, column->heading};
    if (column) return true;
  }
  for (size_t i = 0; i < sizeof without / sizeof *without; i++) {
    *found = (place_column){without[i], cks_role_find(without[i])->key};
    if (names_role(without[i], named)) return true;
  }
  return false;
}

static const char *value_at(const cks_audit_work *work, const cks_trial *trial, const cks_environment *e, cks_role role)
{
  switch (role) {
  case CKS_ROLE_LOCATION:
    return trial->location[e->location];
  case CKS_ROLE_YEAR:
    return e->year ? cks_arena_format(work->arena, "%d", e->year) : NULL;
  case CKS_ROLE_TRIAL:
    return *e->trial ? e->trial : NULL;
  default:
    return e->place[role];
  }
}

/* A value of each environment, in text. CKS_USAGE: the plots of one have several. */
static cks_status take_places(const cks_audit_work *work, const cks_trial *trial, const place_column *by,
                              const char **text)
{
  const cks_column *column = cks_table_column(work->table, by->role);
  for (size_t e = 0; e < trial->n_environment; e++) {
    const cks_environment *place = &trial->environment[e];
    bool fact = cks_role_find(by->role)->role_class == CKS_CLASS_PLACE;
    if (fact && column && cks_audit_several(column, place))
      return cks_error_set(work->error, CKS_USAGE,
                           "--by %s: not one for all plots of %s; give a trial name to each part of it, or choose one "
                           "with --only %s=VALUE",
                           by->heading, place->label, cks_role_find(by->role)->key);
    text[e] = value_at(work, trial, place, by->role);
  }
  return CKS_OK;
}

static bool is_of_places(cks_role role)
{
  return role == CKS_ROLE_LOCATION || role == CKS_ROLE_YEAR || role == CKS_ROLE_TRIAL ||
         cks_role_find(role)->role_class == CKS_CLASS_PLACE;
}

cks_status cks_audit_by(cks_audit_work *work, cks_trial *trial)
{
  place_column by = {CKS_ROLE_OTHER, ""};
  const char *named = work->settings->by, **text = cks_arena_take(work->arena, trial->n_environment, sizeof *text);
  uint32_t *of = malloc((trial->n_environment + 1) * sizeof *of);
  cks_status status = text && of ? CKS_OK : cks_error_nomem(work->error);
  if (status != CKS_OK) goto done;
  if (!find_place_column(work, &by))
    status = cks_error_set(work->error, CKS_USAGE,
                           "--by names '%.80s', a column that neither plot lists nor places table have; %s", named,
                           columns_text(work, work->places, named));
  else if (!is_of_places(by.role))
    status = cks_error_set(work->error, CKS_USAGE,
                           "--by %.80s: that says nothing of places; name location, year, trial, or a column that is "
                           "one for each of them (irrigation, soil, ...)",
                           named);
  if (status == CKS_OK) status = take_places(work, trial, &by, text);
  trial->by = (cks_by_group){.heading = cks_arena_text(work->arena, by.heading), .own = by.role == CKS_ROLE_BY};
  if (status == CKS_OK) status = make_groups(work, trial->n_environment, text, of, &trial->by);
  for (size_t e = 0; e < trial->n_environment && status == CKS_OK; e++) trial->environment[e].by = of[e];
done:
  free(of);
  return status;
}
