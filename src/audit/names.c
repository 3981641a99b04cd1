/*
 * names.c: the names table: which hybrid stands behind a name, a code or an entry number of the plot lists.
 *
 * A row of the table is a name. Rows with one hybrid and brand are one listed hybrid. The plot lists may hold what the
 * row says is seen (seen_as, else the hybrid; code) and always the hybrid's own name, unless the table gives that to
 * another. A brand beside the name chooses among hybrids of several brands. Out: work->listing.
 */
#include "audit.h"

#include <stdlib.h>
#include <string.h>

typedef struct {
  cks_audit_work *work;
  cks_audit_work table; /* the same with the names table, so that findings point into it */
  const cks_column *seen, *hybrid, *brand, *code, *entry, *maturity, *check, *print;
  cks_audit_keys own; /* the hybrid's name, and name and brand */
} names_table;

static const char *cell(const names_table *t, const cks_column *column, size_t row)
{
  return column ? cks_names_text(&t->work->names->names, column->name[row]) : "";
}

static const char *text_of(const cks_audit_work *work, cks_id id) { return cks_names_text(&work->table->names, id); }

static cks_status keep(const names_table *t, const char *text, cks_id *id)
{
  *id = CKS_NONE;
  return *text ? cks_names_add(&t->work->table->names, text, strlen(text), id, t->work->error) : CKS_OK;
}

static const char *line_of(const names_table *t, uint32_t hybrid)
{
  const cks_table *names = t->work->names;
  size_t row = t->work->listing.hybrid[hybrid].row;
  return cks_audit_line(t->work, names->file[row], names->line[row]);
}

/* ---- keys ------------------------------------------------------------------------------------------------------- */

static void release_keys(cks_audit_keys *keys)
{
  cks_names_release(&keys->text);
  free(keys->of);
  *keys = (cks_audit_keys){0};
}

/* What stands behind a name (and a brand, when it is not ""), to be read or set; new keys hold CKS_NONE. */
static cks_status slot_of(const names_table *t, cks_audit_keys *keys, const char *name, const char *brand,
                          uint32_t **slot, cks_id *id)
{
  char key[CKS_AUDIT_KEY];
  size_t n = cks_audit_key(name, brand, key);
  cks_status status = cks_names_add(&keys->text, key, n, id, t->work->error);
  if (status == CKS_OK && *id >= keys->room) {
    size_t room = keys->room ? keys->room * 2 : 64;
    uint32_t *grown = realloc(keys->of, room * sizeof *grown);
    if (!grown) return cks_error_nomem(t->work->error);
    memset(grown + keys->room, 0xff, (room - keys->room) * sizeof *grown);
    keys->of = grown;
    keys->room = room;
  }
  *slot = status == CKS_OK ? &keys->of[*id] : NULL;
  return status;
}

static uint32_t find(const cks_audit_keys *keys, const char *name, const char *brand)
{
  char key[CKS_AUDIT_KEY];
  cks_id id = cks_names_find(&keys->text, key, cks_audit_key(name, brand, key));
  return id == CKS_NONE ? CKS_NONE : keys->of[id];
}

uint32_t cks_audit_listed_as(const cks_audit_work *work, const char *name, const char *brand)
{
  const cks_audit_listing *listing = &work->listing;
  uint32_t found = *brand ? find(&listing->seen, name, brand) : CKS_NONE;
  if (found != CKS_NONE) return found;
  found = find(&listing->seen, name, "");
  if (found == CKS_NONE || !*brand) return found;
  if (found == CKS_AUDIT_SEVERAL) return CKS_NONE; /* listed under other brands only */
  const char *listed = text_of(work, listing->hybrid[found].brand);
  return *listed && !cks_audit_same(listed, brand) ? CKS_NONE : found;
}

/* ---- the hybrids of the table ----------------------------------------------------------------------------------- */

