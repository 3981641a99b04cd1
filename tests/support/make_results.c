/* make_results.c: see make_results.h. */
#include "make_results.h"

#include <gsl/gsl_cdf.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

enum { N_TRAIT = 6 };

typedef struct {
  cks_role role;
  double level, spread, place, noise;
} trait_plan;
static const trait_plan plans[N_TRAIT] = {
    {CKS_ROLE_YIELD, 95, 6, 25, 8},
    {CKS_ROLE_MOISTURE, 14.4, 0.5, 1, 0.4},
    {CKS_ROLE_TEST_WEIGHT, 58.5, 0.6, 1, 0.7},
    {CKS_ROLE_DAYS_TO_MID_BLOOM, 63, 2.2, 4, 1},
    {CKS_ROLE_PLANT_HEIGHT, 46, 3, 4, 2},
    {CKS_ROLE_LODGING, 6, 2, 3, 2},
};

static const char *const place_names[] = {"Alder Flat", "Bram Hill", "Cold Draw", "Dunning", "Elk Section", "Ferrow"};
static const char *const hybrid_names[] = {"Halden 402", "Halden 418", "Halden 455", "Orrin 61",  "Orrin 66",
                                           "Orrin 73",   "Orrin 79",   "Quarter 7",  "Quarter 9", "Tamsel 8",
                                           "Tamsel 15",  "Tamsel 22",  "Verrow A",   "Verrow C"};
static const char *const odd_names[] = {"=1+1", "+SUM(A1)", "-2", "@cmd", "\"quoted\", with comma", "two\nlines"};
static const char *const utf8_names[] = {"\303\211b\303\250ne 5", "\320\227\320\265\321\200\320\275\320\276 3",
                                         "Ma\303\255z \303\261u"};

/* A multiplicative generator (Park and Miller 1988), summed twelve times for a near normal value. */
static double uniform(uint32_t *state)
{
  *state = (uint32_t)((uint64_t)*state * 48271U % 2147483647U);
  return *state / 2147483647.0;
}
static double normal(uint32_t *state)
{
  double sum = -6;
  for (int i = 0; i < 12; i++) sum += uniform(state);
  return sum;
}

made_options made_usual(void)
{
  return (made_options){.n_location = 6, .n_hybrid = 14, .n_check = 2, .n_rep = 4, .place_facts = true};
}

static void *take(made *m, size_t n, size_t size)
{
  void *p = cks_arena_take(m->arena, n ? n : 1, size);
  if (!p) abort();
  return p;
}

static const char *name_of(made *m, const made_options *o, size_t i)
{
  if (o->odd_names && i < sizeof odd_names / sizeof *odd_names) return odd_names[i];
  if (o->utf8_names && i < sizeof utf8_names / sizeof *utf8_names) return utf8_names[i];
  if (o->long_names)
    return cks_arena_format(m->arena, "Longname Seed and Grain Cooperative of the Upper Plains H%06zu", i + 1);
  if (i < sizeof hybrid_names / sizeof *hybrid_names) return hybrid_names[i];
  return cks_arena_format(m->arena, "Wexel %zu", i + 1);
}

static bool is_missing_here(const made_options *o, cks_role role, size_t location, size_t hybrid)
{
  if (o->no_across && location == 0 && hybrid == 1) return true;
  return o->missing_values && role == CKS_ROLE_DAYS_TO_MID_BLOOM && location > 0;
}

/* ---- the trial -------------------------------------------------------------------------------------------------- */

