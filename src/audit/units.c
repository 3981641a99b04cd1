/*
 * units.c: the crop, and one unit and one moisture basis a trait.
 *
 * Files may give a trait in different units (the reader keeps a column for each): they are converted to the first, with a
 * warning. A unit that was only assumed and cannot be right is an error that suggests another; a unit that the user
 * states is believed, with a warning at most.
 */
#include "audit.h"

#include <gsl/gsl_sort.h>
#include <gsl/gsl_statistics.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { MEDIAN_OF = 1001 };                      /* values that decide about a unit; more change nothing */
static const double LOW_YIELD_SHARE = 1.0 / 15; /* of a usual high yield: below it tons a hectare are as likely */
static const double OTHER_BASIS = 1;            /* points of moisture: trials of one crop differ less in their basis */

static const double ROUNDED = 0.005; /* share: two figures of three digits in different units, each rounded */

/* What speaks against the assumed crop: a file's name, a line above the headings, the basis of a yield; "" nothing. */
static const char *names_another(const cks_audit_work *work, const cks_crop **other)
{
  const cks_findings *findings = work->findings;
  for (size_t i = 0; i < findings->n_file; i++) {
    const char *slash = strrchr(findings->file[i], '/'), *name = slash ? slash + 1 : findings->file[i];
    *other = cks_crop_in(name);
    if (*other && *other != work->crop) return cks_arena_format(work->arena, "the file %s", name);
  }
  for (size_t i = 0; i < findings->n; i++) {
    const cks_finding *f = &findings->finding[i];
    *other = f->rule == CKS_RULE_ROWS_ABOVE || f->rule == CKS_RULE_SAID_ABOVE ? cks_crop_in(f->text) : NULL;
    if (*other && *other != work->crop) return "a line above the headings";
  }
  const cks_column *yield = cks_table_column(work->table, CKS_ROLE_YIELD);
  for (size_t i = 0; yield && (*other = cks_crop_at(i)) != NULL; i++)
    if (yield->basis_pct == (*other)->moisture_pct && fabs(yield->basis_pct - work->crop->moisture_pct) > OTHER_BASIS)
      return cks_arena_format(work->arena, "the yield's %g %% moisture", yield->basis_pct);
  return "";
}

/* The word for a forage in a file's name or a line above the headings, and where it stands; NULL: none. */
static const char *names_forage(const cks_audit_work *work, const char **what)
{
  const cks_findings *findings = work->findings;
  const char *word = NULL;
  for (size_t i = 0; i < findings->n && !word; i++) {
    const cks_finding *f = &findings->finding[i];
    *what = "a line above the headings";
    if (f->rule == CKS_RULE_ROWS_ABOVE) word = cks_forage_in(f->text);
  }
  for (size_t i = 0; i < findings->n_file && !word; i++) {
    const char *slash = strrchr(findings->file[i], '/'), *name = slash ? slash + 1 : findings->file[i];
    word = cks_forage_in(name);
    *what = cks_arena_format(work->arena, "the file %s", name);
  }
  return word;
}

/* Neither a bushel nor a standard moisture is a forage's. */
static cks_status say_forage(cks_audit_work *work, const char *what, const char *word, const cks_crop *plant)
{
  return cks_audit_say_all(work, CKS_RULE_CROP_DOUBTFUL,
                           "no crop is given and %s is assumed, but %s speaks of %s: bushels and %g %% moisture are a "
                           "grain's; give --crop forage-sorghum or --crop sorghum-sudangrass; of another forage write "
                           "the unit and the moisture of the yield in its heading, as 'yield (ton/ac at 65 %%)' (0 %% "
                           "for dry matter), and give --crop %s",
                           work->crop->label, what, word, work->crop->moisture_pct, plant->key);
}

static cks_status say_assumed(cks_audit_work *work)
{
  const cks_crop *other = NULL;
  const char *forage_at = "", *forage = names_forage(work, &forage_at), *what = names_another(work, &other);
  if (forage && !(other && other->forage)) return say_forage(work, forage_at, forage, other ? other : work->crop);
  if (*what)
    return cks_audit_say_all(work, CKS_RULE_CROP_DOUBTFUL,
                             "no crop is given and %s is assumed, but %s speaks of %s; give --crop %s, or --crop %s "
                             "if it is that",
                             work->crop->label, what, other->label, other->key, work->crop->key);
  return cks_audit_say_all(work, CKS_RULE_CROP_ASSUMED,
                           "no crop is given; %s is assumed (%g lb a bushel, %g %% moisture); "
                           "--crop names another",
                           work->crop->label, work->crop->bushel_lb, work->crop->moisture_pct);
}

