/* The run once more without writing, then the sheet of one segment. */
#include "run/explain.h"

#include "base/alloc.h"
#include "base/nearest.h"
#include "report/sheet_parts.h"
#include "report/sheet_render.h"
#include "run/explain_guard.h"
#include "run/stages.h"
#include "run/versions.h"

#include <errno.h>
#include <string.h>
#include <unistd.h>

enum { OUT_BYTES = 65536, NEAREST_SHOWN = 3, STAGE_NETWORK = 2, STAGE_INSPECTIONS = 3 };

/* Everything that one call holds. */
typedef struct work {
    const hn_explain_spec *spec;
    hn_result_store *store;
    hn_state *state;
    hn_arena arena;
    size_t row, other;
    char *id;       /* of the segment; spec->segment_id may be a piece of it */
    double *before; /* per column: number before the inspections were joined */
    uint32_t *before_text;
    uint8_t *seen;
    hn_option *judged;
    hn_sheet sheet;
} work;

/* ---- which row ---- */

static int is_member(const char *members, const char *id)
{
    size_t n = strlen(id);

    while (*members) {
        size_t length = strcspn(members, ";");

        if (length == n && memcmp(members, id, n) == 0)
            return 1;
        members += length;
        members += strspn(members, "; ");
    }
    return 0;
}

typedef struct nearest_walk {
    const hn_table *table;
    const char *taken[NEAREST_SHOWN];
    size_t count;
} nearest_walk;

static const char *id_at(size_t i, const void *context)
{
    const nearest_walk *w = context;
    const char *id = hn_table_text(w->table, HN_COL_SEGMENT_ID, i);

    for (size_t k = 0; k < w->count; k++)
        if (w->taken[k] == id)
            return "";
    return id;
}

static hn_status no_such_segment(const work *w, const char *id, hn_error *err)
{
    nearest_walk walk = {.table = w->state->table};
    char list[512] = "";
    size_t used = 0;
    hn_status rc = hn_fail(err, HN_ERR_INPUT, "there is no segment \"%.200s\" in this result", id);

    while (walk.count < NEAREST_SHOWN) {
        const char *near = hn_nearest(id, id_at, walk.table->rows, &walk);
        int n;

        if (!near || !near[0])
            break;
        n = snprintf(list + used, sizeof list - used, "%s%.100s", used ? ", " : "", near);
        used += n > 0 ? (size_t)n : 0;
        walk.taken[walk.count++] = near;
    }
    if (used)
        hn_hint(err, "nearest ids: %s", list);
    else
        hn_hint(err,
                "ids are in column segment_id of layer segments; pieces of a reach in merged_from");
    return rc;
}

static hn_status find_row(const work *w, const char *id, size_t *out, hn_error *err)
{
    const hn_table *t = w->state->table;
    int64_t row = hn_state_find_row(t, id);

    for (size_t i = 0; row < 0 && i < t->rows && t->column[HN_COL_MEMBERS]; i++)
        if (is_member(hn_table_text(t, HN_COL_MEMBERS, i), id))
            row = (int64_t)i;
    if (row < 0)
        return no_such_segment(w, id, err);
    *out = (size_t)row;
    return HN_OK;
}

static hn_status find_segment(work *w, hn_error *err)
{
    const char *other = w->spec->other_id;
    hn_status rc = HN_OK;

    HN_TRY(find_row(w, w->spec->segment_id, &w->row, err));
    if (other)
        HN_TRY(find_row(w, other, &w->other, err));
    if (other && w->other == w->row) {
        rc = hn_fail(err, HN_ERR_INPUT, "\"%.100s\" and \"%.100s\" are one segment",
                     w->spec->segment_id, other);
        hn_hint(err, "name two different segments, or one to have it explained");
        goto out;
    }
    w->id = hn_copy_text(hn_table_text(w->state->table, HN_COL_SEGMENT_ID, w->row));
    HN_TRY_ALLOC(w->id);
    w->state->watched_id = w->id;
out:
    return rc;
}

/* ---- what the inspections changed ---- */

static void remember(work *w)
{
    const hn_table *t = w->state->table;

    for (int id = 0; id < HN_COL_COUNT; id++) {
        w->before[id] = hn_table_number(t, (hn_column_id)id, w->row);
        if (hn_column_definition((hn_column_id)id)->kind == HN_KIND_STR)
            w->before_text[id] = hn_str(t, (hn_column_id)id, w->row);
    }
}

