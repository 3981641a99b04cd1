# REML by dense matrices, for reference figures: slow, plain, and run until the score is nil. No package is used here.
#
# The model is y = X b + e, var(e) = V = sum theta_k K_k, theta_k >= 0. X has full rank.
# -2 REML log-likelihood = ln|V| + ln|X'V^-1X| + y'Py + (n - p) ln 2 pi.

# P, its companions and the -2 log-likelihood at theta; NULL where V is singular to working precision
reml_at <- function(problem, theta) tryCatch(reml_parts(problem, theta), error = function(e) NULL)

reml_parts <- function(problem, theta) {
  root <- chol(Reduce(`+`, Map(`*`, problem$K, theta)))
  Vi <- chol2inv(root)
  ViX <- Vi %*% problem$X
  root_x <- chol(crossprod(problem$X, ViX))
  Phi <- chol2inv(root_x)
  P <- Vi - ViX %*% Phi %*% t(ViX)
  Py <- drop(P %*% problem$y)
  minus2 <- 2 * sum(log(diag(root))) + 2 * sum(log(diag(root_x))) + sum(problem$y * Py) +
    (length(problem$y) - ncol(problem$X)) * log(2 * pi)
  list(Vi = Vi, ViX = ViX, Phi = Phi, P = P, Py = Py, beta = drop(Phi %*% crossprod(ViX, problem$y)), minus2 = minus2)
}

# gradient, observed and expected Hessian of the -2 log-likelihood
reml_slopes <- function(problem, at) {
  PK <- lapply(problem$K, function(K) at$P %*% K)
  KPy <- lapply(problem$K, function(K) drop(K %*% at$Py))
  trace <- function(A, B) sum(A * t(B))
  pairs <- function(f) outer(seq_along(PK), seq_along(PK), Vectorize(f))
  expected <- pairs(function(k, l) trace(PK[[k]], PK[[l]]))
  average <- pairs(function(k, l) sum(KPy[[k]] * (at$P %*% KPy[[l]])))
  list(gradient = mapply(function(A, f) sum(diag(A)) - sum(at$Py * f), PK, KPy), observed = 2 * average - expected, expected = expected)
}

# Newton from `theta` in the positive orthant: components at 0 that want to be below it stand still, the others go by the observed
# Hessian, or the expected one where that is not positive definite, shortened until the likelihood rises.
reml_from <- function(problem, theta) {
  at <- reml_at(problem, theta)
  for (iteration in 1:100) {
    slopes <- reml_slopes(problem, at)
    g <- slopes$gradient
    free <- theta > 0 | g < 0
    scale <- pmax(theta, 1e-3 * sum(theta))
    if (all(abs(g * scale)[free] < 1e-10)) break
    H <- slopes$observed[free, free, drop = FALSE]
    if (inherits(try(chol(H), silent = TRUE), "try-error")) H <- slopes$expected[free, free, drop = FALSE]
    step <- numeric(length(theta))
    step[free] <- -solve(H, g[free])
    size <- 1
    repeat {
      trial <- pmax(theta + size * step, 0)
      if (size < 1) trial[trial < 1e-12 * sum(theta)] <- 0
      next_at <- reml_at(problem, trial)
      if (!is.null(next_at) && next_at$minus2 <= at$minus2 + 1e-9) break # rounding of y'Py
      size <- size / 2
      if (size < 1e-12) break
    }
    if (size < 1e-12) break
    theta <- trial
    at <- next_at
  }
  c(at, slopes, list(theta = setNames(theta, names(problem$K)), score = max(abs(g * scale)[free]), iterations = iteration))
}

# the lowest of many starts; `spread` is how far apart the converged ones lie
reml_fit <- function(problem) {
  total <- var(problem$y)
  k <- length(problem$K)
  error <- grepl("^error", names(problem$K))
  starts <- c(lapply(c(0.02, 0.2, 1, 5), function(ratio) ifelse(error, 1, ratio) * total / (1 + ratio * sum(!error))),
              lapply(which(!error), function(large) ifelse(error, 0.2, ifelse(seq_len(k) == large, 1, 0.01)) * total))
  fits <- Filter(function(fit) fit$score < 1e-7, lapply(starts, reml_from, problem = problem))
  if (!length(fits)) stop("no start converged")
  minus2 <- sapply(fits, `[[`, "minus2")
  best <- fits[[which.min(minus2)]]
  best$optima <- minus2
  best
}

# one row a contrast (rows of L): estimate, SE, SE by Kenward & Roger 1997, df by Satterthwaite (observed information) and by Kenward-Roger
reml_contrasts <- function(problem, fit, L) {
  adjusted <- kenward_roger(problem, fit)
  W <- solve(fit$observed / 2)
  variance <- rowSums((L %*% fit$Phi) * L)
  slope <- sapply(adjusted$P, function(P) -rowSums((L %*% fit$Phi %*% P %*% fit$Phi) * L))
  slope <- matrix(slope, nrow(L))
  df <- function(W) 2 * variance^2 / rowSums((slope %*% W) * slope)
  cbind(estimate = drop(L %*% fit$beta), se = sqrt(variance), se_kr = sqrt(rowSums((L %*% adjusted$Phi) * L)),
        df_satterthwaite = df(W), df_kr = df(adjusted$W))
}

# adjusted covariance matrix, P_k and the inverse expected information of Kenward & Roger 1997 (V linear in theta)
kenward_roger <- function(problem, fit) {
  W <- solve(fit$expected / 2)
  KViX <- lapply(problem$K, function(K) K %*% fit$ViX)
  P <- lapply(KViX, function(A) -crossprod(fit$ViX, A))
  extra <- 0
  for (k in seq_along(P)) for (l in seq_along(P))
    extra <- extra + W[k, l] * (crossprod(KViX[[k]], fit$Vi %*% KViX[[l]]) - P[[k]] %*% fit$Phi %*% P[[l]])
  list(W = W, P = P, Phi = fit$Phi + 2 * fit$Phi %*% extra %*% fit$Phi)
}

# Kenward-Roger F of L b = 0
kenward_roger_f <- function(problem, fit, L) {
  adjusted <- kenward_roger(problem, fit)
  q <- nrow(L)
  Theta <- t(L) %*% solve(L %*% fit$Phi %*% t(L), L)
  B <- lapply(adjusted$P, function(P) Theta %*% fit$Phi %*% P %*% fit$Phi)
  A1 <- A2 <- 0
  for (k in seq_along(B)) for (l in seq_along(B)) {
    A1 <- A1 + adjusted$W[k, l] * sum(diag(B[[k]])) * sum(diag(B[[l]]))
    A2 <- A2 + adjusted$W[k, l] * sum(B[[k]] * t(B[[l]]))
  }
  b <- (A1 + 6 * A2) / (2 * q)
  g <- ((q + 1) * A1 - (q + 4) * A2) / ((q + 2) * A2)
  d <- 3 * q + 2 * (1 - g)
  mean <- 1 / (1 - A2 / q)
  variance <- 2 / q * (1 + g / d * b) / ((1 - (q - g) / d * b)^2 * (1 - (q + 2 - g) / d * b))
  rho <- variance / (2 * mean^2)
  m <- 4 + (q + 2) / (q * rho - 1)
  estimate <- L %*% fit$beta
  f <- m / (mean * (m - 2)) / q * drop(t(estimate) %*% solve(L %*% adjusted$Phi %*% t(L), estimate))
  c(F = f, ndf = q, ddf = m, p = pf(f, q, m, lower.tail = FALSE))
}
