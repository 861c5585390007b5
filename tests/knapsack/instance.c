/* knapsack/instance.c - a file of numbers, the format that fits it, and the values known. */
#include "instance.h"

#include <errno.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/alloc.h"

int instance_new(instance *out, size_t items, size_t alternatives, size_t rows, size_t uses)
{
    out->first_alternative = hn_alloc(items + 1, sizeof *out->first_alternative);
    out->first_use = hn_alloc(alternatives + 1, sizeof *out->first_use);
    out->value = hn_alloc(alternatives, sizeof *out->value);
    out->uses = hn_alloc(uses, sizeof *out->uses);
    out->rows = hn_alloc(rows, sizeof *out->rows);
    out->compulsory = hn_alloc(items, 1);
    if (!out->first_alternative || !out->first_use || !out->value || !out->uses || !out->rows ||
        !out->compulsory)
        return 0;
    for (size_t r = 0; r < rows; r++)
        out->rows[r].carry_to = -1;
    out->known = NAN;
    out->list = (hn_choice_list){items,     out->first_alternative, out->value, out->first_use,
                                 out->uses, out->compulsory};
    out->problem = (hn_choice_problem){rows, out->rows, NULL, NULL};
    return 1;
}

void instance_clear(instance_file *file)
{
    for (size_t k = 0; k < file->count; k++) {
        hn_free(file->items[k].first_alternative);
        hn_free(file->items[k].first_use);
        hn_free(file->items[k].value);
        hn_free(file->items[k].uses);
        hn_free(file->items[k].rows);
        hn_free(file->items[k].compulsory);
    }
    hn_free(file->items);
    *file = (instance_file){0};
}

static hn_status read_text(const char *path, char **out, hn_error *err)
{
    FILE *in = fopen(path, "rb");
    size_t count = 0, capacity = 0;
    void *text = NULL;
    int c;

    if (!in)
        return hn_fail(err, HN_ERR_INPUT, "%s: cannot be opened: %s", path, strerror(errno));
    do {
        c = fgetc(in);
        if (!hn_grow(&text, count, &capacity, 1)) {
            fclose(in);
            hn_free(text);
            return hn_fail(err, HN_ERR_MEMORY, "out of memory");
        }
        ((char *)text)[count++] = c == EOF ? '\0' : c == '\0' ? '?' : (char)c;
    } while (c != EOF);
    c = ferror(in);
    fclose(in);
    if (c) {
        hn_free(text);
        return hn_fail(err, HN_ERR_INPUT, "%s: cannot be read", path);
    }
    *out = text;
    return HN_OK;
}

static int keep_number(number_list *list, double value, uint32_t line, uint32_t field)
{
    void *a = list->value, *b = list->line, *c = list->field;
    int room = hn_grow(&a, list->count, &list->capacity[0], sizeof *list->value) &&
               hn_grow(&b, list->count, &list->capacity[1], sizeof *list->line) &&
               hn_grow(&c, list->count, &list->capacity[2], sizeof *list->field);

    list->value = a;
    list->line = b;
    list->field = c;
    if (room) {
        list->value[list->count] = value;
        list->line[list->count] = line;
        list->field[list->count++] = field;
    }
    return room;
}

static hn_status read_numbers(const char *path, char *text, number_list *list, hn_error *err)
{
    static const char *space = " \t\r\n\f\v";
    uint32_t line = 1, field = 0;

    for (char *at = text; *at;) {
        size_t blank = strspn(at, space), length;
        char *end, saved;
        double value;

        for (size_t k = 0; k < blank; k++)
            if (at[k] == '\n') {
                line++;
                field = 0;
            }
        at += blank;
        length = strcspn(at, space);
        if (length == 0)
            break;
        field++;
        saved = at[length];
        at[length] = '\0';
        value = strtod(at, &end);
        if (*end || !isfinite(value)) { /* some files end in text: the formats judge */
            list->word_line = line;
            list->word_field = field;
            snprintf(list->word, sizeof list->word, "%.40s", at);
            break;
        }
        at[length] = saved;
        if (!keep_number(list, value, line, field))
            return hn_fail(err, HN_ERR_MEMORY, "out of memory");
        at += length;
    }
    if (list->count == 0 && list->word_line)
        return hn_fail(err, HN_ERR_INPUT, "%s, line %u, field %u: \"%s\" is no number", path,
                       list->word_line, list->word_field, list->word);
    if (list->count == 0)
        return hn_fail(err, HN_ERR_INPUT, "%s: no numbers in it", path);
    return HN_OK;
}

static void base_name(const char *path, char *out, size_t room)
{
    const char *name = strrchr(path, '/');

    snprintf(out, room, "%s", name ? name + 1 : path);
}

