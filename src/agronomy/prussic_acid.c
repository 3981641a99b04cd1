/*
 * prussic_acid.c: published cautions on prussic acid (HCN) in sorghum forage.
 *
 * Sources give different waits and heights; they stand side by side, none is chosen and none is a promise. The 200
 * ppm of the plant as it is and the 500 ppm of its dry matter are one limit at 40 % dry matter only.
 */
#include <checkstrip/agronomy.h>

#include <math.h>

#define SORGHUMS    "sorghum"
#define SUDAN       "sudangrass"
#define SUDAN_CROSS "sorghum-sudangrass"
#define K_STATE     "Bean, in K-State eUpdate 302"
#define PENN_STATE  "Penn State Extension (Duppstadt)"
#define REPRINT     "a forage seed supplier's reprint"
#define TEXAS       REPRINT "; Texas A&M, printed in Hay & Forage Grower"

/* clang-format off */
static const cks_trade_fact facts[] = {
    {"toxic-as-is", SORGHUMS, "HCN of the plant as it is, above which it is potentially toxic", {NAN, 200, NAN},
     "ppm, as is", "not to be the only feed", K_STATE},
    {"toxic-dry", SORGHUMS, "HCN of dry matter, above which it is potentially toxic", {NAN, 500, NAN},
     "ppm, dry basis", "not to be the only feed", K_STATE},
    {"deadly-dry", SORGHUMS, "HCN of dry tissue that can kill", {NAN, 1000, NAN}, "ppm, dry basis", "", PENN_STATE},
    {"wait-frost-texas", SORGHUMS, "wait after a killing frost", {5, NAN, 6}, "days", "", TEXAS},
    {"wait-frost-k-state", SORGHUMS, "wait after a killing frost", {NAN, 7, NAN}, "days", "about", K_STATE},
    {"wait-frost-older", SORGHUMS, "wait after a frost", {10, NAN, 14},
     "days", "older advice", "a cattle trade paper on frosted forage"},
    {"shoots-sudangrass", SUDAN, "least height of new shoots before grazing", {18, NAN, 20}, "in", "", REPRINT},
    {"shoots-cross", SUDAN_CROSS, "least height of new shoots before grazing", {24, NAN, 30},
     "in", "", TEXAS " (24 in)"},
    {"silage-k-state", SORGHUMS, "wait before silage is fed", {NAN, 4, NAN}, "weeks", "", K_STATE},
    {"silage-longer", SORGHUMS, "wait before silage is fed", {NAN, 8, NAN}, "weeks", "", REPRINT},
    {"sudangrass-less", SUDAN, "HCN less than in other sorghums", {NAN, 40, NAN},
     "%", "about; less is not none", PENN_STATE},
};
/* clang-format on */
enum { N_FACTS = sizeof facts / sizeof *facts };

const cks_trade_fact *cks_prussic_acid_at(size_t i) { return i < N_FACTS ? &facts[i] : NULL; }
