/* test_agronomy.c: units, crops, yield at standard moisture against published figures; the tables against themselves.
 */
#include "support/support.h"

#include <ctype.h>
#include <math.h>
#include <string.h>

static const cks_crop *crop(const char *text)
{
  const cks_crop *found = cks_crop_find(text);
  assert_non_null(found);
  return found;
}

/* Exact by the definitions of pound, foot and international acre, US bushel (NIST Handbook 44, appendix C). */
static void convert_when_units_share_a_dimension_then_exact_factors(void **state)
{
  (void)state;
  static const struct {
    cks_unit from, to;
    const char *crop;
    double factor;
  } cases[] = {
      {CKS_UNIT_LB_AC, CKS_UNIT_KG_HA, NULL, 1.120851156},
      {CKS_UNIT_BU_AC, CKS_UNIT_KG_HA, "sorghum", 62.767665},
      {CKS_UNIT_BU_AC, CKS_UNIT_KG_HA, "wheat", 67.251069},
      {CKS_UNIT_T_HA, CKS_UNIT_BU_AC, "corn", 15.931770},
      {CKS_UNIT_T_HA, CKS_UNIT_BU_AC, "soybean", 14.869652},
      {CKS_UNIT_CWT_AC, CKS_UNIT_KG_HA, NULL, 112.085116},
      {CKS_UNIT_TON_AC, CKS_UNIT_T_HA, NULL, 2.241702312},
      {CKS_UNIT_LB_BU, CKS_UNIT_KG_HL, NULL, 1.287185978},
      {CKS_UNIT_LB_AC, CKS_UNIT_BU_AC, "milo", 1.0 / 56},
      {CKS_UNIT_LB_AC, CKS_UNIT_CWT_AC, NULL, 0.01},
      {CKS_UNIT_IN, CKS_UNIT_CM, NULL, 2.54},
      {CKS_UNIT_LB, CKS_UNIT_OZ, NULL, 16},
      {CKS_UNIT_THOUSAND_AC, CKS_UNIT_PER_AC, NULL, 1000},
  };
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    const cks_crop *of = cases[i].crop ? crop(cases[i].crop) : NULL;
    assert_close(cks_unit_convert(1, cases[i].from, cases[i].to, of), cases[i].factor, 1e-7);
    assert_close(cks_unit_convert(cases[i].factor, cases[i].to, cases[i].from, of), 1, 1e-7);
  }
}

/* Test weights of a harvest quality report, US Grains Council 2015/2016: 57 lb/bu = 73.4 kg/hL, 55 = 70.8, 57.9 = 74.5.
 */
static void convert_when_test_weight_then_as_the_quality_report_prints(void **state)
{
  (void)state;
  assert_true(fabs(cks_unit_convert(57, CKS_UNIT_LB_BU, CKS_UNIT_KG_HL, NULL) - 73.4) < 0.05);
  assert_true(fabs(cks_unit_convert(55, CKS_UNIT_LB_BU, CKS_UNIT_KG_HL, NULL) - 70.8) < 0.05);
  assert_true(fabs(cks_unit_convert(57.9, CKS_UNIT_LB_BU, CKS_UNIT_KG_HL, NULL) - 74.5) < 0.05);
}

static void convert_when_it_cannot_be_then_missing(void **state)
{
  (void)state;
  assert_true(cks_is_missing(cks_unit_convert(1, CKS_UNIT_BU_AC, CKS_UNIT_KG_HA, NULL)));
  assert_true(cks_is_missing(cks_unit_convert(1, CKS_UNIT_IN, CKS_UNIT_LB, NULL)));
  assert_true(cks_is_missing(cks_unit_convert(1, CKS_UNIT_NONE, CKS_UNIT_LB, NULL)));
}

