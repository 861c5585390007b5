/* The section before and after, its measures and its figure. */
#include "report/sheet_parts.h"

#include "report/section_figure.h"
#include "table/codes.h"

static const char SECTIONS_PAGE[] = "exact arcs and lines, docs/engineering/sections.md";

static const hn_view_column columns[] = {
    {"what", "", "", "", HN_VIEW_TEXT, 0, NULL, 0},
    {"width_mm", "Width W", "", "mm", HN_VIEW_REAL, 1, NULL, 0},
    {"height_mm", "Height H", "", "mm", HN_VIEW_REAL, 1, NULL, 0},
    {"area_m2", "Area A", "", "m2", HN_VIEW_REAL, 5, NULL, 0},
    {"perimeter_m", "Perimeter P", "", "m", HN_VIEW_REAL, 4, NULL, 0},
    {"hydraulic_radius_m", "A/P = R", "", "m", HN_VIEW_REAL, 5, NULL, 0},
};

static void add_measures(hn_sheet *s, hn_sheet_item *t, const char *what,
                         const hn_section_measures *m)
{
    hn_sheet_cell_word(s, t, what);
    hn_sheet_cell_number(s, t, m->width_m * 1000.0);
    hn_sheet_cell_number(s, t, m->height_m * 1000.0);
    hn_sheet_cell_number(s, t, m->area_m2);
    hn_sheet_cell_number(s, t, m->perimeter_m);
    hn_sheet_cell_number(s, t, m->hydraulic_radius_m);
}

/* Shapes whose area is one product; the others are sums of arcs. */
static void add_area(const hn_section *section, const hn_section_measures *m, const char *key,
                     const char *when, hn_sheet *s)
{
    const char *symbols, *numbers, *source = SECTIONS_PAGE;
    double w = m->width_m, h = m->height_m;

    switch (section->shape) {
    case HN_SECTION_CIRCLE:
        symbols = "A = pi W^2 / 4";
        numbers = hn_sheet_text(s, "pi x %s^2 / 4", hn_sheet_digits(s, w));
        break;
    case HN_SECTION_ELLIPSE:
        symbols = "A = pi W H / 4";
        numbers =
            hn_sheet_text(s, "pi x %s x %s / 4", hn_sheet_digits(s, w), hn_sheet_digits(s, h));
        break;
    case HN_SECTION_RECTANGLE:
        symbols = "A = W H";
        numbers = hn_sheet_text(s, "%s x %s", hn_sheet_digits(s, w), hn_sheet_digits(s, h));
        break;
    default:
        symbols = "A = sum over the pieces of the outline";
        numbers = NULL;
        break;
    }
    hn_sheet_formula(s, key, hn_sheet_text(s, "Area %s, from sizes in m", when), symbols, numbers,
                     m->area_m2, 5, "m2", source);
}

static void add_radius(const hn_section_measures *m, const char *key, const char *when, hn_sheet *s)
{
    hn_sheet_formula(s, key, hn_sheet_text(s, "Hydraulic radius %s, full", when), "R = A / P",
                     hn_sheet_text(s, "%s / %s", hn_sheet_digits(s, m->area_m2),
                                   hn_sheet_digits(s, m->perimeter_m)),
                     m->hydraulic_radius_m, 5, "m", SECTIONS_PAGE);
}

static void add_new_pipe(const hn_sheet_facts *f, const hn_option *o, hn_sheet *s)
{
    const hn_takeoff_params *p = &f->plan->config.takeoff;

    hn_sheet_formula(s, "alike_m", "Circle of the host's area, in m", "D = (4 A / pi)^(1/2)",
                     hn_sheet_text(s, "(4 x %s / pi)^(1/2)", hn_sheet_digits(s, o->full_before.area_m2)),
                     sqrt(4.0 * o->full_before.area_m2 / 3.14159265358979323846), 4, "m",
                     "docs/engineering/quantities.md");
    hn_sheet_number(s, "size_tolerance_pct", "A standard size may be narrower than that by", NULL,
                    p->size_tolerance_share * 100.0, 1, "%", "takeoff.csv, size_tolerance_share");
    hn_sheet_number(s, "new_inside_mm", "New pipe, inside", NULL, o->new_inside_mm, 0, "mm",
                    "pipe_sizes.csv: first size that is wide enough and carries the required flow");
    hn_sheet_number(s, "new_outside_mm", "New pipe, outside", NULL, o->new_outside_mm, 0, "mm",
                    "pipe_sizes.csv");
}

void hn_sheet_section(const hn_sheet_facts *f, const hn_option *o, hn_sheet *s)
{
    hn_method_kind kind = hn_sheet_method_of(f, o)->kind;
    int is_lining = kind == HN_METHOD_LINING, is_new = kind == HN_METHOD_REPLACEMENT;
    hn_sheet_item *item;
    const char *svg;

    hn_sheet_begin(s, "section", "Section before and after");
    item = hn_sheet_table(
        s, "measures",
        hn_sheet_text(s, "Inner outline, %s, flowing full", hn_shape_names[o->before.shape]),
        columns, sizeof columns / sizeof columns[0]);
    add_measures(s, item, "before", &o->full_before);
    add_measures(s, item, "after", &o->full_after);
    item = hn_sheet_number(s, "bore_after_mm", "Clear width afterwards", NULL, o->bore_after_mm, 0,
                           "mm",
                           is_lining ? "host less wall and annulus on both sides"
                           : is_new  ? "inside of the new pipe"
                                     : "as the host: this method does not line it");
    hn_sheet_agrees(f, o, s, item, HN_COL_BORE_AFTER_MM);
    if (o->before.problem)
        hn_sheet_say(s, "problem", "No geometry: %s.", o->before.problem);
    add_area(&o->before, &o->full_before, "area_before_m2", "before", s);
    add_radius(&o->full_before, "radius_before_m", "before", s);
    if (is_new)
        add_new_pipe(f, o, s);
    if (is_lining || (is_new && !o->after.problem)) {
        add_area(&o->after, &o->full_after, "area_after_m2", "after", s);
        add_radius(&o->full_after, "radius_after_m", "after", s);
    }
    svg = hn_section_figure(o, s);
    if (svg)
        hn_sheet_figure(s, "figure", "Cross-section to scale, host and finished section", svg);
    hn_sheet_end(s);
}
