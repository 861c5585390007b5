/* plan/plan_value.c */
#include "plan/plan_value.h"

#include "base/dates.h"

#include <ctype.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

hn_status hn_plan_fail(const hn_plan_reader *r, const hn_yaml_node *at, const char *format, ...)
{
    char what[HN_ERROR_TEXT_MAX];
    va_list args;

    va_start(args, format);
    vsnprintf(what, sizeof what, format, args);
    va_end(args);
    if (!at)
        return hn_fail(r->err, HN_ERR_PLAN, "%s: %s", r->file, what);
    return hn_fail(r->err, HN_ERR_PLAN, "%s:%d:%d: %s", r->file, at->line, at->column, what);
}

hn_status hn_plan_no_memory(const hn_plan_reader *r)
{
    return hn_fail(r->err, HN_ERR_MEMORY, "out of memory");
}

const char *hn_plan_shown(const hn_yaml_node *node, char room[HN_PLAN_SHOWN_MAX])
{
    enum { LETTERS = HN_PLAN_SHOWN_MAX - 8 };

    if (node->kind != HN_YAML_SCALAR)
        return hn_yaml_kind_name(node);
    if (hn_yaml_is_empty(node))
        return "empty";
    snprintf(room, HN_PLAN_SHOWN_MAX, "`%.*s%s`", LETTERS, node->text,
             strlen(node->text) > LETTERS ? "..." : "");
    for (char *c = room; *c; c++)
        if (iscntrl((unsigned char)*c))
            *c = ' ';
    return room;
}

static int room_for_assumption(hn_plan_reader *r)
{
    hn_plan *plan = r->plan;
    hn_assumption *grown;
    size_t capacity = r->assumption_capacity ? 2 * r->assumption_capacity : 64;

    if (plan->assumption_count < r->assumption_capacity)
        return 1;
    grown = hn_arena_alloc(&plan->arena, capacity, sizeof *grown);
    if (!grown)
        return 0;
    if (plan->assumption_count)
        memcpy(grown, plan->assumptions, plan->assumption_count * sizeof *grown);
    plan->assumptions = grown;
    r->assumption_capacity = capacity;
    return 1;
}

hn_status hn_plan_assume(hn_plan_reader *r, const char *what, const char *value, const char *source)
{
    hn_arena *arena = &r->plan->arena;
    hn_assumption *a;

    if (!room_for_assumption(r))
        return hn_plan_no_memory(r);
    a = &r->plan->assumptions[r->plan->assumption_count];
    a->what = hn_arena_text(arena, what);
    a->value = hn_arena_text(arena, value);
    a->source = hn_arena_text(arena, source);
    if (!a->what || !a->value || !a->source)
        return hn_plan_no_memory(r);
    r->plan->assumption_count++;
    return HN_OK;
}

static const char *skip_digits(const char *c, int *seen)
{
    for (; isdigit((unsigned char)*c); c++)
        (*seen)++;
    return c;
}

static int is_plain_number(const char *text)
{
    int digits = 0, exponent = 0;
    const char *c = text + (*text == '-' || *text == '+');

    c = skip_digits(c, &digits);
    if (*c == '.')
        c = skip_digits(c + 1, &digits);
    if (digits == 0 || (*c != 'e' && *c != 'E'))
        return digits > 0 && *c == '\0';
    c++;
    c += *c == '-' || *c == '+';
    c = skip_digits(c, &exponent);
    return exponent > 0 && *c == '\0';
}

int hn_parse_number(const char *text, double *out)
{
    double value;

    if (!is_plain_number(text))
        return 0;
    value = strtod(text, NULL);
    if (!isfinite(value))
        return 0;
    *out = value;
    return 1;
}

int hn_parse_yes_no(const char *text, int *out)
{
    static const char *const words[] = {"no", "yes", "false", "true", "off", "on"};

    for (size_t i = 0; i < sizeof words / sizeof words[0]; i++)
        if (strcasecmp(text, words[i]) == 0) {
            *out = (int)(i % 2);
            return 1;
        }
    return 0;
}

int hn_parse_date(const char *text, int32_t *out)
{
    return strlen(text) == 10 && text[4] == '-' && text[7] == '-' && hn_date_parse(text, out);
}
