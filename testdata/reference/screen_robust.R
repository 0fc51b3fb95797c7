# Reference values for robust location, lines and covariance.
# Run: Rscript testdata/reference/screen_robust.R > testdata/reference/screen_robust.json
# Data sets ship with R (datasets) and robustbase; their values are written
# along, so that the tests need no R.
suppressMessages({library(robustbase); library(jsonlite)})
num <- function(x) unname(as.numeric(x))
tight <- lmrob.control(nResample = 5000, best.r.s = 20, k.max = 2000, max.it = 2000,
                       refine.tol = 1e-13, rel.tol = 1e-13, scale.tol = 1e-14, maxit.scale = 2000)
line <- function(name, x, y) {
  set.seed(1)
  f <- lmrob(y ~ x, control = tight)
  d <- lmrob(y ~ x)
  list(name = name, x = num(x), y = num(y), intercept = num(coef(f)[1]), slope = num(coef(f)[2]),
       scale = num(f$scale), weights = num(f$rweights),
       defaults = list(intercept = num(coef(d)[1]), slope = num(coef(d)[2]), scale = num(d$scale)))
}
mcd <- function(name, x, alpha = 0.75) {
  set.seed(1)
  x <- as.matrix(x)
  f <- covMcd(x, alpha = alpha, nsamp = 5000)
  list(name = name, share = alpha, rows = lapply(seq_len(nrow(x)), function(i) num(x[i, ])),
       centre = num(f$center), covariance = lapply(seq_len(ncol(x)), function(i) num(f$cov[i, ])),
       rawCentre = num(f$raw.center), rawCovariance = lapply(seq_len(ncol(x)), function(i) num(f$raw.cov[i, ])),
       logDet = num(f$crit), h = f$quan, best = f$best - 1, distance2 = num(f$mah), kept = as.logical(f$mcd.wt))
}
mads <- list(faithful = faithful$eruptions, rivers = rivers, precip = num(precip),
             heaped = c(4, 4, 4, 4, 4, 5, 3, 9))
a <- log(Animals2$body); b <- log(Animals2$brain)
sma <- function(x, y) {
  n <- length(x); r <- cor(x, y); s <- sign(r) * sd(y) / sd(x)
  B <- (1 - r^2) / (n - 2) * qf(0.95, 1, n - 2)
  list(x = num(x), y = num(y), slope = s, intercept = mean(y) - s * mean(x),
       low = s * (sqrt(B + 1) - sqrt(B)), high = s * (sqrt(B + 1) + sqrt(B)), r2 = r^2)
}
out <- list(
  made = list(R = R.version.string, robustbase = as.character(packageVersion("robustbase")),
              script = "testdata/reference/screen_robust.R"),
  mad = lapply(names(mads), function(n) list(name = n, x = num(mads[[n]]), median = median(mads[[n]]),
                                             mad = mad(mads[[n]]))),
  lines = list(line("Animals2, log", a, b), line("starsCYG", starsCYG$log.Te, starsCYG$log.light),
               line("cars", cars$speed, cars$dist), line("exAM", exAM$x, exAM$y),
               line("telef", telef$Year, telef$Calls), line("iris petals, log", log(iris$Petal.Length), log(iris$Petal.Width))),
  majorAxis = list(sma(log(trees$Girth), log(trees$Volume)), sma(mtcars$wt, mtcars$mpg)),
  mcd = list(mcd("hbk", hbk[, 1:3]), mcd("starsCYG", starsCYG), mcd("wood", wood), mcd("stackloss", stackloss),
             mcd("phosphor", phosphor[, 1:2]), mcd("iris setosa, log", log(iris[1:50, 1:4])),
             mcd("Animals2, log", cbind(a, b)), mcd("hbk, 0.9", hbk[, 1:3], 0.9)),
  chiSquare = list(list(p = 0.975, k = 3, q = qchisq(0.975, 3)), list(p = 0.999995, k = 8, q = qchisq(0.999995, 8)),
                   list(p = 0.5, k = 1, q = qchisq(0.5, 1))),
  digits = { n <- c(31, 9, 12, 8, 10, 29, 11, 7, 13, 10); t <- chisq.test(n)
             list(counts = n, statistic = num(t$statistic), p = t$p.value) }
)
cat(toJSON(out, digits = NA, auto_unbox = TRUE, pretty = FALSE), "\n")
