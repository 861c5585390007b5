/* engineering/flow_depth.c - part-full flow. One idea: every law here is
 * V ~ R^m with an m that is constant or changes slowly, so one derivative,
 * dQ/dy = 0 <=> (1 + m) T P = m A P', serves all of them. */
#include "engineering/flow_depth.h"

#include "engineering/flow_circle.h"

#include "engineering/flow.h"
#include "engineering/section_depth.h"
#include "engineering/section_profile.h"

#include <math.h>

/* The curve of a named shape has one top; that of a polygon with benches may have
 * several, of which the scan must not miss the greatest. */
enum { SCAN_STEPS = 16, SCAN_STEPS_POLYGON = 128, BISECTIONS = 100 };

/* A section, a model and what they share over many depths. */
typedef struct part_flow {
    hn_wet_view view;
    const hn_flow_model *model;
    hn_section_measures full;
    double full_velocity;
} part_flow;

static double law_velocity(const hn_flow_model *m, double radius_m)
{
    if (m->law == HN_FLOW_MANNING)
        return hn_manning_velocity_m_per_s(radius_m, m->n, m->slope_m_per_m);
    return hn_colebrook_velocity_m_per_s(radius_m, m->k_mm, m->slope_m_per_m,
                                         m->viscosity_m2_per_s);
}

/* d ln V / d ln R of the law; Colebrook-White: V = -4 sqrt(2gRS)... log10 X. */
static double law_exponent(const hn_flow_model *m, double radius_m)
{
    if (m->law == HN_FLOW_MANNING)
        return 2.0 / 3.0;
    const double diameter_m = 4.0 * radius_m;
    const double root = sqrt(2.0 * HN_GRAVITY_M_PER_S2 * diameter_m * m->slope_m_per_m);
    const double rough = m->k_mm * 1e-3 / (3.71 * diameter_m);
    const double smooth = 2.51 * m->viscosity_m2_per_s / (diameter_m * root);
    const double x = rough + smooth;

    return 0.5 - (rough + 1.5 * smooth) / (x * log(x));
}

static part_flow part_flow_of(const hn_section *section, const hn_flow_model *model)
{
    part_flow f = {.view = hn_wet_view_of(section), .model = model};

    f.full = hn_section_full(section);
    f.full_velocity = law_velocity(model, f.full.hydraulic_radius_m);
    return f;
}

/* Wall that brakes the flow; with its change per depth in the second. */
static double braking_wall(const part_flow *f, const hn_profile_sum *wet, double *rate)
{
    const double surface = f->model->rule == HN_PART_FULL_HALF_SURFACE ? 0.5 : 0.0;

    *rate = wet->length_rate + (surface > 0.0 ? surface * wet->width_rate : 0.0);
    return wet->length_m + surface * wet->width_m;
}

static double velocity_of(const part_flow *f, const hn_profile_sum *wet)
{
    double rate;
    const double radius_m = wet->area_m2 / braking_wall(f, wet, &rate);

    if (!(wet->area_m2 > 0.0))
        return isnan(wet->area_m2) || isnan(f->full_velocity) ? NAN : 0.0;
    if (f->model->rule == HN_PART_FULL_RADIUS_5_8)
        return f->full_velocity * pow(radius_m / f->full.hydraulic_radius_m, 0.625);
    return law_velocity(f->model, radius_m);
}

double hn_velocity_full_m_per_s(const hn_section *section, const hn_flow_model *model)
{
    return law_velocity(model, hn_section_full(section).hydraulic_radius_m);
}

double hn_flow_full_m3_per_s(const hn_section *section, const hn_flow_model *model)
{
    const hn_section_measures full = hn_section_full(section);

    return full.area_m2 * law_velocity(model, full.hydraulic_radius_m);
}

double hn_velocity_at_depth_m_per_s(const hn_section *section, const hn_flow_model *model,
                                    double depth_m)
{
    const part_flow f = part_flow_of(section, model);

    if (!f.view.known || !(depth_m >= 0.0 && depth_m <= section->height_m))
        return NAN;
    if (depth_m == section->height_m && section->shape != HN_SECTION_CHANNEL)
        return f.full_velocity;
    const hn_profile_sum wet = hn_wet_below(&f.view, depth_m);
    return velocity_of(&f, &wet);
}

