/*
 * headings.c: what one heading says: role, unit, moisture basis, a rating's scale and its good end.
 *
 * A heading is a name and extras. Extras stand in brackets, or follow the name; the longest name that leaves extras
 * which are all understood wins. Extras are split at commas and semicolons and, where needed, between words: unit |
 * LOW-HIGH | N best, best N, high best, low best | [@|at] N % [moisture] | a date | (observer's capitals) | cut N, Nth cut
 * --heading, --unit and --trait outrank what the heading says. Extras in brackets that are not understood make the unit
 * unknown (an error) where the role has one: a unit must never be guessed over the user's own words.
 */
#include "read.h"

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { DEEPEST_SPLIT = 3, LARGEST_SCALE_START = 1, MOST_CUTS = 20, MOST_TRIES = 64, LONGEST_EXTRA = 48 };

typedef struct {
  bool has_unit, understood;
  cks_unit unit;
  double basis_pct, low, high, best, date, cut; /* NaN: not there */
  bool bracketed;                               /* what is read stands in brackets */
  bool weather;                                 /* F and C are units */
  char observer[CKS_OBSERVER_LONGEST + 1];      /* "JT" */
  cks_better better;                            /* "high best" */
  int *tries; /* left for this heading: bounds the work on headings that are no headings */
} extras;

typedef struct {
  char base[CKS_HEADING_LONGEST + 1];    /* the heading without brackets */
  char bracket[CKS_HEADING_LONGEST + 1]; /* what the brackets hold, parted by ';' */
} parts;

/* A trait is another role by its unit. */
static const struct {
  cks_role role;
  cks_dimension dimension;
  cks_role instead;
} roles_by_unit[] = {
    {CKS_ROLE_MID_BLOOM, CKS_DIM_DAYS, CKS_ROLE_DAYS_TO_MID_BLOOM},
    {CKS_ROLE_DAYS_TO_MID_BLOOM, CKS_DIM_DATE, CKS_ROLE_MID_BLOOM},
    {CKS_ROLE_GREEN_WEIGHT, CKS_DIM_YIELD, CKS_ROLE_WET_YIELD},
    {CKS_ROLE_DRY_MATTER, CKS_DIM_YIELD, CKS_ROLE_DRY_MATTER_YIELD},
    {CKS_ROLE_STAND, CKS_DIM_PER_AREA, CKS_ROLE_POPULATION},
    {CKS_ROLE_POPULATION, CKS_DIM_COUNT, CKS_ROLE_STAND},
};

static bool is_digit(char c) { return c >= '0' && c <= '9'; }
static bool is_letter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (unsigned char)c >= 0x80; }
static bool is_word(char c) { return is_digit(c) || is_letter(c); }

/* ---- extras ----------------------------------------------------------------------------------------------------- */

/* Takes one of the words of list ("a|b") at *at, without case; false: none stands there. '@' is a word. */
static bool take_word(const char **at, const char *list)
{
  char word[CKS_HEADING_LONGEST + 1];
  const char *from = *at;
  while (*from && !is_word(*from) && *from != '@') from++;
  const char *end = from;
  if (*from == '@')
    end++;
  else
    while (is_word(*end) && is_digit(*end) == is_digit(*from)) end++;
  size_t n = (size_t)(end - from);
  for (size_t i = 0; i < n; i++) word[i] = from[i] >= 'A' && from[i] <= 'Z' ? (char)(from[i] - 'A' + 'a') : from[i];
  for (; n && *list; list += strcspn(list, "|"), list += *list == '|') {
    if (strcspn(list, "|") != n || memcmp(word, list, n) != 0) continue;
    *at = end;
    return true;
  }
  return false;
}

/* Takes an unsigned decimal number of few digits at *at; NaN: none stands there. */
static double take_number(const char **at)
{
  const char *from = *at + strspn(*at, " _=:");
  double value = 0, place = 1;
  if (!is_digit(*from) || strspn(from, "0123456789") > 6) return cks_missing();
  for (; is_digit(*from); from++) value = value * 10 + (*from - '0');
  if (*from == '.' && is_digit(from[1]) && strspn(from + 1, "0123456789") <= 6)
    for (from++; is_digit(*from); from++) value += (*from - '0') * (place /= 10);
  *at = from;
  return value;
}

