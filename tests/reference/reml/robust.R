# Stored results of awkward data sets: what the mixed model must find without R at hand.
#
#     Rscript robust.R DIR      in this folder; DIR: the 150 sets of tests/bench/robust.R and their ref.txt. Writes robust.txt
#
# Fits every set by dense.R, stops unless all agree with lme4's best, and writes those of `stored`; SOURCE.md describes the lines.
source("dense.R")

models <- c("fixed", "random", "environments-fixed")
# the smallest and the largest, three and four components at zero, none at zero, and those on which a careless step sticks
stored <- list(
  r003 = "random",
  r005 = "environments-fixed",
  r007 = "environments-fixed",
  r008 = models,
  r010 = "environments-fixed",
  r012 = "random",
  r013 = "random",
  r016 = "environments-fixed",
  r022 = "environments-fixed",
  r027 = "fixed",
  r034 = "random",
  r040 = "fixed",
  r063 = "environments-fixed",
  r066 = "random",
  r074 = c("fixed", "random"),
  r083 = "random",
  r086 = c("environments-fixed", "random"),
  r089 = "random",
  r103 = models,
  r104 = "random",
  r113 = "fixed",
  r118 = c("fixed", "random"),
  r119 = "random",
  r120 = "fixed",
  r129 = "random",
  r135 = "environments-fixed",
  r140 = models,
  r145 = models,
  r147 = "random")

same <- function(...) {
  level <- paste(...)
  outer(level, level, `==`) + 0
}

problem_of <- function(plots, blocks, model) {
  K <- with(plots, list(environment = same(location), `rep-in-environment` = same(location, rep), `block-in-rep` = same(location, rep, block),
                        `hybrid-x-environment` = same(location, hybrid), hybrid = same(hybrid), error = diag(length(yield))))
  if (model == "environments-fixed") K$environment <- NULL
  if (model != "random") K$hybrid <- NULL
  if (!blocks) K$`block-in-rep` <- NULL
  fixed <- list(fixed = ~ hybrid, random = ~ 1, `environments-fixed` = ~ hybrid + location)[[model]]
  list(y = plots$yield, X = model.matrix(fixed, plots), K = K)
}

# one row a fit: how far it is from lme4's and from its own other starts, and how many components are zero
fit_set <- function(name, plots, blocks, reference) {
  lines <- c(paste("set", name, nrow(plots), blocks),
             paste(plots$location, plots$rep, plots$block, plots$hybrid, sprintf("%.4f", plots$yield)))
  told <- NULL
  for (model in models) {
    fit <- reml_fit(problem_of(plots, blocks == 1, model))
    told <- rbind(told, c(max(abs(fit$optima - reference[[model]])), sum(fit$theta == 0)))
    if (model %in% stored[[name]])
      lines <- c(lines, sprintf("fit %s %.10f", model, fit$minus2),
                 paste("component", names(fit$theta), ifelse(fit$theta > 0, sprintf("%.10g", fit$theta), "0")))
  }
  list(lines = if (name %in% names(stored)) lines, told = told)
}

main <- function(folder) {
  sets <- read.table(file.path(folder, "ref.txt"), col.names = c("set", "plots", "blocks", models), check.names = FALSE)
  fitted <- lapply(seq_len(nrow(sets)), function(i) {
    fit_set(sets$set[i], read.csv(file.path(folder, paste0(sets$set[i], ".csv"))), sets$blocks[i], sets[i, models])
  })
  told <- do.call(rbind, lapply(fitted, `[[`, "told"))
  message(sprintf("fits %d, with a zero component %d, largest difference from lme4 %.1e", nrow(told), sum(told[, 2] > 0), max(told[, 1])))
  stopifnot(told[, 1] < 1e-8)
  writeLines(unlist(lapply(fitted, `[[`, "lines")), "robust.txt")
}

main(commandArgs(TRUE)[1])
