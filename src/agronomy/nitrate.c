/*
 * nitrate.c: nitrate in forage: its three forms, and the tables that laboratories and extension print.
 *
 * Factors are ratios of molar masses; atomic weights are IUPAC's abridged ones (N 14.007, O 15.999, K 39.0983). The
 * tables disagree and are never merged; their words are ours. A value at a limit stands in the higher row, the more
 * careful one. No row calls a forage harmless: a low row says that its table sets no limit.
 */
#include "words.h"

#include <checkstrip/agronomy.h>

#include <ctype.h>
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

/* ---- headings --------------------------------------------------------------------------------------------------- */

typedef enum { WORD_NITRATE, WORD_PRUSSIC, WORD_N, WORD_UNIT, WORD_BASIS, WORD_FILLER } word_kind;
static const struct {
  const char *words;
  word_kind kind;
  int value; /* a form, a unit; of a basis: dry */
} heading_words[] = {
    {"nitrate|nitrates", WORD_NITRATE, CKS_NITRATE_COUNT},
    {"no3", WORD_NITRATE, CKS_NITRATE_NO3},
    {"no3n", WORD_NITRATE, CKS_NITRATE_N},
    {"kno3", WORD_NITRATE, CKS_NITRATE_KNO3},
    {"hcn|prussic|hydrocyanic|cyanide", WORD_PRUSSIC, 0},
    {"n|nitrogen", WORD_N, CKS_NITRATE_N},
    {"ppm|mg", WORD_UNIT, CKS_UNIT_PPM},
    {"%|pct|percent", WORD_UNIT, CKS_UNIT_PERCENT},
    {"dry|dm|db", WORD_BASIS, true},
    {"wet|fresh|green|asis|is|fed|received", WORD_BASIS, false},
    {"acid|forage|plant|as|kg|basis|matter|content|of|in|on|a|the", WORD_FILLER, 0},
};

/* Takes the next word at *at, letters and digits, or a percent sign; false: none is left. */
static bool next_word(const char **at, char *word, size_t size)
{
  size_t n = 0;
  while (**at && **at != '%' && !isalnum((unsigned char)**at)) ++*at;
  if (**at == '%') word[n++] = *(*at)++;
  while (!n || word[0] != '%') {
    if (!isalnum((unsigned char)**at)) break;
    if (n + 1 < size) word[n++] = **at;
    ++*at;
  }
  word[n] = '\0';
  return n > 0;
}

/* "NO3" and "N" behind it are one form, and so are "nitrate" and "KNO3". */
static void take_form(cks_content_words *said, int form)
{
  if (form == CKS_NITRATE_COUNT) return;
  if (said->has_form && said->form == CKS_NITRATE_KNO3) return;
  said->has_form = true;
  said->form = (cks_nitrate)form;
}

cks_content_words cks_content_read(const char *heading)
{
  enum { LONGEST = 16, N_WORDS = sizeof heading_words / sizeof *heading_words };
  cks_content_words said = {0};
  char word[LONGEST];
  bool nitrate = false, known = true;
  for (const char *at = heading; known && next_word(&at, word, sizeof word);) {
    size_t i = 0;
    while (i < N_WORDS && !cks_words_has(heading_words[i].words, word)) i++;
    known = i < N_WORDS;
    if (!known) break;
    switch (heading_words[i].kind) {
    case WORD_NITRATE:
      nitrate = true; /* fall through */
    case WORD_N:
      take_form(&said, heading_words[i].value);
      break;
    case WORD_PRUSSIC:
      said.prussic_acid = true;
      break;
    case WORD_UNIT:
      said.has_unit = true;
      said.unit = (cks_unit)heading_words[i].value;
      break;
    case WORD_BASIS:
      said.has_basis = true;
      said.dry = heading_words[i].value != 0;
      break;
    case WORD_FILLER:
      break;
    }
  }
  said.found = known && nitrate != said.prussic_acid;
  return said;
}

/* ---- figures ---------------------------------------------------------------------------------------------------- */

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