static cks_status new_hybrid(names_table *t, size_t row, uint32_t *index)
{
  cks_audit_listing *listing = &t->work->listing;
  cks_audit_listed *h = &listing->hybrid[ *index = (uint32_t)listing->n++];
  *h = (cks_audit_listed){.maturity = CKS_NONE, .print = CKS_NONE, .row = row};
  const char *name = cell(t, t->hybrid, row);
  size_t bare = cks_audit_unmarked(name);
  cks_status status = keep(t, bare ? cks_arena_format(t->work->arena, "%.*s", (int)bare, name) : name, &h->name);
  return status == CKS_OK ? keep(t, cell(t, t->brand, row), &h->brand) : status;
}

/* The listed hybrid of a row; one without a brand is that of the only brand its name stands under. */
static cks_status find_hybrid(names_table *t, size_t row)
{
  const char *name = cell(t, t->hybrid, row), *brand = cell(t, t->brand, row);
  uint32_t *plain, *branded;
  cks_id id;
  cks_status status = slot_of(t, &t->own, name, "", &plain, &id);
  if (status != CKS_OK) return status;
  if (!*brand) {
    if (*plain == CKS_AUDIT_SEVERAL)
      return cks_audit_say(&t->table, CKS_RULE_BRAND_MISSING, row, t->brand, "",
                           "'%s' stands here without a brand and in other rows under several; write the brand", name);
    if (*plain == CKS_NONE) status = new_hybrid(t, row, plain);
    t->work->listing.of_row[row] = *plain;
    return status;
  }
  uint32_t before = *plain;
  status = slot_of(t, &t->own, name, brand, &branded, &id); /* plain may have moved */
  if (status == CKS_OK && *branded == CKS_NONE) {
    status = new_hybrid(t, row, branded);
    uint32_t made = *branded;
    if (status == CKS_OK) status = slot_of(t, &t->own, name, "", &plain, &id);
    if (status != CKS_OK) return status;
    *plain = before == CKS_NONE ? made : CKS_AUDIT_SEVERAL;
    t->work->listing.of_row[row] = made;
  } else if (status == CKS_OK) {
    t->work->listing.of_row[row] = *branded;
  }
  return status;
}

/* What a row says of its hybrid beside its names: the first row that says it counts. */
static cks_status take_facts(names_table *t, size_t row)
{
  cks_audit_listed *h = &t->work->listing.hybrid[t->work->listing.of_row[row]];
  const struct {
    const cks_column *column;
    cks_id *to;
  } fact[] = {{t->maturity, &h->maturity}, {t->print, &h->print}};
  cks_status status = CKS_OK;
  const char *check = cell(t, t->check, row);
  const char *name = cell(t, t->hybrid, row);
  h->check = h->check || (*check && cks_audit_marks_check(t->check, check)) || cks_audit_unmarked(name) < strlen(name);
  for (size_t i = 0; i < sizeof fact / sizeof *fact && status == CKS_OK; i++) {
    const char *text = cell(t, fact[i].column, row);
    if (*fact[i].to == CKS_NONE)
      status = keep(t, text, fact[i].to);
    else if (*text && strcmp(text, text_of(t->work, *fact[i].to)) != 0)
      status = cks_audit_say(&t->table, CKS_RULE_VALUES_DIFFER, row, fact[i].column, text,
                             "%s of %s is '%s' here and '%s' in an earlier row, which is used; correct one of them",
                             fact[i].column->key, text_of(t->work, h->name), text, text_of(t->work, *fact[i].to));
  }
  return status;
}

static bool says_anything(const names_table *t, size_t row)
{
  return *cell(t, t->seen, row) || *cell(t, t->code, row) || *cell(t, t->entry, row);
}

static cks_status list_hybrids(names_table *t)
{
  cks_status status = CKS_OK;
  size_t n = t->work->names->n_row;
  memset(t->work->listing.of_row, 0xff, n * sizeof *t->work->listing.of_row);
  for (int branded = 1; branded >= 0; branded--) /* a row without a brand looks for the brands of the others */
    for (size_t row = 0; row < n && status == CKS_OK; row++) {
      const char *name = cell(t, t->hybrid, row);
      if (!!*cell(t, t->brand, row) != branded) continue;
      if (*name)
        status = find_hybrid(t, row);
      else if (says_anything(t, row))
        status =
            cks_audit_say(&t->table, CKS_RULE_MISSING_HYBRID, row, t->hybrid, "",
                          "the row has a name or code and no hybrid; write which hybrid it is, or take the row out");
      if (status == CKS_OK && *name && cks_audit_changed_by_spreadsheet(name))
        status = cks_audit_say(&t->table, CKS_RULE_NAME_CHANGED, row, t->hybrid, name,
                               "the hybrid '%s' looks like a date or a power of ten that a spreadsheet made of a name; "
                               "type the name again as text",
                               name);
    }
  for (size_t row = 0; row < n && status == CKS_OK; row++)
    if (t->work->listing.of_row[row] != CKS_NONE) status = take_facts(t, row);
  return status;
}

