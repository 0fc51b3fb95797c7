# Reference values for agreement between readings.
# Run in this folder: Rscript infer_agreement.R
# - Intraclass correlations of psych::ICC on the table of four judges and six
#   targets in the examples of its help page, and on a made-up table.
# - Bias and limits of agreement on a made-up table of two readings each with
#   two meters.
# - Technical error of measurement by an analysis of variance (aov).
library(psych)
options(digits = 17)
num <- function(x) paste0("[", paste(sprintf("%.15g", x), collapse = ", "), "]")
rows <- function(m) paste0("[", paste(apply(m, 1, num), collapse = ", "), "]")

icc <- function(m) {
  r <- ICC(m, lmer = FALSE)$results
  k <- ncol(m)
  paste0('{"table": ', rows(m), ', "value": ', num(r$ICC), ', "f": ', num(r$F), ', "df1": ', num(r$df1),
         ', "df2": ', num(r$df2), ', "p": ', num(r$p), ', "low": ', num(r[["lower bound"]]),
         ', "high": ', num(r[["upper bound"]]), '}')
}
judges <- matrix(c(9,2,5,8, 6,1,3,2, 8,4,6,8, 7,1,2,6, 10,5,6,9, 6,2,4,7), ncol = 4, byrow = TRUE)
set.seed(20)
size <- rnorm(12, 60, 6)
made <- round(cbind(size + rnorm(12, 0, .8), size + rnorm(12, .5, .8), size + rnorm(12, -.3, 1.2)), 1)

flow <- rnorm(17, 450, 120)
meter <- function(bias, sd) round(cbind(flow + bias + rnorm(17, 0, sd), flow + bias + rnorm(17, 0, sd)))
one <- meter(0, 15); other <- meter(2, 20)
limits <- function(x, y) {
  d <- x - y; n <- length(d); s <- sd(d); t <- qt(.975, n - 1)
  new <- predict(lm(d ~ 1), data.frame(x = 1), interval = "prediction")[1, ] # bias, and where a further difference lies
  lo <- unname(new["lwr"]); hi <- unname(new["upr"]); k <- (hi - mean(d))/s
  se <- s * sqrt(1/n + k^2/(2*(n - 1)))               # Bland and Altman 1999, with k for 1.96
  f <- summary(lm(d ~ I((x + y)/2)))$coefficients
  paste0('{"bias": ', num(c(mean(d), mean(d) - t*s/sqrt(n), mean(d) + t*s/sqrt(n))), ', "sd": ', num(s),
         ', "lower": ', num(c(lo, lo - t*se, lo + t*se)), ', "upper": ', num(c(hi, hi - t*se, hi + t*se)),
         ', "slope": ', num(f[2, ]), '}')
}
within <- function(m) mean(apply(m, 1, var))
tem <- function(m) {
  long <- data.frame(y = as.vector(m), a = factor(rep(seq_len(nrow(m)), ncol(m))))
  ms <- summary(aov(y ~ a, long))[[1]][["Mean Sq"]][2]
  df <- nrow(m)*(ncol(m) - 1)
  paste0('{"table": ', rows(m), ', "tem": ', num(sqrt(ms)), ', "mean": ', num(mean(m)), ', "sd": ', num(sd(as.vector(m))),
         ', "interval": ', num(sqrt(ms*df/qchisq(c(.975, .025), df))), '}')
}
writeLines(c("{", paste0('"by": "infer_agreement.R", "versions": "R ', getRversion(), ', psych ', packageVersion("psych"), '",'),
  paste0('"icc": [', icc(judges), ",\n", icc(made), "],"),
  paste0('"one": ', rows(one), ",\n", '"other": ', rows(other), ","),
  paste0('"first": ', limits(one[, 1], other[, 1]), ","),
  paste0('"repeatedSD": ', num(sqrt(var(rowMeans(one) - rowMeans(other)) + within(one)/2 + within(other)/2)), ","),
  paste0('"tem": [', tem(one), ",\n", tem(made), "]"), "}"), "infer_agreement.json")
