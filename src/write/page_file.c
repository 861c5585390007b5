#include "write/page_file.h"

#include "write/output_file.h"
#include "write/page_bytes.h"

#include <errno.h>
#include <fcntl.h>
#include <string.h>
#include <unistd.h>

enum {
    AT_PAGE_BYTES = 16,
    AT_WRITE_VERSION = 18,
    AT_READ_VERSION = 19,
    AT_RESERVED = 20,
    AT_CHANGES = 24,
    AT_PAGES = 28,
    AT_FREE_PAGES = 36,
    AT_SCHEMA_FORMAT = 44,
    AT_VACUUM_ROOT = 52,
    AT_ENCODING = 56,
    AT_VALID_FOR = 92
};

enum { SCHEMA_FORMAT = 4, UTF_8 = 1, MOST_PAGES = 0x3fffffff, LEAF_TYPE = 0x0d, LEAF_HEAD = 8 };

static uint32_t lock_byte = 0x40000000;

void hn_page_file_lock_byte(uint32_t offset_bytes)
{
    lock_byte = offset_bytes ? offset_bytes : 0x40000000;
}

static size_t page_bytes_of(const unsigned char *head)
{
    const size_t bytes = hn_get_big_endian(head + AT_PAGE_BYTES, 2);

    return bytes == 1 ? 65536 : bytes;
}

int hn_page_head_fits(const unsigned char head[HN_PAGE_FILE_HEAD])
{
    const size_t bytes = page_bytes_of(head);

    return memcmp(head, "SQLite format 3", 16) == 0 && bytes >= 512 && (bytes & (bytes - 1)) == 0 &&
           head[AT_WRITE_VERSION] == 1 && head[AT_READ_VERSION] == 1 && head[AT_RESERVED] == 0 &&
           hn_get_big_endian(head + AT_FREE_PAGES, 4) == 0 &&
           hn_get_big_endian(head + AT_SCHEMA_FORMAT, 4) == SCHEMA_FORMAT &&
           hn_get_big_endian(head + AT_VACUUM_ROOT, 4) == 0 &&
           hn_get_big_endian(head + AT_ENCODING, 4) == UTF_8 &&
           memcmp(head + AT_CHANGES, head + AT_VALID_FOR, 4) == 0;
}

static int read_all(int descriptor, unsigned char *bytes, size_t count, off_t offset)
{
    while (count) {
        const ssize_t got = pread(descriptor, bytes, count, offset);

        if (got < 0 && errno == EINTR)
            continue;
        if (got <= 0)
            return got < 0 ? errno : EIO;
        bytes += got;
        offset += got;
        count -= (size_t)got;
    }
    return 0;
}

int hn_page_file_fits(const char *path)
{
    unsigned char head[HN_PAGE_FILE_HEAD];
    const int descriptor = open(path, O_RDONLY | O_CLOEXEC);
    int fits;

    if (descriptor < 0)
        return 0;
    fits = read_all(descriptor, head, sizeof head, 0) == 0 && hn_page_head_fits(head);
    close(descriptor);
    return fits;
}

static hn_status write_all(const hn_page_file *file, const unsigned char *bytes, size_t count,
                           off_t offset, hn_error *err)
{
    const int failure = hn_output_put_at(file->descriptor, bytes, count, offset);

    return failure ? hn_output_fail(err, file->path, failure) : HN_OK;
}

static off_t offset_of(const hn_page_file *file, uint32_t page)
{
    return (off_t)(page - 1) * (off_t)file->page_bytes;
}

