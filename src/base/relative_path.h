/* base/relative_path.h - the way from a folder to a file, so that a result can
 * name its plan and still be moved together with it. */
#ifndef HN_BASE_RELATIVE_PATH_H
#define HN_BASE_RELATIVE_PATH_H

#include "base/arena.h"

/* "../../plans/a.yaml". Links on the way are followed; the folder need not
 * exist yet. NULL when out of memory. */
const char *hn_relative_path(const char *folder, const char *file, hn_arena *arena);

#endif
