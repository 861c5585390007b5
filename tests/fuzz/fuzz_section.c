/* fuzz/fuzz_section.c - any bytes as a section, its lining and its flow: never
 * a crash or a hang, never an area below 0 or larger than the box around it,
 * and a section with a problem has no numbers at all. */
#define REPLAY_MUTANTS 6000

#include "engineering/capacity.h"
#include "engineering/flow.h"
#include "engineering/flow_depth.h"
#include "engineering/section_depth.h"
#include "replay.h"

#include <float.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { POINTS_MAX = 24, DEPTHS = 6 };

typedef struct bytes {
    const uint8_t *at;
    size_t left;
} bytes;

static void must_hold(int holds, const char *what)
{
    if (holds)
        return;
    fprintf(stderr, "does not hold: %s\n", what);
    abort();
}

#define must(law) must_hold(law, #law)

static uint8_t take_byte(bytes *b)
{
    if (b->left == 0)
        return 0;
    b->left--;
    return *b->at++;
}

/* One byte chooses a number that hurts, an ordinary one, or eight raw bytes. */
static double take_number(bytes *b)
{
    static const double sharp[] = {0.0,     -0.0,   NAN,  INFINITY, -INFINITY, DBL_MAX,
                                   DBL_MIN, 5e-324, -1.0, 1.0,      1000.0,    999.999,
                                   1e5,     1e8,    1e-3, 0.5};
    const uint8_t form = take_byte(b);
    double raw = 0.0;

    if (form < sizeof sharp / sizeof *sharp)
        return sharp[form];
    if (form < 240)
        return form * 256.0 / 17.0 + take_byte(b);
    for (size_t i = 0; i < sizeof raw; i++)
        ((uint8_t *)&raw)[i] = take_byte(b);
    return raw;
}

static hn_section take_polygon(bytes *b, double xy[2 * POINTS_MAX])
{
    const size_t points = take_byte(b) % (POINTS_MAX + 1);

    for (size_t i = 0; i < 2 * points; i++) /* small whole numbers meet and cross often */
        xy[i] = b->left && *b->at & 1 ? take_byte(b) / 16 / 8.0 : take_number(b) / 1000.0;
    return hn_section_polygon(xy, points);
}

static hn_section take_section(bytes *b, double xy[2 * POINTS_MAX])
{
    const uint8_t form = take_byte(b) % 8;
    const double w = form == 7 ? 0.0 : take_number(b), h = form == 7 ? 0.0 : take_number(b);

    switch (form) {
    case 0:
        return hn_section_egg(w, take_number(b), h);
    case 1: {
        const double wall = take_number(b), side = take_number(b);

        return hn_section_horseshoe(w, h, wall, side, take_number(b));
    }
    case 2:
        return hn_section_arch(w, h, take_number(b));
    case 3:
        return hn_section_channel(w, take_number(b), h);
    case 4:
        return hn_section_known(w / 1000.0, h / 1000.0);
    case 5:
    case 6:
        return hn_section_from_size((hn_section_shape)(take_byte(b) % 10), w, h);
    default:
        return take_polygon(b, xy);
    }
}

static int in_box(double area_m2, const hn_section *s)
{
    const double most = s->width_m * s->height_m * s->area_factor;

    return isnan(s->width_m) || area_m2 <= most * (1.0 + 1e-9);
}

static void check_full(const hn_section *s)
{
    const hn_section_measures m = hn_section_full(s);

    if (s->problem) {
        must(isnan(m.area_m2) && isnan(m.perimeter_m) && isnan(m.hydraulic_radius_m));
        must(isnan(m.width_m) && isnan(m.height_m));
        return;
    }
    must(m.area_m2 >= 0.0 && isfinite(m.area_m2));
    must(in_box(m.area_m2, s));
    must(m.perimeter_m > 0.0 && isfinite(m.perimeter_m));
    must(m.hydraulic_radius_m >= 0.0);
}

