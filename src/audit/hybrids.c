/*
 * hybrids.c: who a hybrid is, and which are checks.
 *
 * A hybrid is a brand and a name. Spellings that differ in case, spaces, hyphens or a check's mark are one. A name that
 * stands under several brands is as many hybrids. What the names table says goes before what is written. Out: hybrid,
 * listed_as, n_hybrid (sorted for people) and hybrid_of.
 */
#include "audit.h"

#include "../agronomy/words.h"

#include <stdlib.h>
#include <string.h>

typedef struct {
  cks_id seen;        /* as it stands in the file */
  cks_id name, brand; /* the same, or what the names table says */
  uint32_t listed;    /* hybrid of the names table; CKS_NONE, CKS_AUDIT_SEVERAL */
  uint32_t next;      /* another variant with the same name and another brand; CKS_NONE = last */
  uint32_t n, marked; /* rows; rows that a check column marks */
  size_t first;       /* row */
  cks_id maturity;
  uint32_t hybrid; /* key of its folded name, then index of its hybrid */
  bool branded;    /* its name stands under several brands, so the brand is part of the name shown */
} variant;         /* a spelling */

typedef struct {
  variant *v; /* size room, n filled */
  size_t n, room;
  uint32_t *of_name; /* size n_names: first variant with this name; CKS_NONE = none */
  uint32_t *brands;  /* size n_key: distinct brands under a folded name, 2 = two or more */
  cks_names key;     /* folded name, then folded name and brand */
  const cks_column *hybrid, *brand, *check, *maturity;
} census;

/* The hybrid column, else one that stands in for it: first a code or entry that the names table has too. */
static const cks_column *hybrid_column(const cks_audit_work *work)
{
  static const cks_role listed[] = {CKS_ROLE_CODE, CKS_ROLE_ENTRY};
  static const cks_role stand_in[] = {CKS_ROLE_TREATMENT, CKS_ROLE_ENTRY, CKS_ROLE_CODE};
  const cks_column *column = cks_table_column(work->table, CKS_ROLE_HYBRID);
  for (size_t i = 0; work->names && i < sizeof listed / sizeof *listed && !column; i++)
    if (cks_table_column(work->names, listed[i])) column = cks_table_column(work->table, listed[i]);
  for (size_t i = 0; i < sizeof stand_in / sizeof *stand_in && !column; i++)
    column = cks_table_column(work->table, stand_in[i]);
  return column;
}

static bool has_value(const cks_table *table, size_t row)
{
  for (size_t i = 0; i < table->n_column; i++) {
    const cks_column *column = &table->column[i];
    cks_role_class c = cks_role_find(column->role)->role_class;
    if (column->number && (c == CKS_CLASS_TRAIT || c == CKS_CLASS_INPUT || c == CKS_CLASS_KEPT) &&
        !cks_is_missing(column->number[row]))
      return true;
  }
  return false;
}

static cks_id cell(const cks_column *column, size_t row) { return column ? column->name[row] : CKS_NONE; }

/* The variant of a row, new or old, in *at. */
static cks_status count_row(cks_audit_work *work, census *c, size_t row, uint32_t *at)
{
  cks_id name = c->hybrid->name[row], brand = cell(c->brand, row);
  uint32_t i = c->of_name[name];
  while (i != CKS_NONE && c->v[i].brand != brand) i = c->v[i].next;
  if (i == CKS_NONE) {
    if (c->n == c->room) {
      size_t room = c->room ? c->room * 2 : 64;
      variant *grown = realloc(c->v, room * sizeof *grown);
      if (!grown) return cks_error_nomem(work->error);
      c->v = grown;
      c->room = room;
    }
    i = (uint32_t)c->n++;
    c->v[i] = (variant){.seen = name,
                        .name = name,
                        .brand = brand,
                        .listed = CKS_NONE,
                        .next = c->of_name[name],
                        .first = row,
                        .maturity = CKS_NONE};
    c->of_name[name] = i;
  }
  variant *v = &c->v[i];
  v->n++;
  if (cell(c->check, row) != CKS_NONE &&
      cks_audit_marks_check(c->check, cks_names_text(&work->table->names, cell(c->check, row))))
    v->marked++;
  if (v->maturity == CKS_NONE) v->maturity = cell(c->maturity, row);
  *at = i;
  return CKS_OK;
}

