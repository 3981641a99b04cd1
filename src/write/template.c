/*
 * template.c: an empty plot list: each location of the places table, each rep, each hybrid of the names table, in the
 * order of the names table; plots numbered 101, 102, ...; columns for what a season notes. As CSV, or as a workbook with a
 * second sheet that says what to write. Nothing is randomized: the plots follow the field's own plan.
 */
#include "csv_out.h"

#include "../agronomy/words.h"

#include <checkstrip/run.h>

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <xlsxwriter.h>

enum {
  TEXT = 160,
  FEWEST_NUMBERS = 100,
  FIRST_COLUMNS = 7,
  DATE_WIDTH = 12,
  NAME_WIDTH = 18,
  NUMBER_WIDTH = 10,
  NOTE_WIDTH = 24,
  TWO_LINES = 30
};

static const cks_role usual[] = {CKS_ROLE_PLOT_WEIGHT,  CKS_ROLE_MOISTURE, CKS_ROLE_TEST_WEIGHT, CKS_ROLE_MID_BLOOM,
                                 CKS_ROLE_PLANT_HEIGHT, CKS_ROLE_LODGING,  CKS_ROLE_NOTE};
static const char *const first_columns[FIRST_COLUMNS] = {"location", "rep",   "plot",     "brand",
                                                         "hybrid",   "check", "leave_out"};

typedef struct {
  const char *brand, *name;
  bool check;
} entry;

typedef struct {
  const cks_settings *settings;
  const cks_table *places, *names;
  size_t n_entry, n_role, n_rep;
  entry *entry;     /* size n_entry */
  cks_role *role;   /* size n_role */
  cks_csv_out *csv; /* one of the two */
  lxw_worksheet *sheet;
  lxw_row_t row;
  lxw_col_t column;
  lxw_format *bold, *date;
} job;

/* ---- what is listed --------------------------------------------------------------------------------------------- */

static const char *cell(const cks_table *table, cks_role role, size_t row)
{
  const cks_column *column = cks_table_column(table, role);
  return column ? cks_names_text(&table->names, column->name[row]) : "";
}

static bool marks_check(const cks_table *names, size_t row)
{
  const cks_column *column = cks_table_column(names, CKS_ROLE_CHECK);
  const char *mark = cell(names, CKS_ROLE_CHECK, row);
  return *mark && !cks_words_no_check(column->heading, mark);
}

/* A hybrid that several rows name stands once. */
static cks_status list_entries(job *j, cks_error *error)
{
  const cks_table *names = j->names;
  j->entry = calloc(names->n_row + 1, sizeof *j->entry);
  if (!j->entry) return cks_error_nomem(error);
  for (size_t row = 0; row < names->n_row; row++) {
    const char *name = cell(names, CKS_ROLE_HYBRID, row), *brand = cell(names, CKS_ROLE_BRAND, row);
    size_t i = 0;
    while (i < j->n_entry && (strcmp(j->entry[i].name, name) != 0 || strcmp(j->entry[i].brand, brand) != 0)) i++;
    if (!*name) continue;
    if (i == j->n_entry) j->entry[j->n_entry++] = (entry){brand, name, false};
    j->entry[i].check |= marks_check(names, row);
  }
  return CKS_OK;
}

static bool names_role(const cks_role_fact *fact, const char *text)
{
  return cks_words_has(fact->key, text) || cks_words_has(fact->label, text) || cks_words_has(fact->synonyms, text);
}

static cks_status list_roles(job *j, cks_error *error)
{
  const cks_setting_list *list = &j->settings->trait;
  j->n_role = list->n ? list->n : sizeof usual / sizeof *usual;
  j->role = calloc(j->n_role, sizeof *j->role);
  if (!j->role) return cks_error_nomem(error);
  if (!list->n) memcpy(j->role, usual, sizeof usual);
  for (size_t i = 0; i < list->n; i++) {
    int role = 0;
    while (role < CKS_ROLE_OTHER && !names_role(cks_role_find((cks_role)role), list->pair[i].key)) role++;
    if (role == CKS_ROLE_OTHER)
      return cks_error_set(error, CKS_USAGE,
                           "--trait '%s' is no heading that is known; 'checkstrip help headings' lists them",
                           list->pair[i].key);
    j->role[i] = (cks_role)role;
  }
  return CKS_OK;
}

