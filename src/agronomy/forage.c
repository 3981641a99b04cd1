/*
 * forage.c: forage yields by moisture, and what is published on when and how high to cut.
 *
 * Dry matter is kept, as in yield.c. Green tons of different moisture do not compare, and no moisture basis is
 * universal: the caller names one and prints it. Cutting heights differ from state to state and stand side by side.
 */
#include <checkstrip/agronomy.h>

#include <math.h>

#define LB_A_TON    2000.0 /* short ton */
#define SILAGE      "forage-sorghum"
#define SUDAN_CROSS "sorghum-sudangrass"
#define TEXAS       "Texas A&M AgriLife, Bushland forage sorghum silage trials"
#define MISSOURI    "University of Missouri Extension (Tate), summer forage"
#define MISSISSIPPI "Mississippi State University, forage grasses"
#define WISCONSIN   "University of Wisconsin-Madison, printed in Hay & Forage Grower"

/* clang-format off */
static const cks_trade_fact bases[] = {
    {"texas", SILAGE, "moisture of reported tons", {NAN, 65, NAN}, "%", "", TEXAS " (2015, 2020)"},
    {"other-states", SILAGE, "moisture of reported tons", {NAN, 70, NAN},
     "%", "", "silage tables of other states (column titles seen)"},
    {"dry-matter", SILAGE, "moisture of reported tons", {NAN, 0, NAN},
     "%", "dry matter", "Kansas forage sorghum trials of 1986 and 1987"},
};
enum { N_BASES = sizeof bases / sizeof *bases };

static const cks_trade_fact windows[] = {
    {"silage-stage", SILAGE, "cut for silage", {NAN, NAN, NAN}, "", "at soft dough", TEXAS},
    {"silage-moisture", SILAGE, "whole-plant moisture at the cut for silage", {NAN, 65, NAN}, "%", "about", TEXAS},
    {"silage-photoperiod", SILAGE, "cut of photoperiod-sensitive types", {NAN, NAN, NAN},
     "", "on the last date of the season", TEXAS},
    {"ensiling-dry-matter", SILAGE, "dry matter for ensiling", {35, NAN, 40},
     "%", "", "New Mexico State University, bulletin 799"},
    {"first-cut-missouri", SUDAN_CROSS, "first cut", {45, NAN, 60}, "days after planting", "", MISSOURI},
    {"height-missouri", SUDAN_CROSS, "height at a cut", {24, NAN, 36},
     "in", "quality falls beyond the upper figure", MISSOURI},
    {"stubble-missouri", SUDAN_CROSS, "stubble to leave", {NAN, 10, NAN}, "in", "", MISSOURI},
    {"graze-mississippi", SUDAN_CROSS, "height at which grazing begins", {18, NAN, 30}, "in", "", MISSISSIPPI},
    {"graze-down-mississippi", SUDAN_CROSS, "height at which grazing ends", {NAN, 8, NAN}, "in", "", MISSISSIPPI},
    {"silage-mississippi", SUDAN_CROSS, "height at a cut for silage", {36, NAN, 48},
     "in", "or boot to early heading", MISSISSIPPI},
    {"height-wisconsin", SUDAN_CROSS, "height at each of two or three cuts", {36, NAN, 48}, "in", "", WISCONSIN},
    {"stubble-wisconsin", SUDAN_CROSS, "stubble to leave", {NAN, 6, NAN}, "in", "two nodes", WISCONSIN},
    {"hay-height", SUDAN_CROSS, "height at a cut for hay", {30, NAN, 40},
     "in", "", "a general web site of low authority"},
    {"regrowth", SUDAN_CROSS, "from one cut to the next", {25, NAN, 40}, "days", "", "from memory"},
};
/* clang-format on */
enum { N_WINDOWS = sizeof windows / sizeof *windows };

double cks_forage_green(double weight_lb, double acres)
{
  return weight_lb >= 0 && acres > 0 ? weight_lb / LB_A_TON / acres : cks_missing();
}

double cks_forage_moisture(double moisture_pct, double dry_matter_pct)
{
  if (cks_is_missing(dry_matter_pct)) return moisture_pct;
  if (cks_is_missing(moisture_pct)) return 100 - dry_matter_pct;
  return fabs(moisture_pct + dry_matter_pct - 100) <= 0.5 ? moisture_pct : cks_missing();
}

cks_forage_yield cks_forage_cut(double green_ton_ac, double moisture_pct, double standard_pct)
{
  double green = green_ton_ac >= 0 ? green_ton_ac : cks_missing();
  double dry = cks_at_moisture(green, moisture_pct, 0);
  return (cks_forage_yield){cks_at_moisture(green, moisture_pct, standard_pct), dry, dry * LB_A_TON};
}

cks_forage_yield cks_forage_season(const cks_forage_yield *cut, size_t n)
{
  double start = n ? 0 : cks_missing();
  cks_forage_yield season = {start, start, start};
  for (size_t i = 0; i < n; i++) {
    season.at_standard += cut[i].at_standard;
    season.dry_matter += cut[i].dry_matter;
    season.dry_matter_lb += cut[i].dry_matter_lb;
  }
  return season;
}

const cks_trade_fact *cks_forage_basis_at(size_t i) { return i < N_BASES ? &bases[i] : NULL; }

const cks_trade_fact *cks_forage_window_at(size_t i) { return i < N_WINDOWS ? &windows[i] : NULL; }
