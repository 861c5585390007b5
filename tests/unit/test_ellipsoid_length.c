/* Lengths on the ellipsoid against a geodesic between every two points,
 * reached another way: the base geographic CRS by its own code. */
#include "test_util.h"

#include "base/alloc.h"
#include "base/parallel.h"
#include "read/ellipsoid_length.h"

#include <geodesic.h>
#include <proj.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { ROWS = 3000, POINTS = 3 };

typedef struct system {
    int code, base;      /* EPSG codes of the CRS and of its geographic base */
    double a, inverse_f; /* ellipsoid; source: EPSG registry */
    double x, y, spread; /* lines start within spread of x, y; in units of the CRS */
    double step;         /* greatest edge, in units */
    double gon_to_deg;   /* degrees of one unit of the base CRS */
} system_case;

/* A small exact generator, so that a failure can be repeated. */
static uint64_t seed = 12345;
static double uniform(void)
{
    seed = seed * 6364136223846793005ULL + 1442695040888963407ULL;
    return (double)(seed >> 11) / 9007199254740992.0;
}

static void make_lines(const system_case *s, hn_lines *lines)
{
    lines->start = hn_alloc(ROWS + 1, sizeof *lines->start);
    lines->xy = hn_alloc((size_t)ROWS * POINTS * 2, sizeof *lines->xy);
    lines->z = NULL;
    lines->break_before = NULL;
    lines->points = lines->capacity = (size_t)ROWS * POINTS;
    for (size_t r = 0; r < ROWS; r++) {
        double *p = lines->xy + r * POINTS * 2;

        lines->start[r + 1] = (r + 1) * POINTS;
        p[0] = s->x + (uniform() - 0.5) * s->spread;
        p[1] = s->y + (uniform() - 0.5) * s->spread;
        for (int k = 1; k < POINTS; k++) {
            p[2 * k] = p[2 * k - 2] + (uniform() - 0.5) * 2 * s->step;
            p[2 * k + 1] = p[2 * k - 1] + (uniform() - 0.5) * 2 * s->step;
        }
    }
}

static void free_lines(hn_lines *lines)
{
    hn_free(lines->start);
    hn_free(lines->xy);
    hn_free(lines->break_before);
}

static PJ *reference_transform(const system_case *s)
{
    char from[32], to[32];
    PJ *raw, *normal;

    snprintf(from, sizeof from, "EPSG:%d", s->code);
    snprintf(to, sizeof to, "EPSG:%d", s->base);
    raw = proj_create_crs_to_crs(PJ_DEFAULT_CTX, from, to, NULL);
    assert_non_null(raw);
    normal = proj_normalize_for_visualization(PJ_DEFAULT_CTX, raw);
    proj_destroy(raw);
    return normal;
}

static double reference_length(const system_case *s, PJ *transform,
                               const struct geod_geodesic *geod, const double *p)
{
    double sum = 0, metres, at[POINTS][2];

    for (int k = 0; k < POINTS; k++) {
        PJ_COORD c = {{p[2 * k], p[2 * k + 1], 0, 0}};

        c = proj_trans(transform, PJ_FWD, c);
        at[k][0] = c.v[0] * s->gon_to_deg;
        at[k][1] = c.v[1] * s->gon_to_deg;
    }
    for (int k = 1; k < POINTS; k++) {
        geod_inverse(geod, at[k - 1][1], at[k - 1][0], at[k][1], at[k][0], &metres, NULL, NULL);
        sum += metres;
    }
    return sum;
}

static char *wkt_of(int code)
{
    char name[32], *copy;
    PJ *crs;

    snprintf(name, sizeof name, "EPSG:%d", code);
    crs = proj_create(PJ_DEFAULT_CTX, name);
    assert_non_null(crs);
    copy = hn_copy_text(proj_as_wkt(PJ_DEFAULT_CTX, crs, PJ_WKT2_2019, NULL));
    proj_destroy(crs);
    return copy;
}

