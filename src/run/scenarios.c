#include "run/scenarios.h"

#include "base/alloc.h"

static const hn_scenario wanted[HN_SCENARIOS] = {
    {.name = "do nothing", .meaning = "no work in any year", .does_nothing = 1},
    {.name = "plan",
     .meaning = "the budgets of the plan, by loss avoided per money",
     .budget_factor = 1.0,
     .order = HN_ORDER_VALUE},
    {.name = "minus 20 %",
     .meaning = "every yearly budget cut by a fifth",
     .budget_factor = 0.8,
     .order = HN_ORDER_VALUE},
    {.name = "unconstrained",
     .meaning = "all work in the first year, whatever it costs",
     .budget_factor = INFINITY,
     .order = HN_ORDER_VALUE},
    {.name = "worst first",
     .meaning = "the budgets of the plan, by expected loss and not by value",
     .budget_factor = 1.0,
     .order = HN_ORDER_WORST_FIRST},
};

static hn_status run_one(hn_state *s, hn_scenario *scenario, hn_error *err)
{
    hn_allocate_spec spec = {s->table, s->plan, &s->outlook, &s->loss, s->commitments,
                             s->commitment_count, scenario->budget_factor, scenario->order};
    hn_status rc = HN_OK;

    if (!scenario->does_nothing)
        HN_TRY(hn_allocate(&spec, &scenario->allocation, err));
    scenario->path = hn_alloc(s->outlook.years, sizeof *scenario->path);
    HN_TRY_ALLOC(scenario->path);
    HN_TRY(hn_programme_path(s->table, &s->outlook, &s->loss,
                             scenario->does_nothing ? NULL : &scenario->allocation,
                             scenario->path, err));
out:
    return rc;
}

hn_status hn_scenarios_run(hn_state *s, hn_error *err)
{
    hn_status rc = HN_OK;

    for (int i = 0; i < HN_SCENARIOS; i++) {
        s->scenario[i] = wanted[i];
        HN_TRY(run_one(s, &s->scenario[i], err));
        hn_state_progress(s, (i + 1.0) / HN_SCENARIOS);
    }
    HN_TRY(hn_programme_store(s->table, s->plan, &s->scenario[1].allocation, s->commitments,
                              s->commitment_count, &s->projects, err));
out:
    return rc;
}
