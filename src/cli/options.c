/*
 * options.c: one table of options makes the parser of the command line and of settings files, the usage and the help.
 *
 * A row says the option's name, what it takes, how it is kept and where in the settings. What a settings file says comes
 * first: the command line overwrites single values, and adds to lists; files that it names stand in place of the file's.
 */
#include "cli.h"

#include <errno.h>
#include <glob.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

typedef enum {
  KEEP_FLAG,   /* bool */
  KEEP_TEXT,   /* const char * */
  KEEP_NUMBER, /* double, low < value < high */
  KEEP_WHOLE,  /* the same, a whole number */
  KEEP_SHARE,  /* double, low < value <= high */
  KEEP_DAY,    /* double, a day number: YYYY-MM-DD */
  KEEP_PAIR,   /* cks_setting_list, KEY=VALUE added */
  KEEP_WORD,   /* cks_setting_list, the word added */
  KEEP_CHOICE, /* an enum: the index of the word in choices */
  KEEP_SECOND, /* bool: the second of two choices */
  KEEP_PATH,   /* const char * of cli_call */
  KEEP_OUT,    /* cli_call.out */
  KEEP_FILES,  /* cli_call.file */
  KEEP_PATHS,  /* cli_paths of cli_call, patterns expanded */
  KEEP_CALL,   /* bool of cli_call */
  KEEP_FROM    /* a settings file */
} keep;

/* Bits: the commands that take an option, and where it cannot stand. */
typedef enum {
  FOR_SUMMARIZE = 1,
  FOR_AUDIT = 2,
  FOR_VERSUS = 4,
  FOR_MATURITY = 8,
  FOR_ALL = FOR_SUMMARIZE | FOR_AUDIT | FOR_VERSUS | FOR_MATURITY,
  FOR_RESULTS = FOR_SUMMARIZE | FOR_VERSUS | FOR_MATURITY,
  NO_KEY = 16,     /* not in a settings file */
  NO_OPTION = 32, /* only there */
  FOR_COMMAND_LINE = FOR_ALL | NO_KEY
} used_by;

static const struct {
  const char *name;
  used_by bit;
} taking[] = {{"summarize", FOR_SUMMARIZE}, {"audit", FOR_AUDIT}, {"versus", FOR_VERSUS}, {"maturity", FOR_MATURITY}};

typedef struct {
  const char *name, *takes; /* takes: "" for a flag */
  keep how;
  size_t at;           /* offset in cks_settings; from KEEP_PATH on in cli_call */
  double low, high;    /* NUMBER, SHARE */
  const char *choices; /* CHOICE: words split by '|' */
  unsigned used;       /* used_by */
  const char *sentence;
} option;

#define SETTING(field) offsetof(cks_settings, field)
#define CALL(field)    offsetof(cli_call, field)

