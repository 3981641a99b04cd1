/*
 * results.h: what the analysis found: for each trait an analysis of each environment and one across them.
 *
 * A figure that does not exist is NaN (or NULL, or 0 where said) and `why` says why. Written for the schema of the JSON.
 */
#ifndef CHECKSTRIP_RESULTS_H
#define CHECKSTRIP_RESULTS_H

#include <checkstrip/calendar.h>
#include <checkstrip/interaction.h>
#include <checkstrip/maturity.h>
#include <checkstrip/versus.h>

typedef struct {
  const char *source; /* a word of the schema: "location", "rep in location", "hybrid", "error", "total", ... */
  double df, ss, ms, f, p; /* NaN where there is none */
} cks_anova_line;

typedef struct {
  const char *source;
  double estimate, se; /* se NaN when not known; mixed models: an estimate of 0 is at its bound */
} cks_variance;

/* What the analysis takes for granted, tested on its residuals. Nothing is changed or stopped by it. */
typedef enum {
  CKS_ASSUME_ADDITIVE, /* at a place: Tukey's one degree of freedom for non-additivity */
  CKS_ASSUME_NORMAL,   /* at a place: Shapiro and Wilk's W */
  CKS_ASSUME_BARTLETT, /* across: equal error variances */
  CKS_ASSUME_LEVENE,   /* across: the same */
  CKS_ASSUMPTION_KINDS
} cks_assumption_kind;

typedef struct {
  cks_assumption_kind kind;
  const char *what;    /* "additivity", "normality", "equal variances" */
  const char *test;    /* "Tukey one df", "Shapiro-Wilk"; "Bartlett", "Levene corrected" */
  double statistic;    /* F, W; chi-squared, F */
  double num_df, den_df, p; /* NaN where there is none; chi-squared has num_df alone */
  uint32_t n;          /* plots; across: places with an error of their own */
  const char *why;     /* "" or why there is no answer */
} cks_assumption;

typedef enum { CKS_DIFFERS_UNKNOWN, CKS_DIFFERS_ABOVE, CKS_DIFFERS_BELOW } cks_differs;

typedef struct {
  cks_id check;       /* index into cks_results.hybrid */
  double pct;         /* 100 x mean / check's mean; NaN when there is no true zero */
  double difference;  /* mean - check's mean */
  double p;           /* of the pair's t test by itself; NaN when not tested, or F lets no pair be tested */
  cks_differs differs; /* by the comparison in use, the protected rule included */
  double ci_low, ci_high; /* 1 - alpha interval of the difference by the critical value of the comparison in use, whether
                             or not F lets pairs be tested; NaN when there is no SED, or none in percent (arcsine) */
} cks_vs_check;

typedef enum { CKS_TOP_NOT_ASKED, CKS_TOP_IN, CKS_TOP_OUT } cks_top; /* NOT_ASKED: no good end, or means only */

typedef struct {
  cks_id hybrid;           /* index into cks_results.hybrid */
  uint32_t n, environments, years; /* plots used; environments with a value (1 at one location); years among these */
  double mean, raw_mean;   /* adjusted; plain mean of the plots, strips unadjusted */
  double mean_unadjusted;  /* the mean without the strip adjustment; NaN when none was asked */
  double se;
  double shrunken, reliability; /* mixed models: general mean + prediction, hybrids random; 1 - PEV / variance of hybrids */
  uint32_t rank;           /* 1 is best; equal means share (1, 2, 2, 4); 0 = not ranked */
  const char *group;       /* letters; NULL = none, see cks_analysis.group_why */
  cks_top top;
  double pct_of_mean;      /* of the unweighted mean of the adjusted means; NaN when no true zero */
  cks_vs_check *vs_check;  /* size cks_results.n_check, in its order */
} cks_hybrid_result;

/* A group of --by-group in one analysis: its hybrids against the error of all. */
typedef struct {
  uint32_t by_group;       /* index into cks_results.by_group.name */
  uint32_t first, n_hybrid; /* its rows: cks_analysis.hybrid[first, first + n_hybrid) */
  double f, p, num_df, den_df; /* of the hybrids within it; NaN when not tested */
  double sed, lsd, critical_difference; /* sed: mean of the pairs within it; the others as in cks_analysis */
  const char *lsd_why;     /* "" or why lsd is absent */
  bool equal_sed, significant, found; /* as in cks_analysis, of the group */
  uint32_t n_top;          /* 0 when not asked, or a group of one */
  double left_out_share;   /* as in cks_analysis, of the group's hybrids */
} cks_group_result;

typedef enum { CKS_METHOD_NONE, CKS_METHOD_MEANS, CKS_METHOD_ANOVA, CKS_METHOD_REML } cks_method;

