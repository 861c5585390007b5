/* checkvalues/loose_rows.c - reading loosely written inputs. */
#include "loose_rows.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

/* Would the character make another name of it: Hw is not w, D/(2H) is not D. */
static int is_name(char c)
{
    return isalnum((unsigned char)c) || c == '\'' || c == '/' || c == '_';
}

/* Text of the number behind `name`, which must stand as a word of its own. */
static const char *number_text(const char *inputs, const char *name)
{
    const size_t length = strlen(name);

    for (const char *p = strstr(inputs, name); p; p = strstr(p + 1, name)) {
        const char *after = p + length;
        if ((p > inputs && is_name(p[-1])) || is_name(*after) || *after == '(')
            continue;
        while (*after == ' ' || *after == '=')
            after++;
        if (isdigit((unsigned char)*after) || *after == '.' || *after == '-')
            return after;
    }
    return NULL;
}

/* "2 ft;" -> 2 and "ft"; units may hold digits (lb/ft3) but no spaces. */
static double number_and_unit(const char *text, char unit[32])
{
    char *end;
    const double number = text ? strtod(text, &end) : NAN;

    unit[0] = '\0';
    if (!text)
        return number;
    while (*end == ' ')
        end++;
    snprintf(unit, 32, "%.*s", (int)strcspn(end, " ;,:)"), end);
    return number;
}

double row_si(const check_row *row, const char *name, const char *bare)
{
    char unit[32];
    const double number = number_and_unit(number_text(check_inputs(row), name), unit);
    const double factor = check_unit_factor(unit);

    if (*unit && !isnan(factor))
        return number * factor;
    return number * check_unit_factor(bare);
}

double row_plain(const check_row *row, const char *name)
{
    char unit[32];

    return number_and_unit(number_text(check_inputs(row), name), unit);
}

double row_nth(const check_row *row, int n)
{
    const char *p = check_inputs(row);

    for (; n > 0 && p; n--) {
        p = strchr(p, '=');
        p = p ? p + 1 : NULL;
    }
    return p ? strtod(p, NULL) : NAN;
}

static int find_row(check_row *row, const char *id)
{
    for (size_t i = 1; i < row->table->rows; i++) {
        row->index = i;
        if (strcmp(check_cell(row, "id"), id) == 0)
            return 1;
    }
    return 0;
}

check_row row_base(const check_row *row)
{
    check_row base = *row;
    const char *inputs = check_inputs(row);
    char id[64];

    if (strncmp(inputs, "as above", 8) == 0) {
        while (base.index > 1 && strncmp(check_inputs(&base), "as above", 8) == 0)
            base.index--;
    } else if (sscanf(inputs, "as %63[^ ,;]", id) == 1) {
        if (!find_row(&base, id))
            base = *row;
    }
    return base;
}

int row_says(const check_row *row, const char *word)
{
    return strstr(check_inputs(row), word) || strstr(check_case(row), word) ||
           strstr(row->quantity, word);
}

int row_is(const check_row *row, const char *output)
{
    return strcmp(row->quantity, output) == 0;
}

check_state row_in_unit(const check_row *row, check_result *result, double si)
{
    const char *unit = check_unit(row);
    double factor = check_unit_factor(unit);

    if (strcmp(unit, "lb/ft/ft") == 0)
        factor = check_unit_factor("lb/ft2");
    else if (strcmp(unit, "1e6 mm4/m") == 0)
        factor = 1e-6;
    if (isnan(factor))
        return check_cannot(result, "unit %s is not known", unit);
    if (isnan(si))
        return check_cannot(result, "an input is not in the row");
    return check_number(result, si / factor);
}
