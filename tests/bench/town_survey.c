/* tests/bench/town_survey.c - see town.h. What was seen in the sewers, and what
 * lies around them. */
#include "town_draw.h"

#include <stdio.h>

/* ---- inspections ---- */

uint64_t town_inspections(const town *t)
{
    return (t->sewers * 78 + 50) / 100;
}

static int grade(double badness)
{
    return badness < 0.28 ? 1 : badness < 0.48 ? 2 : badness < 0.68 ? 3 : badness < 0.88 ? 4 : 5;
}

static void set_grades(const town *t, uint64_t number, uint64_t segment, inspection *i)
{
    double age = (2026 - year_built(t, segment)) / 100.0;
    double own = draw(t, DRAW_GRADE, segment), now = draw(t, DRAW_GRADE, ~number);

    i->structural = grade(0.45 * age + 0.45 * own * own + 0.1 * now);
    i->service = grade(0.2 * age + 0.7 * now * now);
    i->tightness = grade(0.4 * age + 0.5 * own * now);
    if (now < 0.02)
        i->structural = NO_VALUE;
    i->collapsed = own > 0.999 && age > 0.6;
    i->spot_defects = (int)(6.0 * own * own * age);
}

static void set_defects(const town *t, uint64_t number, inspection *i)
{
    static const char *const infiltration[] = {"none",    "none",    "none",     "none",
                                               "seeping", "seeping", "dripping", "running",
                                               "gushing", NULL};
    static const char *const roots[] = {"none", "none", "none", "none", "fine", "mass"};
    double u = draw(t, DRAW_DEFECT, number);

    i->infiltration = PICK(infiltration, draw(t, DRAW_DEFECT, ~number));
    i->roots = PICK(roots, u);
    i->ovality_pct = u < 0.3 ? floor(u * 30.0) : NAN;
    i->joint_offset_pct = u > 0.6 ? floor((u - 0.6) * 50.0) : NAN;
    i->sag_pct = u > 0.2 && u < 0.5 ? floor((u - 0.2) * 60.0) : NAN;
    i->deposits_pct = u > 0.4 ? floor((u - 0.4) * 40.0) : NAN;
}

void town_inspection(const town *t, uint64_t number, inspection *i)
{
    uint64_t day = draw_bits(t, DRAW_DATE, number);
    uint64_t segment = (uint64_t)(draw(t, DRAW_SEGMENT, number) * (double)t->sewers);

    snprintf(i->inspection_id, sizeof i->inspection_id, "V%08llu", (unsigned long long)number);
    snprintf(i->segment_id, sizeof i->segment_id, "%s%08llu",
             draw(t, DRAW_UNKNOWN, number) < 0.03 ? "OLD" : "S", (unsigned long long)segment);
    snprintf(i->up_node, sizeof i->up_node, "M%08llu", (unsigned long long)segment);
    snprintf(i->inspected_on, sizeof i->inspected_on, "%04u-%02u-%02u", 2010 + (unsigned)(day % 16),
             1 + (unsigned)(day / 16 % 12), 1 + (unsigned)(day / 192 % 28));
    set_grades(t, number, segment, i);
    set_defects(t, number, i);
    i->complete = draw(t, DRAW_UNKNOWN, ~number) < 0.9 ? "complete" : "abandoned";
    i->length_seen_m = NAN;
    if (i->complete[0] == 'a')
        i->length_seen_m = floor(30.0 * draw(t, DRAW_DATE, ~number));
}

/* ---- context ---- */

/* Somewhere in the ground of the patch. */
static void somewhere(const town *t, const patch *p, enum draw_stream stream, uint64_t number,
                      double *xy)
{
    xy[0] = to_mm(MAP_EAST_M +
                  STEP_M * 25.0 *
                      ((double)(p->number % t->map_columns) + draw(t, stream, number * 32)));
    xy[1] = to_mm(MAP_NORTH_M +
                  STEP_M * 29.0 *
                      ((double)(p->number / t->map_columns) + draw(t, stream, number * 32 + 1)));
}

/* A walk that mostly keeps its direction. */
static void wander(const town *t, const patch *p, enum draw_stream stream, uint64_t number,
                   double sway, line *out)
{
    uint64_t key = number * 32 + 2;
    double dx = draw_between(t, stream, key, -70, 70),
           dy = draw_between(t, stream, key + 1, -70, 70);

    somewhere(t, p, stream, number, out->xy);
    out->points = 4 + (int)(draw_bits(t, stream, key + 2) % 9);
    for (int i = 1; i < out->points; i++) {
        uint64_t k = key + 1 + 2 * (uint64_t)i;
        double *xy = out->xy + 2 * i;
        xy[0] = to_mm(xy[-2] + dx + draw_between(t, stream, k, -sway, sway));
        xy[1] = to_mm(xy[-1] + dy + draw_between(t, stream, k + 1, -sway, sway));
    }
}

void town_road(const town *t, const patch *p, uint64_t number, line *out)
{
    wander(t, p, DRAW_ROAD, number, 8, out);
}

void town_water(const town *t, const patch *p, uint64_t number, line *out)
{
    wander(t, p, DRAW_RIVER, number, 40, out);
}

void town_point(const town *t, const patch *p, uint64_t number, line *out)
{
    out->points = 1;
    somewhere(t, p, DRAW_PLACE, number, out->xy);
}
