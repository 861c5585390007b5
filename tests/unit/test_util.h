/* unit/test_util.h - what every unit test shares. cmocka 1.1.5 compares
 * floats only, so doubles have their own macro with a relative tolerance. */
#ifndef HN_UNIT_TEST_UTIL_H
#define HN_UNIT_TEST_UTIL_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <math.h>

#define assert_close(actual, expected, relative)                                  \
    do {                                                                          \
        const double a_ = (actual), e_ = (expected), t_ = (relative);             \
        if (!(fabs(a_ - e_) <= t_ * fmax(fabs(e_), 1e-300)))                      \
            fail_msg("%s is %.17g, expected %.17g (relative %g)", #actual, a_, e_, t_); \
    } while (0)

#endif