/* The file of a row, rows asked for in their order. */
typedef struct {
  size_t file, first; /* first: its first row */
} file_at;

/* A row of a file that adds columns has no hybrid of its own. */
static bool is_added(const cks_table *table, file_at *at, size_t row)
{
  if (!table->joined) return false;
  while (row >= at->first + table->file_row[at->file]) at->first += table->file_row[at->file++];
  return table->joined->file[at->file].adds;
}

/* Counts the spellings; hybrid_of holds variants afterwards. Rows without a hybrid are reported, or are no plots. */
static cks_status take_census(cks_audit_work *work, census *c)
{
  cks_table *table = work->table;
  cks_status status = CKS_OK;
  file_at file = {0};
  size_t odd = 0, hybrid_at = (size_t)(c->hybrid - table->column);
  for (size_t row = 0; row < table->n_row && status == CKS_OK; row++) {
    while (odd < table->n_odd &&
           (table->odd[odd].row < row || (table->odd[odd].row == row && table->odd[odd].column < hybrid_at)))
      odd++;
    bool reported = odd < table->n_odd && table->odd[odd].row == row && table->odd[odd].column == hybrid_at;
    work->hybrid_of[row] = CKS_NONE;
    if (c->hybrid->name[row] != CKS_NONE) {
      if (!work->left_out[row]) status = count_row(work, c, row, &work->hybrid_of[row]);
    } else if (has_value(table, row)) {
      if (!reported && !is_added(table, &file, row))
        status = cks_audit_say(work, CKS_RULE_MISSING_HYBRID, row, c->hybrid, "",
                               "%s is empty and the row holds values; write the "
                               "hybrid, or leave the row out with a leave_out column",
                               c->hybrid->heading);
    } else if (!reported && !work->left_out[row]) {
      work->left_out[row] = 2;
      status = cks_audit_say(work, CKS_RULE_EMPTY_ROW_VALUES, row, NULL, "",
                             "a row without a hybrid and without values is no plot");
    }
  }
  return status;
}

static const char *name_text(const cks_audit_work *work, cks_id id) { return cks_names_text(&work->table->names, id); }

static cks_status key_of(const cks_audit_work *work, census *c, const variant *v, bool with_brand, cks_id *key)
{
  char folded[CKS_AUDIT_KEY];
  size_t n = cks_audit_key(name_text(work, v->name), with_brand ? name_text(work, v->brand) : "", folded);
  return cks_names_add(&c->key, folded, n, key, work->error);
}

/* What the names table says of the variants: who they are, and which it does not list. */
static cks_status look_up(cks_audit_work *work, census *c)
{
  cks_status status = CKS_OK;
  size_t n_unlisted = 0;
  cks_id *unlisted = cks_arena_take(work->arena, 2 * c->n + 1, sizeof *unlisted);
  if (!unlisted) return cks_error_nomem(work->error);
  cks_id *brands = unlisted + c->n;
  for (size_t i = 0; i < c->n && status == CKS_OK; i++) {
    variant *v = &c->v[i];
    const char *seen = name_text(work, v->seen);
    v->listed = cks_audit_listed_as(work, seen, name_text(work, v->brand));
    if (v->listed == CKS_AUDIT_SEVERAL)
      status = cks_audit_say(
          work, CKS_RULE_NAME_TWICE, v->first, c->hybrid, seen,
          "'%s' is several hybrids of the names table, of different brands; write the brand beside it", seen);
    if (v->listed == CKS_NONE) {
      unlisted[n_unlisted] = v->seen;
      brands[n_unlisted++] = v->brand;
    }
    if (v->listed >= work->listing.n) continue;
    cks_audit_listed *h = &work->listing.hybrid[v->listed];
    h->plots = true;
    v->name = h->name;
    if (h->brand != CKS_NONE) v->brand = h->brand;
  }
  if (status == CKS_OK && n_unlisted) status = cks_audit_report_unlisted(work, n_unlisted, unlisted, brands);
  return status == CKS_OK ? cks_audit_report_unseen(work) : status;
}