static bool at_end(const char *at) { return !at[strspn(at, " _.,:;=-")]; }

/* A heading may say a thing twice, but not two things. */
static bool agrees(double earlier, double now) { return isnan(earlier) || earlier == now; }

/* "1-9", "1 to 9". A scale begins at 0 or 1: "9-15" is a day. */
static bool read_scale(const char *at, extras *e)
{
  double low = take_number(&at);
  if (isnan(low) || low > LARGEST_SCALE_START) return false;
  at += strspn(at, " ");
  if (!strncmp(at, "\xE2\x80\x93", 3)) /* en dash */
    at += 3;
  else if (*at == '-')
    at++;
  else if (!take_word(&at, "to"))
    return false;
  double high = take_number(&at);
  if (isnan(high) || high <= low || !at_end(at) || !agrees(e->low, low) || !agrees(e->high, high)) return false;
  e->low = low;
  e->high = high;
  return true;
}

/* "1 best", "best = 1", "high best". */
static bool read_good_end(const char *at, extras *e)
{
  static const char good[] = "best|good|better", end_high[] = "high|higher|highest", end_low[] = "low|lower|lowest";
  bool named = take_word(&at, good), high = take_word(&at, end_high), low = !high && take_word(&at, end_low);
  double best = cks_missing();
  take_word(&at, "is");
  if (!high && !low) best = take_number(&at);
  take_word(&at, "is");
  if (!named && !take_word(&at, good)) return false;
  if (!at_end(at) || (!high && !low && isnan(best))) return false;
  if (!isnan(e->best) || e->better != CKS_BETTER_NONE) return false;
  e->best = best;
  e->better = high ? CKS_BETTER_HIGH : low ? CKS_BETTER_LOW : CKS_BETTER_NONE;
  return true;
}

/* Takes "H2O", which take_word would take for three words. */
static bool take_water(const char **at)
{
  const char *from = *at + strspn(*at, " _");
  bool there = (from[0] == 'h' || from[0] == 'H') && from[1] == '2' && (from[2] == 'o' || from[2] == 'O');
  if (!there || is_word(from[3])) return false;
  *at = from + 3;
  return true;
}

/* "@ 14 %", "at 13", "15.5 % moisture". */
static bool read_basis(const char *at, extras *e)
{
  bool said = take_word(&at, "@|at");
  double basis = take_number(&at);
  if (isnan(basis) || basis >= 100) return false;
  at += strspn(at, " _");
  if (*at == '%') {
    said = true;
    at++;
  }
  while (take_word(&at, "pct|percent|moisture|moist|mst|mc|basis|wb|wet") || take_water(&at)) said = true;
  if (!said || !at_end(at) || !agrees(e->basis_pct, basis)) return false;
  e->basis_pct = basis;
  return true;
}

static bool read_unit(const char *at, extras *e)
{
  cks_unit unit;
  bool known = cks_unit_find(at, &unit) || (e->weather && cks_unit_find_temperature(at, &unit));
  if (!known || (e->has_unit && unit != e->unit)) return false;
  e->unit = unit;
  e->has_unit = true;
  return true;
}

/* "2026-10-03", "3 Oct 2026": the day of an observation. */
static bool read_date(const char *at, extras *e)
{
  size_t n = strlen(at);
  while (n && strchr(" _", at[n - 1])) n--;
  cks_text_date date = cks_cell_date(at, n);
  if (isnan(date.mdy) || date.mdy != date.dmy || !agrees(e->date, date.mdy)) return false;
  e->date = date.mdy;
  return true;
}

/* "JT" in brackets: two to four capitals. */
static bool read_observer(const char *at, extras *e)
{
  size_t n = strspn(at, "ABCDEFGHIJKLMNOPQRSTUVWXYZ");
  if (!e->bracketed || n < 2 || n > CKS_OBSERVER_LONGEST || !at_end(at + n) || e->observer[0]) return false;
  memcpy(e->observer, at, n);
  e->observer[n] = '\0';
  return true;
}

/* "cut 2", "2nd cut": of which cut of a forage it is. */
static bool read_cut(const char *at, extras *e)
{
  bool named = take_word(&at, "cut|cutting");
  double cut = take_number(&at);
  if (!named) take_word(&at, "st|nd|rd|th");
  if (!named && !take_word(&at, "cut|cutting")) return false;
  if (!(cut >= 1 && cut <= MOST_CUTS) || cut != floor(cut) || !at_end(at) || !agrees(e->cut, cut)) return false;
  e->cut = cut;
  return true;
}