static void make_environments(made *m, const made_options *o)
{
  cks_trial *t = m->trial;
  t->n_environment = t->n_location = o->n_location;
  t->location = take(m, o->n_location, sizeof *t->location);
  t->environment = take(m, o->n_location, sizeof *t->environment);
  for (size_t l = 0; l < o->n_location; l++) {
    t->location[l] = l < 6 ? place_names[l] : cks_arena_format(m->arena, "Zone %zu", l + 1);
    const char **place = take(m, CKS_ROLE_COUNT, sizeof *place);
    if (o->place_facts) {
      place[CKS_ROLE_COOPERATOR] = "R. Ostrander";
      place[CKS_ROLE_COUNTY] = "Pell County";
      place[CKS_ROLE_PLANTED] = "2026-05-14";
      place[CKS_ROLE_HARVESTED] = "2026-10-02";
      place[CKS_ROLE_IRRIGATION] = l % 2 ? "irrigated" : "dryland";
      place[CKS_ROLE_SEEDING_RATE] = "42000 /ac";
      place[CKS_ROLE_ROW_SPACING] = "30 in";
      place[CKS_ROLE_PREVIOUS_CROP] = "wheat";
      place[CKS_ROLE_SOIL] = "silt loam";
      place[CKS_ROLE_RAINFALL] = "11.4 in";
      place[CKS_ROLE_NOTE] = "Hail on July 9; two border rows lodged.";
    }
    t->environment[l] = (cks_environment){.weather = CKS_NONE,
                                          .location = (cks_id)l,
                                          .trial = "",
                                          .year = 2026,
                                          .first = (uint32_t)(l * o->n_hybrid * o->n_rep),
                                          .n = (uint32_t)(o->n_hybrid * o->n_rep),
                                          .label = t->location[l],
                                          .planted = cks_missing(),
                                          .harvested = cks_missing(),
                                          .place = place};
  }
}

static void make_hybrids(made *m, const made_options *o)
{
  cks_trial *t = m->trial;
  t->n_hybrid = o->n_hybrid;
  t->hybrid = take(m, o->n_hybrid, sizeof *t->hybrid);
  for (size_t h = 0; h < o->n_hybrid; h++)
    t->hybrid[h] =
        (cks_hybrid){.name = name_of(m, o, h), .full = name_of(m, o, h), .brand = "", .maturity = "", .check = false};
  static const size_t checks[] = {7, 4, 2, 0};
  for (size_t k = 0; k < o->n_check && k < 4; k++) t->hybrid[checks[k] % o->n_hybrid].check = true;
}

static void make_plots(made *m, const made_options *o)
{
  cks_trial *t = m->trial;
  size_t n = t->n_plot = o->n_location * o->n_hybrid * o->n_rep, i = 0;
  t->n_rep = o->n_rep;
  t->rep = take(m, o->n_rep, sizeof *t->rep);
  for (size_t r = 0; r < o->n_rep; r++) t->rep[r] = cks_arena_format(m->arena, "%zu", r + 1);
  t->hybrid_of = take(m, n, sizeof *t->hybrid_of);
  t->environment_of = take(m, n, sizeof *t->environment_of);
  t->rep_of = take(m, n, sizeof *t->rep_of);
  t->line = take(m, n, sizeof *t->line);
  t->file = take(m, n, sizeof *t->file);
  for (size_t l = 0; l < o->n_location; l++)
    for (size_t r = 0; r < o->n_rep; r++)
      for (size_t h = 0; h < o->n_hybrid; h++, i++) {
        t->hybrid_of[i] = (uint32_t)h;
        t->environment_of[i] = (uint32_t)l;
        t->rep_of[i] = (uint32_t)r;
        t->line[i] = (uint32_t)i + 2;
      }
}