/* Groups the variants into hybrids: variant.hybrid. A name under two brands is two hybrids. */
static cks_status group_variants(cks_audit_work *work, census *c, size_t *n_hybrid)
{
  cks_status status = CKS_OK;
  cks_id key;
  const char **first_brand = cks_arena_take(work->arena, c->n, sizeof *first_brand);
  c->brands = calloc(c->n + 1, sizeof *c->brands);
  uint32_t *hybrid_of_key = malloc((2 * c->n + 1) * sizeof *hybrid_of_key);
  if (!first_brand || !c->brands || !hybrid_of_key) status = cks_error_nomem(work->error);
  for (size_t i = 0; i < c->n && status == CKS_OK; i++) {
    if ((status = key_of(work, c, &c->v[i], false, &key)) != CKS_OK) break;
    const char *brand = name_text(work, c->v[i].brand);
    c->v[i].hybrid = key;
    if (!*brand) continue;
    if (!first_brand[key]) first_brand[key] = cks_arena_text(work->arena, brand);
    c->brands[key] = cks_audit_same(first_brand[key], brand) && c->brands[key] < 2 ? 1 : 2;
  }
  if (status == CKS_OK) memset(hybrid_of_key, 0xff, (2 * c->n + 1) * sizeof *hybrid_of_key);
  for (size_t i = 0; i < c->n && status == CKS_OK; i++) {
    key = c->v[i].hybrid;
    c->v[i].branded = c->brands[key] == 2;
    if (c->v[i].branded) status = key_of(work, c, &c->v[i], true, &key);
    if (status != CKS_OK) break;
    if (hybrid_of_key[key] == CKS_NONE) hybrid_of_key[key] = (uint32_t)(*n_hybrid)++;
    c->v[i].hybrid = hybrid_of_key[key];
  }
  free(hybrid_of_key);
  return status;
}

/* The spelling that most rows have stands for the hybrid; ties by order. */
static bool better_spelling(const cks_audit_work *work, const variant *a, const variant *b)
{
  if (a->n != b->n) return a->n > b->n;
  return cks_names_compare(name_text(work, a->seen), name_text(work, b->seen)) < 0;
}

static cks_status report_spellings(cks_audit_work *work, const census *c, const uint32_t *best)
{
  cks_status status = CKS_OK;
  for (size_t i = 0; i < c->n && status == CKS_OK; i++) {
    const variant *v = &c->v[i], *b = &c->v[best[v->hybrid]];
    const char *name = name_text(work, v->seen), *other = name_text(work, b->seen);
    if (v->listed < work->listing.n) {
      other = cks_audit_full(work->arena, name_text(work, v->brand), name_text(work, v->name));
      if (strcmp(name, other) != 0 && strcmp(name, name_text(work, v->name)) != 0)
        status = cks_audit_say(work, CKS_RULE_NAME_FROM_TABLE, v->first, c->hybrid, name,
                               "'%s' is %s by the names table", name, other);
      continue;
    }
    const char *rows = cks_audit_count(work->arena, v->n, "row"), *others = cks_audit_count(work->arena, b->n, "row");
    size_t bare = cks_audit_unmarked(name);
    if (v->seen == b->seen) continue;
    if (bare == cks_audit_unmarked(other) && !strncmp(name, other, bare))
      status = cks_audit_say(work, CKS_RULE_ONE_HYBRID, v->first, c->hybrid, name,
                             "'%s' (%s) is taken as '%s' (%s), a check by its mark", name, rows, other, others);
    else
      status =
          cks_audit_say(work, CKS_RULE_ONE_HYBRID, v->first, c->hybrid, name,
                        "'%s' (%s) and '%s' (%s) are taken as one hybrid; correct the spelling if so, else make the "
                        "names differ in more than case, spaces and marks",
                        name, rows, other, others);
  }
  return status;
}

