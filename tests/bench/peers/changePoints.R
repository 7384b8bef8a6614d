# Exact change points of a level by strucchange's dynamic programming. Reads the series and the number of changes; see
# outsidePeer.ts.
suppressPackageStartupMessages(library(strucchange))

lines <- strsplit(readLines(file("stdin")), " ")
values <- as.numeric(lines[[1]])
changes <- as.numeric(lines[[2]])

samples <- c()
for (i in 1:3) {
  before <- sum(proc.time()[1:2])
  found <- breakpoints(values ~ 1, h = 2, breaks = changes)$breakpoints
  samples <- c(samples, (sum(proc.time()[1:2]) - before) * 1000)
}
cat("strucchange breakpoints |", samples, "|", found, "\n")
