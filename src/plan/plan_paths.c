/* plan/plan_paths.c - what a path in a plan means. */
#include "plan/plan_parts.h"

#include <ctype.h>
#include <string.h>

/* "PG:", "GPKG:", "http:": letters before the first colon. One letter is no
 * prefix, so that a drive letter is none. */
static int has_prefix(const char *path)
{
    size_t letters = 0;

    while (isalnum((unsigned char)path[letters]) || path[letters] == '_')
        letters++;
    return letters >= 2 && path[letters] == ':';
}

int hn_plan_is_connection(const char *path)
{
    return strncmp(path, "/vsi", 4) == 0 || has_prefix(path);
}

const char *hn_plan_resolve(hn_arena *arena, const char *folder, const char *path)
{
    if (path[0] == '/' || hn_plan_is_connection(path) || strcmp(folder, ".") == 0)
        return hn_arena_text(arena, path);
    return hn_arena_printf(arena, "%s%s%s", folder, folder[strlen(folder) - 1] == '/' ? "" : "/",
                           path);
}

const char *hn_plan_folder_of(hn_arena *arena, const char *path)
{
    const char *slash = strrchr(path, '/');

    if (!slash)
        return hn_arena_text(arena, ".");
    return hn_arena_text_n(arena, path, slash == path ? 1 : (size_t)(slash - path));
}
