/* Recursive descent over the simple part of SQL expressions. Every doubt ends
 * in NULL: SQLite is asked then. Precedence as in SQLite: OR, AND, NOT,
 * comparison, + -, * /, unary minus. */
#include "table/condition_node.h"

#include <ctype.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

enum { DEPTH_MAX = 12, LIST_MAX = 32 };

typedef struct parser {
    const hn_table *table;
    hn_arena *arena;
    const char *at;
    int depth;
} parser;

static hn_node *parse_or(parser *p);
static hn_node *parse_text(parser *p);
static int is_text_column(const hn_node *node);

static void skip_space(parser *p)
{
    while (isspace((unsigned char)*p->at))
        p->at++;
}

static int is_word_byte(char c)
{
    return isalnum((unsigned char)c) || c == '_';
}

static int take_word(parser *p, const char *word)
{
    size_t n = strlen(word);

    skip_space(p);
    if (strncasecmp(p->at, word, n) != 0 || is_word_byte(p->at[n]))
        return 0;
    p->at += n;
    return 1;
}

static int take_sign(parser *p, const char *sign)
{
    size_t n = strlen(sign);

    skip_space(p);
    if (strncmp(p->at, sign, n) != 0)
        return 0;
    p->at += n;
    return 1;
}

static hn_node *new_node(parser *p, hn_node_kind kind, hn_node *left, hn_node *right)
{
    hn_node *node = hn_arena_alloc(p->arena, 1, sizeof *node);

    if (!node)
        return NULL;
    node->kind = kind;
    node->left = left;
    node->right = right;
    node->column = HN_COL_COUNT;
    node->is_truth = kind >= HN_NODE_LT;
    node->is_integer = node->is_truth;
    return node;
}

static hn_node *parse_number(parser *p)
{
    char *end;
    hn_node *node;
    const char *start = p->at;
    double value = strtod(start, &end);

    /* hexadecimal, inf and nan mean other things in SQL */
    for (const char *c = start; c < end; c++)
        if (!isdigit((unsigned char)*c) && !strchr(".eE+-", *c))
            return NULL;
    if (end == start || is_word_byte(*end) || !(value - value == 0.0))
        return NULL;
    node = new_node(p, HN_NODE_NUMBER, NULL, NULL);
    if (!node)
        return NULL;
    node->number = value;
    node->is_integer = strcspn(start, ".eE") >= (size_t)(end - start);
    p->at = end;
    return node;
}

/* Distance to a layer that this plan does not have: unknown, as SQLite is told
 * in condition_sql.c. */
static int is_distance(const char *name, size_t n)
{
    return n > 7 && strncmp(name, "near_", 5) == 0 && strcmp(name + n - 2, "_m") == 0;
}

/* A column name at the reading point; NULL and nothing taken when it is none. */
static hn_node *parse_column(parser *p)
{
    char name[64];
    size_t n = 0;
    hn_node *node;
    hn_column_id column;

    while (is_word_byte(p->at[n]) && n < sizeof name - 1)
        n++;
    memcpy(name, p->at, n);
    name[n] = '\0';
    column = hn_column_find(name);
    for (size_t i = 0; column == HN_COL_COUNT && i < p->table->extras; i++) {
        if (strcmp(p->table->extra[i].name, name) != 0)
            continue;
        node = new_node(p, HN_NODE_COLUMN, NULL, NULL);
        if (node)
            node->extra = i;
        p->at += n;
        return node;
    }
    if (column == HN_COL_COUNT && !is_distance(name, n))
        return NULL;
    node = new_node(p, column == HN_COL_COUNT ? HN_NODE_NUMBER : HN_NODE_COLUMN, NULL, NULL);
    if (!node)
        return NULL;
    if (column == HN_COL_COUNT) {
        node->number = (double)NAN;
        p->at += n;
        return node;
    }
    node->column = column;
    node->is_integer = hn_column_definition(column)->kind == HN_KIND_I32 ||
                       hn_column_definition(column)->kind == HN_KIND_BOOL;
    p->at += n;
    return node;
}

static int is_numeric(const hn_node *node)
{
    return node && (node->kind != HN_NODE_COLUMN || node->column == HN_COL_COUNT ||
                    hn_node_is_numeric(node->column));
}

static hn_node *parse_abs(parser *p)
{
    hn_node *inner;

    if (!take_sign(p, "("))
        return NULL;
    inner = parse_or(p);
    if (!is_numeric(inner) || !take_sign(p, ")"))
        return NULL;
    inner = new_node(p, HN_NODE_ABS, inner, NULL);
    if (inner)
        inner->is_integer = inner->left->is_integer;
    return inner;
}

/* coalesce(texts, 'x') and nullif(texts, 'x'), for comparisons with texts. */
static hn_node *parse_text_call(parser *p, int is_coalesce)
{
    const char *start = p->at;
    hn_node *column, *text;

    if (take_sign(p, "(")) {
        skip_space(p);
        column = parse_column(p);
        if (is_text_column(column) && take_sign(p, ",")) {
            text = parse_text(p);
            if (text && take_sign(p, ")")) {
                if (is_coalesce)
                    column->missing_text = text->text;
                else
                    column->null_text = text->text;
                return column;
            }
        }
    }
    p->at = start;
    return NULL;
}

