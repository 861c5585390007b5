/* engineering/liner_wall.c - ASTM F1216 Appendix X1, each equation a function. */
#include "engineering/liner_wall.h"

#include "engineering/load.h"
#include "engineering/range.h"

#include <math.h>

static const double ovality_limit_pct = 10; /* common practice, no source */

/* The rounded numbers of one unit edition, brought to m, kN and MPa. */
typedef struct constants {
    double load_water_mpa_per_m; /* water term of E8 */
    double head_water_mpa_per_m; /* pressure at the invert */
    double support_per_m;        /* exponent of E6 */
    double stiffness_mpa;        /* limit of E4 */
} constants;

#define PSI_MPA 0.006894757293168 /* 1 lbf/in2: 0.45359237 kg x 9.80665 / 0.0254^2 */
#define FOOT_M  0.3048

static const constants editions[] = {
    [HN_LINER_SI] = {0.00981, 0.00981, 0.213, 0.00064},
    [HN_LINER_US] = {0.433 * PSI_MPA / FOOT_M, 62.4 / 144 * PSI_MPA / FOOT_M, 0.065 / FOOT_M,
                     0.093 * PSI_MPA},
};

static const constants *edition(hn_liner_constants which)
{
    return &editions[which == HN_LINER_US ? HN_LINER_US : HN_LINER_SI];
}

double hn_ovality_factor(double ovality_pct)
{
    if (!(ovality_pct >= 0) || !(ovality_pct <= ovality_limit_pct))
        return NAN;
    const double q = ovality_pct / 100;
    const double root = (1 - q) / ((1 + q) * (1 + q));
    return root * root * root;
}

double hn_elastic_support(double cover_m, hn_liner_constants which)
{
    if (!hn_is_not_negative(cover_m))
        return NAN;
    return 1 / (1 + 4 * exp(-edition(which)->support_per_m * cover_m));
}

double hn_elastic_support_luscher(double cover_m, double diameter_m)
{
    if (!hn_is_not_negative(cover_m) || !hn_is_positive(diameter_m))
        return NAN;
    const double span = 2 * cover_m + diameter_m;
    return 4 * (cover_m * cover_m + diameter_m * cover_m) / (1.5 * span * span);
}

/* 0 and less is a dry host, an infinite pressure none. */
static int is_dry(double pressure_mpa)
{
    return pressure_mpa <= 0 && isfinite(pressure_mpa);
}

/* What E1 and its inverse need beside the pressure and the wall. */
static int ring_allowed(const hn_liner_wall_input *in)
{
    return hn_is_positive(in->diameter_mm) && hn_is_positive(in->modulus_long_mpa) &&
           hn_is_positive(in->enhancement) && hn_is_positive(in->safety) && in->poisson >= 0 &&
           in->poisson < 1;
}

double hn_wall_e1_mm(const hn_liner_wall_input *in, double ovality_factor, double pressure_mpa)
{
    if (is_dry(pressure_mpa))
        return 0;
    if (!ring_allowed(in) || !hn_is_positive(ovality_factor) || !hn_is_positive(pressure_mpa))
        return NAN;
    const double resistance = 2 * in->enhancement * in->modulus_long_mpa * ovality_factor;
    const double demand = pressure_mpa * in->safety * (1 - in->poisson * in->poisson);
    return in->diameter_mm / (cbrt(resistance / demand) + 1);
}

hn_e2_terms hn_wall_e2_terms(const hn_liner_wall_input *in, double pressure_mpa)
{
    const double q = in->ovality_pct / 100, d = in->diameter_mm;
    return (hn_e2_terms){.r = in->strength_long_mpa / (pressure_mpa * in->safety),
                         .a_mm2 = 1.5 * q * (1 + q) * d * d,
                         .b_mm = 0.5 * (1 + q) * d};
}

double hn_wall_e2_root_mm(const hn_e2_terms *terms)
{
    if (!(terms->r > 0) || !hn_is_not_negative(terms->a_mm2) || !hn_is_positive(terms->b_mm))
        return NAN;
    const double b = terms->b_mm;
    /* (-b + sqrt(...)) / 2r loses digits when a is small; this form does not. */
    return 2 * terms->a_mm2 / (b + sqrt(b * b + 4 * terms->r * terms->a_mm2));
}