double hn_flow_at_depth_m3_per_s(const hn_section *section, const hn_flow_model *model,
                                 double depth_m)
{
    return hn_section_at_depth(section, depth_m).area_m2 *
           hn_velocity_at_depth_m_per_s(section, model, depth_m);
}

/* Flow, or velocity alone, at a depth with a dry soffit. A film thinner than
 * the roughness is outside Colebrook-White; it counts as standing still. */
static double height_of_curve(const part_flow *f, int of_flow, double depth_m)
{
    const hn_profile_sum wet = hn_wet_below(&f->view, depth_m);
    const double velocity = velocity_of(f, &wet);

    return velocity > 0.0 ? velocity * (of_flow ? wet.area_m2 : 1.0) : 0.0;
}

/* Above 0 while the curve still rises with depth. */
static double rise_of_curve(const part_flow *f, int of_flow, double depth_m)
{
    const hn_profile_sum wet = hn_wet_below(&f->view, depth_m);
    double rate;
    const double wall_m = braking_wall(f, &wet, &rate);
    const double m = f->model->rule == HN_PART_FULL_RADIUS_5_8
                         ? 0.625
                         : law_exponent(f->model, wet.area_m2 / wall_m);

    return (m + of_flow) * wet.width_m * wall_m - m * wet.area_m2 * rate;
}

static hn_flow_peak peak(const hn_section *section, const hn_flow_model *model, int of_flow)
{
    const part_flow f = part_flow_of(section, model);
    const int steps = section->shape == HN_SECTION_OTHER ? SCAN_STEPS_POLYGON : SCAN_STEPS;
    const double step_m = section->height_m / steps;
    double best = -INFINITY;
    int at = 0;

    if (!f.view.known || !(f.full_velocity >= 0.0))
        return (hn_flow_peak){NAN, NAN, NAN};
    for (int i = 1; i <= steps; i++) {
        const double value = height_of_curve(&f, of_flow, i * step_m);
        if (value > best) {
            best = value;
            at = i;
        }
    }
    double low_m = (at - 1) * step_m, high_m = fmin((at + 1) * step_m, section->height_m);
    for (int i = 0; i < BISECTIONS && low_m < high_m; i++) {
        const double middle_m = 0.5 * (low_m + high_m);
        if (middle_m <= low_m || middle_m >= high_m)
            break;
        if (rise_of_curve(&f, of_flow, middle_m) > 0.0)
            low_m = middle_m;
        else
            high_m = middle_m;
    }
    const hn_profile_sum wet = hn_wet_below(&f.view, high_m);
    const double velocity = velocity_of(&f, &wet);
    return (hn_flow_peak){high_m, velocity, velocity * wet.area_m2};
}

hn_flow_peak hn_peak_velocity(const hn_section *section, const hn_flow_model *model)
{
    return peak(section, model, 0);
}

hn_flow_peak hn_peak_flow(const hn_section *section, const hn_flow_model *model)
{
    return peak(section, model, 1);
}

/* Depth in (low, high] at which the flow reaches what is asked for: false
 * position with the Illinois weight, and a bisection whenever that has not at
 * least halved the bracket in three steps. Source: M. Dowell and P. Jarratt, BIT 11
 * (1971) 168-174, from memory. */
static double depth_of_flow(const part_flow *f, double flow_m3_per_s, double high_m)
{
    double low_m = 0.0, below = -flow_m3_per_s;
    double above = height_of_curve(f, 1, high_m) - flow_m3_per_s;
    double width_before_m = high_m;
    int moved = 0; /* the end that moved last: -1 low, 1 high */

    for (int i = 1; i <= BISECTIONS; i++) {
        double at_m = low_m + (high_m - low_m) * (below / (below - above)), value;

        if (i % 3 == 0) {
            if (high_m - low_m > 0.5 * width_before_m)
                at_m = 0.5 * (low_m + high_m);
            width_before_m = high_m - low_m;
        }
        if (!(at_m > low_m && at_m < high_m))
            at_m = 0.5 * (low_m + high_m);
        if (at_m <= low_m || at_m >= high_m)
            break;
        value = height_of_curve(f, 1, at_m) - flow_m3_per_s;
        if (value < 0.0) {
            low_m = at_m;
            below = value;
            above *= moved < 0 ? 0.5 : 1.0;
            moved = -1;
        } else if (value > 0.0) {
            high_m = at_m;
            above = value;
            below *= moved > 0 ? 0.5 : 1.0;
            moved = 1;
        } else {
            return at_m;
        }
        if (high_m - low_m <= 4e-16 * high_m)
            break;
    }
    return high_m;
}

