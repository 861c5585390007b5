#include "base/nearest.h"

#include <ctype.h>
#include <string.h>

enum { WORD_MAX = 48 };

static size_t least_of(size_t a, size_t b)
{
    return a < b ? a : b;
}

/* Levenshtein distance, one row of the table at a time, ignoring case. */
static size_t distance(const char *a, const char *b)
{
    size_t n = strlen(a), m = strlen(b), row[WORD_MAX + 1];

    if (n > WORD_MAX || m > WORD_MAX)
        return n + m;
    for (size_t j = 0; j <= m; j++)
        row[j] = j;
    for (size_t i = 1; i <= n; i++) {
        size_t diagonal = row[0];

        row[0] = i;
        for (size_t j = 1; j <= m; j++) {
            size_t up = row[j];
            size_t change = tolower((unsigned char)a[i - 1]) != tolower((unsigned char)b[j - 1]);

            row[j] = least_of(least_of(row[j] + 1, row[j - 1] + 1), diagonal + change);
            diagonal = up;
        }
    }
    return row[m];
}

const char *hn_nearest(const char *word, const char *(*name)(size_t i, const void *context),
                       size_t count, const void *context)
{
    size_t best = (strlen(word) + 2) / 3 + 1;
    const char *found = NULL;

    for (size_t i = 0; i < count; i++) {
        const char *candidate = name(i, context);
        size_t d = distance(word, candidate);

        if (d < best) {
            best = d;
            found = candidate;
        }
    }
    return found;
}

static const char *name_in_array(size_t i, const void *context)
{
    return ((const char *const *)context)[i];
}

const char *hn_nearest_of(const char *word, const char *const *names, size_t count)
{
    return hn_nearest(word, name_in_array, count, (const void *)names);
}
