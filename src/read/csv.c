/*
 * csv.c: text to trimmed cells and rows, with the exact line of each; libcsv does the parsing.
 *
 * libcsv is fed one physical line a call (LF, CRLF or CR ends it), so that lines can be counted also inside quotes and
 * a faulty line can be left behind: parsing begins anew at the next one. Blank lines are no rows. The separator (comma,
 * semicolon, tab) is the one that stands most often in the heading line; the rows below decide a tie.
 */
#include "read.h"
#include "trim.h"

#include <csv.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { SEPARATORS = 3, ROWS_LOOKED_AT = 20, SNIPPET = 48, PARSER_STEP = 4096 };
static const char separators[SEPARATORS] = {',', ';', '\t'};

typedef struct {
  const cks_reading *reading;
  const cks_row_handler *handler;
  struct csv_parser parser;
  char separator;
  uint32_t line;      /* the one being fed */
  uint32_t row_line;  /* where the row being fed began */
  uint32_t open_line; /* where the open quoted cell began */
  size_t row_bytes;
  size_t n_cell;             /* of the row so far */
  bool row_open, quote_open; /* a row has begun; a quoted cell goes on from an earlier line */
  bool cell_in_line;         /* a cell ended in this line */
  bool skipping;             /* the rest of this line belongs to a faulty row */
  bool after_cr, stop;
  const char *next_cr; /* the first CR of the piece not yet passed, or its end */
} csv_run;

/* ---- libcsv's callbacks ----------------------------------------------------------------------------------------- */

static void on_cell(void *bytes, size_t n, void *to)
{
  csv_run *run = to;
  const unsigned char *text = bytes;
  if (run->line != run->row_line) /* it may hold line breaks */
    for (size_t i = 0; i < n; i++)
      if (text[i] == '\n' || text[i] == '\r') ((unsigned char *)bytes)[i] = ' ';
  if (n) cks_trim(&text, &n);
  run->n_cell++;
  run->cell_in_line = true;
  run->handler->cell(run->handler->to, (const char *)text, n, run->row_line);
}

static void on_row(int end, void *to)
{
  csv_run *run = to;
  (void)end;
  if (run->n_cell && !run->stop) run->stop = !run->handler->row(run->handler->to, run->row_line);
  run->n_cell = 0;
  run->row_open = false;
}

/* ---- faulty rows ------------------------------------------------------------------------------------------------ */

static cks_status start_parser(csv_run *run)
{
  if (csv_init(&run->parser, CSV_STRICT | CSV_STRICT_FINI | CSV_REPALL_NL) != 0)
    return cks_error_set(run->reading->error, CKS_INTERNAL, "the CSV parser does not start");
  csv_set_realloc_func(&run->parser, realloc);
  csv_set_free_func(&run->parser, free);
  csv_set_blk_size(&run->parser, PARSER_STEP);
  csv_set_delim(&run->parser, (unsigned char)run->separator);
  return CKS_OK;
}

/* Leaves the row behind and begins anew at the next line. */
static cks_status leave_row(csv_run *run)
{
  csv_free(&run->parser);
  cks_status status = start_parser(run);
  run->row_open = run->quote_open = false;
  run->n_cell = 0;
  run->skipping = true;
  if (!run->handler->drop(run->handler->to)) run->stop = true;
  return status;
}

static cks_where at_line(const csv_run *run, uint32_t line)
{
  return (cks_where){run->reading->file, CKS_NONE, line, 0};
}

static cks_status say_unclosed(csv_run *run, uint32_t line, const char *found)
{
  return cks_findings_add(
      run->reading->findings, CKS_RULE_UNCLOSED_QUOTE, at_line(run, line), NULL, NULL, run->reading->error,
      "a quote opens a cell here and %s; close it, or take the quote out (an inch mark within a cell "
      "is written twice and the cell put in quotes)",
      found);
}

