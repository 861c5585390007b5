/* One state of the network: out of a stored result, or out of a run. */
#include "run/compare_parts.h"

#include "base/alloc.h"

#include <string.h>

#define FOOT_M 0.3048 /* exactly, 1959 */

void hn_snapshot_clear(hn_snapshot *snapshot)
{
    hn_free(snapshot->rows);
    hn_free(snapshot->row_of);
    memset(snapshot, 0, sizeof *snapshot);
}

const hn_compare_row *hn_snapshot_row(const hn_snapshot *snapshot, uint32_t id)
{
    return id < snapshot->ids && snapshot->row_of[id] != HN_NO_ROW
               ? &snapshot->rows[snapshot->row_of[id]]
               : NULL;
}

static double known(double v)
{
    return isnan(v) ? 0.0 : v;
}

int hn_compare_in_programme(const hn_comparison *c, const hn_compare_row *row)
{
    return row->programme == c->programme_funded || row->programme == c->programme_committed;
}

static hn_status text_number(hn_comparison *c, const char *text, uint32_t *out, hn_error *err)
{
    *out = text && text[0] ? hn_text_pool_add(c->texts, text, strlen(text)) : 0;
    return *out == UINT32_MAX ? hn_fail(err, HN_ERR_MEMORY, "out of memory") : HN_OK;
}

static hn_status grow(void **list, size_t size, size_t from, size_t to, hn_error *err)
{
    void *more = hn_alloc(to, size);

    if (!more)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    if (from)
        memcpy(more, *list, from * size);
    hn_free(*list);
    *list = more;
    return HN_OK;
}

static hn_status add_row(hn_comparison *c, hn_snapshot *s, const char *id,
                         const hn_compare_row *row, hn_error *err)
{
    uint32_t number;
    hn_status rc = HN_OK;

    HN_TRY(text_number(c, id, &number, err));
    if (s->count == s->room) {
        size_t room = s->room ? 2 * s->room : 1024;
        void *rows = s->rows;

        HN_TRY(grow(&rows, sizeof *s->rows, s->count, room, err));
        s->rows = rows;
        s->room = room;
    }
    if (number >= s->ids) {
        size_t ids = 2 * (size_t)number + 1024;
        void *row_of = s->row_of;

        HN_TRY(grow(&row_of, sizeof *s->row_of, s->ids, ids, err));
        s->row_of = row_of;
        for (size_t i = s->ids; i < ids; i++)
            s->row_of[i] = HN_NO_ROW;
        s->ids = ids;
    }
    if (s->row_of[number] != HN_NO_ROW) {
        rc = hn_fail(err, HN_ERR_INPUT, "segment \"%.100s\" is in a result twice", id);
        hn_hint(err, "the layer was changed after the run; run the plan again");
        goto out;
    }
    s->row_of[number] = (int32_t)s->count;
    s->rows[s->count++] = *row;
out:
    return rc;
}

/* Totals that are sums over the segments. */
static void add_up(const hn_comparison *c, hn_snapshot *s)
{
    uint32_t observed = hn_text_pool_find(c->texts, "observed", strlen("observed"));
    double *t = s->total;

    for (size_t i = 0; i < s->count; i++) {
        const hn_compare_row *row = &s->rows[i];

        t[HN_TOTAL_SEGMENTS] += 1.0;
        t[HN_TOTAL_LENGTH] += known(row->length_m);
        t[HN_TOTAL_OBSERVED] += observed && row->basis == observed ? known(row->length_m) : 0.0;
        t[HN_TOTAL_LOSS] += known(row->loss);
        t[HN_TOTAL_ACT_NOW] += row->act_now ? 1.0 : 0.0;
        if (hn_compare_in_programme(c, row)) {
            t[HN_TOTAL_FUNDED] += 1.0;
            t[HN_TOTAL_FUNDED_LENGTH] += known(row->length_m);
        } else if (row->programme == c->programme_unfunded) {
            t[HN_TOTAL_UNFUNDED] += 1.0;
            t[HN_TOTAL_UNFUNDED_COST] += known(row->cost);
        }
    }
    t[HN_TOTAL_OBSERVED_SHARE] =
        t[HN_TOTAL_LENGTH] > 0.0 ? t[HN_TOTAL_OBSERVED] / t[HN_TOTAL_LENGTH] : 0.0;
}

/* ---- out of a stored result ---- */

typedef struct reading {
    hn_comparison *comparison;
    hn_snapshot *snapshot;
    double length_factor;
} reading;

static int32_t whole_of(const hn_cell *cell)
{
    return cell->is_null || cell->i < -INT32_MAX || cell->i > INT32_MAX ? HN_I32_MISSING
                                                                        : (int32_t)cell->i;
}

static hn_status take_segment(void *context, const hn_cell *k, hn_error *err)
{
    reading *r = context;
    hn_compare_row row = {.length_m = k[1].r * r->length_factor,
                          .loss = k[2].r,
                          .cost = k[3].r,
                          .grade = k[4].r,
                          .year = whole_of(&k[9]),
                          .priority = whole_of(&k[10]),
                          .rank_risk = whole_of(&k[11]),
                          .rank_value = whole_of(&k[12])};
    hn_status rc = HN_OK;

    if (k[0].is_null)
        return hn_fail(err, HN_ERR_INPUT, "a result has a segment without segment_id");
    HN_TRY(text_number(r->comparison, k[5].text, &row.method, err));
    HN_TRY(text_number(r->comparison, k[6].text, &row.act_now, err));
    HN_TRY(text_number(r->comparison, k[7].text, &row.programme, err));
    HN_TRY(text_number(r->comparison, k[8].text, &row.basis, err));
    HN_TRY(add_row(r->comparison, r->snapshot, k[0].text, &row, err));
out:
    return rc;
}

