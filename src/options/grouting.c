/* How a grouted lining is poured, and what host, grout and lining carry. */
#include "engineering/load.h"
#include "options/options_state.h"

static const double POISSON = 0.30; /* M. Najafi, Trenchless Technology Piping (2010), Sec. 2.7 */

/* Between host and lining. With rings the grout also fills the depth of the rings
 * behind the panels. */
static double grout_mm(const hn_options *o, const hn_option *option)
{
    if (o->plan->config.methods[option->method].takeoff != HN_TAKEOFF_RINGS)
        return option->annulus_mm;
    return option->annulus_mm + option->wall_mm - o->plan->config.takeoff.panel_mm;
}

/* Outside of the lining: the host less the room for the grout. */
static hn_section_measures liner_outside(const hn_options *o, const hn_option *option)
{
    const hn_section outside = hn_section_inset(&option->before, grout_mm(o, option));

    return hn_section_full(&outside);
}

static hn_host_surface face_of(const hn_options *o, size_t row)
{
    const uint32_t material = hn_str(o->table, HN_COL_MATERIAL, row);

    if (hn_option_is_worn_out(o, row))
        return HN_HOST_DAMAGED;
    /* a material that is not known may be brick */
    return material && material < o->texts ? (hn_host_surface)o->material_face[material]
                                           : HN_HOST_BRICK;
}

/* Trucks reach a sewer under a road; elsewhere grout is mixed by hand. */
static double delivery_m3(const hn_options *o, size_t row)
{
    const uint32_t surface = hn_str(o->table, HN_COL_SURFACE, row);
    const hn_takeoff_params *p = &o->plan->config.takeoff;

    if (!surface)
        return (double)NAN;
    return surface == o->road_surfaces[0] || surface == o->road_surfaces[1] ? p->truck_m3
                                                                            : p->hand_batch_m3;
}

static void set_input(const hn_options *o, size_t row, const hn_option *option,
                      const hn_section_measures *liner, hn_grouting *out)
{
    const hn_takeoff_params *p = &o->plan->config.takeoff;
    const int has_rings = o->plan->config.methods[option->method].takeoff == HN_TAKEOFF_RINGS;

    out->surface = face_of(o, row);
    out->in = (hn_grouted_input){
        .length_m = hn_f64(o->table, HN_COL_LENGTH_M, row),
        .host_area_m2 = option->full_before.area_m2,
        .liner_area_m2 = liner->area_m2,
        .host_height_m = option->before.height_m,
        .allowance = hn_grout_allowance(out->surface),
        .ring_spacing_m = has_rings ? p->ring_spacing_m : (double)NAN,
        .panels_per_ring = has_rings ? (int)p->panels_around : 0,
        .ring_m3 = has_rings ? p->ring_section_mm2 * 1e-6 * liner->perimeter_m : 0.0,
        .pour_length_m = p->grout_section_m,
        .vent_spacing_m = p->vent_spacing_m,
        .grout_kg_per_m3 = p->grout_kn_per_m3 * 1000.0 / 9.80665,
        .delivery_m3 = delivery_m3(o, row)};
}

/* Pressure of wet grout that the lining stands, before the factor of safety:
 * E17 for a round tube, E21 for a panel between two rings (M = sigma t^2 / 6). A tube
 * of another shape has no such formula. */
static double strength_kpa(const hn_options *o, const hn_option *option,
                           const hn_section_measures *liner, int is_ring)
{
    const hn_method *m = &o->plan->config.methods[option->method];
    const hn_takeoff_params *p = &o->plan->config.takeoff;
    const double capacity_knm_per_m = p->panel_strength_mpa * p->panel_mm * p->panel_mm / 6000.0;

    if (m->takeoff == HN_TAKEOFF_RINGS)
        return 8.0 * capacity_knm_per_m / (p->ring_spacing_m * p->ring_spacing_m);
    if (!is_ring)
        return (double)NAN;
    return hn_grouting_buckling_kpa(m->modulus_short_mpa, option->wall_mm,
                                    liner->width_m * 1000.0 - option->wall_mm, POISSON);
}

static double weight_kn_per_m(const hn_options *o, const hn_option *option,
                              const hn_section_measures *liner)
{
    const hn_takeoff_params *p = &o->plan->config.takeoff;

    if (o->plan->config.methods[option->method].takeoff == HN_TAKEOFF_RINGS)
        return p->liner_kn_per_m3 * liner->perimeter_m *
               (p->panel_mm / 1000.0 + p->ring_section_mm2 * 1e-6 / p->ring_spacing_m);
    return p->liner_kn_per_m3 * (liner->area_m2 - option->full_after.area_m2);
}

static hn_lift_limit limit_of(const hn_grouting *g, int has_rings)
{
    const double strong_m = g->lift_by_strength_m, height_m = g->in.host_height_m;

    if (isnan(strong_m) || isnan(height_m))
        return HN_LIFT_UNKNOWN;
    if (strong_m <= 0.0)
        return HN_LIFT_TOO_WEAK;
    if (g->lift_by_floating_m < strong_m && g->lift_by_floating_m < height_m)
        return HN_LIFT_FLOATING;
    if (strong_m >= height_m)
        return HN_LIFT_NONE;
    return has_rings ? HN_LIFT_PANEL : HN_LIFT_BUCKLING;
}

