/* table/condition_node.h - expression tree shared by the condition_* files. */
#ifndef HN_TABLE_CONDITION_NODE_H
#define HN_TABLE_CONDITION_NODE_H

#include "table/condition_fast.h"

typedef enum hn_node_kind {
    HN_NODE_NUMBER,
    HN_NODE_COLUMN, /* numeric column: column, or extra when column is COUNT */
    HN_NODE_ADD,
    HN_NODE_SUBTRACT,
    HN_NODE_MULTIPLY,
    HN_NODE_DIVIDE,
    HN_NODE_MIN,
    HN_NODE_MAX,
    HN_NODE_COALESCE,
    HN_NODE_ABS,    /* of left */
    HN_NODE_CASE, /* left: condition, right: value, next: what follows */
    HN_NODE_TEXT, /* literal in a list */
    HN_NODE_LT,
    HN_NODE_LE,
    HN_NODE_GT,
    HN_NODE_GE,
    HN_NODE_EQ,
    HN_NODE_NE,
    HN_NODE_TEXT_IN, /* column against the list of texts in right */
    HN_NODE_IS_NULL,
    HN_NODE_AND,
    HN_NODE_OR,
    HN_NODE_NOT
} hn_node_kind;

typedef struct hn_node {
    hn_node_kind kind;
    struct hn_node *left, *right, *next;
    hn_column_id column;
    size_t extra;     /* extra column when column is HN_COL_COUNT */
    int is_integer;   /* SQLite would hold an integer here */
    int is_truth;     /* gives 0, 1 or NULL */
    double number;
    const char *text;
    const char *null_text;    /* text column: this text reads as NULL (NULLIF) */
    const char *missing_text; /* text column: NULL reads as this text (COALESCE) */
} hn_node;

int hn_node_is_numeric(hn_column_id column);
int hn_node_is_comparison(const hn_node *node);
void hn_node_number(const hn_node *node, const hn_table *table, size_t begin, size_t rows,
                    double *out);
void hn_node_truth(const hn_node *node, const hn_table *table, size_t begin, size_t rows,
                   uint8_t *out);

#endif
