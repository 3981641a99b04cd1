/*
 * report.h: the answers as they are shown: sections of tables, charts and paragraphs that the writers place and never compute.
 */
#ifndef CHECKSTRIP_REPORT_H
#define CHECKSTRIP_REPORT_H

#include <checkstrip/finding.h>

typedef enum {
  CKS_CELL_EMPTY,
  CKS_CELL_NUMBER,
  CKS_CELL_TEXT,
  CKS_CELL_DATE,          /* value: day number */
  CKS_CELL_MISSING,       /* should have a value and has none */
  CKS_CELL_NOT_APPLICABLE /* no value is meant to be here */
} cks_cell_kind;

enum {
  CKS_MARK_TOP = 1,   /* in the top group: bold, and the word "top" in its own column */
  CKS_MARK_CHECK = 2, /* a check's row */
  CKS_MARK_FLAG = 4,  /* flagged by a finding or left out */
  CKS_MARK_ENTRY = 8, /* a field for the user to change */
  CKS_MARK_BLOCK = 16 /* in the first cell: the row heads a block of the rows below it */
};

typedef struct {
  double value;
  const char *text; /* as printed, always set */
  uint8_t kind;     /* cks_cell_kind */
  uint8_t marks;    /* CKS_MARK_... */
  int8_t digits;    /* decimals of a NUMBER */
  float shade;      /* 0 none to 1, for heat tables */
} cks_cell;

typedef struct {
  const char *key, *label; /* label: whole words on one line */
  const char *narrow;      /* the same stacked for a narrow column, lines split by '\n'; NULL: label */
  const char *unit;        /* "" when none; printed under the label */
  const char *group;       /* heading above neighbors that share it, "" when none: "THIS PLACE" */
  int8_t digits, align;    /* align: -1 left, 0 middle, 1 right */
  bool row_label;          /* repeats when a wide table is broken */
  const char *formula;     /* NULL, or "[gross] - [drying] - seed_cost": [key] = same row, bare = a parameter */
} cks_report_column;

typedef struct {
  const char *key, *label, *unit;
  double value;
  int8_t digits;
} cks_parameter; /* a defined name in the workbook */

typedef struct {
  const char *key, *title, *caption; /* caption: paragraphs under the table, "" when none */
  size_t n_column, n_row, n_foot, n_parameter;
  cks_report_column *column;
  cks_cell *cell; /* row-major, (n_row + n_foot) x n_column; feet: mean, LSD, CV */
  cks_parameter *parameter;
  bool heat;
} cks_report_table;

typedef struct {
  const char *table;         /* key of a table in the same report */
  uint32_t column, first, n; /* column index, first row, rows */
} cks_range;

typedef enum { CKS_DOTS, CKS_POINTS, CKS_LINES, CKS_SPANS, CKS_MAP } cks_chart_kind;
/* DOTS: names down the side, one dot a row, an LSD bar; POINTS: x against y; LINES: the same, joined. */

typedef struct {
  const char *label, *unit;
  double low, high, step;
  int8_t digits;
} cks_axis;

typedef struct {
  const char *label;
  cks_range x, y, names, to; /* n = 0 where not used */
  double half_bar;           /* half length of a bar around each point, in y's (DOTS: x's) unit; 0 none */
  uint8_t style;             /* an index, never a color: 0 plain, 1 the top group, 2 checks, 3 a reference line; of LINES from 4 on
                                lines that can be told apart, the plain ones being the background, without a name */
} cks_series;

typedef struct {
  const char *key, *title, *caption, *description; /* description: what a reader who cannot see it is told */
  cks_chart_kind kind;
  cks_axis x, y;
  size_t n_series;
  cks_series *series;
} cks_chart;

typedef enum {
  CKS_PART_TABLE,
  CKS_PART_CHART,
  CKS_PART_PARAGRAPH, /* '\n' in its text ends a line, the rest is wrapped by the writer; so in a caution and a box */
  CKS_PART_CAUTION,   /* a paragraph that must not be overlooked */
  CKS_PART_HEADING,   /* what a section opens with; in each line a '\t' sends the rest to the right margin */
  CKS_PART_BOX,       /* the answer, framed */
  CKS_PART_PAGE       /* a new page begins here; nothing where there are no pages */
} cks_part_kind;

typedef struct {
  cks_part_kind kind;
  const cks_report_table *table;
  const cks_chart *chart;
  const char *text;
} cks_part;

typedef enum {
  CKS_FOR_ALL,
  CKS_FOR_WORKBOOK, /* charts, plot data */
  CKS_FOR_CHARTS,   /* what charts point at: a hidden sheet of the workbook, printed by nobody */
  CKS_FOR_SCREEN    /* what to type next */
} cks_audience;

typedef struct {
  const char *key, *title; /* title: also the sheet's name before it is made to fit */
  cks_audience audience;
  bool first_screen; /* printed without --full */
  bool new_page;     /* else it goes on below the section before it */
  size_t n_part;
  cks_part *part;
} cks_section;

/* Whole days for a calendar; texts as people read them, '\n' ends a line. */
typedef struct {
  const char *uid; /* of this event in every run; letters, digits, - . @ */
  double from, to; /* day numbers, both within it */
  const char *summary, *location, *description;
} cks_event;

typedef struct {
  const char *title, *organization, *contact, *date, *disclaimer, *footer; /* footer: source files and version */
  const char *paper;                                                       /* "letter" or "a4" */
  size_t n_section;
  cks_section *section;
  const cks_findings *findings;
  size_t n_event;
  cks_event *event;       /* size n_event: of the stage calendar */
  const char *no_event;   /* "" or why there is none: a part of a sentence */
  double event_stamp;     /* day number: settings.date when it is YYYY-MM-DD, else the last date in the data */
  cks_arena *arena;
} cks_report;

CKS_API void cks_report_free(cks_report *report);
CKS_API const cks_report_table *cks_report_find(const cks_report *report, const char *table_key); /* NULL: none */

#endif
