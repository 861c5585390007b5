/* The wall of a lining: the rule of the method, and for flexible linings of
 * circular hosts every term of ASTM F1216 Appendix X1 (E1 to E8). */
#include "report/sheet_parts.h"

#include "engineering/load_traffic.h"

static const char F1216[] = "ASTM F1216 Appendix X1, docs/engineering/liner_walls.md";
static const char LOADS[] = "docs/engineering/loads.md";

#define D(value) hn_sheet_digits(s, value)

static void add_inputs(const hn_option *o, hn_sheet *s)
{
    const hn_liner_wall_input *in = &o->wall_input;

    hn_sheet_number(s, "diameter_mm", "Inside diameter of the host", "D", in->diameter_mm, 0, "mm",
                    "width");
    hn_sheet_number(s, "ovality_pct", "Ovality used", "q", in->ovality_pct, 1, "%",
                    o->findings & HN_FIND_OVALITY_ASSUMED
                        ? "not recorded: assumed, design.ovality_default_pct"
                        : "recorded, and at least design.ovality_default_pct");
    hn_sheet_number(s, "modulus_short_mpa", "Flexural modulus, short term", "E",
                    in->modulus_short_mpa, 0, "MPa", "methods");
    hn_sheet_number(s, "modulus_long_mpa", "Flexural modulus, long term", "EL",
                    in->modulus_long_mpa, 0, "MPa", "methods");
    hn_sheet_number(s, "strength_long_mpa", "Flexural strength, long term", "S",
                    in->strength_long_mpa, 1, "MPa", "methods");
    hn_sheet_number(s, "poisson", "Poisson ratio", "nu", in->poisson, 2, "-",
                    "Najafi, Trenchless Technology Piping (2010), Sec. 2.7");
    hn_sheet_number(s, "cover_m", "Cover above the crown", "H", in->cover_m, 2, "m", "see inputs");
    hn_sheet_number(
        s, "water_above_invert_m", "Groundwater above the invert", NULL,
        in->groundwater_above_invert_m, 2, "m",
        o->findings & HN_FIND_WATER_ASSUMED
            ? "not recorded: assumed share of the depth, design.groundwater_default_share"
            : "recorded");
    hn_sheet_number(s, "water_above_crown_m", "Groundwater above the crown", "Hw",
                    in->groundwater_above_crown_m, 2, "m",
                    "less the diameter; below 0 counts as 0");
    hn_sheet_word(s, "host_class", "Host",
                  in->fully_deteriorated
                      ? "fully deteriorated: the lining carries soil and traffic"
                      : "partially deteriorated: the host carries soil and traffic",
                  "structural grade now against design.fully_deteriorated_from_grade");
}

static void add_live_load(const hn_sheet_facts *f, const hn_option *o, hn_sheet *s)
{
    const hn_liner_wall_input *in = &o->wall_input;
    hn_wheel_load wheel = hn_option_wheel_load(f->options, f->row, in->diameter_mm, in->cover_m);
    double wheel_kn = hn_option_wheel_kn(), length_m = hn_option_wheel_length_m();

    if (!in->fully_deteriorated) {
        hn_sheet_say(s, "no_traffic", "Traffic: not asked for, the host still carries it.");
        return;
    }
    if (wheel.line_kn_per_m == 0.0) {
        hn_sheet_say(s, "no_traffic", "Traffic: none, the surface is no road.");
        return;
    }
    hn_sheet_number(s, "wheel_share", "Share of a wheel that reaches the pipe (E10)", "C",
                    wheel.share, 5, "-",
                    "Hall and Newmark in Moser, Buried Pipe Design, pp. 34-36");
    hn_sheet_number(s, "wheel_impact", "Impact factor", "F", wheel.impact, 2, "-",
                    "Moser, Table 2.5, p. 34");
    hn_sheet_formula(s, "live_load_mpa", "E9 Traffic pressure at the crown", "Ws = C P F / (L D)",
                     hn_sheet_text(s, "%s x %s x %s / (%s x %s) / 1000", D(wheel.share),
                                   D(wheel_kn), D(wheel.impact), D(length_m),
                                   D(in->diameter_mm / 1000.0)),
                     o->live_load_mpa, 5, "MPa",
                     "one wheel of 71.17 kN (16,000 lb) over 0.9144 m (3 ft): Moser, pp. 34-36; "
                     "Najafi 2010, p. 76");
}

