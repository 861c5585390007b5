/* programme/programme.h - which work in which year.
 *
 * First version: commitments, then act-now segments, then the rest by loss
 * avoided per cost; each year takes what fits its money, and a limited part of
 * what is left is carried over. hn_allocate is the one place where a better
 * optimiser will stand: same arguments, same result.
 */
#ifndef HN_PROGRAMME_PROGRAMME_H
#define HN_PROGRAMME_PROGRAMME_H

#include "base/status.h"
#include "plan/plan.h"
#include "table/loss.h"
#include "table/outlook.h"
#include "table/segment_table.h"

/* Works known from elsewhere, matched to rows by the run. */
typedef struct hn_commitment {
    uint32_t row;
    int32_t year;
    double cost; /* NaN: the estimated cost */
} hn_commitment;

typedef enum hn_order_rule {
    HN_ORDER_VALUE,       /* loss avoided per cost */
    HN_ORDER_WORST_FIRST  /* expected loss now */
} hn_order_rule;

typedef struct hn_budget_line {
    int32_t year;
    double budget, carry_in, committed, spent, carry_out, forfeited;
    size_t segments;
    double length_lined_m, length_replaced_m, length_other_m, loss_avoided;
} hn_budget_line;

typedef struct hn_allocation {
    size_t years;
    hn_budget_line *lines;
    int8_t *year_of; /* per row: 0 .. years - 1, -1 not funded */
    double total_cost, total_avoided;
    size_t funded;
    double committed_over; /* commitments beyond the money of their years */
} hn_allocation;

typedef struct hn_allocate_spec {
    const hn_table *table;
    const hn_plan *plan;
    const hn_outlook *outlook;
    const hn_loss *loss;
    const hn_commitment *commitments;
    size_t commitment_count;
    double budget_factor;  /* 1 the plan's money, 0.8 a cut, INFINITY no limit */
    hn_order_rule order;
} hn_allocate_spec;

HN_MUST_CHECK hn_status hn_allocate(const hn_allocate_spec *spec, hn_allocation *out,
                                    hn_error *err);
void hn_allocation_clear(hn_allocation *allocation);

/* Writes programme, year and project_id; projects are funded segments of one
 * year and method that share a node. *projects: how many. */
HN_MUST_CHECK hn_status hn_programme_store(hn_table *table, const hn_plan *plan,
                                           const hn_allocation *allocation,
                                           const hn_commitment *commitments,
                                           size_t commitment_count, size_t *projects,
                                           hn_error *err);

/* The network year by year under one allocation (NULL: nothing done). */
typedef struct hn_path_year {
    double loss;            /* expected loss of the year, not discounted */
    double loss_of[HN_OUTLOOK_DRIVERS]; /* its parts by driver */
    double backlog_m;       /* expected length in structural grades 4 and 5 */
    double backlog_cost;    /* its cost by the chosen methods */
} hn_path_year;

/* Sums over all rows by cohort and grade, the same for every allocation; free
 * with hn_free. */
HN_MUST_CHECK hn_status hn_programme_sums(const hn_table *table, const hn_outlook *outlook,
                                          double **out, hn_error *err);

/* `all_rows` is from hn_programme_sums; out has outlook->years entries. */
HN_MUST_CHECK hn_status hn_programme_path(const hn_table *table, const hn_outlook *outlook,
                                          const hn_loss *loss, const double *all_rows,
                                          const hn_allocation *allocation, hn_path_year *out,
                                          hn_error *err);

/* 1 when the row has work to do: a chosen method with a cost. */
int hn_is_candidate(const hn_table *table, const hn_plan *plan, size_t row);

#endif
