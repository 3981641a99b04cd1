/*
 * test_audit_rules.c: every rule of CKS_RULES by the smallest plot list that raises it, with the line it points at; a
 * near miss that does not raise it; and for an error the cure that its own text names, after which the table reads
 * without errors.
 */
#include "support/make_xlsx.h"
#include "support/support.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define COUNT(array) (sizeof(array) / sizeof *(array))
enum { MOST_OPTIONS = 2, A_MEBIBYTE = 1 << 20 };

typedef struct {
  const char *option, *key, *value; /* "without", "location", "Creek" */
} given;

typedef struct {
  const char *csv, *second, *places, *names; /* plots.csv, second.csv, places.csv, names.csv */
  given with[MOST_OPTIONS];
  size_t n;                             /* bytes of csv when it holds NUL; 0: its length */
  size_t blow;                          /* '@' in csv stands for so many letters; 0: it is none */
  test_book book;                       /* with a sheet: plots.csv is this workbook */
  const char *first_name, *second_name; /* NULL: plots.csv, second.csv */
  const char *weather, *normal;         /* weather.csv, normal.csv */
  const char *weather_name;             /* NULL: weather.csv */
} input;

typedef struct {
  cks_rule rule;
  const char *file; /* that it points at; NULL: none */
  uint32_t line;    /* 0: none */
  input raises, near_miss;
  const char *names; /* the words of the cure in an error's text */
  input cure;
} rule_case;

#define H        "location,rep,hybrid,yield (bu/ac)\n"
#define OBSERVED "location,rep,plot,hybrid,date,observer,trait,value\n"
#define WALKED   "location,rep,plot,hybrid,date,lodging\n"
#define ROWS     "A,1,Ash,90\nA,1,Bay,80\nA,2,Ash,91\nA,2,Bay,83\n"
#define GOOD                                                                                                           \
  {                                                                                                                    \
    .csv = H ROWS                                                                                                      \
  }
#define CSV(text)                                                                                                      \
  {                                                                                                                    \
    .csv = text                                                                                                        \
  }
#define WITH(text, o, k, v)                                                                                            \
  {                                                                                                                    \
    .csv = text, .with = { {o, k, v} }                                                                                 \
  }
/* Green tons and moisture of two plots in two cuts. */
#define FORAGE(text) WITH(text, "crop", "sorghum-sudangrass", NULL)
#define HC           "location,rep,plot,cut,hybrid,wet yield (ton/ac),moisture\n"
#define CUTS         "A,1,101,1,Ash,6,80\nA,1,102,1,Bay,6,80\nA,1,101,2,Ash,4,82\nA,1,102,2,Bay,4,82\n"
#define HN(heading)  "location,rep,hybrid,wet yield (ton/ac),moisture,\"" heading "\"\nA,1,Ash,6,80,900\n"
#define CELL(text)                   "<c t=\"inlineStr\"><is><t>" text "</t></is></c>"
#define NUMBER(text)                 "<c><v>" text "</v></c>"
#define HEADINGS                     "<row r=\"1\">" CELL("location") CELL("rep") CELL("hybrid") CELL("yield (bu/ac)") "</row>"
#define ROW(attribute, hybrid, cell) "<row " attribute ">" CELL("A") NUMBER("1") CELL(hybrid) cell "</row>"
#define SHEET(rows)                  "<sheetData>" HEADINGS rows "</sheetData>"
#define ASH                          ROW("r=\"2\"", "Ash", NUMBER("90"))
#define BAY                          ROW("r=\"3\"", "Bay", NUMBER("80"))
#define BOOK(content)                                                                                                  \
  {                                                                                                                    \
    .book = {.sheet = {{"Creek", NULL, content}} }                                                                     \
  }
#define STYLED(code, content)                                                                                          \
  {                                                                                                                    \
    .book = {                                                                                                          \
      .sheet = {{"Creek", NULL, content}},                                                                             \
      .styles = "<numFmts><numFmt numFmtId=\"170\" formatCode=\"" code                                                 \
                "\"/></numFmts><cellXfs><xf/><xf numFmtId=\"170\"/></cellXfs>"                                         \
    }                                                                                                                  \
  }
#define TWO(text, other)                                                                                               \
  {                                                                                                                    \
    .csv = text, .second = other                                                                                       \
  }
#define DAILY(rows)                                                                                                    \
  {                                                                                                                    \
    .csv = H ROWS, .weather = "date,high (F),low (F)\n" rows                                                           \
  }
#define WEATHER_LIST(text)                                                                                             \
  {                                                                                                                    \
    .csv = H ROWS, .weather = text                                                                                     \
  }
#define WEATHER  "weather.csv"
#define RULE(id) CKS_RULE_##id
#define PLOTS    "plots.csv"
#define EIGHT(place, rep, end)                                                                                         \
  place rep ",Ash,90\n" place rep ",Bay,81\n" place rep ",Cob,72\n" place rep ",Dun,93\n" place rep                    \
            ",Elm,84\n" place rep ",Fig,75\n" place rep ",Gum,96\n" place rep ",Hop," end "\n"
#define FIVE(rep, a, b, c, d, e)                                                                                       \
  "A," rep "," rep "01," a ",9" rep "\nA," rep "," rep "02," b ",8" rep "\nA," rep "," rep "03," c ",7" rep "\nA," rep \
  "," rep "04," d ",6" rep ".5\nA," rep "," rep "05," e ",5" rep ".5\n"
#define HP   "location,rep,plot,hybrid,yield (bu/ac)\n"
#define LIST "location,rep,plot,hybrid\nA,1,101,Ash\nA,1,102,Bay\n"
#define HB   "location,rep,brand,hybrid,yield (bu/ac)\nA,1,North,213,90\nA,1,South,Bay,80\n"
#define HM   "location,rep,hybrid,moisture (%)\n"
#define HW   "location,rep,hybrid,plot weight (lb),moisture (%)"
#define HD   "location,rep,hybrid,planted,mid_bloom"
#define HS   "location,strip,hybrid,check,yield (bu/ac)\n"
#define STRIPS(place, a, b, c, d, e)                                                                                   \
  place ",1," a ",,90\n" place ",2," b ",,85\n" place ",3,Gum,x,80\n" place ",4," c ",,82\n" place ",5," d               \
        ",,79\n" place ",6," e ",,91\n"