static void make_traits(made *m, const made_options *o)
{
  cks_trial *t = m->trial;
  t->trait = take(m, N_TRAIT, sizeof *t->trait);
  for (size_t k = o->no_yield ? 3 : 0; k < (o->no_yield ? 5 : N_TRAIT); k++) { /* 3, 4: without a good end */
    const cks_role_fact *fact = cks_role_find(plans[k].role);
    bool yield = plans[k].role == CKS_ROLE_YIELD;
    double *value = take(m, t->n_plot, sizeof *value);
    uint32_t state = (uint32_t)(1234 + 7 * k);
    double *hybrid = take(m, o->n_hybrid, sizeof *hybrid), *place = take(m, o->n_location, sizeof *place);
    for (size_t h = 0; h < o->n_hybrid; h++) hybrid[h] = o->no_differences ? 0 : plans[k].spread * normal(&state);
    for (size_t l = 0; l < o->n_location; l++) place[l] = plans[k].place * (uniform(&state) - 0.5) * 2;
    for (size_t i = 0; i < t->n_plot; i++) {
      uint32_t h = t->hybrid_of[i], l = t->environment_of[i];
      value[i] = plans[k].level + hybrid[h] + place[l] + plans[k].noise * normal(&state);
      if (is_missing_here(o, plans[k].role, l, h)) value[i] = cks_missing();
    }
    t->trait[t->n_trait++] = (cks_trait){.role = plans[k].role,
                                         .key = fact->key,
                                         .label = fact->label,
                                         .narrow = fact->narrow,
                                         .unit = fact->unit,
                                         .digits = fact->digits,
                                         .basis_pct = yield ? 14 : cks_missing(),
                                         .basis_text = yield ? "from plot weights" : "",
                                         .better = fact->better,
                                         .measure = fact->measure,
                                         .scale_low = cks_missing(),
                                         .scale_high = cks_missing(),
                                         .value = value};
  }
}

static void make_left_out(made *m, const made_options *o)
{
  cks_trial *t = m->trial;
  t->left_out = take(m, o->n_left_out, sizeof *t->left_out);
  t->n_left_out = o->n_left_out;
  for (size_t i = 0; i < o->n_left_out; i++)
    t->left_out[i] =
        (cks_left_out){0, (uint32_t)(1000 + i), "combine plugged", t->location[0], "101", t->hybrid[0].name, true};
  t->input = take(m, 1, sizeof *t->input);
  t->n_input = 1;
  t->input[0] = (cks_input){0, (uint32_t)(t->n_plot + o->n_left_out), (uint32_t)t->n_plot};
}

/* ---- the results ------------------------------------------------------------------------------------------------ */

static cks_analysis blank(const made *m, const made_options *o)
{
  const double none = cks_missing();
  return (cks_analysis){.environment = CKS_NONE,
                        .label = "",
                        .location = "",
                        .trial = "",
                        .year = 2026,
                        .design = "",
                        .why = "",
                        .lsd_why = "",
                        .group_why = "",
                        .note = "",
                        .reps = (double)o->n_rep,
                        .n_location = 1,
                        .n_environment = 1,
                        .n_year = 1,
                        .mean = none,
                        .plot_mean = none,
                        .cv_pct = none,
                        .error_df = none,
                        .error_ms = none,
                        .f = none,
                        .p = none,
                        .num_df = none,
                        .den_df = none,
                        .sed = none,
                        .sed_min = none,
                        .sed_max = none,
                        .lsd = none,
                        .lsd_df = none,
                        .alpha = m->settings.alpha,
                        .repeatability = none,
                        .efficiency_pct = none,
                        .protected_rule = true,
                        .apart = "",
                        .aside = "",
                        .comparison = "",
                        .top_rule = "",
                        .critical_difference = none,
                        .locations_as = "",
                        .lack = "",
                        .joined = "",
                        .df_method = "",
                        .outcome = "",
                        .environment_effect = "",
                        .interaction_p = none};
}

static double sign_of(const cks_trait_result *t) { return t->better == CKS_BETTER_LOW ? -1 : 1; }

static void sort_lines(cks_analysis *a, double sign)
{
  for (size_t i = 1; i < a->n_hybrid; i++)
    for (size_t k = i; k > 0 && sign * a->hybrid[k].mean > sign * a->hybrid[k - 1].mean; k--) {
      cks_hybrid_result keep = a->hybrid[k];
      a->hybrid[k] = a->hybrid[k - 1];
      a->hybrid[k - 1] = keep;
    }
}

