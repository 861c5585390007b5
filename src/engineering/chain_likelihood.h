/* engineering/chain_likelihood.h - how well rates explain readings. */
#ifndef HN_ENGINEERING_CHAIN_LIKELIHOOD_H
#define HN_ENGINEERING_CHAIN_LIKELIHOOD_H

#include "engineering/chain_data.h"

typedef struct hn_chain_model {
    double rate_per_year[HN_GRADES - 1]; /* at age 0 */
    double growth_per_year;              /* b of exp(b age); 0: constant rates */
    /* Chance that true grade row + 1 is read as column + 1, rows sum to 1; NULL:
     * every reading is right. */
    const double (*read)[HN_GRADES];
} hn_chain_model;

/* Years at the rates of age 0 that do as much as the time between two ages.
 *
 *   H(a, b) = (exp(g b) - exp(g a)) / g,  b - a when g = 0
 *
 * One factor exp(g age) on all four rates leaves P = exp(Q H). NaN when an
 * argument is. Source: B. Gompertz, "On the nature of the function expressive
 * of the law of human mortality", Phil. Trans. 115 (1825) 513-583 (the form of
 * the rate); the integral is elementary. */
double hn_chain_operational_years(double growth_per_year, double from_years, double to_years);

/* Chances of moving between two ages: exp(Q H(a, b)), ages >= 0, from <= to. Where
 * H times the fastest rate passes HN_CHAIN_STEPS_MOST, which only growth over
 * centuries does, H is cut there: all is in the worst grade that can be reached. NaN as
 * in hn_chain_matrix. */
void hn_chain_aged_matrix(const double rate_per_year[HN_GRADES - 1], double growth_per_year,
                          double from_years, double to_years, double out[HN_GRADES][HN_GRADES]);

/* Sum over sequences of weight x ln(chance of what was read).
 *
 *   alpha_0 = (1,0,0,0,0), or the first reading where it is given
 *   alpha_k = (alpha_(k-1) P(a_(k-1), a_k)) o e_k,   ln L = ln sum alpha_n
 *
 * e_k[i] is 1 for grades in the reading, else 0; with a misreading matrix it is
 * the chance that true grade i is read as one of them. A first reading that is
 * given is then spread over true grades as e_0 / sum e_0 (local rule: every true
 * grade as likely beforehand). One exact reading at a known age is the
 * cross-section, two the repeat inspection, a set of grades the interval-censored
 * one. -INFINITY when a sequence has no chance, as an improving grade without
 * misreading.
 *
 * data   packed
 * move   room for data->spans tables
 *
 * Source: J. D. Kalbfleisch, J. F. Lawless, "The analysis of panel data under a
 * Markov assumption", J. Amer. Statist. Assoc. 80 (1985) 863-871; forward
 * recursion: C. H. Jackson et al., "Multistate Markov models for disease
 * progression with classification error", The Statistician 52 (2003) 193-209. */
double hn_chain_log_likelihood(const hn_chain_data *data, const hn_chain_model *model,
                               double (*move)[HN_GRADES][HN_GRADES]);

#endif
