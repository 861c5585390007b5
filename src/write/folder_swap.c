#include "write/folder_swap.h"

#include "base/alloc.h"
#include "write/folder_tree.h"
#include "write/output_file.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

static hn_status refuse(hn_error *err, const char *folder, const char *why)
{
    hn_fail(err, HN_ERR_OUTPUT, "cannot write results into %s: %s", folder, why);
    hn_hint(err, "name another output folder");
    return HN_ERR_OUTPUT;
}

/* Absolute form of a path whose end may not exist yet. The existing part has
 * its links resolved: a link to a folder must stay a link. */
static char *absolute_path(const char *path)
{
    char real[PATH_MAX], *copy, *slash, *parent, *result = NULL;

    if (realpath(path, real))
        return hn_copy_text(real);
    copy = hn_copy_text(path);
    if (!copy)
        return NULL;
    for (size_t n = strlen(copy); n > 1 && copy[n - 1] == '/'; n--)
        copy[n - 1] = '\0';
    slash = strrchr(copy, '/');
    if (slash)
        *slash = '\0';
    parent = absolute_path(!slash ? "." : slash == copy ? "/" : copy);
    if (parent)
        result = hn_path_join(parent, slash ? slash + 1 : copy);
    hn_free(parent);
    hn_free(copy);
    return result;
}

static int is_mount_point(const hn_folder_swap *swap)
{
    struct stat own, above;

    return stat(swap->target, &own) == 0 && stat(swap->parent, &above) == 0 &&
           own.st_dev != above.st_dev;
}

static hn_status check_target(const hn_folder_swap *swap, hn_error *err)
{
    char *manifest, why[96];
    int is_ours;

    if (!hn_path_exists(swap->target))
        return HN_OK;
    if (!hn_path_is_folder(swap->target))
        return refuse(err, swap->target, "it exists and is not a folder");
    if (is_mount_point(swap))
        return refuse(err, swap->target, "it is a mount point and cannot be replaced as a whole");
    manifest = hn_path_join(swap->target, swap->mark);
    is_ours = manifest && hn_path_exists(manifest);
    hn_free(manifest);
    if (is_ours || hn_folder_is_empty(swap->target))
        return HN_OK;
    snprintf(why, sizeof why, "it holds files but no %.32s, so it is not a result folder",
             swap->mark);
    return refuse(err, swap->target, why);
}

static char *sibling(const hn_folder_swap *swap, const char *kind, long pid)
{
    size_t size = strlen(swap->parent) + strlen(swap->name) + strlen(kind) + 32;
    char *path = hn_alloc(size, 1);

    if (path)
        snprintf(path, size, "%s/.%s.%s-%ld", strcmp(swap->parent, "/") == 0 ? "" : swap->parent,
                 swap->name, kind, pid);
    return path;
}

hn_status hn_folder_swap_plan(hn_folder_swap *swap, const char *folder, const char *mark,
                              hn_error *err)
{
    hn_status rc = HN_OK;
    const char *slash;

    *swap = (hn_folder_swap){.lock = -1, .mark = mark};
    if (!folder || !*folder)
        return refuse(err, "\"\"", "the folder has no name");
    swap->target = absolute_path(folder);
    HN_TRY_ALLOC(swap->target);
    slash = strrchr(swap->target, '/');
    if (!slash[1] || strcmp(slash + 1, "..") == 0) {
        rc = refuse(err, folder, "it cannot be replaced");
        goto out;
    }
    swap->name = hn_copy_text(slash + 1);
    swap->parent = slash == swap->target
                       ? hn_copy_text("/")
                       : hn_copy_text_n(swap->target, (size_t)(slash - swap->target));
    HN_TRY_ALLOC(swap->name);
    HN_TRY_ALLOC(swap->parent);
    swap->partial = sibling(swap, "partial", (long)getpid());
    HN_TRY_ALLOC(swap->partial);
    rc = check_target(swap, err);
out:
    return rc;
}

void hn_folder_swap_clear(hn_folder_swap *swap)
{
    if (swap->lock >= 0)
        close(swap->lock);
    hn_free(swap->target);
    hn_free(swap->parent);
    hn_free(swap->name);
    hn_free(swap->partial);
    *swap = (hn_folder_swap){.lock = -1};
}

/* Nearest folder above that exists. */
static char *nearest_folder(const char *path)
{
    char *at = hn_copy_text(path), *slash;

    while (at && !hn_path_exists(at) && (slash = strrchr(at, '/')) != NULL)
        slash[slash == at] = '\0';
    return at;
}

hn_status hn_folder_swap_try(const hn_folder_swap *swap, hn_error *err)
{
    char *folder = nearest_folder(swap->parent), *probe = NULL;
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(folder);
    probe = hn_path_join(folder, ".haunch-probe-XXXXXX");
    HN_TRY_ALLOC(probe);
    if (mkdtemp(probe) == NULL)
        rc = hn_output_fail(err, folder, errno);
    else if (rmdir(probe) != 0)
        rc = hn_output_fail(err, probe, errno);
out:
    hn_free(probe);
    hn_free(folder);
    return rc;
}

