# Standardised major axis, scaled mass index (Peig and Green 2009) and residual
# index on a made-up sample, with the functions of base R.
# Run in this folder: Rscript infer_condition.R
set.seed(7)
n <- 30
length <- round(exp(rnorm(n, log(62), .12)), 1)
mass <- round(exp(-9.2 + 2.9*log(length) + rnorm(n, 0, .08)), 1)
x <- log(length); y <- log(mass); r <- cor(x, y)
fit <- lm(y ~ x)
b <- sd(y)/sd(x)
# interval of the slope: Warton et al. (2006), table 2
B <- (1 - r^2)/(n - 2)*qf(.95, 1, n - 2)
index <- mass*(mean(length)/length)^(unname(coef(fit)[2])/r)
num <- function(x) paste0("[", paste(sprintf("%.15g", x), collapse = ", "), "]")
writeLines(c("{", paste0('"by": "infer_condition.R", "versions": "R ', getRversion(), '",'),
  paste0('"length": ', num(length), ",\n", '"mass": ', num(mass), ","),
  paste0('"slope": ', num(c(b, b*(sqrt(B + 1) - sqrt(B)), b*(sqrt(B + 1) + sqrt(B)))), ', "r": ', num(r), ","),
  paste0('"scaled": ', num(index), ","),
  paste0('"ols": ', num(c(coef(fit), summary(fit)$sigma)), ","),
  paste0('"slopeSE": ', num(b*sqrt((1 - r^2)/(n - 2))), ","),
  paste0('"lineSE": ', num(unname(predict(fit, se.fit = TRUE)$se.fit)), ","),
  paste0('"residual": ', num(unname(residuals(fit)))), "}"), "infer_condition.json")
