/*
 * cli.h: what the program's commands share. Includes only <checkstrip.h>.
 *
 * To add a command: its function cli_NAME in a file of this folder, and a row in CLI_COMMANDS. To add an option: a row in options.c, and the setting
 * that it fills.
 */
#ifndef CKS_CLI_H
#define CKS_CLI_H

#include <checkstrip.h>

enum { CLI_DONE = 0, CLI_REFUSED = 1, CLI_USAGE = 2, CLI_NO_RESULT = 3, CLI_FAILED = 4 }; /* exit codes */

typedef struct {
  cks_settings settings;
  const char *places, *names, *fix, *template_to; /* paths; NULL: none */
  size_t n_word, n_file, n_out;
  const char **word; /* size n_word: words of the command line that are no options, hybrids first where a command takes them */
  const char **file; /* size n_file: paths, patterns expanded */
  const char **out;  /* size n_out */
  bool all_pairs, quiet, help;
  cks_arena *arena; /* texts and lists of the settings */
} cli_call;

/* name, what it takes, one sentence, examples (lines of its help). Each has a function cli_NAME in its file. */
#define CLI_COMMANDS(X)                                                                                                \
  X(summarize, "FILE... [-o OUT]...", "the job: read, check, analyze, then print one screen or write files",           \
    "  checkstrip summarize plots.csv                     one screen: who leads, and what cannot be told\n"            \
    "  checkstrip summarize plots/*.csv --places places.csv -o series.xlsx -o series.json\n"                           \
    "  checkstrip summarize plots/*.csv --sheet-for \"Cold Draw\"    the handout of one place\n"                       \
    "  checkstrip summarize --settings season.txt         all choices from a file: file = plots/*.csv, alpha = 0.1\n") \
  X(audit, "FILE...", "the data checks alone: every finding, with its file and line",                                  \
    "  checkstrip audit plots.csv\n"                                                                                      \
    "  checkstrip audit plots/*.csv --fix fixed.csv       the table as understood, one row a plot\n"                       \
    "  checkstrip audit --template list.xlsx --places places.csv --names names.csv --reps 4\n")                                                                                  \
  X(versus, "HYBRID HYBRID FILE...", "head-to-head: two hybrids, or each against the checks, wherever both grew",        \
    "  checkstrip versus \"Tamsel 8\" \"Quarter 7\" plots/*.csv    every trait, and both at each place\n"                 \
    "  checkstrip versus \"Tamsel 8\" \"Quarter 7\" plots/*.csv --by irrigation --places places.csv\n"                   \
    "  checkstrip versus --all-pairs plots/*.csv --trait yield -o pairs.csv    every hybrid against each check\n")       \
  X(help, "[COMMAND|headings|crops]", "this list; a command's options; the headings, the crops that are known", "")

#define CLI_PROTOTYPE(name, takes, sentence, examples) int cli_##name(const cli_call *call);
CLI_COMMANDS(CLI_PROTOTYPE)
#undef CLI_PROTOTYPE

typedef struct {
  const char *name, *takes, *sentence, *examples;
  int (*run)(const cli_call *call);
} cli_command;
extern const cli_command cli_commands[];               /* ended by a NULL name */
const cli_command *cli_command_find(const char *name); /* NULL: none */

/* Fills call from the words after the command. CLI_DONE or CLI_USAGE, said on stderr. */
int cli_options_read(const cli_command *command, int n, char **words, cli_call *call);
void cli_options_print(const cli_command *command); /* the command's options, from the same table */
void cli_call_release(cli_call *call);

/* Where a value was given. All zero: on the command line. */
typedef struct {
  const char *file;   /* a settings file; NULL: the command line */
  const char *folder; /* where its paths begin: "" or "season/" */
  size_t line;
  size_t *met; /* size cli_options_count(): line on which each key stands; 0 not yet */
} cli_origin;
size_t cli_options_count(void);
/* The key that text names, as it is written; NULL: none. */
const char *cli_options_key(const char *text);
/* Keeps a value (of the call's arena) of a settings file. CLI_DONE, or CLI_USAGE, said on stderr with file and line. */
int cli_options_keep(const cli_command *command, const cli_origin *at, const char *key, const char *value,
                     cli_call *call);
/* Keeps all that a settings file holds. */
int cli_settings_read(const cli_command *command, const char *path, cli_call *call);

/* "checkstrip: TEXT" on stderr. */
void cli_say(const char *format, ...) CKS_PRINTF(1, 2);

#endif
