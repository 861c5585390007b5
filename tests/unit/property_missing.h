/* unit/property_missing.h - what is not a number, or cannot be one, never turns
 * into a plausible answer: a table of functions, each argument in turn replaced
 * by NaN, both infinities and a number below its range. */
#ifndef HN_UNIT_PROPERTY_MISSING_H
#define HN_UNIT_PROPERTY_MISSING_H

#include "property.h"

#include <string.h>

enum { ARGUMENTS_MAX = 16, RESULTS_MAX = 16 };

/* Fills y with the results that need every argument; returns how many. */
typedef size_t (*called)(const double *x, double *y);

/* One letter an argument.
 *   p  below 0 is out of range
 *   s  any sign has a meaning
 *   r  a rate: -1 and less is out of range
 *   .  does not count in this case */
typedef struct law {
    const char *name;
    called call;
    const char *kinds;
    double good[ARGUMENTS_MAX];
} law;

#define CALL1(f)                                       \
    static size_t call_##f(const double *x, double *y) \
    {                                                  \
        y[0] = f(x[0]);                                \
        return 1;                                      \
    }
#define CALL2(f)                                       \
    static size_t call_##f(const double *x, double *y) \
    {                                                  \
        y[0] = f(x[0], x[1]);                          \
        return 1;                                      \
    }
#define CALL3(f)                                       \
    static size_t call_##f(const double *x, double *y) \
    {                                                  \
        y[0] = f(x[0], x[1], x[2]);                    \
        return 1;                                      \
    }
#define CALL4(f)                                       \
    static size_t call_##f(const double *x, double *y) \
    {                                                  \
        y[0] = f(x[0], x[1], x[2], x[3]);              \
        return 1;                                      \
    }
#define CALL5(f)                                       \
    static size_t call_##f(const double *x, double *y) \
    {                                                  \
        y[0] = f(x[0], x[1], x[2], x[3], x[4]);        \
        return 1;                                      \
    }
#define LAW(f, kinds, ...)   \
    {                        \
#f, call_##f, kinds, \
        {                    \
            __VA_ARGS__      \
        }                    \
    }

static inline void check_bad(const law *l, int argument, double bad)
{
    double x[ARGUMENTS_MAX], y[RESULTS_MAX];
    size_t results;

    memcpy(x, l->good, sizeof x);
    x[argument] = bad;
    results = l->call(x, y);
    for (size_t i = 0; i < results; i++)
        assert_law(!isfinite(y[i]), "%s, argument %d = %g: result %zu is %.17g", l->name,
                   argument + 1, bad, i, y[i]);
    if (isnan(bad))
        for (size_t i = 0; i < results; i++)
            assert_law(isnan(y[i]), "%s, argument %d = NaN: result %zu is %g", l->name,
                       argument + 1, i, y[i]);
}

static inline void check_law(const law *l)
{
    double y[RESULTS_MAX];
    size_t results = l->call(l->good, y);

    for (size_t i = 0; i < results; i++)
        assert_law(isfinite(y[i]), "%s: result %zu of sound arguments is %g", l->name, i, y[i]);
    for (int a = 0; l->kinds[a]; a++) {
        if (l->kinds[a] == '.')
            continue;
        check_bad(l, a, NAN);
        check_bad(l, a, INFINITY);
        check_bad(l, a, -INFINITY);
        if (l->kinds[a] == 'p')
            check_bad(l, a, -0.5);
        if (l->kinds[a] == 'r') {
            check_bad(l, a, -1.0);
            check_bad(l, a, -3.0);
        }
    }
}

#define CHECK_LAWS(laws)                                          \
    for (size_t i_ = 0; i_ < sizeof(laws) / sizeof *(laws); i_++) \
    check_law(&(laws)[i_])

#endif
