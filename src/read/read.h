/*
 * read.h: what the parts of the reader share.
 *
 * The flow: source -> encoding.c (UTF-8 pieces) -> csv.c (cells and rows with their lines) -> headings.c (what a
 * heading says); then columns.h: match.c (what each cell position stands for) -> columns.c (values, stacked) ->
 * settle.c (what only a whole column decides) -> observe.c (rows that are one observation become one row a plot).
 */
#ifndef CKS_READ_H
#define CKS_READ_H

#include <checkstrip/run.h>

#include <locale.h>

enum {
  CKS_READ_PIECE = 1 << 16,   /* bytes asked of a source at once */
  CKS_READ_LONGEST = 1 << 20, /* bytes of the longest row, line or cell that is read */
  CKS_READ_COLUMNS = 4096,
  CKS_HEADING_LONGEST = 200, /* bytes of a heading that may still be known */
  CKS_OBSERVER_LONGEST = 4,  /* letters of an observer in a heading */
  CKS_OBSERVER_TEXT = 60     /* bytes of one in a column of observers */
};

/* Whom to tell, and about which file. */
typedef struct {
  const cks_settings *settings;
  cks_findings *findings;
  cks_error *error;
  cks_id file;
} cks_reading;

/* ---- encoding.c: bytes to UTF-8 --------------------------------------------------------------------------------- */

typedef struct {
  const cks_reading *reading;
  const cks_source *source;
  unsigned char *raw;  /* size CKS_READ_PIECE */
  char *text;          /* room for the longest form of raw in UTF-8; NULL until one is needed */
  size_t held, passed; /* bytes at the front of raw that await the rest of a character; bytes gone before raw */
  bool ended, refused, foreign, after_cr; /* foreign: a byte was no UTF-8 and the note is given */
} cks_decoder;

cks_status cks_decoder_init(cks_decoder *decoder, const cks_reading *reading, const cks_source *source);
void cks_decoder_release(cks_decoder *decoder);
/* The next piece, which begins on line `line`; *n is 0 at the end, and when the file is refused (a finding says why).
 */
cks_status cks_decoder_next(cks_decoder *decoder, uint32_t line, const char **text, size_t *n);

/* ---- csv.c: text to cells --------------------------------------------------------------------------------------- */

/* How a parser hands on what it finds, cell by cell from the first column on (empty ones too). Cells come trimmed, line
 * breaks in them as spaces. row and drop return false to stop reading the file or sheet. */
typedef struct {
  void *to;
  void (*cell)(void *to, const char *text, size_t n, uint32_t line); /* line: of its row */
  bool (*row)(void *to, uint32_t line); /* the cells since the last row or drop are a row that begins on this line */
  bool (*drop)(void *to);               /* they are not: the row is faulty and was reported */
  void (*copied)(void *to); /* the next cell holds the value of a merged one above it or to its left; NULL: not told */
  void (*from)(void *to,
               uint32_t column); /* which cell of its line, from 1, the next one is, where that differs from row
                                              to row; NULL: not told */
} cks_row_handler;
cks_status cks_csv_read(const cks_reading *reading, const cks_source *source, const cks_row_handler *handler,
                        bool *refused);

/* ---- cells.c: what one cell says -------------------------------------------------------------------------------- */

typedef enum {
  CKS_TEXT_NO_NUMBER,
  CKS_TEXT_PLAIN,   /* digits without any mark */
  CKS_TEXT_MARKED,  /* with the decimal mark */
  CKS_TEXT_GROUPED, /* thousands marks in groups of three and no decimal mark: value is that reading */
  CKS_TEXT_OTHER    /* a number only when the two marks change places; no value */
} cks_text_number;
cks_text_number cks_read_number(const char *text, size_t n, bool decimal_comma, locale_t c, double *value);

