/*
 * csv.c: the results as one long table: a row a trait, place ("all" across) and hybrid; the columns are the keys of the
 * JSON's hybrids, the first check's comparison laid flat. Quoted as RFC 4180 says; text stands exactly as in the data,
 * numbers with 15 significant digits; a figure that does not exist is an empty cell.
 */
#include "../core/stream.h"

#include <checkstrip/run.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

typedef struct {
  cks_stream stream;
  bool begun; /* the row holds a cell already */
} csv_out;

static void put(csv_out *out, const char *bytes, size_t n) { cks_stream_put(&out->stream, bytes, n); }

static void put_text(csv_out *out, const char *text)
{
  if (out->begun) put(out, ",", 1);
  out->begun = true;
  if (!text) return;
  size_t n = strlen(text);
  bool blank_ends = n && (text[0] == ' ' || text[n - 1] == ' ');
  if (!blank_ends && !strpbrk(text, ",\"\r\n")) {
    put(out, text, n);
    return;
  }
  put(out, "\"", 1);
  for (const char *c = text; *c; c++) {
    put(out, c, 1);
    if (*c == '"') put(out, c, 1);
  }
  put(out, "\"", 1);
}

static void put_number(csv_out *out, double value)
{
  char text[CKS_NUMBER_TEXT] = "";
  if (isfinite(value)) snprintf(text, sizeof text, "%.15g", value);
  put_text(out, text);
}

static void put_count(csv_out *out, uint32_t count) { put_number(out, count ? count : cks_missing()); }
static void put_bool(csv_out *out, bool value) { put_text(out, value ? "true" : "false"); }

static void put_row_end(csv_out *out)
{
  put(out, "\n", 1);
  out->begun = false;
}

/* A row's cells, in this order. */
static const char *const headings[] = {"trait",
                                       "location",
                                       "year",
                                       "trial",
                                       "unit",
                                       "hybrid",
                                       "brand",
                                       "check",
                                       "n",
                                       "mean",
                                       "raw_mean",
                                       "se",
                                       "rank",
                                       "group",
                                       "top",
                                       "pct_of_mean",
                                       "pct_of_check",
                                       "check_name",
                                       "check_difference",
                                       "check_p",
                                       "check_differs",
                                       "environments"};

static void put_versus(csv_out *out, const cks_results *results, const cks_hybrid_result *line)
{
  static const char *const differs[] = {
      [CKS_DIFFERS_UNKNOWN] = "", [CKS_DIFFERS_ABOVE] = "above", [CKS_DIFFERS_BELOW] = "below"};
  const cks_vs_check *vs = results->n_check && line->vs_check ? &line->vs_check[0] : NULL;
  put_number(out, vs ? vs->pct : cks_missing());
  put_text(out, vs ? results->hybrid[vs->check].name : "");
  put_number(out, vs ? vs->difference : cks_missing());
  put_number(out, vs ? vs->p : cks_missing());
  put_text(out, vs ? differs[vs->differs] : "");
}

static void put_line(csv_out *out, const cks_results *results, const cks_trait_result *t, const cks_analysis *a,
                     const cks_hybrid_result *line)
{
  const cks_hybrid *hybrid = &results->hybrid[line->hybrid];
  bool across = a == t->across;
  put_text(out, t->key);
  put_text(out, across ? "all" : a->location);
  put_number(out, a->year && !across ? a->year : cks_missing());
  put_text(out, a->trial);
  put_text(out, cks_unit_text(t->unit));
  put_text(out, hybrid->name);
  put_text(out, hybrid->brand);
  put_bool(out, hybrid->check);
  put_number(out, line->n);
  put_number(out, line->mean);
  put_number(out, line->raw_mean);
  put_number(out, line->se);
  put_count(out, line->rank);
  put_text(out, line->group);
  if (line->top == CKS_TOP_NOT_ASKED)
    put_text(out, "");
  else
    put_bool(out, line->top == CKS_TOP_IN);
  put_number(out, line->pct_of_mean);
  put_versus(out, results, line);
  put_number(out, line->environments);
  put_row_end(out);
}

cks_status cks_write_csv(const cks_results *results, const cks_sink *sink, cks_error *error)
{
  csv_out out;
  out.begun = false;
  cks_stream_begin(&out.stream, sink, error);
  for (size_t i = 0; i < sizeof headings / sizeof *headings; i++) put_text(&out, headings[i]);
  put_row_end(&out);
  for (size_t k = 0; k < results->n_trait && out.stream.status == CKS_OK; k++) {
    const cks_trait_result *t = &results->trait[k];
    for (size_t i = 0; t->across && i < t->across->n_hybrid; i++)
      put_line(&out, results, t, t->across, &t->across->hybrid[i]);
    for (size_t l = 0; l < t->n_location; l++)
      for (size_t i = 0; i < t->location[l].n_hybrid; i++)
        put_line(&out, results, t, &t->location[l], &t->location[l].hybrid[i]);
  }
  return cks_stream_end(&out.stream);
}