static const option options[] = {
    {"--settings", "FILE", KEEP_FROM, 0, 0, 0, "", FOR_COMMAND_LINE,
     "these options as 'key = value' lines (alpha = 0.1, full = yes, file = plots/*.csv)"},
    {"file", "FILE", KEEP_FILES, CALL(file), 0, 0, "", FOR_ALL | NO_OPTION, ""},
    {"output", "OUT", KEEP_OUT, CALL(out), 0, 0, "", FOR_RESULTS | NO_OPTION, ""},
    {"--places", "FILE", KEEP_PATH, CALL(places), 0, 0, "", FOR_ALL,
     "facts of each location: planted, harvest_length, harvest_width, soil, ..."},
    {"--names", "FILE", KEEP_PATH, CALL(names), 0, 0, "", FOR_ALL,
     "who the hybrids are: seen_as, hybrid, brand, code, maturity, check, print"},
    {"--weather", "FILE", KEEP_PATHS, CALL(weather), 0, 0, "", FOR_SUMMARIZE | FOR_AUDIT | FOR_MATURITY,
     "daily weather: date, high, low, location; may be given several times"},
    {"--normal", "FILE", KEEP_PATH, CALL(normal), 0, 0, "", FOR_SUMMARIZE | FOR_AUDIT | FOR_MATURITY,
     "what each day of the year usually brings, for days that are not measured yet"},
    {"--crop", "CROP", KEEP_TEXT, SETTING(crop), 0, 0, "", FOR_ALL,
     "the crop ('checkstrip help crops'); default grain sorghum"},
    {"--heading", "ROLE=TEXT", KEEP_PAIR, SETTING(heading), 0, 0, "", FOR_ALL,
     "the column with heading TEXT is ROLE ('checkstrip help headings')"},
    {"--unit", "TRAIT=UNIT", KEEP_PAIR, SETTING(unit), 0, 0, "", FOR_ALL,
     "the trait's columns are in UNIT where their heading states none"},
    {"--missing", "TEXT", KEEP_WORD, SETTING(missing), 0, 0, "", FOR_ALL, "cells that hold TEXT are missing"},
    {"--sheet", "NAME", KEEP_WORD, SETTING(sheet), 0, 0, "", FOR_ALL,
     "read only this sheet of a workbook; may be given several times"},
    {"--dates", "mdy|dmy", KEEP_CHOICE, SETTING(dates), 0, 0, "|mdy|dmy", FOR_ALL,
     "dates such as 5/6/2026 are month/day or day/month"},
    {"--year", "YEAR", KEEP_WHOLE, SETTING(year), 1899, 2200, "", FOR_ALL, "the year of dates that give none (4-Aug)"},
    {"--decimal-comma", "", KEEP_FLAG, SETTING(decimal_comma), 0, 0, "", FOR_ALL, "92,5 is 92.5"},
    {"--trait", "TRAIT", KEEP_WORD, SETTING(trait), 0, 0, "", FOR_ALL,
     "analyze only this trait; any numeric column by its heading"},
    {"--check", "HYBRID", KEEP_WORD, SETTING(check), 0, 0, "", FOR_ALL,
     "this hybrid is a check; the first one named leads the percent column"},
    {"--without", "ROLE=VALUE", KEEP_PAIR, SETTING(without), 0, 0, "", FOR_ALL,
     "leave these rows out, listed in every output"},
    {"--only", "ROLE=VALUE", KEEP_PAIR, SETTING(only), 0, 0, "", FOR_ALL,
     "leave all other rows out, listed in every output"},
    {"--by-group", "COLUMN", KEEP_TEXT, SETTING(by_group), 0, 0, "", FOR_SUMMARIZE | FOR_AUDIT,
     "rank within groups, by a column that says to which one a hybrid belongs (maturity, brand, ...)"},
    {"--all-pairs", "", KEEP_CALL, CALL(all_pairs), 0, 0, "", FOR_VERSUS,
     "every hybrid against each check, in place of two hybrids"},
    {"--by", "COLUMN", KEEP_TEXT, SETTING(by), 0, 0, "", FOR_VERSUS,
     "each value of COLUMN by itself too: location, year, trial, irrigation, or another that is one for each place"},
    {"--class", "NAME=FROM-TO", KEEP_PAIR, SETTING(maturity_class), 0, 0, "", FOR_SUMMARIZE | FOR_MATURITY,
     "maturity class of these days to mid-bloom, all in order: early=-60, medium=60-70, late=70- (the default)"},
    {"--alpha", "P", KEEP_NUMBER, SETTING(alpha), 0, 0.5, "", FOR_ALL,
     "level of the tests, between 0 and 0.5; default 0.05"},
    {"--comparison", "TEST", KEEP_CHOICE, SETTING(comparison), 0, 0, "lsd|tukey|dunnett|bonferroni", FOR_SUMMARIZE,
     "lsd (after F, the default), tukey or bonferroni (all pairs at once), dunnett (with checks)"},
    {"--top-group", "lsd|best", KEEP_SECOND, SETTING(top_best), 0, 0, "lsd|best", FOR_SUMMARIZE,
     "the top group by single comparisons (the default), or so that one truly best is kept"},
    {"--unprotected", "", KEEP_FLAG, SETTING(unprotected), 0, 0, "", FOR_SUMMARIZE,
     "print the LSD even when F is not significant"},
    {"--locations", "random|fixed", KEEP_SECOND, SETTING(locations_fixed), 0, 0, "random|fixed", FOR_SUMMARIZE,
     "speak of farms like these (random, the default) or of these places only"},
    {"--hybrids", "fixed|random", KEEP_SECOND, SETTING(hybrids_random), 0, 0, "fixed|random", FOR_SUMMARIZE,
     "unbalanced series: adjusted means (fixed, the default) or shrunken ones, not compared"},
    {"--environment-effect", "HOW", KEEP_SECOND, SETTING(environments_random), 0, 0, "fixed|random", FOR_SUMMARIZE,
     "unbalanced series: the mean of an environment is fixed (default) or random"},
    {"--error-variance", "HOW", KEEP_SECOND, SETTING(error_by_location), 0, 0, "common|location", FOR_SUMMARIZE,
     "mixed model over places with one error variance (common, default) or one a place (location)"},
    {"--df", "HOW", KEEP_CHOICE, SETTING(df), 0, 0, "|kenward-roger|satterthwaite", FOR_SUMMARIZE,
     "degrees of freedom of mixed models: kenward-roger (default), satterthwaite (large ones have it anyway)"},
    {"--strip-adjustment", "HOW", KEEP_CHOICE, SETTING(strip_adjustment), 0, 0, "none|difference|ratio|shrunken",
     FOR_ALL, "yields held against the check strips beside them: none (default), difference, ratio, shrunken"},
    {"--moisture", "PCT", KEEP_NUMBER, SETTING(moisture_pct), 0, 100, "", FOR_ALL,
     "yields at this moisture; default the crop's standard"},
    {"--cv-limit", "PCT", KEEP_NUMBER, SETTING(cv_limit), 0, 1000, "", FOR_ALL,
     "flag a yield CV above this; default 20"},
    {"--min-environments", "SHARE", KEEP_SHARE, SETTING(min_environments), 0, 1, "", FOR_SUMMARIZE | FOR_AUDIT,
     "over places, rank only hybrids in this share of them or more; default 0.5"},
    {"--scheme", "KEY", KEEP_TEXT, SETTING(scheme), 0, 0, "", FOR_SUMMARIZE | FOR_MATURITY,
     "stage calendar: count heat units as this scheme does, where there is weather ('checkstrip help schemes')"},
    {"--as-of", "YYYY-MM-DD", KEEP_DAY, SETTING(as_of), 0, 0, "", FOR_SUMMARIZE | FOR_MATURITY,
     "stage calendar: as it looked on this day; what was seen or measured later is not used"},
    {"-o", "OUT", KEEP_OUT, CALL(out), 0, 0, "", FOR_RESULTS,
     "write .xlsx, .json, .csv or (summarize) .ics, by the ending; may be given several times"},
    {"--fix", "OUT.csv", KEEP_PATH, CALL(fix), 0, 0, "", FOR_AUDIT,
     "write the table as understood, one row a plot; .brapi.csv: as BrAPI observation units"},
    {"--template", "OUT", KEEP_PATH, CALL(template_to), 0, 0, "", FOR_AUDIT,
     "write an empty plot list (.csv or .xlsx) of --places, --names and --reps; reads no FILE"},
    {"--reps", "N", KEEP_WHOLE, SETTING(reps), 0, 1001, "", FOR_AUDIT, "reps of the template"},
    {"--show", "TRAIT=UNIT", KEEP_PAIR, SETTING(show), 0, 0, "", FOR_RESULTS, "show the trait in UNIT"},
    {"--order", "mean|name", KEEP_CHOICE, SETTING(order), 0, 0, "mean|name", FOR_SUMMARIZE, "rows by mean or by name"},
    {"--full", "", KEEP_FLAG, SETTING(full), 0, 0, "", FOR_RESULTS, "print every table, not one screen"},
    {"--sheet-for", "LOCATION", KEEP_TEXT, SETTING(sheet_for), 0, 0, "", FOR_SUMMARIZE,
     "the handout of one location alone"},
    {"--title", "TEXT", KEEP_TEXT, SETTING(title), 0, 0, "", FOR_RESULTS, "title of the sheets"},
    {"--organization", "TEXT", KEEP_TEXT, SETTING(organization), 0, 0, "", FOR_RESULTS, "who hands the sheets out"},
    {"--contact", "TEXT", KEEP_TEXT, SETTING(contact), 0, 0, "", FOR_SUMMARIZE,
     "name, phone, mail for the foot of the sheets"},
    {"--note", "TEXT", KEEP_TEXT, SETTING(note), 0, 0, "", FOR_SUMMARIZE, "a sentence for every sheet"},
    {"--date", "DATE", KEEP_TEXT, SETTING(date), 0, 0, "", FOR_RESULTS,
     "date printed on the sheets (none otherwise: no clock is read)"},
    {"--paper", "letter|a4", KEEP_TEXT, SETTING(paper), 0, 0, "letter|a4", FOR_RESULTS, "paper of the printed sheets"},
    {"--all-findings", "", KEEP_FLAG, SETTING(all_findings), 0, 0, "", FOR_ALL,
     "print every finding, not at most 20 a rule and file"},
    {"--strict", "", KEEP_FLAG, SETTING(strict), 0, 0, "", FOR_ALL, "exit with 1 on warnings too"},
    {"--quiet", "", KEEP_CALL, CALL(quiet), 0, 0, "", FOR_ALL, "no notes on standard error"},
    {"--help", "", KEEP_CALL, CALL(help), 0, 0, "", FOR_COMMAND_LINE, "this text"},
};
enum { N_OPTION = sizeof options / sizeof *options };