static cks_status report_changed(cks_audit_work *work, const census *c)
{
  cks_status status = CKS_OK;
  for (size_t i = 0; i < c->n && status == CKS_OK; i++) {
    const char *name = name_text(work, c->v[i].name);
    if (c->v[i].listed == CKS_NONE && cks_audit_changed_by_spreadsheet(name))
      status = cks_audit_say(work, CKS_RULE_NAME_CHANGED, c->v[i].first, c->hybrid, name,
                             "the hybrid '%s' looks like a date or a "
                             "power of ten that a spreadsheet made of a name; type the name again as text",
                             name);
  }
  return status;
}

/* "Kestrel avg" may be a hybrid; it may also be a row of means, which must not be ranked among them. */
static cks_status report_means(cks_audit_work *work, const census *c)
{
  cks_status status = CKS_OK;
  for (size_t i = 0; i < c->n && status == CKS_OK; i++) {
    const char *name = name_text(work, c->v[i].name);
    if (c->v[i].listed == CKS_NONE && cks_words_summary(name) == CKS_SUMMARY_MAYBE)
      status = cks_audit_say(work, CKS_RULE_MAYBE_MEAN, c->v[i].first, c->hybrid, name,
                             "'%s' is taken for a hybrid and may be a row of means; if so take its rows out, or give "
                             "--without hybrid=\"%s\"",
                             name, name);
  }
  return status;
}

static int compare_hybrids(const void *context, uint32_t a, uint32_t b)
{
  const cks_hybrid *hybrid = context;
  int by = cks_names_compare(hybrid[a].brand, hybrid[b].brand); /* as shown: brand, then name */
  return by ? by : cks_names_compare(hybrid[a].name, hybrid[b].name);
}

static bool has_mark(const char *name) { return cks_audit_unmarked(name) < strlen(name); }

static const cks_audit_listed *listed_of(const cks_audit_work *work, const variant *v)
{
  return v->listed < work->listing.n ? &work->listing.hybrid[v->listed] : NULL;
}

static bool says_check(const cks_audit_work *work, const variant *v)
{
  return listed_of(work, v) && listed_of(work, v)->check;
}

/* As the names table says, else as the plot lists do. */
static const char *maturity_of(const cks_audit_work *work, const variant *v)
{
  const cks_audit_listed *h = listed_of(work, v);
  return name_text(work, h && h->maturity != CKS_NONE ? h->maturity : v->maturity);
}

/* As the names table prints it; "" when it does not say. */
static const char *print_of(const cks_audit_work *work, const variant *v)
{
  const cks_audit_listed *h = listed_of(work, v);
  return h ? cks_arena_text(work->arena, name_text(work, h->print)) : "";
}