static hn_status take_year(void *context, const hn_cell *k, hn_error *err)
{
    reading *r = context;
    double *t = r->snapshot->total;

    (void)err;
    t[HN_TOTAL_LINED] += known(k[0].r) * r->length_factor;
    t[HN_TOTAL_REPLACED] += known(k[1].r) * r->length_factor;
    t[HN_TOTAL_OTHER] += known(k[2].r) * r->length_factor;
    t[HN_TOTAL_SPENT] += known(k[3].r);
    return HN_OK;
}

static hn_status take_scenario(void *context, const hn_cell *k, hn_error *err)
{
    reading *r = context;

    (void)err;
    if (k[0].text && strcmp(k[0].text, "plan") == 0) {
        r->snapshot->total[HN_TOTAL_BACKLOG_FIRST] = known(k[1].r) * r->length_factor;
        r->snapshot->total[HN_TOTAL_BACKLOG_LAST] = known(k[2].r) * r->length_factor;
    }
    return HN_OK;
}

hn_status hn_snapshot_of_store(hn_comparison *c, const hn_compare_side *side, hn_snapshot *out,
                               hn_error *err)
{
    const char *const segments[2][13] = {
        {"segment_id", "length_m", "expected_loss_per_year", "cost", "structural_grade_now",
         "method", "act_now_rule", "programme", "condition_basis", "year", "priority", "rank_risk",
         "rank_value"},
        {"segment_id", "length_ft", "expected_loss_per_year", "cost", "structural_grade_now",
         "method", "act_now_rule", "programme", "condition_basis", "year", "priority", "rank_risk",
         "rank_value"}};
    const char *const years[2][4] = {
        {"length_lined_m", "length_replaced_m", "length_other_m", "spent"},
        {"length_lined_ft", "length_replaced_ft", "length_other_ft", "spent"}};
    const char *const scenario[2][3] = {{"scenario", "backlog_first_m", "backlog_last_m"},
                                        {"scenario", "backlog_first_ft", "backlog_last_ft"}};
    reading r = {c, out, side->is_us ? FOOT_M : 1.0};
    hn_status rc = HN_OK;

    HN_TRY(hn_result_store_rows(side->store, "segments", segments[side->is_us], 13, take_segment,
                                &r, err));
    HN_TRY(hn_result_store_rows(side->store, "programme_year", years[side->is_us], 4, take_year, &r,
                                err));
    HN_TRY(hn_result_store_rows(side->store, "scenario", scenario[side->is_us], 3, take_scenario,
                                &r, err));
    add_up(c, out);
out:
    return rc;
}

/* ---- out of a run ---- */

static hn_status add_table_row(hn_comparison *c, const hn_state *s, size_t i, hn_snapshot *out,
                               hn_error *err)
{
    const hn_table *t = s->table;
    hn_compare_row row = {.length_m = hn_f64(t, HN_COL_LENGTH_M, i),
                          .loss = hn_f64(t, HN_COL_LOSS_NOW, i),
                          .cost = hn_f64(t, HN_COL_COST, i),
                          .grade = (double)hn_f32(t, HN_COL_GRADE_NOW, i),
                          .year = hn_i32(t, HN_COL_YEAR, i),
                          .priority = hn_i32(t, HN_COL_PRIORITY, i),
                          .rank_risk = hn_i32(t, HN_COL_RANK_RISK, i),
                          .rank_value = hn_i32(t, HN_COL_RANK_VALUE, i)};
    uint8_t method = hn_code(t, HN_COL_METHOD, i), act_now = hn_code(t, HN_COL_ACT_NOW, i);
    hn_status rc = HN_OK;

    HN_TRY(text_number(c, method == HN_CODE_MISSING ? NULL : s->plan->config.methods[method].id,
                       &row.method, err));
    HN_TRY(text_number(c, act_now == HN_CODE_MISSING ? NULL : s->plan->config.act_now[act_now].id,
                       &row.act_now, err));
    HN_TRY(text_number(c, hn_table_text(t, HN_COL_PROGRAMME, i), &row.programme, err));
    HN_TRY(text_number(c, hn_table_text(t, HN_COL_CONDITION_BASIS, i), &row.basis, err));
    HN_TRY(add_row(c, out, hn_table_text(t, HN_COL_SEGMENT_ID, i), &row, err));
out:
    return rc;
}

hn_status hn_snapshot_of_state(hn_comparison *c, const hn_state *s, hn_snapshot *out, hn_error *err)
{
    const hn_scenario *plan = &s->scenario[1];
    size_t last =
        plan->allocation.years < s->outlook.years ? plan->allocation.years : s->outlook.years;
    double *t = out->total;
    hn_status rc = HN_OK;

    for (size_t i = 0; i < s->table->rows; i++)
        HN_TRY(add_table_row(c, s, i, out, err));
    for (size_t y = 0; y < plan->allocation.years; y++) {
        const hn_budget_line *line = &plan->allocation.lines[y];

        t[HN_TOTAL_LINED] += line->length_lined_m;
        t[HN_TOTAL_REPLACED] += line->length_replaced_m;
        t[HN_TOTAL_OTHER] += line->length_other_m;
        t[HN_TOTAL_SPENT] += line->spent;
    }
    t[HN_TOTAL_BACKLOG_FIRST] = plan->path[0].backlog_m;
    t[HN_TOTAL_BACKLOG_LAST] = plan->path[last - 1].backlog_m;
    add_up(c, out);
out:
    return rc;
}
