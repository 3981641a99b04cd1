/*
 * cells.c: what single cells hold: text where a number belongs, a zero that means a lost plot, values that cannot be.
 */
#include "../core/spreadsheet.h"
#include "audit.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

/* Squares of sums of more than this could overflow a double: no measurement reaches it. */
static const double LARGEST_VALUE = 1e100;
static const cks_role zero_means_lost[] = {CKS_ROLE_YIELD, CKS_ROLE_WET_YIELD, CKS_ROLE_PLOT_WEIGHT,
                                           CKS_ROLE_GROSS, CKS_ROLE_MOISTURE,  CKS_ROLE_TEST_WEIGHT};

enum { MOST_DAYS = 250 }; /* from planting to mid-bloom; a spreadsheet's day number is far larger */

/* Not "May 6", "6-May" or "5/6": a day and month alone. */
static bool has_year(const char *text)
{
  size_t digits = 0, groups = 0, letters = 0;
  for (const char *at = text; *at; at++) {
    bool digit = *at >= '0' && *at <= '9';
    groups += digit && (at == text || at[-1] < '0' || at[-1] > '9');
    digits += digit;
    letters += (*at >= 'a' && *at <= 'z') || (*at >= 'A' && *at <= 'Z');
  }
  return !(groups == 1 && digits <= 2 && letters >= 3) && !(groups == 2 && digits <= 4 && !letters);
}

/* "7/22", "22-Jul", "2026-07-22", "Jul 22": a day where days from planting belong. */
static bool looks_like_date(const char *text)
{
  size_t digits = 0, letters = 0;
  for (const char *at = text; *at; at++) {
    digits += isdigit((unsigned char)*at) != 0;
    letters += isalpha((unsigned char)*at) != 0;
  }
  return digits >= 2 && (letters ? letters >= 3 && letters <= 9 : strpbrk(text + 1, "/-") != NULL);
}

/* "2O25", "9l.5": the number with digits for the letters that look like them; NULL: it is no such text. */
static const char *with_digits(cks_audit_work *work, const char *text)
{
  static const char letters[] = "OoIl", digits[] = "0011";
  char *copy = strspn(text, "0123456789.OoIl") == strlen(text) ? cks_arena_text(work->arena, text) : NULL;
  bool looks = copy && strpbrk(text, "0123456789") && strpbrk(text, letters);
  for (char *at = copy; looks && *at; at++) {
    const char *letter = strchr(letters, *at);
    if (letter) *at = digits[letter - letters];
  }
  return looks ? copy : NULL;
}

/* What to do about a cell that begins with a number ("14.5%", "62*", "92 bu"), or is a spreadsheet's day number. */
static const char *cure_of(cks_audit_work *work, const cks_column *column, const char *text)
{
  char *end, given[CKS_SHELL_WORD];
  double number = strtod(text, &end);
  bool mark = end != text && *end && !isalnum((unsigned char)*end) && !end[1];
  if (column->role == CKS_ROLE_MID_BLOOM && end != text && (!*end || mark) && number > 0 && number < MOST_DAYS)
    return "it looks like days from planting: write such values in a days_to_mid_bloom column (rename this one when it "
           "holds nothing else)";
  if (column->role == CKS_ROLE_DAYS_TO_MID_BLOOM && looks_like_date(text))
    return cks_arena_format(work->arena, "it looks like a date: if the column holds dates give --heading mid_bloom=%s",
                            cks_shell_word(given, column->heading));
  if (column->kind == CKS_DATE && end != text && !*end)
    return "show the column as dates in the spreadsheet and save it again";
  if (column->kind == CKS_DATE && !has_year(text) && work->settings->year > 0)
    return cks_arena_format(work->arena, "%.0f has no such day; correct it", work->settings->year);
  if (column->kind == CKS_DATE && !has_year(text))
    return "write the year too, as in 2026-05-20, or give the year of all such dates with --year";
  if (column->kind == CKS_DATE && work->settings->dates != CKS_DATES_UNKNOWN && strpbrk(text, "/-."))
    return cks_arena_format(work->arena, "correct it, or give --dates %s instead if the dates are %s",
                            work->settings->dates == CKS_DATES_MDY ? "dmy" : "mdy",
                            work->settings->dates == CKS_DATES_MDY ? "day/month" : "month/day");
  const char *number_meant = column->kind == CKS_NUMBER ? with_digits(work, text) : NULL;
  if (number_meant)
    return cks_arena_format(work->arena, "a letter stands for a digit: write %s if that is meant", number_meant);
  if (column->kind == CKS_NUMBER && end != text && *end && text[0] != '0' && fabs(number) < LARGEST_VALUE)
    return cks_arena_format(work->arena, "write %.15g alone if that is meant", number);
  if (column->kind == CKS_NUMBER &&
      (text[0] == '<' || text[0] == '>' || cks_audit_same(text, "trace") || cks_audit_same(text, "tr")))
    return cks_arena_format(work->arena,
                            "write the number that is to stand for it, or give --missing %s to leave it out",
                            cks_shell_word(given, text));
  return cks_arena_format(work->arena, "correct it, or give --missing %s if it means missing",
                          cks_shell_word(given, text));
}

