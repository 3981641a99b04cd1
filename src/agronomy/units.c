/*
 * units.c: units of measure: what each is called, and its size in the base unit of its dimension.
 *
 * Exact by definition (NIST Handbook 44, appendix C): pound 0.45359237 kg, foot 0.3048 m, international acre
 * 4046.8564224 m2, US bushel 35.23907016688 L. A bushel of grain is a weight that depends on the crop.
 */
#include "words.h"

#include <checkstrip/agronomy.h>

#define POUND_KG  0.45359237
#define ACRE_HA   0.40468564224
#define BUSHEL_HL 0.3523907016688
#define FOOT_M    0.3048

typedef struct {
  const char *text;
  cks_dimension dimension;
} unit_name;

#define UNIT_NAME(id, text, dimension) {text, CKS_DIM_##dimension},
static const unit_name names[CKS_UNIT_COUNT_ALL] = {CKS_UNITS(UNIT_NAME)};
#undef UNIT_NAME

typedef struct {
  double size;          /* in the base unit of the dimension; bu/ac: of one pound an acre, times the crop's pounds */
  const char *synonyms; /* besides the printed text */
} unit_fact;

static const unit_fact facts[CKS_UNIT_COUNT_ALL] = {
    [CKS_UNIT_NONE] = {1, ""},
    [CKS_UNIT_BU_AC] = {POUND_KG / ACRE_HA,
                        "bu/a|bu/acre|bu per ac|bu per acre|bushels/ac|bushels/acre|bushels per acre|"
                        "bushel/acre|bushel per acre|bush/ac|bush/acre|bu ac-1|bpa|bushels"},
    [CKS_UNIT_LB_AC] = {POUND_KG / ACRE_HA,
                        "lb/a|lb/acre|lbs/a|lbs/ac|lbs/acre|lb per ac|lb per acre|lbs per ac|"
                        "lbs per acre|pounds/ac|pounds/acre|pounds per acre|#/ac|#/acre|#/a|lb ac-1"},
    [CKS_UNIT_CWT_AC] = {100 * POUND_KG / ACRE_HA, "cwt/a|cwt/acre|cwt per ac|cwt per acre|hundredweight/ac|"
                                                   "hundredweight/acre|hundredweight per acre|cwt ac-1"},
    [CKS_UNIT_TON_AC] = {2000 * POUND_KG / ACRE_HA,
                         "tons/ac|ton/a|tons/a|t/a|t/ac|ton/acre|tons/acre|t/acre|ton per acre|"
                         "tons per acre|tons per ac|short tons/ac|short tons per acre|ton ac-1"},
    [CKS_UNIT_KG_HA] = {1, "kg per ha|kg/hectare|kg per hectare|kilograms/ha|kilograms per hectare|kg ha-1|kgs/ha"},
    [CKS_UNIT_T_HA] = {1000, "mg/ha|tonne/ha|tonnes/ha|tonnes per hectare|t per ha|t/hectare|mt/ha|t ha-1|mg ha-1|"
                             "metric tons/ha|metric tons per hectare|tons/ha"},
    [CKS_UNIT_LB_BU] = {POUND_KG / BUSHEL_HL,
                        "lbs/bu|lb/bushel|lbs/bushel|lb per bu|lbs per bu|lb per bushel|lbs per bushel|"
                        "pounds/bu|pounds/bushel|pounds per bushel|#/bu|#/bushel|lb bu-1"},
    [CKS_UNIT_KG_HL] = {1, "kg/hectoliter|kg/hectolitre|kg per hl|kg per hectoliter|kg per hectolitre|kg hl-1"},
    [CKS_UNIT_IN] = {FOOT_M / 12, "inch|inches|ins|\""},
    [CKS_UNIT_FT] = {FOOT_M, "foot|feet|'"},
    [CKS_UNIT_CM] = {0.01, "cms|centimeter|centimeters|centimetre|centimetres"},
    [CKS_UNIT_M] = {1, "meter|meters|metre|metres"},
    [CKS_UNIT_MM] = {0.001, "millimeter|millimeters|millimetre|millimetres"},
    [CKS_UNIT_LB] = {POUND_KG, "lbs|pound|pounds|#|lb/plot|lbs/plot|lbs per plot|lb per plot|pounds per plot"},
    [CKS_UNIT_KG] = {1, "kgs|kilo|kilos|kilogram|kilograms|kg/plot|kg per plot"},
    [CKS_UNIT_OZ] = {POUND_KG / 16, "ounce|ounces|oz/plot"},
    [CKS_UNIT_G] = {0.001, "gm|gms|gram|grams|g/plot|g/1000|g per 1000|g/1000 seeds|g/1000 kernels|mg/kernel|mg/seed"},
    [CKS_UNIT_PERCENT] = {1, "percent|pct|per cent|% wb|% wet basis"},
    [CKS_UNIT_PPM] = {1, "parts per million|mg/kg|mg per kg|mg kg-1"},
    [CKS_UNIT_DAYS] = {1,
                       "day|d|dap|days after planting|days from planting|dae|days after emergence|days from emergence"},
    [CKS_UNIT_PER_AC] = {1 / ACRE_HA,
                         "per ac|per acre|/acre|/a|plants/ac|plants/a|plants/acre|plants per acre|plants per ac|"
                         "seeds/ac|seeds/a|seeds/acre|seeds per acre|seeds per ac|heads/ac|heads/acre|"
                         "heads per acre|ppa|plants ac-1|seeds ac-1"},
    [CKS_UNIT_THOUSAND_AC] = {1000 / ACRE_HA,
                              "1000/a|1000/acre|1000 per acre|thousand/ac|thousand/acre|thousand per acre|"
                              "thousands/ac|k/ac|k/a|k/acre|1000 plants/ac|1000 plants/acre|1000s/ac|"
                              "1000 seeds/ac|1000 seeds/acre|x1000/ac|x 1000 per acre|plants x 1000/ac"},
    [CKS_UNIT_PER_HA] = {1, "per ha|per hectare|/hectare|plants/ha|plants per ha|plants per hectare|seeds/ha|"
                            "seeds per ha|seeds per hectare|heads/ha|plants ha-1|seeds ha-1"},
    [CKS_UNIT_COUNT] = {1, "counts|no|number|n|plants|plants/plot|plants per plot|heads/plot|heads per plot"},
    [CKS_UNIT_SCORE] = {1, "scores|rating|ratings|scale"},
    [CKS_UNIT_DATE] = {1, "dates"},
    [CKS_UNIT_FAHRENHEIT] = {1, "fahrenheit|deg f|degf|degree f|degrees f|deg fahrenheit|degrees fahrenheit"},
    [CKS_UNIT_CELSIUS] = {1, "celsius|centigrade|deg c|degc|degree c|degrees c|deg celsius|degrees celsius"},
};

