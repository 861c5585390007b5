/* Rank by the score of a points scheme. Scores tie often: equal ones go by expected
 * loss, then by the order of the ids. */
#include "base/alloc.h"
#include "base/radix.h"
#include "risk/risk.h"

hn_status hn_risk_rank_score(hn_table *table, const hn_plan *plan, hn_error *err)
{
    hn_keyed *order = NULL;
    hn_status rc = HN_OK;

    if (plan->risk_scheme == HN_SCHEME_MONEY)
        return HN_OK;
    order = hn_alloc(table->rows, sizeof *order);
    HN_TRY_ALLOC(order);
    HN_TRY(hn_table_want(table, HN_COL_RANK_SCORE, err));
    for (size_t i = 0; i < table->rows; i++) /* by risk first: the sort keeps that order */
        order[HN_I32(table, RANK_RISK)[i] - 1] =
            hn_keyed_of(hn_key_falling(HN_F64(table, SCORE)[i]), (uint32_t)i);
    if (!hn_radix_sort(order, table->rows))
        HN_TRY(hn_fail(err, HN_ERR_MEMORY, "out of memory"));
    for (size_t i = 0; i < table->rows; i++)
        HN_I32(table, RANK_SCORE)[order[i].value] = (int32_t)(i + 1);
    for (size_t i = 0; plan->priority == HN_PRIORITY_SCORE && i < table->rows; i++)
        HN_I32(table, PRIORITY)[i] = HN_I32(table, RANK_SCORE)[i];
out:
    hn_free(order);
    return rc;
}
