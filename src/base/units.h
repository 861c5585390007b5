/* base/units.h - units a plan may declare, and their factor to the SI unit
 * used inside. Sources: inch and foot of 1959 (25.4 mm, 0.3048 m); US survey
 * foot 1200/3937 m (NBS, Federal Register 24, 1959); US gallon 231 in3. */
#ifndef HN_BASE_UNITS_H
#define HN_BASE_UNITS_H

typedef enum hn_dimension {
    HN_DIM_NONE,
    HN_DIM_SMALL_LENGTH, /* inside: mm */
    HN_DIM_LENGTH,       /* inside: m */
    HN_DIM_SLOPE,        /* inside: m/m */
    HN_DIM_PERCENT,      /* inside: % */
    HN_DIM_FLOW,         /* inside: m3/s */
    HN_DIM_ANGLE,        /* inside: deg */
    HN_DIM_COUNT         /* pure count */
} hn_dimension;

/* Factor that turns one `unit` into the inside unit of the dimension; 0 when
 * the unit is not one of that dimension. */
double hn_unit_factor(hn_dimension dimension, const char *unit);
/* "mm, cm, m, in, ft, us_ft" and so on, for messages. */
const char *hn_unit_names(hn_dimension dimension);

#endif
