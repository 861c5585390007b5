/* Fetching ahead is a hint: a pool that is warmed gives the same numbers as one
 * that never is, whatever it is asked to look at. */
#include "property.h"

#include "base/text_pool.h"

#include <stdio.h>
#include <string.h>

enum { ROUNDS = 400, TEXT_ROOM = 24 };

static void random_texts(draws *d, char texts[][TEXT_ROOM], hn_text_ref *refs, size_t count)
{
    for (size_t i = 0; i < count; i++) {
        const int n = draw_below(d, 10)
                          ? snprintf(texts[i], TEXT_ROOM, "P%u-%u", (unsigned)draw_below(d, 3000),
                                     (unsigned)draw_below(d, 4))
                          : 0; /* no text */

        refs[i] = (hn_text_ref){texts[i], (size_t)n};
    }
}

static void warming_changes_no_number(void **state)
{
    static char texts[HN_TEXT_WARM_MOST + 1][TEXT_ROOM];
    hn_text_ref refs[HN_TEXT_WARM_MOST + 1];
    hn_text_pool *warm = hn_text_pool_new(), *cold = hn_text_pool_new();
    draws d = {1};

    (void)state;
    for (int round = 0; round < ROUNDS; round++) {
        const size_t count = draw_below(&d, HN_TEXT_WARM_MOST + 1);

        random_texts(&d, texts, refs, count);
        hn_text_pool_warm(warm, refs, count);
        for (size_t i = 0; i < count; i++) {
            assert_int_equal(hn_text_pool_find(warm, refs[i].text, refs[i].length),
                             hn_text_pool_find(cold, refs[i].text, refs[i].length));
            const uint32_t id = hn_text_pool_add(warm, refs[i].text, refs[i].length);

            assert_int_equal(id, hn_text_pool_add(cold, refs[i].text, refs[i].length));
            assert_int_equal(hn_text_pool_length(warm, id), refs[i].length);
            assert_memory_equal(hn_text_pool_get(warm, id), refs[i].text, refs[i].length);
        }
        assert_int_equal(hn_text_pool_count(warm), hn_text_pool_count(cold));
        assert_int_equal(hn_text_pool_bytes(warm), hn_text_pool_bytes(cold));
    }
    assert_true(hn_text_pool_count(warm) > 3000); /* the table has grown on the way */
    hn_text_pool_free(warm);
    hn_text_pool_free(cold);
}

/* Nothing to fetch, more than it takes, and a pool that has no index left. */
static void warming_takes_every_number_of_texts(void **state)
{
    static char texts[HN_TEXT_WARM_MOST + 1][TEXT_ROOM];
    hn_text_ref refs[HN_TEXT_WARM_MOST + 1];
    hn_text_pool *pool = hn_text_pool_new();
    draws d = {2};

    (void)state;
    random_texts(&d, texts, refs, HN_TEXT_WARM_MOST + 1);
    for (int sealed = 0; sealed < 2; sealed++) {
        hn_text_pool_warm(pool, NULL, 0);
        for (size_t count = 0; count <= HN_TEXT_WARM_MOST + 1; count++)
            hn_text_pool_warm(pool, refs, count);
        if (!sealed)
            for (size_t i = 0; i <= HN_TEXT_WARM_MOST; i++)
                assert_true(hn_text_pool_add(pool, refs[i].text, refs[i].length) != UINT32_MAX);
        hn_text_pool_seal(pool);
    }
    hn_text_pool_free(pool);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(warming_changes_no_number),
        cmocka_unit_test(warming_takes_every_number_of_texts),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
