# Reference values for Estimate: Debian 12's r-cran-metafor.
#   Rscript metafor.R > metafor.json
# The first two are the package's own examples: the vaccine trials of Colditz et al.
# 1994 (JAMA 271:698-702) as log risk ratios, and log odds ratios of them.
suppressMessages(library(metafor))
cases <- list()
bcg <- escalc(measure = "RR", ai = tpos, bi = tneg, ci = cpos, di = cneg, data = dat.bcg)
cases[[1]] <- list(y = as.numeric(bcg$yi), v = as.numeric(bcg$vi))
bcg <- escalc(measure = "OR", ai = tpos, bi = tneg, ci = cpos, di = cneg, data = dat.bcg)
cases[[2]] <- list(y = as.numeric(bcg$yi), v = as.numeric(bcg$vi))
set.seed(20261130)
for (k in c(2, 3, 3, 4, 5, 6, 6, 10, 20)) for (tau in c(0, 3)) {
  v <- runif(k, 2, 5)^2
  cases[[length(cases) + 1]] <- list(y = rnorm(k, 45, sqrt(v + tau^2)), v = v)
}
num <- function(x) paste0("[", paste(sprintf("%.17g", x), collapse = ", "), "]")
rows <- sapply(cases, function(d) {
  m <- rma(d$y, d$v, method = "REML", test = "knha", control = list(threshold = 1e-12, maxiter = 1000))
  ci <- confint(m, control = list(tau2.max = 1e6, tol = 1e-12))$random["tau", ]
  sprintf('  {"values": %s,\n   "variances": %s,\n   "mean": %.12g, "sigma": %.12g, "low": %.12g, "high": %.12g, "spread": %.12g, "spread_low": %.12g, "spread_high": %.12g}',
    num(d$y), num(d$v), as.numeric(m$beta), m$se, m$ci.lb, m$ci.ub, sqrt(m$tau2), ci["ci.lb"], ci["ci.ub"])
})
cat("[\n", paste(rows, collapse = ",\n"), "\n]\n", sep = "")
