/* knapsack/instance.h - published instance files, read into problems of the optimiser. One
 * reader for all: the format is found by which one accounts for every number of the file.
 */
#ifndef HN_KNAPSACK_INSTANCE_H
#define HN_KNAPSACK_INSTANCE_H

#include "optimise/optimise.h"

typedef struct instance {
    char name[64];
    double known;      /* value told by the file or one beside it; NaN: none */
    int is_best_known; /* 1: the best found by others, not proven */
    hn_choice_problem problem;
    hn_choice_list list;
    hn_choice_row *rows;
    size_t *first_alternative, *first_use;
    double *value;
    hn_choice_use *uses;
    uint8_t *compulsory;
} instance;

typedef struct instance_file {
    const char *format; /* "several-row knapsack" .. */
    instance *items;
    size_t count;
} instance_file;

/* The numbers of a file, with their places for messages. */
typedef struct number_list {
    double *value;
    uint32_t *line, *field;
    size_t count, capacity[3];
    uint32_t word_line, word_field; /* of the first word after the numbers; 0: none */
    char word[41];
} number_list;

typedef struct cursor {
    const number_list *numbers;
    size_t at;
    const char *path;
    char what[200]; /* what was wrong, at `at` */
} cursor;

/* Error with file, line and field when no format fits. count 0 with HN_OK: a file of results
 * that goes with instances, nothing to solve. */
hn_status instance_read(const char *path, instance_file *out, hn_error *err);
void instance_clear(instance_file *file);

/* Takes `count` numbers, or 0 with `what` filled. */
int take_count(cursor *c, const char *what, size_t most, size_t *out);
int take_number(cursor *c, const char *what, double *out);
int instance_new(instance *out, size_t items, size_t alternatives, size_t rows, size_t uses);

typedef struct format {
    const char *name;
    /* 1 when the file is of this format and nothing is left over. */
    int (*read)(cursor *c, instance_file *out);
} format;
extern const format FORMATS[4];

#endif