double hn_wall_e2_mm(const hn_liner_wall_input *in, double pressure_mpa)
{
    if (is_dry(pressure_mpa))
        return 0;
    if (!hn_is_positive(in->diameter_mm) || !hn_is_not_negative(in->ovality_pct) ||
        !hn_is_positive(in->strength_long_mpa) || !hn_is_positive(in->safety))
        return NAN;
    const hn_e2_terms terms = hn_wall_e2_terms(in, pressure_mpa);
    return hn_wall_e2_root_mm(&terms);
}

double hn_long_term_modulus_mpa(double modulus_short_mpa, double retention)
{
    if (!hn_is_positive(modulus_short_mpa) || !(retention > 0) || !(retention <= 1))
        return NAN;
    return modulus_short_mpa * retention;
}

static int soil_allowed(const hn_liner_wall_input *in, const hn_liner_wall *loads)
{
    return hn_is_positive(in->diameter_mm) && hn_is_positive(in->modulus_long_mpa) &&
           hn_is_positive(in->safety) && hn_is_positive(in->soil_modulus_mpa) &&
           hn_is_positive(loads->ovality_factor) && hn_is_positive(loads->buoyancy) &&
           hn_is_positive(loads->elastic_support) && hn_is_not_negative(loads->total_load_mpa);
}

double hn_wall_e3_mm(const hn_liner_wall_input *in, const hn_liner_wall *loads)
{
    double c = loads->ovality_factor;
    if (!soil_allowed(in, loads))
        return NAN;
    if (in->era == HN_LINER_BEFORE_2007B)
        c *= c;
    const double demand = in->safety * loads->total_load_mpa;
    const double resistance =
        in->modulus_long_mpa * loads->buoyancy * loads->elastic_support * in->soil_modulus_mpa * c;
    return in->diameter_mm * cbrt(12.0 / 32 * demand * demand / resistance);
}

double hn_wall_e4_mm(const hn_liner_wall_input *in)
{
    const double limit = edition(in->constants)->stiffness_mpa;
    if (!hn_is_positive(in->diameter_mm) || !hn_is_positive(in->modulus_short_mpa))
        return NAN;
    return in->diameter_mm / cbrt(in->modulus_short_mpa / (12 * limit));
}

double hn_buckling_pressure_mpa(const hn_liner_wall_input *in, double thickness_mm)
{
    if (!ring_allowed(in) || !(thickness_mm > 0) || !(thickness_mm < in->diameter_mm))
        return NAN;
    const double slender = in->diameter_mm / thickness_mm - 1;
    return 2 * in->enhancement * in->modulus_long_mpa / (1 - in->poisson * in->poisson) *
           hn_ovality_factor(in->ovality_pct) / in->safety / (slender * slender * slender);
}

static double head_or_zero(double head_m)
{
    return head_m < 0 ? 0 : head_m; /* NaN stays NaN */
}

static void fill_loads(const hn_liner_wall_input *in, hn_liner_wall *out)
{
    const constants *k = edition(in->constants);
    const double crown_m = head_or_zero(in->groundwater_above_crown_m);
    out->ovality_factor = hn_ovality_factor(in->ovality_pct);
    out->buoyancy = hn_buoyancy_factor(crown_m, in->cover_m);
    out->elastic_support = hn_elastic_support(in->cover_m, in->constants);
    out->water_pressure_mpa =
        k->head_water_mpa_per_m * head_or_zero(in->groundwater_above_invert_m);
    /* E8 is summed here for the US edition, whose water number differs. */
    const double dry_mpa = hn_total_load_mpa(0, in->cover_m, in->soil_weight_kn_per_m3,
                                             out->buoyancy, in->live_load_mpa);
    out->total_load_mpa = k->load_water_mpa_per_m * crown_m + dry_mpa;
}

static void fill_walls(const hn_liner_wall_input *in, hn_liner_wall *out)
{
    out->t_e1_mm = hn_wall_e1_mm(in, out->ovality_factor, out->water_pressure_mpa);
    out->t_e2_mm = hn_wall_e2_mm(in, out->water_pressure_mpa);
    out->t_e3_mm = hn_wall_e3_mm(in, out);
    out->t_e4_mm = hn_wall_e4_mm(in);
}

