/*
 * roles.c: the facts of each role of CKS_ROLES, one row a role: label, stacked heading, usual unit, digits, good end,
 * measure, ranges, and the headings that people write for it.
 *
 * Ranges are in the usual unit: low and high bound what can be at all, usual_low and usual_high what needs no second
 * look. They are wide enough for every crop of crops.c: common practice, no source, but for the sorghum figures (days
 * to mid-bloom, test weight: US grades of 7 CFR 810.1404 run from 51 to 57 lb/bu). Yields are bounded by the crop.
 * Dry matter of a forage: from green chop of some 15 % to hay of 85 to 90 %; common practice, no source. Panicle type,
 * threshing and stage are words (compact, semi-open, open), or codes that no mean is taken of.
 * Which end of a rating is good differs from scale to scale (aphid damage 1 none to 9 dead, disease 1 resistant to 5
 * susceptible, but vigor either way), so none is assumed.
 */
#include <checkstrip/table.h>

#include <math.h>

/* Key, kind and class stand in CKS_ROLES; here they are named, so that the rows can take them up. */
#define ROLE_KEY(id, key, kind, class) static const char KEY_##id[] = key;
CKS_ROLES(ROLE_KEY)
#undef ROLE_KEY
#define ROLE_KIND(id, key, kind, class) KIND_##id = CKS_##kind,
enum { CKS_ROLES(ROLE_KIND) };
#undef ROLE_KIND
#define ROLE_CLASS(id, key, kind, class) CLASS_##id = CKS_CLASS_##class,
enum { CKS_ROLES(ROLE_CLASS) };
#undef ROLE_CLASS

#define ROLE(id, label, narrow, unit, digits, better, measure, low, usual_low, usual_high, high, synonyms)             \
  [CKS_ROLE_##id] = {KEY_##id,                                                                                         \
                     (cks_kind)KIND_##id,                                                                              \
                     (cks_role_class)CLASS_##id,                                                                       \
                     label,                                                                                            \
                     narrow,                                                                                           \
                     CKS_UNIT_##unit,                                                                                  \
                     digits,                                                                                           \
                     CKS_BETTER_##better,                                                                              \
                     CKS_MEASURE_##measure,                                                                            \
                     low,                                                                                              \
                     usual_low,                                                                                        \
                     usual_high,                                                                                       \
                     high,                                                                                             \
                     synonyms}
/* A role that is a name, a date, or a number without limits. */
#define PLAIN(id, label, narrow, unit, synonyms)                                                                       \
  ROLE(id, label, narrow, unit, 0, NONE, NUMBER, NAN, NAN, NAN, NAN, synonyms)
/* A rating: its scale is stated in the heading; without one 0 to 10 is usual. */
#define RATING(id, label, narrow, synonyms) ROLE(id, label, narrow, SCORE, 1, NONE, RATING, 0, 0, 10, 100, synonyms)
/* A percent of plants or grain that is lost. */
#define LOSS(id, label, narrow, synonyms) ROLE(id, label, narrow, PERCENT, 0, LOW, PROPORTION, 0, 0, 100, 100, synonyms)

