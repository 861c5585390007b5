/* Grades from observations into the inspections: those that have none get one; whether
 * a recorded one gives way, the plan says. Both are kept in the table of grades. */
#include "condition/observe_parts.h"

#include <stdio.h>
#include <string.h>

/* Half a grade is what a reader would call another one. (local rule) */
static const double DIFFERS = 0.5;

static const hn_column_id column_of[HN_DRIVERS] = {HN_COL_GRADE_STRUCTURAL, HN_COL_GRADE_SERVICE,
                                                   HN_COL_GRADE_TIGHTNESS};

static const char *const driver_names[HN_DRIVERS] = {"structural", "service", "tightness"};

static const hn_visit_grade *grades_of(const hn_observing *w, size_t v)
{
    return &w->o->verdict[v * w->o->roll_ups];
}

static int is_ruling(const hn_observing *w, size_t roll_up)
{
    return strcmp(w->plan->config.roll_ups[roll_up].scheme, w->plan->grading_scheme) == 0;
}

static hn_status want_columns(hn_observing *w, hn_error *err)
{
    hn_status rc = HN_OK;

    HN_TRY(hn_inspections_reserve(w->inspections, w->inspections->count + 1, err));
    for (size_t r = 0; r < w->o->roll_ups; r++)
        if (is_ruling(w, r))
            HN_TRY(hn_inspections_want(w->inspections,
                                       column_of[w->plan->config.roll_ups[r].driver], err));
out:
    return rc;
}

/* ---- an inspection that only its observations tell of ---- */

/* A whole piece seen is so much of the segment. */
static double piece_seen_m(const hn_observing *w, size_t v)
{
    const hn_visit_piece *piece = hn_observed_piece(w->o, v);

    return piece && w->o->visits.complete[v] != 0 ? (double)piece->length_m : (double)NAN;
}

static hn_status add_record(hn_observing *w, size_t v, hn_error *err)
{
    hn_inspections *p = w->inspections;
    const hn_inspections *from = &w->o->visits;
    size_t i = p->count;
    hn_status rc = HN_OK;

    HN_TRY(hn_inspections_reserve(p, i + 1, err));
    p->segment[i] = hn_observed_piece(w->o, v)
                        ? from->segment[v]
                        : hn_str(w->table, HN_COL_SEGMENT_ID, (size_t)w->o->row[v]);
    p->up_node[i] = from->up_node[v];
    p->down_node[i] = from->down_node[v];
    p->inspection_id[i] = w->o->inspection_id[v];
    p->date[i] = from->date[v];
    p->complete[i] = from->complete[v];
    p->length_seen_m[i] = piece_seen_m(w, v);
    p->x[i] = p->y[i] = (double)NAN;
    p->source[i] = UINT16_MAX;
    for (int id = 0; id < HN_COL_COUNT; id++) {
        if (p->number[id])
            p->number[id][i] = (double)NAN;
        if (p->text[id])
            p->text[id][i] = 0;
    }
    w->record_of[v] = (uint32_t)i;
    p->count++;
    w->out->added++;
out:
    return rc;
}

/* ---- grades ---- */

static void compare(hn_observing *w, size_t v, int driver, double recorded, double seen)
{
    char value[96];

    if (fabs(recorded - seen) < DIFFERS) {
        w->out->agree++;
        return;
    }
    w->out->differ++;
    snprintf(value, sizeof value, "%s: recorded %.1f, observed %.1f", driver_names[driver],
             recorded, seen);
    hn_observe_found(w, HN_FOUND_GRADE_DIFFERS, v, 1, value);
}

static void fill_one(hn_observing *w, size_t v, size_t roll_up)
{
    const int driver = w->plan->config.roll_ups[roll_up].driver;
    hn_visit_grade *g = &w->o->verdict[v * w->o->roll_ups + roll_up];
    double *cell = &w->inspections->number[column_of[driver]][w->record_of[v]];

    if (isnan((double)g->grade))
        return;
    if (!isnan((double)g->recorded)) {
        compare(w, v, driver, (double)g->recorded, (double)g->grade);
        if (w->plan->replace_recorded) {
            *cell = (double)g->grade;
            w->out->replaced++;
        }
        return;
    }
    /* a second visit of the day may have filled it: the worst counts */
    if (!isnan(*cell) && *cell >= (double)g->grade)
        return;
    *cell = (double)g->grade;
    w->out->filled++;
}

/* A survey that was given up, or that reached the other manhole, says so by a code. */
static void tell_completeness(hn_observing *w, size_t v)
{
    const uint8_t said = w->o->visits.complete[v];
    const size_t record = w->record_of[v];

    if (record != UINT32_MAX && said != HN_CODE_MISSING &&
        w->inspections->complete[record] == HN_CODE_MISSING)
        w->inspections->complete[record] = said;
}

/* Before anything is filled: what the record says of every driver, for all schemes. */
static void note_recorded(hn_observing *w, size_t v)
{
    for (size_t r = 0; r < w->o->roll_ups; r++) {
        const double *cells = w->inspections->number[column_of[w->plan->config.roll_ups[r].driver]];

        if (cells && w->record_of[v] != UINT32_MAX)
            w->o->verdict[v * w->o->roll_ups + r].recorded = (float)cells[w->record_of[v]];
    }
}

/* Without a scale's verdict there is nothing to fill, and no inspection is made. */
static int has_grade(const hn_observing *w, size_t v)
{
    for (size_t r = 0; r < w->o->roll_ups; r++)
        if (is_ruling(w, r) && !isnan((double)grades_of(w, v)[r].grade))
            return 1;
    return 0;
}

hn_status hn_observe_fill(hn_observing *w, hn_error *err)
{
    hn_status rc = HN_OK;

    HN_TRY(want_columns(w, err));
    for (size_t v = 0; v < w->o->visits.count; v++) {
        note_recorded(w, v);
        tell_completeness(w, v);
    }
    for (size_t v = 0; v < w->o->visits.count; v++) {
        if (w->o->row[v] < 0 || !has_grade(w, v))
            continue;
        if (w->record_of[v] == UINT32_MAX)
            HN_TRY(add_record(w, v, err));
        for (size_t r = 0; r < w->o->roll_ups; r++)
            if (is_ruling(w, r))
                fill_one(w, v, r);
    }
out:
    return rc;
}
