/*
 * maturity_cuts.c: the classes of days to mid-bloom that --class gives, as `name=from-to` in order, open at both ends; without
 * any the default of agronomy.h. What is wrong with them is told before anything is analyzed.
 */
#include "analyze.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

static const char EXPECTED[] =
    "expected classes in order, such as --class early=-60 --class medium=60-70 --class late=70-";

/* A limit: n bytes of text; none: open, NaN. False when it is no number of days. */
static bool read_limit(const char *text, size_t n, double *days)
{
  char word[16], *end = NULL;
  *days = cks_missing();
  while (n && *text == ' ') text++, n--;
  while (n && text[n - 1] == ' ') n--;
  if (!n) return true;
  if (n >= sizeof word) return false;
  memcpy(word, text, n);
  word[n] = '\0';
  *days = strtod(word, &end);
  return !*end && isfinite(*days) && *days >= 0;
}

static bool read_cut(const cks_setting_pair *pair, cks_maturity_cut *cut)
{
  const char *split = pair->value ? strchr(pair->value, '-') : NULL;
  cut->name = pair->key;
  return split && read_limit(pair->value, (size_t)(split - pair->value), &cut->from) &&
         read_limit(split + 1, strlen(split + 1), &cut->to);
}

/* "early below 58, medium 58 to 66, late above 66" */
static const char *cuts_words(cks_arena *arena, const cks_maturity_cut *cut, size_t n)
{
  const char *text = "";
  for (size_t i = 0; i < n; i++) {
    const char *between = i ? ", " : "";
    text = cks_is_missing(cut[i].from) && cks_is_missing(cut[i].to) ? cks_arena_format(arena, "%s any", cut[i].name)
           : cks_is_missing(cut[i].from)
               ? cks_arena_format(arena, "%s%s%s below %g", text, between, cut[i].name, cut[i].to)
           : cks_is_missing(cut[i].to)
               ? cks_arena_format(arena, "%s%s%s above %g", text, between, cut[i].name, cut[i].from)
               : cks_arena_format(arena, "%s%s%s %g to %g", text, between, cut[i].name, cut[i].from, cut[i].to);
  }
  return text;
}

cks_status cks_maturity_cuts_take(const cks_task *task)
{
  const cks_setting_list *list = &task->settings->maturity_class;
  cks_results *results = task->results;
  results->cuts = *cks_maturity_cuts_default();
  if (!list->n) return CKS_OK;
  cks_maturity_cut *cut = cks_arena_take(results->arena, list->n, sizeof *cut);
  if (!cut) return cks_error_nomem(task->error);
  for (size_t i = 0; i < list->n; i++) {
    if (!read_cut(&list->pair[i], &cut[i]))
      return cks_error_set(task->error, CKS_USAGE, "--class %s=%s gives no days from and to; %s", list->pair[i].key,
                           list->pair[i].value ? list->pair[i].value : "", EXPECTED);
    cut[i].name = cks_arena_text(results->arena, cut[i].name);
  }
  size_t row = 0;
  cks_cut_fault fault = cks_maturity_cuts_check(cut, list->n, &row);
  if (fault != CKS_CUT_NONE)
    return cks_error_set(task->error, CKS_USAGE, "--class %s=%s: %s; %s", list->pair[row].key, list->pair[row].value,
                         cks_cut_fault_text(fault), EXPECTED);
  results->cuts = (cks_maturity_cuts){.label = cks_arena_format(results->arena, "the classes given (--class): %s",
                                                                cuts_words(results->arena, cut, list->n)),
                                      .source = "given with --class",
                                      .origin = "",
                                      .tie = "",
                                      .cut = cut,
                                      .n = list->n};
  return cks_arena_status(results->arena, task->error);
}