static void mark_seen(work *w)
{
    const hn_table *t = w->state->table;

    for (int id = 0; id < HN_COL_COUNT; id++) {
        double now = hn_table_number(t, (hn_column_id)id, w->row), then = w->before[id];
        int is_text = hn_column_definition((hn_column_id)id)->kind == HN_KIND_STR;

        w->seen[id] = is_text ? w->before_text[id] != hn_str(t, (hn_column_id)id, w->row)
                              : !(now == then || (isnan(now) && isnan(then)));
    }
}

/* ---- the run ---- */

static hn_status open_plan(work *w, hn_error *err)
{
    const char *relative = hn_result_store_text(w->store, "$.plan_path");
    const char *path = w->spec->plan_path;
    hn_status rc = HN_OK;

    if (!path)
        path = !relative            ? ""
               : relative[0] == '/' ? relative
                                    : hn_arena_printf(&w->arena, "%s/%s",
                                                      hn_result_store_folder(w->store), relative);
    HN_TRY_ALLOC(path);
    HN_TRY(hn_guard_plan(w->store, path, err));
    rc = hn_state_new(path, w->spec->options, &w->state, err);
    if (rc != HN_OK)
        hn_context(err, "the plan cannot be read any more");
    HN_TRY(rc);
    HN_TRY(hn_guard_inputs(w->store, w->state->plan, err));
out:
    return rc;
}

static hn_status run_again(work *w, hn_error *err)
{
    hn_state *s = w->state;
    hn_status rc = HN_OK;

    HN_TRY(hn_state_run(s, 0, STAGE_NETWORK, err));
    HN_TRY(find_segment(w, err));
    remember(w);
    HN_TRY(hn_state_run(s, STAGE_NETWORK, STAGE_INSPECTIONS, err));
    mark_seen(w);
    HN_TRY(hn_state_run(s, STAGE_INSPECTIONS, HN_STAGE_WRITE, err));
    for (size_t m = 0; m < s->plan->config.method_count; m++)
        hn_option_evaluate(s->judged, w->row, (int)m, &w->judged[m]);
out:
    return rc;
}

/* ---- the sheet ---- */

static double contract_sum(const work *w)
{
    for (size_t i = 0; i < w->state->commitment_count; i++)
        if (w->state->commitments[i].row == w->row)
            return w->state->commitments[i].cost;
    return (double)NAN;
}

/* What could not be proved by a hash. */
static void add_cautions(work *w, hn_sheet_facts *f)
{
    const char *version = hn_result_store_text(w->store, "$.versions.haunch");
    size_t n = 0;

    if (version && strcmp(version, HN_VERSION) != 0)
        f->cautions[n++] =
            hn_sheet_text(&w->sheet,
                          "The result was made by haunch %s, this sheet by " HN_VERSION
                          ". Its numbers were compared with the layer and agree.",
                          version);
    for (size_t i = 0; i < w->state->source_count && n + 1 < HN_SHEET_CAUTIONS; i++)
        if (!w->state->sources[i].sha256[0])
            f->cautions[n++] = hn_sheet_text(&w->sheet,
                                             "Source %s is no file that can be hashed: that it is "
                                             "unchanged rests on this segment's row alone.",
                                             w->state->sources[i].key);
}

static hn_status build(work *w, hn_error *err)
{
    hn_state *s = w->state;
    hn_sheet_facts f = {.table = s->table,
                        .plan = s->plan,
                        .options = s->judged,
                        .outlook = &s->outlook,
                        .loss = &s->loss,
                        .parts = &s->parts,
                        .matches = &s->matches,
                        .scheme = &s->scheme,
                        .observations = s->plan->observation_count ? &s->observations : NULL,
                        .row = w->row,
                        .judged = w->judged,
                        .default_taken = s->default_watched,
                        .seen = w->seen,
                        .override_state = s->override_state,
                        .contract_sum = contract_sum(w),
                        .asked_id = w->spec->segment_id};
    hn_status rc = HN_OK;

    hn_sheet_init(&w->sheet, w->id, s->plan->currency, s->plan->units_us);
    if (w->spec->other_id)
        w->sheet.title = hn_sheet_text(&w->sheet, "Segments %s and %s", w->id,
                                       hn_table_text(s->table, HN_COL_SEGMENT_ID, w->other));
    add_cautions(w, &f);
    if (w->spec->other_id) {
        HN_TRY(hn_sheet_pair(&f, w->other, &w->sheet, err));
        HN_TRY(hn_guard_row(w->store, s, w->other, &w->sheet, err));
    } else {
        HN_TRY(hn_sheet_build(&f, &w->sheet, err));
    }
    HN_TRY(hn_guard_row(w->store, s, w->row, &w->sheet, err));
out:
    return rc;
}

