/* write/zip_file.h - a zip file made member by member through GDAL's /vsizip/.
 * It carries no clock, so the same members give the same bytes. */
#ifndef HN_WRITE_ZIP_FILE_H
#define HN_WRITE_ZIP_FILE_H

#include "base/status.h"
#include "write/text_out.h"

typedef struct hn_zip hn_zip;

HN_MUST_CHECK hn_status hn_zip_open(hn_zip **zip, const char *path, hn_error *err);
/* Begins the next member; what is put into *out until hn_zip_end is its text. */
HN_MUST_CHECK hn_status hn_zip_begin(hn_zip *zip, const char *name, hn_out **out, hn_error *err);
HN_MUST_CHECK hn_status hn_zip_end(hn_zip *zip, hn_error *err);
/* Closes the file, reads back that every member is there whole, and syncs. */
HN_MUST_CHECK hn_status hn_zip_close(hn_zip *zip, hn_error *err);
/* Frees everything; safe on NULL and after hn_zip_close. */
void hn_zip_free(hn_zip *zip);

#endif