static void find_lifts(const hn_options *o, const hn_option *option,
                       const hn_section_measures *liner, hn_grouting *out)
{
    const hn_takeoff_params *p = &o->plan->config.takeoff;
    const hn_flotation_input floating = {.outside_diameter_m = liner->width_m,
                                         .grout_kn_per_m3 = p->grout_kn_per_m3,
                                         .liner_kn_per_m = weight_kn_per_m(o, option, liner)};
    const int has_rings = o->plan->config.methods[option->method].takeoff == HN_TAKEOFF_RINGS;

    out->pressure_kpa = strength_kpa(o, option, liner, out->is_ring);
    out->lift_by_strength_m =
        hn_grout_lift_m(out->pressure_kpa, p->grouting_safety, p->inside_pressure_kpa,
                        p->grout_pump_kpa, p->grout_kn_per_m3);
    out->lift_by_floating_m = out->is_ring ? hn_first_lift_m(&floating) : (double)NAN;
    /* grouted to the top the whole area displaces, whatever the shape */
    out->uplift_kn_per_m = p->grout_kn_per_m3 * liner->area_m2 - floating.liner_kn_per_m;
    out->limit = limit_of(out, has_rings);
    out->in.lift_m = out->lift_by_strength_m > 0.0 ? out->lift_by_strength_m : (double)NAN;
    out->in.first_lift_m = out->limit == HN_LIFT_FLOATING ? out->lift_by_floating_m : (double)NAN;
}

static double crown_load_kpa(const hn_options *o, size_t row, const hn_option *option)
{
    const double cover_m = (double)hn_f32(o->table, HN_COL_COVER_M, row);
    int is_assumed;
    const double water_m = hn_option_groundwater_m(
        o, row, (double)hn_f32(o->table, HN_COL_DEPTH_M, row), &is_assumed);
    const double above_crown_m = fmax(water_m - option->before.height_m, 0.0);

    return 1000.0 *
           hn_total_load_mpa(above_crown_m, cover_m, o->plan->design.soil_weight_kn_per_m3,
                             hn_buoyancy_factor(above_crown_m, cover_m),
                             hn_option_live_load_mpa(o, row, option->full_before.width_m * 1000.0,
                                                     cover_m));
}

/* Host, grout and lining as one wall, and without the host: a worn host that is
 * not bonded carries no moment. The moment of the ground is that of a ring. */
static void find_strength(const hn_options *o, size_t row, const hn_option *option,
                          hn_grouting *out)
{
    const hn_takeoff_params *p = &o->plan->config.takeoff;
    const hn_method *m = &o->plan->config.methods[option->method];
    const double width_mm = option->full_before.width_m * 1000.0, reference = p->host_modulus_mpa;
    const int has_rings = m->takeoff == HN_TAKEOFF_RINGS;
    const hn_wall_layer layers[] = {
        {p->host_wall_share * width_mm, p->host_modulus_mpa},
        {grout_mm(o, option), p->grout_modulus_mpa},
        {has_rings ? p->panel_mm : option->wall_mm,
         has_rings ? p->panel_modulus_mpa : m->modulus_short_mpa}};
    const double grout_face_mm = layers[0].thickness_mm + layers[1].thickness_mm;

    out->composite = hn_option_is_worn_out(o, row)
                         ? hn_cracked_composite_wall(layers, 3, reference, 0)
                         : hn_composite_wall(layers, 3, reference);
    out->inside = hn_composite_wall(layers + 1, 2, reference);
    out->cracking_knm_per_m =
        hn_cracking_moment_knm_per_m(&out->composite, grout_face_mm, p->grout_rupture_mpa,
                                     p->grout_modulus_mpa / reference);
    out->cracking_inside_knm_per_m =
        hn_cracking_moment_knm_per_m(&out->inside, layers[1].thickness_mm, p->grout_rupture_mpa,
                                     p->grout_modulus_mpa / reference);
    out->load_kpa = crown_load_kpa(o, row, option);
    out->ring_radius_m = (width_mm + layers[0].thickness_mm) / 2000.0;
    out->demand_knm_per_m =
        out->is_ring ? hn_ring_pressure_moment(out->load_kpa, p->lateral_ratio, out->ring_radius_m)
                     : (double)NAN;
}

void hn_option_grouting(const hn_options *o, size_t row, const hn_option *option, hn_grouting *out)
{
    const hn_section_measures liner = liner_outside(o, option);

    out->is_ring = option->before.shape == HN_SECTION_CIRCLE;
    set_input(o, row, option, &liner, out);
    find_lifts(o, option, &liner, out);
    find_strength(o, row, option, out);
    out->out = hn_grouted_takeoff(&out->in, liner.perimeter_m);
}

const char *hn_lift_limit_name(hn_lift_limit limit)
{
    static const char *const names[] = {"not known", "buckling", "panel between rings", "floating",
                                        "too weak: brace it or fill it with water", "none"};

    return names[limit];
}

int hn_option_is_weak_in_grout(const hn_options *o, const hn_option *option)
{
    const hn_method *m = &o->plan->config.methods[option->method];
    const hn_takeoff_params *p = &o->plan->config.takeoff;
    double stands_kpa;

    if (m->takeoff != HN_TAKEOFF_GROUTED || option->before.shape != HN_SECTION_CIRCLE)
        return 0;
    stands_kpa = hn_grouting_buckling_kpa(
        m->modulus_short_mpa, option->wall_mm,
        option->full_before.width_m * 1000.0 - 2.0 * option->annulus_mm - option->wall_mm, POISSON);
    return hn_grout_lift_m(stands_kpa, p->grouting_safety, p->inside_pressure_kpa,
                           p->grout_pump_kpa, p->grout_kn_per_m3) <= 0.0;
}