/* A live maker holds a lock on its folder; where locks do not work, and while
 * the lock is not yet taken, its process number tells. */
static int is_dead(const char *path, long pid)
{
    int descriptor = open(path, O_RDONLY | O_DIRECTORY | O_CLOEXEC), is_locked;

    if (descriptor < 0)
        return 0;
    is_locked = flock(descriptor, LOCK_EX | LOCK_NB) != 0 && errno == EWOULDBLOCK;
    close(descriptor);
    if (is_locked)
        return 0;
    return pid == (long)getpid() || (getpgid((pid_t)pid) < 0 && errno == ESRCH);
}

/* Process number at the end of ".NAME.KIND-PID", 0 for another name. */
static long pid_of(const hn_folder_swap *swap, const char *entry, const char *kind)
{
    size_t name = strlen(swap->name), length = strlen(kind);
    const char *at = entry;
    char *end;
    long pid;

    if (*at++ != '.' || strncmp(at, swap->name, name) != 0 || at[name] != '.')
        return 0;
    at += name + 1;
    if (strncmp(at, kind, length) != 0 || at[length] != '-')
        return 0;
    pid = strtol(at + length + 1, &end, 10);
    return *end == '\0' && pid > 0 ? pid : 0;
}

/* A partial folder gets its manifest last, and an exchanged old result has one:
 * only then may there be files of a person in it. */
static void sweep_partial(const hn_folder_swap *swap, const char *path)
{
    char *manifest = hn_path_join(path, swap->mark);

    if (!manifest)
        return;
    if (hn_path_exists(manifest))
        hn_folder_bequeath(path, swap->target);
    else
        hn_folder_remove(path);
    hn_free(manifest);
}

static void sweep_entry(const hn_folder_swap *swap, const char *entry)
{
    char *path = hn_path_join(swap->parent, entry);
    long partial = pid_of(swap, entry, "partial"), old = pid_of(swap, entry, "old");

    if (path && old && is_dead(path, old)) {
        if (hn_path_exists(swap->target))
            hn_folder_bequeath(path, swap->target);
        else
            rename(path, swap->target);
    } else if (path && partial && is_dead(path, partial)) {
        sweep_partial(swap, path);
    }
    hn_free(path);
}

void hn_folder_swap_sweep(const hn_folder_swap *swap)
{
    DIR *folder = opendir(swap->parent);
    const struct dirent *entry;

    if (!folder)
        return;
    while ((entry = readdir(folder)) != NULL)
        if (entry->d_name[0] == '.')
            sweep_entry(swap, entry->d_name);
    closedir(folder);
}

hn_status hn_folder_swap_begin(hn_folder_swap *swap, hn_error *err)
{
    int failure = hn_folder_make_all(swap->parent);

    if (failure)
        return hn_output_fail(err, swap->parent, failure);
    if (mkdir(swap->partial, 0777) != 0)
        return hn_output_fail(err, swap->partial, errno);
    swap->is_made = 1;
    swap->lock = open(swap->partial, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (swap->lock >= 0)
        flock(swap->lock, LOCK_EX | LOCK_NB);
    return HN_OK;
}

/* Where names cannot be exchanged: old aside, new in, and back on failure. */
static int replace_in_steps(const hn_folder_swap *swap, char *aside)
{
    int failure;

    if (rename(swap->target, aside) != 0)
        return errno;
    if (rename(swap->partial, swap->target) == 0)
        return 0;
    failure = errno;
    rename(aside, swap->target);
    return failure;
}

static hn_status replace(hn_folder_swap *swap, hn_error *err)
{
    char *aside = sibling(swap, "old", (long)getpid());
    hn_status rc = HN_OK;
    int failure = 0;

    HN_TRY_ALLOC(aside);
    if (renameat2(AT_FDCWD, swap->partial, AT_FDCWD, swap->target, RENAME_EXCHANGE) == 0) {
        swap->is_made = 0; /* the old result now has the partial name */
        hn_folder_bequeath(swap->partial, swap->target);
        goto out;
    }
    failure = errno;
    if (failure == EINVAL || failure == ENOSYS || failure == ENOTSUP)
        failure = replace_in_steps(swap, aside);
    if (failure) {
        rc = hn_output_fail(err, swap->target, failure);
        goto out;
    }
    swap->is_made = 0;
    hn_folder_bequeath(aside, swap->target);
out:
    hn_free(aside);
    return rc;
}

hn_status hn_folder_swap_commit(hn_folder_swap *swap, hn_error *err)
{
    hn_status rc = HN_OK;

    if (hn_path_exists(swap->target))
        rc = replace(swap, err);
    else if (rename(swap->partial, swap->target) != 0)
        rc = hn_output_fail(err, swap->target, errno);
    if (rc != HN_OK)
        return rc;
    swap->is_made = 0;
    return hn_output_sync(swap->parent, err);
}

void hn_folder_swap_abandon(hn_folder_swap *swap)
{
    if (!swap->is_made)
        return;
    hn_folder_remove(swap->partial);
    swap->is_made = 0;
}
