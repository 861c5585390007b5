/* Quantities of one method on one segment. */
#include "options/options_state.h"

#include <string.h>

static void clear_amounts(double amount[HN_TAKE_COUNT])
{
    for (int i = 0; i < HN_TAKE_COUNT; i++)
        amount[i] = (double)NAN;
}

/* ---- trench ---- */

/* Pavement lies where it is recorded, or may lie: a surface that is not known
 * may be a road. */
static int may_be_paved(const hn_options *o, size_t row)
{
    const uint32_t surface = hn_str(o->table, HN_COL_SURFACE, row);

    return !surface || surface == o->road_surfaces[0] || surface == o->road_surfaces[1] ||
           surface == o->footway;
}

/* The new invert is the old one. A sewer that lies high keeps what room there
 * is for pavement, then for the surround. */
static void set_trench(const hn_options *o, size_t row, const hn_option *option,
                       hn_trench_input *in)
{
    const hn_takeoff_params *p = &o->plan->config.takeoff;
    const double depth_m = (double)hn_f32(o->table, HN_COL_DEPTH_M, row);
    const double cover_m =
        depth_m - 0.0005 * (option->new_inside_mm + option->new_outside_mm);
    int is_assumed;

    *in = (hn_trench_input){.length_m = hn_f64(o->table, HN_COL_LENGTH_M, row),
                            .inside_diameter_m = option->new_inside_mm / 1000.0,
                            .outside_diameter_m = option->new_outside_mm / 1000.0,
                            .cover_m = cover_m,
                            .bedding_m = p->bedding_m,
                            .width_m = (double)NAN,
                            .shored_from_m = p->shored_from_m,
                            .pavement_extra_m = p->pavement_extra_m,
                            .reuse_share = p->reuse_share,
                            .bulking = p->bulking,
                            .water_depth_m = depth_m - hn_option_groundwater_m(o, row, depth_m,
                                                                               &is_assumed)};
    in->pavement_m = may_be_paved(o, row) ? fmin(p->pavement_m, cover_m) : 0.0;
    in->surround_m = fmin(p->surround_m, cover_m - in->pavement_m);
}

static void add_trench(const hn_trench *t, double amount[HN_TAKE_COUNT])
{
    amount[HN_TAKE_DUG_M3] = t->dug_m3;
    amount[HN_TAKE_BEDDING_M3] = t->bedding_m3;
    amount[HN_TAKE_BACKFILL_M3] = t->backfill_m3;
    amount[HN_TAKE_IMPORTED_M3] = t->imported_m3;
    amount[HN_TAKE_SPOIL_M3] = t->spoil_m3;
    amount[HN_TAKE_SHORING_M2] = t->shoring_m2;
    amount[HN_TAKE_PAVEMENT_M2] = t->pavement_m2;
    amount[HN_TAKE_DRAINED_M] = t->drained_m;
}

/* ---- lining ---- */

/* A lining of rings and panels is no solid wall: panels, and rings at their
 * spacing. */
static void add_lining(const hn_options *o, const hn_option *option, double length_m,
                       double amount[HN_TAKE_COUNT])
{
    const hn_takeoff_params *p = &o->plan->config.takeoff;
    const double perimeter_m = option->full_after.perimeter_m;
    hn_section outside;

    amount[HN_TAKE_LINING_M2] = perimeter_m * length_m;
    if (o->plan->config.methods[option->method].takeoff == HN_TAKEOFF_RINGS) {
        amount[HN_TAKE_WALL_M3] =
            perimeter_m * length_m *
            (p->panel_mm / 1000.0 + p->ring_section_mm2 * 1e-6 / p->ring_spacing_m);
        return;
    }
    outside = hn_section_inset(&option->before, option->annulus_mm);
    amount[HN_TAKE_WALL_M3] =
        (hn_section_full(&outside).area_m2 - option->full_after.area_m2) * length_m;
}

static void add_grouting(const hn_grouting *g, double pours_per_day,
                         double amount[HN_TAKE_COUNT])
{
    amount[HN_TAKE_GROUT_M3] = g->out.grout_m3;
    amount[HN_TAKE_GROUT_T] = g->out.grout_kg / 1000.0;
    amount[HN_TAKE_GROUT_LIFTS] = g->out.lifts;
    amount[HN_TAKE_GROUT_POURS] = g->out.pours;
    amount[HN_TAKE_GROUT_VENTS] = g->out.vents;
    amount[HN_TAKE_GROUT_DELIVERIES] = g->out.deliveries;
    amount[HN_TAKE_GROUT_DAYS] = g->out.pours / pours_per_day;
    amount[HN_TAKE_BYPASS_DAYS] += amount[HN_TAKE_GROUT_DAYS];
    if (isnan(g->in.ring_spacing_m))
        return;
    amount[HN_TAKE_RINGS] = g->out.rings;
    amount[HN_TAKE_PANELS] = g->out.panels;
    amount[HN_TAKE_JOINTS_M] = g->out.ring_joints_m + g->out.long_joints_m;
}

/* ---- all ---- */

static int is_grouted(const hn_method *m)
{
    return m->takeoff == HN_TAKEOFF_GROUTED || m->takeoff == HN_TAKEOFF_RINGS;
}

static void add_common(const hn_method *m, double length_m, double amount[HN_TAKE_COUNT])
{
    const double days = length_m / m->production_m_per_day;

    amount[HN_TAKE_CREW_DAYS] = days;
    if (m->kind == HN_METHOD_LINING || m->kind == HN_METHOD_REPLACEMENT)
        amount[HN_TAKE_BYPASS_DAYS] = days;
    if (m->kind == HN_METHOD_REPLACEMENT)
        amount[HN_TAKE_NEW_PIPE_M] = length_m;
}

static double carbon_of(const hn_options *o, const hn_option *option, const double *amount)
{
    const hn_config *config = &o->plan->config;
    double kg = 0.0;
    int any = 0;

    for (size_t i = 0; i < config->carbon_count; i++) {
        if (!(config->carbon[i].methods >> option->method & 1))
            continue;
        kg += config->carbon[i].kg_per_unit * amount[config->carbon[i].quantity];
        any = 1;
    }
    return any ? kg : (double)NAN;
}

void hn_option_takeoff(const hn_options *o, size_t row, const hn_option *option, hn_takeoff *out)
{
    const hn_method *m = &o->plan->config.methods[option->method];
    const double length_m = hn_f64(o->table, HN_COL_LENGTH_M, row);

    memset(out, 0, sizeof *out);
    clear_amounts(out->amount);
    add_common(m, length_m, out->amount);
    if (m->kind == HN_METHOD_LINING)
        add_lining(o, option, length_m, out->amount);
    if (is_grouted(m)) {
        hn_option_grouting(o, row, option, &out->grouting);
        add_grouting(&out->grouting, o->plan->config.takeoff.pours_per_day, out->amount);
    }
    if (m->takeoff == HN_TAKEOFF_TRENCH) {
        set_trench(o, row, option, &out->trench_in);
        out->trench = hn_trench_takeoff(&out->trench_in);
        add_trench(&out->trench, out->amount);
    }
    out->carbon_kg = carbon_of(o, option, out->amount);
}

void hn_option_amounts(const hn_options *o, size_t row, const hn_option *option,
                       double amount[HN_TAKE_COUNT])
{
    hn_takeoff takeoff;

    hn_option_takeoff(o, row, option, &takeoff);
    memcpy(amount, takeoff.amount, sizeof takeoff.amount);
}
