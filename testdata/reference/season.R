# Intervals of means, of shares, of the difference of two means and of a ratio,
# with the functions of base R, and the summaries of a made-up season.
# Run in this folder: Rscript season.R
set.seed(16)
num <- function(x) paste0("[", paste(sprintf("%.15g", x), collapse = ", "), "]")
one <- round(rnorm(23, 61.4, 4.2), 1)
two <- round(rnorm(9, 64.1, 7.5), 1)
pair <- c(58.2, 60.1)
means <- lapply(list(one = one, two = two, pair = pair), function(x) c(length(x), mean(x), sd(x), median(x), range(x), t.test(x)$conf.int, t.test(x, conf.level = .9)$conf.int))
w <- t.test(two, one)                       # Welch; second less first
w90 <- t.test(pair, one, conf.level = .9)
shares <- rbind(c(0, 7), c(7, 7), c(3, 11), c(41, 97), c(1, 1), c(502, 1003))
wilson <- t(apply(shares, 1, function(s) suppressWarnings(prop.test(s[1], s[2], correct = FALSE)$conf.int)))
# a ratio by its formula, and where the effort is the same in every unit by t.test
x <- c(2, 3, 3, 1.5, 4, 2.5); y <- c(5, 9, 4, 6, 14, 3)
r <- sum(y)/sum(x); e <- y - r*x; n <- length(x)
half <- qt(.975, n - 1)*sqrt(sum(e^2)/(n - 1)/n)/mean(x)
same <- t.test(y/3)$conf.int
h <- hist(one, breaks = seq(50, 75, 2.5), right = FALSE, plot = FALSE)
writeLines(c("{", paste0('"by": "season.R", "versions": "R ', getRversion(), '",'),
  paste0('"samples": [', num(one), ", ", num(two), ", ", num(pair), "],"),
  '"means": [', paste(sapply(means, num), collapse = ",\n"), "],",
  paste0('"welch": [', num(c(2, 1, .95, diff(rev(w$estimate)), w$stderr, w$parameter, w$conf.int)), ", ",
         num(c(3, 1, .9, diff(rev(w90$estimate)), w90$stderr, w90$parameter, w90$conf.int)), "],"),
  '"wilson": [', paste(apply(cbind(shares, wilson), 1, num), collapse = ",\n"), "],",
  paste0('"effort": ', num(x), ', "caught": ', num(y), ', "ratio": ', num(c(r, r - half, r + half)), ', "same": ', num(c(mean(y/3), same)), ","),
  paste0('"breaks": ', num(h$breaks), ', "counts": ', num(h$counts)), "}"), "season.json")
# a season of made-up captures, and what R says of them by group
n <- 900
captures <- data.frame(
  species = sample(c("Anaxyrus americanus", "Lithobates clamitans"), n, TRUE, c(.3, .7)),
  sex = sample(c("female", "male", ""), n, TRUE, c(.5, .4, .1)),
  site = sample(c("Alder Seep", "Tern Slough"), n, TRUE),
  day = sprintf("%d-%02d-%02d", sample(2023:2025, n, TRUE), sample(4:8, n, TRUE), sample(1:28, n, TRUE)))
captures$svl <- round(rnorm(n, ifelse(captures$sex == "female", 72, 65), 5), 1)
write.csv(captures, "season_captures.csv", row.names = FALSE, quote = FALSE)
captures$season <- substr(captures$day, 1, 4)
captures$sex[captures$sex == ""] <- "not stated"
f <- function(x) sprintf("%.10g", x)
both <- rbind(captures, transform(captures, site = "all"))
both <- rbind(both, transform(both[both$site == "all", ], season = "all"))
rows <- lapply(split(both, both[c("species", "sex", "site", "season")], drop = TRUE), function(d) {
  ci <- if (nrow(d) > 1) t.test(d$svl)$conf.int else c(NA, NA)
  data.frame(d[1, c("species", "sex", "site", "season")], n = nrow(d), mean = f(mean(d$svl)), sd = f(sd(d$svl)), median = f(median(d$svl)),
             min = min(d$svl), max = max(d$svl), low = f(ci[1]), high = f(ci[2]))})
write.csv(do.call(rbind, rows), "season_sizes.csv", row.names = FALSE, quote = FALSE, na = "")
named <- both[both$season != "all", ]
rows <- lapply(split(named, named[c("species", "sex", "site")], drop = TRUE), function(d) do.call(rbind, lapply(2:3, function(i) {
  s <- sort(unique(d$season)); a <- d$svl[d$season == s[i - 1]]; b <- d$svl[d$season == s[i]]; w <- t.test(b, a)
  data.frame(d[1, c("species", "sex", "site")], earlier = s[i - 1], later = s[i], difference = f(mean(b) - mean(a)), error = f(w$stderr),
             freedom = f(w$parameter), low = f(w$conf.int[1]), high = f(w$conf.int[2]))})))
write.csv(do.call(rbind, rows), "season_changes.csv", row.names = FALSE, quote = FALSE)
rows <- lapply(split(both, both[c("species", "site", "season")], drop = TRUE), function(d) {
  m <- sum(d$sex == "male"); k <- m + sum(d$sex == "female"); ci <- suppressWarnings(prop.test(m, k, correct = FALSE)$conf.int)
  data.frame(d[1, c("species", "site", "season")], animals = nrow(d), males = m, females = k - m, share = f(m/k), low = f(ci[1]), high = f(ci[2]))})
write.csv(do.call(rbind, rows), "season_sexes.csv", row.names = FALSE, quote = FALSE)
# captures of a night at a site, nights without the species counting as 0
nights <- as.data.frame(xtabs(~ species + paste(day, site, sep = "|"), captures))
names(nights) <- c("species", "night", "captures"); nights$season <- substr(nights$night, 1, 4)
rows <- lapply(split(nights, nights[c("species", "season")]), function(d) { ci <- t.test(d$captures)$conf.int
  data.frame(d[1, c("species", "season")], nights = nrow(d), captures = sum(d$captures), mean = f(mean(d$captures)), sd = f(sd(d$captures)), low = f(ci[1]), high = f(ci[2]))})
write.csv(do.call(rbind, rows), "season_catch.csv", row.names = FALSE, quote = FALSE)