/* A solved value from a file NAME.opt beside a plain instance. */
static void known_beside(const char *path, instance *it)
{
    char name[4096];
    FILE *in;

    snprintf(name, sizeof name, "%s.opt", path);
    in = fopen(name, "r");
    if (!in)
        return;
    if (fscanf(in, "%lf", &it->known) != 1)
        it->known = NAN;
    fclose(in);
}

/* mkcbres.txt beside mknapcb1.txt .. 9: the first table has best known values by name, in
 * the order 5.100, 5.250, 5.500, 10.100 .. of the files. */
static void known_results(const char *path, instance_file *file)
{
    char name[4096], line[256], prefix[32];
    const char *slash = strrchr(path, '/');
    FILE *in;

    snprintf(name, sizeof name, "%.*smkcbres.txt", slash ? (int)(slash - path) + 1 : 0, path);
    if (file->count == 0 || !(in = fopen(name, "r")))
        return;
    snprintf(prefix, sizeof prefix, "%zu.%zu-", file->items[0].problem.row_count,
             file->items[0].list.items);
    while (fgets(line, sizeof line, in)) {
        size_t at;
        double value;

        if (strstr(line, "LP optimal"))
            break;
        if (strncmp(line, prefix, strlen(prefix)) == 0 &&
            sscanf(line + strlen(prefix), "%zu %lf", &at, &value) == 2 && at < file->count &&
            isnan(file->items[at].known)) {
            file->items[at].known = value;
            file->items[at].is_best_known = 1;
            snprintf(file->items[at].name, sizeof file->items[at].name, "%s%02zu", prefix, at);
        }
    }
    fclose(in);
}

static void name_all(const char *path, instance_file *file)
{
    char stem[40];

    base_name(path, stem, sizeof stem);
    if (strlen(stem) > 4 && strcmp(stem + strlen(stem) - 4, ".txt") == 0)
        stem[strlen(stem) - 4] = '\0';
    for (size_t k = 0; k < file->count; k++) {
        instance *it = &file->items[k];

        it->problem.list = &it->list;
        if (strcmp(file->format, "generalised assignment") == 0)
            snprintf(it->name, sizeof it->name, "%s:c%zu%02zu-%zu", stem, it->problem.row_count,
                     it->list.items, k + 1);
        else if (file->count > 1)
            snprintf(it->name, sizeof it->name, "%s-%zu", stem, k + 1);
        else
            snprintf(it->name, sizeof it->name, "%s", stem);
    }
}

static int is_results(const char *path)
{
    char name[256];
    size_t length;

    base_name(path, name, sizeof name);
    length = strlen(name);
    return strcmp(name, "mkcbres.txt") == 0 ||
           (length > 4 && strcmp(name + length - 4, ".opt") == 0);
}

/* The format that got furthest tells what is wrong. */
static hn_status choose_format(const char *path, const number_list *numbers, instance_file *out,
                               hn_error *err)
{
    cursor furthest = {0};
    const char *likely = FORMATS[0].name;

    for (size_t f = 0; f < sizeof FORMATS / sizeof FORMATS[0]; f++) {
        cursor c = {numbers, 0, path, ""};

        if (FORMATS[f].read(&c, out)) {
            out->format = FORMATS[f].name;
            return HN_OK;
        }
        instance_clear(out);
        if (f == 0 || c.at > furthest.at) {
            furthest = c;
            likely = FORMATS[f].name;
        }
    }
    if (numbers->word_line)
        return hn_fail(err, HN_ERR_INPUT, "%s, line %u, field %u: \"%s\" is no number", path,
                       numbers->word_line, numbers->word_field, numbers->word);
    const size_t at = furthest.at < numbers->count ? furthest.at : numbers->count - 1;

    hn_fail(err, HN_ERR_INPUT, "%s, line %u, field %u: %s (read as %s)", path, numbers->line[at],
            numbers->field[at], furthest.what, likely);
    hn_hint(err, "no known format accounts for all %zu numbers of the file", numbers->count);
    return HN_ERR_INPUT;
}

hn_status instance_read(const char *path, instance_file *out, hn_error *err)
{
    number_list numbers = {0};
    char *text = NULL;
    hn_status rc = HN_OK;

    *out = (instance_file){.format = "results"};
    if (is_results(path))
        return HN_OK;
    HN_TRY(read_text(path, &text, err));
    HN_TRY(read_numbers(path, text, &numbers, err));
    HN_TRY(choose_format(path, &numbers, out, err));
    name_all(path, out);
    known_results(path, out);
    if (out->count == 1)
        known_beside(path, &out->items[0]);
out:
    hn_free(text);
    hn_free(numbers.value);
    hn_free(numbers.line);
    hn_free(numbers.field);
    return rc;
}
