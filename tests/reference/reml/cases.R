# Reference figures of every case, to the last digit that is worth having.
#
#     Rscript cases.R      in this folder, after simulate.R: writes cases.txt; SOURCE.md says what stands in it
#
# The optimum is found by dense.R. Then lme4 is built at that optimum, and means, SEs and df come from emmeans, pbkrtest and lmerTest,
# beside what dense.R makes of them. A component at zero is left out of the model that they see.
suppressMessages({
  library(lmerTest)
  library(emmeans)
  library(nlme)
})
source("dense.R")

# name, data, what hybrids and environments and reps are, random terms besides, error: one or one an environment
inside <- c("rep-in-environment", "hybrid-x-environment")
crossed <- c("hybrid-x-location", "hybrid-x-year", inside)
in_blocks <- c(inside, "block-in-rep")
cases <- list(
  list("years-fixed-fixed", "years", hybrid = "fixed", environment = "fixed", terms = crossed),
  list("years-fixed-random", "years", hybrid = "fixed", environment = "random", terms = crossed),
  list("years-random-fixed", "years", hybrid = "random", environment = "fixed", terms = crossed),
  list("years-random-random", "years", hybrid = "random", environment = "random", terms = crossed),
  list("nolocation-fixed-fixed", "years_no_location", hybrid = "fixed", environment = "fixed", terms = crossed),
  list("nolocation-fixed-random", "years_no_location", hybrid = "fixed", environment = "random", terms = crossed),
  list("nolocation-random-random", "years_no_location", hybrid = "random", environment = "random", terms = crossed),
  list("norep-fixed-fixed", "no_rep", hybrid = "fixed", environment = "fixed", terms = inside),
  list("norep-fixed-random", "no_rep", hybrid = "fixed", environment = "random", terms = inside),
  list("blocks", "blocks", hybrid = "fixed", environment = "none", rep = "fixed", terms = "block-in-rep"),
  list("noblock", "no_block", hybrid = "fixed", environment = "none", rep = "fixed", terms = "block-in-rep"),
  list("augmented", "augmented", hybrid = "fixed", environment = "none", terms = "block-in-rep"),
  list("errors-fixed-fixed", "errors", hybrid = "fixed", environment = "fixed", terms = inside, error = "environment"),
  list("errors-fixed-random", "errors", hybrid = "fixed", environment = "random", terms = inside, error = "environment"),
  list("n40-fixed-fixed", "n40", hybrid = "fixed", environment = "fixed", terms = inside),
  list("n40-fixed-random", "n40", hybrid = "fixed", environment = "random", terms = inside),
  list("n40-random-random", "n40", hybrid = "random", environment = "random", terms = inside),
  list("n400-fixed-fixed", "n400", hybrid = "fixed", environment = "fixed", terms = in_blocks),
  list("n400-fixed-random", "n400", hybrid = "fixed", environment = "random", terms = in_blocks),
  list("n400-random-random", "n400", hybrid = "random", environment = "random", terms = in_blocks),
  list("n400z-fixed-fixed", "n400z", hybrid = "fixed", environment = "fixed", terms = in_blocks),
  list("n400z-fixed-random", "n400z", hybrid = "fixed", environment = "random", terms = in_blocks),
  list("n400z-random-random", "n400z", hybrid = "random", environment = "random", terms = in_blocks))
many_hybrids <- 12 # beyond it only pairs with the first hybrid are written, unless the case is small

read_plots <- function(name) {
  plots <- read.csv(paste0(name, ".csv"))
  for (column in setdiff(c("year", "location", "rep", "block"), names(plots))) plots[[column]] <- 1
  within(plots, {
    hybrid <- factor(hybrid)
    environment <- factor(paste(location, year))
    rep_in_environment <- factor(paste(environment, rep))
    block_in_rep <- factor(paste(environment, rep, block))
    hybrid_x_environment <- factor(paste(hybrid, environment))
    hybrid_x_location <- factor(paste(hybrid, location))
    hybrid_x_year <- factor(paste(hybrid, year))
    rep <- factor(rep)
  })
}

fixed_part <- function(case) c(if (case$hybrid == "fixed") "hybrid", if (case$environment == "fixed") "environment",
                               if (identical(case$rep, "fixed")) "rep", "1")
