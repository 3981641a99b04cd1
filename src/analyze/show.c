/* show.c: the values of a trait as they are shown, and the scale on which they are tested. */
#include "strips.h"

#include "../agronomy/words.h"

#include <math.h>
#include <stdlib.h>

enum { MOST_DECIMALS = 6 };
static const double ARCSINE_LOW = 20, ARCSINE_HIGH = 80; /* a plot beyond these puts the trait on the arcsine scale */

/* Decimals of a mean in a unit that is not the trait's usual one, and of every yield. */
static const int8_t digits_of[CKS_UNIT_COUNT_ALL] = {
    [CKS_UNIT_BU_AC] = 1, [CKS_UNIT_CWT_AC] = 1, [CKS_UNIT_TON_AC] = 2,     [CKS_UNIT_T_HA] = 2, [CKS_UNIT_LB_BU] = 1,
    [CKS_UNIT_KG_HL] = 1, [CKS_UNIT_FT] = 1,     [CKS_UNIT_M] = 2,          [CKS_UNIT_LB] = 1,   [CKS_UNIT_KG] = 2,
    [CKS_UNIT_OZ] = 1,    [CKS_UNIT_G] = 1,      [CKS_UNIT_THOUSAND_AC] = 1};

static bool names_trait(const cks_trait *trait, const char *text)
{
  return cks_words_has(trait->key, text) || cks_words_has(trait->label, text) ||
         cks_words_has(cks_role_find(trait->role)->synonyms, text);
}

static cks_status check_pair(const cks_task *task, const cks_setting_pair *pair)
{
  const cks_trial *trial = task->trial;
  cks_unit unit;
  size_t t = 0;
  while (t < trial->n_trait && !names_trait(&trial->trait[t], pair->key)) t++;
  if (t == trial->n_trait)
    return cks_error_set(task->error, CKS_USAGE, "--show names the trait '%s', which the data do not hold", pair->key);
  if (!pair->value || !cks_unit_find(pair->value, &unit))
    return cks_error_set(task->error, CKS_USAGE, "--show %s=%s: the unit is not known, expected one such as '%s'",
                         pair->key, pair->value ? pair->value : "", cks_unit_text(trial->trait[t].unit));
  if (cks_is_missing(cks_unit_convert(1, trial->trait[t].unit, unit, trial->crop)))
    return cks_error_set(task->error, CKS_USAGE, "--show %s=%s: '%s' does not convert to '%s'", pair->key, pair->value,
                         cks_unit_text(trial->trait[t].unit), cks_unit_text(unit));
  return CKS_OK;
}

cks_status cks_show_check(const cks_task *task)
{
  cks_status status = CKS_OK;
  for (size_t i = 0; i < task->settings->show.n && status == CKS_OK; i++)
    status = check_pair(task, &task->settings->show.pair[i]);
  return status;
}

/* The values in the unit that --show names; the trial's own when none is. */
static cks_status convert(cks_trait_task *work)
{
  const cks_task *task = work->task;
  const cks_trait *trait = work->trait;
  cks_trait_result *result = work->result;
  cks_unit unit = trait->unit;
  for (size_t i = 0; i < task->settings->show.n; i++)
    if (names_trait(trait, task->settings->show.pair[i].key)) cks_unit_find(task->settings->show.pair[i].value, &unit);
  result->unit = unit;
  bool by_unit = unit != trait->unit || cks_unit_dimension(unit) == CKS_DIM_YIELD;
  result->digits = by_unit ? digits_of[unit] : trait->digits;
  work->values.shown = trait->value;
  if (unit == trait->unit) return CKS_OK;
  double *shown = cks_arena_take(work->scratch, task->trial->n_plot, sizeof *shown);
  if (!shown) return cks_error_nomem(task->error);
  for (size_t p = 0; p < task->trial->n_plot; p++)
    shown[p] = cks_unit_convert(trait->value[p], trait->unit, unit, task->trial->crop);
  work->values.shown = shown;
  return CKS_OK;
}

/* Decimals that leave a typical value three digits, so that small yields and traits of any size stay apart in print. */
static int digits_of_size(const double *values, size_t n)
{
  double sum = 0;
  size_t given = 0;
  for (size_t p = 0; p < n; p++)
    if (!cks_is_missing(values[p])) {
      sum += fabs(values[p]);
      given++;
    }
  double size = given ? sum / (double)given : 0;
  return size > 0 ? (int)fmin(fmax(2 - floor(log10(size)), 0), MOST_DECIMALS) : 0;
}

static void settle_rating(cks_trait_task *work)
{
  const cks_trait *trait = work->trait;
  cks_values *v = &work->values;
  bool stated =
      trait->better != CKS_BETTER_NONE && !cks_is_missing(trait->scale_low) && !cks_is_missing(trait->scale_high);
  if (trait->measure != CKS_MEASURE_RATING || stated) return;
  v->better = CKS_BETTER_NONE;
  v->untested = "a rating whose heading states no scale and good end (such as 1-9, 1 best) is averaged, never compared";
}

static bool beyond_the_middle(const double *shown, size_t n)
{
  for (size_t p = 0; p < n; p++)
    if (shown[p] < ARCSINE_LOW || shown[p] > ARCSINE_HIGH) return true;
  return false;
}

cks_status cks_values_new(cks_trait_task *work)
{
  const cks_task *task = work->task;
  cks_values *v = &work->values;
  size_t n = task->trial->n_plot;
  cks_status status = convert(work);
  if (status == CKS_OK) status = cks_strips_adjust(work);
  if (status != CKS_OK) return status;
  cks_dimension dimension = cks_unit_dimension(work->result->unit);
  if (dimension == CKS_DIM_YIELD || work->trait->role == CKS_ROLE_OTHER) {
    int digits = digits_of_size(v->shown, n);
    if (digits > work->result->digits) work->result->digits = digits;
  }
  v->better = work->trait->better;
  v->true_zero = work->trait->measure == CKS_MEASURE_NUMBER && dimension != CKS_DIM_DAYS &&
                 dimension != CKS_DIM_SCORE && dimension != CKS_DIM_DATE;
  v->arcsine = work->trait->measure == CKS_MEASURE_PROPORTION && beyond_the_middle(v->shown, n);
  settle_rating(work);
  v->tested = cks_arena_take(work->scratch, n, sizeof *v->tested);
  if (!v->tested) return cks_error_nomem(task->error);
  bool first = true;
  for (size_t p = 0; p < n; p++) {
    double tested = v->arcsine ? asin(sqrt(fmin(fmax(v->shown[p], 0), 100) / 100)) : v->shown[p];
    if (cks_is_missing(v->shown[p])) tested = cks_missing(); /* fmin and fmax would make a number of it */
    if (first && !cks_is_missing(tested)) {
      v->shift = tested;
      first = false;
    }
    v->tested[p] = tested - v->shift;
  }
  work->result->arcsine = v->arcsine;
  return CKS_OK;
}
