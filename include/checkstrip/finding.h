/*
 * finding.h: what was noticed about the data, and the one table of the rules that notice it.
 *
 * To add a rule: a row here, and the code that calls cks_findings_add() with it.
 */
#ifndef CHECKSTRIP_FINDING_H
#define CHECKSTRIP_FINDING_H

#include <checkstrip/base.h>

typedef enum { CKS_ERROR, CKS_WARNING, CKS_NOTE } cks_severity;

/* id, name as printed, severity, one sentence: what the rule looks for and what it does. */
#define CKS_RULES(X)                                                                                                  \
  /* the file as bytes */                                                                                             \
  X(EMPTY_TABLE, "empty-table", ERROR, "A file holds no heading line, or a heading line and no rows.")                \
  X(NOT_TEXT, "not-text", ERROR, "A file holds bytes that no text file holds; it is not CSV.")                        \
  X(ENCODING, "encoding", ERROR, "A file is in an encoding that is not read (UTF-16, UTF-32).")                       \
  X(ENCODING_ASSUMED, "encoding-assumed", NOTE, "A file is not UTF-8 and was read as Windows-1252.")                  \
  X(FILE_TWICE, "file-twice", ERROR, "One file is given twice.")                                                      \
  X(UNCLOSED_QUOTE, "unclosed-quote", ERROR, "A quoted cell is opened and never closed.")                             \
  X(STRAY_QUOTE, "stray-quote", ERROR, "A quote stands inside a cell that does not begin with one.")                  \
  X(TOO_LARGE, "too-large", ERROR, "A cell, a line, or the number of columns or rows is beyond what is read.")        \
  X(EXTRA_CELLS, "extra-cells", ERROR, "A row holds more filled cells than there are headings.")                      \
  X(SHORT_ROW, "short-row", NOTE, "A row holds fewer cells than there are headings; the rest is missing.")            \
  /* where the table stands */                                                                                        \
  X(ROWS_ABOVE, "rows-above", NOTE, "Rows above the headings are no plots and were passed over.")                     \
  X(SAID_ABOVE, "said-above", NOTE, "A fact above the headings (Location: ...) was taken for the whole table.")       \
  X(LOCATION_ABOVE, "location-above", WARNING, "No location is given, the file's name says none, and a text stands above.") \
  X(HEADING_ROWS, "heading-rows", NOTE, "Headings and units on several rows were put together.")                      \
  X(NOT_A_PLOT, "not-a-plot", NOTE, "A row of means, totals or remarks is no plot and was passed over.")              \
  X(SECOND_TABLE, "second-table", ERROR, "A second table with other headings stands below the first.")                \
  X(WIDE_TAKEN, "wide-taken", NOTE, "Columns a rep, year or place were taken as one row a plot.")                     \
  X(WIDE_TABLE, "wide-table", ERROR, "Columns a rep or place do not say clearly what they hold.")                     \
  /* workbooks */                                                                                                     \
  X(WORKBOOK_DAMAGED, "workbook-damaged", ERROR, "A workbook is damaged, protected, or not as spreadsheets write it.") \
  X(SHEET_NOT_THERE, "sheet-not-there", ERROR, "--sheet names a sheet that no workbook has.")                         \
  X(SHEET_SKIPPED, "sheet-skipped", NOTE, "A sheet is hidden or has no rows and was not read.")                       \
  X(HIDDEN_ROWS, "hidden-rows", NOTE, "Rows or columns are hidden in the spreadsheet; they were read all the same.")  \
  X(MERGED_CELLS, "merged-cells", NOTE, "Cells are merged over several rows; their value stands in each of them.")    \
  X(MERGED_VALUE, "merged-value", ERROR, "A measured value stands in a cell merged over several plots.")              \
  X(UNIT_IN_FORMAT, "unit-in-format", NOTE, "A number format shows words beside a number, which are not read.")       \
  X(SPREADSHEET_ERROR, "spreadsheet-error", ERROR, "A cell holds an error of the spreadsheet, such as #DIV/0!.")      \
  X(FORMULA_NO_VALUE, "formula-without-value", ERROR, "A cell holds a formula whose result is not in the file.")      \
  /* headings and units */                                                                                            \
  X(HEADING_UNKNOWN, "heading-unknown", NOTE, "A column whose heading nobody knows is not used.")                     \
  X(HEADING_NEAR, "heading-near", WARNING, "A heading is close to one that is known; the column is not used.")        \
  X(STAGE_UNKNOWN, "stage-unknown", WARNING, "A growth stage is none that is known; the stage calendar does without it.") \
  X(NOT_ANALYZED, "not-analyzed", NOTE, "A column is known but has no part in the analysis, or not in this table.")   \
  X(HEADING_MISSING, "heading-missing", WARNING, "A column with values has no heading; it is not used.")              \
  X(HEADING_WORDS, "heading-words", WARNING, "An unknown column of words may say place or rep, which no column does.")\
  X(HEADING_NOT_THERE, "heading-not-there", ERROR, "An option names a heading, trait or place that no file has.")     \
  X(TWO_COLUMNS, "two-columns", ERROR, "Two columns of one file stand for the same thing.")                           \
  X(NO_HYBRID, "no-hybrid", ERROR, "No column says which hybrid stood in each plot.")                                 \
  X(HYBRID_FROM, "hybrid-from", NOTE, "There is no hybrid column; entry, treatment or code stands in for it.")        \
  X(NO_TRAIT, "no-trait", ERROR, "No column holds a trait that can be analyzed.")                                     \
  X(UNIT_UNKNOWN, "unit-unknown", ERROR, "A heading or --unit names a unit that is not known for the trait.")         \
  X(UNIT_FROM_HEADING, "unit-from-heading", WARNING, "The unit in a heading stands against one given for the trait.") \
  X(UNIT_ASSUMED, "unit-assumed", NOTE, "A heading without a unit takes the usual one.")                              \
  X(UNIT_ABOVE, "unit-above", WARNING, "A line above the headings names a unit or moisture that a heading does not take.") \
  X(UNIT_UNLIKELY, "unit-unlikely", ERROR, "Values cannot be in the unit that was assumed; another is suggested.")    \
  X(UNIT_DOUBTFUL, "unit-doubtful", WARNING, "Values are far from usual in the unit stated or assumed.")              \
  X(TWO_UNITS, "two-units", WARNING, "Files give one trait in different units; they were converted to the first.")    \
  X(BASIS_ASSUMED, "basis-assumed", NOTE, "The moisture basis of a yield is not stated; the crop's is assumed.")      \
  X(CROP_ASSUMED, "crop-assumed", NOTE, "No crop was given; grain sorghum is assumed.")                               \
  X(CROP_DOUBTFUL, "crop-doubtful", WARNING, "No crop was given, and something speaks of another than the assumed one.")\
  X(TWO_CROPS, "two-crops", ERROR, "The rows hold more than one crop; crops are never analyzed together.")            \
  X(CROP_UNKNOWN, "crop-unknown", ERROR, "A crop is named that is not in the table of crops.")                        \
  /* rows that are one observation each */                                                                             \
  X(OBSERVATIONS_TAKEN, "observations-taken", NOTE, "Rows that are one observation each were taken as one row a plot.") \
  X(OBSERVED_TWICE, "observed-twice", ERROR, "One plot has two values of a trait, date and observer.")                \
  X(OBSERVED_OR_PLOT, "observed-or-plot", ERROR, "A hybrid has rows of several days or observers; nothing says whether of one plot.") \
  X(OBSERVED_AGAIN, "observed-again", NOTE, "An observation stands twice with the same value; it counts once.")       \
  X(OBSERVATION_UNDATED, "observation-undated", WARNING, "Observations have no date, though others of the file have.") \
  X(TRAIT_UNKNOWN, "trait-unknown", WARNING, "A trait column holds a word that no trait has; its rows are not used.") \
  /* joining of files */                                                                                              \
  X(JOINED, "joined", NOTE, "A file without hybrids adds its columns to the plots of the list.")                      \
  X(PLACE_UNCLEAR, "place-unclear", ERROR, "A file adds columns and does not say to which location's plots.")         \
  X(PLOT_NOT_IN_LIST, "plot-not-in-list", ERROR, "A row with values belongs to no plot of the list.")                 \
  X(PLOT_NOT_HARVESTED, "plot-not-harvested", WARNING, "A plot of the list has no value in a file that adds them.")   \
  X(TWO_VALUES, "two-values", ERROR, "Two files give one plot different values of the same thing.")                   \
  /* cells */                                                                                                         \
  X(NOT_A_NUMBER, "not-a-number", ERROR, "A cell of a numeric column holds something else.")                          \
  X(FOOTNOTE_MARK, "footnote-mark", WARNING, "A number carries a mark such as * and was read without it.")            \
  X(PERCENT_SIGN, "percent-sign", NOTE, "A number in a column of percent carries the sign and was read without it.")  \
  X(NOT_A_DATE, "not-a-date", ERROR, "A cell of a date column holds no date that exists.")                            \
  X(COMMA_IN_NUMBER, "comma-in-number", ERROR, "A comma in a number could be a decimal or a thousands mark.")         \
  X(DATE_ORDER, "date-order", ERROR, "Dates could be month/day or day/month and no cell decides.")                    \
  X(YEAR_TAKEN, "year-taken", NOTE, "Dates without a year were read as of the year that --year gives.")               \
  X(DATE_ORDER_TAKEN, "date-order-taken", NOTE, "The order of month and day was taken from a cell that decides, or dots.") \
  X(MISSING_NOT_THERE, "missing-not-there", NOTE, "A text that --missing names stands in no cell.")                   \
  X(MISSING_HYBRID, "missing-hybrid", ERROR, "A row with values has no hybrid.")                                      \
  X(MISSING_PLACE, "missing-place", ERROR, "A row has no location or rep although the column is there.")              \
  X(LOCATION_FROM_FILE, "location-from-file", NOTE, "There is no location column; the file's name stands in.")        \
  X(ZERO_MEANS_LOST, "zero-means-lost", ERROR, "A weight, moisture, test weight or yield is exactly 0.")              \
  X(OUT_OF_RANGE, "out-of-range", ERROR, "A value cannot be, whatever the season.")                                   \
  X(UNUSUAL_VALUE, "unusual-value", WARNING, "A value is possible but unusual; look at the paper.")                   \
  X(OBSERVERS_AVERAGED, "observers-averaged", NOTE, "One trait was looked at by several observers; a plot takes their mean.") \
  X(EMPTY_ROW_VALUES, "no-values", NOTE, "A plot has no value in any trait.")                                         \
  /* names */                                                                                                         \
  X(ONE_HYBRID, "one-hybrid", WARNING, "Spellings that differ in case, spaces or marks are taken as one hybrid.")     \
  X(MAYBE_ONE_HYBRID, "maybe-one-hybrid", WARNING, "Two names one character apart never stand in one rep of a place.")           \
  X(MAYBE_ONE_PLACE, "maybe-one-place", WARNING, "Two locations are one character apart.")                            \
  X(ONE_PLACE, "one-place", WARNING, "Spellings of a location that differ in case, spaces or marks are taken as one.")\
  X(BRAND_MISSING, "brand-missing", ERROR, "A name that stands under several brands stands without one in a row.")       \
  X(NAME_CHANGED, "name-changed-by-spreadsheet", ERROR, "A hybrid's name looks like a date or a power of ten.")       \
  X(MAYBE_MEAN, "maybe-a-mean", WARNING, "A hybrid's name says mean or average: it may be no hybrid.")                \
  X(NAME_TWICE, "name-twice", ERROR, "The names table gives a name to two hybrids, two one print, or leads on to a third.")\
  X(NAME_FROM_TABLE, "name-from-table", NOTE, "A name of the plot lists is another hybrid's by the names table.")     \
  X(NAME_NOT_LISTED, "name-not-listed", NOTE, "Hybrids of the plot lists are not in the names table.")                \
  X(NAME_WITHOUT_PLOTS, "name-without-plots", NOTE, "Hybrids of the names table have no plots.")                      \
  X(NAMED_CHECK, "named-check", WARNING, "A hybrid named only 'check' stands at several places; --names can say who it is.") \
  X(GROUP_DIFFERS, "group-differs", ERROR, "A hybrid has two different values in the column that --by-group names.")  \
  X(CHECK_NOT_THERE, "check-not-there", ERROR, "A check is named that is not among the hybrids.")                     \
  X(CHECK_IN_PART, "check-in-part", NOTE, "A hybrid is marked as a check on some of its rows only.")                  \
  X(CHECK_ABSENT, "check-absent", WARNING, "A check is missing at a location; nothing is compared with it there.")    \
  X(NO_CHECK, "no-check", NOTE, "No hybrid is marked as a check, so nothing is compared with one.")                   \
  /* plots and design */                                                                                              \
  X(DUPLICATE_PLOT, "duplicate-plot", ERROR, "One plot number or position stands twice at a location.")               \
  X(DUPLICATE_ROW, "duplicate-row", ERROR, "Two rows, or all plots of a place twice, are the same in every column.")  \
  X(SEVERAL_CUTS, "several-cuts", ERROR, "Rows hold several cuts of a crop that is no forage; cuts are never taken as reps.") \
  X(CUT_TWICE, "cut-twice", ERROR, "A plot has one cut in two rows.")                                                 \
  X(CUT_HYBRID, "cut-hybrid", ERROR, "The cuts of one plot name different hybrids.")                                  \
  X(CUT_MISSING, "cut-missing", WARNING, "A plot lacks a cut that others there have: its season's total is missing.") \
  X(CUTS_DIFFER, "cuts-differ", WARNING, "Places have different cuts: their season's totals are sums of different cuts.") \
  X(DRY_MATTER_DIFFERS, "dry-matter-differs", ERROR, "A plot's moisture and dry matter do not add to 100 %.")         \
  X(BASIS_MISSING, "basis-missing", ERROR, "A forage yield states no moisture, and none is usual for the crop.")      \
  X(CONTENT_UNCLEAR, "content-unclear", ERROR, "A nitrate or prussic acid heading lacks the form, the unit or the basis.") \
  X(TWICE_IN_REP, "twice-in-rep", WARNING, "A hybrid that is no check stands twice in one rep.")                      \
  X(UNEQUAL_REPS, "unequal-reps", WARNING, "A hybrid has fewer plots at a location than most there.")                 \
  X(MISSING_REP, "missing-rep", WARNING, "A rep is missing or short at one location.")                                \
  X(NO_REP, "no-rep", NOTE, "Hybrids are repeated but no rep is given: taken as completely randomized.")              \
  X(SINGLE_PLOTS, "single-plots", NOTE, "One plot a hybrid: means only, nothing is compared.")                        \
  X(NOT_EVERYWHERE, "not-everywhere", NOTE, "A hybrid is missing at some locations.")                                 \
  X(SAME_ORDER, "same-order", WARNING, "The hybrids stand in one order in every rep: not randomized.")                \
  X(SAME_ORDER_EVERYWHERE, "same-order-everywhere", WARNING, "The strips stand in one order at every place: not randomized.") \
  X(COPIED_VALUES, "copied-values", WARNING, "Two reps or locations hold the same values, as if copied.")             \
  X(CONSTANT, "constant", NOTE, "A trait has one value in every plot of a location.")                                 \
  /* derived values and dates */                                                                                      \
  X(YIELD_DIFFERS, "yield-differs", WARNING, "The yield given and that from the plot weight differ by over 1 %.")     \
  X(NO_AREA, "no-area", ERROR, "Plot weights are there but no length and width to make a yield from.")                \
  X(NO_MOISTURE, "no-moisture", WARNING, "A weight without a moisture makes no yield at standard moisture.")          \
  X(NO_PLANTED, "no-planted", WARNING, "Mid-bloom dates are there but no planting date to count from.")               \
  X(DATES_BACKWARD, "dates-backward", ERROR, "A date stands before one that must come first.")                        \
  X(DATES_FAR, "dates-far-apart", ERROR, "Two dates of one plot's season stand more than a year apart.")              \
  X(DAYS_DIFFER, "days-differ", WARNING, "Days to mid-bloom and the dates disagree.")                                 \
  X(YEAR_DIFFERS, "year-differs", WARNING, "A date is not in the row's year or season.")                              \
  /* places */                                                                                                        \
  X(PLACE_UNKNOWN, "place-unknown", NOTE, "A row of the places table names a location that has no plots.")            \
  X(PLACE_NOT_LISTED, "place-not-listed", NOTE, "A location is not in the places table.")                             \
  X(PLACE_TWICE, "place-twice", ERROR, "A location stands twice in the places table.")                                \
  X(VALUES_DIFFER, "values-differ", WARNING, "The places or names table and the plots give different values.")        \
  /* daily weather */                                                                                                 \
  X(WEATHER_COLUMN, "weather-column", ERROR, "A weather or normal file has no column of dates, highs or lows.")       \
  X(DEGREES_UNCLEAR, "degrees-unclear", ERROR, "Temperatures state no unit, and their values do not decide F or C.")  \
  X(TEMPERATURE_RANGE, "temperature-range", ERROR, "A temperature cannot be in the unit of its column.")              \
  X(HIGH_BELOW_LOW, "high-below-low", ERROR, "A day's high is below its low.")                                        \
  X(DAY_TWICE, "day-twice", ERROR, "A day of one place stands twice with different highs or lows.")                   \
  X(DAY_AGAIN, "day-again", WARNING, "A day of one place stands twice with the same values; it counts once.")         \
  X(DAYS_MISSING, "days-missing", WARNING, "Days between the first and the last have no high and low.")               \
  X(DAYS_FAR, "weather-gap", ERROR, "Days of one place stand more than ten years apart with none between.")           \
  X(WEATHER_UNCLEAR, "weather-place-unclear", WARNING, "A weather file gives no location, and its name is none of the trial.")\
  X(WEATHER_FOR_ALL, "weather-for-all", NOTE, "A weather file names no location and stands for all places without their own.")\
  X(WEATHER_UNKNOWN, "weather-place-unknown", NOTE, "Weather is given for a location that has no plots.")             \
  X(NO_WEATHER, "no-weather", NOTE, "Weather is given, but none for a location of the trial.")                        \
  X(NORMAL_TAKEN, "normal-taken", NOTE, "Which normal stands for the days after the last measured one.")              \
  /* left out */                                                                                                      \
  X(LEFT_OUT, "left-out", NOTE, "A row was left out, and the reason.")                                                \
  X(LEFT_OUT_FLAW, "left-out-flaw", NOTE, "A row that was left out holds something that would be an error.")          \
  /* from the fits */                                                                                                 \
  X(OUTLIER, "outlier", WARNING, "A plot lies further from its hybrid and rep than chance would put it.")             \
  X(HIGH_CV, "high-cv", WARNING, "The yield's CV at a location is above the limit.")                                  \
  X(NO_MEAN_OVER_PLACES, "no-mean-over-places", NOTE, "Places cannot be put together for a trait: each stands by itself.") \
  X(FEW_CHECK_STRIPS, "few-check-strips", WARNING, "Strips are to be adjusted by fewer than 4 check strips at a place.")\
  X(DISCONNECTED, "disconnected", WARNING, "Lost plots leave hybrids that cannot be compared at a location.")

