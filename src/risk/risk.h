/* risk/risk.h - expected loss, ranks, and the list that cannot wait.
 *
 * A rank is not a programme: hn_risk_rank orders segments, hn_risk_act_now
 * lists those that need somebody now, whatever their rank.
 */
#ifndef HN_RISK_RISK_H
#define HN_RISK_RISK_H

#include "base/status.h"
#include "plan/plan.h"
#include "table/loss.h"
#include "table/outlook.h"
#include "table/segment_table.h"

/* Expected loss now and to the horizon. */
HN_MUST_CHECK hn_status hn_risk_losses(hn_table *table, const hn_outlook *outlook,
                                       const hn_loss *loss, int threads, hn_error *err);

typedef struct hn_rank_stats {
    size_t ties; /* segments whose loss equals another's; order by id then */
} hn_rank_stats;

/* rank_risk, rank_value, priority, and the ranks under best and worst fill. */
HN_MUST_CHECK hn_status hn_risk_rank(hn_table *table, const hn_outlook *outlook,
                                     const hn_plan *plan, int threads, hn_rank_stats *stats,
                                     hn_error *err);

/* rank_score of a points scheme, after hn_risk_rank; priority too when the plan
 * follows the score. Nothing without a scheme. */
HN_MUST_CHECK hn_status hn_risk_rank_score(hn_table *table, const hn_plan *plan, hn_error *err);

/* act_now_rule: the first rule of config/act_now.csv that holds. */
HN_MUST_CHECK hn_status hn_risk_act_now(hn_table *table, const hn_plan *plan, int threads,
                                        hn_error *err);

#endif
