# Reference values for OfGroups: Debian 12's r-cran-metafor, each group with a mean of
# its own and one variance between occasions.
#   Rscript groups.R > groups.json
suppressMessages(library(metafor))
set.seed(20261201)
num <- function(x) paste0("[", paste(sprintf("%.17g", x), collapse = ", "), "]")
sizes <- list(c(1, 3), c(2, 2), c(3, 3), c(3, 3), c(6, 6), c(1, 1, 4), c(3, 2, 5), c(6, 3, 3, 1))
rows <- c()
for (s in sizes) for (tau in c(0, 3)) {
  g <- rep(seq_along(s), s)
  v <- runif(length(g), 2, 5)^2
  y <- rnorm(length(g), 40 + 3 * g, sqrt(v + tau^2))
  m <- rma(y, v, mods = ~ 0 + factor(g), method = "REML", test = "knha", control = list(threshold = 1e-12, maxiter = 1000))
  ci <- confint(m, control = list(tau2.max = 1e6, tol = 1e-12))$random["tau", ]
  rows <- c(rows, sprintf('  {"groups": %s, "values": %s,\n   "variances": %s,\n   "means": %s, "sigmas": %s, "spread": %.12g, "spread_low": %.12g, "spread_high": %.12g}',
    num(g), num(y), num(v), num(as.numeric(m$beta)), num(m$se), sqrt(m$tau2), ci["ci.lb"], ci["ci.ub"]))
}
cat("[\n", paste(rows, collapse = ",\n"), "\n]\n", sep = "")
