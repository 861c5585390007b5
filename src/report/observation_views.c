#include "report/observation_views.h"

#include <stdio.h>
#include <string.h>

static const char *const drivers[HN_DRIVERS] = {"structural", "service", "tightness"};

/* ---- codes and clocks ---- */

const hn_observation_code *hn_observed_code(const hn_plan *plan, const hn_observations *o, size_t i)
{
    const char *set = plan->observations[o->visits.source[o->visit[i]]].code_set;
    const char *code = hn_observed_text(o, o->code[i]), *ch1 = hn_observed_text(o, o->ch1[i]);
    const hn_observation_code *found = NULL;

    for (size_t k = 0; k < plan->config.code_count; k++) {
        const hn_observation_code *c = &plan->config.codes[k];

        if (strcmp(c->code, code) != 0 || strcmp(c->code_set, set ? set : "EN 13508-2") != 0)
            continue;
        if (c->characterisation && strcmp(c->characterisation, ch1) == 0)
            return c;
        if (!c->characterisation)
            found = c;
    }
    return found;
}

const char *hn_observed_clock(const hn_observations *o, size_t i, char room[16])
{
    const unsigned from = o->clock_from[i], to = o->clock_to[i];

    room[0] = '\0';
    if (from != HN_CODE_MISSING && to != HN_CODE_MISSING)
        snprintf(room, 16, "%u-%u", from, to);
    else if (from != HN_CODE_MISSING)
        snprintf(room, 16, "%u", from);
    return room;
}

/* ---- the layer ---- */

static const hn_view_column layer_columns[] = {
    {"segment_id", "Segment", "Segment in which it was seen", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"worst_rank", "Rank", "1 is the worst observation of the segment", "", HN_VIEW_INT, 0, NULL, 0},
    {"inspected_on", "Inspected on", "Day of the survey", "", HN_VIEW_DATE, 0, NULL, 0},
    {"inspection_id", "Inspection", "Id of the inspection, as recorded", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"code", "Code", "Main code of the observation", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"characterisation_1", "Ch. 1", "First characterisation", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"characterisation_2", "Ch. 2", "Second characterisation", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"meaning", "Meaning", "What the code means, from observation_codes.csv", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"quantity_1", "Quantity 1", "First quantity, in the unit that the code asks for", "", HN_VIEW_REAL, 1, NULL, 0},
    {"quantity_2", "Quantity 2", "Second quantity, in the unit that the code asks for", "", HN_VIEW_REAL, 1, NULL, 0},
    {"distance_m", "Distance", "Distance from where the survey began, as recorded", "m", HN_VIEW_REAL, 2, NULL, 0},
    {"place_m", "Place", "Distance from the upstream end of the segment, brought onto its length", "m", HN_VIEW_REAL, 2, NULL, 0},
    {"defect_length_m", "Length", "Length of a defect that runs on; empty for a point", "m", HN_VIEW_REAL, 2, NULL, 0},
    {"clock", "Clock", "Position around the pipe, 12 is the crown", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"grade_1_5", "Grade", "Grade of this observation by the scheme of the plan, 1 good to 5 worst", "", HN_VIEW_REAL, 1, NULL, 0},
    {"driver", "Driver", "What the grade is about: structural, service or tightness", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"note", "Note", "What is doubtful about it", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"remark", "Remark", "Remark, as recorded", "", HN_VIEW_TEXT, 0, NULL, 0},
};

static const char *note_of(const hn_observations *o, size_t i)
{
    if (o->flags[i] & HN_OBS_UNKNOWN_CODE)
        return "code not in the table of codes";
    if (o->flags[i] & HN_OBS_CANNOT_TELL)
        return "a value that the grading rules need is missing";
    if (o->flags[i] & HN_OBS_BEYOND)
        return "beyond the end of the segment";
    if (o->flags[i] & HN_OBS_NOT_CLOSED)
        return "begins or ends without the other";
    return "";
}

static double length_of(const hn_observation_views *v, size_t i)
{
    const int32_t row = v->observations->row[v->observations->visit[i]];

    return hn_f64(v->table, HN_COL_LENGTH_M, (size_t)row);
}

static void date_cell(hn_cell *cell, int32_t days)
{
    cell->is_null = days == HN_I32_MISSING;
    cell->i = days;
}