static void compare_with_checks(made *m, cks_analysis *a, cks_hybrid_result *line)
{
  cks_results *r = m->results;
  line->vs_check = take(m, r->n_check, sizeof *line->vs_check);
  for (size_t k = 0; k < r->n_check; k++) {
    cks_vs_check *vs = &line->vs_check[k];
    *vs = (cks_vs_check){.check = r->check[k], .pct = cks_missing(), .difference = cks_missing(), .p = cks_missing()};
    vs->ci_low = vs->ci_high = cks_missing();
    for (size_t i = 0; i < a->n_hybrid; i++) {
      if (a->hybrid[i].hybrid != r->check[k]) continue;
      vs->pct = 100 * line->mean / a->hybrid[i].mean;
      vs->difference = line->mean - a->hybrid[i].mean;
      if (line->hybrid == r->check[k] || cks_is_missing(a->sed)) continue;
      double half = gsl_cdf_tdist_Qinv(a->alpha / 2, a->error_df) * a->sed;
      vs->ci_low = vs->difference - half;
      vs->ci_high = vs->difference + half;
      if (a->significant) vs->p = 2 * gsl_cdf_tdist_Q(fabs(vs->difference) / a->sed, a->error_df);
      if (a->significant && fabs(vs->difference) > a->lsd)
        vs->differs = vs->difference > 0 ? CKS_DIFFERS_ABOVE : CKS_DIFFERS_BELOW;
    }
  }
}

/* Ranks, top group and checks once the means, sed and F stand. */
static void finish(made *m, const made_options *o, const cks_trait_result *t, cks_analysis *a)
{
  double sign = sign_of(t), total = 0, best = -INFINITY;
  for (size_t i = 0; i < a->n_hybrid; i++) total += a->hybrid[i].mean, best = fmax(best, sign * a->hybrid[i].mean);
  a->mean = a->plot_mean = total / a->n_hybrid;
  double limit = cks_is_missing(a->sed) ? cks_missing() : gsl_cdf_tdist_Qinv(a->alpha / 2, a->error_df) * a->sed;
  bool compared = a->method == CKS_METHOD_ANOVA;
  if (compared) a->lsd_df = a->error_df, a->equal_sed = !o->unequal, a->found = a->significant;
  if (compared && a->significant && !t->arcsine) a->lsd = limit;
  if (compared && !a->significant) a->lsd_why = "F not significant at 0.05";
  if (compared && t->arcsine && a->significant) a->lsd_why = "percent tested on the arcsine scale";
  if (compared && a->significant && t->better != CKS_BETTER_NONE) sort_lines(a, sign);
  if (o->unequal && compared) a->sed_min = a->sed * 0.9, a->sed_max = a->sed * 1.2, a->note = "adjusted for lost plots";
  for (size_t i = 0; i < a->n_hybrid; i++) {
    cks_hybrid_result *line = &a->hybrid[i];
    line->shrunken = line->reliability = cks_missing();
    line->pct_of_mean = 100 * line->mean / a->mean;
    compare_with_checks(m, a, line);
    if (!compared) continue;
    line->se = sqrt(a->error_ms / line->n);
    line->group = a->significant ? (sign * line->mean >= best - limit ? "a" : "b") : "a";
    if (t->better == CKS_BETTER_NONE) continue;
    if (a->significant) line->rank = (uint32_t)i + 1;
    line->top = !a->significant || sign * line->mean >= best - limit ? CKS_TOP_IN : CKS_TOP_OUT;
    a->n_top += line->top == CKS_TOP_IN;
  }
}

static void add_lines(made *m, cks_analysis *a, const cks_anova_line *line, size_t n)
{
  a->anova = take(m, n, sizeof *a->anova);
  a->n_anova = n;
  memcpy(a->anova, line, n * sizeof *line);
}

