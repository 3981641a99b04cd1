/*
 * options.c: one table of options makes the parser, the usage and the help.
 *
 * A row says the option's name, what it takes, how it is kept and where in the settings.
 */
#include "cli.h"

#include <errno.h>
#include <glob.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef enum {
  KEEP_FLAG,   /* bool */
  KEEP_TEXT,   /* const char * */
  KEEP_NUMBER, /* double, low < value < high */
  KEEP_PAIR,   /* cks_setting_list, KEY=VALUE added */
  KEEP_WORD,   /* cks_setting_list, the word added */
  KEEP_CHOICE, /* an enum: the index of the word in choices */
  KEEP_SECOND, /* bool: the second of two choices */
  KEEP_PLACES, /* cli_call.places */
  KEEP_OUT,    /* cli_call.out */
  KEEP_CALL    /* bool of cli_call */
} keep;

typedef enum { FOR_ALL, FOR_SUMMARIZE } used_by;

typedef struct {
  const char *name, *takes; /* takes: "" for a flag */
  keep how;
  size_t at;           /* offset in cks_settings; for the last three kinds in cli_call */
  double low, high;    /* NUMBER */
  const char *choices; /* CHOICE: words split by '|' */
  used_by used;
  const char *sentence;
} option;

#define SETTING(field) offsetof(cks_settings, field)
#define CALL(field)    offsetof(cli_call, field)

static const option options[] = {
    {"--places", "FILE", KEEP_PLACES, CALL(places), 0, 0, "", FOR_ALL,
     "facts of each location: planted, harvest_length, harvest_width, soil, ..."},
    {"--crop", "CROP", KEEP_TEXT, SETTING(crop), 0, 0, "", FOR_ALL,
     "the crop ('checkstrip help crops'); default grain sorghum"},
    {"--heading", "ROLE=TEXT", KEEP_PAIR, SETTING(heading), 0, 0, "", FOR_ALL,
     "the column with heading TEXT is ROLE ('checkstrip help headings')"},
    {"--unit", "TRAIT=UNIT", KEEP_PAIR, SETTING(unit), 0, 0, "", FOR_ALL,
     "the trait's column is in UNIT, whatever its heading says"},
    {"--missing", "TEXT", KEEP_WORD, SETTING(missing), 0, 0, "", FOR_ALL, "cells that hold TEXT are missing"},
    {"--sheet", "NAME", KEEP_WORD, SETTING(sheet), 0, 0, "", FOR_ALL,
     "read only this sheet of a workbook; may be given several times"},
    {"--dates", "mdy|dmy", KEEP_CHOICE, SETTING(dates), 0, 0, "|mdy|dmy", FOR_ALL,
     "dates such as 5/6/2026 are month/day or day/month"},
    {"--decimal-comma", "", KEEP_FLAG, SETTING(decimal_comma), 0, 0, "", FOR_ALL, "92,5 is 92.5"},
    {"--trait", "TRAIT", KEEP_WORD, SETTING(trait), 0, 0, "", FOR_ALL,
     "analyze only this trait; any numeric column by its heading"},
    {"--check", "HYBRID", KEEP_WORD, SETTING(check), 0, 0, "", FOR_ALL,
     "this hybrid is a check; the first one named leads the percent column"},
    {"--without", "ROLE=VALUE", KEEP_PAIR, SETTING(without), 0, 0, "", FOR_ALL,
     "leave these rows out, listed in every output"},
    {"--only", "ROLE=VALUE", KEEP_PAIR, SETTING(only), 0, 0, "", FOR_ALL,
     "leave all other rows out, listed in every output"},
    {"--alpha", "P", KEEP_NUMBER, SETTING(alpha), 0, 0.5, "", FOR_ALL,
     "level of the tests, between 0 and 0.5; default 0.05"},
    {"--unprotected", "", KEEP_FLAG, SETTING(unprotected), 0, 0, "", FOR_SUMMARIZE,
     "print the LSD even when F is not significant"},
    {"--locations", "random|fixed", KEEP_SECOND, SETTING(locations_fixed), 0, 0, "random|fixed", FOR_SUMMARIZE,
     "speak of farms like these (random, the default) or of these places only"},
    {"--moisture", "PCT", KEEP_NUMBER, SETTING(moisture_pct), 0, 100, "", FOR_ALL,
     "yields at this moisture; default the crop's standard"},
    {"--cv-limit", "PCT", KEEP_NUMBER, SETTING(cv_limit), 0, 1000, "", FOR_ALL,
     "flag a yield CV above this; default 20"},
    {"-o", "OUT", KEEP_OUT, CALL(out), 0, 0, "", FOR_SUMMARIZE,
     "write .xlsx, .json or .csv, by the ending; may be given several times"},
    {"--show", "TRAIT=UNIT", KEEP_PAIR, SETTING(show), 0, 0, "", FOR_SUMMARIZE, "show the trait in UNIT"},
    {"--order", "mean|name", KEEP_CHOICE, SETTING(order), 0, 0, "mean|name", FOR_SUMMARIZE, "rows by mean or by name"},
    {"--full", "", KEEP_FLAG, SETTING(full), 0, 0, "", FOR_SUMMARIZE, "print every table, not one screen"},
    {"--sheet-for", "LOCATION", KEEP_TEXT, SETTING(sheet_for), 0, 0, "", FOR_SUMMARIZE,
     "the handout of one location alone"},
    {"--title", "TEXT", KEEP_TEXT, SETTING(title), 0, 0, "", FOR_SUMMARIZE, "title of the sheets"},
    {"--organization", "TEXT", KEEP_TEXT, SETTING(organization), 0, 0, "", FOR_SUMMARIZE, "who hands the sheets out"},
    {"--contact", "TEXT", KEEP_TEXT, SETTING(contact), 0, 0, "", FOR_SUMMARIZE,
     "name, phone, mail for the foot of the sheets"},
    {"--note", "TEXT", KEEP_TEXT, SETTING(note), 0, 0, "", FOR_SUMMARIZE, "a sentence for every sheet"},
    {"--date", "DATE", KEEP_TEXT, SETTING(date), 0, 0, "", FOR_SUMMARIZE,
     "date printed on the sheets (none otherwise: no clock is read)"},
    {"--paper", "letter|a4", KEEP_TEXT, SETTING(paper), 0, 0, "letter|a4", FOR_SUMMARIZE,
     "paper of the printed sheets"},
    {"--all-findings", "", KEEP_FLAG, SETTING(all_findings), 0, 0, "", FOR_ALL,
     "print every finding, not at most 20 a rule and file"},
    {"--strict", "", KEEP_FLAG, SETTING(strict), 0, 0, "", FOR_ALL, "exit with 1 on warnings too"},
    {"--quiet", "", KEEP_CALL, CALL(quiet), 0, 0, "", FOR_ALL, "no notes on standard error"},
    {"--help", "", KEEP_CALL, CALL(help), 0, 0, "", FOR_ALL, "this text"},
};
enum { N_OPTION = sizeof options / sizeof *options };

