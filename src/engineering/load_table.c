/* engineering/load_table.c - live loads that are read from tables, not computed. */
#include "engineering/load_traffic.h"

#include <math.h>
#include <stddef.h>

static const double foot_m = 0.3048, inch_m = 0.0254;
static const double lbft2_kpa = 0.04788025898; /* 4.4482216152605 N / 0.3048^2 m2 */

typedef struct row {
    double cover_ft, lbft2;
} row;

/* Both from memory, impact included; rows agree with a second public listing. */
static const row highway[] = {{1, 1800}, {2, 800}, {3, 600}, {4, 400},
                              {5, 250},  {6, 200}, {7, 176}, {8, 100}};
static const row railway[] = {{2, 3800}, {5, 2400}, {8, 1600}, {10, 1100},
                              {12, 800}, {20, 300}, {30, 100}};

static double between(double x, double x0, double y0, double x1, double y1)
{
    return y0 + (x - x0) / (x1 - x0) * (y1 - y0);
}

static double read_table(const row *rows, size_t count, double cover_ft)
{
    /* 1e-9: a cover given as 0.3048 m is on the first row, not above it. */
    if (!(cover_ft >= rows[0].cover_ft - 1e-9) || isinf(cover_ft))
        return NAN;
    if (cover_ft > rows[count - 1].cover_ft + 1e-9)
        return 0;
    size_t i = 1;
    while (i < count - 1 && cover_ft > rows[i].cover_ft)
        i++;
    return between(cover_ft, rows[i - 1].cover_ft, rows[i - 1].lbft2, rows[i].cover_ft,
                   rows[i].lbft2);
}

double hn_live_load_table_kpa(hn_load_table table, double cover_m)
{
    const double cover_ft = cover_m / foot_m;
    switch (table) {
    case HN_LOAD_TABLE_HIGHWAY:
        return lbft2_kpa * read_table(highway, sizeof highway / sizeof *highway, cover_ft);
    case HN_LOAD_TABLE_RAILWAY:
        return lbft2_kpa * read_table(railway, sizeof railway / sizeof *railway, cover_ft);
    }
    return NAN;
}

enum { COVERS = 9, PAVEMENTS = 4 };
static const double cover_ft[COVERS] = {2, 2.5, 3, 3.5, 4, 5, 6, 8, 10};
static const double pavement_in[PAVEMENTS] = {4, 6, 8, 10};
static const double rigid[COVERS][PAVEMENTS] = {
    {0.0244, 0.0149, 0.0101, 0.0076}, {0.0213, 0.0139, 0.0097, 0.0072},
    {0.0186, 0.0126, 0.0090, 0.0070}, {0.0164, 0.0114, 0.0085, 0.0066},
    {0.0144, 0.0102, 0.0079, 0.0061}, {0.0114, 0.0084, 0.0066, 0.0054},
    {0.0093, 0.0071, 0.0057, 0.0047}, {0.0065, 0.0052, 0.0043, 0.0036},
    {0.0046, 0.0039, 0.0033, 0.0029},
};

/* Upper end of the interval that holds x, or 0 when x lies outside the axis. */
static size_t upper_end(const double *axis, size_t count, double x)
{
    if (!(x >= axis[0] - 1e-9) || !(x <= axis[count - 1] + 1e-9))
        return 0;
    size_t i = 1;
    while (i < count - 1 && x > axis[i])
        i++;
    return i;
}

double hn_rigid_pavement_factor(double cover_m, double pavement_m)
{
    const double h = cover_m / foot_m, p = pavement_m / inch_m;
    const size_t i = upper_end(cover_ft, COVERS, h), j = upper_end(pavement_in, PAVEMENTS, p);
    if (i == 0 || j == 0)
        return NAN;
    const double p0 = pavement_in[j - 1], p1 = pavement_in[j];
    const double shallow = between(p, p0, rigid[i - 1][j - 1], p1, rigid[i - 1][j]);
    const double deep = between(p, p0, rigid[i][j - 1], p1, rigid[i][j]);
    return between(h, cover_ft[i - 1], shallow, cover_ft[i], deep);
}