static cks_status say_too_large(csv_run *run)
{
  char found[CKS_NUMBER_TEXT * 2];
  snprintf(found, sizeof found, "no other one stands within %d KiB", CKS_READ_LONGEST / 1024);
  if (run->quote_open) return say_unclosed(run, run->open_line, found);
  return cks_findings_add(
      run->reading->findings, CKS_RULE_TOO_LARGE, at_line(run, run->row_line), NULL, NULL, run->reading->error,
      "the row is longer than %d KiB, the most that is read; mend the line, or save the sheet as CSV again",
      CKS_READ_LONGEST / 1024);
}

/* The cell around text[at] as it stands in the line, shortened, in into. */
static const char *snippet(const csv_run *run, char into[SNIPPET], const char *text, size_t n, size_t at)
{
  size_t from = at, to = at, room = SNIPPET - 1;
  while (from > 0 && at - from < room / 2 && text[from - 1] != run->separator) from--;
  while (from < at && ((unsigned char)text[from] & 0xC0) == 0x80) from++; /* not within a character */
  while (to < n && to - from < room && text[to] != run->separator && text[to] != '\n' && text[to] != '\r') to++;
  while (to > from && to < n && ((unsigned char)text[to] & 0xC0) == 0x80) to--;
  const unsigned char *trimmed = (const unsigned char *)text + from;
  size_t length = to - from;
  cks_trim(&trimmed, &length);
  memcpy(into, trimmed, length);
  into[length] = '\0';
  return into;
}

static cks_status say_quote(csv_run *run, const char *text, size_t n, size_t at)
{
  char found[CKS_NUMBER_TEXT * 2], cell[SNIPPET];
  if (run->quote_open) {
    snprintf(found, sizeof found, "the next one, on line %lu, does not close it", (unsigned long)run->line);
    return say_unclosed(run, run->open_line, found);
  }
  snippet(run, cell, text, n, at);
  return cks_findings_add(
      run->reading->findings, CKS_RULE_STRAY_QUOTE, at_line(run, run->line), NULL, cell, run->reading->error,
      "%s '%s'; take the quote out, or put the whole cell in quotes and write "
      "each quote inside it twice",
      run->parser.quoted ? "text stands after the closing quote in" : "a quote stands inside the unquoted cell", cell);
}

/* ---- feeding ---------------------------------------------------------------------------------------------------- */

static cks_status feed(csv_run *run, const char *text, size_t n)
{
  if (run->skipping || run->stop) return CKS_OK;
  if (!run->row_open) {
    run->row_open = true;
    run->row_line = run->line;
    run->row_bytes = 0;
  }
  run->row_bytes += n;
  cks_status status = CKS_OK;
  if (run->row_bytes > CKS_READ_LONGEST) {
    status = say_too_large(run);
    return status == CKS_OK ? leave_row(run) : status;
  }
  size_t done = csv_parse(&run->parser, text, n, on_cell, on_row, run);
  if (done == n) return CKS_OK;
  if (csv_error(&run->parser) != CSV_EPARSE) return cks_error_nomem(run->reading->error);
  status = say_quote(run, text, n, done);
  return status == CKS_OK ? leave_row(run) : status;
}

static cks_status end_line(csv_run *run)
{
  if (run->row_open && !run->skipping) { /* its end was fed and did not end the row: a quoted cell is open */
    if (!run->quote_open || run->cell_in_line) run->open_line = run->line;
    run->quote_open = true;
  } else {
    run->quote_open = false;
  }
  run->cell_in_line = run->skipping = false;
  if (run->line == UINT32_MAX - 1)
    return cks_error_set(run->reading->error, CKS_LIMIT, "a file has more than %lu lines", (unsigned long)run->line);
  run->line++;
  return CKS_OK;
}

/* Bytes of the line that text begins with, its end included; *ended: the end is there. */
static size_t line_length(csv_run *run, const char *text, const char *end, bool *ended)
{
  const char *lf = memchr(text, '\n', (size_t)((run->next_cr < end ? run->next_cr + 1 : end) - text));
  if (lf) {
    *ended = true;
    return (size_t)(lf + 1 - text);
  }
  *ended = run->next_cr < end;
  if (!*ended) return (size_t)(end - text);
  const char *cr = run->next_cr, *after = cr + 1;
  if (after == end) run->after_cr = true; /* a LF may follow in the next piece */
  if (after < end && *after == '\n') after++;
  const char *next = after < end ? memchr(after, '\r', (size_t)(end - after)) : NULL;
  run->next_cr = next ? next : end;
  return (size_t)(after - text);
}