static cks_status find_crop(cks_audit_work *work)
{
  const cks_table *table = work->table;
  const cks_column *column = cks_table_column(table, CKS_ROLE_CROP);
  cks_status status = CKS_OK;
  work->crop = cks_crop_at(0);
  if (work->settings->crop) {
    const cks_crop *named = cks_crop_find(work->settings->crop);
    if (named) work->crop = named;
    return named ? CKS_OK
                 : cks_audit_say_all(work, CKS_RULE_CROP_UNKNOWN,
                                     "--crop %s is not a crop that is known; 'checkstrip help "
                                     "crops' lists them",
                                     work->settings->crop);
  }
  cks_id last = CKS_NONE;
  const cks_crop *first = NULL;
  for (size_t row = 0; column && row < table->n_row && status == CKS_OK; row++) {
    cks_id name = column->name[row];
    if (work->left_out[row] || name == CKS_NONE || name == last) continue;
    last = name;
    const char *text = cks_names_text(&table->names, name);
    const cks_crop *crop = cks_crop_find(text);
    char given[CKS_SHELL_WORD];
    if (!crop)
      status = cks_audit_say(work, CKS_RULE_CROP_UNKNOWN, row, column, text,
                             "crop is '%s', which is not known; correct it or "
                             "give --crop ('checkstrip help crops' lists them)",
                             text);
    else if (first && crop != first)
      status = cks_audit_say(work, CKS_RULE_TWO_CROPS, row, column, text,
                             "crop is %s and earlier rows hold %s; choose one with "
                             "--only crop=%s",
                             crop->label, first->label, cks_shell_word(given, text));
    else
      first = crop;
  }
  if (first) work->crop = first;
  if (!first && !column && status == CKS_OK) status = say_assumed(work);
  return status;
}

/* The reader knows no crop: a yield without a unit has the crop's. */
static void settle_yield_units(cks_audit_work *work)
{
  for (size_t i = 0; i < work->table->n_column; i++) {
    cks_column *column = &work->table->column[i];
    bool bushels = column->role == CKS_ROLE_YIELD || column->role == CKS_ROLE_WET_YIELD;
    if (bushels && !column->unit_stated) column->unit = work->crop->yield_unit;
  }
}

/* Factor that takes values of `from` into the unit and moisture basis of `to`. */
static double factor(const cks_audit_work *work, const cks_column *from, const cks_column *to)
{
  double basis = work->crop->moisture_pct;
  double from_basis = isnan(from->basis_pct) ? basis : from->basis_pct,
         to_basis = isnan(to->basis_pct) ? basis : to->basis_pct;
  double moisture = from->role == CKS_ROLE_YIELD || from->role == CKS_ROLE_FORAGE_YIELD
                        ? cks_at_moisture(1, from_basis, to_basis)
                        : 1;
  return moisture * cks_unit_convert(1, from->unit, to->unit, work->crop);
}

static const char *unit_in_words(const cks_audit_work *work, const cks_column *column)
{
  return isnan(column->basis_pct)
             ? cks_unit_text(column->unit)
             : cks_arena_format(work->arena, "%s at %g %%", cks_unit_text(column->unit), column->basis_pct);
}

/* Files that were joined can give one plot both: the same but for rounding, or two values. */
static cks_status both_units(cks_audit_work *work, const cks_column *to, const cks_column *from, size_t row,
                             double converted)
{
  if (fabs(converted - to->number[row]) <= ROUNDED * fabs(to->number[row])) return CKS_OK;
  cks_where other = cks_table_where(work->table, to, row);
  return cks_audit_say(work, CKS_RULE_TWO_VALUES, row, from, "",
                       "%s is %.6g %s here and %.6g %s in %s; correct one of them, or empty one", from->key,
                       from->number[row], cks_unit_text(from->unit), to->number[row], cks_unit_text(to->unit),
                       cks_audit_line(work, other.file, other.line));
}

