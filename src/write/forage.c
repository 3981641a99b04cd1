/*
 * forage.c: the keys "forage" (cuts, nitrate and prussic acid, published windows) and "cautions" of a forage's JSON.
 *
 * A published figure stands with its source; a cut's facts stand beside the windows and are not judged by them.
 */
#include "forage.h"

#include <math.h>
#include <string.h>

static void put_date(cks_json *json, const char *key, double day)
{
  char text[CKS_NUMBER_TEXT];
  cks_json_text(json, key, cks_is_missing(day) ? NULL : cks_print_date(text, day));
}

static void put_place(cks_json *json, const cks_trial *trial, cks_id environment, uint32_t cut)
{
  const cks_environment *e = &trial->environment[environment];
  cks_json_text(json, "location", trial->location[e->location]);
  if (e->year)
    cks_json_integer(json, "year", e->year);
  else
    cks_json_null(json, "year");
  cks_json_text(json, "trial", cks_json_given(e->trial));
  cks_json_text(json, "cut", cks_json_given(trial->cut[cut].name));
}

static void put_cuts(cks_json *json, const cks_trial *trial, const cks_forage *forage)
{
  cks_json_array(json, "cuts");
  for (size_t i = 0; i < forage->n_cut; i++) {
    const cks_cut_facts *f = &forage->cut[i];
    cks_json_row(json, NULL);
    put_place(json, trial, f->environment, f->cut);
    cks_json_integer(json, "plots", f->plots);
    put_date(json, "first_day", f->first_day);
    put_date(json, "last_day", f->last_day);
    cks_json_number(json, "days_after_planting", f->after_planting);
    cks_json_number(json, "days_after_cut", f->after_cut);
    cks_json_text(json, "stage", cks_json_given(f->stage));
    cks_json_number(json, "height_in", f->height_in);
    cks_json_number(json, "moisture_pct", f->moisture_pct);
    cks_json_end(json);
  }
  cks_json_end(json);
}

/* The rows of the published tables in which the highest stands; null where its dry matter is not known. */
static void put_rows(cks_json *json, double ppm_n_dry)
{
  cks_json_list(json, "published");
  for (size_t i = 0; cks_nitrate_table_at(i); i++) {
    const cks_nitrate_table *table = cks_nitrate_table_at(i);
    const cks_nitrate_row *row = cks_nitrate_row_of(table, ppm_n_dry);
    if (!row) continue;
    cks_json_row(json, NULL);
    cks_json_text(json, "table", table->label);
    cks_json_number(json, "from", row->from);
    cks_json_number(json, "to", isinf(row->to) ? cks_missing() : row->to);
    cks_json_text(json, "words", row->words);
    cks_json_end(json);
  }
  cks_json_end(json);
}

static void put_contents(cks_json *json, const cks_trial *trial, const cks_results *results)
{
  const cks_forage *forage = &results->forage;
  cks_json_array(json, "contents");
  for (size_t i = 0; i < forage->n_content; i++) {
    const cks_content_facts *f = &forage->content[i];
    const cks_content *content = &trial->content[f->content];
    cks_json_object(json, NULL);
    put_place(json, trial, f->environment, content->cut);
    cks_json_text(json, "hybrid", results->hybrid[f->hybrid].full);
    cks_json_text(json, "content", content->prussic_acid ? "prussic acid" : "nitrate");
    cks_json_text(json, "form", content->prussic_acid ? "HCN" : cks_nitrate_text(content->form));
    cks_json_text(json, "unit", cks_unit_text(content->unit));
    cks_json_text(json, "basis", content->dry ? "dry" : "as is");
    cks_json_integer(json, "plots", f->n);
    cks_json_number(json, "highest", f->highest);
    cks_json_number(json, "mean", f->mean);
    cks_json_number(json, content->prussic_acid ? "highest_hcn_dry_ppm" : "highest_no3_n_dry_ppm", f->highest_dry);
    cks_json_number(json, content->prussic_acid ? "mean_hcn_dry_ppm" : "mean_no3_n_dry_ppm", f->mean_dry);
    if (!content->prussic_acid) put_rows(json, f->highest_dry);
    cks_json_end(json);
  }
  cks_json_end(json);
}

static void put_fact(cks_json *json, const cks_trade_fact *fact, const char *about)
{
  cks_json_row(json, NULL);
  if (about) cks_json_text(json, "about", about);
  cks_json_text(json, "crop", fact->crop);
  cks_json_text(json, "what", fact->what);
  cks_json_number(json, "low", fact->figure.low);
  cks_json_number(json, "usual", fact->figure.usual);
  cks_json_number(json, "high", fact->figure.high);
  cks_json_text(json, "unit", cks_json_given(fact->unit));
  cks_json_text(json, "words", cks_json_given(fact->words));
  cks_json_text(json, "source", fact->source);
  cks_json_end(json);
}

static void put_windows(cks_json *json, const cks_trial *trial)
{
  cks_json_array(json, "windows");
  for (size_t i = 0; cks_forage_window_at(i); i++)
    if (!strcmp(cks_forage_window_at(i)->crop, trial->crop->key)) put_fact(json, cks_forage_window_at(i), NULL);
  cks_json_end(json);
}

static void put_cautions(cks_json *json)
{
  cks_json_array(json, "cautions");
  cks_json_row(json, NULL);
  cks_json_text(json, "about", "every forage");
  cks_json_text(json, "words", CKS_FORAGE_CAUTION);
  cks_json_end(json);
  for (size_t i = 0; cks_prussic_acid_at(i); i++) put_fact(json, cks_prussic_acid_at(i), "prussic acid");
  for (size_t i = 0; cks_nitrate_table_at(i); i++) {
    const cks_nitrate_table *table = cks_nitrate_table_at(i);
    for (size_t k = 0; k < table->n; k++) {
      cks_json_row(json, NULL);
      cks_json_text(json, "about", "nitrate");
      cks_json_text(json, "what", table->label);
      cks_json_number(json, "low", table->row[k].from);
      cks_json_number(json, "high", isinf(table->row[k].to) ? cks_missing() : table->row[k].to);
      cks_json_text(json, "unit", "ppm NO3-N, dry basis");
      cks_json_text(json, "words", table->row[k].words);
      cks_json_text(json, "source", table->source);
      cks_json_end(json);
    }
  }
  cks_json_end(json);
}

void cks_json_forage(cks_json *json, const cks_trial *trial, const cks_results *results)
{
  if (!trial->crop || !trial->crop->forage) return;
  cks_json_object(json, "forage");
  put_cuts(json, trial, &results->forage);
  put_contents(json, trial, results);
  put_windows(json, trial);
  cks_json_end(json);
  put_cautions(json);
}
