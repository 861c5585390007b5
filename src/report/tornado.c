/* Colours: light orange and dark purple of the scheme PuOr, safe for colour-blind
 * readers and apart in grey. Source: C. Brewer, ColorBrewer 2.0, PuOr with 4 classes. */
#include "report/tornado.h"

#include "base/status.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { WIDTH = 1040, TOP = 124, ROW = 27, BAR = 15, FOOT = 84 };
/* names; axis, half width and edge of the left panel; the same of the right one */
enum { NAME_RIGHT = 268, AXIS_A = 478, HALF_A = 140, AXIS_B = 866, HALF_B = 116 };

static const char *const fill[2] = {"#fdb863", "#5e3c99"};
static const char *const words[2] = {"low value", "high value"};

typedef struct picture {
    const hn_tornado *t;
    hn_out *out;
    size_t rows;
    double bottom;
    struct scale {
        double end; /* at either end of the axis */
        int steps;  /* from the middle to there */
    } moved, pct;
} picture;

static void put(picture *p, const char *format, ...) HN_PRINTF(2, 3);

static void put(picture *p, const char *format, ...)
{
    char text[512];
    va_list values;

    va_start(values, format);
    vsnprintf(text, sizeof text, format, values);
    va_end(values);
    hn_put_text(p->out, text);
}

static double in_units(const picture *p, double m)
{
    return m / (p->t->is_us ? 1609.344 : 1000.0); /* international mile: exact by definition */
}

static const char *unit(const picture *p)
{
    return p->t->is_us ? "mi" : "km";
}

/* ---- scales ---- */

/* 1, 2 or 5 times a power of ten, so that `steps` of them reach the value. */
static double nice_step(double value, int steps)
{
    double power, least;

    if (!(value > 0.0) || isinf(value))
        return 1.0;
    least = value / steps;
    power = pow(10.0, floor(log10(least)));
    for (int i = 0; i < 3; i++)
        if (least <= power * (i == 0 ? 1 : i == 1 ? 2 : 5) * (1 + 1e-9))
            return power * (i == 0 ? 1 : i == 1 ? 2 : 5);
    return 10.0 * power;
}

/* Two steps or three, whichever leaves less room empty. */
static struct scale scale_of(double greatest)
{
    const double two = 2.0 * nice_step(greatest, 2), three = 3.0 * nice_step(greatest, 3);

    return three < two ? (struct scale){three, 3} : (struct scale){two, 2};
}

static void find_ends(picture *p)
{
    double moved = 0.0, pct = 0.0;

    for (size_t i = 0; i < p->rows; i++)
        for (int s = 0; s < 2; s++) {
            const hn_tornado_side *side = &p->t->rows[i].side[s];

            if (!side->is_there)
                continue;
            moved = fmax(moved, in_units(p, side->moved_m));
            pct = fmax(pct, fabs(side->avoided_pct));
        }
    p->moved = scale_of(moved);
    p->pct = scale_of(pct);
}

/* ---- axes ---- */

static void put_tick(picture *p, double x, double value, int is_signed)
{
    put(p, "<line x1=\"%.1f\" x2=\"%.1f\" y1=\"%d\" y2=\"%.1f\" stroke=\"#d5d5d5\"/>", x, x,
        TOP - 4, p->bottom);
    put(p, "<text x=\"%.1f\" y=\"%.1f\" text-anchor=\"middle\">", x, p->bottom + 16);
    put(p, is_signed && value > 0.0 ? "+%g" : "%g", value);
    hn_put_text(p->out, "</text>\n");
}

static void put_zero(picture *p, int x)
{
    put(p, "<line x1=\"%d\" x2=\"%d\" y1=\"%d\" y2=\"%.1f\" stroke=\"#1b1b1b\"/>\n", x, x, TOP - 4,
        p->bottom);
}

static void put_axes(picture *p)
{
    const int a = p->moved.steps, b = p->pct.steps;

    for (int i = -a; i <= a; i++)
        put_tick(p, AXIS_A + 1.0 * i * HALF_A / a, abs(i) * p->moved.end / a, 0);
    for (int i = -b; i <= b; i++)
        put_tick(p, AXIS_B + 1.0 * i * HALF_B / b, i * p->pct.end / b, 1);
    put(p, "<text x=\"%d\" y=\"%.1f\" text-anchor=\"middle\">length, %s</text>", AXIS_A,
        p->bottom + 34, unit(p));
    put(p, "<text x=\"%d\" y=\"%.1f\" text-anchor=\"middle\">change, %%</text>\n", AXIS_B,
        p->bottom + 34);
}

/* ---- bars ---- */

static void put_bar(picture *p, double axis, double end, double y, double height, int side)
{
    put(p,
        "<rect x=\"%.1f\" y=\"%.1f\" width=\"%.1f\" height=\"%.1f\" fill=\"%s\" "
        "stroke=\"#1b1b1b\" stroke-width=\"0.6\"/>",
        fmin(axis, end), y, fabs(end - axis), height, fill[side]);
}

static void put_moved(picture *p, const hn_tornado_side *side, int s, double y)
{
    const double way = s == 0 ? -1.0 : 1.0;
    const double end = AXIS_A + way * HALF_A * in_units(p, side->moved_m) / p->moved.end;

    put_bar(p, AXIS_A, end, y, BAR, s);
    put(p, "<text x=\"%.1f\" y=\"%.1f\" text-anchor=\"%s\">", end + way * 5, y + BAR - 3,
        s == 0 ? "end" : "start");
    hn_put_xml(p->out, side->shown);
    hn_put_text(p->out, "</text>\n");
}

