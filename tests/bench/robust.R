# Awkward data sets for the mixed model, and what lme4 makes of each.
#
#     Rscript tests/bench/robust.R DIR COUNT
#
# Writes DIR/r001.csv and so on (location,rep,block,hybrid,yield) and DIR/ref.txt, a line a set:
#
#     r001 PLOTS BLOCKS FIXED RANDOM ENVIRONMENTS-FIXED
#
# BLOCKS is 1 when there are blocks inside reps; the rest are -2 REML log-likelihoods of three models, NA when lme4 gave none. Seed 7.
# The sets are small, with cells empty, plots lost and variances often zero, so that many an estimate lies on its bound.
suppressMessages(library(lme4))

models <- c(fixed = "yield ~ hybrid + (1 | location)",
            random = "yield ~ (1 | hybrid) + (1 | location)",
            environments_fixed = "yield ~ hybrid + location")
variances <- c(0, 0.05, 0.5, 3) # of every term alike; the error's is 1
tight <- lmerControl(optimizer = "bobyqa", optCtrl = list(rhoend = 1e-9, maxfun = 20000), calc.derivs = FALSE,
                     check.conv.singular = "ignore", check.rankX = "silent.drop.cols")

# One trial: what is drawn, and in which order, decides the sets of a seed.
draw_plots <- function() {
  hybrids <- sample(4:15, 1)
  places <- sample(2:6, 1)
  reps <- sample(2:3, 1)
  block_size <- sample(c(0, 3, 4), 1)
  variance <- setNames(sample(variances, 5, TRUE), c("location", "in_rep", "in_block", "cell", "hybrid"))
  if (block_size == 0) variance["in_block"] <- 0

  grown <- lapply(seq_len(places), function(place) {
    present <- which(runif(hybrids) > 0.25)
    if (length(present) < 3) 1:3 else present
  })
  one_rep <- function(place, rep) {
    size <- length(grown[[place]])
    block <- if (block_size == 0) 1 else rep_len(seq_len(ceiling(size / block_size)), size)[sample(size)]
    data.frame(location = paste0("L", place), rep = rep, block = block, hybrid = sprintf("H%02d", grown[[place]]))
  }
  plots <- expand.grid(rep = seq_len(reps), place = seq_len(places))
  plots <- do.call(rbind, Map(one_rep, plots$place, plots$rep))
  plots <- add_terms(plots[runif(nrow(plots)) > 0.05, ])

  effects <- lapply(names(variance), function(term) {
    rnorm(nlevels(plots[[term]]), 0, sqrt(variance[[term]]))[plots[[term]]]
  })
  plots$yield <- round(10 + Reduce(`+`, effects) + rnorm(nrow(plots)), 4)
  plots
}

add_terms <- function(plots) {
  plots$location <- factor(plots$location)
  plots$hybrid <- factor(plots$hybrid)
  plots$in_rep <- factor(paste(plots$location, plots$rep))
  plots$in_block <- factor(paste(plots$location, plots$rep, plots$block))
  plots$cell <- factor(paste(plots$location, plots$hybrid))
  plots
}

has_blocks <- function(plots) nlevels(plots$in_block) > nlevels(plots$in_rep)

# Whether cell and block can be told from the error at all.
can_be_fitted <- function(plots) {
  cells <- nlevels(plots$cell)
  max(table(plots$cell)) > 1 && cells < nrow(plots) - 2 && !(has_blocks(plots) && nlevels(plots$in_block) >= nrow(plots))
}

# -2 REML log-likelihood, the lowest of three starts: lme4's own and every ratio of standard deviations .1 or 3.
lowest <- function(model, plots) {
  inside <- c("(1 | in_rep)", if (has_blocks(plots)) "(1 | in_block)", "(1 | cell)")
  formula <- as.formula(paste(c(model, inside), collapse = " + "))
  from <- function(ratio) {
    start <- if (!is.na(ratio)) rep(ratio, length(lFormula(formula, plots, control = tight)$reTrms$theta))
    -2 * as.numeric(logLik(lmer(formula, plots, control = tight, start = start)))
  }
  found <- sapply(c(NA, 0.1, 3), function(ratio) {
    tryCatch(suppressWarnings(suppressMessages(from(ratio))), error = function(e) NA)
  })
  if (all(is.na(found))) NA else min(found, na.rm = TRUE)
}

main <- function(folder, count) {
  dir.create(folder, showWarnings = FALSE, recursive = TRUE)
  set.seed(7)
  lines <- character(count)
  for (i in seq_len(count)) {
    repeat if (can_be_fitted(plots <- draw_plots())) break
    name <- sprintf("r%03d", i)
    write.csv(plots[c("location", "rep", "block", "hybrid", "yield")], file.path(folder, paste0(name, ".csv")),
              row.names = FALSE, quote = FALSE)
    minus2 <- vapply(models, lowest, 0, plots)
    lines[i] <- paste(name, nrow(plots), as.integer(has_blocks(plots)), paste(sprintf("%.9f", minus2), collapse = " "))
  }
  writeLines(lines, file.path(folder, "ref.txt")) # last: where it stands, the sets are complete
}

arguments <- commandArgs(TRUE)
if (length(arguments) != 2) stop("usage: Rscript tests/bench/robust.R DIR COUNT")
main(arguments[1], as.integer(arguments[2]))
