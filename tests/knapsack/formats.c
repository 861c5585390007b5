/* knapsack/formats.c - the four formats.
 *
 * Source: OR-Library (J. E. Beasley), pages mknapinfo and gapinfo; the multiple-choice set of
 * Khan, Li, Manning and Akbar (2002); plain 0-1 files "n capacity, then value weight".
 */
#include <math.h>
#include <stdio.h>
#include <string.h>

#include "base/alloc.h"
#include "instance.h"

enum { MOST = 4000000 };

static int say(cursor *c, const char *what)
{
    snprintf(c->what, sizeof c->what, "%s", what);
    return 0;
}

int take_number(cursor *c, const char *what, double *out)
{
    if (c->at >= c->numbers->count) {
        snprintf(c->what, sizeof c->what, "the file ends before %s", what);
        return 0;
    }
    *out = c->numbers->value[c->at++];
    return 1;
}

int take_count(cursor *c, const char *what, size_t most, size_t *out)
{
    double value;

    if (!take_number(c, what, &value))
        return 0;
    if (value < 1 || value > (double)most || value != floor(value)) {
        c->at--;
        snprintf(c->what, sizeof c->what, "%s must be a whole number from 1 to %zu, here %g", what,
                 most, value);
        return 0;
    }
    *out = (size_t)value;
    return 1;
}

static int at_end(cursor *c)
{
    return (c->at == c->numbers->count && !c->numbers->word_line) ||
           say(c, "more numbers than the file declares");
}

static instance *add_instance(instance_file *out, size_t most)
{
    if (!out->items)
        out->items = hn_alloc(most, sizeof *out->items);
    return out->items ? &out->items[out->count++] : NULL;
}

/* 0-1 items: one alternative each, which uses every row. */
static int plain_items(instance *it, size_t items, size_t rows)
{
    if (!instance_new(it, items, items, rows, items * rows))
        return 0;
    for (size_t i = 0; i <= items; i++) {
        it->first_alternative[i] = i;
        it->first_use[i] = i * rows;
    }
    return 1;
}

static int one_mknap(cursor *c, instance *it)
{
    size_t n, m;
    double known;

    if (!take_count(c, "the number of items", MOST, &n) ||
        !take_count(c, "the number of rows", HN_CHOICE_ROWS_MAX, &m) ||
        !take_number(c, "the known value", &known))
        return 0;
    if (n * (m + 1) + m > c->numbers->count - c->at)
        return say(c, "the file ends before the last number of this problem");
    if (!plain_items(it, n, m))
        return say(c, "out of memory");
    it->known = known != 0 ? known : NAN;
    for (size_t i = 0; i < n; i++)
        take_number(c, "a value", &it->value[i]);
    for (size_t r = 0; r < m; r++)
        for (size_t i = 0; i < n; i++) {
            it->uses[i * m + r].row = (uint32_t)r;
            take_number(c, "a use", &it->uses[i * m + r].amount);
        }
    for (size_t r = 0; r < m; r++)
        take_number(c, "a limit", &it->rows[r].limit);
    return 1;
}

static int one_gap(cursor *c, instance *it)
{
    size_t agents, jobs;

    if (!take_count(c, "the number of agents", HN_CHOICE_ROWS_MAX, &agents) ||
        !take_count(c, "the number of jobs", MOST, &jobs))
        return 0;
    if (agents * jobs * 2 + agents > c->numbers->count - c->at)
        return say(c, "the file ends before the last number of this problem");
    if (!instance_new(it, jobs, agents * jobs, agents, agents * jobs))
        return say(c, "out of memory");
    for (size_t j = 0; j <= jobs; j++)
        it->first_alternative[j] = j * agents;
    for (size_t a = 0; a <= agents * jobs; a++)
        it->first_use[a] = a;
    for (size_t k = 0; k < agents; k++)
        for (size_t j = 0; j < jobs; j++)
            take_number(c, "a value", &it->value[j * agents + k]);
    for (size_t k = 0; k < agents; k++)
        for (size_t j = 0; j < jobs; j++) {
            it->uses[j * agents + k].row = (uint32_t)k;
            take_number(c, "a use", &it->uses[j * agents + k].amount);
        }
    for (size_t k = 0; k < agents; k++)
        take_number(c, "a capacity", &it->rows[k].limit);
    memset(it->compulsory, 1, jobs);
    return 1;
}