/* Moves what stands in `from` into `to` where `to` holds nothing. */
static cks_status merge(cks_audit_work *work, cks_column *to, const cks_column *from)
{
  double times = factor(work, from, to);
  cks_status status = from->line ? cks_table_place_cells(work->table, to, work->error) : CKS_OK;
  for (size_t i = 0; i < from->n_in && status == CKS_OK; i++) status = cks_column_put(to, from->in[i], work->error);
  for (size_t row = 0; row < work->table->n_row && status == CKS_OK; row++) {
    if (cks_is_missing(from->number[row])) continue;
    if (!cks_is_missing(to->number[row])) {
      status = both_units(work, to, from, row, from->number[row] * times);
      continue;
    }
    to->number[row] = from->number[row] * times;
    if (!to->line) continue;
    cks_where where = cks_table_where(work->table, from, row);
    to->line[row] = where.line;
    to->file[row] = (uint16_t)where.file;
  }
  bool alike = from->unit == to->unit && isnan(from->basis_pct) == isnan(to->basis_pct) && times == 1;
  if (status != CKS_OK || alike) return status;
  bool one_file = from->where.file == to->where.file;
  return cks_findings_add(work->findings, CKS_RULE_TWO_UNITS, from->where, from->heading, NULL, work->error,
                          "%s is in %s here and in %s %s; it was converted to %s", from->key, unit_in_words(work, from),
                          unit_in_words(work, to), one_file ? "elsewhere in this file" : "in another file",
                          unit_in_words(work, to));
}

/* The earlier column of the same trait that column j goes into; j itself when it is the first. */
static size_t goes_into(const cks_table *table, size_t j)
{
  const cks_column *from = &table->column[j];
  for (size_t i = 0; i < j && from->kind == CKS_NUMBER; i++)
    if (table->column[i].role == from->role && !strcmp(table->column[i].key, from->key) &&
        !strcmp(table->column[i].observer, from->observer))
      return i;
  return j;
}

static cks_status merge_units(cks_audit_work *work)
{
  cks_status status = CKS_OK;
  cks_table *table = work->table;
  size_t kept = 0;
  uint32_t *now = malloc((table->n_column + 1) * sizeof *now); /* where each column stands afterwards */
  if (!now) return cks_error_nomem(work->error);
  for (size_t j = 0; j < table->n_column && status == CKS_OK; j++) {
    cks_column held = table->column[j];
    table->column[kept] = held; /* the columns before `kept` are in place already */
    size_t into = goes_into(table, kept);
    if (into < kept) {
      status = merge(work, &table->column[into], &held);
      cks_column_release(&held);
    } else {
      kept++;
    }
    now[j] = (uint32_t)into;
    if (status != CKS_OK) /* keep what is left, so that it is freed with the table */
      while (++j < table->n_column) table->column[kept++] = table->column[j];
  }
  table->n_column = kept;
  for (size_t i = 0; i < table->n_odd && status == CKS_OK; i++) table->odd[i].column = now[table->odd[i].column];
  free(now);
  return status;
}

/* Median of at most MEDIAN_OF used values spread over the column; NaN when there are none. */
static double median_of(const cks_audit_work *work, const cks_column *column)
{
  double value[MEDIAN_OF];
  size_t n = 0, step = work->table->n_row / MEDIAN_OF + 1;
  for (size_t row = 0; row < work->table->n_row; row += step)
    if (!work->left_out[row] && !cks_is_missing(column->number[row])) value[n++] = column->number[row];
  gsl_sort(value, 1, n);
  return n ? gsl_stats_median_from_sorted_data(value, 1, n) : NAN;
}

/* Whole plants, not grain: from hay to green chop; forage sorghums of 85 to 180 in (Kansas, 1986). Common practice, no
 * source, but for these. */
static const struct {
  cks_role role;
  double limit[4];
} of_forage[] = {
    {CKS_ROLE_MOISTURE, {2, 5, 90, 98}},
    {CKS_ROLE_PLANT_HEIGHT, {3, 10, 190, 250}},
};

