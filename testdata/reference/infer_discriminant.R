# Linear and quadratic discriminants of MASS on iris and crabs: posteriors of
# the fit and of the leave-one-out, written beside the measurements.
# Run in this folder: Rscript infer_discriminant.R
library(MASS)
version <- paste0("R ", getRversion(), ", MASS ", packageVersion("MASS"))
number <- function(x) sprintf("%.15g", x)

write_case <- function(file, what, x, g, extra = NULL) {
  fits <- list(lda = lda(x, g), qda = qda(x, g))
  cv <- list(lda = lda(x, g, CV = TRUE), qda = qda(x, g, CV = TRUE))
  out <- data.frame(class = as.character(g), apply(x, 2, number), check.names = FALSE)
  if (!is.null(extra)) out <- cbind(extra, out)
  for (m in names(fits)) {
    p <- predict(fits[[m]], x)
    q <- cv[[m]]
    for (l in levels(g)) out[[paste(m, "posterior", l)]] <- number(p$posterior[, l])
    out[[paste(m, "class")]] <- as.character(p$class)
    for (l in levels(g)) out[[paste(m, "left out posterior", l)]] <- number(q$posterior[, l])
    out[[paste(m, "left out class")]] <- as.character(q$class)
  }
  con <- file(file, "w")
  writeLines(paste0("# ", what, "; ", version, "; made by infer_discriminant.R; priors are the proportions of all cases"), con)
  write.csv(out, con, row.names = FALSE, quote = FALSE)
  close(con)
}

write_case("infer_iris.csv", "datasets::iris (Anderson 1935, Fisher 1936)",
           as.matrix(iris[, 1:4]), iris$Species)
crab <- factor(paste0(crabs$sp, crabs$sex))
write_case("infer_crabs.csv", "MASS::crabs (Campbell and Mahon 1974), lengths in mm",
           as.matrix(crabs[, c("FL", "RW", "CL", "CW", "BD")]), crab,
           extra = data.frame(form = crabs$sp, sex = crabs$sex))
