/* tests/bench/town.c - see town.h. The sewers of a patch and their records. */
#include "town_draw.h"

#include <stdio.h>
#include <string.h>

/* ---- patches ---- */

static int patch_height(const town *t, uint64_t number)
{
    int span = PATCH_HEIGHT_MAX - PATCH_HEIGHT_MIN + 1;

    return PATCH_HEIGHT_MIN + (int)(draw(t, DRAW_HEIGHT, number) * span);
}

town town_make(uint64_t sewers, uint64_t seed)
{
    town t = {.seed = seed, .sewers = sewers};
    uint64_t have = 0;

    while (have < sewers)
        have += (uint64_t)(PATCH_WIDTH * patch_height(&t, t.patches++));
    /* Patches are 25 by 29 steps: this many across make a square map. */
    t.map_columns = (uint64_t)ceil(sqrt((double)t.patches * 29.0 / 25.0));
    if (t.map_columns == 0)
        t.map_columns = 1;
    return t;
}

int town_next_patch(const town *t, patch *p)
{
    uint64_t left;

    if (p->count > 0)
        *p = (patch){.number = p->number + 1, .first = p->first + (uint64_t)p->count};
    if (p->first >= t->sewers)
        return 0;
    left = t->sewers - p->first;
    p->count = PATCH_WIDTH * patch_height(t, p->number);
    if ((uint64_t)p->count > left)
        p->count = (int)left;
    /* The next patch is entered at the far end of its first row of manholes. */
    p->ends = draw(t, DRAW_END, p->number) < 0.06 || (p->number + 1) % t->map_columns == 0 ||
              left - (uint64_t)p->count < PATCH_WIDTH;
    return 1;
}

/* ---- manholes: sewer i begins at manhole i ---- */

typedef struct manhole {
    uint64_t number;
    double x, y, invert_m, ground_m;
} manhole;

/* Grid place (column, row), counted from the low corner at the right; column
 * -1 is an outlet. */
static manhole manhole_at(const town *t, uint64_t patch_number, uint64_t number, int column,
                          int row)
{
    uint64_t map_column = patch_number % t->map_columns, map_row = patch_number / t->map_columns;
    double east = (double)map_column * 25.0 + (PATCH_WIDTH - 1 - column);
    double north = (double)map_row * 29.0 + row;
    double steps = (double)(t->map_columns - map_column) * 25.0 + column + row;
    manhole m = {.number = number};

    m.x = to_mm(MAP_EAST_M + east * STEP_M + draw_between(t, DRAW_EAST, number, -6, 6));
    m.y = to_mm(MAP_NORTH_M + north * STEP_M + draw_between(t, DRAW_NORTH, number, -6, 6));
    m.invert_m = to_mm(steps * FALL_PER_STEP + draw_between(t, DRAW_FALL, number, -0.05, 0.05));
    m.ground_m =
        to_mm(m.invert_m + draw_between(t, DRAW_DEPTH, number, 1.6, 4.2) + 1.5 / (1.0 + row));
    return m;
}

/* 1: this sewer runs along its row, 0: down its column. */
static int runs_along_row(const town *t, const patch *p, int place)
{
    if (place < PATCH_WIDTH)
        return 1;
    if (place % PATCH_WIDTH == 0)
        return 0;
    return draw(t, DRAW_TURN, p->first + (uint64_t)place) < 0.25;
}

static int place_downstream(const town *t, const patch *p, int place)
{
    return runs_along_row(t, p, place) ? place - 1 : place - PATCH_WIDTH;
}

static manhole manhole_of(const town *t, const patch *p, int place)
{
    return manhole_at(t, p->number, p->first + (uint64_t)place, place % PATCH_WIDTH,
                      place / PATCH_WIDTH);
}

static manhole manhole_downstream(const town *t, const patch *p, int place)
{
    uint64_t next = p->first + (uint64_t)p->count;

    if (place > 0)
        return manhole_of(t, p, place_downstream(t, p, place));
    if (p->ends) /* outlets have numbers of their own, above all sewers */
        return manhole_at(t, p->number, t->sewers + p->number, -1, 0);
    return manhole_at(t, p->number + 1, next + PATCH_WIDTH - 1, PATCH_WIDTH - 1, 0);
}

/* ---- the line ---- */

static int points_of_line(double u)
{
    return u < 0.45 ? 2 : u < 0.70 ? 3 : u < 0.85 ? 4 : u < 0.95 ? 5 : 6; /* mean 3.05 */
}

