/* The stages up to "condition", every inspection kept, then the fit. */
#include "run/fit.h"

#include "base/alloc.h"
#include "plan/config_tables.h"
#include "run/fit_write.h"
#include "run/stages.h"

#include <string.h>

enum { STAGE_INSPECTIONS = 3, STAGE_CONDITION = 5 };

typedef struct work {
    hn_state *state;
    hn_history history;
    hn_fit fit;
    hn_fit_reliability test[HN_DRIVERS];
    double read[HN_GRADES][HN_GRADES];
    hn_arena arena;
    double share; /* of the stage that fits and writes, at its last step */
} work;

static const char *folder_of(const hn_fit_call *call, work *w)
{
    const char *folder = w->state->plan->output_folder;
    size_t n = strlen(folder);

    if (call->output)
        return call->output;
    while (n > 1 && folder[n - 1] == '/')
        n--;
    return hn_arena_printf(&w->arena, "%.*s-fit", (int)n, folder);
}

static size_t used_inspections(const hn_history *h)
{
    size_t used = 0;

    for (size_t i = 0; i < h->count; i++)
        used += h->visit[i].grades[0] || h->visit[i].grades[1] || h->visit[i].grades[2];
    return used;
}

/* A long fit hears Ctrl-C too. */
static void tick(void *context)
{
    work *w = context;

    hn_state_progress(w->state, w->share);
}

static hn_status fit_all(const hn_fit_call *call, work *w, hn_error *err)
{
    hn_fit_spec spec = {.table = w->state->table,
                        .history = &w->history,
                        .cohort = w->state->outlook.cohort,
                        .plan = w->state->plan,
                        .read = call->misreading ? (const double(*)[HN_GRADES])w->read : NULL,
                        .seed = (uint64_t)call->seed,
                        .threads = w->state->threads,
                        .tick = tick,
                        .tick_context = w};
    hn_status rc = HN_OK;

    if (used_inspections(&w->history) == 0) {
        hn_fail(err, HN_ERR_INPUT, "no inspection can be used for a fit");
        hn_hint(err, "a fit needs inspections with a date and a grade, on segments of the network");
        return HN_ERR_INPUT;
    }
    w->state->stage_name = "fitting";
    w->state->share_stage = 1.0 - w->state->share_done;
    tick(w);
    HN_TRY(hn_fit_run(&spec, &w->fit, err));
    w->share = 0.6;
    tick(w);
    spec.whole = &w->fit;
    HN_TRY(hn_fit_backtest(&spec, w->test, err));
    w->share = 0.9;
    tick(w);
out:
    return rc;
}

static const char *base_name(const char *path)
{
    const char *slash = path ? strrchr(path, '/') : NULL;

    return slash ? slash + 1 : path;
}

hn_status hn_fit_command(const hn_fit_call *call, FILE *out, hn_error *err)
{
    work w = {.state = NULL};
    const char *folder;
    hn_status rc = HN_OK;

    HN_TRY(hn_state_new(call->plan_path, call->options, &w.state, err));
    folder = folder_of(call, &w);
    HN_TRY_ALLOC(folder);
    HN_TRY(hn_fit_folder_check(w.state->plan, folder, err));
    if (call->misreading)
        HN_TRY(hn_config_misreading(call->misreading, &w.arena, w.read, err));
    w.state->history = &w.history;
    HN_TRY(hn_state_run(w.state, 0, STAGE_CONDITION, err));
    HN_TRY(fit_all(call, &w, err));
    const hn_fit_result result = {.state = w.state,
                                  .history = &w.history,
                                  .fit = &w.fit,
                                  .test = w.test,
                                  .misreading = base_name(call->misreading),
                                  .seed = call->seed,
                                  .tick = tick,
                                  .tick_context = &w,
                                  .read = used_inspections(&w.history)};
    HN_TRY(hn_fit_write(&result, folder, err));
    w.state->stage_name = "done";
    w.state->share_stage = 0.0;
    w.state->share_done = 1.0;
    hn_state_progress(w.state, 0.0);
    if (out)
        hn_fit_account(&result, folder, out);
out:
    hn_fit_clear(&w.fit);
    hn_history_clear(&w.history);
    hn_state_free(w.state);
    hn_arena_clear(&w.arena);
    return rc;
}
