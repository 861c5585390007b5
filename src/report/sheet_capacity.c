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

void hn_sheet_capacity(const hn_sheet_facts *f, const hn_option *o, hn_sheet *s)
{
    double slope = (double)hn_f32(f->table, HN_COL_SLOPE, f->row);
    hn_sheet_item *item;

    hn_sheet_begin(s, "capacity", "Capacity");
    hn_sheet_number(s, "n_before", "Roughness before", "n1", o->n_before, 4, "s/m^(1/3)",
                    "materials: host material");
    hn_sheet_number(s, "n_after", "Roughness afterwards", "n2", o->n_after, 4, "s/m^(1/3)",
                    isnan(hn_sheet_method_of(f, o)->manning_n)
                        ? "as before: this method leaves the surface"
                        : "methods: finished surface");
    item = hn_sheet_formula(
        s, "capacity_ratio",
        "Capacity after over before; the slope cancels, the roughness pair decides the sign",
        "Q2/Q1 = (n1/n2) (A2/A1) (R2/R1)^(2/3)",
        hn_sheet_text(s, "(%s / %s) x (%s / %s) x (%s / %s)^(2/3)", hn_sheet_digits(s, o->n_before),
                      hn_sheet_digits(s, o->n_after), hn_sheet_digits(s, o->full_after.area_m2),
                      hn_sheet_digits(s, o->full_before.area_m2),
                      hn_sheet_digits(s, o->full_after.hydraulic_radius_m),
                      hn_sheet_digits(s, o->full_before.hydraulic_radius_m)),
        o->capacity_ratio, 3, "-", MANNING);
    hn_sheet_agrees(f, o, s, item, HN_COL_CAPACITY_RATIO);
    if (!(slope > 0.0)) {
        hn_sheet_say(
            s, "no_slope",
            "The slope is unknown or not downhill: only the ratio is known, not the flow.");
    } else {
        add_flow(&o->full_before, o->n_before, slope,
                 hn_manning_full_m3_per_s(&o->full_before, o->n_before, slope),
                 "flow_before_m3_per_s", "before", s);
        add_flow(&o->full_after, o->n_after, slope, o->capacity_m3_per_s, "capacity_m3_per_s",
                 "afterwards", s);
    }
    hn_sheet_number(s, "required_m3_per_s", "Required flow", NULL,
                    (double)hn_f32(f->table, HN_COL_FLOW_REQUIRED, f->row), 4, "m3/s",
                    hn_sheet_basis(f, s, HN_COL_FLOW_REQUIRED));
    hn_sheet_number(s, "loss_limit_pct", "Loss from which the plan warns", NULL,
                    f->plan->capacity_loss_limit_pct, 1, "%",
                    "plan, money.capacity_loss_limit_pct");
    hn_sheet_end(s);
}