static double line_length(const line *l)
{
    double sum = 0;

    for (int i = 1; i < l->points; i++) {
        double dx = l->xy[2 * i] - l->xy[2 * i - 2], dy = l->xy[2 * i + 1] - l->xy[2 * i - 1];
        sum += sqrt(dx * dx + dy * dy);
    }
    return sum;
}

static void draw_line(const town *t, const manhole *up, const manhole *down, line *out)
{
    double dx = down->x - up->x, dy = down->y - up->y, length = sqrt(dx * dx + dy * dy);
    int last = points_of_line(draw(t, DRAW_POINTS, up->number)) - 1;

    out->points = last + 1;
    for (int i = 0; i <= last; i++) {
        double along = (double)i / last, aside = 0;
        if (i > 0 && i < last)
            aside = draw_between(t, DRAW_OFFSET, up->number * 8 + (uint64_t)i, -0.8, 0.8) / length;
        out->xy[2 * i] = to_mm(up->x + dx * along - dy * aside);
        out->xy[2 * i + 1] = to_mm(up->y + dy * along + dx * aside);
    }
}

/* ---- what the pipe is ---- */

static int width_for(double upstream_m)
{
    static const struct {
        double upstream_m;
        int width_mm;
    } size[] = {{700, 250},    {1500, 300},    {2500, 400},    {4000, 500},
                {7000, 600},   {12000, 800},   {20000, 1000},  {40000, 1200},
                {80000, 1500}, {150000, 1800}, {300000, 2200}, {600000, 2600}};
    int i = 0;

    while (i < 11 && upstream_m > size[i].upstream_m)
        i++;
    return size[i].width_mm;
}

static const char *material_for(int year, int width_mm, double u)
{
    if (year < 1915)
        return width_mm >= 500 ? "BR" : u < 0.9 ? "VC" : "CI";
    if (year < 1970)
        return width_mm >= 800 ? (u < 0.3 ? "BR" : "CO") : u < 0.55 ? "VC" : "CO";
    if (width_mm >= 800)
        return u < 0.85 ? "RC" : "GR";
    return u < 0.35 ? "VC" : u < 0.60 ? "CO" : u < 0.90 ? "PV" : "PE";
}

static void set_section(const town *t, uint64_t number, int year, sewer *s)
{
    double u = draw(t, DRAW_SHAPE, number);

    s->shape = "C";
    s->height_mm = NO_VALUE;
    if (s->width_mm >= 500 && year < 1960 && u < 0.5) {
        s->shape = "E"; /* an egg is half as high again as wide */
        s->height_mm = s->width_mm * 3 / 2;
    } else if (s->width_mm >= 1500 && u < 0.75) {
        s->shape = u < 0.6 ? "R" : "H";
        s->height_mm = s->width_mm * 9 / 10;
    }
}

static void set_pipe(const town *t, uint64_t number, double upstream_m, sewer *s)
{
    int year = year_built(t, number);

    s->width_mm = width_for(upstream_m);
    s->material = material_for(year, s->width_mm, draw(t, DRAW_MATERIAL, number));
    set_section(t, number, year, s);
    s->year_built = year;
    s->year_lined = NO_VALUE;
    if (draw(t, DRAW_LINED, number) < 0.04 && year < 1990)
        s->year_lined = 1995 + (int)(draw(t, DRAW_LINED, ~number) * 30.0);
}

/* ---- what is recorded about it ---- */

static void set_texts(const town *t, const patch *p, int place, sewer *s)
{
    static const char *const word[] = {"Quarry", "Mill",   "Orchard", "Tanner", "Willow", "Chapel",
                                       "Rope",   "Barley", "Copper",  "Heron",  "Lantern"};
    static const char *const kind[] = {"Street", "Lane", "Road", "Row", "Way"};
    static const char *const owner[] = {"town", "town", "town", "town",          "town",
                                        "town", "town", "town", "harbour board", "private"};
    static const char *const duty[] = {"F", "F", "M", "M", "S"};
    static const char *const surface[] = {"LR", "LR", "LR", "LR", "MR",
                                          "MR", "FW", "GR", "GR", "BD"};
    static const char *const soil[] = {"sand", "gravel", "clay", "clay", "mixed", NULL};
    uint64_t number = p->first + (uint64_t)place;
    int along = runs_along_row(t, p, place);
    uint64_t street =
        p->number * 64 + (uint64_t)(along ? place / PATCH_WIDTH : 32 + place % PATCH_WIDTH);

    snprintf(s->street, sizeof s->street, "%s %s %llu", PICK(word, draw(t, DRAW_STREET, street)),
             PICK(kind, draw(t, DRAW_STREET, ~street)), (unsigned long long)(street % 100000000));
    snprintf(s->district, sizeof s->district, "D-%02u-%02u",
             (unsigned)(p->number % t->map_columns / 8),
             (unsigned)(p->number / t->map_columns / 8));
    s->owner = PICK(owner, draw(t, DRAW_OWNER, number));
    s->status = draw(t, DRAW_OWNER, ~number) < 0.97 ? "in use" : "standby";
    s->duty = PICK(duty, draw(t, DRAW_DUTY, number / 64));
    s->surface = PICK(surface, draw(t, DRAW_SURFACE, number));
    s->soil = PICK(soil, draw(t, DRAW_SOIL, number / 16));
    s->remark = draw(t, DRAW_GAP, ~number) < 0.05 ? "taken over from the old card file" : NULL;
}