static void check_depth(const hn_section *s, double depth_m)
{
    const hn_section_wet wet = hn_section_at_depth(s, depth_m);

    must(isnan(wet.area_m2) == isnan(wet.perimeter_m));
    if (isnan(wet.area_m2))
        return;
    must(!s->problem && depth_m >= 0.0);
    must(wet.area_m2 >= 0.0 && in_box(wet.area_m2, s));
    must(wet.perimeter_m >= 0.0 && wet.hydraulic_radius_m >= 0.0);
    must(wet.depth_m >= 0.0 && wet.depth_m <= s->height_m);
    must(isfinite(hn_section_depth_from_area(s, wet.area_m2)) ||
         wet.area_m2 > hn_section_full(s).area_m2);
}

static int is_flow(double x)
{
    return isnan(x) || x >= 0.0;
}

static void check_flow(const hn_section *s, const hn_flow_model *m, double flow, double least)
{
    const hn_flow_peak q = hn_peak_flow(s, m), v = hn_peak_velocity(s, m);
    const hn_normal_flow n = hn_normal_depth(s, m, flow, least);

    must(is_flow(hn_flow_full_m3_per_s(s, m)) && is_flow(hn_velocity_full_m_per_s(s, m)));
    must(is_flow(q.flow_m3_per_s) && is_flow(v.velocity_m_per_s));
    must(isnan(q.depth_m) || (q.depth_m >= 0.0 && q.depth_m <= s->height_m));
    must(isnan(v.depth_m) || (v.depth_m >= 0.0 && v.depth_m <= s->height_m));
    must(isnan(n.depth_m) || (n.depth_m >= 0.0 && n.depth_m <= s->height_m));
    must(is_flow(n.velocity_m_per_s) && is_flow(n.fill_0_1));
    must(!s->problem || (isnan(q.flow_m3_per_s) && isnan(n.depth_m)));
    must((n.surcharged == HN_UNANSWERED) == isnan(n.depth_m));
    must(is_flow(hn_velocity_at_depth_m_per_s(s, m, s->height_m / 3.0)));
    must(is_flow(hn_flow_at_depth_m3_per_s(s, m, s->height_m / 2.0)));
}

static void check_section(const hn_section *s, bytes b)
{
    const double shares[DEPTHS] = {0.0, 1e-9, 0.3, 0.7, 1.0, 2.0};
    hn_flow_model m = {.law = (hn_flow_law)(take_byte(&b) % 2),
                       .rule = (hn_part_full_rule)(take_byte(&b) % 3)};

    check_full(s);
    for (int i = 0; i < DEPTHS; i++)
        check_depth(s, s->height_m * shares[i]);
    check_depth(s, take_number(&b));
    m.n = take_number(&b) / 1e5;
    m.k_mm = take_number(&b) / 1000.0;
    m.viscosity_m2_per_s = take_byte(&b) ? 1.31e-6 : take_number(&b);
    m.slope_m_per_m = take_number(&b) / 1e5;
    const double flow = take_number(&b) / 1000.0;
    check_flow(s, &m, flow, take_number(&b));
}

static void check_lined(const hn_section *s, const hn_section *lined, double thickness_mm)
{
    const double before = hn_section_full(s).area_m2, after = hn_section_full(lined).area_m2;

    must(!s->problem || lined->problem);
    must(thickness_mm >= 0.0 || lined->problem);
    must(lined->problem || after <= before * (1.0 + 1e-9));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    bytes b = {data, size};
    double xy[2 * POINTS_MAX] = {0.0};
    hn_section s = take_section(&b, xy);

    if (take_byte(&b) % 4 == 1) {
        const double area = take_number(&b) / 1000.0;

        s = hn_section_override(s, area, take_number(&b) / 1000.0);
    }
    const double t[] = {take_number(&b) / 16.0, take_number(&b) / 16.0, take_number(&b) / 16.0};
    const hn_section even = hn_section_inset(&s, t[0]);
    const hn_section uneven = hn_section_inset_unequal(&s, t[0], t[1], t[2]);
    const hn_section twice = hn_section_inset(&even, t[1]);
    const hn_capacity_rules rules = {HN_FLOW_MANNING, 0.004, 0, 0.0, NAN, NAN};
    const hn_capacity_change c = hn_capacity_compare(&s, 0.013, &even, 0.01, &rules);

    check_section(&s, b);
    check_section(&even, b);
    check_section(&uneven, b);
    check_section(&twice, b);
    check_lined(&s, &even, t[0]);
    check_lined(&even, &twice, t[1]);
    must(is_flow(c.ratio) && (!even.problem || isnan(c.ratio)));
    return 0;
}
