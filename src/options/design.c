/* Finished section, wall and capacity of one method in one segment. */
#include "engineering/flow.h"
#include "options/options_state.h"

/* One wheel of a highway truck, 16,000 lb, over an effective length of 3 ft.
 * Source: A. P. Moser, Buried Pipe Design, pp. 34-36. */
static const double WHEEL_KN = 71.17;
static const double WHEEL_LENGTH_M = 0.9144;
/* Poisson ratio of a liner. Source: M. Najafi, Trenchless Technology Piping
 * (2010), Sec. 2.7. */
static const double POISSON = 0.30;

double hn_option_wheel_kn(void)
{
    return WHEEL_KN;
}

double hn_option_wheel_length_m(void)
{
    return WHEEL_LENGTH_M;
}

hn_wheel_load hn_option_wheel_load(const hn_options *o, size_t row, double width_mm,
                                   double cover_m)
{
    uint32_t surface = hn_str(o->table, HN_COL_SURFACE, row);

    /* a surface that is not recorded may be a road: the load is not left out */
    if (surface && surface != o->road_surfaces[0] && surface != o->road_surfaces[1])
        return (hn_wheel_load){0};
    return hn_wheel_load_on_pipe(width_mm / 1000.0, cover_m, WHEEL_KN, WHEEL_LENGTH_M);
}

double hn_option_live_load_mpa(const hn_options *o, size_t row, double width_mm, double cover_m)
{
    return hn_option_wheel_load(o, row, width_mm, cover_m).pressure_kpa / 1000.0;
}

double hn_option_groundwater_m(const hn_options *o, size_t row, double depth_m, int *is_assumed)
{
    double recorded = (double)hn_f32(o->table, HN_COL_GROUNDWATER_M, row);

    *is_assumed = isnan(recorded) != 0;
    return *is_assumed ? o->plan->design.groundwater_default_share * depth_m : recorded;
}

int hn_option_is_worn_out(const hn_options *o, size_t row)
{
    double grade = (double)hn_f32(o->table, HN_COL_GRADE_NOW, row);

    return floor(grade + 0.5) >= o->plan->design.fully_deteriorated_from_grade;
}

static void fill_wall_input(const hn_options *o, size_t row, const hn_method *method,
                            hn_option *out)
{
    const hn_design_params *d = &o->plan->design;
    hn_liner_wall_input *in = &out->wall_input;
    double depth_m = (double)hn_f32(o->table, HN_COL_DEPTH_M, row);
    double ovality = (double)hn_f32(o->table, HN_COL_OVALITY_PCT, row);
    int is_assumed;

    if (isnan(ovality))
        out->findings |= HN_FIND_OVALITY_ASSUMED;
    in->diameter_mm = hn_f64(o->table, HN_COL_WIDTH_MM, row);
    /* the design asks for at least the default ovality, also of a round pipe */
    in->ovality_pct = isnan(ovality) || ovality < d->ovality_default_pct ? d->ovality_default_pct
                                                                        : ovality;
    in->modulus_short_mpa = method->modulus_short_mpa;
    in->modulus_long_mpa = method->modulus_long_mpa;
    in->strength_long_mpa = method->strength_long_mpa;
    in->poisson = POISSON;
    in->enhancement = d->enhancement;
    in->safety = d->safety_factor;
    in->cover_m = (double)hn_f32(o->table, HN_COL_COVER_M, row);
    in->groundwater_above_invert_m = hn_option_groundwater_m(o, row, depth_m, &is_assumed);
    if (is_assumed)
        out->findings |= HN_FIND_WATER_ASSUMED;
    in->groundwater_above_crown_m = in->groundwater_above_invert_m - in->diameter_mm / 1000.0;
    in->soil_weight_kn_per_m3 = d->soil_weight_kn_per_m3;
    in->soil_modulus_mpa = d->soil_modulus_mpa;
    in->fully_deteriorated = hn_option_is_worn_out(o, row);
    in->live_load_mpa =
        in->fully_deteriorated ? hn_option_live_load_mpa(o, row, in->diameter_mm, in->cover_m)
                               : 0.0;
    in->era = (hn_liner_era)d->liner_edition;
    in->constants = HN_LINER_SI;
    out->live_load_mpa = in->live_load_mpa;
}