/* A NaN in a wall that counts must win over every number, which > and fmax
 * would both lose. */
static void take_greatest(const hn_liner_wall_input *in, hn_liner_wall *out)
{
    const double walls[] = {out->t_e1_mm, out->t_e2_mm, out->t_e3_mm, out->t_e4_mm};
    const int count = in->fully_deteriorated ? 4 : 2;
    double greatest = 0;
    out->governs = HN_LINER_GOVERNS_NONE;
    for (int i = 0; i < count; i++) {
        if (isnan(walls[i])) {
            out->status = HN_LINER_UNKNOWN;
            out->governs = HN_LINER_GOVERNS_NONE;
            return;
        }
        if (walls[i] > greatest) {
            greatest = walls[i];
            out->governs = (hn_liner_governs)(HN_LINER_GOVERNS_E1 + i);
        }
    }
    if (greatest >= in->diameter_mm / 2) { /* no bore left, or an infinite input */
        out->status = HN_LINER_OUT_OF_RANGE;
        return;
    }
    out->status = HN_LINER_DESIGNED;
    out->required_mm = greatest;
}

/* Both let NaN pass: a missing value is not a wrong one. */
static int is_no_size(double x)
{
    return x <= 0 || isinf(x);
}

static int is_no_load(double x)
{
    return x < 0 || isinf(x);
}

/* True when a known number lies where no liner can be designed. */
static int out_of_range(const hn_liner_wall_input *in)
{
    return is_no_size(in->diameter_mm) || is_no_load(in->ovality_pct) ||
           is_no_size(in->modulus_short_mpa) || is_no_size(in->modulus_long_mpa) ||
           is_no_size(in->strength_long_mpa) || in->poisson < 0 || in->poisson >= 0.5 ||
           is_no_size(in->enhancement) || is_no_size(in->safety) ||
           isinf(in->groundwater_above_invert_m) || isinf(in->groundwater_above_crown_m) ||
           is_no_load(in->cover_m) || is_no_size(in->soil_weight_kn_per_m3) ||
           is_no_size(in->soil_modulus_mpa) || is_no_load(in->live_load_mpa);
}

hn_liner_wall hn_liner_wall_design(const hn_liner_wall_input *in)
{
    hn_liner_wall out = {.status = HN_LINER_UNKNOWN, .required_mm = NAN};
    fill_loads(in, &out);
    fill_walls(in, &out);
    if (out_of_range(in))
        out.status = HN_LINER_OUT_OF_RANGE;
    else if (in->ovality_pct > ovality_limit_pct)
        out.status = HN_LINER_REFER;
    else if (isnan(in->ovality_pct))
        out.status = HN_LINER_UNKNOWN; /* refer or not cannot be told, dry host or not */
    else
        take_greatest(in, &out);
    return out;
}

double hn_round_up_wall(double required_mm, double min_mm, double step_mm)
{
    if (!hn_is_not_negative(required_mm) || !isfinite(min_mm) || !hn_is_not_negative(step_mm))
        return NAN;
    double wall_mm = required_mm;
    if (required_mm <= min_mm) /* the least wall is installed as it is, whatever the step */
        return min_mm;
    if (step_mm > 0)
        wall_mm = ceil(required_mm / step_mm - 1e-6 / step_mm) * step_mm;
    return wall_mm;
}

const char *hn_liner_governs_name(hn_liner_governs governs, hn_liner_era era)
{
    switch (governs) {
    case HN_LINER_GOVERNS_E1:
        return "E1";
    case HN_LINER_GOVERNS_E2:
        return "E2";
    case HN_LINER_GOVERNS_E3:
        return era == HN_LINER_BEFORE_2007B ? "E3a" : "E3b";
    case HN_LINER_GOVERNS_E4:
        return "E4";
    case HN_LINER_GOVERNS_NONE:
        break;
    }
    return "none";
}

const char *hn_liner_status_name(hn_liner_status status)
{
    switch (status) {
    case HN_LINER_DESIGNED:
        return "designed";
    case HN_LINER_UNKNOWN:
        return "unknown";
    case HN_LINER_REFER:
        return "refer";
    case HN_LINER_OUT_OF_RANGE:
        return "out of range";
    }
    return "unknown";
}
