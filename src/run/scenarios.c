#include "run/scenarios.h"

#include "base/alloc.h"
#include "base/parallel.h"

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

/* The scenarios share the table, which nobody changes meanwhile. */
typedef struct running {
    hn_state *state;
    double *all_rows; /* of hn_programme_sums */
    hn_status rc[HN_SCENARIOS];
    hn_error error[HN_SCENARIOS];
} running;

static hn_status allocate(const hn_state *s, hn_scenario *scenario, hn_error *err)
{
    const hn_allocate_spec spec = {s->table,
                                   s->plan,
                                   &s->outlook,
                                   &s->loss,
                                   s->commitments,
                                   s->commitment_count,
                                   scenario->budget_factor,
                                   scenario->order};

    return hn_allocate(&spec, &scenario->allocation, err);
}

hn_status hn_scenarios_allocate(const hn_state *s, hn_scenario *plan, hn_error *err)
{
    *plan = wanted[1];
    return allocate(s, plan, err);
}

static hn_status run_one(const running *r, hn_scenario *scenario, hn_error *err)
{
    const hn_state *s = r->state;
    hn_status rc = HN_OK;

    if (!scenario->does_nothing)
        HN_TRY(allocate(s, scenario, err));
    scenario->path = hn_alloc(s->outlook.years, sizeof *scenario->path);
    HN_TRY_ALLOC(scenario->path);
    HN_TRY(hn_programme_path(s->table, &s->outlook, &s->loss, r->all_rows,
                             scenario->does_nothing ? NULL : &scenario->allocation, scenario->path,
                             err));
out:
    return rc;
}

static void run_some(void *context, size_t begin, size_t end, int worker)
{
    running *r = context;

    for (size_t i = begin; i < end; i++) {
        r->rc[i] = run_one(r, &r->state->scenario[i], &r->error[i]);
        if (worker == 0) /* the thread that may be interrupted */
            hn_state_progress(r->state, (double)(i + 1) / HN_SCENARIOS);
    }
}

static hn_status run_all(running *r, hn_error *err)
{
    hn_state *s = r->state;
    hn_status rc = HN_OK;

    for (size_t i = 0; i < HN_SCENARIOS; i++)
        s->scenario[i] = wanted[i];
    HN_TRY(hn_programme_sums(s->table, &s->outlook, &r->all_rows, err));
    hn_parallel_blocks(s->threads, HN_SCENARIOS, 1, run_some, r);
    for (size_t i = 0; i < HN_SCENARIOS && rc == HN_OK; i++) {
        rc = r->rc[i];
        if (rc != HN_OK && err)
            *err = r->error[i];
    }
out:
    hn_free(r->all_rows);
    return rc;
}

hn_status hn_scenarios_run(hn_state *s, hn_error *err)
{
    running *r = hn_alloc(1, sizeof *r);
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(r);
    r->state = s;
    HN_TRY(run_all(r, err));
    HN_TRY(hn_programme_store(s->table, s->plan, &s->scenario[1].allocation, s->commitments,
                              s->commitment_count, &s->projects, err));
out:
    hn_free(r);
    return rc;
}
