/*
 * design.c: what a careful agronomist looks for once the plots stand in order: plots that stand twice, short reps, hybrids
 * that are missing, an order that was not randomized, values that look copied.
 */
#include "audit.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

enum {
  FEWEST_IN_ORDER = 5, /* hybrids in a rep before one order in all reps means anything */
  FEWEST_COPIED = 8,   /* values before equal ones look copied */
  FEWEST_AGREEING = 3  /* see agreement() */
};

typedef struct {
  cks_audit_work *work;
  const cks_trial *trial;
} design;

static const char *plot_name(const cks_trial *trial, size_t plot)
{
  return trial->plot_of ? cks_names_text(&trial->names, trial->plot_of[plot]) : "";
}
static const char *hybrid_name(const cks_trial *trial, size_t plot)
{
  return trial->hybrid[trial->hybrid_of[plot]].full;
}
static uint32_t rep_at(const cks_trial *trial, size_t plot) { return trial->rep_of ? trial->rep_of[plot] : CKS_NONE; }
static const char *rep_name(const cks_trial *trial, uint32_t rep) { return rep < trial->n_rep ? trial->rep[rep] : "-"; }

#define WORDS(...) cks_arena_format(d->work->arena, __VA_ARGS__)

/* ---- plots that stand twice ------------------------------------------------------------------------------------- */

/* One plot number twice in a rep of a location, or in a rep and where none is given: a harvest file with hybrids would
 * count each plot of the list again. seen: size n_names, the last plot with that number. */
static cks_status duplicate_plots(const design *d, const cks_environment *e, uint32_t *seen)
{
  const cks_trial *t = d->trial;
  cks_status status = CKS_OK;
  for (uint32_t i = e->first; i < e->first + e->n && status == CKS_OK; i++) {
    if (t->plot_of[i] == CKS_NONE) continue;
    uint32_t other = seen[t->plot_of[i]];
    bool one_rep = other != CKS_NONE && other >= e->first &&
                   (rep_at(t, other) == rep_at(t, i) || rep_at(t, other) == CKS_NONE || rep_at(t, i) == CKS_NONE);
    if (one_rep)
      status = cks_audit_say_plot(
          d->work, d->trial, CKS_RULE_DUPLICATE_PLOT, i,
          WORDS("plot %s at %s stands here and in %s; correct the plot number, or "
                "leave one row out with a leave_out column%s",
                plot_name(t, i), e->label, cks_audit_line(d->work, t->file[other], t->line[other]),
                t->file[i] == t->file[other] ? ""
                                             : "; if one file is to add values to the plots of the other, "
                                               "delete its hybrid column"));
    seen[t->plot_of[i]] = i;
  }
  return status;
}

static int compare_positions(const void *context, uint32_t a, uint32_t b)
{
  const cks_trial *t = context;
  if (t->row[a] != t->row[b]) return t->row[a] < t->row[b] ? -1 : 1;
  return t->column[a] < t->column[b] ? -1 : t->column[a] > t->column[b];
}

static cks_status duplicate_positions(const design *d, const cks_environment *e, uint32_t *index, uint32_t *room)
{
  const cks_trial *t = d->trial;
  cks_status status = CKS_OK;
  size_t n = 0;
  for (uint32_t i = e->first; i < e->first + e->n; i++)
    if (t->row[i] != INT32_MIN && t->column[i] != INT32_MIN) index[n++] = i;
  cks_audit_sort(index, room, n, compare_positions, t);
  for (size_t k = 1; k < n && status == CKS_OK; k++)
    if (compare_positions(t, index[k - 1], index[k]) == 0)
      status = cks_audit_say_plot(d->work, d->trial, CKS_RULE_DUPLICATE_PLOT, index[k],
                                  WORDS("row %d, column %d at %s stands here and in %s; correct the "
                                        "position, or leave one row out with a leave_out column",
                                        t->row[index[k]], t->column[index[k]], e->label,
                                        cks_audit_line(d->work, t->file[index[k - 1]], t->line[index[k - 1]])));
  return status;
}

