/*
 * versus.c: who stands against whom in a head-to-head: the two hybrids that the settings name, known by any name that
 * --check would take and by those of the names table; without names there must be a check. Out: pair.
 */
#include "audit.h"

static bool has_name(const cks_hybrid *h, const char *text) { return cks_audit_is_called(h, text); }
static bool has_bare_name(const cks_hybrid *h, const char *text) { return cks_audit_same(h->bare, text); }

/* How many hybrids the text names; the first of them in *first. */
static size_t count_named(const cks_audit_work *work, const char *text, bool (*named)(const cks_hybrid *, const char *),
                          cks_id *first)
{
  size_t n = 0;
  for (cks_id h = 0; h < work->n_hybrid; h++)
    if (named(&work->hybrid[h], text) && !n++) *first = h;
  return n;
}

/* The hybrid that the names table says a name of the plot lists is; CKS_NONE: none with plots. */
static cks_id by_names_table(const cks_audit_work *work, const char *text)
{
  uint32_t listed = cks_audit_listed_as(work, text, "");
  for (cks_id h = 0; h < work->n_hybrid; h++)
    if (listed < work->listing.n && work->listed_as[h] == listed) return h;
  return CKS_NONE;
}

static const char **all_names(const cks_audit_work *work)
{
  const char **names = cks_arena_take(work->arena, work->n_hybrid + 1, sizeof *names);
  for (size_t h = 0; names && h < work->n_hybrid; h++) names[h] = work->hybrid[h].full;
  return names;
}

static cks_status say_none(const cks_audit_work *work, const char *text)
{
  const char **names = all_names(work);
  if (!names) return cks_error_nomem(work->error);
  const char *near = cks_audit_nearest(work->arena, text, work->n_hybrid, names);
  if (!near) near = cks_nearest(text, names, work->n_hybrid); /* another number, too */
  const char *hint = near ? cks_arena_format(work->arena, "did you mean '%s'? ", near) : "";
  return cks_error_set(work->error, CKS_USAGE, "'%.80s' is not among the hybrids; %sthe hybrids are: %s", text, hint,
                       cks_audit_list(work->arena, work->n_hybrid, names));
}

static cks_status find_hybrid(const cks_audit_work *work, const char *text, cks_id *hybrid)
{
  size_t n = count_named(work, text, has_name, hybrid);
  if (n == 0) n = count_named(work, text, has_bare_name, hybrid);
  if (n == 0) *hybrid = by_names_table(work, text);
  if (n == 0 && *hybrid == CKS_NONE) return say_none(work, text);
  return n < 2 ? CKS_OK
               : cks_error_set(work->error, CKS_USAGE,
                               "'%.80s' is the name of %zu hybrids; give the brand before it, as in '%.80s'", text, n,
                               work->hybrid[*hybrid].full);
}

static cks_status settle_pair(cks_audit_work *work)
{
  const char *a = work->settings->versus_a, *b = work->settings->versus_b;
  cks_pair *pair = &work->pair;
  cks_status status = find_hybrid(work, a, &pair->a);
  if (status == CKS_OK) status = find_hybrid(work, b, &pair->b);
  if (status == CKS_OK && pair->a == pair->b)
    status = cks_error_set(work->error, CKS_USAGE, "'%.80s' and '%.80s' are one hybrid, %s; name two", a, b,
                           work->hybrid[pair->a].full);
  pair->asked = true;
  return status;
}

cks_status cks_audit_versus(cks_audit_work *work)
{
  bool any = false;
  if (work->settings->versus_a && work->settings->versus_b) return settle_pair(work);
  for (size_t h = 0; h < work->n_hybrid; h++) any = any || work->hybrid[h].check;
  return any || !work->n_hybrid ? CKS_OK
                                : cks_error_set(work->error, CKS_USAGE,
                                                "no hybrid is a check, so there is none to hold the others against; "
                                                "name one with --check HYBRID, mark it in a check column, or name two "
                                                "hybrids");
}