random_part <- function(case) c(if (case$hybrid == "random") "hybrid", if (case$environment == "random") "environment", case$terms)
column_of <- function(term) gsub("-", "_", term)
formula_of <- function(case, terms = character()) {
  as.formula(paste("yield ~", paste(c(fixed_part(case), sprintf("(1 | %s)", column_of(terms))), collapse = " + ")))
}

problem_of <- function(case, plots, terms = random_part(case)) {
  K <- lapply(setNames(terms, terms), function(term) outer(plots[[column_of(term)]], plots[[column_of(term)]], `==`) + 0)
  if (is.null(case$error)) K$error <- diag(nrow(plots))
  else for (place in unique(plots$location)) K[[paste0("error:", place)]] <- diag(as.numeric(plots$location == place))
  list(y = plots$yield, X = model.matrix(formula_of(case), plots), K = K)
}

# rows that make adjusted means from the fixed part: every other factor's levels with equal weight
mean_rows <- function(case, plots, X) {
  rows <- matrix(0, nlevels(plots$hybrid), ncol(X), dimnames = list(levels(plots$hybrid), colnames(X)))
  rows[, "(Intercept)"] <- 1
  for (factor in setdiff(fixed_part(case), c("hybrid", "1")))
    rows[, startsWith(colnames(X), factor)] <- 1 / nlevels(plots[[factor]])
  if (case$hybrid == "fixed") for (name in levels(plots$hybrid)[-1]) rows[name, paste0("hybrid", name)] <- 1
  rows
}

pair_index <- function(count, all) {
  index <- t(combn(count, 2))
  if (all) index else index[index[, 1] == 1, , drop = FALSE]
}

# lme4 at the optimum of `fit`, or where it finds its own from `start`
at_optimum <- function(case, plots, terms, fit) {
  formula <- formula_of(case, terms)
  named <- sqrt(fit$theta[terms] / fit$theta[["error"]])
  ratios <- unname(named[match(names(lFormula(formula, plots)$reTrms$cnms), column_of(terms))])
  stay <- function(fn, par, lower, upper, control) list(par = ratios, fval = fn(ratios), conv = 0, feval = 1, message = "given")
  control <- lmerControl(optimizer = stay, calc.derivs = FALSE, check.conv.grad = "ignore", check.conv.singular = "ignore")
  # the model's call is evaluated again by lmerTest: what it needs goes in as values
  eval(bquote(lmerTest::lmer(.(formula), plots, control = control)))
}
own_optimum <- function(case, plots, terms) {
  control <- lmerControl(optimizer = "bobyqa", optCtrl = list(rhoend = 1e-9, maxfun = 20000), calc.derivs = FALSE,
                         check.conv.singular = "ignore")
  min(sapply(c(0.1, 1, 3), function(ratio) {
    -2 * as.numeric(logLik(lme4::lmer(formula_of(case, terms), plots, control = control, start = rep(ratio, length(terms)))))
  }))
}

out <- file("cases.txt", "w")
say <- function(case, key, ...) writeLines(paste(case[[1]], key, paste(..., collapse = " ")), out)
digits <- function(x) paste(sprintf("%.12g", x), collapse = " ")
apart <- function(a, b) sprintf("%.1e", max(abs(a / b - 1)))

say_f_agreement <- function(case, own, theirs) {
  say(case, "agreement F", apart(own[1], theirs[1]))
  say(case, "agreement ddf", apart(own[3], theirs[3]))
}