/* help takes what all commands take. */
static unsigned bit_of(const cli_command *command)
{
  for (size_t i = 0; i < sizeof taking / sizeof *taking; i++)
    if (!strcmp(taking[i].name, command->name)) return taking[i].bit;
  return 0;
}

static bool is_taken(const option *o, const cli_command *command)
{
  return (o->used & FOR_ALL) == FOR_ALL || (o->used & bit_of(command));
}

static bool is_for(const option *o, const cli_command *command)
{
  return is_taken(o, command) && !(o->used & NO_OPTION);
}

static bool is_flag(const option *o) { return o->how == KEEP_FLAG || o->how == KEEP_CALL; }

/* As it is written where it was given: "--alpha", or "alpha" in a settings file. */
static const char *name_at(const cli_origin *at, const option *o)
{
  return o->name + (at->file ? strspn(o->name, "-") : 0);
}

/* "checkstrip: FILE:LINE: TEXT", or without the place on the command line. */
static int refuse(const cli_origin *at, const char *format, ...) CKS_PRINTF(2, 3);
static int refuse(const cli_origin *at, const char *format, ...)
{
  char text[1024];
  va_list arguments;
  va_start(arguments, format);
  vsnprintf(text, sizeof text, format, arguments);
  va_end(arguments);
  if (at->file)
    cli_say("%s:%zu: %s", at->file, at->line, text);
  else
    cli_say("%s", text);
  return CLI_USAGE;
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

/* path, from the folder of the settings file that names it. */
static const char *path_at(const cli_origin *at, const char *path, cli_call *call)
{
  return !at->file || path[0] == '/' ? path : cks_arena_format(call->arena, "%s%s", at->folder, path);
}

/* The folder with a backslash before what a pattern would take as its own. */
static const char *folder_as_pattern(const cli_origin *at, cli_call *call)
{
  char *text = cks_arena_take(call->arena, 2 * strlen(at->folder) + 1, 1), *to = text;
  for (const char *from = at->folder; text && *from; from++) {
    if (strchr("*?[\\", *from)) *to++ = '\\';
    *to++ = *from;
  }
  return text ? text : "";
}

/* A pattern that the shell left alone (as some do) is expanded; anything else is the file itself. */
static bool append_files(cli_call *call, const cli_origin *at, const char *word, const char ***list, size_t *n)
{
  glob_t found = {0};
  bool ok = true, pattern = strpbrk(word, "*?") != NULL;
  const char *folder = at->file && word[0] != '/' && pattern ? folder_as_pattern(at, call) : "";
  if (pattern && glob(cks_arena_format(call->arena, "%s%s", folder, word), 0, NULL, &found) == 0)
    for (size_t i = 0; i < found.gl_pathc && ok; i++)
      ok = append(call, list, n, cks_arena_text(call->arena, found.gl_pathv[i]));
  else
    ok = append(call, list, n, path_at(at, word, call));
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
    if (m == n && !strncasecmp(at, word, n)) return index;
    if (!at[m]) break;
    at += m + 1;
  }
  return -1;
}

