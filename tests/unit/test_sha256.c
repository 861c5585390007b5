/* SHA-256 against the examples of NIST (FIPS 180-2 appendix B, and the
 * example file for FIPS 180-4). */
#include "test_util.h"

#include "base/sha256.h"
#include "base/sha256_blocks.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

static void expect(const char *text, size_t repeat, const char *expected)
{
    hn_sha256 hash;
    char hex[HN_SHA256_HEX];

    for (int hardware = 0; hardware < 2; hardware++) {
        hn_sha256_allow_hardware(hardware);
        hn_sha256_begin(&hash);
        for (size_t i = 0; i < repeat; i++)
            hn_sha256_add(&hash, text, strlen(text));
        hn_sha256_end(&hash, hex);
        assert_string_equal(hex, expected);
    }
}

static void the_published_examples_come_out(void **state)
{
    (void)state;
    expect("", 1, "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
    expect("abc", 1, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    expect("abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq", 1,
           "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
    expect("a", 1000000, "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

/* Section 4.2.2, computed with integers: floor(2^32 cbrt(p)) mod 2^32. */
static void the_constants_are_cube_roots_of_primes(void **state)
{
    int found = 0;

    (void)state;
    for (unsigned p = 2; found < 64; p++) {
        unsigned __int128 low = 0, high = (unsigned __int128)8 << 32;
        int is_prime = 1;

        for (unsigned d = 2; d * d <= p; d++)
            is_prime &= p % d != 0;
        if (!is_prime)
            continue;
        while (high - low > 1) { /* low^3 <= p 2^96 < high^3; 2^35 cubed fits 105 bits */
            unsigned __int128 middle = (low + high) / 2;

            if (middle * middle * middle <= (unsigned __int128)p << 96)
                low = middle;
            else
                high = middle;
        }
        assert_int_equal((uint32_t)low, hn_sha256_constants[found++]);
    }
}

static void pieces_of_any_size_give_the_same(void **state)
{
    unsigned char bytes[1000];
    char whole[HN_SHA256_HEX], pieces[HN_SHA256_HEX];
    hn_sha256 hash;

    (void)state;
    for (size_t i = 0; i < sizeof bytes; i++)
        bytes[i] = (unsigned char)(i * 37 + i / 256);
    for (size_t length = 0; length < sizeof bytes; length += 13) {
        hn_sha256_allow_hardware(0);
        hn_sha256_begin(&hash);
        hn_sha256_add(&hash, bytes, length);
        hn_sha256_end(&hash, whole);
        hn_sha256_allow_hardware(1);
        hn_sha256_begin(&hash);
        for (size_t at = 0, step = 1; at < length; at += step, step = step % 97 + 1)
            hn_sha256_add(&hash, bytes + at, step < length - at ? step : length - at);
        hn_sha256_end(&hash, pieces);
        assert_string_equal(whole, pieces);
    }
}

static void a_file_is_hashed_and_a_folder_refused(void **state)
{
    char path[] = "/tmp/hn_sha_XXXXXX", hex[HN_SHA256_HEX];
    int file = mkstemp(path);
    hn_error err = {0};

    (void)state;
    assert_int_equal(write(file, "abc", 3), 3);
    close(file);
    assert_int_equal(hn_sha256_file(path, hex, &err), HN_OK);
    assert_string_equal(hex, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    unlink(path);
    assert_int_equal(hn_sha256_file(path, hex, &err), HN_ERR_INPUT);
    assert_non_null(strstr(err.message, "No such file"));
    assert_int_equal(hn_sha256_file("/tmp", hex, &err), HN_ERR_INPUT);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_published_examples_come_out),
        cmocka_unit_test(the_constants_are_cube_roots_of_primes),
        cmocka_unit_test(pieces_of_any_size_give_the_same),
        cmocka_unit_test(a_file_is_hashed_and_a_folder_refused),
    };

    return cmocka_run_group_tests(tests, NULL, NULL);
}
