# Write tares.csv: median, and median, scale and modified z score of Iglewicz and
# Hoaglin of the last value on logs, for invented sets of tares in grams. Where
# the MAD is zero the scale is sqrt(pi/2) times the mean absolute deviation from
# the median. z is with the scale at least that of a wet bag, 0.15, and one mark
# of 0.5 g at the median. Rscript tares.R
set.seed(11)
sets <- list(c(4, 4, 4.5, 5, 12), c(4, 4, 4, 4, 4, 4, 14), c(3.5, 4, 4.5, 5, 5.5, 6))
for (i in 1:40) sets[[length(sets) + 1]] <- pmax(0.5, round(2 * rnorm(sample(5:30, 1), 5, 2)) / 2)
con <- file("tares.csv", "w")
cat(sprintf("# made by tares.R with %s\n", R.version.string), file = con)
cat("tares,median,centre,scale,z\n", file = con)
for (x in sets) {
  l <- log(x)
  m <- median(l)
  d <- mad(l, constant = 1)
  s <- if (d > 0) d / 0.6745 else sqrt(pi / 2) * mean(abs(l - m))
  z <- (l[length(l)] - m) / max(s, 0.15, 0.5 / exp(m))
  cat(sprintf("%s,%.10g,%.12g,%.12g,%.10g\n", paste(x, collapse = " "), median(x), m, s, z), file = con)
}
close(con)
