/*
 * versus.c: head-to-head as JSON and as CSV: a row a trait, pair, and value of --by (none: all environments). Both are
 * written from one table of columns, so that they have the same ones under the same names.
 */
#include "versus.h"

#include "csv_out.h"

static const char ONE_PLACE[] =
    "years or trials of one place are not independent, and the tests take them as if they were";

/* What a row is written from. */
typedef struct {
  const cks_results *results;
  const cks_trait_result *trait;
  const cks_versus_row *row;
} subject;

typedef struct {
  const char *key;
  const char *(*text)(const subject *s); /* NULL: a number */
  double (*number)(const subject *s);
  bool whole; /* a count */
} column;

static const cks_hybrid *a_of(const subject *s) { return &s->results->hybrid[s->row->a]; }
static const cks_hybrid *b_of(const subject *s) { return &s->results->hybrid[s->row->b]; }
static bool in_part(const subject *s) { return s->row->part != CKS_NONE; }
static double count(const subject *s, uint32_t n) { return s->row->counted ? n : cks_missing(); }

static const char *a_text(const subject *s) { return a_of(s)->name; }
static const char *a_brand_text(const subject *s) { return cks_json_given(a_of(s)->brand); }
static const char *b_text(const subject *s) { return b_of(s)->name; }
static const char *b_brand_text(const subject *s) { return cks_json_given(b_of(s)->brand); }
static const char *trait_text(const subject *s) { return s->trait->key; }
static const char *unit_text(const subject *s) { return cks_json_given(cks_unit_text(s->trait->unit)); }
static const char *better_text(const subject *s)
{
  return s->trait->better == CKS_BETTER_HIGH ? "high" : s->trait->better == CKS_BETTER_LOW ? "low" : "none";
}
static const char *by_text(const subject *s) { return in_part(s) ? s->results->by.heading : NULL; }
static const char *value_text(const subject *s) { return in_part(s) ? s->results->by.name[s->row->part] : NULL; }
static const char *scale_text(const subject *s) { return s->trait->arcsine ? "arcsine" : NULL; }
static const char *why_text(const subject *s) { return cks_json_given(s->row->why); }
static const char *note_text(const subject *s) { return s->row->n_location < s->row->n ? ONE_PLACE : NULL; }

static double n_of(const subject *s) { return s->row->n; }
static double locations_of(const subject *s) { return s->row->n_location; }
static double wins_of(const subject *s) { return count(s, s->row->wins); }
static double ties_of(const subject *s) { return count(s, s->row->ties); }
static double losses_of(const subject *s) { return count(s, s->row->losses); }
static double mean_difference_of(const subject *s) { return s->row->mean_difference; }
static double sd_of(const subject *s) { return s->row->sd; }
static double se_of(const subject *s) { return s->row->se; }
static double t_of(const subject *s) { return s->row->t; }
static double df_of(const subject *s) { return s->row->df; }
static double p_of(const subject *s) { return s->row->p; }
static double low_of(const subject *s) { return s->row->low; }
static double high_of(const subject *s) { return s->row->high; }
static double alpha_of(const subject *s) { return s->results->alpha; }
static double sign_p_of(const subject *s) { return s->row->sign_p; }

static const column columns[] = {
    {"a", a_text, NULL, false},
    {"a_brand", a_brand_text, NULL, false},
    {"b", b_text, NULL, false},
    {"b_brand", b_brand_text, NULL, false},
    {"trait", trait_text, NULL, false},
    {"unit", unit_text, NULL, false},
    {"better", better_text, NULL, false},
    {"by", by_text, NULL, false},
    {"value", value_text, NULL, false},
    {"n", NULL, n_of, true},
    {"locations", NULL, locations_of, true},
    {"wins", NULL, wins_of, true},
    {"ties", NULL, ties_of, true},
    {"losses", NULL, losses_of, true},
    {"mean_difference", NULL, mean_difference_of, false},
    {"sd", NULL, sd_of, false},
    {"se", NULL, se_of, false},
    {"t", NULL, t_of, false},
    {"df", NULL, df_of, false},
    {"p", NULL, p_of, false},
    {"alpha", NULL, alpha_of, false},
    {"ci_low", NULL, low_of, false},
    {"ci_high", NULL, high_of, false},
    {"sign_p", NULL, sign_p_of, false},
    {"scale", scale_text, NULL, false},
    {"why", why_text, NULL, false},
    {"note", note_text, NULL, false},
};
enum { N_COLUMNS = sizeof columns / sizeof *columns };

/* ---- JSON ------------------------------------------------------------------------------------------------------- */

static void put_place(cks_json *json, const cks_trial *trial, const cks_versus_place *place)
{
  const cks_environment *e = &trial->environment[place->environment];
  cks_json_row(json, NULL);
  cks_json_text(json, "location", cks_json_given(trial->location[e->location]));
  cks_json_number(json, "year", e->year ? e->year : cks_missing());
  cks_json_text(json, "trial", cks_json_given(e->trial));
  cks_json_number(json, "mean_a", place->a);
  cks_json_number(json, "mean_b", place->b);
  cks_json_number(json, "difference", place->difference);
  cks_json_end(json);
}

static void put_row(cks_json *json, const cks_trial *trial, const subject *s)
{
  cks_json_row(json, NULL);
  for (size_t c = 0; c < N_COLUMNS; c++)
    if (columns[c].text)
      cks_json_text(json, columns[c].key, columns[c].text(s));
    else if (columns[c].whole && !cks_is_missing(columns[c].number(s)))
      cks_json_integer(json, columns[c].key, (int64_t)columns[c].number(s));
    else
      cks_json_number(json, columns[c].key, columns[c].number(s));
  cks_json_array(json, "environments");
  for (size_t i = 0; i < s->row->n_place; i++) put_place(json, trial, &s->row->place[i]);
  cks_json_end(json);
  cks_json_end(json);
}

void cks_json_versus(cks_json *json, const cks_trial *trial, const cks_results *results)
{
  int64_t n_test = 0;
  cks_json_array(json, "versus");
  for (size_t k = 0; k < results->n_trait; k++) {
    const cks_trait_result *t = &results->trait[k];
    n_test += t->versus.n_test;
    for (size_t i = 0; i < t->versus.n_row; i++) put_row(json, trial, &(subject){results, t, &t->versus.row[i]});
  }
  cks_json_end(json);
  cks_json_integer(json, "versus_tests", n_test);
}

/* ---- CSV -------------------------------------------------------------------------------------------------------- */

static void put_line(cks_csv_out *out, const subject *s)
{
  for (size_t c = 0; c < N_COLUMNS; c++)
    if (columns[c].text)
      cks_csv_text(out, columns[c].text(s));
    else
      cks_csv_number(out, columns[c].number(s));
  cks_csv_row_end(out);
}

cks_status cks_write_versus_csv(const cks_results *results, const cks_sink *sink, cks_error *error)
{
  cks_csv_out out;
  out.begun = false;
  cks_stream_begin(&out.stream, sink, error);
  for (size_t c = 0; c < N_COLUMNS; c++) cks_csv_text(&out, columns[c].key);
  cks_csv_row_end(&out);
  for (size_t k = 0; k < results->n_trait && out.stream.status == CKS_OK; k++) {
    const cks_trait_result *t = &results->trait[k];
    for (size_t i = 0; i < t->versus.n_row; i++) put_line(&out, &(subject){results, t, &t->versus.row[i]});
  }
  return cks_stream_end(&out.stream);
}
