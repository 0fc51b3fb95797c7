# Reference values on published measurements of animals that Debian's packages hold.
# Debian has no FSA (its archive names no package of that name); these stand in for it:
# - condition: perch and bream of rrcov's fish (159 fishes of lake Laengelmavesi,
#   Brofeldt 1917), mass on length: slope of the standardised major axis, scaled mass
#   index with one standard length for the species, residual index, and the standard
#   uncertainty of both by the delta method (car's deltaMethod) from that of the slope,
#   of the line, of the mass (1 %) and of the length (0.5 %);
# - overlap of the sexes: painted turtles of ade4's tortues (Jolicoeur and Mosimann
#   1960), posteriors of MASS's qda with equal priors, overlap by integrate;
# - growth: heights of ddalpha's growth (Berkeley Growth Study, Tuddenham and Snyder
#   1954) at 2 and 8 years and a few between, as captures taken again: Fabens' curve by
#   nls.
# Run in this folder: Rscript published.R
suppressMessages({library(rrcov); library(car); library(MASS); library(ade4)})
num <- function(x) paste0("[", paste(sprintf("%.15g", x), collapse = ", "), "]")
data(fish); data(tortues); data(growth, package = "ddalpha")

condition <- function(kind) {
  d <- subset(fish, Species == kind & !is.na(Weight) & Weight > 0)
  L <- d$Length2 * 10; M <- d$Weight
  x <- log(L); y <- log(M); r <- cor(x, y); n <- length(x); b <- sd(y)/sd(x)
  se <- b*sqrt((1 - r^2)/(n - 2)); L0 <- mean(L); fit <- lm(y ~ x)
  of <- function(i) {
    uM <- 0.01*M[i]; uL <- 0.005*L[i]
    v <- diag(c(se, uL, uM)^2)
    smi <- deltaMethod(c(b = b, L = L[i], M = M[i]), "M*(L0/L)^b", vcov. = v, constants = c(L0 = L0))
    w <- matrix(0, 4, 4); w[1:2, 1:2] <- vcov(fit); w[3, 3] <- uL^2; w[4, 4] <- uM^2
    res <- deltaMethod(c(a = coef(fit)[[1]], k = coef(fit)[[2]], L = L[i], M = M[i]), "log(M) - a - k*log(L)", vcov. = w)
    c(smi$Estimate, smi$SE, res$Estimate, res$SE)
  }
  all <- sapply(seq_len(n), of)
  paste0('{"length": ', num(L), ', "mass": ', num(M), ', "slope": ', num(b), ', "slopeSE": ', num(se), ', "standard": ', num(L0),
    ',\n"scaled": ', num(all[1, ]), ', "scaledSE": ', num(all[2, ]), ',\n"residual": ', num(all[3, ]), ', "residualSE": ', num(all[4, ]), "}")
}
sexes <- function() {
  f <- tortues$long[tortues$sexe == "F"]; m <- tortues$long[tortues$sexe == "M"]
  d <- data.frame(x = log(c(f, m)), g = factor(rep(c("F", "M"), c(length(f), length(m)))))
  at <- c(104, 112, 120, 128)
  p <- predict(qda(g ~ x, d, prior = c(0.5, 0.5)), data.frame(x = log(at)))$posterior[, "M"]
  low <- function(x) pmin(dnorm(x, mean(log(f)), sd(log(f))), dnorm(x, mean(log(m)), sd(log(m))))
  over <- integrate(low, 3.5, 4.7, rel.tol = 1e-10, subdivisions = 4000)$value + integrate(low, 4.7, 6, rel.tol = 1e-10, subdivisions = 4000)$value
  paste0('{"female": ', num(f), ', "male": ', num(m), ', "at": ', num(at), ', "ofMale": ', num(p), ', "overlap": ', num(over), "}")
}
heights <- function() {
  first <- second <- time <- c()
  for (i in seq_along(growth$dataf)) {
    a <- growth$dataf[[i]]$args; h <- growth$dataf[[i]]$vals
    from <- c(2, 3, 4, 5)[(i - 1) %% 4 + 1]; to <- from + 2 + (i %% 3)
    first <- c(first, h[a == from]); second <- c(second, h[a == to]); time <- c(time, to - from)
  }
  fit <- nls(second - first ~ (Linf - first)*(1 - exp(-K*time)), start = list(Linf = 200, K = 0.1))
  paste0('{"first": ', num(first), ',\n"second": ', num(second), ',\n"time": ', num(time), ', "asymptote": ', num(coef(fit)["Linf"]), ', "rate": ', num(coef(fit)["K"]),
    ', "scale": ', num(summary(fit)$sigma), "}")
}
of <- function(p) paste(p, packageVersion(p))
writeLines(c("{", paste0('"by": "published.R", "versions": "R ', getRversion(), ", ", paste(sapply(c("rrcov", "car", "MASS", "ade4", "ddalpha"), of), collapse = ", "), '",'),
  paste0('"perch": ', condition(7), ","), paste0('"bream": ', condition(1), ","), paste0('"turtles": ', sexes(), ","), paste0('"heights": ', heights()), "}"), "published.json")