/* Complete blocks by hand: rep, hybrid, error. mean: size n_hybrid, NaN where there is none. */
static void fit_place(made *m, const made_options *o, const cks_trait_result *t, cks_analysis *a, size_t l,
                      double *mean)
{
  const cks_trial *trial = m->trial;
  const double *value = trial->trait[t->trait].value + l * o->n_hybrid * o->n_rep;
  double *rep = take(m, o->n_rep, sizeof *rep), grand = 0, ss_total = 0, ss_rep = 0, ss_hybrid = 0;
  size_t g = 0;
  for (size_t h = 0; h < o->n_hybrid; h++) {
    mean[h] = 0;
    for (size_t r = 0; r < o->n_rep; r++) mean[h] += value[r * o->n_hybrid + h] / (double)o->n_rep;
    if (!cks_is_missing(mean[h])) g++, grand += mean[h];
  }
  grand /= (double)g;
  for (size_t r = 0; r < o->n_rep; r++)
    for (size_t h = 0; h < o->n_hybrid; h++) {
      double y = value[r * o->n_hybrid + h];
      if (cks_is_missing(y)) continue;
      rep[r] += y / (double)g;
      ss_total += (y - grand) * (y - grand);
    }
  for (size_t r = 0; r < o->n_rep; r++) ss_rep += (double)g * (rep[r] - grand) * (rep[r] - grand);
  for (size_t h = 0; h < o->n_hybrid; h++)
    if (!cks_is_missing(mean[h])) ss_hybrid += (double)o->n_rep * (mean[h] - grand) * (mean[h] - grand);
  double df_h = (double)g - 1, df_r = (double)o->n_rep - 1, df_e = df_h * df_r, none = cks_missing();
  double ms_e = (ss_total - ss_rep - ss_hybrid) / df_e;
  a->error_df = a->den_df = df_e;
  a->num_df = df_h;
  a->error_ms = ms_e;
  a->f = ss_hybrid / df_h / ms_e;
  a->p = gsl_cdf_fdist_Q(a->f, df_h, df_e);
  a->significant = a->p <= a->alpha;
  a->sed = a->sed_min = a->sed_max = sqrt(2 * ms_e / (double)o->n_rep);
  a->cv_pct = 100 * sqrt(ms_e) / grand;
  a->repeatability = fmax(0, 1 - 1 / a->f);
  add_lines(m, a,
            (const cks_anova_line[]){{"rep", df_r, ss_rep, ss_rep / df_r, none, none},
                                     {"hybrid", df_h, ss_hybrid, ss_hybrid / df_h, a->f, a->p},
                                     {"error", df_e, ss_total - ss_rep - ss_hybrid, ms_e, none, none},
                                     {"total", df_h + df_r + df_e, ss_total, none, none, none}},
            4);
}

static void make_place(made *m, const made_options *o, const cks_trait_result *t, cks_analysis *a, size_t l,
                       double *mean)
{
  const cks_environment *e = &m->trial->environment[l];
  *a = blank(m, o);
  a->environment = (cks_id)l;
  a->label = a->location = e->label;
  a->method = o->means_only ? CKS_METHOD_MEANS : CKS_METHOD_ANOVA;
  a->design = o->means_only ? "single plots" : "complete blocks";
  if (o->means_only) a->why = "one plot a hybrid, so there is no error to compare with";
  a->hybrid = take(m, o->n_hybrid, sizeof *a->hybrid);
  if (o->means_only)
    memcpy(mean, m->trial->trait[t->trait].value + l * o->n_hybrid, o->n_hybrid * sizeof *mean);
  else
    fit_place(m, o, t, a, l, mean);
  for (size_t h = 0; h < o->n_hybrid; h++)
    if (!cks_is_missing(mean[h]))
      a->hybrid[a->n_hybrid++] = (cks_hybrid_result){.hybrid = (cks_id)h,
                                                     .n = (uint32_t)o->n_rep,
                                                     .environments = 1,
                                                     .years = 1,
                                                     .mean = mean[h],
                                                     .raw_mean = mean[h],
                                                     .mean_unadjusted = NAN,
                                                     .se = cks_missing(),
                                                     .shrunken = cks_missing(),
                                                     .reliability = cks_missing(),
                                                     .pct_of_mean = cks_missing()};
  a->plots = (uint32_t)(a->n_hybrid * o->n_rep);
  finish(m, o, t, a);
}