/* ---- what the plot lists may hold ------------------------------------------------------------------------------- */

static const char *in_full(const names_table *t, uint32_t hybrid)
{
  const cks_audit_listed *h = &t->work->listing.hybrid[hybrid];
  const char *name = text_of(t->work, h->name), *brand = text_of(t->work, h->brand);
  return *brand ? cks_arena_format(t->work->arena, "%s (%s)", name, brand) : name;
}

static bool brands_differ(const names_table *t, uint32_t a, uint32_t b)
{
  const cks_audit_listed *h = t->work->listing.hybrid;
  const char *first = text_of(t->work, h[a].brand), *second = text_of(t->work, h[b].brand);
  return *first && *second && !cks_audit_same(first, second);
}

/* One key of a seen name. A hybrid's own name (n_stated: keys that rows state) yields to what a row states. */
static cks_status enter_key(names_table *t, const char *seen, const char *brand, size_t row, size_t n_stated,
                            const cks_column *column)
{
  uint32_t hybrid = t->work->listing.of_row[row], *slot;
  cks_id id;
  cks_status status = slot_of(t, &t->work->listing.seen, seen, brand, &slot, &id);
  if (status != CKS_OK || *slot == hybrid || (*slot != CKS_NONE && id < n_stated)) return status;
  bool several = *slot == CKS_AUDIT_SEVERAL;
  bool branded = several ? *text_of(t->work, t->work->listing.hybrid[hybrid].brand) != '\0'
                         : *slot != CKS_NONE && brands_differ(t, *slot, hybrid);
  if (*slot == CKS_NONE)
    *slot = hybrid;
  else if (!*brand && branded)
    *slot = CKS_AUDIT_SEVERAL;
  else
    status =
        cks_audit_say(&t->table, CKS_RULE_NAME_TWICE, row, column, seen,
                      "'%s' is %s here and %s in another row%s; keep one of them, or tell them apart by their brands",
                      seen, in_full(t, hybrid), several ? "several hybrids" : in_full(t, *slot),
                      several ? "" : cks_arena_format(t->work->arena, " (%s)", line_of(t, *slot)));
  return status;
}

static cks_status enter(names_table *t, const char *seen, size_t row, size_t n_stated, const cks_column *column)
{
  const char *brand = text_of(t->work, t->work->listing.hybrid[t->work->listing.of_row[row]].brand);
  size_t errors = t->work->findings->n_severity[CKS_ERROR];
  cks_status status = *seen ? enter_key(t, seen, "", row, n_stated, column) : CKS_OK;
  bool said = t->work->findings->n_severity[CKS_ERROR] > errors;
  return status == CKS_OK && *seen && *brand && !said ? enter_key(t, seen, brand, row, n_stated, column) : status;
}

static cks_status enter_names(names_table *t)
{
  cks_status status = CKS_OK;
  for (size_t row = 0; row < t->work->names->n_row && status == CKS_OK; row++) {
    if (t->work->listing.of_row[row] == CKS_NONE) continue;
    const char *seen = cell(t, t->seen, row);
    const cks_column *column = *seen ? t->seen : t->hybrid;
    status = enter(t, *seen ? seen : cell(t, t->hybrid, row), row, 0, column);
    if (status == CKS_OK) status = enter(t, cell(t, t->code, row), row, 0, t->code);
    if (status == CKS_OK) status = enter(t, cell(t, t->entry, row), row, 0, t->entry);
  }
  size_t n_stated = t->work->listing.seen.text.n;
  for (size_t row = 0; row < t->work->names->n_row && status == CKS_OK; row++) {
    if (t->work->listing.of_row[row] == CKS_NONE) continue;
    const char *name = cell(t, t->hybrid, row), *brand = cell(t, t->brand, row);
    status = enter(t, name, row, n_stated, t->hybrid);
    if (*brand && status == CKS_OK) /* "Orrin 61" in a list without brands */
      status = enter(t, cks_arena_format(t->work->arena, "%s %s", brand, name), row, n_stated, t->hybrid);
  }
  return status;
}

