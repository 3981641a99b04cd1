/*
 * text.c: a report as plain text of at most 96 columns: paragraphs wrapped, headings stacked, a table that is too wide
 * broken into blocks that repeat its row labels. Places what the report says and computes nothing; charts are skipped.
 */
#include "../core/stream.h"
#include "../core/utf8.h"

#include <checkstrip/run.h>

#include <stdlib.h>
#include <string.h>

enum { PAGE = 96, GAP = 2, WIDEST_LABEL = 36, NARROWEST_LAST = 30 };

/* ---- output ----------------------------------------------------------------------------------------------------- */

typedef struct {
  cks_stream stream;
  size_t pending; /* blanks owed: none is written at the end of a line */
} text_out;

static void put_blanks(text_out *out, size_t n) { out->pending += n; }

static void put(text_out *out, const char *bytes, size_t n)
{
  if (n == 0) return;
  for (; out->pending; out->pending--) cks_stream_put(&out->stream, " ", 1);
  cks_stream_put(&out->stream, bytes, n);
}

static void put_repeated(text_out *out, const char *sign, size_t n)
{
  for (size_t i = 0; i < n; i++) put(out, sign, 1);
}

static void put_line_end(text_out *out)
{
  out->pending = 0;
  cks_stream_put(&out->stream, "\n", 1);
}

/* ---- wrapping --------------------------------------------------------------------------------------------------- */

/* Bytes of the head of text that makes one line of at most `columns`: up to a line break, else the last blank that
 * fits, else a cut. *skip is what to leave out before the next line. */
static size_t line_of(const char *text, size_t columns, size_t *skip)
{
  size_t whole = strcspn(text, "\n"), fits = cks_utf8_cut(text, columns);
  if (whole <= fits) {
    *skip = text[whole] == '\n';
    return whole;
  }
  size_t n = fits;
  while (n > 0 && text[n] != ' ') n--;
  if (n == 0) n = fits ? fits : 1;
  size_t blanks = strspn(text + n, " ");
  while (n > 1 && text[n - 1] == ' ') n--, blanks++;
  *skip = blanks;
  return n;
}

static void put_wrapped(text_out *out, const char *text, size_t columns, const char *before, const char *after)
{
  while (*text) {
    size_t skip, n = line_of(text, columns, &skip);
    put(out, before, strlen(before));
    put(out, text, n);
    if (*after) {
      put_blanks(out, columns - cks_utf8_width(text, n));
      put(out, after, strlen(after));
    }
    put_line_end(out);
    text += n + skip;
  }
}

/* A line whose tab sends the rest to the right margin; too long for one line: two. */
static void put_heading_line(text_out *out, const char *line, size_t n)
{
  const char *tab = memchr(line, '\t', n);
  size_t left = tab ? (size_t)(tab - line) : n, right = tab ? n - left - 1 : 0;
  size_t taken = cks_utf8_width(line, left) + (right ? cks_utf8_width(tab + 1, right) : 0);
  put(out, line, left);
  if (right) {
    if (taken + GAP <= PAGE)
      put_blanks(out, PAGE - taken);
    else
      put_line_end(out);
    put(out, tab + 1, right);
  }
  put_line_end(out);
}

static void put_heading(text_out *out, const char *text)
{
  while (*text) {
    size_t n = strcspn(text, "\n");
    bool split = memchr(text, '\t', n) != NULL;
    size_t skip, part = split ? n : line_of(text, PAGE, &skip);
    put_heading_line(out, text, part);
    text += part + (split ? text[part] == '\n' : skip);
  }
}

static void put_box(text_out *out, const char *text)
{
  put(out, "+", 1);
  put_repeated(out, "-", PAGE - 2);
  put(out, "+", 1);
  put_line_end(out);
  put_wrapped(out, text, PAGE - 4, "| ", " |");
  put(out, "+", 1);
  put_repeated(out, "-", PAGE - 2);
  put(out, "+", 1);
  put_line_end(out);
}

/* ---- tables ----------------------------------------------------------------------------------------------------- */

static const char *heading_text(const cks_report_column *column)
{
  return column->narrow ? column->narrow : column->label;
}

static size_t lines_in(const char *text)
{
  size_t n = 1;
  for (const char *c = text; *c; c++) n += *c == '\n';
  return n;
}

/* Line i of text (its line breaks alone) and its bytes in *n. */
static const char *line_at(const char *text, size_t i, size_t *n)
{
  for (; i; i--) text += strcspn(text, "\n") + 1;
  *n = strcspn(text, "\n");
  return text;
}

static size_t longest(size_t a, size_t b) { return a > b ? a : b; }

static size_t widest_line(const char *text)
{
  size_t width = 0;
  for (size_t i = 0, n; i < lines_in(text); i++) {
    const char *line = line_at(text, i, &n);
    width = longest(width, cks_utf8_width(line, n));
  }
  return width;
}

static const cks_cell *cell_at(const cks_report_table *table, size_t row, size_t column)
{
  return &table->cell[row * table->n_column + column];
}

