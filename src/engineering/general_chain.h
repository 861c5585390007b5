/* engineering/general_chain.h - a chain of up to eight states with any steps.
 *
 * For readings that the progressive chain cannot explain: grades that get better,
 * steps that skip a grade, an end whose day is known, readings that may be wrong.
 * It is for estimates and checks; networks are moved by the progressive chain, since
 * a sewer does not heal without work.
 */
#ifndef HN_ENGINEERING_GENERAL_CHAIN_H
#define HN_ENGINEERING_GENERAL_CHAIN_H

#include "base/status.h"

#include <stddef.h>
#include <stdint.h>

enum { HN_STATES_MOST = 8 };

typedef double hn_state_matrix[HN_STATES_MOST][HN_STATES_MOST];

/* P(t) = exp(Q t), with the off-diagonal entries of `rate` as those of Q, which must be
 * >= 0; its diagonal is not read: rows of Q sum to 0. Years >= 0. All entries NaN
 * when an argument is out of range, or when a state is left more than 1e6 times in
 * that time.
 *
 *   exp(Q t) = (exp(-m h) exp((Q + m I) h))^(2^n),  h = t / 2^n, m h <= 1/4
 *
 * m: the fastest exit. Every term of the series is then positive, so that small
 * chances keep their digits. Source: C. Moler, C. Van Loan, SIAM Review 45 (2003) 3-49,
 * method 3 (scaling and squaring); A. Jensen, Skandinavisk Aktuarietidskrift 36 (1953)
 * 87-91 (the shift). From memory. */
void hn_general_matrix(int states, hn_state_matrix rate, double years, hn_state_matrix out);

/* One look at one thing. */
typedef struct hn_look {
    long thing;      /* number; the looks of one stand together, in order of time */
    double years;    /* any origin */
    uint32_t seen;   /* bit s - 1 for state s: read as one of these */
    int exact_entry; /* 1: `seen` is one state, read right, entered at this very time */
    size_t span;     /* filled by hn_general_pack */
} hn_look;

typedef struct hn_general_data {
    hn_look *look;
    size_t looks;
    double *span_years; /* [spans]: the different times between looks */
    size_t spans;
} hn_general_data;

/* Lists the spans; to be called once. `look` stays the caller's. HN_ERR_INPUT when
 * the looks of a thing are not in order of time, or a look has no state. */
HN_MUST_CHECK hn_status hn_general_pack(hn_general_data *data, hn_error *err);
void hn_general_clear(hn_general_data *data);

typedef struct hn_general_model {
    int states;
    hn_state_matrix rate; /* per year; 0: no such step */
    /* Chance that state row is read as column; the first look of a thing is right
     * whatever this says. */
    hn_state_matrix read;
    int has_read; /* 0: every look is right */
} hn_general_model;

/* ln of the chance of all looks after the first of each thing, given the first.
 *
 *   alpha_0 = the first look;  alpha_k = (alpha_(k-1) P(t_k - t_(k-1))) o e_k
 *   exact entry of r:  alpha_k[r] = sum over s <> r of (alpha_(k-1) P)[s] q[s][r]
 *
 * move: room for data->spans tables. Source: J. D. Kalbfleisch, J. F. Lawless, J.
 * Amer. Statist. Assoc. 80 (1985) 863-871; C. H. Jackson et al., The Statistician 52
 * (2003) 193-209 (misreading, exact ends). */
double hn_general_log_likelihood(const hn_general_data *data, const hn_general_model *model,
                                 hn_state_matrix *move);

/* Raises the likelihood from where `model` stands: entries above 0 are free, entries
 * of 0 stay. Rates move as logarithms, misreadings as ln(e[s][r] / e[s][s]).
 * *log_likelihood: at the end; *has_converged: 0 when the search ended early.
 *
 * HN_ERR_INPUT when the looks have no chance at the start; HN_ERR_MEMORY. Source: search
 * as in hn_chain_fit_rates. */
HN_MUST_CHECK hn_status hn_general_fit(const hn_general_data *data, hn_general_model *model,
                                       double *log_likelihood, int *has_converged, hn_error *err);

#endif
