/* One picture: the predicted share of each grade or worse against age, and what
 * was seen in each band of ages. Curves differ in dash and marks in shape, so
 * that no colour carries a meaning alone. */
#include "report/fit_page.h"

#include "plan/config_tables.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>

enum { WIDTH = 500, HEIGHT = 284, LEFT = 46, RIGHT = 408, TOP = 14, BOTTOM = 244, CURVES = 4 };
enum { LABEL_GAP = 14, LEAST_YEARS = 50 };

static const struct {
    const char *colour, *dash;
} curve[CURVES] = {{"#1f5a7a", ""}, {"#4a4a00", "7 3"}, {"#8a3d00", "2 3"}, {"#7a0026", "8 3 2 3"}};

typedef struct figure {
    const hn_fit_page *page;
    const hn_cohort_fit *fit;
    const hn_fit_band *band;
    hn_out *out;
    double years; /* at the right edge */
} figure;

static void put(figure *f, const char *format, ...) HN_PRINTF(2, 3);

static void put(figure *f, const char *format, ...)
{
    char text[512];
    va_list values;

    va_start(values, format);
    vsnprintf(text, sizeof text, format, values);
    va_end(values);
    hn_put_text(f->out, text);
}

static double x_of(const figure *f, double age)
{
    return LEFT + (RIGHT - LEFT) * age / f->years;
}

static double y_of(double share)
{
    return BOTTOM - (BOTTOM - TOP) * share;
}

/* Share in grade `curve + 2` or worse. */
static double or_worse(const double share[HN_GRADES], int k)
{
    double sum = 0.0;

    for (int g = k + 1; g < HN_GRADES; g++)
        sum += share[g];
    return sum;
}

static void predicted_at(const figure *f, double age, double share[HN_GRADES])
{
    double move[HN_GRADES][HN_GRADES];

    hn_chain_aged_matrix(f->fit->rate_per_year, f->fit->growth_per_year, 0.0, age, move);
    for (int g = 0; g < HN_GRADES; g++)
        share[g] = move[0][g];
}

static void put_axes(figure *f)
{
    const int step = f->years > 100 ? 20 : 10;

    for (int i = 0; i <= 4; i++)
        put(f,
            "<line x1=\"%d\" x2=\"%d\" y1=\"%.1f\" y2=\"%.1f\" stroke=\"#d5d5d5\"/>"
            "<text x=\"%d\" y=\"%.1f\" text-anchor=\"end\">%d %%</text>\n",
            LEFT, RIGHT, y_of(0.25 * i), y_of(0.25 * i), LEFT - 5, y_of(0.25 * i) + 4, 25 * i);
    for (int age = 0; age <= f->years + 0.5; age += step)
        put(f,
            "<line x1=\"%.1f\" x2=\"%.1f\" y1=\"%d\" y2=\"%d\" stroke=\"#6b6b6b\"/>"
            "<text x=\"%.1f\" y=\"%d\" text-anchor=\"middle\">%d</text>\n",
            x_of(f, age), x_of(f, age), BOTTOM, BOTTOM + 4, x_of(f, age), BOTTOM + 17, age);
    put(f, "<line x1=\"%d\" x2=\"%d\" y1=\"%d\" y2=\"%d\" stroke=\"#6b6b6b\"/>", LEFT, RIGHT,
        BOTTOM, BOTTOM);
    put(f, "<text x=\"%d\" y=\"%d\" text-anchor=\"middle\">age in years</text>\n",
        (LEFT + RIGHT) / 2, BOTTOM + 34);
}

static void put_curve(figure *f, int k)
{
    double share[HN_GRADES];

    put(f, "<polyline fill=\"none\" stroke=\"%s\" stroke-width=\"1.8\"", curve[k].colour);
    if (curve[k].dash[0])
        put(f, " stroke-dasharray=\"%s\"", curve[k].dash);
    hn_put_text(f->out, " points=\"");
    for (int i = 0; i <= 60; i++) {
        predicted_at(f, f->years * i / 60.0, share);
        put(f, "%s%.1f,%.1f", i ? " " : "", x_of(f, f->years * i / 60.0), y_of(or_worse(share, k)));
    }
    hn_put_text(f->out, "\"/>\n");
}