static void flexible_wall(const hn_options *o, size_t row, const hn_method *method,
                          hn_option *out)
{
    fill_wall_input(o, row, method, out);
    out->wall = hn_liner_wall_design(&out->wall_input);
    switch (out->wall.status) {
    case HN_LINER_DESIGNED:
        out->wall_mm = hn_round_up_wall(out->wall.required_mm, method->wall_min_mm,
                                        method->wall_step_mm);
        if (out->wall_mm > method->wall_max_mm)
            out->findings |= HN_FIND_WALL_TOO_THICK;
        break;
    case HN_LINER_REFER:
        out->findings |= HN_FIND_OVAL;
        break;
    case HN_LINER_OUT_OF_RANGE:
        out->findings |= HN_FIND_WALL_TOO_THICK;
        break;
    default:
        out->findings |= HN_FIND_WALL_UNKNOWN;
    }
}

/* Other shapes have no closed formula: a share of the width, said to be so. */
static void screening_wall(const hn_options *o, size_t row, const hn_method *method,
                           hn_option *out)
{
    if (isnan(method->screening_wall_share)) {
        out->findings |= HN_FIND_NO_SCREENING_RULE;
        return;
    }
    out->wall_mm = hn_round_up_wall(
        method->screening_wall_share * hn_f64(o->table, HN_COL_WIDTH_MM, row),
        method->wall_min_mm, method->wall_step_mm);
    out->findings |= HN_FIND_SPECIAL_DESIGN;
    if (isnan(out->wall_mm))
        out->findings |= HN_FIND_WALL_UNKNOWN;
    else if (out->wall_mm > method->wall_max_mm)
        out->findings |= HN_FIND_WALL_TOO_THICK;
}

static double annulus_mm(const hn_method *method, double width_mm)
{
    double fixed = isnan(method->annulus_mm) ? 0.0 : method->annulus_mm;

    return fixed + (isnan(method->annulus_share) ? 0.0 : method->annulus_share * width_mm);
}

static void find_wall(const hn_options *o, size_t row, const hn_method *method, hn_option *out)
{
    double width_mm = hn_f64(o->table, HN_COL_WIDTH_MM, row);
    int is_circle = hn_code(o->table, HN_COL_SHAPE, row) == HN_SHAPE_CIRCLE;

    out->annulus_mm = 0.0;
    switch (method->wall_rule) {
    case HN_WALL_FLEXIBLE:
        if (is_circle)
            flexible_wall(o, row, method, out);
        else
            screening_wall(o, row, method, out);
        break;
    case HN_WALL_SDR:
        out->annulus_mm = annulus_mm(method, width_mm);
        out->wall_mm = (width_mm - 2.0 * out->annulus_mm) / method->sdr;
        break;
    case HN_WALL_FIXED:
        out->annulus_mm = annulus_mm(method, width_mm);
        out->wall_mm = method->wall_fixed_mm;
        if (!is_circle)
            out->findings |= HN_FIND_SPECIAL_DESIGN;
        break;
    default:
        break;
    }
}

double hn_option_host_n(const hn_options *o, size_t row)
{
    uint32_t material = hn_str(o->table, HN_COL_MATERIAL, row);
    double n = material < o->texts ? o->material_n[material] : (double)NAN;

    return isnan(n) ? o->n_unknown : n;
}

static hn_capacity_rules capacity_rules(const hn_options *o, size_t row)
{
    const hn_design_params *d = &o->plan->design;
    double slope = (double)hn_f32(o->table, HN_COL_SLOPE, row);

    return (hn_capacity_rules){
        .law = (hn_flow_law)d->flow_law,
        .slope_m_per_m = slope > 0.0 ? slope : (double)NAN,
        .viscosity_m2_per_s = HN_VISCOSITY_10C_M2_PER_S,
        .allowance_0_1 = o->plan->config.takeoff.capacity_allowance_share,
        .required_m3_per_s = (double)hn_f32(o->table, HN_COL_FLOW_REQUIRED, row),
        .loss_limit_pct = o->plan->capacity_loss_limit_pct};
}

void hn_option_look_at_flow(const hn_options *o, size_t row, hn_host *host)
{
    host->flow = capacity_rules(o, row);
    host->flow_before = hn_capacity_side_of(
        &host->full,
        host->flow.law == HN_FLOW_MANNING ? host->n : o->plan->design.roughness_before_mm,
        &host->flow);
}

static double roughness_after(const hn_options *o, const hn_method *method, const hn_host *host,
                              const hn_option *out)
{
    if (host->flow.law == HN_FLOW_MANNING)
        return out->n_after;
    return isnan(method->manning_n) ? o->plan->design.roughness_before_mm
                                    : o->plan->design.roughness_after_mm;
}