static hn_answer reaches(double value, double least)
{
    if (isnan(value) || isnan(least))
        return HN_UNANSWERED;
    return value >= least ? HN_YES : HN_NO;
}

/* A true circle whose n does not change with depth. */
static int is_plain_circle(const hn_section *section, const hn_flow_model *model)
{
    return section->shape == HN_SECTION_CIRCLE && !section->problem &&
           section->area_factor == 1.0 && section->perimeter_factor == 1.0 &&
           model->law == HN_FLOW_MANNING && model->rule == HN_PART_FULL_LAW;
}

static hn_normal_flow normal_depth_of_circle(const hn_section *section,
                                             const hn_flow_model *model, double flow_m3_per_s,
                                             double least_velocity_m_per_s)
{
    const hn_section_measures full = hn_section_full(section);
    const double full_m3_per_s = full.area_m2 * law_velocity(model, full.hydraulic_radius_m);
    hn_normal_flow r = {.depth_m = NAN,
                        .fill_0_1 = NAN,
                        .velocity_m_per_s = NAN,
                        .full_m3_per_s = full_m3_per_s,
                        .most_m3_per_s = full_m3_per_s * hn_circle_most_flow_ratio,
                        .surcharged = HN_UNANSWERED,
                        .self_cleansing = HN_UNANSWERED};
    double area_m2 = full.area_m2;

    if (!(flow_m3_per_s >= 0.0) || isinf(flow_m3_per_s) || isnan(full_m3_per_s))
        return r;
    r.surcharged = flow_m3_per_s > r.most_m3_per_s ? HN_YES : HN_NO;
    r.fill_0_1 = 1.0;
    if (r.surcharged == HN_NO) {
        /* the division may land a bit above the most that fits */
        r.fill_0_1 = flow_m3_per_s > 0.0
                         ? hn_circle_depth_of_flow(
                               fmin(flow_m3_per_s / full_m3_per_s, hn_circle_most_flow_ratio))
                         : 0.0;
        area_m2 *= hn_circle_area_share(r.fill_0_1);
    }
    r.depth_m = r.fill_0_1 * section->height_m;
    r.velocity_m_per_s = area_m2 > 0.0 ? flow_m3_per_s / area_m2 : 0.0;
    r.self_cleansing = reaches(r.velocity_m_per_s, least_velocity_m_per_s);
    return r;
}

hn_normal_flow hn_normal_depth(const hn_section *section, const hn_flow_model *model,
                               double flow_m3_per_s, double least_velocity_m_per_s)
{
    if (is_plain_circle(section, model))
        return normal_depth_of_circle(section, model, flow_m3_per_s, least_velocity_m_per_s);
    const part_flow f = part_flow_of(section, model);
    const hn_flow_peak most = hn_peak_flow(section, model);
    hn_normal_flow r = {
        NAN,        NAN,       NAN, f.full.area_m2 * f.full_velocity, most.flow_m3_per_s,
        HN_UNANSWERED, HN_UNANSWERED};
    double area_m2;

    if (!(flow_m3_per_s >= 0.0) || isinf(flow_m3_per_s) || isnan(most.flow_m3_per_s))
        return r;
    r.surcharged = flow_m3_per_s > most.flow_m3_per_s ? HN_YES : HN_NO;
    if (r.surcharged == HN_YES) {
        r.depth_m = section->height_m;
        area_m2 = f.full.area_m2;
    } else {
        r.depth_m = flow_m3_per_s > 0.0 ? depth_of_flow(&f, flow_m3_per_s, most.depth_m) : 0.0;
        area_m2 = hn_wet_below(&f.view, r.depth_m).area_m2;
    }
    r.fill_0_1 = r.depth_m / section->height_m;
    r.velocity_m_per_s = area_m2 > 0.0 ? flow_m3_per_s / area_m2 : 0.0;
    r.self_cleansing = reaches(r.velocity_m_per_s, least_velocity_m_per_s);
    return r;
}