/* Does the table give the name of the row's hybrid to another hybrid? */
static bool leads_on(const names_table *t, size_t row)
{
  uint32_t own = t->work->listing.of_row[row];
  const cks_audit_listed *h = &t->work->listing.hybrid[own];
  uint32_t next = cks_audit_listed_as(t->work, text_of(t->work, h->name), text_of(t->work, h->brand));
  return next != own && next < t->work->listing.n;
}

/* "A is B" and "B is C": whether A is B or C is for people to say. */
static cks_status check_chains(names_table *t)
{
  cks_status status = CKS_OK;
  for (size_t row = 0; row < t->work->names->n_row && status == CKS_OK; row++) {
    const char *seen = cell(t, t->seen, row);
    if (t->work->listing.of_row[row] == CKS_NONE || !*seen || !leads_on(t, row)) continue;
    const cks_audit_listed *h = &t->work->listing.hybrid[t->work->listing.of_row[row]];
    const char *name = text_of(t->work, h->name);
    uint32_t next = cks_audit_listed_as(t->work, name, text_of(t->work, h->brand));
    status = cks_audit_say(&t->table, CKS_RULE_NAME_TWICE, row, t->hybrid, name,
                           "'%s' is %s here, and '%s' is %s in %s; write the hybrid that '%s' stands for in the end, "
                           "take one of the rows out, or correct the plot list instead",
                           seen, name, name, in_full(t, next), line_of(t, next), seen);
  }
  return status;
}

/* Two hybrids that would be printed alike could not be told apart. */
static cks_status check_prints(names_table *t)
{
  const cks_audit_listing *listing = &t->work->listing;
  cks_audit_keys shown = {0};
  cks_status status = CKS_OK;
  for (uint32_t i = 0; i < listing->n && status == CKS_OK; i++) {
    const cks_audit_listed *h = &listing->hybrid[i];
    uint32_t *slot;
    cks_id id;
    const char *print = text_of(t->work, h->print != CKS_NONE ? h->print : h->name);
    status = slot_of(t, &shown, print, "", &slot, &id);
    if (status != CKS_OK) break;
    bool clash = *slot != CKS_NONE && (h->print != CKS_NONE || listing->hybrid[*slot].print != CKS_NONE);
    if (*slot == CKS_NONE)
      *slot = i;
    else if (clash)
      status = cks_audit_say(&t->table, CKS_RULE_NAME_TWICE, h->row, t->print, print,
                             "%s would be printed as '%s', as %s (%s) is; print one of them otherwise", in_full(t, i),
                             print, in_full(t, *slot), line_of(t, *slot));
  }
  release_keys(&shown);
  return status;
}

/* ---- all -------------------------------------------------------------------------------------------------------- */

static void find_columns(names_table *t)
{
  const cks_table *names = t->work->names;
  t->seen = cks_table_column(names, CKS_ROLE_SEEN_AS);
  t->hybrid = cks_table_column(names, CKS_ROLE_HYBRID);
  t->brand = cks_table_column(names, CKS_ROLE_BRAND);
  t->code = cks_table_column(names, CKS_ROLE_CODE);
  t->entry = cks_table_column(names, CKS_ROLE_ENTRY);
  t->maturity = cks_table_column(names, CKS_ROLE_MATURITY);
  t->check = cks_table_column(names, CKS_ROLE_CHECK);
  t->print = cks_table_column(names, CKS_ROLE_PRINT);
  if (cks_table_column(t->work->table, CKS_ROLE_HYBRID)) t->entry = NULL; /* a number there is a hybrid's name */
}

