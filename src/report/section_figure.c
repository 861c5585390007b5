/* Host at the left, lining in the host at the right, both to one scale. Wall and
 * annulus are told apart by hatching as well as by colour. */
#include "report/section_figure.h"

#include "engineering/section_outline.h"
#include "write/text_out.h"

#include <math.h>

enum { PANEL = 380, DRAWN = 230, TOP = 48, LEGEND = 26 };

typedef struct figure {
    hn_out out;
    hn_sheet *sheet;
    const hn_option *option;
    double px_per_m;
    double tallest_m, below_m; /* above and below the invert of the host */
    double xy[2 * HN_OUTLINE_POINTS];
} figure;

static void put(figure *f, const char *text)
{
    hn_put_text(&f->out, text);
}

static void put_px(figure *f, double px)
{
    hn_put_fixed(&f->out, px, 2);
}

static void put_attribute(figure *f, const char *name, double px)
{
    put(f, " ");
    put(f, name);
    put(f, "=\"");
    put_px(f, px);
    put(f, "\"");
}

/* ---- outlines ---- */

/* left_px: x of the axis; raised_m: level of this invert above the host's. */
static int put_outline(figure *f, const hn_section *section, double axis_px, double raised_m,
                       const char *attributes)
{
    size_t n = hn_section_outline(section, f->xy, HN_OUTLINE_POINTS);
    double bottom_px = TOP + f->tallest_m * f->px_per_m;

    if (n == 0)
        return 0;
    put(f, "<path d=\"");
    for (size_t i = 0; i < n; i++) {
        put(f, i ? "L" : "M");
        put_px(f, axis_px + f->xy[2 * i] * f->px_per_m);
        put(f, " ");
        put_px(f, bottom_px - (f->xy[2 * i + 1] + raised_m) * f->px_per_m);
    }
    put(f, section->shape == HN_SECTION_CHANNEL ? "\" " : "Z\" ");
    put(f, attributes);
    put(f, "/>\n");
    return 1;
}

/* Level of an inner section's invert above the host's: the crown is below the
 * host's by the thickness; an open channel keeps its bank. */
static double raised_m(const hn_option *o, const hn_section *inner, double thickness_mm)
{
    double below_m = o->before.shape == HN_SECTION_CHANNEL ? 0.0 : thickness_mm / 1000.0;

    return o->full_before.height_m - below_m - hn_section_full(inner).height_m;
}

/* ---- dimensions ---- */

static void put_line(figure *f, double x1, double y1, double x2, double y2)
{
    put(f, "<line");
    put_attribute(f, "x1", x1);
    put_attribute(f, "y1", y1);
    put_attribute(f, "x2", x2);
    put_attribute(f, "y2", y2);
    put(f, " stroke=\"#1b1b1b\" stroke-width=\"1\"/>\n");
}

static void put_words(figure *f, double x, double y, const char *anchor, const char *text)
{
    put(f, "<text");
    put_attribute(f, "x", x);
    put_attribute(f, "y", y);
    put(f, " text-anchor=\"");
    put(f, anchor);
    put(f, "\">");
    hn_put_xml(&f->out, text);
    put(f, "</text>\n");
}

static void put_width(figure *f, double axis, double y, double width_m)
{
    double half = width_m * f->px_per_m / 2.0;

    put_line(f, axis - half, y, axis + half, y);
    put_line(f, axis - half, y - 4, axis - half, y + 4);
    put_line(f, axis + half, y - 4, axis + half, y + 4);
    put_words(
        f, axis, y + 16, "middle",
        hn_sheet_text(f->sheet, "W %s", hn_sheet_quantity(f->sheet, width_m * 1000.0, 0, "mm")));
}

static void put_height(figure *f, double x, double bottom, double height_m)
{
    double top = bottom - height_m * f->px_per_m;

    put_line(f, x, top, x, bottom);
    put_line(f, x - 4, top, x + 4, top);
    put_line(f, x - 4, bottom, x + 4, bottom);
    put_words(
        f, x + 7, (top + bottom) / 2.0 + 4, "start",
        hn_sheet_text(f->sheet, "H %s", hn_sheet_quantity(f->sheet, height_m * 1000.0, 0, "mm")));
}

/* ---- panels ---- */

static int put_before(figure *f, double axis)
{
    const hn_section_measures *full = &f->option->full_before;
    double bottom = TOP + f->tallest_m * f->px_per_m;

    put_words(f, axis, 22, "middle", "before: host");
    if (!put_outline(f, &f->option->before, axis, 0.0,
                     "fill=\"#ffffff\" stroke=\"#1b1b1b\" stroke-width=\"3\""))
        return 0;
    put_width(f, axis, bottom + f->below_m * f->px_per_m + 18, full->width_m);
    put_height(f, axis + full->width_m * f->px_per_m / 2.0 + 14, bottom, full->height_m);
    return 1;
}