static int wrong_value(const cli_origin *at, const option *o, const char *value)
{
  const char *name = name_at(at, o);
  const char *hint = at->file && strstr(value, " #") ? " (a comment stands on a line of its own)" : "";
  if (is_flag(o)) return refuse(at, "%s takes yes or no, not '%s'%s", name, value, hint);
  if (o->how == KEEP_NUMBER)
    return refuse(at, "%s takes a number between %g and %g, not '%s'%s", name, o->low, o->high, value, hint);
  if (o->how == KEEP_WHOLE)
    return refuse(at, "%s takes a whole number from %g to %g, not '%s'%s", name, o->low + 1, o->high - 1, value, hint);
  if (o->how == KEEP_SHARE)
    return refuse(at, "%s takes a number above %g and at most %g, not '%s'%s", name, o->low, o->high, value, hint);
  return refuse(at, "%s takes %s, not '%s'%s", name, *o->choices ? o->choices + strspn(o->choices, "|") : o->takes,
                value, hint);
}

static int keep_number(const cli_origin *at, const option *o, const char *value, double *to)
{
  char *end;
  errno = 0;
  double number = strtod(value, &end);
  bool whole = o->how != KEEP_WHOLE || !value[strspn(value, "0123456789")];
  bool below = number < o->high || (o->how == KEEP_SHARE && number == o->high);
  if (!*value || *end || errno || !whole || !(number > o->low && below)) return wrong_value(at, o, value);
  *to = number;
  return CLI_DONE;
}

