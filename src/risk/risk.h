/* risk/risk.h - expected loss, ranks, and the list that cannot wait.
 *
 * A rank is not a programme: hn_risk_rank orders segments, hn_risk_act_now
 * lists those that need somebody now, whatever their rank.
 */
#ifndef HN_RISK_RISK_H
#define HN_RISK_RISK_H

#include "base/status.h"
#include "plan/plan.h"
#include "table/consequence_parts.h"
#include "table/issues.h"
#include "table/loss.h"
#include "table/outlook.h"
#include "table/segment_table.h"

/* Expected loss now and to the horizon. */
HN_MUST_CHECK hn_status hn_risk_losses(hn_table *table, const hn_outlook *outlook,
                                       const hn_loss *loss, int threads, hn_error *err);

typedef struct hn_rank_stats {
    size_t ties; /* segments whose loss equals another's; order by id then */
    size_t dominated; /* segments ranked after one that they dominate */
} hn_rank_stats;

/* rank_risk, rank_value, priority, and the ranks under best and worst fill. */
HN_MUST_CHECK hn_status hn_risk_rank(hn_table *table, const hn_outlook *outlook,
                                     const hn_plan *plan, int threads, hn_rank_stats *stats,
                                     hn_error *err);

/* rank_score of a points scheme, after hn_risk_rank; priority too when the plan
 * follows the score. Nothing without a scheme. */
HN_MUST_CHECK hn_status hn_risk_rank_score(hn_table *table, const hn_plan *plan, hn_error *err);

/* 1 when `worse` is at least as bad in each of the three chances and the three costs of
 * failure and worse in one; a part that is not known on either side: 0. */
int hn_risk_dominates(const hn_table *table, size_t worse, size_t better);

/* Segments that stand after one that they dominate, by `priority`: one data issue
 * "rank_dominated" each with both ids, at most 1000; *found counts all. Each is compared
 * with the 64 least losses before it. Not for a priority by value, where cost decides. */
HN_MUST_CHECK hn_status hn_risk_dominance(const hn_table *table, hn_issue_list *issues,
                                          size_t *found, hn_error *err);

/* default_share and unseen_share: the parts of the expected loss of the next year whose
 * cost rests on a default (of the plan, or of a factor's class for values that are not
 * known) and whose chance rests on a grade that was not observed. Missing where nothing
 * can be lost. taken: per row a bit for each of the first 64 defaults of the plan; NULL:
 * none taken. Does nothing in networks of more than HN_RELIANCE_ROWS segments. */
enum { HN_RELIANCE_ROWS = 100000, HN_RELIANCE_DEFAULTS = 64 };
HN_MUST_CHECK hn_status hn_risk_reliance(hn_table *table, const hn_plan *plan,
                                         const hn_consequence_parts *parts, const uint64_t *taken,
                                         int threads, hn_error *err);

/* act_now_rule: the first rule of config/act_now.csv that holds. */
HN_MUST_CHECK hn_status hn_risk_act_now(hn_table *table, const hn_plan *plan, int threads,
                                        hn_error *err);

#endif
