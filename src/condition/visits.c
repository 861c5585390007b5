#include "condition/visits.h"

#include "base/alloc.h"
#include "base/radix.h"

static const double COMPLETE_SHARE = 0.9;

/* Row, then latest date first; records of one day stay in the order read. */
static uint64_t sort_key(int32_t row, int32_t date)
{
    return (uint64_t)row << 32 | (uint32_t)(INT32_MAX - (int64_t)date);
}

hn_status hn_visit_sort(const hn_inspections *p, const int32_t *row, hn_record_key *keys,
                        size_t *count, hn_error *err)
{
    hn_keyed *order = hn_alloc(p->count, sizeof *order);
    size_t n = 0;
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(order);
    for (size_t i = 0; i < p->count; i++)
        if (row[i] >= 0)
            order[n++] = hn_keyed_of(sort_key(row[i], p->date[i]), (uint32_t)i);
    if (!hn_radix_sort(order, n))
        HN_TRY(hn_fail(err, HN_ERR_MEMORY, "out of memory"));
    for (size_t i = 0; i < n; i++)
        keys[i] = (hn_record_key){row[order[i].value], p->date[order[i].value], order[i].value};
    *count = n;
out:
    hn_free(order);
    return rc;
}

double hn_visit_worst(const hn_inspections *p, hn_column_id id, const hn_record_key *keys,
                      const hn_visit *v)
{
    double worst = (double)NAN;

    if (!p->number[id])
        return worst;
    for (size_t k = v->from; k < v->to; k++) {
        double value = p->number[id][keys[k].record];

        if (isnan(worst) || value > worst)
            worst = value;
    }
    return worst;
}

hn_visit hn_visit_take(const hn_table *table, const hn_inspections *p, const hn_record_key *keys,
                       size_t from, size_t end)
{
    hn_visit v = {from, from, 0, (double)NAN};
    double seen_m = 0.0, length_m = hn_f64(table, HN_COL_LENGTH_M, (size_t)keys[from].row);
    int said_no = 0, said_yes = 0, seen_known = 1;

    for (; v.to < end && keys[v.to].row == keys[from].row && keys[v.to].date == keys[from].date;
         v.to++) {
        uint32_t record = keys[v.to].record;

        said_yes |= p->complete[record] == 1;
        said_no |= p->complete[record] == 0;
        seen_known &= !isnan(p->length_seen_m[record]);
        seen_m += p->length_seen_m[record];
    }
    v.complete = said_yes || (!said_no && !seen_known) ||
                 (seen_known && seen_m >= COMPLETE_SHARE * length_m);
    v.structural = hn_visit_worst(p, HN_COL_GRADE_STRUCTURAL, keys, &v);
    return v;
}