static void layer_row(const void *context, size_t place, hn_cell *cells, hn_scratch *scratch)
{
    const hn_observation_views *v = context;
    const hn_observations *o = v->observations;
    const size_t i = v->shown[place], visit = o->visit[i];
    const hn_observation_code *code = hn_observed_code(v->plan, o, i);
    char room[16];

    hn_cell_text(&cells[0], hn_table_text(v->table, HN_COL_SEGMENT_ID, (size_t)o->row[visit]));
    hn_cell_int(&cells[1], o->rank[i]);
    date_cell(&cells[2], o->visits.date[visit]);
    hn_cell_text(&cells[3], hn_text_pool_get(v->table->texts, o->inspection_id[visit]));
    hn_cell_text(&cells[4], hn_observed_text(o, o->code[i]));
    hn_cell_text(&cells[5], hn_observed_text(o, o->ch1[i]));
    hn_cell_text(&cells[6], hn_observed_text(o, o->ch2[i]));
    hn_cell_text(&cells[7], code ? code->meaning : "");
    hn_cell_real(&cells[8], (double)o->q1[i]);
    hn_cell_real(&cells[9], (double)o->q2[i]);
    hn_cell_real(&cells[10], (double)o->from_m[i]);
    hn_cell_real(&cells[11], hn_observed_place_m(o, i, length_of(v, i)));
    hn_cell_real(&cells[12], fabs((double)o->to_m[i] - (double)o->from_m[i]));
    hn_cell_text(&cells[13], hn_scratch_copy(scratch, hn_observed_clock(o, i, room)));
    hn_cell_real(&cells[14], (double)o->grade[i]);
    hn_cell_text(&cells[15], o->driver[i] < HN_DRIVERS ? drivers[o->driver[i]] : "");
    hn_cell_text(&cells[16], note_of(o, i));
    hn_cell_text(&cells[17], hn_observed_text(o, o->remark[i]));
}

static void layer_shape(const void *context, size_t place, hn_shape_ref *out, hn_scratch *scratch)
{
    const hn_observation_views *v = context;
    const double *xy = &v->xy[2 * place];

    memset(out, 0, sizeof *out);
    if (isnan(xy[0]))
        return;
    scratch->xy[0] = xy;
    scratch->points[0] = 1;
    out->is_point = 1;
    out->part_count = 1;
    out->xy = scratch->xy;
    out->points = scratch->points;
}

/* ---- places ---- */

static double leg_m(const hn_lines *l, const hn_plane *plane, size_t k)
{
    if (l->break_before && l->break_before[k])
        return 0.0;
    return hn_plane_distance_m(plane, l->xy + 2 * k - 2, l->xy + 2 * k);
}

/* Point at a share of the drawn line; gaps between parts have no length. */
static void point_at(const hn_lines *l, const hn_plane *plane, size_t row, double share,
                     double *out)
{
    const size_t from = l->start[row], to = l->start[row + 1];
    double whole = 0.0, left;

    for (size_t k = from + 1; k < to; k++)
        whole += leg_m(l, plane, k);
    left = share * whole;
    for (size_t k = from + 1; k < to; k++) {
        const double leg = leg_m(l, plane, k), t = leg > 0.0 ? left / leg : 0.0;

        if (leg > 0.0 && (left <= leg || k + 1 == to)) {
            for (int c = 0; c < 2; c++)
                out[c] = l->xy[2 * k - 2 + c] +
                         fmin(t, 1.0) * (l->xy[2 * k + c] - l->xy[2 * k - 2 + c]);
            return;
        }
        left -= leg;
    }
    out[0] = l->xy[2 * from];
    out[1] = l->xy[2 * from + 1];
}

static void find_place(const hn_observation_views *v, const hn_plane *plane, size_t i, double *out)
{
    const int32_t row = v->observations->row[v->observations->visit[i]];
    const double length_m = length_of(v, i);
    const double place_m = hn_observed_place_m(v->observations, i, length_m);

    out[0] = out[1] = (double)NAN;
    if (isnan(place_m) || !(length_m > 0.0) || !hn_line_points(&v->table->lines, (size_t)row))
        return;
    point_at(&v->table->lines, plane, (size_t)row, place_m / length_m, out);
}

static hn_status make_layer(hn_observation_views *v, const hn_plane *plane, hn_arena *arena,
                            hn_error *err)
{
    const hn_observations *o = v->observations;
    size_t count = 0;

    v->shown = hn_arena_alloc(arena, o->count, sizeof *v->shown);
    v->xy = hn_arena_alloc(arena, o->count, 2 * sizeof *v->xy);
    if (!v->shown || !v->xy)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    for (size_t i = 0; i < o->count; i++) {
        if (!o->rank[i])
            continue;
        find_place(v, plane, i, &v->xy[2 * count]);
        v->shown[count++] = (uint32_t)i;
    }
    v->layer = (hn_view){.name = "observations",
                         .title = "What the camera saw",
                         .meaning = "Observations at their place along the segment, with the grade "
                                    "that the scheme of the plan gives; in a large network the "
                                    "worst of each segment only.",
                         .geometry = HN_GEOMETRY_ANY,
                         .columns = layer_columns,
                         .column_count = sizeof layer_columns / sizeof layer_columns[0],
                         .rows = count,
                         .context = v,
                         .row = layer_row,
                         .shape = layer_shape};
    return HN_OK;
}

/* ---- the table of grades ---- */

