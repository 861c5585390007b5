/* What the work takes: quantities, trench, grouting. */
#include "report/sheet_parts.h"

#include "options/takeoff.h"

static const char PAGE[] = "docs/engineering/quantities.md";
static const char GROUTED_PAGE[] = "docs/engineering/grouted.md";

static const hn_view_column columns[] = {
    {"quantity", "Quantity", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"amount", "Amount", "", "", HN_VIEW_REAL, 2, NULL, 0},
    {"unit", "Unit", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"meaning", "What it is", "", "", HN_VIEW_TEXT, 0, NULL, 0},
};

static const struct {
    const char *title, *meaning, *unit;
} takes[] = {
#define TAKE(id, name, title, meaning, unit, decimals) {title, meaning, unit},
    HN_TAKEOFF_LIST(TAKE)
#undef TAKE
};

static void add_amounts(const hn_takeoff *t, hn_sheet *s)
{
    hn_sheet_item *table = hn_sheet_table(s, "quantities", "Quantities", columns,
                                          sizeof columns / sizeof columns[0]);

    for (int i = 0; i < HN_TAKE_COUNT; i++) {
        if (isnan(t->amount[i]))
            continue;
        hn_sheet_cell_word(s, table, takes[i].title);
        hn_sheet_cell_number(s, table, t->amount[i]);
        hn_sheet_cell_word(s, table, takes[i].unit);
        hn_sheet_cell_word(s, table, takes[i].meaning);
    }
}

/* ---- trench ---- */

static void add_trench(const hn_takeoff *t, hn_sheet *s)
{
    const hn_trench_input *in = &t->trench_in;
    const hn_trench *d = &t->trench;

    hn_sheet_begin(s, "trench", "Trench");
    hn_sheet_formula(s, "depth_m", "Depth of the trench, in m", "T = cover + outside + bedding",
                     hn_sheet_text(s, "%s + %s + %s", hn_sheet_digits(s, in->cover_m),
                                   hn_sheet_digits(s, in->outside_diameter_m),
                                   hn_sheet_digits(s, in->bedding_m)),
                     d->depth_m, 3, "m", PAGE);
    hn_sheet_number(s, "width_m", "Width at the bottom", "b", d->width_m, 3, "m",
                    "EN 1610, Tables 1 and 2, from memory: the greater of by pipe and by depth");
    hn_sheet_formula(s, "dug_m3", "Dug, in m", "V = L b (T - pavement)",
                     hn_sheet_text(s, "%s x %s x (%s - %s)", hn_sheet_digits(s, in->length_m),
                                   hn_sheet_digits(s, d->width_m), hn_sheet_digits(s, d->depth_m),
                                   hn_sheet_digits(s, in->pavement_m)),
                     d->dug_m3, 2, "m3", PAGE);
    hn_sheet_formula(s, "bedding_m3", "Bedding and surround, in m",
                     "L b (bedding + outside + surround) - L pi outside^2 / 4",
                     hn_sheet_text(s, "%s x %s x (%s + %s + %s) - %s x pi x %s^2 / 4",
                                   hn_sheet_digits(s, in->length_m), hn_sheet_digits(s, d->width_m),
                                   hn_sheet_digits(s, in->bedding_m),
                                   hn_sheet_digits(s, in->outside_diameter_m),
                                   hn_sheet_digits(s, in->surround_m),
                                   hn_sheet_digits(s, in->length_m),
                                   hn_sheet_digits(s, in->outside_diameter_m)),
                     d->bedding_m3, 2, "m3", PAGE);
    hn_sheet_number(s, "backfill_m3", "Backfill above the surround", NULL, d->backfill_m3, 2, "m3",
                    PAGE);
    hn_sheet_number(s, "spoil_m3", "Spoil, loose", NULL, d->spoil_m3, 2, "m3",
                    hn_sheet_text(s, "dug less what is put back (%s %% may be), x %s",
                                  hn_sheet_digits(s, 100.0 * in->reuse_share),
                                  hn_sheet_digits(s, in->bulking)));
    hn_sheet_number(s, "water_depth_m", "Ground to groundwater", NULL, in->water_depth_m, 2, "m",
                    "depth less the groundwater above the invert");
    hn_sheet_end(s);
}

