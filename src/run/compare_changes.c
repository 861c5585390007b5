/* What changed for single segments, at which step of the chain, and what else
 * of the segment changed there. */
#include "run/compare_parts.h"
#include "run/table_columns.h"

#include "base/alloc.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { VALUE_ROOM = 96, REASON_ROOM = 512, RANKS_LISTED = 20 };

typedef enum change_kind {
    ENTERS,
    LEAVES,
    MOVES_YEAR,
    METHOD,
    GRADE,
    SEEN,
    ACT_NOW_IN,
    ACT_NOW_OUT,
    RANK,
    NEW,
    GONE,
    KINDS
} change_kind;

static const char *const kind_names[KINDS] = {
    "enters the programme", "leaves the programme", "moves to another year", "changes method",
    "changes grade",        "changes basis",        "act now: in",           "act now: out",
    "moves in rank",        "only in the second",   "only in the first"};

static const hn_view_column change_columns[] = {
    HN_TEXT("segment_id", "Segment", "Segment"),
    HN_TEXT("change", "Change", "What changed"),
    HN_TEXT("before", "First", "In the first result"),
    HN_TEXT("after", "Second", "In the second result"),
    HN_TEXT("cause", "Cause",
            "Step that set the value that stands in the end: the last one that changed it"),
    HN_TEXT("changed_at", "Changed at", "All steps that changed it, in order"),
    HN_TEXT("reason", "Reason", "What else of the segment changed at the cause"),
    HN_WHOLE("priority", "Priority", "In the second result; in the first where it is only there"),
    HN_METRES("length_m", "Length", "Length"),
};
static const hn_view_column count_columns[] = {
    HN_TEXT("change", "Change", "What changed"),
    HN_TEXT("cause", "Cause", "Step that set the value that stands in the end"),
    HN_WHOLE("segments", "Segments", "Segments"),
    HN_METRES("length_m", "Length", "Their length"),
};

typedef struct change {
    uint32_t id;
    change_kind kind;
    size_t step;
    int32_t priority, move;
    double length_m;
} change;

typedef struct changes {
    change *items;
    size_t count, room;
} changes;

static const char *word(const hn_comparison *c, uint32_t number)
{
    return number ? hn_text_pool_get(c->texts, number) : "none";
}

static int whole_grade(const hn_compare_row *r)
{
    return isnan(r->grade) ? 0 : (int)(r->grade + 0.5);
}

/* What a kind of change looks at, as a text; NULL row: not there. */
static void value_of(const hn_comparison *c, change_kind kind, const hn_compare_row *r, char *out)
{
    if (!r) {
        snprintf(out, VALUE_ROOM, "not there");
        return;
    }
    switch (kind) {
    case ENTERS:
    case LEAVES:
    case MOVES_YEAR:
        if (hn_compare_in_programme(c, r) && r->year != HN_I32_MISSING)
            snprintf(out, VALUE_ROOM, "%s %d", word(c, r->programme), r->year);
        else
            snprintf(out, VALUE_ROOM, "%s", word(c, r->programme));
        break;
    case METHOD:
        snprintf(out, VALUE_ROOM, "%s", word(c, r->method));
        break;
    case GRADE:
        if (whole_grade(r))
            snprintf(out, VALUE_ROOM, "%d", whole_grade(r));
        else
            snprintf(out, VALUE_ROOM, "unknown");
        break;
    case SEEN:
        snprintf(out, VALUE_ROOM, "%s", word(c, r->basis));
        break;
    case ACT_NOW_IN:
    case ACT_NOW_OUT:
        snprintf(out, VALUE_ROOM, "%s", r->act_now ? word(c, r->act_now) : "no");
        break;
    case RANK:
        snprintf(out, VALUE_ROOM, "%d", r->priority);
        break;
    default:
        snprintf(out, VALUE_ROOM, "there");
    }
}

