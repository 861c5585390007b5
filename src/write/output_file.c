#include "write/output_file.h"

#include <errno.h>
#include <fcntl.h>
#include <unistd.h>

enum { BUFFER_BYTES = 1 << 20 };

/* strerror_r is safe in threads, unlike strerror. */
static const char *reason_text(int errno_value, char *room, size_t size)
{
    return strerror_r(errno_value, room, size); /* the GNU one returns the text */
}

hn_status hn_output_fail(hn_error *err, const char *path, int errno_value)
{
    char room[128];

    if (errno_value == ENOMEM)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    hn_fail(err, HN_ERR_OUTPUT, "cannot write %s: %s", path,
            reason_text(errno_value, room, sizeof room));
    if (errno_value == ENOSPC || errno_value == EDQUOT)
        hn_hint(err, "free some space on that disk or name an output folder on another one");
    else if (errno_value == EFBIG)
        hn_hint(err, "raise the limit for file sizes (ulimit -f) or name a folder on another disk");
    else if (errno_value == EACCES || errno_value == EPERM || errno_value == EROFS)
        hn_hint(err, "name an output folder that you may write to");
    else
        hn_hint(err, "name another output folder, one whose parent exists and can be written");
    return HN_ERR_OUTPUT;
}

static int write_all(void *handle, const char *bytes, size_t count)
{
    int descriptor = *(const int *)handle;

    while (count) {
        ssize_t taken = write(descriptor, bytes, count);

        if (taken < 0 && errno == EINTR)
            continue;
        if (taken < 0)
            return errno;
        bytes += taken;
        count -= (size_t)taken;
    }
    return 0;
}

/* Without this the disk would wait for the sync at the end. A hint only: what
 * it gives back says nothing about the bytes. */
static void start_sync(int descriptor, off_t offset, size_t count)
{
#ifdef SYNC_FILE_RANGE_WRITE
    (void)sync_file_range(descriptor, offset, (off_t)count, SYNC_FILE_RANGE_WRITE);
#else
    (void)descriptor, (void)offset, (void)count;
#endif
}

int hn_output_put_at(int descriptor, const void *bytes, size_t count, int64_t offset_bytes)
{
    const char *from = bytes;
    size_t done = 0;

    while (done < count) {
        ssize_t taken = pwrite(descriptor, from + done, count - done, offset_bytes + (off_t)done);

        if (taken < 0 && errno == EINTR)
            continue;
        if (taken < 0)
            return errno;
        done += (size_t)taken;
    }
    start_sync(descriptor, offset_bytes, count);
    return 0;
}

hn_status hn_output_open(hn_output_file *file, const char *path, hn_error *err)
{
    *file = (hn_output_file){.path = path, .descriptor = -1};
    file->descriptor = open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    if (file->descriptor < 0)
        return hn_output_fail(err, path, errno);
    if (!hn_out_init(&file->out, BUFFER_BYTES, write_all, &file->descriptor)) {
        hn_output_discard(file);
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    }
    return HN_OK;
}

hn_status hn_output_close(hn_output_file *file, hn_error *err)
{
    int failure;

    if (!file->path)
        return HN_OK;
    failure = hn_out_flush(&file->out);
    if (!failure && fsync(file->descriptor) != 0)
        failure = errno;
    if (close(file->descriptor) != 0 && !failure)
        failure = errno;
    file->descriptor = -1;
    hn_out_clear(&file->out);
    return failure ? hn_output_fail(err, file->path, failure) : HN_OK;
}

void hn_output_discard(hn_output_file *file)
{
    if (file->path && file->descriptor >= 0)
        close(file->descriptor);
    hn_out_clear(&file->out);
    *file = (hn_output_file){.descriptor = -1};
}

hn_status hn_output_text(const char *path, const char *text, hn_error *err)
{
    hn_output_file file;
    hn_status rc = hn_output_open(&file, path, err);

    if (rc != HN_OK)
        return rc;
    hn_put_text(&file.out, text);
    return hn_output_close(&file, err);
}

hn_status hn_output_sync(const char *path, hn_error *err)
{
    int descriptor = open(path, O_RDONLY | O_CLOEXEC), failure = 0;

    if (descriptor < 0)
        return hn_output_fail(err, path, errno);
    /* Some file systems cannot sync a folder; that is no failure of ours. */
    if (fsync(descriptor) != 0 && errno != EINVAL && errno != ENOTSUP)
        failure = errno;
    close(descriptor);
    return failure ? hn_output_fail(err, path, failure) : HN_OK;
}