/* A yield's limits are its crop's, in its unit; the others stand in the table of roles, in the usual unit. */
cks_audit_limits cks_audit_limits_in(const cks_audit_work *work, cks_role role, cks_unit unit)
{
  const cks_role_fact *fact = cks_role_find(role);
  const cks_crop *crop = work->crop;
  bool yield = role == CKS_ROLE_YIELD || role == CKS_ROLE_WET_YIELD;
  cks_unit usual = yield ? crop->yield_unit : fact->unit;
  double limit[] = {fact->low, fact->usual_low, fact->usual_high, fact->high};
  for (size_t i = 0; crop->forage && i < sizeof of_forage / sizeof *of_forage; i++)
    if (of_forage[i].role == role) memcpy(limit, of_forage[i].limit, sizeof limit);
  if (yield) {
    limit[0] = 0;
    limit[1] = crop->forage ? 0 : crop->yield_usual_high * LOW_YIELD_SHARE;
    limit[2] = crop->yield_usual_high;
    limit[3] = crop->yield_high;
  }
  for (size_t i = 0; i < 4; i++) limit[i] = cks_unit_convert(limit[i], usual, unit, crop);
  return (cks_audit_limits){limit[0], limit[1], limit[2], limit[3]};
}

/* The other units in which the median would be usual: "lb/ac or kg/ha"; "" when there is none. *first: one of them. */
static const char *likely_units(cks_audit_work *work, const cks_column *column, double median, const char **first)
{
  static const cks_unit likely[] = {CKS_UNIT_LB_AC, CKS_UNIT_KG_HA, CKS_UNIT_CWT_AC, CKS_UNIT_T_HA, CKS_UNIT_KG_HL,
                                    CKS_UNIT_CM,    CKS_UNIT_M,     CKS_UNIT_IN,     CKS_UNIT_KG,   CKS_UNIT_BU_AC};
  const char *text = "";
  for (size_t i = 0; i < sizeof likely / sizeof *likely; i++) {
    cks_audit_limits l = cks_audit_limits_in(work, column->role, likely[i]);
    if (likely[i] == column->unit || !(median >= l.usual_low && median <= l.usual_high)) continue;
    if (!*text) *first = cks_unit_text(likely[i]);
    text = cks_arena_format(work->arena, "%s%s%s", text, *text ? " or " : "", cks_unit_text(likely[i]));
  }
  return text;
}

/* A crop that yields as much, when the crop was only assumed; NULL: none. */
static const cks_crop *likely_crop(const cks_audit_work *work, const cks_column *column, double median)
{
  bool assumed = !work->settings->crop && !cks_table_column(work->table, CKS_ROLE_CROP);
  cks_audit_work other = *work;
  for (size_t i = 0; assumed && column->role == CKS_ROLE_YIELD && (other.crop = cks_crop_at(i)) != NULL; i++) {
    cks_audit_limits l = cks_audit_limits_in(&other, column->role, column->unit);
    if (other.crop != work->crop && !other.crop->forage && median >= l.usual_low && median <= l.high) return other.crop;
  }
  return NULL;
}

/* What else the values may be, as the end of a sentence: another crop's, in other units, fractions of 1, or nothing that
 * we know. */
static const char *suggestion(cks_audit_work *work, const cks_column *column, double median)
{
  const char *first = "", *units = likely_units(work, column, median, &first);
  const cks_crop *crop = likely_crop(work, column, median);
  if (crop)
    return cks_arena_format(work->arena, "is the crop %s? give --crop %s%s%s", crop->label, crop->key,
                            *units ? "; else the unit: " : "", units);
  if (column->role == CKS_ROLE_YIELD && (column->unit == CKS_UNIT_TON_AC || column->unit == CKS_UNIT_T_HA) &&
      median > cks_audit_limits_in(work, column->role, column->unit).usual_high)
    return cks_arena_format(work->arena,
                            "silage or green matter? then it may be right, its moisture belongs in the heading, as "
                            "'yield (%s at 65 %%)', and --crop forage-sorghum or sorghum-sudangrass names it%s%s",
                            cks_unit_text(column->unit), *units ? "; else the unit: " : "", units);
  if (*units)
    return cks_arena_format(work->arena,
                            "%s? whoever knows writes the unit in the heading or gives it, as in --unit %s=%s", units,
                            column->key, first);
  if (column->unit == CKS_UNIT_PERCENT && median < 1) return "fractions of 1? multiply the column by 100";
  return cks_arena_format(work->arena, "correct the column, or give --unit %s=UNIT with the unit it is in",
                          column->key);
}