/* ---- cells to either format ------------------------------------------------------------------------------------- */

static void put(job *j, const char *text, bool heading)
{
  if (j->csv)
    cks_csv_text(j->csv, text);
  else if (*text)
    worksheet_write_string(j->sheet, j->row, j->column, text, heading ? j->bold : NULL);
  j->column++;
}

static void put_count(job *j, size_t count)
{
  char text[TEXT];
  snprintf(text, sizeof text, "%zu", count);
  if (j->csv)
    cks_csv_text(j->csv, text);
  else
    worksheet_write_number(j->sheet, j->row, j->column, (double)count, NULL);
  j->column++;
}

static void end_row(job *j)
{
  if (j->csv) cks_csv_row_end(j->csv);
  j->row++;
  j->column = 0;
}

static const char *heading_of(cks_role role, char text[TEXT])
{
  const cks_role_fact *fact = cks_role_find(role);
  const char *unit = fact->kind == CKS_NUMBER && fact->unit != CKS_UNIT_SCORE ? cks_unit_text(fact->unit) : "";
  snprintf(text, TEXT, *unit ? "%s (%s)" : "%s", fact->label, unit);
  return text;
}

static void put_plots(job *j)
{
  char text[TEXT];
  size_t step = j->n_entry < FEWEST_NUMBERS ? FEWEST_NUMBERS : 10 * FEWEST_NUMBERS;
  for (size_t i = 0; i < FIRST_COLUMNS; i++) put(j, first_columns[i], true);
  for (size_t i = 0; i < j->n_role; i++) put(j, heading_of(j->role[i], text), true);
  end_row(j);
  for (size_t place = 0; place < j->places->n_row; place++)
    for (size_t rep = 1; rep <= j->n_rep; rep++)
      for (size_t i = 0; i < j->n_entry; i++) {
        put(j, cell(j->places, CKS_ROLE_LOCATION, place), false);
        put_count(j, rep);
        put_count(j, rep * step + i + 1);
        put(j, j->entry[i].brand, false);
        put(j, j->entry[i].name, false);
        put(j, j->entry[i].check ? "yes" : "", false);
        for (size_t c = 6; c < FIRST_COLUMNS + j->n_role; c++) put(j, "", false);
        end_row(j);
      }
}

/* ---- the sheet that explains ------------------------------------------------------------------------------------ */

static const struct {
  const char *column, *text;
} explained[] = {
    {"location, rep, plot",
     "Filled in. The plots stand in the order of the names, NOT randomized: change plot numbers or hybrids "
     "to your field's own plan."},
    {"brand, hybrid, check", "Filled in from the names table. A check is marked with yes."},
    {"leave_out", "Write a reason (hail, wrong seed) where a plot must not be used; its values stay and are not used."},
    {"a lost plot or value", "Leave the cell empty. Never write 0 for a lost plot."},
    {"more columns", "Any known heading may be added; 'checkstrip help headings' lists them."},
};

static const char *how_to_write(cks_role role, char text[TEXT])
{
  const cks_role_fact *fact = cks_role_find(role);
  if (fact->kind == CKS_DATE) return "A date, such as 2026-07-14.";
  if (fact->kind == CKS_NAME) return "Words.";
  if (fact->measure == CKS_MEASURE_RATING && fact->unit == CKS_UNIT_SCORE)
    return "A rating; write the scale and the good end into the heading, such as (1-9, 1 best).";
  snprintf(text, TEXT, "A number%s%s.", *cks_unit_text(fact->unit) ? " in " : "", cks_unit_text(fact->unit));
  return text;
}

static void explain(job *j)
{
  char text[TEXT];
  put(j, "column", true);
  put(j, "what to write", true);
  end_row(j);
  for (size_t i = 0; i < sizeof explained / sizeof *explained; i++) {
    put(j, explained[i].column, false);
    put(j, explained[i].text, false);
    worksheet_set_row(j->sheet, j->row, TWO_LINES, NULL);
    end_row(j);
  }
  for (size_t i = 0; i < j->n_role; i++) {
    put(j, heading_of(j->role[i], text), false);
    put(j, how_to_write(j->role[i], text), false);
    end_row(j);
  }
}

