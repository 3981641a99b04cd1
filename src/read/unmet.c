/*
 * unmet.c: settings that no table answered: a heading, unit, trait or missing text that is named and stands nowhere. The
 * plot lists and the tables beside them are asked together, since --unit may mean a column of any.
 */
#include "read.h"

#include <stdio.h>
#include <string.h>

enum { LIST_BYTES = 400, TABLES = 5 };

typedef struct {
  const cks_settings *settings;
  const cks_table *table[TABLES]; /* NULL: not given */
  cks_findings *findings;
  cks_error *error;
  cks_vocabulary vocabulary;
  cks_names heading; /* of all tables, as written */
} asked;

/* option: its place in cks_table.option_met */
static bool is_met(const asked *a, size_t option)
{
  bool met = false;
  for (size_t i = 0; i < TABLES; i++) met = met || (a->table[i] && a->table[i]->option_met[option]);
  return met;
}

static void list_headings(const asked *a, char into[LIST_BYTES])
{
  size_t used = 0;
  into[0] = '\0';
  for (cks_id id = 0; id < a->heading.n; id++) {
    const char *name = cks_names_text(&a->heading, id);
    int wants = snprintf(into + used, LIST_BYTES - used, "%s%s", id ? ", " : "", name);
    if (wants > 0 && used + (size_t)wants < LIST_BYTES - 16) {
      used += (size_t)wants;
      continue;
    }
    snprintf(into + used, LIST_BYTES - used, "%s...", id ? ", " : "");
    break;
  }
}

/* The heading that is meant by a text, but for case and marks; NULL: none. */
static const char *heading_same(const asked *a, const char *text)
{
  for (cks_id id = 0; id < a->heading.n; id++)
    if (cks_word_same(cks_names_text(&a->heading, id), text)) return cks_names_text(&a->heading, id);
  return NULL;
}

/* The heading that is close to a text; NULL: none. */
static const char *heading_near(const asked *a, const char *text)
{
  const char *near = NULL;
  for (cks_id id = 0; id < a->heading.n && strlen(text) >= 4 && !near; id++) {
    const char *one = cks_names_text(&a->heading, id);
    near = cks_nearest(text, &one, 1);
  }
  return near;
}

static cks_status say_not_there(const asked *a, const char *option, const char *given)
{
  char list[LIST_BYTES];
  const char *near = heading_near(a, given);
  list_headings(a, list);
  if (near)
    return cks_findings_add(a->findings, CKS_RULE_HEADING_NOT_THERE, CKS_NOWHERE, given, NULL, a->error,
                            "%s names '%s', which no file has; did you mean '%s'? the headings are: %s", option, given,
                            near, list);
  return cks_findings_add(a->findings, CKS_RULE_HEADING_NOT_THERE, CKS_NOWHERE, given, NULL, a->error,
                          "%s names '%s', which no file has; the headings are: %s", option, given, list);
}

/* --unit KEY: a role without a unit or without a column, a heading that is not used, a slip, or nothing known. */
static cks_status say_no_unit(const asked *a, const cks_setting_pair *given)
{
  const char *key = given->key;
  cks_role role;
  const char *same = heading_same(a, key);
  char text[2 * LIST_BYTES + CKS_SHELL_WORD];
  if (cks_vocabulary_find(&a->vocabulary, key, strlen(key), &role)) {
    const cks_role_fact *fact = cks_role_find(role);
    bool none = fact->kind == CKS_NAME || cks_unit_dimension(fact->unit) == CKS_DIM_NONE;
    if (none)
      snprintf(text, sizeof text, "--unit %.200s: %s has no unit; take the option out", key, fact->label);
    else if (fact->role_class == CKS_CLASS_TRAIT)
      snprintf(text, sizeof text,
               "--unit %.200s: no file has a column of %s; take the option out, or give --show %s=%.60s to see results "
               "in that unit",
               key, fact->label, fact->key, given->value);
    else
      snprintf(text, sizeof text,
               "--unit %.200s: no file has a column of %s; take the option out, or say with --heading which it is", key,
               fact->label);
  } else if (same) {
    char trait[CKS_SHELL_WORD];
    snprintf(text, sizeof text, "--unit %.200s: the column '%.200s' is not used; --trait %s makes it a trait", key,
             same, cks_shell_word(trait, same));
  } else if (cks_vocabulary_near(&a->vocabulary, key, strlen(key), &role)) {
    snprintf(text, sizeof text, "--unit names '%.200s', which no file has; did you mean '%s'?", key,
             cks_role_find(role)->key);
  } else {
    return say_not_there(a, "--unit", key);
  }
  return cks_findings_add(a->findings, CKS_RULE_HEADING_NOT_THERE, CKS_NOWHERE, key, NULL, a->error, "%s", text);
}

