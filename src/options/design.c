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

static double live_load_mpa(const hn_options *o, size_t row, double width_mm, double cover_m)
{
    return hn_option_wheel_load(o, row, width_mm, cover_m).pressure_kpa / 1000.0;
}

static double groundwater_m(const hn_options *o, size_t row, double depth_m, hn_option *out)
{
    double recorded = (double)hn_f32(o->table, HN_COL_GROUNDWATER_M, row);

    if (!isnan(recorded))
        return recorded;
    out->findings |= HN_FIND_WATER_ASSUMED;
    return o->plan->design.groundwater_default_share * depth_m;
}

static void fill_wall_input(const hn_options *o, size_t row, const hn_method *method,
                            hn_option *out)
{
    const hn_design_params *d = &o->plan->design;
    hn_liner_wall_input *in = &out->wall_input;
    double depth_m = (double)hn_f32(o->table, HN_COL_DEPTH_M, row);
    double ovality = (double)hn_f32(o->table, HN_COL_OVALITY_PCT, row);
    double grade = (double)hn_f32(o->table, HN_COL_GRADE_NOW, row);

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
    in->groundwater_above_invert_m = groundwater_m(o, row, depth_m, out);
    in->groundwater_above_crown_m = in->groundwater_above_invert_m - in->diameter_mm / 1000.0;
    in->soil_weight_kn_per_m3 = d->soil_weight_kn_per_m3;
    in->soil_modulus_mpa = d->soil_modulus_mpa;
    in->fully_deteriorated = floor(grade + 0.5) >= d->fully_deteriorated_from_grade;
    in->live_load_mpa =
        in->fully_deteriorated ? live_load_mpa(o, row, in->diameter_mm, in->cover_m) : 0.0;
    in->era = HN_LINER_SINCE_2007B;
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

/* The gate is for methods that renew the whole bore: what leaves the pipe as it
 * is cannot be blamed for its size. */
static void check_capacity(const hn_options *o, size_t row, const hn_method *method,
                           hn_option *out)
{
    double slope = (double)hn_f32(o->table, HN_COL_SLOPE, row);
    double required = (double)hn_f32(o->table, HN_COL_FLOW_REQUIRED, row);

    out->capacity_ratio = hn_manning_capacity_ratio(&out->full_before, out->n_before,
                                                    &out->full_after, out->n_after);
    out->capacity_m3_per_s =
        slope > 0.0 ? hn_manning_full_m3_per_s(&out->full_after, out->n_after, slope) : (double)NAN;
    if (method->kind != HN_METHOD_LINING && method->kind != HN_METHOD_REPLACEMENT)
        return;
    if (out->capacity_m3_per_s < required)
        out->findings |= HN_FIND_CAPACITY_SHORT;
    else if (1.0 - out->capacity_ratio > o->plan->capacity_loss_limit_pct / 100.0)
        out->findings |= HN_FIND_CAPACITY_LOSS;
}

void hn_option_design(const hn_options *o, size_t row, const hn_method *method,
                      const hn_host *host, hn_option *out)
{
    int is_lining = method->kind == HN_METHOD_LINING;

    out->wall_mm = (double)NAN;
    out->annulus_mm = (double)NAN;
    out->before = host->section;
    out->full_before = host->full;
    out->after = out->before;
    if (is_lining) {
        find_wall(o, row, method, out);
        out->after = hn_section_inset(&out->before, out->wall_mm + out->annulus_mm);
        if (out->after.problem && !isnan(out->wall_mm) && !out->before.problem)
            out->findings |= HN_FIND_BORE_GONE;
    }
    out->full_after = is_lining ? hn_section_full(&out->after) : out->full_before;
    out->n_before = host->n;
    out->n_after = isnan(method->manning_n) ? out->n_before : method->manning_n;
    out->bore_after_mm = out->full_after.width_m * 1000.0;
    if (method->kind != HN_METHOD_WATCH)
        check_capacity(o, row, method, out);
    else
        out->capacity_ratio = out->capacity_m3_per_s = (double)NAN;
}
