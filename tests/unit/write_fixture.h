/* unit/write_fixture.h - a view from a table of texts, for the writers' tests.
 * A cell is written as text: "" is unknown. A shape is "x y z, x y z; x y z":
 * parts by semicolon, points by comma, z left out or not; "P" in front makes
 * points. */
#ifndef HN_UNIT_WRITE_FIXTURE_H
#define HN_UNIT_WRITE_FIXTURE_H

#include "table/view.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { FIXTURE_POINTS = 16, FIXTURE_PARTS = 8 };

typedef struct fixture {
    const hn_view_column *columns;
    size_t column_count;
    const char *const *cells;  /* row by row */
    const char *const *shapes; /* one a row, or NULL */
} fixture;

static inline void fixture_row(const void *context, size_t row, hn_cell *cells, hn_scratch *scratch)
{
    const fixture *f = context;

    (void)scratch;
    for (size_t c = 0; c < f->column_count; c++) {
        const char *text = f->cells[row * f->column_count + c];

        hn_cell_text(&cells[c], text);
        if (cells[c].is_null)
            continue;
        cells[c].r = strtod(text, NULL);
        cells[c].i = strtoll(text, NULL, 10);
    }
}

/* One thread at a time: the coordinates are in static room. */
static inline void fixture_shape(const void *context, size_t row, hn_shape_ref *out,
                                 hn_scratch *scratch)
{
    static double xy[FIXTURE_PARTS][2 * FIXTURE_POINTS], z[FIXTURE_PARTS][FIXTURE_POINTS];
    const fixture *f = context;
    const char *at = f->shapes[row];

    *out = (hn_shape_ref){.xy = scratch->xy, .z = scratch->z, .points = scratch->points};
    if (*at == 'P') {
        out->is_point = 1;
        at++;
    }
    while (*at) {
        const size_t p = out->part_count++;
        size_t points = 0;
        int has_z = 0;
        char *end;

        for (;;) {
            xy[p][2 * points] = strtod(at, &end);
            xy[p][2 * points + 1] = strtod(end, &end);
            at = end;
            z[p][points] = strtod(at, &end);
            has_z = end != at;
            points++;
            at = end;
            if (*at != ',')
                break;
            at++;
        }
        scratch->xy[p] = xy[p];
        scratch->z[p] = has_z ? z[p] : NULL;
        scratch->points[p] = points;
        if (*at == ';')
            at++;
    }
}

static inline hn_view fixture_view(const fixture *f, const char *name, hn_view_geometry geometry,
                                   size_t rows)
{
    return (hn_view){.name = name,
                     .title = "A title",
                     .meaning = "What it is.",
                     .geometry = geometry,
                     .columns = f->columns,
                     .column_count = f->column_count,
                     .rows = rows,
                     .context = f,
                     .row = fixture_row,
                     .shape = fixture_shape};
}

/* A fresh folder for one test. */
static inline void fixture_folder(char out[64])
{
    const char *base = getenv("TMPDIR");

    snprintf(out, 64, "%.32s/haunch-test-XXXXXX", base ? base : "/tmp");
    if (!mkdtemp(out))
        abort();
}

static inline void fixture_remove(const char *folder)
{
    char command[128];

    snprintf(command, sizeof command, "rm -rf '%s'", folder);
    if (system(command) != 0)
        abort();
}

/* Whole file as text with a NUL; free it. NULL when it cannot be read. */
static inline char *fixture_read(const char *path, size_t *size)
{
    FILE *file = fopen(path, "rb");
    struct stat info;
    char *text;

    if (!file)
        return NULL;
    if (fstat(fileno(file), &info) != 0)
        abort();
    text = calloc((size_t)info.st_size + 1, 1);
    if (!text || fread(text, 1, (size_t)info.st_size, file) != (size_t)info.st_size)
        abort();
    fclose(file);
    if (size)
        *size = (size_t)info.st_size;
    return text;
}

static inline int fixture_same_bytes(const char *path_a, const char *path_b)
{
    size_t size_a = 0, size_b = 0;
    char *a = fixture_read(path_a, &size_a), *b = fixture_read(path_b, &size_b);
    int same = a && b && size_a == size_b && memcmp(a, b, size_a) == 0;

    free(a);
    free(b);
    return same;
}

#endif