/* Figures of extension pages; beside each where it is printed. */
static void at_moisture_when_published_cases_then_their_figures(void **state)
{
  (void)state;
  /* UF/IFAS AG442 (2020): 10,000 lb corn at 20 % is 9,467 lb at 15.5 %, 169.06 bu (digits computed) */
  assert_close(cks_at_moisture(10000, 20, 15.5), 9467.4556, 1e-8);
  assert_close(cks_at_moisture(10000, 20, 15.5) / 56, 169.0617, 1e-6);
  /* 1,000 wet bu at 26 % are 870.6 dry bu at 15 % (Farm Progress, dry bushels from wet) */
  assert_close(cks_at_moisture(1000, 26, 15), 870.588, 1e-6);
  /* shrink of 25 % to 15.5 %: 11.24 % (South Dakota State Univ. Extension, Karki 2019) */
  assert_close(cks_shrink_pct(25, 15.5), 11.2426, 1e-5);
  /* 1,000 lb of 25.5 % to 15.5 %: the same formula, computed */
  assert_close(cks_at_moisture(1000, 25.5, 15.5), 881.6568, 1e-7);
  assert_close(cks_at_moisture(1000, 25.5, 15.5) / 56, 15.7439, 1e-5);
  /* 100 bu/ac at 14 % restated, computed */
  assert_close(cks_at_moisture(100, 14, 13.5), 99.4220, 1e-6);
  assert_close(cks_at_moisture(100, 14, 13), 98.8506, 1e-6);
  assert_close(cks_at_moisture(100, 14, 12.5), 98.2857, 1e-6);
}

/* Shrink factor a point 100 / (100 - final moisture): a two-decimal table of it is printed in extension pages. */
static void shrink_when_one_point_then_the_factor_of_the_final_moisture(void **state)
{
  (void)state;
  static const double table[][2] = {{15.5, 1.183432}, {15, 1.176471},   {14, 1.162791}, {13.5, 1.156069},
                                    {13, 1.149425},   {12.5, 1.142857}, {12, 1.136364}, {10, 1.111111}};
  for (size_t i = 0; i < sizeof table / sizeof *table; i++)
    assert_close(cks_shrink_pct(table[i][0] + 1, table[i][0]), table[i][1], 1e-6);
}

static void at_moisture_when_impossible_then_missing(void **state)
{
  (void)state;
  assert_true(cks_is_missing(cks_at_moisture(100, 100, 14)));
  assert_true(cks_is_missing(cks_at_moisture(100, -1, 14)));
  assert_true(cks_is_missing(cks_at_moisture(100, 14, cks_missing())));
}

/* Strip yield of corn: (lb / 56) / acres x (100 - M) / 84.5, acres = length x width / 43,560 (yield calibration advice,
 * Meyer 2012, as printed in a farm paper). */
static void plot_yield_when_a_corn_strip_then_by_the_printed_formula(void **state)
{
  (void)state;
  double acres = cks_acres(500, cks_rows_width_ft(8, 30));
  assert_close(acres, 500 * 20 / 43560.0, 1e-15);
  assert_close(cks_plot_yield(2600, 18, acres, crop("corn"), cks_missing()), 2600 / 56.0 / acres * 82 / 84.5, 1e-14);
  assert_close(cks_plot_yield(2600, 18, acres, crop("corn"), 18), 2600 / 56.0 / acres, 1e-14);
  assert_true(cks_is_missing(cks_plot_yield(2600, cks_missing(), acres, crop("corn"), cks_missing())));
  assert_true(cks_is_missing(cks_plot_yield(2600, 18, cks_acres(0, 20), crop("corn"), cks_missing())));
}

/* Row length for 1/1000 acre in 30-inch rows is 17 ft 5 in (17.424 ft, printed in extension stand tables). */
static void acres_when_a_thousandth_in_30_inch_rows_then_17_424_feet(void **state)
{
  (void)state;
  assert_close(cks_acres(17.424, cks_rows_width_ft(1, 30)), 0.001, 1e-12);
}

static void days_between_when_missing_then_missing(void **state)
{
  (void)state;
  double from = 0, to = 0;
  assert_true(cks_day_number(2026, 5, 20, &from) && cks_day_number(2026, 7, 21, &to));
  assert_close(cks_days_between(from, to), 62, 0);
  assert_true(cks_is_missing(cks_days_between(cks_missing(), to)));
}