/* A spreadsheet's error or formula where a value belongs. */
static cks_status no_value(cks_audit_work *work, const cks_audit_at *at, const char *text, cks_stand_in kind)
{
  char given[CKS_SHELL_WORD];
  if (kind == CKS_STAND_IN_FORMULA)
    return cks_audit_say_at(work, CKS_RULE_FORMULA_NO_VALUE, at,
                            "%s holds the formula '%s' and the file does not hold its result; open the file in the "
                            "spreadsheet and save it again, or write the value",
                            at->heading, text);
  return cks_audit_say_at(work, CKS_RULE_SPREADSHEET_ERROR, at,
                          "%s holds '%s', an error of the spreadsheet; mend the formula, or empty the cell where there "
                          "is no value (or give --missing %s)",
                          at->heading, text, cks_shell_word(given, text));
}

static cks_status odd_cell(cks_audit_work *work, const cks_odd *odd)
{
  const cks_column *column = &work->table->column[odd->column];
  const char *text = cks_arena_text(work->arena, cks_names_text(&work->table->names, odd->text)),
             *heading = column->heading;
  cks_audit_at at = {odd->row, odd->where, heading, text};
  cks_stand_in kind = cks_stand_in_of(text, strlen(text));
  if (kind != CKS_STAND_IN_NONE) return no_value(work, &at, text, kind);
  if (odd->kind == CKS_ODD_MERGED)
    return cks_audit_say_at(
        work, CKS_RULE_MERGED_VALUE, &at,
        "%s holds '%s' in a cell merged over several plots or columns, which is no value of this one; "
        "split the cells and write each plot's own value, or leave this one empty",
        heading, text);
  cks_rule rule = odd->kind == CKS_ODD_MARKED  ? CKS_RULE_FOOTNOTE_MARK
                  : column->kind == CKS_DATE   ? CKS_RULE_NOT_A_DATE
                  : column->kind == CKS_NUMBER ? CKS_RULE_NOT_A_NUMBER
                                               : CKS_RULE_MISSING_HYBRID;
  if (!cks_findings_wants(work->findings, rule, odd->where.file)) text = ""; /* counted, not worded */
  if (odd->kind == CKS_ODD_MARKED)
    return cks_audit_say_at(
        work, rule, &at,
        "%s holds '%s', read without the mark; if it means that the plot is not to be used, give the "
        "row a reason in a leave_out column",
        heading, text);
  if (column->kind == CKS_DATE)
    return cks_audit_say_at(work, rule, &at, "%s holds '%s', expected a date such as 2026-05-20 or an empty cell; %s",
                            heading, text, cure_of(work, column, text));
  if (column->kind == CKS_NUMBER)
    return cks_audit_say_at(work, rule, &at, "%s holds '%s', expected a number or an empty cell; %s", heading, text,
                            cure_of(work, column, text));
  return cks_audit_say_at(work, rule, &at,
                          "%s holds '%s', expected a hybrid's name; correct it, or leave the row out with a leave_out "
                          "column",
                          heading, text);
}

/* Percent signs in columns of percent: one note a column. */
static cks_status percent_signs(cks_audit_work *work)
{
  const cks_table *table = work->table;
  cks_status status = CKS_OK;
  size_t *n = calloc(table->n_column + 1, sizeof *n);
  if (!n) return cks_error_nomem(work->error);
  for (size_t i = 0; i < table->n_odd; i++)
    if (table->odd[i].kind == CKS_ODD_PERCENT) n[table->odd[i].column]++;
  for (size_t i = 0; i < table->n_odd && status == CKS_OK; i++) {
    const cks_odd *odd = &table->odd[i];
    const cks_column *column = &table->column[odd->column];
    if (odd->kind != CKS_ODD_PERCENT || !n[odd->column]) continue;
    const char *text = cks_arena_text(work->arena, cks_names_text(&table->names, odd->text));
    cks_audit_at at = {odd->row, odd->where, column->heading, text};
    const char *more =
        n[odd->column] > 1 ? cks_arena_format(work->arena, ", and %zu more cells", n[odd->column] - 1) : "";
    status = cks_audit_say_at(work, CKS_RULE_PERCENT_SIGN, &at, "%s holds '%s'%s, read without the sign",
                              column->heading, text, more);
    n[odd->column] = 0;
  }
  free(n);
  return status;
}

