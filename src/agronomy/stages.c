/*
 * stages.c: the growth stages of sorghum: how each is told, days between them, heat units to them.
 *
 * Numbers 0 to 9 and days after emergence: Vanderlip & Reeves 1972, Agron. J. 64, the same table as in K-State S-3
 * (Vanderlip, rev. 1993): one medium hybrid at Manhattan, Kansas. Marks are in our words, those of soft dough, hard
 * dough and milk from memory. The days are one figure each: no width is printed with them. From boot on they are
 * given a fifth either way, which is our margin; cool weather may take longer still. Two published spreads are about
 * as wide: 800 to 1,200 heat units from flowering to maturity (K-State eUpdate 565-1), and the three maturity groups
 * of a climate center's table (plus or minus 21 % from boot to half-bloom and from half-bloom to each later stage).
 * Before boot hybrids differ more, so no interval is given.
 *
 * Milk is in no table that was seen: it lies between mid-bloom and soft dough, and that is all that is said of it.
 */
#include "words.h"

#include <checkstrip/agronomy.h>

#include <math.h>
#include <string.h>

#define SCALE     "Vanderlip & Reeves 1972, Agron. J. 64; K-State S-3 (rev. 1993)"
#define DRY_GRAIN "Bean 2023, grain dry-down of sorghum in the fall (K-State: 20 hybrids, 2 years)"
#define CENTER    "High Plains Regional Climate Center, sorghum file of its weather network"
#define TEXAS     "Texas B-6137 (Gerik, Bean & Vanderlip 2003), from memory"
#define MARGIN    0.2 /* of the days: either way */