/* What has to change for a change of this kind: whoever enters may move later. */
static void key_of(const hn_comparison *c, change_kind kind, const hn_compare_row *r, char *out)
{
    if (r && (kind == ENTERS || kind == LEAVES))
        snprintf(out, VALUE_ROOM, "%s", hn_compare_in_programme(c, r) ? "in" : "out");
    else if (r && (kind == ACT_NOW_IN || kind == ACT_NOW_OUT))
        snprintf(out, VALUE_ROOM, "%s", r->act_now ? "in" : "out");
    else
        value_of(c, kind, r, out);
}

/* Last step at which it changed; `all` takes the names of every one. */
static size_t cause_of(const hn_comparison *c, change_kind kind, uint32_t id, char *all,
                       size_t room)
{
    char then[VALUE_ROOM], now[VALUE_ROOM];
    size_t last = 0, used = 0;

    if (all)
        all[0] = '\0';
    key_of(c, kind, hn_snapshot_row(&c->snap[0], id), then);
    for (size_t i = 0; i + 1 < c->snaps; i++) {
        key_of(c, kind, hn_snapshot_row(&c->snap[i + 1], id), now);
        if (strcmp(then, now) != 0) {
            last = i;
            if (all && used < room)
                used += (size_t)snprintf(all + used, room - used, "%s%s", used ? ", " : "",
                                         c->step[i].cause);
        }
        memcpy(then, now, sizeof then);
    }
    return last;
}

/* ---- the list ---- */

static hn_status add_change(hn_comparison *c, changes *list, change_kind kind, uint32_t id,
                            hn_error *err)
{
    const hn_compare_row *a = hn_snapshot_row(&c->snap[0], id);
    const hn_compare_row *b = hn_snapshot_row(&c->snap[c->snaps - 1], id);
    const hn_compare_row *shown = b ? b : a;

    if (list->count == list->room) {
        size_t room = list->room ? 2 * list->room : 256;
        change *items = hn_alloc(room, sizeof *items);

        if (!items)
            return hn_fail(err, HN_ERR_MEMORY, "out of memory");
        if (list->count)
            memcpy(items, list->items, list->count * sizeof *items);
        hn_free(list->items);
        list->items = items;
        list->room = room;
    }
    list->items[list->count++] = (change){id,
                                          kind,
                                          cause_of(c, kind, id, NULL, 0),
                                          shown->priority,
                                          a && b ? abs(b->priority - a->priority) : 0,
                                          shown->length_m};
    return HN_OK;
}

static hn_status look_at(hn_comparison *c, changes *list, changes *ranks, uint32_t id,
                         hn_error *err)
{
    const hn_compare_row *a = hn_snapshot_row(&c->snap[0], id);
    const hn_compare_row *b = hn_snapshot_row(&c->snap[c->snaps - 1], id);
    int was, is;
    hn_status rc = HN_OK;

    if (!a && !b)
        return HN_OK; /* only on the way, or no id at all */
    if (!a || !b)
        return add_change(c, list, a ? GONE : NEW, id, err);
    was = hn_compare_in_programme(c, a);
    is = hn_compare_in_programme(c, b);
    if (was != is)
        HN_TRY(add_change(c, list, is ? ENTERS : LEAVES, id, err));
    else if (is && a->year != b->year)
        HN_TRY(add_change(c, list, MOVES_YEAR, id, err));
    if (a->method != b->method)
        HN_TRY(add_change(c, list, METHOD, id, err));
    if (whole_grade(a) != whole_grade(b))
        HN_TRY(add_change(c, list, GRADE, id, err));
    if (a->basis != b->basis)
        HN_TRY(add_change(c, list, SEEN, id, err));
    if (!a->act_now != !b->act_now)
        HN_TRY(add_change(c, list, b->act_now ? ACT_NOW_IN : ACT_NOW_OUT, id, err));
    if (a->priority != b->priority)
        HN_TRY(add_change(c, ranks, RANK, id, err));
out:
    return rc;
}