static void put_mark(figure *f, int k, double x, double y, double r)
{
    const char *c = curve[k].colour;

    if (k == 0)
        put(f, "<circle cx=\"%.1f\" cy=\"%.1f\" r=\"%.1f\" fill=\"#fff\" stroke=\"%s\"/>", x, y, r,
            c);
    else if (k == 1)
        put(f,
            "<rect x=\"%.1f\" y=\"%.1f\" width=\"%.1f\" height=\"%.1f\" fill=\"#fff\" "
            "stroke=\"%s\"/>",
            x - r, y - r, 2 * r, 2 * r, c);
    else if (k == 2)
        put(f, "<path d=\"M%.1f,%.1f l%.1f,%.1f h%.1f z\" fill=\"#fff\" stroke=\"%s\"/>", x, y - r,
            r, 2 * r, -2 * r, c);
    else
        put(f, "<path d=\"M%.1f,%.1f l%.1f,%.1f l%.1f,%.1f l%.1f,%.1f z\" fill=\"%s\"/>", x, y - r,
            r, r, -r, r, -r, -r, c);
}

/* Labels at the right ends of the curves, from the top down, none over another. */
static void put_labels(figure *f)
{
    double share[HN_GRADES], y[CURVES];

    predicted_at(f, f->years, share);
    for (int k = 0; k < CURVES; k++) {
        y[k] = y_of(or_worse(share, k)) + 4;
        if (k > 0 && y[k] < y[k - 1] + LABEL_GAP)
            y[k] = y[k - 1] + LABEL_GAP;
    }
    for (int k = CURVES; k-- > 0;) {
        const double most = BOTTOM + 4 - (CURVES - 1 - k) * LABEL_GAP;

        put_mark(f, k, RIGHT + 10, fmin(y[k], most) - 4, 3.5);
        put(f, "<text x=\"%d\" y=\"%.1f\" fill=\"%s\">%s</text>\n", RIGHT + 18, fmin(y[k], most),
            curve[k].colour,
            k == 0   ? "2 or worse"
            : k == 1 ? "3 or worse"
            : k == 2 ? "4 or worse"
                     : "5");
    }
}

/* A mark's radius grows with the root of the number of readings behind it. */
static void put_marks(figure *f)
{
    for (int b = 0; b < HN_FIT_BANDS; b++) {
        const hn_fit_band *band = &f->band[b];
        double share[HN_GRADES];

        if (!band->readings)
            continue;
        for (int g = 0; g < HN_GRADES; g++)
            share[g] = band->observed[g] / band->weight;
        for (int k = 0; k < CURVES; k++)
            put_mark(f, k, x_of(f, (b + 0.5) * HN_FIT_BAND_YEARS), y_of(or_worse(share, k)),
                     fmin(2.2 + 0.15 * sqrt((double)band->readings), 5.0));
        hn_put_char(f->out, '\n');
    }
}

static double years_shown(const hn_fit_band *band)
{
    double years = LEAST_YEARS;

    for (int b = 0; b < HN_FIT_BANDS; b++)
        if (band[b].readings)
            years = fmax(years, (b + 1) * HN_FIT_BAND_YEARS);
    return years;
}

void hn_fit_figure(const hn_fit_page *page, size_t cohort, int driver, hn_out *out)
{
    const size_t at = cohort * HN_DRIVERS + (size_t)driver;
    const hn_fit_band *band = &page->fit->band[at * HN_FIT_BANDS];
    figure f = {page, &page->fit->of[at], band, out, years_shown(band)};
    const char *name =
        cohort < page->fit->cohorts ? page->plan->config.cohorts[cohort].id : "all cohorts";

    put(&f,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" aria-labelledby=\"t%zu d%zu\" "
        "width=\"%d\" height=\"%d\" viewBox=\"0 0 %d %d\" font-size=\"12\" fill=\"#1b1b1b\" "
        "font-family=\"sans-serif\">\n<title id=\"t%zu\">",
        at, at, WIDTH, HEIGHT, WIDTH, HEIGHT, at);
    hn_put_xml(out, name);
    put(&f,
        ", %s: share of the length in each grade or worse by age</title><desc id=\"d%zu\">Curves "
        "are "
        "predicted, marks are observed in bands of %d years. The same numbers are in "
        "fit_by_age.csv.</desc>\n",
        hn_config_drivers[driver], at, HN_FIT_BAND_YEARS);
    put_axes(&f);
    for (int k = 0; k < CURVES; k++)
        put_curve(&f, k);
    put_marks(&f);
    put_labels(&f);
    hn_put_text(out, "</svg>\n");
}
