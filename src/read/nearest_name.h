/* read/nearest_name.h - the shared hint under the name that readers of tables
 * use; see base/nearest.h. */
#ifndef HN_READ_NEAREST_NAME_H
#define HN_READ_NEAREST_NAME_H

#include "base/nearest.h"

static inline const char *hn_nearest_name(const char *wanted, const char *const *names,
                                          size_t count)
{
    return hn_nearest_of(wanted, names, count);
}

#endif
