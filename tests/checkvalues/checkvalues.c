/* checkvalues/checkvalues.c - compares rows of published or independently
 * worked out values with what the engine's own functions give.
 *
 *   checkvalues [--quiet] [--complete] FILE...
 *
 * One line a row: pass, fail with the difference, known when the file itself
 * says that the print is off and by how much, or cannot with the reason; the
 * totals last. Exit 1 on any fail (--complete: also on any cannot, and when
 * there was nothing to check), 2 when a file cannot be read.
 */
#include "checkvalues.h"

#include <ctype.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

typedef struct totals {
    size_t rows, pass, known, fail, cannot;
} totals;

static const char *expected_text(const check_row *row)
{
    static const char *const names[] = {"published",      "published_value", "recomputed",
                                        "computed_value", "value",           "expected"};

    for (size_t i = 0; i < sizeof names / sizeof *names; i++)
        if (*check_cell(row, names[i]))
            return check_cell(row, names[i]);
    return "";
}

static const char *quantity_text(const check_row *row)
{
    return *check_cell(row, "quantity") ? check_cell(row, "quantity") : check_cell(row, "output");
}

/* One unit in the last printed digit of a number: 0.350 -> 0.001, 12 -> 1. */
static double last_digit(const char *text)
{
    const char *point = strchr(text, '.');
    const char *exponent = strpbrk(text, "eE");
    int places = 0;

    for (; point && isdigit((unsigned char)point[places + 1]); places++)
        ;
    return pow(10.0, (exponent ? atoi(exponent + 1) : 0) - places);
}

static int verified(const check_row *row)
{
    return !check_has_column(row, "verified") || strcmp(check_cell(row, "verified"), "yes") == 0;
}

/* The tolerance of the row, but never less than the printed digits can show, unless
 * the file itself doubts the row; without one, a unit in the last digit that the
 * value is known to carry. */
static double tolerance(const check_family *family, const check_row *row, int row_digits,
                        double expected)
{
    const int digits = row_digits ? row_digits : family->digits;
    const char *given = check_cell(row, "tol");
    const double half_digit = 0.5000001 * last_digit(row->expected);

    if (!*given)
        given = check_cell(row, "tolerance");
    if (*given)
        return verified(row) ? fmax(strtod(given, NULL), half_digit) : strtod(given, NULL);
    if (digits > 0 && expected != 0.0)
        return pow(10.0, floor(log10(fabs(expected))) + 1.0 - digits);
    return half_digit;
}

static const check_family *family_of(const check_row *row)
{
    for (size_t i = 0; check_families[i]; i++)
        if (check_families[i]->claims(row))
            return check_families[i];
    return NULL;
}

/* A printed value that its file already doubts is held against the file's own
 * recalculation: agreeing with that is a known difference from the print. */
static const char *judge_unverified(const check_row *row, const check_result *result, char *detail,
                                    size_t size)
{
    const char *recomputed = check_cell(row, "recomputed");
    const char *why = check_cell(row, "why_not_or_note");

    if (!*recomputed)
        recomputed = check_cell(row, "computed_value");
    if (!*why)
        why = check_cell(row, "note");
    if (!*recomputed) {
        snprintf(detail, size, "row not verified by its file; engine %.9g, printed %s",
                 result->number, row->expected);
        return "cannot";
    }
    const double value = strtod(recomputed, NULL);
    snprintf(detail, size, "engine %.9g, recomputed %s, printed %s: %s", result->number, recomputed,
             row->expected, why);
    return fabs(result->number - value) <= 1e-5 * fabs(value) ? "known" : "fail";
}

static const char *judge(const check_row *row, const check_family *family,
                         const check_result *result, char *detail, size_t size)
{
    char *end;
    const double expected = strtod(row->expected, &end);

    if (end == row->expected || *end) {
        snprintf(detail, size, "%s, expected %s", result->text, row->expected);
        return strcmp(result->text, row->expected) == 0 ? "pass" : "fail";
    }
    const double difference = result->number - expected;
    const double allowed = tolerance(family, row, result->digits, expected);
    snprintf(detail, size, "%.9g, expected %s, difference %.3g, tolerance %.3g", result->number,
             row->expected, difference, allowed);
    if (fabs(difference) <= allowed)
        return "pass";
    if (!verified(row))
        return judge_unverified(row, result, detail, size);
    return "fail";
}

static void check_one(const char *path, const check_row *row, int quiet, totals *sum)
{
    const check_family *family = family_of(row);
    check_result result = {.number = NAN};
    char detail[512];
    const char *verdict = "cannot";

    if (!*row->expected)
        snprintf(detail, sizeof detail, "the row has no expected value");
    else if (!family)
        snprintf(detail, sizeof detail, "no family knows this row");
    else if (family->compute(row, &result) == CHECK_CANNOT)
        snprintf(detail, sizeof detail, "%s", result.why);
    else
        verdict = judge(row, family, &result, detail, sizeof detail);
    sum->rows++;
    sum->pass += *verdict == 'p';
    sum->known += *verdict == 'k';
    sum->fail += *verdict == 'f';
    sum->cannot += *verdict == 'c';
    if (!quiet || *verdict != 'p')
        printf("%-6s %s:%d %s, %s (%s): %s\n", verdict, path, row->table->line[row->index],
               check_case(row), row->quantity, check_inputs(row), detail);
}

/* Next part of a text cut at '|'; the text itself when it has one part. */
static const char *next_part(const char *text, char *part, size_t size)
{
    const size_t length = strcspn(text, "|");

    snprintf(part, size, "%.*s", (int)length, text);
    return text[length] ? text + length + 1 : NULL;
}

static void check_row_parts(const char *path, check_row *row, int quiet, totals *sum)
{
    const char *quantity = quantity_text(row), *expected = expected_text(row);

    if (!strchr(expected, '|')) { /* a bar in the name alone is no list */
        snprintf(row->quantity, sizeof row->quantity, "%s", quantity);
        snprintf(row->expected, sizeof row->expected, "%s", expected);
        check_one(path, row, quiet, sum);
        return;
    }
    while (quantity && expected) {
        quantity = next_part(quantity, row->quantity, sizeof row->quantity);
        expected = next_part(expected, row->expected, sizeof row->expected);
        check_one(path, row, quiet, sum);
    }
}

static int check_file(const char *path, int quiet, totals *sum)
{
    check_table table;

    if (!check_table_read(path, &table)) {
        fprintf(stderr, "checkvalues: cannot read %s\n", path);
        return 0;
    }
    for (size_t i = 1; i < table.rows; i++) {
        check_row row = {.table = &table, .index = i};
        check_row_parts(path, &row, quiet, sum);
    }
    check_table_free(&table);
    return 1;
}

int main(int argc, char **argv)
{
    totals sum = {0};
    int quiet = 0, complete = 0, readable = 1, files = 0;

    for (int i = 1; i < argc; i++) {
        if (strcmp(argv[i], "--quiet") == 0)
            quiet = 1;
        else if (strcmp(argv[i], "--complete") == 0)
            complete = 1;
        else if (++files)
            readable &= check_file(argv[i], quiet, &sum);
    }
    if (!files)
        fprintf(stderr, "usage: checkvalues [--quiet] [--complete] FILE...\n");
    printf("total %zu rows: %zu pass, %zu known to differ, %zu fail, %zu cannot\n", sum.rows,
           sum.pass, sum.known, sum.fail, sum.cannot);
    if (!files || !readable)
        return 2;
    return sum.fail || (complete && (sum.cannot || !sum.rows)) ? 1 : 0;
}