/* value: NULL for a flag without one. */
static int keep_flag(const cli_origin *at, const option *o, const char *value, bool *to)
{
  int choice = value ? choice_of("no|yes", value) : 1;
  if (choice < 0) return wrong_value(at, o, value);
  *to = choice == 1;
  return CLI_DONE;
}

/* ROLE=TEXT, spaces around the parts dropped. */
static int keep_pair(const cli_origin *at, const option *o, const char *value, cli_call *call, cks_setting_list *to)
{
  const char *equals = strchr(value, '=');
  size_t n = equals ? (size_t)(equals - value) : 0;
  while (n && value[n - 1] == ' ') n--;
  if (!n || !equals[1 + strspn(equals + 1, " ")]) return wrong_value(at, o, value);
  const char *key = cks_arena_format(call->arena, "%.*s", (int)n, value);
  if (append_pair(call, to, key, equals + 1 + strspn(equals + 1, " "))) return CLI_DONE;
  cli_say("%s", cks_status_text(CKS_NOMEM));
  return CLI_FAILED;
}

static int keep_day(const cli_origin *at, const option *o, const char *value, double *to)
{
  return cks_day_read(value, to) ? CLI_DONE : wrong_value(at, o, value);
}

static int keep_value(const cli_origin *at, const option *o, const char *value, cli_call *call)
{
  void *to = (o->how >= KEEP_PATH ? (char *)call : (char *)&call->settings) + o->at;
  int choice = *o->choices ? choice_of(o->choices, value) : 0;
  bool ok = true;
  bool empty =
      value && !*value && (o->how == KEEP_WORD || o->how == KEEP_PATH || o->how == KEEP_PATHS || o->how == KEEP_OUT);
  if (choice < 0 || empty) return wrong_value(at, o, value);
  switch (o->how) {
  case KEEP_FLAG:
  case KEEP_CALL:
    return keep_flag(at, o, value, to);
  case KEEP_NUMBER:
  case KEEP_WHOLE:
  case KEEP_SHARE:
    return keep_number(at, o, value, to);
  case KEEP_DAY:
    return keep_day(at, o, value, to);
  case KEEP_PAIR:
    return keep_pair(at, o, value, call, to);
  case KEEP_TEXT:
    *(const char **)to = value;
    break;
  case KEEP_PATH:
    *(const char **)to = path_at(at, value, call);
    break;
  case KEEP_CHOICE:
    *(unsigned *)to = (unsigned)choice;
    break;
  case KEEP_SECOND:
    *(bool *)to = choice == 1;
    break;
  case KEEP_WORD:
    ok = append_pair(call, to, value, NULL);
    break;
  case KEEP_OUT:
    ok = append(call, &call->out, &call->n_out, path_at(at, value, call));
    break;
  case KEEP_FILES:
    ok = append_files(call, at, value, &call->file, &call->n_file);
    break;
  case KEEP_PATHS: {
    cli_paths *paths = to;
    ok = append_files(call, at, value, &paths->path, &paths->n);
    break;
  }
  case KEEP_FROM:
    break;
  }
  if (!ok) cli_say("%s", cks_status_text(CKS_NOMEM));
  return ok ? CLI_DONE : CLI_FAILED;
}

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
  const char *near = cks_nearest(word, names, n);
  if (near)
    cli_say("no option '%s' for %s; did you mean '%s'?", word, command->name, near);
  else
    cli_say("no option '%s' for %s; 'checkstrip help %s' lists them", word, command->name, command->name);
  return CLI_USAGE;
}