static cks_status feed_piece(csv_run *run, const char *text, size_t n)
{
  cks_status status = CKS_OK;
  const char *end = text + n, *cr = memchr(text, '\r', n);
  run->next_cr = cr ? cr : end;
  if (run->after_cr && *text == '\n') { /* the second half of a CRLF */
    status = feed(run, text, 1);
    text++;
  }
  run->after_cr = false;
  while (text < end && status == CKS_OK && !run->stop) {
    bool ended;
    size_t length = line_length(run, text, end, &ended);
    status = feed(run, text, length);
    if (status == CKS_OK && ended) status = end_line(run);
    text += length;
  }
  return status;
}

static cks_status finish(csv_run *run)
{
  if (run->skipping || run->stop) return CKS_OK;
  if (csv_fini(&run->parser, on_cell, on_row, run) == 0) return CKS_OK;
  if (csv_error(&run->parser) != CSV_EPARSE) return cks_error_nomem(run->reading->error);
  uint32_t line = run->quote_open && !run->cell_in_line ? run->open_line : run->line;
  cks_status status = say_unclosed(run, line, "the file ends before it is closed");
  return status == CKS_OK ? leave_row(run) : status;
}

/* ---- the separator ---------------------------------------------------------------------------------------------- */

/* Counts each separator outside quotes and brackets, as in "aphid (1-9, 1 best)", in the first line that holds
 * anything; returns where the next one begins. */
static const char *count_separators(const char *text, const char *end, size_t count[SEPARATORS])
{
  bool quoted = false, any = false;
  int depth = 0;
  memset(count, 0, SEPARATORS * sizeof *count);
  for (; text < end; text++) {
    if (*text == '"') quoted = !quoted;
    if (!quoted && (*text == '\n' || *text == '\r')) {
      if (any) break;
      continue;
    }
    any = true;
    depth += *text == '(' ? 1 : *text == ')' && depth ? -1 : 0;
    for (size_t i = 0; i < SEPARATORS && !quoted && !depth; i++) count[i] += *text == separators[i];
  }
  return text;
}

static char find_separator(const char *text, size_t n)
{
  const char *end = text + n;
  size_t heading[SEPARATORS], row[SEPARATORS], agrees[SEPARATORS] = {0}, best = 0;
  text = count_separators(text, end, heading);
  for (int r = 0; r < ROWS_LOOKED_AT && text < end; r++) {
    text = count_separators(text, end, row);
    for (size_t i = 0; i < SEPARATORS; i++) agrees[i] += row[i] == heading[i];
  }
  for (size_t i = 1; i < SEPARATORS; i++)
    if (heading[i] > heading[best] || (heading[i] == heading[best] && heading[i] && agrees[i] > agrees[best])) best = i;
  return separators[best];
}

cks_status cks_csv_read(const cks_reading *reading, const cks_source *source, const cks_row_handler *handler,
                        bool *refused)
{
  csv_run run = {.reading = reading, .handler = handler, .line = 1};
  cks_decoder decoder = {0};
  const char *text = NULL;
  size_t n = 0;
  bool started = false;
  cks_status status = cks_decoder_init(&decoder, reading, source);
  if (status == CKS_OK) status = cks_decoder_next(&decoder, run.line, &text, &n);
  if (status != CKS_OK) goto done;
  run.separator = n ? find_separator(text, n) : separators[0];
  status = start_parser(&run);
  started = status == CKS_OK;
  while (status == CKS_OK && n && !run.stop) {
    status = feed_piece(&run, text, n);
    if (status == CKS_OK && !run.stop) status = cks_decoder_next(&decoder, run.line, &text, &n);
  }
  if (status == CKS_OK && !decoder.refused) status = finish(&run);
done:
  *refused = decoder.refused;
  if (started) csv_free(&run.parser);
  cks_decoder_release(&decoder);
  return status;
}