static void add_loads(const hn_sheet_facts *f, const hn_option *o, hn_sheet *s)
{
    const hn_liner_wall_input *in = &o->wall_input;
    const hn_liner_wall *w = &o->wall;
    double head = in->groundwater_above_crown_m > 0.0 ? in->groundwater_above_crown_m : 0.0;

    add_live_load(f, o, s);
    hn_sheet_formula(s, "ovality_factor", "E5 Ovality factor",
                     "C = ((1 - q/100) / (1 + q/100)^2)^3",
                     hn_sheet_text(s, "((1 - %s/100) / (1 + %s/100)^2)^3", D(in->ovality_pct),
                                   D(in->ovality_pct)),
                     w->ovality_factor, 4, "-", F1216);
    hn_sheet_formula(
        s, "water_pressure_mpa", "Water pressure at the invert", "P = 9.81 x head / 1000",
        hn_sheet_text(
            s, "9.81 x %s / 1000",
            D(in->groundwater_above_invert_m > 0.0 ? in->groundwater_above_invert_m : 0.0)),
        w->water_pressure_mpa, 5, "MPa", F1216);
    hn_sheet_formula(s, "elastic_support", "E6 Coefficient of elastic support",
                     "B' = 1 / (1 + 4 exp(-0.213 H))",
                     hn_sheet_text(s, "1 / (1 + 4 x exp(-0.213 x %s))", D(in->cover_m)),
                     w->elastic_support, 4, "-", F1216);
    hn_sheet_formula(s, "buoyancy", "E7 Water buoyancy factor", "Rw = 1 - 0.33 Hw / H",
                     hn_sheet_text(s, "1 - 0.33 x %s / %s",
                                   D(head < in->cover_m ? head : in->cover_m), D(in->cover_m)),
                     w->buoyancy, 4, "-", LOADS);
    hn_sheet_formula(s, "total_load_mpa", "E8 Total pressure on the lining",
                     "qt = (9.81 Hw + w H Rw) / 1000 + Ws",
                     hn_sheet_text(s, "(9.81 x %s + %s x %s x %s) / 1000 + %s", D(head),
                                   D(in->soil_weight_kn_per_m3), D(in->cover_m), D(w->buoyancy),
                                   D(in->live_load_mpa)),
                     w->total_load_mpa, 5, "MPa", LOADS);
}

static void mark(hn_sheet_item *item, const hn_option *o, hn_liner_governs governs)
{
    item->governs = o->wall.governs == governs && o->wall.status == HN_LINER_DESIGNED;
}

static void add_e1_e2(const hn_option *o, hn_sheet *s)
{
    const hn_liner_wall_input *in = &o->wall_input;
    const hn_liner_wall *w = &o->wall;
    hn_e2_terms e2 = hn_wall_e2_terms(in, w->water_pressure_mpa);
    int is_dry = !(w->water_pressure_mpa > 0.0);

    mark(hn_sheet_formula(
             s, "t_e1_mm", "E1 Buckling under groundwater",
             "t = D / ((2 K EL C / (P N (1 - nu^2)))^(1/3) + 1)",
             is_dry
                 ? "no water, no wall"
                 : hn_sheet_text(s, "%s / ((2 x %s x %s x %s / (%s x %s x (1 - %s^2)))^(1/3) + 1)",
                                 D(in->diameter_mm), D(in->enhancement), D(in->modulus_long_mpa),
                                 D(w->ovality_factor), D(w->water_pressure_mpa), D(in->safety),
                                 D(in->poisson)),
             w->t_e1_mm, 2, "mm", F1216),
         o, HN_LINER_GOVERNS_E1);
    mark(hn_sheet_formula(
             s, "t_e2_mm", "E2 Bending of an oval lining",
             "t = (-b + (b^2 + 4 r a)^(1/2)) / (2 r), r = S/(P N), a = 1.5 (q/100)(1 + q/100) D^2, "
             "b = 0.5 (1 + q/100) D",
             is_dry ? "no water, no wall"
                    : hn_sheet_text(s, "(-%s + (%s^2 + 4 x %s x %s)^(1/2)) / (2 x %s)", D(e2.b_mm),
                                    D(e2.b_mm), D(e2.r), D(e2.a_mm2), D(e2.r)),
             w->t_e2_mm, 2, "mm", F1216),
         o, HN_LINER_GOVERNS_E2);
}

