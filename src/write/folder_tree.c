#include "write/folder_tree.h"

#include "base/alloc.h"

#include <dirent.h>
#include <errno.h>
#include <ftw.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

char *hn_path_join(const char *folder, const char *name)
{
    size_t size = strlen(folder) + strlen(name) + 2;
    char *path = hn_alloc(size, 1);

    if (path)
        snprintf(path, size, "%s/%s", strcmp(folder, "/") == 0 ? "" : folder, name);
    return path;
}

int hn_path_exists(const char *path)
{
    struct stat info;

    return lstat(path, &info) == 0;
}

int hn_path_is_folder(const char *path)
{
    struct stat info;

    return stat(path, &info) == 0 && S_ISDIR(info.st_mode);
}

int hn_folder_make_all(const char *path)
{
    char *copy = hn_copy_text(path), *slash = copy;
    int failure = copy ? 0 : ENOMEM;

    while (!failure && slash) {
        slash = strchr(slash + 1, '/');
        if (slash)
            *slash = '\0';
        if (mkdir(copy, 0777) != 0 && errno != EEXIST)
            failure = hn_path_is_folder(copy) ? 0 : errno;
        if (slash)
            *slash = '/';
    }
    if (!failure && !hn_path_is_folder(path))
        failure = ENOTDIR;
    hn_free(copy);
    return failure;
}

static int remove_entry(const char *path, const struct stat *info, int kind, struct FTW *where)
{
    (void)info;
    (void)kind;
    (void)where;
    remove(path);
    return 0; /* go on: what can be removed shall be */
}

void hn_folder_remove(const char *path)
{
    nftw(path, remove_entry, 16, FTW_DEPTH | FTW_PHYS | FTW_MOUNT);
}

static int is_dot(const char *name)
{
    return strcmp(name, ".") == 0 || strcmp(name, "..") == 0;
}

int hn_folder_is_empty(const char *path)
{
    DIR *folder = opendir(path);
    const struct dirent *entry;
    int is_empty = folder != NULL;

    while (is_empty && (entry = readdir(folder)) != NULL)
        is_empty = is_dot(entry->d_name);
    if (folder)
        closedir(folder);
    return is_empty;
}

static int ends_with(const char *text, const char *end)
{
    size_t length = strlen(text), wanted = strlen(end);

    return length >= wanted && strcmp(text + length - wanted, end) == 0;
}

/* Files of haunch fit; only in a folder of its own, since a person may keep a
 * table of the same name beside a result. */
static int is_of_fit(const char *name)
{
    static const char *const names[] = {
        "fit.json",       "fit.html",         "deterioration.csv", "fit.csv",
        "fit.csvt",       "fit_by_age.csv",   "fit_by_age.csvt",   "fit_backtest.csv",
        "fit_backtest.csvt", "fit_warnings.csv", "fit_warnings.csvt"};

    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (strcmp(name, names[i]) == 0)
            return 1;
    return 0;
}

static int has_file(const char *folder, const char *name)
{
    char *path = hn_path_join(folder, name);
    const int has = path && hn_path_exists(path);

    hn_free(path);
    return has;
}

/* Files that a run writes or that SQLite leaves beside its database: a stale
 * -wal beside a new file would spoil it. */
static int is_ours(const char *name, int in_tables)
{
    if (in_tables)
        return ends_with(name, ".csv") || ends_with(name, ".csvt");
    return strncmp(name, "result.gpkg", 11) == 0 || strcmp(name, "tables.xlsx") == 0 ||
           strcmp(name, "tornado.svg") == 0 ||
           strcmp(name, "run.json") == 0 || strcmp(name, "report.html") == 0;
}

static void bequeath_entries(const char *old_folder, const char *heir, int in_tables);

static void bequeath_entry(const char *old_folder, const char *heir, const char *name,
                           int in_tables, int is_fit)
{
    char *from = hn_path_join(old_folder, name), *to = hn_path_join(heir, name);
    const int is_tables = !in_tables && strcmp(name, "tables") == 0;

    if (!from || !to) {
        /* stays where it is */
    } else if (is_tables && hn_path_is_folder(from)) {
        bequeath_entries(from, to, 1);
        if (rmdir(from) != 0 && !hn_path_exists(to))
            rename(from, to);
    } else if (is_fit ? is_of_fit(name) : is_ours(name, in_tables)) {
        unlink(from);
    } else if (hn_path_is_folder(heir)) {
        if (hn_path_exists(to))
            hn_folder_remove(from);
        else
            rename(from, to);
    }
    hn_free(from);
    hn_free(to);
}

static void bequeath_entries(const char *old_folder, const char *heir, int in_tables)
{
    DIR *folder = opendir(old_folder);
    const struct dirent *entry;
    const int is_fit = !in_tables && has_file(heir, "fit.json");

    if (!folder)
        return;
    while ((entry = readdir(folder)) != NULL)
        if (!is_dot(entry->d_name))
            bequeath_entry(old_folder, heir, entry->d_name, in_tables, is_fit);
    closedir(folder);
}

void hn_folder_bequeath(const char *old_folder, const char *heir)
{
    bequeath_entries(old_folder, heir, 0);
    rmdir(old_folder);
}