/* clang-format off */
static const rule_case cases[] = {
    /* the file as bytes */
    {RULE(EMPTY_TABLE), PLOTS, 0, CSV(""), GOOD, "a row a plot", GOOD},
    {RULE(EMPTY_TABLE), PLOTS, 0, CSV(H), CSV(H "A,1,Ash,90\n"), "give another file", GOOD},
    {RULE(NOT_TEXT), PLOTS, 2, {.csv = H "A,1,As\0h,90\n", .n = sizeof(H "A,1,As\0h,90\n") - 1}, CSV(H "A,1,Ash,90\n"), "save the sheet as CSV", GOOD},
    {RULE(EMPTY_TABLE), NULL, 0, WITH(H ROWS, "without", "location", "A"), WITH(H ROWS, "without", "rep", "1"), "what --without, --only and leave_out leave", WITH(H ROWS, "without", "rep", "1")},
    {RULE(ENCODING), PLOTS, 0, {.csv = "\xff\xfeh\0y\0\n\0", .n = 8}, CSV("\xef\xbb\xbf" H ROWS), "save it again", CSV("\xef\xbb\xbf" H ROWS)},
    {RULE(ENCODING_ASSUMED), PLOTS, 2, CSV(H "A,1,Caf\xe9 1,90\n"), CSV(H "A,1,Caf\xc3\xa9 1,90\n"), NULL, {0}},
    {RULE(NOT_TEXT), PLOTS, 0, CSV("\n<HTML><table><tr><td>hybrid</td></tr></table>\n"), CSV("location,rep,hybrid,yield (bu/ac),note\nA,1,Ash,90,<html\n"), "save the sheet as CSV", GOOD},
    {RULE(FILE_TWICE), "./plots.csv", 0, {.csv = H ROWS, .second = H ROWS, .second_name = "./plots.csv"}, {.csv = H ROWS, .second = H "B,1,Ash,90\n", .second_name = "b/plots.csv"}, "give it once", GOOD},
    {RULE(UNCLOSED_QUOTE), PLOTS, 3, CSV(H "A,1,Bay,80\nA,1,\"Ash,90\n"), CSV(H "A,1,Bay,80\nA,1,\"As\nh\",90\n"), "close it", CSV(H "A,1,Bay,80\nA,1,\"Ash\",90\n")},
    {RULE(STRAY_QUOTE), PLOTS, 2, CSV(H "A,1,As\"h,90\nA,1,Bay,80\n"), CSV(H "A,1,\"As\"\"h\",90\n"), "each quote inside it twice", CSV(H "A,1,\"As\"\"h\",90\nA,1,Bay,80\n")},
    {RULE(TOO_LARGE), PLOTS, 2, {.csv = H "A,1,@,90\n", .blow = A_MEBIBYTE}, {.csv = H "A,1,@,90\n", .blow = 1000}, "mend the line", GOOD},
    {RULE(EXTRA_CELLS), PLOTS, 2, CSV(H "A,1,Ash,90,5\n" ROWS), CSV(H "A,1,Ash,90,,\n"), "give the rest a heading", CSV("location,rep,hybrid,yield (bu/ac),more\nA,1,Ash,90,5\n" )},
    {RULE(SHORT_ROW), PLOTS, 3, CSV(H "A,1,Bay,80\nA,1,Ash\n"), CSV(H "A,1,Bay,80\nA,1,Ash,\n"), NULL, {0}},
    /* headings and units */
    {RULE(HEADING_UNKNOWN), PLOTS, 1, CSV("location,rep,hybrid,yield (bu/ac),zzqx\nA,1,Ash,90,5\n"), WITH("location,rep,hybrid,yield (bu/ac),zzqx\nA,1,Ash,90,5\n", "trait", "zzqx", NULL), NULL, {0}},
    {RULE(HEADING_NEAR), PLOTS, 1, CSV("location,rep,hybrid,yield (bu/ac),moistrue\nA,1,Ash,90,14\n"), CSV("location,rep,hybrid,yield (bu/ac),moisture\nA,1,Ash,90,14\n"), NULL, {0}},
    {RULE(STAGE_UNKNOWN), PLOTS, 3, CSV("location,rep,hybrid,yield (bu/ac),stage 2026-08-17\nA,1,Ash,90,milk\nA,1,Bay,80,late milk\n"), CSV("location,rep,hybrid,yield (bu/ac),stage 2026-08-17\nA,1,Ash,90,milk\nA,1,Bay,80,Soft Dough\n"), NULL, {0}},
    {RULE(STAGE_UNKNOWN), PLOTS, 2, CSV("location,rep,hybrid,yield (bu/ac),stage\nA,1,Ash,90,R1\n"), CSV("location,crop,rep,hybrid,yield (bu/ac),stage\nA,corn,1,Ash,90,R1\n"), NULL, {0}},
    {RULE(NOT_ANALYZED), PLOTS, 1, CSV("location,rep,hybrid,yield (bu/ac),panicle type\nA,1,Ash,90,open\n"), CSV("location,rep,hybrid,yield (bu/ac),dry matter\nA,1,Ash,90,35\n"), NULL, {0}},
    {RULE(NOT_ANALYZED), PLOTS, 1, CSV("location,rep,hybrid,yield (bu/ac),green weight (lb)\nA,1,Ash,90,40\n"), WITH("location,rep,hybrid,yield (bu/ac),green weight (lb)\nA,1,Ash,90,40\n", "trait", "green weight", NULL), NULL, {0}},
    {RULE(NOT_ANALYZED), "places.csv", 1, {.csv = H ROWS, .places = "location,moisture (%)\nA,14\n"}, {.csv = H ROWS, .places = "location,soil\nA,loam\n"}, NULL, {0}},
    {RULE(NOT_ANALYZED), "names.csv", 1, {.csv = H ROWS, .names = "hybrid,planted\nAsh,2026-05-20\nBay,\n"}, {.csv = H ROWS, .names = "hybrid,seed cost\nAsh,190\nBay,\n"}, NULL, {0}},
    {RULE(HEADING_WORDS), PLOTS, 2, CSV("Ort,hybrid,yield (bu/ac)\nMoor,Ash,90\nMoor,Bay,80\n"), CSV("Wdh,hybrid,yield (bu/ac)\n1,Ash,90\n1,Bay,80\n"), NULL, {0}},
    {RULE(HEADING_WORDS), PLOTS, 2, CSV("Ort,hybrid,yield (bu/ac)\nMoor,Ash,90\nMoor,Bay,80\n"), WITH("Ort,hybrid,yield (bu/ac)\nMoor,Ash,90\nMoor,Bay,80\n", "heading", "location", "Ort"), NULL, {0}},
    {RULE(HEADING_WORDS), PLOTS, 2, CSV("field,rep,hybrid,yield (bu/ac)\nUpper,1,Ash,90\nUpper,1,Bay,80\nLower,1,Ash,91\nLower,1,Bay,82\n"), CSV("gene,rep,hybrid,yield (bu/ac)\nUpper,1,Ash,90\nUpper,1,Bay,80\n"), "no column says location; if it does give --heading location=", WITH("field,rep,hybrid,yield (bu/ac)\nUpper,1,Ash,90\nUpper,1,Bay,80\nLower,1,Ash,91\nLower,1,Bay,82\n", "heading", "location", "field")},
    {RULE(HEADING_MISSING), PLOTS, 2, CSV("location,rep,hybrid,yield (bu/ac),\nA,1,Ash,90,5\n"), CSV("location,rep,hybrid,yield (bu/ac),\nA,1,Ash,90,\n"), NULL, {0}},
    {RULE(HEADING_NOT_THERE), NULL, 0, WITH(H ROWS, "trait", "zzqx", NULL), WITH(H ROWS, "trait", "yield", NULL), "the headings are", WITH(H ROWS, "trait", "yield", NULL)},
    {RULE(HEADING_NOT_THERE), NULL, 0, WITH(H ROWS, "without", "location", "Creek"), WITH(H ROWS, "without", "rep", "2"), "check its spelling", WITH(H ROWS, "without", "rep", "2")},
    {RULE(HEADING_NOT_THERE), NULL, 0, WITH(H ROWS, "only", "county", "Cass"), WITH(H ROWS, "only", "location", "a"), "help headings", WITH(H ROWS, "only", "location", "A")},
    {RULE(TWO_COLUMNS), PLOTS, 1, CSV("location,rep,hybrid,yield,Yield\nA,1,Ash,90,91\n"), CSV("location,rep,hybrid,yield,wet yield\nA,1,Ash,90,91\n"), "(columns 4 and 5) both stand for yield; rename the one that is not meant", CSV("location,rep,hybrid,old yield,Yield\nA,1,Ash,90,91\n")},
    {RULE(TWO_COLUMNS), PLOTS, 1, CSV("location,rep,hybrid,yield (bu/ac),yld (bu/ac)\nA,1,Ash,90,91\n"), CSV("location,rep,hybrid,yield (bu/ac),wet yield (bu/ac)\nA,1,Ash,90,91\n"), "--heading yield=", WITH("location,rep,hybrid,yield (bu/ac),yld (bu/ac)\nA,1,Ash,90,91\n", "heading", "yield", "yld (bu/ac)")},
    {RULE(NO_HYBRID), NULL, 0, CSV("location,rep,who,yield (bu/ac)\n" ROWS), CSV("location,rep,variety,yield (bu/ac)\n" ROWS), "--heading hybrid=", WITH("location,rep,who,yield (bu/ac)\n" ROWS, "heading", "hybrid", "who")},
    {RULE(HYBRID_FROM), PLOTS, 1, CSV("location,rep,entry,yield (bu/ac)\n" ROWS), CSV(H ROWS), NULL, {0}},
    {RULE(NO_TRAIT), NULL, 0, CSV("location,rep,hybrid,oil\n" ROWS), CSV(H "A,1,Ash,90\nA,1,Bay,\n"), "--trait HEADING", WITH("location,rep,hybrid,oil\n" ROWS, "trait", "oil", NULL)},
    {RULE(UNIT_UNKNOWN), PLOTS, 1, CSV("location,rep,hybrid,yield (zz)\n" ROWS), CSV(H ROWS), "--unit yield=", WITH("location,rep,hybrid,yield (zz)\n" ROWS, "unit", "yield", "bu/ac")},
    {RULE(UNIT_UNKNOWN), NULL, 0, WITH(H ROWS, "unit", "yield", "zz"), WITH(H ROWS, "unit", "yield", "bushels per acre"), "give one such as", WITH(H ROWS, "unit", "yield", "bu/ac")},
    {RULE(UNIT_FROM_HEADING), PLOTS, 1, WITH(H ROWS, "unit", "yield", "lb/ac"), WITH(H "A,1,Ash,5904\nA,1,Bay,5800\n", "unit", "yield (bu/ac)", "lb/ac"), NULL, {0}},
    {RULE(UNIT_ABOVE), PLOTS, 1, CSV("Yields in kg/ha\nlocation,rep,hybrid,yield\n" ROWS), CSV("Yields in kg/ha\n" H ROWS), "--unit yield=kg/ha", GOOD},
    {RULE(UNIT_ABOVE), PLOTS, 1, CSV("Heights in cm\nlocation,rep,hybrid,yield,plant height\nA,1,Ash,90,50\nA,1,Bay,80,51\n"), CSV("Row spacing 30 cm, heights in inches\nlocation,rep,hybrid,yield,plant height\nA,1,Ash,90,50\nA,1,Bay,80,51\n"), "'plant height (cm)'", CSV("Heights in cm\nlocation,rep,hybrid,yield,plant height (cm)\nA,1,Ash,90,150\nA,1,Bay,80,151\n")},
    {RULE(UNIT_ABOVE), PLOTS, 1, CSV("Corn strips (bu/A @ 15%)\n" H ROWS), CSV("Yields: LSD at 5 % level\n" H ROWS), "'yield (bu/ac) (at 15 %)'", CSV("Corn strips (bu/A @ 15%)\nlocation,rep,hybrid,yield (bu/ac) (at 15 %)\n" ROWS)},
    {RULE(UNIT_ABOVE), PLOTS, 1, CSV("Tons/acre at 65% moisture\nlocation,rep,hybrid,yield (ton/ac)\nA,1,Ash,24\nA,1,Bay,26\n"), CSV("Planted at 65 % humidity\nlocation,rep,hybrid,yield (ton/ac)\nA,1,Ash,4\nA,1,Bay,6\n"), "names 65 % moisture", GOOD},
    {RULE(UNIT_ABOVE), PLOTS, 1, CSV("Yields in t/ha 13.5 % H2O\nlocation,rep,hybrid,yield (t/ha)\nA,1,Ash,5\nA,1,Bay,6\n"), CSV("Yields in t/ha 13.5 % H2O\nlocation,rep,hybrid,\"yield (t/ha, 14 %)\"\nA,1,Ash,5\nA,1,Bay,6\n"), "names 13.5 % moisture", GOOD},
    {RULE(UNIT_ASSUMED), PLOTS, 1, CSV("location,rep,hybrid,yield\n" ROWS), CSV(H ROWS), NULL, {0}},
    {RULE(UNIT_UNLIKELY), PLOTS, 1, CSV("location,rep,hybrid,yield\nA,1,Ash,5904\nA,1,Bay,5800\n"), CSV("location,rep,hybrid,yield\nA,1,Ash,319\nA,1,Bay,318\n"), "lb/ac or kg/ha?", WITH("location,rep,hybrid,yield\nA,1,Ash,5904\nA,1,Bay,5800\n", "unit", "yield", "lb/ac")},
    {RULE(UNIT_UNLIKELY), PLOTS, 1, CSV("location,rep,hybrid,yield\nA,1,Ash,331\nA,1,Bay,345\n"), WITH("location,rep,hybrid,yield\nA,1,Ash,331\nA,1,Bay,345\n", "crop", "corn", NULL), "--crop corn", WITH("location,rep,hybrid,yield\nA,1,Ash,331\nA,1,Bay,345\n", "crop", "corn", NULL)},
    {RULE(UNIT_DOUBTFUL), NULL, 0, CSV("location,rep,hybrid,weight (lb),moisture,length (ft),width (ft)\nA,1,Ash,1.5,14,100,10\nA,1,Bay,1.6,14,100,10\n"), CSV("location,rep,hybrid,weight (lb),moisture,length (ft),width (ft)\nA,1,Ash,60,14,100,10\nA,1,Bay,61,14,100,10\n"), NULL, {0}},
    {RULE(UNIT_DOUBTFUL), PLOTS, 1, CSV("location,rep,hybrid,yield\nA,1,Ash,6.1\nA,1,Bay,7.2\n"), CSV("location,rep,hybrid,yield\nA,1,Ash,16\nA,1,Bay,17\n"), NULL, {0}},
    {RULE(UNIT_DOUBTFUL), PLOTS, 1, CSV(H "A,1,Ash,5904\nA,1,Bay,5800\n"), CSV("location,rep,hybrid,yield (lb/ac)\nA,1,Ash,5904\nA,1,Bay,5800\n"), NULL, {0}},
    {RULE(UNIT_DOUBTFUL), PLOTS, 1, CSV("location,rep,hybrid,yield (ton/ac at 65 %)\nA,1,Ash,24.1\nA,1,Bay,26.2\n"), CSV("location,rep,hybrid,yield (ton/ac)\nA,1,Ash,3.1\nA,1,Bay,3.2\n"), "silage or green matter?", GOOD},
    {RULE(TWO_UNITS), PLOTS, 3, CSV("location,rep,hybrid,trait,value,unit\nA,1,Ash,yield,90,bu/ac\nA,1,Bay,yield,5000,lb/ac\n"), CSV("location,rep,hybrid,trait,value,unit\nA,1,Ash,yield,90,bu/ac\nA,1,Bay,yield,80,bu/ac\n"), "elsewhere in this file", CSV(H ROWS)},
    {RULE(TWO_UNITS), "second.csv", 1, {.csv = H "A,1,Ash,90\n", .second = "location,rep,hybrid,yield (kg/ha)\nB,1,Ash,5600\n"}, {.csv = H "A,1,Ash,90\n", .second = H "B,1,Ash,91\n"}, NULL, {0}},
    {RULE(BASIS_ASSUMED), PLOTS, 1, CSV(H ROWS), CSV("location,rep,hybrid,\"yield at 13 % (bu/ac)\"\n" ROWS), NULL, {0}},
    {RULE(CROP_ASSUMED), NULL, 0, CSV(H ROWS), WITH(H ROWS, "crop", "milo", NULL), NULL, {0}},
    {RULE(CROP_DOUBTFUL), NULL, 0, CSV("Corn strips\n" H ROWS), WITH("Corn strips\n" H ROWS, "crop", "corn", NULL), NULL, {0}},
    {RULE(CROP_DOUBTFUL), NULL, 0, CSV("location,rep,hybrid,\"yield at 15.5 % (bu/ac)\"\n" ROWS), CSV("location,rep,hybrid,\"yield at 13.5 % (bu/ac)\"\n" ROWS), NULL, {0}},
    {RULE(CROP_DOUBTFUL), NULL, 0, CSV("Sorghum-sudangrass 2026\n" H ROWS), CSV("Grain sorghum, Forage Farm\n" H ROWS), "--crop sorghum-sudangrass", WITH("Sorghum-sudangrass 2026\n" H ROWS, "crop", "grain-sorghum", NULL)},
    {RULE(CROP_DOUBTFUL), NULL, 0, CSV("Corn silage\n" H ROWS), WITH("Corn silage\n" H ROWS, "crop", "corn", NULL), "give --crop corn", WITH("Corn silage\n" H ROWS, "crop", "corn", NULL)},
    {RULE(TWO_CROPS), PLOTS, 3, CSV("location,rep,crop,hybrid,yield (bu/ac)\nA,1,corn,Ash,90\nA,1,milo,Bay,80\n"), CSV("location,rep,crop,hybrid,yield (bu/ac)\nA,1,milo,Ash,90\nA,1,Grain Sorghum,Bay,80\n"), "--only crop=", WITH("location,rep,crop,hybrid,yield (bu/ac)\nA,1,corn,Ash,90\nA,1,milo,Bay,80\n", "only", "crop", "milo")},
    {RULE(CROP_UNKNOWN), NULL, 0, WITH(H ROWS, "crop", "turnip", NULL), WITH(H ROWS, "crop", "Maize", NULL), "help crops", WITH(H ROWS, "crop", "corn", NULL)},
    {RULE(CROP_UNKNOWN), PLOTS, 2, CSV("location,rep,crop,hybrid,yield (bu/ac)\nA,1,turnip,Ash,90\n"), CSV("location,rep,crop,hybrid,yield (bu/ac)\nA,1,,Ash,90\n"), "--crop", WITH("location,rep,crop,hybrid,yield (bu/ac)\nA,1,turnip,Ash,90\n", "crop", "corn", NULL)},
    /* where the table stands */
    {RULE(ROWS_ABOVE), PLOTS, 1, CSV("Trial of the year\n" H ROWS), GOOD, NULL, {0}},
    {RULE(SAID_ABOVE), PLOTS, 1, CSV("Location: Creek,Year: 2026\nrep,hybrid,yield (bu/ac)\n1,Ash,90\n1,Bay,80\n"), CSV("Location: Creek\n" H ROWS), NULL, {0}},
    {RULE(LOCATION_ABOVE), "Sheet1.csv", 1, {.csv = "Cutler Flat,,\nrep,hybrid,yield (bu/ac)\n1,Ash,90\n", .first_name = "Sheet1.csv"}, {.csv = "Cutler Flat,,\nrep,hybrid,yield (bu/ac)\n1,Ash,90\n", .first_name = "creek.csv"}, "write 'Location: Cutler Flat'", {.csv = "Location: Cutler Flat,,\nrep,hybrid,yield (bu/ac)\n1,Ash,90\n", .first_name = "Sheet1.csv"}},
    {RULE(HEADING_ROWS), PLOTS, 1, CSV("location,rep,hybrid,yield,test\n,,,bu/ac,weight\nA,1,Ash,90,58\nA,1,Bay,80,57\n"), GOOD, NULL, {0}},
    {RULE(NOT_A_PLOT), PLOTS, 6, CSV(H ROWS "A,,Mean,86\n"), CSV(H ROWS "A,1,Meaner,86\n"), NULL, {0}},
    {RULE(NOT_A_PLOT), PLOTS, 6, CSV(H ROWS "* birds came before the combine\n"), GOOD, NULL, {0}},
    {RULE(NOT_A_PLOT), PLOTS, 4, CSV(H "A,1,Ash,90\nA,1,Bay,80\n" H "A,2,Ash,91\nA,2,Bay,83\n"), GOOD, NULL, {0}},
    {RULE(SECOND_TABLE), PLOTS, 4, CSV(HM "A,1,Ash,14\nA,1,Bay,13\n" H "A,1,Ash,90\nA,1,Bay,80\n"), CSV(H "A,1,Ash,90\n" H "A,1,Bay,80\n"), "a file or sheet of its own", CSV(HM "A,1,Ash,14\nA,1,Bay,13\n")},
    {RULE(WIDE_TAKEN), PLOTS, 1, CSV("location,hybrid,yield rep 1,yield rep 2\nA,Ash,90,91\nA,Bay,80,83\n"), GOOD, NULL, {0}},
    {RULE(WIDE_TABLE), PLOTS, 1, CSV("hybrid,rep,yield,,hybrid,rep,yield\nAsh,1,90,,Ash,2,91\nBay,1,80,,Bay,2,83\n"), CSV("hybrid,rep,yield\nAsh,1,90\nBay,1,80\n"), "put the second below the first", CSV("hybrid,rep,yield\nAsh,1,90\nBay,1,80\nAsh,2,91\nBay,2,83\n")},
    {RULE(WIDE_TABLE), PLOTS, 1, CSV("location,hybrid,rep 1,rep 2\nA,Ash,90,91\nA,Bay,80,83\n"), CSV("location,hybrid,yield rep 1,yield rep 2\nA,Ash,90,91\nA,Bay,80,83\n"), "'yield rep 1' for 'rep 1'", CSV("location,hybrid,yield rep 1,yield rep 2\nA,Ash,90,91\nA,Bay,80,83\n")},
    {RULE(WIDE_TABLE), PLOTS, 1, CSV("rep,hybrid,Creek yield,Moor yield\n1,Ash,90,91\n1,Bay,80,83\n"), CSV("rep,hybrid,yield,Moor yield\n1,Ash,90,91\n1,Bay,80,83\n"), "in a row above the headings", CSV(",,Creek,Moor\nrep,hybrid,yield,yield\n1,Ash,90,91\n1,Bay,80,83\n")},
    {RULE(WIDE_TABLE), PLOTS, 1, CSV(",,Creek,,Moor\nrep,hybrid,yield,moisture,yield\n1,Ash,90,14,91\n1,Bay,80,14,83\n"), CSV(",,Creek,,Moor,\nrep,hybrid,yield,moisture,yield,moisture\n1,Ash,90,14,91,13\n1,Bay,80,14,83,13\n"), "the same columns under each place's name", CSV(",,Creek,,Moor,\nrep,hybrid,yield,moisture,yield,moisture\n1,Ash,90,14,91,\n1,Bay,80,14,83,\n")},
    {RULE(WIDE_TABLE), PLOTS, 1, CSV("location,rep,hybrid,yield rep 1,yield rep 2\nA,1,Ash,90,91\nA,1,Bay,80,83\n"), CSV("location,hybrid,yield rep 1,yield rep 2\nA,Ash,90,91\nA,Bay,80,83\n"), "leave one of the two out", CSV("location,hybrid,yield rep 1,yield rep 2\nA,Ash,90,91\nA,Bay,80,83\n")},
    {RULE(WIDE_TABLE), PLOTS, 1, CSV("hybrid,rep 1 (t/ha),rep 2 (t/ha)\nAsh,6,7\nBay,5,6\n"), CSV("yield,,\nhybrid,rep 1 (t/ha),rep 2 (t/ha)\nAsh,6,7\nBay,5,6\n"), "'yield rep 1 (t/ha)' for 'rep 1 (t/ha)'", CSV("hybrid,yield rep 1 (t/ha),yield rep 2 (t/ha)\nAsh,6,7\nBay,5,6\n")},
    {RULE(WIDE_TABLE), PLOTS, 1, CSV("hybrid,I,II\nAsh,90,91\nBay,80,83\n"), CSV("hybrid,yield,II\nAsh,90,91\nBay,80,83\n"), "'yield rep I' for 'I'", CSV("hybrid,yield rep I,yield rep II\nAsh,90,91\nBay,80,83\n")},
    {RULE(WIDE_TABLE), PLOTS, 1, CSV("hybrid,yield rep 1,yield rep 1\nAsh,90,91\nBay,80,83\n"), CSV("hybrid,yield rep 1,yield rep 2\nAsh,90,91\nBay,80,83\n"), "rename the one that is not meant", CSV("hybrid,yield rep 1,old rep 1\nAsh,90,91\nBay,80,83\n")},
    {RULE(WIDE_TABLE), PLOTS, 1, CSV("hybrid,Creek rep 1,Creek rep 2\nAsh,90,91\nBay,80,83\n"), CSV("hybrid,yield,Creek rep 1,Creek rep 2\nAsh,90,1,2\nBay,80,3,4\n"), "'yield rep 1'", CSV("hybrid,yield rep 1,yield rep 2\nAsh,90,91\nBay,80,83\n")},
    {RULE(WIDE_TABLE), PLOTS, 1, CSV("hybrid,2025,2026\nAsh,90,91\nBay,80,83\n"), CSV("yield (bu/ac)\nhybrid,2025,2026\nAsh,90,91\nBay,80,83\n"), "write the trait in the line above", CSV(",yield (bu/ac),\nhybrid,2025,2026\nAsh,90,91\nBay,80,83\n")},
    {RULE(WIDE_TABLE), PLOTS, 1, CSV("hybrid,Grange,Roke Hill\nAsh,90,91\nBay,80,83\n"), CSV("Grain yield bu/ac\nhybrid,Grange,Roke Hill\nAsh,90,91\nBay,80,83\n"), "write the trait in the line above", CSV(",yield (bu/ac),\nhybrid,Grange,Roke Hill\nAsh,90,91\nBay,80,83\n")},
    {RULE(WIDE_TABLE), PLOTS, 1, CSV("hybrid,Grange,Roke Hill\nAsh,90,91\nBay,80,83\n"), CSV("plot,hybrid,yield,Roke Hill,Packet\n1,Ash,90,1,1\n2,Bay,80,2,2\n"), "give --trait \"Grange\" --trait \"Roke Hill\"", WITH("hybrid,Grange,Roke Hill\nAsh,90,91\nBay,80,83\n", "trait", "Grange", NULL)},
    {RULE(WIDE_TABLE), PLOTS, 1, CSV("hybrid,Yield Creek (bu/ac),Yield Moor (bu/ac)\nAsh,90,91\nBay,80,83\n"), CSV("hybrid,Yield 2025 (bu/ac),Yield 2026 (bu/ac)\nAsh,90,91\nBay,80,83\n"), "('Moor' over 'Yield (bu/ac)')", CSV(",Creek,Moor\nhybrid,Yield (bu/ac),Yield (bu/ac)\nAsh,90,91\nBay,80,83\n")},
    /* joining of files */
    /* rows that are one observation each */
    {RULE(OBSERVATIONS_TAKEN), PLOTS, 1, CSV(OBSERVED "A,1,101,Ash,2026-09-01,JT,lodging,5\n"), CSV(H ROWS), NULL, {0}},
    {RULE(OBSERVATIONS_TAKEN), PLOTS, 1, CSV(WALKED "A,1,101,Ash,2026-09-01,5\nA,1,101,Ash,2026-10-03,9\n"), CSV(WALKED "A,1,101,Ash,2026-09-01,5\nA,1,102,Bay,2026-10-03,9\n"), NULL, {0}},
    {RULE(OBSERVED_TWICE), PLOTS, 3, CSV(OBSERVED "A,1,101,Ash,2026-09-01,JT,lodging,5\nA,1,101,Ash,2026-09-01,JT,lodging,9\n"), CSV(OBSERVED "A,1,101,Ash,2026-09-01,JT,lodging,5\nA,1,101,Ash,2026-09-01,MB,lodging,9\n"), "by columns 'date' and 'observer'", CSV(OBSERVED "A,1,101,Ash,2026-09-01,JT,lodging,5\nA,1,101,Ash,2026-09-08,JT,lodging,9\n")},
    {RULE(OBSERVED_TWICE), PLOTS, 3, CSV(OBSERVED "A,1,101,Ash,2026-10-01,JT,yield,90\nA,1,101,Ash,2026-10-02,JT,yield,80\n"), CSV(OBSERVED "A,1,101,Ash,2026-10-01,JT,yield,90\nA,1,102,Ash,2026-10-02,JT,yield,80\n"), "give the rows of another plot its number", CSV(OBSERVED "A,1,101,Ash,2026-10-01,JT,yield,90\nA,1,102,Ash,2026-10-02,JT,yield,80\n")},
    {RULE(OBSERVED_AGAIN), PLOTS, 3, CSV(OBSERVED "A,1,101,Ash,2026-09-01,JT,lodging,5\nA,1,101,Ash,2026-09-01,JT,lodging,5.0\n"), CSV(OBSERVED "A,1,101,Ash,2026-09-01,JT,lodging,5\nA,1,101,Ash,2026-09-01,MB,lodging,5\n"), NULL, {0}},
    {RULE(OBSERVED_OR_PLOT), PLOTS, 3, CSV("location,hybrid,observer,lodging (%)\nA,Ash,JT,5\nA,Ash,KM,7\n"), CSV("location,hybrid,observer,lodging (%)\nA,Ash,JT,5\nA,Bay,KM,7\n"), "add a plot or a rep column", CSV("location,plot,hybrid,observer,lodging (%)\nA,1,Ash,JT,5\nA,1,Ash,KM,7\n")},
    {RULE(OBSERVATION_UNDATED), PLOTS, 3, CSV(OBSERVED "A,1,101,Ash,2026-09-01,JT,lodging,5\nA,1,102,Bay,,JT,lodging,9\n"), CSV(OBSERVED "A,1,101,Ash,2026-09-01,JT,lodging,5\nA,1,101,Ash,,JT,yield,90\n"), NULL, {0}},
    {RULE(TRAIT_UNKNOWN), PLOTS, 3, CSV(OBSERVED "A,1,101,Ash,,,lodging,5\nA,1,101,Ash,,,zzqx,9\n"), WITH(OBSERVED "A,1,101,Ash,,,lodging,5\nA,1,101,Ash,,,zzqx,9\n", "trait", "zzqx", NULL), NULL, {0}},
    {RULE(TWO_COLUMNS), PLOTS, 2, CSV("plot,hybrid,yield,trait,value\n101,Ash,90,yield,91\n"), CSV("plot,hybrid,yield,trait,value\n101,Ash,90,lodging,5\n"), "keep one of them", CSV("plot,hybrid,trait,value\n101,Ash,yield,91\n")},
    {RULE(UNIT_UNKNOWN), PLOTS, 2, CSV("plot,hybrid,trait,unit,value\n101,Ash,yield,zz,91\n"), CSV("plot,hybrid,trait,unit,value\n101,Ash,yield,bu/ac,91\n"), "--unit yield=", WITH("plot,hybrid,trait,unit,value\n101,Ash,yield,zz,91\n", "unit", "yield", "bu/ac")},
    {RULE(MERGED_VALUE), PLOTS, 3, {.book = {.sheet = {{"Creek", NULL, "<sheetData><row r=\"1\">" CELL("plot") CELL("hybrid") CELL("trait") CELL("value") "</row><row r=\"2\">" NUMBER("101") CELL("Ash") CELL("lodging") NUMBER("5") "</row><row r=\"3\">" NUMBER("102") CELL("Bay") CELL("lodging") "</row></sheetData><mergeCells><mergeCell ref=\"D2:D3\"/></mergeCells>"}}}}, GOOD, "split the cells", GOOD},
    {RULE(JOINED), "second.csv", 0, TWO(LIST, "location,plot,yield (bu/ac)\nA,101,90\nA,102,80\n"), TWO(H "A,1,Ash,90\n", H "B,1,Ash,91\n"), NULL, {0}},
    {RULE(PLACE_UNCLEAR), "second.csv", 0, TWO(LIST "B,1,101,Ash\n", "plot,yield (bu/ac)\n101,90\n"), TWO(LIST "B,1,103,Ash\n", "plot,yield (bu/ac)\n101,90\n102,80\n103,85\n"), "add a location column", TWO(LIST "B,1,101,Ash\n", "location,plot,yield (bu/ac)\nA,101,90\n")},
    {RULE(PLOT_NOT_IN_LIST), "second.csv", 3, TWO(LIST, "plot,yield (bu/ac)\n101,90\n103,80\n"), TWO(LIST, "plot,yield (bu/ac)\n 0101,90\n102.0,80\n"), "--without plot=\"103\"", {.csv = LIST, .second = "plot,yield (bu/ac)\n101,90\n103,80\n", .with = {{"without", "plot", "103"}}}},
    {RULE(PLOT_NOT_IN_LIST), "second.csv", 3, TWO(LIST, "plot,yield (bu/ac)\n101,90\n,80\n"), TWO(LIST, "plot,yield (bu/ac)\n101,90\n102,80\n,\n"), "write its plot", TWO(LIST, "plot,yield (bu/ac),leave_out\n101,90,\n,80,lost label\n")},
    {RULE(PLOT_NOT_IN_LIST), "second.csv", 3, TWO(LIST, "location,plot,yield (bu/ac)\nA,101,90\nB,102,80\nB,103,80\n"), TWO(LIST, "location,plot,yield (bu/ac)\na,101,90\nA-,102,80\n"), "--without location=", {.csv = LIST, .second = "location,plot,yield (bu/ac)\nA,101,90\nB,102,80\n", .with = {{"without", "location", "B"}}}},
    {RULE(MISSING_PLACE), "second.csv", 3, TWO(LIST, "location,plot,yield (bu/ac)\nA,101,90\n,102,80\n"), TWO(LIST, "location,plot,yield (bu/ac)\nA,101,90\nA,102,80\n"), "write it", TWO(LIST, "location,plot,yield (bu/ac)\nA,101,90\nA,102,80\n")},
    {RULE(NO_HYBRID), "second.csv", 0, TWO(H ROWS, "location,planted\nA,2026-05-20\n"), TWO(LIST, "plot,yield (bu/ac)\n101,90\n"), "give it with --places", {.csv = H ROWS, .places = "location,planted\nA,2026-05-20\n"}},
    {RULE(NO_HYBRID), "second.csv", 0, TWO(H ROWS, "location,rep,yield (bu/ac)\nA,1,90\n"), TWO(LIST, "plot,yield (bu/ac)\n101,90\n"), "give the column", TWO(LIST, "plot,yield (bu/ac)\n101,90\n")},
    {RULE(PLOT_NOT_HARVESTED), "second.csv", 0, TWO(LIST, "plot,yield (bu/ac)\n101,90\n"), TWO(LIST, "plot,yield (bu/ac)\n101,90\n102,80\n"), NULL, {0}},
    {RULE(TWO_VALUES), "second.csv", 2, TWO(HP "A,1,101,Ash,90\n", "plot,yield (bu/ac)\n101,91\n"), TWO(HP "A,1,101,Ash,90\n", "plot,yield (bu/ac)\n101,90.0\n"), "empty one", TWO(HP "A,1,101,Ash,90\n", "plot,yield (bu/ac)\n101,\n")},
    {RULE(TWO_VALUES), "second.csv", 2, TWO(LIST, "plot,rep,yield (bu/ac)\n101,2,91\n"), TWO(LIST, "plot,rep,yield (bu/ac)\n101,01,90\n"), "correct one of them", TWO(LIST, "plot,rep,yield (bu/ac)\n101,1,91\n")},
    {RULE(TWO_VALUES), "second.csv", 2, TWO(HP "A,1,101,Ash,90\n", "plot,yield (lb/ac)\n101,5200\n"), TWO(HP "A,1,101,Ash,90\n", "plot,yield (lb/ac)\n101,5045\n"), "empty one", TWO(HP "A,1,101,Ash,90\n", "plot,yield (lb/ac)\n101,5040\n")},
    {RULE(DUPLICATE_PLOT), "second.csv", 3, TWO(LIST, "plot,yield (bu/ac)\n101,90\n101,91\n"), TWO(LIST, "plot,yield (bu/ac)\n101,90\n101,90\n"), "leave_out column", TWO(LIST, "plot,yield (bu/ac),leave_out\n101,90,slipped\n101,91,\n")},
    {RULE(DUPLICATE_PLOT), "second.csv", 2, TWO(LIST "A,2,101,Bay\n", "plot,yield (bu/ac)\n101,90\n"), TWO(LIST "A,2,101,Bay\n", "rep,plot,yield (bu/ac)\n2,101,90\n"), "by rep, year or trial", TWO(LIST "A,2,101,Bay\n", "rep,plot,yield (bu/ac)\n1,101,90\n")},
    {RULE(DUPLICATE_PLOT), "second.csv", 2, TWO(LIST, "location,plot,hybrid,yield (bu/ac)\nA,101,Ash,90\nA,102,Bay,80\n"), TWO(LIST, "location,plot,hybrid,yield (bu/ac)\nA,103,Ash,90\nA,104,Bay,80\n"), "delete its hybrid column", TWO(LIST, "location,plot,yield (bu/ac)\nA,101,90\nA,102,80\n")},
    {RULE(NOT_A_NUMBER), PLOTS, 2, CSV(H "A,1,Ash,9O.5\nA,1,Bay,80\n"), CSV(H "A,1,Ash,90.5\nA,1,Bay,80\n"), "a letter stands for a digit: write 90.5", CSV(H "A,1,Ash,90.5\nA,1,Bay,80\n")},
    {RULE(NOT_A_NUMBER), "second.csv", 3, TWO(LIST, "plot,yield (bu/ac)\n102,90\n101,62 a\n"), TWO(LIST, "plot,yield (bu/ac)\n102,90\n101,NA\n"), "write 62 alone", TWO(LIST, "plot,yield (bu/ac)\n102,90\n101,62\n")},
    {RULE(OUT_OF_RANGE), "second.csv", 3, TWO(LIST "A,1,103,Cob\n", "plot,moisture (%)\n103,14\n101,61\n102,15\n"), TWO(LIST "A,1,103,Cob\n", "plot,moisture (%)\n103,14\n101,59\n102,15\n"), "leave the cell empty", TWO(LIST "A,1,103,Cob\n", "plot,moisture (%)\n103,14\n101,\n102,15\n")},
    {RULE(LEFT_OUT), "second.csv", 2, TWO(LIST, "plot,yield (bu/ac),leave_out\n101,90,hail\n102,80,no\n"), TWO(LIST, "plot,yield (bu/ac),leave_out\n101,90,no\n102,80,\n"), NULL, {0}},
    /* cells */
    {RULE(FOOTNOTE_MARK), PLOTS, 3, CSV(H "A,1,Ash,90\nA,1,Bay,80*\n"), GOOD, NULL, {0}},
    {RULE(PERCENT_SIGN), PLOTS, 2, CSV(HM "A,1,Ash,14.5%\nA,1,Bay,14.1\n"), CSV(HM "A,1,Ash,14.5\nA,1,Bay,14.1\n"), NULL, {0}},
    {RULE(OBSERVERS_AVERAGED), PLOTS, 1, CSV("location,rep,hybrid,stand (JT),stand (MB)\nA,1,Ash,30,32\nA,1,Bay,28,29\n"), CSV("location,rep,hybrid,stand (JT),lodging 2026-09-01,lodging 2026-10-03\nA,1,Ash,30,5,9\nA,1,Bay,28,4,7\n"), NULL, {0}},
    {RULE(NOT_A_NUMBER), PLOTS, 2, CSV(H "A,1,Ash,90%\nA,1,Bay,80\n"), GOOD, "write 90 alone", CSV(H "A,1,Ash,90\nA,1,Bay,80\n")},
    {RULE(NOT_A_NUMBER), PLOTS, 3, CSV("location,rep,hybrid,lodging (%)\nA,1,Ash,5\nA,1,Bay,<1\n"), CSV("location,rep,hybrid,lodging (%)\nA,1,Ash,5\nA,1,Bay,0\n"), "--missing \"<1\"", WITH("location,rep,hybrid,lodging (%)\nA,1,Ash,5\nA,1,Bay,<1\n", "missing", "<1", NULL)},
    {RULE(NOT_A_NUMBER), PLOTS, 3, CSV("location,rep,hybrid,lodging (%)\nA,1,Ash,5\nA,1,Bay,trace\n"), CSV("location,rep,hybrid,lodging (%)\nA,1,Ash,5\nA,1,Bay,0\n"), "stand for it", CSV("location,rep,hybrid,lodging (%)\nA,1,Ash,5\nA,1,Bay,0.5\n")},
    {RULE(NOT_A_NUMBER), PLOTS, 3, CSV(H "A,1,Ash,90\nA,1,Bay,n.a\n"), CSV(H "A,1,Ash,90\nA,1,Bay,n/a\nA,1,Cob,.\nA,1,Dun,-\n"), "--missing \"n.a\"", WITH(H "A,1,Ash,90\nA,1,Bay,n.a\n", "missing", "n.a", NULL)},
    {RULE(NOT_A_DATE), PLOTS, 3, CSV("location,rep,hybrid,yield (bu/ac),planted\nA,1,Ash,90,2026-05-20\nA,1,Bay,80,soon\n"), CSV("location,rep,hybrid,yield (bu/ac),planted\nA,1,Ash,90,2026-05-20\nA,1,Bay,80,\n"), "--missing \"soon\"", WITH("location,rep,hybrid,yield (bu/ac),planted\nA,1,Ash,90,2026-05-20\nA,1,Bay,80,soon\n", "missing", "soon", NULL)},
    {RULE(NOT_A_DATE), PLOTS, 2, CSV("location,rep,hybrid,yield (bu/ac),planted\nA,1,Ash,90,2026-02-29\n"), CSV("location,rep,hybrid,yield (bu/ac),planted\nA,1,Ash,90,2024-02-29\n"), "correct it", CSV("location,rep,hybrid,yield (bu/ac),planted\nA,1,Ash,90,2026-02-28\n")},
    {RULE(SPREADSHEET_ERROR), PLOTS, 3, BOOK(SHEET(ASH ROW("r=\"3\"", "Bay", "<c t=\"e\"><f>B3/0</f><v>#DIV/0!</v></c>"))), BOOK("<sheetData><row>" CELL("location") CELL("hybrid") CELL("yield (bu/ac)") CELL("margin") "</row><row>" CELL("A") CELL("Ash") NUMBER("90") "<c t=\"e\"><v>#DIV/0!</v></c></row></sheetData>"), "empty the cell", BOOK(SHEET(ASH ROW("r=\"3\"", "Bay", "")))},
    {RULE(SPREADSHEET_ERROR), PLOTS, 3, CSV(H "A,1,Ash,90\nA,1,#N/A,80\n"), CSV(H "A,1,Ash,90\nA,1,#1,80\n"), "mend the formula", CSV(H "A,1,Ash,90\nA,1,Bay,80\n")},
    {RULE(FORMULA_NO_VALUE), PLOTS, 3, BOOK(SHEET(ASH ROW("r=\"3\"", "Bay", "<c><f>B3*80</f></c>"))), BOOK(SHEET(ASH ROW("r=\"3\"", "Bay", "<c><f>B3*80</f><v>80</v></c>"))), "save it again", BOOK(SHEET(ASH BAY))},
    {RULE(WORKBOOK_DAMAGED), PLOTS, 0, {.csv = "PK\003\004\024\0\006\0", .n = 8}, BOOK(SHEET(ASH BAY)), "save it again", BOOK(SHEET(ASH BAY))},
    {RULE(WORKBOOK_DAMAGED), PLOTS, 3, BOOK(SHEET(ASH ROW("r=\"3\"", "Bay", "<c r=\"D3\"><v>80</v></c><c r=\"D3\"><v>81</v></c>"))), BOOK(SHEET(ASH ROW("r=\"3\"", "Bay", "<c r=\"E3\"/><c r=\"D3\"><v>80</v></c>"))), "save it again", BOOK(SHEET(ASH BAY))},
    {RULE(SHEET_NOT_THERE), NULL, 0, {.book = {.sheet = {{"Creek", NULL, SHEET(ASH BAY)}}}, .with = {{"sheet", "Crek", NULL}}}, {.book = {.sheet = {{"Creek", NULL, SHEET(ASH BAY)}}}, .with = {{"sheet", "creek", NULL}}}, "'Creek': name one of them", {.book = {.sheet = {{"Creek", NULL, SHEET(ASH BAY)}}}, .with = {{"sheet", "Creek", NULL}}}},
    {RULE(SHEET_SKIPPED), PLOTS, 0, {.book = {.sheet = {{"Creek", NULL, SHEET(ASH BAY)}, {"Old", "state=\"hidden\"", SHEET(ASH)}}}}, BOOK(SHEET(ASH BAY)), NULL, {0}},
    {RULE(SHEET_SKIPPED), PLOTS, 0, {.book = {.sheet = {{"Creek", NULL, SHEET(ASH BAY)}, {"Empty", NULL, "<sheetData/>"}}}}, BOOK(SHEET(ASH BAY)), NULL, {0}},
    {RULE(HIDDEN_ROWS), PLOTS, 3, BOOK(SHEET(ASH ROW("r=\"3\" hidden=\"1\"", "Bay", NUMBER("80")))), BOOK(SHEET(ASH BAY "<row r=\"4\" hidden=\"1\"/>")), NULL, {0}},
    {RULE(HIDDEN_ROWS), PLOTS, 0, BOOK("<cols><col min=\"4\" max=\"9\" hidden=\"1\"/></cols>" SHEET(ASH BAY)), BOOK("<cols><col min=\"5\" max=\"9\" hidden=\"1\"/></cols>" SHEET(ASH BAY)), NULL, {0}},
    {RULE(MERGED_VALUE), PLOTS, 3, BOOK(SHEET(ASH ROW("r=\"3\"", "Bay", "")) "<mergeCells><mergeCell ref=\"D2:D3\"/></mergeCells>"), BOOK(SHEET(ASH BAY) "<mergeCells><mergeCell ref=\"A2:A3\"/></mergeCells>"), "write each plot's own value", BOOK(SHEET(ASH BAY))},
    {RULE(MERGED_CELLS), PLOTS, 2, BOOK(SHEET(ASH "<row r=\"3\"><c r=\"B3\"><v>1</v></c>" CELL("Bay") NUMBER("80") "</row>") "<mergeCells><mergeCell ref=\"A2:A3\"/></mergeCells>"), BOOK(SHEET(ASH BAY) "<mergeCells><mergeCell ref=\"A5:A9\"/></mergeCells>"), NULL, {0}},
    {RULE(UNIT_IN_FORMAT), PLOTS, 3, STYLED("0.0&quot; bu/ac&quot;", SHEET(ASH ROW("r=\"3\"", "Bay", "<c s=\"1\"><v>80</v></c>"))), STYLED("0.0&quot; &quot;", SHEET(ASH ROW("r=\"3\"", "Bay", "<c s=\"1\"><v>80</v></c>"))), NULL, {0}},
    {RULE(COMMA_IN_NUMBER), PLOTS, 2, CSV(H "A,1,Ash,\"90,5\"\nA,1,Bay,\"80,25\"\n"), CSV("location,rep,hybrid,yield (lb/ac)\nA,1,Ash,\"5,904.5\"\nA,1,Bay,\"5,800\"\n"), "--decimal-comma", WITH(H "A,1,Ash,\"90,5\"\nA,1,Bay,\"80,25\"\n", "decimal-comma", NULL, NULL)},
    {RULE(DATE_ORDER), PLOTS, 2, CSV(HD "\nA,1,Ash,5/6/2026,7/8/2026\n"), CSV(HD "\nA,1,Ash,2026-05-06,2026-07-08\n"), "--dates mdy", WITH(HD "\nA,1,Ash,5/6/2026,7/8/2026\n", "dates", "mdy", NULL)},
    {RULE(NOT_A_DATE), PLOTS, 2, CSV(HD "\nA,1,Ash,2026-05-20,4-Aug\n"), WITH(HD "\nA,1,Ash,2026-05-20,4-Aug\n", "year", "2026", NULL), "with --year", WITH(HD "\nA,1,Ash,2026-05-20,4-Aug*\n", "year", "2026", NULL)},
    {RULE(NOT_A_DATE), PLOTS, 2, CSV(HD "\nA,1,Ash,2026-05-20,62*\n"), CSV(HD "\nA,1,Ash,2026-05-20,1-Aug-2026*\n"), "in a days_to_mid_bloom column", CSV("location,rep,hybrid,planted,days_to_mid_bloom\nA,1,Ash,2026-05-20,62*\n")},
    {RULE(NOT_A_DATE), PLOTS, 2, CSV(HD "\nA,1,Ash,2026-05-20,62\n"), CSV(HD "\nA,1,Ash,2026-05-20,2026-08-01\n"), "in a days_to_mid_bloom column", CSV("location,rep,hybrid,planted,days_to_mid_bloom\nA,1,Ash,2026-05-20,62\n")},
    {RULE(FOOTNOTE_MARK), PLOTS, 2, CSV(HD "\nA,1,Ash,2026-05-20,1-Aug-2026*\n"), CSV(HD "\nA,1,Ash,2026-05-20,1-Aug-2026\n"), NULL, {0}},
    {RULE(NOT_A_DATE), PLOTS, 2, WITH(HD "\nA,1,Ash,2026-02-20,29-Feb\n", "year", "2026", NULL), WITH(HD "\nA,1,Ash,2028-02-20,29-Feb\n", "year", "2028", NULL), "2026 has no such day; correct it", WITH(HD "\nA,1,Ash,2026-02-20,28-Jul\n", "year", "2026", NULL)},
    {RULE(YEAR_TAKEN), PLOTS, 2, WITH(HD "\nA,1,Ash,20 May,7/28\n", "year", "2026", NULL), WITH(HD "\nA,1,Ash,2026-05-20,7/28/2026\n", "year", "2026", NULL), NULL, {0}},
    {RULE(DATE_ORDER_TAKEN), PLOTS, 2, CSV("location,rep,hybrid,yield (bu/ac),harvested\nA,1,Ash,90,03.10.2026\nA,1,Bay,80,3.10.26\n"), WITH("location,rep,hybrid,yield (bu/ac),harvested\nA,1,Ash,90,03.10.2026\n", "dates", "dmy", NULL), NULL, {0}},
    {RULE(DATE_ORDER), PLOTS, 2, CSV("location,rep,hybrid,yield (bu/ac),harvested\nA,1,Ash,90,09.10.2026\nA,1,Bay,80,09.28.2026\n"), CSV("location,rep,hybrid,yield (bu/ac),harvested\nA,1,Ash,90,09.10.2026\nA,1,Bay,80,28.09.2026\n"), "--dates mdy", WITH("location,rep,hybrid,yield (bu/ac),harvested\nA,1,Ash,90,09.10.2026\nA,1,Bay,80,09.28.2026\n", "dates", "mdy", NULL)},
    {RULE(DATE_ORDER_TAKEN), PLOTS, 2, CSV(HD "\nA,1,Ash,4/28/2026,7/8/2026\n"), WITH(HD "\nA,1,Ash,4/28/2026,7/8/2026\n", "dates", "mdy", NULL), NULL, {0}},
    {RULE(DATE_ORDER_TAKEN), PLOTS, 2, CSV(HD "\nA,1,Ash,5/20/2026,2026-07-20\n"), WITH(HD "\nA,1,Ash,5/20/2026,2026-07-20\n", "dates", "mdy", NULL), NULL, {0}},
    {RULE(MISSING_NOT_THERE), NULL, 0, WITH(H ROWS, "missing", "lost", NULL), WITH(H "A,1,Ash,90\nA,1,Bay,lost\n", "missing", "LOST", NULL), NULL, {0}},
    {RULE(NOT_A_DATE), PLOTS, 3, CSV("location,rep,hybrid,yield (bu/ac),planted\nA,1,Ash,90,2026-05-20\nA,1,Bay,80,6-May\n"), CSV("location,rep,hybrid,yield (bu/ac),planted\nA,1,Ash,90,2026-05-20\nA,1,Bay,80,6-May-26\n"), "write the year too", CSV("location,rep,hybrid,yield (bu/ac),planted\nA,1,Ash,90,2026-05-20\nA,1,Bay,80,2026-05-06\n")},
    {RULE(NOT_A_DATE), PLOTS, 2, WITH("location,rep,hybrid,yield (bu/ac),planted\nA,1,Ash,90,20/5/2026\n", "dates", "mdy", NULL), WITH("location,rep,hybrid,yield (bu/ac),planted\nA,1,Ash,90,20/5/2026\n", "dates", "dmy", NULL), "--dates dmy", WITH("location,rep,hybrid,yield (bu/ac),planted\nA,1,Ash,90,20/5/2026\n", "dates", "dmy", NULL)},
    {RULE(UNIT_UNKNOWN), PLOTS, 1, WITH(H ROWS, "unit", "yield", "lb"), WITH(H ROWS, "unit", "yield", "lb/ac"), "take the option out", GOOD},
    {RULE(HEADING_NOT_THERE), NULL, 0, WITH(H ROWS, "unit", "yeild", "lb/ac"), {.csv = H ROWS, .places = "location,rain\nA,300\n", .with = {{"unit", "rainfall", "mm"}}}, "did you mean 'yield'?", GOOD},
    {RULE(HEADING_NOT_THERE), NULL, 0, WITH(H ROWS, "unit", "hybrid", "lb"), {.csv = H ROWS, .places = "location,Sown on\nA,2026-05-20\n", .with = {{"heading", "planted", "Sown on"}}}, "has no unit; take the option out", GOOD},
    {RULE(HEADING_NOT_THERE), NULL, 0, WITH("location,rep,hybrid,yield (bu/ac),oil\nA,1,Ash,90,4\n", "unit", "oil", "%"), {.csv = "location,rep,hybrid,yield (bu/ac),oil\nA,1,Ash,90,4\n", .with = {{"unit", "oil", "%"}, {"trait", "oil", NULL}}}, "--trait \"oil\"", GOOD},
    {RULE(HEADING_NOT_THERE), NULL, 0, WITH(H ROWS, "unit", "moisture", "%"), WITH(H ROWS, "unit", "yield", "bu/ac"), "no file has a column of moisture", GOOD},
    {RULE(HEADING_NOT_THERE), NULL, 0, WITH(H ROWS, "heading", "note", "Hybird"), WITH(H ROWS, "heading", "note", "rep"), "did you mean 'hybrid'?", GOOD},
    {RULE(MISSING_HYBRID), PLOTS, 3, CSV(H "A,1,Ash,90\nA,1,,80\n"), CSV(H "A,1,Ash,90\nA,1,,\n"), "leave_out column", CSV("location,rep,hybrid,yield (bu/ac),leave_out\nA,1,Ash,90,\nA,1,,80,no label\n")},
    {RULE(MISSING_HYBRID), PLOTS, 3, CSV(H "A,1,Ash,90\nA,1,NA,80\n"), CSV(H "A,1,Ash,90\nA,1,Nash,80\n"), "expected a hybrid's name", CSV(H "A,1,Ash,90\nA,1,Bay,80\n")},
    {RULE(MISSING_PLACE), PLOTS, 3, CSV(H "A,1,Ash,90\n,1,Bay,80\n"), CSV(H ROWS), "write it", CSV(H "A,1,Ash,90\nA,1,Bay,80\n")},
    {RULE(MISSING_PLACE), PLOTS, 3, CSV(H "A,1,Ash,90\nA,,Bay,80\nB,,Ash,91\n"), CSV(H "A,1,Ash,90\nA,1,Bay,80\nB,,Ash,91\n"), "write it", CSV(H "A,1,Ash,90\nA,1,Bay,80\n")},
    {RULE(MISSING_PLACE), PLOTS, 3, CSV(H "A,1,Ash,90\nA,,Bay,80\n"), CSV(H "A,,Ash,90\nA,,Bay,80\n"), "leave_out column", CSV("location,rep,hybrid,yield (bu/ac),leave_out\nA,1,Ash,90,\nA,,Bay,80,rep unknown\n")},
    {RULE(LOCATION_FROM_FILE), PLOTS, 0, CSV("rep,hybrid,yield (bu/ac)\n1,Ash,90\n"), CSV(H ROWS), NULL, {0}},
    {RULE(ZERO_MEANS_LOST), PLOTS, 3, CSV("location,rep,hybrid,gross (lb),tare (lb),moisture (%),harvest length (ft),harvest width (ft)\nA,1,Ash,210,200,14,17.5,5\nA,1,Bay,200,200,14,17.5,5\n"), CSV("location,rep,hybrid,gross (lb),tare (lb),moisture (%),harvest length (ft),harvest width (ft)\nA,1,Ash,210,200,14,17.5,5\nA,1,Bay,209,200,14,17.5,5\n"), "leave its cells empty", CSV("location,rep,hybrid,gross (lb),tare (lb),moisture (%),harvest length (ft),harvest width (ft)\nA,1,Ash,210,200,14,17.5,5\nA,1,Bay,,,14,17.5,5\n")},
    {RULE(OUT_OF_RANGE), PLOTS, 2, CSV(HW ",harvest length (ft),harvest width (ft)\nA,1,Ash,100,14,17.5,5\n"), CSV(HW ",harvest length (ft),harvest width (ft)\nA,1,Ash,10,14,17.5,5\n"), "correct one of the three", CSV(HW ",harvest length (ft),harvest width (ft)\nA,1,Ash,10,14,17.5,5\n")},
    {RULE(MISSING_PLACE), PLOTS, 4, CSV("location,year,rep,hybrid,yield (bu/ac)\nA,2026,1,Ash,90\nA,2026,1,Bay,80\nA,,2,Ash,91\n"), CSV("location,rep,hybrid,yield (bu/ac)\nA,1,Ash,90\n"), "write it", CSV("location,year,rep,hybrid,yield (bu/ac)\nA,2026,1,Ash,90\nA,2026,2,Ash,91\n")},
    {RULE(ZERO_MEANS_LOST), PLOTS, 3, CSV(H "A,1,Ash,90\nA,1,Bay,0\n"), CSV("location,rep,hybrid,lodging (%)\nA,1,Ash,0\nA,1,Bay,5\n"), "leave the cell empty", CSV(H "A,1,Ash,90\nA,1,Bay,\n")},
    {RULE(OUT_OF_RANGE), PLOTS, 5, CSV(HM "A,1,Ash,14\nA,1,Bay,15\nA,1,Cob,16\nA,1,Dun,61\n"), CSV(HM "A,1,Ash,14\nA,1,Bay,15\nA,1,Cob,16\nA,1,Dun,59\n"), "leave the cell empty", CSV(HM "A,1,Ash,14\nA,1,Bay,15\nA,1,Cob,16\nA,1,Dun,\n")},
    {RULE(OUT_OF_RANGE), PLOTS, 2, CSV("location,year,rep,hybrid,yield (bu/ac)\nA,26,1,Ash,90\nA,2026,1,Bay,90\n"), CSV("location,year,rep,hybrid,yield (bu/ac)\nA,2026,1,Ash,90\n"), "correct it", CSV("location,year,rep,hybrid,yield (bu/ac)\nA,2026,1,Ash,90\nA,2026,1,Bay,90\n")},
    {RULE(OUT_OF_RANGE), PLOTS, 4, CSV("location,rep,hybrid,\"aphid (1-9, 1 best)\"\nA,1,Ash,1\nA,1,Bay,2\nA,1,Cob,10\n"), CSV("location,rep,hybrid,\"aphid (1-9, 1 best)\"\nA,1,Ash,1\nA,1,Bay,2\nA,1,Cob,9\n"), "correct it", CSV("location,rep,hybrid,\"aphid (0-10, 0 best)\"\nA,1,Ash,1\nA,1,Bay,2\nA,1,Cob,10\n")},
    {RULE(UNUSUAL_VALUE), PLOTS, 4, CSV(HM "A,1,Ash,14\nA,1,Bay,15\nA,1,Cob,31\n"), CSV(HM "A,1,Ash,14\nA,1,Bay,15\nA,1,Cob,30\n"), NULL, {0}},
    {RULE(EMPTY_ROW_VALUES), PLOTS, 3, CSV(H "A,1,Ash,90\nA,1,,\n"), CSV(H "A,1,Ash,90\n,,,\n"), NULL, {0}},
    /* names */
    {RULE(ONE_HYBRID), PLOTS, 4, CSV(H "A,1,Ash 1,90\nA,2,Ash 1,91\nA,3,ash-1,92\n"), CSV(H "A,1,Ash 1,90\nA,2,Ash 1,91\nA,3,Ash 1 W,92\n"), NULL, {0}},
    {RULE(MAYBE_ONE_HYBRID), PLOTS, 2, CSV(H "A,1,Tamsel 8,90\nB,1,Tamsal 8,91\n"), CSV(H "A,1,Tamsel 8,90\nA,1,Tamsal 8,90\nB,1,Tamsal 8,91\n"), NULL, {0}},
    {RULE(MAYBE_ONE_HYBRID), PLOTS, 4, CSV(H "A,1,Gamma 30,90\nA,1,Bay,91\nA,2,Gama 30,90\nA,2,Bay,93\nA,3,Gamma 30,90\nA,3,Bay,95\n"), CSV(H "A,1,Gamma 30,90\nA,1,Bay,91\nA,2,Gamma 30,90\nA,2,Bay,93\nA,3,Gamma 30,90\nA,3,Bay,95\n"), NULL, {0}},
    {RULE(MAYBE_ONE_PLACE), PLOTS, 3, CSV(H "Cold Draw,1,Ash,90\nCold Drew,1,Ash,91\n"), {.csv = H "Cold Draw,1,Ash,90\nCold Drew,1,Ash,91\n", .places = "location,planted\nCold Draw,2026-05-20\nCold Drew,2026-05-20\n"}, "list both in a --places table", CSV(H "Cold Draw,1,Ash,90\nCold Draw,2,Ash,91\n")},
    {RULE(MAYBE_ONE_PLACE), PLOTS, 3, CSV(H "Cold Draw,1,Ash,90\nCold Drew,1,Ash,91\n"), CSV(H "Cold Draw 1,1,Ash,90\nCold Draw 2,1,Ash,91\n"), NULL, {0}},
    {RULE(ONE_PLACE), PLOTS, 4, CSV(H "Elm Creek,1,Ash,90\nElm Creek,2,Ash,91\nELM-CREEK,3,Ash,92\n"), CSV(H "Elm Creek,1,Ash,90\nElm Creek 2,1,Ash,91\n"), NULL, {0}},
    {RULE(BRAND_MISSING), PLOTS, 4, CSV("location,rep,brand,hybrid,yield (bu/ac)\nA,1,North,77,90\nA,1,South,77,80\nA,2,,77,85\n"), CSV("location,rep,brand,hybrid,yield (bu/ac)\nA,1,North,77,90\nA,1,South,78,80\nA,2,,77,85\n"), "write the brand", CSV("location,rep,brand,hybrid,yield (bu/ac)\nA,1,North,77,90\nA,1,South,77,80\nA,2,North,77,85\n")},
    {RULE(MAYBE_MEAN), PLOTS, 4, CSV(H "A,1,Ash,90\nA,1,Bay,80\nA,1,Kestrel avg,85\n"), CSV(H "A,1,Ash,90\nA,1,Meanwell,80\nA,1,Averill 8,85\n"), NULL, {0}},
    {RULE(NOT_A_PLOT), PLOTS, 4, CSV(H "A,1,Ash,90\nA,1,Bay,80\nA,1,Check avg,85\n"), CSV(H "A,1,Ash,90\nA,1,Bay,80\n"), NULL, {0}},
    {RULE(NAME_CHANGED), PLOTS, 3, CSV(H "A,1,Ash,90\nA,1,Jun-12,80\n"), CSV(H "A,1,Ash,90\nA,1,Jun-12A,80\n"), "type the name again as text", CSV(H "A,1,Ash,90\nA,1,J 12,80\n")},
    {RULE(NAME_CHANGED), PLOTS, 2, CSV(H "A,1,7.00E+45,90\nA,1,Bay,80\n"), CSV(H "A,1,7E45,90\nA,1,E+45,80\n"), "type the name again as text", CSV(H "A,1,7E45,90\nA,1,Bay,80\n")},
    {RULE(NAMED_CHECK), NULL, 0, CSV(H "A,1,check,90\nA,1,Ash,91\nB,1,Check,80\nB,1,Ash,81\n"), CSV(H "A,1,check,90\nA,1,Ash,91\nB,1,Ash,81\n"), NULL, {0}},
    {RULE(NAMED_CHECK), NULL, 0, CSV(H "A,1,check,90\nA,1,Ash,91\nB,1,Check,80\nB,1,Ash,81\n"), {.csv = H "A,1,check,90\nA,1,Ash,91\nB,1,Check,80\nB,1,Ash,81\n", .names = "seen as,hybrid\ncheck,Cob\n,Ash\n"}, NULL, {0}},
    {RULE(MAYBE_ONE_HYBRID), PLOTS, 2, CSV(H "A,1,Tamsel 8,90\nB,1,Tamsal 8,91\n"), {.csv = H "A,1,Tamsel 8,90\nB,1,Tamsal 8,91\n", .names = "hybrid\nTamsel 8\nTamsal 8\n"}, NULL, {0}},
    {RULE(MAYBE_ONE_HYBRID), PLOTS, 2, CSV(H "A,1,Tamsel 8,90\nB,1,Tamsal 8,91\n"), {.csv = H "A,1,Tamsel 8,90\nB,1,Tamsal 8,91\n", .names = "seen as,hybrid\nTamsal 8,Tamsel 8\n"}, NULL, {0}},
    {RULE(NAME_TWICE), "names.csv", 3, {.csv = H ROWS, .names = "seen as,hybrid\nAsh,Ash 1\nASH,Ash 2\nBay,Bay\n"}, {.csv = "location,rep,brand,hybrid,yield (bu/ac)\nA,1,North,Ash,90\nA,1,South,Ash,80\n", .names = "seen as,brand,hybrid\nAsh,North,Ash 1\nAsh,South,Ash 2\n"}, "keep one of them", {.csv = H ROWS, .names = "seen as,hybrid\nAsh,Ash 1\nBay,Bay\n"}},
    {RULE(NAME_TWICE), PLOTS, 2, {.csv = H ROWS, .names = "seen as,brand,hybrid\nAsh,North,Ash 1\nAsh,South,Ash 2\n"}, {.csv = H ROWS, .names = "seen as,brand,hybrid\nAsh,North,Ash 1\n"}, "write the brand beside it", {.csv = "location,rep,brand,hybrid,yield (bu/ac)\nA,1,North,Ash,90\nA,1,South,Ash,80\n", .names = "seen as,brand,hybrid\nAsh,North,Ash 1\nAsh,South,Ash 2\n"}},
    {RULE(NAME_TWICE), "names.csv", 2, {.csv = H ROWS, .names = "seen as,hybrid\nAsh,Bay\nBay,Cob\n"}, {.csv = H ROWS, .names = "seen as,hybrid\nAsh,Cob\nBay,Bay\n"}, "stands for in the end", {.csv = H ROWS, .names = "seen as,hybrid\nAsh,Cob\nBay,Cob\n"}},
    {RULE(NAME_TWICE), "names.csv", 3, {.csv = H ROWS, .names = "hybrid,print\nAsh,One\nBay,one\n"}, {.csv = H ROWS, .names = "hybrid,print\nAsh,One\nBay,Two\n"}, "print one of them otherwise", {.csv = H ROWS, .names = "hybrid,print\nAsh,One\nBay,\n"}},
    {RULE(NAME_FROM_TABLE), PLOTS, 2, {.csv = H ROWS, .names = "code,hybrid\nAsh,Cob\nx,Bay\n"}, {.csv = H ROWS, .names = "code,hybrid\n1,Ash\n2,Bay\n"}, NULL, {0}},
    {RULE(NAME_FROM_TABLE), PLOTS, 2, {.csv = H "A,1,Orin 6,90\nA,1,Bay,80\n", .names = "seen as,hybrid\nOrin 6,Orrin 6*\n,Bay\n"}, {.csv = H "A,1,Orrin 6,90\nA,1,Bay,80\n", .names = "hybrid\nOrrin 6*\nBay\n"}, "is Orrin 6 by", GOOD},
    {RULE(NAME_NOT_LISTED), NULL, 0, {.csv = H "A,1,Tamsle 8,90\nA,1,Tamsel 15,80\n", .names = "hybrid\nTamsel 8\n"}, {.csv = H "A,1,Tamsel 8,90\n", .names = "hybrid\nTamsel 8\n"}, "'Tamsle 8' (did you mean 'Tamsel 8'?) and 'Tamsel 15'", GOOD},
    {RULE(NAME_NOT_LISTED), NULL, 0, {.csv = H ROWS, .names = "hybrid\nAsh\n"}, {.csv = H ROWS, .names = "hybrid\nash\nBAY\n"}, NULL, {0}},
    {RULE(NAME_WITHOUT_PLOTS), NULL, 0, {.csv = H ROWS, .names = "hybrid\nAsh\nBay\nCob\n"}, {.csv = H ROWS, .names = "hybrid\nAsh\nBay\n"}, NULL, {0}},
    {RULE(MISSING_HYBRID), "names.csv", 3, {.csv = H ROWS, .names = "seen as,hybrid\n,Ash\nBay,\n"}, {.csv = H ROWS, .names = "seen as,hybrid,brand\n,Ash,\n,,North\n"}, "take the row out", {.csv = H ROWS, .names = "seen as,hybrid\n,Ash\n"}},
    {RULE(BRAND_MISSING), "names.csv", 4, {.csv = H ROWS, .names = "hybrid,brand\nAsh,North\nAsh,South\nAsh,\nBay,\n"}, {.csv = H ROWS, .names = "hybrid,brand\nAsh,North\nAsh,\nBay,\n"}, "write the brand", {.csv = H ROWS, .names = "hybrid,brand\nAsh,North\nAsh,North\nBay,\n"}},
    {RULE(NAME_CHANGED), "names.csv", 2, {.csv = H ROWS, .names = "seen as,hybrid\nAsh,Jun-12\nBay,Bay\n"}, {.csv = H "A,1,Jun-12,90\nA,1,Bay,80\n", .names = "seen as,hybrid\nJun-12,J 12\nBay,Bay\n"}, "type the name again as text", {.csv = H ROWS, .names = "seen as,hybrid\nAsh,J 12\nBay,Bay\n"}},
    {RULE(VALUES_DIFFER), "names.csv", 3, {.csv = H ROWS, .names = "seen as,hybrid,maturity\nAsh,Cob,early\nBay,Cob,late\n"}, {.csv = H ROWS, .names = "seen as,hybrid,maturity\nAsh,Cob,early\nBay,Dun,late\n"}, NULL, {0}},
    {RULE(HEADING_NOT_THERE), NULL, 0, {.csv = H ROWS, .names = "who,brand\nAsh,North\n"}, {.csv = H ROWS, .names = "hybrid\nAsh\nBay\n"}, "--heading hybrid=", {.csv = H ROWS, .names = "hybrid\nAsh\nBay\n"}},
    {RULE(GROUP_DIFFERS), PLOTS, 4, WITH("location,rep,hybrid,season class,yield (bu/ac)\nA,1,Ash,early,90\nA,1,Bay,late,80\nA,2,Ash,late,91\nA,2,Bay,late,83\n", "by-group", "season class", NULL), WITH("location,rep,hybrid,season class,yield (bu/ac)\nA,1,Ash,early,90\nA,1,Bay,mid-late,80\nA,2,Ash,Early,91\nA,2,Bay,mid late,83\n", "by-group", "season class", NULL), "correct one", WITH("location,rep,hybrid,season class,yield (bu/ac)\nA,1,Ash,early,90\nA,1,Bay,late,80\nA,2,Ash,early,91\nA,2,Bay,,83\n", "by-group", "season class", NULL)},
    {RULE(CHECK_NOT_THERE), NULL, 0, {.csv = H ROWS, .names = "seen as,hybrid\nAsh,Cob\nBay,Bay\n", .with = {{"check", "Ash", NULL}}}, {.csv = H ROWS, .names = "seen as,hybrid\nAsh,Cob\nBay,Bay\n", .with = {{"check", "Cob", NULL}}}, "give that name", {.csv = H ROWS, .names = "seen as,hybrid\nAsh,Cob\nBay,Bay\n", .with = {{"check", "Cob", NULL}}}},
    {RULE(NO_CHECK), NULL, 0, {.csv = H ROWS, .names = "hybrid,check\nAsh,no\nBay,\n"}, {.csv = H ROWS, .names = "hybrid,check\nAsh,no\nBay,*\n"}, NULL, {0}},
    {RULE(NO_CHECK), NULL, 0, GOOD, CSV("location,rep,hybrid,check,yield (bu/ac)\nA,1,Ash,*,90\nA,1,Bay,,80\n"), NULL, {0}},
    {RULE(CHECK_NOT_THERE), NULL, 0, WITH(H ROWS, "check", "Zed", NULL), WITH(H ROWS, "check", "ash", NULL), "check its spelling", WITH(H ROWS, "check", "Ash", NULL)},
    {RULE(CHECK_NOT_THERE), NULL, 0, {.csv = H ROWS, .names = "seen as,brand,hybrid,print\nAsh,North,213,N213\n", .with = {{"check", "Noth 213", NULL}}}, {.csv = H ROWS, .names = "seen as,brand,hybrid,print\nAsh,North,213,N213\n", .with = {{"check", "North 213", NULL}}}, "check its spelling", {.csv = H ROWS, .names = "seen as,brand,hybrid,print\nAsh,North,213,N213\n", .with = {{"check", "213", NULL}}}},
    {RULE(HEADING_NOT_THERE), NULL, 0, WITH(HB, "without", "hybrid", "Noth 213"), WITH(HB, "without", "hybrid", "North 213"), "check its spelling", WITH(HB, "only", "hybrid", "north 213*")},
    {RULE(HEADING_NOT_THERE), NULL, 0, {.csv = H ROWS, .names = "seen as,brand,hybrid,print\nAsh,North,213,N213\n", .with = {{"without", "hybrid", "N 213 x"}}}, {.csv = H ROWS, .names = "seen as,brand,hybrid,print\nAsh,North,213,N213\n", .with = {{"without", "hybrid", "North N213"}}}, "check its spelling", {.csv = H ROWS, .names = "seen as,brand,hybrid,print\nAsh,North,213,N213\n", .with = {{"without", "hybrid", "North 213"}}}},
    {RULE(CHECK_NOT_THERE), NULL, 0, WITH(HB "A,1,South,213,70\n", "check", "213", NULL), WITH(HB "A,1,South,213,70\n", "check", "South 213", NULL), "check its spelling", WITH(HB "A,1,South,213,70\n", "check", "North 213", NULL)},
    {RULE(CHECK_IN_PART), PLOTS, 2, CSV("location,rep,hybrid,check,yield (bu/ac)\nA,1,Ash,x,90\nA,2,Ash,,91\nA,1,Bay,,80\nA,2,Bay,,81\n"), CSV("location,rep,hybrid,check,yield (bu/ac)\nA,1,Ash,x,90\nA,2,Ash,yes,91\nA,1,Bay,no,80\nA,2,Bay,0,81\n"), NULL, {0}},
    {RULE(CHECK_ABSENT), NULL, 0, WITH(H ROWS "B,1,Bay,80\n", "check", "Ash", NULL), WITH(H ROWS "B,1,Bay,80\n", "check", "Bay", NULL), NULL, {0}},
    {RULE(NO_CHECK), NULL, 0, GOOD, CSV(H "A,1,Ash*,90\nA,1,Bay,80\n"), NULL, {0}},
    /* plots and design */
    {RULE(DUPLICATE_PLOT), PLOTS, 3, CSV(HP "A,1,101,Ash,90\nA,1,101,Bay,80\n"), CSV(HP "A,1,101,Ash,90\nA,2,101,Bay,80\n"), "leave_out column", CSV("location,rep,plot,hybrid,yield (bu/ac),leave_out\nA,1,101,Ash,90,\nA,1,101,Bay,80,wrong plot\n")},
    {RULE(DUPLICATE_PLOT), PLOTS, 3, CSV("location,row,column,hybrid,yield (bu/ac)\nA,1,1,Ash,90\nA,1,1,Bay,80\n"), CSV("location,row,column,hybrid,yield (bu/ac)\nA,1,1,Ash,90\nA,1,2,Bay,80\n"), "correct the position", CSV("location,row,column,hybrid,yield (bu/ac)\nA,1,1,Ash,90\nA,2,1,Bay,80\n")},
    {RULE(DUPLICATE_ROW), "second.csv", 2, {.csv = "location,hybrid,yield (bu/ac)\nA,Ash,90\nA,Bay,80\nA,Ash,91\nA,Bay,83\n", .second = "location,hybrid,yield (bu/ac)\nA,Ash,90\nA,Bay,80\nA,Ash,91\nA,Bay,83\n"}, {.csv = "location,hybrid,yield (bu/ac)\nA,Ash,90\nA,Bay,80\nA,Ash,91\nA,Bay,83\n", .second = "location,hybrid,yield (bu/ac)\nA,Ash,90\nA,Bay,80\nA,Ash,91\nA,Bay,84\n"}, "add a rep column", {.csv = "location,rep,hybrid,yield (bu/ac)\nA,1,Ash,90\nA,1,Bay,80\nA,2,Ash,91\nA,2,Bay,83\n", .second = "location,rep,hybrid,yield (bu/ac)\nA,3,Ash,90\nA,3,Bay,80\nA,4,Ash,91\nA,4,Bay,83\n"}},
    {RULE(DUPLICATE_ROW), PLOTS, 6, CSV("location,hybrid,yield (bu/ac)\nA,Ash,90\nA,Bay,80\nA,Ash,91\nA,Bay,83\n" "A,Ash,90\nA,Bay,80\nA,Ash,91\nA,Bay,83\n"), CSV("location,hybrid,yield (bu/ac)\nA,Ash,90\nA,Bay,80\nA,Ash,91\nA,Bay,83\n" "A,Ash,90\nA,Bay,80\nA,Ash,91\nA,Bay,84\n"), "add a rep column", CSV("location,rep,hybrid,yield (bu/ac)\nA,1,Ash,90\nA,1,Bay,80\nA,2,Ash,91\nA,2,Bay,83\n" "A,3,Ash,90\nA,3,Bay,80\nA,4,Ash,91\nA,4,Bay,83\n")},
    {RULE(DUPLICATE_ROW), PLOTS, 3, CSV(H "A,1,Ash,90\nA,1,Ash,90\n"), CSV(H "A,1,Ash,90\nA,2,Ash,90\n"), "leave_out column", CSV("location,rep,hybrid,yield (bu/ac),leave_out\nA,1,Ash,90,\nA,1,Ash,90,twice\n")},
    {RULE(SEVERAL_CUTS), PLOTS, 4, CSV("location,rep,cut,hybrid,yield (bu/ac)\nA,1,1,Ash,90\nA,1,1,Bay,80\nA,1,2,Ash,91\nA,1,2,Bay,82\n"), CSV("location,rep,cut,hybrid,yield (bu/ac)\nA,1,1,Ash,90\nA,1,1,Bay,80\n"), "--only cut=", WITH("location,rep,cut,hybrid,yield (bu/ac)\nA,1,1,Ash,90\nA,1,1,Bay,80\nA,1,2,Ash,91\nA,1,2,Bay,82\n", "only", "cut", "1")},
    {RULE(SEVERAL_CUTS), PLOTS, 4, CSV("location,rep,cut,hybrid,yield (bu/ac)\nA,1,1,Ash,90\nA,1,1,Bay,80\nA,1,2,Ash,91\nA,1,2,Bay,82\n"), FORAGE(HC CUTS), "--crop forage-sorghum", FORAGE(HC CUTS)},
    {RULE(SEVERAL_CUTS), PLOTS, 1, CSV("location,rep,hybrid,yield cut 1 (bu/ac),yield cut 2 (bu/ac)\nA,1,Ash,90,40\n"), CSV("location,rep,hybrid,yield (bu/ac)\nA,1,Ash,90\n"), "--crop forage-sorghum", WITH("location,rep,hybrid,yield cut 1 (ton/ac at 65 %),yield cut 2 (ton/ac at 65 %)\nA,1,Ash,9,4\n", "crop", "forage-sorghum", NULL)},
    {RULE(CUT_TWICE), PLOTS, 6, FORAGE(HC CUTS "A,1,102,2,Bay,5,70\n"), FORAGE(HC CUTS "A,1,102,3,Bay,5,70\n"), "correct the cut", FORAGE(HC CUTS)},
    {RULE(CUT_TWICE), PLOTS, 6, FORAGE("location,rep,cut,hybrid,wet yield (ton/ac),moisture\nA,1,1,Ash,6,80\nA,1,2,Ash,4,82\nA,1,1,Bay,6,80\nA,1,2,Bay,4,82\nA,1,2,Bay,5,70\n"), FORAGE("location,rep,cut,hybrid,wet yield (ton/ac),moisture\nA,1,1,Ash,6,80\nA,1,2,Ash,4,82\nA,1,1,Bay,6,80\nA,1,2,Bay,4,82\n"), "plot numbers", FORAGE(HC CUTS)},
    {RULE(CUT_HYBRID), PLOTS, 5, FORAGE(HC "A,1,101,1,Ash,6,80\nA,1,102,1,Bay,6,80\nA,1,101,2,Ash,4,82\nA,1,102,2,Cob,4,82\n"), FORAGE(HC "A,1,101,1,Ash,6,80\nA,1,102,1,Bay,6,80\nA,1,101,2,Ash,4,82\nA,1,102,2,bay,4,82\n"), "correct one of the names", FORAGE(HC CUTS)},
    {RULE(CUT_MISSING), PLOTS, 3, FORAGE(HC "A,1,101,1,Ash,6,80\nA,1,102,1,Bay,6,80\nA,1,101,2,Ash,4,82\nA,1,102,2,Bay,,82\n"), FORAGE(HC CUTS), NULL, {0}},
    {RULE(CUT_MISSING), PLOTS, 3, FORAGE(HC "A,1,101,1,Ash,6,80\nA,1,102,1,Bay,6,80\nA,1,101,2,Ash,4,82\n"), FORAGE(HC "A,1,101,1,Ash,6,80\nA,1,102,1,Bay,6,80\nB,1,101,2,Ash,4,82\n"), NULL, {0}},
    {RULE(CUTS_DIFFER), NULL, 0, FORAGE(HC CUTS "B,1,101,1,Ash,6,80\nB,1,102,1,Bay,6,81\n"), FORAGE(HC CUTS "B,1,101,1,Ash,6,80\nB,1,102,1,Bay,6,81\nB,1,101,2,Ash,6,80\nB,1,102,2,Bay,6,81\n"), NULL, {0}},
    {RULE(DRY_MATTER_DIFFERS), PLOTS, 2, FORAGE("location,rep,hybrid,wet yield (ton/ac),moisture,dry matter\nA,1,Ash,6,80,21\n"), FORAGE("location,rep,hybrid,wet yield (ton/ac),moisture,dry matter\nA,1,Ash,6,80,20.5\n"), "correct one of them", FORAGE("location,rep,hybrid,wet yield (ton/ac),moisture,dry matter\nA,1,Ash,6,,20\n")},
    {RULE(BASIS_MISSING), PLOTS, 1, WITH("location,rep,hybrid,yield (ton/ac)\nA,1,Ash,6\n", "crop", "sorghum-sudangrass", NULL), WITH("location,rep,hybrid,yield (ton/ac)\nA,1,Ash,6\n", "crop", "forage-sorghum", NULL), "write it in the heading", WITH("location,rep,hybrid,yield (ton/ac at 0 %)\nA,1,Ash,6\n", "crop", "sorghum-sudangrass", NULL)},
    {RULE(UNIT_UNLIKELY), PLOTS, 1, WITH("location,rep,hybrid,yield (bu/ac at 65 %)\nA,1,Ash,60\n", "crop", "forage-sorghum", NULL), WITH("location,rep,hybrid,yield (at 65 %)\nA,1,Ash,20\n", "crop", "forage-sorghum", NULL), "no bushel", WITH("location,rep,hybrid,yield (ton/ac at 65 %)\nA,1,Ash,20\n", "crop", "forage-sorghum", NULL)},
    {RULE(CONTENT_UNCLEAR), PLOTS, 1, FORAGE(HN("nitrate ppm (dry)")), FORAGE(HN("nitrate NO3-N ppm (dry)")), "which form", FORAGE(HN("NO3 ppm, dry"))},
    {RULE(CONTENT_UNCLEAR), PLOTS, 1, FORAGE(HN("nitrate NO3 (dry)")), FORAGE(HN("nitrate NO3 % (dry)")), "the unit", FORAGE(HN("nitrate NO3 ppm as is"))},
    {RULE(CONTENT_UNCLEAR), PLOTS, 1, FORAGE(HN("KNO3 %")), FORAGE(HN("KNO3 % dry matter")), "the basis", FORAGE(HN("KNO3 % of dry matter"))},
    {RULE(CONTENT_UNCLEAR), PLOTS, 1, FORAGE(HN("prussic acid ppm")), FORAGE(HN("HCN ppm (as fed)")), "the basis", FORAGE(HN("prussic acid HCN ppm (as is)"))},
    {RULE(DATES_BACKWARD), PLOTS, 4, FORAGE("location,rep,plot,cut,cut date,hybrid,wet yield (ton/ac),moisture\nA,1,1,1,2026-07-13,Ash,6,80\nA,1,2,1,2026-07-13,Bay,6,81\nA,1,1,2,2026-07-13,Ash,6,80\nA,1,2,2,2026-08-13,Bay,6,81\n"), FORAGE("location,rep,plot,cut,cut date,hybrid,wet yield (ton/ac),moisture\nA,1,1,1,2026-07-13,Ash,6,80\nA,1,2,1,2026-07-13,Bay,6,81\nA,1,1,2,2026-08-12,Ash,6,80\nA,1,2,2,2026-08-13,Bay,6,81\n"), "correct one of the dates", FORAGE(HC CUTS)},
    {RULE(MISSING_PLACE), PLOTS, 3, CSV("location,rep,cut,hybrid,yield (bu/ac)\nA,1,1,Ash,90\nA,1,,Bay,80\n"), CSV("location,rep,cut,hybrid,yield (bu/ac)\nA,1,,Ash,90\nA,1,,Bay,80\n"), "write it", CSV("location,rep,cut,hybrid,yield (bu/ac)\nA,1,1,Ash,90\nA,1,1,Bay,80\n")},
    {RULE(TWICE_IN_REP), PLOTS, 3, CSV(H "A,1,Ash,90\nA,1,Ash,91\n"), WITH(H "A,1,Ash,90\nA,1,Ash,91\n", "check", "Ash", NULL), NULL, {0}},
    {RULE(UNEQUAL_REPS), PLOTS, 2, CSV(H "A,1,Ash,90\nA,1,Bay,80\nA,2,Bay,83\nA,1,Cob,80\nA,2,Cob,83\n"), GOOD, NULL, {0}},
    {RULE(MISSING_REP), PLOTS, 2, CSV(H ROWS "A,1,Cob,70\nA,2,Cob,72\nA,3,Cob,73\n"), CSV(H ROWS "A,1,Cob,70\nA,2,Cob,72\nA,3,Cob,73\nA,3,Ash,92\n"), NULL, {0}},
    {RULE(NO_REP), PLOTS, 2, CSV("location,hybrid,yield (bu/ac)\nA,Ash,90\nA,Ash,91\nA,Bay,80\nA,Bay,82\n"), CSV("location,hybrid,yield (bu/ac)\nA,Ash,90\nA,Bay,80\n"), NULL, {0}},
    {RULE(SINGLE_PLOTS), PLOTS, 2, CSV(H "A,1,Ash,90\nA,1,Bay,80\n"), GOOD, NULL, {0}},
    {RULE(NOT_EVERYWHERE), NULL, 0, CSV(H ROWS "B,1,Bay,80\n"), CSV(H ROWS "B,1,Bay,80\nB,1,Ash,81\n"), NULL, {0}},
    {RULE(SAME_ORDER), PLOTS, 2, CSV(HP FIVE("1", "Ash", "Bay", "Cob", "Dun", "Elm") FIVE("2", "Ash", "Bay", "Cob", "Dun", "Elm")), CSV(HP FIVE("1", "Ash", "Bay", "Cob", "Dun", "Elm") FIVE("2", "Ash", "Bay", "Cob", "Elm", "Dun")), NULL, {0}},
    {RULE(SAME_ORDER_EVERYWHERE), NULL, 0, CSV(HS STRIPS("A", "Ash", "Bay", "Cob", "Dun", "Elm") STRIPS("B", "Ash", "Bay", "Cob", "Dun", "Elm")), CSV(HS STRIPS("A", "Ash", "Bay", "Cob", "Dun", "Elm") STRIPS("B", "Ash", "Bay", "Cob", "Elm", "Dun")), NULL, {0}},
    {RULE(SAME_ORDER_EVERYWHERE), NULL, 0, CSV(HS STRIPS("A", "Ash", "Bay", "Cob", "Dun", "Elm") "B,9,Gum,x,80\nB,8,Elm,,77\nB,6,Dun,,80\nB,5,Cob,,70\nB,4,Gum,x,72\nB,3,Bay,,90\nB,1,Ash,,95\n"), CSV(HS STRIPS("A", "Ash", "Bay", "Cob", "Dun", "Elm") "B,1,Ash,,95\nB,2,Bay,,90\nB,3,Cob,,70\nB,4,Dun,,80\n"), NULL, {0}},
    {RULE(SAME_ORDER_EVERYWHERE), NULL, 0, CSV(HS STRIPS("A", "Ash", "Bay", "Cob", "Dun", "Elm") STRIPS("B", "Ash", "Bay", "Cob", "Dun", "Elm")), CSV(HS STRIPS("A", "Ash", "Bay", "Cob", "Dun", "Elm")), NULL, {0}},
    {RULE(COPIED_VALUES), "second.csv", 2, {.csv = H "A,1,Ash,90\nA,1,Bay,80\nA,2,Ash,91\nA,2,Bay,82\n", .second = H "B,1,Ash,90\nB,1,Bay,80\nB,2,Ash,91\nB,2,Bay,82\n"}, {.csv = H "A,1,Ash,90\nA,1,Bay,80\nA,2,Ash,91\nA,2,Bay,82\n", .second = H "B,1,Ash,90\nB,1,Bay,80\nB,2,Ash,91\nB,2,Bay,82.1\n"}, NULL, {0}},
    {RULE(COPIED_VALUES), PLOTS, 10, CSV(H EIGHT("A,", "1", "80") EIGHT("A,", "2", "80")), CSV(H EIGHT("A,", "1", "80") EIGHT("A,", "2", "81")), NULL, {0}},
    {RULE(COPIED_VALUES), PLOTS, 10, CSV(H EIGHT("A,", "1", "80") EIGHT("B,", "1", "80")), CSV(H EIGHT("A,", "1", "80") EIGHT("B,", "1", "81")), NULL, {0}},
    {RULE(CONSTANT), PLOTS, 2, CSV(H "A,1,Ash,90\nA,1,Bay,90\n"), CSV(H "A,1,Ash,90\nA,1,Bay,90.1\n"), NULL, {0}},
    /* derived values and dates; 50 lb at 14 % from 17.5 x 5 ft are 444.5 bu/ac, 10 lb are 88.9 */
    {RULE(YIELD_DIFFERS), PLOTS, 2, CSV(HW ",harvest length (ft),harvest width (ft),yield (bu/ac)\nA,1,Ash,10,14,17.5,5,90\n"), CSV(HW ",harvest length (ft),harvest width (ft),yield (bu/ac)\nA,1,Ash,10,14,17.5,5,89.7\n"), NULL, {0}},
    {RULE(NO_AREA), NULL, 0, CSV(HW "\nA,1,Ash,10,14\n"), CSV(HW ",harvest length (ft),rows harvested,row spacing (in)\nA,1,Ash,10,14,17.5,2,30\n"), "harvest_length", {.csv = HW "\nA,1,Ash,10,14\n", .places = "location,harvest_length (ft),harvest_width (ft)\nA,17.5,5\n"}},
    {RULE(NO_MOISTURE), NULL, 0, CSV(HW ",harvest length (ft),harvest width (ft)\nA,1,Ash,10,,17.5,5\nA,1,Bay,10,14,17.5,5\n"), CSV(HW ",harvest length (ft),harvest width (ft)\nA,1,Ash,10,13,17.5,5\n"), NULL, {0}},
    {RULE(NO_PLANTED), NULL, 0, CSV("location,rep,hybrid,yield (bu/ac),mid_bloom\nA,1,Ash,90,2026-07-20\n"), {.csv = "location,rep,hybrid,yield (bu/ac),mid_bloom\nA,1,Ash,90,2026-07-20\n", .places = "location,planted\nA,2026-05-20\n"}, NULL, {0}},
    {RULE(DATES_FAR), PLOTS, 3, CSV("location,rep,hybrid,yield (bu/ac),planted,harvested\nA,1,Ash,90,2026-05-20,2026-10-13\nA,1,Bay,80,2026-05-20,2027-10-13\n"), CSV("location,rep,hybrid,yield (bu/ac),planted,harvested\nA,1,Ash,90,2026-05-20,2026-10-13\nA,1,Bay,80,2026-05-20,2027-05-20\n"), "correct the year", CSV("location,rep,hybrid,yield (bu/ac),planted,harvested\nA,1,Ash,90,2026-05-20,2026-10-13\nA,1,Bay,80,2026-05-20,2026-10-13\n")},
    {RULE(DATES_BACKWARD), PLOTS, 3, CSV(HD "\nA,1,Ash,2026-05-20,2026-07-20\nA,1,Bay,2026-05-20,2026-05-19\n"), CSV(HD "\nA,1,Ash,2026-05-20,2026-07-20\nA,1,Bay,2026-05-20,2026-07-19\n"), "correct one of the dates", CSV(HD "\nA,1,Ash,2026-05-20,2026-07-20\nA,1,Bay,2026-05-20,2026-07-21\n")},
    {RULE(DATES_BACKWARD), PLOTS, 2, CSV(HD ",harvested\nA,1,Ash,2026-05-20,2026-07-20,2026-07-19\n"), CSV(HD ",harvested\nA,1,Ash,2026-05-20,2026-07-20,2026-09-19\n"), "correct one of the dates", CSV(HD ",harvested\nA,1,Ash,2026-05-20,2026-07-20,2026-09-20\n")},
    {RULE(DAYS_DIFFER), PLOTS, 2, CSV(HD ",days to mid-bloom\nA,1,Ash,2026-05-20,2026-07-20,62\n"), CSV(HD ",days to mid-bloom\nA,1,Ash,2026-05-20,2026-07-20,61\n"), NULL, {0}},
    /* places and left out */
    {RULE(DATES_BACKWARD), PLOTS, 2, CSV("location,rep,hybrid,yield (bu/ac),mid_bloom,harvested\nA,1,Ash,90,2026-07-20,2026-07-19\n"), CSV("location,rep,hybrid,yield (bu/ac),mid_bloom,harvested\nA,1,Ash,90,2026-07-20,2026-09-19\n"), "correct one of the dates", CSV("location,rep,hybrid,yield (bu/ac),mid_bloom,harvested\nA,1,Ash,90,2026-07-20,2026-09-19\n")},
    {RULE(YEAR_DIFFERS), NULL, 0, CSV("location,year,rep,hybrid,yield (bu/ac),planted\nA,2026,1,Ash,90,2025-05-20\n"), CSV("location,year,rep,hybrid,yield (bu/ac),planted,harvested\nA,2026,1,Ash,90,2025-11-20,2026-03-20\n"), NULL, {0}},
    {RULE(NOT_A_PLOT), WEATHER, 3, DAILY("2026-06-01,86,59\nAverage,86,59\n"), DAILY("2026-06-01,86,59\n"), "it is passed over", GOOD},
    {RULE(WEATHER_COLUMN), WEATHER, 0, WEATHER_LIST("date,high (F),rain\n2026-06-01,90,0\n"), WEATHER_LIST("Year,Month,Day,Max temp (F),Min temp (F)\n2026,6,1,90,65\n"), "--heading low=", {.csv = H ROWS, .weather = "date,high (F),Tief (F)\n2026-06-01,90,60\n", .with = {{"heading", "low", "Tief"}}}},
    {RULE(WEATHER_COLUMN), WEATHER, 0, WEATHER_LIST("Month,Day,Max temp (F),Min temp (F)\n6,1,90,65\n"), {.csv = H ROWS, .weather = "Month,Day,Max temp (F),Min temp (F)\n6,1,90,65\n", .with = {{"year", "2026", NULL}}}, "year, month and day", WEATHER_LIST("Year,Month,Day,Max temp (F),Min temp (F)\n2026,6,1,90,65\n")},
    {RULE(DEGREES_UNCLEAR), WEATHER, 1, WEATHER_LIST("date,high,low\n2026-06-01,30,15\n"), WEATHER_LIST("date,high,low\n2026-06-01,86,59\n"), "--unit high=C", {.csv = H ROWS, .weather = "date,high,low\n2026-06-01,30,15\n", .with = {{"unit", "high", "C"}}}},
    {RULE(UNIT_ASSUMED), WEATHER, 1, WEATHER_LIST("date,high,low\n2026-06-01,86,59\n"), DAILY("2026-06-01,86,59\n"), "highs whose middle is 86 cannot be C", GOOD},
    {RULE(UNIT_ASSUMED), WEATHER, 1, WEATHER_LIST("date,high (C),low\n2026-06-01,30,15\n"), DAILY("2026-06-01,86,59\n"), "as 'high (C)' says", GOOD},
    {RULE(TEMPERATURE_RANGE), WEATHER, 3, WEATHER_LIST("date,high (C),low (C)\n2026-06-01,30,15\n2026-06-02,86,15\n2026-06-03,31,15\n"), WEATHER_LIST("date,high (C),low (C)\n2026-06-01,57,15\n2026-06-02,31,-40\n"), "--unit \"high (C)=F\"", WEATHER_LIST("date,high (C),low (C)\n2026-06-01,30,15\n2026-06-02,30,15\n2026-06-03,31,15\n")},
    {RULE(TEMPERATURE_RANGE), WEATHER, 3, DAILY("2026-06-01,86,59\n2026-06-02,-999,59\n"), DAILY("2026-06-01,86,59\n2026-06-02,,59\n"), "--missing -999", {.csv = H ROWS, .weather = "date,high (F),low (F)\n2026-06-01,86,59\n2026-06-02,-999,59\n", .with = {{"missing", "-999", NULL}}}},
    {RULE(TEMPERATURE_RANGE), WEATHER, 1, WEATHER_LIST("date,high (C),low (C)\n2026-06-01,84,58\n2026-06-02,86,60\n"), WEATHER_LIST("date,high (C),low (C)\n2026-06-01,50,15\n"), "--unit \"high (C)=F\" --unit \"low (C)=F\"", {.csv = H ROWS, .weather = "date,high (C),low (C)\n2026-06-01,84,15\n2026-06-02,86,16\n", .with = {{"unit", "high (C)", "F"}}}},
    {RULE(WEATHER_UNKNOWN), WEATHER, 3, {.csv = H "Cold Draw,1,Ash,91\n", .weather = "date,location,high (F),low (F)\n2026-06-01,Cold Draw,86,59\n2026-06-01,Cold Drew,86,59\n"}, {.csv = H "Cold Draw,1,Ash,91\n", .weather = "date,location,high (F),low (F)\n2026-06-01,COLD DRAW,86,59\n"}, "did you mean 'Cold Draw'?", GOOD},
    {RULE(HIGH_BELOW_LOW), WEATHER, 3, DAILY("2026-06-01,86,59\n2026-06-02,58,59\n"), DAILY("2026-06-01,86,59\n2026-06-02,59,59\n"), "correct the one that is wrong", DAILY("2026-06-01,86,59\n2026-06-02,85,59\n")},
    {RULE(HIGH_BELOW_LOW), WEATHER, 2, WEATHER_LIST("date,high (F),low (C)\n2026-06-01,58,15\n"), WEATHER_LIST("date,high (F),low (C)\n2026-06-01,60,15\n"), "empty it", WEATHER_LIST("date,high (F),low (C)\n2026-06-01,,15\n2026-06-02,60,15\n")},
    {RULE(DAY_TWICE), WEATHER, 3, DAILY("2026-06-01,86,59\n2026-06-01,87,59\n"), DAILY("2026-06-01,86,59\n2026-06-01,86,59\n"), "take its row out", DAILY("2026-06-01,86,59\n")},
    {RULE(DAY_TWICE), "normal.csv", 3, {.csv = H ROWS, .weather = "date,high (F),low (F)\n2026-06-01,86,59\n", .normal = "date,high (F),low (F)\n2024-06-01,86,59\n2025-06-01,87,59\n"}, DAILY("2024-06-01,86,59\n2025-06-01,87,59\n"), "weather of several years belongs to --weather", DAILY("2026-06-01,86,59\n")},
    {RULE(DAY_AGAIN), WEATHER, 3, DAILY("2026-06-01,86,59\n2026-06-01,86,59\n"), DAILY("2026-06-01,86,\n2026-06-01,,59\n"), NULL, {0}},
    {RULE(DAYS_MISSING), WEATHER, 2, DAILY("2026-06-01,86,59\n2026-06-04,86,59\n"), DAILY("2026-06-01,86,59\n2026-06-02,86,59\n2026-06-03,,59\n"), "2 days of all places between 2026-06-01 and 2026-06-04 have no high and low, the first 2026-06-02", GOOD},
    {RULE(DAYS_FAR), WEATHER, 3, DAILY("2026-06-01,86,59\n2062-06-02,86,59\n"), DAILY("2017-06-01,86,59\n2026-06-02,86,59\n"), "correct the date that is wrong", DAILY("2026-06-01,86,59\n2026-06-02,86,59\n")},
    {RULE(EMPTY_TABLE), WEATHER, 0, DAILY(""), DAILY("2026-06-01,86,59\n"), "a row a day", DAILY("2026-06-01,86,59\n")},
    {RULE(NOT_A_DATE), WEATHER, 3, DAILY("2026-06-01,86,59\n,86,59\n"), DAILY("2026-06-01,86,59\n,,\n"), "take the row out", DAILY("2026-06-01,86,59\n")},
    {RULE(NOT_A_DATE), WEATHER, 3, WEATHER_LIST("year,month,day,high (F),low (F)\n2028,2,29,60,40\n2026,2,29,60,40\n"), WEATHER_LIST("year,month,day,high (F),low (F)\n2028,2,29,60,40\n"), "no day that there is", DAILY("2026-06-01,86,59\n")},
    {RULE(MISSING_PLACE), WEATHER, 3, WEATHER_LIST("date,location,high (F),low (F)\n2026-06-01,A,86,59\n2026-06-02,,86,59\n"), WEATHER_LIST("date,location,high (F),low (F)\n2026-06-01,a,86,59\n"), "write it", DAILY("2026-06-01,86,59\n")},
    {RULE(WEATHER_UNCLEAR), "creek-weather.csv", 0, {.csv = H ROWS, .weather = "date,high (F),low (F)\n2026-06-01,86,59\n", .weather_name = "creek-weather.csv"}, {.csv = H ROWS, .weather = "date,high (F),low (F)\n2026-06-01,86,59\n", .weather_name = "weather/a-weather-2026.csv"}, "add the column", GOOD},
    {RULE(WEATHER_FOR_ALL), WEATHER, 0, {.csv = H ROWS "B,1,Ash,90\n", .weather = "date,high (F),low (F)\n2026-06-01,86,59\n"}, DAILY("2026-06-01,86,59\n"), NULL, {0}},
    {RULE(WEATHER_UNKNOWN), WEATHER, 3, WEATHER_LIST("date,location,high (F),low (F)\n2026-06-01,A,86,59\n2026-06-01,Creek,86,59\n"), WEATHER_LIST("date,location,high (F),low (F)\n2026-06-01,a,86,59\n"), "1 location has no plots", GOOD},
    {RULE(NO_WEATHER), NULL, 0, {.csv = H ROWS "B,1,Ash,90\n", .weather = "date,location,high (F),low (F)\n2026-06-01,A,86,59\n"}, {.csv = H ROWS "B,1,Ash,90\n", .weather = "date,high (F),low (F)\n2026-06-01,86,59\n"}, "no day with a high and a low of B", GOOD},
    {RULE(NORMAL_TAKEN), NULL, 0, {.csv = H ROWS, .normal = "date,high (F),low (F)\nJun 1,86,59\n"}, DAILY("2026-06-01,86,59\n"), "without --weather it is not used", GOOD},
    {RULE(PLACE_UNKNOWN), "places.csv", 3, {.csv = H ROWS, .places = "location,county\nA,Cass\nB,Cass\n"}, {.csv = H ROWS, .places = "location,county\na,Cass\n"}, NULL, {0}},
    {RULE(PLACE_NOT_LISTED), NULL, 0, {.csv = H ROWS, .places = "location,county\nB,Cass\n"}, {.csv = H ROWS, .places = "location,county\nA,Cass\n"}, NULL, {0}},
    {RULE(PLACE_TWICE), "places.csv", 3, {.csv = H ROWS, .places = "location,county\nA,Cass\nA,Cass\n"}, {.csv = "location,year,rep,hybrid,yield (bu/ac)\nA,2025,1,Ash,90\nA,2026,1,Ash,91\n", .places = "location,year,county\nA,2025,Cass\nA,2026,Cass\n"}, "keep one row", {.csv = H ROWS, .places = "location,county\nA,Cass\n"}},
    {RULE(VALUES_DIFFER), "places.csv", 2, {.csv = "location,rep,hybrid,yield (bu/ac),planted\nA,1,Ash,90,2026-05-20\n", .places = "location,planted\nA,2026-05-21\n"}, {.csv = "location,rep,hybrid,yield (bu/ac),planted\nA,1,Ash,90,2026-05-20\n", .places = "location,planted\nA,5/20/2026\n"}, NULL, {0}},
    {RULE(VALUES_DIFFER), "places.csv", 2, {.csv = "location,rep,hybrid,yield (bu/ac),row spacing (in)\nA,1,Ash,90,30\n", .places = "location,row_spacing (cm)\nA,70\n"}, {.csv = "location,rep,hybrid,yield (bu/ac),row spacing (in)\nA,1,Ash,90,30\n", .places = "location,row_spacing (cm)\nA,76.2\n"}, NULL, {0}},
    {RULE(VALUES_DIFFER), "places.csv", 2, {.csv = "location,rep,hybrid,yield (bu/ac),planted\nA,1,Ash,90,2026-05-20\nA,1,Bay,90,2026-05-21\n", .places = "location,planted\nA,2026-05-21\n"}, {.csv = "location,rep,hybrid,yield (bu/ac),planted\nA,1,Ash,90,2026-05-20\nA,1,Bay,90,2026-05-21\n", .places = "location,planted\nA,\n"}, "not one for all plots", {.csv = "location,rep,hybrid,yield (bu/ac),planted\nA,1,Ash,90,2026-05-20\nA,1,Bay,90,2026-05-21\n"}},
    {RULE(PLACE_TWICE), "places.csv", 3, {.csv = H ROWS, .places = "location,year,county\nA,2025,Cass\nA,2026,Cass\n"}, {.csv = H ROWS, .places = "location,trial,county\nA,one,Cass\nB,two,Cass\n"}, "add a year column to the plot list", {.csv = "location,year,rep,hybrid,yield (bu/ac)\nA,2025,1,Ash,90\n", .places = "location,year,county\nA,2025,Cass\nA,2026,Cass\n"}},
    {RULE(PLACE_UNKNOWN), "places.csv", 3, {.csv = H ROWS "Cold Draw,1,Ash,91\n", .places = "location,county\nA,Cass\nCold Drew,Cass\n"}, {.csv = H ROWS, .places = "location,county\nA,Cass\n"}, "did you mean 'Cold Draw'?", GOOD},
    {RULE(PLACE_UNKNOWN), "places.csv", 3, {.csv = H ROWS, .places = "location,county\nA,Cass\n,Cass\n"}, {.csv = H ROWS, .places = "location,county\nA,Cass\n,\n"}, "names no location", GOOD},
    {RULE(PLACE_UNKNOWN), "places.csv", 2, {.csv = "location,year,rep,hybrid,yield (bu/ac)\nA,2026,1,Ash,90\n", .places = "location,year,county\nA,2025,Cass\n"}, {.csv = "location,year,rep,hybrid,yield (bu/ac)\nA,2026,1,Ash,90\n", .places = "location,year,county\nA,2026,Cass\n"}, "none of this year and trial", GOOD},
    {RULE(PLACE_NOT_LISTED), NULL, 0, {.csv = H "Cold Draw,1,Ash,91\n", .places = "location,county\nCold Drew,Cass\n"}, {.csv = H "Cold Draw,1,Ash,91\n", .places = "location,county\ncold draw,Cass\n"}, "did you mean 'Cold Drew'?", GOOD},
    {RULE(LEFT_OUT), PLOTS, 3, CSV("location,rep,hybrid,yield (bu/ac),leave_out\nA,1,Ash,90,no\nA,1,Bay,80,hail\n"), CSV("location,rep,hybrid,yield (bu/ac),leave_out\nA,1,Ash,90,no\nA,1,Bay,80,\n"), NULL, {0}},
    {RULE(LEFT_OUT_FLAW), PLOTS, 3, CSV("location,rep,hybrid,yield (bu/ac),leave_out\nA,1,Ash,90,\nA,1,Bay,0,hail\n"), CSV("location,rep,hybrid,yield (bu/ac),leave_out\nA,1,Ash,90,\nA,1,Bay,80,hail\n"), NULL, {0}},
    /* from the fits */
    {RULE(OUTLIER), PLOTS, 12, WITH("location,hybrid,yield (bu/ac)\nA,H0,180.4\nA,H1,188.0\nA,H2,182.3\nA,H3,193.0\nA,H4,191.0\nA,H5,194.0\nA,H6,205.6\nB,H0,190.6\nB,H1,192.8\nB,H2,198.9\nB,H3,19.8\nB,H4,201.9\nB,H5,207.4\nB,H6,204.1\nC,H0,198.5\nC,H1,201.2\nC,H2,200.7\nC,H3,203.0\nC,H4,205.5\nC,H5,214.0\nC,H6,217.3\nD,H0,208.7\nD,H1,213.3\nD,H2,210.7\nD,H3,218.7\nD,H4,223.0\nD,H5,228.0\nD,H6,224.6\n", "crop", "corn", NULL), WITH("location,hybrid,yield (bu/ac)\nA,H0,180.4\nA,H1,188.0\nA,H2,182.3\nA,H3,193.0\nA,H4,191.0\nA,H5,194.0\nA,H6,205.6\nB,H0,190.6\nB,H1,192.8\nB,H2,198.9\nB,H3,198.0\nB,H4,201.9\nB,H5,207.4\nB,H6,204.1\nC,H0,198.5\nC,H1,201.2\nC,H2,200.7\nC,H3,203.0\nC,H4,205.5\nC,H5,214.0\nC,H6,217.3\nD,H0,208.7\nD,H1,213.3\nD,H2,210.7\nD,H3,218.7\nD,H4,223.0\nD,H5,228.0\nD,H6,224.6\n", "crop", "corn", NULL), NULL, {0}},
    {RULE(OUTLIER), PLOTS, 9, CSV(H "A,1,Ash,90\nA,2,Ash,91\nA,3,Ash,92\nA,1,Bay,80\nA,2,Bay,81.5\nA,3,Bay,82\nA,1,Cob,70\nA,2,Cob,170\nA,3,Cob,72.5\nA,1,Dun,60\nA,2,Dun,61\nA,3,Dun,62.5\n"), CSV(H "A,1,Ash,90\nA,2,Ash,91\nA,3,Ash,92\nA,1,Bay,80\nA,2,Bay,81.5\nA,3,Bay,82\nA,1,Cob,70\nA,2,Cob,71\nA,3,Cob,72.5\nA,1,Dun,60\nA,2,Dun,61\nA,3,Dun,62.5\n"), NULL, {0}},
    {RULE(HIGH_CV), PLOTS, 0, CSV(H "A,1,Ash,90\nA,2,Ash,40\nA,1,Bay,45\nA,2,Bay,83\n"), WITH(H "A,1,Ash,90\nA,2,Ash,40\nA,1,Bay,45\nA,2,Bay,83\n", "cv-limit", "90", NULL), NULL, {0}},
    {RULE(NO_MEAN_OVER_PLACES), NULL, 0, WITH(H ROWS "B,1,Ash,90\nB,2,Ash,81\nB,1,Cob,82\nB,2,Cob,85\n", "locations", "fixed", NULL), CSV(H ROWS "B,1,Ash,90\nB,2,Ash,81\nB,1,Cob,82\nB,2,Cob,85\n"), NULL, {0}},
    {RULE(FEW_CHECK_STRIPS), PLOTS, 0, WITH(HS "A,1,Ash,x,90\nA,2,Bay,,80\nA,3,Ash,x,92\nA,4,Cob,,81\nA,5,Ash,x,91\n", "strip-adjustment", "difference", NULL), WITH(HS "A,1,Ash,x,90\nA,2,Bay,,80\nA,3,Ash,x,92\nA,4,Cob,,81\nA,5,Ash,x,91\nA,6,Ash,x,93\n", "strip-adjustment", "difference", NULL), NULL, {0}},
    {RULE(FEW_CHECK_STRIPS), PLOTS, 0, WITH(HS "A,1,Ash,x,90\nA,2,Bay,,80\nA,3,Ash,x,92\n", "strip-adjustment", "ratio", NULL), CSV(HS "A,1,Ash,x,90\nA,2,Bay,,80\nA,3,Ash,x,92\n"), NULL, {0}},
    {RULE(DISCONNECTED), PLOTS, 0, CSV(H "A,1,Ash,90\nA,1,Bay,80\nA,2,Ash,91\nA,2,Bay,84\nA,3,Cob,90\nA,3,Dun,80\nA,4,Cob,91\nA,4,Dun,85\n"), CSV(H "A,1,Ash,90\nA,1,Bay,80\nA,2,Ash,91\nA,2,Bay,84\nA,3,Cob,90\nA,3,Ash,80\nA,4,Cob,91\nA,4,Dun,85\n"), NULL, {0}},
};
/* clang-format on */