/* Units that no one knows; the usual one of the trait is named. */
static cks_status check_units(const asked *a)
{
  const cks_setting_list *list = &a->settings->unit;
  cks_status status = CKS_OK;
  cks_unit unit;
  cks_role role;
  for (size_t i = 0; i < list->n && status == CKS_OK; i++) {
    const char *key = list->pair[i].key, *usual = "bu/ac, lb/bu, in, % or days";
    if (cks_unit_find(list->pair[i].value, &unit) || cks_unit_find_temperature(list->pair[i].value, &unit)) continue;
    if (cks_vocabulary_find(&a->vocabulary, key, strlen(key), &role) && *cks_unit_text(cks_role_find(role)->unit))
      usual = cks_unit_text(cks_role_find(role)->unit);
    status = cks_findings_add(a->findings, CKS_RULE_UNIT_UNKNOWN, CKS_NOWHERE, NULL, NULL, a->error,
                              "--unit %s=%s names no unit that is known; give one such as %s", key, list->pair[i].value,
                              usual);
  }
  return status;
}

/* A trait by one of the trade's names may still be made of other columns: the audit looks for it. */
static cks_status check_trait(const asked *a, const char *key)
{
  cks_role role;
  bool known = cks_vocabulary_find(&a->vocabulary, key, strlen(key), &role) &&
               cks_role_find(role)->role_class != CKS_CLASS_WEATHER;
  return known ? CKS_OK : say_not_there(a, "--trait", key);
}

static cks_status check_missing(const asked *a, const char *text)
{
  return cks_findings_add(a->findings, CKS_RULE_MISSING_NOT_THERE, CKS_NOWHERE, NULL, text, a->error,
                          "--missing \"%s\": no cell holds that%s", text,
                          strchr(text, ',') ? "; give each text an option of its own" : "");
}

static cks_status check_all(const asked *a)
{
  const cks_settings *s = a->settings;
  cks_status status = check_units(a);
  size_t option = 0;
  bool all = true; /* headings of every file were read */
  for (size_t i = 0; i < TABLES; i++) all = all && (!a->table[i] || a->table[i]->headings_read);
  if (!all) return status;
  for (size_t i = 0; i < s->heading.n && status == CKS_OK; i++, option++)
    if (!is_met(a, option)) status = say_not_there(a, "--heading", s->heading.pair[i].value);
  for (size_t i = 0; i < s->unit.n && status == CKS_OK; i++, option++)
    if (!is_met(a, option)) status = say_no_unit(a, &s->unit.pair[i]);
  for (size_t i = 0; i < s->trait.n && status == CKS_OK; i++, option++)
    if (!is_met(a, option)) status = check_trait(a, s->trait.pair[i].key);
  for (size_t i = 0; i < s->missing.n && status == CKS_OK; i++, option++)
    if (!is_met(a, option)) status = check_missing(a, s->missing.pair[i].key);
  return status;
}

cks_status cks_read_check(const cks_settings *settings, const cks_tables *tables, cks_findings *findings,
                          cks_error *error)
{
  asked a = {.settings = settings,
             .table = {tables->plots, tables->places, tables->names, tables->weather, tables->normal},
             .findings = findings,
             .error = error};
  cks_status status = cks_vocabulary_init(&a.vocabulary, CKS_WORDS_ANY, error);
  cks_id id;
  for (size_t i = 0; i < TABLES; i++)
    for (cks_id h = 0; status == CKS_OK && a.table[i] && h < a.table[i]->headings.n; h++) {
      const char *text = cks_names_text(&a.table[i]->headings, h);
      status = cks_names_add(&a.heading, text, strlen(text), &id, error);
    }
  if (status == CKS_OK) status = check_all(&a);
  cks_vocabulary_release(&a.vocabulary);
  cks_names_release(&a.heading);
  return status;
}