static bool equal(double a, double b) { return a == b || (cks_is_missing(a) && cks_is_missing(b)); }

static bool same_values(const cks_trial *t, size_t a, size_t b)
{
  size_t equal = 0;
  for (size_t i = 0; i < t->n_trait; i++) {
    double x = t->trait[i].value[a], y = t->trait[i].value[b];
    if (cks_is_missing(x) && cks_is_missing(y)) continue;
    if (!(x == y)) return false;
    equal++;
  }
  return equal > 0;
}

/* Two rows that could be one plot: the same number and position, or none given. */
static bool same_plot(const cks_trial *t, size_t a, size_t b)
{
  return (!t->plot_of || t->plot_of[a] == t->plot_of[b]) && (!t->row || t->row[a] == t->row[b]) &&
         (!t->column || t->column[a] == t->column[b]);
}

/* Neighbors in canonical order with one rep, block and hybrid. Without reps a hybrid may stand anywhere any number of times. */
static cks_status twice_in_rep(const design *d, const cks_environment *e)
{
  const cks_trial *t = d->trial;
  cks_status status = CKS_OK;
  for (uint32_t i = e->first + 1; i < e->first + e->n && status == CKS_OK; i++) {
    bool twice = rep_at(t, i) != CKS_NONE && t->hybrid_of[i] == t->hybrid_of[i - 1] &&
                 rep_at(t, i) == rep_at(t, i - 1) && (!t->block_of || t->block_of[i] == t->block_of[i - 1]);
    if (!twice) continue;
    const char *other = cks_audit_line(d->work, t->file[i - 1], t->line[i - 1]);
    if (same_plot(t, i, i - 1) && same_values(t, i, i - 1))
      status =
          cks_audit_say_plot(d->work, d->trial, CKS_RULE_DUPLICATE_ROW, i,
                             WORDS("%s in rep %s at %s stands here and in %s with the same values; leave one row out "
                                   "with a leave_out column, or correct it",
                                   hybrid_name(t, i), rep_name(t, rep_at(t, i)), e->label, other));
    else if (!t->hybrid[t->hybrid_of[i]].check)
      status = cks_audit_say_plot(d->work, d->trial, CKS_RULE_TWICE_IN_REP, i,
                                  WORDS("%s stands twice in rep %s at %s (also %s); is one of them another hybrid?",
                                        hybrid_name(t, i), rep_name(t, rep_at(t, i)), e->label, other));
  }
  return status;
}

/* Where no rep and no plot number tells plots apart: do all of them stand there twice with the same values? They lie side
 * by side in canonical order. Values that vary from pair to pair show that it is not chance; more of them in one file,
 * where two reps may stand below each other. */
static bool all_twice(const cks_trial *t, const cks_environment *e)
{
  size_t varied = 0;
  bool one_file = false;
  if (e->n % 2) return false;
  for (uint32_t i = e->first; i < e->first + e->n; i += 2) {
    bool named = t->plot_of && t->plot_of[i] != CKS_NONE;
    if (named || rep_at(t, i) != CKS_NONE || t->hybrid_of[i] != t->hybrid_of[i + 1] || !same_plot(t, i, i + 1))
      return false;
    one_file = one_file || t->file[i] == t->file[i + 1];
    for (size_t k = 0; k < t->n_trait; k++) {
      const double *value = t->trait[k].value;
      if (!equal(value[i], value[i + 1])) return false;
      varied += i > e->first && !cks_is_missing(value[i]) && !equal(value[i], value[i - 1]);
    }
  }
  return varied >= (one_file ? FEWEST_AGREEING : FEWEST_AGREEING - 1);
}

static cks_status pasted_twice(const design *d, const cks_environment *e)
{
  const cks_trial *t = d->trial;
  if (!all_twice(t, e)) return CKS_OK;
  return cks_audit_say_plot(
      d->work, t, CKS_RULE_DUPLICATE_ROW, e->first + 1,
      WORDS("each of the %u plots at %s stands twice with the same values, the first here and in %s; leave one of "
            "the two out with a leave_out column, or add a rep column if they are two reps",
            e->n / 2, e->label, cks_audit_line(d->work, t->file[e->first], t->line[e->first])));
}

