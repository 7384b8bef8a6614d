# a + b exp(-t / tau) by minpack.lm, with and without derivatives. Reads t, y and the start; see outsidePeer.ts.
suppressPackageStartupMessages(library(minpack.lm))

lines <- strsplit(readLines(file("stdin")), " ")
t <- as.numeric(lines[[1]])
y <- as.numeric(lines[[2]])
start <- as.numeric(lines[[3]])

residuals_of <- function(p) p[1] + p[2] * exp(-t / p[3]) - y
jacobian_of <- function(p) {
  decay <- exp(-t / p[3])
  c(rep(1, length(t)), decay, p[2] * decay * t / p[3]^2)
}

ways <- list(
  "minpack.lm nls.lm (lmdif)" = function() nls.lm(start, fn = residuals_of)$par,
  "minpack.lm nls.lm (lmder), Jacobian" = function() nls.lm(start, fn = residuals_of, jac = jacobian_of)$par,
  "minpack.lm nlsLM" = function() coef(nlsLM(y ~ a + b * exp(-t / tau), start = list(a = start[1], b = start[2], tau = start[3])))
)

for (name in names(ways)) {
  fit <- ways[[name]]
  found <- fit()
  samples <- replicate(7, {
    before <- sum(proc.time()[1:2])
    for (i in 1:100) found <- fit()
    (sum(proc.time()[1:2]) - before) * 10
  })
  cat(name, "|", format(samples, digits = 6), "|", sprintf("%.17g", found), "\n")
}