static void put_lined(figure *f, double axis, int number)
{
    const hn_option *o = f->option;
    double annulus = o->annulus_mm > 0.0 ? o->annulus_mm : 0.0, wall = o->wall_mm;
    hn_section inner = hn_section_inset(&o->before, annulus);

    put_outline(f, &o->before, axis, 0.0,
                hn_sheet_text(f->sheet, "fill=\"url(#%s%d)\" stroke=\"#1b1b1b\" stroke-width=\"3\"",
                              annulus > 0.0 ? "annulus" : "wall", number));
    if (annulus > 0.0)
        put_outline(f, &inner, axis, raised_m(o, &inner, annulus),
                    hn_sheet_text(f->sheet,
                                  "fill=\"url(#wall%d)\" stroke=\"#1b1b1b\" stroke-width=\"1\"",
                                  number));
    put_outline(f, &o->after, axis, raised_m(o, &o->after, annulus + wall),
                "fill=\"#ffffff\" stroke=\"#00204d\" stroke-width=\"1.5\"");
}

static double widest_m(const hn_option *o)
{
    return o->new_outside_mm > 1000.0 * o->full_before.width_m ? o->new_outside_mm / 1000.0
                                                               : o->full_before.width_m;
}

/* The wall of the new pipe stands below its invert, which is the old one. */
static void put_new_pipe(figure *f, double axis, int number)
{
    const hn_option *o = f->option;
    const hn_section outside = hn_section_circle(o->new_outside_mm);

    put_outline(f, &outside, axis, -0.0005 * (o->new_outside_mm - o->new_inside_mm),
                hn_sheet_text(f->sheet, "fill=\"url(#wall%d)\" stroke=\"#1b1b1b\" stroke-width=\"1\"",
                              number));
    put_outline(f, &o->after, axis, 0.0, "fill=\"#ffffff\" stroke=\"#00204d\" stroke-width=\"1.5\"");
}

static void put_after(figure *f, double axis, int number, int is_lined)
{
    const hn_option *o = f->option;
    double host_bottom = TOP + f->tallest_m * f->px_per_m;
    double thick = (o->annulus_mm > 0.0 ? o->annulus_mm : 0.0) + o->wall_mm;
    double bottom =
        is_lined ? host_bottom - raised_m(o, &o->after, thick) * f->px_per_m : host_bottom;

    put_words(f, axis, 22, "middle",
              is_lined                  ? "after: lining in the host"
              : o->new_inside_mm > 0.0 ? "after: new pipe"
                                        : "after: no lining");
    if (is_lined)
        put_lined(f, axis, number);
    else if (o->new_inside_mm > 0.0)
        put_new_pipe(f, axis, number);
    else
        put_outline(f, &o->after, axis, 0.0,
                    "fill=\"#ffffff\" stroke=\"#1b1b1b\" stroke-width=\"3\"");
    put_width(f, axis, host_bottom + f->below_m * f->px_per_m + 18, o->full_after.width_m);
    put_height(f, axis + widest_m(o) * f->px_per_m / 2.0 + 14, bottom,
               o->full_after.height_m);
}

static void put_swatch(figure *f, double x, double y, const char *fill, int number,
                       const char *text)
{
    put(f, "<rect");
    put_attribute(f, "x", x);
    put_attribute(f, "y", y - 12);
    put(f, " width=\"26\" height=\"15\" stroke=\"#1b1b1b\" fill=\"url(#");
    put(f, hn_sheet_text(f->sheet, "%s%d)\"/>\n", fill, number));
    put_words(f, x + 34, y, "start", text);
}

/* Stripes for the wall, dots for the annulus. */
static void put_patterns(figure *f, int number)
{
    put(f,
        hn_sheet_text(
            f->sheet,
            "<defs><pattern id=\"wall%d\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\" "
            "patternTransform=\"rotate(45)\"><rect width=\"6\" height=\"6\" fill=\"#2a6f8e\"/>"
            "<rect width=\"2\" height=\"6\" fill=\"#d6e8ef\"/></pattern>\n"
            "<pattern id=\"annulus%d\" width=\"6\" height=\"6\" patternUnits=\"userSpaceOnUse\">"
            "<rect width=\"6\" height=\"6\" fill=\"#eadfb0\"/><circle cx=\"2\" cy=\"2\" r=\"1.1\" "
            "fill=\"#5c4a00\"/></pattern></defs>\n",
            number, number));
}