/* Words such as germplasmname and positioncoordinatex: the open BrAPI specification, version 2 (from memory). */
/* clang-format off */
static const cks_role_fact roles[CKS_ROLE_COUNT] = {
    PLAIN(LOCATION, "location", "location", NONE, "loc|locationname|site|place|town|city|farm|station|location name|site name|environment|env"),
    ROLE(YEAR, "year", "year", NONE, 0, NONE, NUMBER, 1900, 1950, 2100, 2200, "yr|season|crop year|harvest year|trial year"),
    PLAIN(TRIAL, "trial", "trial", NONE, "test|studyname|study name|trial name|test name|experiment|exp|trial id|test id|study|nursery"),
    PLAIN(REP, "rep", "rep", NONE, "replication|replicate|reps|replications|replicates|rep no|rep number|rep #|replication no|replication number|replicate no|replicate number"),
    PLAIN(BLOCK, "block", "block", NONE, "blk|blocks|block no|block number|block #|incomplete block|inc block|iblock|sub block|block in rep"),
    PLAIN(PLOT, "plot", "plot", NONE, "plot no|plot number|plot id|plot #|plt|plt no|plot name"),
    PLAIN(ROW, "row", "row", NONE, "range|positioncoordinatey|rng|range no|rng no|range number|row no|row number|field row"),
    PLAIN(COLUMN, "column", "column", NONE, "col|positioncoordinatex|pass|col no|column no|column number|pass no|pass number|field column"),
    PLAIN(STRIP, "strip", "strip", NONE, "strip no|strip number|strip #|strip order|strip position|order|position|field order"),
    PLAIN(ENTRY, "entry", "entry", NONE, "entry no|entry number|entry #|entry id|ent|ent no|entries"),
    PLAIN(CODE, "code", "code", NONE, "hybrid code|variety code|entry code|code no|code number"),
    PLAIN(TREATMENT, "treatment", "treat-\nment", NONE, "trt|treat|trt no|treatment no|treatment number|trt name|treatment name|treatments"),
    PLAIN(BRAND, "brand", "brand", NONE, "company|brand name|company name|supplier|seed company|seed source|brand or company|company brand|brand company"),
    PLAIN(HYBRID, "hybrid", "hybrid", NONE, "variety|germplasmname|cultivar|entry name|hybrid name|variety name|cultivar name|product|product name|name|line|line name|genotype|hyb|hybrids|varieties|variety hybrid|hybrid variety|designation|pedigree|selection|brand hybrid|brand variety|hybrid number|hybrid no"),
    PLAIN(SEEN_AS, "seen as", "seen as", NONE, "seen as name|also called|also known as|alias|aliases|written as|plot list name|name in plot list|spelling|other name|old name"),
    PLAIN(PRINT, "print", "print", NONE, "print as|print name|printed name|printed as|name printed|name as printed|display name|show as"),
    ROLE(SEED_COST, "seed cost", "seed\ncost", NONE, 2, NONE, NUMBER, 0, NAN, NAN, 100000, "cost of seed|seed price|price of seed|seed cost per acre|seed cost per unit|bag cost|bag price|cost per bag|cost per unit|price per bag|price per unit"),
    PLAIN(CHECK, "check", "check", NONE, "ck|entrytype|entry type|chk|checks|is check|check hybrid|check variety"),
    PLAIN(CUT, "cut", "cut", NONE, "cutting|cut no|cut number|cut #|cutting no|cutting number|cutting #|cut id"),
    PLAIN(LEAVE_OUT, "leave out", "leave\nout", NONE, "leave out|left out|exclude|excluded|omit|omitted|discard|discarded|drop|dropped|do not use|reason left out"),
    PLAIN(CROP, "crop", "crop", NONE, "crop name|commoncropname|common crop name|crop type|species"),
    PLAIN(MATURITY, "maturity", "maturity", NONE, "mat|maturity group|maturity class|maturity rating|relative maturity|rel mat|rm|mg"),
    PLAIN(BY_GROUP, "group column", "group", NONE, ""),
    PLAIN(BY, "column of places", "by", NONE, ""),
    PLAIN(NOTE, "note", "note", NONE, "notes|comment|comments|remark|remarks|observation|observations|memo"),
    PLAIN(OBSERVED, "date of the observation", "observed", DATE, "date|observed on|observation date|date observed|date of observation|note date|date noted|date of note|date of notes|rating date|date rated|score date|date scored|walk date|date walked|date of walk|observationtimestamp|observation time stamp"),
    PLAIN(OBSERVER, "observer", "observer", NONE, "observed by|noted by|note taker|rated by|rater|scored by|scorer|walked by|observer name|observer initials|initials|collector"),
    PLAIN(TRAIT, "trait", "trait", NONE, "traits|variable|measurement|characteristic|trait name|variable name|name of trait|measured|observationvariablename|observation variable name|observation variable"),
    PLAIN(VALUE, "value", "value", NONE, "values|score|reading|measured value|observed value|trait value|amount"),
    PLAIN(UNIT, "unit", "unit", NONE, "units|unit of measure|unit of trait|trait unit"),
    PLAIN(COOPERATOR, "cooperator", "cooper-\nator", NONE, "coop|cooperators|cooperator name|grower|grower name|farmer|producer|host"),
    PLAIN(COUNTY, "county", "county", NONE, "county name|parish"),
    PLAIN(IRRIGATION, "irrigation", "irriga-\ntion", NONE, "irrigated|irrig|irr|water|water regime|irrigated or dryland|dryland or irrigated|irrigated dryland|dryland irrigated"),
    PLAIN(PREVIOUS_CROP, "previous crop", "previous\ncrop", NONE, "prev crop|previous crops|preceding crop|prior crop|last crop|crop before"),
    PLAIN(SOIL, "soil", "soil", NONE, "soil type|soil series|soil texture|soil name|soils"),
    ROLE(RAINFALL, "rainfall", "rain-\nfall", IN, 1, NONE, NUMBER, 0, 0, 60, 200, "rain|precip|precipitation|season rain|season rainfall|seasonal rainfall|total rain|total rainfall"),
    ROLE(SEEDING_RATE, "seeding rate", "seeding\nrate", PER_AC, 0, NONE, NUMBER, 100, 10000, 2000000, 10000000, "seed rate|seeds|planting rate|plant rate|seeding|seeds planted|planted population|target population"),
    ROLE(ROW_SPACING, "row spacing", "row\nspacing", IN, 0, NONE, NUMBER, 2, 6, 45, 150, "row width|spacing|row sp|row distance|distance between rows"),
    ROLE(ROWS_HARVESTED, "rows harvested", "rows\nhar-\nvested", COUNT, 0, NONE, NUMBER, 1, 1, 48, 1000, "rows|no rows|number of rows|rows per plot|harvest rows|harvested rows|rows plot|rows per strip|n rows"),
    ROLE(HARVEST_LENGTH, "harvest length", "harvest\nlength", FT, 1, NONE, NUMBER, 1, 5, 6000, 30000, "length|plot length|row length|strip length|harvested length|plot len|len"),
    ROLE(HARVEST_WIDTH, "harvest width", "harvest\nwidth", FT, 1, NONE, NUMBER, 0.5, 2, 120, 2000, "width|plot width|strip width|harvested width|header width|swath|swath width"),
    ROLE(LATITUDE, "latitude", "lati-\ntude", NONE, 5, NONE, NUMBER, -90, -60, 70, 90, "lat|gps lat|gps latitude"),
    ROLE(LONGITUDE, "longitude", "longi-\ntude", NONE, 5, NONE, NUMBER, -180, -180, 180, 180, "lon|long|lng|gps lon|gps long|gps longitude"),
    PLAIN(PLANTED, "planted", "planted", DATE, "planting date|plant date|date planted|date of planting|planting|seeded|seeding date|date seeded|sown|sowing date|sow date|plt date"),
    PLAIN(EMERGED, "emerged", "emerged", DATE, "emergence|emergence date|date emerged|date of emergence|emerg date|emerge date"),
    PLAIN(HARVESTED, "harvested", "har-\nvested", DATE, "harvest|harvest date|date harvested|date of harvest|harv date|hvst date|combined"),
    PLAIN(FROST, "frost", "frost", DATE, "frost date|date of frost|first frost|first frost date|killing frost|killing frost date|freeze|freeze date|date of freeze|first freeze"),
    PLAIN(DROUGHT, "drought", "drought", DATE, "drought date|date of drought|drought since|drought stress date|drouth"),
    PLAIN(MID_BLOOM, "date of mid-bloom", "mid-\nbloom", DATE, "mid bloom date|date of mid bloom|bloom date|date of bloom|date bloomed|bloomed|half bloom date|date of half bloom|50 bloom date|date of 50 bloom|flowering date|flower date|date of flowering|anthesis date"),
    ROLE(PLOT_WEIGHT, "plot weight", "plot\nweight", LB, 2, NONE, NUMBER, 0, NAN, NAN, NAN, "plot wt|plot wgt|weight|wt|wgt|grain weight|grain wt|harvest weight|harvest wt|net weight|net wt|net|strip weight|strip wt|plot lbs|plot lb"),
    ROLE(GROSS, "gross weight", "gross\nweight", LB, 2, NONE, NUMBER, 0, NAN, NAN, NAN, "gross weight|gross wt|full weight|full wt|loaded weight|loaded wt"),
    ROLE(TARE, "tare weight", "tare\nweight", LB, 2, NONE, NUMBER, 0, NAN, NAN, NAN, "tare weight|tare wt|empty weight|empty wt"),
    ROLE(WET_YIELD, "wet yield", "wet\nyield", BU_AC, 1, HIGH, NUMBER, NAN, NAN, NAN, NAN, "yield wet|raw yield|field yield|unadjusted yield|uncorrected yield|as is yield|yield as is|yield at harvest moisture|wet yld|green yield"),
    ROLE(GREEN_WEIGHT, "green weight", "green\nweight", LB, 2, NONE, NUMBER, 0, NAN, NAN, NAN, "green wt|green wgt|fresh weight|fresh wt|forage weight|forage wt|green forage weight|fresh forage weight|green chop weight|silage weight|plot green weight|plot green wt|plot fresh weight|plot forage weight"),
    PLAIN(CUT_DATE, "date of the cut", "cut\non", DATE, "date cut|date of cut|cutting date|date of cutting|cut on"),
    ROLE(NITRATE, "nitrate", "nitrate", PPM, 0, NONE, NUMBER, 0, NAN, NAN, NAN, ""),
    ROLE(PRUSSIC_ACID, "prussic acid", "prussic\nacid", PPM, 0, NONE, NUMBER, 0, NAN, NAN, NAN, ""),
    PLAIN(PANICLE_TYPE, "panicle type", "panicle\ntype", NONE, "panicle form|panicle shape|panicle compactness|panicle density|panicle|head type|head form|head shape|head compactness"),
    PLAIN(THRESHING, "threshing", "thresh-\ning", NONE, "threshability|thresh|threshing quality|threshing ability|ease of threshing|threshes"),
    PLAIN(STAGE, "growth stage", "growth\nstage", NONE, "gs|stage|crop stage|plant stage|development stage|growth stage code|stage of growth|stage of development|stage at note|stage at rating|stage at harvest|stage at cut|stage at cutting"),
    PLAIN(STAGE_DATE, "date of the stage", "stage\ndate", DATE, "stage date|date of stage|date staged|growth stage date|date of growth stage|staging date|gs date"),
    ROLE(YIELD, "yield", "yield", BU_AC, 1, HIGH, NUMBER, NAN, NAN, NAN, NAN, "yld|grain yield|grain yld|dry yield|yield dry|adj yield|yield adj|adjusted yield|yield adjusted|corrected yield|yield corrected|standard yield|std yield|yield at standard moisture|yield at std moisture|bushels|bushels per acre|bu per acre|bu ac|bu a|bu acre"),
    ROLE(DRY_MATTER_YIELD, "dry matter yield", "dry\nmatter\nyield", TON_AC, 2, HIGH, NUMBER, 0, NAN, NAN, NAN, "dm yield|yield dm|yield dry matter|dry matter tons|dry forage yield|forage dry matter yield|forage dm yield"),
    ROLE(FORAGE_YIELD, "forage yield", "forage\nyield", TON_AC, 1, HIGH, NUMBER, 0, NAN, NAN, NAN, "forage yld|silage yield|silage yld|yield of forage|yield of silage"),
    ROLE(MOISTURE, "moisture", "mois-\nture", PERCENT, 1, NONE, NUMBER, 2, 7, 30, 60, "moist|mois|mst|mstr|mc|h2o|moisture content|harvest moisture|moisture at harvest|grain moisture|field moisture|kernel moisture|seed moisture|water content|percent moisture|pct moisture|moisture pct|moisture percent|moist pct|harv moist|harvest moist|grain moist|harvest h2o|grain h2o"),
    ROLE(TEST_WEIGHT, "test weight", "test\nweight", LB_BU, 1, HIGH, NUMBER, 20, 48, 66, 75, "tw|twt|test wt|test wgt|tst wt|testw|bu wt|bushel weight|bushel wt|volume weight|vol wt|hectoliter weight|hectolitre weight|specific weight|test weights"),
    ROLE(DAYS_TO_MID_BLOOM, "days to mid-bloom", "mid-\nbloom", DAYS, 0, NONE, NUMBER, 20, 40, 100, 150, "days to bloom|days to half bloom|days to 50 bloom|days to 50 percent bloom|days to flower|days to flowering|days to 50 flowering|days to 50 flower|days to mid flower|days to mid flowering|days to anthesis|half bloom|bloom|bloom days|days bloom|mid bloom days|midbloom days|dtb|dtf|dtmb|50 bloom|dt 50 bloom"),
    ROLE(PLANT_HEIGHT, "plant height", "plant\nheight", IN, 0, NONE, NUMBER, 5, 20, 140, 250, "height|ht|hgt|plant ht|plant hgt|plt ht|plt hgt|pht|plant hts|heights"),
    ROLE(HEAD_EXSERTION, "head exsertion", "exser-\ntion", IN, 1, NONE, NUMBER, -15, -4, 15, 30, "exsertion|exs|exsert|exertion|head exertion|head exs|hd exs|panicle exsertion|panicle exertion|peduncle exsertion"),
    ROLE(HEAD_LENGTH, "head length", "head\nlength", IN, 1, NONE, NUMBER, 1, 3, 18, 40, "head len|hd length|hd len|panicle length|panicle len|spike length|ear length"),
    ROLE(HEADS, "heads", "heads", COUNT, 0, NONE, NUMBER, 0, NAN, NAN, NAN, "head count|head number|head no|number of heads|no heads|heads per plot|panicles|panicle number|panicle count|number of panicles|panicles per plot"),
    ROLE(KERNEL_WEIGHT, "kernel weight", "kernel\nweight", G, 1, NONE, NUMBER, 1, 10, 450, 700, "kernel wt|kwt|tkw|tgw|tsw|thousand kernel weight|thousand kernel wt|1000 kernel weight|1000 kernel wt|1000 kwt|1000 grain weight|thousand grain weight|seed weight|seed wt|1000 seed weight|1000 seed wt|thousand seed weight"),
    ROLE(STAND, "stand", "stand", COUNT, 0, NONE, NUMBER, 0, NAN, NAN, NAN, "stand count|stand counts|plant count|plant counts|plants|plants per plot|number of plants|no plants|plants counted|std ct|stand ct"),
    ROLE(POPULATION, "plant population", "popu-\nlation", PER_AC, 0, NONE, NUMBER, 0, 5000, 2000000, 10000000, "pop|plant population|plant pop|plants per acre|final population|final pop|final stand|harvest population|harvest pop|plant density|ppa"),
    RATING(VIGOR, "vigor", "vigor", "vigour|vig|seedling vigor|seedling vigour|early vigor|early vigour|emergence vigor|vigor rating|vigor score"),
    LOSS(LODGING, "lodging", "lodg-\ning", "lodged|lodge|lodg|ldg|lod|total lodging|percent lodging|pct lodging|lodging pct|lodging percent|percent lodged|pct lodged|plants lodged|lodged plants"),
    LOSS(ROOT_LODGING, "root lodging", "root\nlodg-\ning", "root lodged|root lodge|root lodg|percent root lodging|pct root lodging|root lodging pct|rt ldg"),
    LOSS(STALK_LODGING, "stalk lodging", "stalk\nlodg-\ning", "stalk lodged|stalk lodge|stalk lodg|stem lodging|stalk breakage|percent stalk lodging|pct stalk lodging|stalk lodging pct|stk ldg"),
    RATING(STANDABILITY, "standability", "stand-\nability", "standability rating|standability score|stand ability|lodging rating|lodging score|stalk strength|straw strength"),
    RATING(STAYGREEN, "staygreen", "stay-\ngreen", "stay green|staygreen rating|stay green rating|staygreen score|green leaf retention"),
    RATING(WEATHERING, "weathering", "weath-\nering", "weathering rating|weathering score|grain weathering|head weathering|weather damage"),
    LOSS(SPROUTING, "sprouting", "sprout-\ning", "sprout|sprouted|head sprouting|preharvest sprouting|sprouted heads|percent sprouting|pct sprouting"),
    RATING(APHID, "aphid", "aphid", "aphids|aphid damage|aphid rating|aphid score|sugarcane aphid|sugarcane aphids|sorghum aphid|sca|sca rating|sca damage"),
    RATING(MIDGE, "midge", "midge", "midge damage|midge rating|midge score|sorghum midge"),
    LOSS(BIRD_DAMAGE, "bird damage", "bird\ndamage", "bird|birds|bird loss|bird feeding|bird injury|percent bird damage|pct bird damage"),
    RATING(DISEASE, "disease", "disease", "disease rating|disease score|disease severity|foliar disease|leaf disease|anthracnose|rust|leaf rust|stripe rust|leaf blight|gray leaf spot|northern leaf blight|head smut|downy mildew|powdery mildew|charcoal rot|stalk rot|fusarium|head blight|scab|grain mold|head mold|ergot"),
    ROLE(DRY_MATTER, "dry matter", "dry\nmatter", PERCENT, 1, NONE, NUMBER, 2, 10, 95, 100, "dm|dry matter content|percent dry matter|pct dry matter|dry matter pct|dry matter percent|percent dm|pct dm|dm pct|dm percent|dm content|whole plant dry matter|whole plant dm|forage dry matter|forage dm|silage dry matter|silage dm"),
    ROLE(PROTEIN, "protein", "protein", PERCENT, 1, NONE, NUMBER, 2, 6, 45, 60, "prot|grain protein|crude protein|protein content|protein pct|percent protein|pct protein"),
    ROLE(STARCH, "starch", "starch", PERCENT, 1, NONE, NUMBER, 10, 50, 80, 95, "grain starch|starch content|starch pct|percent starch|pct starch"),
    ROLE(BRIX, "brix", "brix", PERCENT, 1, NONE, NUMBER, 0, 2, 25, 40, "juice brix|brix degrees|degrees brix|stalk brix"),
    PLAIN(DAY, "day", "day", DATE, "date|weather date|weather day|observation date|date of observation|date observed"),
    PLAIN(HIGH, "high temperature", "high", FAHRENHEIT, "high temp|highs|max|maximum|tmax|t max|max t|max temp|maxtemp|temp max|max temperature|maximum temp|maximum temperature|temperature max|air temp max|air temperature max|max air temp|max air temperature|maximum air temperature|daily max|daily maximum|daily high|high air temp|high air temperature|tx"),
    PLAIN(LOW, "low temperature", "low", FAHRENHEIT, "low temp|lows|min|minimum|tmin|t min|min t|min temp|mintemp|temp min|min temperature|minimum temp|minimum temperature|temperature min|air temp min|air temperature min|min air temp|min air temperature|minimum air temperature|daily min|daily minimum|daily low|low air temp|low air temperature|tn"),
    ROLE(MONTH, "month", "month", NONE, 0, NONE, NUMBER, 1, 1, 12, 12, "mo|mon|month no|month number"),
    ROLE(DAY_OF_MONTH, "day of the month", "day", NONE, 0, NONE, NUMBER, 1, 1, 31, 31, "day of month|dom|dd"),
    ROLE(OTHER, "other", "other", NONE, 1, NONE, NUMBER, NAN, NAN, NAN, NAN, ""),
};
/* clang-format on */

const cks_role_fact *cks_role_find(cks_role role)
{
  return &roles[(unsigned)role < CKS_ROLE_COUNT ? role : CKS_ROLE_OTHER];
}

bool cks_role_is_asked(cks_role role)
{
  return role == CKS_ROLE_OTHER || role == CKS_ROLE_BY_GROUP || role == CKS_ROLE_BY;
}

bool cks_role_is_yield(cks_role role)
{
  return role == CKS_ROLE_YIELD || role == CKS_ROLE_DRY_MATTER_YIELD || role == CKS_ROLE_FORAGE_YIELD;
}