static void lay_out_plots(job *j)
{
  static const double widths[FIRST_COLUMNS] = {NAME_WIDTH, 5, 7, DATE_WIDTH, NAME_WIDTH, 7, DATE_WIDTH};
  for (lxw_col_t c = 0; c < FIRST_COLUMNS; c++) worksheet_set_column(j->sheet, c, c, widths[c], NULL);
  for (size_t i = 0; i < j->n_role; i++) {
    lxw_col_t c = (lxw_col_t)(FIRST_COLUMNS + i);
    cks_kind kind = cks_role_find(j->role[i])->kind;
    double width = kind == CKS_DATE ? DATE_WIDTH : kind == CKS_NAME ? NOTE_WIDTH : NUMBER_WIDTH;
    worksheet_set_column(j->sheet, c, c, width, kind == CKS_DATE ? j->date : NULL);
  }
  worksheet_freeze_panes(j->sheet, 1, 5);
  worksheet_repeat_rows(j->sheet, 0, 0);
  worksheet_set_landscape(j->sheet);
  worksheet_gridlines(j->sheet, LXW_SHOW_ALL_GRIDLINES); /* it may be filled in by hand */
  worksheet_fit_to_pages(j->sheet, 1, 0);
}

static cks_status write_book(job *j, const char *path, cks_error *error)
{
  lxw_workbook *book = workbook_new(path);
  if (!book) return cks_error_nomem(error);
  lxw_doc_properties properties = {.created = 1577836800}; /* any fixed day makes two runs alike */
  workbook_set_properties(book, &properties);
  j->bold = workbook_add_format(book);
  format_set_bold(j->bold);
  format_set_text_wrap(j->bold);
  lxw_format *wrapped = workbook_add_format(book);
  format_set_text_wrap(wrapped);
  j->date = workbook_add_format(book);
  format_set_num_format(j->date, "yyyy-mm-dd");
  j->sheet = workbook_add_worksheet(book, "Plots");
  lay_out_plots(j);
  put_plots(j);
  j->sheet = workbook_add_worksheet(book, "What to write");
  worksheet_set_column(j->sheet, 0, 0, 24, NULL);
  worksheet_set_column(j->sheet, 1, 1, 70, wrapped);
  worksheet_fit_to_pages(j->sheet, 1, 0);
  j->row = 0;
  explain(j);
  lxw_error result = workbook_close(book);
  return result ? cks_error_set(error, CKS_IO, "cannot write the workbook: %s", lxw_strerror(result)) : CKS_OK;
}

cks_status cks_write_template(const cks_settings *settings, const cks_tables *tables, const cks_target *target,
                              cks_error *error)
{
  job j = {.settings = settings, .places = tables->places, .names = tables->names, .n_rep = (size_t)settings->reps};
  cks_csv_out *csv = NULL;
  cks_status status = list_entries(&j, error);
  if (status == CKS_OK) status = list_roles(&j, error);
  if (status == CKS_OK && !cks_table_column(j.places, CKS_ROLE_LOCATION))
    status = cks_error_set(error, CKS_USAGE, "the places table has no 'location' column");
  if (status == CKS_OK && (!j.n_entry || !j.places->n_row))
    status = cks_error_set(error, CKS_USAGE, "a template needs a location in --places and a hybrid in --names");
  if (status != CKS_OK) goto done;
  if (target->format == CKS_FORMAT_WORKBOOK) {
    status = write_book(&j, target->scratch_path, error);
    goto done;
  }
  csv = calloc(1, sizeof *csv); /* its stream holds a large buffer */
  if (!csv) {
    status = cks_error_nomem(error);
    goto done;
  }
  j.csv = csv;
  cks_stream_begin(&csv->stream, &target->sink, error);
  put_plots(&j);
  status = cks_stream_end(&csv->stream);
done:
  free(csv);
  free(j.role);
  free(j.entry);
  return status;
}
