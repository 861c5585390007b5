/* tests/bench/survey.c - see survey.h. */
#include "survey.h"

#include "town_draw.h"

#include <stdio.h>

/* Codes of EN 13508-2, how many of 1000 observations have them, and the largest quantity
 * (0: none is recorded). Connections and damaged joints make up most of what a camera
 * sees (local rule). */
static const struct {
    int of_1000;
    const char *code, *characterisation[4];
    double most;
    int runs_on; /* of 100 of them */
} kinds[] = {
    {240, "BCA", {"A", "B", "A", "E"}, 200, 0},  {120, "BAJ", {"A", "B", "C", "A"}, 45, 0},
    {110, "BAB", {"A", "A", "B", "C"}, 8, 20},   {70, "BBA", {"A", "B", "C", "A"}, 60, 10},
    {70, "BBC", {"A", "C", "Z", "C"}, 60, 30},   {60, "BDD", {NULL, NULL, NULL, NULL}, 40, 40},
    {60, "BAF", {"A", "B", "C", "I"}, 0, 40},    {50, "BBF", {"A", "A", "B", "C"}, 0, 0},
    {50, "BAH", {"A", "B", "C", "E"}, 0, 0},     {40, "BBB", {"A", "B", "C", "Z"}, 40, 10},
    {30, "BAC", {"A", "A", "A", "B"}, 0, 0},     {30, "BAG", {NULL, NULL, NULL, NULL}, 70, 0},
    {20, "BAA", {"A", "B", "A", "A"}, 25, 30},   {20, "BCC", {"A", "B", "A", "B"}, 20, 0},
    {10, "BAO", {NULL, NULL, NULL, NULL}, 0, 0}, {5, "BAP", {NULL, NULL, NULL, NULL}, 0, 0},
    {10, "BDB", {NULL, NULL, NULL, NULL}, 0, 0}, {5, "BXX", {NULL, NULL, NULL, NULL}, 0, 0},
};
enum { KINDS = sizeof kinds / sizeof kinds[0] };

uint64_t survey_visits(const town *t)
{
    return (t->sewers * 13 + 5) / 10;
}

void survey_visit(const town *t, uint64_t number, const float *length_m, visit *v)
{
    const uint64_t day = draw_bits(t, DRAW_VISIT, 4 * number);
    const double whole = draw(t, DRAW_VISIT, 4 * number + 1);

    v->segment = (uint64_t)(draw(t, DRAW_VISIT, 4 * number + 2) * (double)t->sewers);
    snprintf(v->inspection_id, sizeof v->inspection_id, "V%08llu", (unsigned long long)number);
    snprintf(v->segment_id, sizeof v->segment_id, "S%08llu", (unsigned long long)v->segment);
    snprintf(v->inspected_on, sizeof v->inspected_on, "%04u-%02u-%02u", 2010 + (unsigned)(day % 16),
             1 + (unsigned)(day / 16 % 12), 1 + (unsigned)(day / 192 % 28));
    v->complete = whole < 0.93 ? "complete" : "abandoned";
    v->length_seen_m = (double)length_m[v->segment];
    if (v->complete[0] == 'a')
        v->length_seen_m = floor(10.0 * v->length_seen_m * whole) / 10.0;
    /* 3 to 13, in the mean 7.7: with 1.3 visits a sewer that is 10 a sewer */
    v->observations = 3 + (int)(draw(t, DRAW_VISIT, 4 * number + 3) * 10.4);
}

/* ---- one observation ---- */

static int kind_of(double u)
{
    int k = 0;

    for (double left = u * 1000.0; k + 1 < KINDS && left >= kinds[k].of_1000; k++)
        left -= kinds[k].of_1000;
    return k;
}

/* Quantities grow with age: old pipes are worse, and the same pipe does not get better. */
static double quantity_of(const town *t, uint64_t key, double most, double age)
{
    const double u = draw(t, DRAW_SEEN, key);

    if (!(most > 0.0) || draw(t, DRAW_SEEN, ~key) < 0.03)
        return NAN;
    return 1.0 + floor(most * u * u * (0.3 + 0.7 * age));
}

static void look(const town *t, const visit *v, uint64_t key, observation *o)
{
    const double age = (2026 - year_built(t, v->segment)) / 140.0;
    const double u = draw(t, DRAW_CODE, key);
    const uint64_t bits = draw_bits(t, DRAW_CODE, ~key);
    const int kind = kind_of(u);

    o->code = kinds[kind].code;
    o->characterisation = kinds[kind].characterisation[bits % 4];
    if (bits / 4 % 100 < 2)
        o->characterisation = NULL;
    o->quantity = quantity_of(t, key, kinds[kind].most, age);
    o->mark = (int)(bits / 400 % 100) < kinds[kind].runs_on ? "A1" : NULL;
    o->clock_from = 1 + (int)(bits / 40000 % 12);
    o->clock_to = bits / 480000 % 4 == 0 ? 1 + (int)(bits / 1920000 % 12) : NO_VALUE;
    o->remark = bits / 23040000 % 50 == 0 ? "seen again on the way back" : NULL;
}

static void put_node(observation *o, const char *code, double at_m)
{
    *o = (observation){
        .code = code, .quantity = NAN, .at_m = at_m, .clock_from = NO_VALUE, .clock_to = NO_VALUE};
}

/* A defect that runs on ends at the next place, which says so and nothing else. */
static void close_run(observation *o, int last)
{
    for (int i = 1; i < last; i++) {
        if (!o[i].mark || o[i].mark[0] != 'A')
            continue;
        if (i + 1 >= last) {
            o[i].mark = NULL;
            continue;
        }
        o[i + 1].code = o[i].code;
        o[i + 1].characterisation = o[i].characterisation;
        o[i + 1].quantity = o[i].quantity;
        o[i + 1].mark = "B1";
    }
}

void survey_observations(const town *t, uint64_t number, const visit *v,
                         observation out[OBSERVATIONS_MOST])
{
    const int last = v->observations - 1;
    const double seen_m = v->length_seen_m;

    put_node(&out[0], "BCD", 0.0);
    for (int i = 1; i < last; i++) {
        const uint64_t key = number * OBSERVATIONS_MOST + (uint64_t)i;

        look(t, v, key, &out[i]);
        /* each in its own part of the way, so that they lie in order */
        out[i].at_m = floor(100.0 * seen_m * (i - draw(t, DRAW_SEEN, key * 2 + 1)) / last) / 100.0;
    }
    put_node(&out[last], v->complete[0] == 'c' ? "BCE" : "BDC", floor(seen_m * 100.0) / 100.0);
    close_run(out, last);
}
