/* checkvalues/check_table.c - a small reader of comma-separated text. The file
 * is read whole and cut apart in place, so cells are plain C texts. */
#include "checkvalues.h"

#include "base/alloc.h"

#include <stdio.h>
#include <string.h>

static char *read_all(const char *path, size_t *length)
{
    FILE *file = fopen(path, "rb");
    char *text = NULL;
    long end = -1;

    if (file && fseek(file, 0, SEEK_END) == 0)
        end = ftell(file);
    if (end >= 0 && fseek(file, 0, SEEK_SET) == 0)
        text = hn_alloc((size_t)end + 2, 1);
    if (text)
        *length = fread(text, 1, (size_t)end, file);
    if (file)
        fclose(file);
    return text;
}

/* Cuts one cell out at *in; moves it to *out so that doubled quotes shrink.
 * Returns the character that ended the cell. */
static char cut_cell(char **in, char **out, int *line)
{
    const char *from = *in;
    char *to = *out;
    int quoted = 0;
    char end;

    for (; *from && (quoted || (*from != ',' && *from != '\n')); from++) {
        *line += *from == '\n';
        if (*from != '"')
            *to++ = *from;
        else if (quoted && from[1] == '"')
            *to++ = *from++;
        else
            quoted = !quoted;
    }
    end = *from;
    if (end != ',' && to > *out && to[-1] == '\r')
        to--;
    *in += from - *in + (end != '\0');
    *to++ = '\0';
    *out = to;
    return end;
}

typedef struct cell_list {
    char **cell;
    size_t count, capacity;
} cell_list;

static int add_cell(cell_list *list, char *text)
{
    if (!hn_grow((void **)&list->cell, list->count, &list->capacity, sizeof(char *)))
        return 0;
    list->cell[list->count++] = text;
    return 1;
}

/* One row; short rows are filled up with "" and long ones are cut. */
static int cut_row(check_table *table, cell_list *list, char **in, char **out, int *line)
{
    static char empty[] = "";
    size_t columns = 0;
    char end;

    do {
        char *cell = *out;
        end = cut_cell(in, out, line);
        if ((!table->columns || columns < table->columns) && !add_cell(list, cell))
            return 0;
        columns++;
    } while (end == ',');
    *line += end == '\n';
    for (; columns < table->columns; columns++)
        if (!add_cell(list, empty))
            return 0;
    if (!table->columns)
        table->columns = columns;
    return 1;
}

static int add_line(check_table *table, size_t *capacity, int line)
{
    if (!hn_grow((void **)&table->line, table->rows, capacity, sizeof(int)))
        return 0;
    table->line[table->rows++] = line;
    return 1;
}

int check_table_read(const char *path, check_table *table)
{
    size_t length = 0, line_capacity = 0;
    cell_list list = {NULL, 0, 0};
    char *in, *out;
    int line = 1, ok = 1;

    memset(table, 0, sizeof *table);
    table->text = read_all(path, &length);
    if (!table->text)
        return 0;
    in = out = table->text;
    if (memcmp(in, "\xef\xbb\xbf", length < 3 ? length : 3) == 0 && length >= 3)
        in += 3;
    while (ok && *in) {
        if (*in == '\n' || *in == '\r') {
            line += *in++ == '\n';
            continue;
        }
        ok = add_line(table, &line_capacity, line) && cut_row(table, &list, &in, &out, &line);
    }
    table->cell = list.cell;
    if (!ok || !table->rows) {
        check_table_free(table);
        return 0;
    }
    return 1;
}

void check_table_free(check_table *table)
{
    hn_free(table->text);
    hn_free(table->cell);
    hn_free(table->line);
    memset(table, 0, sizeof *table);
}