static hn_node *parse_call(parser *p, hn_node_kind kind)
{
    hn_node *left, *right;

    if (!take_sign(p, "("))
        return NULL;
    left = parse_or(p);
    while (is_numeric(left) && take_sign(p, ",")) {
        right = parse_or(p);
        if (!is_numeric(right))
            return NULL;
        left = new_node(p, kind, left, right);
    }
    return is_numeric(left) && take_sign(p, ")") ? left : NULL;
}

static hn_node *parse_case(parser *p)
{
    hn_node *node;

    if (take_word(p, "else")) {
        node = parse_or(p);
        return is_numeric(node) && take_word(p, "end") ? node : NULL;
    }
    if (!take_word(p, "when"))
        return NULL; /* CASE x WHEN, or no ELSE: left to SQLite */
    node = new_node(p, HN_NODE_CASE, NULL, NULL);
    if (!node)
        return NULL;
    node->left = parse_or(p);
    if (!is_numeric(node->left) || !take_word(p, "then"))
        return NULL;
    node->right = parse_or(p);
    if (!is_numeric(node->right))
        return NULL;
    node->next = parse_case(p);
    return node->next ? node : NULL;
}

static hn_node *parse_primary(parser *p)
{
    hn_node *node;

    skip_space(p);
    if (take_sign(p, "(")) {
        node = parse_or(p);
        return node && take_sign(p, ")") ? node : NULL;
    }
    if (take_word(p, "case"))
        return parse_case(p);
    if (take_word(p, "coalesce")) {
        node = parse_text_call(p, 1);
        return node ? node : parse_call(p, HN_NODE_COALESCE);
    }
    if (take_word(p, "nullif"))
        return parse_text_call(p, 0);
    if (take_word(p, "abs"))
        return parse_abs(p);
    if (take_word(p, "min"))
        return parse_call(p, HN_NODE_MIN);
    if (take_word(p, "max"))
        return parse_call(p, HN_NODE_MAX);
    if (take_sign(p, "-")) {
        hn_node *zero = new_node(p, HN_NODE_NUMBER, NULL, NULL);

        node = parse_primary(p);
        if (!is_numeric(node) || !zero)
            return NULL;
        zero->is_integer = 1;
        return new_node(p, HN_NODE_SUBTRACT, zero, node);
    }
    if (isdigit((unsigned char)*p->at) || *p->at == '.')
        return parse_number(p);
    return isalpha((unsigned char)*p->at) ? parse_column(p) : NULL;
}

static hn_node *arithmetic(parser *p, hn_node_kind kind, hn_node *left, hn_node *right)
{
    hn_node *node;

    if (!is_numeric(left) || !is_numeric(right))
        return NULL;
    /* integer division cuts in SQL; columns of counts are integers */
    if (kind == HN_NODE_DIVIDE && left->is_integer && right->is_integer)
        return NULL;
    node = new_node(p, kind, left, right);
    if (node)
        node->is_integer = left->is_integer && right->is_integer;
    return node;
}

static hn_node *parse_product(parser *p)
{
    hn_node *node = parse_primary(p);

    while (node) {
        if (take_sign(p, "*"))
            node = arithmetic(p, HN_NODE_MULTIPLY, node, parse_primary(p));
        else if (take_sign(p, "/"))
            node = arithmetic(p, HN_NODE_DIVIDE, node, parse_primary(p));
        else
            break;
    }
    return node;
}

static hn_node *parse_sum(parser *p)
{
    hn_node *node = parse_product(p);

    while (node) {
        if (take_sign(p, "+"))
            node = arithmetic(p, HN_NODE_ADD, node, parse_product(p));
        else if (take_sign(p, "-"))
            node = arithmetic(p, HN_NODE_SUBTRACT, node, parse_product(p));
        else
            break;
    }
    return node;
}

static hn_node *parse_text(parser *p)
{
    hn_node *node;
    size_t n;

    if (!take_sign(p, "'"))
        return NULL;
    n = strcspn(p->at, "'");
    if (p->at[n] != '\'' || p->at[n + 1] == '\'')
        return NULL; /* doubled quotes: left to SQLite */
    node = new_node(p, HN_NODE_TEXT, NULL, NULL);
    if (node)
        node->text = hn_arena_text_n(p->arena, p->at, n);
    p->at += n + 1;
    return node && node->text && n > 0 ? node : NULL;
}

static hn_node *negated(parser *p, hn_node *node, int is_not)
{
    return node && is_not ? new_node(p, HN_NODE_NOT, node, NULL) : node;
}

static hn_node *text_in(parser *p, const hn_node *column, hn_node *texts)
{
    hn_node *node = texts ? new_node(p, HN_NODE_TEXT_IN, NULL, texts) : NULL;

    if (node) {
        node->column = column->column;
        node->null_text = column->null_text;
        node->missing_text = column->missing_text;
    }
    return node;
}

