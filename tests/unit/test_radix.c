#include "test_util.h"

#include "base/alloc.h"
#include "base/radix.h"

#include <stdlib.h>

enum { COUNT = 5000 };

static int by_key_then_place(const void *a, const void *b)
{
    const hn_keyed *x = a, *y = b;

    if (hn_key_in(x) != hn_key_in(y))
        return hn_key_in(x) < hn_key_in(y) ? -1 : 1;
    return x->value < y->value ? -1 : x->value > y->value;
}

static void sorts_like_the_c_library_and_keeps_equal_keys_in_order(void **state)
{
    static hn_keyed items[COUNT], expected[COUNT];
    uint64_t s = 1;

    (void)state;
    for (uint32_t i = 0; i < COUNT; i++) {
        s = s * 6364136223846793005ULL + 1442695040888963407ULL;
        items[i] = hn_keyed_of(i % 3 ? s >> 60 : s, i);
        expected[i] = items[i];
    }
    qsort(expected, COUNT, sizeof *expected, by_key_then_place);
    assert_true(hn_radix_sort(items, COUNT));
    for (size_t i = 0; i < COUNT; i++) {
        assert_true(hn_key_in(&items[i]) == hn_key_in(&expected[i]));
        assert_int_equal(items[i].value, expected[i].value);
    }
}

static void doubles_keep_their_order_as_keys(void **state)
{
    static const double rising[] = {-INFINITY, -1e300, -2.5, -1e-300, 0.0, 1e-300, 1.0, 1e300, INFINITY};
    size_t n = sizeof rising / sizeof rising[0];

    (void)state;
    for (size_t i = 1; i < n; i++) {
        assert_true(hn_key_of_double(rising[i - 1]) < hn_key_of_double(rising[i]));
        assert_true(hn_key_falling(rising[i - 1]) > hn_key_falling(rising[i]));
    }
    assert_true(hn_key_of_double(-0.0) == hn_key_of_double(0.0));
    assert_true(hn_key_of_double(NAN) > hn_key_of_double(INFINITY));
    assert_true(hn_key_falling(NAN) > hn_key_falling(-INFINITY));
}

static void says_when_there_is_no_memory(void **state)
{
    hn_keyed items[2] = {{2, 0, 0}, {1, 0, 1}};

    (void)state;
    hn_alloc_fail_after(1);
    assert_false(hn_radix_sort(items, 2));
    hn_alloc_fail_after(0);
    assert_true(hn_key_in(&items[0]) == 2);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sorts_like_the_c_library_and_keeps_equal_keys_in_order),
        cmocka_unit_test(doubles_keep_their_order_as_keys),
        cmocka_unit_test(says_when_there_is_no_memory),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
