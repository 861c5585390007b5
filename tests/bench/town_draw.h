/* tests/bench/town_draw.h - random numbers by counter, for the files of
 * town.h. Each purpose has a stream of its own. */
#ifndef HN_BENCH_TOWN_DRAW_H
#define HN_BENCH_TOWN_DRAW_H

#include "town.h"

#include "base/hash.h"

#include <math.h>

#define STEP_M        45.0 /* between manholes */
#define FALL_PER_STEP 0.12 /* m */
#define MAP_EAST_M    400000.0
#define MAP_NORTH_M   5400000.0
#define NO_VALUE      (-1)

#define PICK(list, u) ((list)[(int)((u) * (double)(sizeof(list) / sizeof *(list)))])

/* What a draw is for: one stream of random numbers each. */
enum draw_stream {
    DRAW_HEIGHT = 1,
    DRAW_END,
    DRAW_TURN,
    DRAW_EAST,
    DRAW_NORTH,
    DRAW_POINTS,
    DRAW_OFFSET,
    DRAW_FALL,
    DRAW_DEPTH,
    DRAW_YEAR,
    DRAW_ERA,
    DRAW_MATERIAL,
    DRAW_SHAPE,
    DRAW_GAP,
    DRAW_LENGTH,
    DRAW_OWNER,
    DRAW_DUTY,
    DRAW_SURFACE,
    DRAW_SOIL,
    DRAW_STREET,
    DRAW_LATERALS,
    DRAW_WATER,
    DRAW_ACCESS,
    DRAW_LINED,
    DRAW_FLOW,
    DRAW_SEGMENT,
    DRAW_UNKNOWN,
    DRAW_DATE,
    DRAW_GRADE,
    DRAW_DEFECT,
    DRAW_ROAD,
    DRAW_RIVER,
    DRAW_PLACE,
    DRAW_VISIT,
    DRAW_SEEN,
    DRAW_CODE
};

static inline uint64_t draw_bits(const town *t, enum draw_stream stream, uint64_t number)
{
    return hn_hash_mix(hn_hash_mix(t->seed ^ ((uint64_t)stream << 56)) + number);
}

/* 0 <= u < 1. */
static inline double draw(const town *t, enum draw_stream stream, uint64_t number)
{
    return (double)(draw_bits(t, stream, number) >> 11) * 0x1p-53;
}

static inline double draw_between(const town *t, enum draw_stream stream, uint64_t number,
                                  double low, double high)
{
    return low + (high - low) * draw(t, stream, number);
}

/* Records are kept to the millimetre. */
static inline double to_mm(double metres)
{
    return floor(metres * 1000.0 + 0.5) / 1000.0;
}

/* Sewers of one age lie together: 512 in a row share an era. */
static inline int year_built(const town *t, uint64_t number)
{
    double era = draw(t, DRAW_ERA, number / 512);

    return 1885 + (int)(era * 125.0) + (int)(draw(t, DRAW_YEAR, number) * 14.0);
}

#endif