/* ---- a run of an input ------------------------------------------------------------------------------------------ */

/* Adds one option to the settings; pair is its room. */
static void apply(const given *g, cks_settings *settings, cks_setting_pair *pair)
{
  struct {
    const char *option;
    cks_setting_list *list;
  } lists[] = {{"heading", &settings->heading}, {"unit", &settings->unit},   {"missing", &settings->missing},
               {"trait", &settings->trait},     {"check", &settings->check}, {"without", &settings->without},
               {"only", &settings->only},       {"sheet", &settings->sheet}};
  *pair = (cks_setting_pair){g->key, g->value};
  for (size_t i = 0; i < COUNT(lists); i++)
    if (!strcmp(g->option, lists[i].option)) {
      *lists[i].list = (cks_setting_list){1, pair};
      return;
    }
  if (!strcmp(g->option, "year"))
    settings->year = atof(g->key);
  else if (!strcmp(g->option, "crop"))
    settings->crop = g->key;
  else if (!strcmp(g->option, "by-group"))
    settings->by_group = g->key;
  else if (!strcmp(g->option, "decimal-comma"))
    settings->decimal_comma = true;
  else if (!strcmp(g->option, "dates"))
    settings->dates = strcmp(g->key, "mdy") ? CKS_DATES_DMY : CKS_DATES_MDY;
  else if (!strcmp(g->option, "locations"))
    settings->locations_fixed = true;
  else if (!strcmp(g->option, "strip-adjustment"))
    settings->strip_adjustment = strcmp(g->key, "difference") ? CKS_STRIPS_RATIO : CKS_STRIPS_DIFFERENCE;
  else if (!strcmp(g->option, "cv-limit"))
    settings->cv_limit = atof(g->key);
  else
    fail_msg("no option '%s'", g->option);
}

