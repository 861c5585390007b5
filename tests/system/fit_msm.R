# Models of package msm (C. H. Jackson, J. Statistical Software 38(8), 2011) on its
# own data set cav, and the same readings as text for chainfit. Usage: Rscript
# fit_msm.R FOLDER. Writes NAME.txt, NAME.rates (three rates, -2 ln L), NAME.matrix.
suppressMessages(library(msm))
folder <- commandArgs(trailingOnly = TRUE)[1]
precise <- list(fnscale = 4000, reltol = 1e-13, maxit = 1000)

put <- function(name, pipe, age, low, high, model = NULL, last = 3) {
  write.table(data.frame(pipe, format(age, digits = 17), low, high, 1),
              file.path(folder, paste0(name, ".txt")),
              row.names = FALSE, col.names = FALSE, quote = FALSE)
  if (is.null(model)) return(invisible())
  q <- qmatrix.msm(model, ci = "none")
  rates <- c(q[1, 2], q[2, 3], if (last == 3) q[3, 4] else 0)
  cat(format(c(rates, model$minus2loglik), digits = 17), "\n",
      file = file.path(folder, paste0(name, ".rates")))
}

# the table of pairs
put("all", cav$PTNUM, cav$years, cav$state, cav$state)
table <- statetable.msm(state, PTNUM, data = cav)
for (from in 1:3) for (to in 1:4)
  cat(from, to, table[from, to], "\n", file = file.path(folder, "all.table"), append = from + to > 2)

# 1. pairs: the worst state so far, so that none gets better
d <- cav
d$worst <- ave(d$state, d$PTNUM, FUN = cummax)
Q <- rbind(c(0, .2, 0, 0), c(0, 0, .2, 0), c(0, 0, 0, .2), 0)
model <- msm(worst ~ years, subject = PTNUM, data = d, qmatrix = Q, control = precise)
put("pairs", d$PTNUM, d$years, d$worst, d$worst, model)

# 2. sets of states: every third reading of 2 or 3 is only known to be 2 or 3
d$seen <- ifelse(d$worst %in% 2:3 & seq_along(d$worst) %% 3 == 0, 99, d$worst)
model <- msm(seen ~ years, subject = PTNUM, data = d, qmatrix = Q, censor = 99,
             censor.states = c(2, 3), control = precise)
put("sets", d$PTNUM, d$years, ifelse(d$seen == 99, 2, d$seen), ifelse(d$seen == 99, 3, d$seen), model)

# 3. readings that may be wrong: the states as they were read, without deaths; in
# state 1 at the first visit, whose reading counts as well
alive <- cav[cav$state < 4, ]
alive <- alive[ave(alive$state, alive$PTNUM, FUN = length) > 1, ] # msm leaves out single ones
Q <- rbind(c(0, .2, 0), c(0, 0, .2), 0)
E <- rbind(c(0, .1, 0), c(.1, 0, .1), c(0, .1, 0))
model <- msm(state ~ years, subject = PTNUM, data = alive, qmatrix = Q, ematrix = E, control = precise)
put("misread", alive$PTNUM, alive$years, alive$state, alive$state, model, last = 2)
E <- ematrix.msm(model, ci = "none")
full <- diag(5)
full[1:3, 1:3] <- E
write.table(format(unclass(full), digits = 17), file.path(folder, "misread.matrix"),
            row.names = FALSE, col.names = FALSE, quote = FALSE)
