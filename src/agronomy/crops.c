/*
 * crops.c: the crops that are known: bushel weight, standard moisture, and yields beyond belief.
 *
 * A bushel weight is a legal weight, not a test weight. Where states or buyers differ on the standard moisture, the one
 * that most official trials print is here; --moisture takes another. Yield limits are round figures above contest and
 * record yields, common practice, no source; records from memory. A forage has no bushel: its yields are tons.
 */
#include "words.h"

#include <checkstrip/agronomy.h>

#include <math.h>
#include <string.h>
#include <strings.h>

/* A grain in bushels; a forage in tons. */
#define GRAIN(key, label, synonyms, bushel, moisture, usual, high)                                                     \
  {                                                                                                                    \
    key, label, synonyms, bushel, moisture, usual, high, CKS_UNIT_BU_AC, false, ""                                     \
  }
#define FORAGE(key, label, synonyms, moisture, usual, high, source)                                                    \
  {                                                                                                                    \
    key, label, synonyms, NAN, moisture, usual, high, CKS_UNIT_TON_AC, true, source                                    \
  }

static const cks_crop crops[] = {
    /* 56 lb, 14 %: Georgia Agr. Exp. Stn. Research Report 697 (2004) and Texas official sorghum tests (2007 to 2013);
     * 13 % (an equipment manual), 12.5 and 13.5 % are in use too. Contest yields reach about 250 bu/ac. */
    GRAIN("grain-sorghum", "grain sorghum", "sorghum|milo|grain sorghums|grainsorghum|sorghum bicolor", 56, 14, 220,
          320),
    /* 56 lb, 15.5 %: UF/IFAS AG442 (2020); Oklahoma State Univ. Extension (2022). Record about 620 bu/ac. */
    GRAIN("corn", "corn", "maize|field corn|grain corn|shelled corn|dent corn|zea mays", 56, 15.5, 340, 700),
    /* 60 lb, 13.5 %: equipment calibration table that credits UF/IFAS and MSU Extension; 12 % in some states.
     * Record about 265 bu/ac. */
    GRAIN("wheat", "wheat", "winter wheat|spring wheat|hard red winter wheat|soft red winter wheat|durum", 60, 13.5,
          160, 300),
    /* 60 lb, 13 %: Oklahoma State Univ. Extension (2022). Record about 218 bu/ac. */
    GRAIN("soybean", "soybean", "soybeans|soya|soy|bean|beans|glycine max", 60, 13, 110, 250),
    /* 48 lb, 14.5 %: the same calibration table as wheat. */
    GRAIN("barley", "barley", "winter barley|spring barley|malting barley|feed barley", 48, 14.5, 190, 330),
    /* 56 lb, 14 %: the same. */
    GRAIN("rye", "rye", "winter rye|cereal rye|hybrid rye", 56, 14, 150, 260),
    /* 32 lb, 14 %: the same, and Oklahoma State Univ. Extension (13.5 to 14 %). */
    GRAIN("oats", "oats", "oat|winter oats|spring oats", 32, 14, 220, 400),
    /* 25 lb (bushels of 24 to 32 lb are in use: lb/ac says more), 10 %: the same table as wheat. */
    GRAIN("sunflower", "sunflower", "sunflowers|oil sunflower|oilseed sunflower|confection sunflower", 25, 10, 180,
          300),
    /* Tons at 65 %: Texas A&M AgriLife, Bushland forage sorghum silage trials (2015, 2020), whose plots go to 39.8 ton/ac;
     * other states print 70 %. */
    FORAGE("forage-sorghum", "forage sorghum",
           "silage sorghum|sorghum silage|sorghum forage|forage sorghums|sweet sorghum", 65, 45, 90,
           "as the Texas A&M silage trials at Bushland report it"),
    /* No moisture is usual: dry matter compares. Green tons of a season, common practice, no source. */
    FORAGE("sorghum-sudangrass", "sorghum-sudangrass",
           "sorghum sudangrass|sorghum x sudangrass|sorghum sudan|sorghum sudan grass|sudangrass|sudan grass|"
           "sudangrass hybrid|sudan",
           NAN, 45, 90, ""),
};
enum { N_CROPS = sizeof crops / sizeof *crops };

const cks_crop *cks_crop_at(size_t i) { return i < N_CROPS ? &crops[i] : NULL; }

const cks_crop *cks_crop_find(const char *text)
{
  for (size_t i = 0; i < N_CROPS; i++)
    if (cks_words_has(crops[i].key, text) || cks_words_has(crops[i].synonyms, text)) return &crops[i];
  return NULL;
}

bool cks_crop_is_sorghum(const cks_crop *crop) { return strstr(crop->key, "sorghum") || strstr(crop->key, "sudan"); }

static bool is_letter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }

static bool has_word(const char *text, const char *word, size_t n)
{
  for (const char *at = text; *at; at++)
    if (!strncasecmp(at, word, n) && (at == text || !is_letter(at[-1])) && !is_letter(at[n])) return true;
  return false;
}

/* Length of the longest word of a list split by '|' that stands in text. */
static size_t longest_in(const char *text, const char *list)
{
  size_t longest = 0;
  for (const char *word = list; *word;) {
    size_t n = strcspn(word, "|");
    if (n > longest && has_word(text, word, n)) longest = n;
    word += n + (word[n] == '|');
  }
  return longest;
}

const cks_crop *cks_crop_in(const char *text)
{
  const cks_crop *found = NULL;
  size_t longest = 0;
  for (size_t i = 0; i < N_CROPS; i++) {
    size_t label = longest_in(text, crops[i].label), other = longest_in(text, crops[i].synonyms);
    size_t n = label > other ? label : other;
    if (n <= longest) continue;
    longest = n;
    found = &crops[i];
  }
  return found;
}

const char *cks_forage_in(const char *text)
{
  static const char *const forages[] = {"silage", "forage", "forages", "haylage", "sudangrass", "sudan grass", "sudan"};
  if (has_word(text, "grain", strlen("grain"))) return NULL;
  for (size_t i = 0; i < sizeof forages / sizeof *forages; i++)
    if (has_word(text, forages[i], strlen(forages[i]))) return forages[i];
  return NULL;
}
