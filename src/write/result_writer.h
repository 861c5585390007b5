/* write/result_writer.h - a set of views becomes one result folder.
 *
 *   FOLDER/result.gpkg     all views; layers first, then tables
 *   FOLDER/tables/NAME.csv every view without its geometry; NAME.csvt: its types;
 *                          none of a layer with more than 200 000 rows
 *   FOLDER/tables.xlsx     one sheet a view
 *   FOLDER/run.json        manifest
 *
 * Everything is written into a sibling folder with a temporary name, closed,
 * checked and fsynced; then it changes places with the old result, which is
 * deleted (files in it that are not ours move to the new one). A run that is
 * killed leaves the previous result whole. Same views, same bytes: no clock, no machine name, no
 * path.
 */
#ifndef HN_WRITE_RESULT_WRITER_H
#define HN_WRITE_RESULT_WRITER_H

#include "base/status.h"
#include "table/view.h"

#include <stdint.h>

typedef struct hn_result_spec {
    const char *folder; /* result folder; made if missing */
    const hn_view *const *views;
    size_t view_count;
    const char *crs_wkt; /* of the layers */
    int crs_epsg;        /* 0: unknown */
    const char *title;   /* of the plan: dataset title in the metadata */
    const char *lineage; /* text for the ISO metadata: inputs with hashes */
    int32_t as_of;       /* stands for every date that a format wants */
    int threads;         /* for all files together; the bytes do not depend on it */
    int write_csv, write_xlsx;
    size_t xlsx_row_limit;     /* rows of a sheet; a longer view is cut and says so */
    /* NULL, or per view NULL or what its sheet shows instead of its first rows. */
    const uint32_t *const *xlsx_rows;
    const char *manifest_json; /* run.json, complete text */
    void (*progress)(void *context, double share_0_1);
    void *progress_context;
    /* NULL, or writes further files (report.html) into the folder before it is
     * put in place; called once, by the caller's thread, after all tables. */
    hn_status (*write_more)(void *context, const char *folder, hn_error *err);
    void *more_context;
} hn_result_spec;

/* Rows up to which a view with geometry is written as CSV too. A larger one is
 * in the GeoPackage alone: as text it would be the largest file of the result,
 * and no spreadsheet opens it. Source: local rule. */
enum { HN_CSV_MOST_LAYER_ROWS = 200000 };

int hn_result_has_csv(const hn_result_spec *spec, const hn_view *view);

/* Errors: HN_ERR_OUTPUT with the path, what failed and a way out. The
 * previous result in `folder` is untouched unless HN_OK is returned. A folder
 * that exists and is not one of ours (no run.json) is refused. */
HN_MUST_CHECK hn_status hn_result_write(const hn_result_spec *spec, hn_error *err);

/* Checks early, before hours of work, that the folder can be written. */
HN_MUST_CHECK hn_status hn_result_check_folder(const char *folder, hn_error *err);

/* Stops the hn_result_write under way and removes its temporary folder; from
 * its progress call or anything else on the thread that called it. Does
 * nothing when none is under way. */
void hn_result_abandon(void);

#endif
