# Whether an observer reaches a line, and how many more individuals would settle it, on
# made-up readings: the technical error of measurement of two readings each with its
# chi-square interval, the bias against known sizes with its t interval (t.test), and the
# limits within which a further difference falls (predict with interval "prediction").
# More is the least number of individuals from which the interval, by the same formula
# with the figure staying as it is, no longer has the line within it.
# Run in this folder: Rscript verdicts.R
set.seed(41)
num <- function(x) paste0("[", paste(sprintf("%.15g", x), collapse = ", "), "]")
rows <- function(m) paste0("[", paste(apply(m, 1, num), collapse = ", "), "]")
n <- 12
size <- round(rnorm(n, 60, 6), 1)
read <- round(cbind(size + 0.6 + rnorm(n, 0, .9), size + 0.6 + rnorm(n, 0, .9)), 1)
tem <- sqrt(sum((read[, 1] - read[, 2])^2)/(2*n)); relative <- 100*tem/mean(read)
of <- function(n) relative*sqrt(n/qchisq(c(.975, .025), n))
verdict <- function(line, interval) if (interval[2] <= line) "pass" else if (interval[1] > line) "fail" else "not sure"
more <- function(line, of) { k <- n; while (verdict(line, of(k)) == "not sure" && k < 5000) k <- k + 1; k - n }
d <- rowMeans(read) - size
bias <- t.test(d); per <- 100/mean(size)
ofBias <- function(k) { half <- qt(.975, k - 1)*sd(d)/sqrt(k); abs(per)*c(max(0, abs(mean(d)) - half), abs(mean(d)) + half) }
new <- predict(lm(d ~ 1), data.frame(x = 1), interval = "prediction")[1, ]
lines <- c(0.7, 1.2, 1.6, 1.9, 3); biases <- c(0.2, 0.8, 1.3, 1.6, 3)
all <- function(lines, of) paste0('[', paste(sapply(lines, function(l) sprintf('{"line": %g, "verdict": "%s", "more": %d}', l, verdict(l, of(n)), more(l, of))), collapse = ", "), ']')
writeLines(c("{", paste0('"by": "verdicts.R", "versions": "R ', getRversion(), '",'),
  paste0('"sizes": ', num(size), ', "readings": ', rows(read), ","),
  paste0('"relative": ', num(c(relative, of(n))), ', "repeats": ', all(lines, of), ","),
  paste0('"relativeBias": ', num(per*c(mean(d), bias$conf.int)), ', "biases": ', all(biases, ofBias), ","),
  paste0('"limits": ', num(per*new[c("lwr", "upr")]), "}")), "verdicts.json")
