/* write/output_file.h - a new file of which every write is checked and which
 * is on the disk when it is closed. */
#ifndef HN_WRITE_OUTPUT_FILE_H
#define HN_WRITE_OUTPUT_FILE_H

#include "base/status.h"
#include "write/text_out.h"

typedef struct hn_output_file {
    const char *path; /* borrowed */
    int descriptor;
    hn_out out;
} hn_output_file;

/* Makes the file, which must not exist. */
HN_MUST_CHECK hn_status hn_output_open(hn_output_file *file, const char *path, hn_error *err);
/* HN_ERR_OUTPUT when a write before has failed; cheap, for every row. */
static inline int hn_output_is_bad(const hn_output_file *file)
{
    return file->out.error != 0;
}
/* Flushes, syncs and closes; reports the first failure of all. Safe to call on
 * a zeroed struct (HN_OK) and once only. */
HN_MUST_CHECK hn_status hn_output_close(hn_output_file *file, hn_error *err);
/* Closes after another failure; nothing is reported. */
void hn_output_discard(hn_output_file *file);

/* Writes bytes at a place of an open file and lets the disk begin with them.
 * Returns 0 or an errno value. Safe in several threads. */
int hn_output_put_at(int descriptor, const void *bytes, size_t count, int64_t offset_bytes);

/* One text as a whole file. */
HN_MUST_CHECK hn_status hn_output_text(const char *path, const char *text, hn_error *err);

/* HN_ERR_OUTPUT "cannot write PATH: REASON" with the way out for a full disk,
 * a quota, a file size limit or a missing right. */
hn_status hn_output_fail(hn_error *err, const char *path, int errno_value);

/* Flushes a file or folder to the disk. */
HN_MUST_CHECK hn_status hn_output_sync(const char *path, hn_error *err);

#endif