/* ---- out ---- */

static hn_status write_file(const char *path, const hn_out *text, hn_error *err)
{
    FILE *file = fopen(path, "wx"); /* a file that is there is never overwritten */
    int failed;

    if (!file) {
        hn_fail(err, HN_ERR_OUTPUT, "could not make \"%s\": %s", path, strerror(errno));
        hn_hint(err, errno == EEXIST ? "give another name; an existing file is not overwritten"
                                     : "give a folder that exists and can be written");
        return HN_ERR_OUTPUT;
    }
    failed = fwrite(text->data, 1, text->used, file) != text->used;
    failed |= fclose(file) != 0;
    if (!failed)
        return HN_OK;
    hn_fail(err, HN_ERR_OUTPUT, "could not write \"%s\": %s", path, strerror(errno));
    hn_hint(err, "make room or give another place");
    remove(path);
    return HN_ERR_OUTPUT;
}

static hn_status render(work *w, FILE *to, hn_error *err)
{
    hn_out out;
    hn_status rc = HN_OK;

    if (!hn_out_init(&out, OUT_BYTES, NULL, NULL))
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    if (w->spec->format == HN_EXPLAIN_HTML)
        hn_sheet_to_html(&w->sheet, &out);
    else if (w->spec->format == HN_EXPLAIN_JSON)
        hn_sheet_to_json(&w->sheet, &out);
    else
        hn_sheet_to_text(&w->sheet, &out);
    if (out.error)
        rc = hn_fail(err, HN_ERR_MEMORY, "out of memory for the sheet");
    else if (w->spec->output)
        rc = write_file(w->spec->output, &out, err);
    else
        fwrite(out.data, 1, out.used, to); /* the caller looks at ferror */
    hn_out_clear(&out);
    return rc;
}

/* Before the work, not after it. */
static hn_status check_output(const char *path, hn_error *err)
{
    if (!path || access(path, F_OK) != 0)
        return HN_OK;
    hn_fail(err, HN_ERR_OUTPUT, "\"%s\" exists already", path);
    hn_hint(err, "give another name; an existing file is not overwritten");
    return HN_ERR_OUTPUT;
}

static hn_status make_room(work *w, hn_error *err)
{
    hn_status rc = HN_OK;

    w->before = hn_alloc(HN_COL_COUNT, sizeof *w->before);
    w->before_text = hn_alloc(HN_COL_COUNT, sizeof *w->before_text);
    w->seen = hn_alloc(HN_COL_COUNT, 1);
    w->judged = hn_alloc(HN_MAX_METHODS, sizeof *w->judged);
    HN_TRY_ALLOC(w->before);
    HN_TRY_ALLOC(w->before_text);
    HN_TRY_ALLOC(w->seen);
    HN_TRY_ALLOC(w->judged);
out:
    return rc;
}

static void clear(work *w)
{
    hn_sheet_clear(&w->sheet);
    hn_state_free(w->state);
    hn_result_store_close(w->store);
    hn_arena_clear(&w->arena);
    hn_free(w->id);
    hn_free(w->before);
    hn_free(w->before_text);
    hn_free(w->seen);
    hn_free(w->judged);
}

hn_status hn_explain(const hn_explain_spec *spec, FILE *out, hn_error *err)
{
    work w = {.spec = spec};
    hn_status rc = HN_OK;

    HN_TRY(check_output(spec->output, err));
    HN_TRY(make_room(&w, err));
    HN_TRY(hn_result_store_open(spec->result, &w.store, err));
    HN_TRY(open_plan(&w, err));
    HN_TRY(run_again(&w, err));
    HN_TRY(build(&w, err));
    HN_TRY(render(&w, out, err));
out:
    clear(&w);
    return rc;
}