static hn_node *parse_in_list(parser *p, hn_node *left)
{
    hn_node *all = NULL;
    int count = 0;

    if (!take_sign(p, "("))
        return NULL;
    do {
        hn_node *item = is_numeric(left) ? parse_sum(p) : parse_text(p);

        if (!item || (is_numeric(left) && !is_numeric(item)) || ++count > LIST_MAX)
            return NULL;
        if (!is_numeric(left)) {
            item->next = all;
            all = item;
        } else {
            item = new_node(p, HN_NODE_EQ, left, item);
            all = all ? new_node(p, HN_NODE_OR, all, item) : item;
        }
    } while (all && take_sign(p, ","));
    if (!take_sign(p, ")"))
        return NULL;
    return is_numeric(left) ? all : text_in(p, left, all);
}

static hn_node *parse_between(parser *p, hn_node *left)
{
    hn_node *low = parse_sum(p), *high;

    if (!is_numeric(left) || !is_numeric(low) || !take_word(p, "and"))
        return NULL;
    high = parse_sum(p);
    if (!is_numeric(high))
        return NULL;
    low = new_node(p, HN_NODE_GE, left, low);
    high = new_node(p, HN_NODE_LE, left, high);
    return low && high ? new_node(p, HN_NODE_AND, low, high) : NULL;
}

static hn_node *parse_is_null(parser *p, hn_node *left)
{
    int is_not = take_word(p, "not");
    hn_node *node;

    if (!take_word(p, "null") || left->kind != HN_NODE_COLUMN)
        return NULL;
    if (left->null_text || left->missing_text)
        return NULL;
    node = new_node(p, HN_NODE_IS_NULL, left, NULL);
    if (node)
        node->column = left->column;
    return negated(p, node, is_not);
}

static int take_operator(parser *p, hn_node_kind *kind)
{
    static const struct {
        const char *sign;
        hn_node_kind kind;
    } signs[] = {{"<=", HN_NODE_LE}, {">=", HN_NODE_GE}, {"<>", HN_NODE_NE}, {"!=", HN_NODE_NE},
                 {"==", HN_NODE_EQ}, {"<", HN_NODE_LT},  {">", HN_NODE_GT},  {"=", HN_NODE_EQ}};

    for (size_t i = 0; i < sizeof signs / sizeof signs[0]; i++) {
        if (take_sign(p, signs[i].sign)) {
            *kind = signs[i].kind;
            return 1;
        }
    }
    return 0;
}

/* Only columns that hold texts: STR, and CODE with fixed names. */
static int is_text_column(const hn_node *node)
{
    return node && node->kind == HN_NODE_COLUMN && node->column != HN_COL_COUNT &&
           (hn_column_definition(node->column)->kind == HN_KIND_STR ||
            hn_column_codes(node->column) != NULL);
}

static hn_node *parse_comparison(parser *p)
{
    hn_node *left = parse_sum(p), *right;
    hn_node_kind kind;
    int is_not;

    if (!left)
        return NULL;
    if (take_word(p, "is"))
        return parse_is_null(p, left);
    if (!is_numeric(left) && !is_text_column(left))
        return NULL; /* dates are compared as texts by SQLite */
    is_not = take_word(p, "not");
    if (take_word(p, "in"))
        return negated(p, parse_in_list(p, left), is_not);
    if (take_word(p, "between"))
        return negated(p, parse_between(p, left), is_not);
    if (is_not)
        return NULL;
    if (!take_operator(p, &kind))
        return is_numeric(left) ? left : NULL;
    if (is_text_column(left)) {
        if (kind != HN_NODE_EQ && kind != HN_NODE_NE)
            return NULL;
        return negated(p, text_in(p, left, parse_text(p)), kind == HN_NODE_NE);
    }
    right = parse_sum(p);
    return is_numeric(right) ? new_node(p, kind, left, right) : NULL;
}

static hn_node *parse_not(parser *p)
{
    if (take_word(p, "not"))
        return negated(p, parse_not(p), 1);
    return parse_comparison(p);
}

static hn_node *parse_and(parser *p)
{
    hn_node *node = parse_not(p);

    while (is_numeric(node) && take_word(p, "and")) {
        hn_node *right = parse_not(p);

        if (!is_numeric(right))
            return NULL;
        node = new_node(p, HN_NODE_AND, node, right);
    }
    return node;
}

static hn_node *parse_or(parser *p)
{
    hn_node *node;

    if (++p->depth > DEPTH_MAX)
        return NULL;
    node = parse_and(p);
    while (is_numeric(node) && take_word(p, "or")) {
        hn_node *right = parse_and(p);

        if (!is_numeric(right))
            return NULL;
        node = new_node(p, HN_NODE_OR, node, right);
    }
    p->depth--;
    return node;
}

hn_fast *hn_fast_compile(const hn_table *table, const char *expression, hn_arena *arena)
{
    parser p = {table, arena, expression, 0};
    hn_node *node = parse_or(&p);

    skip_space(&p);
    return is_numeric(node) && *p.at == '\0' ? (hn_fast *)node : NULL;
}
