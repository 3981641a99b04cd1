/* maturity.c: days to mid-bloom over environments as JSON. */
#include "maturity.h"

static const char *const call_words[] = {[CKS_CALL_NONE] = NULL,
                                         [CKS_CALL_CANNOT_TELL] = "cannot tell",
                                         [CKS_CALL_HOLDS] = "holds",
                                         [CKS_CALL_SHIFTS] = "shifts",
                                         [CKS_CALL_TYPICAL] = "typical"};

/* The classes that the interval of the mean reaches, the earliest first; null without days. */
static void put_classes(cks_json *json, const cks_maturity_cuts *cuts, const cks_maturity_line *line, bool days)
{
  cks_maturity_place place = {0};
  if (days) place = cks_maturity_class(cuts, line->mean_low, line->mean_high);
  if (!place.inside) {
    cks_json_null(json, "classes");
    return;
  }
  cks_json_list(json, "classes");
  for (size_t k = place.first; k <= place.last; k++) cks_json_text(json, NULL, cuts->cut[k].name);
  cks_json_end(json);
}

static void put_hybrid(cks_json *json, const cks_results *results, const cks_maturity_line *line, bool days)
{
  cks_json_row(json, NULL);
  cks_json_text(json, "hybrid", results->hybrid[line->hybrid].name);
  cks_json_integer(json, "environments", line->environments);
  cks_json_number(json, "mean", line->mean);
  cks_json_number(json, "mean_low", line->mean_low);
  cks_json_number(json, "mean_high", line->mean_high);
  cks_json_number(json, "first", line->first);
  cks_json_number(json, "last", line->last);
  put_classes(json, &results->cuts, line, days);
  cks_json_text(json, "maturity", cks_json_given(results->hybrid[line->hybrid].maturity));
  cks_json_number(json, "slope", line->slope);
  cks_json_number(json, "slope_se", line->slope_se);
  cks_json_number(json, "slope_low", line->low);
  cks_json_number(json, "slope_high", line->high);
  cks_json_number(json, "inner_low", line->inner_low);
  cks_json_number(json, "inner_high", line->inner_high);
  cks_json_integer(json, "heat_environments", line->heat_environments);
  cks_json_number(json, "heat_units", line->heat_mean);
  cks_json_number(json, "heat_cv_pct", line->heat_cv_pct);
  cks_json_number(json, "days_cv_pct", line->days_cv_pct);
  cks_json_text(json, "call", call_words[line->call]);
  if (line->call == CKS_CALL_HOLDS || line->call == CKS_CALL_SHIFTS)
    cks_json_bool(json, "at_once", line->at_once);
  else
    cks_json_null(json, "at_once");
  cks_json_text(json, "why", cks_json_given(line->no_call));
  cks_json_end(json);
}

static void put_pair(cks_json *json, const cks_results *results, const cks_slope_pair *pair)
{
  cks_json_row(json, NULL);
  cks_json_text(json, "a", results->hybrid[pair->a].name);
  cks_json_text(json, "b", results->hybrid[pair->b].name);
  cks_json_integer(json, "environments", pair->n);
  cks_json_number(json, "slope_difference", pair->difference);
  cks_json_number(json, "se", pair->se);
  cks_json_number(json, "t", pair->t);
  cks_json_number(json, "df", pair->df);
  cks_json_number(json, "p", pair->p);
  cks_json_end(json);
}

void cks_json_maturity(cks_json *json, const cks_trial *trial, const cks_results *results)
{
  const cks_trait_result *t = cks_results_trait(results, CKS_ROLE_DAYS_TO_MID_BLOOM);
  const cks_maturity *m = t ? t->maturity : NULL;
  bool days = t && t->unit == CKS_UNIT_DAYS;
  if (!m) {
    cks_json_null(json, "maturity");
    cks_json_text(json, "maturity_why",
                  t ? "days to mid-bloom at fewer than two environments" : "no days to mid-bloom");
    return;
  }
  cks_json_object(json, "maturity");
  cks_json_text(json, "origin", trial->count_origin);
  cks_json_text(json, "unit", cks_unit_text(t->unit));
  cks_json_integer(json, "environments", (int64_t)m->n_environment);
  cks_json_number(json, "earliest", m->earliest);
  cks_json_number(json, "latest", m->latest);
  cks_json_number(json, "slopes_f", t->interaction->slopes_f);
  cks_json_number(json, "slopes_p", t->interaction->slopes_p);
  cks_json_text(json, "why", cks_json_given(m->no_call));
  cks_json_text(json, "classes_by", days ? results->cuts.source : NULL);
  cks_json_text(json, "heat_by", m->heat ? m->heat->label : NULL);
  cks_json_array(json, "hybrids");
  for (size_t i = 0; i < m->n_hybrid; i++) put_hybrid(json, results, &m->hybrid[i], days);
  cks_json_end(json);
  cks_json_text(json, "pairs_of", m->with_checks ? "hybrids with checks" : "all");
  cks_json_array(json, "pairs");
  for (size_t i = 0; i < m->n_pair; i++) put_pair(json, results, &m->pair[i]);
  cks_json_end(json);
  cks_json_end(json);
}