static void add_e3_e4(const hn_option *o, hn_sheet *s)
{
    const hn_liner_wall_input *in = &o->wall_input;
    const hn_liner_wall *w = &o->wall;

    if (!in->fully_deteriorated) {
        hn_sheet_say(s, "e3_e4",
                     "E3 and E4 are for a fully deteriorated host and do not count here.");
        return;
    }
    mark(hn_sheet_formula(
             s, "t_e3_mm",
             hn_sheet_text(s, "%s Buckling under soil, water and traffic",
                           hn_liner_governs_name(HN_LINER_GOVERNS_E3, in->era)),
             in->era == HN_LINER_SINCE_2007B
                 ? "t = D ((12/32) (N qt)^2 / (EL Rw B' E's C))^(1/3)"
                 : "t = D ((12/32) (N qt)^2 / (EL Rw B' E's C^2))^(1/3)",
             hn_sheet_text(s, "%s x ((12/32) x (%s x %s)^2 / (%s x %s x %s x %s x %s))^(1/3)",
                           D(in->diameter_mm), D(in->safety), D(w->total_load_mpa),
                           D(in->modulus_long_mpa), D(w->buoyancy), D(w->elastic_support),
                           D(in->soil_modulus_mpa), D(w->ovality_factor)),
             w->t_e3_mm, 2, "mm", F1216),
         o, HN_LINER_GOVERNS_E3);
    mark(hn_sheet_formula(s, "t_e4_mm", "E4 Least stiffness", "t = D / (E / (12 x 0.00064))^(1/3)",
                          hn_sheet_text(s, "%s / (%s / (12 x 0.00064))^(1/3)", D(in->diameter_mm),
                                        D(in->modulus_short_mpa)),
                          w->t_e4_mm, 2, "mm", F1216),
         o, HN_LINER_GOVERNS_E4);
}

static void add_flexible(const hn_sheet_facts *f, const hn_option *o, hn_sheet *s)
{
    hn_sheet_item *item;

    add_inputs(o, s);
    add_loads(f, o, s);
    add_e1_e2(o, s);
    add_e3_e4(o, s);
    hn_sheet_word(s, "wall_status", "Wall design", hn_liner_status_name(o->wall.status), "");
    item = hn_sheet_number(
        s, "wall_required_mm", "Wall by formula, the greatest of them", NULL, o->wall.required_mm,
        2, "mm",
        o->wall.status == HN_LINER_DESIGNED
            ? hn_sheet_text(s, "governed by %s",
                            hn_liner_governs_name(o->wall.governs, o->wall_input.era))
            : "");
    item->is_emphasised = 1;
}

static void add_other_rule(const hn_sheet_facts *f, const hn_option *o, hn_sheet *s)
{
    const hn_method *m = hn_sheet_method_of(f, o);
    double width_mm = hn_f64(f->table, HN_COL_WIDTH_MM, f->row);

    if (m->wall_rule == HN_WALL_FLEXIBLE) {
        hn_sheet_number(s, "screening_wall_share", "Screening share of the width", NULL,
                        m->screening_wall_share, 3, "-", "methods; the host is not circular");
        hn_sheet_formula(s, "screening_wall_mm", "Screening wall, no design", "t = share x W",
                         hn_sheet_text(s, "%s x %s", D(m->screening_wall_share), D(width_mm)),
                         m->screening_wall_share * width_mm, 2, "mm",
                         "not circular: ASTM F1216 does not hold; needs special design");
        return;
    }
    if (m->wall_rule == HN_WALL_SDR)
        hn_sheet_formula(
            s, "sdr_wall_mm", "Wall of a pipe of this SDR", "t = (W - 2 x annulus) / SDR",
            hn_sheet_text(s, "(%s - 2 x %s) / %s", D(width_mm), D(o->annulus_mm), D(m->sdr)),
            o->wall_mm, 2, "mm", "ratio of the outside diameter to the wall; methods");
    else
        hn_sheet_number(s, "wall_fixed_mm", "Wall of the method", NULL, m->wall_fixed_mm, 1, "mm",
                        "methods");
    hn_sheet_number(s, "annulus_mm", "Annulus, each side", NULL, o->annulus_mm, 1, "mm",
                    "methods: annulus and annulus share of the width");
}

void hn_sheet_wall(const hn_sheet_facts *f, const hn_option *o, hn_sheet *s)
{
    const hn_method *m = hn_sheet_method_of(f, o);
    hn_sheet_item *item;

    if (m->wall_rule == HN_WALL_NONE)
        return;
    hn_sheet_begin(s, "wall", "Wall of the lining");
    if (m->wall_rule == HN_WALL_FLEXIBLE &&
        hn_code(f->table, HN_COL_SHAPE, f->row) == HN_SHAPE_CIRCLE)
        add_flexible(f, o, s);
    else
        add_other_rule(f, o, s);
    if (m->wall_rule == HN_WALL_FLEXIBLE)
        hn_sheet_word(s, "wall_made", "Walls that are made",
                      hn_sheet_text(s, "%s to %s mm in steps of %s mm", D(m->wall_min_mm),
                                    D(m->wall_max_mm), D(m->wall_step_mm)),
                      "methods");
    item = hn_sheet_number(s, "wall_mm", "Finished wall", "t", o->wall_mm, 1, "mm",
                           m->wall_rule == HN_WALL_FLEXIBLE ? "rounded up to what is made" : "");
    item->is_emphasised = 1;
    hn_sheet_agrees(f, o, s, item, HN_COL_WALL_MM);
    hn_sheet_word(s, "wall_source", "Source of the method's figures", m->source, "");
    hn_sheet_end(s);
}
