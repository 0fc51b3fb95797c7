# Write tares.csv: median, MAD (not scaled) and the modified z score of
# Iglewicz and Hoaglin of the last value, for invented sets of tares in grams.
# Where the MAD is zero the scale is sqrt(pi/2) times the mean absolute
# deviation from the median. Rscript tares.R
set.seed(11)
sets <- list(c(4, 4, 4.5, 5, 12), c(4, 4, 4, 4, 4, 4, 14), c(3.5, 4, 4.5, 5, 5.5, 6))
for (i in 1:40) sets[[length(sets) + 1]] <- round(2 * rnorm(sample(5:30, 1), 5, 2)) / 2
con <- file("tares.csv", "w")
cat(sprintf("# made by tares.R with %s\n", R.version.string), file = con)
cat("tares,median,mad,scale,z\n", file = con)
for (x in sets) {
  m <- median(x)
  d <- mad(x, constant = 1)
  s <- if (d > 0) d / 0.6745 else sqrt(pi / 2) * mean(abs(x - m))
  s <- max(s, 0.5)
  cat(sprintf("%s,%.10g,%.10g,%.10g,%.10g\n", paste(x, collapse = " "), m, d, s, (x[length(x)] - m) / s), file = con)
}
close(con)
