#include "write/zip_file.h"

#include "base/alloc.h"
#include "write/output_file.h"

#include <cpl_conv.h>
#include <cpl_error.h>
#include <cpl_vsi.h>
#include <errno.h>
#include <stdio.h>

enum { BUFFER_BYTES = 1 << 20, MOST_NAME = 64 };

/* What was put in, to be found again. */
typedef struct member {
    char name[MOST_NAME];
    uint64_t bytes;
} member;

struct hn_zip {
    char *path; /* of the zip file */
    char *vsi;  /* room for /vsizip/PATH/NAME */
    size_t vsi_size;
    VSILFILE *file, *current;
    hn_out out;
    uint64_t bytes; /* of the current member */
    member *members;
    size_t count, capacity;
};

static int write_all(void *handle, const char *bytes, size_t count)
{
    hn_zip *zip = handle;

    errno = 0;
    if (VSIFWriteL(bytes, 1, count, zip->current) != count)
        return errno ? errno : EIO;
    zip->bytes += count;
    return 0;
}

static hn_status zip_fail(const hn_zip *zip, int errno_value, hn_error *err)
{
    return hn_output_fail(err, zip->path, errno_value ? errno_value : EIO);
}

static const char *vsi_name(hn_zip *zip, const char *name)
{
    snprintf(zip->vsi, zip->vsi_size, "/vsizip/{%s}%s%s", zip->path, *name ? "/" : "", name);
    return zip->vsi;
}

hn_status hn_zip_open(hn_zip **result, const char *path, hn_error *err)
{
    hn_zip *zip = hn_alloc(1, sizeof *zip);
    hn_status rc = HN_OK;

    *result = zip;
    HN_TRY_ALLOC(zip);
    CPLPushErrorHandler(CPLQuietErrorHandler); /* until hn_zip_free: nothing here prints */
    /* With more threads the zip is cut into blocks: other bytes, no less time. */
    CPLSetThreadLocalConfigOption("GDAL_NUM_THREADS", "1");
    zip->vsi_size = strlen(path) + MOST_NAME + 16;
    zip->vsi = hn_alloc(zip->vsi_size, 1);
    HN_TRY_ALLOC(zip->vsi);
    zip->path = hn_copy_text(path);
    HN_TRY_ALLOC(zip->path);
    HN_TRY_ALLOC(hn_out_init(&zip->out, BUFFER_BYTES, write_all, zip) ? zip : NULL);
    errno = 0;
    zip->file = VSIFOpenL(vsi_name(zip, ""), "wb");
    if (!zip->file)
        rc = zip_fail(zip, errno, err);
out:
    return rc;
}

hn_status hn_zip_begin(hn_zip *zip, const char *name, hn_out **out, hn_error *err)
{
    errno = 0;
    zip->bytes = 0;
    if (!hn_grow((void **)&zip->members, zip->count, &zip->capacity, sizeof *zip->members))
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    snprintf(zip->members[zip->count].name, MOST_NAME, "%s", name);
    zip->current = VSIFOpenL(vsi_name(zip, name), "wb");
    if (!zip->current)
        return zip_fail(zip, errno, err);
    *out = &zip->out;
    return HN_OK;
}

hn_status hn_zip_end(hn_zip *zip, hn_error *err)
{
    int failure = hn_out_flush(&zip->out);

    errno = 0;
    if (VSIFCloseL(zip->current) != 0 && !failure)
        failure = errno ? errno : EIO;
    zip->current = NULL;
    zip->members[zip->count++].bytes = zip->bytes;
    return failure ? zip_fail(zip, failure, err) : HN_OK;
}

/* A write that fails is told at once, but the last bytes, which hold the list
 * of members, go out when the file is closed: so that list is read back. */
static int is_listed(hn_zip *zip, const member *m)
{
    VSIStatBufL info;

    return VSIStatExL(vsi_name(zip, m->name), &info, VSI_STAT_SIZE_FLAG) == 0 &&
           (uint64_t)info.st_size == m->bytes;
}

static hn_status check_members(hn_zip *zip, hn_error *err)
{
    for (size_t i = 0; i < zip->count; i++)
        if (!is_listed(zip, &zip->members[i])) {
            hn_fail(err, HN_ERR_OUTPUT, "cannot write %s: %s does not read back", zip->path,
                    zip->members[i].name);
            hn_hint(err, "the disk may be full or failing");
            return HN_ERR_OUTPUT;
        }
    return HN_OK;
}

hn_status hn_zip_close(hn_zip *zip, hn_error *err)
{
    hn_status rc;
    int failure;

    errno = 0;
    CPLErrorReset();
    failure = VSIFCloseL(zip->file) != 0 || CPLGetLastErrorType() >= CE_Failure;
    zip->file = NULL;
    rc = failure ? zip_fail(zip, errno, err) : check_members(zip, err);
    return rc == HN_OK ? hn_output_sync(zip->path, err) : rc;
}

void hn_zip_free(hn_zip *zip)
{
    if (!zip)
        return;
    if (zip->current)
        VSIFCloseL(zip->current);
    if (zip->file)
        VSIFCloseL(zip->file);
    CPLSetThreadLocalConfigOption("GDAL_NUM_THREADS", NULL);
    CPLPopErrorHandler();
    hn_out_clear(&zip->out);
    hn_free(zip->members);
    hn_free(zip->path);
    hn_free(zip->vsi);
    hn_free(zip);
}
