# Fabens' curve of growth by nls on invented recaptures, without and with slips
# that a person would leave out. Run in this folder: Rscript growth.R
set.seed(29)
n <- 60
first <- round(runif(n, 18, 62), 1)
time <- round(runif(n, 0.1, 2.5), 3) # years
second <- round(first + (64 - first)*(1 - exp(-0.8*time)) + rnorm(n, 0, 0.9), 1)
fit <- nls(second - first ~ (Linf - first)*(1 - exp(-K*time)), start = list(Linf = 60, K = 1))
num <- function(x) paste0("[", paste(sprintf("%.15g", x), collapse = ", "), "]")
writeLines(c("{", paste0('"by": "growth.R", "versions": "R ', getRversion(), '",'),
  paste0('"first": ', num(first), ",\n", '"second": ', num(second), ",\n", '"time": ', num(time), ","),
  paste0('"asymptote": ', num(coef(fit)["Linf"]), ', "rate": ', num(coef(fit)["K"]), ', "scale": ', num(summary(fit)$sigma)), "}"), "growth.json")
