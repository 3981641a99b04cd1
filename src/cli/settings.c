/*
 * settings.c: a settings file: `key = value` lines, blank lines, lines that begin with #. The keys and what they take are
 * the options of options.c; here is only the layout.
 *
 * A value may stand in double quotes, a quote inside it twice; then a # behind it begins a comment. Paths begin at the
 * file's folder.
 */
#include "cli.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { LARGEST = 1 << 20 }; /* bytes of a file that may still be settings */

static int wrong(const cli_origin *at, const char *what)
{
  cli_say("%s:%zu: %s", at->file, at->line, what);
  return CLI_USAGE;
}

/* The whole file, ended by NUL; malloc. */
static int read_whole(const char *path, char **text, size_t *n)
{
  cks_source source;
  cks_error error = {0};
  *n = 0;
  *text = malloc(LARGEST + 1);
  if (!*text) return cli_say("%s", cks_status_text(CKS_NOMEM)), CLI_FAILED;
  if (cks_file_open(path, &source, &error) != CKS_OK) return cli_say("--settings: %s", error.text), CLI_FAILED;
  ptrdiff_t got = 1;
  while (got > 0 && *n < LARGEST) {
    got = source.read(source.from, *text + *n, LARGEST - *n);
    if (got > 0) *n += (size_t)got;
  }
  cks_file_close(&source);
  (*text)[*n] = '\0';
  if (got < 0) return cli_say("--settings: cannot read '%s'", path), CLI_FAILED;
  if (*n == LARGEST) return cli_say("'%s' is too large for a settings file", path), CLI_USAGE;
  return CLI_DONE;
}

static char *trimmed(char *text)
{
  text += strspn(text, " \t");
  size_t n = strlen(text);
  while (n && (text[n - 1] == ' ' || text[n - 1] == '\t')) n--;
  text[n] = '\0';
  return text;
}

/* Takes the quotes off a text that begins with one, in place; NULL when it is all right, else what is wrong. */
static const char *unquote(char *text)
{
  if (*text != '"') return NULL;
  char *to = text, *from = text + 1;
  while (*from && (*from != '"' || from[1] == '"')) {
    from += *from == '"';
    *to++ = *from++;
  }
  if (!*from) return "the quote is not closed; close it, and write a quote inside it twice";
  from++;
  from += strspn(from, " \t");
  *to = '\0';
  return !*from || *from == '#' ? NULL : "something follows the closing quote; take it out, or move the quote";
}

/* "unprotected" and "alpha 0.10": what was probably meant. */
static int no_equals(const cli_origin *at, const char *line, cks_arena *arena)
{
  size_t n = strcspn(line, " \t:");
  const char *key = cks_arena_format(arena, "%.*s", (int)n, line), *rest = line + n + strspn(line + n, " \t:");
  const char *known = cli_options_key(key);
  return wrong(at, known ? cks_arena_format(arena, "expected key = value, found '%s'; did you mean '%s = %s'?", line,
                                            known, *rest ? rest : "yes")
                         : cks_arena_format(arena, "expected key = value, found '%s'", line));
}

static int read_line(const cli_command *command, const cli_origin *at, char *line, cli_call *call)
{
  line = trimmed(line);
  if (!*line || *line == '#') return CLI_DONE;
  char *equals = strchr(line, '=');
  if (!equals || equals == line) return no_equals(at, line, call->arena);
  *equals = '\0';
  char *key = trimmed(line), *value = trimmed(equals + 1);
  char *inner = *value == '"' ? NULL : strchr(value, '='); /* location="Cold Draw", as on the command line */
  const char *flaw = unquote(value);
  if (!flaw && inner) flaw = unquote(inner + 1 + strspn(inner + 1, " \t"));
  if (flaw) return wrong(at, flaw);
  if (!*value)
    return wrong(at, cks_arena_format(call->arena, "'%s' has no value; write one, or take the line out", key));
  return cli_options_keep(command, at, key, cks_arena_text(call->arena, value), call);
}

/* Lines ended by LF, CRLF or CR. */
static int read_lines(const cli_command *command, cli_origin *at, char *text, cli_call *call)
{
  int code = CLI_DONE;
  while (*text && code == CLI_DONE) {
    char *end = text + strcspn(text, "\r\n"), *next = end + (*end != '\0');
    if (*end == '\r' && *next == '\n') next++;
    *end = '\0';
    at->line++;
    code = read_line(command, at, text, call);
    text = next;
  }
  return code;
}

int cli_settings_read(const cli_command *command, const char *path, cli_call *call)
{
  char *text = NULL;
  size_t n;
  const char *slash = strrchr(path, '/');
  cli_origin at = {.file = path,
                   .folder = slash ? cks_arena_format(call->arena, "%.*s", (int)(slash - path + 1), path) : "",
                   .met = cks_arena_take(call->arena, cli_options_count(), sizeof *at.met)};
  int code = at.met ? read_whole(path, &text, &n) : (cli_say("%s", cks_status_text(CKS_NOMEM)), CLI_FAILED);
  if (code == CLI_DONE && (strlen(text) != n || !cks_is_utf8(text, n))) {
    cli_say("'%s' is not UTF-8 text; save it as UTF-8 (plain text)", path);
    code = CLI_USAGE;
  }
  if (code == CLI_DONE) code = read_lines(command, &at, text + (strncmp(text, "\xEF\xBB\xBF", 3) ? 0 : 3), call);
  free(text);
  return code;
}