static bool read_extras(const char *text, int depth, extras *e);

/* text in two at each boundary between words, both of which say something. */
static bool read_in_two(const char *text, int depth, extras *e)
{
  size_t n = strlen(text);
  for (size_t cut = n - 1; cut > 0 && depth > 0; cut--) {
    bool boundary = is_word(text[cut - 1]) != is_word(text[cut]) || is_digit(text[cut - 1]) != is_digit(text[cut]);
    if (!boundary) continue;
    char front[CKS_HEADING_LONGEST + 1];
    memcpy(front, text, cut);
    front[cut] = '\0';
    extras both = *e;
    if (at_end(front) || at_end(text + cut)) continue;
    if (!read_extras(front, 0, &both) || !read_extras(text + cut, depth - 1, &both)) continue;
    *e = both;
    return true;
  }
  return false;
}

static bool read_extras(const char *text, int depth, extras *e)
{
  text += strspn(text, " _,;:-=");
  if (at_end(text)) return true;
  if (strlen(text) > LONGEST_EXTRA || --*e->tries < 0) return false;
  return read_unit(text, e) || read_scale(text, e) || read_good_end(text, e) || read_basis(text, e) ||
         read_date(text, e) || read_observer(text, e) || read_cut(text, e) || read_in_two(text, depth, e);
}

/* All items of a list parted by ',' or ';'. */
static bool read_list(const char *text, extras *e)
{
  char item[CKS_HEADING_LONGEST + 1];
  bool understood = true;
  while (*text) {
    size_t n = strcspn(text, ",;");
    memcpy(item, text, n);
    item[n] = '\0';
    understood = read_extras(item, DEEPEST_SPLIT, e) && understood;
    text += n + (text[n] != '\0');
  }
  return understood;
}

/* ---- the name --------------------------------------------------------------------------------------------------- */

/* Parts text (at most CKS_HEADING_LONGEST bytes) into what stands in brackets and what does not. */
static void part(const char *text, parts *p)
{
  size_t base = 0, bracket = 0;
  int depth = 0;
  for (; *text; text++) {
    bool opens = *text == '(' || *text == '[', closes = depth && (*text == ')' || *text == ']');
    depth += opens - closes;
    if (opens || closes) {
      if (depth == 0) p->bracket[bracket++] = ';';
      if (depth == 0 || (opens && depth == 1)) p->base[base++] = ' ';
    } else if (depth) {
      p->bracket[bracket++] = *text;
    } else {
      p->base[base++] = *text;
    }
  }
  p->base[base] = p->bracket[bracket] = '\0';
}

/* Does --trait name the heading, or the first n bytes of base? */
static bool is_trait(const cks_heading_context *context, const char *heading, const char *base, size_t n)
{
  char name[CKS_HEADING_LONGEST + 1];
  const cks_setting_list *list = &context->settings->trait;
  memcpy(name, base, n);
  name[n] = '\0';
  for (size_t i = 0; i < list->n; i++)
    if (cks_word_same(list->pair[i].key, heading) || cks_word_same(list->pair[i].key, name)) return true;
  return false;
}

/* Two words, one of them "disease", the other of no meaning of its own: the disease's name. */
static bool is_named_disease(const cks_vocabulary *vocabulary, const char *base, size_t n)
{
  const char *second = base + strcspn(base, " _"), *rest = second, *whole = base;
  size_t first = (size_t)(second - base);
  cks_role role;
  if (first >= n || !first) return false;
  bool front = take_word(&whole, "disease") && whole == second,
       behind = !front && take_word(&rest, "disease") && rest == base + n;
  if (!front && !behind) return false;
  const char *name = front ? second + 1 : base;
  size_t length = front ? n - first - 1 : first;
  for (size_t i = 0; i < length; i++)
    if (!is_letter(name[i])) return false;
  return length > 0 && (!cks_vocabulary_find(vocabulary, name, length, &role) || role == CKS_ROLE_DISEASE);
}