hn_status hn_page_file_open(hn_page_file *file, const char *path, hn_error *err)
{
    hn_status rc = HN_OK;
    int failure;

    *file = (hn_page_file){.path = path};
    file->descriptor = open(path, O_RDWR | O_CLOEXEC);
    if (file->descriptor < 0)
        return hn_output_fail(err, path, errno);
    failure = read_all(file->descriptor, file->head, sizeof file->head, 0);
    if (failure)
        HN_TRY(hn_output_fail(err, path, failure));
    file->page_bytes = page_bytes_of(file->head);
    file->pages = hn_get_big_endian(file->head + AT_PAGES, 4);
    if (!hn_page_head_fits(file->head) ||
        lseek(file->descriptor, 0, SEEK_END) != offset_of(file, file->pages + 1))
        HN_TRY(hn_fail(err, HN_ERR_INTERNAL, "%s is no file that pages can be added to", path));
    file->lock_page = (uint32_t)(lock_byte / file->page_bytes + 1);
out:
    if (rc != HN_OK)
        hn_page_file_discard(file);
    return rc;
}

hn_status hn_page_file_take(hn_page_file *file, size_t count, hn_page_range *range, hn_error *err)
{
    *range = (hn_page_range){file->pages + 1, file->lock_page};
    if (count + file->pages >= MOST_PAGES)
        return hn_fail(err, HN_ERR_OUTPUT, "cannot write %s: too many rows for one file",
                       file->path);
    if (count)
        file->pages = hn_page_number(range, (uint32_t)count - 1);
    return HN_OK;
}

hn_status hn_page_file_put(const hn_page_file *file, const hn_page_range *range,
                           const unsigned char *pages, size_t count, hn_error *err)
{
    size_t before = 0; /* pages in front of the lock page */
    hn_status rc = HN_OK;

    if (range->first < range->lock_page)
        before = range->lock_page - range->first;
    if (before > count)
        before = count;
    if (before)
        rc = write_all(file, pages, before * file->page_bytes, offset_of(file, range->first), err);
    if (rc == HN_OK && count > before)
        rc = write_all(file, pages + before * file->page_bytes, (count - before) * file->page_bytes,
                       offset_of(file, hn_page_number(range, (uint32_t)before)), err);
    return rc;
}

hn_status hn_page_file_put_page(const hn_page_file *file, uint32_t page, const unsigned char *bytes,
                                hn_error *err)
{
    return write_all(file, bytes, file->page_bytes, offset_of(file, page), err);
}

hn_status hn_page_file_expect_empty(const hn_page_file *file, uint32_t page, hn_error *err)
{
    unsigned char head[LEAF_HEAD];
    const int failure = page < 2 || page > file->pages
                            ? EIO
                            : read_all(file->descriptor, head, sizeof head, offset_of(file, page));

    if (failure)
        return hn_output_fail(err, file->path, failure);
    if (head[0] != LEAF_TYPE || head[3] || head[4])
        return hn_fail(err, HN_ERR_INTERNAL, "page %lu of %s is not that of an empty table",
                       (unsigned long)page, file->path);
    return HN_OK;
}

/* Readers believe the page count only when the two change counters agree. */
static hn_status put_head(hn_page_file *file, hn_error *err)
{
    const uint32_t changes = hn_get_big_endian(file->head + AT_CHANGES, 4) + 1;

    hn_put_big_endian(file->head + AT_CHANGES, changes, 4);
    hn_put_big_endian(file->head + AT_VALID_FOR, changes, 4);
    hn_put_big_endian(file->head + AT_PAGES, file->pages, 4);
    return write_all(file, file->head, sizeof file->head, 0, err);
}

hn_status hn_page_file_close(hn_page_file *file, hn_error *err)
{
    hn_status rc = put_head(file, err);

    if (rc == HN_OK && fsync(file->descriptor) != 0)
        rc = hn_output_fail(err, file->path, errno);
    if (close(file->descriptor) != 0 && rc == HN_OK)
        rc = hn_output_fail(err, file->path, errno);
    file->descriptor = -1;
    return rc;
}

void hn_page_file_discard(hn_page_file *file)
{
    if (file->descriptor >= 0 && file->path)
        close(file->descriptor);
    file->descriptor = -1;
}