/* ---- reps ------------------------------------------------------------------------------------------------------- */

/* The commonest of n counts that are above 0; the larger of two equally common. count[i] <= n_plot. */
static uint32_t usual_count(const uint32_t *count, size_t n, uint32_t *room, size_t n_room)
{
  uint32_t usual = 0;
  memset(room, 0, n_room * sizeof *room);
  for (size_t i = 0; i < n; i++) room[count[i]]++;
  for (uint32_t k = 1; k < n_room; k++)
    if (room[k] && room[k] >= room[usual ? usual : k]) usual = k;
  return usual;
}

typedef struct {
  uint32_t *hybrid; /* size n_hybrid: plots of each in the environment */
  uint32_t *rep;    /* size n_rep + 1 */
  uint32_t *places; /* size n_hybrid: environments of each */
  uint32_t *room;   /* size n_plot + 2 */
  uint32_t *index;  /* size n_plot + 2 */
} counts;

static void count_plots(const cks_trial *t, const cks_environment *e, counts *c)
{
  memset(c->hybrid, 0, t->n_hybrid * sizeof *c->hybrid);
  memset(c->rep, 0, (t->n_rep + 1) * sizeof *c->rep);
  for (uint32_t i = e->first; i < e->first + e->n; i++) {
    uint32_t rep = rep_at(t, i);
    c->places[t->hybrid_of[i]] += c->hybrid[t->hybrid_of[i]]++ == 0;
    c->rep[rep < t->n_rep ? rep : t->n_rep]++;
  }
}

static uint32_t first_plot(const cks_trial *t, const cks_environment *e, uint32_t hybrid)
{
  uint32_t plot = e->first;
  while (t->hybrid_of[plot] != hybrid) plot++;
  return plot;
}

static cks_status short_reps(const design *d, const cks_environment *e, counts *c)
{
  const cks_trial *t = d->trial;
  cks_status status = CKS_OK;
  uint32_t usual_hybrid = usual_count(c->hybrid, t->n_hybrid, c->room, e->n + 1);
  uint32_t usual_rep = usual_count(c->rep, t->n_rep, c->room, e->n + 1);
  for (size_t h = 0; h < t->n_hybrid && status == CKS_OK; h++)
    if (c->hybrid[h] && c->hybrid[h] < usual_hybrid)
      status = cks_audit_say_plot(d->work, d->trial, CKS_RULE_UNEQUAL_REPS, first_plot(t, e, (uint32_t)h),
                                  WORDS("%s has %s at %s and most hybrids there have %u", t->hybrid[h].full,
                                        cks_audit_count(d->work->arena, c->hybrid[h], "plot"), e->label, usual_hybrid));
  for (uint32_t r = 0; r < t->n_rep && status == CKS_OK; r++)
    if (c->rep[r] && 2 * c->rep[r] < usual_rep)
      status = cks_audit_say_plot(d->work, d->trial, CKS_RULE_MISSING_REP, e->first,
                                  WORDS("rep %s at %s has %s and the others have %u", rep_name(t, r), e->label,
                                        cks_audit_count(d->work->arena, c->rep[r], "plot"), usual_rep));
  bool no_rep = !t->rep_of || c->rep[t->n_rep] == e->n;
  if (status == CKS_OK && usual_hybrid > 1 && no_rep && !t->block_of)
    status = cks_audit_say_plot(
        d->work, d->trial, CKS_RULE_NO_REP, e->first,
        WORDS("hybrids are repeated at %s but no rep is given: taken as completely randomized%s; add "
              "a rep column if the plots lie in reps",
              e->label, t->row && t->column ? ", or as a latin square where rows and columns make one" : ""));
  if (status == CKS_OK && usual_hybrid == 1)
    status = cks_audit_say_plot(d->work, d->trial, CKS_RULE_SINGLE_PLOTS, e->first,
                                WORDS("one plot a hybrid at %s: this place cannot tell hybrids apart", e->label));
  return status;
}