/* The role that the first n bytes of base name. */
static bool find_role(const cks_heading_context *context, const char *heading, const char *base, size_t n,
                      cks_role *role)
{
  while (n && base[n - 1] == ' ') n--;
  if (cks_vocabulary_find(context->vocabulary, base, n, role)) {
    cks_role_class c = cks_role_find(*role)->role_class;
    if ((c == CKS_CLASS_KEPT || c == CKS_CLASS_LOOK) && is_trait(context, heading, base, n)) *role = CKS_ROLE_OTHER;
    return true;
  }
  *role = is_named_disease(context->vocabulary, base, n) ? CKS_ROLE_DISEASE : CKS_ROLE_OTHER;
  return *role == CKS_ROLE_DISEASE || is_trait(context, heading, base, n);
}

/* The column of --by-group or --by, where no role has its name. */
static bool is_grouping(const cks_heading_context *context, const char *heading, const char *base, cks_role *role)
{
  const struct {
    const char *named;
    cks_role role;
  } asked[] = {{context->settings->by_group, CKS_ROLE_BY_GROUP}, {context->settings->by, CKS_ROLE_BY}};
  cks_role known;
  for (size_t i = 0; i < sizeof asked / sizeof *asked; i++) {
    const char *named = asked[i].named;
    if (!named || !(cks_word_same(named, heading) || cks_word_same(named, base))) continue;
    *role = asked[i].role;
    return !cks_vocabulary_find(context->vocabulary, base, strlen(base), &known);
  }
  return false;
}

/* "nitrate NO3-N ppm (dry)": form and basis become part of the key, for figures of different ones never mix. */
static bool read_content(const char *text, cks_heading *h)
{
  cks_content_words said = cks_content_read(text);
  if (!said.found) return false;
  h->kind = CKS_HEADING_KNOWN;
  h->role = said.prussic_acid ? CKS_ROLE_PRUSSIC_ACID : CKS_ROLE_NITRATE;
  h->unit = said.has_unit ? said.unit : CKS_UNIT_PPM;
  h->unit_stated = said.has_unit;
  const char *form = said.prussic_acid || !said.has_form ? "" : cks_nitrate_text(said.form);
  snprintf(h->key, sizeof h->key, "%s%s%s%s%s", cks_role_find(h->role)->key, *form ? "_" : "", form,
           !said.has_basis ? ""
           : said.dry      ? "_dry"
                           : "_as_is",
           h->unit == CKS_UNIT_PERCENT ? "_pct" : "");
  for (char *c = h->key; *c; c++) *c = *c == '-' ? '_' : *c >= 'A' && *c <= 'Z' ? (char)(*c - 'A' + 'a') : *c;
  return true;
}

static bool takes_extras(cks_role role)
{
  const cks_role_fact *fact = cks_role_find(role);
  return fact->kind != CKS_NAME && (cks_unit_dimension(fact->unit) != CKS_DIM_NONE || role == CKS_ROLE_OTHER);
}

/* A growth stage is a word, but it is looked at on several days. */
static bool takes_look(cks_role role) { return takes_extras(role) || role == CKS_ROLE_STAGE; }

/* The longest name that is known and leaves extras that are understood; its length, 0: none. */
static size_t split_name(const cks_heading_context *context, const char *heading, const char *base, cks_role *role,
                         extras *e)
{
  for (size_t n = strlen(base); n-- > 1;) {
    if (!is_word(base[n - 1]) || is_word(base[n])) continue;
    extras behind = *e;
    if (!find_role(context, heading, base, n, role) || !takes_look(*role) || !read_list(base + n, &behind)) continue;
    *e = behind;
    return n;
  }
  return 0;
}

/* "percent lodging", "plot lb", "bu/ac": a known name that is, begins with or ends with a unit of the role. */
static void unit_within(const char *base, cks_role role, extras *e)
{
  cks_dimension dimension = cks_unit_dimension(cks_role_find(role)->unit);
  size_t end = strlen(base), last, first = *base == '%' ? 1 : strcspn(base, " _");
  char word[CKS_HEADING_LONGEST + 1];
  cks_unit unit;
  if (e->has_unit || dimension == CKS_DIM_NONE || dimension == CKS_DIM_COUNT || dimension == CKS_DIM_SCORE) return;
  while (end && base[end - 1] == ' ') end--;
  for (last = end; last && base[last - 1] != ' ' && base[last - 1] != '_';) last--;
  if (end && base[end - 1] == '%') last = end - 1;
  const struct {
    size_t from, n;
  } candidate[] = {{0, end}, {last, end - last}, {0, first}};
  for (size_t i = 0; i < sizeof candidate / sizeof *candidate && !e->has_unit; i++) {
    memcpy(word, base + candidate[i].from, candidate[i].n);
    word[candidate[i].n] = '\0';
    e->has_unit = cks_unit_find(word, &unit) && cks_unit_dimension(unit) == dimension;
    if (e->has_unit) e->unit = unit;
  }
}

