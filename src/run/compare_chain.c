/* The chain of states between two results. */
#include "run/compare_parts.h"
#include "run/explain_guard.h"
#include "run/stages.h"
#include "run/versions.h"

#include "base/alloc.h"

#include <string.h>

/* ---- the two results ---- */

static hn_status take_log(void *context, const hn_cell *k, hn_error *err)
{
    hn_comparison *c = context;
    hn_compare_side *side = c->side[1].store ? &c->side[1] : &c->side[0];
    hn_status rc = HN_OK;

    if (!k[0].text || !k[1].text || !k[2].text || strcmp(k[0].text, "plan") != 0 ||
        strcmp(k[1].text, "currency") != 0)
        return HN_OK;
    side->currency = hn_arena_text(&c->arena, k[2].text);
    HN_TRY_ALLOC(side->currency);
out:
    return rc;
}

static hn_status open_side(hn_comparison *c, int which, const char *path, hn_error *err)
{
    static const char *const columns[] = {"topic", "item", "value"};
    hn_compare_side *side = &c->side[which];
    const char *format;
    hn_status rc = HN_OK;

    HN_TRY(hn_result_store_open(path, &side->store, err));
    format = hn_result_store_text(side->store, "$.format");
    if (!format || strcmp(format, "1") != 0) {
        rc = hn_fail(err, HN_ERR_INPUT, "%s: run.json has format %s, this haunch reads format 1",
                     path, format ? format : "none");
        hn_hint(err, "run the plan again with this haunch, or compare with the one that made it");
        goto out;
    }
    side->as_of = hn_result_store_text(side->store, "$.as_of");
    side->version = hn_result_store_text(side->store, "$.versions.haunch");
    side->is_us = !hn_result_store_has(side->store, "segments", "length_m") &&
                  hn_result_store_has(side->store, "segments", "length_ft");
    HN_TRY(hn_result_store_rows(side->store, "run_log", columns, 3, take_log, c, err));
    side->currency = side->currency ? side->currency : "";
    side->as_of = side->as_of ? side->as_of : "unknown";
    side->version = side->version ? side->version : "unknown";
out:
    return rc;
}

static hn_status open_both(hn_comparison *c, hn_error *err)
{
    hn_status rc = HN_OK;

    HN_TRY(open_side(c, 0, c->spec->first, err));
    HN_TRY(open_side(c, 1, c->spec->second, err));
    if (strcmp(c->side[0].currency, c->side[1].currency) != 0) {
        rc =
            hn_fail(err, HN_ERR_INPUT, "the results are in different currencies: \"%s\" and \"%s\"",
                    c->side[0].currency, c->side[1].currency);
        hn_hint(err, "money of two currencies cannot be compared; run one of the plans again with "
                     "prices, consequences and budgets in the currency of the other");
    }
out:
    return rc;
}

/* ---- are the inputs still what they were? ---- */

/* Why a result cannot be made again: in no_split, the first reason stays. */
static void give_up(hn_comparison *c, int which, const char *why)
{
    if (!c->no_split)
        c->no_split = hn_arena_printf(&c->arena, "cannot be split: %s result: %s",
                                      which ? "second" : "first", why);
}

static hn_status load_plan(hn_comparison *c, int which, hn_error *err)
{
    hn_compare_side *side = &c->side[which];
    const char *relative = hn_result_store_text(side->store, "$.plan_path");
    const char *path =
        !relative ? ""
        : relative[0] == '/'
            ? relative
            : hn_arena_printf(&c->arena, "%s/%s", hn_result_store_folder(side->store), relative);
    hn_error why = {0};
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(path);
    if (hn_guard_plan(side->store, path, &why) == HN_OK &&
        hn_plan_read(path, &side->plan, &why) == HN_OK &&
        hn_guard_inputs(side->store, side->plan, &why) == HN_OK)
        return HN_OK;
    if (why.status == HN_ERR_MEMORY)
        return hn_fail(err, HN_ERR_MEMORY, "%s", why.message);
    give_up(c, which, why.message);
    HN_TRY_ALLOC(c->no_split);
out:
    return rc;
}

/* ---- runs ---- */

static void show_progress(void *context, const char *stage, double share)
{
    hn_comparison *c = context;
    const hn_run_options *o = c->spec->options;

    if (o && o->progress)
        o->progress(o->progress_context, stage,
                    0.99 * ((double)c->runs_done + share) / (double)(c->runs ? c->runs : 1));
}

/* One more state of the chain: the first plan with some parts of the second. */
static hn_status run_parts(hn_comparison *c, unsigned parts, hn_error *err)
{
    hn_snapshot *to = &c->snap[c->snaps];
    hn_plan *plan = NULL;
    hn_state *s = NULL;
    hn_status rc = HN_OK;

    HN_TRY(hn_plan_mix(c->side[0].plan, c->side[1].plan, parts, &plan, err));
    HN_TRY(hn_state_of_plan(plan, &c->run_options, &s, err));
    HN_TRY(hn_state_run(s, 0, hn_run_stage_count - 1, err));
    HN_TRY(hn_snapshot_of_state(c, s, to, err));
    c->snaps++;
    c->runs_done++;
out:
    if (rc != HN_OK)
        hn_snapshot_clear(to);
    hn_state_free(s);
    return rc;
}

static void name_step(hn_comparison *c, const char *cause, const char *note, unsigned parts)
{
    c->step[c->snaps - 1] = (hn_compare_step){cause, note, parts};
}

static const char *parts_name(hn_comparison *c, unsigned parts)
{
    const char *name = "";

    for (int p = 0; name && p < HN_PART_COUNT; p++)
        if (parts >> p & 1U)
            name = hn_arena_printf(&c->arena, "%s%s%s", name, name[0] ? " and " : "",
                                   hn_plan_part_names[p]);
    return name ? name : "";
}