/* A balanced series: hybrid over hybrid x location. mean: n_location x n_hybrid. */
static void make_across(made *m, const made_options *o, cks_trait_result *t, const double *mean)
{
  size_t g = o->n_hybrid, e = t->n_location;
  cks_analysis *a = t->across = take(m, 1, sizeof *a);
  *a = blank(m, o);
  a->n_location = a->n_environment = (uint32_t)e;
  a->locations_as = "random";
  if (o->no_across) {
    a->method = CKS_METHOD_NONE;
    a->why = "hybrids are missing at some places, which needs a mixed model";
    return;
  }
  double grand = 0, ss_h = 0, ss_i = 0, pooled = 0, r = (double)o->n_rep;
  double *hybrid = take(m, g, sizeof *hybrid), *place = take(m, e, sizeof *place);
  for (size_t l = 0; l < e; l++)
    for (size_t h = 0; h < g; h++) {
      hybrid[h] += mean[l * g + h] / (double)e;
      place[l] += mean[l * g + h] / (double)g;
      grand += mean[l * g + h] / (double)(e * g);
    }
  for (size_t h = 0; h < g; h++) ss_h += r * (double)e * (hybrid[h] - grand) * (hybrid[h] - grand);
  for (size_t l = 0; l < e; l++) {
    pooled += o->means_only ? cks_missing() : t->location[l].error_ms / (double)e;
    for (size_t h = 0; h < g; h++) ss_i += r * pow(mean[l * g + h] - hybrid[h] - place[l] + grand, 2);
  }
  double df_h = (double)g - 1, df_i = df_h * ((double)e - 1), ms_i = ss_i / df_i, df_e = (double)e * df_h * (r - 1),
         none = cks_missing();
  a->method = CKS_METHOD_ANOVA;
  a->design = "balanced series";
  a->plots = (uint32_t)(g * e * o->n_rep);
  a->error_df = a->den_df = df_i;
  a->num_df = df_h;
  a->error_ms = ms_i;
  a->f = ss_h / df_h / ms_i;
  a->p = gsl_cdf_fdist_Q(a->f, df_h, df_i);
  a->significant = a->p <= a->alpha;
  a->sed = a->sed_min = a->sed_max = sqrt(2 * ms_i / (r * (double)e));
  a->cv_pct = 100 * sqrt(pooled) / grand;
  a->repeatability = fmax(0, 1 - 1 / a->f);
  a->interaction_p = o->means_only ? none : gsl_cdf_fdist_Q(ms_i / pooled, df_i, df_e);
  add_lines(m, a,
            (const cks_anova_line[]){{"hybrid", df_h, ss_h, ss_h / df_h, a->f, a->p},
                                     {"hybrid x location", df_i, ss_i, ms_i, ms_i / pooled, a->interaction_p},
                                     {"error", df_e, pooled * df_e, pooled, none, none}},
            3);
  a->variance = take(m, 2, sizeof *a->variance);
  a->n_variance = 2;
  a->variance[0] = (cks_variance){"hybrid", (ss_h / df_h - ms_i) / (r * (double)e), none};
  a->variance[1] = (cks_variance){"error", pooled, none};
  a->hybrid = take(m, g, sizeof *a->hybrid);
  a->n_hybrid = (uint32_t)g;
  for (size_t h = 0; h < g; h++)
    a->hybrid[h] = (cks_hybrid_result){.hybrid = (cks_id)h,
                                       .n = (uint32_t)(o->n_rep * e),
                                       .environments = (uint32_t)e,
                                       .years = 1,
                                       .mean = hybrid[h],
                                       .raw_mean = hybrid[h],
                                       .mean_unadjusted = NAN,
                                       .se = none,
                                       .shrunken = none,
                                       .reliability = none,
                                       .pct_of_mean = none};
  finish(m, o, t, a);
}

