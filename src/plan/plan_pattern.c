/* plan/plan_pattern.c */
#include "plan/plan_pattern.h"

#include <ctype.h>
#include <math.h>
#include <regex.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

enum { PATTERN_MAX = 200, REPEATS_MAX = 1000 };

/* Product of all {n,m} counts: the regex compiler copies what they repeat. */
static double repeats_of(const char *pattern)
{
    double product = 1;

    for (const char *c = strchr(pattern, '{'); c; c = strchr(c + 1, '{')) {
        const char *end = c + 1;
        double most = 1;

        for (; isdigit((unsigned char)*end) || *end == ','; end++)
            if (isdigit((unsigned char)*end) && !isdigit((unsigned char)end[-1]))
                most = fmax(most, strtod(end, NULL));
        product *= most;
    }
    return product;
}

int hn_pattern_fault(const char *pattern, char *why, size_t size)
{
    regex_t compiled;
    int code, groups;

    if (strlen(pattern) > PATTERN_MAX) {
        snprintf(why, size, "is longer than %d letters", PATTERN_MAX);
        return 1;
    }
    if (repeats_of(pattern) > REPEATS_MAX) {
        snprintf(why, size, "repeats too often: the {n} multiply to more than %d", REPEATS_MAX);
        return 1;
    }
    code = regcomp(&compiled, pattern, REG_EXTENDED);
    if (code != 0) {
        int used = snprintf(why, size, "cannot be used: ");

        regerror(code, &compiled, why + used, size - (size_t)used);
        return 1;
    }
    groups = (int)compiled.re_nsub;
    regfree(&compiled);
    if (groups > 0)
        return 0;
    snprintf(why, size, "has no group: nothing says which part is the value");
    return 1;
}
