#include "read/crs_area.h"

#include "read/ellipsoid.h"

#include <math.h>
#include <stdio.h>

enum { EDGE_POINTS = 21 }; /* per side of the area, so that its curved edges are caught */

typedef struct box {
    double x0, y0, x1, y1;
} box;

/* Area of use in the coordinates of the CRS; 0 when unknown, or when it is the
 * world or crosses the date line (then it says nothing). */
static int area_of(const hn_ellipsoid *e, box *out)
{
    const double *b = e->lonlat_bounds;
    double unit = e->degrees_per_unit;

    if (!(b[0] < b[2]) || b[2] - b[0] > 355.0)
        return 0;
    if (!e->to_lonlat) {
        *out = (box){b[0] / unit, b[1] / unit, b[2] / unit, b[3] / unit};
        return 1;
    }
    return proj_trans_bounds(e->context, e->to_lonlat, PJ_INV, b[0] / unit, b[1] / unit,
                             b[2] / unit, b[3] / unit, &out->x0, &out->y0, &out->x1, &out->y1,
                             EDGE_POINTS) &&
           isfinite(out->x0) && isfinite(out->y0) && isfinite(out->x1) && isfinite(out->y1);
}

static void widen(box *area)
{
    double dx = (area->x1 - area->x0) / 2, dy = (area->y1 - area->y0) / 2;

    *area = (box){area->x0 - dx, area->y0 - dy, area->x1 + dx, area->y1 + dy};
}

static int is_off(const box *area, const double *p)
{
    return p[0] < area->x0 || p[0] > area->x1 || p[1] < area->y0 || p[1] > area->y1;
}

static void list_rows(const box *area, const hn_table *table, hn_issue_list *issues)
{
    static const char rule[] = "coordinates_off_area";
    static const char message[] =
        "the line lies outside the area that the coordinate system is made for";
    static const char effect[] = "kept; check `crs` in the plan and the coordinates";
    const hn_lines *lines = &table->lines;
    size_t off = 0;
    char text[96];

    for (size_t row = 0; row < table->rows; row++) {
        const double *p = lines->xy + 2 * lines->start[row];

        if (hn_line_points(lines, row) == 0 || !is_off(area, p) || off++ >= HN_OFF_AREA_LISTED)
            continue;
        snprintf(text, sizeof text, "%.10g %.10g", p[0], p[1]);
        hn_issue_add(issues, HN_SEVERITY_WARNING, rule,
                     hn_table_text(table, HN_COL_SEGMENT_ID, row), "geometry", text, message,
                     effect, p[0], p[1]);
    }
    if (off <= HN_OFF_AREA_LISTED)
        return;
    snprintf(text, sizeof text, "%zu rows in all", off);
    hn_issue_add(issues, HN_SEVERITY_WARNING, rule, NULL, "geometry", text, message, effect, NAN,
                 NAN);
}

hn_status hn_crs_area_check(const char *crs_wkt, const hn_table *table, hn_issue_list *issues,
                            hn_error *err)
{
    hn_ellipsoid ellipsoid = {0};
    hn_status rc = HN_OK;
    box area;

    HN_TRY(hn_ellipsoid_init(&ellipsoid, crs_wkt, err));
    if (area_of(&ellipsoid, &area)) {
        widen(&area);
        list_rows(&area, table, issues);
    }
out:
    hn_ellipsoid_clear(&ellipsoid);
    return rc;
}