/* Makes the hybrids, sorts them, and turns hybrid_of from variants into hybrids. */
static cks_status make_hybrids(cks_audit_work *work, census *c, size_t n_hybrid)
{
  cks_status status = CKS_OK;
  cks_hybrid *made = calloc(n_hybrid + 1, sizeof *made);
  uint32_t *best = malloc((n_hybrid + 1) * sizeof *best), *order = malloc((n_hybrid + 1) * sizeof *order);
  uint32_t *rank = malloc((n_hybrid + 1) * sizeof *rank);
  work->hybrid = cks_arena_take(work->arena, n_hybrid + 1, sizeof *work->hybrid);
  work->listed_as = cks_arena_take(work->arena, n_hybrid + 1, sizeof *work->listed_as);
  if (!made || !best || !order || !rank || !work->hybrid || !work->listed_as) {
    status = cks_error_nomem(work->error);
    goto done;
  }
  memset(best, 0xff, (n_hybrid + 1) * sizeof *best);
  for (uint32_t i = 0; i < c->n; i++) {
    uint32_t *b = &best[c->v[i].hybrid];
    if (*b == CKS_NONE || better_spelling(work, &c->v[i], &c->v[*b])) *b = i;
  }
  for (uint32_t i = 0; i < c->n; i++) {
    const variant *v = &c->v[i];
    const char *name = name_text(work, v->name), *brand = name_text(work, v->brand);
    cks_hybrid *h = &made[v->hybrid];
    h->check = h->check || v->marked || has_mark(name) || has_mark(name_text(work, v->seen)) || says_check(work, v);
    if (!h->brand || (!*h->brand && *brand)) h->brand = cks_arena_text(work->arena, brand);
    if (!h->maturity || !*h->maturity) h->maturity = cks_arena_text(work->arena, maturity_of(work, v));
  }
  for (uint32_t i = 0; i < n_hybrid; i++) {
    const variant *v = &c->v[best[i]];
    const char *name = name_text(work, v->name);
    const char *brand = v->branded ? made[i].brand : "";
    const char *print = print_of(work, v);
    made[i].bare = *print ? print : cks_arena_format(work->arena, "%.*s", (int)cks_audit_unmarked(name), name);
    made[i].name = *brand && !*print ? cks_arena_format(work->arena, "%s %s", brand, made[i].bare) : made[i].bare;
    made[i].given =
        cks_arena_format(work->arena, "%s%s%.*s", brand, *brand ? " " : "", (int)cks_audit_unmarked(name), name);
    order[i] = i;
  }
  for (uint32_t i = 0; i < n_hybrid; i++) {
    made[i].full = cks_audit_full(work->arena, made[i].brand, made[i].name);
  }
  cks_audit_sort(order, rank, n_hybrid, compare_hybrids, made);
  for (uint32_t i = 0; i < n_hybrid; i++) {
    work->hybrid[i] = made[order[i]];
    uint32_t listed = c->v[best[order[i]]].listed;
    work->listed_as[i] = listed < work->listing.n ? listed : CKS_NONE;
    rank[order[i]] = i;
  }
  if ((status = report_spellings(work, c, best)) != CKS_OK) goto done;
  for (size_t i = 0; i < c->n; i++) c->v[i].hybrid = rank[c->v[i].hybrid];
  for (size_t row = 0; row < work->table->n_row; row++)
    if (work->hybrid_of[row] != CKS_NONE) work->hybrid_of[row] = c->v[work->hybrid_of[row]].hybrid;
  work->n_hybrid = n_hybrid;
  status = cks_arena_status(work->arena, work->error);
done:
  free(rank);
  free(order);
  free(best);
  free(made);
  return status;
}

static cks_status report_brandless(cks_audit_work *work, const census *c)
{
  cks_status status = CKS_OK;
  for (size_t i = 0; i < c->n && status == CKS_OK; i++) {
    const variant *v = &c->v[i];
    if (v->branded && v->brand == CKS_NONE)
      status = cks_audit_say(work, CKS_RULE_BRAND_MISSING, v->first, c->brand, "",
                             "'%s' stands here without a brand and elsewhere under "
                             "several; write the brand",
                             name_text(work, v->name));
  }
  return status;
}

static cks_status report_part_checks(cks_audit_work *work, const census *c)
{
  cks_status status = CKS_OK;
  for (size_t i = 0; i < c->n && status == CKS_OK; i++) {
    const variant *v = &c->v[i];
    if (v->marked && v->marked < v->n)
      status = cks_audit_say(work, CKS_RULE_CHECK_IN_PART, v->first, c->check, "",
                             "'%s' is marked as a check on %u of its %u rows; "
                             "it is taken as a check on all",
                             name_text(work, v->name), v->marked, v->n);
  }
  return status;
}

static const char *hybrid_list(cks_audit_work *work)
{
  const char **names = cks_arena_take(work->arena, work->n_hybrid + 1, sizeof *names);
  for (size_t h = 0; names && h < work->n_hybrid; h++) names[h] = work->hybrid[h].full;
  return names ? cks_audit_list(work->arena, work->n_hybrid, names) : "";
}

bool cks_audit_is_called(const cks_hybrid *h, const char *text)
{
  return cks_audit_same(h->name, text) || cks_audit_same(h->full, text) || cks_audit_same(h->given, text) ||
         cks_audit_is_full(h->brand, h->given, text);
}

