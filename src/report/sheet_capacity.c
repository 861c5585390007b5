/* Full-flow capacity before and after. */
#include "report/sheet_parts.h"

#include "engineering/flow.h"

static const char MANNING[] = "Manning, docs/engineering/flow.md (Chow, Open-Channel Hydraulics, "
                              "1959)";

static void add_flow(const hn_section_measures *full, double n, double slope, double flow,
                     const char *key, const char *when, hn_sheet *s)
{
    hn_sheet_formula(s, key, hn_sheet_text(s, "Full flow %s", when), "Q = A R^(2/3) S^(1/2) / n",
                     hn_sheet_text(s, "%s x %s^(2/3) x %s^(1/2) / %s",
                                   hn_sheet_digits(s, full->area_m2),
                                   hn_sheet_digits(s, full->hydraulic_radius_m),
                                   hn_sheet_digits(s, slope), hn_sheet_digits(s, n)),
                     flow, 4, "m3/s", MANNING);
}

/* Flow with the allowance that is the same on both sides. */
static void add_side(const hn_sheet_facts *f, const hn_capacity_side *side, const char *key,
                     const char *when, hn_sheet *s)
{
    const double allowance = f->plan->config.takeoff.capacity_allowance_share;
    const double slope = (double)hn_f32(f->table, HN_COL_SLOPE, f->row);

    if (f->plan->design.flow_law != HN_FLOW_MANNING)
        hn_sheet_number(s, key, hn_sheet_text(s, "Full flow %s, Colebrook-White", when), "Q",
                        side->flow_m3_per_s, 4, "m3/s",
                        hn_sheet_text(s, "k = %s mm, docs/engineering/flow.md",
                                      hn_sheet_digits(s, side->roughness)));
    else if (allowance > 0.0)
        hn_sheet_number(s, key, hn_sheet_text(s, "Full flow %s", when), "Q", side->flow_m3_per_s, 4,
                        "m3/s",
                        hn_sheet_text(s, "Manning, less %s %% for manholes and laterals",
                                      hn_sheet_digits(s, 100.0 * allowance)));
    else
        add_flow(&side->full, side->roughness, slope, side->flow_m3_per_s, key, when, s);
}

static void add_ratio(const hn_sheet_facts *f, const hn_option *o, hn_sheet *s)
{
    hn_sheet_item *item;

    if (f->plan->design.flow_law == HN_FLOW_MANNING)
        item = hn_sheet_formula(
            s, "capacity_ratio",
            "Capacity after over before; the slope cancels, the roughness pair decides the sign",
            "Q2/Q1 = (n1/n2) (A2/A1) (R2/R1)^(2/3)",
            hn_sheet_text(
                s, "(%s / %s) x (%s / %s) x (%s / %s)^(2/3)", hn_sheet_digits(s, o->n_before),
                hn_sheet_digits(s, o->n_after), hn_sheet_digits(s, o->full_after.area_m2),
                hn_sheet_digits(s, o->full_before.area_m2),
                hn_sheet_digits(s, o->full_after.hydraulic_radius_m),
                hn_sheet_digits(s, o->full_before.hydraulic_radius_m)),
            o->capacity_ratio, 3, "-", MANNING);
    else
        item = hn_sheet_number(s, "capacity_ratio", "Capacity after over before", "Q2/Q1",
                               o->capacity_ratio, 3, "-", "Colebrook-White needs the slope");
    hn_sheet_agrees(f, o, s, item, HN_COL_CAPACITY_RATIO);
}

static void add_depth_after(const hn_sheet_facts *f, const hn_option *o, hn_sheet *s)
{
    const hn_normal_flow flow = hn_option_flow_after(f->options, f->row, o);

    if (flow.surcharged == HN_UNANSWERED)
        return;
    hn_sheet_number(s, "fill_after", "Filling at the required flow", "y/H", flow.fill_0_1, 3, "0-1",
                    flow.surcharged == HN_YES ? "surcharged: more than it carries with a free surface"
                                              : "normal depth over height");
    hn_sheet_number(s, "velocity_after_m_per_s", "Velocity at the required flow", "V",
                    flow.velocity_m_per_s, 2, "m/s",
                    hn_sheet_text(s, "%s the least velocity of %s m/s (takeoff.csv)",
                                  flow.self_cleansing == HN_YES ? "reaches" : "is below",
                                  hn_sheet_digits(s, f->plan->config.takeoff.least_velocity_m_per_s)));
}

void hn_sheet_capacity(const hn_sheet_facts *f, const hn_option *o, hn_sheet *s)
{
    double slope = (double)hn_f32(f->table, HN_COL_SLOPE, f->row);

    hn_sheet_begin(s, "capacity", "Capacity");
    hn_sheet_number(s, "n_before", "Roughness before", "n1", o->n_before, 4, "s/m^(1/3)",
                    "materials: host material");
    hn_sheet_number(s, "n_after", "Roughness afterwards", "n2", o->n_after, 4, "s/m^(1/3)",
                    isnan(hn_sheet_method_of(f, o)->manning_n)
                        ? "as before: this method leaves the surface"
                        : "methods: finished surface");
    add_ratio(f, o, s);
    if (!(slope > 0.0)) {
        hn_sheet_say(
            s, "no_slope",
            "The slope is unknown or not downhill: only the ratio is known, not the flow.");
    } else {
        add_side(f, &o->capacity.before, "flow_before_m3_per_s", "before", s);
        add_side(f, &o->capacity.after, "capacity_m3_per_s", "afterwards", s);
    }
    hn_sheet_number(s, "required_m3_per_s", "Required flow", NULL,
                    (double)hn_f32(f->table, HN_COL_FLOW_REQUIRED, f->row), 4, "m3/s",
                    hn_sheet_basis(f, s, HN_COL_FLOW_REQUIRED));
    add_depth_after(f, o, s);
    hn_sheet_number(s, "loss_limit_pct", "Loss from which the plan warns", NULL,
                    f->plan->capacity_loss_limit_pct, 1, "%",
                    "plan, money.capacity_loss_limit_pct");
    hn_sheet_end(s);
}