static double worst_difference(const system_case *s)
{
    hn_lines lines = {0};
    double *length = hn_alloc(ROWS, sizeof *length), worst = 0;
    struct geod_geodesic geod;
    PJ *transform = reference_transform(s);
    char *wkt = wkt_of(s->code);
    hn_error err = {0};

    make_lines(s, &lines);
    geod_init(&geod, s->a, 1.0 / s->inverse_f);
    if (hn_ellipsoid_lengths(wkt, &lines, ROWS, 2, length, &err) != HN_OK)
        fail_msg("EPSG:%d: %s", s->code, err.message);
    for (size_t r = 0; r < ROWS; r++) {
        double exact = reference_length(s, transform, &geod, lines.xy + r * POINTS * 2);

        worst = fmax(worst, fabs(length[r] - exact) / exact);
        assert_true(isfinite(length[r]));
    }
    proj_destroy(transform);
    hn_free(wkt);
    hn_free(length);
    free_lines(&lines);
    return worst;
}

#define GRS80    6378137.0, 298.257222101
#define WGS84    6378137.0, 298.257223563
#define AIRY     6377563.396, 299.3249646
#define BESSEL   6377397.155, 299.1528128
#define CLARKE66 6378206.4, 294.978698213898
#define CLARKE80 6378249.2, 293.4660212936269

static void lengths_agree_with_geodesics_within_a_millionth(void **state)
{
    static const system_case cases[] = {
        {25832, 4258, GRS80, 500000, 5500000, 8000, 60, 1},      /* UTM, at the centre */
        {25832, 4258, GRS80, 1400000, 6500000, 8000, 60, 1},     /* UTM, far from it */
        {25832, 4258, GRS80, 500000, 5500000, 400000, 60, 1},    /* thin cells: exact */
        {25832, 4258, GRS80, 500000, 5500000, 8000, 30000, 1},   /* long edges: exact */
        {25832, 4258, GRS80, 500000, 5500000, 8000, 900, 1},     /* near the limit */
        {31467, 4314, BESSEL, 3500000, 5500000, 8000, 60, 1},    /* Gauss-Krueger */
        {27700, 4277, AIRY, 530000, 180000, 8000, 60, 1},        /* other ellipsoid */
        {2263, 4269, GRS80, 980000, 200000, 26000, 300, 1},      /* Lambert in US feet */
        {2263, 4269, GRS80, 1900000, 900000, 26000, 300, 1},     /* the same, far away */
        {2227, 4269, GRS80, 6000000, 2100000, 26000, 300, 1},    /* Lambert in US feet */
        {3035, 4258, GRS80, 4321000, 3210000, 8000, 60, 1},      /* equal area */
        {3035, 4258, GRS80, 2800000, 1900000, 8000, 60, 1},      /* the same, sheared */
        {5070, 4269, GRS80, 1500000, 2000000, 8000, 60, 1},      /* Albers: scales differ */
        {3857, 4326, WGS84, 1000000, 6600000, 8000, 60, 1},      /* web map, scale 1.6 */
        {3857, 4326, WGS84, 1000000, 15000000, 8000, 500, 1},    /* web map, scale 5 */
        {28992, 4289, BESSEL, 155000, 463000, 8000, 60, 1},      /* stereographic */
        {2056, 4150, BESSEL, 2600000, 1200000, 8000, 60, 1},     /* oblique Mercator */
        {4326, 4326, WGS84, 8.5, 49.5, 0.2, 0.001, 1},           /* degrees */
        {4258, 4258, GRS80, 25.5, 70.5, 0.2, 0.001, 1},          /* degrees, far north */
        {4326, 4326, WGS84, -60, 89, 0.5, 0.002, 1},             /* degrees, near the pole */
        {4326, 4326, WGS84, 180, 10, 0.2, 0.5, 1},               /* long, across the date line */
        {4267, 4267, CLARKE66, -90, 35, 0.2, 0.001, 1},          /* other ellipsoid */
        {4807, 4807, CLARKE80, 2, 52, 0.2, 0.001, 0.9},          /* grads */
        {27572, 4807, CLARKE80, 600000, 2200000, 8000, 60, 0.9}, /* grads as base */
    };

    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof cases[0]; i++) {
        double worst = worst_difference(&cases[i]);

        if (getenv("HN_TEST_SHOW"))
            print_message("EPSG:%d case %zu: %.2g\n", cases[i].code, i, worst);
        if (!(worst <= 1e-6))
            fail_msg("EPSG:%d, case %zu: worst relative difference %g", cases[i].code, i, worst);
    }
}