static const char *described(figure *f, int is_lined)
{
    const hn_option *o = f->option;
    hn_sheet *s = f->sheet;

    if (o->new_inside_mm > 0.0)
        return hn_sheet_text(s, "The host is %s wide and %s high. The new pipe is %s wide inside, %s outside.",
                             hn_sheet_quantity(s, o->full_before.width_m * 1000.0, 0, "mm"),
                             hn_sheet_quantity(s, o->full_before.height_m * 1000.0, 0, "mm"),
                             hn_sheet_quantity(s, o->new_inside_mm, 0, "mm"),
                             hn_sheet_quantity(s, o->new_outside_mm, 0, "mm"));
    if (!is_lined)
        return hn_sheet_text(s,
                             "The host is %s wide and %s high. This method puts no lining into it.",
                             hn_sheet_quantity(s, o->full_before.width_m * 1000.0, 0, "mm"),
                             hn_sheet_quantity(s, o->full_before.height_m * 1000.0, 0, "mm"));
    return hn_sheet_text(s,
                         "The host is %s wide and %s high. The lining has a wall of %s and an "
                         "annulus of %s; %s by %s are left.",
                         hn_sheet_quantity(s, o->full_before.width_m * 1000.0, 0, "mm"),
                         hn_sheet_quantity(s, o->full_before.height_m * 1000.0, 0, "mm"),
                         hn_sheet_quantity(s, o->wall_mm, 1, "mm"),
                         hn_sheet_quantity(s, o->annulus_mm > 0.0 ? o->annulus_mm : 0.0, 1, "mm"),
                         hn_sheet_quantity(s, o->full_after.width_m * 1000.0, 0, "mm"),
                         hn_sheet_quantity(s, o->full_after.height_m * 1000.0, 0, "mm"));
}

static void put_legend(figure *f, double y, int number)
{
    const hn_option *o = f->option;

    put_swatch(f, 30, y, "wall", number,
               hn_sheet_text(f->sheet, "wall of the lining %s",
                             hn_sheet_quantity(f->sheet, o->wall_mm, 1, "mm")));
    if (o->annulus_mm > 0.0)
        put_swatch(f, PANEL, y, "annulus", number,
                   hn_sheet_text(f->sheet, "annulus %s, each side",
                                 hn_sheet_quantity(f->sheet, o->annulus_mm, 1, "mm")));
}

static int draw(figure *f)
{
    const hn_option *o = f->option;
    int number = o->method, is_lined = o->wall_mm > 0.0 && !o->after.problem;
    double height = TOP + (f->tallest_m + f->below_m) * f->px_per_m + 46 + (is_lined ? LEGEND : 0);

    put(f, hn_sheet_text(f->sheet,
                         "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" "
                         "aria-labelledby=\"t%d d%d\" width=\"%d\" height=\"%.0f\" "
                         "viewBox=\"0 0 %d %.0f\" font-size=\"13\" fill=\"#1b1b1b\" "
                         "font-family=\"sans-serif\">\n",
                         number, number, 2 * PANEL, height, 2 * PANEL, height));
    put(f, hn_sheet_text(f->sheet,
                         "<title id=\"t%d\">Cross-section before and after, to scale</title>\n",
                         number));
    put(f, hn_sheet_text(f->sheet, "<desc id=\"d%d\">", number));
    hn_put_xml(&f->out, described(f, is_lined));
    put(f, "</desc>\n");
    put_patterns(f, number);
    if (!put_before(f, PANEL / 2.0 - 36))
        return 0;
    put_after(f, 1.5 * PANEL - 36, number, is_lined);
    if (is_lined)
        put_legend(f, height - 10, number);
    put(f, "</svg>\n");
    return 1;
}

const char *hn_section_figure(const hn_option *option, hn_sheet *sheet)
{
    const hn_section_measures *m = &option->full_before;
    figure f = {.sheet = sheet, .option = option};
    const char *svg = NULL;

    if (!(m->width_m > 0.0) || !(m->height_m > 0.0))
        return NULL;
    f.tallest_m = m->height_m;
    if (option->new_outside_mm > 0.0) {
        f.below_m = 0.0005 * (option->new_outside_mm - option->new_inside_mm);
        f.tallest_m = fmax(f.tallest_m, option->new_outside_mm / 1000.0 - f.below_m);
    }
    f.px_per_m = fmin(DRAWN / widest_m(option), DRAWN / (f.tallest_m + f.below_m));
    if (!hn_out_init(&f.out, 16384, NULL, NULL)) {
        sheet->out_of_memory = 1;
        return NULL;
    }
    if (draw(&f)) {
        hn_put_char(&f.out, '\0');
        if (f.out.error)
            sheet->out_of_memory = 1;
        else
            svg = hn_sheet_text(sheet, "%s", f.out.data);
    }
    hn_out_clear(&f.out);
    return svg;
}