static int many(cursor *c, instance_file *out, int (*one)(cursor *, instance *))
{
    size_t count;

    if (!take_count(c, "the number of problems", 10000, &count))
        return 0;
    for (size_t k = 0; k < count; k++) {
        instance *it = add_instance(out, count);

        if (!it || !one(c, it))
            return 0;
    }
    return at_end(c);
}

static int read_mknap(cursor *c, instance_file *out)
{
    return many(c, out, one_mknap);
}

static int read_gap(cursor *c, instance_file *out)
{
    return many(c, out, one_gap);
}

static int read_plain(cursor *c, instance_file *out)
{
    instance *it = add_instance(out, 1);
    double limit = NAN;
    size_t n;

    if (!it || !take_count(c, "the number of items", MOST, &n) ||
        !take_number(c, "the capacity", &limit))
        return 0;
    if (c->numbers->word_line ||
        (c->numbers->count != 2 + 2 * n && c->numbers->count != 2 + 3 * n)) {
        c->at = c->numbers->count;
        snprintf(c->what, sizeof c->what, "%zu items need %zu numbers, the file has %zu", n,
                 2 + 2 * n, c->numbers->count);
        return 0;
    }
    if (!plain_items(it, n, 1))
        return say(c, "out of memory");
    it->rows[0].limit = limit;
    for (size_t i = 0; i < n; i++) {
        take_number(c, "a value", &it->value[i]);
        take_number(c, "a weight", &it->uses[i].amount);
    }
    return 1;
}

static int one_group(cursor *c, instance *it, size_t g, size_t width, size_t rows)
{
    double number;

    if (!take_number(c, "the number of a group", &number))
        return 0;
    if (number != (double)(g + 1)) {
        c->at--;
        snprintf(c->what, sizeof c->what, "group %zu must begin with its number, here %g", g + 1,
                 number);
        return 0;
    }
    it->first_alternative[g + 1] = (g + 1) * width;
    for (size_t a = g * width; a < (g + 1) * width; a++) {
        if (!take_number(c, "a value", &it->value[a]))
            return 0;
        it->first_use[a + 1] = (a + 1) * rows;
        for (size_t r = 0; r < rows; r++) {
            it->uses[a * rows + r].row = (uint32_t)r;
            if (!take_number(c, "a use", &it->uses[a * rows + r].amount))
                return 0;
        }
    }
    return 1;
}

/* After the last group some files hold solutions of others: not read. */
static int read_groups(cursor *c, instance_file *out)
{
    instance *it = add_instance(out, 1);
    size_t groups, width, rows;

    if (!it || !take_count(c, "the number of groups", MOST, &groups) ||
        !take_count(c, "the alternatives of a group", HN_CHOICE_WIDTH_MAX, &width) ||
        !take_count(c, "the number of rows", HN_CHOICE_ROWS_MAX, &rows))
        return 0;
    if (groups * width * (rows + 1) > c->numbers->count) {
        c->at = c->numbers->count;
        return say(c, "the file ends before the last group");
    }
    if (!instance_new(it, groups, groups * width, rows, groups * width * rows))
        return say(c, "out of memory");
    for (size_t r = 0; r < rows; r++)
        if (!take_number(c, "a limit", &it->rows[r].limit))
            return 0;
    for (size_t g = 0; g < groups; g++)
        if (!one_group(c, it, g, width, rows))
            return 0;
    memset(it->compulsory, 1, groups);
    return 1;
}

const format FORMATS[4] = {{"0-1 knapsack with several rows", read_mknap},
                           {"generalised assignment", read_gap},
                           {"0-1 knapsack", read_plain},
                           {"multiple-choice knapsack with several rows", read_groups}};