#define CKS_RULE_ENUM(id, name, severity, sentence) CKS_RULE_##id,
typedef enum { CKS_RULES(CKS_RULE_ENUM) CKS_RULE_COUNT } cks_rule;
#undef CKS_RULE_ENUM

typedef struct {
  const char *name;
  cks_severity severity;
  const char *sentence;
} cks_rule_fact;
CKS_API const cks_rule_fact *cks_rule_find(cks_rule rule);
CKS_API const char *cks_severity_text(cks_severity severity); /* "error", "warning", "note" */

typedef struct {
  cks_rule rule;
  cks_severity severity;
  cks_where where;
  const char *heading; /* "" when none */
  const char *cell;    /* what was found, as it stands in the file; "" when none */
  const char *text;    /* what was found, what was expected, and for an error the way on */
  uint32_t more;       /* further findings of this rule and file that were counted and not kept: on the last kept one */
} cks_finding;

typedef struct {
  size_t n, room;
  cks_finding *finding;        /* size room, n filled */
  size_t n_severity[3];        /* all that were met, by severity, kept or not */
  size_t limit;                /* kept a rule and file; SIZE_MAX with --all-findings */
  size_t n_file, room_file;
  const char **file;           /* size room_file: names as printed; cks_where.file is an index into it */
  cks_id *file_sheet;          /* size room_file: the sheet that an entry stands for, an id of `sheet`; CKS_NONE: a whole file */
  cks_names sheet;             /* cks_where.sheet is an id of it */
  uint32_t *met;               /* size n_file * CKS_RULE_COUNT: met a file and rule; none (CKS_NONE file) is row 0 */
  cks_arena *arena;
} cks_findings;

