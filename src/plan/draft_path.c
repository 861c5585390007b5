/* plan/draft_path.c */
#include "plan/draft_path.h"

#include <ctype.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Length of the folders that two absolute paths share, with the last slash. */
static size_t shared_folders(const char *folder, const char *file)
{
    size_t shared = 0;

    for (size_t i = 0;; i++) {
        int ends = folder[i] == '\0' || folder[i] == '/';

        if (ends && file[i] == '/')
            shared = i + 1;
        if (folder[i] == '\0' || folder[i] != file[i])
            return shared;
    }
}

static int real_folder_of(const char *plan_file, char real[PATH_MAX])
{
    const char *slash = strrchr(plan_file, '/');
    char folder[PATH_MAX] = ".";

    if (slash && (size_t)(slash - plan_file) >= sizeof folder)
        return 0;
    if (slash)
        snprintf(folder, sizeof folder, "%.*s", slash == plan_file ? 1 : (int)(slash - plan_file),
                 plan_file);
    return realpath(folder, real) != NULL;
}

const char *hn_draft_path(const char *file, const char *plan_file, char *room, size_t size)
{
    char full[PATH_MAX], folder[PATH_MAX];
    size_t shared, used = 0;

    if (!plan_file || !realpath(file, full)) {
        snprintf(room, size, "%s", file);
        return room;
    }
    shared = real_folder_of(plan_file, folder) ? shared_folders(folder, full) : 0;
    if (shared <= 1) {
        snprintf(room, size, "%s", full);
        return room;
    }
    room[0] = '\0';
    for (const char *rest = folder + shared - (folder[shared - 1] == '\0');
         *rest && used + 4 < size; rest = strchr(rest, '/') ? strchr(rest, '/') + 1 : "")
        used += (size_t)snprintf(room + used, size - used, "../");
    snprintf(room + used, size - used, "%s", full + shared);
    return room;
}

const char *hn_draft_stem(const char *file, const char *instead, char *room, size_t size)
{
    const char *slash = file ? strrchr(file, '/') : NULL, *name = slash ? slash + 1 : file;
    const char *dot = name ? strrchr(name, '.') : NULL;
    size_t length, n = 0;

    if (!name || !*name || dot == name) {
        name = instead;
        dot = NULL;
    }
    length = dot ? (size_t)(dot - name) : strlen(name);
    for (size_t i = 0; i < length && n + 1 < size; i++)
        room[n++] = isalnum((unsigned char)name[i]) || name[i] == '-' ? name[i] : '_';
    room[n] = '\0';
    return room;
}