static int compare_whole(int64_t a, int64_t b)
{
    return (a > b) - (a < b);
}

static int by_move(const void *x, const void *y)
{
    const change *a = x, *b = y;
    int order = compare_whole(b->move, a->move);

    order = order ? order : compare_whole(a->priority, b->priority);
    return order ? order : compare_whole(a->id, b->id);
}

static int by_kind(const void *x, const void *y)
{
    const change *a = x, *b = y;
    int order = compare_whole(a->kind, b->kind);

    if (a->kind == RANK && order == 0)
        return by_move(x, y);
    order = order ? order : compare_whole(a->priority, b->priority);
    return order ? order : compare_whole(a->id, b->id);
}

/* ---- the reason ---- */

static void say(char *out, size_t *used, const char *format, ...) HN_PRINTF(3, 4);

static void say(char *out, size_t *used, const char *format, ...)
{
    va_list args;
    int n;

    if (*used + 2 >= REASON_ROOM)
        return;
    if (*used)
        *used += (size_t)snprintf(out + *used, REASON_ROOM - *used, ", ");
    va_start(args, format);
    n = vsnprintf(out + *used, REASON_ROOM - *used, format, args);
    va_end(args);
    *used += n > 0 ? (size_t)n : 0;
    *used = *used < REASON_ROOM ? *used : REASON_ROOM - 1;
}

static void say_number(char *out, size_t *used, const char *what, double a, double b)
{
    char then[32] = "none", now[32] = "none";

    if ((isnan(a) && isnan(b)) || fabs(a - b) <= 1e-6 * fmax(fabs(a), fabs(b)))
        return;
    if (!isnan(a))
        snprintf(then, sizeof then, "%.0f", a);
    if (!isnan(b))
        snprintf(now, sizeof now, "%.0f", b);
    if (strcmp(then, now) != 0)
        say(out, used, "%s %s to %s", what, then, now);
}

/* What of the segment itself changed at the step; 0 bytes when nothing. */
static size_t say_own(const hn_comparison *c, change_kind kind, const hn_compare_row *a,
                      const hn_compare_row *b, char *out)
{
    static const struct {
        change_kind kind;
        const char *name;
    } facets[] = {{GRADE, "grade"}, {SEEN, "basis"}, {METHOD, "method"}, {ACT_NOW_IN, "act now"}};
    char then[VALUE_ROOM], now[VALUE_ROOM];
    size_t used = 0;

    out[0] = '\0';
    for (size_t f = 0; f < sizeof facets / sizeof facets[0]; f++) {
        value_of(c, facets[f].kind, a, then);
        value_of(c, facets[f].kind, b, now);
        if (facets[f].kind != kind && strcmp(then, now) != 0)
            say(out, &used, "%s %s to %s", facets[f].name, then, now);
    }
    say_number(out, &used, "cost", a->cost, b->cost);
    say_number(out, &used, "expected loss a year", a->loss, b->loss);
    return used;
}

static double rank_of(const hn_compare_row *r)
{
    return r->rank_value == HN_I32_MISSING ? (double)NAN : (double)r->rank_value;
}

static void reason_of(const hn_comparison *c, const change *k, char *out)
{
    const hn_compare_row *a = hn_snapshot_row(&c->snap[k->step], k->id);
    const hn_compare_row *b = hn_snapshot_row(&c->snap[k->step + 1], k->id);
    int is_budget = (int)(c->step[k->step].parts >> HN_PART_BUDGET & 1U);
    size_t used;

    if (k->kind == NEW || k->kind == GONE || !a || !b) {
        snprintf(out, REASON_ROOM, "the network holds it in one of the two only");
        return;
    }
    used = say_own(c, k->kind, a, b, out);
    if (k->kind == METHOD || k->kind == GRADE || k->kind == SEEN) {
        if (!used)
            snprintf(out, REASON_ROOM, "nothing else of it changed");
        return;
    }
    if (!used)
        say(out, &used, "%s",
            is_budget ? "nothing of its own: the money of the years changed"
                      : "nothing of its own: others were put before it or gave way");
    if (a->rank_value != b->rank_value)
        say_number(out, &used, "rank by value", rank_of(a), rank_of(b));
}

