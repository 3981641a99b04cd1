/* main.c: the program: a table of commands, and the choice among them. */
#include "cli.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#define COMMAND_ROW(name, takes, sentence, examples) {#name, takes, sentence, examples, cli_##name},
const cli_command cli_commands[] = {CLI_COMMANDS(COMMAND_ROW){NULL, NULL, NULL, NULL, NULL}};
#undef COMMAND_ROW

void cli_say(const char *format, ...)
{
  va_list arguments;
  va_start(arguments, format);
  fputs("checkstrip: ", stderr);
  vfprintf(stderr, format, arguments);
  fputc('\n', stderr);
  va_end(arguments);
}

const cli_command *cli_command_find(const char *name)
{
  const cli_command *found = NULL;
  for (const cli_command *command = cli_commands; command->name && !found; command++)
    if (!strcmp(command->name, name)) found = command;
  return found;
}

static int no_such_command(const char *name)
{
  const char *names[16];
  size_t n = 0;
  for (; cli_commands[n].name; n++) names[n] = cli_commands[n].name;
  const char *near = cks_nearest(name, names, n);
  if (near)
    cli_say("no command '%s'; did you mean '%s'?", name, near);
  else
    cli_say("no command '%s'; 'checkstrip help' lists them (the main one: checkstrip summarize FILE)", name);
  return CLI_USAGE;
}

static int print_version(void)
{
  printf("checkstrip %s\nalgebra: %s\n", CKS_VERSION, cks_math_library());
  return CLI_DONE;
}

static int run_command(const cli_command *command, int n, char **words)
{
  cli_call call;
  int code = cli_options_read(command, n, words, &call);
  if (code == CLI_DONE && call.help) {
    const char *name[] = {command->name};
    cli_call help = {.file = name, .n_file = 1};
    code = cli_help(&help);
  } else if (code == CLI_DONE) {
    code = command->run(&call);
  }
  cli_call_release(&call);
  return code;
}

int main(int n, char **words)
{
  cks_startup();
  int code;
  const cli_command *command = n > 1 ? cli_command_find(words[1]) : NULL;
  if (n < 2 || !strcmp(words[1], "--help") || !strcmp(words[1], "-h"))
    code = cli_help(&(cli_call){0});
  else if (!strcmp(words[1], "--version"))
    code = print_version();
  else
    code = command ? run_command(command, n - 2, words + 2) : no_such_command(words[1]);
  cks_error error = {0};
  if (cks_file_flush_stdout(&error) != CKS_OK && code == CLI_DONE) {
    cli_say("%s", error.text);
    code = CLI_FAILED;
  }
  return code;
}
