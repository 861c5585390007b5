/* write/result_folder.c - the files of a result, each by all threads, two
 * at a time, and their folder put in place. */
#include "write/result_writer.h"

#include "base/alloc.h"
#include "base/parallel.h"
#include "write/csv_file.h"
#include "write/folder_swap.h"
#include "write/folder_tree.h"
#include "write/gpkg_file.h"
#include "write/output_file.h"
#include "write/write_pace.h"
#include "write/xlsx_file.h"

#include <gdal.h>
#include <stdio.h>
#include <string.h>
#include <sys/statvfs.h>

enum { MOST_LANES = 2 };

/* One file to be written: the GeoPackage, one CSV per view, the workbook. */
typedef enum job_kind { JOB_GPKG, JOB_CSV, JOB_XLSX } job_kind;

typedef struct job {
    job_kind kind;
    const hn_view *view; /* of a CSV */
    char *path;
    hn_status rc;
    hn_error error;
} job;

typedef struct writing {
    const hn_result_spec *spec;
    hn_folder_swap swap;
    hn_pace pace;
    job *jobs;
    size_t job_count;
} writing;

/* The writing that hn_result_abandon has to clear away. */
static writing *current;

static void run_job(const writing *w, job *j, hn_pace *pace)
{
    switch (j->kind) {
    case JOB_GPKG:
        j->rc = hn_gpkg_write(j->path, w->spec, pace, &j->error);
        break;
    case JOB_CSV:
        j->rc = hn_csv_write(j->path, j->view, w->spec->threads, pace, &j->error);
        break;
    case JOB_XLSX:
        j->rc = hn_xlsx_write(j->path, w->spec, pace, &j->error);
        break;
    }
    if (j->rc != HN_OK)
        hn_pace_stop(pace);
}

static void run_jobs(void *context, size_t begin, size_t end, int worker)
{
    writing *w = context;

    (void)worker;
    for (size_t i = begin; i < end; i++)
        if (!atomic_load(&w->pace.stop))
            run_job(w, &w->jobs[i], &w->pace);
}

/* View names are ours, but a file name must hold whatever they become. */
static char *csv_path(const char *folder, const char *name)
{
    size_t size = strlen(name) + sizeof "tables/.csv";
    char *file = hn_alloc(size, 1), *path = NULL;

    if (!file)
        return NULL;
    snprintf(file, size, "tables/%s.csv", name);
    for (char *c = file + strlen("tables/"); *c; c++)
        if (*c == '/' || *c == '\\' || (unsigned char)*c < 0x20)
            *c = '_';
    path = hn_path_join(folder, file);
    hn_free(file);
    return path;
}

int hn_result_has_csv(const hn_result_spec *spec, const hn_view *view)
{
    return spec->write_csv &&
           (view->geometry == HN_GEOMETRY_NONE || view->rows <= HN_CSV_MOST_LAYER_ROWS);
}

static hn_status add_job(writing *w, job_kind kind, const hn_view *view, hn_error *err)
{
    job *j = &w->jobs[w->job_count];
    const char *folder = w->swap.partial;

    j->kind = kind;
    j->view = view;
    j->path = kind == JOB_CSV
                  ? csv_path(folder, view->name)
                  : hn_path_join(folder, kind == JOB_GPKG ? "result.gpkg" : "tables.xlsx");
    if (!j->path)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    w->job_count++;
    return HN_OK;
}

/* The longest first, then the only one that works with one thread. */
static hn_status list_jobs(writing *w, hn_error *err)
{
    const hn_result_spec *spec = w->spec;
    hn_status rc = HN_OK;

    w->jobs = hn_alloc(spec->view_count + 2, sizeof *w->jobs);
    HN_TRY_ALLOC(w->jobs);
    HN_TRY(add_job(w, JOB_GPKG, NULL, err));
    if (spec->write_xlsx)
        HN_TRY(add_job(w, JOB_XLSX, NULL, err));
    for (size_t v = 0; v < spec->view_count; v++)
        if (hn_result_has_csv(spec, spec->views[v]))
            HN_TRY(add_job(w, JOB_CSV, spec->views[v], err));
out:
    return rc;
}

/* Rows to be written over all files, for the progress. */
static size_t count_rows(const hn_result_spec *spec)
{
    size_t rows = 0;

    for (size_t v = 0; v < spec->view_count; v++) {
        rows += spec->views[v]->rows * (hn_result_has_csv(spec, spec->views[v]) ? 2 : 1);
        rows += spec->write_xlsx ? hn_xlsx_rows(spec, spec->views[v]) : 0;
    }
    return rows;
}

/* Rough size of the result: about 9 bytes a cell in each table format, 7 in
 * the zipped one, 160 for a line with its index entry. Source: local rule,
 * measured on tables of this program. */
static double bytes_needed(const hn_result_spec *spec)
{
    double bytes = 1 << 20;

    for (size_t v = 0; v < spec->view_count; v++) {
        const hn_view *view = spec->views[v];
        const double cells = (double)view->rows * (double)view->column_count;

        bytes += cells * (hn_result_has_csv(spec, view) ? 18 : 9);
        bytes += view->geometry == HN_GEOMETRY_NONE ? 0 : (double)view->rows * 160;
        if (spec->write_xlsx)
            bytes += (double)hn_xlsx_rows(spec, view) * (double)view->column_count * 7;
    }
    return bytes;
}

