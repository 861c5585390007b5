/* run/stages.c - the program's table of contents.
 *
 * The stages run in this order. Each reads the columns that earlier stages
 * filled and writes only its own (table/column_list.h names the owner). The
 * share is its usual part of the time, for the progress line only.
 */
#include "run/stages.h"

#include "condition/on_piece.h"
#include "run/attention.h"
#include "run/defaults.h"
#include "run/import.h"
#include "run/overrides.h"
#include "run/position.h"
#include "run/scenarios.h"
#include "run/sensitivity.h"
#include "run/write_results.h"

#include "base/alloc.h"

#include <stdio.h>

static hn_status stage_read(hn_state *s, hn_error *err)
{
    return hn_import_network(s, err);
}

static hn_status stage_network(hn_state *s, hn_error *err)
{
    hn_status rc = HN_OK;

    HN_TRY(hn_network_order(s->table, &s->issues, err));
    hn_plane_scale(&s->plane, s->table);
    HN_TRY(hn_overrides_apply_facts(s, err));
    HN_TRY(hn_import_nodes(s, err)); /* with hn_network_nodes */
    HN_TRY(hn_network_merge(s->table, s->plan, &s->plane, &s->nodes, &s->network, &s->issues, err));
    HN_TRY(hn_network_lengths(s->table, s->plan, &s->network, &s->issues, err));
    HN_TRY(hn_network_upstream(s->table, &s->nodes, &s->network, err));
    if (hn_position_is_asked(s->plan, s->table))
        HN_TRY(hn_network_cut_off(s->table, &s->nodes, err));
out:
    return rc;
}

static hn_status stage_inspections(hn_state *s, hn_error *err)
{
    hn_status rc = HN_OK;

    HN_TRY(hn_import_inspections(s, err));
    HN_TRY(hn_import_observations(s, err));
    if (s->plan->observation_count)
        HN_TRY(hn_observe(s->table, s->plan, &s->plane, s->threads, &s->inspections,
                          &s->observations, &s->observed, &s->issues, err));
    hn_inspections_on_pieces(s->table, s->plan, &s->inspections);
    s->matches.all = s->watched_id || s->table->rows <= HN_MATCHES_ALL_UP_TO;
    HN_TRY(hn_condition_join(s->table, &s->inspections, s->plan, &s->plane, s->threads, &s->join,
                             &s->matches, &s->issues, err));
    if (s->history)
        HN_TRY(
            hn_condition_history(s->table, &s->inspections, s->plan, &s->plane, s->history, err));
    hn_inspections_clear(&s->inspections);
out:
    return rc;
}

static hn_status stage_quality(hn_state *s, hn_error *err)
{
    hn_status rc = HN_OK;

    /* depth, slope and bend first without defaults: the rules look at facts */
    HN_TRY(hn_network_derive(s->table, &s->plane, s->threads, err));
    hn_network_dates(s->table, s->plan, &s->issues);
    HN_TRY(
        hn_network_quality(s->table, s->plan, &s->plane, &s->nodes, s->threads, &s->issues, err));
    hn_nodes_clear(&s->nodes); /* the last to ask for places of nodes */
    HN_TRY(hn_defaults_apply(s, err));
    HN_TRY(hn_network_derive(s->table, &s->plane, s->threads, err));
    HN_TRY(hn_defaults_apply_derived(s, err));
    hn_attention_issues(s);
out:
    return rc;
}

static hn_status stage_condition(hn_state *s, hn_error *err)
{
    return hn_condition_outlook(s->table, s->plan, s->threads, &s->outlook, err);
}

static hn_status stage_nearness(hn_state *s, hn_error *err)
{
    return hn_import_context(s, err);
}

static void tell_negative_money(hn_state *s)
{
    char value[160];

    for (size_t i = 0; i < s->plan->config.factor_class_count; i++) {
        const hn_factor_class *c = &s->plan->config.factors[i];

        if (!s->parts.negative[i])
            continue;
        snprintf(value, sizeof value, "%.60s, %.60s: %zu segments", c->factor, c->name,
                 s->parts.negative[i]);
        hn_issue_add(&s->issues, HN_SEVERITY_WARNING, "consequence_negative", NULL, "consequence",
                     value, "the money of a factor comes out below 0",
                     "it counts as not known and adds nothing", (double)NAN, (double)NAN);
    }
}

static hn_status stage_consequence(hn_state *s, hn_error *err)
{
    hn_status rc = HN_OK;

    HN_TRY(hn_consequence(s->table, s->plan, s->threads, &s->parts, err));
    tell_negative_money(s);
    HN_TRY(hn_scheme_run(s->table, s->plan, s->threads, &s->scheme, err));
out:
    return rc;
}

