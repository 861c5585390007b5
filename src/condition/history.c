#include "condition/history.h"

#include "base/alloc.h"
#include "base/dates.h"
#include "condition/match.h"
#include "condition/visits.h"
#include "engineering/chain_data.h"

#include <math.h>
#include <string.h>

static const hn_column_id grade_column[HN_DRIVERS] = {HN_COL_GRADE_STRUCTURAL, HN_COL_GRADE_SERVICE,
                                                      HN_COL_GRADE_TIGHTNESS};

static uint8_t set_of(double grade, int complete)
{
    int low;

    if (!(grade >= 1.0 && grade <= HN_GRADES))
        return 0;
    low = (int)floor(grade);
    if (!complete)
        return HN_GRADE_AT_LEAST(low);
    return (uint8_t)(HN_GRADE_ONLY(low) | (grade > low ? HN_GRADE_ONLY(low + 1) : 0));
}

/* As the age of the derived columns: from the last lining where there was one. */
static double new_in_year(const hn_table *t, size_t row)
{
    double built = (double)hn_f32(t, HN_COL_YEAR_BUILT, row);
    double lined = (double)hn_f32(t, HN_COL_YEAR_LINED, row);

    return isnan(lined) ? built : isnan(built) || lined > built ? lined : built;
}

static void take_one(const hn_table *table, const hn_inspections *p, const hn_plan *plan,
                     const hn_record_key *keys, const hn_visit *v, hn_history *out)
{
    const hn_record_key *key = &keys[v->from];
    hn_inspected seen = {.row = key->row, .date = key->date, .complete = (uint8_t)v->complete};
    double lined = (double)hn_f32(table, HN_COL_YEAR_LINED, (size_t)key->row);

    if (key->date == HN_I32_MISSING) {
        out->undated++;
        return;
    }
    if (key->date > plan->as_of) {
        out->in_future++;
        return;
    }
    if (hn_date_year(key->date) < lined) {
        out->before_lining++;
        return;
    }
    for (int d = 0; d < HN_DRIVERS; d++)
        seen.grades[d] = set_of(hn_visit_worst(p, grade_column[d], keys, v), v->complete);
    out->visit[out->count++] = seen;
}

/* The keys have the latest day first; visits are to have the earliest. */
static void take_all(const hn_table *table, const hn_inspections *p, const hn_plan *plan,
                     const hn_record_key *keys, size_t count, hn_history *out)
{
    hn_visit v;

    for (size_t from = 0; from < count; from = v.to) {
        v = hn_visit_take(table, p, keys, from, count);
        take_one(table, p, plan, keys, &v, out);
    }
    for (size_t from = 0, to; from < out->count; from = to) {
        for (to = from; to < out->count && out->visit[to].row == out->visit[from].row; to++)
            ;
        for (size_t a = from, b = to - 1; a < b; a++, b--) {
            hn_inspected swapped = out->visit[a];

            out->visit[a] = out->visit[b];
            out->visit[b] = swapped;
        }
    }
}

hn_status hn_condition_history(const hn_table *table, const hn_inspections *p, const hn_plan *plan,
                               const hn_plane *plane, hn_history *out, hn_error *err)
{
    int32_t *row = hn_alloc(p->count, sizeof *row);
    uint8_t *how = hn_alloc(p->count, 1);
    hn_record_key *keys = hn_alloc(p->count, sizeof *keys);
    size_t count = 0;
    hn_status rc = HN_OK;

    memset(out, 0, sizeof *out);
    HN_TRY_ALLOC(row);
    HN_TRY_ALLOC(how);
    HN_TRY_ALLOC(keys);
    out->rows = table->rows;
    out->visit = hn_alloc(p->count, sizeof *out->visit);
    out->new_in_year = hn_alloc(table->rows, sizeof *out->new_in_year);
    HN_TRY_ALLOC(out->visit);
    HN_TRY_ALLOC(out->new_in_year);
    for (size_t i = 0; i < table->rows; i++)
        out->new_in_year[i] = new_in_year(table, i);
    if (p->count == 0)
        goto out;
    HN_TRY(hn_match_inspections(table, p, plan, plane, row, how, NULL, err));
    HN_TRY(hn_visit_sort(p, row, keys, &count, err));
    take_all(table, p, plan, keys, count, out);
out:
    hn_free(row);
    hn_free(how);
    hn_free(keys);
    return rc;
}

void hn_history_clear(hn_history *history)
{
    hn_free(history->visit);
    hn_free(history->new_in_year);
    memset(history, 0, sizeof *history);
}