/* csv with '@' blown up; malloc. */
static char *blown(const input *in, size_t *n)
{
  const char *at = strchr(in->csv, '@');
  size_t head = (size_t)(at - in->csv), tail = strlen(at + 1);
  char *text = malloc(head + in->blow + tail + 1);
  assert_non_null(text);
  memcpy(text, in->csv, head);
  memset(text + head, 'x', in->blow);
  memcpy(text + head + in->blow, at + 1, tail + 1);
  *n = head + in->blow + tail;
  return text;
}

static test_run run_input(const input *in)
{
  size_t n = in->n ? in->n : in->csv ? strlen(in->csv) : 0;
  char *big = in->book.sheet[0].name ? test_book_bytes(&in->book, &n) : in->blow ? blown(in, &n) : NULL;
  test_bytes bytes[6] = {{big ? big : in->csv, n, 0},
                         {in->second, in->second ? strlen(in->second) : 0, 0},
                         {in->places, in->places ? strlen(in->places) : 0, 0},
                         {in->names, in->names ? strlen(in->names) : 0, 0},
                         {in->weather, in->weather ? strlen(in->weather) : 0, 0},
                         {in->normal, in->normal ? strlen(in->normal) : 0, 0}};
  cks_source source[2] = {test_source(in->first_name ? in->first_name : PLOTS, &bytes[0]),
                          test_source(in->second_name ? in->second_name : "second.csv", &bytes[1])},
             places = test_source("places.csv", &bytes[2]), names = test_source("names.csv", &bytes[3]),
             weather = test_source(in->weather_name ? in->weather_name : WEATHER, &bytes[4]),
             normal = test_source("normal.csv", &bytes[5]);
  cks_setting_pair pair[MOST_OPTIONS];
  cks_settings settings;
  cks_settings_defaults(&settings);
  settings.audit_only = true;
  for (size_t i = 0; i < MOST_OPTIONS && in->with[i].option; i++) apply(&in->with[i], &settings, &pair[i]);
  if (in->places) settings.places = &places;
  if (in->names) settings.names = &names;
  settings.weather = &weather;
  settings.n_weather = in->weather ? 1 : 0;
  if (in->normal) settings.normal = &normal;
  test_run run = {0};
  cks_startup();
  assert_int_equal(cks_findings_new(&run.findings, NULL), CKS_OK);
  run.status = cks_run(&settings, in->second ? 2 : 1, source, 0, NULL, run.findings, &run.error);
  free(big);
  return run;
}