/* Lower case with '_' for all else, without the words of `without` ("a|b"). */
static void make_key(char *key, const char *text, const char *without)
{
  size_t used = 0;
  while (*text) {
    while (*text && !is_word(*text)) text++;
    const char *from = text, *skip = text;
    while (is_word(*text)) text++;
    if (text == from || (take_word(&skip, without) && skip == text)) continue;
    if (used) key[used++] = '_';
    for (; from < text; from++) key[used++] = *from >= 'A' && *from <= 'Z' ? (char)(*from - 'A' + 'a') : *from;
  }
  key[used] = '\0';
}

/* ---- what follows ----------------------------------------------------------------------------------------------- */

static bool is_rated(const cks_role_fact *fact, cks_role role)
{
  return fact->measure != CKS_MEASURE_NUMBER || role == CKS_ROLE_STAND || role == CKS_ROLE_OTHER;
}

/* What may be looked at again on another day or by another person: not what a harvest gives once. */
bool cks_heading_is_observed(cks_role role)
{
  static const cks_role once[] = {CKS_ROLE_YIELD,         CKS_ROLE_DRY_MATTER_YIELD, CKS_ROLE_FORAGE_YIELD,
                                  CKS_ROLE_MOISTURE,      CKS_ROLE_TEST_WEIGHT,      CKS_ROLE_DAYS_TO_MID_BLOOM,
                                  CKS_ROLE_KERNEL_WEIGHT, CKS_ROLE_PROTEIN,          CKS_ROLE_STARCH};
  bool observed = cks_role_find(role)->role_class == CKS_CLASS_TRAIT || role == CKS_ROLE_STAGE;
  for (size_t i = 0; i < sizeof once / sizeof *once; i++) observed &= role != once[i];
  return observed;
}

/* Puts the day behind the key. */
static void add_day(cks_heading *h, double date)
{
  char day[CKS_NUMBER_TEXT];
  size_t n = strlen(h->key);
  cks_print_date(day, date); /* "" when there is none */
  for (char *c = day; *c; c++)
    if (*c == '-') *c = '_';
  if (*day && n + strlen(day) + 1 < sizeof h->key) snprintf(h->key + n, sizeof h->key - n, "_%s", day);
}

/* Puts the cut behind the key; false: the role is not of one. */
static bool take_cut(cks_heading *h, double cut)
{
  cks_role_class c = cks_role_find(h->role)->role_class;
  size_t n = strlen(h->key);
  if (isnan(cut)) return true;
  if (c != CKS_CLASS_TRAIT && c != CKS_CLASS_INPUT && c != CKS_CLASS_KEPT) return false;
  if (n + sizeof "_cut_20" <= sizeof h->key) snprintf(h->key + n, sizeof h->key - n, "_cut_%.0f", cut);
  return true;
}

/* The day and the person of an observation; false: the role has none. */
static bool take_observation(cks_heading *h, const extras *e)
{
  bool any = !isnan(e->date) || e->observer[0];
  if (!any || !cks_heading_is_observed(h->role)) return !any;
  memcpy(h->observer, e->observer, sizeof e->observer);
  add_day(h, e->date);
  return true;
}

/* May a column of this role be in that unit? */
static bool unit_fits(cks_role role, cks_unit unit)
{
  const cks_role_fact *fact = cks_role_find(role);
  cks_dimension has = cks_unit_dimension(unit), wants = cks_unit_dimension(fact->unit);
  if (has == wants || role == CKS_ROLE_OTHER) return true;
  return is_rated(fact, role) &&
         (has == CKS_DIM_PERCENT || has == CKS_DIM_SCORE || (has == CKS_DIM_COUNT && wants == has));
}

