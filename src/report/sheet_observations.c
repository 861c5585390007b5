/* The worst observations of one segment, and what the plan's scheme made of them. */
#include "report/observation_views.h"
#include "report/sheet_parts.h"

#include "base/dates.h"

#include <string.h>

enum { SHOWN = 5 };

static const char *const drivers[HN_DRIVERS] = {"structural", "service", "tightness"};

static const hn_view_column worst_columns[] = {
    {"rank", "Rank", "", "", HN_VIEW_INT, 0, NULL, 0},
    {"seen_on", "Seen on", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"code", "Code", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"meaning", "Meaning", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"quantity_1", "Quantity", "", "", HN_VIEW_REAL, 1, NULL, 0},
    {"place_m", "Place", "", "m", HN_VIEW_REAL, 1, NULL, 0},
    {"clock", "Clock", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"grade_1_5", "Grade", "", "", HN_VIEW_REAL, 1, NULL, 0},
    {"driver", "Driver", "", "", HN_VIEW_TEXT, 0, NULL, 0},
};

static const hn_view_column verdict_columns[] = {
    {"scheme", "Scheme", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"driver", "Driver", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"seen_on", "Seen on", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"observations", "With a value", "", "", HN_VIEW_INT, 0, NULL, 0},
    {"value", "Value", "", "", HN_VIEW_REAL, 2, NULL, 0},
    {"grade_1_5", "Grade", "", "", HN_VIEW_REAL, 1, NULL, 0},
    {"recorded_grade_1_5", "Recorded", "", "", HN_VIEW_REAL, 1, NULL, 0},
    {"source", "Source of the scheme", "", "", HN_VIEW_TEXT, 0, NULL, 0},
};

/* Visits of the segment: *from up to *to - 1. Visits lie in the order of rows. */
static int find_visits(const hn_sheet_facts *f, size_t *from, size_t *to)
{
    const hn_observations *o = f->observations;
    size_t low = 0, high = o->matched;

    while (low < high) {
        const size_t middle = low + (high - low) / 2;

        if ((size_t)o->row[middle] < f->row)
            low = middle + 1;
        else
            high = middle;
    }
    *from = *to = low;
    while (*to < o->matched && (size_t)o->row[*to] == f->row)
        ++*to;
    return *to > *from;
}

static const char *day_of(const hn_sheet_facts *f, hn_sheet *s, size_t visit)
{
    char text[HN_DATE_TEXT] = "";

    if (f->observations->visits.date[visit] != HN_I32_MISSING)
        hn_date_text(f->observations->visits.date[visit], text);
    return hn_sheet_text(s, "%s", text);
}

static void add_one(const hn_sheet_facts *f, hn_sheet *s, hn_sheet_item *t, size_t i)
{
    const hn_observations *o = f->observations;
    const hn_observation_code *code = hn_observed_code(f->plan, o, i);
    const double length_m = hn_f64(f->table, HN_COL_LENGTH_M, f->row);
    char clock[16];

    hn_sheet_cell_whole(s, t, o->rank[i]);
    hn_sheet_cell_word(s, t, day_of(f, s, o->visit[i]));
    hn_sheet_cell_word(
        s, t,
        hn_sheet_text(s, "%s %s", hn_observed_text(o, o->code[i]), hn_observed_text(o, o->ch1[i])));
    hn_sheet_cell_word(s, t, code ? code->meaning : "not in the table of codes");
    hn_sheet_cell_number(s, t, (double)o->q1[i]);
    hn_sheet_cell_number(s, t, hn_observed_place_m(o, i, length_m));
    hn_sheet_cell_word(s, t, hn_sheet_text(s, "%s", hn_observed_clock(o, i, clock)));
    hn_sheet_cell_number(s, t, (double)o->grade[i]);
    hn_sheet_cell_word(s, t, o->driver[i] < HN_DRIVERS ? drivers[o->driver[i]] : "");
}

static void add_worst(const hn_sheet_facts *f, hn_sheet *s, size_t from, size_t to)
{
    const hn_observations *o = f->observations;
    hn_sheet_item *t =
        hn_sheet_table(s, "observations", "Worst observations, place from the upstream end",
                       worst_columns, sizeof worst_columns / sizeof worst_columns[0]);

    for (unsigned rank = 1; rank <= SHOWN; rank++)
        for (size_t i = o->start[from]; i < o->start[to]; i++)
            if (o->rank[i] == rank && !isnan((double)o->grade[i]))
                add_one(f, s, t, i);
}

static void add_verdicts(const hn_sheet_facts *f, hn_sheet *s, size_t from, size_t to)
{
    const hn_observations *o = f->observations;
    hn_sheet_item *t =
        hn_sheet_table(s, "observation_grades", "Grades from observations (roll_up)",
                       verdict_columns, sizeof verdict_columns / sizeof verdict_columns[0]);

    for (size_t v = from; v < to; v++)
        for (size_t r = 0; r < o->roll_ups; r++) {
            const hn_roll_up *roll = &f->plan->config.roll_ups[r];
            const hn_visit_grade *g = &o->verdict[v * o->roll_ups + r];

            hn_sheet_cell_word(s, t, roll->scheme);
            hn_sheet_cell_word(s, t, drivers[roll->driver]);
            hn_sheet_cell_word(s, t, day_of(f, s, v));
            hn_sheet_cell_whole(s, t, g->counted);
            hn_sheet_cell_number(s, t, (double)g->value);
            hn_sheet_cell_number(s, t, (double)g->grade);
            hn_sheet_cell_number(s, t, (double)g->recorded);
            hn_sheet_cell_word(s, t, roll->source);
        }
}

void hn_sheet_observations(const hn_sheet_facts *f, hn_sheet *s)
{
    size_t from, to;

    if (!f->observations || !find_visits(f, &from, &to))
        return;
    add_worst(f, s, from, to);
    add_verdicts(f, s, from, to);
}
