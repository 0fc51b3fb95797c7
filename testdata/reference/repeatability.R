# Repeatability of hands by a mixed model: log of the reading on animals at
# random, REML, one hand at a time and all hands together.
# Rscript repeatability.R > repeatability.json
# R 4.2.2, lme4 1.1-31
suppressMessages(library(lme4))
set.seed(20261129)
animals <- 60
rows <- NULL
for (hand in c("A. Quill", "B. Rook", "C. Sedge")) {
  error <- c("A. Quill" = 0.008, "B. Rook" = 0.015, "C. Sedge" = 0.03)[[hand]]
  for (animal in seq_len(animals)) {
    repeats <- if (hand == "B. Rook") 1 + animal %% 4 else 3
    true <- log(60) + 0.15 * rnorm(1)
    rows <- rbind(rows, data.frame(hand, animal = paste(hand, animal),
      length = round(exp(true + error * rnorm(repeats)), 2)))
  }
}
fit <- function(d) sigma(lmer(log(length) ~ 1 + (1 | animal), d))
own <- sapply(split(rows, rows$hand), fit)
cat("{\n \"by\": \"R ", paste(R.version$major, R.version$minor, sep = "."), ", lme4 ", as.character(packageVersion("lme4")), "\",\n", sep = "")
cat(" \"all\": ", format(fit(rows), digits = 10), ",\n \"hands\": {\n", sep = "")
cat(paste0("  \"", names(own), "\": ", format(own, digits = 10)), sep = ",\n")
cat("\n },\n \"readings\": [\n")
cat(sapply(split(rows, factor(rows$animal, unique(rows$animal))), function(d)
  paste0("  {\"hand\": \"", d$hand[1], "\", \"lengths\": [", paste(d$length, collapse = ", "), "]}")), sep = ",\n")
cat("\n ]\n}\n")