say_hybrids_fixed <- function(case, plots, terms, problem, fit) {
  rows <- mean_rows(case, plots, problem$X)
  pairs <- pair_index(nrow(rows), nrow(rows) <= many_hybrids || nrow(plots) < 100)
  own_means <- reml_contrasts(problem, fit, rows)
  own_pairs <- reml_contrasts(problem, fit, rows[pairs[, 1], ] - rows[pairs[, 2], ])
  tested <- diag(ncol(rows))[startsWith(colnames(rows), "hybrid"), ]
  own_f <- kenward_roger_f(problem, fit, tested)
  means <- own_means
  differences <- own_pairs
  f <- own_f
  if (is.null(case$error) && length(terms)) {
    model <- at_optimum(case, plots, terms, fit)
    say(case, "agreement minus2-at-optimum", sprintf("%.1e", -2 * as.numeric(logLik(model)) - fit$minus2))
    by <- function(df) {
      grid <- emmeans(model, "hybrid", lmer.df = df, weights = "equal")
      two <- as.data.frame(summary(pairs(grid, adjust = "none")))
      index <- pair_index(nrow(rows), TRUE)
      two <- two[match(paste(pairs[, 1], pairs[, 2]), paste(index[, 1], index[, 2])), ]
      list(one = as.data.frame(summary(grid)), two = two)
    }
    satterthwaite <- by("satterthwaite")
    kr <- by("kenward-roger")
    columns <- function(s, k, value) cbind(s[[value]], s$SE, k$SE, s$df, k$df)
    means <- columns(satterthwaite$one, kr$one, "emmean")
    differences <- columns(satterthwaite$two, kr$two, "estimate")
    test <- contestMD(model, tested, ddf = "Kenward-Roger")
    f <- unlist(test[c("F value", "NumDF", "DenDF", "Pr(>F)")])
    say(case, "agreement estimate", apart(own_means[, 1], means[, 1]))
    for (k in 2:5) say(case, "agreement", colnames(own_means)[k], apart(rbind(own_means, own_pairs)[, k], rbind(means, differences)[, k]))
    say_f_agreement(case, own_f, f)
  } else if (is.null(case$error)) {
    model <- lm(formula_of(case), plots)
    grid <- emmeans(model, "hybrid", weights = "equal")
    one <- as.data.frame(summary(grid))
    two <- as.data.frame(summary(pairs(grid, adjust = "none")))
    means <- cbind(one$emmean, one$SE, one$SE, one$df, one$df)
    differences <- cbind(two$estimate, two$SE, two$SE, two$df, two$df)
    test <- drop1(model, . ~ ., test = "F")
    f <- c(test["hybrid", "F value"], test["hybrid", "Df"], model$df.residual, test["hybrid", "Pr(>F)"])
    for (k in 1:5) say(case, "agreement", colnames(own_means)[k], apart(rbind(own_means, own_pairs)[, k], rbind(means, differences)[, k]))
    say_f_agreement(case, own_f, f)
  }
  say(case, "F", digits(f))
  for (i in seq_len(nrow(rows))) say(case, "mean", rownames(rows)[i], digits(means[i, ]))
  for (i in seq_len(nrow(pairs))) say(case, "pair", rownames(rows)[pairs[i, 1]], rownames(rows)[pairs[i, 2]], digits(differences[i, ]))
}

# shrunken means: general mean (environments with equal weight) + BLUP, and the prediction error of both together
say_hybrids_random <- function(case, plots, terms, problem, fit) {
  Z <- model.matrix(~ 0 + hybrid, plots)
  variance <- fit$theta[["hybrid"]]
  row <- mean_rows(case, plots, problem$X)
  effect <- drop(variance * crossprod(Z, fit$Py))
  colnames(Z) <- levels(plots$hybrid)
  pev <- diag(ncol(Z)) * variance - variance^2 * crossprod(Z, fit$P %*% Z)
  shared <- -row %*% fit$Phi %*% crossprod(fit$ViX, Z) * variance # covariance of the fixed part's error with each BLUP's
  total <- row %*% fit$Phi %*% t(row) + shared + t(shared) + pev
  pairs <- pair_index(ncol(Z), ncol(Z) <= many_hybrids)
  sed <- sqrt(diag(pev)[pairs[, 1]] + diag(pev)[pairs[, 2]] - 2 * pev[pairs])
  model <- at_optimum(case, plots, terms, fit)
  say(case, "agreement minus2-at-optimum", sprintf("%.1e", -2 * as.numeric(logLik(model)) - fit$minus2))
  say(case, "agreement blup", sprintf("%.1e", max(abs(ranef(model)$hybrid[, 1] - effect))))
  general <- drop(row[1, ] %*% fit$beta)
  say(case, "agreement general-mean", apart(drop(row[1, ] %*% fixef(model)), general))
  say(case, "general-mean", digits(c(general, sqrt(row[1, ] %*% fit$Phi %*% row[1, ]))))
  for (i in seq_len(ncol(Z)))
    say(case, "mean", colnames(pev)[i], digits(c(general + effect[i], sqrt(total[i, i]), 1 - pev[i, i] / variance)))
  for (i in seq_len(nrow(pairs)))
    say(case, "pair", colnames(pev)[pairs[i, 1]], colnames(pev)[pairs[i, 2]], digits(c(effect[pairs[i, 1]] - effect[pairs[i, 2]], sed[i])))
  half <- (sum(diag(pev)) * ncol(Z) - sum(pev)) / (ncol(Z) * (ncol(Z) - 1)) # half the mean variance of a difference
  say(case, "repeatability", digits(1 - half / variance))
}

