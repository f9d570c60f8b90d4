# lme4 on the rows that peers.cpp writes. Prints "figure NAME VALUE"; anything else is told as it is.
suppressMessages({
  library(lme4)
  library(Matrix)
})
arguments <- commandArgs(trailingOnly = TRUE)
folder <- arguments[2]

figure <- function(name, value) cat(sprintf("figure %s %.12g\n", name, value))

memory_mb <- function(field) {
  line <- grep(paste0("^", field, ":"), readLines("/proc/self/status"), value = TRUE)
  as.numeric(gsub("[^0-9]", "", line)) / 1024
}

# Seconds of some work, and its peak of memory beyond what was resident before.
measured <- function(name, work) {
  gc()
  writeLines("5", "/proc/self/clear_refs")
  before <- memory_mb("VmRSS")
  took <- system.time(result <- work())[["elapsed"]]
  figure(paste0(name, "seconds"), took)
  figure(paste0(name, "peak_mb"), max(0, memory_mb("VmHWM") - before))
  figure(paste0(name, "whole_mb"), memory_mb("VmHWM"))
  result
}

mixed <- function() {
  lmer(Reaction ~ Days + (1 | Subject), sleepstudy)  # warm
  for (line in strsplit(readLines(file.path(folder, "models.txt")), "\t")) {
    rows <- read.csv(file.path(folder, paste0(line[1], ".csv")))
    rows$large <- factor(rows$large)
    rows$small <- factor(rows$small)
    fit <- measured(paste0(line[1], "."), function() lmer(as.formula(line[2]), rows, REML = TRUE))
    spreads <- as.data.frame(VarCorr(fit))
    sd_of <- function(pattern) {
      found <- spreads$sdcor[grepl(pattern, spreads$grp)]
      if (length(found) == 0) 0 else found[1]
    }
    figure(paste0(line[1], ".loglik"), as.numeric(logLik(fit)))
    figure(paste0(line[1], ".intercept"), fixef(fit)[[1]])
    figure(paste0(line[1], ".slope"), fixef(fit)[[2]])
    figure(paste0(line[1], ".small"), sd_of("small"))
    figure(paste0(line[1], ".large"), sd_of("^large$"))
    figure(paste0(line[1], ".residual"), sigma(fit))
  }
}

# lmer's least squares with our design: Zt in units of each prior's spread, one theta for the
# pieces' own, one for yarns, one (held at 1) for the others.
problem_of <- function(stem, priors, round) {
  rows <- read.csv(sprintf("%s.%d.rows.csv", stem, round))
  slopes <- read.csv(sprintf("%s.%d.slopes.csv", stem, round))
  list(rows = rows, zt = sparseMatrix(
    i = slopes$coefficient, j = slopes$row, x = slopes$slope * priors$spread[slopes$coefficient],
    dims = c(nrow(priors), nrow(rows))
  ))
}

deviance_function <- function(problem, group) {
  n <- nrow(problem$rows)
  q <- nrow(problem$zt)
  data <- data.frame(y = problem$rows$y, w = 1 / problem$rows$sd^2, g = factor(rep_len(1:2, n)))
  parts <- lFormula(y ~ 0 + (1 | g), data, weights = w, REML = FALSE)
  terms <- parts$reTrms
  terms$Zt <- as(problem$zt, "CsparseMatrix")
  terms$Lambdat <- sparseMatrix(i = 1:q, j = 1:q, x = rep(1, q))
  terms$Lind <- match(group, c("held", "piece", "yarn"))
  terms$theta <- c(1, 1, 1)
  terms$lower <- c(0, 0, 0)
  parts$reTrms <- terms
  do.call(mkLmerDevfun, parts)
}

# At spreads given: -2 log-likelihood with the rows' sds as they are.
at_spreads <- function(devfun, theta) {
  devfun(theta)
  here <- environment(devfun)
  here$pp$ldL2() + here$resp$wrss() + here$pp$sqrL(1)
}

coefficients_at <- function(devfun, priors) priors$spread * environment(devfun)$pp$b(1)

lmer_calibration <- function(count, rounds) {
  stem <- file.path(folder, paste0("calibration-", count))
  priors <- read.csv(paste0(stem, ".priors.csv"))
  problems <- lapply(seq_len(rounds) - 1, function(k) problem_of(stem, priors, k))
  name <- sprintf("lmer.%d.", count)
  held <- measured(paste0(name, "held_"), function() {
    for (problem in problems) {
      devfun <- deviance_function(problem, priors$group)
      devfun(c(1, 1, 1))
    }
    coefficients_at(devfun, priors)
  })
  likeliest <- measured(paste0(name, "likeliest_"), function() {
    devfun <- deviance_function(problems[[rounds]], priors$group)
    best <- optim(c(0, 0), function(x) at_spreads(devfun, c(1, exp(x))), method = "Nelder-Mead")
    at_spreads(devfun, c(1, exp(best$par)))
    coefficients_at(devfun, priors)
  })
  common <- which(priors$group != "piece")
  for (i in common) {
    figure(sprintf("%sheld.%d", name, i), held[i])
    figure(sprintf("%slikeliest.%d", name, i), likeliest[i])
  }
}

# nlmer fails with weights, so both sides of its formula are multiplied by each row's own.
nlmer_calibration <- function(count) {
  rows <- read.csv(file.path(folder, sprintf("simple-%d.csv", count)))
  rows$yarn <- factor(rows$yarn)
  rows$swatch <- factor(rows$swatch)
  usual <- sqrt(mean(rows$sd^2))
  rows$k <- usual / rows$sd
  rows$ky <- rows$k * rows$y
  names(rows)[names(rows) == "soumak"] <- "is_soumak"
  names(rows)[names(rows) == "twining"] <- "is_twining"
  reading <- deriv(
    ~ k * (mass * (take + is_soumak * soumak + is_twining * twining) + c1 * row + c2 * row^2),
    c("take", "soumak", "twining", "row"),
    function(k, mass, is_soumak, is_twining, c1, c2, take, soumak, twining, row) NULL
  )
  name <- sprintf("nlmer.%d.", count)
  fit <- measured(name, function() {
    nlmer(
      ky ~ reading(k, mass, is_soumak, is_twining, c1, c2, take, soumak, twining, row) ~
        (take | yarn) + (row | swatch),
      rows,
      start = c(take = 0.01, soumak = 0.01, twining = 0.01, row = 0.01)
    )
  })
  for (one in names(fixef(fit))) figure(paste0(name, one), fixef(fit)[[one]])
  spreads <- as.data.frame(VarCorr(fit))
  figure(paste0(name, "sd_yarn"), spreads$sdcor[spreads$grp == "yarn"][1])
  figure(paste0(name, "sd_row"), spreads$sdcor[spreads$grp == "swatch"][1])
  figure(paste0(name, "noise"), sigma(fit) / usual)
  figure(paste0(name, "loglik"), as.numeric(logLik(fit)) + sum(log(rows$k)))
}

calibrations <- function() {
  for (line in strsplit(readLines(file.path(folder, "calibrations.txt")), " ")) {
    count <- as.integer(line[1])
    lmer_calibration(count, as.integer(line[2]))
    tryCatch(nlmer_calibration(count), error = function(e) cat("nlmer: ", conditionMessage(e), "\n"))
  }
}

if (arguments[1] == "mixed") mixed() else calibrations()