static void make_trait(made *m, const made_options *o, size_t k)
{
  const cks_trait *source = &m->trial->trait[k];
  cks_trait_result *t = &m->results->trait[k];
  *t = (cks_trait_result){.trait = (cks_id)k,
                          .role = source->role,
                          .key = source->key,
                          .label = source->label,
                          .narrow = source->narrow,
                          .unit = source->unit,
                          .digits = source->digits,
                          .basis_pct = source->basis_pct,
                          .basis_text = source->basis_text,
                          .better = source->better,
                          .measure = source->measure};
  t->arcsine = o->arcsine && t->measure == CKS_MEASURE_PROPORTION;
  bool one_place = o->missing_values && t->role == CKS_ROLE_DAYS_TO_MID_BLOOM;
  t->n_location = one_place ? 1 : o->n_location;
  t->location = take(m, t->n_location, sizeof *t->location);
  double *mean = take(m, t->n_location * o->n_hybrid, sizeof *mean);
  for (size_t l = 0; l < t->n_location; l++) make_place(m, o, t, &t->location[l], l, mean + l * o->n_hybrid);
  if (o->missing_values && t->role == CKS_ROLE_PLANT_HEIGHT && t->n_location > 1) {
    cks_analysis *lost = &t->location[1];
    *lost = blank(m, o);
    lost->environment = 1;
    lost->label = lost->location = m->trial->environment[1].label;
    lost->why = "fewer than two hybrids have a value";
  }
  if (t->n_location > 1) make_across(m, o, t, mean);
}

static int make_results(made *m, const made_options *o)
{
  cks_results *r = m->results = take(m, 1, sizeof *r);
  r->arena = m->arena;
  r->n_hybrid = o->n_hybrid;
  r->hybrid = m->trial->hybrid;
  r->alpha = m->settings.alpha;
  r->check = take(m, o->n_hybrid, sizeof *r->check);
  for (size_t h = o->n_hybrid; h-- > 0;)
    if (r->hybrid[h].check) r->check[r->n_check++] = (cks_id)h;
  r->n_trait = m->trial->n_trait;
  r->trait = take(m, r->n_trait, sizeof *r->trait);
  for (size_t k = 0; k < r->n_trait; k++) make_trait(m, o, k);
  return 0;
}

static int make_findings(made *m)
{
  cks_id file;
  if (cks_findings_new(&m->findings, NULL) != CKS_OK ||
      cks_findings_file(m->findings, "trials/series.csv", &file, NULL) != CKS_OK)
    return 1;
  cks_findings_add(m->findings, CKS_RULE_OUTLIER, (cks_where){file, CKS_NONE, 12, 5}, "yield", "31.2", NULL,
                   "yield of Halden 402 in rep 1 at Alder Flat is 31.2 and 88.0 was expected; look at the paper");
  cks_findings_add(m->findings, CKS_RULE_UNIT_ASSUMED, (cks_where){file, CKS_NONE, 1, 7}, "height", "", NULL,
                   "plant height is taken to be in in");
  cks_findings_sort(m->findings);
  return 0;
}

int made_new(made *out, const made_options *options)
{
  made_options o = *options;
  *out = (made){0};
  out->arena = cks_arena_new();
  if (!out->arena) return 1;
  if (o.means_only) o.n_rep = 1;
  out->settings = (cks_settings){.alpha = 0.05,
                                 .moisture_pct = cks_missing(),
                                 .cv_limit = 20,
                                 .min_environments = 0.5,
                                 .as_of = NAN,
                                 .order = CKS_ORDER_DEFAULT,
                                 .paper = "letter"};
  out->trial = take(out, 1, sizeof *out->trial);
  out->trial->arena = out->arena;
  out->trial->crop = cks_crop_at(0);
  out->trial->count_origin = "planting";
  make_environments(out, &o);
  make_hybrids(out, &o);
  make_plots(out, &o);
  make_traits(out, &o);
  make_left_out(out, &o);
  return make_results(out, &o) || make_findings(out);
}

void made_free(made *m)
{
  cks_findings_free(m->findings);
  cks_arena_free(m->arena);
  *m = (made){0};
}