/* The sentence: the unit is of another dimension, or the extras say nothing that is understood. */
static void unit_bad(cks_heading *h, bool other_dimension, bool option)
{
  const cks_role_fact *fact = cks_role_find(h->role);
  const char *usual = fact->unit == CKS_UNIT_NONE ? "UNIT" : cks_unit_text(fact->unit);
  h->kind = CKS_HEADING_UNIT_BAD;
  if (option)
    snprintf(h->why, sizeof h->why,
             "--unit %s: %s is no unit of %s, expected one such as %s; give that, or take the option out", h->key,
             cks_unit_text(h->unit), fact->label, usual);
  else if (other_dimension)
    snprintf(h->why, sizeof h->why,
             "%s is no unit of %s, expected one such as %s; correct the heading, or give --unit "
             "%s=\"%s\" if that is meant",
             cks_unit_text(h->unit), fact->label, usual, h->key, usual);
  else
    snprintf(
        h->why, sizeof h->why,
        "what stands beside the name is not understood, expected a unit such as %s, a scale such "
        "as 1-9, 1 best, or a moisture for a yield; correct the heading, or give --unit %s=\"%s\" if that is meant",
        usual, h->key, usual);
}

/* The scale and the good end; false: they contradict. */
static bool take_rating(cks_heading *h, const extras *e)
{
  bool scaled = !isnan(e->low);
  if (scaled || !isnan(e->best) || e->better != CKS_BETTER_NONE) {
    h->scale_low = e->low;
    h->scale_high = e->high;
    if (e->better != CKS_BETTER_NONE) h->better = e->better;
  }
  if (isnan(e->best)) return true;
  double low = scaled ? e->low : 1, high = e->high;
  if (scaled ? e->best != low && e->best != high : e->best > low && e->best < 5) return false;
  h->better = e->best <= low ? CKS_BETTER_LOW : CKS_BETTER_HIGH;
  return true;
}

/* --unit for this column, by key or heading. One by key gives way to a unit in the heading: it is meant for the files
 * that state none. */
static bool stated_unit(const cks_heading_context *context, const char *text, const char *base, const extras *e,
                        cks_heading *h)
{
  const cks_setting_list *list = &context->settings->unit;
  bool found = false;
  for (size_t i = 0; i < list->n; i++) {
    const char *key = list->pair[i].key;
    cks_role role;
    bool by_role = cks_vocabulary_find(context->vocabulary, key, strlen(key), &role) && role == h->role &&
                   (role != CKS_ROLE_DISEASE || cks_word_same(key, h->key));
    if (!by_role && !cks_word_same(key, h->key) && !cks_word_same(key, text) && !cks_word_same(key, base)) continue;
    if (!context->asking) context->unit_met[i] = true;
    cks_unit unit;
    const char *value = list->pair[i].value;
    if (!cks_unit_find(value, &unit) && !cks_unit_find_temperature(value, &unit))
      continue; /* reported once, see cks_read_check */
    bool rivals = e->has_unit && e->unit != unit && cks_unit_dimension(e->unit) == cks_unit_dimension(unit);
    if (rivals && !cks_word_same(key, text)) {
      h->unit_against = cks_unit_text(unit);
      continue;
    }
    found = h->unit_stated = true;
    h->unit = unit;
  }
  return found;
}

static void name_column(cks_heading *h, const char *base, size_t n)
{
  static const char no_names[] = "disease|diseases|rating|ratings|score|scores|severity", none[] = "";
  char name[CKS_HEADING_LONGEST + 1];
  memcpy(name, base, n);
  name[n] = '\0';
  make_key(h->key, name, h->role == CKS_ROLE_DISEASE ? no_names : none);
  if ((h->role != CKS_ROLE_OTHER && h->role != CKS_ROLE_DISEASE) || !h->key[0])
    snprintf(h->key, sizeof h->key, "%s", cks_role_find(h->role)->key);
}

static void meet_traits(const cks_heading_context *context, const char *text, const char *base, const char *key)
{
  const cks_setting_list *list = &context->settings->trait;
  for (size_t i = 0; i < list->n && !context->asking; i++)
    if (cks_word_same(list->pair[i].key, text) || cks_word_same(list->pair[i].key, base) ||
        cks_word_same(list->pair[i].key, key))
      context->trait_met[i] = true;
}