/* A full disk shows itself in many ways in the libraries below, so the reason
 * is looked up on the disk itself, before the partial folder is removed. */
static void explain_full_disk(const writing *w, hn_error *err)
{
    struct statvfs disk;
    const double needed = bytes_needed(w->spec);
    double room;

    if (!err || strcmp(err->message, HN_PACE_STOPPED) == 0 || statvfs(w->swap.partial, &disk) != 0)
        return;
    room = (double)disk.f_bavail * (double)disk.f_frsize;
    if (room > 4.0 * (1 << 20))
        return;
    hn_fail(err, HN_ERR_OUTPUT, "cannot write results into %s: the disk is full", w->swap.target);
    hn_hint(err,
            "the result needs about %.0f MB and %.1f MB are left; free some space or name an "
            "output folder on another disk",
            needed / 1e6, room / 1e6);
}

/* The job that failed by itself; the others were only stopped by it. */
static hn_status first_failure(const writing *w, hn_error *err)
{
    const job *found = NULL;

    for (size_t i = 0; i < w->job_count; i++) {
        const job *j = &w->jobs[i];

        if (j->rc != HN_OK && (!found || strcmp(found->error.message, HN_PACE_STOPPED) == 0))
            found = j;
    }
    if (!found)
        return atomic_load(&w->pace.stop) ? hn_fail(err, HN_ERR_OUTPUT, HN_PACE_STOPPED) : HN_OK;
    if (err)
        *err = found->error;
    return found->rc;
}

static hn_status sync_folders(const writing *w, hn_error *err)
{
    char *tables = hn_path_join(w->swap.partial, "tables");
    hn_status rc = HN_OK;

    HN_TRY_ALLOC(tables);
    if (hn_path_is_folder(tables))
        HN_TRY(hn_output_sync(tables, err));
    HN_TRY(hn_output_sync(w->swap.partial, err));
out:
    hn_free(tables);
    return rc;
}

/* run.json comes last: a folder that has it is whole. */
static hn_status write_manifest(const writing *w, hn_error *err)
{
    char *path = hn_path_join(w->swap.partial, "run.json");
    hn_status rc;

    if (!path)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    rc = hn_output_text(path, w->spec->manifest_json ? w->spec->manifest_json : "{}\n", err);
    hn_free(path);
    return rc;
}

static hn_status make_tables_folder(const writing *w, hn_error *err)
{
    char *path;
    int failure;

    if (!w->spec->write_csv)
        return HN_OK;
    path = hn_path_join(w->swap.partial, "tables");
    if (!path)
        return hn_fail(err, HN_ERR_MEMORY, "out of memory");
    failure = hn_folder_make_all(path);
    if (failure)
        hn_output_fail(err, path, failure);
    hn_free(path);
    return failure ? HN_ERR_OUTPUT : HN_OK;
}

/* GeoPackage and CSV use all threads by themselves. Two files at a time, so
 * that there is work while one of them waits for the disk. */
static int lanes(const hn_result_spec *spec)
{
    return spec->threads > MOST_LANES ? MOST_LANES : spec->threads;
}

static hn_status write_files(writing *w, hn_error *err)
{
    hn_status rc;

    HN_TRY(make_tables_folder(w, err));
    HN_TRY(list_jobs(w, err));
    hn_parallel_blocks(lanes(w->spec), w->job_count, 1, run_jobs, w);
    HN_TRY(first_failure(w, err));
    if (w->spec->write_more)
        HN_TRY(w->spec->write_more(w->spec->more_context, w->swap.partial, err));
    HN_TRY(write_manifest(w, err));
    HN_TRY(sync_folders(w, err));
out:
    return rc;
}

static void clear_writing(writing *w)
{
    current = NULL;
    hn_folder_swap_abandon(&w->swap);
    hn_folder_swap_clear(&w->swap);
    for (size_t i = 0; i < w->job_count; i++)
        hn_free(w->jobs[i].path);
    hn_free(w->jobs);
}

hn_status hn_result_write(const hn_result_spec *spec, hn_error *err)
{
    writing w = {.spec = spec};
    hn_status rc;

    if (!GDALGetDriverByName("GPKG"))
        GDALAllRegister();
    hn_pace_init(&w.pace, count_rows(spec), spec->progress, spec->progress_context);
    HN_TRY(hn_folder_swap_plan(&w.swap, spec->folder, "run.json", err));
    hn_folder_swap_sweep(&w.swap);
    current = &w;
    HN_TRY(hn_folder_swap_begin(&w.swap, err));
    rc = write_files(&w, err);
    if (rc != HN_OK)
        explain_full_disk(&w, err);
    else
        rc = hn_folder_swap_commit(&w.swap, err);
out:
    clear_writing(&w);
    return rc;
}

hn_status hn_result_check_folder(const char *folder, hn_error *err)
{
    hn_folder_swap swap;
    hn_status rc = hn_folder_swap_plan(&swap, folder, "run.json", err);

    if (rc == HN_OK) {
        hn_folder_swap_sweep(&swap);
        rc = hn_folder_swap_try(&swap, err);
    }
    hn_folder_swap_clear(&swap);
    return rc;
}

void hn_result_abandon(void)
{
    if (!current)
        return;
    hn_pace_stop(&current->pace);
    if (current->swap.is_made) /* and once more when the other thread has ended */
        hn_folder_remove(current->swap.partial);
}