static cks_status check_unit(cks_audit_work *work, const cks_column *column)
{
  cks_audit_limits l = cks_audit_limits_in(work, column->role, column->unit);
  double median = median_of(work, column);
  if (column->unit == CKS_UNIT_BU_AC && work->crop->forage)
    return cks_findings_add(work->findings, CKS_RULE_UNIT_UNLIKELY, column->where, column->heading, NULL, work->error,
                            "%s is in bu/ac, and %s has no bushel; write the unit it is in, as '%s (ton/ac at 65 %%)', "
                            "or give another --crop",
                            column->key, work->crop->label, column->key);
  bool impossible = median > l.high || median<l.low, unusual = median> l.usual_high || median < l.usual_low;
  if (!impossible && !unusual) return CKS_OK;
  const char *is = cks_unit_text(column->unit), *words = suggestion(work, column, median);
  if (impossible && !column->unit_stated)
    return cks_findings_add(work->findings, CKS_RULE_UNIT_UNLIKELY, column->where, column->heading, NULL, work->error,
                            "%s was taken as %s, but the middle value is %g, which cannot be: %s", column->key, is,
                            median, words);
  return cks_findings_add(work->findings, CKS_RULE_UNIT_DOUBTFUL, column->where, column->heading, NULL, work->error,
                          "the middle value of %s is %g %s, far from usual: %s", column->key, median, is, words);
}

static cks_status note_assumed(cks_audit_work *work, const cks_column *column)
{
  cks_status status = CKS_OK;
  if (!column->unit_stated && cks_unit_has_rivals(column->unit))
    status = cks_findings_add(work->findings, CKS_RULE_UNIT_ASSUMED, column->where, column->heading, NULL, work->error,
                              "%s has no unit; %s is assumed (--unit %s=... names another)", column->key,
                              cks_unit_text(column->unit), column->key);
  bool forage = work->crop->forage && (column->role == CKS_ROLE_YIELD || column->role == CKS_ROLE_FORAGE_YIELD);
  if (status == CKS_OK && forage && isnan(column->basis_pct) && isnan(work->crop->moisture_pct))
    return cks_findings_add(
        work->findings, CKS_RULE_BASIS_MISSING, column->where, column->heading, NULL, work->error,
        "%s states no moisture, and none is usual for %s; write it in the heading, as '%s (%s at 65 "
        "%%)' (0 %% for dry matter), or give green tons in a wet_yield column with their moisture",
        column->key, work->crop->label, column->key, cks_unit_text(column->unit));
  if (status == CKS_OK && (column->role == CKS_ROLE_YIELD || forage) && isnan(column->basis_pct))
    status = cks_findings_add(
        work->findings, CKS_RULE_BASIS_ASSUMED, column->where, column->heading, NULL, work->error,
        "yield states no moisture basis; %g %% (%s) is assumed; write 'yield at 13 %%' in the heading if "
        "it is another",
        work->crop->moisture_pct, work->crop->label);
  return status;
}

cks_status cks_audit_column_units(cks_audit_work *work)
{
  cks_status status = CKS_OK;
  for (size_t i = 0; i < work->table->n_column && status == CKS_OK; i++) {
    const cks_column *column = &work->table->column[i];
    if (column->kind != CKS_NUMBER || column->role == CKS_ROLE_OTHER) continue;
    status = note_assumed(work, column);
    if (status == CKS_OK) status = check_unit(work, column);
  }
  return status;
}

cks_status cks_audit_units(cks_audit_work *work)
{
  cks_status status = find_crop(work);
  settle_yield_units(work);
  size_t n = work->findings->n;
  if (status == CKS_OK) status = cks_audit_column_units(work); /* as read: a wrong unit must not hide in a mixture */
  for (; n < work->findings->n; n++)
    if (work->findings->finding[n].rule == CKS_RULE_UNIT_UNLIKELY) work->unit_wrong = true;
  return status == CKS_OK && !work->unit_wrong ? merge_units(work) : status;
}