static void set_figures(const town *t, uint64_t number, sewer *s)
{
    static const int access[] = {600, 600, 600, 625, 800, NO_VALUE};
    double u = draw(t, DRAW_LENGTH, number), depth = s->ground_up_m - s->invert_up_m;

    s->length_m = to_mm(s->drawn_m * (0.99 + 0.02 * draw(t, DRAW_LENGTH, ~number)));
    if (u < 0.01)
        s->length_m = to_mm(s->drawn_m * 1.6); /* a slip in the records */
    else if (u < 0.04)
        s->length_m = NAN;
    s->laterals = (int)(draw(t, DRAW_LATERALS, number) * s->drawn_m / 9.0);
    s->groundwater_m = NAN;
    if (draw(t, DRAW_WATER, number) < 0.7)
        s->groundwater_m = to_mm(depth * 0.6 * draw(t, DRAW_WATER, ~number));
    s->access_mm = PICK(access, draw(t, DRAW_ACCESS, number));
    s->flow_m3_per_s = NAN;
    if (draw(t, DRAW_FLOW, number) < 0.4)
        s->flow_m3_per_s = to_mm(1e-6 * s->width_mm * s->width_mm * 0.5);
    s->bend_deg =
        draw(t, DRAW_FLOW, ~number) < 0.1 ? floor(22.0 * draw(t, DRAW_ACCESS, ~number)) : NAN;
}

/* Owners do not know everything, and some of it is wrong. */
static void leave_gaps(const town *t, uint64_t number, sewer *s)
{
    double u = draw(t, DRAW_GAP, number);

    if (u < 0.02)
        s->width_mm = 0; /* this owner's sign for unknown */
    else if (u < 0.06)
        s->year_built = NO_VALUE;
    else if (u < 0.08)
        s->material = NULL;
    else if (u < 0.13)
        s->invert_up_m = s->invert_down_m = NAN;
    else if (u < 0.16)
        s->ground_up_m = s->ground_down_m = NAN;
    else if (u < 0.165)
        s->invert_down_m = to_mm(s->invert_up_m + 0.4); /* seems to run uphill */
}

static void sewer_of(const town *t, const patch *p, int place, sewer *s)
{
    manhole up = manhole_of(t, p, place), down = manhole_downstream(t, p, place);

    draw_line(t, &up, &down, &s->line);
    s->drawn_m = line_length(&s->line);
    snprintf(s->asset_id, sizeof s->asset_id, "S%08llu", (unsigned long long)up.number);
    snprintf(s->up_node, sizeof s->up_node, "M%08llu", (unsigned long long)up.number);
    snprintf(s->down_node, sizeof s->down_node, "M%08llu", (unsigned long long)down.number);
    s->invert_up_m = up.invert_m;
    s->invert_down_m = down.invert_m;
    s->ground_up_m = up.ground_m;
    s->ground_down_m = down.ground_m;
}

void town_sewers(const town *t, const patch *p, double *upstream_m, sewer *out)
{
    double load[PATCH_SEWERS_MAX] = {0}; /* m that drains into each sewer */

    if (p->count >= PATCH_WIDTH)
        load[PATCH_WIDTH - 1] = *upstream_m;
    /* Water runs to lower places only, so the last place comes first. */
    for (int place = p->count - 1; place >= 0; place--) {
        uint64_t number = p->first + (uint64_t)place;
        sewer *s = &out[place];

        sewer_of(t, p, place, s);
        load[place] += s->drawn_m;
        if (place > 0)
            load[place_downstream(t, p, place)] += load[place];
        set_pipe(t, number, load[place], s);
        set_texts(t, p, place, s);
        set_figures(t, number, s);
        leave_gaps(t, number, s);
    }
    *upstream_m = p->ends ? 0 : load[0];
}