/* Widens the last column of each group whose heading is wider than its columns. */
static void measure_groups(const cks_report_table *table, size_t *width)
{
  for (size_t c = 0, taken = 0; c < table->n_column; c++) {
    const char *group = table->column[c].group;
    taken += width[c];
    if (c + 1 < table->n_column && !strcmp(table->column[c + 1].group, group)) {
      taken += GAP;
      continue;
    }
    size_t wanted = cks_utf8_width(group, SIZE_MAX);
    if (wanted > taken) width[c] += wanted - taken;
    taken = 0;
  }
}

/* Natural widths; labels and other text at most WIDEST_LABEL; a last column of long text gets what is left of the line.
 */
static void measure(const cks_report_table *table, size_t *width)
{
  size_t before_last = 0, last = table->n_column - 1;
  for (size_t c = 0; c < table->n_column; c++) {
    const cks_report_column *column = &table->column[c];
    width[c] = longest(widest_line(heading_text(column)), cks_utf8_width(column->unit, SIZE_MAX));
    for (size_t r = 0; r < table->n_row + table->n_foot; r++)
      width[c] = longest(width[c], widest_line(cell_at(table, r, c)->text));
    bool wraps = column->row_label || (column->align < 0 && c < last);
    if (wraps && width[c] > WIDEST_LABEL) width[c] = WIDEST_LABEL;
    if (c < last) before_last += width[c] + GAP;
  }
  if (table->column[last].align < 0 && before_last + width[last] > PAGE) {
    size_t rest = before_last < PAGE ? PAGE - before_last : 0;
    if (rest < NARROWEST_LAST) rest = NARROWEST_LAST;
    if (width[last] > rest) width[last] = rest;
  }
  for (size_t c = 0; c < table->n_column; c++)
    if (width[c] > PAGE) width[c] = PAGE;
  measure_groups(table, width);
}

static void put_aligned(text_out *out, const char *text, size_t n, size_t width, int align)
{
  size_t taken = cks_utf8_width(text, n), spare = width > taken ? width - taken : 0;
  size_t before = align < 0 ? 0 : align > 0 ? spare : spare / 2;
  put_blanks(out, before);
  put(out, text, n);
  put_blanks(out, spare - before);
}

/* The columns of one block: labels and a run of the others. */
typedef struct {
  const cks_report_table *table;
  const size_t *width;
  size_t n;
  size_t *column;
} block;

static void put_groups(text_out *out, const block *b)
{
  bool any = false;
  for (size_t i = 0; i < b->n; i++) any |= *b->table->column[b->column[i]].group != '\0';
  for (size_t i = 0; any && i < b->n;) {
    const char *group = b->table->column[b->column[i]].group;
    size_t end = i, width = 0;
    while (end < b->n && !strcmp(b->table->column[b->column[end]].group, group))
      width += b->width[b->column[end]] + (end > i ? GAP : 0), end++;
    size_t cut = cks_utf8_cut(group, width), taken = cks_utf8_width(group, cut),
           rule = *group && width > taken + 3 ? width - taken - 2 : 0;
    if (i) put_blanks(out, GAP);
    if (*group) {
      put_repeated(out, "-", rule / 2);
      if (rule / 2) put_blanks(out, 1);
      put(out, group, cut);
      if (rule) put_blanks(out, 1);
      put_repeated(out, "-", rule - rule / 2);
      if (!rule && width > taken) put_blanks(out, width - taken);
    } else {
      put_blanks(out, width);
    }
    i = end;
  }
  if (any) put_line_end(out);
}

/* Headings stand on the rows: their last lines, units below, are level. */
static void put_headings(text_out *out, const block *b)
{
  size_t most = 0;
  for (size_t i = 0; i < b->n; i++) {
    const cks_report_column *column = &b->table->column[b->column[i]];
    most = longest(most, lines_in(heading_text(column)) + (*column->unit != '\0'));
  }
  for (size_t line = 0; line < most; line++) {
    for (size_t i = 0; i < b->n; i++) {
      const cks_report_column *column = &b->table->column[b->column[i]];
      size_t own = lines_in(heading_text(column)), lines = own + (*column->unit != '\0'), n = 0;
      const char *text = "";
      if (line + lines >= most) {
        size_t at = line + lines - most;
        text = at < own ? line_at(heading_text(column), at, &n) : column->unit;
        if (at >= own) n = strlen(text);
      }
      if (i) put_blanks(out, GAP);
      put_aligned(out, text, n, b->width[b->column[i]], column->align);
    }
    put_line_end(out);
  }
}

/* One row of cells, as many lines as its longest text takes. at: size n_column, how far each text has come. */
static void put_row(text_out *out, const block *b, size_t row, const char **at)
{
  for (size_t i = 0; i < b->n; i++) at[i] = cell_at(b->table, row, b->column[i])->text;
  for (bool more = true; more;) {
    more = false;
    for (size_t i = 0; i < b->n; i++) {
      size_t column = b->column[i], skip, n = line_of(at[i], b->width[column], &skip);
      if (i) put_blanks(out, GAP);
      put_aligned(out, at[i], n, b->width[column], b->table->column[column].align);
      at[i] += n + skip;
      more |= *at[i] != '\0';
    }
    put_line_end(out);
  }
}

