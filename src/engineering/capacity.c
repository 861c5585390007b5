/* engineering/capacity.c - capacity before and after, and the two verdicts. */
#include "engineering/capacity.h"

#include "engineering/flow.h"

#include <math.h>

hn_capacity_side hn_capacity_side_of(const hn_section_measures *measures, double roughness,
                                     const hn_capacity_rules *rules)
{
    const hn_section_measures full = *measures;
    const double kept = rules->allowance_0_1 >= 0.0 && rules->allowance_0_1 < 1.0
                            ? 1.0 - rules->allowance_0_1
                            : NAN;
    hn_capacity_side side = {.full = full, .roughness = roughness};

    side.velocity_m_per_s =
        rules->law == HN_FLOW_MANNING
            ? hn_manning_velocity_m_per_s(full.hydraulic_radius_m, roughness, rules->slope_m_per_m)
            : hn_colebrook_velocity_m_per_s(full.hydraulic_radius_m, roughness,
                                            rules->slope_m_per_m, rules->viscosity_m2_per_s);
    side.velocity_m_per_s *= kept;
    side.flow_m3_per_s = full.area_m2 * side.velocity_m_per_s;
    return side;
}

static hn_answer at_least(double value, double limit)
{
    if (isnan(value) || isnan(limit))
        return HN_UNANSWERED;
    return value >= limit ? HN_YES : HN_NO;
}

hn_capacity_change hn_capacity_of_sides(const hn_capacity_side *before,
                                        const hn_capacity_side *after,
                                        const hn_capacity_rules *rules)
{
    hn_capacity_change c = {.before = *before, .after = *after};

    c.break_even_n_ratio = hn_break_even_roughness(&before->full, &after->full);
    c.ratio = rules->law != HN_FLOW_MANNING ? after->flow_m3_per_s / before->flow_m3_per_s
              : before->roughness > 0.0 && after->roughness > 0.0
                  ? before->roughness / after->roughness * c.break_even_n_ratio
                  : NAN;
    c.loss_pct = 100.0 * (1.0 - c.ratio);
    c.carries_required = at_least(after->flow_m3_per_s, rules->required_m3_per_s);
    c.loss_beyond_limit = c.loss_pct > rules->loss_limit_pct                  ? HN_YES
                          : isnan(c.loss_pct) || isnan(rules->loss_limit_pct) ? HN_UNANSWERED
                                                                              : HN_NO;
    return c;
}

hn_capacity_change hn_capacity_compare(const hn_section *before, double roughness_before,
                                       const hn_section *after, double roughness_after,
                                       const hn_capacity_rules *rules)
{
    const hn_section_measures full_before = hn_section_full(before);
    const hn_section_measures full_after = hn_section_full(after);
    const hn_capacity_side from = hn_capacity_side_of(&full_before, roughness_before, rules);
    const hn_capacity_side to = hn_capacity_side_of(&full_after, roughness_after, rules);

    return hn_capacity_of_sides(&from, &to, rules);
}