/* --check HYBRID, and whether there is any check at all. */
static cks_status settle_checks(cks_audit_work *work)
{
  cks_status status = CKS_OK;
  const cks_setting_list *list = &work->settings->check;
  for (size_t i = 0; i < list->n && status == CKS_OK; i++) {
    bool found = false;
    for (size_t h = 0; h < work->n_hybrid; h++)
      if (cks_audit_is_called(&work->hybrid[h], list->pair[i].key)) work->hybrid[h].check = found = true;
    uint32_t listed = found ? CKS_NONE : cks_audit_listed_as(work, list->pair[i].key, "");
    if (!found && listed < work->listing.n)
      status = cks_audit_say_all(
          work, CKS_RULE_CHECK_NOT_THERE, "--check '%s' is %s by the names table; give that name (the hybrids: %s)",
          list->pair[i].key, name_text(work, work->listing.hybrid[listed].name), hybrid_list(work));
    else if (!found)
      status = cks_audit_say_all(work, CKS_RULE_CHECK_NOT_THERE,
                                 "--check '%s' is not among the hybrids (%s); check its spelling%s", list->pair[i].key,
                                 hybrid_list(work),
                                 strchr(list->pair[i].key, ',') ? ", and give each check an option of its own" : "");
  }
  bool any = false;
  const char *likely = "HYBRID";
  char given[CKS_SHELL_WORD];
  for (size_t h = 0; h < work->n_hybrid; h++) {
    any = any || work->hybrid[h].check;
    if (cks_audit_named_check(work->hybrid[h].name)) likely = work->hybrid[h].name;
  }
  if (!any && status == CKS_OK && work->n_hybrid)
    status = cks_audit_say_all(work, CKS_RULE_NO_CHECK,
                               "no hybrid is marked as a check, so none is compared with one; mark it "
                               "in a check column or give --check %s",
                               !strcmp(likely, "HYBRID") ? likely : cks_shell_word(given, likely));
  return status;
}

static cks_status settle_hybrids(cks_audit_work *work, census *c)
{
  size_t n_hybrid = 0;
  cks_status status = take_census(work, c);
  if (status == CKS_OK && work->listing.hybrid) status = look_up(work, c);
  if (status == CKS_OK) status = group_variants(work, c, &n_hybrid);
  if (status == CKS_OK) status = report_changed(work, c);
  if (status == CKS_OK) status = report_means(work, c);
  if (status == CKS_OK) status = report_brandless(work, c);
  if (status == CKS_OK) status = report_part_checks(work, c);
  if (status == CKS_OK) status = make_hybrids(work, c, n_hybrid);
  return status == CKS_OK ? settle_checks(work) : status;
}

cks_status cks_audit_hybrids(cks_audit_work *work)
{
  cks_table *table = work->table;
  census c = {.hybrid = hybrid_column(work),
              .brand = cks_table_column(table, CKS_ROLE_BRAND),
              .check = cks_table_column(table, CKS_ROLE_CHECK),
              .maturity = cks_table_column(table, CKS_ROLE_MATURITY)};
  if (!c.hybrid)
    return cks_audit_say_all(
        work, CKS_RULE_NO_HYBRID,
        "no column names the hybrids; expected a heading such as 'hybrid', 'variety' or 'entry'; "
        "--heading hybrid=\"...\" says "
        "which column it is; a harvest file or notes without hybrids are given together with the plot list");
  cks_status status = CKS_OK;
  if (c.hybrid->role != CKS_ROLE_HYBRID)
    status = cks_findings_add(work->findings, CKS_RULE_HYBRID_FROM, c.hybrid->where, c.hybrid->heading, NULL,
                              work->error, "there is no hybrid column; '%s' stands in for it%s", c.hybrid->heading,
                              work->listing.hybrid ? ", and the names table says which hybrid that is" : "");
  c.of_name = malloc((table->names.n + 1) * sizeof *c.of_name);
  work->hybrid_of = malloc((table->n_row + 1) * sizeof *work->hybrid_of);
  if (!c.of_name || !work->hybrid_of)
    status = cks_error_nomem(work->error);
  else
    memset(c.of_name, 0xff, (table->names.n + 1) * sizeof *c.of_name);
  if (status == CKS_OK) status = settle_hybrids(work, &c);
  free(c.of_name);
  free(c.brands);
  free(c.v);
  cks_names_release(&c.key);
  return status;
}