static void print_findings(const cks_findings *findings)
{
  cks_arena *arena = cks_arena_new();
  for (size_t i = 0; i < findings->n; i++)
    print_error("    %.300s\n", cks_finding_line(findings, &findings->finding[i], arena));
  cks_arena_free(arena);
}

/* ---- the table walked ------------------------------------------------------------------------------------------- */

#define WRONG(...) (print_error(__VA_ARGS__), print_findings(run.findings), false)

static bool raises_at_its_line(const rule_case *c, const char *name)
{
  test_run run = run_input(&c->raises);
  const cks_finding *finding = test_finding(run.findings, c->rule);
  bool error = cks_rule_find(c->rule)->severity == CKS_ERROR, good = true;
  if (!finding) {
    good = WRONG("%s is not raised\n", name);
  } else {
    const char *file = finding->where.file < run.findings->n_file ? run.findings->file[finding->where.file] : NULL;
    if (finding->where.line != c->line)
      good = WRONG("%s points at line %u, expected %u\n", name, finding->where.line, c->line);
    if (!file != !c->file || (file && strcmp(file, c->file) != 0))
      good = WRONG("%s points at file %s, expected %s\n", name, file ? file : "-", c->file ? c->file : "-");
    if (error && !c->names) good = WRONG("%s: an error needs a cure in its case\n", name);
    if (c->names && !strstr(finding->text, c->names))
      good = WRONG("%s: the text does not name the cure '%s'\n", name, c->names);
    if (finding->text[strlen(finding->text) - 1] == '.') good = WRONG("%s: the text ends with a full stop\n", name);
    if ((run.status == CKS_DATA) != (run.findings->n_severity[CKS_ERROR] > 0))
      good = WRONG("%s: status %d\n", name, (int)run.status);
    if (!error && run.status != CKS_OK) good = WRONG("%s: the smallest list raises an error too\n", name);
  }
  test_run_release(&run);
  return good;
}

