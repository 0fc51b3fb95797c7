# Reference values for age classes and broken lines: mixtures of normal
# distributions by mclust, and the M-estimate of robustbase at a known scale from a
# start. Run in this folder: Rscript bends.R
suppressMessages({library(robustbase); library(mclust)})
num <- function(x) paste0("[", paste(sprintf("%.15g", x), collapse = ", "), "]")
set.seed(11)
n <- 120
x <- round(runif(n, 3.4, 4.4), 3)
h <- pmin(x - 4, 0)
y <- round(-1.2 + 0.95 * x - 0.3 * h + rnorm(n, 0, 0.05), 4)
y[c(5, 40, 77)] <- y[c(5, 40, 77)] + c(2.3, -2.3, 0.9)
X <- cbind(1, x, h)
start <- c(coef(lmrob(y ~ x)), 0)
fit <- lmrob..M..fit(X, y, start, 0.05, lmrob.control(rel.tol = 1e-12, max.it = 1000), method = "M")

young <- round(exp(rnorm(60, log(35), 0.14)), 1)
grown <- round(exp(rnorm(140, log(72), 0.06)), 1)
one <- function(v) { x <- log(v); s <- sqrt(mean((x - mean(x))^2)); list(1, mean(x), s, 2 * log(length(x)) - 2 * sum(dnorm(x, mean(x), s, log = TRUE))) }
more <- function(v, k) {
  m <- Mclust(log(v), G = k, modelNames = "V", verbose = FALSE, control = emControl(tol = c(1e-14, 1e-14), itmax = c(10000, 10000)))
  list(m$parameters$pro, m$parameters$mean, sqrt(m$parameters$variance$sigmasq), -m$bic)
}
classes <- function(v, most) paste0('{"values": ', num(v), ',\n"fits": [', paste(sapply(1:most, function(k) {
  m <- if (k == 1) one(v) else more(v, k)
  paste0('{"shares": ', num(m[[1]]), ', "means": ', num(m[[2]]), ', "scales": ', num(m[[3]]), ', "bic": ', sprintf("%.15g", m[[4]]), '}')
}), collapse = ",\n"), "]}")
writeLines(c("{", paste0('"by": "bends.R", "versions": "', R.version.string, ', robustbase ', packageVersion("robustbase"), ', mclust ', packageVersion("mclust"), '",'),
  paste0('"x": ', num(x), ',\n"y": ', num(y), ',\n"start": ', num(y - X %*% start), ',\n"coefficients": ', num(fit$coefficients), ","),
  paste0('"samples": [', classes(c(young, grown), 2), ",\n", classes(grown, 1), "]"), "}"), "bends.json")
