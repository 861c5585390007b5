/* engineering/progressive_chain.h - five grades that only get worse.
 *
 * A continuous-time Markov chain 1 > 2 > 3 > 4 > 5 with one rate per step:
 * unequal times between inspections need no special care.
 */
#ifndef HN_ENGINEERING_PROGRESSIVE_CHAIN_H
#define HN_ENGINEERING_PROGRESSIVE_CHAIN_H

enum { HN_GRADES = 5 };

/* Rounding then stays below 1e-9. */
#define HN_CHAIN_STEPS_MOST 1e6

/* Chances of moving from grade row to grade column within `years`.
 *
 *   P(t) = exp(Q t),  Q[k][k] = -rate[k],  Q[k][k+1] = rate[k]
 *
 * rate_per_year  1>2, 2>3, 3>4, 4>5; each >= 0
 * years          >= 0
 *
 * Computed by scaling and squaring of the Taylor series, since the closed form
 * breaks down when two rates are nearly equal. All entries NaN when an
 * argument is NaN, infinite or negative, or when rate x years is above
 * HN_CHAIN_STEPS_MOST: each of the squarings that it takes doubles the rounding
 * of the slow steps beside it.
 *
 * Source: D. R. Cox, H. D. Miller, The Theory of Stochastic Processes (1965),
 * ch. 4 (forward equations; from memory); C. Moler, C. Van Loan, "Nineteen
 * dubious ways to compute the exponential of a matrix", SIAM Review 45 (2003)
 * 3-49, method 3 (scaling and squaring).
 */
void hn_chain_matrix(const double rate_per_year[HN_GRADES - 1], double years,
                     double out[HN_GRADES][HN_GRADES]);

/* out = from x P. */
void hn_chain_move(const double from[HN_GRADES], double matrix[HN_GRADES][HN_GRADES],
                   double out[HN_GRADES]);

/* Share of each grade for one observed grade. A grade between two whole ones
 * (from a scale with other steps) is split between its neighbours.
 * NaN when the grade is NaN or outside 1..5. */
void hn_chain_start(double grade_1_5, double out[HN_GRADES]);

/* Sum of grade x share. */
double hn_chain_mean_grade(const double share[HN_GRADES]);

/* Of a chain by steps (one year, say), given by its chances of one step; grades may
 * be left out on the way down, none gets better.
 *
 *   stay:      1 / (1 - p_gg)
 *   to worst:  m_g = (1 + sum over h > g of p_gh m_h) / (1 - p_gg),  m_5 = 0
 *
 * the second the row sums of (I - Q)^-1 by back substitution. INFINITY where a grade
 * is never left; NaN when from_grade is outside 1..5. Source: J. G. Kemeny, J. L.
 * Snell, Finite Markov Chains (1960), ch. 3 (from memory). */
double hn_chain_mean_stay_steps(double matrix[HN_GRADES][HN_GRADES], int grade);
double hn_chain_mean_steps_to_worst(double matrix[HN_GRADES][HN_GRADES], int from_grade);

#endif