static bool near_miss_does_not(const rule_case *c, const char *name)
{
  test_run run = run_input(&c->near_miss);
  bool good = true;
  if (test_finding(run.findings, c->rule)) good = WRONG("%s is raised by its near miss\n", name);
  if (run.status != CKS_OK) good = WRONG("%s: the near miss does not run: %s\n", name, run.error.text);
  test_run_release(&run);
  return good;
}

static bool cure_leaves_no_error(const rule_case *c, const char *name)
{
  test_run run = run_input(&c->cure);
  bool good = true;
  if (run.status != CKS_OK || run.findings->n_severity[CKS_ERROR]) good = WRONG("%s: the cure does not cure\n", name);
  test_run_release(&run);
  return good;
}

static void rules_when_raised_by_the_smallest_list_then_they_point_at_its_line(void **state)
{
  (void)state;
  size_t wrong = 0;
  for (size_t i = 0; i < COUNT(cases); i++) wrong += !raises_at_its_line(&cases[i], cks_rule_find(cases[i].rule)->name);
  assert_int_equal(wrong, 0);
}

static void rules_when_the_list_is_a_near_miss_then_they_are_silent(void **state)
{
  (void)state;
  size_t wrong = 0;
  for (size_t i = 0; i < COUNT(cases); i++) wrong += !near_miss_does_not(&cases[i], cks_rule_find(cases[i].rule)->name);
  assert_int_equal(wrong, 0);
}