/* ---- grouting ---- */

static void add_stands(const hn_sheet_facts *f, const hn_option *o, const hn_grouting *g,
                       hn_sheet *s)
{
    const hn_takeoff_params *p = &f->plan->config.takeoff;
    const hn_method *m = hn_sheet_method_of(f, o);

    if (!isnan(g->in.ring_spacing_m))
        hn_sheet_formula(s, "stands_kpa",
                         "Wet grout that a panel between two rings stands (E21), in kN and m",
                         "p = 8 (strength t^2 / 6) / s^2",
                         hn_sheet_text(s, "8 x (%s x %s^2 / 6) / %s^2",
                                       hn_sheet_digits(s, 1000.0 * p->panel_strength_mpa),
                                       hn_sheet_digits(s, p->panel_mm / 1000.0),
                                       hn_sheet_digits(s, p->ring_spacing_m)),
                         g->pressure_kpa, 2, "kPa", GROUTED_PAGE);
    else if (g->is_ring)
        hn_sheet_formula(s, "stands_kpa", "Wet grout at which the round lining buckles (E17), in kN and mm",
                         "p = 2 E/(1 - 0.3^2) (t/D)^3",
                         hn_sheet_text(s, "2 x %s/(1 - 0.3^2) x (%s/%s)^3",
                                       hn_sheet_digits(s, 1000.0 * m->modulus_short_mpa),
                                       hn_sheet_digits(s, o->wall_mm),
                                       hn_sheet_digits(s, 1000.0 * o->full_before.width_m -
                                                              2.0 * o->annulus_mm - o->wall_mm)),
                         g->pressure_kpa, 2, "kPa", GROUTED_PAGE);
    else
        hn_sheet_say(s, "not_round",
                     "The host is not round: the ring formulas for buckling, floating and bending "
                     "do not hold and are not printed. It needs special design.")
            ->is_emphasised = 1;
}

static void add_lifts(const hn_sheet_facts *f, const hn_option *o, const hn_grouting *g,
                      hn_sheet *s)
{
    const hn_takeoff_params *p = &f->plan->config.takeoff;

    add_stands(f, o, g, s);
    if (!isnan(g->pressure_kpa))
        hn_sheet_formula(s, "lift_m", "Greatest lift (E18), in m",
                         "h = (p/FS + p_inside - p_pump) / gamma_g",
                         hn_sheet_text(s, "(%s / %s + %s - %s) / %s",
                                       hn_sheet_digits(s, g->pressure_kpa),
                                       hn_sheet_digits(s, p->grouting_safety),
                                       hn_sheet_digits(s, p->inside_pressure_kpa),
                                       hn_sheet_digits(s, p->grout_pump_kpa),
                                       hn_sheet_digits(s, p->grout_kn_per_m3)),
                         g->lift_by_strength_m, 3, "m", GROUTED_PAGE);
    if (g->is_ring)
        hn_sheet_number(s, "floats_at_m", "Depth of wet grout at which the empty lining rises (E19)",
                        NULL, g->lift_by_floating_m, 3, "m", GROUTED_PAGE);
    hn_sheet_number(s, "uplift_kn_per_m", "Upward force when grouted to the top at once (E19)", NULL,
                    g->uplift_kn_per_m, 2, "kN/m", "above 0 it rises: hold it down or pour in lifts");
    hn_sheet_word(s, "lift_limit", "What limits the lift", hn_lift_limit_name(g->limit), "");
    if (g->limit == HN_LIFT_TOO_WEAK)
        hn_sheet_say(s, "too_weak",
                     "The lining cannot stand the wet grout by itself: brace it or fill it with "
                     "water while it is grouted. That is not priced.")
            ->is_emphasised = 1;
}

