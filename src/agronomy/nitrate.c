/*
 * nitrate.c: nitrate in forage: its three forms, and the tables that laboratories and extension print.
 *
 * Factors are ratios of molar masses; atomic weights are IUPAC's abridged ones (N 14.007, O 15.999, K 39.0983). The
 * tables disagree and are never merged; their words are ours. A value at a limit stands in the higher row, the more
 * careful one. No row calls a forage harmless: a low row says that its table sets no limit.
 */
#include "words.h"

#include <checkstrip/agronomy.h>

#include <math.h>

#define N_MASS   14.007
#define NO3_MASS (N_MASS + 3 * 15.999)

static const struct {
  const char *text, *synonyms;
  double mass; /* g of the form that hold a mol of N */
} forms[CKS_NITRATE_COUNT] = {
    /* "nitrate" alone stands in none: it may be either of the first two, 4.4 times apart */
    [CKS_NITRATE_N] = {"NO3-N", "nitrate n|nitrate nitrogen|nitrate as n|no3 as n", N_MASS},
    [CKS_NITRATE_NO3] = {"NO3", "nitrate ion|nitrate as no3|nitrate no3", NO3_MASS},
    [CKS_NITRATE_KNO3] = {"KNO3", "potassium nitrate|nitrate as kno3|nitrate kno3", 39.0983 + NO3_MASS},
};

#define HALF_IF_PREGNANT "the table limits it to half of the ration for pregnant animals, and sets no limit for others"
#define NOT_FED          "the table calls it toxic: not to be fed"
#define NO_LIMIT         "the table sets no limit"
#define NO_FEEDING       "; this scale names no feeding limit"

static const cks_nitrate_row clemson[] = {
    {0, 1000, NO_LIMIT},
    {1000, 1500, HALF_IF_PREGNANT},
    {1500, 2000, "the table limits it to half of the ration"},
    {2000, 3500, "the table limits it to 35 to 40 % of the ration, and not for pregnant animals"},
    {3500, 4000, "the table limits it to a quarter of the ration, and not for pregnant animals"},
    {4000, INFINITY, NOT_FED},
};
static const cks_nitrate_row laboratory[] = {
    {0, 1000, NO_LIMIT},
    {1000, 2000, HALF_IF_PREGNANT},
    {2000, 4000, "the table limits it to less than half of the ration"},
    {4000, INFINITY, NOT_FED},
};
static const cks_nitrate_row plains[] = {
    {0, 700, "called very low" NO_FEEDING},      {700, 1400, "called low" NO_FEEDING},
    {1400, 2100, "called medium" NO_FEEDING},    {2100, 2800, "called high" NO_FEEDING},
    {2800, 3500, "called very high" NO_FEEDING}, {3500, INFINITY, "called extremely high" NO_FEEDING},
};

#define TABLE(key, label, rows, source)                                                                                \
  {                                                                                                                    \
    key, label, source, rows, sizeof rows / sizeof *rows                                                               \
  }
static const cks_nitrate_table tables[] = {
    TABLE("clemson", "Clemson", clemson, "Clemson University agricultural service laboratory, nitrate level in forage"),
    TABLE("commercial-laboratory", "a commercial laboratory", laboratory,
          "a commercial feed laboratory, which cites New Mexico State B-807, Wisconsin and South Dakota State"),
    TABLE("kansas-nebraska", "Kansas and Nebraska laboratory scale", plains,
          "a laboratory scale used in Kansas and Nebraska, seen on a reprint"),
};
enum { N_TABLES = sizeof tables / sizeof *tables };

const char *cks_nitrate_text(cks_nitrate form) { return (unsigned)form < CKS_NITRATE_COUNT ? forms[form].text : ""; }

bool cks_nitrate_find(const char *text, cks_nitrate *form)
{
  for (int i = 0; i < CKS_NITRATE_COUNT; i++)
    if (cks_words_has(forms[i].text, text) || cks_words_has(forms[i].synonyms, text)) {
      *form = (cks_nitrate)i;
      return true;
    }
  return false;
}

double cks_nitrate_convert(double value, cks_nitrate from, cks_nitrate to)
{
  if ((unsigned)from >= CKS_NITRATE_COUNT || (unsigned)to >= CKS_NITRATE_COUNT) return cks_missing();
  return value * (forms[to].mass / forms[from].mass);
}

double cks_ppm_of_percent(double percent) { return percent * 10000; }

double cks_dry_basis(double as_is, double dry_matter_pct)
{
  return dry_matter_pct > 0 && dry_matter_pct <= 100 ? as_is * 100 / dry_matter_pct : cks_missing();
}

const cks_nitrate_table *cks_nitrate_table_at(size_t i) { return i < N_TABLES ? &tables[i] : NULL; }

const cks_nitrate_row *cks_nitrate_row_of(const cks_nitrate_table *table, double ppm_n_dry)
{
  for (size_t i = 0; i < table->n; i++)
    if (ppm_n_dry >= table->row[i].from && ppm_n_dry < table->row[i].to) return &table->row[i];
  return NULL;
}
