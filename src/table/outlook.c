#include "table/outlook.h"

#include "base/alloc.h"

#include <string.h>

double hn_outlook_chance(const hn_outlook *outlook, size_t row, int driver, size_t k)
{
    double chance = 0.0;

    for (int g = 0; g < HN_OUTLOOK_GRADES; g++)
        chance += hn_outlook_share(outlook, driver, g, row) *
                  hn_outlook_annual(outlook, hn_outlook_class(outlook, row), driver, g)[k];
    return chance;
}

double hn_outlook_worse_share(const hn_outlook *outlook, size_t row, size_t k)
{
    double share = 0.0;

    for (int g = 0; g < HN_OUTLOOK_GRADES; g++)
        share += hn_outlook_share(outlook, 0, g, row) *
                 hn_outlook_worse(outlook, hn_outlook_class(outlook, row), g)[k];
    return share;
}

size_t hn_outlook_later_class(const hn_outlook *outlook, size_t class, size_t years)
{
    size_t cohort = 0;

    if (!outlook->age_class)
        return class;
    while (outlook->first_class[cohort + 1] <= class)
        cohort++;
    return class + years < outlook->first_class[cohort + 1] ? class + years
                                                            : outlook->first_class[cohort + 1] - 1;
}

void hn_outlook_clear(hn_outlook *outlook)
{
    for (int d = 0; d < HN_OUTLOOK_DRIVERS; d++)
        for (int g = 0; g < HN_OUTLOOK_GRADES; g++)
            hn_free(outlook->other[d][g]);
    hn_free(outlook->cohort);
    hn_free(outlook->age_class);
    hn_free(outlook->first_class);
    hn_free(outlook->annual);
    hn_free(outlook->worse);
    memset(outlook, 0, sizeof *outlook);
}