static bool is_for(const option *o, const cli_command *command)
{
  return o->used == FOR_ALL || !strcmp(command->name, "summarize");
}

/* ---- lists and patterns ----------------------------------------------------------------------------------------- */

/* Appends to an array of the arena: a longer copy. Command lines are short. */
static bool append(cli_call *call, const char ***list, size_t *n, const char *text)
{
  const char **grown = cks_arena_take(call->arena, *n + 1, sizeof *grown);
  if (!grown) return false;
  if (*n) memcpy(grown, *list, *n * sizeof *grown);
  grown[(*n)++] = text;
  *list = grown;
  return true;
}

static bool append_pair(cli_call *call, cks_setting_list *list, const char *key, const char *value)
{
  cks_setting_pair *grown = cks_arena_take(call->arena, list->n + 1, sizeof *grown);
  if (!grown) return false;
  if (list->n) memcpy(grown, list->pair, list->n * sizeof *grown);
  grown[list->n] = (cks_setting_pair){key, value};
  *list = (cks_setting_list){list->n + 1, grown};
  return true;
}

/* A pattern that the shell left alone (as some do) is expanded; anything else is the file itself. */
static bool append_files(cli_call *call, const char *word)
{
  glob_t found = {0};
  bool ok = true;
  if (strpbrk(word, "*?") && glob(word, 0, NULL, &found) == 0)
    for (size_t i = 0; i < found.gl_pathc && ok; i++)
      ok = append(call, &call->file, &call->n_file, cks_arena_text(call->arena, found.gl_pathv[i]));
  else
    ok = append(call, &call->file, &call->n_file, word);
  globfree(&found);
  return ok;
}

/* ---- one option ------------------------------------------------------------------------------------------------- */

/* Index of word among choices split by '|'; -1: none. An empty choice is not offered. */
static int choice_of(const char *choices, const char *word)
{
  int index = 0;
  size_t n = strlen(word);
  for (const char *at = choices; n; index++) {
    size_t m = strcspn(at, "|");
    if (m == n && !strncmp(at, word, n)) return index;
    if (!at[m]) break;
    at += m + 1;
  }
  return -1;
}

static int wrong_value(const option *o, const char *value)
{
  if (o->how == KEEP_NUMBER)
    cli_say("%s takes a number between %g and %g, not '%s'", o->name, o->low, o->high, value);
  else
    cli_say("%s takes %s, not '%s'", o->name, o->takes, value);
  return CLI_USAGE;
}

