/* base/nearest.h - the known name nearest to a mistyped one, for hints. */
#ifndef HN_BASE_NEAREST_H
#define HN_BASE_NEAREST_H

#include <stddef.h>

/* Least edit distance (insert, delete, change) wins, first of equals; NULL
 * when none is within a third of the word's length, rounded up. */
const char *hn_nearest(const char *word, const char *(*name)(size_t i, const void *context),
                       size_t count, const void *context);
/* The same over an array of names. */
const char *hn_nearest_of(const char *word, const char *const *names, size_t count);

#endif