/* LSD to expect of another series in the same season; lsd_upper: with the upper 80 % limit of an interaction that is
 * estimated at or below zero, else lsd again. */
typedef struct {
  uint32_t locations, reps;
  double lsd, lsd_upper;
} cks_expected_lsd;

typedef struct {
  cks_id environment;      /* index into cks_trial.environment; CKS_NONE for across */
  const char *label, *location, *trial; /* "" when not given or across */
  int year;                /* 0 when not given */
  cks_method method;       /* ANOVA without f: entries in single plots, a SED from the check plots and nothing else */
  const char *design;      /* "complete blocks", "complete blocks, plots lost", "completely randomized", "latin square", "single plots with repeated checks", "single plots", "balanced series", ... */
  const char *why;         /* "" or why figures are absent (means only, needs a mixed model, no error df): a sentence */
  const char *lsd_why;     /* "" or why lsd is absent: "F not significant at 0.05", "percent tested on the arcsine scale", ... */
  const char *group_why;   /* "" or why letters are absent */
  const char *note;        /* "" or what else must be said: "adjusted for lost plots; LSD from the mean SED", ... */
  const char *apart;       /* across: "" or which places are not in it, and why; the note says it too */
  const char *lack;        /* across by a mixed model: what the series lacks to be a balanced one, "some hybrids are missing at some places"; else "" */
  const char *joined;      /* across by a mixed model: that sets of hybrids hang together by checks alone, and the SEDs; else ""; the note says it too */
  const char *aside;       /* across: "" or which hybrids stand at too few of them to be ranked; the note says it too */
  double reps;             /* plots a hybrid when equal, else NaN */
  uint32_t plots, n_hybrid, n_location, n_environment, n_year; /* used for this trait here */
  double mean;             /* unweighted mean of the adjusted means */
  double plot_mean;        /* mean of the plots analyzed */
  double cv_pct, error_df, error_ms, f, p, num_df, den_df;
  double sed, sed_min, sed_max, lsd, lsd_df, alpha, repeatability;
  double efficiency_pct;   /* incomplete blocks: 100 x mean variance of a difference by complete blocks / that of this analysis */
  double loglik;           /* mixed models: residual (REML) log-likelihood */
  const char *df_method;   /* mixed models: "kenward-roger", "satterthwaite"; else "" */
  const char *outcome;     /* mixed models: "converged", "converged; at its bound: rep in location", ...; else "" */
  const char *environment_effect; /* mixed models over places: "fixed" or "random"; else "" */
  const char *comparison;  /* "lsd", "tukey", "dunnett", "bonferroni": what decides; "" when nothing is compared */
  double critical_difference; /* of the comparison at the mean SED; the LSD's is lsd */
  const char *top_rule;    /* "lsd", the comparison, or "best": what the top group is by; "" when not asked */
  bool equal_sed;          /* all pairs alike: sed is that of each; false too when nothing is compared */
  bool protected_rule;     /* LSD given only after a significant F */
  bool significant;        /* f tested and p <= alpha */
  bool found;              /* the comparison in use finds some difference (LSD, Dunnett: after F); ranks are given */
  uint32_t n_top;          /* in the top group; 0 when not asked */
  uint32_t n_aside;        /* across: of the n_hybrid rows the last ones, set aside: no figure but plots and environments */
  size_t n_anova, n_variance, n_assumption; /* n_assumption 0: means only */
  cks_anova_line *anova;
  cks_variance *variance;
  cks_assumption *assumption;
  cks_hybrid_result *hybrid; /* size n_hybrid, in print order: by rank, or by name when nothing may be ranked */
  uint32_t *row_of;          /* size cks_results.n_hybrid: index into hybrid, CKS_NONE; NULL: not made */
  size_t n_group;            /* 0: not by group, or no hybrid */
  cks_group_result *group;   /* size n_group, in the order of the groups; rank, letters, top and n_top are within each,
                                f, lsd, found and vs_check over all hybrids; rows
                                set aside are in none of them */
  const char *locations_as;  /* across: "random" or "fixed"; "" otherwise */
  double left_out_share;     /* of hybrids as good as the best, at most about what part a top group by single comparisons
                                leaves out (of all hybrids alike); NaN: no such group. By group the largest of the groups' */
  double leader_loss;        /* of the leader's lead over the mean, what another time may be expected to lack; NaN: not ranked, or by group */
  size_t n_expected;
  cks_expected_lsd *expected; /* across, size n_expected: 2 to 12 locations x 1 to 4 reps */
  double interaction_p;      /* across: p of hybrid x location (or environment); NaN when not tested */
} cks_analysis;

/* Means over the last years: of the locations that stand in each of them, of the hybrids that stand in all of those
 * environments. */
