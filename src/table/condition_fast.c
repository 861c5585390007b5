/* Parsing and the truth half of the column loop; condition_fast_number.c has
 * the arithmetic. */
#include "table/condition_fast.h"

#include "table/codes.h"
#include "table/condition_node.h"
#include "table/condition_sql.h"

#include <string.h>

/* ---- truth of a node over one block ---- */

static void compare_block(const hn_node *node, const hn_table *table, size_t begin, size_t rows,
                          uint8_t *out)
{
    double a[HN_FAST_BLOCK], b[HN_FAST_BLOCK];

    hn_node_number(node->left, table, begin, rows, a);
    hn_node_number(node->right, table, begin, rows, b);
#define HN_COMPARE(op)                                                             \
    for (size_t i = 0; i < rows; i++)                                              \
        out[i] = (uint8_t)(isnan(a[i]) || isnan(b[i]) ? HN_UNKNOWN : (a[i] op b[i]))
    switch (node->kind) {
    case HN_NODE_LT:
        HN_COMPARE(<);
        break;
    case HN_NODE_LE:
        HN_COMPARE(<=);
        break;
    case HN_NODE_GT:
        HN_COMPARE(>);
        break;
    case HN_NODE_GE:
        HN_COMPARE(>=);
        break;
    case HN_NODE_EQ:
        HN_COMPARE(==);
        break;
    default:
        HN_COMPARE(!=);
        break;
    }
#undef HN_COMPARE
}

enum { LISTED_MAX = 32 };

/* The column's own number for a text. A text that the column has never held
 * gets UINT32_MAX, which no row has. */
static uint32_t number_of_text(const hn_table *table, hn_column_id column, const char *text)
{
    const char *const *codes = hn_column_codes(column);
    uint32_t id;

    if (codes) {
        int code = hn_code_of(codes, text);

        return code < 0 ? UINT32_MAX : (uint32_t)code;
    }
    id = hn_text_pool_find(table->texts, text, strlen(text));
    return id == 0 ? UINT32_MAX : id;
}

/* A missing text that COALESCE turns into one of the listed texts. */
static uint8_t truth_of_missing(const hn_node *node)
{
    if (!node->missing_text)
        return HN_UNKNOWN;
    for (const hn_node *t = node->right; t; t = t->next)
        if (strcmp(t->text, node->missing_text) == 0)
            return HN_TRUE;
    return HN_FALSE;
}

static void text_in_block(const hn_node *node, const hn_table *table, size_t begin, size_t rows,
                          uint8_t *out)
{
    uint32_t ids[LISTED_MAX];
    int is_code = hn_column_codes(node->column) != NULL;
    uint32_t missing = is_code ? HN_CODE_MISSING : 0;
    uint32_t nulled = node->null_text ? number_of_text(table, node->column, node->null_text)
                                      : UINT32_MAX;
    uint8_t when_missing = truth_of_missing(node);
    size_t n = 0;

    for (const hn_node *t = node->right; t && n < LISTED_MAX; t = t->next)
        ids[n++] = number_of_text(table, node->column, t->text);
    for (size_t i = 0; i < rows; i++) {
        uint32_t value = is_code ? hn_code(table, node->column, begin + i)
                                 : hn_str(table, node->column, begin + i);
        uint8_t found = HN_FALSE;

        for (size_t k = 0; k < n; k++)
            if (value == ids[k])
                found = HN_TRUE;
        if (value == nulled)
            found = HN_UNKNOWN;
        out[i] = value == missing ? when_missing : found;
    }
}

static void is_null_block(const hn_node *node, const hn_table *table, size_t begin, size_t rows,
                          uint8_t *out)
{
    double a[HN_FAST_BLOCK];

    if (node->column < HN_COL_COUNT && hn_column_definition(node->column)->kind == HN_KIND_DATE) {
        for (size_t i = 0; i < rows; i++)
            out[i] = hn_i32(table, node->column, begin + i) == HN_I32_MISSING;
        return;
    }
    if (node->column < HN_COL_COUNT && !hn_node_is_numeric(node->column)) {
        int is_code = hn_column_codes(node->column) != NULL;

        for (size_t i = 0; i < rows; i++)
            out[i] = is_code ? hn_code(table, node->column, begin + i) == HN_CODE_MISSING
                             : hn_str(table, node->column, begin + i) == 0;
        return;
    }
    hn_node_number(node->left, table, begin, rows, a);
    for (size_t i = 0; i < rows; i++)
        out[i] = (uint8_t)(isnan(a[i]) != 0);
}

static void join_block(const hn_node *node, const hn_table *table, size_t begin, size_t rows,
                       uint8_t *out)
{
    uint8_t b[HN_FAST_BLOCK];
    uint8_t decides = node->kind == HN_NODE_AND ? HN_FALSE : HN_TRUE;

    hn_node_truth(node->left, table, begin, rows, out);
    hn_node_truth(node->right, table, begin, rows, b);
    for (size_t i = 0; i < rows; i++) {
        if (out[i] == decides || b[i] == decides)
            out[i] = decides;
        else if (out[i] == HN_UNKNOWN || b[i] == HN_UNKNOWN)
            out[i] = HN_UNKNOWN;
        else
            out[i] = (uint8_t)!decides;
    }
}

void hn_node_truth(const hn_node *node, const hn_table *table, size_t begin, size_t rows,
                   uint8_t *out)
{
    double a[HN_FAST_BLOCK];

    switch (node->kind) {
    case HN_NODE_AND:
    case HN_NODE_OR:
        join_block(node, table, begin, rows, out);
        break;
    case HN_NODE_NOT:
        hn_node_truth(node->left, table, begin, rows, out);
        for (size_t i = 0; i < rows; i++)
            out[i] = out[i] == HN_UNKNOWN ? (uint8_t)HN_UNKNOWN : (uint8_t)!out[i];
        break;
    case HN_NODE_TEXT_IN:
        text_in_block(node, table, begin, rows, out);
        break;
    case HN_NODE_IS_NULL:
        is_null_block(node, table, begin, rows, out);
        break;
    default:
        if (hn_node_is_comparison(node)) {
            compare_block(node, table, begin, rows, out);
            break;
        }
        hn_node_number(node, table, begin, rows, a);
        for (size_t i = 0; i < rows; i++)
            out[i] = isnan(a[i]) ? (uint8_t)HN_UNKNOWN : (uint8_t)(a[i] != 0.0);
    }
}

void hn_fast_truth(const hn_fast *fast, const hn_table *table, size_t begin, size_t rows,
                   uint8_t *out)
{
    hn_node_truth((const hn_node *)fast, table, begin, rows, out);
}

void hn_fast_number(const hn_fast *fast, const hn_table *table, size_t begin, size_t rows,
                    double *out)
{
    hn_node_number((const hn_node *)fast, table, begin, rows, out);
}