/* ---- order in the field ----------------------------------------------------------------------------------------- */

static double number_in(const char *text)
{
  const char *digit = text + strcspn(text, "0123456789");
  return *digit ? strtod(digit, NULL) : NAN;
}

/* Where a plot lies along its rep: its number, else its position; NaN when neither is given. */
static double place_along(const cks_trial *t, uint32_t plot)
{
  if (t->plot_of && t->plot_of[plot] != CKS_NONE) return number_in(plot_name(t, plot));
  if (t->row && t->column && t->row[plot] != INT32_MIN && t->column[plot] != INT32_MIN)
    return t->row[plot] * 1e6 + t->column[plot];
  return NAN;
}

static int compare_along(const void *context, uint32_t a, uint32_t b)
{
  double x = place_along(context, a), y = place_along(context, b);
  return x < y ? -1 : x > y;
}

/* Whether neighbors of canonical order lie the same way around in both reps: one that does not settles it, soon. */
static bool same_turns(const cks_trial *t, uint32_t a, uint32_t b, uint32_t n)
{
  for (uint32_t i = 0; i < n; i++) {
    if (t->hybrid_of[a + i] != t->hybrid_of[b + i]) return false; /* canonical: sorted by hybrid */
    if (cks_is_missing(place_along(t, a + i)) || cks_is_missing(place_along(t, b + i))) return false;
    if (i && compare_along(t, a + i - 1, a + i) != compare_along(t, b + i - 1, b + i)) return false;
  }
  return true;
}

/* True when the plots [a, a + n) and [b, b + n) of two reps hold the same hybrids in the same field order. */
static bool same_order(const cks_trial *t, uint32_t a, uint32_t b, uint32_t n, uint32_t *index, uint32_t *room)
{
  if (!same_turns(t, a, b, n)) return false;
  for (uint32_t i = 0; i < n; i++) {
    index[i] = a + i;
    index[n + i] = b + i;
  }
  cks_audit_sort(index, room, n, compare_along, t);
  cks_audit_sort(index + n, room, n, compare_along, t);
  for (uint32_t i = 0; i < n; i++)
    if (t->hybrid_of[index[i]] != t->hybrid_of[index[n + i]]) return false;
  return true;
}

/* Every rep against the first of the environment; reps are runs of canonical order. */
static cks_status one_order(const design *d, const cks_environment *e, counts *c)
{
  const cks_trial *t = d->trial;
  uint32_t first = e->first, end = e->first + e->n, size = 0, reps = 0;
  if (!t->rep_of || t->block_of) return CKS_OK;
  while (first + size < end && t->rep_of[first + size] == t->rep_of[first]) size++;
  bool same = size >= FEWEST_IN_ORDER;
  for (uint32_t rep = first + size; same && rep < end; rep += size, reps++)
    same = rep + size <= end && t->rep_of[rep] == t->rep_of[rep + size - 1] &&
           same_order(t, first, rep, size, c->index, c->room);
  return same && reps
             ? cks_audit_say_plot(d->work, d->trial, CKS_RULE_SAME_ORDER, first,
                                  WORDS("the hybrids stand in one order in all %u reps at %s: neighbors and field "
                                        "trends then look like hybrids",
                                        reps + 1, e->label))
             : CKS_OK;
}

/* ---- values ----------------------------------------------------------------------------------------------------- */

/* True when the values of two runs of n plots are equal, hybrid by hybrid, and not all one value. */
static bool copied(const cks_trial *t, const double *value, uint32_t a, uint32_t b, uint32_t n)
{
  bool varied = false;
  for (uint32_t i = 0; i < n; i++) {
    if (t->hybrid_of[a + i] != t->hybrid_of[b + i] || !(value[a + i] == value[b + i])) return false;
    varied = varied || value[a + i] != value[a];
  }
  return varied;
}