# what nlme makes of an error variance of each environment's own
say_nlme <- function(case, plots, fit) {
  parts <- c(if (case$environment == "random") list(pdIdent(~1)), list(pdIdent(~ rep - 1), pdIdent(~ hybrid - 1)))
  model <- do.call(lme, list(formula_of(case), plots, random = list(environment = pdBlocked(parts)), method = "REML",
                             weights = varIdent(form = ~ 1 | environment),
                             control = lmeControl(opt = "nlminb", maxIter = 500, msMaxIter = 500, msMaxEval = 20000, niterEM = 5,
                                                  tolerance = 1e-9, msTol = 1e-12)))
  variance <- diag(as.matrix(model$modelStruct$reStruct[[1]])) * model$sigma^2
  names <- c(if (case$environment == "random") "environment", "rep-in-environment", "hybrid-x-environment")
  values <- c(if (case$environment == "random") variance[1], variance[1 + (case$environment == "random")], tail(variance, 1))
  weights <- coef(model$modelStruct$varStruct, unconstrained = FALSE, allCoef = TRUE)
  errors <- model$sigma^2 * weights^2
  theirs <- c(setNames(values, names), setNames(errors, paste0("error:", sub(" .*", "", base::names(weights)))))
  say(case, "agreement nlme-minus2", sprintf("%.1e", -2 * as.numeric(logLik(model)) - fit$minus2))
  say(case, "agreement nlme-components", apart(theirs[base::names(fit$theta)], fit$theta))
  grid <- summary(suppressWarnings(emmeans(model, "hybrid", weights = "equal", mode = "asymptotic", data = plots)))
  rows <- mean_rows(case, plots, model.matrix(formula_of(case), plots))
  say(case, "agreement nlme-means", apart(grid$emmean, drop(rows %*% fit$beta)))
  say(case, "agreement nlme-se", apart(grid$SE, sqrt(rowSums((rows %*% fit$Phi) * rows))))
}

for (case in cases) {
  message(case[[1]])
  plots <- read_plots(case[[2]])
  full <- reml_fit(problem_of(case, plots))
  terms <- random_part(case)[full$theta[random_part(case)] > 0]
  problem <- problem_of(case, plots, terms)
  fit <- reml_from(problem, full$theta[names(problem$K)])
  stopifnot(abs(fit$minus2 - full$minus2) < 1e-9, fit$score < 1e-7)
  say(case, "data", paste0(case[[2]], ".csv"))
  say(case, "model hybrid", case$hybrid, "environment", case$environment, "rep",
      if (identical(case$rep, "fixed")) "fixed" else if ("rep-in-environment" %in% case$terms) "random" else "none",
      "error", if (is.null(case$error)) "one" else case$error)
  say(case, "plots", nrow(plots), "rank", ncol(problem$X))
  say(case, "minus2", sprintf("%.10f", fit$minus2))
  for (name in names(full$theta)) say(case, "component", name, if (full$theta[[name]] > 0) digits(fit$theta[[name]]) else "0")
  for (name in names(full$theta)[full$theta == 0]) say(case, "gradient-at-zero", name, digits(full$gradient[names(full$theta) == name]))
  say(case, "agreement starts", length(full$optima))
  say(case, "agreement spread", sprintf("%.1e", diff(range(full$optima))))
  say(case, "agreement score", sprintf("%.1e", fit$score))
  if (is.null(case$error) && length(terms))
    say(case, "agreement lme4-minus2", sprintf("%.1e", own_optimum(case, plots, random_part(case)) - fit$minus2))
  if (!is.null(case$error)) say_nlme(case, plots, fit)
  (if (case$hybrid == "fixed") say_hybrids_fixed else say_hybrids_random)(case, plots, terms, problem, fit)
}
close(out)
