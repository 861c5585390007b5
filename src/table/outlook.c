#include "table/outlook.h"

#include "base/alloc.h"

#include <string.h>

double hn_outlook_chance(const hn_outlook *outlook, size_t row, int driver, size_t k)
{
    double chance = 0.0;

    for (int g = 0; g < HN_OUTLOOK_GRADES; g++)
        chance += hn_outlook_share(outlook, driver, g, row) *
                  hn_outlook_annual(outlook, outlook->cohort[row], driver, g)[k];
    return chance;
}

double hn_outlook_worse_share(const hn_outlook *outlook, size_t row, size_t k)
{
    double share = 0.0;

    for (int g = 0; g < HN_OUTLOOK_GRADES; g++)
        share += hn_outlook_share(outlook, 0, g, row) *
                 hn_outlook_worse(outlook, outlook->cohort[row], g)[k];
    return share;
}

void hn_outlook_clear(hn_outlook *outlook)
{
    for (int d = 0; d < HN_OUTLOOK_DRIVERS; d++)
        for (int g = 0; g < HN_OUTLOOK_GRADES; g++)
            hn_free(outlook->other[d][g]);
    hn_free(outlook->cohort);
    hn_free(outlook->annual);
    hn_free(outlook->worse);
    memset(outlook, 0, sizeof *outlook);
}
