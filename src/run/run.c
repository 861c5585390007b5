#include "run/run.h"

#include "base/alloc.h"
#include "base/parallel.h"
#include "run/fit_write.h"
#include "run/import.h"
#include "run/previous_result.h"
#include "run/rules_check.h"
#include "run/sensitivity.h"
#include "run/source_hash.h"
#include "run/stages.h"
#include "run/state.h"
#include "write/result_writer.h"

#include <string.h>
#include <time.h>

static const int THREADS_USEFUL = 8; /* beyond it the writer decides the pace */

void hn_state_free(hn_state *s)
{
    if (!s)
        return;
    hn_source_hash_settle(s);
    for (int i = 0; i < HN_SCENARIOS; i++) {
        hn_allocation_clear(&s->scenario[i].allocation);
        hn_free(s->scenario[i].path);
    }
    hn_options_free(s->judged);
    hn_loss_clear(&s->loss);
    hn_consequence_parts_clear(&s->parts);
    hn_scheme_parts_clear(&s->scheme);
    hn_outlook_clear(&s->outlook);
    hn_inspections_clear(&s->inspections);
    hn_matches_clear(&s->matches);
    hn_observations_clear(&s->observations);
    hn_nodes_clear(&s->nodes);
    hn_crs_info_clear(&s->crs);
    hn_issue_list_clear(&s->issues);
    hn_table_free(s->table);
    hn_free(s->commitments);
    hn_free(s->default_used);
    hn_free(s->default_watched);
    hn_free(s->default_taken);
    for (size_t i = 0; s->default_filled && i < s->plan->default_count; i++)
        hn_free(s->default_filled[i]);
    hn_free(s->default_filled);
    hn_works_forget(s);
    hn_sensitivity_clear(&s->sensitivity);
    hn_free(s->override_state);
    hn_plan_free(s->plan);
    hn_free(s);
}

hn_status hn_state_of_plan(hn_plan *plan, const hn_run_options *options, hn_state **out,
                           hn_error *err)
{
    hn_state *s = hn_alloc(1, sizeof *s);
    int threads = options && options->threads > 0 ? options->threads : hn_cores();
    hn_status rc = HN_OK;

    *out = s;
    if (!s)
        hn_plan_free(plan);
    HN_TRY_ALLOC(s);
    s->plan = plan;
    s->options = options;
    s->threads = threads < THREADS_USEFUL ? threads : THREADS_USEFUL;
    HN_TRY(hn_rules_check(s->plan, err));
    HN_TRY(hn_issue_list_init(&s->issues, err));
out:
    return rc;
}

hn_status hn_state_new(const char *plan_path, const hn_run_options *options, hn_state **out,
                       hn_error *err)
{
    hn_plan *plan = NULL;
    hn_status rc = HN_OK;

    *out = NULL;
    HN_TRY(hn_plan_read(plan_path, &plan, err));
    HN_TRY(hn_state_of_plan(plan, options, out, err));
out:
    return rc;
}

static double now_s(clockid_t clock)
{
    struct timespec t;

    clock_gettime(clock, &t);
    return (double)t.tv_sec + 1e-9 * (double)t.tv_nsec;
}

static void tell_timing(const hn_state *s, double began_s, double processor_began_s)
{
    if (s->options && s->options->timing)
        s->options->timing(s->options->timing_context, s->stage_name,
                           now_s(CLOCK_MONOTONIC) - began_s,
                           now_s(CLOCK_PROCESS_CPUTIME_ID) - processor_began_s,
                           s->table ? hn_table_bytes(s->table) : 0);
}

void hn_state_tell_part(const hn_state *s, const char *part, double processor_s)
{
    if (s->options && s->options->timing)
        s->options->timing(s->options->timing_context, part, processor_s / s->threads, processor_s,
                           hn_table_bytes(s->table));
}

hn_status hn_state_run(hn_state *s, size_t from, size_t to, hn_error *err)
{
    hn_status rc = HN_OK;

    for (size_t i = from; i < to; i++) {
        double began_s = now_s(CLOCK_MONOTONIC);
        double processor_began_s = now_s(CLOCK_PROCESS_CPUTIME_ID);

        s->stage_name = hn_run_stages[i].name;
        s->share_stage = hn_run_stages[i].share;
        hn_state_progress(s, 0.0);
        HN_TRY(hn_run_stages[i].run(s, err));
        hn_heap_trim();
        tell_timing(s, began_s, processor_began_s);
        s->share_done += s->share_stage;
    }
out:
    return rc;
}

static hn_status run_stages(hn_state *s, size_t count, hn_error *err)
{
    hn_status rc = HN_OK;

    HN_TRY(hn_state_run(s, 0, count, err));
    s->stage_name = "done";
    s->share_stage = 0.0;
    s->share_done = 1.0;
    hn_state_progress(s, 0.0);
out:
    return rc;
}

static int has_errors(const hn_state *s)
{
    for (size_t i = 0; i < s->issues.count; i++)
        if (s->issues.items[i].severity == HN_SEVERITY_ERROR)
            return 1;
    return 0;
}

hn_status hn_run(const char *plan_path, const hn_run_options *options, hn_summary *summary,
                 hn_error *err)
{
    hn_state *s = NULL;
    hn_status rc = HN_OK;

    HN_TRY(hn_state_new(plan_path, options, &s, err));
    s->summary = summary;
    s->wants_sensitivity = 1;
    /* before hours of work, not after them */
    HN_TRY(hn_result_check_folder(s->plan->output_folder, err));
    hn_previous_result_look(s);
    HN_TRY(run_stages(s, hn_run_stage_count, err));
    if (options && options->strict && has_errors(s))
        rc = hn_fail(err, HN_FINDINGS, "done, but the data have errors: see layer data_issues");
out:
    hn_state_free(s);
    return rc;
}

void hn_run_abandon(void)
{
    hn_result_abandon();
    hn_fit_abandon();
}

hn_status hn_check(const char *plan_path, const hn_run_options *options, FILE *out, hn_error *err)
{
    hn_state *s = NULL;
    hn_status rc = HN_OK;

    HN_TRY(hn_state_new(plan_path, options, &s, err));
    hn_previous_result_look(s);
    HN_TRY(run_stages(s, hn_check_stage_count, err));
    hn_check_report(s, out);
    if (options && options->strict && has_errors(s))
        rc = hn_fail(err, HN_FINDINGS, "the data have errors");
out:
    hn_state_free(s);
    return rc;
}
