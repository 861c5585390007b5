/* The arithmetic half of the column loop; NaN stands for SQL's NULL. */
#include "table/condition_node.h"
#include "table/condition_sql.h"

int hn_node_is_numeric(hn_column_id column)
{
    hn_kind kind = hn_column_definition(column)->kind;

    return kind == HN_KIND_F64 || kind == HN_KIND_F32 || kind == HN_KIND_I32 ||
           kind == HN_KIND_BOOL;
}

int hn_node_is_comparison(const hn_node *node)
{
    return node->kind >= HN_NODE_LT && node->kind <= HN_NODE_NE;
}

static void column_block(const hn_node *node, const hn_table *table, size_t begin, size_t rows,
                         double *out)
{
    if (node->column == HN_COL_COUNT) {
        const float *values = table->extra[node->extra].f32;

        for (size_t i = 0; i < rows; i++)
            out[i] = (double)values[begin + i];
        return;
    }
    if (table->column[node->column] && hn_column_definition(node->column)->kind == HN_KIND_F64) {
        const double *values = table->column[node->column];

        for (size_t i = 0; i < rows; i++)
            out[i] = values[begin + i];
        return;
    }
    for (size_t i = 0; i < rows; i++)
        out[i] = hn_table_number(table, node->column, begin + i);
}

/* SQLite: min() and max() of several arguments are NULL when any is NULL. */
static double least(double a, double b)
{
    return isnan(a) || isnan(b) ? (double)NAN : a < b ? a : b;
}

static double greatest(double a, double b)
{
    return isnan(a) || isnan(b) ? (double)NAN : a > b ? a : b;
}

static void binary_block(const hn_node *node, const hn_table *table, size_t begin, size_t rows,
                         double *out)
{
    double b[HN_FAST_BLOCK];

    hn_node_number(node->left, table, begin, rows, out);
    hn_node_number(node->right, table, begin, rows, b);
#define HN_EACH(value)                    \
    for (size_t i = 0; i < rows; i++)     \
        out[i] = (value)
    switch (node->kind) {
    case HN_NODE_ADD:
        HN_EACH(out[i] + b[i]);
        break;
    case HN_NODE_SUBTRACT:
        HN_EACH(out[i] - b[i]);
        break;
    case HN_NODE_MULTIPLY:
        HN_EACH(out[i] * b[i]);
        break;
    case HN_NODE_DIVIDE:
        HN_EACH(b[i] == 0.0 ? (double)NAN : out[i] / b[i]);
        break;
    case HN_NODE_MIN:
        HN_EACH(least(out[i], b[i]));
        break;
    case HN_NODE_MAX:
        HN_EACH(greatest(out[i], b[i]));
        break;
    default:
        HN_EACH(isnan(out[i]) ? b[i] : out[i]);
        break;
    }
#undef HN_EACH
}

static void case_block(const hn_node *node, const hn_table *table, size_t begin, size_t rows,
                       double *out)
{
    uint8_t truth[HN_FAST_BLOCK];
    double value[HN_FAST_BLOCK];

    if (node->next)
        hn_node_number(node->next, table, begin, rows, out);
    else
        for (size_t i = 0; i < rows; i++)
            out[i] = (double)NAN;
    hn_node_truth(node->left, table, begin, rows, truth);
    hn_node_number(node->right, table, begin, rows, value);
    for (size_t i = 0; i < rows; i++)
        if (truth[i] == HN_TRUE)
            out[i] = value[i];
}

void hn_node_number(const hn_node *node, const hn_table *table, size_t begin, size_t rows,
                    double *out)
{
    uint8_t truth[HN_FAST_BLOCK];

    switch (node->kind) {
    case HN_NODE_NUMBER:
        for (size_t i = 0; i < rows; i++)
            out[i] = node->number;
        break;
    case HN_NODE_COLUMN:
        column_block(node, table, begin, rows, out);
        break;
    case HN_NODE_CASE:
        case_block(node, table, begin, rows, out);
        break;
    case HN_NODE_ABS:
        hn_node_number(node->left, table, begin, rows, out);
        for (size_t i = 0; i < rows; i++)
            out[i] = fabs(out[i]);
        break;
    default:
        if (!node->is_truth) {
            binary_block(node, table, begin, rows, out);
            break;
        }
        hn_node_truth(node, table, begin, rows, truth);
        for (size_t i = 0; i < rows; i++)
            out[i] = truth[i] == HN_UNKNOWN ? (double)NAN : (double)truth[i];
    }
}