static void errors_when_their_cure_is_followed_then_the_table_reads(void **state)
{
  (void)state;
  size_t wrong = 0;
  for (size_t i = 0; i < COUNT(cases); i++)
    if (cases[i].names) wrong += !cure_leaves_no_error(&cases[i], cks_rule_find(cases[i].rule)->name);
  assert_int_equal(wrong, 0);
}

static void rules_when_walked_then_each_has_a_case(void **state)
{
  (void)state;
  size_t lacking = 0;
  for (int rule = 0; rule < CKS_RULE_COUNT; rule++) {
    bool found = false;
    for (size_t i = 0; i < COUNT(cases) && !found; i++) found = (int)cases[i].rule == rule;
    if (!found) print_error("%s has no case\n", cks_rule_find((cks_rule)rule)->name);
    lacking += !found;
  }
  assert_int_equal(lacking, 0);
}

int main(void)
{
  const struct CMUnitTest tests[] = {
      cmocka_unit_test(rules_when_walked_then_each_has_a_case),
      cmocka_unit_test(rules_when_raised_by_the_smallest_list_then_they_point_at_its_line),
      cmocka_unit_test(rules_when_the_list_is_a_near_miss_then_they_are_silent),
      cmocka_unit_test(errors_when_their_cure_is_followed_then_the_table_reads),
  };
  return cmocka_run_group_tests(tests, NULL, NULL);
}