static hn_capacity_change change_of(const hn_options *o, const hn_method *method,
                                    const hn_host *host, const hn_option *out)
{
    const hn_capacity_side after = hn_capacity_side_of(
        &out->full_after, roughness_after(o, method, host, out), &host->flow);

    return hn_capacity_of_sides(&host->flow_before, &after, &host->flow);
}

/* Every replacement lays the same pipe, mostly with the same surface. */
static const hn_capacity_change *new_pipe_change(const hn_options *o, const hn_method *method,
                                                 hn_host *host, const hn_option *out)
{
    if (host->new_n != out->n_after) {
        host->new_n = out->n_after;
        host->new_change = change_of(o, method, host, out);
    }
    return &host->new_change;
}

/* The gate is for methods that renew the whole bore: what leaves the pipe as it
 * is cannot be blamed for its size. */
static void check_capacity(const hn_options *o, const hn_method *method, hn_host *host,
                           hn_option *out)
{
    out->capacity = method->kind == HN_METHOD_REPLACEMENT ? *new_pipe_change(o, method, host, out)
                                                          : change_of(o, method, host, out);
    out->capacity_ratio = out->capacity.ratio;
    out->capacity_m3_per_s = out->capacity.after.flow_m3_per_s;
    if (method->kind != HN_METHOD_LINING && method->kind != HN_METHOD_REPLACEMENT)
        return;
    if (out->capacity.carries_required == HN_NO)
        out->findings |= HN_FIND_CAPACITY_SHORT;
    else if (out->capacity.loss_beyond_limit == HN_YES)
        out->findings |= HN_FIND_CAPACITY_LOSS;
}

static void size_new_pipe(const hn_options *o, size_t row, hn_host *host)
{
    const hn_config *config = &o->plan->config;
    const float inside_mm = HN_F32(o->table, NEW_WIDTH_MM)[row];

    host->is_sized = 1;
    host->new_inside_mm = host->new_outside_mm = (double)NAN;
    for (size_t i = 0; i < config->size_count; i++)
        if ((float)config->sizes[i].inside_mm == inside_mm) {
            host->new_inside_mm = config->sizes[i].inside_mm;
            host->new_outside_mm = config->sizes[i].outside_mm;
        }
    host->new_pipe = hn_section_circle(host->new_inside_mm);
    host->new_full = hn_section_full(&host->new_pipe);
}

static void lay_new_pipe(const hn_options *o, size_t row, hn_host *host, hn_option *out)
{
    if (!host->is_sized)
        size_new_pipe(o, row, host);
    out->new_inside_mm = host->new_inside_mm;
    out->new_outside_mm = host->new_outside_mm;
    out->after = host->new_pipe;
    out->full_after = host->new_full;
    if (isnan(out->new_inside_mm))
        out->findings |= isnan(out->full_before.area_m2) ? HN_FIND_SIZE_UNKNOWN : HN_FIND_NO_PIPE;
}

void hn_option_design(const hn_options *o, size_t row, const hn_method *method, hn_host *host,
                      hn_option *out)
{
    out->wall_mm = out->annulus_mm = (double)NAN;
    out->new_inside_mm = out->new_outside_mm = (double)NAN;
    out->before = host->section;
    out->full_before = out->full_after = host->full;
    out->after = out->before;
    if (method->kind == HN_METHOD_LINING) {
        find_wall(o, row, method, out);
        out->after = hn_section_inset(&out->before, out->wall_mm + out->annulus_mm);
        out->full_after = hn_section_full(&out->after);
        if (out->after.problem && !isnan(out->wall_mm) && !out->before.problem)
            out->findings |= HN_FIND_BORE_GONE;
        if (hn_option_is_weak_in_grout(o, out))
            out->findings |= HN_FIND_WEAK_IN_GROUT;
    } else if (method->kind == HN_METHOD_REPLACEMENT) {
        lay_new_pipe(o, row, host, out);
    }
    out->n_before = host->n;
    out->n_after = isnan(method->manning_n) ? out->n_before : method->manning_n;
    out->bore_after_mm = out->full_after.width_m * 1000.0;
    if (method->kind != HN_METHOD_WATCH)
        check_capacity(o, method, host, out);
    else
        out->capacity_ratio = out->capacity_m3_per_s = (double)NAN;
}