/* Low above, high below: both may lie on the same side of the axis. */
static void put_change(picture *p, const hn_tornado_side *side, int s, double y)
{
    const double height = BAR / 2.0 + 1.0;

    if (isnan(side->avoided_pct))
        return;
    put_bar(p, AXIS_B, AXIS_B + HALF_B * side->avoided_pct / p->pct.end, y - 1.0 + s * height,
            height, s);
    hn_put_char(p->out, '\n');
}

/* "consequence.repair depth" for people: "consequence: repair depth". */
static void put_name(picture *p, const hn_tornado_row *row)
{
    const char *dot = strchr(row->name, '.');

    for (const char *c = row->name; *c; c++) {
        const char one[2] = {*c == '_' ? ' ' : *c, '\0'};

        if (c == dot)
            hn_put_text(p->out, ": ");
        else
            hn_put_xml(p->out, one);
    }
    if (row->base_shown[0] != 'x') {
        hn_put_text(p->out, " (plan: ");
        hn_put_xml_cut(p->out, row->base_shown, 12);
        hn_put_char(p->out, ')');
    }
}

static void put_rows(picture *p)
{
    for (size_t i = 0; i < p->rows; i++) {
        const hn_tornado_row *row = &p->t->rows[i];
        const double y = TOP + (double)i * ROW + 4;

        put(p, "<text x=\"%d\" y=\"%.1f\" text-anchor=\"end\" font-size=\"12.5\">", NAME_RIGHT,
            y + BAR - 3);
        put_name(p, row);
        hn_put_text(p->out, "</text>\n");
        for (int s = 0; s < 2; s++)
            if (row->side[s].is_there) {
                put_moved(p, &row->side[s], s, y);
                put_change(p, &row->side[s], s, y);
            }
    }
}

/* ---- words ---- */

static void put_head(picture *p)
{
    const hn_tornado *t = p->t;
    char years[32];

    snprintf(years, sizeof years, t->years > 1 ? "%d to %d" : "%d", t->first_year,
             t->first_year + t->years - 1);
    put(p,
        "<text x=\"16\" y=\"26\" font-size=\"17\" font-weight=\"bold\">Which assumptions move the "
        "programme</text>\n<text x=\"16\" y=\"46\">");
    hn_put_xml_cut(p->out, t->title, 90);
    put(p, ". Each assumption is changed alone, all others stay as in the plan.</text>\n");
    put(p,
        "<text x=\"%d\" y=\"82\" text-anchor=\"middle\" font-weight=\"bold\">Length that enters or "
        "leaves the years %s</text><text x=\"%d\" y=\"99\" text-anchor=\"middle\">of %.4g %s in "
        "them by the plan</text>\n",
        AXIS_A, years, AXIS_A, in_units(p, t->first_years_m), unit(p));
    put(p,
        "<text x=\"%d\" y=\"82\" text-anchor=\"middle\" font-weight=\"bold\">Loss avoided by the "
        "programme</text><text x=\"%d\" y=\"99\" text-anchor=\"middle\">change against the "
        "plan</text>\n",
        AXIS_B, AXIS_B);
    for (int s = 0; s < 2; s++) {
        put_bar(p, 16 + s * 92, 30 + s * 92, 88, 12, s);
        put(p, "<text x=\"%d\" y=\"98\">%s</text>\n", 35 + s * 92, words[s]);
    }
}

static void put_foot(picture *p)
{
    put(p, "<text x=\"16\" y=\"%.1f\" fill=\"#4a4a4a\">", p->bottom + 58);
    if (p->rows < p->t->count)
        put(p, "The %zu greatest of %zu; all of them are in the table sensitivity. ", p->rows,
            p->t->count);
    hn_put_text(p->out, "One at a time does not show what two changes do together.</text>\n");
}

void hn_tornado_draw(const hn_tornado *t, hn_out *out)
{
    picture p = {
        .t = t, .out = out, .rows = t->count < HN_TORNADO_MOST ? t->count : HN_TORNADO_MOST};

    p.bottom = TOP + (double)p.rows * ROW + 2;
    find_ends(&p);
    put(&p,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" aria-labelledby=\"tornado-t "
        "tornado-d\" width=\"%d\" height=\"%.0f\" viewBox=\"0 0 %d %.0f\" font-size=\"12\" "
        "fill=\"#1b1b1b\" ",
        WIDTH, p.bottom + FOOT, WIDTH, p.bottom + FOOT);
    put(&p, "font-family=\"'DejaVu Sans','Liberation Sans',Arial,Helvetica,sans-serif\">\n"
            "<title id=\"tornado-t\">Which assumptions move the programme</title>\n"
            "<desc id=\"tornado-d\">Length that enters or leaves the first years of the programme, "
            "and change of the loss that it avoids, for the low and the high value of each "
            "assumption. The same numbers are in the table sensitivity.</desc>\n"
            "<rect width=\"100%%\" height=\"100%%\" fill=\"#fff\"/>\n");
    put_head(&p);
    put_axes(&p);
    put_zero(&p, AXIS_A);
    put_rows(&p);
    put_zero(&p, AXIS_B);
    put_foot(&p);
    hn_put_text(out, "</svg>\n");
}
