/* The nearest leg by the grid against a look at all of them: points, repeated
 * and touching legs, legs on cell borders, very long ones and ones outside. */
#include "property.h"

#include "base/line_grid.h"

enum { WORLDS = 60, LEGS_MAX = 120, QUERIES = 60 };

static const double box_m = 200;

/* Whole metres on even numbered worlds: many equal distances, which are exact. */
static double coordinate(draws *d, int whole, double low, double high)
{
    const double x = draw(d, low, high);

    return whole ? floor(x) : x;
}

static hn_leg random_leg(draws *d, int whole, double low, double high, double longest)
{
    hn_leg leg = {.ax = coordinate(d, whole, low, high), .ay = coordinate(d, whole, low, high)};
    const size_t form = draw_below(d, 4);

    leg.bx = leg.ax;
    leg.by = leg.ay; /* form 0: a point */
    if (form == 1 || form == 3)
        leg.bx = coordinate(d, whole, fmax(low, leg.ax - longest), fmin(high, leg.ax + longest));
    if (form == 2 || (form == 3 && !whole))
        leg.by = coordinate(d, whole, fmax(low, leg.ay - longest), fmin(high, leg.ay + longest));
    return leg;
}

static double nearest_of_all(const hn_leg *legs, size_t count, const hn_leg *query, uint32_t *item)
{
    double best = INFINITY;

    *item = UINT32_MAX;
    for (size_t i = 0; i < count; i++) {
        const double m = hn_leg_distance(query, &legs[i]);

        if (m < best || (m == best && legs[i].item < *item)) {
            best = m;
            *item = legs[i].item;
        }
    }
    return best;
}

static size_t random_legs(draws *d, int whole, hn_leg *legs)
{
    const size_t count = draw_below(d, LEGS_MAX + 1);

    for (size_t i = 0; i < count; i++) {
        if (i && draw_below(d, 8) == 0)
            legs[i] = legs[draw_below(d, i)];
        else
            legs[i] = random_leg(d, whole, -box_m / 2, 1.5 * box_m, i % 10 ? 20 : 2 * box_m);
        legs[i].item = (uint32_t)draw_below(d, 40); /* several legs an item */
    }
    return count;
}

static void the_grid_finds_what_a_look_at_all_finds(void **state)
{
    hn_leg legs[LEGS_MAX];
    draws d = {1};
    size_t found_some = 0, found_none = 0;

    (void)state;
    for (int world = 0; world < WORLDS; world++) {
        const int whole = world % 2 == 0;
        const size_t count = random_legs(&d, whole, legs);
        const double reach = whole ? 1 + (double)draw_below(&d, 30) : draw_log(&d, 0.5, 60);
        hn_line_grid *grid;

        assert_int_equal(hn_line_grid_new(legs, count, reach, 0, 0, box_m, box_m, &grid, NULL),
                         HN_OK);
        for (int q = 0; q < QUERIES; q++) {
            const hn_leg query = random_leg(&d, whole, 0, box_m, 40);
            uint32_t item, expected;
            const double best = nearest_of_all(legs, count, &query, &expected);
            const double m = hn_line_grid_nearest(grid, &query, &item);

            assert_true(hn_line_grid_nearest(grid, &query, NULL) == m);
            if (best > reach) {
                assert_law(isinf(m) && item == UINT32_MAX, "world %d: %g within %g", world, m,
                           reach);
                found_none++;
                continue;
            }
            assert_law(m == best, "world %d: %.17g, not %.17g", world, m, best);
            if (whole) /* squares of whole metres are exact, ties are ties */
                assert_law(item == expected, "world %d: item %u, not %u", world, item, expected);
            found_some++;
        }
        hn_line_grid_free(grid);
    }
    assert_true(found_some > 1000 && found_none > 300);
}

/* Distances anew, from the best of many points on one leg to the other. */
static void leg_distances_are_those_of_their_points(void **state)
{
    enum { POINTS = 400 };
    draws d = {2};

    (void)state;
    for (int i = 0; i < 400; i++) {
        const int whole = i % 2;
        const hn_leg a = random_leg(&d, whole, 0, 30, 30), b = random_leg(&d, whole, 0, 30, 30);
        const double m = hn_leg_distance(&a, &b), step = hypot(b.bx - b.ax, b.by - b.ay) / POINTS;
        double best = INFINITY;

        for (int k = 0; k <= POINTS; k++) {
            const double t = (double)k / POINTS;
            const hn_leg point = {b.ax + t * (b.bx - b.ax), b.ay + t * (b.by - b.ay),
                                  b.ax + t * (b.bx - b.ax), b.ay + t * (b.by - b.ay), 0};

            best = fmin(best, hn_leg_distance(&point, &a));
        }
        assert_true(hn_leg_distance(&b, &a) == m);
        assert_true(m >= 0 && m <= best + 1e-12 && m >= best - step / 2 - 1e-12);
        assert_true(hn_leg_distance(&a, &a) == 0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_grid_finds_what_a_look_at_all_finds),
        cmocka_unit_test(leg_distances_are_those_of_their_points),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