/* Standard moisture and bushel weights: sources stand in src/agronomy/crops.c. */
static void crops_when_looked_up_then_sorghum_first_and_standards(void **state)
{
  (void)state;
  static const struct {
    const char *name;
    double bushel_lb, moisture_pct;
  } cases[] = {{"Grain Sorghum", 56, 14}, {"CORN", 56, 15.5}, {"winter wheat", 60, 13.5}, {"soybeans", 60, 13},
               {"barley", 48, 14.5},      {"rye", 56, 14},    {"oats", 32, 14},           {"sunflower", 25, 10}};
  assert_string_equal(cks_crop_at(0)->key, "grain-sorghum");
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    assert_close(crop(cases[i].name)->bushel_lb, cases[i].bushel_lb, 0);
    assert_close(crop(cases[i].name)->moisture_pct, cases[i].moisture_pct, 0);
  }
  assert_null(cks_crop_find("cotton"));
  assert_null(cks_crop_find(""));
}

static void unit_find_when_written_as_people_do_then_found(void **state)
{
  (void)state;
  static const struct {
    const char *text;
    cks_unit unit;
  } cases[] = {{"bu/ac", CKS_UNIT_BU_AC},         {"bu_ac", CKS_UNIT_BU_AC},   {"Bushels per Acre", CKS_UNIT_BU_AC},
               {"lbs/A", CKS_UNIT_LB_AC},         {"kg ha-1", CKS_UNIT_KG_HA}, {"Mg/ha", CKS_UNIT_T_HA},
               {"tons/ac", CKS_UNIT_TON_AC},      {"lb/bu", CKS_UNIT_LB_BU},   {"%", CKS_UNIT_PERCENT},
               {"inches", CKS_UNIT_IN},           {"\"", CKS_UNIT_IN},         {"plants/ac", CKS_UNIT_PER_AC},
               {"1000/ac", CKS_UNIT_THOUSAND_AC}, {"days", CKS_UNIT_DAYS},     {"lbs", CKS_UNIT_LB}};
  cks_unit unit = CKS_UNIT_NONE;
  for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
    assert_true(cks_unit_find(cases[i].text, &unit));
    assert_int_equal(unit, cases[i].unit);
  }
  assert_false(cks_unit_find("furlongs", &unit));
  assert_false(cks_unit_find("", &unit));
  assert_false(cks_unit_find("  ", &unit));
}

static void unit_text_when_read_back_then_the_same_unit(void **state)
{
  (void)state;
  for (int i = CKS_UNIT_NONE + 1; i < CKS_UNIT_COUNT_ALL; i++) {
    cks_unit unit = CKS_UNIT_NONE;
    bool temperature = cks_unit_dimension((cks_unit)i) == CKS_DIM_TEMPERATURE;
    assert_int_equal(cks_unit_find(cks_unit_text((cks_unit)i), &unit), !temperature); /* a C is a rep, an F a person */
    assert_int_equal(cks_unit_find_temperature(cks_unit_text((cks_unit)i), &unit), temperature);
    assert_int_equal(unit, i);
  }
}

static void temperature_when_converted_then_with_its_zero(void **state)
{
  (void)state;
  assert_close(cks_unit_convert(100, CKS_UNIT_CELSIUS, CKS_UNIT_FAHRENHEIT, NULL), 212, 1e-15); /* water boils */
  assert_close(cks_unit_convert(32, CKS_UNIT_FAHRENHEIT, CKS_UNIT_CELSIUS, NULL), 0, 1e-15);    /* and freezes */
  assert_true(cks_is_missing(cks_unit_convert(32, CKS_UNIT_FAHRENHEIT, CKS_UNIT_PERCENT, NULL)));
}

/* text without case, spaces and punctuation */
static void plain(char into[64], const char *text, size_t n)
{
  size_t k = 0;
  for (size_t i = 0; i < n && k < 63; i++)
    if (isalnum((unsigned char)text[i])) into[k++] = (char)tolower((unsigned char)text[i]);
  into[k] = '\0';
}