#define ROW(id, number, key, label, days, mark, synonyms, source)                                                      \
  [CKS_STAGE_##id] = {CKS_STAGE_##id, number, key, label, mark, days, synonyms, source}

/* A note that says bloom or flowering alone is taken for half-bloom: the bloom of one head lasts some days. Words for
 * a part of a stage (early bloom, late boot), and maturity alone, which may be harvest's, name no stage here. Nor do
 * GS1 to GS3: they may be numbers of this scale or the three phases of growth. */
static const cks_stage_fact stages[CKS_STAGE_COUNT] = {
    ROW(PLANTING, -1, "planting", "planting", NAN, "seed is in the ground", "planted|sowing|sown|seeding|seeded",
        "no stage: an origin"),
    ROW(EMERGENCE, 0, "emergence", "emergence", 0, "first shoots show at the soil surface",
        "0|stage 0|emerged|emerging", SCALE),
    ROW(THREE_LEAF, 1, "three-leaf", "three-leaf", 10, "collar of the third leaf shows",
        "1|stage 1|3 leaf|3 leaves|three leaves|3rd leaf|third leaf|3 leaf stage|three leaf stage", SCALE),
    ROW(FIVE_LEAF, 2, "five-leaf", "five-leaf", 20, "collar of the fifth leaf shows",
        "2|stage 2|5 leaf|5 leaves|five leaves|5th leaf|fifth leaf|5 leaf stage|five leaf stage", SCALE),
    ROW(DIFFERENTIATION, 3, "differentiation", "growing point differentiation", 30,
        "about eight leaves; the growing point has turned from leaves to head",
        "3|stage 3|gpd|growing point diff|gp differentiation|panicle initiation|panicle differentiation|"
        "head initiation",
        SCALE),
    ROW(FLAG_LEAF, 4, "flag-leaf", "flag leaf", 40, "the last leaf shows in the whorl",
        "4|stage 4|flag|final leaf|last leaf|flag leaf visible|flag leaf stage|flag leaf visible in whorl", SCALE),
    ROW(BOOT, 5, "boot", "boot", 50, "the head has swelled inside the sheath of the flag leaf",
        "5|stage 5|booting|boot stage|in boot|full boot", SCALE),
    ROW(HEADING, -1, "heading", "heading", NAN, "heads have come out of the sheath",
        "headed|heading stage|head emergence|panicle emergence", TEXAS),
    ROW(MID_BLOOM, 6, "mid-bloom", "mid-bloom", 60, "half of the plants are at some stage of bloom",
        "6|stage 6|half bloom|50% bloom|50 percent bloom|bloom|bloom 50%|mid flower|mid flowering|half flower|"
        "flowering|50% flowering|50 percent flowering|50% flower|anthesis|50% anthesis|mid anthesis",
        SCALE),
    ROW(MILK, -1, "milk", "milk", NAN, "a kernel that is pressed gives a white milk", "milk stage|milky|milk ripe",
        "common practice, no source"),
    ROW(SOFT_DOUGH, 7, "soft-dough", "soft dough", 70,
        "a kernel still gives way between the fingers, with little milk or none", "7|stage 7|soft dough stage", SCALE),
    ROW(HARD_DOUGH, 8, "hard-dough", "hard dough", 85, "a kernel no longer gives way between the fingers",
        "8|stage 8|hard dough stage", SCALE),
    ROW(BLACK_LAYER, 9, "black-layer", "black layer", 95,
        "a dark spot stands at the base of the kernel: its dry weight grows no more",
        "9|stage 9|black layer stage|physiological maturity|physiologically mature|physiologic maturity|"
        "phys maturity|phys mat",
        SCALE),
    ROW(HARVEST_MOISTURE, -1, "harvest-moisture", "harvest moisture", NAN, "grain has dried to 14 %",
        "harvest ready|ready to harvest|harvest ripe|harvest maturity|harvestable", DRY_GRAIN),
};

/* Ranges that a source prints. */
typedef struct {
  cks_stage from, to;
  cks_figure days;
  const char *source;
} published_interval;

static const published_interval intervals[] = {
    /* the middle: three-phase view of growth, a Texas training of 2005; Texas B-6137 has 5 to 10 days */
    {CKS_STAGE_PLANTING, CKS_STAGE_EMERGENCE, {3, 6, 10}, SCALE "; middle: a Texas sorghum training, 2005"},
    {CKS_STAGE_HARD_DOUGH, CKS_STAGE_BLACK_LAYER, {10, NAN, 14}, DRY_GRAIN},
    {CKS_STAGE_BLACK_LAYER, CKS_STAGE_HARVEST_MOISTURE, {16, 23, 32}, DRY_GRAIN},
};
enum { N_INTERVALS = sizeof intervals / sizeof *intervals };

/* Points of moisture a day after black layer. */
#define DRY_SLOW  0.64
#define DRY_USUAL 0.76
#define DRY_FAST  0.99

/* clang-format off */
static const cks_trade_fact notes[] = {
    {"head-bloom", "sorghum", "bloom of one head, top to bottom", {4, NAN, 7},
     "days", "", "a farm paper's sorghum column on boot to maturity, June 2024"},
    {"head-bloom-older", "sorghum", "bloom of one head, top to bottom", {4, NAN, 9}, "days", "", "from memory"},
    {"bloom-to-maturity", "sorghum", "half-bloom to black layer", {NAN, 35, NAN},
     "days", "about five weeks", "Trostle 2021, Texas A&M AgriLife; " SCALE},
    {"grain-fill-phase", "sorghum", "third phase of growth, bloom to black layer", {32, NAN, 35},
     "days", "", "a Texas sorghum training, 2005"},
    {"bloom-to-maturity-heat", "sorghum", "flowering to maturity", {800, NAN, 1200},
     "heat units, base 50 F", "", "K-State eUpdate 565-1"},
    {"moisture-after-bloom", "sorghum", "grain moisture after flowering", {80, NAN, 90}, "%", "", DRY_GRAIN},
    {"moisture-hard-dough", "sorghum", "grain moisture at hard dough", {50, NAN, 60}, "%", "", DRY_GRAIN},
    {"moisture-black-layer", "sorghum", "grain moisture at black layer", {25, NAN, 35}, "%", "", DRY_GRAIN},
    {"dry-down", "sorghum", "grain dry-down after black layer", {DRY_SLOW, DRY_USUAL, DRY_FAST},
     "points a day", "", DRY_GRAIN},
};
/* clang-format on */
enum { N_NOTES = sizeof notes / sizeof *notes };

/* Columns in the order of cks_stage. Texas B-6137 has a four-leaf row too (575); its base and cap are from memory. */
/* clang-format off */
static const cks_stage_scheme schemes[] = {
    /*  plant emerge    3     5  diff  flag  boot  head bloom  milk  soft  hard black harvest */
    {"k-state-medium-early", "K-State, medium-early hybrids", CKS_STAGE_PLANTING, "sorghum-50-100-f",
     {   0,    99,  252,  396,  702,  954, 1206,  NAN, 1440,  NAN, 1746, 2196, 2556, NAN}, "K-State eUpdate 661-1"},
    {"k-state-medium-late", "K-State, medium-late hybrids", CKS_STAGE_PLANTING, "sorghum-50-100-f",
     {   0,   198,  360,  594, 1152, 1404, 1647,  NAN, 1908,  NAN, 2196, 2646, 3006, NAN}, "K-State eUpdate 661-1"},
    {"climate-center-early", "climate center, first (earliest) maturity group", CKS_STAGE_EMERGENCE, "sorghum-50-86-f",
     { NAN,     0,  200,  484,  748,  990, 1232,  NAN, 1466.8, NAN, 1616, 1808, 2000, NAN}, CENTER},
    {"climate-center-medium", "climate center, second maturity group", CKS_STAGE_EMERGENCE, "sorghum-50-86-f",
     { NAN,     0,  200,  484,  748,  990, 1232,  NAN, 1528,  NAN, 1716, 1958, 2200, NAN}, CENTER},
    {"climate-center-late", "climate center, third (latest) maturity group", CKS_STAGE_EMERGENCE, "sorghum-50-86-f",
     { NAN,     0,  200,  484,  748,  990, 1232,  NAN, 1589.2, NAN, 1816, 2108, 2400, NAN}, CENTER},
    {"texas-short-season", "Texas, short-season hybrids", CKS_STAGE_PLANTING, "sorghum-50-100-f",
     {   0,   200,  500,  660,  924, 1287, 1683, 1749, 1848,  NAN, 2211, 2508, 2673, NAN}, TEXAS},
    {"texas-long-season", "Texas, long-season hybrids", CKS_STAGE_PLANTING, "sorghum-50-100-f",
     {   0,   200,  500,  660, 1365, 1470, 1750, 1890, 1995,  NAN, 2310, 2765, 3360, NAN}, TEXAS},
};
/* clang-format on */
enum { N_SCHEMES = sizeof schemes / sizeof *schemes };

const cks_stage_fact *cks_stage_at(cks_stage stage)
{
  return (unsigned)stage < CKS_STAGE_COUNT ? &stages[stage] : NULL;
}

const cks_stage_fact *cks_stage_find(const char *text)
{
  for (size_t i = 0; i < CKS_STAGE_COUNT; i++)
    if (cks_words_has(stages[i].key, text) || cks_words_has(stages[i].label, text) ||
        cks_words_has(stages[i].synonyms, text))
      return &stages[i];
  return NULL;
}

const char *cks_width_text(cks_width width)
{
#define WIDTH_TEXT(id, text) text,
  static const char *const texts[CKS_WIDTH_COUNT] = {CKS_WIDTHS(WIDTH_TEXT)};
#undef WIDTH_TEXT
  return (unsigned)width < CKS_WIDTH_COUNT ? texts[width] : "";
}

static const cks_stage_interval no_interval = {{NAN, NAN, NAN}, CKS_WIDTH_ORDER, NULL, NULL};

/* As printed by a source, or the days of the scale with our margin. */
static cks_stage_interval single(cks_stage from, cks_stage to)
{
  for (size_t i = 0; i < N_INTERVALS; i++)
    if (intervals[i].from == from && intervals[i].to == to)
      return (cks_stage_interval){intervals[i].days, CKS_WIDTH_PUBLISHED, intervals[i].source, NULL};
  double days = stages[to].days - stages[from].days;
  if (from < CKS_STAGE_BOOT || cks_is_missing(days)) return no_interval;
  return (cks_stage_interval){{days * (1 - MARGIN), days, days * (1 + MARGIN)}, CKS_WIDTH_FIFTH, SCALE, NULL};
}

static cks_stage_interval to_milk(cks_stage from)
{
  cks_stage_interval bloom = single(from, CKS_STAGE_MID_BLOOM), dough = single(from, CKS_STAGE_SOFT_DOUGH);
  if (from > CKS_STAGE_MID_BLOOM || !bloom.source) return no_interval;
  return (cks_stage_interval){{bloom.days.low, NAN, dough.days.high}, CKS_WIDTH_ORDER, SCALE, NULL};
}

static cks_stage_interval to_harvest(cks_stage from)
{
  cks_stage_interval a = single(from, CKS_STAGE_BLACK_LAYER),
                     b = single(CKS_STAGE_BLACK_LAYER, CKS_STAGE_HARVEST_MOISTURE);
  if (!a.source || from == CKS_STAGE_BLACK_LAYER) return a.source ? b : no_interval;
  return (cks_stage_interval){
      {a.days.low + b.days.low, a.days.usual + b.days.usual, a.days.high + b.days.high}, a.width, a.source, b.source};
}

cks_stage_interval cks_stage_days(cks_stage from, cks_stage to)
{
  if ((unsigned)from >= CKS_STAGE_COUNT || (unsigned)to >= CKS_STAGE_COUNT || from >= to) return no_interval;
  if (to == CKS_STAGE_MILK) return to_milk(from);
  return to == CKS_STAGE_HARVEST_MOISTURE ? to_harvest(from) : single(from, to);
}

cks_figure cks_dry_down_days(double moisture_pct, double to_pct)
{
  if (!(moisture_pct >= 0 && moisture_pct < 100 && to_pct >= 0 && to_pct < 100))
    return (cks_figure){cks_missing(), cks_missing(), cks_missing()};
  double points = moisture_pct > to_pct ? moisture_pct - to_pct : 0;
  return (cks_figure){points / DRY_FAST, points / DRY_USUAL, points / DRY_SLOW};
}

const cks_trade_fact *cks_stage_note_at(size_t i) { return i < N_NOTES ? &notes[i] : NULL; }

const cks_stage_scheme *cks_stage_scheme_at(size_t i) { return i < N_SCHEMES ? &schemes[i] : NULL; }

const cks_stage_scheme *cks_stage_scheme_find(const char *key)
{
  for (size_t i = 0; i < N_SCHEMES; i++)
    if (!strcmp(schemes[i].key, key)) return &schemes[i];
  return NULL;
}

double cks_stage_units(const cks_stage_scheme *scheme, cks_stage stage)
{
  return scheme && (unsigned)stage < CKS_STAGE_COUNT ? scheme->units[stage] : cks_missing();
}

double cks_stage_units_left(const cks_stage_scheme *scheme, cks_stage stage)
{
  return cks_stage_units(scheme, CKS_STAGE_BLACK_LAYER) - cks_stage_units(scheme, stage);
}
