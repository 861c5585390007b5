/* engineering/chain_data.h - what inspections say about the five-grade chain.
 *
 * One pipe gives one sequence of readings. Equal sequences are counted as they are
 * added, not repeated, so that memory does not grow with the pipes, a fit to a
 * million pipes costs as much as one to the few thousand different sequences among them.
 */
#ifndef HN_ENGINEERING_CHAIN_DATA_H
#define HN_ENGINEERING_CHAIN_DATA_H

#include "base/status.h"
#include "engineering/progressive_chain.h"

#include <stddef.h>
#include <stdint.h>

/* A set of grades: bit g - 1 for grade g. */
#define HN_GRADE_ONLY(grade)     ((uint8_t)(1u << ((grade)-1)))
#define HN_GRADE_AT_LEAST(grade) ((uint8_t)(0x1fu & (0x1fu << ((grade)-1))))
#define HN_GRADE_AT_MOST(grade)  ((uint8_t)((1u << (grade)) - 1u))

typedef struct hn_reading {
    double age_years; /* since the pipe was new; any origin when the age is not known */
    uint8_t grades;   /* the grade is one of these; not 0 */
} hn_reading;

typedef struct hn_chain_step {
    double from_years, to_years;
    size_t span; /* number of its table of chances */
    uint8_t grades;
} hn_chain_step;

/* All sequences that are the same. */
typedef struct hn_chain_cell {
    size_t first; /* of its steps */
    uint32_t steps;
    uint8_t given; /* first reading, taken as given; 0: new and in grade 1 at age 0 */
    /* Once packed. One step from one grade to grades low .. high, as most cells are: the
     * chance is a sum of these entries of row `from` of its table. high 0: not such. */
    uint8_t from, low, high; /* from 0 to 4 */
    uint32_t span;
    double weight;
} hn_chain_cell;

typedef struct hn_chain_data {
    double grid_years; /* > 0: ages are rounded to it, and no time is shorter */
    int by_age;        /* 1: spans keep the age at which they begin */
    int whole;         /* 1: sequences stay whole, for readings that may be wrong */
    hn_chain_step *step;
    size_t steps, step_room;
    hn_chain_cell *cell;
    size_t cells, cell_room;
    size_t *slot; /* look-up of cells while pipes are added, number + 1; 0: empty */
    size_t slots;
    double *span_from, *span_to; /* [spans] */
    uint8_t *span_rows;          /* [spans], once packed: bit g for each row asked for */
    size_t spans;
    size_t row_spans[HN_GRADES]; /* tables up to the last that needs row g */
    double weight;               /* sum */
} hn_chain_data;

/* Adds one pipe: readings in order of age. age_known: the pipe was in grade 1
 * at age 0, and the first reading counts; otherwise the first is taken as given.
 * Without `whole`, a sequence is cut behind each reading of one single grade:
 * the chain has no memory, and the pieces are shared by many pipes. */
HN_MUST_CHECK hn_status hn_chain_data_add(hn_chain_data *data, const hn_reading *reading,
                                          size_t count, int age_known, double weight,
                                          hn_error *err);

/* Orders the sequences and lists the spans. To be called once, after the last
 * add. The order in which pipes were added changes nothing but the rounding of
 * sums of weights. */
HN_MUST_CHECK hn_status hn_chain_data_pack(hn_chain_data *data, hn_error *err);

/* Multiplies every weight. */
void hn_chain_data_scale(hn_chain_data *data, double factor);
void hn_chain_data_clear(hn_chain_data *data);

#endif
