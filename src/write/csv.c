/*
 * csv.c: the results as one long table: a row a trait, place ("all" across) and hybrid; the columns are the keys of the
 * JSON's hybrids, the first check's comparison laid flat. Quoted as RFC 4180 says; text stands exactly as in the data,
 * numbers with 15 significant digits; a figure that does not exist is an empty cell.
 */
#include "csv_out.h"

#include <checkstrip/run.h>

#include <math.h>
#include <stdio.h>
#include <string.h>

static void put_count(cks_csv_out *out, uint32_t count) { cks_csv_number(out, count ? count : cks_missing()); }
static void put_bool(cks_csv_out *out, bool value) { cks_csv_text(out, value ? "true" : "false"); }

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
                                       "environments",
                                       "by_group",
                                       "mean_unadjusted",
                                       "shrunken",
                                       "reliability",
                                       "slope",
                                       "slope_se",
                                       "deviation_ms",
                                       "ecovalence",
                                       "stability_variance",
                                       "superiority"};

static void put_versus(cks_csv_out *out, const cks_results *results, const cks_hybrid_result *line)
{
  static const char *const differs[] = {
      [CKS_DIFFERS_UNKNOWN] = "", [CKS_DIFFERS_ABOVE] = "above", [CKS_DIFFERS_BELOW] = "below"};
  const cks_vs_check *vs = results->n_check && line->vs_check ? &line->vs_check[0] : NULL;
  cks_csv_number(out, vs ? vs->pct : cks_missing());
  cks_csv_text(out, vs ? results->hybrid[vs->check].name : "");
  cks_csv_number(out, vs ? vs->difference : cks_missing());
  cks_csv_number(out, vs ? vs->p : cks_missing());
  cks_csv_text(out, vs ? differs[vs->differs] : "");
}

/* Of rows over all environments. */
static void put_stability(cks_csv_out *out, const cks_trait_result *t, const cks_analysis *a, cks_id hybrid)
{
  const cks_interaction *x = a == t->across ? t->interaction : NULL;
  const cks_stability *s = NULL;
  for (size_t i = 0; x && i < x->n_hybrid && !s; i++)
    if (x->hybrid[i].hybrid == hybrid) s = &x->hybrid[i];
  cks_csv_number(out, s ? s->slope : cks_missing());
  cks_csv_number(out, s ? s->slope_se : cks_missing());
  cks_csv_number(out, s ? s->deviation_ms : cks_missing());
  cks_csv_number(out, s ? s->ecovalence : cks_missing());
  cks_csv_number(out, s ? s->stability_variance : cks_missing());
  cks_csv_number(out, s ? s->superiority : cks_missing());
}

static void put_line(cks_csv_out *out, const cks_results *results, const cks_trait_result *t, const cks_analysis *a,
                     const cks_hybrid_result *line)
{
  const cks_hybrid *hybrid = &results->hybrid[line->hybrid];
  bool across = a == t->across;
  cks_csv_text(out, t->key);
  cks_csv_text(out, across ? "all" : a->location);
  cks_csv_number(out, a->year && !across ? a->year : cks_missing());
  cks_csv_text(out, a->trial);
  cks_csv_text(out, cks_unit_text(t->unit));
  cks_csv_text(out, hybrid->name);
  cks_csv_text(out, hybrid->brand);
  put_bool(out, hybrid->check);
  cks_csv_number(out, line->n);
  cks_csv_number(out, line->mean);
  cks_csv_number(out, line->raw_mean);
  cks_csv_number(out, line->se);
  put_count(out, line->rank);
  cks_csv_text(out, line->group);
  if (line->top == CKS_TOP_NOT_ASKED)
    cks_csv_text(out, "");
  else
    put_bool(out, line->top == CKS_TOP_IN);
  cks_csv_number(out, line->pct_of_mean);
  put_versus(out, results, line);
  cks_csv_number(out, line->environments);
  const char *group = results->by_group.heading ? results->by_group.name[hybrid->by_group] : NULL;
  cks_csv_text(out, group ? group : "");
  cks_csv_number(out, line->mean_unadjusted);
  cks_csv_number(out, line->shrunken);
  cks_csv_number(out, line->reliability);
  put_stability(out, t, a, line->hybrid);
  cks_csv_row_end(out);
}

cks_status cks_write_csv(const cks_results *results, const cks_sink *sink, cks_error *error)
{
  cks_csv_out out;
  out.begun = false;
  cks_stream_begin(&out.stream, sink, error);
  for (size_t i = 0; i < sizeof headings / sizeof *headings; i++) cks_csv_text(&out, headings[i]);
  cks_csv_row_end(&out);
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
