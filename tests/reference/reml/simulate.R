# The data of cases.txt, drawn from fixed seeds.
#
#     Rscript simulate.R      in this folder: writes CASE.csv
#
# Hybrids and places are invented. Figures are in bu/ac.
places <- c("Alderfen", "Bramholt", "Corrow", "Dunmere", "Elmscar")

# yields of `plots` (rep and block within a place and year): `variance` of each term by name, `error` one or one a place
draw_yield <- function(plots, variance, error, mean = 150) {
  terms <- with(plots, list(environment = paste(location, year), rep = paste(location, year, rep),
                            block = paste(location, year, rep, block), hybrid = hybrid, hybrid_location = paste(hybrid, location),
                            hybrid_year = paste(hybrid, year), hybrid_environment = paste(hybrid, location, year)))
  total <- mean
  for (name in names(variance)) {
    level <- factor(terms[[name]])
    total <- total + rnorm(nlevels(level), 0, sqrt(variance[[name]]))[level]
  }
  spread <- if (length(error) == 1) error else error[match(plots$location, unique(plots$location))]
  plots$yield <- sprintf("%.1f", total + rnorm(nrow(plots), 0, sqrt(spread)))
  plots
}

hybrid_names <- function(count) sprintf("H%02d", seq_len(count))

# every hybrid in every rep of every place and year, then cells left out and plots lost at random
series <- function(years, locations, reps, hybrids, empty, lost) {
  plots <- expand.grid(hybrid = hybrid_names(hybrids), rep = seq_len(reps), block = 1, location = places[seq_len(locations)],
                       year = years, stringsAsFactors = FALSE)
  cell <- factor(paste(plots$hybrid, plots$location, plots$year))
  plots <- plots[!(cell %in% sample(levels(cell), round(empty * nlevels(cell)))), ]
  plots[!(seq_len(nrow(plots)) %in% sample(nrow(plots), lost)), ]
}

# reps cut into blocks of `size`, hybrids at random in each
blocks <- function(reps, hybrids, size, lost) {
  one <- function(rep) {
    data.frame(location = places[1], year = 2021, rep = rep, block = rep(seq_len(hybrids / size), each = size),
               hybrid = hybrid_names(hybrids)[sample(hybrids)])
  }
  plots <- do.call(rbind, lapply(seq_len(reps), one))
  plots[!(seq_len(nrow(plots)) %in% sample(nrow(plots), lost)), ]
}

# entries once, checks (the last names) in every block
augmented <- function(entries, checks, blocks) {
  names <- hybrid_names(entries + checks)
  one <- function(block, own) data.frame(location = places[1], year = 2021, rep = 1, block = block, hybrid = c(own, tail(names, checks)))
  do.call(rbind, Map(one, seq_len(blocks), split(sample(names[seq_len(entries)]), rep_len(seq_len(blocks), entries))))
}

# The sets that speed is measured on too: rep, block, interaction and an error variance of each place's own; a fifth of the cells empty, a
# hundredth of the plots lost. Effects are drawn place by place, so that the order of draws belongs to the set.
timed <- function(hybrids, places, reps, block_size, variance) {
  hybrid_effect <- rnorm(hybrids, 0, 1)
  place_effect <- rnorm(places, 0, 2)
  error <- 1.5 * exp(rnorm(places, 0, 0.4))
  at_place <- function(place) {
    grown <- which(runif(hybrids) > 0.2)
    count <- length(grown)
    interaction <- rnorm(count, 0, sqrt(variance[["interaction"]]))
    one_rep <- function(rep) {
      order <- sample.int(count)
      number <- if (block_size > 0) ceiling(count / block_size) else 1
      block <- if (block_size > 0) rep_len(seq_len(number), count)[order(runif(count))] else rep_len(1, count)
      rep_effect <- rnorm(1, 0, sqrt(variance[["rep"]]))
      block_effect <- rnorm(number, 0, sqrt(variance[["block"]]))
      yield <- 9 + hybrid_effect[grown] + place_effect[place] + rep_effect + block_effect[block] + interaction +
        rnorm(count, 0, sqrt(error[place]))
      data.frame(location = sprintf("L%02d", place), rep = rep, block = block, hybrid = hybrid_names(hybrids)[grown],
                 yield = sprintf("%.4f", yield))[order, ]
    }
    do.call(rbind, lapply(seq_len(reps), one_rep))
  }
  plots <- do.call(rbind, lapply(seq_len(places), at_place))
  plots[runif(nrow(plots)) > 0.01, ]
}

store <- function(case, seed, columns, draw) {
  set.seed(seed)
  write.csv(draw()[columns], paste0(case, ".csv"), row.names = FALSE, quote = FALSE)
}

over_years <- c("year", "location", "rep", "hybrid", "yield")
over_places <- over_years[-1]
one_place <- c("rep", "block", "hybrid", "yield")
store("years", 3, over_years, function() {
  draw_yield(series(2021:2023, 4, 2, 8, 0.15, 3),
             c(environment = 300, rep = 15, hybrid = 60, hybrid_location = 40, hybrid_year = 30, hybrid_environment = 30), 30)
})
store("years_no_location", 12, over_years, function() {
  draw_yield(series(2021:2023, 4, 2, 8, 0.15, 3),
             c(environment = 300, rep = 15, hybrid = 60, hybrid_year = 30, hybrid_environment = 40), 30)
})
store("no_rep", 5, over_places, function() {
  draw_yield(series(2021, 5, 3, 10, 0.2, 4), c(environment = 300, hybrid = 50, hybrid_environment = 30), 40)
})
store("blocks", 6, one_place, function() draw_yield(blocks(3, 12, 4, 3), c(rep = 20, block = 40, hybrid = 50), 30))
store("no_block", 4, one_place, function() draw_yield(blocks(3, 12, 4, 3), c(rep = 20, hybrid = 50), 30))
store("errors", 4, over_places, function() {
  draw_yield(series(2021, 4, 3, 8, 0.1, 2), c(environment = 300, rep = 15, hybrid = 50, hybrid_environment = 25), c(10, 25, 60, 120))
})
store("augmented", 6, one_place[-1], function() draw_yield(augmented(24, 3, 6), c(block = 40, hybrid = 60), 25))
store("n40", 20241, c("location", "rep", "hybrid", "yield"), function() timed(5, 4, 2, 0, c(rep = 0.3, block = 0, interaction = 0.8)))
with_blocks <- c("location", "rep", "block", "hybrid", "yield")
store("n400", 20242, with_blocks, function() timed(20, 10, 2, 5, c(rep = 0.3, block = 0.4, interaction = 0.8)))
store("n400z", 20249, with_blocks, function() timed(20, 10, 2, 5, c(rep = 0.05, block = 0, interaction = 0)))
