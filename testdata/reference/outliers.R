# Reference values for the tests of outliers, from R's quantiles of Student's t.
# Run in this folder: Rscript outliers.R
# - Grubbs (1969) on MASS::chem, 24 determinations of copper.
# - Generalised ESD, Rosner (1983), on MASS::abbey, 31 determinations of nickel.
suppressMessages(library(MASS))
num <- function(x) paste0("[", paste(sprintf("%.15g", x), collapse = ", "), "]")
critical <- function(n, p) { t <- qt(p, n - 2); (n - 1) * t / sqrt(n * (n - 2 + t^2)) }
farthest <- function(x) abs(x - mean(x)) / sd(x)

n <- length(chem)
grubbs <- paste0('{"values": ', num(chem), ', "index": ', which.max(farthest(chem)) - 1, ', "statistic": ', num(max(farthest(chem))),
  ', "twoSided": ', num(critical(n, 1 - 0.05 / (2 * n))), ', "oneSided": ', num(critical(n, 1 - 0.05 / n)), '}')

x <- abbey; at <- seq_along(x) - 1; statistic <- lambda <- index <- c()
for (i in 1:8) {
  d <- farthest(x); k <- which.max(d); m <- length(x)
  statistic <- c(statistic, d[k]); index <- c(index, at[k])
  lambda <- c(lambda, critical(m, 1 - 0.05 / (2 * m)))
  x <- x[-k]; at <- at[-k]
}
esd <- paste0('{"values": ', num(abbey), ', "statistic": ', num(statistic), ', "critical": ', num(lambda),
  ', "index": ', num(index), ', "outliers": ', max(c(0, which(statistic > lambda))), '}')
cat('{"version": "', R.version.string, ', MASS ', as.character(packageVersion("MASS")), '",\n"grubbs": ', grubbs, ',\n"esd": ', esd, "}\n", sep = "", file = "outliers.json")