static void add_volume(const hn_grouting *g, hn_sheet *s)
{
    hn_sheet_formula(s, "grout_m3", "Grout (E20), in m", "(A_host - A_lining) L (1 + a) - rings",
                     hn_sheet_text(s, "(%s - %s) x %s x (1 + %s) - %s",
                                   hn_sheet_grouped(s, g->in.host_area_m2, 6),
                                   hn_sheet_grouped(s, g->in.liner_area_m2, 6),
                                   hn_sheet_digits(s, g->in.length_m),
                                   hn_sheet_digits(s, g->in.allowance),
                                   hn_sheet_digits(s, g->out.rings_m3)),
                     g->out.grout_m3, 3, "m3", GROUTED_PAGE);
}

static void add_strength(const hn_sheet_facts *f, const hn_grouting *g, hn_sheet *s)
{
    const hn_takeoff_params *p = &f->plan->config.takeoff;

    hn_sheet_number(s, "bonded_mm4_per_m", "Stiffness, host, grout and lining bonded (E15)", "I",
                    g->composite.inertia_mm4_per_m, 0, "mm4/m",
                    "in terms of the host's modulus; a worn host cracked; only with a tested bond");
    hn_sheet_number(s, "inside_mm4_per_m", "Stiffness, the host not counted (the default)", "I",
                    g->inside.inertia_mm4_per_m, 0, "mm4/m", GROUTED_PAGE);
    hn_sheet_number(s, "unbonded_mm4_per_m", "Stiffness, grout and lining slip too (E16)", "I",
                    g->inside.unbonded_inertia_mm4_per_m, 0, "mm4/m", GROUTED_PAGE);
    hn_sheet_number(s, "load_kpa", "Soil, water and traffic on the crown (E8)", "q", g->load_kpa, 2,
                    "kPa", "docs/engineering/loads.md");
    if (g->is_ring)
        hn_sheet_formula(s, "demand_knm_per_m", "Moment on the ring (E13c), in kN and m",
                         "M = 0.25 (1 - k) q r^2",
                         hn_sheet_text(s, "0.25 x (1 - %s) x %s x %s^2",
                                       hn_sheet_digits(s, p->lateral_ratio),
                                       hn_sheet_digits(s, g->load_kpa),
                                       hn_sheet_digits(s, g->ring_radius_m)),
                         g->demand_knm_per_m, 3, "kNm/m", GROUTED_PAGE);
    hn_sheet_number(s, "cracking_inside_knm_per_m",
                    "Moment at which the grout cracks, the host not counted", "Mcr",
                    g->cracking_inside_knm_per_m, 3, "kNm/m",
                    "compare this one with the moment, unless the bond is tested");
    hn_sheet_number(s, "cracking_knm_per_m", "The same, all bonded", "Mcr", g->cracking_knm_per_m, 3,
                    "kNm/m", "wall and moduli of host and grout are local rules of takeoff.csv");
}

static void add_grouting(const hn_sheet_facts *f, const hn_option *o, const hn_takeoff *t,
                         hn_sheet *s)
{
    hn_sheet_begin(s, "grouting", "Grouting");
    hn_sheet_say(s, "screening",
                 "Screening: most of these numbers rest on local rules. A project takes them from "
                 "its design; nobody enters a lining that is being grouted.");
    add_volume(&t->grouting, s);
    add_lifts(f, o, &t->grouting, s);
    add_strength(f, &t->grouting, s);
    hn_sheet_end(s);
}

void hn_sheet_takeoff(const hn_sheet_facts *f, const hn_option *o, hn_sheet *s)
{
    const hn_takeoff_kind kind = hn_sheet_method_of(f, o)->takeoff;
    hn_takeoff t;

    hn_option_takeoff(f->options, f->row, o, &t);
    hn_sheet_begin(s, "takeoff", "What the work takes");
    add_amounts(&t, s);
    if (kind == HN_TAKEOFF_TRENCH)
        add_trench(&t, s);
    if (kind == HN_TAKEOFF_GROUTED || kind == HN_TAKEOFF_RINGS)
        add_grouting(f, o, &t, s);
    if (!isnan(t.carbon_kg))
        hn_sheet_number(s, "carbon_kg", "Carbon", NULL, t.carbon_kg, 0, "kg CO2e",
                        "sum of quantity x factor over the carbon table of the plan");
    hn_sheet_end(s);
}
