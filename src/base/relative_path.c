#include "base/relative_path.h"

#include <limits.h>
#include <stdlib.h>
#include <string.h>

/* Absolute, without links and dots as far as it exists; the rest as written. */
static const char *absolute(const char *path, hn_arena *arena)
{
    char real[PATH_MAX];
    const char *slash, *parent;

    if (realpath(path, real))
        return hn_arena_text(arena, real);
    slash = strrchr(path, '/');
    if (slash && slash[1] == '\0') /* a slash at the end */
        return absolute(hn_arena_text_n(arena, path, (size_t)(slash - path)), arena);
    parent = !slash          ? "."
             : slash == path ? "/"
                             : hn_arena_text_n(arena, path, (size_t)(slash - path));
    parent = parent && strcmp(path, parent) != 0 ? absolute(parent, arena) : NULL;
    if (!parent)
        return NULL;
    return hn_arena_printf(arena, "%s/%s", strcmp(parent, "/") == 0 ? "" : parent,
                           slash ? slash + 1 : path);
}

const char *hn_relative_path(const char *folder, const char *file, hn_arena *arena)
{
    const char *from = absolute(folder, arena), *to = absolute(file, arena), *out = "";
    size_t same = 0, i = 0;

    if (!from || !to)
        return NULL;
    /* the common part ends at a slash of both, or where one of them ends */
    for (; from[i] && from[i] == to[i]; i++)
        if (from[i] == '/')
            same = i;
    if (from[i] == '\0' && to[i] == '/')
        same = i;
    for (const char *at = from + same; out && *at; at++)
        if (*at == '/' && at[1])
            out = hn_arena_printf(arena, "%s../", out);
    return out ? hn_arena_printf(arena, "%s%s", out, to + same + (to[same] == '/')) : NULL;
}