const char *cks_unit_text(cks_unit unit) { return (unsigned)unit < CKS_UNIT_COUNT_ALL ? names[unit].text : ""; }

cks_dimension cks_unit_dimension(cks_unit unit)
{
  return (unsigned)unit < CKS_UNIT_COUNT_ALL ? names[unit].dimension : CKS_DIM_NONE;
}

bool cks_unit_has_rivals(cks_unit unit)
{
  cks_dimension dimension = cks_unit_dimension(unit);
  return dimension == CKS_DIM_YIELD || dimension == CKS_DIM_DENSITY || dimension == CKS_DIM_LENGTH ||
         dimension == CKS_DIM_MASS || dimension == CKS_DIM_TEMPERATURE;
}

/* The unit among those that are temperatures, or among the others. */
static bool find(const char *text, bool temperature, cks_unit *unit)
{
  for (int i = CKS_UNIT_NONE + 1; i < CKS_UNIT_COUNT_ALL; i++) {
    if ((names[i].dimension == CKS_DIM_TEMPERATURE) != temperature) continue;
    if (cks_words_has(names[i].text, text) || cks_words_has(facts[i].synonyms, text)) {
      *unit = (cks_unit)i;
      return true;
    }
  }
  return false;
}

bool cks_unit_find(const char *text, cks_unit *unit) { return find(text, false, unit); }
bool cks_unit_find_temperature(const char *text, cks_unit *unit) { return find(text, true, unit); }

static cks_degrees degrees_of(cks_unit unit) { return unit == CKS_UNIT_CELSIUS ? CKS_CELSIUS : CKS_FAHRENHEIT; }

/* The size of a unit in its base; NaN for a bushel of no crop. */
static double size_of(cks_unit unit, const cks_crop *crop)
{
  if (unit != CKS_UNIT_BU_AC) return facts[unit].size;
  return crop ? facts[unit].size * crop->bushel_lb : cks_missing();
}

double cks_unit_convert(double value, cks_unit from, cks_unit to, const cks_crop *crop)
{
  if (from == to) return value;
  if (cks_unit_dimension(from) != cks_unit_dimension(to) || cks_unit_dimension(from) == CKS_DIM_NONE)
    return cks_missing();
  if (cks_unit_dimension(from) == CKS_DIM_TEMPERATURE)
    return cks_temperature_convert(value, degrees_of(from), degrees_of(to));
  return value * (size_of(from, crop) / size_of(to, crop));
}