static cks_status copied_reps(const design *d, const cks_environment *e, const cks_trait *trait)
{
  const cks_trial *t = d->trial;
  cks_status status = CKS_OK;
  if (!t->rep_of || (trait->role != CKS_ROLE_YIELD && trait->role != CKS_ROLE_TEST_WEIGHT)) return CKS_OK;
  uint32_t end = e->first + e->n;
  for (uint32_t a = e->first, b; a < end && status == CKS_OK; a = b) {
    for (b = a; b < end && t->rep_of[b] == t->rep_of[a];) b++;
    uint32_t n = b - a;
    if (n >= FEWEST_COPIED && b + n <= end && t->rep_of[b + n - 1] == t->rep_of[b] && copied(t, trait->value, a, b, n))
      status = cks_audit_say_plot(d->work, d->trial, CKS_RULE_COPIED_VALUES, b,
                                  WORDS("%s is the same in reps %s and %s at %s, hybrid by hybrid: was one copied?",
                                        trait->label, rep_name(t, rep_at(t, a)), rep_name(t, rep_at(t, b)), e->label));
  }
  return status;
}

/* How far the plots [a, a + n) and [b, b + n) agree: values, beyond the first of each trait, that differ from all before
 * them and are the same in both runs, hybrid by hybrid; 0 when anything differs. Few such can be chance, many cannot. */
static size_t agreement(const cks_trial *t, uint32_t a, uint32_t b, uint32_t n)
{
  size_t varied = 0;
  for (size_t k = 0; k < t->n_trait; k++) {
    const double *value = t->trait[k].value;
    for (uint32_t i = 0; i < n; i++) {
      if (t->hybrid_of[a + i] != t->hybrid_of[b + i] || !equal(value[a + i], value[b + i])) return 0;
      bool fresh = i && varied < FEWEST_AGREEING && !cks_is_missing(value[a + i]);
      for (uint32_t j = 0; j < i && fresh; j++) fresh = value[a + j] != value[a + i];
      varied += fresh;
    }
  }
  return varied;
}

/* A sheet that was copied under another name: the same hybrids with the same values of every trait, or of yield alone. */
static cks_status copied_places(const design *d)
{
  const cks_trial *t = d->trial;
  cks_status status = CKS_OK;
  const cks_trait *yield = NULL;
  for (size_t k = 0; k < t->n_trait; k++)
    if (t->trait[k].role == CKS_ROLE_YIELD) yield = &t->trait[k];
  for (size_t a = 0; a < t->n_environment; a++)
    for (size_t b = a + 1; b < t->n_environment && status == CKS_OK; b++) {
      const cks_environment *x = &t->environment[a], *y = &t->environment[b];
      if (x->n != y->n) continue;
      bool all = agreement(t, x->first, y->first, x->n) >= FEWEST_AGREEING;
      bool one = yield && x->n >= FEWEST_COPIED && copied(t, yield->value, x->first, y->first, x->n);
      if (!all && !one) continue;
      status = cks_audit_say_plot(d->work, d->trial, CKS_RULE_COPIED_VALUES, y->first,
                                  WORDS("%s at %s and %s (%s), plot by plot: was one copied? take it out if so",
                                        all ? "every value is the same" : "yield is the same", x->label, y->label,
                                        cks_audit_line(d->work, t->file[x->first], t->line[x->first])));
    }
  return status;
}

static cks_status constant_trait(const design *d, const cks_environment *e, const cks_trait *trait)
{
  size_t n = 0;
  double first = NAN;
  for (uint32_t i = e->first; i < e->first + e->n; i++) {
    double value = trait->value[i];
    if (cks_is_missing(value)) continue;
    if (n++ == 0) first = value;
    if (value != first) return CKS_OK;
  }
  char text[CKS_NUMBER_TEXT];
  return n < 2 ? CKS_OK
               : cks_audit_say_plot(d->work, d->trial, CKS_RULE_CONSTANT, e->first,
                                    WORDS("%s is %s in every plot at %s", trait->label,
                                          cks_print_number(text, first, trait->digits), e->label));
}