static bool asks_zero(cks_role role)
{
  for (size_t i = 0; i < sizeof zero_means_lost / sizeof *zero_means_lost; i++)
    if (zero_means_lost[i] == role) return true;
  return false;
}

/* Figures that often stand for "missing": common practice, no source. */
static const char *missing_cure(const cks_audit_work *work, double value)
{
  static const double codes[] = {-1, -9, -99, -999, -9999, 99, 999, 9999};
  const char *cure = "";
  for (size_t i = 0; i < sizeof codes / sizeof *codes; i++)
    if (value == codes[i])
      cure = cks_arena_format(work->arena, ", or give --missing %g if that stands for a missing value", value);
  return cure;
}

static cks_status bad_value(cks_audit_work *work, const cks_column *column, size_t row, double value,
                            const cks_audit_limits *l)
{
  char found[CKS_NUMBER_TEXT];
  cks_print_number(found, value, fabs(value) < 1e6 ? 2 : 0);
  const char *unit = cks_unit_text(column->unit);
  if (value == 0 && asks_zero(column->role))
    return cks_audit_say(work, CKS_RULE_ZERO_MEANS_LOST, row, column, "0",
                         "%s is 0: a lost plot? leave the cell empty, or give "
                         "the row a reason in a leave_out column",
                         column->heading);
  if (value < l->low || value > l->high)
    return cks_audit_say(work, CKS_RULE_OUT_OF_RANGE, row, column, found,
                         "%s is %s %s, which cannot be (%g to %g); correct it or leave the cell empty%s",
                         column->heading, found, unit, l->low, l->high, missing_cure(work, value));
  return cks_audit_say(work, CKS_RULE_UNUSUAL_VALUE, row, column, found, "%s is %s %s; usual is %.4g to %.4g",
                       column->heading, found, unit, l->usual_low, l->usual_high);
}

/* believed: the unit was doubted as a whole, but the user states it: then only the arithmetic sets a limit. */
static cks_status check_values(cks_audit_work *work, const cks_column *column, bool believed)
{
  cks_status status = CKS_OK;
  cks_audit_limits l = cks_audit_limits_in(work, column->role, column->unit);
  if (!isnan(column->scale_low)) l = (cks_audit_limits){column->scale_low, NAN, NAN, column->scale_high};
  if (believed) l = (cks_audit_limits){NAN, NAN, NAN, NAN};
  if (isnan(l.low)) l.low = -LARGEST_VALUE;
  if (isnan(l.high)) l.high = LARGEST_VALUE;
  if (isnan(l.usual_low)) l.usual_low = l.low;
  if (isnan(l.usual_high)) l.usual_high = l.high;
  bool zero = asks_zero(column->role);
  for (size_t row = 0; row < work->table->n_row && status == CKS_OK; row++) {
    double value = column->number[row];
    if (value < l.usual_low || value > l.usual_high || (zero && value == 0)) /* NaN: none of them */
      status = bad_value(work, column, row, value, &l);
  }
  return status;
}

/* True when the unit itself was already reported for this column: then single cells would only repeat it. */
static bool unit_reported(const cks_findings *findings, const cks_column *column)
{
  for (size_t i = 0; i < findings->n; i++) {
    const cks_finding *finding = &findings->finding[i];
    if ((finding->rule == CKS_RULE_UNIT_UNLIKELY || finding->rule == CKS_RULE_UNIT_DOUBTFUL) &&
        finding->where.file == column->where.file && finding->where.column == column->where.column)
      return true;
  }
  return false;
}

static cks_status check_table(cks_audit_work *work)
{
  cks_status status = CKS_OK;
  for (size_t i = 0; i < work->table->n_odd && status == CKS_OK; i++)
    if (work->table->odd[i].kind != CKS_ODD_PERCENT) status = odd_cell(work, &work->table->odd[i]);
  if (status == CKS_OK) status = percent_signs(work);
  for (size_t i = 0; i < work->table->n_column && status == CKS_OK; i++) {
    const cks_column *column = &work->table->column[i];
    if (column->kind != CKS_NUMBER) continue;
    bool doubted = unit_reported(work->findings, column);
    if (!doubted || column->unit_stated) status = check_values(work, column, doubted);
  }
  return status;
}

cks_status cks_audit_cells(cks_audit_work *work)
{
  cks_table *const beside[] = {work->places, work->names, work->weather, work->normal};
  cks_status status = check_table(work);
  for (size_t i = 0; i < sizeof beside / sizeof *beside && status == CKS_OK; i++) {
    cks_audit_work other = *work; /* the same rules on the other tables, where nothing is left out */
    other.table = beside[i];
    other.left_out = NULL;
    if (beside[i]) status = check_table(&other);
  }
  return status;
}
