# Reference values for the overlap of the sexes: posteriors of MASS's qda with
# equal priors, the overlap of the two normal densities by integrate, and 95 %
# intervals by a parametric bootstrap, on the crabs of MASS (Campbell and Mahon
# 1974). Run in this folder: Rscript overlap.R
suppressMessages(library(MASS))
set.seed(3)
num <- function(x) paste0("[", paste(sprintf("%.15g", x), collapse = ", "), "]")
area <- function(m1, s1, m2, s2) {
  lower <- function(x) pmin(dnorm(x, m1, s1), dnorm(x, m2, s2))
  at <- sort(c(m1, m2)); wide <- 12 * max(s1, s2)
  integrate(lower, at[1] - wide, at[1], rel.tol = 1e-11, subdivisions = 2000)$value + integrate(lower, at[1], at[2], rel.tol = 1e-11, subdivisions = 2000)$value +
    integrate(lower, at[2], at[2] + wide, rel.tol = 1e-11, subdivisions = 2000)$value
}
quick <- function(m1, s1, m2, s2) { x <- seq(min(m1, m2) - 6 * max(s1, s2), max(m1, m2) + 6 * max(s1, s2), length.out = 2001); sum(pmin(dnorm(x, m1, s1), dnorm(x, m2, s2))) * (x[2] - x[1]) }
case <- function(f, m) {
  d <- data.frame(x = c(f, m), g = factor(rep(c("F", "M"), c(length(f), length(m)))))
  q <- qda(g ~ x, d, prior = c(0.5, 0.5))
  at <- as.numeric(quantile(d$x, c(0.1, 0.3, 0.5, 0.7, 0.9)))
  p <- predict(q, data.frame(x = at))$posterior[, "F"]
  draw <- function(v) { r <- rnorm(length(v), mean(v), sd(v)); c(mean(r), sd(r)) }
  boot <- replicate(20000, { a <- draw(f); b <- draw(m); l <- dnorm(at, a[1], a[2]); l / (l + dnorm(at, b[1], b[2])) })
  ends <- apply(boot, 1, quantile, c(0.025, 0.975))
  over <- replicate(4000, { a <- draw(f); b <- draw(m); quick(a[1], a[2], b[1], b[2]) })
  paste0('{"female": ', num(f), ',\n"male": ', num(m), ',\n"at": ', num(at), ', "posterior": ', num(p), ', "low": ', num(ends[1, ]), ', "high": ', num(ends[2, ]),
    ', "overlap": ', num(c(area(mean(f), sd(f), mean(m), sd(m)), quantile(over, c(0.025, 0.975)))), "}")
}
of <- function(sp, v) case(round(log(crabs[[v]][crabs$sp == sp & crabs$sex == "F"]), 6), round(log(crabs[[v]][crabs$sp == sp & crabs$sex == "M"]), 6))
ratio <- function(sp) { r <- round(log(crabs$RW / crabs$CL), 6); case(r[crabs$sp == sp & crabs$sex == "F"], r[crabs$sp == sp & crabs$sex == "M"]) }
writeLines(c("{", paste0('"by": "overlap.R", "versions": "', R.version.string, ', MASS ', packageVersion("MASS"), '",'),
  paste0('"cases": [', paste(c(of("B", "RW"), of("O", "FL"), ratio("O"), ratio("B")), collapse = ",\n"), "]}")), "overlap.json")