static const char *version_note(hn_comparison *c, const hn_compare_side *side)
{
    const char *note =
        strcmp(side->version, HN_VERSION) == 0
            ? "made by this haunch: a difference here means another machine or library, or that "
              "the layer was changed after its run"
            : hn_arena_printf(&c->arena, "made by haunch %s, run again by " HN_VERSION,
                              side->version);

    return note ? note : "";
}

static int is_plan_error(hn_status rc)
{
    return rc == HN_ERR_PLAN || rc == HN_ERR_INPUT;
}

/* Part after part; what does not run by itself goes with the next one, and the day
 * with the years of the programme. */
static hn_status run_chain(hn_comparison *c, hn_error *err)
{
    unsigned all = c->differing, done = 0, group = 0;
    const char *note = "";
    hn_status rc = HN_OK;

    HN_TRY(run_parts(c, 0, err));
    c->step[0] = (hn_compare_step){"version, first result", version_note(c, &c->side[0]), 0};
    for (int p = 0; p < HN_PART_COUNT; p++) {
        hn_error why = {0};

        if (!(all >> p & 1U) || done >> p & 1U)
            continue;
        group |= 1U << p;
        rc = run_parts(c, done | group, &why);
        if (is_plan_error(rc) && p == HN_PART_DAY && all >> HN_PART_BUDGET & 1U) {
            group |= 1U << HN_PART_BUDGET;
            note = hn_arena_printf(&c->arena, "together: %s", why.message);
            why = (hn_error){0};
            rc = run_parts(c, done | group, &why);
        }
        if (is_plan_error(rc) && (done | group) != all) {
            note = hn_arena_printf(&c->arena, "together: %s", why.message);
            rc = HN_OK;
            continue;
        }
        if (rc != HN_OK && err)
            *err = why;
        HN_TRY(rc);
        c->step[c->snaps - 2] = (hn_compare_step){parts_name(c, group), note ? note : "", group};
        done |= group;
        group = 0;
        note = "";
    }
out:
    return rc;
}

/* What no hash can prove: the run must have given the layer. */
static int has_unhashed(hn_result_store *store)
{
    size_t count = hn_result_store_count(store, "$.sources");

    for (size_t i = 0; i < count && i < HN_SOURCES_MAX; i++) {
        char path[64];
        const char *hash;

        snprintf(path, sizeof path, "$.sources[%zu].sha256", i);
        hash = hn_result_store_text(store, path);
        if (!hash || !hash[0])
            return 1;
    }
    return 0;
}

static int same_number(double a, double b)
{
    return isnan(a) ? isnan(b) : fabs(a - b) <= 1e-6 * fmax(fabs(a), fabs(b));
}

static int same_totals(const hn_snapshot *a, const hn_snapshot *b)
{
    for (int t = 0; t < HN_TOTAL_COUNT; t++)
        if (!same_number(a->total[t], b->total[t]))
            return 0;
    return 1;
}

static void drop_runs(hn_comparison *c)
{
    for (size_t i = 1; i < c->snaps; i++)
        hn_snapshot_clear(&c->snap[i]);
    c->snaps = 1;
}

static hn_status try_split(hn_comparison *c, const hn_snapshot *last, hn_error *err)
{
    hn_error why = {0};
    hn_status rc = HN_OK;

    c->runs = 1;
    for (int p = 0; p < HN_PART_COUNT; p++)
        c->runs += c->differing >> p & 1U;
    if (run_chain(c, &why) != HN_OK) {
        if (!is_plan_error(why.status)) {
            if (err)
                *err = why;
            return why.status;
        }
        give_up(c, c->snaps > 1, why.message);
    } else if (has_unhashed(c->side[0].store) && !same_totals(&c->snap[0], &c->snap[1])) {
        give_up(c, 0, "a source that is no file gives other totals now");
    } else if (has_unhashed(c->side[1].store) && !same_totals(&c->snap[c->snaps - 1], last)) {
        give_up(c, 1, "a source that is no file gives other totals now");
    }
    if (c->no_split)
        drop_runs(c);
    return rc;
}

hn_status hn_compare_chain(hn_comparison *c, hn_error *err)
{
    hn_snapshot last = {0};
    int is_split;
    hn_status rc = HN_OK;

    HN_TRY(open_both(c, err));
    HN_TRY(load_plan(c, 0, err));
    HN_TRY(load_plan(c, 1, err));
    HN_TRY(hn_compare_inputs(c, err));
    c->run_options = (hn_run_options){.threads = c->spec->options ? c->spec->options->threads : 0,
                                      .progress = show_progress,
                                      .progress_context = c};
    show_progress(c, "reading the results", 0.0);
    HN_TRY(hn_snapshot_of_store(c, &c->side[0], &c->snap[0], err));
    c->snaps = 1;
    show_progress(c, "reading the results", 0.0);
    HN_TRY(hn_snapshot_of_store(c, &c->side[1], &last, err));
    if (!c->no_split && c->differing)
        HN_TRY(try_split(c, &last, err));
    is_split = c->snaps > 1;
    if (is_split)
        name_step(c, "version, second result", version_note(c, &c->side[1]), 0);
    else
        name_step(c, c->no_split ? "not split" : "version",
                  c->no_split ? c->no_split
                              : "no input differs: what differs comes from the version, or the "
                                "layer was changed after its run",
                  0);
    c->snap[c->snaps++] = last;
    memset(&last, 0, sizeof last);
out:
    hn_snapshot_clear(&last);
    return rc;
}