#define CKS_FINDINGS_KEPT 20
#define CKS_NOWHERE ((cks_where){CKS_NONE, CKS_NONE, 0, 0})

CKS_API cks_status cks_findings_new(cks_findings **out, cks_error *error);
CKS_API void cks_findings_free(cks_findings *findings);
CKS_API cks_status cks_findings_file(cks_findings *findings, const char *name, cks_id *file, cks_error *error);
/* The same for one sheet of a workbook: an entry of its own, whose findings name the sheet. */
CKS_API cks_status cks_findings_sheet(cks_findings *findings, const char *name, const char *sheet, cks_id *file,
                                      cks_error *error);
/* Adds one of the rule's own severity. heading and cell may be NULL. Text: lower case, no full stop at the end. */
CKS_API cks_status cks_findings_add(cks_findings *findings, cks_rule rule, cks_where where, const char *heading,
                                    const char *cell, cks_error *error, const char *format, ...) CKS_PRINTF(7, 8);
/* True while the next one of this rule and file would still be kept: lets a caller skip costly wording. */
CKS_API bool cks_findings_wants(const cks_findings *findings, cks_rule rule, cks_id file);
/* Errors first, then by file, line, column, rule and text: the order of all outputs. */
CKS_API void cks_findings_sort(cks_findings *findings);
/* "D14", or "14" without a column, as a workbook names a cell or row. Returns into. */
CKS_API const char *cks_where_cell(char into[CKS_NUMBER_TEXT], const cks_where *where);
/* `strips.csv:14: error: yield holds 'n.a', expected a number or an empty cell [not-a-number]` in the arena; in a workbook
 * the cell: `trials.xlsx:Creek!D14: ...`. */
CKS_API const char *cks_finding_line(const cks_findings *findings, const cks_finding *finding, cks_arena *arena);

#endif