/* Units, basis and rating of a heading whose role and extras are known. */
static void conclude(const cks_heading_context *context, const char *text, const char *base, size_t n, const extras *e,
                     cks_heading *h)
{
  for (size_t i = 0; e->has_unit && i < sizeof roles_by_unit / sizeof *roles_by_unit; i++)
    if (h->role == roles_by_unit[i].role && cks_unit_dimension(e->unit) == roles_by_unit[i].dimension &&
        !h->explicit_role) {
      h->role = roles_by_unit[i].instead;
      break;
    }
  const cks_role_fact *fact = cks_role_find(h->role);
  h->kind = CKS_HEADING_KNOWN;
  name_column(h, base, n);
  h->better = fact->better;
  h->unit = fact->unit;
  meet_traits(context, text, base, h->key);
  if (h->role == CKS_ROLE_STAGE) (void)take_observation(h, e);
  if (!takes_extras(h->role)) return;
  bool option = stated_unit(context, text, base, e, h),
       rating = !isnan(e->low) || !isnan(e->best) || e->better != CKS_BETTER_NONE;
  bool basis_fits = isnan(e->basis_pct) || h->role == CKS_ROLE_YIELD || h->role == CKS_ROLE_FORAGE_YIELD,
       rating_fits = !rating || is_rated(fact, h->role);
  bool good = take_rating(h, e), observed = take_cut(h, e->cut) && take_observation(h, e);
  if (!option && e->has_unit) h->unit = e->unit, h->unit_stated = true;
  if (!option && !e->has_unit && rating && cks_unit_dimension(fact->unit) != CKS_DIM_DATE)
    h->unit = CKS_UNIT_SCORE, h->unit_stated = true;
  h->basis_pct = basis_fits ? e->basis_pct : cks_missing();
  if (!unit_fits(h->role, h->unit))
    unit_bad(h, true, option);
  else if (!option && !(h->explicit_role && !rating) && fact->kind == CKS_NUMBER &&
           (!e->understood || !basis_fits || !rating_fits || !good || !observed))
    unit_bad(h, false, false);
}

void cks_heading_observe(const cks_heading_context *context, cks_heading *h, double day, const char *observer)
{
  add_day(h, day);
  if (*observer) snprintf(h->observer, sizeof h->observer, "%.*s", CKS_OBSERVER_TEXT, observer);
  meet_traits(context, h->key, h->key, h->key);
}

void cks_heading_read(const cks_heading_context *context, const char *text, cks_heading *heading)
{
  parts p;
  int tries = MOST_TRIES;
  extras e = {.basis_pct = NAN,
              .low = NAN,
              .high = NAN,
              .best = NAN,
              .date = NAN,
              .cut = NAN,
              .tries = &tries,
              .weather = context->weather};
  *heading = (cks_heading){.kind = CKS_HEADING_UNKNOWN, .basis_pct = NAN, .scale_low = NAN, .scale_high = NAN};
  if (!*text) heading->kind = CKS_HEADING_EMPTY;
  if (!*text || strlen(text) > CKS_HEADING_LONGEST) return;
  part(text, &p);
  e.bracketed = true;
  e.understood = read_list(p.bracket, &e);
  e.bracketed = false;
  size_t n = strlen(p.base);
  const cks_setting_list *list = &context->settings->heading;
  bool known = false;
  for (size_t i = 0; i < list->n && !known; i++) {
    const char *named = list->pair[i].value;
    if (!cks_word_same(named, text) && !cks_word_same(named, p.base)) continue;
    known = heading->explicit_role =
        cks_vocabulary_find(context->vocabulary, list->pair[i].key, strlen(list->pair[i].key), &heading->role);
    if (known && !context->asking) context->heading_met[i] = true;
  }
  if (!known) known = is_grouping(context, text, p.base, &heading->role);
  if (!known && read_content(text, heading)) return;
  if (!known) known = find_role(context, text, p.base, n, &heading->role);
  if (known) {
    unit_within(p.base, heading->role, &e);
  } else {
    n = split_name(context, text, p.base, &heading->role, &e);
    known = n > 0;
  }
  if (known)
    conclude(context, text, p.base, n, &e, heading);
  else if (!context->asking)
    heading->near = cks_vocabulary_near(context->vocabulary, p.base, strlen(p.base), &heading->near_role);
}