/* ---- the command line ------------------------------------------------------------------------------------------- */

/* The option that words[*i] is, and its value (NULL for a flag without one); *i is its last word then. */
static int take_option(const cli_command *command, int n, char **words, int *i, const option **o, const char **value)
{
  const cli_origin at = {0};
  const char *word = words[*i];
  size_t length = strncmp(word, "--", 2) ? strlen(word) : strcspn(word, "=");
  *o = option_named(word, length);
  if (!strcmp(word, "-h")) *o = option_named("--help", strlen("--help"));
  *value = word[length] == '=' ? word + length + 1 : NULL;
  if (!*o || !is_for(*o, command)) return no_such_option(command, word);
  if (is_flag(*o) || *value) return CLI_DONE;
  if (*i + 1 == n) return refuse(&at, "%s needs a value: %s %s", (*o)->name, (*o)->name, (*o)->takes);
  *value = words[++*i];
  return CLI_DONE;
}

/* Keeps what the words say: the settings files that they name, or all else. */
static int read_words(const cli_command *command, int n, char **words, bool from_files, cli_call *call)
{
  const cli_origin at = {0};
  int code = CLI_DONE;
  bool only_files = false;
  for (int i = 0; i < n && code == CLI_DONE; i++) {
    const char *word = words[i], *value;
    const option *o;
    if (!only_files && !strcmp(word, "--")) {
      only_files = true;
    } else if (only_files || word[0] != '-' || !word[1]) {
      if (!from_files && !append(call, &call->word, &call->n_word, word)) code = CLI_FAILED;
    } else {
      code = take_option(command, n, words, &i, &o, &value);
      if (code == CLI_DONE && (o->how == KEEP_FROM) == from_files)
        code = from_files ? cli_settings_read(command, value, call) : keep_value(&at, o, value, call);
    }
  }
  return code;
}

/* Lists of words, and the files, as a settings file left them. */
typedef struct {
  cks_setting_list words[N_OPTION];
  const char **file;
  size_t n_file;
  cli_paths weather;
} held_lists;

static cks_setting_list *words_of(cli_call *call, size_t i)
{
  return options[i].how == KEEP_WORD ? (cks_setting_list *)(void *)((char *)&call->settings + options[i].at) : NULL;
}

static void hold_lists(cli_call *call, held_lists *held)
{
  *held = (held_lists){.file = call->file, .n_file = call->n_file, .weather = call->weather};
  call->file = NULL;
  call->n_file = 0;
  call->weather = (cli_paths){0};
  for (size_t i = 0; i < N_OPTION; i++) {
    cks_setting_list *list = words_of(call, i);
    if (!list) continue;
    held->words[i] = *list;
    *list = (cks_setting_list){0};
  }
}

/* The command line's words stand first: the first check named leads. */
static int add_held(cli_call *call, const held_lists *held)
{
  bool ok = true;
  for (size_t i = 0; i < N_OPTION; i++)
    for (size_t k = 0; k < held->words[i].n && ok; k++)
      ok = append_pair(call, words_of(call, i), held->words[i].pair[k].key, NULL);
  if (!call->n_file) {
    call->file = held->file;
    call->n_file = held->n_file;
  }
  if (!call->weather.n) call->weather = held->weather;
  if (!ok) cli_say("%s", cks_status_text(CKS_NOMEM));
  return ok ? CLI_DONE : CLI_FAILED;
}

