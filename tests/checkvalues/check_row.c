/* checkvalues/check_row.c - reading a row: columns by name, inputs by name. */
#include "checkvalues.h"

#include <ctype.h>
#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static const char *find_cell(const check_row *row, const char *column)
{
    const check_table *t = row->table;

    for (size_t i = 0; i < t->columns; i++)
        if (strcmp(t->cell[i], column) == 0)
            return t->cell[row->index * t->columns + i];
    return NULL;
}

const char *check_cell(const check_row *row, const char *column)
{
    const char *cell = find_cell(row, column);

    return cell ? cell : "";
}

int check_has_column(const check_row *row, const char *column)
{
    return find_cell(row, column) != NULL;
}

static const char *first_cell(const check_row *row, const char *const names[])
{
    for (size_t i = 0; names[i]; i++) {
        const char *cell = find_cell(row, names[i]);
        if (cell && *cell)
            return cell;
    }
    return "";
}

const char *check_case(const check_row *row)
{
    static const char *const names[] = {"case", "topic", "shape", NULL};

    return first_cell(row, names);
}

const char *check_inputs(const check_row *row)
{
    static const char *const names[] = {"inputs", "input", NULL};

    return first_cell(row, names);
}

const char *check_unit(const check_row *row)
{
    return check_cell(row, "unit");
}

/* Text behind "name" and "=", or NULL. Names are compared without spaces
 * around them. */
static const char *value_of(const char *inputs, const char *name)
{
    const size_t length = strlen(name);

    for (const char *p = inputs; p; p = strchr(p, ';'), p = p ? p + 1 : NULL) {
        while (isspace((unsigned char)*p))
            p++;
        if (strncmp(p, name, length) != 0)
            continue;
        const char *after = p + length;
        while (*after == ' ')
            after++;
        if (*after == '=')
            return after + 1;
    }
    return NULL;
}

double check_input(const check_row *row, const char *name, char unit[32])
{
    const char *text = value_of(check_inputs(row), name);
    char *end;
    size_t length;

    if (unit)
        unit[0] = '\0';
    if (!text)
        return NAN;
    const double number = strtod(text, &end);
    if (end == text)
        return NAN;
    while (*end == ' ')
        end++;
    length = strcspn(end, ";");
    while (length && end[length - 1] == ' ')
        length--;
    if (unit)
        snprintf(unit, 32, "%.*s", (int)(length < 31 ? length : 31), end);
    return number;
}

double check_unit_factor(const char *unit)
{
    static const double inch = 0.0254, foot = 0.3048, pound = 4.4482216152605;
    const struct {
        const char *unit;
        double factor;
    } known[] = {
        {"", 1.0},
        {"-", 1.0},
        {"%", 0.01},
        {"m", 1.0},
        {"mm", 1e-3},
        {"cm", 1e-2},
        {"in", inch},
        {"ft", foot},
        {"m2", 1.0},
        {"mm2", 1e-6},
        {"in2", inch * inch},
        {"ft2", foot * foot},
        {"m3", 1.0},
        {"l", 1e-3},
        {"ft3", foot * foot * foot},
        {"m/s", 1.0},
        {"ft/s", foot},
        {"m2/s", 1.0},
        {"m/m", 1.0},
        {"m3/s", 1.0},
        {"l/s", 1e-3},
        {"ft3/s", foot * foot * foot},
        {"Pa", 1.0},
        {"kPa", 1e3},
        {"MPa", 1e6},
        {"GPa", 1e9},
        {"kN/m2", 1e3},
        {"psi", pound / (inch * inch)},
        {"lb/ft2", pound / (foot * foot)},
        {"N", 1.0},
        {"kN", 1e3},
        {"lb", pound},
        {"N/m", 1.0},
        {"kN/m", 1e3},
        {"lb/ft", pound / foot},
        {"kNm/m", 1e3},
        {"kN/m3", 1e3},
        {"lb/ft3", pound / (foot * foot * foot)},
        {"1/ft", 1.0 / foot},
    };

    for (size_t i = 0; i < sizeof known / sizeof *known; i++)
        if (strcmp(known[i].unit, unit) == 0)
            return known[i].factor;
    return NAN;
}

double check_input_si(const check_row *row, const char *name, const char *bare)
{
    char unit[32];
    const double number = check_input(row, name, unit);

    return number * check_unit_factor(*unit ? unit : bare);
}

check_state check_number(check_result *result, double number)
{
    result->number = number;
    return CHECK_DONE;
}

check_state check_word(check_result *result, const char *word)
{
    snprintf(result->text, sizeof result->text, "%s", word);
    return CHECK_DONE;
}

check_state check_cannot(check_result *result, const char *format, ...)
{
    va_list args;

    va_start(args, format);
    vsnprintf(result->why, sizeof result->why, format, args);
    va_end(args);
    return CHECK_CANNOT;
}
