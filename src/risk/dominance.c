/* Is a segment that is worse on everything ranked after one that is better? By expected
 * loss it cannot be: worse on every part is more loss. A person who moves a rank, or a
 * fault, can do it. Along the order only a row with more loss than one before it can
 * dominate that one, so a sound order costs one pass; otherwise a row is compared with
 * the WEAKEST least losses before it. */
#include "base/alloc.h"
#include "risk/risk.h"

#include <stdio.h>

enum { PARTS = 6, WEAKEST = 64, SAID_MAX = 1000 };

typedef struct walk {
    const hn_table *table;
    uint32_t weak[WEAKEST]; /* by rising loss */
    size_t weak_count;
} walk;

static void parts_of(const hn_table *t, size_t row, double part[PARTS])
{
    part[0] = (double)hn_f32(t, HN_COL_CHANCE_STRUCTURAL, row);
    part[1] = (double)hn_f32(t, HN_COL_CHANCE_SERVICE, row);
    part[2] = (double)hn_f32(t, HN_COL_CHANCE_TIGHTNESS, row);
    part[3] = hn_f64(t, HN_COL_CONSEQUENCE_MONEY, row);
    part[4] = hn_f64(t, HN_COL_CONSEQUENCE_SERVICE, row);
    part[5] = hn_f64(t, HN_COL_CONSEQUENCE_TIGHTNESS, row);
}

int hn_risk_dominates(const hn_table *table, size_t worse, size_t better)
{
    double a[PARTS], b[PARTS];
    int is_strict = 0;

    parts_of(table, worse, a);
    parts_of(table, better, b);
    for (int i = 0; i < PARTS; i++) {
        if (!(a[i] >= b[i])) /* a part that is not known decides nothing */
            return 0;
        is_strict |= a[i] > b[i];
    }
    return is_strict;
}

static double loss_of(const walk *w, size_t row)
{
    return HN_F64(w->table, LOSS_NOW)[row];
}

/* The weakest row before `row` that is better on everything, or -1. */
static int64_t passed_by(const walk *w, size_t row)
{
    for (size_t i = 0; i < w->weak_count && loss_of(w, w->weak[i]) < loss_of(w, row); i++)
        if (hn_risk_dominates(w->table, row, w->weak[i]))
            return w->weak[i];
    return -1;
}

static void remember(walk *w, uint32_t row)
{
    size_t at = w->weak_count;

    if (isnan(loss_of(w, row)))
        return;
    while (at > 0 && loss_of(w, w->weak[at - 1]) >= loss_of(w, row))
        at--;
    if (at == WEAKEST)
        return;
    w->weak_count += w->weak_count < WEAKEST;
    for (size_t i = w->weak_count - 1; i > at; i--)
        w->weak[i] = w->weak[i - 1];
    w->weak[at] = row;
}

static void say(const hn_table *t, hn_issue_list *issues, size_t worse, size_t better)
{
    const char *other = hn_table_text(t, HN_COL_SEGMENT_ID, better);
    char message[160];

    snprintf(message, sizeof message,
             "at least as bad as %.60s in every chance and cost of failure and worse in one, but "
             "ranked after it",
             other);
    hn_issue_add(issues, HN_SEVERITY_WARNING, "rank_dominated",
                 hn_table_text(t, HN_COL_SEGMENT_ID, worse), "priority", other, message,
                 "the order is kept: look at the overrides of both", (double)NAN, (double)NAN);
}

hn_status hn_risk_dominance(const hn_table *table, hn_issue_list *issues, size_t *found,
                            hn_error *err)
{
    walk w = {.table = table};
    uint32_t *at = hn_alloc(table->rows, sizeof *at);

    *found = 0;
    if (!at)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    for (size_t row = 0; row < table->rows; row++)
        at[HN_I32(table, PRIORITY)[row] - 1] = (uint32_t)row;
    for (size_t place = 0; place < table->rows; place++) {
        const int64_t better = passed_by(&w, at[place]);

        if (better >= 0 && ++*found <= SAID_MAX)
            say(table, issues, at[place], (size_t)better);
        remember(&w, at[place]);
    }
    hn_free(at);
    return HN_OK;
}