static hn_status stage_options(hn_state *s, hn_error *err)
{
    hn_treatment treatments[HN_MAX_METHODS];
    hn_status rc = HN_OK;

    HN_TRY(hn_options_treatments(s->plan, treatments, err));
    HN_TRY(hn_loss_init(&s->loss, &s->outlook, treatments, s->plan->config.method_count,
                        s->plan->discount_pct / 100.0, err));
    HN_TRY(hn_options_new(s->table, s->plan, &s->outlook, &s->loss, &s->judged, err));
    HN_TRY(hn_options_run(s->judged, s->threads, err));
    hn_state_tell_part(s, "  of it design and cost", hn_options_design_s(s->judged));
    HN_TRY(hn_overrides_apply_choices(s, err));
    HN_TRY(hn_import_works(s, err)); /* commitments may put a method in place */
out:
    return rc;
}

/* A large network is asked only when a person moved a rank: nothing else can break it. */
enum { DOMINANCE_ALWAYS_UP_TO = 100000 };

static hn_status check_dominance(hn_state *s, hn_error *err)
{
    if (s->plan->priority != HN_PRIORITY_RISK ||
        (s->table->rows > DOMINANCE_ALWAYS_UP_TO && !s->table->column[HN_COL_PRIORITY_COMPUTED]))
        return HN_OK;
    return hn_risk_dominance(s->table, &s->issues, &s->ranks.dominated, err);
}

static hn_status stage_risk(hn_state *s, hn_error *err)
{
    hn_status rc = HN_OK;

    HN_TRY(hn_risk_losses(s->table, &s->outlook, &s->loss, s->threads, err));
    HN_TRY(hn_risk_reliance(s->table, s->plan, &s->parts, s->default_taken, s->threads, err));
    HN_TRY(hn_risk_rank(s->table, &s->outlook, s->plan, s->threads, &s->ranks, err));
    HN_TRY(hn_risk_rank_score(s->table, s->plan, err));
    HN_TRY(hn_overrides_move_ranks(s, err));
    hn_overrides_review(s);
    HN_TRY(check_dominance(s, err));
    HN_TRY(hn_risk_act_now(s->table, s->plan, s->threads, err));
    if (!s->varies_from && !hn_sensitivity_is_on(s))
        hn_text_pool_seal(s->table->texts); /* the last condition has looked for its texts */
out:
    return rc;
}

static hn_status stage_programme(hn_state *s, hn_error *err)
{
    return hn_scenarios_run(s, err);
}

static hn_status stage_sensitivity(hn_state *s, hn_error *err)
{
    hn_status rc = HN_OK;

    if (hn_sensitivity_is_on(s)) {
        rc = hn_sensitivity_run(s, err);
        hn_text_pool_seal(s->table->texts);
    }
    /* nobody asks any more which segments meet */
    hn_table_drop(s->table, HN_COL_UP_INDEX);
    hn_table_drop(s->table, HN_COL_DOWN_INDEX);
    return rc;
}

static hn_status stage_write(hn_state *s, hn_error *err)
{
    return hn_write_results(s, err);
}

const hn_stage hn_run_stages[HN_STAGES] = {
    [HN_STAGE_READ] = {"reading the network", 0.24, stage_read},
    [HN_STAGE_NETWORK] = {"building the network", 0.07, stage_network},
    [HN_STAGE_INSPECTIONS] = {"joining inspections", 0.08, stage_inspections},
    [HN_STAGE_QUALITY] = {"checking the data", 0.06, stage_quality},
    [HN_STAGE_CONDITION] = {"condition", 0.02, stage_condition},
    [HN_STAGE_NEARNESS] = {"nearness", 0.07, stage_nearness},
    [HN_STAGE_CONSEQUENCE] = {"consequence", 0.04, stage_consequence},
    [HN_STAGE_OPTIONS] = {"methods, design and cost", 0.12, stage_options},
    [HN_STAGE_RISK] = {"risk and rank", 0.03, stage_risk},
    [HN_STAGE_PROGRAMME] = {"programme", 0.03, stage_programme},
    [HN_STAGE_SENSITIVITY] = {"sensitivity", 0.02, stage_sensitivity},
    [HN_STAGE_WRITE] = {"writing", 0.22, stage_write},
};
const size_t hn_run_stage_count = HN_STAGES;
const size_t hn_check_stage_count = HN_STAGE_QUALITY + 1;