static cks_status values(const design *d)
{
  cks_status status = CKS_OK;
  const cks_trial *t = d->trial;
  for (size_t k = 0; k < t->n_trait && status == CKS_OK; k++) {
    for (size_t e = 0; e < t->n_environment && status == CKS_OK; e++) {
      status = constant_trait(d, &t->environment[e], &t->trait[k]);
      if (status == CKS_OK) status = copied_reps(d, &t->environment[e], &t->trait[k]);
    }
  }
  return status == CKS_OK ? copied_places(d) : status;
}

/* ---- hybrids over places ---------------------------------------------------------------------------------------- */

static cks_status missing_somewhere(const design *d, const counts *c)
{
  const cks_trial *t = d->trial;
  cks_status status = CKS_OK;
  for (size_t h = 0; h < t->n_hybrid && status == CKS_OK; h++) {
    const cks_hybrid *hybrid = &t->hybrid[h];
    if (c->places[h] < t->n_environment)
      status = cks_audit_say_all(d->work, hybrid->check ? CKS_RULE_CHECK_ABSENT : CKS_RULE_NOT_EVERYWHERE,
                                 "%s '%s' stands at %u of %zu %s", hybrid->check ? "the check" : "hybrid", hybrid->full,
                                 c->places[h], t->n_environment,
                                 t->n_environment == t->n_location ? "locations" : "environments");
    bool only_check = cks_audit_named_check(hybrid->name) && d->work->listed_as[h] == CKS_NONE;
    if (status == CKS_OK && only_check && c->places[h] > 1)
      status = cks_audit_say_all(d->work, CKS_RULE_NAMED_CHECK,
                                 "a hybrid named only '%s' stands at %u places: is it one hybrid? write its "
                                 "name, or say with --names who it is",
                                 hybrid->name, c->places[h]);
  }
  return status;
}

/* ---- all -------------------------------------------------------------------------------------------------------- */

static cks_status each_environment(const design *d, counts *c, uint32_t *seen)
{
  cks_status status = CKS_OK;
  const cks_trial *t = d->trial;
  for (size_t i = 0; i < t->n_environment && status == CKS_OK; i++) {
    const cks_environment *e = &t->environment[i];
    count_plots(t, e, c);
    if (t->plot_of) status = duplicate_plots(d, e, seen);
    if (status == CKS_OK && t->row && t->column) status = duplicate_positions(d, e, c->index, c->room);
    if (status == CKS_OK) status = twice_in_rep(d, e);
    if (status == CKS_OK) status = pasted_twice(d, e);
    if (status == CKS_OK) status = short_reps(d, e, c);
    if (status == CKS_OK) status = one_order(d, e, c);
  }
  return status;
}

cks_status cks_audit_design(cks_audit_work *work, const cks_trial *trial)
{
  design d = {work, trial};
  cks_status status = CKS_OK;
  size_t n_name = trial->names.n + 1;
  counts c = {calloc(trial->n_hybrid + 1, sizeof(uint32_t)), calloc(trial->n_rep + 1, sizeof(uint32_t)),
              calloc(trial->n_hybrid + 1, sizeof(uint32_t)), calloc(trial->n_plot + 2, sizeof(uint32_t)),
              calloc(trial->n_plot + 2, sizeof(uint32_t))};
  uint32_t *seen = malloc(n_name * sizeof *seen);
  if (!c.hybrid || !c.rep || !c.places || !c.room || !c.index || !seen) {
    status = cks_error_nomem(work->error);
    goto done;
  }
  memset(seen, 0xff, n_name * sizeof *seen);
  status = each_environment(&d, &c, seen);
  if (status == CKS_OK) status = values(&d);
  if (status == CKS_OK) status = missing_somewhere(&d, &c);
  if (status == CKS_OK) status = cks_audit_near_names(work, trial);
  if (status == CKS_OK) status = cks_arena_status(work->arena, work->error);
done:
  free(seen);
  free(c.index);
  free(c.room);
  free(c.places);
  free(c.rep);
  free(c.hybrid);
  return status;
}
