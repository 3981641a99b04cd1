# One task of a mixed model in lme4, timed without starting R, loading packages and reading the file.
#
#     Rscript tests/bench/beside_lme4.R TASK FILE.csv
#
# TASK: random, fixed (lmer, hybrids so), satterthwaite, kr (lmerTest or pbkrtest: fit, means and all pairs by emmeans).
# Prints lines NAME=VALUE: seconds, minus2; sed12 and df12 of the first pair.
arguments <- commandArgs(TRUE)
if (length(arguments) != 2) stop("usage: Rscript tests/bench/beside_lme4.R TASK FILE.csv")
task <- arguments[1]
suppressMessages({
  library(lmerTest)
  library(emmeans)
})
emm_options(lmerTest.limit = 1e7, pbkrtest.limit = 1e7) # beyond 3,000 plots it would take infinite df

plots <- read.csv(arguments[2])
plots$location <- factor(plots$location)
plots$hybrid <- factor(plots$hybrid)
plots$in_rep <- factor(paste(plots$location, plots$rep))
plots$in_block <- factor(paste(plots$location, plots$rep, plots$block))
plots$cell <- factor(paste(plots$location, plots$hybrid))

terms <- c(if (task == "random") "(1 | hybrid)" else "hybrid", "(1 | location)", "(1 | in_rep)",
           if (nlevels(plots$in_block) > nlevels(plots$in_rep)) "(1 | in_block)", "(1 | cell)")
formula <- as.formula(paste("yield ~", paste(terms, collapse = " + ")))
with_pairs <- task %in% c("satterthwaite", "kr")

seconds <- system.time({
  fit <- if (with_pairs) lmerTest::lmer(formula, plots) else
    lme4::lmer(formula, plots, control = lme4::lmerControl(calc.derivs = FALSE))
  if (with_pairs) {
    means <- emmeans(fit, "hybrid", lmer.df = if (task == "kr") "kenward-roger" else "satterthwaite")
    differences <- as.data.frame(summary(pairs(means, adjust = "none")))
  }
})[["elapsed"]]
cat(sprintf("seconds=%.4f\nminus2=%.10g\n", seconds, -2 * as.numeric(logLik(fit))))
if (with_pairs) cat(sprintf("sed12=%.10g\ndf12=%.10g\n", differences$SE[1], differences$df[1]))
