#include "base/units.h"

#include <stddef.h>
#include <strings.h>

#define CUBIC_FOOT_M3 (0.3048 * 0.3048 * 0.3048)
#define US_GALLON_M3  (231.0 * 0.0254 * 0.0254 * 0.0254) /* 3.785411784 l */
#define US_FOOT_M     (1200.0 / 3937.0)
#define PI            3.14159265358979323846

typedef struct unit {
    const char *name;
    double factor;
} unit;

typedef struct dimension {
    const char *names; /* for messages; the inside unit comes first */
    const unit *units;
} dimension;

static const unit small_lengths[] = {
    {"mm", 1.0},  {"cm", 10.0},  {"m", 1000.0},
    {"in", 25.4}, {"ft", 304.8}, {"us_ft", 1000.0 * US_FOOT_M},
    {NULL, 0.0},
};
static const unit lengths[] = {
    {"m", 1.0},     {"mm", 0.001},        {"cm", 0.01},   {"km", 1000.0}, {"in", 0.0254},
    {"ft", 0.3048}, {"us_ft", US_FOOT_M}, {"yd", 0.9144}, {NULL, 0.0},
};
static const unit slopes[] = {
    {"m/m", 1.0},    {"ft/ft", 1.0},       {"%", 0.01}, {"pct", 0.01},
    {"mm/m", 0.001}, {"per_mille", 0.001}, {NULL, 0.0},
};
static const unit percents[] = {
    {"%", 1.0}, {"pct", 1.0}, {"share", 100.0}, {"per_mille", 0.1}, {NULL, 0.0},
};
static const unit flows[] = {
    {"m3/s", 1.0},
    {"l/s", 0.001},
    {"m3/h", 1.0 / 3600.0},
    {"m3/d", 1.0 / 86400.0},
    {"ft3/s", CUBIC_FOOT_M3},
    {"us_gal/min", US_GALLON_M3 / 60.0},
    {"us_mgd", 1e6 * US_GALLON_M3 / 86400.0},
    {NULL, 0.0},
};
static const unit angles[] = {
    {"deg", 1.0},
    {"rad", 180.0 / PI},
    {"gon", 0.9},
    {NULL, 0.0},
};
static const unit counts[] = {
    {"count", 1.0},
    {NULL, 0.0},
};
static const unit no_units[] = {{NULL, 0.0}};

static const dimension dimensions[] = {
    [HN_DIM_NONE] = {"none", no_units},
    [HN_DIM_SMALL_LENGTH] = {"mm, cm, m, in, ft, us_ft", small_lengths},
    [HN_DIM_LENGTH] = {"m, mm, cm, km, in, ft, us_ft, yd", lengths},
    [HN_DIM_SLOPE] = {"m/m, ft/ft, %, pct, mm/m, per_mille", slopes},
    [HN_DIM_PERCENT] = {"%, pct, share, per_mille", percents},
    [HN_DIM_FLOW] = {"m3/s, l/s, m3/h, m3/d, ft3/s, us_gal/min, us_mgd", flows},
    [HN_DIM_ANGLE] = {"deg, rad, gon", angles},
    [HN_DIM_COUNT] = {"count", counts},
};

enum { DIMENSIONS = sizeof dimensions / sizeof dimensions[0] };

double hn_unit_factor(hn_dimension of, const char *name)
{
    if (!name || (unsigned)of >= DIMENSIONS)
        return 0.0;
    for (const unit *u = dimensions[of].units; u->name; u++)
        if (strcasecmp(u->name, name) == 0)
            return u->factor;
    return 0.0;
}

const char *hn_unit_names(hn_dimension of)
{
    return (unsigned)of < DIMENSIONS ? dimensions[of].names : "none";
}