cks_status cks_audit_names(cks_audit_work *work)
{
  if (!work->names || !work->names->n_column) return CKS_OK;
  names_table t = {.work = work, .table = *work};
  cks_status status = CKS_OK;
  t.table.table = work->names;
  t.table.left_out = NULL;
  find_columns(&t);
  if (!t.hybrid)
    return cks_audit_say_all(work, CKS_RULE_HEADING_NOT_THERE,
                             "the names table has no 'hybrid' column, which says who each name is; name it so, or give "
                             "--heading hybrid=\"...\"");
  work->listing.of_row = malloc((work->names->n_row + 1) * sizeof *work->listing.of_row);
  work->listing.hybrid = calloc(work->names->n_row + 1, sizeof *work->listing.hybrid);
  if (!work->listing.of_row || !work->listing.hybrid) status = cks_error_nomem(work->error);
  if (status == CKS_OK) status = list_hybrids(&t);
  if (status == CKS_OK) status = enter_names(&t);
  if (status == CKS_OK) status = check_chains(&t);
  if (status == CKS_OK) status = check_prints(&t);
  release_keys(&t.own);
  return status;
}

void cks_audit_names_release(cks_audit_work *work)
{
  release_keys(&work->listing.seen);
  free(work->listing.of_row);
  free(work->listing.hybrid);
}

/* ---- what the plot lists hold ----------------------------------------------------------------------------------- */

static const char *shown(const cks_audit_work *work, uint32_t i)
{
  const cks_audit_listed *h = &work->listing.hybrid[i];
  return text_of(work, h->print != CKS_NONE ? h->print : h->name);
}

/* "'Tamsle 8' (did you mean 'Tamsel 8'?)", "'Z9' of Est (listed of East)". */
static const char *word_unlisted(cks_audit_work *work, const char *name, const char *brand, const char *const *listed)
{
  const cks_audit_listing *listing = &work->listing;
  uint32_t other = cks_audit_listed_as(work, name, "");
  if (other < listing->n)
    return cks_arena_format(work->arena, "'%s' of %s (listed of %s)", name, brand,
                            text_of(work, listing->hybrid[other].brand));
  if (other == CKS_AUDIT_SEVERAL)
    return cks_arena_format(work->arena, "'%s' of %s (listed of other brands)", name, brand);
  const char *near = cks_audit_nearest(work->arena, name, listing->n, listed);
  return near ? cks_arena_format(work->arena, "'%s' (did you mean '%s'?)", name, near)
              : cks_arena_format(work->arena, "'%s'", name);
}

cks_status cks_audit_report_unlisted(cks_audit_work *work, size_t n, const cks_id *name, const cks_id *brand)
{
  const cks_audit_listing *listing = &work->listing;
  const char **listed = cks_arena_take(work->arena, listing->n + 1, sizeof *listed);
  const char **worded = cks_arena_take(work->arena, n + 1, sizeof *worded);
  if (!listed || !worded) return cks_error_nomem(work->error);
  for (uint32_t i = 0; i < listing->n; i++) listed[i] = text_of(work, listing->hybrid[i].name);
  for (size_t i = 0; i < n; i++)
    worded[i] =
        i < CKS_AUDIT_IN_LIST ? word_unlisted(work, text_of(work, name[i]), text_of(work, brand[i]), listed) : "";
  return cks_audit_say_all(work, CKS_RULE_NAME_NOT_LISTED, "not in the names table, taken as written: %s",
                           cks_audit_list(work->arena, n, worded));
}

cks_status cks_audit_report_unseen(cks_audit_work *work)
{
  const cks_audit_listing *listing = &work->listing;
  const char **name = cks_arena_take(work->arena, listing->n + 1, sizeof *name);
  size_t n = 0;
  if (!name) return cks_error_nomem(work->error);
  for (uint32_t i = 0; i < listing->n; i++)
    if (!listing->hybrid[i].plots) name[n++] = shown(work, i);
  return n ? cks_audit_say_all(work, CKS_RULE_NAME_WITHOUT_PLOTS, "in the names table and in no plot that is used: %s",
                               cks_audit_list(work->arena, n, name))
           : CKS_OK;
}