typedef struct {
  double mdy, dmy; /* day numbers; NaN: no such day in that order. Equal when the order does not matter */
  bool dotted;     /* "3.10.2026": the day stands first by its form, where nothing says otherwise */
} cks_text_date;
/* A day and month alone, of `year` (0: no date). */
cks_text_date cks_cell_day(const char *text, size_t n, int year);
cks_text_date cks_cell_date(const char *text, size_t n);
/* Bytes of text without a footnote's marks (* and the signs of its kind) behind it; n when there is none. */
size_t cks_cell_unmarked(const char *text, size_t n);
/* A footnote or a sentence, nothing that names a plot. */
bool cks_cell_is_remark(const char *text, size_t n);
/* ".", "-", "NA", "N/A" of any case; and what --missing names, which is remembered in met (size missing->n). */
bool cks_cell_is_mark(const char *text, size_t n);
bool cks_cell_is_named_missing(const cks_setting_list *missing, const char *text, size_t n, bool *met);

/* ---- words.c: the vocabulary of headings ------------------------------------------------------------------------ */

/* text without case, spaces and punctuation in into (size CKS_HEADING_LONGEST + 1); its length; 0 also when text is
 * longer. */
size_t cks_word_fold(char *into, const char *text, size_t n);
bool cks_word_same(const char *a, const char *b); /* folded; false when either folds to nothing */

typedef struct {
  cks_names word; /* folded keys, labels and synonyms of all roles but those that an option names */
  cks_role *role; /* size n_role, word.n filled: the role of each word */
  size_t n_role;
} cks_vocabulary;
/* Whose words: a table of plots, places or names; of weather, a row a day; or any, for what an option names. */
typedef enum { CKS_WORDS_PLOTS, CKS_WORDS_WEATHER, CKS_WORDS_ANY } cks_words_of;
cks_status cks_vocabulary_init(cks_vocabulary *vocabulary, cks_words_of of, cks_error *error);
void cks_vocabulary_release(cks_vocabulary *vocabulary);
bool cks_vocabulary_find(const cks_vocabulary *vocabulary, const char *text, size_t n, cks_role *role);
/* The role with a word within edit distance 1 (4 to 6 letters) or 2 (more); false when there is none. */
bool cks_vocabulary_near(const cks_vocabulary *vocabulary, const char *text, size_t n, cks_role *role);

/* ---- headings.c: what one heading says -------------------------------------------------------------------------- */

typedef enum { CKS_HEADING_EMPTY, CKS_HEADING_UNKNOWN, CKS_HEADING_KNOWN, CKS_HEADING_UNIT_BAD } cks_heading_kind;

typedef struct {
  cks_heading_kind kind;
  bool explicit_role; /* by --heading */
  bool near;          /* unknown, but close to a word of near_role */
  cks_role role, near_role;
  cks_unit unit;
  bool unit_stated;
  const char *unit_against;             /* the unit of an option that gave way to the heading's; NULL none */
  char key[CKS_HEADING_LONGEST + 1];    /* with the day of an observation: "lodging_2026_10_03" */
  char observer[CKS_OBSERVER_TEXT + 1]; /* "" none */
  double basis_pct, scale_low, scale_high;
  cks_better better;
  char why[CKS_HEADING_LONGEST + 400]; /* UNIT_BAD: the sentence */
} cks_heading;

typedef struct {
  const cks_settings *settings;
  const cks_vocabulary *vocabulary;
  bool *heading_met, *unit_met, *trait_met; /* sizes of the lists of settings: some file has it */
  bool asking; /* only whether a heading is known: nothing is met, and no near word is looked for */
  bool beside; /* of a table beside the plot lists: no column a place */
  bool weather; /* with a row a day: F and C are units */
} cks_heading_context;
/* May the role be looked at again on another day or by another person? */
bool cks_heading_is_observed(cks_role role);
void cks_heading_read(const cks_heading_context *context, const char *text, cks_heading *heading);
/* The day (NaN: none) and the person ("": none), when the row says them instead of the heading. */
void cks_heading_observe(const cks_heading_context *context, cks_heading *heading, double day, const char *observer);

#endif