static const hn_view_column grade_columns[] = {
    {"segment_id", "Segment", "Segment that was surveyed", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"inspected_on", "Inspected on", "Day of the survey", "", HN_VIEW_DATE, 0, NULL, 0},
    {"inspection_id", "Inspection", "Id of the inspection, as recorded", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"scheme", "Scheme", "Scheme of roll_up.csv", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"driver", "Driver", "structural, service or tightness", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"is_ruling", "Rules", "The scheme whose grades the plan uses", "", HN_VIEW_BOOL, 0, NULL, 0},
    {"observations", "Observations", "Observations with a value", "", HN_VIEW_INT, 0, NULL, 0},
    {"cannot_tell", "Cannot tell", "Observations whose value cannot be told", "", HN_VIEW_INT, 0, NULL, 0},
    {"value", "Value", "Rolled up, in the scheme's own numbers", "", HN_VIEW_REAL, 2, NULL, 0},
    {"grade_1_5", "Grade", "Grade from observations, 1 good to 5 worst", "", HN_VIEW_REAL, 1, NULL, 0},
    {"recorded_grade_1_5", "Recorded grade", "Grade that the inspection itself records", "", HN_VIEW_REAL, 1, NULL, 0},
    {"difference", "Difference", "Grade from observations less recorded grade", "", HN_VIEW_REAL, 1, NULL, 0},
    {"total", "Total", "Sum of the values", "", HN_VIEW_REAL, 1, NULL, 0},
    {"mean", "Mean", "Mean of the values", "", HN_VIEW_REAL, 2, NULL, 0},
    {"peak", "Peak", "Greatest sum of values in one metre", "", HN_VIEW_REAL, 1, NULL, 0},
    {"length_sum", "Value x length", "Sum of value x length of each observation, in metres", "", HN_VIEW_REAL, 1, NULL, 0},
    {"surcharge", "Surcharge", "50 x density of damage; for the roll-up surcharge only", "", HN_VIEW_REAL, 2, NULL, 0},
    {"quick_rating", "Quick rating", "Worst grade, its count, next grade, its count", "", HN_VIEW_TEXT, 0, NULL, 0},
};

static void grade_row(const void *context, size_t place, hn_cell *cells, hn_scratch *scratch)
{
    const hn_observation_views *v = context;
    const hn_observations *o = v->observations;
    const size_t visit = place / o->roll_ups;
    const hn_roll_up *roll = &v->plan->config.roll_ups[place % o->roll_ups];
    const hn_visit_grade *g = &o->verdict[place];

    hn_cell_text(&cells[0], hn_table_text(v->table, HN_COL_SEGMENT_ID, (size_t)o->row[visit]));
    date_cell(&cells[1], o->visits.date[visit]);
    hn_cell_text(&cells[2], hn_text_pool_get(v->table->texts, o->inspection_id[visit]));
    hn_cell_text(&cells[3], roll->scheme);
    hn_cell_text(&cells[4], drivers[roll->driver]);
    hn_cell_int(&cells[5], strcmp(roll->scheme, v->plan->grading_scheme) == 0);
    hn_cell_int(&cells[6], g->counted);
    hn_cell_int(&cells[7], g->unknown);
    hn_cell_real(&cells[8], (double)g->value);
    hn_cell_real(&cells[9], (double)g->grade);
    hn_cell_real(&cells[10], (double)g->recorded);
    hn_cell_real(&cells[11], (double)g->grade - (double)g->recorded);
    hn_cell_real(&cells[12], (double)g->total);
    hn_cell_real(&cells[13], (double)g->total / (double)g->counted);
    hn_cell_real(&cells[14], (double)g->peak);
    hn_cell_real(&cells[15], (double)g->length_sum);
    hn_cell_real(&cells[16], (double)g->surcharge);
    hn_cell_text(&cells[17], hn_scratch_printf(scratch, "%.4s", g->quick));
}

static void make_grades(hn_observation_views *v)
{
    const hn_observations *o = v->observations;

    v->grades = (hn_view){.name = "observation_grades",
                          .title = "Grades from observations",
                          .meaning = "What every scheme makes of each survey, beside the recorded "
                                     "grade; the rest of the result rests on the plan's scheme.",
                          .geometry = HN_GEOMETRY_NONE,
                          .columns = grade_columns,
                          .column_count = sizeof grade_columns / sizeof grade_columns[0],
                          .rows = o->matched * o->roll_ups,
                          .context = v,
                          .row = grade_row};
}

hn_status hn_observation_views_make(const hn_table *table, const hn_plan *plan,
                                    const hn_plane *plane, const hn_observations *o,
                                    hn_arena *arena, hn_observation_views *out, hn_error *err)
{
    hn_status rc = HN_OK;

    memset(out, 0, sizeof *out);
    out->table = table;
    out->plan = plan;
    out->observations = o;
    HN_TRY(make_layer(out, plane, arena, err));
    make_grades(out);
out:
    return rc;
}