/* The words of the command line are files, behind the two hybrids where the command takes a pair. */
static int place_words(const cli_command *command, cli_call *call)
{
  const cli_origin at = {0};
  bool ok = true;
  size_t first = 0;
  if (bit_of(command) == FOR_VERSUS && !call->all_pairs && !call->help) {
    if (call->n_word < 2)
      return refuse(&at, "name two hybrids, then the files: checkstrip %s %s; or give --all-pairs", command->name,
                    command->takes);
    call->settings.versus_a = call->word[0];
    call->settings.versus_b = call->word[1];
    first = 2;
  }
  for (size_t i = first; i < call->n_word && ok; i++)
    ok = append_files(call, &at, call->word[i], &call->file, &call->n_file);
  return ok ? CLI_DONE : (cli_say("%s", cks_status_text(CKS_NOMEM)), CLI_FAILED);
}

int cli_options_read(const cli_command *command, int n, char **words, cli_call *call)
{
  *call = (cli_call){.arena = cks_arena_new()};
  cks_settings_defaults(&call->settings);
  if (!call->arena) return cli_say("%s", cks_status_text(CKS_NOMEM)), CLI_FAILED;
  held_lists held;
  int code = read_words(command, n, words, true, call);
  hold_lists(call, &held);
  if (code == CLI_DONE) code = read_words(command, n, words, false, call);
  if (code == CLI_DONE) code = place_words(command, call);
  return code == CLI_DONE ? add_held(call, &held) : code;
}

/* ---- settings files --------------------------------------------------------------------------------------------- */

size_t cli_options_count(void) { return N_OPTION; }

/* The key of a row, as it is written; NULL: it has none. */
static const char *key_of(const option *o) { return o->used & NO_KEY ? NULL : o->name + strspn(o->name, "-"); }

/* The same but for case, '_' for '-', and dashes in front. */
static bool same_key(const char *key, const char *text)
{
  text += strspn(text, "-");
  for (; *key && *text; key++, text++) {
    char c = *text >= 'A' && *text <= 'Z' ? (char)(*text - 'A' + 'a') : *text;
    if (*key != (c == '_' || c == ' ' ? '-' : c)) return false;
  }
  return !*key && !*text;
}

static const option *option_of_key(const char *text)
{
  for (size_t i = 0; i < N_OPTION; i++)
    if (key_of(&options[i]) && same_key(key_of(&options[i]), text)) return &options[i];
  return NULL;
}

const char *cli_options_key(const char *text)
{
  const option *o = option_of_key(text);
  return o ? key_of(o) : NULL;
}

static int no_such_key(const cli_command *command, const cli_origin *at, const char *key)
{
  const char *keys[N_OPTION];
  size_t n = 0;
  for (size_t i = 0; i < N_OPTION; i++)
    if (key_of(&options[i])) keys[n++] = key_of(&options[i]);
  const char *near = cks_nearest(key, keys, n);
  if (same_key("settings", key))
    return refuse(at, "a settings file cannot name another; give both on the command line");
  if (near) return refuse(at, "no key '%s'; did you mean '%s'?", key, near);
  return refuse(at, "no key '%s'; the keys are the options that 'checkstrip help %s' lists, and 'file' and 'output'",
                key, command->name);
}

int cli_options_keep(const cli_command *command, const cli_origin *at, const char *key, const char *value,
                     cli_call *call)
{
  const option *o = option_of_key(key);
  if (!o) return no_such_key(command, at, key);
  bool adds =
      o->how == KEEP_PAIR || o->how == KEEP_WORD || o->how == KEEP_OUT || o->how == KEEP_FILES || o->how == KEEP_PATHS;
  size_t *met = &at->met[o - options];
  if (*met && !adds) return refuse(at, "'%s' stands on line %zu already; keep one of them", key_of(o), *met);
  *met = at->line;
  return is_taken(o, command) ? keep_value(at, o, value, call) : CLI_DONE; /* one file serves all commands */
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