typedef struct {
  size_t n_year, n_location;
  const int *year;              /* size n_year, ascending */
  const char *const *location;  /* size n_location */
  const cks_analysis *analysis; /* as across; method NONE and its why where there is none. Of one environment: its own */
} cks_span;

/* --strip-adjustment: strips at farms, held against the check strips on either side. */
typedef enum { CKS_STRIPS_NONE, CKS_STRIPS_DIFFERENCE, CKS_STRIPS_RATIO, CKS_STRIPS_SHRUNKEN } cks_strip_adjustment;

typedef struct {
  cks_strip_adjustment by; /* as asked, of yield; NONE: not asked, or another trait */
  bool used;               /* the values are adjusted; false beside an adjustment that was asked: see why */
  const char *why;         /* "" or why they are not: a sentence */
  uint32_t n_place, n_left, n_few; /* places with check strips enough; left unadjusted; of the first, with few of them */
  const char *left;        /* "" or which are left: "Creek (no order of strips), Ferrow (...)" */
  size_t n_check;
  const cks_id *check;     /* size n_check: held against, indexes into cks_results.hybrid */
  uint32_t n_farm, n_strip; /* shrunken: places and entry strips behind b; 0 otherwise */
  double b, se, df, p;     /* shrunken: the share taken off, and its t test against 0; NaN where there is none */
} cks_strips;

typedef struct {
  cks_id trait;            /* index into cks_trial.trait */
  cks_role role;
  const char *key, *label, *narrow;
  cks_unit unit;           /* as shown (--show), the values converted */
  int digits;
  double basis_pct;
  const char *basis_text;
  cks_better better;
  cks_measure measure;
  bool arcsine;            /* tested as arcsin(sqrt p) */
  size_t n_location;
  cks_analysis *location;  /* size n_location: environments with a value, in the trial's order */
  cks_analysis *across;    /* NULL when the trait stands at one environment only */
  size_t n_span;           /* 0: the trait has values of one year */
  cks_span *span;          /* size n_span: the last year, the last two, the last three, as many as there are */
  cks_strips strips;
  const cks_interaction *interaction; /* NULL when the trait stands at one environment only */
  const cks_maturity *maturity;       /* of days to mid-bloom; NULL otherwise, and where interaction is NULL or has a why */
  cks_versus versus;
} cks_trait_result;

/* One cut of a forage at one environment: facts, of which nothing is tested. */
typedef struct {
  cks_id environment;       /* index into cks_trial.environment */
  uint32_t cut, plots;      /* index into cks_trial.cut; plots with a dry-matter yield of it */
  double first_day, last_day; /* when its plots were cut; NaN: not given */
  double after_planting, after_cut; /* days to it, means of the plots that have both days; NaN */
  double height_in, moisture_pct;   /* means; NaN */
  const char *stage;        /* "boot (12 plots), before boot (9)": as written; "" not given */
} cks_cut_facts;

/* Nitrate or prussic acid of a hybrid in a cut at an environment. The highest stands first: a mean hides it. */
typedef struct {
  cks_id environment, hybrid; /* indexes into cks_trial.environment, cks_results.hybrid */
  uint32_t content, n;      /* index into cks_trial.content; plots with a figure */
  double highest, mean;     /* as written */
  double highest_dry, mean_dry; /* ppm of dry matter, nitrate as NO3-N; NaN when some plot's dry matter is not known */
} cks_content_facts;

typedef struct {
  size_t n_cut, n_content;
  cks_cut_facts *cut;         /* size n_cut, by environment, then cut */
  cks_content_facts *content; /* size n_content, by content, environment, hybrid */
} cks_forage;

typedef struct {
  size_t n_hybrid, n_check, n_trait;
  cks_hybrid *hybrid;      /* as in the trial, names copied */
  cks_by_group by_group, by; /* the same */
  cks_pair pair;           /* the same */
  cks_id *check;           /* size n_check: indexes into hybrid; the first is the one of one-column tables */
  double alpha;
  cks_forage forage;       /* of a crop that is none: empty */
  cks_maturity_cuts cuts;  /* classes of days to mid-bloom: the default, or those that were given */
  cks_trait_result *trait; /* yield first, in the trial's order */
  const cks_calendar *calendar; /* NULL: of an audit */
  cks_arena *arena;
} cks_results;

CKS_API void cks_results_free(cks_results *results);
CKS_API const cks_trait_result *cks_results_trait(const cks_results *results, cks_role role); /* NULL: not there */
/* The group of one of the analysis' own lines; NULL when it is not by group. */
CKS_API const cks_group_result *cks_analysis_group(const cks_results *results, const cks_analysis *analysis,
                                                   const cks_hybrid_result *line);
/* The hybrid's line in an analysis; NULL when it is not in it. */
CKS_API const cks_hybrid_result *cks_analysis_hybrid(const cks_analysis *analysis, cks_id hybrid);

#endif