/* The row heads a block, or stands first after the last of them. */
static bool begins_block(const cks_report_table *table, size_t row)
{
  bool blocks = false;
  for (size_t c = 0; c < table->n_column && row <= table->n_row; c++) {
    if (row < table->n_row) blocks = blocks || (cell_at(table, row, c)->marks & CKS_MARK_BLOCK);
    for (size_t r = 0; row == table->n_row && r < row; r++)
      blocks = blocks || (cell_at(table, r, c)->marks & CKS_MARK_BLOCK);
  }
  return blocks;
}

static void put_block(text_out *out, const block *b, const char **at)
{
  put_groups(out, b);
  put_headings(out, b);
  for (size_t r = 0; r < b->table->n_row + b->table->n_foot; r++) {
    if (r && begins_block(b->table, r)) put_line_end(out);
    put_row(out, b, r, at);
  }
}

/* What has to fit into a block for column c to stand there: a group that begins with it stays whole if it fits at all. */
static size_t least_of(const cks_report_table *table, size_t c, const size_t *width, size_t room)
{
  const char *group = table->column[c].group;
  size_t whole = width[c];
  if (!*group || (c && !strcmp(table->column[c - 1].group, group))) return width[c];
  for (size_t i = c + 1; i < table->n_column && !strcmp(table->column[i].group, group); i++) whole += GAP + width[i];
  return whole > room ? width[c] : whole;
}

/* Blocks of as many columns as fit beside the labels, at least one. */
static cks_status put_table(text_out *out, const cks_report_table *table)
{
  cks_status status = CKS_OK;
  size_t n = table->n_column, *width = calloc(n, sizeof *width), *column = calloc(n, sizeof *column), n_label = 0,
         labels = 0;
  const char **at = calloc(n, sizeof *at);
  if (!width || !column || !at) {
    status = cks_error_nomem(out->stream.error);
    goto done;
  }
  measure(table, width);
  for (size_t c = 0; c < n; c++)
    if (table->column[c].row_label) column[n_label++] = c, labels += width[c] + GAP;
  if (*table->title) {
    put_wrapped(out, table->title, PAGE, "", "");
    put_line_end(out);
  }
  for (size_t next = 0, blocks = 0; next < n; blocks++) {
    block b = {table, width, n_label, column};
    for (size_t taken = labels; next < n; next++) {
      if (table->column[next].row_label) continue;
      if (b.n > n_label && taken + least_of(table, next, width, PAGE > labels ? PAGE - labels : 0) > PAGE) break;
      taken += width[next] + GAP;
      column[b.n++] = next;
    }
    if (blocks && b.n > n_label) put_line_end(out);
    if (b.n > n_label || blocks == 0) put_block(out, &b, at);
  }
  if (*table->caption) {
    put_line_end(out);
    put_wrapped(out, table->caption, PAGE, "", "");
  }
done:
  free(at);
  free(column);
  free(width);
  return status;
}

/* ---- the report ------------------------------------------------------------------------------------------------- */

static void put_part(text_out *out, const cks_part *part)
{
  cks_status status = CKS_OK;
  switch (part->kind) {
  case CKS_PART_TABLE:
    status = put_table(out, part->table);
    break;
  case CKS_PART_HEADING:
    put_heading(out, part->text);
    break;
  case CKS_PART_BOX:
    put_box(out, part->text);
    break;
  case CKS_PART_PARAGRAPH:
  case CKS_PART_CAUTION:
    put_wrapped(out, part->text, PAGE, "", "");
    break;
  case CKS_PART_CHART:
  case CKS_PART_PAGE:
    break;
  }
  if (out->stream.status == CKS_OK) out->stream.status = status;
}

static bool is_shown(const cks_section *section, bool full)
{
  return section->audience != CKS_FOR_WORKBOOK && section->audience != CKS_FOR_CHARTS &&
         (full || section->first_screen);
}

static bool takes_room(const cks_part *part) { return part->kind != CKS_PART_CHART && part->kind != CKS_PART_PAGE; }

cks_status cks_write_text(const cks_report *report, bool full, const cks_sink *sink, cks_error *error)
{
  text_out out;
  out.pending = 0;
  cks_stream_begin(&out.stream, sink, error);
  bool begun = false;
  for (size_t s = 0; s < report->n_section && out.stream.status == CKS_OK; s++) {
    const cks_section *section = &report->section[s];
    if (!is_shown(section, full)) continue;
    if (begun && section->new_page) {
      put_line_end(&out);
      put_repeated(&out, "=", PAGE);
      put_line_end(&out);
    }
    for (size_t p = 0; p < section->n_part && out.stream.status == CKS_OK; p++) {
      if (!takes_room(&section->part[p])) continue;
      if (begun) put_line_end(&out);
      put_part(&out, &section->part[p]);
      begun = true;
    }
  }
  return cks_stream_end(&out.stream);
}