/* ---- the tables ---- */

static void put_changes(hn_comparison *c, const changes *list)
{
    hn_grid *g = &c->grid[HN_COMPARE_CHANGES];
    char before[VALUE_ROOM], after[VALUE_ROOM], all[256], reason[REASON_ROOM];

    for (size_t i = 0; i < list->count; i++) {
        const change *k = &list->items[i];

        value_of(c, k->kind, hn_snapshot_row(&c->snap[0], k->id), before);
        value_of(c, k->kind, hn_snapshot_row(&c->snap[c->snaps - 1], k->id), after);
        cause_of(c, k->kind, k->id, all, sizeof all);
        reason_of(c, k, reason);
        hn_grid_row(g);
        hn_grid_text(g, hn_text_pool_get(c->texts, k->id));
        hn_grid_text(g, kind_names[k->kind]);
        hn_grid_text(g, before);
        hn_grid_text(g, after);
        hn_grid_text(g, c->step[k->step].cause);
        hn_grid_text(g, all);
        hn_grid_text(g, reason);
        hn_grid_int(g, k->priority);
        hn_grid_real(g, k->length_m);
    }
}

/* ranks: every move, not only those that are listed. */
static void put_counts(hn_comparison *c, const changes *list, const changes *ranks)
{
    hn_grid *g = &c->grid[HN_COMPARE_COUNTS];

    for (int kind = 0; kind < KINDS; kind++)
        for (size_t step = 0; step + 1 < c->snaps; step++) {
            const changes *from = kind == RANK ? ranks : list;
            size_t count = 0;
            double length = 0.0;

            for (size_t i = 0; i < from->count; i++)
                if ((int)from->items[i].kind == kind && from->items[i].step == step) {
                    count++;
                    length += isnan(from->items[i].length_m) ? 0.0 : from->items[i].length_m;
                }
            if (!count)
                continue;
            hn_grid_row(g);
            hn_grid_text(g, kind_names[kind]);
            hn_grid_text(g, c->step[step].cause);
            hn_grid_int(g, (int64_t)count);
            hn_grid_real(g, length);
        }
}

hn_status hn_compare_changes(hn_comparison *c, hn_error *err)
{
    changes list = {0}, ranks = {0};
    size_t most;
    hn_status rc = HN_OK;

    hn_grid_init(&c->grid[HN_COMPARE_CHANGES], "changes", "What changed for single segments",
                 "Segments by what changed, with the step that set what stands in the end.",
                 change_columns, HN_COUNT_OF(change_columns));
    hn_grid_init(&c->grid[HN_COMPARE_COUNTS], "counts", "How many segments changed, by cause",
                 "Segments by kind of change and cause.", count_columns,
                 HN_COUNT_OF(count_columns));
    for (uint32_t id = 1; id < hn_text_pool_count(c->texts); id++)
        HN_TRY(look_at(c, &list, &ranks, id, err));
    if (ranks.count)
        qsort(ranks.items, ranks.count, sizeof *ranks.items, by_move);
    put_counts(c, &list, &ranks);
    most = ranks.count < RANKS_LISTED ? ranks.count : RANKS_LISTED;
    for (size_t i = 0; i < most; i++)
        HN_TRY(add_change(c, &list, RANK, ranks.items[i].id, err));
    if (list.count)
        qsort(list.items, list.count, sizeof *list.items, by_kind);
    put_changes(c, &list);
out:
    hn_free(list.items);
    hn_free(ranks.items);
    return rc;
}