static int keep_number(const option *o, const char *value, double *to)
{
  char *end;
  errno = 0;
  double number = strtod(value, &end);
  if (!*value || *end || errno || !(number > o->low && number < o->high)) return wrong_value(o, value);
  *to = number;
  return CLI_DONE;
}

static int keep_value(const option *o, const char *value, cli_call *call)
{
  void *to = (o->how >= KEEP_PLACES ? (char *)call : (char *)&call->settings) + o->at;
  int choice = *o->choices ? choice_of(o->choices, value) : 0;
  bool ok = true;
  if (choice < 0) return wrong_value(o, value);
  switch (o->how) {
  case KEEP_FLAG:
  case KEEP_CALL:
    *(bool *)to = true;
    break;
  case KEEP_NUMBER:
    return keep_number(o, value, to);
  case KEEP_TEXT:
  case KEEP_PLACES:
    *(const char **)to = value;
    break;
  case KEEP_CHOICE:
    *(unsigned *)to = (unsigned)choice;
    break;
  case KEEP_SECOND:
    *(bool *)to = choice == 1;
    break;
  case KEEP_PAIR: {
    const char *equals = strchr(value, '=');
    if (!equals || equals == value || !equals[1]) return wrong_value(o, value);
    ok = append_pair(call, to, cks_arena_format(call->arena, "%.*s", (int)(equals - value), value), equals + 1);
    break;
  }
  case KEEP_WORD:
    ok = append_pair(call, to, value, NULL);
    break;
  case KEEP_OUT:
    ok = append(call, &call->out, &call->n_out, value);
    break;
  }
  if (!ok) cli_say("%s", cks_status_text(CKS_NOMEM));
  return ok ? CLI_DONE : CLI_FAILED;
}

static bool is_flag(const option *o) { return o->how == KEEP_FLAG || o->how == KEEP_CALL; }

static const option *option_named(const char *word, size_t n)
{
  for (size_t i = 0; i < N_OPTION; i++)
    if (strlen(options[i].name) == n && !strncmp(options[i].name, word, n)) return &options[i];
  return NULL;
}

static int no_such_option(const cli_command *command, const char *word)
{
  const char *names[N_OPTION];
  size_t n = 0;
  for (size_t i = 0; i < N_OPTION; i++)
    if (is_for(&options[i], command)) names[n++] = options[i].name;
  const char *near = cli_nearest(word, names, n);
  if (near)
    cli_say("no option '%s' for %s; did you mean '%s'?", word, command->name, near);
  else
    cli_say("no option '%s' for %s; 'checkstrip help %s' lists them", word, command->name, command->name);
  return CLI_USAGE;
}

int cli_options_read(const cli_command *command, int n, char **words, cli_call *call)
{
  *call = (cli_call){.arena = cks_arena_new()};
  cks_settings_defaults(&call->settings);
  if (!call->arena) return cli_say("%s", cks_status_text(CKS_NOMEM)), CLI_FAILED;
  int code = CLI_DONE;
  bool only_files = false;
  for (int i = 0; i < n && code == CLI_DONE; i++) {
    const char *word = words[i];
    if (!only_files && !strcmp(word, "--")) {
      only_files = true;
      continue;
    }
    if (only_files || word[0] != '-' || !word[1]) {
      if (!append_files(call, word)) code = CLI_FAILED;
      continue;
    }
    size_t length = strncmp(word, "--", 2) ? strlen(word) : strcspn(word, "=");
    const option *o = option_named(word, length);
    if (!strcmp(word, "-h")) o = option_named("--help", strlen("--help"));
    const char *value = word[length] == '=' ? word + length + 1 : NULL;
    if (!o || !is_for(o, command)) {
      code = no_such_option(command, word);
    } else if (is_flag(o) && value) {
      cli_say("%s takes no value", o->name);
      code = CLI_USAGE;
    } else if (!is_flag(o) && !value && i + 1 == n) {
      cli_say("%s needs a value: %s %s", o->name, o->name, o->takes);
      code = CLI_USAGE;
    } else {
      if (!is_flag(o) && !value) value = words[++i];
      code = keep_value(o, value, call);
    }
  }
  return code;
}

void cli_call_release(cli_call *call)
{
  cks_arena_free(call->arena);
  *call = (cli_call){0};
}

void cli_options_print(const cli_command *command)
{
  for (size_t i = 0; i < N_OPTION; i++)
    if (is_for(&options[i], command)) {
      char left[64];
      snprintf(left, sizeof left, "%s %s", options[i].name, options[i].takes);
      printf("  %-26s %s\n", left, options[i].sentence);
    }
}