static bool role_has(const cks_role_fact *fact, const char *word)
{
  char other[64];
  plain(other, fact->key, strlen(fact->key));
  if (!strcmp(other, word)) return true;
  for (const char *at = fact->synonyms; *at; at += strcspn(at, "|"), at += *at == '|') {
    plain(other, at, strcspn(at, "|"));
    if (!strcmp(other, word)) return true;
  }
  return false;
}

/* A weather file has words of its own, but for where and in which year. */
static bool meet(int a, int b)
{
  bool weather_a = cks_role_find((cks_role)a)->role_class == CKS_CLASS_WEATHER,
       weather_b = cks_role_find((cks_role)b)->role_class == CKS_CLASS_WEATHER;
  int other = weather_a ? b : a;
  return weather_a == weather_b || other == CKS_ROLE_LOCATION || other == CKS_ROLE_YEAR;
}

static void roles_when_walked_then_no_heading_stands_for_two(void **state)
{
  (void)state;
  for (int a = 0; a < CKS_ROLE_COUNT; a++)
    for (const char *at = cks_role_find((cks_role)a)->synonyms; *at; at += strcspn(at, "|"), at += *at == '|') {
      char word[64];
      plain(word, at, strcspn(at, "|"));
      assert_true(*word);
      for (int b = 0; b < CKS_ROLE_COUNT; b++)
        if (a != b && meet(a, b) && role_has(cks_role_find((cks_role)b), word))
          fail_msg("'%s' stands for %s and %s", word, cks_role_find((cks_role)a)->key, cks_role_find((cks_role)b)->key);
    }
}

static void roles_when_walked_then_facts_hang_together(void **state)
{
  (void)state;
  for (int a = 0; a < CKS_ROLE_COUNT; a++) {
    const cks_role_fact *fact = cks_role_find((cks_role)a);
    assert_true(*fact->key && *fact->label && *fact->narrow);
    assert_false(fact->low > fact->usual_low || fact->usual_low > fact->usual_high || fact->usual_high > fact->high);
    if (fact->kind == CKS_DATE) assert_int_equal(fact->unit, CKS_UNIT_DATE);
    if (fact->measure == CKS_MEASURE_PROPORTION) assert_int_equal(fact->unit, CKS_UNIT_PERCENT);
    if (fact->measure == CKS_MEASURE_RATING) assert_int_equal(fact->better, CKS_BETTER_NONE);
  }
  assert_int_equal(cks_role_find(CKS_ROLE_YIELD)->better, CKS_BETTER_HIGH);
  assert_int_equal(cks_role_find(CKS_ROLE_LODGING)->better, CKS_BETTER_LOW);
  assert_int_equal(cks_role_find(CKS_ROLE_DAYS_TO_MID_BLOOM)->better, CKS_BETTER_NONE);
  assert_int_equal(cks_role_find(CKS_ROLE_MOISTURE)->better, CKS_BETTER_NONE);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(convert_when_units_share_a_dimension_then_exact_factors),
      cmocka_unit_test(convert_when_test_weight_then_as_the_quality_report_prints),
      cmocka_unit_test(convert_when_it_cannot_be_then_missing),
      cmocka_unit_test(at_moisture_when_published_cases_then_their_figures),
      cmocka_unit_test(shrink_when_one_point_then_the_factor_of_the_final_moisture),
      cmocka_unit_test(at_moisture_when_impossible_then_missing),
      cmocka_unit_test(plot_yield_when_a_corn_strip_then_by_the_printed_formula),
      cmocka_unit_test(acres_when_a_thousandth_in_30_inch_rows_then_17_424_feet),
      cmocka_unit_test(days_between_when_missing_then_missing),
      cmocka_unit_test(crops_when_looked_up_then_sorghum_first_and_standards),
      cmocka_unit_test(unit_find_when_written_as_people_do_then_found),
      cmocka_unit_test(unit_text_when_read_back_then_the_same_unit),
      cmocka_unit_test(temperature_when_converted_then_with_its_zero),
      cmocka_unit_test(roles_when_walked_then_no_heading_stands_for_two),
      cmocka_unit_test(roles_when_walked_then_facts_hang_together),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