/* GRS80 meridian quadrant 10 001 965.729 m (textbook value, H. Moritz,
 * Geodetic Reference System 1980, Bulletin Geodesique 54 (1980) 395-405). */
static void the_meridian_quadrant_has_its_known_length(void **state)
{
    double xy[4] = {10, 0, 10, 90}, length;
    size_t start[2] = {0, 2};
    hn_lines lines = {.start = start, .xy = xy, .points = 2};
    char *wkt = wkt_of(4258);

    (void)state;
    assert_int_equal(hn_ellipsoid_lengths(wkt, &lines, 1, 1, &length, NULL), HN_OK);
    assert_close(length, 10001965.729, 1e-10);
    hn_free(wkt);
}

static void jumps_between_parts_do_not_count(void **state)
{
    double xy[8] = {500000, 5500000, 500100, 5500000, 900000, 5500000, 900100, 5500000};
    uint8_t breaks[4] = {1, 0, 1, 0};
    size_t start[3] = {0, 0, 4};
    double length[2];
    hn_lines lines = {.start = start, .xy = xy, .break_before = breaks, .points = 4};
    char *wkt = wkt_of(25832);

    (void)state;
    assert_int_equal(hn_ellipsoid_lengths(wkt, &lines, 2, 1, length, NULL), HN_OK);
    assert_true(isnan(length[0]));
    assert_in_range((size_t)(length[1] * 10), 1990, 2001);
    hn_free(wkt);
}

static void a_point_without_a_place_gives_no_length(void **state)
{
    double xy[8] = {1e30, 0, 1e30, 5, 10, 95, 10, 95.001}, length[2];
    size_t start[3] = {0, 2, 4};
    hn_lines lines = {.start = start, .xy = xy, .points = 4};
    char *projected = wkt_of(25832), *geographic = wkt_of(4258);

    (void)state;
    assert_int_equal(hn_ellipsoid_lengths(projected, &lines, 1, 1, length, NULL), HN_OK);
    assert_true(isnan(length[0]));
    assert_int_equal(hn_ellipsoid_lengths(geographic, &lines, 2, 1, length, NULL), HN_OK);
    assert_true(isnan(length[1]));
    hn_free(projected);
    hn_free(geographic);
}

static void the_figures_do_not_depend_on_threads(void **state)
{
    static const system_case c = {25832, 4258, GRS80, 600000, 5500000, 9000, 60, 1};
    double *one = hn_alloc(ROWS, sizeof *one), *three = hn_alloc(ROWS, sizeof *three);
    char *wkt = wkt_of(25832);
    hn_lines lines = {0};

    (void)state;
    make_lines(&c, &lines);
    assert_int_equal(hn_ellipsoid_lengths(wkt, &lines, ROWS, 1, one, NULL), HN_OK);
    assert_int_equal(hn_ellipsoid_lengths(wkt, &lines, ROWS, 3, three, NULL), HN_OK);
    assert_memory_equal(one, three, ROWS * sizeof *one);
    free_lines(&lines);
    hn_free(one);
    hn_free(three);
    hn_free(wkt);
}

static void a_text_that_is_no_crs_is_an_input_error(void **state)
{
    hn_lines lines = {0};
    hn_error err = {0};

    (void)state;
    assert_int_equal(hn_ellipsoid_lengths("nonsense", &lines, 0, 1, NULL, &err), HN_ERR_INPUT);
    assert_non_null(strstr(err.message, "coordinate system"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(lengths_agree_with_geodesics_within_a_millionth),
        cmocka_unit_test(the_meridian_quadrant_has_its_known_length),
        cmocka_unit_test(jumps_between_parts_do_not_count),
        cmocka_unit_test(a_point_without_a_place_gives_no_length),
        cmocka_unit_test(the_figures_do_not_depend_on_threads),
        cmocka_unit_test(a_text_that_is_no_crs_is_an_input_error),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
